//! The flap by which a sheet is hinged to the plate: it folds at the metal's edge and is taped to the back.

use super::Use;
use super::frame::{HAIR, LINE};
use super::layout::{BAR, Layout, Words};
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet, Text};
use super::picture::Shows;
use super::settings::Corner;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// How far the flap reaches past the metal's edge, mm: it holds a strip of tape (common practice, no source).
pub(super) const DEPTH: f64 = 15.0;
/// By how much each end of the flap is cut back at its outer edge, mm, so that it lies flat.
const TAPER: f64 = 8.0;
/// Least distance from the edge of the paper, mm.
const EDGE: f64 = 4.0;
/// How far out the words stand, mm: past a measuring bar, which is part of the flap where it stands there.
const WORDS_OUT: f64 = 11.5;
/// How far out a bar may reach to stand clear of the words, mm.
const BAR_OUT: f64 = 9.0;
const WORDS: &str = "fold here, hinge on the back";
const SIZE: f64 = 9.0;
/// The fold: longer dashes than any other line at the metal's edge.
const FOLD: Pen = Pen { width: LINE.width, dash: Some((Millimetres(4.0), Millimetres(1.5))) };

/// The side of the picture that carries the flap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
    Top,
    Foot,
}

/// Whether a picture's sheet is laid on the plate by a hinge: all but a guide and the cut-out frame.
pub(super) fn carries(shows: Shows, for_use: Use) -> bool {
    for_use != Use::Guide && shows != Shows::Frame
}

/// The length of a side that holds the words clear of the slanting ends, mm.
fn words_length() -> f64 {
    TypeFace::of(Weight::Regular).width(WORDS, SIZE).0 + 2.0 * TAPER + 2.0
}

/// The long side with room for a flap: the one away from the notch (`notch` as the sheet shows it) where both have; none where neither has.
pub(super) fn side(layout: &Layout, notch: Corner) -> Option<Side> {
    long_sides(layout.metal, notch).into_iter().find(|side| side.has_room(layout))
}

/// The long sides, first the one away from the notch, as a view shows them.
pub(super) fn long_sides(metal: PageBox, notch: Corner) -> [Side; 2] {
    match (metal.height >= metal.width, notch.is_left(), notch.is_top()) {
        (true, true, _) => [Side::Right, Side::Left],
        (true, false, _) => [Side::Left, Side::Right],
        (false, _, true) => [Side::Foot, Side::Top],
        (false, _, false) => [Side::Top, Side::Foot],
    }
}

/// Draws the flap.
pub(super) fn draw(sheet: &mut Sheet, metal: PageBox, side: Side) {
    sheet.marks.extend(lines(metal, side));
    words(sheet, metal, side);
}

/// The fold and the outline of the flap.
pub(super) fn lines(metal: PageBox, side: Side) -> [Mark; 2] {
    let length = side.length(metal);
    let at = |along: f64, out: f64| side.at(metal, along, out);
    let flap = vec![at(0.0, 0.0), at(TAPER, DEPTH), at(length - TAPER, DEPTH), at(length, 0.0)];
    [
        Mark::Line { pen: FOLD, points: vec![at(0.0, 0.0), at(length, 0.0)], closed: false },
        Mark::Line { pen: HAIR, points: flap, closed: false },
    ]
}

/// What the flap is for, in the middle of the part of it beside `of`; nothing where that is too short for the words.
pub(super) fn words(sheet: &mut Sheet, of: PageBox, side: Side) {
    let length = side.length(of);
    if length < words_length() {
        return;
    }
    let half = TypeFace::of(Weight::Regular).cap_height(SIZE).0 / 2.0;
    let middle = side.at(of, length / 2.0, WORDS_OUT);
    let upwards = side.is_upright();
    let at = if upwards { PagePoint::new(middle.x + half, middle.y) } else { PagePoint::new(middle.x, middle.y + half) };
    sheet.marks.push(Mark::Text(Text { at, words: WORDS.to_owned(), size: SIZE, weight: Weight::Regular, align: Align::Middle, upwards }));
}

impl Side {
    /// What a flap on this side takes past the metal: at the left and the right, at the top and the foot.
    pub(super) fn past(self) -> ((f64, f64), (f64, f64)) {
        match self {
            Self::Left => ((DEPTH, 0.0), (0.0, 0.0)),
            Self::Right => ((0.0, DEPTH), (0.0, 0.0)),
            Self::Top => ((0.0, 0.0), (DEPTH, 0.0)),
            Self::Foot => ((0.0, 0.0), (0.0, DEPTH)),
        }
    }

    /// The same side of the plate in the other view.
    pub(super) fn turned(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
            other => other,
        }
    }

    /// The side in words, as the sheet lies.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Top => "top",
            Self::Foot => "foot",
        }
    }

    /// Whether a box is at this side of the metal.
    pub(super) fn borders(self, of: &PageBox, metal: &PageBox) -> bool {
        match self {
            Self::Left => of.x <= metal.x,
            Self::Right => of.right() >= metal.right(),
            Self::Top => of.y <= metal.y,
            Self::Foot => of.foot() >= metal.foot(),
        }
    }

    fn is_upright(self) -> bool {
        matches!(self, Self::Left | Self::Right)
    }

    fn length(self, metal: PageBox) -> f64 {
        if self.is_upright() { metal.height } else { metal.width }
    }

    /// A place so far along the side and so far outside the metal.
    fn at(self, metal: PageBox, along: f64, out: f64) -> PagePoint {
        match self {
            Self::Left => PagePoint::new(metal.x - out, metal.y + along),
            Self::Right => PagePoint::new(metal.right() + out, metal.y + along),
            Self::Top => PagePoint::new(metal.x + along, metal.y - out),
            Self::Foot => PagePoint::new(metal.x + along, metal.foot() + out),
        }
    }

    /// The flap before its ends are cut back.
    fn flap(self, metal: PageBox) -> PageBox {
        let (a, b) = (self.at(metal, 0.0, 0.0), self.at(metal, self.length(metal), DEPTH));
        PageBox::new(a.x.min(b.x), a.y.min(b.y), (a.x - b.x).abs(), (a.y - b.y).abs())
    }

    fn has_room(self, layout: &Layout) -> bool {
        let metal = layout.metal;
        let flap = self.flap(metal);
        let (wide, high) = (layout.page.width.0, layout.page.height.0);
        let words = match layout.words {
            Words::Bands { head, foot } => vec![head, foot],
            Words::Column(only) | Words::Strip(only) => vec![only],
        };
        let on_paper = flap.x >= EDGE && flap.y >= EDGE && flap.right() <= wide - EDGE && flap.foot() <= high - EDGE;
        let bars =
            [PageBox::new(layout.across.0, layout.across.1 - 1.6, BAR, 3.2), PageBox::new(layout.along.0 - 1.6, layout.along.1, 3.2, BAR)];
        on_paper
            && self.length(metal) >= words_length()
            && words.iter().all(|of| apart(of, &flap))
            && bars.iter().all(|of| apart(of, &flap) || within(of, &self.for_bar(metal)))
    }

    /// Where a bar may stand on the flap: clear of its words and of its slanting ends.
    fn for_bar(self, metal: PageBox) -> PageBox {
        let (a, b) = (self.at(metal, TAPER, 0.0), self.at(metal, self.length(metal) - TAPER, BAR_OUT));
        PageBox::new(a.x.min(b.x), a.y.min(b.y), (a.x - b.x).abs(), (a.y - b.y).abs())
    }
}

fn apart(one: &PageBox, other: &PageBox) -> bool {
    one.right() <= other.x || other.right() <= one.x || one.foot() <= other.y || other.foot() <= one.y
}

fn within(inner: &PageBox, outer: &PageBox) -> bool {
    inner.x >= outer.x && inner.y >= outer.y && inner.right() <= outer.right() && inner.foot() <= outer.foot()
}

#[cfg(test)]
mod tests {
    use super::super::mark::Mark;
    use super::super::tests::{letter, says, sheets, sheets_around, some_aside};
    use super::super::{SheetSettings, Transfer};
    use super::*;
    use crate::plate::SizeMm;
    use proptest::prelude::*;

    fn layout(width: f64, height: f64) -> Option<Layout> {
        let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
        Layout::of(size(210.0, 297.0), size(width, height))
    }

    #[test]
    fn the_flap_is_on_the_long_side_away_from_the_notch_and_folds_at_the_metal() {
        let of = layout(160.0, 180.0).unwrap();
        assert_eq!(side(&of, Corner::TopRight), Some(Side::Left));
        assert_eq!(side(&of, Corner::FootLeft), Some(Side::Right));
        let mut sheet = Sheet::new("x", of.page);
        draw(&mut sheet, of.metal, Side::Left);
        let Mark::Line { points: fold, .. } = &sheet.marks[0] else { panic!("the fold") };
        assert_eq!(fold[..], [of.metal.corners()[0], of.metal.corners()[3]]);
        let Mark::Line { points: flap, .. } = &sheet.marks[1] else { panic!("the flap") };
        assert_eq!(flap.iter().map(|point| of.metal.x - point.x).collect::<Vec<_>>(), [0.0, 15.0, 15.0, 0.0]);
        assert_eq!(flap[2].y - flap[1].y, 180.0 - 16.0);
        assert_eq!(sheet.words().collect::<Vec<_>>(), [WORDS]);
    }

    #[test]
    fn there_is_none_where_the_paper_has_no_room() {
        assert_eq!(side(&layout(190.0, 200.0).unwrap(), Corner::TopRight), None);
        assert_eq!(side(&layout(5.0, 5.0).unwrap(), Corner::TopRight), None);
    }

    #[test]
    fn a_hinge_flap_is_on_every_sheet_that_is_laid_on_the_plate_or_a_note_says_why_not() {
        for (width, height, room) in
            [(160.0, 180.0, true), (190.0, 200.0, false), (300.0, 400.0, true), (365.0, 540.0, false), (400.0, 300.0, true)]
        {
            let (plate, map) = letter(width, height);
            let aside = some_aside(&map);
            for transfer in [Transfer::Trace, Transfer::Press] {
                let settings = SheetSettings { transfer, hinge: true, ..SheetSettings::default() };
                let made = sheets_around(&plate, map.clone(), aside.clone(), 3, &settings);
                assert_eq!(
                    made.notes.iter().any(|note| note.starts_with("The hinge flap of 15 mm is left out")),
                    !room,
                    "{:?}",
                    made.notes
                );
                // On tiles it is on those of one long side, and of the side away from the notch where both have room.
                let tiled = made.sheets.iter().any(|sheet| sheet.name.contains("tile"));
                let edge: &[&str] = match (tiled, width < height, transfer) {
                    (false, ..) => &[""],
                    (true, true, Transfer::Trace) => &["A1", "B1"],
                    (true, true, Transfer::Press) => &["A2", "B2"],
                    // The notch is at the top: the flap is at the foot in both views.
                    (true, false, _) => &["B1", "B2"],
                };
                let note = made.notes.iter().find(|note| note.starts_with("The hinge flap")).cloned().unwrap_or_default();
                assert_eq!(note.contains("is on the tiles of"), tiled && room, "{note}");
                assert_eq!(note.contains("with it the plate would take more than 4 sheets of A4"), tiled && !room, "{note}");
                for sheet in &made.sheets {
                    let laid =
                        !sheet.name.starts_with("run") && !sheet.name.contains("guide") && edge.iter().any(|end| sheet.name.contains(end));
                    assert_eq!(says(sheet, "fold here, hinge on the back"), room && laid, "{} of {width}: {note}", sheet.name);
                    if room && laid && tiled {
                        assert!(note.contains(edge[0]) && note.contains(edge[1]), "{note}");
                        assert_flap(sheet);
                    }
                }
                if tiled {
                    continue;
                }
                // The same long side of the plate: left of the notch in plate view, and its mirror image where the sheet is pressed.
                let word = made.sheets[0].marks.iter().find_map(|mark| match mark {
                    Mark::Text(text) if text.words.starts_with("fold here") => Some(text.at.x),
                    _ => None,
                });
                assert_eq!(word.map(|x| x < made.sheets[0].page.width.0 / 2.0), room.then_some(transfer == Transfer::Trace));
            }
        }
        let (plate, map) = letter(160.0, 180.0);
        assert!(!sheets(&plate, map, 3, &SheetSettings::default()).sheets.iter().any(|sheet| says(sheet, "fold here")));
    }

    /// The flap of a tile: 15 mm deep from the fold, on the paper, under no words but its own.
    fn assert_flap(sheet: &Sheet) {
        let within = sheet.marks.iter().find_map(|mark| if let Mark::Within { clip, marks } = mark { Some((clip, marks)) } else { None });
        let (clip, marks) = within.unwrap();
        let fold = |mark: &Mark| matches!(mark, Mark::Line { pen, .. } if pen.dash == Some((Millimetres(4.0), Millimetres(1.5))));
        let at = marks.iter().position(fold).unwrap();
        let [Mark::Line { points: fold, .. }, Mark::Line { points: flap, .. }] = &marks[at..at + 2] else { panic!("a fold and a flap") };
        let off = |line: &[PagePoint]| (line[1].x - line[0].x, line[1].y - line[0].y);
        let (along, out) = (off(fold), (flap[1].x - fold[0].x, flap[1].y - fold[0].y));
        let deep = if along.0.abs() < along.1.abs() { out.0.abs() } else { out.1.abs() };
        assert!((deep - 15.0).abs() < 1e-9, "{deep}");
        // What of the flap shows lies on the paper.
        let (left, right, top, foot) = if along.0.abs() < along.1.abs() {
            (fold[0].x.min(flap[1].x), fold[0].x.max(flap[1].x), clip.y, clip.foot())
        } else {
            (clip.x, clip.right(), fold[0].y.min(flap[1].y), fold[0].y.max(flap[1].y))
        };
        assert!(left >= 4.0 && top >= 4.0 && right <= sheet.page.width.0 - 4.0 && foot <= sheet.page.height.0 - 4.0);
        assert!(left >= clip.x && right <= clip.right() && top >= clip.y && foot <= clip.foot());
        for text in sheet.marks.iter().filter_map(|mark| if let Mark::Text(text) = mark { Some(text) } else { None }) {
            let inside = (left..right).contains(&text.at.x) && (top..foot).contains(&text.at.y);
            let own = text.words.starts_with("fold here") || text.words == "join" || text.words.starts_with("overlap");
            assert!(!inside || own, "{:?} on the flap of {}", text.words, sheet.name);
        }
    }

    proptest! {
        #[test]
        fn a_flap_lies_on_the_paper_and_on_no_words(width in 5.0_f64..280.0, height in 5.0_f64..280.0, left in any::<bool>()) {
            let Some(of) = layout(width, height) else { return Ok(()) };
            let notch = if left { Corner::FootLeft } else { Corner::TopRight };
            let Some(side) = side(&of, notch) else { return Ok(()) };
            prop_assert_eq!(side.length(of.metal), width.max(height));
            let mut sheet = Sheet::new("x", of.page);
            draw(&mut sheet, of.metal, side);
            super::super::tests::assert_legible(&sheet);
            let boxes = match of.words {
                Words::Bands { head, foot } => vec![head, foot],
                Words::Column(only) | Words::Strip(only) => vec![only],
            };
            prop_assert!(boxes.iter().all(|words| apart(words, &side.flap(of.metal))));
        }
    }
}
