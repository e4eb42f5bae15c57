//! Where the printed picture lies in the photograph, and what each of its places is.

use super::words::{Blind, PulledError};
use super::{Held, NO_TONE, known};
use crate::distance::{LONGEST_REACH, squared_to_other};
use crate::homography::{Homography, Point};
use crate::light::Lightness;
use crate::photo::Corners;
use crate::photo::source::Light;
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::stopouts::StopOuts;
use crate::units::PxPerMm;
use crate::warp::Source;

pub(super) const SQUARE: [Point; 4] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];

/// Steps by which corners are moved, mm: those given by hand, and those found.
const STEPS: [f64; 6] = [1.6, 0.8, 0.4, 0.2, 0.1, 0.05];
/// The picture goes this well with what lies within its corners, or it is another, or the corners are wrong.
const GOES: f64 = 0.6;
/// Another way round goes better by this much.
const BETTER: f64 = 0.12;
/// Farthest that is asked how far a place lies from another tone, mm.
const REACH: f64 = 3.0;

pub(super) struct Placed {
    pub(super) corners: Corners,
    pub(super) moved_mm: f64,
    pub(super) fit: f64,
    pub(super) px_per_mm: f64,
    pub(super) blind: Option<Blind>,
}

pub(super) fn place(light: &Light<'_>, held: &Held<'_>, planned: &[Lightness], given: Option<Corners>) -> Result<Placed, PulledError> {
    let wanted = known(held, planned, (false, false));
    let (start, guess) = match given {
        Some(corners) => {
            corners.check(Source::<3>::size(light))?;
            (corners, None)
        }
        None => {
            let found = wanted.find(light)?;
            (found.corners, (!found.sure).then(|| Blind::Guess { fits: found.fits() }))
        }
    };
    let face = held.plate.face();
    let (settled, [before, after]) = wanted.settled(light, &start, &STEPS);
    // Corners that nothing holds stay where they were put.
    let (corners, fit) =
        if after > before + 0.002 && settled.check(Source::<3>::size(light)).is_ok() { (settled, after) } else { (start, before) };
    let px = start.sides()[0] / face.width.0;
    let apart = |i: usize| libm::hypot(corners.0[i][0] - start.0[i][0], corners.0[i][1] - start.0[i][1]);
    let moved_mm = (0..4).map(apart).fold(0.0, f64::max) / px.max(1e-6);
    let other = |flip| known(held, planned, flip).fit(light, &corners);
    let blind = guess.or_else(|| {
        if fit >= GOES {
            return None;
        }
        let (turned, mirrored) = (other((true, true)), other((true, false)).max(other((false, true))));
        match (turned, mirrored) {
            (t, m) if t >= m && t > fit + BETTER => Some(Blind::Turned),
            (_, m) if m > fit + BETTER => Some(Blind::Mirrored),
            _ => Some(Blind::Other { fit }),
        }
    });
    Ok(Placed { corners, moved_mm, fit, px_per_mm: detail(&corners, face), blind })
}

/// Pixels a millimetre of the face where they are fewest.
fn detail(corners: &Corners, face: SizeMm) -> f64 {
    let Some(map) = Homography::between(&SQUARE, &corners.0) else { return 0.0 };
    let fewest = |at: Point| {
        let [across, down] = map.derivative(at);
        (libm::hypot(across[0], across[1]) / face.width.0).min(libm::hypot(down[0], down[1]) / face.height.0)
    };
    SQUARE.map(fewest).into_iter().fold(f64::MAX, f64::min)
}

/// The tone of each pixel of the face at a resolution, print view.
pub(super) fn zones(stop_outs: &StopOuts, face: SizeMm, resolution: PxPerMm) -> Plane<u8> {
    let plane = stop_outs.map().plane();
    let side = |mm: f64| libm::round(mm * resolution.0).max(1.0) as usize;
    let (w, h) = (side(face.width.0), side(face.height.0));
    Plane::from_fn(w, h, |x, y| {
        let (x, y) = ((2 * x + 1) * plane.width() / (2 * w), (2 * y + 1) * plane.height() / (2 * h));
        if stop_outs.by_hand(x, y) { NO_TONE } else { plane.at(x, y) }
    })
}

/// How far each pixel lies from another tone, mm, up to [`REACH`]; the face's border counts as another.
pub(super) fn depth(zones: &Plane<u8>, resolution: PxPerMm) -> Plane<f32> {
    let reach = ((REACH * resolution.0) as usize).clamp(1, LONGEST_REACH);
    let squared = squared_to_other(zones, reach);
    let (w, h) = (zones.width(), zones.height());
    Plane::from_fn(w, h, |x, y| {
        let near = libm::sqrtf(f32::from(squared.at(x, y))).min(reach as f32) - 0.5;
        let border = x.min(w - 1 - x).min(y).min(h - 1 - y) as f32 + 0.5;
        near.min(border) / resolution.0 as f32
    })
}
