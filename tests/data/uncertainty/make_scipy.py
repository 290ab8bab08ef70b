"""Makes scipy.json: distributions and probabilities that tests/uncertainty.rs compares with.

Needs NumPy and SciPy. Run in this folder: python make_scipy.py
"""

import json

import numpy as np
import scipy
from scipy import integrate, optimize, special, stats
from scipy.spatial import cKDTree

LEVEL = 0.95


def circle_interval(x):
    """Magnitudes m, in standard deviations, with P(| |G| - m | >= |x - m|) > 5 % where |G|^2 is
    noncentral chi-square with two degrees of freedom and noncentrality m^2."""

    def excess(m):
        d = abs(x - m)
        content = stats.ncx2.cdf((m + d) ** 2, 2, m * m)
        if m > d:
            content -= stats.ncx2.cdf((m - d) ** 2, 2, m * m)
        return 1 - content - (1 - LEVEL)

    low = 0.0
    if np.exp(-x * x / 2) < 1 - LEVEL:
        low = optimize.brentq(excess, 1e-6, x - 1e-9, xtol=1e-12)
    return {"x": x, "low": low, "high": optimize.brentq(excess, x + 1e-9, x + 6, xtol=1e-12)}


def ellipse_plausibility(sds, estimate, magnitude):
    """The same for unequal standard deviations of the two components, by brute force: the points of
    a fine lattice, each by its distance to a polygon of 20 000 corners over the yardstick at the
    nearest of them (docs/uncertainty.md, U3 and U5; the second standard deviation is the larger)."""
    sds, estimate = np.array(sds), np.array(estimate)
    a, b = magnitude / sds
    angle = np.linspace(0, 2 * np.pi, 20_001)[:-1]
    unit = np.stack([np.cos(angle), np.sin(angle)], 1)
    ring = unit * [a, b]
    normal = unit * [b, a]
    toward_tip = np.abs(normal[:, 0]) / np.hypot(*normal.T)
    stretch = 2 / 3 * (1 - b / a) / (1 + 3 * (b * b / a) ** 4 + 1 / (3 * a * a))
    yardstick = 1 + stretch * toward_tip
    tree = cKDTree(ring)
    distance, foot = tree.query(estimate / sds)
    count = distance / yardstick[foot]
    step = 0.025
    side = np.arange(-5, 5, step) + step / 2
    x, y = np.meshgrid(side, side)
    lattice = np.stack([x.ravel(), y.ravel()], 1)
    distances, feet = tree.query(lattice + ring[foot])
    far = distances >= count * yardstick[feet]
    weight = np.exp(-(lattice**2).sum(1) / 2) / (2 * np.pi) * step * step
    return {
        "sds": list(sds),
        "estimate": list(estimate),
        "magnitude": magnitude,
        "plausibility": float(weight[far].sum()),
    }


def spread(mean, covariance):
    """Mean resultant length and mean azimuth of the direction of -G for normal G, by the density of
    the projected normal distribution (Mardia and Jupp 2000, 3.5.6)."""
    mean, inverse = -np.array(mean), np.linalg.inv(covariance)
    c = mean @ inverse @ mean

    def density(t):
        u = np.array([np.cos(t), np.sin(t)])
        a, b = u @ inverse @ u, u @ inverse @ mean
        d = b / np.sqrt(a)
        tail = np.exp(-(c - d * d) / 2) * np.sqrt(2 * np.pi) * special.ndtr(d)
        return (np.exp(-c / 2) + d * tail) / (2 * np.pi * np.sqrt(np.linalg.det(covariance)) * a)

    middle = np.arctan2(mean[1], mean[0])
    at = lambda f: integrate.quad(
        f, middle - np.pi, middle + np.pi, points=[middle], epsabs=1e-12, limit=400
    )[0]
    total = at(density)
    assert abs(total - 1) < 1e-8, total
    east = at(lambda t: np.cos(t) * density(t))
    north = at(lambda t: np.sin(t) * density(t))
    return {
        "mean": list(-mean),
        "covariance": [list(row) for row in covariance],
        "agreement": float(np.hypot(east, north)),
        "azimuth": float(np.degrees(np.arctan2(east, north)) % 360),
    }


def main():
    quantiles = [
        {
            "dof": n,
            "t": float(stats.t.ppf(0.975, n)),
            "two_f": float(2 * stats.f.ppf(0.95, 2, n)),
        }
        for n in (1, 2, 3, 5, 9, 20, 82)
    ]
    ellipses = [
        ellipse_plausibility(*case)
        for case in [
            ([1, 1.732], [2.0, 1.5], 1.2),
            ([1, 1.732], [2.0, 1.5], 4.9),
            ([1, 2.309], [0.4, 0.3], 3.0),
            ([1, 4.33], [5.0, 2.0], 3.4),
            ([1, 4.33], [5.0, 9.0], 14.0),
            ([1, 8.66], [8.0, 6.0], 7.5),
            ([1, 8.66], [8.0, 20.0], 12.0),
            ([1, 8.66], [24.0, 3.0], 26.0),
            ([1, 8.66], [80.0, 40.0], 100.0),
        ]
    ]
    spreads = [
        spread([0.001, -0.0005], np.diag([2e-8, 2e-8])),
        spread([0.0002, 0.0001], np.array([[2e-8, 1e-8], [1e-8, 9e-8]])),
        spread([-0.0008, 0.0004], np.array([[4e-7, -3e-7], [-3e-7, 5e-7]])),
    ]
    result = {
        "made_with": f"SciPy {scipy.__version__}",
        "circle_intervals": [circle_interval(x) for x in (0.5, 1.5, 2.4, 2.6, 3.0, 5.0, 10.0, 50.0)],
        "quantiles": quantiles,
        "ellipses": ellipses,
        "spreads": spreads,
    }
    with open("scipy.json", "w") as file:
        json.dump(result, file, indent=1)
        file.write("\n")


main()
