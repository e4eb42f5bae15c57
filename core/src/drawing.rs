//! The drawing: bytes of a picture file to linear-light luminance.
use crate::light::Lightness;

/// The drawing's two ends: the lightness of its paper and of its black.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// Paper: 99.5th percentile of Y.
    pub paper: Lightness,
    /// Black: 0.5th percentile of Y.
    pub black: Lightness,
}
