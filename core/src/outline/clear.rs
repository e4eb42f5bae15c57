//! Finds where curves come too near to one another or to themselves.

use super::fit::Piece;
use super::ground::length;
use kurbo::{Point, Vec2};

/// A curve is looked at as straight chords that keep this near to it, pixels.
const FLAT: f64 = 0.02;
/// Chords keep this far apart, pixels: more than twice [`FLAT`], and less than the half pixel by which the cracks themselves do.
const APART: f64 = 0.1;
/// Longest chord, about, pixels.
const LONGEST: f64 = 16.0;
/// Side of a cell of the search, pixels.
const CELL: f64 = 4.0;

/// One chord.
struct Chord {
    a: Point,
    b: Point,
    arc: u32,
    piece: u32,
    /// Its place among the chords of its arc, and how far along its arc it begins.
    place: u32,
    along: f64,
    /// The part of its piece that it stands for.
    span: (f64, f64),
}

/// The length of an arc's chords, and how many they are.
#[derive(Clone, Copy, Default)]
struct Whole {
    long: f64,
    chords: u32,
    ring: bool,
}

/// A place that must keep nearer to its cracks: an arc, a piece of it, and the part of the piece.
pub(super) struct TooNear {
    pub(super) arc: usize,
    pub(super) piece: usize,
    pub(super) span: (f64, f64),
}

/// All places of curves, given as their pieces and whether they are closed, that come too near to another. Only what touches a curve
/// marked in `fresh` is looked at.
pub(super) fn too_near(curves: &[(Vec<Piece>, bool)], fresh: &[bool]) -> Vec<TooNear> {
    let mut chords = Vec::new();
    let mut wholes = Vec::with_capacity(curves.len());
    for (arc, (pieces, ring)) in curves.iter().enumerate() {
        wholes.push(flattened(arc, pieces, *ring, &mut chords));
    }
    let mut bad = Vec::new();
    let mut note = |chord: &Chord| bad.push((chord.arc, chord.piece, chord.span));
    let mut fold: Option<&Chord> = None;
    for chord in &chords {
        // A curve that turns back on itself from chord to chord; the sharpest corner of a raster is a right angle.
        let before = fold.filter(|before| before.arc == chord.arc && fresh[chord.arc as usize]);
        if before.is_some_and(|before| folds(before, chord)) {
            before.into_iter().for_each(&mut note);
            note(chord);
        }
        fold = Some(chord);
    }
    let mut cells = Vec::with_capacity(chords.len() * 2);
    for (i, chord) in chords.iter().enumerate() {
        enter(i as u32, chord, &mut cells);
    }
    cells.sort_unstable();
    for cell in cells.chunk_by(|a, b| a.0 == b.0) {
        for (k, &(_, i)) in cell.iter().enumerate() {
            for &(_, j) in &cell[k + 1..] {
                let (a, b) = (&chords[i as usize], &chords[j as usize]);
                if (fresh[a.arc as usize] || fresh[b.arc as usize]) && i != j && meet(a, b, &wholes) {
                    note(a);
                    note(b);
                }
            }
        }
    }
    let near = |&(arc, piece, span): &(u32, u32, (f64, f64))| TooNear { arc: arc as usize, piece: piece as usize, span };
    bad.iter().map(near).collect()
}

fn flattened(arc: usize, pieces: &[Piece], ring: bool, chords: &mut Vec<Chord>) -> Whole {
    let (mut place, mut along) = (0, 0.0);
    for (piece, each) in pieces.iter().enumerate() {
        let count = if each.line { 1 } else { parts(&each.points) };
        let mut a = each.points[0];
        for part in 0..count {
            let span = (part as f64 / count as f64, (part + 1) as f64 / count as f64);
            let b = if part + 1 == count { each.points[3] } else { each.at(span.1) };
            chords.push(Chord { a, b, arc: arc as u32, piece: piece as u32, place, along, span });
            place += 1;
            along += length(b.x - a.x, b.y - a.y);
            a = b;
        }
    }
    Whole { long: along, chords: place, ring }
}

/// Chords that keep within [`FLAT`] of a cubic: the error of n chords is at most 3/4 of its largest second difference over n².
pub(super) fn parts(p: &[Point; 4]) -> usize {
    let bend = |a: Point, b: Point, c: Point| Vec2::new(a.x - 2.0 * b.x + c.x, a.y - 2.0 * b.y + c.y).hypot2();
    let most = libm::sqrt(bend(p[0], p[1], p[2]).max(bend(p[1], p[2], p[3])));
    let flat = libm::ceil(libm::sqrt(0.75 * most / FLAT)) as usize;
    // Short enough to tell the place of a clash.
    let long = libm::ceil(libm::sqrt((p[3] - p[0]).hypot2()) / LONGEST) as usize;
    flat.max(long).clamp(1, 100_000)
}

/// Enters a chord in the cells that it may come near to.
fn enter(i: u32, chord: &Chord, cells: &mut Vec<(u64, u32)>) {
    let long = (chord.b - chord.a).hypot2();
    let parts = (libm::ceil(libm::sqrt(long) / CELL) as usize).max(1);
    let before = cells.len();
    for part in 0..parts {
        let on = |part: usize| chord.a.lerp(chord.b, part as f64 / parts as f64);
        let (a, b) = (on(part), on(part + 1));
        let cell = |v: f64| libm::floor(v / CELL + 2.0) as u64;
        for y in cell(a.y.min(b.y) - APART)..=cell(a.y.max(b.y) + APART) {
            for x in cell(a.x.min(b.x) - APART)..=cell(a.x.max(b.x) + APART) {
                let entry = (y << 32 | x, i);
                if !cells[before..].contains(&entry) {
                    cells.push(entry);
                }
            }
        }
    }
}

fn folds(before: &Chord, after: &Chord) -> bool {
    let (a, b) = (before.b - before.a, after.b - after.a);
    let dot = a.dot(b);
    dot < 0.0 && 4.0 * dot * dot > a.hypot2() * b.hypot2()
}

fn meet(a: &Chord, b: &Chord, wholes: &[Whole]) -> bool {
    let mut apart = APART;
    // Both are the first half of a crack from one junction.
    if a.arc != b.arc || !wholes[a.arc as usize].ring {
        let ends = [a.a, a.b].into_iter().any(|end| end == b.a || end == b.b);
        if ends && (a.arc != b.arc || a.place.abs_diff(b.place) > 1) {
            return (a.b - a.a).cross(b.b - b.a) == 0.0 && shared_way(a, b);
        }
    }
    if a.arc == b.arc {
        let whole = wholes[a.arc as usize];
        let (a, b) = if a.place < b.place { (a, b) } else { (b, a) };
        let next = b.place == a.place + 1 || whole.ring && a.place == 0 && b.place + 1 == whole.chords;
        if next {
            return false;
        }
        let end = |chord: &Chord| chord.along + length(chord.b.x - chord.a.x, chord.b.y - chord.a.y);
        let mut gap = b.along - end(a);
        if whole.ring {
            gap = gap.min(whole.long - end(b) + a.along);
        }
        // Along one curve a short way round may be a short way across, but not a loop.
        apart = apart.min(0.4 * gap);
    }
    nearer(a, b, apart)
}

/// Whether two chords in one line that share an end leave it to the same side.
fn shared_way(a: &Chord, b: &Chord) -> bool {
    let (end, other_a) = if a.a == b.a || a.a == b.b { (a.a, a.b) } else { (a.b, a.a) };
    let other_b = if b.a == end { b.b } else { b.a };
    (other_a - end).dot(other_b - end) > 0.0
}

/// Whether two chords cross or come nearer than this.
fn nearer(a: &Chord, b: &Chord, apart: f64) -> bool {
    let overlap = |p: (f64, f64), q: (f64, f64)| p.0.min(p.1) - apart <= q.0.max(q.1) && q.0.min(q.1) - apart <= p.0.max(p.1);
    if !overlap((a.a.x, a.b.x), (b.a.x, b.b.x)) || !overlap((a.a.y, a.b.y), (b.a.y, b.b.y)) {
        return false;
    }
    let side = |from: Point, to: Point, p: Point| (to - from).cross(p - from);
    let (s, t) = (side(a.a, a.b, b.a), side(a.a, a.b, b.b));
    let (u, v) = (side(b.a, b.b, a.a), side(b.a, b.b, a.b));
    if s * t <= 0.0 && u * v <= 0.0 && (s != t || u != v) {
        return true;
    }
    let square = apart * apart;
    [(a.a, b), (a.b, b), (b.a, a), (b.b, a)].iter().any(|(p, chord)| distance2(*p, chord) <= square)
}

/// The square of the distance from a point to a chord.
fn distance2(p: Point, chord: &Chord) -> f64 {
    let along = chord.b - chord.a;
    let long = along.hypot2();
    let t = if long > 0.0 { ((p - chord.a).dot(along) / long).clamp(0.0, 1.0) } else { 0.0 };
    (p - (chord.a + along * t)).hypot2()
}

#[cfg(test)]
mod tests {
    use super::super::Curves;
    use super::super::fit;
    use super::super::ground::Ground;
    use super::super::trace::walks;
    use super::*;
    use crate::plane::Plane;
    use crate::units::PxPerMm;
    use kurbo::ParamCurve;

    /// A point in whole 2⁻²⁰ pixels or millimetres, so that areas are exact in 128 bits.
    type Whole = (i128, i128);

    fn whole(p: Point) -> Whole {
        let of = |v: f64| i128::from((v * f64::from(1 << 20)).round() as i64);
        (of(p.x), of(p.y))
    }

    /// On which side of a line a point is: the sign of the area of a triangle (closed form).
    fn side(a: Whole, b: Whole, p: Whole) -> i128 {
        ((b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0)).signum()
    }

    /// Pairs of chords of which each separates the ends of the other. Junctions and neighbours only touch, which is no crossing.
    fn crossings(lines: &[Vec<Whole>]) -> usize {
        let mut chords: Vec<[Whole; 2]> = lines.iter().flat_map(|line| line.windows(2).map(|pair| [pair[0], pair[1]])).collect();
        chords.sort_by_key(|[a, b]| a.0.min(b.0));
        let mut found = 0;
        for (i, [a, b]) in chords.iter().enumerate() {
            for [c, d] in chords[i + 1..].iter().take_while(|[c, d]| c.0.min(d.0) <= a.0.max(b.0)) {
                // Where their boxes lie apart they can't.
                if c.1.min(d.1) > a.1.max(b.1) || a.1.min(b.1) > c.1.max(d.1) {
                    continue;
                }
                let crosses = side(*a, *b, *c) * side(*a, *b, *d) < 0 && side(*c, *d, *a) * side(*c, *d, *b) < 0;
                found += usize::from(crosses);
            }
        }
        found
    }

    /// The first fit of each line of cracks, with no regard to the others: sixteen chords a piece.
    fn first_fit(map: &Plane<u8>, resolution: PxPerMm) -> Vec<(Vec<Piece>, bool)> {
        let mut curves = Vec::new();
        walks(map, |walk| {
            let ground = Ground::of(walk, resolution);
            curves.push((fit::pieces(&ground), ground.closed));
        });
        curves
    }

    fn chords_of(curves: &[(Vec<Piece>, bool)]) -> Vec<Vec<Whole>> {
        let along = |pieces: &Vec<Piece>| pieces.iter().flat_map(|piece| (0..=16).map(|i| whole(piece.at(f64::from(i) / 16.0)))).collect();
        curves.iter().map(|(pieces, _)| along(pieces)).collect()
    }

    fn drawn(map: &Plane<u8>, resolution: PxPerMm) -> Vec<Vec<Whole>> {
        let curves = Curves::of(map, resolution);
        let along =
            |path: &kurbo::BezPath| path.segments().flat_map(|s| (0..=16).map(move |i| whole(s.eval(f64::from(i) / 16.0)))).collect();
        curves.list.iter().map(|curve| along(&curve.path)).collect()
    }

    /// Strokes about a pixel broad, side by side, as hatching in a drawing is: their edges are a pixel apart, and each may stray by 0.65.
    fn strokes(turn: f64, apart: f64, broad: f64) -> Plane<u8> {
        let (sin, cos) = turn.sin_cos();
        Plane::from_fn(120, 120, |x, y| {
            let off = (x as f64 - 60.0) * sin - (y as f64 - 60.0) * cos + 3.0 * ((x as f64) / 9.0).sin();
            u8::from(off.rem_euclid(apart) < broad)
        })
    }

    /// Blots of four tones, a few pixels across: many short arcs from junction to junction.
    fn blots(seed: usize, coarse: usize) -> Plane<u8> {
        let cell = |x: usize, y: usize| {
            let mut h = ((x * 0x9E37_79B1) ^ (y * 0x85EB_CA77) ^ (seed * 0xC2B2_AE3D)) as u32;
            h = (h ^ (h >> 15)).wrapping_mul(0x2C1B_3C6D);
            ((h ^ (h >> 13)) % 4) as u8
        };
        Plane::from_fn(60, 60, |x, y| cell((x + y / 3) / coarse, (y + x / 4) / coarse))
    }

    /// Maps on which the first fit alone crosses, found by search among 80 000 spirals, wedges, saw-teeth and corridors about a pixel
    /// wide, and cut down to where the crossing stays: an arm between arms, two teeth beside a slope, a bow a pixel deep along a straight edge.
    const CROSSED: [(f64, &[&str]); 3] = [
        (6.0, &["BBBBBBBB", "BBAAAAAB", "BBAABAAA", "BBBABBAA", "ABBBBAAA", "AAAAAAAA"]),
        (4.0, &["AAAAAAAAA", "AAAAAAADA", "AAAAAAADA", "AAAAAAADA", "AAAAAADDD", "ADDADDDDD", "ADDADDDDD", "ADDDDDDDD", "ADDDDDDDD"]),
        (
            4.0,
            &[
                "AABB", "AABB", "AABB", "AABB", "AABB", "BABB", "BABB", "BABB", "BABB", "BABB", "BABB", "BABB", "BABB", "BABB", "BABB",
                "BABB", "BABB", "BABB", "BABB", "BABB", "BABB", "AABB", "AABB", "AABB", "AAAB",
            ],
        ),
    ];

    #[test]
    fn where_the_first_fit_crosses_the_drawn_curves_do_not() {
        for (px_per_mm, rows) in CROSSED {
            let map = Plane::from_fn(rows[0].len(), rows.len(), |x, y| rows[y].as_bytes()[x] - b'A');
            let resolution = PxPerMm(px_per_mm);
            let first = first_fit(&map, resolution);
            assert!(crossings(&chords_of(&first)) > 0, "the first fit of {rows:?} crosses");
            assert!(!too_near(&first, &vec![true; first.len()]).is_empty());
            assert_eq!(crossings(&drawn(&map, resolution)), 0, "{rows:?}");
        }
    }

    #[test]
    fn what_the_first_fit_leaves_too_near_is_drawn_apart() {
        let resolution = PxPerMm(10.0);
        let hatched = (0..8).flat_map(|turn| [2.0, 2.6, 3.0, 4.0].map(|apart| strokes(0.1 + f64::from(turn) * 0.37, apart, 1.2)));
        let blotted = (0..8).flat_map(|seed| [1, 2, 3].map(|coarse| blots(seed, coarse)));
        let mut near = 0;
        for map in hatched.chain(blotted) {
            let first = first_fit(&map, resolution);
            near += usize::from(!too_near(&first, &vec![true; first.len()]).is_empty());
            assert_eq!(crossings(&drawn(&map, resolution)), 0);
        }
        // None of these crosses by itself, and on one of them curves come nearer than a tenth of a pixel.
        assert!(near > 0, "with nothing to resolve this test would say nothing");
    }

    #[test]
    fn the_exact_predicate_knows_a_crossing() {
        let line = |points: &[(f64, f64)]| points.iter().map(|&(x, y)| whole(Point::new(x, y))).collect::<Vec<Whole>>();
        let (rising, falling) = (line(&[(0.0, 0.0), (1.0, 1.0)]), line(&[(0.0, 1.0), (1.0, 0.0)]));
        assert_eq!(crossings(&[rising.clone(), falling]), 1);
        // Ends that meet are no crossing.
        assert_eq!(crossings(&[rising, line(&[(1.0, 1.0), (2.0, 0.0)])]), 0);
    }
}
