"""Ranges of bite times by SciPy's curves and NumPy's chance: what readings that scatter leave of a total.

Libraries: scipy 1.17.1 (interpolate.PchipInterpolator, optimize.brentq, optimize.least_squares), numpy 2.4.6 (default_rng, quantile).
A parametric bootstrap (Efron & Tibshirani, An Introduction to the Bootstrap, 1993, 6.5): each reading, the paper's too, is drawn anew
about the curve, with standard deviation hypot(sigma, reading - curve); the same kind of curve is laid through or between; a total
is the first time at which it is as dark as the target, 0 s where the paper is, the planned end where it never is or later. The
targets stay where they are. 10 % and 90 % quantiles, of 20,000 replicates through readings, of 3,000 between.
PRINTED holds ranges worked out beforehand by another hand for strip 14-B, to the digit given, "about".
"""
import sys

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq, least_squares

from csv_table import write
from pchip_ladders import to_seconds, to_x
from robust_fits import MESSY, RESERVE, fit, model, time_of, usable
from strips import STRIPS

MADE = "made by scripts/strip_ranges.py with scipy 1.17.1, numpy 2.4.6"
# strip, sigma: share of the darkest band's time that is planned to. At 2 L* only one later band of 14-B is lighter by two sigma.
THROUGH = {("14-b", 1.0): 0.95, ("14-b", 2.0): 1.0, ("15-a", 1.0): 1.0, ("15-a", 2.0): 1.0}
FITTED = {"14-c": 0.95, "noisy": 1.0, "one-light": 1.0}
PRINTED = {1: (5.6, 8.2), 4: (35, 43), 9: (278, 312)}


def first(curve, x, y, target):
    """First x at which the curve is at or below the target, NaN where it never is."""
    below = np.flatnonzero(y <= target)
    if len(below) == 0:
        return np.nan
    i = below[0]
    return x[i] if i == 0 or y[i] == target else brentq(lambda u: float(curve(u)) - target, x[i - 1], x[i], xtol=1e-10)


def through(t, l, targets, limit, sigma, replicates, rng):
    x = to_x(t)
    times = np.empty((replicates, len(targets)))
    for n in range(replicates):
        y = l + sigma * rng.normal(size=len(l))
        curve = PchipInterpolator(x, y)
        times[n] = [first(curve, x, y, target) for target in targets]
    times = 5 * np.expm1(times)
    reached = np.isfinite(times)
    return np.minimum(np.where(reached, times, np.inf), limit), times


def between(t, l, targets, limit, sigma, replicates, rng):
    p, _ = fit(t, l, 60)
    at = model(p, t)
    at[0] = min(at[0], l[0])
    spread = np.hypot(sigma, l - at)
    times = np.empty((replicates, len(targets)))
    for n in range(replicates):
        y = at + spread * rng.normal(size=len(l))
        low = [y[0], 0.0, np.log(1e-2), np.log(0.1)]
        start = [max(p[0], y[0] + 1e-9), *p[1:]]
        q = least_squares(lambda q: model(q, t) - y, start, loss="soft_l1", bounds=(low, [200, np.log(1000), np.log(1e7), np.log(10)])).x
        end = float(model(q, t[-1]))
        times[n] = [0.0 if y[0] <= target else limit if target <= end else min(time_of(q, target, t[-1]), limit) for target in targets]
    return times, p


def main():
    rows = []
    for (name, sigma), share in THROUGH.items():
        t, l = usable(STRIPS[name])
        curve = PchipInterpolator(to_x(t), l)
        limit = share * t[-1]
        targets = np.linspace(l[0], max(l[-1] + RESERVE, float(curve(to_x(limit)))), 10)[1:]
        times, free = through(t, l, targets, limit, sigma, 20000, np.random.default_rng(7))
        low, high = np.quantile(times, [0.1, 0.9], axis=0)
        rows += [[name, sigma, k + 1, float(y), float(a), float(b)] for k, (y, a, b) in enumerate(zip(targets, low, high))]
        if (name, sigma) == ("14-b", 1.0):
            for k, printed in PRINTED.items():
                alone = np.nanquantile(free[:, k - 1], [0.1, 0.9])
                print(f"14-b total {k}: printed about {printed}, here {low[k - 1]:.1f} to {high[k - 1]:.1f};"
                      f" of the replicates that come so dark alone {alone[0]:.1f} to {alone[1]:.1f}")
    for name, share in FITTED.items():
        t, l = usable(MESSY[name])
        limit = share * t[-1]
        p, _ = fit(t, l, 60)
        targets = np.linspace(l[0], max(l[-1] + RESERVE, float(model(p, limit))), 10)[1:]
        times, _ = between(t, l, targets, limit, 1.0, 3000, np.random.default_rng(7))
        low, high = np.quantile(times, [0.1, 0.9], axis=0)
        rows += [[name, 1.0, k + 1, float(y), float(a), float(b)] for k, (y, a, b) in enumerate(zip(targets, low, high))]
    write("strip_ranges.csv",
          ["10 % and 90 % quantiles of the totals of ten tones, readings scattered by sigma L*",
           "source: parametric bootstrap (Efron & Tibshirani 1993, 6.5) over scipy's PchipInterpolator and least_squares", MADE],
          ["strip", "sigma", "index", "lightness", "low_s", "high_s"], rows)
    return 0


if __name__ == "__main__":
    sys.exit(main())
