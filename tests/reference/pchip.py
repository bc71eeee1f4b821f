#!/usr/bin/env python3
"""Writes pchip.json: values of SciPy's PchipInterpolator for tests/truth/curves.rs.

Needs numpy and scipy; run it as `python3 tests/reference/pchip.py`. The versions and the seed it used stand in the file.
"""

import json
import pathlib

import numpy
import scipy
from scipy.interpolate import PchipInterpolator

SEED = 20270411
TABLES = 50
RANDOM_WINDS = 40

# F. N. Fritsch and R. E. Carlson, "Monotone piecewise cubic interpolation", SIAM J. Numer. Anal. 17 (1980), 238-246:
# the data set RPN 14.
RPN_14 = (
    [7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20],
    [0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994],
)


def random_table(random, shape, count):
    """Knots in knots of wind; values that rise, fall, stay flat in part, or bend."""
    x = numpy.cumsum(random.uniform(0.3, 6.0, count))
    steps = random.uniform(0.05, 3.0, count)
    if shape == "rising":
        y = numpy.cumsum(steps)
    elif shape == "falling":
        y = 12 - numpy.cumsum(steps)
    elif shape == "flat":
        y = numpy.cumsum(numpy.where(random.random(count) < 0.5, 0.0, steps) * random.choice([-1.0, 1.0]))
    else:
        y = numpy.cumsum(steps * random.choice([-1.0, 1.0], count))
    return x, y


def reference(name, x, y, at):
    values = PchipInterpolator(x, y)(at)
    return {"name": name, "x": list(map(float, x)), "y": list(map(float, y)),
            "at": list(map(float, at)), "value": list(map(float, values))}


def main():
    random = numpy.random.default_rng(SEED)
    x, y = RPN_14
    tables = [reference("RPN 14", x, y, numpy.linspace(x[0], x[-1], 1202))]
    shapes = ["rising", "falling", "flat", "bent"]
    for number in range(TABLES):
        shape, count = shapes[number % len(shapes)], 2 + number % 11
        x, y = random_table(random, shape, count)
        at = numpy.sort(numpy.concatenate([x, random.uniform(x[0], x[-1], RANDOM_WINDS)]))
        tables.append(reference(f"{shape} {number}", x, y, at))
    out = {"scipy": scipy.__version__, "numpy": numpy.__version__, "seed": SEED, "tables": tables}
    path = pathlib.Path(__file__).with_suffix(".json")
    lines = ",\n".join("  " + json.dumps(table) for table in out.pop("tables"))
    head = json.dumps(out)[1:-1]
    path.write_text("{" + head + ', "tables": [\n' + lines + "\n]}\n", encoding="utf-8")


main()
