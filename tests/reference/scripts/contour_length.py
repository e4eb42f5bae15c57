"""True perimeters of shapes that a test can draw on a raster.

Libraries: scipy 1.17.1 (special.ellipe: complete elliptic integral of the second kind), numpy 2.4.6, scikit-image 0.26.0
(measure.perimeter_crofton, four directions, for comparison only).
Source: perimeter of a circle 2 pi r, a square 4 a, an ellipse 4 a E(1 - b^2/a^2) (DLMF 19.9.9, dlmf.nist.gov/19.9, number from memory).
Raster: 10 px/mm, pixel (column i, row j) has its centre at ((i+0.5)/10, (j+0.5)/10) mm, rows downwards; a pixel is in the shape if its
centre is. Centres are off the grid so that no pixel centre lies on an edge. Angles turn the shape from the x axis towards the y axis.
"""
import math
import sys

import numpy as np
from scipy import special
from skimage import measure

from csv_table import write

PX_PER_MM = 10
# shape, a mm (radius, half side, half axis), b mm, angle in degrees, centre x, centre y in mm, raster width and height in mm
SHAPES = [
    ("disc", 3.0, 3.0, 0.0, 5.0137, 5.0271, 10, 10),
    ("disc", 8.0, 8.0, 0.0, 10.0237, 10.0411, 20, 20),
    ("disc", 20.0, 20.0, 0.0, 22.0173, 22.0319, 44, 44),
    ("square", 6.0, 6.0, 0.0, 10.0237, 10.0411, 20, 20),
    ("square", 6.0, 6.0, 15.0, 10.0237, 10.0411, 20, 20),
    ("square", 6.0, 6.0, 30.0, 10.0237, 10.0411, 20, 20),
    ("square", 6.0, 6.0, 45.0, 10.0237, 10.0411, 20, 20),
    ("ellipse", 15.0, 6.0, 20.0, 17.0191, 10.0283, 34, 20),
]


def drawn(shape, a, b, angle, cx, cy, width, height):
    y, x = (np.indices((height * PX_PER_MM, width * PX_PER_MM)) + 0.5) / PX_PER_MM
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    u, v = (x - cx) * c + (y - cy) * s, -(x - cx) * s + (y - cy) * c
    if shape == "square":
        measure_of = np.maximum(np.abs(u) / a, np.abs(v) / b)
    else:
        measure_of = np.hypot(u / a, v / b)
    assert np.abs(measure_of - 1).min() > 1e-9, "a pixel centre lies on the edge"
    return measure_of < 1


def perimeter(shape, a, b):
    if shape == "square":
        return 4 * (a + b)
    return 4 * a * float(special.ellipe(1 - (b / a) ** 2))


def main():
    rows = []
    for shape, a, b, angle, cx, cy, width, height in SHAPES:
        inside = drawn(shape, a, b, angle, cx, cy, width, height)
        crofton = float(measure.perimeter_crofton(inside, directions=4)) / PX_PER_MM
        sides = int((inside[1:] != inside[:-1]).sum() + (inside[:, 1:] != inside[:, :-1]).sum())
        rows.append([shape, a, b, angle, cx, cy, width * PX_PER_MM, height * PX_PER_MM, perimeter(shape, a, b),
                     int(inside.sum()), sides, f"{crofton:.4f}"])
    write("contour_length.csv",
          [f"true perimeter in mm of shapes on a raster of {PX_PER_MM} px/mm; pixel (i, j) is in if its centre ((i+0.5)/10, (j+0.5)/10) mm is,",
           "rows downwards; a_mm, b_mm: radius, half side or half axis; turned by angle_deg from the x axis towards the y axis",
           "area_px and pixel_sides (sides between in and out) say that the same shape was drawn; crofton_mm is",
           "skimage.measure.perimeter_crofton with four directions, an estimate for comparison, not the truth",
           "source: 2 pi r; 4 (a + b) of half sides; 4 a E(1 - b^2/a^2), DLMF 19.9.9",
           "made by scripts/contour_length.py with scipy 1.17.1, scikit-image 0.26.0"],
          ["shape", "a_mm", "b_mm", "angle_deg", "centre_x_mm", "centre_y_mm", "width_px", "height_px", "perimeter_mm",
           "area_px", "pixel_sides", "crofton_mm"], rows)


if __name__ == "__main__":
    sys.exit(main())
