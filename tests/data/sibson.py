"""Sibson's natural neighbours by half-planes clipped one by one, for the scripts that make fixtures."""
import numpy as np


def clipped(polygon, a, c):
    """The part of a convex polygon where a . p <= c."""
    out = []
    for p, q in zip(polygon, polygon[1:] + polygon[:1]):
        dp, dq = np.dot(a, p) - c, np.dot(a, q) - c
        if dp <= 0:
            out.append(p)
        if dp * dq < 0:
            out.append(p + (q - p) * (dp / (dp - dq)))
    return out


def cell(p, others, polygon):
    for q in others:
        polygon = clipped(polygon, q - p, np.dot(q - p, (p + q) / 2))
    return polygon


def area(polygon):
    if len(polygon) < 3:
        return 0.0
    x, y = np.array(polygon).T
    return abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


BOX = [np.array(c, float) for c in ((-1e5, -1e5), (1e5, -1e5), (1e5, 1e5), (-1e5, 1e5))]


def sibson(p, pts, heads):
    mine = cell(p, pts, BOX)
    shares = np.array([area(cell(q, np.delete(pts, k, 0), mine)) for k, q in enumerate(pts)])
    return float(shares @ heads / shares.sum())
