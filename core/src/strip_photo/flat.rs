//! The strip laid flat: its length along the columns, its width down the rows, the paper beside it above and beneath.

use crate::homography::{Homography, Point};
use crate::photo::Corners;
use crate::photo::source::{Clipped, Light};
use crate::plane::Plane;
use crate::warp::Warp;

/// What is laid flat beside each long side, in widths of the strip.
pub(super) const BESIDE: f64 = 0.5;
/// Most columns and rows: a strip has some hundred thousand places then, far more than its bands need.
const MOST: (f64, f64) = (1400.0, 420.0);

/// The strip and the paper beside it, laid flat.
pub(super) struct Flat {
    /// Linear red, green, blue; share burnt out in a channel; share lost in black.
    pub(super) pixels: Plane<[f32; 5]>,
    /// The picture's pixels along the strip and across it, in the middle.
    pub(super) px: (f64, f64),
}

/// Pixels along the strip and across, by the middles of its sides.
pub(super) fn extent(corners: &Corners) -> (f64, f64) {
    let q = &corners.0;
    let middle = |a: usize, b: usize| -> Point { std::array::from_fn(|k| (q[a][k] + q[b][k]) / 2.0) };
    let apart = |a: Point, b: Point| libm::hypot(b[0] - a[0], b[1] - a[1]);
    (apart(middle(0, 3), middle(1, 2)), apart(middle(0, 1), middle(3, 2)))
}

/// From shares of the strip's length and width to pixels of the picture.
pub(super) fn map(corners: &Corners) -> Option<Homography> {
    Homography::between(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]], &corners.0)
}

impl Flat {
    pub(super) fn of(light: &Light<'_>, corners: &Corners) -> Option<Self> {
        let px = extent(corners);
        let scale = 1.0f64.min(MOST.0 / px.0).min(MOST.1 / (px.1 * (1.0 + 2.0 * BESIDE)));
        let side = |length: f64| (length * scale).clamp(8.0, 4000.0) as usize;
        let (columns, rows) = (side(px.0), side(px.1 * (1.0 + 2.0 * BESIDE)));
        let down = (1.0 + 2.0 * BESIDE) / rows as f64;
        let shares = Homography::new([[1.0 / columns as f64, 0.0, 0.0], [0.0, down, -BESIDE], [0.0, 0.0, 1.0]])?;
        let clipped = Clipped::of(light);
        let warp = Warp::new(&clipped, map(corners)? * shares, (columns, rows)).rough();
        let size = (light.luminance().width() as f64, light.luminance().height() as f64);
        let pixels = Plane::from_fn(columns, rows, |x, y| {
            let [a, b] = warp.middle(x, y);
            // What lies beside the picture is nothing that was seen: as if burnt out.
            if (0.0..size.0).contains(&a) && (0.0..size.1).contains(&b) { warp.pixel(x, y) } else { [1.0; 5] }
        });
        Some(Self { pixels, px })
    }

    /// Columns.
    pub(super) fn columns(&self) -> usize {
        self.pixels.width()
    }

    /// The rows between two shares of the width; at least one.
    pub(super) fn rows(&self, from: f64, to: f64) -> std::ops::Range<usize> {
        let rows = self.pixels.height() as f64;
        let row = |v: f64| ((v + BESIDE) / (1.0 + 2.0 * BESIDE) * rows).clamp(0.0, rows);
        let (a, b) = (libm::round(row(from)) as usize, libm::round(row(to)) as usize);
        let a = a.min(self.pixels.height() - 1);
        a..b.max(a + 1)
    }

    /// The columns between two shares of the length; at least one.
    pub(super) fn span(&self, from: f64, to: f64) -> std::ops::Range<usize> {
        let columns = self.columns() as f64;
        let a = (libm::round(from * columns).clamp(0.0, columns - 1.0)) as usize;
        a..(libm::round(to * columns).clamp(0.0, columns) as usize).max(a + 1)
    }

    /// Mean over columns and rows: linear red, green, blue of what is not burnt out, and the shares burnt out and lost.
    pub(super) fn mean(&self, columns: std::ops::Range<usize>, rows: std::ops::Range<usize>) -> Mean {
        let (mut rgb, mut kept, mut burnt, mut lost, mut all) = ([0.0f64; 3], 0.0, 0.0, 0.0, 0.0);
        for y in rows {
            for [r, g, b, out, dark] in &self.pixels.row(y)[columns.clone()] {
                all += 1.0;
                lost += f64::from(*dark);
                if *out > 0.05 {
                    burnt += 1.0;
                    continue;
                }
                kept += 1.0;
                for (sum, value) in rgb.iter_mut().zip([r, g, b]) {
                    *sum += f64::from(*value);
                }
            }
        }
        Mean { rgb: rgb.map(|sum| sum / f64::max(kept, 1.0)), burnt: burnt / f64::max(all, 1.0), lost: lost / f64::max(all, 1.0) }
    }
}

/// A mean over a piece of the flat strip.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mean {
    pub(super) rgb: [f64; 3],
    pub(super) burnt: f64,
    pub(super) lost: f64,
}
