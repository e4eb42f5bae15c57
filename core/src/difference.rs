//! The difference between the proof and what the drawing wants of it, pixel by pixel, as a picture and in figures.
//!
//! Both are pictures of the whole face in linear light, of one size, the grain averaged: what an eye sees that does not look for grains.
//! Each pixel is a CIEDE2000 between mean colours; nothing here knows how far apart two pixels lie, so a shifted edge counts as two
//! thin lines of large difference.

use crate::colour::{Lab, Rgb};
use crate::light::{Lightness, Reflectance};
use crate::picture::Rgba;
use crate::plane::Plane;
use crate::view::View;
use std::fmt;

/// CIEDE2000 beyond which a place is hatched: plainly another colour, also for who does not look for it. Estimate of ours, no source.
pub const PLAIN: f64 = 6.0;

/// Share of the face, below which a tone is too small to be called the worst: its pixels are mostly edges.
const SLIVER: f64 = 0.001;

/// How far two pictures of the face lie apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// NaN where it is left out.
    map: Plane<f32>,
}

/// The difference in figures.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Figures {
    /// Mean over what counts, CIEDE2000.
    pub mean: f64,
    /// The largest of a pixel.
    pub most: f64,
    /// Share of what counts over [`PLAIN`], 0..=1.
    pub over: f64,
    /// Share of the face that is left out, 0..=1.
    pub left_out: f64,
    /// The tone that is farthest off on average, among those with a thousandth of what counts or more; the first of equals.
    pub worst_tone: u8,
    /// Its mean.
    pub worst_mean: f64,
}

/// Pictures that can't be held to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DifferenceError {
    /// Sizes in pixels, the proof's and the drawing's.
    Sizes {
        /// Proof: width, height.
        proof: (usize, usize),
        /// What is wanted: width, height.
        wanted: (usize, usize),
    },
}

impl fmt::Display for DifferenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::Sizes { proof, wanted } = self;
        write!(
            f,
            "Two pictures of one size were expected, the proof came with {} × {} pixels and the drawing with {} × {}: make both for the same window.",
            proof.0, proof.1, wanted.0, wanted.1
        )
    }
}

impl std::error::Error for DifferenceError {}

impl Difference {
    /// Between two pictures of the face in linear light. What is no number differs from nothing.
    ///
    /// # Errors
    /// When their sizes differ.
    pub fn between(proof: &Plane<[f32; 3]>, wanted: &Plane<[f32; 3]>) -> Result<Self, DifferenceError> {
        let size = |picture: &Plane<[f32; 3]>| (picture.width(), picture.height());
        if size(proof) != size(wanted) {
            return Err(DifferenceError::Sizes { proof: size(proof), wanted: size(wanted) });
        }
        let mut seen = Seen::new();
        let mut pairs = proof.data().iter().zip(wanted.data());
        let map = Plane::from_fn(proof.width(), proof.height(), |_, _| pairs.next().map_or(0.0, |(&one, &other)| seen.apart(one, other)));
        Ok(Self { map })
    }

    /// The same, with some places left out. `zones` is a map of the same face, of any raster; a pixel is in the zone at its middle.
    #[must_use]
    pub fn leaving_out(mut self, zones: &Plane<u8>, out: impl Fn(u8) -> bool) -> Self {
        let (columns, rows) = self.middles(zones);
        for (line, y) in self.map.data_mut().chunks_exact_mut(columns.len()).zip(rows) {
            let of = zones.row(y);
            for (off, &x) in line.iter_mut().zip(&columns) {
                if out(of[x]) {
                    *off = f32::NAN;
                }
            }
        }
        self
    }

    /// The column and row of another map under the middle of each pixel.
    fn middles(&self, map: &Plane<u8>) -> (Vec<usize>, Vec<usize>) {
        let middles = |of: usize, to: usize| (0..of).map(|at| (2 * at + 1) * to / (2 * of)).collect();
        (middles(self.map.width(), map.width()), middles(self.map.height(), map.height()))
    }

    /// CIEDE2000 of each pixel; NaN where it is left out.
    #[must_use]
    pub fn map(&self) -> &Plane<f32> {
        &self.map
    }

    /// In figures. `tones` is a map of the same face, of any raster; a pixel is of the tone at its middle.
    #[must_use]
    pub fn figures(&self, tones: &Plane<u8>) -> Figures {
        let (columns, rows) = self.middles(tones);
        let mut sums = [(0.0f64, 0usize); 256];
        let (mut all, mut most, mut over, mut counted) = (0.0, 0.0f64, 0usize, 0usize);
        for (row, y) in self.map.rows().zip(rows) {
            let of = tones.row(y);
            for (&off, &column) in row.iter().zip(&columns).filter(|(off, _)| !off.is_nan()) {
                let off = f64::from(off);
                counted += 1;
                all += off;
                most = most.max(off);
                over += usize::from(off > PLAIN);
                let sum = &mut sums[usize::from(of[column])];
                *sum = (sum.0 + off, sum.1 + 1);
            }
        }
        let pixels = counted.max(1) as f64;
        let mut worst = (0, -1.0);
        for (tone, &(sum, count)) in (0..=u8::MAX).zip(&sums) {
            if count as f64 >= SLIVER * pixels && count > 0 && sum / count as f64 > worst.1 {
                worst = (tone, sum / count as f64);
            }
        }
        let left_out = 1.0 - counted as f64 / (self.map.data().len().max(1)) as f64;
        Figures { mean: all / pixels, most, over: over as f64 / pixels, left_out, worst_tone: worst.0, worst_mean: worst.1.max(0.0) }
    }

    /// As a picture: the paper where nothing differs, evenly darker by L* to the ink at twice [`PLAIN`] and beyond; over [`PLAIN`] hatched
    /// in the paper's colour, which the ground is too dark by then to hide. What is left out is paper with dots far apart.
    #[must_use]
    pub fn picture(&self, paper: Rgb, ink: Rgb, view: View) -> Plane<Rgba> {
        const SHADES: usize = 64;
        let ends = [paper, ink].map(|colour| colour.luminance().lightness().0);
        let lit = (paper.luminance().0, ink.luminance().0);
        let shades: Vec<Rgba> = (0..=SHADES)
            .map(|i| {
                let share = i as f64 / SHADES as f64;
                let wanted = Lightness(ends[0] + (ends[1] - ends[0]) * share).reflectance().0;
                // That much ink among paper has that lightness; where they are equally light any mixture has.
                let of_ink = if (lit.0 - lit.1).abs() > 1e-9 { ((lit.0 - wanted) / (lit.0 - lit.1)).clamp(0.0, 1.0) } else { share };
                opaque(paper.with(ink, |paper, ink| paper + (ink - paper) * of_ink))
            })
            .collect();
        let (hatch, dot) = (opaque(paper), opaque(ink));
        let shade = |off: f32, x: usize, y: usize| {
            let off = f64::from(off);
            if off.is_nan() {
                return if x % DOTS == y / DOTS % 2 * (DOTS / 2) && y.is_multiple_of(DOTS) { dot } else { hatch };
            }
            if off > PLAIN && (x + y).is_multiple_of(PITCH) {
                hatch
            } else {
                shades[libm::round((off / (2.0 * PLAIN)).clamp(0.0, 1.0) * SHADES as f64) as usize]
            }
        };
        let width = self.map.width();
        // The hatch leans the same way in either view.
        Plane::from_fn(width, self.map.height(), |x, y| {
            let at = if view == View::Plate { width - 1 - x } else { x };
            shade(self.map.at(at, y), x, y)
        })
    }
}

/// Pixels from one hatch line to the next.
const PITCH: usize = 6;
/// Pixels from one dot to the next.
const DOTS: usize = 8;

fn opaque(colour: Rgb) -> Rgba {
    let [r, g, b] = colour.bytes();
    [r, g, b, u8::MAX]
}

/// Differences already worked out. A proof has few mean colours and a drawing few greys, so most pairs come again; the answer is the
/// same whether one is found here or not.
struct Seen {
    places: Vec<([u32; 6], f32)>,
}

impl Seen {
    const BITS: u32 = 15;

    fn new() -> Self {
        // No light has these bits: they are not numbers.
        Self { places: vec![([u32::MAX; 6], 0.0); 1 << Self::BITS] }
    }

    fn apart(&mut self, one: [f32; 3], other: [f32; 3]) -> f32 {
        let mut key = [0u32; 6];
        for (key, channel) in key.iter_mut().zip(one.iter().chain(&other)) {
            *key = channel.to_bits();
        }
        let hash = key.iter().fold(0u64, |hash, &bits| (hash.rotate_left(23) ^ u64::from(bits)).wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let place = &mut self.places[(hash >> (64 - Self::BITS)) as usize];
        if place.0 != key {
            *place = (key, apart(one, other));
        }
        place.1
    }
}

fn apart(one: [f32; 3], other: [f32; 3]) -> f32 {
    let (one, other) = (Rgb(one.map(f64::from)), Rgb(other.map(f64::from)));
    if !one.is_finite() || !other.is_finite() {
        return 0.0;
    }
    let off = lab(one).difference(lab(other)) as f32;
    if off.is_finite() { off } else { 0.0 }
}

/// Greys by their own formula: most of a drawing is grey.
fn lab(colour: Rgb) -> Lab {
    let [r, g, b] = colour.0;
    if r == g && g == b { Lab { l: Reflectance(r).lightness().0, a: 0.0, b: 0.0 } } else { colour.lab() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn grey(l: f64) -> [f32; 3] {
        [Lightness(l).reflectance().0 as f32; 3]
    }

    #[test]
    fn a_picture_differs_from_itself_by_nothing() {
        let picture = Plane::from_fn(31, 17, |x, y| grey((x * y % 100) as f64));
        let difference = Difference::between(&picture, &picture).unwrap();
        assert!(difference.map().data().iter().all(|&off| off == 0.0));
        let figures = difference.figures(&Plane::filled(3, 3, 2u8));
        assert_eq!((figures.mean, figures.most, figures.over, figures.worst_tone), (0.0, 0.0, 0.0, 2));
    }

    #[test]
    fn figures_are_those_of_the_tones() {
        // Three columns of 50, 30 and 20: of them tone 0 is right, tone 1 off by 10 L*, tone 2 by 2 L*, all at L* 50, where CIEDE2000's
        // weight of lightness is S_L = 1 + 0.015 (L' − 50)²/√(20 + (L' − 50)²) with L' the mean of both.
        let tone = |x: usize| u8::from(x >= 50) + u8::from(x >= 80);
        let wanted = Plane::from_fn(100, 40, |_, _| grey(50.0));
        let proof = Plane::from_fn(100, 40, |x, _| grey([50.0, 60.0, 48.0][usize::from(tone(x))]));
        let expected = |apart: f64| {
            let off = (apart / 2.0) * (apart / 2.0);
            apart / (1.0 + 0.015 * off / (20.0 + off).sqrt())
        };
        let figures = Difference::between(&proof, &wanted).unwrap().figures(&Plane::from_fn(200, 80, |x, _| tone(x / 2)));
        assert_abs_diff_eq!(figures.worst_mean, expected(10.0), epsilon = 1e-4);
        assert_abs_diff_eq!(figures.mean, 0.3 * expected(10.0) + 0.2 * expected(2.0), epsilon = 1e-4);
        assert_abs_diff_eq!(figures.over, 0.3, epsilon = 1e-12);
        assert_eq!(figures.worst_tone, 1);
    }

    #[test]
    fn a_sliver_is_not_the_worst() {
        let wanted = Plane::filled(100, 100, grey(50.0));
        let proof = Plane::from_fn(100, 100, |x, y| grey(if x < 3 && y == 0 { 90.0 } else { 52.0 }));
        let tones = Plane::from_fn(100, 100, |x, y| u8::from(x < 3 && y == 0));
        let figures = Difference::between(&proof, &wanted).unwrap().figures(&tones);
        assert_eq!(figures.worst_tone, 0);
        assert!(figures.most > 30.0);
    }

    #[test]
    fn sizes_are_said_and_what_is_no_number_differs_from_nothing() {
        let (small, large) = (Plane::filled(2, 3, grey(50.0)), Plane::filled(3, 3, grey(50.0)));
        let said = Difference::between(&small, &large).unwrap_err().to_string();
        assert!(said.contains("2 × 3") && said.contains("3 × 3") && said.ends_with('.'), "{said}");
        let odd = Plane::filled(2, 3, [f32::NAN, f32::INFINITY, 0.5]);
        assert!(Difference::between(&small, &odd).unwrap().map().data().iter().all(|&off| off == 0.0));
    }

    #[test]
    fn what_is_left_out_is_in_no_figure_and_dotted_in_the_picture() {
        // The left half is worked by hand and far off; the right half is off by a little.
        let wanted = Plane::filled(40, 20, grey(60.0));
        let proof = Plane::from_fn(40, 20, |x, _| grey(if x < 20 { 90.0 } else { 61.0 }));
        let zones = Plane::from_fn(8, 4, |x, _| if x < 4 { 254 } else { 2 });
        let whole = Difference::between(&proof, &wanted).unwrap();
        let right = whole.map().at(30, 3);
        let tones = Plane::from_fn(8, 4, |x, _| if x < 4 { 0 } else { 2u8 });
        assert!(whole.figures(&tones).most > 20.0 && whole.figures(&tones).left_out == 0.0);
        let left = whole.leaving_out(&zones, |zone| zone == 254);
        let figures = left.figures(&tones);
        assert_abs_diff_eq!(figures.mean, f64::from(right), epsilon = 1e-6);
        assert_abs_diff_eq!(figures.most, f64::from(right), epsilon = 1e-6);
        assert_eq!((figures.over, figures.left_out, figures.worst_tone), (0.0, 0.5, 2));
        let (paper, ink) = (Rgb::grey(Reflectance(0.8)), Rgb::grey(Reflectance(0.03)));
        let picture = left.picture(paper, ink, View::Print);
        let dots = picture.data().iter().filter(|px| px[0] == ink.bytes()[0]).count();
        assert!((5..=12).contains(&dots), "{dots} in 400 pixels");
        let none = left.leaving_out(&zones, |_| true).figures(&tones);
        assert_eq!((none.mean, none.most, none.over, none.left_out, none.worst_mean), (0.0, 0.0, 0.0, 1.0, 0.0));
    }

    #[test]
    fn the_picture_is_paper_then_ink_hatched_beyond_the_plain() {
        let wanted = Plane::filled(60, 20, grey(60.0));
        let proof = Plane::from_fn(60, 20, |x, _| grey([60.0, 64.0, 90.0][x / 20]));
        let (paper, ink) = (Rgb::grey(Reflectance(0.8)), Rgb::grey(Reflectance(0.03)));
        let difference = Difference::between(&proof, &wanted).unwrap();
        let picture = difference.picture(paper, ink, View::Print);
        let column = |from: usize| (0..20).flat_map(move |y| (from..from + 20).map(move |x| (x, y))).map(|(x, y)| picture.at(x, y)[0]);
        assert!(column(0).all(|byte| byte == paper.bytes()[0]));
        let between: Vec<u8> = column(20).collect();
        assert!(between.iter().all(|&byte| byte == between[0] && byte < paper.bytes()[0] && byte > ink.bytes()[0]));
        let lines = column(40).filter(|&byte| byte == paper.bytes()[0]).count();
        assert_eq!(column(40).filter(|&byte| byte == ink.bytes()[0]).count() + lines, 400);
        assert!((60..75).contains(&lines), "every sixth diagonal: {lines}");
        let plate = difference.picture(paper, ink, View::Plate);
        assert_eq!(plate.at(59, 7), picture.at(0, 7));
        assert!(plate.at(1, 5) == plate.at(0, 6), "leans from foot left to top right in either view");
    }

    proptest! {
        #[test]
        fn it_is_the_same_either_way_round(one in prop::collection::vec(prop::array::uniform3(0.0..1.0f32), 12), other in prop::collection::vec(prop::array::uniform3(0.0..1.0f32), 12)) {
            let (one, other) = (Plane::new(4, 3, one).unwrap(), Plane::new(4, 3, other).unwrap());
            let there = Difference::between(&one, &other).unwrap();
            let back = Difference::between(&other, &one).unwrap();
            for ((a, b), (one, other)) in there.map().data().iter().zip(back.map().data()).zip(one.data().iter().zip(other.data())) {
                prop_assert!((a - b).abs() < 1e-4 && *a >= 0.0);
                let direct = Rgb(one.map(f64::from)).lab().difference(Rgb(other.map(f64::from)).lab());
                prop_assert!((f64::from(*a) - direct).abs() < 1e-4);
            }
            let figures = there.figures(&Plane::from_fn(2, 2, |x, y| (x + 2 * y) as u8));
            prop_assert!(figures.mean <= figures.worst_mean + 1e-9 && figures.worst_mean <= figures.most + 1e-9);
        }
    }
}
