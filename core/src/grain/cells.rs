//! The chance behind the grain: one small generator a cell, seeded by a hash of the cell's place.
//!
//! A generator that runs on from disc to disc would tie every grain to where drawing began. Here the discs of a cell depend on the seed
//! and the cell's column and row only, so each cell can be made alone and again. That wants a hash more than a generator; SplitMix64
//! (Steele, Lea, Flood, Fast splittable pseudorandom number generators, OOPSLA 2014, doi:10.1145/2660193.2660195) is both: its
//! finaliser mixes the place into a start, and its sequence from there gives one 64-bit number a disc. It is integers only, six lines,
//! and passes the usual batteries; a crate for it would be longer to justify than to write.

/// Mean number of discs in a cell. The cell's side follows from it, so that one table of counts serves every grain.
pub(crate) const PER_CELL: f64 = 12.0;
/// Bits of a draw that choose the class of radius.
pub(crate) const CLASS_BITS: u32 = 10;
/// Places along a cell's side a centre can take: 2²⁴, some 16 picometres apart.
pub(crate) const PLACES: f64 = 16_777_216.0;

/// Odd integer nearest to 2⁶⁴/φ: the step of SplitMix64's counter.
const GOLDEN_GAMMA: u64 = 0x9E37_79B9_7F4A_7C15;

/// SplitMix64: a counter, each value of it mixed.
pub(crate) struct SplitMix64(pub(crate) u64);

impl SplitMix64 {
    /// The next 64 bits.
    #[inline]
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(GOLDEN_GAMMA);
        mix(self.0)
    }
}

/// SplitMix64's finaliser, a bijection of 64 bits (variant 13 of Stafford's mixers, as the paper takes it).
#[inline]
fn mix(z: u64) -> u64 {
    let z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// The part of a cell's seed that its whole row shares.
pub(crate) fn row_seed(seed: u64, row: i64) -> u64 {
    mix(mix(seed.wrapping_add(GOLDEN_GAMMA)) ^ row as u64)
}

/// Where a cell's generator starts.
#[inline]
pub(crate) fn cell_seed(row_seed: u64, column: i64) -> u64 {
    mix(row_seed ^ column as u64)
}

/// One draw as a disc: x and y within the cell in [`PLACES`]ths of its side, and the class of radius.
#[inline]
pub(crate) fn place(draw: u64) -> (u32, u32, usize) {
    let low = 0x00FF_FFFF;
    ((draw & low) as u32, ((draw >> 24) & low) as u32, (draw >> (64 - CLASS_BITS)) as usize)
}

/// Poisson counts from 32 even bits, by the inverse of the distribution.
///
/// Each probability is off by at most 2⁻³², the mean by less than 1e-7.
#[derive(Clone, Debug)]
pub(crate) struct PoissonTable {
    /// P(count ≤ n) · 2³², while it is below 2³².
    below: Vec<u32>,
    /// The count for the lowest number with a given top byte: where to begin looking.
    guide: [u8; 256],
}

impl PoissonTable {
    /// Counts of the given mean, up to about 100.
    pub(crate) fn new(mean: f64) -> Self {
        let mut below = Vec::new();
        let mut probability = libm::exp(-mean);
        let mut sum = probability;
        while below.len() < 255 {
            let scaled = libm::round(sum * 4_294_967_296.0);
            if scaled >= 4_294_967_296.0 {
                break;
            }
            below.push(scaled as u32);
            probability *= mean / below.len() as f64;
            sum += probability;
        }
        let guide = std::array::from_fn(|top| below.iter().filter(|&&b| b <= (top as u32) << 24).count() as u8);
        Self { below, guide }
    }

    /// The count that belongs to 32 random bits.
    #[inline]
    pub(crate) fn count(&self, bits: u32) -> usize {
        let start = usize::from(self.guide[(bits >> 24) as usize]);
        start + self.below[start..].iter().take_while(|&&b| b <= bits).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn the_generator_is_splitmix64() {
        // First outputs for seeds 0 and 1234567 as commonly published for SplitMix64; figures from memory.
        assert_eq!(SplitMix64(0).next(), 0xE220_A839_7B1D_CDAF);
        let mut chance = SplitMix64(1_234_567);
        let drawn: Vec<u64> = (0..3).map(|_| chance.next()).collect();
        assert_eq!(drawn, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn counts_are_poisson() {
        // A Poisson law has its mean for variance, and P(0) = exp(−mean): any handbook of statistics.
        let table = PoissonTable::new(PER_CELL);
        let n = 1 << 20;
        let counts: Vec<f64> = (0..n).map(|i| table.count(i << 12) as f64).collect();
        let mean = counts.iter().sum::<f64>() / f64::from(n);
        let variance = counts.iter().map(|c| (c - mean).powi(2)).sum::<f64>() / f64::from(n);
        assert_abs_diff_eq!(mean, PER_CELL, epsilon = 1e-3);
        assert_abs_diff_eq!(variance, PER_CELL, epsilon = 5e-3);
        let two = PoissonTable::new(2.0);
        let none = (0..n).filter(|i| two.count(i << 12) == 0).count();
        assert_abs_diff_eq!(none as f64 / f64::from(n), f64::exp(-2.0), epsilon = 1e-5);
        assert_eq!(table.count(0), 0);
        assert!(table.count(u32::MAX) < 60);
    }

    #[test]
    fn neighbouring_cells_have_nothing_in_common() {
        // 2000 neighbours in a row and in a column: correlation of their first draws within 4/√n of none.
        let first = |seed, column, row| SplitMix64(cell_seed(row_seed(seed, row), column)).next() as f64 / u64::MAX as f64 - 0.5;
        let correlation = |pairs: Vec<(f64, f64)>| pairs.iter().map(|(a, b)| a * b).sum::<f64>() * 12.0 / pairs.len() as f64;
        let limit = 4.0 / f64::sqrt(2000.0);
        assert!(correlation((-1000..1000).map(|i| (first(1, i, 5), first(1, i + 1, 5))).collect()).abs() < limit);
        assert!(correlation((-1000..1000).map(|i| (first(1, 5, i), first(1, 5, i + 1))).collect()).abs() < limit);
        assert!(correlation((-1000..1000).map(|i| (first(1, i, 7), first(2, i, 7))).collect()).abs() < limit);
        assert!(correlation((-1000..1000).map(|i| (first(1, i, -i), first(1, -i, i))).collect()).abs() < limit);
    }
}
