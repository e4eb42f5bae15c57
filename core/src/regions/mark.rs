//! The smallest mark a hand can paint.

use crate::opening::Disc;
use crate::units::{Millimetres, PxPerMm};
use std::fmt;

/// The smallest mark a hand can paint: the diameter of a disc.
///
/// # Guarantees
/// From 0.3 to 5 mm.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Mark(Millimetres);

impl Default for Mark {
    /// 1 mm: what a small brush makes with ease. Estimate, no source.
    fn default() -> Self {
        Self(Millimetres(1.0))
    }
}

/// A mark that no brush makes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MarkError {
    /// What came, mm.
    pub mark: f64,
}

impl fmt::Display for MarkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "The smallest mark is 0.3 to 5 mm across, or 0 for no clean-up; {} mm came: 1 mm suits a small brush.", self.mark)
    }
}

impl std::error::Error for MarkError {}

impl Mark {
    /// Pieces under this many marks of area go.
    pub const LEAST_MARKS: f64 = 1.5;

    /// A mark of a diameter from 0.3 to 5 mm.
    ///
    /// # Errors
    /// Outside that.
    pub fn new(diameter: Millimetres) -> Result<Self, MarkError> {
        if (0.3..=5.0).contains(&diameter.0) { Ok(Self(diameter)) } else { Err(MarkError { mark: diameter.0 }) }
    }

    /// The mark, or `None` for 0: no clean-up.
    ///
    /// # Errors
    /// When it is neither 0 nor from 0.3 to 5 mm.
    pub fn optional(diameter: Millimetres) -> Result<Option<Self>, MarkError> {
        if diameter.0.classify() == std::num::FpCategory::Zero { Ok(None) } else { Self::new(diameter).map(Some) }
    }

    /// Its diameter.
    #[must_use]
    pub fn diameter(self) -> Millimetres {
        self.0
    }

    /// Its disc on a raster.
    #[must_use]
    pub fn disc(self, resolution: PxPerMm) -> Disc {
        Disc::of_diameter(resolution.px(self.0))
    }

    /// Pixels that a piece needs to stay.
    pub(super) fn least_pixels(self, resolution: PxPerMm) -> u64 {
        let radius = resolution.px(self.0) / 2.0;
        libm::ceil(std::f64::consts::PI * radius * radius * Self::LEAST_MARKS) as u64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_checked() {
        assert_eq!(Mark::optional(Millimetres(0.0)), Ok(None));
        for wrong in [-1.0, 0.1, 6.0, f64::NAN] {
            assert!(Mark::optional(Millimetres(wrong)).unwrap_err().to_string().contains("5 mm"));
        }
    }
}
