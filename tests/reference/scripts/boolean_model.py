"""Covered share of randomly strewn discs, and what an undercut leaves of it.

Library: scipy 1.17.1 (integrate.quad, special), numpy 2.4.6.
Source: S. N. Chiu, D. Stoyan, W. S. Kendall, J. Mecke, Stochastic Geometry and its Applications, 3rd ed. (Wiley 2013), ch. 3:
for Poisson intensity lambda the covered share is p = 1 - exp(-lambda pi E[r^2]). Undercut: isotropic, each disc's radius falls by u,
p(u) = 1 - exp(-lambda pi E[(r-u)+^2]); a LOWER bound of what is left, since eroding the union leaves at least the union of the
eroded discs. Log-normal radii (median 0.030 mm, sigma of the logarithm 0.45) are an assumption of the project, not a measurement;
E[r^2] = median^2 exp(2 sigma^2).
The PRINTED figures were worked out beforehand, to six places; the script says which it does not find again.
"""
import math
import sys

from scipy import integrate

from csv_table import PrintedCheck, write

SOURCE = ("source: S. N. Chiu, D. Stoyan, W. S. Kendall, J. Mecke, Stochastic Geometry and its Applications, 3rd ed. (Wiley 2013), ch. 3:"
          " p = 1 - exp(-lambda pi E[r^2])")
MADE = "made by scripts/boolean_model.py with scipy 1.17.1"
# lambda per mm2, r mm, lambda pi r^2, p
PRINTED_COVER = """
100 0.030 0.282743 0.246287
100 0.047 0.693978 0.500415
200 0.0332 0.692558 0.499705
50 0.080 1.005310 0.634069
"""
# wanted p, lambda pi E[r^2]
PRINTED_WANTED = """
0.40 0.510826
0.50 0.693147
0.60 0.916291
"""
# u mm, p(u) for lambda 100 per mm2, r 0.047 mm
PRINTED_UNDERCUT = """
0 0.500415
0.005 0.425455
0.010 0.349546
0.020 0.204689
0.030 0.086792
"""
MEDIAN, SIGMA = 0.030, 0.45
UNDERCUTS = [0.0, 0.002, 0.005, 0.01, 0.015, 0.02, 0.03, 0.045, 0.06, 0.09]


def cells(block):
    return [line.split() for line in block.strip().splitlines()]


def cover(exponent):
    return -math.expm1(-exponent)


def left_square(u):
    """E[(r-u)+^2] in mm2 for the log-normal radii, by quadrature over the logarithm (ten sigmas)."""
    low = -10.0 if u == 0 else max(-10.0, math.log(u / MEDIAN) / SIGMA)
    if low >= 10:
        return 0.0
    bell = lambda z: math.exp(-z * z / 2) / math.sqrt(2 * math.pi)
    radius = lambda z: MEDIAN * math.exp(SIGMA * z)
    return integrate.quad(lambda z: (radius(z) - u) ** 2 * bell(z), low, 10, epsabs=1e-16, epsrel=1e-12, limit=400)[0]


def main():
    check, rows = PrintedCheck("boolean_model.csv"), []
    for intensity, r, exponent, p in cells(PRINTED_COVER):
        e = float(intensity) * math.pi * float(r) ** 2
        check.same(exponent, e, f"lambda {intensity}, r {r}: exponent")
        check.same(p, cover(e), f"lambda {intensity}, r {r}: p")
        rows.append([float(intensity), float(r), 0.0, e, cover(e)])
    for u, p in cells(PRINTED_UNDERCUT):
        e = 100 * math.pi * max(0.047 - float(u), 0) ** 2
        check.same(p, cover(e), f"undercut {u}")
        if float(u) > 0:
            rows.append([100.0, 0.047, float(u), e, cover(e)])
    write("boolean_model.csv",
          ["Boolean model of equal discs: intensity, radius, undercut -> exponent lambda pi (r-u)^2 and covered share p",
           "(with undercut u > 0 p is a lower bound of the share that stays covered)", SOURCE, MADE],
          ["intensity_per_mm2", "radius_mm", "undercut_mm", "exponent", "covered"], rows)

    wanted = []
    for p, exponent in cells(PRINTED_WANTED):
        e = -math.log1p(-float(p))
        check.same(exponent, e, f"wanted {p}")
        wanted.append([float(p), e])
    write("boolean_wanted.csv", ["covered share wanted -> lambda pi E[r^2] that gives it", SOURCE, MADE], ["covered", "exponent"], wanted)

    square = MEDIAN**2 * math.exp(2 * SIGMA**2)
    assert abs(left_square(0.0) - square) < 1e-12
    rows = []
    for p in (0.4, 0.5, 0.6):
        intensity = -math.log1p(-p) / (math.pi * square)
        rows += [[p, intensity, u, left_square(u), cover(intensity * math.pi * left_square(u))] for u in UNDERCUTS]
    write("boolean_lognormal.csv",
          [f"Boolean model of discs with log-normal radii (median {MEDIAN} mm, sigma of the logarithm {SIGMA}: assumed, not measured):",
           "covered share at the start, the intensity that gives it, undercut -> E[(r-u)+^2] and covered share (a lower bound where u > 0)",
           SOURCE + "; quadrature by scipy.integrate.quad", MADE],
          ["covered_at_start", "intensity_per_mm2", "undercut_mm", "mean_square_mm2", "covered"], rows)
    return 1 if check.report() else 0


if __name__ == "__main__":
    sys.exit(main())
