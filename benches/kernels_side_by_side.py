#!/usr/bin/env python3
"""kernels_side_by_side.py KRIGING_BENCH [RUNS]

Ordinary kriging with variances, the covariance given and then fitted, headfall and the reference
script in turn on the same wells and count of nodes, so that both meet the same machine. Where the
covariance is given, wall times are compared; where it is fitted, processor times on one thread, which
other work on the machine changes less. KRIGING_BENCH is the program that
`cargo bench --bench kriging --no-run` names. Prints ratios: the median over the runs, the lowest and
the highest. Run it with the Python that has reference/requirements.txt installed.
"""
import contextlib
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent / "reference"
CASES = [(500, 250_000), (1000, 250_000)]
THEIRS = {"plain blocked BLAS": "BLAS ordinary", "PyKrige": "PyKrige OrdinaryKriging"}
OWN = "ordinary, with variance"
REFERENCE = HERE / "kernel_reference.py"

FITTED = [(300, 40_000), (1000, 40_000), (5000, 40_000)]
THEIR_FITS = {"plain BLAS by restricted likelihood": "BLAS, restricted", "PyKrige by least squares": "PyKrige, least"}
OWN_FIT = "fitted, with variance"


def walls(command):
    """The least wall time of each variant that a program prints."""
    lines = subprocess.run(command, check=True, capture_output=True, text=True).stdout.splitlines()
    rows = map(json.loads, filter(None, lines))
    return {row["variant"]: row["min"] for row in rows if "variant" in row}


def compared(wells, nodes, runs):
    """Prints the ratios of the wall times where the covariance is given."""
    ratios = {name: [] for name in THEIRS}
    with table(wells) as file:
        for _ in range(runs):
            ours = walls([sys.argv[1], file, str(nodes), OWN])[OWN]
            for name, part in THEIRS.items():
                found = walls([sys.executable, REFERENCE, "krige", str(wells), str(nodes), "--repeat", "1", "--only", part])
                ratios[name].append(min(found.values()) / ours)
    tell("given", "wall time", wells, nodes, ratios)


def fitted(wells, nodes, runs):
    """Prints the ratios of processor times on one thread where the covariance is fitted."""
    ratios = {name: [] for name in THEIR_FITS}
    one = os.environ | {"RAYON_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    with table(wells) as file:
        for _ in range(runs):
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            subprocess.run([sys.argv[1], file, str(nodes), OWN_FIT], check=True, capture_output=True, env=one)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            # The program works three times and gives the median.
            ours = (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime) / 3
            for name, part in THEIR_FITS.items():
                command = [sys.executable, REFERENCE, "fitted", str(wells), str(nodes), "--repeat", "1", "--only", part]
                lines = subprocess.run(command, check=True, capture_output=True, text=True, env=one).stdout
                ratios[name].append(json.loads(lines)["cpu"] / ours)
    tell("fitted", "processor time on one thread", wells, nodes, ratios)


@contextlib.contextmanager
def table(wells):
    """A file of so many wells."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "wells.csv"
        subprocess.run([sys.executable, HERE / "make_wells.py", str(wells), "42", file], check=True)
        yield file


def tell(covariance, what, wells, nodes, ratios):
    for name, r in ratios.items():
        print(f"covariance {covariance}, {wells} wells, {nodes} nodes, {what} of {name} over that of headfall: "
              f"median {statistics.median(r):.1f} ({min(r):.1f} to {max(r):.1f})", flush=True)


def main():
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    for wells, nodes in CASES:
        compared(wells, nodes, runs)
    for wells, nodes in FITTED:
        fitted(wells, nodes, runs)


if __name__ == "__main__":
    main()
