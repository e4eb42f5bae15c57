//! Exact squared Euclidean distances on rasters, as far as they are asked for.
//!
//! A brush is small against a plate, so nobody asks how far the next region is beyond a few millimetres. Distances are exact up to a
//! reach and stop there; that turns the usual two-pass transform (rows after columns, as in Saito and Toriwaki, Pattern Recognition
//! 27, 1994, 1551–1565) into running minima over a short window. The cost is linear in pixels, does not depend on the number of tones,
//! and grows with the reach.
//!
//! Distances run between pixel centres, in pixels, squared: integers, so equal on every target. The picture's border is free: outside
//! counts as more of the same.

use crate::plane::Plane;

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
    assert!(reach <= LONGEST_REACH, "distances are worked up to {LONGEST_REACH} pixels, {reach} were asked for");
    let (width, height) = (map.width(), map.height());
    // One past the reach stands for "no other value in this column within reach".
    let none = reach as u16 + 1;
    let mut columns = Plane::filled(width, height, none);
    let mut run = vec![none; width];
    let step = |run: &mut [u16], y: usize, from: usize| {
        for ((run, here), there) in run.iter_mut().zip(map.row(y)).zip(map.row(from)) {
            *run = if here == there { (*run + 1).min(none) } else { 1 };
        }
    };
    for y in 1..height {
        step(&mut run, y, y - 1);
        columns.data_mut()[y * width..(y + 1) * width].copy_from_slice(&run);
    }
    run.fill(none);
    let cap = (reach * reach) as u16;
    let square = |d: u16| if d == none { u16::MAX } else { d * d };
    let mut out = Vec::with_capacity(width * height);
    for y in (0..height).rev() {
        if y + 1 < height {
            step(&mut run, y, y + 1);
        }
        let squares: Vec<u16> = columns.row(y).iter().zip(&run).map(|(&up, &down)| square(up.min(down))).collect();
        let labels = map.row(y);
        let mut row = squares.clone();
        for dx in 1..=reach.min(width - 1) {
            let far = (dx * dx) as u16;
            for x in 0..width - dx {
                let alike = labels[x] == labels[x + dx];
                let (left, right) = if alike { (squares[x], squares[x + dx]) } else { (0, 0) };
                row[x] = row[x].min(right.saturating_add(far));
                row[x + dx] = row[x + dx].min(left.saturating_add(far));
            }
        }
        out.extend(row.iter().rev().map(|&d| if d > cap { u16::MAX } else { d }));
    }
    // Rows were made from the foot upwards and written backwards: turned over, all is in order.
    out.reverse();
    let mut out = out.into_iter();
    Plane::from_fn(width, height, |_, _| out.next().unwrap_or(u16::MAX))
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
    }
}
