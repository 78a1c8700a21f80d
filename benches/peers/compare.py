"""Times landplaster's surface beside other programs on the same inputs: see README.md."""

import datetime
import glob
import os
import resource
import shutil
import struct
import subprocess
import sys
import tempfile
import time

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.spatial import cKDTree

SIDE = 1000
REPEATS = 3
OURS = 15  # ours is so short that a neighbour on the machine disturbs it more
EQUAL = 1e-9
HERE = os.path.dirname(os.path.abspath(__file__))


def main():
    counts = [int(word) for word in sys.argv[1:]] or [64, 4000, 40000, 100000]
    print(f"{datetime.date.today()}, {processor()}; power 2, {SIDE * SIDE} nodes, one thread")
    with tempfile.TemporaryDirectory() as folder:
        for count in counts:
            compare(count, folder)
        growth(counts, folder)
        threads(counts, folder)


def processor():
    with open("/proc/cpuinfo") as lines:
        return next(line.split(":")[1].strip() for line in lines if line.startswith("model name"))


def compare(count, folder):
    table = scatter(count, folder)
    samples = np.loadtxt(table, delimiter=",", skiprows=1)
    print(f"\n{f'{count} samples':38} {'seconds':>9} {'nodes/s':>8} {'ours is':>9} {'difference':>11}")
    ours, _, values = landplaster(table, folder, "12")
    row("landplaster, 12 nearest", ours)
    seconds, theirs, radius = scipy(samples)
    row("SciPy cKDTree, 12 nearest", seconds, theirs, ours, values)
    row("GDAL invdistnn, 12 nearest, vector off", *gdal(table, folder, radius), ours, values)
    row("GDAL invdistnn, 12 nearest, vector on", *gdal(table, folder, radius, "YES"), ours, values)
    row("R gstat, 12 nearest", *gstat(table, folder, "nmax = 12"), ours, values)
    if count > 1000:
        return
    ours, _, values = landplaster(table, folder, "all")
    row("landplaster, all", ours)
    row("GDAL invdist, all, vector off", *gdal(table, folder), ours, values)
    row("GDAL invdist, all, vector on", *gdal(table, folder, vector="YES"), ours, values)
    row("R gstat, all", *gstat(table, folder, "nmax = Inf"), ours, values)
    bound = divisions(count * SIDE * SIDE)
    print(f"{f'{count} divisions a node alone':38} {bound:9.4f}: all samples take {ours / bound:.2f} times that")


def row(name, seconds, theirs=None, ours=None, values=None, nodes=SIDE * SIDE):
    if seconds is None:
        print(f"{name:38} {'not here':>9}")
        return
    if isinstance(theirs, tuple):
        theirs, nodes = theirs
    line = f"{name:38} {seconds:9.4f} {nodes / seconds:8.2g}"
    if ours is not None:
        times = (seconds / nodes) / (ours / (SIDE * SIDE))
        step = int(round((SIDE * SIDE / nodes) ** 0.5))
        mine = values.reshape(SIDE, SIDE)[::step, ::step].ravel()
        difference = np.max(np.abs(theirs / mine - 1))
        line += f" {times:7.1f} x {difference:11.1e}{'' if difference <= EQUAL else '  not equal'}"
    print(line, flush=True)


def growth(counts, folder):
    """Seconds as nodes grow tenfold over the same field, and as samples grow."""
    sides = [316, 1000, 3162]
    print(f"\n{'12 nearest':14}" + "".join(f"{f'{side * side:.0e} nodes':>15}" for side in sides) + "   seconds")
    for count in counts:
        table = scatter(count, folder)
        taken = [landplaster(table, folder, "12", side, (SIDE - 1) / (side - 1))[0] for side in sides]
        print(f"{f'{count} samples':14}" + "".join(f"{seconds:15.4f}" for seconds in taken), flush=True)


def threads(counts, folder):
    """What a second thread gains by the clock, and what both use; the two settings take turns."""
    print(f"\n{'threads':24} {'1':>9} {'2':>9}   faster   processor seconds of both")
    cases = [(count, "12") for count in counts] + [(counts[0], "all")]
    for count, neighbors in cases:
        table = scatter(count, folder)
        taken = [[landplaster(table, folder, neighbors, threads=n)[:2] for n in (1, 2)] for _ in range(REPEATS)]
        (alone, one), (both, two) = np.min(taken, axis=0)
        name = f"{count} samples, {neighbors}"
        print(f"{name:24} {one:9.4f} {two:9.4f} {one / two:7.2f} x {both / alone:7.2f} x", flush=True)


def scatter(count, folder):
    random = np.random.default_rng(count)
    samples = np.column_stack([random.uniform(0, SIDE - 1, (count, 2)), random.uniform(4, 25, count)])
    table = os.path.join(folder, "samples.csv")
    np.savetxt(table, samples, fmt="%.17g", delimiter=",", header="x,y,z", comments="")
    return table


def program():
    built = glob.glob(os.path.join(HERE, "../../target/release/deps/lattice_throughput-*"))
    return max((path for path in built if os.access(path, os.X_OK) and not path.endswith(".d")), key=os.path.getmtime)


def landplaster(table, folder, neighbors, side=SIDE, step=1, threads=1):
    out = os.path.join(folder, "ours.f64")
    command = [program(), table, str(side), str(side), repr(step), "2", neighbors, out, str(OURS)]
    environment = {**os.environ, "RAYON_NUM_THREADS": str(threads)}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    by_clock, processor = map(float, done.stdout.split())
    return processor, by_clock, np.fromfile(out)


def nodes():
    northing, easting = np.mgrid[0:SIDE, 0:SIDE].astype(float)
    return np.column_stack([easting.ravel(), northing.ravel()])


def scipy(samples):
    places, best = nodes(), float("inf")
    for _ in range(REPEATS):
        start = time.process_time()
        distance, number = cKDTree(samples[:, :2]).query(places, k=12, workers=1)
        weight = 1 / (distance * distance)
        values = (weight * samples[number, 2]).sum(1) / weight.sum(1)
        best = min(best, time.process_time() - start)
    return best, values, 1.0001 * distance.max()


def gdal(table, folder, radius=None, vector="NO"):
    if not shutil.which("gdal_grid"):
        return None, None
    out = os.path.join(folder, "gdal.bin")
    source = os.path.join(folder, "samples.vrt")
    with open(source, "w") as vrt:
        vrt.write(
            '<OGRVRTDataSource><OGRVRTLayer name="samples">'
            f"<SrcDataSource>{table}</SrcDataSource><GeometryType>wkbPoint25D</GeometryType>"
            '<GeometryField encoding="PointFromColumns" x="x" y="y" z="z"/>'
            "</OGRVRTLayer></OGRVRTDataSource>"
        )
    method = "invdist:power=2"
    if radius:  # the least that holds 12 samples everywhere: a wider one only costs time
        method = f"invdistnn:power=2:max_points=12:radius={radius}"

    def run(side):
        edge = side - 0.5
        command = ["gdal_grid", "-q", "-a", method, "-of", "ENVI", "-ot", "Float64", "-l", "samples"]
        command += ["-txe", "-0.5", str(edge), "-tye", "-0.5", str(edge), "-outsize", str(side), str(side)]
        command += ["--config", "GDAL_NUM_THREADS", "1", "--config", "GDAL_USE_SSE", vector]
        command += ["--config", "GDAL_USE_AVX", vector, source, out]
        before = processor_seconds()
        subprocess.run(command, check=True, capture_output=True)
        return processor_seconds() - before

    least = min(run(1) for _ in range(REPEATS))
    seconds = min(run(SIDE) for _ in range(REPEATS)) - least
    return seconds, np.fromfile(out).reshape(SIDE, SIDE)[::-1].ravel()  # north first


def gstat(table, folder, option):
    if not shutil.which("Rscript"):
        return None, None
    out = os.path.join(folder, "gstat.bin")
    script = f"""
        suppressMessages({{library(gstat); library(sp)}})
        samples <- read.csv("{table}"); coordinates(samples) <- ~x + y
        places <- expand.grid(x = seq(0, {SIDE - 1}, 10), y = seq(0, {SIDE - 1}, 10))
        coordinates(places) <- ~x + y
        took <- system.time(made <- idw(z ~ 1, samples, places, idp = 2, {option}, debug.level = 0))
        writeBin(c(took[["user.self"]] + took[["sys.self"]], made$var1.pred), "{out}")
    """
    done = subprocess.run(["Rscript", "-e", script], capture_output=True, text=True)
    if done.returncode:
        return None, None
    seconds, *values = struct.iter_unpack("<d", open(out, "rb").read())
    return max(seconds[0], 1e-3), (np.array(values).ravel(), len(values))


def divisions(count):
    done = subprocess.run([program(), "divisions", str(count), str(OURS)], capture_output=True, text=True, check=True)
    return float(done.stdout)


def processor_seconds():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    main()
