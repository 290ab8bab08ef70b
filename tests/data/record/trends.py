"""Makes trends.csv: the trend of every well of ../inl/inl_esrp_record_1990-2005.csv (US Geological Survey, CC0),
by pymannkendall 1.4.3 and SciPy 1.17.1 with NumPy 2.4.6.

Columns: well; count of readings. Mann and Kendall's score, its variance, z and two-sided p (original_test). Sen's
slope and its 95 % interval in ft a year, times in days / 365.25 (scipy.stats.theilslopes). Lag-one autocorrelation
of the ranks (scipy.stats.rankdata) of the heads less the trend, rounded to 1e-9 so that ties are ties; from it the
factor of the variance by Hamed and Rao (1998) for a memory (n r + 2) / (n - 4) that fades as its powers do, and z and
p with it: worked out here with NumPy, as no library has it. Where the correlations are those of the readings the sum
is that of hamed_rao_modification_test, which is asserted. Seasonal
Kendall of months, the median of each month of each year, months of fewer than four years left out (seasonal_test of
a table of years and months); its slope by seasonal_test, and the ranks of its interval by the formula of
theilslopes. A refused test has empty cells.

Run in this folder: python trends.py
"""

import csv
from collections import defaultdict
from datetime import datetime

import numpy as np
import pymannkendall as mk
from scipy import stats

FEWEST, FEWEST_YEARS, FEWEST_SEASONS = 8, 4, 2


def interval(slopes, variance):
    slopes = np.sort(slopes)
    reach = stats.norm.ppf(0.975) * np.sqrt(variance)
    low = max(int(np.round((len(slopes) - reach) / 2)) - 1, 0)
    high = min(int(np.round((len(slopes) + reach) / 2)), len(slopes) - 1)
    return slopes[low], slopes[high]


def factor_of(acf, lags):
    n = len(acf)
    return 1 + 2 / (n * (n - 1) * (n - 2)) * np.sum((n - lags) * (n - lags - 1) * (n - lags - 2) * acf[lags])


def acf_of(left):
    off = stats.rankdata(left)
    off = off - off.mean()
    return np.array([off[: len(off) - k] @ off[k:] for k in range(len(off))]) / (off @ off)


def as_hamed_and_rao_have_it(x):
    n = len(x)
    acf = acf_of(x - np.arange(1, n + 1) * mk.sens_slope(x).slope)
    lags = np.array([k for k in range(1, n) if abs(acf[k]) > stats.norm.ppf(0.975) / np.sqrt(n)], int)
    theirs = mk.hamed_rao_modification_test(x).var_s / mk.original_test(x).var_s
    assert np.isclose(theirs, factor_of(acf, lags), rtol=1e-12)


def correlation(x, years, slope):
    n = len(x)
    lag_one = acf_of(np.round(x - slope * (years - years[0]), 9))[1]
    memory = min(max((n * lag_one + 2) / (n - 4), 0), 0.99)
    return lag_one, factor_of(memory ** np.arange(n), np.arange(1, n))


def seasonal(readings):
    months = defaultdict(lambda: defaultdict(list))
    for when, head in readings:
        months[when.month][when.year].append(head)
    months = {m: {y: np.median(h) for y, h in years.items()} for m, years in months.items()}
    months = {m: years for m, years in sorted(months.items()) if len(years) >= FEWEST_YEARS}
    if len(months) < FEWEST_SEASONS:
        return [len(months)] + [""] * 7
    first = min(min(years) for years in months.values())
    last = max(max(years) for years in months.values())
    table = np.array([[years.get(y, np.nan) for years in months.values()] for y in range(first, last + 1)])
    test = mk.seasonal_test(table.ravel(), period=len(months))
    slopes = [
        (b - a) / (j - i)
        for years in months.values()
        for i, a in years.items()
        for j, b in years.items()
        if j > i
    ]
    assert np.isclose(np.median(slopes), test.slope, rtol=0, atol=1e-12)
    return [len(months), int(test.s), test.var_s, test.z, test.p, test.slope, *interval(slopes, test.var_s)]


wells = defaultdict(list)
with open("../inl/inl_esrp_record_1990-2005.csv") as file:
    for row in csv.DictReader(line for line in file if not line.startswith("#")):
        when = datetime.fromisoformat(row["datetime_utc"])
        wells[row["site_no"]].append((when, float(row["head_ft_as_published"])))

with open("trends.csv", "w") as out:
    print("# Made by trends.py from a record of the US Geological Survey (CC0); see there.", file=out)
    print(
        "site_no,readings,s,var_s,z,p,slope,slope_low,slope_high,lag_one,factor,z_correlated,p_correlated,"
        "seasons,seasonal_s,seasonal_var_s,seasonal_z,seasonal_p,seasonal_slope,seasonal_low,seasonal_high",
        file=out,
    )
    for site, readings in sorted(wells.items()):
        readings.sort()
        heads = np.array([head for _, head in readings])
        cells = [site, len(heads)]
        if len(heads) < FEWEST:
            cells += [""] * 11
        else:
            days = np.array([(when - datetime(1990, 1, 1)).total_seconds() / 86400 for when, _ in readings])
            test = mk.original_test(heads)
            sen = stats.theilslopes(heads, days / 365.25, alpha=0.95)
            as_hamed_and_rao_have_it(heads)
            lag_one, factor = correlation(heads, days / 365.25, sen.slope)
            z = (test.s - np.sign(test.s)) / np.sqrt(test.var_s * factor)
            cells += [int(test.s), test.var_s, test.z, test.p, sen.slope, sen.low_slope, sen.high_slope]
            cells += [lag_one, factor, z, 2 * stats.norm.sf(abs(z))]
        cells += seasonal(readings)
        print(",".join(c if isinstance(c, str) else f"{c:.15g}" for c in cells), file=out)
