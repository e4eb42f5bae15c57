"""Photographs of painted plates, rendered by NumPy and OpenCV: what the check of a painted plate is held to.

A plate lies on a table, plate view. Its face is bare metal (zinc or copper: sparkle of the grain, brushed streaks, a highlight that falls off) and varnish
(brown or black: brush marks, a thin place here and there, the room mirrored in its gloss). The varnish follows a known mask as a hand does: its edge wanders by a smooth random offset
of a stated standard deviation and creeps a little. Gaps of stated widths are left open in it, over-runs are put beside it, both at known places. A pinhole
camera looks at it; the light falls off, lamps are mirrored as spots; noise, blur, JPEG. All in linear light, then sRGB.

All figures of metal, varnish and light are estimates of ours, no source; they are varied widely, by seed.

    python painted_plates.py            writes ../../fixtures/painted (a few) and their truth, ../data/painted_*.csv
    python painted_plates.py DIR COUNT [SEED [bench]]
                                        writes COUNT plates and their truth into DIR, for measuring (STEPBITE_PLATES=DIR); seeds count up from SEED,
                                        1000 if none is given: figures that are told are those of a set that nothing was tuned on. `bench`: not a plain table but boards, paper, a rod,
                                        fingers on the plate's rim, the plate turned any way and sometimes reaching out of the picture: for the corners

plates.csv: name, width, height, bevel (mm), hand error (mm), metal, varnish, glare spots, trouble, then the plate's corners in the picture (8).
places.csv: name, kind (gap, over), x, y (mm of the face, plate view), width, length (mm), area (mm²), share of it that a glare spot covers.
NAME.png: the mask, plate view, 5 px/mm of the face, black = to be covered. NAME.jpg: the photograph.
"""
import csv
import math
import pathlib
import sys

import cv2
import numpy as np

HERE = pathlib.Path(__file__).resolve().parent.parent
PX = 12  # pixels a mm of the plate as it is rendered
MASK = 5


def smooth(rng, shape, mm, px=PX):
    """A smooth random field of mean 0 and standard deviation 1 whose Gaussian is `mm` wide."""
    s = max(1, int(mm * px / 4))
    small = rng.standard_normal((shape[0] // s + 16, shape[1] // s + 16)).astype(np.float32)
    small = cv2.GaussianBlur(small, (0, 0), mm * px / s)
    small = small[6:6 + shape[0] // s + 3, 6:6 + shape[1] // s + 3]
    field = cv2.resize(small, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return (field - field.mean()) / field.std()


def mask_of(rng, w, h):
    """What is to be covered: soft blobs cut at a level, some straight bars and a disc or two. No part of it, and no part between, is narrower than about 1.5 mm."""
    shape = (h * MASK, w * MASK)
    field = smooth(rng, shape, rng.uniform(4, 9), MASK)
    covered = field > np.quantile(field, rng.uniform(.3, .7))
    for _ in range(rng.integers(0, 4)):
        p = [int(v * MASK) for v in (rng.uniform(0, w), rng.uniform(0, h), rng.uniform(0, w), rng.uniform(0, h))]
        layer = np.zeros(shape, np.uint8)
        cv2.line(layer, p[:2], p[2:], 1, int(rng.uniform(3, 7) * MASK))
        covered = np.where(layer > 0, rng.random() < .5, covered)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (int(1.8 * MASK) | 1,) * 2)
    covered = cv2.morphologyEx(covered.astype(np.uint8), cv2.MORPH_OPEN, disc)
    return cv2.morphologyEx(covered, cv2.MORPH_CLOSE, disc) > 0


def encoded(y):
    y = np.clip(y, 0, 1)
    return 255 * np.where(y <= .0031308, 12.92 * y, 1.055 * np.power(y, 1 / 2.4) - .055)


def blob(shape, x, y, width, length, angle, rng):
    """A spot or a stroke of a width and a length, a little uneven, and its distance below 0 inside (pixels)."""
    yy, xx = np.mgrid[0:shape[0], 0:shape[1]].astype(np.float32)
    dx, dy = xx - x, yy - y
    u = dx * math.cos(angle) + dy * math.sin(angle)
    v = -dx * math.sin(angle) + dy * math.cos(angle)
    u = np.maximum(np.abs(u) - (length - width) / 2, 0)
    uneven = 1 + .06 * np.sin(3 * np.arctan2(dy, dx) + rng.uniform(0, 6.28))
    return np.hypot(u, v) - width / 2 * uneven


def bench(rng, canvas, q):
    """Boards with their joints and grain, a sheet of paper or two, a rod or two, close by the plate whose corners are q (pixels of the canvas)."""
    oh, ow = canvas.shape[:2]
    angle = rng.uniform(0, math.pi)
    yy, xx = np.mgrid[0:oh, 0:ow].astype(np.float32)
    along, across = xx * math.cos(angle) + yy * math.sin(angle), yy * math.cos(angle) - xx * math.sin(angle)
    wide = rng.uniform(150, 700)
    board = np.floor(across / wide)
    tint = rng.uniform(.7, 1.3, 64).astype(np.float32)[(board.astype(int)) % 64]
    grain = 1 + .12 * np.sin(across / 9 + 3 * np.sin(along / 300 + board))
    joint = np.where(np.abs(across / wide - np.round(across / wide)) * wide < 3, .35, 1)
    canvas *= (tint * grain * joint)[..., None].astype(np.float32)
    centre, size = q.mean(0), np.ptp(q, 0).max()
    for _ in range(rng.integers(1, 3)):
        at, turn = centre + rng.uniform(-.6, .6, 2) * size, rng.uniform(0, 180)
        box = cv2.boxPoints(((float(at[0]), float(at[1])), (float(rng.uniform(.4, 1.3) * size), float(rng.uniform(.4, 1.3) * size)), turn))
        cv2.fillConvexPoly(canvas, box.round().astype(np.int32), [float(v) for v in rng.uniform(.55, .8) * np.array([1, .98, .93])])
    for _ in range(rng.integers(0, 3)):
        at, turn = centre + rng.uniform(-.7, .7, 2) * size, rng.uniform(0, 180)
        box = cv2.boxPoints(((float(at[0]), float(at[1])), (float(rng.uniform(.5, 1.2) * size), float(rng.uniform(10, 40))), turn))
        cv2.fillConvexPoly(canvas, box.round().astype(np.int32), [float(v) for v in rng.uniform(.02, .5) * rng.uniform(.5, 1, 3)])


def fingers(rng, seen, q):
    """Two or three finger tips that hold the plate at a side: they cover up to about a tenth of its length inwards."""
    side = rng.integers(4)
    a, b = q[side], q[(side + 1) % 4]
    inward = (q.mean(0) - (a + b) / 2)
    inward /= np.hypot(*inward)
    size = np.hypot(*(b - a))
    skin = np.array([.42, .25, .17]) * rng.uniform(.6, 1.2)
    s = rng.uniform(.1, .7)
    for _ in range(rng.integers(2, 4)):
        tip = a + s * (b - a) + inward * size * rng.uniform(.02, .09)
        root = tip - inward * size * .5 + (b - a) * rng.uniform(-.1, .1)
        layer = np.zeros(seen.shape[:2], np.uint8)
        cv2.line(layer, [int(v) for v in tip], [int(v) for v in root], 255, int(size * .055))
        soft = cv2.GaussianBlur(layer, (0, 0), 2).astype(np.float32)[..., None] / 255
        seen[:] = seen * (1 - soft) + skin * soft
        s += .09


def render(name, out, seed, *, metal=None, varnish=None, glare=None, trouble="", clean=False, size=None, frame=(1600, 1200), quality=82, hand=None):
    rng = np.random.default_rng(seed)
    metal = metal or rng.choice(["zinc", "copper"])
    varnish = varnish or rng.choice(["brown", "black"])
    glare = int(rng.choice([0, 0, 1, 2])) if glare is None else glare
    w, h = size or (int(rng.integers(80, 131)), int(rng.integers(80, 121)))
    bevel = float(rng.choice([0, 2, 3]))
    fw, fh = w - 2 * bevel, h - 2 * bevel
    hand = hand or float(rng.choice([.3, .4, .5]))
    mask = mask_of(rng, int(fw), int(fh))
    H, W = h * PX, w * PX
    b = int(bevel * PX)
    FH, FW = H - 2 * b, W - 2 * b
    big = cv2.resize(mask.astype(np.float32), (FW, FH), interpolation=cv2.INTER_LINEAR)
    # The hand: the edge wanders, and creeps into the grain.
    yy, xx = np.mgrid[0:FH, 0:FW].astype(np.float32)
    mm = rng.uniform(3, 5)
    painted = cv2.remap(big, xx + hand * PX * smooth(rng, (FH, FW), mm), yy + hand * PX * smooth(rng, (FH, FW), mm), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    painted = cv2.GaussianBlur(painted, (0, 0), .1 * PX)
    solid = (painted > .5).astype(np.uint8)
    creep = rng.uniform(0, .25)
    signed = cv2.distanceTransform(solid, cv2.DIST_L2, 5) - cv2.distanceTransform(1 - solid, cv2.DIST_L2, 5) + creep * PX
    wanted = (big > .5).astype(np.uint8)
    inside = cv2.distanceTransform(np.pad(wanted, 1, constant_values=1), cv2.DIST_L2, 5)[1:-1, 1:-1]
    outside = cv2.distanceTransform(1 - wanted, cv2.DIST_L2, 5)
    border = np.minimum(np.minimum(xx, FW - xx), np.minimum(yy, FH - yy))
    places, taken = [], np.zeros((FH, FW), bool)

    def put(kind, width, length, allowed):
        ys, xs = np.nonzero(allowed & ~taken & (border > 3 * PX))
        if len(ys) == 0:
            return
        k = rng.integers(len(ys))
        x, y = int(xs[k]), int(ys[k])
        r = int((length + 3) * PX)
        y0, y1, x0, x1 = max(0, y - r), min(FH, y + r), max(0, x - r), min(FW, x + r)
        angle = rng.uniform(0, math.pi)
        d = blob((y1 - y0, x1 - x0), x - x0, y - y0, width * PX, length * PX, angle, rng)
        piece = signed[y0:y1, x0:x1]
        before = piece > 0
        piece[:] = np.minimum(piece, d) if kind == "gap" else np.maximum(piece, -d)
        changed = (d < 0) & ((wanted[y0:y1, x0:x1] > 0) == (kind == "gap"))
        area = float(changed.sum()) / PX**2
        if kind == "gap":
            area = float((changed & before).sum()) / PX**2
        taken[y0:y1, x0:x1] |= d < 4 * PX
        places.append([kind, x / PX, y / PX, width, length, area, changed, (y0, y1, x0, x1)])

    if not clean:
        for width in [1, 1.5, 1.5, 1.5, 2, 3, 1.5, 1, 2]:
            length = width * float(rng.choice([1, 1, 1.6, 2.5]))
            put("gap", width, length, inside > (length / 2 + 1.2 * hand / .4) * PX)
        for _ in range(3):
            r = rng.uniform(2.5, 4)
            put("over", r, r, (outside > (.55 * r) * PX) & (outside < (.6 * r + 1) * PX))
    film = np.clip(signed / (.12 * PX) + .5, 0, 1)
    # Metal.
    base = {"zinc": np.array([.40, .42, .44]), "copper": np.array([.55, .27, .17])}[metal] * rng.uniform(.7, 1.2)
    # Grains of about a tenth of a millimetre, standard deviation of the logarithm 0.32.
    sparkle = np.exp(.32 * smooth(rng, (H, W), .075))
    streaks = cv2.GaussianBlur(rng.standard_normal((H, W)).astype(np.float32), (0, 0), sigmaX=40, sigmaY=.7)
    streaks = 1 + .08 * streaks / streaks.std()
    if rng.random() < .5:
        streaks = cv2.resize(streaks.T.copy(), (W, H))
    stain = 1 + .07 * smooth(rng, (H, W), 6)
    metal_light = sparkle * streaks * stain
    Y, X = np.mgrid[0:H, 0:W].astype(np.float32)
    # A brushed sheet's own broad highlight, and the lamp's fall over all.
    cx, cy = rng.uniform(0, W), rng.uniform(0, H)
    lobe = 1 + rng.uniform(.2, .8) * np.exp(-((X - cx) / (60 * PX)) ** 2 - ((Y - cy) / (25 * PX)) ** 2)
    angle = rng.uniform(0, 6.28)
    fall = np.exp(rng.uniform(0, .35) * (math.cos(angle) * (X / W - .5) + math.sin(angle) * (Y / H - .5)) * 2)
    bare = (metal_light * lobe)[..., None] * base
    # Varnish.
    body = {"brown": np.array([.075, .04, .022]), "black": np.array([.018, .018, .02])}[varnish] * rng.uniform(.7, 1.4)
    brush = cv2.GaussianBlur(rng.standard_normal((H, W)).astype(np.float32), (0, 0), sigmaX=6, sigmaY=60)
    thick = np.clip(1 + .25 * brush / brush.std() + .15 * smooth(rng, (H, W), 3), .3, None)
    through = .10 * np.exp(-2.0 * thick)
    room = np.clip(.02 + .02 * smooth(rng, (H, W), 25), 0, None) * rng.uniform(.3, 1.2)
    coat = body * (.8 + .4 * brush.clip(-1, 1) / 4)[..., None] + through[..., None] * bare + room[..., None]
    full = np.zeros((H, W), np.float32)
    full[b:H - b, b:W - b] = film
    rim = np.ones((H, W), bool)
    rim[b:H - b, b:W - b] = False
    if rng.random() < .5:
        full[rim] = 1
    light = bare * (1 - full[..., None]) + coat * full[..., None]
    light *= fall[..., None]
    if trouble == "shadow":
        s = np.clip(1 - .75 / (1 + np.exp(-((X - .55 * W) + .6 * (Y - .5 * H)) / (3 * PX))), .2, 1)
        light *= s[..., None]
    # Lamps in the gloss, softer on metal.
    spot = np.zeros((H, W), np.float32)
    for _ in range(glare):
        gx, gy, r = rng.uniform(.15, .85) * W, rng.uniform(.15, .85) * H, rng.uniform(3, 9) * PX
        e = rng.uniform(.5, 1)
        q = ((X - gx) / r) ** 2 + ((Y - gy) / (r * e)) ** 2
        spot += 2.5 * np.exp(-q**1.5) + .25 * np.exp(-q / 6)
    light = light + spot[..., None] * (.25 + .75 * full[..., None])
    glared = spot[b:H - b, b:W - b] * film.clip(.25, 1) > .12
    table = np.array([[.05, .045, .04], [.30, .2, .12], [.75, .75, .72]][rng.integers(3)])
    # The camera.
    ow, oh = frame
    m = rng.uniform(.06, .12)
    scale = min(ow * (1 - 2 * m) / w, oh * (1 - 2 * m) / h)
    rx, ry, rz = np.radians([rng.uniform(-14, 14), rng.uniform(-14, 14), rng.uniform(-5, 5)])
    R = cv2.Rodrigues(np.array([0, 0, rz]))[0] @ cv2.Rodrigues(np.array([rx, 0, 0]))[0] @ cv2.Rodrigues(np.array([0, ry, 0]))[0]
    f = 1.1 * max(ow, oh)
    pts = np.array([[-w / 2, -h / 2, 0], [w / 2, -h / 2, 0], [w / 2, h / 2, 0], [-w / 2, h / 2, 0]]) @ R.T
    z = f / scale
    q = np.stack([f * pts[:, 0] / (z + pts[:, 2]), f * pts[:, 1] / (z + pts[:, 2])], 1)
    q = q * min(.97 * ow / np.ptp(q[:, 0]), .97 * oh / np.ptp(q[:, 1]), 1) - 0
    q = q - (q.max(0) + q.min(0)) / 2 + np.array([ow / 2, oh / 2])
    # What lies about has chances of its own, so that the plates stay what they are.
    own = np.random.default_rng(seed + 10_000_019)
    out_of_it = False
    if trouble == "bench":
        turn, out_of_it = own.uniform(0, 2 * math.pi), own.random() < .15
        c, s_ = math.cos(turn), math.sin(turn)
        q = (q - [ow / 2, oh / 2]) @ np.array([[c, s_], [-s_, c]])
        q = q * min(.94 * ow / np.ptp(q[:, 0]), .94 * oh / np.ptp(q[:, 1]), 1) * own.uniform(.7, 1)
        q = q - (q.max(0) + q.min(0)) / 2 + np.array([ow / 2, oh / 2])
        q = q + (own.uniform(.45, .6) * np.array([ow, oh]) * own.choice([-1, 1], 2) if out_of_it else 0)
    over = 2
    M = cv2.getPerspectiveTransform(np.array([[0, 0], [W, 0], [W, H], [0, H]], np.float32) - .5, (q * over - .5).astype(np.float32))
    canvas = np.ones((oh * over, ow * over, 3), np.float32) * table
    canvas *= np.exp(.1 * smooth(rng, canvas.shape[:2], 20, 8))[..., None]
    if trouble == "bench":
        bench(own, canvas, q * over)
    source = cv2.GaussianBlur(light.astype(np.float32), (0, 0), .5)
    cover = cv2.warpPerspective(np.ones((H, W), np.float32), M, (ow * over, oh * over))
    seen = cv2.warpPerspective(source, M, (ow * over, oh * over), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    seen = canvas * (1 - cover[..., None]) + seen * cover[..., None]
    seen = cv2.resize(seen, (ow, oh), interpolation=cv2.INTER_AREA)
    if trouble == "bench" and own.random() < .5:
        fingers(own, seen, q)
    soft = {"blur": 14.0}.get(trouble, rng.uniform(.5, 1.1))
    seen = cv2.GaussianBlur(seen, (0, 0), soft)
    if trouble == "small":
        seen = cv2.resize(seen, (ow // 7, oh // 7), interpolation=cv2.INTER_AREA)
        q = q / 7
    level = np.quantile(seen.max(2), .9)
    seen = seen * rng.uniform(.5, .8) / max(level, .05) * np.array([rng.uniform(.9, 1.05), 1, rng.uniform(.8, 1.05)])
    seen = seen + rng.standard_normal(seen.shape) * np.sqrt(.002**2 + .0006 * np.clip(seen, 0, None))
    image = encoded(seen).round().astype(np.uint8)
    out.mkdir(parents=True, exist_ok=True)
    cv2.imwrite(str(out / f"{name}.jpg"), image[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    cv2.imwrite(str(out / f"{name}.png"), np.where(mask, 0, 255).astype(np.uint8), [cv2.IMWRITE_PNG_BILEVEL, 1, cv2.IMWRITE_PNG_COMPRESSION, 9])
    plate = [name, mask.shape[1] / MASK + 2 * bevel, mask.shape[0] / MASK + 2 * bevel, bevel, hand, metal, varnish, glare, ("cut off" if out_of_it else trouble) or "none", *(f"{v:.2f}" for v in q.ravel())]
    rows = []
    for kind, x, y, width, length, area, changed, (y0, y1, x0, x1) in places:
        share = float(glared[y0:y1, x0:x1][changed].mean()) if changed.any() else 0
        rows.append([name, kind, f"{x:.2f}", f"{y:.2f}", width if kind == "gap" else f"{width:.2f}", f"{length:.2f}", f"{area:.2f}", f"{share:.2f}"])
    return plate, rows


def write(folder, plates, places, prefix=""):
    with open(folder / f"{prefix}plates.csv", "w", newline="") as f:
        f.write("# Painted plates rendered by scripts/painted_plates.py, NumPy %s, OpenCV %s\nname,width,height,bevel,hand,metal,varnish,glare,trouble,x0,y0,x1,y1,x2,y2,x3,y3\n" % (np.__version__, cv2.__version__))
        csv.writer(f, lineterminator="\n").writerows(plates)
    with open(folder / f"{prefix}places.csv", "w", newline="") as f:
        f.write("# Gaps and over-runs of the painted plates, rendered by scripts/painted_plates.py\nname,kind,x,y,width,length,area,glared\n")
        csv.writer(f, lineterminator="\n").writerows(places)


def main():
    plates, places = [], []

    def add(*args, **how):
        plate, rows = render(*args, **how)
        plates.append(plate)
        places.extend(rows)

    if len(sys.argv) in (3, 4, 5):
        out = pathlib.Path(sys.argv[1])
        first = int(sys.argv[3]) if len(sys.argv) > 3 else 1000
        for k in range(int(sys.argv[2])):
            add(f"p{k:03}", out, first + k, clean=k % 10 == 9, trouble="".join(sys.argv[4:]))
        write(out, plates, places)
        return
    out = HERE.parent / "fixtures" / "painted"
    small = {"size": (96, 80), "frame": (1200, 1000), "quality": 76}
    add("zinc-brown", out, 1, metal="zinc", varnish="brown", glare=0, **small)
    add("zinc-black", out, 2, metal="zinc", varnish="black", glare=1, **small)
    add("copper-brown", out, 3, metal="copper", varnish="brown", glare=0, **small)
    add("copper-black", out, 4, metal="copper", varnish="black", glare=2, **small)
    add("clean", out, 5, metal="zinc", varnish="brown", glare=0, clean=True, **small)
    add("shadow", out, 6, metal="zinc", varnish="black", glare=0, clean=True, trouble="shadow", **small)
    add("blur", out, 7, metal="copper", varnish="brown", glare=0, trouble="blur", **small)
    add("small", out, 8, metal="zinc", varnish="brown", glare=0, trouble="small", **small)
    write(HERE / "data", plates, places, "painted_")
    # A drawing whose stop-out 1 is the first plate's mask: print view, white where it is to be covered.
    mask = cv2.imread(str(out / "zinc-brown.png"), cv2.IMREAD_GRAYSCALE)
    cv2.imwrite(str(out / "drawing.png"), 255 - mask[:, ::-1], [cv2.IMWRITE_PNG_BILEVEL, 1, cv2.IMWRITE_PNG_COMPRESSION, 9])


if __name__ == "__main__":
    main()
