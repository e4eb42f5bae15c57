//! Targets: the lightness at which each tone is to print. They belong to the print, as breaks belong to the drawing.

use super::ToneCount;
use crate::light::Lightness;
use std::fmt;

/// The lightness each tone is to print at, lightest first; evenly spaced in L* unless they were given one by one.
///
/// # Guarantees
/// Two to sixteen values, strictly falling.
#[derive(Clone, Debug, PartialEq)]
pub struct Targets(Vec<Lightness>);

/// Why tones can't be aimed at.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum TargetsError {
    /// The strip leaves no room for the tones.
    Range {
        /// Lightness of the paper on the strip.
        paper: f64,
        /// Darkest usable reading with its reserve.
        darkest: f64,
        /// Tones asked for.
        tones: usize,
    },
    /// The reserve is not within 0..=20.
    Reserve(
        /// What came, L*.
        f64,
    ),
}

impl fmt::Display for TargetsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Range { paper, darkest, tones } => write!(
                f,
                "The strip runs from L* {paper:.1} (paper) to L* {darkest:.1} (darkest, reserve taken off), too little for {tones} tones: use a strip with a darker band."
            ),
            Self::Reserve(reserve) => write!(
                f,
                "A reserve of 0 to {} L* was expected, {reserve} came: 1 keeps the last tone off the strip's very end.",
                Targets::LARGEST_RESERVE
            ),
        }
    }
}

impl std::error::Error for TargetsError {}

impl Targets {
    /// L* kept back from the strip's darkest reading, so that the last tone does not sit on the strip's very end.
    pub const RESERVE: f64 = 1.0;

    /// The largest reserve, L*: more gives away a third of an ordinary strip.
    pub const LARGEST_RESERVE: f64 = 20.0;

    /// Evenly spaced from the strip's paper to its darkest usable reading less the reserve.
    ///
    /// # Errors
    /// When paper and darkest reading leave less than a tenth of an L* a tone, or the reserve is not within 0..=20.
    pub fn even(tones: ToneCount, paper: Lightness, darkest: Lightness, reserve: f64) -> Result<Self, TargetsError> {
        if !(0.0..=Self::LARGEST_RESERVE).contains(&reserve) {
            return Err(TargetsError::Reserve(reserve));
        }
        let end = darkest.0 + reserve;
        let gap = (paper.0 - end) / tones.bites() as f64;
        if !gap.is_finite() || gap < 0.1 {
            return Err(TargetsError::Range { paper: paper.0, darkest: end, tones: tones.get() });
        }
        let at = |k: usize| paper.0 + (end - paper.0) * k as f64 / tones.bites() as f64;
        Ok(Self((0..tones.get()).map(|k| Lightness(at(k))).collect()))
    }

    /// Targets given one by one, tone 0 first.
    ///
    /// # Errors
    /// When there are not 2 to 16, or they do not fall by a tenth of an L* each.
    pub fn falling_from(falling: Vec<Lightness>) -> Result<Self, TargetsError> {
        let (first, last) = (falling.first().map_or(0.0, |l| l.0), falling.last().map_or(0.0, |l| l.0));
        let apart = falling.windows(2).all(|w| w[0].0 - w[1].0 >= 0.1);
        if !(2..=usize::from(ToneCount::MOST)).contains(&falling.len()) || !apart {
            return Err(TargetsError::Range { paper: first, darkest: last, tones: falling.len() });
        }
        Ok(Self(falling))
    }

    /// The targets, tone 0 first.
    #[must_use]
    pub fn falling(&self) -> &[Lightness] {
        &self.0
    }

    /// How many tones.
    #[must_use]
    pub fn tones(&self) -> ToneCount {
        ToneCount(self.0.len() as u8)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn ten_tones_of_strip_15_a() {
        let targets = Targets::even(ToneCount::new(10).unwrap(), Lightness(91.0), Lightness(20.5), Targets::RESERVE).unwrap();
        let expected = [91.0, 83.3, 75.6, 67.8, 60.1, 52.4, 44.7, 36.9, 29.2, 21.5];
        for (target, expected) in targets.falling().iter().zip(expected) {
            assert_abs_diff_eq!(target.0, expected, epsilon = 0.06);
        }
    }

    #[test]
    fn targets_given_one_by_one_fall() {
        let of = |l: &[f64]| Targets::falling_from(l.iter().map(|&l| Lightness(l)).collect());
        assert_eq!(of(&[90.0, 70.0, 30.0]).unwrap().tones().get(), 3);
        for wrong in [&[][..], &[90.0], &[90.0, 90.0], &[30.0, 90.0], &[90.0, f64::NAN]] {
            assert!(of(wrong).is_err(), "{wrong:?}");
        }
    }

    #[test]
    fn a_flat_strip_is_refused() {
        let said = Targets::even(ToneCount::new(4).unwrap(), Lightness(90.0), Lightness(89.0), 1.0).unwrap_err().to_string();
        assert!(said.contains("4 tones"), "{said}");
        for wrong in [-0.1, 20.1, f64::NAN] {
            let refused = Targets::even(ToneCount::new(4).unwrap(), Lightness(90.0), Lightness(30.0), wrong).unwrap_err();
            assert!(matches!(refused, TargetsError::Reserve(_)), "{refused}");
        }
    }
}
