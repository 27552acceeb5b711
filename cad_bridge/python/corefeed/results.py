# SPDX-License-Identifier: Apache-2.0
"""Answers as attributes and arrays.

Every answer is the JSON document that the command prints, looked into by attribute: the names are those of the
document, which are those of requirements. Numbers are SI. A list of numbers is a numpy array (null is NaN), a list
of records gives the records by place or by name, and its columns as arrays by attribute. A name that is no Python
name is asked for with brackets (`elements["nose_duct/2 bend"]`); `from` is `from_`.
"""

import json
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, Iterator, Mapping, Sequence, overload

import numpy

if TYPE_CHECKING:
    from . import Issue, Model, _core

Array = numpy.ndarray[Any, numpy.dtype[numpy.float64]]


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _array(values: Sequence[Any]) -> Array:
    return numpy.array([numpy.nan if value is None else value for value in values], dtype=numpy.float64)


def _wrapped(value: Any, kind: "type[Record] | None" = None) -> Any:
    if isinstance(value, dict):
        return (kind or Record)(value)
    if not isinstance(value, list):
        return value
    if value and all(isinstance(item, dict) for item in value):
        return Rows(value, kind or Record)
    if not value:
        return Rows(value, kind) if kind else value
    if any(map(_is_number, value)) and all(_is_number(item) or item is None for item in value):
        return _array(value)
    if all(isinstance(item, list) and item and all(map(_is_number, item)) for item in value):
        return numpy.array(value, dtype=numpy.float64)
    return [_wrapped(item) for item in value]


def _suggest(name: str, known: Sequence[str]) -> str:
    near = get_close_matches(name, known, 1)
    return f"; did you mean {near[0]!r}?" if near else f"; there are: {', '.join(map(repr, known))}"


class Record:
    """A JSON object: members as attributes and by brackets.

    No `Mapping`, whose `values()` would hide a member of that name.
    """

    # What kinds of record stand under which names; all others are plain ones.
    _kinds: "Mapping[str, type[Record]]" = {}

    def __init__(self, data: dict[str, Any]) -> None:
        self._data = data
        self._seen: dict[str, Any] = {}

    def _kind_of(self, name: str) -> "type[Record] | None":
        return self._kinds.get(name)

    def __getitem__(self, name: str) -> Any:
        if name not in self._seen:
            if name not in self._data:
                raise KeyError(f"no {name!r} here{_suggest(name, list(self._data))}")
            self._seen[name] = _wrapped(self._data[name], self._kind_of(name))
        return self._seen[name]

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        key = name[:-1] if name.endswith("_") and name not in self._data else name
        try:
            return self[key]
        except KeyError as error:
            raise AttributeError(error.args[0]) from None

    def __iter__(self) -> Iterator[str]:
        return iter(self._data)

    def __len__(self) -> int:
        return len(self._data)

    def __contains__(self, name: object) -> bool:
        return name in self._data

    def keys(self) -> list[str]:
        return list(self._data)

    def items(self) -> list[tuple[str, Any]]:
        return [(name, self[name]) for name in self._data]

    def get(self, name: str, default: Any = None) -> Any:
        return self[name] if name in self._data else default

    def __dir__(self) -> list[str]:
        return sorted({*super().__dir__(), *(name for name in self._data if name.isidentifier())})

    def __repr__(self) -> str:
        name = self._data.get("name")
        head = f"{type(self).__name__} {name!r}" if isinstance(name, str) else type(self).__name__
        return f"<{head}: {', '.join(self._data)}>"

    def to_dict(self) -> dict[str, Any]:
        """The same as plain dictionaries, lists and numbers; a copy."""
        copied: dict[str, Any] = json.loads(json.dumps(self._data))
        return copied


class Named(Record):
    """Records by their names, such as the elements of a point."""

    def __init__(self, data: dict[str, Any], kind: type[Record] = Record) -> None:
        super().__init__(data)
        self._kind = kind

    def _kind_of(self, name: str) -> type[Record]:
        return self._kind


class Rows:
    """A list of records: by place, by name where they have one, and as columns by attribute."""

    def __init__(self, data: list[dict[str, Any]], kind: type[Record] = Record) -> None:
        self._data = data
        self._rows = [kind(row) for row in data]

    @overload
    def __getitem__(self, place: int) -> Any: ...
    @overload
    def __getitem__(self, place: str) -> Any: ...
    @overload
    def __getitem__(self, place: slice) -> list[Any]: ...
    def __getitem__(self, place: int | str | slice) -> Any:
        if not isinstance(place, str):
            return self._rows[place]
        for row in self._rows:
            if row.get("name") == place:
                return row
        raise KeyError(f"no {place!r} here{_suggest(place, self.names)}")

    def __len__(self) -> int:
        return len(self._rows)

    def __iter__(self) -> Iterator[Any]:
        return iter(self._rows)

    def to_list(self) -> list[dict[str, Any]]:
        """The same as plain lists and dictionaries; a copy."""
        return [row.to_dict() for row in self._rows]

    @property
    def names(self) -> list[str]:
        """Names of the records that have one."""
        return [row["name"] for row in self._data if isinstance(row.get("name"), str)]

    def __getattr__(self, column: str) -> Any:
        if column.startswith("__"):
            raise AttributeError(column)
        key = column[:-1] if column.endswith("_") else column
        known = {name for row in self._data for name in row}
        if key not in known:
            raise AttributeError(f"no column {key!r} here{_suggest(key, sorted(known))}")
        values = [row.get(key) for row in self._data]
        if all(_is_number(value) or value is None for value in values):
            return _array(values)
        return [_wrapped(value) for value in values]

    def __repr__(self) -> str:
        return f"<{len(self._rows)} rows{': ' if self.names else ''}{', '.join(self.names)}>"


class Point(Record):
    """One operating point. Every number is None where `converged` is false."""

    name: str
    converged: bool
    residual: float
    iterations: int
    explanation: str
    certificate: Record
    stable: bool
    further_points: Any
    elements: Named
    nodes: Named
    loops: Named
    car: Record
    power: Record
    budget: Named
    uncertainty: Named
    sensitivity: Named
    requirements: Rows
    warnings: Rows
    assumptions: Rows
    _kinds = {"elements": Named, "nodes": Named, "loops": Named, "budget": Named, "uncertainty": Named,
              "sensitivity": Named, "requirements": Record, "warnings": Record, "assumptions": Record}

    def value(self, quantity: str) -> float | None:
        """A quantity by the name that requirements use, such as "radiator.flow" or "car.cooling_drag"."""
        owner, _, what = quantity.rpartition(".")
        places = [self._data["car"]] if owner == "car" else [
            self._data[group][owner] for group in ("elements", "nodes", "loops") if owner in self._data[group]]
        for place in places:
            if what in place:
                number: float | None = place[what]
                return number
        raise KeyError(f"no quantity {quantity!r} at this point")


class Document(Record):
    """An answer. `status` is the one that the command would end with, `json` and `text` are what it would print."""

    corefeed: str
    units: str
    model: str
    hash: str

    def __init__(self, core: "_core.Study | _core.Answer") -> None:
        # No `super`: the document is read when somebody looks into it.
        self._core = core
        self._seen = {}

    @property
    def status(self) -> int:
        """The exit status of the command for this answer."""
        return self._core.status

    @property
    def json(self) -> str:
        """The JSON document, byte for byte as the command prints it."""
        if "json" not in self.__dict__:
            self.__dict__["json"] = self._core.json()
        text: str = self.__dict__["json"]
        return text

    @property
    def text(self) -> str:
        """The page for a terminal, as the command prints it."""
        return self._core.text()

    def __getattr__(self, name: str) -> Any:
        if name == "_data":
            self._data = json.loads(self.json)
            return self._data
        return super().__getattr__(name)


class Study(Document):
    """An answer to `Model.solve`."""

    options: Record
    verdict: str | None
    requirements: Rows
    points: Rows
    _kinds = {"points": Point, "requirements": Record}

    _core: "_core.Study"

    def value(self, point: str, quantity: str) -> float:
        """A quantity at a point, SI; NaN where the point has no solution. Needs no document."""
        return self._core.value(point, quantity)

    def sigma(self, point: str, quantity: str) -> float:
        """The linear 1-sigma of any quantity at a point, SI."""
        return self._core.sigma(point, quantity)


class Check(Study):
    """An answer to `Model.check`: also what cures, what may get worse, and the points ranked."""

    ranking: Rows
    advice: Rows
    margins: Rows
    envelopes: Rows
    _kinds = {**Study._kinds, "ranking": Record, "advice": Record, "margins": Record, "envelopes": Record}

    @property
    def ok(self) -> bool:
        """Whether the command would end with 0: every requirement is met."""
        return self.status == 0


class Size(Document):
    """An answer to `Model.size`. Where `reached` is false, `value` is the best of the range."""

    parameter: str
    value: float
    sigma: float
    reached: bool
    limited_by: str | None
    point: str
    quantity_value: float
    range: Array
    values: Array
    warnings: Rows
    sized: "Model"  # the model that has the size, to be solved or written
    _kinds = {"warnings": Record}


class Lap(Document):
    """An answer to `Model.lap`: `time` and `lap["coolant.temperature"]` are arrays."""

    options: Record
    laps: int
    cyclic: bool
    change: float
    duration: float
    distance: float
    mean_speed: float
    peak: Named
    time_above: Record
    limit: Record
    mean: Record
    steady: Record
    energy: Named
    core_share: Record
    fans: Named
    requirements: Rows
    table_error: Record
    warnings: Rows
    time: Array
    _kinds = {"peak": Named, "energy": Named, "fans": Named, "requirements": Record, "warnings": Record}


class Sweep:
    """An answer to `Model.sweep`: a row for each point and combination of values, columns as arrays by brackets."""

    def __init__(self, inputs: dict[str, Array], shown: dict[str, Array], points: list[str], reasons: list[str],
                 warnings: "list[Issue]") -> None:
        self.inputs = inputs
        self.shown = shown
        self.points = points  # of each row
        self.reasons = reasons  # of each row: why it has no solution; empty where it has one
        self.warnings = warnings
        self.converged = numpy.array([not reason for reason in reasons], dtype=bool)

    def __getitem__(self, column: str) -> Array:
        """A column by the name of an input or quantity, SI; NaN where a row has no solution."""
        for columns in (self.inputs, self.shown):
            if column in columns:
                return columns[column]
        raise KeyError(f"no column {column!r} here{_suggest(column, [*self.inputs, *self.shown])}")

    def __len__(self) -> int:
        return len(self.points)

    def __repr__(self) -> str:
        return f"<Sweep: {len(self)} rows of {', '.join([*self.inputs, *self.shown])}>"


class Alternative(Record):
    """One model of a comparison."""

    name: str
    model: str
    hash: str
    points: Rows
    _kinds = {"points": Point, "difference": Record}


class Comparison(Document):
    """An answer to `compare`: the first model, then the others with their differences to it."""

    options: Record
    baseline: Alternative
    variants: Rows
    ranking: Rows
    warnings: Rows
    _kinds = {"baseline": Alternative, "variants": Alternative, "ranking": Record, "warnings": Record}


class Part(Record):
    """One instance of one body."""

    name: str
    kind: str
    volume: float | None
    openings: Rows
    paths: Rows
    cutouts: Rows
    _kinds = {"openings": Record, "paths": Record, "cutouts": Record}


class Measurement(Document):
    """An answer to `measure`: metres, square metres and radians in the root frame of the drawing."""

    file: str
    unit: str
    bounding_box: Array
    parts: Rows
    gaps: Rows
    warnings: Rows
    _kinds = {"parts": Part, "gaps": Record, "warnings": Record}
