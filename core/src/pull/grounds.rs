//! What the ink falls on: the bare sheet, or a thin paper that was laid on it, point by point.

use crate::colour::Rgb;
use crate::plane::Plane;
use crate::units::PxPerMm;

/// The colours under the ink.
#[derive(Clone, Debug, PartialEq)]
pub struct Grounds {
    /// Each ground's colour; the first is the bare sheet.
    pub colours: Vec<Rgb>,
    /// Which of them lies where, over the whole face in print view; none = the first everywhere.
    pub map: Option<(Plane<u8>, PxPerMm)>,
}

impl Grounds {
    /// A bare sheet.
    #[must_use]
    pub fn bare(sheet: Rgb) -> Self {
        Self { colours: vec![sheet], map: None }
    }
}
