"""Probabilities of bands about needles, for the unit tests of src/uncertainty/magnitude.rs.

The standard normal distribution about a place on an ellipse is added up over a fine lattice of
points that lie no farther from the ellipse than a count of yardsticks. NumPy alone; the nearest
place on the ellipse is found by bisection of Lagrange's condition (Eberly, Distance from a point to
an ellipse; from memory).
"""

import numpy as np

STEP = 0.004
STRETCH = 2 / 3


def nearest(a, b, x, y):
    """The places on the ellipse nearest to points of the first quadrant, a >= b."""
    # (a x / (t + a^2))^2 + (b y / (t + b^2))^2 = 1 has one root above -b^2.
    low = -b * b + b * y
    high = -b * b + np.hypot(a * x, b * y)
    for _ in range(80):
        t = (low + high) / 2
        f = (a * x / (t + a * a)) ** 2 + (b * y / (t + b * b)) ** 2 - 1
        low, high = np.where(f > 0, t, low), np.where(f > 0, high, t)
    t = (low + high) / 2
    px = a * a * x / (t + a * a)
    # Between the centres of curvature the root is the pole.
    py = b * np.sqrt(np.maximum(0, 1 - (px / a) ** 2))
    return px, py


def band(a, b, angle, yardsticks):
    """Centre at the ellipse's parameter `angle`."""
    radius = b * b / a
    stretch = STRETCH * (1 - b / a) / (1 + 3 * radius**4 + 1 / (3 * a * a))
    cx, cy = a * np.cos(angle), b * np.sin(angle)
    total = 0.0
    steps = np.arange(-5.6, 5.6, STEP) + STEP / 2
    for dy in steps:
        x, y = np.abs(cx + steps), np.full(len(steps), abs(cy + dy))
        px, py = nearest(a, b, x, y)
        tip = (b * px / a) / np.hypot(a * py / b, b * px / a)
        inside = np.hypot(x - px, y - py) <= yardsticks * (1 + stretch * tip)
        total += np.exp(-(steps[inside] ** 2 + dy * dy) / 2).sum()
    return total * STEP * STEP / (2 * np.pi)


CASES = [
    (26.93, 0.0417, 0.4903, 1.762),
    (28.0, 0.0434, 0.5567, 1.76),
    (6.1, 0.0141, 0.1, 1.67),
    (20.2, 0.0313, 0.0001, 2.5),
    (733.0, 1.69, 1.5, 1.0),
    (300.0, 5.0, 0.02, 1.9),
    (150.0, 5.0, 0.1, 1.96),
    (150.0, 5.0, 1.2, 1.5),
    (60.0, 2.0, 0.1, 1.9),
    (30.0, 2.0, 0.2, 1.9),
    (5000.0, 0.3, 0.002, 1.8),
    (100.0, 0.01, 1.4, 1.96),
]
if __name__ == "__main__":
    for case in CASES:
        print(f"({case[0]}, {case[1]}, {case[2]}, {case[3]}, {band(*case):.5f}),")
