"""Adds a farm's figures up again from the totals of its fields.

    python farm.py PLANS FARM_FILE

Every figure of farm.json and farm.csv must be the sum of its fields' printed ones, converted where a
field is in other units (NIST Handbook 44), and every inputs.json must hold the SHA-256 of the files
that it names. One line a check; the exit code is 1 when any fails.
"""

import csv
import hashlib
import json
import math
import sys
import tomllib
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from check import Report

TON, TONNE = Decimal("907.18474"), Decimal(1000)
ACRE, HECTARE = Decimal("4046.8564224"), Decimal(10_000)
NAMES = {"us": ("acres", "tons"), "metric": ("hectares", "tonnes")}
UNITS = {"acres": ACRE, "hectares": HECTARE, "tons": TON, "tonnes": TONNE}


def two(value):
    return Decimal(value).quantize(Decimal("0.01"), ROUND_HALF_UP)


def figure(totals, kind, of, units):
    """A printed figure of a field in the farm's units; `kind` is 0 for an area, 1 for a mass."""
    own, wanted = NAMES[totals["units"]][kind], NAMES[units][kind]
    value = of(own)
    return value if own == wanted else two(value * UNITS[own] / UNITS[wanted])


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    plans, farm_file = map(Path, sys.argv[1:])
    report = Report()
    farm = tomllib.loads(farm_file.read_text(encoding="utf-8"))
    report.job = farm["farm"]
    stated = json.loads((plans / farm["farm"] / "farm.json").read_text(), parse_float=Decimal, parse_int=Decimal)
    units = stated["units"]
    area, mass = NAMES[units]
    order = [Path(job).stem for job in farm["jobs"]]
    report.check("fields in the order of the farm file", [f["job"] for f in stated["fields"]] == order, " ".join(order))
    sums, ranges = {}, []
    for field in stated["fields"]:
        folder = plans / field["job"]
        totals = json.loads((folder / "totals.json").read_text(), parse_float=Decimal, parse_int=Decimal)
        certainty, own = totals["certainty"], NAMES[totals["units"]][1]
        expected = {
            area: figure(totals, 0, lambda name: totals["total"][name], units),
            mass: figure(totals, 1, lambda name: totals["total"][name], units),
            f"{mass}_low": figure(totals, 1, lambda _: certainty[f"{own}_low"], units),
            f"{mass}_high": figure(totals, 1, lambda _: certainty[f"{own}_high"], units),
            f"flat_rate_{mass}": figure(totals, 1, lambda name: totals["flat_rate"][name], units),
        }
        off = [name for name, value in expected.items() if field[name] != value]
        report.check(f"{field['job']}: figures are those of its totals.json", not off, " ".join(off))
        # Converted tiers are apportioned to the field's converted total: a last digit off at most.
        slack = 0 if totals["units"] == units else Decimal("0.01")
        parts = [figure(totals, 1, lambda name, t=tier: t[name], units) for tier in totals["tiers"]]
        off = [t[mass] - part for t, part in zip(field["tiers"], parts) if abs(t[mass] - part) > slack]
        report.check(f"{field['job']}: tiers likewise", not off, " ".join(map(str, off)))
        whole = sum(tier[mass] for tier in field["tiers"])
        report.check(f"{field['job']}: tiers add up", whole == field[mass], f"{whole}")
        for name, value in expected.items():
            sums[name] = sums.get(name, 0) + value
        ranges.append((float(expected[f"{mass}_low"]), float(expected[f"{mass}_high"])))
        record = json.loads((folder / "inputs.json").read_text())
        wrong = [name for name, value in record["outputs"].items() if sha256(folder / name) != value]
        for entry in record["inputs"]:
            path = farm_file.parent / entry["file"]
            wrong += [entry["file"]] if sha256(path) != entry["sha256"] else []
            wrong += [ext for ext, value in entry["beside"].items() if sha256(path.with_suffix(f".{ext}")) != value]
        report.check(f"{field['job']}: inputs.json holds the files' SHA-256", not wrong, " ".join(wrong))
    middle = sum(low + high for low, high in ranges) / 2
    half = math.sqrt(sum(((high - low) / 2) ** 2 for low, high in ranges))
    planned = float(sums[mass])
    ends = min(middle - half, planned), max(middle + half, planned)
    for name, end in zip((f"{mass}_low", f"{mass}_high"), ends):
        value = float(stated["total"][name])
        report.check(f"farm {name} by independent errors", abs(value - end) <= 0.005 + 1e-9, f"{value} for {end:.4f}")
    for name in (area, mass, f"flat_rate_{mass}"):
        value = stated["total"][name]
        report.check(f"farm {name} is the sum", value == sums[name], f"{value}")
    tiers = sum(tier[mass] for tier in stated["tiers"])
    report.check("farm tiers add up", tiers == sums[mass], f"{tiers}")
    rows = list(csv.DictReader((plans / farm["farm"] / "farm.csv").open(newline="")))
    same = [Decimal(row[mass]) for row in rows if row["level"] == "field"] == [f[mass] for f in stated["fields"]]
    report.check("farm.csv has the same fields", same, f"{len(rows)} rows")
    print(f"{report.passed} passed, {report.failed} failed")
    sys.exit(1 if report.failed else 0)


if __name__ == "__main__":
    main()
