"""Makes circular.json: mean and spread of directions by scipy.stats of SciPy 1.17.1 (circmean, circvar, circstd and
directional_stats), degrees clockwise from north. Directions are drawn with NumPy 2.4.6, some of them by hand.

Run in this folder: python circular.py
"""

import json

import numpy as np
from scipy import stats

random = np.random.default_rng(7)
sets = [
    [350.0, 10.0],
    [0.0, 90.0, 90.0],
    [123.4],
    [1.0, 359.0, 358.0, 2.5, 0.25],
    [10.0, 130.0, 250.0, 11.0],
]
for count, spread in [(8, 5), (8, 40), (30, 15), (30, 90)]:
    sets.append([round(a, 3) for a in random.normal(random.uniform(0, 360), spread, count) % 360])

cases = []
for degrees in sets:
    of = {"high": 360.0, "low": 0.0}
    angles = np.radians(degrees)
    lengths = stats.directional_stats(np.c_[np.sin(angles), np.cos(angles)])
    cases.append(
        {
            "degrees": degrees,
            "mean": float(stats.circmean(degrees, **of)),
            # circvar and circstd take radians as the unit of their result unless scaled back.
            "variance": float(stats.circvar(angles)),
            "sd": float(stats.circstd(degrees, **of)),
            "length": float(lengths.mean_resultant_length),
            "east": float(lengths.mean_direction[0]),
            "north": float(lengths.mean_direction[1]),
        }
    )
with open("circular.json", "w") as file:
    json.dump(cases, file, indent=1)
    file.write("\n")
