"""The self-guided filter of a small plane.

K. He, J. Sun, X. Tang, "Guided image filtering", IEEE Trans. PAMI 35 (2013): a = var / (var + eps), b = (1 - a) * mean, both averaged over the
window again, out = a * picture + b. Means by scipy.ndimage.uniform_filter (SciPy 1.17.1), mode="nearest", in double precision.
"""
import numpy as np
from scipy import ndimage

from csv_table import write

HEIGHT, WIDTH, EPS = 14, 22, 5.0**2


def guided(plane, radius):
    mean = lambda values: ndimage.uniform_filter(values, 2 * radius + 1, mode="nearest")
    m = mean(plane)
    variance = mean(plane * plane) - m * m
    a = variance / (variance + EPS)
    return mean(a) * plane + mean((1 - a) * m)


def main():
    y, x = np.mgrid[:HEIGHT, :WIDTH]
    plane = np.where(x + y / 3 < 11, 82.0, 37.0) + np.random.default_rng(31).normal(0, 3, (HEIGHT, WIDTH))
    plane = np.clip(plane, 0, 100).round(3)
    outs = [guided(plane, radius) for radius in (1, 3, 8)]
    write(
        "smoothing.csv",
        [f"Self-guided filter of a plane {WIDTH} wide, {HEIGHT} high, eps 25, windows of 3, 7 and 17: smoothing.py, SciPy uniform_filter."],
        ["lightness", "radius_1", "radius_3", "radius_8"],
        ([float(p), *(float(o) for o in row)] for p, *row in zip(plane.ravel(), *(out.ravel().round(6) for out in outs))),
    )


if __name__ == "__main__":
    main()
