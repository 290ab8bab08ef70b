"""The score of the shift of two heads in a regression on a plane and that shift (tests/odd_heads.rs), with NumPy 2.4.6.

The two rounds are those of the test, invented: places and measuring points in ft, depths as the test writes them down, two of
them exchanged. The scatter of the regression is pooled with two spare wells of the declared error and is never below it
(docs/methods.md, eq. 11a).
"""

import numpy as np

# A reading to 0.01 ft and a survey to 0.010 m, the defaults of docs/uncertainty.md, ft.
DECLARED = np.hypot(0.010 / 0.3048, 0.01)


def score(places, points, depths, pair):
    x = np.array(places)
    heads = np.array(points) - np.array(depths)
    n = len(heads)
    shift = np.zeros(n)
    shift[pair[0]], shift[pair[1]] = 1.0, -1.0
    columns = np.c_[np.ones(n), x - x.mean(0), shift]
    fitted, _, _, _ = np.linalg.lstsq(columns, heads, rcond=None)
    left = heads - columns @ fitted
    s2 = max((2 * DECLARED**2 + left @ left) / (n - 2), DECLARED**2)
    return abs(fitted[3]) / np.sqrt(s2 * np.linalg.inv(columns.T @ columns)[3, 3])


FIVE = (
    [(224.27, 29.27), (116.21, 30.11), (214.56, 291.49), (73.55, 78.84), (290.98, 333.29)],
    [98.90, 96.31, 93.93, 97.05, 94.12],
    [7.04, 9.28, 7.08, 10.32, 11.34],
    (0, 4),
)
SIX = (
    [(261.46, 25.13), (316.26, 274.15), (68.19, 310.76), (26.49, 173.0), (224.76, 336.54), (314.8, 232.92)],
    [95.77, 96.79, 96.03, 98.18, 96.45, 92.42],
    [8.36, 9.83, 9.48, 5.36, 9.82, 11.38],
    (3, 5),
)

if __name__ == "__main__":
    print(round(score(*FIVE), 1), round(score(*SIX), 1))
