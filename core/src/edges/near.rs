//! How far each tone lies from each pixel, tile by tile.
//!
//! An edge matters over a few millimetres, and in most places two or three tones are that near. So the face is gone through in tiles: in each the
//! tones within reach are listed, and only for those are distances worked out, by the two passes of [`crate::distance`]. Tiles of a single tone are
//! passed over.

use crate::aside::RESIST;
use crate::plane::Plane;
use crate::units::PxPerMm;
use std::ops::Range;

/// Side of a tile, pixels.
const SIDE: usize = 64;
/// Squared distance beyond reach.
const NONE: u16 = u16::MAX;

/// A part of the face with more than one tone in reach.
pub(super) struct Tile<'a> {
    zones: &'a Plane<u8>,
    /// Columns of the face.
    pub(super) columns: Range<usize>,
    /// Rows of the face.
    pub(super) rows: Range<usize>,
    /// The zones within reach, rising.
    pub(super) values: Vec<u8>,
    /// Distance to each of them in mm, infinite beyond reach; row after row.
    far: Vec<Vec<f32>>,
    lighter: Vec<f32>,
    darker: Vec<f32>,
}

impl Tile<'_> {
    fn line(&self, y: usize) -> Range<usize> {
        y * self.columns.len()..(y + 1) * self.columns.len()
    }

    /// Zones along row `y` of the tile.
    pub(super) fn zones(&self, y: usize) -> &[u8] {
        &self.zones.row(self.rows.start + y)[self.columns.clone()]
    }

    /// Distance to the edge of a value's region, below 0 in it; a value of [`Self::values`].
    pub(super) fn far(&self, value: u8, y: usize) -> &[f32] {
        let place = self.values.iter().position(|&v| v == value).unwrap_or(0);
        &self.far[place][self.line(y)]
    }

    /// Distance to what is lighter than a pixel's own zone, a resist with it.
    pub(super) fn lighter(&self, y: usize) -> &[f32] {
        &self.lighter[self.line(y)]
    }

    /// Distance to what is darker than a pixel's own zone, what is left to the hand with it.
    pub(super) fn darker(&self, y: usize) -> &[f32] {
        &self.darker[self.line(y)]
    }
}

/// Calls for every tile that has more than one zone within `reach` pixels.
pub(super) fn tiles(zones: &Plane<u8>, reach: usize, resolution: PxPerMm, mut each: impl FnMut(&Tile<'_>)) {
    let mm: Vec<f32> = (0..=reach * reach).map(|squared| ((squared as f32).sqrt() - 0.5) * resolution.mm(1.0).0 as f32).collect();
    for top in (0..zones.height()).step_by(SIDE) {
        for left in (0..zones.width()).step_by(SIDE) {
            let columns = left..(left + SIDE).min(zones.width());
            let rows = top..(top + SIDE).min(zones.height());
            let around = |part: &Range<usize>, size: usize| part.start.saturating_sub(reach)..(part.end + reach).min(size);
            let wide = (around(&columns, zones.width()), around(&rows, zones.height()));
            let mut present = [false; 256];
            for y in wide.1.clone() {
                zones.row(y)[wide.0.clone()].iter().for_each(|&zone| present[usize::from(zone)] = true);
            }
            let values: Vec<u8> = (0..=u8::MAX).filter(|&value| present[usize::from(value)]).collect();
            if values.len() < 2 {
                continue;
            }
            let squared: Vec<Vec<u16>> = values.iter().map(|&value| squared(zones, value, (&columns, &rows), &wide, reach)).collect();
            let length = |d: u16| mm.get(usize::from(d)).copied().unwrap_or(f32::INFINITY);
            let (mut lighter, mut darker) = (vec![NONE; squared[0].len()], vec![NONE; squared[0].len()]);
            for (&value, squared) in values.iter().zip(&squared) {
                for (y, row) in rows.clone().enumerate() {
                    let line = y * columns.len()..(y + 1) * columns.len();
                    let sides = lighter[line.clone()].iter_mut().zip(&mut darker[line.clone()]);
                    for ((&d, (lighter, darker)), &zone) in squared[line].iter().zip(sides).zip(&zones.row(row)[columns.clone()]) {
                        if value == RESIST || value < zone {
                            *lighter = (*lighter).min(d);
                        } else if value > zone {
                            *darker = (*darker).min(d);
                        }
                    }
                }
            }
            each(&Tile {
                zones,
                far: squared.iter().map(|plane| plane.iter().map(|&d| length(d)).collect()).collect(),
                lighter: lighter.iter().map(|&d| length(d)).collect(),
                darker: darker.iter().map(|&d| length(d)).collect(),
                columns,
                rows,
                values,
            });
        }
    }
}

/// Squared distance from each pixel of a tile to the nearest of a value within reach, in the part `wide` around it.
fn squared(
    zones: &Plane<u8>,
    value: u8,
    (columns, rows): (&Range<usize>, &Range<usize>),
    wide: &(Range<usize>, Range<usize>),
    reach: usize,
) -> Vec<u16> {
    let span = wide.0.len();
    let none = reach as u16 + 1;
    let mut run = vec![none; span];
    let mut down = vec![none; span * rows.len()];
    let step = |run: &mut [u16], y: usize| {
        for (run, &zone) in run.iter_mut().zip(&zones.row(y)[wide.0.clone()]) {
            *run = if zone == value { 0 } else { (*run + 1).min(none) };
        }
    };
    for y in wide.1.start..rows.end {
        step(&mut run, y);
        if y >= rows.start {
            down[(y - rows.start) * span..][..span].copy_from_slice(&run);
        }
    }
    run.fill(none);
    let cap = (reach * reach) as u16;
    let lead = columns.start - wide.0.start;
    let mut out = vec![NONE; columns.len() * rows.len()];
    let mut squares = vec![NONE; span + 2 * reach];
    for y in (rows.start..wide.1.end).rev() {
        step(&mut run, y);
        if y >= rows.end {
            continue;
        }
        let mut least = NONE;
        for ((square, &up), &foot) in squares[reach..].iter_mut().zip(&down[(y - rows.start) * span..][..span]).zip(&run) {
            let d = up.min(foot);
            *square = if d == none { NONE } else { d * d };
            least = least.min(*square);
        }
        if least == NONE {
            continue;
        }
        let row = &mut out[(y - rows.start) * columns.len()..][..columns.len()];
        let at = |dx: usize| &squares[lead + dx..lead + dx + columns.len()];
        row.copy_from_slice(at(reach));
        for dx in 1..=reach {
            let beside = (dx * dx) as u16;
            // No step to the side gets nearer than all are already.
            if dx % 8 == 1 && row.iter().all(|&d| d <= beside.saturating_add(least)) {
                break;
            }
            for ((d, &left), &right) in row.iter_mut().zip(at(reach - dx)).zip(at(reach + dx)) {
                *d = (*d).min(left.min(right).saturating_add(beside));
            }
        }
        row.iter_mut().filter(|d| **d > cap).for_each(|d| *d = NONE);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn distances_are_those_of_a_search(width in 1usize..150, height in 1usize..90, seed in any::<u64>(), reach in 1usize..40, rare in 1u32..9) {
            let mut state = seed;
            let zones = Plane::from_fn(width, height, |_, _| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                u8::from((state >> 33).trailing_zeros() > rare) + u8::from((state >> 41).trailing_zeros() > rare)
            });
            let mut seen = Plane::filled(width, height, false);
            tiles(&zones, reach, PxPerMm(1.0), |tile| {
                for y in tile.rows.clone() {
                    seen.data_mut()[y * width..][tile.columns.clone()].fill(true);
                }
                for y in (0..tile.rows.len()).step_by(17) {
                    for &value in &tile.values {
                        for x in (0..tile.columns.len()).step_by(13) {
                            let (px, py) = (tile.columns.start + x, tile.rows.start + y);
                            let search = |is: &dyn Fn(u8) -> bool| (0..width * height)
                                .filter(|i| is(zones.data()[*i]))
                                .map(|i| (i % width).abs_diff(px).pow(2) + (i / width).abs_diff(py).pow(2))
                                .filter(|squared| *squared <= reach * reach)
                                .min()
                                .map_or(f32::INFINITY, |squared| (squared as f32).sqrt() - 0.5);
                            let own = zones.at(px, py);
                            assert_eq!(tile.far(value, y)[x], search(&|zone| zone == value));
                            assert_eq!(tile.lighter(y)[x], search(&|zone| zone < own));
                            assert_eq!(tile.darker(y)[x], search(&|zone| zone > own));
                        }
                    }
                }
            });
            // A tile that is passed over has no other zone near.
            for i in (0..width * height).step_by(7).filter(|i| !seen.data()[*i]) {
                let (x, y) = (i % width, i / width);
                for row in y.saturating_sub(reach)..(y + reach + 1).min(height) {
                    let part = x.saturating_sub(reach)..(x + reach + 1).min(width);
                    prop_assert!(zones.row(row)[part].iter().all(|&zone| zone == zones.data()[i]));
                }
            }
        }
    }
}
