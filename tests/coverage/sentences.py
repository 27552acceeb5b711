# SPDX-License-Identifier: Apache-2.0
"""Finds sentences in the sources, most of them errors, that no test makes the program say: statements that hold a text
of several words and were never run, or hang on a condition that never came out so."""

import re
from bisect import bisect_right
from pathlib import Path
from typing import Any, NamedTuple

# A comment, or a literal.
TOKEN = re.compile(r"""//[^\n]*|/\*.*?\*/|R"(?P<mark>[^(\s]*)\(.*?\)(?P=mark)"|"""
                   r""""(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])+'""", re.DOTALL)
SENTENCE = re.compile(r"[a-z]{2,}\W* \W*[a-z]{2,}")
CONDITION = re.compile(r"\s*(?:else\b|(?:else\s+)?(?:if|for|while|switch)\s*\()")
# What no test can cause: `file | beginning of the text | reason`, one a line.
REASONS = Path(__file__).with_name("unsaid.txt")


class Sentence(NamedTuple):
    line: int
    text: str
    parts: list[tuple[int, int]]  # first and last line of the innermost statement or list, then of the whole statement
    conditions: dict[int, int]  # where it hangs on a condition inside one line: how many conditions stand on which lines


def reasons() -> list[tuple[str, str]]:
    rows = [line.split(" | ") for line in REASONS.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [(file, text) for file, text, _ in rows]


def behind_conditions(code: str, begin: int, at: int) -> int:
    """Where the statement begins that `if (..)` and the like in front of it lead to."""
    while (match := CONDITION.match(code, begin, at)) is not None:
        end = match.end()
        if match.group().endswith("("):
            depth = 1
            while depth > 0 and end < at:
                depth += {"(": 1, ")": -1}.get(code[end], 0)
                end += 1
            if depth > 0:  # the sentence stands inside the condition
                return begin
        begin = end
    return begin


def sentences(text: str) -> list[Sentence]:
    found = [(match.start(), match.group().strip('"')) for match in TOKEN.finditer(text)
             if match.group()[0] in '"R' and SENTENCE.search(match.group())]
    code = TOKEN.sub(lambda match: re.sub(r"[^\n]", "_" if match.group()[0] in "\"'R" else " ", match.group()), text)
    breaks = [at for at, c in enumerate(text) if c == "\n"]

    def line(at: int) -> int:
        return bisect_right(breaks, at - 1) + 1

    def begin(at: int, ends: str) -> int:
        start = behind_conditions(code, max(code.rfind(end, 0, at) for end in ends) + 1, at)
        return start + len(code[start:]) - len(code[start:].lstrip())

    def lines(at: int, ends: str) -> tuple[int, int]:
        stop = min((stop for stop in (code.find(end, at) for end in ends) if stop >= 0), default=len(code))
        return line(begin(at, ends)), line(stop)

    def conditions(at: int) -> dict[int, int]:
        start = begin(at, ";{}")
        before = code[:start].rstrip()
        guarded = before.endswith(")") and line(len(before)) == line(start)
        if not guarded and " ? " not in code[start:at].replace("\n", " "):
            return {}
        shown = code.splitlines()
        count = {n: len(re.findall(r"\bif\b|&&|\|\|| \? ", shown[n - 1] + " ")) for n in range(line(start), line(at) + 1)}
        return {n: number for n, number in count.items() if number}

    return [Sentence(line(at), words, [lines(at, ";{}"), lines(at, ";")], conditions(at)) for at, words in found]


def is_said(sentence: Sentence, counted: dict[int, dict[str, Any]]) -> bool:
    around = [[counted[n]["count"] for n in range(first, last + 1) if n in counted] for first, last in sentence.parts]
    if max(next((part for part in around if part), [1])) == 0:  # a table that is no code is never run
        return False
    # Two branches a condition; behind them may stand the compiler's own.
    return all(branch["count"] for n, number in sentence.conditions.items() if n in counted
               for branch in counted[n]["branches"][:2 * number])


def unsaid(tree: Path, files: dict[str, dict[str, Any]]) -> list[str]:
    excused = reasons()
    used = set()
    faults = []
    for name, file in files.items():
        counted = {line["line_number"]: line for line in file["lines"] if not line["gcovr/noncode"]}
        for sentence in sentences((tree / name).read_text(encoding="utf-8")):
            if is_said(sentence, counted):
                continue
            excuse = next((row for row in excused if row[0] == name and sentence.text.startswith(row[1])), None)
            if excuse is None:
                faults.append(f"{name}:{sentence.line}: never said: {sentence.text}")
            used.add(excuse)
    return faults + [f"{REASONS.name}: \"{text}\" of {file} is said, or is gone"
                     for file, text in excused if (file, text) not in used]
