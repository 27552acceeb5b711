# SPDX-License-Identifier: Apache-2.0
"""What every habit reads: the sources below a tree, their rooms and their include lines."""

import re
import sys
from pathlib import Path
from typing import Iterator, NamedTuple

CPP = (".cpp", ".hpp", ".cpp.in", ".hpp.in")
SOURCES = CPP + (".py", ".cmake", "CMakeLists.txt")

# Rooms of the library in the order of the flow of data: a room may include itself and those before it.
LIB_ROOMS = ["units", "fluids", "losses", "network", "cooling", "model", "studies", "reports"]

# Rooms of the CAD bridge and which of their neighbours each may include, besides itself.
CAD_ROOMS = {
    "worker": {"lib"},
    "geometry": {"lib", "worker"},  # the limits that both ends of the pipe keep
    "draw": {"lib", "geometry"},
    "proposal": {"lib", "worker"},
    "session": {"lib", "worker", "proposal"},
    "command": {"lib", "worker", "proposal", "session"},
    "python": {"lib", "worker", "proposal", "session"},
    "c_abi": {"lib", "worker", "session"},
}

# Headers that belong to every room.
COMMON = {"corefeed/interruption.hpp", "corefeed/on_threads.hpp", "corefeed/printable.hpp", "corefeed/result.hpp",
          "corefeed/version.hpp"}

INCLUDE = re.compile(r'^\s*#\s*include\s*[<"]([^>"]+)[>"]')


class Include(NamedTuple):
    file: str  # relative to the tree
    line: int
    header: str  # as written


def files(tree: Path, folders: list[str], endings: tuple[str, ...]) -> Iterator[Path]:
    """Files below these folders whose name ends so, in a fixed order."""
    for folder in folders:
        for path in sorted((tree / folder).rglob("*")):
            if path.is_file() and path.name.endswith(endings) and "__pycache__" not in path.parts:
                yield path


def includes(tree: Path, folders: list[str]) -> Iterator[Include]:
    for path in files(tree, folders, CPP):
        name = path.relative_to(tree).as_posix()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            match = INCLUDE.match(line)
            if match:
                yield Include(name, number, match.group(1))


def room_of_file(name: str) -> tuple[str, str]:
    """("lib", "losses"), ("cad_bridge", "worker"), ("tests", "model") or ("geometry_samples", "").

    A library file that stands in no room belongs to ("lib", "").
    """
    parts = name.split("/")
    if parts[0] == "lib":
        return ("lib", parts[2] if len(parts) > 3 else "")
    return (parts[0], parts[1] if len(parts) > 2 else "")


def room_of_header(header: str) -> tuple[str, str] | None:
    """The room of a header of ours; ("lib", "") for those that all rooms share; None for others' headers."""
    if header in COMMON:
        return ("lib", "")
    parts = header.split("/")
    if parts[0] == "corefeed":
        return ("lib", parts[1])
    if parts[0] in ("cad_bridge", "tests", "geometry_samples"):
        return (parts[0], parts[1] if len(parts) > 2 else "")
    return None


def finish(faults: list[str]) -> None:
    """Ends the program: one line a fault and status 1, or a word and 0."""
    for fault in faults:
        print(fault)
    print(f"{len(faults)} faults" if faults else "nothing to say")
    sys.exit(1 if faults else 0)
