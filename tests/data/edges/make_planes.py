#!/usr/bin/env python3
"""Makes planes.json beside it: python3 make_planes.py

Lines of equal head of a triangulated surface, by matplotlib's contours of triangulations, cut to
areas with holes by shapely. The wells and the areas are invented. The head is linear on each
triangle, or the square of the saturated thickness above a base is.
"""
import json
from pathlib import Path

import matplotlib
import numpy as np
import shapely
from matplotlib.tri import Triangulation
from scipy.spatial import Delaunay

matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402

HERE = Path(__file__).parent
WEST, SOUTH = 481_000.0, 4_979_000.0


def pieces(xy, values, level, area):
    """The pieces of one line of equal value within an area: ends and length; a closed one has no ends."""
    triangles = Triangulation(*xy.T, Delaunay(xy).simplices)
    found = plt.tricontour(triangles, values, levels=[level])
    lines = [shapely.LineString(s) for s in found.allsegs[0] if len(s) > 1]
    plt.close("all")
    if area is not None:
        lines = [part for line in lines
                 for part in shapely.get_parts(shapely.line_merge(shapely.intersection(line, area)))]
    lines = [line for line in lines if line.geom_type == "LineString" and line.length > 1e-6]
    return [{"closed": line.is_closed, "length": line.length,
             "ends": [] if line.is_closed else [list(line.coords[0]), list(line.coords[-1])]}
            for line in lines]


def thinnest(xy):
    """The least height of a triangle over its longest side."""
    corners = xy[Delaunay(xy).simplices]
    sides = corners - np.roll(corners, 1, axis=1)
    (ux, uy), (vx, vy) = sides[:, 0].T, sides[:, 1].T
    area2 = np.abs(ux * vy - uy * vx)
    return (area2 / (sides ** 2).sum(axis=2).max(axis=1)).min()


def main():
    rng = np.random.default_rng(20261129)
    # Without three wells on one line along the outline, where headfall has a rule of its own.
    while True:
        xy = np.round(rng.random((44, 2)) * (420.0, 300.0), 2)
        if thinnest(xy) > 0.01:
            break
    heads = np.round(52.0 - 0.011 * xy[:, 0] + 0.006 * xy[:, 1]
                     + 1.9 * np.sin(xy[:, 0] / 50) * np.cos(xy[:, 1] / 45), 2)
    # A slit of 0.6 m, a notch of 0.4 m, and a parcel 0.8 m away from the first.
    slit = [(120.0, 60.0), (120.6, 60.0), (150.6, 230.0), (150.0, 230.0)]
    first = [(20.0, 25.0), (260.0, 25.0), (260.0, 140.0), (200.0, 140.2), (260.0, 140.4),
             (260.0, 280.0), (20.0, 250.0)]
    second = [(260.8, 30.0), (400.0, 60.0), (380.0, 270.0), (260.8, 250.0)]
    area = shapely.MultiPolygon([shapely.Polygon(first, [slit]), shapely.Polygon(second)])
    cases = []
    for base in [None, 40.0]:
        for within in [None, area]:
            values = heads if base is None else (heads - base) ** 2
            lo, hi = heads.min(), heads.max()
            levels = [round(k * 0.4, 9) for k in range(int(lo / 0.4), int(hi / 0.4) + 2)]
            levels = [v for v in levels if lo < v < hi]
            at = [level if base is None else (level - base) ** 2 for level in levels]
            lines = [{"level": level, "pieces": pieces(xy, values, value, within)}
                     for level, value in zip(levels, at)]
            cases.append({"base": base, "within": within is not None, "lines": lines})
    with open(HERE / "planes.json", "w", newline="\n") as f:
        json.dump({
            "made_by": f"matplotlib {matplotlib.__version__}, SciPy, shapely {shapely.__version__}",
            "west": WEST, "south": SOUTH,
            "wells": np.column_stack((xy, heads)).tolist(),
            "areas": [[first, slit], [second]],
            "cases": cases,
        }, f, indent=None, separators=(", ", ": "))
        f.write("\n")


if __name__ == "__main__":
    main()
