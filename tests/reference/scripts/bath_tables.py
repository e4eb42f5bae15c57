"""Tables for the bath: rates at other temperatures, totals spaced geometrically, and what a witness says of the demo's strip.

Sources: the Arrhenius equation with CODATA 2018's gas constant (scipy.constants); numpy.geomspace; scipy PchipInterpolator, brentq and
norm.ppf. Run without arguments; writes ../data/bath_rates.csv, ../data/strip_totals.csv and ../data/witness.csv.
"""

from pathlib import Path

import numpy as np
import scipy
from scipy.constants import R, zero_Celsius
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from scipy.stats import norm

DATA = Path(__file__).parent.parent / "data"
MADE = f"# made by scripts/bath_tables.py with scipy {scipy.__version__}, numpy {np.__version__}\n"


def write(name, head, columns, rows):
    lines = [f"# {line}\n" for line in head] + [MADE, columns + "\n"]
    lines += [",".join(repr(float(cell)) if not isinstance(cell, int) else str(cell) for cell in row) + "\n" for row in rows]
    (DATA / name).write_text("".join(lines))


rates = []
for kj in (16.3, 20.3, 32.6, 41.43, 50.0):
    for strip, today in ((20, 10), (20, 15), (20, 18), (20, 22), (20, 25), (20, 30), (21, 17), (17, 21), (19, 4.5)):
        factor = np.exp(kj * 1000 / R * (1 / (today + zero_Celsius) - 1 / (strip + zero_Celsius)))
        rates.append((kj, float(strip), float(today), factor))
write("bath_rates.csv", ["times of a bath at another temperature, over those on the strip's day: exp(Ea/R (1/T_today - 1/T_strip))",
                         "source: the Arrhenius equation; R of CODATA 2018 and the ice point by scipy.constants"],
      "kj_per_mol,strip_c,today_c,time_factor", rates)

totals = []
for first, last, count in ((10, 900, 8), (15, 960, 7), (5, 640, 9), (3, 1020, 14), (60, 780, 4), (1, 86400, 20), (2, 30, 2)):
    for index, total in enumerate(np.geomspace(first, last, count)):
        totals.append((float(first), float(last), count, index, total))
write("strip_totals.csv", ["totals of a strip's bands, spaced geometrically", "source: numpy.geomspace; the spans are published bite times and ends of the range"],
      "first_s,last_s,bands,index,total_s", totals)

STRIP = ((0, 91.0), (5, 86.0), (10, 80.5), (20, 72.0), (40, 61.0), (80, 48.5), (160, 36.5), (320, 27.0), (640, 20.5))
x = np.log1p(np.array([t for t, _ in STRIP]) / 5)
curve = PchipInterpolator(x, [l for _, l in STRIP])


def time_of(lightness):
    return 5 * np.expm1(brentq(lambda at: curve(at) - lightness, x[0], x[-1], xtol=1e-14))


reach = norm.ppf(0.9)
witness = []
for seconds, lightness in ((80, 48.5), (100, 48.5), (60, 60.0), (60, 50.0), (30, 72.0), (300, 25.0), (15, 80.0), (240, 36.5)):
    low, high = (seconds / time_of(lightness + error) for error in (-reach, reach))
    witness.append((float(seconds), lightness, seconds / time_of(lightness), low, high))
write("witness.csv", ["a witness of so many seconds at an L* beside strip 15-A, read within 1 L* (standard deviation): ratio of the times, and where it lies at 10 and 90 %",
                      "source: scipy.interpolate.PchipInterpolator over ln(1 + t/5 s), scipy.optimize.brentq, scipy.stats.norm.ppf; the strip is invented for the demo"],
      "seconds,lightness,ratio,low,high", witness)
