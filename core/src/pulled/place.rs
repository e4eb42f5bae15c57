//! Where the printed picture lies in the photograph, and what each of its places is.

use super::words::{Blind, PulledError};
use super::{Held, NO_TONE};
use crate::distance::{LONGEST_REACH, squared_to_other};
use crate::homography::{Homography, Point};
use crate::light::Lightness;
use crate::painted::{Known, Reduced};
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
/// Another way round goes better by this much in what is no proof of this picture; and by this much in what might be one as it lies: a picture that
/// is nearly its own half turn goes well either way, and then the better one is the true one.
const BETTER: f64 = 0.12;
const LEADS: f64 = 0.03;
/// Farthest that is asked how far a place lies from another tone, mm.
const REACH: f64 = 3.0;

/// A way round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// As it is printed.
    Upright,
    /// On its head.
    Turned,
    /// On one of its sides.
    Aside,
    /// Left and right exchanged, whichever way it lies.
    Mirrored,
}

/// All but the upright way: whether the sides are exchanged, then across, then down.
const OTHERS: [(Way, [bool; 3]); 7] = [
    (Way::Turned, [false, true, true]),
    (Way::Aside, [true, true, false]),
    (Way::Aside, [true, false, true]),
    (Way::Mirrored, [false, true, false]),
    (Way::Mirrored, [false, false, true]),
    (Way::Mirrored, [true, false, false]),
    (Way::Mirrored, [true, true, true]),
];

pub(super) struct Placed {
    pub(super) corners: Corners,
    pub(super) moved_mm: f64,
    pub(super) fit: f64,
    pub(super) px_per_mm: f64,
    pub(super) blind: Option<Blind>,
    /// A way round that goes as well as the upright one, nearly.
    pub(super) as_well: Option<Way>,
}

/// What the print should show within its corners, lying some way round.
fn known(held: &Held<'_>, planned: &[Lightness], [exchanged, across, down]: [bool; 3]) -> Known {
    /// Places each way.
    const CELLS: usize = 60;
    let plane = held.stop_outs.map().plane();
    let logs: Vec<f64> = planned.iter().map(|l| libm::log(l.reflectance().0 + 0.02)).collect();
    let mut places = Vec::with_capacity(CELLS * CELLS);
    for j in 0..CELLS {
        for i in 0..CELLS {
            let at = [(i as f64 + 0.5) / CELLS as f64, (j as f64 + 0.5) / CELLS as f64];
            let [u, v] = if exchanged { [at[1], at[0]] } else { at };
            let share = [if across { 1.0 - u } else { u }, if down { 1.0 - v } else { v }];
            let pixel = |v: f64, side: usize| ((v * side as f64) as usize).min(side - 1);
            let (x, y) = (pixel(share[0], plane.width()), pixel(share[1], plane.height()));
            if !held.stop_outs.by_hand(x, y) {
                places.push((at, logs[usize::from(plane.at(x, y))]));
            }
        }
    }
    Known::new(held.plate.face(), places)
}

pub(super) fn place(light: &Light<'_>, held: &Held<'_>, planned: &[Lightness], given: Option<Corners>) -> Result<Placed, PulledError> {
    let photo = Reduced::of(light);
    let wanted = known(held, planned, [false; 3]);
    let (start, guess) = match given {
        Some(corners) => {
            corners.check(Source::<3>::size(light))?;
            (corners, None)
        }
        None => {
            let found = wanted.find(&photo)?;
            (found.corners, (!found.sure).then(|| Blind::Guess { fits: found.fits() }))
        }
    };
    let face = held.plate.face();
    let (settled, [before, after]) = wanted.settled(&photo, &start, &STEPS);
    // Corners that nothing holds stay where they were put.
    let (corners, fit) =
        if after > before + 0.002 && settled.check(Source::<3>::size(light)).is_ok() { (settled, after) } else { (start, before) };
    let px = start.sides()[0] / face.width.0;
    let apart = |i: usize| libm::hypot(corners.0[i][0] - start.0[i][0], corners.0[i][1] - start.0[i][1]);
    let moved_mm = (0..4).map(apart).fold(0.0, f64::max) / px.max(1e-6);
    let others = OTHERS.map(|(way, changed)| (known(held, planned, changed).fit(&photo, &corners), way));
    // Of two that go alike the first, which is less of a change.
    let (most, other) = others.into_iter().fold((f64::MIN, Way::Upright), |best, next| if next.0 > best.0 { next } else { best });
    let goes = fit >= GOES;
    let leads = most > fit + if goes { LEADS } else { BETTER };
    let blind = guess.or(match other {
        Way::Turned if leads => Some(Blind::Turned),
        Way::Aside if leads => Some(Blind::Aside),
        Way::Mirrored if leads => Some(Blind::Mirrored),
        _ if goes => None,
        _ => Some(Blind::Other { fit }),
    });
    let as_well = (most > fit - LEADS).then_some(other);
    Ok(Placed { corners, moved_mm, fit, px_per_mm: detail(&corners, face), blind, as_well })
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
