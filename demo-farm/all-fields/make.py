"""Writes the demo farm's fields into one file and their samples into another, as a farm has them.

    python3 demo-farm/all-fields/make.py     (needs numpy, pyogrio, pyproj and shapely)
"""

import csv
import json
from pathlib import Path

import numpy
import pyogrio
import pyproj
import shapely

FARM = Path(__file__).parent.parent


def read(path):
    """Shapes in longitude and latitude, and the columns."""
    meta, _, wkb, columns = pyogrio.raw.read(path)
    turn = pyproj.Transformer.from_crs(meta["crs"], "EPSG:4326", always_xy=True).transform
    shapes = [shapely.transform(s, lambda p: numpy.column_stack(turn(p[:, 0], p[:, 1]))) for s in shapely.from_wkb(wkb)]
    return shapes, dict(zip(meta["fields"], columns))


def table(path):
    with open(path, newline="", encoding="utf-8-sig") as lines:
        return list(csv.DictReader(lines))


def value(row, start):
    [found] = [value for name, value in row.items() if name.lower().startswith(start)]
    return found


boundaries = {"home-lane": "boundary.shp", "pond-quarter": "boundary.geojson", "creek-bottom": "boundary.geojson"}
features = []
for name, file in boundaries.items():
    shapes, _ = read(FARM / name / file)
    shape = shapely.set_precision(shapely.union_all(shapes), 0)
    geometry = json.loads(shapely.to_geojson(shapely.transform(shape, lambda p: p.round(8))))
    features.append({"type": "Feature", "properties": {"Field": name}, "geometry": geometry})
text = json.dumps({"type": "FeatureCollection", "features": features}, indent=1)
(FARM / "all-fields/fields.geojson").write_text(text + "\n")

rows = [(row, value(row, "longitude"), value(row, "latitude"), value(row, "cec")) for row in table(FARM / "home-lane/samples.csv")]
rows = [("home-lane", x, y, cec) for _, x, y, cec in rows]
results = {row["Sample ID"].strip(): row for row in table(FARM / "pond-quarter/laboratory.csv")}
for row in table(FARM / "pond-quarter/points.csv"):
    result = results.get(row["Sample ID"].strip())
    if result:
        rows.append(("pond-quarter", value(row, "longitude"), value(row, "latitude"), value(result, "cec")))
points, columns = read(FARM / "creek-bottom/samples.shp")
for point, cec in zip(points, columns["CEC"]):
    rows.append(("creek-bottom", f"{point.x:.7f}", f"{point.y:.7f}", f"{cec:g}"))
with open(FARM / "all-fields/samples.csv", "w", newline="", encoding="utf-8") as out:
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["Sample ID", "Field", "Longitude", "Latitude", "CEC (meq/100 g)"])
    writer.writerows([number, *row] for number, row in enumerate(rows, 1))
