"""How often the interval of a gradient's magnitude holds the truth, whichever way the water flows:
200,000 simulated rounds for every ratio of standard deviations, strength and direction.

Prints a line for each ratio and strength: the coverage, %, for directions from 0 (along the best
known direction) to 90 degrees, first with the yardstick of docs/uncertainty.md (U3, U5), then with
one of even length; at the end the lowest and the highest of all.

The interval is not made. That it holds the truth is that the estimate's count of yardsticks from the
circle of the true magnitude is below the one that 5 % exceed were the gradient the circle's nearest
point; and those quantiles are read off a lattice about points of the circle. Nothing is shared with
the program but the definition. Needs NumPy. Run: python coverage.py
"""

import numpy as np

ROUNDS = 200_000
RATIOS = (1.0, 1.732, 2.309, 4.33, 8.66)
STRENGTHS = (0.5, 0.82, 1, 1.63, 2, 3, 4, 5, 7, 10)
DIRECTIONS = (0, 5, 10, 20, 30, 40, 50, 60, 75, 90)
PLACES = 60


def stretch(a, b):
    return 2 / 3 * (1 - b / a) / (1 + 3 * (b * b / a) ** 4 + 1 / (3 * a * a))


def nearest(a, b, x, y):
    """Points of the ellipse nearest to points of the first quadrant, a little above the long axis:
    Newton's method on the Lagrange condition, from the left of its largest root."""
    y = np.maximum(y, 1e-9)
    t = b * y - b * b
    for _ in range(100):
        p, q = a * x / (t + a * a), b * y / (t + b * b)
        step = (p * p + q * q - 1) / 2 / (p * p / (t + a * a) + q * q / (t + b * b))
        t = t + step
        if np.all(step <= 1e-11 * (t + b * b)):
            break
    p, q = a * x / (t + a * a), b * y / (t + b * b)
    length = np.hypot(p, q)
    return a * p / length, b * q / length


def yardsticks(a, b, s, x, y):
    """Counts of yardsticks from the ellipse, and the nearest points' places along it: the middle
    between the ellipse's parameter and its normal's angle, which is even enough about a tip."""
    x, y = np.abs(x), np.abs(y)
    foot_x, foot_y = nearest(a, b, x, y)
    toward_tip = b * foot_x / a / np.hypot(b * foot_x / a, a * foot_y / b)
    place = np.arctan2(np.sqrt(a / b) * foot_y / b, foot_x / a)
    return np.hypot(x - foot_x, y - foot_y) / (1 + s * toward_tip), place


def critical(a, b, s):
    """The counts that 5 % exceed, and the places on the ellipse they belong to."""
    side = np.arange(-4.5, 4.5, 0.05) + 0.025
    u, v = (w.ravel() for w in np.meshgrid(side, side))
    # Turned, lest its rows lie along the ellipse.
    x, y = np.cos(0.5) * u - np.sin(0.5) * v, np.sin(0.5) * u + np.cos(0.5) * v
    weight = np.exp(-(x * x + y * y) / 2)
    weight /= weight.sum()
    places = np.linspace(0, np.pi / 2, PLACES)
    parameter = np.arctan2(np.sin(places), np.sqrt(a / b) * np.cos(places))
    found = []
    for p in parameter:
        count, _ = yardsticks(a, b, s, x + a * np.cos(p), y + b * np.sin(p))
        order = np.argsort(count)
        beyond = 1 - np.cumsum(weight[order])
        found.append(count[order][np.searchsorted(-beyond, -0.05)])
    return places, np.array(found)


def main():
    rng = np.random.default_rng(1)
    extremes = {}
    for ratio in RATIOS:
        for strength in STRENGTHS:
            a, b = ratio * strength, strength
            line = {}
            for name, s in (("stretched", stretch(a, b)), ("even", 0.0)):
                places, bounds = critical(a, b, s)
                line[name] = []
                for angle in np.radians(DIRECTIONS):
                    z = rng.standard_normal((2, ROUNDS))
                    x, y = a * np.cos(angle) + z[0], b * np.sin(angle) + z[1]
                    count, place = yardsticks(a, b, s, x, y)
                    held = count < np.interp(place, places, bounds)
                    line[name].append(100 * held.mean())
                extremes.setdefault(name, []).extend(line[name])
            cells = (" ".join(f"{v:.2f}" for v in line[name]) for name in line)
            print(f"{ratio:.3f} {strength:5.2f} |", " | ".join(cells), flush=True)
    for name, held in extremes.items():
        print(f"{name}: {min(held):.2f} to {max(held):.2f}")


main()
