# SPDX-License-Identifier: Apache-2.0
"""SARIF of checks against the schema of version 2.1.0. Arguments: command, source folder, folder for packages.

The schema comes with a package from npm; without it the test skips, aloud.
"""
import glob
import json
import os
import subprocess
import sys

import jsonschema
from npm_packages import installed, skip

COMMAND, SOURCE, WORK = sys.argv[1:4]


def check(model, *options):
    path = os.path.join(WORK, "findings.sarif")
    done = subprocess.run([COMMAND, "check", model, "--sarif", path, *options], capture_output=True, text=True,
                          timeout=300)
    if done.returncode not in (0, 1, 4):
        sys.exit(f"check {model} ended with {done.returncode}: {done.stderr}")
    with open(path, encoding="utf-8") as file:
        return json.load(file)


def missing(folder):
    """The golden car with a requirement that it misses."""
    with open(os.path.join(SOURCE, "tests", "data", "golden-model.json"), encoding="utf-8") as file:
        model = json.load(file)
    model["requirements"] = [{"name": "fed", "quantity": "radiator.flow", "at_least": "9 kg/s"}]
    path = os.path.join(folder, "missing.json")
    with open(path, "w", encoding="utf-8") as file:
        json.dump(model, file, indent=1)
    return path


def main():
    modules = installed(WORK)
    schemas = glob.glob(os.path.join(modules, "@microsoft", "jest-sarif", "**", "sarif-2.1.0*.json"), recursive=True)
    if not schemas:
        skip("the package holds no schema")
    with open(schemas[0], encoding="utf-8") as file:
        schema = json.load(file)
    oil = os.path.join(SOURCE, "geometry_samples", "oil_loop.corefeed")
    found = 0
    for document in (check(missing(WORK)), check(oil, "--strict")):
        jsonschema.validate(document, schema)
        found += len(document["runs"][0]["results"])
    # The validator is awake: a document without its version is none.
    broken = check(missing(WORK))
    del broken["version"]
    try:
        jsonschema.validate(broken, schema)
        sys.exit("the schema takes a document without a version")
    except jsonschema.ValidationError:
        pass
    if found == 0:
        sys.exit("no finding was checked")
    print(f"{found} findings are as the schema wants")


main()
