"""Expected values for tests/local.rs: numpy least squares, nothing of headfall.

`site-plan.csv` is invented: local coordinates in ft, a datum of 100.00 ft. Run in this folder with numpy
installed; writes expected.json.
"""

import csv
import json
import math

import numpy as np

wells = list(csv.DictReader(open("site-plan.csv")))
x = np.array([float(w["X (ft)"]) for w in wells])
y = np.array([float(w["Y (ft)"]) for w in wells])
h = np.array([float(w["TOC Elev (ft)"]) - float(w["DTW (ft)"]) for w in wells])

# The plane through the heads in plan coordinates.
a, _, _, _ = np.linalg.lstsq(np.column_stack([x, y, np.ones_like(x)]), h, rcond=None)
plane = {
    "gradient": math.hypot(a[0], a[1]),
    "azimuth": math.degrees(math.atan2(-a[0], -a[1])) % 360.0,
}

# Ties to a CRS, m: the plan turned by 12.5 degrees clockwise, in international feet, with a few centimetres
# of survey error, put at a place of EPSG:26915.
turn, foot, at = math.radians(12.5), 0.3048, np.array([480000.0, 4980000.0])
errors = {"MW-1": (0.03, -0.02), "MW-3": (-0.04, 0.01), "MW-5": (0.02, 0.03), "MW-6": (-0.01, -0.04)}
ties = []
for name, error in errors.items():
    w = next(w for w in wells if w["Well"] == name)
    px, py = float(w["X (ft)"]), float(w["Y (ft)"])
    e = foot * (px * math.cos(turn) + py * math.sin(turn)) + at[0] + error[0]
    n = foot * (-px * math.sin(turn) + py * math.cos(turn)) + at[1] + error[1]
    ties.append({"well": name, "x": px, "y": py, "easting": round(e, 3), "northing": round(n, 3)})


def similarity(ties):
    """E = a x - b y + c, N = b x + a y + d by least squares."""
    rows, right = [], []
    for t in ties:
        rows += [[t["x"], -t["y"], 1, 0], [t["y"], t["x"], 0, 1]]
        right += [t["easting"] - at[0], t["northing"] - at[1]]
    (a, b, c, d), _, _, _ = np.linalg.lstsq(np.array(rows), np.array(right), rcond=None)
    moved = {
        w["Well"]: (
            a * float(w["X (ft)"]) - b * float(w["Y (ft)"]) + c + at[0],
            b * float(w["X (ft)"]) + a * float(w["Y (ft)"]) + d + at[1],
        )
        for w in wells
    }
    return {
        "scale": math.hypot(a, b) / foot,
        "north": math.degrees(math.atan2(-b, a)),
        "residuals": {
            t["well"]: math.hypot(moved[t["well"]][0] - t["easting"], moved[t["well"]][1] - t["northing"])
            for t in ties
        },
        "positions": moved,
    }


expected = {
    "heads": dict(zip([w["Well"] for w in wells], h.round(2).tolist())),
    "plane": plane,
    "ties": ties,
    "four": similarity(ties),
    "two": similarity([ties[0], ties[3]]),
}
json.dump(expected, open("expected.json", "w"), indent=1)
