"""Tables of colour differences, films and overprints.

Libraries: colour-science 0.4.7 (delta_E by the CIE 2000 method, XYZ_to_Lab), numpy 2.4.6.
Sources of the equations:
- CIEDE2000: CIE 142:2001; the pairs of G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30 (2005) 21-30, table 1, with its four digits;
- a film on a ground: P. Kubelka, J. Opt. Soc. Am. 38 (1948) 448-457; layers: 44 (1954) 330-335;
- weights: Demichel, Procede 26 (1924) 17-21; Neugebauer, Z. wiss. Photogr. 37 (1937) 73-89; the power 1/n: Viggiano, TAGA Proc. 1985.
The figures in the PRINTED lists are six-place values worked out beforehand; the script says which of them it does not find again.
"""
import itertools
import math
import sys
import warnings

warnings.simplefilter("ignore")
import colour
import numpy as np

from csv_table import PrintedCheck, write

MADE = "made by scripts/ink_tables.py with colour-science 0.4.7, numpy 2.4.6"

# L1 a1 b1 L2 a2 b2, as published
PAIRS = """
50 2.6772 -79.7751 50 0 -82.7485 2.0425
50 -1.3802 -84.2814 50 0 -82.7485 1.0000
50 0 0 50 -1 2 2.3669
50 2.49 -0.001 50 -2.49 0.0009 7.1792
50 2.49 -0.001 50 -2.49 0.0011 7.2195
50 2.5 0 50 0 -2.5 4.3065
50 2.5 0 73 25 -18 27.1492
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""

# K S X Rg R R0 T
PRINTED_FILMS = """
0.2 1.0 1.0 0.85 0.637275 0.426888 0.397118
1.0 0.5 0.5 0.85 0.352976 0.130797 0.482004
2.0 0.1 1.0 0.85 0.036517 0.023464 0.122680
0.05 0.4 1.0 0.04 0.291801 0.273200 0.678187
0.02 0.6 0.3 0.90 0.891217 0.151677 0.842342
0.1 0.0 1.0 0.85 0.695921 0.000000 -
0.5 0.0 1.0 0.85 0.312698 0.000000 -
1.0 0.0 1.0 0.85 0.115035 0.000000 -
"""


def film(k, s, x, ground):
    if s == 0:
        t = math.exp(-k * x)
        return ground * t * t, 0.0, t
    a = (s + k) / s
    b = math.sqrt(a * a - 1)
    z = b * s * x
    coth = 1 / math.tanh(z)
    return ((1 - ground * (a - b * coth)) / (a - ground + b * coth), 1 / (a + b * coth), b / (a * math.sinh(z) + b * math.cosh(z)))


def main():
    check = PrintedCheck("films and differences")
    rows = []
    for line in PAIRS.split("\n"):
        if not line:
            continue
        *numbers, printed = line.split()
        v = [float(n) for n in numbers]
        found = float(colour.delta_E(v[:3], v[3:], method="CIE 2000"))
        check.same(printed, found, line)
        rows.append([*v, found])
    chance = np.random.default_rng(2005)
    for _ in range(60):
        one = np.array([chance.uniform(5, 95), *chance.uniform(-60, 60, 2)])
        other = one + chance.normal(0, 6, 3)
        rows.append([*map(float, one), *map(float, other), float(colour.delta_E(one, other, method="CIE 2000"))])
    write("colour_differences.csv", ["CIEDE2000: twelve pairs of Sharma, Wu, Dalal 2005, then seeded ones", MADE], ["L1", "a1", "b1", "L2", "a2", "b2", "dE00"], rows)

    rows = []
    for rgb in itertools.product((0.0, 0.05, 0.4, 1.0), repeat=3):
        xyz = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ @ np.array(rgb)
        white = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ @ np.ones(3)
        lab = colour.XYZ_to_Lab(xyz, illuminant=colour.XYZ_to_xy(white))
        rows.append([*rgb, *map(float, lab)])
    write("lab_of_linear.csv", ["linear sRGB to CIE L*a*b* (CIE 15:2018), white = sRGB's own", MADE], ["r", "g", "b", "L", "a", "b_"], rows)

    rows = []
    for line in PRINTED_FILMS.strip().split("\n"):
        k, s, x, ground, *printed = line.split()
        found = film(float(k), float(s), float(x), float(ground))
        for text, value in zip(printed, found):
            if text != "-":
                check.same(text, value, line)
        rows.append([float(k), float(s), float(x), float(ground), *found])
    for _ in range(40):
        k, s, x, ground = chance.uniform(0.01, 3), chance.uniform(0.01, 3), chance.uniform(0.05, 2), chance.uniform(0.02, 0.95)
        rows.append([float(v) for v in (k, s, x, ground)] + [float(v) for v in film(k, s, x, ground)])
    write("films.csv", ["a film of K, S, thickness X on a ground Rg: R on it, R0 on black, T (Kubelka 1948)", MADE], ["K", "S", "X", "Rg", "R", "R0", "T"], rows)

    # Up to four plates of transparent inks: R of each primary is the ground times the transmittances squared.
    rows = []
    for plates in (1, 2, 3, 4):
        for _ in range(8):
            lands, density, n, ground = chance.uniform(0, 1, plates), chance.uniform(0.05, 1.3, plates), chance.uniform(1, 2.5), chance.uniform(0.5, 0.95)
            mixed = 0.0
            for subset in itertools.product((0, 1), repeat=plates):
                weight = math.prod(1 - c if pit else c for c, pit in zip(lands, subset))
                mixed += weight * (ground * 10 ** -sum(d for d, pit in zip(density, subset) if pit)) ** (1 / n)
            rows.append([" ".join(repr(float(v)) for v in lands), " ".join(repr(float(v)) for v in density), float(n), float(ground), float(mixed**n)])
    two = 0.45 * 0.85 + 0.30 * 0.30 + 0.15 * 0.20 + 0.10 * 0.06
    check.same("0.508500", two, "two plates")
    check.same("0.449937", (0.45 * 0.85**0.5 + 0.30 * 0.30**0.5 + 0.15 * 0.20**0.5 + 0.10 * 0.06**0.5) ** 2, "two plates, n = 2")
    write("overprints.csv", ["plates of transparent inks over one another: shares of lands, densities of the full films, n, ground; R of the mean", MADE], ["lands", "densities", "n", "ground", "R"], rows)
    return len(check.report())


if __name__ == "__main__":
    sys.exit(main() != 0)
