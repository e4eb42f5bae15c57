//! Whether the plate lies, or was painted, another way: how well light and dark of the photograph go with what is wanted, each way.

use super::look::Look;
use super::wanted::{BARE, COVERED, Way, value};
use crate::homography::solve;
use crate::stopouts::StopOuts;

/// How well the photograph goes with a stop-out, each way, 0 to 1: the size of the correlation between light and what is wanted.
pub(super) struct Fits {
    cells: Vec<([f64; 2], f64)>,
}

impl Fits {
    /// Means of a millimetre or two of the light, its lamp taken out by a plane.
    pub(super) fn of(look: &Look, px_per_mm: f64) -> Self {
        let (w, h) = (look.features.width(), look.features.height());
        let every = (1.5 * px_per_mm).max(1.0) as usize;
        let mut cells = Vec::new();
        for y in (every / 2..h).step_by(every) {
            for x in (every / 2..w).step_by(every) {
                if look.burnt.at(x, y) < 0.2 && look.within.at(x, y) {
                    let share = [(x as f64 + 0.5) / w as f64, (y as f64 + 0.5) / h as f64];
                    cells.push((share, f64::from(look.features.at(x, y)[0])));
                }
            }
        }
        let mut normal = [[0.0f64; 4]; 3];
        for (share, v) in &cells {
            let row = [1.0, share[0] - 0.5, share[1] - 0.5];
            for i in 0..3 {
                for j in 0..3 {
                    normal[i][j] += row[i] * row[j];
                }
                normal[i][3] += row[i] * v;
            }
        }
        // Half held back: what is wanted may itself lie darker to one side.
        let [mean, a, b] = solve::<3, 4>(normal).unwrap_or([0.0; 3]);
        for (share, v) in &mut cells {
            *v -= mean + 0.5 * (a * (share[0] - 0.5) + b * (share[1] - 0.5));
        }
        Self { cells }
    }

    pub(super) fn fit(&self, stop_outs: &StopOuts, number: usize, way: Way) -> f64 {
        let (mut n, mut sx, mut sy, mut sxx, mut syy, mut sxy) = (0.0f64, 0.0, 0.0, 0.0, 0.0, 0.0);
        for &(share, v) in &self.cells {
            let x = match value(stop_outs, number, way, share) {
                COVERED => -1.0,
                BARE => 1.0,
                _ => continue,
            };
            n += 1.0;
            sx += x;
            sy += v;
            sxx += x * x;
            syy += v * v;
            sxy += x * v;
        }
        let spread = (n * sxx - sx * sx) * (n * syy - sy * sy);
        // Bare metal is the lighter: seen dark, it mirrors a dark room, and then it goes the other way everywhere.
        if spread > 0.0 { ((n * sxy - sx * sy) / libm::sqrt(spread)).abs() } else { 0.0 }
    }
}
