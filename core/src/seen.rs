//! Seen: a print, or a drawing, as it is seen from where a print is looked at, and how far two of them are apart.
//!
//! What lies closer together than the eye parts is melted together in linear light, as light adds up; lightness is taken after.

use crate::blur::gaussian;
use crate::light::{Lightness, Reflectance};
use crate::plane::Plane;
use crate::tones::StepMap;
use crate::units::{Millimetres, PxPerMm};

/// Standard deviation of what melts together. Estimate: a print on a wall, looked at as a whole. (The clean-up moves its edges by half of
/// that, at arm's length.)
pub const MELTS: Millimetres = Millimetres(0.7);

/// The least L* by which a viewer sees that two places differ, held beside each other: the usual reading of a CIELAB difference of 1.
/// Estimate; no one figure is agreed upon.
pub const NOTICED: f64 = 1.0;

/// Steps of stored lightness to an L*: 0..=100 over the range of 16 bits.
const STEPS: f64 = 655.35;

/// Lightness after melting, a pixel each.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen(Plane<u16>);

/// Shares of a face, 0..=1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shares {
    /// Where the two prints differ by more than [`NOTICED`].
    pub changed: f64,
    /// Where the second is nearer to the drawing than the first by more than [`NOTICED`].
    pub nearer: f64,
    /// Where it is farther from it by more than [`NOTICED`].
    pub farther: f64,
}

/// Turns light into what is seen of it, at one resolution.
pub struct Eye {
    sigma: f64,
    lightness: Vec<u16>,
}

impl Eye {
    /// For planes of a resolution.
    #[must_use]
    pub fn new(resolution: PxPerMm) -> Self {
        let lightness = (0..=u16::MAX).map(|y| libm::round(Reflectance(f64::from(y) / 65_535.0).lightness().0 * STEPS) as u16).collect();
        Self { sigma: resolution.px(MELTS), lightness }
    }

    /// A plane of linear light, 0..=1 over the range of 16 bits.
    #[must_use]
    pub fn sees(&self, light: &Plane<u16>) -> Seen {
        Seen(gaussian(light, self.sigma).map(|&y| self.lightness[usize::from(y)]))
    }

    /// A step map, each tone printed at its lightness.
    ///
    /// # Panics
    /// With fewer lightnesses than tones.
    #[must_use]
    pub fn sees_print(&self, map: &StepMap, prints: &[Lightness]) -> Seen {
        let light: Vec<u16> = prints.iter().map(|&l| stored(l.reflectance())).collect();
        self.sees(&map.plane().map(|&tone| light[usize::from(tone)]))
    }
}

/// Linear light as 16 bits.
#[must_use]
pub fn stored(light: Reflectance) -> u16 {
    libm::round(light.0.clamp(0.0, 1.0) * 65_535.0) as u16
}

impl Seen {
    /// Root of the mean squared difference, L*: every part of the face counts by its area.
    ///
    /// # Panics
    /// When the two are not of one size.
    #[must_use]
    pub fn apart(&self, other: &Self) -> f64 {
        assert_eq!(self.0.data().len(), other.0.data().len(), "two views of one face");
        let squares: u64 = self.0.data().iter().zip(other.0.data()).map(|(&a, &b)| u64::from(a.abs_diff(b)).pow(2)).sum();
        libm::sqrt(squares as f64 / self.0.data().len() as f64) / STEPS
    }

    /// Where `self` and `then`, two prints of one `drawing`, are told apart, and which is nearer to it.
    ///
    /// # Panics
    /// When the three are not of one size.
    #[must_use]
    pub fn shares(&self, then: &Self, drawing: &Self) -> Shares {
        let pixels = drawing.0.data().len();
        assert!(self.0.data().len() == pixels && then.0.data().len() == pixels, "three views of one face");
        let noticed = (NOTICED * STEPS) as i32;
        let (mut changed, mut nearer, mut farther) = (0u64, 0u64, 0u64);
        for ((&a, &b), &d) in self.0.data().iter().zip(then.0.data()).zip(drawing.0.data()) {
            let gain = i32::from(a.abs_diff(d)) - i32::from(b.abs_diff(d));
            changed += u64::from(i32::from(a.abs_diff(b)) > noticed);
            nearer += u64::from(gain > noticed);
            farther += u64::from(-gain > noticed);
        }
        let share = |count: u64| count as f64 / pixels as f64;
        Shares { changed: share(changed), nearer: share(nearer), farther: share(farther) }
    }

    /// L* at a pixel.
    #[must_use]
    pub fn at(&self, x: usize, y: usize) -> Lightness {
        Lightness(f64::from(self.0.at(x, y)) / STEPS)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::ToneCount;
    use approx::assert_abs_diff_eq;

    fn flat(l: f64) -> Plane<u16> {
        Plane::filled(20, 10, stored(Lightness(l).reflectance()))
    }

    #[test]
    fn flat_fields_are_seen_as_they_are() {
        let eye = Eye::new(PxPerMm(4.0));
        for l in [0.0, 5.0, 20.5, 50.0, 91.0, 100.0] {
            // A step of 16-bit light is 0.014 L* in the deepest black, far less elsewhere.
            assert_abs_diff_eq!(eye.sees(&flat(l)).at(7, 3).0, l, epsilon = 0.01);
        }
        assert_abs_diff_eq!(eye.sees(&flat(60.0)).apart(&eye.sees(&flat(57.0))), 3.0, epsilon = 0.01);
    }

    #[test]
    fn fine_hatching_melts_in_light_not_in_lightness() {
        // Black and white of one pixel each at 10 px/mm: half the light, L* 76.07 (CIE 15:2018), not L* 50.
        let hatched = Plane::from_fn(60, 60, |x, _| if x % 2 == 0 { u16::MAX } else { 0 });
        assert_abs_diff_eq!(Eye::new(PxPerMm(10.0)).sees(&hatched).at(30, 30).0, 76.069, epsilon = 0.02);
    }

    #[test]
    fn shares_count_what_is_told_apart_and_which_is_nearer() {
        // Ten columns: drawing at 50 throughout; the first print at 50, 53 and 40; the second at 50.5, 51 and 46.
        let of = |values: [f64; 10]| Seen(Plane::from_fn(10, 1, |x, _| (values[x] * STEPS) as u16));
        let drawing = of([50.0; 10]);
        let first = of([50.0, 50.0, 50.0, 50.0, 50.0, 53.0, 53.0, 53.0, 40.0, 50.0]);
        let then = of([50.5, 50.5, 50.5, 50.5, 50.5, 51.0, 51.0, 51.0, 46.0, 54.0]);
        let shares = first.shares(&then, &drawing);
        assert_eq!((shares.changed, shares.nearer, shares.farther), (0.5, 0.4, 0.1));
        let back = then.shares(&first, &drawing);
        assert_eq!((back.changed, back.nearer, back.farther), (0.5, 0.1, 0.4));
    }

    #[test]
    fn a_map_is_seen_as_its_tones_print() {
        let map = StepMap::new(ToneCount::new(2).unwrap(), Plane::from_fn(80, 8, |x, _| u8::from(x >= 40)));
        let seen = Eye::new(PxPerMm(5.0)).sees_print(&map, &[Lightness(90.0), Lightness(20.0)]);
        assert_abs_diff_eq!(seen.at(2, 4).0, 90.0, epsilon = 0.01);
        assert_abs_diff_eq!(seen.at(77, 4).0, 20.0, epsilon = 0.01);
    }
}
