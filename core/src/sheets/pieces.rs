//! The 4-connected pieces of the zones of a plate, of every value at once: what hatch, dots and rules of all its sheets are found by.

use crate::aside::{BY_HAND, RESIST};
use crate::components::Components;
use crate::plane::Plane;
use std::ops::Range;

/// Side of the squares in which no painted or covered part may stay white, mm. A square that is filled holds a stroke and a dot anyway.
const SQUARE: f64 = 2.5;
/// Kinds of zones that are counted by square: sixteen tones, the two set aside, and what is none of them.
const KINDS: usize = 19;

/// The place of a zone among the kinds.
fn kind(zone: u8) -> usize {
    match zone {
        0..=15 => usize::from(zone),
        RESIST => 16,
        BY_HAND => 17,
        _ => 18,
    }
}

/// One piece.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    /// What its pixels hold.
    pub(super) zone: u8,
    /// The columns and rows that hold it.
    pub(super) columns: Range<usize>,
    pub(super) rows: Range<usize>,
    /// The first of its longest stretches within a row: that row and the stretch's columns.
    pub(super) longest: (usize, Range<usize>),
}

/// All pieces of a plate's zones, numbered from 0 in the order of their first pixel.
#[derive(Clone, Debug)]
pub(super) struct Pieces {
    list: Vec<Piece>,
    labels: Plane<u32>,
    /// Pieces that touch by a side, each two at least once.
    touching: Vec<(u32, u32)>,
    squares: Squares,
    /// Pixels of each kind in each square.
    held: Vec<[u32; KINDS]>,
}

impl Pieces {
    /// Finds them. Linear in pixels.
    pub(super) fn of(zones: &Plane<u8>, px_per_mm: f64) -> Self {
        let components = Components::of(zones);
        let squares = Squares::of(zones.width(), zones.height(), SQUARE, px_per_mm);
        let mut held = vec![[0; KINDS]; squares.count()];
        let mut labels = Plane::filled(zones.width(), zones.height(), 0_u32);
        let mut list: Vec<Option<Piece>> = vec![None; components.count()];
        let mut touching = Touching::of(components.count());
        components.each_stretch(|y, start, end, number| {
            let zone = components.values()[number];
            labels.data_mut()[y * zones.width() + start..y * zones.width() + end].fill(number as u32);
            let fresh = || Piece { zone, columns: start..end, rows: y..y + 1, longest: (y, start..end) };
            let piece = list[number].get_or_insert_with(fresh);
            (piece.columns.start, piece.columns.end) = (piece.columns.start.min(start), piece.columns.end.max(end));
            piece.rows.end = y + 1;
            if end - start > piece.longest.1.len() {
                piece.longest = (y, start..end);
            }
            for column in start / squares.side..=(end - 1) / squares.side {
                let (from, to) = (start.max(column * squares.side), end.min((column + 1) * squares.side));
                held[y / squares.side * squares.across + column][kind(zone)] += (to - from) as u32;
            }
            touching.stretch(y, start..end, number as u32);
        });
        let list = list.into_iter().flatten().collect();
        Self { list, labels, touching: touching.pairs, squares, held }
    }

    /// All of them.
    pub(super) fn list(&self) -> &[Piece] {
        &self.list
    }

    /// The number of the piece at a pixel.
    pub(super) fn at(&self, x: usize, y: usize) -> u32 {
        self.labels.at(x, y)
    }

    /// Whether any pixel holds it.
    pub(super) fn any(&self, zone: u8) -> bool {
        self.list.iter().any(|piece| piece.zone == zone)
    }

    /// The squares that [`Pieces::held`] counts by.
    pub(super) fn squares(&self) -> &Squares {
        &self.squares
    }

    /// How many pixels of a square hold a zone for which `wanted` is true; asked once for each of the zones there are.
    pub(super) fn held(&self, square: usize, wanted: impl Fn(u8) -> bool) -> usize {
        let zones = (0..=15).chain([RESIST, BY_HAND]);
        zones.filter(|&zone| wanted(zone)).map(|zone| self.held[square][kind(zone)] as usize).sum()
    }

    /// For each piece the first of those it hangs together with through pieces for which `wanted` is true; itself where it is not wanted.
    pub(super) fn joined(&self, wanted: impl Fn(u8) -> bool) -> Vec<u32> {
        fn root(of: &mut [u32], mut at: u32) -> u32 {
            while of[at as usize] != at {
                of[at as usize] = of[of[at as usize] as usize];
                at = of[at as usize];
            }
            at
        }
        let mut first: Vec<u32> = (0..self.list.len() as u32).collect();
        for &(a, b) in &self.touching {
            if wanted(self.list[a as usize].zone) && wanted(self.list[b as usize].zone) {
                let (a, b) = (root(&mut first, a), root(&mut first, b));
                first[a.max(b) as usize] = a.min(b);
            }
        }
        (0..first.len() as u32).map(|at| root(&mut first, at)).collect()
    }
}

/// Finds what touches while stretches go by, row by row.
struct Touching {
    pairs: Vec<(u32, u32)>,
    /// What each piece touched last: along an edge it is the same from row to row.
    last: Vec<u32>,
    row: usize,
    above: Vec<(Range<usize>, u32)>,
    here: Vec<(Range<usize>, u32)>,
    /// The first stretch above that may reach as far as the next one here.
    next: usize,
}

impl Touching {
    fn of(pieces: usize) -> Self {
        Self { pairs: Vec::new(), last: vec![u32::MAX; pieces], row: 0, above: Vec::new(), here: Vec::new(), next: 0 }
    }

    fn pair(&mut self, a: u32, b: u32) {
        let (low, high) = (a.min(b), a.max(b));
        if low != high && self.last[high as usize] != low {
            self.last[high as usize] = low;
            self.pairs.push((low, high));
        }
    }

    fn stretch(&mut self, row: usize, columns: Range<usize>, piece: u32) {
        if row != self.row {
            std::mem::swap(&mut self.above, &mut self.here);
            self.here.clear();
            (self.row, self.next) = (row, 0);
        }
        if let Some(&(_, before)) = self.here.last() {
            self.pair(before, piece);
        }
        while let Some((above, other)) = self.above.get(self.next).cloned().filter(|(above, _)| above.start < columns.end) {
            self.pair(other, piece);
            if above.end > columns.end {
                break;
            }
            self.next += 1;
        }
        self.here.push((columns, piece));
    }
}

/// A raster cut into squares, row after row from the top left; those at the right and the foot may be narrower.
#[derive(Clone, Debug)]
pub(super) struct Squares {
    side: usize,
    across: usize,
    down: usize,
    width: usize,
    height: usize,
}

impl Squares {
    /// Squares of `mm`, of a pixel at least.
    pub(super) fn of(width: usize, height: usize, mm: f64, px_per_mm: f64) -> Self {
        let side = libm::round(mm * px_per_mm).max(1.0) as usize;
        Self { side, across: width.div_ceil(side), down: height.div_ceil(side), width, height }
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        self.across * self.down
    }

    /// The square of a pixel.
    pub(super) fn index(&self, x: usize, y: usize) -> usize {
        y / self.side * self.across + x / self.side
    }

    /// Its columns and rows.
    pub(super) fn pixels(&self, index: usize) -> (Range<usize>, Range<usize>) {
        let (left, top) = (index % self.across * self.side, index / self.across * self.side);
        (left..(left + self.side).min(self.width), top..(top + self.side).min(self.height))
    }

    /// The square of a pixel and those that touch it.
    pub(super) fn around(&self, x: usize, y: usize) -> impl Iterator<Item = usize> {
        let (column, row, across) = (x / self.side, y / self.side, self.across);
        (row.saturating_sub(1)..(row + 2).min(self.down))
            .flat_map(move |row| (column.saturating_sub(1)..(column + 2).min(across)).map(move |column| row * across + column))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn pieces_touch_by_sides_never_by_corners() {
        let rows = [b"#.##.", b"#.#.#", b"###.#", b"...#."];
        let map = Plane::from_fn(5, 4, |x, y| u8::from(rows[y][x] == b'#'));
        let pieces = Pieces::of(&map, 1.0);
        assert_eq!(pieces.list().iter().filter(|piece| piece.zone == 1).count(), 3);
        assert_eq!(pieces.at(0, 0), pieces.at(3, 0));
        let first = &pieces.list()[pieces.at(0, 0) as usize];
        assert_eq!((first.columns.clone(), first.rows.clone(), first.longest.clone()), (0..4, 0..3, (2, 0..3)));
        assert_ne!(pieces.at(4, 1), pieces.at(3, 3));
    }

    proptest! {
        #[test]
        fn what_hangs_together_is_what_the_union_holds_as_one(pixels in prop::collection::vec(0_u8..4, 12 * 9), below in 0_u8..5) {
            let map = Plane::new(12, 9, pixels).unwrap();
            let pieces = Pieces::of(&map, 1.0);
            let joined = pieces.joined(|zone| zone < below);
            // Found another way: the pieces of the map in which all that is wanted is one value.
            let union = Components::of(&map.map(|&zone| if zone < below { 0 } else { zone + 1 }));
            let mut labels = Plane::filled(12, 9, 0);
            union.each_stretch(|y, start, end, piece| (start..end).for_each(|x| labels.data_mut()[y * 12 + x] = piece));
            for (a, b) in (0..108).flat_map(|a| (0..108).map(move |b| (a, b))) {
                let group = |at: usize| joined[pieces.at(at % 12, at / 12) as usize];
                prop_assert_eq!(group(a) == group(b), labels.data()[a] == labels.data()[b]);
            }
            for square in 0..pieces.squares().count() {
                let (columns, rows) = pieces.squares().pixels(square);
                let counted = rows.flat_map(|y| columns.clone().map(move |x| (x, y))).filter(|&(x, y)| map.at(x, y) < below).count();
                prop_assert_eq!(pieces.held(square, |zone| zone < below), counted);
            }
        }
    }
}
