"""Task data as other people's programs read it.

    python taskdata.py PROGRAM FARM NODE_FOLDER

Plans every job of FARM in each form of ISO 11783-10, in both versions as it is and in version 4 with
keep-outs, along passes and without the clean-up, then
 - validates TASKDATA.XML against the schema that `isoxml-writer` carries (version 4.3, which takes
   documents of version 3 too; a schema of its own for version 3 is in no package registry),
 - reads the folder with the `isoxml` package of PyPI (strictly: nothing unknown passes) and the
   archive with the `isoxml` package of npm,
 - compares the rates that both give at 1,000 random points of the field, and at up to 200 around
   it, with those of the planned zones,
 - rebuilds every grid from the planned zones with GEOS and its place with GeographicLib.
"""

import importlib.resources
import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import isoxml.models.base.v3 as version_3
import isoxml.models.base.v4 as version_4
import isoxml_writer
import numpy as np
import shapely
import xmlschema
from geographiclib.geodesic import Geodesic
from isoxml.converter.np_grid import to_numpy_array
from isoxml.converter.shapely_geom import ShapelyConverterV3, ShapelyConverterV4
from isoxml.util.isoxml_io import isoxml_from_path
from xsdata.formats.dataclass.parsers import XmlParser
from xsdata.formats.dataclass.parsers.config import ParserConfig

FORMS = ["zones", "zone grid", "rate grid"]
KEEP_OUT = '[[keep_out]]\nfile = "keep-out.geojson"\ndistance = "50 ft"\nwhy = "water"\n'
# What is put before and behind a job, and the versions to try.
SITUATIONS = {
    "as it is": ("", "", (3, 4)),
    "keep-outs left out": ("", f'{KEEP_OUT}[zones]\nunspread = "leave out"\n', (4,)),
    "keep-outs at rate 0": ("", f'{KEEP_OUT}[zones]\nunspread = "rate 0"\n', (4,)),
    "along passes": ('swath = "60 ft"\n', "[zones]\nheading = 30\n", (4,)),
    "no clean-up": ("", "[zones]\nclean_up = false\n", (4,)),
}
POINTS, POINTS_OUTSIDE = 1000, 200
MILLIGRAMS = {"ton/ac": 907_184_740 / 4046.8564224, "t/ha": 100_000}
SETPOINT = bytes.fromhex("0006")
STRICT = ParserConfig(fail_on_unknown_properties=True, fail_on_unknown_attributes=True)


class Report:
    passed = failed = 0

    def check(self, name, holds, detail=""):
        self.passed += bool(holds)
        self.failed += not holds
        if not holds:
            print(f"FAIL {name} {detail}")


def planned(folder):
    """The zones of `zones.geojson` and their setpoints in mg/m2."""
    features = json.loads((folder / "zones.geojson").read_text())["features"]
    zones = np.array([shapely.from_geojson(json.dumps(f["geometry"])) for f in features])
    rates = [round(f["properties"]["rate"] * MILLIGRAMS[f["properties"]["rate_unit"]]) for f in features]
    return zones, np.array(rates)


def clear_points(zones, rates, margin):
    """Random points in the zones and around them, farther from any border than a margin in degrees,
    the rates of the zones that they are in, and how many are in zones."""
    random = np.random.default_rng(7)
    low, high = np.split(shapely.total_bounds(zones), 2)
    points = random.uniform(low, high, (60 * POINTS, 2))
    places = shapely.points(points)
    found, near = np.full(len(points), -1), np.full(len(points), np.inf)
    for zone, rate in zip(zones, rates):
        found[shapely.contains_xy(zone, points)] = rate
        near = np.minimum(near, shapely.distance(zone.boundary, places))
    inside = np.flatnonzero((near > margin) & (found >= 0))[:POINTS]
    outside = np.flatnonzero((near > margin) & (found < 0))[:POINTS_OUTSIDE]
    clear = np.concatenate([inside, outside])
    return points[clear], np.maximum(found[clear], 0), len(inside)


def setpoint(treatment):
    [value] = [v.process_data_value for v in treatment.process_data_variables if v.process_data_ddi == SETPOINT]
    return value


def by_isoxml(folder, version):
    """The field's boundary, a function from points to rates, and the grid if there is one, as PyPI's
    isoxml reads them."""
    module = version_4 if version == 4 else version_3
    XmlParser(STRICT).from_path(folder / "TASKDATA.XML", module.Iso11783TaskData)
    data, files = isoxml_from_path(folder)
    [task] = data.tasks
    codes = {zone.code: setpoint(zone) for zone in task.treatment_zones}
    outside = codes[task.out_of_field_treatment_zone_code]
    converter = ShapelyConverterV4() if version == 4 else ShapelyConverterV3()
    boundary = converter.to_shapely_multi_polygon(data.partfields[0].polygons)
    if not task.grids:
        shapes = [
            (converter.to_shapely_multi_polygon(zone.polygons), codes[zone.code])
            for zone in task.treatment_zones
            if zone.polygons
        ]

        def rate_at(points):
            found = np.full(len(points), outside)
            for shape, rate in shapes:
                found[shapely.contains_xy(shape, points)] = rate
            return found

        return boundary, rate_at, None
    [grid] = task.grids
    values = to_numpy_array(files[grid.filename], grid)
    if grid.type.value == "1":
        values = np.vectorize(codes.get)(values)
    corner = np.array([float(grid.minimum_east_position), float(grid.minimum_north_position)])
    cell = np.array([grid.cell_east_size, grid.cell_north_size])

    def rate_at(points):
        column, row = np.floor((points - corner) / cell).astype(int).T
        return values[row, column]

    return boundary, rate_at, (corner, cell, values)


def rebuilt(zones, rates, kept_out, corner, cell, shape):
    """The value of every cell: the rate with the most area in it, but 0 where more than a hundredth
    of it is kept from; the second largest area tells how close it was."""
    rows, columns = shape
    east = corner[0] + np.arange(columns) * cell[0]
    north = corner[1] + np.arange(rows) * cell[1]
    boxes = shapely.box(east, north[:, None], east + cell[0], north[:, None] + cell[1])
    levels = np.unique(rates)
    areas = np.array([
        shapely.area(shapely.intersection(boxes, shapely.union_all(zones[rates == level])))
        for level in levels
    ]) / (cell[0] * cell[1])
    best = areas.argmax(axis=0)
    value = np.where(areas.max(axis=0) > 1e-9, levels[best], 0)
    order = np.sort(areas, axis=0)
    close = order[-1] - order[-2] < 1e-6 if len(levels) > 1 else np.zeros(shape, bool)
    share = shapely.area(shapely.intersection(boxes, kept_out)) / (cell[0] * cell[1])
    value = np.where(share > 0.01, 0, value)
    # Positions are written to 1e-8 degrees: an edge may be that far off, all along a cell.
    close |= np.abs(share - 0.01) < 3e-8 / cell.min()
    return value, areas, levels, close | ((order[-1] < 1e-6) & (order[-1] > 0))


def check_grid(report, name, zones, rates, kept_out, grid, totals):
    corner, cell, values = grid
    low = shapely.total_bounds(zones)
    off = Geodesic.WGS84.Inverse(low[1], low[0], corner[1], corner[0])["s12"]
    report.check(f"{name}: the corner is that of the zones, to 1 cm", off < 0.01, f"{off:.4f} m")
    far = corner + cell * np.array(values.shape[::-1])
    report.check(f"{name}: the grid reaches over the zones", (far >= low[2:]).all(), f"{far} {low}")
    # A thousand cells on, a wrong side would have moved them by this.
    middle = (low[1] + low[3]) / 2
    side = totals["task_data"]["cell"] * (0.3048 if totals["task_data"]["cell_unit"] == "ft" else 1)
    for step in [(1000 * cell[0], 0), (0, 1000 * cell[1])]:
        span = Geodesic.WGS84.Inverse(
            middle - step[1] / 2, corner[0] - step[0] / 2, middle + step[1] / 2, corner[0] + step[0] / 2
        )["s12"]
        report.check(f"{name}: the cells have the stated side", abs(span / 1000 - side) < 1e-3 * side, f"{span / 1000} {side}")
    expected, areas, levels, close = rebuilt(zones, rates, kept_out, corner, cell, values.shape)
    wrong = (expected != values) & ~close
    report.check(f"{name}: every cell has the rate that it must have", not wrong.any(), f"{wrong.sum()} of {values.size} differ")
    planned_mass = (areas * levels[:, None, None]).sum()
    mass = (areas.sum(axis=0) * values).sum()
    found = 100 * (mass / planned_mass - 1)
    stated = totals["task_data"]["difference_percent"]
    report.check(f"{name}: the stated difference is right", abs(found - stated) < 0.002, f"{found:.4f} {stated:.4f}")
    report.check(f"{name}: it is under 0.5 %", abs(stated) < 0.5 or totals["task_data"]["difference_reason"])


def plan(program, job, before, behind, work):
    """Plans a job with more said before and behind it; the folder of the plan."""
    text = without_name(job.read_text().split("[taskdata]")[0])
    units = "" if "units = " in text else 'units = "us"\n'
    copy = job.with_name("task.toml")
    copy.write_text(f"{units}{before}{text}\n{behind}")
    ran = subprocess.run([program, "plan", copy, "--out", work], capture_output=True, text=True)
    copy.unlink()
    if ran.returncode:
        sys.exit(f"{job.stem}, {before}{behind}: {ran.stderr}")
    return work / "task"


def put_keep_outs(program, job, work):
    """A well in the largest zone and a ditch from one side of the field to the other."""
    zones, _ = planned(plan(program, job, "", "", work))
    well = zones[shapely.area(zones).argmax()].representative_point()
    west, south, east, north = shapely.total_bounds(zones)
    middle = (south + north) / 2
    ditch = shapely.LineString([(west, middle), (east, middle)])
    features = [{"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(g)} for g in (well, ditch)]
    text = json.dumps({"type": "FeatureCollection", "features": features})
    job.with_name("keep-out.geojson").write_text(text)


def check(report, program, job, situation, form, version, work, node, schema):
    name = f"{job.stem}, {situation}, {form}, version {version}"
    before, behind, _ = SITUATIONS[situation]
    table = f'[taskdata]\nversion = {version}\nform = "{form}"\n'
    folder = plan(program, job, before, behind + table, work)
    faults = [str(e.reason) for e in schema.iter_errors(str(folder / "TASKDATA" / "TASKDATA.XML"))]
    report.check(f"{name}: the schema", not faults, faults[:3])
    zones, rates = planned(folder)
    totals = json.loads((folder / "totals.json").read_text())
    boundary, rate_at, grid = by_isoxml(folder / "TASKDATA", version)
    # What is left out of the zones is rate 0.
    rest = shapely.difference(boundary, shapely.union_all(zones))
    left_out = situation == "keep-outs left out"
    share = rest.area / boundary.area
    # Zones have more positions on the field's edge, rounded to a millimetre: slivers.
    report.check(f"{name}: the zones are the field", (share > 1e-3) if left_out else (share < 1e-5), f"{share}")
    if left_out:
        zones, rates = np.append(zones, rest), np.append(rates, 0)
    # Within a cell (its diagonal) of a border a grid may say the neighbour's rate.
    margin = 1e-8 if grid is None else float(np.hypot(*grid[1]))
    points, expected, inside = clear_points(zones, rates, margin)
    report.check(f"{name}: there are {POINTS} points and some outside", inside == POINTS < len(points), f"{inside} {len(points)}")
    readers = {"PyPI's isoxml": rate_at(points), "npm's isoxml": by_node(node, folder, points)}
    for reader, found in readers.items():
        # GeoJSON has rates with four decimals: half a ten-thousandth of a ton/ac is 11 mg/m2.
        wrong = np.abs(found - expected) > 12
        report.check(f"{name}: rates by {reader}", not wrong.any(), f"{wrong.sum()} differ")
    if grid is not None:
        kept_out = shapely.union_all(zones[rates == 0])  # no tier of the demo farm has rate 0
        check_grid(report, name, zones, snapped(rates, grid[2]), kept_out, grid, totals)


def without_name(text):
    return "\n".join(line for line in text.splitlines() if not line.startswith("name ="))


def snapped(rates, values):
    """The rates as they are in the grid: GeoJSON has them with four decimals."""
    known = np.unique(values)
    return known[np.abs(known - rates[:, None]).argmin(axis=1)]


def by_node(node, folder, points):
    script = Path(__file__).with_name("taskdata.js")
    asked = json.dumps(points.tolist())
    ran = subprocess.run(
        ["node", script, node, folder / "taskdata.zip"], input=asked, capture_output=True, text=True, check=True
    )
    answer = json.loads(ran.stdout)
    assert not answer["warnings"], answer["warnings"]
    return np.array(answer["rates"])


def main():
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    program, farm, node = sys.argv[1], Path(sys.argv[2]), sys.argv[3]
    schemas = importlib.resources.files(isoxml_writer) / "ISOXML_schema"
    schema = xmlschema.XMLSchema(str(schemas / "ISO11783_TaskFile_V4-3.xsd"))
    report = Report()
    with tempfile.TemporaryDirectory() as work:
        copied = Path(shutil.copytree(farm, Path(work) / "farm"))
        (copied / "farm.toml").unlink()  # no job by itself
        for job in sorted(copied.glob("*.toml")):
            put_keep_outs(program, job, Path(work))
            for situation, (_, _, versions) in SITUATIONS.items():
                for form in FORMS:
                    for version in versions:
                        check(report, program, job, situation, form, version, Path(work), node, schema)
    print(f"task data: {report.passed} passed, {report.failed} failed")
    sys.exit(1 if report.failed or not report.passed else 0)


if __name__ == "__main__":
    main()
