//! What a stop-out should have covered, laid over the face as it is seen: plate view, at the pixels the photograph is judged at.

use crate::distance::squared_to_other;
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::stopouts::StopOuts;
use crate::units::PxPerMm;

/// To be covered.
pub(super) const COVERED: u8 = 0;
/// To be left bare.
pub(super) const BARE: u8 = 1;
/// Left to the hand: nobody knows.
pub(super) const BY_HAND: u8 = 2;

/// Farthest that is asked how deep a place lies, mm.
const REACH: f64 = 8.0;

/// Which of the ways a plate can lie on the table, or be painted wrongly, is taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Way {
    /// Turned by half.
    pub(super) turned: bool,
    /// Left and right exchanged once more: as in print view.
    pub(super) mirrored: bool,
}

/// The face in plate view.
pub(super) struct Wanted {
    /// [`COVERED`], [`BARE`] or [`BY_HAND`].
    pub(super) map: Plane<u8>,
    /// How far each pixel lies from what is wanted otherwise, mm, up to [`REACH`]; the face's border is free.
    pub(super) depth: Plane<f32>,
    pub(super) resolution: PxPerMm,
}

/// The value wanted at a share of the face, plate view.
pub(super) fn value(stop_outs: &StopOuts, number: usize, way: Way, share: [f64; 2]) -> u8 {
    let plane = stop_outs.map().plane();
    let at = |v: f64, side: usize| ((v * side as f64).max(0.0) as usize).min(side - 1);
    let flip = |on: bool, v: f64| if on { 1.0 - v } else { v };
    // Plate view is the mirror of the map; half a turn flips both.
    let x = at(flip(!way.mirrored ^ way.turned, share[0]), plane.width());
    let y = at(flip(way.turned, share[1]), plane.height());
    if stop_outs.by_hand(x, y) {
        BY_HAND
    } else if stop_outs.covered(number, x, y) {
        COVERED
    } else {
        BARE
    }
}

impl Wanted {
    pub(super) fn of(stop_outs: &StopOuts, number: usize, face: SizeMm, resolution: PxPerMm) -> Self {
        let side = |mm: f64| libm::round(mm * resolution.0).max(1.0) as usize;
        let (w, h) = (side(face.width.0), side(face.height.0));
        let share = |x: usize, y: usize| [(x as f64 + 0.5) / w as f64, (y as f64 + 0.5) / h as f64];
        let map = Plane::from_fn(w, h, |x, y| value(stop_outs, number, Way::default(), share(x, y)));
        let reach = ((REACH * resolution.0) as usize).clamp(1, crate::distance::LONGEST_REACH);
        let most = reach as f32;
        let squared = squared_to_other(&map, reach);
        // From a pixel's middle to the crack between is half a pixel less than to the next pixel's middle.
        let depth = squared.map(|&d| (libm::sqrtf(f32::from(d)).min(most) - 0.5) / resolution.0 as f32);
        Self { map, depth, resolution }
    }

    /// How far from the face's border, mm.
    pub(super) fn border(&self, x: usize, y: usize) -> f64 {
        let (w, h) = self.size();
        self.resolution.mm(x.min(w - 1 - x).min(y).min(h - 1 - y) as f64 + 0.5).0
    }

    pub(super) fn size(&self) -> (usize, usize) {
        (self.map.width(), self.map.height())
    }
}
