//! The plan in figures, as `plan.json` holds it: lengths in mm, times in seconds, shares from 0 to 1.

use crate::bites::BitePlan;
use crate::plate::{Plate, SizeMm};
use crate::stopouts::{StopOut, StopOuts};
use crate::strip::StripKind;
use crate::tones::Breaks;
use crate::units::Seconds;
use serde::Serialize;

/// One tone of the plan. While there is no strip its times are not a number, `null` in JSON: a sum with one of them is none either.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ToneReport {
    /// 0 = never bitten.
    pub index: usize,
    /// Absolute L* it is to print at; whose strip says so is in [`PlanReport::lightness_from`].
    pub lightness: f64,
    /// Share of the face.
    pub share: f64,
    /// Total time in the bath, exact.
    pub total_s: f64,
    /// The bite that leads to it, exact; 0 for tone 0.
    pub bite_s: f64,
    /// What to set on the clock for that bite, from rounded totals.
    pub set_s: f64,
    /// Range of the total, where known.
    pub range_s: Option<(f64, f64)>,
}

/// The strip the times rest on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StripReport {
    /// Its name.
    pub id: String,
    /// Measured, the example, or missing.
    pub kind: StripKind,
}

/// Everything the plan has come to, in the shape of `plan.json`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlanReport {
    /// Outer size of the plate.
    pub plate_mm: SizeMm,
    /// Size of its face.
    pub face_mm: SizeMm,
    /// Resolution of every raster.
    pub px_per_mm: f64,
    /// L* of the drawing at which tones change, falling.
    pub breaks: Vec<f64>,
    /// Tone 0 to N−1.
    pub tones: Vec<ToneReport>,
    /// Stop-out 1 to N−1.
    pub stopouts: Vec<StopOut>,
    /// The strip.
    pub strip: StripReport,
    /// Whose strip the L* of the tones rest on: `measured` or `example`. While there is none they are the example's, nobody's bath.
    pub lightness_from: StripKind,
    /// What the printer should know, in sentences.
    pub notes: Vec<String>,
}

impl PlanReport {
    /// Gathers the plan. `notes` are those of the stages before; those of tones and bites are added.
    #[must_use]
    pub fn of(plate: &Plate, breaks: &Breaks, stopouts: &StopOuts, bites: &BitePlan, mut notes: Vec<String>) -> Self {
        let counts = stopouts.map().counts();
        let face = stopouts.map().plane().data().len() as f64;
        // No strip, no time: whatever the tones stand on.
        let told = |time: Seconds| if bites.strip_kind == StripKind::Missing { f64::NAN } else { time.0 };
        let range = |(low, high): (Seconds, Seconds)| (bites.strip_kind != StripKind::Missing).then_some((low.0, high.0));
        let tones = bites.tones.iter().enumerate().zip(&counts).map(|((index, tone), &count)| ToneReport {
            index,
            lightness: tone.target.0,
            share: count as f64 / face,
            total_s: told(tone.total),
            bite_s: told(tone.bite),
            set_s: told(tone.set),
            range_s: tone.range.and_then(range),
        });
        notes.extend(empty_tones(&counts));
        notes.extend(bites.notes());
        Self {
            plate_mm: plate.size(),
            face_mm: plate.face(),
            px_per_mm: stopouts.resolution().0,
            breaks: breaks.falling().iter().map(|l| l.0).collect(),
            tones: tones.collect(),
            stopouts: stopouts.list().to_vec(),
            lightness_from: if bites.strip_kind == StripKind::Missing { StripKind::Example } else { bites.strip_kind },
            strip: StripReport { id: bites.strip_id.clone(), kind: bites.strip_kind },
            notes,
        }
    }

    /// The plan without a time that a clock could be set to: after a STOP nothing is bitten by it. `bites` are those it was made of, whose
    /// notes speak of times.
    #[must_use]
    pub fn without_times(mut self, bites: &BitePlan) -> Self {
        for tone in &mut self.tones {
            (tone.total_s, tone.bite_s, tone.set_s, tone.range_s) = (f64::NAN, f64::NAN, f64::NAN, None);
        }
        let of_bites = bites.notes();
        self.notes.retain(|note| !of_bites.contains(note));
        self
    }

    /// The plan as JSON text, indented, ending with a line feed.
    #[must_use]
    pub fn json(&self) -> String {
        // A struct of numbers and strings always serialises; a float that is not finite becomes null.
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }
}

/// A sentence where tones have no area.
fn empty_tones(counts: &[u64]) -> Option<String> {
    let empty: Vec<String> = counts.iter().enumerate().filter(|(_, count)| **count == 0).map(|(k, _)| k.to_string()).collect();
    match empty.as_slice() {
        [] => None,
        [one] => Some(format!("Tone {one} has no area on this plate: its stop-out has nothing to paint, its bite keeps its time.")),
        [most @ .., last] => Some(format!(
            "Tones {} and {last} have no area on this plate: their stop-outs have nothing to paint, their bites keep their times.",
            most.join(", ")
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn empty_tones_are_named() {
        assert_eq!(empty_tones(&[1, 2, 3]), None);
        assert!(empty_tones(&[1, 0, 3]).unwrap().starts_with("Tone 1 has"));
        assert!(empty_tones(&[0, 0, 3, 0]).unwrap().starts_with("Tones 0, 1 and 3 have"));
    }
}
