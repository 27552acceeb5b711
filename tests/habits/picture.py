# SPDX-License-Identifier: Apache-2.0
"""Compares the picture of the rooms in docs/design.md with the include lines, or draws it anew.

    python3 picture.py TREE
    python3 picture.py --write TREE
"""

import sys
from pathlib import Path

from sources import CAD_ROOMS, LIB_ROOMS, finish, includes, room_of_file, room_of_header

PAGE = "docs/design.md"
BEGIN = "<!-- rooms: drawn by tests/habits/picture.py -->\n```\n"
END = "```\n<!-- end of rooms -->\n"
ROOMS = LIB_ROOMS + list(CAD_ROOMS)


def edges(tree: Path) -> set[tuple[str, str]]:
    """Pairs (room, room that it includes) of different rooms, from the include lines."""
    found = set()
    for include in includes(tree, ["lib", "cad_bridge"]):
        target = room_of_header(include.header)
        room = room_of_file(include.file)[1]
        if target is not None and room in ROOMS and target[1] in ROOMS and target[1] != room:
            found.add((room, target[1]))
    return found


def draw(pairs: set[tuple[str, str]]) -> str:
    """A row a room, a mark below each room that it includes; one-way means nothing right of the diagonal."""
    left = max(len(room) for room in ROOMS) + 2
    lines = [" " * left + " ".join(ROOMS)]
    for room in ROOMS:
        row = room.ljust(left)
        for other in ROOMS:
            mark = "\\" if other == room else "x" if (room, other) in pairs else "."
            row += mark.center(len(other)) + " "
        lines.append(row.rstrip())
    return "\n".join(lines) + "\n"


def read(page: str) -> set[tuple[str, str]]:
    """The pairs that a picture shows."""
    begin = page.index(BEGIN) + len(BEGIN)
    lines = page[begin:page.index(END, begin)].splitlines()
    columns = {name: lines[0].index(f" {name} ") + 1 if f" {name} " in lines[0] else lines[0].rindex(name)
               for name in lines[0].split()}
    pairs = set()
    for line in lines[1:]:
        room = line.split()[0]
        for other, start in columns.items():
            if "x" in line[start:start + len(other)]:
                pairs.add((room, other))
    return pairs


def main() -> None:
    write = sys.argv[1] == "--write"
    tree = Path(sys.argv[-1])
    path = tree / PAGE
    page = path.read_text(encoding="utf-8")
    if BEGIN not in page or END not in page:
        finish([f"{PAGE}: the picture of the rooms is missing"])
    actual = edges(tree)
    if write:
        begin = page.index(BEGIN) + len(BEGIN)
        path.write_text(page[:begin] + draw(actual) + page[page.index(END, begin):], encoding="utf-8")
    shown = read(path.read_text(encoding="utf-8"))
    faults = [f"{PAGE}: shows that {room} includes {other}; no include line does" for room, other in shown - actual]
    faults += [f"{PAGE}: lacks that {room} includes {other}" for room, other in actual - shown]
    if faults:
        faults.append("after a look whether that is meant: python3 tests/habits/picture.py --write .")
    finish(sorted(faults[:-1]) + faults[-1:])


if __name__ == "__main__":
    main()
