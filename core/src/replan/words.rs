//! What was off at the bath, and what follows from it, in sentences.

use super::{Back, Done, Due};
use crate::bites::BitePlan;
use crate::what_if::{Moved, NextBite};

/// Where the plate stands, for the words.
pub(super) struct At<'a> {
    /// The next dip.
    pub(super) next: Option<NextBite>,
    /// The ladder as it was aimed at.
    pub(super) aimed: &'a BitePlan,
    /// The ladder as it stands.
    pub(super) ladder: &'a BitePlan,
    pub(super) moved: &'a [Moved],
    pub(super) done: &'a [Done],
    pub(super) changed: bool,
    pub(super) due: Option<&'a Due>,
    pub(super) back: Option<Back>,
}

/// Seconds that are worth a word: what a whole second on the clock shows.
const WORTH: f64 = 0.5;
/// L* that is worth a word.
const SEEN: f64 = 0.05;

pub(super) fn said(at: &At<'_>) -> Vec<String> {
    let last = at.done.last().map_or(0, |done| done.bite);
    let mut said: Vec<String> = at
        .done
        .iter()
        .filter_map(|done| {
            let off = off(at, done);
            let tone = tone(at, done, off)?;
            Some(if done.bite == last && off.abs() >= WORTH { format!("{tone}{}.", then(at, done, off)) } else { format!("{tone}.") })
        })
        .collect();
    if at.changed {
        said.extend(respaced(at, last));
    }
    if let Some(due) = at.due {
        said.push(decide(at, due));
    }
    said
}

/// By how much a bite was off: by what the clock was set to, or, before the log, by what the plan has.
fn off(at: &At<'_>, done: &Done) -> f64 {
    done.effective.0 - done.asked.map_or(at.aimed.tones[done.bite].effective.0, |asked| asked.0)
}

fn tone(at: &At<'_>, done: &Done, off: f64) -> Option<String> {
    let bite = done.bite;
    // What no area has prints nowhere; what was off is told of the bite that it was one dip with, or of a tone that is there.
    if at.ladder.lacks.contains(&bite) {
        return None;
    }
    let moved = at.moved[bite];
    let unplanned = done.asked.is_none() && !done.before_log;
    if off.abs() < WORTH && !unplanned {
        return None;
    }
    let long = format!("{} s {}", seconds(off.abs()), if off > 0.0 { "long" } else { "short" });
    // What the clock counted up is read by the strip that came later.
    let long = match (unplanned, off.abs() < WORTH) {
        (false, _) => format!("Bite {bite} was {long}"),
        (true, false) => format!("Bite {bite} had no time planned; by strip {} it was {long}", at.ladder.strip_id),
        (true, true) => format!("Bite {bite} had no time planned; by strip {} it was right", at.ladder.strip_id),
    };
    let by = moved.by();
    Some(if moved.past_end {
        format!("{long}: tone {bite} is past the strip’s end, and how it prints is not known")
    } else if by.abs() < SEEN {
        format!("{long}: tone {bite} prints at L* {:.1} as it was to", moved.prints.0)
    } else {
        let way = if by < 0.0 { "darker" } else { "lighter" };
        format!("{long}: tone {bite} prints at L* {:.1} instead of {:.1}, {:.1} {way}", moved.prints.0, moved.planned.0, by.abs())
    })
}

/// What becomes of the bites after the last.
fn then(at: &At<'_>, done: &Done, off: f64) -> String {
    let Some(next) = next(at, done.bite) else {
        return if off > 0.0 { "; that was the last bite, and nothing takes it back".to_owned() } else { String::new() };
    };
    if at.due.is_some() || at.changed {
        return String::new();
    }
    let last = at.ladder.leaves();
    let later =
        if next < last { format!("tones {next} to {last} come out as planned") } else { format!("tone {next} comes out as planned") };
    let way = if off > 0.0 { "shorter" } else { "longer" };
    let first = (done.bite + 1..next).find(|bite| !at.ladder.dropped.contains(bite)).unwrap_or(next);
    let (dip, clock) = match (at.next.filter(|_| first < next), next - first) {
        (Some(dip), 1) => (format!("bites {first} and {next} are"), dip.set),
        (Some(dip), _) => (format!("bites {first} to {next} are"), dip.set),
        (None, _) => (format!("bite {next} is"), at.ladder.tones[next].set),
    };
    let set = format!("{dip} {way} for it, {} by the clock, and {later}", clock.clock());
    match at.back {
        Some(back) => format!("; put it back for {} s before anything more is painted, or {set}", seconds(back.set.0)),
        None => format!("; {set}"),
    }
}

/// The bite after another that does anything to this plate.
fn next(at: &At<'_>, bite: usize) -> Option<usize> {
    (bite + 1..at.ladder.tones.len()).find(|tone| !at.ladder.dropped.contains(tone) && !at.ladder.lacks.contains(tone))
}

fn respaced(at: &At<'_>, last: usize) -> Option<String> {
    let tones: Vec<usize> =
        (last + 1..at.ladder.tones.len()).filter(|tone| !at.ladder.dropped.contains(tone) && !at.ladder.lacks.contains(tone)).collect();
    let which = match tones.as_slice() {
        [] => return None,
        [one] => format!("tone {one} is aimed"),
        [first, .., last] => format!("tones {first} to {last} are spaced evenly"),
    };
    let here = at.moved[last].prints.0;
    Some(format!("Strip, lag, reserve or count of tones changed since bite {last}: {which} from the L* {here:.1} that is there."))
}

fn decide(at: &At<'_>, due: &Due) -> String {
    let next = next(at, due.after).unwrap_or(due.after + 1);
    let joins = (due.after + 1..next).any(|bite| !at.ladder.dropped.contains(&bite));
    let left = match at.next.filter(|_| joins) {
        Some(dip) => dip.left.0.max(0.0),
        None => at.ladder.tones.get(next).map_or(0.0, |tone| tone.bite.0.max(0.0)),
    };
    let ways = match (&due.dropped, &due.respaced) {
        (_, Some(_)) => "drop a bite and keep the targets, or space what is left anew",
        _ => "the bites it went past are dropped, for nothing takes them back",
    };
    format!("Bite {next} has {left:.1} s left, too little for a bite: {ways}. Nothing goes on before that is decided.")
}

/// Seconds in a sentence: whole where they are.
fn seconds(value: f64) -> String {
    let tenths = libm::round(value * 10.0) / 10.0;
    format!("{tenths}")
}
