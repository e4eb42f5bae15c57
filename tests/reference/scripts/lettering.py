"""Rows of ink of a line of the page's own type, as FreeType (by Pillow) draws it, large enough that hinting moves nothing.

python3 tests/reference/scripts/lettering.py > tests/reference/data/lettering.csv
"""
import sys
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

face = Path(__file__).parents[3] / "core" / "assets" / "stepbite-text-regular.ttf"
font = ImageFont.truetype(str(face), 240, layout_engine=ImageFont.Layout.BASIC)
picture = Image.new("L", (900, 336), 0)
ImageDraw.Draw(picture).text((0, font.getmetrics()[0]), "Hg 8%", fill=255, font=font, anchor="ls")
print("row,ink_px", file=sys.stdout)
for row, ink in enumerate(np.asarray(picture, float).sum(axis=1) / 255):
    print(f"{row},{ink:.2f}")
