//! A plate and photographs of it for tests: small, and as plain as can be.

use crate::drawing::Drawing;
use crate::homography::Homography;
use crate::outline::Outlines;
use crate::photo::Corners;
use crate::plane::Plane;
use crate::plate::Plate;
use crate::stopouts::{HandSpeed, StopOuts};
use crate::tones::{StepMap, ToneCount};
use crate::units::{Millimetres, PxPerMm};

const PX: f64 = 5.0;

/// 60 × 50 mm without bevel: an L is to be covered, print view.
pub(super) fn plate() -> (Plate, StopOuts) {
    of(|x, y| x < 90 || (y > 160 && x < 240))
}

/// The same plate, covered where `covered` says so: pixels of a fifth of a millimetre, print view.
pub(super) fn of(covered: impl Fn(usize, usize) -> bool) -> (Plate, StopOuts) {
    let plate = Plate::new(Millimetres(60.0), Millimetres(50.0), Millimetres(0.0)).unwrap();
    let map = Plane::from_fn(300, 250, |x, y| u8::from(!covered(x, y)));
    let map = StepMap::new(ToneCount::new(2).unwrap(), map);
    let outlines = Outlines::of(map.plane(), PxPerMm(PX));
    (plate, StopOuts::of(map, &outlines, PxPerMm(PX), HandSpeed::default()))
}

/// Evenly spread about 1, ± 10 %: the same in every run.
pub(super) fn noise() -> impl FnMut() -> f32 {
    let mut state = 11u32;
    move || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        1.0 + 0.2 * ((state >> 8) as f32 / 16_777_215.0 - 0.5)
    }
}

/// The plate from straight above at 5 px/mm, a table of 4 mm round it; `light` of covered and bare; discs (x, y, radius, covered) in mm, plate view.
pub(super) fn photo(stop_outs: &StopOuts, light: (f32, f32), discs: &[(f64, f64, f64, bool)]) -> (Drawing, Corners) {
    let place = Homography::new([[1.0, 0.0, 20.0], [0.0, 1.0, 20.0], [0.0, 0.0, 1.0]]).unwrap();
    photo_at(stop_outs, light, discs, place, (340, 290))
}

/// The same, pixels of the plate at 5 px/mm laid into a picture of a size by `place`.
pub(super) fn photo_at(
    stop_outs: &StopOuts,
    light: (f32, f32),
    discs: &[(f64, f64, f64, bool)],
    place: Homography,
    size: (usize, usize),
) -> (Drawing, Corners) {
    let mut noise = noise();
    let back = place.inverse();
    let picture = Plane::from_fn(size.0, size.1, |x, y| {
        let noise = noise();
        let [px, py] = back.apply([x as f64 + 0.5, y as f64 + 0.5]);
        if !(0.0..300.0).contains(&px) || !(0.0..250.0).contains(&py) {
            return 0.9;
        }
        let mut covered = stop_outs.covered(1, 299 - px as usize, py as usize);
        for &(dx, dy, r, on) in discs {
            if (px / PX - dx).hypot(py / PX - dy) < r {
                covered = on;
            }
        }
        if covered { light.0 * noise } else { light.1 * noise }
    });
    let corners = [[0.0, 0.0], [300.0, 0.0], [300.0, 250.0], [0.0, 250.0]].map(|at| place.apply(at));
    (Drawing::from_luminance(&picture), Corners(corners))
}
