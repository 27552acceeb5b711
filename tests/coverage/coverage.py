#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Which lines and branches of lib and cad_bridge the tests reach: builds the preset `coverage`, runs all tests, and
compares with the floor beside this file.

    python3 tests/coverage/coverage.py            everything; status 1 below the floor or where a test fails
    python3 tests/coverage/coverage.py --counted  without building and running: what the last run counted
    python3 tests/coverage/coverage.py --raise    also writes what was reached as the new floor; it never sinks
    python3 tests/coverage/coverage.py --lines lib/corefeed/model/reader.cpp    lines and branches of it not reached

Command, Python module and C library count whatever process runs them. The measuring program may write no file, hence
no counts: it is the ordinary build's, and its rooms count where tests call them. Marks in the sources that hide lines
from the count have no effect. Branches that only an exception takes, and those of lines without code, are left out.
Sentences that no test makes the program say are listed (sentences.py).
"""

import argparse
import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any, NamedTuple

from sentences import unsaid

TREE = Path(__file__).resolve().parents[2]
BUILD = TREE / "build" / "coverage"
WORKER = TREE / "build" / "release" / "bin" / "corefeed-worker"
COUNTED = BUILD / "coverage.json"
FLOOR = Path(__file__).with_name("floor.json")
WORST = 12
CONDITION = re.compile(r"\b(if|for|while|switch|case)\b|\?|&&|\|\|")

# What is packed is linked by programs that do not count. The habits read sources alone; these two take long. Faults are
# planted into thousands of runs, each of which would write its counts, and the random networks of the survey are those
# of other tests.
NOT_RUN = r"^(packaging|network_survey|faults\.|habits\.(habits_test|packed_symbols))"


class Tally(NamedTuple):
    lines: int = 0
    lines_reached: int = 0
    branches: int = 0
    branches_reached: int = 0

    def plus(self, other: "Tally") -> "Tally":
        return Tally(*(a + b for a, b in zip(self, other)))

    def shares(self) -> dict[str, float]:
        """In percent, rounded down to a tenth."""
        return {"lines": share(self.lines_reached, self.lines), "branches": share(self.branches_reached, self.branches)}


def share(reached: int, of: int) -> float:
    return math.floor(1000 * reached / of) / 10 if of else 100.0


def run(*command: str, **environment: str) -> int:
    print("+", " ".join(command), flush=True)
    return subprocess.run(command, cwd=TREE, check=False, env={**os.environ, **environment}).returncode


def count(jobs: str) -> bool:
    """Builds and runs; whether all tests passed."""
    for step in (["cmake", "--preset", "release"],
                 ["cmake", "--build", str(WORKER.parents[1]), "--target", "corefeed_worker", "-j", jobs],
                 ["cmake", "--preset", "coverage"], ["cmake", "--build", "--preset", "coverage", "-j", jobs]):
        if run(*step) != 0:
            sys.exit(1)
    for counters in BUILD.rglob("*.gcda"):
        counters.unlink()
    passed = run("ctest", "--test-dir", str(BUILD), "-j", jobs, "-E", NOT_RUN, "--timeout", "3000",
                 "--output-on-failure", "--quiet", "--output-log", str(BUILD / "tests.log"),
                 COREFEED_WORKER=str(WORKER)) == 0
    if not passed:
        print(f"tests failed; see {BUILD / 'tests.log'}")
    if run("gcovr", "--root", str(TREE), "--filter", "lib/", "--filter", "cad_bridge/", "--exclude-throw-branches",
           "--exclude-unreachable-branches", "--no-markers", "-j", jobs, "--json", str(COUNTED), str(BUILD)) != 0:
        sys.exit(1)
    return passed


def tally(file: dict[str, Any]) -> Tally:
    lines = [line for line in file["lines"] if not line["gcovr/noncode"]]
    branches = [branch["count"] > 0 for line in lines for branch in line["branches"]]
    return Tally(len(lines), sum(line["count"] > 0 for line in lines), len(branches), sum(branches))


def room_of(name: str) -> str:
    parts = name.split("/")[:-1]
    return "/".join(parts[:3] if parts[0] == "lib" else parts[:2])


def table(rows: dict[str, Tally]) -> None:
    print(f"  {'':<46} {'lines':>12} {'reached':>8} {'branches':>12} {'reached':>8}")
    for name, row in rows.items():
        print(f"  {name:<46} {row.lines_reached:>5} / {row.lines:>4} {row.shares()['lines']:>6} % "
              f"{row.branches_reached:>5} / {row.branches:>4} {row.shares()['branches']:>6} %")


def report(tallies: dict[str, Tally]) -> dict[str, Tally]:
    """Prints rooms, worst files and the two halves of the tree; gives rooms and halves."""
    halves: dict[str, Tally] = {}
    rooms: dict[str, Tally] = {}
    for name, row in tallies.items():
        for groups, group in ((halves, name.split("/")[0]), (rooms, room_of(name))):
            groups[group] = groups.get(group, Tally()).plus(row)
    print("\nby room")
    table(rooms)
    for what, key in (("lines", lambda row: row.lines - row.lines_reached),
                      ("branches", lambda row: row.branches - row.branches_reached)):
        print(f"\nfiles with the most {what} not reached")
        table(dict(sorted(tallies.items(), key=lambda item: -key(item[1]))[:WORST]))
    print("\nin all")
    table(halves)
    return {**halves, **rooms}


def compare_with_floor(reached: dict[str, Tally], write: bool, file: Path = FLOOR) -> bool:
    """Whether every share is at least the floor's; `write` raises the floor to what is reached."""
    floor = json.loads(file.read_text(encoding="utf-8"))
    kept = True
    for room, row in reached.items():
        for what, share_now in row.shares().items():
            least = floor.get(room, {}).get(what, 0.0)
            if share_now < least:
                print(f"{room}: {share_now} % of the {what} are reached, the floor is {least} %")
                kept = False
            elif share_now > least:
                print(f"{room}: {share_now} % of the {what} are reached; the floor can rise from {least} %"
                      + (" and does" if write else " (--raise)"))
                floor.setdefault(room, {})[what] = share_now
    if write:
        file.write_text(json.dumps(floor, indent=2) + "\n", encoding="utf-8")
    return kept


def unwritten_branches(files: dict[str, dict[str, Any]]) -> tuple[int, int]:
    """Branches not reached on lines that were, and how many of them stand on lines without a condition: the compiler's
    own, most of them for temporaries that are taken apart again."""
    missed = unwritten = 0
    for name, file in files.items():
        text = (TREE / name).read_text(encoding="utf-8").splitlines()
        for line in file["lines"]:
            if line["gcovr/noncode"] or not line["count"]:
                continue
            here = sum(branch["count"] == 0 for branch in line["branches"])
            missed += here
            unwritten += 0 if CONDITION.search(text[line["line_number"] - 1]) else here
    return missed, unwritten


def show_lines(files: dict[str, dict[str, Any]], name: str) -> None:
    if name not in files:
        sys.exit(f"{name}: nothing was counted there; expected a file such as {next(iter(files))}")
    text = (TREE / name).read_text(encoding="utf-8").splitlines()
    for line in files[name]["lines"]:
        missed = sum(branch["count"] == 0 for branch in line["branches"])
        if line["gcovr/noncode"] or (line["count"] and not missed):
            continue
        mark = f"{missed} of {len(line['branches'])}" if line["count"] else "never"
        print(f"{mark:>9} {line['line_number']:>5}: {text[line['line_number'] - 1]}")


def main() -> None:
    parser = argparse.ArgumentParser(description="Which lines and branches the tests reach.")
    parser.add_argument("--counted", action="store_true", help="do not build and run; use what the last run counted")
    parser.add_argument("--raise", action="store_true", dest="write", help="write what is reached as the new floor")
    parser.add_argument("--lines", metavar="FILE", help="show what of a file the last run did not reach")
    parser.add_argument("--jobs", default="2", help="processes at once")
    options = parser.parse_args()
    sound = options.counted or options.lines is not None or count(options.jobs)
    files = {file["file"]: file for file in json.loads(COUNTED.read_text(encoding="utf-8"))["files"]}
    if options.lines is not None:
        return show_lines(files, options.lines)
    reached = report({name: tally(file) for name, file in sorted(files.items())})
    print("\nof {} branches not reached on lines that are, {} stand on lines without a condition\n".format(
        *unwritten_branches(files)))
    sound = compare_with_floor(reached, options.write and sound) and sound
    silent = unsaid(TREE, files)
    for sentence in silent:
        print(sentence)
    print(f"{len(silent)} sentences that no test hears")
    sys.exit(0 if sound else 1)


if __name__ == "__main__":
    main()
