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
    let head = PAD + HEAD + if is_example(job) { BANNER } else { 0.0 };
    PageBox::new(PAD, head, page.width.0 - 2.0 * PAD, page.height.0 - PAD - FOOT - head)
}

fn is_example(job: &Job) -> bool {
    job.bites.strip_kind == StripKind::Example
}

/// Adds the run sheet's pages, the last of `all` sheets.
pub(super) fn add(sheets: &mut Vec<Sheet>, job: &Job, all: usize) {
    let pages = pages(job);
    let numbers: Vec<usize> = job.stop_outs.list().iter().map(|each| each.number).collect();
    let each = numbers.len().div_ceil(pages);
    let table = table(job);
    let step = (table.height / each as f64).min(STEP.1);
    for (index, numbers) in numbers.chunks(each).enumerate() {
        let name = if pages > 1 { format!("run sheet {} of {pages}", index + 1) } else { "run sheet".to_owned() };
        let mut sheet = Sheet::new(name, job.settings.paper.size());
        head(&mut sheet, job, (sheets.len() + 1, all));
        columns(&mut sheet, &table);
        let mut y = table.y;
        for &number in numbers {
            paint_row(&mut sheet, job, number, PageBox::new(table.x, y, table.width, step * PAINT_SHARE));
            bite_row(&mut sheet, job, number, PageBox::new(table.x, y + step * PAINT_SHARE, table.width, step * (1.0 - PAINT_SHARE)));
            y += step;
        }
        sheet.stroke(LINE, (table.x, y), (table.right(), y));
        let foot_top = sheet.page.height.0 - PAD - FOOT;
        foot(&mut sheet, PageBox::new(table.x, foot_top, table.width, FOOT));
        sheets.push(sheet);
    }
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
    let mut strip = vec![format!("times from strip {}", job.bites.strip_id)];
    strip.extend([&job.settings.bath, &job.settings.date].into_iter().flatten().filter(|words| !words.is_empty()).cloned());
    let (size, strip) = fitted(Weight::Regular, &strip.join(" · "), &[11.0, 10.0, 9.0], end - left);
    sheet.text(Weight::Regular, size, Align::Start, (left, PAD + 21.2), strip);

    if is_example(job) {
        let banner = PageBox::new(left, PAD + 25.4, right - left, BANNER - 3.4);
        sheet.frame(Pen::solid(0.7), banner);
        let cap = semibold.cap_height(20.0).0;
        sheet.text(Weight::Semibold, 20.0, Align::Start, (left + 4.0, banner.y + (banner.height + cap) / 2.0), EXAMPLE);
        let beside = left + 4.0 + semibold.width(EXAMPLE, 20.0).0 + 6.0;
        let lines = TypeFace::of(Weight::Regular).wrap(
            "These times come from an invented strip. Bite a strip of your own beside this plate first.",
            10.0,
            Millimetres(banner.right() - 3.0 - beside),
        );
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

/// The last stop-out before which more than half of the whole time is still to come: the whites have to hold through all of it.
fn second_coat(job: &Job) -> Option<usize> {
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
    let Some(time) = job.bites.tones.get(number) else { return };
    let base = middle + semibold.cap_height(28.0).0 / 2.0;
    sheet.text(Weight::Semibold, 28.0, Align::Start, (at.clock, base), time.set.clock());
    let total = middle + regular.cap_height(18.0).0 / 2.0;
    match time.range.filter(|_| row.height >= 10.5) {
        Some((from, to)) => {
            sheet.text(Weight::Regular, 18.0, Align::Start, (at.total, total - 1.8), time.shown_total.clock());
            sheet.text(Weight::Regular, 9.0, Align::Start, (at.total, base + 1.2), range(from, to));
        }
        None => sheet.text(Weight::Regular, 18.0, Align::Start, (at.total, total), time.shown_total.clock()),
    }
    let line = row.foot() - 2.6;
    for (from, to) in [(at.actual, at.temperature - 3.0), (at.temperature, at.remarks - 3.0), (at.remarks, row.right() - 0.4)] {
        sheet.stroke(HAIR, (from, line), (to, line));
    }
}

fn range(from: Seconds, to: Seconds) -> String {
    format!("{} to {}", from.by_hand().clock(), to.by_hand().clock())
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
