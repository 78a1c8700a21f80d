"""Makes corpus/ of the demo farm and the fixtures: one small file of each kind, cut where it is long.

    python make_corpus.py PLANS

PLANS is a folder that the demo farm's jobs were planned into.

Files within archives are written out, for the targets pack them themselves.
"""

import json
import shutil
import sqlite3
import sys
import tempfile
import zipfile
from pathlib import Path
from xml.etree import ElementTree

HERE = Path(__file__).parent
ROOT = HERE.parent
DEMO, FIXTURES = ROOT / "demo-farm", ROOT / "fixtures"
MOST = 12_000  # bytes of a seed; the largest input is 16,384


def whole(*paths):
    return [(path.name, path.read_bytes()) for path in paths]


def beginning(path, lines):
    return [(path.name, b"".join(path.read_bytes().splitlines(True)[:lines]))]


def unpacked(path):
    """The entries of an archive, each with the archive's name before its own."""
    archive = zipfile.ZipFile(path)
    return [
        (f"{path.name}/{name}", archive.read(name))
        for name in archive.namelist()
        if not name.endswith("/") and len(archive.read(name)) < MOST / 2
    ]


def seed(target, name, files):
    text = b"\n".join(b"==== " + name.encode() + b"\n" + content for name, content in files)
    if len(text) > MOST:
        print(f"{target}/{name}: left out, {len(text)} bytes")
        return
    put(target, name, text)


def put(target, name, content):
    path = HERE / "corpus" / target / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def geopackage(path):
    """A GeoPackage in the smallest pages, without the indices that a reader needs not."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy.gpkg"
        shutil.copy(path, copy)
        database = sqlite3.connect(copy)
        for kind, name in database.execute("SELECT type, name FROM sqlite_master").fetchall():
            if kind == "trigger" or name.startswith(("rtree_", "gpkg_ogr", "gpkg_ext", "gpkg_tile")):
                try:
                    database.execute(f'DROP {kind} "{name}"')
                except sqlite3.OperationalError:
                    pass
        database.execute("DELETE FROM gpkg_spatial_ref_sys WHERE srs_id NOT IN (SELECT srs_id FROM gpkg_contents)")
        database.commit()
        database.execute("PRAGMA page_size = 512")
        database.execute("VACUUM")
        database.close()
        return copy.read_bytes()


def task_data():
    square = "".join(f'<PNT A="2" C="{n}" D="{e}"/>' for e, n in [
        (-85.2, 40.4), (-85.1976, 40.4), (-85.1976, 40.4018), (-85.2, 40.4018), (-85.2, 40.4)])
    return (
        '<?xml version="1.0" encoding="UTF-8"?><ISO11783_TaskData VersionMajor="4" VersionMinor="3" '
        'DataTransferOrigin="1"><PDT A="PDT1" B="Gypsum"/><PFD A="PFD1" C="home" D="40000">'
        f'<PLN A="1" C="40000"><LSG A="1">{square}</LSG></PLN></PFD>'
        '<VPN A="VPN1" B="0" C="0.01" D="0" E="t/ha"/>'
        '<TSK A="TSK1" B="home" E="PFD1" G="1" H="0" I="0" J="0"><TZN A="0"><PDV A="0006" B="0" C="PDT1"/></TZN>'
        f'<TZN A="1"><PLN A="2"><LSG A="1">{square}</LSG></PLN><PDV A="0006" B="1000000" C="PDT1"/></TZN>'
        "</TSK></ISO11783_TaskData>"
    ).encode()


def time_log():
    main = (
        '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="2">'
        '<DVC A="DVC1" B="spreader" D="A000000000000000" F="1" G="1">'
        '<DET A="DET1" B="1" C="1" D="m" E="0" F="0"><DOR A="1"/><DOR A="2"/></DET>'
        '<DPD A="1" B="0050" C="1" D="9"/><DPT A="2" B="0043" C="12000"/></DVC>'
        '<TSK A="TSK1" B="home" G="4"><TLG A="TLG00001"/></TSK></ISO11783_TaskData>'
    )
    header = (
        '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="0050" B="" C="DET1"/><DLV A="008D" B="" C="DET1"/></TIM>'
    )
    records = b""
    for number in range(20):
        records += (36_000_000 + 1000 * number).to_bytes(4, "little") + (15_000).to_bytes(2, "little")
        records += (404_000_000 + 100 * number).to_bytes(4, "little", signed=True)
        records += (-851_988_000).to_bytes(4, "little", signed=True) + b"\x01\x02"
        records += b"\x00" + (1000 * number).to_bytes(4, "little") + b"\x01" + (1).to_bytes(4, "little")
    return [("TASKDATA.XML", main.encode()), ("TLG00001.XML", header.encode()), ("TLG00001.BIN", records)]


def first_sample(path):
    """A Modus document in XML with its first sample alone."""
    document = ElementTree.parse(path)
    for samples in document.iter("Soil"):
        for sample in samples.findall("SoilSample")[1:]:
            samples.remove(sample)
    return ElementTree.tostring(document.getroot())


def first_events(path):
    """A Modus document in JSON with the first sample of its first event."""
    document = json.loads(path.read_text())
    document["Events"] = document["Events"][:1]
    soil = document["Events"][0]["EventSamples"]["Soil"]
    soil["SoilSamples"] = soil["SoilSamples"][:1]
    return json.dumps(document).encode()


def main(plans):
    shutil.rmtree(HERE / "corpus", ignore_errors=True)
    shapefile = lambda stem: whole(*(stem.with_suffix(end) for end in (".shp", ".shx", ".dbf", ".prj", ".cpg")))
    for name in ("creek-bottom", "pond-quarter"):
        seed("boundary", f"{name}.geojson", whole(DEMO / name / "boundary.geojson"))
    seed("boundary", "shapefile", shapefile(DEMO / "home-lane/boundary"))
    for target in ("boundary", "features", "zone_file", "applied"):
        seed(target, "farm.kml", whole(FIXTURES / "formats/farm.kml"))
        seed(target, "farm.kmz", unpacked(FIXTURES / "formats/farm.kmz"))
        seed(target, "farm.geojson", whole(FIXTURES / "formats/farm.geojson"))
        seed(target, "farm.zip", unpacked(FIXTURES / "formats/farm-4326.zip"))
        seed(target, "farm.gpkg", [("farm.gpkg", geopackage(FIXTURES / "formats/farm.gpkg"))])
    seed("boundary", "task-data", [("TASKDATA.XML", task_data())])
    for layer in ("ditch", "pond", "lane", "well"):
        seed("features", layer, whole(DEMO / f"pond-quarter/{layer}.geojson"))
    seed("features", "creek", whole(DEMO / "creek-bottom/creek.geojson"))
    seed("samples", "shapefile", shapefile(DEMO / "creek-bottom/samples"))
    seed("samples", "table", beginning(DEMO / "home-lane/samples.csv", 20))
    seed("samples", "fields", beginning(DEMO / "all-fields/samples.csv", 20))
    seed("laboratory", "table", beginning(DEMO / "pond-quarter/laboratory.csv", 12))
    for end in ("xlsx", "ods"):
        seed("laboratory", end, unpacked(FIXTURES / f"laboratory/results.{end}"))
    xls = (FIXTURES / "laboratory/results.xls").read_bytes()
    put("laboratory", "xls", b"==== results.xls\n" + xls[:MOST])
    modus = FIXTURES / "laboratory"
    seed("laboratory", "modus-xml", [("results.xml", first_sample(modus / "modus_result.xml"))])
    seed("laboratory", "modus-json", [("results.json", first_events(modus / "modus_result.json"))])
    zone = (
        b'{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"zone":1,"tier":1,"label":'
        b'"all","rate":1.0,"rate_unit":"ton/ac","acres":10.07,"tons":10.07,"cec_mean":9},"geometry":{"type":'
        b'"Polygon","coordinates":[[[-85.2,40.4],[-85.1976,40.4],[-85.1976,40.4018],[-85.2,40.4018],[-85.2,40.4]]]}}]}'
    )
    seed("zone_file", "zones.geojson", [("zones.geojson", zone)])
    seed("task_data", "zones", [("TASKDATA.XML", task_data())])
    seed("task_data", "packed", [("taskdata.zip/TASKDATA/TASKDATA.XML", task_data())])
    seed("time_log", "log", time_log())
    seed("tickets", "tickets", whole(DEMO / "season/tickets.csv"))
    seed("applied", "points", beginning(DEMO / "season/pond-quarter-applied.csv", 30))
    for job in ("home-lane", "pond-quarter", "creek-bottom"):
        put("job", job, (DEMO / f"{job}.toml").read_bytes())
    put("farm", "farm", (DEMO / "farm.toml").read_bytes())
    put("machine", "machine", (DEMO / "spreader/machine.toml").read_bytes())
    for test in ("before", "after"):
        put("pans", test, (DEMO / f"spreader/pans-{test}.csv").read_bytes())
    put("weigh_tests", "tests", (DEMO / "spreader/weigh-tests.csv").read_bytes())
    for path in sorted(plans.glob("*/totals.json")):
        if path.stat().st_size < MOST:
            put("totals", path.parent.name, path.read_bytes())
    for number in range(6):
        # Any bytes make a field.
        put("fields", str(number), bytes((97 * number + 31 * at * at + at // 7) % 256 for at in range(1500)))


main(Path(sys.argv[1]))
