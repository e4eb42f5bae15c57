//! Regions: from pixel thresholds, with their thousands of specks and hair-thin bands, to areas a brush can paint.
//!
//! A region of one tone is paintable where a disc of the smallest mark's size, lying wholly within the region, covers it. What is not
//! paintable, or belongs to a piece of less than one and a half marks of area, is given up and takes the tone of an ever softer picture,
//! as far as *that* holds the mark there; the little that is still left takes the tone of the nearest region. All of it works on the one
//! step map, never on single masks, so the stop-outs stay nested whatever happens here.

use crate::blur::gaussian;
use crate::components::Components;
use crate::opening::{clear_centres, grown, opened};
use crate::plane::Plane;
use crate::tones::{Breaks, StepMap, ToneCount};
use crate::units::{Millimetres, PxPerMm};
use std::fmt;
use std::ops::Range;

mod fill;

/// The smallest mark a hand can paint: the diameter of a disc.
///
/// # Guarantees
/// From 0.3 to 5 mm.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Mark(Millimetres);

impl Default for Mark {
    /// 1 mm: what a small brush makes with ease. Estimate, no source.
    fn default() -> Self {
        Self(Millimetres(1.0))
    }
}

/// A mark that no brush makes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MarkError {
    /// What came, mm.
    pub mark: f64,
}

impl fmt::Display for MarkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "The smallest mark is 0.3 to 5 mm across, or 0 for no clean-up; {} mm came: 1 mm suits a small brush.", self.mark)
    }
}

impl std::error::Error for MarkError {}

impl Mark {
    /// Pieces under this many marks of area go.
    pub const LEAST_MARKS: f64 = 1.5;

    /// A mark of a diameter from 0.3 to 5 mm.
    ///
    /// # Errors
    /// Outside that.
    pub fn new(diameter: Millimetres) -> Result<Self, MarkError> {
        if (0.3..=5.0).contains(&diameter.0) { Ok(Self(diameter)) } else { Err(MarkError { mark: diameter.0 }) }
    }

    /// The mark, or `None` for 0: no clean-up.
    ///
    /// # Errors
    /// When it is neither 0 nor from 0.3 to 5 mm.
    pub fn optional(diameter: Millimetres) -> Result<Option<Self>, MarkError> {
        if diameter.0.classify() == std::num::FpCategory::Zero { Ok(None) } else { Self::new(diameter).map(Some) }
    }

    /// Its diameter.
    #[must_use]
    pub fn diameter(self) -> Millimetres {
        self.0
    }

    fn radius_px(self, resolution: PxPerMm) -> f64 {
        resolution.px(self.0) / 2.0
    }

    /// Pixels that a piece needs to stay.
    fn least_pixels(self, resolution: PxPerMm) -> u64 {
        let radius = self.radius_px(resolution);
        libm::ceil(std::f64::consts::PI * radius * radius * Self::LEAST_MARKS) as u64
    }
}

/// Standard deviations of the softer pictures, in radii of the mark: what the first can't place, the next may.
const SOFTNESS: [f64; 4] = [0.5, 1.0, 2.0, 4.0];

/// What no region claims yet.
const NONE: u8 = u8::MAX;

/// The drawing at the resolution of the face, softened step by step for one size of mark. Independent of breaks and tones, so that a
/// moved break does not soften anew.
pub struct Softened {
    planes: Vec<Plane<u16>>,
    mark: Mark,
    resolution: PxPerMm,
}

impl Softened {
    /// Softens a plane of L*.
    #[must_use]
    pub fn of(lightness: &Plane<f32>, resolution: PxPerMm, mark: Mark) -> Self {
        let sharp = lightness.map(|&l| stored(l));
        let radius = mark.radius_px(resolution);
        let mut planes: Vec<Plane<u16>> = Vec::with_capacity(SOFTNESS.len());
        let mut reached: f64 = 0.0;
        for softness in SOFTNESS {
            let sigma = softness * radius;
            // Gaussians add in variance: each picture is softened from the one before.
            let more = libm::sqrt(sigma * sigma - reached * reached);
            planes.push(gaussian(planes.last().unwrap_or(&sharp), more));
            reached = sigma;
        }
        Self { planes, mark, resolution }
    }

    /// The size of mark it was softened for.
    #[must_use]
    pub fn mark(&self) -> Mark {
        self.mark
    }
}

/// L* as it is stored: 0..=100 over the range of 16 bits.
fn stored(l: f32) -> u16 {
    (l.clamp(0.0, 100.0) * 655.35 + 0.5) as u16
}

/// Cuts a stored lightness at the breaks: one look-up a pixel, in a table of 1/40 L* a step that stays in the nearest cache.
struct StoredTones(Vec<u8>);

impl StoredTones {
    /// Bits of a stored lightness that no brush can tell.
    const DROPPED: u32 = 4;

    fn of(breaks: &Breaks) -> Self {
        // Falling breaks: everything below the first is at least tone 1, below the second at least tone 2, and so on.
        let steps = 1 << (16 - Self::DROPPED);
        let lighter = |step: u32| breaks.falling().iter().filter(|limit| step << Self::DROPPED < u32::from(stored(limit.0 as f32))).count();
        Self((0..steps).map(|step| lighter(step) as u8).collect())
    }

    fn tone(&self, l: u16) -> u8 {
        self.0[usize::from(l >> Self::DROPPED)]
    }
}

/// The step map a brush can paint.
///
/// Every region holds the mark nearly everywhere and is at least one and a half marks in area, except where [`unpaintable_share`] says.
#[must_use]
pub fn paintable(softened: &Softened, breaks: &Breaks) -> StepMap {
    let (mark, resolution) = (softened.mark, softened.resolution);
    let tones = StoredTones::of(breaks);
    let (disc, least) = (Disc::safe(mark, resolution), mark.least_pixels(resolution));
    let mut map = softened.planes[0].map(|&l| tones.tone(l));
    let mut holes = give_up(&mut map, disc, least);
    for plane in &softened.planes[1..] {
        for (at, _) in holes {
            map.data_mut()[at as usize] = tones.tone(plane.data()[at as usize]);
        }
        holes = give_up(&mut map, disc, least);
    }
    fill::from_nearest(&mut map, NONE, holes.iter().map(|hole| hole.0));
    settled(map, mark, resolution, breaks.tones())
}

/// Cleans a step map once more, from the map alone: a fixed point where it is already paintable.
#[must_use]
pub fn tidied(map: &StepMap, mark: Mark, resolution: PxPerMm) -> StepMap {
    settled(map.plane().clone(), mark, resolution, map.tones())
}

/// Rounds of giving up and filling again, at most. Drawings need two or three; noise finer than the mark needs more.
const ROUNDS: usize = 8;

/// Share of the face that the last round may still change.
const SETTLED: f64 = 5e-4;

/// Gives up what is unpaintable and fills it from the nearest region, and so on until next to nothing changes; then sees to it that no
/// piece too small is left, which the last fill may have cut off at a corner.
fn settled(mut map: Plane<u8>, mark: Mark, resolution: PxPerMm, tones: ToneCount) -> StepMap {
    let (disc, least) = (Disc::just(mark, resolution), mark.least_pixels(resolution));
    let enough = (map.data().len() as f64 * SETTLED) as usize;
    for _ in 0..ROUNDS {
        let holes = give_up(&mut map, disc, least);
        fill::from_nearest(&mut map, NONE, holes.iter().map(|hole| hole.0));
        let changed = holes.iter().filter(|&&(at, tone)| map.data()[at as usize] != tone).count();
        if changed <= enough {
            break;
        }
    }
    for _ in 0..ROUNDS {
        let mut holes = Vec::new();
        give_up_small(&mut map, least, &mut holes);
        if holes.is_empty() {
            break;
        }
        fill::from_nearest(&mut map, NONE, holes.iter().map(|hole| hole.0));
    }
    StepMap::new(tones, map)
}

/// A pixel given up: its place in the plane and the tone it had.
type Hole = (u32, u8);

/// Marks as [`NONE`] what does not hold the disc, and pieces of too few pixels.
fn give_up(map: &mut Plane<u8>, disc: Disc, least_pixels: u64) -> Vec<Hole> {
    let width = map.width();
    let mut holes = Vec::new();
    opened(map, disc.clear, disc.grow).complement().each(|x, y| take(map, y * width + x..y * width + x + 1, &mut holes));
    give_up_small(map, least_pixels, &mut holes);
    holes
}

/// Marks as [`NONE`] the pieces of too few pixels.
fn give_up_small(map: &mut Plane<u8>, least_pixels: u64, holes: &mut Vec<Hole>) {
    let width = map.width();
    let pieces = Components::of(map);
    pieces.each_stretch(|y, start, end, piece| {
        if pieces.areas()[piece] < least_pixels {
            take(map, y * width + start..y * width + end, holes);
        }
    });
}

fn take(map: &mut Plane<u8>, part: Range<usize>, holes: &mut Vec<Hole>) {
    let from = part.start;
    for (i, tone) in map.data_mut()[part].iter_mut().enumerate().filter(|(_, tone)| **tone != NONE) {
        holes.push(((from + i) as u32, *tone));
        *tone = NONE;
    }
}

/// A mark on the raster, as the squared distances that [`opened`] takes.
#[derive(Clone, Copy)]
struct Disc {
    clear: u32,
    grow: u32,
}

impl Disc {
    /// A centre needs everything nearer than the radius and half a pixel: the most by which the centre of a true disc misses a
    /// pixel's. What passes holds the disc wherever the raster happens to lie.
    fn safe(mark: Mark, resolution: PxPerMm) -> Self {
        let radius = mark.radius_px(resolution);
        let clear = below((radius + 0.5) * (radius + 0.5));
        Self { clear, grow: (radius * radius) as u32 }
    }

    /// A centre needs everything nearer than the radius: a band exactly as wide as the mark just passes. Regions that have passed the
    /// safe disc once are measured by this one, or corners would be rounded off a little more every time.
    fn just(mark: Mark, resolution: PxPerMm) -> Self {
        let radius = mark.radius_px(resolution);
        let clear = below(radius * radius);
        Self { clear, grow: clear }
    }
}

/// The largest whole number below a positive value.
fn below(value: f64) -> u32 {
    (libm::ceil(value) as u32).saturating_sub(1)
}

/// Share of the face, 0..=1, where a region does not hold the mark, to within one pixel.
#[must_use]
pub fn unpaintable_share(map: &StepMap, mark: Mark, resolution: PxPerMm) -> f64 {
    let radius = mark.radius_px(resolution);
    let centres = clear_centres(map.plane(), Disc::just(mark, resolution).clear);
    let closed = grown(&centres, (radius * radius) as u32).complement().count();
    closed as f64 / map.plane().data().len() as f64
}

/// Share of the face, 0..=1, whose tone is not that of the plain thresholds. Counted on every fourth row: the figure is for people, who
/// read whole hundredths, and it is asked for on every move of a break.
///
/// # Panics
/// When the sizes differ.
#[must_use]
pub fn changed_share(map: &StepMap, lightness: &Plane<f32>, breaks: &Breaks) -> f64 {
    let plane = map.plane();
    assert!(plane.width() == lightness.width() && plane.height() == lightness.height(), "map and face have one size");
    let table = breaks.table();
    let (mut changed, mut rows) = (0, 0);
    for (tones, light) in plane.rows().zip(lightness.rows()).step_by(4) {
        changed += tones.iter().zip(light).filter(|&(&tone, &l)| table.tone(l) != tone).count();
        rows += 1;
    }
    changed as f64 / (rows * plane.width()) as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Lightness;
    use proptest::prelude::*;

    const TEN: PxPerMm = PxPerMm(10.0);

    fn mark(mm: f64) -> Mark {
        Mark::new(Millimetres(mm)).unwrap()
    }

    fn breaks(values: &[f64]) -> Breaks {
        Breaks::new(values.iter().map(|&l| Lightness(l)).collect()).unwrap()
    }

    #[test]
    fn marks_are_checked() {
        assert_eq!(Mark::optional(Millimetres(0.0)), Ok(None));
        for wrong in [-1.0, 0.1, 6.0, f64::NAN] {
            assert!(Mark::optional(Millimetres(wrong)).unwrap_err().to_string().contains("5 mm"));
        }
    }

    #[test]
    fn a_speck_goes_and_a_dab_stays() {
        let plane = Plane::from_fn(200, 200, |x, y| {
            let near = |u: f64, v: f64, r: f64| (x as f64 - u).powi(2) + (y as f64 - v).powi(2) < r * r;
            if near(50.0, 50.0, 3.0) || near(140.0, 140.0, 12.0) { 10.0 } else { 90.0 }
        });
        let map = paintable(&Softened::of(&plane, TEN, mark(1.0)), &breaks(&[50.0]));
        assert_eq!((map.plane().at(50, 50), map.plane().at(140, 140), map.plane().at(5, 5)), (0, 1, 0));
    }

    #[test]
    fn a_soft_edge_ends_as_one_edge_not_as_a_stack_of_bands() {
        // From light to dark within 1 mm: ten tones would leave bands of 0.1 mm.
        let plane = Plane::from_fn(300, 120, |x, _| 90.0 - 80.0 * ((x as f32 - 145.0) / 10.0).clamp(0.0, 1.0));
        let falling: Vec<f64> = (0..9).map(|i| 86.0 - 9.0 * f64::from(i)).collect();
        let map = paintable(&Softened::of(&plane, TEN, mark(1.0)), &breaks(&falling));
        let row = map.plane().row(60);
        let edges = row.windows(2).filter(|pair| pair[0] != pair[1]).count();
        assert!(edges <= 2, "{edges} edges: {row:?}");
        assert!(unpaintable_share(&map, mark(1.0), TEN) < 0.005);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        /// Whatever comes, the regions hold the mark and are large enough, and cleaning again changes next to nothing.
        #[test]
        fn what_comes_out_can_be_painted(seed in any::<u64>(), scale in 2usize..30, tones in 2i64..=16, size in 3u32..=20) {
            let mut state = seed;
            let mut cells = Vec::new();
            for _ in 0..40 * 40 {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                cells.push((state >> 40) as f32 / (1u32 << 24) as f32 * 100.0);
            }
            let plane = Plane::from_fn(160, 140, |x, y| cells[y / scale % 40 * 40 + x / scale % 40]);
            let count = ToneCount::new(tones).unwrap();
            let breaks = breaks(&(1..tones).map(|i| 100.0 - 100.0 * i as f64 / tones as f64).collect::<Vec<_>>());
            let mark = mark(f64::from(size) / 10.0);
            let map = paintable(&Softened::of(&plane, TEN, mark), &breaks);
            prop_assert_eq!(map.tones(), count);
            let share = unpaintable_share(&map, mark, TEN);
            // Squares of noise are the worst case: all corners. Drawings stay under half a percent (tests/README.md has the table).
            prop_assert!(share < 0.05, "unpaintable {}", share);
            let smallest = Components::of(map.plane()).areas().iter().copied().min().unwrap();
            prop_assert!(smallest >= mark.least_pixels(TEN), "a piece of {} pixels", smallest);
            let again = tidied(&map, mark, TEN);
            let changed = map.plane().data().iter().zip(again.plane().data()).filter(|(a, b)| a != b).count();
            prop_assert!(changed as f64 / (160.0 * 140.0) < 0.005, "{} pixels change", changed);
        }
    }
}
