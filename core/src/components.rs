//! Components: the 4-connected pieces of one value on a raster.

use crate::bits::differing;
use crate::plane::Plane;

/// A stretch of equal pixels within one row.
#[derive(Clone, Copy, Debug)]
struct Run {
    start: u32,
    end: u32,
    value: u8,
    /// Before flattening: a run of the same piece; after: the piece's number.
    piece: u32,
}

/// The pieces of a map, as runs of pixels. Cost linear in pixels, memory in runs.
pub struct Components {
    runs: Vec<Run>,
    /// First run of each row, and the count of runs at the end.
    rows: Vec<usize>,
    values: Vec<u8>,
    areas: Vec<u64>,
}

impl Components {
    /// Finds the pieces of every value.
    #[must_use]
    pub fn of(map: &Plane<u8>) -> Self {
        let mut runs: Vec<Run> = Vec::new();
        let mut rows = Vec::with_capacity(map.height() + 1);
        let mut cracks = vec![0u64; map.width().div_ceil(64)];
        for row in map.rows() {
            let first = runs.len();
            let above = rows.last().copied().unwrap_or(first);
            rows.push(first);
            // Runs end where a pixel differs from its right neighbour: found by words, 64 pixels at a time.
            cracks.fill(0);
            differing(row, &row[1..], &mut cracks);
            let mut start = 0;
            let mut close = |end: u32| {
                let piece = runs.len() as u32;
                runs.push(Run { start, end, value: row[start as usize], piece });
                start = end;
            };
            for (i, &word) in cracks.iter().enumerate() {
                let mut left = word;
                while left != 0 {
                    close(i as u32 * 64 + left.trailing_zeros() + 1);
                    left &= left - 1;
                }
            }
            close(row.len() as u32);
            join(&mut runs, above, first);
        }
        rows.push(runs.len());
        let mut values = Vec::new();
        let mut areas: Vec<u64> = Vec::new();
        for i in 0..runs.len() {
            let run = runs[i];
            // A run joins only earlier ones, so its root is already numbered.
            let piece = if run.piece as usize == i {
                values.push(run.value);
                areas.push(0);
                areas.len() as u32 - 1
            } else {
                runs[run.piece as usize].piece
            };
            runs[i].piece = piece;
            areas[piece as usize] += u64::from(run.end - run.start);
        }
        Self { runs, rows, values, areas }
    }

    /// How many pieces.
    #[must_use]
    pub fn count(&self) -> usize {
        self.areas.len()
    }

    /// The value of each piece.
    #[must_use]
    pub fn values(&self) -> &[u8] {
        &self.values
    }

    /// Pixels of each piece.
    #[must_use]
    pub fn areas(&self) -> &[u64] {
        &self.areas
    }

    /// How many pieces have a value.
    #[must_use]
    pub fn of_value(&self, value: u8) -> usize {
        self.values.iter().filter(|&&v| v == value).count()
    }

    /// Calls `stretch(row, start, end, piece)` for every stretch of every piece, rows from the top.
    pub fn each_stretch(&self, mut stretch: impl FnMut(usize, usize, usize, usize)) {
        for (y, pair) in self.rows.windows(2).enumerate() {
            for run in &self.runs[pair[0]..pair[1]] {
                stretch(y, run.start as usize, run.end as usize, run.piece as usize);
            }
        }
    }
}

/// Joins the runs of one row (from `first` on) with those of the row above (`above..first`) that they touch.
fn join(runs: &mut [Run], above: usize, first: usize) {
    let (mut up, mut here) = (above, first);
    while up < first && here < runs.len() {
        let (a, b) = (runs[up], runs[here]);
        if a.value == b.value && a.start < b.end && b.start < a.end {
            let (x, y) = (root(runs, up), root(runs, here));
            // The earlier run is the root, so that numbers follow reading order and roots come before what they hold.
            let (low, high) = (x.min(y), x.max(y));
            runs[high].piece = low as u32;
        }
        if a.end <= b.end {
            up += 1;
        } else {
            here += 1;
        }
    }
}

fn root(runs: &mut [Run], mut i: usize) -> usize {
    while runs[i].piece as usize != i {
        let over = runs[runs[i].piece as usize].piece;
        runs[i].piece = over;
        i = over as usize;
    }
    i
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn flood(map: &Plane<u8>) -> Vec<(u8, u64)> {
        let mut seen = vec![false; map.data().len()];
        let mut pieces = Vec::new();
        for i in 0..seen.len() {
            if seen[i] {
                continue;
            }
            seen[i] = true;
            let (mut work, mut area) = (vec![i], 0);
            while let Some(j) = work.pop() {
                area += 1;
                let (x, y) = (j % map.width(), j / map.width());
                for (u, v) in [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)] {
                    if u < map.width() && v < map.height() {
                        let k = v * map.width() + u;
                        if !seen[k] && map.data()[k] == map.data()[i] {
                            seen[k] = true;
                            work.push(k);
                        }
                    }
                }
            }
            pieces.push((map.data()[i], area));
        }
        pieces
    }

    #[test]
    fn diagonal_pixels_are_two_pieces() {
        let map = Plane::new(3, 2, vec![1, 0, 0, 0, 1, 0]).unwrap();
        let pieces = Components::of(&map);
        assert_eq!((pieces.of_value(1), pieces.of_value(0)), (2, 2));
    }

    #[test]
    fn stretches_tell_where_a_piece_lies() {
        let map = Plane::new(4, 2, vec![1, 0, 2, 2, 0, 0, 2, 2]).unwrap();
        let pieces = Components::of(&map);
        let mut stretches = Vec::new();
        pieces.each_stretch(|y, start, end, piece| stretches.push((y, start, end, pieces.values()[piece], pieces.areas()[piece])));
        assert_eq!(stretches, [(0, 0, 1, 1, 1), (0, 1, 2, 0, 3), (0, 2, 4, 2, 4), (1, 0, 2, 0, 3), (1, 2, 4, 2, 4)]);
    }

    proptest! {
        #[test]
        fn pieces_are_those_of_a_flood(width in 1usize..24, height in 1usize..24, seed in any::<u64>()) {
            let mut state = seed;
            let map = Plane::from_fn(width, height, |_, _| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 62) as u8 % 3
            });
            let pieces = Components::of(&map);
            let mut ours: Vec<_> = pieces.values().iter().copied().zip(pieces.areas().iter().copied()).collect();
            let mut theirs = flood(&map);
            ours.sort_unstable();
            theirs.sort_unstable();
            prop_assert_eq!(ours, theirs);
        }
    }
}
