//! The day of several plates: the printer's hours and tray, kept with the work, and what is still to come of each plate.

use serde::Deserialize;
use std::ops::RangeInclusive;

/// The printer's hours and tray for the whole family. Minutes from midnight, mm.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FamilyDay {
    /// When a day begins.
    pub from_min: f64,
    /// When a day ends.
    pub to_min: f64,
    /// Whether a painted stop-out may dry over the night.
    #[serde(default)]
    pub dry_overnight: bool,
    /// The floor of the tray; none: every plate is bitten alone.
    #[serde(default)]
    pub tray_mm: Option<[f64; 2]>,
    /// The first day ends after this bite at the latest; none: when its hours end.
    #[serde(default)]
    pub break_after: Option<usize>,
}

impl FamilyDay {
    /// What of it can't be, in a few words.
    #[must_use]
    pub fn wrong(&self) -> Option<String> {
        let hour = |minutes: f64| (0.0..=1440.0).contains(&minutes);
        let sides: RangeInclusive<f64> = 10.0..=5000.0;
        if !hour(self.from_min) || !hour(self.to_min) || self.to_min <= self.from_min {
            return Some(format!(
                "a day from 0 to 1440 minutes that ends later than it begins was expected, {} to {} came",
                self.from_min, self.to_min
            ));
        }
        let tray = self.tray_mm.filter(|tray| !tray.iter().all(|side| sides.contains(side)));
        if let Some([width, height]) = tray {
            return Some(format!("a tray of 10 to 5000 mm each way was expected, {width} × {height} came"));
        }
        self.break_after.filter(|bite| !(1..=15).contains(bite)).map(|came| format!("a night after bite 1 to 15 was expected, {came} came"))
    }
}

/// What a day of several plates is asked for.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FamilyDaySpec {
    /// When the work begins on the first day.
    pub start_min: f64,
    /// Hours and tray.
    pub day: FamilyDay,
    /// The plates, the one at hand among them.
    pub plates: Vec<DayPlate>,
}

/// What is still to come of a plate, as its own plan has it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DayPlate {
    /// Its letter.
    pub letter: String,
    /// Its metal.
    pub size_mm: [f64; 2],
    /// Its dips to come.
    pub dips: Vec<DayDip>,
    /// Whether it is to be decided how to go on with it.
    #[serde(default)]
    pub undecided: bool,
}

/// A dip to come.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DayDip {
    /// The first bite of the ladder that it is.
    pub from: usize,
    /// The last.
    pub to: usize,
    /// What the clock is set to.
    pub set_s: f64,
    /// Minutes of painting before it, 0: nothing to paint; none: it is painted.
    pub paint_min: Option<f64>,
    /// Of what is painted, minutes that it has dried as the day begins; none: not known.
    #[serde(default)]
    pub dried_min: Option<f64>,
}
