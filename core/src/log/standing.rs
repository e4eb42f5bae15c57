//! Where the plate stands, by its log.

use super::{Chosen, Entry, Instead, LONGEST, LogError, MOST_ENTRIES, MOST_LETTERS, What};
use crate::tones::ToneCount;
use crate::units::Seconds;

/// One dip of the plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dip {
    /// Which bite it belongs to.
    pub bite: usize,
    /// What the clock was set to; none where nothing was planned: without a strip, and for bites before the log.
    pub planned: Option<Seconds>,
    /// Whether it was done before the log.
    pub before_log: bool,
    /// How long it was in.
    pub actual: Seconds,
    /// The bath, °C.
    pub celsius: Option<f64>,
    /// What the strip's times were multiplied by; none: not noted.
    pub factor: Option<f64>,
    /// Whether it went on from the bite before, without a restart of its own.
    pub joined: bool,
    /// Place of its entry in the log.
    pub entry: usize,
}

/// The way on that was chosen last.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// After which bite.
    pub bite: usize,
    /// Place of its entry in the log.
    pub entry: usize,
    /// The darkest tone of the plate it was chosen for.
    pub last: usize,
    /// Totals of the tones to come.
    pub rungs: Vec<Chosen>,
}

/// What comes next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// Paint a stop-out.
    Paint(usize),
    /// Bite.
    Bite(usize),
    /// Nothing: the last bite is done.
    Finished,
}

/// Where the plate stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Standing {
    /// The last stop-out painted; 0: none. What S of it covers is frozen.
    pub painted: usize,
    /// The last bite logged; 0: none.
    pub bitten: usize,
    /// Every dip, in order.
    pub dips: Vec<Dip>,
    /// Bites that were dropped: their tones print as the tone before them.
    pub dropped: Vec<usize>,
    /// The way on chosen last, while it still holds.
    pub way: Option<Way>,
    /// Place in the log of the last thing done that still stands: the one that can be taken off the record.
    pub last: Option<usize>,
    /// Minutes that stop-outs took, where noted.
    pub minutes: Vec<(usize, f64)>,
}

/// The most bites a plate may have.
const MOST_BITES: usize = ToneCount::MOST as usize - 1;

/// What of an entry still holds after corrections.
#[derive(Clone, Copy, PartialEq)]
enum Held {
    As(Option<(Seconds, Option<f64>)>),
    Not,
}

impl Standing {
    /// Where a plate with so many bites stands by its log.
    ///
    /// Whether an entry can stand where it stands does not hang on the count of tones, which may change while the plate is worked. A way on
    /// that was chosen for another count holds no longer, but for the bites it left out that are past.
    ///
    /// # Errors
    /// When the log can't be: an entry out of its turn, or a value out of its range, told by its place.
    pub fn of(log: &[Entry], bites: usize) -> Result<Self, LogError> {
        if log.len() > MOST_ENTRIES {
            return Err(LogError::Entries(log.len()));
        }
        let mut standing = Self::default();
        // An entry that did not happen takes its corrections' place in time: the log is told over again without it.
        let mut held = vec![Held::As(None); log.len()];
        for (at, entry) in log.iter().enumerate() {
            valued(at, entry)?;
            match entry.what {
                What::Corrected { entry: of, to } => {
                    corrected(&mut held, log, (at, of, to), &standing)?;
                    standing = told(&log[..at], &held)?;
                }
                _ => standing.take(at, entry, held[at])?,
            }
        }
        standing.last = last_done(log, &held);
        if standing.painted > bites {
            return Err(LogError::Fewer { painted: standing.painted, bites });
        }
        if standing.way.as_ref().is_some_and(|way| way.last != bites) {
            standing.forget_way();
        }
        Ok(standing)
    }

    /// Seconds in the bath so far.
    #[must_use]
    pub fn total(&self) -> Seconds {
        Seconds(self.dips.iter().map(|dip| dip.actual.0).sum())
    }

    /// Seconds in the bath after a bite that is done.
    #[must_use]
    pub fn total_after(&self, bite: usize) -> Seconds {
        Seconds(self.dips.iter().filter(|dip| dip.bite <= bite).map(|dip| dip.actual.0).sum())
    }

    /// What comes next on a plate with so many bites. Of a plate that leaves before the ladder's end they are those up to its darkest tone's
    /// ([`crate::bites::BitePlan::leaves`]): a bite after it would find nothing bare.
    #[must_use]
    pub fn next(&self, bites: usize) -> Next {
        if self.painted > self.bitten && self.painted <= bites && !self.dropped.contains(&self.painted) {
            return Next::Bite(self.painted);
        }
        match (self.bitten.max(self.painted) + 1..=bites).find(|bite| !self.dropped.contains(bite)) {
            Some(bite) => Next::Paint(bite),
            None => Next::Finished,
        }
    }

    /// Whether anything was done to the metal.
    #[must_use]
    pub fn begun(&self) -> bool {
        self.painted > 0
    }

    /// Bites left out that are still to come are to come again; those that the last stop-out was painted over stay left out.
    fn forget_way(&mut self) {
        let painted = self.painted;
        self.dropped.retain(|&bite| bite < painted);
        self.way = None;
    }

    fn take(&mut self, at: usize, entry: &Entry, held: Held) -> Result<(), LogError> {
        let Held::As(instead) = held else { return Ok(()) };
        let wrong = |words: String| Err(LogError::Order { entry: at, words });
        match &entry.what {
            What::Begun { bites_s, factor } => {
                if self.begun() {
                    return wrong("a plate that is already bitten is only told of as the first entry.".to_owned());
                }
                if bites_s.is_empty() || bites_s.len() > MOST_BITES {
                    return wrong(format!("{} bites were done before, and a plate has 1 to {MOST_BITES}.", bites_s.len()));
                }
                self.dips.extend(bites_s.iter().zip(1..).map(|(&actual, bite)| Dip {
                    bite,
                    planned: None,
                    before_log: true,
                    actual,
                    celsius: None,
                    factor: *factor,
                    joined: false,
                    entry: at,
                }));
                (self.painted, self.bitten) = (bites_s.len(), bites_s.len());
            }
            What::Painted { stop_out, minutes } => {
                if self.next(MOST_BITES) != Next::Paint(*stop_out) {
                    return wrong(format!("stop-out {stop_out} is not what comes after bite {}.", self.bitten));
                }
                self.painted = *stop_out;
                self.minutes.extend(minutes.map(|minutes| (*stop_out, minutes)));
            }
            What::Bitten { bite, planned_s, actual_s, celsius, factor, joined } => {
                if self.next(MOST_BITES) != Next::Bite(*bite) {
                    return wrong(format!("bite {bite} is not what comes after stop-out {}.", self.painted));
                }
                if *joined && self.bitten == 0 {
                    return wrong(format!("bite {bite} can't have gone on from one before it: there is none."));
                }
                self.bitten = *bite;
                self.dip(at, *bite, (*planned_s, *factor), instead.unwrap_or((*actual_s, *celsius)));
                if let Some(dip) = self.dips.last_mut() {
                    dip.joined = *joined;
                }
            }
            What::PutBack { bite, planned_s, actual_s, celsius, factor } => {
                if !(self.bitten == *bite && self.painted == *bite && *bite > 0) {
                    return wrong(format!("the plate can be put back for bite {bite} only between that bite and the next stop-out."));
                }
                self.dip(at, *bite, (*planned_s, *factor), instead.unwrap_or((*actual_s, *celsius)));
            }
            What::Way { bite, rungs, joined } => {
                // Also where a stop-out was painted before that was seen.
                if self.bitten == 0 || self.bitten != *bite {
                    return wrong(format!("the way on after bite {bite} is chosen between that bite and the next."));
                }
                let told: Vec<usize> = joined.iter().copied().chain(rungs.iter().map(|rung| rung.tone)).collect();
                let last = told.last().copied().unwrap_or(0);
                // What is left out already need not be told of again, and stays left out.
                let left_out: Vec<usize> =
                    self.dropped.iter().copied().filter(|tone| (bite + 1..=last).contains(tone) && !told.contains(tone)).collect();
                if last > MOST_BITES || told.is_empty() || !(bite + 1..=last).filter(|tone| !left_out.contains(tone)).eq(told) {
                    return wrong(format!(
                        "the way on after bite {bite} must tell of every tone from {} to the darkest, in order, first those that are joined.",
                        bite + 1
                    ));
                }
                self.forget_way();
                self.dropped.extend(left_out.iter().chain(joined));
                self.dropped.sort_unstable();
                self.dropped.dedup();
                self.way = Some(Way { bite: *bite, entry: at, last, rungs: rungs.clone() });
            }
            What::Corrected { .. } => {}
        }
        Ok(())
    }

    fn dip(&mut self, entry: usize, bite: usize, (planned, factor): (Seconds, Option<f64>), (actual, celsius): (Seconds, Option<f64>)) {
        // A clock is set to a second at least: nothing was planned where it was set to nothing, and the clock counted up.
        let planned = Some(planned).filter(|planned| planned.0 > 0.0);
        self.dips.push(Dip { bite, planned, before_log: false, actual, celsius, factor, joined: false, entry });
        // What was chosen for other totals than these holds no longer.
        if self.way.as_ref().is_some_and(|way| way.bite == bite) {
            self.forget_way();
        }
    }
}

/// A way on after a bite whose length, or that of one before it, turns out to be another was chosen for other totals: it did not happen, unless
/// something was painted or bitten by it since.
fn void_way(held: &mut [Held], log: &[Entry], dip: usize) {
    let (What::Bitten { bite: of, .. } | What::PutBack { bite: of, .. }) = log[dip].what else { return };
    let done = |at: &usize| held[*at] != Held::Not && matches!(log[*at].what, What::Painted { .. } | What::Bitten { .. });
    let since = (0..log.len()).rev().find(done).unwrap_or(0);
    for at in since..log.len() {
        if matches!(log[at].what, What::Way { bite, .. } if bite >= of) {
            held[at] = Held::Not;
        }
    }
}

/// Bites that went on from one another are one dip: where the last of them did not happen, none did, nor the ticks between, which paint nothing.
fn strike_dip(held: &mut [Held], log: &[Entry], of: usize) {
    if !matches!(log[of].what, What::Bitten { joined: true, .. }) {
        return;
    }
    for at in (0..of).rev() {
        match log[at].what {
            _ if held[at] == Held::Not => {}
            What::Painted { .. } => held[at] = Held::Not,
            What::Bitten { joined, .. } => {
                held[at] = Held::Not;
                if !joined {
                    return;
                }
            }
            What::Corrected { .. } => {}
            What::Begun { .. } | What::PutBack { .. } | What::Way { .. } => return,
        }
    }
}

/// The last thing done that still stands; corrections are none.
fn last_done(log: &[Entry], held: &[Held]) -> Option<usize> {
    (0..log.len()).rev().find(|&at| !matches!(log[at].what, What::Corrected { .. }) && held[at] != Held::Not)
}

/// The log told over again.
fn told(log: &[Entry], held: &[Held]) -> Result<Standing, LogError> {
    let mut standing = Standing::default();
    for (at, entry) in log.iter().enumerate() {
        standing.take(at, entry, held[at])?;
    }
    Ok(standing)
}

fn corrected(held: &mut [Held], log: &[Entry], (at, of, to): (usize, usize, Instead), standing: &Standing) -> Result<(), LogError> {
    let wrong = |words: String| Err(LogError::Order { entry: at, words });
    let Some(entry) = log.get(of).filter(|_| of < at) else {
        return wrong(format!("it puts entry {} right, which does not come before it.", of.saturating_add(1)));
    };
    match (to, &entry.what) {
        (_, What::Corrected { .. }) => wrong("a correction is put right by another of the same entry.".to_owned()),
        (Instead::Dip { actual_s, celsius }, What::Bitten { .. } | What::PutBack { .. }) => {
            if held[of] == Held::Not {
                return wrong(format!("entry {} did not happen.", of + 1));
            }
            held[of] = Held::As(Some((actual_s, celsius)));
            void_way(held, &log[..at], of);
            Ok(())
        }
        (Instead::Dip { .. }, _) => wrong(format!("entry {} is no dip.", of + 1)),
        (Instead::NotDone, _) => {
            if last_done(&log[..at], held) != Some(of) {
                return wrong(format!("only the last thing done can be taken off the record, and entry {} is not that.", of + 1));
            }
            debug_assert!(standing.begun(), "something was done");
            held[of] = Held::Not;
            strike_dip(held, log, of);
            Ok(())
        }
    }
}

/// The furthest moment from 1970 that has a date, ms: 100 million days (ECMA-262, 21.4.1.1).
const FURTHEST_MS: f64 = 8.64e15;

fn factored(at: usize, factor: Option<f64>) -> Result<(), LogError> {
    match factor.filter(|factor| !(0.01..=100.0).contains(factor)) {
        Some(came) => Err(LogError::Value {
            entry: at,
            words: format!("a factor of 0.01 to 100 on the strip's times was expected, and {came} came."),
        }),
        None => Ok(()),
    }
}

fn valued(at: usize, entry: &Entry) -> Result<(), LogError> {
    let wrong = |words: String| Err(LogError::Value { entry: at, words });
    let time = |seconds: Seconds| (0.0..=LONGEST.0).contains(&seconds.0);
    let warmth = |celsius: Option<f64>| celsius.is_none_or(|celsius| celsius > 0.0 && celsius < 100.0);
    if !(-FURTHEST_MS..=FURTHEST_MS).contains(&entry.at_ms) {
        return wrong("it has no moment.".to_owned());
    }
    if entry.note.chars().count() > MOST_LETTERS {
        return wrong(format!("its note has more than {MOST_LETTERS} letters: shorten it."));
    }
    let (times, celsius): (Vec<Seconds>, Option<f64>) = match &entry.what {
        What::Begun { bites_s, factor } => {
            factored(at, *factor)?;
            (bites_s.clone(), None)
        }
        What::Painted { minutes, .. } => (minutes.map(|minutes| Seconds(minutes * 60.0)).into_iter().collect(), None),
        What::Bitten { planned_s, actual_s, celsius, factor, .. } | What::PutBack { planned_s, actual_s, celsius, factor, .. } => {
            factored(at, *factor)?;
            (vec![*planned_s, *actual_s], *celsius)
        }
        What::Way { rungs, .. } => {
            if !rungs.is_sorted_by(|a, b| a.total_s < b.total_s && a.lightness >= b.lightness)
                || rungs.iter().any(|rung| !(0.0..=100.0).contains(&rung.lightness))
            {
                return wrong("the totals of a way on rise, and its tones darken.".to_owned());
            }
            (rungs.iter().flat_map(|rung| [rung.total_s, rung.shown_s]).collect(), None)
        }
        What::Corrected { to: Instead::Dip { actual_s, celsius }, .. } => (vec![*actual_s], *celsius),
        What::Corrected { to: Instead::NotDone, .. } => (Vec::new(), None),
    };
    if let Some(came) = times.into_iter().find(|&seconds| !time(seconds)) {
        return wrong(format!("a time from 0 to {} s was expected, and {} came.", LONGEST.0, came.0));
    }
    if !warmth(celsius) {
        return wrong(format!("a bath of above 0 and below 100 °C was expected, and {} came.", celsius.unwrap_or(f64::NAN)));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn entry(what: What) -> Entry {
        Entry { at_ms: 0.0, note: String::new(), what }
    }

    fn painted(stop_out: usize) -> Entry {
        entry(What::Painted { stop_out, minutes: None })
    }

    fn bitten(bite: usize, actual: f64) -> Entry {
        entry(What::Bitten { bite, planned_s: Seconds(10.0), actual_s: Seconds(actual), celsius: None, factor: None, joined: false })
    }

    fn corrected(of: usize, to: Instead) -> Entry {
        entry(What::Corrected { entry: of, to })
    }

    fn words(log: &[Entry], bites: usize) -> String {
        Standing::of(log, bites).unwrap_err().to_string()
    }

    #[test]
    fn a_stop_out_comes_before_its_bite_and_none_after_the_last() {
        let mut log = Vec::new();
        for j in 1..=3 {
            assert_eq!(Standing::of(&log, 3).unwrap().next(3), Next::Paint(j));
            log.push(painted(j));
            assert_eq!(Standing::of(&log, 3).unwrap().next(3), Next::Bite(j));
            log.push(bitten(j, 10.0 * j as f64));
        }
        let standing = Standing::of(&log, 3).unwrap();
        assert_eq!((standing.next(3), standing.total(), standing.total_after(2)), (Next::Finished, Seconds(60.0), Seconds(30.0)));
        // A plate whose darkest tone is 2 leaves after it, also where a later stop-out was painted on bare nothing.
        let two: Vec<Entry> = log[..4].to_vec();
        assert_eq!(Standing::of(&two, 3).unwrap().next(2), Next::Finished);
        assert_eq!(Standing::of(&log[..5], 3).unwrap().next(2), Next::Finished);
        assert_eq!(Standing::of(&[], 3).unwrap().next(0), Next::Finished);
        assert!(words(&[painted(1), painted(2)], 3).contains("Entry 2"));
        assert!(words(&[bitten(1, 5.0)], 3).contains("Entry 1"));
        assert!(words(&[painted(2)], 3).contains("stop-out 2"));
    }

    #[test]
    fn a_plate_may_come_already_bitten_and_only_then() {
        let begun = entry(What::Begun { bites_s: vec![Seconds(7.0), Seconds(8.0)], factor: None });
        let standing = Standing::of(std::slice::from_ref(&begun), 5).unwrap();
        assert_eq!((standing.painted, standing.bitten, standing.total(), standing.next(5)), (2, 2, Seconds(15.0), Next::Paint(3)));
        assert!(words(&[painted(1), begun.clone()], 5).contains("first entry"));
        assert!(words(&[begun], 1).contains("at least 3 tones"));
    }

    #[test]
    fn put_back_before_painting_adds_a_dip_and_after_it_is_refused() {
        let back = entry(What::PutBack { bite: 1, planned_s: Seconds(3.0), actual_s: Seconds(4.0), celsius: Some(19.0), factor: None });
        let standing = Standing::of(&[painted(1), bitten(1, 7.0), back.clone()], 3).unwrap();
        assert_eq!((standing.dips.len(), standing.total_after(1)), (2, Seconds(11.0)));
        assert!(words(&[painted(1), bitten(1, 7.0), painted(2), back], 3).contains("Entry 4"));
    }

    #[test]
    fn a_correction_is_another_entry_and_what_came_after_keeps_its_place() {
        let log = [painted(1), bitten(1, 70.0), painted(2), corrected(1, Instead::Dip { actual_s: Seconds(7.0), celsius: None })];
        let standing = Standing::of(&log, 3).unwrap();
        assert_eq!((standing.painted, standing.total()), (2, Seconds(7.0)));
        // Only the last thing done can be taken off the record; twice takes off the one before.
        let off = |of| corrected(of, Instead::NotDone);
        assert!(words(&[painted(1), bitten(1, 7.0), off(0)], 3).contains("only the last"));
        let standing = Standing::of(&[painted(1), bitten(1, 7.0), off(1), off(0)], 3).unwrap();
        assert_eq!(standing, Standing::default());
        assert!(words(&[painted(1), off(3)], 3).contains("does not come before"));
    }

    #[test]
    fn a_joined_dip_is_struck_whole() {
        let joined = |bite: usize| {
            entry(What::Bitten { bite, planned_s: Seconds(67.0), actual_s: Seconds(69.0), celsius: None, factor: None, joined: true })
        };
        let off = |of| corrected(of, Instead::NotDone);
        // Bites 2, 3 and 4 in one dip; what was put right meanwhile is no other thing done.
        let mut log = vec![painted(1), bitten(1, 7.0), painted(2), bitten(2, 46.0), painted(3), joined(3), painted(4), joined(4)];
        log.push(corrected(7, Instead::Dip { actual_s: Seconds(70.0), celsius: None }));
        log.push(off(7));
        let standing = Standing::of(&log, 5).unwrap();
        assert_eq!((standing.painted, standing.bitten, standing.total(), standing.last), (2, 1, Seconds(7.0), Some(2)));
        assert_eq!(standing.next(5), Next::Bite(2));
        // The stop-out before the dip was painted: it takes an entry of its own, and so does a bite that is a dip alone.
        log.extend([bitten(2, 5.0), off(10)]);
        assert_eq!(Standing::of(&log, 5).unwrap().last, Some(2));
        log.push(off(2));
        assert_eq!(Standing::of(&log, 5).unwrap().next(5), Next::Paint(2));
    }

    #[test]
    fn dropped_bites_are_neither_painted_nor_bitten() {
        let chosen =
            |tone: usize| Chosen { tone, lightness: 60.0 - tone as f64, total_s: Seconds(tone as f64 * 20.0), shown_s: Seconds(1.0) };
        let way = entry(What::Way { bite: 1, rungs: vec![chosen(4), chosen(5)], joined: vec![2, 3] });
        let standing = Standing::of(&[painted(1), bitten(1, 50.0), way.clone()], 5).unwrap();
        assert_eq!(standing.next(5), Next::Paint(4));
        let gap = entry(What::Way { bite: 1, rungs: vec![chosen(4)], joined: vec![2] });
        assert!(words(&[painted(1), bitten(1, 50.0), gap], 5).contains("every tone from 2"));
        assert!(words(&[painted(1), way], 5).contains("Entry 2"));
    }

    fn dropping(bite: usize, joined: &[usize], rungs: &[usize]) -> Entry {
        let chosen =
            |&tone: &usize| Chosen { tone, lightness: 60.0 - tone as f64, total_s: Seconds(tone as f64 * 20.0), shown_s: Seconds(1.0) };
        entry(What::Way { bite, rungs: rungs.iter().map(chosen).collect(), joined: joined.to_vec() })
    }

    #[test]
    fn the_count_of_tones_may_change_above_what_is_done() {
        let log = [painted(1), bitten(1, 7.0), painted(2), bitten(2, 8.0), painted(3)];
        for bites in [3, 5, 15] {
            assert_eq!(Standing::of(&log, bites).unwrap().painted, 3);
        }
        let said = words(&log, 2);
        assert!(said.starts_with("Stop-out 3 is painted, so this plate has at least 4 tones; 3 were asked for."), "{said}");
        // A way on for six tones holds no longer with nine; what it left out is past once the next stop-out is painted.
        let mut log = vec![painted(1), bitten(1, 50.0), dropping(1, &[2], &[3, 4, 5])];
        assert_eq!(Standing::of(&log, 5).unwrap().next(5), Next::Paint(3));
        assert_eq!(Standing::of(&log, 8).unwrap().next(8), Next::Paint(2));
        log.extend([painted(3), bitten(3, 20.0)]);
        for bites in [5, 8] {
            let standing = Standing::of(&log, bites).unwrap();
            assert_eq!((standing.dropped.clone(), standing.next(bites)), (vec![2], Next::Paint(4)));
            assert_eq!(standing.way.is_some(), bites == 5);
        }
    }

    #[test]
    fn a_way_may_be_chosen_though_the_next_stop_out_is_painted_already() {
        let log = [painted(1), bitten(1, 50.0), painted(2), dropping(1, &[2], &[3, 4])];
        let standing = Standing::of(&log, 4).unwrap();
        assert_eq!((standing.painted, standing.next(4)), (2, Next::Paint(3)));
        let log = [painted(1), bitten(1, 50.0), painted(2), dropping(1, &[], &[2, 3, 4])];
        assert_eq!(Standing::of(&log, 4).unwrap().next(4), Next::Bite(2));
    }

    #[test]
    fn a_bite_put_right_takes_back_the_way_that_was_chosen_for_its_wrong_length() {
        let mut log = vec![painted(1), bitten(1, 50.0), dropping(1, &[2], &[3, 4])];
        let right = corrected(1, Instead::Dip { actual_s: Seconds(5.0), celsius: None });
        log.push(right.clone());
        let standing = Standing::of(&log, 4).unwrap();
        assert_eq!((standing.way.clone(), standing.next(4)), (None, Next::Paint(2)));
        // The way is void, so the bite is what can be taken off the record now.
        assert_eq!(standing.last, Some(1));
        log.push(corrected(1, Instead::NotDone));
        let standing = Standing::of(&log, 4).unwrap();
        assert_eq!((standing.last, standing.next(4)), (Some(0), Next::Bite(1)));
        // Not once something was painted by it: that is on the metal.
        let log = [painted(1), bitten(1, 50.0), dropping(1, &[2], &[3, 4]), painted(3), right];
        let standing = Standing::of(&log, 4).unwrap();
        assert_eq!((standing.dropped.clone(), standing.next(4)), (vec![2], Next::Bite(3)));
    }

    #[test]
    fn values_out_of_range_are_told_by_their_place() {
        for (wrong, says) in [
            (bitten(1, f64::NAN), "NaN came"),
            (bitten(1, -1.0), "-1 came"),
            (bitten(1, 90_000.0), "90000 came"),
            (Entry { at_ms: f64::INFINITY, ..bitten(1, 5.0) }, "no moment"),
            (Entry { at_ms: 8.64e15 + 1.0, ..bitten(1, 5.0) }, "no moment"),
            (Entry { note: "x".repeat(MOST_LETTERS + 1), ..bitten(1, 5.0) }, "letters"),
        ] {
            let said = words(&[painted(1), wrong], 3);
            assert!(said.contains(says) && said.contains("Entry 2"), "{said}");
        }
        assert!(matches!(Standing::of(&vec![painted(1); MOST_ENTRIES + 1], 3), Err(LogError::Entries(_))));
    }

    proptest! {
        /// Whatever is tried, entries that are taken never lessen what was done, unless one is taken off the record.
        #[test]
        fn a_log_only_grows(tries in prop::collection::vec((0..4u8, 1..5usize, 0.0..100.0f64), 0..60)) {
            let mut log: Vec<Entry> = Vec::new();
            let mut before = Standing::default();
            for (kind, number, seconds) in tries {
                let next = match kind {
                    0 => painted(number),
                    1 => bitten(number, seconds),
                    2 => entry(What::PutBack { bite: number, planned_s: Seconds(1.0), actual_s: Seconds(seconds), celsius: None, factor: None }),
                    _ => corrected(number, Instead::Dip { actual_s: Seconds(seconds), celsius: None }),
                };
                log.push(next);
                match Standing::of(&log, 4) {
                    Ok(after) => {
                        prop_assert!(after.painted >= before.painted && after.bitten >= before.bitten && after.dips.len() >= before.dips.len());
                        prop_assert!(after.painted >= after.bitten);
                        before = after;
                    }
                    Err(_) => { log.pop(); }
                }
            }
        }
    }
}
