//! Rings: closed outlines of a part of the face, put together from the shared arcs and from stretches of the face's border.
//!
//! An arc is taken as a whole and never changed, so two parts that meet along it have it alike, point by point. Only its ends are looked at here.

use crate::outline::Outlines;
use crate::plane::Plane;
use crate::units::{PointMm, PxPerMm};
use std::collections::BTreeMap;

/// A piece of a ring.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// A shared arc, by its place in [`Outlines::arcs`].
    Arc {
        /// Which.
        index: usize,
        /// Whether it is walked from its last point to its first.
        backwards: bool,
    },
    /// A stretch along the face's border, corners of the face included, mm on the face.
    Border(Vec<PointMm>),
}

/// A closed outline: each piece begins where the one before ends, the last ends where the first begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// The pieces in the order of the walk.
    pub pieces: Vec<Piece>,
}

/// A corner of the raster.
type Node = (usize, usize);

/// One end of an edge: which edge, and whether it is its last point.
type End = (usize, bool);

/// What a ring walks along, between two corners of the raster.
struct Edge {
    piece: Along,
    ends: [Node; 2],
    /// Directions in which it leaves its ends.
    leaves: [(f64, f64); 2],
}

enum Along {
    Arc(usize),
    Border(Vec<PointMm>),
}

/// The outlines of the part of the face whose zones are `inside`, filled by the even-odd rule. `zones` is the raster that the outlines were
/// traced on.
///
/// Where two pieces of the part touch at a corner only, each gets its own ring: parts hang together by sides, as islands do.
#[must_use]
pub fn rings(outlines: &Outlines, zones: &Plane<u8>, resolution: PxPerMm, inside: impl Fn(u8) -> bool) -> Vec<Ring> {
    let mut rings = Vec::new();
    let mut edges = Vec::new();
    let node = |point: PointMm| {
        let corner = |mm: f64, most: usize| libm::round(mm * resolution.0).clamp(0.0, most as f64) as usize;
        (corner(point.x, zones.width()), corner(point.y, zones.height()))
    };
    for (index, arc) in outlines.arcs.iter().enumerate() {
        if inside(arc.lighter) == inside(arc.darker) {
            continue;
        }
        if arc.closed {
            rings.push(Ring { pieces: vec![Piece::Arc { index, backwards: false }] });
            continue;
        }
        let [Some(&first), Some(&last)] = [arc.points.first(), arc.points.last()] else { continue };
        let second = arc.points.iter().copied().find(|&point| point != first).unwrap_or(first);
        let before = arc.points.iter().rev().copied().find(|&point| point != last).unwrap_or(last);
        edges.push(Edge {
            piece: Along::Arc(index),
            ends: [node(first), node(last)],
            leaves: [(second.x - first.x, second.y - first.y), (before.x - last.x, before.y - last.y)],
        });
    }
    match border(zones, resolution, &inside) {
        Border::Whole(points) => rings.push(Ring { pieces: vec![Piece::Border(points)] }),
        Border::Stretches(stretches) => edges.extend(stretches),
    }
    joined(&edges, zones, &inside, &mut rings);
    rings
}

enum Border {
    /// All of it: the four corners.
    Whole(Vec<PointMm>),
    /// What of it lies along the part.
    Stretches(Vec<Edge>),
}

/// Stretches of the face's border along pixels that are inside.
fn border(zones: &Plane<u8>, resolution: PxPerMm, inside: &impl Fn(u8) -> bool) -> Border {
    let (width, height) = (zones.width(), zones.height());
    let place = |(x, y): Node| PointMm { x: resolution.mm(x as f64).0, y: resolution.mm(y as f64).0 };
    let around = 2 * (width + height);
    // Clockwise from the upper left corner: the corner of the raster at step i, and the pixel beside the step from there.
    let corner = |i: usize| match i % around {
        i if i < width => (i, 0),
        i if i < width + height => (width, i - width),
        i if i < 2 * width + height => (2 * width + height - i, height),
        i => (0, around - i),
    };
    let pixel = |i: usize| match i % around {
        i if i < width => zones.at(i, 0),
        i if i < width + height => zones.at(width - 1, i - width),
        i if i < 2 * width + height => zones.at(2 * width + height - i - 1, height - 1),
        i => zones.at(0, around - i - 1),
    };
    let is_corner = |(x, y): Node| (x == 0 || x == width) && (y == 0 || y == height);
    // An edge of two zones that are both inside is no end; one of two zones that are both outside is none either.
    let Some(begin) = (0..around).find(|&i| inside(pixel(i)) && !inside(pixel(i + around - 1))) else {
        let all = inside(zones.at(0, 0));
        let corners = [(0, 0), (width, 0), (width, height), (0, height)].map(place).to_vec();
        return if all { Border::Whole(corners) } else { Border::Stretches(Vec::new()) };
    };
    let mut stretches = Vec::new();
    let mut open: Option<(Node, Vec<PointMm>)> = None;
    for i in begin..=begin + around {
        let here = corner(i);
        let is_inside = i < begin + around && inside(pixel(i));
        open = match (open, is_inside) {
            (None, true) => Some((here, vec![place(here)])),
            (Some((start, mut points)), true) => {
                if is_corner(here) {
                    points.push(place(here));
                }
                Some((start, points))
            }
            (Some((start, mut points)), false) => {
                points.push(place(here));
                // No more than one other edge ends at either end, so it does not matter where this one leaves.
                stretches.push(Edge { piece: Along::Border(points), ends: [start, here], leaves: [(0.0, 0.0); 2] });
                None
            }
            (None, false) => None,
        };
    }
    Border::Stretches(stretches)
}

/// Walks the edges until all are used.
fn joined(edges: &[Edge], zones: &Plane<u8>, inside: &impl Fn(u8) -> bool, rings: &mut Vec<Ring>) {
    let mut at: BTreeMap<Node, Vec<End>> = BTreeMap::new();
    for (edge, Edge { ends, .. }) in edges.iter().enumerate() {
        at.entry(ends[0]).or_default().push((edge, false));
        at.entry(ends[1]).or_default().push((edge, true));
    }
    // What a walk that comes in by an end goes on by.
    let mut next: BTreeMap<End, End> = BTreeMap::new();
    for (&node, ends) in &at {
        let ends = if ends.len() == 4 { sorted(edges, ends, zones, inside, node) } else { ends.clone() };
        for pair in ends.chunks_exact(2) {
            next.insert(pair[0], pair[1]);
            next.insert(pair[1], pair[0]);
        }
    }
    let mut used = vec![false; edges.len()];
    for start in 0..edges.len() {
        if used[start] {
            continue;
        }
        let mut pieces = Vec::new();
        let mut way = Some((start, false));
        while let Some((edge, backwards)) = way.filter(|&(edge, _)| !used[edge]) {
            used[edge] = true;
            pieces.push(match &edges[edge].piece {
                Along::Arc(index) => Piece::Arc { index: *index, backwards },
                Along::Border(points) if backwards => Piece::Border(points.iter().rev().copied().collect()),
                Along::Border(points) => Piece::Border(points.clone()),
            });
            way = next.get(&(edge, !backwards)).copied();
        }
        rings.push(Ring { pieces });
    }
}

/// The four ends at a corner where two pixels that are inside touch diagonally, so that each pair goes round one of the two.
fn sorted(edges: &[Edge], ends: &[End], zones: &Plane<u8>, inside: &impl Fn(u8) -> bool, (x, y): Node) -> Vec<End> {
    let angle = |&(edge, last): &End| {
        let (dx, dy) = edges[edge].leaves[usize::from(last)];
        libm::atan2(dy, dx)
    };
    let mut ends: Vec<(f64, End)> = ends.iter().map(|end| (angle(end), *end)).collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    // Smoothing bends them, but not past each other: the turn that fits best to right, down, left, up.
    let quarter = std::f64::consts::FRAC_PI_2;
    let off = |turn: usize| -> f64 {
        (0..4)
            .map(|i| {
                let apart = (ends[(i + turn) % 4].0 - i as f64 * quarter).rem_euclid(4.0 * quarter);
                apart.min(4.0 * quarter - apart)
            })
            .sum()
    };
    let turn = (0..4).min_by(|&a, &b| off(a).total_cmp(&off(b))).unwrap_or(0);
    ends.rotate_left(turn);
    let [right, down, left, up] = [0, 1, 2, 3].map(|i| ends[i].1);
    // The pixel at the lower right lies between what goes right and what goes down.
    let lower_right = x < zones.width() && y < zones.height() && inside(zones.at(x, y));
    if lower_right { vec![right, down, left, up] } else { vec![down, left, up, right] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ONE: PxPerMm = PxPerMm(1.0);

    fn plane(rows: &[&str]) -> Plane<u8> {
        Plane::from_fn(rows[0].len(), rows.len(), |x, y| rows[y].as_bytes()[x] - b'0')
    }

    fn of(map: &Plane<u8>, zone: u8) -> (Outlines, Vec<Ring>) {
        let outlines = Outlines::of(map, ONE);
        let rings = rings(&outlines, map, ONE, |z| z == zone);
        (outlines, rings)
    }

    fn points(outlines: &Outlines, ring: &Ring) -> Vec<PointMm> {
        let mut all = Vec::new();
        for piece in &ring.pieces {
            match piece {
                Piece::Arc { index, backwards: false } => all.extend(&outlines.arcs[*index].points),
                Piece::Arc { index, backwards: true } => all.extend(outlines.arcs[*index].points.iter().rev()),
                Piece::Border(points) => all.extend(points),
            }
        }
        all
    }

    /// Shoelace formula.
    fn area(points: &[PointMm]) -> f64 {
        let twice: f64 = (0..points.len()).map(|i| (points[i], points[(i + 1) % points.len()])).map(|(a, b)| a.x * b.y - b.x * a.y).sum();
        (twice / 2.0).abs()
    }

    /// Every piece begins where the one before ends.
    fn assert_closed(outlines: &Outlines, rings: &[Ring]) {
        for ring in rings {
            let ends: Vec<(PointMm, PointMm)> = ring
                .pieces
                .iter()
                .map(|piece| {
                    let points = points(outlines, &Ring { pieces: vec![piece.clone()] });
                    (points[0], points[points.len() - 1])
                })
                .collect();
            if matches!(ring.pieces[..], [Piece::Arc { index, .. }] if outlines.arcs[index].closed)
                || matches!(ring.pieces[..], [Piece::Border(_)])
            {
                continue;
            }
            for (i, end) in ends.iter().enumerate() {
                assert_eq!(end.1, ends[(i + 1) % ends.len()].0, "{ring:?}");
            }
        }
    }

    #[test]
    fn one_tone_is_the_face_and_no_tone_is_nothing() {
        let map = plane(&["000", "000"]);
        let (outlines, rings) = of(&map, 0);
        assert_eq!(rings.len(), 1);
        assert!((area(&points(&outlines, &rings[0])) - 6.0).abs() < 1e-9);
        assert!(of(&map, 1).1.is_empty());
    }

    #[test]
    fn a_hole_and_an_island_in_it_are_rings_of_their_own() {
        let rows: Vec<String> = (0..30)
            .map(|y: i32| {
                (0..30)
                    .map(|x: i32| {
                        let off = (x - 15).abs().max((y - 15).abs());
                        if !(3..=8).contains(&off) { '0' } else { '1' }
                    })
                    .collect()
            })
            .collect();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        // Of tone 0: the face's border, the hole, the island in the hole.
        let (outlines, rings) = of(&plane(&rows), 0);
        assert_eq!(rings.len(), 3);
        let mut areas: Vec<f64> = rings.iter().map(|ring| area(&points(&outlines, ring))).collect();
        areas.sort_by(f64::total_cmp);
        for (area, wanted) in areas.iter().zip([25.0, 289.0, 900.0]) {
            // Smoothing may round each of four corners by about a pixel.
            assert!((area - wanted).abs() < 5.0, "{area} for {wanted}");
        }
    }

    #[test]
    fn what_touches_the_border_is_closed_along_it() {
        let map = plane(&["0001110", "0011100", "1111000", "1110000"]);
        for zone in [0, 1] {
            let (outlines, rings) = of(&map, zone);
            assert_closed(&outlines, &rings);
            let total: f64 = rings.iter().map(|ring| area(&points(&outlines, ring))).sum();
            let wanted = map.data().iter().filter(|&&z| z == zone).count() as f64;
            assert!((total - wanted).abs() < 1.5, "{total} for {wanted}");
        }
    }

    #[test]
    fn pixels_that_touch_at_a_corner_have_a_ring_each() {
        let map = plane(&["00000", "01000", "00100", "00000", "00000"]);
        let (outlines, rings) = of(&map, 1);
        assert_closed(&outlines, &rings);
        assert_eq!(rings.len(), 2);
        let board = Plane::from_fn(6, 6, |x, y| ((x + y) % 2) as u8);
        for zone in [0, 1] {
            let (outlines, rings) = of(&board, zone);
            assert_closed(&outlines, &rings);
            assert_eq!(rings.len(), 18, "{zone}");
        }
    }

    #[test]
    fn neighbours_walk_the_same_arcs() {
        let map = Plane::from_fn(60, 40, |x, y| ((x * x + 3 * y) / 300 % 4) as u8);
        let outlines = Outlines::of(&map, ONE);
        let mut walked = vec![0; outlines.arcs.len()];
        for zone in 0..4 {
            for ring in rings(&outlines, &map, ONE, |z| z == zone) {
                for piece in ring.pieces {
                    if let Piece::Arc { index, .. } = piece {
                        walked[index] += 1;
                    }
                }
            }
        }
        assert!(walked.iter().all(|&times| times == 2), "an arc has two sides");
    }

    proptest! {
        /// Whatever the map: rings are closed, each arc is walked once from either side, and a tone of 4-connected pieces without holes
        /// has a ring for each.
        #[test]
        fn rings_close(cells in prop::collection::vec(0u8..4, 12 * 9), zone in 0u8..4) {
            let map = Plane::new(12, 9, cells).unwrap();
            let (outlines, rings) = of(&map, zone);
            assert_closed(&outlines, &rings);
            let mut walked = vec![0; outlines.arcs.len()];
            for ring in &rings {
                for piece in &ring.pieces {
                    if let Piece::Arc { index, .. } = piece {
                        walked[*index] += 1;
                    }
                }
            }
            for (arc, walked) in outlines.arcs.iter().zip(walked) {
                prop_assert_eq!(walked, usize::from((arc.lighter == zone) != (arc.darker == zone)));
            }
        }
    }
}
