"""Proofs with known faults: what the split of a proof's difference into wiping, bite and ink is held to.

Strips of many shapes (a saturating curve with noise), their curve by SciPy's PCHIP over ln(1 + t/5 s), a ladder of 5 to 12 tones, and a proof of it with none, one or two
faults of a size that can be seen (2 to 12 L* over the tones in the root of the mean square):

  wiping  a density added everywhere, or taken away
  rate    every total times e^rho
  ink     the film's density in the pits scaled; lands and pits are mixed by Yule and Nielsen (n 1.8) with lands and film told from the tone's own lightness by a Boolean grain, so
          it is NOT exactly the plain scaling of the tone's density that the split takes it for

Readings get the scatter of a reading (0.4 to 1 L*), the reference paper an error (0.5 L*), a camera's contrast an error (1.5 %), the clock one (1 %). All sizes are estimates of ours.

    python pulled_proofs.py              writes ../data/pulled_proofs.csv: 240 cases from seed 20, which nothing was tuned on
    python pulled_proofs.py FILE SEED N  others
"""
import csv
import pathlib
import sys

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

HERE = pathlib.Path(__file__).resolve().parent.parent
N = 1.8


def y_of(l):
    l = np.asarray(l, float)
    return np.where(l > 8, ((l + 16) / 116) ** 3, l / 903.2962962962963)


def l_of(y):
    y = np.asarray(y, float)
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, 903.2962962962963 * y)


def strip(rng):
    """Totals and L* that fall from band to band."""
    while True:
        paper, dark = rng.uniform(86, 95), rng.uniform(16, 32)
        tau, beta = rng.uniform(15, 160), rng.uniform(.65, 1.1)
        first, last = rng.uniform(3, 8), rng.uniform(360, 1500)
        t = np.concatenate([[0], np.round(np.geomspace(first, last, rng.integers(7, 12)), 1)])
        z = (t / tau) ** beta
        l = paper - (paper - dark + 8) * z / (1 + z) + np.where(t > 0, rng.normal(0, .5, len(t)), 0)
        l = np.round(l, 2)
        if np.all(np.diff(l) < -.3) and l[-1] > 8:
            return t, l


def inked(y, paper, scale):
    """The tone y with the film in its pits scaled: lands c of a Boolean grain that goes with a film x = -ln(c)-like thickness, by Yule and Nielsen."""
    root = lambda v: v ** (1 / N)
    # Lands by the tone's place between paper and a full pit of L* 14; the pit's own density from what is left.
    c = np.clip((root(y) - root(y_of(14.))) / (root(paper) - root(y_of(14.))), 0, 1) ** 1.35
    pit = np.maximum(root(y) - c * root(paper), 1e-4) / np.maximum(1 - c, 1e-6)
    pit = np.where(c > .9999, root(paper), pit) ** N
    pit = paper * (pit / paper) ** scale
    return (c * root(paper) + (1 - c) * root(pit)) ** N


def printed(curve, end, totals, paper_y, w, rho, s):
    t = totals * np.exp(rho)
    y = y_of(curve(np.log1p(np.minimum(t, end) / 5)))
    # Beyond the strip's end it darkens on as the last part of the strip did.
    slope = (curve(np.log1p(end / 5)) - curve(np.log1p(.8 * end / 5))) / np.log(1 / .8)
    y = np.where(t > end, y_of(np.maximum(l_of(y) + slope * np.log(np.maximum(t, end) / end), 2)), y)
    return inked(y, paper_y, np.exp(s)) * 10 ** -w


def case(rng, kinds):
    while True:
        t, l = strip(rng)
        curve = PchipInterpolator(np.log1p(t / 5), l)
        end = t[-1]
        count = int(rng.integers(5, 13))
        targets = np.linspace(l[0], l[-1] + 1, count)
        totals = np.array([0] + [5 * np.expm1(brentq(lambda x, a=a: curve(x) - a, 0, np.log1p(end / 5))) for a in targets[1:]])
        paper_y = y_of(l[0])
        planned = l_of(printed(curve, end, totals, paper_y, 0, 0, 0))
        sizes = dict(
            wiping=rng.choice([-1, 1], p=[.25, .75]) * rng.uniform(.02, .14),
            rate=rng.choice([-1, 1]) * rng.uniform(.1, .6),
            ink=rng.choice([-1, 1]) * rng.uniform(.08, .4))
        faults = {k: sizes[k] if k in kinds else 0. for k in sizes}
        order = ("wiping", "rate", "ink")
        alone = {k: np.sqrt(np.mean((l_of(printed(curve, end, totals, paper_y, *[faults[i] if i == k else 0 for i in order])) - planned) ** 2)) for k in kinds}
        if all(2 <= v <= 12 for v in alone.values()):
            break
    paper_error, contrast, clock = rng.normal(0, .5), rng.normal(0, .015), rng.normal(0, .01)
    y = printed(curve, end, totals * np.exp(clock), paper_y, faults["wiping"], faults["rate"], faults["ink"])
    slope = float(y_of(l[0] + paper_error) / paper_y)
    y = paper_y * (y / paper_y) ** (1 + contrast) * slope
    sigma = rng.uniform(.4, 1)
    read = np.clip(l_of(np.clip(y, 0, 1)) + rng.normal(0, sigma, count), 0, 100)
    return t, l, totals, read, sigma, faults, alone


def main():
    file, seed, n = (sys.argv[1], int(sys.argv[2]), int(sys.argv[3])) if len(sys.argv) > 3 else (HERE / "data" / "pulled_proofs.csv", 20, 240)
    rng = np.random.default_rng(seed)
    sets = [(), ("wiping",), ("rate",), ("ink",), ("wiping", "rate"), ("wiping", "ink"), ("rate", "ink")]
    weights = np.array([.1, .2, .2, .2, .1, .1, .1])
    with open(file, "w", newline="") as out:
        out.write("# Proofs with known faults, by scripts/pulled_proofs.py (NumPy, SciPy). Lists are separated by blanks: s, L*, s, L*.\n")
        table = csv.writer(out, lineterminator="\n")
        table.writerow(["causes", "wiping_d", "rate_ln", "ink_ln", "sigma", "strip_s", "strip_l", "totals_s", "read_l"])
        for _ in range(n):
            kinds = sets[rng.choice(len(sets), p=weights)]
            t, l, totals, read, sigma, faults, alone = case(rng, kinds)
            named = "+".join(sorted(kinds, key=lambda k: -alone[k])) or "none"
            table.writerow([named, *(f"{faults[k]:.4f}" for k in ("wiping", "rate", "ink")), f"{sigma:.2f}", " ".join(f"{v:g}" for v in t), " ".join(f"{v:.2f}" for v in l),
                            " ".join(f"{v:.2f}" for v in totals), " ".join(f"{v:.2f}" for v in read)])


if __name__ == "__main__":
    main()
