//! The pull record: a row to write in for each pull. The sheet lies across, for there is much to say of a pull.

use super::Job;
use super::frame::{HAIR, LINE, tick_box};
use super::heading::{HEAD, PAD, head, paragraph};
use super::mark::{Align, PageBox, Sheet};
use crate::plate::SizeMm;
use crate::type_face::Weight;
use crate::units::Seconds;

/// Height of a row, mm: two lines of a hand's writing.
const ROW: f64 = 12.0;
/// Height of the words under the table, mm.
const FOOT: f64 = 12.0;

/// The columns: what is written in them, and their share of the width. The last holds two boxes to tick.
const COLUMNS: [(&str, f64); 9] = [
    ("pull", 0.055),
    ("date", 0.085),
    ("ink, and what is in it", 0.145),
    ("paper", 0.125),
    ("damping", 0.09),
    ("wiping", 0.12),
    ("pressure, blankets", 0.125),
    ("remarks", 0.165),
    ("proof · edition · unique", 0.09),
];

/// The sheet.
pub(super) fn sheet(job: &Job, page: (usize, usize)) -> Sheet {
    let paper = job.settings.paper.size();
    let across = SizeMm { width: paper.height, height: paper.width };
    let mut sheet = Sheet::new("pull record", across);
    head(&mut sheet, job, "Pull record", page);
    let table = PageBox::new(PAD, PAD + HEAD + 5.0, across.width.0 - 2.0 * PAD, across.height.0 - 2.0 * PAD - HEAD - 5.0 - FOOT);
    let rows = libm::floor(table.height / ROW).max(1.0) as usize;
    let foot = table.y + rows as f64 * ROW;
    let mut x = table.x;
    let mut edges = Vec::new();
    for (index, (words, share)) in COLUMNS.iter().enumerate() {
        let inset = if index == 0 { 0.4 } else { 1.6 };
        let (size, words) = super::layout::fitted(Weight::Regular, words, &[10.0, 9.5, 9.0], table.width * share - inset);
        if index + 1 < COLUMNS.len() {
            sheet.text(Weight::Regular, size, Align::Start, (x + inset, table.y - 1.8), words);
        }
        if index > 0 {
            edges.push(x);
        }
        x += table.width * share;
    }
    for x in &edges {
        sheet.stroke(HAIR, (*x, table.y), (*x, foot));
    }
    let boxes = edges.last().copied().unwrap_or(table.x);
    let each = (table.right() - boxes) / 3.0;
    for (index, words) in ["proof", "ed.", "1/1"].iter().enumerate() {
        sheet.text(Weight::Regular, 9.0, Align::Middle, (boxes + each * (index as f64 + 0.5), table.y - 1.8), *words);
    }
    for row in 0..=rows {
        let y = table.y + row as f64 * ROW;
        sheet.stroke(if row == 0 || row == rows { LINE } else { HAIR }, (table.x, y), (table.right(), y));
        if row < rows {
            for index in 0..3 {
                tick_box(&mut sheet, boxes + each * (f64::from(index) + 0.5) - 2.5, y + ROW / 2.0, 5.0);
            }
        }
    }
    let left_out = |bite: usize| job.bites.dropped.contains(&bite);
    let dips: Vec<Seconds> =
        job.bites.tones.iter().enumerate().skip(1).filter(|(bite, _)| !left_out(*bite)).map(|(_, tone)| tone.shown_total).collect();
    let mut words =
        "1/1: one of its kind, as when the plate was bitten on or wiped unlike the others. A proof pulled between bites goes in a row too."
            .to_owned();
    if let Some(last) = dips.last().filter(|_| super::has_times(job) && !job.bites.undecided) {
        let planned = super::counted(dips.len(), "bite", "bites");
        let done = if job.wants(super::Kind::Run) { "; what was done is on the run sheet" } else { "" };
        words = format!("{words} Planned: {planned}, {} in the bath{done}.", last.clock());
    }
    paragraph(&mut sheet, Weight::Regular, 10.0, (table.x, foot + 1.6), table.width, &words);
    sheet
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::*;

    #[test]
    fn rows_are_high_enough_to_write_in_and_lie_across() {
        kinds_job(|job| {
            let sheet = sheet(job, (9, 9));
            assert_legible(&sheet);
            assert!(sheet.page.width > sheet.page.height && says(&sheet, "sheet 9 of 9") && says(&sheet, "bites"));
            assert_eq!(says(&sheet, "run sheet"), super::super::has_times(job), "it is in the set");
            let settings = super::super::SheetSettings { kinds: vec![super::super::Kind::Record], ..job.settings.clone() };
            assert!(!says(&super::sheet(&Job { settings: &settings, ..*job }, (1, 1)), "run sheet"));
            for (words, _) in &COLUMNS[..8] {
                assert!(sheet.words().any(|set| set == *words || set.ends_with('…')), "{words}");
            }
        });
    }
}
