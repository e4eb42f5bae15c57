//! A plate's grain on its own raster: the share of pits, made once for the windows that are no finer than its map.
//!
//! Whatever moves on a print, a plate that is shifted, turned, papered or inked anew, its grain stays the same, and how many grains are to
//! be drawn follows the face, not the picture of it. So the grain is drawn once on the face, in quarters of the map's pixels where there is
//! room, and windows look it up: each pixel is the plain mean of the whole quarters under it. Grain is chance, so that it lies up to half a
//! pixel of the map aside is nothing that could be seen; the tones' edges are where they are.

use super::{Plate, undercuts};
use crate::affine::Affine;
use crate::grain::raster::{self, Band};
use crate::plane::Plane;
use crate::proof::Window;
use crate::units::{PointMm, PxPerMm};

/// Most map pixels that are kept in quarters, four bytes each.
const MOST_QUARTERED: usize = 8_000_000;
/// Most map pixels that are kept at all.
const MOST: usize = 32_000_000;
/// Below these pixels a millimetre the points that the grain is drawn by lie too far apart for it.
const FINE_ENOUGH: f64 = 3.0;
/// A window that is coarser than this many map pixels is not looked up: sums are kept in 16 bits.
const COARSEST: f64 = 64.0;
/// Most grains that are drawn for a window that shows a small part of the face: a second or two.
const MOST_GRAINS: f64 = 4e7;
/// What part of the face is none such.
const GOOD_PART: f64 = 0.25;
/// Map pixels drawn at once, 8 bytes each.
const BAND_PIXELS: usize = 1 << 18;

/// The grain of a plate on its own raster.
#[derive(Clone, Debug)]
pub struct Pits {
    /// Cells along a map pixel's side: 2 or 1.
    pub(super) per: usize,
    /// Points a cell has: what stands for a cell of pits.
    pub(super) points: u32,
    /// Points of each cell that are pits.
    pub(super) plane: Plane<u8>,
}

impl Pits {
    /// Whether a window of this plate, wherever it came down, is looked up: one no finer than its map, not coarser than some 64 of its
    /// pixels, of a map of 3 px/mm and more and of no more than 32 million pixels, and large enough for the grains to be drawn.
    #[must_use]
    pub fn suit(plate: &Plate, window: &Window) -> bool {
        let PxPerMm(resolution) = plate.resolution;
        let size = plate.map.width() * plate.map.height();
        let scale = window.px_per_mm() / resolution;
        let face = size as f64 / (resolution * resolution);
        let seen = (window.width() * window.height()) as f64 / (window.px_per_mm() * window.px_per_mm());
        let worth = seen >= GOOD_PART * face || plate.grain.intensity() * face <= MOST_GRAINS;
        size <= MOST && resolution >= FINE_ENOUGH && scale <= 1.0 + 1e-9 && scale * COARSEST >= 1.0 && worth
    }

    /// Draws the grain of a plate. `apart` tells it from others of the same seed, see [`super::Pull::apart`]. `progress` hears the share
    /// done, 0..=1, rising.
    ///
    /// # Panics
    /// Never: the plane has a value a cell.
    #[must_use]
    pub fn of(plate: &Plate, apart: u64, progress: &mut dyn FnMut(f32)) -> Self {
        let grain = plate.grain.apart(apart);
        let undercuts = undercuts(plate);
        let (width, height) = (plate.map.width(), plate.map.height());
        let per = if width * height <= MOST_QUARTERED { 2 } else { 1 };
        let PxPerMm(px_per_mm) = plate.resolution;
        let (across, down) = (width as f64 / px_per_mm, height as f64 / px_per_mm);
        let band_rows = (BAND_PIXELS / width.max(1)).clamp(1, height.max(1));
        let mut bits = vec![0u64; width * band_rows];
        let mut kinds = vec![0u8; width * band_rows];
        let mut cells = vec![0u8; width * height * per * per];
        for top in (0..height).step_by(band_rows) {
            let rows = band_rows.min(height - top);
            let (bits, kinds) = (&mut bits[..rows * width], &mut kinds[..rows * width]);
            let mut present = [false; 256];
            for (kind, &tone) in kinds.iter_mut().zip(&plate.map.data()[top * width..]) {
                *kind = super::beneath::tone(tone);
                present[usize::from(*kind)] = true;
            }
            let here: Vec<f64> = undercuts.iter().zip(present).map(|(&u, present)| if present { u } else { f64::INFINITY }).collect();
            let band = Band {
                place: Affine::NONE,
                corner: PointMm { x: 0.0, y: top as f64 / px_per_mm },
                px_per_mm,
                width,
                kinds,
                undercuts: &here,
                grained: [0.0, 0.0, across, down],
                mixed: None,
            };
            raster::cover(&grain, &band, bits);
            // Where no grain shows all is land.
            let bare: Vec<bool> = here.iter().map(|undercut| *undercut == f64::INFINITY).collect();
            let here = &mut cells[top * per * width * per..][..rows * per * width * per];
            let rows_of = bits.chunks_exact_mut(width).zip(kinds.chunks_exact(width)).zip(here.chunks_exact_mut(per * width * per));
            for ((bits, kinds), cells) in rows_of {
                for (bits, &kind) in bits.iter_mut().zip(kinds) {
                    *bits = if bare[usize::from(kind)] { 0 } else { !*bits };
                }
                if per == 1 {
                    cells.iter_mut().zip(bits).for_each(|(cell, bits)| *cell = bits.count_ones() as u8);
                    continue;
                }
                let (above, below) = cells.split_at_mut(2 * width);
                for ((above, below), bits) in above.chunks_exact_mut(2).zip(below.chunks_exact_mut(2)).zip(bits) {
                    above.copy_from_slice(&quarters(*bits as u32));
                    below.copy_from_slice(&quarters((*bits >> 32) as u32));
                }
            }
            progress((top + rows) as f32 / height as f32);
        }
        let plane = Plane::new(width * per, height * per, cells).unwrap_or_else(|error| unreachable!("{error}"));
        Self { per, points: (64 / (per * per)) as u32, plane }
    }

    /// Points of 64 under a pixel of the map that are pits.
    #[inline]
    pub(super) fn under(&self, x: usize, y: usize) -> u32 {
        if self.per == 1 {
            return u32::from(self.plane.at(x, y));
        }
        let half = |row: usize| self.plane.row(row)[2 * x..2 * x + 2].iter().map(|&points| u32::from(points)).sum::<u32>();
        half(2 * y) + half(2 * y + 1)
    }
}

/// How many points are set in the left and in the right half of four rows of eight.
#[inline]
fn quarters(rows: u32) -> [u8; 2] {
    let pairs = rows - (rows >> 1 & 0x5555_5555);
    let fours = (pairs & 0x3333_3333) + (pairs >> 2 & 0x3333_3333);
    let sum = |bytes: u32| (bytes.wrapping_mul(0x0101_0101) >> 24) as u8;
    [sum(fours & 0x0F0F_0F0F), sum(fours >> 4 & 0x0F0F_0F0F)]
}

#[cfg(test)]
mod tests {
    use super::super::tests::{patches, plate};
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn halves_of_rows_are_counted(rows in any::<u32>()) {
            let [left, right] = quarters(rows);
            prop_assert_eq!(u32::from(left), (rows & 0x0F0F_0F0F).count_ones());
            prop_assert_eq!(u32::from(right), (rows & 0xF0F0_F0F0).count_ones());
        }
    }

    #[test]
    fn each_tone_has_its_share_of_pits() {
        // Boolean model: pits are what `cover_after` leaves bare (Chiu, Stoyan, Kendall, Mecke 2013, ch. 3).
        let plate = plate(3, patches(600, 0.4));
        let pits = Pits::of(&plate, 0, &mut |_| {});
        assert_eq!((pits.per, pits.points, pits.plane.width()), (2, 16, 1200));
        for (tone, tint) in plate.tints.iter().enumerate() {
            let cells = (0..1200 * 1200).filter(|i| usize::from(plate.map.at(i % 1200 / 2, i / 1200 / 2)) == tone);
            let (count, sum) = cells.fold((0u32, 0u32), |(count, sum), i| (count + 1, sum + u32::from(pits.plane.data()[i])));
            if count > 40_000 {
                let share = f64::from(sum) / f64::from(count * 16);
                // 100 mm² and more of grains that go together within some 0.006 mm².
                assert!((share - (1.0 - tint.lands)).abs() < 0.02, "{tone}: {share} {}", tint.lands);
            }
        }
    }
}
