"""Least-squares plane through the Wolfcamp heads by numpy alone, for tests/gradients.rs.

Run beside wolfcamp_85.csv: python3 plane.py
"""

import numpy as np

x, y, h = np.loadtxt("wolfcamp_85.csv", delimiter=",", comments="#", skiprows=7, usecols=(1, 2, 3)).T
A = np.column_stack([np.ones_like(x), x, y])
beta, rss, _, _ = np.linalg.lstsq(A, h, rcond=None)
s = np.sqrt(rss[0] / (len(h) - 3))
se = s * np.sqrt(np.diag(np.linalg.inv(A.T @ A)))
print("wells", len(h))
print("intercept, dh/dx, dh/dy (ft, ft/mi)", *map(repr, map(float, beta)))
print("standard errors", *map(repr, map(float, se)))
print("residual standard deviation (ft)", repr(float(s)))
print("R squared", repr(float(1 - rss[0] / np.sum((h - h.mean()) ** 2))))
print("gradient (ft/ft)", repr(float(np.hypot(*beta[1:]) / 5280)))
print("azimuth of flow", repr(float(np.degrees(np.arctan2(-beta[1], -beta[2])) % 360)))
