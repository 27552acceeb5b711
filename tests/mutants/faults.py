# SPDX-License-Identifier: Apache-2.0
"""Reads the lists of planted faults. A fault is three lines, and a blank one parts it from the next:

    lib/corefeed/losses/laws/loss.cpp: the sign of the loss
    - const S lost = in[loss] * local.head;
    + const S lost = -in[loss] * local.head;

The first names the source and says what the fault is; the second is text of that source, which has to stand there
exactly once; the third stands in its place. A fault of a header stands in one source that includes it, and the first
line then begins with "HEADER in SOURCE: ". Lines that begin with # are the list's own remarks.
"""

from pathlib import Path
from typing import NamedTuple

LISTS = Path("tests/mutants")


class Fault(NamedTuple):
    list: str  # "tests/mutants/laws.txt:4"
    source: str  # what is compiled with the fault, relative to the tree
    changed: str  # that source, or the header that holds the text
    what: str
    before: str
    after: str


class ListError(Exception):
    """What is wrong in a list, where, and what was expected."""


def read_list(tree: Path, path: Path) -> list[Fault]:
    name = path.relative_to(tree).as_posix()
    lines = [(number, line) for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
             if line and not line.startswith("#")]
    faults = []
    for first in range(0, len(lines), 3):
        place = f"{name}:{lines[first][0]}"
        head, *texts = (line for _, line in lines[first:first + 3])
        files, colon, what = head.partition(": ")
        changed, _, source = files.partition(" in ")
        if not colon or len(texts) != 2 or not texts[0].startswith("- ") or not texts[1].startswith("+ "):
            raise ListError(f"{place}: found \"{head}\", expected \"SOURCE: what the fault is\" and behind it a line "
                            "that begins with \"- \" and one that begins with \"+ \"")
        faults.append(Fault(place, source or changed, changed, what, texts[0][2:], texts[1][2:]))
    return faults


def all_faults(tree: Path) -> list[Fault]:
    return [fault for path in sorted((tree / LISTS).glob("*.txt")) for fault in read_list(tree, path)]


def planted(tree: Path, fault: Fault) -> str:
    """The text of what is changed, with the fault in it."""
    for name in (fault.source, fault.changed):
        if not (tree / name).is_file():
            raise ListError(f"{fault.list}: there is no source {name}")
    text = (tree / fault.changed).read_text(encoding="utf-8")
    count = text.count(fault.before)
    if count != 1:
        raise ListError(f"{fault.list}: {fault.changed} holds \"{fault.before}\" {count} times, expected once")
    return text.replace(fault.before, fault.after)
