"""Makes an invented season: weigh tickets of three fields, and what the controller logged on one.

    python make.py PLANS

PLANS is where the demo farm was planned, such as ../../plans. Needs nothing but Python. The
controller of this season thinks that it spreads 4 % less than it does, so its constant is wrong by
as much; its log has the rate that it believed, with some noise, and a new rate comes one point late.
"""

import csv
import json
import math
import random
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
SEED = 2026
BIAS = 1.04  # what falls for each ton that the controller counts
PASS, STEP, SPEED = 18.288, 12.5, 3.1  # metres between passes and logged points, metres a second
DAYS = {"home-lane": "2026-04-14", "pond-quarter": "2026-04-16", "creek-bottom": "2026-04-17"}
TONNE = 1000 / (2000 * 0.45359237)


def main():
    plans = Path(sys.argv[1])
    chance = random.Random(SEED)
    with (HERE / "tickets.csv").open("w", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["date", "field", "ticket", "tons"])
        number = 40118
        for field, day in DAYS.items():
            for load in loads(planned(plans / field) * BIAS, chance):
                number += chance.randint(1, 3)
                writer.writerow([day, field, number, f"{load:.2f}"])
    with (HERE / "pond-quarter-applied.csv").open("w", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["time", "longitude", "latitude", "rate (ton/ac)"])
        writer.writerows(logged(plans / "pond-quarter", chance))


def planned(folder):
    """Tons of a plan."""
    total = json.loads((folder / "totals.json").read_text())["total"]
    return total["tons"] if "tons" in total else total["tonnes"] * TONNE


def loads(tons, chance):
    """Full loads of some 10.5 tons; the last one brings the rest and a little more, which is left."""
    while tons > 10.5:
        load = round(chance.gauss(10.4, 0.15), 2)
        tons -= load
        yield load
    yield round(tons + 1.2, 2)


def logged(folder, chance):
    """Points along passes from south to north, turn and turn about."""
    zones = json.loads((folder / "zones.geojson").read_text())["features"]
    zones = [(zone["geometry"]["coordinates"], zone["properties"]["rate"]) for zone in zones]
    places = [place for rings, _ in zones for place in rings[0]]
    (west, east), (south, north) = [(min(axis), max(axis)) for axis in zip(*places)]
    to_north, to_east = 1 / 111_050, 1 / (111_320 * math.cos(math.radians(south)))
    second, before = 0.0, None
    for number in range(int((east - west) / to_east / PASS) + 1):
        longitude = west + (number + 0.5) * PASS * to_east
        steps = range(int((north - south) / to_north / STEP) + 1)
        for step in steps if number % 2 == 0 else reversed(steps):
            latitude = south + (step + 0.5) * STEP * to_north
            second += STEP / SPEED
            target = next((rate for rings, rate in zones if inside((longitude, latitude), rings)), None)
            spread, before = before or target, target
            if target is None:
                continue
            clock = f"{8 + int(second) // 3600:02}:{int(second) // 60 % 60:02}:{int(second) % 60:02}"
            yield clock, f"{longitude:.7f}", f"{latitude:.7f}", f"{spread * chance.gauss(1, 0.03):.3f}"


def inside(at, rings):
    crossed = False
    for ring in rings:
        for (x0, y0), (x1, y1) in zip(ring, ring[1:]):
            if (y0 > at[1]) != (y1 > at[1]) and at[0] < x0 + (at[1] - y0) / (y1 - y0) * (x1 - x0):
                crossed = not crossed
    return crossed


if __name__ == "__main__":
    main()
