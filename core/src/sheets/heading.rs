//! The head of the sheets that carry no picture to trace: what the sheet is, whose plate, which strip, which sheet of how many.

use super::frame;
use super::layout::{fitted, line_height};
use super::mark::{Align, PageBox, Sheet};
use super::{Job, View, plain, strip_line};
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// Distance of everything from the edge of the paper, mm: room for a clip.
pub(super) const PAD: f64 = 12.0;
/// Height of a head below [`PAD`], mm.
pub(super) const HEAD: f64 = 26.0;

/// Sets the head: `name` large, the work's title beside it, two lines of facts.
pub(super) fn head(sheet: &mut Sheet, job: &Job, name: &str, (page, all): (usize, usize)) {
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let mut end = right;
    if !job.settings.letter.is_empty() {
        let plate = PageBox::new(right - 14.5, PAD, 14.5, 16.0);
        frame::plate_letter(sheet, plate, &job.settings.letter, job.settings.notch, View::Plate);
        end = plate.x - 5.0;
    }
    sheet.text(Weight::Semibold, 28.0, Align::Start, (left - 0.3, PAD + 7.2), name);
    let beside = left + TypeFace::of(Weight::Semibold).width(name, 28.0).0 + 6.0;
    let (size, title) = fitted(Weight::Regular, &job.settings.title, &[18.0, 16.0, 14.0, 12.0, 11.0, 10.0, 9.0], end - beside);
    sheet.text(Weight::Regular, size, Align::Start, (beside, PAD + 7.2), title);
    let (size, facts) = fitted(Weight::Regular, &plate_facts(job).join(" · "), &[11.0, 10.0, 9.0], end - left);
    sheet.text(Weight::Regular, size, Align::Start, (left, PAD + 15.0), facts);
    let mut lines = vec![strip_line(job.bites)];
    let scaled = job.settings.scaled.clone().filter(|_| job.stop().is_none());
    lines.extend([&scaled, &job.settings.bath, &job.settings.date].into_iter().flatten().filter(|words| !words.is_empty()).cloned());
    lines.push(format!("sheet {page} of {all}"));
    let (size, line) = fitted(Weight::Regular, &lines.join(" · "), &[11.0, 10.0, 9.0], end - left);
    sheet.text(Weight::Regular, size, Align::Start, (left, PAD + 20.6), line);
}

/// The plate in mm and inch, its bevel, its tones and bites.
pub(super) fn plate_facts(job: &Job) -> Vec<String> {
    let size = job.plate.size();
    let inches = |length: Millimetres| format!("{:.2}", length.inches());
    let mut facts =
        vec![format!("plate {} × {} mm ({} × {} in)", plain(size.width.0), plain(size.height.0), inches(size.width), inches(size.height))];
    let bevel = job.plate.bevel().0;
    if bevel > 0.0 {
        facts.push(format!("bevel {} mm", plain(bevel)));
    }
    facts.push(format!("{} tones", job.stop_outs.tones().get()));
    facts
}

/// A paragraph from `y` down; returns where it ends.
pub(super) fn paragraph(sheet: &mut Sheet, weight: Weight, size: f64, (x, y): (f64, f64), width: f64, words: &str) -> f64 {
    let mut y = y;
    for line in TypeFace::of(weight).wrap(words, size, Millimetres(width)) {
        y += line_height(size);
        sheet.text(weight, size, Align::Start, (x, y - line_height(size) * 0.22), line);
    }
    y
}
