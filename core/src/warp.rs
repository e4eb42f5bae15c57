//! The warp: a picture drawn anew through a [`Homography`], in linear light.
//!
//! Where the picture is reduced, a pixel of the result is the mean of its footprint, sampled about once a source pixel each way; where it
//! is not, it is the cubic through the sixteen nearest, held between the four nearest so that no edge rings.

use crate::homography::{Homography, Point};
use crate::plane::Plane;

/// Linear light of a source, `C` values a pixel.
pub trait Source<const C: usize> {
    /// Columns and rows, at least one each.
    fn size(&self) -> (usize, usize);

    /// The values of a pixel within the size.
    fn at(&self, x: usize, y: usize) -> [f32; C];

    /// The values of four pixels of a row from `x` on, all within the size.
    fn four(&self, x: usize, y: usize) -> [[f32; C]; 4] {
        std::array::from_fn(|i| self.at(x + i, y))
    }
}

impl Source<1> for Plane<f32> {
    fn size(&self) -> (usize, usize) {
        (self.width(), self.height())
    }

    fn at(&self, x: usize, y: usize) -> [f32; 1] {
        [Self::at(self, x, y)]
    }
}

/// Up to this many source pixels to a pixel of the result, one cubic sample stands for it: it is sharper than a mean of four, and what
/// it passes over is less than half a pixel.
const NEARLY_ONE: f64 = 1.5;
/// Most samples a pixel, each way: a sheet reduced sixteenfold is a thumbnail.
const MOST: f64 = 16.0;

/// A warp ready to draw rows.
pub struct Warp<'a, const C: usize, S: Source<C>> {
    source: &'a S,
    /// From the result's pixels to the source's; both count from the outer corner of the first pixel.
    back: Homography,
    cubic: bool,
    /// Whether samples of a reduced picture are single pixels, not four weighed.
    rough: bool,
    /// First and last column and row that may be used.
    bounds: [i64; 4],
}

impl<'a, const C: usize, S: Source<C>> Warp<'a, C, S> {
    /// `back` takes a point of the result to the source, in pixels from the outer corner of the first pixel; `size` is the result's.
    #[must_use]
    pub fn new(source: &'a S, back: Homography, size: (usize, usize)) -> Self {
        let (w, h) = (size.0 as f64, size.1 as f64);
        let corners = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
        let longest = |at: Point| back.derivative(at).iter().map(|d| libm::hypot(d[0], d[1])).fold(0.0, f64::max);
        let most = corners.map(longest).into_iter().fold(0.0, f64::max);
        let (width, height) = source.size();
        Self { source, back, cubic: most <= NEARLY_ONE, rough: false, bounds: [0, width as i64 - 1, 0, height as i64 - 1] }
    }

    /// Quicker and rougher: reduced, each sample is the pixel it falls in. For looks that take means over many.
    #[must_use]
    pub fn rough(self) -> Self {
        Self { rough: true, ..self }
    }

    /// Uses only what lies from `low` to `high`, in source pixels; a pixel in part within counts.
    #[must_use]
    pub fn within(mut self, low: Point, high: Point) -> Self {
        let (width, height) = self.source.size();
        let first = |v: f64, size: usize| (libm::floor(v + 1e-9) as i64).clamp(0, size as i64 - 1);
        let last = |v: f64, size: usize| (libm::ceil(v - 1e-9) as i64 - 1).clamp(0, size as i64 - 1);
        let [left, right] = [first(low[0], width), last(high[0], width)];
        let [top, foot] = [first(low[1], height), last(high[1], height)];
        self.bounds = [left, right.max(left), top, foot.max(top)];
        self
    }

    /// Where the middle of a pixel of the result lies in the source.
    #[must_use]
    pub fn middle(&self, x: usize, y: usize) -> Point {
        self.back.apply([x as f64 + 0.5, y as f64 + 0.5])
    }

    /// The pixel at column `x`, row `y` of the result. What lies beside the source repeats its edge.
    #[must_use]
    pub fn pixel(&self, x: usize, y: usize) -> [f32; C] {
        let at = [x as f64 + 0.5, y as f64 + 0.5];
        if self.cubic {
            return self.cubic(self.back.apply(at));
        }
        let [across, down] = self.back.derivative(at);
        let count = |d: Point| libm::ceil(libm::hypot(d[0], d[1])).clamp(1.0, MOST);
        let (columns, rows) = (count(across), count(down));
        let mut sum = [0.0f32; C];
        for row in 0..rows as usize {
            let v = y as f64 + (row as f64 + 0.5) / rows;
            for column in 0..columns as usize {
                let u = x as f64 + (column as f64 + 0.5) / columns;
                let [a, b] = self.back.apply([u, v]);
                let sample = if self.rough { self.near(libm::floor(a) as i64, libm::floor(b) as i64) } else { self.linear([a, b]) };
                for c in 0..C {
                    sum[c] += sample[c];
                }
            }
        }
        let share = 1.0 / (columns * rows) as f32;
        sum.map(|value| value * share)
    }

    fn near(&self, x: i64, y: i64) -> [f32; C] {
        let [left, right, top, foot] = self.bounds;
        self.source.at(x.clamp(left, right) as usize, y.clamp(top, foot) as usize)
    }

    /// Between the four nearest pixels.
    fn linear(&self, [x, y]: Point) -> [f32; C] {
        let ((x, s), (y, t)) = (parts(x), parts(y));
        let [a, b, c, d] = [self.near(x, y), self.near(x + 1, y), self.near(x, y + 1), self.near(x + 1, y + 1)];
        std::array::from_fn(|k| {
            let (top, foot) = (a[k] + s * (b[k] - a[k]), c[k] + s * (d[k] - c[k]));
            top + t * (foot - top)
        })
    }

    /// Through the sixteen nearest, held between the four nearest.
    fn cubic(&self, [x, y]: Point) -> [f32; C] {
        let ((x, s), (y, t)) = (parts(x), parts(y));
        let (across, down) = (catmull_rom(s), catmull_rom(t));
        // Away from the bounds nothing needs to be held back: most pixels, at half the cost.
        let [left, right, top, foot] = self.bounds;
        let inside = x > left && x + 2 <= right && y > top && y + 2 <= foot;
        let mut sum = [0.0f32; C];
        let (mut low, mut high) = ([f32::INFINITY; C], [f32::NEG_INFINITY; C]);
        for (j, weight) in (-1i64..).zip(down) {
            let [a, b, c, d] =
                if inside { self.source.four((x - 1) as usize, (y + j) as usize) } else { [-1, 0, 1, 2].map(|i| self.near(x + i, y + j)) };
            for k in 0..C {
                sum[k] += weight * (across[0] * a[k] + across[1] * b[k] + across[2] * c[k] + across[3] * d[k]);
                if j == 0 || j == 1 {
                    low[k] = low[k].min(b[k]).min(c[k]);
                    high[k] = high[k].max(b[k]).max(c[k]);
                }
            }
        }
        std::array::from_fn(|c| sum[c].clamp(low[c], high[c]))
    }
}

/// The pixel whose middle is next before a coordinate, and how far past it the coordinate lies.
fn parts(v: f64) -> (i64, f32) {
    // A point at infinity is no place; the bounds hold back what is merely far.
    let v = if v.is_finite() { v.clamp(-1e9, 1e9) - 0.5 } else { 0.0 };
    let low = libm::floor(v);
    (low as i64, (v - low) as f32)
}

/// Weights of four pixels, `t` (0..1) past the second: the cubic of E. Catmull and R. Rom, 1974, with tension one half.
fn catmull_rom(t: f32) -> [f32; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [(-t3 + 2.0 * t2 - t) / 2.0, (3.0 * t3 - 5.0 * t2 + 2.0) / 2.0, (-3.0 * t3 + 4.0 * t2 + t) / 2.0, (t3 - t2) / 2.0]
}

/// Every pixel of a result.
#[must_use]
pub fn drawn<const C: usize>(source: &impl Source<C>, back: Homography, size: (usize, usize)) -> Plane<[f32; C]> {
    let warp = Warp::new(source, back, size);
    Plane::from_fn(size.0, size.1, |x, y| warp.pixel(x, y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn scaling(s: f64) -> Homography {
        Homography::new([[s, 0.0, 0.0], [0.0, s, 0.0], [0.0, 0.0, 1.0]]).unwrap()
    }

    #[test]
    fn nothing_asked_nothing_changed() {
        let plane = Plane::from_fn(17, 11, |x, y| ((x * 7 + y * 13) % 29) as f32 / 28.0);
        let same = drawn(&plane, scaling(1.0), (17, 11));
        assert!(same.data().iter().zip(plane.data()).all(|(got, &wanted)| got[0] == wanted));
    }

    #[test]
    fn reduced_pixels_are_means() {
        // A checkerboard of one pixel, reduced 4 times, is its mean.
        let board = Plane::from_fn(64, 64, |x, y| ((x + y) % 2) as f32);
        for [value] in drawn(&board, scaling(4.0), (16, 16)).data() {
            assert_abs_diff_eq!(*value, 0.5, epsilon = 1e-6);
        }
        let ramp = Plane::from_fn(64, 64, |x, _| x as f32 / 63.0);
        let small = drawn(&ramp, scaling(4.0), (16, 16));
        for x in 1..15 {
            assert_abs_diff_eq!(small.at(x, 5)[0], (4.0 * x as f32 + 1.5) / 63.0, epsilon = 1e-5);
        }
    }

    #[test]
    fn a_steep_map_stays_within_the_source() {
        // A pole within the result: nothing is right there, but nothing fails.
        let plane = Plane::from_fn(9, 9, |x, _| x as f32 / 8.0);
        let wild = Homography::new([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [-0.2, 0.0, 1.0]]).unwrap();
        assert!(drawn(&plane, wild, (12, 12)).data().iter().all(|v| (0.0..=1.0).contains(&v[0])));
    }
}
