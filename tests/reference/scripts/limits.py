"""What stop-out can't do, by other people's libraries: top-hats, islands, slopes, chances, and a drawing with thin lines.

Libraries: scikit-image 0.26.0 (morphology.black_tophat, disk), scipy 1.17.1 (ndimage.label, distance_transform_edt,
gaussian_gradient_magnitude, stats.norm), numpy 2.4.6, Pillow 13.0.0 (the drawing).
"""
import numpy as np
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage
from scipy.stats import norm
from skimage.morphology import black_tophat, disk

from csv_table import DATA, write

MAPS = ["blobs", "fine", "specks", "stripes", "frame", "noise"]


def grid(name, about, plane):
    lines = [f"# {line}" for line in about] + [" ".join(str(int(v)) for v in row) for row in plane]
    (DATA / name).write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def top_hats():
    rng = np.random.default_rng(41)
    plane = ndimage.gaussian_filter(rng.standard_normal((48, 70)), 4, mode="nearest")
    plane = 30000 + 150000 * plane + 2000 * rng.standard_normal(plane.shape)
    plane[10:12, 5:60] -= 15000
    plane[:, 40] -= 9000
    for i in range(40):
        plane[4 + i, 8 + i : 11 + i] -= 12000
    plane = np.clip(plane, 0, 65535).astype(np.uint16)
    grid("tophat_picture.txt", ["A grey picture of 16 bits: smooth seeded noise, paper tooth and dark lines.", "Script: limits.py"], plane)
    for r in (2, 3, 5):
        grid(f"tophat_r{r}.txt", [f"Its black top-hat (closing less picture) by the disc x*x + y*y <= {r}*{r}: scikit-image black_tophat, disk({r}).",
                                  "Script: limits.py"], black_tophat(plane, disk(r)))


def islands():
    rows = []
    for name in MAPS:
        lines = [line for line in (DATA / f"labels_{name}.txt").read_text().splitlines() if line and not line.startswith("#")]
        plane = np.array([[int(c) for c in line] for line in lines])
        for tone in np.unique(plane):
            mask = plane == tone
            depth = ndimage.distance_transform_edt(np.pad(mask, 1))[1:-1, 1:-1] ** 2
            pieces, count = ndimage.label(mask)
            for piece, (down, across) in enumerate(ndimage.find_objects(pieces), 1):
                inside = pieces == piece
                rows.append((name, tone, inside.sum(), round(depth[inside].max()), across.start, down.start, across.stop, down.stop))
    write("islands.csv",
          ["4-connected pieces of each label of labels_*.txt: pixels, largest squared distance to a pixel centre of another label or beyond the",
           "border, bounding box (right and foot exclusive). SciPy ndimage.label, distance_transform_edt, find_objects.", "Script: limits.py"],
          ["map", "label", "pixels", "depth_squared", "left", "top", "right", "foot"], rows)


def chances():
    rows = [(w, s, norm.cdf((0.3 - w) / (s * np.sqrt(2)))) for s in (0.2, 0.4, 0.7) for w in np.round(np.arange(0.1, 3.05, 0.1), 1)]
    write("closing_up.csv",
          ["Chance that a band of width w between two independent normal edges of standard deviation sigma is left with less than 0.3 mm:",
           "scipy.stats.norm.cdf((0.3 - w) / (sigma sqrt 2)).", "Script: limits.py"],
          ["width_mm", "sigma_mm", "chance"], [(float(w), float(s), float(p)) for w, s, p in rows])


def slopes():
    y, x = np.mgrid[0:400, 0:500] / 10.0 + 0.05
    plane = 55 + 18 * np.sin(x / 6) + 14 * np.cos(y / 4 + x / 9) + 6 * np.sin(y / 2)
    slope = ndimage.gaussian_gradient_magnitude(plane, 10, mode="mirror") * 10
    rows = [(i / 10 + 0.05, j / 10 + 0.05, float(slope[j, i])) for j in range(60, 345, 37) for i in range(60, 445, 41)]
    write("slopes.csv",
          ["L = 55 + 18 sin(x/6) + 14 cos(y/4 + x/9) + 6 sin(y/2), x and y in mm, sampled at 10 px/mm: magnitude of the gradient, L* a mm,",
           "after a Gaussian of 1 mm. SciPy ndimage.gaussian_gradient_magnitude.", "Script: limits.py"],
          ["x_mm", "y_mm", "slope"], rows)


def line_card():
    """60 x 45 mm at 10 px/mm, drawn four times as large: washes and hard-edged areas, and over them lines of 0.4 mm, hatching, writing."""
    over, width, height = 4, 600, 450
    big = (width * over, height * over)
    rng = np.random.default_rng(5)
    wash = ndimage.gaussian_filter(rng.standard_normal((height, width)), 60, mode="nearest")
    ground = Image.fromarray((200 + 30 * wash / np.abs(wash).max()).astype(np.uint8)).resize(big, Image.BICUBIC)
    draw = ImageDraw.Draw(ground)
    at = lambda *points: [(x * 10 * over, y * 10 * over) for x, y in points]
    draw.polygon(at((0, 30), (22, 27), (41, 33), (60, 29), (60, 45), (0, 45)), fill=120)
    draw.ellipse(at((38, 4), (54, 18)), fill=150)
    draw.rectangle(at((4, 33), (15, 42)), fill=60)
    drawn, centres = ground.copy(), Image.new("L", (width, height), 0)
    ink, middle = ImageDraw.Draw(drawn), ImageDraw.Draw(centres)

    def line(points, wide=0.4):
        ink.line(at(*points), fill=25, width=round(wide * 10 * over), joint="curve")
        middle.line([(x * 10 - 0.5, y * 10 - 0.5) for x, y in points], fill=255, width=1)

    line([(2, 3), (34, 8)])
    line([(2, 10), (12, 13), (20, 9), (33, 14), (57, 21)])
    line([(25, 2), (26, 25), (24, 43)])
    line([(46 + 7 * np.cos(a), 11 + 6 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 80)])
    for i in range(12):
        line([(30 + i * 0.9, 36), (34 + i * 0.9, 43)])
    lines_only = drawn.copy()
    font = ImageFont.load_default(size=5 * 10 * over)
    ImageDraw.Draw(drawn).text((5 * 10 * over, 17 * 10 * over), "Harbour", fill=25, font=font)
    writing = np.abs(np.array(drawn, int) - np.array(lines_only, int)) > 20
    writing = Image.fromarray((writing * 255).astype(np.uint8)).resize((width, height), Image.BOX)
    for name, picture in (("", drawn), ("_ground", ground)):
        picture.resize((width, height), Image.BOX).save(DATA / f"line_card{name}.png", optimize=True)
    centres.save(DATA / "line_card_centres.png", optimize=True)
    writing.save(DATA / "line_card_writing.png", optimize=True)


top_hats()
islands()
chances()
slopes()
line_card()
