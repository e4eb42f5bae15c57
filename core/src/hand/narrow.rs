//! Narrow: where a region does not hold the mark.

use crate::bits::BitPlane;
use crate::opening::{clear_centres, grown};
use crate::plane::Plane;
use crate::regions::Mark;
use crate::units::PxPerMm;

/// The pixels of which no mark within their own region reaches, to within one pixel: what [`crate::regions::unpaintable_share`] counts.
#[must_use]
pub fn narrow(map: &Plane<u8>, mark: Mark, resolution: PxPerMm) -> BitPlane {
    let radius = resolution.px(mark.diameter()) / 2.0;
    let square = radius * radius;
    let clear = (libm::ceil(square) as u32).saturating_sub(1);
    grown(&clear_centres(map, clear), square as u32).complement()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regions::unpaintable_share;
    use crate::tones::{StepMap, ToneCount};
    use crate::units::Millimetres;

    #[test]
    fn it_is_what_the_share_counts() {
        let map = StepMap::new(ToneCount::new(3).unwrap(), Plane::from_fn(150, 90, |x, y| ((x * x / 90 + y * y / 70) % 3) as u8));
        for mm in [0.3, 0.7, 1.0, 2.3] {
            let mark = Mark::new(Millimetres(mm)).unwrap();
            let found = narrow(map.plane(), mark, PxPerMm(7.0));
            approx::assert_abs_diff_eq!(found.count() as f64 / 13_500.0, unpaintable_share(&map, mark, PxPerMm(7.0)), epsilon = 1e-12);
        }
        let strip = Plane::from_fn(60, 40, |x, _| u8::from((20..25).contains(&x)));
        let found = narrow(&strip, Mark::new(Millimetres(1.0)).unwrap(), PxPerMm(10.0));
        // To within one pixel: the discs beside it reach its outer columns.
        assert!((21..24).all(|x| found.at(x, 20)) && !found.at(10, 20) && !found.at(40, 20));
    }
}
