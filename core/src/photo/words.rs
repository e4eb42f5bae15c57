//! What was found, in sentences.

use super::zones::{Zone, ZoneKind};
use super::{PhotoSettings, Straightened, UNKNOWN_SIDE};
use crate::face::FINE_ENOUGH;
use crate::photo::corners::SIDES;

/// A bow of more than this is worth a word, mm.
const BOW: f64 = 0.5;
/// Places of one kind that are told one by one.
const TOLD: usize = 3;

pub(super) fn notes(sheet: &Straightened, settings: &PhotoSettings, contradicted: bool) -> Vec<String> {
    let mut notes = Vec::new();
    if !sheet.sized {
        notes.push(format!(
            "The sheet's size is not known: its proportions are told from the photograph ({:.3} wide to 1 high) and its longer side is taken as \
             {} mm; type the size of the paper to have true millimetres.",
            sheet.sheet.width.0 / sheet.sheet.height.0,
            UNKNOWN_SIDE.0
        ));
    }
    notes.extend(stretched(sheet, settings));
    notes.extend(light(sheet, settings, contradicted));
    for (i, bow) in sheet.bows.iter().enumerate() {
        if let Some(mm) = bow.filter(|mm| mm.abs() > BOW) {
            notes.push(format!(
                "The sheet's {} edge bows {} by {:.1} mm: places in the middle may be off by as much; press the sheet flat and photograph it \
                 again if that matters.",
                SIDES[i],
                if mm > 0.0 { "inward" } else { "outward" },
                mm.abs()
            ));
        }
    }
    for kind in [ZoneKind::Shadow, ZoneKind::Burnt, ZoneKind::Lost] {
        let all: Vec<&Zone> = sheet.zones.iter().filter(|zone| zone.kind == kind).collect();
        notes.extend(all.iter().take(TOLD).map(|zone| place(zone)));
        if all.len() > TOLD {
            let more = match kind {
                ZoneKind::Shadow => "look like shadows",
                ZoneKind::Burnt => "are burnt out",
                ZoneKind::Lost => "are lost in black",
            };
            notes.push(format!("{} smaller places more {more}.", all.len() - TOLD));
        }
    }
    if sheet.detail < FINE_ENOUGH {
        notes.push(format!(
            "The photograph has {} to a millimetre of the sheet where they are fewest; under {} edges come out soft: go nearer, or scan \
             the drawing.",
            if sheet.detail.0 < 0.1 { "less than a tenth of a pixel".to_owned() } else { format!("{:.1} pixels", sheet.detail.0) },
            FINE_ENOUGH.0
        ));
    }
    notes
}

/// A whole picture is never stretched to the size typed for it: where the two do not agree, that is said.
fn stretched(sheet: &Straightened, settings: &PhotoSettings) -> Option<String> {
    /// Proportions agree within this share: a scanner's margin.
    const AGREE: f64 = 0.03;
    settings.sheet.filter(|_| settings.corners.is_none())?;
    let picture = sheet.luminance.width() as f64 / sheet.luminance.height() as f64;
    let typed = sheet.sheet.width.0 / sheet.sheet.height.0;
    ((picture / typed - 1.0).abs() > AGREE).then(|| {
        format!(
            "The picture is {picture:.3} wide to 1 high, the size typed for it {typed:.3}: its width is taken as {:.0} mm and nothing is stretched, \
             so its height comes to {:.0} mm; type the size of all that the picture shows, or set the corners of the sheet in it.",
            sheet.sheet.width.0,
            sheet.sheet.width.0 / picture
        )
    })
}

fn light(sheet: &Straightened, settings: &PhotoSettings, contradicted: bool) -> Vec<String> {
    let mut notes = Vec::new();
    if contradicted || sheet.light.as_ref().is_some_and(|light| light.contradicted) {
        notes.push("The sheet's edges darken where the table beside them does not: that is taken for a wash and kept.".to_owned());
    }
    match &sheet.light {
        None if settings.even || settings.neutral => notes.push(
            "No bare paper could be proved on the sheet, so its light is left as it is: press “Mark paper” and mark three places or more that \
             are bare paper, far apart."
                .to_owned(),
        ),
        None => {}
        Some(light) => {
            let from = match (light.margin, light.spots) {
                (true, 0) => "by the sheet's blank margin".to_owned(),
                (true, n) => format!("by the sheet's blank margin and {}", marked(n)),
                (false, n) => format!("by {}", marked(n)),
            };
            if settings.even {
                notes.push(format!(
                    "Light fell {:.1} : 1 over the sheet; it is evened {from}, where bare paper now keeps within {:.1} L*.",
                    light.fall, light.spread
                ));
            } else {
                notes.push(format!("Light falls {:.1} : 1 over the sheet, {from}; it is not evened.", light.fall));
            }
            if !light.margin && light.spots < 3 {
                notes.push("Fewer than three places of bare paper tell a level but no slope of the light: mark more, far apart.".to_owned());
            }
        }
    }
    for i in sheet.light.iter().flat_map(|light| &light.uneven) {
        notes.push(format!("Marked place {} is not even enough to be bare paper and was not used: move it off the drawing.", i + 1));
    }
    notes
}

fn marked(count: usize) -> String {
    if count == 1 { "one marked place".to_owned() } else { format!("{count} marked places") }
}

/// One place in a sentence.
fn place(zone: &Zone) -> String {
    let (u, v) = zone.middle;
    let third = |share: f64, names: [&'static str; 3]| names[((share * 3.0) as usize).min(2)];
    let at = match (third(v, ["upper", "", "lower"]), third(u, ["left", "", "right"])) {
        ("", "") => "in the middle".to_owned(),
        ("", side) => format!("at the {side}"),
        ("upper", "") => "at the top".to_owned(),
        ("lower", "") => "at the foot".to_owned(),
        (end, side) => format!("at the {end} {side}"),
    };
    let size = format!(
        "{:.0} × {:.0} mm (from {:.0} mm across and {:.0} mm down)",
        zone.right - zone.left,
        zone.bottom - zone.top,
        zone.left,
        zone.top
    );
    match zone.kind {
        ZoneKind::Shadow => format!(
            "What looks like a shadow lies {at}, {size}: what is drawn there comes out too dark; photograph the sheet again with your hand and \
             head out of the light."
        ),
        ZoneKind::Burnt => {
            format!("Burnt out {at}, {size}: lights can't be told apart there; photograph the sheet again darker, or without flash.")
        }
        ZoneKind::Lost => {
            format!("Lost in black {at}, {size}: darks can't be told apart there; photograph the sheet again lighter if they matter.")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_named_as_people_name_them() {
        let zone =
            |u: f64, v: f64| Zone { kind: ZoneKind::Burnt, left: 3.0, top: 4.0, right: 13.0, bottom: 24.0, area_cm2: 2.0, middle: (u, v) };
        for (u, v, words) in
            [(0.1, 0.9, "at the lower left"), (0.5, 0.5, "in the middle"), (0.5, 0.0, "at the top"), (1.0, 0.5, "at the right")]
        {
            let said = place(&zone(u, v));
            assert!(said.starts_with(&format!("Burnt out {words}, 10 × 20 mm (from 3 mm across and 4 mm down):")), "{said}");
        }
    }

    #[test]
    fn a_size_that_is_not_the_pictures_is_said_and_stretches_nothing() {
        use crate::drawing::Drawing;
        use crate::photo::straighten;
        use crate::plane::Plane;
        use crate::plate::SizeMm;
        use crate::units::Millimetres;
        let drawing = Drawing::from_luminance(&Plane::from_fn(300, 200, |x, _| x as f32 / 300.0));
        let notes = |width: f64, height: f64| {
            let sheet = Some(SizeMm { width: Millimetres(width), height: Millimetres(height) });
            straighten(&drawing, &PhotoSettings { sheet, ..PhotoSettings::default() }).unwrap().notes
        };
        let said = |notes: &[String]| notes.iter().any(|note| note.contains("its height comes to 60 mm"));
        assert!(said(&notes(90.0, 90.0)), "{:?}", notes(90.0, 90.0));
        assert!(!said(&notes(90.0, 60.0)) && !said(&notes(90.0, 61.0)));
        // A picture with next to no pixels has not “0.0” of them.
        assert!(notes(4500.0, 3000.0).iter().any(|note| note.contains("less than a tenth of a pixel")));
    }
}
