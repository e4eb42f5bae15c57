//! A saturating curve laid between readings that do not fall, so that a bad one counts for little.
//!
//! `L(t) = Lp − A·z/(1+z)`, `z = (t/τ)^β`: paper, depth of tone, half-time and steepness. It falls everywhere, flattens towards its end
//! as a grain that fills up does, and four figures are few enough for the eight to twelve bands of a strip.
//!
//! The sum of `ρ(r²)`, `ρ(s) = 2(√(1+s) − 1)`, r in L* (scale 1 L*), is made least: like squares for small r, like |r| for large ones,
//! so that a misread band draws the curve with a bounded force. It is SciPy's `soft_l1`, against which it is tested. Levenberg and
//! Marquardt's method (`rmpfit`, MINPACK's way) minimises squares; given `sign(r)·√ρ(r²)` for residuals it minimises this.
//!
//! `rmpfit` was taken for having no dependencies (nalgebra would come with `levenberg-marquardt`), for its bounds, and because it reckons
//! with + − × ÷ √ alone, which every target rounds alike.
//!
//! # The ends
//! Lp stays at or above the paper's reading. Were it below, tones between the two would have no time; above, the curve leaves the paper a
//! moment after 0 s, as a bath with an induction time does. Tone 0 is not bitten and prints as the paper *reads*, whatever Lp is.
//! At the dark end the curve may come out lighter or darker than the darkest reading. Lighter: no tone is planned darker than it comes.
//! Darker: no tone is planned darker than was read. It says nothing past the darkest band.

use crate::light::Lightness;
use crate::strip::Reading;
use crate::units::Seconds;
use rmpfit::{MPConfig, MPFitter, MPPar, MPResult, MPSide};

/// Depth of tone A, L*; least and greatest. Wide enough to hold every strip; a fit that wants more is running away along a power law.
const DEPTH: (f64, f64) = (1.0, 1000.0);

/// Half-time τ, s; least and greatest.
const HALF_TIME: (f64, f64) = (1e-2, 1e7);

/// Steepness β; least and greatest. At 10 a band of half the time has a thousandth of the tone: a step.
const STEEPNESS: (f64, f64) = (0.1, 10.0);

/// Readings, paper counted, from which on all four figures are fitted; with four Lp stays at the paper's reading, with three β at 1 too.
const ALL_FOUR: usize = 5;

/// The curve's four figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Saturating {
    /// Lp, A, ln τ, ln β: logarithms keep what must be positive positive.
    figures: [f64; 4],
}

impl Saturating {
    /// The best curve for readings in order of time, the paper first. The best of nine starts: the sum has side valleys.
    pub(super) fn fit(readings: &[Reading]) -> Self {
        let mut fitter = Fitter::new(readings, MPConfig { ftol: 1e-15, xtol: 1e-13, gtol: 1e-14, ..MPConfig::new() });
        let starts = starts(readings);
        let mut best = (f64::INFINITY, Self { figures: starts[0] });
        for start in starts {
            let (sum, curve) = fitter.from(start);
            if sum < best.0 {
                best = (sum, curve);
            }
        }
        best.1
    }

    /// Lightness at a time ≥ 0; Lp at 0 s.
    pub(super) fn at(self, total: Seconds) -> f64 {
        let [paper, depth, ..] = self.figures;
        paper - libm::exp(depth) * self.bitten(libm::log(total.0))
    }

    /// The time at which it has this lightness; 0 from Lp up, without end where it never comes so far.
    pub(super) fn time_of(self, lightness: Lightness) -> Seconds {
        let [paper, depth, half, steep] = self.figures;
        let share = (paper - lightness.0) / libm::exp(depth);
        if share <= 0.0 {
            return Seconds(0.0);
        }
        if share >= 1.0 {
            return Seconds(f64::INFINITY);
        }
        Seconds(libm::exp(half + (libm::log(share) - libm::log1p(-share)) / libm::exp(steep)))
    }

    /// z/(1+z), as a logistic of ln t: no power overflows.
    fn bitten(self, ln_t: f64) -> f64 {
        let [_, _, half, steep] = self.figures;
        1.0 / (1.0 + libm::exp(-libm::exp(steep) * (ln_t - half)))
    }
}

/// Places to begin at: how much deeper than the strip the tone goes, times how steep it sets in, through the darkest reading.
fn starts(readings: &[Reading]) -> [[f64; 4]; 9] {
    let (paper, last) = (readings[0].lightness.0, readings[readings.len() - 1]);
    let fallen = (paper - last.lightness.0).max(1.0);
    std::array::from_fn(|i| {
        let (deeper, steep): (f64, f64) = ([1.05, 1.5, 3.0][i / 3], [0.7, 1.2, 3.0][i % 3]);
        let half = libm::log(last.total.0) + libm::log(deeper - 1.0) / steep;
        let bounds = (libm::log(HALF_TIME.0), libm::log(HALF_TIME.1));
        [paper, libm::log((deeper * fallen).clamp(DEPTH.0, DEPTH.1)), half.clamp(bounds.0, bounds.1), libm::log(steep)]
    })
}

/// Fits curves to readings at the same times again and again.
pub(super) struct Fitter {
    ln_t: Vec<f64>,
    l: Vec<f64>,
    figures: [MPPar; 4],
    config: MPConfig,
}

impl Fitter {
    fn new(readings: &[Reading], config: MPConfig) -> Self {
        let bound = |(low, high): (f64, f64), fixed: bool| MPPar {
            fixed,
            limited_low: true,
            limited_up: true,
            limit_low: libm::log(low),
            limit_up: libm::log(high),
            side: MPSide::User,
            ..MPPar::new()
        };
        let paper = MPPar {
            fixed: readings.len() < ALL_FOUR,
            limited_low: true,
            limit_low: readings[0].lightness.0,
            side: MPSide::User,
            ..MPPar::new()
        };
        Self {
            ln_t: readings.iter().map(|r| libm::log(r.total.0)).collect(),
            l: readings.iter().map(|r| r.lightness.0).collect(),
            figures: [paper, bound(DEPTH, false), bound(HALF_TIME, false), bound(STEEPNESS, readings.len() + 1 < ALL_FOUR)],
            config,
        }
    }

    /// For a bootstrap: a hundredth of what readings scatter by is near enough.
    pub(super) fn quick(readings: &[Reading]) -> Self {
        Self::new(readings, MPConfig { ftol: 1e-4, xtol: 1e-4, gtol: 1e-4, max_iter: 20, ..MPConfig::new() })
    }

    /// The curve for other lightnesses at the same times, begun at one that is near.
    pub(super) fn again(&mut self, lightness: &[f64], near: Saturating) -> Saturating {
        self.l.copy_from_slice(lightness);
        self.figures[0].limit_low = lightness[0];
        let mut start = near.figures;
        start[0] = if self.figures[0].fixed { lightness[0] } else { start[0].max(lightness[0]) };
        self.from(start).1
    }

    /// The sum reached from a start, and the curve; the start itself where the method gives up.
    fn from(&mut self, start: [f64; 4]) -> (f64, Saturating) {
        let mut figures = start;
        if self.figures[3].fixed {
            figures[3] = 0.0;
        }
        match self.mpfit(&mut figures) {
            Ok(status) if figures.iter().all(|f| f.is_finite()) => (status.best_norm, Saturating { figures }),
            _ => (f64::MAX, Saturating { figures: start }),
        }
    }
}

impl MPFitter for Fitter {
    fn eval(&mut self, figures: &[f64], deviates: &mut [f64]) -> MPResult<()> {
        let curve = Saturating { figures: [figures[0], figures[1], figures[2], figures[3]] };
        let depth = libm::exp(figures[1]);
        for ((out, &ln_t), &l) in deviates.iter_mut().zip(&self.ln_t).zip(&self.l) {
            *out = softened(figures[0] - depth * curve.bitten(ln_t) - l).0;
        }
        Ok(())
    }

    fn number_of_points(&self) -> usize {
        self.l.len()
    }

    fn config(&self) -> &MPConfig {
        &self.config
    }

    fn parameters(&self) -> &[MPPar] {
        &self.figures
    }

    fn jacobian(&mut self, figures: &[f64], deviates: &mut [f64], slopes: &mut [Option<Vec<f64>>]) -> MPResult<()> {
        let curve = Saturating { figures: [figures[0], figures[1], figures[2], figures[3]] };
        let (depth, steep) = (libm::exp(figures[1]), libm::exp(figures[3]));
        for i in 0..self.l.len() {
            let share = curve.bitten(self.ln_t[i]);
            let (out, slope) = softened(figures[0] - depth * share - self.l[i]);
            deviates[i] = out;
            // The paper's ln t is −∞, where the curve has no slope.
            let along = if share > 0.0 { depth * share * (1.0 - share) * steep } else { 0.0 };
            let late = if share > 0.0 { self.ln_t[i] - figures[2] } else { 0.0 };
            for (column, by) in slopes.iter_mut().zip([1.0, -depth * share, along, -along * late]) {
                if let Some(column) = column {
                    column[i] = slope * by;
                }
            }
        }
        Ok(())
    }
}

/// `sign(r)·√ρ(r²)` and its derivative, without the difference of near equals that √(1+r²) − 1 is.
fn softened(r: f64) -> (f64, f64) {
    let s = libm::sqrt(1.0 + r * r);
    (r * libm::sqrt(2.0 / (s + 1.0)), libm::sqrt((s + 1.0) / 2.0) / s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

    // SciPy's least_squares(loss="soft_l1") on nine strips: tests/reference/bites.rs.

    fn readings(bands: &[(f64, f64)]) -> Vec<Reading> {
        bands.iter().map(|&(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).collect()
    }

    #[test]
    fn a_curve_of_its_own_kind_is_found_again() {
        let truth = Saturating { figures: [90.0, 70.0f64.ln(), 80.0f64.ln(), 0.9f64.ln()] };
        let bands: Vec<(f64, f64)> = [0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 320.0].map(|t| (t, truth.at(Seconds(t)))).to_vec();
        let found = Saturating::fit(&readings(&bands));
        for (figure, expected) in found.figures.iter().zip(truth.figures) {
            assert_relative_eq!(*figure, expected, max_relative = 1e-6);
        }
        // One band misread by 25 L*: squares would be drawn off by several L*.
        let mut wrong = bands;
        wrong[4].1 += 25.0;
        let found = Saturating::fit(&readings(&wrong));
        for t in [5.0, 20.0, 80.0, 320.0] {
            assert_abs_diff_eq!(found.at(Seconds(t)), truth.at(Seconds(t)), epsilon = 2.0);
        }
    }

    /// tests/reference/data/robust_fits.csv and robust_ladders.csv, strip 14-b-rising: SciPy's least_squares.
    #[test]
    fn the_rising_demo_strip_fits_as_scipys() {
        let bands = [(0.0, 89.0), (5.0, 85.0), (10.0, 81.0), (20.0, 74.0), (40.0, 66.0), (80.0, 56.5), (160.0, 47.0), (320.0, 37.0)];
        let found = Saturating::fit(&readings(&bands));
        let [paper, depth, half, steep] = found.figures;
        for (figure, expected) in [(paper, 89.389_68), (depth.exp(), 68.509_98), (half.exp(), 87.131_33), (steep.exp(), 0.881_837_5)] {
            assert_relative_eq!(figure, expected, max_relative = 1e-6);
        }
        // Worked out beforehand to 0.1 s.
        for (k, expected) in [6.2, 14.6, 25.7, 40.4, 60.2, 87.9, 128.4, 191.9, 303.0].into_iter().enumerate() {
            let target = Lightness(89.0 - 51.0 / 9.0 * (k + 1) as f64);
            assert_abs_diff_eq!(found.time_of(target).0, expected, epsilon = 0.06);
        }
    }

    #[test]
    fn the_slopes_are_the_differences() {
        let mut fitter = Fitter::quick(&readings(&[(0.0, 89.0), (5.0, 90.0), (30.0, 61.0), (100.0, 66.0), (300.0, 40.0)]));
        let figures = [91.0, 4.1, 4.0, -0.2];
        let (mut at, mut fore, mut aft) = (vec![0.0; 5], vec![0.0; 5], vec![0.0; 5]);
        let mut slopes = vec![Some(vec![0.0; 5]); 4];
        fitter.jacobian(&figures, &mut at, &mut slopes).ok().unwrap();
        for (k, column) in slopes.iter().enumerate() {
            let moved = |by: f64| std::array::from_fn::<f64, 4, _>(|i| figures[i] + if i == k { by } else { 0.0 });
            fitter.eval(&moved(1e-6), &mut fore).ok().unwrap();
            fitter.eval(&moved(-1e-6), &mut aft).ok().unwrap();
            for i in 0..5 {
                assert_abs_diff_eq!(column.as_ref().unwrap()[i], (fore[i] - aft[i]) / 2e-6, epsilon = 1e-6);
            }
        }
    }

    #[test]
    fn few_readings_hold_figures_back() {
        // Three: through paper and the last band's neighbourhood with β = 1; nothing to fit a paper or a steepness by.
        let found = Saturating::fit(&readings(&[(0.0, 90.0), (5.0, 92.0), (10.0, 50.0)]));
        assert_eq!((found.figures[0], found.figures[3]), (90.0, 0.0));
        let found = Saturating::fit(&readings(&[(0.0, 90.0), (5.0, 60.0), (10.0, 65.0), (20.0, 40.0)]));
        assert_eq!(found.figures[0], 90.0);
    }

    proptest! {
        #[test]
        fn whatever_is_read_the_curve_falls(l in prop::collection::vec(0.0..100.0f64, 3..14), gaps in prop::collection::vec(0.1..400.0f64, 14)) {
            let mut t = 0.0;
            let bands: Vec<(f64, f64)> = l.iter().zip(gaps).map(|(&l, gap)| { let at = (t, l); t += gap; at }).collect();
            let found = Saturating::fit(&readings(&bands));
            prop_assert!(found.figures.iter().all(|f| f.is_finite()));
            prop_assert!(found.at(Seconds(0.0)) >= bands[0].1);
            let mut before = f64::INFINITY;
            for i in 0..=40 {
                let now = found.at(Seconds(t * f64::from(i) / 40.0));
                prop_assert!(now <= before);
                before = now;
            }
            let (at, middle) = (found.at(Seconds(t / 3.0)), Seconds(t / 3.0));
            let back = found.at(Seconds(found.time_of(Lightness(at)).0.min(middle.0)));
            prop_assert!((back - at).abs() < 1e-6, "{back} for {at}");
        }
    }
}
