# SPDX-License-Identifier: Apache-2.0
"""Fails on a source that is too long, has no license line or holds bytes outside ASCII.

    python3 sizes.py TREE
"""

import sys
from pathlib import Path

from sources import CPP, SOURCES, files, finish

MOST_LINES = 800
LICENSE = "SPDX-License-Identifier: Apache-2.0"

# Sources that need other bytes, with the reason. Escapes ("\u00b0") serve nearly everywhere.
NOT_ASCII = {
    "lib/corefeed/units/quantity.hpp": "shows the spellings with superscripts and signs that the parser takes",
    "tests/reports/junit_test.cpp": "a name in UTF-8 inside a raw string, where an escape would stay an escape",
}


def main() -> None:
    tree = Path(sys.argv[1])
    faults = []
    for path in files(tree, ["lib", "cad_bridge", "tests", "geometry_samples"], SOURCES):
        name = path.relative_to(tree).as_posix()
        raw = path.read_bytes()
        lines = raw.splitlines()
        if len(lines) > MOST_LINES:
            faults.append(f"{name}: {len(lines)} lines, at most {MOST_LINES}; ask what room it hides")
        # A script may begin with the line that names its interpreter.
        if name.endswith(CPP + (".py",)) and LICENSE.encode() not in b"\n".join(lines[:2]):
            faults.append(f"{name}: its first lines lack \"{LICENSE}\"")
        for number, line in enumerate(lines, 1):
            if not line.isascii() and name not in NOT_ASCII:
                faults.append(f"{name}:{number}: a byte outside ASCII; write an escape or list the file in sizes.py")
    finish(faults)


if __name__ == "__main__":
    main()
