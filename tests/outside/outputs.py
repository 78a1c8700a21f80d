"""What landplaster wrote for one job, read by other people's programs and by hand."""

import csv
import json
import struct
import warnings
from decimal import Decimal

import numpy as np
import pyogrio
import shapely

FILES = ["zones.geojson", "zones.shp", "zones.shx", "zones.dbf", "zones.prj", "zones.cpg"]
FILES += ["totals.json", "totals.csv", "zones.svg", "zones.kml", "sheet.html"]


class Outputs:
    """The files of one plan folder. Printed figures stay decimal, digit for digit."""

    def __init__(self, folder):
        self.folder = folder
        self.missing = [name for name in FILES if not (folder / name).is_file()]
        if self.missing:
            raise FileNotFoundError(f"{folder}: no {', '.join(self.missing)}")
        self.geojson = _json(folder / "zones.geojson")
        self.totals = _json(folder / "totals.json")
        self.features = self.geojson["features"]
        self.properties = [feature["properties"] for feature in self.features]
        self.rings = [
            [np.array(ring, float) for ring in feature["geometry"]["coordinates"]]
            for feature in self.features
        ]
        self.zones = np.array([shapely.Polygon(r[0], r[1:]) for r in self.rings])

    def most_decimals(self):
        """The longest decimal part of any position in the GeoJSON text."""
        numbers = [
            number
            for feature in self.features
            for ring in feature["geometry"]["coordinates"]
            for position in ring
            for number in position
        ]
        return max(decimals(number) for number in numbers)

    def shapefile(self):
        """CRS, field names, records and geometry through GDAL, and any warning that it gave."""
        with warnings.catch_warnings(record=True) as said:
            warnings.simplefilter("always")
            meta, _, wkb, columns = pyogrio.raw.read(self.folder / "zones.shp")
        names = list(meta["fields"])
        table = dict(zip(names, columns))
        return meta, names, table, shapely.from_wkb(wkb), [str(w.message) for w in said]

    def kml(self):
        """Names and geometry of the KML through GDAL."""
        meta, _, wkb, columns = pyogrio.raw.read(self.folder / "zones.kml")
        return list(columns[list(meta["fields"]).index("Name")]), shapely.from_wkb(wkb)

    def shapefile_rings(self):
        """The rings of every record as they lie in the file, which GDAL may turn round."""
        data = (self.folder / "zones.shp").read_bytes()
        at, shapes = 100, []
        while at < len(data):
            words, kind = struct.unpack(">i", data[at + 4 : at + 8])[0], data[at + 8]
            if kind != 5:
                raise ValueError(f"zones.shp: shape type {kind}, not a polygon")
            parts, points = struct.unpack("<2i", data[at + 44 : at + 52])
            starts = [*struct.unpack(f"<{parts}i", data[at + 52 : at + 52 + 4 * parts]), points]
            body = at + 52 + 4 * parts
            flat = np.frombuffer(data[body : body + 16 * points], "<f8").reshape(-1, 2)
            shapes.append([flat[a:b] for a, b in zip(starts, starts[1:])])
            at += 8 + 2 * words
        return shapes

    def csv_rows(self, area, mass):
        """(area, mass) of every row of totals.csv, under whichever header line stands above it."""
        with open(self.folder / "totals.csv", newline="", encoding="utf-8") as lines:
            rows, places = [], None
            for row in csv.reader(lines):
                if area in row and mass in row:
                    places = row.index(area), row.index(mass)
                elif places and len(row) > max(places) and all(row[i].strip() for i in places):
                    rows.append(tuple(Decimal(row[i]) for i in places))
        return rows


def decimals(number):
    """How many digits stand after the point."""
    exponent = Decimal(number).normalize().as_tuple().exponent
    return max(0, -exponent)


def signed_area(ring):
    """Shoelace area: above zero when the ring runs counter-clockwise."""
    ring = ring - ring[0]
    return 0.5 * float(np.sum(ring[:-1, 0] * ring[1:, 1] - ring[1:, 0] * ring[:-1, 1]))


def _json(path):
    return json.loads(path.read_text(encoding="utf-8"), parse_float=Decimal, parse_int=Decimal)
