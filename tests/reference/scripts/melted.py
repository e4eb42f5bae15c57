"""Small sRGB pictures blurred in linear light by scipy.ndimage.gaussian_filter (borders repeated), for the proof at arm's length."""
import json
from pathlib import Path
import numpy as np
from scipy.ndimage import gaussian_filter

rng = np.random.default_rng(7)
rows = []
for sigma, width, height in [(0.35, 17, 11), (0.8, 23, 9), (2.1, 20, 20)]:
    rgb = rng.integers(0, 256, (height, width, 3))
    rgb[:, width // 2:] = (rgb[:, width // 2:] > 127) * 255
    v = rgb / 255
    light = np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    light = np.stack([gaussian_filter(light[..., c], sigma, mode="nearest", truncate=4.0) for c in range(3)], -1)
    value = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    rgba = lambda a: np.concatenate([a, np.full((height, width, 1), 255)], -1).astype(int).ravel().tolist()
    rows.append({"sigma": sigma, "width": width, "height": height, "before": rgba(rgb), "after": rgba(np.rint(255 * value))})
Path(__file__).parents[1].joinpath("data/melted.json").write_text(json.dumps(rows, separators=(",", ":")) + "\n")
