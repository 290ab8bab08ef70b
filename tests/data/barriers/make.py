#!/usr/bin/env python3
"""make.py: surfaces past a wall that ends among the wells, with general-purpose libraries.

Writes beside itself
  wells.csv   25 invented wells, m from the corner (480000, 4980000), and their heads, m
  past.json   the wall, the pumped wells, the covariance; at some nodes and, by leaving it out and
              working everything out anew, at each well, the heads that each method gives, and
              kriging's variances

The views of a place and their shares are worked out as docs/surface.md says, with shapely: the shade
of a well is the area behind the wall, and its depth the distance to the part of the lit area that is
seen from the place. What each view says is SciPy's (linear on Delaunay triangles, thin-plate spline),
NumPy's (inverse squared distance, kriging by generalised least squares with the cone held) and that of
half-planes clipped one by one (Sibson's natural neighbours).

Eight pairs of wells stand 60 m apart and all others farther, so that the usual spacing is 60 m with
and without any well. Python packages: numpy 2.4.6, scipy 1.17.1, shapely 2.2.0.
"""
import csv
import json
import pathlib
import sys

import numpy as np
from scipy.interpolate import LinearNDInterpolator, RBFInterpolator
from shapely import LineString, MultiPoint, Point, Polygon, box

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
from sibson import sibson  # noqa: E402

END, FOOT = np.array([330.0, 230.0]), np.array([290.0, -60.0])
WALL = LineString([FOOT, END])
# Corners stand a centimetre beyond the end.
PAST = END + (END - FOOT) / np.linalg.norm(END - FOOT) * 0.01
LONGER = LineString([FOOT, PAST])
# One term of the drift: rates of both are known. The second stands past the end, in line with the wall.
PUMPED = [((170.0, 130.0), 0.1, 100.0), ((344.0, 331.5), 0.1, -40.0)]
SILL, RANGE, SD = 1.5, 500.0, 0.02
SHORTEST, HALF = 1 / 64, 0.5


def wells():
    pairs = [(40, 40), (150, 20), (60, 180), (200, 200), (380, 40), (500, 130), (400, 250), (120, 310)]
    alone = [(10, 120), (250, 100), (20, 390), (330, 100), (590, 20), (580, 260), (470, 370), (255, 390), (590, 395)]
    for x, y in pairs:
        yield x, y
        yield x + 36, y + 48
    yield from alone


XY = np.array(sorted(wells()), float)


def truth(x, y):
    cone = sum(rate * np.log(np.maximum(np.hypot(x - px, y - py), r)) for (px, py), r, rate in PUMPED)
    east = x > FOOT[0] + (y - FOOT[1]) * (END - FOOT)[0] / (END - FOOT)[1]
    step = np.where(east & (y < 250), 0.9, 0.0)
    return 100 + 0.004 * x - 0.002 * y + 0.002 * cone + step + 0.05 * np.sin(x / 37) * np.cos(y / 29)


H = np.round(truth(*XY.T), 3)


def spacing(xy):
    d = np.linalg.norm(xy[:, None] - xy[None], axis=2) + np.diag([np.inf] * len(xy))
    nearest = np.sort(d.min(axis=0))
    middle = (nearest[(len(xy) - 1) // 2], nearest[len(xy) // 2])
    assert middle[0] == middle[1] == 60, middle
    return 60.0


def lit(p, wall):
    """What is seen from a place, within a large box."""
    far = [p + (np.array(c) - p) * 1e4 for c in wall.coords]
    return box(-2e3, -2e3, 3e3, 3e3) - Polygon([*wall.coords, far[1], far[0]])


def visibilities(p, points, fades):
    out = []
    for q in points:
        if np.array_equal(p, q) or not LineString([p, q]).intersects(WALL):
            out.append(1.0)
            continue
        # The two lit areas touch along the wall, where nothing is lit from both sides.
        both = lit(q, LONGER).intersection(lit(p, LONGER)).buffer(-1e-7)
        s = both.distance(Point(p)) / fades if not both.is_empty else 1.0
        out.append((1 - s) ** 2 * (1 + 2 * s) if s < 1 else 0.0)
    return np.array(out)


def views(p, points, fades):
    """Points seen, and the thresholds from and to which they are, the highest first."""
    v = visibilities(p, points, fades)
    found, to = [], v.max()
    levels = sorted(set(v[v > 0]), reverse=True)
    for k, level in enumerate(levels):
        lower = levels[k + 1] if k + 1 < len(levels) else 0.0
        if to - lower >= SHORTEST or lower == 0:
            found.append((np.flatnonzero(v >= level), lower, to))
            to = lower
    return found


def inverse_distance(p, xy, h):
    d = np.linalg.norm(xy - p, axis=1)
    return float(h[d.argmin()] if d.min() < 1e-7 else (h / d**2).sum() / (1 / d**2).sum())


def cone(xy, seen):
    xy = np.atleast_2d(xy)
    parts = [PUMPED[k] for k in seen]
    r = [(np.maximum(np.hypot(*(xy - c).T), radius), rate) for c, radius, rate in parts]
    return sum((rate * np.log(d) for d, rate in r), np.zeros(len(xy)))


def system(p, xy, h, terms):
    """Generalised least squares: head, variance, factors and their covariance. `terms` of a place."""
    c = lambda d: SILL * np.exp(-3 * d / RANGE)
    K = c(np.linalg.norm(xy[:, None] - xy[None], axis=2)) + SD**2 * np.eye(len(xy))
    k = c(np.linalg.norm(xy - p, axis=1))
    F, f = np.array([terms(q) for q in xy]), np.array(terms(p))
    Ki = np.linalg.inv(K)
    V = np.linalg.inv(F.T @ Ki @ F)
    b = V @ F.T @ Ki @ h
    u = f - F.T @ Ki @ k
    return f @ b + k @ Ki @ (h - F @ b), SILL - k @ Ki @ k + u @ V @ u, b, V


def plane(q):
    return [1.0, q[0] - 300, q[1] - 200]


def held(xy, h):
    """The cone's factor and its variance where all pumped wells and most wells are seen."""
    places = np.vstack([xy, [c for c, _, _ in PUMPED]])
    best = None
    for place in places:
        v = visibilities(place, places, 30.0) == 1
        rank = (v[len(xy) :].sum(), v[: len(xy)].sum())
        if best is None or rank > best[0]:
            best = rank, v
    (pumped, _), v = best
    assert pumped == 2
    at = v[: len(xy)]
    _, _, b, V = system(xy[0], xy[at], h[at], lambda q: plane(q) + list(cone(q, [0, 1])))
    return b[3], V[3, 3]


def kriged(p, xy, h, seen, factor):
    b, variance = factor
    c, at = cone(xy, seen), cone(p, seen)[0]
    rest, own, _, _ = system(p, xy, h - b * c, plane)
    guess, _, _, _ = system(p, xy, c, plane)
    return rest + b * at, own + (at - guess) ** 2 * variance


def surface(p, xy, h, factor):
    """What each method gives at a place; nothing where it has no head."""
    p = np.array(p, float)
    fades = 0.5 * spacing(xy)
    everything = np.vstack([xy, [c for c, _, _ in PUMPED]])
    out = {}
    for method in ("linear", "natural-neighbour", "inverse-distance", "thin-plate", "kriging"):
        points = everything if method == "kriging" else xy
        weights, heads, variances, carried = [], [], [], False
        for seen, low, to in views(p, points, fades):
            at = seen[seen < len(xy)]
            pumped = seen[seen >= len(xy)] - len(xy)
            hull = MultiPoint(xy[at]).convex_hull
            if hull.geom_type != "Polygon" or not hull.buffer(1e-9).covers(Point(p)):
                continue
            part = min(hull.exterior.distance(Point(p)) / fades, 1.0)
            variance = np.nan
            if method == "linear":
                head = float(LinearNDInterpolator(xy[at], h[at])(p)[0])
                if np.isnan(head):
                    continue
            elif method == "natural-neighbour":
                head = sibson(p, xy[at], h[at])
            elif method == "inverse-distance":
                head = inverse_distance(p, xy[at], h[at])
            elif method == "thin-plate":
                head = float(RBFInterpolator(xy[at], h[at], kernel="thin_plate_spline")(p[None])[0])
            elif len(at) <= 3:
                continue
            else:
                head, variance = kriged(p, xy[at], h[at], pumped, factor)
            carried |= low < HALF <= to
            weights.append(part * max(to - max(low, HALF), 0) + max(min(to, HALF) - low, 0))
            heads.append(head)
            variances.append(variance)
        weights, heads = np.array(weights), np.array(heads)
        if not carried:
            out[method] = None
            continue
        mean = weights @ heads / weights.sum()
        out[method] = float(mean)
        if method == "kriging":
            spread = weights @ (np.array(variances) + (heads - mean) ** 2) / weights.sum()
            out["kriging-variance"] = float(spread)
    return out


factor = held(XY, H)
nodes = [(x, y) for x in range(30, 600, 20) for y in range(20, 400, 30) if abs(x - 320) < 130 or x % 100 == 30]
nodes = [p for p in nodes if WALL.distance(Point(p)) > 0.01]
at_nodes = [{"x": x, "y": y, **surface((x, y), XY, H, factor)} for x, y in nodes]
left_out = []
for i in range(len(XY)):
    xy, h = np.delete(XY, i, 0), np.delete(H, i)
    left_out.append({"well": f"W{i}", **surface(XY[i], xy, h, held(xy, h))})

with open(HERE / "wells.csv", "w", newline="") as file:
    rows = csv.writer(file, lineterminator="\n")
    file.write("# Invented wells; make.py. m from the corner (480000, 4980000), EPSG:26915.\n")
    rows.writerow(["well", "x", "y", "head"])
    rows.writerows([f"W{i}", x, y, h] for i, ((x, y), h) in enumerate(zip(XY, H)))
(HERE / "past.json").write_text(
    json.dumps(
        {
            "wall": [list(FOOT), list(END)],
            "pumped": [{"x": c[0], "y": c[1], "radius": r, "rate": q} for c, r, q in PUMPED],
            "sill": SILL,
            "range": RANGE,
            "sd": SD,
            "factor": factor[0],
            "factor_sd": factor[1] ** 0.5,
            "nodes": at_nodes,
            "left_out": left_out,
        },
        indent=1,
    )
    + "\n"
)
