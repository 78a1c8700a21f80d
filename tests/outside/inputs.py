"""The demo inputs, read without any of landplaster's code: job, boundary, samples, tiers."""

import csv
import tomllib
from pathlib import Path

import numpy as np
import pyogrio
import pyproj
import shapely

DEFAULT_TIERS = [
    {"under": 10, "rate": "0.5 ton/ac"},
    {"from": 10, "to": 15, "rate": "1 ton/ac"},
    {"over": 15, "rate": "2 ton/ac"},
]


METRES = {"ft": 0.3048, "m": 1.0}


def metres(text):
    value, unit = text.split()
    return float(value) * METRES[unit]


class Tier:
    """One rate step; `under` and `over` leave the break out, `from` and `to` take it in."""

    def __init__(self, entry):
        self.low = entry.get("from", entry.get("over", -np.inf))
        self.high = entry.get("to", entry.get("under", np.inf))
        self.takes_low, self.takes_high = "from" in entry, "to" in entry
        amount, self.unit = entry["rate"].split()
        self.rate, self.label = float(amount), entry.get("label")

    def holds(self, cec):
        above = cec >= self.low if self.takes_low else cec > self.low
        below = cec <= self.high if self.takes_high else cec < self.high
        return above & below


class Inputs:
    """What one job file names. Positions are WGS84 longitude and latitude."""

    def __init__(self, job_file):
        self.job_file = Path(job_file)
        self.job = tomllib.loads(self.job_file.read_text(encoding="utf-8"))
        self.name = self.job.get("name", self.job_file.stem)
        self.tiers = [Tier(entry) for entry in self.job.get("tier", DEFAULT_TIERS)]
        self.breaks = sorted(tier.high for tier in self.tiers)[:-1]
        self.boundary = self._boundary()
        self.unmatched = []
        self.positions, self.cec = self._samples()

    def tier_of(self, cec):
        """Tier numbers, 1..m, of an array of CEC values; 0 where no tier holds the value."""
        number = np.zeros(np.shape(cec), int)
        for i, tier in enumerate(self.tiers, 1):
            number[tier.holds(cec)] = i
        return number

    def layer(self, entry):
        """A layer's geometries, WGS84."""
        meta, _, wkb, _ = pyogrio.raw.read(self.job_file.parent / entry["file"])
        to_wgs84 = _to_wgs84(entry.get("crs", meta["crs"]))
        shape = shapely.union_all(shapely.from_wkb(wkb))
        return shapely.transform(shape, lambda p: np.column_stack(to_wgs84(p[:, 0], p[:, 1])))

    def kept_out(self, plane):
        """What the job keeps out, on a plane in metres."""
        near = [(self.layer(entry), metres(entry["distance"])) for entry in self.job.get("keep_out", [])]
        if "hole_setback" in self.job:
            holes = [shapely.Polygon(hole) for part in shapely.get_parts([self.boundary]) for hole in part.interiors]
            near += [(hole, metres(self.job["hole_setback"])) for hole in holes]
        return shapely.union_all([plane.geometry(shape).buffer(distance, quad_segs=64) for shape, distance in near])

    def _entry(self, key):
        entry = self.job[key]
        entry = {"file": entry} if isinstance(entry, str) else dict(entry)
        entry["path"] = self.job_file.parent / entry["file"]
        return entry

    def _boundary(self):
        entry = self._entry("boundary")
        meta, _, wkb, _ = pyogrio.raw.read(entry["path"])
        to_wgs84 = _to_wgs84(entry.get("crs", meta["crs"]))
        field = shapely.union_all(shapely.from_wkb(wkb))
        return shapely.transform(field, lambda p: np.column_stack(to_wgs84(p[:, 0], p[:, 1])))

    def _samples(self):
        entry = self._entry("samples")
        if entry["path"].suffix == ".csv":
            rows = _table(entry["path"])
            points = np.array([(_cell(r, "longitude"), _cell(r, "latitude")) for r in rows], float)
        else:
            meta, _, wkb, columns = pyogrio.raw.read(entry["path"])
            names = list(meta["fields"])
            rows = [dict(zip(names, record)) for record in zip(*columns)]
            points = shapely.get_coordinates(shapely.from_wkb(wkb))
            to_wgs84 = _to_wgs84(entry.get("crs", meta["crs"]))
            points = np.column_stack(to_wgs84(points[:, 0], points[:, 1]))
        if "laboratory" in self.job:
            laboratory = self._entry("laboratory")
            results = {row[laboratory["id"]].strip(): row for row in _table(laboratory["path"])}
            ids = [row[entry["id"]].strip() for row in rows]
            self.unmatched = sorted(set(ids) ^ set(results))
            kept = [i for i, name in enumerate(ids) if name in results]
            points, rows = points[kept], [results[ids[i]] for i in kept]
        return points, np.array([float(_cell(row, "cec")) for row in rows])


def _table(path):
    with open(path, newline="", encoding="utf-8-sig") as lines:
        return list(csv.DictReader(lines))


def _cell(row, start):
    """The one cell whose column name begins so, in any case."""
    [value] = [value for name, value in row.items() if name.lower().startswith(start)]
    return value


def _to_wgs84(crs):
    return pyproj.Transformer.from_crs(crs, "EPSG:4326", always_xy=True).transform
