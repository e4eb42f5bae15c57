//! What the page asks of a pull beside its pictures: how far it is from the drawing, what its inks, zones and register come to, the pairs of two
//! plates.

use super::pull::{Set, ink_on_its_sheet, printed_earlier, said_of, sheet_of, zones_of};
use super::*;
use crate::settings::{EdgeChoice, ProofInk};
use serde::Serialize;
use stepbite_core::aside::{BY_HAND, RESIST};
use stepbite_core::colour::{Lamp, Rgb};
use stepbite_core::difference::{Difference, Figures};
use stepbite_core::pairs::{self, Pair};
use stepbite_core::pull::{Misfit, Pull};
use stepbite_core::sheets::Zones;
use stepbite_core::{ink_zones, misfit};

/// The page's paper and ink, sRGB: a map of figures is drawn in them, whatever the print is on.
const MAP_PAPER: [u8; 3] = [251, 250, 246];
const MAP_INK: [u8; 3] = [25, 27, 26];

/// The difference between proof and drawing in figures, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DifferenceFacts {
    mean: f64,
    most: f64,
    over_six: f64,
    worst_tone: u8,
    worst_mean: f64,
    /// What counts in beside the tones, and what is left out, a sentence each.
    said: Vec<String>,
}

/// About how many pixels the figures of a difference are counted over: finer than an eye at arm's length sees on plates up to 400 mm.
const COUNTED: f64 = 1.5e6;

/// What the words on a misfit hang on.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct RegisterKey {
    stamp: u64,
    edges: Option<EdgeChoice>,
    places: Vec<(String, Misfit)>,
    names: Vec<String>,
}

/// What there is to say of inks, zones and register, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InkFacts {
    inks: Vec<OneInk>,
    laid: Vec<Option<String>>,
    zones: ZoneFacts,
    remarks: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct OneInk {
    opacity: Option<f64>,
    misfit: Option<f64>,
    remark: Option<String>,
    earlier: bool,
}

#[derive(Clone, Debug, Default, PartialEq, Serialize)]
struct ZoneFacts {
    remarks: Vec<String>,
    order: Vec<Vec<i64>>,
    minutes: f64,
}

/// Colours of two plates' tones over one another, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PairsFacts {
    first: String,
    second: String,
    rows: Vec<PairFacts>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct PairFacts {
    first: u8,
    second: u8,
    colour: String,
    other: String,
    share: f64,
}

/// What counts in beside the tones of the plate, and what is left out.
fn counted(settings: &ProofSettings, left_out: f64) -> Vec<String> {
    let own = settings.printings.iter().find(|printing| printing.plate.is_none());
    let moved = own.is_some_and(|own| own.shift_mm != (0.0, 0.0) || own.growth != (0.0, 0.0) || own.turn != 0.0);
    let parts: Vec<&str> = [
        (own.is_some_and(|own| own.ink.is_some()) || !settings.zones.is_empty(), "your ink"),
        (settings.lays_papers(), "the papers laid in"),
        (settings.printings.len() > 1, "the other plates"),
        (settings.plate_tone > 0.0, "plate tone"),
        (settings.edges.is_some(), "the hand’s edges"),
        (moved, "the misfit"),
    ]
    .into_iter()
    .filter_map(|(is, what)| is.then_some(what))
    .collect();
    let mut said = Vec::new();
    if !parts.is_empty() {
        said.push(format!("The drawing has none of these, so they count in: {}.", parts.join(", ")));
    }
    if settings.lamp != Lamp::Daylight {
        said.push("Counted by daylight, whatever the pull is looked at by.".to_owned());
    }
    if left_out > 0.0 {
        let percent = (100.0 * left_out).max(0.1);
        said.push(format!("Left out, and dotted in the map: {percent:.1} % of the face, worked by hand or under a resist."));
    }
    said
}

impl Desk {
    /// The difference between proof and drawing in figures.
    ///
    /// # Errors
    /// Before the first plan, and where the settings can't be.
    pub fn difference(&self, settings: &ProofSettings) -> Result<DifferenceFacts, Refusal> {
        let plan = self.plan()?;
        let map = plan.stopouts.map().plane();
        let scale = (COUNTED / (map.width() as f64 * map.height() as f64)).sqrt().min(1.0);
        let side = |length: usize| ((length as f64 * scale).round() as usize).max(1);
        let figures = self.difference_at(plan, (side(map.width()), side(map.height())), settings)?.figures(map);
        let Figures { mean, most, over, left_out, worst_tone, worst_mean } = figures;
        Ok(DifferenceFacts { mean, most, over_six: over, worst_tone, worst_mean, said: counted(settings, left_out) })
    }

    /// The same as a map, from the sheet's colour to the ink's.
    pub(super) fn difference_picture(
        &self,
        plan: &Plan,
        size: (usize, usize),
        view: View,
        settings: &ProofSettings,
    ) -> Result<Plane<Rgba>, Refusal> {
        Ok(self.difference_at(plan, size, settings)?.picture(Rgb::from_bytes(MAP_PAPER), Rgb::from_bytes(MAP_INK), view))
    }

    fn difference_at(&self, plan: &Plan, size: (usize, usize), settings: &ProofSettings) -> Result<Difference, Refusal> {
        let wanted = plan.wanted(size, View::Print, settings)?;
        let apart = Difference::between(&self.flat(plan, size, settings)?, &wanted)?;
        if plan.stopouts.aside().is_none() {
            return Ok(apart);
        }
        // No stop-out promises anything where the hand works, nor under a resist.
        Ok(apart.leaving_out(plan.stopouts.zones(), |zone| zone == BY_HAND || zone == RESIST))
    }

    /// What there is to say of inks, zones and register.
    ///
    /// # Errors
    /// Before the first plan, and where the settings can't be.
    pub fn ink_facts(&self, settings: &ProofSettings) -> Result<InkFacts, Refusal> {
        settings.check()?;
        let plan = self.plan()?;
        let tones = self.tones(plan, &settings.grain)?;
        let sheet = sheet_of(settings, &tones)?;
        let of_ink = |ink: &ProofInk| {
            let earlier = printed_earlier(ink, &tones, sheet);
            match ink_on_its_sheet(ink, &tones, sheet) {
                Ok((known, beside)) => {
                    OneInk { opacity: Some(known.opacity(beside)), misfit: known.misfit, remark: known.remark(), earlier }
                }
                Err(refused) => OneInk { opacity: None, misfit: None, remark: Some(refused.message), earlier },
            }
        };
        let inks = settings.inks.iter().map(of_ink).collect();
        let strips = Rgb::grey(tones.paper());
        let laid = settings.laid.iter().map(|paper| said_of(paper, strips)).collect();
        let set = self.set(plan, settings)?;
        let printings = set.printings();
        let own = set.plates.iter().find(|printed| printed.key.is_empty()).ok_or_else(no_plan)?;
        let zones = if settings.zones.is_empty() {
            ZoneFacts::default()
        } else {
            let report = ink_zones::report(&zones_of(settings)?, &own.inks.films, sheet, set.face, settings.zone_minutes)?;
            let place = |place: &Option<usize>| place.map_or(-1, |place| place as i64);
            let order = report.order.iter().map(|places| places.iter().map(place).collect()).collect();
            ZoneFacts { remarks: report.remarks, order, minutes: report.minutes }
        };
        let remarks = self.register(&set, &set.pull(&printings), self.names(settings));
        Ok(InkFacts { inks, laid, zones, remarks })
    }

    /// The zones of ink of the plate at hand as their sheet shows them; none where there are none.
    ///
    /// # Errors
    /// As [`Self::ink_facts`].
    pub(super) fn zones_sheet(&self, settings: &ProofSettings) -> Result<Option<Zones>, Refusal> {
        settings.check()?;
        if settings.zones.is_empty() {
            return Ok(None);
        }
        let plan = self.plan()?;
        let tones = self.tones(plan, &settings.grain)?;
        let sheet = sheet_of(settings, &tones)?;
        let set = self.set(plan, settings)?;
        let own = set.plates.iter().find(|printed| printed.key.is_empty()).ok_or_else(no_plan)?;
        let zones = zones_of(settings)?;
        let report = ink_zones::report(&zones, &own.inks.films, sheet, set.face, settings.zone_minutes)?;
        let strips = "the strip’s own ink".to_owned();
        let around = settings.printings.iter().find(|printing| printing.plate.is_none()).and_then(|printing| printing.ink);
        let first = around.and_then(|ink| settings.inks.get(ink)).map_or_else(|| strips.clone(), |ink| ink.name.clone());
        let inks = std::iter::once(first).chain(settings.inks.iter().map(|ink| ink.name.clone())).chain([strips]).collect();
        Ok(Some(Zones { zones, inks, report }))
    }

    /// What the misfit does to fine detail, worked out when a plate or its place changed: opening the maps takes long, and colours are none of its
    /// business.
    fn register(&self, set: &Set, pull: &Pull<'_>, names: Vec<String>) -> Vec<String> {
        let places: Vec<(String, Misfit)> =
            set.plates.iter().zip(pull.printings).map(|(plate, at)| (plate.key.clone(), at.misfit)).collect();
        let key = RegisterKey { stamp: set.stamp, edges: set.edges.clone(), places, names };
        if let Some((of, said)) = &*self.pulls.register.borrow()
            && *of == key
        {
            return said.clone();
        }
        let said = misfit::remarks(pull, &key.names);
        *self.pulls.register.borrow_mut() = Some((key, said.clone()));
        said
    }

    /// Colours of two plates' tones over one another.
    ///
    /// # Errors
    /// Before the first plan, where the settings can't be, or a plate is not in the pull.
    pub fn pairs(&self, settings: &ProofSettings, first: usize, second: usize) -> Result<PairsFacts, Refusal> {
        settings.check()?;
        let set = self.set(self.plan()?, settings)?;
        let printings = set.printings();
        let name = |place: usize| self.names(settings).get(place).cloned().unwrap_or_default();
        let hex = |colour: Rgb| colour.bytes().iter().fold("#".to_owned(), |text, byte| format!("{text}{byte:02x}"));
        let row = |pair: Pair| {
            let (colour, other) = (hex(pair.colour), hex(pair.other));
            PairFacts { first: pair.first, second: pair.second, colour, other, share: pair.share }
        };
        let rows = pairs::of(&set.pull(&printings), first, second)?.into_iter().map(row).collect();
        Ok(PairsFacts { first: name(first), second: name(second), rows })
    }
}
