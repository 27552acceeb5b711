# SPDX-License-Identifier: Apache-2.0
"""Whole runs of the command in which the n-th call on a file goes wrong, for every n until the run passes: the status
of the contract, every file whole, nothing left. Then runs that are killed at each call: the old file or the new one.

    python3 files_test.py COMMAND SOURCE LIBRARY with-cad|no-cad

LIBRARY is the preloaded one (fail_files.cpp).
"""
import os
import shutil
import sys
import tempfile
import unittest

from planting import Job, Plant, in_parallel, torn

COMMAND, SOURCE, LIBRARY, CAD = sys.argv[1:5]
PLANT = Plant(COMMAND, LIBRARY, SOURCE)

GOLDEN = "tests/data/golden-model.json"
MODEL = "{}/golden-model.json"
DUCT = "geometry_samples/nose_duct.step"
SWEEP = ("sweep", MODEL, "--over", "speed=90km/h:200km/h:9", "--jobs", "1")

JOBS = [
    Job("check with all its files", [GOLDEN],
        ["check", MODEL, "--junit", "{}/junit.xml", "--sarif", "{}/out.sarif", "--json", "{}/out.json", "-o",
         "{}/out.txt"], ("junit.xml", "out.sarif", "out.json", "out.txt")),
    Job("solve to standard output", [GOLDEN], ["solve", MODEL, "--format", "json"]),
    Job("report", [GOLDEN], ["report", MODEL, "-o", "{}/page.html"], ("page.html",)),
    Job("size", [GOLDEN], ["size", MODEL, "--vary", "fender_vent.area", "--until", "radiator.flow >= 1.2 kg/s", "--write",
                           "{}/sized.json", "-o", "{}/out.txt"], ("sized.json", "out.txt")),
    Job("sweep to standard output", [GOLDEN], [*SWEEP]),
]
# A sweep that breaks off keeps its rows in FILE.part, to go on with.
SWEEPS = [Job("sweep to " + form, [GOLDEN], [*SWEEP, "--format", form, "-o", "{}/rows." + form],
              ("rows.csv", "rows.csv.sweep.json") if form == "csv" else ("rows.json",)) for form in ("csv", "json")]
if CAD == "with-cad":
    JOBS += [Job("measure", [DUCT], ["measure", "{}/nose_duct.step", "--html", "{}/page.html", "-o", "{}/out.txt"],
                 ("page.html", "out.txt"))]

# A fault of ours (70), a crash and a wrong command line are no answer to any of these.
FAULTS = {
    "open": ("ENOSPC", "EIO", "EACCES", "EMFILE"),
    "read": ("EIO", "EINTR", "short"),
    "write": ("ENOSPC", "EIO", "EDQUOT", "EINTR", "short"),
    "fsync": ("EIO", "ENOSPC", "EINTR"),
    "close": ("EIO", "ENOSPC", "EINTR"),
    "rename": ("EACCES", "EIO", "ENOSPC"),
    "ftruncate": ("EIO", "ENOSPC"),
    "fchmod": ("EROFS", "EACCES"),
}
STATUSES = (3, 5, 6, 7)
# What the system does now and then without any fault.
HARMLESS = ("EINTR", "short")


def turns(job, faults):
    """Every call of every kind that the run makes."""
    for call, kinds in faults.items():
        count = PLANT.run(job, call + ":count").count
        for kind in kinds:
            for at in range(1, count + 1):
                yield f"{call}:{kind}", at


class Files(unittest.TestCase):
    def each(self, jobs, faults, work):
        for job in jobs:
            unbroken = PLANT.run(job)
            self.assertIn(unbroken.status, (0, 1), unbroken.message)
            listed = list(turns(job, faults))
            self.assertGreater(len(listed), 2, "nothing was counted: the library was not loaded")
            found = in_parallel(lambda turn, job=job, unbroken=unbroken: work(job, unbroken, *turn), listed)
            print(f"{job.name}: {len(listed)} runs", file=sys.stderr)
            self.assertEqual(found[:10], [], f"{len(found)} of {job.name}")

    def failed(self, job, unbroken, kind, at):
        ending = PLANT.run(job, kind, at)
        found = torn(ending, unbroken, job)
        done = ending.status == unbroken.status
        if done and (ending.out, ending.files) != (unbroken.out, unbroken.files):
            found.append("the answer is another one")
        if not done and ending.status not in STATUSES:
            found.append(f"status {ending.status}")
        if not done and kind.endswith(HARMLESS):
            found.append(f"status {ending.status} for what is no fault")
        if not done and not ending.message and ":E" in kind and not kind.startswith("write"):
            found.append("no message")
        return [f"{kind} {at}: {fault}; {ending.message[-200:]}" for fault in found]

    def test_every_call_of_a_file_may_fail(self):
        self.each(JOBS, FAULTS, self.failed)

    def killed(self, job, unbroken, kind, at):
        ending = PLANT.run(job, kind, at)
        # A temporary file with a name of its own may stay behind a kill; a target is whole.
        kept = {name: content for name, content in ending.files.items()
                if not (name.startswith(".corefeed-") and name.endswith(".tmp"))}
        ending.files = kept
        found = torn(ending, unbroken, job)
        # How often a pipe is read differs from run to run, so that the last calls may not come.
        if ending.status != -9 and (ending.count >= at or ending.status != unbroken.status):
            found.append(f"status {ending.status}")
        return [f"{kind} {at}: {fault}" for fault in found]

    def test_killed_at_each_call_a_file_is_the_old_or_the_new_one(self):
        self.each(JOBS, {call: ("kill",) for call in FAULTS}, self.killed)

    def resumed(self, job, unbroken, kind, at):
        """Whatever happened, the same command with --resume gives the unbroken rows."""
        with tempfile.TemporaryDirectory(prefix="faults-") as folder:
            for name in job.inputs:
                shutil.copy(os.path.join(SOURCE, name), folder)
            ending = PLANT.run_in(folder, job, kind, at)
            found = []
            if ending.status not in (*STATUSES, 0, -9):
                found.append(f"status {ending.status}")
            for name in job.targets:
                if ending.files.get(name, unbroken.files[name]) != unbroken.files[name]:
                    found.append(f"{name} is torn")
            if any(name.startswith(".corefeed-") for name in ending.files) and ending.status != -9:
                found.append("a temporary file is left")
            again = Job(job.name, job.inputs, [*job.arguments, "--resume"], job.targets)
            after = PLANT.run_in(folder, again, "", 0)
            rows = {name: content for name, content in after.files.items() if not name.startswith(".corefeed-")}
            if after.status != 0 or rows != unbroken.files:
                found.append(f"resumed: status {after.status}, {sorted(rows)}, {after.message[-200:]}")
        return [f"{kind} {at}: {fault}; {ending.message[-200:]}" for fault in found]

    def test_a_sweep_goes_on_after_every_fault(self):
        faults = {call: (*kinds, "kill") for call, kinds in FAULTS.items()}
        self.each(SWEEPS, faults, self.resumed)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
