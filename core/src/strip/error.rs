//! Why a strip can't be used, in sentences.

use super::{LONGEST, MOST_BANDS, SHORTEST_STEP, SMALLEST_RANGE};
use std::fmt;

/// Why a strip can't be used.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum StripError {
    /// The strip has no name, and no time is shown without one.
    NoName,
    /// The strip file is not UTF-8 text.
    Encoding,
    /// The first line of the strip file is not one of the three headers.
    Header {
        /// The line that came, shortened.
        came: String,
    },
    /// A line of the strip file has not two columns.
    Columns {
        /// Line of the file, from 1.
        line: usize,
        /// The line that came, shortened.
        came: String,
        /// How many columns it has.
        columns: usize,
    },
    /// A cell of the strip file is no number.
    Number {
        /// Line of the file, from 1.
        line: usize,
        /// Name of the column.
        column: &'static str,
        /// What came, shortened.
        came: String,
    },
    /// A number of the strip file lies outside what its column may hold.
    Value {
        /// Line of the file, from 1.
        line: usize,
        /// Name of the column.
        column: &'static str,
        /// What came.
        came: f64,
        /// Least and greatest it may be.
        range: (f64, f64),
    },
    /// Fewer than three bands, the paper counted.
    Few {
        /// How many came.
        bands: usize,
    },
    /// More than [`MOST_BANDS`] bitten bands.
    Many {
        /// How many came.
        bands: usize,
    },
    /// A total is no number of seconds within [`LONGEST`].
    Total {
        /// Which band, 1 = the paper.
        band: usize,
        /// Its total, s.
        seconds: f64,
    },
    /// The first band is not the paper at 0 s.
    Paper {
        /// Total of the first band, s.
        seconds: f64,
    },
    /// A total does not lie beyond the one before.
    Order {
        /// Which band, 1 = the paper.
        band: usize,
        /// Total of the band before, s.
        before: f64,
        /// Its own total, s.
        seconds: f64,
        /// The longest band where the figures are totals, s.
        as_totals: f64,
        /// The longest band where they are dips that add up, s.
        as_dips: f64,
    },
    /// A lightness is not within 0..=100.
    Lightness {
        /// Total of the band, s.
        seconds: f64,
        /// Its L*.
        lightness: f64,
    },
    /// The darkest band is the paper, though the strip has a range: it lies the wrong way round.
    Inverted {
        /// L* of the paper.
        paper: f64,
        /// L* of the lightest band.
        lightest: f64,
    },
    /// Paper and darkest band are too near each other.
    Range {
        /// L* of the paper.
        paper: f64,
        /// L* of the darkest band.
        darkest: f64,
    },
}

impl fmt::Display for StripError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoName => write!(f, "The strip has no name: give it one, so that every time says which strip it rests on."),
            Self::Encoding => write!(f, "The strip file is not UTF-8 text: save it as plain CSV in UTF-8."),
            Self::Header { came } => write!(
                f,
                "Line 1 of the strip file should be \"seconds,lightness\", \"seconds,density\" or \"seconds,reflectance\", {came} came: \
                 write one of the three."
            ),
            Self::Columns { line, came, columns } => write!(
                f,
                "Line {line} of the strip file should hold two numbers with a comma between, {came} ({columns} {}) came: write one band \
                 a line, with a decimal point, as in \"20,72.5\".",
                if *columns == 1 { "column" } else { "columns" }
            ),
            Self::Number { line, column, came } => write!(
                f,
                "Line {line} of the strip file should hold a number under \"{column}\", {came} came: write digits with a decimal point, \
                 as in \"20,72.5\"."
            ),
            Self::Value { line, column, came, range: (low, high) } => write!(
                f,
                "Line {line} of the strip file holds {came} under \"{column}\", which runs from {low} to {high}: {}.",
                match *column {
                    "reflectance" => "write shares of 1, 0.85 for 85 %",
                    "density" => "write absolute densities, taken against the perfect white and not against the paper",
                    "seconds" => "write total times in seconds",
                    _ => "write absolute L* of the dry print",
                }
            ),
            Self::Few { bands } => write!(
                f,
                "A strip needs the paper and at least two bitten bands, three in all; {bands} came: read more bands, or bite a longer strip."
            ),
            Self::Many { bands } => {
                write!(
                    f,
                    "A strip may have up to {MOST_BANDS} bitten bands, {bands} came: take those that tell its curve, and leave some out."
                )
            }
            Self::Total { band, seconds } => write!(
                f,
                "Band {band} of the strip has a total of {seconds} s; totals run from 0 to {} s: write total times in seconds.",
                LONGEST.0
            ),
            Self::Paper { seconds } => write!(
                f,
                "The first band of the strip should be the paper at 0 s, {seconds} s came: add the reading of the unbitten band first."
            ),
            Self::Order { band, before, seconds, as_totals, as_dips } => write!(
                f,
                "Band {band} of the strip is at {seconds} s after a band at {before} s, but totals rise by {} s or more: these look like \
                 the times of single dips. Read as totals the longest band is {as_totals} s, read as dips that add up it is {as_dips} s: \
                 write the TOTAL time each band was in the bath, shortest first.",
                SHORTEST_STEP.0
            ),
            Self::Lightness { seconds, lightness } => {
                write!(f, "The band at {seconds} s reads L* {lightness}; L* runs from 0 (black) to 100 (perfect white): read it again.")
            }
            Self::Inverted { paper, lightest } => write!(
                f,
                "The first band, the paper, reads L* {paper:.1} and is the darkest; the lightest reads L* {lightest:.1}: L* falls as a strip \
                 darkens, so look whether the readings were typed in the other order, or as densities."
            ),
            Self::Range { paper, darkest } => write!(
                f,
                "The strip runs from L* {paper:.1} (paper) to L* {darkest:.1} only, {SMALLEST_RANGE} L* are needed to tell two tones apart: \
                 bite a longer band."
            ),
        }
    }
}

impl std::error::Error for StripError {}
