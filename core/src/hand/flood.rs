//! Floods: the pixels that hang together with one.

use crate::plane::Plane;
use std::ops::Range;

/// Gives the 4-connected pixels of one value around a place another value, and calls `stretch(row, start, end)` for each stretch of them.
///
/// Row by row: a stretch is found whole and changed at once, so that it is not found again; then the rows above and below are looked at
/// along it.
pub(crate) fn fill(plane: &mut Plane<u8>, from: (usize, usize), value: u8, mut stretch: impl FnMut(usize, usize, usize)) {
    let (width, height) = (plane.width(), plane.height());
    let had = plane.at(from.0, from.1);
    if had == value {
        return;
    }
    let mut work = vec![(from.1, from.0, from.0 + 1)];
    while let Some((y, mut x, to)) = work.pop() {
        let row = &mut plane.data_mut()[y * width..(y + 1) * width];
        while x < to {
            let Some(found) = row[x..to].iter().position(|&v| v == had) else { break };
            let start = row[..x + found].iter().rposition(|&v| v != had).map_or(0, |before| before + 1);
            let end = row[x + found..].iter().position(|&v| v != had).map_or(width, |after| x + found + after);
            row[start..end].fill(value);
            stretch(y, start, end);
            if y > 0 {
                work.push((y - 1, start, end));
            }
            if y + 1 < height {
                work.push((y + 1, start, end));
            }
            x = end;
        }
    }
}

/// The pixels around a place for which `is` is true and which hang together by sides or corners, as `(row, columns)` stretches. `is` is
/// asked with the pixel's place in the plane. Each pixel is in one stretch.
///
/// As [`fill`], one pixel farther at both ends of a stretch.
pub(crate) fn by_corners(
    width: usize,
    height: usize,
    from: (usize, usize),
    mut is: impl FnMut(usize) -> bool,
) -> Vec<(usize, Range<usize>)> {
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
            let next = start.saturating_sub(1)..(end + 1).min(width);
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
            let mut marked = map.clone();
            let mut stretches = Vec::new();
            fill(&mut marked, from, 9, |y, start, end| stretches.push((y, start..end)));
            let told: usize = stretches.iter().map(|(_, columns)| columns.len()).sum();
            prop_assert_eq!(told, marked.data().iter().filter(|&&v| v == 9).count());
            for (y, columns) in stretches {
                for x in columns {
                    prop_assert_eq!(map.at(x, y), value);
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
        let mut pixels = 0;
        fill(&mut map.clone(), (0, 0), 9, |_, start, end| pixels += end - start);
        assert_eq!(pixels, 1);
        assert_eq!(count(by_corners(6, 6, (0, 0), |i| map.data()[i] == 1)), 12);
    }
}
