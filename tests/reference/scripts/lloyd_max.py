"""The minimum mean-square-error quantiser of the unit normal density, N = 2..16 levels.

Library: scipy 1.17.1 (special.ndtr, integrate.quad, stats.norm.ppf), numpy 2.4.6.
Sources: S. P. Lloyd, IEEE Trans. IT 28 (1982) 129-137; J. Max, IRE Trans. IT-6 (1960) 7-12, Table I (his printed errors, from
memory; he printed four figures, some truncated); P. E. Fleischer, IEEE Int. Conv. Rec. 12 part 1 (1964) 104-111 (from memory):
the optimum is the only stationary point for this density, so iteration to rest finds it.
Each threshold is the midpoint of its levels and each level the mean of its cell; the error is found a second way by quadrature.
"""
import sys

import numpy as np
from scipy import integrate, special, stats

from csv_table import PrintedCheck, write

# N, Max's mean square error, six-place error, positive thresholds (and 0), non-negative levels
PRINTED = """
2 | 0.3634 | 0.363380 | 0 | .7979
3 | 0.1902 | 0.190174 | .6120 | 0 1.2240
4 | 0.1175 | 0.117482 | 0 .9816 | .4528 1.5104
5 | 0.07994 | 0.079941 | .3823 1.2444 | 0 .7646 1.7241
6 | 0.05798 | 0.057978 | 0 .6589 1.4469 | .3177 1.0001 1.8936
7 | 0.04400 | 0.044000 | .2803 .8744 1.6108 | 0 .5606 1.1881 2.0334
8 | 0.03454 | 0.034548 | 0 .5005 1.0500 1.7479 | .2451 .7560 1.3439 2.1519
9 | 0.02785 | 0.027853 | .2218 .6812 1.1976 1.8655 | 0 .4436 .9188 1.4764 2.2547
10 | 0.02293 | 0.022937 | 0 .4047 .8338 1.3246 1.9682 | .1996 .6099 1.0578 1.5913 2.3451
11 | 0.01922 | 0.019220 | .1837 .5599 .9656 1.4357 2.0592 | 0 .3675 .7524 1.1788 1.6926 2.4257
12 | 0.01634 | 0.016340 | 0 .3401 .6943 1.0812 1.5344 2.1407 | .1684 .5118 .8768 1.2857 1.7830 2.4984
13 | 0.01406 | 0.014063 | .1569 .4760 .8126 1.1841 1.6229 2.2145 | 0 .3138 .6383 .9869 1.3813 1.8645 2.5645
14 | 0.01223 | 0.012232 | 0 .2935 .5959 .9180 1.2766 1.7031 2.2818 | .1457 .4413 .7504 1.0856 1.4675 1.9386 2.6251
15 | 0.01073 | 0.010737 | .1369 .4143 .7029 1.0130 1.3605 1.7763 2.3437 | 0 .2739 .5548 .8511 1.1749 1.5461 2.0065 2.6809
16 | 0.009497 | 0.009501 | 0 .2582 .5224 .7995 1.0993 1.4371 1.8435 2.4008 | .1284 .3880 .6568 .9423 1.2562 1.6180 2.0690 2.7326
"""


def density(x):
    return np.exp(-x * x / 2) / np.sqrt(2 * np.pi)


def quantiser(n):
    """Thresholds, levels and mean square error, by fixed-point iteration to rest; kept symmetric about 0."""
    levels = stats.norm.ppf((np.arange(n) + 0.5) / n) * 1.1
    for _ in range(200_000):
        edges = np.r_[-np.inf, (levels[1:] + levels[:-1]) / 2, np.inf]
        shares = np.diff(special.ndtr(edges))
        moved = (density(edges[:-1]) - density(edges[1:])) / shares
        moved = (moved - moved[::-1]) / 2
        rest = np.abs(moved - levels).max() < 1e-15
        levels = moved
        if rest:
            break
    edges = (levels[1:] + levels[:-1]) / 2
    shares = np.diff(special.ndtr(np.r_[-np.inf, edges, np.inf]))
    return edges, levels, float(1 - (shares * levels**2).sum())


def error_by_quadrature(edges, levels):
    ends = np.r_[-40, edges, 40]
    return sum(integrate.quad(lambda x: (x - y) ** 2 * density(x), max(a, -12), min(b, 12), epsabs=1e-14, limit=200)[0]
               for a, b, y in zip(ends[:-1], ends[1:], levels))


def main():
    check, rows = PrintedCheck("lloyd_max.csv"), []
    for line in PRINTED.strip().splitlines():
        n, max_error, printed_error, thresholds, outputs = (part.strip() for part in line.split("|"))
        edges, levels, error = quantiser(int(n))
        assert abs(error - error_by_quadrature(edges, levels)) < 1e-11, n
        upper, positive = edges[edges > -1e-9], levels[levels > -1e-9]
        check.same(printed_error, error, f"N {n} error")
        for title, cells, values in (("threshold", thresholds.split(), upper), ("level", outputs.split(), positive)):
            assert len(cells) == len(values), (n, title)
            for cell, value in zip(cells, values):
                check.same(cell, value, f"N {n} {title}")
        shown = lambda values: " ".join(f"{abs(v):.10f}" for v in values)
        rows.append([int(n), max_error, f"{error:.12f}", shown(upper), shown(positive)])
    write("lloyd_max.csv",
          ["least mean-square-error quantiser of the unit normal density: levels N, Max's printed error, computed error,",
           "thresholds >= 0 and levels >= 0 (space-separated; the rest by symmetry)",
           "source: S. P. Lloyd, IEEE Trans. IT 28 (1982) 129-137; J. Max, IRE Trans. IT-6 (1960) 7-12, Table I (column max_1960_mse,",
           "from memory, four printed figures some of which are truncated: hold it to 1e-5 + 0.05 %, the computed column to 1e-9)",
           "made by scripts/lloyd_max.py with scipy 1.17.1"],
          ["n", "max_1960_mse", "mse", "thresholds", "levels"], rows)
    return 1 if check.report() else 0


if __name__ == "__main__":
    sys.exit(main())
