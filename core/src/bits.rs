//! Bits: a raster of yes and no, 64 pixels to a word.

use crate::plane::Plane;

/// One bit a pixel, rows padded to whole words.
///
/// # Guarantees
/// Bits beyond the width are 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BitPlane {
    width: usize,
    height: usize,
    words: usize,
    data: Vec<u64>,
}

impl BitPlane {
    /// All bits 0.
    ///
    /// # Panics
    /// When a side is zero.
    #[must_use]
    pub fn empty(width: usize, height: usize) -> Self {
        assert!(width > 0 && height > 0, "a plane has at least one pixel");
        let words = width.div_ceil(64);
        Self { width, height, words, data: vec![0; words * height] }
    }

    /// Where a pixel differs from its right neighbour, and where from the one below: the cracks between regions.
    #[must_use]
    pub fn cracks(map: &Plane<u8>) -> (Self, Self) {
        let (width, height) = (map.width(), map.height());
        let (mut across, mut down) = (Self::empty(width, height), Self::empty(width, height));
        for y in 0..height {
            let row = map.row(y);
            differing(row, &row[1..], across.row_mut(y));
            if y + 1 < height {
                differing(row, map.row(y + 1), down.row_mut(y));
            }
        }
        (across, down)
    }

    /// Columns.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    #[must_use]
    pub fn height(&self) -> usize {
        self.height
    }

    /// The words of one row; bit 0 of word 0 is the leftmost pixel.
    #[must_use]
    pub fn row(&self, y: usize) -> &[u64] {
        &self.data[y * self.words..(y + 1) * self.words]
    }

    /// The words of one row, to be changed in place; bits beyond the width must stay 0.
    pub(crate) fn row_mut(&mut self, y: usize) -> &mut [u64] {
        &mut self.data[y * self.words..(y + 1) * self.words]
    }

    /// The bit at column `x`, row `y`.
    #[must_use]
    pub fn at(&self, x: usize, y: usize) -> bool {
        self.row(y)[x / 64] >> (x % 64) & 1 != 0
    }

    /// Sets a bit to 1, and says whether it was 0.
    pub(crate) fn set(&mut self, x: usize, y: usize) -> bool {
        let (word, bit) = (&mut self.row_mut(y)[x / 64], 1 << (x % 64));
        let new = *word & bit == 0;
        *word |= bit;
        new
    }

    /// Sets a bit to 0.
    pub fn clear(&mut self, x: usize, y: usize) {
        self.row_mut(y)[x / 64] &= !(1 << (x % 64));
    }

    /// Sets a stretch of a row to 1.
    ///
    /// # Panics
    /// Where the stretch leaves the plane.
    pub fn set_stretch(&mut self, y: usize, start: usize, end: usize) {
        assert!(end <= self.width, "a stretch ends within its row");
        if start >= end {
            return;
        }
        let row = self.row_mut(y);
        let (first, last) = (start / 64, (end - 1) / 64);
        let from = u64::MAX << (start % 64);
        let to = u64::MAX >> (63 - (end - 1) % 64);
        if first == last {
            row[first] |= from & to;
            return;
        }
        row[first] |= from;
        row[first + 1..last].fill(u64::MAX);
        row[last] |= to;
    }

    /// Sets to 0 every bit that is 1 in another plane.
    ///
    /// # Panics
    /// When the sizes differ.
    pub fn remove(&mut self, other: &Self) {
        assert!(self.width == other.width && self.height == other.height, "both planes have one size");
        for (word, out) in self.data.iter_mut().zip(&other.data) {
            *word &= !out;
        }
    }

    /// How many bits are 1 in both planes.
    ///
    /// # Panics
    /// When the sizes differ.
    #[must_use]
    pub fn count_in(&self, other: &Self) -> u64 {
        assert!(self.width == other.width && self.height == other.height, "both planes have one size");
        self.data.iter().zip(&other.data).map(|(a, b)| u64::from((a & b).count_ones())).sum()
    }

    /// How many bits are 1.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.data.iter().map(|word| u64::from(word.count_ones())).sum()
    }

    /// Which bits of a row's last word are within the width.
    pub(crate) fn last_word(&self) -> u64 {
        if self.width.is_multiple_of(64) { u64::MAX } else { (1 << (self.width % 64)) - 1 }
    }

    /// Every bit turned over.
    #[must_use]
    pub fn complement(mut self) -> Self {
        let last = self.last_word();
        let words = self.words;
        for row in self.data.chunks_exact_mut(words) {
            for word in row.iter_mut() {
                *word = !*word;
            }
            row[words - 1] &= last;
        }
        self
    }

    /// Bits beyond the width put back to 0.
    pub(crate) fn trimmed(mut self) -> Self {
        let (last, words) = (self.last_word(), self.words);
        for row in self.data.chunks_exact_mut(words) {
            row[words - 1] &= last;
        }
        self
    }

    /// Calls `pixel(x, y)` for every bit that is 1, rows from the top, left to right.
    pub fn each(&self, mut pixel: impl FnMut(usize, usize)) {
        for y in 0..self.height {
            for (i, &word) in self.row(y).iter().enumerate() {
                let mut left = word;
                while left != 0 {
                    pixel(i * 64 + left.trailing_zeros() as usize, y);
                    left &= left - 1;
                }
            }
        }
    }
}

/// Bit i = whether `a[i]` and `b[i]` differ, as far as both reach. Eight bytes at a time.
pub(crate) fn differing(a: &[u8], b: &[u8], out: &mut [u64]) {
    const LOW: u64 = 0x7f7f_7f7f_7f7f_7f7f;
    let eight = |bytes: &[u8]| {
        let mut word = [0; 8];
        word[..bytes.len()].copy_from_slice(bytes);
        u64::from_le_bytes(word)
    };
    for (word, (a, b)) in out.iter_mut().zip(a.chunks(64).zip(b.chunks(64))) {
        let both = a.len().min(b.len());
        let mut bits = 0;
        for (i, (a, b)) in a[..both].chunks(8).zip(b[..both].chunks(8)).enumerate() {
            let apart = if a.len() == 8 && b.len() == 8 { as_word(a) ^ as_word(b) } else { eight(a) ^ eight(b) };
            // The top bit of each byte that is not 0, then the eight of them side by side.
            let some = (((apart & LOW) + LOW) | apart) & !LOW;
            bits |= ((some >> 7).wrapping_mul(0x0102_0408_1020_4080) >> 56) << (8 * i);
        }
        *word = bits;
    }
}

fn as_word(bytes: &[u8]) -> u64 {
    let mut word = [0; 8];
    word.copy_from_slice(bytes);
    u64::from_le_bytes(word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_beyond_the_width_stay_clear() {
        let bits = BitPlane::empty(70, 2).complement();
        assert_eq!(bits.count(), 140);
        assert_eq!(bits.row(0)[1], (1 << 6) - 1);
    }

    #[test]
    fn stretches_are_set_and_taken_away() {
        for (start, end) in [(0, 0), (0, 1), (3, 64), (63, 65), (0, 200), (64, 128), (130, 200), (199, 200)] {
            let mut bits = BitPlane::empty(200, 3);
            bits.set_stretch(1, start, end);
            for x in 0..200 {
                assert_eq!(bits.at(x, 1), (start..end).contains(&x), "{x} of {start}..{end}");
            }
            assert_eq!(bits.count(), (end - start) as u64);
            let mut all = BitPlane::empty(200, 3).complement();
            assert_eq!(all.count_in(&bits), bits.count());
            all.remove(&bits);
            assert_eq!(all.count(), 600 - bits.count());
        }
    }

    #[test]
    fn cracks_are_where_neighbours_differ() {
        for width in [1usize, 7, 8, 9, 63, 64, 65, 130] {
            let map = Plane::from_fn(width, 5, |x, y| ((x * 7 + y * 5) / 11 % 3) as u8 * 100);
            let (across, down) = BitPlane::cracks(&map);
            for y in 0..5 {
                for x in 0..width {
                    assert_eq!(across.at(x, y), x + 1 < width && map.at(x, y) != map.at(x + 1, y), "({x}, {y}) of {width}");
                    assert_eq!(down.at(x, y), y < 4 && map.at(x, y) != map.at(x, (y + 1).min(4)));
                }
            }
        }
    }

    #[test]
    fn each_visits_what_is_set() {
        let mut bits = BitPlane::empty(66, 2).complement();
        bits.clear(65, 1);
        let mut seen = Vec::new();
        bits.each(|x, y| seen.push((x, y)));
        assert_eq!((seen.len(), seen[131 - 1]), (131, (64, 1)));
    }
}
