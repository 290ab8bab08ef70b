"""Writes well_in_uniform_flow.csv: streamlines of a pumped well in uniform flow, by SciPy.

h = H0 - i x + Q / (4 pi T) ln((x^2 + y^2) / R^2), T = 200, i = 0.002, Q = 500, H0 = 50, R = 1000
(check 5.7; the closed forms of it are those quoted from EPA 600/R-08/003). Water flows down the
head. The place is followed in arc length by scipy.integrate.solve_ivp, DOP853, rtol 1e-12, atol
1e-10, until 5 m from the well or 2000 m from the start, and printed every 50 m.

Made with SciPy 1.x (BSD-3-Clause) and NumPy; public-domain formula, no licence on the numbers.
"""

import numpy as np
from scipy.integrate import solve_ivp

T, I, Q = 200.0, 0.002, 500.0


def downhill(_, p):
    x, y = p
    r2 = x * x + y * y
    g = np.array([-I + Q / (2 * np.pi * T) * x / r2, Q / (2 * np.pi * T) * y / r2])
    return -g / np.hypot(*g)


def at_well(_, p):
    return np.hypot(*p) - 5.0


at_well.terminal = True

with open("well_in_uniform_flow.csv", "w", newline="") as out:
    out.write("# Made by make_paths.py with SciPy's solve_ivp; see there for field and licence.\n")
    out.write("path,start_x,start_y,s,x,y,captured\n")
    starts = [(-800, y) for y in (-560, -300, -100, 0.5, 150, 400, 500, 600)]
    starts += [(150, 60), (190, -40), (260, 20), (50, 350)]
    for n, start in enumerate(starts):
        found = solve_ivp(
            downhill, (0, 2000), start, method="DOP853", rtol=1e-12, atol=1e-10,
            events=at_well, dense_output=True, max_step=10.0,
        )
        captured = int(len(found.t_events[0]) > 0)
        for s in np.arange(0, found.t[-1], 50.0):
            x, y = found.sol(s)
            out.write(f"{n},{start[0]},{start[1]},{s:g},{x:.6f},{y:.6f},{captured}\n")
