//! Under: the places where a region still does not hold the mark, so that they are counted and shown, never hidden.

use crate::aside::Aside;
use crate::blots::Blots;
use crate::regions::{Mark, unpaintable};
use crate::tones::StepMap;
use crate::units::{Millimetres, PointMm, PxPerMm};

/// A place that stays too narrow for the mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnderPlace {
    /// Area that no mark reaches, mm².
    pub area_mm2: f64,
    /// The longer side of the box around it.
    pub across: Millimetres,
    /// The tone it has, at the point.
    pub tone: u8,
    /// One of its points, mm on the face, print view.
    pub at: PointMm,
}

/// All places under the mark, the largest first. What is set aside is painted by no brush and counts as none.
///
/// # Panics
/// When what is set aside has another size.
#[must_use]
pub fn places(map: &StepMap, aside: &Aside, mark: Mark, resolution: PxPerMm) -> Vec<UnderPlace> {
    let mut bits = unpaintable(map, mark, resolution);
    aside.resist().into_iter().chain(aside.by_hand()).for_each(|apart| bits.remove(apart));
    let pieces = Blots::of(&bits);
    // A box's middle may lie outside a bent piece: of its pixels the one nearest to that middle is pointed at.
    let mut nearest: Vec<(u64, (usize, usize))> = vec![(u64::MAX, (0, 0)); pieces.list().len()];
    pieces.each_stretch(|y, start, end, piece| {
        let blot = &pieces.list()[piece];
        let middle = (blot.left + blot.right, blot.top + blot.foot);
        for x in start..end {
            let square = |a: usize, b: usize| (a.abs_diff(b) as u64).pow(2);
            let far = square(2 * x + 1, middle.0) + square(2 * y + 1, middle.1);
            if far < nearest[piece].0 {
                nearest[piece] = (far, (x, y));
            }
        }
    });
    let mm = |px: f64| resolution.mm(px).0;
    let mut out: Vec<UnderPlace> = pieces
        .list()
        .iter()
        .zip(nearest)
        .map(|(blot, (_, (x, y)))| UnderPlace {
            area_mm2: blot.area as f64 * mm(1.0) * mm(1.0),
            across: resolution.mm((blot.right - blot.left).max(blot.foot - blot.top) as f64),
            tone: map.plane().at(x, y),
            at: PointMm { x: mm(x as f64 + 0.5), y: mm(y as f64 + 0.5) },
        })
        .collect();
    out.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Plane;
    use crate::regions::unpaintable_share;
    use crate::tones::ToneCount;
    use approx::assert_relative_eq;

    #[test]
    fn a_neck_is_one_place_and_all_places_add_up_to_the_share() {
        // Two halves of tone 1, joined by a neck 0.4 mm wide and 2 mm long.
        let map = Plane::from_fn(200, 200, |x, y| u8::from((90..110).contains(&x) && !(98..102).contains(&y)));
        let map = StepMap::new(ToneCount::new(2).unwrap(), map);
        let ten = PxPerMm(10.0);
        let found = places(&map, &Aside::default(), Mark::default(), ten);
        assert_eq!(found[0].tone, 0);
        assert!((found[0].at.x - 10.0).abs() < 0.2 && (found[0].at.y - 10.0).abs() < 0.2, "{:?}", found[0]);
        assert!(found[0].across.0 > 1.0 && found[0].across.0 < 2.1);
        let area: f64 = found.iter().map(|place| place.area_mm2).sum();
        assert_relative_eq!(area / 400.0, unpaintable_share(&map, Mark::default(), ten), max_relative = 1e-9);
    }

    #[test]
    fn what_is_set_aside_is_no_place() {
        let map = Plane::from_fn(200, 200, |x, y| u8::from((90..110).contains(&x) && !(98..102).contains(&y)));
        let map = StepMap::new(ToneCount::new(2).unwrap(), map);
        let around = |left: usize| {
            let mut bits = crate::bits::BitPlane::empty(200, 200);
            (80..120).for_each(|y| bits.set_stretch(y, left, left + 40));
            Some(bits)
        };
        let count = |aside: &Aside| places(&map, aside, Mark::default(), PxPerMm(10.0)).len();
        assert!(count(&Aside::default()) > 0);
        assert_eq!(count(&Aside::new(around(80), None)), 0);
        assert_eq!(count(&Aside::new(None, around(80))), 0);
        assert_eq!(count(&Aside::new(around(0), around(160))), count(&Aside::default()));
    }
}
