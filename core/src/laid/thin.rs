//! Thin: one thin paper, what it gives back and what it lets through, from patches of it over light and dark.
//!
//! A paper has two sides, and they may differ: what it gives back over black is R of the good side and R' of the other, what it lets through
//! is T from either (P. Kubelka, J. Opt. Soc. Am. 44 (1954) 330-335). Laid on a ground g it shows R + T²g/(1 − R'g), R being the side
//! seen and R' the one that lies on the ground. The paste between is not in it, nor what damping does to a paper: dry patches tell of the dry print.

use crate::colour::Rgb;
use crate::film::Film;
use std::fmt;

/// A thin paper, each channel 0..=1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thin {
    /// What its good side gives back over black, R.
    pub good: Rgb,
    /// What its other side does, R'.
    pub back: Rgb,
    /// What it lets through, T.
    pub through: Rgb,
}

/// Patches of a thin paper, good side up but for the last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patches {
    /// Its colour over something light, say the print's sheet.
    pub on_white: Rgb,
    /// Its colour over something dark.
    pub on_black: Rgb,
    /// The other side over the light ground, where the two differ.
    pub back: Option<Rgb>,
    /// The light ground bare.
    pub white: Rgb,
    /// The dark one.
    pub black: Rgb,
}

impl Patches {
    /// A matt black to lay a paper over, such as a full black of a print, where nobody measured it: L* 20, a density of 1.52. An estimate.
    pub const BLACK: Rgb = Rgb([0.03; 3]);
}

/// Patches that tell no paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ThinError {
    /// A colour is not a number.
    Colour,
    /// The grounds are alike, or the dark one is lighter.
    Grounds,
    /// The paper is lighter over the dark ground than over the light one.
    Order,
}

impl fmt::Display for ThinError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Colour => "The colours of a thin paper over white and over black were expected, one of them can't be read: choose the patch again.",
            Self::Grounds => "A thin paper is told by a light and a dark ground, the two that came are as light as each other or the other way round: lay it over the bare sheet and over a full black.",
            Self::Order => "A thin paper is darker over black than over white, these came the other way round: exchange the two colours.",
        })
    }
}

impl std::error::Error for ThinError {}

/// L* by which a paper over black may be read lighter than over white before the patches count as exchanged: two readings of one opaque
/// paper differ by as much. An estimate.
const ALIKE: f64 = 1.0;

impl Thin {
    /// CIEDE2000 up to which patches are of one paper. Estimate of ours: two readings of one patch differ by as much.
    pub const AGREES: f64 = 3.0;
    /// Scattering of an unfilled paper for its weight, m² a kg: 25 to 40 is usual, from memory; an estimate to begin with.
    pub const SCATTERING: f64 = 30.0;

    /// The paper that patches tell.
    ///
    /// What no paper does (lighter over the sheet than any layer makes it) comes out as the nearest that one can, so see [`Thin::misfit`].
    ///
    /// # Errors
    /// When a colour is no number, or the patches or grounds are the wrong way round.
    pub fn of(patches: &Patches) -> Result<Self, ThinError> {
        let Patches { on_white, on_black, back, white, black } = *patches;
        if ![on_white, on_black, white, black, back.unwrap_or(on_white)].iter().all(|colour| colour.is_finite()) {
            return Err(ThinError::Colour);
        }
        let lightness = |colour: Rgb| colour.luminance().lightness().0;
        if lightness(white) < lightness(black) + 10.0 {
            return Err(ThinError::Grounds);
        }
        if lightness(on_black) > lightness(on_white) + ALIKE {
            return Err(ThinError::Order);
        }
        let mut thin = Self { good: Rgb::default(), back: Rgb::default(), through: Rgb::default() };
        for i in 0..3 {
            let of = |colour: Rgb| colour.0[i].clamp(0.0, 0.999);
            let channel =
                Channel { white: of(on_white), black: of(on_black), grounds: (of(white), of(black).min(of(white) - 0.01).max(0.0)) };
            let (good, other, through) = channel.solved(back.map(of));
            (thin.good.0[i], thin.back.0[i], thin.through.0[i]) = (good, other, through);
        }
        Ok(thin)
    }

    /// A paper by the colour of a thick pad of it and its weight, g a m²: [`Self::SCATTERING`] is an estimate, patches tell better.
    #[must_use]
    pub fn of_weight(pad: Rgb, grams: f64) -> Self {
        let grams = if grams.is_nan() { 0.0 } else { grams.clamp(0.0, 1000.0) };
        let scatter = Self::SCATTERING * grams / 1000.0;
        // Kubelka and Munk: K/S = (1 − R∞)²/2R∞.
        let absorption = pad.map(|r| {
            let r = if r.is_nan() { 1.0 } else { r.clamp(0.005, 1.0) };
            scatter * (1.0 - r) * (1.0 - r) / (2.0 * r)
        });
        let layer = Film { absorption, scatter: Rgb([scatter; 3]) }.layer(1.0);
        Self { good: layer.back, back: layer.back, through: layer.through }
    }

    /// What is seen of a ground with this paper laid on it; `turned` = the other side to the eye and the ink.
    #[must_use]
    pub fn over(&self, ground: Rgb, turned: bool) -> Rgb {
        let (seen, beneath) = if turned { (self.back, self.good) } else { (self.good, self.back) };
        let mut over = ground;
        for i in 0..3 {
            let (r, t, below, g) = (seen.0[i], self.through.0[i], beneath.0[i], ground.0[i].clamp(0.0, 1.0));
            over.0[i] = r + t * t * g / (1.0 - below * g).max(1e-9);
        }
        over
    }

    /// How far this paper is from the patches it was told by, CIEDE2000, the farthest of them. Above [`Self::AGREES`] they are not of one paper over these grounds.
    #[must_use]
    pub fn misfit(&self, patches: &Patches) -> f64 {
        let off = |ground: Rgb, turned: bool, seen: Rgb| self.over(ground, turned).lab().difference(seen.lab());
        let face = off(patches.white, false, patches.on_white).max(off(patches.black, false, patches.on_black));
        patches.back.map_or(face, |back| face.max(off(patches.white, true, back)))
    }
}

impl Patches {
    /// What the patches don't agree in, in a sentence; none where one paper makes them all, or they tell none.
    #[must_use]
    pub fn remark(&self) -> Option<String> {
        let off = Thin::of(self).ok()?.misfit(self);
        (off > Thin::AGREES).then(|| {
            format!(
                "No one paper has these colours over light and dark: the nearest is {off:.0} (CIEDE2000) off. See whether they are of one paper, and which sheet lay under it."
            )
        })
    }
}

/// One channel of the patches.
struct Channel {
    white: f64,
    black: f64,
    grounds: (f64, f64),
}

impl Channel {
    /// R, R' and T; `other` is the other side's colour over the light ground, none where both sides are alike.
    fn solved(&self, other: Option<f64>) -> (f64, f64, f64) {
        let (gw, gb) = self.grounds;
        let Some(other) = other else {
            // With R = R' what the two patches say of T², once each, leaves R alone: the squares of it fall out.
            let below = gw * (1.0 + self.black * gb) - gb * (1.0 + self.white * gw);
            let r = ((gw * self.black - gb * self.white) / below.max(1e-9)).clamp(0.0, self.white);
            let (good, through) = self.with(r, r);
            return (good, good, through);
        };
        // R' higher means more of what comes through comes back, so the other side's colour rises with it: found by halving.
        // What is too bright for any paper is only cut down at the end: it would turn that rise round.
        let seen = |back: f64| {
            let good = self.good(back);
            back + self.squared(good, back) * gw / (1.0 - good * gw).max(1e-9)
        };
        let (mut low, mut high) = (0.0, other);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if seen(middle) < other {
                low = middle;
            } else {
                high = middle;
            }
        }
        let back = 0.5 * (low + high);
        let (good, through) = self.with(self.good(back), back);
        (good, back, through)
    }

    /// R, when R' is known: both patches of the good side.
    fn good(&self, back: f64) -> f64 {
        let lit = |g: f64| g / (1.0 - back * g).max(1e-9);
        let (white, black) = (lit(self.grounds.0), lit(self.grounds.1));
        let squared = ((self.white - self.black) / (white - black).max(1e-9)).max(0.0);
        (self.white - squared * white).clamp(0.0, self.white)
    }

    /// R and T, R' being known: T as the light ground tells it, but no side gives back and lets through more than it gets.
    fn with(&self, good: f64, back: f64) -> (f64, f64) {
        (good, self.squared(good, back).sqrt().min(1.0 - good.max(back)).max(0.0))
    }

    /// T², as the light ground tells it.
    fn squared(&self, good: f64, back: f64) -> f64 {
        ((self.white - good) * (1.0 - back * self.grounds.0) / self.grounds.0.max(1e-3)).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Layer;
    use crate::light::Reflectance;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    const SHEET: Rgb = Rgb([0.85, 0.83, 0.76]);
    const BLACK: Rgb = Rgb([0.03, 0.03, 0.035]);

    fn patches(on_white: f64, on_black: f64) -> Patches {
        Patches { on_white: Rgb([on_white; 3]), on_black: Rgb([on_black; 3]), back: None, white: SHEET, black: BLACK }
    }

    #[test]
    fn an_opaque_paper_hides_the_sheet_and_tracing_tissue_hardly() {
        let opaque = Thin::of(&patches(0.5, 0.5)).unwrap();
        assert_abs_diff_eq!(opaque.over(BLACK, false).0[0], 0.5, epsilon = 1e-9);
        assert_abs_diff_eq!(opaque.through.0[0], 0.0, epsilon = 1e-4);
        let clear = Thin::of(&Patches { on_white: SHEET, on_black: BLACK, back: None, white: SHEET, black: BLACK }).unwrap();
        for i in 0..3 {
            assert_abs_diff_eq!(clear.through.0[i], 1.0, epsilon = 1e-9);
            assert_abs_diff_eq!(clear.good.0[i], 0.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn what_no_paper_does_comes_out_as_the_nearest_and_its_misfit_says_so() {
        // Far lighter than the sheet, and black over black: no layer does both.
        let odd = patches(0.99, 0.03);
        let thin = Thin::of(&odd).unwrap();
        assert!((0..3).all(|i| thin.good.0[i] + thin.through.0[i] <= 1.0 + 1e-12));
        assert!(thin.misfit(&odd) > 3.0);
        assert!(odd.remark().unwrap().ends_with('.') && patches(0.74, 0.3).remark().is_none());
        let usual = patches(0.74, 0.3);
        assert!(Thin::of(&usual).unwrap().misfit(&usual) < 1e-6);
    }

    #[test]
    fn patches_that_tell_nothing_are_refused_in_sentences() {
        for (patches, word) in [
            (patches(0.3, 0.7), "exchange"),
            (Patches { black: SHEET, ..patches(0.7, 0.3) }, "light and a dark ground"),
            (patches(f64::NAN, 0.3), "can't be read"),
        ] {
            let said = Thin::of(&patches).unwrap_err().to_string();
            assert!(said.contains(word) && said.ends_with('.'), "{said}");
        }
    }

    #[test]
    fn a_heavier_paper_covers_more_and_a_pad_is_its_own_colour() {
        let pad = Rgb([0.8, 0.74, 0.6]);
        let covers = |grams: f64| {
            let thin = Thin::of_weight(pad, grams);
            thin.over(BLACK, false).luminance().0 / thin.over(SHEET, false).luminance().0
        };
        assert!(covers(10.0) < covers(30.0) && covers(30.0) < covers(90.0));
        let pile = Thin::of_weight(pad, 1000.0).over(BLACK, false);
        for i in 0..3 {
            assert_abs_diff_eq!(pile.0[i], pad.0[i], epsilon = 1e-3);
        }
        assert_eq!(Thin::of_weight(pad, f64::NAN).over(SHEET, false), SHEET);
    }

    proptest! {
        #[test]
        fn a_paper_of_two_sides_comes_back_from_its_patches(good in 0.02..0.7f64, back in 0.02..0.7f64, through in 0.05..1.0f64) {
            let through = through * (1.0 - f64::max(good, back));
            let paper = Thin { good: Rgb([good; 3]), back: Rgb([back; 3]), through: Rgb([through; 3]) };
            let patches = Patches {
                on_white: paper.over(SHEET, false),
                on_black: paper.over(BLACK, false),
                back: Some(paper.over(SHEET, true)),
                white: SHEET,
                black: BLACK,
            };
            let found = Thin::of(&patches).unwrap();
            for i in 0..3 {
                prop_assert!((found.good.0[i] - good).abs() < 1e-6, "{found:?}");
                prop_assert!((found.back.0[i] - back).abs() < 1e-6, "{found:?}");
                prop_assert!((found.through.0[i] - through).abs() < 1e-6, "{found:?}");
            }
        }

        #[test]
        fn no_patches_make_a_paper_that_gives_more_than_it_gets(white in 0.0..1.2f64, black in 0.0..1.2f64, back in prop::option::of(0.0..1.2f64), ground in 0.0..1.0f64) {
            let patches = Patches { back: back.map(|back| Rgb([back; 3])), ..patches(white, black) };
            if let Ok(thin) = Thin::of(&patches) {
                for turned in [false, true] {
                    let over = thin.over(Rgb([ground; 3]), turned).0[0];
                    prop_assert!((0.0..=1.0 + 1e-9).contains(&over), "{thin:?} {over}");
                }
            }
        }

        #[test]
        fn alike_on_both_sides_it_is_a_layer(good in 0.02..0.7f64, through in 0.05..1.0f64, ground in 0.0..1.0f64) {
            let through = through * (1.0 - good);
            let thin = Thin { good: Rgb([good; 3]), back: Rgb([good; 3]), through: Rgb([through; 3]) };
            let layer = Layer { back: thin.good, through: thin.through };
            let ground = Rgb::grey(Reflectance(ground));
            prop_assert!((thin.over(ground, false).0[0] - layer.over(ground).0[0]).abs() < 1e-12);
            prop_assert_eq!(thin.over(ground, false), thin.over(ground, true));
        }
    }
}
