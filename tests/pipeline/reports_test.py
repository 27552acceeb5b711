# SPDX-License-Identifier: Apache-2.0
"""What a check leaves for people and pipelines. Arguments: command, source folder, cmake."""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

COMMAND, SOURCE, CMAKE = sys.argv[1:4]
GOLDEN = os.path.join(SOURCE, "tests", "data", "golden-model.json")


def run(*arguments):
    done = subprocess.run([COMMAND, *arguments], capture_output=True, text=True, timeout=120)
    return done.returncode, done.stdout, done.stderr


class InFolder(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)

    def path(self, name):
        return os.path.join(self.folder, name)

    def read(self, name):
        with open(self.path(name), encoding="utf-8") as file:
            return file.read()

    def model(self, limit="1 kg/s"):
        with open(GOLDEN, encoding="utf-8") as file:
            model = json.load(file)
        model["requirements"] = [{"name": "fed", "quantity": "radiator.flow", "at_least": limit}]
        model["variants"] = {"wide": {"title": "The wide one"}}
        with open(self.path("model.json"), "w", encoding="utf-8") as file:
            json.dump(model, file, indent=1)
        return self.path("model.json")


class Report(InFolder):
    def test_ends_as_check_does(self):
        for limit, status in (("1 kg/s", 0), ("9 kg/s", 1)):
            self.assertEqual(run("report", self.model(limit), "-o", self.path("page.html"))[0], status)
            self.assertIn("<h1>", self.read("page.html"))

    def test_standard_output_is_the_page_alone(self):
        _, out, err = run("report", self.model())
        self.assertTrue(out.startswith("<!DOCTYPE html>"))
        self.assertEqual(err, "")

    def test_variant_and_point(self):
        self.assertIn("The wide one", run("report", self.model(), "--variant", "wide")[1])
        self.assertEqual(run("report", self.model(), "--point", "no such point")[0], 2)

    def test_an_error_leaves_the_older_page(self):
        with open(self.path("page.html"), "w", encoding="utf-8") as file:
            file.write("older")
        with open(self.path("broken.json"), "w", encoding="utf-8") as file:
            file.write("{")
        self.assertEqual(run("report", self.path("broken.json"), "-o", self.path("page.html"))[0], 3)
        self.assertEqual(self.read("page.html"), "older")
        self.assertEqual(run("report", self.model(), "-o", self.path("no/such/folder.html"))[0], 6)


class Check(InFolder):
    def test_one_run_writes_all(self):
        model = self.model("9 kg/s")
        status, out, _ = run("check", model, "--junit", self.path("a.xml"), "--sarif", self.path("a.sarif"),
                             "--html", self.path("a.html"), "--json", self.path("a.json"), "--format", "annotations")
        self.assertEqual(status, 1)
        self.assertIn("<failure", self.read("a.xml"))
        results = json.loads(self.read("a.sarif"))["runs"][0]["results"]
        self.assertEqual(results[0]["ruleId"], "requirement/not_met")
        line = results[0]["locations"][0]["physicalLocation"]["region"]["startLine"]
        with open(model, encoding="utf-8") as file:
            written = file.read().splitlines()
        self.assertIn("{", written[line - 1])
        self.assertIn('"fed"', written[line])
        self.assertIn("Not met", self.read("a.html"))
        self.assertEqual(json.loads(self.read("a.json"))["verdict"], "not met")
        for one in out.splitlines():
            self.assertRegex(one, r"^::(error|warning|notice) file=[^,:]+(,line=\d+)?,title=[^,:]+::.+$")
        self.assertTrue(out.startswith(f"::error file={model},line={line},"))

    def test_an_envelope_is_the_same_in_each(self):
        with open(self.model("1.1 kg/s"), encoding="utf-8") as file:
            model = json.load(file)
        model["surface_pressure"] = {"table": "runs.csv"}
        model["points"][0].update(ride_height="30 mm", yaw="0 deg")
        with open(self.path("runs.csv"), "w", encoding="utf-8") as file:
            file.write("opening,ride_height [mm],yaw [deg],cp\nfender_vent,30,0,-0.42\nfender_vent,30,6,-0.30\n"
                       "fender_vent,50,0,-0.38\nfender_vent,50,6,-0.10\n")
        with open(self.path("model.json"), "w", encoding="utf-8") as file:
            json.dump(model, file)
        status, out, _ = run("check", self.path("model.json"), "--envelope", "--html", self.path("a.html"), "--json",
                             self.path("a.json"))
        envelope, = json.loads(self.read("a.json"))["envelopes"]
        worst = envelope["cells"][envelope["worst"][0]["cell"]]
        value, = worst["requirements"]
        self.assertEqual(min(cell["requirements"][0]["value"] for cell in envelope["cells"]), value["value"])
        said = re.search(r"^  fed +(\S+) \u00b1 (\S+) kg/s  (.+?)  +(not met|too close to call|met)  +(\d) of 4$",
                         out[out.index("the envelope of fast straight: "):], re.MULTILINE)
        digits = len(said[1].split(".")[1])
        self.assertEqual([said[1], said[2]], [f"{value[what]:.{digits}f}" for what in ("value", "sigma")])
        self.assertEqual([said[3], said[4]], ["180 km/h, 50 mm, yaw 6 deg", value["verdict"]])
        met = sum(cell["requirements"][0]["verdict"] == "met" for cell in envelope["cells"])
        self.assertEqual(int(said[5]), met)
        caption = re.search(r"<figcaption>(\d of 4 cells met.*?)</figcaption>", self.read("a.html"))[1]
        self.assertTrue(caption.startswith(f"{met} of 4"), caption)
        self.assertTrue(caption.endswith(f"Worst (framed): {said[1]} \u00b1 {said[2]} kg/s at 180 km/h, ride height 50 "
                                         "mm, yaw 6 deg."), caption)
        # The verdict and the status stay with the point.
        self.assertEqual((status, json.loads(self.read("a.json"))["verdict"]), (0, "met"))

    def test_annotations_are_of_check_alone(self):
        self.assertEqual(run("solve", self.model(), "--format", "annotations")[0], 2)

    def test_a_file_that_cannot_be_written(self):
        for option in ("--sarif", "--html"):
            self.assertEqual(run("check", self.model(), option, self.path("no/such/file"))[0], 6)


class Scripts(InFolder):
    """A build without npm, or with one that fails, embeds nothing and goes on."""

    def embed(self, npm):
        output = self.path("page_scripts.cpp")
        folder = os.path.join(SOURCE, "cad_bridge", "command", "page_scripts")
        done = subprocess.run([CMAKE, f"-DNPM={npm}", f"-DSOURCE={folder}", f"-DWORK={self.path('work')}",
                               f"-DOUTPUT={output}", "-P", os.path.join(folder, "embed.cmake")],
                              capture_output=True, text=True, timeout=120)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("static charts alone", done.stdout)
        self.assertIn("return {}", self.read("page_scripts.cpp"))

    def test_without_npm(self):
        self.embed("")

    def test_npm_fails(self):
        self.embed(shutil.which("false"))

    def test_the_lock_names_hashes_and_no_addresses(self):
        for folder in ("cad_bridge/command/page_scripts", "tests/browser"):
            with open(os.path.join(SOURCE, folder, "package-lock.json"), encoding="utf-8") as file:
                lock = json.load(file)
            packages = {name: one for name, one in lock["packages"].items() if name}
            self.assertTrue(packages)
            for name, one in packages.items():
                self.assertNotIn("resolved", one, name)
                self.assertRegex(one["integrity"], r"^sha512-", name)
            self.assertIsNone(re.search(r"https?://", json.dumps(packages)))


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
