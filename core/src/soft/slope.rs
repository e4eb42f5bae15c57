//! Slope: how steeply the drawing's lightness changes, seen with an eye of a millimetre.

use crate::plane::Plane;
use crate::units::{PointMm, PxPerMm};

/// Standard deviation of the softening, mm: finer changes are texture, not a fade.
const SOFTNESS: f64 = 1.0;

/// Cells to a millimetre, at most: a Gaussian of 1 mm has nothing finer to tell.
const CELLS_PER_MM: f64 = 2.0;

/// The softened lightness on a coarse grid.
pub struct Slope {
    cells: Plane<f32>,
    /// Millimetres from one cell to the next.
    cell: f64,
}

impl Slope {
    /// Reduces and softens a plane of L*.
    #[must_use]
    pub fn of(lightness: &Plane<f32>, resolution: PxPerMm) -> Self {
        let block = (libm::floor(resolution.0 / CELLS_PER_MM) as usize).max(1);
        let cell = resolution.mm(block as f64).0;
        let reduced = reduced(lightness, block);
        // A block is itself a box of variance block²/12, less the pixel's own: the Gaussian adds what is missing.
        let boxed = ((block * block) as f64 - 1.0) / 12.0 * (resolution.mm(1.0).0).powi(2);
        let sigma = libm::sqrt((SOFTNESS * SOFTNESS - boxed).max(0.0)) / cell;
        Self { cells: softened(&reduced, sigma), cell }
    }

    /// The change of lightness at a point, L* a mm, in the direction where it is steepest. Within a millimetre of the border, that a
    /// millimetre inside.
    #[must_use]
    pub fn at(&self, point: PointMm) -> f64 {
        let inside = |at: f64, cells: usize| at.min((cells as f64 - 1.5) * self.cell).max(1.5 * self.cell);
        let (x, y) = (inside(point.x, self.cells.width()), inside(point.y, self.cells.height()));
        let ahead = |dx: f64, dy: f64| self.lightness(PointMm { x: x + dx * self.cell, y: y + dy * self.cell });
        let (across, down) = (ahead(1.0, 0.0) - ahead(-1.0, 0.0), ahead(0.0, 1.0) - ahead(0.0, -1.0));
        libm::hypot(across, down) / (2.0 * self.cell)
    }

    /// Bilinear between the cells' middles.
    fn lightness(&self, point: PointMm) -> f64 {
        let place = |at: f64, cells: usize| {
            let at = (at / self.cell - 0.5).clamp(0.0, (cells - 1) as f64);
            let low = (at as usize).min(cells.saturating_sub(2));
            (low, (low + 1).min(cells - 1), at - low as f64)
        };
        let ((left, right, s), (top, foot, t)) = (place(point.x, self.cells.width()), place(point.y, self.cells.height()));
        let at = |x: usize, y: usize| f64::from(self.cells.at(x, y));
        (at(left, top) * (1.0 - s) + at(right, top) * s) * (1.0 - t) + (at(left, foot) * (1.0 - s) + at(right, foot) * s) * t
    }
}

/// Means of whole blocks; less than one left over at the right or the foot is passed over.
fn reduced(plane: &Plane<f32>, block: usize) -> Plane<f32> {
    let (width, height) = ((plane.width() / block).max(1), (plane.height() / block).max(1));
    let mut sums = vec![0.0f32; width * height];
    let mut counts = vec![0u32; width * height];
    for (y, row) in plane.rows().take(height * block).enumerate() {
        let line = y / block * width;
        for (cell, values) in (line..line + width).zip(row.chunks(block)) {
            sums[cell] += values.iter().sum::<f32>();
            counts[cell] += values.len() as u32;
        }
    }
    Plane::from_fn(width, height, |x, y| sums[y * width + x] / counts[y * width + x] as f32)
}

/// A Gaussian by its own weights; beyond the border a plane continues in a straight line, so that a ramp stays one.
fn softened(plane: &Plane<f32>, sigma: f64) -> Plane<f32> {
    if sigma <= 0.0 {
        return plane.clone();
    }
    let reach = libm::ceil(3.0 * sigma) as isize;
    let weights: Vec<f32> = (-reach..=reach).map(|d| libm::exp(-((d * d) as f64) / (2.0 * sigma * sigma)) as f32).collect();
    let total: f32 = weights.iter().sum();
    let line = |values: &[f32]| -> Vec<f32> {
        let last = values.len() as isize - 1;
        let at = |i: isize| {
            let inside = i.clamp(0, last);
            let mirrored = (2 * inside - i).clamp(0, last);
            2.0 * values[inside as usize] - values[mirrored as usize]
        };
        (0..values.len() as isize)
            .map(|i| {
                weights
                    .iter()
                    .zip(i - reach..)
                    .map(|(w, j)| w * if (0..=last).contains(&j) { values[j as usize] } else { at(j) })
                    .sum::<f32>()
                    / total
            })
            .collect()
    };
    let (width, height) = (plane.width(), plane.height());
    let across: Vec<Vec<f32>> = plane.rows().map(&line).collect();
    let columns: Vec<Vec<f32>> = (0..width).map(|x| line(&across.iter().map(|row| row[x]).collect::<Vec<_>>())).collect();
    Plane::from_fn(width, height, |x, y| columns[x][y])
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    #[test]
    fn a_ramp_has_its_slope_everywhere() {
        // Closed form: L = a x + b y has the slope √(a² + b²), at any resolution.
        for (px_per_mm, a, b) in [(10.0, 0.9, 0.0), (10.0, 0.5, -0.7), (4.0, 0.0, 1.1), (1.0, 0.3, 0.4), (15.0, 0.8, 0.1)] {
            let side = (60.0 * px_per_mm) as usize;
            let ramp =
                Plane::from_fn(side, side, |x, y| 50.0 + (a * (x as f64 + 0.5) / px_per_mm + b * (y as f64 + 0.5) / px_per_mm) as f32);
            let slope = Slope::of(&ramp, PxPerMm(px_per_mm));
            for (x, y) in [(30.0, 30.0), (3.3, 41.7), (59.9, 0.1), (0.0, 0.0), (60.0, 60.0)] {
                assert_relative_eq!(slope.at(PointMm { x, y }), libm::hypot(a, b), max_relative = 0.02);
            }
        }
    }

    #[test]
    fn an_edge_has_the_slope_of_a_softened_step() {
        // A step of height h softened by σ has the slope h/(σ√2π)·exp(−x²/2σ²): closed form. The grid of half a mm takes a few per cent.
        let edge = Plane::from_fn(600, 300, |x, _| if x < 300 { 80.0 } else { 40.0 });
        let slope = Slope::of(&edge, PxPerMm(10.0));
        for off in [0.0, 0.5, 1.0, 1.5, 2.5f64] {
            let wanted = 40.0 / (2.0 * std::f64::consts::PI).sqrt() * libm::exp(-off * off / 2.0);
            assert_abs_diff_eq!(slope.at(PointMm { x: 30.0 + off, y: 15.0 }), wanted, epsilon = 1.2);
        }
    }
}
