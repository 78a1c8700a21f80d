"""Keeps creeks of many vertices out with the program, and holds the ground against GEOS's buffers.

    python creek.py PROGRAM [MOST]

Creeks of 1,000 vertices and more, tenfold up to MOST (10,000), open and closed, wander over 160 acres.
Told of each: processor seconds of the whole plan.
"""

import json
import math
import os
import random
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

import pyproj
import shapely

WEST, SOUTH, SIDE = -85.2, 40.4, 804.672
FLATNESS = 0.005  # round parts are drawn at most so many meters too wide
ROUNDING = 0.001  # coordinates are written to a millimeter

local = pyproj.Transformer.from_crs(
    f"+proj=tmerc +lat_0={SOUTH + 0.0036} +lon_0={WEST + 0.0047} +datum=WGS84", "EPSG:4326", always_xy=True
)


def degrees(line):
    return [list(local.transform(*at)) for at in line]


def metres(shape):
    return shapely.transform(shape, lambda at: [local.transform(*p, direction="INVERSE") for p in at])


def creek(count, closed):
    """A walk whose curvature wanders, with the noise of a receiver: 5 cm."""
    at, heading, bend, step = (-380.0, 0.0), 0.3, 0.0, 3000 / count
    line = []
    for number in range(count):
        if closed:
            angle = math.tau * number / count
            reach = 200 + 40 * math.sin(7 * angle) + 20 * math.sin(23 * angle)
            at = (reach * math.cos(angle), reach * math.sin(angle))
        line.append([at[0] + random.gauss(0, 0.05), at[1] + random.gauss(0, 0.05)])
        bend += -bend * step / 30 + random.gauss(0, 0.02) * math.sqrt(step)
        heading += 0.3 * bend * step
        at = (at[0] + step * math.cos(heading), at[1] + step * math.sin(heading))
        if max(map(abs, at)) > 385:
            heading = math.atan2(-at[1], -at[0]) + random.uniform(-0.5, 0.5)
    return line + line[:1] if closed else line


def plan(program, folder, line, feet):
    half = SIDE / 2
    square = [[-half, -half], [half, -half], [half, half], [-half, half], [-half, -half]]
    (folder / "field.geojson").write_text(json.dumps({"type": "Polygon", "coordinates": [degrees(square)]}))
    (folder / "creek.geojson").write_text(json.dumps({"type": "LineString", "coordinates": degrees(line)}))
    places = degrees([[100 * x, 100 * y] for x in range(-3, 4) for y in range(-3, 4)])
    rows = [f"{number},{x:.8f},{y:.8f},{8 + number % 9}" for number, (x, y) in enumerate(places)]
    (folder / "samples.csv").write_text("\n".join(["id,longitude,latitude,cec", *rows]))
    (folder / "creek.toml").write_text(
        'boundary = "field.geojson"\nsamples = "samples.csv"\n[[keep_out]]\nfile = "creek.geojson"\n'
        f'distance = "{feet} ft"\nwhy = "creek"\n'
    )
    child = subprocess.Popen([program, "plan", folder / "creek.toml", "--out", folder / "plans"], stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(child.pid, 0)
    assert os.waitstatus_to_exitcode(status) == 0
    zones = json.loads((folder / "plans/creek/zones.geojson").read_text())["features"]
    kept = [shapely.geometry.shape(zone["geometry"]) for zone in zones if zone["properties"]["tier"] == 0]
    return shapely.union_all([metres(zone) for zone in kept]), metres(shapely.Polygon(degrees(square))), used


def main(program, most):
    faults, count = [], 1000
    while count <= most:
        for closed in (False, True):
            for feet in (35, 330):
                random.seed(count)
                line, distance = creek(count, closed), feet * 0.3048
                with tempfile.TemporaryDirectory() as folder:
                    kept, field, used = plan(program, Path(folder), line, feet)
                near = shapely.LineString(line).buffer(distance, quad_segs=512).intersection(field)
                # GEOS's own circles are short by this.
                short = distance * (1 - math.cos(math.pi / 1024))
                missing, extra = near.difference(kept).area, kept.difference(near).area
                name = f"{count} vertices, {'closed' if closed else 'open'}, {feet} ft"
                print(f"{name}: {used.ru_utime + used.ru_stime:.2f} s; "
                      f"{missing:.2f} m2 missing, {extra:.2f} m2 beyond, of {near.area:.0f}")
                if missing > ROUNDING * near.length or extra > (FLATNESS + ROUNDING + short) * near.length:
                    faults.append(name)
        count *= 10
    if faults:
        sys.exit("keep-outs that are not as GEOS has them: " + "; ".join(faults))


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve(), int(sys.argv[2]) if len(sys.argv) > 2 else 10_000)
