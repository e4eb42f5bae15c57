"""Tables of sRGB, CIE L*, density, Murray-Davies and Yule-Nielsen values.

Libraries: colour-science 0.4.7 (models.eotf_sRGB, lightness and luminance by the CIE 1976 method), numpy 2.4.6.
Sources of the equations:
- sRGB decoding: IEC 61966-2-1:1999 with amendment 1:2003;
- L*: CIE 15:2018 section 8.2, ISO/CIE 11664-4:2019;
- density D = -log10 R: ISO 5-4:2009;
- Murray-Davies: A. Murray, J. Franklin Inst. 221 (1936) 721-744;
- Yule-Nielsen: J. A. C. Yule, W. J. Nielsen, TAGA Proc. 3 (1951) 65-76.
The figures in the PRINTED lists are six-place values worked out beforehand; the script says which of them it does not find again.
"""
import math
import sys

import colour
import numpy as np

from csv_table import PrintedCheck, write

MADE = "made by scripts/colour_tables.py with colour-science 0.4.7, numpy 2.4.6"

# byte, V, Y, L*, D
PRINTED_SRGB = """
0 0.000000 0.000000 0.000000 inf
10 0.039216 0.003035 2.741748 2.517803
11 0.043137 0.003347 3.022913 2.475405
55 0.215686 0.038204 23.068704 1.417887
118 0.462745 0.181164 49.637014 0.741928
119 0.466667 0.184475 50.034439 0.734062
128 0.501961 0.215861 53.585013 0.665827
188 0.737255 0.502886 76.246091 0.298530
200 0.784314 0.577580 80.604083 0.238388
255 1.000000 1.000000 100.000000 0.000000
"""
# Y, L*
PRINTED_LIGHTNESS = """
0.001 0.903296
0.005 4.516481
0.008856452 8.000000
0.01 8.991442
0.05 26.734765
0.10 37.842430
0.18 49.496108
0.50 76.069261
0.90 95.996769
"""
# L*, Y, D
PRINTED_LUMINANCE = """
10 0.011260 1.948454
20 0.029891 1.524466
30 0.062359 1.205100
40 0.112510 0.948810
50 0.184187 0.734742
60 0.281233 0.550933
70 0.407494 0.389879
80 0.566813 0.246560
90 0.763034 0.117456
"""
# R, D
PRINTED_DENSITY = """
0.90 0.045757
0.80 0.096910
0.50 0.301030
0.25 0.602060
0.18 0.744727
0.05 1.301030
0.02 1.698970
"""
# D, R, L*
PRINTED_REFLECTANCE = """
0.05 0.891251 95.632673
0.10 0.794328 91.429772
0.30 0.501187 76.142075
0.60 0.251189 57.191052
1.00 0.100000 37.842430
1.30 0.050119 26.768563
1.60 0.025119 17.972277
"""
# a, R, D, L* for Rp 0.85, Rs 0.04
PRINTED_MURRAY = """
0.10 0.769000 0.114074 90.275568
0.25 0.647500 0.188760 84.354745
0.40 0.526000 0.279014 77.638239
0.50 0.445000 0.351640 72.561438
0.60 0.364000 0.438899 66.824429
0.75 0.242500 0.615288 56.337235
0.90 0.121000 0.917215 41.374614
"""
# Dt-Dp, a for Ds-Dp 1.4
PRINTED_MURRAY_INVERSE = """
0.10 0.214199
0.20 0.384344
0.30 0.519494
0.50 0.712122
0.80 0.876401
1.10 0.958735
1.40 1.000000
"""
# a, n, R, D, L* for Rp 0.85, Rs 0.04
PRINTED_YULE = """
0.25 1.5 0.588460 0.230283 81.206893
0.50 1.0 0.445000 0.351640 72.561438
0.50 1.5 0.361152 0.442310 66.607876
0.50 1.7 0.339497 0.469164 64.922632
0.50 2.0 0.314695 0.502110 62.902024
0.50 3.0 0.267877 0.572065 58.777279
0.50 inf 0.184391 0.734261 -
0.75 1.7 0.159873 0.796225 46.957793
0.75 2.0 0.144772 0.839317 44.909602
0.90 2.0 0.074090 1.130238 32.720517
"""
# Dt-Dp, a for n 1.7, Ds-Dp 1.4
PRINTED_YULE_INVERSE = """
0.10 0.149051
0.30 0.392902
0.50 0.578887
0.80 0.778490
"""

PAPER, SOLID, SOLID_DENSITY, INVERSE_N = 0.85, 0.04, 1.4, 1.7


def printed(block):
    return [line.split() for line in block.strip().splitlines()]


def linear(byte):
    return float(colour.models.eotf_sRGB(byte / 255))


def lightness(y):
    return float(colour.lightness(y * 100, method="CIE 1976", Y_n=100))


def luminance(lightness_star):
    return float(colour.luminance(lightness_star, method="CIE 1976", Y_n=100)) / 100


def density(reflectance):
    return math.inf if reflectance == 0 else abs(-math.log10(reflectance))


def mixed(a, n):
    """Yule-Nielsen reflectance; n = 1 is Murray-Davies, n = inf the limit in which densities mix."""
    if math.isinf(n):
        return PAPER ** (1 - a) * SOLID**a
    return ((1 - a) * PAPER ** (1 / n) + a * SOLID ** (1 / n)) ** n


def area(tint, n):
    """The covered share that gives a tint density (paper zeroed) of `tint` when the solid reads SOLID_DENSITY."""
    return (1 - 10 ** (-tint / n)) / (1 - 10 ** (-SOLID_DENSITY / n))


def table(name, about, columns, block, compute):
    """Writes the rows computed from each printed row and returns the printed figures that differ."""
    check, rows = PrintedCheck(name), []
    for cells in printed(block):
        row = compute([float(cell) for cell in cells if cell != "-"])
        rows.append(row)
        for column, cell, value in zip(columns, cells, row):
            check.same(cell, value, f"{columns[0]} {cells[0]}, {column}")
    write(name, [*about, MADE], columns, rows)
    return check.report()


def srgb_row(byte):
    y = linear(byte)
    return [int(byte), byte / 255, y, lightness(y), density(y)]


def main():
    srgb = ["sRGB byte -> encoded value V, linear luminance Y, CIE L* (white 100), density D = -log10 Y, of a neutral grey",
            "source: IEC 61966-2-1:1999 + A1:2003 (decoding), CIE 15:2018 8.2 (L*), ISO 5-4:2009 (density)"]
    columns = ["byte", "v", "y", "lightness", "density"]
    wrong = table("srgb_lightness.csv", srgb, columns, PRINTED_SRGB, lambda c: srgb_row(c[0]))
    write("srgb_all.csv", [*srgb, "all 256 bytes", MADE], columns, [srgb_row(b) for b in range(256)])

    cie = "source: CIE 15:2018 section 8.2, ISO/CIE 11664-4:2019"
    wrong += table("lightness_of_y.csv", ["linear luminance Y (white 1) -> CIE L*", cie], ["y", "lightness"],
                   PRINTED_LIGHTNESS, lambda c: [c[0], lightness(c[0])])
    wrong += table("y_of_lightness.csv", ["CIE L* -> linear luminance Y (white 1) and density D = -log10 Y", cie],
                   ["lightness", "y", "density"], PRINTED_LUMINANCE,
                   lambda c: [c[0], luminance(c[0]), density(luminance(c[0]))])

    iso = "source: ISO 5-4:2009 (D = -log10 R); L* by CIE 15:2018 8.2"
    wrong += table("density.csv", ["reflectance R -> density D", iso], ["reflectance", "density"],
                   PRINTED_DENSITY, lambda c: [c[0], density(c[0])])
    wrong += table("reflectance_of_density.csv", ["density D -> reflectance R and CIE L*", iso],
                   ["density", "reflectance", "lightness"], PRINTED_REFLECTANCE,
                   lambda c: [c[0], 10 ** -c[0], lightness(10 ** -c[0])])

    murray = "source: A. Murray, J. Franklin Inst. 221 (1936) 721-744"
    wrong += table("murray_davies.csv",
                   [f"covered share a -> reflectance R = (1-a) Rp + a Rs, density, L*; Rp = {PAPER}, Rs = {SOLID}", murray],
                   ["a", "reflectance", "density", "lightness"], PRINTED_MURRAY,
                   lambda c: [c[0], mixed(c[0], 1), density(mixed(c[0], 1)), lightness(mixed(c[0], 1))])
    wrong += table("murray_davies_inverse.csv",
                   [f"tint density over paper -> covered share a; solid over paper = {SOLID_DENSITY}", murray],
                   ["tint_density", "a"], PRINTED_MURRAY_INVERSE, lambda c: [c[0], area(c[0], 1)])

    yule = "source: J. A. C. Yule, W. J. Nielsen, TAGA Proc. 3 (1951) 65-76"
    wrong += table("yule_nielsen.csv",
                   [f"a, n -> R^(1/n) = (1-a) Rp^(1/n) + a Rs^(1/n), density, L*; Rp = {PAPER}, Rs = {SOLID};"
                    " n = inf is the limit R = Rp^(1-a) Rs^a", yule],
                   ["a", "n", "reflectance", "density", "lightness"], PRINTED_YULE,
                   lambda c: [c[0], c[1], mixed(c[0], c[1]), density(mixed(c[0], c[1])), lightness(mixed(c[0], c[1]))])
    wrong += table("yule_nielsen_inverse.csv",
                   [f"tint density over paper -> covered share a; n = {INVERSE_N}, solid over paper = {SOLID_DENSITY}", yule],
                   ["tint_density", "a"], PRINTED_YULE_INVERSE, lambda c: [c[0], area(c[0], INVERSE_N)])
    return 1 if wrong else 0


if __name__ == "__main__":
    assert np.isclose(lightness(1.0), 100.0)
    sys.exit(main())
