# SPDX-License-Identifier: Apache-2.0
"""Writes the dictionaries that speak the language of models, from the schema: its keys and words, and the units.

    build/release/bin/corefeed schema | python3 tests/fuzz/dictionaries.py

The dictionaries of JSON, STEP and measurements beside them are written by hand.
"""

import json
import re
import sys
from pathlib import Path
from typing import Iterator

FOLDER = Path(__file__).resolve().parent / "dictionaries"


def walk(value: object) -> Iterator[dict[str, object]]:
    """Every object of the schema."""
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from walk(inner)
    if isinstance(value, list):
        for inner in value:
            yield from walk(inner)


def entry(token: str) -> str:
    escaped = "".join(c if c.isascii() and c.isprintable() and c not in '"\\' else
                      "".join(f"\\x{byte:02X}" for byte in c.encode()) for c in token)
    return f'"{escaped}"'


def write(name: str, tokens: set[str]) -> None:
    lines = ["# From the schema; see dictionaries.py.", *(entry(token) for token in sorted(tokens))]
    (FOLDER / f"{name}.dict").write_text("\n".join(lines) + "\n", encoding="ascii")


def main() -> None:
    schema = json.load(sys.stdin)
    keys: set[str] = set()
    words: set[str] = set()
    units: set[str] = set()
    for part in walk(schema):
        properties = part.get("properties")
        keys |= set(properties) if isinstance(properties, dict) else set()
        choices = part.get("enum", [part["const"]] if "const" in part else [])
        words |= {word for word in choices if isinstance(word, str)} if isinstance(choices, list) else set()
        pattern = part.get("pattern")
        # The longest list of alternatives in a quantity's pattern is that of its units.
        lists = re.findall(r"\(([^()]*\|[^()]*)\)", pattern) if isinstance(pattern, str) else []
        units |= set(max(lists, key=len).split("|")) if lists else set()
    units = {unit for unit in units if "\\" not in unit}
    write("model", {f'"{key}": ' for key in keys} | {f'"{word}"' for word in words} | {f' {unit}"' for unit in units})
    write("quantity", units | {"gauge", " gauge", "^-1", "^2", "\u00b2", "\u00b7", "1/", "e-3", "e300"})
    write("table", {f" [{unit}]" for unit in units} | keys | {"heat_load.coolant", "cp.nose", "cp.vent", "fans.fan",
                                                            "name", "on", "off", "freewheeling", "\r\n", ";", "\t",
                                                            "\xef\xbb\xbf", "1e308"})
    parts = {"nose", "fan", "radiator", "vent", "coolant", "ambient", "car", "bay", "mouth", "face"}
    write("words", {f"{part}." for part in parts} | {f".{key}" for key in keys} | units |
          {"speed", "yaw", "ride_height", "engine_speed", "requirement:fed", ">=", "<=", "=", ":", ","})


if __name__ == "__main__":
    main()
