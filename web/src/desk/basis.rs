//! What an exported proof rests on, in words that go into its file.

use super::{Desk, Plan};
use crate::error::Refusal;
use crate::settings::{InkKnown, LaidPaper, PaperWeight, PapersChoice, PrintHead, PrintingChoice, ProofInk, ProofSettings};
use stepbite_core::colour::Lamp;
use stepbite_core::grain::{GrainKind, GrainSize};
use stepbite_core::laid::Edge;
use stepbite_core::plate::Plate;
use stepbite_core::proof::ProofTones;
use stepbite_core::strip::StripKind;
use stepbite_core::type_face::missing_letters;

/// What an ink is called that is none of the printer's.
const STRIPS: &str = "what the strip was printed in";

impl Desk {
    /// One sentence a line: whose plate, strip, totals, model, grain, edges, inks, plates, papers, lamp, and what none of it can promise.
    pub(super) fn basis(&self, plan: &Plan, settings: &ProofSettings, head: &PrintHead) -> Result<String, Refusal> {
        let tones = self.tones(plan, &settings.grain)?;
        let mut lines = vec!["An expected print, worked out by Stepbite; no photograph.".to_owned()];
        lines.extend(of_head(head));
        let (plate, face) = (plan.plate.size(), plan.plate.face());
        lines.push(format!(
            "Plate {} × {} mm, its face {} × {} mm.",
            short(plate.width.0),
            short(plate.height.0),
            short(face.width.0),
            short(face.height.0)
        ));
        lines.extend(of_strip(plan, &tones));
        lines.push(of_grain(settings, &tones));
        lines.push(match &settings.edges {
            None => "Edges exactly as planned.".to_owned(),
            Some(edges) => format!(
                "Edges as a hand might paint them (number {}): wander {} mm, creep {} mm, lap {} mm.",
                edges.seed, edges.wander_mm, edges.creep_mm, edges.lap_mm
            ),
        });
        lines.push(match &settings.paper {
            None => "Paper as the strip's, neutral.".to_owned(),
            Some(paper) => format!("Paper {paper}."),
        });
        lines.extend(settings.papers.iter().filter(|papers| !papers.pieces.is_empty()).map(|papers| of_pieces(papers, &plan.plate)));
        lines.extend(of_papers(&settings.laid));
        if settings.plate_tone > 0.0 {
            lines.push(format!(
                "Plate tone: a density of {} in the strip's ink beyond the strip's own, on each plate.",
                settings.plate_tone
            ));
        }
        lines.extend(self.of_plates(settings));
        lines.extend(of_zones(settings));
        lines.extend(of_inks(settings));
        lines.push(match settings.lamp {
            Lamp::Daylight => "By daylight (D65).".to_owned(),
            Lamp::Booth => "As seen by warmer daylight (D50) by an eye used to it.".to_owned(),
            Lamp::Warm => "As seen by a filament lamp (CIE A) by an eye used to it.".to_owned(),
        });
        Ok(lines.join("\n"))
    }

    /// Which plates print, in what, and where they came down; of those brought in their strip and tones.
    fn of_plates(&self, settings: &ProofSettings) -> Vec<String> {
        let names = self.names(settings);
        let alone = settings.printings.len() == 1;
        let mut lines = Vec::new();
        for (k, (printing, name)) in settings.printings.iter().zip(&names).enumerate() {
            let mut parts = vec![format!("{name} in {}", ink_name(settings, printing.ink))];
            if k > 0 {
                parts.push(format!("{:.2} of its film on a wet one (an estimate)", printing.trap));
            }
            parts.extend(misfit_of(printing));
            lines.push(if alone { format!("Printed: {}.", parts.join(", ")) } else { format!("Printed {}: {}.", k + 1, parts.join(", ")) });
            if let Some(brought) = printing.plate.as_ref().and_then(|id| self.pulls.brought.get(id)) {
                if brought.given.example {
                    lines.push(format!("EXAMPLE, NOT YOUR BATH: {name} is by the example strip."));
                }
                lines.push(brought.basis(name));
            }
        }
        if !alone {
            lines.push("Grains of two plates fall by chance on one another; where plates came down is as typed, not measured.".to_owned());
        }
        lines
    }
}

/// What the words have that the type they are printed in has not, as a line for the foot alone: the file's own words have all.
pub(super) fn boxes_line(basis: &str) -> Option<String> {
    let missing = missing_letters(basis);
    // Such letters can't be named in the type that lacks them.
    (!missing.is_empty()).then(|| {
        let (letters, stand) = if missing.len() == 1 {
            ("One letter".to_owned(), "stands as a box")
        } else {
            (format!("{} letters", missing.len()), "stand as boxes")
        };
        format!("{letters} of these words {stand}, for want of such type; the file's own description has them.")
    })
}

fn of_head(PrintHead { title, letter, date }: &PrintHead) -> Option<String> {
    let title = (!title.trim().is_empty()).then(|| format!("“{}”", title.trim()));
    let letter = (!letter.trim().is_empty()).then(|| format!("plate {}", letter.trim()));
    let date = (!date.trim().is_empty()).then(|| date.trim().to_owned());
    let said: Vec<String> = [title, letter, date].into_iter().flatten().collect();
    (!said.is_empty()).then(|| format!("{}.", said.join(", ")))
}

fn of_strip(plan: &Plan, tones: &ProofTones) -> Vec<String> {
    let strip = match plan.strip.kind() {
        StripKind::Measured => format!("By test strip {}.", plan.strip.id()),
        StripKind::Example => "EXAMPLE, NOT YOUR BATH: by the example strip.".to_owned(),
        StripKind::Missing => "EXAMPLE, NOT YOUR BATH: there is no strip of yours yet, so the tones are the example strip's.".to_owned(),
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
    let mut lines = vec![
        strip,
        format!("{} tones{}: {}.", totals.len(), if timed { " by their totals" } else { "" }, totals.join(", ")),
        format!("Lands and pits mix by Yule and Nielsen's n = {:.2}; the strip's curve rules the means.", tones.n()),
        "Undercut as far sideways as deep, as in a still bath: an estimate.".to_owned(),
    ];
    if stopped {
        lines.push(plan.day.judged().sentence());
    }
    lines
}

fn of_grain(settings: &ProofSettings, tones: &ProofTones) -> String {
    let kind = match settings.grain.kind {
        GrainKind::Rosin => "rosin",
        GrainKind::Sprayed => "sprayed",
    };
    let size = match (settings.grain.median_um, settings.grain.size) {
        (Some(median), _) => format!("half of it wider than {:.0} µm", 2.0 * median),
        (None, GrainSize::Fine) => "fine".to_owned(),
        (None, GrainSize::Medium) => "medium".to_owned(),
        (None, GrainSize::Coarse) => "coarse".to_owned(),
    };
    let cover = tones.grain().settings().cover * 100.0;
    format!("Grain: {kind}, {size}, {cover:.0} % covered, number {}: one such grain, not yours.", settings.grain.seed)
}

/// What came down otherwise than meant; what did not is not spoken of.
fn misfit_of(PrintingChoice { shift_mm: (x, y), growth: (across, down), turn, .. }: &PrintingChoice) -> Vec<String> {
    let ways = |value: f64, more: &str, less: &str, unit: &str| {
        (value != 0.0).then(|| format!("{}{unit} {}", short(value.abs()), if value > 0.0 { more } else { less }))
    };
    let listed = |what: &str, parts: [Option<String>; 2]| {
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        (!parts.is_empty()).then(|| format!("{what}{}", parts.join(" and ")))
    };
    let shift = listed("shifted ", [ways(*x, "right", "left", " mm"), ways(*y, "down", "up", " mm")]);
    let sized = |value: f64, way: &str| ways(value * 100.0, &format!("larger {way}"), &format!("smaller {way}"), " %");
    let growth = listed("", [sized(*across, "across"), sized(*down, "down")]);
    let turn = ways(*turn, "clockwise", "counter-clockwise", "°").map(|turn| format!("turned {turn}"));
    [shift, growth, turn].into_iter().flatten().collect()
}

fn ink_name(settings: &ProofSettings, ink: Option<usize>) -> String {
    ink.and_then(|ink| settings.inks.get(ink)).map_or_else(|| STRIPS.to_owned(), |ink| named(&ink.name))
}

fn named(name: &str) -> String {
    if name.trim().is_empty() { "one without a name".to_owned() } else { format!("“{}”", name.trim()) }
}

fn of_zones(settings: &ProofSettings) -> Option<String> {
    let zones: Vec<String> =
        settings.zones.iter().map(|zone| format!("{} in {}", named(&zone.name), ink_name(settings, zone.ink))).collect();
    (!zones.is_empty())
        .then(|| format!("Zones of ink, later ones over earlier, borders of {} mm: {}.", short(settings.zone_border_mm), zones.join("; ")))
}

/// What each ink is that prints anything.
fn of_inks(settings: &ProofSettings) -> Vec<String> {
    let of = |(place, ink): (usize, &ProofInk)| {
        let mut parts = vec![match &ink.known {
            InkKnown::Pair { full, pale, .. } => format!("known by a full patch {full} and a pale one {pale}"),
            InkKnown::Full { full, opacity } => format!("known by its full tone {full}, {:.0} % opaque by eye", 100.0 * opacity),
        }];
        if let Some(sheet) = &ink.sheet {
            parts.push(format!("on a sheet {sheet}"));
        }
        if ink.thinned > 0.0 {
            parts.push(format!("{:.0} % transparent medium", 100.0 * ink.thinned));
        }
        if ink.strength != 1.0 {
            parts.push(format!("{} times as strong", short(ink.strength)));
        }
        settings.uses(place).then(|| format!("Ink {}: {}.", named(&ink.name), parts.join(", ")))
    };
    settings.inks.iter().enumerate().filter_map(of).collect()
}

fn of_pieces(papers: &PapersChoice, plate: &Plate) -> String {
    // Papers that can't be laid out are refused where they are printed.
    let out: Vec<bool> = papers
        .papers()
        .laid_out(plate)
        .map_or_else(|_| vec![false; papers.pieces.len()], |laid| laid.pieces.iter().map(|piece| piece.left_out.is_some()).collect());
    let left_out = match out.iter().filter(|out| **out).count() {
        0 => String::new(),
        1 => " One of them is left out.".to_owned(),
        more => format!(" {more} of them are left out."),
    };
    let used = |place: &usize| papers.pieces.iter().zip(&out).any(|(piece, out)| piece.stock == *place && !out);
    let names: Vec<String> = (0..papers.stocks.len()).filter(used).map(|place| named(&papers.stocks[place].name)).collect();
    let pieces = if papers.pieces.len() == 1 { "One piece".to_owned() } else { format!("{} pieces", papers.pieces.len()) };
    if names.is_empty() {
        return format!("{pieces} of thin paper, none of which is laid.");
    }
    format!("{pieces} of thin paper under the ink, the first laid nearest the eye: {}.{left_out}", names.join(", "))
}

fn of_papers(laid: &[LaidPaper]) -> Vec<String> {
    let of = |(place, paper): (usize, &LaidPaper)| {
        let mut parts = match &paper.weight {
            Some(PaperWeight { pad, grams }) => {
                vec![format!("a pad of it {pad}, {} g/m² (how much that hides is an estimate)", short(*grams))]
            }
            None => {
                let sheet = paper.sheet.as_ref().map_or_else(|| "the strip's paper".to_owned(), |sheet| format!("a sheet {sheet}"));
                vec![format!("{} on {sheet}, {} on black", paper.on_white, paper.on_black)]
            }
        };
        if let Some(back) = &paper.back {
            parts.push(format!("its other side {back}, {}", if paper.turned { "to the ink" } else { "away from the ink" }));
        }
        parts.push(match (&paper.outline, paper.edge) {
            (None, _) => "over the whole face".to_owned(),
            (Some(_), Edge::Cut) => "a piece, cut".to_owned(),
            (Some(_), Edge::Torn) => "a piece, torn".to_owned(),
        });
        let first = if place == 0 && laid.len() > 1 { ", laid first and nearest the eye" } else { "" };
        format!("Thin paper {}{first}: {}.", named(&paper.name), parts.join(", "))
    };
    laid.iter().enumerate().map(of).collect()
}

/// Two decimals, and none that say nothing.
fn short(value: f64) -> String {
    format!("{}", (value * 100.0).round() / 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_without_type_are_counted_and_not_named() {
        assert_eq!(boxes_line("“Harbour”, plate Ж."), None);
        assert!(boxes_line("“製”.").unwrap().starts_with("One letter of these words stands as a box"));
        let two = boxes_line("“製氷” 製.").unwrap();
        assert!(two.starts_with("2 letters") && missing_letters(&two).is_empty(), "{two}");
    }
}
