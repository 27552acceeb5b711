# SPDX-License-Identifier: Apache-2.0
"""Runs the lines of docs/how-to/python.md, one after the other. Argument: source folder."""
import contextlib
import io
import os
import re
import sys

os.chdir(sys.argv[1])
with open("docs/how-to/python.md", encoding="utf-8") as page:
    blocks = re.findall(r"^```python\n(.*?)^```", page.read(), re.MULTILINE | re.DOTALL)
names = {}
printed = io.StringIO()
with contextlib.redirect_stdout(printed):
    for block in blocks:
        exec(compile(block, "docs/how-to/python.md", "exec"), names)
# What the page says in comments.
assert "did you mean" in printed.getvalue(), printed.getvalue()
assert len(blocks) > 6
