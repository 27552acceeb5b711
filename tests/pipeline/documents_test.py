# SPDX-License-Identifier: Apache-2.0
"""Reads JSON with planted faults by the library and by Python's json module made strict: the same verdict, the same
tree and the same numbers to the bit. Arguments: the program read_documents, source folder; then how many documents and the
seed, for longer runs:

    python3 tests/pipeline/documents_test.py build/release/bin/read_documents . 1000000 7
"""
import glob
import json
import os
import random
import re
import struct
import subprocess
import sys

PROGRAM, SOURCE = sys.argv[1:3]
COUNT = int(sys.argv[3]) if len(sys.argv) > 3 else 20000
SEED = int(sys.argv[4]) if len(sys.argv) > 4 else 1
BATCH = 5000

DEPTH = 64  # as documented in model/document.hpp, like what follows
EXACT = 2**53
TEXT_BYTES = 65536

# What a mutation puts in: tokens, faults that other readers let pass, and pieces where numbers and texts get difficult.
PIECES = [
    b"[", b"]", b"{", b"}", b",", b":", b'"', b"\\", b"/", b"//", b"/*", b"#", b"'", b"-", b"+", b".", b"e", b"E", b"0", b"00",
    b"1", b"9", b" ", b"\t", b"\n", b"\r", b"\0", b"\x0b", b"\x1f", b"\x7f", b"\x80", b"\xc3", b"\xc0\xaf", b"\xed\xa0\x80",
    b"\xf4\x90\x80\x80", b"\xc3\xa9", b"\xe2\x82\xac", b"\xf0\x9d\x84\x9e", b"\xef\xbb\xbf", b"\xc2\xa0", b"null", b"true",
    b"false", b"nul", b"True", b"NaN", b"Infinity", b"-Infinity", b'"a"', b'"a":1', b'"a":1,', b'"a":1,"a":1,', b"[]", b"{}",
    b"\\u0041", b"\\ud834\\udd1e", b"\\ud800", b"\\udc00", b"\\u00", b"\\u0000", b"\\n", b"\\x", b"1e308", b"1e309",
    b"-1e400", b"1e-323", b"1e-400", b"4.9e-324", b"2.2250738585072011e-308", b"1.7976931348623157e308",
    b"1.7976931348623159e308", b"9007199254740992", b"9007199254740993", b"9007199254740993.0", b"0.1",
    b"0.30000000000000004", b"123456789.123456789e-20", b"-0", b"-0.0", b"0e0", b"1E+5", b"8.5e-3"]

SMALL = [b"[]", b"{}", b"1", b'"text"', b"null", b'{"a": [1, 2.5, -3e-7], "b": {"c": "d\\u00e9\\n"}, "e": true}',
         b'[0.1, 1e22, 123456789012345678, "\\ud83d\\ude00", {"": null}, [[[]]]]', b'  [1 ,\r\n\t{"k" : false}]  ',
         '{"\u00e9": "\u20ac \U0001d11e", "x-note": ["\u2028"]}'.encode()]


class Refused(Exception):
    pass


def once(pairs):
    if len({key for key, _ in pairs}) != len(pairs):
        raise Refused("duplicate key")
    for key, value in pairs:
        sound(key)
        sound(value)
    return ("object", pairs)


def sound(text):
    """A text of characters, and none too long."""
    if isinstance(text, str):
        try:
            size = len(text.encode())
        except UnicodeEncodeError as error:
            raise Refused("half of a surrogate pair") from error
        if size > TEXT_BYTES:
            raise Refused("too long")


def whole(digits):
    if len(digits) > TEXT_BYTES or len(digits.lstrip("-")) > 20 or abs(int(digits)) > EXACT:
        raise Refused("not exact")
    return float(digits)


def real(digits):
    number = float(digits)
    if len(digits) > TEXT_BYTES or number in (float("inf"), float("-inf")):
        raise Refused("too large")
    return number


def no_number(word):
    raise Refused(word)


def flat(value, depth=0):
    """The tree in the words of read_documents."""
    if isinstance(value, (list, tuple)):
        if depth == DEPTH:
            raise Refused("too deep")
        if isinstance(value, list):
            return "[" + "".join(flat(item, depth + 1) + "," for item in value) + "]"
        return "{" + "".join(f"{key.encode().hex()}:{flat(item, depth + 1)}," for key, item in value[1]) + "}"
    if isinstance(value, str):
        sound(value)
        return '"' + value.encode().hex()
    if isinstance(value, float):
        return "#" + struct.pack(">d", value).hex()
    return {None: "n", True: "t", False: "f"}[value]


def by_python(document):
    """The tree, or None where a strict reader refuses."""
    try:
        text = document.decode("utf-8-sig")
        return flat(json.loads(text, object_pairs_hook=once, parse_int=whole, parse_float=real,
                               parse_constant=no_number))
    except (ValueError, RecursionError, Refused):  # errors of decoding and of JSON are of the first kind
        return None


def by_library(documents):
    told = b"".join(b"%d\n" % len(document) + document for document in documents)
    done = subprocess.run([PROGRAM], input=told, capture_output=True, check=True)
    return done.stdout.decode("ascii").splitlines()


def seeds():
    found = list(SMALL)
    for pattern in ("geometry_samples/*.corefeed", "tests/data/*"):
        for path in sorted(glob.glob(os.path.join(SOURCE, pattern))):
            with open(path, "rb") as file:
                found.append(file.read())
    return found


def number(chance):
    """A number whose digits come near the borders between doubles."""
    kind = chance.randrange(4)
    if kind == 0:
        bits = struct.unpack("<d", chance.randbytes(8))[0]
        return repr(bits).encode().replace(b"nan", b"0").replace(b"inf", b"1e308")
    digits = "".join(chance.choice("0123456789") for _ in range(chance.randrange(1, 40))).encode()
    if kind == 1:
        return digits
    if kind == 2:
        return digits + b"." + digits
    return b"%d." % chance.randrange(10) + digits + b"e%d" % chance.randrange(-330, 320)


def mutated(chance, corpus):
    document = bytearray(chance.choice(corpus))
    if len(document) > 3000 and chance.random() < 0.9:  # a piece of a long one, cut at its lines
        begin = document.find(b"\n", chance.randrange(len(document)))
        document = bytearray(b"{" + document[begin + 1:begin + 1 + chance.randrange(1500)].rstrip(b", \n") + b"}")
    for _ in range(chance.choice((0, 1, 1, 1, 2, 3, 8))):
        at = chance.randrange(len(document) + 1)
        to = min(len(document), at + chance.randrange(1, 12))
        kind = chance.randrange(7)
        if kind == 0:
            document[at:at] = chance.choice(PIECES)
        elif kind == 1:
            document[at:to] = chance.choice(PIECES)
        elif kind == 2:
            del document[at:to]
        elif kind == 3:
            document[at:at] = document[at:to]
        elif kind == 4:
            del document[at:]
        elif kind == 5 and at < len(document):
            document[at] = chance.randrange(256)
        else:
            places = list(re.finditer(rb"-?\d+(\.\d+)?([eE][+-]?\d+)?", bytes(document)))
            if places:
                place = chance.choice(places)
                document[place.start():place.end()] = number(chance)
    return bytes(document)


def main():
    chance = random.Random(SEED)
    corpus = seeds()
    accepted = faults = 0
    for begin in range(0, COUNT, BATCH):
        documents = [mutated(chance, corpus) for _ in range(min(BATCH, COUNT - begin))]
        for document, ours in zip(documents, by_library(documents), strict=True):
            theirs = by_python(document)
            accepted += theirs is not None
            if ours.startswith("refused ") if theirs is None else ours == theirs:
                continue
            faults += 1
            print(f"{document!r}\n  the library: {ours[:300]}\n  Python: {(theirs or 'refused')[:300]}")
    print(f"{COUNT} documents, {accepted} accepted, {faults} read otherwise than by Python")
    # Both verdicts have to occur, or nothing was compared.
    sys.exit(1 if faults or not COUNT // 20 < accepted < COUNT - COUNT // 20 else 0)


if __name__ == "__main__":
    main()
