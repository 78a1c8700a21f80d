"""Writes a demo field's laboratory results in other forms and holds the plans against each other.

    python laboratory.py PROGRAM DEMO_FARM

The table goes into .xlsx (openpyxl), .ods (odfpy), .xls (xlwt), tabs in UTF-16, Modus XML and JSON,
and through LibreOffice to the three kinds of spreadsheet, with titles, units, a second depth and averages around it, and with ids as other people type them.
Each plan must have the zones of the plain CSV, byte for byte. One line a check; the exit code is 1
when any fails.
"""

import csv
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from xml.sax.saxutils import escape

import openpyxl
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from check import Report

FIELD = "pond-quarter"
# Says how many KB a program took at the most; a child of this process would begin with its memory.
PEAK = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


def number(text):
    try:
        return float(text)
    except ValueError:
        return text or None


def layout(rows, rename=lambda name: name):
    """The table with a title, units, a depth below and averages, as a laboratory may send it."""
    lab, sample, cec = (rows[0].index(key) for key in ("Lab No", "Sample ID", "CEC meq/100g"))
    out = [["Soil test report"], ["Reported", "09/28/2026"], []]
    out.append(["Lab No", "Sample ID", "Depth", "CEC", "CEC Rating", "K % CEC"])
    out.append([None, None, "in", "meq/100g", None, "%"])
    for row in rows[1:]:
        name = rename(row[sample])
        out.append([number(row[lab]), name, "0-6", number(row[cec]), "Medium", 2.0])
        out.append([number(row[lab]), name, "6-12", 3.0, "Low", 2.0])
    out += [[], [None, "Average", None, 12.0, None, 2.0], ["CEC by summation of cations"]]
    return out


def xlsx(path, rows):
    book = openpyxl.Workbook()
    book.active.append(["Read this first"])
    sheet = book.create_sheet("Results")
    for row in rows:
        sheet.append(row)
    if len(rows[0]) == 1:
        sheet.merge_cells("A1:F1")
    book.save(path)


def xls(path, rows):
    book = xlwt.Workbook()
    sheet = book.add_sheet("Results")
    for at, row in enumerate(rows):
        for column, value in enumerate(row):
            if value is not None:
                sheet.write(at, column, value)
    book.save(str(path))


def ods(path, rows):
    book = OpenDocumentSpreadsheet()
    sheet = Table(name="Results")
    for row in rows:
        line = TableRow()
        for value in row:
            kind = {"valuetype": "float", "value": value} if isinstance(value, float) else {"valuetype": "string"}
            cell = TableCell(**({} if value is None else kind))
            if value is not None:
                cell.addElement(P(text=str(value)))
            line.addElement(cell)
        sheet.addElement(line)
    fill = TableRow(numberrowsrepeated=1_000_000)
    fill.addElement(TableCell(numbercolumnsrepeated=16_384))
    sheet.addElement(fill)
    book.spreadsheet.addElement(sheet)
    book.save(str(path))


def text(path, rows):
    lines = ["\t".join("" if value is None else str(value) for value in row) for row in rows]
    path.write_text("\r\n".join(lines) + "\r\n", encoding="utf-16", newline="")


def modus(rows):
    sample, cec = (rows[0].index(key) for key in ("Sample ID", "CEC meq/100g"))
    depths = [
        {"DepthID": "1", "StartingDepth": 0, "EndingDepth": 6, "DepthUnit": "in"},
        {"DepthID": "2", "StartingDepth": 6, "EndingDepth": 12, "DepthUnit": "in"},
    ]

    def results(depth, value):
        result = {"Element": "CEC", "Value": value, "ValueUnit": "cmol(+)/kg", "ModusTestID": "S-CEC.19"}
        return {"DepthID": depth, "NutrientResults": [result]}

    samples = [
        {
            "SampleMetaData": {"SampleNumber": row[sample]},
            "Depths": [results("2", 3.0), results("1", float(row[cec]))],
        }
        for row in rows[1:]
    ]
    return {"Events": [{"EventSamples": {"Soil": {"DepthRefs": depths, "SoilSamples": samples}}}]}


def modus_xml(tree):
    def tags(record):
        return "".join(f"<{key}>{escape(str(value))}</{key}>" for key, value in record.items() if key != "DepthID")

    soil = tree["Events"][0]["EventSamples"]["Soil"]
    out = ['<?xml version="1.0"?><ModusResult Version="1.0"><Event><EventSamples><Soil><DepthRefs>']
    out += [f'<DepthRef DepthID="{depth["DepthID"]}">{tags(depth)}</DepthRef>' for depth in soil["DepthRefs"]]
    out.append("</DepthRefs>")
    for sample in soil["SoilSamples"]:
        out.append(f"<SoilSample><SampleMetaData>{tags(sample['SampleMetaData'])}</SampleMetaData><Depths>")
        for depth in sample["Depths"]:
            inner = "".join(f"<NutrientResult>{tags(result)}</NutrientResult>" for result in depth["NutrientResults"])
            out.append(f'<Depth DepthID="{depth["DepthID"]}"><NutrientResults>{inner}</NutrientResults></Depth>')
        out.append("</Depths></SoilSample>")
    return "".join(out) + "</Soil></EventSamples></Event></ModusResult>"


def office(folder, source):
    """The spreadsheet as LibreOffice writes it."""
    profile = f"-env:UserInstallation=file://{folder}/office-profile"
    for ending in ["xlsx", "ods", "xls"]:
        out = folder / "office"
        command = ["soffice", profile, "--headless", "--convert-to", ending, "--outdir", out, source]
        subprocess.run(command, check=True, capture_output=True)
        (out / f"{source.stem}.{ending}").rename(folder / f"office.{ending}")


class Plans:
    def __init__(self, program, folder, field, points):
        self.program, self.folder, self.field, self.points = program, folder, field, points

    def run(self, laboratory, *more):
        out = self.folder / f"plans-{laboratory.name}"
        command = [*self.program, "plan", "--boundary", self.field / "boundary.geojson", "--samples", self.points]
        command += ["--laboratory", laboratory, "--out", out, *more]
        start = time.monotonic()
        said = subprocess.run(command, capture_output=True, text=True)
        zones = next(iter(out.glob("*/zones.geojson")), None)
        return zones and zones.read_bytes(), said.stdout + said.stderr, time.monotonic() - start


def main(program, farm):
    report = Report()
    report.job = FIELD
    rows = list(csv.reader((farm / FIELD / "laboratory.csv").open(newline="")))
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        plain = folder / "plain.csv"
        short = [[row[rows[0].index("Sample ID")], row[rows[0].index("CEC meq/100g")]] for row in rows]
        csv.writer(plain.open("w", newline="")).writerows(short)
        points = farm / FIELD / "points.csv"
        plans = Plans([program], folder, farm / FIELD, points)
        expected, said, _ = plans.run(plain)
        report.check("the plain table is planned", expected is not None, said[-200:] if expected is None else "")
        table = layout(rows)
        xlsx(folder / "results.xlsx", table)
        xls(folder / "results.xls", table)
        ods(folder / "results.ods", table)
        office(folder, folder / "results.xlsx")
        text(folder / "results.txt", table)
        tree = modus(rows)
        (folder / "modus.json").write_text(json.dumps(tree))
        (folder / "modus.xml").write_text(modus_xml(tree))
        # PQ-001 as other people type it; one name of the demo is mistyped and stays so.
        for name, rename in {
            "lower.xlsx": lambda name: name.lower(),
            "spaces.xlsx": lambda name: name.replace("-", " "),
            "zeros.xlsx": lambda name: f"PQ{int(name[3:])}" if name[3:].isdigit() else name,
            "numbers.xlsx": lambda name: float(name[3:]) if name[3:].isdigit() else name,
            "long.xlsx": lambda name: f"Farm 7 {name}",
        }.items():
            xlsx(folder / name, layout(rows, rename))
        for file in sorted(folder.glob("*.*")):
            if file.is_file() and file != plain:
                zones, said, seconds = plans.run(file)
                report.check(f"zones of {file.name}", zones == expected, f"{seconds:.1f} s" if zones else said[-300:])
        zones, said, _ = plans.run(folder / "results.xlsx", "--depth", "6-12")
        report.check("the lower depth is another plan", zones is not None and zones != expected, said[-200:] if not zones else "")
        both = [["Sample ID", "Calculated CEC", "Measured CEC"]] + [[a, b, b] for a, b in short[1:]]
        xlsx(folder / "both.xlsx", both)
        zones, said, _ = plans.run(folder / "both.xlsx")
        report.check("two columns are a question", zones is None and '"Measured CEC" (' in said, said[-200:])
        zones, said, _ = plans.run(folder / "both.xlsx", "--cec", "Measured CEC")
        report.check("and --cec the answer", zones == expected, said[-200:] if not zones else "")
        # A large sheet: memory stays below 20 times the file and 100 MB.
        large = folder / "large.xlsx"
        xlsx(large, table + [[None, f"X{at}", "0-6", 9.0, "Medium", 2.0] for at in range(100_000)])
        plans.program = [sys.executable, "-c", PEAK, program]
        zones, said, seconds = plans.run(large)
        peak = int(said.split()[0]) / 1024
        most = 20 * large.stat().st_size / 2**20 + 100
        report.check("memory of 100,000 rows", zones == expected and peak < most, f"{peak:.0f} MB of {most:.0f}, {seconds:.1f} s")
    print(f"{report.passed} passed, {report.failed} failed")
    return 1 if report.failed else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()))
