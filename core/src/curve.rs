//! One curve through a strip: lightness over total time, and back.
use crate::light::Lightness;
use crate::strip::TestStrip;
use crate::units::Seconds;

/// Monotone curve of L* over ln(1 + t/5 s).
#[derive(Clone, Debug)]
pub struct BiteCurve {
    _strip: TestStrip,
}

impl BiteCurve {
    /// Lightness at a total time; never beyond the strip's last usable band.
    #[must_use]
    pub fn lightness_at(&self, _total: Seconds) -> Lightness {
        todo!()
    }
    /// Lightness of the paper (total 0 s).
    #[must_use]
    pub fn paper(&self) -> Lightness {
        todo!()
    }
    /// Darkest usable reading.
    #[must_use]
    pub fn darkest(&self) -> Lightness {
        todo!()
    }
}
