//! How sure a time is: the readings scattered by their error, the same kind of curve laid again, over and over.
//!
//! A parametric bootstrap (B. Efron, R. J. Tibshirani, An Introduction to the Bootstrap, Chapman & Hall 1993, 6.5): every reading is
//! drawn anew about the curve, by a normal law whose standard deviation is the reading error, and where the reading lies off the curve
//! the root of both squares, so that bands that disagree widen the range about them. Of the times at which the replicates come to a
//! target, the 10 % and 90 % quantiles are the range.

use super::fit::{Fitter, Saturating};
use super::{BiteCurve, Shape, to_seconds, to_x};
use crate::light::Lightness;
use crate::pchip::Pchip;
use crate::units::Seconds;

use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// Quantiles of the range.
pub const QUANTILES: (f64, f64) = (0.1, 0.9);

/// Usual number of replicates through readings: quantiles repeat within a twentieth of the range's width.
pub const REPLICATES: usize = 2000;

/// Usual number between them, where each replicate is a fit: within a fifteenth.
const REPLICATES_FITTED: usize = 1000;

/// Any number does; it makes equal strips give equal ranges.
const SEED: u64 = 0x5354_4550_4249_5445;

impl BiteCurve {
    /// How many replicates a range of this curve usually rests on, so that it is there at once.
    #[must_use]
    pub fn replicates(&self) -> usize {
        match self.shape {
            Shape::Through(_) => REPLICATES,
            Shape::Fitted(_) => REPLICATES_FITTED,
        }
    }

    /// The range of the total at which each lightness is reached: never before 0 s, never past the planned end, and holding the
    /// curve's own time.
    ///
    /// The lightnesses stay where they are while the readings scatter: it is the range of the time that brings a plate to them.
    #[must_use]
    pub fn ranges(&self, targets: &[Lightness], replicates: usize) -> Vec<(Seconds, Seconds)> {
        let mut chance = Normal::new();
        let curve: Vec<f64> = self.readings.iter().map(|r| self.shape_at(r.total).0).collect();
        let sigma: Vec<f64> =
            self.readings.iter().zip(&curve).map(|(r, l)| libm::hypot(self.practice.error.l(), r.lightness.0 - l)).collect();
        let mut again = Again::new(self);
        let mut times = vec![Vec::with_capacity(replicates); targets.len()];
        let mut drawn = curve.clone();
        for _ in 0..replicates {
            for ((drawn, l), sigma) in drawn.iter_mut().zip(&curve).zip(&sigma) {
                *drawn = l + sigma * chance.next();
            }
            again.lay(&drawn);
            for (times, target) in times.iter_mut().zip(targets) {
                times.push(again.time_of(*target).0.clamp(0.0, self.limit.0));
            }
        }
        let ranges = times.iter_mut().zip(targets).map(|(times, target)| {
            let own = self.shape_time_of(*target).map_or(self.limit.0, |t| t.0.min(self.limit.0));
            let [low, high] = [QUANTILES.0, QUANTILES.1].map(|q| quantile(times, q).unwrap_or(own));
            (Seconds(low.min(own) * self.pace), Seconds(high.max(own) * self.pace))
        });
        ranges.collect()
    }
}

/// A curve of the same kind through or between other readings at the same times.
enum Again {
    Through { x: Vec<f64>, curve: Option<Pchip>, last: f64 },
    Fitted { first: Saturating, fitter: Box<Fitter>, curve: Saturating, paper: f64 },
}

impl Again {
    fn new(of: &BiteCurve) -> Self {
        match of.shape {
            Shape::Through(_) => Self::Through { x: of.readings.iter().map(|r| to_x(r.total)).collect(), curve: None, last: f64::INFINITY },
            Shape::Fitted(first) => {
                Self::Fitted { first, fitter: Box::new(Fitter::quick(&of.readings)), curve: first, paper: of.paper().0 }
            }
        }
    }

    fn lay(&mut self, drawn: &[f64]) {
        match self {
            Self::Through { x, curve, last } => {
                *curve = Pchip::new(x.clone(), drawn.to_vec()).ok();
                *last = x[x.len() - 1];
            }
            Self::Fitted { first, fitter, curve, paper } => {
                *curve = fitter.again(drawn, *first);
                *paper = drawn[0];
            }
        }
    }

    /// When the curve first is as dark as this; 0 s where its paper is, without end where it never is. Drawn readings may turn back
    /// between two bands, so that a curve may have a lightness more than once.
    fn time_of(&self, target: Lightness) -> Seconds {
        let never = Seconds(f64::INFINITY);
        match self {
            Self::Through { curve, .. } => curve.as_ref().and_then(|curve| curve.falls_to(target.0)).map_or(never, to_seconds),
            Self::Fitted { curve, paper, .. } => {
                if target.0 >= *paper {
                    Seconds(0.0)
                } else {
                    curve.time_of(target)
                }
            }
        }
    }
}

/// The quantile of values, linear between neighbours: type 7 of R. J. Hyndman, Y. Fan, The American Statistician 50 (1996) 361–365.
fn quantile(values: &mut [f64], q: f64) -> Option<f64> {
    let at = q * (values.len().checked_sub(1)?) as f64;
    let below = libm::floor(at) as usize;
    let (_, &mut low, above) = values.select_nth_unstable_by(below, f64::total_cmp);
    let high = above.iter().copied().min_by(f64::total_cmp).unwrap_or(low);
    Some(low + (at - below as f64) * (high - low))
}

/// Normal deviates by pairs: G. Marsaglia, T. A. Bray, A Convenient Method for Generating Normal Variables, SIAM Review 6 (1964)
/// 260–264.
struct Normal {
    generator: Pcg64,
    spare: Option<f64>,
}

impl Normal {
    fn new() -> Self {
        Self { generator: Pcg64::seed_from_u64(SEED), spare: None }
    }

    /// Evenly within −1..1.
    fn even(&mut self) -> f64 {
        (self.generator.next_u64() >> 11) as f64 * (2.0 / 9_007_199_254_740_992.0) - 1.0
    }

    fn next(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let (u, v) = (self.even(), self.even());
            let s = u * u + v * v;
            if s < 1.0 && s > 0.0 {
                let scale = libm::sqrt(-2.0 * libm::log(s) / s);
                self.spare = Some(v * scale);
                return u * scale;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::curve::tests::any_strip;
    use crate::practice::{Practice, ReadingError};
    use crate::strip::{Reading, StripKind, TestStrip};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    // Ranges against SciPy's curves and NumPy's chance: tests/reference/bites.rs.

    #[test]
    fn the_deviates_are_normal() {
        let mut chance = Normal::new();
        let mut values: Vec<f64> = (0..100_000).map(|_| chance.next()).collect();
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        // Standard errors: 1/√n of the mean, √(2/n) of the variance, some 0.0054 of an outer decile; four of each.
        assert_abs_diff_eq!(mean, 0.0, epsilon = 0.013);
        assert_abs_diff_eq!(values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n, 1.0, epsilon = 0.018);
        assert_abs_diff_eq!(quantile(&mut values, 0.9).unwrap(), 1.281_551_565_545, epsilon = 0.022);
        assert_abs_diff_eq!(quantile(&mut values, 0.1).unwrap(), -1.281_551_565_545, epsilon = 0.022);
    }

    #[test]
    fn quantiles_lie_between_neighbours() {
        // numpy.quantile([3, 1, 2, 10], [0, 0.1, 0.5, 0.9, 1]), NumPy 2.4.6.
        for (q, expected) in [(0.0, 1.0), (0.1, 1.3), (0.5, 2.5), (0.9, 7.9), (1.0, 10.0)] {
            assert_abs_diff_eq!(quantile(&mut [3.0, 1.0, 2.0, 10.0], q).unwrap(), expected, epsilon = 1e-12);
        }
        assert_eq!(quantile(&mut [], 0.5), None);
    }

    #[test]
    fn a_smaller_reading_error_gives_a_narrower_range() {
        let strip = TestStrip::example();
        let width = |l: f64| {
            let practice = Practice { error: ReadingError::new(l).unwrap(), ..Practice::default() };
            let (low, high) = BiteCurve::with(&strip, practice).unwrap().ranges(&[Lightness(60.0)], 500)[0];
            high.0 - low.0
        };
        assert!(width(0.5) < 0.6 * width(1.0) && width(1.0) < 0.6 * width(2.0), "{} {} {}", width(0.5), width(1.0), width(2.0));
    }

    #[test]
    fn bands_that_disagree_widen_the_range_about_them() {
        let strip = |at_40: f64, at_80: f64| {
            let bands = [(0.0, 89.0), (5.0, 85.0), (10.0, 81.0), (20.0, 74.0), (40.0, at_40), (80.0, at_80), (160.0, 47.0), (320.0, 37.0)];
            let readings = bands.map(|(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).to_vec();
            TestStrip::new("test", StripKind::Measured, readings).unwrap()
        };
        let share = |strip: &TestStrip| {
            let curve = BiteCurve::of(strip);
            let target = Lightness(61.0);
            let (low, high) = curve.ranges(&[target], 1000)[0];
            (high.0 - low.0) / curve.time_of(target).unwrap().0
        };
        let (clean, messy) = (share(&strip(66.0, 56.5)), share(&strip(63.0, 64.5)));
        assert!(messy > 1.3 * clean, "{messy} of the time against {clean}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn ranges_hold_the_time_and_stay_on_the_strip(strip in any_strip(), shares in prop::collection::vec(0.0..=1.0f64, 1..5)) {
            let curve = BiteCurve::of(&strip);
            let targets: Vec<Lightness> = shares.iter().map(|s| Lightness(curve.paper().0 + s * (curve.reach().0 - curve.paper().0))).collect();
            for ((low, high), target) in curve.ranges(&targets, 50).into_iter().zip(&targets) {
                prop_assert!(low.0 >= 0.0 && high <= curve.limit() && low <= high);
                if let Some(time) = curve.time_of(*target) {
                    prop_assert!(low <= time && time <= high, "{:?} {:?} {:?}", low, time, high);
                }
            }
        }
    }
}
