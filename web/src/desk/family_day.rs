//! The day of several plates at the desk: what is still to come of all of them, in the printer's own hours, at one bath.

use super::{Desk, Plan};
use crate::error::Refusal;
use crate::settings::{DayDip, FamilyDaySpec};
use serde::Serialize;
use stepbite_core::day::Hours;
use stepbite_core::plate::SizeMm;
use stepbite_core::shared_day::{self, Days, PlateTurn, Plates, Round, Tray, Work};
use stepbite_core::strip::StripKind;
use stepbite_core::units::{Millimetres, Seconds};
use stepbite_core::what_if::what_if;

/// The day of several plates; see `FamilyDayPlan` in `types.d.ts`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FamilyDayFacts {
    stretches: Vec<PlateStretch>,
    nights: Vec<NightFacts>,
    minutes: f64,
    busy_min: f64,
    bound_min: f64,
    gap: f64,
    /// Dips that another plate goes into as well.
    shared: usize,
    ages: Vec<Option<f64>>,
    breaks: Vec<BreakFacts>,
    notes: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
struct PlateStretch {
    kind: &'static str,
    plate: usize,
    /// The stop-out, or the first bite; and the last.
    number: usize,
    to: usize,
    from_min: f64,
    to_min: f64,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct NightFacts {
    after: usize,
    drying: Vec<(usize, usize)>,
    from_min: f64,
    to_min: f64,
    said: String,
}

/// Where the first day may end: by how much a hand moves the tones that are left.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
struct BreakFacts {
    after: usize,
    by_l: f64,
}

impl Desk {
    /// Plates and their days, whatever strip there is.
    pub(super) fn days(&self, spec: &FamilyDaySpec) -> Result<(Plates, Days), Refusal> {
        let plan = self.plan()?;
        if let Some(wrong) = spec.day.wrong() {
            return Err(Refusal::new("day", format!("This day can't be planned: {wrong}.")));
        }
        let bench = plan.settings.bench;
        let hours = Hours {
            start: spec.start_min,
            from: spec.day.from_min,
            to: spec.day.to_min,
            dry: bench.dry_min.unwrap_or(0.0),
            rinse: bench.rinse_min.unwrap_or(0.0),
            dry_overnight: spec.day.dry_overnight,
            slack: plan.bites.handling.slack(),
        };
        let plates = Plates {
            letters: spec.plates.iter().map(|plate| plate.letter.clone()).collect(),
            sizes: spec
                .plates
                .iter()
                .map(|plate| SizeMm { width: Millimetres(plate.size_mm[0]), height: Millimetres(plate.size_mm[1]) })
                .collect(),
            undecided: spec.plates.iter().enumerate().filter(|(_, plate)| plate.undecided).map(|(at, _)| at).collect(),
            turns: spec.plates.iter().map(|plate| plate.dips.iter().map(|dip| turn(plan, dip, &hours)).collect()).collect(),
        };
        let tray = spec.day.tray_mm.map(|[width, height]| Tray::new(Millimetres(width), Millimetres(height)));
        let tray = tray.transpose().map_err(refused)?;
        let days = shared_day::days(&plates, hours, tray.as_ref(), spec.day.break_after).map_err(refused)?;
        Ok((plates, days))
    }

    /// The day of several plates.
    ///
    /// # Errors
    /// Before the first plan, without a strip, after a STOP, and for hours, plates or a tray that can't be.
    pub fn family_day(&self, spec: &FamilyDaySpec) -> Result<FamilyDayFacts, Refusal> {
        let plan = self.plan()?;
        if plan.strip.kind() == StripKind::Missing {
            return Err(Refusal::new(
                "day",
                "There is no strip yet, so no bite has a length and no day a plan: bite the strip plan and read it first.",
            ));
        }
        if plan.stopped() {
            return Err(Refusal::new("day", plan.day.judged().sentence()));
        }
        let (plates, days) = self.days(spec)?;
        let bench = plan.settings.bench;
        let mut notes: Vec<String> = Vec::new();
        let missing: Vec<&str> = [(bench.dry_min, "drying"), (bench.rinse_min, "rinsing")]
            .into_iter()
            .filter(|each| each.0.is_none())
            .map(|each| each.1)
            .collect();
        if !missing.is_empty() {
            notes.push(format!("Minutes for {} are not given, and not counted: the day is longer than this.", missing.join(" and ")));
        }
        if spec.plates.iter().flat_map(|plate| &plate.dips).any(|dip| dip.paint_min.is_none() && dip.dried_min.is_none()) {
            notes.push("A stop-out that is painted already is counted with its whole drying from the start.".to_owned());
        }
        notes.extend(days.notes.iter().cloned());
        let mut stretches: Vec<PlateStretch> = days.tasks.iter().flat_map(|task| drawn(task, &plates)).collect();
        stretches.sort_by(|one, other| one.from_min.total_cmp(&other.from_min).then(one.plate.cmp(&other.plate)));
        Ok(FamilyDayFacts {
            stretches,
            nights: days
                .nights
                .iter()
                .map(|night| NightFacts {
                    after: night.after,
                    drying: night.drying.clone(),
                    from_min: night.from,
                    to_min: night.to,
                    said: night.said.clone(),
                })
                .collect(),
            minutes: days.minutes,
            busy_min: days.busy,
            bound_min: days.bound,
            gap: days.gap(),
            shared: days.shared,
            ages: days.ages.clone(),
            breaks: breaks(&plates, plan.bites.handling.slack()),
            notes,
        })
    }
}

fn refused(error: impl std::fmt::Display) -> Refusal {
    Refusal::new("day", error.to_string())
}

fn turn(plan: &Plan, dip: &DayDip, hours: &Hours) -> PlateTurn {
    let minutes = |minutes: f64| Seconds(60.0 * minutes);
    // Of what is painted already the log may know how long it has dried; what has nothing to paint has nothing to dry.
    let dried = dip.dried_min.filter(|dried| dip.paint_min.is_none() && *dried > 0.0).unwrap_or(0.0);
    let dry = if dip.paint_min == Some(0.0) { 0.0 } else { (hours.dry - dried).max(0.0) };
    PlateTurn {
        stop_out: dip.paint_min.map(|_| dip.from),
        bites: dip.from..=dip.to,
        round: Round {
            paint: minutes(dip.paint_min.unwrap_or(0.0)),
            dry: minutes(dry),
            bite: Seconds(dip.set_s),
            rinse: minutes(hours.rinse),
            air: Seconds(0.0),
        },
        slope: what_if(&plan.bites, &plan.curve, dip.to, Seconds(0.0)).map_or(0.0, |what| what.slope),
    }
}

/// What a piece of work shows: paint and its drying, or bite and its rinse.
fn drawn(task: &shared_day::Task, plates: &Plates) -> Vec<PlateStretch> {
    let turn = &plates.turns[task.plate][task.turn];
    let (first, last) = (*turn.bites.start(), *turn.bites.end());
    let stretch = |kind, to, from_min, to_min| PlateStretch { kind, plate: task.plate, number: first, to, from_min, to_min };
    let rinse = turn.round.rinse.0 / 60.0;
    match task.work {
        Work::Paint => {
            vec![stretch("paint", first, task.from, task.to), stretch("dry", first, task.to, task.to + turn.round.dry.0 / 60.0)]
        }
        Work::Bite => vec![stretch("bite", last, task.from, task.lifted), stretch("rinse", last, task.to - rinse, task.to)],
    }
    .into_iter()
    .filter(|stretch| stretch.to_min > stretch.from_min)
    .collect()
}

fn breaks(plates: &Plates, slack: Seconds) -> Vec<BreakFacts> {
    let turns = || plates.turns.iter().flatten();
    let mut ends: Vec<usize> = turns().map(|turn| *turn.bites.end()).collect();
    ends.sort_unstable();
    ends.dedup();
    ends.pop();
    let by = |after: usize| turns().filter(|turn| *turn.bites.end() > after).map(|turn| (turn.slope * slack.0).abs()).fold(0.0, f64::max);
    ends.into_iter().map(|after| BreakFacts { after, by_l: by(after) }).collect()
}
