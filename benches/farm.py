"""A farm of random fields, planned, planned again, and killed: python3 benches/farm.py [FIELDS [KILLS]].

1,000 fields of 100 acres with 40 samples each unless said otherwise, from one fixed seed. Build
first: cargo build --release. Prints the time and the peak memory of a first run and of a second one,
which has nothing to do; then starts a run in another folder, kills it (SIGKILL) at a random moment
and starts it again, KILLS times (5 unless said otherwise), looks for anything half-written after
each, lets the last one end and compares the two folders byte by byte. The limits: 60 s for 1,000
fields on two cores, and no difference.
"""

import filecmp
import hashlib
import json
import math
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
PROGRAM = os.environ.get("PROGRAM", HERE / "../target/release/landplaster")
ACRES, SAMPLES, ACRE = 100, 40, 4046.8564224
WEST, SOUTH = -85.9, 39.6
EAST_DEGREE, NORTH_DEGREE = 84_900.0, 111_040.0  # metres a degree at about that latitude
LIMIT = 60.0  # seconds for 1,000 fields


def main():
    count, kills = [int(word) for word in sys.argv[1:]] + [1000, 5][len(sys.argv) - 1 :]
    with tempfile.TemporaryDirectory() as folder:
        farm = write(Path(folder), count)
        whole, killed = Path(folder, "whole"), Path(folder, "killed")
        first, cpu, memory = timed(farm, whole)
        cores = len(os.sched_getaffinity(0))
        print(
            f"{count} fields of {ACRES} ac, {SAMPLES} samples each: {first:.1f} s on {cores} cores"
            f" ({cpu:.1f} s of their time), peak {memory:.0f} MB",
            flush=True,
        )
        again, _, memory = timed(farm, whole, says=f"{count} unchanged")
        print(f"again, nothing changed: {again:.2f} s, peak {memory:.0f} MB", flush=True)
        least = kill(farm, killed, first, kills)
        timed(farm, killed)
        different = differences(whole, killed)
        files = sum(1 for path in whole.rglob("*") if path.is_file())
        print(f"killed {kills} times, {least} fields whole at the last: {files} files compared, {len(different)} differ")
        for path in different[:5]:
            print(f"  {path}")
        slow = first > LIMIT * count / 1000
        if slow:
            print(f"slower than {LIMIT * count / 1000:.0f} s")
        sys.exit(1 if slow or different else 0)


def write(folder, count):
    """A farm file with its jobs; gives its path."""
    chance = random.Random(2026)
    jobs = []
    for number in range(count):
        name = f"field-{number:04}"
        corner = WEST + 0.02 * (number % 40), SOUTH + 0.02 * (number // 40)
        ring = outline(chance)
        place = lambda at: [round(corner[0] + at[0] / EAST_DEGREE, 8), round(corner[1] + at[1] / NORTH_DEGREE, 8)]
        boundary = {"type": "Polygon", "coordinates": [[place(at) for at in [*ring, ring[0]]]]}
        (folder / f"{name}.geojson").write_text(json.dumps(boundary))
        lines = ["id,longitude,latitude,cec"]
        for at, cec in soil(chance, ring):
            longitude, latitude = place(at)
            lines.append(f"{len(lines)},{longitude:.8f},{latitude:.8f},{cec:.1f}")
        (folder / f"{name}.csv").write_text("\n".join(lines) + "\n")
        (folder / f"{name}.toml").write_text(f'boundary = "{name}.geojson"\nsamples = "{name}.csv"\n')
        jobs.append(f'    "{name}.toml",\n')
    farm = folder / "farm.toml"
    farm.write_text('farm = "All Fields"\njobs = [\n' + "".join(jobs) + ']\nswath = "60 ft"\n')
    return farm


def outline(chance):
    """Corners around a middle, in metres, counter-clockwise, 100 acres."""
    count = chance.randint(6, 24)
    turns = sorted((number + chance.uniform(-0.3, 0.3)) * 2 * math.pi / count for number in range(count))
    ring = [(reach * math.cos(turn), reach * math.sin(turn)) for turn in turns for reach in [chance.uniform(0.7, 1)]]
    twice = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1]))
    scale = math.sqrt(ACRES * ACRE / (twice / 2))
    return [(x * scale, y * scale) for x, y in ring]


def soil(chance, ring):
    """Samples within the outline: a wavy CEC with some scatter."""
    waves = [(chance.gauss(0, 0.006), chance.gauss(0, 0.006), chance.uniform(0, 6.3)) for _ in range(6)]
    reach = max(map(math.hypot, *zip(*ring)))
    samples = []
    while len(samples) < SAMPLES:
        at = chance.uniform(-reach, reach), chance.uniform(-reach, reach)
        # Samples of a grid keep their distance from each other.
        if inside(at, ring) and all(math.dist(at, other) > 45 for other, _ in samples):
            wave = sum(math.sin(x * at[0] + y * at[1] + turn) for x, y, turn in waves)
            samples.append((at, min(max(12 + 2.5 * wave + chance.gauss(0, 0.7), 2), 40)))
    return samples


def inside(at, ring):
    crossed = False
    for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1]):
        if (y0 > at[1]) != (y1 > at[1]) and at[0] < x0 + (at[1] - y0) / (y1 - y0) * (x1 - x0):
            crossed = not crossed
    return crossed


def timed(farm, out, says=""):
    """Seconds, seconds of processor time and peak megabytes of a run, which must end well; `says` must be in what it prints."""
    start = time.monotonic()
    child = subprocess.Popen([PROGRAM, "plan", farm, "--out", out], stdout=subprocess.PIPE, text=True)
    said = child.stdout.read()
    _, status, usage = os.wait4(child.pid, 0)
    if status != 0 or says not in said:
        sys.exit(f"status {status}, said:\n{said[-2000:]}")
    return time.monotonic() - start, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def kill(farm, out, seconds, times):
    """Kills runs at random moments; gives how many fields are whole after the last."""
    chance, whole = random.Random(9), 0
    for _ in range(times):
        child = subprocess.Popen([PROGRAM, "plan", farm, "--out", out], stdout=subprocess.DEVNULL)
        time.sleep(chance.uniform(0.05, 0.9) * seconds / times)
        child.kill()
        child.wait()
        whole = whole_folders(out)
    return whole


def whole_folders(out):
    """How many fields have a folder; each must hold what its inputs.json says, and nothing else."""
    folders = [path for path in out.iterdir() if path.is_dir() and not path.name.startswith(".")] if out.exists() else []
    for folder in folders:
        files = {path.name: path.read_bytes() for path in folder.iterdir()}
        record = json.loads(files.pop("inputs.json"))["outputs"]
        if record != {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}:
            sys.exit(f"{folder} is half-written")
    return len(folders)


def differences(one, other):
    """Files that are not in both folders or not the same."""
    names = {path.relative_to(root) for root in (one, other) for path in root.rglob("*") if not path.is_dir()}
    same = lambda name: (one / name).exists() and (other / name).exists() and filecmp.cmp(one / name, other / name, False)
    return sorted(str(name) for name in names if not same(name))


if __name__ == "__main__":
    main()
