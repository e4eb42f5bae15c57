//! The bed diagram: how the plates lie on the press bed beneath the sheet, in plate view, and beneath it the print as it is read. The two stand
//! together, so that the reversal is seen.

use super::frame::{self, DASHED, HAIR, HEAVY, LINE};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::{fitted, line_height};
use super::mark::{Align, Mark, PageBox, PagePoint, Sheet};
use super::{Job, View, plain};
use crate::bed::{Feed, Laid, Lies};
use crate::plate::SizeMm;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// Width of the column of words, mm.
const WORDS: f64 = 76.0;
/// Height of the line over each picture, mm, and of the one below.
const OVER: f64 = 13.0;
const BELOW: f64 = 11.0;
/// Least and greatest share of the height that the print takes.
const PRINT: f64 = 0.36;
/// Distance of the strokes of the hatch, mm.
const HATCH: f64 = 2.0;

/// The sheet; it lies across.
pub(super) fn sheet(job: &Job, laid: &Laid, page: (usize, usize)) -> Sheet {
    let paper = job.settings.paper.size();
    let mut sheet = Sheet::new("bed diagram", SizeMm { width: paper.height, height: paper.width });
    head(&mut sheet, job, "Bed diagram", page);
    let (wide, high) = (sheet.page.width.0, sheet.page.height.0);
    let top = PAD + HEAD + 1.0;
    let room = PageBox::new(PAD, top, wide - 2.0 * PAD - WORDS - 8.0, high - PAD - top);
    let print_high = room.height * PRINT;
    let on_bed = PageBox::new(room.x, room.y, room.width, room.height - print_high);
    let in_print = PageBox::new(room.x, on_bed.foot(), room.width, print_high);
    let bed_scale = on_the_bed(&mut sheet, laid, on_bed);
    let print_scale = the_print(&mut sheet, laid, in_print);
    words(&mut sheet, laid, PageBox::new(wide - PAD - WORDS, top, WORDS, room.height), (bed_scale, print_scale));
    sheet
}

/// A box of the bed or the print on the page.
fn scaled(of: &Lies, origin: (f64, f64), scale: f64) -> PageBox {
    PageBox::new(origin.0 + of.x * scale, origin.1 + of.y * scale, of.width * scale, of.height * scale)
}

/// The sign and the name of a view, and what is shown in it.
fn view_line(sheet: &mut Sheet, room: PageBox, view: View, words: &str) {
    let sign = PageBox::new(room.x, room.y + 1.5, 9.0, 9.0);
    frame::view_sign(sheet, sign, view);
    sheet.text(Weight::Semibold, 12.0, Align::Start, (sign.right() + 3.0, room.y + 5.2), view.words());
    let (size, words) = fitted(Weight::Regular, words, &[10.0, 9.0], room.width - 12.0);
    sheet.text(Weight::Regular, size, Align::Start, (sign.right() + 3.0, room.y + 9.8), words);
}

fn on_the_bed(sheet: &mut Sheet, laid: &Laid, room: PageBox) -> f64 {
    view_line(sheet, room, View::Plate, "the press bed from above, the plates face up");
    let at = PageBox::new(room.x, room.y + OVER, room.width, room.height - OVER - BELOW);
    let scale = (at.width / laid.bed.width).min(at.height / laid.bed.height);
    let origin = (at.x + (at.width - laid.bed.width * scale) / 2.0, at.y);
    let bed = scaled(&laid.bed, origin, scale);
    sheet.frame(HEAVY, bed);
    if let Some(grip) = &laid.grip {
        hatched(sheet, scaled(grip, origin, scale));
    }
    sheet.frame(DASHED, scaled(&laid.sheet, origin, scale));
    for plate in &laid.plates {
        let of = scaled(&plate.bed, origin, scale);
        let up = if laid.across { (1.0, 0.0) } else { (0.0, -1.0) };
        one(sheet, &plate.letter, of, if plate.turned { (-up.0, -up.1) } else { up });
    }
    feed_arrow(sheet, bed, laid.feed);
    scale
}

fn the_print(sheet: &mut Sheet, laid: &Laid, room: PageBox) -> f64 {
    view_line(sheet, room, View::Print, "the sheet as it is read, once it is pulled");
    let at = PageBox::new(room.x, room.y + OVER, room.width, room.height - OVER);
    let scale = (at.width / laid.print.width).min(at.height / laid.print.height);
    let origin = (at.x + (at.width - laid.print.width * scale) / 2.0, at.y);
    sheet.frame(DASHED, scaled(&laid.print, origin, scale));
    for plate in &laid.plates {
        one(sheet, &plate.letter, scaled(&plate.print, origin, scale), (0.0, if plate.turned { 1.0 } else { -1.0 }));
    }
    scale
}

/// A plate: its outline, its letter, and an arrow at the side where its own top lies.
fn one(sheet: &mut Sheet, letter: &str, of: PageBox, up: (f64, f64)) {
    sheet.frame(LINE, of);
    let (x, y) = (of.x + of.width / 2.0, of.y + of.height / 2.0);
    let arrow = (of.width.min(of.height) * 0.16).min(4.0);
    let reach = if up.1 == 0.0 { of.width } else { of.height } / 2.0 - 1.0;
    if arrow > 0.7 {
        let tip = (x + up.0 * reach, y + up.1 * reach);
        let wing = |side: f64| {
            let back = (tip.0 - up.0 * arrow * 0.6, tip.1 - up.1 * arrow * 0.6);
            PagePoint::new(back.0 - up.1 * side * arrow * 0.5, back.1 + up.0 * side * arrow * 0.5)
        };
        sheet.marks.push(Mark::Line { pen: LINE, points: vec![wing(-1.0), PagePoint::new(tip.0, tip.1), wing(1.0)], closed: false });
    }
    let size = (of.height * 1.2).min(of.width * 1.6).clamp(9.0, 30.0);
    let (size, words) = fitted(Weight::Semibold, letter, &[size, (size * 0.8).max(9.0), 9.0], (of.width - 0.6).max(1.0));
    let cap = TypeFace::of(Weight::Semibold).cap_height(size).0;
    if cap < of.height {
        sheet.text(Weight::Semibold, size, Align::Middle, (x, y + cap / 2.0), words);
    }
}

fn hatched(sheet: &mut Sheet, of: PageBox) {
    let mut strokes = Vec::new();
    let mut at = HATCH;
    while at < of.width + of.height {
        let from = (of.x + at.min(of.width), of.y + (at - of.width).max(0.0));
        let to = (of.x + (at - of.height).max(0.0), of.y + at.min(of.height));
        strokes.push([PagePoint::new(from.0, from.1), PagePoint::new(to.0, to.1)]);
        at += HATCH;
    }
    sheet.strokes(HAIR, strokes);
}

/// Below the bed, the way it goes.
fn feed_arrow(sheet: &mut Sheet, bed: PageBox, feed: Feed) {
    let y = bed.foot() + 5.0;
    let words = "this end goes in first";
    let long = TypeFace::of(Weight::Regular).width(words, 10.0).0;
    let (tip, away, align) = match feed {
        Feed::Left => (bed.x, 1.0, Align::Start),
        Feed::Right => (bed.right(), -1.0, Align::End),
    };
    let tail = tip + away * 26.0;
    sheet.stroke(HEAVY, (tip, y), (tail, y));
    let wing = |side: f64| PagePoint::new(tip + away * 3.0, y + side * 1.8);
    sheet.marks.push(Mark::Line { pen: HEAVY, points: vec![wing(-1.0), PagePoint::new(tip, y), wing(1.0)], closed: false });
    if long + 30.0 < bed.width.max(60.0) {
        sheet.text(Weight::Regular, 10.0, align, (tail + away * 2.5, y + 1.2), words);
    }
}

/// A paragraph to set: its weight, its type size, the gap before it, its words.
type Said = (Weight, f64, f64, String);

fn words(sheet: &mut Sheet, laid: &Laid, of: PageBox, scales: (f64, f64)) {
    let high = |said: &[Said]| {
        let lines = |(weight, size, gap, words): &Said| {
            gap + TypeFace::of(*weight).wrap(words, *size, Millimetres(of.width)).len() as f64 * line_height(*size)
        };
        said.iter().map(lines).sum::<f64>() + 2.0
    };
    // As large as all of it fits; the last of what never does is left out.
    let ways = [(16.0, 10.0, 1.0), (12.0, 9.5, 0.7), (10.0, 9.0, 0.4)];
    let all = |(large, size, gap)| said(laid, scales, (large, size, gap));
    let mut said = ways.iter().map(|way| all(*way)).find(|said| high(said) <= of.height).unwrap_or_else(|| all(ways[2]));
    while high(&said) > of.height && said.pop().is_some() {}
    let mut y = of.y + 2.0;
    for (weight, size, gap, words) in said {
        y = paragraph(sheet, weight, size, (of.x, y + gap), of.width, &words);
    }
}

/// All that is said, the least needed last.
fn said(laid: &Laid, (bed_scale, print_scale): (f64, f64), (large, size, gap): (f64, f64, f64)) -> Vec<Said> {
    let way = if laid.across { "from the top down" } else { "from the left" };
    let rows = if laid.plates.last().is_some_and(|plate| plate.row > 0) { ", row by row" } else { "" };
    let turned = if laid.plates.iter().any(|plate| plate.turned) { " A plate that is turned stays turned." } else { "" };
    let scale = |scale: f64| format!("1 : {}", plain(1.0 / scale));
    let mut said = vec![
        (Weight::Regular, size, 0.0, format!("On the bed, {way}{rows}:")),
        (Weight::Semibold, large, 0.0, laid.on_the_bed()),
        (Weight::Regular, size, 2.0 * gap, format!("Read in the print, from the left{rows}:")),
        (Weight::Semibold, large, 0.0, laid.read()),
        (
            Weight::Regular,
            size,
            3.0 * gap,
            format!(
                "What is read from the left lies on the bed from the right: the print is the bed’s mirror. The arrow in each plate points to its top.{turned}"
            ),
        ),
        (
            Weight::Regular,
            size,
            3.0 * gap,
            format!(
                "Not at true size: the bed is drawn {}, the print {}. Bed {} × {} mm; sheet, dashed, {} × {} mm damp.",
                scale(bed_scale),
                scale(print_scale),
                plain(laid.bed.width),
                plain(laid.bed.height),
                plain(laid.print.width),
                plain(laid.print.height)
            ),
        ),
    ];
    said.extend(laid.notes.iter().map(|note| (Weight::Regular, size, 2.0 * gap, note.clone())));
    let sizes = laid.plates.iter().map(|plate| format!("{} {} × {}", plate.letter, plain(plate.print.width), plain(plate.print.height)));
    let sizes = format!("Plates: {} mm. {}", sizes.collect::<Vec<_>>().join(", "), gaps(laid));
    said.push((Weight::Regular, size, 2.0 * gap, sizes));
    said
}

/// How far plates of a row lie apart, where they have one gap.
fn gaps(laid: &Laid) -> String {
    let pairs = laid.plates.windows(2).filter(|pair| pair[0].row == pair[1].row);
    let all: Vec<f64> = pairs.map(|pair| pair[1].print.x - pair[0].print.right()).collect();
    match all.first() {
        Some(first) if all.iter().all(|gap| (gap - first).abs() < 1e-6) => format!("Gaps of {} mm.", plain(*first)),
        Some(_) => format!("Gaps in the order of the print: {} mm.", all.iter().map(|gap| plain(*gap)).collect::<Vec<_>>().join(", ")),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, bites, letter, says, sheets_by};
    use super::super::words_apart::faults;
    use super::super::{Kind, Paper, SheetSettings};
    use super::*;
    use crate::bed::{Asked, InRow, lay};
    use crate::rows::Standing;

    fn row(letters: &[(&str, f64, f64)]) -> Vec<InRow> {
        let one = |(plate, &(letter, width, height)): (usize, &(&str, f64, f64))| InRow {
            letter: letter.to_owned(),
            standing: Standing { plate, turned: plate == 2 },
            size: SizeMm { width: Millimetres(width), height: Millimetres(height) },
            top: Millimetres(0.0),
        };
        letters.iter().enumerate().map(one).collect()
    }

    fn drawn(laid: Laid, paper: Paper) -> Sheet {
        let (plate, map) = letter(160.0, 180.0);
        let settings = SheetSettings { paper, kinds: vec![Kind::Bed], bed: Some(laid), ..SheetSettings::default() };
        let made = sheets_by(&plate, map, &bites(3), &settings);
        assert_eq!(made.sheets.len(), 1);
        made.sheets.into_iter().next().unwrap()
    }

    /// Where the letters stand, from the left, in the upper picture and in the lower one.
    fn letters(sheet: &Sheet) -> (String, String) {
        let mut found: Vec<(f64, f64, String)> = Vec::new();
        for mark in &sheet.marks {
            if let Mark::Text(text) = mark
                && text.align == Align::Middle
                && text.words.len() == 1
                && text.weight == Weight::Semibold
            {
                found.push((text.at.y, text.at.x, text.words.clone()));
            }
        }
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        let middle = sheet.page.height.0 * 0.68;
        let of = |upper: bool| found.iter().filter(|(y, ..)| (*y < middle) == upper).map(|(.., words)| words.as_str()).collect();
        (of(true), of(false))
    }

    #[test]
    fn bed_and_print_are_mirrors_of_one_another_and_both_are_named() {
        let plates = row(&[("C", 120.0, 180.0), ("A", 120.0, 180.0), ("B", 160.0, 180.0), ("D", 90.0, 180.0)]);
        for paper in [Paper::A4, Paper::Letter, Paper::A3] {
            let sheet = drawn(lay(std::slice::from_ref(&plates), &Asked { grip: Millimetres(30.0), ..Asked::default() }).unwrap(), paper);
            assert_legible(&sheet);
            assert_eq!(faults(&sheet), Vec::<String>::new());
            assert_eq!(letters(&sheet), ("DBAC".to_owned(), "CABD".to_owned()));
            for words in [
                "PLATE VIEW",
                "PRINT VIEW",
                "D · B turned · A · C",
                "C · A · B turned · D",
                "goes in first",
                "Gaps of 3 mm",
                "Not at true size",
            ] {
                assert!(says(&sheet, words), "{words}");
            }
        }
    }

    #[test]
    fn any_layout_is_legible() {
        let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
        let many: Vec<Vec<InRow>> = (0..6).map(|_| row(&[("AA", 40.0, 30.0); 5])).collect();
        let tall = vec![row(&[("A", 900.0, 60.0)]), row(&[("B", 60.0, 500.0), ("C", 300.0, 400.0)])];
        for (rows, asked) in [
            (many, Asked { sheet: size(400.0, 400.0), ..Asked::default() }),
            (tall, Asked { bed: size(3000.0, 1500.0), sheet: size(1400.0, 1000.0), along: false, feed: Feed::Right, ..Asked::default() }),
            (vec![row(&[("A", 20.0, 20.0)])], Asked { bed: size(3000.0, 400.0), sheet: size(120.0, 120.0), ..Asked::default() }),
        ] {
            for paper in [Paper::A4, Paper::Letter] {
                let sheet = drawn(lay(&rows, &asked).unwrap(), paper);
                assert_legible(&sheet);
                assert_eq!(faults(&sheet), Vec::<String>::new());
            }
        }
    }
}
