//! The record of the pulls, as it was written down: in words, several a page, each with its photograph where it has one. For the folder the prints
//! lie in, not for the bench.

use super::frame::HAIR;
use super::heading::{HEAD, PAD, head};
use super::layout::{fitted, line_height};
use super::mark::{Align, Mark, PageBox, Sheet};
use super::placed::paged;
use super::{Job, counted};
use crate::jpeg_file::JpegFile;
use crate::pulls::{Kind, Pull, Record, edition_list, edition_said, label, lines, put_right};
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

/// A record with its photographs, as it prints.
#[derive(Clone, Debug, PartialEq)]
pub struct Pulls {
    /// The record; its own photographs' bytes are not looked at.
    pub record: Record,
    /// Its photographs, by their ids.
    pub photos: BTreeMap<String, Arc<JpegFile>>,
}

impl Pulls {
    /// A record as it prints. A photograph that is none is left out: its pull prints without one.
    #[must_use]
    pub fn of(record: &Record) -> Self {
        let used = |id: &str| record.pulls.iter().any(|pull| pull.now.photo.as_ref().is_some_and(|shown| shown.id == id));
        let photos = record.photos.iter().filter(|photo| used(&photo.id));
        let photos = photos.filter_map(|photo| Some((photo.id.clone(), Arc::new(JpegFile::from_base64(&photo.jpeg).ok()?)))).collect();
        let mut record = record.clone();
        record.photos.clear();
        Self { record, photos }
    }
}

/// The photograph stands in a box of this size at the right, and so far from the words, mm.
const PHOTO: (f64, f64) = (52.0, 42.0);
const GAP: f64 = 5.0;
/// White above and below a pull, mm.
const WHITE: f64 = 2.2;
/// What a pull's head, its words and its corrections are set in, points.
const HEADED: f64 = 13.0;
const SIZE: f64 = 10.5;
const SMALL: f64 = 9.5;
/// Corrections that a page has room for; of earlier ones there is their number.
const CORRECTIONS: usize = 4;
/// Most lines of one pull: a page holds them.
const MOST_LINES: usize = 40;
/// Height of the line at the foot, mm.
const FOOT: f64 = 7.0;

/// A pull cut into lines.
struct Block<'a> {
    pull: &'a Pull,
    label: String,
    /// Its photograph, where it has one; nothing in it where that is not there, as while it is only asked how many pages there are.
    photo: Option<Option<&'a Arc<JpegFile>>>,
    /// Size of the type and words.
    lines: Vec<(f64, String)>,
    height: f64,
}

fn block<'a>(pulls: &'a Pulls, pull: &'a Pull, width: f64) -> Block<'a> {
    let photo = pull.now.photo.as_ref().map(|shown| pulls.photos.get(&shown.id));
    let wide = if photo.is_some() { width - PHOTO.0 - GAP } else { width };
    let face = TypeFace::of(Weight::Regular);
    let mut set: Vec<(f64, String)> = Vec::new();
    for (name, words) in lines(&pull.now) {
        let words = if name == "words" { words } else { format!("{name}: {words}") };
        // A paragraph of the printer's stays one.
        for part in words.lines() {
            set.extend(face.wrap(part, SIZE, Millimetres(wide)).into_iter().map(|line| (SIZE, line)));
        }
    }
    let all = put_right(pull, &pulls.record);
    let before = all.len().saturating_sub(CORRECTIONS);
    if before > 0 {
        set.push((
            SMALL,
            format!("{} before these {}, in the table of the pulls.", counted(before, "correction", "corrections"), all.len() - before),
        ));
    }
    for words in &all[before..] {
        set.extend(face.wrap(words, SMALL, Millimetres(wide)).into_iter().map(|line| (SMALL, line)));
    }
    if set.len() > MOST_LINES {
        set.truncate(MOST_LINES - 1);
        set.push((SMALL, "… the rest stands in the table of the pulls.".to_owned()));
    }
    let words: f64 = set.iter().map(|(size, _)| line_height(*size)).sum();
    let high = (line_height(HEADED) + words).max(if photo.is_some() { PHOTO.1 } else { 0.0 });
    Block { pull, label: label(&pull.now, pulls.record.edition), photo, lines: set, height: high + 2.0 * WHITE }
}

/// The size of a photograph in its box.
fn fitting(file: &JpegFile) -> (f64, f64) {
    let (width, height) = (file.width() as f64, file.height() as f64);
    let scale = (PHOTO.0 / width).min(PHOTO.1 / height);
    (width * scale, height * scale)
}

/// What the record holds, in a few sentences.
fn summary(record: &Record) -> String {
    let count = |kind: Kind| record.standing().filter(|pull| pull.now.kind == kind).count();
    let struck = record.pulls.len() - record.standing().count();
    let parts: Vec<String> = [
        (count(Kind::Proof), "proof", "proofs"),
        (count(Kind::Edition), "of the edition", "of the edition"),
        (count(Kind::Unique), "unique", "unique"),
        (struck, "struck out", "struck out"),
    ]
    .into_iter()
    .filter(|(count, ..)| *count > 0)
    .map(|(count, one, many)| counted(count, one, many))
    .collect();
    let mut said = vec![format!("{} written down: {}.", counted(record.pulls.len(), "pull", "pulls"), parts.join(", "))];
    said.extend(edition_said(record));
    said.join(" ")
}

struct Plan<'a> {
    blocks: Vec<Block<'a>>,
    summary: Vec<String>,
    pages: Vec<Range<usize>>,
}

/// Where the words begin below the head, mm from the paper's top.
const TOP: f64 = PAD + HEAD + 2.0;

fn plan<'a>(job: &Job<'_>, pulls: &'a Pulls) -> Plan<'a> {
    let paper = job.settings.paper.size();
    let width = paper.width.0 - 2.0 * PAD;
    let blocks: Vec<Block<'a>> = pulls.record.pulls.iter().map(|pull| block(pulls, pull, width)).collect();
    let summary = TypeFace::of(Weight::Regular).wrap(&summary(&pulls.record), SIZE, Millimetres(width));
    let heights: Vec<f64> = blocks.iter().map(|block| block.height).collect();
    let room = paper.height.0 - PAD - FOOT - TOP;
    let pages = paged(&heights, room - summary.len() as f64 * line_height(SIZE) - 2.0, room);
    Plan { blocks, summary, pages }
}

/// Height of a row of the edition at a glance, mm, and how many columns of them a page has.
const ROW: f64 = 5.4;
const COLUMNS: usize = 2;

/// How many rows of the edition a page holds.
fn rows_a_page(job: &Job) -> usize {
    let room = job.settings.paper.size().height.0 - PAD - FOOT - TOP - line_height(HEADED) - 2.0;
    (libm::floor(room / ROW).max(1.0) as usize) * COLUMNS
}

/// How many pages there are: the edition at a glance, where there is one, and each pull in words.
pub(super) fn pages(job: &Job, pulls: &Pulls) -> usize {
    let glance = edition_list(&pulls.record).len().div_ceil(rows_a_page(job));
    if pulls.record.pulls.is_empty() { 0 } else { plan(job, pulls).pages.len() + glance }
}

/// The edition at a glance, from page `first` of `all`.
fn glance(job: &Job, record: &Record, (first, all): (usize, usize)) -> Vec<Sheet> {
    let rows = edition_list(record);
    let each = rows_a_page(job);
    let mut sheets = Vec::new();
    for (index, part) in rows.chunks(each).enumerate() {
        let mut sheet = Sheet::new("record of the pulls", job.settings.paper.size());
        head(&mut sheet, job, "Record of the pulls", (first + index, all));
        let right = sheet.page.width.0 - PAD;
        let top = TOP + line_height(HEADED) + 2.0;
        let size = record.edition.map_or_else(String::new, |size| format!(" of {size}"));
        sheet.text(
            Weight::Semibold,
            HEADED,
            Align::Start,
            (PAD, TOP + line_height(HEADED) * 0.78),
            format!("The edition{size} at a glance"),
        );
        let gap = 8.0;
        let width = (right - PAD - gap) / COLUMNS as f64;
        // Down the left column first, as far as there is something for it.
        let down = part.len().div_ceil(COLUMNS).max((each / COLUMNS).min(part.len()));
        for (place, (numbers, words)) in part.iter().enumerate() {
            let (column, line) = (place / down, place % down);
            let x = PAD + column as f64 * (width + gap);
            let y = top + (line + 1) as f64 * ROW;
            sheet.stroke(HAIR, (x, y), (x + width, y));
            sheet.text(Weight::Semibold, SIZE, Align::Start, (x, y - 1.5), numbers.clone());
            let after = (TypeFace::of(Weight::Semibold).width(numbers, SIZE).0 + 3.0).max(14.0);
            let (size, words) = fitted(Weight::Regular, words, &[SIZE, 9.5, 9.0], width - after);
            sheet.text(Weight::Regular, size, Align::Start, (x + after, y - 1.5), words);
        }
        foot(&mut sheet);
        sheets.push(sheet);
    }
    sheets
}

fn foot(sheet: &mut Sheet) {
    let words = "What the printer wrote down; corrections keep what stood there before them.";
    sheet.text(Weight::Regular, 9.0, Align::Start, (PAD, sheet.page.height.0 - PAD), words);
}

/// Draws all of them; the first is page `first` of `all`.
pub(super) fn sheets(job: &Job, pulls: &Pulls, (first, all): (usize, usize)) -> Vec<Sheet> {
    let plan = plan(job, pulls);
    let mut sheets = glance(job, &pulls.record, (first, all));
    let first = first + sheets.len();
    for (index, blocks) in plan.pages.iter().enumerate() {
        let mut sheet = Sheet::new("record of the pulls", job.settings.paper.size());
        head(&mut sheet, job, "Record of the pulls", (first + index, all));
        let mut y = TOP;
        if index == 0 {
            for line in &plan.summary {
                y += line_height(SIZE);
                sheet.text(Weight::Regular, SIZE, Align::Start, (PAD, y - line_height(SIZE) * 0.22), line.clone());
            }
            y += 2.0;
        }
        for block in &plan.blocks[blocks.clone()] {
            set(&mut sheet, block, y);
            y += block.height;
        }
        let right = sheet.page.width.0 - PAD;
        sheet.stroke(HAIR, (PAD, y), (right, y));
        foot(&mut sheet);
        sheets.push(sheet);
    }
    sheets
}

fn set(sheet: &mut Sheet, block: &Block<'_>, top: f64) {
    let right = sheet.page.width.0 - PAD;
    sheet.stroke(HAIR, (PAD, top), (right, top));
    let mut edge = right;
    if let Some(photo) = block.photo {
        edge = right - PHOTO.0 - GAP;
        if let Some(file) = photo {
            let (width, height) = fitting(file);
            sheet.marks.push(Mark::Photo { of: PageBox::new(right - width, top + WHITE, width, height), file: Arc::clone(file) });
        } else {
            let of = PageBox::new(right - PHOTO.0, top + WHITE, PHOTO.0, PHOTO.1);
            sheet.frame(HAIR, of);
            sheet.text(Weight::Regular, 9.0, Align::Middle, (of.x + PHOTO.0 / 2.0, of.y + PHOTO.1 / 2.0), "the photograph is not here");
        }
    }
    let mut y = top + WHITE + line_height(HEADED);
    let base = y - line_height(HEADED) * 0.22;
    let number = format!("Pull {}", block.pull.number);
    sheet.text(Weight::Semibold, HEADED, Align::Start, (PAD, base), number.clone());
    let after = PAD + TypeFace::of(Weight::Semibold).width(&number, HEADED).0 + 4.0;
    sheet.text(Weight::Regular, HEADED, Align::Start, (after, base), block.label.clone());
    sheet.text(Weight::Regular, 11.0, Align::End, (edge, base), block.pull.now.day.clone());
    if block.pull.now.struck {
        let y = base - 1.5;
        sheet.stroke(HAIR, (PAD, y), (PAD + TypeFace::of(Weight::Semibold).width(&number, HEADED).0, y));
    }
    for (size, words) in &block.lines {
        y += line_height(*size);
        sheet.text(Weight::Regular, *size, Align::Start, (PAD, y - line_height(*size) * 0.22), words.clone());
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::super::words_apart::faults;
    use super::super::{Kind as SheetKind, SheetSet};
    use super::*;
    use crate::pulls::tests::{demo, facts, pull};
    use crate::pulls::{Correction, Photo, Shown};
    use base64::Engine as _;

    fn record() -> Record {
        let mut record = demo();
        record.edition = Some(12);
        let jpeg = base64::engine::general_purpose::STANDARD.encode(crate::jpeg_file::tests::jpeg(60, 40));
        record.photos = vec![Photo { id: "a".into(), jpeg }, Photo { id: "none".into(), jpeg: "AAAA".into() }];
        for (index, id) in [(1, "a"), (2, "none"), (4, "a")] {
            record.pulls[index].now.photo = Some(Shown { id: id.into(), alt: "the pull on the drying rack".into() });
        }
        record.pulls[5].now.words = "a line of words without an end ".repeat(64);
        let was = facts(Kind::Proof, None);
        let correction = Correction { day: "2026-03-15".into(), note: "a slip, ".repeat(60), was };
        record.pulls[6].corrections = vec![correction; 20];
        for number in 9..60 {
            record.pulls.push(pull(number, Kind::Edition, Some(number)));
        }
        record.pulls[20].now.struck = true;
        record
    }

    #[test]
    fn every_pull_is_there_once_and_its_photograph_beside_it() {
        let pulls = Pulls::of(&record());
        assert_eq!(pulls.photos.len(), 1);
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 3 {
                return;
            }
            let mut settings = job.settings.clone();
            settings.kinds = vec![SheetKind::Pulls];
            assert_eq!(SheetSet::of(Job { settings: &settings, ..*job }).pages(), 0);
            settings.pulls = Some(pulls.clone());
            let set = SheetSet::of(Job { settings: &settings, ..*job });
            let (_, sheets) = set.around(0).unwrap();
            assert!(sheets.len() == set.pages() && sheets.len() < 16, "{}", sheets.len());
            assert_eq!(set.entries()[0].view, None);
            for sheet in &sheets {
                assert_legible(sheet);
                assert_eq!(faults(sheet), Vec::<String>::new());
            }
            for pull in &pulls.record.pulls {
                let heads = sheets.iter().flat_map(Sheet::words).filter(|words| *words == format!("Pull {}", pull.number)).count();
                assert_eq!(heads, 1, "pull {}", pull.number);
            }
            let photos = sheets.iter().flat_map(|sheet| &sheet.marks).filter(|mark| matches!(mark, Mark::Photo { .. })).count();
            assert_eq!(photos, 2, "the one that is none is left out");
            assert!(sheets.iter().any(|sheet| says(sheet, "photograph is not here")));
            // As many pages while the photographs' bytes are left out.
            let mut bare = settings.clone();
            bare.pulls = Some(Pulls { record: pulls.record.clone(), photos: BTreeMap::new() });
            assert_eq!(SheetSet::of(Job { settings: &bare, ..*job }).pages(), sheets.len());
            assert!(says(&sheets[1], "59 pulls written down") && says(&sheets[1], "edition of 12"));
            assert!(says(&sheets[0], "The edition of 12 at a glance") && says(&sheets[0], "pull 9, 2026-03-14, rag 300 g"));
            assert!(sheets.iter().any(|sheet| says(sheet, "16 corrections before these 4")));
            assert!(sheets.iter().any(|sheet| says(sheet, "struck out")));
        });
    }
}
