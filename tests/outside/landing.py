"""What lands, by a program of its own: passes as shapely lines over the zones that are written, delay
and first-order lag by numpy on a fine time axis, the pan row laid across by cumulative sums; held
against the cells of landed.tif that GDAL reads.

    landing.py PROGRAM DEMO_FARM

The method is that of Fulton and others 2001 (Transactions of the ASAE 44(5):1095-1102).
"""

import json
import math
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import numpy as np
import pyproj
import rasterio
import shapely
from shapely import affinity

FOOT = 0.3048
ACRE = 4046.8564224
TON = 2000 * 0.45359237
MPH = 1609.344 / 3600
NODES = 10_000
# The time axis of the check, in meters driven: what it blurs at an edge is a share of a cell.
FINE = 0.005

failures = []
checks = 0


def check(holds, what):
    global checks
    checks += 1
    if not holds:
        failures.append(what)
        print("FAILED:", what)


def simulate(raster, transform_, zones, field, machine, pans, lag, lead):
    """Rates in ton/ac on all cells, passes without headland rounds."""
    a, b, e, d, f, g = tuple(transform_)[:6]
    side = math.hypot(a, d)
    # Columns run to the right of the heading; rows come from the far end back.
    right = np.array([a, d]) / side
    ahead = -np.array([b, f]) / side
    columns, rows = raster.shape[1], raster.shape[0]
    corner = np.array([e, g]) + rows * np.array([b, f])
    turn = [right[0], right[1], ahead[0], ahead[1], 0, 0]
    field = affinity.affine_transform(field, turn)
    origin = np.array([corner @ right, corner @ ahead])
    zones = [(affinity.affine_transform(zone, turn), rate) for zone, rate in zones]
    swath, speed, delay, behind = machine
    places, weights = pans
    density = weights / np.trapezoid(weights, places)
    west, south, east, north = field.bounds
    landed = np.zeros((rows, columns))
    edges_x = origin[0] + side * np.arange(columns + 1)
    edges_y = origin[1] + side * np.arange(rows + 1)
    # What lands left of a place across the way, by fine steps.
    fine = np.linspace(places[0], places[-1], 20001)
    heights = np.interp(fine, places, density)
    left = np.concatenate([[0], np.cumsum(0.5 * (heights[1:] + heights[:-1]) * np.diff(fine))])
    number = 0
    while west + number * swath < east - 1e-6:
        x = min(west + (number + 0.5) * swath, east - 1e-3)
        upward = number % 2 == 0
        number += 1
        line = shapely.LineString([(x, south - 400), (x, north + 400)])
        y = np.arange(south - 200, north + 200, FINE) + FINE / 2
        asked = np.zeros(len(y))
        for zone, rate in zones:
            for piece in getattr(zone.intersection(line), "geoms", [zone.intersection(line)]):
                if piece.length > 0:
                    _, low, _, high = piece.bounds
                    asked[(y >= low) & (y < high)] = rate
        if not upward:
            asked = asked[::-1]
        # In the order in which it is driven: late by the delay less the look-ahead, then the lag.
        late = int(round((delay - lead) * speed / FINE))
        flow = np.roll(asked, late)
        if lag > 0:
            share = math.exp(-FINE / speed / lag)
            kernel = (1 - share) * share ** np.arange(int(20 * lag * speed / FINE))
            # Each step takes the mean over itself of the lag that began before it.
            flow = fft_convolve(flow, kernel)
        flow = np.roll(flow, -int(round(behind / FINE)))
        if not upward:
            flow = flow[::-1]
        total = np.concatenate([[0], np.cumsum(flow) * FINE])
        along = np.interp(edges_y, np.concatenate([[y[0] - FINE / 2], y + FINE / 2]), total)
        offset = edges_x - x if upward else x - edges_x
        across = np.interp(offset, fine, left, left=0, right=left[-1])
        landed += np.outer(np.diff(along), np.abs(np.diff(across))) * swath / side**2
    return landed[::-1]


def fft_convolve(signal, kernel):
    size = 1 << int(math.ceil(math.log2(len(signal) + len(kernel))))
    spectrum = np.fft.rfft(signal, size) * np.fft.rfft(kernel, size)
    return np.fft.irfft(spectrum, size)[: len(signal)]


def run(program, *arguments):
    return subprocess.run([program, *map(str, arguments)], check=True, capture_output=True, text=True)


def quantity(text, units):
    number, unit = text.split()
    return float(number) * units[unit]


def main(program, farm):
    farm = Path(farm)
    rng = np.random.default_rng(7)
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        run(program, "plan", farm / "pond-quarter.toml", "--out", folder / "plans")
        zones_file = folder / "plans" / "pond-quarter" / "zones.geojson"
        machine = tomllib.loads((farm / "spreader" / "machine.toml").read_text())["machine"]
        swath = quantity(machine["swath"], {"ft": FOOT})
        delay = quantity(machine["rate_change_delay"], {"s": 1.0})
        # A row of pans of the check's own, lopsided, 5 ft apart.
        places = np.arange(-35, 36, 5) * FOOT
        weights = np.array([0, 1, 3, 6, 8, 9, 10, 12, 11, 9, 9, 7, 4, 2, 0], dtype=float)
        own_pans = folder / "pans.csv"
        rows = [f"{round(x / FOOT)},{w}" for x, w in zip(places, weights)]
        own_pans.write_text(
            "# pan size: 12 in x 12 in\n# swath: 40 ft\n# passes: 1\ndistance (ft),run 1 (g)\n" + "\n".join(rows) + "\n"
        )
        for name, keys, speed, lag, behind, lead in [
            ("as it is", "", 8.0, 0.0, 0.0, 0.0),
            ("lag and look-ahead", 'rate_rise = "1.2 s"\nrate_fall = "1.2 s"\nrate_change = "first-order"\n'
             'lands_behind = "12 ft"\n', 7.0, 1.2, 12 * FOOT, 1.5),
        ]:
            own = folder / name.replace(" ", "-")
            subprocess.run(["cp", "-r", farm, own], check=True)
            text = (own / "spreader" / "machine.toml").read_text()
            text = text.replace("[machine]\n", "[machine]\n" + keys, 1)
            (own / "spreader" / "machine.toml").write_text(text)
            out = folder / f"landed-{name.replace(' ', '-')}"
            run(program, "land", own / "pond-quarter.toml", "--pans", own_pans, "--rounds", 0,
                "--speed", f"{speed} mph", "--look-ahead", f"{lead} s", "--out", out)
            with rasterio.open(out / "landed.tif") as data:
                raster, placed = data.read(1), data.transform
                crs = pyproj.CRS.from_wkt(data.crs.to_wkt())
            to_local = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True).transform
            features = json.loads(zones_file.read_text())["features"]
            zones = [
                (shapely.transform(shapely.geometry.shape(feature["geometry"]),
                                   lambda at: np.column_stack(to_local(at[:, 0], at[:, 1]))),
                 feature["properties"]["rate"] * TON / ACRE)
                for feature in features
            ]
            whole = shapely.unary_union([zone for zone, _ in zones])
            zones = [(zone, rate) for zone, rate in zones if rate > 0]
            expected = simulate(raster, placed, zones, whole,
                                (swath, speed * MPH, delay, behind), (places, weights), lag, lead)
            expected = expected / (TON / ACRE)
            found = np.where(raster < 0, 0.0, raster)
            inside = np.argwhere((expected > 0) | (found > 0))
            nodes = inside[rng.choice(len(inside), NODES, replace=False)]
            off = np.abs(found[nodes[:, 0], nodes[:, 1]] - expected[nodes[:, 0], nodes[:, 1]])
            highest = expected.max()
            worst, usual = off.max() / highest, np.quantile(off, 0.99) / highest
            print(f"{name}: {NODES} of {len(inside)} cells, worst {worst:.2e}, 99 % within {usual:.2e} of {highest:.2f} ton/ac")
            # A step of the check's axis is 1/120 of a cell: at an edge so much may be off.
            check(worst < 0.02, f"{name}: a cell is off by {worst:.3f} of the highest rate")
            check(usual < 0.005, f"{name}: one cell in a hundred is off by {usual:.4f}")
            mass = abs(found.sum() / expected.sum() - 1)
            check(mass < 1e-4, f"{name}: mass is off by {mass:.2e}")
    print(f"{checks} checks, {len(failures)} failed")
    sys.exit(bool(failures))


if __name__ == "__main__":
    main(*sys.argv[1:])
