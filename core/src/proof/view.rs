//! Windows on the proof as pictures.
//!
//! A window finer than the step map shows each pixel's tone by the map's nearest pixel. A coarser one averages, in linear light: exactly
//! by area in [`flat`], by a grid of finer pixels (at most 16 × 16 in each) in [`grained`].

use super::{Films, ProofTones, Window};
use crate::affine::Affine;
use crate::grain::raster::{self, Band};
use crate::light::{Encoded, Reflectance};
use crate::plane::Plane;
use crate::stopouts::StopOuts;
use crate::units::{PointMm, PxPerMm};

/// Kinds of pixel: the tones, and one more for what lies off the face.
const KINDS: usize = 17;
/// The kind of a pixel off the face: bare paper without plate tone.
const OFF: u8 = 16;
/// Points of a pixel, and so how many may lie on lands, 0 to 64.
const POINTS: usize = raster::POINTS * raster::POINTS;
/// Most finer pixels along a window pixel's side.
const MOST_PARTS: usize = 16;
/// Most finer pixels worked on at once: 9 bytes each.
const BAND_PIXELS: usize = 1 << 19;

/// The window in mean tones, without grain, as sRGB bytes.
#[must_use]
pub fn flat(stop_outs: &StopOuts, tones: &ProofTones, films: &Films, window: &Window) -> Plane<[u8; 3]> {
    let map = stop_outs.map().plane();
    let PxPerMm(resolution) = stop_outs.resolution();
    let light = Kinds::new(tones, films).means;
    let off = light[usize::from(OFF)];
    let columns = spans(window.width, window.origin.x, window.px_per_mm, resolution, map.width());
    let rows = spans(window.height, window.origin.y, window.px_per_mm, resolution, map.height());
    let paper = films.paper_factors(tones.paper()).map(|f| f as f32);
    let bytes = Bytes::new();
    let mut data = Vec::with_capacity(window.width * window.height);
    // Light more than the off-face paper's, summed down the rows of the map that a window row spans.
    let mut down = vec![0.0f32; map.width()];
    for row in &rows {
        down.fill(0.0);
        for (y, &weight) in row.weights.iter().enumerate() {
            for (sum, &tone) in down.iter_mut().zip(map.row(row.first + y)) {
                *sum += weight * (light[usize::from(tone)] - off);
            }
        }
        data.extend(columns.iter().map(|column| {
            let more: f32 = column.weights.iter().zip(&down[column.first..]).map(|(weight, light)| weight * light).sum();
            paper.map(|factor| bytes.byte((off + more) * factor))
        }));
    }
    finish(window, data)
}

/// The window with its grain, as sRGB bytes. `progress` hears the share done, 0..=1, rising, after each band of rows.
#[must_use]
pub fn grained(stop_outs: &StopOuts, tones: &ProofTones, films: &Films, window: &Window, progress: &mut dyn FnMut(f32)) -> Plane<[u8; 3]> {
    let map = stop_outs.map().plane();
    let PxPerMm(resolution) = stop_outs.resolution();
    let Kinds { light, undercuts, .. } = Kinds::new(tones, films);
    let parts = (libm::ceil(resolution / window.px_per_mm - 1e-9).max(1.0) as usize).min(MOST_PARTS);
    let fine = window.px_per_mm * parts as f64;
    let width = window.width * parts;
    let column_of: Vec<Option<usize>> = (0..width).map(|x| nearest(x, window.origin.x, fine, resolution, map.width())).collect();
    let face = [0.0, 0.0, map.width() as f64 / resolution, map.height() as f64 / resolution];
    let paper = films.paper_factors(tones.paper()).map(|f| f as f32);
    let bytes = Bytes::new();
    let share = 1.0 / (parts * parts) as f32;
    // With one fine pixel to a pixel there are few colours: each made once.
    let colours: Vec<[[u8; 3]; POINTS + 1]> =
        light.iter().map(|by_count| std::array::from_fn(|count| paper.map(|factor| bytes.byte(by_count[count] * factor)))).collect();

    // High enough that grains reaching over from the next band are few, small enough to stay in memory.
    let band_rows = (BAND_PIXELS / (width * parts)).clamp(1, window.height);
    let mut kinds = vec![OFF; width * parts * band_rows];
    let mut bits = vec![0u64; kinds.len()];
    let mut data = Vec::with_capacity(window.width * window.height);
    for top in (0..window.height).step_by(band_rows) {
        let rows = band_rows.min(window.height - top) * parts;
        let kinds = &mut kinds[..rows * width];
        let bits = &mut bits[..rows * width];
        let mut present = [false; KINDS];
        for (y, line) in kinds.chunks_exact_mut(width).enumerate() {
            if let Some(y) = nearest(top * parts + y, window.origin.y, fine, resolution, map.height()) {
                let row = map.row(y);
                for (kind, column) in line.iter_mut().zip(&column_of) {
                    *kind = column.map_or(OFF, |x| row[x]);
                    present[usize::from(*kind)] = true;
                }
            } else {
                line.fill(OFF);
            }
        }
        let here: Vec<f64> = undercuts.iter().zip(present).map(|(&u, present)| if present { u } else { f64::INFINITY }).collect();
        let corner = PointMm { x: window.origin.x, y: window.origin.y + top as f64 / window.px_per_mm };
        let band = Band { place: Affine::NONE, corner, px_per_mm: fine, width, kinds, undercuts: &here, grained: face, mixed: None };
        raster::cover(tones.grain(), &band, bits);
        if parts == 1 {
            data.extend(kinds.iter().zip(bits.iter()).map(|(&kind, bits)| colours[usize::from(kind)][bits.count_ones() as usize]));
        } else {
            for (kinds, bits) in kinds.chunks_exact(width * parts).zip(bits.chunks_exact(width * parts)) {
                data.extend((0..window.width).map(|x| {
                    let mut sum = 0.0;
                    for line in 0..parts {
                        let at = line * width + x * parts;
                        for (&kind, bits) in kinds[at..at + parts].iter().zip(&bits[at..at + parts]) {
                            sum += light[usize::from(kind)][bits.count_ones() as usize];
                        }
                    }
                    paper.map(|factor| bytes.byte(sum * share * factor))
                }));
            }
        }
        progress(data.len() as f32 / (window.width * window.height) as f32);
    }
    finish(window, data)
}

/// The whole face with its grain, pixel for pixel with the step map, in print view. `progress` as in [`grained`].
#[must_use]
pub fn print(stop_outs: &StopOuts, tones: &ProofTones, films: &Films, progress: &mut dyn FnMut(f32)) -> Plane<[u8; 3]> {
    grained(stop_outs, tones, films, &Window::face(stop_outs), progress)
}

/// Turns rows of the print view into the view the window asks for.
fn finish(window: &Window, mut data: Vec<[u8; 3]>) -> Plane<[u8; 3]> {
    if window.mirrored {
        data.chunks_exact_mut(window.width).for_each(<[_]>::reverse);
    }
    let mut data = data.into_iter();
    Plane::from_fn(window.width, window.height, |_, _| data.next().unwrap_or_default())
}

/// Light and undercut of each kind of pixel, plate tone in, the paper's colour not yet.
struct Kinds {
    means: [f32; KINDS],
    /// By how many of the pixel's points lie on lands.
    light: Vec<[f32; POINTS + 1]>,
    /// mm; infinite where no grain shows.
    undercuts: [f64; KINDS],
}

impl Kinds {
    fn new(tones: &ProofTones, films: &Films) -> Self {
        let paper = tones.paper().0 as f32;
        let mut kinds = Self { means: [paper; KINDS], light: vec![[paper; POINTS + 1]; KINDS], undercuts: [f64::INFINITY; KINDS] };
        let film = films.plate_tone_factor();
        for (k, tone) in tones.tones().iter().enumerate().take(usize::from(OFF)) {
            kinds.means[k] = (tone.mean.0 * film) as f32;
            kinds.light[k] = std::array::from_fn(|on| {
                let lands = on as f64 / POINTS as f64;
                ((tone.pit.0 + (tone.land.0 - tone.pit.0) * lands) * film) as f32
            });
            if let Some(undercut) = tone.undercut {
                kinds.undercuts[k] = undercut.0;
            }
        }
        kinds
    }
}

/// The map's column (or row) under the middle of a window's column; none off the face.
fn nearest(at: usize, origin: f64, px_per_mm: f64, resolution: f64, size: usize) -> Option<usize> {
    let place = libm::floor((origin + (at as f64 + 0.5) / px_per_mm) * resolution);
    (place >= 0.0 && place < size as f64).then_some(place as usize)
}

/// The map's columns (or rows) that a window's column spans, and the share of it that each takes; less than 1 together at the face's end.
struct Span {
    first: usize,
    weights: Vec<f32>,
}

fn spans(count: usize, origin: f64, px_per_mm: f64, resolution: f64, size: usize) -> Vec<Span> {
    (0..count)
        .map(|at| {
            if px_per_mm >= resolution {
                let found = nearest(at, origin, px_per_mm, resolution, size);
                return Span { first: found.unwrap_or(0), weights: found.map_or(vec![], |_| vec![1.0]) };
            }
            let edge = |at: usize| (origin + at as f64 / px_per_mm) * resolution;
            let (from, to) = (edge(at), edge(at + 1));
            let first = libm::floor(from).clamp(0.0, size as f64) as usize;
            let end = libm::ceil(to).clamp(0.0, size as f64) as usize;
            let weights =
                (first..end.max(first)).map(|i| (((i + 1) as f64).min(to) - (i as f64).max(from)).max(0.0) / (to - from)).map(|w| w as f32);
            Span { first, weights: weights.collect() }
        })
        .collect()
}

/// Linear light to sRGB bytes without a power a pixel: exactly the rounding of [`Reflectance::byte`] but for values within f32's
/// rounding of the point between two bytes.
pub(crate) struct Bytes {
    /// The least light of each next byte.
    next: [f32; 256],
    /// The byte of the least light of each step.
    start: Vec<u8>,
}

impl Bytes {
    const STEPS: usize = 4096;

    pub(crate) fn new() -> Self {
        let next = std::array::from_fn(|b| if b < 255 { Encoded((b as f64 + 0.5) / 255.0).linear().0 as f32 } else { f32::INFINITY });
        let start = (0..=Self::STEPS).map(|i| Reflectance(i as f64 / Self::STEPS as f64).byte().saturating_sub(1)).collect();
        Self { next, start }
    }

    #[inline]
    pub(crate) fn byte(&self, y: f32) -> u8 {
        let y = y.clamp(0.0, 1.0);
        let mut byte = self.start[(y * Self::STEPS as f32) as usize];
        while y >= self.next[usize::from(byte)] {
            byte += 1;
        }
        byte
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Density, Lightness};
    use crate::proof::PitModel;
    use crate::proof::tones::tests::{grain, stop_outs, straight, tones};
    use crate::units::Seconds;
    use approx::assert_abs_diff_eq;

    fn window(x: f64, y: f64, px_per_mm: f64, side: usize) -> Window {
        Window::new(PointMm { x, y }, px_per_mm, side, side).unwrap()
    }

    fn all_of(tone: u8) -> StopOuts {
        stop_outs(10.0, Plane::filled(320, 320, tone))
    }

    fn grained_quietly(stop_outs: &StopOuts, tones: &ProofTones, window: &Window) -> Plane<[u8; 3]> {
        grained(stop_outs, tones, &Films::default(), window, &mut |_| {})
    }

    fn linear(picture: &Plane<[u8; 3]>) -> Vec<f64> {
        picture.data().iter().map(|rgb| Encoded(f64::from(rgb[1]) / 255.0).linear().0).collect()
    }

    fn mean(values: &[f64]) -> f64 {
        values.iter().sum::<f64>() / values.len() as f64
    }

    fn correlation(a: &[f64], b: &[f64]) -> f64 {
        let (ma, mb) = (mean(a), mean(b));
        let product = |p: &[f64], mp: f64, q: &[f64], mq: f64| p.iter().zip(q).map(|(x, y)| (x - mp) * (y - mq)).sum::<f64>();
        product(a, ma, b, mb) / (product(a, ma, a, ma) * product(b, mb, b, mb)).sqrt()
    }

    #[test]
    fn every_tone_prints_at_the_curves_mean_at_every_zoom() {
        let proof = tones(&grain(1));
        for (tone, ruled) in proof.tones().iter().enumerate() {
            let stop_outs = all_of(tone as u8);
            for (px_per_mm, side_mm) in [(4.0, 24.0), (10.0, 24.0), (40.0, 16.0)] {
                let at = window(3.0, 3.0, px_per_mm, (side_mm * px_per_mm) as usize);
                let seen = Reflectance(mean(&linear(&grained_quietly(&stop_outs, &proof, &at)))).lightness().0;
                assert_abs_diff_eq!(seen, straight(ruled.total).0, epsilon = 0.5);
                let seen = Reflectance(mean(&linear(&flat(&stop_outs, &proof, &Films::default(), &at)))).lightness().0;
                assert_abs_diff_eq!(seen, straight(ruled.total).0, epsilon = 0.3);
            }
        }
    }

    #[test]
    fn the_seed_is_the_picture() {
        let stop_outs = all_of(5);
        let at = window(2.0, 2.0, 10.0, 100);
        let of = |seed| grained_quietly(&stop_outs, &tones(&grain(seed)), &at);
        assert_eq!(of(1), of(1));
        assert!(correlation(&linear(&of(1)), &linear(&of(2))).abs() < 0.05);
    }

    #[test]
    fn a_closer_window_shows_the_same_grain() {
        let (stop_outs, proof) = (all_of(5), tones(&grain(1)));
        let fine = linear(&grained_quietly(&stop_outs, &proof, &window(2.0, 2.0, 40.0, 480)));
        for (px_per_mm, times) in [(4.0, 10), (10.0, 4), (20.0, 2)] {
            let side = 480 / times;
            let coarse = linear(&grained_quietly(&stop_outs, &proof, &window(2.0, 2.0, px_per_mm, side)));
            let reduced: Vec<f64> = (0..side * side)
                .map(|i| {
                    let corner = i / side * times * 480 + i % side * times;
                    (0..times * times).map(|j| fine[corner + j / times * 480 + j % times]).sum::<f64>() / (times * times) as f64
                })
                .collect();
            assert!(correlation(&reduced, &coarse) > 0.9, "{px_per_mm} px/mm: {}", correlation(&reduced, &coarse));
        }
    }

    #[test]
    fn plate_view_is_the_mirror_of_print_view() {
        let stop_outs = stop_outs(10.0, Plane::from_fn(60, 50, |x, y| (x / 9 + y / 20) as u8));
        let proof = tones(&grain(1));
        for px_per_mm in [3.0, 10.0, 25.0] {
            let at = window(-0.7, 1.3, px_per_mm, 40);
            assert_eq!(grained_quietly(&stop_outs, &proof, &at.mirrored()), grained_quietly(&stop_outs, &proof, &at).mirrored());
            let flat = |at| flat(&stop_outs, &proof, &Films::default(), at);
            assert_eq!(flat(&at.mirrored()), flat(&at).mirrored());
        }
    }

    #[test]
    fn a_checkerboard_averages_in_linear_light() {
        // Half white and half black is Y 0.5: L* 76.07 by CIE 15:2018, byte 188 by IEC 61966-2-1; averaged in L* or bytes it would be 53.
        let proof = ProofTones::new(
            &[Seconds(0.0), Seconds(9.0)],
            Lightness(100.0),
            |t| Lightness(if t.0 > 0.0 { 0.0 } else { 100.0 }),
            &grain(1),
            PitModel::default(),
        )
        .unwrap();
        let stop_outs = stop_outs(10.0, Plane::from_fn(40, 40, |x, y| ((x + y) % 2) as u8));
        let at = window(0.0, 0.0, 5.0, 20);
        for picture in [flat(&stop_outs, &proof, &Films::default(), &at), grained_quietly(&stop_outs, &proof, &at)] {
            for rgb in picture.data() {
                assert_eq!(*rgb, [188; 3]);
            }
            assert_abs_diff_eq!(Reflectance(mean(&linear(&picture))).lightness().0, 76.07, epsilon = 0.25);
        }
    }

    #[test]
    fn reducing_takes_each_tone_by_its_area() {
        // One bitten column of 0.1 mm in windows whose pixels cut it anywhere: the light missing is the same, 0.1 mm of it a row.
        let stop_outs = stop_outs(10.0, Plane::from_fn(100, 100, |x, _| u8::from(x == 47) * 9));
        let proof = tones(&grain(1));
        let paper = proof.paper().0;
        let missing = (paper - proof.tones()[9].mean.0) * 0.1;
        for px_per_mm in [1.0, 2.7, 3.3, 6.1, 9.9] {
            let at = window(0.0, 0.0, px_per_mm, (10.0 * px_per_mm) as usize);
            let seen = linear(&flat(&stop_outs, &proof, &Films::default(), &at));
            let row: f64 = seen[..at.width].iter().map(|y| (paper - y) / px_per_mm).sum();
            // Bytes round the light by up to 0.0035 in the lights, on the two pixels that change and, all alike, on the paper.
            let bare = (paper - seen[seen.len() - 1]) * (at.width as f64 - 2.0) / px_per_mm;
            assert_abs_diff_eq!(row - bare, missing, epsilon = 0.012 / px_per_mm);
        }
    }

    #[test]
    fn films_are_differences_from_the_strip() {
        let proof = tones(&grain(1));
        let stop_outs = stop_outs(10.0, Plane::from_fn(60, 60, |x, _| if x < 30 { 0 } else { 9 }));
        let at = window(-1.0, 0.0, 10.0, 60);
        let bare = |films: &Films| {
            let picture = flat(&stop_outs, &proof, films, &at);
            (picture.at(2, 30), picture.at(20, 30), picture.at(50, 30))
        };
        let strip = proof.paper().byte();
        assert_eq!(bare(&Films::default()), ([strip; 3], [strip; 3], [proof.tones()[9].mean.byte(); 3]));
        // The paper named is the paper shown, and the ink's light takes its colour.
        let (off, on, black) = bare(&Films { paper: Some([240, 230, 205]), plate_tone: Density(0.0) });
        assert_eq!((off, on), ([240, 230, 205], [240, 230, 205]));
        assert!(black[0] > black[1] && black[1] > black[2]);
        // A film of 0.05 takes a reflectance of 0.85 to 0.757563 (ISO 5-4: density is −log₁₀), so any to 0.891251 of itself.
        let (off, on, _) = bare(&Films { paper: None, plate_tone: Density(0.05) });
        assert_eq!((off, on), ([strip; 3], [Reflectance(proof.paper().0 * 0.757_563 / 0.85).byte(); 3]));
    }

    #[test]
    fn nothing_is_lighter_than_its_paper_nor_darker_than_the_ink() {
        let proof = tones(&grain(1));
        let stop_outs = stop_outs(10.0, Plane::from_fn(100, 100, |x, _| (x / 10) as u8));
        let films = Films { paper: None, plate_tone: Density(0.1) };
        let white = Reflectance(proof.paper().0 * Density(0.1).reflectance().0).byte();
        let black = Reflectance(proof.tones()[9].pit.0 * Density(0.1).reflectance().0).byte();
        for px_per_mm in [4.0, 40.0] {
            let picture = grained(&stop_outs, &proof, &films, &window(0.0, 0.0, px_per_mm, (10.0 * px_per_mm) as usize), &mut |_| {});
            assert!(picture.data().iter().all(|rgb| (black..=white).contains(&rgb[0])));
        }
    }

    #[test]
    fn the_print_has_the_step_maps_raster_and_windows_agree_with_it() {
        let stop_outs = stop_outs(10.0, Plane::from_fn(70, 50, |x, y| ((x + y) / 13) as u8));
        let proof = tones(&grain(1));
        let mut heard = vec![];
        let whole = print(&stop_outs, &proof, &Films::default(), &mut |share| heard.push(share));
        assert_eq!((whole.width(), whole.height(), heard.last()), (70, 50, Some(&1.0)));
        let part = grained_quietly(&stop_outs, &proof, &window(2.0, 1.0, 10.0, 30));
        for (y, row) in part.rows().enumerate() {
            assert_eq!(row, &whole.row(10 + y)[20..50]);
        }
    }

    #[test]
    fn bytes_are_those_of_the_formula() {
        // IEC 61966-2-1 by `Reflectance::byte`; f32 may put a value on the other side of a limit only within 1e-7 of it.
        let bytes = Bytes::new();
        for i in 0..=100_000u32 {
            let y = f64::from(i) / 100_000.0;
            let near = |d: f64| Reflectance(y + d).byte();
            let byte = bytes.byte(y as f32);
            assert!(byte == near(0.0) || byte == near(1e-7) || byte == near(-1e-7), "{y}: {byte}");
        }
    }
}
