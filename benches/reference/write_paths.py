"""Writes flow paths as GeoJSON with general-purpose Python libraries, and times it.

    cargo bench --bench paths -- FOLDER
    python benches/reference/write_paths.py FOLDER/paths.csv FOLDER/paths.geojson

The paths are those that `benches/paths.rs` has left. Reading them is not timed. Two ways: the json
module of the standard library on dictionaries made beforehand, and shapely's mapping of
LineStrings with the same. Best and median of five runs each.
"""

import json
import sys
import time

import numpy as np
import shapely
from shapely.geometry import mapping


def timed(name, job):
    seconds = []
    for _ in range(5):
        begun = time.perf_counter()
        job()
        seconds.append(time.perf_counter() - begun)
    seconds.sort()
    print(f"{name}: best {seconds[0]:.3f} s, median {seconds[2]:.3f} s")


def main(source, target):
    table = np.loadtxt(source, delimiter=",")
    ends = np.flatnonzero(np.diff(table[:, 0])) + 1
    parts = [p[:, 1:] for p in np.split(table, ends)]
    lists = [[[round(x, 8), round(y, 8)] for x, y in part.tolist()] for part in parts]
    lines = [shapely.LineString(part) for part in parts if len(part) > 1]

    def write(features):
        with open(target, "w") as out:
            json.dump({"type": "FeatureCollection", "features": features}, out)

    def standard():
        write([
            {"type": "Feature", "properties": {"id": i},
             "geometry": {"type": "LineString", "coordinates": line}}
            for i, line in enumerate(lists)
        ])

    def with_shapely():
        write([
            {"type": "Feature", "properties": {"id": i}, "geometry": mapping(line)}
            for i, line in enumerate(lines)
        ])

    timed("json, coordinates at hand", standard)
    timed("shapely and json", with_shapely)


main(sys.argv[1], sys.argv[2])
