//! Registration of a second run on a sheet that was printed on before: how far the paper's growth takes the first print from its plates.
//!
//! Laid middle on middle, growth is even to both sides: nothing in the middle, most at the ends. Where the sheet stays caught under the roller it
//! grows from there, all of it to the other end.

use crate::bed::{Feed, Laid, Lies};
use serde::Serialize;
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

/// How far the print before lies beside a plate at its four edges, mm, print view: positive where it has gone to the right or down.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fringe {
    /// The plate's letter.
    pub letter: String,
    /// Where the plate lies on the sheet.
    pub plate: Lies,
    /// Where what it printed before has gone to.
    pub before: Lies,
    /// At its left, right, top and foot.
    pub edges: [f64; 4],
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

    /// The point of the print that stays where it is, print view, mm from the sheet's corner: the sheet's middle, but along the way of the bed the
    /// line where the roller lets go of it.
    #[must_use]
    pub fn still(&self) -> (f64, f64) {
        let print = &self.laid.print;
        let (mut x, mut y) = (print.width / 2.0, print.height / 2.0);
        if let Some(grip) = &self.laid.grip {
            // The end that goes in last is the bed's other end: mirrored in the print, or its top where rows lie across.
            match (self.laid.across, self.laid.feed) {
                (false, Feed::Left) => x = grip.width,
                (false, Feed::Right) => x = print.width - grip.width,
                (true, Feed::Left) => y = grip.width,
                (true, Feed::Right) => y = print.height - grip.width,
            }
        }
        (x, y)
    }

    /// Where what lay at a point of the sheet before lies on the grown one, print view, mm: from [`Self::still`] outwards. What is caught under
    /// the roller stays.
    #[must_use]
    pub fn grown(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (across, down) = self.growth.in_print();
        let (still_x, still_y) = self.still();
        // Which end of the print is caught: its beginning (left or top) or its other one.
        let begins = self.laid.feed == Feed::Left;
        let held = |at: f64, still: f64, along: bool| self.laid.grip.is_some() && along && if begins { at < still } else { at > still };
        let to = |at: f64, still: f64, share: f64, held: bool| if held { at } else { still + (at - still) * (1.0 + share) };
        (to(x, still_x, across, held(x, still_x, !self.laid.across)), to(y, still_y, down, held(y, still_y, self.laid.across)))
    }

    /// The plates with what they printed before, as it lies beside them.
    #[must_use]
    pub fn fringes(&self) -> Vec<Fringe> {
        let one = |placed: &crate::bed::Placed| {
            let (plate, before) = (placed.print, self.grown_box(&placed.print));
            let edges = [before.x - plate.x, before.right() - plate.right(), before.y - plate.y, before.foot() - plate.foot()];
            Fringe { letter: placed.letter.clone(), plate, before, edges }
        };
        self.laid.plates.iter().map(one).collect()
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
        let grows =
            format!("From one run to the next the sheet {} across the print and {} down it (fibre from {fibre}).", by(across), by(down));
        if self.laid.grip.is_none() {
            return format!(
                "{grows} Laid middle on middle, the print before lies ±{x:.2} mm beside the plates at the left and right ends, ±{y:.2} mm at top and foot, \
                 and not at all in the middle."
            );
        }
        let (along, aside, end, sides) = match (self.laid.across, self.laid.feed) {
            (false, Feed::Left) => (x, y, "right end", "top and foot"),
            (false, Feed::Right) => (x, y, "left end", "top and foot"),
            (true, Feed::Left) => (y, x, "foot", "the left and right ends"),
            (true, Feed::Right) => (y, x, "top", "the left and right ends"),
        };
        format!(
            "{grows} Caught under the roller it grows from there: the print before lies {along:.2} mm beside the plates at the {end} of the print, which \
             is farthest from the roller, and ±{aside:.2} mm at {sides}."
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
        // Caught under the roller for 65 mm, all of the growth goes to the other end: by hand, 1 % of the 490 mm from the grip on. The feed's end
        // goes in first, so that the grip lies at the print's left.
        let off = Registration::of(laid(65.0), growth).unwrap();
        assert_eq!(off.laid().plates[0].print.x, 65.0);
        assert_eq!(off.still(), (65.0, 190.0));
        assert_abs_diff_eq!(off.misfit().0, 4.9, epsilon = 1e-9);
        assert_eq!(off.grown((30.0, 190.0)), (30.0, 190.0));
        let edges = off.fringes()[0].edges;
        assert_abs_diff_eq!(edges[0], 0.0, epsilon = 1e-9);
        assert_abs_diff_eq!(edges[1], 4.9, epsilon = 1e-9);
        assert_abs_diff_eq!(edges[2], -0.18, epsilon = 1e-9);
        let said = off.sentence();
        assert!(
            said.contains("4.90 mm beside the plates at the right end of the print") && said.contains("±0.18 mm at top and foot"),
            "{said}"
        );
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

    #[test]
    fn wherever_the_grip_lies_growth_begins_there() {
        // The grip of the bed, mapped back into the print by the mirror alone.
        for (along, feed) in [(true, Feed::Left), (true, Feed::Right), (false, Feed::Left), (false, Feed::Right)] {
            let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
            let plate = InRow {
                letter: "A".to_owned(),
                standing: Standing { plate: 0, turned: false },
                size: size(200.0, 150.0),
                top: Millimetres(0.0),
            };
            let asked =
                Asked { bed: size(900.0, 900.0), sheet: size(600.0, 500.0), along, feed, grip: Millimetres(80.0), ..Asked::default() };
            let of =
                Registration::of(lay(&[vec![plate]], &asked).unwrap(), Growth { along: 0.01, across: 0.01, fibre_across: false }).unwrap();
            let grip = of.laid().grip.unwrap();
            let at = of.laid().to_bed(of.still());
            assert!(
                (at.0 - grip.x).abs() < 1e-9 || (at.0 - grip.right()).abs() < 1e-9,
                "{along} {feed:?}: {at:?} is on no edge of {grip:?}"
            );
            // On the bed nothing of the grip moves, and the sheet's far end moves by 1 % of what is free.
            let grown = of.laid().box_to_bed(&of.grown_box(&of.laid().print));
            let far = if feed == Feed::Left { of.laid().sheet.x - grown.x } else { grown.right() - of.laid().sheet.right() };
            assert_abs_diff_eq!(far, 0.01 * (of.laid().sheet.width - 80.0), epsilon = 1e-9);
            let near = if feed == Feed::Left { grown.right() - of.laid().sheet.right() } else { of.laid().sheet.x - grown.x };
            assert_abs_diff_eq!(near, 0.0, epsilon = 1e-9);
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
