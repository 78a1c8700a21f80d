"""Makes the seeds anew from the demo farm and the fixtures: small files of each format.

    python fuzz/seeds.py
"""

import shutil
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent
FARM, FORMATS, LABORATORY = ROOT / "demo-farm", ROOT / "fixtures/formats", ROOT / "fixtures/laboratory"
# As in src/readers.rs.
SHAPES = ["geojson", "kml", "shp", "gpkg", "XML", "kmz", "zip", "csv"]
TABLES = ["csv", "json", "xml", "xlsx", "ods", "xls", "geojson", "shp", "kml", "gpkg"]
MOST = 40_000


def seed(target, name, content):
    folder = HERE / "seeds" / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(content[:MOST])


def of_kind(target, kinds, path):
    kind = path.suffix[1:]
    content = path.read_bytes()
    if kind == "shp":
        content = len(content).to_bytes(2, "little") + content + path.with_suffix(".dbf").read_bytes()
    seed(target, path.name, bytes([kinds.index(kind)]) + content)


def main():
    shutil.rmtree(HERE / "seeds", ignore_errors=True)
    shapes = [*FARM.glob("*/*.geojson"), FARM / "home-lane/boundary.shp", *FORMATS.glob("farm*")]
    for path in sorted(path for path in shapes if path.stat().st_size < MOST):
        for target in ("boundary", "features", "zones"):
            of_kind(target, SHAPES, path)
    tables = [FARM / "home-lane/samples.csv", FARM / "creek-bottom/samples.shp"]
    for path in [*tables, *sorted(LABORATORY.glob("modus*")), *sorted(LABORATORY.glob("results*"))]:
        if path.stat().st_size < MOST:
            of_kind("samples", TABLES, path)
            of_kind("laboratory", TABLES, path)
    of_kind("laboratory", TABLES, FARM / "pond-quarter/laboratory.csv")
    of_kind("tickets", TABLES, FARM / "season/tickets.csv")
    lines = (FARM / "season/pond-quarter-applied.csv").read_bytes().splitlines(keepends=True)[:40]
    seed("applied", "applied.csv", b"\0" + b"".join(lines))
    for name in ("home-lane", "pond-quarter", "creek-bottom"):
        seed("job", f"{name}.toml", (FARM / f"{name}.toml").read_bytes())
    seed("farm", "farm.toml", (FARM / "farm.toml").read_bytes())
    seed("machine", "machine.toml", (FARM / "spreader/machine.toml").read_bytes())
    for name in ("pans-before", "pans-after"):
        seed("pans", f"{name}.csv", (FARM / f"spreader/{name}.csv").read_bytes())
    seed("weigh", "weigh-tests.csv", (FARM / "spreader/weigh-tests.csv").read_bytes())
    seed("season", "season.csv", b"field,first_ticket,last_ticket,loads,area_ac\n")
    task = """<?xml version="1.0"?><ISO11783_TaskData VersionMajor="4" VersionMinor="3">
<TSK A="TSK1" B="a" G="1"><TZN A="1"><PDV A="0006" B="1000"/><PLN A="1"><LSG A="1"><PNT A="2" C="40.1" D="-85.2"/>
<PNT A="2" C="40.1" D="-85.1"/><PNT A="2" C="40.2" D="-85.1"/></LSG></PLN></TZN>
<GRD A="40.1" B="-85.2" C="0.001" D="0.001" E="2" F="2" G="GRD00000" H="4" I="1" J="1"/></TSK></ISO11783_TaskData>"""
    seed("taskdata", "TASKDATA.XML", task.encode())
    seed("totals", "totals.json", b'{"schema":1,"units":"us","zones":[],"tiers":[],"total":{"acres":1,"tons":1}}')
    # Bytes that are taken as numbers.
    for number in range(4):
        seed("field", str(number), bytes((number * 37 + at * 101) % 256 for at in range(300)))


if __name__ == "__main__":
    main()
