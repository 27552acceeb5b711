# SPDX-License-Identifier: Apache-2.0
"""Where numbers are written with a comma, every door gives the same bytes as elsewhere. Arguments: command, source
folder, folder of the locale de_DE.UTF-8, with-cad or no-cad, folder of the Python package ("" for none), C library.

A program that sets no locale would not notice, so the library is also called from hosts that have set theirs.
"""
import os
import shutil
import subprocess
import sys
import tempfile
import unittest

COMMAND, SOURCE, LOCALES, CAD, PACKAGE, LIBRARY = sys.argv[1:7]
SAMPLES = os.path.join(SOURCE, "geometry_samples")
CAR = os.path.join(SAMPLES, "hill_climb_car.corefeed" if CAD == "with-cad" else "oil_loop.corefeed")
GOLDEN = os.path.join(SOURCE, "tests", "data", "golden-model.json")
with_cad = unittest.skipUnless(CAD == "with-cad", "built without CAD")

# Sets the locale of the surroundings, as a host with a window does, and says its decimal mark.
HOST = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")
print(locale.localeconv()["decimal_point"], file=sys.stderr)
"""

IN_PYTHON = HOST + """
import corefeed
model = corefeed.load(sys.argv[1])
model.set("radiator.face_area", "1500.5 cm2")
model.set("fender_vent.area", 0.0525)
for answer in (model.solve(samples=5, seed=2), model.check(envelope=True), corefeed.compare(model, model.copy()),
               model.size("fender_vent.area", "radiator.flow >= 1.25 kg/s", range=("100.5 cm2", 0.2))):
    print(answer.json, answer.text)
print(model.text())
print(model.sweep("fender_vent.area=250.5cm2:800.5cm2:3").shown)
print(corefeed.schema())
try:
    model.set("radiator.face_area", "1500,5 cm2")
except corefeed.UsageError as error:
    print(error)
"""

IN_C = HOST + """
import ctypes
library = ctypes.CDLL(sys.argv[2])
library.corefeed_json.restype = library.corefeed_error.restype = ctypes.c_char_p
model, study = ctypes.c_void_p(), ctypes.c_void_p()
assert library.corefeed_load(sys.argv[1].encode(), None, ctypes.byref(model)) == 0, library.corefeed_error()
assert library.corefeed_set_text(model, b"radiator.face_area", b"1500.5 cm2") == 0, library.corefeed_error()
assert library.corefeed_solve(model, None, ctypes.byref(study)) == 0, library.corefeed_error()
print(library.corefeed_json(study).decode())
assert library.corefeed_set_text(model, b"radiator.face_area", b"1500,5 cm2") != 0
print(library.corefeed_error().decode())
"""


def surroundings(locale, **more):
    return {**os.environ, "LOCPATH": LOCALES, "LC_ALL": locale, "LANG": locale, "LANGUAGE": "", **more}


class CommaLocale(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)

    def run_in(self, locale, arguments, writes):
        path = os.path.join(self.folder, "out")
        done = subprocess.run([COMMAND, *arguments, *([writes, path] if writes else [])], capture_output=True,
                              timeout=300, env=surroundings(locale), check=False)
        written = b""
        if writes:
            with open(path, "rb") as file:
                written = file.read()
            os.remove(path)
        return done.returncode, done.stdout, done.stderr, written

    def same(self, *arguments, writes=None):
        plain = self.run_in("C.UTF-8", arguments, writes)
        self.assertEqual(self.run_in("de_DE.UTF-8", arguments, writes), plain, arguments)
        self.assertTrue(b"".join(plain[1:]), arguments)

    def host(self, script, *arguments):
        told = {}
        for locale, mark in (("C.UTF-8", "."), ("de_DE.UTF-8", ",")):
            done = subprocess.run([sys.executable, "-B", "-c", script, *arguments], capture_output=True, text=True,
                                  timeout=300, check=False,
                                  env=surroundings(locale, PYTHONPATH=PACKAGE, PYTHONIOENCODING="utf-8"))
            self.assertEqual((done.returncode, done.stderr), (0, mark + "\n"))  # the locale is in force
            told[mark] = done.stdout
        self.assertGreater(len(told["."]), 1000)
        self.assertEqual(told[","], told["."])

    def test_answers(self):
        for model in (GOLDEN, CAR):
            self.same("solve", model)
            self.same("solve", model, "--format", "json", "--samples", "5")
            self.same("check", model)
            self.same("check", model, "--format", "json", "--envelope", writes="-o")
            self.same("compare", model, "--format", "json")
            self.same("validate", model)

    def test_reports(self):
        for option in ("--junit", "--sarif"):
            self.same("check", GOLDEN, writes=option)
        self.same("report", GOLDEN, writes="-o")

    def test_numbers_of_the_command_line(self):
        self.same("size", GOLDEN, "--vary", "fender_vent.area", "--until", "radiator.flow >= 1.25 kg/s", "--range",
                  "100.5 cm2", "0.2 m2")
        self.same("sweep", GOLDEN, "--over", "fender_vent.area=250.5cm2:800.5cm2:3", writes="-o")
        self.same("sweep", GOLDEN, "--over", "fender_vent.area=250,5cm2:800,5cm2:3")

    def test_documents(self):
        self.same("explain", "vent")
        self.same("schema")
        self.same("solve", os.path.join(SAMPLES, "oil_loop.corefeed"))

    @with_cad
    def test_geometry(self):
        self.same("measure", os.path.join(SAMPLES, "bend_90.step"), "--at", "0.25,0.5", "--format", "json")
        self.same("measure", os.path.join(SAMPLES, "vent_and_rail.step"), writes="--html")
        self.same("measure", os.path.join(SAMPLES, "straight_rectangular_inch.step"))
        self.same("propose", os.path.join(SAMPLES, "front_end.step"), writes="-o")
        self.same("lap", CAR, os.path.join(SAMPLES, "hill_climb_lap.csv"))

    @unittest.skipUnless(PACKAGE, "built without the Python module")
    def test_python(self):
        self.host(IN_PYTHON, GOLDEN)

    def test_c_library(self):
        self.host(IN_C, GOLDEN, LIBRARY)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
