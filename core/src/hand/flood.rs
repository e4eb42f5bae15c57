//! Floods: the pixels that hang together with one.

use std::ops::Range;

/// The 4-connected pixels around a place for which `is` is true, as `(row, columns)` stretches. `is` is asked with the pixel's place in
/// the plane. Each pixel is in one stretch.
pub(crate) fn by_sides(width: usize, height: usize, from: (usize, usize), is: impl FnMut(usize) -> bool) -> Vec<(usize, Range<usize>)> {
    flood(width, height, from, 0, is)
}

/// The same with pixels that touch by corners too.
pub(crate) fn by_corners(width: usize, height: usize, from: (usize, usize), is: impl FnMut(usize) -> bool) -> Vec<(usize, Range<usize>)> {
    flood(width, height, from, 1, is)
}

/// Row by row: a stretch is found whole, then the rows above and below are looked at along it, `aside` pixels farther at both ends.
fn flood(width: usize, height: usize, from: (usize, usize), aside: usize, mut is: impl FnMut(usize) -> bool) -> Vec<(usize, Range<usize>)> {
    // A bit for each pixel found; a row has its bits once something in it is found, so that a small piece costs little.
    let mut seen: Vec<Vec<u64>> = vec![Vec::new(); height];
    let mut found = Vec::new();
    let mut work = vec![(from.1, from.0..from.0 + 1)];
    while let Some((y, look)) = work.pop() {
        let mut x = look.start;
        while x < look.end {
            let had = seen[y].get(x / 64).is_some_and(|word| word >> (x % 64) & 1 != 0);
            if had || !is(y * width + x) {
                x += 1;
                continue;
            }
            let (mut start, mut end) = (x, x + 1);
            while start > 0 && is(y * width + start - 1) {
                start -= 1;
            }
            while end < width && is(y * width + end) {
                end += 1;
            }
            seen[y].resize(width.div_ceil(64), 0);
            for x in start..end {
                seen[y][x / 64] |= 1 << (x % 64);
            }
            found.push((y, start..end));
            let next = start.saturating_sub(aside)..(end + aside).min(width);
            if y > 0 {
                work.push((y - 1, next.clone()));
            }
            if y + 1 < height {
                work.push((y + 1, next));
            }
            x = end;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::components::Components;
    use crate::plane::Plane;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_flood_is_a_piece(width in 1usize..40, height in 1usize..30, seed in any::<u64>()) {
            let mut state = seed;
            let map = Plane::from_fn(width, height, |_, _| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 62) as u8 % 2
            });
            let from = (seed as usize % width, (seed >> 32) as usize % height);
            let value = map.at(from.0, from.1);
            let flooded = by_sides(width, height, from, |i| map.data()[i] == value);
            let mut marked = map.clone();
            for (y, columns) in flooded {
                for x in columns {
                    prop_assert_eq!(map.at(x, y), value);
                    prop_assert!(marked.at(x, y) != 9, "({}, {}) came twice", x, y);
                    marked.data_mut()[y * width + x] = 9;
                }
            }
            // It is one piece, and as large as the piece of the place.
            let pieces = Components::of(&marked);
            prop_assert_eq!(pieces.of_value(9), 1);
            let all = Components::of(&map);
            let mut area = 0;
            all.each_stretch(|y, start, end, piece| {
                if y == from.1 && (start..end).contains(&from.0) {
                    area = all.areas()[piece];
                }
            });
            prop_assert_eq!(marked.data().iter().filter(|&&v| v == 9).count() as u64, area);
        }
    }

    #[test]
    fn corners_count_where_they_are_to() {
        let map = Plane::from_fn(6, 6, |x, y| u8::from(x == y || x + y == 5));
        let count = |found: Vec<(usize, Range<usize>)>| found.into_iter().map(|(_, columns)| columns.len()).sum::<usize>();
        assert_eq!(count(by_sides(6, 6, (0, 0), |i| map.data()[i] == 1)), 1);
        assert_eq!(count(by_corners(6, 6, (0, 0), |i| map.data()[i] == 1)), 12);
    }
}
