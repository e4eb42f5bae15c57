//! What prints in place of a run sheet where the bath is a STOP: the pair, its hazards and who says so. No time, no box to tick.

use super::frame::{HAIR, LINE};
use super::layout::{fitted, line_height};
use super::mark::{Align, PageBox, Pen, Sheet};
use super::{Job, plain};
use crate::bath::pairs::{Judgement, Verdict};
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// Distance of everything from the edge of the paper, mm: as the run sheet's.
const PAD: f64 = 12.0;

/// The page, number `page` of `all`.
pub(super) fn sheet(job: &Job, judged: &Judgement, (page, all): (usize, usize)) -> Sheet {
    let mut sheet = Sheet::new("stop", job.settings.paper.size());
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let frame = PageBox::new(left, PAD, right - left, 40.0);
    sheet.frame(Pen::solid(1.2), frame);
    hatch(&mut sheet, PageBox::new(left, PAD, 12.0, 40.0));
    hatch(&mut sheet, PageBox::new(right - 12.0, PAD, 12.0, 40.0));
    sheet.text(Weight::Semibold, 60.0, Align::Start, (left + 17.0, PAD + 19.6), Verdict::Stop.words());
    let room = frame.width - 34.0;
    let (size, pair) = fitted(Weight::Semibold, &judged.pair, &[20.0, 18.0, 16.0, 14.0, 12.0, 10.0, 9.0], room);
    sheet.text(Weight::Semibold, size, Align::Start, (left + 17.0, PAD + 28.6), pair);
    sheet.text(
        Weight::Regular,
        14.0,
        Align::Start,
        (left + 17.0, PAD + 35.6),
        "This plate is not bitten in this bath. No run sheet prints.",
    );
    let mut y = PAD + 40.0 + 10.0;
    for reason in &judged.reasons {
        let regular = TypeFace::of(Weight::Regular);
        for line in regular.wrap(reason.words, 12.0, Millimetres(right - left)) {
            y += line_height(12.0);
            sheet.text(Weight::Regular, 12.0, Align::Start, (left, y), line);
        }
        for line in regular.wrap(&format!("Source: {}.", reason.source), 9.0, Millimetres(right - left)) {
            y += line_height(9.0);
            sheet.text(Weight::Regular, 9.0, Align::Start, (left, y + 0.6), line);
        }
        y += 3.2;
        sheet.stroke(HAIR, (left, y), (right, y));
        y += 1.6;
    }
    let words = "Name another metal, mordant or tray on the page, and print again. The shop’s own rules, the safety data sheets and local codes come before \
                 anything printed here.";
    y += 4.0;
    for line in TypeFace::of(Weight::Regular).wrap(words, 12.0, Millimetres(right - left)) {
        y += line_height(12.0);
        sheet.text(Weight::Regular, 12.0, Align::Start, (left, y), line);
    }
    let size = job.plate.size();
    let mut facts = vec![format!("plate {} × {} mm", plain(size.width.0), plain(size.height.0))];
    facts.extend([&job.settings.letter, &job.settings.title].into_iter().filter(|words| !words.is_empty()).cloned());
    facts.extend(job.settings.date.clone().filter(|date| !date.is_empty()));
    facts.push(format!("sheet {page} of {all}"));
    let (size, facts) = fitted(Weight::Regular, &facts.join(" · "), &[11.0, 10.0, 9.0], right - left);
    let foot = sheet.page.height.0 - PAD;
    sheet.stroke(LINE, (left, foot - 6.0), (right, foot - 6.0));
    sheet.text(Weight::Regular, size, Align::Start, (left, foot), facts);
    sheet
}

/// Strokes rising across a box, 4 mm apart: the word is not alone in saying it.
fn hatch(sheet: &mut Sheet, of: PageBox) {
    sheet.frame(LINE, of);
    let strokes = (1..=libm::floor((of.height + of.width) / 4.0) as usize).filter_map(|i| {
        let along = i as f64 * 4.0;
        let from = (of.x + (along - of.height).max(0.0), of.y + along.min(of.height));
        let to = (of.x + along.min(of.width), of.y + (along - of.width).max(0.0));
        (from != to).then(|| [super::PagePoint::new(from.0, from.1), super::PagePoint::new(to.0, to.1)])
    });
    let strokes = strokes.collect();
    sheet.strokes(Pen::solid(0.7), strokes);
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, bites, letter, says, sheets_by};
    use super::super::{Paper, SheetSettings};
    use crate::bath::pairs::{Named, judged};
    use crate::bath::{Metal, Mordant};

    #[test]
    fn a_stop_prints_stop_outs_and_the_page_that_says_why_but_no_run_sheet() {
        let mut stops = 0;
        for (metal, mordant) in Metal::ALL.iter().flat_map(|&metal| Mordant::ALL.map(|mordant| (metal, mordant))) {
            let bath = judged(Named { metal: Some(metal.word()), mordant: Some(mordant.words()), before: Some("copper") });
            if !bath.stops() {
                continue;
            }
            stops += 1;
            for (paper, width, height) in [(Paper::A4, 160.0, 180.0), (Paper::Letter, 160.0, 180.0), (Paper::A4, 300.0, 400.0)] {
                let (plate, map) = letter(width, height);
                let settings = SheetSettings {
                    paper,
                    judged: Some(bath.clone()),
                    title: "Ice house".into(),
                    letter: "B".into(),
                    ..SheetSettings::default()
                };
                let made = sheets_by(&plate, map, &bites(3), &settings);
                let names: Vec<&str> = made.sheets.iter().map(|sheet| sheet.name.as_str()).collect();
                assert_eq!(names, if width < 200.0 { vec!["stop-out 1", "stop"] } else { vec!["stop"] });
                let page = made.sheets.last().unwrap();
                assert!(says(page, "STOP") && says(page, "No run sheet prints") && says(page, &bath.reasons[0].source[..8]));
                assert!(says(page, &format!("sheet {} of {}", made.sheets.len(), made.sheets.len())));
                assert!(made.notes.iter().any(|note| note.starts_with("STOP: ") && note.ends_with("says why.")), "{:?}", made.notes);
                assert!(!made.sheets.iter().any(|sheet| says(sheet, "set the clock") || says(sheet, "BITE 1")));
                assert_legible(page);
            }
        }
        assert!(stops >= 10, "{stops} stops");
    }
}
