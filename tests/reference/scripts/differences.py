"""How far two small pictures in linear light lie apart: CIEDE2000 of every pixel, and figures of the whole and of each tone.

Libraries: scikit-image 0.26.0 (deltaE_ciede2000), colour-science 0.4.7 (XYZ_to_Lab, the primary matrix from the chromaticities of
ITU-R BT.709 and D65), numpy 2.4.6. Equations: CIE 142:2001, CIE 15:2018. The pictures are seeded: a wanted one, warm or neutral, and one that
is off by more and more from tone to tone.
"""
import warnings

warnings.simplefilter("ignore")
import colour
import numpy as np
from skimage.color import deltaE_ciede2000

from csv_table import write

MADE = "made by scripts/differences.py with scikit-image 0.26.0, colour-science 0.4.7, numpy 2.4.6"
WIDE, HIGH, PLAIN = 24, 16, 6.0


def lab(light):
    matrix = colour.models.normalised_primary_matrix(np.array([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]]), np.array([0.3127, 0.3290]))
    white = matrix @ np.ones(3)
    return colour.XYZ_to_Lab(light @ matrix.T, illuminant=colour.XYZ_to_xy(white))


def main():
    chance = np.random.default_rng(142)
    tones = np.add.outer(np.arange(HIGH) // 4, np.arange(WIDE) // 6) % 5
    tint = np.where((np.arange(WIDE) < 12)[None, :, None], [1.0, 0.9, 0.7], [1.0, 1.0, 1.0])
    wanted = (np.linspace(0.8, 0.03, 5)[tones][..., None] * tint).astype(np.float32)
    proof = np.clip(wanted + chance.normal(0, 1, wanted.shape) * wanted * (0.04 * tones[..., None]), 0, 1).astype(np.float32)
    apart = deltaE_ciede2000(lab(proof.astype(float)), lab(wanted.astype(float)))
    rows = [[x, y, int(tones[y, x]), *map(float, proof[y, x]), *map(float, wanted[y, x]), float(apart[y, x])] for y in range(HIGH) for x in range(WIDE)]
    about = "two pictures of 24 by 16 pixels in linear sRGB, the tone of each pixel, and CIEDE2000 between them"
    write("difference_pixels.csv", [about, MADE], ["x", "y", "tone", "r1", "g1", "b1", "r2", "g2", "b2", "dE00"], rows)
    means = [float(apart[tones == tone].mean()) for tone in range(5)]
    worst = int(np.argmax(means))
    row = [float(apart.mean()), float(apart.max()), float((apart > PLAIN).mean()), worst, means[worst]]
    write("difference_figures.csv", ["those pictures in figures: mean, largest, share over 6, tone farthest off on average and its mean", MADE],
          ["mean", "most", "over", "worst_tone", "worst_mean"], [row])


if __name__ == "__main__":
    main()
