# SPDX-License-Identifier: Apache-2.0
"""corefeed sweep from outside: columns, statuses, and that the file is the same bytes however it came about.

    python3 sweep_test.py COMMAND SOURCE [KILLS]

KILLS is how often a run is killed and resumed, 20 if absent; 200 make a long run by hand.
"""
import csv
import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import unittest

COMMAND, SOURCE = sys.argv[1:3]
KILLS = int(sys.argv[3]) if len(sys.argv) > 3 else 20
GOLDEN = os.path.join(SOURCE, "tests", "data", "golden-model.json")
GRID = ("--over", "fender_vent.area=250cm2:800cm2:7", "--over", "speed=90km/h:250km/h:9")
# A second or so of work, so that there is time to break in.
LONG = ("--over", "fender_vent.area=250cm2:800cm2:100", "--over", "speed=30km/h:250km/h:300")


def run(*arguments, **options):
    done = subprocess.run([COMMAND, "sweep", *arguments], capture_output=True, text=True, timeout=300, **options)
    return done.returncode, done.stdout, done.stderr


def read(path):
    with open(path, "rb") as file:
        return file.read()


class Sweep(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)

    def path(self, name):
        return os.path.join(self.folder, name)

    def model(self, change=None, name="model.json"):
        with open(GOLDEN, encoding="utf-8") as file:
            model = json.load(file)
        model["points"].append({"name": "slow, \"wet\"", "speed": "90 km/h"})
        if change:
            change(model)
        with open(self.path(name), "w", encoding="utf-8") as file:
            json.dump(model, file)
        return self.path(name)

    def done(self, *arguments, **options):
        status, out, message = run(*arguments, **options)
        self.assertEqual(status, 0, message)
        return out, message

    def refused(self, status, *arguments, says=(), **options):
        got, out, message = run(*arguments, **options)
        self.assertEqual((got, out), (status, ""), message)
        for words in says:
            self.assertIn(words, message)
        return message


class Rows(Sweep):
    def test_csv_is_read_back(self):
        out, message = self.done(self.model(), *GRID, "--show", "radiator.flow", "--show", "car.cooling_drag_coefficient")
        self.assertEqual(message, "")
        rows = list(csv.reader(out.splitlines()))
        self.assertEqual(rows[0], ["row", "point", "fender_vent.area [m2]", "speed [m/s]", "radiator.flow [kg/s]",
                                   "car.cooling_drag_coefficient", "converged"])
        self.assertEqual(len(rows), 1 + 2 * 7 * 9)
        self.assertEqual([row[0] for row in rows[1:]], [str(i) for i in range(1, 127)])
        self.assertEqual({row[1] for row in rows[1:]}, {"fast straight", "slow, \"wet\""})
        self.assertEqual(float(rows[2][2]), 0.025)
        self.assertAlmostEqual(float(rows[1][3]), 25.0, places=12)
        self.assertEqual(rows[9][3], str(float(rows[9][3])))

    def test_a_row_is_what_solve_gives(self):
        model = self.model(lambda m: m["air"]["elements"]["fender_vent"].update(area="300 cm2"))
        done = subprocess.run([COMMAND, "solve", model, "--format", "json"], capture_output=True, check=True)
        flow = json.loads(done.stdout)["points"][0]["elements"]["radiator"]["flow"]
        out, _ = self.done(self.model(), "--over", "fender_vent.area=250cm2,300cm2", "--show", "radiator.flow",
                           "--point", "fast straight")
        self.assertAlmostEqual(float(out.splitlines()[2].split(",")[3]), flow, delta=1e-9 * flow)

    def test_json_lines_say_the_same(self):
        model = self.model()
        grid = (*GRID, "--over", "coolant.heat_load=30kW,9000kW")
        table = list(csv.DictReader(self.done(model, *grid)[0].splitlines()))
        head, *lines = map(json.loads, self.done(model, *grid, "--format", "json")[0].splitlines())
        self.assertEqual(head["units"], "SI")
        self.assertEqual(head["rows"], 252)
        self.assertEqual(head["options"]["over"], list(grid[1::2]))
        self.assertEqual({line["converged"] for line in lines}, {True, False})
        self.assertEqual(head["columns"], list(lines[0]))
        for cells, line in zip(table, lines, strict=True):
            for name, cell in cells.items():
                value = line[name.split(" [")[0]]
                self.assertEqual(cell, value if isinstance(value, str) else "" if value is None else
                                 str(int(value)) if isinstance(value, (bool, int)) else cell)
                if isinstance(value, float):
                    self.assertEqual(float(cell), value)

    def test_rows_without_solution_say_why(self):
        model = self.model(lambda m: m["points"][0].update(fans={"fan": "stopped"}))
        arguments = (model, "--over", "speed=0km/h,180km/h", "--point", "fast straight")
        out, message = self.done(*arguments)
        self.assertIn("1 of 2 rows have no solution; row 1: the loop", message)
        first, second = out.splitlines()[1:]
        self.assertTrue(first.endswith(",,0"), first)
        self.assertTrue(second.endswith(",1"), second)
        line = json.loads(self.done(*arguments, "--format", "json")[0].splitlines()[1])
        self.assertFalse(line["converged"])
        self.assertIsNone(line["radiator.flow"])
        self.assertIn("has no steady temperature", line["reason"])
        status, out, message = run(model, "--over", "speed=0km/h", "--point", "fast straight")
        self.assertEqual(status, 4, message)
        self.assertEqual(len(out.splitlines()), 2)

    def test_a_table_of_rows(self):
        with open(self.path("rows.csv"), "w", encoding="utf-8") as file:
            file.write("speed [km/h];ambient.temperature [degC]\n72;20,5\n144;30\n")
        out, _ = self.done(self.model(), "--from", self.path("rows.csv"), "--over", "fender_vent.area=300cm2,400cm2")
        rows = list(csv.reader(out.splitlines()))
        self.assertEqual(rows[0][2:5], ["speed [m/s]", "ambient.temperature [K]", "fender_vent.area [m2]"])
        self.assertEqual(len(rows), 9)
        self.assertAlmostEqual(float(rows[2][3]), 293.65)

    def test_a_number_that_moves_nothing_is_told(self):
        model = self.model(lambda m: m["points"][0].update(heat_load={"coolant": "30 kW"}))
        _, message = self.done(model, "--over", "coolant.heat_load=20kW,30kW")
        self.assertIn("no_effect: coolant.heat_load moves nothing at the point \"fast straight\"", message)

    def test_wrong_questions(self):
        model = self.model()
        for says, arguments in ((("--over", "did you mean \"speed\"?"), ("--over", "sped=1m/s")),
                                (("--over", "COUNT"), ("--over", "speed=1m/s:2m/s")),
                                (("--over", "at most 432 km/h"), ("--over", "speed=1m/s,900m/s")),
                                (("--show", "did you mean \"radiator.flow\"?"), (*GRID, "--show", "radiator.flaw")),
                                (("--point", "fast straight"), (*GRID, "--point", "nowhere")),
                                (("--slice", "I/N"), (*GRID, "--slice", "3/2")),
                                (("--slice", "I/N"), (*GRID, "--slice", "0/2")),
                                (("--resume", "-o"), (*GRID, "--resume")), ((), ())):
            self.refused(2, model, *arguments, "-o" if "--slice" in arguments else "--jobs",
                         self.path("x") if "--slice" in arguments else "2", says=says)
        self.refused(2, *GRID, says=("MODEL",))
        self.refused(3, model, "--from", self.path("none.csv"), says=("none.csv",))
        self.refused(3, self.path("none.json"), *GRID, says=("none.json",))
        self.assertEqual(os.listdir(self.folder), ["model.json"])


class Files(Sweep):
    def test_the_same_bytes_for_any_threads(self):
        model = self.model()
        outs = {self.done(model, *GRID, "--over", "ambient.temperature=10degC,30degC", "--jobs", jobs)[0]
                for jobs in "123"}
        self.assertEqual(len(outs), 1)

    def test_a_file_holds_what_is_printed(self):
        model = self.model()
        for form in ("csv", "json"):
            out, _ = self.done(model, *GRID, "--format", form)
            self.assertEqual(self.done(model, *GRID, "--format", form, "-o", self.path(form)), ("", ""))
            self.assertEqual(read(self.path(form)).decode(), out)
        self.assertEqual(sorted(os.listdir(self.folder)), ["csv", "csv.sweep.json", "json", "model.json"])
        facts = json.loads(read(self.path("csv.sweep.json")))
        self.assertEqual((facts["rows"], facts["bytes"]), (126, os.path.getsize(self.path("csv"))))

    def killed_run(self, arguments, after):
        process = subprocess.Popen([COMMAND, "sweep", *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        time.sleep(after)
        process.kill()
        message = process.communicate(timeout=60)[1].decode()
        return process.returncode, message

    def test_killed_and_resumed_it_is_the_unbroken_file(self):
        model = self.model()
        for form in ("csv", "json"):
            whole = self.path("whole." + form)
            begun = time.monotonic()
            self.done(model, *LONG, "--format", form, "-o", whole)
            lasted = time.monotonic() - begun
            broken = self.path("broken." + form)
            arguments = (model, *LONG, "--format", form, "-o", broken, "--resume")
            kills = finished = 0
            while kills < KILLS:
                status, message = self.killed_run((*arguments, "--jobs", random.choice("123")), random.uniform(0.0, 0.4 * lasted))
                if status == -signal.SIGKILL:
                    kills += 1
                    continue
                self.assertEqual(status, 0, message)
                self.assertEqual(read(broken), read(whole))
                finished += 1
                os.unlink(broken)
            self.done(*arguments)
            self.assertEqual(read(broken), read(whole))
            if form == "csv":
                self.assertEqual(read(broken + ".sweep.json"), read(whole + ".sweep.json"))
            print(f"{form}: {kills} kills, finished {finished + 1} times", file=sys.stderr)
        self.assertEqual([name for name in os.listdir(self.folder) if ".part" in name or ".merging" in name], [])

    def test_a_signal_ends_it_in_order(self):
        model = self.model()
        self.done(model, *LONG, "-o", self.path("whole.csv"))
        arguments = (model, *LONG, "-o", self.path("rows.csv"))
        part, size = self.path("rows.csv.part"), 0
        for number in (signal.SIGINT, signal.SIGTERM):
            process = subprocess.Popen([COMMAND, "sweep", *arguments, "--jobs", "1", "--resume"], stderr=subprocess.PIPE)
            # Once it has got on, and long before its end.
            while process.poll() is None and (not os.path.exists(part) or os.path.getsize(part) <= size + 1000):
                time.sleep(0.001)
            process.send_signal(number)
            message = process.communicate(timeout=60)[1].decode()
            self.assertEqual(process.returncode, 128 + number, message)
            self.assertIn("--resume", message)
            size = os.path.getsize(part)
        self.assertTrue(read(part).endswith(b"\n"))
        self.assertFalse(os.path.exists(self.path("rows.csv")))
        self.done(*arguments, "--resume")
        self.assertEqual(read(self.path("rows.csv")), read(self.path("whole.csv")))

    def part_of(self, arguments, rows=100000):
        """A run that a limit of the file's size has broken off."""
        status, _, message = run(*arguments, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (rows, rows)))
        self.assertEqual(status, 6, message)
        return message

    def test_a_full_disk(self):
        model = self.model()
        grid = ("--over", "fender_vent.area=250cm2:800cm2:40", "--over", "speed=30km/h:250km/h:60")
        for form in ("csv", "json"):
            rows, whole = self.path("rows." + form), self.path("whole." + form)
            with open(rows, "w", encoding="utf-8") as file:
                file.write("the older rows")
            arguments = (model, *grid, "--format", form)
            message = self.part_of((*arguments, "-o", rows))
            self.assertIn("rows." + form, message)
            self.assertEqual(read(rows), b"the older rows")
            self.assertTrue(read(rows + ".part").endswith(b"\n"))
            self.done(*arguments, "-o", rows, "--resume")
            self.done(*arguments, "-o", whole)
            self.assertEqual(read(rows), read(whole))
            self.refused(6, *arguments, "-o", "/dev/full", says=("/dev/full",))
        self.refused(6, model, *GRID, "-o", self.path("no/such/folder.csv"))

    def test_what_stands_there_is_not_lost(self):
        model = self.model()
        rows = self.path("rows.csv")
        arguments = (model, *LONG, "-o", rows)
        self.part_of(arguments)
        kept = read(rows + ".part")
        self.refused(2, *arguments, says=("rows.csv.part", "--resume", "delete"))
        other = (model, "--over", "fender_vent.area=250cm2:800cm2:101", *LONG[2:], "-o", rows, "--resume")
        self.refused(2, *other, says=("--over", ":101"))
        self.refused(2, *arguments, "--resume", "--show", "radiator.flow", says=("--show",))
        self.refused(2, *arguments, "--resume", "--slice", "1/2", says=("--slice",))
        changed = self.model(lambda m: m["air"]["elements"]["radiator"].update(face_area="1501 cm2"), "other.json")
        self.refused(2, changed, *LONG, "-o", rows, "--resume", says=("the model",))
        with open(rows + ".part.sweep.json", encoding="utf-8") as file:
            facts = json.load(file)
        facts["corefeed"] = "0.0.1"
        with open(rows + ".part.sweep.json", "w", encoding="utf-8") as file:
            file.write(json.dumps(facts) + "\n")
        self.refused(2, *arguments, "--resume", says=("the version", "0.0.1"))
        os.unlink(rows + ".part.sweep.json")
        self.refused(2, *arguments, "--resume", says=("rows.csv.part.sweep.json",))
        self.assertEqual(read(rows + ".part"), kept)
        self.assertFalse(os.path.exists(rows))

    def test_a_table_that_changed_is_another_sweep(self):
        model = self.model()
        table = self.path("speeds.csv")
        def write(last):
            with open(table, "w", encoding="utf-8") as file:
                file.write("speed [km/h]\n" + "".join(f"{50 + 0.01 * i}\n" for i in range(9999)) + f"{last}\n")
        write(199)
        arguments = (model, "--from", table, "-o", self.path("rows.csv"))
        self.part_of(arguments)
        write(198)
        self.refused(2, *arguments, "--resume", says=("the values swept over",))

    def test_resume_of_nothing_and_of_all(self):
        model = self.model()
        for form in ("csv", "json"):
            rows = self.path("rows." + form)
            arguments = (model, *GRID, "--format", form, "-o", rows, "--resume")
            self.done(*arguments)
            before = os.stat(rows)
            self.done(*arguments)
            self.assertEqual(os.stat(rows).st_ino, before.st_ino)
        # Killed between the last two steps: the rows are in place, the facts not yet.
        rows = self.path("rows.csv")
        os.rename(rows + ".sweep.json", rows + ".part.sweep.json")
        self.done(model, *GRID, "-o", rows, "--resume")
        self.assertTrue(os.path.exists(rows + ".sweep.json"))
        self.assertFalse(os.path.exists(rows + ".part.sweep.json"))

    def test_torn_lines_are_cut_off(self):
        model = self.model()
        for form in ("csv", "json"):
            rows = self.path("rows." + form)
            arguments = (model, *GRID, "--format", form, "-o", rows)
            self.done(*arguments)
            whole = read(rows)
            for cut in [0, 3, whole.index(b"\n"), whole.index(b"\n") + 1, *random.sample(range(len(whole)), 8), len(whole)]:
                with open(rows + ".part", "wb") as file:
                    file.write(whole[:cut])
                if form == "csv":
                    facts = json.loads(read(rows + ".sweep.json"))
                    for late in ("solved", "bytes", "sha1"):
                        del facts[late]
                    with open(rows + ".part.sweep.json", "w", encoding="utf-8") as file:
                        file.write(json.dumps(facts) + "\n")
                self.done(*arguments, "--resume")
                self.assertEqual(read(rows), whole, cut)

    def test_a_link_stays_and_its_file_is_written(self):
        model = self.model()
        whole = self.done(model, *GRID)[0].encode()
        os.mkdir(self.path("other"))
        target = self.path("other/rows.csv")
        for first in (os.path.join("other", "rows.csv"), target):
            os.symlink(first, self.path("inner.csv"))
            os.symlink("inner.csv", self.path("link.csv"))
            for stands_there in (False, True):
                self.done(model, *GRID, "-o", self.path("link.csv"))
                self.assertEqual(read(target), whole)
                self.assertEqual(sorted(os.listdir(self.path("other"))), ["rows.csv", "rows.csv.sweep.json"],
                                 stands_there)
            self.assertTrue(os.path.islink(self.path("link.csv")) and os.path.islink(self.path("inner.csv")))
            for name in ("inner.csv", "link.csv", "other/rows.csv", "other/rows.csv.sweep.json"):
                os.unlink(self.path(name))
        self.assertEqual(sorted(os.listdir(self.folder)), ["model.json", "other"])

    def test_rows_are_not_gathered_behind_a_link(self):
        model = self.model()
        rows = self.path("rows.csv")
        with open(self.path("precious"), "w", encoding="utf-8") as file:
            file.write("no rows")
        os.symlink("precious", rows + ".part")
        self.refused(6, model, *GRID, "-o", rows, "--resume", says=("rows.csv: cannot_write",))
        self.assertEqual(read(self.path("precious")), b"no rows")
        self.assertFalse(os.path.exists(rows))

    def test_a_file_keeps_its_mode(self):
        model = self.model()
        rows = self.path("rows.csv")
        with open(rows, "w", encoding="utf-8") as file:
            file.write("the older rows")
        os.chmod(rows, 0o640)
        self.done(model, *GRID, "-o", rows)
        self.assertEqual(os.stat(rows).st_mode & 0o777, 0o640)

    def test_facts_that_cannot_be_written(self):
        model = self.model()
        rows = self.path("rows.csv")
        os.mkdir(rows + ".part.sweep.json")
        self.refused(6, model, *GRID, "-o", rows, says=("rows.csv.part.sweep.json",))
        self.assertFalse(os.path.exists(rows))
        os.rmdir(rows + ".part.sweep.json")
        os.unlink(rows + ".part")
        # In its last step: the rows stand, and a resumed run puts the facts beside them.
        os.mkdir(rows + ".sweep.json")
        self.refused(6, model, *GRID, "-o", rows, says=("rows.csv: cannot_write",))
        os.rmdir(rows + ".sweep.json")
        before = os.stat(rows).st_ino
        self.done(model, *GRID, "-o", rows, "--resume")
        self.assertEqual(os.stat(rows).st_ino, before)
        self.assertEqual(json.loads(read(rows + ".sweep.json"))["bytes"], os.path.getsize(rows))
        self.assertEqual(sorted(os.listdir(self.folder)), ["model.json", "rows.csv", "rows.csv.sweep.json"])

    def test_rows_that_are_not_these_are_solved_anew(self):
        model = self.model()
        for form in ("csv", "json"):
            rows = self.path("rows." + form)
            arguments = (model, *GRID, "--format", form, "-o", rows, "--resume")
            self.done(*arguments)
            whole = read(rows)
            lines = whole.splitlines(keepends=True)
            others = [whole[:-20], b"".join(lines[:-1]), whole + lines[-1]]
            if form == "csv":
                # One digit of a value: told by the SHA-1 of the rows.
                others.append(whole[:-10] + bytes([whole[-10] ^ 1]) + whole[-9:])
            for other in others:
                with open(rows, "wb") as file:
                    file.write(other)
                self.done(*arguments)
                self.assertEqual(read(rows), whole)
            # A finished file of another sweep is no earlier run of this one.
            other = (model, "--over", "fender_vent.area=250cm2:800cm2:5", "--format", form)
            self.done(*other, "-o", rows, "--resume")
            self.assertEqual(read(rows).decode(), self.done(*other)[0])


class Slices(Sweep):
    def slices(self, model, count, form="csv"):
        names = [self.path(f"slice{i}.{form}") for i in range(1, count + 1)]
        for i, name in enumerate(names, 1):
            self.done(model, *GRID, "--format", form, "--slice", f"{i}/{count}", "-o", name)
        return names

    def test_merged_they_are_the_unbroken_file(self):
        model = self.model()
        for form in ("csv", "json"):
            whole, merged = self.path("whole." + form), self.path("merged." + form)
            self.done(model, *GRID, "--format", form, "-o", whole)
            # Forty: more than there are blocks, so that some are empty.
            for count in (1, 3, 40):
                names = self.slices(model, count, form)
                random.shuffle(names)
                self.done("--merge", *names, "-o", merged)
                self.assertEqual(read(merged), read(whole), count)
                if form == "csv":
                    self.assertEqual(read(merged + ".sweep.json"), read(whole + ".sweep.json"))

    def test_slices_refused_leave_nothing(self):
        model = self.model()
        for form in ("csv", "json"):
            one, _, three = self.slices(model, 3, form)
            before = sorted(os.listdir(self.folder))
            message = self.refused(3, "--merge", one, three, "-o", self.path("merged." + form))
            self.assertIn("missing_slice", message)
            self.assertEqual(sorted(os.listdir(self.folder)), before)
            self.assertEqual(self.refused(3, "--merge", one, three), message)

    def test_what_does_not_belong_together(self):
        model = self.model()
        one, two, three = self.slices(model, 3)
        merged = self.path("merged.csv")
        with open(merged, "w", encoding="utf-8") as file:
            file.write("the older rows")
        def refused(*names, says=()):
            self.refused(3, "--merge", *names, "-o", merged, says=says)
            self.assertEqual(read(merged), b"the older rows")
            self.assertFalse(os.path.exists(merged + ".merging"))
        refused(one, three, says=("missing_slice", "3 slices", "number 2"))
        refused(one, two, three, two, says=("duplicate_slice", "slice 2 of 3"))
        refused(one, two, self.path("none.csv"), says=("none.csv",))
        other = self.path("other.csv")
        changed = self.model(lambda m: m["air"]["elements"]["radiator"].update(face_area="1501 cm2"), "other.json")
        self.done(changed, *GRID, "--slice", "3/3", "-o", other)
        refused(one, two, other, says=("other_sweep", "other.csv", "the model"))
        self.done(model, *GRID, "--show", "radiator.flow", "--slice", "3/3", "-o", other)
        refused(one, two, other, says=("other_sweep", "--show"))
        self.done(model, *GRID, "--slice", "4/4", "-o", other)
        refused(one, two, other, says=("other_sweep", "number of slices"))
        self.done(model, *GRID, "--format", "json", "--slice", "3/3", "-o", other)
        refused(one, two, other, says=("mixed_formats",))
        for change, says in ((lambda text: text[:-1], "line"), (lambda text: text[:text.rindex(b"\n", 0, -1) + 1], "of its"),
                             (lambda text: text.replace(b"0.025", b"0.026"), "was changed"), (lambda text: text + text, "line")):
            kept = read(two)
            with open(two, "wb") as file:
                file.write(change(kept))
            refused(one, two, three, says=("incomplete", "slice2.csv", says))
            with open(two, "wb") as file:
                file.write(kept)
        os.unlink(three + ".sweep.json")
        refused(one, two, three, says=("slice3.csv.sweep.json",))
        self.refused(2, "--merge", one, two, three, "--jobs", "2", says=("leave out --jobs",))


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
