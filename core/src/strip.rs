//! The printer's own test strip: total times in the bath and the lightness each printed at.
use crate::light::Lightness;
use crate::units::Seconds;
use serde::Serialize;

/// Whose strip it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum StripKind {
    /// Read off a strip of the printer's own.
    Measured,
    /// The worked example: EXAMPLE, NOT YOUR BATH.
    Example,
}

/// One band of a strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Total time in the bath.
    pub total: Seconds,
    /// Lightness of the dry print.
    pub lightness: Lightness,
}

/// A checked strip.
#[derive(Clone, Debug, PartialEq)]
pub struct TestStrip {
    id: String,
    kind: StripKind,
    readings: Vec<Reading>,
}

impl TestStrip {
    /// Name of the strip.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }
    /// Whose strip it is.
    #[must_use]
    pub fn kind(&self) -> StripKind {
        self.kind
    }
    /// The bands, shortest total first.
    #[must_use]
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }
}
