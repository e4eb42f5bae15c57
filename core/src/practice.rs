//! The printer's practice at the bath: how exactly bands are read, how exactly a hand lifts, and what each dip costs or adds.
//!
//! A plate does not bite from the first second of a dip (air and film must go first: the *restart lag*), and goes on a little after it
//! is lifted (the *drag-out*, acid that drains from it). What bites is then not the clock's sum but
//! `T_eff = Σ (Δ_j + drag − lag)`, one term a dip. Both are the printer's own figures, zero unless given: one dip of 60 s beside six
//! of 10 s shows them.

use crate::units::Seconds;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Standard deviation of one reading of a band, L*.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadingError(f64);

impl ReadingError {
    /// Least and greatest, L*. Estimate of ours.
    pub const RANGE: (f64, f64) = (0.1, 10.0);

    /// A reading error, L*.
    ///
    /// # Errors
    /// Outside [`ReadingError::RANGE`].
    pub fn new(l: f64) -> Result<Self, PracticeError> {
        within("The reading error", "L*", l, Self::RANGE).map(Self)
    }

    /// Standard deviation, L*.
    #[must_use]
    pub fn l(self) -> f64 {
        self.0
    }
}

impl Default for ReadingError {
    /// 1 L*. Estimate of ours.
    fn default() -> Self {
        Self(1.0)
    }
}

/// What a hand costs at each dip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handling {
    slack: Seconds,
    lag: Seconds,
    drag: Seconds,
}

impl Handling {
    /// Least and greatest slack, s. Estimate of ours.
    pub const SLACK: (f64, f64) = (0.5, 30.0);

    /// Least and greatest lag and drag-out, s. Estimate of ours.
    pub const RESTART: (f64, f64) = (0.0, 30.0);

    /// `slack`: how far a hand may be off in lifting, draining and rinsing. `lag`: what passes at each dip before it bites. `drag`: how
    /// long it bites on after lifting.
    ///
    /// # Errors
    /// A time outside [`Handling::SLACK`] or [`Handling::RESTART`].
    pub fn new(slack: Seconds, lag: Seconds, drag: Seconds) -> Result<Self, PracticeError> {
        Ok(Self {
            slack: Seconds(within("The handling slack", "s", slack.0, Self::SLACK)?),
            lag: Seconds(within("The restart lag", "s", lag.0, Self::RESTART)?),
            drag: Seconds(within("The drag-out", "s", drag.0, Self::RESTART)?),
        })
    }

    /// How far a hand may be off.
    #[must_use]
    pub fn slack(self) -> Seconds {
        self.slack
    }

    /// Bites shorter than this are a gamble: three times the slack, so that the hand spoils at most a third of the bite.
    #[must_use]
    pub fn shortest_bite(self) -> Seconds {
        Seconds(3.0 * self.slack.0)
    }

    /// What each dip adds to the clock's time, `drag − lag`; less than zero where the lag is the longer.
    #[must_use]
    pub fn restart(self) -> Seconds {
        Seconds(self.drag.0 - self.lag.0)
    }

    /// Restart lag of one dip.
    #[must_use]
    pub fn lag(self) -> Seconds {
        self.lag
    }

    /// Drag-out of one dip.
    #[must_use]
    pub fn drag(self) -> Seconds {
        self.drag
    }
}

impl Default for Handling {
    /// 2 s of slack, an estimate of ours from memory; no lag, no drag-out.
    fn default() -> Self {
        Self { slack: Seconds(2.0), lag: Seconds(0.0), drag: Seconds(0.0) }
    }
}

/// How a test strip was made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Made {
    /// In one dip, drawn out band by band: each band was dipped once.
    #[default]
    OneDip,
    /// By covering a band between dips: the n-th bitten band was dipped n times.
    Covered,
}

impl Made {
    /// How often a band was dipped; band 0 is the paper.
    #[must_use]
    pub fn dips(self, band: usize) -> usize {
        match self {
            Self::OneDip => band.min(1),
            Self::Covered => band,
        }
    }
}

/// How a strip was made and read, and how plates are dipped.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Practice {
    /// How exactly bands are read.
    pub error: ReadingError,
    /// What a hand costs at each dip.
    pub handling: Handling,
    /// How the strip was made.
    pub made: Made,
}

/// A figure of the printer's that can't be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PracticeError {
    what: &'static str,
    unit: &'static str,
    came: f64,
    range: (f64, f64),
}

impl fmt::Display for PracticeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { what, unit, came, range: (low, high) } = self;
        write!(f, "{what} runs from {low} to {high} {unit}, {came} came: choose a value within.")
    }
}

impl std::error::Error for PracticeError {}

fn within(what: &'static str, unit: &'static str, came: f64, range: (f64, f64)) -> Result<f64, PracticeError> {
    if (range.0..=range.1).contains(&came) { Ok(came) } else { Err(PracticeError { what, unit, came, range }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dips_of_a_band() {
        assert_eq!([0, 1, 2, 8].map(|band| Made::OneDip.dips(band)), [0, 1, 1, 1]);
        assert_eq!([0, 1, 2, 8].map(|band| Made::Covered.dips(band)), [0, 1, 2, 8]);
    }

    #[test]
    fn figures_out_of_range_are_refused_in_a_sentence() {
        for wrong in [0.0, 10.1, f64::NAN, f64::INFINITY] {
            assert!(ReadingError::new(wrong).unwrap_err().to_string().starts_with("The reading error runs from 0.1 to 10 L*"));
        }
        let s = Seconds;
        assert!(Handling::new(s(0.4), s(0.0), s(0.0)).unwrap_err().to_string().contains("slack"));
        assert!(Handling::new(s(2.0), s(-1.0), s(0.0)).unwrap_err().to_string().contains("lag"));
        assert!(Handling::new(s(2.0), s(0.0), s(31.0)).unwrap_err().to_string().contains("drag-out"));
        let handling = Handling::new(s(3.0), s(2.0), s(0.5)).unwrap();
        assert_eq!((handling.restart(), handling.shortest_bite()), (s(-1.5), s(9.0)));
    }
}
