//! Touches by hand, PRINT VIEW: where the dry print is touched, numbered, with the printer's own words. Nothing is added to them.

use super::frame::{self, HAIR, LINE, tick_box};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::{fitted, line_height};
use super::mark::{Align, Mark, PageBox, PagePoint, Sheet};
use super::placed::{numbers, paged};
use super::{Job, View, counted, plain};
use crate::pulls::Touch;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;
use std::ops::Range;

/// Room for the sign of the view above the picture, and for the words at the foot, mm.
const SIGN: f64 = 11.0;
const FOOT: f64 = 13.0;
/// White between the picture and the list: numbers may stand there, mm.
const GAP: f64 = 7.0;
/// The picture is never larger than this share of its size, but a small one is this long, mm: nobody is to trace it.
const MOST: f64 = 0.8;
const SMALL: f64 = 70.0;
/// What the words of a touch are set in, points, and where they begin beside its box and its number, mm.
const SIZE: f64 = 11.0;
const INDENT: f64 = 17.0;

/// The words of a touch, and where it is, cut into lines.
fn words(touch: &Touch, width: f64) -> Vec<String> {
    let at = format!("({} mm from the left, {} mm from the top)", plain(touch.at.0), plain(touch.at.1));
    let said = touch.words.trim();
    let all = if said.is_empty() { at } else { format!("{said} {at}") };
    TypeFace::of(Weight::Regular).wrap(&all, SIZE, Millimetres(width))
}

fn height(lines: &[String]) -> f64 {
    (lines.len() as f64 * line_height(SIZE) + 2.4).max(8.0)
}

/// How the pages are laid out: the picture on the first, the list from there on.
struct Plan {
    picture: PageBox,
    scale: f64,
    rows: Vec<Vec<String>>,
    pages: Vec<Range<usize>>,
    /// Where the list begins on the first page, and on every other.
    begin: (f64, f64),
}

fn plan(job: &Job) -> Plan {
    let paper = job.settings.paper.size();
    let (left, right) = (PAD, paper.width.0 - PAD);
    let rows: Vec<Vec<String>> = job.settings.touches.iter().map(|touch| words(touch, right - left - INDENT)).collect();
    let heights: Vec<f64> = rows.iter().map(|lines| height(lines)).collect();
    let (top, foot) = (PAD + HEAD + 1.0 + SIGN, paper.height.0 - PAD - FOOT);
    let face = job.plate.face();
    // The list has what it needs, up to half of the room.
    let list = heights.iter().sum::<f64>().min((foot - top) / 2.0);
    let longest = face.width.0.max(face.height.0);
    let most = MOST.max(SMALL / longest);
    let scale = ((right - left) / face.width.0).min((foot - top - list - GAP) / face.height.0).min(most);
    let picture = PageBox::new(left, top, face.width.0 * scale, face.height.0 * scale);
    let begin = (picture.foot() + GAP, PAD + HEAD + 5.0);
    let pages = paged(&heights, foot - begin.0, foot - begin.1);
    Plan { picture, scale, rows, pages, begin }
}

/// How many pages there are.
pub(super) fn pages(job: &Job) -> usize {
    if job.settings.touches.is_empty() { 0 } else { plan(job).pages.len() }
}

/// Draws all of them; the first is page `first` of `all`.
pub(super) fn sheets(job: &Job, (first, all): (usize, usize)) -> Vec<Sheet> {
    let plan = plan(job);
    plan.pages.iter().enumerate().map(|(index, rows)| sheet(job, &plan, (index, rows.clone()), (first + index, all))).collect()
}

fn sheet(job: &Job, plan: &Plan, (index, rows): (usize, Range<usize>), page: (usize, usize)) -> Sheet {
    let mut sheet = Sheet::new("touches by hand", job.settings.paper.size());
    head(&mut sheet, job, "Touches by hand", page);
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let mut missing = 0;
    let mut y = plan.begin.1;
    if index == 0 {
        let top = PAD + HEAD + 1.0;
        frame::view_sign(&mut sheet, PageBox::new(left, top, 8.4, 8.4), View::Print);
        sheet.text(Weight::Semibold, 14.0, Align::Start, (left + 11.0, top + 3.7), View::Print.words());
        let said = "as the pull lies face up: not mirrored";
        let (size, said) = fitted(Weight::Regular, said, &[11.0, 10.0, 9.0], right - left - 11.0);
        sheet.text(Weight::Regular, size, Align::Start, (left + 11.0, top + 8.2), said);
        missing = picture(&mut sheet, job, plan);
        y = plan.begin.0;
    }
    let cap = TypeFace::of(Weight::Semibold).cap_height(SIZE).0;
    for row in rows {
        let lines = &plan.rows[row];
        let middle = y + 4.0;
        tick_box(&mut sheet, left + 0.3, middle, 5.0);
        sheet.text(Weight::Semibold, SIZE, Align::Start, (left + 8.0, middle + cap / 2.0), (row + 1).to_string());
        for (line, words) in lines.iter().enumerate() {
            let base = middle + cap / 2.0 + line as f64 * line_height(SIZE);
            sheet.text(Weight::Regular, SIZE, Align::Start, (left + INDENT, base), words.clone());
        }
        y += height(lines);
    }
    let room = if missing > 0 {
        format!(
            " {} no room beside the picture: find {} by the mm.",
            counted(missing, "number finds", "numbers find"),
            if missing == 1 { "its place" } else { "their places" }
        )
    } else {
        String::new()
    };
    let words = format!("The words are the printer’s own. Places are mm of the printed face, as the print reads.{room}");
    let foot = sheet.page.height.0 - PAD - FOOT + 1.0;
    paragraph(&mut sheet, Weight::Regular, 10.0, (left, foot), right - left, &words);
    sheet
}

/// The outline of the print with a dot and a number a place; returns how many numbers found no room.
fn picture(sheet: &mut Sheet, job: &Job, plan: &Plan) -> usize {
    let Plan { picture: of, scale, .. } = plan;
    for arc in &job.outlines.arcs {
        let points = arc.points.iter().map(|at| PagePoint::new(of.x + at.x * scale, of.y + at.y * scale)).collect();
        sheet.marks.push(Mark::Line { pen: HAIR, points, closed: arc.closed });
    }
    sheet.frame(LINE, *of);
    let place = |touch: &Touch| {
        let (x, y) = (of.x + touch.at.0 * scale, of.y + touch.at.1 * scale);
        // A touch just off the face, on the sheet around it, stays within reach of its number.
        (x.clamp(of.x, of.right()), y.clamp(of.y, of.foot()))
    };
    let places: Vec<((f64, f64), String)> =
        job.settings.touches.iter().zip(1..).map(|(touch, number): (_, usize)| (place(touch), number.to_string())).collect();
    let room = PageBox::new(of.x, of.y - 1.0, sheet.page.width.0 - PAD - of.x, of.height + GAP - 1.0);
    numbers(sheet, &places, room, 10.0, true)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::super::words_apart::faults;
    use super::super::{Kind, SheetSet};
    use super::*;

    #[test]
    fn it_prints_only_with_a_touch_and_as_the_print_reads() {
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 3 {
                return;
            }
            let mut settings = job.settings.clone();
            settings.kinds = vec![Kind::Touches];
            assert_eq!(SheetSet::of(Job { settings: &settings, ..*job }).pages(), 0);
            let face = job.plate.face();
            let long = "one pale breath of blue over the breakwater, left to sink in, then blotted; ".repeat(6);
            for count in [1_usize, 2, 60] {
                settings.touches = (0..count)
                    .map(|k| {
                        let along = (k as f64 + 0.5) / count as f64;
                        let words = if count == 60 && k % 7 == 0 { long.clone() } else { "a pale breath of blue".to_owned() };
                        Touch { plate: String::new(), at: (face.width.0 * along, face.height.0 * (k % 5) as f64 / 5.0), words }
                    })
                    .collect();
                let set = SheetSet::of(Job { settings: &settings, ..*job });
                assert_eq!(set.entries()[0].view.as_deref(), Some("PRINT VIEW"));
                let (_, sheets) = set.around(0).unwrap();
                assert_eq!(sheets.len(), set.pages());
                for sheet in &sheets {
                    assert_legible(sheet);
                    assert_eq!(faults(sheet), Vec::<String>::new());
                    assert!(!says(sheet, "PLATE VIEW"));
                }
                assert!(says(&sheets[0], "PRINT VIEW") && says(&sheets[0], "breath of blue"));
                let listed = sheets.iter().flat_map(Sheet::words).filter(|words| words.contains("from the top")).count();
                assert!(listed <= count && (count > 2 || listed == count), "{listed} of {count}");
                let boxes = sheets.iter().flat_map(|sheet| &sheet.marks).filter(|mark| matches!(mark, Mark::Text(text) if (text.size - SIZE).abs() < 1e-9 && text.weight == Weight::Semibold && text.words.parse::<usize>().is_ok())).count();
                assert_eq!(boxes, count, "each is listed once");
            }
        });
    }

    #[test]
    fn what_is_left_in_the_print_is_left_on_the_sheet() {
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 3 {
                return;
            }
            let mut settings = job.settings.clone();
            settings.kinds = vec![Kind::Touches];
            let face = job.plate.face();
            settings.touches = vec![Touch { plate: String::new(), at: (face.width.0 * 0.1, face.height.0 * 0.2), words: "x".into() }];
            let sheet = SheetSet::of(Job { settings: &settings, ..*job }).around(0).unwrap().1.remove(0);
            let dots: Vec<PagePoint> = sheet
                .marks
                .iter()
                .filter_map(|mark| if let Mark::Dots { centres, .. } = mark { Some(centres.clone()) } else { None })
                .flatten()
                .collect();
            let plan = plan(&Job { settings: &settings, ..*job });
            let share = ((dots[0].x - plan.picture.x) / plan.picture.width, (dots[0].y - plan.picture.y) / plan.picture.height);
            assert!((share.0 - 0.1).abs() < 1e-9 && (share.1 - 0.2).abs() < 1e-9, "{share:?}");
        });
    }
}
