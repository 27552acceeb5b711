# SPDX-License-Identifier: Apache-2.0
"""Packages from npm for tests: installed into a folder of the build by the lock file beside this script, once.

Without npm or a network a test that needs them ends by `skip`, which says so on a line of its own.
"""
import os
import shutil
import subprocess
import sys

SKIPPED = 77  # what tests/browser/CMakeLists.txt tells CTest
LONGEST = 120  # seconds; an install takes two where the packages can be reached


def skip(reason):
    print(f"SKIPPED: {reason}", flush=True)
    sys.exit(SKIPPED)


def installed(folder):
    """The `node_modules` below `folder`."""
    here = os.path.dirname(os.path.abspath(__file__))
    npm = shutil.which("npm")
    if npm is None:
        skip("npm is not installed (.ci/install browser)")
    os.makedirs(folder, exist_ok=True)
    lock = os.path.join(here, "package-lock.json")
    with open(lock, encoding="utf-8") as file:
        wanted = file.read()
    stamp = os.path.join(folder, "installed.json")
    modules = os.path.join(folder, "node_modules")
    if os.path.exists(stamp) and open(stamp, encoding="utf-8").read() == wanted:
        return modules
    for name in ("package.json", "package-lock.json"):
        shutil.copy(os.path.join(here, name), folder)
    command = [npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--prefer-offline", "--fetch-retries=0",
               "--fetch-timeout=20000"]
    try:
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=LONGEST,
                              stdin=subprocess.DEVNULL)
    except subprocess.TimeoutExpired:
        skip(f"npm did not answer within {LONGEST} s")
    if done.returncode != 0:
        skip("npm could not install the tests' packages: " + done.stderr.strip().splitlines()[-1])
    with open(stamp, "w", encoding="utf-8") as file:
        file.write(wanted)
    return modules
