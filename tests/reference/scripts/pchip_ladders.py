"""Monotone cubic interpolation by SciPy, and the ladders of bite times that follow from the demo's strips.

Libraries: scipy 1.17.1 (interpolate.PchipInterpolator, optimize.brentq), numpy 2.4.6.
Source of the method: F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304 (weighted harmonic mean of the
slopes), ends by the three-point rule of C. Moler, Numerical Computing with MATLAB (2004) ch. 3, as SciPy's documentation says.
The strips are invented (scripts/strips.py); the curve is L* over x = ln(1 + t/5 s) up to the darkest reading.
A ladder of N tones: lightnesses evenly spaced from the strip's paper to its darkest reading plus a reserve of 1 L*, and for each
the total time at which the curve reaches it (brentq in x, xtol 1e-12). PRINTED holds figures worked out beforehand, to 0.1 s or
0.1 L*; the script says which it does not find again.
"""
import sys

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from csv_table import PrintedCheck, write
from strips import rising

MADE = "made by scripts/pchip_ladders.py with scipy 1.17.1, numpy 2.4.6"
METHOD = "scipy.interpolate.PchipInterpolator; Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304"
SCALE_S, RESERVE = 5.0, 1.0
TONES = [2, 6, 7, 10, 16]

# strip, tones: totals in s (index 0 is the paper)
PRINTED_TOTALS = {
    ("14-b", 10): "0 7.1 14.3 24.0 39.0 59.4 89.3 135.3 202.3 299.0",
    ("14-b", 7): "0 10.7 24.0 48.4 89.3 165.8 299.0",
    ("14-b", 2): "0 299",
    ("15-a", 10): "0 7.5 15.4 26.4 42.1 64.5 99.1 155.5 266.0 561.5",
    ("15-a", 6): "0 13.6 35.1 76.5 172.0 561.5",
}
PRINTED_LIGHTNESS = {
    ("14-b", 10): "89.0 83.3 77.7 72.0 66.3 60.7 55.0 49.3 43.7 38.0",
    ("15-a", 10): "91.0 83.3 75.6 67.8 60.1 52.4 44.7 36.9 29.2 21.5",
}
# Bites are differences of totals: of the totals as printed (rounded first), or of the exact ones.
PRINTED_BITES = {
    ("14-b", 10): "7.1 7.2 9.7 15.0 20.4 29.9 46.0 67.0 96.7",
    ("14-b", 7): "10.7 13.3 24.4 40.9 76.5 133.2",
    ("14-b", 16): "4.2",
}

# Monotone data that trip naive monotone cubics.
AWKWARD = {
    "two_points": ([0.0, 1.0], [90.0, 20.0]),
    "three_points": ([0.0, 1.0, 4.0], [90.0, 50.0, 20.0]),
    "three_points_steep_end": ([0.0, 1.0, 1.1], [90.0, 89.0, 20.0]),
    "flat_middle": ([0.0, 1.0, 2.0, 3.0, 4.0], [90.0, 60.0, 60.0, 60.0, 20.0]),
    "flat_ends": ([0.0, 1.0, 2.0, 3.0], [80.0, 80.0, 30.0, 30.0]),
    "step": ([0.0, 1.0, 1.001, 2.0], [90.0, 89.0, 21.0, 20.0]),
    "uneven": ([0.0, 0.01, 0.5, 0.6, 3.0, 10.0], [95.0, 94.0, 70.0, 40.0, 35.0, 10.0]),
    "rising": ([0.0, 0.3, 0.35, 2.0, 2.5], [10.0, 11.0, 40.0, 41.0, 90.0]),
    "straight": ([0.0, 0.7, 1.0, 2.5], [80.0, 66.0, 60.0, 30.0]),
    "tiny_drop": ([0.0, 1.0, 2.0, 3.0], [60.0, 60.0 - 1e-9, 60.0 - 2e-9, 20.0]),
    "all_flat": ([0.0, 1.0, 2.0, 5.0], [50.0, 50.0, 50.0, 50.0]),
}


def to_x(seconds):
    return np.log1p(np.asarray(seconds, float) / SCALE_S)


def to_seconds(x):
    return float(SCALE_S * np.expm1(x))


def sampled(x, count):
    """At least `count` places: the knots, an even spread, and places close to each knot."""
    x = np.asarray(x)
    close = np.concatenate([x[:-1] + 1e-3 * np.diff(x), x[1:] - 1e-3 * np.diff(x)])
    return np.unique(np.concatenate([x, np.linspace(x[0], x[-1], count), close]))


def ladder(name, tones):
    seconds, lightness = rising(name)
    x = to_x(seconds)
    curve = PchipInterpolator(x, lightness)
    targets = np.linspace(lightness[0], lightness[-1] + RESERVE, tones)
    totals = [0.0] + [to_seconds(brentq(lambda u: float(curve(u)) - y, x[0], x[-1], xtol=1e-12, rtol=1e-15))
                      for y in targets[1:]]
    return targets, totals


def main():
    sets = {f"strip_{name.replace('-', '_')}": (to_x(rising(name)[0]), rising(name)[1]) for name in ("14-b", "15-a")}
    sets |= AWKWARD
    knots, points = [], []
    for name, (x, y) in sets.items():
        curve = PchipInterpolator(x, y)
        knots += [[name, float(a), float(b)] for a, b in zip(x, y)]
        places = sampled(x, 80 if name.startswith("strip") else 41)
        points += [[name, float(u), float(curve(u))] for u in places]
    about = ["sets strip_14_b and strip_15_a: L* over x = ln(1 + t/5 s) of the demo's strips up to the darkest reading;"
             " the rest: awkward monotone data", f"source: {METHOD}", MADE]
    write("pchip_knots.csv", ["knots of the curves of pchip.csv", *about], ["set", "x", "y"], knots)
    write("pchip.csv", ["values of the curves through pchip_knots.csv", *about], ["set", "x", "y_expected"], points)

    check, rows = PrintedCheck("ladders.csv"), []
    for name in ("14-b", "15-a"):
        for tones in TONES:
            targets, totals = ladder(name, tones)
            rows += [[name, tones, k, float(y), t] for k, (y, t) in enumerate(zip(targets, totals))]
            key = (name, tones)
            for k, cell in enumerate(PRINTED_TOTALS.get(key, "").split()):
                check.same(cell, totals[k], f"{name}, {tones} tones, total {k}")
            for k, cell in enumerate(PRINTED_LIGHTNESS.get(key, "").split()):
                check.same(cell, targets[k], f"{name}, {tones} tones, lightness {k}")
            for k, cell in enumerate(PRINTED_BITES.get(key, "").split()):
                exact = totals[k + 1] - totals[k]
                rounded = round(totals[k + 1], 1) - round(totals[k], 1)
                nearer = min((exact, rounded), key=lambda bite: abs(bite - float(cell)))
                check.same(cell, nearer, f"{name}, {tones} tones, bite {k + 1} (exact {exact:.4f}, of rounded {rounded:.1f})")
    write("ladders.csv",
          ["total bite time of each tone: L* evenly spaced from the strip's paper to its darkest reading + 1 L*, inverted on the curve",
           "source: " + METHOD + "; scipy.optimize.brentq, xtol 1e-12 in x = ln(1 + t/5 s)",
           "the strips are invented for the demo", MADE],
          ["strip", "tones", "index", "lightness", "total_s"], rows)
    return 1 if check.report() else 0


if __name__ == "__main__":
    sys.exit(main())
