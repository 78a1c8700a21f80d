"""Plans random fields with the program itself and judges the zones by GEOS.

    python random_fields.py PROGRAM COUNT

Each field has random corners, sometimes a pond, random samples, and random settings of the
clean-up; all from one fixed seed. The first of them are planned again with ground to keep from, with
areas whose rate is set, and with zones along the passes; all of them again on surfaces that jump. As many fields again have
sharp corners, tips and parts thin as a finger, anywhere that is farmed, with keep-outs that end at a
corner, run along an edge or are thinner than a centimeter.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import shapely
from geographiclib.geodesic import Geodesic

from check import geodesic_area
from drivable import faults
from outputs import Outputs
from surface import Plane

CENTRE = (-93.31, 42.07)
SAMPLES = range(10, 60)
ACRE = 4046.8564224


def ring(rng, low, high, corners):
    turns = np.sort(rng.uniform(0, 2 * np.pi, corners))
    turns = np.linspace(0, 2 * np.pi, corners, endpoint=False) + 0.3 * (turns - turns.mean()) / corners
    reach = rng.uniform(low, high, corners)
    east, north = reach * np.cos(turns) / 82_700, reach * np.sin(turns) / 111_060
    positions = np.column_stack((CENTRE[0] + east, CENTRE[1] + north)).round(8).tolist()
    return [*positions, positions[0]]


def cec(rng, places):
    waves = rng.uniform(-1, 1, (4, 3)) * (3, 0.006, 0.006)
    metres = (places - CENTRE) * (82_700, 111_060)
    value = 12 + sum(a * np.sin(metres @ (x, y) + 9 * x) for a, x, y in waves) * 2
    return np.clip(value + rng.normal(0, 1.5, len(places)), 3, 30).round(1)


def make(folder, rng):
    rings = [ring(rng, 150, 420, int(rng.integers(5, 25)))]
    if rng.random() < 0.4:
        rings.append(ring(rng, 10, 60, int(rng.integers(4, 10)))[::-1])
    field = {"type": "Polygon", "coordinates": rings}
    (folder / "boundary.geojson").write_text(json.dumps(field))
    low, high = np.min(rings[0], axis=0), np.max(rings[0], axis=0)
    places = rng.uniform(low, high, (int(rng.choice(SAMPLES)), 2))
    lines = [f"S{i},{x:.7f},{y:.7f},{v}" for i, ((x, y), v) in enumerate(zip(places, cec(rng, places)))]
    (folder / "samples.csv").write_text("\n".join(["id,longitude,latitude,CEC", *lines]) + "\n")
    prefer = rng.choice(["nearest", "higher", "lower"])
    (folder / "field.toml").write_text(
        'boundary = "boundary.geojson"\nsamples = "samples.csv"\n[zones]\n'
        f'min_zone = "{rng.uniform(0.1, 1.5):.2f} ac"\nmin_width = "{rng.uniform(30, 100):.0f} ft"\n'
        f'prefer = "{prefer}"\n'
    )
    return shapely.geometry.shape(field)


def keep_outs(field, rng, folder):
    """A line and an area to keep from, in the field or over its edge: their table in the job, and
    the ground in the plane."""
    plane = Plane(field)
    flat = plane.geometry(field)
    west, south, east, north = flat.bounds
    table, ground = "", []
    for number, kind in enumerate(("LineString", "Polygon")):
        around = rng.uniform((west, south), (east, north))
        corners = around + rng.uniform(-60, 60, (3, 2))
        lonlat = np.column_stack(plane.transform(*corners.T, direction="INVERSE")).round(8)
        shape = shapely.LineString(lonlat) if kind == "LineString" else shapely.Polygon(lonlat)
        feature = {"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(shape)}
        (folder / f"keep{number}.geojson").write_text(json.dumps(feature))
        feet = round(rng.uniform(10, 60))
        table += f'[[keep_out]]\nfile = "keep{number}.geojson"\ndistance = "{feet} ft"\nwhy = "cause {number}"\n'
        ground.append(plane.geometry(shape).buffer(feet * 0.3048, quad_segs=64))
    return table, shapely.union_all(ground)


def tiling(outputs, field, kept):
    """What is wrong with zones that should tile the field less the ground kept from (in the plane)."""
    found = []
    if not all(zone.is_valid for zone in outputs.zones) or not shapely.coverage_is_valid(outputs.zones):
        found.append("no valid coverage")
    spread = sum(map(geodesic_area, outputs.zones))
    unspread = sum(geodesic_area(zone) for zone in kept)
    off = (spread + unspread) / geodesic_area(field) - 1
    # A millionth, or the millimeter that positions are written to along the edge of a small field.
    around = Geodesic.WGS84.Polygon()
    for longitude, latitude in shapely.get_coordinates(field.exterior)[:-1]:
        around.AddPoint(latitude, longitude)
    if abs(off) >= max(1e-6, 0.001 * around.Compute()[1] / geodesic_area(field)):
        found.append(f"areas off by {off:.1e}")
    return found


def plan(program, folder, zones, top=""):
    """The outputs of the job with its zones so set, or what the program said."""
    job = folder / "field.toml"
    first, clean_up = job.read_text().split("[zones]\n")
    (folder / "again.toml").write_text(top + first + "[zones]\n" + zones.format(clean_up=clean_up))
    command = [program, "plan", folder / "again.toml", "--out", folder]
    run = subprocess.run(command, capture_output=True, text=True)
    return (None, [run.stderr.strip()]) if run.returncode else (Outputs(folder / "again"), [])


def judge(program, folder, rng):
    """The field with the clean-up."""
    field = make(folder, rng)
    outputs, found = plan(program, folder, "{clean_up}")
    if found:
        return found
    flat = list(Plane(field).geometry(np.array(outputs.zones)))
    return [*tiling(outputs, field, []), *faults(outputs, flat)]


def judge_keep_outs(program, folder, rng):
    """The field with ground to keep from, left out and as zones of rate 0."""
    field = make(folder, rng)
    table, ground = keep_outs(field, rng, folder)
    left_out, found = plan(program, folder, 'unspread = "leave out"\n{clean_up}' + table)
    rate_zero, more = plan(program, folder, 'unspread = "rate 0"\n{clean_up}' + table)
    if found or more:
        return found + more
    zero = [zone for zone, says in zip(rate_zero.zones, rate_zero.properties) if says["rate"] == 0]
    found = [*tiling(left_out, field, zero), *tiling(rate_zero, field, [])]
    plane = Plane(field)
    expected = plane.geometry(field).difference(ground)
    spread = shapely.union_all(plane.geometry(np.array(left_out.zones)))
    # 5 mm that round ends may reach out, along all that the ground's edge can be long.
    allowed = 0.01 * (ground.length + 1)
    apart = spread.symmetric_difference(expected).area
    if apart > allowed:
        found.append(f"{apart:.2f} m2 are spread that should not be, or the other way")
    stated = sum(float(cause["acres"]) for cause in left_out.totals["unspread"])
    acres = sum(map(geodesic_area, zero)) / ACRE
    if abs(stated - acres) > 0.0101:
        found.append(f"{stated} ac are said to be kept from, {acres:.3f} ac are")
    flat = list(plane.geometry(np.array(left_out.zones)))
    return [*found, *faults(left_out, flat)]


def judge_set_rates(program, folder, rng):
    """The field with areas whose rate is set, beside ground to keep from: GEOS says what of them is left."""
    field = make(folder, rng)
    table, ground = keep_outs(field, rng, folder)
    plane = Plane(field)
    west, south, east, north = plane.geometry(field).bounds
    taken, expected = ground, []
    for number, rate in enumerate((0, 0.75)):
        corners = rng.uniform((west, south), (east, north)) + rng.uniform(-80, 80, (4, 2))
        area = shapely.MultiPoint(corners).convex_hull
        lonlat = np.column_stack(plane.transform(*shapely.get_coordinates(area).T, direction="INVERSE")).round(8)
        shape = shapely.Polygon(lonlat)
        feature = {"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(shape)}
        (folder / f"set{number}.geojson").write_text(json.dumps(feature))
        table += f'[[set_rate]]\nfile = "set{number}.geojson"\nrate = "{rate} ton/ac"\nwhy = "area {number}"\n'
        area = plane.geometry(shape)
        expected.append((plane.geometry(field).intersection(area).difference(taken), rate, f"area {number}, rate set"))
        taken = taken.union(area)
    drawn = rng.choice(["{clean_up}", "clean_up = false\n", "heading = 30\n"])
    outputs, found = plan(program, folder, 'unspread = "rate 0"\n' + drawn + table, 'swath = "50 ft"\n')
    if found:
        return found
    found = tiling(outputs, field, [])
    flat = list(plane.geometry(np.array(outputs.zones)))
    for area, rate, label in expected:
        own = [(zone, says) for zone, says in zip(flat, outputs.properties) if says["label"] == label]
        apart = shapely.union_all([zone for zone, _ in own]).symmetric_difference(area).area
        # As for the ground that is kept from: 5 mm, along all that edges can be long.
        if apart > 0.01 * (area.length + ground.length + 1):
            found.append(f"{label}: {apart:.2f} m2 of {area.area:.0f} are elsewhere")
        if any(abs(float(says["tons"]) - rate * float(says["acres"])) > 0.0301 for _, says in own):
            found.append(f"{label}: another rate than {rate}")
    return found


def judge_passes(program, folder, rng):
    """The field in cells along its longest side or at a heading."""
    field = make(folder, rng)
    heading = rng.choice(['"longest"', f"{rng.uniform(0, 360):.1f}"])
    zones = f'unspread = "rate 0"\nheading = {heading}\n{{clean_up}}' + keep_outs(field, rng, folder)[0]
    outputs, found = plan(program, folder, zones, f'swath = "{rng.uniform(20, 90):.0f} ft"\n')
    return found or tiling(outputs, field, [])


def judge_jumps(program, folder, rng):
    """The field on surfaces that jump, over several breaks at a time."""
    field = make(folder, rng)
    surface = rng.choice(["neighbors = 1", 'radius = "200 ft"', 'radius = "150 ft"'])
    if "150" in surface:
        head, *rows = (folder / "samples.csv").read_text().splitlines()
        inside = [row for row in rows if field.contains(shapely.Point(*map(float, row.split(",")[1:3])))]
        (folder / "samples.csv").write_text("\n".join([head, *inside[:3]]) + "\n")
    outputs, found = plan(program, folder, f"{{clean_up}}[surface]\n{surface}\n")
    return found or tiling(outputs, field, [])


def sharp(rng):
    """A field of few corners, most of them sharp, maybe with a tip or a cut that leaves a part of a
    centimeter between itself and the edge."""
    while True:
        lat = float(rng.choice([-45.0, 0.5, 42.07, 60.0, 71.5]))
        scale = np.array([111_320 * np.cos(np.radians(lat)), 111_060])
        count = int(rng.integers(3, 9))
        turns = np.sort(rng.uniform(0, 2 * np.pi, count))
        corners = rng.uniform(60, 700, count)[:, None] * np.column_stack((np.cos(turns), np.sin(turns)))
        corners = list(corners)
        if rng.random() < 0.5:  # a tip of 1 to 10 degrees, somewhere on an edge
            at = int(rng.integers(count))
            a, b = corners[at], corners[(at + 1) % count]
            along = (b - a) / np.hypot(*(b - a))
            foot, length = a + (b - a) * rng.uniform(0.1, 0.9), rng.uniform(5, 80)
            half = length * np.tan(np.radians(rng.uniform(1, 10)) / 2)
            tip = foot + length * np.array([along[1], -along[0]])
            corners[at + 1 : at + 1] = [foot - along * half, tip, foot + along * half]
        if rng.random() < 0.3:  # a cut from one corner to nearly the opposite edge
            at = int(rng.integers(len(corners)))
            start, other = corners[at], int(rng.integers(len(corners)))
            a, b = corners[other], corners[(other + 1) % len(corners)]
            end = a + (b - a) * rng.uniform(0.2, 0.8)
            way = end - start
            length = np.hypot(*way)
            if length > 1:
                aside = np.array([-way[1], way[0]]) / length * rng.uniform(0.005, 2)
                end = start + way * (1 - rng.uniform(0.005, 0.05) / length)
                corners[at : at + 1] = [start - aside, end, start + aside]
        positions = (np.array(corners) / scale + (CENTRE[0], lat)).round(8)
        field = shapely.Polygon(positions)
        # A boundary that crosses itself is refused, as it should be. Its edges are geodesics, which
        # leave the straight line in degrees by centimeters.
        if field.is_valid and field.area > 1e-7 and Plane(field).geometry(field).is_valid:
            return field, scale


def sharp_keep_outs(field, scale, rng, folder):
    """Lines to a corner and along an edge, and specks: their tables in the job."""
    corners = shapely.get_coordinates(field.exterior)[:-1]
    table = ""
    for number in range(int(rng.integers(1, 4))):
        at = int(rng.integers(len(corners)))
        corner, following = corners[at], corners[(at + 1) % len(corners)]
        inside = np.array(field.representative_point().coords[0])
        jitter = rng.normal(0, 30, 2) / scale
        kind = rng.choice(["to a corner", "along an edge", "triangle", "speck", "point"])
        if kind == "to a corner":
            shape = shapely.LineString([inside + jitter, corner])
        elif kind == "along an edge":
            off = rng.choice([0, 0.001, 0.004, 0.02]) * rng.normal(0, 1, 2) / scale
            shape = shapely.LineString([corner + off, following + off])
        elif kind == "triangle":
            shape = shapely.Polygon([corner, (corner + following) / 2, inside + jitter])
        elif kind == "speck":
            shape = shapely.Polygon(inside + jitter + rng.normal(0, 0.01, (3, 2)) / scale)
        else:
            shape = shapely.Point(corner + rng.choice([0, 1]) * rng.normal(0, 5, 2) / scale)
        feature = {"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(shape)}
        (folder / f"sharp{number}.geojson").write_text(json.dumps(feature))
        distance = rng.choice(["48 ft", "50 ft", f"{rng.uniform(1, 330):.1f} ft", f"{rng.uniform(0.05, 0.4):.2f} in"])
        table += f'[[keep_out]]\nfile = "sharp{number}.geojson"\ndistance = "{distance}"\nwhy = "{kind}"\n'
    return table


def beyond(zones, field, scale):
    """What is wrong with where zones and field end, as straight lines on the map: an edge is a geodesic,
    which leaves the straight line between its ends by L^2 tan(latitude) / 8 R."""
    flat = lambda shape: shapely.transform(shape, lambda places: (places - (CENTRE[0], 0)) * scale)
    edges = shapely.get_coordinates(field.exterior) * scale
    lengths = np.hypot(*np.diff(edges, axis=0).T)
    bend = lengths**2 * abs(np.tan(np.radians(field.centroid.y))) / (8 * 6.37e6)
    allowed = float(np.sum(lengths * (bend + 0.001)))
    apart = flat(shapely.union_all(zones)).symmetric_difference(flat(field)).area
    return [] if apart <= allowed else [f"{apart:.3f} m2 between zones and field, at most {allowed:.3f}"]


def judge_sharp(program, folder, rng):
    """Fields with sharp corners, tips and thin parts, and keep-outs there."""
    field, scale = sharp(rng)
    (folder / "boundary.geojson").write_text(json.dumps(shapely.geometry.mapping(field)))
    west, south, east, north = field.bounds
    places = rng.uniform((west, south), (east, north), (400, 2))
    places = places[shapely.contains_xy(field, places)][: int(rng.integers(3, 40))]
    if len(places) == 0:
        places = np.array(field.representative_point().coords)
    values = rng.uniform(5, 20, len(places)).round(1)
    lines = [f"S{i},{x:.7f},{y:.7f},{v}" for i, ((x, y), v) in enumerate(zip(places, values))]
    (folder / "samples.csv").write_text("\n".join(["id,longitude,latitude,CEC", *lines]) + "\n")
    (folder / "field.toml").write_text('boundary = "boundary.geojson"\nsamples = "samples.csv"\n[zones]\n')
    drawn = rng.choice(["", "clean_up = false\n", 'heading = "longest"\n', f"heading = {rng.uniform(0, 360):.1f}\n"])
    zones = 'unspread = "rate 0"\n' + drawn + sharp_keep_outs(field, scale, rng, folder)
    outputs, found = plan(program, folder, zones, f'swath = "{rng.uniform(20, 90):.0f} ft"\n')
    if found:
        # A keep-out may leave nothing: that is said, and right.
        return [] if "the whole field is within" in found[0] else found
    return [*tiling(outputs, field, []), *beyond(outputs.zones, field, scale)]


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    program, count = Path(sys.argv[1]).resolve(), int(sys.argv[2])
    bad = 0
    runs = (
        (judge, count),
        (judge_keep_outs, count // 4),
        (judge_set_rates, count // 4),
        (judge_passes, count // 4),
        (judge_jumps, count),
        (judge_sharp, count),
    )
    for judged, fields in runs:
        for number in range(fields):
            with tempfile.TemporaryDirectory() as folder:
                rng = np.random.default_rng([20_261_125, number])
                found = judged(program, Path(folder), rng)
            bad += bool(found)
            for text in found:
                print(f"FAIL random field {number} ({judged.__name__}): {text}")
        print(f"{fields} random fields, {judged.__doc__.split(',')[0].rstrip('.').lower()}")
    print(f"{bad} with faults")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
