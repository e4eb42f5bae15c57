#!/usr/bin/env python3
"""A drawing of 6000 x 4000 pixels for the measure of speed: the upper part of a demo drawing, enlarged.

    picture.py DRAWING OUT.png

Needs numpy and opencv-python-headless.
"""
import sys

import cv2
import numpy as np


def main():
    picture = cv2.imread(sys.argv[1])
    height = round(picture.shape[1] * 2 / 3)
    large = cv2.resize(picture[:height], (6000, 4000), interpolation=cv2.INTER_CUBIC).astype(np.float32)
    # Enlarging takes the tooth of the paper away: a scan of this size has it.
    tooth = cv2.GaussianBlur(np.random.default_rng(5).normal(0, 12, large.shape[:2]).astype(np.float32), (0, 0), 1.0)
    cv2.imwrite(sys.argv[2], np.clip(large + tooth[..., None], 0, 255).astype(np.uint8))


if __name__ == "__main__":
    main()
