//! Outlines: the edges between regions in millimetres, each shared arc once.
//!
//! Two neighbouring regions own the same arc: it is traced once along the cracks between pixels, from junction to junction, and
//! smoothed once, so that neighbours can't part or overlap. Junctions, and the points where an edge meets the face's border, stay put.
//!
//! [`Outlines`] are for measuring while breaks are moved: points that are averaged and no more, for a slider must not wait. They round
//! corners, and two may touch. [`Curves`] are for drawing: the same arcs in the same order as cubic Béziers that keep corners and are held
//! against one another until none cross, which takes too long for a slider. Their lengths agree within 1 %.

mod clear;
mod curves;
mod fit;
mod ground;
mod inward;
mod trace;

pub use curves::{Curves, PairCurve, SharedCurve};
pub use inward::{Inward, MOVED, Moved, inward};

use crate::aside::RESIST;
use crate::plane::Plane;
use crate::tones::ToneCount;
use crate::units::{Millimetres, PointMm, PxPerMm};
use std::sync::{Arc, OnceLock};
use trace::{Walk, walks};

/// One edge between two tones, from junction to junction or closed.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedArc {
    /// The lighter of the two tones: the edge is painted at the stop-out of number `lighter + 1`.
    pub lighter: u8,
    /// The darker tone.
    pub darker: u8,
    /// Points in mm on the face, print view, x right, y down. A closed arc does not repeat its first point.
    pub points: Vec<PointMm>,
    /// Whether the last point joins the first.
    pub closed: bool,
}

impl SharedArc {
    /// Length of the curve, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        let along: f64 = self.points.windows(2).map(|pair| distance(pair[0], pair[1])).sum();
        match (self.points.first(), self.points.last()) {
            (Some(&first), Some(&last)) if self.closed => along + distance(last, first),
            _ => along,
        }
    }
}

/// All edges of a step map.
#[derive(Clone, Debug, Default)]
pub struct Outlines {
    /// The arcs, in the order of their first pixel.
    pub arcs: Vec<SharedArc>,
    /// The same as curves, once they are asked for.
    curves: OnceLock<Curves>,
    /// Edges drawn inside, once they are asked for.
    moved: inward::Cache,
}

impl PartialEq for Outlines {
    /// Whether the curves have been asked for makes no difference.
    fn eq(&self, other: &Self) -> bool {
        self.arcs == other.arcs
    }
}

/// Rounds of averaging with both neighbours: what takes the stairs of the raster out. Four rounds blur by 1.4 pixels (standard
/// deviation), 0.14 mm at 10 px/mm, which keeps a curve within 0.1 mm of its pixels unless it bends tighter than a brush can.
const ROUNDS: usize = 4;

/// Points are dropped where the curve stays within this of the rest, mm: a tenth of a pen's line.
const SIMPLIFY_MM: f64 = 0.02;

impl Outlines {
    /// Traces the edges of a step map, or of [`crate::aside::Zones`]. The face's own border is no edge.
    #[must_use]
    pub fn of(map: &Plane<u8>, resolution: PxPerMm) -> Self {
        let mut arcs = Vec::new();
        walks(map, |Walk { lighter, darker, corners, closed }| {
            arcs.push(SharedArc { lighter, darker, points: smoothed(&corners, closed, resolution), closed });
        });
        Self { arcs, ..Self::default() }
    }

    /// The edges as curves, worked out when they are first asked for: four times the work of the arcs, which no moved break waits for.
    /// `map` is the one that these outlines were traced on.
    pub fn curves(&self, map: &Plane<u8>, resolution: PxPerMm) -> &Curves {
        self.curves.get_or_init(|| Curves::of(map, resolution))
    }

    /// The edges moved inwards by `by` mm where tone `new_tone` is painted; as [`inward()`] moves them, with their curves. A sheet, its guide and
    /// all their tiles and words ask for the same: the last one is kept whole, and of each tone the curves, as long as `by` stays the same.
    /// `map` is the one that these outlines were traced on.
    pub fn moved(&self, map: &Plane<u8>, new_tone: u8, by: Millimetres, resolution: PxPerMm) -> Arc<Moved> {
        self.moved.get(map, new_tone, by, resolution)
    }

    /// Length of edge each stop-out paints, mm, stop-out 1 first: an edge is painted once, at its lighter tone's stop-out.
    #[must_use]
    pub fn edge_mm(&self, tones: ToneCount) -> Vec<f64> {
        let mut lengths = vec![0.0; tones.bites()];
        // What ends at a resist is closed off already; what begins at one, or at the darkest tone, is not painted at all.
        for arc in self.arcs.iter().filter(|arc| arc.darker != RESIST) {
            if let Some(length) = lengths.get_mut(usize::from(arc.lighter)) {
                *length += arc.length_mm();
            }
        }
        lengths
    }
}

fn distance(a: PointMm, b: PointMm) -> f64 {
    libm::hypot(a.x - b.x, a.y - b.y)
}

/// Stairs to a curve: middles of the cracks, averaged, ends kept; then thinned out. Pixels in, millimetres out.
fn smoothed(corners: &[(f64, f64)], closed: bool, resolution: PxPerMm) -> Vec<PointMm> {
    let middles = corners.windows(2).map(|pair| ((pair[0].0 + pair[1].0) / 2.0, (pair[0].1 + pair[1].1) / 2.0));
    let mut points: Vec<(f64, f64)> = if closed {
        middles.collect()
    } else {
        corners.first().copied().into_iter().chain(middles).chain(corners.last().copied()).collect()
    };
    let mut next = points.clone();
    let count = points.len();
    if count > 2 {
        for _ in 0..ROUNDS {
            for i in 0..count {
                let (before, after) = match (closed, i) {
                    (false, 0) => continue,
                    (false, i) if i + 1 == count => continue,
                    _ => (points[(i + count - 1) % count], points[(i + 1) % count]),
                };
                next[i] = ((before.0 + 2.0 * points[i].0 + after.0) / 4.0, (before.1 + 2.0 * points[i].1 + after.1) / 4.0);
            }
            std::mem::swap(&mut points, &mut next);
            next.copy_from_slice(&points);
        }
    }
    let points: Vec<PointMm> = points.iter().map(|p| PointMm { x: resolution.mm(p.0).0, y: resolution.mm(p.1).0 }).collect();
    thinned(&points, closed)
}

/// Drops points that the straight line between their neighbours stands in for, within [`SIMPLIFY_MM`] (Douglas and Peucker,
/// Cartographica 10, 1973, 112–122), without recursion.
fn thinned(points: &[PointMm], closed: bool) -> Vec<PointMm> {
    thinned_to(points, closed, SIMPLIFY_MM)
}

/// The same, within `tolerance` mm.
pub(crate) fn thinned_to(points: &[PointMm], closed: bool, tolerance: f64) -> Vec<PointMm> {
    let count = points.len();
    if count < 4 {
        return points.to_vec();
    }
    let mut keep = vec![false; count];
    (keep[0], keep[count - 1]) = (true, true);
    let mut work = vec![(0, count - 1)];
    if closed {
        let middle = count / 2;
        keep[middle] = true;
        work = vec![(0, middle), (middle, count - 1)];
    }
    while let Some((from, to)) = work.pop() {
        let (a, b) = (points[from], points[to]);
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let length = libm::hypot(dx, dy);
        let mut worst = (tolerance, 0);
        for (i, p) in points.iter().enumerate().take(to).skip(from + 1) {
            let off = if length > 0.0 { ((p.x - a.x) * dy - (p.y - a.y) * dx).abs() / length } else { distance(*p, a) };
            if off > worst.0 {
                worst = (off, i);
            }
        }
        if worst.1 > 0 {
            keep[worst.1] = true;
            work.push((from, worst.1));
            work.push((worst.1, to));
        }
    }
    points.iter().zip(keep).filter_map(|(p, keep)| keep.then_some(*p)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn total(map: &Plane<u8>, px_per_mm: f64) -> f64 {
        Outlines::of(map, PxPerMm(px_per_mm)).arcs.iter().map(SharedArc::length_mm).sum()
    }

    #[test]
    fn a_straight_edge_ends_at_the_border_and_has_its_length() {
        let map = Plane::from_fn(20, 10, |x, _| u8::from(x >= 7));
        let outlines = Outlines::of(&map, PxPerMm(2.0));
        assert_eq!(outlines.arcs.len(), 1);
        let arc = &outlines.arcs[0];
        assert_eq!((arc.lighter, arc.darker, arc.closed), (0, 1, false));
        assert_eq!((arc.points[0], arc.points[arc.points.len() - 1]), (PointMm { x: 3.5, y: 0.0 }, PointMm { x: 3.5, y: 5.0 }));
        assert_relative_eq!(arc.length_mm(), 5.0);
    }

    #[test]
    fn three_tones_meet_in_a_junction_and_each_arc_is_drawn_once() {
        let map = Plane::from_fn(12, 12, |x, y| if y < 6 { 0 } else { 1 + u8::from(x >= 6) });
        let outlines = Outlines::of(&map, PxPerMm(1.0));
        let mut pairs: Vec<_> = outlines.arcs.iter().map(|arc| (arc.lighter, arc.darker)).collect();
        pairs.sort_unstable();
        assert_eq!(pairs, [(0, 1), (0, 2), (1, 2)]);
        let lengths = outlines.edge_mm(ToneCount::new(3).unwrap());
        assert_relative_eq!(lengths[0], 12.0);
        assert_relative_eq!(lengths[1], 6.0);
    }

    #[test]
    fn a_disc_has_the_length_of_a_circle() {
        // Closed form 2πr; the raster is the disc's pixel centres at 10 px/mm.
        for radius in [3.0, 8.0, 20.0] {
            let side = (radius * 22.0) as usize;
            let middle = side as f64 / 2.0;
            let map =
                Plane::from_fn(side, side, |x, y| u8::from(libm::hypot(x as f64 + 0.5 - middle, y as f64 + 0.5 - middle) <= radius * 10.0));
            assert_relative_eq!(total(&map, 10.0), 2.0 * std::f64::consts::PI * radius, max_relative = 0.01);
        }
    }

    #[test]
    fn a_single_pixel_and_a_checkerboard_are_closed_curves() {
        let speck = Plane::from_fn(5, 5, |x, y| u8::from(x == 2 && y == 2));
        let outlines = Outlines::of(&speck, PxPerMm(1.0));
        assert_eq!(outlines.arcs.len(), 1);
        assert!(outlines.arcs[0].closed);
        let board = Plane::from_fn(6, 6, |x, y| ((x + y) % 2) as u8);
        assert!(total(&board, 1.0) > 0.0);
    }

    #[test]
    fn the_mirrored_map_has_the_same_lengths() {
        let map = Plane::from_fn(30, 20, |x, y| ((x * x + 3 * y) / 60 % 4) as u8);
        assert_relative_eq!(total(&map, 3.0), total(&map.mirrored(), 3.0), max_relative = 1e-9);
    }
}
