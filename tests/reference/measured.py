#!/usr/bin/env python3
"""Writes measured.json: where the marks of measured scales stand, by SciPy's PchipInterpolator, for tests/truth/true_size.rs.

Needs scipy; run it as `python3 tests/reference/measured.py`. The version it used stands in the file.

A mark stands at the first and the last pair and at each multiple of the step between them that is at least half a whole
step away from both; whole multiples and the two ends have a number.
"""

import json
import pathlib
from fractions import Fraction

import scipy
from scipy.interpolate import PchipInterpolator

MM = {"mm": Fraction(1), "in": Fraction("25.4"), "cm": Fraction(10)}

# Name, unit of the quantity, its unit of length, pairs as written, step of the numbers, parts of it. All made up.
SCALES = [
    ("ram", "bar", "mm", [("0", "0"), ("60", "14"), ("120", "31"), ("180", "51")], 30, 1),
    ("panel", "psi", "in", [("0", "0"), ("600", "9/16"), ("1200", "1 1/4"), ("1800", "2 1/16")], 300, 1),
    ("short", "bar", "mm", [("0", "0"), ("100", "20")], 10, 1),
    ("steep", "%", "mm", [("0", "0"), ("10", "12"), ("20", "200"), ("30", "212")], 5, 1),
    ("two_metres", "bar", "mm", [("3", "5"), ("58", "600"), ("121", "900"), ("200", "2005")], 20, 2),
    ("two_metres_in_inches", "psi", "in",
     [("0", "0"), ("500", "30"), ("1500", "50 3/8"), ("3000", "78 5/8")], 250, 4),
    ("below_the_datum", "bar", "cm", [("-20", "-30"), ("10", "-2.5"), ("40", "12.25"), ("90", "60")], 10, 2),
]


def number(text):
    return sum(Fraction(part) for part in text.split())


def marks(pairs, every, parts):
    quantities = [number(quantity) for quantity, _ in pairs]
    first, last = quantities[0], quantities[-1]
    step, clear = Fraction(every, parts), Fraction(every, 2)
    inside = []
    count = -(-(first + clear) // step)
    while count * step <= last - clear:
        inside.append((count * step, count % parts == 0))
        count += 1
    return [(first, True), *inside, (last, True)]


def scale(name, unit, length_unit, pairs, every, parts):
    places = [number(place) * MM[length_unit] for _, place in pairs]
    curve = PchipInterpolator([float(number(q)) for q, _ in pairs], [float(place) for place in places])
    datum = float(places[0])
    return {"name": name, "unit": unit, "length_unit": length_unit, "pairs": pairs, "every": every, "parts": parts,
            "marks": [{"number": float(at) if numbered else None, "at_mm": float(curve(float(at))) - datum}
                      for at, numbered in marks(pairs, every, parts)]}


def main():
    lines = ",\n".join("  " + json.dumps(scale(*given)) for given in SCALES)
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text(f'{{"scipy": "{scipy.__version__}", "scales": [\n{lines}\n]}}\n', encoding="utf-8")


main()
