//! Lines: what is dark and too thin for a brush to leave bare.
//!
//! A thin dark line would have to stay uncovered through every stop-out, between two painted edges: no hand does that. So it is found,
//! told, and offered as a stage of its own, etched before the grain, while the tonal areas continue beneath it. It is found as the top-hat
//! at the mark's size: the closing of the lightness by the mark's disc, less the lightness itself (Meyer, 1978; Serra, Image Analysis and
//! Mathematical Morphology, 1982, ch. XII). A thin light line needs none of this: it is one stroke of the brush.

use crate::bits::BitPlane;
use crate::blots::{Blot, Blots, grown, stroke_length};
use crate::blur::gaussian;
use crate::outline::{Outlines, SharedArc};
use crate::plane::Plane;
use crate::regions::Mark;
use crate::units::{Millimetres, PxPerMm};

mod closing;
pub use closing::closing;
use closing::highest;

/// What counts as a line. All are estimates, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineSettings {
    /// Standard deviation of the softening that comes first, so that paper tooth makes no lines; mm, default 0.1.
    pub softening: Millimetres,
    /// A line is at least this much darker than its ground along its whole length, L*; default 6. It rises with the paper's tooth, up to
    /// [`LineSettings::MOST_CONTRAST`]. Somewhere along it, it is twice as dark.
    pub contrast: f64,
    /// Pieces shorter than this are specks, mm; default 2.
    pub least_length: Millimetres,
    /// Pieces that are less than so many times as long as wide are specks; default 4.
    pub least_ratio: f64,
}

impl LineSettings {
    /// Where tooth no longer raises the contrast asked for, L*: a face that is all hatching is no tooth.
    pub const MOST_CONTRAST: f64 = 12.0;
}

impl Default for LineSettings {
    fn default() -> Self {
        Self { softening: Millimetres(0.1), contrast: 6.0, least_length: Millimetres(2.0), least_ratio: 4.0 }
    }
}

/// The thin dark lines of a face.
#[derive(Clone, Debug, PartialEq)]
pub struct Lines {
    /// Where they are, print view.
    pub plane: BitPlane,
    /// Their length in all, mm.
    pub length: Millimetres,
    /// Their width in the mean, mm.
    pub width: Millimetres,
    /// Pieces, 8-connected.
    pub count: usize,
    /// The lightness of the ground beneath each pixel of them and of their soft rims: place in the plane, L*.
    beneath: Vec<(u32, f32)>,
}

/// L* as it is stored: 0..=100 over the range of 16 bits.
const STORED: f32 = 655.35;

/// Reach of a line's soft rim, mm: what the softening of a scan leaves of its dark beside it.
const RIM: f64 = 0.2;

/// Finds the lines of a face, given as L*, that are narrower than the mark.
#[must_use]
pub fn found(lightness: &Plane<f32>, resolution: PxPerMm, mark: Mark, settings: LineSettings) -> Lines {
    let (width, height) = (lightness.width(), lightness.height());
    let sharp = lightness.map(|&l| (l.clamp(0.0, 100.0) * STORED + 0.5) as u16);
    let soft = gaussian(&sharp, resolution.px(settings.softening));
    drop(sharp);
    let radius = resolution.px(mark.diameter()) / 2.0;
    let closed = closing(&soft, (radius * radius) as u32);

    let low = stored(contrast_asked(&closed, &soft, settings.contrast));
    let high = low.saturating_mul(2);
    let mut dark = BitPlane::empty(width, height);
    let mut seeds = BitPlane::empty(width, height);
    for y in 0..height {
        above(closed.row(y), soft.row(y), low, dark.row_mut(y));
        above(closed.row(y), soft.row(y), high, seeds.row_mut(y));
    }
    let pieces = Blots::of(&dark);
    let mut seeded = vec![false; pieces.list().len()];
    pieces.each_stretch(|y, start, end, blot| {
        if !seeded[blot] {
            seeded[blot] = (start..end).any(|x| seeds.at(x, y));
        }
    });
    let least = resolution.px(settings.least_length);
    let line = |length: f64, width: f64| length >= least && length >= settings.least_ratio * width;
    let passes = |i: usize, blot: &Blot| seeded[i] && line(blot.length(), blot.width());
    let whole = pieces.kept(width, height, passes);
    let count = pieces.list().iter().enumerate().filter(|(i, blot)| passes(*i, blot)).count();

    // Beside a soft rim the mark's disc still sees some of the line's dark: what lies beneath is asked of a disc that reaches past it.
    let rim = resolution.px(Millimetres(RIM));
    let ground = closing(&soft, ((radius + rim) * (radius + rim)) as u32);
    let mut beneath = Vec::new();
    grown(&whole, (rim * rim) as u32).each(|x, y| {
        beneath.push(((y * width + x) as u32, f32::from(ground.at(x, y)) / STORED));
    });
    drop(ground);
    // The edge of a line is where it is half as dark as its darkest nearby.
    let mut hat = closed;
    for (high, low) in hat.data_mut().iter_mut().zip(soft.data()) {
        *high -= low;
    }
    let darkest = highest(&hat, (radius * radius) as u32);
    let mut plane = whole;
    for y in 0..height {
        for (word, (hat, darkest)) in plane.row_mut(y).iter_mut().zip(hat.row(y).chunks(64).zip(darkest.row(y).chunks(64))) {
            let bits = hat.iter().zip(darkest).enumerate().map(|(i, (&hat, &darkest))| u64::from(hat >= darkest / 2) << i);
            *word &= bits.fold(0, |word, bit| word | bit);
        }
    }
    let (length, mean_width) = measured(&plane, count, resolution);
    Lines { plane, length, width: mean_width, count, beneath }
}

impl Lines {
    /// The lightness without the lines: the tonal areas continue beneath them.
    ///
    /// # Panics
    /// When the plane is not the one the lines were found in.
    #[must_use]
    pub fn without(&self, lightness: &Plane<f32>) -> Plane<f32> {
        assert!(
            lightness.width() == self.plane.width() && lightness.height() == self.plane.height(),
            "lines are taken out of the face they were found in"
        );
        let mut out = lightness.clone();
        for &(at, l) in &self.beneath {
            let value = &mut out.data_mut()[at as usize];
            *value = value.max(l);
        }
        out
    }

    /// Share of the face that they cover, 0..=1.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.plane.count() as f64 / (self.plane.width() * self.plane.height()) as f64
    }
}

fn stored(l: f64) -> u16 {
    libm::round(l * f64::from(STORED)) as u16
}

/// The contrast a line must have: the one asked for, or four times what a quarter of the face stays under, which is the paper's tooth.
fn contrast_asked(closed: &Plane<u16>, soft: &Plane<u16>, least: f64) -> f64 {
    const CELLS: usize = 256;
    // A cell is a tenth of an L*.
    let cell = STORED / 10.0;
    let mut cells = [0u64; CELLS];
    // Every third row: a quantile needs no more.
    let mut total = 0;
    for (high, low) in closed.rows().zip(soft.rows()).step_by(3) {
        for (high, low) in high.iter().zip(low) {
            cells[((f32::from(high - low) / cell) as usize).min(CELLS - 1)] += 1;
            total += 1;
        }
    }
    let mut sum = 0;
    let quarter = cells.iter().position(|&count| {
        sum += count;
        sum * 4 >= total
    });
    let tooth = quarter.unwrap_or(0) as f64 / 10.0;
    least.max((4.0 * tooth).min(LineSettings::MOST_CONTRAST.max(least)))
}

/// Bit i = whether `high[i] − low[i]` is at least `least`.
fn above(high: &[u16], low: &[u16], least: u16, out: &mut [u64]) {
    for (word, (high, low)) in out.iter_mut().zip(high.chunks(64).zip(low.chunks(64))) {
        let bits = high.iter().zip(low).enumerate().map(|(i, (high, low))| u64::from(high - low >= least) << i);
        *word = bits.fold(0, |word, bit| word | bit);
    }
}

/// Length in all and mean width of strokes, from their area and the length of their smoothed contours.
fn measured(plane: &BitPlane, count: usize, resolution: PxPerMm) -> (Millimetres, Millimetres) {
    if count == 0 {
        return (Millimetres(0.0), Millimetres(0.0));
    }
    let map = Plane::from_fn(plane.width(), plane.height(), |x, y| u8::from(plane.at(x, y)));
    let contour: f64 = Outlines::of(&map, resolution).arcs.iter().map(SharedArc::length_mm).sum();
    let px = resolution.mm(1.0).0;
    let area = plane.count() as f64 * px * px;
    let length = stroke_length(area, contour, count as f64);
    (Millimetres(length), Millimetres(area / length))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Lightness;
    use crate::tones::{Breaks, quantise};
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    const TEN: PxPerMm = PxPerMm(10.0);

    fn one_mm() -> Mark {
        Mark::default()
    }

    fn all(plane: &Plane<f32>) -> Lines {
        found(plane, TEN, one_mm(), LineSettings::default())
    }

    fn noise(seed: u64) -> impl FnMut() -> f32 {
        let mut state = seed;
        move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f32 / (1u32 << 24) as f32 - 0.5
        }
    }

    /// Distance of a pixel's middle to a line through the middle of a 400 px square.
    fn off(x: usize, y: usize, degrees: f64) -> f64 {
        let (dx, dy) = (x as f64 + 0.5 - 200.0, y as f64 + 0.5 - 200.0);
        (dy * libm::cos(degrees.to_radians()) - dx * libm::sin(degrees.to_radians())).abs()
    }

    #[test]
    fn a_line_is_found_measured_and_taken_out_of_its_ground() {
        // Straight lines of 0.2 to 0.8 mm at any angle, over a ground of two tones: width and length are known.
        for width in [2.0, 4.0, 8.0] {
            for degrees in [0.0, 17.0, 45.0, 90.0] {
                let ground = |x: usize| if x < 200 { 85.0 } else { 60.0f32 };
                let drawn = Plane::from_fn(400, 400, |x, y| if off(x, y, degrees) <= width / 2.0 { 15.0 } else { ground(x) });
                let lines = all(&drawn);
                assert_eq!(lines.count, 1, "{width} px at {degrees}°");
                // Upright, the line lies over the edge of the two tones, and half of it is as its darker side.
                let across = 40.0 / libm::cos(degrees.to_radians()).abs().max(libm::sin(degrees.to_radians()).abs());
                assert_relative_eq!(lines.length.0, across, max_relative = 0.06);
                assert_relative_eq!(lines.width.0, width / 10.0, epsilon = 0.13);
                let breaks = Breaks::new(vec![Lightness(72.0), Lightness(40.0)]).unwrap();
                let (clean, without) =
                    (quantise(&Plane::from_fn(400, 400, |x, _| ground(x)), &breaks), quantise(&lines.without(&drawn), &breaks));
                let wrong = clean.plane().data().iter().zip(without.plane().data()).filter(|(a, b)| a != b).count();
                // Under 1 % of the face; over the edge, half of the line takes the darker side: exactly that.
                assert!(wrong <= 1600, "{width} px at {degrees}°: {wrong} pixels of ground have another tone");
            }
        }
    }

    #[test]
    fn washes_hard_edges_dabs_and_broad_bands_are_no_lines() {
        let mut tooth = noise(7);
        let wash = Plane::from_fn(500, 400, |x, y| {
            let wave = libm::sin(x as f64 / 60.0) + libm::cos(y as f64 / 45.0);
            60.0 + 12.0 * wave as f32 + 8.0 * tooth()
        });
        assert_eq!(all(&wash).count, 0);
        let hard = Plane::from_fn(500, 400, |x, y| {
            let near = |u: f64, v: f64, r: f64| libm::hypot(x as f64 - u, y as f64 - v) < r;
            if near(120.0, 120.0, 80.0) || near(300.0, 90.0, 6.0) || (x + y / 3 > 380) || (y > 250 && (x / 15) % 2 == 0 && x < 300) {
                12.0
            } else {
                88.0
            }
        });
        assert_eq!(all(&hard).count, 0);
    }

    #[test]
    fn hatching_is_lines_and_a_thin_light_line_is_not() {
        // Strokes of 0.3 mm every 0.8 mm: 40 mm long each, fifty of them.
        let hatched = Plane::from_fn(400, 400, |_, y| if y % 8 < 3 { 20.0 } else { 90.0 });
        let lines = all(&hatched);
        assert_eq!(lines.count, 50);
        assert_relative_eq!(lines.length.0, 50.0 * 40.0, max_relative = 0.03);
        assert!(lines.without(&hatched).data().iter().all(|&l| l > 80.0));
        let light = Plane::from_fn(400, 400, |_, y| if y % 40 < 4 { 90.0 } else { 20.0 });
        assert_eq!(all(&light).count, 0);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Whatever comes: the ground is nowhere darker than the drawing, and where there are no lines nothing changes.
        #[test]
        fn what_is_taken_out_lightens_the_lines_alone(width in 1usize..90, height in 1usize..40, seed in any::<u64>(), mm in 3u32..50) {
            let mut value = noise(seed);
            let drawn = Plane::from_fn(width, height, |_, _| 50.0 + 100.0 * value());
            let mark = Mark::new(Millimetres(f64::from(mm) / 10.0)).unwrap();
            let lines = found(&drawn, TEN, mark, LineSettings::default());
            let without = lines.without(&drawn);
            for y in 0..height {
                for x in 0..width {
                    prop_assert!(without.at(x, y) >= drawn.at(x, y));
                    prop_assert!(lines.count > 0 || without.at(x, y) <= drawn.at(x, y), "without lines nothing changes");
                    prop_assert!(!lines.plane.at(x, y) || lines.count > 0);
                }
            }
        }
    }

    #[test]
    fn a_face_of_one_pixel_has_no_lines() {
        let lines = all(&Plane::filled(1, 1, 50.0));
        assert_eq!((lines.count, lines.plane.count()), (0, 0));
    }
}
