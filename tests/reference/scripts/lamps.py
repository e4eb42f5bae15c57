"""What a lamp does to a colour known by its three linear sRGB channels alone.

The reflectances that stand for pure red, green and blue light of sRGB are the smoothest there are: bounded by 0 and 1, adding up to 1
at every wavelength, each giving exactly its channel under D65 (least sum of squared second differences; scipy.optimize.lsq_linear).
A colour is their sum, so what a lamp makes of it is one matrix: its light under the lamp (CIE 1931 2 degree observer, CIE 15:2018
tables of colour-science), then the eye's adaptation from the lamp's white to D65 (Bradford; Lam 1985, in ICC.1:2022 annex E), then linear sRGB.
Two inks that look alike by day may part under a lamp: three channels can't tell that.
"""
import warnings

warnings.simplefilter("ignore")
import colour
import numpy as np
from scipy.optimize import lsq_linear

from csv_table import write

SHAPE = colour.SpectralShape(380, 780, 5)


def tabled(of):
    return of.copy().align(SHAPE).values


CMFS = tabled(colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"])
TO_XYZ = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ


def weights(lamp):
    found = CMFS * tabled(colour.SDS_ILLUMINANTS[lamp])[:, None]
    return found / found[:, 1].sum()


DAY = weights("D65")
# The tables' white differs from sRGB's own in the fifth digit: each channel is scaled so that white is white.
TO_RGB = np.linalg.inv(TO_XYZ)
TO_RGB = TO_RGB / (TO_RGB @ DAY.sum(0))[:, None]


def primaries():
    n = len(DAY)
    bend = np.diff(np.eye(n), 2, axis=0)
    seen = (DAY @ TO_RGB.T).T
    exact = 1e5
    rows, wanted = [np.hstack([np.eye(n)] * 3) * exact], [np.ones(n) * exact]
    for i in range(3):
        part = [np.zeros((len(bend), n))] * 3
        part[i] = bend
        rows.append(np.hstack(part)), wanted.append(np.zeros(len(bend)))
        part = [np.zeros((3, n))] * 3
        part[i] = seen * exact
        rows.append(np.hstack(part)), wanted.append(np.eye(3)[i] * exact)
    found = lsq_linear(np.vstack(rows), np.concatenate(wanted), bounds=(0, 1), tol=1e-15, max_iter=5000)
    return found.x.reshape(3, n)


def main():
    basis = primaries()
    white = DAY.sum(0)
    rows = []
    for lamp in ("D65", "D50", "A"):
        light = weights(lamp)
        adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(light.sum(0), white, transform="Bradford")
        matrix = TO_RGB @ adapt @ light.T @ basis.T
        # White stays white to the last digit: what the solver left over is shared out.
        matrix = matrix / matrix.sum(1)[:, None]
        rows += [[lamp, "RGB"[i], *(round(float(v), 5) for v in row)] for i, row in enumerate(matrix)]
    write("lamps.csv", ["linear sRGB channels of a colour as it looks under a lamp to an adapted eye: row = channel seen, columns = channels by day",
                        "made by scripts/lamps.py with colour-science 0.4.7, scipy 1.17.1, numpy 2.4.6"], ["lamp", "channel", "r", "g", "b"], rows)


if __name__ == "__main__":
    main()
