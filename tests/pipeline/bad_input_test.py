# SPDX-License-Identifier: Apache-2.0
"""What may be wrong with a model, a table or a command line, class by class, and how the command has to end: the status
of the contract, a message that names the place and what was expected, nothing printed as a result, an older result as
it was.

    python3 bad_input_test.py COMMAND SOURCE
"""
import copy
import json
import os
import resource
import shutil
import socket
import subprocess
import sys
import tempfile
import unittest

COMMAND, SOURCE = map(os.path.abspath, sys.argv[1:3])
with open(os.path.join(SOURCE, "tests", "data", "golden-model.json"), encoding="utf-8") as golden_file:
    TEXT = golden_file.read()
GOLDEN = json.loads(TEXT)
# A message is for a person: no terminal is steered by it, and none is filled.
MOST_MESSAGE = 64 * 1024


def set_in(pointer, value):
    """A change of the golden model: another value at a JSON pointer, or none."""
    def change(model):
        *way, last = pointer.strip("/").split("/")
        for step in way:
            model = model[int(step) if isinstance(model, list) else step]
        last = int(last) if isinstance(model, list) else last
        if value is None:
            del model[last]
        else:
            model[last] = value
    return change


def replaced(old, new):
    """The golden model's text with one piece exchanged."""
    assert TEXT.count(old) >= 1, old
    return TEXT.replace(old, new, 1).encode("utf-8")


RADIATOR = "/air/elements/radiator"
FACE = RADIATOR + "/face_area"
NAME = "air/elements/nose_inlet"

# Class, what is written, what the message has to name. All end with 3.
SYNTAX = [
    ("cut text", TEXT[:700].encode(), ["model.json:", "the text ends"]),
    ("empty", b"", ["model.json:1:1", "expected a JSON value"]),
    ("no JSON", b"radiator = 3\n", ["model.json:1:1", '"radiator"']),
    ("UTF-16", TEXT.encode("utf-16"), ["model.json", "looks like UTF-16", "UTF-8"]),
    ("Latin-1", replaced("Invented", "Inv\u00e9nted").decode().encode("latin-1"), ["model.json:3:", "0xE9", "UTF-8"]),
    ("HTML", b"<!DOCTYPE html><html>", ["model.json", "looks like an HTML"]),
    ("zip", b"PK\x03\x04\x14\0\0\0", ["model.json", "looks like a zip"]),
    ("STEP file", b"ISO-10303-21;\nHEADER;\n", ["model.json", "looks like a STEP"]),
    ("zero byte", TEXT.encode() + b"\0 garbage", ["model.json:", "zero byte"]),
    ("second document", TEXT.encode() + b"{}", ["model.json:", "nothing behind the end"]),
    ("NaN", replaced('"cp": 0.88', '"cp": NaN'), ["model.json:8:", '"NaN"', "finite"]),
    ("comment", replaced('"corefeed": 1,', '"corefeed": 1, // ours'), ["model.json:2:", "no comments", "x-"]),
    ("trailing comma", replaced('"lip_loss": 0.30, "internal_loss": 0.06}', '"lip_loss": 0.30,}'), ["model.json:8:", "last comma"]),
    ("single quotes", replaced('"title"', "'title'"), ["model.json:3:", "double quotes"]),
    ("duplicate key", replaced('"cp": 0.88', '"cp": 0.88, "cp": 0.8'), ["model.json:8:", "nose_inlet/cp", "duplicate_key", "line 8"]),
    ("number over range", replaced('"cp": 0.88', '"cp": 1e999'), ["model.json:8:", "nose_inlet/cp", '"1e999"']),
    ("400 digits", replaced('"cp": 0.88', '"cp": ' + 400 * "7"), ["nose_inlet/cp", '"7777777']),
    ("integer over 2^53", replaced('"cp": 0.88', '"cp": 9007199254740993'), ["nose_inlet/cp", '"9007199254740993"', "2^53"]),
    ("a million digits", replaced('"cp": 0.88', '"cp": 0.' + 1000000 * "8"), ["nose_inlet/cp", "limit of 65536 bytes"]),
    ("lone surrogate", replaced("Invented", "\\ud800"), ["model.json:3:", "surrogate"]),
    ("control byte in a string", replaced("Invented", "Inv\x07ented"), ["model.json:3:", "0x07"]),
]

VALUES = [
    ("missing key", set_in(FACE, None), [RADIATOR, '"face_area"']),
    ("unknown key", set_in(RADIATOR + "/face_arae", "1 m2"), [RADIATOR + "/face_arae", 'did you mean "face_area"?']),
    ("unknown key, right elsewhere", set_in(RADIATOR + "/windmill_loss", 1.1), [RADIATOR + "/windmill_loss", "known here"]),
    ("wrong type", set_in(FACE, ["1500 cm2"]), [FACE, "expected", "an array"]),
    ("number as text", set_in("/air/elements/nose_inlet/cp", "0.88"), ["nose_inlet/cp", '"0.88"', "plain number"]),
    ("bool as number", set_in("/air/elements/nose_inlet/cp", True), ["nose_inlet/cp", "true", "plain number"]),
    ("negative area", set_in(FACE, "-1500 cm2"), [FACE, '"-1500 cm2"', "above 0"]),
    ("zero area", set_in("/air/elements/fender_vent/area", "0 cm2"), ["fender_vent/area", "above 0"]),
    ("negative density", set_in(RADIATOR + "/air_loss/density", "-1.2 kg/m3"), ["air_loss/density", "-1.2 kg/m3", "above 0"]),
    ("zero viscosity", set_in(RADIATOR + "/air_loss/viscosity", "0 Pa s"), ["air_loss/viscosity", "above 0"]),
    ("no unit", set_in(FACE, 1500), [FACE, "no unit", '"1500 cm2"']),
    ("no unit in text", set_in(FACE, "1500"), [FACE, '"1500"', "unit"]),
    ("unknown unit", set_in(FACE, "1500 sqcm"), [FACE, "sqcm"]),
    ("other dimension", set_in(FACE, "1500 mm"), [FACE, "a length", "an area"]),
    ("decimal comma", set_in(FACE, "0,15 m2"), [FACE, '"0,15 m2"', "0.15"]),
    ("digits of another script", set_in(FACE, "\uff11\uff15 cm2"), [FACE, "does not begin with a number"]),
    ("level where a difference is meant", set_in("/ambient/temperature", "30 K/W"), ["/ambient/temperature", "temperature"]),
    ("absolute zero and below", set_in("/ambient/temperature", "-300 degC"), ["/ambient/temperature", "-300 degC"]),
    ("duplicate name", set_in("/air/elements/engine_bay", {"kind": "loss", "from": "core_face", "to": "shroud_box", "area": "1 m2", "loss": 1}),
     ["engine_bay", "duplicate_name", "/air/elements/engine_bay"]),
    ("bad name", set_in("/air/elements/a b", {"kind": "loss", "from": "core_face", "to": "shroud_box", "area": "1 m2", "loss": 1}),
     ["/air/elements/a b", "blank"]),
    ("long name", set_in("/air/elements/" + 300 * "n", {"kind": "loss"}), ["bad_name", "64 bytes"]),
    ("dangling reference", set_in("/air/elements/core_gap/to", "engin_bay"), ["core_gap/to", 'did you mean "engine_bay"?']),
    ("look-alike letter", set_in("/air/elements/radiator/loop", "c\u043e\u043elant"), ["radiator/loop", "U+043E"]),
    ("both ends on one node", set_in("/air/elements/core_gap/to", "core_face"), ["core_gap", "same node", '"core_face"']),
    ("isolated node", set_in("/air/nodes/attic", {"kind": "plenum"}), ["/air/nodes/attic", "unused_node"]),
    ("no way out", lambda m: [m["air"]["elements"].pop(name) for name in ("fender_vent", "floor_gap")], ["no_outlet", "add a vent"]),
    ("no points", set_in("/points", []), ["/points", "no_points", "name and a speed"]),
    ("absolute file", set_in(NAME + "/geometry", {"file": "/etc/hostname", "opening": "a"}), ["geometry/file", '"/etc/hostname"', "--allow-root"]),
    ("file up and out", set_in(NAME + "/geometry", {"file": "../../etc/hostname", "opening": "a"}), ["geometry/file", "--allow-root"]),
    ("URL", set_in(NAME + "/geometry", {"file": "https://example.org/duct.step", "opening": "a"}), ["duct.step"]),
    ("empty file name", set_in(NAME + "/geometry", {"file": "", "opening": "a"}), ["geometry/file"]),
    ("zero byte in a file name", set_in(NAME + "/geometry", {"file": "duct.step\0.txt", "opening": "a"}), ["geometry"]),
    ("steering bytes", set_in("/air/elements/core_gap/to", "a\x1b[2J\u202eb"), ["core_gap/to", "\\x1b[2J\\u{202e}b"]),
    ("steering bytes in a path", set_in(NAME + "/geometry", {"file": "/\x1b]0;x\x07/d.step", "opening": "a"}), ["\\x1b]0;x\\x07"]),
    ("depth", lambda m: m.update({"x-deep": json.loads(100 * "[" + 100 * "]")}), ["too_deep", "limit of 64"]),
    ("another version", set_in("/corefeed", 2), ["/corefeed", "version 2", "version 1"]),
]

TABLE = "volume_flow [m3/s],pressure_rise [Pa]\n"
# Content of a fan's curve file, what the message has to name.
TABLES = [
    ("decimal comma between commas", TABLE + "0,180\n0,75,0\n", ["curve.csv:3", "2", "decimals are commas"]),
    ("UTF-16 table", (TABLE + "0,180\n0.75,0\n").encode("utf-16"), ["curve.csv", "looks like UTF-16"]),
    ("zero bytes", TABLE.encode() + b"0,\0\0\n0.75,0\n", ["curve.csv:2:3", "zero byte"]),
    ("HTML table", "<html><table>", ["curve.csv", "looks like an HTML"]),
    ("zipped table", b"PK\x03\x04\x14\0", ["curve.csv", "looks like a zip"]),
    ("missing column", "volume_flow [m3/s]\n0\n0.75\n", ["curve.csv:1", '"pressure_rise"', 'found "volume_flow"']),
    ("misspelt column", "volume_flow [m3/s],presure_rise [Pa]\n0,180\n0.75,0\n", ["curve.csv:1", 'did you mean "presure_rise"?']),
    ("ragged row", TABLE + "0,180\n0.75\n", ["curve.csv:3", "found 1 cell", "expected 2"]),
    ("header twice", TABLE + "0,180\n" + TABLE + "0.75,0\n", ["curve.csv:3", "line 1", "again"]),
    ("no header", "0,180\n0.75,0\n", ["curve.csv:1", "no_header"]),
    ("column twice", "flow [m3/s],flow [m3/s]\n0,180\n", ["curve.csv:1", '"flow"', "twice"]),
    ("empty cell", TABLE + "0,180\n0.75,\n", ["curve.csv:3:6", "empty"]),
    ("word", TABLE + "0,180\nfull,0\n", ["curve.csv:3:1", '"full"']),
    ("NaN in a table", TABLE + "0,180\n0.75,nan\n", ["curve.csv:3:6", '"nan"']),
    ("infinite", TABLE + "0,180\n0.75,inf\n", ["curve.csv:3:6", '"inf"']),
    ("1e999", TABLE + "0,180\n0.75,1e999\n", ["curve.csv:3:6", "1e999"]),
    ("number with unit", TABLE + "0,180\n0.75 m3/s,0\n", ["curve.csv:3:1", "header"]),
    ("x twice with another y", TABLE + "0,180\n0.5,90\n0.5,80\n0.75,0\n", ["fan/curve/table", "line 4 of curve.csv", "line 3", "rising"]),
    ("x not rising", TABLE + "0,180\n0.5,90\n0.25,120\n0.75,0\n", ["fan/curve/table", "line 4 of curve.csv", "line 3", "rising"]),
    ("two points", TABLE + "0,180\n0.75,0\n", ["fan/curve/table", "2 points", "at least 3"]),
    ("no rows", TABLE, ["curve.csv:1", "no rows"]),
    ("unit of another dimension", "volume_flow [kg],pressure_rise [Pa]\n0,180\n0.75,0\n", ["curve.csv:1", "kg"]),
]

# Words behind the command, what the message has to name. All end with 2.
LINES = [
    ("unknown verb", ["chek", "MODEL"], ["check"]),
    ("unknown flag", ["check", "MODEL", "--colour"], ["--colour"]),
    ("near-miss flag", ["check", "MODEL", "--juint", "a.xml"], ["--juint", "--junit"]),
    ("near-miss flag with a value", ["check", "MODEL", "--fromat=json"], ["--fromat", "--format"]),
    ("no model", ["check"], ["MODEL"]),
    ("two models", ["check", "MODEL", "MODEL"], ["model.json"]),
    ("flag without its value", ["check", "MODEL", "--point"], ["--point"]),
    ("unknown format", ["check", "MODEL", "--format", "yaml"], ["--format", "json"]),
    ("unknown point", ["check", "MODEL", "--point", "fast straigth"], ["unknown_point", "fast straight"]),
    ("samples that are no number", ["check", "MODEL", "--samples", "many"], ["--samples"]),
    ("too many samples", ["check", "MODEL", "--samples", "1e9"], ["--samples"]),
    ("unknown parameter", ["size", "MODEL", "--vary", "fender_vent.aera", "--until", "radiator.flow >= 1 kg/s"], ["unknown_parameter", "fender_vent.area"]),
    ("unknown quantity", ["size", "MODEL", "--vary", "fender_vent.area", "--until", "radiator.flwo >= 1 kg/s"], ["--until", "radiator.flow"]),
    ("limit of another dimension", ["size", "MODEL", "--vary", "fender_vent.area", "--until", "radiator.flow >= 1 Pa"], ["--until", "Pa"]),
    ("range without numbers", ["sweep", "MODEL", "--over", "speed=fast:slow:3"], ["--over", "fast"]),
    ("a range of NaN", ["sweep", "MODEL", "--over", "speed=nan m/s:200m/s:3"], ["--over"]),
    ("far too many rows", ["sweep", "MODEL", "--over", "speed=1m/s:99m/s:1000000000000"], ["--over"]),
    ("jobs below one", ["sweep", "MODEL", "--over", "speed=10m/s,20m/s", "--jobs", "0"], ["--jobs"]),
    ("unknown kind", ["explain", "difuser"], ["diffuser"]),
    ("no verb", [], ["subcommand", "--help"]),
]


class BadInput(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)

    def path(self, name):
        return os.path.join(self.folder, name)

    def write(self, name, content):
        with open(self.path(name), "wb") as file:
            file.write(content if isinstance(content, bytes) else content.encode("utf-8"))
        return self.path(name)

    def model(self, change):
        model = copy.deepcopy(GOLDEN)
        change(model)
        return self.write("model.json", json.dumps(model, indent=1))

    def run_it(self, arguments, **options):
        self.write("out.txt", "the older result")
        before = sorted(os.listdir(self.folder))
        done = subprocess.run([COMMAND, *arguments], capture_output=True, timeout=60, cwd=self.folder, **options)
        self.assertEqual(sorted(os.listdir(self.folder)), before)
        return done.returncode, done.stdout.decode(), done.stderr.decode("utf-8", "strict")

    def refused(self, expected, arguments, fragments, lines=1, **options):
        status, out, message = self.run_it(arguments, **options)
        self.assertEqual((status, out), (expected, ""), message[:2000])
        with open(self.path("out.txt"), encoding="utf-8") as file:
            self.assertEqual(file.read(), "the older result")
        self.assertLessEqual(len(message), MOST_MESSAGE)
        if lines:
            self.assertEqual(len(message.splitlines()), lines, message[:2000])
        for character in message:
            self.assertFalse(character != "\n" and (ord(character) < 32 or 0x7f <= ord(character) < 0xa0 or
                                                    0x202a <= ord(character) <= 0x202e), ascii(message[:2000]))
        for fragment in fragments:
            self.assertIn(fragment, message[:4000])

    def checked(self, path, fragments, expected=3, **options):
        self.refused(expected, ["check", path, "-o", self.path("out.txt")], fragments, **options)

    def test_broken_texts(self):
        for name, content, fragments in SYNTAX:
            with self.subTest(name):
                self.checked(self.write("model.json", content), fragments)

    def test_wrong_values(self):
        for name, change, fragments in VALUES:
            with self.subTest(name):
                self.checked(self.model(change), fragments, lines=0)

    def fan(self, content):
        self.write("curve.csv", content)
        def change(model):
            fan = model["air"]["elements"]["fan"]
            fan["curve"] = {"table": "curve.csv", "density": "1.20 kg/m3", "shaft_speed": "2500 rpm"}
        return self.model(change)

    def test_wrong_tables(self):
        for name, content, fragments in TABLES:
            with self.subTest(name):
                self.checked(self.fan(content), fragments, lines=0)

    def test_habits_of_spreadsheets_are_taken(self):
        rows = ["volume_flow [m3/s],pressure_rise [Pa]", "0,180", "0.4,110", "0.75,0"]
        answers = set()
        for text in ("\n".join(rows) + "\n", "\n".join(rows), "\r\n".join(rows) + "\r\n\r\n", "\ufeff" + "\n".join(rows) + "\n",
                     "# from the bench\n" + "\n".join(rows) + "\n", "\n".join(rows).replace(",", ";").replace(".", ",") + "\n"):
            status, out, message = self.run_it(["solve", self.fan(text), "--format", "json"])
            self.assertEqual(status, 0, message)
            answers.add(json.dumps(json.loads(out)["points"][0]["elements"]))
        self.assertEqual(len(answers), 1)

    def test_wrong_command_lines(self):
        model = self.model(lambda m: None)
        for name, words, fragments in LINES:
            with self.subTest(name):
                self.refused(2, [model if word == "MODEL" else word for word in words], fragments, lines=0)

    def test_what_is_no_file(self):
        os.mkfifo(self.path("pipe"))
        with socket.socket(socket.AF_UNIX) as door:
            door.bind(self.path("door"))
            for name, fragments in (("none.json", ["none.json", "there is no file"]), ("none/none.json", ["there is no file"]),
                                    ("pipe", ["a pipe"]), ("door", ["no regular file"]), (".", ["a folder"]), ("/dev/zero", ["a device"])):
                with self.subTest(name):
                    self.checked(name if name.startswith("/") else self.path(name), fragments)
                    # The same as a file that a model names.
                    if name != "/dev/zero":
                        path = self.model(lambda m, name=name: m["air"]["elements"]["fan"].update(
                            curve={"table": name, "density": "1.20 kg/m3", "shaft_speed": "2500 rpm"}))
                        self.checked(path, ["a folder"] if name == "." else [name], lines=0)

    def test_a_link_does_not_lead_out(self):
        with tempfile.TemporaryDirectory() as other:
            with open(os.path.join(other, "curve.csv"), "w", encoding="utf-8") as file:
                file.write(TABLE + "0,180\n0.4,110\n0.75,0\n")
            os.symlink(other, self.path("inner"))
            os.symlink(os.path.join(other, "curve.csv"), self.path("curve.csv"))
            for name in ("inner/curve.csv", "curve.csv"):
                path = self.model(lambda m, name=name: m["air"]["elements"]["fan"].update(
                    curve={"table": name, "density": "1.20 kg/m3", "shaft_speed": "2500 rpm"}))
                self.checked(path, ["file_outside", "fan/curve/table", name, "--allow-root"])
                status, _, message = self.run_it(["solve", path, "--allow-root", other])
                self.assertEqual(status, 0, message)

    def limited(self):
        resource.setrlimit(resource.RLIMIT_AS, (512 << 20, 512 << 20))

    def test_large_and_deep_files_are_refused_within_512_megabytes(self):
        keys = ",".join(f'"k{i}": 0' for i in range(100000))
        for name, content, fragments in (
                ("100 MB", 100_000_000, ["64 MB", "limit"]),
                ("depth 10^5", 100_000 * b"[", ["too_deep", "limit of 64"]),
                ("depth 10^6", 1_000_000 * b'{"a":', ["too_deep", "limit of 64"]),
                ("a number of 10^6 digits", b"[" + 1_000_000 * b"9" + b"]", ["limit of 65536 bytes"]),
                ("10^5 unknown keys", ('{"corefeed": 1, ' + keys + "}").encode(), ["unknown_key", "more"]),
                ("10^6 values", b"[0" + 1_000_001 * b",0" + b"]", ["limit of", "values"])):
            with self.subTest(name):
                path = self.write("model.json", b"" if isinstance(content, int) else content)
                if isinstance(content, int):
                    os.truncate(path, content)
                self.checked(path, fragments, lines=0, preexec_fn=self.limited)

    def test_a_large_table_is_refused(self):
        path = self.fan("")
        with open(self.path("curve.csv"), "wb") as file:
            file.truncate(100_000_000)
        self.checked(path, ["curve.csv", "16 MB", "limit"], preexec_fn=self.limited, lines=0)

    def test_twenty_faults_are_listed_and_the_rest_counted(self):
        def change(model):
            for i in range(60):
                model["air"]["elements"][f"gap{i}"] = {"kind": "leak", "from": "core_face", "to": "engine_bay", "aera": "1 cm2"}
        self.checked(self.model(change), ["gap0", "gap9"], lines=21)

    def test_a_name_does_not_steer_the_terminal(self):
        def change(model):
            model["title"] = "a\x1b[2Jb\u202ec"
            model["points"][0]["name"] = "fast\x1b]0;x\x07"
        status, out, _ = self.run_it(["check", self.model(change)])
        self.assertEqual(status, 0)
        self.assertIn("a\\x1b[2Jb\\u{202e}c", out)
        self.assertIn("fast\\x1b]0;x\\x07", out)
        self.assertNotRegex(out, "[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e]")


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
