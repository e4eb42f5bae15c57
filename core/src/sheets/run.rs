//! The run sheet: each stop-out and each bite in turn, with boxes to tick and lines to write on.

use super::frame::{self, HAIR, LINE, tick_box};
use super::layout::{fitted, line_height};
use super::mark::{Align, PageBox, Pen, Sheet};
use super::{EXAMPLE, Job, View, area, counted, minutes, percent, plain};
use crate::bites::ToneTime;
use crate::strip::StripKind;
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, Seconds};

/// Distance of everything from the edge of the paper, mm: room for a clip.
const PAD: f64 = 12.0;
/// Height of the head and of the foot, mm.
const HEAD: f64 = 35.0;
const FOOT: f64 = 42.0;
/// The head is higher by this where it says EXAMPLE, NOT YOUR BATH.
const BANNER: f64 = 15.0;
/// Type size of the pair's hazards, points.
const HAZARD: f64 = 9.0;
/// Least and greatest height of a stop-out and its bite together, mm.
const STEP: (f64, f64) = (16.4, 31.0);
/// Share of that which the PAINT row takes.
const PAINT_SHARE: f64 = 0.42;

/// How many pages the run sheet takes.
pub(super) fn pages(job: &Job) -> usize {
    let fit = libm::floor(table(job).height / STEP.0).max(1.0) as usize;
    job.stop_outs.list().len().div_ceil(fit)
}

/// Where the rows stand.
fn table(job: &Job) -> PageBox {
    let page = job.settings.paper.size();
    let head = PAD + HEAD + if banner(job).is_some() { BANNER } else { 0.0 };
    PageBox::new(PAD, head, page.width.0 - 2.0 * PAD, page.height.0 - PAD - foot_height(job) - head)
}

/// What stands in a frame over the rows where the times are not the printer's own: large words and small ones.
fn banner(job: &Job) -> Option<(&'static str, &'static str)> {
    match job.bites.strip_kind {
        StripKind::Measured => None,
        StripKind::Example => Some((EXAMPLE, "These times come from an invented strip. Bite a strip of your own beside this plate first.")),
        StripKind::Missing => Some((
            "NO STRIP YET",
            "No times are printed. Bite a strip of your own and read it, then print this sheet again or write its times in.",
        )),
    }
}

/// Lines of the pair's hazards, each with its type size; none where metal and mordant are not named.
fn hazards(job: &Job) -> Vec<String> {
    let Some(judged) = &job.settings.judged else { return Vec::new() };
    let words: Vec<&str> = judged.reasons.iter().map(|reason| reason.words).collect();
    TypeFace::of(Weight::Regular).wrap(&words.join(" "), HAZARD, Millimetres(job.settings.paper.size().width.0 - 2.0 * PAD))
}

/// Height of the foot, with the pair's hazards where they are told.
fn foot_height(job: &Job) -> f64 {
    let lines = hazards(job).len();
    FOOT + if lines > 0 { line_height(HAZARD) * (lines as f64 + 1.6) } else { 0.0 }
}

/// The run sheet's pages, of which the first is page `first` of `all`.
pub(super) fn sheets(job: &Job, (first, all): (usize, usize)) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    let pages = pages(job);
    let numbers: Vec<usize> = job.stop_outs.list().iter().map(|each| each.number).collect();
    let each = numbers.len().div_ceil(pages);
    let table = table(job);
    let step = (table.height / each as f64).min(STEP.1);
    for (index, numbers) in numbers.chunks(each).enumerate() {
        let name = if pages > 1 { format!("run sheet {} of {pages}", index + 1) } else { "run sheet".to_owned() };
        let mut sheet = Sheet::new(name, job.settings.paper.size());
        head(&mut sheet, job, (first + index, all));
        columns(&mut sheet, &table);
        let mut y = table.y;
        for &number in numbers {
            paint_row(&mut sheet, job, number, PageBox::new(table.x, y, table.width, step * PAINT_SHARE));
            bite_row(&mut sheet, job, number, PageBox::new(table.x, y + step * PAINT_SHARE, table.width, step * (1.0 - PAINT_SHARE)));
            y += step;
        }
        sheet.stroke(LINE, (table.x, y), (table.right(), y));
        let foot_top = sheet.page.height.0 - PAD - foot_height(job);
        pair(&mut sheet, job, (table.x, foot_top), table.width);
        let foot_box = PageBox::new(table.x, sheet.page.height.0 - PAD - FOOT, table.width, FOOT);
        foot(&mut sheet, foot_box);
        sheets.push(sheet);
    }
    sheets
}

fn head(sheet: &mut Sheet, job: &Job, (page, all): (usize, usize)) {
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let semibold = TypeFace::of(Weight::Semibold);
    let mut end = right;
    if !job.settings.letter.is_empty() {
        let plate = PageBox::new(right - 14.5, PAD, 14.5, 16.0);
        frame::plate_letter(sheet, plate, &job.settings.letter, job.settings.notch, View::Plate);
        end = plate.x - 5.0;
    }
    sheet.text(Weight::Semibold, 28.0, Align::Start, (left - 0.3, PAD + 7.2), "Run sheet");
    let beside = left + semibold.width("Run sheet", 28.0).0 + 6.0;
    let (size, title) = fitted(Weight::Regular, &job.settings.title, &[18.0, 16.0, 14.0, 12.0], end - beside);
    sheet.text(Weight::Regular, size, Align::Start, (beside, PAD + 7.2), title);

    let size = job.plate.size();
    let mut facts = vec![format!("plate {} × {} mm", plain(size.width.0), plain(size.height.0))];
    if job.plate.bevel().0 > 0.0 {
        facts.push(format!("bevel {} mm", plain(job.plate.bevel().0)));
    }
    facts.push(format!("{} tones", job.stop_outs.tones().get()));
    facts.push(counted(job.stop_outs.list().len(), "bite", "bites"));
    facts.extend(job.stop_outs.aside().resist().map(|_| "fixed resist laid first".to_owned()));
    facts.extend(job.stop_outs.aside().by_hand().map(|_| "dotted areas by hand".to_owned()));
    facts.push(format!("sheet {page} of {all}"));
    let (size, facts) = fitted(Weight::Regular, &facts.join(" · "), &[11.0, 10.0, 9.0], end - left);
    sheet.text(Weight::Regular, size, Align::Start, (left, PAD + 15.6), facts);
    let mut strip = vec![match job.bites.strip_kind {
        StripKind::Missing => "no strip yet: no times".to_owned(),
        StripKind::Measured | StripKind::Example => format!("times from strip {}", job.bites.strip_id),
    }];
    strip.extend(
        [&job.settings.scaled, &job.settings.bath, &job.settings.date].into_iter().flatten().filter(|words| !words.is_empty()).cloned(),
    );
    let (size, strip) = fitted(Weight::Regular, &strip.join(" · "), &[11.0, 10.0, 9.0], end - left);
    sheet.text(Weight::Regular, size, Align::Start, (left, PAD + 21.2), strip);

    if let Some((large, small)) = banner(job) {
        let banner = PageBox::new(left, PAD + 25.4, right - left, BANNER - 3.4);
        sheet.frame(Pen::solid(0.7), banner);
        let cap = semibold.cap_height(20.0).0;
        sheet.text(Weight::Semibold, 20.0, Align::Start, (left + 4.0, banner.y + (banner.height + cap) / 2.0), large);
        let beside = left + 4.0 + semibold.width(large, 20.0).0 + 6.0;
        let lines = TypeFace::of(Weight::Regular).wrap(small, 10.0, Millimetres(banner.right() - 3.0 - beside));
        let first = banner.y + (banner.height - lines.len() as f64 * line_height(10.0)) / 2.0 + line_height(10.0) * 0.74;
        for (index, line) in lines.iter().enumerate() {
            sheet.text(Weight::Regular, 10.0, Align::Start, (beside, first + index as f64 * line_height(10.0)), line.as_str());
        }
    }
}

/// Left edges of the columns of a BITE row, mm from the table's left.
struct Columns {
    label: f64,
    back: f64,
    clock: f64,
    total: f64,
    actual: f64,
    temperature: f64,
    remarks: f64,
}

impl Columns {
    fn of(table: &PageBox) -> Self {
        let at = |share: f64| table.x + table.width * share;
        Self {
            label: at(0.07),
            back: at(0.205),
            clock: at(0.345),
            total: at(0.485),
            actual: at(0.61),
            temperature: at(0.73),
            remarks: at(0.81),
        }
    }
}

fn columns(sheet: &mut Sheet, table: &PageBox) {
    let at = Columns::of(table);
    let base = table.y - 1.6;
    let heads = [
        (at.clock, "set the clock"),
        (at.total, "total so far"),
        (at.actual, "actual"),
        (at.temperature, "temp."),
        (at.remarks, "remarks"),
    ];
    for (x, words) in heads {
        sheet.text(Weight::Regular, 9.0, Align::Start, (x, base), words);
    }
}

fn box_side(row: &PageBox) -> f64 {
    (row.height - 2.2).clamp(5.0, 12.0)
}

fn paint_row(sheet: &mut Sheet, job: &Job, number: usize, row: PageBox) {
    let figures = &job.stop_outs.list()[number - 1];
    sheet.stroke(LINE, (row.x, row.y), (row.right(), row.y));
    let at = Columns::of(&row);
    let middle = row.y + row.height / 2.0;
    let side = box_side(&row).min(8.0);
    tick_box(sheet, row.x + 0.4, middle, side);
    let semibold = TypeFace::of(Weight::Semibold);
    let base = middle + semibold.cap_height(12.0).0 / 2.0;
    sheet.text(Weight::Semibold, 12.0, Align::Start, (at.label, base), format!("PAINT {number}"));

    let dry = "dry, not tacky";
    let dry_width = TypeFace::of(Weight::Regular).width(dry, 10.0).0;
    let dry_box = row.right() - 0.4 - dry_width - 2.0 - side;
    tick_box(sheet, dry_box, middle, side);
    sheet.text(Weight::Regular, 10.0, Align::End, (row.right() - 0.4, base), dry);

    let words = if figures.new_share > 0.0 {
        format!(
            "tone {} · {} cm² · {} · {} · then {} covered",
            number - 1,
            area(figures.new_share * job.plate.face().area_cm2()),
            counted(figures.islands, "island", "islands"),
            minutes(figures.paint_min),
            percent(figures.covered_share)
        )
    } else {
        format!("nothing to paint (tone {} has no area): look over back and bevel", number - 1)
    };
    let room = dry_box - 3.0 - at.back;
    let second = second_coat(job) == Some(number);
    let (size, words) = fitted(Weight::Regular, &words, &[11.0, 10.5, 10.0, 9.5, 9.0], room);
    if second && row.height >= 8.4 {
        let size = size.min(10.0);
        sheet.text(Weight::Regular, size, Align::Start, (at.back, base - 1.8), words);
        let coat = "Second coat on stop-out 1: over half the time in the bath is still to come.";
        let (size, coat) = fitted(Weight::Regular, coat, &[9.0], room);
        sheet.text(Weight::Regular, size, Align::Start, (at.back, base + 2.0), coat);
    } else {
        sheet.text(Weight::Regular, size, Align::Start, (at.back, base), words);
    }
}

/// The last stop-out before which more than half of the whole time is still to come: the whites have to hold through all of it. Without a
/// strip nobody knows which that is.
fn second_coat(job: &Job) -> Option<usize> {
    if job.bites.strip_kind == StripKind::Missing {
        return None;
    }
    let all = job.bites.tones.last()?.shown_total.0;
    let number = (2..=job.stop_outs.list().len())
        .rev()
        .find(|&number| job.bites.tones.get(number - 1).is_some_and(|before: &ToneTime| all - before.shown_total.0 > all / 2.0));
    number.filter(|_| job.stop_outs.list().first().is_some_and(|first| first.new_share > 0.0))
}

fn bite_row(sheet: &mut Sheet, job: &Job, number: usize, row: PageBox) {
    sheet.stroke(HAIR, (row.x, row.y), (row.right(), row.y));
    let at = Columns::of(&row);
    let middle = row.y + row.height / 2.0;
    let side = box_side(&row);
    let (regular, semibold) = (TypeFace::of(Weight::Regular), TypeFace::of(Weight::Semibold));
    tick_box(sheet, row.x + 0.4, middle, side);
    sheet.text(
        Weight::Semibold,
        16.0,
        Align::Start,
        (at.label.max(row.x + side + 2.4), middle + semibold.cap_height(16.0).0 / 2.0),
        format!("BITE {number}"),
    );
    tick_box(sheet, at.back, middle, side.min(8.0));
    for (line, words) in [(-0.5, "back and"), (0.5, "bevel")] {
        let base = middle + line * line_height(9.0) + regular.cap_height(9.0).0 / 2.0;
        sheet.text(Weight::Regular, 9.0, Align::Start, (at.back + side.min(8.0) + 1.6, base), words);
    }
    let line = row.foot() - 2.6;
    let mut blanks = vec![(at.actual, at.temperature - 3.0), (at.temperature, at.remarks - 3.0), (at.remarks, row.right() - 0.4)];
    if job.bites.strip_kind == StripKind::Missing {
        blanks.extend([(at.clock, at.total - 3.0), (at.total, at.actual - 3.0)]);
    }
    for (from, to) in blanks {
        sheet.stroke(HAIR, (from, line), (to, line));
    }
    let Some(time) = job.bites.tones.get(number).filter(|_| job.bites.strip_kind != StripKind::Missing) else { return };
    let base = middle + semibold.cap_height(28.0).0 / 2.0;
    sheet.text(Weight::Semibold, 28.0, Align::Start, (at.clock, base), time.set.clock());
    let total = middle + regular.cap_height(18.0).0 / 2.0;
    match time.shown_range.filter(|_| row.height >= 10.5) {
        Some((from, to)) => {
            sheet.text(Weight::Regular, 18.0, Align::Start, (at.total, total - 1.8), time.shown_total.clock());
            sheet.text(Weight::Regular, 9.0, Align::Start, (at.total, base + 1.2), range(from, to));
        }
        None => sheet.text(Weight::Regular, 18.0, Align::Start, (at.total, total), time.shown_total.clock()),
    }
}

fn range(from: Seconds, to: Seconds) -> String {
    format!("{} to {}", from.clock(), to.clock())
}

/// Metal and mordant, that the shop signs them off, and what they do.
fn pair(sheet: &mut Sheet, job: &Job, (x, y): (f64, f64), width: f64) {
    let Some(judged) = &job.settings.judged else { return };
    let mut y = y + line_height(HAZARD) * 1.4;
    let (size, words) = fitted(Weight::Semibold, &format!("{}: {}", judged.verdict.words(), judged.pair), &[11.0, 10.0, 9.0], width);
    sheet.text(Weight::Semibold, size, Align::Start, (x, y), words);
    for line in hazards(job) {
        y += line_height(HAZARD);
        sheet.text(Weight::Regular, HAZARD, Align::Start, (x, y), line);
    }
}

fn foot(sheet: &mut Sheet, of: PageBox) {
    let regular = TypeFace::of(Weight::Regular);
    for (y, weight, words) in [
        (6.8, Weight::Semibold, "Over by e: take e off the next bite. Under: put it back before painting."),
        (11.8, Weight::Regular, "Once painted it is permanent, so plan to pull early."),
    ] {
        let (size, words) = fitted(weight, words, &[12.0, 11.0, 10.0], of.width);
        sheet.text(weight, size, Align::Start, (of.x, of.y + y), words);
    }
    let blank = |sheet: &mut Sheet, x: f64, y: f64, to: f64, words: &str| {
        sheet.text(Weight::Regular, 10.0, Align::Start, (x, y), words);
        sheet.stroke(HAIR, (x + regular.width(words, 10.0).0 + 1.6, y + 0.6), (to, y + 0.6));
    };
    let half = of.x + of.width * 0.56;
    blank(sheet, of.x, of.y + 20.0, half - 4.0, "Checked and signed off");
    blank(sheet, half, of.y + 20.0, of.right(), "Date and hour");
    let emergency = PageBox::new(of.x, of.y + 24.0, of.width, 11.6);
    sheet.frame(LINE, emergency);
    let base = emergency.y + 7.4;
    sheet.text(Weight::Semibold, 11.0, Align::Start, (of.x + 3.0, base), "In an emergency");
    let start = of.x + 3.0 + TypeFace::of(Weight::Semibold).width("In an emergency", 11.0).0 + 4.0;
    let third = (emergency.right() - 3.0 - start) / 3.0;
    for (index, words) in ["eye wash", "neutraliser", "telephone"].iter().enumerate() {
        let x = start + third * index as f64;
        blank(sheet, x, base, x + third - if index == 2 { 0.0 } else { 3.0 }, words);
    }
    let caution = "The shop's own rules, the safety data sheets and local codes come before anything printed here.";
    let (size, caution) = fitted(Weight::Regular, caution, &[10.0, 9.0], of.width);
    sheet.text(Weight::Regular, size, Align::Start, (of.x, of.foot() - 0.6), caution);
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, bites, letter, says, sheets_by};
    use super::super::{SheetSettings, Sheets};
    use super::*;
    use crate::bath::pairs::{Named, judged};

    /// Whether a text holds a time: m:ss, or a number before "s".
    fn holds_a_time(words: &str) -> bool {
        let letters: Vec<char> = words.chars().collect();
        let clock = letters.windows(4).any(|w| w[0].is_ascii_digit() && w[1] == ':' && w[2].is_ascii_digit() && w[3].is_ascii_digit());
        let tokens: Vec<&str> = words.split_whitespace().collect();
        let unit = |w: &str| matches!(w.trim_end_matches(['.', ',', ';', ')']), "s" | "sec" | "seconds");
        let digit = |w: &str| w.chars().next_back().is_some_and(|c| c.is_ascii_digit());
        clock || tokens.windows(2).any(|pair| digit(pair[0]) && unit(pair[1]))
    }

    fn made(kind: StripKind, tones: i64, settings: &SheetSettings) -> Sheets {
        let (plate, map) = letter(160.0, 180.0);
        let mut bites = bites(tones as usize);
        bites.strip_kind = kind;
        for tone in &mut bites.tones {
            tone.range = Some((Seconds(tone.total.0 * 0.9), Seconds(tone.total.0 * 1.1)));
        }
        sheets_by(&plate, map.map(|&tone| tone.min(1) * (tones as u8 - 1)), &bites, settings)
    }

    #[test]
    fn a_time_is_known_when_it_is_seen() {
        assert!(
            holds_a_time("0:10") && holds_a_time("total 12:05, then") && holds_a_time("set 40 s.") && holds_a_time("take 7 seconds off")
        );
        assert!(!holds_a_time("stop-out 5 · sheet 2 of 9") && !holds_a_time("about 12 min") && !holds_a_time("tone 3 so far"));
    }

    #[test]
    fn without_a_strip_no_sheet_holds_a_time_and_there_are_lines_to_write_them() {
        for tones in [2, 10, 16] {
            let with = made(StripKind::Example, tones, &SheetSettings::default());
            assert!(with.sheets.iter().flat_map(Sheet::words).any(holds_a_time), "with a strip there are times");
            let without = made(StripKind::Missing, tones, &SheetSettings::default());
            for sheet in &without.sheets {
                for words in sheet.words() {
                    assert!(!holds_a_time(words), "{words} on {}", sheet.name);
                }
                assert!(says(sheet, "no strip yet"), "{}", sheet.name);
                assert!(!says(sheet, EXAMPLE));
                assert_legible(sheet);
            }
            let run: Vec<&Sheet> = without.sheets.iter().filter(|sheet| sheet.name.starts_with("run sheet")).collect();
            assert!(run.iter().all(|sheet| says(sheet, "NO STRIP YET")));
            // Two lines more on each bite's row: for the clock and for the total.
            let hairs = |sheets: &Sheets| {
                let strokes = sheets.sheets.iter().flat_map(|sheet| &sheet.marks);
                strokes.filter(|mark| matches!(mark, super::super::Mark::Strokes { pen, .. } if *pen == HAIR)).count()
            };
            assert_eq!(hairs(&without), hairs(&with) + 2 * (tones as usize - 1));
        }
    }

    #[test]
    fn the_pair_and_its_hazards_stand_over_the_sign_off() {
        for tones in [3, 10, 16] {
            let bath = judged(Named { metal: Some("zinc"), mordant: Some("nitric"), before: None });
            let sheets = made(StripKind::Measured, tones, &SheetSettings { judged: Some(bath), ..SheetSettings::default() });
            for sheet in sheets.sheets.iter().filter(|sheet| sheet.name.starts_with("run sheet")) {
                assert!(says(sheet, "SHOP SIGN-OFF: zinc in nitric acid") && says(sheet, "brown nitrogen dioxide"));
                assert!(says(sheet, "Checked and signed off"));
                assert_legible(sheet);
            }
        }
    }

    #[test]
    fn what_scales_the_times_is_said_beside_the_strip() {
        let words = "times 1.25 × the strip’s, by the witness";
        let sheets = made(StripKind::Measured, 4, &SheetSettings { scaled: Some(words.to_owned()), ..SheetSettings::default() });
        assert!(says(sheets.sheets.last().unwrap(), words));
    }
}
