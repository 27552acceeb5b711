#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Runs the fuzz targets of `cmake --workflow --preset fuzz` from their corpora and prints a line for each.

    tests/fuzz/run.py --seconds 20 --jobs 2
    tests/fuzz/run.py --seconds 3600 --target network --keep

New inputs are gathered in the build folder and serve the next run; `--keep` also puts the best of them into the
tree's corpus. A finding lands in the build folder's `findings`, is named, and makes the status 1.
"""

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).resolve().parent

# Longest input in bytes, and which dictionary speaks its language.
TARGETS = {
    "binding_file": (2048, "json"),
    "command_words": (400, "words"),
    "csv_table": (2048, "table"),
    "curve_table": (1024, "table"),
    "json_document": (4096, "json"),
    "lap_trace": (1024, "table"),
    "measured_model": (4096, "measurement"),
    "model_file": (12288, "model"),
    "network": (600, None),
    "point_table": (1024, "table"),
    "pressure_table": (1024, "table"),
    "quantity": (120, "quantity"),
    "step_prescan": (16384, "step"),
    "worker_reply": (4096, "measurement"),
    "worker_request": (1024, "measurement"),
}
FLAGS = ["-rss_limit_mb=1024", "-print_final_stats=1", "-verbosity=1"]

# What the tree holds of a target at most, besides the inputs that once were findings.
MOST_FILES = 100
MOST_BYTES = 300_000
FINDING = "found_"


class Ran(NamedTuple):
    target: str
    cpu_seconds: float
    executions: int
    speed: int
    edges: int
    added: int
    findings: list[Path]
    status: int
    output: str


def environment(scratch: str) -> dict[str, str]:
    return {**os.environ, "TMPDIR": scratch, "UBSAN_OPTIONS": "print_stacktrace=1"}


def scratch_folder() -> tempfile.TemporaryDirectory:
    """In memory where that can be had: targets write small files by the million."""
    return tempfile.TemporaryDirectory(prefix="corefeed-fuzz-", dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None)


def stat(output: str, name: str) -> int:
    found = re.search(rf"stat::{name}:\s*(\d+)", output)
    return int(found.group(1)) if found else 0


def fuzz(build: Path, target: str, seconds: int, timeout: int, seed: int) -> Ran:
    longest, words = TARGETS[target]
    gathered = build / "corpus" / target
    findings = build / "findings"
    gathered.mkdir(parents=True, exist_ok=True)
    findings.mkdir(exist_ok=True)
    before = set(findings.iterdir())
    dictionary = [f"-dict={HERE / 'dictionaries' / words}.dict"] if words else []
    with scratch_folder() as scratch, open(Path(scratch) / "output", "w+", errors="replace", encoding="utf-8") as said:
        started = subprocess.Popen(
            [build / "bin" / f"fuzz_{target}", *FLAGS, *dictionary, f"-max_len={longest}", f"-max_total_time={seconds}",
             f"-timeout={timeout}", f"-report_slow_units={timeout}", f"-seed={seed}",
             f"-artifact_prefix={findings}/{target}-", gathered, HERE / "corpus" / target],
            env=environment(scratch), stdout=said, stderr=subprocess.STDOUT)
        # Processor time, as others may use the machine too.
        _, status, usage = os.wait4(started.pid, 0)
        started.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        output = said.read()
    edges = re.findall(r"cov: (\d+)", output)
    cpu_seconds = usage.ru_utime + usage.ru_stime
    executions = stat(output, "number_of_executed_units")
    new = sorted(path for path in set(findings.iterdir()) - before if path.name.startswith(target + "-"))
    return Ran(target, cpu_seconds, executions, round(executions / max(cpu_seconds, 0.01)),
               int(edges[-1]) if edges else 0, stat(output, "new_units_added"), new, started.returncode, output)


def features_of(build: Path, target: str, files: list[Path]) -> list[set[str]]:
    """What each file reaches, as the fuzzer's merge writes it into its control file."""
    with scratch_folder() as scratch:
        empty, given, control = Path(scratch) / "empty", Path(scratch) / "given", Path(scratch) / "control"
        empty.mkdir()
        given.mkdir()
        for number, path in enumerate(files):
            shutil.copy(path, given / f"{number:06}")
        # Edges alone: how often each is passed would keep ten times as many files.
        subprocess.run([build / "bin" / f"fuzz_{target}", "-merge=1", "-use_counters=0", "-rss_limit_mb=1024", "-timeout=5",
                        f"-merge_control_file={control}", f"-artifact_prefix={scratch}/", empty, given],
                       env=environment(scratch), check=True, capture_output=True)
        lines = control.read_text().splitlines()
    count = int(lines[0])
    names = lines[2:2 + count]
    reached: list[set[str]] = [set() for _ in files]
    for line in lines[2 + count:]:
        words = line.split()
        if words[0] == "FT":
            reached[int(Path(names[int(words[1])]).name)] = set(words[2:])
    return reached


def keep(build: Path, target: str) -> int:
    """Puts the files that together reach most, the small ones first, into the tree. Returns how many there are."""
    tree = HERE / "corpus" / target
    findings = sorted(path for path in tree.iterdir() if path.name.startswith(FINDING))
    files = [path for path in [*sorted(tree.iterdir()), *sorted((build / "corpus" / target).iterdir())] if path not in findings]
    reached = features_of(build, target, findings + files)
    have: set[str] = set().union(*reached[:len(findings)])
    left = dict(zip(files, reached[len(findings):]))
    chosen: list[Path] = []
    room = MOST_BYTES - sum(path.stat().st_size for path in findings)
    while left and len(chosen) + len(findings) < MOST_FILES:
        left = {path: more for path, features in left.items() if (more := features - have) and path.stat().st_size <= room}
        if not left:
            break
        best = max(left, key=lambda path: len(left[path]) / (1000 + path.stat().st_size))
        have |= left.pop(best)
        room -= best.stat().st_size
        chosen.append(best)
    # A file keeps the name that it has in the tree; one that the fuzzer made has its sum as its name.
    contents = {path.name: path.read_bytes() for path in chosen}
    for path in tree.iterdir():
        if path not in findings and path.name not in contents:
            path.unlink()
    for name, content in contents.items():
        (tree / name).write_bytes(content)
    return len(contents) + len(findings)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--build", type=Path, default=HERE.parents[1] / "build" / "fuzz", help="build folder of the preset")
    parser.add_argument("--seconds", type=int, default=20, help="for each target")
    parser.add_argument("--timeout", type=int, default=5, help="seconds for one input; more where others use the machine")
    parser.add_argument("--seed", type=int, default=0, help="of the fuzzer's draws; another one each time if absent")
    parser.add_argument("--target", action="append", choices=sorted(TARGETS), help="may be repeated; all if absent")
    parser.add_argument("--jobs", type=int, default=1, help="targets at a time")
    parser.add_argument("--keep", action="store_true", help="put the best of the new inputs into the tree's corpus")
    asked = parser.parse_args()
    build = asked.build.resolve()
    bad = False
    print(f"{'target':<16} {'CPU s':>7} {'executions':>10} {'per s':>6} {'edges':>6} {'new':>5}  findings", flush=True)
    with ThreadPoolExecutor(asked.jobs) as pool:
        def fuzzed(target: str) -> Ran:
            return fuzz(build, target, asked.seconds, asked.timeout, asked.seed)

        for ran in pool.map(fuzzed, asked.target or sorted(TARGETS)):
            names = ", ".join(str(path) for path in ran.findings) or ("none" if ran.status == 0 else f"status {ran.status}")
            print(f"{ran.target:<16} {ran.cpu_seconds:>7.1f} {ran.executions:>10} {ran.speed:>6} {ran.edges:>6} {ran.added:>5}  "
                  f"{names}", flush=True)
            if ran.status != 0:
                bad = True
                print("\n".join(ran.output.splitlines()[-60:]), flush=True)
            elif asked.keep:
                print(f"{ran.target:<16} {keep(build, ran.target)} files in the tree", flush=True)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
