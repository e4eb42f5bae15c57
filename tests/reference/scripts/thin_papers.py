"""Thin papers of two sides: what they show on grounds, alone and piled, what patches tell of them; and distances to outlines.

Libraries: numpy 2.4.6, scipy 1.17.1 (fsolve), opencv-python-headless 5.0.0 (pointPolygonTest).
Equations: P. Kubelka, J. Opt. Soc. Am. 44 (1954) 330-335, layers whose sides differ: R12 = R1 + T1^2 R2/(1 - R1' R2), T12 = T1 T2/(1 - R1' R2),
R12' = R2' + T2^2 R1'/(1 - R1' R2). A pile is put together into one layer first and laid on the sheet then, which a program that goes
from the sheet upwards does not. Papers by weight: the hyperbolic form of J. Opt. Soc. Am. 38 (1948) 448-457.
"""
import math

import cv2
import numpy as np
from scipy.optimize import fsolve

from csv_table import write

MADE = "made by scripts/thin_papers.py with numpy 2.4.6, scipy 1.17.1, opencv-python-headless 5.0.0"
WHITE, BLACK = 0.85, 0.03


def join(upper, lower):
    (r1, b1, t1), (r2, b2, t2) = upper, lower
    between = 1 - b1 * r2
    return r1 + t1 * t1 * r2 / between, b2 + t2 * t2 * b1 / between, t1 * t2 / between


def on(paper, ground):
    r, b, t = paper
    return r + t * t * ground / (1 - b * ground)


def turned(paper):
    r, b, t = paper
    return b, r, t


def paper(chance):
    good, back = chance.uniform(0.05, 0.65, 2)
    return float(good), float(back), float(chance.uniform(0.1, 0.95) * (1 - max(good, back)))


def patches(chance):
    rows = []
    while len(rows) < 40:
        of = paper(chance)
        white, black, back = on(of, WHITE), on(of, BLACK), on(turned(of), WHITE)

        def off(v):
            return [on(v, WHITE) - white, on(v, BLACK) - black, on(turned(v), WHITE) - back]

        found, _, ok, _ = fsolve(off, [0.3, 0.3, 0.3], full_output=True, xtol=1e-13)
        # Of its two signs of T the solver may find the other; papers for which it finds none are left out.
        if ok == 1 and np.allclose(np.abs(found), of, atol=1e-7) and max(white, back) < 0.95:
            rows.append([white, black, back, *map(float, np.abs(found))])
    write("thin_papers.csv", [f"a thin paper, good side on R {WHITE} and on R {BLACK}, other side on R {WHITE}; what its sides give back over black and what it lets through, solved for", MADE],
          ["on_white", "on_black", "back_on_white", "good", "back", "through"], rows)


def piles(chance):
    rows = []
    for count in (1, 2, 3, 4):
        for _ in range(6):
            papers = [paper(chance) for _ in range(count)]
            sides = chance.integers(0, 2, count)
            layers = [turned(p) if side else p for p, side in zip(papers, sides)]
            pile = layers[0]
            for lower in layers[1:]:
                pile = join(pile, lower)
            cells = [" ".join(repr(float(v)) for v in column) for column in zip(*papers)]
            rows.append([*cells, " ".join(map(str, sides)), float(on(pile, WHITE))])
    write("thin_piles.csv", [f"thin papers over one another on a sheet of R {WHITE}, the uppermost first: sides over black, transmittances, which are turned; R seen (Kubelka 1954)", MADE],
          ["good", "back", "through", "turned", "R"], rows)


def weights(chance):
    rows = []
    for pad in (0.3, 0.6, 0.8, 0.88):
        for grams in (8, 18, 30, 60, 120):
            s = 30 * grams / 1000
            a = 0.5 * (1 / pad + pad)
            b = math.sqrt(a * a - 1)
            z = b * s
            rows.append([pad, grams, 1 / (a + b / math.tanh(z)), b / (a * math.sinh(z) + b * math.cosh(z))])
    write("thin_weights.csv", ["a paper by the R of a thick pad and its weight, g a m2, scattering 30 m2/kg: R over black and T (Kubelka 1948)", MADE],
          ["pad", "grams", "R0", "T"], rows)


def distances(chance):
    rows = []
    for number in range(6):
        count = int(chance.integers(3, 9))
        turn = np.sort(chance.uniform(0, 2 * np.pi, count))
        outline = (np.stack([np.cos(turn), np.sin(turn)], 1) * chance.uniform(3, 14, (count, 1)) + 15).astype(np.float32)
        cells = " ".join(f"{float(x)!r} {float(y)!r}" for x, y in outline)
        for _ in range(60):
            # Middles of pixels at 4 px/mm.
            x, y = (chance.integers(0, 120, 2) + 0.5) / 4
            rows.append([number, cells, float(x), float(y), float(cv2.pointPolygonTest(outline.reshape(-1, 1, 2), (float(x), float(y)), True))])
    write("outline_distances.csv", ["outlines in mm and signed distances of places to them, more than 0 inside (OpenCV pointPolygonTest)", MADE],
          ["outline", "points", "x", "y", "inside_mm"], rows)


def main():
    chance = np.random.default_rng(1954)
    patches(chance)
    piles(chance)
    weights(chance)
    distances(chance)


if __name__ == "__main__":
    main()
