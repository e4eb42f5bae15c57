//! What is wanted of a plate, held to what lies within four corners of a photograph.

use super::reduced::Small;
use crate::homography::{Homography, Point, solve};
use crate::painted::view::SQUARE;
use crate::painted::wanted::{BARE, COVERED, Way, value};
use crate::plate::Plate;
use crate::stopouts::StopOuts;

/// Places of the face that are held to the stop-out, each way.
const CELLS: usize = 44;

/// What is wanted, at places of the plate.
pub(super) struct Pattern {
    /// Shares of the plate and what is wanted there: −1 covered, 1 bare.
    places: Vec<(Point, f64)>,
}

impl Pattern {
    /// Of anything else: shares of it, and what is wanted there.
    pub(super) fn at(places: Vec<(Point, f64)>) -> Self {
        Self { places }
    }

    /// Every so-manieth place of it.
    pub(super) fn thinned(&self, every: usize) -> Self {
        Self { places: self.places.iter().copied().step_by(every.max(1)).collect() }
    }

    pub(super) fn of(plate: &Plate, stop_outs: &StopOuts, number: usize, way: Way) -> Self {
        let (size, face, bevel) = (plate.size(), plate.face(), plate.bevel().0);
        let mut places = Vec::new();
        for j in 0..CELLS {
            for i in 0..CELLS {
                let share = [(i as f64 + 0.5) / CELLS as f64, (j as f64 + 0.5) / CELLS as f64];
                let wanted = match value(stop_outs, number, way, share) {
                    COVERED => -1.0,
                    BARE => 1.0,
                    _ => continue,
                };
                let at = [(bevel + share[0] * face.width.0) / size.width.0, (bevel + share[1] * face.height.0) / size.height.0];
                places.push((at, wanted));
            }
        }
        Self { places }
    }

    /// How well light and dark within the corners go with it: the correlation, a lamp's even fall taken out of both. 0 to 1.
    pub(super) fn fit(&self, small: &Small, quad: &[Point; 4]) -> f64 {
        let Some(map) = Homography::between(&SQUARE, quad) else { return 0.0 };
        // Sums of products of 1, x, y, wanted and seen.
        let mut sums = [[0.0f64; 5]; 5];
        let mut count = 0usize;
        for &(share, wanted) in &self.places {
            let Some((x, y)) = small.pixel(map.apply(share)) else { continue };
            let seen = f64::from(small.light.at(x, y));
            if seen.is_nan() {
                continue;
            }
            count += 1;
            let row = [1.0, share[0] - 0.5, share[1] - 0.5, wanted, seen];
            for i in 0..5 {
                for j in i..5 {
                    sums[i][j] += row[i] * row[j];
                }
            }
        }
        if 2 * count < self.places.len().max(1) {
            return 0.0;
        }
        let at = |i: usize, j: usize| if i <= j { sums[i][j] } else { sums[j][i] };
        // What is left of a product when what 1, x and y explain is taken out.
        let explained = |k: usize| solve::<3, 4>(std::array::from_fn(|i| [at(i, 0), at(i, 1), at(i, 2), at(i, k)]));
        let (Some(wanted), Some(seen)) = (explained(3), explained(4)) else { return 0.0 };
        let left = |k: usize, of: &[f64; 3], l: usize| at(k, l) - (0..3).map(|i| of[i] * at(i, l)).sum::<f64>();
        let (ww, ss, ws) = (left(3, &wanted, 3), left(4, &seen, 4), left(3, &wanted, 4));
        if ww > 1e-9 * count as f64 && ss > 1e-9 * count as f64 { (ws / libm::sqrt(ww * ss)).clamp(-1.0, 1.0).abs() } else { 0.0 }
    }
}
