# SPDX-License-Identifier: Apache-2.0
"""Pages in a browser. Arguments: command, source folder, folder for packages and pictures, with-cad or no-cad.

Makes the pages with the command and hands them to page_test.mjs. Skips, aloud, without Node, npm or Chromium.
"""
import json
import os
import shutil
import subprocess
import sys

from npm_packages import installed, skip

COMMAND, SOURCE, WORK, CAD = sys.argv[1:5]
SAMPLES = os.path.join(SOURCE, "geometry_samples")


def no_solution(folder):
    """A loop whose heat no air carries away: the car stands still."""
    with open(os.path.join(SOURCE, "tests", "data", "golden-model.json"), encoding="utf-8") as file:
        model = json.load(file)
    model["title"] = "A car that stands still"
    model["points"][0]["speed"] = "0 km/h"
    model["points"][0].pop("fans", None)
    path = os.path.join(folder, "no_solution.json")
    with open(path, "w", encoding="utf-8") as file:
        json.dump(model, file, indent=1)
    return path


def main():
    node, chromium = shutil.which("node"), shutil.which("chromium")
    if node is None or chromium is None:
        skip(("Node" if node is None else "Chromium") + " is not installed (.ci/install browser)")
    modules = installed(WORK)
    models = {"oil_loop": os.path.join(SAMPLES, "oil_loop.corefeed"),
              "golden": os.path.join(SOURCE, "tests", "data", "golden-model.json"),
              "no_solution": no_solution(WORK)}
    if CAD == "with-cad":
        models["hill_climb_runs"] = os.path.join(SAMPLES, "hill_climb_runs.corefeed")
    pages = []
    for name, model in models.items():
        pages.append(os.path.join(WORK, name + ".html"))
        done = subprocess.run([COMMAND, "report", model, "-o", pages[-1]], capture_output=True, text=True, timeout=300)
        if done.returncode not in (0, 1, 4):
            sys.exit(f"report {model} ended with {done.returncode}: {done.stderr}")
    script = os.path.join(os.path.dirname(os.path.abspath(__file__)), "page_test.mjs")
    sys.exit(subprocess.run([node, script, os.path.join(modules, "playwright-core"), chromium, WORK, *pages],
                            timeout=300).returncode)


main()
