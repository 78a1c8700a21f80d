"""Adds a farm's figures up again from the totals of its fields.

    python farm.py PLANS FARM_FILE

Every figure of farm.json and farm.csv must be the sum of its fields' printed ones, converted where a
field is in other units (NIST Handbook 44), those of the order too; where the farm's prices stand in
for a field's, its costs must come from them by the farm's units; and every inputs.json must hold the
SHA-256 of the files that it names. One line a check; the exit code is 1 when any fails.
"""

import csv
import hashlib
import json
import math
import sys
import tomllib
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from xml.etree import ElementTree

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


def root_of_squares(ranges, planned):
    """Ranges of independent errors together: half-widths by the root of the sum of their squares."""
    middle = sum(float(low + high) for low, high in ranges) / 2
    half = math.sqrt(sum((float(high - low) / 2) ** 2 for low, high in ranges))
    return min(middle - half, float(planned)), max(middle + half, float(planned))


def field_order(report, order, stated, own, units):
    """A field's order in farm.json against its totals.json; gives it back in the farm's units."""
    other = own != units
    name, mass = NAMES[own][1], NAMES[units][1]
    convert = (lambda value: value * UNITS[name] / UNITS[mass]) if other else (lambda value: value)
    tons = lambda value: two(convert(value)) if other else value  # noqa: E731
    need = {end: order[end] and tons(order[end][f"{name}_ordered"]) for end in ("low", "planned", "high")}
    payload = order[f"{name}_per_delivery"]
    payload = None if payload is None else round(convert(payload), 4)
    loads, hours = order["loads"] or {}, order["hours"] or {}
    expected = {
        f"{mass}_ordered": need["planned"], f"{mass}_ordered_low": need["low"], f"{mass}_ordered_high": need["high"],
        f"{mass}_per_delivery": payload, "trucks": order["planned"]["trucks"], "loads": loads.get("count"),
        "hours_least": hours.get("least"), "hours_most": hours.get("most"),
    }  # fmt: skip
    off = [key for key, value in expected.items() if stated[key] != value]
    money, costs = order["money"], stated["money"]
    for kind in ("variable", "flat") if money else ():
        off += [f"{kind} {part}" for part in ("product", "spreading", "total") if money[kind][part] != costs[kind][part]]
    report.check("order is that of its totals.json", not off, " ".join(off))
    planned = order["planned"]
    parts = {key: tons(planned[f"{name}_{key}"]) for key in ("spread", "lost")}
    return {**expected, **parts, "least_margin": order["least_margin_percent"]}, money


def shared_prices(report, farm, totals):
    """What the farm's prices make of a field that has none: by the farm's units, not by the field's."""
    prices, order, own = farm["prices"], totals["order"], totals["units"]
    area_name, mass_name = NAMES[own]
    mass, area = order["planned"][f"{mass_name}_ordered"] * UNITS[mass_name], totals["total"][area_name] * UNITS[area_name]
    # The printed mass and area are rounded to 0.01 of their unit.
    each, acre = (TON, ACRE) if farm.get("units", "us") == "us" else (TONNE, HECTARE)
    for part, price, amount, unit, rounding in (
        ("product", prices["product"], mass, each, UNITS[mass_name]),
        ("spreading", prices["spreading"], area, acre, UNITS[area_name]),
    ):
        price, cost = Decimal(str(price)), order["money"]["variable"][part]
        slack = price * Decimal("0.005") * rounding / unit + Decimal("0.01")
        report.check(f"{part} by the farm's price", abs(cost - price * amount / unit) <= slack, f"{cost}")


def farm_order(report, stated, orders, fields, units):
    """The farm's order from those of its fields, as `field_order` gives them."""
    mass = NAMES[units][1]
    if not orders:
        return report.check("no order where no field has one", stated is None)
    each = [order for order, _ in orders]
    total = sum(order[f"{mass}_ordered"] for order in each)
    found = stated["fields"], stated[f"{mass}_ordered"]
    report.check("ordered is the sum", found == (len(orders), total), f"{total} of {len(orders)} of {fields} fields")
    # One spreader strays on all fields alike, and so does one product: the ends are added.
    for name in (f"{mass}_ordered_low", f"{mass}_ordered_high"):
        ends = [order[name] for order in each]
        end = None if None in ends else sum(ends)
        report.check(f"{name} is the sum", stated[name] == end, f"{end}")
    loaded = [order for order in each if order["trucks"] is not None]
    payloads = {order[f"{mass}_per_delivery"] for order in each}
    by_field = sum(order["trucks"] for order in loaded)
    expected = None
    if loaded:
        payload = payloads.pop() if len(payloads) == 1 else None
        trucks, less = by_field, None
        if payload:
            trucks = math.ceil(total / payload)
            spread, lost = (sum(order[key] for order in each) for key in ("spread", "lost"))
            left = (trucks - 1) * payload * (1 - lost / total) - spread
            least = {order["least_margin"] for order in each}
            taken = trucks > 1 and len(least) == 1 and None not in least and left >= least.pop() * spread / 100
            less = {"trucks": trucks - 1, f"{mass}_margin": two(left), "taken": taken}
            trucks -= taken
        brought = trucks * payload if payload else sum(o["trucks"] * o[f"{mass}_per_delivery"] for o in loaded)
        expected = {
            "fields": len(loaded), f"{mass}_per_delivery": payload, "count": trucks,
            f"{mass}_delivered": two(brought), "count_by_field": by_field, "one_truck_less": less,
        }  # fmt: skip
    report.check("deliveries of all together", stated["deliveries"] == expected, f"{expected}")
    driven = [order for order in each if order["loads"] is not None]
    keys = ("loads", "hours_least", "hours_most")
    expected = {"fields": len(driven), **{key: sum(order[key] for order in driven) for key in keys}} if driven else None
    report.check("loads and hours are the sums", stated["spreading"] == expected, f"{expected}")
    priced = [money for _, money in orders if money]
    kinds = {
        kind: {part: sum(money[kind][part] for money in priced) for part in ("product", "spreading", "total")}
        for kind in ("variable", "flat")
    }
    over = kinds["variable"]["total"] - kinds["flat"]["total"]
    expected = {"fields": len(priced), **kinds, "variable_over_flat": over} if priced else None
    report.check("money is the sum", stated["money"] == expected, f"{kinds['variable']['total']} {over}")


def same_order(row, order, mass):
    """Whether a row of farm.csv has an order's figures."""
    order, money = order or {}, (order or {}).get("money") or {}
    expected = {key: order.get(key) for key in (f"{mass}_ordered", f"{mass}_ordered_low", f"{mass}_ordered_high")}
    expected |= {key: order.get(key) for key in ("loads", "hours_least", "hours_most")}
    expected["trucks"] = (order.get("deliveries") or {}).get("count")
    expected["cost"] = money.get("variable", {}).get("total")
    expected["flat_rate_cost"] = money.get("flat", {}).get("total")
    return all((Decimal(row[key]) if row[key] else None) == value for key, value in expected.items())


def page_rows(path):
    """The figures of the first table of a page, row by row without the headings."""
    name = "{http://www.w3.org/1999/xhtml}"
    table = ElementTree.parse(path).find(f".//{name}table")
    rows = [["".join(cell.itertext()) for cell in row.iter(f"{name}td")] for row in table.iter(f"{name}tr")]
    return [row for row in rows if row]


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
    sums, ranges, orders = {}, [], []
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
        ranges.append((expected[f"{mass}_low"], expected[f"{mass}_high"]))
        if totals["order"]:
            report.job = field["job"]
            orders.append(field_order(report, totals["order"], field["order"], totals["units"], units))
            own_prices = "prices" in tomllib.loads((farm_file.parent / field["file"]).read_text(encoding="utf-8"))
            if "prices" in farm and not own_prices:
                shared_prices(report, farm, totals)
            report.job = farm["farm"]
        record = json.loads((folder / "inputs.json").read_text())
        wrong = [name for name, value in record["outputs"].items() if sha256(folder / name) != value]
        for entry in record["inputs"]:
            path = farm_file.parent / entry["file"]
            wrong += [entry["file"]] if sha256(path) != entry["sha256"] else []
            wrong += [ext for ext, value in entry["beside"].items() if sha256(path.with_suffix(f".{ext}")) != value]
        report.check(f"{field['job']}: inputs.json holds the files' SHA-256", not wrong, " ".join(wrong))
    farm_order(report, stated["order"], orders, len(stated["fields"]), units)
    ends = root_of_squares(ranges, sums[mass])
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
    written = [row for row in rows if row["level"] in ("field", "farm")]
    figures = [field["order"] and {**field["order"], "deliveries": {"count": field["order"]["trucks"]}} for field in stated["fields"]]
    whole = stated["order"]
    figures.append(whole and {**whole, **(whole["spreading"] or {})})
    off = [row["field"] or "farm" for row, order in zip(written, figures, strict=True) if not same_order(row, order, mass)]
    report.check("farm.csv has the same orders", not off, " ".join(off))
    shown = page_rows(plans / farm["farm"] / "farm.html")
    keys = (area, mass, f"{mass}_low", f"{mass}_high", f"flat_rate_{mass}")
    wanted = [[f"{figure[key]:.2f}" for key in keys] for figure in [*stated["fields"], stated["total"]]]
    report.check("farm.html shows the same", [row[: len(keys)] for row in shown] == wanted, f"{len(shown)} rows")
    trucks = [row[len(keys) + 1] for row in shown] if whole else []
    wanted = [str(order["deliveries"]["count"]) for order in figures] if whole else []
    report.check("farm.html shows the same trucks", trucks == wanted, " ".join(trucks))
    print(f"{report.passed} passed, {report.failed} failed")
    sys.exit(1 if report.failed else 0)


if __name__ == "__main__":
    main()
