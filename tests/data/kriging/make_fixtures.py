#!/usr/bin/env python3
"""make_fixtures.py: kriged heads and fitted covariances from general-purpose libraries.

Writes beside itself
  predictions.csv   PyKrige 1.7.3 (linear, exponential, spherical, gaussian) and GSTools 1.7.0
                    (Matern) at scattered places, on ../wolfcamp/wolfcamp_85.csv
  likelihoods.csv   the restricted likelihood and its maximum by SciPy, through error contrasts:
                    the heads' projection on the null space of the drift is multivariate normal

Units as in the data: miles and feet. Ranges are effective ranges (exp(-3) left). Python packages:
numpy 2.4.6, scipy 1.17.1, PyKrige 1.7.3, gstools 1.7.0.
"""
import csv
import pathlib

import gstools as gs
import numpy as np
from pykrige.ok import OrdinaryKriging
from pykrige.uk import UniversalKriging
from scipy.linalg import null_space
from scipy.optimize import brentq, minimize
from scipy.spatial.distance import cdist
from scipy.stats import multivariate_normal

HERE = pathlib.Path(__file__).resolve().parent
rows = csv.DictReader(line for line in open(HERE.parent / "wolfcamp" / "wolfcamp_85.csv") if line[0] != "#")
X, Y, H = np.array([[float(r["x_mi"]), float(r["y_mi"]), float(r["head_ft"])] for r in rows]).T

rng = np.random.default_rng(1)
PX = np.round(rng.uniform(-150, 120, 8), 3)
PY = np.round(rng.uniform(5, 190, 8), 3)
AT_WELL = 0
PX, PY = np.append(PX, X[AT_WELL]), np.append(PY, Y[AT_WELL])

SILL, RANGE, NUGGET = 35000.0, 60.0, 12000.0


def parameters(model, nugget):
    if model == "linear":
        return {"slope": SILL / RANGE, "nugget": nugget}
    # PyKrige's gaussian is 1 - exp(-(h / (4/7 a))^2).
    a = RANGE * 7 / (4 * np.sqrt(3)) if model == "gaussian" else RANGE
    return {"psill": SILL, "range": a, "nugget": nugget}


out = []


def record(library, model, drift, azimuth, ratio, nugget, filtered, heads, variances):
    for x, y, h, v in zip(PX, PY, heads, variances):
        out.append([library, model, drift, azimuth, ratio, nugget, int(filtered), repr(float(x)), repr(float(y)),
                    repr(float(h)), repr(float(v))])


for model in ("linear", "exponential", "spherical", "gaussian"):
    # (azimuth clockwise from north, ratio); PyKrige turns counter-clockwise from east.
    for azimuth, ratio in ((0.0, 1.0), (48.0, 0.4)):
        turned = {"anisotropy_angle": 90.0 - azimuth, "anisotropy_scaling": 1.0 / ratio}
        for filtered in (False, True):
            kw = dict(variogram_model=model, variogram_parameters=parameters(model, NUGGET), exact_values=not filtered, **turned)
            ok = OrdinaryKriging(X, Y, H, **kw)
            record("PyKrige", model, "constant", azimuth, ratio, NUGGET, filtered, *ok.execute("points", PX, PY))
            uk = UniversalKriging(X, Y, H, drift_terms=["regional_linear"], **kw)
            record("PyKrige", model, "plane", azimuth, ratio, NUGGET, filtered, *uk.execute("points", PX, PY))
    if model != "gaussian":
        kw = dict(variogram_model=model, variogram_parameters=parameters(model, 0.0))
        ok = OrdinaryKriging(X, Y, H, **kw)
        record("PyKrige", model, "constant", 0.0, 1.0, 0.0, False, *ok.execute("points", PX, PY))
    # Two terms: one well of strength 1 at (20, 60), one at (-60, 120).
    kw = dict(variogram_model=model, variogram_parameters=parameters(model, NUGGET))
    uk = UniversalKriging(X, Y, H, drift_terms=["regional_linear", "point_log"],
                          point_drift=np.array([[20.0, 60.0, 1.0], [-60.0, 120.0, 1.0]]), **kw)
    record("PyKrige", model, "plane and cones", 0.0, 1.0, NUGGET, False, *uk.execute("points", PX, PY))

for nu, model in ((1.5, "matern-3/2"), (2.5, "matern-5/2")):
    unit = gs.Matern(dim=2, var=1.0, len_scale=1.0, nu=nu)
    at_range = brentq(lambda h: unit.correlation(h) - np.exp(-3), 0.5, 20, xtol=1e-15, rtol=1e-15)
    m = gs.Matern(dim=2, var=SILL, len_scale=RANGE / at_range, nu=nu, nugget=NUGGET)
    for drift, k in (("constant", gs.krige.Ordinary(m, (X, Y), H, exact=True)),
                     ("plane", gs.krige.Universal(m, (X, Y), H, drift_functions="linear", exact=True))):
        heads, variances = k((PX, PY), return_var=True)
        record("GSTools", model, drift, 0.0, 1.0, NUGGET, False, heads, variances)

with open(HERE / "predictions.csv", "w", newline="") as f:
    f.write("# Made by make_fixtures.py from ../wolfcamp/wolfcamp_85.csv; units miles, feet, square feet.\n")
    f.write(f"# Partial sill {SILL}, effective range {RANGE} (linear: slope sill/range).\n")
    w = csv.writer(f, lineterminator="\n")
    w.writerow("library model drift azimuth_deg ratio nugget filtered x y head variance".split())
    w.writerows(out)


def correlation(model, h, a):
    if model == "exponential":
        return np.exp(-3 * h / a)
    if model == "spherical":
        u = np.minimum(h / a, 1.0)
        return 1 - 1.5 * u + 0.5 * u**3
    s = brentq(lambda s: (1 + s) * np.exp(-s) - np.exp(-3), 3, 8, xtol=1e-15, rtol=1e-15) * h / a
    return (1 + s) * np.exp(-s)


D = cdist(np.column_stack((X, Y)), np.column_stack((X, Y)))
DRIFT = {"constant": np.ones((len(X), 1)), "plane": np.column_stack((np.ones(len(X)), X, Y))}


def minus_log(model, drift, sill, a, nugget, sd):
    c = null_space(DRIFT[drift].T)
    k = sill * correlation(model, D, a) + (nugget + sd**2) * np.eye(len(X))
    return -multivariate_normal(cov=c.T @ k @ c).logpdf(c.T @ H)


with open(HERE / "likelihoods.csv", "w", newline="") as f:
    f.write("# Made by make_fixtures.py; se_* from central second differences in the logarithms, step 0.01.\n")
    w = csv.writer(f, lineterminator="\n")
    w.writerow("model drift sd sill range nugget minus_log_likelihood se_sill se_range se_nugget".split())
    for model, drift, sd in (("exponential", "constant", 0.0), ("exponential", "plane", 0.0), ("spherical", "plane", 0.0),
                             ("matern-3/2", "constant", 0.0), ("exponential", "plane", 60.0)):
        def cost(t):
            return minus_log(model, drift, *np.exp(t), sd)
        best = None
        for start in ((4e4, 60, 8e3), (2e4, 20, 1e4), (2e5, 300, 1e4)):
            r = minimize(cost, np.log(start), method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-11, "maxiter": 4000, "maxfev": 4000})
            best = r if best is None or r.fun < best.fun else best
        t, e = best.x, 0.01
        hess = np.empty((3, 3))
        for i in range(3):
            for j in range(3):
                a, b = np.eye(3)[i] * e, np.eye(3)[j] * e
                hess[i, j] = (cost(t + a + b) - cost(t + a - b) - cost(t - a + b) + cost(t - a - b)) / (4 * e * e)
        p = np.exp(t)
        se = p * np.sqrt(np.diag(np.linalg.inv(hess)))
        w.writerow([model, drift, sd, *map(repr, map(float, (*p, best.fun, *se)))])
