//! Smoothing asked for by hand, in millimetres, before the clean-up.

use crate::error::Refusal;
use stepbite_core::blur::gaussian;
use stepbite_core::plane::Plane;
use stepbite_core::units::{Millimetres, PxPerMm};

/// Most smoothing, mm: three of the usual mark.
const MOST: f64 = 3.0;

/// A width within which detail is smoothed away, 0 to 3 mm; 0 is none.
///
/// # Errors
/// Outside that.
pub(super) fn checked(mm: f64) -> Result<Millimetres, Refusal> {
    if (0.0..=MOST).contains(&mm) {
        return Ok(Millimetres(mm));
    }
    Err(Refusal::new("smoothing", format!("Smoothing is 0 to {MOST:.0} mm wide, {mm} mm came: 0 leaves the drawing as it is.")))
}

/// A plane of L* softened by a Gaussian, the width being two standard deviations; none where there is nothing to do.
pub(super) fn smoothed(lightness: &Plane<f32>, resolution: PxPerMm, width: Millimetres) -> Option<Plane<f32>> {
    let sigma = resolution.px(width) / 2.0;
    (sigma > 0.0).then(|| {
        let stored = lightness.map(|&l| (l.clamp(0.0, 100.0) * 655.35 + 0.5) as u16);
        gaussian(&stored, sigma).map(|&l| f32::from(l) / 655.35)
    })
}
