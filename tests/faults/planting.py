# SPDX-License-Identifier: Apache-2.0
"""Runs of the command with a fault planted by one of the preloaded libraries, and what must hold after each: the
status of the contract, every file whole (its old bytes or its new ones), nothing left lying about."""
import concurrent.futures
import os
import shutil
import subprocess
import tempfile

OLD = b"the older result\n"
# Of the command: a run that takes longer hangs.
PATIENCE = 120


class Job:
    """A command line in a folder of its own. {} in an argument stands for that folder."""

    def __init__(self, name, inputs, arguments, targets=(), streams=False):
        self.name, self.inputs, self.arguments, self.targets = name, inputs, arguments, targets
        self.streams = streams  # rows as they are made, so that a prefix may be out already


class Ending:
    def __init__(self, status, out, message, files, count):
        self.status, self.out, self.message, self.files, self.count = status, out, message, files, count


class Plant:
    def __init__(self, command, library, source):
        # Runs stand in folders of their own.
        self.command, self.library, self.source = map(os.path.abspath, (command, library, source))

    def run(self, job, kind="", at=0, old=True, program="corefeed"):
        folder = tempfile.mkdtemp(prefix="faults-")
        try:
            for name in job.inputs:
                shutil.copy(os.path.join(self.source, name), folder)
            if old:
                for name in job.targets:
                    with open(os.path.join(folder, name), "wb") as file:
                        file.write(OLD)
            return self.run_in(folder, job, kind, at, program)
        finally:
            shutil.rmtree(folder)

    def run_in(self, folder, job, kind, at, program="corefeed"):
        report, told = os.pipe()
        environment = dict(os.environ, LD_PRELOAD=self.library, COREFEED_FAULT_PROGRAM=program, COREFEED_FAULT_KIND=kind,
                           COREFEED_FAULT_AT=str(at), COREFEED_FAULT_REPORT=str(told))
        arguments = [argument.replace("{}", folder) for argument in job.arguments]
        try:
            done = subprocess.run([self.command, *arguments], env=environment, capture_output=True, timeout=PATIENCE,
                                  pass_fds=(told,), stdin=subprocess.DEVNULL, cwd=folder, check=False)
        finally:
            os.close(told)
            with os.fdopen(report, "rb") as file:
                count = file.read()
        files = {}
        for name in sorted(os.listdir(folder)):
            if name in [os.path.basename(one) for one in job.inputs]:
                continue
            with open(os.path.join(folder, name), "rb") as file:
                files[name] = file.read()
        # Where the command repeats the path of its input, the folder has another name each time.
        named = folder.encode()
        clean = lambda text: text.replace(named, b"FOLDER")
        return Ending(done.returncode, clean(done.stdout), clean(done.stderr),
                      {name: clean(content) for name, content in files.items()}, int(count or 0))


def in_parallel(work, items):
    """Faults found, as text, in the order of the items."""
    with concurrent.futures.ThreadPoolExecutor(max_workers=2) as pool:
        return [fault for faults in pool.map(work, items) for fault in faults]


def torn(ending, unbroken, job):
    """Targets that hold neither their old bytes nor the new ones; files that no run should leave."""
    faults = []
    for name in job.targets:
        found = ending.files.get(name)
        if found not in (OLD, unbroken.files[name]):
            faults.append(f"{name} is " + ("gone" if found is None else f"torn, {len(found)} bytes"))
    faults += [f"{name} is torn" for name, content in unbroken.files.items()
               if name not in job.targets and ending.files.get(name, content) != content]
    faults += [f"{name} is left" for name in ending.files if name not in unbroken.files]
    return faults
