//! Films: a layer that takes light away and scatters it back, over whatever lies beneath.
//!
//! Kubelka and Munk's layer in the closed forms of P. Kubelka, J. Opt. Soc. Am. 38 (1948) 448-457, and layers over one another after
//! J. Opt. Soc. Am. 44 (1954) 330-335. The light inside is taken as diffuse, the surface gives none back of its own: a glossy ink and a
//! damp sheet are not told by it.

use crate::colour::Rgb;
use serde::{Deserialize, Serialize};

/// What a film's full thickness does to each channel: KX and SX, pure numbers, 0 or more.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Film {
    /// Absorption times thickness.
    pub absorption: Rgb,
    /// Scatter times thickness; 0 = transparent.
    pub scatter: Rgb,
}

/// What a layer does by itself, each channel: what it gives back over black, and what it lets through.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Layer {
    /// Reflectance over black, R₀.
    pub back: Rgb,
    /// Transmittance, T.
    pub through: Rgb,
}

/// The most that the larger of KX and SX is worked with: beyond it a channel is as covered as it can be.
const MOST: f64 = 60.0;

/// R₀ and T of one channel.
fn channel(k: f64, s: f64) -> (f64, f64) {
    let (k, s) = (k.clamp(0.0, f64::MAX), s.clamp(0.0, f64::MAX));
    // Both by one factor: what an endless film gives back hangs on how much of it absorbs for what scatters.
    let least = (MOST / k.max(s)).min(1.0);
    let (k, s) = (k * least, s * least);
    // Kubelka's bSX is √(k(k + 2s)); with it all the closed forms hold for s = 0 and k = 0 as well.
    let z = libm::sqrt(k * (k + 2.0 * s));
    // sinh z / z and cosh z, both times 2e^(-z) so that they never overflow.
    let fall = libm::exp(-2.0 * z);
    let sinh = if z > 1e-6 { (1.0 - fall) / z } else { 2.0 - 2.0 * z };
    let cosh = 1.0 + fall;
    let below = (s + k) * sinh + cosh;
    (s * sinh / below, 2.0 * libm::exp(-z) / below)
}

impl Film {
    /// The film `thickness` times as thick as full: 0 = none, 1 = full.
    #[must_use]
    pub fn layer(&self, thickness: f64) -> Layer {
        let thickness = thickness.max(0.0);
        let mut back = Rgb::default();
        let through = self.absorption.with(self.scatter, |k, s| channel(k * thickness, s * thickness).1);
        back.0 = self.absorption.with(self.scatter, |k, s| channel(k * thickness, s * thickness).0).0;
        Layer { back, through }
    }

    /// The film of a unit of thickness `factor` times as large; none where that is no number or negative.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        let factor = if factor > 0.0 && factor.is_finite() { factor } else { 0.0 };
        Self { absorption: self.absorption.map(|k| k * factor), scatter: self.scatter.map(|s| s * factor) }
    }

    /// The film that gives back `over` on `ground` and, over black, the share `opacity` (0..=1, channel by channel) of that: the contrast ratio of ISO 2471
    /// and ISO 6504-3, but with the sheet at hand for the white. A channel brighter than the ground can be made by scatter alone, so it
    /// gets the least opacity that does it.
    #[must_use]
    pub fn of(over: Rgb, ground: Rgb, opacity: Rgb) -> Self {
        let mut film = Self::default();
        for i in 0..3 {
            let opacity = if opacity.0[i].is_nan() { 0.0 } else { opacity.0[i].clamp(0.0, 1.0) };
            let (k, s) = solve(over.0[i].clamp(1e-4, 0.999), ground.0[i].clamp(1e-3, 0.9999), opacity);
            film.absorption.0[i] = k;
            film.scatter.0[i] = s;
        }
        film
    }
}

impl Layer {
    /// Nothing at all.
    pub const NONE: Self = Self { back: Rgb([0.0; 3]), through: Rgb::WHITE };

    /// What is seen of `ground` with this layer over it (Kubelka 1954).
    #[must_use]
    pub fn over(&self, ground: Rgb) -> Rgb {
        let mut seen = self.back;
        for i in 0..3 {
            let (r0, t, rg) = (self.back.0[i], self.through.0[i], ground.0[i]);
            seen.0[i] = r0 + t * t * rg / (1.0 - r0 * rg).max(1e-9);
        }
        seen
    }

    /// This layer over another: one layer that does what both do. Both alike from either side.
    #[must_use]
    pub fn on(&self, beneath: &Self) -> Self {
        let mut both = *self;
        for i in 0..3 {
            let between = (1.0 - self.back.0[i] * beneath.back.0[i]).max(1e-9);
            both.back.0[i] = self.back.0[i] + self.through.0[i] * self.through.0[i] * beneath.back.0[i] / between;
            both.through.0[i] = self.through.0[i] * beneath.through.0[i] / between;
        }
        both
    }
}

/// KX and SX of the channel that gives `over` on `ground` and `opacity · over` on black, or the least opacity above it that can.
fn solve(over: f64, ground: f64, opacity: f64) -> (f64, f64) {
    // What comes back over black is x; what must then pass is T² = (over − x)(1 − x·ground) / ground, and nothing gives more light than
    // it gets: T ≤ 1 − x. Where the ground is no darker than the colour any x will do.
    let passing = |x: f64| ((over - x).max(0.0) * (1.0 - x * ground) / ground).max(0.0);
    let physical = |x: f64| passing(x) <= (1.0 - x) * (1.0 - x);
    let (mut least, mut most) = (opacity * over, over);
    if !physical(least) {
        for _ in 0..60 {
            let middle = 0.5 * (least + most);
            if physical(middle) {
                most = middle;
            } else {
                least = middle;
            }
        }
        least = most;
    }
    let (r0, t) = (least, libm::sqrt(passing(least)).max(1e-12));
    if r0 < 1e-9 {
        return ((-libm::log(t)).clamp(0.0, MOST), 0.0);
    }
    // a from R₀ and T, and R∞ = a − b written so that no digits are lost: 1/(a + b) (Kubelka 1948).
    let a = ((1.0 + r0 * r0 - t * t) / (2.0 * r0)).max(1.0);
    let b = libm::sqrt((a - 1.0) * (a + 1.0));
    if b < 1e-7 {
        // No absorption: R₀ = s/(1 + s).
        return (0.0, (r0 / (1.0 - r0)).min(MOST));
    }
    let infinite = 1.0 / (a + b);
    let z = libm::log((1.0 - r0 * infinite) / t).max(0.0);
    let s = (z / b).min(MOST);
    ((s * (a - 1.0)).min(MOST), s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    #[test]
    fn no_film_changes_nothing_and_an_endless_one_hides_everything() {
        let film = Film { absorption: Rgb([0.2, 1.0, 0.0]), scatter: Rgb([1.0, 0.0, 0.5]) };
        let ground = Rgb([0.85, 0.5, 0.04]);
        assert_eq!(film.layer(0.0).over(ground), ground);
        let deep = film.layer(1e9);
        for (a, b) in deep.over(ground).0.iter().zip(deep.over(Rgb::default()).0) {
            assert_abs_diff_eq!(*a, b, epsilon = 0.02);
        }
    }

    #[test]
    fn a_film_far_too_thick_is_as_light_as_an_endless_one() {
        // Kubelka and Munk: R∞ = a − b, a = 1 + K/S; two of them worked out beforehand.
        for (k, s, infinite) in [(0.2, 1.0, 0.536_675), (1.0, 0.5, 0.171_573)] {
            let film = Film { absorption: Rgb([k; 3]), scatter: Rgb([s; 3]) };
            for thickness in [100.0, 1e4, 1e12, f64::MAX] {
                assert_abs_diff_eq!(film.layer(thickness).back.0[0], infinite, epsilon = 1e-6);
            }
        }
        // An opaque pale ink three times as strong is no darker.
        let pale = Film::of(Rgb([0.7; 3]), Rgb([0.85; 3]), Rgb([1.0; 3]));
        assert_abs_diff_eq!(pale.layer(3.0).over(Rgb([0.85; 3])).0[0], 0.7, epsilon = 5e-3);
    }

    proptest! {
        #[test]
        fn a_film_gives_back_the_patch_it_was_made_from(over in 0.001..0.98f64, ground in 0.02..0.98f64, opacity in 0.0..1.0f64) {
            let film = Film::of(Rgb([over; 3]), Rgb([ground; 3]), Rgb([opacity; 3]));
            let layer = film.layer(1.0);
            prop_assert!((layer.over(Rgb([ground; 3])).0[0] - over).abs() < 2e-3, "{film:?}");
            prop_assert!(layer.back.0[0] >= opacity * over - 2e-3);
        }

        #[test]
        fn nothing_gives_more_light_than_it_gets(k in 0.0..40.0f64, s in 0.0..40.0f64, ground in 0.0..1.0f64) {
            let layer = Film { absorption: Rgb([k; 3]), scatter: Rgb([s; 3]) }.layer(1.0);
            prop_assert!(layer.back.0[0] >= 0.0 && layer.through.0[0] >= 0.0);
            prop_assert!(layer.back.0[0] + layer.through.0[0] <= 1.0 + 1e-12);
            prop_assert!((0.0..=1.0 + 1e-12).contains(&layer.over(Rgb([ground; 3])).0[0]));
        }

        #[test]
        fn two_halves_over_one_another_are_the_whole(k in 0.0..5.0f64, s in 0.0..5.0f64) {
            let film = Film { absorption: Rgb([k; 3]), scatter: Rgb([s; 3]) };
            let (half, whole) = (film.layer(0.5), film.layer(1.0));
            let both = half.on(&half);
            prop_assert!((both.back.0[0] - whole.back.0[0]).abs() < 1e-9);
            prop_assert!((both.through.0[0] - whole.through.0[0]).abs() < 1e-9);
        }
    }
}
