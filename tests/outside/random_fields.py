"""Plans random fields with the program itself and judges the zones by GEOS.

    python random_fields.py PROGRAM COUNT

Each field has random corners, sometimes a pond, random samples, and random settings of the
clean-up; all from one fixed seed.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import shapely

from check import geodesic_area
from drivable import faults
from outputs import Outputs
from surface import Plane

CENTRE = (-93.31, 42.07)
SAMPLES = range(10, 60)


def ring(rng, low, high, corners):
    turns = np.sort(rng.uniform(0, 2 * np.pi, corners))
    turns = np.linspace(0, 2 * np.pi, corners, endpoint=False) + 0.3 * (turns - turns.mean()) / corners
    reach = rng.uniform(low, high, corners)
    east, north = reach * np.cos(turns) / 82_700, reach * np.sin(turns) / 111_060
    positions = np.column_stack((CENTRE[0] + east, CENTRE[1] + north)).round(8).tolist()
    return [*positions, positions[0]]


def cec(rng, places):
    waves = rng.uniform(-1, 1, (4, 3)) * (3, 0.006, 0.006)
    metres = (places - CENTRE) * (82_700, 111_060)
    value = 12 + sum(a * np.sin(metres @ (x, y) + 9 * x) for a, x, y in waves) * 2
    return np.clip(value + rng.normal(0, 1.5, len(places)), 3, 30).round(1)


def make(folder, rng):
    rings = [ring(rng, 150, 420, int(rng.integers(5, 25)))]
    if rng.random() < 0.4:
        rings.append(ring(rng, 10, 60, int(rng.integers(4, 10)))[::-1])
    field = {"type": "Polygon", "coordinates": rings}
    (folder / "boundary.geojson").write_text(json.dumps(field))
    low, high = np.min(rings[0], axis=0), np.max(rings[0], axis=0)
    places = rng.uniform(low, high, (int(rng.choice(SAMPLES)), 2))
    lines = [f"S{i},{x:.7f},{y:.7f},{v}" for i, ((x, y), v) in enumerate(zip(places, cec(rng, places)))]
    (folder / "samples.csv").write_text("\n".join(["id,longitude,latitude,CEC", *lines]) + "\n")
    prefer = rng.choice(["nearest", "higher", "lower"])
    (folder / "field.toml").write_text(
        'boundary = "boundary.geojson"\nsamples = "samples.csv"\n[zones]\n'
        f'min_zone = "{rng.uniform(0.1, 1.5):.2f} ac"\nmin_width = "{rng.uniform(30, 100):.0f} ft"\n'
        f'prefer = "{prefer}"\n'
    )
    return shapely.geometry.shape(field)


def judge(program, folder, rng):
    field = make(folder, rng)
    command = [program, "plan", folder / "field.toml", "--out", folder]
    run = subprocess.run(command, capture_output=True, text=True)
    if run.returncode:
        return [run.stderr.strip()]
    outputs = Outputs(folder / "field")
    found = []
    if not all(zone.is_valid for zone in outputs.zones) or not shapely.coverage_is_valid(outputs.zones):
        found.append("no valid coverage")
    off = sum(map(geodesic_area, outputs.zones)) / geodesic_area(field) - 1
    if abs(off) >= 1e-6:
        found.append(f"areas off by {off:.1e}")
    flat = list(Plane(field).geometry(np.array(outputs.zones)))
    return [*found, *(text for texts in faults(outputs, flat) for text in texts)]


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    program, count = Path(sys.argv[1]).resolve(), int(sys.argv[2])
    bad = 0
    for number in range(count):
        with tempfile.TemporaryDirectory() as folder:
            found = judge(program, Path(folder), np.random.default_rng([20_261_125, number]))
        bad += bool(found)
        for text in found:
            print(f"FAIL random field {number}: {text}")
    print(f"{count} random fields: {bad} with faults")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
