//! Lengths, times and resolutions, each its own type, and every conversion factor of the project, once.

use serde::{Deserialize, Serialize};

/// Millimetres in an inch, exact since 1959.
pub const MM_PER_INCH: f64 = 25.4;

/// Points in an inch: ISO 32000-1:2008, 8.3.2.3, the default user unit of a PDF page.
pub const POINTS_PER_INCH: f64 = 72.0;

/// A length in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Millimetres(pub f64);

impl Millimetres {
    /// A length given in inches.
    #[must_use]
    pub fn from_inches(inches: f64) -> Self {
        Self(inches * MM_PER_INCH)
    }

    /// The length in inches.
    #[must_use]
    pub fn inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }

    /// The length in PDF points, 72 to the inch, unrounded.
    #[must_use]
    pub fn points(self) -> f64 {
        self.0 * POINTS_PER_INCH / MM_PER_INCH
    }
}

/// A time in seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Seconds(pub f64);

impl Seconds {
    /// Rounded to what a hand can do at the bath: whole seconds under 20 s, five seconds from there on.
    ///
    /// The grain of the rounding is common practice, no source.
    #[must_use]
    pub fn by_hand(self) -> Self {
        let grain = if self.0 < 20.0 { 1.0 } else { 5.0 };
        Self(libm::round(self.0 / grain) * grain)
    }

    /// As [`Seconds::by_hand`], never longer than it is.
    #[must_use]
    pub fn by_hand_short(self) -> Self {
        let grain = if self.0 < 20.0 { 1.0 } else { 5.0 };
        Self(libm::floor(self.0 / grain) * grain)
    }

    /// As a clock shows it, minutes and seconds: `1:05`. Rounded to the second.
    #[must_use]
    pub fn clock(self) -> String {
        let whole = libm::round(self.0.max(0.0)) as u64;
        format!("{}:{:02}", whole / 60, whole % 60)
    }
}

/// A resolution in pixels a millimetre, above zero and finite.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PxPerMm(pub f64);

impl PxPerMm {
    /// Pixels that a length spans, unrounded.
    #[must_use]
    pub fn px(self, length: Millimetres) -> f64 {
        length.0 * self.0
    }

    /// The length that pixels span.
    #[must_use]
    pub fn mm(self, px: f64) -> Millimetres {
        Millimetres(px / self.0)
    }

    /// Pixels a metre, rounded, as the pHYs chunk of a PNG wants them (ISO/IEC 15948, 11.3.5.3).
    #[must_use]
    pub fn per_metre(self) -> u32 {
        libm::round(self.0 * 1000.0) as u32
    }
}

/// A point on the plate face in millimetres: x to the right, y down, from the face's top left corner, in print view.
///
/// Written as `[x, y]`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(from = "(f64, f64)", into = "(f64, f64)")]
pub struct PointMm {
    /// To the right, mm.
    pub x: f64,
    /// Down, mm.
    pub y: f64,
}

impl From<(f64, f64)> for PointMm {
    fn from((x, y): (f64, f64)) -> Self {
        Self { x, y }
    }
}

impl From<PointMm> for (f64, f64) {
    fn from(point: PointMm) -> Self {
        (point.x, point.y)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn paper_sizes_in_points_are_exact() {
        // facts from ISO 216 and ANSI Y14.1 sizes in mm, at 72/25.4 points a millimetre.
        assert_relative_eq!(Millimetres(210.0).points(), 595.275_590_551, epsilon = 1e-6);
        assert_relative_eq!(Millimetres(297.0).points(), 841.889_763_780, epsilon = 1e-6);
        assert_relative_eq!(Millimetres(215.9).points(), 612.0, epsilon = 1e-9);
        assert_relative_eq!(Millimetres::from_inches(11.0).0, 279.4, epsilon = 1e-9);
    }

    #[test]
    fn resolutions_convert_both_ways() {
        assert_eq!(PxPerMm(10.0).per_metre(), 10_000);
        // ISO/IEC 15948 counts pixels a metre: 300 to the inch is 11811.
        assert_eq!(PxPerMm(300.0 / MM_PER_INCH).per_metre(), 11_811);
        assert_relative_eq!(PxPerMm(12.0).mm(PxPerMm(12.0).px(Millimetres(7.5))).0, 7.5);
    }

    #[test]
    fn times_round_to_what_a_hand_can_do() {
        let shown: Vec<f64> = [7.4, 15.4, 19.4, 19.6, 26.4, 42.6, 561.5].map(|s| Seconds(s).by_hand().0).to_vec();
        assert_eq!(shown, [7.0, 15.0, 19.0, 20.0, 25.0, 45.0, 560.0]);
        assert_eq!([7.9, 19.9, 24.9, 25.0].map(|s| Seconds(s).by_hand_short().0), [7.0, 19.0, 20.0, 25.0]);
        assert_eq!(Seconds(65.2).clock(), "1:05");
        assert_eq!(Seconds(-3.0).clock(), "0:00");
    }
}
