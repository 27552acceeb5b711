# SPDX-License-Identifier: Apache-2.0
"""Fails where the docs are out of step with the tree: a dead link, a command that .ci/run does not run, a package
without its license, a test that a page names and that is not there.

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


def proofs_without_test(tree: Path) -> list[str]:
    """Tests and files that docs/verification.md names."""
    page = (tree / "docs/verification.md").read_text(encoding="utf-8")
    sources = "\n".join(path.read_text(encoding="utf-8") for path in (tree / "tests").rglob("*_test.cpp"))
    there = {f"{group}.{name}" for group, name in re.findall(r"^TEST(?:_[FP])?\((\w+), (\w+)\)", sources, re.MULTILINE)}
    faults = []
    for named in re.findall(r"`([A-Z]\w+\.\w+|tests/[^`]*)`", page):
        if not (tree / named).exists() if named.startswith("tests/") else named not in there:
            faults.append(f"docs/verification.md: there is no test {named}")
    return faults


def main() -> None:
    tree = Path(sys.argv[1])
    pages = [tree / "README.md", tree / "DEVELOPERS.md", *sorted((tree / "docs").rglob("*.md"))]
    finish(dead_links(tree, pages) + commands_not_run(tree) + packages_without_license(tree) + proofs_without_test(tree))


if __name__ == "__main__":
    main()
