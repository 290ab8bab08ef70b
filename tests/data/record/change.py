"""Makes change.json: the change of head from spring 1995 to spring 2005 at the wells of ../inl/inl_esrp_record_1990-2005.csv (US
Geological Survey, CC0), and the linear surface through these changes at nodes 4 km apart, by scipy.interpolate.LinearNDInterpolator
(SciPy 1.17.1, Qhull) with NumPy 2.4.6.

The spring of a well is its first reading of March or April of the year whose status is 1 or blank. Positions: UTM zone 12 of
../inl/inl_esrp_2009-04_wells.csv. Nodes are whole multiples of 4000 m; those outside the wells' outline are left out.

Run in this folder: python change.py
"""

import csv
import json

import numpy as np
from scipy.interpolate import LinearNDInterpolator

CELL = 4000.0


def rows(name):
    with open(f"../inl/{name}", encoding="utf-8") as file:
        yield from csv.DictReader(line for line in file if not line.startswith("#"))


places = {}
for row in rows("inl_esrp_2009-04_wells.csv"):
    if row["completion"] != "M":
        places.setdefault(row["site_no"], (float(row["utm12n_e_m"]), float(row["utm12n_n_m"])))


def spring(year):
    heads = {}
    for row in rows("inl_esrp_record_1990-2005.csv"):
        if row["datetime_utc"][:7] in (f"{year}-03", f"{year}-04") and row["status"] in ("1", ""):
            heads.setdefault(row["site_no"], (row["datetime_utc"], float(row["head_ft_as_published"])))
    return heads


before, after = spring(1995), spring(2005)
wells = sorted(w for w in before if w in after and w in places)
changes = [round(after[w][1] - before[w][1], 2) for w in wells]
xy = np.array([places[w] for w in wells])
surface = LinearNDInterpolator(xy, np.array(changes))
low = np.ceil(xy.min(axis=0) / CELL) * CELL
high = np.floor(xy.max(axis=0) / CELL) * CELL
nodes = []
for north in np.arange(low[1], high[1] + 1, CELL):
    for east in np.arange(low[0], high[0] + 1, CELL):
        value = float(surface((east, north)))
        if np.isfinite(value):
            nodes.append([east, north, round(value, 6)])
by_well = {
    w: {"easting": places[w][0], "northing": places[w][1], "from": before[w], "to": after[w], "change": c}
    for w, c in zip(wells, changes)
}
with open("change.json", "w", encoding="utf-8") as file:
    json.dump({"cell": CELL, "wells": by_well, "nodes": nodes}, file, indent=None, separators=(",", ":"))
    file.write("\n")
print(len(wells), "wells", len(nodes), "nodes")
