"""The likeliest relief of a strip: figures, what spread is left to each, and how far the model lies from the bands.

Libraries: scipy 1.17.1 (optimize.least_squares, integrate.quad, stats.lognorm), numpy 2.4.6.
The model is the project's own (documented in core/src/relief.rs); its parts are published: the Boolean model's cover after each disc lost u of
its radius, 1 - exp(-lambda pi E[(r-u)+^2]) (Chiu, Stoyan, Kendall, Mecke, Stochastic Geometry and its Applications, 3rd ed. 2013, ch. 3), and
Yule and Nielsen's mixing (TAGA Proc. 3, 1951). E[(r-u)+^2] is integrated numerically over the log-normal law, the least found from thirteen
starts, and the covariance at the least is the inverse of J'J over readings and priors together.
Priors are estimates of the project's, no source: the same numbers stand in the core.
"""
import numpy as np
from scipy import integrate, optimize, stats

from csv_table import write

STRIPS = {
    "14-B": [(0, 89.0), (5, 85.0), (10, 81.0), (20, 74.0), (40, 66.0), (80, 56.5), (160, 47.0), (320, 37.0), (480, 40.5), (640, 45.5)],
    "14-C": [(0, 89.0), (5, 85.0), (10, 81.0), (20, 74.0), (40, 63.0), (80, 64.5), (160, 47.0), (320, 37.0), (480, 40.5), (640, 45.5)],
    "15-A": [(0, 91.0), (5, 86.0), (10, 80.5), (20, 72.0), (40, 61.0), (80, 48.5), (160, 36.5), (320, 27.0), (640, 20.5)],
    # Invented: a quick bath, a slow one that hardly gets anywhere, three bands.
    "quick": [(0, 93.0), (2, 84.0), (4, 76.0), (8, 64.0), (16, 50.0), (32, 36.0), (64, 25.0)],
    "slow": [(0, 90.0), (120, 87.5), (300, 84.0), (900, 77.0), (2400, 66.0)],
    "short": [(0, 92.0), (30, 70.0), (120, 45.0)],
}

# Grains: median radius (mm), sigma of ln r.
GRAINS = {"rosin medium": (0.030, 0.45), "rosin coarse": (0.050, 0.45), "sprayed fine": (0.012, 0.25)}

# ln(c/(1-c)), ln(n-1), ln r (mm/s), ln(d0 / median radius), ln D, ln c1: mean and spread.
MEAN = np.array([0.0, np.log(0.8), np.log(5e-5), np.log(1 / 6), np.log(1.6), np.log(0.04)])
SPREAD = np.array([0.3, 0.25, 1.5, 0.5, 0.15, 0.7])


def reflectance(lightness):
    lightness = np.asarray(lightness, float)
    return np.where(lightness > 8, ((lightness + 16) / 116) ** 3, lightness * 27 / 24389)


def lightness(y):
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, y * 24389 / 27)


def share_left(grain):
    """E[(r-u)+^2] / E[r^2] as a function of u, by quadrature on a fine grid of u and a cubic through it."""
    median, sigma = grain
    law = stats.lognorm(s=sigma, scale=median)
    whole = law.expect(lambda r: r * r)
    top = median * np.exp(8 * sigma)

    def exact(u):
        return integrate.quad(lambda r: (r - u) ** 2 * law.pdf(r), u, top, epsabs=1e-14, epsrel=1e-11, limit=400,
                              points=[p for p in (median, 2 * median, 4 * median) if u < p < top])[0] / whole

    # Over ln u, with 400 points in the range that matters.
    grid = np.exp(np.linspace(np.log(median * 1e-4), np.log(top * 0.98), 700))
    from scipy.interpolate import CubicSpline

    spline = CubicSpline(np.log(grid), [exact(u) for u in grid])
    return lambda u: np.where(u < grid[0], 1 - 2 * u * law.mean() / whole, np.where(u > grid[-1], 0.0, spline(np.log(np.clip(u, grid[0], grid[-1])))))


def figures(point, grain, cover):
    axis = MEAN + SPREAD * np.clip(point, -8, 8)
    c = 1 / (1 + np.exp(-axis[0])) if cover is None else cover
    return c, 1 + np.exp(axis[1]), np.exp(axis[2]), grain[0] * np.exp(axis[3]), np.exp(axis[4]), np.exp(axis[5])


def model(point, seconds, paper, grain, left, cover):
    c, n, rate, d0, full, hold = figures(point, grain, cover)
    depth = rate * seconds
    lands = 1 - (1 - c) ** left(depth)
    density = full * -np.expm1(-depth / d0) * -np.expm1(-lands / hold)
    root = (1 - lands) * (paper * 10**-density) ** (1 / n) + lands * paper ** (1 / n)
    return lightness(root**n)


def fitted(strip, grain, left, cover, error):
    seconds = np.array([s for s, _ in strip[1:]], float)
    read = np.array([l for _, l in strip[1:]], float)
    paper = float(reflectance(strip[0][1]))
    off = lambda point: np.concatenate([(model(point, seconds, paper, grain, left, cover) - read) / error, point])
    best = None
    for start in np.linspace(-4, 4, 13):
        point = np.zeros(6)
        point[2] = start
        found = optimize.least_squares(off, point, method="lm", xtol=1e-14, ftol=1e-14, gtol=1e-14, max_nfev=20000)
        if best is None or found.cost < best.cost - 1e-10:
            best = found
    jac = best.jac
    spread = np.sqrt(np.diag(np.linalg.inv(jac.T @ jac)))
    misfit = float(np.sqrt(np.mean((model(best.x, seconds, paper, grain, left, cover) - read) ** 2)))
    return figures(best.x, grain, cover), spread, misfit, 2 * best.cost


def rows():
    for name, grain in GRAINS.items():
        left = share_left(grain)
        for strip, bands in STRIPS.items():
            for cover, error in [(None, 1.0)] + ([(0.6, 1.0), (None, 2.5)] if name == "rosin medium" else []):
                found, spread, misfit, cost = fitted(bands, grain, left, cover, error)
                print(strip, name, cover, error, np.round(found, 4), np.round(spread, 2), round(misfit, 2))
                cells = [" ".join(f"{s}:{l}" for s, l in bands), name, "" if cover is None else repr(cover), error]
                yield cells + [float(f"{v:.9g}") for v in [*found, *spread, misfit, cost]]


write(
    "reliefs.csv",
    ["Likeliest figures of a strip's relief; spreads left are shares of the priors'. Cover typed where one stands there.",
     "Made by scripts/reliefs.py with SciPy least_squares (MINPACK's lm), quad, lognorm; model and priors as documented in core/src/relief.rs."],
    ["bands", "grain", "cover_typed", "error_l", "cover", "n", "rate_mm_s", "d0_mm", "density", "c1",
     "left_cover", "left_n", "left_rate", "left_d0", "left_density", "left_c1", "misfit_l", "sum"],
    rows(),
)
