//! The measuring bars as a printer drew them, and what the sheets are stretched by to come out true.

use crate::plate::SizeMm;
use crate::units::Millimetres;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The length of a bar as it is drawn, mm.
pub(super) const DRAWN: Millimetres = Millimetres(100.0);
/// Readings this near to [`DRAWN`] are as good as a ruler tells, mm (common practice, no source).
pub(super) const GOOD: Millimetres = Millimetres(0.3);
/// Readings farther off than this come from a setting of the printer, not from its feed, mm.
pub(super) const MOST: Millimetres = Millimetres(3.0);

/// What a ruler reads on the two bars of 100 mm.
///
/// # Guarantees
/// Both are within 3 mm of the 100 mm drawn.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "(f64, f64)", into = "(f64, f64)")]
pub struct Bars {
    short: Millimetres,
    long: Millimetres,
}

/// Why readings of the bars can't be used.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum BarsError {
    /// One is no length.
    Length {
        /// What came for the bar along the short side, mm.
        short: f64,
        /// What came for the bar along the long side, mm.
        long: f64,
    },
    /// One is more than 3 mm off.
    Scaled {
        /// The reading along the short side, mm.
        short: f64,
        /// The reading along the long side, mm.
        long: f64,
    },
}

impl fmt::Display for BarsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Length { short, long } => write!(
                f,
                "Two lengths near 100 mm were expected for the measuring bars, {short} mm and {long} mm came: measure both bars on a printed \
                 sheet and type what the ruler says."
            ),
            Self::Scaled { short, long } => write!(
                f,
                "The bars were drawn 100 mm long and read {short} mm along the short side and {long} mm along the long side: more than 3 % is \
                 no fault of the printer's feed, so “fit to page” seems to be on. Print again at 100 % (“actual size”), then measure."
            ),
        }
    }
}

impl std::error::Error for BarsError {}

impl Bars {
    /// Readings along the paper's short side and along its long side, mm.
    ///
    /// # Errors
    /// When one is not a number above 0, or more than 3 mm off 100.
    pub fn new(short: Millimetres, long: Millimetres) -> Result<Self, BarsError> {
        let (of_short, of_long) = (short.0, long.0);
        if ![of_short, of_long].iter().all(|reading| reading.is_finite() && *reading > 0.0) {
            return Err(BarsError::Length { short: of_short, long: of_long });
        }
        // A reading of 97 is allowed whatever its last binary digit.
        if [of_short, of_long].iter().any(|reading| (reading - DRAWN.0).abs() > MOST.0 + 1e-9) {
            return Err(BarsError::Scaled { short: of_short, long: of_long });
        }
        Ok(Self { short, long })
    }

    /// Whether both are within 0.3 mm of 100 mm: then nothing is corrected, for a ruler tells no finer.
    #[must_use]
    pub fn good(self) -> bool {
        [self.short, self.long].iter().all(|reading| (reading.0 - DRAWN.0).abs() <= GOOD.0 + 1e-9)
    }

    /// What a drawing is stretched by along the paper's short side and along its long side; 1 and 1 where the readings are good.
    #[must_use]
    pub fn factors(self) -> (f64, f64) {
        if self.good() { (1.0, 1.0) } else { (DRAWN.0 / self.short.0, DRAWN.0 / self.long.0) }
    }

    /// What a page is stretched by across and down: on a page that lies on its side the two change places.
    #[must_use]
    pub fn across_and_down(self, page: SizeMm) -> (f64, f64) {
        let (short, long) = self.factors();
        if page.width.0 > page.height.0 { (long, short) } else { (short, long) }
    }

    /// What the sheets say of it.
    #[must_use]
    pub fn words(self) -> String {
        if self.good() {
            return "bars measured: true, nothing corrected".to_owned();
        }
        let (short, long) = self.factors();
        format!("corrected for this printer: × {short:.3} and × {long:.3}")
    }

    /// The same in few words.
    pub(super) fn brief(self) -> String {
        if self.good() {
            return "bars measured: true".to_owned();
        }
        let (short, long) = self.factors();
        format!("bars × {short:.3}, × {long:.3}")
    }
}

impl TryFrom<(f64, f64)> for Bars {
    type Error = BarsError;

    fn try_from((short, long): (f64, f64)) -> Result<Self, BarsError> {
        Self::new(Millimetres(short), Millimetres(long))
    }
}

impl From<Bars> for (f64, f64) {
    fn from(bars: Bars) -> Self {
        (bars.short.0, bars.long.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn page(width: f64, height: f64) -> SizeMm {
        SizeMm { width: Millimetres(width), height: Millimetres(height) }
    }

    #[test]
    fn readings_stretch_each_side_by_itself_and_change_places_on_a_turned_page() {
        let bars = Bars::try_from((98.6, 99.4)).unwrap();
        let (across, down) = bars.across_and_down(page(210.0, 297.0));
        // A printer that draws 98.6 for 100 draws 100 for 101.42.
        assert_relative_eq!(across * 98.6, 100.0, epsilon = 1e-9);
        assert_relative_eq!(down * 99.4, 100.0, epsilon = 1e-9);
        assert_eq!(bars.across_and_down(page(297.0, 210.0)), (down, across));
        assert_eq!(bars.words(), "corrected for this printer: × 1.014 and × 1.006");
    }

    #[test]
    fn good_readings_correct_nothing() {
        let bars = Bars::try_from((99.7, 100.3)).unwrap();
        assert!(bars.good() && bars.factors() == (1.0, 1.0) && bars.words().contains("nothing corrected"));
        assert!(!Bars::try_from((99.6, 100.0)).unwrap().good());
    }

    #[test]
    fn what_is_no_reading_is_refused_in_a_sentence() {
        for (short, long) in [(0.0, 100.0), (100.0, -3.0), (f64::NAN, 100.0), (100.0, f64::INFINITY)] {
            let error = Bars::try_from((short, long)).unwrap_err();
            assert!(matches!(error, BarsError::Length { .. }) && error.to_string().contains("measure both bars"));
        }
        for (short, long) in [(96.9, 100.0), (100.0, 103.1), (94.1, 94.1)] {
            let error = Bars::try_from((short, long)).unwrap_err();
            assert!(error.to_string().contains("“fit to page” seems to be on"), "{error}");
        }
        assert!(Bars::try_from((97.0, 103.0)).is_ok());
    }

    proptest! {
        #[test]
        fn what_is_accepted_comes_out_at_100_within_what_a_ruler_tells(short in 90.0_f64..110.0, long in 90.0_f64..110.0) {
            let Ok(bars) = Bars::try_from((short, long)) else {
                prop_assert!((short - 100.0).abs() > 3.0 || (long - 100.0).abs() > 3.0);
                return Ok(());
            };
            let (of_short, of_long) = bars.factors();
            prop_assert!((of_short * short - 100.0).abs() <= 0.3 + 1e-6 && (of_long * long - 100.0).abs() <= 0.3 + 1e-6);
        }
    }
}
