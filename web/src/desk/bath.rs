//! The day at the bath: metal and mordant judged, what warmth or a witness does to the times, metal taken, a strip to bite.

use super::Plan;
use crate::error::Refusal;
use crate::settings::{Settings, StripChoice};
use serde::Serialize;
use stepbite_core::bath::metal::{self, ASSUMED_DEPTH, Amount, density};
use stepbite_core::bath::pairs::{Judgement, Named, judged};
use stepbite_core::bath::temperature::{Celsius, Energies, TemperatureError, time_factor};
use stepbite_core::bath::{Metal, Mordant};
use stepbite_core::curve::BiteCurve;
use stepbite_core::light::Lightness;
use stepbite_core::strip::{StripKind, TestStrip};
use stepbite_core::strip_plan::{self, StripPlan};
use stepbite_core::tones::ToneCount;
use stepbite_core::units::Seconds;
use stepbite_core::witness::Witness;

/// What is said of the bath, and what it does to the times.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    judged: Judgement,
    named: bool,
    metal: Option<Metal>,
    mordant: Option<Mordant>,
    energies: Energies,
    temperature: Option<Temperature>,
    witness: Option<Witness>,
    amount: Amount,
    depth_um: f64,
    strip_plan: StripPlan,
    ratios: Option<Vec<f64>>,
}

/// What a difference of temperature may do to the times.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Temperature {
    /// Least and greatest factor on the times.
    pub factor: (f64, f64),
    /// The energy applied, kJ/mol; none: a hint only.
    pub applied_kj: Option<f64>,
    /// The factor it gives; none: not applied.
    pub applied: Option<f64>,
    /// Whether a witness stands in its place.
    pub overridden: bool,
}

/// Metal that this plate gives up.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Taken {
    /// In all, g.
    pub grams: f64,
    /// Each bite, g.
    pub bites: Vec<f64>,
    /// What the tray ideally takes up, g; none: litres and either strength or capacity are not known.
    pub capacity_g: Option<f64>,
    /// Share of that.
    pub share: Option<f64>,
}

/// The one thing named, where exactly one is.
fn only<T: Copy>(named: &[T]) -> Option<T> {
    if let [one] = named { Some(*one) } else { None }
}

impl Day {
    /// Everything about the day but the metal taken. `curve` is the strip's own, not yet scaled.
    ///
    /// # Errors
    /// A temperature, an amount, a witness or a strip to bite that can't be.
    pub(super) fn of(settings: &Settings, strip: &TestStrip, curve: &BiteCurve, count: ToneCount) -> Result<Self, Refusal> {
        let bath = &settings.bath;
        let named = Named { metal: bath.metal.as_deref(), mordant: bath.mordant.as_deref(), before: bath.before.as_deref() };
        let metal = bath.metal.as_deref().and_then(|words| only(&Metal::named(words)));
        let mordant = bath.mordant.as_deref().and_then(|words| only(&Mordant::named(words)));
        let energies = Energies::of(metal, mordant);
        let missing = strip.kind() == StripKind::Missing;

        let on = |degrees: Option<f64>| degrees.map(Celsius::of_bath).transpose();
        let noted = match &settings.strip {
            Some(StripChoice::Own(strip)) => strip.about.celsius,
            _ => None,
        };
        let temperatures = on(bath.strip_c.or(noted))?.zip(on(bath.today_c)?);
        let applied_kj = bath.warmth_kj.map(|kj| energies.checked(kj)).transpose()?;
        if applied_kj.is_some() && temperatures.is_none() {
            return Err(TemperatureError::Missing.into());
        }
        if missing && (applied_kj.is_some() || settings.witness.is_some()) {
            return Err(Refusal::new(
                "witness",
                "A witness or a temperature changes the times of a strip, and there is no strip yet: take them off first, or use a strip.",
            ));
        }
        let witness =
            settings.witness.map(|witness| Witness::read(Seconds(witness.seconds), Lightness(witness.lightness), curve)).transpose()?;
        let temperature = temperatures.map(|(then, today)| Temperature {
            factor: energies.band(then, today),
            applied_kj,
            applied: applied_kj.map(|kj| time_factor(kj, then, today)),
            overridden: witness.is_some(),
        });

        let amount = Amount { litres: bath.litres, strength: bath.strength_g_l, capacity: bath.capacity_g_l };
        let depth_um = bath.depth_um.unwrap_or(ASSUMED_DEPTH);
        // Checked now, whichever metal it is: what can't be is refused before it is needed.
        amount.grams(Metal::Zinc, mordant)?;
        let face = settings_face(settings);
        metal::Taken::of(Metal::Zinc, face, &[], depth_um)?;

        let strip_plan = StripPlan::of(settings.strip_plan)?;
        let ratios = missing.then(|| strip_plan::multiples(settings.strip_plan.first_s, settings.strip_plan.last_s, count.bites()));
        let judged = judged(named);
        let said = |words: Option<&str>| words.is_some_and(|words| !words.trim().is_empty());
        let named = said(named.metal) || said(named.mordant);
        Ok(Self { judged, named, metal, mordant, energies, temperature, witness, amount, depth_um, strip_plan, ratios })
    }

    /// Whether metal or mordant is named at all.
    #[must_use]
    pub fn named(&self) -> bool {
        self.named
    }

    /// What is said of the pair.
    #[must_use]
    pub fn judged(&self) -> &Judgement {
        &self.judged
    }

    /// Published activation energies of the pair.
    #[must_use]
    pub fn energies(&self) -> Energies {
        self.energies
    }

    /// What the temperatures may do; none: not both known.
    #[must_use]
    pub fn temperature(&self) -> Option<&Temperature> {
        self.temperature.as_ref()
    }

    /// The witness.
    #[must_use]
    pub fn witness(&self) -> Option<&Witness> {
        self.witness.as_ref()
    }

    /// The strip to bite.
    #[must_use]
    pub fn strip_plan(&self) -> &StripPlan {
        &self.strip_plan
    }

    /// Without a strip: the total of each bite as a multiple of the first.
    #[must_use]
    pub fn ratios(&self) -> Option<&[f64]> {
        self.ratios.as_deref()
    }

    /// Depth the darkest tone is taken to end at, µm.
    #[must_use]
    pub fn depth_um(&self) -> f64 {
        self.depth_um
    }

    /// What all times of the strip are multiplied by: a witness says more than a temperature, and never both count.
    #[must_use]
    pub fn factor(&self) -> f64 {
        match (&self.witness, &self.temperature) {
            (Some(witness), _) => witness.ratio,
            (None, Some(Temperature { applied: Some(factor), .. })) => *factor,
            _ => 1.0,
        }
    }

    /// The factor in a few words, for the run sheet; none where the strip's own times stand.
    #[must_use]
    pub fn scaled_words(&self) -> Option<String> {
        let applied = self.temperature.as_ref().and_then(|temperature| temperature.applied);
        match (&self.witness, applied) {
            (Some(witness), _) => Some(format!("times {:.2} × the strip’s, by the witness", witness.ratio)),
            (None, Some(factor)) => Some(format!("times {factor:.2} × the strip’s, for the temperature")),
            _ => None,
        }
    }

    /// What the printer should know of the day, a sentence each.
    pub(super) fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if self.named && self.judged.stops() {
            // Nothing is bitten by these times: what scales them is not said either.
            return vec![self.judged.sentence()];
        }
        let applied = self.temperature.and_then(|temperature| temperature.applied.zip(temperature.applied_kj));
        match (&self.witness, applied) {
            (Some(witness), applied) => {
                notes.push(witness.sentence());
                notes.extend(applied.map(|_| {
                    "The temperature is not applied besides: the witness was bitten in today’s bath and holds its warmth already.".to_owned()
                }));
            }
            (None, Some((factor, kj))) => notes.push(format!(
                "All times are {factor:.2} times the strip’s, for the temperature, because you applied {kj:.1} kJ/mol: a published figure, not your bath’s. A \
                 witness says more."
            )),
            _ => {}
        }
        notes
    }
}

/// The face of the plate as typed; whether it can be is checked elsewhere.
fn settings_face(settings: &Settings) -> stepbite_core::plate::SizeMm {
    stepbite_core::plate::SizeMm { width: settings.plate.width_mm, height: settings.plate.height_mm }
}

impl Plan {
    /// The metal this plate takes out of the bath; none without a strip, without a metal, and for alloys.
    #[must_use]
    pub fn taken(&self) -> Option<Taken> {
        let day = &self.day;
        let metal = day.metal.filter(|_| self.strip.kind() != StripKind::Missing)?;
        density(metal)?;
        let bites = self.stopouts.list().iter().zip(self.bites.tones.iter().skip(1));
        let bites: Vec<(f64, Seconds)> = bites.map(|(stop, tone)| (1.0 - stop.covered_share, tone.bite)).collect();
        let taken = metal::Taken::of(metal, self.plate.face(), &bites, day.depth_um).ok().flatten()?;
        let capacity_g = day.amount.grams(metal, day.mordant).ok().flatten();
        let share = capacity_g.map(|capacity| taken.grams / capacity);
        Some(Taken { grams: taken.grams, bites: taken.bites, capacity_g, share })
    }
}
