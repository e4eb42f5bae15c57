//! Quadrilaterals put together from straight lines of either kind, lighter to one side or to the other.

use super::reduced::Small;
use super::{apart, area};
use crate::homography::Point;
use crate::photo::Corners;
use crate::photo::lines::{Line, lines, slopes};

/// Straight lines looked at, and quadrilaterals kept of them.
const LINES: usize = 160;
const QUADS: usize = 160;
/// Least share of the picture that a plate takes.
const LEAST_AREA: f64 = 0.06;

/// A line with how much of an edge it has up to each place along it.
pub(super) struct Rule {
    line: Line,
    reach: f64,
    sums: Vec<f32>,
}

impl Rule {
    pub(super) fn of(small: &Small, line: Line) -> Self {
        let (w, h) = small.size();
        let reach = libm::hypot(w as f64, h as f64);
        let mut sum = 0.0f32;
        let sums = (0..=2 * libm::ceil(reach) as usize).map(|k| {
            let t = k as f64 - reach;
            let at: Point = [line.normal[0] * line.distance - line.normal[1] * t, line.normal[1] * line.distance + line.normal[0] * t];
            sum += small.step(at, line.normal);
            sum
        });
        Self { line, reach, sums: sums.collect() }
    }

    /// Mean of the votes between two places of it.
    pub(super) fn between(&self, a: Point, b: Point) -> f64 {
        let place = |p: Point| {
            let t = -p[0] * self.line.normal[1] + p[1] * self.line.normal[0];
            ((t + self.reach).max(0.0) as usize).min(self.sums.len() - 1)
        };
        let (a, b) = (place(a), place(b));
        let (low, high) = (a.min(b), a.max(b));
        f64::from(self.sums[high] - self.sums[low]) / (high - low).max(1) as f64
    }
}

/// The quadrilaterals whose sides show most of an edge, best first: none like another, each from its upper left corner.
pub(super) fn quadrilaterals(small: &Small) -> Vec<[Point; 4]> {
    let luminance = small.light.map(|&v| if v.is_nan() { 0.0 } else { v });
    let (w, h) = small.size();
    let mut rules: Vec<Rule> = Vec::new();
    for line in lines(&slopes(&luminance), LINES) {
        // Light to one side or to the other, it is the same line.
        let same = |rule: &Rule| {
            let along = rule.line.normal[0] * line.normal[0] + rule.line.normal[1] * line.normal[1];
            along.abs() > 0.9993 && (rule.line.distance - along.signum() * line.distance).abs() < 2.5
        };
        if !rules.iter().any(same) {
            rules.push(Rule::of(small, line));
        }
    }
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    let long = w.max(h) as f64;
    for i in 0..rules.len() {
        for j in i + 1..rules.len() {
            let (a, b) = (&rules[i].line, &rules[j].line);
            let along = a.normal[0] * b.normal[0] + a.normal[1] * b.normal[1];
            if along.abs() > 0.9 && (a.distance - along.signum() * b.distance).abs() > 0.15 * long {
                pairs.push((i, j));
            }
        }
    }
    let mut all: Vec<(f64, [Point; 4])> = Vec::new();
    let inside = |p: &Point| (1.0..=w as f64 - 1.0).contains(&p[0]) && (1.0..=h as f64 - 1.0).contains(&p[1]);
    for (n, &(a, b)) in pairs.iter().enumerate() {
        for &(c, d) in &pairs[n + 1..] {
            let (a, b, c, d) = (&rules[a], &rules[b], &rules[c], &rules[d]);
            let across = a.line.normal[0] * c.line.normal[0] + a.line.normal[1] * c.line.normal[1];
            if across.abs() > 0.6 {
                continue;
            }
            let (Some(p), Some(q), Some(r), Some(s)) =
                (a.line.meets(&c.line), a.line.meets(&d.line), b.line.meets(&d.line), b.line.meets(&c.line))
            else {
                continue;
            };
            let mut quad = [p, q, r, s];
            if !quad.iter().all(inside) || area(&quad).abs() < LEAST_AREA * (w * h) as f64 {
                continue;
            }
            let votes = [a.between(p, q), d.between(q, r), b.between(r, s), c.between(s, p)];
            let least = votes.iter().fold(1.0f64, |least, &v| least.min(v));
            let mean = votes.iter().sum::<f64>() / 4.0;
            if mean < 0.4 || least < 0.12 {
                continue;
            }
            let lengths = Corners(quad).sides();
            let score = (0..4).map(|i| lengths[i] * votes[i] * votes[i]).sum::<f64>();
            if area(&quad) < 0.0 {
                quad.reverse();
            }
            let first = (0..4).min_by(|&i, &j| (quad[i][0] + quad[i][1]).total_cmp(&(quad[j][0] + quad[j][1]))).unwrap_or(0);
            quad.rotate_left(first);
            all.push((score, quad));
        }
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut kept: Vec<[Point; 4]> = Vec::new();
    for (_, quad) in all {
        if kept.iter().all(|other| apart(other, &quad) > 4.0) {
            kept.push(quad);
            if kept.len() == QUADS {
                break;
            }
        }
    }
    kept
}
