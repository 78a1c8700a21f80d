"""Makes time logs of ISO 11783-10 from a known truth and has the program find it again.

    python timelog.py PROGRAM PLANS NODE_FOLDER FARM

Logs are written here from the published layout. The truth is a lattice of 0.25 m on which every step
of every section is laid, all passes being along an axis. An invented day and a half on Pond Quarter: 40 ft in six
sections of unlike widths, up and down, each section on where its middle lies on ground to be spread; a strip along
the south end done once more; a corner in the north-east left out; the rate set ahead of the border and
reached after it, later on the second day. npm's isoxml reads the same logs. Laid down with a pan test's
pattern they are held against the same done here.
"""

import json
import math
import shutil
import struct
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

from check import ACRE, Report

TON, FIELD = 907.18474, "pond-quarter"
WIDTHS = np.array([3.048, 2.032, 1.016, 1.016, 2.032, 3.048])
EDGES = np.concatenate([[0], np.cumsum(WIDTHS)]) - WIDTHS.sum() / 2
SWATH, STEP, TICK = WIDTHS.sum(), 0.25, 0.05
LEAD, DELAYS, RAMP = 0.5, (1.8, 1.2), 1.0
# The receiver on the tractor is this far ahead of the spinners: 1.5 + 1.2 + 5 + 2.3.
AHEAD = 10.0
COUNTED = 1000.0  # kg on the counter before it began
START = 16905  # 2026-04-14 in days since 1980-01-01
EPOCH = 315532800000  # 1980-01-01 in milliseconds of Unix


class Field:
    def __init__(self, folder):
        features = json.loads((folder / "zones.geojson").read_text())["features"]
        rings = []
        for feature in features:
            parts = feature["geometry"]["coordinates"]
            if feature["geometry"]["type"] == "Polygon":
                parts = [parts]
            rings.append([np.array(ring)[:, :2] for part in parts for ring in part])
        everything = np.concatenate([ring for zone in rings for ring in zone])
        self.origin = everything.mean(axis=0)
        # Radii of the WGS84 ellipsoid at the field.
        a, e2 = 6378137.0, 0.00669437999014
        phi = math.radians(self.origin[1])
        w = 1 - e2 * math.sin(phi) ** 2
        self.scale = np.radians(1) * np.array([a / math.sqrt(w) * math.cos(phi), a * (1 - e2) / w**1.5])
        self.rates = np.array([feature["properties"]["rate"] * TON / ACRE for feature in features])
        local = (everything - self.origin) * self.scale
        self.low = local.min(axis=0) - 30.0
        shape = np.ceil((local.max(axis=0) + 30.0 - self.low) / STEP).astype(int)
        self.zone = np.full(shape[::-1], -1)
        for number, zone in enumerate(rings):
            self.zone[self.inside([(ring - self.origin) * self.scale for ring in zone])] = number
        self.spread = (self.zone >= 0) & (self.rates[self.zone] > 0)

    def inside(self, rings):
        rows, columns = self.zone.shape
        flips = np.zeros((rows, columns + 1), dtype=int)
        for ring in rings:
            for (x0, y0), (x1, y1) in zip(ring[:-1], ring[1:]):
                if y0 == y1:
                    continue
                first, end = (math.ceil((y - self.low[1]) / STEP - 0.5) for y in sorted((y0, y1)))
                row = np.arange(first, end)
                x = x0 + (self.low[1] + (row + 0.5) * STEP - y0) / (y1 - y0) * (x1 - x0)
                np.add.at(flips, (row, np.ceil((x - self.low[0]) / STEP - 0.5).astype(int)), 1)
        return np.cumsum(flips[:, :-1], axis=1) % 2 == 1

    def nodes(self, points):
        column, row = ((points - self.low) / STEP).astype(int).T
        rows, columns = self.zone.shape
        return np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1)

    def rate(self, points):
        zone = self.zone[self.nodes(points)]
        return np.where(zone >= 0, self.rates[zone], 0.0)

    def bounds(self):
        rows, columns = np.nonzero(self.spread.any(axis=1))[0], np.nonzero(self.spread.any(axis=0))[0]
        low = self.low + STEP * np.array([columns[0], rows[0]])
        return (*low, *(self.low + STEP * np.array([columns[-1] + 1, rows[-1] + 1])))

    def box(self, one, other):
        first, end = (np.ceil((f(one, other) - self.low) / STEP - 0.5).astype(int) for f in (np.minimum, np.maximum))
        return slice(max(first[1], 0), max(end[1], 0)), slice(max(first[0], 0), max(end[0], 0))

    def degrees(self, at):
        return self.origin + at / self.scale


class Season:
    """Records, each a time, a place and all values; and what they laid on the lattice."""

    def __init__(self, field, half=False):
        west, south, east, north = field.bounds()
        self.field, self.days = field, [[], []]
        self.times, self.landed = np.zeros(field.zone.shape, dtype=int), np.zeros(field.zone.shape)
        self.corner = field.box(np.array([east - 110, north - 90]), np.array([east + 50, north + 50]))
        closed = np.zeros(field.zone.shape, dtype=bool)
        closed[self.corner] = True
        self.ground, self.half = field.spread & ~closed, half
        self.total, self.worked, self.speeds, self.steps = 0.0, 0.0, [], []
        lines, up = [], True
        for x in np.arange(west + SWATH / 2, east, SWATH):
            line = [(x, south - 15.0), (x, north + 15.0)]
            lines.append(line if up else line[::-1])
            up = not up
        lines.append([(west - 15.0, south + 25.0), (east + 15.0, south + 25.0)])
        time = 8 * 3600.0
        for number, line in enumerate(np.array(lines)):
            time = self.drive(line, time, int(number >= len(lines) // 2)) + 60.0

    def drive(self, line, time, day):
        way = np.linalg.norm(line[1] - line[0])
        heading = (line[1] - line[0]) / way
        right = np.array([heading[1], -heading[0]])
        times, done, speeds, far = [], [], [], 0.0
        while far < way:
            speed = 3.5 + 0.3 * math.sin(time / 37.0)
            times.append(time), done.append(far), speeds.append(speed)
            far, time = far + speed * TICK, time + TICK
        speeds = np.array(speeds)
        at = line[0] + heading * np.array(done)[:, None]
        ahead = self.field.rate(at + heading * (speeds * LEAD)[:, None])
        held = np.maximum.accumulate(np.where(ahead > 0, np.arange(len(ahead)), 0))
        rates = self.field.rates
        wanted = np.where(ahead[held] > 0, ahead[held], rates[rates > 0].min())
        shift, ramp = round(DELAYS[day] / TICK), round(RAMP / TICK)
        late = np.concatenate([np.full(shift + ramp - 1, wanted[0]), wanted])[: len(wanted) + ramp - 1]
        actual = np.convolve(late, np.full(ramp, 1 / ramp), "valid")
        middles = (EDGES[1:] + EDGES[:-1]) / 2
        each = round(1 / TICK)
        for start in [*range(0, len(at) - 1, each), len(at) - 1]:
            end = min(start + each, len(at) - 1)
            on = self.ground[self.field.nodes(at[start] + right * middles[:, None])] & (start < end)
            if self.half:
                on &= np.arange(6) < 3
            mass = round(actual[start] * 1e6) / 1e6
            states = sum(int(o) << (2 * i) for i, o in enumerate(on)) | 0xFFFFF000
            totals = [round((COUNTED + self.total) * 1000), round(speeds[start] * 1000), round(self.worked)]
            values = [round(wanted[start] * 1e6), round(actual[start] * 1e6), states, *totals]
            place = self.field.degrees(at[start] + heading * AHEAD)
            self.days[day].append((round(times[start] * 1000), place, values))
            ground = WIDTHS * (done[end] - done[start])
            self.steps.append((at[start], at[end], right, on, mass * ground))
            for i in np.nonzero(on)[0]:
                box = self.field.box(at[start] + right * EDGES[i], at[end] + right * EDGES[i + 1])
                self.times[box] += 1
                self.landed[box] += mass
                ground = WIDTHS[i] * (done[end] - done[start])
                self.total, self.worked = self.total + mass * ground, self.worked + ground
                self.speeds.append((done[end] - done[start], times[end] - times[start]))
        return time


def thrown(season, pans):
    """What lands in kg on each square where all sections throw one pattern together, and each its own
    width where some are off; and what falls over the edge of the lattice's zones."""
    places, caught = pans
    across = np.arange(places[0] + STEP / 2, places[-1], STEP)
    shares = np.interp(across, places, caught)
    shares /= shares.sum()
    landed = np.zeros(season.field.zone.shape)
    for start, end, right, on, masses in season.steps:
        if not on.any():
            continue
        along = max(1, math.ceil(np.linalg.norm(end - start) / STEP))
        way = start + (end - start) * ((np.arange(along) + 0.5) / along)[:, None]
        if on.all():
            throws = [(across, shares * masses.sum())]
        else:
            throws = []
            for i in np.nonzero(on)[0]:
                count = round(WIDTHS[i] / 0.127)
                own = EDGES[i] + (np.arange(count) + 0.5) * WIDTHS[i] / count
                throws.append((own, np.full(count, masses[i] / count)))
        for aside, mass in throws:
            points = (way[:, None] + right * aside[:, None]).reshape(-1, 2)
            np.add.at(landed, season.field.nodes(points), np.tile(mass / along, along))
    return landed


def element(day, number, two):
    return f"DET-{number + (100 * day if two else 0)}"


def devices(two):
    said = ""
    for day in range(1 + two):
        det = lambda number: element(day, number, two)
        sections = "".join(
            f'<DET A="{det(10 + i)}" B="{20 + i}" C="4" D="Section" E="{5 + i}" F="3"><DOR A="41"/><DOR A="{50 + i}"/><DOR A="{60 + i}"/></DET>'
            for i in range(6)
        )
        parts = "".join(
            f'<DPT A="{50 + i}" B="0087" C="{round(500 * (EDGES[i] + EDGES[i + 1]))}"/><DPT A="{60 + i}" B="0043" C="{round(1000 * WIDTHS[i])}"/>'
            for i in range(6)
        )
        said += f"""<DVC A="DVC-{1 + 2 * day}" B="spreader" D="A00280000CE0D0F{day}" F="31" G="FF000000000000">
<DET A="{det(1)}" B="1" C="1" D="spreader" E="0" F="0"/><DET A="{det(3)}" B="3" C="2" D="spinners" E="1" F="1"/>
<DET A="{det(4)}" B="4" C="3" D="bin" E="2" F="1"/><DET A="{det(6)}" B="6" C="6" D="drawbar" E="3" F="1"><DOR A="42"/></DET>
{sections}<DPT A="41" B="0086" C="-2300"/><DPT A="42" B="0086" C="5000"/>{parts}</DVC>
"""
    return (
        said
        + """<DVC A="DVC-2" B="tractor" D="A00080000CE0D0F9" F="32" G="FF000000000000">
<DET A="DET-20" B="1" C="1" D="tractor" E="0" F="0"/><DET A="DET-2" B="2" C="6" D="hitch" E="1" F="1"><DOR A="11"/></DET>
<DET A="DET-5" B="3" C="7" D="receiver" E="2" F="1"><DOR A="12"/></DET>
<DPT A="11" B="0086" C="-1200"/><DPT A="12" B="0086" C="1500"/></DVC>
"""
    )


# What each value is: entry, element.
VALUES = [(6, 4), (7, 4), (161, 3), (352, 4), (397, 1), (116, 3)]
POSITIONS = {
    "all": ('A="" B="" C="" D="" E="" F="" G="" H="" I=""', struct.pack("<iBHHBIH", 200000, 4, 12, 9, 14, 0, START)),
    "few": ('A="" B="" D="4" G="12"', b""),
}


def write(folder, season, two=False, shape="all", keep=range(6), fixed=()):
    """Task data; `keep` are the values to log, `fixed` those of them that the header holds instead."""
    folder.mkdir(parents=True)
    ptn, rest = POSITIONS[shape]
    tasks, read = "", []
    for day, records in enumerate(season.days):
        logged = list(keep)
        lines = "".join(
            f'<DLV A="{VALUES[v][0]:04X}" B="{dict(fixed).get(v, "")}" C="{element(day, VALUES[v][1], two)}"/>' for v in logged
        )
        (folder / f"TLG0000{day + 1}.XML").write_text(f'<TIM A="" D="4"><PTN {ptn}/>{lines}</TIM>')
        data, last, ends, said = b"", {}, [], []
        for time, place, values in records:
            north, east = round(place[1] * 1e7), round(place[0] * 1e7)
            changed = [(i, values[v]) for i, v in enumerate(logged) if v not in dict(fixed) and last.get(v) != values[v]]
            last = {v: values[v] for v in logged}
            data += struct.pack("<IHii", time, START + day, north, east) + rest + struct.pack("<B", len(changed))
            data += b"".join(struct.pack("<BI", i, value & 0xFFFFFFFF) for i, value in changed)
            ends.append(len(data))
            signed = [[VALUES[logged[i]][0], value - (1 << 32) * (value >> 31)] for i, value in changed]
            said.append([EPOCH + 86400000 * (START + day) + time, north / 1e7, east / 1e7, signed])
        (folder / f"TLG0000{day + 1}.BIN").write_bytes(data)
        read.append((said, ends))
        drawbar, spreader = element(day, 6, two), 1 + 2 * day * two
        tasks += f'<TSK A="TSK-{day + 1}" B="gypsum" G="4"><CNN A="DVC-2" B="DET-2" C="DVC-{spreader}" D="{drawbar}"/>'
        tasks += f'<TLG A="TLG0000{day + 1}" B="{len(data)}" C="1"/></TSK>\n'
    (folder / "TASKDATA.XML").write_text(
        '<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="2">\n'
        + devices(two)
        + tasks
        + "</ISO11783_TaskData>\n"
    )
    return read


def main():
    program, plans, node, farm = Path(sys.argv[1]).resolve(), *map(Path, sys.argv[2:5])
    report, field = Report(), Field(plans / FIELD)
    square = STEP * STEP / ACRE
    with tempfile.TemporaryDirectory() as work:
        work = Path(work)
        (work / "tickets.csv").write_text(f"date,field,ticket,tons\n2026-04-14,{FIELD},1,35\n2026-04-15,{FIELD},2,35\n")

        def reconcile(folder):
            command = [program, "reconcile", plans / FIELD, "--tickets", work / "tickets.csv", "--applied", folder, "--json"]
            said = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
            return said, said["fields"][0], said["fields"][0]["log"]

        def near(name, found, true, within):
            report.check(name, abs(found - true) <= within, f"{found} for {true:.3f}")

        def tons(season):
            return [season.landed[field.zone == z].sum() * square * ACRE / TON for z in range(len(field.rates))]

        season = Season(field)
        done = field.spread & (season.times > 0)
        left = field.spread & (season.times == 0)
        corner = np.zeros_like(left)
        corner[season.corner] = left[season.corner]
        way, time = np.array(season.speeds).sum(axis=0)
        report.job = "one machine, two days"
        read = write(work / "one", season)
        said, stated, log = reconcile(work / "one")
        for zone, true in zip(stated["zones"], tons(season)):
            near(f"tons of zone {zone['zone']}", zone["applied"], true, 0.03 + 0.003 * true)
        near("tons by rate", log["applied_by_rate"], sum(tons(season)), 0.1)
        near("tons by count", log["applied_by_count"], sum(tons(season)), 0.1)
        near("acres done", log["done"], done.sum() * square, 0.06)
        near("acres done twice", log["done_twice"], (field.spread & (season.times > 1)).sum() * square, 0.06)
        near("acres left out", log["left_out"], left.sum() * square, 0.06)
        near("acres of the corner", log["largest_left_out"][0]["area"], corner.sum() * square, 0.06)
        rows, columns = np.nonzero(corner)
        east, north = field.degrees(field.low + STEP * (np.array([columns.mean(), rows.mean()]) + 0.5))
        place = log["largest_left_out"][0]
        off = np.linalg.norm((np.array([place["longitude"], place["latitude"]]) - [east, north]) * field.scale)
        report.check("where the corner is", off < 10, f"{off:.1f} m off")
        near("speed", log["speed"], way / time / 0.44704, 0.03)
        near("days", len(log["days"]), 2, 0)

        report.job = "laid down with the pattern"
        # A row of pans of the check's own, lopsided, 5 ft apart.
        own = work / "farm"
        shutil.copytree(farm, own)
        feet = np.arange(-35, 36, 5)
        caught = [0, 3, 9, 16, 24, 30, 34, 36, 35, 33, 26, 18, 12, 4, 0]
        head = ["# pan size: 12 in x 12 in", "# swath: 40 ft", "# passes: 1", "distance (ft),run 1 (g)"]
        (own / "pans.csv").write_text("\n".join([*head, *(f"{x},{g}" for x, g in zip(feet, caught))]) + "\n")
        command = [program, "land", own / f"{FIELD}.toml", "--pans", own / "pans.csv", "--log", work / "one", "--json"]
        said = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
        landed = thrown(season, (feet * 0.3048, np.array(caught, float)))
        for zone, stated in enumerate(said["zones"]):
            true = landed[field.zone == zone].sum() / TON
            near(f"tons landed in zone {zone + 1}", stated["tons_landed"], true, 0.02 + 0.004 * true)
        near("over the edge", said["outside"]["tons_landed"], landed[field.zone < 0].sum() / TON, 0.05)

        report.job = "two machines"
        write(work / "two", season, two=True)
        said, stated, log = reconcile(work / "two")
        near("machines", log["machines"], 2, 0)
        near("tons", log["applied_by_rate"], sum(tons(season)), 0.1)
        for machine, delay in zip(said["machines"], DELAYS):
            near("set behind the border", machine["set_behind_map_s"], -LEAD, 0.15)
            near("measured behind the border", machine["actual_behind_map_s"], delay + RAMP / 2 - LEAD, 0.15)
            near("delay", machine["rate_change_delay_s"], delay + RAMP / 2, 0.15)

        report.job = "a few fields, the speed constant"
        write(work / "few", season, shape="few", fixed=[(4, 3500)])
        near("tons", reconcile(work / "few")[2]["applied_by_rate"], sum(tons(season)), 0.1)

        report.job = "totals alone"
        write(work / "totals", season, keep=[2, 3])
        near("tons", reconcile(work / "totals")[2]["applied_by_rate"], sum(tons(season)), 0.15)

        report.job = "half of the sections"
        halved = Season(field, half=True)
        write(work / "half", halved)
        log = reconcile(work / "half")[2]
        near("tons", log["applied_by_rate"], sum(tons(halved)), 0.1)
        report.check("by the whole width nearly double", log["applied_by_rate"] < 0.6 * sum(tons(season)))

        report.job = "a cut log"
        write(work / "cut", season)
        file = work / "cut" / "TLG00002.BIN"
        ends = read[1][1]
        whole = len(ends) * 6 // 10
        file.write_bytes(file.read_bytes()[: ends[whole - 1] + 7])
        said, _, log = reconcile(work / "cut")
        count = season.days[1][whole - 1][2][3] / 1000 - COUNTED
        near("tons", log["applied_by_rate"] + said["applied_off_the_zones"], count / TON, 0.1)
        share = f"{whole} records, {100 * ends[whole - 1] / ends[-1]:.0f} % of the file"
        told = [warning for warning in said["warnings"] if share in warning]
        report.check("how much is whole is told", len(told) == 1, "; ".join(told))

        report.job = "npm's isoxml"
        for name in ("one", "few"):
            out = subprocess.run(["node", Path(__file__).with_suffix(".js"), node, work / name], capture_output=True, text=True, check=True)
            logs = json.loads(out.stdout)
            near("logs", len(logs), 2, 0)
            for number, log in enumerate(logs):
                true = read[number][0]
                same = len(log) == len(true)
                worst = 0.0
                for found, own in zip(log, true):
                    values = [v for v in own[3] if name == "one" or v[0] != 397]
                    worst = max(worst, abs(found[1] - own[1]), abs(found[2] - own[2]))
                    held = [v for v in found[3] if name == "one" or v[0] != 397]
                    same &= found[0] == own[0] and sorted(held) == sorted(values)
                report.check(f"{name}: log {number + 1}, times, places, values", same and worst < 1e-9, f"{len(true)} records")
    print(f"{report.passed} checks passed, {report.failed} failed")
    sys.exit(report.failed > 0)


if __name__ == "__main__":
    main()
