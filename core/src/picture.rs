//! Pictures for the screen: drawing, tones and stop-outs, reduced to the size they are shown at.
//!
//! What is shown is averaged in linear light. A picture has the face's proportions, is in PRINT VIEW or PLATE VIEW, and uses hatch for
//! "paint now", varnish brown with dots for "covered before" and white for "leave bare", as the sheets do in black. A fixed resist is ruled
//! across, what is worked by hand has a dotted edge; a lift drawing is cross-hatched in a double frame.

use crate::aside::{BY_HAND, RESIST};
use crate::drawing::{Drawing, Ends};
use crate::light::{Encoded, Lightness, Reflectance};
use crate::plane::Plane;
use crate::tones::StepMap;
use crate::view::View;
use std::ops::Range;

mod chance;
mod overlay;
pub use chance::chance;
pub use overlay::{lines, removed, wishes};

/// Red, green, blue and opacity, 8 bits each, sRGB.
pub type Rgba = [u8; 4];

const INK: [f32; 3] = [25.0, 27.0, 26.0];
const VARNISH: [f32; 3] = [219.0, 208.0, 195.0];
const VARNISH_DOT: [f32; 3] = [92.0, 62.0, 34.0];
const VERDIGRIS: [f32; 3] = [28.0, 106.0, 99.0];
const GROUND: [f32; 3] = [232.0, 234.0, 231.0];
const GROUND_RULE: [f32; 3] = [126.0, 134.0, 130.0];

/// The largest size of the proportions `width` : `height` within a box, at least one pixel each way.
#[must_use]
pub fn fitted_size(width: usize, height: usize, most: (usize, usize)) -> (usize, usize) {
    let scale = (most.0 as f64 / width as f64).min(most.1 as f64 / height as f64);
    let side = |length: usize, most: usize| (libm::round(length as f64 * scale) as usize).clamp(1, most.max(1));
    (side(width, most.0), side(height, most.1))
}

/// The placed drawing in grey.
#[must_use]
pub fn drawing(lightness: &Plane<f32>, size: (usize, usize), view: View) -> Plane<Rgba> {
    // A tenth of an L* is finer than a screen's byte.
    let table: Vec<[f32; 3]> = (0..=1000).map(|i| [Lightness(f64::from(i) / 10.0).reflectance().0 as f32; 3]).collect();
    encoded(&reduced(lightness, size, view, |l| table[(l.clamp(0.0, 100.0) * 10.0 + 0.5) as usize]))
}

/// The drawing as it would print if every lightness of it could: its range laid linearly in L*, `ends` on `print` (paper and darkest), on a sheet
/// of the colour `sheet` times the print's paper. Linear light.
#[must_use]
pub fn laid(lightness: &Plane<f32>, ends: Ends, print: Ends, sheet: [f32; 3], size: (usize, usize), view: View) -> Plane<[f32; 3]> {
    let table: Vec<f32> = (0..=1000)
        .map(|i| {
            let share = ((ends.paper.0 - f64::from(i) / 10.0) / (ends.paper.0 - ends.black.0)).clamp(0.0, 1.0);
            Lightness(print.paper.0 + (print.black.0 - print.paper.0) * share).reflectance().0 as f32
        })
        .collect();
    reduced(lightness, size, view, |l| {
        let y = table[(l.clamp(0.0, 100.0) * 10.0 + 0.5) as usize];
        sheet.map(|channel| channel * y)
    })
}

/// Linear light as it is shown.
#[must_use]
pub fn shown(linear: &Plane<[f32; 3]>) -> Plane<Rgba> {
    encoded(linear)
}

/// A plane of linear light in grey, as it is: no view, for what is not on the plate yet.
#[must_use]
pub fn light(luminance: &Plane<f32>, size: (usize, usize)) -> Plane<Rgba> {
    encoded(&reduced(luminance, size, View::Print, |y| [y; 3]))
}

/// A part of the drawing as it was opened, in its own colours; columns and rows within it, not empty.
#[must_use]
pub fn opened(drawing: &Drawing, columns: Range<usize>, rows: Range<usize>, size: (usize, usize)) -> Plane<Rgba> {
    let table: Vec<f32> = if drawing.colour().is_some() {
        (0..=65_535u32).map(|v| Encoded(f64::from(v) / 65_535.0).linear().0 as f32).collect()
    } else {
        Vec::new()
    };
    let (across, down) = (spans(columns.len(), size.0), spans(rows.len(), size.1));
    let mut out = Plane::filled(size.0, size.1, [0.0f32; 3]);
    for (y, &(top, foot)) in down.iter().enumerate() {
        let line = &mut out.data_mut()[y * size.0..(y + 1) * size.0];
        for from in rows.start + top..rows.start + foot {
            let (light, colour) = (drawing.luminance().row(from), drawing.colour().map(|plane| plane.row(from)));
            for (sum, &(left, right)) in line.iter_mut().zip(&across) {
                for x in columns.start + left..columns.start + right {
                    let rgb = colour.map_or([light[x]; 3], |row| row[x].map(|v| table[usize::from(v)]));
                    *sum = std::array::from_fn(|c| sum[c] + rgb[c]);
                }
            }
        }
        for (sum, &(left, right)) in line.iter_mut().zip(&across) {
            let scale = 1.0 / ((right - left) * (foot - top)) as f32;
            *sum = sum.map(|c| c * scale);
        }
    }
    encoded(&out)
}

/// The step map, each tone in its linear-light colour.
#[must_use]
pub fn tones(map: &StepMap, colours: &[[f32; 3]], size: (usize, usize), view: View) -> Plane<Rgba> {
    tones_of(map.plane(), colours, size, view)
}

/// The same of a map by itself; a tone without a colour is left as paper, the first.
#[must_use]
pub fn tones_of(map: &Plane<u8>, colours: &[[f32; 3]], size: (usize, usize), view: View) -> Plane<Rgba> {
    let paper = colours.first().copied().unwrap_or([1.0; 3]);
    encoded(&reduced(map, size, view, |tone| colours.get(usize::from(tone)).copied().unwrap_or(paper)))
}

/// Where one tone lies: it keeps its colour under a veil of verdigris, all else is paled.
#[must_use]
pub fn one_tone(map: &StepMap, tone: u8, colours: &[[f32; 3]], size: (usize, usize), view: View) -> Plane<Rgba> {
    let veil = VERDIGRIS.map(|c| Encoded(f64::from(c) / 255.0).linear().0 as f32);
    let shown: Vec<[f32; 3]> = colours
        .iter()
        .enumerate()
        .map(|(k, colour)| {
            if k == usize::from(tone) { std::array::from_fn(|c| 0.25 * colour[c] + 0.75 * veil[c]) } else { colour.map(|c| 0.74 + 0.2 * c) }
        })
        .collect();
    encoded(&reduced(map.plane(), size, view, |tone| shown[usize::from(tone)]))
}

/// Averages blocks of pixels in linear light; nearest pixel where the picture is enlarged.
fn reduced<T: Copy>(plane: &Plane<T>, size: (usize, usize), view: View, light: impl Fn(T) -> [f32; 3]) -> Plane<[f32; 3]> {
    let columns = spans(plane.width(), size.0);
    let rows = spans(plane.height(), size.1);
    let mut out = Plane::filled(size.0, size.1, [0.0f32; 3]);
    for (y, &(top, foot)) in rows.iter().enumerate() {
        let row = &mut out.data_mut()[y * size.0..(y + 1) * size.0];
        for from in top..foot {
            let source = plane.row(from);
            for (sum, &(left, right)) in row.iter_mut().zip(&columns) {
                for &value in &source[left..right] {
                    let light = light(value);
                    for c in 0..3 {
                        sum[c] += light[c];
                    }
                }
            }
        }
        for (sum, &(left, right)) in row.iter_mut().zip(&columns) {
            let scale = 1.0 / ((right - left) * (foot - top)) as f32;
            *sum = sum.map(|c| c * scale);
        }
        if view == View::Plate {
            row.reverse();
        }
    }
    out
}

/// For each of `parts` output pixels the stretch of `length` source pixels it shows, never empty.
fn spans(length: usize, parts: usize) -> Vec<(usize, usize)> {
    (0..parts)
        .map(|i| {
            let from = (i * length / parts).min(length - 1);
            (from, ((i + 1) * length / parts).clamp(from + 1, length))
        })
        .collect()
}

fn encoded(linear: &Plane<[f32; 3]>) -> Plane<Rgba> {
    // The square root of the light is the axis, so that darks get as many steps as lights; a step is a sixtieth of a byte.
    const STEPS: f32 = 16_384.0;
    let table: Vec<u8> = (0..=STEPS as usize)
        .map(|i| {
            let root = i as f64 / f64::from(STEPS);
            Reflectance(root * root).byte()
        })
        .collect();
    let byte = |light: f32| table[(light.clamp(0.0, 1.0).sqrt() * STEPS + 0.5) as usize];
    linear.map(|c| [byte(c[0]), byte(c[1]), byte(c[2]), 255])
}

/// What a stop-out asks of a place.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    Covered,
    Now,
    Bare,
    Resist,
    ByHand,
}

/// Below this many shown pixels a millimetre of plate, a stop-out is a thumbnail: finer lines.
const SMALL_PX_PER_MM: f64 = 1.5;

/// Samples a side of each output pixel of a stop-out picture.
const SAMPLES: usize = 2;

/// How the marks of a picture are drawn.
#[derive(Clone, Copy)]
struct Marks {
    /// Distance of two hatch lines, samples.
    pitch: f32,
    small: bool,
}

impl Marks {
    /// Hatch and dots have the sheets' pitch of 2 mm where that is at least seven pixels.
    fn at(px_per_mm_shown: f64) -> Self {
        let small = px_per_mm_shown < SMALL_PX_PER_MM;
        let pitch = (2.0 * px_per_mm_shown).max(if small { 5.0 } else { 7.0 }) * SAMPLES as f64;
        Self { pitch: pitch as f32, small }
    }
}

/// Stop-out `number`: covered before, paint now, leave bare, and what is set aside. `zones` are those of
/// [`crate::stopouts::StopOuts::zones`], or a step map's plane.
#[must_use]
pub fn stop_out(zones: &Plane<u8>, number: usize, size: (usize, usize), view: View, px_per_mm_shown: f64) -> Plane<Rgba> {
    let part = |zone: u8| match usize::from(zone) + 1 {
        _ if zone == RESIST => Part::Resist,
        _ if zone == BY_HAND => Part::ByHand,
        next if next < number => Part::Covered,
        next if next == number => Part::Now,
        _ => Part::Bare,
    };
    let marks = Marks::at(px_per_mm_shown);
    marked(&parts(zones, size, view, part), size, |parts, x, y| sample(parts, x, y, marks))
}

/// The lift drawing: cross hatch where painting opens the plate, ruled where the ground stays. The opposite of a stop-out, and shown so
/// that it can't be taken for one: in a double frame.
#[must_use]
pub fn lift(zones: &Plane<u8>, size: (usize, usize), view: View, px_per_mm_shown: f64) -> Plane<Rgba> {
    let part = |zone: u8| if zone == RESIST { Part::Resist } else { Part::Now };
    let marks = Marks::at(px_per_mm_shown);
    marked(&parts(zones, size, view, part), size, |parts, x, y| lift_sample(parts, x, y, marks))
}

/// The part of each sample.
fn parts(plane: &Plane<u8>, size: (usize, usize), view: View, part: impl Fn(u8) -> Part) -> Plane<Part> {
    let (width, height) = (size.0 * SAMPLES, size.1 * SAMPLES);
    let columns: Vec<usize> = (0..width)
        .map(|x| {
            let x = if view == View::Plate { width - 1 - x } else { x };
            ((2 * x + 1) * plane.width() / (2 * width)).min(plane.width() - 1)
        })
        .collect();
    Plane::new(
        width,
        height,
        (0..height)
            .flat_map(|y| {
                let row = plane.row(((2 * y + 1) * plane.height() / (2 * height)).min(plane.height() - 1));
                columns.iter().map(|&x| part(row[x])).collect::<Vec<_>>()
            })
            .collect(),
    )
    .unwrap_or_else(|_| Plane::filled(width, height, Part::Bare))
}

/// Samples averaged to pixels.
fn marked(parts: &Plane<Part>, size: (usize, usize), sample: impl Fn(&Plane<Part>, usize, usize) -> [f32; 3]) -> Plane<Rgba> {
    let mut sums = vec![[0.0f32; 3]; size.0];
    let mut out = Vec::with_capacity(size.0 * size.1);
    for y in 0..parts.height() {
        for x in 0..parts.width() {
            let colour = sample(parts, x, y);
            let sum = &mut sums[x / SAMPLES];
            for c in 0..3 {
                sum[c] += colour[c];
            }
        }
        if (y + 1).is_multiple_of(SAMPLES) {
            let scale = 1.0 / (SAMPLES * SAMPLES) as f32;
            for sum in &mut sums {
                let [r, g, b] = sum.map(|c| (c * scale + 0.5) as u8);
                out.push([r, g, b, 255]);
                *sum = [0.0; 3];
            }
        }
    }
    Plane::new(size.0, size.1, out).unwrap_or_else(|_| Plane::filled(size.0, size.1, [255; 4]))
}

/// Colour of one sample: edges over hatch or dots over ground. Screen ink, mixed as bytes: these are marks, not tones.
fn sample(parts: &Plane<Part>, x: usize, y: usize, marks: Marks) -> [f32; 3] {
    let Marks { pitch, small } = marks;
    let here = parts.at(x, y);
    let right = parts.at((x + 1).min(parts.width() - 1), y);
    let below = parts.at(x, (y + 1).min(parts.height() - 1));
    let left = parts.at(x.saturating_sub(1), y);
    let above = parts.at(x, y.saturating_sub(1));
    let differs = |part: Part| part != here;
    let is = |part: Part| here == part || right == part || below == part || left == part || above == part;
    // Small pictures get a hair's line, on one side of the edge: with full contours islands would clot to black.
    let edge = differs(right) || differs(below) || (!small && (differs(left) || differs(above)));
    if edge && is(Part::ByHand) {
        // Square dots: a board laid over the edge's line.
        let cell = if small { 1 } else { 2 } * SAMPLES;
        return if (x / cell + y / cell).is_multiple_of(2) { INK } else { [255.0; 3] };
    }
    // Paint ends at a resist without an edge to follow.
    if edge && is(Part::Resist) {
        return GROUND_RULE;
    }
    if edge && is(Part::Now) {
        return INK;
    }
    if (differs(right) || differs(below)) && is(Part::Covered) {
        return VARNISH_DOT;
    }
    match here {
        Part::Bare | Part::ByHand => [255.0; 3],
        Part::Now => {
            if on_hatch(x as f32 + y as f32, marks) {
                INK
            } else {
                [255.0; 3]
            }
        }
        Part::Covered => {
            let row = (y as f32 / (pitch * 0.5)).floor();
            let shift = if (row as u32).is_multiple_of(2) { 0.0 } else { 0.5 };
            let dx = (x as f32 / pitch + shift).fract() - 0.5;
            let dy = (y as f32 / (pitch * 0.5)).fract() - 0.5;
            let far = (dx * pitch).powi(2) + (dy * pitch * 0.5).powi(2);
            if far < (0.8 * SAMPLES as f32).powi(2) { VARNISH_DOT } else { VARNISH }
        }
        Part::Resist => ruled(y, pitch),
    }
}

/// Whether a diagonal, by the sum or the difference of column and row, is on a hatch line.
fn on_hatch(diagonal: f32, Marks { pitch, small }: Marks) -> bool {
    let along = diagonal / (pitch * std::f32::consts::SQRT_2);
    let off = (along - along.floor() - 0.5).abs() * pitch;
    off < (if small { 0.45 } else { 0.75 }) * SAMPLES as f32
}

/// Fine rules across: ground that stays.
fn ruled(y: usize, pitch: f32) -> [f32; 3] {
    let lines = (pitch * 0.5).max(3.0 * SAMPLES as f32);
    let off = (y as f32 / lines).fract() * lines;
    if off < 0.5 * SAMPLES as f32 { GROUND_RULE } else { GROUND }
}

/// Lines of the double frame, pixels from the picture's border.
const FRAME: [(usize, usize); 2] = [(0, 2), (5, 6)];

fn lift_sample(parts: &Plane<Part>, x: usize, y: usize, marks: Marks) -> [f32; 3] {
    let deep = x.min(y).min(parts.width() - 1 - x).min(parts.height() - 1 - y) / SAMPLES;
    if deep < FRAME[1].1 {
        return if FRAME.iter().any(|&(from, to)| (from..to).contains(&deep)) { INK } else { [255.0; 3] };
    }
    let here = parts.at(x, y);
    let differs = |x: usize, y: usize| parts.at(x.min(parts.width() - 1), y.min(parts.height() - 1)) != here;
    if differs(x + 1, y) || differs(x, y + 1) || differs(x - 1, y) || differs(x, y - 1) {
        return INK;
    }
    match here {
        Part::Resist => ruled(y, marks.pitch),
        _ if on_hatch(x as f32 + y as f32, marks) || on_hatch(x as f32 - y as f32, marks) => INK,
        _ => [255.0; 3],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::ToneCount;

    fn map() -> StepMap {
        StepMap::new(ToneCount::new(3).unwrap(), Plane::from_fn(60, 40, |x, _| (x / 20) as u8))
    }

    #[test]
    fn sizes_keep_the_proportions_within_the_box() {
        assert_eq!(fitted_size(1570, 1770, (600, 600)), (532, 600));
        assert_eq!(fitted_size(10, 3000, (200, 600)), (2, 600));
        assert_eq!(fitted_size(10_000, 1, (200, 600)), (200, 1));
    }

    #[test]
    fn a_checkerboard_reduces_to_l_76() {
        // Half the light of white is L* 76.07 (CIE 15:2018), byte 188 in sRGB; averaging encoded values would give 128.
        let board = Plane::from_fn(40, 40, |x, y| if (x + y) % 2 == 0 { 100.0 } else { 0.0 });
        assert!(drawing(&board, (10, 10), View::Print).data().iter().all(|p| p[0] == 188), "not 128");
    }

    #[test]
    fn plate_view_is_the_mirror_of_print_view() {
        let colours = [[0.8; 3], [0.3; 3], [0.05; 3]];
        assert_eq!(tones(&map(), &colours, (30, 20), View::Plate), tones(&map(), &colours, (30, 20), View::Print).mirrored());
        let plate = stop_out(map().plane(), 2, (90, 60), View::Plate, 1.5);
        assert_eq!(plate.at(2, 30), [255; 4], "the bare darks lie on the left of the plate");
    }

    #[test]
    fn a_stop_out_shows_varnish_hatch_and_white() {
        let shown = stop_out(map().plane(), 2, (180, 120), View::Print, 3.0);
        let part = |from: usize| -> Vec<Rgba> {
            (10..50).flat_map(|x| (10..110).map(move |y| (from + x, y))).map(|(x, y)| shown.at(x, y)).collect()
        };
        assert!(part(120).iter().all(|p| *p == [255; 4]));
        let ink = part(60).iter().filter(|p| p[0] < 100).count() as f64 / 4000.0;
        assert!((0.05..0.5).contains(&ink), "hatch covers {ink}");
        assert!(part(0).iter().all(|p| p[0] != 255));
    }

    /// Tones 1 and 2, a resist at the left and an area by hand in the middle.
    fn zones() -> Plane<u8> {
        Plane::from_fn(60, 40, |x, y| match x {
            0..20 => RESIST,
            _ if (30..40).contains(&x) && (10..30).contains(&y) => BY_HAND,
            20..40 => 1,
            _ => 2,
        })
    }

    #[test]
    fn what_is_set_aside_is_neither_paint_nor_varnish() {
        let shown = stop_out(&zones(), 2, (180, 120), View::Print, 3.0);
        let part = |x: usize, y: usize| -> Vec<Rgba> {
            (0..20).flat_map(|u| (0..30).map(move |v| (x + u, y + v))).map(|(x, y)| shown.at(x, y)).collect()
        };
        let resist = part(20, 40);
        assert!(resist.iter().all(|p| p[0] > 90 && p[0] < 255 && p[0].abs_diff(p[2]) < 12), "grey rules, no hatch, no varnish brown");
        assert!(resist.iter().any(|p| p[0] < 200) && resist.iter().any(|p| p[0] > 225));
        assert!(part(98, 40).iter().all(|p| *p == [255; 4]), "by hand there is nothing to do");
        // Its edge is broken: both ink and white along the border column.
        let edge: Vec<u8> = (32..88).map(|y| shown.at(90, y)[0]).collect();
        assert!(edge.iter().any(|&v| v < 160) && edge.iter().any(|&v| v > 200), "{edge:?}");
    }

    #[test]
    fn a_lift_has_a_double_frame_and_crosses_where_it_opens() {
        let shown = lift(&zones(), (180, 120), View::Print, 3.0);
        let column: Vec<u8> = (0..8).map(|y| shown.at(90, y)[0]).collect();
        assert!(column[0] < 60 && column[1] < 60 && column[3] == 255 && column[5] < 60, "{column:?}");
        let ink = |x: usize| (0..30).flat_map(|u| (20..100).map(move |y| (x + u, y))).filter(|&(x, y)| shown.at(x, y)[0] < 60).count();
        assert!(ink(20) == 0 && ink(100) > 200, "{} {}", ink(20), ink(100));
        // Both directions cross: on a row some ink goes on to the lower left and some to the lower right.
        let stop = stop_out(&zones(), 2, (180, 120), View::Print, 3.0);
        let falling = |picture: &Plane<Rgba>| {
            (70..85)
                .flat_map(|x| (40..80).map(move |y| (x, y)))
                .filter(|&(x, y)| (0..4).all(|by| picture.at(x + by, y + by)[0] < 130))
                .count()
        };
        assert!(falling(&shown) > 5 && falling(&stop) == 0, "{} {}", falling(&shown), falling(&stop));
    }
}
