"""Makes on_axis.json: 95 % intervals of magnitudes of gradients that point along a principal axis of
their errors, by brute force.

The heads of a rectangle of wells whose flow follows a side leave such a gradient, or one that is off
by the dust of the arithmetic, for which the program once gave no upper end. Needs NumPy and SciPy.
Run in this folder: python make_on_axis.py
"""

import json

import numpy as np
from scipy import optimize

from make_scipy import LEVEL, ellipse_plausibility


def ends(sds, estimate):
    size = float(np.hypot(*estimate))

    def excess(magnitude):
        return ellipse_plausibility(sds, estimate, magnitude)["plausibility"] - (1 - LEVEL)

    within = np.hypot(*(np.array(estimate) / sds)) ** 2 < -2 * np.log(1 - LEVEL)
    far = size + 6 * max(sds)
    return {
        "sds": list(sds),
        "estimate": list(estimate),
        "low": 0.0 if within else optimize.brentq(excess, 0.05 * size, 0.999 * size, xtol=1e-5),
        "high": optimize.brentq(excess, 1.001 * size + 1e-3, far, xtol=1e-5),
    }


if __name__ == "__main__":
    cases = []
    for ratio in (1.5, 2.3, 4.3, 8.7):
        for strength in (0.7, 2.0, 3.5, 6.0):
            cases.append(ends((1.0, ratio), (strength, 0.0)))
            cases.append(ends((1.0, ratio), (0.0, strength * ratio)))
    with open("on_axis.json", "w") as file:
        json.dump(cases, file, indent=1)
