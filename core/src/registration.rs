//! Registration of a second run on a sheet that was printed on before: how far the paper's growth takes the first print from its plates.
//!
//! Laid middle on middle, growth is even to both sides: nothing in the middle, most at the ends.

use crate::bed::{Laid, Lies};
use std::fmt;

/// The most that a paper is taken to grow or to shrink, either way: 10 %. No rag paper does half as much (estimate).
pub const MOST_GROWTH: f64 = 0.1;

/// How a paper grows from one run to the next, as shares of its length: damp it grows, drying it shrinks (negative).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    /// Along the fibre.
    pub along: f64,
    /// Across the fibre.
    pub across: f64,
    /// Whether the fibre runs across the print, from its left to its right; else from its top to its foot.
    pub fibre_across: bool,
}

impl Growth {
    /// Across the print and down it.
    #[must_use]
    pub fn in_print(self) -> (f64, f64) {
        if self.fibre_across { (self.along, self.across) } else { (self.across, self.along) }
    }
}

/// Plates as they lie and a paper that grows between two runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Registration {
    laid: Laid,
    growth: Growth,
}

/// A growth that is none of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrowthError(f64);

impl fmt::Display for GrowthError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Paper grows by −10 to 10 %; {} % came: measure 300 mm on the sheet before and after damping.", 100.0 * self.0)
    }
}

impl std::error::Error for GrowthError {}

impl Registration {
    /// Of plates on the bed.
    ///
    /// # Errors
    /// When a growth is over [`MOST_GROWTH`] or no number.
    pub fn of(laid: Laid, growth: Growth) -> Result<Self, GrowthError> {
        for share in [growth.along, growth.across] {
            if !(share.is_finite() && share.abs() <= MOST_GROWTH) {
                return Err(GrowthError(share));
            }
        }
        Ok(Self { laid, growth })
    }

    /// The plates and the sheet.
    #[must_use]
    pub fn laid(&self) -> &Laid {
        &self.laid
    }

    /// How the paper grows.
    #[must_use]
    pub fn growth(&self) -> Growth {
        self.growth
    }

    /// Where what lay at a point of the sheet before lies on the grown one, print view, mm: from the middle outwards.
    #[must_use]
    pub fn grown(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (across, down) = self.growth.in_print();
        let (middle, half) = (self.laid.print.width / 2.0, self.laid.print.height / 2.0);
        (middle + (x - middle) * (1.0 + across), half + (y - half) * (1.0 + down))
    }

    /// A box of the print on the grown sheet.
    #[must_use]
    pub fn grown_box(&self, of: &Lies) -> Lies {
        let ((left, top), (right, foot)) = (self.grown((of.x, of.y)), self.grown((of.right(), of.foot())));
        Lies { x: left, y: top, width: right - left, height: foot - top }
    }

    /// How far the first print lies beside its plates at the ends of them all: at left or right, whichever is more, and at top or foot, mm.
    #[must_use]
    pub fn misfit(&self) -> (f64, f64) {
        let (block, grown) = (self.laid.block, self.grown_box(&self.laid.block));
        let most = |a: f64, b: f64| a.abs().max(b.abs());
        (most(grown.x - block.x, grown.right() - block.right()), most(grown.y - block.y, grown.foot() - block.foot()))
    }

    /// The same in a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let (across, down) = self.growth.in_print();
        if across == 0.0 && down == 0.0 {
            return "The paper is taken to stay as it is: every run comes down on the one before.".to_owned();
        }
        let by = |share: f64| {
            let percent = libm::round(share.abs() * 10_000.0) / 100.0;
            format!("{} {percent} %", if share < 0.0 { "shrinks" } else { "grows" })
        };
        let (x, y) = self.misfit();
        let fibre = if self.growth.fibre_across { "left to right" } else { "top to foot" };
        format!(
            "From one run to the next the sheet {} across the print and {} down it (fibre from {fibre}). Laid middle on middle, the print before lies ±{x:.2} mm \
             beside the plates at the left and right ends, ±{y:.2} mm at top and foot, and not at all in the middle.",
            by(across),
            by(down)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bed::{Asked, InRow, lay};
    use crate::plate::SizeMm;
    use crate::rows::Standing;
    use crate::units::Millimetres;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn laid(grip: f64) -> Laid {
        let size = SizeMm { width: Millimetres(490.0), height: Millimetres(180.0) };
        let row = vec![InRow { letter: "A".to_owned(), standing: Standing { plate: 0, turned: false }, size, top: Millimetres(0.0) }];
        lay(&[row], &Asked { grip: Millimetres(grip), ..Asked::default() }).unwrap()
    }

    #[test]
    fn one_per_cent_over_490_mm_is_2_45_mm_at_either_end() {
        let growth = Growth { along: 0.002, across: 0.01, fibre_across: false };
        let found = Registration::of(laid(0.0), growth).unwrap();
        let (x, y) = found.misfit();
        assert_abs_diff_eq!(x, 2.45, epsilon = 1e-9);
        assert_abs_diff_eq!(y, 0.18, epsilon = 1e-9);
        assert_eq!(found.grown((300.0, 190.0)), (300.0, 190.0));
        let said = found.sentence();
        assert!(said.contains("grows 1 % across the print") && said.contains("±2.45 mm") && said.contains("±0.18 mm"), "{said}");
        let along = Registration::of(laid(0.0), Growth { fibre_across: true, ..growth }).unwrap();
        assert_abs_diff_eq!(along.misfit().0, 0.49, epsilon = 1e-9);
        // With the plates off the middle, one end is worse: 490 mm from 65 mm on, the middle at 300.
        let off = Registration::of(laid(65.0), growth).unwrap();
        assert_abs_diff_eq!(off.misfit().0, 0.01 * 255.0, epsilon = 1e-9);
        let still = Growth { along: 0.0, across: 0.0, fibre_across: true };
        assert!(Registration::of(laid(0.0), still).unwrap().sentence().contains("stay as it is"));
        assert!(Registration::of(laid(0.0), Growth { along: -0.01, ..still }).unwrap().sentence().contains("shrinks 1 % across"));
    }

    #[test]
    fn what_no_paper_does_is_refused() {
        for share in [0.11, -0.2, f64::NAN] {
            let error = Registration::of(laid(0.0), Growth { along: share, across: 0.0, fibre_across: true }).unwrap_err();
            assert!(error.to_string().contains("−10 to 10 %"));
        }
    }

    proptest! {
        #[test]
        fn no_corner_is_farther_off_than_is_said(along in -0.1..0.1f64, across in -0.1..0.1f64, fibre_across in any::<bool>(), grip in 0.0..65.0f64) {
            let found = Registration::of(laid(grip), Growth { along, across, fibre_across }).unwrap();
            for plate in &found.laid().plates {
                let grown = found.grown_box(&plate.print);
                let off = (grown.x - plate.print.x).abs().max((grown.right() - plate.print.right()).abs());
                prop_assert!(off <= found.misfit().0 + 1e-9);
            }
        }
    }
}
