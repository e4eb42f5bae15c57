//! Two faces beside one another as the print will have them: at true size, with what their bevels and the gap between them leave bare.
//!
//! Tones print in their own lightness, without grain. The paper stands up in the gap: a ridge between two edges of metal, drawn as two thin
//! shades, and the bevels wipe clean (common practice, no source).

use crate::light::{Lightness, Reflectance};
use crate::picture::Rgba;
use crate::plane::Plane;
use crate::units::{Millimetres, PxPerMm};

/// How dark the plate mark's edge is, and how broad, mm. Estimates, for the eye alone.
const MARK: (f64, f64) = (0.78, 0.3);
/// A bevel's light at its foot and at its top. Estimate.
const BEVEL: (f64, f64) = (0.9, 0.98);
/// Samples across a pixel, each way.
const FINE: usize = 3;

/// A face as it lies beside another.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// Its tones, print view, upright.
    pub map: &'a Plane<u8>,
    /// Pixels of the map a millimetre.
    pub resolution: PxPerMm,
    /// What its tones print at, tone 0 first.
    pub prints: &'a [Lightness],
    /// Whether it is turned by half a turn.
    pub turned: bool,
    /// Width of its bevel.
    pub bevel: Millimetres,
    /// How far its metal begins along the seam, mm from where the picture begins.
    pub from: Millimetres,
}

/// What of a seam is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seam {
    /// One plate above the other; else side by side.
    pub down: bool,
    /// Between the two edges of metal.
    pub gap: Millimetres,
    /// The picture, pixels: the gap's middle is the middle of its width (of its height where one lies above the other).
    pub size: (usize, usize),
    /// Pixels a millimetre.
    pub px_per_mm: f64,
}

impl Beside<'_> {
    /// Length and depth of its metal along the seam and away from it, mm.
    fn metal(&self, down: bool) -> (f64, f64) {
        let side = |px: usize| self.resolution.mm(px as f64).0 + 2.0 * self.bevel.0;
        let (width, height) = (side(self.map.width()), side(self.map.height()));
        if down { (width, height) } else { (height, width) }
    }

    /// Light at a place of its metal: `along` the seam from where it begins, `deep` from the edge at the seam, mm; `near` is the side of the seam
    /// it lies on: the left or upper one.
    fn light(&self, down: bool, near: bool, along: f64, deep: f64) -> f64 {
        let (long, wide) = self.metal(down);
        let paper = self.prints.first().map_or(1.0, |print| print.reflectance().0);
        let edge = along.min(long - along).min(deep).min(wide - deep);
        if edge < MARK.1 {
            return paper * MARK.0;
        }
        if edge < self.bevel.0 {
            return paper * (BEVEL.1 + (BEVEL.0 - BEVEL.1) * edge / self.bevel.0);
        }
        let across = if near { wide - deep } else { deep };
        let (x, y) = if down { (along, across) } else { (across, along) };
        let pixel = |mm: f64, side: usize| {
            let at = ((mm - self.bevel.0) * self.resolution.0) as usize;
            let at = at.min(side - 1);
            if self.turned { side - 1 - at } else { at }
        };
        let tone = self.map.at(pixel(x, self.map.width()), pixel(y, self.map.height()));
        self.prints.get(usize::from(tone)).map_or(paper, |print| print.reflectance().0)
    }
}

/// The picture of a seam. `first` is the plate on the left, or the upper one.
#[must_use]
pub fn picture(first: &Beside<'_>, second: &Beside<'_>, seam: Seam) -> Plane<Rgba> {
    let (width, height) = seam.size;
    let (deep, _) = if seam.down { (height, width) } else { (width, height) };
    let middle = deep as f64 / seam.px_per_mm / 2.0;
    let paper = first.prints.first().map_or(1.0, |print| print.reflectance().0);
    let at = |across: f64, along: f64| {
        let off = across - middle;
        let (beside, near) = if off < 0.0 { (first, true) } else { (second, false) };
        let (along, deep) = (along - beside.from.0, off.abs() - seam.gap.0 / 2.0);
        let (long, wide) = beside.metal(seam.down);
        if along >= 0.0 && along < long && deep >= 0.0 && deep < wide { beside.light(seam.down, near, along, deep) } else { paper }
    };
    let fine = |px: usize, k: usize| (px as f64 + (k as f64 + 0.5) / FINE as f64) / seam.px_per_mm;
    Plane::from_fn(width, height, |x, y| {
        let mut sum = 0.0;
        for (i, j) in (0..FINE).flat_map(|i| (0..FINE).map(move |j| (i, j))) {
            let (right, down) = (fine(x, i), fine(y, j));
            sum += if seam.down { at(down, right) } else { at(right, down) };
        }
        let byte = Reflectance(sum / (FINE * FINE) as f64).byte();
        [byte, byte, byte, 255]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRINTS: [Lightness; 3] = [Lightness(92.0), Lightness(60.0), Lightness(25.0)];

    fn byte(light: f64) -> u8 {
        Reflectance(light).byte()
    }

    /// 40 × 30 mm: dark but for a light left half.
    fn map() -> Plane<u8> {
        Plane::from_fn(400, 300, |x, _| if x < 200 { 1 } else { 2 })
    }

    fn beside(map: &Plane<u8>, turned: bool, from: f64) -> Beside<'_> {
        Beside { map, resolution: PxPerMm(10.0), prints: &PRINTS, turned, bevel: Millimetres(1.5), from: Millimetres(from) }
    }

    #[test]
    fn faces_bevels_and_gap_lie_where_they_measure() {
        let map = map();
        let seam = Seam { down: false, gap: Millimetres(3.0), size: (200, 400), px_per_mm: 10.0 };
        let shown = picture(&beside(&map, false, 0.0), &beside(&map, false, 2.0), seam);
        let grey = |x_mm: f64, y_mm: f64| shown.at((x_mm * 10.0) as usize, (y_mm * 10.0) as usize)[0];
        let tone = |tone: usize| byte(PRINTS[tone].reflectance().0);
        // The middle is at 10 mm. Metal ends at 8.5 and begins at 11.5, faces 1.5 mm on.
        assert_eq!(grey(6.5, 20.0), tone(2));
        assert_eq!(grey(10.0, 20.0), tone(0));
        assert_eq!(grey(13.5, 20.0), tone(1));
        assert!(grey(7.5, 20.0) < tone(0) && grey(7.5, 20.0) > tone(1), "a bevel is nearly as light as paper");
        assert!(grey(8.4, 20.0) < grey(7.5, 20.0), "the edge of the metal is a shade");
        // The right one begins 2 mm lower, and both end: 33 mm of metal.
        assert_eq!((grey(15.0, 1.0), grey(15.0, 5.0)), (tone(0), tone(1)));
        assert_eq!((grey(5.0, 34.0), grey(15.0, 36.0)), (tone(0), tone(0)));
    }

    #[test]
    fn a_turned_plate_shows_its_other_side_and_one_above_the_other_is_the_same_by_the_side() {
        let map = map();
        let seam = Seam { down: false, gap: Millimetres(0.0), size: (120, 100), px_per_mm: 4.0 };
        let shown = picture(&beside(&map, false, 0.0), &beside(&map, true, 0.0), seam);
        // Turned, the dark half lies at its left.
        assert_eq!(shown.at(100, 60)[0], byte(PRINTS[2].reflectance().0));
        let on_its_side = Plane::from_fn(300, 400, |x, y| map.at(y, x));
        let down =
            picture(&beside(&on_its_side, false, 0.0), &beside(&on_its_side, true, 0.0), Seam { down: true, size: (100, 120), ..seam });
        assert!((0..120).all(|across| (0..100).all(|along| down.at(along, across) == shown.at(across, along))));
    }
}
