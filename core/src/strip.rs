//! The printer's own test strip: total times in the bath and the lightness each printed at.

use crate::light::Lightness;
use crate::units::Seconds;
use serde::{Deserialize, Serialize};

mod csv;
mod error;
pub mod pasted;
mod quantity;
mod quoted;
pub mod typed;
mod verdict;
pub use error::StripError;
pub use quantity::Quantity;
pub use verdict::{After, SHORT_OF_OVER_BITE, Verdict};

/// Longest total a band may have, a day: more is a slip of the pen. Estimate of ours.
pub const LONGEST: Seconds = Seconds(86_400.0);

/// Least time between two bands: no hand lifts a plate more exactly. Estimate of ours.
pub const SHORTEST_STEP: Seconds = Seconds(0.1);

/// Most bitten bands a strip may have: more than anyone bites or reads.
pub const MOST_BANDS: usize = 60;

/// Least L* from paper to darkest band: 3 to tell two tones apart, 1 of reserve, 1 of reading error. Estimate of ours.
pub const SMALLEST_RANGE: f64 = 5.0;

/// Whose strip it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StripKind {
    /// Read off a strip of the printer's own.
    Measured,
    /// The worked example: EXAMPLE, NOT YOUR BATH.
    Example,
    /// There is none yet: tones and pictures stand on the example's lightness, and no time is shown anywhere.
    Missing,
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
///
/// # Guarantees
/// A name; three bands or more, the paper counted, and up to [`MOST_BANDS`] bitten ones; the first at 0 s, the paper; totals rise by [`SHORTEST_STEP`] or more, up to [`LONGEST`]; every L* lies
/// within 0..=100; the darkest band is not the paper, but darker by [`SMALLEST_RANGE`] or more. L* need not fall from band to band:
/// [`Verdict`] says what to make of it where it does not.
#[derive(Clone, Debug, PartialEq)]
pub struct TestStrip {
    id: String,
    kind: StripKind,
    readings: Vec<Reading>,
}

impl TestStrip {
    /// Checks a strip. Nothing is sorted or left out for the printer: what does not fit is named.
    ///
    /// # Errors
    /// Whatever of the guarantees above does not hold.
    pub fn new(id: &str, kind: StripKind, readings: Vec<Reading>) -> Result<Self, StripError> {
        // A name is shown within sentences: one line, single blanks.
        let words = id.split(|c: char| c.is_whitespace() || c.is_control()).filter(|word| !word.is_empty());
        let id = words.collect::<Vec<_>>().join(" ");
        if id.is_empty() {
            return Err(StripError::NoName);
        }
        check_totals(&readings)?;
        check_lightness(&readings)?;
        Ok(Self { id, kind, readings })
    }

    /// The worked example 15-A, invented for the demo: EXAMPLE, NOT YOUR BATH.
    #[must_use]
    pub fn example() -> Self {
        const BANDS: [(f64, f64); 9] =
            [(0.0, 91.0), (5.0, 86.0), (10.0, 80.5), (20.0, 72.0), (40.0, 61.0), (80.0, 48.5), (160.0, 36.5), (320.0, 27.0), (640.0, 20.5)];
        let readings = BANDS.map(|(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).to_vec();
        Self { id: "15-A".to_owned(), kind: StripKind::Example, readings }
    }

    /// No strip yet. It has the example's readings, for pictures need a paper and a black; its times are nobody's and never shown.
    #[must_use]
    pub fn missing() -> Self {
        Self { id: "none yet".to_owned(), kind: StripKind::Missing, ..Self::example() }
    }

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

fn check_totals(readings: &[Reading]) -> Result<(), StripError> {
    if readings.len() < 3 {
        return Err(StripError::Few { bands: readings.len() });
    }
    if readings.len() > MOST_BANDS + 1 {
        return Err(StripError::Many { bands: readings.len() - 1 });
    }
    for (i, reading) in readings.iter().enumerate() {
        let (band, seconds) = (i + 1, reading.total.0);
        if !(0.0..=LONGEST.0).contains(&seconds) {
            return Err(StripError::Total { band, seconds });
        }
        if i == 0 && seconds > 0.0 {
            return Err(StripError::Paper { seconds });
        }
        // A hair of slack, so that 0.3 after 0.2 passes though binary fractions put it a little nearer.
        if i > 0 && seconds - readings[i - 1].total.0 < SHORTEST_STEP.0 - 1e-9 {
            return Err(order(readings, i));
        }
    }
    Ok(())
}

/// Totals out of order, with the longest band by either reading: as totals the longest figure, as dips their sum.
fn order(readings: &[Reading], i: usize) -> StripError {
    let seconds = || readings.iter().map(|r| r.total.0);
    StripError::Order {
        band: i + 1,
        before: readings[i - 1].total.0,
        seconds: readings[i].total.0,
        as_totals: seconds().fold(0.0, f64::max),
        as_dips: seconds().sum(),
    }
}

fn check_lightness(readings: &[Reading]) -> Result<(), StripError> {
    if let Some(reading) = readings.iter().find(|r| !(0.0..=100.0).contains(&r.lightness.0)) {
        return Err(StripError::Lightness { seconds: reading.total.0, lightness: reading.lightness.0 });
    }
    let all = || readings.iter().map(|r| r.lightness.0);
    let (paper, darkest, lightest) = (readings[0].lightness.0, all().fold(100.0, f64::min), all().fold(0.0, f64::max));
    if paper - darkest < SMALLEST_RANGE {
        let inverted = paper <= darkest && lightest - paper >= SMALLEST_RANGE;
        return Err(if inverted { StripError::Inverted { paper, lightest } } else { StripError::Range { paper, darkest } });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strip(bands: &[(f64, f64)]) -> Result<TestStrip, StripError> {
        let readings = bands.iter().map(|&(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).collect();
        TestStrip::new("test", StripKind::Measured, readings)
    }

    #[test]
    fn the_example_holds_what_a_checked_strip_holds() {
        let example = TestStrip::example();
        let checked = TestStrip::new(example.id(), example.kind(), example.readings().to_vec()).unwrap();
        assert_eq!(checked, example);
        assert_eq!((example.id(), example.kind()), ("15-A", StripKind::Example));
    }

    #[test]
    fn names_are_one_line_and_never_empty() {
        let readings = TestStrip::example().readings().to_vec();
        let named = |id: &str| TestStrip::new(id, StripKind::Measured, readings.clone());
        assert_eq!(named("  14\n\t B ").unwrap().id(), "14 B");
        assert_eq!(named(" \n"), Err(StripError::NoName));
    }

    #[test]
    fn a_strip_need_not_fall_from_band_to_band() {
        // Strips 14-B (over-bitten at its end) and 14-C (a pair that disagrees) of the demo.
        assert!(strip(&[(0.0, 89.0), (160.0, 47.0), (320.0, 37.0), (480.0, 40.5), (640.0, 45.5)]).is_ok());
        assert!(strip(&[(0.0, 89.0), (20.0, 74.0), (40.0, 63.0), (80.0, 64.5), (160.0, 47.0)]).is_ok());
        assert!(strip(&[(0.0, 89.0), (5.0, 90.0), (10.0, 60.0)]).is_ok());
    }

    #[test]
    fn a_strip_the_wrong_way_round_or_level_is_refused() {
        let said = strip(&[(0.0, 20.0), (5.0, 50.0), (10.0, 90.0)]).unwrap_err().to_string();
        assert!(said.contains("L* 20.0 and is the darkest; the lightest reads L* 90.0"), "{said}");
        assert_eq!(strip(&[(0.0, 60.0), (5.0, 60.0), (10.0, 60.0)]), Err(StripError::Range { paper: 60.0, darkest: 60.0 }));
        assert_eq!(strip(&[(0.0, 60.0), (5.0, 57.0), (10.0, 90.0)]), Err(StripError::Range { paper: 60.0, darkest: 57.0 }));
    }

    #[test]
    fn dips_typed_for_totals_are_refused() {
        // Strip 14-D of the demo: 0 5 5 10 20 … are dips.
        let typed = [0.0, 5.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 160.0, 160.0];
        let bands: Vec<(f64, f64)> = typed.iter().enumerate().map(|(i, &s)| (s, 89.0 - 5.0 * i as f64)).collect();
        let said = strip(&bands).unwrap_err().to_string();
        for part in ["Band 3", "single dips", "the longest band is 160 s", "it is 640 s", "TOTAL"] {
            assert!(said.contains(part), "{part} in {said}");
        }
        assert!(matches!(strip(&[(0.0, 89.0), (10.0, 85.0), (5.0, 81.0)]), Err(StripError::Order { band: 3, .. })));
        assert!(strip(&[(0.0, 89.0), (0.2, 85.0), (0.3, 81.0)]).is_ok());
    }

    #[test]
    fn the_rest_of_what_is_refused() {
        assert_eq!(strip(&[]), Err(StripError::Few { bands: 0 }));
        let many: Vec<(f64, f64)> = (0..=61).map(|i| (f64::from(i), 90.0 - f64::from(i))).collect();
        assert_eq!(strip(&many), Err(StripError::Many { bands: 61 }));
        assert!(strip(&many[..61]).is_ok());
        assert!(strip(&many).unwrap_err().to_string().starts_with("A strip may have up to 60 bitten bands, 61 came"));
        assert_eq!(strip(&[(0.0, 90.0), (5.0, 50.0)]), Err(StripError::Few { bands: 2 }));
        assert_eq!(strip(&[(5.0, 90.0), (10.0, 50.0), (20.0, 30.0)]), Err(StripError::Paper { seconds: 5.0 }));
        assert!(matches!(strip(&[(0.0, 90.0), (f64::NAN, 50.0), (9.0, 30.0)]), Err(StripError::Total { band: 2, .. })));
        assert!(matches!(strip(&[(0.0, 90.0), (5.0, 50.0), (f64::INFINITY, 30.0)]), Err(StripError::Total { band: 3, .. })));
        assert!(matches!(strip(&[(-1.0, 90.0), (5.0, 50.0), (9.0, 30.0)]), Err(StripError::Total { band: 1, .. })));
        assert!(matches!(strip(&[(0.0, 90.0), (5.0, f64::NAN), (9.0, 30.0)]), Err(StripError::Lightness { .. })));
        assert!(matches!(strip(&[(0.0, 101.0), (5.0, 50.0), (9.0, 30.0)]), Err(StripError::Lightness { .. })));
        assert!(matches!(strip(&[(0.0, 90.0), (5.0, 88.0), (9.0, 86.0)]), Err(StripError::Range { .. })));
        let said = strip(&[(0.0, 90.0), (5.0, 88.0), (9.0, 86.0)]).unwrap_err().to_string();
        assert!(said.contains("90.0") && said.contains("86.0") && said.ends_with("longer band."), "{said}");
    }
}
