#!/usr/bin/env python3
"""Writes tweaker_block.json: where SciPy finds the shortest sheet over a block held by a tweaker.

Needs numpy and scipy; run it as `python3 tests/reference/tweaker_block.py`. The versions and the seed stand in the file.
The block is sought on the whole sphere about the eye, by two angles, from many starts: nothing is taken for granted
about the plane it lies in. Whether the tweaker is slack is found by a search along the straight sheet.
"""

import json
import pathlib

import numpy
import scipy
from scipy.optimize import minimize, minimize_scalar

SEED = 20270411
CASES = 60


def sphere(eye, length, angles):
    azimuth, height = angles
    return eye + length * numpy.array(
        [numpy.cos(height) * numpy.cos(azimuth), numpy.cos(height) * numpy.sin(azimuth), numpy.sin(height)]
    )


def sheet_length(clew, outboard, block):
    return numpy.linalg.norm(clew - block) + numpy.linalg.norm(block - outboard)


def nearest(clew, outboard, eye):
    found = minimize_scalar(
        lambda part: numpy.linalg.norm(clew + part * (outboard - clew) - eye),
        bounds=(0, 1), method="bounded", options={"xatol": 1e-12},
    )
    return min(found.fun, numpy.linalg.norm(clew - eye), numpy.linalg.norm(outboard - eye))


def shortest(clew, outboard, eye, length):
    best = None
    for azimuth in numpy.linspace(0, 2 * numpy.pi, 7)[:-1]:
        for height in (-1.0, 0.2, 1.0):
            found = minimize(
                lambda angles: sheet_length(clew, outboard, sphere(eye, length, angles)),
                [azimuth, height], method="Nelder-Mead",
                options={"xatol": 1e-11, "fatol": 1e-11, "maxiter": 4000, "maxfev": 4000},
            )
            if best is None or found.fun < best.fun:
                best = found
    return sphere(eye, length, best.x), best.fun


def case(random):
    """In millimetres: a clew over the side deck, a block on the quarter, an eye near the rail below the clew."""
    clew = numpy.array([random.uniform(5000, 6500), random.uniform(1000, 2200), random.uniform(1900, 3200)])
    outboard = numpy.array([random.uniform(8500, 10800), random.uniform(1200, 1900), random.uniform(1000, 1250)])
    eye = numpy.array([random.uniform(5200, 7600), random.uniform(900, 1900), random.uniform(950, 1200)])
    slack_from = nearest(clew, outboard, eye)
    length = slack_from * random.uniform(0.15, 1.15)
    row = {"clew": clew.tolist(), "outboard": outboard.tolist(), "eye": eye.tolist(),
           "length": float(length), "slack_from": float(slack_from)}
    if length < slack_from:
        block, sheet = shortest(clew, outboard, eye, length)
        row |= {"block": block.tolist(), "sheet": float(sheet)}
    return row


def main():
    random = numpy.random.default_rng(SEED)
    head = {"scipy": scipy.__version__, "numpy": numpy.__version__, "seed": SEED}
    lines = ",\n".join("  " + json.dumps(case(random)) for _ in range(CASES))
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text("{" + json.dumps(head)[1:-1] + ', "cases": [\n' + lines + "\n]}\n", encoding="utf-8")


main()
