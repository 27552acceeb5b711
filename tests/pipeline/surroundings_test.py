# SPDX-License-Identifier: Apache-2.0
"""The command in poor surroundings: no room, no right to write, several runs at once, a kill at any moment, nothing in
the environment, closed streams. An older result keeps its bytes or is replaced whole; nothing else is left.

    python3 surroundings_test.py COMMAND SOURCE with-cad|no-cad
"""
import json
import os
import random
import resource
import shutil
import signal
import stat
import subprocess
import sys
import tempfile
import time
import unittest

COMMAND, SOURCE, CAD = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), sys.argv[3]
GOLDEN = os.path.join(SOURCE, "tests", "data", "golden-model.json")
DUCT = os.path.join(SOURCE, "geometry_samples", "nose_duct.step")
OLD = b"the older result\n"


def run(*arguments, **options):
    done = subprocess.run([COMMAND, *arguments], capture_output=True, timeout=120, check=False, **options)
    return done.returncode, done.stdout, done.stderr.decode()


def as_nobody():
    """The administrator may write everywhere."""
    if os.geteuid() == 0:
        os.setgid(65534)
        os.setuid(65534)


class Surroundings(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp()
        os.chmod(self.folder, 0o755)
        self.addCleanup(shutil.rmtree, self.folder)
        self.model = self.path("model.json")
        shutil.copy(GOLDEN, self.model)
        self.page = run("report", GOLDEN)[1]
        self.assertGreater(len(self.page), 50000)

    def path(self, name):
        return os.path.join(self.folder, name)

    def old(self, name="out.html"):
        with open(self.path(name), "wb") as file:
            file.write(OLD)
        return self.path(name)

    def content(self, name="out.html"):
        with open(self.path(name), "rb") as file:
            return file.read()

    def whole(self, model_file=GOLDEN):
        """What `report` writes where nothing is in its way."""
        return run("report", model_file)[1]


class Targets(Surroundings):
    def refused(self, fragments, *arguments, **options):
        before = sorted(os.listdir(self.folder))
        status, out, message = run(*arguments, **options)
        self.assertEqual((status, out), (6, b""), message)
        for fragment in fragments:
            self.assertIn(fragment, message)
        self.assertEqual(sorted(os.listdir(self.folder)), before)

    def test_a_full_disk(self):
        """A file system of 64 kB where one may be mounted; a limit of the file's size stands for it elsewhere."""
        disk = self.path("disk")
        os.mkdir(disk)
        # In a name space of mounts of its own, which ends with the process.
        mounted = [COMMAND, "report", GOLDEN, "-o", os.path.join(disk, "out.html")]
        script = ("mount -t tmpfs -o size=64k none {0} && echo 'the older result' > {0}/out.html && {{ {1}; echo status $?; "
                  "ls -A {0}; cat {0}/out.html; }}").format(disk, " ".join(mounted))
        done = subprocess.run(["unshare", "--mount", "sh", "-c", script], capture_output=True, text=True, check=False)
        if "status" not in done.stdout:
            self.skipTest("no file system may be mounted here: " + done.stderr.strip())
        self.assertEqual(done.stdout, "status 6\nout.html\nthe older result\n")
        self.assertIn("No space left on device", done.stderr)

    def test_a_limit_of_the_files_size(self):
        target = self.old()
        def limit():
            resource.setrlimit(resource.RLIMIT_FSIZE, (20000, 20000))
        self.refused(["out.html", "File too large"], "report", self.model, "-o", target, preexec_fn=limit)
        self.assertEqual(self.content(), OLD)

    def test_a_folder_that_may_not_be_written(self):
        target = self.old()
        os.chmod(target, 0o666)
        os.chmod(self.folder, 0o555)
        try:
            self.refused(["out.html", "Permission denied"], "report", self.model, "-o", target, preexec_fn=as_nobody)
        finally:
            os.chmod(self.folder, 0o755)
        self.assertEqual(self.content(), OLD)

    def test_a_file_that_may_not_be_written(self):
        target = self.old()
        os.chmod(target, 0o444)
        os.chmod(self.folder, 0o777)
        self.refused(["out.html", "Permission denied"], "report", self.model, "-o", target, preexec_fn=as_nobody)
        self.assertEqual(self.content(), OLD)
        self.assertEqual(stat.S_IMODE(os.stat(target).st_mode), 0o444)

    def test_a_folder_as_target_and_a_folder_that_is_missing(self):
        os.mkdir(self.path("folder"))
        self.refused(["Is a directory"], "report", self.model, "-o", self.path("folder"))
        self.refused(["No such file"], "report", self.model, "-o", self.path("none/out.html"))
        self.refused(["Not a directory"], "report", self.model, "-o", self.model + "/out.html")

    def test_a_device_that_is_full(self):
        self.refused(["No space left"], "report", self.model, "-o", "/dev/full")
        with open("/dev/full", "wb") as full:
            done = subprocess.run([COMMAND, "report", self.model], stdout=full, stderr=subprocess.PIPE, check=False)
        self.assertEqual(done.returncode, 6)
        self.assertIn(b"standard output", done.stderr)


class AtOnce(Surroundings):
    def test_many_runs_into_one_file(self):
        """Each reader sees one result or another, never a mixture, and no name but the target stays."""
        other = self.path("other.json")
        with open(GOLDEN, encoding="utf-8") as file:
            model = json.load(file)
        model["title"] = "Another car " + 200 * "x"
        with open(other, "w", encoding="utf-8") as file:
            json.dump(model, file)
        allowed = {OLD, self.whole(self.model), self.whole(other)}
        self.assertEqual(len(allowed), 3)
        target = self.old()
        for _ in range(4):
            runs = [subprocess.Popen([COMMAND, "report", path, "-o", target]) for path in 3 * (self.model, other)]
            while any(one.poll() is None for one in runs):
                self.assertIn(self.content(), allowed)
            self.assertEqual([one.wait() for one in runs], 6 * [0])
            self.assertIn(self.content(), allowed - {OLD})
        self.assertEqual(sorted(os.listdir(self.folder)), ["model.json", "other.json", "out.html"])


class Ends(Surroundings):
    def broken_off(self, number, after):
        target = self.old()
        process = subprocess.Popen([COMMAND, "report", self.model, "-o", target], stdout=subprocess.DEVNULL,
                                   stderr=subprocess.PIPE)
        time.sleep(after)
        process.send_signal(number)
        asked = time.monotonic()
        process.communicate(timeout=60)
        return process.returncode, time.monotonic() - asked

    def length(self):
        begun = time.monotonic()
        self.whole(self.model)
        return time.monotonic() - begun

    def test_killed_at_any_moment(self):
        whole, length = self.whole(self.model), self.length()
        for _ in range(40):
            self.broken_off(signal.SIGKILL, random.uniform(0, 1.2 * length))
            self.assertIn(self.content(), (OLD, whole))

    def test_a_signal_leaves_nothing(self):
        """The system's own way to end: 128 + n for a shell."""
        whole, length = self.whole(self.model), self.length()
        ended = 0
        for number in (signal.SIGINT, signal.SIGTERM):
            for _ in range(20):
                status, _ = self.broken_off(number, random.uniform(0, length))
                self.assertIn(status, (-number, 0))
                ended += status == -number
                self.assertIn(self.content(), (OLD, whole))
                self.assertEqual(sorted(os.listdir(self.folder)), ["model.json", "out.html"])
        self.assertGreater(ended, 0)

    @unittest.skipIf(CAD == "no-cad", "built without CAD")
    def test_the_measuring_program_ends_with_the_command(self):
        real = os.environ.get("COREFEED_WORKER") or os.path.join(os.path.dirname(COMMAND), "corefeed-worker")
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGKILL):
            process = subprocess.Popen([COMMAND, "measure", DUCT, "--sections", "10000"], stdout=subprocess.DEVNULL,
                                       stderr=subprocess.DEVNULL)
            child = None
            while child is None and process.poll() is None:
                child = self.child_of(process.pid, real)
            self.assertIsNotNone(child, "it ended before it could be broken off")
            process.send_signal(number)
            self.assertEqual(process.wait(timeout=60), -number)
            for _ in range(200):
                if not os.path.exists(f"/proc/{child}") or self.state(child) == "Z":
                    break
                time.sleep(0.01)
            else:
                self.fail("the measuring program goes on")

    def child_of(self, parent, program):
        try:
            with open(f"/proc/{parent}/task/{parent}/children", encoding="ascii") as file:
                for child in file.read().split():
                    if os.readlink(f"/proc/{child}/exe") == os.path.realpath(program):
                        return int(child)
        except OSError:
            pass
        return None

    def state(self, process):
        try:
            with open(f"/proc/{process}/stat", encoding="ascii") as file:
                return file.read().rsplit(")", 1)[1].split()[0]
        except OSError:
            return "Z"


class Environment(Surroundings):
    def test_nothing_in_the_environment(self):
        whole = self.whole(self.model)
        for environment in ({}, {"HOME": "/none", "TMPDIR": "/none", "PATH": ""}, {"HOME": ""}):
            status, out, message = run("report", self.model, env=environment)
            self.assertEqual((status, out), (0, whole), message)

    def test_another_folder_to_work_in(self):
        other = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, other)
        expected = run("solve", self.model, "--format", "json")[1]
        name = os.path.relpath(self.model, other)
        status, out, message = run("solve", name, "--format", "json", "-o", "out.json", cwd=other)
        self.assertEqual((status, out), (0, b""), message)
        with open(os.path.join(other, "out.json"), "rb") as file:
            self.assertEqual(file.read().replace(name.encode(), self.model.encode()), expected)

    def test_a_folder_to_work_in_that_is_gone(self):
        gone = tempfile.mkdtemp()
        def leave():
            os.chdir(gone)
            os.rmdir(gone)
        status, out, message = run("report", self.model, preexec_fn=leave)
        self.assertEqual((status, out), (0, self.whole(self.model)), message)

    def closed(self, descriptors, *arguments):
        def close():
            for one in descriptors:
                os.close(one)
        target = self.old()
        process = subprocess.run([COMMAND, *arguments], preexec_fn=close, timeout=60, check=False)
        return process.returncode, target

    def test_closed_streams_lose_no_file(self):
        whole = self.whole(self.model)
        for descriptors in ((0,), (1,), (2,), (0, 1), (1, 2), (0, 1, 2)):
            status, _ = self.closed(descriptors, "report", self.model, "-o", self.path("out.html"))
            self.assertEqual(status, 0, descriptors)
            self.assertEqual(self.content(), whole, descriptors)
        # The result itself has no place to go to.
        self.assertEqual(self.closed((1,), "report", self.model)[0], 6)
        self.assertEqual(self.closed((0, 1, 2), "report", self.model)[0], 6)
        # No message of the command ends up in a file that took the closed stream's number.
        shutil.copy(self.model, self.path("kept.json"))
        status, _ = self.closed((0, 1, 2), "check", self.model, "--point", "nowhere", "--json", self.path("out.html"))
        self.assertEqual(status, 2)
        self.assertEqual(self.content(), OLD)

    @unittest.skipIf(CAD == "no-cad", "built without CAD")
    def test_measuring_with_closed_streams(self):
        expected = run("measure", DUCT)[1]
        for descriptors in ((0,), (2,), (0, 1, 2)):
            status, _ = self.closed(descriptors, "measure", DUCT, "-o", self.path("out.html"))
            self.assertEqual(status, 0, descriptors)
            self.assertEqual(self.content(), expected, descriptors)

    def test_a_reader_that_goes_away(self):
        reader, writer = os.pipe()
        os.close(reader)
        process = subprocess.run([COMMAND, "report", self.model], stdout=writer, stderr=subprocess.PIPE, check=False)
        os.close(writer)
        self.assertEqual(process.returncode, 6)
        self.assertIn(b"Broken pipe", process.stderr)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
