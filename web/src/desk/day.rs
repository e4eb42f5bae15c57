//! The day plan at the desk: what is still to come of this plate, in the printer's own hours.

use super::Desk;
use crate::error::Refusal;
use crate::settings::DaySpec;
use serde::Serialize;
use stepbite_core::day::{self, Hours, Turn, Work};
use stepbite_core::log::Next;
use stepbite_core::strip::StripKind;
use stepbite_core::units::Seconds;
use stepbite_core::what_if::what_if;

/// The day plan; see `DayPlan` in `types.d.ts`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DayFacts {
    stretches: Vec<StretchFacts>,
    pauses: Vec<PauseFacts>,
    minutes: f64,
    busy_min: f64,
    notes: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct StretchFacts {
    kind: &'static str,
    /// The stop-out; of a bite and its rinse the last of their dip.
    number: usize,
    /// The first bite of the dip.
    from: usize,
    day: usize,
    from_min: f64,
    to_min: f64,
    hands: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct PauseFacts {
    after: usize,
    drying: bool,
    from_min: f64,
    to_min: f64,
    said: String,
}

impl Desk {
    /// The day plan of what is still to come.
    ///
    /// # Errors
    /// Before the first plan, without a strip, after a STOP, and for hours that can't be.
    pub fn day_plan(&self, spec: &DaySpec) -> Result<DayFacts, Refusal> {
        let plan = self.plan()?;
        if plan.strip.kind() == StripKind::Missing {
            return Err(Refusal::new(
                "day",
                "There is no strip yet, so no bite has a length and no day a plan: bite the strip plan and read it first.",
            ));
        }
        if plan.day.named() && plan.day.judged().stops() {
            return Err(Refusal::new("day", plan.day.judged().sentence()));
        }
        let leaves = plan.bites.leaves();
        let painted = match plan.standing.next(leaves) {
            Next::Bite(number) => Some(number),
            Next::Paint(_) | Next::Finished => None,
        };
        // Bites that join are one dip, and after its darkest tone the plate is out.
        let dips = plan.bites.to_come(&plan.curve);
        let turns = dips.iter().map(|dip| {
            let (first, last) = (*dip.bites.start(), *dip.bites.end());
            let stop = &plan.stopouts.list()[first - 1];
            Turn {
                number: first,
                paint_min: (painted != Some(first)).then_some(if stop.new_share > 0.0 { stop.paint_min } else { 0.0 }),
                bite: dip.set,
                slope: what_if(&plan.bites, &plan.curve, last, Seconds(0.0)).map_or(0.0, |what| what.slope),
                last,
                dried: if painted == Some(first) { spec.dried_min.unwrap_or(0.0) } else { 0.0 },
            }
        });
        let turns: Vec<Turn> = turns.collect();
        let bench = plan.settings.bench;
        let hours = Hours {
            start: spec.start_min,
            from: spec.from_min,
            to: spec.to_min,
            dry: bench.dry_min.unwrap_or(0.0),
            rinse: bench.rinse_min.unwrap_or(0.0),
            dry_overnight: spec.dry_overnight,
            slack: plan.bites.handling.slack(),
        };
        let laid = day::plan(&turns, hours)?;
        let mut notes = laid.notes.clone();
        if plan.bites.undecided {
            notes.insert(
                0,
                format!(
                    "How to go on after bite {} is not decided: until then the times of later bites, and these hours, may be others.",
                    plan.bites.bitten
                ),
            );
        }
        let missing: Vec<&str> = [(bench.dry_min, "drying"), (bench.rinse_min, "rinsing")]
            .into_iter()
            .filter(|each| each.0.is_none())
            .map(|each| each.1)
            .collect();
        if !missing.is_empty() {
            notes.insert(0, format!("Minutes for {} are not given, and not counted: the day is longer than this.", missing.join(" and ")));
        }
        Ok(DayFacts {
            stretches: laid
                .stretches
                .iter()
                .map(|stretch| StretchFacts {
                    kind: word(stretch.work),
                    number: match stretch.work {
                        Work::Paint | Work::Dry => stretch.number,
                        Work::Bite | Work::Rinse => {
                            dips.iter().find(|dip| *dip.bites.start() == stretch.number).map_or(stretch.number, |dip| *dip.bites.end())
                        }
                    },
                    from: stretch.number,
                    day: stretch.day(),
                    from_min: stretch.from,
                    to_min: stretch.to,
                    hands: stretch.work.busy(),
                })
                .collect(),
            pauses: laid
                .pauses
                .into_iter()
                .map(|pause| PauseFacts {
                    after: pause.after,
                    drying: pause.drying,
                    from_min: pause.from,
                    to_min: pause.to,
                    said: pause.said,
                })
                .collect(),
            minutes: laid.minutes,
            busy_min: laid.busy,
            notes,
        })
    }
}

fn word(work: Work) -> &'static str {
    match work {
        Work::Paint => "paint",
        Work::Dry => "dry",
        Work::Bite => "bite",
        Work::Rinse => "rinse",
    }
}
