"""Writes the demo fields in every format that is read, with GDAL, plans them, and compares.

    python formats.py PROGRAM DEMO_FARM

Where the coordinates are the source's, zones.geojson must be the same byte for byte; in another
coordinate system areas and tons must agree. What the program writes is read: its GeoPackage by GDAL,
its GeoPackage, KML and task data by itself. Polygons that it merges are held against GEOS.
"""

import json
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import numpy
import pyogrio
import pyproj
import shapely

PROGRAM, DEMO = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()
# Degrees on another datum's realization, survey feet of a state plane, meters of a UTM zone.
SYSTEMS = ["EPSG:4326", "EPSG:2965", "EPSG:32616"]
FORMATS = {
    "geojson": ("GeoJSON", "EPSG:4326"),
    "shp": ("ESRI Shapefile", None),
    "gpkg": ("GPKG", None),
    "kml": ("LIBKML", "EPSG:4326"),
    "kmz": ("LIBKML", "EPSG:4326"),
    "plain.kml": ("KML", "EPSG:4326"),
    "zip": ("ESRI Shapefile", None),
}


def write(path, driver, crs, kind, shapes, names, columns):
    """One layer as GDAL writes it; degrees go in as text reads them, with every digit."""
    moved = shapes
    if crs != "EPSG:4326":
        there = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True)
        moved = [
            shapely.transform(s, lambda xy: numpy.column_stack(there.transform(*xy.T)))
            for s in shapes
        ]
    options = {"COORDINATE_PRECISION": "17"} if driver == "GeoJSON" else {}
    fields = [numpy.array(column, dtype=object) for column in columns]
    wkb = numpy.array([shapely.to_wkb(shape) for shape in moved], dtype=object)
    pyogrio.raw.write(
        path, wkb, fields, names, driver=driver, geometry_type=kind, crs=crs, layer=path.stem, **options
    )


def written(folder, ending, crs, kind, shapes, names, columns, stem):
    """The file of a format, and whether its coordinates are the source's digit by digit."""
    driver, only = FORMATS[ending]
    if only and only != crs:
        return None
    name = f"{stem}-{ending.replace('.', '-')}-{crs[5:]}"
    if ending == "zip":
        inner = folder / f"{name}.shp"
        write(inner, driver, crs, kind, shapes, names, columns)
        path = folder / f"{name}.zip"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for part in sorted(folder.glob(f"{name}.*")):
                if part != path:
                    archive.write(part, f"export/{part.name}")
                    part.unlink()
        return path
    path = folder / f"{name}.{ending.split('.')[-1]}"
    write(path, driver, crs, kind, shapes, names, columns)
    return path


def run(*arguments):
    return subprocess.run([PROGRAM, *arguments], capture_output=True, text=True)


def planned(folder, label, boundary, samples, settings="", also=()):
    job = folder / f"{label}.toml"
    name = boundary.relative_to(folder)
    job.write_text(
        f'name = "{label}"\nboundary = {{ file = "{name}"{settings} }}\nsamples = "{samples.name}"\n'
    )
    done = run("plan", job, "--out", folder / "plans", *also)
    if done.returncode:
        sys.exit(f"{label}: {done.stderr}")
    out = folder / "plans" / label
    return (out / "zones.geojson").read_bytes(), json.loads((out / "totals.json").read_text())["total"]


def source(job):
    """A demo field's polygons and samples in degrees, as its plan has them."""
    boundary = DEMO / job / ("boundary.shp" if (DEMO / job / "boundary.shp").exists() else "boundary.geojson")
    meta, _, wkb, _ = pyogrio.raw.read(boundary)
    shapes = shapely.from_wkb(wkb)
    if not pyproj.CRS(meta["crs"]).is_geographic:
        back = pyproj.Transformer.from_crs(meta["crs"], "EPSG:4326", always_xy=True)
        shapes = [shapely.transform(s, lambda xy: numpy.column_stack(back.transform(*xy.T))) for s in shapes]
    # As a receiver has them: eight decimals.
    return [shapely.transform(shape, lambda xy: numpy.round(xy, 8)) for shape in shapes]


def samples_in(shapes, count, seed):
    """Invented samples on a jittered grid within a field: ids, points, CEC."""
    random = numpy.random.default_rng(seed)
    whole = shapely.union_all(shapes)
    west, south, east, north = whole.bounds
    points, side = [], int(count**0.5) + 1
    for row in range(side):
        for column in range(side):
            jitter = random.uniform(0.2, 0.8, 2)
            at = numpy.round([west + (column + jitter[0]) / side * (east - west), south + (row + jitter[1]) / side * (north - south)], 7)
            if whole.contains(shapely.Point(at)):
                points.append(at)
    cec = [round(float(12 + 6 * numpy.sin(900 * x) + 3 * numpy.cos(1300 * y)), 1) for x, y in points]
    return [f"S{n:03}" for n in range(len(points))], [shapely.Point(at) for at in points], cec


def own_files(folder, points, zones):
    """What the program writes, read by GDAL and by itself."""
    boundary = next(folder.glob("field-geojson-*"))
    also = ("--also", "gpkg", "--also", "taskdata")
    planned(folder, "own", boundary, points, also=also)
    out = folder / "plans" / "own"
    layers = [str(name) for name in pyogrio.list_layers(out / "zones.gpkg")[:, 0]]
    assert layers[:1] == ["zones"] and "samples" in layers, layers
    _, _, wkb, fields = pyogrio.raw.read(out / "zones.gpkg", layer="zones")
    features = json.loads(zones)["features"]
    assert len(wkb) == len(features)
    for number, feature in enumerate(features):
        ours = shapely.from_wkb(wkb[number])
        assert ours.equals_exact(shapely.geometry.shape(feature["geometry"]), 0.0), "a zone of the GeoPackage"
        assert [column[number] for column in fields] == list(feature["properties"].values())
    first = (out / "zones.gpkg").read_bytes()
    planned(folder, "own", boundary, points, also=also)
    assert (out / "zones.gpkg").read_bytes() == first, "the GeoPackage is not the same twice"
    for name in ("zones.gpkg", "zones.kml"):
        seen = run("inspect", out / name, "--json")
        total = sum(zone["area"] or 0 for zone in json.loads(seen.stdout)[0]["zones"]) if seen.stdout else 0
        assert seen.returncode == 0 and total > 0, f"{name}: {seen.stdout} {seen.stderr}"
    for name in ("TASKDATA", "TASKDATA/TASKDATA.XML", "taskdata.zip"):
        again, _ = planned(folder, "stick", out / name, points)
        assert again == zones, f"the field of {name}"


def merged(folder, parts, points):
    """A field in pieces that touch, with a pond as a polygon of its own, against GEOS."""
    whole = max(parts, key=lambda part: part.area)
    middle = whole.representative_point()
    west, south, east, north = whole.bounds
    sides = [shapely.box(west, south, middle.x, north), shapely.box(middle.x, south, east, north)]
    pieces = [p for side in sides for p in shapely.get_parts(whole.intersection(side)) if p.area]
    pieces = [shapely.set_precision(piece, 1e-8) for piece in pieces]
    file = folder / "pieces.gpkg"
    write(file, "GPKG", "EPSG:4326", "Polygon", pieces, ["NAME"], [[f"piece {n}" for n in range(len(pieces))]])
    job = folder / "merged.toml"
    job.write_text(f'boundary = "pieces.gpkg"\nsamples = "{points.name}"\n')
    refused = run("plan", job, "--out", folder / "plans")
    assert refused.returncode == 2 and "merge = true" in refused.stderr, refused.stderr
    compared(folder, file, points, shapely.union_all(pieces))
    center = pieces[0].representative_point()
    pond = shapely.transform(center.buffer(0.0002, 3), lambda xy: numpy.round(xy, 8))
    assert pieces[0].contains(pond)
    names = [str(n) for n in range(len(pieces) + 1)]
    write(file, "GPKG", "EPSG:4326", "Polygon", [*pieces, pond], ["NAME"], [names])
    compared(folder, file, points, shapely.union_all(pieces).difference(pond))


def compared(folder, file, points, wanted):
    zones, _ = planned(folder, "merged", file, points, ", merge = true")
    shapes = [shapely.geometry.shape(feature["geometry"]) for feature in json.loads(zones)["features"]]
    apart = shapely.union_all(shapes).symmetric_difference(wanted).area / wanted.area
    assert apart < 1e-6, f"merged: {apart} of the field differs from GEOS"


def main():
    runs = 0
    for seed, job in enumerate(["home-lane", "pond-quarter", "creek-bottom"]):
        shapes = source(job)
        parts = [part for shape in shapes for part in shapely.get_parts(shape)]
        field = [shapely.MultiPolygon(parts)] if len(parts) > 1 else parts
        kind = "MultiPolygon" if len(parts) > 1 else "Polygon"
        ids, points, cec = samples_in(parts, 40, seed)
        with tempfile.TemporaryDirectory() as folder:
            folder = Path(folder)
            names = ([["FIELD"], [[job]]], [["SAMPLE", "CEC"], [ids, cec]])
            made = {}
            for ending in FORMATS:
                for crs in SYSTEMS:
                    boundary = written(folder, ending, crs, kind, field, *names[0], "field")
                    point_file = written(folder, ending, crs, "Point", points, *names[1], "points")
                    if boundary:
                        made[ending, crs] = planned(folder, f"{ending.replace('.', '-')}-{crs[5:]}", boundary, point_file)
                        runs += 1
            zones, total = made["geojson", "EPSG:4326"]
            for (ending, crs), (others, sum_of) in made.items():
                # GDAL's KML has 15 significant digits, as many as eight decimals need.
                if crs == "EPSG:4326":
                    assert others == zones, f"{job}, {ending}: the zones are not the same"
                for key, value in total.items():
                    if isinstance(value, (int, float)):
                        assert abs(sum_of[key] - value) <= 0.02, f"{job}, {ending}, {crs}: {key}"
            degrees = next(folder.glob("points-geojson-4326.*"))
            own_files(folder, degrees, zones)
            merged(folder, parts, degrees)
            print(f"{job}: {len(made)} files of {len(FORMATS)} formats, all the same")
    print(f"{runs} plans, of every format in {len(SYSTEMS)} coordinate systems where it has any")


main()
