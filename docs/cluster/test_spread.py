"""Holds spread.py against a plain run: python test_spread.py [SITES]; needs headfall on the path, dask and distributed.

Two workers draw invented sites, one of them is killed on the way. Every round must be there once, with the bytes that one
process gives, and gathered in one file.
"""

import filecmp
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from distributed import Client, LocalCluster

import sites
import spread


def files(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def kill_one(client: Client, after_s: float) -> None:
    time.sleep(after_s)
    workers = client.run(os.getpid)
    os.kill(random.Random(1).choice(list(workers.values())), signal.SIGKILL)


def main(count: int) -> None:
    rounds = 8
    with tempfile.TemporaryDirectory() as room:
        folder, out, plain = (Path(room) / name for name in ("sites", "out", "plain"))
        for number in range(1, count + 1):
            sites.site(folder / f"site-{number:04}", number, rounds)
        cluster = LocalCluster(n_workers=2, threads_per_worker=1)
        with cluster, Client(cluster) as client:
            killing = threading.Thread(target=kill_one, args=(client, 2.0))
            killing.start()
            found = spread.spread(folder, out, client)
            killing.join()
        units = {(unit["source"], unit["round"]) for unit in found}
        assert len(found) == len(units) == count * rounds, (len(found), len(units))
        assert {unit["state"] for unit in found} <= {"drawn", "unchanged"}
        every = sorted(str(path) for path in folder.iterdir())
        subprocess.run(
            ["headfall", "draw", *every, "--round", "all", "--quiet", "--out", str(plain)], check=True
        )
        assert files(out) == files(plain), "nothing lost and nothing left over"
        same = [filecmp.cmp(out / name, plain / name, shallow=False) for name in files(out)]
        assert all(same), "the same bytes"
        gathered = Path(room) / "all.gpkg"
        subprocess.run(["headfall", "gather", str(out), "--out", str(gathered)], check=True)
        with sqlite3.connect(gathered) as layers:
            listed = layers.execute("select site, round, count(*) from rounds group by 1, 2").fetchall()
        assert len(listed) == count * rounds and {n for _, _, n in listed} == {1}
    print(f"{count} sites, {rounds} rounds each: all there once, one worker killed")


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 20)
