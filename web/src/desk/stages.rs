//! The stages from the face to the stop-outs, each worked out anew only where what is kept no longer holds.

use super::done::{Held, HeldMap};
use super::limits::Etched;
use super::{Cleaned, Found, Fresh, Kept, Place, Plan, Progress, Worked, hand, same};
use crate::clock::Laps;
use crate::error::Refusal;
use crate::settings::{BreakRule, BreakSettings, LineChoice, Settings};
use std::rc::Rc;
use stepbite_core::aside::Zones;
use stepbite_core::drawing::Drawing;
use stepbite_core::face::{self, Face};
use stepbite_core::frozen::Wishes;
use stepbite_core::light::Lightness;
use stepbite_core::outline::Outlines;
use stepbite_core::plane::Plane;
use stepbite_core::regions::{self, Mark, Softened};
use stepbite_core::smoothing::Smoothing;
use stepbite_core::stopouts::{HandSpeed, StopOuts};
use stepbite_core::tones::{self, Breaks, StepMap, ToneCount};
use stepbite_core::units::PxPerMm;

/// Recomputes the face, the breaks and the regions as far as the settings differ from the plan before.
#[expect(clippy::too_many_arguments, reason = "every one is a different thing, and this is called once")]
pub(super) fn fresh(
    drawing: &Drawing,
    kept: &mut Kept,
    before: Option<&Plan>,
    settings: &Settings,
    place: Place,
    (count, by_hand, mark): (ToneCount, Option<Breaks>, Option<Mark>),
    (asked, smoothing): (&hand::Asked, Smoothing),
    held: Option<&Held>,
    laps: &mut Laps,
    progress: Progress<'_>,
) -> Result<Fresh, Refusal> {
    let same_face = before.filter(|p| {
        let same_drawing = p.settings.photo == settings.photo && p.placing == place.placing;
        same_drawing && (p.plate, p.face.resolution) == (place.plate, place.resolution)
    });
    let placed = match same_face {
        Some(_) => None,
        None => {
            progress("drawing", 0.0);
            let face = face::place(drawing, &place.plate, place.placing, place.resolution)?;
            laps.lap("drawing");
            Some(face)
        }
    };
    if placed.is_some() || !kept.is_of(place, settings.photo.as_ref()) {
        *kept = Kept::of(place, settings.photo.as_ref());
    }
    let face = match (&placed, same_face) {
        (Some(face), _) => face,
        (None, Some(plan)) => &plan.face,
        (None, None) => return Err(Refusal::new("no_face", "The drawing was not placed: open it again.")),
    };
    let breaks = match (by_hand, &settings.breaks) {
        (Some(breaks), _) => breaks,
        (None, BreakSettings::Rule(BreakRule::Fitted)) => {
            let all = match kept.fitted.take() {
                Some(all) => all,
                None => tones::fitted(&face.histogram())?,
            };
            let breaks = all.get(count.get() - 2).cloned();
            kept.fitted = Some(all);
            breaks.ok_or_else(|| Refusal::new("no_breaks", "No breaks were found: choose even ones."))?
        }
        (None, _) => tones::even(count, face.ends)?,
    };
    let breaks = match held {
        Some(held) => held.breaks(&breaks, face.ends.black)?,
        None => breaks,
    };
    laps.lap("tones");
    if kept.lines != settings.lines {
        (kept.softened, kept.cleaned, kept.figure) = (None, None, None);
        kept.lines = settings.lines;
    }
    let same_map = same_face.is_some_and(|p| {
        let (then, now) = (&p.settings, settings);
        p.breaks == breaks
            && p.held.as_ref() == held
            && same(then.mark_mm, now.mark_mm)
            && same(then.smoothing_mm, now.smoothing_mm)
            && then.lines == now.lines
            && (&then.hand, &then.resist) == (&now.hand, &now.resist)
    });
    let worked = match same_map {
        true => None,
        false => Some(worked(face, &breaks, mark, (asked, smoothing, settings.lines), held, kept, laps, progress)?),
    };
    Ok(Fresh { face: placed, breaks, worked })
}

/// Regions, outlines and stop-outs of a face cut at breaks.
#[expect(clippy::too_many_arguments, reason = "every one is a different thing, and this is called once")]
fn worked(
    face: &Face,
    breaks: &Breaks,
    mark: Option<Mark>,
    (asked, smoothing, lines): (&hand::Asked, Smoothing, LineChoice),
    held: Option<&Held>,
    kept: &mut Kept,
    laps: &mut Laps,
    progress: Progress<'_>,
) -> Result<Worked, Refusal> {
    let mut found = Found::default();
    // Taken out of what is kept while the rest of it is worked with, and put back at the end.
    let mut etched = kept.etched.take();
    let lightness = match lines {
        LineChoice::Stay => &face.lightness,
        LineChoice::Etched => {
            let found = Etched::kept(&mut etched, face, mark);
            laps.lap("lines");
            found.without()
        }
    };
    let cut = (lightness, face.resolution);
    // Without clean-up, what a brush of the usual mark could not paint is told all the same.
    let measured_by = mark.unwrap_or_default();
    let by = mark.map(|mark| (mark, smoothing));
    let is_of = |cleaned: &Cleaned, breaks: &Breaks| (&cleaned.breaks, cleaned.by) == (breaks, by);
    let cleaned = match kept.cleaned.take() {
        Some(cleaned) if is_of(&cleaned, breaks) => cleaned,
        _ => Rc::new(Cleaned { breaks: breaks.clone(), by, map: clean(cut, breaks, by, kept, laps, progress) }),
    };
    if mark.is_some() {
        found.changed_share = regions::changed_share(&cleaned.map, lightness, breaks);
    }
    let done = asked.done(&cleaned.map, cut, breaks, measured_by, |lightness| {
        let at = Breaks::new(vec![Lightness(lightness)])?;
        let figure = match kept.figure.take() {
            Some(figure) if is_of(&figure, &at) => figure,
            _ => Cleaned { map: clean(cut, &at, by, kept, laps, progress), breaks: at, by },
        };
        let map = figure.map.clone();
        kept.figure = Some(figure);
        Ok(map)
    });
    kept.cleaned = Some(Rc::clone(&cleaned));
    kept.etched = etched;
    let hand::Done { map, aside, figures: by_hand } = done?;
    found.unpaintable_share = by_hand.unpaintable_share;
    // Last of all: nothing that is asked for moves what is on the metal.
    let (map, aside, (wishes, free)) = match held {
        None => (map, aside, (Wishes::default(), None)),
        Some(held) => {
            let HeldMap { frozen, wishes, free } = held.applied(&map, aside.1.as_ref(), face.resolution);
            (frozen.map, frozen.aside, (wishes, free))
        }
    };
    laps.lap("regions");
    let outlines = Outlines::of(aside.1.as_ref().map_or(map.plane(), Zones::plane), face.resolution);
    laps.lap("outlines");
    let stopouts = StopOuts::around(map, aside, &outlines, face.resolution, HandSpeed::default());
    laps.lap("stopouts");
    Ok(Worked { cleaned, outlines, stopouts, found, by_hand, wishes, free })
}

/// The map of a plane of L* cut at breaks and cleaned for a mark.
fn clean(
    (lightness, resolution): (&Plane<f32>, PxPerMm),
    breaks: &Breaks,
    by: Option<(Mark, Smoothing)>,
    kept: &mut Kept,
    laps: &mut Laps,
    progress: Progress<'_>,
) -> StepMap {
    let Some((mark, smoothing)) = by else { return tones::quantise(lightness, breaks) };
    let softened = match kept.softened.take() {
        Some(softened) if (softened.mark(), softened.smoothing()) == (mark, smoothing) => softened,
        _ => {
            progress("painting", 0.0);
            let softened = Softened::of(lightness, resolution, mark, smoothing);
            laps.lap("softening");
            softened
        }
    };
    let clean = regions::paintable(&softened, breaks);
    kept.softened = Some(softened);
    clean
}
