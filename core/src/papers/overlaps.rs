//! Overlaps: which pieces lie over one another, and which meet at an edge, on a raster of the plate.

use crate::components::Components;
use crate::distance::{LONGEST_REACH, squared_to_other};
use crate::piece::Piece;
use crate::plane::Plane;
use crate::plate::Plate;
use crate::units::{Millimetres, PointMm, PxPerMm};

/// Finest raster, px/mm, and the most pixels it has.
const FINEST: f64 = 5.0;
const MOST_PIXELS: f64 = 1e6;
/// Pieces nearer than this meet at an edge, mm: what was drawn along one line by hand, or traced off one edge.
const NEAR: f64 = 0.35;
/// Less than this over one another is the hand's, or the raster's, mm².
pub(super) const LEAST_MM2: f64 = 0.5;

/// One piece on the raster; rows of whole words from column `word` × 64 on.
struct Mask {
    word: usize,
    top: usize,
    words: usize,
    inside: Vec<u64>,
    near: Vec<u64>,
}

/// All pieces on one raster.
pub(super) struct Masks {
    masks: Vec<Option<Mask>>,
    resolution: PxPerMm,
    bevel: f64,
    size: (usize, usize),
}

/// A part of the face, mm: left, top, right, foot.
pub(super) type Window = [f64; 4];

impl Masks {
    /// Draws them; none stands for a whole ground.
    pub(super) fn of(outlines: &[Option<Vec<PointMm>>], plate: &Plate) -> Self {
        let size = plate.size();
        let resolution = PxPerMm(FINEST.min(libm::sqrt(MOST_PIXELS / (size.width.0 * size.height.0))));
        let pixels = |length: f64| (libm::ceil(length * resolution.0) as usize).max(1);
        let raster = (pixels(size.width.0), pixels(size.height.0));
        let bevel = plate.bevel().0;
        // On a coarse raster the next pixel is near, else what meets between two pixels would not.
        let near = NEAR.max(1.0 / resolution.0);
        let mask = |points: &Vec<PointMm>| {
            let moved = points.iter().map(|point| PointMm { x: point.x + bevel, y: point.y + bevel }).collect();
            let signed = Piece::new(moved).ok()?.signed(raster, resolution, Millimetres(2.0 * near))?;
            let (left, top) = signed.corner;
            let (word, rows) = (left / 64, signed.distances.height());
            let words = (left + signed.distances.width()).div_ceil(64) - word;
            let mut made = Mask { word, top, words, inside: vec![0; words * rows], near: vec![0; words * rows] };
            for (y, row) in signed.distances.rows().enumerate() {
                for (x, &distance) in row.iter().enumerate() {
                    let at = left + x - word * 64;
                    let (place, bit) = (y * words + at / 64, 1u64 << (at % 64));
                    if distance > 0.0 {
                        made.inside[place] |= bit;
                    }
                    if f64::from(distance) > -near {
                        made.near[place] |= bit;
                    }
                }
            }
            Some(made)
        };
        Self { masks: outlines.iter().map(|points| points.as_ref().and_then(mask)).collect(), resolution, bevel, size: raster }
    }

    /// A piece's area, mm²; 0 for a whole ground.
    pub(super) fn area_mm2(&self, piece: usize) -> f64 {
        let count: u32 = self.masks[piece].iter().flat_map(|mask| &mask.inside).map(|word| word.count_ones()).sum();
        f64::from(count) / (self.resolution.0 * self.resolution.0)
    }

    /// In how many parts a piece comes that are large enough to be cut; 1 for a whole ground.
    pub(super) fn parts(&self, piece: usize) -> usize {
        let Some(mask) = &self.masks[piece] else { return 1 };
        let bit = |of: &[u64], x: usize, y: usize| of[y * mask.words + x / 64] >> (x % 64) & 1;
        // Where a neck is finer than a pixel the band about it still holds its two ends together.
        let parts = Components::of(&Plane::from_fn(mask.words * 64, mask.rows(), |x, y| bit(&mask.near, x, y) as u8));
        let mut areas = vec![0u64; parts.count()];
        parts.each_stretch(|y, from, until, part| {
            areas[part] += (from..until).map(|x| bit(&mask.inside, x, y)).sum::<u64>();
        });
        let least = LEAST_MM2 * self.resolution.0 * self.resolution.0;
        areas.iter().filter(|&&area| area as f64 >= least).count().max(1)
    }

    /// Of the pieces `above` one, those that it may have to reach farther under, and where: as far as `lap` from what is seen of it. Looser than
    /// what is done in the end, for pixels here are coarse.
    pub(super) fn short(&self, piece: usize, above: &[usize], lap: f64) -> Vec<(usize, Window)> {
        let Some(own) = &self.masks[piece] else { return Vec::new() };
        let px = self.resolution.0;
        let reach = (libm::ceil((lap + NEAR) * px) as usize + 2).min(LONGEST_REACH);
        let (words, rows) = (self.size.0.div_ceil(64), self.size.1);
        let word = (own.word * 64).saturating_sub(reach) / 64;
        let (until, top) = (((own.word + own.words) * 64 + reach).div_ceil(64).min(words), own.top.saturating_sub(reach));
        let (wide, high) = (until.max(word + 1) - word, (own.top + own.rows() + reach).min(rows).max(top + 1) - top);
        let mut covered = vec![0u64; wide * high];
        let mut mine = vec![0u64; wide * high];
        let put = |mask: &Mask, into: &mut [u64]| {
            for y in mask.top.max(top)..(mask.top + mask.rows()).min(top + high) {
                for at in mask.word.max(word)..(mask.word + mask.words).min(word + wide) {
                    into[(y - top) * wide + at - word] |= mask.inside[(y - mask.top) * mask.words + at - mask.word];
                }
            }
        };
        put(own, &mut mine);
        above.iter().filter_map(|&one| self.masks[one].as_ref()).for_each(|mask| put(mask, &mut covered));
        let bit = |bits: &[u64], x: usize, y: usize| bits[y * wide + x / 64] >> (x % 64) & 1 == 1;
        let seen = Plane::from_fn(wide * 64, high, |x, y| u8::from(bit(&mine, x, y) && !bit(&covered, x, y)));
        if seen.data().iter().all(|&value| value == 0) {
            return Vec::new();
        }
        let far = squared_to_other(&seen, reach);
        let mut band = Mask { word, top, words: wide, inside: vec![0; wide * high], near: Vec::new() };
        for y in 0..high {
            for x in 0..wide * 64 {
                if seen.at(x, y) == 0 && far.at(x, y) != u16::MAX && !bit(&mine, x, y) {
                    band.inside[y * wide + x / 64] |= 1 << (x % 64);
                }
            }
        }
        // A strip finer than these pixels is looked at anyway.
        let fine = lap * px < 2.0;
        let enough = if fine { 0.0 } else { 0.4 * lap * lap * px * px };
        let found = |&one: &usize| {
            let mask = self.masks[one].as_ref()?;
            let count = common(&band, mask, |mask| &mask.inside, |mask| &mask.inside) as f64;
            if count < enough || (count <= 0.0 && !fine) {
                return None;
            }
            let [left, top, right, foot] = if fine { mask.extent() } else { common_box(&band, mask)? };
            let mm = |at: usize| at as f64 / px - self.bevel;
            Some((one, [mm(left), mm(top), mm(right), mm(foot)]))
        };
        above.iter().filter_map(found).collect()
    }

    /// Pairs of pieces over one another, with how much of them, mm²; `edges`: those that only meet at an edge too, with 0.
    pub(super) fn meetings(&self, edges: bool) -> Vec<(usize, usize, f64)> {
        let mut met = Vec::new();
        for (one, mask) in self.masks.iter().enumerate() {
            let Some(mask) = mask else { continue };
            for (other, beside) in self.masks.iter().enumerate().skip(one + 1) {
                let Some(beside) = beside else { continue };
                let over = common(mask, beside, |mask| &mask.inside, |mask| &mask.inside);
                let mm2 = over as f64 / (self.resolution.0 * self.resolution.0);
                if mm2 >= LEAST_MM2 {
                    met.push((one, other, mm2));
                // A strip of contact as long as a millimetre.
                } else if edges && common(mask, beside, |mask| &mask.inside, |mask| &mask.near) as f64 >= self.resolution.0 {
                    met.push((one, other, 0.0));
                }
            }
        }
        met
    }
}

impl Mask {
    fn rows(&self) -> usize {
        self.inside.len() / self.words.max(1)
    }

    /// Left, top, right and foot of the rows and words it has.
    fn extent(&self) -> [usize; 4] {
        [self.word * 64, self.top, (self.word + self.words) * 64, self.top + self.rows()]
    }
}

/// Left, top, right and foot of the pixels that two masks have in common.
fn common_box(a: &Mask, b: &Mask) -> Option<[usize; 4]> {
    let (top, foot) = (a.top.max(b.top), (a.top + a.rows()).min(b.top + b.rows()));
    let (left, right) = (a.word.max(b.word), (a.word + a.words).min(b.word + b.words));
    let mut found: Option<[usize; 4]> = None;
    for y in top..foot {
        for at in left..right {
            let both = a.inside[(y - a.top) * a.words + at - a.word] & b.inside[(y - b.top) * b.words + at - b.word];
            if both != 0 {
                let (first, last) = (at * 64 + both.trailing_zeros() as usize, at * 64 + 64 - both.leading_zeros() as usize);
                let [l, t, r, f] = found.unwrap_or([first, y, last, y + 1]);
                found = Some([l.min(first), t.min(y), r.max(last), f.max(y + 1)]);
            }
        }
    }
    found
}

/// How many pixels two masks have in common.
fn common(a: &Mask, b: &Mask, of_a: fn(&Mask) -> &Vec<u64>, of_b: fn(&Mask) -> &Vec<u64>) -> u64 {
    let (top, foot) = (a.top.max(b.top), (a.top + a.rows()).min(b.top + b.rows()));
    let (left, right) = (a.word.max(b.word), (a.word + a.words).min(b.word + b.words));
    if top >= foot || left >= right {
        return 0;
    }
    let row = |mask: &Mask, y: usize| (y - mask.top) * mask.words + left - mask.word;
    (top..foot)
        .map(|y| {
            let (x, z) = (row(a, y), row(b, y));
            let (first, second) = (&of_a(a)[x..x + right - left], &of_b(b)[z..z + right - left]);
            first.iter().zip(second).map(|(one, other)| u64::from((one & other).count_ones())).sum::<u64>()
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::super::tests::{plate, square};
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn rectangles_overlap_by_what_they_have_in_common(
            a in (0.0f64..80.0, 0.0f64..120.0, 1.0f64..40.0, 1.0f64..60.0),
            b in (0.0f64..80.0, 0.0f64..120.0, 1.0f64..40.0, 1.0f64..60.0),
        ) {
            let masks = Masks::of(&[Some(square(a.0, a.1, a.2, a.3)), Some(square(b.0, b.1, b.2, b.3)), None], &plate());
            let span = |a: f64, long: f64, b: f64, other: f64| ((a + long).min(b + other) - a.max(b)).max(0.0);
            let (wide, high) = (span(a.0, a.2, b.0, b.2), span(a.1, a.3, b.1, b.3));
            let met = masks.meetings(false);
            // Half a pixel of each edge may be told either way.
            let doubt = 0.2 * (wide + high) + 0.1;
            match met[..] {
                [(0, 1, mm2)] => prop_assert!((mm2 - wide * high).abs() <= doubt, "{mm2} {}", wide * high),
                _ => prop_assert!(met.is_empty() && wide * high <= LEAST_MM2 + doubt, "{met:?} {wide} {high}"),
            }
            prop_assert!((masks.area_mm2(0) - a.2 * a.3).abs() <= 0.2 * (a.2 + a.3) + 0.1);
        }
    }
}
