//! Where the words PAINT NOW and LEAVE BARE find room inside large regions.

use super::tints::RasterPoint;
use crate::plane::Plane;
use std::cmp::Ordering;

/// A region of at least so many mm² carries the words itself.
const LARGE: f64 = 1500.0;
/// Side of the squares on which places are looked for, mm.
const CELL: f64 = 1.0;

/// Words and the middle of their place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub(super) at: RasterPoint,
    pub(super) words: &'static str,
}

/// What a square millimetre shows; squares that show two things are no place for words.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shows {
    Paint,
    Bare,
    Other,
}

/// A place in each large region: as far inside it as can be, and only where words of `size` (mm, from the words) hide nothing else.
pub(super) fn places(map: &Plane<u8>, new_tone: u8, px_per_mm: f64, size: impl Fn(&str) -> (f64, f64)) -> Vec<Place> {
    let cell = libm::round(CELL * px_per_mm).max(1.0) as usize;
    if map.width() < cell || map.height() < cell {
        return Vec::new();
    }
    let cells =
        Plane::from_fn(map.width() / cell, map.height() / cell, |column, row| shows(map, new_tone, column * cell, row * cell, cell));
    let side = cell as f64 / px_per_mm;
    let depth = depths(&cells);
    let mut seen = Plane::filled(cells.width(), cells.height(), false);
    let mut found = Vec::new();
    for start in 0..cells.data().len() {
        if seen.data()[start] || cells.data()[start] == Shows::Other {
            continue;
        }
        let region = flood(&cells, &mut seen, start);
        if (region.len() as f64) * side * side < LARGE {
            continue;
        }
        let words = if cells.data()[start] == Shows::Paint { "PAINT NOW" } else { "LEAVE BARE" };
        let (width, height) = size(words);
        let half = (libm::ceil(width / 2.0 / side) as usize, libm::ceil(height / 2.0 / side) as usize);
        let mut best: Option<(u32, usize)> = None;
        for &index in &region {
            if best.is_none_or(|(deepest, _)| depth.data()[index] > deepest) && roomy(&cells, index, half) {
                best = Some((depth.data()[index], index));
            }
        }
        if let Some((_, index)) = best {
            let middle = |at: usize| (at as f64 + 0.5) * cell as f64;
            found.push(Place { at: (middle(index % cells.width()), middle(index / cells.width())), words });
        }
    }
    found
}

fn shows(map: &Plane<u8>, new_tone: u8, left: usize, top: usize, cell: usize) -> Shows {
    let first = map.at(left, top).cmp(&new_tone);
    let alike = (top..top + cell).all(|y| map.row(y)[left..left + cell].iter().all(|tone| tone.cmp(&new_tone) == first));
    match (alike, first) {
        (true, Ordering::Equal) => Shows::Paint,
        (true, Ordering::Greater) => Shows::Bare,
        _ => Shows::Other,
    }
}

/// Squares to the nearest other thing or the border, king's moves, by the usual two sweeps.
fn depths(cells: &Plane<Shows>) -> Plane<u32> {
    let (width, height) = (cells.width(), cells.height());
    let mut depth = Plane::filled(width, height, 0_u32);
    let mut sweep = |xs: &mut dyn Iterator<Item = (usize, usize)>, neighbours: [(i64, i64); 4], first: bool| {
        for (x, y) in xs {
            let here = cells.at(x, y);
            let near = neighbours.iter().map(|(dx, dy)| {
                let (a, b) = (x as i64 + dx, y as i64 + dy);
                let inside = a >= 0 && b >= 0 && a < width as i64 && b < height as i64;
                if inside && cells.at(a as usize, b as usize) == here { depth.at(a as usize, b as usize) + 1 } else { 1 }
            });
            let least = near.min().unwrap_or(1);
            let old = depth.at(x, y);
            depth.data_mut()[y * width + x] = if first { least } else { old.min(least) };
        }
    };
    let all = |flip: bool| {
        (0..width * height)
            .map(move |index| if flip { width * height - 1 - index } else { index })
            .map(move |index| (index % width, index / width))
    };
    sweep(&mut all(false), [(-1, 0), (-1, -1), (0, -1), (1, -1)], true);
    sweep(&mut all(true), [(1, 0), (1, 1), (0, 1), (-1, 1)], false);
    depth
}

fn flood(cells: &Plane<Shows>, seen: &mut Plane<bool>, start: usize) -> Vec<usize> {
    let (width, height) = (cells.width(), cells.height());
    let mut region = vec![start];
    seen.data_mut()[start] = true;
    let mut next = 0;
    while next < region.len() {
        let index = region[next];
        next += 1;
        let (x, y) = (index % width, index / width);
        let neighbours = [
            (x > 0).then(|| index - 1),
            (x + 1 < width).then(|| index + 1),
            (y > 0).then(|| index - width),
            (y + 1 < height).then(|| index + width),
        ];
        for other in neighbours.into_iter().flatten() {
            if !seen.data()[other] && cells.data()[other] == cells.data()[start] {
                seen.data_mut()[other] = true;
                region.push(other);
            }
        }
    }
    region
}

/// Whether all squares within `half` of one show the same.
fn roomy(cells: &Plane<Shows>, index: usize, half: (usize, usize)) -> bool {
    let (x, y) = (index % cells.width(), index / cells.width());
    x >= half.0
        && y >= half.1
        && x + half.0 < cells.width()
        && y + half.1 < cells.height()
        && (y - half.1..=y + half.1).all(|row| cells.row(row)[x - half.0..=x + half.0].iter().all(|&shown| shown == cells.data()[index]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn large_regions_carry_their_words_and_small_ones_do_not() {
        // 60 × 80 mm at 2 px/mm: the left 40 mm painted, 20 mm bare at the right, a covered square in the painted part.
        let map = Plane::from_fn(120, 160, |x, y| match (x, y) {
            (20..40, 60..100) => 0,
            (0..80, _) => 1,
            _ => 2,
        });
        let found = places(&map, 1, 2.0, |_| (16.0, 6.0));
        assert_eq!(found.iter().map(|place| place.words).collect::<Vec<_>>(), ["PAINT NOW", "LEAVE BARE"]);
        for Place { at: (x, y), words } in &found {
            let (x, y) = (*x as usize, *y as usize);
            for row in y - 6..=y + 6 {
                for column in x - 16..=x + 16 {
                    assert_eq!(map.at(column, row), if *words == "PAINT NOW" { 1 } else { 2 });
                }
            }
        }
        // 20 mm of bare are too narrow for longer words.
        assert_eq!(places(&map, 1, 2.0, |_| (30.0, 6.0)).len(), 1);
        let small = Plane::from_fn(60, 60, |x, _| u8::from(x > 30));
        assert!(places(&small, 0, 2.0, |_| (10.0, 4.0)).is_empty());
        assert!(places(&Plane::filled(1, 1, 0), 0, 10.0, |_| (10.0, 4.0)).is_empty());
    }
}
