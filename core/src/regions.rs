//! Regions: from pixel thresholds, with their thousands of specks and hair-thin bands, to areas a brush can paint.
//!
//! A region of one tone is paintable where a disc of the smallest mark's size, lying wholly within the region, covers it. First the regions
//! are laid out on a coarse raster: what is not paintable, or belongs to a piece of less than one and a half marks of area, is given up
//! and takes the tone of an ever softer picture, as far as *that* holds the mark there; the little that is still left takes the tone of the
//! nearest region. Then, at full resolution, the edges creep to where the print will look most like the drawing, and what no longer
//! holds the mark is given up once more. All of it works on the one step map, never on single masks, so the stop-outs stay nested
//! whatever happens here.

use crate::bits::BitPlane;
use crate::components::Components;
use crate::opening::{Disc, opened};
use crate::plane::Plane;
use crate::tones::{Breaks, StepMap, ToneCount};
use crate::units::PxPerMm;
use std::ops::Range;

mod edges;
mod fill;
mod mark;
mod softened;
use fill::Ways;
pub use mark::{Mark, MarkError};
pub use softened::Softened;
use softened::StoredTones;

/// What no region claims yet.
const NONE: u8 = u8::MAX;

/// The step map a brush can paint.
///
/// Every region holds the mark nearly everywhere and is at least one and a half marks in area, except where [`unpaintable_share`] says.
#[must_use]
pub fn paintable(softened: &Softened, breaks: &Breaks) -> StepMap {
    let (mark, resolution) = (softened.mark, softened.resolution);
    let tones = StoredTones::of(breaks);
    let means = softened.means(breaks, &tones);
    let mut map = enlarged(&laid_out(softened, &tones), softened.coarse, softened.size);
    edges::creep(&mut map, softened, &means);
    let (mut ways, mut holes) = (Ways::of(&map), Vec::new());
    give_up_narrow(&mut map, &mark.disc(resolution), &mut holes);
    filled(&mut map, &holes, &mut ways);
    settled(map, mark, resolution, breaks.tones(), ways)
}

/// The regions on the coarse raster.
fn laid_out(softened: &Softened, tones: &StoredTones) -> Plane<u8> {
    let coarse = PxPerMm(softened.resolution.0 / softened.coarse as f64);
    let (disc, least) = (softened.mark.disc(coarse), softened.mark.least_pixels(coarse));
    let mut map = softened.planes[0].map(|&l| tones.tone(l));
    let mut holes = give_up(&mut map, &disc, least);
    for plane in &softened.planes[1..] {
        for (at, _) in holes {
            map.data_mut()[at as usize] = tones.tone(plane.data()[at as usize]);
        }
        holes = give_up(&mut map, &disc, least);
    }
    let mut ways = Ways::of(&map);
    filled(&mut map, &holes, &mut ways);
    map
}

/// Every pixel of a coarse map as so many pixels each way, cut to a size.
fn enlarged(map: &Plane<u8>, by: usize, (width, height): (usize, usize)) -> Plane<u8> {
    let mut line = vec![0; map.width() * by];
    let mut out = Plane::filled(width, height, 0);
    for (i, rows) in out.data_mut().chunks_mut(width * by).enumerate() {
        for (part, &tone) in line.chunks_exact_mut(by).zip(map.row(i)) {
            part.fill(tone);
        }
        for row in rows.chunks_exact_mut(width) {
            row.copy_from_slice(&line[..width]);
        }
    }
    out
}

/// The clean-up of a step map alone, without its drawing: what does not hold the mark goes to the nearest region. What [`paintable`] made
/// comes back as it went in, but for a hundredth of a percent.
#[must_use]
pub fn tidied(map: &StepMap, mark: Mark, resolution: PxPerMm) -> StepMap {
    settled(map.plane().clone(), mark, resolution, map.tones(), Ways::of(map.plane()))
}

/// Most rounds of giving up and filling.
const ROUNDS: usize = 30;

/// Share of the face that the last round may still change.
const SETTLED: f64 = 5e-5;

/// Gives up what is unpaintable and fills it from the nearest region, and so on until next to nothing changes and no piece too small is left,
/// which the last fill may have cut off at a corner.
fn settled(mut map: Plane<u8>, mark: Mark, resolution: PxPerMm, tones: ToneCount, mut ways: Ways) -> StepMap {
    let (disc, least) = (mark.disc(resolution), mark.least_pixels(resolution));
    let enough = (map.data().len() as f64 * SETTLED) as usize;
    for _ in 0..ROUNDS {
        let mut holes = Vec::new();
        let narrow = narrow(&map, &disc);
        give_up_all(&mut map, &narrow, &mut holes);
        give_up_small(&mut map, least, &mut holes);
        if filled(&mut map, &holes, &mut ways) <= enough && drop_small(&mut map, least, &mut ways) == 0 {
            return StepMap::new(tones, map);
        }
    }
    while drop_small(&mut map, least, &mut ways) > 0 {}
    StepMap::new(tones, map)
}

/// Fills what was given up from the nearest regions, and says how many pixels have another tone than before.
fn filled(map: &mut Plane<u8>, holes: &[Hole], ways: &mut Ways) -> usize {
    ways.fill(map, NONE, holes.iter().map(|hole| hole.0));
    holes.iter().filter(|&&(at, tone)| map.data()[at as usize] != tone).count()
}

/// Gives pieces of too few pixels to their neighbours, and says how many pixels that changed. Where one is all there is, it stays.
fn drop_small(map: &mut Plane<u8>, least: u64, ways: &mut Ways) -> usize {
    let mut holes = Vec::new();
    give_up_small(map, least, &mut holes);
    filled(map, &holes, ways)
}

/// A pixel given up: its place in the plane and the tone it had.
type Hole = (u32, u8);

/// Marks as [`NONE`] what does not hold the disc, and pieces of too few pixels.
fn give_up(map: &mut Plane<u8>, disc: &Disc, least_pixels: u64) -> Vec<Hole> {
    let mut holes = Vec::new();
    give_up_narrow(map, disc, &mut holes);
    give_up_small(map, least_pixels, &mut holes);
    holes
}

/// Marks as [`NONE`] what does not hold the disc.
fn give_up_narrow(map: &mut Plane<u8>, disc: &Disc, holes: &mut Vec<Hole>) {
    give_up_all(map, &opened(map, disc).complement(), holes);
}

/// Marks as [`NONE`] some pixels.
fn give_up_all(map: &mut Plane<u8>, pixels: &BitPlane, holes: &mut Vec<Hole>) {
    let width = map.width();
    pixels.each(|x, y| take(map, y * width + x..y * width + x + 1, holes));
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

/// Share of the face, 0..=1, where a region does not hold the mark: pixels that no disc within their region holds, nor holds one beside them.
/// To within one pixel, because a raster can't tell a round corner from one cut at 45°.
#[must_use]
pub fn unpaintable_share(map: &StepMap, mark: Mark, resolution: PxPerMm) -> f64 {
    unpaintable(map, mark, resolution).count() as f64 / map.plane().data().len() as f64
}

/// Where a region does not hold the mark, as [`unpaintable_share`] counts it.
#[must_use]
pub fn unpaintable(map: &StepMap, mark: Mark, resolution: PxPerMm) -> BitPlane {
    narrow(map.plane(), &mark.disc(resolution))
}

/// Pixels that no disc within their region holds, nor holds one of their region beside them.
fn narrow(map: &Plane<u8>, disc: &Disc) -> BitPlane {
    let open = opened(map, disc);
    let mut narrow = open.clone().complement();
    let around = |at: usize, end: usize| at.saturating_sub(1)..(at + 2).min(end);
    open.clone().complement().each(|x, y| {
        let tone = map.at(x, y);
        let near = |u: usize, v: usize| open.at(u, v) && map.at(u, v) == tone;
        if around(y, map.height()).any(|v| around(x, map.width()).any(|u| near(u, v))) {
            narrow.clear(x, y);
        }
    });
    narrow
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
    use crate::smoothing::Smoothing;
    use crate::tones;
    use crate::units::Millimetres;
    use proptest::prelude::*;

    const TEN: PxPerMm = PxPerMm(10.0);

    fn mark(mm: f64) -> Mark {
        Mark::new(Millimetres(mm)).unwrap()
    }

    fn breaks(values: &[f64]) -> Breaks {
        Breaks::new(values.iter().map(|&l| Lightness(l)).collect()).unwrap()
    }

    #[test]
    fn a_speck_goes_and_a_dab_stays() {
        let plane = Plane::from_fn(200, 200, |x, y| {
            let near = |u: f64, v: f64, r: f64| (x as f64 - u).powi(2) + (y as f64 - v).powi(2) < r * r;
            if near(50.0, 50.0, 3.0) || near(140.0, 140.0, 12.0) { 10.0 } else { 90.0 }
        });
        let map = paintable(&Softened::of(&plane, TEN, mark(1.0), Smoothing::NONE), &breaks(&[50.0]));
        assert_eq!((map.plane().at(50, 50), map.plane().at(140, 140), map.plane().at(5, 5)), (0, 1, 0));
    }

    #[test]
    fn a_soft_edge_ends_as_one_edge_not_as_a_stack_of_bands() {
        // From light to dark within 1 mm: ten tones would leave bands of 0.1 mm.
        let plane = Plane::from_fn(300, 120, |x, _| 90.0 - 80.0 * ((x as f32 - 145.0) / 10.0).clamp(0.0, 1.0));
        let falling: Vec<f64> = (0..9).map(|i| 86.0 - 9.0 * f64::from(i)).collect();
        let map = paintable(&Softened::of(&plane, TEN, mark(1.0), Smoothing::NONE), &breaks(&falling));
        let row = map.plane().row(60);
        let edges = row.windows(2).filter(|pair| pair[0] != pair[1]).count();
        assert!(edges <= 2, "{edges} edges: {row:?}");
        assert!(unpaintable_share(&map, mark(1.0), TEN) < 0.005);
    }

    /// Made-up pictures of the worst kind: squares of noise, all corners.
    fn noise(seed: u64, scale: usize, (width, height): (usize, usize)) -> Plane<f32> {
        let mut state = seed;
        let mut cells = Vec::new();
        for _ in 0..40 * 40 {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            cells.push((state >> 40) as f32 / (1u32 << 24) as f32 * 100.0);
        }
        Plane::from_fn(width, height, |x, y| cells[y / scale % 40 * 40 + x / scale % 40])
    }

    fn evenly(tones: i64) -> Breaks {
        breaks(&(1..tones).map(|i| 100.0 - 100.0 * i as f64 / tones as f64).collect::<Vec<_>>())
    }

    fn check(map: &StepMap, tones: i64, mark: Mark) -> Result<(), TestCaseError> {
        let count = ToneCount::new(tones).unwrap();
        prop_assert_eq!(map.tones(), count);
        // Every pixel has one tone, so what stop-out j covers, tones below j, lies within what j + 1 covers.
        prop_assert!(map.plane().data().iter().all(|&tone| usize::from(tone) < count.get()));
        let smallest = Components::of(map.plane()).areas().iter().copied().min().unwrap();
        prop_assert!(smallest >= mark.least_pixels(TEN), "a piece of {} pixels", smallest);
        let share = unpaintable_share(map, mark, TEN);
        // Where three regions meet, somebody's corner is left over, and noise is all corners. Drawings stay under half a percent
        // (tests/README.md has the table).
        prop_assert!(share < 0.05, "unpaintable {}", share);
        let again = tidied(map, mark, TEN);
        let changed = map.plane().data().iter().zip(again.plane().data()).filter(|(a, b)| a != b).count();
        let share = changed as f64 / map.plane().data().len() as f64;
        prop_assert!(share < 0.001, "{} of the face changes", share);
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(1000))]

        #[test]
        fn what_comes_out_can_be_painted(seed in any::<u64>(), scale in 2usize..30, tones in 2i64..=16, size in 3u32..=20) {
            let mark = mark(f64::from(size) / 10.0);
            let map = paintable(&Softened::of(&noise(seed, scale, (160, 140)), TEN, mark, Smoothing::default()), &evenly(tones));
            check(&map, tones, mark)?;
        }

        #[test]
        fn any_map_tidied_can_be_painted(seed in any::<u64>(), scale in 1usize..30, tones in 2i64..=16, size in 3u32..=20) {
            let mark = mark(f64::from(size) / 10.0);
            let map = tones::quantise(&noise(seed, scale, (130, 110)), &evenly(tones));
            check(&tidied(&map, mark, TEN), tones, mark)?;
        }
    }
}
