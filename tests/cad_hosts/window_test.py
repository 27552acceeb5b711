# SPDX-License-Identifier: Apache-2.0
"""The add-on in FreeCAD's window, on a display of its own. Arguments: folder of the add-on, folder of the Python module.

With a third argument the picture of the window is kept there."""
import json
import os
import shutil
import subprocess
import sys
import tempfile
import unittest

from small_model import MODEL

ADDON, MODULE = sys.argv[1:3]
PICTURE = sys.argv[3] if len(sys.argv) > 3 else ""


class Window(unittest.TestCase):
    def test_the_dock_tells_verdict_and_reason(self):
        folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, folder, ignore_errors=True)
        addons = os.path.join(folder, "data", "FreeCAD", "Mod")
        runtime = os.path.join(folder, "runtime")
        os.makedirs(addons)
        os.makedirs(runtime, mode=0o700)
        os.makedirs(os.path.join(folder, "home"))
        os.symlink(ADDON, os.path.join(addons, "Corefeed"))
        model = os.path.join(folder, "car.corefeed")
        with open(model, "w", encoding="utf-8") as file:
            json.dump(MODEL, file)
        script = os.path.join(os.path.dirname(os.path.abspath(__file__)), "in_window.py")
        # The program's start page is a browser, which refuses to run as root otherwise.
        environment = {**os.environ, "XDG_DATA_HOME": os.path.join(folder, "data"), "XDG_RUNTIME_DIR": runtime,
                       "HOME": os.path.join(folder, "home"), "QTWEBENGINE_DISABLE_SANDBOX": "1",
                       "LIBGL_ALWAYS_SOFTWARE": "1", "SCRIPT": script, "MODEL_FILE": model,
                       "PICTURE": PICTURE or os.path.join(folder, "dock.png")}
        done = subprocess.run(["xvfb-run", "-a", "-s", "-screen 0 1400x900x24", "freecad", script, "-P", MODULE],
                              env=environment, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=180)
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn("the dock is as it should be", done.stdout)


if __name__ == "__main__":
    sys.argv[1:] = []
    unittest.main(verbosity=2)
