//! One side of the sheet at full resolution: points of its edge to a part of a pixel, and the curve through them.

use crate::homography::{Point, solve};
use crate::plane::Plane;

/// A side between two corners: from `from`, the unit vector `along`, `inward` to the sheet's side of it, `length` pixels long.
#[derive(Clone, Copy, Debug)]
struct Frame {
    from: Point,
    along: Point,
    inward: Point,
    length: f64,
}

/// The edge as found: `offset + slope·s + bow·s²` pixels inward of the line it was looked for, s from -1 at the first corner to 1.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    frame: Frame,
    curve: [f64; 3],
    /// Share of the places looked at that lie on the curve.
    pub(crate) support: f64,
    /// How far its middle stands off the line through its ends, pixels; positive inward.
    pub(super) sagitta: f64,
    /// The sagitta's standard error, pixels.
    pub(super) doubt: f64,
    /// How far the places scatter about the curve, pixels.
    pub(super) spread: f64,
}

/// Places looked at along a side.
const PLACES: usize = 240;
/// Least support of a side.
pub(crate) const SUPPORT: f64 = 0.6;

impl Frame {
    fn between(a: Point, b: Point) -> Self {
        let length = libm::hypot(b[0] - a[0], b[1] - a[1]).max(1e-6);
        let along = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
        // Corners go clockwise as seen (y down), so the sheet lies to the right of the way: a quarter turn clockwise.
        Self { from: a, along, inward: [-along[1], along[0]], length }
    }

    fn at(&self, s: f64, inward: f64) -> Point {
        let along = (s + 1.0) / 2.0 * self.length;
        std::array::from_fn(|k| self.from[k] + along * self.along[k] + inward * self.inward[k])
    }
}

impl Edge {
    /// Looks for an edge from dark outside to light inside, within `reach` pixels of the line from `a` to `b`.
    ///
    /// `None` where too few places show one.
    pub(crate) fn find(light: &Plane<f32>, a: Point, b: Point, reach: f64) -> Option<Self> {
        Self::find_at(light, a, b, reach, PLACES)
    }

    /// The same at so many places, each as long as they lie apart, up to 12 pixels: fewer where what lies beside the edge is grainy.
    pub(crate) fn find_at(light: &Plane<f32>, a: Point, b: Point, reach: f64, places: usize) -> Option<Self> {
        let frame = Frame::between(a, b);
        let run = (frame.length / places as f64).clamp(1.0, 12.0);
        let mut points: Vec<[f64; 3]> = Vec::with_capacity(places);
        for i in 0..places {
            let s = (2.0 * (i as f64 + 0.5) / places as f64 - 1.0) * 0.97;
            if let Some((inward, strength)) = crest(light, &frame, s, run, reach) {
                points.push([s, inward, strength]);
            }
        }
        if (points.len() as f64) < SUPPORT * places as f64 {
            return None;
        }
        let (curve, spread, count) = fit(&points)?;
        // A straight line of s² has the standard error σ / √(n · var(s²)), and s² over -1..1 varies by 4/45.
        let doubt = spread / (count * 4.0 / 45.0).sqrt();
        Some(Self { frame, curve, support: count / places as f64, sagitta: -curve[2], doubt, spread })
    }

    /// Without its bow, where that is no more than chance or a pixel: a straight line then places the corners better.
    pub(super) fn bowed(&self) -> bool {
        self.sagitta.abs() > (4.0 * self.doubt).max(1.0)
    }

    fn inward(&self, s: f64) -> f64 {
        let [c, b, a] = self.curve;
        // Straight, the parabola's mean stands for it: s² is 1/3 on the average over -1..1.
        if self.bowed() { c + s * (b + s * a) } else { c + a / 3.0 + s * b }
    }

    /// The straight line through its ends: at the first corner and at the second.
    pub(crate) fn line(&self) -> [Point; 2] {
        [-1.0, 1.0].map(|s| self.frame.at(s, self.inward(s)))
    }

    /// Where this side, and the next one clockwise, meet.
    pub(crate) fn corner(&self, next: &Self) -> Option<Point> {
        // Each in turn is a line through its curve's point nearest the corner; three rounds settle a bow of a few pixels.
        let (mut s, mut t) = (1.0, -1.0);
        let mut corner = None;
        for _ in 0..4 {
            let (p, u) = self.tangent(s);
            let (q, v) = next.tangent(t);
            let det = u[0] * v[1] - u[1] * v[0];
            if det.abs() < 0.05 {
                return None;
            }
            let k = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / det;
            let at: Point = [p[0] + k * u[0], p[1] + k * u[1]];
            s = self.place(at);
            t = next.place(at);
            corner = Some(at);
        }
        corner
    }

    fn place(&self, at: Point) -> f64 {
        let Frame { from, along, length, .. } = self.frame;
        2.0 * ((at[0] - from[0]) * along[0] + (at[1] - from[1]) * along[1]) / length - 1.0
    }

    fn tangent(&self, s: f64) -> (Point, Point) {
        const STEP: f64 = 0.01;
        let (a, b) = (self.frame.at(s - STEP, self.inward(s - STEP)), self.frame.at(s + STEP, self.inward(s + STEP)));
        (self.frame.at(s, self.inward(s)), [b[0] - a[0], b[1] - a[1]])
    }
}

/// The steepest rise of the light going inward at one place of a side: how far inward, and how steep.
fn crest(light: &Plane<f32>, frame: &Frame, s: f64, run: f64, reach: f64) -> Option<(f64, f64)> {
    const STEP: f64 = 0.5;
    /// Samples by which the slope is taken to both sides, 1.5 pixels: a photograph's blur is about that.
    const SIDE: usize = 3;
    let half = (reach / STEP) as i64 + SIDE as i64;
    let tangential = run.max(1.0) as i64;
    let by = 2.0 / frame.length;
    let profile: Vec<f64> = (-half..=half)
        .map(|k| {
            let sum: f64 = (0..tangential)
                .map(|i| {
                    let shift = (i as f64 + 0.5 - tangential as f64 / 2.0) * by;
                    f64::from(bilinear(light, frame.at(s + shift, k as f64 * STEP)))
                })
                .sum();
            sum / tangential as f64
        })
        .collect();
    // Slope by a triangle of both sides: means of three samples either side, a little smoothed.
    let slope = |i: usize| (1..=SIDE).map(|k| profile[i + k] - profile[i - k]).sum::<f64>();
    let range = SIDE..profile.len() - SIDE;
    let slopes: Vec<f64> = range.clone().map(slope).collect();
    let (best, &most) = slopes.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
    let bright = profile.iter().fold(0.0f64, |most, &v| most.max(v));
    if best == 0 || best + 1 == slopes.len() || most < 0.04 * bright || bright <= 0.0 {
        return None;
    }
    let (before, after) = (slopes[best - 1], slopes[best + 1]);
    let bend = before - 2.0 * most + after;
    let part = if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
    Some((((best as i64 + SIDE as i64 - half) as f64 + part) * STEP, most))
}

fn bilinear(light: &Plane<f32>, [x, y]: Point) -> f32 {
    let (w, h) = (light.width() as f64 - 1.0, light.height() as f64 - 1.0);
    let (x, y) = ((x - 0.5).clamp(0.0, w), (y - 0.5).clamp(0.0, h));
    let (i, j) = (x as usize, y as usize);
    let (s, t) = ((x - i as f64) as f32, (y - j as f64) as f32);
    let (k, l) = ((i + 1).min(light.width() - 1), (j + 1).min(light.height() - 1));
    let (top, foot) = (light.at(i, j) * (1.0 - s) + light.at(k, j) * s, light.at(i, l) * (1.0 - s) + light.at(k, l) * s);
    top * (1.0 - t) + foot * t
}

/// A parabola through points, of which many may be wrong: the curve, the spread about it and how many lie on it.
///
/// Tukey's biweight (A. Beaton and J. Tukey, Technometrics 16, 1974) with the usual 4.685 times the spread, from the line that the median
/// of slopes between thirds gives. The spread is 1.4826 times the median residual, and at least a tenth of a pixel.
fn fit(points: &[[f64; 3]]) -> Option<([f64; 3], f64, f64)> {
    let median = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    };
    let third = points.len() / 3;
    let shift = points.len() - third;
    let slopes = (0..third).map(|i| (points[i + shift][1] - points[i][1]) / (points[i + shift][0] - points[i][0])).collect();
    let slope = median(slopes)?;
    let offset = median(points.iter().map(|p| p[1] - slope * p[0]).collect())?;
    let mut curve = [offset, slope, 0.0];
    let off = |curve: &[f64; 3], p: &[f64; 3]| p[1] - curve[0] - p[0] * (curve[1] + p[0] * curve[2]);
    let mut spread = 0.0;
    for _ in 0..12 {
        spread = (1.4826 * median(points.iter().map(|p| off(&curve, p).abs()).collect())?).max(0.1);
        let mut rows = [[0.0; 4]; 3];
        for p in points {
            let t = off(&curve, p) / (4.685 * spread);
            let weight = if t.abs() < 1.0 { (1.0 - t * t) * (1.0 - t * t) } else { 0.0 };
            let basis = [1.0, p[0], p[0] * p[0]];
            for (row, b) in rows.iter_mut().zip(basis) {
                for k in 0..3 {
                    row[k] += weight * b * basis[k];
                }
                row[3] += weight * b * p[1];
            }
        }
        curve = solve(rows)?;
    }
    let count = points.iter().filter(|p| off(&curve, p).abs() < 4.685 * spread).count() as f64;
    Some((curve, spread, count))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// A sheet with its upper edge at y = 40.3 + bow, blurred by exact area.
    fn sheet(bow: f64) -> Plane<f32> {
        Plane::from_fn(400, 80, |x, y| {
            let s = (x as f64 - 199.5) / 200.0;
            let edge = 40.3 + bow * (1.0 - s * s);
            (0.1 + 0.7 * (y as f64 + 1.0 - edge).clamp(0.0, 1.0)) as f32
        })
    }

    #[test]
    fn an_edge_is_found_to_a_tenth_of_a_pixel() {
        let edge = Edge::find(&sheet(0.0), [0.0, 36.0], [400.0, 38.0], 10.0).unwrap();
        for s in [-0.9, 0.0, 0.9] {
            assert_abs_diff_eq!(edge.frame.at(s, edge.inward(s))[1], 40.3, epsilon = 0.1);
        }
        assert!(edge.support > 0.95 && !edge.bowed(), "{edge:?}");
        assert!(Edge::find(&Plane::filled(400, 80, 0.5), [0.0, 36.0], [400.0, 38.0], 10.0).is_none());
    }

    #[test]
    fn a_bow_is_measured() {
        let edge = Edge::find(&sheet(6.0), [0.0, 40.0], [400.0, 40.0], 12.0).unwrap();
        assert!(edge.bowed());
        assert_abs_diff_eq!(edge.sagitta, 6.0, epsilon = 0.4);
    }
}
