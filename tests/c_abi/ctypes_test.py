# SPDX-License-Identifier: Apache-2.0
"""The C library through ctypes. Arguments: library, header, command, model."""
import ctypes
import re
import subprocess
import sys
import threading
import unittest

LIBRARY, HEADER, COMMAND, MODEL = sys.argv[1:5]
library = ctypes.CDLL(LIBRARY)
for name in ("corefeed_error", "corefeed_json", "corefeed_point_name", "corefeed_version"):
    getattr(library, name).restype = ctypes.c_char_p


def load():
    model = ctypes.c_void_p()
    assert library.corefeed_load(MODEL.encode(), None, ctypes.byref(model)) == 0
    return model


class Library(unittest.TestCase):
    def test_shows_the_functions_of_the_header_alone(self):
        with open(HEADER, encoding="utf-8") as file:
            declared = set(re.findall(r"^COREFEED_API [^;(]*?\b(corefeed_\w+)\(", file.read(), re.MULTILINE))
        self.assertGreater(len(declared), 10)
        shown = subprocess.run(["nm", "-D", "--defined-only", LIBRARY], check=True, capture_output=True, text=True)
        names = {line.split()[-1].split("@")[0] for line in shown.stdout.splitlines() if " A " not in line}
        self.assertEqual(names, declared)
        named = subprocess.run(["readelf", "-d", LIBRARY], check=True, capture_output=True, text=True).stdout
        self.assertIn("Library soname: [libcorefeed_c.so.1]", named)

    def test_same_document_as_the_command(self):
        model, study = load(), ctypes.c_void_p()
        self.assertEqual(library.corefeed_solve(model, None, ctypes.byref(study)), 0)
        printed = subprocess.run([COMMAND, "solve", MODEL, "--format", "json"], check=True, capture_output=True)
        self.assertEqual(library.corefeed_json(study), printed.stdout)
        library.corefeed_release_study(study)
        library.corefeed_release_model(model)

    def test_errors_belong_to_their_thread(self):
        model = load()
        self.assertEqual(library.corefeed_set(model, b"a.b", ctypes.c_double(1)), 2)
        mine = library.corefeed_error()
        theirs = []
        thread = threading.Thread(target=lambda: theirs.append(library.corefeed_error()))
        thread.start()
        thread.join()
        self.assertIn(b"a.b", mine)
        self.assertEqual(theirs, [b""])
        self.assertEqual(library.corefeed_error(), mine)
        library.corefeed_release_model(model)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
