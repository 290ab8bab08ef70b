#!/usr/bin/env python3
"""make.py: wells left out by brute force, with general-purpose libraries.

Writes beside itself
  wells.csv      40 invented wells on a curved water table, m, EPSG:26915
  left_out.json  for each well the head from the 39 others: SciPy (linear on Delaunay triangles,
                 thin-plate spline), PyKrige (exponential covariance below, reading error zero),
                 half-planes clipped one by one (Sibson's natural neighbours), NumPy (inverse
                 squared distance); and the slopes of the least-squares plane (NumPy lstsq) and of the
                 area-weighted mean of SciPy's triangles through the 39 others

Nothing is updated: every system is built anew without the well. Python packages: numpy 2.4.6,
scipy 1.17.1, PyKrige 1.7.3.
"""
import csv
import json
import pathlib
import sys

import numpy as np
from pykrige.ok import OrdinaryKriging
from pykrige.uk import UniversalKriging
from scipy.interpolate import LinearNDInterpolator, RBFInterpolator
from scipy.spatial import Delaunay

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
from sibson import sibson  # noqa: E402
SILL, RANGE = 0.6, 500.0

rng = np.random.default_rng(20260414)
X = np.round(480000 + rng.uniform(0, 600, 40), 1)
Y = np.round(4980000 + rng.uniform(0, 400, 40), 1)
U, V = (X - 480000) / 600, (Y - 4980000) / 400
H = np.round(250 - 2.4 * U + 0.8 * V + 0.9 * U * V - 0.6 * np.sin(4 * U) + rng.normal(0, 0.02, 40), 2)
XY = np.column_stack((X - 480300.0, Y - 4980200.0))


def mean_slope(pts, heads):
    total, whole = np.zeros(2), 0.0
    for t in Delaunay(pts).simplices:
        a, b, c = pts[t]
        size = abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]) / 2
        total += size * np.linalg.solve(np.array([b - a, c - a]), heads[t[1:]] - heads[t[0]])
        whole += size
    return total / whole


out = []
for i in range(len(H)):
    pts, heads, p = np.delete(XY, i, 0), np.delete(H, i), XY[i]
    linear = float(LinearNDInterpolator(pts, heads)(*p))
    row = {"well": f"W{i + 1:02d}"}
    row["linear"] = None if np.isnan(linear) else linear
    row["natural-neighbour"] = None if np.isnan(linear) else sibson(p, pts, heads)
    row["thin-plate"] = float(RBFInterpolator(pts, heads, kernel="thin_plate_spline", degree=1)([p])[0])
    square = ((pts - p) ** 2).sum(1)
    row["inverse-distance"] = float((heads / square).sum() / (1 / square).sum())
    kw = dict(variogram_model="exponential", variogram_parameters={"psill": SILL, "range": RANGE, "nugget": 0.0})
    for name, k in (("kriging", OrdinaryKriging(*pts.T, heads, **kw)),
                    ("kriging-with-drift", UniversalKriging(*pts.T, heads, drift_terms=["regional_linear"], **kw))):
        z, var = k.execute("points", *p[:, None])
        row[name] = float(z[0])
        row[name + "-sd"] = float(np.sqrt(var[0]))
    a = np.column_stack((np.ones(len(pts)), pts))
    row["plane"] = np.linalg.lstsq(a, heads, rcond=None)[0][1:].tolist()
    row["mean"] = mean_slope(pts, heads).tolist()
    out.append(row)

with open(HERE / "wells.csv", "w", newline="") as f:
    f.write("Well,Easting,Northing,Elevation (m)\n")
    w = csv.writer(f, lineterminator="\n")
    w.writerows([f"W{i + 1:02d}", f"{x:.1f}", f"{y:.1f}", f"{h:.2f}"] for i, (x, y, h) in enumerate(zip(X, Y, H)))
with open(HERE / "left_out.json", "w") as f:
    json.dump({"sill": SILL, "range": RANGE, "wells": out}, f, indent=1)
    f.write("\n")
