# SPDX-License-Identifier: Apache-2.0
"""The package from a script's side. Arguments: command, source folder, and with CAD the program that plays a CAD
program (shape_texts).
"""
import json
import math
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import unittest

import numpy

import corefeed

COMMAND, SOURCE = sys.argv[1:3]
SHAPE_TEXTS = sys.argv[3] if len(sys.argv) > 3 else None
SAMPLES = os.path.join(SOURCE, "geometry_samples")
CAR = os.path.join(SAMPLES, "hill_climb_car.corefeed")
LAP = os.path.join(SAMPLES, "hill_climb_lap.csv")
GOLDEN = os.path.join(SOURCE, "tests", "data", "golden-model.json")
STACK = os.path.join(SOURCE, "tests", "data", "stack-demo.corefeed")
with_cad = unittest.skipUnless(SHAPE_TEXTS, "built without CAD")

# BREP text rounds the 16th digit of a STEP file's numbers; lengths and areas of the samples are below 10 in SI.
BREP_ROUNDING = 1e-12


def run(*arguments, **options):
    done = subprocess.run([COMMAND, *arguments], capture_output=True, text=True, **options)
    return done.returncode, done.stdout, done.stderr


class InFolder(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)

    def path(self, name):
        return os.path.join(self.folder, name)

    def write(self, text, name):
        with open(self.path(name), "w", encoding="utf-8") as file:
            file.write(text)
        return self.path(name)


class SameAsCommand(InFolder):
    """The document of an answer is the command's, byte for byte, and so are its numbers."""

    def same(self, answer, *arguments):
        self.assertEqual(answer.text, run(*arguments)[1])
        status, out, _ = run(*arguments, "--format", "json")
        self.assertEqual(answer.json, out)
        self.assertEqual(answer.status, status)
        self.assertEqual(answer.to_dict(), json.loads(out))

    def test_solve(self):
        self.same(corefeed.load(GOLDEN).solve(), "solve", GOLDEN)
        self.same(corefeed.load(GOLDEN).solve(samples=20, seed=3), "solve", GOLDEN, "--samples", "20", "--seed", "3")

    def test_check(self):
        self.same(corefeed.load(GOLDEN).check(), "check", GOLDEN)
        self.same(corefeed.load(GOLDEN).check(strict=True), "check", GOLDEN, "--strict")

    @with_cad
    def test_whole_car(self):
        car = corefeed.load(CAR)
        self.same(car.solve(points=["fast straight"]), "solve", CAR, "--point", "fast straight")
        self.same(corefeed.load(CAR, variant="narrow_nose").check(points="fast straight"), "check", CAR, "--variant",
                  "narrow_nose", "--point", "fast straight")
        self.same(car.size("fender_vent.area", "radiator.flow >= 1.5 kg/s", points="fast straight"), "size", CAR,
                  "--vary", "fender_vent.area", "--until", "radiator.flow >= 1.5 kg/s", "--point", "fast straight")
        self.same(car.size("fender_vent.area", "radiator.flow >= 9 kg/s", range=("100 cm2", 0.06)), "size", CAR,
                  "--vary", "fender_vent.area", "--until", "radiator.flow >= 9 kg/s", "--range", "100 cm2", "600 cm2")
        self.same(car.lap(LAP), "lap", CAR, LAP)
        self.same(corefeed.compare(car), "compare", CAR)

    def test_envelope(self):
        self.same(corefeed.load(GOLDEN).check(envelope=True), "check", GOLDEN, "--envelope")

    def test_compare_files(self):
        with open(GOLDEN, encoding="utf-8") as file:
            model = json.load(file)
        model["air"]["elements"]["radiator"]["air_loss"]["linear"] = "40 Pa s/m"
        other = self.write(json.dumps(model), "other.json")
        self.same(corefeed.compare(corefeed.load(GOLDEN), corefeed.load(other)), "compare", GOLDEN, other)

    def test_schema(self):
        self.assertEqual(corefeed.schema(), run("schema")[1])

    @with_cad
    def test_measure(self):
        for name, options, arguments in (
                ("nose_duct.step", {}, []),
                ("vent_and_rail.step", {"part": "vent_panel", "sections": 7}, ["--part", "vent_panel", "--sections", "7"]),
                ("bend_90.step", {"sections": 3, "at": [0.25, 0.5]}, ["--sections", "3", "--at", "0.25,0.5"])):
            path = os.path.join(SAMPLES, name)
            self.same(corefeed.measure(path, **options), "measure", path, *arguments)


class ThisIsTheCommand(InFolder):
    def both(self, *arguments, **environment):
        done = subprocess.run([sys.executable, "-m", "corefeed", *arguments], capture_output=True, text=True,
                              env={**os.environ, **environment})
        return (done.returncode, done.stdout, done.stderr), run(*arguments)

    def test_same_bytes_and_status(self):
        for arguments in (["solve", GOLDEN], ["check", GOLDEN, "--format", "json"], ["--version"], ["--help"], [],
                          ["solve", "nowhere.corefeed"], ["explain", "vent"], ["chek", GOLDEN]):
            ours, theirs = self.both(*arguments)
            self.assertEqual(ours, theirs, arguments)

    def test_told_which(self):
        ours, _ = self.both("hello", COREFEED_COMMAND="/bin/echo")
        self.assertEqual(ours, (0, "hello\n", ""))
        (status, out, said), _ = self.both("--version", COREFEED_COMMAND="/nowhere")
        self.assertEqual((status, out), (2, ""))
        self.assertIn("/nowhere", said)

    def test_version(self):
        self.assertEqual(run("--version")[1], f"corefeed {corefeed.__version__}\n")


class Attributes(InFolder):
    def setUp(self):
        super().setUp()
        self.car = corefeed.load(GOLDEN)
        self.study = self.car.solve()
        self.point = self.study.points[0]

    def test_names_are_those_of_the_document(self):
        plain = json.loads(run("solve", GOLDEN, "--format", "json")[1])["points"][0]
        self.assertEqual(self.point.elements.radiator.flow, plain["elements"]["radiator"]["flow"])
        self.assertEqual(self.study.points[plain["name"]].loops.coolant.temperature,
                         plain["loops"]["coolant"]["temperature"])
        self.assertEqual(self.point.car.cooling_drag, plain["car"]["cooling_drag"])
        self.assertEqual(list(self.point.elements), list(plain["elements"]))
        self.assertEqual(self.point.uncertainty["radiator.flow"].sigma, plain["uncertainty"]["radiator.flow"]["sigma"])
        self.assertEqual([row.element for row in self.point.budget.radiator],
                         [line["element"] for line in plain["budget"]["radiator"]])
        self.assertEqual(self.study.requirements.verdict, [one.verdict for one in self.study.requirements])
        self.assertIn("radiator", dir(self.point.elements))

    def test_columns_are_arrays(self):
        losses = self.point.budget.radiator.loss
        self.assertEqual(losses.dtype, numpy.float64)
        self.assertEqual(list(losses), [line["loss"] for line in self.point.budget.radiator.to_list()])

    def test_declared_names_are_there(self):
        for record in (self.study, self.point, self.car.check(),
                       self.car.size("radiator.face_area", "radiator.flow >= 0.1 kg/s")):
            for kind in type(record).__mro__:
                for name in getattr(kind, "__annotations__", {}):
                    if not name.startswith("_"):
                        getattr(record, name)
            self.assertEqual(set(record.keys()) - set(dir(type(record))) -
                             {name for kind in type(record).__mro__ for name in getattr(kind, "__annotations__", {})},
                             set(), "members without a declaration")

    def test_value_is_the_documents(self):
        name = self.point.name
        for quantity in ("radiator.flow", "coolant.temperature", "car.cooling_drag"):
            self.assertEqual(self.study.value(name, quantity), self.point.value(quantity))
        self.assertEqual(self.study.sigma(name, "radiator.flow"), self.point.uncertainty["radiator.flow"].sigma)
        for wrong in (lambda: self.study.value("nowhere", "radiator.flow"), lambda: self.point.value("radiator.flaw"),
                      lambda: self.study.value(name, "radiator.flaw"), lambda: self.study.points["nowhere"]):
            self.assertRaises(KeyError, wrong)

    def test_wrong_names_suggest(self):
        with self.assertRaisesRegex(AttributeError, "did you mean 'radiator'"):
            self.point.elements.radiatr
        with self.assertRaisesRegex(KeyError, "did you mean"):
            self.point["elemnts"]


class Numbers(InFolder):
    def setUp(self):
        super().setUp()
        self.car = corefeed.load(GOLDEN)

    def test_strings_and_floats(self):
        self.car.set("radiator.face_area", "1900 cm2")
        self.assertEqual(self.car.get("radiator.face_area"), 0.19)
        self.car.set("radiator.face_area", numpy.float64(0.2))
        self.assertEqual(self.car.get("radiator.face_area"), 0.2)
        self.assertEqual(self.car.unit("radiator.face_area"), "m2")

    def test_a_changed_model_is_the_written_one(self):
        before = self.car.solve().points[0].elements.radiator.flow
        self.car.set("radiator.face_area", "1900 cm2")
        flow = self.car.solve().points[0].elements.radiator.flow
        self.assertNotEqual(flow, before)
        written = self.write(self.car.text(), "changed.json")
        self.assertEqual(json.loads(run("solve", written, "--format", "json")[1])["points"][0]["elements"]["radiator"]
                         ["flow"], flow)

    def test_copies_are_apart(self):
        other = self.car.copy()
        other.set("radiator.face_area", 0.19)
        self.assertNotEqual(self.car.get("radiator.face_area"), 0.19)

    def test_an_answer_keeps_its_model(self):
        study = self.car.solve()
        _, out, _ = run("solve", GOLDEN, "--format", "json")
        self.car.set("radiator.face_area", "1900 cm2")
        self.assertEqual(study.json, out)

    def test_prepared(self):
        name = self.car.points[0]
        warm = self.car.prepare(name)
        for area in (0.15, 0.2, 0.18):
            warm.set("radiator.face_area", area)
            self.assertGreater(warm.solve(), 0)
            self.car.set("radiator.face_area", area)
            flow = self.car.solve().value(name, "radiator.flow")
            # Both end where the largest scaled residual is below 1e-10, from different sides.
            self.assertAlmostEqual(warm.value("radiator.flow"), flow, delta=1e-8 * flow)
        step = 1e-6
        slope = warm.gradient("radiator.flow")["radiator.face_area"]
        values = []
        for area in (0.18 - step, 0.18 + step):
            warm.set("radiator.face_area", area)
            warm.solve()
            values.append(warm.value("radiator.flow"))
        # Rounding of 1e-10 in the flow over the step, beside a truncation far below it.
        self.assertAlmostEqual(slope, (values[1] - values[0]) / (2 * step), delta=1e-3 * abs(slope))
        self.assertIn("speed", warm.inputs)
        for wrong in (lambda: warm.set("radiator.face_aera", 1), lambda: warm.value("radiator.flaw"),
                      lambda: warm.set("radiator.face_area", -1), lambda: self.car.prepare("nowhere")):
            self.assertRaises(corefeed.UsageError, wrong)

    def test_text_in_memory(self):
        with open(GOLDEN, encoding="utf-8") as file:
            text = file.read()
        study = corefeed.loads(text, folder=os.path.dirname(GOLDEN)).solve()
        self.assertEqual(study.points[0].elements, study.points[0].elements)
        self.assertEqual(study.points[0].to_dict(), corefeed.load(GOLDEN).solve().points[0].to_dict())

    def test_sweep(self):
        over = ["radiator.face_area=1500cm2:2500cm2:3", "speed=100km/h,150km/h"]
        out = run("sweep", GOLDEN, "--over", over[0], "--over", over[1], "--show", "radiator.flow")[1]
        lines = [line.split(",") for line in out.splitlines()]
        sweep = self.car.sweep(over, show="radiator.flow", jobs=2)
        self.assertEqual(len(sweep), 6 * len(self.car.points))
        column = [cell.split(" ")[0] for cell in lines[0]].index("radiator.flow")
        self.assertEqual(list(sweep["radiator.flow"]), [float(line[column]) for line in lines[1:]])
        self.assertTrue(sweep.converged.all())
        same = self.car.sweep({"radiator.face_area": ["1500 cm2", 0.2, 0.25], "speed": [100 / 3.6, "150 km/h"]},
                              show="radiator.flow", jobs=1)
        self.assertEqual(list(same["radiator.face_area"]), list(sweep["radiator.face_area"]))
        self.assertEqual(list(same["radiator.flow"]), list(sweep["radiator.flow"]))
        for wrong in ("radiator.face_aera=1cm2:2cm2:3", {"radiator.face_area": []}, {"radiator.face_area": ["1 kg"]}):
            self.assertRaises(corefeed.UsageError, lambda: self.car.sweep(wrong))
        self.assertRaises(KeyError, lambda: sweep["radiator.flaw"])

    def test_lap_as_arrays(self):
        if SHAPE_TEXTS is None:
            self.skipTest("the model of the lap takes its ducts from CAD")
        lap = corefeed.load(CAR).lap(LAP)
        self.assertEqual(lap.time.shape, lap["coolant.temperature"].shape)
        self.assertEqual(lap.time.dtype, numpy.float64)
        self.assertTrue((numpy.diff(lap.time) > 0).all())
        with self.assertRaises(corefeed.InputError):
            corefeed.load(CAR).lap("nowhere.csv")


class Errors(InFolder):
    """The text is the command's, the class tells the status."""

    def fails(self, kind, call, *arguments):
        with self.assertRaises(kind) as caught:
            call()
        self.assertIsInstance(caught.exception, corefeed.Error)
        if arguments:
            status, _, said = run(*arguments)
            self.assertEqual(caught.exception.status, status)
            self.assertEqual(str(caught.exception) + "\n", said)
        return caught.exception

    def test_input(self):
        self.fails(corefeed.InputError, lambda: corefeed.load("nowhere.corefeed"), "solve", "nowhere.corefeed")
        with open(GOLDEN, encoding="utf-8") as file:
            text = file.read()
        path = self.write(text.replace('"face_area"', '"face_aera"'), "wrong.json")
        error = self.fails(corefeed.InputError, lambda: corefeed.load(path), "solve", path)
        unknown = [issue for issue in error.issues if issue.code == "unknown_key"]
        self.assertEqual(unknown[0].file, path)
        self.assertGreater(unknown[0].line, 1)
        self.assertTrue(unknown[0].pointer.startswith("/air/elements/"))
        self.assertIn("face_area", unknown[0].text)
        self.assertIn(str(unknown[0]), str(error).splitlines())
        self.fails(corefeed.InputError, lambda: corefeed.loads("{"))

    def test_usage(self):
        car = corefeed.load(GOLDEN)
        self.fails(corefeed.UsageError, lambda: car.solve(points="nowhere"), "solve", GOLDEN, "--point", "nowhere")
        self.fails(corefeed.UsageError, lambda: car.size("a.b", "radiator.flow >= 1 kg/s"), "size", GOLDEN, "--vary",
                   "a.b", "--until", "radiator.flow >= 1 kg/s")
        for wrong in (lambda: car.set("radiator.face_aera", 1), lambda: car.get("radiator"),
                      lambda: car.set("radiator.face_area", "3 kg"), lambda: car.set("radiator.face_area", -1.0),
                      lambda: car.set("radiator.face_area", math.nan), lambda: corefeed.compare(car),
                      lambda: car.size("radiator.face_area", "radiator.flow >= 1 kg/s", range=[1.0])):
            self.assertRaises(ValueError, wrong)
        self.assertRaises(TypeError, lambda: car.set("radiator.face_area", None))

    def starved(self):
        """A loop that cannot give off its heat."""
        car = corefeed.load(GOLDEN)
        car.set("coolant.heat_load", "50000 kW")
        return car

    def test_no_solution_keeps_the_answer(self):
        path = self.write(self.starved().text(), "starved.json")
        error = self.fails(corefeed.NoSolution, lambda: self.starved().solve(), "solve", path)
        self.assertEqual(error.issues[0].code, "no_solution")
        point = error.result.points[0]
        self.assertFalse(point.converged)
        self.assertIsNone(point.elements.radiator.flow)
        self.assertTrue(math.isnan(error.result.value(point.name, "radiator.flow")))
        check = self.starved().check()
        self.assertEqual((check.status, check.ok), (4, False))

    @with_cad
    def test_geometry(self):
        path = self.write("ISO-10303-21;\nnothing", "broken.step")
        self.fails(corefeed.GeometryError, lambda: corefeed.measure(path), "measure", path)
        self.fails(corefeed.InputError, lambda: corefeed.measure("nowhere.step"), "measure", "nowhere.step")
        car = os.path.join(SAMPLES, "nose_duct.step")
        self.fails(corefeed.GeometryError, lambda: corefeed.measure(car, part="nothing"), "measure", car, "--part",
                   "nothing")
        self.assertRaises(corefeed.UsageError, lambda: corefeed.measure(car, sections=1))

    def test_without_the_measuring_program(self):
        step = os.path.join(SAMPLES, "nose_duct.step")
        os.environ["COREFEED_WORKER"] = "/nowhere"
        self.addCleanup(os.environ.pop, "COREFEED_WORKER")
        error = self.fails(corefeed.UsageError, lambda: corefeed.measure(step), "measure", step)
        self.assertIn("COREFEED_WORKER", str(error))


class Shape:
    """What a CAD program's scripts hold."""

    def __init__(self, text):
        self.text = text

    def exportBrepToString(self):
        return self.text


class Object:
    def __init__(self, label, shape):
        self.Label = label
        self.Shape = shape


@with_cad
class Shapes(InFolder):
    def shapes(self, step):
        """Names and shapes of a file's bodies, as a CAD program would have them."""
        names = subprocess.run([SHAPE_TEXTS, step, self.folder], check=True, capture_output=True, text=True).stdout
        found = {}
        for place, name in enumerate(names.splitlines()):
            with open(self.path(f"{place}.brep"), encoding="ascii") as file:
                found[name] = Shape(file.read())
        return found

    def near(self, ours, theirs, where):
        if isinstance(theirs, dict):
            self.assertEqual(ours.keys(), theirs.keys(), where)
            for key, value in theirs.items():
                if (where, key) != ("", "file"):
                    self.near(ours[key], value, f"{where}/{key}")
        elif isinstance(theirs, list):
            self.assertEqual(len(ours), len(theirs), where)
            for place, value in enumerate(theirs):
                self.near(ours[place], value, f"{where}/{place}")
        elif isinstance(theirs, float):
            self.assertAlmostEqual(ours, theirs, delta=BREP_ROUNDING, msg=where)
        else:
            self.assertEqual(ours, theirs, where)

    def test_same_numbers_as_the_file(self):
        for name in ("straight_round_ports.step", "bend_90.step", "vent_and_rail.step"):
            step = os.path.join(SAMPLES, name)
            shapes = self.shapes(step)
            from_file = corefeed.measure(step, sections=9).to_dict()
            self.near(corefeed.measure(shapes, sections=9).to_dict(), from_file, "")

    def test_an_object_brings_its_name(self):
        (name, shape), = self.shapes(os.path.join(SAMPLES, "bend_90.step")).items()
        parts = corefeed.measure(Object("elbow", shape), sections=3).parts
        self.assertEqual(parts.names, ["elbow"])
        bare = corefeed.measure(shape, sections=3).parts[0]
        self.assertEqual(list(bare.paths[0].stations.area), list(parts[0].paths[0].stations.area))

    def test_what_is_no_shape(self):
        with self.assertRaises(corefeed.GeometryError) as caught:
            corefeed.measure({"nose": Shape("no shape at all")})
        self.assertEqual(caught.exception.issues[0].code, "not_brep")
        self.assertRaises(TypeError, lambda: corefeed.measure(3))
        self.assertRaises(corefeed.InputError, lambda: corefeed.measure({}))


class LongCalls(InFolder):
    def test_another_thread_ticks(self):
        ticks = []
        stop = threading.Event()

        def tick():
            while not stop.wait(0.001):
                ticks.append(None)

        thread = threading.Thread(target=tick)
        thread.start()
        before = len(ticks)
        corefeed.load(STACK).solve(samples=3000)
        during = len(ticks) - before
        stop.set()
        thread.join()
        # Without the lock's release the other thread gets a turn at most before and after the call.
        self.assertGreater(during, 5)

    def interrupted(self, call):
        """Ctrl-C shortly after the call has begun; an interruption that came too early is passed on as well."""
        timer = threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT))
        timer.start()
        self.addCleanup(timer.join)
        self.assertRaises(KeyboardInterrupt, call)

    def test_ctrl_c_ends_a_study(self):
        car = corefeed.load(STACK)
        before = car.solve().json
        self.interrupted(lambda: car.solve(samples=1_000_000))
        self.assertEqual(car.solve().json, before)

    def test_ctrl_c_ends_a_sweep(self):
        car = corefeed.load(GOLDEN)
        areas = numpy.linspace(0.15, 0.25, 2_000_000)
        self.interrupted(lambda: car.sweep({"radiator.face_area": areas}, jobs=2))

    def test_ctrl_c_ends_measuring(self):
        worker = self.write("#!/bin/sh\nexec sleep 1000\n", "worker")
        os.chmod(worker, 0o755)
        os.environ["COREFEED_WORKER"] = worker
        self.addCleanup(os.environ.pop, "COREFEED_WORKER")
        self.interrupted(lambda: corefeed.measure(os.path.join(SAMPLES, "nose_duct.step")))

    def test_threads_share_a_model(self):
        """Each thread sees whole states only: an answer belongs to one of the areas that were set."""
        car = corefeed.load(GOLDEN)
        name = car.points[0]
        areas = [0.15, 0.16, 0.17, 0.18]
        allowed = set()
        for area in areas:
            car.set("radiator.face_area", area)
            allowed.add(car.solve().value(name, "radiator.flow"))
        seen, faults = [], []

        def work(number):
            try:
                for i in range(20):
                    car.set("radiator.face_area", areas[(i + number) % len(areas)])
                    seen.append(car.solve().value(name, "radiator.flow"))
            except Exception as error:  # pylint: disable=broad-except
                faults.append(error)

        threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(faults, [])
        self.assertLessEqual(set(seen), allowed)

    def test_threads_share_a_prepared_point(self):
        warm = corefeed.load(GOLDEN).prepare()
        warm.solve()
        faults = []

        def work():
            try:
                for i in range(200):
                    warm.set("radiator.face_area", 0.15 + 1e-4 * (i % 10))
                    warm.solve()
            except Exception as error:  # pylint: disable=broad-except
                faults.append(error)

        threads = [threading.Thread(target=work) for _ in range(3)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(faults, [])


class Locale(InFolder):
    def test_decimal_commas_change_nothing(self):
        made = subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", self.path("de_DE.UTF-8")],
                              capture_output=True, check=False) if shutil.which("localedef") else None
        if made is None or not os.path.isdir(self.path("de_DE.UTF-8")):
            self.skipTest("this system has no description of a locale with decimal commas")
        program = ("import locale, sys, corefeed\n"
                   "locale.setlocale(locale.LC_ALL, 'de_DE.UTF-8')\n"
                   "assert locale.localeconv()['decimal_point'] == ','\n"
                   "car = corefeed.load(sys.argv[1])\n"
                   "car.set('radiator.face_area', '1900.5 cm2')\n"
                   "assert car.get('radiator.face_area') == 0.19005\n"
                   "sys.stdout.write(corefeed.load(sys.argv[1]).solve().json)\n")
        done = subprocess.run([sys.executable, "-c", program, GOLDEN], capture_output=True, text=True,
                              env={**os.environ, "LOCPATH": self.folder})
        self.assertEqual(done.stderr, "")
        self.assertEqual(done.stdout, run("solve", GOLDEN, "--format", "json")[1])


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
