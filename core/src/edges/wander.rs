//! A smooth random offset over the plate: where this edge wanders to, nobody told it.
//!
//! Independent normal numbers sit on a grid of nodes and are summed with Gaussian weights of standard deviation s, divided by the root of their
//! sum of squares: at every point the offset is exactly normal with the spread asked for, and two points r apart correlate as
//! exp(−r²/4s²), that is 1/e at 2s = 7 mm (5 to 10 mm is an estimate, no source). Nodes hang on the plate's millimetres and a hash of seed, row and
//! column, so any raster sees the same offsets. Weights are a product of one across and one down.

use crate::grain::cells::{SplitMix64, cell_seed, row_seed};
use crate::units::{Millimetres, PxPerMm};
use std::ops::Range;

/// Standard deviation of the weights, mm, and the distance of two nodes: aliasing is below 1e-4 of the variance there.
const SPACING: f64 = 3.5;
/// Nodes along a line that weigh on a point: up to four spacings away, where a weight is 3e-4.
const TAPS: usize = 8;

/// The chance of one field among those of one hand.
pub(super) fn seed(hand: u64, stop_out: i64, which: i64) -> u64 {
    cell_seed(row_seed(hand, stop_out), which)
}

/// An offset over the face.
pub(super) struct Wander {
    columns: usize,
    /// Offsets at the nodes, mm, row after row.
    nodes: Vec<f32>,
    /// The farthest it goes, mm.
    most: f32,
}

/// Weights of nodes for the columns of a raster.
pub(super) struct Across {
    /// Stretches of columns with the node that the first weight is of.
    stretches: Vec<(usize, Range<usize>)>,
    /// Weight by tap, then column.
    weights: [Vec<f32>; TAPS],
}

/// First node and weights at a place, mm.
fn weights(place: f64) -> (usize, [f32; TAPS]) {
    let base = libm::floor(place / SPACING);
    let mut weights: [f64; TAPS] = std::array::from_fn(|tap| {
        let off = place / SPACING - (base + tap as f64 - 3.0);
        libm::exp(-0.5 * off * off)
    });
    let root = libm::sqrt(weights.iter().map(|w| w * w).sum());
    weights.iter_mut().for_each(|w| *w /= root);
    // The grid begins three nodes before the face.
    (base as usize, weights.map(|w| w as f32))
}

/// Weights of nodes for a row of a raster.
pub(super) struct Down {
    first: usize,
    weights: [f32; TAPS],
}

impl Down {
    pub(super) fn of(row: usize, resolution: PxPerMm) -> Self {
        let (first, weights) = weights(resolution.mm(row as f64 + 0.5).0);
        Self { first, weights }
    }
}

impl Across {
    pub(super) fn of(columns: Range<usize>, resolution: PxPerMm) -> Self {
        let mut across = Self { stretches: Vec::new(), weights: std::array::from_fn(|_| Vec::with_capacity(columns.len())) };
        for (at, column) in columns.enumerate() {
            let (first, weights) = weights(resolution.mm(column as f64 + 0.5).0);
            for (all, weight) in across.weights.iter_mut().zip(weights) {
                all.push(weight);
            }
            match across.stretches.last_mut() {
                Some((node, stretch)) if *node == first => stretch.end = at + 1,
                _ => across.stretches.push((first, at..at + 1)),
            }
        }
        across
    }
}

impl Wander {
    /// A field of standard deviation `spread` mm over a face of the given size.
    pub(super) fn new(seed: u64, spread: f64, face: (Millimetres, Millimetres)) -> Self {
        let count = |length: Millimetres| libm::floor(length.0 / SPACING) as usize + 1 + TAPS;
        let (columns, rows) = (count(face.0), count(face.1));
        let mut nodes = Vec::with_capacity(columns * rows);
        for row in 0..rows as i64 {
            let row_seed = row_seed(seed, row);
            nodes.extend((0..columns as i64).map(|column| (spread * normal(cell_seed(row_seed, column))) as f32));
        }
        Self { columns, nodes, most: (super::Edges::FARTHEST * spread) as f32 }
    }

    /// The offsets along a row of the raster, mm.
    pub(super) fn row(&self, across: &Across, down: &Down, out: &mut [f32]) {
        for (node, stretch) in &across.stretches {
            let out = &mut out[stretch.clone()];
            out.fill(0.0);
            for (tap, weights) in across.weights.iter().enumerate() {
                let at = down.first * self.columns + node + tap;
                let sum: f32 = down.weights.iter().enumerate().map(|(row, weight)| weight * self.nodes[at + row * self.columns]).sum();
                for (out, weight) in out.iter_mut().zip(&weights[stretch.clone()]) {
                    *out += weight * sum;
                }
            }
            for out in out {
                *out = out.clamp(-self.most, self.most);
            }
        }
    }
}

/// A standard normal number (Box and Muller, Ann. Math. Stat. 29, 1958).
fn normal(seed: u64) -> f64 {
    let mut chance = SplitMix64(seed);
    let mut even = || ((chance.next() >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0;
    let (length, turn) = (even(), even());
    libm::sqrt(-2.0 * libm::log(length)) * libm::cos(2.0 * std::f64::consts::PI * turn)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn offsets_are_normal_and_correlate_as_stated() {
        // 3000 fields at points 0, 3.5, 7 and 14 mm apart: variance, fourth moment 3, and exp(−r²/4s²) with s = 3.5 mm (Gaussian weights
        // convolved with themselves; any handbook of statistics).
        let (resolution, face) = (PxPerMm(2.0), (Millimetres(40.0), Millimetres(20.0)));
        let across = Across::of(0..80, resolution);
        let at = [21, 28, 35, 49];
        let (mut products, mut fourth) = ([0.0; 4], 0.0);
        let n = 3000;
        for i in 0..n {
            let mut row = vec![0.0; 80];
            Wander::new(seed(i, 3, 1), 0.4, face).row(&across, &Down::of(11 + i as usize % 9, resolution), &mut row);
            let here = f64::from(row[at[0]]) / 0.4;
            for (sum, &x) in products.iter_mut().zip(&at) {
                *sum += here * f64::from(row[x]) / 0.4 / n as f64;
            }
            fourth += here.powi(4) / n as f64;
        }
        for (product, r) in products.iter().zip([0.0f64, 3.5, 7.0, 14.0]) {
            assert_abs_diff_eq!(*product, (-r * r / (4.0 * 3.5 * 3.5)).exp(), epsilon = 4.0 * (2.0 / n as f64).sqrt());
        }
        assert_abs_diff_eq!(fourth, 3.0, epsilon = 4.0 * (96.0 / n as f64).sqrt());
    }

    #[test]
    fn every_raster_sees_the_same_offsets() {
        let field = Wander::new(9, 0.4, (Millimetres(30.0), Millimetres(30.0)));
        let row = |px_per_mm: f64, y: usize, width: usize| {
            let mut row = vec![0.0; width];
            field.row(&Across::of(0..width, PxPerMm(px_per_mm)), &Down::of(y, PxPerMm(px_per_mm)), &mut row);
            row
        };
        // Middles of pixels 7.5/5 and 22.5/15 mm are one place.
        let (coarse, fine) = (row(5.0, 7, 150), row(15.0, 22, 450));
        for x in 0..150 {
            assert_abs_diff_eq!(coarse[x], fine[3 * x + 1], epsilon = 1e-5);
        }
    }
}
