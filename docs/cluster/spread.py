"""Draws every round of many sites on the workers of a Dask cluster: python spread.py FOLDER OUT [ADDRESS]

FOLDER holds a site folder for each site; results go to OUT/SITE/ROUND, which all workers must see. ADDRESS is that of a
scheduler; without one two workers are started on this machine. One unit of work is one command, for one site:

    headfall draw SITE --round all --json --threads 1 --out OUT/SITE

A unit that is done twice leaves the same bytes, and one whose worker is lost leaves whole results or none, so that the
scheduler may give it to another worker. Each unit returns what became of its rounds.
"""

import json
import subprocess
import sys
from pathlib import Path

from distributed import Client, LocalCluster, as_completed


def draw(site: str, out: str) -> list[dict]:
    """One unit: all rounds of a site. What headfall says of each round, a dictionary each."""
    command = ["headfall", "draw", site, "--round", "all", "--json", "--quiet", "--threads", "1"]
    run = subprocess.run(
        [*command, "--out", str(Path(out) / Path(site).name)], capture_output=True, text=True
    )
    # 0 and 1 are done, 2 is data that are refused: no other worker would do better. Anything else is tried again.
    if run.returncode not in (0, 1, 2):
        raise RuntimeError(f"{site}: exit code {run.returncode}: {run.stderr[-500:]}")
    return [json.loads(line) for line in run.stdout.splitlines()]


def spread(folder: Path, out: Path, client: Client) -> list[dict]:
    """All sites of a folder: what became of every round, by site and round."""
    sites = sorted(str(path) for path in folder.iterdir() if (path / "site.toml").exists())
    futures = [client.submit(draw, site, str(out), retries=3, pure=False) for site in sites]
    rounds = []
    for done, future in enumerate(as_completed(futures), 1):
        rounds += future.result()
        print(f"{done} of {len(sites)} sites", file=sys.stderr)
    return sorted(rounds, key=lambda unit: (unit["source"], unit["round"] or ""))


if __name__ == "__main__":
    address = sys.argv[3:4]
    cluster = address[0] if address else LocalCluster(n_workers=2, threads_per_worker=1)
    with Client(cluster) as client:
        found = spread(Path(sys.argv[1]), Path(sys.argv[2]), client)
    for state in sorted({unit["state"] for unit in found}):
        print(state, sum(unit["state"] == state for unit in found))
    refused = [unit for unit in found if unit["state"] not in ("drawn", "unchanged")]
    for unit in refused:
        print(unit["site"], unit["round"], unit["why"])
    sys.exit(2 if refused else 0)
