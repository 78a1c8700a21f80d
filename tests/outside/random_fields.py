"""Plans random fields with the program itself and judges the zones by GEOS.

    python random_fields.py PROGRAM COUNT

Each field has random corners, sometimes a pond, random samples, and random settings of the
clean-up; all from one fixed seed. The first of them are planned again with ground to keep from, and
again with zones along the passes; all of them again on surfaces that jump.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import shapely

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
    if abs(off) >= 1e-6:
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


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    program, count = Path(sys.argv[1]).resolve(), int(sys.argv[2])
    bad = 0
    runs = ((judge, count), (judge_keep_outs, count // 4), (judge_passes, count // 4), (judge_jumps, count))
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
