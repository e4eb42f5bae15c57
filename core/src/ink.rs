//! Ink: what a printer knows of one, two patches or a colour and how strong it is, made into a film.
//!
//! A patch is a tone of a plate, so it holds the lands' paper too: [`Patch`] says which tone of the strip stood there, and the film in its
//! pits is worked out of it by Yule and Nielsen's mixing turned round. A full tone alone leaves open how much of a colour is taken away
//! and how much is scattered back; a second, pale patch of the same ink tells, since a film that scatters covers sooner as it thickens.
//! On white paper that is a small difference: colours on the sheet come back within 2 (CIEDE2000) from patches picked in bytes, but how light a pale ink is over
//! black can be off by 18 L* (found by trying) or more.

use crate::colour::Rgb;
use crate::film::Film;
use crate::overprint::{Inking, Meeting, Tint};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A printed patch: its colour, and the tone of the plate it was printed from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// Its mean colour.
    pub colour: Rgb,
    /// The lands and the film of the tone that printed it.
    pub tint: Tint,
}

/// What is known of an ink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Known {
    /// A full tone, and how opaque the ink is, 0 = transparent to 1 = covers everything (contrast ratio, ISO 6504-3): an estimate.
    Full {
        /// The patch.
        full: Patch,
        /// Opacity.
        opacity: f64,
    },
    /// A full tone and a pale one; they tell the opacity, channel by channel.
    Pair {
        /// The full tone.
        full: Patch,
        /// The pale one.
        pale: Patch,
    },
}

/// An ink at its full film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ink {
    /// The film.
    pub film: Film,
    /// How far the pale patch lies from what one ink makes of the full one, CIEDE2000; none without a pale patch. Above
    /// [`Ink::AGREES`] the patches are not of one ink, or not of the tones they are said to be.
    pub misfit: Option<f64>,
    /// How far the full patch lies from what its tone prints in this ink, CIEDE2000: more than a rounding where its colour is darker than the lands leave any
    /// ink, or lighter than any on that sheet.
    pub full_misfit: f64,
}

/// How a tube is used, apart from what it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Mixed {
    /// Share of transparent medium in it, 0..=0.95: the film is that much weaker.
    pub thinned: f64,
    /// Times as strong as the patch, 0.1..=3; 1 = as it was.
    pub strength: f64,
}

impl Default for Mixed {
    fn default() -> Self {
        Self { thinned: 0.0, strength: 1.0 }
    }
}

/// Patches that tell no ink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum InkError {
    /// A colour is not a number, or the tint not a bitten tone.
    Patch,
    /// The full tone is no darker than the pale one in any channel.
    Order,
}

impl fmt::Display for InkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Patch => "The colour of a bitten tone and of the sheet beside it were expected, one of them can't be read as such: choose the patch again.",
            Self::Order => "A full tone farther from the sheet than the pale one was expected, they came the other way round or alike: exchange the two patches or choose another pale one.",
        })
    }
}

impl std::error::Error for InkError {}

impl Ink {
    /// CIEDE2000 up to which two patches agree. Estimate of ours: two readings of one print differ by as much.
    pub const AGREES: f64 = 3.0;

    /// The ink of patches printed on `sheet`, by Yule and Nielsen's `n`.
    ///
    /// # Errors
    /// When a patch is no colour or no bitten tone, or the pale one is the fuller.
    pub fn new(known: Known, sheet: Rgb, n: f64) -> Result<Self, InkError> {
        let usable =
            |patch: &Patch| patch.colour.is_finite() && patch.tint.film > 1e-3 && patch.tint.lands < 0.995 && patch.tint.lands >= 0.0;
        match known {
            _ if !sheet.is_finite() => Err(InkError::Patch),
            Known::Full { full, .. } if !usable(&full) => Err(InkError::Patch),
            Known::Full { full, opacity } => {
                let film = film(&full, sheet, n, Rgb([opacity; 3]));
                Ok(Self { film, misfit: None, full_misfit: off(&film, &full, sheet, n) })
            }
            Known::Pair { full, pale } if !usable(&full) || !usable(&pale) => Err(InkError::Patch),
            Known::Pair { full, pale } => {
                let away = |patch: &Patch| patch.colour.lab().difference(sheet.lab());
                if away(&full) <= away(&pale) {
                    return Err(InkError::Order);
                }
                Ok(Self::of_pair(&full, &pale, sheet, n))
            }
        }
    }

    fn of_pair(full: &Patch, pale: &Patch, sheet: Rgb, n: f64) -> Self {
        // The channels don't touch one another, so one look tries all three. What fits goes up and down with the opacity, so the best of a
        // grid is taken first and then made finer.
        const STEPS: usize = 64;
        let apart =
            |opacity: Rgb| printed(&film(full, sheet, n, opacity), pale.tint, sheet, n).with(pale.colour, |made, seen| (made - seen).abs());
        let mut best = Rgb::default();
        let mut least = apart(best);
        for step in 1..=STEPS {
            let tried = step as f64 / STEPS as f64;
            let found = apart(Rgb([tried; 3]));
            for i in 0..3 {
                // More scatter only where it is plainly better: what can't be told stays transparent.
                if found.0[i] < least.0[i] - 1e-4 {
                    (least.0[i], best.0[i]) = (found.0[i], tried);
                }
            }
        }
        let mut reach = 1.0 / STEPS as f64;
        for _ in 0..24 {
            for side in [-reach, reach] {
                let tried = best.map(|opacity| (opacity + side).clamp(0.0, 1.0));
                let found = apart(tried);
                for i in 0..3 {
                    if found.0[i] < least.0[i] - 1e-7 {
                        (least.0[i], best.0[i]) = (found.0[i], tried.0[i]);
                    }
                }
            }
            reach *= 0.6;
        }
        let best = film(full, sheet, n, best);
        Self { film: best, misfit: Some(off(&best, pale, sheet, n)), full_misfit: off(&best, full, sheet, n) }
    }

    /// How far its full film hides what is beneath, 0 = not at all to 1: its luminance over black as a share of that on `sheet` (ISO 6504-3's contrast
    /// ratio, with the sheet at hand for the white).
    #[must_use]
    pub fn opacity(&self, sheet: Rgb) -> f64 {
        let layer = self.film.layer(1.0);
        let (black, white) = (layer.over(Rgb::default()).luminance().0, layer.over(sheet).luminance().0);
        if white > 0.0 { (black / white).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// What its patches don't agree in, in a sentence; none where they do.
    #[must_use]
    pub fn remark(&self) -> Option<String> {
        if self.full_misfit > Self::AGREES {
            let misfit = self.full_misfit;
            return Some(format!(
                "The full patch is {misfit:.0} (CIEDE2000) from the nearest that its tone prints in any ink, for so much of the grain stands in it: see whether it is of the darkest tone, and what sheet lay beside it."
            ));
        }
        self.misfit.filter(|&misfit| misfit > Self::AGREES).map(|misfit| {
            format!("The pale patch is {misfit:.0} (CIEDE2000) from what one ink makes of the full one: see whether both are of this ink, and whether the tone named printed it.")
        })
    }

    /// The film as mixed for use.
    #[must_use]
    pub fn mixed(&self, mixed: Mixed) -> Film {
        let times = mixed.strength.clamp(0.1, 3.0) * (1.0 - mixed.thinned.clamp(0.0, 0.95));
        Film { absorption: self.film.absorption.map(|k| k * times), scatter: self.film.scatter.map(|s| s * times) }
    }
}

/// What a tone prints in an ink alone.
fn printed(film: &Film, tint: Tint, sheet: Rgb, n: f64) -> Rgb {
    Meeting::of(sheet, &[Inking::new(tint, film, 1.0)], n).mean
}

/// How far a patch lies from what its tone prints in an ink, CIEDE2000.
fn off(film: &Film, patch: &Patch, sheet: Rgb, n: f64) -> f64 {
    printed(film, patch.tint, sheet, n).lab().difference(patch.colour.lab())
}

/// The film of a full patch: its pits' colour by Yule and Nielsen turned round, then as thick as full.
fn film(full: &Patch, sheet: Rgb, n: f64, opacity: Rgb) -> Film {
    let n = if n.is_nan() { 1.0 } else { n.clamp(1.0, 10.0) };
    let root = |channel: f64| libm::pow(channel.max(0.0), 1.0 / n);
    let lands = full.tint.lands;
    let pit = full.colour.with(sheet, |mean, sheet| libm::pow(((root(mean) - lands * root(sheet)) / (1.0 - lands)).max(0.0), n));
    let at = Film::of(pit, sheet, opacity);
    let times = 1.0 / full.tint.film;
    Film { absorption: at.absorption.map(|k| k * times), scatter: at.scatter.map(|s| s * times) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    const SHEET: Rgb = Rgb([0.84, 0.82, 0.74]);
    const N: f64 = 1.8;

    fn tint(lands: f64, film: f64) -> Tint {
        Tint { lands, film, veil: 0.0 }
    }

    #[test]
    fn a_full_patch_comes_back() {
        for opacity in [0.0, 0.4, 1.0] {
            let full = Patch { colour: Rgb([0.4, 0.2, 0.06]), tint: tint(0.04, 1.0) };
            let ink = Ink::new(Known::Full { full, opacity }, SHEET, N).unwrap();
            let made = printed(&ink.film, full.tint, SHEET, N);
            for i in 0..3 {
                assert_abs_diff_eq!(made.0[i], full.colour.0[i], epsilon = 3e-3);
            }
        }
    }

    #[test]
    fn what_tells_no_ink_is_refused_in_sentences() {
        let full = Patch { colour: Rgb([0.1; 3]), tint: tint(0.04, 1.0) };
        let pale = Patch { colour: Rgb([0.6; 3]), tint: tint(0.6, 0.3) };
        for (known, word) in [
            (Known::Pair { full: pale, pale: full }, "other way round"),
            (Known::Pair { full, pale: full }, "other way round"),
            (Known::Full { full: Patch { tint: tint(1.0, 0.0), ..full }, opacity: 0.0 }, "bitten tone"),
            (Known::Full { full: Patch { colour: Rgb([f64::NAN; 3]), ..full }, opacity: 0.0 }, "can't be read"),
        ] {
            let said = Ink::new(known, SHEET, N).unwrap_err().to_string();
            assert!(said.contains(word) && said.ends_with('.'), "{said}");
        }
    }

    #[test]
    fn an_ink_says_how_it_hides_and_whether_its_patches_agree() {
        let full = Patch { colour: Rgb([0.4, 0.2, 0.06]), tint: tint(0.0, 1.0) };
        for opacity in [0.3, 0.7, 1.0] {
            let ink = Ink::new(Known::Full { full, opacity }, SHEET, N).unwrap();
            assert_abs_diff_eq!(ink.opacity(SHEET), opacity, epsilon = 5e-3);
            assert_eq!(ink.remark(), None);
        }
        assert_abs_diff_eq!(Ink::new(Known::Full { full, opacity: 0.0 }, SHEET, N).unwrap().opacity(SHEET), 0.0, epsilon = 1e-6);
        // A black full patch is of no tone of which a third is paper.
        let black = Patch { colour: Rgb([0.02; 3]), tint: tint(0.3, 1.0) };
        let odd = Ink::new(Known::Full { full: black, opacity: 0.0 }, SHEET, N).unwrap();
        assert!(odd.full_misfit > 10.0 && odd.remark().unwrap().starts_with("The full patch is"), "{odd:?}");
        // A green pale patch is of no red ink.
        let pale = Patch { colour: Rgb([0.3, 0.6, 0.3]), tint: tint(0.5, 0.4) };
        let odd = Ink::new(Known::Pair { full, pale }, SHEET, N).unwrap();
        assert!(odd.remark().unwrap().ends_with('.'), "{odd:?}");
    }

    proptest! {
        #[test]
        fn two_patches_of_one_ink_tell_it(k in prop::array::uniform3(0.3..2.5f64), s in prop::array::uniform3(0.0..1.5f64)) {
            let true_film = Film { absorption: Rgb(k), scatter: Rgb(s) };
            let at = |tint| Patch { colour: printed(&true_film, tint, SHEET, N), tint };
            let (full, pale) = (at(tint(0.03, 1.0)), at(tint(0.45, 0.35)));
            prop_assume!(full.colour.lab().difference(SHEET.lab()) > pale.colour.lab().difference(SHEET.lab()) + 1.0);
            let ink = Ink::new(Known::Pair { full, pale }, SHEET, N).unwrap();
            prop_assert!(ink.misfit.unwrap() < 0.5, "{ink:?}");
            // A tone that was not among them comes out alike.
            let between = tint(0.2, 0.7);
            prop_assert!(printed(&ink.film, between, SHEET, N).lab().difference(printed(&true_film, between, SHEET, N).lab()) < 1.0);
        }

        #[test]
        fn patches_picked_in_bytes_tell_it_nearly_as_well(k in prop::array::uniform3(0.1..2.5f64), s in prop::array::uniform3(0.0..1.5f64)) {
            let true_film = Film { absorption: Rgb(k), scatter: Rgb(s) };
            let at = |tint| Patch { colour: Rgb::from_bytes(printed(&true_film, tint, SHEET, N).bytes()), tint };
            let (full, pale) = (at(tint(0.03, 1.0)), at(tint(0.45, 0.35)));
            prop_assume!(full.colour.lab().difference(SHEET.lab()) > pale.colour.lab().difference(SHEET.lab()) + 1.0);
            let ink = Ink::new(Known::Pair { full, pale }, SHEET, N).unwrap();
            prop_assert!(ink.misfit.unwrap() < 1.5, "{ink:?}");
            for tint in [tint(0.2, 0.7), tint(0.6, 0.15), tint(0.03, 1.0)] {
                let off = printed(&ink.film, tint, SHEET, N).lab().difference(printed(&true_film, tint, SHEET, N).lab());
                prop_assert!(off < 2.0, "{off} at {tint:?}, {ink:?}");
            }
        }
    }
}
