"""Checks the piles of landplaster's plans with programs that share none of its code.

    python pile.py PLANS DEMO_FARM

GEOS (shapely) on a plane of its own, GeographicLib for every distance that the edge of a pile must
keep. A pile is a cone of what is brought to it, counted again from the job and the machine's file.
One line a check and field; the exit code is 1 when any fails, or when no job has a pile.
"""

import math
import sys
from decimal import Decimal
from pathlib import Path

import numpy as np
import pyproj
import shapely
from geographiclib.geodesic import Geodesic

import order
import surface
from check import Report
from inputs import METRES, Inputs, metres
from outputs import Outputs, _json

SETBACK, REACH = "200 ft", "100 ft"  # the defaults of docs/reference.md
DENSITY, REPOSE = "55 lb/ft3", "37 degrees"
SAME = 10 * 0.3048  # metres: features so near to those of a setback are in it
HAUL = {"ton-mi": 1609.344, "t-km": 1000.0}  # metres carried
GRID = 2.0  # metres between the points that stand for a zone
LATTICE = 1.524  # 5 ft
BETTER = 0.005  # a place so much better would be a fault
CLOSE = 0.02  # metres: how far the allowed ground may be from shapely's


class Plane(surface.Plane):
    """Azimuthal equidistant at the field: PROJ takes it both ways by geodesics, to a micrometre;
    the inverse of the equal-area plane is off by half a millimetre."""

    def __init__(self, field):
        at = field.centroid
        crs = f"+proj=aeqd +lat_0={at.y:.6f} +lon_0={at.x:.6f} +datum=WGS84 +units=m +type=crs"
        self.transform = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True).transform


def geodesic(plane, point, shape):
    """Metres on the ellipsoid from a place to a shape; the nearest place found on the plane."""
    flat_point, flat_shape = plane.geometry(shapely.Point(point)), plane.geometry(shape)
    if flat_shape.geom_type.endswith("Polygon") and flat_shape.contains(flat_point):
        return 0.0
    nearest = shapely.get_coordinates(shapely.shortest_line(flat_shape, flat_point))[0]
    longitude, latitude = plane.transform(*nearest, direction="INVERSE")
    return Geodesic.WGS84.Inverse(point[1], point[0], latitude, longitude)["s12"]


def demand(outputs, plane):
    """Points 2 m apart over every zone, and the tons that each stands for."""
    places, tons = [], []
    name = "tons" if "tons" in outputs.totals["total"] else "tonnes"
    for zone, p in zip(outputs.zones, outputs.properties):
        flat = plane.geometry(zone)
        west, south, east, north = flat.bounds
        x, y = np.meshgrid(np.arange(west, east, GRID) + GRID / 2, np.arange(south, north, GRID) + GRID / 2)
        points = np.column_stack((x.ravel(), y.ravel()))
        points = points[shapely.contains_xy(flat, points)]
        places.append(points)
        tons.append(np.full(len(points), float(p[name]) / len(points)))
    return np.vstack(places), np.concatenate(tons), name


def cone(job_file, asked, spread):
    """The radius and the height of a pile of all that is brought, metres; `spread` is in kilograms."""
    job = order.Job(job_file)
    brought = job.ordered(spread)
    if job.delivery:
        brought = job.delivery * math.ceil(brought / job.delivery - 1e-9)
    if "bulk_density" in asked or not job.material:
        density = order.si(asked.get("bulk_density", DENSITY))
    else:
        density = job.density_loaded()
    slope = math.tan(math.radians(float(asked.get("repose", REPOSE).split()[0])))
    radius = (3 * brought / density / (math.pi * slope)) ** (1 / 3)
    return radius, radius * slope


def travel(places, tons, at):
    return float(tons @ np.hypot(*(places - at).T))


def check_job(report, job_file, plans):
    inputs = Inputs(job_file)
    asked = inputs.job.get("pile")
    if asked is None:
        return False
    report.job = inputs.name
    outputs = Outputs(plans / inputs.name)
    plane = Plane(inputs.boundary)
    piles = _json(plans / inputs.name / "piles.geojson")["features"]
    stated = outputs.totals["stockpile"]
    unit = METRES[stated["length_unit"]]
    layers = [(inputs.layer(e), metres(e.get("distance", SETBACK)), e["why"]) for e in asked.get("setback", [])]
    # What is known of water beside it: each must be near to one that the job states, or be told.
    told = [s["why"] for pile in stated["piles"] for s in pile["spot"]["setbacks"]]
    said = [plane.geometry(shape) for shape, _, _ in layers]
    for part in shapely.get_parts(inputs.boundary):
        for hole in part.interiors:
            flat = plane.geometry(hole)
            known = any(shape.buffer(SAME).covers(flat) for shape in said) or "hole in the field" in told
            report.check("the pile is kept from a hole", known, f"{told}")
    spread = outputs.totals["total"]
    spread = float(spread["tons"]) * 907.18474 if "tons" in spread else float(spread["tonnes"]) * 1000
    radius, height = cone(job_file, asked, spread)
    if len(piles) == 1:
        off = max(abs(float(stated["piles"][0][k]) * unit - v) for k, v in (("width", 2 * radius), ("height", height)))
        report.check("the pile is as large as its cone", off < 0.006 * unit + 1e-3, f"{2 * radius:.3f} m wide, {height:.3f} m high")
    kept_out = inputs.kept_out(plane)
    access = None
    if "access" in asked:
        entry = asked["access"]
        entry = {"file": entry} if isinstance(entry, str) else entry
        access = inputs.layer(entry), metres(asked.get("reach", REACH))

    # The ground for a pile's middle as shapely has it.
    ground = plane.geometry(inputs.boundary)
    ground = shapely.difference(ground, kept_out)
    ground = ground.buffer(-radius, quad_segs=256)
    for shape, distance, _ in layers:
        ground = shapely.difference(ground, plane.geometry(shape).buffer(distance + radius, quad_segs=256))
    if access:
        ground = shapely.intersection(ground, plane.geometry(access[0]).buffer(access[1] + radius, quad_segs=256))
    area = [shapely.geometry.shape(f["geometry"]) for f in _json(plans / inputs.name / "pile_area.geojson")["features"]]
    area = plane.geometry(shapely.union_all([shapely.transform(a, lambda p: p.astype(float)) for a in area]))
    apart = shapely.symmetric_difference(ground, area).area
    report.check("allowed ground is shapely's", area.is_valid and apart < CLOSE * ground.length, f"{area.area:.0f} m2, {apart:.2f} m2 apart")

    places, tons, mass = demand(outputs, plane)
    spots = [np.array(f["geometry"]["coordinates"], float) for f in piles]
    report.check("there are piles", spots, f"{len(spots)}")
    for number, (spot, pile) in enumerate(zip(spots, stated["piles"]), 1):
        flat = plane.geometry(shapely.Point(spot))
        disc = flat.buffer(radius - 1e-3, quad_segs=64)
        whole = shapely.contains(plane.geometry(inputs.boundary), disc) and not kept_out.intersects(disc)
        report.check(f"pile {number} lies in the field and not on what is kept out, all of it", whole)
        digits = max(-Decimal(n).normalize().as_tuple().exponent for n in piles[number - 1]["geometry"]["coordinates"])
        report.check(f"pile {number} has at most 8 decimals", digits <= 8, f"{digits}")
        for (shape, distance, why), said in zip(layers, pile["spot"]["setbacks"]):
            found = geodesic(plane, spot, shape) - radius
            same = abs(float(said["found"]) * unit - found) < 0.006 * unit and said["why"] == why
            report.check(f"pile {number} keeps {distance:.2f} m from {why}", found >= distance and same, f"{found:.4f} m, printed {said['found']}")
        if access:
            found = geodesic(plane, spot, access[0]) - radius
            same = abs(float(pile["spot"]["access"]["found"]) * unit - found) < 0.006 * unit
            report.check(f"pile {number} is in reach, {access[1]:.2f} m", found <= access[1] and same, f"{found:.4f} m")
    total = outputs.totals["total"][mass]
    report.check("piles hold the field's material", sum(p[mass] for p in stated["piles"]) == total, f"{total} {mass}")
    zones = sum(z[mass] for p in stated["piles"] for z in p["zones"])
    report.check("zones of the piles add up to it", zones == total, f"{zones}")

    printed = float(stated["loaded_travel"]) * HAUL[stated["loaded_travel_unit"]]
    if len(spots) == 1:
        # The tons in zones.geojson are rounded to a hundredth, each a part of 1e-4 of the whole.
        own = travel(places, tons, plane.points([spots[0]])[0])
        report.check("loaded travel is that of a fine grid", abs(printed / own - 1) < 1e-3, f"{printed:.1f} and {own:.1f} {mass} m")
        west, south, east, north = ground.bounds
        x, y = np.meshgrid(np.arange(west, east, LATTICE), np.arange(south, north, LATTICE))
        nodes = np.column_stack((x.ravel(), y.ravel()))
        nodes = nodes[shapely.contains_xy(ground, nodes)]
        coarse = slice(None, None, 17)  # every node against a seventeenth of the points, the best against all
        rough = np.array([travel(places[coarse], tons[coarse], node) for node in nodes])
        best = min(travel(places, tons, node) for node in nodes[np.argsort(rough)[:200]])
        report.check("no node of a 5 ft lattice is better", own <= best * (1 + BETTER), f"{len(nodes)} nodes, {own / best - 1:+.1e}")
        free = travel(places, tons, np.average(places, axis=0, weights=tons))
        report.check("the setbacks cost something", free < own, f"{free:.1f} {mass} m in the middle")
    return True


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    plans, farm = map(Path, sys.argv[1:])
    report = Report()
    found = 0
    for job in (path for path in sorted(farm.glob("*.toml")) if path.name != "farm.toml"):
        try:
            found += check_job(report, job, plans)
        except Exception as error:  # a plan that cannot even be read is one failure, not the end
            report.check(f"{job.stem} could be checked to the end", False, f"{type(error).__name__}: {error}")
    report.job = str(farm)
    report.check("there is a job with a pile", found, f"{found}")
    print(f"{report.passed} passed, {report.failed} failed")
    sys.exit(1 if report.failed else 0)


if __name__ == "__main__":
    main()
