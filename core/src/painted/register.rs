//! The plate's place made exact by the varnish itself: a hand's edge wanders both ways, so over many edges its mean lies where it should,
//! but for creep, which is told apart from the place because it points outward everywhere.

use super::look::blurred;
use super::wanted::{BARE, COVERED, Wanted};
use crate::homography::solve;
use crate::plane::Plane;

/// How far along the normal is looked to either side, mm, and in steps of what.
const REACH: f64 = 3.0;
const STEP: f64 = 0.15;
/// Places of the edge looked at, at most, and at least for a fit.
const PLACES: (usize, usize) = (1500, 40);
/// How well a place must look like one edge, 1 for perfectly.
const CLEAR: f64 = 0.75;
/// Farthest that a corner is moved, mm.
pub(super) const FARTHEST: f64 = 2.5;

/// What the edges say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Registered {
    /// Where the varnish lies that should lie at a place, off it, mm: a projective change to first order, over shares of the face from −1 to 1.
    shift: [f64; 8],
    /// Mean of how far the edges lie outward, mm: creep.
    pub(super) creep: f64,
    /// Median width over which covered goes over to bare, mm, and its steepness, score a mm.
    pub(super) width: f64,
    pub(super) steep: f64,
    /// Places of the edge that were clear.
    pub(super) places: usize,
}

fn rows([x, y]: [f64; 2]) -> [[f64; 8]; 2] {
    [[1.0, x, y, 0.0, 0.0, 0.0, x * x, x * y], [0.0, 0.0, 0.0, 1.0, x, y, x * y, y * y]]
}

impl Registered {
    /// How far off a place is, mm.
    pub(super) fn shift(&self, at: [f64; 2]) -> [f64; 2] {
        rows(at).map(|row| row.iter().zip(self.shift).map(|(a, b)| a * b).sum())
    }

    /// The farthest that a corner is off, mm.
    pub(super) fn most(&self) -> f64 {
        let corners = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
        corners.map(|at| self.shift(at)).iter().map(|s| libm::hypot(s[0], s[1])).fold(0.0, f64::max)
    }
}

/// Looks along the edges. `None` where too few are clear.
pub(super) fn register(score: &Plane<f32>, wanted: &Wanted) -> Option<Registered> {
    let (w, h) = wanted.size();
    let r = wanted.resolution.0;
    let solid: Vec<f32> = wanted.map.data().iter().map(|&v| if v == COVERED { 1.0 } else { 0.0 }).collect();
    let smooth = blurred(solid, (w, h), 0.8 * r);
    let mut edge: Vec<(usize, usize)> = Vec::new();
    for y in 1..h - 1 {
        for x in 1..w - 1 {
            let here = wanted.map.at(x, y);
            let there = [wanted.map.at(x + 1, y), wanted.map.at(x, y + 1)];
            if here <= BARE && there.iter().any(|&v| v <= BARE && v != here) {
                edge.push((x, y));
            }
        }
    }
    let every = (edge.len() / PLACES.0).max(1);
    let count = (REACH / STEP) as i64;
    let mut seen: Vec<([f64; 2], [f64; 2], f64)> = Vec::new();
    let mut widths = Vec::new();
    let mut slopes = Vec::new();
    for &(x, y) in edge.iter().step_by(every) {
        let at = |dx: i64, dy: i64| {
            let (x, y) = ((x as i64 + dx).clamp(0, w as i64 - 1) as usize, (y as i64 + dy).clamp(0, h as i64 - 1) as usize);
            f64::from(smooth[y * w + x])
        };
        // From covered to bare.
        let slope = [at(-1, 0) - at(1, 0), at(0, -1) - at(0, 1)];
        let length = libm::hypot(slope[0], slope[1]);
        if length < 1e-3 {
            continue;
        }
        let normal = slope.map(|v| v / length);
        let along = |t: f64| [x as f64 + 1.0 + t * r * normal[0], y as f64 + 1.0 + t * r * normal[1]];
        let mut profile = Vec::with_capacity(2 * count as usize + 1);
        let mut pure = true;
        for k in -count..=count {
            let t = k as f64 * STEP;
            let [px, py] = along(t);
            if px < 0.0 || py < 0.0 || px >= w as f64 || py >= h as f64 {
                pure = false;
                break;
            }
            let (px, py) = (px as usize, py as usize);
            let value = wanted.map.at(px, py);
            if t.abs() > 0.6 && value != if t < 0.0 { COVERED } else { BARE } {
                pure = false;
                break;
            }
            profile.push(f64::from(score.at(px, py).clamp(-1.2, 1.2)));
        }
        if !pure {
            continue;
        }
        let all = profile.len();
        let mut sum: f64 = profile.iter().sum();
        let mut best = (f64::MIN, 0usize);
        for (cut, value) in profile.iter().enumerate() {
            sum -= 2.0 * value;
            if sum > best.0 {
                best = (sum, cut);
            }
        }
        if best.0 < CLEAR * all as f64 || best.1 < 2 || best.1 + 3 > all {
            continue;
        }
        let delta = (best.1 as f64 + 0.5 - count as f64) * STEP;
        // The steepest rise over four steps near the cut.
        let from = best.1.saturating_sub(6);
        let to = (best.1 + 6).min(all - 5);
        let rise = (from..=to).map(|i| (profile[i + 4] - profile[i]) / (4.0 * STEP)).fold(0.0, f64::max);
        slopes.push(rise as f32);
        widths.push((2.0 / rise.max(0.05)) as f32);
        let place = [2.0 * (x as f64 + 1.0) / w as f64 - 1.0, 2.0 * (y as f64 + 1.0) / h as f64 - 1.0];
        seen.push((place, normal, delta));
    }
    if seen.len() < PLACES.1 {
        return None;
    }
    let mut found = [0.0f64; 9];
    let mut scale = f64::INFINITY;
    let rows9 = |place: [f64; 2], normal: [f64; 2]| -> [f64; 9] {
        let [a, b] = rows(place);
        std::array::from_fn(|k| if k < 8 { normal[0] * a[k] + normal[1] * b[k] } else { 1.0 })
    };
    for _ in 0..8 {
        let mut normal = [[0.0f64; 10]; 9];
        for &(place, n, delta) in &seen {
            let row = rows9(place, n);
            let off = delta - row.iter().zip(found).map(|(a, b)| a * b).sum::<f64>();
            let weight = if scale.is_finite() { 1.0 / (1.0 + (off / scale) * (off / scale)) } else { 1.0 };
            for i in 0..9 {
                for j in 0..9 {
                    normal[i][j] += weight * row[i] * row[j];
                }
                normal[i][9] += weight * row[i] * delta;
            }
        }
        // Held to no change, the finer terms more than a plain shift: few edges must not bend the face.
        for (i, row) in normal.iter_mut().enumerate() {
            row[i] += if matches!(i, 0 | 3 | 8) { 0.5 } else { 4.0 };
        }
        found = solve::<9, 10>(normal)?;
        let off = seen.iter().map(|&(place, n, delta)| (delta - rows9(place, n).iter().zip(found).map(|(a, b)| a * b).sum::<f64>()) as f32);
        scale = f64::from(super::evidence::robust(off.collect())?.1.max(0.1)) * 1.5;
    }
    let (width, _) = super::evidence::robust(widths)?;
    let (steep, _) = super::evidence::robust(slopes)?;
    let shift = std::array::from_fn(|k| found[k]);
    Some(Registered { shift, creep: found[8], width: f64::from(width), steep: f64::from(steep), places: seen.len() })
}
