"""Facing edges of the four demo drawings (tests/demo), measured in the drawings themselves by Pillow and NumPy: mean difference of
lightness by height, with the best slip, over every order of the four.

    python plate_edges.py > ../data/plate_edges.csv

Each drawing is brought to L* (IEC 61966-2-1, CIE 15:2018), its ends (99.5th and 0.5th percentile of Y) laid on 91.0 and 21.5, and cut to the
nearest of ten even steps between them: the ladder of the example strip 15-A. No clean-up: a brush's regions differ a little. A column of
3 to 5 mm from each edge is averaged in linear light in steps of half a millimetre.
"""

import itertools
import pathlib

import numpy as np
from PIL import Image

DEMO = pathlib.Path(__file__).parents[2] / "demo"
NAMES = {"A": "slipway", "B": "ice-house", "C": "breakwater", "D": "gantry"}
PX = 12  # pixels a millimetre, by the demo's README
LADDER = np.linspace(91.0, 21.5, 10)


def lightness(y):
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, y * 24389 / 27)


def luminance(light):
    f = (light + 16) / 116
    return np.where(light > 8, f**3, light * 27 / 24389)


def edges(name):
    rgb = np.asarray(Image.open(DEMO / f"{name}.png").convert("RGB")) / 255.0
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    y = linear @ np.array([0.2126, 0.7152, 0.0722])
    black, paper = lightness(np.quantile(y, [0.005, 0.995]))
    share = np.clip((paper - lightness(y)) / (paper - black), 0, 1)
    tones = np.rint(share * 9).astype(int)
    light = luminance(LADDER)[tones]
    step = PX // 2
    found = {}
    for side, columns in (("left", slice(3 * PX, 5 * PX)), ("right", slice(-5 * PX, -3 * PX))):
        rows = light[:, columns].mean(axis=1)
        found[side] = lightness(rows[: len(rows) // step * step].reshape(-1, step).mean(axis=1))
    return found


def apart(left, right):
    """The least mean difference with the right plate up to 1.5 mm lower or higher."""
    best = np.inf
    for slip in range(-3, 4):
        a, b = (left[slip:], right[: len(right) - slip]) if slip >= 0 else (left[:slip], right[-slip:])
        best = min(best, np.abs(a - b).mean())
    return best


def main():
    plates = {letter: edges(name) for letter, name in NAMES.items()}
    print("# Mean differences of lightness at the joints of the four demo drawings, right edge of the first beside the left edge of the second,")
    print("# and the sums of all rows that turn no plate. By plate_edges.py: Pillow, NumPy.")
    print("what,lightness")
    pairs = {}
    for left, right in itertools.permutations(plates, 2):
        pairs[left + right] = apart(plates[left]["right"], plates[right]["left"])
        print(f"{left}|{right},{pairs[left + right]:.3f}")
    rows = {"".join(order): sum(pairs[a + b] for a, b in itertools.pairwise(order)) for order in itertools.permutations(plates)}
    for order, total in sorted(rows.items(), key=lambda row: row[1]):
        print(f"{order},{total:.3f}")


main()
