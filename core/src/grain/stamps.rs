//! Small discs as words: which of 8 × 8 points one covers, made once for every place between points and every radius in steps.
//!
//! Where pixels are large beside a grain nearly all discs are a few points wide, and there are millions of them: a table has no roots to
//! take and no rows to walk. Centres are rounded to an eighth of a point; a radius lies between two sixteenths and goes to one or the
//! other as often as it lies near it, by what was left of its centre. Every radius covers its true area on the mean over all places, so the
//! share covered keeps its mean too; an edge is off by a tenth of a point or so.

use std::sync::OnceLock;

/// Steps of the centre between two points.
const PLACES: usize = 8;
/// Steps of the radius a point.
const STEPS: f64 = 16.0;
/// Radii in the table; all below 4 points, so that a disc fits into 8 × 8 from 3 points left of and above its centre's.
const RADII: usize = 64;

/// Every small disc.
pub(super) struct Stamps([u64; RADII * PLACES * PLACES]);

/// Steps of a place, as whole numbers: a point has 8 · 2³², so that rounding a place is a shift.
pub(super) const PLACE_STEPS: f64 = (PLACES as u64 * (1 << 32)) as f64;
/// Steps of a radius, as whole numbers, a point.
const RADIUS_STEPS: f64 = STEPS * 256.0;

/// Where a disc's 8 × 8 points begin, and which of its table's place it is on.
#[derive(Clone, Copy)]
pub(super) struct Spot {
    /// Column of the first point, may be less than 0.
    pub(super) x: i32,
    /// Its row.
    pub(super) y: i32,
    place: usize,
    /// What rounding left of the centre across, 256ths.
    left: i32,
}

/// The place of a centre across or down, in points, from which [`Spot::at`] reads.
#[inline]
pub(super) fn place(points: f64) -> i64 {
    ((points + 64.0) * PLACE_STEPS) as i64 + (1 << 31)
}

/// The centre again, in points.
#[inline]
pub(super) fn points(place: i64) -> f32 {
    ((place - (1 << 31)) as f64 / PLACE_STEPS - 64.0) as f32
}

/// A radius in points as a whole number; what never ends, or is none, within it too.
pub(super) fn radius(points: f64) -> i32 {
    libm::round(points * RADIUS_STEPS).clamp(-1e9, 1e9) as i32
}

impl Spot {
    /// Of a centre by [`place`], 60 points left of and above the first at the furthest.
    #[inline]
    pub(super) fn at(x: i64, y: i64) -> Self {
        let step = |at: i64| (at >> 32).max(0) as usize;
        let (column, row) = (step(x), step(y));
        let first = |at: usize| (at / PLACES) as i32 - 67;
        let place = row % PLACES * PLACES + column % PLACES;
        Self { x: first(column), y: first(row), place, left: (x >> 24 & 255) as i32 }
    }
}

/// Whether a [`radius`] is one of the table's or less.
#[inline]
pub(super) fn small(radius: i32) -> bool {
    radius < ((RADII - 1) * 256) as i32
}

impl Stamps {
    /// The table.
    pub(super) fn table() -> &'static Self {
        static TABLE: OnceLock<Stamps> = OnceLock::new();
        TABLE.get_or_init(|| {
            // Every point of every place, the nearest to the centre first.
            let mut near: Vec<(u32, usize, usize)> = vec![];
            for place in 0..PLACES * PLACES {
                for bit in 0..64 {
                    let steps = |bit: usize, place: usize| (bit * PLACES).abs_diff(3 * PLACES + place) as u32;
                    let (dx, dy) = (steps(bit % 8, place % PLACES), steps(bit / 8, place / PLACES));
                    near.push((dx * dx + dy * dy, place, bit));
                }
            }
            near.sort_unstable();
            let mut words = [0; RADII * PLACES * PLACES];
            for (radius, words) in words.chunks_exact_mut(PLACES * PLACES).enumerate() {
                let radius = radius as f64 / STEPS;
                let area = std::f64::consts::PI * radius * radius;
                let count = libm::round(area * (PLACES * PLACES) as f64) as usize;
                near.iter().take(count).for_each(|(_, place, bit)| words[*place] |= 1u64 << bit);
            }
            Self(words)
        })
    }

    /// The points that a [`small`] disc covers; none where its radius is 0 or less.
    #[inline]
    pub(super) fn disc(&self, spot: Spot, radius: i32) -> u64 {
        let radius = ((radius + spot.left).max(0) >> 8) as usize;
        self.0[(radius * PLACES * PLACES + spot.place) % (RADII * PLACES * PLACES)]
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
        // π r² of points a unit apart, over all places and all that rounding may leave.
        for radius in [0.1f32, 0.5, 1.03, 2.0, 3.3, 3.8] {
            let side = 256;
            let at = |k: u32| f64::from(k) / f64::from(side);
            let points = (0..side * side).map(|k| {
                Stamps::table().disc(Spot::at(place(at(k % side)), place(at(k / side))), super::radius(f64::from(radius))).count_ones()
            });
            let mean = f64::from(points.sum::<u32>()) / f64::from(side * side);
            let area = std::f64::consts::PI * f64::from(radius).powi(2);
            assert!((mean - area).abs() < 0.006 + 0.002 * area, "{radius}: {mean} and {area}");
        }
    }

    proptest! {
        #[test]
        fn a_stamp_is_the_disc(x in -20.0..20.0f64, y in -20.0..20.0f64, radius in 0.0..3.8f32) {
            let spot = Spot::at(place(x), place(y));
            prop_assert!((f64::from(points(place(x))) - x).abs() < 1e-5);
            let word = Stamps::table().disc(spot, super::radius(f64::from(radius)));
            for bit in 0..64 {
                let (px, py) = (spot.x + bit % 8, spot.y + bit / 8);
                let far = (f64::from(px) - x).hypot(f64::from(py) - y) - f64::from(radius);
                // A sixteenth of a point each way for the centre and one for the radius.
                if far.abs() > 0.17 {
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
