//! The marks by which the tiles of a plate are put together: the joins, and half marks lettered alike on both sides of each.

use super::Job;
use super::frame::{HAIR, LINE};
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet, Text};
use super::tiling::{Grid, HALF_MARK, Tile};
use crate::plane::Plane;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// A join: long dashes of the thinnest line, unlike any edge.
const JOIN: Pen = Pen { width: Millimetres(0.18), dash: Some((Millimetres(6.0), Millimetres(3.0))) };
/// How far along a join its word stands, mm from the cell's corner: clear of the marks at the metal edge.
const JOIN_WORD_IN: f64 = 14.0;

/// The sides of a tile that are joins: left, right, top, foot.
fn joined(tile: &Tile) -> [bool; 4] {
    [tile.column > 0, tile.column + 1 < tile.of.1, tile.row > 0, tile.row + 1 < tile.of.0]
}

/// The join lines with a tick at their ends, and a thin line where the overlap ends.
pub(super) fn joins(sheet: &mut Sheet, tile: &Tile, room: PageBox, origin: PagePoint, tick: f64) {
    let [left, right, top, foot] = joined(tile);
    let cell = PageBox::new(tile.cell.x + origin.x, tile.cell.y + origin.y, tile.cell.width, tile.cell.height);
    for (x, edge) in [(cell.x, room.x, left), (cell.right(), room.right(), right)].into_iter().filter(|side| side.2).map(|s| (s.0, s.1)) {
        sheet.stroke(JOIN, (x, room.y), (x, room.foot()));
        sheet.stroke(HAIR, (edge, room.y), (edge, room.foot()));
        sheet.stroke(LINE, (x, room.y - 0.3), (x, room.y - tick));
        sheet.stroke(LINE, (x, room.foot() + 0.3), (x, room.foot() + tick));
        join_word(sheet, ((x + edge) / 2.0, cell.y + JOIN_WORD_IN), true);
    }
    for (y, edge) in [(cell.y, room.y, top), (cell.foot(), room.foot(), foot)].into_iter().filter(|side| side.2).map(|s| (s.0, s.1)) {
        sheet.stroke(JOIN, (room.x, y), (room.right(), y));
        sheet.stroke(HAIR, (room.x, edge), (room.right(), edge));
        sheet.stroke(LINE, (room.x - 0.3, y), (room.x - tick, y));
        sheet.stroke(LINE, (room.right() + 0.3, y), (room.right() + tick, y));
        join_word(sheet, (cell.x + JOIN_WORD_IN, (y + edge) / 2.0), false);
    }
}

/// The word "join" on bare paper in the strip that is cut off or laid over, where no other words stand; the middle of it.
fn join_word(sheet: &mut Sheet, (x, y): (f64, f64), runs_up: bool) {
    let face = TypeFace::of(Weight::Regular);
    let (long, cap) = (face.width("join", 9.0).0, face.cap_height(9.0).0);
    let (wide, high) = if runs_up { (cap + 1.6, long + 1.6) } else { (long + 1.6, cap + 1.6) };
    sheet.marks.push(Mark::Blank(PageBox::new(x - wide / 2.0, y - high / 2.0, wide, high)));
    if runs_up {
        upwards(sheet, 9.0, Align::Middle, (x + cap / 2.0, y), "join");
    } else {
        sheet.text(Weight::Regular, 9.0, Align::Middle, (x, y + cap / 2.0), "join");
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
pub(super) fn pairs(grid: &Grid, job: &Job, zones: &Plane<u8>) -> Vec<Pair> {
    let (face, bevel) = (job.plate.face(), job.plate.bevel().0);
    let pixel = (face.width.0 / zones.width() as f64, face.height.0 / zones.height() as f64);
    let busy =
        |at: PagePoint| busy(zones, ((at.x - bevel) / pixel.0, (at.y - bevel) / pixel.1), (HALF_MARK / pixel.0, HALF_MARK / pixel.1));
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

/// How many neighbouring pixels differ around a place of the raster.
fn busy(zones: &Plane<u8>, at: (f64, f64), half: (f64, f64)) -> usize {
    let stretch = |at: f64, half: f64, most: usize| ((at - half).max(0.0) as usize).min(most)..((at + half).max(0.0) as usize).min(most);
    let (across, down) = (stretch(at.0, half.0, zones.width()), stretch(at.1, half.1, zones.height()));
    down.map(|y| {
        zones.row(y)[across.clone()].windows(2).filter(|pair| pair[0] != pair[1]).count()
            + across.clone().filter(|&x| y > 0 && zones.at(x, y) != zones.at(x, y - 1)).count()
    })
    .sum()
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
        let middle = at(0.0, HALF_MARK * 0.42);
        // Hatch under a letter of 9 pt hides it.
        sheet.marks.push(Mark::Blank(PageBox::new(middle.x - 1.5, middle.y - 1.6, 3.0, 3.2)));
        sheet.text(Weight::Semibold, 9.0, Align::Middle, (middle.x, middle.y + 0.9), self.letter.as_str());
    }
}
