//! Closing: a grey picture with everything dark filled in that a disc does not fit into.

use crate::plane::Plane;

/// The closing of a plane by the digital disc x² + y² ≤ `square`: the disc's highest value everywhere, then its lowest. What lies outside
/// the plane takes no part in either, so a dark line that runs to the border is filled to its end.
#[must_use]
pub fn closing(plane: &Plane<u16>, square: u32) -> Plane<u16> {
    // Turning every value over turns lowest into highest, and the disc is its own mirror.
    let lifted = highest(plane, square).map(|&v| !v);
    highest(&lifted, square).map(|&v| !v)
}

/// The highest value within the disc around each pixel. Each row is widened step by step and laid on the rows of the disc, narrow ones
/// first: about four simple passes a pixel for each pixel of radius, all of which vectorise.
pub(super) fn highest(plane: &Plane<u16>, square: u32) -> Plane<u16> {
    let (width, height) = (plane.width(), plane.height());
    let shape = disc(square);
    let mut out = Plane::filled(width, height, 0u16);
    let (mut row, mut next) = (vec![0u16; width], vec![0u16; width]);
    for y in 0..height {
        row.copy_from_slice(plane.row(y));
        let mut reached = 0;
        for &(far, half) in &shape {
            while reached < half {
                widened(&row, &mut next);
                std::mem::swap(&mut row, &mut next);
                reached += 1;
            }
            let below = (y + far < height).then_some(y + far);
            let above = (far > 0).then(|| y.checked_sub(far)).flatten();
            for at in [below, above].into_iter().flatten() {
                for (to, from) in out.data_mut()[at * width..(at + 1) * width].iter_mut().zip(&row) {
                    *to = (*to).max(*from);
                }
            }
        }
    }
    out
}

/// Each value and its two neighbours: the highest.
fn widened(row: &[u16], out: &mut [u16]) {
    let last = row.len() - 1;
    for (to, from) in out[1..].iter_mut().zip(row.windows(2)) {
        *to = from[0].max(from[1]);
    }
    out[0] = row[0];
    for (to, &right) in out[..last].iter_mut().zip(&row[1..]) {
        *to = (*to).max(right);
    }
}

/// The disc row by row: how far from its middle, and half its width there, narrow ones first.
fn disc(square: u32) -> Vec<(usize, usize)> {
    let root = |value: u32| {
        let root = libm::sqrt(f64::from(value)) as u32;
        (root - u32::from(root * root > value)) as usize
    };
    (0..=root(square) as u32).rev().map(|far| (far as usize, root(square - far * far))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn naive(plane: &Plane<u16>, square: u32, pick: fn(u16, u16) -> u16) -> Plane<u16> {
        Plane::from_fn(plane.width(), plane.height(), |x, y| {
            let mut best = plane.at(x, y);
            for v in 0..plane.height() {
                for u in 0..plane.width() {
                    if (u.abs_diff(x).pow(2) + v.abs_diff(y).pow(2)) as u32 <= square {
                        best = pick(best, plane.at(u, v));
                    }
                }
            }
            best
        })
    }

    proptest! {
        #[test]
        fn closings_are_those_of_a_search(width in 1usize..24, height in 1usize..24, seed in any::<u64>(), square in 0u32..40) {
            let mut state = seed;
            let plane = Plane::from_fn(width, height, |_, _| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 48) as u16
            });
            let expected = naive(&naive(&plane, square, u16::max), square, u16::min);
            prop_assert_eq!(closing(&plane, square), expected);
        }
    }
}
