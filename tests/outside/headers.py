"""Sixty tables as laboratories head them, each with one true CEC column: what the program makes of each.

    python tests/outside/headers.py target/release/landplaster

The headers are made up after what laboratories' sheets look like (from memory, no source). A table is
read right, or refused with a message; one that is read wrong fails. The true column holds 8, 12, 16 and
so on, in the stated unit; every other one holds something that would give other zones.
"""

import csv
import subprocess
import sys
import tempfile
from pathlib import Path

# The true column's header, the factor from meq/100 g to its unit, the other columns, and whether it must be
# read: what nobody can be sure of may be refused.
MUST, MAY = True, False
TABLE = [
    ("CEC", 1, [], MUST), ("C.E.C.", 1, [], MUST), ("CEC (meq/100g)", 1, [], MUST), ("CEC meq/100 g", 1, [], MUST),
    ("C.E.C. (meq/100g)", 1, [], MUST), ("CEC_meq", 1, [], MUST), ("cec_meq_100g", 1, [], MUST), ("Est. CEC", 1, [], MUST),
    ("Estimated CEC", 1, [], MUST), ("Calculated CEC", 1, [], MUST), ("CEC (calc)", 1, [], MUST), ("Calc. C.E.C", 1, [], MUST),
    ("CEC/Sum of Cations me/100g", 1, [], MUST), ("Sum of Cations CEC", 1, [], MUST), ("CEC (Sum)", 1, [], MUST),
    ("Total CEC", 1, [], MUST), ("T.E.C.", 1, [], MUST), ("TEC", 1, [], MUST), ("Total Exchange Capacity", 1, [], MAY),
    ("CEC cmol(+)/kg", 1, [], MUST), ("CEC [cmol(+)/kg]", 1, [], MUST), ("CEC (cmolc/kg)", 1, [], MUST), ("CEC cmol/kg", 1, [], MUST),
    ("CEC (mmol(c)/kg)", 10, [], MAY), ("CEC mmol/kg", 10, [], MAY), ("CEC (mol(c)/kg)", 0.01, [], MAY),
    ("Cation Exch. Cap.", 1, [], MUST), ("Cation Exchange Capacity", 1, [], MUST), ("Cation Exchange Capacity (CEC)", 1, [], MUST),
    ("CATION EXCHANGE CAPACITY meq/100g", 1, [], MUST), ("Cation-Exchange-Capacity", 1, [], MUST), ("Exchange Capacity", 1, [], MAY),
    ("CEC pH 7", 1, [], MAY), ("CEC (NH4OAc pH 7)", 1, [], MAY), ("Soil CEC", 1, [], MUST), ("CEC Result", 1, [], MUST), ("CEC Value", 1, [], MUST),
    ("Measured CEC", 1, [], MUST), ("CEC, meq per 100 g", 1, [], MAY), ("CEC me%", 1, [], MAY), ("ECEC", 1, [], MAY), ("Effective CEC", 1, [], MAY),
    ("CEC", 1, ["CEC Rating"], MUST), ("CEC", 1, ["CEC K %"], MUST), ("CEC", 1, ["% K of CEC"], MUST), ("CEC", 1, ["K/CEC"], MUST),
    ("CEC", 1, ["Base Sat CEC"], MUST), ("CEC", 1, ["OM", "pH", "P ppm"], MUST), ("CEC", 1, ["Ca Sat", "Mg Sat", "K Sat"], MUST),
    ("Calculated CEC", 1, ["CEC Goal"], MUST), ("CEC", 1, ["CEC 2019"], MAY), ("CEC", 1, ["Measured CEC"], MAY), ("CEC", 1, ["Effective CEC"], MAY),
    ("CEC", 1, ["CEC after lime"], MAY), ("CEC", 1, ["Target CEC"], MAY), ("CEC", 1, ["CEC Ca"], MUST), ("CEC", 1, ["CEC Rank"], MAY),
    ("meq/100g CEC", 1, [], MAY), ("CEC(meq)", 1, [], MUST), ("Cec", 1, ["Cect"], MAY),
]
# Tables that hold no CEC at all: each must be refused.
NONE = ["CECT", "Sec", "Receipt", "CEC Class", "Ca % of CEC", "K CEC sat", "Base Saturation", "Anion Exchange Capacity", "CEC Needed", "% CEC"]
FIELD = '{"type":"Polygon","coordinates":[[[-85.2,40.4],[-85.1976,40.4],[-85.1976,40.4018],[-85.2,40.4018],[-85.2,40.4]]]}'
PLACES = [(-85.1996 + 0.0008 * (at % 3), 40.4004 + 0.001 * (at // 3)) for at in range(6)]


def plan(program, folder, header, factor, others):
    rows = [["Sample ID", "Longitude", "Latitude", *others, header]]
    for at, (x, y) in enumerate(PLACES):
        decoys = [f"{31 - 5 * at + 0.5 * i:g}" for i in range(len(others))]
        rows.append([at + 1, f"{x:.6f}", f"{y:.6f}", *decoys, f"{(8 + 4 * at) * factor:g}"])
    with open(folder / "soil.csv", "w", newline="", encoding="utf-8") as out:
        csv.writer(out).writerows(rows)
    line = [program, "plan", "--boundary", "field.geojson", "--samples", "soil.csv", "--out", "plans"]
    done = subprocess.run(line, cwd=folder, capture_output=True, text=True)
    return (folder / "plans/field/zones.geojson").read_text() if done.returncode == 0 else None, done


def main():
    program = Path(sys.argv[1]).resolve()
    failed = read = refused = 0
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        (folder / "field.geojson").write_text(FIELD)
        truth, _ = plan(program, folder, "CEC", 1, [])
        for header, factor, others, must in TABLE:
            zones, done = plan(program, folder, header, factor, others)
            wrong = zones not in (None, truth)
            bad = wrong or (must and zones is None) or done.returncode not in (0, 2)
            failed, read, refused = failed + bad, read + (zones is not None), refused + (zones is None)
            said = "read WRONG" if wrong else "read" if zones else "refused"
            print(f"{'FAIL' if bad else 'ok  '} {said}: {header!r} beside {others}  {done.stderr[:150].strip()}")
        for header in NONE:
            zones, done = plan(program, folder, header, 1, [])
            bad = zones is not None or done.returncode != 2
            failed += bad
            print(f"{'FAIL' if bad else 'ok  '} {'read WRONG' if zones else 'refused'}: {header!r} alone")
    print(f"{len(TABLE)} tables: {read} read, {refused} refused; {len(NONE)} without CEC; {failed} failed")
    sys.exit(failed > 0)


if __name__ == "__main__":
    main()
