//! The picture of one stop-out, or of the lift, at true size: edges, hatch, dots, within the plate's frame.

use super::check_box;
use super::frame::{self, DASHED, DOTTED, HAIR, LINE};
use super::key;
use super::key_labels::Labels;
use super::layout::Layout;
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet};
use super::pointers::{self, Pointed};
use super::seen::{Part, Seen};
use super::settings::Style;
use super::tiling::{HALF_MARK, Tile};
use super::tints::{DOT, RasterPoint, Tints};
use super::words::{Place, by_hand, places};
use super::{Job, Use, View};
use crate::aside::{BY_HAND, RESIST};
use crate::bits::BitPlane;
use crate::islands;
use crate::outline::{Curves, MOVED, Moved, PairCurve};
use crate::plane::Plane;
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, PxPerMm};
use kurbo::Affine;
use std::sync::Arc;

/// Hatch strokes.
const HATCH: Pen = Pen::solid(0.25);
/// Type of the words inside large regions, points.
const REGION_WORDS: f64 = 14.0;
/// Type of the word HAND, points: most such areas are small.
const HAND_WORD: f64 = 9.0;
/// The frame that only a lift has.
const SECOND_FRAME: Pen = Pen::solid(0.7);
/// The frame that only etched lines have.
const BROKEN_FRAME: Pen = Pen::dashed(0.7);
/// Height of the test letter inside the picture, mm, and its distance from the face's corner.
const LETTER: f64 = 6.0;
const LETTER_INSET: f64 = 2.5;

/// Where the picture lies on the page, and which way round.
#[derive(Clone, Copy)]
struct Placed {
    face: PageBox,
    view: View,
    /// Size of a pixel on paper, mm: the face divided by the raster, so that rounding of the raster never changes the face.
    pixel: (f64, f64),
    /// Millimetres of an outline to millimetres on paper: 1 but for that rounding.
    outline: (f64, f64),
}

impl Placed {
    /// The face of a plate whose metal stands at `metal`.
    fn of(job: &Job, seen: &Seen, metal: PageBox, view: View) -> Self {
        let face = metal.inset(job.plate.bevel().0);
        let (px_per_mm, zones) = (job.stop_outs.resolution().0, seen.zones());
        let pixel = (face.width / zones.width() as f64, face.height / zones.height() as f64);
        Self { face, view, pixel, outline: (pixel.0 * px_per_mm, pixel.1 * px_per_mm) }
    }

    /// A point of the raster as this view shows it.
    fn raster(&self, (x, y): RasterPoint) -> PagePoint {
        PagePoint::new(self.face.x + x * self.pixel.0, self.face.y + y * self.pixel.1)
    }

    /// Where curves on the face in print view come to lie.
    fn curves(&self) -> Affine {
        let (across, down) = self.outline;
        let (start, across) = if self.view == View::Plate { (self.face.right(), -across) } else { (self.face.x, across) };
        Affine::new([across, 0.0, 0.0, down, start, self.face.y])
    }
}

/// The sheet of a picture with the plate's frame, still without captions, and what arrows point at.
pub(super) fn sheet(job: &Job, layout: &Layout, picture: Picture) -> (Sheet, Pointed) {
    let Picture { shows, for_use, seen, .. } = picture;
    let mut sheet = Sheet::new(shows.named(&shows.name(), for_use), layout.page);
    let placed = Placed::of(job, seen, layout.metal, for_use.view());
    picture.draw(&mut sheet, job, &placed);
    let pointed = words(&mut sheet, job, shows, &placed, (&seen.whole(), layout.metal));
    around(&mut sheet, job, layout, (shows, &placed));
    shows.second_frame(&mut sheet, &placed);
    (sheet, pointed)
}

/// A picture to be drawn.
#[derive(Clone, Copy, Debug)]
pub(super) struct Picture<'a> {
    pub(super) shows: Shows,
    pub(super) for_use: Use,
    /// What [`seen`] gives for its view, or [`seen_lines`] for lines.
    pub(super) seen: &'a Seen,
    /// Those of a key sheet.
    pub(super) numbers: Option<&'a Labels>,
}

impl Picture<'_> {
    /// Tints and edges, and the numbers of a key sheet.
    fn draw(self, sheet: &mut Sheet, job: &Job, placed: &Placed) {
        match self.shows {
            Shows::StopOut(number) => stop_out(sheet, job, placed, self.seen, (number - 1) as u8),
            Shows::Lift => lift_picture(sheet, job, placed, self.seen),
            Shows::Key => sheet.marks.extend(self.numbers.iter().flat_map(|numbers| key::marks(job, placed.view, placed.face, numbers))),
            Shows::Lines => lines_picture(sheet, job, placed),
            Shows::Frame => {}
        }
    }
}

/// What a picture shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shows {
    /// The stop-out of this number.
    StopOut(usize),
    /// What the lift opens.
    Lift,
    /// Every edge, with the stop-out it is painted at.
    Key,
    /// The thin dark lines that are etched before the grain.
    Lines,
    /// Nothing but the metal's edge, to be cut out.
    Frame,
}

impl Shows {
    /// What it is, in words.
    pub(super) fn name(self) -> String {
        match self {
            Self::StopOut(number) => format!("stop-out {number}"),
            Self::Lift => "lift".to_owned(),
            Self::Key => "key".to_owned(),
            Self::Lines => "etched lines".to_owned(),
            Self::Frame => "cut-out frame".to_owned(),
        }
    }

    /// The name of one sheet of it; a frame serves every transfer alike.
    pub(super) fn named(self, name: &str, for_use: Use) -> String {
        if self == Self::Frame { name.to_owned() } else { for_use.name(name) }
    }

    /// The solid line within the metal's edge: the face, or the edge itself where it is cut.
    fn solid(self, metal: PageBox, face: PageBox) -> PageBox {
        if self == Self::Frame { metal } else { face }
    }

    /// The frame that tells it from a stop-out across the room.
    fn second_frame(self, sheet: &mut Sheet, placed: &Placed) {
        let inside = placed.face.inset(1.4_f64.min(placed.face.width.min(placed.face.height) / 6.0));
        match self {
            Self::StopOut(_) | Self::Key | Self::Frame => {}
            Self::Lift => sheet.frame(SECOND_FRAME, inside),
            Self::Lines => sheet.frame(BROKEN_FRAME, inside),
        }
    }
}

/// The words inside the picture, its test letter and its arrows, where a part of it is shown; beyond `around` nothing is set.
fn words(sheet: &mut Sheet, job: &Job, shows: Shows, placed: &Placed, (part, around): (&Part, PageBox)) -> Pointed {
    let signs = |new_tone: u8| move |zone: u8| (zone.cmp(&new_tone), zone == RESIST || zone == BY_HAND);
    match shows {
        Shows::StopOut(number) if job.settings.style == Style::Outline => {
            let (new_tone, before) = ((number - 1) as u8, sheet.marks.len());
            test_letter(sheet, placed, part, signs(new_tone), around);
            let letter = sheet.marks[before..].iter().find_map(|mark| if let Mark::Blank(of) = mark { Some(*of) } else { None });
            paint_letters(sheet, placed, part, new_tone, letter);
            hand_words(sheet, placed, part);
        }
        Shows::StopOut(number) => {
            let new_tone = (number - 1) as u8;
            region_words(sheet, placed, part, new_tone);
            hand_words(sheet, placed, part);
            test_letter(sheet, placed, part, signs(new_tone), around);
        }
        // Edges and numbers stand everywhere, and none may be hidden.
        Shows::Key => letter_outside(sheet, placed, around),
        Shows::Lines => test_letter(sheet, placed, part, |zone| zone, around),
        Shows::Frame => window_words(sheet, placed.face),
        // All that is open is alike.
        Shows::Lift => test_letter(sheet, placed, part, |zone| zone == RESIST, around),
    }
    let Shows::StopOut(number) = shows else { return Pointed::default() };
    pointers::draw(sheet, part, (number - 1) as u8, (PagePoint::new(placed.face.x, placed.face.y), placed.pixel))
}

/// The picture in millimetres from the metal's upper left corner, as its view shows it: tints, edges, the metal's marks. Without words and
/// without the test letter, which each sheet sets for itself.
pub(super) fn on_metal(job: &Job, picture: Picture) -> Vec<Mark> {
    let Picture { shows, for_use, seen, .. } = picture;
    let size = job.plate.size();
    let metal = PageBox::new(0.0, 0.0, size.width.0, size.height.0);
    let mut sheet = Sheet::new("", size);
    let placed = Placed::of(job, seen, metal, for_use.view());
    picture.draw(&mut sheet, job, &placed);
    frame::metal_edge(&mut sheet, metal, shows.solid(metal, placed.face));
    frame::notch(&mut sheet, metal, job.plate.bevel().0, job.settings.notch, placed.view);
    shows.second_frame(&mut sheet, &placed);
    sheet.marks
}

/// The words and the test letter of one tile, within what lies between its joins, so that no join cuts them. `origin` is where the metal's
/// upper left corner would lie on the page.
pub(super) fn on_tile(sheet: &mut Sheet, job: &Job, picture: Picture, (tile, origin): (&Tile, PagePoint)) -> Pointed {
    let Picture { shows, for_use, seen, .. } = picture;
    let size = job.plate.size();
    let (placed, zones) =
        (Placed::of(job, seen, PageBox::new(origin.x, origin.y, size.width.0, size.height.0), for_use.view()), seen.zones());
    let bevel = job.plate.bevel().0;
    let stretch = |from: f64, to: f64, pixel: f64, most: usize| {
        let from = (libm::ceil((from - bevel) / pixel).max(0.0) as usize).min(most);
        (from, (libm::floor((to - bevel) / pixel).max(0.0) as usize).clamp(from, most))
    };
    // Clear of the half marks along the joins too.
    let from = |at: f64| if at > 0.0 { at + HALF_MARK + 0.5 } else { at };
    let to = |at: f64, end: f64| if at < end { at - HALF_MARK - 0.5 } else { at };
    let between = tile.cell;
    let (left, right) = stretch(from(between.x), to(between.right(), size.width.0), placed.pixel.0, zones.width());
    let (top, foot) = stretch(from(between.y), to(between.foot(), size.height.0), placed.pixel.1, zones.height());
    // From join to join, and past the plate's edge whatever there is.
    let joins = |from: f64, to: f64, end: f64, pixel: f64| {
        let at = |place: f64, beyond: f64| if place > 0.0 && place < end { (place - bevel) / pixel } else { beyond };
        at(from, f64::NEG_INFINITY)..at(to, f64::INFINITY)
    };
    let across = joins(between.x, between.right(), size.width.0, placed.pixel.0);
    let down = joins(between.y, between.foot(), size.height.0, placed.pixel.1);
    let part = seen.part((left..right, across), (top..foot, down));
    if left == right || top == foot {
        return if let Shows::StopOut(number) = shows {
            pointers::counted(&part, (number - 1) as u8, placed.pixel)
        } else {
            Pointed::default()
        };
    }
    let corner = placed.raster((left as f64, top as f64));
    let face = PageBox::new(corner.x, corner.y, (right - left) as f64 * placed.pixel.0, (foot - top) as f64 * placed.pixel.1);
    let placed = Placed { face, ..placed };
    let window = PageBox::new(origin.x + tile.window.x, origin.y + tile.window.y, tile.window.width, tile.window.height);
    let pointed = words(sheet, job, shows, &placed, (&part, window));
    if shows == Shows::Frame {
        check_box::within(sheet, placed.face);
    }
    pointed
}

/// Tints and edges of a stop-out.
fn stop_out(sheet: &mut Sheet, job: &Job, placed: &Placed, seen: &Seen, new_tone: u8) {
    let (plain, resolution) = (job.stop_outs.zones(), job.stop_outs.resolution());
    let style = job.settings.style;
    if job.settings.inward.0 > 0.0 {
        let moved = moved(job, new_tone);
        let shown = if placed.view == View::Plate { moved.inward.zones.mirrored() } else { moved.inward.zones.clone() };
        // Hatch ends at the line that is drawn: what lies beyond it is left bare.
        let shown = shown.map(|&zone| if zone == MOVED { new_tone + 1 } else { zone });
        let pixel = (placed.face.width / shown.width() as f64, placed.face.height / shown.height() as f64);
        if style == Style::Full {
            tints(sheet, &Placed { pixel, ..*placed }, &Tints::of(&Seen::of(shown, moved.inward.resolution.0), new_tone));
        }
        edges(sheet, placed, &moved.curves.pairs, (new_tone, style));
    } else {
        if style == Style::Full {
            tints(sheet, placed, &Tints::of(seen, new_tone));
        }
        edges(sheet, placed, &job.outlines.curves(plain, resolution).pairs, (new_tone, style));
    }
}

/// The edges of a stop-out drawn inside, worked out once for all its sheets.
pub(super) fn moved(job: &Job, new_tone: u8) -> Arc<Moved> {
    job.outlines.moved(job.stop_outs.zones(), new_tone, job.settings.inward, job.stop_outs.resolution())
}

/// Tints and edges of the lift.
fn lift_picture(sheet: &mut Sheet, job: &Job, placed: &Placed, seen: &Seen) {
    tints(sheet, placed, &Tints::of_lift(seen));
    let curves = job.outlines.curves(job.stop_outs.zones(), job.stop_outs.resolution());
    for pair in curves.pairs.iter().filter(|pair| (pair.lighter == RESIST) != (pair.darker == RESIST)) {
        curve(sheet, placed, LINE, pair);
    }
}

/// 0 where there is a line, 1 where there is none.
fn lines_map(lines: &BitPlane) -> Plane<u8> {
    Plane::from_fn(lines.width(), lines.height(), |x, y| u8::from(!lines.at(x, y)))
}

/// The edges of etched lines.
fn lines_picture(sheet: &mut Sheet, job: &Job, placed: &Placed) {
    let curves = job.lines.map(|lines| Curves::of(&lines_map(&lines.plane), job.stop_outs.resolution()));
    for pair in curves.iter().flat_map(|curves| &curves.pairs) {
        curve(sheet, placed, LINE, pair);
    }
}

/// All edges between two tones.
fn curve(sheet: &mut Sheet, placed: &Placed, pen: Pen, pair: &PairCurve) {
    sheet.marks.push(Mark::Curve { pen, path: Arc::clone(&pair.path), place: placed.curves() });
}

/// The zones of the plate as a view shows them: what all pictures but that of the lines are drawn from.
pub(super) fn seen(job: &Job, view: View) -> Seen {
    turned(job.stop_outs.zones(), view, job.stop_outs.resolution())
}

/// Lines and what is none, as a view shows them: what is no line is zone 1, so that lines are the lighter: they are what is opened.
pub(super) fn seen_lines(job: &Job, view: View) -> Option<Seen> {
    job.lines.map(|lines| turned(&lines_map(&lines.plane), view, job.stop_outs.resolution()))
}

fn turned(zones: &Plane<u8>, view: View, resolution: PxPerMm) -> Seen {
    Seen::of(if view == View::Plate { zones.mirrored() } else { zones.clone() }, resolution.0)
}

/// Hatch, dots and rules.
fn tints(sheet: &mut Sheet, placed: &Placed, tints: &Tints) {
    let strokes = |strokes: &[[RasterPoint; 2]]| strokes.iter().map(|stroke| stroke.map(|point| placed.raster(point))).collect();
    sheet.strokes(HATCH, strokes(&tints.strokes));
    sheet.strokes(HAIR, strokes(&tints.rules));
    if !tints.dots.is_empty() {
        let centres = tints.dots.iter().map(|&dot| placed.raster(dot)).collect();
        sheet.marks.push(Mark::Dots { diameter: Millimetres(DOT), centres });
    }
}

/// What to do with the window, in its middle, where it has room for that.
fn window_words(sheet: &mut Sheet, window: PageBox) {
    let (face, words) = (TypeFace::of(Weight::Semibold), "CUT OUT THIS WINDOW");
    let size = [REGION_WORDS, 11.0, 9.0].into_iter().find(|&size| face.width(words, size).0 + 8.0 <= window.width);
    if let Some(size) = size.filter(|_| window.height > 10.0) {
        let middle = (window.x + window.width / 2.0, window.y + (window.height + face.cap_height(size).0) / 2.0);
        sheet.text(Weight::Semibold, size, Align::Middle, middle, words);
    }
}

/// The plate's frame and the signs around it.
fn around(sheet: &mut Sheet, job: &Job, layout: &Layout, (shows, placed): (Shows, &Placed)) {
    frame::metal_edge(sheet, layout.metal, shows.solid(layout.metal, placed.face));
    frame::notch(sheet, layout.metal, job.plate.bevel().0, job.settings.notch, placed.view);
    frame::bar_across(sheet, layout.across);
    frame::bar_along(sheet, layout.along);
    if shows == Shows::Frame {
        check_box::on_page(sheet, layout);
    }
    if frame::top_arrow_fits(layout.metal) {
        frame::top_arrow(sheet, (layout.metal.x + layout.metal.width / 2.0 + 3.5, layout.metal.y - 5.2));
    }
}

/// The pen of an edge on the sheet of a stop-out that paints `new_tone`; none where it does not show it. A margin left for creep counts
/// as bare, so that its inner line is drawn and the true edge is not.
fn pen((lighter, darker): (u8, u8), new_tone: u8) -> Option<Pen> {
    match (lighter, darker) {
        (_, BY_HAND) => Some(DOTTED),
        // The ground's own edge: nobody paints along it, and it stays to be seen.
        (_, RESIST) => Some(HAIR),
        _ if lighter > new_tone || darker < new_tone => None,
        _ if lighter == new_tone => Some(LINE),
        _ => Some(DASHED),
    }
}

/// The word HAND in each area that is left to it.
fn hand_words(sheet: &mut Sheet, placed: &Placed, part: &Part) {
    let cap = TypeFace::of(Weight::Semibold).cap_height(HAND_WORD).0;
    for at in by_hand(part) {
        let middle = placed.raster(at);
        sheet.text(Weight::Semibold, HAND_WORD, Align::Middle, (middle.x, middle.y + cap / 2.0), "HAND");
    }
}

/// Each shared arc once: solid where new paint meets bare metal, dashed where anything covered before ends, thin along a resist, dotted
/// round what is worked by hand.
fn edges(sheet: &mut Sheet, placed: &Placed, pairs: &[PairCurve], (new_tone, style): (u8, Style)) {
    // Outlines are for tracing: an edge that was traced before would be traced again.
    let dashed = (style == Style::Full).then_some(DASHED);
    for drawn in dashed.into_iter().chain([HAIR, LINE, DOTTED]) {
        for pair in pairs.iter().filter(|pair| pen((pair.lighter, pair.darker), new_tone) == Some(drawn)) {
            curve(sheet, placed, drawn, pair);
        }
    }
}

/// The letter P in each piece that is newly painted and holds it, for there is no hatch; none where the test letter stands.
fn paint_letters(sheet: &mut Sheet, placed: &Placed, part: &Part, new_tone: u8, letter: Option<PageBox>) {
    let face = TypeFace::of(Weight::Semibold);
    let (width, cap) = (face.width("P", REGION_WORDS).0, face.cap_height(REGION_WORDS).0);
    let (half, room) = ((width / 2.0 + 0.8, cap / 2.0 + 0.8), libm::hypot(width + 1.6, cap + 1.6));
    let painted = part.cut().map(|&zone| if zone == new_tone { 0 } else { u8::MAX });
    for piece in islands::pieces(&painted, u8::MAX, PxPerMm(1.0)) {
        let at = placed.raster((piece.at.x, piece.at.y));
        let clear =
            letter.is_none_or(|of| at.x + half.0 < of.x || at.x - half.0 > of.right() || at.y + half.1 < of.y || at.y - half.1 > of.foot());
        // In pixels, for the map may be a tile's.
        if clear && piece.disc.0 * placed.pixel.0.min(placed.pixel.1) >= room {
            sheet.text(Weight::Semibold, REGION_WORDS, Align::Middle, (at.x, at.y + cap / 2.0), "P");
        }
    }
}

/// The words themselves inside regions that are large enough.
fn region_words(sheet: &mut Sheet, placed: &Placed, part: &Part, new_tone: u8) {
    let face = TypeFace::of(Weight::Semibold);
    let cap = face.cap_height(REGION_WORDS).0;
    // The blank around the words: a millimetre and a half above, below and beside them.
    let size = |words: &str| (face.width(words, REGION_WORDS).0 + 4.0, cap + 3.4);
    for Place { at, words } in places(part, new_tone, size) {
        let middle = placed.raster(at);
        let (width, height) = size(words);
        let of = PageBox::new(middle.x - width / 2.0, middle.y - height / 2.0, width, height);
        sheet.marks.push(Mark::Blank(of));
        sheet.text(Weight::Semibold, REGION_WORDS, Align::Middle, (middle.x, middle.y + cap / 2.0), words);
    }
}

/// The F inside the picture, in a corner of it where one sign covers all (zones of equal `sign` carry the same); where there is none, just outside the plate's upper edge.
///
/// It stands at the left in print view, so at the right in plate view, and is reversed there: it travels with the picture.
fn test_letter<S: PartialEq>(sheet: &mut Sheet, placed: &Placed, part: &Part, sign: impl Fn(u8) -> S, metal: PageBox) {
    let width = LETTER * 0.6;
    let (wide, high) = (width + 2.4, LETTER + 2.4);
    let face = placed.face;
    let (left, right) = (face.x + LETTER_INSET, face.right() - LETTER_INSET - wide);
    let (top, foot) = (face.y + LETTER_INSET, face.foot() - LETTER_INSET - high);
    let (near, far) = if placed.view == View::Plate { (right, left) } else { (left, right) };
    let uniform = |of: &PageBox| {
        let from = |at: f64, pixel: f64| (at / pixel).max(0.0) as usize;
        let (x, y) = (from(of.x - face.x, placed.pixel.0), from(of.y - face.y, placed.pixel.1));
        let (to_x, to_y) = (from(of.right() - face.x, placed.pixel.0), from(of.foot() - face.y, placed.pixel.1));
        of.width + 2.0 * LETTER_INSET < face.width
            && of.height + 2.0 * LETTER_INSET < face.height
            && (y..=to_y.min(part.height() - 1))
                .all(|row| (x..=to_x.min(part.width() - 1)).all(|column| sign(part.at(column, row)) == sign(part.at(x, y))))
    };
    let corners = [(near, top), (near, foot), (far, top), (far, foot)].map(|(x, y)| PageBox::new(x, y, wide, high));
    if let Some(of) = corners.iter().find(|of| uniform(of)) {
        sheet.marks.push(Mark::Blank(*of));
        sheet.frame(HAIR, *of);
        frame::letter_f(sheet, PageBox::new(of.x + 1.2, of.y + 1.2, width, LETTER), placed.view, Pen::solid(0.5));
    } else {
        letter_outside(sheet, placed, metal);
    }
}

/// The F just outside the plate's upper edge.
fn letter_outside(sheet: &mut Sheet, placed: &Placed, metal: PageBox) {
    let small = 4.0_f64.min(metal.y - 3.5);
    let x = if placed.view == View::Plate { metal.right() - small * 0.6 } else { metal.x };
    frame::letter_f(sheet, PageBox::new(x, metal.y - small - 1.0, small * 0.6, small), placed.view, LINE);
}
#[cfg(test)]
mod tests;
