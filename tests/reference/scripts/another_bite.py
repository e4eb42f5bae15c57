"""What another bite gives and what a slip does, worked out again with other people's libraries.

Libraries: scipy 1.17.1 (stats.norm, interpolate.PchipInterpolator, optimize.brentq), numpy 2.4.6, scikit-image 0.26.0 (color.rgb2lab),
opencv 5.0.0 (GaussianBlur); the judge of clean-up beside this file, paintability.py.
fusing.csv:  norm.cdf((3 - gap) / (sigma sqrt 2)).
seen.csv:    two drawings of the demo as they are, cut at even thresholds between L* 90 and 12, printed at even L* from 91 to 21.5;
             how far the print is from the drawing laid on that range, both blurred in linear light at 0.7 mm; the shares of the face that
             differ by more than 1 L*, or come nearer or go farther by more, against one tone fewer; and the judge's own figure.
what_if.csv: e seconds added to the totals of tone j and all darker ones; the ladder of pchip_ladders.py.
"""
import cv2
import numpy as np
from pathlib import Path
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from scipy.stats import norm

import paintability
from csv_table import write
from pchip_ladders import ladder, to_seconds, to_x
from strips import rising

MADE = "made by scripts/another_bite.py with scipy 1.17.1, numpy 2.4.6, scikit-image 0.26.0, opencv 5.0.0"
DEMO = Path(__file__).resolve().parents[2] / "demo"
MELTS_MM, NOTICED = 0.7, 1.0
ENDS, PRINT = (90.0, 12.0), (91.0, 21.5)
PX_PER_MM = {"gantry": 12.0, "slipway": 9.0}


def fusing():
    rows = [[sigma, gap, float(norm.cdf((3 - gap) / (sigma * np.sqrt(2))))]
            for sigma in (0.1, 0.5, 1.5, 2.5, 10.0) for gap in (0.0, 1.0, 2.9, 3.0, 3.4, 4.6364, 5.1, 5.6667, 6.375, 8.0, 20.0, 69.5)]
    write("fusing.csv", ["chance that two tones `gap` L* apart print less than 3 L* apart, each scattered by sigma",
                         "source: the normal law; scipy.stats.norm.cdf", MADE], ["sigma", "gap", "chance"], rows)


def light(lightness):
    return np.where(lightness > 8, ((lightness + 16) / 116) ** 3, lightness * 27 / 24389)


def lightness(y):
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, y * 24389 / 27)


def seen():
    rows = []
    for name, px_per_mm in PX_PER_MM.items():
        drawing = paintability.lightness(DEMO / f"{name}.png").astype(np.float64)
        blur = lambda plane: cv2.GaussianBlur(plane, (0, 0), MELTS_MM * px_per_mm)
        share = np.clip((ENDS[0] - drawing) / (ENDS[0] - ENDS[1]), 0, 1)
        drawn = lightness(blur(light(PRINT[0] + (PRINT[1] - PRINT[0]) * share)))
        before = None
        for tones in (2, 3, 6, 9, 10, 16):
            def printed(n):
                steps = np.clip(np.floor(share * (n - 1) + 0.5), 0, n - 1).astype(int)
                return steps, lightness(blur(light(PRINT[0] + (PRINT[1] - PRINT[0]) * steps / (n - 1))))
            steps, now = printed(tones)
            before = printed(tones - 1)[1] if tones > 2 else now
            gain = np.abs(before - drawn) - np.abs(now - drawn)
            judged = paintability.measure_steps(steps, drawing.astype(np.float32), 1 / px_per_mm, 1.0)["rms"]
            rows.append([name, px_per_mm, tones, float(np.sqrt(((now - drawn) ** 2).mean())), float((np.abs(now - before) > NOTICED).mean()),
                         float((gain > NOTICED).mean()), float((gain < -NOTICED).mean()), judged])
    write("seen.csv", ["a print of even tones against its drawing, as seen: columns as the script's head says",
                       "source: CIE 15:2018, 8.2.1; OpenCV GaussianBlur; paintability.py", MADE],
          ["picture", "px_per_mm", "tones", "error_l", "changed", "nearer", "farther", "judged_l"], rows)


def what_if():
    rows = []
    for name in ("14-b", "15-a"):
        seconds, values = rising(name)
        x = to_x(seconds)
        curve = PchipInterpolator(x, values)
        at = lambda t: float(curve(to_x(min(max(t, 0.0), seconds[-1]))))
        back = lambda l: to_seconds(brentq(lambda u: float(curve(u)) - l, x[0], x[-1], xtol=1e-12, rtol=1e-15))
        for tones in (6, 10):
            _, totals = ladder(name, tones)
            for bite in range(1, tones):
                for off in (-4.0, 3.0, 20.0, 75.0):
                    ended = totals[bite] + off
                    moved = [at(total + off) for total in totals[bite:]]
                    respaced = []
                    if off > 0 and bite < tones - 1 and ended < totals[-1]:
                        rungs = np.linspace(at(ended), at(totals[-1]), tones - bite)
                        ends = [ended] + [back(l) for l in rungs[1:-1]] + [totals[-1]]
                        respaced = [float(d) for d in np.diff(ends)]
                    rows.append([name, tones, bite, off, " ".join(map(repr, moved)), " ".join(map(repr, respaced))])
    write("what_if.csv", ["what a bite that is off does: L* of tone j and all darker ones; bites when the rest is spaced evenly anew (none where it can't be)",
                          "source: SciPy PchipInterpolator, brentq", MADE], ["strip", "tones", "bite", "off_s", "lightness", "respaced_s"], rows)


if __name__ == "__main__":
    fusing()
    seen()
    what_if()
