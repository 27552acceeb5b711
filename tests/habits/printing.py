# SPDX-License-Identifier: Apache-2.0
"""Fails when the library prints or ends the program: what it has to say is a value, and the command prints it.

    python3 printing.py TREE
"""

import re
import sys
from pathlib import Path

from sources import CPP, files, finish

# Comments and literals, which may name anything.
QUIET = re.compile(r'//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])+\'', re.DOTALL)
CALLS = re.compile(r"\b(?:std::(?:cout|cerr|clog)\b|(?:std::|fmt::)?(?:v?f?printf|f?puts|fputc|putchar|perror|print|"
                   r"println|abort|exit|_exit|quick_exit|terminate)\s*\()")


def blank(match: re.Match[str]) -> str:
    return "\n" * match.group().count("\n")


def main() -> None:
    tree = Path(sys.argv[1])
    faults = []
    for path in files(tree, ["lib"], CPP):
        text = QUIET.sub(blank, path.read_text(encoding="utf-8"))
        for number, line in enumerate(text.splitlines(), 1):
            for match in CALLS.finditer(line):
                name = path.relative_to(tree).as_posix()
                faults.append(f"{name}:{number}: {match.group().rstrip('( ')}: the library neither prints nor aborts")
    finish(faults)


if __name__ == "__main__":
    main()
