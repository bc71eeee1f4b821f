"""Winds to read a card at with part of the crew below, by SciPy's curves and root finder; writes crew_below.json beside it.

Nothing here is a formula for the answer. The wind in which today's crew reaches the limit is the root of
H(w) = RM_now(limit); the wind to read at is the root of A(w') = k·A(w). Run: python3 tests/reference/crew_below.py
"""

import json
import math
import pathlib

import numpy
import scipy
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

G = 9.80665
TIGHT = {"xtol": 1e-13, "rtol": 8.9e-16}

# Boats, crews and rows of our own invention: metres, kilograms, degrees, knots.
BOATS = [
    {"displacement": 6400.0, "gz": [[0, 0.0], [10, 0.215], [20, 0.41], [30, 0.57], [40, 0.68]],
     "aboard": 8, "mass": 82.0, "rail": [1.65, 0.9], "bunks": [1.1, 0.1], "limit": 18.0},
    {"displacement": 3100.0, "gz": [[0, 0.0], [15, 0.24], [25, 0.38], [45, 0.5]],
     "aboard": 6, "mass": 75.0, "rail": [1.4, 0.7], "bunks": [0.7, -0.1], "limit": 20.0},
]
ROWS = [
    {"heel": [[6, 9.0], [10, 15.0], [14, 21.0], [18, 24.0]], "speed": [[6, 5.2], [10, 6.3], [18, 6.9]],
     "angle": 42.0, "limited_from": None},
    {"heel": [[7, 8.0], [12, 19.0], [16, 25.0]], "speed": [[7, 5.0], [12, 6.1], [16, 6.4]],
     "angle": 38.0, "limited_from": 11.0},
    {"heel": [], "speed": [[6, 5.0], [12, 6.4], [20, 7.0]], "angle": 44.0, "limited_from": 12.5},
]
SIDE = {"windward": 1.0, "centre": 0.0, "leeward": -1.0}


def curve(points):
    """SciPy's shape-preserving curve, held at its ends."""
    xs, ys = [float(x) for x, _ in points], [float(y) for _, y in points]
    line = PchipInterpolator(xs, ys)
    return lambda x: float(line(min(max(x, xs[0]), xs[-1])))


def moment(boat, heel, groups):
    phi = math.radians(heel)
    crew = sum(n * boat["mass"] * G * (y * math.cos(phi) - z * math.sin(phi)) for n, y, z in groups)
    return boat["displacement"] * G * curve(boat["gz"])(heel) + crew


def apparent(wind, speed, angle):
    theta = math.radians(angle)
    return abs(complex(wind * math.cos(theta) + speed, wind * math.sin(theta)))


def heels(row, limit):
    """Heel over wind and the lightest wind it is known in, with the wind of the limit as a known one."""
    known = [list(point) for point in row["heel"]]
    start = row["limited_from"]
    if start is not None and (not known or start < known[0][0] or curve(known)(start) < limit):
        known = sorted(known + [[start, limit]])
    if len(known) == 1:
        return (lambda wind: float(known[0][1])), known[0][0]
    line = curve(known)
    return (lambda wind: max(line(wind), limit) if start is not None and wind >= start else line(wind)), known[0][0]


def cases():
    for boat in BOATS:
        for row in ROWS:
            heel, lightest = heels(row, boat["limit"])
            speed = curve(row["speed"])
            acting = lambda wind: apparent(wind, speed(wind), row["angle"])
            rail = [boat["aboard"], *boat["rail"]]

            def heeling(wind):
                if wind >= lightest:
                    return moment(boat, heel(wind), [rail])
                full_sail = (acting(wind) / acting(lightest)) ** 2
                return moment(boat, heel(lightest), [rail]) * full_sail

            for below, bunks in [(2, "windward"), (4, "windward"), (4, "centre"), (3, "leeward"), (5, "leeward")]:
                out, up = boat["bunks"]
                now = [[boat["aboard"] - below, *boat["rail"]], [below, SIDE[bunks] * out, up]]
                held = moment(boat, boat["limit"], now)
                reaches = lambda wind: heeling(wind) - held
                low = 2.0 if row["limited_from"] is not None and lightest == row["limited_from"] else float(lightest)
                starts_at = brentq(reaches, low, 20.0, **TIGHT) if reaches(low) < 0 < reaches(20.0) else None
                found = []
                for wind in [low + 0.37 * step for step in range(1, 40)]:
                    at = max(boat["limit"], heel(wind))
                    ratio = heeling(wind) / moment(boat, at, now)
                    k = math.sqrt(max(ratio, 1.0))
                    felt = acting(wind) * k
                    apart = lambda other: apparent(other, speed(wind), row["angle"]) - felt
                    found.append([wind, wind if k == 1.0 else brentq(apart, wind, 4 * wind + 10, **TIGHT)])
                yield {"boat": boat, "row": row, "below": below, "bunks": bunks, "starts_at": starts_at, "read_at": found}


made = list(cases())
told = {"made_by": f"SciPy {scipy.__version__}, NumPy {numpy.__version__}", "cases": made}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(told, separators=(",", ":")) + "\n")
