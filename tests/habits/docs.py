# SPDX-License-Identifier: Apache-2.0
"""Fails where the docs are out of step with the tree: a dead link, a command that .ci/run does not run, a package
without its license, a test that a page of proofs names and nobody wrote.

    python3 docs.py TREE
"""

import re
import sys
from pathlib import Path

from sources import finish

LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)\s]*)?\)")


def dead_links(tree: Path, pages: list[Path]) -> list[str]:
    faults = []
    for page in pages:
        for target in LINK.findall(page.read_text(encoding="utf-8")):
            if "://" not in target and not (page.parent / target).exists():
                faults.append(f"{page.relative_to(tree)}: the link to {target} leads nowhere")
    return faults


def commands_not_run(tree: Path) -> list[str]:
    """The README's two commands, which .ci/run has to run word for word."""
    readme = (tree / "README.md").read_text(encoding="utf-8")
    run = (tree / ".ci/run").read_text(encoding="utf-8")
    commands = re.findall(r"^ *(\.ci/install .*)$", readme, re.MULTILINE)
    faults = [f"README.md: .ci/run does not run \"{command}\"" for command in commands if command not in run]
    if len(commands) != 2:
        faults.append(f"README.md: {len(commands)} commands begin with .ci/install, expected 2")
    return faults


def packages_without_license(tree: Path) -> list[str]:
    page = (tree / "docs/licences.md").read_text(encoding="utf-8")
    lines = (tree / ".ci/packages").read_text(encoding="utf-8").splitlines()
    packages = [line.split()[1] for line in lines if line and not line.startswith("#")]
    return [f"docs/licences.md: does not name {name}" for name in packages if f"`{name}`" not in page]


def tests_not_there(tree: Path) -> list[str]:
    """The last cell of a row names files of tests, each followed by what stands in it."""
    faults = []
    for page, fewest in (("docs/reliability.md", 30), ("docs/verification.md", 25)):
        rows = 0
        for line in (tree / page).read_text(encoding="utf-8").splitlines():
            cells = line.strip().strip("|").split("|")
            if len(cells) != 3 or "`tests/" not in cells[2]:
                continue
            rows += 1
            text = None
            for word in re.findall(r"`([^`]+)`", cells[2]):
                if word.startswith("tests/"):
                    name, path = word, tree / word
                    text = path.read_text(encoding="utf-8") if path.is_file() else ""
                    if not path.exists():
                        faults.append(f"{page}: there is no {name}")
                elif text is None or word not in text:
                    faults.append(f"{page}: {name} has no test \"{word}\"")
        if rows < fewest:
            faults.append(f"{page}: found {rows} rows that name tests, expected {fewest} or more")
    return faults


def main() -> None:
    tree = Path(sys.argv[1])
    pages = [tree / "README.md", tree / "DEVELOPERS.md", *sorted((tree / "docs").rglob("*.md"))]
    finish(dead_links(tree, pages) + commands_not_run(tree) + packages_without_license(tree) + tests_not_there(tree))


if __name__ == "__main__":
    main()
