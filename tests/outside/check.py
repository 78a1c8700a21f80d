"""Checks landplaster's plans of the demo farm with programs that share none of its code.

    python check.py PLANS DEMO_FARM

GEOS (shapely), GDAL (pyogrio), PROJ (pyproj), GeographicLib and a brute-force inverse distance in
numpy. One line a check and field; the exit code is 1 when any fails.
"""

import re
import sys
from decimal import Decimal
from pathlib import Path

import numpy as np
import pyproj
import shapely
from geographiclib.geodesic import Geodesic

from drivable import faults
from inputs import Inputs
from outputs import Outputs, decimals, signed_area
from surface import Plane, Surface

ACRE = 4046.8564224  # international acre in square metres
HECTARE = 10_000.0
ROUNDING = 1e-8  # degrees: the outputs hold positions to eight decimals, about a millimetre
REACH = 0.25  # metres: how near to a crossing of the break each border vertex must lie
CLEAR = 1.0  # metres: points nearer than this to a zone border are not judged
LATTICE = 3.048  # metres: the default lattice of 10 ft, which may pass by anything thinner
THIN_SHARE = 1e-3  # of the points may lie in such thin features
POINTS = 20_000


class Report:
    """Prints one line a check and remembers failures."""

    def __init__(self):
        self.passed, self.failed, self.job = 0, 0, ""

    def check(self, name, holds, figures=""):
        self.passed, self.failed = self.passed + bool(holds), self.failed + (not holds)
        print(f"{'ok  ' if holds else 'FAIL'} {self.job}: {name}{': ' if figures else ''}{figures}")


def geodesic_area(polygon):
    """Square metres on the WGS84 ellipsoid, holes taken off."""
    rings = [abs(_ring_area(ring)) for ring in (polygon.exterior, *polygon.interiors)]
    return rings[0] - sum(rings[1:])


def _ring_area(ring):
    shape = Geodesic.WGS84.Polygon()
    for longitude, latitude in shapely.get_coordinates(ring)[:-1]:
        shape.AddPoint(latitude, longitude)
    return shape.Compute(False, True)[2]


def check_contract(report, inputs, outputs, words):
    """Names, order, winding and decimals of the GeoJSON."""
    area, mass = words["area"], words["mass"]
    names = ["zone", "tier", "label", "rate", "rate_unit", area, mass, "cec_mean"]
    found = {tuple(properties) for properties in outputs.properties}
    report.check("geojson properties and their order", found == {tuple(names)}, " ".join(min(found)))
    numbers = [int(p["zone"]) for p in outputs.properties]
    report.check("zones are numbered 1..n", numbers == list(range(1, len(numbers) + 1)), f"n = {len(numbers)}")
    kinds = {f["geometry"]["type"] for f in outputs.features}
    report.check("every geojson zone is one Polygon", kinds == {"Polygon"}, " ".join(sorted(kinds)))
    turned = sum(
        (signed_area(ring) > 0) != (i == 0) for rings in outputs.rings for i, ring in enumerate(rings)
    )
    open_rings = sum((ring[0] != ring[-1]).any() for rings in outputs.rings for ring in rings)
    report.check(
        "geojson exteriors counter-clockwise, holes clockwise, rings closed",
        turned == 0 and open_rings == 0,
        f"{sum(map(len, outputs.rings))} rings, {turned} turned, {open_rings} open",
    )
    most = outputs.most_decimals()
    report.check("geojson positions have at most 8 decimals", most <= 8, f"{most}")
    wanted = ["job", "units", "zones", "tiers", "total", "surface", "coordinates", "warnings", "cautions"]
    absent = [key for key in wanted if key not in outputs.totals]
    report.check("totals.json has the keys of the contract", not absent, " ".join(absent) or "all there")
    stated = outputs.totals.get("job"), outputs.totals.get("units")
    report.check("totals.json names job and units", stated == (inputs.name, words["units"]), f"{stated}")


def check_tiling(report, inputs, outputs, plane):
    """The zones tile the field, or what is left of it where what is kept out is left out."""
    zones, field = outputs.zones, inputs.boundary
    reasons = [shapely.is_valid_reason(z) for z in zones if not z.is_valid]
    report.check("every zone polygon is valid", not reasons, "; ".join(reasons[:3]) or f"{len(zones)} zones")
    report.check("GEOS coverage_is_valid", bool(shapely.coverage_is_valid(zones)))
    parts = [part for part in shapely.get_parts([field]) if part.geom_type == "Polygon"]
    whole = sum(geodesic_area(part) for part in parts)
    tiled = sum(geodesic_area(zone) for zone in zones)
    flat_field = plane.geometry(field)
    # Round ends may be drawn 5 mm too wide.
    slack = 0.0
    if not any(int(p["tier"]) == 0 for p in outputs.properties):
        kept_out = shapely.intersection(inputs.kept_out(plane), flat_field)
        whole -= kept_out.area
        flat_field = shapely.difference(flat_field, kept_out)
        slack = 6e-3 * kept_out.length
    off = tiled / whole - 1
    told = f"{whole:.1f} m2, ratio - 1 = {off:.2e}"
    report.check("zone areas add up to the field's", abs(tiled - whole) < 1e-6 * whole + slack, told)
    flat_union = shapely.union_all(plane.geometry(zones))
    apart = shapely.symmetric_difference(flat_field, flat_union).area
    # A border moved by the rounding of positions sweeps its length times a millimetre.
    allowed = 1e-3 * flat_field.length + slack
    report.check("union of zones is the field", apart < allowed, f"{apart:.3f} m2 apart, {allowed:.3f} allowed")
    tiers = [int(p["tier"]) for p in outputs.properties]
    tree, joined = shapely.STRtree(zones), []
    for a, b in zip(*tree.query(zones, predicate="intersects")):
        # Kept-out ground (tier 0) is parted by its cause.
        if a < b and 0 < tiers[a] == tiers[b] and shapely.intersection(zones[a], zones[b]).length > 0:
            joined.append(f"{a + 1} and {b + 1}")
    report.check("no two zones of a tier share a border", not joined, "; ".join(joined))


def check_rates(report, inputs, outputs):
    """Each zone has the rate, unit and label that the job gives its tier."""
    wrong = []
    for p in outputs.properties:
        if int(p["tier"]) == 0:
            if float(p["rate"]) != 0 or not p["label"]:
                wrong.append(str(p["zone"]))
            continue
        tier = inputs.tiers[int(p["tier"]) - 1]
        same = float(p["rate"]) == tier.rate and p["rate_unit"] == tier.unit
        if not same or not p["label"] or (tier.label and p["label"] != tier.label):
            wrong.append(str(p["zone"]))
    rates = sorted({f"{p['rate']} {p['rate_unit']}" for p in outputs.properties})
    report.check("rates and labels are the job's", not wrong, "zones " + " ".join(wrong) if wrong else ", ".join(rates))


def check_figures(report, outputs, words):
    """Printed areas and masses: true to the geometry, and adding up digit for digit."""
    totals = outputs.totals
    for key, unit in (("area", words["square"]), ("mass", None)):
        name = words[key]
        printed = [p[name] for p in outputs.properties]
        true = [
            geodesic_area(zone) / words["square"] * (float(p["rate"]) if unit is None else 1.0)
            for zone, p in zip(outputs.zones, outputs.properties)
        ]
        step = 10.0 ** -max(decimals(n) for n in [*printed, totals["total"][name]])
        worst = max(abs(float(a) - b) for a, b in zip(printed, true))
        # Figures are apportioned, so each may be off by just under one step of its last decimal.
        report.check(
            f"{name} of each zone match its geodesic area" if unit else f"{name} of each zone are rate x area",
            worst < step * 1.001 + 1e-6 * max(true),
            f"worst {worst:.5f}, last decimal {step:g}",
        )
        # The total is of what is spread.
        spread = [p[name] for p in outputs.properties if int(p["tier"]) > 0]
        total, sum_zones = totals["total"][name], sum(spread)
        sum_tiers = sum(tier[name] for tier in totals["tiers"])
        of_tier = {int(t["tier"]): t[name] for t in totals["tiers"]}
        split = {}
        for p in outputs.properties:
            split[int(p["tier"])] = split.get(int(p["tier"]), Decimal(0)) + p[name]
        tiers_hold = all(split.get(tier, Decimal(0)) == value for tier, value in of_tier.items())
        report.check(
            f"printed {name} add up exactly: zones = tiers = total",
            sum_zones == sum_tiers == total and tiers_hold,
            f"{sum_zones} = {sum_tiers} = {total}",
        )
        true_spread = sum(t for t, p in zip(true, outputs.properties) if int(p["tier"]) > 0)
        right = abs(float(total) - true_spread) <= 0.501 * step + 1e-6 * true_spread
        report.check(f"printed total of {name} is right", right, f"{total}")
    both = words["area"], words["mass"]
    same = [tuple(z[n] for n in both) for z in totals["zones"]] == [tuple(p[n] for n in both) for p in outputs.properties]
    report.check("totals.json repeats the zones of the geojson", same, f"{len(totals['zones'])} zones")
    left = outputs.csv_rows(*both)
    wanted = [tuple(row[n] for n in both) for row in [*totals["zones"], *totals["tiers"], totals["total"]]]
    absent = []
    for row in wanted:
        if row in left:
            left.remove(row)
        else:
            absent.append(str(tuple(map(str, row))))
    report.check("totals.csv has every row of totals.json", not absent, "; ".join(absent) or f"{len(wanted)} rows")


def check_shapefile(report, outputs, words):
    """The shapefile as GDAL reads it and as its bytes stand."""
    meta, names, table, shapes, said = outputs.shapefile()
    report.check("GDAL reads the shapefile without a warning", not said, "; ".join(said))
    wanted = ["ZONE", "TIER", "LABEL", "RATE", "RATE_UNIT", words["area"].upper(), words["mass"].upper(), "CEC_MEAN"]
    report.check("DBF field names and order", names == wanted, " ".join(names))
    rate = table.get("RATE", np.array([None]))
    filled = rate.dtype.kind in "if" and bool(np.isfinite(rate).all())
    report.check("RATE is numeric and never empty", filled, f"{rate.dtype}, {len(rate)} rows")
    text = (outputs.folder / "zones.cpg").read_text(encoding="ascii").strip()
    report.check("zones.cpg says UTF-8", text == "UTF-8" and meta["encoding"] == "UTF-8", text)
    crs = pyproj.CRS.from_user_input(meta["crs"])
    prj = pyproj.CRS.from_wkt((outputs.folder / "zones.prj").read_text(encoding="utf-8"))
    codes = crs.to_epsg(), prj.to_epsg()
    report.check("shapefile CRS is EPSG:4326, by GDAL and by PROJ", codes == (4326, 4326), f"{codes}")
    raw = outputs.shapefile_rings()
    turned = sum((signed_area(r) < 0) != (i == 0) for rings in raw for i, r in enumerate(rings))
    report.check("shapefile exteriors clockwise, holes counter-clockwise", turned == 0, f"{sum(map(len, raw))} rings, {turned} turned")
    same_count = len(shapes) == len(outputs.zones)
    apart = max(shapely.hausdorff_distance(shapely.boundary(a), shapely.boundary(b)) for a, b in zip(shapes, outputs.zones))
    same = same_count and all(
        shapely.equals_exact(shapely.normalize(a), shapely.normalize(b), ROUNDING) for a, b in zip(shapes, outputs.zones)
    )
    report.check("shapefile has the geojson's zones in order", same, f"{len(shapes)} zones, at most {apart:.1e} degrees apart")
    report.check("GEOS coverage_is_valid on the shapefile", bool(shapely.coverage_is_valid(shapes)))
    wrong = []
    for upper in [name for name in wanted if name in table]:
        for value, p in zip(table[upper], outputs.properties):
            expected = p[upper.lower()]
            if not (value == expected if isinstance(expected, str) else abs(float(value) - float(expected)) < 1e-9):
                wrong.append(f"{upper} {value} is not {expected}")
    report.check("DBF values are the geojson's", not wrong, "; ".join(wrong[:3]) or f"{len(wanted)} fields")


def check_kml(report, inputs, outputs):
    """The KML as GDAL reads it, against the GeoJSON."""
    names, shapes = outputs.kml()
    zones = [p for p in outputs.properties if int(p["tier"]) > 0]
    wanted = [f"{float(p['rate']):g} {p['rate_unit']}" for p in zones]
    report.check("KML names are the rates of the geojson", names[: len(zones)] == wanted, f"{len(zones)} zones")
    rest = set(names[len(zones) :])
    pile = inputs.job.get("pile", {})
    wanted = {entry["why"] for entry in [*inputs.job.get("keep_out", []), *pile.get("setback", [])]}
    wanted |= {"not spread"} if inputs.job.get("keep_out") else set()
    wanted |= {"the truck access"} if "access" in pile else set()
    wanted |= {"entrance"} if "entrance" in inputs.job else set()
    wanted |= {f"pile {one['pile']}" for one in (outputs.totals["stockpile"] or {}).get("piles", [])}
    report.check("the KML has what is not spread, kept from and dumped too", rest == wanted, f"{sorted(rest)}")
    same = all(
        shapely.equals_exact(shapely.normalize(a), shapely.normalize(b), ROUNDING)
        for a, b in zip(shapely.force_2d(shapes), outputs.zones[: len(zones)])
    )
    report.check("KML has the geojson's zones in order", same)


def check_surface(report, inputs, outputs, plane, surface):
    """Random points of the field lie in the zone that a brute-force surface asks for."""
    flat = plane.geometry(outputs.zones)
    field = plane.geometry(inputs.boundary)
    west, south, east, north = field.bounds
    rng = np.random.default_rng(20_260_414)
    places = rng.uniform((west, south), (east, north), (POINTS, 2))
    places = places[shapely.contains_xy(field, places)]
    points = shapely.points(places)
    borders = shapely.union_all(shapely.boundary(flat))
    shapely.prepare(borders)
    far = shapely.distance(points, borders) > CLEAR
    places, points = places[far], points[far]
    of_point, of_zone = shapely.STRtree(flat).query(points, predicate="within")
    alone = len(of_point) == len(points) and bool((of_point == np.arange(len(points))).all())
    report.check("every point away from borders lies in one zone", alone, f"{len(points)} points")
    if not alone:
        return
    values, gaps = surface.at(places)
    claimed = np.array([int(p["tier"]) for p in outputs.properties])[of_zone]
    near_break = np.min(np.abs(values[:, None] - np.array(inputs.breaks)), axis=1) < 1e-6
    # Nearly a tie for the last neighbour: the plane's own rounding decides, so nobody is wrong.
    judged = ~near_break & (gaps > 1e-3) & (claimed > 0)
    wrong = np.flatnonzero(judged & (inputs.tier_of(values) != claimed))
    thin = [i for i in wrong if claimed[i] in inputs.tier_of(surface.at(_ring(places[i], LATTICE * 2**0.5, 64))[0])]
    share = len(thin) / judged.sum()
    figures = f"{judged.sum()} points judged, {len(wrong) - len(thin)} wrong, {len(thin)} in features thinner than the lattice"
    for i in [i for i in wrong if i not in thin][:3]:
        figures += f"; zone {of_zone[i] + 1} (tier {claimed[i]}) has {values[i]:.3f} at {_lonlat(plane, places[i])}"
    report.check("zones hold the tier of an independent surface", len(wrong) == len(thin) and share <= THIN_SHARE, figures)
    worst, of_worst, count = 0.0, "", 0
    for k, p in enumerate(outputs.properties):
        inside = values[of_zone == k]
        if len(inside) >= 100:
            # Six standard errors of the random points, and the printed rounding.
            allowed = 6 * inside.std() / len(inside) ** 0.5 + 0.06
            off, count = abs(inside.mean() - float(p["cec_mean"])) / allowed, count + 1
            if off > worst:
                worst, of_worst = off, f"zone {k + 1}: {p['cec_mean']} printed, {inside.mean():.3f} found"
    report.check("cec_mean is the zone's mean", worst <= 1, f"{count} zones with 100 points or more, worst {of_worst}")


def check_borders(report, inputs, outputs, plane, surface):
    """Each vertex between two tiers lies within 0.25 m of a crossing of the break."""
    tiers_at = {}
    for rings, p in zip(outputs.rings, outputs.properties):
        for vertex in np.vstack(rings):
            if int(p["tier"]) > 0:
                tiers_at.setdefault(tuple(vertex), set()).add(int(p["tier"]))
    shared = [(v, tiers) for v, tiers in tiers_at.items() if len(tiers) > 1]
    if not shared:
        parts = shapely.get_num_geometries(inputs.boundary)
        report.check("border vertices lie at the break", len(outputs.zones) == parts, "no borders")
        return
    places = plane.points([v for v, _ in shared])
    rings = [_ring(p, r, n) for p in places for r, n in ((REACH + 0.002, 48), (REACH / 2, 24))]
    values = surface.at(np.vstack(rings))[0].reshape(len(places), -1)
    off = []
    for i, (vertex, tiers) in enumerate(shared):
        crossed = inputs.breaks[min(tiers) - 1 : max(tiers) - 1]
        if any(not values[i].min() - 1e-6 <= b <= values[i].max() + 1e-6 for b in crossed):
            off.append(f"{float(vertex[0])} {float(vertex[1])} between tiers {sorted(tiers)} sees {values[i].min():.3f} to {values[i].max():.3f}")
    figures = f"{len(shared)} vertices, {len(off)} off" + "".join(f"; {text}" for text in off[:3])
    report.check(f"border vertices lie within {REACH} m of the break", not off, figures)


def check_clean_up(report, outputs, plane):
    """No zone too small, no part too narrow."""
    # Kept-out ground is as large as its cause has it, and free to the zones beside it.
    zones = [zone for zone, p in zip(outputs.zones, outputs.properties) if int(p["tier"]) > 0]
    found = faults(outputs, list(plane.geometry(np.array(zones))))
    stated = outputs.totals["clean_up"]
    asked = f"{stated['min_zone']}, {stated['min_width']}"
    report.check("no zone is under min_zone, no part under min_width", not found, "; ".join(found) or asked)


def check_warnings(report, inputs, outputs):
    """Ids that the join left over are named."""
    text = str(outputs.totals.get("warnings"))
    silent = [name for name in inputs.unmatched if not re.search(rf"\b{re.escape(name)}\b", text)]
    report.check("unmatched ids are named in the warnings", not silent, " ".join(inputs.unmatched))


def _ring(place, radius, count):
    turn = np.arange(count) * (2 * np.pi / count)
    return place + radius * np.column_stack((np.cos(turn), np.sin(turn)))


def _lonlat(plane, place):
    longitude, latitude = plane.transform(*place, direction="INVERSE")
    return f"{longitude:.7f} {latitude:.7f}"


def check_job(report, job_file, plans):
    inputs = Inputs(job_file)
    report.job = inputs.name
    outputs = Outputs(plans / inputs.name)
    metric = inputs.tiers[0].unit == "t/ha"
    words = {"area": "hectares", "mass": "tonnes", "square": HECTARE, "units": "metric"}
    if not metric:
        words = {"area": "acres", "mass": "tons", "square": ACRE, "units": "us"}
    plane = Plane(inputs.boundary)
    settings = outputs.totals["surface"]
    surface = Surface(plane.points(inputs.positions), inputs.cec, settings)
    print(f"     {inputs.name}: {len(inputs.cec)} samples, {dict((k, str(v)) for k, v in settings.items())}")
    check_contract(report, inputs, outputs, words)
    check_tiling(report, inputs, outputs, plane)
    check_rates(report, inputs, outputs)
    check_figures(report, outputs, words)
    check_shapefile(report, outputs, words)
    check_kml(report, inputs, outputs)
    if outputs.totals["clean_up"]:
        check_clean_up(report, outputs, plane)
    else:
        check_borders(report, inputs, outputs, plane, surface)
        check_surface(report, inputs, outputs, plane, surface)
    if inputs.unmatched:
        check_warnings(report, inputs, outputs)


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    plans, farm = map(Path, sys.argv[1:])
    report = Report()
    jobs = [path for path in sorted(farm.glob("*.toml")) if path.name != "farm.toml"]
    report.job = str(farm)
    report.check("there are jobs", jobs, f"{len(jobs)}")
    for job in jobs:
        try:
            check_job(report, job, plans)
        except Exception as error:  # a plan that cannot even be read is one failure, not the end
            report.check(f"{job.stem} could be checked to the end", False, f"{type(error).__name__}: {error}")
    print(f"{report.passed} passed, {report.failed} failed")
    sys.exit(1 if report.failed else 0)


if __name__ == "__main__":
    main()
