//! Overlaps: which pieces lie over one another, and which meet at an edge, on a raster of the plate.

use crate::piece::Piece;
use crate::plate::Plate;
use crate::units::{Millimetres, PointMm, PxPerMm};

/// Finest raster, px/mm, and the most pixels it has.
const FINEST: f64 = 5.0;
const MOST_PIXELS: f64 = 1e6;
/// Pieces nearer than this meet at an edge, mm: what was drawn along one line by hand, or traced off one edge.
const NEAR: f64 = 0.35;
/// Less than this over one another is the hand's, or the raster's, mm².
const LEAST_MM2: f64 = 0.5;

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
}

impl Masks {
    /// Draws them; none stands for a whole ground.
    pub(super) fn of(outlines: &[Option<Vec<PointMm>>], plate: &Plate) -> Self {
        let size = plate.size();
        let resolution = PxPerMm(FINEST.min(libm::sqrt(MOST_PIXELS / (size.width.0 * size.height.0))));
        let pixels = |length: f64| (libm::ceil(length * resolution.0) as usize).max(1);
        let raster = (pixels(size.width.0), pixels(size.height.0));
        let bevel = plate.bevel().0;
        let mask = |points: &Vec<PointMm>| {
            let moved = points.iter().map(|point| PointMm { x: point.x + bevel, y: point.y + bevel }).collect();
            let signed = Piece::new(moved).ok()?.signed(raster, resolution, Millimetres(NEAR.max(1.5 / resolution.0)))?;
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
                    if f64::from(distance) > -NEAR {
                        made.near[place] |= bit;
                    }
                }
            }
            Some(made)
        };
        Self { masks: outlines.iter().map(|points| points.as_ref().and_then(mask)).collect(), resolution }
    }

    /// A piece's area, mm²; 0 for a whole ground.
    pub(super) fn area_mm2(&self, piece: usize) -> f64 {
        let count: u32 = self.masks[piece].iter().flat_map(|mask| &mask.inside).map(|word| word.count_ones()).sum();
        f64::from(count) / (self.resolution.0 * self.resolution.0)
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

/// How many pixels two masks have in common.
fn common(a: &Mask, b: &Mask, of_a: fn(&Mask) -> &Vec<u64>, of_b: fn(&Mask) -> &Vec<u64>) -> u64 {
    let rows = |mask: &Mask| mask.inside.len() / mask.words.max(1);
    let (top, foot) = (a.top.max(b.top), (a.top + rows(a)).min(b.top + rows(b)));
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
