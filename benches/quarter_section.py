"""CPU seconds of the whole program on 160 acres: python3 benches/quarter_section.py [SAMPLES [GRID_FT [RUNS]]].

A square of 160 acres in WGS84, 64 samples (a regular pattern moved about at random, a fixed seed)
and a lattice of 10 ft unless said otherwise. Build first: cargo build --release. Prints the least
and the median of the runs: user and system seconds of the program, its start and its files included.
"""

import json
import math
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
PROGRAM = os.path.join(HERE, "../target/release/landplaster")
WEST, SOUTH, SIDE = -85.2, 40.4, 804.672  # half a mile
EAST_DEGREE, NORTH_DEGREE = 84_900.0, 111_040.0  # metres a degree at that latitude


def main():
    samples, grid, runs = [int(word) for word in sys.argv[1:]] + [64, 10, 15][len(sys.argv) - 1 :]
    program = os.environ.get("PROGRAM", PROGRAM)
    with tempfile.TemporaryDirectory() as folder:
        job = write(folder, samples, grid)
        taken = [run(program, job, os.path.join(folder, "plans")) for _ in range(runs)]
        user, system = [[each[i] for each in taken] for i in (0, 1)]
    print(
        f"160 ac, {samples} samples, {grid} ft: user {min(user):.3f} s (median {statistics.median(user):.3f}),"
        f" system {min(system):.3f} s (median {statistics.median(system):.3f}), {runs} runs"
    )


def write(folder, samples, grid):
    def place(east, north):
        return [WEST + SIDE * east / EAST_DEGREE, SOUTH + SIDE * north / NORTH_DEGREE]

    ring = [place(*corner) for corner in [(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)]]
    with open(os.path.join(folder, "boundary.geojson"), "w") as file:
        json.dump({"type": "Polygon", "coordinates": [ring]}, file)
    chance, side = random.Random(1), math.ceil(math.sqrt(samples))
    with open(os.path.join(folder, "samples.csv"), "w") as file:
        file.write("id,longitude,latitude,cec\n")
        for number in range(samples):
            east = (number % side + chance.uniform(0.2, 0.8)) / side
            north = (number // side + chance.uniform(0.2, 0.8)) / side
            cec = 13.5 + 8 * math.sin(7 * east + 2) * math.cos(5 * north + 1) + chance.uniform(-0.5, 0.5)
            longitude, latitude = place(east, north)
            file.write(f"{number + 1},{longitude:.8f},{latitude:.8f},{cec:.1f}\n")
    job = os.path.join(folder, "quarter.toml")
    with open(job, "w") as file:
        file.write('boundary = "boundary.geojson"\nsamples = "samples.csv"\n')
        file.write(f'[surface]\ngrid = "{grid} ft"\n')
    return job


def run(program, job, out):
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([program, "plan", job, "--out", out], check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime, after.ru_stime - before.ru_stime


if __name__ == "__main__":
    main()
