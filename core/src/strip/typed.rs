//! A strip as it was typed: cells of text, and everything their times may mean.
//!
//! Numbers that rise prove nothing: 15, 30, 60 … 960 may be totals that end at 960 s or dips that add up to 1905 s, and "1.30" may be
//! seconds or a minute and a half. So every reading that is possible is given, with its longest band, for the printer to choose from.
//! Nothing is ever sorted or left out.

use super::quantity::Quantity;
use super::quoted::quoted;
use super::{LONGEST, MOST_BANDS, Reading, SHORTEST_STEP};
use crate::units::Seconds;
use serde::{Deserialize, Serialize};
use std::fmt;

mod cell;
pub use cell::TimeCell;

/// A strip whose longest band would be shorter than this in seconds may have been noted in minutes. Estimate of ours.
const SHORT_STRIP: Seconds = Seconds(120.0);

/// One band as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// Its time.
    pub time: String,
    /// What was read.
    pub value: String,
}

/// What a bare number among the times is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TimeUnit {
    /// Seconds; so are all times written with their units.
    Seconds,
    /// Minutes, with decimals.
    Minutes,
    /// Minutes, and seconds behind the point: 1.30 is 90 s.
    MinutesAndSeconds,
}

/// What a column of times lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Lists {
    /// Total time in the bath of each band.
    Totals,
    /// What each dip added to the band before.
    Dips,
}

/// One possible reading of the times.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Meaning {
    /// What a bare number is.
    pub unit: TimeUnit,
    /// Totals or dips.
    pub lists: Lists,
    /// Total of each band, the paper's 0 first; rising.
    pub totals: Vec<Seconds>,
}

impl Meaning {
    /// Total of the longest band.
    #[must_use]
    pub fn longest(&self) -> Seconds {
        self.totals.last().copied().unwrap_or_default()
    }
}

/// Why typed cells are no strip. Bands are counted from the paper, 0.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TypedError {
    /// Fewer than three bands, the paper counted.
    Few {
        /// How many came.
        bands: usize,
    },
    /// More than [`MOST_BANDS`].
    Many {
        /// How many came.
        bands: usize,
    },
    /// A time is none.
    Time {
        /// Which band.
        band: usize,
        /// What came.
        came: String,
    },
    /// The first band is not the paper.
    Paper {
        /// What its time is.
        came: String,
    },
    /// The rows run from the longest band to the paper.
    Backwards,
    /// No meaning makes the times rise.
    Order {
        /// The first band that can't follow the one before.
        band: usize,
        /// Its time.
        came: String,
        /// The time before.
        before: String,
    },
    /// The longest band is beyond a day.
    Long {
        /// Its total, s.
        seconds: f64,
    },
    /// A reading is no number.
    Value {
        /// Which band.
        band: usize,
        /// What came.
        came: String,
    },
    /// A reading lies outside what it can be.
    Outside {
        /// Which band.
        band: usize,
        /// What came.
        came: f64,
        /// What it was said to be.
        quantity: Quantity,
    },
    /// The readings run the wrong way for what they were said to be.
    Reversed {
        /// What they were said to be.
        quantity: Quantity,
        /// The paper's.
        paper: f64,
        /// The last band's.
        last: f64,
    },
    /// Readings that small are no L* and no per cent.
    Small {
        /// What they were said to be.
        quantity: Quantity,
        /// The greatest.
        greatest: f64,
    },
}

impl fmt::Display for TypedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Few { bands } => {
                write!(f, "A strip needs the paper and at least two bitten bands, three rows in all; {bands} came: type more bands.")
            }
            Self::Many { bands } => {
                write!(f, "A strip may have up to {MOST_BANDS} bands; {bands} rows came: leave some out.")
            }
            Self::Time { band, came } => {
                write!(f, "The time of {} is {came}: type seconds, or minutes and seconds with a colon, as 95 or 1:35.", named(*band))
            }
            Self::Paper { came } => write!(
                f,
                "The first row should be the paper, which was never bitten, at 0 s; {came} came: put the paper's reading first, with time 0."
            ),
            Self::Backwards => write!(
                f,
                "The rows run from the longest band down to the paper. Nothing is turned round by itself: type the paper first and the \
                 longest band last."
            ),
            Self::Order { band, came, before } => write!(
                f,
                "The time of {} is {came} after {before}, which fits neither totals, which rise by {} s or more, nor dips, which are \
                 longer than nothing: look at the row again.",
                named(*band),
                SHORTEST_STEP.0
            ),
            Self::Long { seconds } => {
                write!(f, "The longest band comes to {seconds:.0} s; a strip may run to {} s, a day: look at the times again.", LONGEST.0)
            }
            Self::Value { band, came } => write!(f, "The reading of {} is {came}: type a number, with a comma or a point.", named(*band)),
            Self::Outside { band, came, quantity } => {
                let (low, high) = quantity.range();
                write!(
                    f,
                    "The reading of {} is {came}; {} runs from {low} to {high}: {}.",
                    named(*band),
                    said(*quantity),
                    match quantity {
                        Quantity::Reflectance => "say that it is per cent, or write 0.85 for 85 %",
                        Quantity::Density => "type densities against the perfect white",
                        Quantity::Lightness | Quantity::Percent => "look at it again, or say what else was read",
                    }
                )
            }
            Self::Reversed { quantity, paper, last } => write!(
                f,
                "As {} the paper reads {paper} and the longest band {last}, so the strip would print lighter the longer it was bitten: say \
                 what else was read{}.",
                said(*quantity),
                match quantity {
                    Quantity::Lightness | Quantity::Percent => " (densities rise), or turn a scale that counts black as 100 round",
                    Quantity::Density => " (L* and reflectance fall)",
                    Quantity::Reflectance => "",
                }
            ),
            Self::Small { quantity, greatest } => write!(
                f,
                "No reading is above {greatest}, so these are hardly {}: say whether densities or shares of 1 were read.",
                said(*quantity)
            ),
        }
    }
}

impl std::error::Error for TypedError {}

fn named(band: usize) -> String {
    if band == 0 { "the paper".to_owned() } else { format!("band {band}") }
}

fn said(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Lightness => "L*",
        Quantity::Density => "density",
        Quantity::Reflectance => "reflectance",
        Quantity::Percent => "reflectance in per cent",
    }
}

/// Everything the times of these rows may mean, totals before dips and seconds before minutes; never none.
///
/// # Errors
/// Times that are none, the paper missing, an order that nothing explains.
pub fn meanings(rows: &[Row]) -> Result<Vec<Meaning>, TypedError> {
    if rows.len() < 3 {
        return Err(TypedError::Few { bands: rows.len() });
    }
    if rows.len() > MOST_BANDS + 1 {
        return Err(TypedError::Many { bands: rows.len() });
    }
    let cells = rows
        .iter()
        .enumerate()
        .map(|(band, row)| TimeCell::read(&row.time).ok_or_else(|| TypedError::Time { band, came: quoted(&row.time) }));
    let cells: Vec<TimeCell> = cells.collect::<Result<_, _>>()?;
    let plain: Vec<f64> = cells.iter().map(|cell| cell.seconds(TimeUnit::Seconds).0).collect();
    if plain[plain.len() - 1] == 0.0 && plain.windows(2).all(|w| w[1] < w[0]) {
        return Err(TypedError::Backwards);
    }
    if plain[0] != 0.0 {
        return Err(TypedError::Paper { came: quoted(&rows[0].time) });
    }
    let mut found: Vec<Meaning> = Vec::new();
    let mut longest: f64 = 0.0;
    for lists in [Lists::Totals, Lists::Dips] {
        for unit in [TimeUnit::Seconds, TimeUnit::Minutes, TimeUnit::MinutesAndSeconds] {
            let Some(totals) = totals(&cells, unit, lists) else { continue };
            longest = longest.max(totals[totals.len() - 1].0);
            let told = Meaning { unit, lists, totals };
            if told.longest() <= LONGEST && !found.iter().any(|each| each.lists == lists && each.totals == told.totals) {
                found.push(told);
            }
        }
    }
    if found.is_empty() {
        if longest > LONGEST.0 {
            return Err(TypedError::Long { seconds: longest });
        }
        // Only a dip of nothing can't be read either way.
        let band = plain.iter().skip(1).position(|&dip| dip < SHORTEST_STEP.0).map_or(1, |i| i + 1);
        return Err(TypedError::Order { band, came: quoted(&rows[band].time), before: quoted(&rows[band - 1].time) });
    }
    Ok(found)
}

/// The totals that cells stand for, where they rise and the unit can be meant.
fn totals(cells: &[TimeCell], unit: TimeUnit, lists: Lists) -> Option<Vec<Seconds>> {
    if !cells.iter().all(|cell| cell.may_be(unit)) {
        return None;
    }
    let mut sum = 0.0;
    let totals: Vec<Seconds> = cells
        .iter()
        .map(|cell| {
            let time = cell.seconds(unit);
            sum += time.0;
            if lists == Lists::Totals { time } else { Seconds(sum) }
        })
        .collect();
    // A hair of slack for binary fractions, as in a strip's own check.
    let rise = totals.windows(2).all(|w| w[1].0 - w[0].0 >= SHORTEST_STEP.0 - 1e-9);
    let seconds: f64 = cells.iter().map(|cell| cell.seconds(TimeUnit::Seconds).0).fold(0.0, f64::max);
    let likely = match unit {
        TimeUnit::Seconds => true,
        TimeUnit::Minutes => seconds < SHORT_STRIP.0,
        TimeUnit::MinutesAndSeconds => cells.iter().any(|cell| matches!(cell, TimeCell::Bare { clock: Some(_), .. })),
    };
    (rise && likely).then_some(totals)
}

/// The readings of the rows by a meaning of their times and a quantity.
///
/// # Errors
/// A reading that is no number or none of that quantity; readings that rise where they should fall.
pub fn readings(rows: &[Row], meaning: &Meaning, quantity: Quantity) -> Result<Vec<Reading>, TypedError> {
    let values = values(rows, quantity)?;
    Ok(meaning.totals.iter().zip(&values).map(|(&total, &value)| Reading { total, lightness: quantity.lightness(value) }).collect())
}

/// The numbers read, checked against what they are said to be.
///
/// # Errors
/// As [`readings`].
pub fn values(rows: &[Row], quantity: Quantity) -> Result<Vec<f64>, TypedError> {
    let number = |(band, row): (usize, &Row)| {
        let text = row.value.trim();
        // The sign of per cent is taken where per cent was said.
        let text = if quantity == Quantity::Percent { text.strip_suffix('%').unwrap_or(text) } else { text };
        let value = cell::decimal(text).ok_or_else(|| TypedError::Value { band, came: quoted(&row.value) })?;
        let (low, high) = quantity.range();
        if (low..=high).contains(&value) { Ok(value) } else { Err(TypedError::Outside { band, came: value, quantity }) }
    };
    let values: Vec<f64> = rows.iter().enumerate().map(number).collect::<Result<_, _>>()?;
    let (Some(&paper), Some(&last)) = (values.first(), values.last()) else { return Err(TypedError::Few { bands: 0 }) };
    let greatest = values.iter().copied().fold(0.0, f64::max);
    if matches!(quantity, Quantity::Lightness | Quantity::Percent) && greatest <= Quantity::Density.range().1 {
        return Err(TypedError::Small { quantity, greatest });
    }
    let lightness = |value: f64| quantity.lightness(value);
    // The paper is the lightest of a strip: where every other band reads lighter, the scale runs the other way.
    if values.iter().skip(1).all(|&value| lightness(value) > lightness(paper)) {
        return Err(TypedError::Reversed { quantity, paper, last });
    }
    Ok(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(times: &str, values: &str) -> Vec<Row> {
        let pair = |(time, value): (&str, &str)| Row { time: time.to_owned(), value: value.to_owned() };
        times.split(' ').zip(values.split(' ')).map(pair).collect()
    }

    fn timed(times: &str) -> Vec<Row> {
        times.split(' ').map(|time| Row { time: time.replace('_', " "), value: "50".to_owned() }).collect()
    }

    fn longest(times: &str) -> Vec<(TimeUnit, Lists, f64)> {
        let round = |seconds: f64| (seconds * 1e6).round() / 1e6;
        meanings(&timed(times)).unwrap().iter().map(|m| (m.unit, m.lists, round(m.longest().0))).collect()
    }

    #[test]
    fn doubling_rises_both_ways() {
        use Lists::{Dips, Totals};
        use TimeUnit::Seconds as S;
        // The published doubling series, 15 s to 16 min: as totals 960 s, as dips 1905 s (M. Rudolph, notes on stage biting, 2013).
        assert_eq!(longest("0 15 30 60 120 240 480 960"), [(S, Totals, 960.0), (S, Dips, 1905.0)]);
        assert_eq!(longest("0 0:15 0:30 1:00 2:00 4:00 8:00 16:00"), [(S, Totals, 960.0), (S, Dips, 1905.0)]);
        assert_eq!(longest("0 15s 30_s 1_min 2_min 4min 8' 16'"), [(S, Totals, 960.0), (S, Dips, 1905.0)]);
    }

    #[test]
    fn times_that_do_not_rise_are_dips() {
        // Strip 14-D of the demo.
        let found = meanings(&timed("0 5 5 10 20 40 80 160 160 160")).unwrap();
        assert_eq!(found.len(), 1);
        let totals: Vec<f64> = found[0].totals.iter().map(|t| t.0).collect();
        assert_eq!((found[0].lists, totals), (Lists::Dips, vec![0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 320.0, 480.0, 640.0]));
    }

    #[test]
    fn bare_numbers_may_be_minutes() {
        use Lists::{Dips, Totals};
        use TimeUnit::{Minutes as M, MinutesAndSeconds as MS, Seconds as S};
        assert_eq!(longest("0 0.25 0.5 1 2 4 8 16")[..2], [(S, Totals, 16.0), (M, Totals, 960.0)]);
        // 0.30 may be three tenths of a second, of a minute, or half a minute.
        assert_eq!(
            longest("0 0.30 1.00 2.00 4.15"),
            [(S, Totals, 4.15), (M, Totals, 249.0), (MS, Totals, 255.0), (S, Dips, 7.45), (M, Dips, 447.0), (MS, Dips, 465.0)]
        );
        assert_eq!(longest("0 0,75 1,50")[..2], [(S, Totals, 1.5), (M, Totals, 90.0)], "75 s are none");
        // A strip that runs on for minutes was not noted in minutes.
        assert!(longest("0 5 10 20 40 80 160").iter().all(|each| each.0 == S));
    }

    #[test]
    fn nothing_is_turned_round_or_sorted() {
        let said = |times: &str| meanings(&timed(times)).unwrap_err();
        assert_eq!(said("640 320 160 80 0"), TypedError::Backwards);
        assert_eq!(said("5 10 20"), TypedError::Paper { came: "\"5\"".to_owned() });
        assert_eq!(said("0 5"), TypedError::Few { bands: 2 });
        assert!(matches!(said("0 10 5 0 20"), TypedError::Order { band: 3, .. }));
        assert!(matches!(said("0 5 soon"), TypedError::Time { band: 2, .. }));
        assert!(matches!(said("0 -5 10"), TypedError::Time { band: 1, .. }));
        assert!(matches!(said("0 5 inf"), TypedError::Time { band: 2, .. }));
        assert!(matches!(said("0 90000 180000"), TypedError::Long { .. }));
        // Two rows changed over: as totals they don't rise, so they can only be dips, and that is what is asked.
        let found = meanings(&timed("0 5 20 10 40")).unwrap();
        assert_eq!(found.iter().map(|m| (m.lists, m.longest().0)).collect::<Vec<_>>(), [(Lists::Dips, 75.0), (Lists::Dips, 4500.0)]);
    }

    #[test]
    fn quantities_that_were_mixed_up_are_asked_about() {
        let times = "0 10 20";
        let read = |values: &str, quantity| values_of(times, values, quantity);
        assert!(read("89,0 70.5 40", Quantity::Lightness).is_ok());
        assert!(read("89% 70.5 40 %", Quantity::Percent).is_ok());
        assert!(read("0.05 0.4 1.2", Quantity::Density).is_ok());
        assert!(matches!(read("0.05 0.4 1.2", Quantity::Lightness), Err(TypedError::Small { .. })));
        assert!(matches!(read("0.8 0.4 0.1", Quantity::Percent), Err(TypedError::Small { .. })));
        assert!(matches!(read("11 30 60", Quantity::Lightness), Err(TypedError::Reversed { .. })));
        assert!(matches!(read("1.2 0.4 0.1", Quantity::Density), Err(TypedError::Reversed { .. })));
        assert!(matches!(read("101 70 40", Quantity::Lightness), Err(TypedError::Outside { band: 0, .. })));
        assert!(matches!(read("89 70 dark", Quantity::Lightness), Err(TypedError::Value { band: 2, .. })));
        assert!(matches!(read("89 70", Quantity::Reflectance), Err(TypedError::Outside { .. })));
    }

    fn values_of(times: &str, values: &str, quantity: Quantity) -> Result<Vec<Reading>, TypedError> {
        let rows = rows(times, &values.replace(" %", "%"));
        let found = meanings(&[rows.clone(), timed("30 40 50")].concat()).unwrap();
        readings(&rows, &found[0], quantity)
    }

    #[test]
    fn sentences_name_the_band_and_what_to_do() {
        for error in [
            TypedError::Few { bands: 1 },
            TypedError::Many { bands: 70 },
            TypedError::Time { band: 0, came: quoted("soon") },
            TypedError::Paper { came: quoted("5") },
            TypedError::Backwards,
            TypedError::Order { band: 2, came: quoted("0"), before: quoted("5") },
            TypedError::Long { seconds: 1e6 },
            TypedError::Value { band: 3, came: quoted("") },
            TypedError::Outside { band: 3, came: 120.0, quantity: Quantity::Lightness },
            TypedError::Reversed { quantity: Quantity::Lightness, paper: 10.0, last: 80.0 },
            TypedError::Small { quantity: Quantity::Percent, greatest: 0.9 },
        ] {
            let said = error.to_string();
            assert!(said.ends_with('.') && said.contains(':') | said.contains("type") && !said.contains('\n'), "{said}");
        }
    }
}
