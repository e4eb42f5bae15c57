"""Phone photographs of drawn sheets, rendered by OpenCV from known geometry, light and paper: what straightening is held to.

A flat (or bowed) sheet of known drawing lies on a table; a pinhole camera looks at it; a lamp and a lens let the light fall off; sometimes a
hand's shadow, a burnt-out spot, clutter or a table nearly as light as the paper. Everything is in linear light, three times oversampled and
reduced by area, then noise, sRGB and JPEG. Writes photos/*.jpg (900 x 1200 or so), photos.csv (true corners, what is expected) and
photo_probes.csv (true L* at points of the sheet in mm, means over 3 mm).
"""
import math
import pathlib

import cv2
import numpy as np
from PIL import Image

HERE = pathlib.Path(__file__).resolve().parent.parent / "data"
OUT = HERE / "photos"
OVER = 3
PX = 6  # pixels a mm of the sheet


def encoded(y):
    y = np.clip(y, 0, 1)
    return 255 * np.where(y <= .0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - .055)


def lightness(y):
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, y * 24389 / 27)


def soft(rng, h, w, cell):
    small = rng.standard_normal((max(2, h // cell), max(2, w // cell))).astype(np.float32)
    return cv2.resize(small, (w, h), interpolation=cv2.INTER_CUBIC)


def sheet(kind, size, rng):
    """Reflectance of the sheet, paper 1; and the area that is drawn, mm."""
    w, h = size[0] * PX, size[1] * PX
    y = np.ones((h, w), np.float32)
    yy, xx = np.mgrid[0:h, 0:w].astype(np.float32) / PX
    if kind == "blank":
        return np.repeat(y[..., None], 3, 2)
    m = 0 if kind == "bleed" else 16
    inside = (xx > m) & (xx < size[0] - m) & (yy > m) & (yy < size[1] - m)
    if kind in ("wash", "bleed"):
        # a broad wash, paper at the horizon, half of it at the top; beneath it hard shapes
        t = np.clip((yy - m) / (.6 * size[1]), 0, 1)
        y = np.where(inside, .42 + .58 * t, 1)
        for i in range(9):
            x0, y0 = size[0] * (.15 + .08 * i), size[1] * (.62 + .04 * (i % 3))
            y = np.where((abs(xx - x0) < 4) & (abs(yy - y0) < 14) & inside, .05 + .08 * i, y)
    if kind == "dark":
        y = np.where(inside, .04 + .1 * np.clip(soft(rng, h, w, 60), 0, 1), 1)
        y = np.where(inside & (abs(xx - size[0] / 2) < 12) & (abs(yy - size[1] / 2) < 20), .9, y)
    y = y.astype(np.float32)
    return np.repeat(y[..., None], 3, 2)


def table(kind, h, w, rng):
    yy, xx = np.mgrid[0:h, 0:w].astype(np.float32)
    grain = .02 * rng.standard_normal((h, w)).astype(np.float32)
    if kind == "wood":
        streak = cv2.resize(rng.standard_normal((h // 90, w)).astype(np.float32), (w, h), interpolation=cv2.INTER_CUBIC)
        y = .09 + .03 * streak + grain
        y[:, (xx[0] % 420) < 8] *= .25
        return np.clip(y, .01, 1)[..., None] * np.array([1.3, .95, .6], np.float32)
    if kind == "cloth":
        check = (((xx // 150) + (yy // 150)) % 2)
        return np.clip(.12 + .28 * check + grain, .01, 1)[..., None] * np.array([.7, .8, 1.3], np.float32)
    if kind == "grey":
        return np.clip(.38 + .03 * soft(rng, h, w, 200) + grain, .01, 1)[..., None] * np.ones(3, np.float32)
    if kind == "white":
        return np.clip(.97 + .3 * grain, .01, 1.2)[..., None] * np.ones(3, np.float32)
    y = np.clip(.06 + grain, .005, 1)
    if kind == "clutter":
        for i in range(7):
            p = (int(rng.uniform(0, w)), int(rng.uniform(0, h)))
            cv2.ellipse(y, p, (int(rng.uniform(60, 240)), int(rng.uniform(40, 160))), float(rng.uniform(0, 180)), 0, 360, float(rng.uniform(.1, .6)), -1)
        cv2.rectangle(y, (-10, -10), (int(w * .3), int(h * .045)), .8, -1)
    return y[..., None] * np.ones(3, np.float32)


def render(name, *, size=(200, 230), kind="wash", on="wood", tilt=10, axis=30, twist=3, far=1.0, frame=(900, 1200), fall=2.0, tint=(1, 1, 1),
           noise=.006, shadow=False, burnt=False, bow=0.0, expose=.9, lamp=(0, 0)):
    rng = np.random.default_rng(sum(map(ord, name)))
    w, h = frame[0] * OVER, frame[1] * OVER
    f = .75 * max(w, h)
    c = math.radians(axis)
    r = cv2.Rodrigues(np.array([math.cos(c), math.sin(c), 0]) * math.radians(tilt))[0] @ cv2.Rodrigues(np.array([0, 0, math.radians(twist)]))[0]
    k = np.array([[f, 0, w / 2], [0, f, h / 2], [0, 0, 1]])
    z = far * f * max(size[0] / (.74 * w), size[1] / (.74 * h))
    m = k @ np.column_stack([r[:, 0], r[:, 1], np.array([0, 0, z]) - r @ np.array([size[0] / 2, size[1] / 2, 0])])
    half = np.array([[1, 0, -.5], [0, 1, -.5], [0, 0, 1]])
    ink = sheet(kind, size, rng)
    scene = table(on, h, w, rng).astype(np.float32)
    yy, xx = np.mgrid[0:h, 0:w].astype(np.float32) + .5
    inv = np.linalg.inv(m)
    den = inv[2, 0] * xx + inv[2, 1] * yy + inv[2, 2]
    mx, my = (inv[0, 0] * xx + inv[0, 1] * yy + inv[0, 2]) / den, (inv[1, 0] * xx + inv[1, 1] * yy + inv[1, 2]) / den
    # a bowed sheet: its left and right edges belly outward by `bow` mm at their middles
    t = 2 * my / size[1] - 1
    s = 2 * mx / size[0] - 1
    bent = mx - bow * (1 - np.clip(t, -1, 1) ** 2) * s
    page = cv2.remap(ink, (bent * PX - .5).astype(np.float32), (my * PX - .5).astype(np.float32), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    on_sheet = ((bent > 0) & (bent < size[0]) & (my > 0) & (my < size[1]))[..., None]
    # the sheet's contact shadow on the table
    near = cv2.GaussianBlur(np.roll(on_sheet[..., 0].astype(np.float32), (14, 10), (0, 1)), (0, 0), 24)[..., None]
    scene = np.where(on_sheet, page, scene * (1 - .35 * near))
    if fall > 1:
        # light of one small lamp: 1 / (1 + (distance / reach)^2)^1.5, its reach so that the sheet's corners differ by `fall`
        corners = np.array([[0, 0], [size[0], 0], [size[0], size[1]], [0, size[1]]], float)
        at = np.array(lamp) * np.array(size)
        d2 = ((corners - at) ** 2).sum(1)
        lo, hi = 20.0, 4000.0
        for _ in range(60):
            mid = math.sqrt(lo * hi)
            v = (1 + d2 / mid ** 2) ** -1.5
            lo, hi = (mid, hi) if v.max() / v.min() > fall else (lo, mid)
        v = (1 + d2 / lo ** 2) ** -1.5
        scene = scene * (((1 + ((mx - at[0]) ** 2 + (my - at[1]) ** 2) / lo ** 2) ** -1.5) / v.max())[..., None].astype(np.float32)
    if shadow:
        dark = np.zeros((h, w), np.float32)
        q = m @ np.array([size[0] * .1, size[1] * .9, 1])
        px = q[:2] / q[2]
        cv2.ellipse(dark, (int(px[0]), int(px[1])), (w // 9, h // 10), 35, 0, 360, 1, -1)
        scene = scene * (1 - .5 * cv2.GaussianBlur(dark, (0, 0), w / 55))[..., None]
    if burnt:
        q = m @ np.array([size[0] * .66, size[1] * .3, 1])
        px = q[:2] / q[2]
        scene = scene + (1.4 * np.exp(-((xx - px[0]) ** 2 + (yy - px[1]) ** 2) / (2 * (w * .03) ** 2)))[..., None]
    scene = scene * expose * np.array(tint, np.float32)
    scene = cv2.GaussianBlur(scene.astype(np.float32), (0, 0), .9 * OVER)
    scene = cv2.resize(scene, frame, interpolation=cv2.INTER_AREA)
    scene = scene + noise * rng.standard_normal(scene.shape) * np.sqrt(np.maximum(scene, .02))
    Image.fromarray(np.rint(encoded(scene)).astype(np.uint8)).save(OUT / f"{name}.jpg", quality=86)
    q = np.array([[0, 0], [size[0], 0], [size[0], size[1]], [0, size[1]]], float)
    p = np.column_stack([q, np.ones(4)]) @ m.T
    corners = p[:, :2] / p[:, 2:] / OVER
    probes = []
    if kind in ("wash", "blank"):
        for u in np.linspace(.06, .94, 9):
            for v in np.linspace(.05, .95, 10):
                x, y = size[0] * u, size[1] * v
                cut = ink[int((y - 1.5) * PX):int((y + 1.5) * PX), int((x - 1.5) * PX):int((x + 1.5) * PX), 0]
                if np.ptp(cut) < .03:
                    probes.append((name, f"{x:.2f}", f"{y:.2f}", f"{float(lightness(cut.mean())):.3f}"))
    return [name, *size, *[f"{v:.3f}" for v in corners.ravel()]], probes


PHOTOS = {
    "plain": dict(tilt=4, axis=10, twist=1, on="dark", fall=1.3),
    "cut": dict(tilt=28, axis=-20, twist=-6, on="wood", fall=2.0, tint=(1, .86, .6)),
    "steep": dict(far=1.25, tilt=28, axis=-20, twist=-6, on="wood", fall=2.0, tint=(1, .86, .6)),
    "turned": dict(far=1.2, tilt=12, axis=80, twist=17, on="cloth", fall=1.6),
    "landscape": dict(size=(297, 210), frame=(1200, 900), tilt=16, axis=120, twist=-4, on="clutter", fall=1.8, kind="dark"),
    "grey": dict(tilt=9, axis=200, twist=5, on="grey", fall=2.0, lamp=(1, 0)),
    "blank": dict(kind="blank", tilt=8, axis=45, twist=2, on="wood", fall=2.0, lamp=(-.3, -.4)),
    "blank-near": dict(kind="blank", tilt=14, axis=-60, twist=-3, on="dark", fall=2.0, lamp=(.2, 1.1), tint=(1, .82, .55)),
    "shadow": dict(tilt=13, axis=-30, twist=3, on="wood", fall=1.7, shadow=True, tint=(1, .85, .6)),
    "burnt": dict(tilt=7, axis=150, twist=-2, on="dark", fall=1.5, burnt=True),
    "noisy": dict(tilt=11, axis=60, twist=4, on="cloth", fall=2.0, noise=.03, expose=.35),
    "bowed": dict(tilt=6, axis=20, twist=1, on="dark", fall=1.4, bow=3.0),
    "bleed": dict(kind="bleed", tilt=8, axis=30, twist=2, on="dark", fall=1.0),
    "white-table": dict(tilt=6, axis=30, twist=2, on="white", fall=1.2),
}

if __name__ == "__main__":
    cv2.setNumThreads(1)
    OUT.mkdir(exist_ok=True)
    rows, probes = [], []
    for name, how in PHOTOS.items():
        row, points = render(name, **how)
        rows.append(row)
        probes += points
    head = "# Photographs rendered from known geometry: {}.\n# Source: OpenCV {}, pinhole camera; pixels from the outer corner of the first pixel, clockwise from the upper left.\n# Script: scripts/photos.py\n"
    with open(HERE / "photos.csv", "w") as fh:
        fh.write(head.format("the sheet's size in mm and its true corners", cv2.__version__))
        fh.write("photo,width_mm,height_mm,x0,y0,x1,y1,x2,y2,x3,y3\n")
        fh.writelines(",".join(map(str, row)) + "\n" for row in rows)
    with open(HERE / "photo_probes.csv", "w") as fh:
        fh.write(head.format("true L* of the sheet, paper 100, mean over 3 mm", cv2.__version__))
        fh.write("photo,x_mm,y_mm,lightness\n")
        fh.writelines(",".join(row) + "\n" for row in probes)
