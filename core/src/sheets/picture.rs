//! The picture of one stop-out, or of the lift, at true size: edges, hatch, dots, within the plate's frame.

use super::frame::{self, DASHED, DOTTED, HAIR, LINE};
use super::key;
use super::layout::Layout;
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet};
use super::tiling::{HALF_MARK, Tile};
use super::tints::{DOT, RasterPoint, Tints};
use super::words::{Place, by_hand, places};
use super::{Job, Use, View};
use crate::aside::{BY_HAND, RESIST};
use crate::outline::{Curves, Inward, MOVED, SharedCurve, inward};
use crate::plane::Plane;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;
use kurbo::{Affine, BezPath};

/// Hatch strokes.
const HATCH: Pen = Pen::solid(0.25);
/// Type of the words inside large regions, points.
const REGION_WORDS: f64 = 14.0;
/// Type of the word HAND, points: most such areas are small.
const HAND_WORD: f64 = 9.0;
/// The frame that only a lift has.
const SECOND_FRAME: Pen = Pen::solid(0.7);
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
    /// A point of the raster as this view shows it.
    fn raster(&self, (x, y): RasterPoint) -> PagePoint {
        PagePoint::new(self.face.x + x * self.pixel.0, self.face.y + y * self.pixel.1)
    }

    /// A curve on the face in print view.
    fn curve(&self, path: &BezPath) -> BezPath {
        let (across, down) = self.outline;
        let (start, across) = if self.view == View::Plate { (self.face.right(), -across) } else { (self.face.x, across) };
        Affine::new([across, 0.0, 0.0, down, start, self.face.y]) * path
    }
}

/// The sheet of a picture with the plate's frame, still without captions.
pub(super) fn sheet(job: &Job, layout: &Layout, shows: Shows, for_use: Use) -> Sheet {
    let mut sheet = Sheet::new(shows.named(&shows.name(), for_use), layout.page);
    let (placed, zones) = placed(job, layout.metal, for_use);
    shows.draw(&mut sheet, job, &placed, &zones);
    words(&mut sheet, job, shows, &placed, (&zones, layout.metal));
    around(&mut sheet, job, layout, (shows, &placed));
    shows.second_frame(&mut sheet, &placed);
    sheet
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

    /// Tints and edges.
    fn draw(self, sheet: &mut Sheet, job: &Job, placed: &Placed, zones: &Plane<u8>) {
        match self {
            Self::StopOut(number) => stop_out(sheet, job, placed, zones, (number - 1) as u8),
            Self::Lift => lift_picture(sheet, job, placed, zones),
            Self::Key => sheet.marks.extend(key::marks(job, placed.view, placed.face).0),
            Self::Frame => {}
        }
    }

    /// The frame that tells it from a stop-out across the room.
    fn second_frame(self, sheet: &mut Sheet, placed: &Placed) {
        match self {
            Self::StopOut(_) | Self::Key | Self::Frame => {}
            Self::Lift => sheet.frame(SECOND_FRAME, placed.face.inset(1.4_f64.min(placed.face.width.min(placed.face.height) / 6.0))),
        }
    }
}

/// The words inside the picture and its test letter, where `zones` are shown; beyond `around` nothing is set.
fn words(sheet: &mut Sheet, job: &Job, shows: Shows, placed: &Placed, (zones, around): (&Plane<u8>, PageBox)) {
    match shows {
        Shows::StopOut(number) => {
            let new_tone = (number - 1) as u8;
            region_words(sheet, placed, zones, new_tone, job.stop_outs.resolution().0);
            hand_words(sheet, placed, zones);
            test_letter(sheet, placed, zones, new_tone, around);
        }
        Shows::Key => test_letter(sheet, placed, zones, 0, around),
        Shows::Frame => window_words(sheet, placed.face),
        Shows::Lift => {
            // The letter finds its corner as where one tone is painted: all that is open is alike.
            let alike = zones.map(|&zone| if zone == RESIST { RESIST } else { 0 });
            test_letter(sheet, placed, &alike, 0, around);
        }
    }
}

/// The picture in millimetres from the metal's upper left corner, as its view shows it: tints, edges, the metal's marks. Without words and
/// without the test letter, which each sheet sets for itself.
pub(super) fn on_metal(job: &Job, shows: Shows, for_use: Use) -> Vec<Mark> {
    let size = job.plate.size();
    let metal = PageBox::new(0.0, 0.0, size.width.0, size.height.0);
    let mut sheet = Sheet::new("", size);
    let (placed, zones) = placed(job, metal, for_use);
    shows.draw(&mut sheet, job, &placed, &zones);
    frame::metal_edge(&mut sheet, metal, shows.solid(metal, placed.face));
    frame::notch(&mut sheet, metal, job.plate.bevel().0, job.settings.notch, placed.view);
    shows.second_frame(&mut sheet, &placed);
    sheet.marks
}

/// The words and the test letter of one tile, within what lies between its joins, so that no join cuts them. `origin` is where the metal's
/// upper left corner would lie on the page.
pub(super) fn on_tile(sheet: &mut Sheet, job: &Job, shows: Shows, for_use: Use, (tile, origin): (&Tile, PagePoint)) {
    let size = job.plate.size();
    let (placed, zones) = placed(job, PageBox::new(origin.x, origin.y, size.width.0, size.height.0), for_use);
    let bevel = job.plate.bevel().0;
    let stretch = |from: f64, to: f64, pixel: f64, most: usize| {
        let from = (libm::ceil((from - bevel) / pixel).max(0.0) as usize).min(most);
        (from, (libm::floor((to - bevel) / pixel).max(0.0) as usize).clamp(from, most))
    };
    // Clear of the half marks along the joins too.
    let from = |at: f64| if at > 0.0 { at + HALF_MARK + 0.5 } else { at };
    let to = |at: f64, end: f64| if at < end { at - HALF_MARK - 0.5 } else { at };
    let cell = tile.cell;
    let (left, right) = stretch(from(cell.x), to(cell.right(), size.width.0), placed.pixel.0, zones.width());
    let (top, foot) = stretch(from(cell.y), to(cell.foot(), size.height.0), placed.pixel.1, zones.height());
    if left == right || top == foot {
        return;
    }
    let part = Plane::from_fn(right - left, foot - top, |x, y| zones.at(left + x, top + y));
    let corner = placed.raster((left as f64, top as f64));
    let face = PageBox::new(corner.x, corner.y, (right - left) as f64 * placed.pixel.0, (foot - top) as f64 * placed.pixel.1);
    let placed = Placed { face, ..placed };
    let window = PageBox::new(origin.x + tile.window.x, origin.y + tile.window.y, tile.window.width, tile.window.height);
    words(sheet, job, shows, &placed, (&part, window));
}

/// Tints and edges of a stop-out.
fn stop_out(sheet: &mut Sheet, job: &Job, placed: &Placed, zones: &Plane<u8>, new_tone: u8) {
    let (plain, resolution) = (job.stop_outs.zones(), job.stop_outs.resolution());
    if job.settings.inward.0 > 0.0 {
        let Inward { zones: moved, resolution, .. } = inward(plain, new_tone, job.settings.inward, resolution);
        let shown = if placed.view == View::Plate { moved.mirrored() } else { moved.clone() };
        // Hatch ends at the line that is drawn: what lies beyond it is left bare.
        let shown = shown.map(|&zone| if zone == MOVED { new_tone + 1 } else { zone });
        let pixel = (placed.face.width / shown.width() as f64, placed.face.height / shown.height() as f64);
        tints(sheet, &Placed { pixel, ..*placed }, &Tints::of(&shown, new_tone, resolution.0));
        edges(sheet, placed, &Curves::of(&moved, resolution).list, new_tone);
    } else {
        tints(sheet, placed, &Tints::of(zones, new_tone, resolution.0));
        edges(sheet, placed, &job.outlines.curves(plain, resolution).list, new_tone);
    }
}

/// Tints and edges of the lift.
fn lift_picture(sheet: &mut Sheet, job: &Job, placed: &Placed, zones: &Plane<u8>) {
    tints(sheet, placed, &Tints::of_lift(zones, job.stop_outs.resolution().0));
    let curves = job.outlines.curves(job.stop_outs.zones(), job.stop_outs.resolution());
    for curve in curves.list.iter().filter(|curve| (curve.lighter == RESIST) != (curve.darker == RESIST)) {
        sheet.marks.push(Mark::Curve { pen: LINE, path: placed.curve(&curve.path) });
    }
}

/// The face on the page, and the zones as its view shows them.
fn placed(job: &Job, metal: PageBox, for_use: Use) -> (Placed, Plane<u8>) {
    let view = for_use.view();
    let face = metal.inset(job.plate.bevel().0);
    let zones = job.stop_outs.zones();
    let zones = if view == View::Plate { zones.mirrored() } else { zones.clone() };
    let px_per_mm = job.stop_outs.resolution().0;
    let pixel = (face.width / zones.width() as f64, face.height / zones.height() as f64);
    (Placed { face, view, pixel, outline: (pixel.0 * px_per_mm, pixel.1 * px_per_mm) }, zones)
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
fn hand_words(sheet: &mut Sheet, placed: &Placed, zones: &Plane<u8>) {
    let cap = TypeFace::of(Weight::Semibold).cap_height(HAND_WORD).0;
    for at in by_hand(zones) {
        let middle = placed.raster(at);
        sheet.text(Weight::Semibold, HAND_WORD, Align::Middle, (middle.x, middle.y + cap / 2.0), "HAND");
    }
}

/// Each shared arc once: solid where new paint meets bare metal, dashed where anything covered before ends, thin along a resist, dotted
/// round what is worked by hand.
fn edges(sheet: &mut Sheet, placed: &Placed, curves: &[SharedCurve], new_tone: u8) {
    for drawn in [DASHED, HAIR, LINE, DOTTED] {
        for curve in curves {
            if pen((curve.lighter, curve.darker), new_tone) == Some(drawn) {
                sheet.marks.push(Mark::Curve { pen: drawn, path: placed.curve(&curve.path) });
            }
        }
    }
}

/// The words themselves inside regions that are large enough.
fn region_words(sheet: &mut Sheet, placed: &Placed, map: &Plane<u8>, new_tone: u8, px_per_mm: f64) {
    let face = TypeFace::of(Weight::Semibold);
    let cap = face.cap_height(REGION_WORDS).0;
    // The blank around the words: a millimetre and a half above, below and beside them.
    let size = |words: &str| (face.width(words, REGION_WORDS).0 + 4.0, cap + 3.4);
    for Place { at, words } in places(map, new_tone, px_per_mm, size) {
        let middle = placed.raster(at);
        let (width, height) = size(words);
        let of = PageBox::new(middle.x - width / 2.0, middle.y - height / 2.0, width, height);
        sheet.marks.push(Mark::Blank(of));
        sheet.text(Weight::Semibold, REGION_WORDS, Align::Middle, (middle.x, middle.y + cap / 2.0), words);
    }
}

/// The F inside the picture, in a corner of it where one sign covers all; where there is none, just outside the plate's upper edge.
///
/// It stands at the left in print view, so at the right in plate view, and is reversed there: it travels with the picture.
fn test_letter(sheet: &mut Sheet, placed: &Placed, map: &Plane<u8>, new_tone: u8, metal: PageBox) {
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
        let sign = |tone: u8| (tone.cmp(&new_tone), tone == RESIST || tone == BY_HAND);
        of.width + 2.0 * LETTER_INSET < face.width
            && of.height + 2.0 * LETTER_INSET < face.height
            && (y..=to_y.min(map.height() - 1))
                .all(|row| (x..=to_x.min(map.width() - 1)).all(|column| sign(map.at(column, row)) == sign(map.at(x, y))))
    };
    let corners = [(near, top), (near, foot), (far, top), (far, foot)].map(|(x, y)| PageBox::new(x, y, wide, high));
    if let Some(of) = corners.iter().find(|of| uniform(of)) {
        sheet.marks.push(Mark::Blank(*of));
        sheet.frame(HAIR, *of);
        frame::letter_f(sheet, PageBox::new(of.x + 1.2, of.y + 1.2, width, LETTER), placed.view, Pen::solid(0.5));
    } else {
        let small = 4.0_f64.min(metal.y - 3.5);
        let x = if placed.view == View::Plate { metal.right() - small * 0.6 } else { metal.x };
        frame::letter_f(sheet, PageBox::new(x, metal.y - small - 1.0, small * 0.6, small), placed.view, LINE);
    }
}
