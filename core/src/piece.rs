//! Piece: what a closed outline goes round, on a raster of the face, and how far each pixel lies from that outline.

use crate::distance::{LONGEST_REACH, squared_to_other};
use crate::hand::area::{self, Raster};
use crate::hand::{Path, PathError};
use crate::plane::Plane;
use crate::units::{Millimetres, PointMm, PxPerMm};
use std::collections::BTreeMap;
use std::fmt;

/// What a closed line goes round, in mm of the face, print view, by the even-odd rule: where the line crosses itself, what it goes round
/// twice is outside.
///
/// # Guarantees
/// Three points or more, each a place near the face; the last joins the first.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece(Path);

/// An outline that goes round nothing.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum PieceError {
    /// Too few points.
    Open {
        /// How many came.
        points: usize,
    },
    /// Points that make no line.
    Line(PathError),
}

impl fmt::Display for PieceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Open { points } => write!(f, "An outline has at least three points, {points} came: draw it once round what you mean."),
            Self::Line(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for PieceError {}

/// Signed distances about a piece: the part of the raster that its outline is near to or goes round.
#[derive(Clone, Debug, PartialEq)]
pub struct Signed {
    /// Column and row of the raster where `distances` begins.
    pub corner: (usize, usize),
    /// From each pixel's middle to the outline, mm: more than 0 inside, exact within the reach asked for, beyond it the reach.
    pub distances: Plane<f32>,
}

/// The sides of an outline that have what it goes round on one hand only, which a knife follows. Holes and parts are joined by a line that is walked
/// there and back, which goes round nothing: by the even-odd rule what is walked twice is no side.
#[must_use]
pub fn cut_lines(outline: &[PointMm]) -> Vec<[PointMm; 2]> {
    let key = |point: &PointMm| (point.x.to_bits(), point.y.to_bits());
    let sides = || outline.iter().zip(outline.iter().cycle().skip(1)).filter(|(a, b)| a != b);
    let mut walked: BTreeMap<[(u64, u64); 2], usize> = BTreeMap::new();
    for (a, b) in sides() {
        let (a, b) = (key(a), key(b));
        *walked.entry([a.min(b), a.max(b)]).or_default() += 1;
    }
    let single = |a: &PointMm, b: &PointMm| {
        let (a, b) = (key(a), key(b));
        walked.get(&[a.min(b), a.max(b)]).is_some_and(|times| times % 2 == 1)
    };
    sides().filter(|(a, b)| single(a, b)).map(|(&a, &b)| [a, b]).collect()
}

/// So many times a part of a raster may be gone over side by side, before its pixels are counted instead.
const MOST_STROKED: f64 = 24.0;

impl Piece {
    /// A piece with this outline.
    ///
    /// # Errors
    /// When there are fewer than three points, too many, or one is not a place near the face.
    pub fn new(points: Vec<PointMm>) -> Result<Self, PieceError> {
        if points.len() < 3 {
            return Err(PieceError::Open { points: points.len() });
        }
        Path::new(points).map(Self).map_err(PieceError::Line)
    }

    /// Its outline.
    #[must_use]
    pub fn outline(&self) -> &[PointMm] {
        self.0.points()
    }

    /// How far each pixel of a raster lies from the outline, as far as `reach`. None where all of the piece lies off the raster.
    ///
    /// The work is that of the pixels within reach of the outline, and of those inside. Where so many sides lie so close that most pixels are within reach of
    /// dozens, distances are counted from pixel to pixel instead and are right to a pixel: that takes as long for any outline.
    #[must_use]
    pub fn signed(&self, size: (usize, usize), resolution: PxPerMm, reach: Millimetres) -> Option<Signed> {
        let raster = Raster { width: size.0, height: size.1, resolution };
        let reach = reach.0.max(0.0);
        let points = self.outline();
        let range = |along: fn(&PointMm) -> f64, most: usize| {
            let (least, last) = points.iter().map(along).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
            let from = libm::floor((least - reach) * resolution.0).clamp(0.0, most as f64) as usize;
            let to = libm::ceil((last + reach) * resolution.0).clamp(0.0, most as f64) as usize;
            (from, to)
        };
        let ((left, right), (top, foot)) = (range(|p| p.x, size.0), range(|p| p.y, size.1));
        if left >= right || top >= foot {
            return None;
        }
        let width = right - left;
        if self.strokes(resolution, reach, (width * (foot - top)) as f64) > MOST_STROKED {
            let distances = self.counted((left, top), (width, foot - top), resolution, reach);
            return Some(Signed { corner: (left, top), distances });
        }
        // Squares while it is worked out; all of it is far, until it is near.
        let far = (reach * reach) as f32;
        let mut distances = Plane::filled(width, foot - top, far);
        let row = |y: usize, start: usize, end: usize| ((y - top) * width + (start - left), (y - top) * width + (end - left));
        let within = |y: usize, start: usize, end: usize| (top..foot).contains(&y) && start.max(left) < end.min(right);
        let middle = |at: usize| (at as f64 + 0.5) / resolution.0;
        for [a, b] in cut_lines(points) {
            let (dx, dy) = (b.x - a.x, b.y - a.y);
            let length = dx * dx + dy * dy;
            area::stroke(raster, &[a, b], 2.0 * reach, |y, start, end| {
                if !within(y, start, end) {
                    return;
                }
                let (start, end) = (start.max(left), end.min(right));
                let (from, to) = row(y, start, end);
                let py = middle(y) - a.y;
                for (square, x) in distances.data_mut()[from..to].iter_mut().zip(start..) {
                    let px = middle(x) - a.x;
                    let along = if length > 0.0 { ((px * dx + py * dy) / length).clamp(0.0, 1.0) } else { 0.0 };
                    let (x, y) = (px - along * dx, py - along * dy);
                    *square = square.min((x * x + y * y) as f32);
                }
            });
        }
        for square in distances.data_mut() {
            *square = -square.sqrt();
        }
        area::polygon(raster, points, |y, start, end| {
            if within(y, start, end) {
                let (from, to) = row(y, start.max(left), end.min(right));
                for distance in &mut distances.data_mut()[from..to] {
                    *distance = -*distance;
                }
            }
        });
        Some(Signed { corner: (left, top), distances })
    }

    /// How many times over a part of so many pixels is gone over, side by side.
    fn strokes(&self, resolution: PxPerMm, reach: f64, pixels: f64) -> f64 {
        let points = self.outline();
        let side = |(a, b): (&PointMm, &PointMm)| {
            let area = 2.0 * reach * (libm::hypot(b.x - a.x, b.y - a.y) + 2.0 * reach);
            (area * resolution.0 * resolution.0 / pixels).min(1.0)
        };
        points.iter().zip(points.iter().cycle().skip(1)).map(side).sum()
    }

    /// Signed distances on a part of the raster, by the nearest pixel on the other side of the outline.
    fn counted(&self, corner: (usize, usize), size: (usize, usize), resolution: PxPerMm, reach: f64) -> Plane<f32> {
        let steps = (libm::ceil(reach * resolution.0) as usize + 1).min(LONGEST_REACH);
        // With a margin, so that an outline just off the part counts too.
        let raster = Raster { width: size.0 + 2 * steps, height: size.1 + 2 * steps, resolution };
        let moved = |at: usize| (at as f64 - steps as f64) / resolution.0;
        let (x, y) = (moved(corner.0), moved(corner.1));
        let points: Vec<PointMm> = self.outline().iter().map(|point| PointMm { x: point.x - x, y: point.y - y }).collect();
        let mut inside = Plane::filled(raster.width, raster.height, 0u8);
        area::polygon(raster, &points, |y, start, end| inside.data_mut()[y * raster.width + start..y * raster.width + end].fill(1));
        let squares = squared_to_other(&inside, steps);
        Plane::from_fn(size.0, size.1, |x, y| {
            let at = (x + steps, y + steps);
            let square = squares.at(at.0, at.1);
            // From a pixel's middle to the crack between it and the nearest of the other side.
            let far = if square == u16::MAX { reach } else { ((libm::sqrt(f64::from(square)) - 0.5) / resolution.0).min(reach) };
            (if inside.at(at.0, at.1) == 1 { far } else { -far }) as f32
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn piece(points: &[(f64, f64)]) -> Piece {
        Piece::new(points.iter().map(|&point| point.into()).collect()).unwrap()
    }

    #[test]
    fn a_square_has_its_distances() {
        let square = piece(&[(2.0, 2.0), (8.0, 2.0), (8.0, 8.0), (2.0, 8.0)]);
        let signed = square.signed((100, 100), PxPerMm(10.0), Millimetres(1.5)).unwrap();
        let at = |x: usize, y: usize| f64::from(signed.distances.at(x - signed.corner.0, y - signed.corner.1));
        assert_abs_diff_eq!(at(50, 20), 0.05, epsilon = 1e-6);
        assert_abs_diff_eq!(at(50, 19), -0.05, epsilon = 1e-6);
        assert_abs_diff_eq!(at(50, 50), 1.5, epsilon = 1e-6);
        // Off a corner the nearest is the corner.
        assert_abs_diff_eq!(at(14, 14), -(0.55f64 * 0.55 * 2.0).sqrt(), epsilon = 1e-6);
        assert_eq!(signed.corner, (5, 5));
    }

    #[test]
    fn a_hole_is_cut_and_the_way_to_it_is_no_side() {
        let square =
            |left: f64, size: f64| [(left, left), (left + size, left), (left + size, left + size), (left, left + size), (left, left)];
        let hole = square(10.0, 5.0).into_iter().rev();
        let outline: Vec<PointMm> = square(0.0, 30.0).into_iter().chain(hole).map(PointMm::from).collect();
        assert_eq!(cut_lines(&outline).len(), 8);
        assert_eq!(cut_lines(&outline[..4]).len(), 4);
        // Half way along the way to the hole, 5 mm from the rim and 5 mm from the hole's sides.
        let signed = Piece::new(outline).unwrap().signed((310, 310), PxPerMm(10.0), Millimetres(10.0)).unwrap();
        assert_abs_diff_eq!(f64::from(signed.distances.at(50 - signed.corner.0, 50 - signed.corner.1)), 5.05, epsilon = 1e-4);
    }

    #[test]
    fn an_outline_of_thousands_of_sides_is_counted_and_right_to_a_pixel() {
        // Up and down across the face, and back below: 5000 points, each side 100 mm long.
        let comb: Vec<(f64, f64)> = (0..2500)
            .map(|i| (5.0 + f64::from(i) * 0.04, if i % 2 == 0 { 10.0 } else { 110.0 }))
            .chain((0..2500).rev().map(|i| (5.0 + f64::from(i) * 0.04, if i % 2 == 0 { 14.0 } else { 114.0 })))
            .collect();
        let comb = piece(&comb);
        let within = |signed: &Signed| signed.distances.data().iter().all(|d| d.abs() <= 3.0);
        // What was 5000 times 100 by 6 mm, 300 million pixels, is gone over once.
        assert!(comb.strokes(PxPerMm(10.0), 3.0, 1_440_000.0) > 200.0);
        assert!(within(&comb.signed((1200, 1200), PxPerMm(10.0), Millimetres(3.0)).unwrap()));
        // Of a shape that either way can do, both say the same.
        let shape = piece(&[(1.0, 2.0), (9.0, -1.0), (6.0, 5.0), (11.0, 9.0), (2.0, 7.0)]);
        let exact = shape.signed((100, 90), PxPerMm(10.0), Millimetres(1.5)).unwrap();
        let size = (exact.distances.width(), exact.distances.height());
        let counted = shape.counted(exact.corner, size, PxPerMm(10.0), 1.5);
        for (exact, counted) in exact.distances.data().iter().zip(counted.data()) {
            assert!((exact - counted).abs() <= 0.11, "{exact} {counted}");
        }
    }

    #[test]
    fn what_is_off_the_face_is_none_and_what_is_half_on_it_is_cut() {
        let off = piece(&[(-9.0, 2.0), (-4.0, 2.0), (-4.0, 8.0)]);
        assert!(off.signed((100, 100), PxPerMm(10.0), Millimetres(1.0)).is_none());
        let half = piece(&[(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)]);
        let signed = half.signed((100, 100), PxPerMm(10.0), Millimetres(1.0)).unwrap();
        assert_eq!((signed.corner, signed.distances.width(), signed.distances.height()), ((0, 0), 60, 60));
        assert_abs_diff_eq!(f64::from(signed.distances.at(0, 0)), 1.0, epsilon = 1e-6);
    }

    #[test]
    fn what_goes_round_nothing_is_said() {
        let said = Piece::new(vec![PointMm::default(); 2]).unwrap_err().to_string();
        assert!(said.contains("three points") && said.ends_with('.'), "{said}");
        let far = PointMm { x: f64::NAN, y: 0.0 };
        assert!(Piece::new(vec![far; 3]).unwrap_err().to_string().ends_with('.'));
        // No area is no harm.
        let line = piece(&[(1.0, 1.0), (5.0, 5.0), (1.0, 1.0)]);
        assert!(line.signed((60, 60), PxPerMm(10.0), Millimetres(1.0)).unwrap().distances.data().iter().all(|&d| d <= 0.0));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn distances_are_those_of_a_search(points in prop::collection::vec((-3.0f64..13.0, -3.0f64..13.0), 3..8), reach in 0.3f64..3.0) {
            let piece = piece(&points);
            let signed = piece.signed((50, 50), PxPerMm(5.0), Millimetres(reach));
            let mut outline = piece.outline().to_vec();
            outline.push(outline[0]);
            for y in 0..50usize {
                for x in 0..50usize {
                    let (px, py) = ((x as f64 + 0.5) / 5.0, (y as f64 + 0.5) / 5.0);
                    let far = outline.windows(2).map(|pair| {
                        let (dx, dy) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
                        let t = (((px - pair[0].x) * dx + (py - pair[0].y) * dy) / (dx * dx + dy * dy).max(1e-300)).clamp(0.0, 1.0);
                        libm::hypot(px - pair[0].x - t * dx, py - pair[0].y - t * dy)
                    }).fold(f64::INFINITY, f64::min);
                    let crossings = outline.windows(2).filter(|pair| {
                        (pair[0].y > py) != (pair[1].y > py)
                            && px < pair[0].x + (py - pair[0].y) / (pair[1].y - pair[0].y) * (pair[1].x - pair[0].x)
                    }).count();
                    let found = signed.as_ref().and_then(|signed| {
                        let (x, y) = (x.checked_sub(signed.corner.0)?, y.checked_sub(signed.corner.1)?);
                        (x < signed.distances.width() && y < signed.distances.height()).then(|| f64::from(signed.distances.at(x, y)))
                    });
                    let expected = far.min(reach) * if crossings % 2 == 1 { 1.0 } else { -1.0 };
                    // A point all but on the line may be told either way.
                    let found = found.unwrap_or(-reach);
                    prop_assert!((found - expected).abs() < 1e-5 || far < 1e-5, "{found} for {expected} at {px} {py}");
                }
            }
        }
    }
}
