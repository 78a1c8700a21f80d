"""Times landplaster's surface beside other programs on the same inputs: see README.md."""

import glob
import os
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
HERE = os.path.dirname(os.path.abspath(__file__))


def main():
    counts = [int(word) for word in sys.argv[1:]] or [64, 4000, 100000]
    with tempfile.TemporaryDirectory() as folder:
        for count in counts:
            compare(count, folder)
        print(f"\n64 divisions a node, numpy alone: {divisions():.4f} s")


def compare(count, folder):
    random = np.random.default_rng(count)
    samples = np.column_stack([random.uniform(0, SIDE - 1, (count, 2)), random.uniform(4, 25, count)])
    table = os.path.join(folder, "samples.csv")
    np.savetxt(table, samples, fmt="%.17g", delimiter=",", header="x,y,z", comments="")
    samples = np.loadtxt(table, delimiter=",", skiprows=1)
    print(f"\n{count} samples, {SIDE * SIDE} nodes, power 2, one thread")
    print(f"{'program':34} {'seconds':>9} {'nodes/s':>10} {'ours is':>9} {'difference':>11}")

    ours, values = landplaster(table, folder, "12")
    row("landplaster, 12 nearest", ours)
    seconds, theirs, radius = scipy(samples)
    row("SciPy cKDTree, 12 nearest", seconds, theirs, ours, values)
    row("GDAL invdistnn, 12 nearest", *gdal(table, folder, radius), ours, values)
    row("R gstat, 12 nearest", *gstat(table, folder, "nmax = 12"), ours, values)
    if count > 1000:
        return
    ours, values = landplaster(table, folder, "all")
    row("landplaster, all", ours)
    row("GDAL invdist, all", *gdal(table, folder), ours, values)
    row("GDAL invdist, all, single prec.", *gdal(table, folder, vector="YES"), ours, values)
    row("R gstat, all", *gstat(table, folder, "nmax = Inf"), ours, values)


def row(name, seconds, theirs=None, ours=None, values=None, nodes=SIDE * SIDE):
    if seconds is None:
        print(f"{name:34} {'not here':>9}")
        return
    if isinstance(theirs, tuple):
        theirs, nodes = theirs
    line = f"{name:34} {seconds:9.4f} {nodes / seconds:10.3g}"
    if ours is not None:
        times = (seconds / nodes) / (ours / (SIDE * SIDE))
        step = int(round((SIDE * SIDE / nodes) ** 0.5))
        mine = values.reshape(SIDE, SIDE)[::step, ::step].ravel()
        difference = np.max(np.abs(theirs / mine - 1))
        line += f" {times:7.1f} x {difference:11.1e}"
    print(line, flush=True)


def landplaster(table, folder, neighbors):
    built = glob.glob(os.path.join(HERE, "../../target/release/deps/lattice_throughput-*"))
    program = max((path for path in built if os.access(path, os.X_OK) and not path.endswith(".d")), key=os.path.getmtime)
    out = os.path.join(folder, "ours.f64")
    command = [program, table, str(SIDE), str(SIDE), "1", "2", neighbors, out, str(REPEATS)]
    done = subprocess.run(command, env={**os.environ, "RAYON_NUM_THREADS": "1"}, capture_output=True, text=True, check=True)
    return float(done.stdout), np.fromfile(out)


def nodes():
    northing, easting = np.mgrid[0:SIDE, 0:SIDE].astype(float)
    return np.column_stack([easting.ravel(), northing.ravel()])


def scipy(samples):
    places, best = nodes(), float("inf")
    for _ in range(REPEATS):
        start = time.perf_counter()
        distance, number = cKDTree(samples[:, :2]).query(places, k=12, workers=1)
        weight = 1 / (distance * distance)
        values = (weight * samples[number, 2]).sum(1) / weight.sum(1)
        best = min(best, time.perf_counter() - start)
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
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        return time.perf_counter() - start

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
        writeBin(c(took[["elapsed"]], made$var1.pred), "{out}")
    """
    done = subprocess.run(["Rscript", "-e", script], capture_output=True, text=True)
    if done.returncode:
        return None, None
    seconds, *values = struct.iter_unpack("<d", open(out, "rb").read())
    return max(seconds[0], 1e-3), (np.array(values).ravel(), len(values))


def divisions():
    divisor, quotient = np.random.default_rng(1).uniform(1, 2, 4096), np.empty(4096)
    start = time.perf_counter()
    for _ in range(64 * SIDE * SIDE // 4096):
        np.divide(1.0, divisor, out=quotient)
    return time.perf_counter() - start


if __name__ == "__main__":
    main()
