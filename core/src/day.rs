//! The day at the bath for one plate: painting, drying, biting and rinsing one after another, with their times of day, and where to stop for the
//! night.
//!
//! One plate leaves nothing to do side by side: what dries is waited for, and what bites is never left alone. Hands are free only while
//! varnish dries. For the night the work stops after a rinse, before the next stop-out is painted: wet varnish is not left, and an open plate not
//! either. Varnish that may dry overnight is the printer's own word. Minutes are the printer's own too; none is built in.

use crate::units::Seconds;
use std::fmt;

/// Minutes of a day.
pub(crate) const DAY: f64 = 1440.0;
/// Rounding of minutes that is no overlap.
pub(crate) const HAIR: f64 = 1e-6;
/// L* that a hand's slack may move a tone and the bite still be called forgiving. Choice of ours: what an eye does not see in a print.
pub(crate) const FORGIVING: f64 = 0.5;
/// Most days that are planned ahead.
pub(crate) const MOST_DAYS: f64 = 60.0;

/// One bite with what leads to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Number of the bite; of bites that are one dip the first, whose stop-out is painted.
    pub number: usize,
    /// The last bite of the dip.
    pub last: usize,
    /// Minutes of painting its stop-out; none where it is painted already.
    pub paint_min: Option<f64>,
    /// Minutes that a stop-out that is painted has dried as the work begins; 0 where nobody knows.
    pub dried: f64,
    /// How long it bites.
    pub bite: Seconds,
    /// How the curve falls where it ends, L* a second, negative.
    pub slope: f64,
}

/// The printer's own hours and minutes. Times of day are minutes from midnight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hours {
    /// When the work begins on the first day.
    pub start: f64,
    /// When a later day begins.
    pub from: f64,
    /// When a day ends.
    pub to: f64,
    /// Minutes a stop-out dries.
    pub dry: f64,
    /// Minutes the plate is rinsed and dried after a bite.
    pub rinse: f64,
    /// Whether a painted stop-out may dry over the night.
    pub dry_overnight: bool,
    /// How far a hand may be off, s.
    pub slack: Seconds,
}

/// What is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// A stop-out is painted.
    Paint,
    /// It dries.
    Dry,
    /// The plate bites.
    Bite,
    /// It is rinsed and dried.
    Rinse,
}

impl Work {
    /// Whether hands are busy with it.
    #[must_use]
    pub fn busy(self) -> bool {
        self != Self::Dry
    }
}

/// A stretch of the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// What is done.
    pub work: Work,
    /// Of which bite or stop-out.
    pub number: usize,
    /// From and to, minutes from the first day's midnight: the second day begins at 1440.
    pub from: f64,
    /// See `from`.
    pub to: f64,
}

impl Stretch {
    /// The day it begins on, 0 the first.
    #[must_use]
    pub fn day(&self) -> usize {
        libm::floor((self.from + HAIR) / DAY) as usize
    }
}

/// A night.
#[derive(Clone, Debug, PartialEq)]
pub struct Pause {
    /// The bite after whose rinse the work stops; where a stop-out dries over the night, that of the bite before.
    pub after: usize,
    /// Whether a painted stop-out dries meanwhile.
    pub drying: bool,
    /// From and to, minutes from the first day's midnight.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// What to know of it.
    pub said: String,
}

/// The plan of the days.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DayPlan {
    /// Every stretch, in order; none overlaps another.
    pub stretches: Vec<Stretch>,
    /// Every night between.
    pub pauses: Vec<Pause>,
    /// All stretches together, nights apart, minutes.
    pub minutes: f64,
    /// Minutes that hands are busy.
    pub busy: f64,
    /// What does not go as asked, a sentence each.
    pub notes: Vec<String>,
}

/// Hours that can't be.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum DayError {
    /// A time of day outside 0 to 1440 minutes.
    Hour(
        /// What came, minutes.
        f64,
    ),
    /// A day that ends before it begins.
    Ends {
        /// From, minutes.
        from: f64,
        /// To, minutes.
        to: f64,
    },
    /// Minutes of work outside 0 to 1440.
    Minutes(
        /// What came.
        f64,
    ),
    /// More than can be planned ahead.
    Long,
}

impl fmt::Display for DayError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Hour(came) => write!(f, "A time of day from 0:00 to 24:00 was expected, {came} minutes came: set it again."),
            Self::Ends { from, to } => {
                write!(f, "The working day ends at {} and begins at {}: let it end later than it begins.", clock(*to), clock(*from))
            }
            Self::Minutes(came) => {
                write!(f, "Painting, drying or rinsing takes 0 to 1440 minutes, {came} came: give the minutes it takes you.")
            }
            Self::Long => write!(f, "This takes more than {MOST_DAYS} days of such hours: make the working day longer."),
        }
    }
}

impl std::error::Error for DayError {}

/// Lays out turns that are still to come, in their order, none left out.
///
/// A turn is begun only where it also ends within the day. One that is longer than a whole day begins a day of its own, with a note.
///
/// # Errors
/// Hours or minutes that can't be.
pub fn plan(turns: &[Turn], hours: Hours) -> Result<DayPlan, DayError> {
    let hours = hours.checked(turns.iter().flat_map(|turn| [turn.paint_min.unwrap_or(0.0), turn.bite.0 / 60.0]))?;
    let mut plan = DayPlan::default();
    let mut now = hours.start;
    if now >= hours.to && !turns.is_empty() {
        plan.notes.push(format!("The day ends at {}: the work begins on the next.", clock(hours.to)));
        now = hours.next_morning(now);
    }
    for (at, turn) in turns.iter().enumerate() {
        let (paint, bite) = (turn.paint_min.unwrap_or(0.0), turn.bite.0 / 60.0);
        // A stop-out with nothing to paint has nothing to dry; one that is painted may have dried for a while.
        let dried = if turn.paint_min.is_none() { turn.dried.max(0.0) } else { 0.0 };
        let dry = if turn.paint_min == Some(0.0) { 0.0 } else { (hours.dry - dried).max(0.0) };
        let length = paint + dry + bite + hours.rinse;
        let fits = |from: f64| from + length <= hours.evening(from) + HAIR;
        let morning = hours.next_morning(now);
        let whole_day = hours.to - hours.from;
        if !fits(now) {
            let may_dry = hours.dry_overnight && paint > 0.0 && now + paint <= hours.evening(now) + HAIR;
            if may_dry {
                let painted = plan.put(Work::Paint, turn.number, now, paint);
                let dried = plan.put(Work::Dry, turn.number, painted, dry);
                now = dried.max(morning);
                let said = night(turns, at, hours.slack, Some(turn.number));
                plan.pauses.push(Pause {
                    after: at.checked_sub(1).map_or(turn.number.saturating_sub(1), |before| turns[before].last),
                    drying: true,
                    from: painted,
                    to: now,
                    said,
                });
                let bitten = plan.put(Work::Bite, turn.number, now, bite);
                now = plan.put(Work::Rinse, turn.number, bitten, hours.rinse);
                continue;
            }
            if at > 0 || length <= whole_day + HAIR {
                // What is there already on the first day is no night's rest.
                if at > 0 {
                    let said = night(turns, at, hours.slack, None);
                    plan.pauses.push(Pause { after: turns[at - 1].last, drying: false, from: now, to: morning, said });
                } else {
                    plan.notes.push(format!("Nothing fits before {}: the work begins on the next day.", clock(hours.to)));
                }
                now = morning;
            }
            if length > whole_day + HAIR {
                plan.notes.push(format!(
                    "From stop-out {} to the rinse after its bite it takes {}, more than a working day of {}: it runs on past {}.",
                    turn.number,
                    spell(length),
                    spell(whole_day),
                    clock(hours.to)
                ));
            }
        }
        now = plan.put(Work::Paint, turn.number, now, paint);
        now = plan.put(Work::Dry, turn.number, now, dry);
        now = plan.put(Work::Bite, turn.number, now, bite);
        now = plan.put(Work::Rinse, turn.number, now, hours.rinse);
    }
    if now > MOST_DAYS * DAY {
        return Err(DayError::Long);
    }
    if let Some(first) = turns.first().filter(|turn| turn.paint_min.is_none() && turn.dried <= 0.0) {
        plan.notes.push(format!("Stop-out {} is painted already: its whole drying is counted from the start.", first.number));
    }
    Ok(plan)
}

impl Hours {
    /// The same, where they can be: `minutes` of all work.
    pub(crate) fn checked(self, minutes: impl Iterator<Item = f64>) -> Result<Self, DayError> {
        for hour in [self.start, self.from, self.to] {
            if !(0.0..=DAY).contains(&hour) {
                return Err(DayError::Hour(hour));
            }
        }
        if self.to <= self.from {
            return Err(DayError::Ends { from: self.from, to: self.to });
        }
        match minutes.chain([self.dry, self.rinse]).find(|minutes| !(0.0..=DAY).contains(minutes)) {
            Some(wrong) => Err(DayError::Minutes(wrong)),
            None => Ok(self),
        }
    }

    /// When the day of a moment ends.
    pub(crate) fn evening(&self, at: f64) -> f64 {
        libm::floor((at + HAIR) / DAY) * DAY + self.to
    }

    /// When the day after a moment's begins; the same day's morning for what lies before it.
    pub(crate) fn next_morning(&self, at: f64) -> f64 {
        let midnight = libm::floor((at + HAIR) / DAY) * DAY;
        let today = midnight + self.from;
        if at < today - HAIR { today } else { today + DAY }
    }
}

impl DayPlan {
    /// Adds a stretch, unless it takes no time; when it ends.
    fn put(&mut self, work: Work, number: usize, from: f64, minutes: f64) -> f64 {
        if minutes > 0.0 {
            self.stretches.push(Stretch { work, number, from, to: from + minutes });
            self.minutes += minutes;
            self.busy += if work.busy() { minutes } else { 0.0 };
        }
        from + minutes
    }
}

/// What to know of a night before turn `at`.
fn night(turns: &[Turn], at: usize, slack: Seconds, drying: Option<usize>) -> String {
    let rest: Vec<usize> = turns[at..].iter().flat_map(|turn| turn.number..=turn.last).collect();
    let by = turns[at..].iter().map(|turn| (turn.slope * slack.0).abs()).fold(0.0, f64::max);
    let where_ = match (drying, at) {
        (Some(number), _) => format!("Stop-out {number} dries over the night, as you allow it"),
        (None, 0) => "The work begins on the next day".to_owned(),
        (None, at) => format!(
            "Stop for the night when bite {} is rinsed and dry, before stop-out {} is painted",
            turns[at - 1].last,
            turns[at].number
        ),
    };
    let which = match rest.as_slice() {
        [one] => format!("bite {one}"),
        [first, .., last] => format!("bites {first} to {last}"),
        [] => return format!("{where_}."),
    };
    if by < FORGIVING {
        format!("{where_}: {which} forgive {} s of your hand within {by:.1} L*.", slack.0)
    } else {
        format!(
            "{where_}: among {which} {} s of your hand still move a tone by {by:.1} L*, and tomorrow’s bath is another one. Begin earlier, or \
             bite a witness first thing tomorrow.",
            slack.0
        )
    }
}

/// A time of day.
pub(crate) fn clock(minutes: f64) -> String {
    let whole = libm::round(minutes) as i64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// A length of time.
pub(crate) fn spell(minutes: f64) -> String {
    if minutes < 90.0 { format!("{minutes:.0} min") } else { format!("{:.1} h", minutes / 60.0) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn hours() -> Hours {
        Hours { start: 540.0, from: 540.0, to: 1080.0, dry: 25.0, rinse: 5.0, dry_overnight: false, slack: Seconds(2.0) }
    }

    /// Slopes of strip 14-B's ten tones.
    const SLOPES: [f64; 9] = [-0.82, -0.74, -0.46, -0.32, -0.24, -0.15, -0.10, -0.07, -0.05];

    fn turns(paint: f64, bite_min: f64) -> Vec<Turn> {
        (1..)
            .zip(SLOPES)
            .map(|(number, slope)| Turn { number, last: number, paint_min: Some(paint), dried: 0.0, bite: Seconds(bite_min * 60.0), slope })
            .collect()
    }

    #[test]
    fn one_plate_of_nine_bites_takes_six_and_a_half_hours_and_a_little() {
        // Figure of the demo: painting 12, drying 25, biting 2, rinsing 5 minutes: 9 × 44 = 396 min = 6.6 h.
        let plan = plan(&turns(12.0, 2.0), hours()).unwrap();
        assert_abs_diff_eq!(plan.minutes / 60.0, 6.6, epsilon = 1e-9);
        assert_abs_diff_eq!(plan.busy, 9.0 * 19.0, epsilon = 1e-9);
        assert_eq!((plan.stretches.len(), plan.pauses.len(), plan.notes.len()), (36, 0, 0));
        assert_abs_diff_eq!(plan.stretches[35].to, 540.0 + 396.0, epsilon = 1e-9);
    }

    #[test]
    fn the_night_comes_after_a_rinse_and_the_light_bites_are_on_the_first_day() {
        // To 13:00: five turns of 44 minutes.
        let plan = plan(&turns(12.0, 2.0), Hours { to: 780.0, ..hours() }).unwrap();
        assert_eq!(plan.pauses.len(), 1);
        let pause = &plan.pauses[0];
        assert_eq!((pause.after, pause.drying, pause.from, pause.to), (5, false, 760.0, 1440.0 + 540.0));
        assert_eq!(
            pause.said,
            "Stop for the night when bite 5 is rinsed and dry, before stop-out 6 is painted: bites 6 to 9 forgive 2 s of your hand within 0.3 L*."
        );
        // Too early a night is said to be one.
        let early = super::plan(&turns(12.0, 2.0), Hours { start: 680.0, to: 780.0, ..hours() }).unwrap();
        assert!(early.pauses[0].said.contains("bite a witness first thing tomorrow"), "{}", early.pauses[0].said);
    }

    #[test]
    fn varnish_dries_over_the_night_only_where_the_printer_allows_it() {
        let plan = plan(&turns(12.0, 2.0), Hours { to: 780.0, dry_overnight: true, ..hours() }).unwrap();
        let pause = &plan.pauses[0];
        assert_eq!((pause.after, pause.drying, pause.from, pause.to), (5, true, 772.0, 1440.0 + 540.0));
        let bite = plan.stretches.iter().find(|s| s.number == 6 && s.work == Work::Bite).unwrap();
        assert_eq!((bite.day(), bite.from), (1, 1980.0));
    }

    #[test]
    fn what_is_painted_is_not_painted_again_and_what_has_nothing_to_paint_does_not_dry() {
        let mut some = turns(12.0, 2.0)[3..].to_vec();
        some[0].paint_min = None;
        some[1].paint_min = Some(0.0);
        let plan = plan(&some, hours()).unwrap();
        assert_eq!((plan.stretches[0].work, plan.stretches[0].number), (Work::Dry, 4));
        assert!(plan.stretches.iter().all(|s| s.number != 5 || matches!(s.work, Work::Bite | Work::Rinse)));
        assert!(plan.notes[0].starts_with("Stop-out 4 is painted already"));
        assert_eq!(super::plan(&[], hours()).unwrap(), DayPlan::default());
    }

    #[test]
    fn a_joined_dip_is_one_turn_and_what_has_dried_dries_no_longer() {
        let mut some = turns(12.0, 2.0)[5..].to_vec();
        // Stop-out 6 has dried for 20 of its 25 minutes; bites 7 and 8 are one dip.
        (some[0].paint_min, some[0].dried) = (None, 20.0);
        some[1].last = 8;
        some.remove(2);
        let plan = plan(&some, Hours { to: 588.0, ..hours() }).unwrap();
        assert_eq!((plan.stretches[0].work, plan.stretches[0].to), (Work::Dry, 545.0));
        assert!(!plan.notes.iter().any(|note| note.contains("painted already")), "{:?}", plan.notes);
        // Six is done at 9:12 and the next does not fit into the day; then 7 with 8, and on the third day 9.
        assert_eq!(plan.pauses.iter().map(|pause| pause.after).collect::<Vec<_>>(), [6, 8]);
        assert!(plan.pauses[0].said.contains("bites 7 to 9 "), "{}", plan.pauses[0].said);
        some[0].dried = 100.0;
        assert_eq!(super::plan(&some, hours()).unwrap().stretches[0].work, Work::Bite);
    }

    #[test]
    fn hours_that_can_not_be_are_refused_and_a_turn_longer_than_a_day_is_said() {
        let said = |hours: Hours| plan(&turns(12.0, 2.0), hours).unwrap_err().to_string();
        assert!(said(Hours { to: 500.0, ..hours() }).contains("ends at 8:20 and begins at 9:00"));
        assert!(said(Hours { start: f64::NAN, ..hours() }).contains("time of day"));
        assert!(said(Hours { dry: -1.0, ..hours() }).contains("-1 came"));
        let long = plan(&turns(600.0, 2.0), hours()).unwrap();
        assert!(long.notes.iter().any(|note| note.contains("10.5 h, more than a working day of 9.0 h")), "{:?}", long.notes);
    }

    proptest! {
        /// Whatever the hours: no two things the hands do overlap, varnish is dry before its bite, a bite is rinsed at once, nothing is left out,
        /// and no night lies between painting and biting unless the printer allows it.
        #[test]
        fn every_plan_is_one_that_can_be_kept(
            paints in prop::collection::vec((prop_oneof![Just(0.0), 0.0..90.0f64], 0.0..20.0f64), 1..15),
            (start, from, length) in (0.0..1440.0f64, 0.0..900.0f64, 30.0..540.0f64), (dry, rinse) in (0.0..120.0f64, 0.0..20.0f64), over in any::<bool>(),
        ) {
            let turns: Vec<Turn> = (1..)
                .zip(&paints)
                .map(|(number, &(paint, bite))| Turn { number, last: number, paint_min: Some(paint), dried: 0.0, bite: Seconds(bite * 60.0), slope: -0.1 })
                .collect();
            let hours = Hours { start, from, to: from + length, dry, rinse, dry_overnight: over, slack: Seconds(2.0) };
            let plan = plan(&turns, hours).unwrap();
            prop_assert!(plan.stretches.windows(2).all(|w| w[1].from >= w[0].to - 1e-6), "{:?}", plan.stretches);
            let sum: f64 = plan.stretches.iter().map(|s| s.to - s.from).sum();
            let asked: f64 = paints.iter().map(|&(paint, bite)| paint + bite + rinse + if paint > 0.0 { dry } else { 0.0 }).sum();
            prop_assert!((sum - asked).abs() < 1e-6 && (plan.minutes - asked).abs() < 1e-6);
            for turn in &turns {
                let find = |work: Work| plan.stretches.iter().find(|s| s.number == turn.number && s.work == work);
                if let (Some(paint), Some(bite)) = (find(Work::Paint), find(Work::Bite)) {
                    prop_assert!(bite.from >= paint.to + dry - 1e-6);
                    prop_assert!(over || bite.from <= paint.to + dry + 1e-6, "a night between");
                }
                if let (Some(bite), Some(rinse)) = (find(Work::Bite), find(Work::Rinse)) {
                    prop_assert!((rinse.from - bite.to).abs() < 1e-6);
                }
            }
            for pause in &plan.pauses {
                let inside = plan.stretches.iter().any(|s| s.work.busy() && s.from < pause.to - 1e-6 && s.to > pause.from + 1e-6);
                prop_assert!(!inside, "{:?}", pause);
                prop_assert!(pause.drying <= over);
            }
        }
    }
}
