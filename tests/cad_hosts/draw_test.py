# SPDX-License-Identifier: Apache-2.0
"""The DRAW plugin without a display. Arguments: command, source folder, folder of the plugin."""
import json
import os
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


if __name__ == "__main__":
    sys.argv[1:] = []
    unittest.main(verbosity=2)
