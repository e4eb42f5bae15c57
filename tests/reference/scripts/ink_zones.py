"""Inks that run into each other: how much of which ink lies at places of a plate with zones.

Libraries: numpy 2.4.6, scipy 1.17.1 (distance_transform_edt), scikit-image 0.26.0 (draw.polygon2mask). The face is drawn at 20 px/mm. An ink's strength is
smoothstep(1/2 + d/w), d the signed distance to the edge of all the ground it has, w the width of a border; of the two strongest the shares add to 1.
Places where a third ink is as strong as a hundredth are left out: how those are shared is for the program to say.
"""
import numpy as np
from scipy.ndimage import distance_transform_edt
from skimage.draw import polygon2mask

from csv_table import write

MADE = "made by scripts/ink_zones.py with numpy 2.4.6, scipy 1.17.1, scikit-image 0.26.0"
WIDE, HIGH, FINE = 120.0, 90.0, 20

ZONES = [
    (1, [(10, 12), (70, 8), (64, 50), (20, 60)]),
    (2, [(60, 30), (112, 20), (105, 80), (50, 84)]),
    (1, [(76, 40), (94, 40), (94, 62), (76, 62)]),
    (3, [(-5, 60), (22, 58), (30, 95), (-5, 95)]),
]


def main():
    shape = (int(HIGH * FINE), int(WIDE * FINE))
    ink = np.zeros(shape, int)
    for number, outline in ZONES:
        # Places as rows and columns, a pixel's middle at a whole number.
        corners = np.array([(y * FINE - 0.5, x * FINE - 0.5) for x, y in outline])
        ink[polygon2mask(shape, corners)] = number
    chance = np.random.default_rng(7)
    rows = []
    for border in (5.0, 7.0, 10.0):
        strength = []
        for number in range(4):
            own = ink == number
            inside = np.where(own, distance_transform_edt(own) - 0.5, 0.5 - distance_transform_edt(~own)) / FINE
            t = np.clip(0.5 + inside / border, 0, 1)
            strength.append(t * t * (3 - 2 * t))
        strength = np.array(strength)
        taken = 0
        while taken < 150:
            y, x = chance.integers(0, shape[0]), chance.integers(0, shape[1])
            here = strength[:, y, x]
            order = np.argsort(-here, kind="stable")
            # Pure ink tells little: two places in three are on borders.
            if here[order[2]] > 0.01 or (here[order[1]] < 0.01 and taken % 3):
                continue
            pair = here[order[0]] + here[order[1]]
            shares = np.zeros(4)
            shares[order[:2]] = here[order[:2]] / pair
            rows.append([border, (x + 0.5) / FINE, (y + 0.5) / FINE, *map(float, shares)])
            taken += 1
    write("ink_zones.csv", ["shares of four inks at places of a face of 120 by 90 mm with zones, by the width of their borders, mm; zones: "
                            + "; ".join(f"ink {number} in " + " ".join(f"{x},{y}" for x, y in outline) for number, outline in ZONES), MADE],
          ["border_mm", "x", "y", "ink0", "ink1", "ink2", "ink3"], rows)


if __name__ == "__main__":
    main()
