//! The edges of regions as curves, checked by other means than those that keep them apart: exact whole-number predicates on a fine
//! flattening, every pair whose boxes meet.
//!
//! The sign of the area of a triangle tells on which side of a line a point is (closed form); two segments cross when each separates
//! the ends of the other. Coordinates are rounded to 2⁻²⁰ mm, so areas are exact in 128 bits.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use kurbo::PathEl;
use proptest::prelude::*;
use stepbite_core::outline::{Curves, Outlines, SharedArc};
use stepbite_core::plane::Plane;
use stepbite_core::units::PxPerMm;
use stepbite_tests::plate;

type Whole = (i64, i64);

struct Segment {
    a: Whole,
    b: Whole,
    arc: usize,
    place: usize,
    /// Segments of its arc.
    of: usize,
    closed: bool,
}

/// Control points to many segments: sixteen a cubic, by de Casteljau's halving, which the core does not use.
fn flattened(curves: &Curves) -> Vec<Segment> {
    let mut all = Vec::new();
    for (arc, curve) in curves.list.iter().enumerate() {
        let mut points: Vec<[f64; 2]> = Vec::new();
        let mut first = [0.0; 2];
        for element in curve.path.elements() {
            let xy = |p: &kurbo::Point| [p.x, p.y];
            match element {
                PathEl::MoveTo(p) => {
                    first = xy(p);
                    points.push(first);
                }
                PathEl::LineTo(p) => points.push(xy(p)),
                PathEl::CurveTo(p, q, r) => halved([*points.last().unwrap(), xy(p), xy(q), xy(r)], 4, &mut points),
                PathEl::ClosePath => points.push(first),
                PathEl::QuadTo(..) => panic!("lines and cubics only"),
            }
        }
        let whole = |v: f64| (v * f64::from(1 << 20)).round() as i64;
        let mut points: Vec<Whole> = points.iter().map(|p| (whole(p[0]), whole(p[1]))).collect();
        points.dedup();
        let of = points.len() - 1;
        let segment = |(place, pair): (usize, &[Whole])| Segment { a: pair[0], b: pair[1], arc, place, of, closed: curve.closed };
        all.extend(points.windows(2).enumerate().map(segment));
    }
    all
}

fn halved(p: [[f64; 2]; 4], depth: usize, out: &mut Vec<[f64; 2]>) {
    if depth == 0 {
        out.push(p[3]);
        return;
    }
    let middle = |a: [f64; 2], b: [f64; 2]| [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
    let (a, b, c) = (middle(p[0], p[1]), middle(p[1], p[2]), middle(p[2], p[3]));
    let (d, e) = (middle(a, b), middle(b, c));
    let f = middle(d, e);
    halved([p[0], a, d, f], depth - 1, out);
    halved([f, e, c, p[3]], depth - 1, out);
}

fn side(a: Whole, b: Whole, p: Whole) -> i128 {
    let wide = |v: i64| i128::from(v);
    ((wide(b.0) - wide(a.0)) * (wide(p.1) - wide(a.1)) - (wide(b.1) - wide(a.1)) * (wide(p.0) - wide(a.0))).signum()
}

fn on(a: Whole, b: Whole, p: Whole) -> bool {
    side(a, b, p) == 0 && (a.0.min(b.0)..=a.0.max(b.0)).contains(&p.0) && (a.1.min(b.1)..=a.1.max(b.1)).contains(&p.1)
}

/// Whether two segments share a point, but for one where both end.
fn meet(s: &Segment, t: &Segment) -> bool {
    let touches = [(s.a, t), (s.b, t), (t.a, s), (t.b, s)];
    let crosses = side(s.a, s.b, t.a) * side(s.a, s.b, t.b) < 0 && side(t.a, t.b, s.a) * side(t.a, t.b, s.b) < 0;
    crosses || touches.iter().any(|(p, other)| *p != other.a && *p != other.b && on(other.a, other.b, *p))
}

/// Pairs that cross, or touch otherwise than in a junction.
fn crossings(curves: &Curves) -> usize {
    let mut all = flattened(curves);
    all.sort_by_key(|s| s.a.0.min(s.b.0));
    let mut found = 0;
    for (i, s) in all.iter().enumerate() {
        let right = s.a.0.max(s.b.0);
        for t in all[i + 1..].iter().take_while(|t| t.a.0.min(t.b.0) <= right) {
            if s.a.1.max(s.b.1) < t.a.1.min(t.b.1) || t.a.1.max(t.b.1) < s.a.1.min(s.b.1) {
                continue;
            }
            // A common end is right between neighbours along one curve, and where both curves end.
            let next = s.arc == t.arc && (s.place.abs_diff(t.place) == 1 || (s.closed && s.place.abs_diff(t.place) + 1 == s.of));
            let ends = |s: &Segment, p: Whole| (s.place == 0 && p == s.a) || (s.place + 1 == s.of && p == s.b);
            let shared = [s.a, s.b].into_iter().find(|p| *p == t.a || *p == t.b);
            let stray = shared.is_some_and(|p| !(next || ends(s, p) && ends(t, p)));
            found += usize::from(stray || meet(s, t));
        }
    }
    found
}

#[test]
fn the_check_itself_finds_a_crossing() {
    let segment = |a, b| Segment { a, b, arc: 0, place: 0, of: 9, closed: false };
    assert!(meet(&segment((0, 0), (4, 4)), &segment((0, 4), (4, 0))));
    assert!(meet(&segment((0, 0), (4, 4)), &segment((2, 2), (4, 0))));
    assert!(!meet(&segment((0, 0), (4, 4)), &segment((4, 4), (8, 0))));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn curves_of_random_maps_never_cross(cells in prop::collection::vec(0u8..5, 144), size in 1usize..7, slant in 0usize..3, px_per_mm in 2.0..20.0_f64) {
        // Slanted cells: noise where a cell is a pixel, thin wedges and checkerboards where it is larger.
        let map = Plane::from_fn(12 * size, 12 * size, |x, y| cells[(x + y * slant / 3) / size % 12 + (y + x * slant / 5) / size % 12 * 12]);
        prop_assert_eq!(crossings(&Curves::of(&map, PxPerMm(px_per_mm))), 0);
    }

    #[test]
    fn curves_of_thin_strokes_never_cross(strokes in prop::collection::vec((0.0..120.0_f64, 0.0..120.0_f64, 0.0..3.2_f64, 0.5..3.0_f64), 1..9)) {
        let map = Plane::from_fn(120, 120, |x, y| {
            let hit = |(u, v, turn, half): &(f64, f64, f64, f64)| ((x as f64 - u) * turn.sin() - (y as f64 - v) * turn.cos()).abs() < *half;
            strokes.iter().filter(|stroke| hit(stroke)).count().min(4) as u8
        });
        prop_assert_eq!(crossings(&Curves::of(&map, PxPerMm(10.0))), 0);
    }
}

#[test]
fn curves_of_a_drawing_never_cross_and_have_the_length_that_is_planned() {
    let (_, map, resolution) = plate::drawn("breakwater.png", (160.0, 120.0));
    let curves = Curves::of(map.plane(), resolution);
    assert_eq!(crossings(&curves), 0);
    let planned: f64 = Outlines::of(map.plane(), resolution).arcs.iter().map(SharedArc::length_mm).sum();
    assert!((curves.length_mm() / planned - 1.0).abs() < 0.01, "{} mm drawn, {planned} mm planned", curves.length_mm());
    assert!(curves.kept_to_pixels < 0.01, "{}", curves.kept_to_pixels);
}
