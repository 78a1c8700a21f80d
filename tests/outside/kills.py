"""Kills runs at random moments, and looks at what stands.

    python kills.py PROGRAM DEMO_FARM COUNT

A job and a farm are planned again and again, each time with other rates, into the same folders, in
which a file of the user's own lies; each run is killed (SIGKILL) after a random part of the time that
a run takes. After each, every field's folder must be the whole old or the whole new one, with the
user's file in it or, until the next run, beside it; every tenth time the next run must end, leave
nothing hidden but its lock, and give the user's file back.
"""

import hashlib
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

OWN = "notes.txt"


def digest(folder):
    """A folder's files but the user's own."""
    files = sorted(place for place in folder.rglob("*") if place.is_file() and place.name != OWN)
    return [(str(place.relative_to(folder)), hashlib.sha256(place.read_bytes()).hexdigest()) for place in files]


def variant(farm, folder, factor):
    """The demo farm with the rates of its jobs times a factor."""
    shutil.copytree(farm, folder)
    for job in folder.glob("*.toml"):
        text = job.read_text()
        if "[[tier]]" in text:
            job.write_text(text.replace('rate = "1 ', f'rate = "{factor} '))
        elif "jobs" not in text:
            job.write_text(text + f'\n[[tier]]\nrate = "{factor} ton/ac"\n')


def own_is_there(plans, field):
    return any(place.is_file() for place in (plans / field / OWN, plans / f".{field}.new" / OWN, plans / f".{field}.old" / OWN))


def main():
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    program, demo, count = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), int(sys.argv[3])
    rng = random.Random(20_261_128)
    faults, killed, whole = [], 0, {"old": 0, "new": 0}
    with tempfile.TemporaryDirectory() as base:
        base = Path(base)
        for number, factor in enumerate(("1", "1.25")):
            variant(demo, base / f"farm-{number}", factor)
        for job in ("home-lane.toml", "farm.toml"):
            command = lambda number, plans: [program, "plan", base / f"farm-{number}" / job, "--out", plans]
            expected, took = [], []
            for number in (0, 1):
                start = time.monotonic()
                subprocess.run(command(number, base / f"clean-{job}-{number}"), check=True, capture_output=True)
                took.append(time.monotonic() - start)
                folders = [place for place in (base / f"clean-{job}-{number}").iterdir() if place.is_dir()]
                expected.append({place.name: digest(place) for place in folders})
            plans = base / f"plans-{job}"
            subprocess.run(command(0, plans), check=True, capture_output=True)
            fields = sorted(expected[0])
            for field in fields:
                (plans / field / OWN).write_text("mine\n")
            for run in range(count // 2):
                child = subprocess.Popen(command(run % 2, plans), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                time.sleep(rng.uniform(0, 1.1 * max(took)))
                child.kill()
                killed += child.wait() == -9
                for field in fields:
                    stands = plans / field
                    found = digest(stands) if stands.is_dir() else None
                    # Two steps take the place of one where the file system cannot exchange folders.
                    if found is None and (plans / f".{field}.old").is_dir():
                        found = digest(plans / f".{field}.old")
                    kinds = [name for name, of in zip(("old", "new"), expected) if of[field] == found]
                    if not kinds:
                        faults.append(f"{job}, run {run}: {field} is neither whole")
                    else:
                        whole[kinds[0]] += 1
                    if not own_is_there(plans, field):
                        faults.append(f"{job}, run {run}: the user's file in {field} is gone")
                if run % 10 == 9:
                    done = subprocess.run(command(run % 2, plans), capture_output=True, text=True)
                    left = [place.name for place in plans.iterdir() if place.name.startswith(".")]
                    if done.returncode or left != [".landplaster.lock"]:
                        faults.append(f"{job}, run {run}: the next run gave {done.returncode} {done.stderr}, left {left}")
                    for field in fields:
                        if not (plans / field / OWN).is_file():
                            faults.append(f"{job}, run {run}: the user's file is not back in {field}")
    for fault in faults[:20]:
        print("FAIL", fault)
    print(f"{count // 2 * 2} runs, {killed} killed before their end; folders whole as of the one job {whole['old']}, of the other {whole['new']}; {len(faults)} faults")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
