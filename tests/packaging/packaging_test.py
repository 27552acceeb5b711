# SPDX-License-Identifier: Apache-2.0
"""What is installed and packed, used from outside the build folder.

    python3 packaging_test.py BUILD SOURCE CMAKE COMPILER LAUNCHER with-cad|no-cad python|no-python CLASS..

LAUNCHER is the compiler cache that the build uses, or empty.
"""
import glob
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import unittest

BUILD, SOURCE, CMAKE, COMPILER, LAUNCHER, CAD, PYTHON = sys.argv[1:8]
GOLDEN = os.path.join(SOURCE, "tests", "data", "golden-model.json")
CONSUMER = os.path.join(SOURCE, "tests", "packaging", "consumer")
DUCT = os.path.join(SOURCE, "geometry_samples", "bend_90.step")
C_PROGRAM_PRINTS = r"^\d\.\d{3} \+- 0\.\d{3} kg/s\n$"
# Nothing that leads back into the build folder or tells where parts are.
CLEAN = {"PATH": "/usr/bin:/bin", "HOME": "/nowhere", "LANG": "C.UTF-8"}


def run(*arguments, **more):
    done = subprocess.run(arguments, capture_output=True, text=True, env={**CLEAN, **more})
    return done.returncode, done.stdout, done.stderr


def sound(*arguments, **more):
    status, out, said = run(*arguments, **more)
    if status != 0:
        raise AssertionError(f"{' '.join(arguments)} ended with {status}:\n{out}{said}")
    return out


def how_to(page):
    with open(os.path.join(SOURCE, "docs", "how-to", page), encoding="utf-8") as file:
        return file.read()


def line_of_page(start, places):
    """A command of docs/how-to/install.md, as words, its folders replaced."""
    (line,) = re.findall(rf"^    ({start} .*)$", how_to("install.md"), re.MULTILINE)
    for shown, meant in places.items():
        if shown not in line:
            raise AssertionError(f"{shown} is not in: {line}")
        line = line.replace(shown, meant)
    return shlex.split(line)


def c_program(folder):
    """The program of docs/how-to/c.md."""
    path = os.path.join(folder, "how_to.c")
    with open(path, "w", encoding="utf-8") as file:
        file.write(re.search(r"^```c\n(.*?)^```", how_to("c.md"), re.MULTILINE | re.DOTALL).group(1))
    return path


def configure_line(folder, build):
    return (CMAKE, "-G", "Ninja", "-S", CONSUMER, "-B", build, f"-DCMAKE_CXX_COMPILER={COMPILER}",
            f"-DCOREFEED_C_PROGRAM={c_program(folder)}")


def flow_of(command):
    out = sound(command, "solve", GOLDEN, "--format", "json")
    return json.loads(out)["points"][0]["elements"]["radiator"]["flow"]


class UsedPrefix:
    """Tests of a prefix that nothing was built for."""

    prefix = ""
    folder = ""

    def at(self, *parts):
        return os.path.join(self.prefix, *parts)

    def python(self, program):
        return sound("/usr/bin/python3", "-c", program, PYTHONPATH=self.at("lib", "python3", "dist-packages"))

    def pkg_config(self, *arguments):
        places = glob.glob(self.at("lib", "**", "pkgconfig"), recursive=True)
        return sound("pkg-config", *arguments, PKG_CONFIG_PATH=places[0]).split()

    def test_command_and_schema(self):
        with open(os.path.join(BUILD, "lib", "corefeed", "version.hpp"), encoding="utf-8") as header:
            version = re.search(r'"([0-9.]+)"', header.read()).group(1)
        self.assertEqual(sound(self.at("bin", "corefeed"), "--version"), f"corefeed {version}\n")
        with open(self.at("share", "corefeed", "schema", "corefeed.schema.json"), encoding="utf-8") as file:
            self.assertEqual(file.read(), sound(self.at("bin", "corefeed"), "schema"))

    def test_completion(self):
        script = self.at("share", "bash-completion", "completions", "corefeed")

        def completed(*words):
            return sound("bash", "-c", f'. {script}; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _corefeed; '
                         'echo "${COMPREPLY[*]}"', "bash", *words).strip()

        self.assertEqual(completed("corefeed", "so"), "solve")
        self.assertEqual(completed("corefeed", "solve", "--poi"), "--point")
        self.assertEqual(completed("corefeed", "solve", "--format", "js"), "json")
        verbs = re.findall(r"^  ([a-z]+)  ", sound(self.at("bin", "corefeed"), "--help"), re.MULTILINE)
        self.assertGreater(len(verbs), 8)
        for file in ("zsh/vendor-completions/_corefeed", "fish/vendor_completions.d/corefeed.fish", "man/man1/corefeed.1"):
            with open(self.at("share", file), encoding="utf-8") as text:
                words = set(re.findall(r"[a-z]+", text.read()))
            self.assertLessEqual(set(verbs), words, file)

    def test_measuring(self):
        status, out, said = run(self.at("bin", "corefeed"), "measure", DUCT, "--format", "json")
        if CAD == "no-cad":
            self.assertEqual(status, 2)
            self.assertIn("corefeed-worker", said)
            return
        self.assertEqual((status, said), (0, ""))
        if PYTHON == "python":
            self.assertEqual(self.python(f"import corefeed; print(corefeed.measure({DUCT!r}).json, end='')"), out)

    @unittest.skipUnless(PYTHON == "python", "built without the module")
    def test_module(self):
        flow = flow_of(self.at("bin", "corefeed"))
        program = f"import corefeed; print(corefeed.load({GOLDEN!r}).solve().points[0].elements.radiator.flow)"
        self.assertEqual(float(self.python(program)), flow)
        printed = sound("/usr/bin/python3", "-m", "corefeed", "--version",
                        PYTHONPATH=self.at("lib", "python3", "dist-packages"))
        self.assertEqual(printed, sound(self.at("bin", "corefeed"), "--version"))

    def test_c_by_pkg_config(self):
        program = os.path.join(self.folder, "how_to")
        sound("gcc", "-std=c11", "-pedantic", "-Wall", "-Werror", c_program(self.folder), "-o", program,
              *self.pkg_config("--cflags", "--libs", "corefeed_c"))
        library = os.path.dirname(glob.glob(self.at("lib", "**", "libcorefeed_c.so.1"), recursive=True)[0])
        self.assertRegex(sound(program, GOLDEN, LD_LIBRARY_PATH=library), C_PROGRAM_PRINTS)


class Installed(UsedPrefix, unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.mkdtemp()
        cls.addClassCleanup(shutil.rmtree, cls.folder)
        _, *rest = line_of_page("cmake --install",
                                {"build/release": BUILD, "/opt/corefeed": os.path.join(cls.folder, "first")})
        sound(CMAKE, *rest)
        # Everything is found from where it stands.
        cls.prefix = os.path.join(cls.folder, "moved")
        os.rename(os.path.join(cls.folder, "first"), cls.prefix)

    def configure(self, name, *arguments):
        return run(*configure_line(self.folder, os.path.join(self.folder, name)),
                   f"-DCMAKE_PREFIX_PATH={self.prefix}", *arguments)

    def test_found_by_cmake(self):
        status, out, said = self.configure("found", "-DCOREFEED_COMPONENTS=c;cxx")
        self.assertEqual(status, 0, out + said)
        sound(CMAKE, "--build", os.path.join(self.folder, "found"))
        printed = sound(os.path.join(self.folder, "found", "consumer"), GOLDEN)
        self.assertEqual(float(printed), flow_of(self.at("bin", "corefeed")))
        self.assertRegex(sound(os.path.join(self.folder, "found", "consumer_c"), GOLDEN), C_PROGRAM_PRINTS)

    def test_as_the_page_says(self):
        folder = os.path.join(self.folder, "as_the_page_says")
        os.mkdir(folder)
        program = os.path.join(CONSUMER, "consumer.cpp")
        lines = re.search(r"^    find_package.*\n(    .*\n)*", how_to("install.md"), re.MULTILINE).group()
        with open(os.path.join(folder, "CMakeLists.txt"), "w", encoding="utf-8") as file:
            file.write("cmake_minimum_required(VERSION 3.25)\nproject(mine CXX)\n"
                       f"add_executable(my_program {program})\n{lines}")
        sound(CMAKE, "-G", "Ninja", "-S", folder, "-B", folder, f"-DCMAKE_CXX_COMPILER={COMPILER}",
              f"-DCMAKE_PREFIX_PATH={self.prefix}")
        sound(CMAKE, "--build", folder)
        arguments = re.search(r"`pkg-config (.*?)`", how_to("install.md")).group(1).split()
        sound(COMPILER, "-std=c++20", program, "-o", os.path.join(folder, "by_pkg_config"), *self.pkg_config(*arguments))
        flow = flow_of(self.at("bin", "corefeed"))
        for made in ("my_program", "by_pkg_config"):
            self.assertEqual(float(sound(os.path.join(folder, made), GOLDEN)), flow, made)

    def test_nothing_tells_where_it_was_built(self):
        """A path in what is installed would make two builds of the same sources differ."""
        places = [place.encode() for place in (SOURCE, BUILD, os.path.join(self.folder, "first"))]
        seen = 0
        for folder, _, names in os.walk(self.prefix):
            for name in names:
                with open(os.path.join(folder, name), "rb") as file:
                    content = file.read()
                seen += 1
                for place in places:
                    self.assertNotIn(place, content, name)
        self.assertGreater(seen, 50)

    def test_what_is_not_there_is_refused(self):
        status, _, said = self.configure("newer", "-DCOREFEED_WANTED=99.0", "-DCOREFEED_COMPONENTS=c")
        self.assertNotEqual(status, 0)
        self.assertIn("99.0", said)
        status, _, said = self.configure("unknown", "-DCOREFEED_COMPONENTS=tea")
        self.assertNotEqual(status, 0)
        self.assertIn("tea", said)

    def test_components_stand_alone(self):
        alone = os.path.join(self.folder, "alone")
        for component, only in (("cli", {"bin"}), ("c", {"lib"}), ("worker", {"libexec"})):
            if component == "worker" and CAD == "no-cad":
                continue
            sound(CMAKE, "--install", BUILD, "--prefix", os.path.join(alone, component), "--component", component)
            self.assertEqual(set(os.listdir(os.path.join(alone, component))), only | {"share"}, component)


class PartOfAnotherTree(unittest.TestCase):
    """add_subdirectory: compiles the library once more. With the flags of the build and a folder as deep as the
    build's, a compiler cache has the objects already."""

    def test_builds_and_answers(self):
        build = BUILD + "-part-of-another-tree"
        shutil.rmtree(build, ignore_errors=True)
        self.addCleanup(shutil.rmtree, build, ignore_errors=True)
        cache = {name: text for name, text in os.environ.items() if name.startswith("CCACHE_") or name == "HOME"}
        with tempfile.TemporaryDirectory() as folder:
            sound(*configure_line(folder, build), f"-DCOREFEED_TREE={SOURCE}", "-DCOREFEED_WITH_CAD=OFF",
                  f"-DCMAKE_CXX_COMPILER_LAUNCHER={LAUNCHER}", "-DCOREFEED_JOIN_SOURCES=ON",
                  "-DCOREFEED_WARNINGS_AS_ERRORS=ON", "-DCMAKE_CXX_FLAGS_RELEASE=-O2 -DNDEBUG", **cache)
            sound(CMAKE, "--build", build, **cache)
            printed = sound(os.path.join(build, "consumer"), GOLDEN)
            self.assertEqual(float(printed), flow_of(os.path.join(BUILD, "bin", "corefeed")))
            self.assertRegex(sound(os.path.join(build, "consumer_c"), GOLDEN), C_PROGRAM_PRINTS)


@unittest.skipUnless(shutil.which("dpkg-shlibdeps"), "dpkg-dev makes the packages")
class Packed(UsedPrefix, unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.mkdtemp()
        cls.addClassCleanup(shutil.rmtree, cls.folder)
        packages = os.path.join(cls.folder, "packages")
        _, *rest = line_of_page("cpack", {"build/release": BUILD, "-B packages": f"-B {packages}"})
        sound(os.path.join(os.path.dirname(CMAKE), "cpack"), *rest)
        cls.packages = glob.glob(os.path.join(packages, "*.deb"))
        for package in cls.packages:
            sound("dpkg", "-x", package, os.path.join(cls.folder, "root"))
        cls.prefix = os.path.join(cls.folder, "root", "usr")

    def test_one_package_a_component(self):
        names = {os.path.basename(package).split("_")[0] for package in self.packages}
        wanted = {"corefeed", "libcorefeed-c1", "libcorefeed-dev"}
        wanted |= {"corefeed-worker"} if CAD == "with-cad" else set()
        wanted |= {"corefeed-draw"} if os.path.exists(os.path.join(BUILD, "draw", "CorefeedPlugin")) else set()
        wanted |= {"python3-corefeed", "freecad-corefeed"} if PYTHON == "python" else set()
        self.assertEqual(names, wanted)

    def test_each_has_the_licence(self):
        for package in self.packages:
            name = os.path.basename(package).split("_")[0]
            with open(self.at("share", "doc", name, "copyright"), encoding="utf-8") as file:
                self.assertIn("License: Apache-2.0", file.read(), name)

    def test_only_worker_and_plugin_depend_on_the_kernel(self):
        for package in self.packages:
            depends = sound("dpkg-deb", "-f", package, "Depends")
            measures = os.path.basename(package).startswith(("corefeed-worker_", "corefeed-draw_"))
            self.assertEqual("occt" in depends, measures, package)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1] + sys.argv[8:])
