//! What an exported proof rests on, in words that go into its file.

use super::{Desk, Plan};
use crate::error::Refusal;
use crate::settings::ProofSettings;
use stepbite_core::colour::Lamp;
use stepbite_core::grain::{GrainKind, GrainSize};
use stepbite_core::strip::StripKind;

impl Desk {
    /// One sentence a line: strip, totals, model, grain, edges, inks, plates, papers, lamp, and what none of it can promise.
    pub(super) fn basis(&self, plan: &Plan, settings: &ProofSettings) -> Result<String, Refusal> {
        let tones = self.tones(plan, &settings.grain)?;
        let strip = match plan.strip.kind() {
            StripKind::Measured => format!("By test strip {}.", plan.strip.id()),
            StripKind::Example => "EXAMPLE, NOT YOUR BATH: by the example strip.".to_owned(),
            StripKind::Missing => {
                "EXAMPLE, NOT YOUR BATH: there is no strip of yours yet, so the tones are the example strip's.".to_owned()
            }
        };
        // Neither after a STOP nor without a strip does a time leave the page.
        let stopped = plan.stopped();
        let timed = !stopped && plan.strip.kind() != StripKind::Missing;
        let totals: Vec<String> = tones
            .tones()
            .iter()
            .map(|tone| {
                let light = tone.mean.lightness().0;
                if timed { format!("{:.0} s L* {light:.1}", tone.total.0) } else { format!("L* {light:.1}") }
            })
            .collect();
        let kind = match settings.grain.kind {
            GrainKind::Rosin => "rosin",
            GrainKind::Sprayed => "sprayed",
        };
        let size = match settings.grain.size {
            GrainSize::Fine => "fine",
            GrainSize::Medium => "medium",
            GrainSize::Coarse => "coarse",
        };
        let cover = tones.grain().settings().cover * 100.0;
        let mut lines = vec![
            "An expected print, worked out by Stepbite; no photograph.".to_owned(),
            strip,
            format!("{} tones{}: {}.", totals.len(), if timed { " by their totals" } else { "" }, totals.join(", ")),
            format!("Lands and pits mix by Yule and Nielsen's n = {:.2}; the strip's curve rules the means.", tones.n()),
            format!("Grain: {kind}, {size}, {cover:.0} % covered, number {}: one such grain, not yours.", settings.grain.seed),
            match &settings.edges {
                None => "Edges exactly as planned.".to_owned(),
                Some(edges) => format!(
                    "Edges as a hand might paint them (number {}): wander {} mm, creep {} mm, lap {} mm.",
                    edges.seed, edges.wander_mm, edges.creep_mm, edges.lap_mm
                ),
            },
            match &settings.paper {
                None => "Paper as the strip's, neutral.".to_owned(),
                Some(paper) => format!("Paper {paper}."),
            },
        ];
        if stopped {
            lines.push(plan.day.judged().sentence());
        }
        for printing in &settings.printings {
            if let Some(brought) = printing.plate.as_ref().and_then(|id| self.pulls.brought.get(id))
                && brought.given.example
            {
                lines.push(format!("EXAMPLE, NOT YOUR BATH: {} is by the example strip.", brought.name));
            }
        }
        if settings.plate_tone > 0.0 {
            lines.push(format!("Plate tone: a density of {} beyond the strip's.", settings.plate_tone));
        }
        if !settings.laid.is_empty() {
            lines.push(format!("Thin papers under the ink: {}.", list(settings.laid.iter().map(|laid| laid.name.as_str()))));
        }
        let ink = |ink: Option<usize>| ink.and_then(|ink| settings.inks.get(ink)).map_or("the strip's own black", |ink| ink.name.as_str());
        for (k, (printing, plate)) in settings.printings.iter().zip(self.names(settings)).enumerate() {
            let (x, y) = printing.shift_mm;
            lines.push(format!(
                "Printed {}: {plate} in {}, {:.2} of its film on a wet one, shifted {x} and {y} mm, grown {} and {} %, turned {}°.",
                k + 1,
                ink(printing.ink),
                printing.trap,
                printing.growth.0 * 100.0,
                printing.growth.1 * 100.0,
                printing.turn
            ));
        }
        if !settings.zones.is_empty() {
            lines.push(format!(
                "Zones of ink, borders of {} mm: {}.",
                settings.zone_border_mm,
                list(settings.zones.iter().map(|zone| zone.name.as_str()))
            ));
        }
        lines.push(match settings.lamp {
            Lamp::Daylight => "By daylight (D65).".to_owned(),
            Lamp::Booth => "As seen by warmer daylight (D50) by an eye used to it.".to_owned(),
            Lamp::Warm => "As seen by a filament lamp (CIE A) by an eye used to it.".to_owned(),
        });
        Ok(lines.join("\n"))
    }
}

fn list<'a>(names: impl Iterator<Item = &'a str>) -> String {
    names.map(|name| if name.is_empty() { "one without a name" } else { name }).collect::<Vec<_>>().join(", ")
}
