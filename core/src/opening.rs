//! Opening: where a disc fits into the regions of a map, by words of 64 pixels.
//!
//! The regions partition the face, so one pass serves all tones at once, and the cost does not grow with their number. Everything is
//! whole numbers: squared distances between pixel centres. The picture's border is free: outside counts as more of the same.

use crate::bits::BitPlane;
use crate::plane::Plane;

/// Which pixels are in the opening of their own region: those that some disc within the region reaches. A centre needs every pixel at a
/// squared distance up to `clear` to be of its region, and reaches pixels at a squared distance up to `grow`.
///
/// With `clear` = `grow` = r² this is the opening by the digital disc x² + y² ≤ r².
///
/// # Panics
/// When `grow` is over `clear`: a disc could then leave its region.
#[must_use]
pub fn opened(map: &Plane<u8>, clear: u32, grow: u32) -> BitPlane {
    assert!(grow <= clear, "a disc that grows beyond its clear space would leave its region");
    grown(&clear_centres(map, clear), grow)
}

/// Every 1 grown to a disc x² + y² ≤ `square`.
#[must_use]
pub fn grown(bits: &BitPlane, square: u32) -> BitPlane {
    let disc = disc(square);
    let mut out = BitPlane::empty(bits.width(), bits.height());
    let mut work = Vec::new();
    for y in 0..bits.height() {
        work.clear();
        work.extend_from_slice(bits.row(y));
        scatter(&mut work, 0, y, &disc, &mut out);
    }
    out
}

/// Which pixels a disc x² + y² ≤ `square` can be centred on without holding pixels of two regions.
///
/// A disc holds two regions exactly when it holds both pixels of some crack between them: on the way from its centre to the nearest
/// foreign pixel the last step crosses one, and both its pixels are no farther. So cracks are grown, not regions.
#[must_use]
pub fn clear_centres(map: &Plane<u8>, square: u32) -> BitPlane {
    let (across, down) = BitPlane::cracks(map);
    let disc = disc(square);
    // A crack between a pixel and its right neighbour lies within the disc of half width w at w − 1 pixels to its left and w to its
    // right: start from both its pixels, at half width 1, and grow.
    let for_across: Vec<Reach> = disc.iter().copied().filter(|reach| reach.half >= 1).collect();
    // Of a crack between two rows the farther row decides: at distances d and d − 1 alike it is seen from half the width at d.
    let for_down: Vec<Reach> =
        disc.iter().filter(|reach| reach.row > 0).flat_map(|&reach| [Reach { row: 1 - reach.row, ..reach }, reach]).collect();
    let mut held = BitPlane::empty(map.width(), map.height());
    let last = held.last_word();
    let mut work = Vec::new();
    for y in 0..map.height() {
        work.clear();
        work.extend_from_slice(across.row(y));
        grow_right(&mut work, last);
        scatter(&mut work, 1, y, &for_across, &mut held);
        work.clear();
        work.extend_from_slice(down.row(y));
        scatter(&mut work, 0, y, &for_down, &mut held);
    }
    held.complement()
}

/// One row of a disc: how far from its middle, and half its width there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Reach {
    row: isize,
    half: usize,
}

/// The disc x² + y² ≤ `square` row by row, narrow ends first.
fn disc(square: u32) -> Vec<Reach> {
    let root = |value: u32| {
        let root = libm::sqrt(f64::from(value)) as u32;
        (root - u32::from(root * root > value)) as usize
    };
    let rows = (0..=root(square) as u32).rev().map(|dy| (dy as isize, root(square - dy * dy)));
    rows.flat_map(|(row, half)| [Some(Reach { row, half }), (row > 0).then_some(Reach { row: -row, half })]).flatten().collect()
}

/// Spreads one row's bits, which have been grown to half width `reached`, over the rows of a shape given narrow rows first, so that each
/// width grows from the one before.
fn scatter(row: &mut [u64], mut reached: usize, y: usize, shape: &[Reach], out: &mut BitPlane) {
    if row.iter().all(|&word| word == 0) {
        return;
    }
    let last = out.last_word();
    for reach in shape {
        while reached < reach.half {
            grow_both(row, last);
            reached += 1;
        }
        if let Some(at) = y.checked_add_signed(reach.row).filter(|&at| at < out.height()) {
            for (to, from) in out.row_mut(at).iter_mut().zip(row.iter()) {
                *to |= from;
            }
        }
    }
}

/// Grows every 1 by one pixel to both sides.
fn grow_both(row: &mut [u64], last: u64) {
    let mut before = 0;
    for i in 0..row.len() {
        let here = row[i];
        let after = row.get(i + 1).copied().unwrap_or(0);
        row[i] = here | here << 1 | here >> 1 | before >> 63 | after << 63;
        before = here;
    }
    if let Some(end) = row.last_mut() {
        *end &= last;
    }
}

/// Grows every 1 by one pixel to the right.
fn grow_right(row: &mut [u64], last: u64) {
    let mut carry = 0;
    for word in row.iter_mut() {
        let here = *word;
        *word = here | here << 1 | carry;
        carry = here >> 63;
    }
    if let Some(end) = row.last_mut() {
        *end &= last;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distance::squared_to_other;
    use proptest::prelude::*;

    fn noise(width: usize, height: usize, seed: u64, shift: u32) -> Plane<u8> {
        let mut state = seed;
        Plane::from_fn(width, height, |_, _| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            u8::from(state >> shift == 0) * (1 + (state >> 33) as u8 % 3)
        })
    }

    #[test]
    fn half_widths_are_those_of_the_disc() {
        for square in 0..3000u32 {
            for reach in disc(square) {
                let (dy, half) = (reach.row.unsigned_abs() as u32, reach.half as u32);
                assert!(half * half + dy * dy <= square && (half + 1).pow(2) + dy * dy > square);
            }
        }
        assert_eq!(disc(25).len(), 11);
    }

    #[test]
    fn a_thin_line_is_not_open_and_a_wide_band_is() {
        let map = Plane::from_fn(40, 30, |x, y| u8::from(x == 10) + 2 * u8::from((18..26).contains(&y)));
        let open = opened(&map, 9, 9);
        assert_eq!((open.at(10, 5), open.at(3, 5), open.at(30, 21), open.at(10, 21)), (false, true, true, false));
        assert_eq!(opened(&Plane::filled(5, 4, 3u8), 9, 9).count(), 20);
    }

    proptest! {
        #[test]
        fn centres_are_clear_as_far_as_distances_say(width in 1usize..150, height in 1usize..30, seed in any::<u64>(), shift in 56u32..62, square in 0u32..60) {
            let map = noise(width, height, seed, shift);
            let far = squared_to_other(&map, 9);
            let clear = clear_centres(&map, square);
            for y in 0..height {
                for x in 0..width {
                    prop_assert_eq!(clear.at(x, y), u32::from(far.at(x, y)) > square, "({}, {})", x, y);
                }
            }
        }

        #[test]
        fn grown_bits_are_within_the_disc(width in 1usize..150, height in 1usize..24, seed in any::<u64>(), square in 0u32..40) {
            let map = noise(width, height, seed, 58);
            let mut bits = BitPlane::empty(width, height).complement();
            for y in 0..height {
                for x in 0..width {
                    if map.at(x, y) == 0 {
                        bits.clear(x, y);
                    }
                }
            }
            let all = grown(&bits, square);
            for y in 0..height {
                for x in 0..width {
                    let near = (0..height).any(|v| (0..width).any(|u| bits.at(u, v) && (u.abs_diff(x).pow(2) + v.abs_diff(y).pow(2)) as u32 <= square));
                    prop_assert_eq!(all.at(x, y), near);
                }
            }
        }
    }
}
