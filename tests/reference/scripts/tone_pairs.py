"""Tones of two plates over one another: their colours in both orders, and how much of the face each pairing takes.

Libraries: numpy 2.4.6. Sources: films on a ground P. Kubelka, J. Opt. Soc. Am. 38 (1948) 448-457; weights Demichel 1924, Neugebauer 1937, the power
1/n Viggiano 1985; a later film is `trap` times as thick where the earlier plate has a pit (Preucil 1958). Areas: each map is a sum of rectangles, so
the area of a pairing is a sum of products of overlaps along the two axes, a matrix product each; with a turn by points, 40 a mm.
"""
import math

import numpy as np

from csv_table import write

MADE = "made by scripts/tone_pairs.py with numpy 2.4.6"
FACE = (12.0, 9.0)


def over(k, s, x, ground):
    k, s = k * x, s * x
    if k == 0 and s == 0:
        return ground
    if s == 0:
        return ground * math.exp(-2 * k)
    a = (s + k) / s
    b = math.sqrt(a * a - 1)
    coth = 1 / math.tanh(b * s)
    return (1 - ground * (a - b * coth)) / (a - ground + b * coth)


def mean(lower, upper, trap, n, ground):
    """Each of (lands, thickness, K, S)."""
    (c1, x1, k1, s1), (c2, x2, k2, s2) = lower, upper
    first = over(k1, s1, x1, ground)
    primaries = [(c1 * c2, ground), ((1 - c1) * c2, first), (c1 * (1 - c2), over(k2, s2, x2, ground)), ((1 - c1) * (1 - c2), over(k2, s2, x2 * trap, first))]
    return sum(weight * light ** (1 / n) for weight, light in primaries) ** n


def colours():
    chance = np.random.default_rng(1937)
    rows = []
    for _ in range(40):
        one = [float(v) for v in (chance.uniform(0, 1), chance.uniform(0.1, 1.2), chance.uniform(0.05, 2.5), chance.choice([0.0, 0.3, 1.5]))]
        two = [float(v) for v in (chance.uniform(0, 1), chance.uniform(0.1, 1.2), chance.uniform(0.05, 2.5), chance.choice([0.0, 0.3, 1.5]))]
        trap, n, ground = (float(v) for v in (chance.uniform(0.5, 1), chance.uniform(1, 2.2), chance.uniform(0.5, 0.92)))
        rows.append([*one, *two, trap, n, ground, float(mean(one, two, trap, n, ground)), float(mean(two, one, trap, n, ground))])
    write("tone_pairs.csv", ["two tones of lands c, film x of an ink K, S over one another, trap, n, ground: R of the first beneath the second, and turned round", MADE],
          ["c1", "x1", "K1", "S1", "c2", "x2", "K2", "S2", "trap", "n", "ground", "R", "R_turned"], rows)


def place(count, resolution, middle, growth, shift):
    """Edges of a map's columns on the face."""
    return (np.arange(count + 1) / resolution - middle) * growth + middle + shift


def overlaps(one, other, length):
    low = np.maximum(np.maximum.outer(one[:-1], other[:-1]), 0)
    high = np.minimum(np.minimum.outer(one[1:], other[1:]), length)
    return np.maximum(high - low, 0)


def areas():
    chance = np.random.default_rng(24)
    rows = []
    cases = [(10, 10, 0, 0, 0, 0, 0), (10, 10, 0.5, -0.3, 0, 0, 0), (10, 8, 1.37, 0.2, 0.01, -0.004, 0), (6, 10, -0.8, 1.1, -0.02, 0.015, 0), (10, 10, 0.4, 0.1, 0.003, 0.0, 1.5)]
    for number, (fine1, fine2, dx, dy, gx, gy, turn) in enumerate(cases):
        maps = []
        for fine in (fine1, fine2):
            shape = (round(FACE[1] * fine), round(FACE[0] * fine))
            coarse = chance.integers(0, 4, (6, 8))
            rows_of = np.arange(shape[0]) * 6 // shape[0]
            columns_of = np.arange(shape[1]) * 8 // shape[1]
            maps.append(coarse[np.ix_(rows_of, columns_of)])
        one, two = maps
        middle = (FACE[0] / 2, FACE[1] / 2)
        if turn:
            fine = 40
            x, y = np.meshgrid((np.arange(FACE[0] * fine) + 0.5) / fine, (np.arange(FACE[1] * fine) + 0.5) / fine)
            u, v = x - middle[0] - dx, y - middle[1] - dy
            a = math.radians(turn)
            # Turned after it was scaled: back by the turn first. Clockwise, y down.
            u, v = (math.cos(a) * u + math.sin(a) * v) / (1 + gx) + middle[0], (-math.sin(a) * u + math.cos(a) * v) / (1 + gy) + middle[1]
            on = (u >= 0) & (u < FACE[0]) & (v >= 0) & (v < FACE[1])
            at1 = one[(y * fine1).astype(int), (x * fine1).astype(int)]
            at2 = two[np.clip((v * fine2).astype(int), 0, two.shape[0] - 1), np.clip((u * fine2).astype(int), 0, two.shape[1] - 1)]
            found = np.array([[((at1 == i) & (at2 == j) & on).mean() for j in range(4)] for i in range(4)])
        else:
            across = overlaps(place(one.shape[1], fine1, middle[0], 1, 0), place(two.shape[1], fine2, middle[0], 1 + gx, dx), FACE[0])
            down = overlaps(place(one.shape[0], fine1, middle[1], 1, 0), place(two.shape[0], fine2, middle[1], 1 + gy, dy), FACE[1])
            found = np.array([[(down * ((one == i) @ across @ (two == j).T.astype(float))).sum() for j in range(4)] for i in range(4)]) / (FACE[0] * FACE[1])
        text = ["".join(map(str, m[:: m.shape[0] // 6, :: m.shape[1] // 8].ravel())) for m in maps]
        rows.append([number, *text, fine1, fine2, float(dx), float(dy), float(gx), float(gy), float(turn), " ".join(repr(float(v)) for v in found.ravel())])
    write("tone_pair_areas.csv", [f"two maps of 8 by 6 patches in four tones on a face of {FACE[0]} by {FACE[1]} mm, row after row, their pixels a mm, how the second came down; share of the face of each pairing", MADE],
          ["case", "first", "second", "fine1", "fine2", "dx", "dy", "growth_x", "growth_y", "turn", "shares"], rows)


if __name__ == "__main__":
    colours()
    areas()
