# SPDX-License-Identifier: Apache-2.0
"""Whether what coverage.py says of the tests is so: on sources of a few lines, with counts as gcovr writes them."""
import contextlib
import io
import json
import tempfile
import unittest
from pathlib import Path

import coverage
import sentences

SOURCE = '''int f(int a) {
  if (a > 0) return fault("the number is above");
  if (a < -1)
    return fault("the number is below");
  // "a remark that is no sentence"
  const char* word = a == 0 ? "nothing at all" : "one thing";
  static const Row table[] = {{"a row of words", 1}};
  return fault(
      "what is left over",
      a);
}
'''


def counted(counts, branches=()):
    """Lines as gcovr writes them: {line: count}, {line: [counts of its branches]}."""
    return {"lines": [{"line_number": n, "count": count, "gcovr/noncode": False,
                       "branches": [{"count": one} for one in dict(branches).get(n, [])]} for n, count in counts.items()]}


class Sentences(unittest.TestCase):
    def unsaid(self, counts, branches=()):
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / "f.cpp").write_text(SOURCE, encoding="utf-8")
            return [fault.split(": never said: ")[1] for fault in
                    sentences.unsaid(Path(folder), {"f.cpp": counted(counts, branches)})
                    if "never said" in fault]

    def test_all_are_said(self):
        counts = dict.fromkeys((1, 2, 3, 4, 6, 8, 9, 10), 1)
        self.assertEqual(self.unsaid(counts, {2: [1, 1], 3: [1, 1], 6: [1, 2]}), [])

    def test_lines_that_never_ran(self):
        counts = {1: 1, 2: 1, 3: 1, 4: 0, 6: 1, 8: 0, 9: 0, 10: 0}
        self.assertEqual(self.unsaid(counts, {2: [1, 1], 3: [0, 1], 6: [1, 1]}), ["the number is below", "what is left over"])

    def test_conditions_on_the_same_line(self):
        counts = dict.fromkeys((1, 2, 3, 4, 6, 8, 9, 10), 1)
        self.assertEqual(self.unsaid(counts, {2: [0, 1], 3: [1, 1], 6: [1, 0]}),
                         ["the number is above", "nothing at all", "one thing"])


class Counting(unittest.TestCase):
    def test_tally(self):
        file = counted({1: 1, 2: 0, 3: 4}, {1: [1, 0], 3: [2, 2]})
        file["lines"].append({"line_number": 9, "count": 1, "gcovr/noncode": True, "branches": [{"count": 1}]})
        self.assertEqual(coverage.tally(file), (3, 2, 4, 3))

    def test_shares_are_rounded_down(self):
        self.assertEqual(coverage.Tally(1000, 949, 3, 2).shares(), {"lines": 94.9, "branches": 66.6})
        self.assertEqual(coverage.Tally(10000, 9499, 1, 1).shares(), {"lines": 94.9, "branches": 100.0})

    def test_rooms(self):
        self.assertEqual(coverage.room_of("lib/corefeed/losses/laws/duct.cpp"), "lib/corefeed/losses")
        self.assertEqual(coverage.room_of("lib/corefeed/result.cpp"), "lib/corefeed")
        self.assertEqual(coverage.room_of("cad_bridge/worker/child.cpp"), "cad_bridge/worker")

    def compared(self, floor, write=False):
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "floor.json"
            file.write_text(json.dumps({"lib": floor}), encoding="utf-8")
            reached = {"lib": coverage.Tally(1000, 950, 1000, 850)}
            said = io.StringIO()
            with contextlib.redirect_stdout(said):
                kept = coverage.compare_with_floor(reached, write, file)
            return kept, said.getvalue(), json.loads(file.read_text(encoding="utf-8"))["lib"]

    def test_the_floor_holds(self):
        self.assertEqual(self.compared({"lines": 95.0, "branches": 85.0}), (True, "", {"lines": 95.0, "branches": 85.0}))
        kept, said, floor = self.compared({"lines": 95.1, "branches": 80.0})
        self.assertFalse(kept)
        self.assertIn("lib: 95.0 % of the lines are reached, the floor is 95.1 %", said)
        self.assertIn("the floor can rise from 80.0 %", said)
        self.assertEqual(floor, {"lines": 95.1, "branches": 80.0})

    def test_a_room_without_floor_gets_one(self):
        self.assertEqual(self.compared({}, True)[::2], (True, {"lines": 95.0, "branches": 85.0}))

    def test_it_rises_and_never_sinks(self):
        self.assertEqual(self.compared({"lines": 95.1, "branches": 80.0}, True)[2], {"lines": 95.1, "branches": 85.0})


if __name__ == "__main__":
    unittest.main()
