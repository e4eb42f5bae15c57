"""Chances that a hand's edges come out lighter or darker than planned, pixel by pixel of small maps.

Libraries: scipy 1.17.1 (ndimage.distance_transform_edt, stats.norm), numpy 2.4.6.
The rule is the project's own (documented in core/src/edges.rs): offsets of each stop-out are independent normal numbers, distances run from a pixel's
centre to the edge half a pixel before the next centre. Distances and the distribution are SciPy's.
"""
import numpy as np
from scipy import ndimage, stats

from csv_table import DATA, write

MAPS = ["blobs", "specks", "stripes", "frame", "fine"]
# Pixels a millimetre; wander, creep, lap in mm.
HANDS = [(5.0, 0.4, 0.2, 1.0), (3.0, 0.3, 0.0, 0.4), (8.0, 1.0, 0.7, 2.5)]


def labels(name):
    lines = (DATA / f"labels_{name}.txt").read_text().split()
    return np.array([[int(digit) for digit in line] for line in lines if line.isdigit()])


def to(mask, px_per_mm):
    """Distance to the edge of a region, mm; infinite where there is none."""
    if not mask.any():
        return np.full(mask.shape, np.inf)
    return (ndimage.distance_transform_edt(~mask) - 0.5) / px_per_mm


def chances(plane, tones, px_per_mm, wander, creep, lap):
    spared = np.ones(plane.shape)
    for tone in range(tones - 1):
        spared = np.where(plane > tone, spared * stats.norm.cdf((to(plane == tone, px_per_mm) - creep) / wander), spared)
    darker = np.zeros(plane.shape)
    for tone in range(tones - 1):
        own = stats.norm.cdf((to(plane > tone, px_per_mm) + creep) / wander) * stats.norm.cdf((to(plane < tone, px_per_mm) + lap) / wander)
        darker = np.where(plane == tone, spared * (1 - own), darker)
    return 1 - spared, darker


def rows():
    for name in MAPS:
        plane = labels(name)
        tones = plane.max() + 2
        for px_per_mm, wander, creep, lap in HANDS:
            lighter, darker = chances(plane, tones, px_per_mm, wander, creep, lap)
            for y in range(0, plane.shape[0], 5):
                for x in range(y // 5 % 3, plane.shape[1], 4):
                    yield [name, px_per_mm, wander, creep, lap, x, y, round(float(lighter[y, x]), 6), round(float(darker[y, x]), 6)]


write(
    "edge_chances.csv",
    ["Chances that a pixel of labels_*.txt comes out lighter or darker than planned, one tone more than the map has labels.",
     "Made by scripts/edge_chances.py with SciPy distance_transform_edt and norm.cdf; rule as documented in core/src/edges.rs."],
    ["map", "px_per_mm", "wander_mm", "creep_mm", "lap_mm", "x", "y", "lighter", "darker"],
    rows(),
)
