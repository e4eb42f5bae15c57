//! Opening: where a disc fits into the regions of a map, by words of 64 pixels.
//!
//! The regions partition the face, so one pass serves all tones at once, and the cost does not grow with their number. Everything is
//! whole numbers. The picture's border is free: outside counts as more of the same, and a disc may stand half over it.

use crate::bits::BitPlane;
use crate::plane::Plane;

/// A disc of pixels: those whose centres are no farther from its middle than its radius.
///
/// Its middle is a pixel's centre or the corner between four, whichever makes its width the diameter to the nearest whole pixel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Disc {
    /// Half the width of each row, from the middle outwards: of a disc about a pixel, pixels beside the middle one; about a corner,
    /// pixels on either side.
    halves: Vec<usize>,
    about_corner: bool,
}

impl Disc {
    /// A disc of a diameter in pixels; at least one pixel.
    #[must_use]
    pub fn of_diameter(px: f64) -> Self {
        let wide = libm::round(px).max(1.0) as u64;
        let about_corner = wide.is_multiple_of(2);
        // In half pixels, so that both kinds are whole numbers: a row is 2k (or 2k + 1) from the middle, a pixel 2x (or 2x − 1).
        let square = px * px + 1e-9;
        let within = |across: u64, down: u64| (across * across + down * down) as f64 <= square;
        let (first, offset) = if about_corner { (1, 1) } else { (0, 0) };
        let half = |down: u64| (1..).take_while(|&x| within(2 * x - offset, down)).count();
        let rows = if about_corner { wide / 2 } else { wide / 2 + 1 };
        Self { halves: (0..rows).map(|k| half(2 * k + first)).collect(), about_corner }
    }

    /// The disc about a pixel of all those at a squared distance up to `square`.
    #[must_use]
    pub fn about_pixel(square: u32) -> Self {
        let root = |value: u32| {
            let root = libm::sqrt(f64::from(value)) as u32;
            (root - u32::from(root * root > value)) as usize
        };
        Self { halves: (0..=root(square) as u32).map(|dy| root(square - dy * dy)).collect(), about_corner: false }
    }

    /// How many pixels it holds.
    #[must_use]
    pub fn area(&self) -> usize {
        let width = |half: usize| if self.about_corner { 2 * half } else { 2 * half + 1 };
        let side: usize = self.halves[1..].iter().map(|&half| 2 * width(half)).sum();
        side + width(self.halves[0]) * if self.about_corner { 2 } else { 1 }
    }

    /// Rows a disc reaches from a row of pixels it holds to the row of its middle, or back, narrow ends first. About a corner, the row of
    /// corners above a row of pixels has its number: from pixels to middles `down` is 1, back it is −1 and the rows turn over.
    fn reaches(&self, to_corners: bool) -> Vec<Reach> {
        let ends = |(k, &half): (usize, &usize)| {
            let k = k as isize;
            let (up, down) = match (self.about_corner, to_corners) {
                (false, _) => (-k, k),
                (true, true) => (-k, k + 1),
                (true, false) => (-k - 1, k),
            };
            let twice = up != down;
            [Some(Reach { row: up, half }), twice.then_some(Reach { row: down, half })]
        };
        self.halves.iter().enumerate().rev().flat_map(ends).flatten().collect()
    }
}

/// Which pixels are in the opening of their own region: those that some disc lying within the region holds.
#[must_use]
pub fn opened(map: &Plane<u8>, disc: &Disc) -> BitPlane {
    held(&middles(map, disc), disc, (map.width(), map.height()))
}

/// Which pixels the discs about the given middles hold, on a raster of a size.
#[must_use]
pub fn held(middles: &BitPlane, disc: &Disc, (width, height): (usize, usize)) -> BitPlane {
    let mut out = BitPlane::empty(width, height);
    let reaches = disc.reaches(false);
    let mut work = Vec::new();
    for y in 0..middles.height() {
        work.clear();
        work.extend_from_slice(middles.row(y));
        if disc.about_corner {
            // A corner has a pixel on either side: its own number, and the one before.
            grow_left(&mut work);
        }
        scatter(&mut work, usize::from(disc.about_corner), y, &reaches, &mut out);
    }
    out.trimmed()
}

/// About which middles a disc holds pixels of one region only. Of a disc about a corner the bit (x, y) is the corner above and left of pixel
/// (x, y), so there is one more each way than pixels.
///
/// A disc holds two regions exactly when it holds both pixels of some crack between them. So cracks are grown, not regions.
#[must_use]
pub fn middles(map: &Plane<u8>, disc: &Disc) -> BitPlane {
    let (across, down) = BitPlane::cracks(map);
    let more = usize::from(disc.about_corner);
    let mut broken = BitPlane::empty(map.width() + more, map.height() + more);
    let words = broken.row(0).len();
    // A crack between a pixel and its right neighbour: a disc about a pixel holds both from half width 1 on, about either of them;
    // a disc about a corner holds both about the corner between them.
    let for_across: Vec<Reach> = disc.reaches(true).into_iter().filter(|reach| reach.half >= 1).collect();
    // Of a crack between two rows the farther row decides; about a corner, the corner row between the two sees both in its middle rows.
    let for_down: Vec<Reach> = if disc.about_corner {
        let far = disc.reaches(true).into_iter();
        far.map(|reach| if reach.row <= 0 { Reach { row: reach.row + 1, ..reach } } else { reach }).collect()
    } else {
        let far = disc.reaches(true).into_iter().filter(|reach| reach.row > 0);
        far.flat_map(|reach| [Reach { row: 1 - reach.row, ..reach }, reach]).collect()
    };
    let mut work = Vec::new();
    for y in 0..map.height() {
        work.clear();
        work.extend_from_slice(across.row(y));
        work.resize(words, 0);
        if disc.about_corner {
            shift_right(&mut work);
        } else {
            grow_right(&mut work);
        }
        scatter(&mut work, 1, y, &for_across, &mut broken);
        work.clear();
        work.extend_from_slice(down.row(y));
        work.resize(words, 0);
        if disc.about_corner {
            grow_right(&mut work);
        }
        scatter(&mut work, more, y, &for_down, &mut broken);
    }
    broken.complement()
}

/// One row of a disc: how far from its middle, and half its width there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Reach {
    row: isize,
    half: usize,
}

/// Spreads one row's bits, which have been grown to half width `reached`, over the rows of a shape given narrow rows first, so that each
/// width grows from the one before. Bits may run over the raster's right border: they never come back, and the caller trims them.
fn scatter(row: &mut [u64], mut reached: usize, y: usize, shape: &[Reach], out: &mut BitPlane) {
    if row.iter().all(|&word| word == 0) {
        return;
    }
    for reach in shape {
        while reached < reach.half {
            grow_both(row);
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
fn grow_both(row: &mut [u64]) {
    let mut before = 0;
    for i in 0..row.len() {
        let here = row[i];
        let after = row.get(i + 1).copied().unwrap_or(0);
        row[i] = here | here << 1 | here >> 1 | before >> 63 | after << 63;
        before = here;
    }
}

/// Grows every 1 by one pixel to the right.
fn grow_right(row: &mut [u64]) {
    let mut carry = 0;
    for word in row.iter_mut() {
        let here = *word;
        *word = here | here << 1 | carry;
        carry = here >> 63;
    }
}

/// Grows every 1 by one pixel to the left.
fn grow_left(row: &mut [u64]) {
    for i in 0..row.len() {
        let after = row.get(i + 1).copied().unwrap_or(0);
        row[i] |= row[i] >> 1 | after << 63;
    }
}

/// Moves every bit one pixel to the right.
fn shift_right(row: &mut [u64]) {
    let mut carry = 0;
    for word in row.iter_mut() {
        let here = *word;
        *word = here << 1 | carry;
        carry = here >> 63;
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

    /// The offsets, in half pixels, of the pixels of a disc from its middle.
    fn offsets(px: f64) -> Vec<(isize, isize)> {
        let parity = 1 - libm::round(px).max(1.0) as isize % 2;
        let side = || (-99..100).filter(move |v: &isize| v.rem_euclid(2) == parity);
        side().flat_map(|dy| side().map(move |dx| (dx, dy))).filter(|&(dx, dy)| ((dx * dx + dy * dy) as f64) <= px * px + 1e-9).collect()
    }

    #[test]
    fn discs_are_as_wide_as_their_diameter() {
        for tenths in 5..400u32 {
            let px = f64::from(tenths) / 10.0;
            let disc = Disc::of_diameter(px);
            let wide = disc.halves[0] * 2 + usize::from(!disc.about_corner);
            assert_eq!(wide, libm::round(px) as usize, "{px}");
            assert_eq!(disc.area(), offsets(px).len(), "{px}");
        }
        assert_eq!(Disc::about_pixel(25).area(), 81);
        assert_eq!(Disc::of_diameter(10.0).area(), 80);
        assert_eq!(Disc::of_diameter(0.0).area(), 1);
    }

    #[test]
    fn a_band_is_open_from_the_diameter_on() {
        for (px, wide) in [(10.0, 10), (9.0, 9), (3.0, 3), (15.0, 15), (4.4, 4)] {
            for band in 1..20 {
                let map = Plane::from_fn(90, 12, |x, _| u8::from((40..40 + band).contains(&x)));
                assert_eq!(opened(&map, &Disc::of_diameter(px)).at(40, 5), band >= wide, "{px} px in a band of {band}");
            }
        }
        assert_eq!(opened(&Plane::filled(5, 4, 3u8), &Disc::of_diameter(12.0)).count(), 20);
    }

    proptest! {
        #[test]
        fn middles_are_clear_as_far_as_distances_say(width in 1usize..150, height in 1usize..30, seed in any::<u64>(), shift in 56u32..62, square in 0u32..60) {
            let map = noise(width, height, seed, shift);
            let far = squared_to_other(&map, 9);
            let clear = middles(&map, &Disc::about_pixel(square));
            for y in 0..height {
                for x in 0..width {
                    prop_assert_eq!(clear.at(x, y), u32::from(far.at(x, y)) > square, "({}, {})", x, y);
                }
            }
        }

        /// Held against the definition: every disc, pixel by pixel.
        #[test]
        fn an_opening_is_the_union_of_the_discs_that_fit(width in 1usize..140, height in 1usize..24, seed in any::<u64>(), shift in 57u32..63, tenths in 5u32..130) {
            let (map, px) = (noise(width, height, seed, shift), f64::from(tenths) / 10.0);
            let open = opened(&map, &Disc::of_diameter(px));
            let offsets = offsets(px);
            let odd = libm::round(px).max(1.0) as usize % 2;
            let mut wanted = Plane::filled(width, height, false);
            let (most_x, most_y) = (width + 1 - odd, height + 1 - odd);
            for cy in 0..most_y as isize {
                for cx in 0..most_x as isize {
                    // The middle in half pixels: of a pixel 2c + 1, of a corner 2c.
                    let (mx, my) = (2 * cx + odd as isize, 2 * cy + odd as isize);
                    let pixels = offsets.iter().map(|(dx, dy)| ((mx + dx - 1) / 2, (my + dy - 1) / 2, mx + dx < 1 || my + dy < 1));
                    let inside: Vec<(usize, usize)> = pixels
                        .filter(|&(x, y, before)| !before && x < width as isize && y < height as isize)
                        .map(|(x, y, _)| (x as usize, y as usize))
                        .collect();
                    let Some(&(x, y)) = inside.first() else { continue };
                    let value = map.at(x, y);
                    if inside.iter().all(|&(x, y)| map.at(x, y) == value) {
                        for (x, y) in inside {
                            wanted.data_mut()[y * width + x] = true;
                        }
                    }
                }
            }
            for y in 0..height {
                for x in 0..width {
                    prop_assert_eq!(open.at(x, y), wanted.at(x, y), "({}, {}) of {}", x, y, px);
                }
            }
        }
    }
}
