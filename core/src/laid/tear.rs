//! Tear: where a torn edge runs and how its fibres thin out.
//!
//! Lattice noise: a value a node, hashed from seed and place, smoothly filled in between; two sizes of it move the edge, one widens and narrows the
//! deckle, one roughens it. Tied to millimetres, so any raster shows the same tear. Widths are estimates, no source.

use crate::grain::cells::{cell_seed, row_seed};

/// How far the edge wanders to either side of its line, mm: at most, over long and over short ways.
const WANDER: [(f64, f64); 2] = [(0.5, 7.0), (0.2, 1.7)];
/// The deckle, mm wide: least and most.
const DECKLE: (f64, f64) = (1.0, 2.0);
/// How the deckle's width changes along the edge, mm.
const WIDTH_LENGTH: f64 = 4.0;
/// Size of the tufts of fibres, mm, and the share by which they are fuller or thinner.
const TUFT: (f64, f64) = (0.35, 0.3);
/// Size of single fibres, mm, and the share by which they stand out; it breaks up the stairs between parts of cover.
const FIBRE: (f64, f64) = (0.11, 0.17);
/// Farther from its line than this, mm, a torn paper is as a cut one.
pub(super) const REACH: f64 = 3.0;

/// The tear of one piece.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tear {
    seed: u64,
}

impl Tear {
    /// One of all tears.
    pub(super) fn new(seed: u64) -> Self {
        Self { seed: row_seed(seed, 0) }
    }

    /// Share of the ground that the fibres cover, 0..=1, at a place `inside` mm within the line.
    pub(super) fn cover(self, inside: f64, x: f64, y: f64) -> f64 {
        if inside >= REACH {
            return 1.0;
        }
        let wander: f64 = WANDER.iter().zip(0..).map(|(&(most, length), which)| most * self.noise(which, x / length, y / length)).sum();
        let inside = inside + wander;
        if inside <= 0.0 {
            return 0.0;
        }
        let share = 0.5 + 0.5 * self.noise(2, x / WIDTH_LENGTH, y / WIDTH_LENGTH);
        let wide = DECKLE.0 + (DECKLE.1 - DECKLE.0) * share;
        let t = (inside / wide).min(1.0);
        let even = t * t * (3.0 - 2.0 * t);
        // Tufts show where there is something to be thin: none at either end.
        let ragged = TUFT.1 * self.noise(3, x / TUFT.0, y / TUFT.0) + FIBRE.1 * self.noise(4, x / FIBRE.0, y / FIBRE.0);
        (even + 4.0 * even * (1.0 - even) * ragged).clamp(0.0, 1.0)
    }

    /// Between -1 and 1, smooth over one unit.
    fn noise(self, which: u64, x: f64, y: f64) -> f64 {
        let (column, row) = (libm::floor(x), libm::floor(y));
        let ease = |t: f64| t * t * t * (t * (t * 6.0 - 15.0) + 10.0);
        let (u, v) = (ease(x - column), ease(y - row));
        let (column, row) = (column as i64, row as i64);
        let of = |row: i64| {
            let seed = row_seed(self.seed ^ which.wrapping_mul(0xD1B5_4A32_D192_ED03), row);
            let value = |column: i64| (cell_seed(seed, column) >> 11) as f64 / (1u64 << 52) as f64 - 1.0;
            value(column) * (1.0 - u) + value(column + 1) * u
        };
        of(row) * (1.0 - v) + of(row + 1) * v
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_tear_is_bare_without_and_whole_within() {
        let tear = Tear::new(3);
        for i in 0..2000 {
            let (x, y) = (f64::from(i % 50) * 1.3, f64::from(i / 50) * 1.7);
            assert_eq!(tear.cover(-0.7, x, y), 0.0);
            assert_eq!(tear.cover(2.7, x, y), 1.0);
        }
    }

    #[test]
    fn noise_is_even_about_nothing_and_smooth() {
        let tear = Tear::new(7);
        let values: Vec<f64> = (0..40_000).map(|i| tear.noise(0, f64::from(i % 200) * 0.37, f64::from(i / 200) * 0.41)).collect();
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        assert!(mean.abs() < 0.03 && values.iter().all(|v| v.abs() <= 1.0), "{mean}");
        for i in 0..1000 {
            let x = f64::from(i) * 0.013;
            assert!((tear.noise(1, x, 0.4) - tear.noise(1, x + 1e-4, 0.4)).abs() < 1e-3);
        }
    }

    proptest! {
        #[test]
        fn fibres_never_cover_less_than_nothing_or_more_than_all(seed in any::<u64>(), inside in -4.0f64..4.0, x in -50.0f64..500.0, y in -50.0f64..500.0) {
            let cover = Tear::new(seed).cover(inside, x, y);
            prop_assert!((0.0..=1.0).contains(&cover));
        }
    }
}
