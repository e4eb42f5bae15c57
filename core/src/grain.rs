//! Grain: the dust that is melted on the plate and keeps the acid off, disc by disc.
//!
//! A Boolean model: discs of random radius thrown on the plane at random (Poisson), overlapping freely. The share they cover is
//! `p = 1 − exp(−λ π E[r²])` (Chiu, Stoyan, Kendall, Mecke, Stochastic Geometry and its Applications, 3rd ed., Wiley 2013, ch. 3),
//! λ discs a mm². Radii are log-normal.
//!
//! The grain has its places on the plate, in millimetres: any window at any scale shows the same discs. Nothing repeats and nothing
//! is kept: the plane is cut into square cells, a hash of (seed, column, row) seeds each cell's own generator, and a cell's discs are
//! made when somebody looks. `cells` holds the chance, `raster` the share covered a pixel.
//!
//! While the metal is bitten the acid also goes sideways under each grain and its top shrinks: a disc of radius r becomes
//! (r − u)₊ after an undercut u, and the share left is `1 − exp(−λ π E[(r−u)₊²])`. Eroding the union of overlapping discs would leave
//! a little more; we erode each disc, so the formula holds exactly for what is drawn.

use crate::units::Millimetres;
use std::fmt;

pub(crate) mod cells;
mod kinds;
pub(crate) mod raster;
mod stamps;
pub use kinds::{GrainKind, GrainSize};

/// What a grain is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrainSettings {
    /// Share of the metal the fresh grain covers, 0.05..=0.95; default 0.5 (40 to 55 % is common practice, no source).
    pub cover: f64,
    /// Median radius of a grain, mm, 0.005..=0.2; default 0.03 (an estimate, no source).
    pub median_radius: Millimetres,
    /// Standard deviation of ln r, 0..=1; default 0.45 (an estimate, no source). 0 = all alike.
    pub sigma: f64,
    /// Which of all the grains of this kind; default 1.
    pub seed: u64,
}

impl Default for GrainSettings {
    fn default() -> Self {
        Self { cover: 0.5, median_radius: Millimetres(0.03), sigma: 0.45, seed: 1 }
    }
}

/// A grain setting out of range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrainError {
    /// Which one, in words.
    pub what: &'static str,
    /// Smallest it may be.
    pub least: f64,
    /// Largest it may be.
    pub most: f64,
    /// What came.
    pub value: f64,
}

impl fmt::Display for GrainError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { what, least, most, value } = self;
        write!(f, "The grain's {what} must lie between {least} and {most}; {value} came: choose a value in that range.")
    }
}

impl std::error::Error for GrainError {}

/// A grain on the endless plane, fixed in plate millimetres (x right, y down, from the face's top left corner in print view).
///
/// # Guarantees
/// Settings are in range; equal settings are the same discs, on every target.
#[derive(Clone, Debug)]
pub struct Grain {
    settings: GrainSettings,
    /// Discs a mm².
    intensity: f64,
    /// Radius of each of the equally likely classes, mm, rising.
    radii: Vec<f64>,
    /// Side of a cell, mm.
    cell: f64,
    counts: cells::PoissonTable,
}

impl Grain {
    /// Classes of radius, equally likely.
    const CLASSES: usize = 1 << cells::CLASS_BITS;

    /// A grain of the given kind.
    ///
    /// # Errors
    /// When a setting is out of the range named with it.
    pub fn new(settings: GrainSettings) -> Result<Self, GrainError> {
        let GrainSettings { cover, median_radius, sigma, .. } = settings;
        for (what, value, least, most) in [
            ("share covered", cover, 0.05, 0.95),
            ("median radius in mm", median_radius.0, 0.005, 0.2),
            ("spread of the radii (standard deviation of ln r)", sigma, 0.0, 1.0),
        ] {
            if !(least..=most).contains(&value) {
                return Err(GrainError { what, least, most, value });
            }
        }
        let radii = radius_classes(median_radius.0, sigma, Self::CLASSES);
        let intensity = -libm::log1p(-cover) / (std::f64::consts::PI * mean_square(&radii, 0.0));
        let cell = (cells::PER_CELL / intensity).sqrt();
        Ok(Self { settings, intensity, radii, cell, counts: cells::PoissonTable::new(cells::PER_CELL) })
    }

    /// What it was made from.
    #[must_use]
    pub fn settings(&self) -> GrainSettings {
        self.settings
    }

    /// A grain of the same kind and of its own places: the grain itself for 0, another for each further number.
    #[must_use]
    pub fn apart(&self, which: u64) -> Self {
        let mut other = self.clone();
        if which > 0 {
            other.settings.seed = cells::SplitMix64(self.settings.seed ^ which.rotate_right(8)).next();
        }
        other
    }

    /// λ, discs a mm².
    #[must_use]
    pub fn intensity(&self) -> f64 {
        self.intensity
    }

    /// The largest radius there is.
    #[must_use]
    pub fn largest_radius(&self) -> Millimetres {
        Millimetres(self.radii[self.radii.len() - 1])
    }

    /// Share still covered when every disc has lost `undercut` of its radius: `1 − exp(−λ π E[(r−u)₊²])`, 0..=1.
    #[must_use]
    pub fn cover_after(&self, undercut: Millimetres) -> f64 {
        -libm::expm1(-self.intensity * std::f64::consts::PI * mean_square(&self.radii, undercut.0))
    }

    /// Every disc whose centre may lie in the box from (left, top) to (right, bottom), mm: its place and the class of its radius, the
    /// smallest first. Discs of the cells that reach out of the box come too.
    ///
    /// Places are whole numbers of the caller's: `start` is that of a cell's corner given in mm, `across` and `down` what 2²⁴ths of a
    /// cell's side are, as many steps.
    #[inline]
    pub(crate) fn visit(
        &self,
        [left, top, right, bottom]: [f64; 4],
        start: impl Fn(f64, f64) -> [i64; 2],
        [across, down]: [[i64; 2]; 2],
        disc: impl FnMut(i64, i64, usize),
    ) {
        // Where nothing is turned, which is nearly always, half of it falls away.
        if across[1] == 0 && down[0] == 0 {
            self.visited([left, top, right, bottom], start, |x, y| [x * across[0], y * down[1]], disc);
        } else {
            self.visited([left, top, right, bottom], start, |x, y| [x * across[0] + y * down[0], x * across[1] + y * down[1]], disc);
        }
    }

    #[inline]
    fn visited(
        &self,
        [left, top, right, bottom]: [f64; 4],
        start: impl Fn(f64, f64) -> [i64; 2],
        step: impl Fn(i64, i64) -> [i64; 2],
        mut disc: impl FnMut(i64, i64, usize),
    ) {
        let index = |mm: f64| libm::floor(mm / self.cell) as i64;
        for row in index(top)..=index(bottom) {
            let row_seed = cells::row_seed(self.settings.seed, row);
            let y = row as f64 * self.cell;
            for column in index(left)..=index(right) {
                let mut chance = cells::SplitMix64(cells::cell_seed(row_seed, column));
                let [x0, y0] = start(column as f64 * self.cell, y);
                for _ in 0..self.counts.count((chance.next() >> 32) as u32) {
                    let (x, y, class) = cells::place(chance.next());
                    let [x, y] = step(i64::from(x), i64::from(y));
                    disc(x0 + x, y0 + y, class);
                }
            }
        }
    }

    /// What a 2²⁴th of a cell's side is in steps of `side` of them a mm.
    pub(crate) fn unit(&self, steps_per_mm: f64) -> f64 {
        steps_per_mm * self.cell / cells::PLACES
    }
}

/// `E[(r − u)₊²]` of equally likely radii.
fn mean_square(radii: &[f64], undercut: f64) -> f64 {
    let sum: f64 = radii.iter().map(|r| (r - undercut).max(0.0)).map(|r| r * r).sum();
    sum / radii.len() as f64
}

/// Cuts the log-normal law (median m, σ of ln r) into equally likely classes and gives each the root mean square of its radii, so that
/// `E[r²] = m² exp(2σ²)` is kept to rounding, tail included; the plain midpoint quantiles would lose 0.14 % of it.
///
/// Within a class, r² has the partial mean m² exp(2σ²) (Φ(z₂ − 2σ) − Φ(z₁ − 2σ)) between the normal quantiles z₁ and z₂.
/// The largest radius of 1024 classes at σ = 0.45 is 4.6 m, where the law itself goes on for ever: 0.1 % of the discs are drawn as alike.
fn radius_classes(median: f64, sigma: f64, classes: usize) -> Vec<f64> {
    let n = classes as f64;
    let share_below = |i: usize| match i {
        0 => 0.0,
        i if i == classes => 1.0,
        i => normal(quantile(i as f64 / n) - 2.0 * sigma),
    };
    let scale = median * median * libm::exp(2.0 * sigma * sigma) * n;
    let mut below = 0.0;
    (1..=classes)
        .map(|i| {
            let next = share_below(i);
            let square = scale * (next - below);
            below = next;
            square.max(0.0).sqrt()
        })
        .collect()
}

/// Φ, the normal distribution function.
fn normal(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// Φ⁻¹ by halving; p within the classes' 1/1024..1023/1024 lies well inside ±8.
fn quantile(p: f64) -> f64 {
    let (mut low, mut high) = (-8.0, 8.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if normal(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn grain(cover: f64, median: f64, sigma: f64) -> Grain {
        Grain::new(GrainSettings { cover, median_radius: Millimetres(median), sigma, seed: 1 }).unwrap()
    }

    #[test]
    fn radius_classes_keep_the_mean_square() {
        // Moments of the log-normal law: E[r²] = m² exp(2σ²) (any handbook of statistics).
        for (median, sigma) in [(0.03, 0.0), (0.03, 0.45), (0.02, 0.7), (0.1, 1.0)] {
            let kept = mean_square(&radius_classes(median, sigma, Grain::CLASSES), 0.0);
            assert_relative_eq!(kept, median * median * f64::exp(2.0 * sigma * sigma), max_relative = 1e-9);
        }
    }

    #[test]
    fn radius_classes_keep_what_undercut_leaves() {
        // Against E[(r−u)₊²] of the unclassed law by the trapezoid rule over z, −8..8 in 200 000 parts.
        let (median, sigma) = (0.03, 0.45);
        let radii = radius_classes(median, sigma, Grain::CLASSES);
        for u in [0.0, 0.005, 0.01, 0.02, 0.03, 0.05, 0.08] {
            let (parts, from, step) = (200_000, -8.0, 16.0 / 200_000.0);
            let exact: f64 = (0..=parts)
                .map(|i| {
                    let z = from + step * f64::from(i);
                    let r = (median * f64::exp(sigma * z) - u).max(0.0);
                    r * r * f64::exp(-0.5 * z * z) * step / (2.0 * std::f64::consts::PI).sqrt()
                })
                .sum();
            // A class is one radius, so what undercut leaves of the widest class is a little short: under 0.1 % of E[r²].
            assert_abs_diff_eq!(mean_square(&radii, u), exact, epsilon = 1e-3 * mean_square(&radii, 0.0));
        }
    }

    #[test]
    fn intensity_follows_the_cover_wanted() {
        // λ π E[r²] = −ln(1−p): Chiu, Stoyan, Kendall, Mecke 2013, ch. 3; digits computed from the formula.
        for (cover, exponent) in [(0.40, 0.510_826), (0.50, std::f64::consts::LN_2), (0.60, 0.916_291)] {
            let grain = grain(cover, 0.03, 0.45);
            let mean_square = 0.03 * 0.03 * f64::exp(2.0 * 0.45 * 0.45);
            assert_abs_diff_eq!(grain.intensity() * std::f64::consts::PI * mean_square, exponent, epsilon = 1e-6);
            assert_abs_diff_eq!(grain.cover_after(Millimetres(0.0)), cover, epsilon = 1e-12);
        }
    }

    #[test]
    fn undercut_takes_cover_away_by_the_formula() {
        // 1 − exp(−λ π (r−u)²) for λ = 100 a mm², r = 0.047 mm; digits computed from the formula of Chiu et al. 2013, ch. 3.
        let grain = grain(0.500_415, 0.047, 0.0);
        assert_abs_diff_eq!(grain.intensity(), 100.0, epsilon = 1e-3);
        for (u, left) in [(0.0, 0.500_415), (0.005, 0.425_455), (0.010, 0.349_546), (0.020, 0.204_689), (0.030, 0.086_792), (0.047, 0.0)] {
            assert_abs_diff_eq!(grain.cover_after(Millimetres(u)), left, epsilon = 1e-6);
        }
    }

    #[test]
    fn impossible_grains_are_refused_in_sentences() {
        let usual = GrainSettings::default();
        for wrong in [
            GrainSettings { cover: 0.0, ..usual },
            GrainSettings { cover: 1.0, ..usual },
            GrainSettings { cover: f64::NAN, ..usual },
            GrainSettings { median_radius: Millimetres(0.0), ..usual },
            GrainSettings { sigma: -0.1, ..usual },
            GrainSettings { sigma: f64::INFINITY, ..usual },
        ] {
            let said = Grain::new(wrong).unwrap_err().to_string();
            assert!(said.starts_with("The grain's") && said.ends_with('.'), "{said}");
        }
    }
}
