//! The 4-connected pieces of a part of the step map.

use crate::components::Components;
use crate::plane::Plane;
use std::ops::Range;

/// Columns and rows.
type Bounds = (Range<usize>, Range<usize>);

/// A raster of piece numbers: 0 outside, 1 to `count` within.
pub(super) struct Pieces {
    labels: Plane<u32>,
    count: usize,
}

impl Pieces {
    /// Numbers the pieces that hold the pixels for which `keep` is true, in the order of their first pixel.
    pub(super) fn of(map: &Plane<u8>, keep: impl Fn(u8) -> bool) -> Self {
        let components = Components::of(&map.map(|&tone| u8::from(keep(tone))));
        let mut count = 0;
        let numbers: Vec<u32> = components
            .values()
            .iter()
            .map(|&value| {
                count += u32::from(value);
                count * u32::from(value)
            })
            .collect();
        let mut labels = Plane::filled(map.width(), map.height(), 0_u32);
        components.each_stretch(|y, start, end, piece| {
            labels.data_mut()[y * map.width() + start..y * map.width() + end].fill(numbers[piece]);
        });
        Self { labels, count: count as usize }
    }

    /// The piece at a pixel, 0 where there is none.
    pub(super) fn at(&self, x: usize, y: usize) -> u32 {
        self.labels.at(x, y)
    }

    /// How many pieces there are.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    /// Columns and rows that hold each piece for which `wanted` is true, in the order of their numbers.
    pub(super) fn bounds(&self, wanted: impl Fn(u32) -> bool) -> Vec<(u32, Bounds)> {
        let mut all: Vec<Option<Bounds>> = vec![None; self.count + 1];
        for (y, row) in self.labels.rows().enumerate() {
            let mut from = 0;
            for run in row.chunk_by(|a, b| a == b) {
                let to = from + run.len();
                if run[0] > 0 {
                    let (columns, rows) = all[run[0] as usize].get_or_insert((from..to, y..y + 1));
                    (columns.start, columns.end, rows.end) = (columns.start.min(from), columns.end.max(to), y + 1);
                }
                from = to;
            }
        }
        (0..).zip(all).filter_map(|(piece, bounds)| Some((piece, bounds?))).filter(|(piece, _)| wanted(*piece)).collect()
    }

    /// The raster of piece numbers.
    pub(super) fn labels(&self) -> &Plane<u32> {
        &self.labels
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_touch_by_sides_never_by_corners() {
        let rows = [b"#.##.", b"#.#.#", b"###.#", b"...#."];
        let map = Plane::from_fn(5, 4, |x, y| u8::from(rows[y][x] == b'#'));
        let pieces = Pieces::of(&map, |tone| tone == 1);
        assert_eq!(pieces.count(), 3);
        assert_eq!(pieces.at(0, 0), pieces.at(3, 0));
        assert_eq!(pieces.bounds(|piece| piece == 1), [(1, (0..4, 0..3))]);
        assert_eq!((pieces.at(1, 0), pieces.at(4, 1), pieces.at(3, 3)), (0, 2, 3));
    }
}
