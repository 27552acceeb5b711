# SPDX-License-Identifier: Apache-2.0
"""The command from outside: statuses, messages, files. Arguments: command, source folder, with-cad or no-cad."""
import copy
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree

COMMAND, SOURCE, CAD = sys.argv[1:4]
GOLDEN = os.path.join(SOURCE, "tests", "data", "golden-model.json")
SAMPLES = os.path.join(SOURCE, "geometry_samples")
CAR = os.path.join(SAMPLES, "hill_climb_car.corefeed")


def run(*arguments, text_in=None):
    done = subprocess.run([COMMAND, *arguments], input=text_in, capture_output=True, text=True, timeout=120)
    return done.returncode, done.stdout, done.stderr


def golden():
    with open(GOLDEN, encoding="utf-8") as file:
        return json.load(file)


class InFolder(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)

    def path(self, name):
        return os.path.join(self.folder, name)

    def write(self, model, name="model.json"):
        with open(self.path(name), "w", encoding="utf-8") as file:
            json.dump(model, file, indent=1)
        return self.path(name)


class Golden(InFolder):
    def compare(self, model):
        status, out, _ = run("solve", self.write(model), "--format", "json")
        self.assertEqual(status, 0)
        ours = json.loads(out)["points"][0]
        with open(os.path.join(SOURCE, "tests", "data", "golden-result.json"), encoding="utf-8") as file:
            expected = json.load(file)["points"][0]
        for group in ("elements", "nodes", "loops"):
            for name, numbers in expected[group].items():
                for what, number in numbers.items():
                    near = 0.01 if "temperature" in what else 1e-5 * abs(number)
                    self.assertAlmostEqual(ours[group][name][what], number, delta=near, msg=f"{name}.{what}")
        for what, number in expected["car"].items():
            self.assertAlmostEqual(ours["car"][what], number, delta=1e-5 * abs(number), msg=what)

    def test_json_matches(self):
        self.compare(golden())

    def test_any_order(self):
        model = golden()
        elements = list(model["air"]["elements"].items())
        for order in (reversed(elements), sorted(elements), elements[4:] + elements[:4]):
            model["air"]["elements"] = dict(order)
            self.compare(model)

    def test_same_bytes_twice(self):
        first, second = (run("solve", GOLDEN, "--format", "json")[1] for _ in range(2))
        self.assertEqual(first, second)


class WrongInput(InFolder):
    """One clear message, the right status, no output file."""

    def refuse(self, model, status, *fragments):
        path = model if isinstance(model, str) else self.write(model)
        out, junit = self.path("out.txt"), self.path("junit.xml")
        with open(out, "w", encoding="utf-8") as file:
            file.write("the older result")
        got, printed, message = run("check", path, "-o", out, "--junit", junit)
        self.assertEqual(got, status, message)
        self.assertEqual(printed, "")
        self.assertEqual(len(message.strip().splitlines()), 1, message)
        for fragment in fragments:
            self.assertIn(fragment, message)
        self.assertFalse(os.path.exists(junit))
        with open(out, encoding="utf-8") as file:
            self.assertEqual(file.read(), "the older result")

    def changed(self, change):
        model = golden()
        change(model["air"]["elements"])
        return model

    def test_misspelt_key(self):
        def change(elements):
            elements["radiator"]["fase_area"] = elements["radiator"].pop("face_area")
        self.refuse(self.changed(change), 3, "/air/elements/radiator/fase_area", 'did you mean "face_area"?')

    def test_missing_unit(self):
        self.refuse(self.changed(lambda e: e["radiator"].update(face_area=1500)), 3, "model.json:", "/face_area", '"1500 cm2"')

    def test_wrong_dimension(self):
        self.refuse(self.changed(lambda e: e["radiator"].update(face_area="1500 mm")), 3, "/face_area", "is a length",
                    "expected an area")

    def test_negative_area(self):
        self.refuse(self.changed(lambda e: e["radiator"].update(face_area="-1500 cm2")), 3, "/face_area", "above 0")

    def test_unknown_node(self):
        self.refuse(self.changed(lambda e: e["core_gap"].update(to="engin_bay")), 3, "/core_gap/to", "engin_bay",
                    'did you mean "engine_bay"?')

    def test_no_outlet(self):
        def change(elements):
            del elements["fender_vent"], elements["floor_gap"]
        self.refuse(self.changed(change), 3, "no_outlet", "add a vent")

    def test_missing_file(self):
        self.refuse(self.path("nothing.json"), 3, "nothing.json", "no file")

    def test_folder_for_a_file(self):
        self.refuse(self.folder, 3, self.folder)

    @unittest.skipIf(CAD == "no-cad", "built without CAD")
    def test_unreadable_step(self):
        with open(self.path("bad.step"), "w", encoding="utf-8") as file:
            file.write("ISO-10303-21; no STEP file")
        geometry = {"file": "bad.step", "opening": "duct.from"}
        self.refuse(self.changed(lambda e: e["nose_inlet"].update(geometry=geometry)), 5, "bad.step", "HEADER")

    def test_missing_step(self):
        geometry = {"file": "none.step", "opening": "duct.from"}
        self.refuse(self.changed(lambda e: e["nose_inlet"].update(geometry=geometry)), 3, "none.step", "no such file")

    def test_file_outside_the_folder(self):
        geometry = {"file": "../other.step", "opening": "duct.from"}
        self.refuse(self.changed(lambda e: e["nose_inlet"].update(geometry=geometry)), 3, "--allow-root")

    def test_broken_json(self):
        with open(self.path("model.json"), "w", encoding="utf-8") as file:
            file.write('{"corefeed": 1,\n "air": [}')
        self.refuse(self.path("model.json"), 3, "model.json:2:")


class CommandLine(InFolder):
    def test_wrong_words(self):
        for arguments, help_text in ((("chek", GOLDEN), "check"), (("check", "--stric", GOLDEN), "--strict"), (("check",), "MODEL"),
                                     (("solve", GOLDEN, "--point", "nowhere"), "fast straight"),
                                     (("explain", "difuser"), "diffuser")):
            status, out, message = run(*arguments)
            self.assertEqual(status, 2, arguments)
            self.assertEqual(out, "")
            self.assertIn(help_text, message)

    def test_help_and_version(self):
        status, out, _ = run("--help")
        self.assertEqual(status, 0)
        self.assertIn("Exit status", out)
        self.assertEqual(run("--version")[0], 0)

    def test_output_that_cannot_be_written(self):
        status, _, message = run("check", GOLDEN, "-o", self.path("no/such/folder/out.txt"))
        self.assertEqual(status, 6)
        self.assertIn("out.txt", message)

    def test_standard_input(self):
        with open(GOLDEN, encoding="utf-8") as file:
            status, out, _ = run("check", "-", text_in=file.read())
        self.assertEqual(status, 0)
        self.assertIn("verdict: met", out)

    def test_explain_and_schema(self):
        status, out, _ = run("explain")
        self.assertEqual(status, 0)
        for kind in ("inlet", "diffuser", "core", "vent", "duct_path"):
            self.assertIn(kind, out)
            self.assertEqual(run("explain", kind)[0], 0)
        status, out, _ = run("schema")
        self.assertEqual(status, 0)
        json.loads(out)


class Check(InFolder):
    def test_met_and_not_met(self):
        self.assertEqual(run("check", GOLDEN)[0], 0)
        model = golden()
        model["requirements"][0]["at_least"] = "1.5 kg/s"
        status, out, _ = run("check", self.write(model))
        self.assertEqual(status, 1)
        self.assertIn("not met: radiator is fed", out)
        self.assertIn("fender_vent eats 60 % (most of it: vent loss)", out)
        self.assertIn("cautions", out)

    def test_junit(self):
        model = golden()
        model["requirements"][0]["at_least"] = "1.5 kg/s"
        status, _, _ = run("check", self.write(model), "--junit", self.path("junit.xml"))
        self.assertEqual(status, 1)
        tree = ElementTree.parse(self.path("junit.xml"))
        failed = [case.get("name") for case in tree.iter("testcase") if case.find("failure") is not None]
        self.assertEqual(failed, ["radiator is fed"])
        self.assertEqual(len(list(tree.iter("testcase"))), 5)

    def test_json_beside_text(self):
        status, out, _ = run("check", GOLDEN, "--json", self.path("r.json"))
        self.assertEqual(status, 0)
        with open(self.path("r.json"), encoding="utf-8") as file:
            self.assertEqual(json.load(file)["verdict"], "too close to call" if "too close" in out else "met")


class Size(InFolder):
    def test_golden_fender_vent(self):
        arguments = ("size", GOLDEN, "--vary", "fender_vent.area", "--until", "radiator.flow >= 1.514622488 kg/s")
        status, out, _ = run(*arguments, "--format", "json", "--write", self.path("sized.json"))
        self.assertEqual(status, 0)
        answer = json.loads(out)
        self.assertTrue(answer["reached"])
        self.assertAlmostEqual(answer["value"], 0.0652531, delta=1e-4 * 0.0652531)
        status, out, _ = run("solve", self.path("sized.json"), "--format", "json")
        self.assertEqual(status, 0)
        self.assertAlmostEqual(json.loads(out)["points"][0]["elements"]["radiator"]["flow"], 1.514622488, delta=1e-6)

    def test_out_of_reach(self):
        status, out, _ = run("size", GOLDEN, "--vary", "fender_vent.area", "--until", "radiator.flow >= 3 kg/s")
        self.assertEqual(status, 1)
        self.assertIn("out of reach", out)
        self.assertIn("radiator.face_area", out)

    def test_wrong_questions(self):
        for vary, until in (("fender_vent.aera", "radiator.flow >= 1 kg/s"), ("fender_vent.area", "radiator.flow > 1"),
                            ("fender_vent.area", "radiator.flow >= 1 Pa")):
            self.assertEqual(run("size", GOLDEN, "--vary", vary, "--until", until)[0], 2)


class Compare(InFolder):
    def variants(self):
        model = golden()
        model["variants"] = {"no_fan": {"air": {"elements": {"fan": None}}, "points": [{"name": "fast straight", "speed": "180 km/h"}]},
                             "small_vent": {"air": {"elements": {"fender_vent": {"area": "200 cm2"}}}}}
        return self.write(model)

    def test_a_model_and_its_variants(self):
        status, out, message = run("compare", self.variants())
        self.assertEqual(status, 0, message)
        self.assertEqual(message, "")
        self.assertLessEqual(max(map(len, out.splitlines())), 100)
        self.assertRegex(out, r"small_vent: oil_cooler gets 0\.\d+ kg/s less")
        self.assertRegex(out, r"radiator is fed +met +not met +not met")

    def test_json_differs_as_two_solutions_do(self):
        model = golden()
        model["air"]["elements"]["fender_vent"]["area"] = "200 cm2"
        other = self.write(model, "small.json")
        status, out, _ = run("compare", GOLDEN, other, "--format", "json", "-o", self.path("out.json"))
        self.assertEqual((status, out), (0, ""))
        with open(self.path("out.json"), encoding="utf-8") as file:
            results = json.load(file)
        self.assertEqual(results["baseline"]["name"], "golden-model")
        variant, = results["variants"]
        self.assertEqual(variant["name"], "small")
        flows = [json.loads(run("solve", path, "--format", "json")[1])["points"][0]["elements"]["radiator"]["flow"]
                 for path in (GOLDEN, other)]
        self.assertEqual(variant["difference"][0]["quantities"]["radiator.flow"]["change"], flows[1] - flows[0])

    def test_options_may_stand_in_front(self):
        self.assertEqual(run("compare", "--point", "fast straight", self.variants())[0], 0)

    def test_wrong_questions(self):
        model = golden()
        model["points"].append({"name": "slow", "speed": "80 km/h"})
        other = self.write(model, "other.json")
        for arguments, expected, fragment in (((GOLDEN,), 2, "variants"), ((GOLDEN, other), 3, '"slow"'), ((GOLDEN, "-"), 2, "standard input"),
                                              ((self.variants(), "--point", "nowhere"), 2, "fast straight"), ((GOLDEN, "none.json"), 3, "none.json")):
            status, out, message = run("compare", *arguments)
            self.assertEqual((status, out), (expected, ""), arguments)
            self.assertIn(fragment, message)
        model["variants"] = {"wrong": {"air": {"elements": {"fender_vent": {"aera": "1 cm2"}}}}}
        status, _, message = run("compare", self.write(model))
        self.assertEqual(status, 3)
        self.assertIn('in the variant "wrong"', message)

    def test_no_solution(self):
        """More heat than the range of a double holds temperatures for."""
        model = golden()
        model["variants"] = {"melting": {"loops": {"oil": {"heat_load": "1e300 kW"}}}}
        status, out, message = run("compare", self.write(model))
        self.assertEqual(status, 4)
        self.assertIn("melting has no solution here", out)
        self.assertIn("no_solution: melting", message)


@unittest.skipIf(CAD == "no-cad", "built without CAD")
class WithCad(InFolder):
    def test_the_sample_is_met(self):
        status, out, message = run("check", CAR)
        self.assertEqual(status, 0, message)
        self.assertIn("verdict: met", out)

    def test_the_readme_shows_what_is_printed(self):
        with open(os.path.join(SOURCE, "README.md"), encoding="utf-8") as file:
            shown = file.read().split("```\n")[1]
        done = subprocess.run([COMMAND, "check", "geometry_samples/hill_climb_car.corefeed"], cwd=SOURCE,
                              capture_output=True, text=True, timeout=120, check=True)
        printed = done.stdout.split("cautions\n")[0].rstrip() + "\n"
        # The steps and the last residual belong to the build.
        lines = [[line for line in text.splitlines() if "converged" not in line] for text in (shown, printed)]
        self.assertEqual(lines[0], lines[1])

    def test_a_narrower_throat_turns_the_check(self):
        """The same model; the STEP file alone is another one."""
        for name in os.listdir(SAMPLES):
            if name.endswith((".step", ".corefeed")):
                shutil.copy(os.path.join(SAMPLES, name), self.folder)
        model = self.path("hill_climb_car.corefeed")
        self.assertEqual(run("check", model)[0], 0)
        shutil.copy(self.path("nose_duct_narrow.step"), self.path("nose_duct.step"))
        status, out, _ = run("check", model)
        self.assertEqual(status, 1)
        self.assertIn("not met: radiator is fed", out)
        eaten = [line for line in out.splitlines() if "radiator:" in line and "eats" in line]
        self.assertTrue(eaten and "nose_duct" in eaten[0].split("eats")[0], out)

    def test_fifteen_runs_are_ranked_and_the_worst_is_named(self):
        model = os.path.join(SAMPLES, "hill_climb_runs.corefeed")
        status, out, message = run("check", model, "--envelope")
        self.assertEqual(status, 1, message)
        with open(os.path.join(SAMPLES, "hill_climb_points.csv"), encoding="utf-8") as file:
            names = [line.split(",")[0] for line in file.read().splitlines()[1:]]
        self.assertEqual(len(names), 15)
        ranking = out.split("hardest first")[1].split("requirement  ")[0].splitlines()[1:]
        ranked = [line for line in ranking if line.strip()]
        self.assertEqual(len(ranked), 15, out)
        for name in names:
            self.assertTrue(any(f"  {name}  " in line for line in ranked), name)
        worst = next(line for line in out.splitlines() if line.startswith("  radiator is fed "))
        self.assertIn("55 mm 8 deg right", worst)
        self.assertIn("not met", worst)
        self.assertIn("fender_vent.area 10 % larger", out)
        self.assertIn("1 speed x 3 ride heights x 5 yaw angles", out)

    def test_both_cores_of_each_run_pay_the_same_head(self):
        """Both breathe in from the freestream and out by the fender vent, by different ways."""
        _, out, _ = run("check", os.path.join(SAMPLES, "hill_climb_runs.corefeed"), "--format", "json")
        for point in json.loads(out)["points"]:
            heads = [sum(line["loss"] for line in lines) for lines in point["budget"].values()]
            self.assertEqual(len(heads), 2)
            self.assertAlmostEqual(heads[0], heads[1], delta=1e-9 * heads[0], msg=point["name"])

    def test_the_variant_does_the_same(self):
        status, out, _ = run("check", CAR, "--variant", "narrow_nose")
        self.assertEqual(status, 1)
        self.assertIn("nose_duct eats", out)

    def fill_in(self, path):
        """What the shapes of the front end do not tell."""
        with open(path, encoding="utf-8") as file:
            model = json.load(file)
        elements = model["air"]["elements"]
        model["ambient"] = {"temperature": "25 degC", "pressure": "98 kPa"}
        elements["nose_duct_inlet"]["cp"] = 0.9
        elements["radiator"]["air_loss"] = {"linear": "22 Pa s/m", "quadratic": "5.6 Pa s2/m2"}
        elements["fender_vent"].update({"cp": -0.4, "discharge_coefficient": 0.65})
        model["points"] = [{"name": "straight", "speed": "180 km/h"}]
        model["requirements"] = [{"name": "radiator is fed", "quantity": "radiator.flow", "at_least": "1.6 kg/s"}]
        model["variants"] = {"rail_moved": {"air": {"elements": {"fender_vent": {
            "geometry": {"file": "front_end_rail_moved.step"}}}}}}
        model["to_decide"] = []
        with open(path, "w", encoding="utf-8") as file:
            json.dump(model, file)

    def test_an_assembly_becomes_a_model_that_answers(self):
        for name in ("front_end.step", "front_end_rail_moved.step"):
            shutil.copy(os.path.join(SAMPLES, name), self.folder)
        model = self.path("front.corefeed")
        status, out, message = run("propose", self.path("front_end.step"), "-o", model)
        self.assertEqual(status, 0, message)
        for made in ("nose_duct: duct_path nose_duct", "radiator: core radiator", "nose_duct: leak radiator_gap",
                     "fender: vent fender_vent", "frame_rail (body): stands in the way at most; covers 40 %"):
            self.assertIn(made, out)
        status, out, message = run("check", model)
        self.assertEqual((status, out), (3, ""))
        self.assertIn("/to_decide/0: to_decide: still to decide: /air/elements/nose_duct_inlet/cp", message)
        self.fill_in(model)
        status, _, message = run("propose", self.path("front_end.step"), "-o", model)
        self.assertEqual(status, 6)
        self.assertIn("file_exists", message)
        status, out, message = run("check", model)
        self.assertEqual(status, 1, message)
        # Is the core fed, how much leaks round it, what cures it.
        self.assertIn("not met: radiator is fed", out)
        self.assertRegex(out, r"[0-9.]+ % of the air passes by radiator through radiator_gap")
        self.assertIn("fender_vent.area 10 % larger: radiator.flow +", out)
        # What the rail costs: moved out of the vent by 10 mm, the core gets more.
        status, out, message = run("compare", model, "--format", "json")
        self.assertEqual(status, 0, message)
        compared = json.loads(out)
        flows = [one["points"][0]["elements"]["radiator"]["flow"]
                 for one in (compared["baseline"], compared["variants"][0])]
        self.assertGreater(flows[1], flows[0] * 1.002)

    def test_a_lock_tells_what_has_been_redrawn(self):
        for name in ("front_end.step", "front_end_rail_moved.step"):
            shutil.copy(os.path.join(SAMPLES, name), self.folder)
        model = self.path("front.corefeed")
        self.assertEqual(run("propose", self.path("front_end.step"), "-o", model)[0], 0)
        self.fill_in(model)
        self.assertIn("there is no lock", run("check", model)[1].replace("\n  ", " "))
        status, _, message = run("validate", "--lock", model)
        self.assertEqual(status, 0, message)
        self.assertNotIn("lock", run("check", model)[1])
        shutil.copy(os.path.join(SAMPLES, "front_end_rail_moved.step"), self.path("front_end.step"))
        status, out, _ = run("check", model, "--format", "json")
        told = [one for one in json.loads(out)["points"][0]["warnings"] if one["code"] == "geometry_changed"]
        self.assertEqual(len(told), 1, told)
        self.assertRegex(told[0]["text"], "frame_rail before cutout 1 of fender .* area 20[0-9.]+ cm2 -> 18[0-9.]+ cm2")
        # A rail that was there and is not, and one that was not and is.
        with open(model + ".lock.json", encoding="utf-8") as file:
            lock = json.load(file)
        lock["elements"]["fender_vent"][1]["of"] = "old_rail before cutout 1 of fender"
        with open(model + ".lock.json", "w", encoding="utf-8") as file:
            json.dump(lock, file)
        _, _, message = run("validate", model)
        self.assertIn("frame_rail before cutout 1 of fender of front_end.step is new since the lock", message)
        self.assertIn("old_rail before cutout 1 of fender of front_end.step stood in the lock and is gone", message)
        with open(model + ".lock.json", "w", encoding="utf-8") as file:
            file.write('{"corefeed_lock": 1, "elements": {"radiator": 5}}')
        status, _, message = run("check", model)
        self.assertEqual(status, 3)
        self.assertIn("front.corefeed.lock.json:1: /elements/radiator: wrong_type", message)

    def test_edits_of_the_duct_keep_the_sample_bound(self):
        """A wider throat, a rib, a chamfer: nothing loses its binding, and what moved is told."""
        for name in os.listdir(SAMPLES):
            if name.endswith((".step", ".corefeed", ".lock.json")):
                shutil.copy(os.path.join(SAMPLES, name), self.folder)
        model = self.path("hill_climb_car.corefeed")
        shutil.copy(self.path("nose_duct_narrow.step"), self.path("nose_duct.step"))
        self.assertEqual(run("validate", "--lock", model)[0], 0)
        shutil.copy(self.path("nose_duct_wider.step"), self.path("nose_duct.step"))
        status, _, message = run("validate", model)
        self.assertEqual(status, 0, message)
        told = [line for line in message.splitlines() if "geometry_changed" in line]
        self.assertEqual(len(told), 1, message)
        areas = re.search(r"narrowest section of nose_duct of nose_duct.step has changed since the lock: "
                          r"area ([0-9.]+) cm2 -> ([0-9.]+) cm2", told[0])
        self.assertTrue(areas, told[0])
        for area, truth in zip(areas.groups(), (160.0, 200.0)):
            self.assertAlmostEqual(float(area), truth, delta=5e-4 * truth)
        shutil.copy(os.path.join(SAMPLES, "nose_duct.step"), self.folder)
        self.assertEqual(run("validate", "--lock", model)[0], 0)
        # Mouth 300 mm x 140 mm less the rib's 12 mm of height; less the chamfer's triangle of 8 mm.
        for edit, change in (("ribbed", "area 420 cm2 -> 384 cm2"), ("chamfered", "area 420 cm2 -> 419.68 cm2")):
            shutil.copy(self.path(f"nose_duct_{edit}.step"), self.path("nose_duct.step"))
            status, _, message = run("validate", model)
            self.assertEqual(status, 0, message)
            self.assertIn(change, message)
            self.assertNotIn("flank", message)

    def test_pressures_of_a_surface_become_a_table(self):
        """A field that rises along x: the mean is its value in the middle of each opening."""
        cloud = self.path("run.csv")
        with open(cloud, "w", encoding="utf-8") as file:
            file.write("x [mm],y [mm],z [mm],cp\n")
            for i in range(-60, 61):
                for j in range(-60, 61):
                    file.write(f"{130 + 2.5 * i},{80 + 2.5 * j},0,{-0.3 + 0.001 * 2.5 * i}\n")
        status, out, message = run("measure", os.path.join(SAMPLES, "vent_and_rail.step"), "--surface-pressure",
                                   cloud + "@ride_height=40mm", "--call", "cutout 1=fender_vent")
        self.assertEqual(status, 0, message)
        lines = out.splitlines()
        self.assertEqual(lines[0], "opening,ride_height [mm],cp,sigma")
        name, height, cp, _ = lines[1].split(",")
        self.assertEqual((name, height), ("fender_vent", "40"))
        self.assertAlmostEqual(float(cp), -0.3, delta=0.005)
        self.assertIn("no_points: cutout 2", message)

    def test_measure(self):
        status, out, _ = run("measure", os.path.join(SAMPLES, "nose_duct.step"), "--format", "json", "--sections", "7",
                             "--at", "0.1,0.9")
        self.assertEqual(status, 0)
        part = json.loads(out)["parts"][0]
        self.assertEqual(part["name"], "nose_duct")
        self.assertEqual(len(part["paths"][0]["stations"]), 9)
        self.assertAlmostEqual(part["openings"][0]["area"], 0.042, delta=1e-8)

    def vent_flow(self, panel):
        shutil.copy(os.path.join(SAMPLES, panel), self.folder)
        model = {"corefeed": 1, "title": "A bay with a vent",
                 "ambient": {"temperature": "20 degC", "pressure": "101325 Pa", "relative_humidity": 0.5},
                 "air": {"elements": {
                     "mouth": {"kind": "inlet", "to": "bay", "area": "400 cm2", "cp": 0.8, "recovery": 0.95,
                               "lip_loss": 0.3},
                     "vent": {"kind": "vent", "from": "bay", "cp": -0.3, "discharge_coefficient": 0.62,
                              "geometry": {"file": panel, "part": "vent_panel", "cutout": "cutout 1"}}},
                     "nodes": {"bay": {"kind": "plenum"}}},
                 "points": [{"name": "run", "speed": "150 km/h"}]}
        status, out, message = run("solve", self.write(model), "--format", "json")
        self.assertEqual(status, 0, message)
        return json.loads(out)["points"][0]["elements"]["vent"]["flow"]

    def test_a_rail_moved_by_10_mm_moves_the_answer(self):
        before, after = self.vent_flow("vent_and_rail.step"), self.vent_flow("vent_and_rail_moved.step")
        # 5 % more of the vent is free, the rest stands behind a curtain twice its size: 0.4 % by hand.
        self.assertGreater(after, before * 1.003)

    def test_what_stands_behind_a_vent_is_told(self):
        status, out, _ = run("measure", os.path.join(SAMPLES, "vent_and_rail.step"))
        self.assertEqual(status, 0)
        self.assertIn("frame_rail covers 20.0 % of it, gap 30 mm", out)

    def test_measure_writes_a_page(self):
        status, out, message = run("measure", os.path.join(SAMPLES, "nose_duct.step"), "--html", self.path("nose.html"))
        self.assertEqual(status, 0, message)
        self.assertIn("nose_duct (flow volume)", out)
        with open(self.path("nose.html"), encoding="utf-8") as file:
            page = file.read()
        self.assertTrue(page.startswith("<!DOCTYPE html>"))
        self.assertIn("<svg", page)
        status, _, _ = run("measure", os.path.join(SAMPLES, "nose_duct.step"), "--html", self.path("none/nose.html"))
        self.assertEqual(status, 6)

    def test_validate(self):
        status, out, message = run("validate", CAR)
        self.assertEqual(status, 0, message)
        self.assertIn("sound", out)


@unittest.skipIf(CAD == "with-cad", "built with CAD")
class WithoutCad(unittest.TestCase):
    def test_measure_says_so(self):
        status, _, message = run("measure", os.path.join(SAMPLES, "nose_duct.step"))
        self.assertEqual(status, 2)
        self.assertIn("without", message)


class Lap(InFolder):
    def setUp(self):
        super().setUp()
        model = golden()
        model["loops"]["coolant"].update(thermal_mass="60 kJ/K", temperature_limit="90 degC")
        model["loops"]["oil"].update(thermal_mass="12 kJ/K")
        self.model = model
        self.trace = self.lines("0,120,40", "20,200,70", "40,200,70", "60,120,40")

    def lines(self, *rows, head="time [s],speed [km/h],heat_load.coolant [kW]"):
        path = self.path("trace.csv")
        with open(path, "w", encoding="utf-8") as file:
            file.write("\n".join((head, *rows)) + "\n")
        return path

    def test_text_on_one_page(self):
        status, out, message = run("lap", self.write(self.model), self.trace)
        self.assertEqual((status, message), (0, ""))
        for words in ("the lap that repeats itself", "coolant", "of 90 degC", "cautions"):
            self.assertIn(words, out)

    def test_json_has_the_public_keys(self):
        status, out, _ = run("lap", self.write(self.model), self.trace, "--format", "json")
        self.assertEqual(status, 0)
        lap = json.loads(out)
        self.assertTrue(lap["cyclic"])
        self.assertEqual(lap["time"], [0, 20, 40, 60])
        self.assertEqual(len(lap["coolant.temperature"]), 4)
        self.assertGreaterEqual(lap["peak"]["coolant"]["temperature"], max(lap["coolant.temperature"]))
        self.assertGreaterEqual(lap["time_above"]["coolant"], 0)
        self.assertLess(lap["table_error"]["largest"], 0.01)
        for energy in lap["energy"].values():
            self.assertAlmostEqual(energy["in"], energy["out"] + energy["stored"], delta=1e-6 * energy["in"])

    def test_same_bytes_twice(self):
        model = self.write(self.model)
        first, second = (run("lap", model, self.trace, "--format", "json")[1] for _ in range(2))
        self.assertEqual(first, second)

    def test_output_ending_in_csv_is_a_table(self):
        target = self.path("temperatures.csv")
        status, out, _ = run("lap", self.write(self.model), self.trace, "--laps", "2", "-o", target)
        self.assertEqual((status, out), (0, ""))
        with open(target, encoding="utf-8") as file:
            rows = file.read().splitlines()
        self.assertEqual(rows[0], "time [s],lap,speed [km/h],coolant.temperature [degC],oil.temperature [degC]")
        self.assertEqual(len(rows), 8)
        self.assertEqual(rows[1], "0,1,120,30,30")

    def test_missed_requirement_is_1(self):
        for one in self.model["requirements"]:
            if one["quantity"] == "oil.temperature":
                one["at_most"] = "60 degC"
        status, out, _ = run("lap", self.write(self.model), self.trace)
        self.assertEqual(status, 1)
        self.assertIn("not met", out)

    def test_wrong_trace_is_3_with_the_place(self):
        target = self.path("out.txt")
        for row, fragment in (("10,,40", "trace.csv:3:4"), ("10,fast,40", "trace.csv:3:4"), ("-1,100,40", "trace.csv:3:1"),
                              ("10,100", "trace.csv:3:1"), ("10,nan,40", "trace.csv:3:4")):
            status, out, message = run("lap", self.write(self.model), self.lines("0,100,40", row), "-o", target)
            self.assertEqual((status, out), (3, ""), message)
            self.assertIn(fragment, message)
            self.assertFalse(os.path.exists(target))
        status, _, message = run("lap", self.write(self.model), self.lines("0,1", "1,1", head="time [s],sped [m/s]"))
        self.assertEqual(status, 3)
        self.assertIn('did you mean "sped"', message)
        status, _, message = run("lap", self.write(self.model), self.path("none.csv"))
        self.assertEqual(status, 3)
        self.assertIn("none.csv", message)

    def test_model_without_thermal_mass_is_3(self):
        status, _, message = run("lap", self.write(golden()), self.trace)
        self.assertEqual(status, 3)
        self.assertIn("/loops/coolant", message)
        self.assertIn("thermal_mass", message)

    def test_wrong_command_line_is_2(self):
        model = self.write(self.model)
        self.assertEqual(run("lap", model)[0], 2)
        self.assertEqual(run("lap", model, self.trace, "--laps", "0")[0], 2)
        status, _, message = run("lap", model, self.trace, "--point", "nowhere")
        self.assertEqual(status, 2)
        self.assertIn("fast straight", message)

    def test_starved_loop_is_4_by_name(self):
        self.model["air"]["elements"]["flank_inlet"]["area"] = "0.3 cm2"
        status, out, message = run("lap", self.write(self.model), self.trace, "--format", "json")
        self.assertEqual(status, 4)
        self.assertIn("oil_cooler gets", message)
        self.assertIsNone(json.loads(out)["peak"]["oil"])

    def test_timing_goes_to_standard_error(self):
        status, out, message = run("lap", self.write(self.model), self.trace, "--timing")
        self.assertEqual(status, 0)
        self.assertIn("of real time", message)
        self.assertNotIn("of real time", out)

    @unittest.skipIf(CAD == "no-cad", "built without CAD")
    def test_sample(self):
        status, out, message = run("lap", CAR, os.path.join(SAMPLES, "hill_climb_lap.csv"))
        self.assertEqual((status, message), (0, ""))
        self.assertIn("thermostat", out)


class Schema(InFolder):
    """The schema that editors use and the reader give the same verdict; python3-jsonschema is the judge."""

    @classmethod
    def setUpClass(cls):
        import jsonschema
        cls.validator = jsonschema.Draft7Validator(json.loads(run("schema")[1]))

    def test_examples_are_valid(self):
        loops = [os.path.join(SAMPLES, name) for name in ("oil_loop.corefeed", "oil_cooler_bench.corefeed")]
        for path in (GOLDEN, CAR, *loops):
            with open(path, encoding="utf-8") as file:
                self.assertEqual([e.message for e in self.validator.iter_errors(json.load(file))], [])

    def test_broken_ones_are_refused_by_both(self):
        changes = {
            "misspelt key": lambda m: m["air"]["elements"]["radiator"].update(fase_area="1 m2"),
            "bare number": lambda m: m["air"]["elements"]["radiator"].update(face_area=0.15),
            "wrong dimension": lambda m: m["air"]["elements"]["radiator"].update(face_area="3 kPa"),
            "unknown kind": lambda m: m["air"]["elements"]["radiator"].update(kind="core2"),
            "unknown fan state": lambda m: m["points"][0]["fans"].update(fan="off"),
            "no ambient": lambda m: m.pop("ambient"),
            "points no list": lambda m: m.update(points={}),
            "humidity with unit": lambda m: m["ambient"].update(relative_humidity="40 %"),
            "bare thermal mass": lambda m: m["loops"]["oil"].update(thermal_mass=12000),
            "thermostat without end": lambda m: m["loops"]["oil"].update(thermostat={"opens_at": "80 degC"}),
            "misspelt control": lambda m: m["loops"]["oil"].update(fan_control={"fan": {"on": "80 degC"}}),
            "unknown node kind": lambda m: m["air"]["nodes"]["core_face"].update(kind="box"),
        }
        for name, change in changes.items():
            model = copy.deepcopy(golden())
            change(model)
            self.assertFalse(self.validator.is_valid(model), name)
            self.assertEqual(run("validate", self.write(model))[0], 3, name)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
