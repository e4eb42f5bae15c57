//! The laying map: the inked plate as it lies face up, where each piece of thin paper goes on it and when, with a box beside each to tick.

use super::Job;
use super::cutting::PapersToLay;
use super::frame::{self, HAIR, LINE, tick_box};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::fitted;
use super::mark::{Align, Mark, PageBox, PagePoint, Sheet};
use super::{View, plain};
use crate::distance::{LONGEST_REACH, squared_to_other};
use crate::hand::area::{self, Raster};
use crate::papers;
use crate::plane::Plane;
use crate::type_face::{TypeFace, Weight};
use crate::units::{PointMm, PxPerMm, Seconds};

/// Room above the picture and at the foot, mm.
const SIGN: f64 = 11.0;
const FOOT: f64 = 32.0;
/// Height of a row of the list and the least width of its columns, mm.
const ROW: f64 = 7.0;
const COLUMN: f64 = 84.0;
/// The map has up to this share of the room.
const MAP: f64 = 0.62;
/// Nobody is to cut by it, so it is never at true size.
const MOST: f64 = 0.9;
/// Size of the numbers on the map, pt.
const NUMBER: f64 = 9.0;

/// How a list is laid out: columns, and rows on the first page and on those after it.
struct List {
    columns: usize,
    first: usize,
    later: usize,
}

fn page_room(job: &Job) -> PageBox {
    let page = job.settings.paper.size();
    let top = PAD + HEAD + 1.0 + SIGN;
    PageBox::new(PAD, top, page.width.0 - 2.0 * PAD, page.height.0 - PAD - FOOT - top)
}

fn map_box(job: &Job) -> (PageBox, f64) {
    let (room, size) = (page_room(job), job.plate.size());
    let scale = (room.width / size.width.0).min(room.height * MAP / size.height.0).min(MOST);
    let (width, height) = (size.width.0 * scale, size.height.0 * scale);
    (PageBox::new(room.x + (room.width - width) / 2.0, room.y + 4.5, width, height), scale)
}

fn list(job: &Job) -> List {
    let room = page_room(job);
    let columns = (libm::floor(room.width / COLUMN) as usize).max(1);
    let rows = |height: f64| (libm::floor(height / ROW).max(0.0) as usize) * columns;
    let map = map_box(job).0;
    List { columns, first: rows(room.foot() - map.foot() - 8.0 - ROW), later: rows(room.height - ROW) }
}

/// How many pages there are.
pub(super) fn pages(job: &Job) -> usize {
    let Some(papers) = &job.settings.papers else { return 0 };
    let List { first, later, .. } = list(job);
    1 + papers.pieces.len().saturating_sub(first).div_ceil(later.max(1))
}

/// All pages.
pub(super) fn sheets(job: &Job, (first, all): (usize, usize)) -> Vec<Sheet> {
    let Some(papers) = &job.settings.papers else { return Vec::new() };
    (0..pages(job)).map(|at| sheet(job, papers, at, (first + at, all))).collect()
}

fn sheet(job: &Job, papers: &PapersToLay, at: usize, number: (usize, usize)) -> Sheet {
    let mut sheet = Sheet::new("laying map", job.settings.paper.size());
    head(&mut sheet, job, "Laying map", number);
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let top = PAD + HEAD + 1.0;
    frame::view_sign(&mut sheet, PageBox::new(left, top, 8.4, 8.4), View::Plate);
    sheet.text(Weight::Semibold, 14.0, Align::Start, (left + 11.0, top + 3.7), View::Plate.words());
    let words = "as the inked plate lies face up: good side down, lowest number first; the lowest numbers end nearest the viewer";
    let (size, words) = fitted(Weight::Regular, words, &[11.0, 10.0, 9.0], right - left - 11.0);
    sheet.text(Weight::Regular, size, Align::Start, (left + 11.0, top + 8.2), words);
    let (room, List { columns, first, later }) = (page_room(job), list(job));
    let (rows, from) = if at == 0 { (first, 0) } else { (later, first + (at - 1) * later) };
    let head_y = if at == 0 {
        let (of, scale) = map_box(job);
        map(&mut sheet, job, papers, of, scale);
        of.foot() + 6.0
    } else {
        room.y
    };
    let shown = from..(from + rows).min(papers.pieces.len());
    listed(&mut sheet, papers, shown, (PageBox::new(left, head_y, room.width, ROW), columns));
    let pasting = papers.paste.pasting(papers.pieces.iter().map(|piece| piece.parts).sum());
    let takes = pasting.takes().0;
    let before = if papers.said.is_empty() { String::new() } else { format!("{} ", papers.said) };
    let words = format!(
        "{before}Times count from the pasting of the first piece, at {} s a piece: all {} take about {}. Paste is open for {}, if a trial says so; the chance that the first is dry before the press is {}. Each piece goes \
         paste towards you, the sheet on top of all.",
        plain(papers.paste.each.0),
        pasting.pieces,
        Seconds(takes.0).clock(),
        papers.paste.open.clock(),
        super::percent(pasting.late().max(1e-6)),
    );
    let foot = sheet.page.height.0 - PAD - FOOT;
    paragraph(&mut sheet, Weight::Regular, 10.0, (left, foot + 3.0), right - left, &words);
    sheet
}

/// The rows of the list.
fn listed(sheet: &mut Sheet, papers: &PapersToLay, shown: std::ops::Range<usize>, (at, columns): (PageBox, usize)) {
    let width = at.width / columns as f64;
    let rows = shown.len().div_ceil(columns).max(1);
    for column in 0..columns.min(shown.len().max(1)) {
        let x = at.x + column as f64 * width;
        sheet.text(Weight::Regular, 9.0, Align::Start, (x + 7.5, at.y + 4.4), "no. · paste at");
        sheet.text(Weight::Regular, 9.0, Align::Start, (x + 33.0, at.y + 4.4), "paper");
    }
    for (place, piece) in shown.clone().map(|i| &papers.pieces[i]).enumerate() {
        let (x, y) = (at.x + (place / rows) as f64 * width, at.y + ROW * (1 + place % rows) as f64);
        let middle = y + ROW / 2.0;
        tick_box(sheet, x + 0.3, middle, 5.0);
        let cap = TypeFace::of(Weight::Semibold).cap_height(11.0).0;
        sheet.text(Weight::Semibold, 11.0, Align::Start, (x + 7.5, middle + cap / 2.0), piece.number.to_string());
        let before: usize = papers.pieces.iter().filter(|other| other.number < piece.number).map(|other| other.parts).sum();
        let when = Seconds(papers.paste.each.0 * before as f64).clock();
        sheet.text(Weight::Regular, 10.0, Align::Start, (x + 19.0, middle + cap / 2.0), when);
        let called = if piece.name.is_empty() { String::new() } else { format!("{}, ", piece.name) };
        let parts = if piece.parts > 1 { format!(", {} parts", piece.parts) } else { String::new() };
        let mind = if piece.turned { format!("{parts}, turned") } else { parts };
        let (size, words) = fitted(Weight::Regular, &format!("{called}{}{mind}", piece.stock.name), &[10.0, 9.0], width - 36.0);
        sheet.text(Weight::Regular, size, Align::Start, (x + 33.0, middle + cap / 2.0), words);
    }
}

/// The plate with its pieces and their numbers. What lies beneath others is drawn where it shows.
fn map(sheet: &mut Sheet, job: &Job, papers: &PapersToLay, of: PageBox, scale: f64) {
    let (size, bevel) = (job.plate.size(), job.plate.bevel().0);
    let on_page = |at: PointMm| PagePoint::new(of.right() - (at.x + bevel) * scale, of.y + (at.y + bevel) * scale);
    frame::metal_edge(sheet, of, of.inset(bevel * scale));
    frame::notch(sheet, of, bevel.max(1.5), job.settings.notch, View::Plate);
    if of.y >= 11.0 {
        sheet.text(Weight::Semibold, 9.0, Align::Start, (of.x + of.width / 2.0 + 3.0, of.y - 1.2), "↑ TOP");
    }
    let mut marks: Vec<Mark> = Vec::new();
    for piece in papers.pieces.iter().filter(|piece| !piece.whole) {
        for [from, to] in papers::cut_lines(&piece.outline) {
            marks.push(Mark::Line { pen: LINE, points: vec![on_page(from), on_page(to)], closed: false });
        }
    }
    let marks = joined(marks);
    // Which piece shows where: the first laid is nearest the viewer.
    let resolution = PxPerMm(2.0_f64.min(700.0 / size.width.0.max(size.height.0)));
    let pixels = |mm: f64| (libm::ceil(mm * resolution.0) as usize).max(1);
    let raster = Raster { width: pixels(size.width.0), height: pixels(size.height.0), resolution };
    let mut shows = Plane::filled(raster.width, raster.height, 0u8);
    for (value, piece) in (1u8..=u8::MAX).zip(&papers.pieces).collect::<Vec<_>>().into_iter().rev() {
        let moved: Vec<PointMm> = piece.outline.iter().map(|point| PointMm { x: point.x + bevel, y: point.y + bevel }).collect();
        area::polygon(raster, &moved, |y, start, end| {
            shows.data_mut()[y * raster.width + start..y * raster.width + end].fill(value);
        });
    }
    let deep = squared_to_other(&shows, LONGEST_REACH.min(raster.width.max(raster.height)));
    let mut best: Vec<Option<(u16, (usize, usize))>> = vec![None; papers.pieces.len() + 1];
    for y in 0..raster.height {
        for x in 0..raster.width {
            // The plate's own edge bounds a piece as well.
            let edge = x.min(y).min(raster.width - 1 - x).min(raster.height - 1 - y) + 1;
            let (value, depth) = (usize::from(shows.at(x, y)), deep.at(x, y).min(u16::try_from(edge * edge).unwrap_or(u16::MAX)));
            if value > 0 && best[value].is_none_or(|(deepest, _)| depth > deepest) {
                best[value] = Some((depth, (x, y)));
            }
        }
    }
    let face = TypeFace::of(Weight::Semibold);
    let mut placed: Vec<PageBox> = Vec::new();
    let mut numbers = Vec::new();
    for (at, piece) in papers.pieces.iter().enumerate() {
        let words = piece.number.to_string();
        let (wide, high) = (face.width(&words, NUMBER).0, face.cap_height(NUMBER).0);
        let target = best[at + 1].map_or_else(
            || middle_of(&piece.outline),
            |(_, (x, y))| PointMm { x: (x as f64 + 0.5) / resolution.0 - bevel, y: (y as f64 + 0.5) / resolution.0 - bevel },
        );
        let target = on_page(target);
        let centre = free(target, (wide, high), &placed, of);
        let label = PageBox::new(centre.x - wide / 2.0, centre.y - high / 2.0, wide, high);
        placed.push(label);
        let far = libm::hypot(centre.x - target.x, centre.y - target.y);
        if far > 2.0 {
            let share = (libm::hypot(wide, high) / 2.0 + 0.3) / far;
            let from = PagePoint::new(centre.x + (target.x - centre.x) * share, centre.y + (target.y - centre.y) * share);
            numbers.push(Mark::Strokes { pen: HAIR, strokes: vec![[from, target]] });
        }
        let around = PageBox::new(label.x - 0.5, label.y - 0.5, label.width + 1.0, label.height + 1.0);
        numbers.push(Mark::Blank(around));
        numbers.push(Mark::Text(super::mark::Text {
            at: PagePoint::new(centre.x, centre.y + high / 2.0),
            words,
            size: NUMBER,
            weight: Weight::Semibold,
            align: Align::Middle,
            upwards: false,
        }));
    }
    sheet.marks.push(Mark::Within { clip: of, marks: marks.into_iter().chain(numbers).collect() });
}

fn middle_of(points: &[PointMm]) -> PointMm {
    let count = points.len().max(1) as f64;
    PointMm { x: points.iter().map(|p| p.x).sum::<f64>() / count, y: points.iter().map(|p| p.y).sum::<f64>() / count }
}

/// A place for a number as near to its target as the numbers before it leave.
fn free(target: PagePoint, (wide, high): (f64, f64), placed: &[PageBox], of: PageBox) -> PagePoint {
    let held = |at: PagePoint| {
        let margin = 0.6;
        PagePoint::new(
            at.x.clamp(of.x + wide / 2.0 + margin, (of.right() - wide / 2.0 - margin).max(of.x + wide / 2.0 + margin)),
            at.y.clamp(of.y + high / 2.0 + margin, (of.foot() - high / 2.0 - margin).max(of.y + high / 2.0 + margin)),
        )
    };
    let clear = |at: PagePoint| {
        placed.iter().all(|other| {
            let (x, y) = (other.x + other.width / 2.0, other.y + other.height / 2.0);
            (x - at.x).abs() > (other.width + wide) / 2.0 + 0.8 || (y - at.y).abs() > (other.height + high) / 2.0 + 0.8
        })
    };
    // A spiral: the sunflower's, each turn by the golden angle (Vogel, Math. Biosci. 44, 1979, 179–189).
    let turn = |i: u32| {
        let (far, angle) = (0.9 * libm::sqrt(f64::from(i)), f64::from(i) * 2.399_963_229_728_653);
        held(PagePoint::new(target.x + far * libm::cos(angle), target.y + far * libm::sin(angle)))
    };
    (0..900).map(turn).find(|&at| clear(at)).unwrap_or_else(|| held(target))
}

/// Strokes that meet become one line.
fn joined(marks: Vec<Mark>) -> Vec<Mark> {
    let mut all: Vec<Mark> = Vec::with_capacity(marks.len());
    for mark in marks {
        if let (Some(Mark::Line { points, .. }), Mark::Line { points: next, .. }) = (all.last_mut(), &mark)
            && points.last() == next.first()
        {
            points.extend(next.iter().skip(1));
            continue;
        }
        all.push(mark);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::cutting::tests::{PASTE, ell};
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::super::{Kind, SheetSet};
    use super::*;
    use crate::papers::ToLay;

    #[test]
    fn it_shows_the_plate_face_up_with_a_box_and_a_time_for_each() {
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 10 {
                return;
            }
            let size = job.plate.face();
            let scale = (size.width.0 / 110.0).min(size.height.0 / 170.0);
            // Two at the left of the print, one over the other.
            let low = |mut piece: ToLay| {
                piece.outline.iter_mut().for_each(|point| point.y += 60.0 * scale);
                piece
            };
            let pieces = vec![ell(1, scale, "kozo cream"), low(ell(2, scale, "gampi-like tissue"))];
            let mut settings = job.settings.clone();
            settings.kinds = vec![Kind::Laying];
            assert_eq!(SheetSet::of(Job { settings: &settings, ..*job }).pages(), 0);
            settings.papers = Some(PapersToLay { pieces, paste: PASTE, said: String::new() });
            let set = SheetSet::of(Job { settings: &settings, ..*job });
            assert_eq!((set.pages(), set.entries()[0].view.as_deref()), (1, Some("PLATE VIEW")));
            let sheet = set.around(0).unwrap().1.remove(0);
            assert_legible(&sheet);
            assert!(
                says(&sheet, "PLATE VIEW") && says(&sheet, "lowest numbers end nearest") && says(&sheet, "0:11") && says(&sheet, "gampi")
            );
            // The open time may be the example's: nobody's trial is claimed.
            let words = sheet.words().collect::<Vec<_>>().join(" ");
            assert!(words.contains("Paste is open for 8:00, if a trial says so"), "{words}");
            let numbers: Vec<f64> = sheet
                .marks
                .iter()
                .filter_map(|mark| if let Mark::Within { marks, .. } = mark { Some(marks) } else { None })
                .flatten()
                .filter_map(|mark| if let Mark::Text(text) = mark { Some(text.at.x) } else { None })
                .collect();
            assert_eq!(numbers.len(), 2);
            if size.width.0 > 100.0 {
                // Left of the print is right on the plate.
                assert!(numbers[0] > sheet.page.width.0 / 2.0, "{numbers:?}");
            }
        });
    }

    #[test]
    fn two_hundred_are_listed_on_as_many_pages_as_it_takes() {
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 2 {
                return;
            }
            let pieces: Vec<ToLay> = (1..=200).map(|i| ell(i, 0.01 * i as f64, "kozo cream")).collect();
            let mut settings = job.settings.clone();
            settings.kinds = vec![Kind::Laying];
            settings.papers = Some(PapersToLay { pieces, paste: PASTE, said: String::new() });
            let job = Job { settings: &settings, ..*job };
            let all = sheets(&job, (1, pages(&job)));
            let boxes: usize = all.iter().map(|sheet| sheet.words().filter(|words| words.contains("kozo")).count()).sum();
            assert_eq!(boxes, 200);
            all.iter().for_each(assert_legible);
        });
    }
}
