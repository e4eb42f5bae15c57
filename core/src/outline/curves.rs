//! The edges between regions as smooth curves that never cross: what is drawn on the sheets.
//!
//! **How they are made.** A line of cracks between two junctions is fitted by cubic Béziers that pass within 0.65 pixels of the middle of
//! every crack, and within 0.14 mm of every crack and pixel corner. A line of any slope keeps within half a pixel of the middles of its
//! cracks, so at 10 pixels a millimetre (0.065 mm) stairs vanish; at 3 and less, 0.14 mm is less than half a pixel, and a curve
//! that may not leave its cracks further shows where the pixels are.
//!
//! **Junctions and the border.** Every arc begins and ends with the exact half of its first and last crack. So arcs meet where the
//! map's regions do, and meet the face's border at a right angle, straight.
//!
//! **Corners** are kept: where the cracks turn by more than 50° between two straight arms of a millimetre (4 pixels at least), the curve
//! passes through that corner of a pixel and is broken there. Arms shorter than that are rounded, within the 0.14 mm.
//!
//! **Why none cross.** There is a curve of each arc that can't: the cracks themselves, each turn rounded within the triangle of the turn's
//! corner and the middles of its two cracks. Different cracks share no points but pixel corners. A corner where two cracks meet belongs
//! to one arc; where more meet, it is a junction, and all arcs end there, a checkerboard's too. So these safe curves touch at junctions
//! only, and else keep half a pixel apart. The fitted curves are tested as chords, each within 0.02 pixels of its curve: any two must
//! keep 0.1 pixels apart, but for neighbours along one curve, where the way across must be 0.4 of the way along, and two that follow one
//! another must not turn back by more than 120°. Each cubic goes forward along its own chord. Where two come too near, both are fitted
//! again there with 0.3 pixels of room; where they still do, they become the safe curve there. Each round makes some crack safer, so the
//! rounds end; a round that finds nothing leaves nothing that crosses. The first fit alone seldom does: on 15 of 80 000 made-up spirals,
//! wedges, saw-teeth and corridors about a pixel wide, and it came too near on 325 of them.
//!
//! **Nothing is lost.** Closed arcs of up to eight cracks are the safe curve at once: one pixel becomes a rounded square of 0.9 of its
//! area. Longer ones keep their inside, since they can't cross themselves and keep near to every crack.
//!
//! Only + − × ÷ and square roots are used, so the curves are equal on every machine.

use super::clear::{self, TooNear};
use super::fit::{self, Piece};
use super::ground::{Ground, SAFE};
use super::trace::walks;
use crate::plane::Plane;
use crate::units::PxPerMm;
use kurbo::{BezPath, Point};
use std::collections::BTreeMap;
use std::sync::Arc;

/// How many middles each way keep nearer to their cracks where curves came too near.
const AROUND: usize = 3;

/// One edge between two tones as a curve.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedCurve {
    /// The lighter of the two tones.
    pub lighter: u8,
    /// The darker tone.
    pub darker: u8,
    /// Whether it ends where it begins; its path is then closed.
    pub closed: bool,
    /// The curve: mm on the face, print view, x right, y down. Lines and cubics only.
    pub path: BezPath,
    /// Its length, mm.
    pub length_mm: f64,
}

/// All edges between two tones as one path.
#[derive(Clone, Debug, PartialEq)]
pub struct PairCurve {
    /// The lighter of the two tones.
    pub lighter: u8,
    /// The darker tone.
    pub darker: u8,
    /// Their curves, one subpath each, in mm as in [`SharedCurve`]. Shared, so that a file of many pages can tell it is the same.
    pub path: Arc<BezPath>,
}

/// All edges of a step map as curves, in the order of [`super::Outlines`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curves {
    /// The curves.
    pub list: Vec<SharedCurve>,
    /// The same curves, those of each two tones together: the lightest pair first.
    pub pairs: Vec<PairCurve>,
    /// The share of the cracks along which curves had to keep to the pixels to stay apart, 0 to 1.
    pub kept_to_pixels: f64,
}

impl Curves {
    /// Draws the edges of a step map, or of [`crate::aside::Zones`]. The face's own border is no edge.
    #[must_use]
    pub fn of(map: &Plane<u8>, resolution: PxPerMm) -> Self {
        let mut grounds = Vec::new();
        walks(map, |walk| grounds.push(Ground::of(walk, resolution)));
        let drawn = |ground: &Ground| (fit::pieces(ground), ground.closed);
        let mut curves: Vec<(Vec<Piece>, bool)> = grounds.iter().map(drawn).collect();
        let mut fresh = vec![true; curves.len()];
        loop {
            let near = clear::too_near(&curves, &fresh);
            let mut tighter: Vec<(usize, usize)> = Vec::new();
            for TooNear { arc, piece, span } in near {
                let piece = &curves[arc].0[piece];
                if !piece.safe {
                    tighter.extend(around(piece, span, &grounds[arc]).map(|i| (arc, i)));
                }
            }
            tighter.sort_unstable();
            tighter.dedup();
            fresh.fill(false);
            for &(arc, i) in &tighter {
                let level = &mut grounds[arc].level[i];
                *level = (*level + 1).min(SAFE);
                fresh[arc] = true;
            }
            if tighter.is_empty() {
                break;
            }
            for (arc, _) in fresh.iter().enumerate().filter(|(_, fresh)| **fresh) {
                curves[arc] = drawn(&grounds[arc]);
            }
        }
        let cracks: usize = grounds.iter().map(|ground| ground.level.len()).sum();
        let safe: usize = grounds.iter().map(|ground| ground.level.iter().filter(|&&level| level >= SAFE).count()).sum();
        let list: Vec<SharedCurve> = grounds.iter().zip(&curves).map(|(ground, (pieces, _))| shared(ground, pieces, resolution)).collect();
        Self { pairs: pairs(&list), list, kept_to_pixels: safe as f64 / cracks.max(1) as f64 }
    }

    /// Length of all curves, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.list.iter().map(|curve| curve.length_mm).sum()
    }
}

/// Those of each two tones together.
fn pairs(list: &[SharedCurve]) -> Vec<PairCurve> {
    let mut paths: BTreeMap<(u8, u8), BezPath> = BTreeMap::new();
    for curve in list {
        paths.entry((curve.lighter, curve.darker)).or_default().extend(curve.path.iter());
    }
    paths.into_iter().map(|((lighter, darker), path)| PairCurve { lighter, darker, path: Arc::new(path) }).collect()
}

/// The middles of the part of a piece that came too near, and a few each way.
fn around(piece: &Piece, span: (f64, f64), ground: &Ground) -> impl Iterator<Item = usize> {
    let (count, steps) = (ground.middles.len(), (piece.to - piece.from) as f64);
    let from = piece.from + libm::floor(span.0 * steps) as usize;
    let to = piece.from + libm::ceil(span.1 * steps) as usize;
    let ring = ground.is_ring();
    (from..=to + 2 * AROUND).filter_map(move |i| match i.checked_sub(AROUND) {
        Some(i) if ring => Some(i % count),
        Some(i) => (i < count).then_some(i),
        None => ring.then(|| (i + count).saturating_sub(AROUND) % count),
    })
}

/// Pixels to millimetres; straight lines in one direction are joined.
fn shared(ground: &Ground, pieces: &[Piece], resolution: PxPerMm) -> SharedCurve {
    let mm = |p: Point| Point::new(resolution.mm(p.x).0, resolution.mm(p.y).0);
    let mut path = BezPath::new();
    let mut length = 0.0;
    if let Some(first) = pieces.first() {
        path.move_to(mm(first.points[0]));
    }
    let mut start = pieces.first().map_or(Point::ZERO, |piece| piece.points[0]);
    for (i, piece) in pieces.iter().enumerate() {
        let [a, b, c, d] = piece.points;
        if !piece.line {
            path.curve_to(mm(b), mm(c), mm(d));
            length += long(piece);
            start = d;
            continue;
        }
        length += super::ground::length(d.x - a.x, d.y - a.y);
        let goes_on = pieces.get(i + 1).is_some_and(|next| next.line && (d - start).cross(next.points[3] - d) == 0.0);
        if !goes_on {
            path.line_to(mm(d));
            start = d;
        }
    }
    if ground.closed {
        path.close_path();
    }
    let Ground { lighter, darker, closed, .. } = *ground;
    SharedCurve { lighter, darker, closed, path, length_mm: resolution.mm(length).0 }
}

/// The length of a piece, pixels, in chords that keep within a hundredth of a pixel of it or nearer.
fn long(piece: &Piece) -> f64 {
    let parts = 2 * clear::parts(&piece.points);
    let mut before = piece.points[0];
    let mut length = 0.0;
    for part in 1..=parts {
        let here = piece.at(part as f64 / parts as f64);
        length += super::ground::length(here.x - before.x, here.y - before.y);
        before = here;
    }
    length
}

#[cfg(test)]
mod tests {
    use super::super::{Outlines, SharedArc};
    use super::*;
    use approx::assert_relative_eq;
    use kurbo::{ParamCurveNearest, Shape};
    use proptest::prelude::*;

    const TEN: PxPerMm = PxPerMm(10.0);

    fn disc(radius: f64, px_per_mm: f64) -> Plane<u8> {
        let side = (radius * 2.2 * px_per_mm) as usize;
        let middle = side as f64 / 2.0;
        Plane::from_fn(side, side, |x, y| u8::from(libm::hypot(x as f64 + 0.5 - middle, y as f64 + 0.5 - middle) <= radius * px_per_mm))
    }

    /// The largest distance from points of the cracks to the curves, and back.
    fn hausdorff(map: &Plane<u8>, curves: &Curves, resolution: PxPerMm) -> (f64, f64) {
        let mut cracks = Vec::new();
        walks(map, |walk| {
            cracks.push(walk.corners.into_iter().map(|(x, y)| Point::new(x / resolution.0, y / resolution.0)).collect::<Vec<Point>>());
        });
        let (mut there, mut back) = (0.0_f64, 0.0_f64);
        for (corners, curve) in cracks.iter().zip(&curves.list) {
            let segments: Vec<_> = curve.path.segments().collect();
            for pair in corners.windows(2) {
                for p in [pair[0], pair[0].midpoint(pair[1])] {
                    let nearest = segments.iter().map(|s| s.nearest(p, 1e-6).distance_sq).fold(f64::MAX, f64::min);
                    there = there.max(nearest.sqrt());
                }
            }
            for segment in &segments {
                use kurbo::ParamCurve;
                for i in 0..=16 {
                    let p = segment.eval(f64::from(i) / 16.0);
                    let to = |pair: &[Point]| kurbo::Line::new(pair[0], pair[1]).nearest(p, 1e-6).distance_sq;
                    back = back.max(corners.windows(2).map(to).fold(f64::MAX, f64::min).sqrt());
                }
            }
        }
        (there, back)
    }

    #[test]
    fn a_disc_is_a_circle_of_few_cubics() {
        // Closed forms 2πr and πr²; the raster is the disc's pixel centres at 10 px/mm.
        for radius in [1.0, 3.0, 8.0, 20.0] {
            let curves = Curves::of(&disc(radius, 10.0), TEN);
            assert_eq!(curves.list.len(), 1);
            let curve = &curves.list[0];
            assert!(curve.closed);
            assert_relative_eq!(curve.length_mm, 2.0 * std::f64::consts::PI * radius, max_relative = 0.01);
            assert_relative_eq!(curve.path.area().abs(), std::f64::consts::PI * radius * radius, max_relative = 0.02);
            assert!(curve.path.segments().count() < 40, "{}", curve.path.segments().count());
            assert!(curves.kept_to_pixels < 1e-12);
        }
    }

    #[test]
    fn a_slope_has_no_stairs() {
        // A straight edge rising 1 in 17: its curve is straight to within a tenth of a pixel's stair in direction.
        let map = Plane::from_fn(600, 80, |x, y| u8::from((y as f64 + 0.5) * 17.0 > x as f64 + 0.5 + 300.0));
        let curves = Curves::of(&map, TEN);
        let curve = &curves.list[0];
        assert_relative_eq!(curve.length_mm, libm::hypot(60.0, 60.0 / 17.0), max_relative = 0.003);
        assert!(curve.path.segments().count() < 12, "{}", curve.path.segments().count());
    }

    #[test]
    fn right_angles_stay_in_place() {
        for turn in [0.0_f64, 0.3, 0.7] {
            let (sin, cos) = turn.sin_cos();
            let inside = |x: usize, y: usize| {
                let (dx, dy) = (x as f64 + 0.5 - 60.0, y as f64 + 0.5 - 60.0);
                (dx * cos + dy * sin).abs() <= 30.0 && (dy * cos - dx * sin).abs() <= 20.0
            };
            let curves = Curves::of(&Plane::from_fn(120, 120, |x, y| u8::from(inside(x, y))), TEN);
            let path = &curves.list[0].path;
            for (u, v) in [(30.0, 20.0), (30.0, -20.0), (-30.0, -20.0), (-30.0, 20.0)] {
                let corner = Point::new(6.0 + (u * cos - v * sin) / 10.0, 6.0 + (u * sin + v * cos) / 10.0);
                let near = path.segments().map(|s| s.nearest(corner, 1e-6).distance_sq).fold(f64::MAX, f64::min).sqrt();
                // The raster itself cuts a turned corner by up to 0.07 mm.
                assert!(near <= 0.15, "turned by {turn}: {near}");
            }
        }
    }

    #[test]
    fn a_pixel_and_a_checkerboard_are_kept() {
        let speck = Curves::of(&Plane::from_fn(5, 5, |x, y| u8::from(x == 2 && y == 2)), PxPerMm(1.0));
        assert_eq!(speck.list.len(), 1);
        let path = &speck.list[0].path;
        assert!(path.winding(Point::new(2.5, 2.5)) != 0 && (0.85..1.0).contains(&path.area().abs()));
        let board = Plane::from_fn(6, 6, |x, y| ((x + y) % 2) as u8);
        let curves = Curves::of(&board, PxPerMm(1.0));
        // All cracks of the board: 5 lines of 6 both ways.
        assert_relative_eq!(curves.length_mm(), 60.0, max_relative = 1e-12);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn curves_keep_near_to_their_cracks(seed in any::<u64>(), coarse in 1usize..9, px_per_mm in prop::sample::select(vec![2.0, 3.0, 5.0, 10.0, 20.0])) {
            let map = blots(60, 50, seed, coarse);
            let resolution = PxPerMm(px_per_mm);
            let curves = Curves::of(&map, resolution);
            let outlines = Outlines::of(&map, resolution);
            prop_assert_eq!(curves.list.len(), outlines.arcs.len());
            for (curve, arc) in curves.list.iter().zip(&outlines.arcs) {
                prop_assert_eq!((curve.lighter, curve.darker, curve.closed), (arc.lighter, arc.darker, arc.closed));
            }
            let (there, back) = hausdorff(&map, &curves, resolution);
            prop_assert!(there <= 0.15 && back <= 0.15, "{there} and {back} mm");
        }
    }

    #[test]
    fn a_curve_does_not_swing_out_between_two_cracks() {
        // Here one that was looked at by its middles and turns alone lay 0.165 mm off, found by chance.
        let map = blots(60, 50, 18_261_068_562_275_013_196, 5);
        let (there, back) = hausdorff(&map, &Curves::of(&map, PxPerMm(2.0)), PxPerMm(2.0));
        assert!(there <= 0.15 && back <= 0.15, "{there} and {back} mm");
    }

    /// Random blots of up to five tones, `coarse` pixels or so across.
    fn blots(width: usize, height: usize, seed: u64, coarse: usize) -> Plane<u8> {
        let at = |x: usize, y: usize| {
            let mut h = (x as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (y as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F) ^ seed;
            h = (h ^ (h >> 31)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            (h ^ (h >> 29)) as f64 / u64::MAX as f64
        };
        Plane::from_fn(width, height, |x, y| {
            let (u, v) = (x as f64 / coarse as f64, y as f64 / coarse as f64);
            let (i, j, s, t) = (u as usize, v as usize, u.fract(), v.fract());
            let value = (at(i, j) * (1.0 - s) + at(i + 1, j) * s) * (1.0 - t) + (at(i, j + 1) * (1.0 - s) + at(i + 1, j + 1) * s) * t;
            (value * 5.0) as u8
        })
    }

    #[test]
    fn lengths_agree_with_those_of_the_outlines() {
        let map = blots(400, 300, 7, 40);
        let outlines: f64 = Outlines::of(&map, TEN).arcs.iter().map(SharedArc::length_mm).sum();
        assert_relative_eq!(Curves::of(&map, TEN).length_mm(), outlines, max_relative = 0.01);
    }
}
