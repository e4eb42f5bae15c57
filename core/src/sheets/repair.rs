//! The repair list: where the plan wants what the metal can't give any more, in plate view, with a table of the pieces. For burnisher and
//! regraining after the first proof; nothing on it is done before.

use super::frame::{self, HAIR, LINE, tick_box};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::fitted;
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet};
use super::{Job, View, area, counted, percent, plain};
use crate::frozen::{DARKER, LIGHTER, Wishes};
use crate::islands::Island;
use crate::plane::Plane;
use crate::type_face::{TypeFace, Weight};

/// What goes on the repair list.
#[derive(Clone, Debug, PartialEq)]
pub struct Repair {
    /// [`LIGHTER`], [`DARKER`] or no wish a pixel, print view.
    pub map: Plane<u8>,
    /// Its pieces.
    pub wishes: Wishes,
}

/// The picture is never larger than this share of its size: nobody is to trace it.
const MOST: f64 = 0.8;
/// Room above the picture and at the foot, mm.
const SIGN: f64 = 11.0;
const FOOT: f64 = 25.0;
/// Height of a row of the table, mm, and the least width of its columns.
const ROW: f64 = 8.0;
const COLUMN: f64 = 86.0;
/// From line to line of the two hatches, mm on paper.
const PITCH: f64 = 1.3;
const RULE: Pen = Pen::solid(0.2);
/// Side of the swatches in the key, mm.
const SWATCH: f64 = 7.0;

/// A piece with its number.
struct Row<'a> {
    number: usize,
    kind: u8,
    piece: &'a Island,
}

/// The pieces as they are numbered, the largest first; the page numbers them alike.
fn rows(repair: &Repair) -> Vec<Row<'_>> {
    let all = repair.wishes.lighter.iter().map(|piece| (LIGHTER, piece)).chain(repair.wishes.darker.iter().map(|piece| (DARKER, piece)));
    let mut all: Vec<(u8, &Island)> = all.collect();
    all.sort_by(|a, b| b.1.area_mm2.total_cmp(&a.1.area_mm2));
    all.into_iter().zip(1..).map(|((kind, piece), number)| Row { number, kind, piece }).collect()
}

/// The sheet.
pub(super) fn sheet(job: &Job, repair: &Repair, page: (usize, usize)) -> Sheet {
    let mut sheet = Sheet::new("repair list", job.settings.paper.size());
    head(&mut sheet, job, "Repair list", page);
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let top = PAD + HEAD + 1.0;
    frame::view_sign(&mut sheet, PageBox::new(left, top, 8.4, 8.4), View::Plate);
    sheet.text(Weight::Semibold, 14.0, Align::Start, (left + 11.0, top + 3.7), View::Plate.words());
    let words = "as the metal lies face up: what the plan wants and what is on it differ here";
    let (size, words) = fitted(Weight::Regular, words, &[11.0, 10.0, 9.0], right - left - 11.0);
    sheet.text(Weight::Regular, size, Align::Start, (left + 11.0, top + 8.2), words);

    let foot = sheet.page.height.0 - PAD - FOOT;
    let room = PageBox::new(left, top + SIGN, right - left, foot - top - SIGN);
    let rows = rows(repair);
    let columns = (libm::floor(room.width / COLUMN) as usize).max(1);
    let face = job.plate.face();
    // The table has what it needs, up to half of the room.
    let lines = rows.len().div_ceil(columns).max(1) + 1;
    let table = (lines as f64 * ROW).min(room.height / 2.0);
    let scale = ((room.width) / face.width.0).min((room.height - table - 4.0) / face.height.0).clamp(1e-3, MOST);
    let picture = PageBox::new(left, room.y, face.width.0 * scale, face.height.0 * scale);
    hatches(&mut sheet, repair, picture);
    edges(&mut sheet, job, picture, scale);
    sheet.frame(LINE, picture);
    let fit = libm::floor((room.foot() - picture.foot() - 4.0 - ROW) / ROW).max(0.0) as usize;
    let shown = rows.len().min(fit * columns);
    numbers(&mut sheet, &rows[..shown], picture, scale, face.width.0);
    let at = PageBox::new(left, picture.foot() + 4.0, room.width, ROW);
    listed(&mut sheet, &rows[..shown], at, (columns, fit), face.width.0);
    key(&mut sheet, repair, (left, foot + 2.0), right);
    let rest = rows.len() - shown;
    let more = if rest > 0 {
        format!(" {} more, smaller or last in order, are hatched without a number.", counted(rest, "piece", "pieces"))
    } else {
        String::new()
    };
    let words = format!(
        "Places are mm from the left and from the top of the face as it lies here. Nothing here is done before a first proof, dry, beside the strip. What is covered stays covered until the varnish comes off: wiping it away \
         takes grain with it.{more}"
    );
    paragraph(&mut sheet, Weight::Regular, 10.0, (left, foot + 2.0 + SWATCH + 1.5), right - left, &words);
    sheet
}

/// Upright rules where it is to be lighter, rules both ways where it is to be darker.
fn hatches(sheet: &mut Sheet, repair: &Repair, of: PageBox) {
    let map = repair.map.mirrored();
    let (wide, high) = (of.width / map.width() as f64, of.height / map.height() as f64);
    let mut strokes = Vec::new();
    let mut run = |count: usize, kind: &dyn Fn(usize) -> bool, stroke: &dyn Fn(usize, usize) -> [PagePoint; 2]| {
        let mut from = None;
        for at in 0..=count {
            match (at < count && kind(at), from) {
                (true, None) => from = Some(at),
                (false, Some(start)) => {
                    strokes.push(stroke(start, at));
                    from = None;
                }
                _ => {}
            }
        }
    };
    let places = |length: f64, pixel: f64, count: usize| {
        let lines = (libm::floor(length / PITCH) as usize).max(1);
        (0..lines).map(move |i| (((i as f64 + 0.5) * PITCH.min(length) / pixel) as usize).min(count - 1))
    };
    for x in places(of.width, wide, map.width()) {
        let at = of.x + (x as f64 + 0.5) * wide;
        run(map.height(), &|y| matches!(map.at(x, y), LIGHTER | DARKER), &|from, to| {
            [PagePoint::new(at, of.y + from as f64 * high), PagePoint::new(at, of.y + to as f64 * high)]
        });
    }
    for y in places(of.height, high, map.height()) {
        let at = of.y + (y as f64 + 0.5) * high;
        run(map.width(), &|x| map.at(x, y) == DARKER, &|from, to| {
            [PagePoint::new(of.x + from as f64 * wide, at), PagePoint::new(of.x + to as f64 * wide, at)]
        });
    }
    sheet.strokes(RULE, strokes);
}

/// The edges of the tones, to find one's way by.
fn edges(sheet: &mut Sheet, job: &Job, of: PageBox, scale: f64) {
    let point = |at: &crate::units::PointMm| PagePoint::new(of.right() - at.x * scale, of.y + at.y * scale);
    for arc in &job.outlines.arcs {
        sheet.marks.push(Mark::Line { pen: HAIR, points: arc.points.iter().map(point).collect(), closed: arc.closed });
    }
}

/// The number of each piece, on bare paper, where the piece is deepest.
fn numbers(sheet: &mut Sheet, rows: &[Row<'_>], of: PageBox, scale: f64, face: f64) {
    let type_face = TypeFace::of(Weight::Semibold);
    let cap = type_face.cap_height(10.0).0;
    for row in rows {
        let words = row.number.to_string();
        let width = type_face.width(&words, 10.0).0 + 1.2;
        let (x, y) = (of.x + (face - row.piece.at.x) * scale, of.y + row.piece.at.y * scale);
        let x = x.clamp(of.x + width / 2.0, (of.right() - width / 2.0).max(of.x + width / 2.0));
        let y = y.clamp(of.y + cap / 2.0 + 0.6, (of.foot() - cap / 2.0 - 0.6).max(of.y + cap / 2.0 + 0.6));
        sheet.marks.push(Mark::Blank(PageBox::new(x - width / 2.0, y - cap / 2.0 - 0.6, width, cap + 1.2)));
        sheet.text(Weight::Semibold, 10.0, Align::Middle, (x, y + cap / 2.0), words);
    }
}

/// The table: a box to tick, the number, what is to be done, how large it is and where.
fn listed(sheet: &mut Sheet, rows: &[Row<'_>], at: PageBox, (columns, fit): (usize, usize), face: f64) {
    let width = at.width / columns as f64;
    for (i, row) in rows.iter().enumerate() {
        let (column, line) = (i / fit.max(1), i % fit.max(1));
        let x = at.x + column as f64 * width;
        let middle = at.y + (line as f64 + 0.5) * ROW;
        tick_box(sheet, x + 0.3, middle, 5.0);
        let cap = TypeFace::of(Weight::Semibold).cap_height(11.0).0;
        sheet.text(Weight::Semibold, 11.0, Align::Start, (x + 7.5, middle + cap / 2.0), row.number.to_string());
        let what = if row.kind == LIGHTER { "lighter: burnish" } else { "darker: regrain" };
        let words = format!(
            "{what} · {} · at {}, {} mm",
            patch(row.piece.area_mm2),
            plain(libm::round(face - row.piece.at.x)),
            plain(libm::round(row.piece.at.y))
        );
        let (size, words) = fitted(Weight::Regular, &words, &[10.0, 9.5, 9.0], width - 17.0);
        sheet.text(Weight::Regular, size, Align::Start, (x + 14.0, middle + cap / 2.0), words);
    }
}

/// The area of a small place: mm² below one cm², and never nothing.
fn patch(mm2: f64) -> String {
    match mm2 {
        _ if mm2 < 9.95 => format!("{} mm²", plain(mm2.max(0.1))),
        _ if mm2 < 99.5 => format!("{mm2:.0} mm²"),
        _ => format!("{} cm²", area(mm2 / 100.0)),
    }
}

/// What the two hatches mean.
fn key(sheet: &mut Sheet, repair: &Repair, (x, y): (f64, f64), right: f64) {
    let half = (right - x) / 2.0;
    let kinds = [
        (LIGHTER, repair.wishes.lighter_share, "upright lines: lighter, burnish"),
        (DARKER, repair.wishes.darker_share, "lines both ways: darker, regrain and bite"),
    ];
    for (i, (kind, share, words)) in kinds.into_iter().enumerate() {
        let of = PageBox::new(x + i as f64 * half, y, SWATCH, SWATCH);
        hatches(sheet, &Repair { map: Plane::filled(14, 14, kind), wishes: Wishes::default() }, of);
        sheet.frame(LINE, of);
        let words = format!("{words} · {} of the face", if share > 0.0 { percent(share) } else { "nothing".to_owned() });
        let (size, words) = fitted(Weight::Regular, &words, &[10.0, 9.5, 9.0], half - SWATCH - 5.0);
        sheet.text(Weight::Regular, size, Align::Start, (of.right() + 2.5, y + SWATCH / 2.0 + 1.2), words);
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::super::{Kind, SheetSet, SheetSettings};
    use super::*;
    use crate::frozen::NO_WISH;

    /// A wish at the left and one at the right of the face, as the print reads.
    fn repair(job: &Job) -> Repair {
        let zones = job.stop_outs.zones();
        let (wide, high) = (zones.width(), zones.height());
        let map = Plane::from_fn(wide, high, |x, y| {
            let middle = (high / 4..=high / 2).contains(&y);
            if middle && x < wide.div_ceil(4) {
                LIGHTER
            } else if middle && x >= wide - wide.div_ceil(4) {
                DARKER
            } else {
                NO_WISH
            }
        });
        let wishes = Wishes::of(&map, job.stop_outs.resolution());
        Repair { map, wishes }
    }

    #[test]
    fn it_prints_only_with_a_wish_and_shows_the_metal_face_up() {
        kinds_job(|job| {
            let chosen = |repair: Option<Repair>| SheetSettings { kinds: vec![Kind::Repair], repair, ..job.settings.clone() };
            let none = chosen(None);
            assert_eq!(SheetSet::of(Job { settings: &none, ..*job }).pages(), 0);
            let settings = chosen(Some(repair(job)));
            let set = SheetSet::of(Job { settings: &settings, ..*job });
            assert_eq!((set.pages(), set.entries()[0].view.as_deref()), (1, Some("PLATE VIEW")));
            let sheet = set.around(0).unwrap().1.remove(0);
            assert_legible(&sheet);
            assert!(says(&sheet, "PLATE VIEW") && !says(&sheet, "PRINT VIEW"));
            assert!(says(&sheet, "lighter: burnish") && says(&sheet, "darker: regrain"));
            // No place is cut short.
            let listed: Vec<&str> = sheet.words().filter(|words| words.contains("m² · at ")).collect();
            assert!(listed.len() == 2 && listed.iter().all(|words| words.ends_with(" mm")), "{listed:?}");
            // The wish at the left of the print is at the right of the metal.
            let numbers: Vec<(f64, &str)> = sheet
                .marks
                .iter()
                .filter_map(|mark| match mark {
                    Mark::Text(text) if text.align == Align::Middle && ["1", "2"].contains(&text.words.as_str()) => {
                        Some((text.at.x, text.words.as_str()))
                    }
                    _ => None,
                })
                .collect();
            assert_eq!(numbers.len(), 2);
            if job.plate.size().width.0 > 100.0 {
                assert!(numbers[0].0 > numbers[1].0 && numbers[0].1 == "1", "{numbers:?}");
            }
        });
    }

    #[test]
    fn a_small_place_has_its_mm2() {
        let said = [0.01, 0.25, 4.96, 9.94, 10.4, 99.4, 99.6, 450.0, 2_345.0].map(patch);
        assert_eq!(said, ["0.1 mm²", "0.3 mm²", "5 mm²", "9.9 mm²", "10 mm²", "99 mm²", "1 cm²", "4.5 cm²", "23 cm²"]);
    }

    #[test]
    fn the_two_hatches_differ_without_colour() {
        let strokes = |kind: u8| {
            let mut sheet =
                Sheet::new("", crate::plate::SizeMm { width: crate::units::Millimetres(50.0), height: crate::units::Millimetres(50.0) });
            hatches(
                &mut sheet,
                &Repair { map: Plane::filled(40, 40, kind), wishes: Wishes::default() },
                PageBox::new(5.0, 5.0, 40.0, 40.0),
            );
            let strokes =
                sheet.marks.iter().find_map(|mark| if let Mark::Strokes { strokes, .. } = mark { Some(strokes.clone()) } else { None });
            let strokes = strokes.unwrap_or_default();
            let upright = strokes.iter().filter(|[a, b]| (a.x - b.x).abs() < 1e-9).count();
            (upright, strokes.len() - upright)
        };
        assert_eq!((strokes(LIGHTER), strokes(DARKER)), ((30, 0), (30, 30)));
        assert_eq!(strokes(NO_WISH), (0, 0));
    }
}
