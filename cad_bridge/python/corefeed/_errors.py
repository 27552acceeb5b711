# SPDX-License-Identifier: Apache-2.0
"""What went wrong, in the words and with the statuses of the command."""

from dataclasses import dataclass
from typing import Any, Sequence


@dataclass(frozen=True)
class Issue:
    """One thing to tell: where, what was found and what was expected, in one sentence.

    Every part of the place may be unknown (empty or 0). `str()` gives the line that the command prints.
    """

    code: str  # stable rule id in snake_case, e.g. "unknown_key"
    severity: str  # "note", "warning" or "error"
    status: int  # the exit status that this issue asks for when it is an error
    file: str
    line: int  # from 1
    column: int  # from 1; set for syntax errors
    pointer: str  # JSON pointer (RFC 6901)
    text: str
    description: str  # all of it in one line

    def __str__(self) -> str:
        return self.description


class Error(Exception):
    """Ends a call that the command would end with `status`; `str()` gives the text that it would print.

    `issues` are the single faults. Where there is an answer all the same (states of a point that did not
    converge, beside points that did), it stands in `result`.
    """

    status: int = 70

    def __init__(self, text: str, issues: Sequence[Issue] = (), status: int | None = None) -> None:
        super().__init__(text)
        self.issues: list[Issue] = list(issues)
        self.result: Any = None
        if status is not None:
            self.status = status


class UsageError(Error, ValueError):
    """The question is wrong: an unknown name, a unit that does not fit, a number out of bounds. Status 2."""

    status = 2


class InputError(Error):
    """An input file is wrong: syntax, key, unit, unbound port, missing file. Status 3."""

    status = 3


class NoSolution(Error):
    """No converged or no unique solution. Status 4."""

    status = 4


class GeometryError(Error):
    """Geometry could not be read. Status 5."""

    status = 5


class OutputError(Error):
    """An output could not be written. Status 6."""

    status = 6


class LimitError(Error):
    """A limit of time or memory was hit. Status 7."""

    status = 7


class InternalError(Error):
    """A fault of corefeed. Status 70."""

    status = 70


_BY_STATUS = {
    kind.status: kind
    for kind in (UsageError, InputError, NoSolution, GeometryError, OutputError, LimitError, InternalError)
}


def error_of(status: int, text: str, issues: Sequence[Issue]) -> Error:
    """The exception for a status; called by the compiled half."""
    return _BY_STATUS.get(status, Error)(text, issues, status)
