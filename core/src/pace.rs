//! Pace: how fast a hand paints, first as an estimate, then as its own logged times say.

use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;

/// What a hand paints in a minute, and each island's extra.
///
/// The defaults are estimates, no source: the printer's own first stop-out is to replace them, see [`HandSpeed::learned`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandSpeed {
    /// Edge followed with the brush's tip, cm a minute; default 30.
    pub edge_cm_per_min: f64,
    /// Area filled, cm² a minute; default 70.
    pub area_cm2_per_min: f64,
    /// Added for each island: find it, load the brush; seconds, default 6.
    pub island_s: f64,
}

impl Default for HandSpeed {
    fn default() -> Self {
        Self { edge_cm_per_min: 30.0, area_cm2_per_min: 70.0, island_s: 6.0 }
    }
}

/// A speed that no hand has.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum PaceError {
    /// Edge a minute is outside 0.5 to 1000 cm.
    Edge(f64),
    /// Area a minute is outside 0.5 to 10,000 cm².
    Area(f64),
    /// Seconds an island are outside 0 to 600.
    Island(f64),
    /// A logged time is outside 0.1 minutes to 24 hours.
    Logged {
        /// Of which stop-out.
        number: usize,
        /// What came, minutes.
        minutes: f64,
    },
}

impl std::fmt::Display for PaceError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match *self {
            Self::Edge(came) => write!(f, "A hand follows 0.5 to 1000 cm of edge a minute; {came} came: 30 is a start."),
            Self::Area(came) => write!(f, "A hand fills 0.5 to 10000 cm² a minute; {came} came: 70 is a start."),
            Self::Island(came) => write!(f, "An island takes 0 to 600 s besides; {came} came: 6 is a start."),
            Self::Logged { number, minutes } => write!(
                f,
                "Painting stop-out {number} took from 0.1 minutes to 24 hours, it was expected; {minutes} min came: type the minutes it took."
            ),
        }
    }
}

impl std::error::Error for PaceError {}

/// A stop-out's painting: how much of it there is, and how long it took.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Logged {
    /// Which stop-out.
    pub number: usize,
    /// Edge painted, cm.
    pub edge_cm: f64,
    /// Area painted, cm².
    pub area_cm2: f64,
    /// Islands painted.
    pub islands: usize,
    /// What it took, minutes.
    pub minutes: f64,
}

/// A hand's speed as its logged times give it.
#[derive(Clone, Debug, PartialEq)]
pub struct Learned {
    /// All three speeds, slower or faster by the factor.
    pub speed: HandSpeed,
    /// Minutes taken over minutes expected: above 1 is slower. Never so far from 1 that a speed leaves the range a hand may have.
    pub factor: f64,
    /// The stop-outs it was learned from.
    pub from: Vec<usize>,
}

impl HandSpeed {
    /// Speeds along an edge that a hand may have, cm a minute.
    pub const EDGE: RangeInclusive<f64> = 0.5..=1000.0;
    /// Speeds of filling that a hand may have, cm² a minute.
    pub const AREA: RangeInclusive<f64> = 0.5..=10_000.0;
    /// Minutes that painting a stop-out may take.
    pub const MINUTES: RangeInclusive<f64> = 0.1..=1440.0;
    /// Times an island may take besides, s.
    pub const ISLAND: RangeInclusive<f64> = 0.0..=600.0;

    /// Checks each speed.
    ///
    /// # Errors
    /// Outside what [`PaceError`] says, and for what is no number.
    pub fn checked(self) -> Result<Self, PaceError> {
        if !Self::EDGE.contains(&self.edge_cm_per_min) {
            return Err(PaceError::Edge(self.edge_cm_per_min));
        }
        if !Self::AREA.contains(&self.area_cm2_per_min) {
            return Err(PaceError::Area(self.area_cm2_per_min));
        }
        if !Self::ISLAND.contains(&self.island_s) {
            return Err(PaceError::Island(self.island_s));
        }
        Ok(self)
    }

    /// Minutes that an edge, an area and a number of islands take.
    #[must_use]
    pub fn minutes(&self, edge_cm: f64, area_cm2: f64, islands: usize) -> f64 {
        edge_cm / self.edge_cm_per_min + area_cm2 / self.area_cm2_per_min + islands as f64 * self.island_s / 60.0
    }

    /// The speeds corrected by what stop-outs really took: all three by one factor, the median of taken over expected, so that one
    /// interrupted afternoon does not spoil it. A single logged time can't tell the three apart. Logs of a stop-out with nothing to paint say
    /// nothing; where nothing is said, there is nothing learned.
    ///
    /// # Errors
    /// When a logged time is outside 0.1 minutes to 24 hours.
    pub fn learned(self, logs: &[Logged]) -> Result<Option<Learned>, PaceError> {
        let mut ratios = Vec::new();
        let mut from = Vec::new();
        for log in logs {
            if !Self::MINUTES.contains(&log.minutes) {
                return Err(PaceError::Logged { number: log.number, minutes: log.minutes });
            }
            let expected = self.minutes(log.edge_cm, log.area_cm2, log.islands);
            if expected > 0.0 {
                ratios.push(log.minutes / expected);
                from.push(log.number);
            }
        }
        ratios.sort_by(f64::total_cmp);
        let Some((&low, &high)) = ratios.get((ratios.len().max(1) - 1) / 2).zip(ratios.get(ratios.len() / 2)) else { return Ok(None) };
        let factor = (low + high) / 2.0;
        let within = |value: f64, range: &RangeInclusive<f64>| value.max(*range.start()).min(*range.end());
        // A speck that took long, or a minute typed as an hour, teaches no pace that no hand has: it could not be given back as a speed.
        let most = (self.edge_cm_per_min / Self::EDGE.start()).min(self.area_cm2_per_min / Self::AREA.start());
        let most = if self.island_s > 0.0 { most.min(Self::ISLAND.end() / self.island_s) } else { most };
        let least = (self.edge_cm_per_min / Self::EDGE.end()).max(self.area_cm2_per_min / Self::AREA.end());
        let factor = factor.min(most).max(least);
        let speed = Self {
            edge_cm_per_min: within(self.edge_cm_per_min / factor, &Self::EDGE),
            area_cm2_per_min: within(self.area_cm2_per_min / factor, &Self::AREA),
            island_s: within(self.island_s * factor, &Self::ISLAND),
        };
        Ok(Some(Learned { speed, factor, from }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// 210 cm, 350 cm² and 20 islands: 7 + 5 + 2 = 14 minutes by the estimates.
    fn logged(number: usize, minutes: f64) -> Logged {
        Logged { number, edge_cm: 210.0, area_cm2: 350.0, islands: 20, minutes }
    }

    #[test]
    fn fourteen_minutes_that_took_twenty_slow_all_three_speeds() {
        let speed = HandSpeed::default();
        assert_relative_eq!(speed.minutes(210.0, 350.0, 20), 14.0);
        let learned = speed.learned(&[logged(1, 20.0)]).unwrap().unwrap();
        assert_relative_eq!(learned.factor, 20.0 / 14.0);
        assert_relative_eq!(learned.speed.minutes(210.0, 350.0, 20), 20.0);
        assert_relative_eq!(learned.speed.edge_cm_per_min, 21.0);
        assert_relative_eq!(learned.speed.area_cm2_per_min, 49.0);
        assert_relative_eq!(learned.speed.island_s, 60.0 / 7.0);
        assert_eq!(learned.from, [1]);
    }

    #[test]
    fn of_several_the_middle_one_counts() {
        let speed = HandSpeed::default();
        let factor = |minutes: &[f64]| {
            let logs: Vec<Logged> = minutes.iter().enumerate().map(|(i, &m)| logged(i + 1, m)).collect();
            speed.learned(&logs).unwrap().unwrap().factor
        };
        assert_relative_eq!(factor(&[14.0, 16.8, 140.0]), 1.2);
        assert_relative_eq!(factor(&[14.0, 28.0]), 1.5);
    }

    #[test]
    fn nothing_logged_or_nothing_painted_teaches_nothing() {
        let nothing = Logged { number: 3, edge_cm: 0.0, area_cm2: 0.0, islands: 0, minutes: 5.0 };
        assert_eq!(HandSpeed::default().learned(&[]), Ok(None));
        assert_eq!(HandSpeed::default().learned(&[nothing]), Ok(None));
        for minutes in [0.0, -3.0, 1e9, f64::NAN] {
            let said = HandSpeed::default().learned(&[logged(2, minutes)]).unwrap_err().to_string();
            assert!(said.contains("stop-out 2") && said.ends_with('.'), "{said}");
        }
    }

    #[test]
    fn what_is_learned_can_be_given_back_as_a_speed() {
        // One speck of six seconds, and hours or seconds logged for it; a whole plate in six seconds.
        let speck = |minutes: f64| Logged { number: 1, edge_cm: 0.1, area_cm2: 0.01, islands: 1, minutes };
        let plate = Logged { number: 1, edge_cm: 9000.0, area_cm2: 9000.0, islands: 4000, minutes: 0.1 };
        for log in [speck(1440.0), speck(240.0), speck(0.1), plate] {
            let learned = HandSpeed::default().learned(&[log]).unwrap().unwrap();
            assert!(learned.speed.checked().is_ok(), "{learned:?}");
            assert_relative_eq!(learned.speed.edge_cm_per_min * learned.factor, 30.0, max_relative = 1e-12);
        }
    }

    #[test]
    fn speeds_are_checked() {
        let default = HandSpeed::default();
        assert_eq!(default.checked(), Ok(default));
        assert!(HandSpeed { edge_cm_per_min: 0.0, ..default }.checked().is_err());
        assert!(HandSpeed { area_cm2_per_min: f64::NAN, ..default }.checked().is_err());
        assert!(HandSpeed { island_s: -1.0, ..default }.checked().is_err());
    }
}
