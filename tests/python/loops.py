# SPDX-License-Identifier: Apache-2.0
"""How much Python adds: the loops of loops.cpp from Python, as seconds and as a ratio.

    PYTHONPATH=build/release/python python3 tests/python/loops.py build/release/bin/python_loops MODEL
"""
import subprocess
import sys
import time

import corefeed

LOOPS, MODEL = sys.argv[1:3]
COUNT = 1000
ROUNDS = 5


def area(i):
    return 0.05 + 1e-5 * i


def prepared(car):
    point = car.prepare()
    point.solve()

    def loop():
        total = 0.0
        for i in range(COUNT):
            point.set("fender_vent.area", area(i))
            point.solve()
            total += point.value("radiator.flow")
        return total
    return loop


def study(car):
    first = car.points[0]

    def loop():
        total = 0.0
        for i in range(COUNT):
            car.set("fender_vent.area", area(i))
            total += car.solve().value(first, "radiator.flow")
        return total
    return loop


def timed(loop):
    best = float("inf")
    for _ in range(ROUNDS):
        begin = time.perf_counter()
        total = loop()
        best = min(best, time.perf_counter() - begin)
    return best, total


def main():
    printed = subprocess.run([LOOPS, MODEL], check=True, capture_output=True, text=True).stdout
    for line in printed.splitlines():
        name, seconds, total = line.split()
        here, same = timed({"prepared": prepared, "study": study}[name](corefeed.load(MODEL)))
        print(f"{name}: C++ {float(seconds) * 1e3:.2f} ms, Python {here * 1e3:.2f} ms for {COUNT}, "
              f"ratio {here / float(seconds):.2f}, sums {'equal' if same == float(total) else 'DIFFER'}")


if __name__ == "__main__":
    main()
