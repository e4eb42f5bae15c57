//! The proof: what the plan should print, worked out before any metal is bitten.
//!
//! It is made from the stop-outs, the bites and the strip's curve, not from the tones wanted, so that it checks the plan: each pixel's
//! total is the sum of the bites whose stop-outs leave it bare ([`ProofTones`]). The curve rules the mean: over an area of one tone
//! the linear light averages to what the curve says for its total. The grain only spreads that light over lands and pits, and it
//! is a picture, not a promise: its size is on the plate, in millimetres, and no zoom makes bigger dots.
//!
//! [`flat`] shows mean tones alone, [`grained`] the grain too, [`print()`] the whole face at the step map's own raster.
//!
//! # Views
//! Everything is in PRINT VIEW, unless a [`Window`] asks for its mirror, the PLATE VIEW.

use crate::light::{Density, Encoded, Reflectance};
use crate::stopouts::StopOuts;
use crate::units::{PointMm, PxPerMm};
use std::fmt;

mod tones;
mod view;
pub use crate::relief::PitModel;
pub use tones::{ProofError, ProofTone, ProofTones};
pub(crate) use view::Bytes;
pub use view::{flat, grained, print};

/// How the print at hand differs from the strip: films laid over the whole picture. None by default, as the strip's readings hold
/// its own paper and plate tone already.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Films {
    /// The paper's colour as sRGB bytes: bare paper shows exactly so, and the ink's light is coloured alike. None = the strip's own.
    pub paper: Option<[u8; 3]>,
    /// Plate tone more than the strip had (or less, below 0), a density on the face alone: the bevel is wiped, the sheet never touched.
    pub plate_tone: Density,
}

impl Films {
    /// What the paper's colour does to each linear channel, relative to the strip's neutral paper.
    #[must_use]
    pub fn paper_factors(&self, strip_paper: Reflectance) -> [f64; 3] {
        self.paper.map_or([1.0; 3], |rgb| rgb.map(|byte| Encoded(f64::from(byte) / 255.0).linear().0 / strip_paper.0.max(1e-6)))
    }

    /// What plate tone does to the light. A film lets through nothing to all of it, and less tone than the strip's is held to twice the
    /// light; what can't be read as a density changes nothing.
    fn plate_tone_factor(&self) -> f64 {
        if self.plate_tone.0.is_nan() { 1.0 } else { self.plate_tone.reflectance().0.min(2.0) }
    }
}

/// A rectangle of the plate's face as a picture of so many pixels.
///
/// # Guarantees
/// The scale is within 0.05..=1000 px/mm, sides are 1..=60 000 px and 100 million in all, the origin within ±10 m of the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    origin: PointMm,
    px_per_mm: f64,
    width: usize,
    height: usize,
    mirrored: bool,
}

/// A window that can't be drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WindowError {
    /// The scale or the origin is not a number in range.
    Place {
        /// Origin that came, mm.
        origin: (f64, f64),
        /// Pixels a millimetre that came.
        px_per_mm: f64,
    },
    /// A side is empty or the picture too large.
    Size {
        /// Width that came, pixels.
        width: usize,
        /// Height that came, pixels.
        height: usize,
    },
}

impl fmt::Display for WindowError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Place { origin: (x, y), px_per_mm } => write!(
                f,
                "A window at 0.05 to 1000 px/mm within 10 m of the face was expected, {px_per_mm} px/mm at ({x}, {y}) mm came: zoom or move back to the face."
            ),
            Self::Size { width, height } => write!(
                f,
                "A window of 1 to 60000 pixels a side and at most 100 million was expected, {width} × {height} came: ask for a smaller picture."
            ),
        }
    }
}

impl std::error::Error for WindowError {}

impl Window {
    /// The part of the face that begins at `origin` (its top left corner in print view; it may lie off the face), in print view.
    ///
    /// # Errors
    /// When scale, origin or size are out of the ranges guaranteed.
    pub fn new(origin: PointMm, px_per_mm: f64, width: usize, height: usize) -> Result<Self, WindowError> {
        let near = |mm: f64| mm.abs() <= 10_000.0;
        if !(0.05..=1000.0).contains(&px_per_mm) || !near(origin.x) || !near(origin.y) {
            return Err(WindowError::Place { origin: (origin.x, origin.y), px_per_mm });
        }
        let side = 1..=60_000;
        if !side.contains(&width) || !side.contains(&height) || width * height > 100_000_000 {
            return Err(WindowError::Size { width, height });
        }
        Ok(Self { origin, px_per_mm, width, height, mirrored: false })
    }

    /// The same rectangle in the other view: left and right exchanged.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self { mirrored: !self.mirrored, ..self }
    }

    /// The same rectangle in print view.
    #[must_use]
    pub fn print_view(self) -> Self {
        Self { mirrored: false, ..self }
    }

    /// Where its top left corner lies, in print view.
    #[must_use]
    pub fn origin(&self) -> PointMm {
        self.origin
    }

    /// Pixels a millimetre.
    #[must_use]
    pub fn px_per_mm(&self) -> f64 {
        self.px_per_mm
    }

    /// Columns.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    #[must_use]
    pub fn height(&self) -> usize {
        self.height
    }

    /// Whether it shows the plate view.
    #[must_use]
    pub fn is_mirrored(&self) -> bool {
        self.mirrored
    }

    /// The whole face at the step map's own raster, which holds this window's guarantees but for its size.
    fn face(stop_outs: &StopOuts) -> Self {
        let plane = stop_outs.map().plane();
        let PxPerMm(px_per_mm) = stop_outs.resolution();
        Self { origin: PointMm::default(), px_per_mm, width: plane.width(), height: plane.height(), mirrored: false }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_windows_are_refused_in_sentences() {
        let at = |x: f64, px_per_mm: f64, width: usize, height: usize| Window::new(PointMm { x, y: 0.0 }, px_per_mm, width, height);
        assert!(at(-5.0, 4.0, 800, 600).is_ok());
        for wrong in [
            at(f64::NAN, 4.0, 8, 8),
            at(0.0, 0.0, 8, 8),
            at(0.0, f64::INFINITY, 8, 8),
            at(1e9, 4.0, 8, 8),
            at(0.0, 4.0, 0, 8),
            at(0.0, 4.0, usize::MAX, 2),
            at(0.0, 4.0, 20_000, 20_000),
            at(0.0, 4.0, 60_001, 1),
        ] {
            let said = wrong.unwrap_err().to_string();
            assert!(said.starts_with("A window") && said.ends_with('.'), "{said}");
        }
    }
}
