//! How much of what is left a day has room for.

use super::{PlateTurn, Plates};
use crate::day::{HAIR, Hours, clock, spell};
use crate::shared_day::{Day, Entry, Round, Tray, bound, shares_of, tried};
use crate::units::Seconds;

/// Where the plates stand as the days go by.
pub(super) struct At<'a> {
    pub(super) plates: &'a Plates,
    pub(super) tray: Option<&'a Tray>,
    /// Turns done.
    pub(super) done: Vec<usize>,
    /// Whether the next stop-out is painted and dry.
    pub(super) painted: Vec<bool>,
}

impl At<'_> {
    pub(super) fn left(&self, plate: usize) -> &[PlateTurn] {
        self.plates.turns[plate].get(self.done[plate]..).unwrap_or_default()
    }

    pub(super) fn finished(&self) -> bool {
        (0..self.done.len()).all(|plate| self.left(plate).is_empty())
    }

    /// Turns of these plates up to a bite.
    fn block(&self, upto: usize, of: impl Fn(usize) -> bool) -> Vec<Vec<Round>> {
        let rounds = |plate: usize| {
            let left = self.left(plate).iter().take_while(|turn| of(plate) && *turn.bites.end() <= upto);
            left.enumerate()
                .map(|(at, turn)| match at {
                    0 if self.painted[plate] => Round { paint: Seconds(0.0), dry: Seconds(0.0), ..turn.round },
                    _ => turn.round,
                })
                .collect()
        };
        (0..self.done.len()).map(rounds).collect()
    }

    /// A day of such a block, if it is done within so many minutes.
    fn within(&self, block: &[Vec<Round>], minutes: f64, tries: f64) -> Option<Day> {
        let hands = bound::hands(block, self.shares().as_deref()) / 60.0;
        if block.iter().all(Vec::is_empty) || hands > minutes + HAIR {
            return None;
        }
        let day = tried(block, &self.plates.sizes, self.tray, tries);
        (day.length.0 / 60.0 <= minutes + HAIR).then_some(day)
    }

    pub(super) fn shares(&self) -> Option<Vec<f64>> {
        Some(shares_of(&self.plates.sizes, self.tray?))
    }
}

/// What a day has room for.
pub(super) struct Found {
    pub(super) entries: Vec<Entry>,
    /// Turns of each plate in it.
    pub(super) rounds: Vec<usize>,
}

impl Found {
    fn of(day: Day, block: &[Vec<Round>]) -> Self {
        Self { entries: day.entries, rounds: block.iter().map(Vec::len).collect() }
    }
}

/// As many bites of all plates as the day has room for.
pub(super) fn as_many(at: &At<'_>, room: f64, most: usize) -> Option<Found> {
    let mut levels: Vec<usize> = (0..at.done.len()).flat_map(|plate| at.left(plate)).map(|turn| *turn.bites.end()).collect();
    levels.sort_unstable();
    levels.dedup();
    levels.retain(|level| *level <= most);
    let mut tries = 1.0;
    for &level in levels.iter().rev() {
        let block = at.block(level, |_| true);
        if let Some(day) = at.within(&block, room, tries) {
            return Some(Found::of(day, &block));
        }
        tries = 0.3;
    }
    None
}

/// As many plates as the day has room for one bite of.
pub(super) fn some(at: &At<'_>, room: f64, notes: &mut Vec<String>) -> Option<Found> {
    let level = (0..at.done.len()).filter_map(|plate| at.left(plate).first()).map(|turn| *turn.bites.end()).min()?;
    let due: Vec<usize> =
        (0..at.done.len()).filter(|&plate| at.left(plate).first().is_some_and(|turn| *turn.bites.end() == level)).collect();
    for count in (1..=due.len()).rev() {
        let block = at.block(level, |plate| due[..count].contains(&plate));
        if let Some(day) = at.within(&block, room, 0.3) {
            if count < due.len() {
                notes.push(format!(
                    "A day of these hours has no room for bite {level} of all plates: {} {} it on another day, in another bath than the rest. \
                     Longer hours, or fewer plates, keep them together.",
                    named(at, &due[count..]),
                    if due.len() - count == 1 { "has" } else { "have" }
                ));
            }
            return Some(Found::of(day, &block));
        }
    }
    None
}

/// One turn of one plate, longer than a whole day.
pub(super) fn one(at: &At<'_>, hours: &Hours, notes: &mut Vec<String>) -> Found {
    let next = (0..at.done.len()).filter(|&plate| !at.left(plate).is_empty()).min_by_key(|&plate| *at.left(plate)[0].bites.end());
    let plate = next.unwrap_or(0);
    let level = at.left(plate).first().map_or(0, |turn| *turn.bites.end());
    let block = at.block(level, |each| each == plate);
    let day = tried(&block, &at.plates.sizes, at.tray, 1.0);
    notes.push(format!(
        "{}: from painting to the rinse after bite {level} it takes {}, more than there is until {}: it runs on past that.",
        named(at, &[plate]),
        spell(day.length.0 / 60.0),
        clock(hours.to)
    ));
    Found::of(day, &block)
}

/// "plate A", "plates A and C".
pub(super) fn named(at: &At<'_>, plates: &[usize]) -> String {
    let letter = |plate: &usize| match at.plates.letters.get(*plate) {
        Some(letter) if !letter.is_empty() => letter.clone(),
        _ => format!("no. {}", plate + 1),
    };
    let letters: Vec<String> = plates.iter().map(letter).collect();
    match letters.as_slice() {
        [] => "no plate".to_owned(),
        [one] => format!("plate {one}"),
        [before @ .., last] => format!("plates {} and {last}", before.join(", ")),
    }
}
