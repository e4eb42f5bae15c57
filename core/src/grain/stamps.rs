//! Small discs as words: which of 8 × 8 points one covers, made once for every place between points and every radius in steps.
//!
//! Where pixels are large beside a grain nearly all discs are a few points wide, and there are millions of them: a table has no roots to
//! take and no rows to walk. Centres are rounded to an eighth of a point and radii to a sixteenth, evenly up and down, so that the
//! share covered keeps its mean; an edge is off by a tenth of a point at the most.

use std::sync::OnceLock;

/// Steps of the centre between two points.
const PLACES: usize = 8;
/// Steps of the radius a point.
const STEPS: f32 = 16.0;
/// Radii in the table; all below 4 points, so that a disc fits into 8 × 8 from 3 points left of and above its centre's.
const RADII: usize = 64;

/// Every small disc.
pub(super) struct Stamps(Vec<u64>);

/// Where a disc's 8 × 8 points begin, and which of its table's place it is on.
#[derive(Clone, Copy)]
pub(super) struct Spot {
    /// Column of the first point, may be less than 0.
    pub(super) x: i32,
    /// Its row.
    pub(super) y: i32,
    place: usize,
}

impl Spot {
    /// Of a centre, in points.
    #[inline]
    pub(super) fn of(x: f32, y: f32) -> Self {
        // Whole steps, rounded; far inside 32 bits, and above 0 once 64 points are added.
        let step = |at: f32| (at * PLACES as f32 + (64 * PLACES) as f32 + 0.5) as i32;
        let (x, y) = (step(x), step(y));
        let (x, y) = (x.max(0) as usize, y.max(0) as usize);
        let first = |at: usize| (at / PLACES) as i32 - 67;
        Self { x: first(x), y: first(y), place: y % PLACES * PLACES + x % PLACES }
    }
}

/// Whether a radius, in points, is one of the table's or less.
#[inline]
pub(super) fn small(radius: f32) -> bool {
    radius < (RADII as f32 - 0.5) / STEPS
}

impl Stamps {
    /// The table.
    pub(super) fn table() -> &'static Self {
        static TABLE: OnceLock<Stamps> = OnceLock::new();
        TABLE.get_or_init(|| {
            let mut words = Vec::with_capacity(RADII * PLACES * PLACES);
            for radius in 0..RADII {
                let radius = radius as f32 / STEPS;
                for place in 0..PLACES * PLACES {
                    let at = |k: usize| k as f32 / PLACES as f32 + 3.0;
                    let (x, y) = (at(place % PLACES), at(place / PLACES));
                    let within = |bit: usize| {
                        let (dx, dy) = ((bit % 8) as f32 - x, (bit / 8) as f32 - y);
                        radius > 0.0 && dx * dx + dy * dy <= radius * radius
                    };
                    words.push((0..64).filter(|&bit| within(bit)).fold(0, |word, bit| word | 1u64 << bit));
                }
            }
            Self(words)
        })
    }

    /// The points that a small disc covers; none where its radius is 0 or less.
    #[inline]
    pub(super) fn disc(&self, spot: Spot, radius: f32) -> u64 {
        let radius = (radius * STEPS + 0.5) as u32 as usize;
        self.0.get(radius * PLACES * PLACES + spot.place).copied().unwrap_or(0)
    }
}

/// What of 8 × 8 points moved right by `dx` and down by `dy` (both 0..8) lies in the first word and in those right, below and aslant of it.
#[inline]
pub(super) fn spread(word: u64, dx: u32, dy: u32) -> [u64; 4] {
    let stay = 0x0101_0101_0101_0101 * (0xFF >> dx);
    let (left, right) = ((word & stay) << dx, (word & !stay) >> 1 >> (7 - dx));
    let down = |word: u64| word >> 1 >> (63 - 8 * dy);
    [left << (8 * dy), right << (8 * dy), down(left), down(right)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_disc_covers_its_area_on_the_mean() {
        // π r² of points a unit apart, over all places.
        for radius in [0.5f32, 1.0, 2.0, 3.0, 3.9] {
            let table = Stamps::table();
            let sum: u32 = (0..64).map(|k| table.disc(Spot::of((k % 8) as f32 / 8.0, (k / 8) as f32 / 8.0), radius).count_ones()).sum();
            let radius = f64::from((radius * 16.0).round() / 16.0);
            let area = std::f64::consts::PI * radius * radius;
            assert!((f64::from(sum) / 64.0 - area).abs() < 0.012 * area, "{radius}: {} and {area}", f64::from(sum) / 64.0);
        }
    }

    proptest! {
        #[test]
        fn a_stamp_is_the_disc(x in -20.0..20.0f32, y in -20.0..20.0f32, radius in 0.0..3.9f32) {
            let spot = Spot::of(x, y);
            let word = Stamps::table().disc(spot, radius);
            for bit in 0..64 {
                let (px, py) = (spot.x + bit % 8, spot.y + bit / 8);
                let far = (px as f32 - x).hypot(py as f32 - y) - radius;
                // A sixteenth of a point each way for the centre and half of that for the radius.
                if far.abs() > 0.125 {
                    prop_assert_eq!(word >> bit & 1 == 1, far < 0.0);
                }
            }
        }

        #[test]
        fn spread_points_are_where_they_were(word in any::<u64>(), dx in 0..8u32, dy in 0..8u32) {
            let words = spread(word, dx, dy);
            for bit in 0..64 {
                let (x, y) = (bit % 8 + dx, bit / 8 + dy);
                let there = words[(x / 8 + 2 * (y / 8)) as usize] >> (x % 8 + 8 * (y % 8)) & 1;
                prop_assert_eq!(there, word >> bit & 1);
            }
            prop_assert_eq!(words.iter().map(|w| w.count_ones()).sum::<u32>(), word.count_ones());
        }
    }
}
