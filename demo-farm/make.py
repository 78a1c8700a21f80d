"""Makes the demo farm: every boundary, sample and laboratory value here is invented.

Run from anywhere, in a virtual environment with
    numpy==2.4.6  pyproj==3.7.2  pyshp==3.1.6  shapely==2.2.0
and the same files come out, byte for byte. The positions lie in rural eastern Indiana; the field
outlines, the soil and the farm are drawn, not surveyed.
"""

import csv
import json
import math
from pathlib import Path

import numpy as np
import pyproj
import shapefile
from shapely.geometry import Point, Polygon, mapping
from shapely.geometry.polygon import orient

HERE = Path(__file__).resolve().parent
WGS84 = pyproj.CRS.from_epsg(4326)
STATE_PLANE = pyproj.CRS.from_epsg(2965)  # Indiana East, US survey feet
UTM = pyproj.CRS.from_epsg(32616)  # UTM zone 16 north, metres
DBF_DATE = (2026, 4, 14)  # a fixed day in the DBF headers, so that the bytes do not change
SEEDS = (2152, 2222, 2332)  # one soil a field


class Soil:
    """A smooth random surface: a sum of cosine waves with random directions and phases."""

    def __init__(self, seed, feature_feet, low, high, middle, waves=48):
        rng = np.random.Generator(np.random.PCG64(seed))
        angle = rng.uniform(0, 2 * math.pi, waves)
        # Wavelengths around the feature size, none so short that a soil grid would miss it.
        length = feature_feet * rng.uniform(0.8, 2.2, waves)
        self.east = 2 * math.pi * np.cos(angle) / length
        self.north = 2 * math.pi * np.sin(angle) / length
        self.phase = rng.uniform(0, 2 * math.pi, waves)
        self.low, self.high, self.middle = low, high, middle

    def cec(self, east, north):
        """CEC in meq/100 g at a place in feet: light knolls, dark and heavy low ground."""
        waves = np.cos(self.east * east + self.north * north + self.phase)
        normal = math.sqrt(2 / len(self.phase)) * math.fsum(waves)
        steepness = (self.middle - self.low) / (self.high - self.middle)
        share = 1 / (1 + math.exp(-1.25 * normal) / steepness)
        return self.low + (self.high - self.low) * share


def grid(polygons, spacing, jitter, margin, angle, seed):
    """Sample points in feet: a square grid turned by an angle, walked row by row, with GPS jitter."""
    rng = np.random.Generator(np.random.PCG64(seed))
    inner = [part.buffer(-margin) for part in polygons]
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    reach = int(6000 / spacing)
    points = []
    for row in range(-reach, reach):
        columns = range(-reach, reach)
        for column in columns if row % 2 == 0 else reversed(columns):
            east, north = (column + 0.5) * spacing, (row + 0.5) * spacing
            east, north = east * cos - north * sin, east * sin + north * cos
            east += rng.normal(0, jitter)
            north += rng.normal(0, jitter)
            if any(part.contains(Point(east, north)) for part in inner):
                points.append((east, north))
    return points


class Place:
    """Feet east and north of an anchor, on the State Plane axes."""

    def __init__(self, longitude, latitude):
        forward = pyproj.Transformer.from_crs(WGS84, STATE_PLANE, always_xy=True)
        east, north = forward.transform(longitude, latitude)
        self.east, self.north = round(east), round(north)
        self.to_wgs84 = pyproj.Transformer.from_crs(STATE_PLANE, WGS84, always_xy=True)
        self.to_utm = pyproj.Transformer.from_crs(STATE_PLANE, UTM, always_xy=True)

    def state_plane(self, point):
        return round(self.east + point[0], 2), round(self.north + point[1], 2)

    def lonlat(self, point, decimals=7):
        lon, lat = self.to_wgs84.transform(self.east + point[0], self.north + point[1])
        return round(lon, decimals), round(lat, decimals)

    def utm(self, point):
        east, north = self.to_utm.transform(self.east + point[0], self.north + point[1])
        return round(east, 2), round(north, 2)


def bend(start, end, offsets):
    """Points between two corners, each moved to the left of the way by an offset in feet."""
    (x0, y0), (x1, y1) = start, end
    long = math.hypot(x1 - x0, y1 - y0)
    along = [(i + 1) / (len(offsets) + 1) for i in range(len(offsets))]
    return [
        (x0 + t * (x1 - x0) - o * (y1 - y0) / long, y0 + t * (y1 - y0) + o * (x1 - x0) / long)
        for t, o in zip(along, offsets)
    ]


def driven(ring, step, sway, seed):
    """A ring as a receiver logs it on the way round: a point every step or so, swaying a little."""
    rng = np.random.Generator(np.random.PCG64(seed))
    logged = []
    for start, end in zip(ring, ring[1:] + ring[:1]):
        count = int(math.dist(start, end) / step)
        logged += [start, *bend(start, end, [rng.normal(0, sway) for _ in range(count)])]
    return logged


def write_shapefile(path, kind, crs, fields, rows):
    """A shapefile with its sidecars; `rows` are (geometry, record)."""
    with shapefile.Writer(str(path), shapeType=kind, encoding="utf-8") as out:
        for name, sort, size, decimals in fields:
            out.field(name, sort, size, decimals)
        for geometry, record in rows:
            if kind == shapefile.POINT:
                out.point(*geometry)
            else:
                out.poly(geometry)
            out.record(*record)
    path.with_suffix(".prj").write_text(crs.to_wkt("WKT1_ESRI"), encoding="utf-8")
    path.with_suffix(".cpg").write_text("UTF-8", encoding="utf-8")
    table = path.with_suffix(".dbf")
    data = bytearray(table.read_bytes())
    data[1:4] = bytes((DBF_DATE[0] - 1900, DBF_DATE[1], DBF_DATE[2]))
    table.write_bytes(data)


def write_geojson(path, geometry, properties):
    feature = {"type": "Feature", "properties": properties, "geometry": geometry}
    text = json.dumps({"type": "FeatureCollection", "features": [feature]}, indent=1)
    path.write_text(text + "\n", encoding="utf-8")


def write_line(path, place, line, what):
    coordinates = [place.lonlat(point) for point in line]
    write_geojson(path, {"type": "LineString", "coordinates": coordinates}, {"what": what})


def write_csv(path, header, rows):
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)


def noisy(soil, points, seed):
    """Laboratory CEC at the points, to the printed tenth."""
    rng = np.random.Generator(np.random.PCG64(seed))
    return [round(min(max(soil.cec(*p) + rng.normal(0, 0.45), 4.6), 24.4), 1) for p in points]


def home_lane():
    """About 139 acres: farmyard corner cut out, a ditch along the east, a lane to an old house lot."""
    place = Place(-85.2140, 40.4870)
    ditch = bend((2590, 60), (2455, 2610), [0, -35, -70, -42, 18, 66, 90, 64, 21, -12])
    ring = [(12, 14), (455, 10), (458, 410), (400, 412), (402, 540), (560, 538), (557, 408)]
    ring += [(482, 409), (479, 9), (1720, 2), (2590, 60)]
    ring += ditch
    ring += [(2455, 2610), (2020, 2622), (1290, 2618), (744, 2614), (738, 2190), (640, 2052)]
    ring += [(410, 2010), (22, 2004), (16, 1180)]
    field = orient(Polygon(ring), -1)
    outline = [place.state_plane(p) for p in field.exterior.coords]
    folder = HERE / "home-lane"
    folder.mkdir(exist_ok=True)
    acres = field.area / 43560
    write_shapefile(
        folder / "boundary.shp",
        shapefile.POLYGON,
        STATE_PLANE,
        [("FARM", "C", 24, 0), ("FIELD", "C", 24, 0)],
        [([outline], ("Sorrel Kettle Farm", "Home Lane"))],
    )
    points = grid([field], 279, 11, 22, 0.6, 2101)
    values = noisy(Soil(SEEDS[0], 1050, 4.8, 23.5, 12.2), points, 2103)
    rng = np.random.Generator(np.random.PCG64(2104))
    rows = []
    for i, (point, cec) in enumerate(zip(points, values), 1):
        lon, lat = place.lonlat(point)
        matter = round(0.9 + 0.13 * cec + rng.normal(0, 0.15), 1)
        rows.append((f"HL{i:03}", f"{lon:.7f}", f"{lat:.7f}", f"{6.4 + rng.normal(0, 0.3):.1f}", matter, cec))
    write_csv(folder / "samples.csv", ["sample", "longitude", "latitude", "pH", "OM", "CEC"], rows)
    return acres, [field], points, values


def pond_quarter():
    """About 60 acres around a pond; points and laboratory table come apart, as a laboratory sends them."""
    place = Place(-85.1480, 40.5240)
    north = bend((1330, 1985), (14, 2010), [0, 10, 26, 18, -4])
    ring = [(0, 0), (870, -6), (1322, 40), (1338, 980), (1330, 1985), *north, (14, 2010), (6, 900)]
    pond = []
    for i in range(22):
        turn = 2 * math.pi * i / 22
        wide = 1 + 0.14 * math.cos(2 * turn + 0.5) + 0.07 * math.sin(3 * turn)
        pond.append((560 + 178 * wide * math.cos(turn), 1130 + 128 * wide * math.sin(turn)))
    field = orient(Polygon(ring, [pond]), 1)
    folder = HERE / "pond-quarter"
    folder.mkdir(exist_ok=True)
    rings = [[place.lonlat(p) for p in r.coords] for r in (field.exterior, *field.interiors)]
    write_geojson(
        folder / "boundary.geojson",
        {"type": "Polygon", "coordinates": rings},
        {"farm": "Sorrel Kettle Farm", "field": "Pond Quarter"},
    )
    points = grid([field], 236, 10, 20, 2.4, 2201)
    values = noisy(Soil(SEEDS[1], 820, 4.8, 23, 12.4), points, 2203)
    ids = [f"PQ-{i:03}" for i in range(1, len(points) + 1)]
    rows = []
    for name, point in zip(ids, points):
        lon, lat = place.lonlat(point)
        rows.append((name, f"{lon:.7f}", f"{lat:.7f}", 8))
    write_csv(folder / "points.csv", ["Sample ID", "Longitude", "Latitude", "Depth in"], rows)
    write_csv(folder / "laboratory.csv", *laboratory(ids, values))
    # What spreader and pile keep from: a ditch from the west side down to the pond, a well by the lane, the
    # pond itself; and the lane that road trucks come by.
    ditch = [(6, 1420), (150, 1396), (268, 1310), (372, 1190)]
    write_line(folder / "ditch.geojson", place, ditch, "open ditch")
    write_line(folder / "lane.geojson", place, [(1352, 880), (1120, 872), (905, 850), (700, 846)], "field lane")
    well = {"type": "Point", "coordinates": place.lonlat((742, 930))}
    write_geojson(folder / "well.geojson", well, {"what": "well"})
    water = [[place.lonlat(p) for p in [*pond, pond[0]]]]
    write_geojson(folder / "pond.geojson", {"type": "Polygon", "coordinates": water}, {"what": "pond"})
    return field.area / 43560, [field], points, values


def laboratory(ids, values):
    """The laboratory's table: extracted nutrients in ppm, CEC by summation, saturations in percent."""
    rng = np.random.Generator(np.random.PCG64(2204))
    salt = np.random.Generator(np.random.PCG64(2205))  # its own, so that the others stay as they are
    header = ["Lab No", "Sample ID", "Soil pH", "Buffer pH", "OM %", "P ppm", "K ppm", "Mg ppm"]
    header += ["Ca ppm", "CEC meq/100g", "K sat %", "Mg sat %", "Ca sat %", "H sat %", "Na ppm"]
    rows = []
    for i, (name, cec) in enumerate(zip(ids, values)):
        ph = min(max(6.4 + rng.normal(0, 0.35), 5.6), 7.2)
        acid = max(0.0, (7.0 - ph) * 16 + rng.normal(0, 1.2))
        buffer = 7.0 - acid / 100 * cec / 12 if acid > 0 else 7.0
        potassium = rng.uniform(1.8, 3.9)
        magnesium = rng.uniform(13, 21)
        calcium = 100 - acid - potassium - magnesium
        ppm = [share / 100 * cec * each for share, each in ((potassium, 391), (magnesium, 121.5), (calcium, 200.4))]
        row = [26418 + i, name, f"{ph:.1f}", f"{buffer:.1f}", f"{0.9 + 0.13 * cec + rng.normal(0, 0.15):.1f}"]
        row += [round(12 + 30 * rng.gamma(2, 0.6)), *(round(p) for p in ppm), f"{cec:.1f}"]
        row += [f"{potassium:.1f}", f"{magnesium:.1f}", f"{calcium:.1f}", f"{acid:.1f}"]
        # Sodium is measured beside the sum, as laboratories in humid country do.
        row.append(round(salt.uniform(0.2, 0.8) / 100 * cec * 230))
        rows.append(row)
    rows[22][1] = "PQ-O23"  # typed at the laboratory with a letter O: it belongs to PQ-023
    # A laboratory sorts by nothing that a map knows: the second tray came out first.
    return header, rows[24:] + rows[:24]


def creek_bottom():
    """About 25 acres in two parts, with a creek and its strip of trees between them."""
    place = Place(-85.1085, 40.4435)
    west_bank = bend((610, 0), (742, 1190), [24, -30, -62, -18, 44, 52, 6])
    east_bank = bend((790, 1188), (672, 6), [-22, -50, -38, 22, 58, 30, -14])
    west = [(0, 8), (300, 4), (610, 0), *west_bank, (742, 1190), (120, 1184), (8, 1080)]
    east = [(672, 6), (1010, 20), (1024, 640), (930, 1010), (790, 1188), *east_bank]
    parts = [orient(Polygon(driven(ring, 55, 0.8, seed)), 1) for ring, seed in ((west, 2304), (east, 2305))]
    folder = HERE / "creek-bottom"
    folder.mkdir(exist_ok=True)
    rings = [[[place.lonlat(p) for p in part.exterior.coords]] for part in parts]
    write_geojson(
        folder / "boundary.geojson",
        {"type": "MultiPolygon", "coordinates": rings},
        {"farm": "Sorrel Kettle Farm", "field": "Creek Bottom"},
    )
    points = grid(parts, 173, 7, 15, -4, 2301)
    values = noisy(Soil(SEEDS[2], 640, 4.8, 23.5, 12.0), points, 2303)
    rows = [(place.utm(p), (i, cec, 8)) for i, (p, cec) in enumerate(zip(points, values), 1)]
    fields = [("SAMPLE", "N", 6, 0), ("CEC", "N", 8, 1), ("DEPTH_IN", "N", 4, 0)]
    write_shapefile(folder / "samples.shp", shapefile.POINT, UTM, fields, rows)
    # The creek between the two parts, half way from bank to bank.
    middle = [((a + c) / 2, (b + d) / 2) for (a, b), (c, d) in zip(west_bank, reversed(east_bank))]
    write_line(folder / "creek.geojson", place, [(641, 3), *middle, (766, 1189)], "creek")
    return sum(p.area for p in parts) / 43560, parts, points, values


if __name__ == "__main__":
    for make in (home_lane, pond_quarter, creek_bottom):
        acres, parts, points, values = make()
        assert all(part.is_valid for part in parts)
        print(
            f"{make.__name__}: {acres:.1f} ac, {len(points)} samples, CEC {min(values)} to {max(values)},"
            f" {sum(v < 10 for v in values)} under 10, {sum(v > 15 for v in values)} over 15"
        )
