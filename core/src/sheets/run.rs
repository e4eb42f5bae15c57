//! The run sheet: each stop-out and each bite in turn, with boxes to tick and lines to write on.

use super::frame::{self, HAIR, LINE, tick_box};
use super::layout::{fitted, line_height};
use super::mark::{Align, PageBox, Pen, Sheet};
use super::{EXAMPLE, Job, Kind, View, area, counted, minutes, percent, plain};
use crate::bites::{BitePlan, ToneTime};
use crate::lines::Lines;
use crate::strip::StripKind;
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, Seconds};

/// Distance of everything from the edge of the paper, mm: room for a clip.
const PAD: f64 = 12.0;
/// Height of the head and of the foot, mm.
const HEAD: f64 = 31.0;
const FOOT: f64 = 46.0;
/// The head is higher by this where it says EXAMPLE, NOT YOUR BATH.
const BANNER: f64 = 15.0;
/// Type size of the pair's hazards, points.
const HAZARD: f64 = 9.0;
/// Side of the box of a stop-out and of a bite, mm, and of the boxes beside them. Rows go on to another page before a box shrinks.
const BOX: f64 = 12.0;
const SMALL_BOX: f64 = 7.0;

/// One row of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Row {
    /// Needle the thin dark lines through the ground.
    Needle,
    /// Bite them: a time of the shop's own, which no strip of tones tells.
    Lines,
    /// Then lay the grain.
    Grain,
    /// Paint stop-out j.
    Paint(usize),
    /// Stop-out j paints nothing: a line to tick.
    Nothing(usize),
    /// Coat stop-out 1 once more.
    SecondCoat,
    /// Bite j.
    Bite(usize),
}

impl Row {
    /// Least height, mm.
    fn height(self) -> f64 {
        match self {
            Self::Paint(_) => 14.0,
            Self::Nothing(_) | Self::SecondCoat | Self::Needle | Self::Grain => 9.4,
            Self::Bite(_) | Self::Lines => 16.6,
        }
    }
}

/// The rows of each page; a stop-out and the bite after it are never parted.
fn rows(job: &Job) -> Vec<Vec<Row>> {
    let second = second_coat(job);
    let room = table(job).height;
    let mut pages: Vec<Vec<Row>> = Vec::new();
    let mut left = 0.0;
    if lined(job).is_some() {
        let stage = vec![Row::Needle, Row::Lines, Row::Grain];
        left = room - stage.iter().map(|row| row.height()).sum::<f64>();
        pages.push(stage);
    }
    for stop in job.stop_outs.list() {
        let mut step = vec![if stop.new_share > 0.0 { Row::Paint(stop.number) } else { Row::Nothing(stop.number) }];
        step.extend((second == Some(stop.number)).then_some(Row::SecondCoat));
        step.push(Row::Bite(stop.number));
        let height: f64 = step.iter().map(|row| row.height()).sum();
        match pages.last_mut().filter(|_| height <= left) {
            Some(page) => page.extend(step),
            None => {
                pages.push(step);
                left = room;
            }
        }
        left -= height;
    }
    balanced(pages)
}

/// The same rows over as many pages, so that the last is not left with one stop-out where the others are full.
fn balanced(pages: Vec<Vec<Row>>) -> Vec<Vec<Row>> {
    let bites = |page: &[Row]| page.iter().filter(|row| matches!(row, Row::Bite(_))).count();
    let all: Vec<Row> = pages.iter().flatten().copied().collect();
    let most = pages.iter().map(|page| bites(page)).max().unwrap_or(1);
    let each = bites(&all).div_ceil(pages.len().max(1)).min(most);
    // Rows of unequal height may not fit the even share: then they stay as they came.
    let even: Vec<Vec<Row>> =
        all.split_inclusive(|row| matches!(row, Row::Bite(number) if number % each == 0)).map(<[Row]>::to_vec).collect();
    let height = |page: &Vec<Row>| page.iter().map(|row| row.height()).sum::<f64>();
    let tallest = pages.iter().map(height).fold(0.0, f64::max);
    if even.len() == pages.len() && even.iter().all(|page| height(page) <= tallest + 1e-9) { even } else { pages }
}

/// The lines that are etched before the grain; none where there is no pixel of one.
pub(super) fn lined<'a>(job: &Job<'a>) -> Option<&'a Lines> {
    job.lines.filter(|lines| lines.plane.count() > 0)
}

/// How many pages the run sheet takes.
pub(super) fn pages(job: &Job) -> usize {
    rows(job).len()
}

/// Where the rows stand.
fn table(job: &Job) -> PageBox {
    let page = job.settings.paper.size();
    let head = PAD + HEAD + if banner(job).is_some() { BANNER } else { 0.0 };
    PageBox::new(PAD, head, page.width.0 - 2.0 * PAD, page.height.0 - PAD - foot_height(job) - head)
}

/// What stands in a frame over the rows where the times are not the printer's own: large words and small ones.
pub(super) fn banner(job: &Job) -> Option<(&'static str, &'static str)> {
    match job.bites.strip_kind {
        StripKind::Measured => None,
        StripKind::Example => Some((EXAMPLE, "These times come from an invented strip. Bite a strip of your own beside this plate first.")),
        StripKind::Missing => Some((
            "NO STRIP YET",
            "No times are printed. Bite a strip of your own and read it, then print this sheet again or write its times in.",
        )),
    }
}

/// The banner's words in their frame.
pub(super) fn banner_in(sheet: &mut Sheet, job: &Job, of: PageBox) {
    let Some((large, small)) = banner(job) else { return };
    let semibold = TypeFace::of(Weight::Semibold);
    sheet.frame(Pen::solid(0.7), of);
    let cap = semibold.cap_height(20.0).0;
    sheet.text(Weight::Semibold, 20.0, Align::Start, (of.x + 4.0, of.y + (of.height + cap) / 2.0), large);
    let beside = of.x + 4.0 + semibold.width(large, 20.0).0 + 6.0;
    let lines = TypeFace::of(Weight::Regular).wrap(small, 10.0, Millimetres(of.right() - 3.0 - beside));
    let first = of.y + (of.height - lines.len() as f64 * line_height(10.0)) / 2.0 + line_height(10.0) * 0.74;
    for (index, line) in lines.iter().enumerate() {
        sheet.text(Weight::Regular, 10.0, Align::Start, (beside, first + index as f64 * line_height(10.0)), line.as_str());
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

/// Page `index` (from 0) of the run sheet, as sheet `page` of `all`.
pub(super) fn sheet(job: &Job, index: usize, (page, all): (usize, usize)) -> Sheet {
    let pages = rows(job);
    let name = if pages.len() > 1 { format!("run sheet {} of {}", index + 1, pages.len()) } else { "run sheet".to_owned() };
    let mut sheet = Sheet::new(name, job.settings.paper.size());
    let table = table(job);
    head(&mut sheet, job, (index, pages.len()), (page, all));
    columns(&mut sheet, &table);
    let rows = pages.get(index).map_or(&[][..], Vec::as_slice);
    let needed: f64 = rows.iter().map(|row| row.height()).sum();
    // What is left over is air, up to a fifth of each row.
    let air = (table.height / needed.max(1.0)).clamp(1.0, 1.2);
    let mut y = table.y;
    for &row in rows {
        let of = PageBox::new(table.x, y, table.width, row.height() * air);
        match row {
            Row::Needle => small_row(&mut sheet, "NEEDLE", &needle_words(job), Some("ground sound"), of),
            Row::Lines => lines_row(&mut sheet, of),
            Row::Grain => small_row(&mut sheet, "GRAIN", "Ground off, plate degreased; only then is the grain laid and fixed.", None, of),
            Row::Paint(number) => paint_row(&mut sheet, job, number, of),
            Row::Nothing(number) => small_row(
                &mut sheet,
                &format!("PAINT {number}"),
                &format!("nothing to paint (tone {} has no area): look over back and bevel", number - 1),
                None,
                of,
            ),
            Row::SecondCoat => small_row(
                &mut sheet,
                "COAT",
                "Second coat on stop-out 1: over half the time in the bath is still to come.",
                Some("not tacky"),
                of,
            ),
            Row::Bite(number) => bite_row(&mut sheet, job, number, of),
        }
        y = of.foot();
    }
    sheet.stroke(LINE, (table.x, y), (table.right(), y));
    let foot_top = sheet.page.height.0 - PAD - foot_height(job);
    pair(&mut sheet, job, (table.x, foot_top), table.width);
    let foot_box = PageBox::new(table.x, sheet.page.height.0 - PAD - FOOT, table.width, FOOT);
    foot(&mut sheet, foot_box);
    sheet
}

fn head(sheet: &mut Sheet, job: &Job, (index, pages): (usize, usize), (page, all): (usize, usize)) {
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
    if pages > 1 {
        facts.push(format!("page {} of {pages}", index + 1));
    }
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

    banner_in(sheet, job, PageBox::new(left, PAD + 24.6, right - left, BANNER - 3.4));
}

/// Left edges of the columns of a BITE row, mm from the paper's left.
struct Columns {
    label: f64,
    small: f64,
    clock: f64,
    total: f64,
    actual: f64,
    temperature: f64,
    remarks: f64,
}

impl Columns {
    fn of(table: &PageBox) -> Self {
        let at = |by: f64| table.x + by;
        Self {
            label: at(15.0),
            small: at(38.0),
            clock: at(66.0),
            total: at(98.0),
            actual: at(134.0),
            temperature: at(150.5),
            remarks: at(163.0),
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

/// A small box and what it is ticked for, its left edge at `x`.
fn small_box(sheet: &mut Sheet, x: f64, middle: f64, side: f64, words: &str) {
    tick_box(sheet, x, middle, side);
    let base = middle + TypeFace::of(Weight::Regular).cap_height(10.0).0 / 2.0;
    sheet.text(Weight::Regular, 10.0, Align::Start, (x + side + 1.6, base), words);
}

/// Words and a line to write on after them, up to `to`.
fn blank(sheet: &mut Sheet, size: f64, (x, y): (f64, f64), to: f64, words: &str) {
    sheet.text(Weight::Regular, size, Align::Start, (x, y), words);
    sheet.stroke(HAIR, (x + TypeFace::of(Weight::Regular).width(words, size).0 + 1.6, y + 0.6), (to, y + 0.6));
}

/// A line to tick that is neither a stop-out's work nor a bite.
fn small_row(sheet: &mut Sheet, label: &str, words: &str, dry: Option<&str>, row: PageBox) {
    sheet.stroke(LINE, (row.x, row.y), (row.right(), row.y));
    let at = Columns::of(&row);
    let middle = row.y + row.height / 2.0;
    let semibold = TypeFace::of(Weight::Semibold);
    tick_box(sheet, row.x + 0.4, middle, SMALL_BOX);
    sheet.text(Weight::Semibold, 12.0, Align::Start, (at.label, middle + semibold.cap_height(12.0).0 / 2.0), label);
    let end = dry.map_or(row.right(), |words| {
        let x = row.right() - 0.4 - SMALL_BOX - 1.6 - TypeFace::of(Weight::Regular).width(words, 10.0).0;
        small_box(sheet, x, middle, SMALL_BOX, words);
        x - 3.0
    });
    let (size, words) = fitted(Weight::Regular, words, &[11.0, 10.5, 10.0, 9.5, 9.0], end - at.small);
    sheet.text(Weight::Regular, size, Align::Start, (at.small, middle + semibold.cap_height(size).0 / 2.0), words);
}

fn paint_row(sheet: &mut Sheet, job: &Job, number: usize, row: PageBox) {
    let figures = &job.stop_outs.list()[number - 1];
    sheet.stroke(LINE, (row.x, row.y), (row.right(), row.y));
    let at = Columns::of(&row);
    let middle = row.y + row.height / 2.0;
    tick_box(sheet, row.x + 0.4, middle, BOX);
    let semibold = TypeFace::of(Weight::Semibold);
    sheet.text(Weight::Semibold, 14.0, Align::Start, (at.label, middle + semibold.cap_height(14.0).0 / 2.0), format!("PAINT {number}"));

    let dry = "not tacky";
    let small = row.right() - 0.4 - SMALL_BOX - 1.6 - TypeFace::of(Weight::Regular).width(dry, 10.0).0;
    small_box(sheet, small, middle, SMALL_BOX, dry);
    let until = small - 37.0;
    blank(sheet, 11.0, (until, middle - 0.6), small - 4.0, "dry until");
    if let Some(minutes) = job.settings.drying_min.filter(|minutes| *minutes > 0.0) {
        sheet.text(Weight::Regular, 10.0, Align::Start, (until, middle + 4.6), format!("{} min, by you", plain(minutes)));
    }

    let work = format!(
        "tone {} · {} cm² · {} · {}",
        number - 1,
        area(figures.new_share * job.plate.face().area_cm2()),
        counted(figures.islands, "island", "islands"),
        minutes(figures.paint_min)
    );
    let then = format!("then {} of the face is covered", percent(figures.covered_share));
    let room = until - 3.0 - at.small - 2.0;
    for (words, up) in [(work, -0.8), (then, 4.4)] {
        let (size, words) = fitted(Weight::Regular, &words, &[11.0, 10.5, 10.0, 9.5, 9.0], room);
        sheet.text(Weight::Regular, size, Align::Start, (at.small + 2.0, middle + up), words);
    }
}

/// What is needled, and by which sheet where that is in the set.
fn needle_words(job: &Job) -> String {
    let by = if job.wants(Kind::Lines) { "by sheet E" } else { "by the drawing" };
    lined(job).map_or_else(String::new, |lines| {
        format!("{}, {} cm, through the ground, {by}.", counted(lines.count, "etched line", "etched lines"), area(lines.length.0 / 10.0))
    })
}

/// The bite of the lines: as a bite's row, its time to be written in.
fn lines_row(sheet: &mut Sheet, row: PageBox) {
    let (at, middle) = bite_boxes(sheet, "LINES", &row);
    let line = row.foot() - 3.4;
    sheet.stroke(HAIR, (at.clock, line), (at.total - 3.0, line));
    for (up, words) in [(-1.4, "time: the shop’s own,"), (3.4, "in no total below")] {
        sheet.text(Weight::Regular, 10.0, Align::Start, (at.total, middle + up), words);
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

/// When to lift the plate for a first look, on this bite's clock: where the total comes to the low end of its range, in whole seconds a hand can
/// do. Where that end lies before this bite begins, half of what the clock is set to (a rule of thumb, no source). Never later than the clock is
/// set; none where there is no range, or where it leaves nothing to wait for.
fn check_at(bites: &BitePlan, number: usize) -> Option<Seconds> {
    let (before, time) = (bites.tones.get(number.checked_sub(1)?)?, bites.tones.get(number)?);
    let low = time.shown_range?.0.0 - before.shown_total.0;
    let at = Seconds(if low > 0.0 { low } else { time.set.0 / 2.0 }).by_hand_short();
    (at.0 > 0.0 && at < time.set).then_some(at)
}

/// What every bite's row has: the large box and the two small ones, the label, the lines to write on. Returns the columns and the row's middle.
fn bite_boxes(sheet: &mut Sheet, label: &str, row: &PageBox) -> (Columns, f64) {
    sheet.stroke(HAIR, (row.x, row.y), (row.right(), row.y));
    let at = Columns::of(row);
    let middle = row.y + row.height / 2.0;
    let semibold = TypeFace::of(Weight::Semibold);
    tick_box(sheet, row.x + 0.4, middle, BOX);
    let (size, label) = fitted(Weight::Semibold, label, &[18.0, 17.0, 16.0], at.small - 1.5 - at.label);
    sheet.text(Weight::Semibold, size, Align::Start, (at.label, middle + semibold.cap_height(size).0 / 2.0), label);
    small_box(sheet, at.small, middle - 3.7, 6.4, "back, bevel");
    small_box(sheet, at.small, middle + 3.7, 6.4, "rinsed");
    let line = row.foot() - 3.4;
    for (from, to) in [(at.actual, at.temperature - 2.5), (at.temperature, at.remarks - 2.5), (at.remarks, row.right() - 0.4)] {
        sheet.stroke(HAIR, (from, line), (to, line));
    }
    (at, middle)
}

fn bite_row(sheet: &mut Sheet, job: &Job, number: usize, row: PageBox) {
    let (at, middle) = bite_boxes(sheet, &format!("BITE {number}"), &row);
    let semibold = TypeFace::of(Weight::Semibold);
    let line = row.foot() - 3.4;
    let Some(time) = job.bites.tones.get(number).filter(|_| job.bites.strip_kind != StripKind::Missing) else {
        for (from, to) in [(at.clock, at.total - 3.0), (at.total, at.actual - 3.0)] {
            sheet.stroke(HAIR, (from, line), (to, line));
        }
        return;
    };
    let (size, clock) = fitted(Weight::Semibold, &time.set.clock(), &[36.0, 32.0, 28.0, 24.0], at.total - 2.0 - at.clock);
    sheet.text(Weight::Semibold, size, Align::Start, (at.clock, middle + semibold.cap_height(size).0 / 2.0), clock);
    let room = at.actual - 2.0 - at.total;
    let ranged = time.shown_range.map(|(from, to)| range(from, to));
    let (first, last) = if ranged.is_some() { (middle - 2.4, middle + 6.2) } else { (middle - 0.6, middle + 5.0) };
    let (size, total) = fitted(Weight::Semibold, &format!("total {}", time.shown_total.clock()), &[14.0, 12.0, 11.0, 10.0], room);
    sheet.text(Weight::Semibold, size, Align::Start, (at.total, first), total);
    if let Some(ranged) = ranged {
        let (size, ranged) = fitted(Weight::Regular, &ranged, &[10.0, 9.5, 9.0], room);
        sheet.text(Weight::Regular, size, Align::Start, (at.total, middle + 2.0), ranged);
    }
    match check_at(job.bites, number) {
        Some(check) => sheet.text(Weight::Regular, 11.0, Align::Start, (at.total, last), format!("check at {}", check.clock())),
        None => blank(sheet, 11.0, (at.total, last), at.actual - 3.0, "check at"),
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
    for (y, weight, sizes, words) in [
        (7.4, Weight::Semibold, &[14.0, 13.0, 12.0][..], "Over by e: take e off the next bite. Under: put it back before painting."),
        (
            13.0,
            Weight::Regular,
            &[12.0, 11.0, 10.0][..],
            "A check is a lift: rinse, look, then the rest of the time. Once painted it is permanent, so plan to pull early.",
        ),
    ] {
        let (size, words) = fitted(weight, words, sizes, of.width);
        sheet.text(weight, size, Align::Start, (of.x, of.y + y), words);
    }
    let half = of.x + of.width * 0.56;
    blank(sheet, 10.0, (of.x, of.y + 22.6), half - 4.0, "Checked and signed off");
    blank(sheet, 10.0, (half, of.y + 22.6), of.right(), "Date and hour");
    let emergency = PageBox::new(of.x, of.y + 27.0, of.width, 12.6);
    sheet.frame(LINE, emergency);
    let base = emergency.y + 8.0;
    sheet.text(Weight::Semibold, 12.0, Align::Start, (of.x + 3.0, base), "In an emergency");
    let start = of.x + 3.0 + TypeFace::of(Weight::Semibold).width("In an emergency", 12.0).0 + 4.0;
    let third = (emergency.right() - 3.0 - start) / 3.0;
    for (index, words) in ["eye wash", "neutraliser", "telephone"].iter().enumerate() {
        let x = start + third * index as f64;
        blank(sheet, 10.0, (x, base), x + third - if index == 2 { 0.0 } else { 3.0 }, words);
    }
    let caution = "The shop's own rules, the safety data sheets and local codes come before anything printed here.";
    let (size, caution) = fitted(Weight::Regular, caution, &[10.0, 9.0], of.width);
    sheet.text(Weight::Regular, size, Align::Start, (of.x, of.foot() - 0.6), caution);
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, bites, kinds_job, letter, says, sheets_by};
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
            tone.shown_range = tone.range;
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
    fn a_first_look_is_never_later_than_the_clock_and_comes_at_the_low_end_of_the_range() {
        let mut bites = bites(4);
        assert_eq!(check_at(&bites, 1), None, "no range, no time to look");
        let ranges = [(0.0, 0.0), (7.4, 12.0), (8.0, 25.0), (30.0, 30.0)];
        for (tone, (from, to)) in bites.tones.iter_mut().zip(ranges) {
            tone.shown_range = Some((Seconds(from), Seconds(to)));
        }
        // Totals are 10, 20 and 30 s. The second range begins before its bite: half the clock. The third leaves nothing to wait for.
        assert_eq!([1, 2, 3].map(|number| check_at(&bites, number)), [Some(Seconds(7.0)), Some(Seconds(5.0)), None]);
        assert_eq!((check_at(&bites, 0), check_at(&bites, 4)), (None, None));
    }

    #[test]
    fn every_bite_has_a_box_of_12_mm_whatever_the_count_of_tones() {
        kinds_job(|job| {
            let mut bites = 0;
            for index in 0..pages(job) {
                let sheet = sheet(job, index, (index + 1, pages(job)));
                assert_legible(&sheet);
                let boxes = sheet.marks.iter().filter_map(|mark| match mark {
                    super::super::Mark::Line { points, closed: true, .. } if points.len() == 4 => {
                        Some((points[1].x - points[0].x, points[2].y - points[1].y))
                    }
                    _ => None,
                });
                let large = boxes.filter(|(wide, high)| (wide - 12.0).abs() < 1e-9 && (high - 12.0).abs() < 1e-9).count();
                let starts = |word: &str| sheet.words().filter(|words| words.starts_with(word)).count();
                let nothing = sheet.words().filter(|words| words.starts_with("nothing to paint")).count();
                assert_eq!(large, starts("BITE ") + starts("PAINT ") - nothing);
                bites += starts("BITE ");
            }
            assert_eq!(bites, job.stop_outs.list().len());
        });
    }

    #[test]
    fn lines_are_bitten_before_the_grain_and_their_time_is_left_to_write() {
        use crate::lines::{LineSettings, found};
        use crate::plane::Plane;
        let resolution = crate::units::PxPerMm(10.0);
        let drawn =
            |one: bool| Plane::from_fn(600, 500, |x, y| if one && (100..103).contains(&x) && (50..300).contains(&y) { 15.0 } else { 85.0 });
        let lines = [true, false].map(|one| found(&drawn(one), resolution, crate::regions::Mark::default(), LineSettings::default()));
        let clocks = |sheets: &[Sheet]| sheets.iter().flat_map(Sheet::words).filter(|words| holds_a_time(words)).count();
        kinds_job(|job| {
            let with = Job { lines: Some(&lines[0]), ..*job };
            let made = |job: &Job| (0..pages(job)).map(|index| sheet(job, index, (index + 1, pages(job)))).collect::<Vec<_>>();
            let (plain, lined) = (made(job), made(&with));
            lined.iter().for_each(assert_legible);
            // Without a pixel of a line, the sheets are as without the stage.
            assert_eq!(made(&Job { lines: Some(&lines[1]), ..*job }), plain);
            let words: Vec<&str> = lined[0].words().collect();
            let place = |wanted: &str| words.iter().position(|words| *words == wanted);
            let order = ["NEEDLE", "LINES", "GRAIN", "BITE 1"].map(place);
            assert!(order.iter().all(Option::is_some) && order.is_sorted(), "{words:?}");
            assert!(says(&lined[0], "1 etched line, 2.5 cm, through the ground, by sheet E") && says(&lined[0], "in no total below"));
            assert_eq!(clocks(&lined), clocks(&plain), "the stage adds no time");
            let bites = |sheets: &[Sheet]| sheets.iter().flat_map(Sheet::words).filter(|words| words.starts_with("BITE ")).count();
            assert_eq!(bites(&lined), bites(&plain));
            assert!(!plain.iter().any(|sheet| says(sheet, "NEEDLE")));
        });
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
