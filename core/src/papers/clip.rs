//! Clip: a piece of paper held to the plate.

use super::laid_out::Why;
use crate::hand::Path;
use crate::piece::Piece;
use crate::plate::Plate;
use crate::units::PointMm;

/// How far inside one edge of the metal a point lies, by the least of both axes, the most right and the lowest.
type Inside = fn(PointMm, (f64, f64, f64)) -> f64;
/// Nearer than this to the metal edge a point lies on it, mm: clipping rounds.
const ON_EDGE: f64 = 1e-9;

/// An outline clipped to the metal edge, and whether that took anything off. After Sutherland and Hodgman (Comm. ACM 17, 1974, 32–42): where
/// an outline leaves the plate and comes back, its parts stay joined along the edge, which by the even-odd rule takes no area.
pub(super) fn to_metal(points: &[PointMm], plate: &Plate) -> Result<(Vec<PointMm>, bool), Why> {
    Piece::new(points.to_vec()).map_err(|error| Why::Nothing(error.to_string()))?;
    let (bevel, face) = (plate.bevel().0, plate.face());
    let (right, foot) = (face.width.0 + bevel, face.height.0 + bevel);
    // How far inside each of the four edges a point lies.
    let sides: [Inside; 4] =
        [|p, (least, _, _)| p.x - least, |p, (_, right, _)| right - p.x, |p, (least, _, _)| p.y - least, |p, (_, _, foot)| foot - p.y];
    let limits = (-bevel, right, foot);
    if points.iter().all(|&point| sides.iter().all(|inside| inside(point, limits) >= -ON_EDGE)) {
        return Ok((points.to_vec(), false));
    }
    let mut kept = points.to_vec();
    for inside in sides {
        let mut next = Vec::with_capacity(kept.len() + 4);
        for (i, &point) in kept.iter().enumerate() {
            let before = kept[(i + kept.len() - 1) % kept.len()];
            let (was, is) = (inside(before, limits), inside(point, limits));
            if (was >= 0.0) != (is >= 0.0) {
                let share = was / (was - is);
                next.push(PointMm { x: before.x + (point.x - before.x) * share, y: before.y + (point.y - before.y) * share });
            }
            if is >= 0.0 {
                next.push(point);
            }
        }
        kept = next;
    }
    if kept.len() < 3 { Err(Why::Off) } else { Ok((met(&kept, &sides, limits), true)) }
}

/// The same outline with a point wherever a run along one edge meets another's end: so what is walked there and back between two parts is
/// walked from point to point, and is no side of either ([`crate::piece::cut_lines`]).
fn met(points: &[PointMm], sides: &[Inside; 4], limits: (f64, f64, f64)) -> Vec<PointMm> {
    let mut all = Vec::with_capacity(points.len() + 4);
    for (i, &from) in points.iter().enumerate() {
        let to = points[(i + 1) % points.len()];
        all.push(from);
        let on = |point: PointMm| sides.iter().map(move |inside| inside(point, limits).abs() <= ON_EDGE);
        if !on(from).zip(on(to)).any(|(one, other)| one && other) {
            continue;
        }
        let along = |point: PointMm| (point.x - from.x) * (to.x - from.x) + (point.y - from.y) * (to.y - from.y);
        let edge = on(from).zip(on(to)).position(|(one, other)| one && other);
        let on_it = |point: PointMm| edge.is_some_and(|edge| sides[edge](point, limits).abs() <= ON_EDGE);
        let mut between: Vec<PointMm> =
            points.iter().copied().filter(|&point| on_it(point) && along(point) > 0.0 && along(point) < along(to)).collect();
        between.sort_by(|&a, &b| along(a).total_cmp(&along(b)));
        between.dedup();
        all.extend(between);
        // More than a line may have: then its parts stay tied by the edge.
        if all.len() > Path::MOST_POINTS {
            return points.to_vec();
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::tests::{plate, square};
    use super::*;

    #[test]
    fn what_lies_on_the_plate_stays_and_a_corner_past_it_goes() {
        let inside = square(0.0, 0.0, 120.0, 180.0);
        assert!(to_metal(&inside, &plate()).is_ok_and(|(same, cut)| same == inside && !cut));
        let (cut, was) = to_metal(&square(110.0, 170.0, 50.0, 50.0), &plate()).unwrap_or_default();
        assert!(was);
        assert_eq!(cut.len(), 4);
        assert!(cut.contains(&PointMm { x: 121.5, y: 181.5 }) && cut.contains(&PointMm { x: 110.0, y: 170.0 }));
        assert!(matches!(to_metal(&square(-40.0, 170.0, 5.0, 5.0), &plate()), Err(Why::Off)));
        assert!(matches!(to_metal(&[PointMm::default(); 2], &plate()), Err(Why::Nothing(_))));
    }
}
