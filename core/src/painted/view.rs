//! Where the plate's face lies in a photograph, by the plate's corners.

use super::look::Look;
use super::register::Registered;
use super::wanted::Wanted;
use crate::homography::{Homography, Point};
use crate::photo::Corners;
use crate::photo::source::Light;
use crate::plate::Plate;

pub(super) const SQUARE: [Point; 4] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];

/// From shares of the plate to the picture.
pub(super) fn map(corners: &Corners) -> Option<Homography> {
    Homography::between(&SQUARE, &corners.0)
}

/// Pixels a millimetre of plate where they are fewest, by the plate's sides.
pub(super) fn detail(corners: &Corners, plate: &Plate) -> f64 {
    let size = plate.size();
    let Some(map) = map(corners) else { return 0.0 };
    let fewest = |at: Point| {
        let [across, down] = map.derivative(at);
        (libm::hypot(across[0], across[1]) / size.width.0).min(libm::hypot(down[0], down[1]) / size.height.0)
    };
    SQUARE.map(fewest).into_iter().fold(f64::MAX, f64::min)
}

/// The face, straightened.
pub(super) fn seen(light: &Light<'_>, corners: &Corners, plate: &Plate, wanted: &Wanted) -> Option<Look> {
    let (size, face, bevel) = (plate.size(), plate.face(), plate.bevel().0);
    let (w, h) = wanted.size();
    let (kx, ky) = (face.width.0 / w as f64 / size.width.0, face.height.0 / h as f64 / size.height.0);
    let shares = Homography::new([[kx, 0.0, bevel / size.width.0], [0.0, ky, bevel / size.height.0], [0.0, 0.0, 1.0]])?;
    Some(Look::of(light, map(corners)? * shares, (w, h), wanted.resolution))
}

/// The corners moved by what the edges say.
pub(super) fn shifted(corners: &Corners, plate: &Plate, edges: &Registered) -> Option<Corners> {
    let (size, face, bevel) = (plate.size(), plate.face(), plate.bevel().0);
    let map = map(corners)?;
    // A corner of the plate by coordinates of the face from −1 to 1, moved in mm.
    let moved = SQUARE.map(|share| {
        let mm = [share[0] * size.width.0, share[1] * size.height.0];
        let at = [2.0 * (mm[0] - bevel) / face.width.0 - 1.0, 2.0 * (mm[1] - bevel) / face.height.0 - 1.0];
        let by = edges.shift(at);
        map.apply([(mm[0] + by[0]) / size.width.0, (mm[1] + by[1]) / size.height.0])
    });
    Some(Corners(moved))
}
