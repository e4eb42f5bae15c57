"""Histograms of scikit-image's pictures, their multi-Otsu thresholds and their exact optimal classes.

Libraries: scikit-image 0.26.0 (data, color.rgb2gray, filters.threshold_multiotsu), numpy 2.4.6.
Pictures: those shipped inside the package; only their histograms are kept here. Colour ones are made grey by
skimage.color.rgb2gray, which weighs the ENCODED values 0.2125 R + 0.7154 G + 0.0721 B, then rounded to a byte (half to even).
Exact optimum: dynamic programming over the values (W. D. Fisher, J. Amer. Stat. Assoc. 53 (1958) 789-798), written here from
the recurrence; every sum of squares is exact, in fractions, for the classes found.
"""
import sys
from fractions import Fraction

import numpy as np
from skimage import color, data, filters

from csv_table import write

PICTURES = ["coffee", "camera", "astronaut", "page", "coins"]
PICTURE_LINE = ("pictures of scikit-image 0.26.0: coffee CC0 (R. Michetti), camera CC0 (L. Varshney), astronaut public domain (NASA),"
                " coins no known copyright restrictions (Brooklyn Museum), page as shipped (the package is BSD-3-Clause and states no other licence for it)")
MADE = "made by scripts/picture_classes.py with scikit-image 0.26.0, numpy 2.4.6"
MOST = 16


def grey(name):
    """The 8-bit grey picture."""
    picture = getattr(data, name)()
    if picture.ndim == 3:
        picture = np.rint(color.rgb2gray(picture[..., :3]) * 255).astype(np.uint8)
    assert picture.dtype == np.uint8
    return picture


def spread(counts, low, high):
    """Sum of squares about the mean of values low..=high, exactly."""
    weight = sum(counts[low : high + 1])
    if weight == 0:
        return Fraction(0)
    first = sum(v * counts[v] for v in range(low, high + 1))
    second = sum(v * v * counts[v] for v in range(low, high + 1))
    return Fraction(second) - Fraction(first * first, weight)


def within(counts, lasts):
    """Sum of squares within classes whose last values are `lasts` (the final class ends at 255)."""
    ends = [-1, *lasts, 255]
    return sum(spread(counts, a + 1, b) for a, b in zip(ends[:-1], ends[1:]))


def optimal(counts, most):
    """Last values of the classes of the least sum of squares, for every number of classes up to `most`."""
    c = np.array(counts, np.float64)
    v = np.arange(256) - 128.0  # centred, so that the differences below lose few digits
    w, wx, wxx = (np.r_[0, np.cumsum(k)] for k in (c, c * v, c * v * v))
    i, j = np.meshgrid(np.arange(257), np.arange(257), indexing="ij")
    weight = w[j] - w[i]
    cost = np.where((j > i) & (weight > 0), wxx[j] - wxx[i] - (wx[j] - wx[i]) ** 2 / np.maximum(weight, 1), 0)
    cost[j < i] = np.inf
    best = [np.r_[0.0, np.full(256, np.inf)]]
    choice = []
    for _ in range(most):
        total = best[-1][:, None] + cost
        choice.append(total.argmin(axis=0))
        best.append(total.min(axis=0))
    classes = {}
    for n in range(1, most + 1):
        end, lasts = 256, []
        for k in range(n - 1, -1, -1):
            end = int(choice[k][end])
            lasts.append(end - 1)
        classes[n] = lasts[::-1][1:]
    return classes


def main():
    histograms, otsu, exact, worse = [], [], [], []
    for name in PICTURES:
        picture = grey(name)
        counts = [int(n) for n in np.bincount(picture.ravel(), minlength=256)]
        histograms += [[name, value, count] for value, count in enumerate(counts)]
        classes = optimal(counts, MOST)
        least = {n: within(counts, classes[n]) for n in classes}
        exact += [[name, n, float(least[n])] for n in range(2, MOST + 1)]
        for n in range(2, 6):
            thresholds = [int(t) for t in filters.threshold_multiotsu(picture, classes=n, nbins=256)]
            reached = within(counts, thresholds)
            otsu.append([name, n, " ".join(map(str, thresholds)), float(reached / picture.size), float(least[n] / picture.size)])
            assert reached >= least[n]
            if thresholds != classes[n]:
                worse.append(f"  {name} {n} classes: multi-Otsu {thresholds}, exact {classes[n]},"
                             f" variance higher by {float(reached / least[n] - 1):.2e} of itself")
    write("histograms.csv", ["pixels of each 8-bit grey value; colour pictures through skimage.color.rgb2gray, rounded to a byte",
                             PICTURE_LINE, MADE], ["picture", "value", "count"], histograms)
    write("multi_otsu.csv",
          ["skimage.filters.threshold_multiotsu(picture, classes, nbins=256) on the 8-bit grey pictures of histograms.csv",
           "thresholds: last value of each class but the top one (a pixel equal to the threshold belongs to the LOWER class)",
           "within_variance: reached by those thresholds; least_variance: the exact optimum (as optimal_classes.csv, over the pixel count)",
           "source: N. Otsu, IEEE Trans. SMC 9 (1979) 62-66; P.-S. Liao et al., J. Inf. Sci. Eng. 17 (2001) 713-727; the library works in float32",
           "astronaut in 4 and 5 classes: the library misses the optimum (it weighs the lowest occupied bin wrongly), so expect least < within",
           PICTURE_LINE, MADE], ["picture", "classes", "thresholds", "within_variance", "least_variance"], otsu)
    write("optimal_classes.csv",
          ["least within-class sum of squares (values weighted by counts) of the 8-bit grey pictures of histograms.csv in N classes",
           "source: W. D. Fisher, J. Amer. Stat. Assoc. 53 (1958) 789-798; dynamic programming written in the script, sums exact",
           PICTURE_LINE, MADE], ["picture", "n", "ssw"], exact)
    print(f"multi-Otsu differs from the exact classes in {len(worse)} of {len(otsu)} cases")
    print("\n".join(worse))


if __name__ == "__main__":
    sys.exit(main())
