#!/usr/bin/env python3
"""side_by_side.py HEADFALL [RUNS]

The whole main job, headfall and the reference script in turn on the same wells and cell, so that
both meet the same machine. headfall leaves out what the script has not: the map sheet, the page and
the GeoPackage. Prints the median of the wall times, the ratio of each pair of
neighbouring runs (its median, lowest and highest) and the peak memory. Run it with the Python
that has reference/requirements.txt installed.
"""
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent / "reference"
CASES = [(100, 0.5, 3), (100_000, 3.1623, 1)]


def run(command):
    """Wall seconds and peak memory in MiB of one command."""
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - start
    if status != 0:
        sys.exit(f"failed: {command}")
    return wall, usage.ru_maxrss / 1024


def main():
    headfall = sys.argv[1]
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 5
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        for wells, cell, repeat in CASES:
            table = folder / f"{wells}.csv"
            subprocess.run([sys.executable, HERE / "make_wells.py", str(wells), "1", table], check=True)
            ours = [headfall, "draw", table, "--crs", "EPSG:26915", "--unit", "m", "--cell", str(cell),
                    "--interval", "0.5", "--quiet", "--data-only", "--out", folder / "ours"]
            theirs = [sys.executable, HERE / "pipeline_reference.py", table, str(cell), folder / "theirs"]
            run(ours), run(theirs)  # once to warm the file cache
            a, b = [], []
            for _ in range(runs * repeat):
                a.append(run(ours))
                b.append(run(theirs))
            ratios = [y[0] / x[0] for x, y in zip(a, b)]
            print(f"{wells} wells, cell {cell} m:")
            print(f"  headfall   {statistics.median(x[0] for x in a):8.3f} s  {max(x[1] for x in a):7.0f} MiB")
            print(f"  reference  {statistics.median(x[0] for x in b):8.3f} s  {max(x[1] for x in b):7.0f} MiB")
            print(f"  ratio      {statistics.median(ratios):8.1f}   from {min(ratios):.1f} to {max(ratios):.1f}")


if __name__ == "__main__":
    main()
