//! What stands round the rows of a sheet for the bath: the banner of times that are not the printer's own, the pair's hazards, the sign-off.

use super::frame::LINE;
use super::layout::{fitted, line_height};
use super::mark::{Align, PageBox, Pen, Sheet};
use super::run::PAD;
use super::run_rows::blank;
use super::{EXAMPLE, Job};
use crate::strip::StripKind;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// Height of what is signed and of the frame under it, and of that frame, mm.
pub(super) const SIGN_OFF: f64 = 17.0;
const EMERGENCY: f64 = 12.6;
/// Type size of the pair's hazards, points.
const HAZARD: f64 = 9.0;

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

/// Height of what is said of the pair; 0 where it is not named.
pub(super) fn pair_height(job: &Job) -> f64 {
    let lines = hazards(job).len();
    if lines > 0 { line_height(HAZARD) * (lines as f64 + 1.6) } else { 0.0 }
}

/// Metal and mordant, that the shop signs them off, and what they do.
pub(super) fn pair(sheet: &mut Sheet, job: &Job, (x, y): (f64, f64), width: f64) {
    let Some(judged) = &job.settings.judged else { return };
    let mut y = y + line_height(HAZARD) * 1.4;
    let (size, words) = fitted(Weight::Semibold, &format!("{}: {}", judged.verdict.words(), judged.pair), &[11.0, 10.0, 9.0], width);
    sheet.text(Weight::Semibold, size, Align::Start, (x, y), words);
    for line in hazards(job) {
        y += line_height(HAZARD);
        sheet.text(Weight::Regular, HAZARD, Align::Start, (x, y), line);
    }
}

/// Who checked it, and whom to reach in an emergency: `of` begins at the first line's foot.
pub(super) fn sign_off(sheet: &mut Sheet, of: PageBox) {
    let half = of.x + of.width * 0.56;
    blank(sheet, 10.0, (of.x, of.y), half - 4.0, "Checked and signed off");
    blank(sheet, 10.0, (half, of.y), of.right(), "Date and hour");
    let emergency = PageBox::new(of.x, of.foot() - EMERGENCY, of.width, EMERGENCY);
    sheet.frame(LINE, emergency);
    let base = emergency.y + 8.0;
    sheet.text(Weight::Semibold, 12.0, Align::Start, (of.x + 3.0, base), "In an emergency");
    let start = of.x + 3.0 + TypeFace::of(Weight::Semibold).width("In an emergency", 12.0).0 + 4.0;
    let third = (emergency.right() - 3.0 - start) / 3.0;
    for (index, words) in ["eye wash", "neutraliser", "telephone"].iter().enumerate() {
        let x = start + third * index as f64;
        blank(sheet, 10.0, (x, base), x + third - if index == 2 { 0.0 } else { 3.0 }, words);
    }
}
