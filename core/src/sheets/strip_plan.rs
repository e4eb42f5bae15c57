//! The sheet of a strip to bite: the strip at true size in plate view, what to set on the clock for each band, and room for the readings.

use super::frame::{self, HAIR, LINE, tick_box};
use super::layout::{fitted, line_height};
use super::mark::{Align, PageBox, Pen, Sheet};
use super::{Paper, SheetSettings, View, plain};
use crate::strip_plan::{Band, StripPlan, Way};
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// Distance of everything from the edge of the paper, mm.
const PAD: f64 = 12.0;
/// Where the table begins, and the strip beneath it can begin at the earliest, mm from the top.
const TABLE_TOP: f64 = 62.0;
/// Height of the cautions and the bars at the foot, mm.
const FOOT: f64 = 34.0;
/// Width the table needs, mm.
const TABLE: f64 = 112.0;
/// Greatest height of a row, mm.
const ROW: f64 = 14.0;

/// The sheet as page `page` of `all`.
pub(super) fn sheet(plan: &StripPlan, settings: &SheetSettings, (page, all): (usize, usize)) -> Sheet {
    let paper: Paper = settings.paper;
    let mut sheet = Sheet::new("strip plan", paper.size());
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    head(&mut sheet, plan, settings, (page, all));
    let size = plan.size();
    let bottom = sheet.page.height.0 - PAD - FOOT;
    // Beside the table there is room for the strip at true size, or there is not: then it is not drawn, and that is said.
    let fits = size.width.0 <= right - left - TABLE - 12.0 && size.height.0 <= bottom - TABLE_TOP - 6.0;
    let table_left = if fits { left + size.width.0 + 12.0 } else { left };
    if fits {
        drawing(&mut sheet, plan, PageBox::new(left, TABLE_TOP + 2.0, size.width.0, size.height.0));
    }
    table(&mut sheet, plan, PageBox::new(table_left, TABLE_TOP + 2.0, right - table_left, bottom - TABLE_TOP - 4.0), fits);
    foot(&mut sheet, PageBox::new(left, bottom, right - left, FOOT));
    sheet
}

fn head(sheet: &mut Sheet, plan: &StripPlan, settings: &SheetSettings, (page, all): (usize, usize)) {
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let sign = PageBox::new(right - 15.0, PAD, 15.0, 15.0);
    frame::view_sign(sheet, sign, View::Plate);
    sheet.text(Weight::Semibold, 11.0, Align::End, (sign.x - 3.0, PAD + 6.0), View::Plate.words());
    sheet.text(Weight::Regular, 9.0, Align::End, (sign.x - 3.0, PAD + 11.0), "the metal, face up");
    sheet.text(Weight::Semibold, 28.0, Align::Start, (left - 0.3, PAD + 7.2), "Strip plan");
    let beside = left + TypeFace::of(Weight::Semibold).width("Strip plan", 28.0).0 + 6.0;
    let (title_size, title) = fitted(Weight::Regular, &settings.title, &[16.0, 14.0, 12.0, 10.0], sign.x - 40.0 - beside);
    sheet.text(Weight::Regular, title_size, Align::Start, (beside, PAD + 7.2), title);
    sheet.text(Weight::Regular, 9.0, Align::End, (right, PAD + 19.6), format!("sheet {page} of {all}"));
    let size = plan.size();
    let mut facts = vec![
        format!("strip {} × {} mm", plain(size.width.0), plain(size.height.0)),
        format!("paper and {} bands of {:.1} mm", plan.bands.len(), plan.band_mm().0),
        format!("each total {:.2} times the one before", plan.ratio),
    ];
    facts.extend(settings.date.clone().filter(|date| !date.is_empty()));
    let (fact_size, facts) = fitted(Weight::Regular, &facts.join(" · "), &[11.0, 10.0, 9.0], right - left - 26.0);
    sheet.text(Weight::Regular, fact_size, Align::Start, (left, PAD + 15.6), facts);
    let how = match plan.asked.way {
        Way::Covered => {
            "Covered between dips, as the plate will be: before each dip paint the next band with stop-out, let it dry, then set the clock to the dip. Every \
             restart is in the times you will read."
        }
        Way::Withdrawn => {
            "In one dip: the strip stands in the bath up to the foot of its paper band. The clock is set for each wait in turn and the strip drawn up by one \
             band when it rings. Restarts are not in the times you will read."
        }
    };
    let promise = "The times are chosen by whoever planned this strip, to find out what the bath does. They promise no tone.";
    let mut y = PAD + 20.0;
    let regular = TypeFace::of(Weight::Regular);
    for (words, weight) in [(how, Weight::Regular), (promise, Weight::Semibold)] {
        let face = if weight == Weight::Regular { regular } else { TypeFace::of(weight) };
        for line in face.wrap(words, 10.5, Millimetres(right - left)) {
            y += line_height(10.5);
            sheet.text(weight, 10.5, Align::Start, (left, y), line);
        }
        y += 1.2;
    }
    let blanks = [("Metal", 0.0), ("Mordant", 0.26), ("Grain", 0.56), ("Temperature", 0.78)];
    let width = right - left;
    let base = TABLE_TOP - 6.0;
    for (index, (words, at)) in blanks.iter().enumerate() {
        let next = blanks.get(index + 1).map_or(1.0, |(_, next)| *next);
        let x = left + width * at;
        sheet.text(Weight::Regular, 10.0, Align::Start, (x, base), *words);
        sheet.stroke(HAIR, (x + regular.width(words, 10.0).0 + 1.6, base + 0.6), (left + width * next - 3.0, base + 0.6));
    }
}

/// The strip at true size, its paper band at the top.
fn drawing(sheet: &mut Sheet, plan: &StripPlan, of: PageBox) {
    sheet.frame(Pen::solid(0.5), of);
    let words = |sheet: &mut Sheet, from: f64, to: f64, label: &str, weight| {
        let size = ((to - from) * 2.2).clamp(9.0, 14.0);
        let (size, label) = fitted(weight, label, &[size, 12.0, 10.0, 9.0], of.width - 2.0);
        let cap = TypeFace::of(weight).cap_height(size).0;
        sheet.text(weight, size, Align::Middle, (of.x + of.width / 2.0, of.y + (from + to + cap) / 2.0), label);
    };
    words(sheet, 0.0, plan.paper_mm.0, "paper", Weight::Regular);
    for band in &plan.bands {
        let y = of.y + band.from_mm.0;
        sheet.stroke(LINE, (of.x, y), (of.right(), y));
        // A tick beyond the metal, so that the edge is found again once varnish lies on it.
        sheet.stroke(HAIR, (of.right() + 0.6, y), (of.right() + 3.6, y));
        words(sheet, band.from_mm.0, band.to_mm.0, &band.number.to_string(), Weight::Semibold);
    }
}

fn table(sheet: &mut Sheet, plan: &StripPlan, of: PageBox, drawn: bool) {
    let regular = TypeFace::of(Weight::Regular);
    let semibold = TypeFace::of(Weight::Semibold);
    let at = |share: f64| of.x + of.width * share;
    let (box_at, clock, total, act, read) = (of.x + 8.5, at(0.19), at(0.36), at(0.49), at(0.86));
    for (x, words) in [(of.x, "band"), (clock, "set the clock"), (total, "total"), (act, "cover or draw"), (read, "L* read")] {
        sheet.text(Weight::Regular, 9.0, Align::Start, (x, of.y - 1.6), words);
    }
    let note = if drawn { 0.0 } else { 8.0 };
    let row = ((of.height - note) / (plan.bands.len() + 1) as f64).min(ROW);
    let mut y = of.y;
    let rows = std::iter::once(None).chain(plan.bands.iter().map(Some));
    for band in rows {
        sheet.stroke(LINE, (of.x, y), (of.right(), y));
        let middle = y + row / 2.0;
        let base = |size: f64, face: &TypeFace| middle + face.cap_height(size).0 / 2.0;
        sheet.stroke(HAIR, (read, y + row - 1.6), (of.right(), y + row - 1.6));
        match band {
            None => {
                sheet.text(Weight::Regular, 10.0, Align::Start, (of.x, base(10.0, regular)), "paper");
                sheet.text(Weight::Regular, 10.0, Align::Start, (clock, base(10.0, regular)), "never bitten");
            }
            Some(band) => {
                let large = (row * 1.9).clamp(10.0, 22.0);
                sheet.text(Weight::Semibold, 12.0, Align::Start, (of.x, base(12.0, semibold)), band.number.to_string());
                tick_box(sheet, box_at, middle, (row - 1.6).clamp(3.0, 8.0));
                sheet.text(Weight::Semibold, large, Align::Start, (clock, base(large, semibold)), band.dip_s.clock());
                sheet.text(Weight::Regular, 11.0, Align::Start, (total, base(11.0, regular)), band.total_s.clock());
                act_words(sheet, plan, band, (act, read - 2.0), middle, row);
            }
        }
        y += row;
    }
    sheet.stroke(LINE, (of.x, y), (of.right(), y));
    if !drawn {
        let size = plan.size();
        let words = format!(
            "A strip of {} × {} mm does not fit beside this table at true size. Band edges from its top: {} mm.",
            plain(size.width.0),
            plain(size.height.0),
            plan.bands.iter().map(|band| format!("{:.1}", band.from_mm.0)).collect::<Vec<_>>().join(", ")
        );
        for line in regular.wrap(&words, 9.0, Millimetres(of.width)).iter().take(2) {
            y += line_height(9.0);
            sheet.text(Weight::Regular, 9.0, Align::Start, (of.x, y), line.as_str());
        }
    }
}

/// What to do beside a dip, on one line or two.
fn act_words(sheet: &mut Sheet, plan: &StripPlan, band: &Band, (from, to): (f64, f64), middle: f64, row: f64) {
    let face = TypeFace::of(Weight::Regular);
    let words = plan.act(band);
    let lines = face.wrap(&words, 9.0, Millimetres(to - from));
    if lines.len() > 1 && row >= 2.0 * line_height(9.0) {
        let first = middle - line_height(9.0) * 0.5 + face.cap_height(9.0).0 / 2.0;
        for (index, line) in lines.iter().take(2).enumerate() {
            sheet.text(Weight::Regular, 9.0, Align::Start, (from, first + index as f64 * line_height(9.0)), line.as_str());
        }
    } else {
        let (size, words) = fitted(Weight::Regular, &words, &[10.0, 9.0], to - from);
        sheet.text(Weight::Regular, size, Align::Start, (from, middle + face.cap_height(size).0 / 2.0), words);
    }
}

fn foot(sheet: &mut Sheet, of: PageBox) {
    frame::bar_across(sheet, (of.x + (of.width - 100.0) / 2.0, of.y + 5.0));
    let mut y = of.y + 8.0;
    for words in [
        "Grain the strip in the same box load as the plate, cover its back and edges, and feather and rinse it as you will the plate. Read it dry, printed with \
         the plate’s own ink, paper and wiping.",
        "Acids, dust and heat can hurt you: the shop’s own rules, the safety data sheets and local codes come before anything printed here. Never bite alone.",
    ] {
        for line in TypeFace::of(Weight::Regular).wrap(words, 10.0, Millimetres(of.width)) {
            y += line_height(10.0);
            sheet.text(Weight::Regular, 10.0, Align::Start, (of.x, y), line);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, bites, letter, says, sheets_by};
    use super::super::{Mark, Sheets};
    use super::*;
    use crate::strip_plan::Asked;
    use crate::units::Seconds;

    fn planned(change: impl Fn(&mut Asked)) -> StripPlan {
        let mut asked = Asked::default();
        change(&mut asked);
        StripPlan::of(asked).unwrap()
    }

    #[test]
    fn the_strip_is_drawn_at_true_size_with_an_edge_at_every_band() {
        let plan = planned(|asked| (asked.width_mm, asked.height_mm) = (Millimetres(30.0), Millimetres(90.0)));
        let made = Sheets::of_strip(&plan, &SheetSettings::default());
        let sheet = &made.sheets[0];
        assert_legible(sheet);
        assert!(says(sheet, "PLATE VIEW") && says(sheet, "promise no tone") && says(sheet, "sheet 1 of 1") && says(sheet, "measure me"));
        let outline = sheet.marks.iter().find_map(|mark| match mark {
            Mark::Line { pen, points, closed: true } if *pen == Pen::solid(0.5) => Some(points.clone()),
            _ => None,
        });
        let outline = outline.unwrap();
        assert!((outline[1].x - outline[0].x - 30.0).abs() < 1e-9 && (outline[2].y - outline[1].y - 90.0).abs() < 1e-9);
        let edges: Vec<f64> = sheet
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Strokes { pen, strokes } if *pen == LINE && strokes[0][0].x == outline[0].x && strokes[0][1].x == outline[1].x => {
                    Some(strokes[0][0].y - outline[0].y)
                }
                _ => None,
            })
            .collect();
        let expected: Vec<f64> = plan.bands.iter().map(|band| band.from_mm.0).collect();
        assert_eq!(edges.len(), expected.len());
        for (edge, expected) in edges.iter().zip(expected) {
            assert!((edge - expected).abs() < 1e-9, "{edge} for {expected}");
        }
    }

    #[test]
    fn each_band_has_its_clock_its_total_and_what_to_do() {
        for way in [Way::Covered, Way::Withdrawn] {
            let plan = planned(|asked| asked.way = way);
            let sheet = &Sheets::of_strip(&plan, &SheetSettings::default()).sheets[0];
            for band in &plan.bands {
                assert!(sheet.words().any(|words| words == band.dip_s.clock()) && sheet.words().any(|words| words == band.total_s.clock()));
            }
            assert!(says(sheet, if way == Way::Covered { "cover band 3" } else { "draw band 3 out" }));
        }
    }

    #[test]
    fn any_strip_is_legible_on_both_papers_and_one_too_large_to_draw_says_so() {
        for paper in [Paper::A4, Paper::Letter] {
            for (width, height, bands, last) in
                [(10.0, 80.0, 2, 900.0), (40.0, 120.0, 8, 900.0), (60.0, 160.0, 20, 86_400.0), (300.0, 400.0, 20, 3600.0)]
            {
                let plan = planned(|asked| {
                    (asked.width_mm, asked.height_mm, asked.bands) = (Millimetres(width), Millimetres(height), bands);
                    asked.last_s = Seconds(last);
                });
                let settings = SheetSettings {
                    paper,
                    title: "Ein sehr langer Titel, der auf keinen Rand der Welt paßt".into(),
                    ..SheetSettings::default()
                };
                let sheet = &Sheets::of_strip(&plan, &settings).sheets[0];
                assert_legible(sheet);
                assert_eq!(says(sheet, "does not fit beside this table"), height > 300.0);
            }
        }
    }

    #[test]
    fn among_all_sheets_it_comes_first() {
        let (plate, map) = letter(160.0, 180.0);
        let settings = SheetSettings { strip_plan: Some(planned(|_| {})), ..SheetSettings::default() };
        let made = sheets_by(&plate, map, &bites(3), &settings);
        assert_eq!(made.sheets.iter().map(|sheet| sheet.name.as_str()).collect::<Vec<_>>(), ["strip plan", "stop-out 1", "run sheet"]);
        assert!(says(&made.sheets[0], "sheet 1 of 3") && says(&made.sheets[2], "sheet 3 of 3"));
    }
}
