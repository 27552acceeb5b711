# SPDX-License-Identifier: Apache-2.0
"""`python3 -m corefeed ARGS` is `corefeed ARGS`: this process becomes the command."""

import os
import shutil
import sys
from pathlib import Path


def find_command() -> str | None:
    """The program that COREFEED_COMMAND names, else bin/corefeed above this package, else the one on the way."""
    told = os.environ.get("COREFEED_COMMAND")
    if told:
        return told
    for folder in Path(__file__).resolve().parents:
        command = folder / "bin" / "corefeed"
        if command.is_file() and os.access(command, os.X_OK):
            return str(command)
    return shutil.which("corefeed")


def main() -> int:
    command = find_command()
    if command is None:
        print("the command corefeed is not installed; install it, or name it in the environment variable "
              "COREFEED_COMMAND", file=sys.stderr)
        return 2
    try:
        os.execv(command, ["corefeed", *sys.argv[1:]])
    except OSError as error:
        print(f"{command} cannot be started: {error.strerror}", file=sys.stderr)
        return 2


if __name__ == "__main__":
    sys.exit(main())
