//! The day of several plates by the printer's own hours: times of day, and where to stop for the night.
//!
//! All plates are at one bite when a night comes, so that no tone of one was bitten on another day than the same tone of another. The first day
//! takes as many bites as it has room for: those are the light ones, where a second counts most, and what is left for the next day is what
//! forgives most. Where a day has no room for one bite of all plates, some of them have it on another day, and that is said.

use super::{DaysError, Entry, Round, Tray, Work, bound, drift};
use crate::day::{DAY, DayError, FORGIVING, HAIR, Hours, MOST_DAYS, clock};
use crate::plate::SizeMm;
use crate::units::Seconds;
use std::ops::RangeInclusive;

mod fill;
use fill::{At, as_many, named, one, some};

/// The most plates of one day.
pub const MOST_PLATES: usize = 40;
/// Ages of the bath further apart than this, a share of all that is bitten, are told as drift. Choice of ours.
const APART: f64 = 0.02;

/// One dip of a plate with what leads to it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlateTurn {
    /// The stop-out that is painted before it; none: it is painted already.
    pub stop_out: Option<usize>,
    /// The bites of the ladder that the dip is.
    pub bites: RangeInclusive<usize>,
    /// Painting, drying, dip and rinse.
    pub round: Round,
    /// How the curve falls where it ends, L* a second, negative.
    pub slope: f64,
}

/// Plates with all that is still to come of them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plates {
    /// Their letters, for sentences.
    pub letters: Vec<String>,
    /// Their sizes.
    pub sizes: Vec<SizeMm>,
    /// Their turns, bites rising.
    pub turns: Vec<Vec<PlateTurn>>,
    /// Places of plates of which it is not decided how to go on: their turns may come to be others.
    pub undecided: Vec<usize>,
}

/// One piece of the hands' work; see [`Entry`]. Minutes from the first day's midnight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Task {
    /// Which plate.
    pub plate: usize,
    /// Which of its turns.
    pub turn: usize,
    /// What.
    pub work: Work,
    /// When it begins.
    pub from: f64,
    /// Of a bite, when the plate comes out; of a painting, its end.
    pub lifted: f64,
    /// When the hands are done with this plate.
    pub to: f64,
}

/// A night.
#[derive(Clone, Debug, PartialEq)]
pub struct Night {
    /// The bite after which the work stops; 0: before the first.
    pub after: usize,
    /// Plates and their stop-outs that dry meanwhile.
    pub drying: Vec<(usize, usize)>,
    /// From and to, minutes from the first day's midnight.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// What to know of it.
    pub said: String,
}

/// The days.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Days {
    /// What the hands do, in order.
    pub tasks: Vec<Task>,
    /// Every night between.
    pub nights: Vec<Night>,
    /// Working minutes from the first day's beginning to the last rinse: of a day before a night all its hours.
    pub minutes: f64,
    /// No order takes fewer.
    pub bound: f64,
    /// Minutes that hands are busy.
    pub busy: f64,
    /// How old the bath is for each plate, in the mean, as a share of all that is bitten in it; none: it is not bitten.
    pub ages: Vec<Option<f64>>,
    /// Dips that plates share.
    pub shared: usize,
    /// What does not go as asked, a sentence each.
    pub notes: Vec<String>,
}

/// Lays out what is still to come of all plates. `break_after`: the first day ends after this bite at the latest; none: when its hours end. A
/// break behind all that is still to come is none.
///
/// # Errors
/// Hours, minutes or a tray that can't be, a plate that does not lie in it, too many plates.
pub fn days(plates: &Plates, hours: Hours, tray: Option<&Tray>, break_after: Option<usize>) -> Result<Days, DaysError> {
    if plates.turns.len() > MOST_PLATES {
        return Err(DaysError::Plates(plates.turns.len()));
    }
    let minutes = plates.turns.iter().flatten().flat_map(|turn| [turn.round.paint, turn.round.dry, turn.round.bite, turn.round.rinse]);
    hours.checked(minutes.map(|time| time.0 / 60.0))?;
    if let Some(tray) = tray {
        tray.takes_each(&plates.sizes)?;
    }
    let break_after = break_after.filter(|after| plates.turns.iter().flatten().any(|turn| *turn.bites.end() <= *after));
    let mut at = At { plates, tray, done: vec![0; plates.turns.len()], painted: vec![false; plates.turns.len()] };
    let mut days = Days::default();
    let undecided: Vec<usize> = plates.undecided.iter().copied().filter(|plate| *plate < plates.turns.len()).collect();
    if !undecided.is_empty() {
        days.notes.push(format!(
            "How to go on with {} is not decided: until then the times of later bites, and these hours, may be others.",
            named(&at, &undecided)
        ));
    }
    let mut now = hours.start;
    // Of days gone by.
    let mut worked = 0.0;
    let mut day = 0;
    if now >= hours.to - HAIR && !at.finished() {
        days.notes.push(format!("The day ends at {}: the work begins on the next.", clock(hours.to)));
        now = hours.next_morning(now);
    }
    let mut begun = now;
    let mut end = now;
    while !at.finished() {
        if now > MOST_DAYS * DAY {
            return Err(DayError::Long.into());
        }
        let room = hours.evening(now) - now;
        let most = break_after.filter(|_| day == 0).unwrap_or(usize::MAX);
        let found = as_many(&at, room, most).or_else(|| some(&at, room, &mut days.notes));
        let found = match found {
            Some(found) => found,
            None if now > hours.next_morning(now) - DAY + HAIR && hours.to - hours.from > room + HAIR => {
                // The first day begins late: a whole day may have room.
                days.notes.push(format!("Nothing fits before {}: the work begins on the next day.", clock(hours.to)));
                // Hours of a day that has begun are worked hours, empty or not.
                let morning = hours.next_morning(now);
                if days.tasks.is_empty() {
                    begun = morning;
                } else {
                    worked += (hours.evening(now) - now).max(0.0);
                }
                now = morning;
                continue;
            }
            None => one(&at, &hours, &mut days.notes),
        };
        end = now;
        for entry in &found.entries {
            end = end.max(now + entry.to.0 / 60.0);
            days.put(&mut at, entry, now);
        }
        for (plate, rounds) in found.rounds.iter().enumerate().filter(|(_, rounds)| **rounds > 0) {
            at.done[plate] += rounds;
            at.painted[plate] = false;
        }
        if at.finished() {
            break;
        }
        let (from, mut morning) = (end, hours.next_morning(now));
        // What runs on through a whole night has its end on a later day, and the morning is the one after.
        let mut late = 0.0;
        if end > morning {
            late = (hours.evening(end) - end).max(0.0);
            morning = hours.next_morning(end);
        }
        let mut to = morning;
        let mut drying = vec![];
        if hours.dry_overnight {
            for plate in 0..plates.turns.len() {
                let Some(turn) = at.left(plate).first().filter(|turn| turn.round.paint.0 > 0.0) else { continue };
                let (paint, dry, stop_out) = (turn.round.paint.0 / 60.0, turn.round.dry.0 / 60.0, turn.stop_out);
                if end + paint > hours.evening(now) + HAIR || late > 0.0 {
                    continue;
                }
                days.tasks.push(Task { plate, turn: at.done[plate], work: Work::Paint, from: end, lifted: end + paint, to: end + paint });
                end += paint;
                to = to.max(end + dry);
                at.painted[plate] = true;
                drying.extend(stop_out.map(|stop_out| (plate, stop_out)));
            }
        }
        let after = (0..plates.turns.len()).filter_map(|plate| Some(*plates.turns[plate].get(at.done[plate].checked_sub(1)?)?.bites.end()));
        let after = after.max().unwrap_or(0);
        let said = night(&at, &hours, after, &drying);
        days.nights.push(Night { after, drying, from: from.max(end), to, said });
        // So is a morning that is waited through, for what dries past it.
        worked += end.max(hours.evening(now)) - now + late + (to.min(hours.evening(morning)) - morning).max(0.0);
        now = to;
        day += 1;
    }
    days.minutes = worked + end - now;
    days.bound = least(plates, &at, &hours, begun, days.nights.is_empty());
    days.sum_up(plates);
    Ok(days)
}

/// What to know of a night.
fn night(at: &At<'_>, hours: &Hours, after: usize, drying: &[(usize, usize)]) -> String {
    let left = || (0..at.done.len()).flat_map(|plate| at.left(plate));
    let by = left().map(|turn| (turn.slope * hours.slack.0).abs()).fold(0.0, f64::max);
    let first = left().map(|turn| *turn.bites.start()).min().unwrap_or(after + 1);
    let last = left().map(|turn| *turn.bites.end()).max().unwrap_or(after + 1);
    let which = if first == last { format!("bite {first}") } else { format!("bites {first} to {last}") };
    let plates: Vec<usize> = drying.iter().map(|(plate, _)| *plate).collect();
    let where_ = match (drying.len(), after) {
        (0, 0) => "The work begins on the next day".to_owned(),
        (0, after) => format!("Stop for the night after bite {after}, when what was bitten is rinsed and dry"),
        (one, _) => format!(
            "Stop for the night after bite {after}; the next {} of {} {} over it, as you allow",
            if one == 1 { "stop-out" } else { "stop-outs" },
            named(at, &plates),
            if one == 1 { "dries" } else { "dry" }
        ),
    };
    let forgive = if first == last { "forgives" } else { "forgive" };
    if by < FORGIVING {
        format!("{where_}: {which} {forgive} {} s of your hand within {:.1} L*.", hours.slack.0, by.max(0.1))
    } else {
        format!(
            "{where_}: among {which} {} s of your hand still move a tone by {by:.1} L*, and tomorrow’s bath is another one. Begin earlier, or \
             bite a witness first thing tomorrow.",
            hours.slack.0
        )
    }
}

/// Working minutes that no order gets under.
fn least(plates: &Plates, at: &At<'_>, hours: &Hours, begun: f64, in_one: bool) -> f64 {
    let rounds: Vec<Vec<Round>> = plates.turns.iter().map(|turns| turns.iter().map(|turn| turn.round).collect()).collect();
    let shares = at.shares();
    if in_one {
        return bound::bound(&rounds, shares.as_deref()) / 60.0;
    }
    // A plate alone may dry while nobody works: of that only hours of work count.
    let alone = rounds.iter().map(|rounds| bound::chain(rounds) / 60.0).fold(0.0, f64::max);
    let (mut from, mut worked) = (begun, 0.0);
    let end = begun + alone;
    while from < end - HAIR && from < MOST_DAYS * DAY {
        worked += (end.min(hours.evening(from)) - from).max(0.0);
        from = hours.next_morning(from);
    }
    (bound::hands(&rounds, shares.as_deref()) / 60.0).max(worked)
}

impl Days {
    fn put(&mut self, at: &mut At<'_>, entry: &Entry, now: f64) {
        let [from, lifted, to] = [entry.from, entry.lifted, entry.to].map(|time| now + time.0 / 60.0);
        // What takes no time is no work; a dip of no length is one of which nobody knows it yet.
        if entry.work == Work::Bite || to > from + HAIR {
            self.tasks.push(Task { plate: entry.plate, turn: at.done[entry.plate] + entry.round, work: entry.work, from, lifted, to });
        }
    }

    /// How far the days are from the least there can be, as a share of it.
    #[must_use]
    pub fn gap(&self) -> f64 {
        if self.bound > 0.0 { (self.minutes / self.bound - 1.0).max(0.0) } else { 0.0 }
    }

    fn sum_up(&mut self, plates: &Plates) {
        let rounds: Vec<Vec<Round>> = plates.turns.iter().map(|turns| turns.iter().map(|turn| turn.round).collect()).collect();
        let entry = |task: &Task| {
            let [from, lifted, to] = [task.from, task.lifted, task.to].map(|minutes| Seconds(60.0 * minutes));
            Entry { plate: task.plate, round: task.turn, work: task.work, from, lifted, to }
        };
        let entries: Vec<Entry> = self.tasks.iter().map(entry).collect();
        let areas: Vec<f64> = plates.sizes.iter().map(|size| size.width.0 * size.height.0).collect();
        self.ages = drift::ages(&entries, &rounds, &areas);
        let mut free = f64::NEG_INFINITY;
        let (mut dips, mut bites) = (vec![], 0);
        for task in &self.tasks {
            self.busy += (task.to - task.from.max(free)).max(0.0);
            free = free.max(task.to);
            if task.work == Work::Bite {
                bites += 1;
                dips.push(task.from);
            }
        }
        dips.dedup_by(|one, other| (*one - *other).abs() <= HAIR);
        self.shared = bites - dips.len();
        let spread = drift::spread(&self.ages);
        if spread > APART && plates.turns.len() > 1 {
            let at = At { plates, tray: None, done: vec![], painted: vec![] };
            let extreme = |most: bool| {
                let ages = self.ages.iter().enumerate().filter_map(|(plate, age)| Some((plate, (*age)?)));
                let found = if most { ages.max_by(|a, b| a.1.total_cmp(&b.1)) } else { ages.min_by(|a, b| a.1.total_cmp(&b.1)) };
                found.map_or(0, |(plate, _)| plate)
            };
            self.notes.push(format!(
                "The bath is older for {} than for {}, by {:.0} % of all that is bitten in it: no order was found that is as short and evens it out. A witness \
                 strip beside each plate tells whether it shows.",
                named(&at, &[extreme(true)]),
                named(&at, &[extreme(false)]),
                100.0 * spread
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Millimetres;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn hours() -> Hours {
        Hours { start: 540.0, from: 540.0, to: 1080.0, dry: 25.0, rinse: 5.0, dry_overnight: false, slack: Seconds(2.0) }
    }

    /// Slopes of strip 14-B's ten tones.
    const SLOPES: [f64; 9] = [-0.82, -0.74, -0.46, -0.32, -0.24, -0.15, -0.10, -0.07, -0.05];

    /// The demo: paint 12, dry 25, bite 2, rinse 5 minutes, plates 180 mm high.
    fn demo(widths: &[f64]) -> Plates {
        let minutes = |minutes: f64| Seconds(60.0 * minutes);
        let round = Round { paint: minutes(12.0), dry: minutes(25.0), bite: minutes(2.0), rinse: minutes(5.0), air: Seconds(0.0) };
        let turns: Vec<PlateTurn> =
            (1..).zip(SLOPES).map(|(bite, slope)| PlateTurn { stop_out: Some(bite), bites: bite..=bite, round, slope }).collect();
        Plates {
            letters: ["A", "B", "C", "D"].iter().cycle().take(widths.len()).map(|letter| (*letter).to_owned()).collect(),
            sizes: widths.iter().map(|width| SizeMm { width: Millimetres(*width), height: Millimetres(180.0) }).collect(),
            turns: vec![turns; widths.len()],
            undecided: vec![],
        }
    }

    const FOUR: [f64; 4] = [120.0, 160.0, 120.0, 90.0];

    #[test]
    fn four_plates_of_the_demo_take_no_more_than_worked_out_where_the_day_is_long() {
        let days = days(&demo(&FOUR), Hours { start: 360.0, from: 360.0, to: 1200.0, ..hours() }, None, None).unwrap();
        assert!(days.minutes <= 11.6 * 60.0 + 1e-9 && days.gap() <= 0.03 && days.nights.is_empty(), "{} {}", days.minutes, days.gap());
        assert_abs_diff_eq!(days.busy, 4.0 * 9.0 * 19.0, epsilon = 1e-6);
        let spread = drift::spread(&days.ages);
        assert!(spread <= APART && days.notes.is_empty(), "{spread} {:?}", days.notes);
    }

    #[test]
    fn the_light_bites_of_all_plates_are_on_the_first_day() {
        let found = days(&demo(&FOUR), hours(), None, None).unwrap();
        assert_eq!(found.nights.len(), 1);
        // Nine hours: six bites of four plates are 7.6 hours of hands at least, seven 8.9.
        let after = found.nights[0].after;
        assert!((6..=7).contains(&after), "{after}");
        let plates = demo(&FOUR);
        for task in found.tasks.iter().filter(|task| task.work == Work::Bite) {
            assert_eq!(task.from < 1440.0, *plates.turns[task.plate][task.turn].bites.end() <= after);
        }
        assert!(found.nights[0].said.contains("forgive 2 s of your hand"), "{}", found.nights[0].said);
        assert!(found.gap() <= 0.05, "{}", found.gap());
        // The printer's own break.
        let early = days(&demo(&FOUR), hours(), None, Some(2)).unwrap();
        assert_eq!(early.nights[0].after, 2);
        assert!(early.nights[0].said.contains("bite a witness first thing tomorrow"), "{}", early.nights[0].said);
    }

    #[test]
    fn stop_outs_dry_over_the_night_where_the_printer_allows_it() {
        let over = days(&demo(&FOUR), Hours { dry_overnight: true, ..hours() }, None, Some(5)).unwrap();
        let plain = days(&demo(&FOUR), hours(), None, Some(5)).unwrap();
        assert_eq!(over.nights[0].drying.len(), 4);
        assert!(over.nights[0].said.contains("of plates A, B, C and D dry over it, as you allow"), "{}", over.nights[0].said);
        assert!(over.minutes < plain.minutes);
    }

    #[test]
    fn a_break_behind_what_is_bitten_is_none() {
        let mut plates = demo(&FOUR);
        plates.turns.iter_mut().for_each(|turns| *turns = turns.split_off(5));
        let free = days(&plates, hours(), None, None).unwrap();
        assert_eq!(days(&plates, hours(), None, Some(3)).unwrap(), free);
        assert!(free.nights.is_empty());
        assert_eq!(days(&plates, hours(), None, Some(6)).unwrap().nights[0].after, 6);
        // Of one plate that is behind the others it is one still.
        plates.turns[1] = demo(&FOUR).turns[1].split_off(2);
        assert_eq!(days(&plates, hours(), None, Some(3)).unwrap().nights[0].after, 3);
    }

    #[test]
    fn a_plate_of_which_nothing_is_decided_is_named() {
        let plates = Plates { undecided: vec![1, 3, 9], ..demo(&FOUR) };
        let found = days(&plates, hours(), None, None).unwrap();
        assert_eq!(
            found.notes[0],
            "How to go on with plates B and D is not decided: until then the times of later bites, and these hours, may be others."
        );
    }

    #[test]
    fn a_morning_that_is_waited_through_is_counted() {
        // One plate whose varnish dries for 20 hours: painted at 9:00, left over the night, dry at 5:12; then again, to the day after.
        let mut plates = demo(&FOUR[..1]);
        plates.turns[0].truncate(3);
        for turn in &mut plates.turns[0] {
            turn.round.dry = Seconds(20.0 * 3600.0);
        }
        let over = days(&plates, Hours { dry_overnight: true, ..hours() }, None, None).unwrap();
        assert!(over.bound <= over.minutes + 1e-6, "{} of {}", over.bound, over.minutes);
        // Every hour of work between the first day's beginning and the last rinse, by the clock.
        let last = over.tasks.iter().map(|task| task.to).fold(0.0, f64::max);
        let worked: f64 = (0..9).map(|day| 1440.0 * f64::from(day)).map(|day| (last.min(day + 1080.0) - (day + 540.0)).max(0.0)).sum();
        assert!(over.minutes >= worked - 1e-6, "{} of {worked}", over.minutes);
    }

    #[test]
    fn hours_trays_and_plates_that_can_not_be_are_said() {
        let said = |plates: &Plates, hours: Hours, tray: Option<&Tray>| days(plates, hours, tray, None).unwrap_err().to_string();
        let small = Tray::new(Millimetres(100.0), Millimetres(180.0)).unwrap();
        assert!(said(&demo(&FOUR), hours(), Some(&small)).starts_with("Plate 1 of the list measures 120 × 180 mm"));
        assert!(said(&demo(&[100.0; 41]), hours(), None).contains("at most 40 plates"));
        assert!(said(&demo(&FOUR), Hours { to: 500.0, ..hours() }, None).contains("ends at 8:20"));
        assert!(said(&demo(&[100.0; 30]), Hours { to: 560.0, ..hours() }, None).contains("more than 60 days"));
        // Half an hour is less than a round of one plate.
        let short = days(&demo(&[120.0]), Hours { to: 570.0, ..hours() }, None, None).unwrap();
        assert!(short.notes[0].contains("it runs on past that"), "{:?}", short.notes);
        // An hour and a quarter has room for one bite of three of them.
        let part = days(&demo(&FOUR), Hours { to: 615.0, ..hours() }, None, None).unwrap();
        assert!(part.notes[0].contains("no room for bite 1 of all plates: plate"), "{:?}", part.notes);
        assert_eq!(days(&Plates::default(), hours(), None, None).unwrap(), Days::default());
        // Thirty plates take a fortnight, and have a plan.
        let many = days(&demo(&[100.0; 30]), hours(), None, None).unwrap();
        assert!(many.nights.len() >= 9 && many.bound <= many.minutes, "{} nights", many.nights.len());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 24 } else { 400 }))]

        /// Whatever hours, tray and plates: no two things the hands do overlap but one dip, varnish is dry before its bite, bites come in their order,
        /// nothing is left out, nothing is worked on at night, and the bound is one.
        #[test]
        fn every_day_is_one_that_can_be_kept(
            rounds in prop::collection::vec(prop::collection::vec((
                prop_oneof![4 => 0.0..40.0f64, 1 => 0.0..700.0f64],
                prop_oneof![4 => 0.0..60.0f64, 1 => 0.0..1400.0f64],
                0.1..10.0f64,
                0.0..6.0f64,
            ), 0..4), 1..4),
            (from, length) in (0.0..600.0f64, 120.0..600.0f64), tray in prop::option::of(100.0..400.0f64), over in any::<bool>(), upto in prop::option::of(1..4usize),
        ) {
            let minutes = |minutes: f64| Seconds(60.0 * minutes);
            let turn = |(at, &(paint, dry, bite, rinse)): (usize, &(f64, f64, f64, f64))| PlateTurn {
                stop_out: Some(at + 1),
                bites: at + 1..=at + 1,
                // Bites of one length are common on one ladder.
                round: Round { paint: minutes(paint), dry: minutes(dry), bite: minutes(libm::ceil(bite / 3.0)), rinse: minutes(rinse), air: Seconds(0.0) },
                slope: -0.1,
            };
            let turns: Vec<Vec<PlateTurn>> = rounds.iter().map(|rounds| rounds.iter().enumerate().map(turn).collect()).collect();
            let plates = Plates { sizes: vec![SizeMm { width: Millimetres(100.0), height: Millimetres(80.0) }; turns.len()], letters: vec![], turns, undecided: vec![] };
            let hours = Hours { start: from, from, to: from + length, dry: 0.0, rinse: 0.0, dry_overnight: over, slack: Seconds(2.0) };
            let tray = tray.map(|side| Tray::new(Millimetres(side), Millimetres(side)).unwrap());
            let days = days(&plates, hours, tray.as_ref(), upto).unwrap();
            prop_assert!(days.bound <= days.minutes + 1e-6, "{} of {}", days.bound, days.minutes);
            let mut tasks = days.tasks.clone();
            tasks.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)));
            for pair in tasks.windows(2) {
                let one_dip = pair[0].work == Work::Bite && pair[1].work == Work::Bite && (pair[0].from - pair[1].from).abs() < 1e-6;
                prop_assert!(pair[1].from >= pair[0].to - 1e-6 || one_dip && (pair[0].lifted - pair[1].lifted).abs() < 1e-6, "{:?}", pair);
                prop_assert!(!one_dip || tray.is_some());
            }
            for (plate, turns) in plates.turns.iter().enumerate() {
                let mut ready = from;
                for (at, turn) in turns.iter().enumerate() {
                    let find = |work: Work| tasks.iter().find(|task| task.plate == plate && task.turn == at && task.work == work);
                    if let Some(paint) = find(Work::Paint) {
                        prop_assert!(paint.from >= ready - 1e-6 && (paint.to - paint.from - turn.round.paint.0 / 60.0).abs() < 1e-6);
                        ready = paint.to + turn.round.dry.0 / 60.0;
                    } else {
                        prop_assert!(turn.round.paint.0 < 1e-3);
                    }
                    let bite = find(Work::Bite);
                    prop_assert!(bite.is_some());
                    let bite = bite.unwrap();
                    prop_assert!(bite.from >= ready - 1e-6 && (bite.lifted - bite.from - turn.round.bite.0 / 60.0).abs() < 1e-6);
                    ready = bite.to;
                }
            }
            for night in &days.nights {
                prop_assert!(tasks.iter().all(|task| task.to <= night.from + 1e-6 || task.from >= night.to - 1e-6), "{:?}", night);
                prop_assert!(over || night.drying.is_empty());
            }
        }
    }
}
