#!/usr/bin/env python3
"""kernels_side_by_side.py KRIGING_BENCH [RUNS]

Ordinary kriging with variances, headfall and the reference script in turn on the same wells and
count of nodes, so that both meet the same machine. KRIGING_BENCH is the program that
`cargo bench --bench kriging --no-run` names. Prints the ratio of the wall times: the median over
the runs, the lowest and the highest. Run it with the Python that has reference/requirements.txt
installed.
"""
import json
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent / "reference"
CASES = [(500, 250_000), (1000, 250_000)]
THEIRS = {"plain blocked BLAS": "BLAS ordinary", "PyKrige": "PyKrige OrdinaryKriging"}


def walls(command):
    """The least wall time of each variant that a program prints."""
    lines = subprocess.run(command, check=True, capture_output=True, text=True).stdout.splitlines()
    rows = map(json.loads, filter(None, lines))
    return {row["variant"]: row["min"] for row in rows if "variant" in row}


def main():
    bench = sys.argv[1]
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    with tempfile.TemporaryDirectory() as folder:
        for wells, nodes in CASES:
            table = Path(folder) / f"{wells}.csv"
            subprocess.run([sys.executable, HERE / "make_wells.py", str(wells), "42", table], check=True)
            ratios = {name: [] for name in THEIRS}
            for _ in range(runs):
                ours = walls([bench, table, str(nodes)])
                for name, part in THEIRS.items():
                    theirs = walls([sys.executable, HERE / "kernel_reference.py", "krige", str(wells),
                                    str(nodes), "--repeat", "1", "--only", part])
                    ratios[name].append(min(theirs.values()) / ours["ordinary, with variance"])
            for name, r in ratios.items():
                print(f"{wells} wells, {nodes} nodes, over {name}: median {statistics.median(r):.1f} "
                      f"({min(r):.1f} to {max(r):.1f})")


if __name__ == "__main__":
    main()
