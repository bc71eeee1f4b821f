#!/usr/bin/env python3
"""Writes moist_air.json: densities of moist air for tests/truth/air.rs, from a real-gas equation of state.

Needs CoolProp (pip install coolprop); run it as `python3 tests/reference/moist_air.py`. Its version stands in the file.
HAPropsSI's Vha is the volume of the mixture for a kilogram of it.
"""

import json
import pathlib

import CoolProp
from CoolProp.HumidAirProp import HAPropsSI

TEMPERATURES_C = [-20, -10, -2, 3, 10, 15, 20, 27, 35, 42, 50]
PRESSURES_HPA = [850, 950, 1013.25, 1040, 1100]
HUMIDITIES_PERCENT = [0, 30, 65, 100]


def density(celsius, hectopascal, percent):
    return 1 / HAPropsSI("Vha", "T", celsius + 273.15, "P", hectopascal * 100, "R", percent / 100)


def main():
    rows = [
        [celsius, hectopascal, percent, density(celsius, hectopascal, percent)]
        for celsius in TEMPERATURES_C
        for hectopascal in PRESSURES_HPA
        for percent in HUMIDITIES_PERCENT
    ]
    lines = ",\n".join("  " + json.dumps(row) for row in rows)
    head = f'{{"coolprop": "{CoolProp.__version__}", "columns": ["celsius", "hectopascal", "percent", "kg_m3"], "rows": ['
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text(head + "\n" + lines + "\n]}\n", encoding="utf-8")


main()
