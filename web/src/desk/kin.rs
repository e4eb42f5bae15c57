//! The family's other plates: each is planned beside the plate at hand, which stays, and what of it prints is kept like a plate brought in.

use super::brought::written;
use super::{Desk, Plan, StandingFacts};
use crate::clock::Laps;
use crate::error::Refusal;
use crate::settings::{BroughtPlate, KinSpec};
use serde::Serialize;
use stepbite_core::bites::TimedDip;
use stepbite_core::family;
use stepbite_core::plate::SizeMm;
use stepbite_core::stopouts::StopOut;
use stepbite_core::strip::StripKind;
use stepbite_core::units::Seconds;

/// What another plate comes to on the family's ladder.
#[derive(Debug, Serialize)]
pub struct KinFacts {
    /// As it prints; kept under its id.
    pub plate: BroughtPlate,
    plate_mm: SizeMm,
    face_mm: SizeMm,
    /// Every tone of the ladder, with its share of this plate's face.
    pub tones: Vec<KinTone>,
    stopouts: Vec<StopOut>,
    /// Which bites join, and what is painted.
    pub joins: Joins,
    standing: StandingFacts,
    notes: Vec<String>,
}

/// A tone of another plate; without a strip it has no times.
#[derive(Debug, Serialize)]
pub struct KinTone {
    index: usize,
    lightness: f64,
    /// Of the face, 0 to 1.
    pub share: f64,
    total_s: Option<f64>,
    /// As the clock is set.
    pub shown_total_s: Option<f64>,
    bite_s: Option<f64>,
    set_s: Option<f64>,
}

/// What a plate skips for want of tones.
#[derive(Debug, PartialEq, Serialize)]
pub struct Joins {
    /// The first and the last bite of each dip.
    pub dips: Vec<(usize, usize)>,
    /// The stop-outs that are painted.
    pub painted: Vec<usize>,
    /// The dips still to come; without a strip they have no times.
    pub to_come: Vec<DipFacts>,
    /// What is to be said of joined bites.
    pub said: Option<String>,
}

/// A dip to come; see [`stepbite_core::bites::TimedDip`].
#[derive(Debug, PartialEq, Serialize)]
pub struct DipFacts {
    /// First and last bite of the ladder.
    pub from: usize,
    /// See `from`.
    pub to: usize,
    /// What the clock is set to, s; none without a strip.
    pub set_s: Option<f64>,
    /// Rounded total on this plate's clock as it comes out, s; none without a strip.
    pub shown_total_s: Option<f64>,
}

impl Plan {
    /// The dips of a plate that lacks tones, for its run sheet; none where every bite is a dip of its own, and while something is
    /// to be decided.
    pub(super) fn joined_dips(&self) -> Vec<TimedDip> {
        let dips = self.bites.to_come(&self.curve);
        let plain = dips.iter().all(|dip| !dip.is_joined()) && dips.last().is_none_or(|dip| *dip.bites.end() + 1 == self.bites.tones.len());
        if plain || self.bites.undecided { Vec::new() } else { dips }
    }

    /// Which bites of this plate join in one dip, and which stop-outs it is painted with.
    #[must_use]
    pub fn joins(&self) -> Joins {
        let has: Vec<bool> = self.stopouts.map().counts().iter().map(|count| *count > 0).collect();
        let totals: Vec<Seconds> = self.bites.tones.iter().map(|tone| tone.total).collect();
        let dips = family::dips(&totals, &has).iter().map(|dip| (*dip.bites.start(), *dip.bites.end())).collect();
        let known = self.strip.kind() != StripKind::Missing;
        let timed = self.bites.to_come(&self.curve);
        let said = if known { self.bites.joined_note(&timed) } else { None };
        let told = |seconds: Seconds| known.then_some(seconds.0);
        let to_come = timed
            .iter()
            .map(|dip| DipFacts {
                from: *dip.bites.start(),
                to: *dip.bites.end(),
                set_s: told(dip.set),
                shown_total_s: told(dip.shown_total),
            })
            .collect();
        Joins { dips, painted: family::painted(&has), to_come, said }
    }
}

impl Desk {
    /// Plans another plate of the family from its drawing's file. The drawing and the plan at hand stay, refused or not.
    ///
    /// # Errors
    /// A drawing that can't be read, settings of which no plan is made, or too many plates.
    pub fn kin_plan(&mut self, file: &[u8], of: KinSpec, progress: super::Progress<'_>) -> Result<KinFacts, Refusal> {
        let mut other = Self::default();
        let notes = other.open(file)?.info().notes.clone();
        other.update(of.settings, &mut Laps::start(|| 0.0), progress)?;
        let plan = other.plan()?;
        let plate = written(plan, &plan.tones_of(&of.grain)?, &of.title, &of.letter, Some(&of.id))?;
        let report = plan.report(&notes);
        let known = plan.strip.kind() != StripKind::Missing;
        let told = |seconds: f64| known.then_some(seconds);
        let tones = report.tones.iter().zip(&plan.bites.tones).map(|(tone, time)| KinTone {
            index: tone.index,
            lightness: tone.lightness,
            share: tone.share,
            total_s: told(tone.total_s),
            shown_total_s: told(time.shown_total.0),
            bite_s: told(tone.bite_s),
            set_s: told(tone.set_s),
        });
        let facts = KinFacts {
            plate_mm: report.plate_mm,
            face_mm: report.face_mm,
            tones: tones.collect(),
            stopouts: report.stopouts.clone(),
            joins: plan.joins(),
            standing: plan.standing(),
            notes: report.notes,
            plate,
        };
        // The other plate's rasters go before its map is read back.
        drop(other);
        self.plate_bring(&facts.plate)?;
        Ok(facts)
    }
}
