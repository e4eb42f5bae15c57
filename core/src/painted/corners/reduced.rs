//! The photograph reduced, in logarithms of light, and how much of an edge a line through it shows.

use crate::homography::Point;
use crate::photo::source::Light;
use crate::plane::Plane;
use crate::warp::Source;

/// The reduced picture that the plate is looked for in, and the finer one that its edges are set by.
pub(super) const ROUGH: Scale = Scale { longest: 640, full_step: 0.25, probes: 48, edges: 0.15, beside: &[2.5] };
pub(super) const FINE: Scale = Scale { longest: 1600, full_step: 1.0, probes: 160, edges: 0.3, beside: &[0.7, 1.5, 2.5] };
/// Lighter than this in every colour, a place is a lamp or its mirror image.
const BURNT: f32 = 0.9;

/// How a picture is reduced and looked at.
#[derive(Clone, Copy)]
pub(super) struct Scale {
    /// Its longest side, pixels.
    longest: usize,
    /// The step in the logarithm of light that is a full vote for an edge.
    full_step: f32,
    /// Places looked at along a side.
    probes: usize,
    /// What the edges count beside the stop-out.
    pub(super) edges: f64,
    /// Pixels to either side that a step is measured between: several, so that the middle of a step counts most.
    beside: &'static [f64],
}

/// A reduced picture: logarithms of its light, of red, green and blue.
pub(super) struct Small {
    logs: Plane<[f32; 3]>,
    /// The same of its luminance; NaN where it is burnt out.
    pub(super) light: Plane<f32>,
    /// Pixels of the picture to one of these, each way.
    pub(super) factor: f64,
    pub(super) scale: Scale,
}

/// Linear red, green and blue, and the share that is burnt out.
pub(super) type Rgbs = Plane<[f32; 4]>;

/// Means of squares of `factor` pixels; what is left over at the right and at the foot is left out.
pub(super) fn reduced((width, height): (usize, usize), factor: usize, at: impl Fn(usize, usize) -> [f32; 4]) -> Rgbs {
    let (w, h) = ((width / factor).max(1), (height / factor).max(1));
    let area = (factor * factor) as f32;
    Plane::from_fn(w, h, |x, y| {
        let mut sum = [0.0f32; 4];
        for dy in 0..factor {
            for dx in 0..factor {
                let (px, py) = ((x * factor + dx).min(width - 1), (y * factor + dy).min(height - 1));
                for (sum, v) in sum.iter_mut().zip(at(px, py)) {
                    *sum += v / area;
                }
            }
        }
        sum
    })
}

impl Small {
    /// The fine picture and the rough one.
    pub(super) fn both(light: &Light<'_>) -> (Self, Self) {
        let (width, height) = Source::<3>::size(light);
        let factor = width.max(height).div_ceil(FINE.longest).max(1);
        let fine = reduced((width, height), factor, |x, y| {
            let [r, g, b] = Source::<3>::at(light, x, y);
            [r, g, b, if r.min(g).min(b) > BURNT { 1.0 } else { 0.0 }]
        });
        let more = fine.width().max(fine.height()).div_ceil(ROUGH.longest).max(1);
        let rough = reduced((fine.width(), fine.height()), more, |x, y| fine.at(x, y));
        (Self::of(&fine, factor, FINE), Self::of(&rough, factor * more, ROUGH))
    }

    pub(super) fn of(rgb: &Rgbs, factor: usize, scale: Scale) -> Self {
        let most = rgb.data().iter().flat_map(|v| &v[..3]).fold(1e-4f32, |most, &v| most.max(v));
        // Two hundredths of the lightest keep noise in the dark from looking like edges.
        let log = |v: f32| libm::logf(v.max(0.0) + 0.02 * most);
        let logs = rgb.map(|&[r, g, b, _]| [log(r), log(g), log(b)]);
        let light = rgb.map(|&[r, g, b, burnt]| if burnt > 0.3 { f32::NAN } else { log(0.2126 * r + 0.7152 * g + 0.0722 * b) });
        Self { logs, light, factor: factor as f64, scale }
    }

    pub(super) fn size(&self) -> (usize, usize) {
        (self.light.width(), self.light.height())
    }

    pub(super) fn pixel(&self, [x, y]: Point) -> Option<(usize, usize)> {
        let (w, h) = self.size();
        (x >= 0.0 && y >= 0.0 && x < w as f64 && y < h as f64).then_some((x as usize, y as usize))
    }

    /// Whether there is a step between the two sides of a place, 0 to 1: of either kind, in any colour.
    pub(super) fn step(&self, at: Point, across: Point) -> f32 {
        let one = |by: f64| {
            let side = |by: f64| self.pixel([at[0] + by * across[0], at[1] + by * across[1]]);
            let (Some(a), Some(b)) = (side(by), side(-by)) else { return 0.0 };
            let (a, b) = (self.logs.at(a.0, a.1), self.logs.at(b.0, b.1));
            let most = (0..3).map(|c| (a[c] - b[c]).abs()).fold(0.0, f32::max);
            (most / self.scale.full_step).min(1.0)
        };
        self.scale.beside.iter().map(|&by| one(by)).sum::<f32>() / self.scale.beside.len() as f32
    }

    /// Share of a side that shows an edge.
    pub(super) fn side(&self, a: Point, b: Point) -> f64 {
        let probes = self.scale.probes;
        let length = libm::hypot(b[0] - a[0], b[1] - a[1]).max(1e-6);
        let across = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
        let sum: f32 = (0..probes)
            .map(|k| {
                let s = (k as f64 + 0.5) / probes as f64;
                self.step([a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])], across)
            })
            .sum();
        f64::from(sum) / probes as f64
    }

    pub(super) fn rim(&self, quad: &[Point; 4]) -> [f64; 4] {
        std::array::from_fn(|i| self.side(quad[i], quad[(i + 1) % 4]))
    }
}
