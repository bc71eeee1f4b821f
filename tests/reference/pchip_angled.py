#!/usr/bin/env python3
"""Writes pchip_angled.json: SciPy's PchipInterpolator along the angle, then along the wind, for tests/truth/angled.rs.

Needs numpy and scipy; run it as `python3 tests/reference/pchip_angled.py`. The versions and the seed it used stand in the
file. Beyond the angles of a wind its nearest one holds.
"""

import json
import pathlib

import numpy
import scipy
from scipy.interpolate import PchipInterpolator

SEED = 20270502
TABLES = 50
PROBES = 40


def along(angles, readings, at):
    """One wind's reading at an angle."""
    if len(angles) == 1:
        return readings[0]
    return float(PchipInterpolator(angles, readings)(min(max(at, angles[0]), angles[-1])))


def at(rows, wind, angle):
    winds = [row["wind"] for row in rows]
    return float(PchipInterpolator(winds, [along(row["angles"], row["readings"], angle) for row in rows])(wind))


def random_rows(random, count):
    winds = numpy.cumsum(random.uniform(1.5, 6.0, count)) + 2
    rows = []
    for wind in winds:
        angles = 35 + numpy.cumsum(random.uniform(2.0, 25.0, random.integers(1, 7)))
        steps = random.uniform(0.0, 2.5, len(angles)) * random.choice([-1.0, 0.0, 1.0], len(angles))
        readings = random.uniform(0, 8) + numpy.cumsum(steps)
        rows.append({"wind": float(wind), "angles": list(map(float, angles)), "readings": list(map(float, readings))})
    return rows


def main():
    random = numpy.random.default_rng(SEED)
    tables = []
    for number in range(TABLES):
        rows = random_rows(random, 2 + number % 6)
        winds = numpy.concatenate([[row["wind"] for row in rows],
                                   random.uniform(rows[0]["wind"], rows[-1]["wind"], PROBES)])
        angles = random.uniform(30, 170, len(winds))
        probes = [[float(w), float(a), at(rows, w, a)] for w, a in zip(winds, angles)]
        tables.append({"rows": rows, "probes": probes})
    out = {"scipy": scipy.__version__, "numpy": numpy.__version__, "seed": SEED}
    lines = ",\n".join("  " + json.dumps(table) for table in tables)
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text("{" + json.dumps(out)[1:-1] + ', "tables": [\n' + lines + "\n]}\n", encoding="utf-8")


main()
