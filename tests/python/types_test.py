# SPDX-License-Identifier: Apache-2.0
"""The package's types: checked strictly, true of the compiled half, and true of the answers.

    python3 types_test.py FOLDER_OF_THE_PACKAGE FOLDER_TO_WRITE_TO
"""
import os
import subprocess
import sys
import unittest

PACKAGE, SCRATCH = sys.argv[1:3]

USER = '''
import corefeed
import numpy as np
car = corefeed.load("car.corefeed", variant="narrow_nose", allow_roots=["/tmp"])
car.set("fender_vent.area", "520 cm2")
car.set("fender_vent.area", 0.052)
study = car.solve(points="fast straight")
flow: float = study.points["fast straight"].elements.radiator.flow
verdict: str | None = car.check(strict=True).verdict
size: corefeed.Size = car.size("fender_vent.area", "radiator.flow >= 1.5 kg/s", range=("1 cm2", 0.2))
car = size.sized
areas: np.ndarray[object, np.dtype[np.float64]] = size.values
warm = car.prepare("fast straight")
steps: int = warm.solve()
slopes: dict[str, float] = warm.gradient("radiator.flow")
try:
    corefeed.measure("nose.step")
except corefeed.GeometryError as error:
    places: list[str] = [issue.file for issue in error.issues]
    status: int = error.status
'''

WRONG = '''
import corefeed
car = corefeed.load("car.corefeed")
car.set("fender_vent.area", None)
car.solve(point="fast straight")
car.size(until="radiator.flow >= 1.5 kg/s")
'''


def mypy(*arguments):
    environment = {**os.environ, "MYPYPATH": PACKAGE, "MYPY_CACHE_DIR": os.path.join(SCRATCH, "mypy_cache")}
    done = subprocess.run([sys.executable, "-m", "mypy", *arguments], capture_output=True, text=True, env=environment,
                          cwd=SCRATCH)
    return done.returncode, done.stdout + done.stderr


class Types(unittest.TestCase):
    def program(self, text, name):
        path = os.path.join(SCRATCH, name)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        return path

    def test_package_and_its_use(self):
        status, said = mypy("--strict", "-p", "corefeed")
        self.assertEqual(status, 0, said)
        status, said = mypy("--strict", self.program(USER, "user_program.py"))
        self.assertEqual(status, 0, said)

    def test_wrong_use_is_seen(self):
        status, said = mypy("--strict", self.program(WRONG, "wrong_program.py"))
        self.assertEqual(status, 1, said)
        for line in (4, 5, 6):
            self.assertIn(f"wrong_program.py:{line}: error", said)

    def test_names_of_the_stub_are_those_of_the_module(self):
        import ast

        import corefeed._core as core
        with open(os.path.join(PACKAGE, "corefeed", "_core.pyi"), encoding="utf-8") as file:
            stub = ast.parse(file.read())
        names = {node.name for node in stub.body if isinstance(node, (ast.ClassDef, ast.FunctionDef))}
        names |= {node.target.id for node in stub.body if isinstance(node, ast.AnnAssign)}
        self.assertEqual(names, {name for name in dir(core) if not name.startswith("__")})
        for node in stub.body:
            if isinstance(node, ast.ClassDef):
                members = {member.name for member in node.body if not member.name.startswith("__")}
                actual = {name for name in dir(getattr(core, node.name)) if not name.startswith("_")}
                self.assertEqual(members, actual, node.name)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
