# SPDX-License-Identifier: Apache-2.0
"""Models with one planted fault each, by the hundred: every class of fault at every place of every sample model where
it can stand, a fixed choice of them. Each has to end with 3, one message that names the place, nothing printed as a
result, the older result and the folder as they were, in at most 2 s of processor time.

    python3 generated_faults_test.py COMMAND SOURCE with-cad|no-cad [--count N] [--seed N]
"""
import argparse
import copy
import json
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import unittest

MODELS = ["geometry_samples/oil_loop.corefeed", "geometry_samples/oil_cooler_bench.corefeed",
          "tests/data/golden-model.json", "tests/data/stack-demo.corefeed"]
MEASURED_MODELS = ["geometry_samples/hill_climb_car.corefeed"]
# Text for people, which may be anything. A variant is a change of the model, whose faults are those of what it makes.
PROSE = {"title", "source", "note", "variants"}
# Objects whose keys are names of the author's own: a misspelt one is another name.
NAMES = {"elements", "nodes", "loops", "points", "requirements", "variants", "parameters", "surface_pressure", "set"}
QUANTITY = re.compile(r"^([-+]?[\d.]+(?:[eE][-+]?\d+)?)\s*([^\d\s].*)$")
TWIN = "\x00twin"


def pointer_of(way):
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in way)


def places(tree, way=()):
    """Every value of a document below the root, with the way to it."""
    pairs = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for step, value in pairs:
        if not (isinstance(step, str) and (step.startswith("x-") or step in PROSE)) and value is not None:
            yield (*way, step), value
            yield from places(value, (*way, step))


def swapped(word):
    """Two neighbors that differ exchanged, near the middle: what fast fingers do."""
    order = sorted(range(len(word) - 1), key=lambda i: abs(i - len(word) // 2))
    for i in order:
        if word[i] != word[i + 1]:
            return word[:i] + word[i + 1] + word[i] + word[i + 2:]
    return word + word[-1]


def faults_at(way, value):
    """Class, change of the parent (parent, key), and the way that the message has to name."""
    def put(new):
        def change(parent, key):
            parent[key] = new
        return change

    key = way[-1]
    if isinstance(key, str) and not (len(way) > 1 and way[-2] in NAMES) and len(key) > 3:
        def misspell(parent, name):
            parent[swapped(name)] = parent.pop(name)
        # Without its kind nothing is known of an element but that.
        yield "misspelt key", misspell, way[:-1] if key == "kind" else (*way[:-1], swapped(key))
    if isinstance(key, str):
        def double(parent, name):
            parent[TWIN + name] = copy.deepcopy(parent[name])
        yield "duplicate key", double, way
    if isinstance(value, dict):
        yield "list for an object", put([]), way
        yield "number for an object", put(7), way
    elif isinstance(value, list):
        yield "object for a list", put({}), way
        yield "text for a list", put("one, two"), way
    elif isinstance(value, bool):
        yield "text for a boolean", put("yes"), way
        yield "number for a boolean", put(1), way
    elif isinstance(value, (int, float)):
        yield "number as text", put(f"{value} of them"), way
        yield "boolean for a number", put(True), way
        yield "null for a number", put(None), way
        yield "list for a number", put([value]), way
        yield "number beyond a double", put("\x001e999"), way
    elif found := QUANTITY.match(value):
        number, unit = found.groups()
        yield "no unit", put(number), way
        yield "number for a quantity", put(float(number)), way
        yield "unknown unit", put(f"{number} {unit}x"), way
        yield "other dimension", put(f"{number} {'kg' if unit != 'kg' else 'm'}"), way
        yield "no number", put(f"about {value}"), way
        yield "not finite", put(f"nan {unit}"), way
        yield "beyond a double", put(f"1e999 {unit}"), way
        yield "two numbers", put(f"{value} {value}"), way
        yield "object for a quantity", put({"amount": value}), way
    elif isinstance(value, str):
        yield "empty text", put(""), way
        yield "number for a word", put(3), way
        yield "list for a word", put([value]), way


def planted(model, way, change):
    """The model's text with the change in it; what JSON cannot hold is written in by hand."""
    tree = copy.deepcopy(model)
    parent = tree
    for step in way[:-1]:
        parent = parent[step]
    change(parent, way[-1])
    text = json.dumps(tree, indent=1)
    text = re.sub(r'"\\u0000twin', '"', text)
    return re.sub(r'"\\u0000([^"]*)"', r"\1", text)


def all_faults(source, models):
    for name in models:
        with open(os.path.join(source, name), encoding="utf-8") as file:
            model = json.load(file)
        for way, value in places(model):
            for kind, change, named in faults_at(way, value):
                yield name, kind, way, named, model, change


def chosen(source, models, count, seed):
    """As many of each class as there is room for, drawn by a fixed seed."""
    classes = {}
    for fault in all_faults(source, models):
        classes.setdefault(fault[1], []).append(fault)
    draw = random.Random(seed)
    for faults in classes.values():
        draw.shuffle(faults)
    picked = []
    while len(picked) < count and any(classes.values()):
        picked += [faults.pop() for faults in classes.values() if faults]
    return picked[:count]


class GeneratedFaults(unittest.TestCase):
    command, source, models, count, seed = "", "", MODELS, 500, 1

    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)
        # Parts and tables that the models name.
        for name in os.listdir(os.path.join(self.source, "geometry_samples")):
            if name.endswith((".csv", ".step", ".json")):
                shutil.copy(os.path.join(self.source, "geometry_samples", name), self.folder)

    def path(self, name):
        return os.path.join(self.folder, name)

    def test_each_is_refused_and_its_place_named(self):
        faults = chosen(self.source, self.models, self.count, self.seed)
        self.assertEqual(len(faults), self.count)
        for name, kind, way, named, model, change in faults:
            with self.subTest(f"{name}: {kind} at {pointer_of(way)}"):
                for path, text in (("wrong.corefeed", planted(model, way, change)), ("out.txt", "the older result")):
                    with open(self.path(path), "w", encoding="utf-8") as file:
                        file.write(text)
                before = sorted(os.listdir(self.folder))
                done = subprocess.run(
                    [self.command, "check", "wrong.corefeed", "-o", "out.txt"], cwd=self.folder, capture_output=True,
                    timeout=120, check=False, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (2, 2)))
                message = done.stderr.decode("utf-8", "strict")
                self.assertEqual((done.returncode, done.stdout), (3, b""), message)
                # Faults of syntax have a column too; what is wrong in two ways has two lines.
                place = rf"^wrong\.corefeed:\d+:(\d+:)? {re.escape(pointer_of(named))}: \w+: "
                self.assertRegex(message, re.compile(place, re.MULTILINE))
                self.assertEqual(sorted(os.listdir(self.folder)), before)
                with open(self.path("out.txt"), encoding="utf-8") as file:
                    self.assertEqual(file.read(), "the older result")


if __name__ == "__main__":
    arguments = argparse.ArgumentParser()
    arguments.add_argument("command")
    arguments.add_argument("source")
    arguments.add_argument("cad", choices=["with-cad", "no-cad"])
    arguments.add_argument("--count", type=int, default=GeneratedFaults.count)
    arguments.add_argument("--seed", type=int, default=GeneratedFaults.seed)
    asked = arguments.parse_args()
    GeneratedFaults.command, GeneratedFaults.source = map(os.path.abspath, (asked.command, asked.source))
    GeneratedFaults.count, GeneratedFaults.seed = asked.count, asked.seed
    if asked.cad == "with-cad":
        GeneratedFaults.models = MODELS + MEASURED_MODELS
    unittest.main(argv=sys.argv[:1])
