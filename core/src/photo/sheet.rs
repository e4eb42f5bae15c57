//! The sheet in small: straightened at a few pixels a millimetre, as light and as what is clipped, for the looks that need no more.

use super::field::luminance;
use super::source::{Clipped, Light};
use crate::homography::{Homography, Point};
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::warp::Warp;

/// Pixels of the small sheet, about.
const PIXELS: f64 = 500_000.0;

/// The small sheet.
pub(super) struct Proxy {
    /// Linear red, green, blue; share burnt out; share lost in black.
    pixels: Plane<[f32; 5]>,
    size: SizeMm,
}

impl Proxy {
    /// `sheet` takes shares of the sheet to pixels of the picture.
    pub(super) fn of(light: &Light<'_>, sheet: Homography, size: SizeMm) -> Option<Self> {
        let (w, h) = (size.width.0, size.height.0);
        let fine = (PIXELS / (w * h)).sqrt();
        let side = |mm: f64| ((mm * fine) as usize).clamp(16, 4000);
        let (width, height) = (side(w), side(h));
        let shares = Homography::new([[1.0 / width as f64, 0.0, 0.0], [0.0, 1.0 / height as f64, 0.0], [0.0, 0.0, 1.0]])?;
        let clipped = Clipped::of(light);
        let warp = Warp::new(&clipped, sheet * shares, (width, height)).rough();
        Some(Self { pixels: Plane::from_fn(width, height, |x, y| warp.pixel(x, y)), size })
    }

    pub(super) fn pixels(&self) -> &Plane<[f32; 5]> {
        &self.pixels
    }

    pub(super) fn size_mm(&self) -> (f64, f64) {
        (self.size.width.0, self.size.height.0)
    }

    pub(super) fn short_mm(&self) -> f64 {
        self.size.width.0.min(self.size.height.0)
    }

    /// Medians of ln light and ln luminance over a disc, and how far the luminance's middle half spreads; `None` off the sheet or in the
    /// dark.
    pub(super) fn disc(&self, [u, v]: Point, radius_mm: f64) -> Option<([f64; 3], f64, f64)> {
        let (w, h) = (self.pixels.width() as f64, self.pixels.height() as f64);
        if !(0.0..=1.0).contains(&u) || !(0.0..=1.0).contains(&v) {
            return None;
        }
        let (x, y) = (u * w, v * h);
        let (rx, ry) = ((radius_mm * w / self.size.width.0).max(0.8), (radius_mm * h / self.size.height.0).max(0.8));
        let reach = |c: f64, r: f64, most: f64| ((c - r).max(0.0) as usize, (c + r).min(most - 1.0) as usize);
        let ((left, right), (top, foot)) = (reach(x, rx, w), reach(y, ry, h));
        let mut logs: [Vec<f64>; 4] = Default::default();
        for j in top..=foot {
            for i in left..=right {
                let (a, b) = ((i as f64 + 0.5 - x) / rx, (j as f64 + 0.5 - y) / ry);
                if a * a + b * b > 1.0 {
                    continue;
                }
                let [r, g, b, ..] = self.pixels.at(i, j).map(f64::from);
                for (log, value) in logs.iter_mut().zip([r, g, b, luminance([r, g, b])]) {
                    log.push(libm::log(value.max(1e-5)));
                }
            }
        }
        for log in &mut logs {
            log.sort_by(f64::total_cmp);
        }
        let count = logs[3].len();
        if count == 0 {
            return None;
        }
        let at = |k: usize, share: usize| logs[k][(count - 1) * share / 4];
        let [r, g, b, lum] = [0, 1, 2, 3].map(|k| at(k, 2));
        (lum > libm::log(2e-3)).then(|| ([r, g, b], lum, at(3, 3) - at(3, 1)))
    }

    /// Share of the sheet lighter than a limit on ln luminance, over means of 3 × 3 pixels; what is burnt out does not count.
    pub(super) fn share_lighter(&self, limit: impl Fn(Point) -> f64) -> f64 {
        let (w, h) = (self.pixels.width(), self.pixels.height());
        let (mut lighter, mut all) = (0usize, 0usize);
        // The outermost hundredth may be the table or the sheet's own edge.
        let (x0, y0) = (w / 100 + 1, h / 100 + 1);
        for y in (y0..h.saturating_sub(y0 + 3)).step_by(3) {
            for x in (x0..w.saturating_sub(x0 + 3)).step_by(3) {
                let mut sum = [0.0f64; 4];
                for j in 0..3 {
                    for i in 0..3 {
                        let [r, g, b, burnt, _] = self.pixels.at(x + i, y + j).map(f64::from);
                        for (sum, value) in sum.iter_mut().zip([r, g, b, burnt]) {
                            *sum += value / 9.0;
                        }
                    }
                }
                let [r, g, b, burnt] = sum;
                if burnt > 0.1 {
                    continue;
                }
                all += 1;
                let at = [(x as f64 + 1.5) / w as f64, (y as f64 + 1.5) / h as f64];
                lighter += usize::from(libm::log(luminance([r, g, b]).max(1e-5)) > limit(at));
            }
        }
        lighter as f64 / all.max(1) as f64
    }
}
