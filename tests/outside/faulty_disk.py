"""Plans onto disks that are full, and onto one whose power is cut.

    python faulty_disk.py PROGRAM DEMO_FARM CUTS

As root, for it mounts. Full: file systems in memory that hold the old folder and from nothing to all
of what the new one needs beside it, in bytes or in files; each run must end well or say that it could
not write, and leave the old folder whole, with the user's own file, or the new one. Power: an ext4
image whose backing file is copied while a run is stopped at a random moment. What was not flushed is
not in the copy; mounted, it must hold the whole old or new folder, and the next run must end well.
"""

import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

from kills import OWN, digest, own_is_there, variant

JOB, FIELD = "home-lane.toml", "home-lane"


@contextmanager
def mounted(what, place, *options):
    place.mkdir(exist_ok=True)
    subprocess.run(["mount", *options, what, place], check=True)
    try:
        yield place
    finally:
        subprocess.run(["umount", place], check=True)


def plan(program, farm, out):
    return subprocess.run([program, "plan", farm / JOB, "--out", out], capture_output=True, text=True)


def full_disks(program, farms, expected, base):
    """Faults, and how many runs ended either way."""
    old = base / "clean-0"
    need = sum(place.stat().st_size for place in old.rglob("*") if place.is_file())
    count = sum(1 for _ in old.rglob("*"))
    faults, ended = [], {"well": 0, "full": 0}
    sizes = [(f"size={int(1.3 * need + share * 1.4 * need) // 1024 + 64}k", f"{share:.2f}") for share in (0, 0.1, 0.3, 0.5, 0.7, 0.9, 0.95, 1.1)]
    files = [(f"nr_inodes={count + 4 + more},size=64m", f"{more} files") for more in range(0, count + 6, 2)]
    for option, called in sizes + files:
        with mounted("tmpfs", base / "memory", "-t", "tmpfs", "-o", option) as place:
            first = plan(program, farms[0], place)
            if first.returncode:
                continue
            (place / FIELD / OWN).write_text("mine\n")
            run = plan(program, farms[1], place)
            found = digest(place / FIELD)
            which = expected.index(found) if found in expected else None
            ended["full" if run.returncode else "well"] += 1
            right = (run.returncode, which) in ((0, 1), (1, 0))
            if not right or not own_is_there(place, FIELD) or "panick" in run.stderr:
                faults.append(f"{called}: exit {run.returncode}, folder {which}: {run.stderr.strip()[:300]}")
            if run.returncode and "cannot be written" not in run.stderr:
                faults.append(f"{called}: says {run.stderr.strip()[:300]}")
    return faults, ended


def power_cuts(program, farms, expected, base, cuts):
    rng = random.Random(20_261_128)
    image, copy = base / "disk.img", base / "copy.img"
    with image.open("wb") as file:
        file.truncate(24 << 20)
    subprocess.run(["mkfs.ext4", "-q", image], check=True)
    faults, stood = [], {"old": 0, "new": 0}
    with mounted(image, base / "disk", "-o", "loop") as place:
        start = time.monotonic()
        assert plan(program, farms[0], place).returncode == 0
        took = time.monotonic() - start
        (place / FIELD / OWN).write_text("mine\n")
        subprocess.run(["sync"], check=True)
        for cut in range(cuts):
            child = subprocess.Popen(
                [program, "plan", farms[(cut + 1) % 2] / JOB, "--out", place],
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )
            # Most of the time it plans; what is of interest is its end.
            time.sleep(rng.uniform(0.4, 1.1) * took)
            child.send_signal(signal.SIGSTOP)
            shutil.copyfile(image, copy)
            child.send_signal(signal.SIGCONT)
            child.wait()
            with mounted(copy, base / "after", "-o", "loop") as after:
                stands = after / FIELD
                if not stands.is_dir():
                    stands = after / f".{FIELD}.old"
                found = digest(stands) if stands.is_dir() else None
                if found not in expected:
                    faults.append(f"cut {cut}: neither folder is whole: {found and [name for name, _ in found]}")
                    continue
                stood["old" if found == expected[cut % 2] else "new"] += 1
                if not own_is_there(after, FIELD):
                    faults.append(f"cut {cut}: the user's file is gone")
                run = plan(program, farms[cut % 2], after)
                if run.returncode or digest(after / FIELD) != expected[cut % 2] or not (after / FIELD / OWN).is_file():
                    faults.append(f"cut {cut}: the next run gave {run.returncode} {run.stderr.strip()}")
    return faults, stood


def main():
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    program, demo, cuts = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), int(sys.argv[3])
    with tempfile.TemporaryDirectory() as base:
        base = Path(base)
        farms, expected = [base / "farm-0", base / "farm-1"], []
        for number, factor in enumerate(("1", "1.25")):
            variant(demo, farms[number], factor)
            assert plan(program, farms[number], base / f"clean-{number}").returncode == 0
            expected.append(digest(base / f"clean-{number}" / FIELD))
        assert expected[0] != expected[1]
        faults, ended = full_disks(program, farms, expected, base)
        print(f"full disks: {ended['well']} runs ended well, {ended['full']} could not write; {len(faults)} faults")
        more, stood = power_cuts(program, farms, expected, base, cuts)
        print(f"power cut {cuts} times: the old folder stood {stood['old']} times, the new one {stood['new']}; {len(more)} faults")
        for fault in faults + more:
            print("FAIL", fault)
    sys.exit(1 if faults or more else 0)


if __name__ == "__main__":
    main()
