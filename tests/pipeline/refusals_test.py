# SPDX-License-Identifier: Apache-2.0
"""What the command refuses, in its own words, and what it leaves behind. Arguments: command, source folder, with-cad or
no-cad. Wrong models stand in command_test.py, sweeps that go well in sweep_test.py."""
import fcntl
import json
import os
import pty
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

COMMAND, SOURCE, CAD = sys.argv[1:4]
SAMPLES = os.path.join(SOURCE, "geometry_samples")
GOLDEN = os.path.join(SOURCE, "tests", "data", "golden-model.json")
GRID = ("--over", "fender_vent.area=250cm2:800cm2:7", "--over", "speed=90km/h:250km/h:9")
with_cad = unittest.skipUnless(CAD == "with-cad", "built without CAD")


class Refusals(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)

    def path(self, name):
        return os.path.join(self.folder, name)

    def write(self, name, text):
        with open(self.path(name), "w", encoding="utf-8") as file:
            file.write(text)
        return self.path(name)

    def read(self, name):
        with open(self.path(name), encoding="utf-8") as file:
            return file.read()

    def run_command(self, *arguments, **options):
        done = subprocess.run([COMMAND, *arguments], capture_output=True, text=True, timeout=300, check=False, **options)
        return done.returncode, done.stdout, done.stderr

    def done(self, *arguments):
        status, out, message = self.run_command(*arguments)
        self.assertEqual(status, 0, message)
        return out

    def refused(self, status, message, *arguments):
        """The whole of standard error, and nothing else."""
        self.assertEqual(self.run_command(*arguments), (status, "", message))


class Questions(Refusals):
    def test_explain(self):
        self.refused(2, 'unknown_name: there is no element kind "ducct"; did you mean "duct"?\n', "explain", "ducct")
        self.refused(2, 'unknown_name: there is no element kind "flugelhorn"; corefeed explain lists all\n', "explain",
                     "flugelhorn")

    def test_nothing_to_lock(self):
        self.refused(3, f"{GOLDEN}: nothing_to_lock: no element takes numbers from CAD, so there is nothing to lock\n",
                     "validate", "--lock", GOLDEN)
        self.assertFalse(os.path.exists(GOLDEN + ".lock.json"))

    def test_nothing_to_compare(self):
        self.refused(2, f'nothing_to_compare: {GOLDEN} has no "variants" to compare it with; write some, or name a second '
                     "file\n", "compare", GOLDEN)

    def test_a_sized_speed_of_a_table_has_no_place(self):
        with open(GOLDEN, encoding="utf-8") as file:
            model = json.load(file)
        model["points"] = {"table": "points.csv"}
        self.write("points.csv", "name,speed [km/h]\nfast straight,180\n")
        status, out, message = self.run_command("size", self.write("model.json", json.dumps(model)), "--vary", "speed",
                                                "--until", "radiator.flow >= 1.2 kg/s", "--write", self.path("sized.json"))
        self.assertEqual((status, out), (2, ""))
        self.assertRegex(message, r"^not_writable: --write: \S*speed stands in the table of points; the sized model would "
                         r"not hold it\n$")
        self.assertFalse(os.path.exists(self.path("sized.json")))

    @with_cad
    def test_names_of_openings(self):
        for name in ("fender_vent", "=fender_vent", "cutout 1="):
            cloud = self.write("run.csv", "x [mm],y [mm],z [mm],cp\n0,0,0,-0.3\n")
            self.refused(2, f'bad_name: --call: "{name}"; expected OPENING=ELEMENT, such as "cutout 1=fender_vent"\n',
                         "measure", os.path.join(SAMPLES, "vent_and_rail.step"), "--surface-pressure", cloud, "--call", name)

    def test_a_proposal_does_not_overwrite(self):
        kept = self.write("front.corefeed", "filled in by hand")
        self.refused(6, f"{kept}: file_exists: this file exists and may have been filled in by hand; give another name, or "
                     "remove it first\n", "propose", os.path.join(SAMPLES, "front_end.step"), "-o", kept)
        self.assertEqual(self.read("front.corefeed"), "filled in by hand")


class Sweeps(Refusals):
    def test_what_is_no_file_cannot_be_resumed(self):
        self.refused(2, "/dev/null: cannot_resume: what was written here before cannot be looked at\n", "sweep", GOLDEN, *GRID,
                     "-o", "/dev/null", "--resume")

    def test_two_runs_into_one_file(self):
        rows = self.path("rows.csv")
        with open(rows + ".part", "w", encoding="utf-8") as file:
            fcntl.flock(file, fcntl.LOCK_EX)
            self.refused(2, f"{rows}.part: is_being_written: another run is writing these rows; wait for it, or end it\n",
                         "sweep", GOLDEN, *GRID, "-o", rows, "--resume")
            self.assertEqual(os.path.getsize(rows + ".part"), 0)

    def test_rows_of_no_sweep(self):
        rows = self.path("rows.csv")
        self.write("rows.csv.part", "row,point\n1,fast\n")
        self.write("rows.csv.part.sweep.json", '{"a": 1}\n')
        self.refused(2, f"{rows}.part: cannot_resume: the first line of {rows}.part.sweep.json does not tell what sweep the "
                     "rows belong to; delete it to begin anew\n", "sweep", GOLDEN, *GRID, "-o", rows, "--resume")
        self.assertEqual(self.read("rows.csv.part"), "row,point\n1,fast\n")

    def slices(self, count):
        names = [self.path(f"slice{i}.csv") for i in range(1, count + 1)]
        for i, name in enumerate(names, 1):
            self.done("sweep", GOLDEN, *GRID, "--slice", f"{i}/{count}", "-o", name)
        return names

    def change_facts(self, name, change):
        with open(name + ".sweep.json", encoding="utf-8") as file:
            facts = json.load(file)
        change(facts["slice"])
        with open(name + ".sweep.json", "w", encoding="utf-8") as file:
            file.write(json.dumps(facts) + "\n")

    def merge(self, *names):
        return self.run_command("sweep", "--merge", *names, "-o", self.path("merged.csv"))

    def test_slices_whose_facts_are_wrong(self):
        one, two = self.slices(2)
        first = int(self.read("slice2.csv").splitlines()[1].split(",")[0])
        self.change_facts(two, lambda facts: facts.update(first=first + 1))
        self.assertEqual(self.merge(one, two),
                         (3, "", f"{two}: incomplete: begins with row {first + 1}, expected row {first}\n"))
        for wrong in (-1, 1e300, "x", None):  # no place where a slice could stand
            self.change_facts(two, lambda facts: facts.update(first=wrong))
            self.assertEqual(self.merge(one, two),
                             (3, "", f"{two}: incomplete: begins with row 0, expected row {first}\n"), wrong)
        self.change_facts(two, lambda facts: facts.update(rows=0))
        self.assertEqual(self.merge(one, two)[0], 3)
        self.assertFalse(os.path.exists(self.path("merged.csv")))
        self.assertFalse(os.path.exists(self.path("merged.csv.merging")))

    def test_slices_that_are_too_few(self):
        """Slices that tell of fewer rows than the sweep has, each whole in itself."""
        one, two = self.slices(2)
        for name in (one, two):
            with open(name + ".sweep.json", encoding="utf-8") as file:
                facts = json.load(file)
            facts["rows"] += 1
            with open(name + ".sweep.json", "w", encoding="utf-8") as file:
                file.write(json.dumps(facts) + "\n")
        self.assertEqual(self.merge(one, two), (3, "", f"{self.path('merged.csv')}: incomplete: the slices hold 63 of 64 "
                                                "rows\n"))

    def test_an_empty_slice_file(self):
        empty = self.write("empty.csv", "")
        self.assertEqual(self.merge(empty), (3, "", f"{empty}: missing_file: there is no such file, or it is empty\n"))

    def test_progress_is_told_to_a_terminal_alone(self):
        arguments = [COMMAND, "sweep", GOLDEN, "--over", "fender_vent.area=250cm2:800cm2:100", "--over",
                     "speed=90km/h:250km/h:300", "--jobs", "1", "-o", self.path("rows.csv")]
        ours, theirs = pty.openpty()
        with subprocess.Popen(arguments, stderr=theirs, stdout=subprocess.PIPE) as process:
            os.close(theirs)
            told = b""
            try:
                while piece := os.read(ours, 4096):
                    told += piece
            except OSError:  # how a terminal says that its other end is closed
                pass
            self.assertEqual(process.wait(timeout=300), 0)
        os.close(ours)
        lines = [line for line in told.decode().split("\r\x1b[K") if line]
        self.assertTrue(lines)
        for line in lines:
            self.assertRegex(line, r"^[\d,]+ of 30,000 rows \(\d+\.\d %\), [\d,]+ rows/s, (\d+ h )?(\d+ min )?(\d+ s)? left$")
        self.assertTrue(told.endswith(b"\r\x1b[K"))  # and is gone in the end
        done = [int(re.match(r"[\d,]+", line).group().replace(",", "")) for line in lines]
        self.assertEqual(done, sorted(done))
        self.assertEqual(self.run_command(*arguments[1:-1], self.path("other.csv")), (0, "", ""))


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
