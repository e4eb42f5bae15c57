//! Where the words PAINT NOW and LEAVE BARE find room inside large regions.

use super::seen::Part;
use super::tints::RasterPoint;
use crate::aside::BY_HAND;
use crate::components::Components;
use crate::islands::each_row;
use crate::plane::Plane;

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

/// The zones that each square of a millimetre holds, as bits: the tones from 0 up, and the highest bit for all that is no tone.
#[derive(Clone, Debug)]
pub(super) struct Presence {
    squares: Option<Plane<u32>>,
    /// Pixels along a square's side.
    cell: usize,
}

impl Presence {
    /// Finds them; there are none where the raster is smaller than a square.
    pub(super) fn of(zones: &Plane<u8>, px_per_mm: f64) -> Self {
        let cell = libm::round(CELL * px_per_mm).max(1.0) as usize;
        let (across, down) = (zones.width() / cell, zones.height() / cell);
        if across == 0 || down == 0 {
            return Self { squares: None, cell };
        }
        let mut squares = Plane::filled(across, down, 0_u32);
        for (y, row) in zones.rows().enumerate().take(down * cell) {
            let held = &mut squares.data_mut()[y / cell * across..(y / cell + 1) * across];
            for (held, pixels) in held.iter_mut().zip(row.chunks_exact(cell)) {
                *held = pixels.iter().fold(*held, |held, &zone| held | 1 << zone.min(31));
            }
        }
        Self { squares: Some(squares), cell }
    }
}

/// What a square shows on the sheet that paints `new_tone`. What is set aside is no place for words.
fn shows(held: u32, new_tone: u8) -> u8 {
    let paint = 1_u32 << new_tone;
    let bare = (1 << 31) - 2 * paint;
    match held {
        held if held == paint => PAINT,
        held if held & !bare == 0 => BARE,
        _ => OTHER,
    }
}

/// A place in each large region of a part, pixels from the part's corner: as far inside the region as can be, and only where words of `size`
/// (mm, from the words) hide nothing else.
pub(super) fn places(part: &Part, new_tone: u8, size: impl Fn(&str) -> (f64, f64)) -> Vec<Place> {
    let (Presence { squares, cell }, px_per_mm) = (part.seen.presence(), part.seen.px_per_mm());
    let cell = *cell;
    let Some(squares) = squares else { return Vec::new() };
    // Only squares that lie all within the part.
    let (left, top) = (part.columns.start.div_ceil(cell), part.rows.start.div_ceil(cell));
    let (right, foot) = ((part.columns.end / cell).min(squares.width()), (part.rows.end / cell).min(squares.height()));
    if left >= right || top >= foot {
        return Vec::new();
    }
    let cells = Plane::from_fn(right - left, foot - top, |x, y| shows(squares.at(left + x, top + y), new_tone));
    let side = cell as f64 / px_per_mm;
    // Linear in squares: a window as long as a plate would take longer than all the rest of a sheet.
    let mut depth = Vec::with_capacity(cells.width() * cells.height());
    each_row(cells.width(), cells.height(), |x, y| Some(cells.at(x, y)), |_, row| depth.extend_from_slice(row));
    let regions = Components::of(&cells);
    let large = |piece: usize| regions.values()[piece] != OTHER && regions.areas()[piece] as f64 * side * side >= LARGE;
    // Deepest roomy square of each region: its depth and place.
    let mut best: Vec<Option<(u32, (usize, usize))>> = vec![None; regions.count()];
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
            let deep = depth[y * cells.width() + x];
            let deeper = best[piece].is_none_or(|(deepest, _)| deep > deepest);
            if deeper && roomy(&cells, (x, y), halves[usize::from(regions.values()[piece])]) {
                best[piece] = Some((deep, (x, y)));
            }
        }
    });
    let middle = |at: usize, first: usize, part: usize| (first + at) as f64 * cell as f64 + cell as f64 / 2.0 - part as f64;
    best.iter()
        .enumerate()
        .filter_map(|(piece, best)| {
            best.map(|(_, (x, y))| {
                let at = (middle(x, left, part.columns.start), middle(y, top, part.rows.start));
                Place { at, words: WORDS[usize::from(regions.values()[piece])] }
            })
        })
        .collect()
}

/// The middle of each area of a part that is worked by hand, pixels from the part's corner: as far inside it as can be.
pub(super) fn by_hand(part: &Part) -> Vec<RasterPoint> {
    if !part.seen.pieces().any(BY_HAND) {
        return Vec::new();
    }
    let regions = Components::of(&part.cut().map(|&zone| u8::from(zone == BY_HAND)));
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
    use super::super::seen::Seen;
    use super::*;
    use crate::aside::RESIST;

    #[test]
    fn areas_by_hand_carry_their_word_in_the_middle_and_no_other() {
        let map = Plane::from_fn(120, 160, |x, y| match (x, y) {
            (20..60, 30..90) | (100..102, 10..13) => BY_HAND,
            (70..120, 100..160) => RESIST,
            _ => 1,
        });
        let seen = Seen::of(map.clone(), 2.0);
        assert_eq!(by_hand(&seen.whole()), [(101.0, 11.5), (40.0, 60.5)]);
        assert!(places(&seen.whole(), 0, |_| (16.0, 6.0)).iter().all(|place| map.at(place.at.0 as usize, place.at.1 as usize) == 1));
    }

    #[test]
    fn large_regions_carry_their_words_and_small_ones_do_not() {
        // 60 × 80 mm at 2 px/mm: the left 40 mm painted, 20 mm bare at the right, a covered square in the painted part.
        let map = Plane::from_fn(120, 160, |x, y| match (x, y) {
            (20..40, 60..100) => 0,
            (0..80, _) => 1,
            _ => 2,
        });
        let seen = Seen::of(map.clone(), 2.0);
        let found = places(&seen.whole(), 1, |_| (16.0, 6.0));
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
        assert_eq!(places(&seen.whole(), 1, |_| (30.0, 6.0)).len(), 1);
        // In a part the places are counted from its corner: a stretch of the painted part, no bare.
        let part = seen.part((3..79, 0.0..80.0), (11..159, 0.0..160.0));
        let [Place { at: (x, y), words: "PAINT NOW" }] = places(&part, 1, |_| (16.0, 6.0))[..] else { panic!("one place") };
        assert!(part.at(x as usize, y as usize) == 1 && (16.0..76.0 - 16.0).contains(&x) && (6.0..148.0 - 6.0).contains(&y), "{x} {y}");
        let small = Plane::from_fn(60, 60, |x, _| u8::from(x > 30));
        assert!(places(&Seen::of(small, 2.0).whole(), 0, |_| (10.0, 4.0)).is_empty());
        assert!(places(&Seen::of(Plane::filled(1, 1, 0), 10.0).whole(), 0, |_| (10.0, 4.0)).is_empty());
    }
}
