"""Makes answer.csv, an invented laboratory's answer for the samples of New Ground.

    landplaster sample demo-farm/new-ground/boundary.geojson --acres 2 --prefix NG --name new-ground \
      --avoid demo-farm/new-ground/old-fence.geojson=60ft --gate=40.5147,-85.1540
    python demo-farm/new-ground/make.py sampling/new-ground/points.geojson

Python 3.11, nothing else. CEC rises to the north-west, with a fixed scatter; pH has no use here.
"""

import csv
import json
import pathlib
import random
import sys

scatter = random.Random(40)
features = json.loads(pathlib.Path(sys.argv[1]).read_text())["features"]
with (pathlib.Path(__file__).parent / "answer.csv").open("w", newline="") as file:
    answer = csv.writer(file, lineterminator="\n")
    answer.writerow(["Lab No.", "Sample ID", "Depth", "pH", "CEC (meq/100 g)"])
    # A laboratory has its own order.
    for number, feature in enumerate(sorted(features, key=lambda feature: feature["properties"]["id"][::-1])):
        east, north = feature["geometry"]["coordinates"]
        cec = 7 + 900 * (north - 40.5148) + 700 * (-85.1496 - east) * 0.6 + scatter.gauss(0, 1.1)
        ph = 6.1 + scatter.random()
        answer.writerow([88_101 + number, feature["properties"]["id"], "0-6 in", f"{ph:.1f}", f"{cec:.1f}"])
