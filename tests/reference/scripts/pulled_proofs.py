"""Proofs with known faults: what the split of a proof's difference into wiping, bite and ink is held to.

Strips of many shapes (a saturating curve with noise), their curve by SciPy's PCHIP over ln(1 + t/5 s), a ladder of 5 to 12 tones, and a proof of it with none, one or two
faults of a size that can be seen (2 to 12 L* over the tones in the root of the mean square):

  wiping  a density added everywhere, or taken away
  rate    every total times e^rho
  ink     the film's density in the pits scaled; lands and pits are mixed by Yule and Nielsen (n 1.8) with lands and film told from the tone's own lightness by a Boolean grain, so
          it is NOT exactly the plain scaling of the tone's density that the split takes it for

Readings get the scatter of a reading (0.4 to 1 L*), the reference paper an error (0.5 L*), a camera's contrast an error (1.5 %), the clock one (1 %). All sizes are estimates of ours.

    python pulled_proofs.py              writes ../data/pulled_proofs.csv: 240 cases from seed 20, which nothing was tuned on
    python pulled_proofs.py FILE SEED N  others
    python pulled_proofs.py photos [DIR COUNT SEED]
                                         photographs of such proofs: ../../fixtures/pulled (three, one drawing) and ../data/pulled_photos.csv, or COUNT into DIR

A photographed proof is 96 x 80 mm with a bevel of 2 mm, ten tones of the worked example strip 15-A between hand-painted edges (they wander by 0.3 mm), grained, on a sheet with a
texture, seen by a pinhole camera with a lamp whose light falls off, its colour, blur, noise and JPEG. All in linear light, then sRGB.
photos.csv: name, causes, then the corners of the printed picture (8), then the ten true L*, then the paper's. drawing.png: ten greys, 5 px/mm of the face.
"""
import csv
import pathlib
import sys

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

HERE = pathlib.Path(__file__).resolve().parent.parent
N = 1.8


def y_of(l):
    l = np.asarray(l, float)
    return np.where(l > 8, ((l + 16) / 116) ** 3, l / 903.2962962962963)


def l_of(y):
    y = np.asarray(y, float)
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, 903.2962962962963 * y)


def strip(rng):
    """Totals and L* that fall from band to band."""
    while True:
        paper, dark = rng.uniform(86, 95), rng.uniform(16, 32)
        tau, beta = rng.uniform(15, 160), rng.uniform(.65, 1.1)
        first, last = rng.uniform(3, 8), rng.uniform(360, 1500)
        t = np.concatenate([[0], np.round(np.geomspace(first, last, rng.integers(7, 12)), 1)])
        z = (t / tau) ** beta
        l = paper - (paper - dark + 8) * z / (1 + z) + np.where(t > 0, rng.normal(0, .5, len(t)), 0)
        l = np.round(l, 2)
        if np.all(np.diff(l) < -.3) and l[-1] > 8:
            return t, l


def inked(y, paper, scale):
    """The tone y with the film in its pits scaled: lands c of a Boolean grain that goes with a film x = -ln(c)-like thickness, by Yule and Nielsen."""
    root = lambda v: v ** (1 / N)
    # Lands by the tone's place between paper and a full pit of L* 14; the pit's own density from what is left.
    c = np.clip((root(y) - root(y_of(14.))) / (root(paper) - root(y_of(14.))), 0, 1) ** 1.35
    pit = np.maximum(root(y) - c * root(paper), 1e-4) / np.maximum(1 - c, 1e-6)
    pit = np.where(c > .9999, root(paper), pit) ** N
    pit = paper * (pit / paper) ** scale
    return (c * root(paper) + (1 - c) * root(pit)) ** N


def printed(curve, end, totals, paper_y, w, rho, s):
    t = totals * np.exp(rho)
    y = y_of(curve(np.log1p(np.minimum(t, end) / 5)))
    # Beyond the strip's end it darkens on as the last part of the strip did.
    slope = (curve(np.log1p(end / 5)) - curve(np.log1p(.8 * end / 5))) / np.log(1 / .8)
    y = np.where(t > end, y_of(np.maximum(l_of(y) + slope * np.log(np.maximum(t, end) / end), 2)), y)
    return inked(y, paper_y, np.exp(s)) * 10 ** -w


def case(rng, kinds):
    while True:
        t, l = strip(rng)
        curve = PchipInterpolator(np.log1p(t / 5), l)
        end = t[-1]
        count = int(rng.integers(5, 13))
        targets = np.linspace(l[0], l[-1] + 1, count)
        totals = np.array([0] + [5 * np.expm1(brentq(lambda x, a=a: curve(x) - a, 0, np.log1p(end / 5))) for a in targets[1:]])
        paper_y = y_of(l[0])
        planned = l_of(printed(curve, end, totals, paper_y, 0, 0, 0))
        sizes = dict(
            wiping=rng.choice([-1, 1], p=[.25, .75]) * rng.uniform(.02, .14),
            rate=rng.choice([-1, 1]) * rng.uniform(.1, .6),
            ink=rng.choice([-1, 1]) * rng.uniform(.08, .4))
        faults = {k: sizes[k] if k in kinds else 0. for k in sizes}
        order = ("wiping", "rate", "ink")
        alone = {k: np.sqrt(np.mean((l_of(printed(curve, end, totals, paper_y, *[faults[i] if i == k else 0 for i in order])) - planned) ** 2)) for k in kinds}
        if all(2 <= v <= 12 for v in alone.values()):
            break
    paper_error, contrast, clock = rng.normal(0, .5), rng.normal(0, .015), rng.normal(0, .01)
    y = printed(curve, end, totals * np.exp(clock), paper_y, faults["wiping"], faults["rate"], faults["ink"])
    slope = float(y_of(l[0] + paper_error) / paper_y)
    y = paper_y * (y / paper_y) ** (1 + contrast) * slope
    sigma = rng.uniform(.4, 1)
    read = np.clip(l_of(np.clip(y, 0, 1)) + rng.normal(0, sigma, count), 0, 100)
    return t, l, totals, read, sigma, faults, alone


STRIP = ([0, 5, 10, 20, 40, 80, 160, 320, 640], [91, 86, 80.5, 72, 61, 48.5, 36.5, 27, 20.5])
TONES = 10
MASK, PX = 5, 12


def smooth(rng, shape, px):
    import cv2
    s = max(1, int(px / 4))
    small = cv2.GaussianBlur(rng.standard_normal((shape[0] // s + 24, shape[1] // s + 24)).astype(np.float32), (0, 0), px / s)
    field = cv2.resize(small[10:10 + shape[0] // s + 2, 10:10 + shape[1] // s + 2], (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return (field - field.mean()) / field.std()


def tone_map(rng, w, h):
    """Ten tones in hills and valleys, and a bar across them."""
    import cv2
    field = smooth(rng, (h * MASK, w * MASK), rng.uniform(10, 14) * MASK)
    tones = np.searchsorted(np.quantile(field, np.linspace(0, 1, TONES + 1)[1:-1]), field).astype(np.uint8)
    cv2.rectangle(tones, (int(.08 * w * MASK), int(.7 * h * MASK)), (int(.5 * w * MASK), int(.82 * h * MASK)), 8, -1)
    return tones


def encoded(y):
    y = np.clip(y, 0, 1)
    return 255 * np.where(y <= .0031308, 12.92 * y, 1.055 * np.power(y, 1 / 2.4) - .055)


def photograph(rng, tones, levels, paper_l, frame=(1600, 1200)):
    """The photograph and the corners of the printed picture in it."""
    import cv2
    fh, fw = tones.shape[0] * PX // MASK, tones.shape[1] * PX // MASK
    yy, xx = np.mgrid[0:fh, 0:fw].astype(np.float32)
    shift = [.3 * PX * smooth(rng, (fh, fw), 4 * PX) for _ in range(2)]
    big = cv2.resize(tones, (fw, fh), interpolation=cv2.INTER_NEAREST)
    hand = cv2.remap(big, xx + shift[0], yy + shift[1], cv2.INTER_NEAREST, borderMode=cv2.BORDER_REPLICATE)
    y = y_of(np.array(levels))[hand]
    # Grain: more of it in the mid-tones; its mean is none.
    grain = cv2.GaussianBlur(rng.standard_normal((fh, fw)).astype(np.float32), (0, 0), .7)
    y = y * (1 + .5 * grain * np.sqrt(np.clip(y * (1 - y), 0, 1)))
    margin, bevel = int(26 * PX), 2 * PX
    sheet = np.full((fh + 2 * margin, fw + 2 * margin), float(y_of(paper_l)))
    # The plate mark: pressed smooth within, a faint line of ink on the bevel.
    mark = margin - bevel
    cv2.rectangle(sheet, (mark, mark), (sheet.shape[1] - mark, sheet.shape[0] - mark), float(y_of(paper_l) * .93), 3)
    sheet[margin:margin + fh, margin:margin + fw] = y
    sheet *= 1 + .012 * smooth(rng, sheet.shape, .5 * PX)
    sh, sw = sheet.shape
    w, h = frame
    turn, zoom = rng.uniform(-.06, .06), .93 * min(w / sw, h / sh)
    base = np.array([[-sw / 2, -sh / 2], [sw / 2, -sh / 2], [sw / 2, sh / 2], [-sw / 2, sh / 2]]) * zoom
    rot = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    to = base @ rot.T + [w / 2, h / 2] + rng.uniform(-.015, .015, (4, 2)) * w
    m = cv2.getPerspectiveTransform(np.float32([[0, 0], [sw, 0], [sw, sh], [0, sh]]), np.float32(to))
    scale = 2
    seen = cv2.warpPerspective(sheet.astype(np.float32), np.diag([scale, scale, 1.]) @ m, (w * scale, h * scale), flags=cv2.INTER_AREA, borderValue=-1)
    seen = np.where(seen < 0, rng.uniform(.03, .12), seen)
    seen = cv2.resize(seen, frame, interpolation=cv2.INTER_AREA)
    lamp = rng.uniform(-.6, 1.6, 2) * frame
    gy, gx = np.mgrid[0:h, 0:w]
    far = 1 + ((gx - lamp[0]) ** 2 + (gy - lamp[1]) ** 2) / (rng.uniform(1.6, 2.6) * w) ** 2
    light = 1 / far ** 1.5
    light *= rng.uniform(.72, .92) / light.max() / float(y_of(paper_l))
    colour = np.array([1, rng.uniform(.93, 1), rng.uniform(.75, .98)])
    rgb = cv2.GaussianBlur((seen * light)[..., None] * colour, (0, 0), rng.uniform(.5, 1))
    rgb = rgb + rng.standard_normal(rgb.shape) * np.sqrt(2e-5 + 1.2e-4 * rgb)
    inner = np.float32([[[margin, margin], [margin + fw, margin], [margin + fw, margin + fh], [margin, margin + fh]]])
    return encoded(rgb).round().astype(np.uint8), cv2.perspectiveTransform(inner, m)[0]


def photos(argv):
    import cv2
    ours = not argv
    folder = HERE.parent / "fixtures" / "pulled" if ours else pathlib.Path(argv[0])
    count, seed = (3, 7) if ours else (int(argv[1]), int(argv[2]))
    folder.mkdir(parents=True, exist_ok=True)
    t, l = np.array(STRIP[0], float), np.array(STRIP[1], float)
    curve = PchipInterpolator(np.log1p(t / 5), l)
    targets = np.linspace(91, 21.5, TONES)
    totals = np.array([0] + [5 * np.expm1(brentq(lambda x, a=a: curve(x) - a, 0, np.log1p(640 / 5))) for a in targets[1:]])
    faults = [("dirty", "wiping", (.08, 0, 0)), ("slow", "rate", (0, -.4, 0)), ("weak", "ink", (0, 0, -.3)), ("plain", "none", (0, 0, 0)),
              ("slow-dirty", "rate+wiping", (.06, -.4, 0)), ("fast", "rate", (0, .35, 0)), ("clean", "wiping", (-.05, 0, 0))]
    rows = []
    rng = np.random.default_rng(seed)
    tones = tone_map(rng, 92, 76)
    for i in range(count):
        name, causes, fault = faults[i % len(faults)]
        if not ours:
            name, tones = f"{name}-{i}", tone_map(rng, 92, 76)
        if not ours or i == 0:
            grey = encoded(y_of(np.linspace(98, 6, TONES)))[tones].round().astype(np.uint8)
            cv2.imwrite(str(folder / (f"{name}.png" if not ours else "drawing.png")), grey)
        levels = l_of(printed(curve, 640, totals, y_of(91), *fault))
        paper = 93.
        rgb, corners = photograph(rng, tones, levels, paper)
        cv2.imwrite(str(folder / f"{name}.jpg"), rgb[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 82])
        rows.append([name, causes, *(f"{v:.2f}" for v in corners.ravel()), *(f"{v:.2f}" for v in levels), paper])
    with open(HERE / "data" / "pulled_photos.csv" if ours else folder / "photos.csv", "w", newline="") as out:
        out.write("# Photographs of proofs, by scripts/pulled_proofs.py (NumPy, SciPy, OpenCV).\n")
        table = csv.writer(out, lineterminator="\n")
        table.writerow(["name", "causes", *(f"c{i}" for i in range(8)), *(f"tone_{k}" for k in range(TONES)), "paper"])
        table.writerows(rows)


def main():
    if len(sys.argv) > 1 and sys.argv[1] == "photos":
        return photos(sys.argv[2:])
    file, seed, n = (sys.argv[1], int(sys.argv[2]), int(sys.argv[3])) if len(sys.argv) > 3 else (HERE / "data" / "pulled_proofs.csv", 20, 240)
    rng = np.random.default_rng(seed)
    sets = [(), ("wiping",), ("rate",), ("ink",), ("wiping", "rate"), ("wiping", "ink"), ("rate", "ink")]
    weights = np.array([.1, .2, .2, .2, .1, .1, .1])
    with open(file, "w", newline="") as out:
        out.write("# Proofs with known faults, by scripts/pulled_proofs.py (NumPy, SciPy). Lists are separated by blanks: s, L*, s, L*.\n")
        table = csv.writer(out, lineterminator="\n")
        table.writerow(["causes", "wiping_d", "rate_ln", "ink_ln", "sigma", "strip_s", "strip_l", "totals_s", "read_l"])
        for _ in range(n):
            kinds = sets[rng.choice(len(sets), p=weights)]
            t, l, totals, read, sigma, faults, alone = case(rng, kinds)
            named = "+".join(sorted(kinds, key=lambda k: -alone[k])) or "none"
            table.writerow([named, *(f"{faults[k]:.4f}" for k in ("wiping", "rate", "ink")), f"{sigma:.2f}", " ".join(f"{v:g}" for v in t), " ".join(f"{v:.2f}" for v in l),
                            " ".join(f"{v:.2f}" for v in totals), " ".join(f"{v:.2f}" for v in read)])


if __name__ == "__main__":
    main()
