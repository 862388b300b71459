#!/usr/bin/env python3
"""The virtual vessel's batch file, with what a brewer would add: where each stage ends, and what goes into the boil.

usage: brew_day.py PLANNED      the file that gyle-vessel wrote; the other one goes to standard output
"""
import re
import sys

ADDITIONS = """additions = [
    { what = "bittering hops, 25 g", before_end = "60min" },
    { what = "finings", before_end = "15min" },
    { what = "aroma hops, 20 g", before_end = "5min" },
]
"""
MINUTES = {"mash": "60min", "mash_out": "10min", "boil": "60min"}
BY_TEMPERATURE = {"strike": -0.5, "chill": 0.5, "crash": 0.5}  # so near the middle of its band a stage has reached it, degC
OTHERWISE = {"ferment": "terminal_gravity", "carbonate": "carbonated"}

kind = ""
for line in open(sys.argv[1], encoding="utf-8"):
    sys.stdout.write(line)
    if found := re.match(r'kind = "(\w+)"', line):
        kind = found[1]
    if not (found := re.match(r"temperature_c = \[([-\d.]+), ([-\d.]+)\]", line)):
        continue
    middle = (float(found[1]) + float(found[2])) / 2
    if kind in MINUTES:
        print(f'end = {{ when = "time_in_band", duration = "{MINUTES[kind]}" }}')
    if kind == "boil":
        sys.stdout.write(ADDITIONS)
    if kind in BY_TEMPERATURE:
        print(f'end = {{ when = "temperature_reached", temperature_c = {middle + BY_TEMPERATURE[kind]:.1f} }}')
    if kind in OTHERWISE:
        print(f'end = {{ when = "{OTHERWISE[kind]}" }}')
