# SPDX-License-Identifier: Apache-2.0
"""The DRAW plugin without a display. Arguments: command, source folder, folder of the plugin."""
import json
import os
import shutil
import subprocess
import sys
import tempfile
import unittest

COMMAND, SOURCE, PLUGIN = sys.argv[1:4]


class Draw(unittest.TestCase):
    def test_it_measures_to_the_same_bits_as_the_command(self):
        step = os.path.join(SOURCE, "geometry_samples", "straight_rectangular.step")
        done = subprocess.run([COMMAND, "measure", step, "--format", "json"], capture_output=True, text=True, timeout=120)
        self.assertEqual(done.returncode, 0, done.stderr)
        theirs = json.loads(done.stdout)["parts"][0]
        result = os.path.join(tempfile.mkdtemp(), "measured.json")
        environment = {**os.environ, "STEP_FILE": step, "PART_NAME": theirs["name"], "JSON_FILE": result,
                       "CSF_CorefeedPluginDefaults": PLUGIN,
                       "LD_LIBRARY_PATH": PLUGIN + os.pathsep + os.environ.get("LD_LIBRARY_PATH", "")}
        script = os.path.join(os.path.dirname(os.path.abspath(__file__)), "in_draw.tcl")
        done = subprocess.run(["occt-draw", "-b", "-f", script], env=environment, stdin=subprocess.DEVNULL,
                              capture_output=True, text=True, timeout=120)
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        with open(result, encoding="utf-8") as file:
            ours = json.load(file)["parts"][0]
        self.assertEqual(ours, theirs)


    def test_the_pages_script_runs_as_it_stands(self):
        with open(os.path.join(SOURCE, "docs", "how-to", "freecad.md"), encoding="utf-8") as page:
            lines = page.read().split("    pload MODELING XDE\n")[1].splitlines()
        script = ["pload MODELING XDE", *(line.strip() for line in lines if line.startswith("    "))]
        folder = tempfile.mkdtemp()
        with open(os.path.join(folder, "measure.tcl"), "w", encoding="utf-8") as file:
            file.write("\n".join(script) + "\nexit 0\n")
        shutil.copy(os.path.join(SOURCE, "geometry_samples", "bend_90.step"), os.path.join(folder, "nose_duct.step"))
        environment = {**os.environ, "CSF_CorefeedPluginDefaults": PLUGIN,
                       "LD_LIBRARY_PATH": PLUGIN + os.pathsep + os.environ.get("LD_LIBRARY_PATH", "")}
        done = subprocess.run(["occt-draw", "-b", "-f", "measure.tcl"], cwd=folder, env=environment,
                              stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=120)
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn('"name":"nose_duct"', done.stdout)


if __name__ == "__main__":
    sys.argv[1:] = []
    unittest.main(verbosity=2)
