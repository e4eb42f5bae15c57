//! Values known in places, carried over the whole face: means in cells of a millimetre, smoothed, and between the cells a straight line.

use super::look::{Features, blurred};

/// Side of a cell, mm.
const CELL: f64 = 1.0;

/// Sums of values in cells.
#[derive(Clone)]
pub(super) struct Cells {
    px: f64,
    pub(super) size: (usize, usize),
    pub(super) weight: Vec<f32>,
    pub(super) sums: [Vec<f32>; 3],
}

impl Cells {
    /// For a face of so many pixels, so many to the millimetre.
    pub(super) fn new(face: (usize, usize), px_per_mm: f64) -> Self {
        let px = CELL * px_per_mm;
        let side = |v: usize| (libm::ceil(v as f64 / px) as usize).max(1);
        let size = (side(face.0), side(face.1));
        let none = || vec![0.0f32; size.0 * size.1];
        Self { px, size, weight: none(), sums: std::array::from_fn(|_| none()) }
    }

    pub(super) fn index(&self, x: usize, y: usize) -> usize {
        let (i, j) = ((x as f64 / self.px) as usize, (y as f64 / self.px) as usize);
        j.min(self.size.1 - 1) * self.size.0 + i.min(self.size.0 - 1)
    }

    pub(super) fn add(&mut self, x: usize, y: usize, value: Features) {
        let at = self.index(x, y);
        self.weight[at] += 1.0;
        for (sum, value) in self.sums.iter_mut().zip(value) {
            sum[at] += value;
        }
    }

    /// Smoothed by a Gaussian `sigma` mm wide: sums over weights, with so many pixels of `prior` added everywhere.
    pub(super) fn smooth(&self, sigma: f64, prior: &dyn Fn(usize) -> Features, strength: f32) -> Field {
        let blur = |data: &Vec<f32>| blurred(data.clone(), self.size, sigma / CELL);
        let weight = blur(&self.weight);
        let sums: [Vec<f32>; 3] = std::array::from_fn(|c| blur(&self.sums[c]));
        let values = (0..weight.len()).map(|i| {
            let prior = prior(i);
            std::array::from_fn(|c| (sums[c][i] + strength * prior[c]) / (weight[i] + strength))
        });
        Field { px: self.px, size: self.size, values: values.collect() }
    }
}

/// A smooth field.
#[derive(Clone)]
pub(super) struct Field {
    px: f64,
    size: (usize, usize),
    pub(super) values: Vec<Features>,
}

impl Field {
    pub(super) fn at(&self, x: usize, y: usize) -> Features {
        let part = |v: usize, side: usize| {
            let v = ((v as f64 + 0.5) / self.px - 0.5).clamp(0.0, side as f64 - 1.0);
            let low = (v as usize).min(side.saturating_sub(2));
            (low, (low + 1).min(side - 1), (v - low as f64) as f32)
        };
        let ((x0, x1, s), (y0, y1, t)) = (part(x, self.size.0), part(y, self.size.1));
        let of = |x: usize, y: usize| &self.values[y * self.size.0 + x];
        let (a, b, c, d) = (of(x0, y0), of(x1, y0), of(x0, y1), of(x1, y1));
        std::array::from_fn(|k| {
            let (top, foot) = (a[k] + s * (b[k] - a[k]), c[k] + s * (d[k] - c[k]));
            top + t * (foot - top)
        })
    }
}
