//! The proof's face for the screen, straightened and its light evened, with what is to be done hatched over it: told apart by hatch, not by colour.

use super::OffTarget;
use crate::frozen::LIGHTER;
use crate::light::Reflectance;
use crate::picture::{Rgba, fitted_size};
use crate::plane::Plane;
use crate::pulled::Pulled;
use crate::view::View;

/// Distance of two hatch lines, pixels.
const PITCH: usize = 7;
const DARK: Rgba = [16, 18, 18, 255];
const PALE: Rgba = [255, 255, 250, 255];

impl Pulled {
    /// The face as it was read: linear light made absolute by the paper. What is burnt out or off the photograph is white.
    #[must_use]
    pub fn shown(&self, most: (usize, usize), view: View) -> Plane<Rgba> {
        let (w, h) = fitted_size(self.light.width(), self.light.height(), most);
        reduced(&self.light, (w, h), view).map(|&y| {
            let byte = if y.is_nan() { 255 } else { Reflectance(f64::from(y)).byte() };
            [byte, byte, byte, 255]
        })
    }
}

/// Means over what each pixel covers; NaN where nothing is known.
fn reduced(plane: &Plane<f32>, (w, h): (usize, usize), view: View) -> Plane<f32> {
    let (pw, ph) = (plane.width(), plane.height());
    let span = |i: usize, n: usize, of: usize| (i * of / n, ((i + 1) * of / n).max(i * of / n + 1).min(of));
    Plane::from_fn(w, h, |x, y| {
        let x = if view == View::Plate { w - 1 - x } else { x };
        let ((left, right), (top, foot)) = (span(x, w, pw), span(y, h, ph));
        let (mut sum, mut count) = (0.0f32, 0u32);
        for row in top..foot {
            for &v in plane.row(row)[left..right].iter().filter(|v| !v.is_nan()) {
                sum += v;
                count += 1;
            }
        }
        if count == 0 { f32::NAN } else { sum / count as f32 }
    })
}

impl OffTarget {
    /// The face with the pieces of a kind over it: what is too dark under upright lines, what is too light under lines both ways, as on the
    /// repair list. The picture beneath is paled, to be found one's way by.
    #[must_use]
    pub fn shown(&self, pulled: &Pulled, kind: u8, most: (usize, usize), view: View) -> Plane<Rgba> {
        let face = pulled.shown(most, view);
        let (w, h) = (face.width(), face.height());
        let (mw, mh) = (self.map.width(), self.map.height());
        let is = |x: usize, y: usize| {
            let x = if view == View::Plate { w - 1 - x } else { x };
            self.map.at((2 * x + 1) * mw / (2 * w), (2 * y + 1) * mh / (2 * h)) == kind
        };
        Plane::from_fn(w, h, |x, y| {
            let [v, ..] = face.at(x, y);
            if !is(x, y) {
                let pale = (u16::from(v) * 2 / 5 + 153) as u8;
                return [pale, pale, pale, 255];
            }
            let near =
                |dx: usize, dy: usize| !is((x + dx).min(w - 1), (y + dy).min(h - 1)) || !is(x.saturating_sub(dx), y.saturating_sub(dy));
            if near(1, 0) || near(0, 1) {
                return DARK;
            }
            if near(2, 0) || near(0, 2) {
                return PALE;
            }
            let line = |v: usize| match v % PITCH {
                0 | 1 => Some(DARK),
                2 => Some(PALE),
                _ => None,
            };
            line(x).or_else(|| if kind == LIGHTER { None } else { line(y) }).unwrap_or([v, v, v, 255])
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frozen::DARKER;
    use crate::pulled::tests::Bench;
    use crate::second_plan::{RepairAsked, off_target};

    #[test]
    fn pictures_keep_the_proportion_and_mirror() {
        let bench = Bench::new();
        let (place, size) = Bench::straight();
        let (drawing, corners) = bench
            .photo(place, size, 93.0, |tone, [x, y]| bench.targets[tone].0 + if (x - 35.0).hypot(y - 25.0) < 6.0 { 12.0 } else { 0.0 });
        let pulled = bench.read(&drawing, Some(corners));
        let off = off_target(&pulled, &RepairAsked::default()).unwrap();
        let print = off.shown(&pulled, DARKER, (240, 240), View::Print);
        assert_eq!((print.width(), print.height()), (240, 200));
        let plate = off.shown(&pulled, DARKER, (240, 240), View::Plate);
        // Hatch lies where the piece is, and on its mirror's place in plate view; the rest is paled.
        let dark = |plane: &Plane<Rgba>, x: usize| (0..200).filter(|&y| plane.at(x, y) == DARK).count();
        assert!(dark(&print, 140) > 5 && dark(&print, 99) == 0);
        assert!(dark(&plate, 99) > 5 && dark(&plate, 140) == 0);
        assert_eq!(pulled.shown((60, 60), View::Print).map(|p| p[0]).at(3, 3), pulled.shown((60, 60), View::Plate).map(|p| p[0]).at(56, 3));
    }
}
