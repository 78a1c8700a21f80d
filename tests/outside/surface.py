"""Inverse distance weighting by brute force, in metres on a plane laid at the field."""

import numpy as np
import pyproj
import shapely


class Plane:
    """Lambert azimuthal equal-area at the field: distances in a two-mile field to about 1e-7."""

    def __init__(self, field):
        at = field.centroid
        crs = f"+proj=laea +lat_0={at.y:.6f} +lon_0={at.x:.6f} +datum=WGS84 +units=m +type=crs"
        self.transform = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True).transform

    def points(self, lonlat):
        lonlat = np.asarray(lonlat, float)
        return np.column_stack(self.transform(lonlat[:, 0], lonlat[:, 1]))

    def geometry(self, geometry):
        return shapely.transform(geometry, self.points)


class Surface:
    """CEC from samples, with power and neighbours as `totals.json` states them."""

    def __init__(self, samples, cec, settings):
        assert settings.get("radius") is None, "this check knows no search radius"
        self.samples, self.cec = samples, cec
        self.power, self.neighbors = float(settings["power"]), settings["neighbors"]
        self.taper = settings["taper"]

    def at(self, places):
        """Values, and the gap in metres between the last neighbour taken and the first left out."""
        values, gaps = np.empty(len(places)), np.full(len(places), np.inf)
        for start in range(0, len(places), 20_000):
            part = slice(start, start + 20_000)
            values[part], gaps[part] = self._block(places[part])
        return values, gaps

    def _block(self, places):
        apart = np.hypot(
            places[:, None, 0] - self.samples[None, :, 0],
            places[:, None, 1] - self.samples[None, :, 1],
        )
        order = np.sort(apart, axis=1)
        count, gap = len(self.cec), np.full(len(places), np.inf)
        if self.taper and self.neighbors != "all" and int(self.neighbors) < count:
            return self._tapered(apart, order[:, int(self.neighbors)]), gap
        if self.neighbors != "all" and int(self.neighbors) < count:
            count = int(self.neighbors)
            gap = order[:, count] - order[:, count - 1]
        # Ties at the last distance are all taken; 1e-9 m is far below any rounding of positions.
        taken = apart <= order[:, count - 1 : count] + 1e-9
        nearest = order[:, :1]
        # Scaled by the nearest distance, so that nothing overflows; an exact hit weighs alone.
        with np.errstate(divide="ignore", invalid="ignore"):
            weight = np.where(taken, (nearest / apart) ** self.power, 0.0)
        hit = apart == 0.0
        weight = np.where(hit.any(axis=1, keepdims=True), hit.astype(float), weight)
        return weight @ self.cec / weight.sum(axis=1), gap

    def _tapered(self, apart, end):
        """Franke and Little's weight, which is nothing from the first sample left out on."""
        end = end[:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            weight = (np.maximum(end - apart, 0.0) / (end * apart)) ** self.power
        hit = apart == 0.0
        weight = np.where(hit.any(axis=1, keepdims=True), hit.astype(float), weight)
        return weight @ self.cec / weight.sum(axis=1)
