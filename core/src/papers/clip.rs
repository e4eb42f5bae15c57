//! Clip: a piece of paper held to the plate.

use super::PapersError;
use crate::piece::Piece;
use crate::plate::Plate;
use crate::units::PointMm;

/// How far inside one edge of the metal a point lies, by the least of both axes, the most right and the lowest.
type Inside = fn(PointMm, (f64, f64, f64)) -> f64;

/// An outline clipped to the metal edge, and whether that took anything off. After Sutherland and Hodgman (Comm. ACM 17, 1974, 32–42): where
/// an outline leaves the plate and comes back, its parts stay joined along the edge, which by the even-odd rule takes no area.
pub(super) fn to_metal(points: &[PointMm], plate: &Plate, number: usize) -> Result<(Vec<PointMm>, bool), PapersError> {
    Piece::new(points.to_vec()).map_err(|error| PapersError::Outline { piece: number, why: error.to_string() })?;
    let (bevel, face) = (plate.bevel().0, plate.face());
    let (right, foot) = (face.width.0 + bevel, face.height.0 + bevel);
    // How far inside each of the four edges a point lies.
    let sides: [Inside; 4] =
        [|p, (least, _, _)| p.x - least, |p, (_, right, _)| right - p.x, |p, (least, _, _)| p.y - least, |p, (_, _, foot)| foot - p.y];
    let limits = (-bevel, right, foot);
    if points.iter().all(|&point| sides.iter().all(|inside| inside(point, limits) >= -1e-9)) {
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
    if kept.len() < 3 { Err(PapersError::Off { piece: number }) } else { Ok((kept, true)) }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{plate, square};
    use super::*;

    #[test]
    fn what_lies_on_the_plate_stays_and_a_corner_past_it_goes() {
        let inside = square(0.0, 0.0, 120.0, 180.0);
        assert_eq!(to_metal(&inside, &plate(), 1).unwrap(), (inside, false));
        let (cut, was) = to_metal(&square(110.0, 170.0, 50.0, 50.0), &plate(), 1).unwrap();
        assert!(was);
        assert_eq!(cut.len(), 4);
        assert!(cut.contains(&PointMm { x: 121.5, y: 181.5 }) && cut.contains(&PointMm { x: 110.0, y: 170.0 }));
        assert_eq!(to_metal(&square(-40.0, 170.0, 5.0, 5.0), &plate(), 4), Err(PapersError::Off { piece: 4 }));
        assert!(matches!(to_metal(&[PointMm::default(); 2], &plate(), 4), Err(PapersError::Outline { piece: 4, .. })));
    }
}
