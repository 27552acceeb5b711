# SPDX-License-Identifier: Apache-2.0
"""Plants faults into the library, one at a time, and wants each to be caught by a test.

    plant.py BUILD [--only TEXT] [--jobs N]

BUILD is a build folder (Ninja) with its test programs built; neither it nor the sources are touched. A fault's source
is compiled with the fault in it, by the build's own command, and linked before the library into the room's test
programs: the linker takes the symbols that it meets first. Each program runs up to its first failure.
Ends with 1 where a fault survives, with 2 where the lists or the build do not serve.
"""

import argparse
import json
import os
import re
import shlex
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

from faults import Fault, ListError, all_faults, planted

TREE = Path(__file__).resolve().parent.parent.parent

# Which programs look at a room: the likeliest to find a fault there comes first. The first fitting row counts.
PROGRAMS = [
    ("lib/corefeed/losses/", ["losses_laws_tests", "losses_tests", "published_tests", "model_tests", "cooling_tests",
                              "studies_tests"]),
    ("lib/corefeed/network/", ["network_tests", "cooling_tests", "published_tests", "studies_tests"]),
    ("lib/corefeed/cooling/", ["cooling_tests", "published_tests", "model_tests", "studies_tests", "network_tests"]),
    ("lib/corefeed/model/", ["model_tests", "studies_tests"]),
    ("lib/corefeed/units/", ["units_tests", "model_tests"]),
    ("lib/corefeed/fluids/", ["fluids_tests", "published_tests", "cooling_tests", "studies_tests"]),
]
# Laws and balances stand a second time in objects for several points at once, which have no fault: that the two agree
# would be a test of the planting, not of what was planted.
LEFT_OUT = "--gtest_filter=-Batch.*:Sweep.*:SweepEquals.*"
JOINED = re.compile(r'^#include "(.+)"$', re.MULTILINE)
FAILED = re.compile(r"^\[  FAILED  \] ([\w/.]+)", re.MULTILINE)


class BuildError(Exception):
    """Why the build does not serve."""


class Outcome(NamedTuple):
    fault: Fault
    caught_by: str  # empty where it survives
    seconds: float


def programs_for(source: str) -> list[str]:
    for folder, programs in PROGRAMS:
        if source.startswith(folder):
            return programs
    raise ListError(f"no row of PROGRAMS in {Path(__file__).name} fits {source}")


class Build:
    """Commands of a build folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder.resolve()
        commands = self.folder / "compile_commands.json"
        if not commands.is_file():
            raise BuildError(f"{commands} is missing; configure and build, for example by cmake --preset tested")
        rows = json.loads(commands.read_text(encoding="utf-8"))
        self.compile = {Path(row["file"]).resolve(): row for row in rows}
        # A source that is joined with others is compiled as these are, alone.
        for joined, row in [(file, row) for file, row in self.compile.items() if file.parent.name == "Unity"]:
            for source in JOINED.findall(joined.read_text(encoding="utf-8")):
                self.compile[Path(source).resolve()] = row
        self.link: dict[str, list[str]] = {}
        self.limit: dict[str, float] = {}

    def compile_command(self, source: Path, text: Path, target: Path, headers: Path) -> list[str]:
        row = self.compile.get(source)
        if row is None:
            raise BuildError(f"{self.folder} does not compile {source}")
        words = shlex.split(row["command"])
        words[words.index("-o") + 1] = str(target)
        words[words.index("-c") + 1] = str(text)
        # A fault may leave something unused; that is not what is to be found here.
        first = next(i for i, word in enumerate(words) if word.startswith("-I"))
        return [*words[:first], f"-I{headers}", *words[first:], "-w"]

    def link_command(self, program: str, target: Path, extra: Path) -> list[str]:
        words = list(self.link[program])
        output = words.index("-o")
        words[output + 1] = str(target)
        first = next(i for i, word in enumerate(words) if word.endswith(".o"))
        # What stands beside the source in a joined object is needed all the same; the faulty symbols come first.
        return [*words[:first], "-Wl,-z,muldefs", str(extra), *words[first:]]

    def prepare(self, program: str) -> None:
        """Finds how the program is linked, and that it passes without a fault; how long it may take is ten times
        that."""
        ninja = subprocess.run(["ninja", "-C", self.folder, "-t", "commands", f"bin/{program}"], capture_output=True,
                               text=True, check=False)
        steps = [step for line in ninja.stdout.splitlines()[-1:] for step in line.split(" && ")]
        links = [step for step in steps if f"-o bin/{program} " in step]
        if ninja.returncode != 0 or len(links) != 1:
            raise BuildError(f"{self.folder}: no one command links bin/{program}: {ninja.stderr or ninja.stdout}")
        self.link[program] = shlex.split(links[0])
        begun = time.monotonic()
        path = self.folder / "bin" / program
        if not path.is_file():
            raise BuildError(f"{path} is not built")
        done = self.run(path, None)
        if done:
            raise BuildError(f"{path} fails without a fault: {done}")
        self.limit[program] = 20.0 + 10.0 * (time.monotonic() - begun)

    def run(self, path: Path, limit: float | None) -> str:
        """"" if all tests pass, else the first that does not, or how the program ended."""
        try:
            done = subprocess.run([path, LEFT_OUT, "--gtest_fail_fast", "--gtest_brief=1"], capture_output=True,
                                  text=True, errors="replace", check=False, timeout=limit, cwd=self.folder / "tests",
                                  env={**os.environ, "GTEST_COLOR": "no", "RC_PARAMS": "seed=1"})
        except subprocess.TimeoutExpired:
            return "a time limit"
        if done.returncode == 0:
            return ""
        found = FAILED.search(done.stdout)
        return found.group(1) if found else f"an end with status {done.returncode}"


def outcome_of(build: Build, fault: Fault) -> Outcome:
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        # A header goes where its own path finds it before the tree does.
        changed = Path(folder) / Path(fault.changed).relative_to("lib")
        changed.parent.mkdir(parents=True)
        changed.write_text(planted(TREE, fault), encoding="utf-8")
        target = Path(folder) / "fault.o"
        text = changed if fault.changed == fault.source else TREE / fault.source
        command = build.compile_command(TREE / fault.source, text, target, Path(folder))
        done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=build.folder)
        if done.returncode != 0:
            raise ListError(f"{fault.list}: does not compile with the fault in it:\n{done.stderr}")
        for program in programs_for(fault.source):
            linked = Path(folder) / program
            done = subprocess.run(build.link_command(program, linked, target), capture_output=True, text=True,
                                  check=False, cwd=build.folder)
            if done.returncode != 0:
                raise BuildError(f"{program} does not link with a fault of {fault.source}:\n{done.stderr}")
            test = build.run(linked, build.limit[program])
            linked.unlink()
            if test:
                return Outcome(fault, f"{test} ({program})", time.monotonic() - begun)
    return Outcome(fault, "", time.monotonic() - begun)


def plant_all(build: Build, faults: list[Fault], jobs: int) -> int:
    for program in sorted({program for fault in faults for program in programs_for(fault.source)}):
        build.prepare(program)
    survivors = 0
    with ThreadPoolExecutor(jobs) as pool:
        for one in pool.map(lambda fault: outcome_of(build, fault), faults):
            survivors += not one.caught_by
            print(f"{'caught by ' + one.caught_by if one.caught_by else 'SURVIVED'}: {one.fault.changed}: "
                  f"{one.fault.what} [{one.seconds:.0f} s]", flush=True)
    print(f"{len(faults)} faults planted, {len(faults) - survivors} caught, {survivors} survived")
    return 1 if survivors else 0


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("build", type=Path, metavar="BUILD")
    parser.add_argument("--only", default="", metavar="TEXT", help="faults whose source or words hold this text")
    parser.add_argument("--jobs", type=int, default=len(os.sched_getaffinity(0)), metavar="N")
    arguments = parser.parse_args()
    try:
        faults = [fault for fault in all_faults(TREE) if arguments.only in f"{fault.changed}: {fault.what}"]
        if not faults:
            raise ListError(f"no fault's source or words hold \"{arguments.only}\"")
        return plant_all(Build(arguments.build), faults, arguments.jobs)
    except (ListError, BuildError) as error:
        print(f"plant.py: {error}", file=sys.stderr)
        return 2


if __name__ == "__main__":
    sys.exit(main())
