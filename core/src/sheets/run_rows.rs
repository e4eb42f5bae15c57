//! The rows of the run sheet as they are drawn: what to paint, what to bite, what to tick.

use super::frame::{HAIR, LINE, tick_box};
use super::layout::fitted;
use super::mark::{Align, PageBox, Sheet};
use super::run_plan::lined;
use super::{Job, Kind, area, counted, minutes, percent, plain};
use crate::bites::BitePlan;
use crate::strip::StripKind;
use crate::type_face::{TypeFace, Weight};
use crate::units::Seconds;

/// Side of the box of a stop-out and of a bite, mm, and of the boxes beside them. Rows go on to another page before a box shrinks.
const BOX: f64 = 12.0;
const SMALL_BOX: f64 = 7.0;

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

pub(super) fn columns(sheet: &mut Sheet, table: &PageBox) {
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
pub(super) fn blank(sheet: &mut Sheet, size: f64, (x, y): (f64, f64), to: f64, words: &str) {
    sheet.text(Weight::Regular, size, Align::Start, (x, y), words);
    sheet.stroke(HAIR, (x + TypeFace::of(Weight::Regular).width(words, size).0 + 1.6, y + 0.6), (to, y + 0.6));
}

/// A line to tick that is neither a stop-out's work nor a bite.
pub(super) fn small_row(sheet: &mut Sheet, label: &str, words: &str, dry: Option<&str>, row: PageBox) {
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

pub(super) fn paint_row(sheet: &mut Sheet, job: &Job, number: usize, row: PageBox) {
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
pub(super) fn needle_words(job: &Job) -> String {
    let by = if job.wants(Kind::Lines) { "by sheet E" } else { "by the drawing" };
    lined(job).map_or_else(String::new, |lines| {
        format!("{}, {} cm, through the ground, {by}.", counted(lines.count, "etched line", "etched lines"), area(lines.length.0 / 10.0))
    })
}

/// The bite of the lines: as a bite's row, its time to be written in.
pub(super) fn lines_row(sheet: &mut Sheet, row: PageBox) {
    let (at, middle) = bite_boxes(sheet, "LINES", &row);
    let line = row.foot() - 3.4;
    sheet.stroke(HAIR, (at.clock, line), (at.total - 3.0, line));
    for (up, words) in [(-1.4, "time: the shop’s own,"), (3.4, "in no total below")] {
        sheet.text(Weight::Regular, 10.0, Align::Start, (at.total, middle + up), words);
    }
}

/// When to lift the plate for a first look, on this bite's clock: where the total comes to the low end of its range, in whole seconds a hand can
/// do. Where that end lies before this bite begins, half of what the clock is set to (a rule of thumb, no source). Never later than the clock is
/// set; none where there is no range, or where it leaves nothing to wait for.
pub(super) fn check_at(bites: &BitePlan, number: usize) -> Option<Seconds> {
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
    let (size, label) = fitted(Weight::Semibold, label, &[18.0, 17.0, 16.0, 14.0, 12.0, 11.0], at.small - 1.5 - at.label);
    sheet.text(Weight::Semibold, size, Align::Start, (at.label, middle + semibold.cap_height(size).0 / 2.0), label);
    small_box(sheet, at.small, middle - 3.7, 6.4, "back, bevel");
    small_box(sheet, at.small, middle + 3.7, 6.4, "rinsed");
    let line = row.foot() - 3.4;
    for (from, to) in [(at.actual, at.temperature - 2.5), (at.temperature, at.remarks - 2.5), (at.remarks, row.right() - 0.4)] {
        sheet.stroke(HAIR, (from, line), (to, line));
    }
    (at, middle)
}

pub(super) fn bite_row(sheet: &mut Sheet, job: &Job, number: usize, row: PageBox) {
    let (at, middle) = bite_boxes(sheet, &format!("BITE {number}"), &row);
    let semibold = TypeFace::of(Weight::Semibold);
    let line = row.foot() - 3.4;
    let Some(time) = job.bites.tones.get(number).filter(|_| job.bites.strip_kind != StripKind::Missing) else {
        for (from, to) in [(at.clock, at.total - 3.0), (at.total, at.actual - 3.0)] {
            sheet.stroke(HAIR, (from, line), (to, line));
        }
        return;
    };
    if let Some(words) = job.bites.fate(number).instead() {
        let (size, words) = fitted(Weight::Semibold, words, &[18.0, 16.0, 14.0, 12.0], at.total - 2.0 - at.clock);
        sheet.text(Weight::Semibold, size, Align::Start, (at.clock, middle + semibold.cap_height(size).0 / 2.0), words);
        sheet.stroke(HAIR, (at.total, line), (at.actual - 3.0, line));
        return;
    }
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

/// Bites in one dip: one clock, one total, and how many restarts fewer that is so far.
pub(super) fn joined_row(sheet: &mut Sheet, job: &Job, (first, last): (usize, usize), row: PageBox) {
    let label = if last == first + 1 { format!("BITE {first}+{last}") } else { format!("BITE {first}–{last}") };
    let (at, middle) = bite_boxes(sheet, &label, &row);
    let line = row.foot() - 3.4;
    let dip = job.settings.dips.iter().find(|dip| *dip.bites.end() == last && *dip.bites.start() == first);
    let Some(dip) = dip.filter(|_| job.bites.strip_kind != StripKind::Missing && job.bites.fate(last).instead().is_none()) else {
        for (from, to) in [(at.clock, at.total - 3.0), (at.total, at.actual - 3.0)] {
            sheet.stroke(HAIR, (from, line), (to, line));
        }
        return;
    };
    let semibold = TypeFace::of(Weight::Semibold);
    let (size, clock) = fitted(Weight::Semibold, &dip.set.clock(), &[36.0, 32.0, 28.0, 24.0], at.total - 2.0 - at.clock);
    sheet.text(Weight::Semibold, size, Align::Start, (at.clock, middle + semibold.cap_height(size).0 / 2.0), clock);
    let room = at.actual - 2.0 - at.total;
    let (size, total) = fitted(Weight::Semibold, &format!("total {}", dip.shown_total.clock()), &[14.0, 12.0, 11.0, 10.0], room);
    sheet.text(Weight::Semibold, size, Align::Start, (at.total, middle - 0.6), total);
    let fewer = match dip.fewer {
        0 => "one dip".to_owned(),
        1 => "one restart fewer".to_owned(),
        more => format!("{more} restarts fewer"),
    };
    let (size, fewer) = fitted(Weight::Regular, &fewer, &[11.0, 10.0, 9.5, 9.0], room);
    sheet.text(Weight::Regular, size, Align::Start, (at.total, middle + 5.0), fewer);
}

fn range(from: Seconds, to: Seconds) -> String {
    format!("{} to {}", from.clock(), to.clock())
}

#[cfg(test)]
mod tests {
    use super::super::tests::bites;
    use super::*;

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
}
