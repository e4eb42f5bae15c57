"""Areas drawn by hand, as scikit-image and SciPy have them, for tests/reference/hand.rs.

Writes hand_areas.txt beside the label maps: blocks of a line that begins with `=` (what was drawn, in mm at 4 px/mm) and rows of 0 and 1.
Needs numpy, scipy, scikit-image. Usage: hand_areas.py DATA_FOLDER
"""

import pathlib
import sys

import numpy as np
import scipy
import skimage
from scipy import ndimage
from skimage import draw, measure, segmentation

PX_PER_MM = 4.0
SHAPE = (40, 52)


def labels(folder, name):
    lines = (folder / f"labels_{name}.txt").read_text().splitlines()
    return np.array([[int(digit) for digit in line] for line in lines if line and not line.startswith("#")])


def text(points):
    return " ".join(f"{x},{y}" for x, y in points)


def px(points):
    """Millimetres to the coordinates of pixel centres."""
    return np.asarray(points) * PX_PER_MM - 0.5


def polygon(points):
    found = np.zeros(SHAPE, bool)
    at = px(points)
    found[draw.polygon(at[:, 1], at[:, 0], SHAPE)] = True
    return found


def stroke(points, width):
    """Discs at the points and upright rectangles between them."""
    found = np.zeros(SHAPE, bool)
    radius = width / 2
    for x, y in points:
        centre = px([(x, y)])[0]
        found[draw.disk((centre[1], centre[0]), radius * PX_PER_MM, shape=SHAPE)] = True
    for a, b in zip(points[:-1], points[1:]):
        along = np.subtract(b, a)
        aside = np.array([-along[1], along[0]]) / np.hypot(*along) * radius
        found |= polygon([a + aside, b + aside, b - aside, a - aside])
    return found


def main(folder):
    chance = np.random.default_rng(20240611)
    line = lambda count: [tuple(np.round(p, 3)) for p in chance.uniform((-1, -1), (14, 11), (count, 2))]
    blocks = []
    for count in (3, 4, 5, 7, 9, 12, 40):
        points = line(count)
        blocks.append((f"polygon {text(points)}", polygon(points)))
    for count, width in ((1, 0.3), (1, 3.1), (2, 0.6), (2, 2.3), (3, 1.1), (6, 0.9), (12, 1.7)):
        points = line(count)
        blocks.append((f"stroke {width} {text(points)}", stroke(points, width)))
    for name, x, y in (("blobs", 20, 10), ("fine", 5, 5), ("noise", 30, 20), ("stripes", 3, 17)):
        map_ = labels(folder, name)
        x, y = min(x, map_.shape[1] - 1), min(y, map_.shape[0] - 1)
        blocks.append((f"fill {name} {x} {y}", segmentation.flood(map_, (y, x), connectivity=1)))
        pieces = measure.label(map_ + 1, connectivity=2)
        blocks.append((f"keep {name} {x} {y}", pieces == pieces[y, x]))
    for name in ("blobs", "fine", "specks", "frame", "noise"):
        blocks.append((f"outline {name}", ndimage.binary_fill_holes(labels(folder, name) > 0)))
    with open(folder / "hand_areas.txt", "w") as out:
        out.write(f"# Areas drawn by hand, {PX_PER_MM} px/mm: scikit-image {skimage.__version__} draw.polygon, draw.disk, segmentation.flood,\n")
        out.write(f"# measure.label; SciPy {scipy.__version__} ndimage.binary_fill_holes. Made by scripts/hand_areas.py.\n")
        for said, found in blocks:
            out.write(f"= {said}\n")
            for row in found:
                out.write("".join("01"[int(value)] for value in row) + "\n")


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]))
