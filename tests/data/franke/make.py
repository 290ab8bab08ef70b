#!/usr/bin/env python3
"""Makes surfaces.json: three surfaces through Franke's node sets, by SciPy and GEOS.

Needs numpy 2, scipy 1.16 or so, shapely 2. The tests do not need Python.

- natural: Sibson's value by its definition. Two Voronoi diagrams, without and with the place; the
  weights are the areas of the new cell's intersections with the old ones (GEOS, by shapely).
  Eight far nodes bound the outer cells; places whose new cell reaches beyond 20 units of the
  unit square are left out, so that the far nodes play no part.
- spline: scipy.interpolate.RBFInterpolator, thin_plate_spline, smoothing 0 and 0.01.
- inverse_distance: scipy.spatial.cKDTree, the 12 nearest nodes, power 2; places whose twelfth and thirteenth
  are equally far are left out, because headfall counts both.
"""
import json
import pathlib

import numpy as np
from scipy.interpolate import RBFInterpolator
from scipy.spatial import ConvexHull, Delaunay, Voronoi, cKDTree
from shapely.geometry import Polygon

HERE = pathlib.Path(__file__).parent


def franke(p):
    x, y = 9 * p[:, 0], 9 * p[:, 1]
    return (0.75 * np.exp(-((x - 2) ** 2 + (y - 2) ** 2) / 4) + 0.75 * np.exp(-((x + 1) ** 2) / 49 - (y + 1) / 10)
            + 0.5 * np.exp(-((x - 7) ** 2 + (y - 3) ** 2) / 4) - 0.2 * np.exp(-((x - 4) ** 2) - (y - 7) ** 2))


def cells(points):
    angle = np.arange(8) * np.pi / 4
    far = 0.5 + 1e3 * np.column_stack((np.cos(angle), np.sin(angle)))
    v = Voronoi(np.vstack((points, far)))
    return [Polygon(v.vertices[v.regions[v.point_region[i]]]) for i in range(len(points))]


def sibson(points, values, at):
    old = cells(points)
    out = []
    for p in at:
        new = cells(np.vstack((points, p)))[-1]
        if np.abs(np.array(new.exterior.coords) - 0.5).max() > 20:
            out.append(None)
            continue
        w = np.array([new.intersection(c).area for c in old])
        out.append(float(w @ values / w.sum()))
    return out


def main():
    rows = [r.split(",") for r in (HERE / "nodes.csv").read_text().splitlines() if r[:2] == "ds"]
    result = {}
    for name in ("ds1", "ds2", "ds3"):
        nodes = np.array([[float(r[1]), float(r[2])] for r in rows if r[0] == name])
        values = franke(nodes)
        at = np.array([(x, y) for y in np.linspace(0.027, 0.969, 13) for x in np.linspace(0.02, 0.983, 13)])
        hull = Delaunay(nodes[ConvexHull(nodes).vertices])
        at = at[hull.find_simplex(at) >= 0]
        dist, near = cKDTree(nodes).query(at, k=13)
        w = 1 / dist[:, :12] ** 2
        mean = (w * values[near[:, :12]]).sum(1) / w.sum(1)
        clear = dist[:, 12] - dist[:, 11] > 1e-9
        result[name] = {
            "at": at.tolist(),
            "natural": sibson(nodes, values, at),
            "spline": RBFInterpolator(nodes, values, kernel="thin_plate_spline")(at).tolist(),
            "spline_smoothed": RBFInterpolator(nodes, values, kernel="thin_plate_spline", smoothing=0.01)(at).tolist(),
            "inverse_distance": [m if c else None for m, c in zip(mean.tolist(), clear)],
        }
    text = json.dumps({"made_by": "make.py", **result})
    (HERE / "surfaces.json").write_text(text.replace('}, "', '},\n"') + "\n")


main()
