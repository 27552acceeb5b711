# SPDX-License-Identifier: Apache-2.0
"""Runs the first model of docs/start.md: a page that a beginner copies has to work as it stands.

    python3 first_model.py TREE COMMAND
"""

import json
import re
import subprocess
import sys
from pathlib import Path

from sources import finish

BLOCK = re.compile(r"<!-- first model.*?-->\n```json\n(.*?)```", re.DOTALL)
QUESTION = re.compile(r"`corefeed (size) first\.corefeed ([^`]*)`")


def main() -> None:
    page = (Path(sys.argv[1]) / "docs/start.md").read_text(encoding="utf-8")
    command = sys.argv[2]
    model = BLOCK.search(page)
    question = QUESTION.search(page)
    if model is None or question is None:
        finish(["docs/start.md: the first model or the question of size is missing"])
    faults = []

    def ask(*arguments: str) -> str:
        done = subprocess.run([command, *arguments], input=model.group(1), capture_output=True, text=True, check=False)
        if done.returncode != 0 or done.stderr:
            faults.append(f"docs/start.md: {' '.join(arguments)} ends with {done.returncode}: {done.stderr}{done.stdout}")
        return done.stdout

    answer = ask("check", "-", "--format", "json")
    if not faults and json.loads(answer)["points"][0]["elements"]["radiator"]["flow"] <= 0:
        faults.append("docs/start.md: no air reaches the radiator of the first model")
    ask("size", "-", *(word.strip("'") for word in re.findall(r"'[^']*'|\S+", question.group(2))))
    finish(faults)


if __name__ == "__main__":
    main()
