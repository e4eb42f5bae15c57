"""Homographies from four corners, by scikit-image and by OpenCV, which must agree: corners, and where a fifth point goes."""
import cv2
import numpy as np
import skimage
from skimage.transform import ProjectiveTransform

from csv_table import write

rng = np.random.default_rng(11)
rows = []
square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)
for i in range(24):
    a = (square + rng.uniform(-.25, .25, (4, 2))) * rng.uniform(50, 4000)
    b = (square + rng.uniform(-.25, .25, (4, 2))) * rng.uniform(1, 300)
    p = np.array([[a[:, 0].mean() + rng.uniform(-.3, .3) * np.ptp(a[:, 0]), a[:, 1].mean()]])
    first = ProjectiveTransform.from_estimate(a, b) if hasattr(ProjectiveTransform, "from_estimate") else ProjectiveTransform()
    if not hasattr(ProjectiveTransform, "from_estimate"):
        first.estimate(a, b)
    q = first(p)
    m = cv2.getPerspectiveTransform(a.astype(np.float32), b.astype(np.float32))
    r = cv2.perspectiveTransform(p[None], m)[0]
    # OpenCV takes its corners in single precision
    assert np.allclose(q, r, rtol=1e-3, atol=1e-3), (q, r)
    rows.append([float(v) for v in (*a.ravel(), *b.ravel(), *p.ravel(), *q.ravel())])
names = [f"{n}{i}" for n in ("from", "to") for i in range(8)] + ["x", "y", "to_x", "to_y"]
write("homographies.csv", [f"Four points to four points, and where a fifth goes: scikit-image {skimage.__version__}, ProjectiveTransform,",
                           f"agreeing with OpenCV {cv2.__version__}, getPerspectiveTransform (single precision).", "Script: scripts/homographies.py"], names, rows)
