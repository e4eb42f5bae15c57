//! Taken: pieces of paper off the regions of chosen tones, and closed outlines off any mask.
//!
//! An outline follows the edges that the sheets measure by ([`Outlines`]), so two pieces taken off neighbouring tones have one edge between
//! them. What lies within a piece and is none of its tones is a hole; its outline is joined to the piece's by a line walked there and back.

use crate::hand::Path;
use crate::outline::{Outlines, thinned_to};
use crate::plane::Plane;
use crate::rings::{self, Piece};
use crate::units::{PointMm, PxPerMm};

/// A knife follows a line to within this, mm (estimate); points are dropped where that loses no more.
const KNIFE: f64 = 0.05;

/// Pieces found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken {
    /// Their outlines, mm of the face, print view, the largest first.
    pub outlines: Vec<Vec<PointMm>>,
    /// How many regions were too small to cut.
    pub small: usize,
}

/// Pieces off the regions that are `inside`: each region at least `least_mm2` large is one, the largest first; holes smaller than that are
/// closed. `zones` is the raster that `outlines` were traced on.
#[must_use]
pub fn taken(outlines: &Outlines, zones: &Plane<u8>, resolution: PxPerMm, inside: impl Fn(u8) -> bool, least_mm2: f64) -> Taken {
    let mut rings: Vec<(f64, Vec<PointMm>)> = rings::rings(outlines, zones, resolution, inside)
        .iter()
        .map(|ring| points(outlines, ring))
        .filter(|points| points.len() >= 3)
        .map(|points| (area(&points), points))
        .collect();
    rings.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
    // How many larger rings go round each: an even number for what is paper, an odd one for a hole in it.
    let mut around: Vec<Vec<usize>> = Vec::with_capacity(rings.len());
    for (at, (_, ring)) in rings.iter().enumerate() {
        let place = ring[0];
        around.push((0..at).filter(|&larger| within(&rings[larger].1, place)).collect());
    }
    let mut found = Taken::default();
    for (at, (size, ring)) in rings.iter().enumerate().filter(|(at, _)| around[*at].len().is_multiple_of(2)) {
        let holes: Vec<usize> = (0..rings.len())
            .filter(|&hole| around[hole].len() == around[at].len() + 1 && around[hole].contains(&at) && rings[hole].0.abs() >= least_mm2)
            .collect();
        let left = size.abs() - holes.iter().map(|&hole| rings[hole].0.abs()).sum::<f64>();
        if left < least_mm2 || left <= 0.0 {
            found.small += 1;
            continue;
        }
        let lines: Vec<&Vec<PointMm>> = std::iter::once(ring).chain(holes.iter().map(|&hole| &rings[hole].1)).collect();
        let mut tolerance = KNIFE;
        let joined = loop {
            let thin: Vec<Vec<PointMm>> =
                lines.iter().map(|line| thinned_to(line, true, tolerance)).filter(|line| line.len() >= 3).collect();
            let points: usize = thin.iter().map(|line| line.len() + 2).sum();
            if points <= Path::MOST_POINTS || tolerance > 5.0 {
                break joined(thin);
            }
            tolerance *= 1.5;
        };
        found.outlines.push(joined);
    }
    found
}

/// A ring's points, each once.
fn points(outlines: &Outlines, ring: &rings::Ring) -> Vec<PointMm> {
    let mut all: Vec<PointMm> = Vec::new();
    for piece in &ring.pieces {
        let line: Vec<PointMm> = match piece {
            Piece::Arc { index, backwards: false } => outlines.arcs[*index].points.clone(),
            Piece::Arc { index, backwards: true } => outlines.arcs[*index].points.iter().rev().copied().collect(),
            Piece::Border(points) => points.clone(),
        };
        for point in line {
            if all.last() != Some(&point) {
                all.push(point);
            }
        }
    }
    while all.len() > 1 && all.first() == all.last() {
        all.pop();
    }
    all
}

/// Twice walked lines join holes to the outline. All go the same way round outside and the other way inside.
fn joined(lines: Vec<Vec<PointMm>>) -> Vec<PointMm> {
    let turned = |(at, mut line): (usize, Vec<PointMm>)| {
        if (area(&line) < 0.0) == (at == 0) {
            line.reverse();
        }
        line
    };
    bridged(lines.into_iter().enumerate().map(turned).collect())
}

/// Lines that are walked there and back make one of several closed ones; by the even-odd rule they take no area.
pub(super) fn bridged(lines: Vec<Vec<PointMm>>) -> Vec<PointMm> {
    let mut lines = lines.into_iter();
    let mut outline = lines.next().unwrap_or_default();
    for mut next in lines {
        // The shortest way from one to the other, or nearly: from a few points of the next to all of what is there.
        let step = next.len().div_ceil(64).max(1);
        let ways = (0..next.len()).step_by(step).flat_map(|h| {
            let point = next[h];
            let near = outline.iter().enumerate().min_by(|a, b| square(*a.1, point).total_cmp(&square(*b.1, point)));
            near.map(|(o, from)| (square(*from, point), o, h))
        });
        let Some((_, o, h)) = ways.min_by(|a, b| a.0.total_cmp(&b.0)) else { continue };
        next.rotate_left(h);
        let back = [next[0], outline[o]];
        outline.splice(o + 1..o + 1, next.into_iter().chain(back));
    }
    outline
}

fn square(a: PointMm, b: PointMm) -> f64 {
    (a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y)
}

/// Shoelace formula: mm², with the sign of its turn.
pub(super) fn area(points: &[PointMm]) -> f64 {
    points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>() / 2.0
}

/// Whether a place lies within a closed line, by the even-odd rule.
fn within(ring: &[PointMm], place: PointMm) -> bool {
    let crosses =
        |(a, b): &(&PointMm, &PointMm)| (a.y > place.y) != (b.y > place.y) && place.x < a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x);
    ring.iter().zip(ring.iter().cycle().skip(1)).filter(crosses).count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    const TEN: PxPerMm = PxPerMm(10.0);

    /// A disc of tone 2 with a square of tone 1 in it and a disc of 2 in that, a speck of 2, on 0.
    fn map() -> Plane<u8> {
        Plane::from_fn(400, 300, |x, y| {
            let far = |cx: f64, cy: f64| libm::hypot(x as f64 + 0.5 - cx, y as f64 + 0.5 - cy);
            if far(150.0, 150.0) <= 20.0 || far(380.0, 20.0) <= 3.0 {
                2
            } else if (110..190).contains(&x) && (110..190).contains(&y) {
                1
            } else if far(150.0, 150.0) <= 120.0 {
                2
            } else {
                0
            }
        })
    }

    #[test]
    fn regions_become_pieces_with_their_holes() {
        let map = map();
        let outlines = Outlines::of(&map, TEN);
        let found = taken(&outlines, &map, TEN, |tone| tone == 2, 5.0);
        assert_eq!((found.outlines.len(), found.small), (2, 1));
        let disc = std::f64::consts::PI;
        assert_abs_diff_eq!(area(&found.outlines[0]), disc * 144.0 - 64.0, epsilon = 2.0);
        assert_abs_diff_eq!(area(&found.outlines[1]), disc * 4.0, epsilon = 0.2);
        // The knife goes round the disc and round the hole, not from one to the other: their lengths, by a circle and a square.
        let cut: f64 = super::super::cut_lines(&found.outlines[0]).iter().map(|[a, b]| libm::sqrt(square(*a, *b))).sum();
        assert_abs_diff_eq!(cut, 24.0 * disc + 32.0, epsilon = 1.5);
        // A hole smaller than what is cut is closed.
        let closed = taken(&outlines, &map, TEN, |tone| tone == 2, 70.0);
        assert_eq!((closed.outlines.len(), closed.small), (1, 2));
        assert_abs_diff_eq!(area(&closed.outlines[0]), disc * 144.0, epsilon = 2.0);
    }

    #[test]
    fn neighbours_share_their_edge_and_the_border_belongs_to_a_piece() {
        let map = Plane::from_fn(200, 100, |x, y| u8::from(x > 60 + y / 3));
        let outlines = Outlines::of(&map, TEN);
        let [left, right] = [0, 1].map(|tone| taken(&outlines, &map, TEN, |one| one == tone, 1.0).outlines.remove(0));
        assert_abs_diff_eq!(area(&left) + area(&right), 200.0, epsilon = 1e-9);
        let all = taken(&outlines, &map, TEN, |_| true, 1.0);
        assert_abs_diff_eq!(area(&all.outlines[0]), 200.0, epsilon = 1e-9);
        assert_eq!(taken(&outlines, &map, TEN, |_| false, 1.0), Taken::default());
    }

    #[test]
    fn no_outline_has_more_points_than_a_line_holds() {
        // A comb of two thousand teeth.
        let map = Plane::from_fn(2001, 60, |x, y| u8::from(y > 50 || (x % 2 == 1 && y > 5)));
        let outlines = Outlines::of(&map, PxPerMm(1.0));
        let found = taken(&outlines, &map, PxPerMm(1.0), |tone| tone == 1, 1.0);
        assert!(found.outlines.iter().all(|outline| (3..=Path::MOST_POINTS).contains(&outline.len())));
    }
}
