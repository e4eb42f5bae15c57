//! What keeps the days from being laid out.

use super::{MOST_PLATES, TrayError};
use crate::day::DayError;
use std::fmt;

/// Hours, minutes, plates or a tray that can't be.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum DaysError {
    /// Hours or minutes.
    Day(DayError),
    /// The tray.
    Tray(TrayError),
    /// More plates than [`MOST_PLATES`].
    Plates(
        /// How many came.
        usize,
    ),
}

impl fmt::Display for DaysError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Day(error) => error.fmt(f),
            Self::Tray(error) => error.fmt(f),
            Self::Plates(came) => {
                write!(f, "A day is planned for at most {MOST_PLATES} plates at one bath; {came} came: plan them in parts.")
            }
        }
    }
}

impl std::error::Error for DaysError {}

impl From<DayError> for DaysError {
    fn from(error: DayError) -> Self {
        Self::Day(error)
    }
}

impl From<TrayError> for DaysError {
    fn from(error: TrayError) -> Self {
        Self::Tray(error)
    }
}
