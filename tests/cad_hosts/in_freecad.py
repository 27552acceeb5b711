# SPDX-License-Identifier: Apache-2.0
"""The add-on without a window, in the distribution's Python with FreeCAD as a module. Arguments: command, source folder.

PYTHONPATH holds FreeCAD's library folder, the built package corefeed and the add-on's folder."""
import json
import os
import subprocess
import sys
import tempfile
import unittest

import FreeCAD
import Import
import Part

COMMAND, SOURCE = sys.argv[1:3]
SAMPLES = os.path.join(SOURCE, "geometry_samples")

import corefeed  # noqa: E402
import corefeed_host  # noqa: E402
from small_model import MODEL, draw_duct  # noqa: E402


def command(*arguments):
    return subprocess.run([COMMAND, *arguments], capture_output=True, text=True, timeout=120)


def measured_by_command(path):
    done = command("measure", path, "--format", "json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


class Host(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.document = FreeCAD.newDocument("car")
        self.addCleanup(FreeCAD.closeDocument, "car")

    def duct(self, width=200, height=100):
        return draw_duct(self.document, width, height)

    def write_model(self):
        path = os.path.join(self.folder, "car.corefeed")
        with open(path, "w", encoding="utf-8") as file:
            json.dump(MODEL, file)
        return path

    def test_a_duct_and_its_ports_are_measured(self):
        measured = corefeed_host.measure([self.duct()])
        part = measured.parts[0]
        self.assertEqual(part.name, "duct")
        self.assertEqual(sorted(one.name for one in part.openings), ["duct.from", "duct.to"])
        self.assertAlmostEqual(part.openings["duct.from"].area, 0.2 * 0.1, delta=1e-9)
        self.assertAlmostEqual(part.paths[0].length, 0.4, delta=1e-9)

    def test_the_command_measures_the_exported_part_to_the_same_bits(self):
        body = self.duct()
        step = os.path.join(self.folder, "duct.step")
        Import.export([body, *corefeed_host.ports_of(self.document)], step)
        theirs = measured_by_command(step)["parts"][0]
        ours = corefeed_host.measure([body]).to_dict()["parts"][0]
        for what in ("openings", "paths"):
            self.assertEqual(ours[what], theirs[what])

    def test_the_document_stands_in_for_the_models_part(self):
        model = self.write_model()
        self.duct()
        corefeed_host.set_model(self.document, model)
        wide = corefeed_host.check(self.document)
        self.assertEqual(wide.replaced, ["duct.step"])
        self.assertEqual(wide.status, 0)
        self.assertIn("verdict: met", wide.text)
        FreeCAD.closeDocument("car")
        self.document = FreeCAD.newDocument("car")
        self.duct(width=30, height=40)
        narrow = corefeed_host.check(self.document, model)
        self.assertEqual(narrow.status, 1)
        self.assertIn("not met: radiator is fed", narrow.text)

    def test_what_the_host_reads_stays_as_it_was(self):
        def volumes():
            shapes = []
            for name in ("straight_rectangular_metre.step", "straight_rectangular_inch.step"):
                shape = Part.Shape()
                shape.read(os.path.join(SAMPLES, name))
                shapes.append(shape.Volume)
            return shapes
        before = volumes()
        corefeed_host.measure([self.duct()])
        corefeed.measure(os.path.join(SAMPLES, "straight_rectangular_metre.step"))
        self.assertEqual(volumes(), before)

    def refused(self, *arguments, call=None):
        with self.assertRaises(corefeed_host.HostError) as caught:
            (call or corefeed_host.check)(*arguments)
        return str(caught.exception)

    def test_refusals_are_sentences(self):
        self.assertIn("choose its .corefeed file", self.refused(self.document))
        missing = os.path.join(self.folder, "none.corefeed")
        self.assertIn("cannot be read", self.refused(self.document, missing))
        path = self.write_model()
        with open(path, "a", encoding="utf-8") as file:
            file.write("}")
        self.assertIn("car.corefeed:1:", self.refused(self.document, path))
        self.assertIn("Select a body", self.refused([], call=corefeed_host.measure))
        curved = self.document.addObject("Part::Feature", "Pipe")
        curved.Shape = Part.makeCylinder(20, 100)
        side = next(f"Face{i}" for i, face in enumerate(curved.Shape.Faces, 1)
                    if face.Surface.TypeId != "Part::GeomPlane")
        self.assertIn("not flat", self.refused(curved, side, "from", call=corefeed_host.add_port))
        self.assertIn("no Face99", self.refused(curved, "Face99", "from", call=corefeed_host.add_port))

    def test_a_broken_shape_is_a_sentence(self):
        shell = self.document.addObject("Part::Feature", "Torn")
        shell.Label = "torn"
        shell.Shape = Part.makeCompound(Part.makeBox(400, 200, 100).Faces[:2])
        self.assertTrue(self.refused([shell], call=corefeed_host.measure))
        self.assertEqual(corefeed_host.measure([self.duct()]).parts[0].name, "duct")  # and the session goes on

    def test_another_version_is_refused_in_words(self):
        real = corefeed.__version__
        self.addCleanup(setattr, corefeed, "__version__", real)
        corefeed.__version__ = "7.3.0"
        self.assertIn("7.3.0", self.refused(call=corefeed_host.library))


class HowTo(unittest.TestCase):
    def test_the_pages_script_runs_as_it_stands(self):
        with open(os.path.join(SOURCE, "docs", "how-to", "freecad.md"), encoding="utf-8") as page:
            script = page.read().split("```python\n")[1].split("```")[0]
        folder = tempfile.mkdtemp()
        document = FreeCAD.newDocument("how_to")
        draw_duct(document)
        document.saveAs(os.path.join(folder, "car.FCStd"))
        FreeCAD.closeDocument("how_to")
        with open(os.path.join(folder, "car.corefeed"), "w", encoding="utf-8") as file:
            json.dump(MODEL, file)
        done = subprocess.run([sys.executable, "-c", script], cwd=folder, stdin=subprocess.DEVNULL, capture_output=True,
                              text=True, timeout=120)
        self.assertIn("verdict: met", done.stdout, done.stderr)


class Missing(unittest.TestCase):
    def test_without_the_library_there_is_a_sentence(self):
        """In a process of its own, whose path lacks the package."""
        path = os.pathsep.join(one for one in os.environ["PYTHONPATH"].split(os.pathsep)
                               if not os.path.isdir(os.path.join(one, "corefeed")))
        code = ("import corefeed_host\n"
                "try:\n    corefeed_host.library()\n"
                "except corefeed_host.HostError as error:\n    print(error)\n")
        done = subprocess.run([sys.executable, "-c", code], env={**os.environ, "PYTHONPATH": path},
                              capture_output=True, text=True, timeout=60)
        self.assertIn("The Python module corefeed is not there", done.stdout)
        self.assertNotIn("Traceback", done.stdout + done.stderr)


class Pipeline(unittest.TestCase):
    def test_the_recipe_fails_the_pipeline_with_the_status_of_the_check(self):
        folder = tempfile.mkdtemp()
        document = FreeCAD.newDocument("pipeline")
        self.addCleanup(FreeCAD.closeDocument, "pipeline")
        draw_duct(document)
        document.saveAs(os.path.join(folder, "car.FCStd"))
        recipe = os.path.join(SOURCE, "cad_bridge", "freecad", "check_on_export.py")
        out = os.path.join(folder, "out.step")
        for limit, status in (("0.5 kg/s", 0), ("9 kg/s", 1)):
            model = json.loads(json.dumps(MODEL))
            model["requirements"][0]["at_least"] = limit
            path = os.path.join(folder, "car.corefeed")
            with open(path, "w", encoding="utf-8") as file:
                json.dump(model, file)
            if os.path.exists(out):
                os.remove(out)
            done = subprocess.run([sys.executable, recipe, os.path.join(folder, "car.FCStd"), path, "--export", out],
                                  capture_output=True, text=True, timeout=120)
            self.assertEqual(done.returncode, status, done.stdout + done.stderr)
            self.assertEqual(os.path.exists(out), status == 0)
        done = subprocess.run([sys.executable, recipe, os.path.join(folder, "car.FCStd"), "/nowhere.corefeed"],
                              capture_output=True, text=True, timeout=120)
        self.assertNotEqual(done.returncode, 0)
        self.assertIn("cannot be read", done.stderr)
        self.assertNotIn("Traceback", done.stderr)


if __name__ == "__main__":
    sys.argv[1:] = []
    unittest.main(verbosity=2)
