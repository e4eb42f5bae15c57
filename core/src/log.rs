//! The log of the bench: what was really done to the metal, in the order it was done.
//!
//! It is append-only. An entry is never changed or taken out; what was written wrong is put right by another entry. Where the plate stands
//! ([`Standing`]) follows from the entries alone, so that the same log gives the same answer anywhere.
//!
//! Times of day come from the page: nothing here reads a clock.

use crate::units::Seconds;
use serde::{Deserialize, Serialize};
use std::fmt;

mod standing;
pub use standing::{Dip, Next, Standing, Way};

/// The most entries a log may have: far more than sixteen tones, their corrections and their notes need.
pub const MOST_ENTRIES: usize = 10_000;
/// The longest single time at the bath that is taken for one, s: a day.
pub const LONGEST: Seconds = Seconds(86_400.0);
/// Most letters of a note.
pub const MOST_LETTERS: usize = 2_000;

/// One entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// When it was written, ms since 1970-01-01 00:00 UTC by the clock of the page. Nothing is reckoned from it.
    pub at_ms: f64,
    /// The printer's own words; may be empty.
    #[serde(default)]
    pub note: String,
    /// What was done.
    #[serde(flatten)]
    pub what: What,
}

/// What was done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum What {
    /// The plate came to this log already bitten: bites 1 to n, each after its stop-out. Only as the first entry.
    Begun {
        /// How long each took, s.
        bites_s: Vec<Seconds>,
        /// What the strip's times are multiplied by as this is written down; none: as when it is read again.
        #[serde(default)]
        factor: Option<f64>,
    },
    /// A stop-out is painted and looked over: what it covers is frozen from here on.
    Painted {
        /// 1 to N−1.
        stop_out: usize,
        /// Minutes it took; none: not noted.
        minutes: Option<f64>,
    },
    /// A bite is over, the plate out.
    Bitten {
        /// 1 to N−1.
        bite: usize,
        /// What the clock was set to, s; 0: nothing, for there was no strip, and the clock counted up.
        planned_s: Seconds,
        /// How long it was in, s.
        actual_s: Seconds,
        /// The bath, °C, where it was read.
        celsius: Option<f64>,
        /// What the strip's times were multiplied by when it bit; none: as when it is read again.
        #[serde(default)]
        factor: Option<f64>,
        /// Whether the plate stayed in from the bite before: one dip for both, as where a tone is lacking between.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        joined: bool,
    },
    /// The plate was put back for the same bite, before anything more was painted: a dip of its own.
    PutBack {
        /// The bite last logged.
        bite: usize,
        /// What the clock was set to, s; 0: nothing, for there was no strip, and the clock counted up.
        planned_s: Seconds,
        /// How long it was in, s.
        actual_s: Seconds,
        /// The bath, °C, where it was read.
        celsius: Option<f64>,
        /// What the strip's times were multiplied by when it bit; none: as when it is read again.
        #[serde(default)]
        factor: Option<f64>,
    },
    /// How to go on after a bite that left the next one too little, as the printer chose.
    Way {
        /// The bite last logged.
        bite: usize,
        /// The tones still to bite, with their totals as chosen.
        rungs: Vec<Chosen>,
        /// Tones that print as the one just bitten, because their bites are dropped.
        joined: Vec<usize>,
    },
    /// An earlier entry was wrong.
    Corrected {
        /// Which: its place in the log, from 0.
        entry: usize,
        /// What holds instead.
        to: Instead,
    },
}

/// One tone of a chosen way on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Chosen {
    /// Which tone.
    pub tone: usize,
    /// L* it is to print at.
    pub lightness: f64,
    /// Its total on the clock, exact, s.
    pub total_s: Seconds,
    /// The same rounded to what a hand can do, s.
    pub shown_s: Seconds,
}

/// What holds instead of a wrong entry.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Instead {
    /// It did not happen. Only for the last thing done to the plate.
    NotDone,
    /// A dip was of another length, or at another temperature.
    Dip {
        /// How long it was in, s.
        actual_s: Seconds,
        /// The bath, °C.
        celsius: Option<f64>,
    },
}

/// What in a log can't be.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum LogError {
    /// Too long.
    Entries(
        /// How many came.
        usize,
    ),
    /// An entry that can't stand where it stands.
    Order {
        /// Its place, from 0.
        entry: usize,
        /// What is wrong with it.
        words: String,
    },
    /// More is done than the plate has bites for.
    Fewer {
        /// The last stop-out painted.
        painted: usize,
        /// How many bites the plate is to have.
        bites: usize,
    },
    /// A time, a temperature or a note out of range.
    Value {
        /// Its place, from 0.
        entry: usize,
        /// What is wrong with it.
        words: String,
    },
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Entries(came) => {
                write!(f, "A log may have {MOST_ENTRIES} entries; {came} came: open an earlier copy of the work.")
            }
            Self::Fewer { painted, bites } => write!(
                f,
                "Stop-out {painted} is painted, so this plate has at least {} tones; {} were asked for. Varnish that is on the metal can't be \
                 planned away: keep {} tones or more, or begin a new plate.",
                painted + 1,
                bites + 1,
                painted + 1
            ),
            Self::Order { entry, words } | Self::Value { entry, words } => write!(f, "Entry {} of the log can't be: {words}", entry + 1),
        }
    }
}

impl std::error::Error for LogError {}
