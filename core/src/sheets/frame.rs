//! What stands around the picture on every sheet: the metal edge, the measuring bars, the signs.

use super::layout::BAR;
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet, Text};
use super::{Corner, View};
use crate::type_face::{TypeFace, Weight};

/// The corner marks.
pub(super) const HEAVY: Pen = Pen::solid(0.5);
/// Edges, the face line, bars, signs.
pub(super) const LINE: Pen = Pen::solid(0.35);
/// The thinnest line that a laser printer holds; none is thinner.
pub(super) const HAIR: Pen = Pen::solid(0.18);
/// The bevel, and edges of what is covered before.
pub(super) const DASHED: Pen = Pen::dashed(0.18);
/// The edge of what is worked by hand.
pub(super) const DOTTED: Pen = Pen::dotted(0.5);

/// Corner marks exactly at the metal edge, the edge between them dashed, the face solid, and a tick at the middle of each side.
pub(super) fn metal_edge(sheet: &mut Sheet, metal: PageBox, face: PageBox) {
    let arm = 8.0_f64.min(metal.width / 3.0).min(metal.height / 3.0);
    let corners = metal.corners();
    for (index, corner) in corners.iter().enumerate() {
        let (next, before) = (corners[(index + 1) % 4], corners[(index + 3) % 4]);
        let towards = |other: PagePoint| {
            let length = (other.x - corner.x).abs() + (other.y - corner.y).abs();
            PagePoint::new(corner.x + (other.x - corner.x) / length * arm, corner.y + (other.y - corner.y) / length * arm)
        };
        sheet.marks.push(Mark::Line { pen: HEAVY, points: vec![towards(before), *corner, towards(next)], closed: false });
    }
    let (x, y) = (metal.x + metal.width / 2.0, metal.y + metal.height / 2.0);
    for (from, to) in [
        ((x, metal.y - 0.4), (x, metal.y - 2.0)),
        ((x, metal.foot() + 0.4), (x, metal.foot() + 2.0)),
        ((metal.x - 0.4, y), (metal.x - 2.0, y)),
        ((metal.right() + 0.4, y), (metal.right() + 2.0, y)),
    ] {
        sheet.stroke(HAIR, from, to);
    }
    if face != metal {
        let between = |from: PagePoint, to: PagePoint| {
            let length = (to.x - from.x).abs() + (to.y - from.y).abs();
            let at = |by: f64| PagePoint::new(from.x + (to.x - from.x) * by / length, from.y + (to.y - from.y) * by / length);
            [at(arm), at(length - arm)]
        };
        sheet.strokes(DASHED, (0..4).map(|index| between(corners[index], corners[(index + 1) % 4])).collect());
    }
    sheet.frame(LINE, face);
}

/// A corner cut at the metal edge, where the plate's notch is, as this view shows it.
pub(super) fn notch(sheet: &mut Sheet, metal: PageBox, bevel: f64, corner: Corner, view: View) {
    let leg = (2.0 * bevel).clamp(2.0, 5.0).min(metal.width / 3.0).min(metal.height / 3.0);
    let corner = corner.seen(view);
    let (x, inward) = if corner.is_left() { (metal.x, leg) } else { (metal.right(), -leg) };
    let (y, down) = if corner.is_top() { (metal.y, leg) } else { (metal.foot(), -leg) };
    sheet.stroke(LINE, (x + inward, y), (x, y + down));
}

/// The bar of 100 mm across, its left end at `at`.
pub(super) fn bar_across(sheet: &mut Sheet, at: (f64, f64)) {
    bar(sheet, at, false);
}

/// The bar of 100 mm along, its upper end at `at`.
pub(super) fn bar_along(sheet: &mut Sheet, at: (f64, f64)) {
    bar(sheet, at, true);
}

/// What a bar says: the paper's sides are the same whichever way the page lies, "across" is not.
fn bar_words(sheet: &Sheet, upwards: bool) -> &'static str {
    let turned = sheet.page.width.0 > sheet.page.height.0;
    if upwards == turned { "100 mm along the short side: measure me" } else { "100 mm along the long side: measure me" }
}

/// A line with a tick at either end; the words stand in a gap of it, off its middle, where the centre tick of the plate is.
fn bar(sheet: &mut Sheet, (x, y): (f64, f64), upwards: bool) {
    const SIZE: f64 = 9.0;
    let face = TypeFace::of(Weight::Regular);
    let words = bar_words(sheet, upwards);
    let gap = face.width(words, SIZE).0 + 3.0;
    let at = |along: f64, aside: f64| if upwards { (x + aside, y + BAR - along) } else { (x + along, y + aside) };
    let start = 8.0;
    sheet.stroke(LINE, at(0.0, -1.5), at(0.0, 1.5));
    sheet.stroke(LINE, at(BAR, -1.5), at(BAR, 1.5));
    sheet.stroke(LINE, at(0.0, 0.0), at(start, 0.0));
    sheet.stroke(LINE, at(start + gap, 0.0), at(BAR, 0.0));
    let (text_x, text_y) = at(start + 1.5, face.cap_height(SIZE).0 / 2.0);
    sheet.marks.push(Mark::Text(Text {
        at: PagePoint::new(text_x, text_y),
        words: words.to_owned(),
        size: SIZE,
        weight: Weight::Regular,
        align: Align::Start,
        upwards,
    }));
}

/// Whether the arrow finds room between the plate and the edge of the paper.
pub(super) fn top_arrow_fits(metal: PageBox) -> bool {
    metal.y >= 11.0
}

/// An arrow up with the word TOP beside it, its point at `at`.
pub(super) fn top_arrow(sheet: &mut Sheet, at: (f64, f64)) {
    let (x, y) = at;
    sheet.stroke(LINE, (x, y), (x, y + 4.0));
    sheet.marks.push(Mark::Line {
        pen: LINE,
        points: vec![PagePoint::new(x - 1.2, y + 1.6), PagePoint::new(x, y), PagePoint::new(x + 1.2, y + 1.6)],
        closed: false,
    });
    sheet.text(Weight::Semibold, 9.0, Align::Start, (x + 2.2, y + 3.6), "TOP");
}

/// The test letter that travels with the picture: it reads in print view and is reversed in plate view. Drawn within `of`.
pub(super) fn letter_f(sheet: &mut Sheet, of: PageBox, view: View, pen: Pen) {
    let at = |across: f64, down: f64| {
        let across = if view == View::Plate { 1.0 - across } else { across };
        PagePoint::new(of.x + of.width * across, of.y + of.height * down)
    };
    sheet.marks.push(Mark::Line { pen, points: vec![at(1.0, 0.0), at(0.0, 0.0), at(0.0, 1.0)], closed: false });
    sheet.strokes(pen, vec![[at(0.0, 0.46), at(0.8, 0.46)]]);
}

/// The sign of a view: the test letter in a box.
pub(super) fn view_sign(sheet: &mut Sheet, of: PageBox, view: View) {
    sheet.frame(LINE, of);
    let height = of.height * 0.56;
    let width = height * 0.62;
    letter_f(sheet, PageBox::new(of.x + (of.width - width) / 2.0, of.y + (of.height - height) / 2.0, width, height), view, Pen::solid(0.9));
}

/// The plate in small, its notch cut off, its letter in the middle.
pub(super) fn plate_letter(sheet: &mut Sheet, of: PageBox, letter: &str, notch: Corner, view: View) {
    let cut = of.height * 0.22;
    let corner = notch.seen(view);
    let place = [Corner::TopLeft, Corner::TopRight, Corner::FootRight, Corner::FootLeft].iter().position(|&each| each == corner);
    let corners = of.corners();
    let mut points = Vec::new();
    for (index, point) in corners.iter().enumerate() {
        if Some(index) != place {
            points.push(*point);
            continue;
        }
        for other in [corners[(index + 3) % 4], corners[(index + 1) % 4]] {
            let towards = |from: f64, to: f64| from + (to - from).clamp(-cut, cut);
            points.push(PagePoint::new(towards(point.x, other.x), towards(point.y, other.y)));
        }
    }
    sheet.marks.push(Mark::Line { pen: LINE, points, closed: true });
    let size = of.height * 1.75;
    let (size, words) = super::layout::fitted(Weight::Semibold, letter, &[size, size * 0.75, size * 0.5], of.width - 1.0);
    let cap = TypeFace::of(Weight::Semibold).cap_height(size).0;
    sheet.text(Weight::Semibold, size, Align::Middle, (of.x + of.width / 2.0, of.y + (of.height + cap) / 2.0), words);
}

/// A box to tick.
pub(super) fn tick_box(sheet: &mut Sheet, x: f64, middle: f64, side: f64) {
    sheet.frame(LINE, PageBox::new(x, middle - side / 2.0, side, side));
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, letter, says, sheets};
    use super::super::{Kind, SheetSettings, Transfer};
    use super::*;
    use crate::plate::SizeMm;
    use crate::units::Millimetres;

    fn sheet() -> Sheet {
        Sheet::new("x", SizeMm { width: Millimetres(210.0), height: Millimetres(297.0) })
    }

    #[test]
    fn corner_marks_bend_at_the_metal_edge() {
        let mut sheet = sheet();
        let metal = PageBox::new(25.0, 50.0, 160.0, 180.0);
        metal_edge(&mut sheet, metal, metal.inset(1.5));
        let bends: Vec<PagePoint> = sheet
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Line { pen, points, closed: false } if *pen == HEAVY => Some(points[1]),
                _ => None,
            })
            .collect();
        assert_eq!(bends, metal.corners());
    }

    #[test]
    fn the_f_is_reversed_in_plate_view() {
        for (view, stem) in [(View::Print, 10.0), (View::Plate, 14.0)] {
            let mut sheet = sheet();
            letter_f(&mut sheet, PageBox::new(10.0, 10.0, 4.0, 7.0), view, LINE);
            let Mark::Line { points, .. } = &sheet.marks[0] else { panic!("the F begins with its stem") };
            assert_eq!((points[1].x, points[2].x), (stem, stem));
        }
    }

    #[test]
    fn bars_are_100_mm_between_their_ticks() {
        let mut sheet = sheet();
        bar_across(&mut sheet, (55.0, 240.0));
        let Mark::Strokes { strokes: first, .. } = &sheet.marks[0] else { panic!("a tick") };
        let Mark::Strokes { strokes: second, .. } = &sheet.marks[1] else { panic!("a tick") };
        assert_eq!(second[0][0].x - first[0][0].x, 100.0);
    }

    #[test]
    fn a_cut_out_frame_is_a_solid_line_at_the_metal_and_prints_once_when_chosen() {
        for (width, height, count) in [(160.0, 180.0, 1), (300.0, 400.0, 4)] {
            for transfer in [Transfer::Trace, Transfer::Press] {
                let (plate, map) = letter(width, height);
                let settings = SheetSettings { transfer, hinge: true, kinds: vec![Kind::Frame], ..SheetSettings::default() };
                let made = sheets(&plate, map, 3, &settings);
                assert_eq!(made.sheets.len(), count);
                // A frame carries no flap, so that no note misses one.
                assert!(!made.notes.iter().any(|note| note.contains("hinge")), "{:?}", made.notes);
                for sheet in &made.sheets {
                    assert_legible(sheet);
                    assert!(sheet.name.starts_with("cut-out frame") && !sheet.name.contains("guide"), "{}", sheet.name);
                    assert!(says(sheet, "CUT OUT THIS WINDOW") && says(sheet, "PLATE VIEW") && !says(sheet, "fold here"));
                    let marks = sheet.marks.iter().flat_map(|mark| match mark {
                        Mark::Within { marks, .. } => marks.iter(),
                        other => std::slice::from_ref(other).iter(),
                    });
                    let window = marks.filter(|mark| {
                        matches!(mark, Mark::Line { pen, points, closed: true } if *pen == Pen::solid(0.35)
                            && ((points[2].x - points[0].x) - width).abs() < 1e-9
                            && ((points[2].y - points[0].y) - height).abs() < 1e-9)
                    });
                    assert_eq!(window.count(), 1);
                }
            }
        }
        let (plate, map) = letter(160.0, 180.0);
        let kinds = vec![Kind::StopOuts, Kind::Run];
        let made = sheets(&plate, map, 3, &SheetSettings { kinds, ..SheetSettings::default() });
        assert!(!made.sheets.iter().any(|sheet| sheet.name.contains("frame")));
    }
}
