"""Photographs and a scan of printed test strips, rendered by OpenCV from bands of known lightness: what reading a strip is held to.

A strip of bands lies on a sheet of paper, the sheet on a table. Each band is a texture of dark blobs of a tenth of a millimetre on land, rather coarser than an aquatint's grain, whose
mean in linear light is the wanted Y. A pinhole camera looks at it; one small lamp lets the light fall off 2 : 1; a tint, noise, a glare spot, a
thumb, dust. All in linear light, oversampled and reduced by area, then sRGB and JPEG. A scan is the same straight on, even, its grain resolved.

Writes ../../fixtures/strips/*.jpg, ../data/strip_photos.csv (what each is, the corners of what is visible of the strip) and
../data/strip_photo_bands.csv (from, to as shares of the strip's length, true L* of the rendered band: the mean of its reflectance).
"""
import math
import pathlib

import cv2
import numpy as np
from PIL import Image

HERE = pathlib.Path(__file__).resolve().parent.parent
OUT = HERE.parent / "fixtures" / "strips"
OVER = 2
PX = 16  # pixels a mm of the sheet


def reflectance(l):
    l = np.asarray(l, float)
    return np.where(l > 8, ((l + 16) / 116) ** 3, l * 27 / 24389)


def lightness(y):
    y = np.asarray(y, float)
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, y * 24389 / 27)


def encoded(y):
    y = np.clip(y, 0, 1)
    return 255 * np.where(y <= .0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - .055)


def grain(rng, h, w, y, land, pit=.016, size=.6):
    """Blobs of `pit` on `land` whose share is such that the mean is y."""
    share = np.clip((land - y) / (land - pit), 0, 1)
    noise = cv2.GaussianBlur(rng.standard_normal((h, w)).astype(np.float32), (0, 0), size)
    return np.where(noise < np.quantile(noise, share), pit, land).astype(np.float32) if share > 0 else np.full((h, w), land, np.float32)


def strip(rng, bands, lengths, paper, width):
    """The strip's reflectance, its edges as shares, and each band's true L*."""
    edges = np.cumsum([0, *lengths])
    rows, true = [], []
    h = round(width * PX)
    for l, a, b in zip(bands, edges, edges[1:]):
        w = round(b * PX) - round(a * PX)
        y = float(reflectance(l))
        piece = grain(rng, h, w, y, max(y, .985 * float(reflectance(bands[0]))))
        rows.append(piece)
        true.append(float(lightness(piece.astype(float).mean())))
    return np.concatenate(rows, 1), edges / edges[-1], true


def render(name, *, bands, lengths=None, paper=91.0, width=20.0, sheet=(230, 90), at=(28, 34), tilt=12, axis=30, twist=4, far=1.0, frame=(1200, 800),
           fall=2.0, lamp=(-.1, -.3), tint=(1, .88, .62), noise=.008, glare=(), thumb=None, dust=0, expose=.8, card=None, table=.08, quality=80, scan=None, flip=False):
    rng = np.random.default_rng(sum(map(ord, name)))
    lengths = lengths or [14] * len(bands)
    ink, edges, true = strip(rng, bands, lengths, paper, width)
    if flip:
        ink = ink[:, ::-1]
    y = np.full((sheet[1] * PX, sheet[0] * PX), float(reflectance(paper)), np.float32)
    x0, y0 = round(at[0] * PX), round(at[1] * PX)
    y[y0:y0 + ink.shape[0], x0:x0 + ink.shape[1]] = ink
    if card:
        cx, cy, l = card
        y[round((cy - 6) * PX):round((cy + 6) * PX), round((cx - 6) * PX):round((cx + 6) * PX)] = float(reflectance(l))
    for _ in range(dust):
        p = (int(rng.uniform(x0, x0 + ink.shape[1])), int(rng.uniform(y0, y0 + ink.shape[0])))
        cv2.ellipse(y, p, (int(rng.uniform(3, 14)), int(rng.uniform(2, 5))), float(rng.uniform(0, 180)), 0, 360, float(rng.choice([.85, .05])), -1)
    long = sum(lengths)
    # what is visible: an unbitten band as light as the paper beside it is not
    first = lengths[0] if abs(bands[0] - paper) < .3 else 0.0
    box = np.array([[at[0] + first, at[1]], [at[0] + long, at[1]], [at[0] + long, at[1] + width], [at[0] + first, at[1] + width]], float)
    whole = np.array([[at[0], at[1]], [at[0] + long, at[1]], [at[0] + long, at[1] + width], [at[0], at[1] + width]], float)
    if flip:
        mirror = lambda q: np.array([[2 * at[0] + long - x, y] for x, y in q])[[3, 2, 1, 0]]
        box, whole = mirror(box), mirror(whole)
    if scan:
        scale = scan / 25.4
        size = (round(sheet[0] * scale), round(sheet[1] * scale))
        scene = cv2.resize(y, size, interpolation=cv2.INTER_AREA)[..., None] * expose * np.array(tint, np.float32)
        m = np.diag([scale, scale, 1.0])
        over = 1
        scene = scene + noise * rng.standard_normal(scene.shape)
    else:
        over = OVER
        w, h = frame[0] * OVER, frame[1] * OVER
        f = .75 * max(w, h)
        c = math.radians(axis)
        r = cv2.Rodrigues(np.array([math.cos(c), math.sin(c), 0]) * math.radians(tilt))[0] @ cv2.Rodrigues(np.array([0, 0, math.radians(twist)]))[0]
        k = np.array([[f, 0, w / 2], [0, f, h / 2], [0, 0, 1]])
        turned = abs(math.sin(math.radians(twist))) > .7
        across = (sheet[1], sheet[0]) if turned else sheet
        z = far * f * max(across[0] / (.86 * w), across[1] / (.86 * h))
        m = k @ np.column_stack([r[:, 0], r[:, 1], np.array([0, 0, z]) - r @ np.array([sheet[0] / 2, sheet[1] / 2, 0])])
        yy, xx = np.mgrid[0:h, 0:w].astype(np.float32) + .5
        inv = np.linalg.inv(m)
        den = inv[2, 0] * xx + inv[2, 1] * yy + inv[2, 2]
        mx, my = (inv[0, 0] * xx + inv[0, 1] * yy + inv[0, 2]) / den, (inv[1, 0] * xx + inv[1, 1] * yy + inv[1, 2]) / den
        # blobs finer than a pixel are averaged before they are sampled
        soft = cv2.GaussianBlur(y, (0, 0), max(.3, .45 * PX * z / f))
        page = cv2.remap(soft, (mx * PX - .5).astype(np.float32), (my * PX - .5).astype(np.float32), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        on = ((mx > 0) & (mx < sheet[0]) & (my > 0) & (my < sheet[1]))
        near = cv2.GaussianBlur(np.roll(on.astype(np.float32), (8, 6), (0, 1)), (0, 0), 12)
        streak = cv2.resize(rng.standard_normal((max(2, h // 60), w)).astype(np.float32), (w, h), interpolation=cv2.INTER_CUBIC)
        wood = np.clip(table * (1 + .25 * streak), .01, 1) * (1 - .35 * near)
        scene = np.where(on[..., None], page[..., None] * np.ones(3, np.float32), wood[..., None] * np.array([1.25, .95, .65], np.float32))
        if thumb:
            # of skin, from the sheet's edge inward, its tip at a place of the sheet
            tip, wide, way = thumb
            d = np.array([math.cos(math.radians(way)), math.sin(math.radians(way))])
            s, t = (mx - tip[0]) * d[0] + (my - tip[1]) * d[1], -(mx - tip[0]) * d[1] + (my - tip[1]) * d[0]
            inside = ((s > 0) & (abs(t) < wide / 2)) | (s ** 2 + t ** 2 < (wide / 2) ** 2)
            shade = 1 - .35 * (2 * t / wide) ** 2
            scene = np.where(inside[..., None], shade[..., None] * np.array([.52, .30, .21], np.float32), scene)
        if fall > 1:
            corners = np.array([[0, 0], [sheet[0], 0], [sheet[0], sheet[1]], [0, sheet[1]]], float)
            place = np.array(lamp) * np.array(sheet)
            d2 = ((corners - place) ** 2).sum(1)
            lo, hi = 20.0, 4000.0
            for _ in range(60):
                mid = math.sqrt(lo * hi)
                v = (1 + d2 / mid ** 2) ** -1.5
                lo, hi = (mid, hi) if v.max() / v.min() > fall else (lo, mid)
            v = (1 + d2 / lo ** 2) ** -1.5
            scene = scene * (((1 + ((mx - place[0]) ** 2 + (my - place[1]) ** 2) / lo ** 2) ** -1.5) / v.max())[..., None].astype(np.float32)
        scene = scene * expose * np.array(tint, np.float32)
        for gx, gy, radius, strength in glare:
            scene = scene + (strength * np.exp(-((mx - gx) ** 2 + (my - gy) ** 2) / (2 * radius ** 2)))[..., None] * np.array(tint, np.float32)
        scene = cv2.GaussianBlur(scene.astype(np.float32), (0, 0), .8 * OVER)
        scene = cv2.resize(scene, frame, interpolation=cv2.INTER_AREA)
        scene = scene + noise * rng.standard_normal(scene.shape) * np.sqrt(np.maximum(scene, .02))
    Image.fromarray(np.rint(encoded(scene)).astype(np.uint8)).save(OUT / f"{name}.jpg", quality=quality)
    project = lambda q: (lambda p: p[:, :2] / p[:, 2:] / over)(np.column_stack([q, np.ones(len(q))]) @ m.T)
    mark = project(np.array([card[:2]], float))[0] if card else (0, 0)
    row = [name, paper, *[f"{v:.3f}" for v in project(box).ravel()], *[f"{v:.3f}" for v in project(whole).ravel()], *[f"{v:.2f}" for v in mark], card[2] if card else 0]
    return row, [(name, i, f"{edges[i]:.5f}", f"{edges[i + 1]:.5f}", f"{l:.3f}") for i, l in enumerate(true)]


B14 = [89.0, 85.0, 81.0, 74.0, 66.0, 56.5, 47.0, 37.0, 40.5, 45.5]
A15 = [91.0, 86.0, 80.5, 72.0, 61.0, 48.5, 36.5, 27.0, 20.5]


def chance(seed, n, low=22.0, high=90.0, least=3.0):
    """n lightnesses that fall by at least `least`, and lengths of 7 to 16 mm."""
    rng = np.random.default_rng(seed)
    gaps = rng.dirichlet(np.ones(n - 1)) * (high - low - least * (n - 1)) + least
    return [round(float(v), 2) for v in high - np.concatenate([[0], np.cumsum(gaps)])], [round(float(v), 1) for v in rng.uniform(7, 16, n)]


R12, R12_MM = chance(3, 12, high=91.5)
R7, R7_MM = chance(8, 7, low=30, high=93.0)
R20, R20_MM = chance(11, 20, low=19, high=92.0, least=2.5)

STRIPS = {
    "b14": dict(bands=B14, paper=89.0, twist=-5, tilt=14, axis=60),
    "a15-thumb": dict(bands=A15, paper=93.5, thumb=((118, 54.5), 15, 95), dust=14, glare=[(62, 46, 1.2, 1.2)], fall=2.0, lamp=(1.1, .2), tilt=10, axis=140, twist=3),
    "a15-far": dict(bands=A15, paper=91.0, frame=(1600, 1200), far=1.7, tilt=20, axis=-40, twist=24, table=.25, tint=(1, .8, .5), noise=.012),
    "random-12": dict(bands=R12, lengths=R12_MM, paper=94.0, sheet=(210, 100), at=(25, 40), frame=(800, 1200), twist=82, tilt=13, axis=10, lamp=(.2, 1.4), fall=2.0, tint=(1, .92, .75)),
    "random-20": dict(bands=R20, lengths=R20_MM, paper=94.5, sheet=(300, 80), at=(26, 28), frame=(1500, 700), tilt=9, axis=100, twist=-2, width=24),
    "random-7": dict(bands=R7, lengths=R7_MM, paper=93.0, sheet=(140, 70), at=(20, 25), frame=(900, 640), flip=True, tilt=8, axis=200, twist=2, tint=(.85, .95, 1), fall=1.6, dust=6),
    "card": dict(bands=A15[::2], paper=91.0, sheet=(160, 90), at=(30, 20), frame=(900, 640), card=(110, 66, 50.0), tilt=7, axis=30, twist=-3, fall=1.8, tint=(1, .9, .7)),
    "three": dict(bands=[92.0, 60.0, 25.0], paper=94.0, lengths=[20, 30, 20], sheet=(130, 80), at=(28, 28), frame=(800, 600), fall=1.5),
    "covered": dict(bands=A15, paper=93.5, glare=[(104, 44, 6.5, 1.2)], tilt=9, axis=20, twist=2),
    "burnt": dict(bands=A15, paper=93.5, expose=1.9, fall=1.4, frame=(800, 540)),
    "dark": dict(bands=A15, paper=93.5, expose=.05, fall=1.5, frame=(800, 540)),
    "scan": dict(bands=A15, paper=92.5, sheet=(150, 44), at=(12, 12), scan=200, tint=(1, .97, .9), noise=.006, expose=.93, quality=82, dust=10, fall=1),
}

if __name__ == "__main__":
    cv2.setNumThreads(1)
    OUT.mkdir(parents=True, exist_ok=True)
    rows, bands = [], []
    for name, how in STRIPS.items():
        row, of = render(name, **how)
        rows.append(row)
        bands += of
    head = "# Photographs of test strips rendered from known lightness: {}.\n# Source: OpenCV {}, pinhole camera; pixels from the outer corner of the first pixel.\n# Script: scripts/strip_photos.py\n"
    corners = ",".join(f"{kind}{axis}{i}" for kind in ("", "w") for i in range(4) for axis in "xy")
    with open(HERE / "data" / "strip_photos.csv", "w") as fh:
        fh.write(head.format("the paper's L*, the corners of what is visible of the strip and of the whole, its paper end first, a grey card's place and L* (0: none)", cv2.__version__))
        fh.write(f"photo,paper,{corners},card_x,card_y,card_l\n")
        fh.writelines(",".join(map(str, row)) + "\n" for row in rows)
    with open(HERE / "data" / "strip_photo_bands.csv", "w") as fh:
        fh.write(head.format("each band's ends as shares of the strip's length and its true L*, of the mean of its rendered reflectance", cv2.__version__))
        fh.write("photo,band,from,to,lightness\n")
        fh.writelines(",".join(map(str, row)) + "\n" for row in bands)
