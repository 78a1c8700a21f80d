"""Plans a farm of 20 named fields and 700 samples, written with GDAL and openpyxl, with one command, and
holds it against 20 jobs with a boundary and samples of their own.

    python tests/outside/many_fields.py target/release/landplaster
"""

import csv
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import openpyxl
import pyogrio
import pyproj
import shapely

FIELDS, SAMPLES = 20, 700
# Indiana East in survey feet, UTM zone 16 north, and degrees.
SYSTEMS = ["EPSG:2965", "EPSG:32616", "EPSG:4326"]
FORMATS = {"shp": "ESRI Shapefile", "gpkg": "GPKG", "kml": "KML"}


def farm():
    """Squares of half a mile a side in rows of five, a road's width apart, and samples on a jittered grid."""
    random = np.random.default_rng(20)
    names, shapes, rows = [], [], []
    for number in range(FIELDS):
        west, south = 600_000 + 820 * (number % 5), 4_480_000 + 820 * (number // 5)
        names.append(f"Field {number + 1}")
        shapes.append(shapely.box(west, south, west + 800, south + 800))
        for at in range(SAMPLES // FIELDS):
            x, y = west + 80 + 107 * (at % 7), south + 80 + 160 * (at // 7)
            x, y = x + random.uniform(-30, 30), y + random.uniform(-30, 30)
            cec = 12 + 5 * np.sin(x / 300) + 3 * np.cos(y / 400) + random.normal(0, 0.5)
            rows.append((names[-1], x, y, round(float(cec), 1)))
    to_wgs84 = pyproj.Transformer.from_crs("EPSG:32616", "EPSG:4326", always_xy=True).transform
    return names, shapes, [(name, *(f"{v:.8f}" for v in to_wgs84(x, y)), cec) for name, x, y, cec in rows]


def write(path, names, shapes, crs, driver):
    turn = pyproj.Transformer.from_crs("EPSG:32616", crs, always_xy=True).transform
    turned = [shapely.transform(s, lambda p: np.column_stack(turn(p[:, 0], p[:, 1]))) for s in shapes]
    pyogrio.raw.write(
        path, shapely.to_wkb(turned), [np.array(names, dtype=object)], ["Name"], geometry_type="Polygon", crs=crs, driver=driver
    )


def run(program, folder, *arguments):
    start = time.perf_counter()
    done = subprocess.run([program, "plan", *arguments], cwd=folder, capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{arguments}: {done.stderr}")
    return time.perf_counter() - start


def total(place):
    return json.loads(place.read_text())["total"]


def main():
    program = Path(sys.argv[1]).resolve()
    names, shapes, rows = farm()
    failed = False
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        header = ["Field", "Sample ID", "Longitude", "Latitude", "CEC"]
        table = [[name, number, x, y, cec] for number, (name, x, y, cec) in enumerate(rows, 1)]
        book = openpyxl.Workbook()
        # Without the column that says the field, too: then samples are where they lie.
        for line in [header, *table]:
            book.active.append([float(v) if i in (2, 3) and v != line[0] and line is not header else v for i, v in enumerate(line)])
        book.save(folder / "all.xlsx")
        with open(folder / "places.csv", "w", newline="") as out:
            csv.writer(out).writerows([line[1:] for line in [header, *table]])
        for name in names:
            with open(folder / f"{name}.csv", "w", newline="") as out:
                csv.writer(out).writerows([line for line in [header, *table] if line in (header,) or line[0] == name])
        write(folder / "one.shp", names, shapes, SYSTEMS[1], "ESRI Shapefile")
        for name in names:
            run(program, folder, "--boundary", "one.shp", "--field", name, "--samples", f"{name}.csv", "--out", "alone")
        for ending, driver in FORMATS.items():
            for crs in SYSTEMS if ending != "kml" else ["EPSG:4326"]:
                file = f"farm-{crs[5:]}.{ending}"
                write(folder / file, names, shapes, crs, driver)
                for samples in ["all.xlsx", "places.csv"]:
                    seconds = run(program, folder, "--boundaries", file, "--samples", samples, "--out", "all", "--fresh")
                    wrong = [n for n in names if total(folder / "all" / n / "totals.json") != total(folder / "alone" / n / "totals.json")]
                    farm_total = json.loads((folder / "all" / Path(file).stem / "farm.json").read_text())["total"]
                    tons = sum(total(folder / "alone" / n / "totals.json")["tons"] for n in names)
                    ok = not wrong and abs(farm_total["tons"] - tons) < 0.005 and farm_total["fields"] == FIELDS
                    failed |= not ok
                    print(f"{'ok  ' if ok else 'FAIL'} {file}, {samples}: {FIELDS} fields in {seconds:.2f} s {wrong or ''}")
    sys.exit(failed)


if __name__ == "__main__":
    main()
