//! Fusing: the chance that two neighbouring tones print so alike that nobody tells them apart.

use crate::light::Lightness;
use std::fmt;

/// L* two neighbouring tones must differ by to be told apart across an edge. Estimate of ours.
pub const TOLD_APART: f64 = 3.0;

/// Scatter of one printed tone: the standard deviation of its L* across a plate and from plate to plate.
///
/// # Guarantees
/// From 0.1 to 10 L*.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter(f64);

impl Default for Scatter {
    fn default() -> Self {
        Self(Self::USUAL)
    }
}

/// A scatter that no print has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScatterError {
    /// What came, L*.
    pub scatter: f64,
}

impl fmt::Display for ScatterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "A printed tone scatters by 0.1 to 10 L*; {} came: 1.5 is a start, until you have read one tone on several prints.",
            self.scatter
        )
    }
}

impl std::error::Error for ScatterError {}

impl Scatter {
    /// Where the printer has not measured it, L*. Estimate of ours, 1.5 to 2.5; no source.
    pub const USUAL: f64 = 1.5;

    /// A standard deviation from 0.1 to 10 L*.
    ///
    /// # Errors
    /// Outside that.
    pub fn new(l: f64) -> Result<Self, ScatterError> {
        if (0.1..=10.0).contains(&l) { Ok(Self(l)) } else { Err(ScatterError { scatter: l }) }
    }

    /// The standard deviation, L*.
    #[must_use]
    pub fn l(self) -> f64 {
        self.0
    }

    /// The chance, 0..=1, that two tones `gap` L* apart print less than [`TOLD_APART`] apart, both scattered, each by itself:
    /// Φ((3 − gap)/(σ√2)), with Φ(z) = erfc(−z/√2)/2.
    #[must_use]
    pub fn fusing(self, gap: f64) -> f64 {
        libm::erfc((gap - TOLD_APART) / (2.0 * self.0)) / 2.0
    }

    /// How many pairs of neighbouring tones are to be expected to fuse: the sum of their chances. Lightest tone first.
    #[must_use]
    pub fn pairs(self, tones: impl IntoIterator<Item = Lightness>) -> f64 {
        let mut tones = tones.into_iter();
        let Some(mut before) = tones.next() else { return 0.0 };
        let mut sum = 0.0;
        for tone in tones {
            sum += self.fusing(before.0 - tone.0);
            before = tone;
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    #[test]
    fn the_demo_of_nine_to_twelve_tones() {
        // Worked out beforehand for a range of 51 L*, printed to a percent: 9, 10, 11, 12 tones at scatters of 1.5 and 2.5 L*.
        for (tones, narrow, wide) in [(9, 0.06, 0.17), (10, 0.10, 0.22), (11, 0.16, 0.28), (12, 0.22, 0.32)] {
            let gap = 51.0 / f64::from(tones - 1);
            assert_abs_diff_eq!(Scatter::default().fusing(gap), narrow, epsilon = 0.006);
            assert_abs_diff_eq!(Scatter::new(2.5).unwrap().fusing(gap), wide, epsilon = 0.006);
            let ladder = (0..tones).map(|k| Lightness(89.0 - gap * f64::from(k)));
            assert_abs_diff_eq!(Scatter::default().pairs(ladder), f64::from(tones - 1) * Scatter::default().fusing(gap), epsilon = 1e-9);
        }
    }

    #[test]
    fn the_chance_of_fusing_is_the_normal_law() {
        // scipy.stats.norm.cdf((3 − gap)/(1.5·√2)), SciPy 1.17.1.
        for (gap, expected) in [(3.4, 0.425_218_134), (4.5, 0.239_750_061), (5.1, 0.161_099_403), (6.375, 0.055_805_884)] {
            assert_abs_diff_eq!(Scatter::default().fusing(gap), expected, epsilon = 1e-9);
        }
    }

    #[test]
    fn scatters_are_checked() {
        for wrong in [0.0, 0.09, 10.1, -1.0, f64::NAN, f64::INFINITY] {
            assert!(Scatter::new(wrong).unwrap_err().to_string().contains("0.1 to 10 L*"));
        }
        assert_abs_diff_eq!(Scatter::default().pairs([]), 0.0);
        assert_abs_diff_eq!(Scatter::default().pairs([Lightness(50.0)]), 0.0);
    }

    proptest! {
        #[test]
        fn a_chance_is_one_and_falls_with_the_gap(scatter in 0.1..=10.0f64, gap in 0.0..100.0f64, more in 0.0..10.0f64) {
            let scatter = Scatter::new(scatter).unwrap();
            let (near, far) = (scatter.fusing(gap), scatter.fusing(gap + more));
            prop_assert!((0.0..=1.0).contains(&near) && far <= near);
            prop_assert!((scatter.fusing(TOLD_APART) - 0.5).abs() < 1e-15);
        }
    }
}
