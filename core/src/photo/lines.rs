//! Straight edges of a small picture: a Hough transform in which an edge votes only for lines across its own gradient, so that the two
//! sides of a line are told apart.

use crate::homography::Point;
use crate::plane::Plane;

/// A line with a side: the points with `normal · p = distance`; its normal, of length 1, points to the lighter side.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Line {
    pub(crate) normal: Point,
    pub(crate) distance: f64,
    /// Direction of the normal, degrees, 0 up to 360.
    pub(crate) angle: f64,
}

impl Line {
    pub(crate) fn meets(&self, other: &Self) -> Option<Point> {
        let det = self.normal[0] * other.normal[1] - self.normal[1] * other.normal[0];
        let x = self.distance * other.normal[1] - self.normal[1] * other.distance;
        let y = self.normal[0] * other.distance - self.distance * other.normal[0];
        (det.abs() > 0.05).then(|| [x / det, y / det])
    }
}

/// Slope of the values at each pixel, a pixel's worth: Sobel's pair, I. Sobel and G. Feldman 1968, divided by 8.
pub(crate) fn slopes(plane: &Plane<f32>) -> Plane<[f32; 2]> {
    let (w, h) = (plane.width(), plane.height());
    Plane::from_fn(w, h, |x, y| {
        if x == 0 || y == 0 || x + 1 == w || y + 1 == h {
            return [0.0; 2];
        }
        let at = |dx: usize, dy: usize| plane.at(x + dx - 1, y + dy - 1);
        let across = at(2, 0) + 2.0 * at(2, 1) + at(2, 2) - at(0, 0) - 2.0 * at(0, 1) - at(0, 2);
        let down = at(0, 2) + 2.0 * at(1, 2) + at(2, 2) - at(0, 0) - 2.0 * at(1, 0) - at(2, 0);
        [across / 8.0, down / 8.0]
    })
}

/// Degrees and pixels to a cell of the accumulator.
const STEP: (f64, f64) = (2.0, 2.0);
/// A vote's strength is the slope's, up to this: beyond it a steep edge counts no more than a clear one. In the logarithm of light.
const CLEAR: f32 = 0.15;
/// Below this slope nothing votes.
const FAINT: f32 = 0.02;

/// The strongest straight edges, strongest first, at most `most`.
pub(crate) fn lines(slopes: &Plane<[f32; 2]>, most: usize) -> Vec<Line> {
    let (w, h) = (slopes.width(), slopes.height());
    let reach = libm::hypot(w as f64, h as f64);
    let angles = (360.0 / STEP.0) as usize;
    let distances = (2.0 * reach / STEP.1) as usize + 3;
    let normals: Vec<Point> = (0..angles)
        .map(|i| {
            let radians = (i as f64 * STEP.0).to_radians();
            [libm::cos(radians), libm::sin(radians)]
        })
        .collect();
    let mut votes = vec![0.0f32; angles * distances];
    let size = |[x, y]: [f32; 2]| (x * x + y * y).sqrt();
    for y in 1..h.saturating_sub(1) {
        for x in 1..w.saturating_sub(1) {
            let slope = slopes.at(x, y);
            let strength = size(slope);
            if strength < FAINT {
                continue;
            }
            // Only the crest of an edge votes: no neighbour along the slope is steeper.
            let (dx, dy) = (slope[0] / strength, slope[1] / strength);
            let (sx, sy) = ((dx * 1.3) as i64, (dy * 1.3) as i64);
            let beside = |s: i64| size(slopes.at((x as i64 + s * sx) as usize, (y as i64 + s * sy) as usize));
            if beside(1) > strength || beside(-1) > strength {
                continue;
            }
            let angle = libm::atan2(f64::from(dy), f64::from(dx)).to_degrees();
            let middle = libm::round(angle / STEP.0) as i64;
            for (turn, share) in [(-2i64, 0.4f32), (-1, 0.8), (0, 1.0), (1, 0.8), (2, 0.4)] {
                let i = (middle + turn).rem_euclid(angles as i64) as usize;
                let distance = normals[i][0] * (x as f64 + 0.5) + normals[i][1] * (y as f64 + 0.5);
                let cell = (distance + reach) / STEP.1;
                let low = cell as usize;
                let t = (cell - low as f64) as f32;
                votes[i * distances + low] += share * (1.0 - t) * strength.min(CLEAR);
                votes[i * distances + low + 1] += share * t * strength.min(CLEAR);
            }
        }
    }
    let mut peaks: Vec<(f32, usize, usize)> = Vec::new();
    for i in 0..angles {
        for d in 2..distances - 2 {
            let here = votes[i * distances + d];
            if here <= 0.0 {
                continue;
            }
            let highest = (-2i64..=2).all(|a| {
                let row = (i as i64 + a).rem_euclid(angles as i64) as usize * distances;
                (d - 2..=d + 2).all(|k| votes[row + k] <= here)
            });
            if highest {
                peaks.push((here, i, d));
            }
        }
    }
    peaks.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    peaks.truncate(most);
    let line =
        |&(_, i, d): &(f32, usize, usize)| Line { normal: normals[i], distance: d as f64 * STEP.1 - reach, angle: i as f64 * STEP.0 };
    peaks.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn an_edge_is_one_line_whose_normal_points_to_the_light() {
        // Dark left of a line that leans by 20°, through the middle.
        let (sin, cos) = f64::to_radians(20.0).sin_cos();
        let edge = Plane::from_fn(120, 120, |x, y| {
            let off = (x as f64 - 59.5) * cos + (y as f64 - 59.5) * sin;
            (off.clamp(-1.0, 1.0) / 2.0) as f32
        });
        let found = lines(&slopes(&edge), 5);
        assert_abs_diff_eq!(found[0].angle, 20.0, epsilon = 2.0);
        assert_abs_diff_eq!(found[0].distance, 60.0 * (cos + sin), epsilon = 2.5);
        let other = Line { normal: [0.0, 1.0], distance: 60.0, angle: 90.0 };
        let at = found[0].meets(&other).unwrap();
        assert_abs_diff_eq!(at[0], 60.0, epsilon = 3.0);
        assert!(other.meets(&other).is_none());
    }
}
