# SPDX-License-Identifier: Apache-2.0
"""Whole runs of the command in which the n-th request for memory fails, once or from there on: each ends with status 7
and a message, or gives the right answer all the same; never a crash, never a torn file.

    python3 memory_test.py COMMAND SOURCE LIBRARY [--every N] [--all]

LIBRARY is the preloaded one (fail_memory.cpp). A test run takes every 97th request on two models, and not more than 60
of each job and kind; --every N takes every N-th of all jobs on five models, --all each of them, which needs a day.
"""
import sys
import unittest

from planting import Job, Plant, in_parallel, torn

COMMAND, SOURCE, LIBRARY = sys.argv[1:4]
EVERY = 1 if "--all" in sys.argv else int(sys.argv[sys.argv.index("--every") + 1]) if "--every" in sys.argv else 0
PLANT = Plant(COMMAND, LIBRARY, SOURCE)

GOLDEN = "tests/data/golden-model.json"
OIL = "geometry_samples/oil_loop.corefeed"
FILES = ("--junit", "{}/junit.xml", "--sarif", "{}/out.sarif", "--json", "{}/out.json", "--html", "{}/page.html")
TARGETS = ("junit.xml", "out.sarif", "out.json", "page.html")

JOBS = [
    Job("check", [GOLDEN], ["check", "{}/golden-model.json", *FILES], TARGETS),
    Job("solve", [OIL], ["solve", "{}/oil_loop.corefeed", "--format", "json", "-o", "{}/out.json"], ("out.json",)),
    Job("validate", [GOLDEN], ["validate", "{}/golden-model.json"]),
    Job("sweep", [GOLDEN], ["sweep", "{}/golden-model.json", "--over", "speed=90km/h:200km/h:3", "--jobs", "2"],
        streams=True),
]
if EVERY:
    BENCH = "geometry_samples/oil_cooler_bench.corefeed"
    STACK = "tests/data/stack-demo.corefeed"
    JOBS += [
        Job("size", [GOLDEN], ["size", "{}/golden-model.json", "--vary", "fender_vent.area", "--until",
                               "radiator.flow >= 1.2 kg/s", "--write", "{}/sized.json"], ("sized.json",)),
        Job("report", [GOLDEN], ["report", "{}/golden-model.json", "-o", "{}/page.html"], ("page.html",)),
        Job("compare", [BENCH], ["compare", "{}/oil_cooler_bench.corefeed", "-o", "{}/out.txt"], ("out.txt",)),
        Job("check of a stack", [STACK], ["check", "{}/stack-demo.corefeed", "-o", "{}/out.txt"], ("out.txt",)),
        Job("check of a loop", [OIL], ["check", "{}/oil_loop.corefeed", "-o", "{}/out.txt"], ("out.txt",)),
    ]


class Memory(unittest.TestCase):
    def test_every_request(self):
        for job in JOBS:
            unbroken = PLANT.run(job, "once")
            self.assertIn(unbroken.status, (0, 1), unbroken.message)
            self.assertGreater(unbroken.count, 1000, "nothing was counted: the library was not loaded")
            step = EVERY or max(97, unbroken.count // 60)
            turns = [(kind, at) for kind in ("once", "onwards") for at in range(1, unbroken.count + 1, step)]
            faults = in_parallel(lambda turn, job=job, unbroken=unbroken: self.faults(job, unbroken, *turn), turns)
            print(f"{job.name}: {unbroken.count} requests, {len(turns)} runs", file=sys.stderr)
            self.assertEqual(faults[:10], [], f"{len(faults)} of {job.name}")

    def faults(self, job, unbroken, kind, at):
        ending = PLANT.run(job, kind, at)
        found = torn(ending, unbroken, job)
        if ending.status == unbroken.status:
            if ending.out != unbroken.out or ending.files != unbroken.files:
                found.append("the answer is another one")
        elif ending.status != 7:
            found.append(f"status {ending.status}")
        elif ending.out not in (b"", unbroken.out) and not (job.streams and unbroken.out.startswith(ending.out)):
            found.append("half an answer is printed")
        elif not ending.message:
            found.append("no message")
        return [f"{kind} {at}: {fault}; {ending.message[-200:]}" for fault in found]


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
