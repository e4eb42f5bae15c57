//! Exact squared Euclidean distances on rasters, as far as they are asked for.
//!
//! A brush is small against a plate, so nobody asks how far the next region is beyond a few millimetres. Distances are exact up to a
//! reach and stop there; that turns the usual two-pass transform (rows after columns, as in Saito and Toriwaki, Pattern Recognition
//! 27, 1994, 1551–1565) into running minima over a short window, which compilers vectorise. The cost is linear in pixels, does not
//! depend on the number of tones, and grows with the reach.
//!
//! Distances run between pixel centres, in pixels, squared: integers, so equal on every target. The picture's border is free: outside
//! counts as more of the same.

use crate::plane::Plane;

/// An integer that holds squared distances up to a cap and stays there.
trait Square: Copy + Ord {
    const MOST: Self;
    fn of(value: u32) -> Self;
    fn plus(self, other: Self) -> Self;
    fn number(self) -> u32;
}

impl Square for u8 {
    const MOST: Self = Self::MAX;
    fn of(value: u32) -> Self {
        value.min(255) as Self
    }
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }
    fn number(self) -> u32 {
        u32::from(self)
    }
}

impl Square for u16 {
    const MOST: Self = Self::MAX;
    fn of(value: u32) -> Self {
        value.min(65_535) as Self
    }
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }
    fn number(self) -> u32 {
        u32::from(self)
    }
}

/// Longest distance that can be asked for, pixels.
pub const LONGEST_REACH: usize = 250;

/// Squared distance from each pixel to the nearest pixel of another value, exact up to `reach` pixels; larger ones read
/// `u16::MAX`.
///
/// The regions of a map partition the face, so this one transform serves all tones at once.
///
/// # Panics
/// When `reach` is over [`LONGEST_REACH`].
#[must_use]
pub fn squared_to_other(map: &Plane<u8>, reach: usize) -> Plane<u16> {
    let mut out = Plane::filled(map.width(), map.height(), u16::MAX);
    let width = map.width();
    each_row_to_other::<u16>(map, reach, |y, row| {
        let cap = (reach * reach) as u32;
        for (to, from) in out.data_mut()[y * width..(y + 1) * width].iter_mut().zip(row) {
            *to = if from.number() > cap { u16::MAX } else { *from };
        }
    });
    out
}

/// Which pixels are in the opening of their own region: those that some disc of centre within the region reaches, where a centre
/// needs every pixel at a squared distance up to `clear` to be of its region, and reaches pixels at a squared distance up to `grow`.
///
/// With `clear` = `grow` = r² this is the opening by the digital disc x² + y² ≤ r².
///
/// # Panics
/// When `grow` is over `clear` (a disc could then leave its region) or their reach is over [`LONGEST_REACH`].
#[must_use]
pub fn opened(map: &Plane<u8>, clear: u32, grow: u32) -> Plane<u8> {
    assert!(grow <= clear, "a disc that grows beyond its clear space would leave its region");
    // Small discs, the usual case, fit a byte's range: twice as many lanes.
    if clear < 255 { opened_in::<u8>(map, clear, grow) } else { opened_in::<u16>(map, clear, grow) }
}

fn opened_in<T: Square>(map: &Plane<u8>, clear: u32, grow: u32) -> Plane<u8> {
    let (width, height) = (map.width(), map.height());
    let reach_of = |square: u32| libm::ceil(libm::sqrt(f64::from(square))) as usize;
    let mut centres = Plane::filled(width, height, 0u8);
    let limit = T::of(clear);
    each_row_to_other::<T>(map, reach_of(clear), |y, row| {
        for (to, from) in centres.data_mut()[y * width..(y + 1) * width].iter_mut().zip(row) {
            *to = u8::from(*from > limit);
        }
    });
    let mut open = Plane::filled(width, height, 0u8);
    let limit = T::of(grow);
    each_row_to_marked::<T>(&centres, reach_of(grow), |y, row| {
        for (to, from) in open.data_mut()[y * width..(y + 1) * width].iter_mut().zip(row) {
            *to = u8::from(*from <= limit);
        }
    });
    open
}

/// Calls `row(y, squared distances)` for each row: distance to the nearest pixel of another value.
fn each_row_to_other<T: Square>(map: &Plane<u8>, reach: usize, mut row: impl FnMut(usize, &[T])) {
    let (width, height) = (map.width(), map.height());
    let cap = cap_of(reach);
    let mut down = Plane::filled(width, height, cap);
    for y in 1..height {
        let (before, rest) = down.data_mut().split_at_mut(y * width);
        let above = &before[(y - 1) * width..];
        for (((to, from), &here), &there) in rest[..width].iter_mut().zip(above).zip(map.row(y)).zip(map.row(y - 1)) {
            *to = if here == there { (*from + 1).min(cap) } else { 1 };
        }
    }
    let mut up = vec![cap; width];
    let mut squares = vec![T::MOST; width];
    let mut out = vec![T::MOST; width];
    let table = square_table::<T>(reach);
    // From the foot upwards, so that the second sweep of columns and the pass along rows share one walk.
    for y in (0..height).rev() {
        if y + 1 < height {
            for ((to, &here), &there) in up.iter_mut().zip(map.row(y)).zip(map.row(y + 1)) {
                *to = if here == there { (*to + 1).min(cap) } else { 1 };
            }
        }
        for ((to, &a), &b) in squares.iter_mut().zip(down.row(y)).zip(&up) {
            *to = table[usize::from(a.min(b))];
        }
        out.copy_from_slice(&squares);
        let labels = map.row(y);
        for dx in 1..=reach.min(width.saturating_sub(1)) {
            let far = T::of((dx * dx) as u32);
            let (here, there) = (&labels[..width - dx], &labels[dx..]);
            let zero = T::of(0);
            for (((to, &from), &a), &b) in out[..width - dx].iter_mut().zip(&squares[dx..]).zip(here).zip(there) {
                let near = if a == b { from } else { zero };
                *to = (*to).min(near.plus(far));
            }
            for (((to, &from), &a), &b) in out[dx..].iter_mut().zip(&squares[..width - dx]).zip(there).zip(here) {
                let near = if a == b { from } else { zero };
                *to = (*to).min(near.plus(far));
            }
        }
        row(y, &out);
    }
}

/// Calls `row(y, squared distances)` for each row: distance to the nearest pixel that is not 0.
fn each_row_to_marked<T: Square>(marks: &Plane<u8>, reach: usize, mut row: impl FnMut(usize, &[T])) {
    let (width, height) = (marks.width(), marks.height());
    let cap = cap_of(reach);
    let mut down = Plane::filled(width, height, cap);
    for y in 0..height {
        let (before, rest) = down.data_mut().split_at_mut(y * width);
        let here = &mut rest[..width];
        if y == 0 {
            for (to, &mark) in here.iter_mut().zip(marks.row(0)) {
                *to = if mark == 0 { cap } else { 0 };
            }
        } else {
            for ((to, &above), &mark) in here.iter_mut().zip(&before[(y - 1) * width..]).zip(marks.row(y)) {
                *to = if mark == 0 { (above + 1).min(cap) } else { 0 };
            }
        }
    }
    let table = square_table::<T>(reach);
    let mut up = vec![cap; width];
    let mut squares = vec![T::MOST; width];
    let mut out = vec![T::MOST; width];
    for y in (0..height).rev() {
        for ((to, &mark), (square, &above)) in up.iter_mut().zip(marks.row(y)).zip(squares.iter_mut().zip(down.row(y))) {
            *to = if mark == 0 { (*to + 1).min(cap) } else { 0 };
            *square = table[usize::from(above.min(*to))];
        }
        out.copy_from_slice(&squares);
        for dx in 1..=reach.min(width.saturating_sub(1)) {
            let far = T::of((dx * dx) as u32);
            for (to, &from) in out[..width - dx].iter_mut().zip(&squares[dx..]) {
                *to = (*to).min(from.plus(far));
            }
            for (to, &from) in out[dx..].iter_mut().zip(&squares[..width - dx]) {
                *to = (*to).min(from.plus(far));
            }
        }
        row(y, &out);
    }
}

/// One past the reach: "farther than asked", and the marker of no other value in the column.
fn cap_of(reach: usize) -> u8 {
    assert!(reach <= LONGEST_REACH, "distances are worked up to {LONGEST_REACH} pixels, {reach} were asked for");
    (reach + 1) as u8
}

/// Squares of 0..=reach, and more than any of them beyond.
fn square_table<T: Square>(reach: usize) -> Vec<T> {
    let mut table: Vec<T> = (0..=reach).map(|d| T::of((d * d) as u32)).collect();
    table.push(T::MOST);
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn naive(map: &Plane<u8>, x: usize, y: usize) -> u32 {
        let mut best = u32::MAX;
        for v in 0..map.height() {
            for u in 0..map.width() {
                if map.at(u, v) != map.at(x, y) {
                    best = best.min((u.abs_diff(x).pow(2) + v.abs_diff(y).pow(2)) as u32);
                }
            }
        }
        best
    }

    #[test]
    fn one_value_has_no_other() {
        let far = squared_to_other(&Plane::filled(5, 4, 3u8), 6);
        assert!(far.data().iter().all(|&d| d == u16::MAX));
        assert!(opened(&Plane::filled(5, 4, 3u8), 9, 9).data().iter().all(|&open| open == 1));
    }

    #[test]
    fn a_thin_line_is_not_open_and_a_wide_band_is() {
        let map = Plane::from_fn(40, 30, |x, y| u8::from(x == 10) + 2 * u8::from((18..26).contains(&y)));
        let open = opened(&map, 9, 9);
        assert_eq!((open.at(10, 5), open.at(3, 5), open.at(30, 21), open.at(10, 21)), (0, 1, 1, 0));
    }

    proptest! {
        #[test]
        fn distances_are_those_of_a_search(width in 1usize..20, height in 1usize..20, seed in any::<u64>(), reach in 1usize..20) {
            let mut state = seed;
            let map = Plane::from_fn(width, height, |_, _| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                u8::from(state >> 60 == 0)
            });
            let found = squared_to_other(&map, reach);
            for y in 0..height {
                for x in 0..width {
                    let exact = naive(&map, x, y);
                    let expected = if exact as usize > reach * reach { u16::MAX } else { exact as u16 };
                    prop_assert_eq!(found.at(x, y), expected);
                }
            }
        }

        #[test]
        fn bytes_and_words_agree(width in 1usize..40, height in 1usize..40, seed in any::<u64>(), radius in 1u32..9) {
            let mut state = seed;
            let map = Plane::from_fn(width, height, |_, _| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                u8::from(state >> 59 == 0)
            });
            let square = radius * radius;
            prop_assert_eq!(opened_in::<u8>(&map, square, square), opened_in::<u16>(&map, square, square));
        }
    }
}
