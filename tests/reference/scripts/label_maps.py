"""Small label maps with their distance transforms and openings.

Libraries: scipy 1.17.1 (ndimage.distance_transform_edt, binary_opening, binary_erosion, binary_dilation, gaussian_filter),
numpy 2.4.6 (random.default_rng(PCG64) with fixed seeds).
Distance: from each pixel centre to the nearest pixel centre of another label, squared (an integer, taken from the indices SciPy
returns, so no rounding); -1 where the map has only one label. The picture's border is no edge.
Opening by the digital disc x*x + y*y <= r*r of each label's mask, united over the labels; 1 = the pixel is kept. Two readings of a
free border, because they differ:
- opening_*: the map is carried on outside by repeating its border pixels (3 r of them), opened, cropped;
- opening_inside_*: disc centres lie within the picture, and pixels outside count as belonging to the region
  (binary_erosion with border_value=1, then binary_dilation).
- opening_corner_*: the second with discs about the corners between pixels, as wide as an even diameter.
Every pixel of the second is in the first. Source of the operations: J. Serra, Image Analysis and Mathematical Morphology (1982).
"""
import numpy as np
from scipy import ndimage

from csv_table import DATA

RADII = [2, 3, 5]
DIAMETERS = [4, 10]


def blobs(height, width, labels, sigma, seed):
    """Smooth noise cut at its quantiles: nested regions, as tones are."""
    noise = ndimage.gaussian_filter(np.random.default_rng(seed).standard_normal((height, width)), sigma, mode="nearest")
    return np.digitize(noise, np.quantile(noise, np.arange(1, labels) / labels))


def specks(height, width, seed):
    """Two wide regions strewn with specks of one to four pixels of three other labels."""
    rng = np.random.default_rng(seed)
    plane = (np.add.outer(np.arange(height), np.arange(width)) > (height + width) / 2).astype(int)
    for _ in range(40):
        y, x = rng.integers(height), rng.integers(width)
        plane[y : y + rng.integers(1, 3), x : x + rng.integers(1, 3)] = rng.integers(2, 5)
    return plane


def stripes(height, width):
    """Slanting stripes of growing width, 1 to 12 px: some hold the disc, some do not."""
    edges = np.cumsum(np.arange(1, 13))
    across = np.add.outer(np.arange(height) // 3, np.arange(width))
    return np.searchsorted(edges, across % edges[-1], side="right") % 4


def frame(height, width):
    """A region one pixel deep along the top, two along the left, four along the foot, nine at the right."""
    plane = np.zeros((height, width), int)
    plane[:, -9:] = 4
    plane[-4:] = 3
    plane[:, :2] = 2
    plane[:1] = 1
    return plane


MAPS = {
    "blobs": blobs(48, 64, 5, 4.0, 20),
    "fine": blobs(40, 30, 8, 1.2, 21),
    "specks": specks(45, 60, 22),
    "stripes": stripes(40, 64),
    "frame": frame(30, 40),
    "noise": np.random.default_rng(23).integers(0, 3, (24, 31)),
    "single": np.zeros((12, 17), int),
    "column": np.repeat([0, 1, 0, 2], [1, 5, 9, 3])[:, None],
}


def disc(radius):
    y, x = np.mgrid[-radius : radius + 1, -radius : radius + 1]
    return x * x + y * y <= radius * radius


def squared_distance(plane):
    result = np.full(plane.shape, -1)
    if plane.min() == plane.max():
        return result
    y, x = np.indices(plane.shape)
    for label in np.unique(plane):
        inside = plane == label
        _, (v, u) = ndimage.distance_transform_edt(inside, return_indices=True)
        result[inside] = ((v - y) ** 2 + (u - x) ** 2)[inside]
    return result


def squared_distance_naive(plane):
    """The same by comparing every pair of pixels: a check of the check."""
    y, x = (k.ravel() for k in np.indices(plane.shape))
    label = plane.ravel()
    square = (y[:, None] - y) ** 2 + (x[:, None] - x) ** 2
    square = np.where(label[:, None] != label, square, np.iinfo(int).max)
    least = square.min(axis=1)
    return np.where(least == np.iinfo(int).max, -1, least).reshape(plane.shape)


def opened(plane, radius):
    pad = 3 * radius
    wide = np.pad(plane, pad, mode="edge")
    kept = np.zeros(wide.shape, bool)
    for label in np.unique(plane):
        kept |= ndimage.binary_opening(wide == label, disc(radius))
    return kept[pad:-pad, pad:-pad]


def opened_inside(plane, radius):
    kept = np.zeros(plane.shape, bool)
    for label in np.unique(plane):
        core = ndimage.binary_erosion(plane == label, disc(radius), border_value=1)
        kept |= ndimage.binary_dilation(core, disc(radius))
    return kept


def opened_about_corners(plane, diameter):
    """Discs of an even diameter, whose middles are the corners from the picture's upper left to its lower right."""
    half = diameter // 2
    side = np.arange(diameter) - half + 0.5
    shape = np.add.outer(side**2, side**2) <= (diameter / 2) ** 2
    pad, (height, width) = diameter + 2, plane.shape
    kept = np.zeros(plane.shape, bool)
    for label in np.unique(plane):
        wide = np.pad(plane == label, pad, constant_values=True)
        # SciPy puts an even disc's origin right below its middle: pixel (y, x) stands for the corner above and left of it.
        fits = ndimage.binary_erosion(wide, shape)
        within = np.zeros(wide.shape, bool)
        within[pad : pad + height + 1, pad : pad + width + 1] = True
        kept |= ndimage.binary_dilation(fits & within, shape)[pad:-pad, pad:-pad] & (plane == label)
    return kept


def save(name, plane, between):
    lines = [between.join(str(int(cell)) for cell in row) for row in plane]
    (DATA / name).write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def main():
    for name, plane in MAPS.items():
        assert 0 <= plane.min() and plane.max() <= 9
        distance = squared_distance(plane)
        assert (distance == squared_distance_naive(plane)).all(), name
        save(f"labels_{name}.txt", plane, "")
        save(f"distance_{name}.txt", distance, " ")
        shares = []
        for radius in RADII:
            outer, inner = opened(plane, radius), opened_inside(plane, radius)
            assert (outer | ~inner).all()
            save(f"opening_{name}_r{radius}.txt", outer, "")
            save(f"opening_inside_{name}_r{radius}.txt", inner, "")
            shares.append(f"r{radius} {outer.mean():.3f}/{inner.mean():.3f}")
        for diameter in DIAMETERS:
            save(f"opening_corner_{name}_d{diameter}.txt", opened_about_corners(plane, diameter), "")
        print(f"{name}: {plane.shape[1]} x {plane.shape[0]}, {len(np.unique(plane))} labels, kept (repeated/inside) {', '.join(shares)}")


if __name__ == "__main__":
    main()
