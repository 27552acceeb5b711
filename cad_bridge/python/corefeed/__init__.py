# SPDX-License-Identifier: Apache-2.0
"""Flow, pressure and temperature in the cooling ducts of a car, from a model file and CAD parts.

    import corefeed
    car = corefeed.load("hill_climb_car.corefeed")
    car.set("fender_vent.area", "600 cm2")
    result = car.solve()
    result.points["fast straight"].elements.radiator.flow      # kg/s

Numbers are SI. Where the command would end with an error, a call raises an `Error` with the command's text. Long calls
release the interpreter's lock and end at Ctrl-C. `python3 -m corefeed` is the command.
"""

import os
from typing import Any, Iterable, Mapping, Sequence, TypeVar

from . import _core
from ._errors import (
    Error,
    GeometryError,
    InputError,
    InternalError,
    Issue,
    LimitError,
    NoSolution,
    OutputError,
    UsageError,
)
from ._core import Prepared
from .results import Check, Comparison, Document, Lap, Measurement, Point, Record, Rows, Size, Study, Sweep

__version__ = _core.version

__all__ = [
    "Check", "Comparison", "Document", "Error", "GeometryError", "InputError", "InternalError", "Issue", "Lap",
    "LimitError", "Measurement", "Model", "NoSolution", "OutputError", "Point", "Prepared", "Record", "Rows", "Size",
    "Study", "Sweep", "UsageError", "compare", "load", "loads", "measure", "schema",
]

Number = str | float
"""A quantity string such as "520 cm2", or a float in SI."""

Names = str | Sequence[str] | None
"""One name, several, or None for all."""


_Document = TypeVar("_Document", bound=Document)


def _list(names: Names) -> list[str]:
    if names is None:
        return []
    return [names] if isinstance(names, str) else list(names)


def _folders(folders: Iterable[str | os.PathLike[str]]) -> list[str]:
    if isinstance(folders, (str, os.PathLike)):
        folders = [folders]
    return [os.fspath(folder) for folder in folders]


class Model:
    """A model file as checked data: every number in SI, every name resolved, nothing solved yet.

    Made by `load` and `loads`. Threads may use one together: a call works on the model as it was when it began.
    """

    def __init__(self, core: _core.Model) -> None:
        self._core = core

    @property
    def file(self) -> str:
        """The file as it was named."""
        return self._core.file

    @property
    def title(self) -> str:
        return self._core.title

    @property
    def hash(self) -> str:
        """SHA-1 of the document as it was read, hexadecimal."""
        return self._core.hash

    @property
    def points(self) -> list[str]:
        """Names of the operating points."""
        return self._core.points

    @property
    def variants(self) -> list[str]:
        """Names under `variants`."""
        return self._core.variants

    @property
    def warnings(self) -> list[Issue]:
        """What reading found to be odd, but no fault."""
        return self._core.warnings

    def get(self, name: str) -> float:
        """A number by its name, SI: "fender_vent.area", "radiator.air_loss.linear", "ambient.temperature",
        or a key of the points ("speed"), of which the first point's is given.

        Raises UsageError with the nearest name where there is none.
        """
        return self._core.get(name)

    def set(self, name: str, value: Number) -> None:
        """Sets a number: a quantity string ("520 cm2") or a float in SI. A key of the points is set at all of them.

        Raises UsageError for an unknown name, a unit that does not fit and a number out of the key's bounds.
        """
        self._core.set(name, value)

    def unit(self, name: str) -> str:
        """The SI unit of a number, "" for one without dimension."""
        return self._core.unit(name)

    def text(self) -> str:
        """The model's text with every change of `set`; reading it gives the same model."""
        return self._core.text()

    def copy(self) -> "Model":
        """A model of its own, to be changed apart from this one."""
        return Model(self._core.copy())

    def solve(self, points: Names = None, samples: int = 0, seed: int = 1) -> Study:
        """Flow, pressure, heat and temperature at every operating point, or at those named.

        `samples`: check every band by this many samples (Latin hypercube); the same seed gives the same ones.
        Raises UsageError for an unknown point, and NoSolution where a point has none or several and no single
        stable one; its `result` holds all points.
        """
        study = Study(self._core.solve(_list(points), samples, seed))
        return _solved(study, study._core)

    def check(self, strict: bool = False, points: Names = None, envelope: bool = False, samples: int = 0,
              seed: int = 1) -> Check:
        """Does every requirement hold? What cures those that do not, and what may still get worse.

        `strict` counts what is too close to call, out of a law's range or mended as not met. `envelope` also looks
        over every run of CFD at every speed of the points; the verdict stays with the points. Raises UsageError for
        an unknown point. A point without a solution is no exception here: `status` is then 4 and `verdict` None.
        """
        return Check(self._core.check(_list(points), strict, envelope, samples, seed))

    def size(self, vary: Names, until: str, range: Sequence[Number] | None = None, points: Names = None) -> Size:
        """How large must a number of the model be?

        `vary` is ELEMENT.key; several keep their ratio. `until` is "radiator.flow >= 1.5 kg/s" or
        "requirement:NAME". `range` are the smallest and largest size looked at, by default 0.2 and 5 times the
        present value. It must hold at every point, or at those named. Where no size in the range does, `reached` is
        false and `limited_by` says why. Raises UsageError for a question that makes no sense and NoSolution where
        the model has none.
        """
        bounds = [] if range is None else list(range)
        if len(bounds) not in (0, 2):
            raise UsageError("range: give the lowest and the highest size, or nothing")
        answer, sized = self._core.size(_list(vary), until, bounds, _list(points))
        size = Size(answer)
        size.sized = Model(sized)
        return size

    def sweep(self, over: str | Sequence[str] | Mapping[str, Sequence[Number]], points: Names = None,
              show: Names = None, jobs: int = 0) -> Sweep:
        """How does it move? All combinations of the values, at every point or at those named.

        `over` maps names of numbers to their values, or is written as the command takes it:
        "fender_vent.area=250cm2:800cm2:12". `show` are the quantities wanted, by default those of interest. `jobs` are
        the threads, by default one for each processor; a row is the same to the bit on any number of them. A row
        without a solution is NaN and has its reason. Raises UsageError for a question that makes no sense.
        """
        if isinstance(over, Mapping):
            axes: list[str | tuple[str, Sequence[Number]]] = [(name, list(values)) for name, values in over.items()]
        else:
            axes = list(_list(over))
        return Sweep(*_core.sweep(self._core, axes, _list(points), _list(show), jobs or os.cpu_count() or 1))

    def lap(self, trace: str | os.PathLike[str], laps: int | None = None, point: str | None = None) -> Lap:
        """Loop temperatures over a lap that repeats itself, or over a stint of `laps` from the start temperatures.

        `trace` is a CSV file with time, speed and, as wanted, heat loads; `point` gives what it does not name.
        Raises InputError for the trace, and NoSolution where a loop has no temperature to give.
        """
        answer = self._core.lap(os.fspath(trace), laps, point or "")
        return _solved(Lap(answer), answer)

    def prepare(self, point: str | None = None) -> Prepared:
        """One operating point (the first if absent) to be solved again and again with other numbers."""
        return Prepared(self._core, point or "")

    def __repr__(self) -> str:
        return f"<Model {self.file!r}: {self.title}>"


def _solved(result: _Document, core: _core.Study | _core.Answer) -> _Document:
    """The result, or NoSolution with the result in it."""
    try:
        core.throw_unsolved()
    except Error as error:
        error.result = result
        raise
    return result


def load(path: str | os.PathLike[str], variant: str | None = None,
         allow_roots: Iterable[str | os.PathLike[str]] = ()) -> Model:
    """Reads a model file, with its CAD parts measured, and applies a variant.

    Files that it names are looked up relative to it, and opened below its folder or below `allow_roots`. Raises
    InputError with every fault of the file, GeometryError where a part cannot be measured, and UsageError where
    there is no measuring program.
    """
    return Model(_core.load(os.fspath(path), variant or "", _folders(allow_roots)))


def loads(text: str, folder: str | os.PathLike[str] = ".", variant: str | None = None,
          allow_roots: Iterable[str | os.PathLike[str]] = (), label: str = "text") -> Model:
    """The same for text in memory. `folder` is where it looks for files, `label` stands for it in messages."""
    return Model(_core.parse(text, label, os.fspath(folder), variant or "", _folders(allow_roots)))


def compare(model: Model, *others: Model, points: Names = None, names: Sequence[str] | None = None) -> Comparison:
    """Which alternative is better, by how much, and why? The first model is what the others are held against; one
    alone is compared with its variants.

    `names` are by default the files' own without folder and ending. Raises InputError where a model lacks a point
    that another has, UsageError for an unknown point or a model without variants, and NoSolution, whose `result`
    holds the rest.
    """
    if others:
        models = [model, *others]
        chosen = list(names) if names is not None else []
        if chosen and len(chosen) != len(models):
            raise UsageError(f"names: {len(chosen)} for {len(models)} models")
        answer = _core.compare([one._core for one in models], chosen, _list(points))
    else:
        if model._core.changed:
            raise UsageError("the model was changed after it was read, its variants were not; write it to a file first")
        answer = _core.compare_variants(model._core, _list(points))
    return _solved(Comparison(answer), answer)


def _brep(shape: Any) -> str:
    """The text of a host's shape, or of an object that has one."""
    for holder in (shape, getattr(shape, "Shape", None)):
        if hasattr(holder, "exportBrepToString"):
            text: str = holder.exportBrepToString()
            return text
    raise TypeError(f"{type(shape).__name__} is neither a path nor a shape (with exportBrepToString)")


def measure(path_or_shape: Any, part: str | None = None, sections: int = 50, at: Sequence[float] = (),
            cores: Names = None, assume_unit: str | None = None) -> Measurement:
    """Areas, perimeters, centreline and pieces of the ducts, cut-outs, cores and gaps of a STEP file or of shapes.

    A shape is what a CAD program's scripts hold: it has `exportBrepToString`, or is an object with such a `Shape`,
    and is called by its `Label`. Several shapes are a mapping of names to shapes, ports ("port:nose_duct.in") among
    them. Numbers of a shape differ from those of its STEP file in the 16th digit at most.

    `part` measures this part alone; `sections` is the number of stations along each duct, ends included; `at` asks
    for further ones at these shares of the length; `cores` are parts that are cores whatever their names;
    `assume_unit` ("mm", "cm", "m", "in", "ft") serves a STEP file that names none. Raises InputError where there is
    no such file, GeometryError where it cannot be measured, UsageError where there is no measuring program, and
    LimitError where that takes too long.
    """
    options = (part or "", sections, list(at), _list(cores))
    if not 2 <= sections <= 10000 or any(not 0 <= share <= 1 for share in at):
        raise UsageError("sections are from 2 to 10000, and shares from 0 to 1")
    if isinstance(path_or_shape, (str, os.PathLike)):
        answer = _core.measure(os.fspath(path_or_shape), *options, assume_unit or "")
    else:
        named = path_or_shape
        if not isinstance(named, Mapping):
            named = {getattr(path_or_shape, "Label", None) or "shape": path_or_shape}
        shapes = [(name, _brep(shape)) for name, shape in named.items()]
        answer = _core.measure_shapes(shapes, ", ".join(named), *options)
    return Measurement(answer)


def schema() -> str:
    """JSON Schema (draft-07) of the model file, for editors."""
    return _core.schema()
