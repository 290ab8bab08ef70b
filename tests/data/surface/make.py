#!/usr/bin/env python3
"""Makes the fixtures beside it: python3 make.py

linear_*.json   heads of the piecewise linear surface, by scipy.interpolate.LinearNDInterpolator
contours_*.json lines by contourpy (serial, LineType.SeparateCode)

Numbers are written with repr precision. Each file names the versions that made it.
"""
import json
from pathlib import Path

import contourpy
import numpy as np
import scipy
from contourpy import LineType, contour_generator
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import Delaunay

HERE = Path(__file__).parent


def write(name, made_by, **content):
    with open(HERE / f"{name}.json", "w", newline="\n") as f:
        f.write("{\n" + f'"made_by": {json.dumps(made_by)}')
        for key, value in content.items():
            f.write(f",\n{json.dumps(key)}: {json.dumps(value, allow_nan=False)}")
        f.write("\n}\n")


def listed(a):
    return [None if np.isnan(v) else v for v in np.asarray(a, dtype=float).ravel().tolist()]


def hull_distance(tri, p):
    """Distance of every point of p to the outline."""
    d = np.full(len(p), np.inf)
    for a, b in tri.points[tri.convex_hull]:
        t = np.clip(((p - a) @ (b - a)) / ((b - a) @ (b - a)), 0, 1)
        d = np.minimum(d, np.hypot(*(p - a - t[:, None] * (b - a)).T))
    return d


def linear(name, crs, heads, origin, metres_per_unit, cell, **extra):
    """Nodes at multiples of the cell over the bounds of the wells; geometry in local metres."""
    local = (crs - origin) * metres_per_unit
    tri = Delaunay(local)
    lo, hi = np.floor(crs.min(0) / cell), np.ceil(crs.max(0) / cell)
    columns, rows = (hi - lo + 1).astype(int).tolist()
    west, south = (lo * cell).tolist()
    gx, gy = np.meshgrid(west + np.arange(columns) * cell, south + np.arange(rows) * cell)
    nodes = (np.column_stack((gx.ravel(), gy.ravel())) - origin) * metres_per_unit
    found = LinearNDInterpolator(tri, heads)(nodes)
    write(f"linear_{name}", f"SciPy {scipy.__version__} (Qhull), NumPy {np.__version__}",
          **extra, origin=list(origin), metres_per_unit=metres_per_unit,
          grid={"west": west, "south": south, "cell": cell, "columns": columns, "rows": rows},
          triangles=np.sort(tri.simplices, axis=1).tolist(), heads=listed(found),
          near_outline=np.flatnonzero(hull_distance(tri, nodes) < 1e-6).tolist())
    return found.reshape(rows, columns)


def contours(name, heads, interval, base, west, south, cell):
    """Lines of every level base + k interval strictly between lowest and highest head."""
    lo, hi = np.nanmin(heads), np.nanmax(heads)
    k = np.arange(np.floor((lo - base) / interval), np.ceil((hi - base) / interval) + 1)
    levels = [v for v in np.round(base + k * interval, 9).tolist() if lo < v < hi]
    rows, columns = heads.shape
    generator = contour_generator(
        west + np.arange(columns) * cell, south + np.arange(rows) * cell,
        np.ma.masked_invalid(heads), name="serial", corner_mask=False, line_type=LineType.SeparateCode)
    lines = []
    for level in levels:
        for points, codes in zip(*generator.lines(level)):
            lines.append({"level": level, "closed": bool(codes[-1] == 79), "points": points.tolist()})
    write(f"contours_{name}", f"contourpy {contourpy.__version__}, NumPy {np.__version__}",
          grid={"west": west, "south": south, "cell": cell, "columns": columns, "rows": rows},
          heads=listed(heads), interval=interval, base=base, levels=levels, lines=lines)


def main():
    rng = np.random.default_rng(20260414)

    # Sixty irregular wells, invented, in metres at the magnitude of a UTM grid.
    crs = np.round(np.array([481_200.0, 4_979_400.0]) + rng.random((60, 2)) * (430.0, 310.0), 2)
    x, y = (crs - crs.min(0)).T
    heads = np.round(251.0 - 0.006 * x + 0.003 * y + 0.8 * np.sin(x / 90) * np.cos(y / 70), 2)
    surface = linear("sixty", crs, heads, np.round(crs.mean(0)).tolist(), 1.0, 10.0,
                     wells=np.column_stack((crs, heads)).tolist())

    table = np.genfromtxt(HERE.parent / "wolfcamp" / "wolfcamp_85.csv", delimiter=",", names=True, skip_header=6)
    miles = np.column_stack((table["x_mi"], table["y_mi"]))
    linear("wolfcamp", miles, table["head_ft"], [0.0, 100.0], 1609.344, 5.0,
           wells_from="wolfcamp_85.csv: x_mi, y_mi, head_ft")

    # A surface over wells with its outline, an offset base, a rough field with many saddles, whole
    # heads on whole levels (plateaus, ties), and holes.
    contours("sixty", surface, 0.25, 0.1, 481_200.0, 4_979_400.0, 10.0)
    contours("rough", rng.normal(10.0, 1.0, (14, 17)), 0.5, 0.0, 100.0, -50.0, 2.5)
    contours("whole", rng.integers(0, 6, (14, 17)).astype(float), 1.0, 0.0, 1000.0, 2000.0, 1.0)
    holes = rng.integers(0, 5, (14, 17)).astype(float)
    holes[rng.random(holes.shape) < 0.12] = np.nan
    contours("holes", holes, 0.5, 0.0, -3.0, 7.0, 0.5)


if __name__ == "__main__":
    main()
