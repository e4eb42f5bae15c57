//! Where the words PAINT NOW and LEAVE BARE find room inside large regions.

use super::tints::RasterPoint;
use crate::aside::{BY_HAND, RESIST};
use crate::components::Components;
use crate::distance::{LONGEST_REACH, squared_to_other};
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

/// What a square of the plate shows, as the value of a cell. Squares that show two things are no place for words.
const PAINT: u8 = 0;
const BARE: u8 = 1;
const OTHER: u8 = 2;

/// The words of PAINT and BARE.
const WORDS: [&str; 2] = ["PAINT NOW", "LEAVE BARE"];

/// A place in each large region: as far inside it as can be, and only where words of `size` (mm, from the words) hide nothing else.
pub(super) fn places(map: &Plane<u8>, new_tone: u8, px_per_mm: f64, size: impl Fn(&str) -> (f64, f64)) -> Vec<Place> {
    let cell = libm::round(CELL * px_per_mm).max(1.0) as usize;
    if map.width() < cell || map.height() < cell {
        return Vec::new();
    }
    let cells =
        Plane::from_fn(map.width() / cell, map.height() / cell, |column, row| shows(map, new_tone, column * cell, row * cell, cell));
    let side = cell as f64 / px_per_mm;
    // A ring of other squares around it makes the border a neighbour too.
    let ringed = Plane::from_fn(cells.width() + 2, cells.height() + 2, |x, y| {
        let inside = (1..=cells.width()).contains(&x) && (1..=cells.height()).contains(&y);
        if inside { cells.at(x - 1, y - 1) } else { OTHER }
    });
    let depth = squared_to_other(&ringed, LONGEST_REACH);
    let regions = Components::of(&cells);
    let large = |piece: usize| regions.values()[piece] != OTHER && regions.areas()[piece] as f64 * side * side >= LARGE;
    // Deepest roomy square of each region: its depth and place.
    let mut best: Vec<Option<(u16, (usize, usize))>> = vec![None; regions.count()];
    let half = |words: &str| {
        let (width, height) = size(words);
        (libm::ceil(width / 2.0 / side) as usize, libm::ceil(height / 2.0 / side) as usize)
    };
    let halves = [half(WORDS[0]), half(WORDS[1])];
    regions.each_stretch(|y, start, end, piece| {
        if !large(piece) {
            return;
        }
        for x in start..end {
            let deep = depth.at(x + 1, y + 1);
            let deeper = best[piece].is_none_or(|(deepest, _)| deep > deepest);
            if deeper && roomy(&cells, (x, y), halves[usize::from(regions.values()[piece])]) {
                best[piece] = Some((deep, (x, y)));
            }
        }
    });
    let middle = |at: usize| (at as f64 + 0.5) * cell as f64;
    best.iter()
        .enumerate()
        .filter_map(|(piece, best)| {
            best.map(|(_, (x, y))| Place { at: (middle(x), middle(y)), words: WORDS[usize::from(regions.values()[piece])] })
        })
        .collect()
}

/// The middle of each area worked by hand: as far inside it as can be.
pub(super) fn by_hand(map: &Plane<u8>) -> Vec<RasterPoint> {
    let regions = Components::of(&map.map(|&zone| u8::from(zone == BY_HAND)));
    // The longest row of each, and of equal ones the middle one.
    let mut longest: Vec<Vec<(usize, usize, usize)>> = vec![Vec::new(); regions.count()];
    regions.each_stretch(|y, start, end, piece| {
        if regions.values()[piece] == 1 {
            let best = &mut longest[piece];
            let had = best.first().map_or(0, |&(_, from, to)| to - from);
            if end - start > had {
                best.clear();
            }
            if end - start >= had {
                best.push((y, start, end));
            }
        }
    });
    let middle =
        |rows: &Vec<(usize, usize, usize)>| rows.get(rows.len() / 2).map(|&(y, start, end)| ((start + end) as f64 / 2.0, y as f64 + 0.5));
    longest.iter().filter_map(middle).collect()
}

fn shows(map: &Plane<u8>, new_tone: u8, left: usize, top: usize, cell: usize) -> u8 {
    let first = map.at(left, top).cmp(&new_tone);
    // What is set aside is no place for these words.
    let alike = (top..top + cell)
        .all(|y| map.row(y)[left..left + cell].iter().all(|&tone| tone.cmp(&new_tone) == first && tone != RESIST && tone != BY_HAND));
    match (alike, first) {
        (true, Ordering::Equal) => PAINT,
        (true, Ordering::Greater) => BARE,
        _ => OTHER,
    }
}

/// Whether all squares within `half` of one show the same.
fn roomy(cells: &Plane<u8>, (x, y): (usize, usize), half: (usize, usize)) -> bool {
    x >= half.0
        && y >= half.1
        && x + half.0 < cells.width()
        && y + half.1 < cells.height()
        && (y - half.1..=y + half.1).all(|row| cells.row(row)[x - half.0..=x + half.0].iter().all(|&shown| shown == cells.at(x, y)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn areas_by_hand_carry_their_word_in_the_middle_and_no_other() {
        let map = Plane::from_fn(120, 160, |x, y| match (x, y) {
            (20..60, 30..90) | (100..102, 10..13) => BY_HAND,
            (70..120, 100..160) => RESIST,
            _ => 1,
        });
        assert_eq!(by_hand(&map), [(101.0, 11.5), (40.0, 60.5)]);
        assert!(places(&map, 0, 2.0, |_| (16.0, 6.0)).iter().all(|place| map.at(place.at.0 as usize, place.at.1 as usize) == 1));
    }

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
