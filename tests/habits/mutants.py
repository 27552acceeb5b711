# SPDX-License-Identifier: Apache-2.0
"""Fails where a planted fault of tests/mutants no longer fits its source, stands there twice or changes nothing, and
where a law has fewer than two.

    python3 mutants.py TREE
"""

import sys
from collections import Counter
from pathlib import Path

from sources import finish

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "mutants"))
from faults import LISTS, Fault, ListError, planted, read_list  # noqa: E402

# A whole of pieces, which has no formula of its own.
WITHOUT_A_LAW = {"duct_path"}
LEAST_OF_A_LAW = 2


def faults_of_lists(tree: Path) -> list[str]:
    said = []
    known: list[Fault] = []
    for path in sorted((tree / LISTS).glob("*.txt")):
        try:
            known += read_list(tree, path)
        except ListError as error:
            said.append(str(error))
    for fault in known:
        try:
            planted(tree, fault)
        except ListError as error:
            said.append(str(error))
        if fault.before == fault.after:
            said.append(f"{fault.list}: changes nothing")
    counts = Counter(fault.changed for fault in known)
    for law in sorted((tree / "lib/corefeed/losses/laws").glob("*.cpp")):
        name = law.relative_to(tree).as_posix()
        if law.stem not in WITHOUT_A_LAW and counts[name] < LEAST_OF_A_LAW:
            said.append(f"{name}: {counts[name]} planted faults in tests/mutants/laws.txt, expected two at least")
    return said


if __name__ == "__main__":
    finish(faults_of_lists(Path(sys.argv[1])))
