//! A face small enough to be cut and cleaned fifteen times while somebody looks on, in true millimetres all the same.

use crate::drawing::Ends;
use crate::light::{Lightness, LightnessTable};
use crate::plane::Plane;
use crate::regions::{self, Mark, Softened};
use crate::seen::{Eye, Seen};
use crate::smoothing::Smoothing;
use crate::tones::{self, Breaks, StepMap};
use crate::units::PxPerMm;

/// Pixels of a preview, where the mark leaves the choice.
const PIXELS: f64 = 4e5;

/// The mark is at least so many pixels across, as a disc of fewer is none; on a large plate the preview grows with it.
const LEAST_MARK_PX: f64 = 3.5;

/// Pixels it never has more of, whatever the mark: fifteen prints of it are kept.
const MOST_PIXELS: f64 = 1.5e6;

/// The drawing on the face, reduced in linear light, and softened once for every count of tones.
pub struct Preview {
    lightness: Plane<f32>,
    resolution: PxPerMm,
    softened: Option<Softened>,
    eye: Eye,
    rough: bool,
}

impl Preview {
    /// Reduces a face to about 0.4 megapixels, or more where the mark would be less than three and a half pixels across; one that is
    /// smaller stays as it is. Never more than 1.5 megapixels: see [`Preview::is_rough`]. Cleaned for a mark, after a smoothing, or not at all.
    #[must_use]
    pub fn of(lightness: &Plane<f32>, resolution: PxPerMm, by: Option<(Mark, Smoothing)>) -> Self {
        let (width, height) = (lightness.width(), lightness.height());
        let to = |pixels: f64| libm::sqrt(pixels / (width as f64 * height as f64));
        let (by_size, most) = (to(PIXELS), to(MOST_PIXELS));
        let by_mark = by.map_or(0.0, |(mark, _)| LEAST_MARK_PX / resolution.px(mark.diameter()));
        let scale = by_size.max(by_mark).min(most);
        let rough = by_mark > most && most < 1.0;
        let (lightness, resolution) = if scale < 1.0 {
            let side = |length: usize| (libm::round(length as f64 * scale) as usize).max(1);
            let small = reduced(lightness, (side(width), side(height)));
            let resolution = PxPerMm(resolution.0 * small.width() as f64 / width as f64);
            (small, resolution)
        } else {
            (lightness.clone(), resolution)
        };
        let softened = by.map(|(mark, smoothing)| Softened::of(&lightness, resolution, mark, smoothing));
        Self { lightness, resolution, softened, eye: Eye::new(resolution), rough }
    }

    /// The face, L* of the drawing.
    #[must_use]
    pub fn lightness(&self) -> &Plane<f32> {
        &self.lightness
    }

    /// Pixels a millimetre.
    #[must_use]
    pub fn resolution(&self) -> PxPerMm {
        self.resolution
    }

    /// Whether the plate is so large that the mark is a pixel or two here: less is cleaned away than on the face itself, so there is more to
    /// paint. Counts of tones can still be compared.
    #[must_use]
    pub fn is_rough(&self) -> bool {
        self.rough
    }

    /// How its prints are seen.
    #[must_use]
    pub fn eye(&self) -> &Eye {
        &self.eye
    }

    /// Cut at breaks, and cleaned.
    #[must_use]
    pub fn cut(&self, breaks: &Breaks) -> StepMap {
        match &self.softened {
            Some(softened) => regions::paintable(softened, breaks),
            None => tones::quantise(&self.lightness, breaks),
        }
    }

    /// The drawing as it would be seen if every lightness of it could print: its range laid linearly, ends on ends, from `paper` to
    /// `darkest`. What is lighter than its paper or darker than its black prints as they do.
    #[must_use]
    pub fn laid(&self, ends: Ends, paper: Lightness, darkest: Lightness) -> Seen {
        let (from, to) = (ends.paper.0, ends.black.0);
        // A table over tenths of a hundredth of the drawing's L*: a cube a pixel saved, and finer than 16 bits of light.
        const CELLS: usize = 10_000;
        let table: Vec<u16> = (0..=CELLS)
            .map(|i| {
                let share = ((from - i as f64 * 100.0 / CELLS as f64) / (from - to)).clamp(0.0, 1.0);
                crate::seen::stored(Lightness(paper.0 + (darkest.0 - paper.0) * share).reflectance())
            })
            .collect();
        let at = |l: f32| table[((l.clamp(0.0, 100.0) * (CELLS as f32 / 100.0)) + 0.5) as usize];
        self.eye.sees(&self.lightness.map(|&l| at(l)))
    }
}

/// Means in linear light over blocks of pixels, no two of which differ by more than one in a side.
fn reduced(lightness: &Plane<f32>, (width, height): (usize, usize)) -> Plane<f32> {
    let table = LightnessTable::new();
    let edge = |i: usize, parts: usize, length: usize| i * length / parts;
    let columns: Vec<(usize, usize)> =
        (0..width).map(|x| (edge(x, width, lightness.width()), edge(x + 1, width, lightness.width()))).collect();
    let mut out = Plane::filled(width, height, 0.0f32);
    for (y, line) in out.data_mut().chunks_exact_mut(width).enumerate() {
        let rows = edge(y, height, lightness.height())..edge(y + 1, height, lightness.height());
        let count = rows.len();
        for from in rows {
            let row = lightness.row(from);
            for (sum, &(left, right)) in line.iter_mut().zip(&columns) {
                *sum += row[left..right].iter().map(|&l| light(l)).sum::<f32>();
            }
        }
        for (sum, &(left, right)) in line.iter_mut().zip(&columns) {
            *sum = table.lightness(*sum / ((right - left) * count) as f32);
        }
    }
    out
}

/// Linear light of an L*: [`Lightness::reflectance`] without its power.
fn light(l: f32) -> f32 {
    if l > 8.0 {
        let root = (l + 16.0) * (1.0 / 116.0);
        root * root * root
    } else {
        l * (27.0 / 24_389.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Millimetres;
    use approx::assert_abs_diff_eq;

    #[test]
    fn light_is_the_formula() {
        for l in 0..=1000 {
            let l = f64::from(l) / 10.0;
            assert_abs_diff_eq!(f64::from(light(l as f32)), Lightness(l).reflectance().0, epsilon = 2e-7);
        }
    }

    #[test]
    fn a_large_face_comes_down_in_light_and_keeps_its_millimetres() {
        // 1600 × 1000 px at 10 px/mm, columns of black and white: half the light.
        let face = Plane::from_fn(1600, 1000, |x, _| if x % 2 == 0 { 100.0 } else { 0.0 });
        let preview = Preview::of(&face, PxPerMm(10.0), None);
        let pixels = preview.lightness().data().len() as f64;
        assert!((3.9e5..4.1e5).contains(&pixels), "{pixels}");
        let mean: f64 = preview.lightness().data().iter().map(|&l| f64::from(light(l))).sum::<f64>() / pixels;
        assert_abs_diff_eq!(mean, 0.5, epsilon = 1e-3);
        assert_abs_diff_eq!(preview.resolution().mm(preview.lightness().width() as f64).0, 160.0, epsilon = 1e-9);
        // A plate so large that a mark of 1 mm would be two pixels: it keeps three and a half.
        let mark = Some((Mark::default(), Smoothing::default()));
        let large = Preview::of(&Plane::filled(1400, 1000, 50.0), PxPerMm(4.0), mark);
        assert!(large.resolution().px(Millimetres(1.0)) >= LEAST_MARK_PX - 1e-9 && !large.is_rough());
        // And one so large that it can't: 600 × 900 mm.
        let vast = Preview::of(&Plane::filled(2400, 3600, 50.0), PxPerMm(4.0), mark);
        assert!(vast.is_rough() && vast.lightness().data().len() < 1_510_000);
        let small = Preview::of(&Plane::filled(30, 20, 50.0), PxPerMm(1.0), mark);
        assert_eq!((small.lightness().width(), small.resolution()), (30, PxPerMm(1.0)));
    }

    #[test]
    fn the_drawing_is_laid_ends_on_ends() {
        let face = Plane::from_fn(100, 10, |x, _| if x < 50 { 95.0 } else { 10.0 });
        let preview = Preview::of(&face, PxPerMm(2.0), None);
        let laid = preview.laid(Ends { paper: Lightness(90.0), black: Lightness(10.0) }, Lightness(91.0), Lightness(21.5));
        assert_abs_diff_eq!(laid.at(5, 5).0, 91.0, epsilon = 0.02);
        assert_abs_diff_eq!(laid.at(95, 5).0, 21.5, epsilon = 0.02);
        let even = Preview::of(&Plane::filled(20, 20, 50.0), PxPerMm(2.0), None);
        let laid = even.laid(Ends { paper: Lightness(90.0), black: Lightness(10.0) }, Lightness(91.0), Lightness(21.5));
        assert_abs_diff_eq!(laid.at(10, 10).0, (91.0 + 21.5) / 2.0, epsilon = 0.02);
    }
}
