//! The marks by which the tiles of a plate are put together: the joins, and half marks lettered alike on both sides of each.

use super::Job;
use super::frame::{HAIR, LINE};
use super::hinge::Side;
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet, Text};
use super::tiling::{Grid, HALF_MARK, Tile};
use crate::plane::Plane;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// A join: long dashes of the thinnest line, unlike any edge.
const JOIN: Pen = Pen { width: Millimetres(0.18), dash: Some((Millimetres(6.0), Millimetres(3.0))) };
/// How far the words along a join keep from the cell's corners, mm: clear of the marks at the metal edge.
const CORNER: f64 = 9.0;
/// Places of these words are tried so far apart, mm.
const NEXT: f64 = 8.0;
/// Type of these words, points: between its two lines the strip leaves them some air.
const SIZE: f64 = 10.0;
/// What letters of this type reach above the line they stand on, and below it, in shares of its size: b and p.
const REACH: (f64, f64) = (0.72, 0.25);

/// The sides of a tile that are joins: left, right, top, foot.
fn joined(tile: &Tile) -> [bool; 4] {
    [tile.column > 0, tile.column + 1 < tile.of.1, tile.row > 0, tile.row + 1 < tile.of.0]
}

/// The sheet that a join's other side is on, and what is done with the strip past the join: each tile is cut at its right and at its
/// foot and laid there on the next one.
fn strip_words(tile: &Tile, side: Side) -> String {
    match side {
        Side::Right | Side::Foot => "overlap: cut off at the join".to_owned(),
        Side::Left => format!("overlap at the join: under {}", Tile { column: tile.column - 1, ..*tile }.code()),
        Side::Top => format!("overlap at the join: under {}", Tile { row: tile.row - 1, ..*tile }.code()),
    }
}

/// The join lines with a tick at their ends, a thin line where the overlap ends, and between them what becomes of the strip. `room` is the
/// window on the page with what it holds of a flap; `around` knows where the picture has edges.
pub(super) fn joins(sheet: &mut Sheet, tile: &Tile, room: PageBox, origin: PagePoint, (tick, around): (f64, &Around)) {
    let [left, right, top, foot] = joined(tile);
    let cell = PageBox::new(tile.cell.x + origin.x, tile.cell.y + origin.y, tile.cell.width, tile.cell.height);
    let upright = [(Side::Left, cell.x, room.x, left), (Side::Right, cell.right(), room.right(), right)];
    for (side, x, edge, _) in upright.into_iter().filter(|side| side.3) {
        sheet.stroke(JOIN, (x, room.y), (x, room.foot()));
        sheet.stroke(HAIR, (edge, room.y), (edge, room.foot()));
        sheet.stroke(LINE, (x, room.y - 0.3), (x, room.y - tick));
        sheet.stroke(LINE, (x, room.foot() + 0.3), (x, room.foot() + tick));
        strip_word(sheet, &strip_words(tile, side), ((x + edge) / 2.0, (cell.y, cell.foot())), true, (origin, around));
    }
    let level = [(Side::Top, cell.y, room.y, top), (Side::Foot, cell.foot(), room.foot(), foot)];
    for (side, y, edge, _) in level.into_iter().filter(|side| side.3) {
        sheet.stroke(JOIN, (room.x, y), (room.right(), y));
        sheet.stroke(HAIR, (room.x, edge), (room.right(), edge));
        sheet.stroke(LINE, (room.x - 0.3, y), (room.x - tick, y));
        sheet.stroke(LINE, (room.right() + 0.3, y), (room.right() + tick, y));
        strip_word(sheet, &strip_words(tile, side), ((y + edge) / 2.0, (cell.x, cell.right())), false, (origin, around));
    }
}

/// Words on bare paper in the strip that is cut off or laid under, where it has the fewest edges of the picture: those are on the next tile
/// too. A strip too short for them has the word "join".
fn strip_word(sheet: &mut Sheet, words: &str, (across, along): (f64, (f64, f64)), runs_up: bool, (origin, around): (PagePoint, &Around)) {
    let face = TypeFace::of(Weight::Regular);
    let em = SIZE * 25.4 / 72.0;
    // The words stand in the middle of the strip with all that they reach, and the bare paper behind them leaves its lines whole.
    let (base, high) = (em * (REACH.0 - REACH.1) / 2.0, em * (REACH.0 + REACH.1) + 0.2);
    let long = |words: &str| face.width(words, SIZE).0 + 1.6;
    let room = along.1 - along.0 - 2.0 * CORNER;
    let words = if long(words) <= room { words } else { "join" };
    let long = long(words);
    let of = |middle: f64| {
        if runs_up {
            PageBox::new(across - high / 2.0, middle - long / 2.0, high, long)
        } else {
            PageBox::new(middle - long / 2.0, across - high / 2.0, long, high)
        }
    };
    let busy = |of: &PageBox| around.edges(&PageBox::new(of.x - origin.x, of.y - origin.y, of.width, of.height));
    let first = along.0 + CORNER + long / 2.0;
    let tries = libm::floor((room - long).max(0.0) / NEXT) as usize;
    let mut best = (busy(&of(first)), first);
    for middle in (1..=tries).map(|step| first + step as f64 * NEXT) {
        if best.0 == 0 {
            break;
        }
        let here = busy(&of(middle));
        if here < best.0 {
            best = (here, middle);
        }
    }
    let middle = best.1;
    sheet.marks.push(Mark::Blank(of(middle)));
    if runs_up {
        upwards(sheet, SIZE, Align::Middle, (across + base, middle), words);
    } else {
        sheet.text(Weight::Regular, SIZE, Align::Middle, (middle, across + base), words);
    }
}

/// A text that runs upwards.
pub(super) fn upwards(sheet: &mut Sheet, size: f64, align: Align, at: (f64, f64), words: impl Into<String>) {
    let text = Text { at: PagePoint::new(at.0, at.1), words: words.into(), size, weight: Weight::Regular, align, upwards: true };
    sheet.marks.push(Mark::Text(text));
}

/// A mark that a join cuts in two, lettered alike on both sides.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pair {
    at: PagePoint,
    /// Whether its join runs up and down: then it is a circle, else a square on its corner.
    upright: bool,
    letter: String,
}

/// Two marks on each join between two tiles, where they lie over the fewest edges.
pub(super) fn pairs(grid: &Grid, around: &Around) -> Vec<Pair> {
    let busy = |at: PagePoint| around.edges(&PageBox::new(at.x - HALF_MARK, at.y - HALF_MARK, 2.0 * HALF_MARK, 2.0 * HALF_MARK));
    let mut pairs = Vec::new();
    let ways = [(true, &grid.across.joins, grid.down.cells()), (false, &grid.down.joins, grid.across.cells())];
    for (upright, joins, cells) in ways {
        for &join in joins {
            for &(from, to) in &cells {
                for first in [0.15, 0.55] {
                    let places = (0..=10).map(|step| {
                        let along = from + (to - from) * (first + 0.03 * f64::from(step));
                        if upright { PagePoint::new(join, along) } else { PagePoint::new(along, join) }
                    });
                    let Some((_, at)) = places.map(|at| (busy(at), at)).reduce(|a, b| if b.0 < a.0 { b } else { a }) else { continue };
                    pairs.push(Pair { at, upright, letter: letter(pairs.len()) });
                }
            }
        }
    }
    pairs
}

/// Where a picture has edges: its zones as its view shows them, and how they lie on the metal.
pub(super) struct Around<'a> {
    zones: &'a Plane<u8>,
    bevel: f64,
    /// Size of a pixel, mm.
    pixel: (f64, f64),
}

impl<'a> Around<'a> {
    pub(super) fn of(job: &Job, zones: &'a Plane<u8>) -> Self {
        let face = job.plate.face();
        let pixel = (face.width.0 / zones.width() as f64, face.height.0 / zones.height() as f64);
        Self { zones, bevel: job.plate.bevel().0, pixel }
    }

    /// How many neighbouring pixels differ within a box on the metal.
    fn edges(&self, of: &PageBox) -> usize {
        let zones = self.zones;
        let stretch = |from: f64, to: f64, pixel: f64, most: usize| {
            let at = |mm: f64| (((mm - self.bevel) / pixel).max(0.0) as usize).min(most);
            at(from)..at(to)
        };
        let across = stretch(of.x, of.right(), self.pixel.0, zones.width());
        let down = stretch(of.y, of.foot(), self.pixel.1, zones.height());
        down.map(|y| {
            zones.row(y)[across.clone()].windows(2).filter(|pair| pair[0] != pair[1]).count()
                + across.clone().filter(|&x| y > 0 && zones.at(x, y) != zones.at(x, y - 1)).count()
        })
        .sum()
    }
}

/// a, b, … z, aa, bb …
fn letter(index: usize) -> String {
    let one = char::from(b'a' + (index % 26) as u8);
    std::iter::repeat_n(one, index / 26 + 1).collect()
}

impl Pair {
    /// Whether it lies on a side of the tile.
    pub(super) fn borders(&self, tile: &Tile) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
        let of = tile.cell;
        if self.upright {
            (near(self.at.x, of.x) || near(self.at.x, of.right())) && (of.y..of.foot()).contains(&self.at.y)
        } else {
            (near(self.at.y, of.y) || near(self.at.y, of.foot())) && (of.x..of.right()).contains(&self.at.x)
        }
    }

    /// The half on the tile's own side of the join.
    pub(super) fn draw(&self, sheet: &mut Sheet, tile: &Tile, origin: PagePoint) {
        let middle =
            if self.upright { tile.cell.x + tile.cell.width / 2.0 - self.at.x } else { tile.cell.y + tile.cell.height / 2.0 - self.at.y };
        let side = middle.signum();
        let at = |along: f64, inward: f64| {
            let (x, y) = if self.upright { (side * inward, along) } else { (along, side * inward) };
            PagePoint::new(origin.x + self.at.x + x, origin.y + self.at.y + y)
        };
        let points = if self.upright {
            (0..=16)
                .map(|step| {
                    let angle = std::f64::consts::PI * (f64::from(step) / 16.0 - 0.5);
                    at(HALF_MARK * libm::sin(angle), HALF_MARK * libm::cos(angle))
                })
                .collect()
        } else {
            vec![at(-HALF_MARK, 0.0), at(0.0, HALF_MARK), at(HALF_MARK, 0.0)]
        };
        sheet.marks.push(Mark::Line { pen: LINE, points, closed: false });
        // Within the half mark, clear of its own line and of the join.
        let middle = at(0.0, HALF_MARK * if self.upright { 0.42 } else { 0.36 });
        // Hatch under a letter of 9 pt hides it.
        sheet.marks.push(Mark::Blank(PageBox::new(middle.x - 1.2, middle.y - 1.3, 2.4, 2.6)));
        sheet.text(Weight::Semibold, 9.0, Align::Middle, (middle.x, middle.y + 0.9), self.letter.as_str());
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{letter, sheets};
    use super::super::{Kind, SheetSettings};
    use super::*;

    #[test]
    fn each_strip_says_what_becomes_of_it_and_both_sides_of_a_join_agree() {
        let (plate, map) = letter(300.0, 400.0);
        let settings = SheetSettings { kinds: vec![Kind::StopOuts], ..SheetSettings::default() };
        let made = sheets(&plate, map, 3, &settings);
        for (tile, cut, under) in [("A1", 2, &[][..]), ("A2", 1, &["A1"]), ("B1", 1, &["A1"]), ("B2", 0, &["B1", "A2"])] {
            let sheet = made.sheets.iter().find(|sheet| sheet.name.ends_with(tile)).unwrap();
            assert_eq!(sheet.words().filter(|words| *words == "overlap: cut off at the join").count(), cut, "{tile}");
            let lies: Vec<&str> = sheet.words().filter_map(|words| words.strip_prefix("overlap at the join: under ")).collect();
            assert_eq!(lies, under, "{tile}");
        }
    }

    #[test]
    fn its_words_stand_where_the_strip_has_no_edges() {
        // Edges everywhere but in a stretch of 60 mm at 100 mm.
        let zones = Plane::from_fn(20, 600, |x, y| if (200..320).contains(&y) { 0 } else { ((x + y) % 2) as u8 });
        let around = Around { zones: &zones, bevel: 0.0, pixel: (0.5, 0.5) };
        let mut sheet = Sheet::new("x", crate::plate::SizeMm { width: Millimetres(20.0), height: Millimetres(300.0) });
        strip_word(&mut sheet, "overlap at the join: under A1", (5.0, (0.0, 300.0)), true, (PagePoint::new(0.0, 0.0), &around));
        let Some(Mark::Blank(of)) = sheet.marks.first() else { panic!("bare paper") };
        assert!(of.y >= 100.0 && of.foot() <= 160.0, "{of:?}");
        strip_word(&mut sheet, "overlap at the join: under A1", (5.0, (0.0, 30.0)), true, (PagePoint::new(0.0, 0.0), &around));
        assert_eq!(sheet.words().last(), Some("join"));
    }
}
