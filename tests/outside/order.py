"""Adds up the orders and the soil reasons again with arithmetic of its own.

    python order.py PLANS FARM

From zones.geojson, the job and machine files, the weigh tests, the boundary and the laboratory's
table; of totals.json only the mean CEC and the piles' travel are taken as given (they are judged
elsewhere), everything else is held against it. One line a check; the exit code is 1 when any fails.
"""

import csv
import json
import math
import re
import sys
import tomllib
from pathlib import Path

import numpy as np
import shapely

from check import Report, geodesic_area
from inputs import Inputs, _table
from outputs import Outputs
from surface import Plane

FOOT, POUND = 0.3048, 0.45359237  # metres, kilograms, exactly
ACRE = 43_560 * FOOT**2
UNITS = {
    "ft": FOOT, "in": FOOT / 12, "mi": 5280 * FOOT, "m": 1, "cm": 0.01, "km": 1000,
    "ton": 2000 * POUND, "lb": POUND, "t": 1000, "kg": 1,
    "ft3": FOOT**3, "yd3": 27 * FOOT**3, "gal": 231 * (FOOT / 12) ** 3, "m3": 1, "l": 0.001,
    "lb/ft3": POUND / FOOT**3, "kg/m3": 1, "t/m3": 1000,
    "mph": 5280 * FOOT / 3600, "km/h": 1 / 3.6, "m/s": 1,
    "s": 1, "min": 60, "h": 3600, "%": 0.01,
    "ton/ac": 2000 * POUND / ACRE, "lb/ac": POUND / ACRE, "t/ha": 0.1, "kg/ha": 1e-4,
}  # fmt: skip
EQUIVALENTS = {"K": 782, "Mg": 240, "Ca": 400, "Na": 460}  # lb/ac in 1 meq/100 g (Clemson)
SODIC = 15  # percent of the CEC (Agriculture Handbook 60)
CENT = 0.0051  # half of the last of two decimals, and the binary rounding of that half


def si(text):
    number, unit = re.fullmatch(r"\s*([-+.\deE]+?)\s*([a-zA-Z%/0-9]*)\s*", text).groups()
    return float(number) * UNITS[unit]


class Job:
    """A job's order, with the defaults that docs/reference.md states."""

    def __init__(self, path):
        self.text = tomllib.loads(path.read_text(encoding="utf-8"))
        order, prices = self.text.get("order", {}), self.text.get("prices", {})
        self.machine = self.material = None
        if "spreader" in self.text:
            file = tomllib.loads((path.parent / self.text["spreader"]).read_text(encoding="utf-8"))
            self.machine, self.material = file["machine"], file["material"]
        self.asked = bool(order or prices or self.machine) or "order" in self.text
        known = {**{key: self.material[key] for key in ("purity", "moisture") if self.material}, **order}
        self.basis = order.get("basis", "as spread")
        self.factor = None
        if "purity" in known and "moisture" in known:
            self.factor = 1 / (si(known["purity"]) * (1 - si(known["moisture"])))
        self.loss, self.margin = si(order.get("loss", "0 %")), si(order.get("margin", "0 %"))
        self.delivery = si(order["delivery"]) if "delivery" in order else None
        self.first, self.share = order.get("first_loads", 1), si(order.get("first_load_share", "50 %"))
        self.turn, self.refill = si(order.get("turn", "30 s")), si(order.get("refill", "8 min"))
        self.prices = prices
        self.least_margin = si(order["least_margin"]) if "least_margin" in order else None
        self.road_speed = si(order["road_speed"]) if "road_speed" in order else None
        pair = lambda key: [si(end) for end in order[key]] if key in order else None  # noqa: E731
        self.loss_range, self.moisture_range = pair("loss_range"), pair("moisture_range")
        self.moisture = si(known["moisture"]) if "moisture" in known else None
        self.flat_rate = si(self.text["flat_rate"]) if "flat_rate" in self.text else None
        self.tests = []
        if "weigh_tests" in self.text:
            lines = (path.parent / self.text["weigh_tests"]).read_text(encoding="utf-8").splitlines()
            for row in csv.DictReader(line for line in lines if not line.startswith("#")):
                if (row["machine"], row["material"]) == (self.machine["name"], self.material["name"]):
                    self.tests.append(float(row["constant"]) * si(row["ticket"]) / si(row["controller"]))
        sodic = self.text.get("sodic", {})
        self.depth = si(sodic.get("depth", "6 in"))
        layer = {"bulk_density": f"{2_000_000 / 21_780} lb/ft3", "target": "15 %", **sodic}
        self.density, self.target = si(layer["bulk_density"]), 100 * si(layer["target"])

    def ordered(self, spread):
        return spread * (1 + self.margin) / (1 - self.loss)

    def taken(self, spread, loads):
        """What a field takes at the least and at the most, and what of it is spread; None if not known."""
        if not (len(self.tests) > 1 or self.loss_range or self.moisture_range):
            return None
        machine, n = 0.0, len(self.tests)
        if n > 1:
            scatter = np.std(self.tests, ddof=1) / np.mean(self.tests)
            machine = t_quantile(0.9, n - 1) * scatter * math.sqrt(1 / n + 1 / loads)
        ends = {}
        for name, sign, at in (("low", -1, 0), ("high", 1, 1)):
            off = lambda planned, ends: abs((1 - planned) / (1 - ends[at]) - 1)  # noqa: E731
            water = off(self.moisture, self.moisture_range) if self.moisture_range else 0
            lost = off(self.loss, self.loss_range) if self.loss_range else 0
            field = math.hypot(machine, water)
            whole = spread / (1 - self.loss) * (1 + sign * math.hypot(field, lost))
            ends[name] = spread * (1 + sign * field), whole
        return ends

    def density_loaded(self):
        if "bulk_density" in self.material:
            return si(self.material["bulk_density"])
        bucket = self.material["bucket_test"]
        return (si(bucket["full"]) - si(bucket["empty"])) / si(bucket["volume"])


def t_quantile(p, freedom):
    """Student's t by its density, added up in small steps, and halving."""
    density = lambda x: (1 + x * x / freedom) ** (-(freedom + 1) / 2)  # noqa: E731
    whole = math.exp(math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2)) / math.sqrt(freedom * math.pi)
    low, high = 0.0, 50.0
    for _ in range(60):
        middle = (low + high) / 2
        x = np.linspace(0, middle, 20_001)
        area = float(np.sum((density(x[1:]) + density(x[:-1])) / 2) * (x[1] - x[0])) * whole
        low, high = (middle, high) if 0.5 + area < p else (low, middle)
    return low


class Checks:
    def __init__(self, report, path, plans):
        self.report, self.job, self.inputs = report, Job(path), Inputs(path)
        self.outputs = Outputs(plans / self.inputs.name)
        # Money and tons as numbers: sums are compared to the printed half of a cent.
        self.totals = json.loads((self.outputs.folder / "totals.json").read_text(encoding="utf-8"))
        self.metric = self.totals["units"] == "metric"
        self.ton, self.tons = (1000, "tonnes") if self.metric else (2000 * POUND, "tons")
        self.areas = [geodesic_area(zone) for zone in self.outputs.zones]
        self.rates = [si(f"{p['rate']} {p['rate_unit']}") for p in self.outputs.properties]
        self.spread = sum(a * r for a, r in zip(self.areas, self.rates))
        # What is kept out is no part of the field that one rate would be spread on.
        self.field = sum(a for a, p in zip(self.areas, self.outputs.properties) if int(p["tier"]) > 0)
        self.covered = sum(a for a, r in zip(self.areas, self.rates) if r > 0)
        self.order, self.soil = self.totals["order"], self.totals["soil"]

    def near(self, name, printed, true, within=CENT, scale=0.0):
        within = within + scale * abs(true)
        self.report.check(name, abs(printed - true) <= within, f"{printed}, counted again {true:.4f}")

    def rates_are_product(self):
        """What the job writes, times the factor where it writes pure gypsum."""
        pure = self.job.basis == "pure gypsum"
        factor = self.job.factor if pure else 1.0
        for tier, given in zip(self.totals["tiers"], self.inputs.tiers):
            self.near(f"rate of tier {tier['tier']} is product as spread", tier["rate"], given.rate * factor, 6e-5)
            if self.job.factor:
                self.near("  its pure gypsum", tier["rate_pure"], tier["rate"] / self.job.factor, 1.1e-4)
        written = {float(p["rate"]) for p in self.outputs.properties if int(p["tier"]) > 0}
        stated = {tier["rate"] for tier in self.totals["tiers"]}
        self.report.check("zones.geojson has the rates of the tiers", written <= stated, f"{sorted(written)}")

    def need(self):
        spread = self.spread / self.ton
        needs = {"planned": (spread, self.job.ordered(spread), self.job.margin)}
        loads = (self.order["loads"] or {"count": 1})["count"]
        ends = self.job.taken(spread, max(loads, 1))
        for end in ("low", "high"):
            self.report.check(f"{end}: known", (self.order[end] is None) == (ends is None))
            if ends:
                needs[end] = *ends[end], 0
        for name, (spread, ordered, margin) in needs.items():
            need = self.order[name]
            # Rates in the files have four decimals, so tons may be off by a part in ten thousand.
            self.near(f"{name}: spread", need[f"{self.tons}_spread"], spread, scale=3e-4)
            self.near(f"{name}: ordered", need[f"{self.tons}_ordered"], ordered, scale=3e-4)
            parts = [need[f"{self.tons}_{part}"] for part in ("spread", "margin", "lost")]
            adds = round(100 * sum(parts)) == round(100 * need[f"{self.tons}_ordered"])
            self.report.check(f"{name}: printed parts add up", adds, f"{parts}")
            self.near(f"{name}: margin", parts[1], margin * spread, 2 * CENT, 1e-4)
            self.near(f"{name}: lost", parts[2], ordered - spread * (1 + margin), 2 * CENT, 3e-4)
            if self.job.delivery:
                payload = self.job.delivery / self.ton
                less = self.order["one_truck_less"]
                one_less = name == "planned" and less["taken"]
                trucks, least = need["trucks"] + one_less, need[f"{self.tons}_ordered"] - CENT
                fits = trucks * payload >= least and (trucks - 1) * payload < least + 2 * CENT
                self.report.check(f"{name}: trucks", fits, f"{trucks} of {payload:.2f}")
                if name == "planned":
                    left = less["trucks"] * payload * (1 - self.job.loss) - spread
                    self.near("one truck less leaves", less[f"{self.tons}_margin"], left, scale=1e-4)
                    enough = self.job.least_margin is not None and left >= self.job.least_margin * spread
                    told = less["trucks"] == trucks - 1 and less["taken"] == enough
                    self.report.check("one truck less is ordered where its margin is enough", told, f"{less}")

    def to_piles(self, trucks):
        """Each truck goes to the pile that lacks most then, of what all bring by the piles' shares."""
        piles = (self.outputs.totals.get("stockpile") or {}).get("piles", [])
        if not piles:
            return self.report.check("no pile, no truck to one", all(truck["pile"] is None for truck in trucks))
        tons = [float(pile[self.tons]) for pile in piles]
        brought = sum(float(truck[self.tons]) for truck in trucks)
        lacking = [brought * share / sum(tons) for share in tons]
        wrong = []
        for truck in trucks:
            at = int(truck["pile"]) - 1
            # Figures are rounded to 0.01.
            if lacking[at] < max(lacking) - 0.05:
                wrong.append(truck["delivery"])
            lacking[at] -= float(truck[self.tons])
        self.report.check("trucks go to the pile that lacks most", not wrong, f"{len(trucks)} trucks, {len(piles)} piles")

    def deliveries(self):
        trucks = self.order["deliveries"]
        if not self.job.delivery:
            self.report.check("no deliveries without a payload", trucks == [])
            return
        payload = self.job.delivery / self.ton
        numbers = [truck["delivery"] for truck in trucks] == list(range(1, self.order["planned"]["trucks"] + 1))
        full = all(abs(truck[self.tons] - payload) < CENT for truck in trucks)
        self.report.check("deliveries are listed, each a full truck", numbers and full, f"{len(trucks)}")
        self.to_piles(trucks)
        self.near("payload", self.order[f"{self.tons}_per_delivery"], payload, 1e-6)
        self.near("delivered", self.order[f"{self.tons}_delivered"], len(trucks) * payload)

    def loads(self):
        loads, machine = self.order["loads"], self.job.machine
        hopper, legal = si(machine["hopper_volume"]) * self.job.density_loaded(), si(machine["legal_load"])
        fill = min(hopper, legal)
        binds = "hopper" if hopper < legal else "legal weight"
        self.report.check("what limits a fill", loads["limited_by"] == binds, binds)
        self.near("a fill", loads[f"{self.tons}_fill"], fill / self.ton)
        self.near("a light load", loads["light_percent"], 100 * self.job.share)
        self.near("fills of the field", loads["fills"], self.spread / fill, CENT, 1e-4)
        light = min(self.job.first, math.ceil(self.spread / (fill * self.job.share)))
        count = light + math.ceil((self.spread - light * fill * self.job.share) / fill)
        found = loads["light_first"], loads["count"]
        self.report.check("loads, the light ones among them", found == (light, count), f"{found}")
        adds = round(sum(100 * zone["fills"] for zone in loads["zones"])) == round(100 * loads["fills"])
        self.report.check("printed fills of zones add up", adds, f"{loads['fills']}")
        worst = max(
            abs(zone["fills"] - area * rate / fill)
            for zone, area, rate in zip(loads["zones"], self.areas, self.rates)
        )
        self.report.check("fills of each zone", worst < 0.0102, f"worst {worst:.4f}")
        return count

    def hours(self, loads):
        hours, machine = self.order["hours"], self.job.machine
        swath = si(machine["swath"])
        passes = self.covered / swath
        field = Plane(self.inputs.boundary).geometry(self.inputs.boundary)
        parts = list(shapely.get_parts([field]))
        sides = [
            side
            for part in parts
            for ring in (part.exterior, *part.interiors)
            for side in np.diff(shapely.get_coordinates(ring), axis=0)
        ]
        east, north = max(sides, key=lambda side: math.hypot(*side))
        heading = self.job.text.get("zones", {}).get("heading", "longest")
        if heading != "longest":
            east, north = math.sin(math.radians(heading)), math.cos(math.radians(heading))
        length, turns = math.hypot(east, north), 0
        for part in parts:
            off = shapely.get_coordinates(part.exterior) @ np.array([north, -east]) / length
            turns += math.ceil(np.ptp(off) / swath - 1e-6) - 1
        self.report.check("turns", hours["turns"] == turns, f"{hours['turns']}")
        self.report.check("refills", hours["refills"] == loads, f"{hours['refills']}")
        piles, way = (self.totals["stockpile"] or {}).get("piles", []), None
        if piles:
            miles = sum(pile["loaded_travel"] for pile in piles)
            carried = sum(pile[self.tons] for pile in piles)
            way = 2 * loads * miles / carried * (1000 if self.metric else 5280 * FOOT)
            self.near("ways to the pile", hours["pile_way"], way / (1 if self.metric else FOOT), 0.5, 2e-4)
        self.report.check("ways to the pile where there is one", (hours["pile_way"] is None) == (way is None))
        slow, fast = map(si, machine["ground_speed"])
        for name, speed in (("least", fast), ("most", slow)):
            true = (passes / speed + turns * self.job.turn + loads * self.job.refill) / 3600
            if way is not None:
                true += way / (self.job.road_speed or speed) / 3600
            self.near(f"hours, the {name}", hours[name], true)

    def per_product(self):
        """The mass that the price of product is for."""
        return {"ton": 2000 * POUND, "tonne": 1000}.get(self.job.prices.get("product_per"), self.ton)

    def money(self):
        money, prices = self.order["money"], self.job.prices
        if not prices:
            self.report.check("no money without prices", money is None)
            return
        flat = self.totals["flat_rate"]
        rate, field = si(f"{flat['rate']} {flat['rate_unit']}"), self.field
        given = self.job.flat_rate
        if given is not None:
            given *= self.job.factor if self.job.basis == "pure gypsum" else 1
            self.near("the flat rate is the job's", rate, given, scale=1e-4)
        self.report.check("and said to be", flat["stated"] == (given is not None))
        even = si(f"{flat['even_rate']} {flat['rate_unit']}")
        self.near("the same tons evenly", even, self.spread / field, scale=1e-4)
        amounts = {
            "variable": (self.spread, self.covered),
            "flat": (rate * field, field if rate > 0 else 0),
            "even": (self.spread, field if self.spread > 0 else 0),
        }
        per = prices.get("spreading_per", "hectare" if self.metric else "acre")
        for name, (spread, area) in amounts.items():
            cost = money[name]
            count = {"acre": area / ACRE, "hectare": area / 1e4, "ton": spread / (2000 * POUND), "tonne": spread / 1000}
            # A part in ten thousand is again the rounding of written rates.
            product = prices.get("product", 0) * self.job.ordered(spread) / self.per_product()
            # Tons and acres are paid for as printed, to 0.01 of what the price is for.
            cents = CENT + CENT * prices.get("product", 0)
            self.near(f"{name}: product", cost["product"], product, cents, 1e-4)
            spreading = prices.get("spreading", 0) * count[per]
            cents = CENT + CENT * prices.get("spreading", 0)
            self.near(f"{name}: spreading", cost["spreading"], spreading, cents, 1e-4)
            if name == "variable" and self.per_product() == self.ton:
                printed = self.order["planned"][f"{self.tons}_ordered"] * prices.get("product", 0)
                self.near(f"{name}: product is printed tons x price", cost["product"], printed)
            adds = round(100 * (cost["product"] + cost["spreading"])) == round(100 * cost["total"])
            self.report.check(f"{name}: printed costs add up", adds, f"{cost['total']}")
        over = money["variable"]["total"] - money["flat"]["total"]
        self.near("variable over flat", money["variable_over_flat"], over, 1e-9)
        if self.job.delivery and "product" in prices:
            whole = prices["product"] * len(self.order["deliveries"]) * self.job.delivery / self.per_product()
            self.near("product as delivered", money["product_as_delivered"], whole, CENT + CENT * prices["product"])

    def reasons(self):
        """Saturation, sodium and magnesium from the laboratory's own figures (ppm)."""
        entry = self.job.text["laboratory"]
        path = self.inputs.job_file.parent / entry["file"]
        rows = {row[entry["id"]].strip(): row for row in _table(path)}
        wrong, sums = [], []
        for sample in self.soil["samples"]:
            row = rows[sample["sample"]]
            cec = float(row["CEC meq/100g"])
            meq = {element: 2 * float(row[f"{element} ppm"]) / each for element, each in EQUIVALENTS.items()}
            share = {element: 100 * amount / cec for element, amount in meq.items()}
            sums.append([share[element] for element in EQUIVALENTS])
            printed = sample["saturation_percent"]
            found = {element: printed[element.lower()] for element in EQUIVALENTS}
            # Apportioned to the printed sum, so each may be off by just under 0.1.
            if any(abs(found[e] - share[e]) > 0.1 for e in share):
                wrong.append(f"{sample['sample']} {found}")
            if abs(printed["bases"] - sum(share.values())) > 0.0501:
                wrong.append(f"{sample['sample']} bases {printed['bases']}")
            if round(10 * sum(found.values())) != round(10 * printed["bases"]):
                wrong.append(f"{sample['sample']} does not add up")
            if abs(sample["esp_percent"] - share["Na"]) > CENT:
                wrong.append(f"{sample['sample']} ESP {sample['esp_percent']}")
            others = meq["K"] + meq["Mg"] + meq["Ca"]
            short = meq["Mg"] <= 0.03 * others or meq["Mg"] <= meq["K"]
            if sample["magnesium_at_risk"] != (cec < 10 and short):
                wrong.append(f"{sample['sample']} magnesium")
            wrong += self.sodic(sample, cec, share["Na"])
        sodic = sum(sample["sodic_requirement"] is not None for sample in self.soil["samples"])
        figures = f"{len(self.soil['samples'])} samples, {sodic} sodic"
        self.report.check("soil reasons of each sample", not wrong, "; ".join(wrong[:3]) or figures)
        self.report.check("every sample with cations is there", len(self.soil["samples"]) == len(self.inputs.cec))
        mean, printed = np.mean(sums, axis=0), self.soil["mean_saturation_percent"]
        worst = max(abs(printed[e.lower()] - m) for e, m in zip(EQUIVALENTS, mean))
        self.report.check("mean saturation", worst < 0.1 and abs(printed["bases"] - mean.sum()) < 0.0501, f"{printed}")
        warned = any(warning["code"] == "sodic-soil" for warning in self.totals["warnings"])
        self.report.check("sodic soil is warned of, and only that", warned == (sodic > 0), f"{warned}")

    def sodic(self, sample, cec, esp):
        stated = sample["sodic_requirement"]
        if (stated is not None) != (esp > SODIC):
            return [f"{sample['sample']} sodic at {esp:.2f} %"]
        if stated is None:
            return []
        wrong = []
        for name, factor in (("least", 1.1), ("most", 1.3)):
            soil = self.job.depth * self.job.density / 1000
            tonnes_a_hectare = 8.6 * factor * soil * cec * (esp - self.job.target) / 100
            true = tonnes_a_hectare * UNITS["t/ha"] / UNITS[stated["rate_unit"]]
            if abs(stated[name] - true) > 6e-5:
                wrong.append(f"{sample['sample']} {name} {stated[name]}, counted again {true:.4f}")
        return wrong

    def all(self):
        self.report.check("an order stands where the job asks for one", (self.order is not None) == self.job.asked)
        if self.order:
            self.rates_are_product()
            self.need()
            self.deliveries()
            if self.job.machine:
                self.hours(self.loads())
            self.money()
        if self.soil and "laboratory" in self.job.text:
            self.reasons()


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    plans, farm = map(Path, sys.argv[1:])
    report = Report()
    for path in (path for path in sorted(farm.glob("*.toml")) if path.name != "farm.toml"):
        report.job = path.stem
        try:
            Checks(report, path, plans).all()
        except Exception as error:  # what cannot even be read is one failure, not the end
            report.check("could be checked to the end", False, f"{type(error).__name__}: {error}")
    report.check("there was something to check", report.passed > 0)
    print(f"{report.passed} passed, {report.failed} failed")
    sys.exit(1 if report.failed else 0)


if __name__ == "__main__":
    main()
