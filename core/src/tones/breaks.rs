//! Breaks: where the drawing's lightness is cut between tones. They belong to the drawing.

use super::{BreakTable, ToneCount};
use crate::drawing::Ends;
use crate::light::Lightness;
use std::fmt;

/// N−1 lightnesses of the drawing, falling: lighter than the first is tone 0.
///
/// # Guarantees
/// One to fifteen values, finite, within 0..=100, strictly falling.
#[derive(Clone, Debug, PartialEq)]
pub struct Breaks(Vec<Lightness>);

/// Breaks that can't cut a drawing.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum BreaksError {
    /// Not one to fifteen values.
    Count(usize),
    /// Break `number` (1 is the lightest) is no lightness or not darker than the one before.
    Order {
        /// Which break, from 1.
        number: usize,
        /// Its value.
        value: f64,
    },
    /// The drawing holds one lightness only.
    OneLightness,
}

impl fmt::Display for BreaksError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Count(count) => write!(f, "One to fifteen breaks were expected, {count} came: a plate has 2 to 16 tones."),
            Self::Order { number, value } => write!(
                f,
                "Break {number} stands at L* {value}; breaks fall from light to dark between 100 and 0, each darker than the one before: move it."
            ),
            Self::OneLightness => {
                write!(f, "The drawing is one even grey, so there is nothing to separate: open a drawing with lights and darks.")
            }
        }
    }
}

impl std::error::Error for BreaksError {}

impl Breaks {
    /// Breaks moved by hand.
    ///
    /// # Errors
    /// When they are not one to fifteen, or don't fall strictly within 0..=100.
    pub fn new(falling: Vec<Lightness>) -> Result<Self, BreaksError> {
        if falling.is_empty() || falling.len() >= usize::from(ToneCount::MOST) {
            return Err(BreaksError::Count(falling.len()));
        }
        let mut before = f64::INFINITY;
        for (i, l) in falling.iter().enumerate() {
            if !(0.0..=100.0).contains(&l.0) || l.0 >= before {
                return Err(BreaksError::Order { number: i + 1, value: l.0 });
            }
            before = l.0;
        }
        Ok(Self(falling))
    }

    /// The breaks, lightest first.
    #[must_use]
    pub fn falling(&self) -> &[Lightness] {
        &self.0
    }

    /// How many tones they make.
    #[must_use]
    pub fn tones(&self) -> ToneCount {
        ToneCount(self.0.len() as u8 + 1)
    }

    /// The breaks as a table for whole planes.
    #[must_use]
    pub fn table(&self) -> BreakTable {
        BreakTable::new(&self.0)
    }
}

/// How often each lightness occurs, in equal bins over L* 0..100.
#[derive(Clone, Debug, PartialEq)]
pub struct Histogram {
    counts: Vec<u64>,
}

impl Histogram {
    /// Bins of a drawing's histogram: a twentieth of an L* each, finer than an 8-bit file in the lights.
    pub const BINS: usize = 2048;

    /// Counts values; what lies outside 0..=100 counts at the nearer end.
    #[must_use]
    pub fn of(values: impl IntoIterator<Item = f32>) -> Self {
        let mut counts = vec![0; Self::BINS];
        for l in values {
            counts[Self::bin(l)] += 1;
        }
        Self { counts }
    }

    /// Takes counts of equal bins over L* 0..100, darkest first.
    #[must_use]
    pub fn from_counts(counts: Vec<u64>) -> Self {
        Self { counts }
    }

    fn bin(l: f32) -> usize {
        let bins = Self::BINS as f32;
        ((l * (bins / 100.0)).max(0.0) as usize).min(Self::BINS - 1)
    }

    /// The middle of a bin.
    #[must_use]
    pub fn middle(&self, bin: usize) -> Lightness {
        Lightness((bin as f64 + 0.5) * 100.0 / self.counts.len() as f64)
    }

    /// Counts, darkest first.
    #[must_use]
    pub fn counts(&self) -> &[u64] {
        &self.counts
    }

    /// The occupied bins: middle and count, darkest first.
    fn occupied(&self) -> Vec<(f64, f64)> {
        let some = self.counts.iter().enumerate().filter(|(_, count)| **count > 0);
        some.map(|(bin, count)| (self.middle(bin).0, *count as f64)).collect()
    }
}

/// Breaks evenly spaced between the drawing's paper and its black: nearest target, with the drawing's range laid on the targets'.
///
/// # Errors
/// When paper and black are one lightness.
pub fn even(tones: ToneCount, ends: Ends) -> Result<Breaks, BreaksError> {
    let (paper, black) = (ends.paper.0, ends.black.0);
    if paper.partial_cmp(&black) != Some(std::cmp::Ordering::Greater) {
        return Err(BreaksError::OneLightness);
    }
    let bites = tones.bites() as f64;
    Breaks::new((0..tones.bites()).map(|k| Lightness(paper - (paper - black) * (k as f64 + 0.5) / bites)).collect())
}

/// Breaks with the least variance within tones, exactly, for every count of tones from 2 to 16 in one run.
///
/// Dynamic programming over the occupied bins (W. D. Fisher, "On grouping for maximum homogeneity", J. Am. Stat. Assoc. 53, 1958,
/// 789–798); the split points rise with the bin, so each row is filled by halving (as Wang and Song describe for weighted data,
/// The R Journal 3/2, 2011, 29–33). A break stands midway between the means of its two tones, the condition of Lloyd (1982) and
/// Max (1960), held within the gap between their bins.
///
/// Where a drawing has fewer lightnesses than tones, each keeps a tone of its own at the rank nearest to an even spacing, and the
/// tones between stay empty.
///
/// # Errors
/// When the histogram holds one lightness or none.
pub fn fitted(histogram: &Histogram) -> Result<Vec<Breaks>, BreaksError> {
    let bins = histogram.occupied();
    if bins.len() < 2 {
        return Err(BreaksError::OneLightness);
    }
    let sums = Sums::of(&bins);
    let most = usize::from(ToneCount::MOST);
    let classes = most.min(bins.len());
    let starts = best_starts(&sums, classes);
    let width = 100.0 / histogram.counts.len() as f64;
    (2..=most)
        .map(|tones| {
            let count = tones.min(classes);
            let groups = groups(&starts, count, bins.len());
            Breaks::new(falling_breaks(&bins, &sums, &groups, tones, width))
        })
        .collect()
}

/// Running sums of weight, weight × value and weight × value², so that the variance of any run of bins costs O(1).
struct Sums {
    weight: Vec<f64>,
    first: Vec<f64>,
    second: Vec<f64>,
}

impl Sums {
    fn of(bins: &[(f64, f64)]) -> Self {
        let mut sums = Self { weight: vec![0.0], first: vec![0.0], second: vec![0.0] };
        let (mut weight, mut first, mut second) = (0.0, 0.0, 0.0);
        for &(value, count) in bins {
            // Values about the middle of the scale keep the differences of large sums exact enough.
            let value = value - 50.0;
            weight += count;
            first += count * value;
            second += count * value * value;
            sums.weight.push(weight);
            sums.first.push(first);
            sums.second.push(second);
        }
        sums
    }

    /// Sum of squares about the mean of the bins `from..to`.
    fn spread(&self, from: usize, to: usize) -> f64 {
        let weight = self.weight[to] - self.weight[from];
        let first = self.first[to] - self.first[from];
        (self.second[to] - self.second[from] - first * first / weight).max(0.0)
    }

    fn mean(&self, from: usize, to: usize) -> f64 {
        50.0 + (self.first[to] - self.first[from]) / (self.weight[to] - self.weight[from])
    }
}

/// For each count of classes, the first bin of the last class when the bins up to `to` are split at best: `starts[n][to]`.
fn best_starts(sums: &Sums, classes: usize) -> Vec<Vec<u32>> {
    let bins = sums.weight.len() - 1;
    let mut cost: Vec<f64> = (0..=bins).map(|to| if to == 0 { 0.0 } else { sums.spread(0, to) }).collect();
    let mut starts = vec![vec![0u32; bins + 1]; 2];
    for n in 2..=classes {
        let mut next = vec![f64::INFINITY; bins + 1];
        let mut start = vec![0u32; bins + 1];
        // (from, to): rows still to fill; (low, high): where their best split must lie.
        let mut work = vec![(n, bins, n - 1, bins - 1)];
        while let Some((from, to, low, high)) = work.pop() {
            let middle = from + (to - from) / 2;
            let mut best = (f64::INFINITY, low);
            for (split, before) in cost.iter().enumerate().take(high.min(middle - 1) + 1).skip(low) {
                let total = before + sums.spread(split, middle);
                if total < best.0 {
                    best = (total, split);
                }
            }
            next[middle] = best.0;
            start[middle] = best.1 as u32;
            if middle > from {
                work.push((from, middle - 1, low, best.1));
            }
            if middle < to {
                work.push((middle + 1, to, best.1, high));
            }
        }
        cost = next;
        starts.push(start);
    }
    starts
}

/// Bin ranges of the classes, darkest first.
fn groups(starts: &[Vec<u32>], count: usize, bins: usize) -> Vec<(usize, usize)> {
    let mut groups = Vec::with_capacity(count);
    let mut to = bins;
    for n in (1..=count).rev() {
        let from = if n == 1 { 0 } else { starts[n][to] as usize };
        groups.push((from, to));
        to = from;
    }
    groups.reverse();
    groups
}

fn falling_breaks(bins: &[(f64, f64)], sums: &Sums, groups: &[(usize, usize)], tones: usize, width: f64) -> Vec<Lightness> {
    let means: Vec<f64> = groups.iter().map(|&(from, to)| sums.mean(from, to)).collect();
    let (dark, light) = (means[0], means[groups.len() - 1]);
    let last = groups.len() - 1;
    // Rank of each group, counted from the darkest: the two ends keep the ends, those between the nearest free place.
    let mut ranks = vec![0usize; groups.len()];
    for i in 1..groups.len() {
        let even = libm::round((means[i] - dark) / (light - dark) * (tones - 1) as f64) as usize;
        ranks[i] = even.clamp(ranks[i - 1] + 1, tones - 1 - (last - i));
    }
    if let Some(lightest) = ranks.last_mut() {
        *lightest = tones - 1;
    }
    let mut rising = Vec::with_capacity(tones - 1);
    for i in 0..last {
        let low = bins[groups[i].1 - 1].0 + width / 2.0;
        let high = bins[groups[i + 1].0].0 - width / 2.0;
        let middle = (means[i] + means[i + 1]) / 2.0;
        let empty = ranks[i + 1] - ranks[i];
        if empty == 1 {
            rising.push(Lightness(middle.clamp(low, high.max(low))));
        } else {
            let (low, high) = (bins[groups[i].1 - 1].0, bins[groups[i + 1].0].0);
            rising.extend((0..empty).map(|e| Lightness(low + (high - low) * (e as f64 + 0.5) / empty as f64)));
        }
    }
    rising.reverse();
    rising
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn spread_of(bins: &[(f64, f64)], rising: &[f64]) -> f64 {
        let mut total = 0.0;
        let edges: Vec<f64> = [f64::NEG_INFINITY].into_iter().chain(rising.iter().copied()).chain([f64::INFINITY]).collect();
        for pair in edges.windows(2) {
            let class: Vec<_> = bins.iter().filter(|(v, _)| *v >= pair[0] && *v < pair[1]).collect();
            let weight: f64 = class.iter().map(|(_, c)| c).sum();
            let mean = class.iter().map(|(v, c)| v * c).sum::<f64>() / weight.max(1.0);
            total += class.iter().map(|(v, c)| c * (v - mean).powi(2)).sum::<f64>();
        }
        total
    }

    #[test]
    fn even_breaks_stand_midway_between_the_tones() {
        let ends = Ends { paper: Lightness(90.0), black: Lightness(10.0) };
        let breaks = even(ToneCount::new(5).unwrap(), ends).unwrap();
        let values: Vec<f64> = breaks.falling().iter().map(|l| l.0).collect();
        assert_eq!(values, [80.0, 60.0, 40.0, 20.0]);
        assert!(even(ToneCount::new(5).unwrap(), Ends { paper: Lightness(50.0), black: Lightness(50.0) }).is_err());
    }

    #[test]
    fn otsu_by_hand() {
        // Histogram 8 7 2 6 9 4 at levels 0..5: best between-class variance after level 2 (Otsu, IEEE Trans. SMC 9, 1979;
        // worked in the usual encyclopaedia example, sums recomputed).
        let breaks = fitted(&Histogram::from_counts(vec![8, 7, 2, 6, 9, 4])).unwrap();
        let cut = breaks[0].falling()[0].0 * 6.0 / 100.0;
        assert!((3.0 - 1e-9..=3.5).contains(&cut) || (2.5..=3.0 + 1e-9).contains(&cut), "cut after level 2, at {cut}");
    }

    #[test]
    fn fisher_on_seven_values() {
        // 1 2 3 10 11 12 20 into three: {1 2 3} {10 11 12} {20}, within-class sum of squares 4 (Fisher 1958).
        let mut counts = vec![0; 25];
        for v in [1, 2, 3, 10, 11, 12, 20] {
            counts[v] = 1;
        }
        let breaks = fitted(&Histogram::from_counts(counts)).unwrap();
        let cuts: Vec<f64> = breaks[1].falling().iter().map(|l| l.0 / 4.0).collect();
        assert!(cuts[0] > 13.0 && cuts[0] < 20.0 && cuts[1] > 4.0 && cuts[1] < 10.0, "{cuts:?}");
    }

    #[test]
    fn a_brute_search_finds_nothing_better() {
        let mut state = 12_345u64;
        for _ in 0..40 {
            let counts: Vec<u64> = (0..14)
                .map(|_| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    (state >> 33) % 9
                })
                .collect();
            let histogram = Histogram::from_counts(counts);
            let bins = histogram.occupied();
            if bins.len() < 5 {
                continue;
            }
            let all = fitted(&histogram).unwrap();
            let found: Vec<f64> = all[2].falling().iter().rev().map(|l| l.0).collect();
            let mut best = f64::INFINITY;
            for a in 1..bins.len() {
                for b in a + 1..bins.len() {
                    for c in b + 1..bins.len() {
                        best = best.min(spread_of(&bins, &[bins[a].0, bins[b].0, bins[c].0]));
                    }
                }
            }
            assert_abs_diff_eq!(spread_of(&bins, &found), best, epsilon = 1e-6);
        }
    }

    #[test]
    fn more_tones_than_lightnesses_leave_tones_empty() {
        let all = fitted(&Histogram::of([0.0, 100.0, 100.0])).unwrap();
        for (i, breaks) in all.iter().enumerate() {
            assert_eq!(breaks.tones().get(), i + 2);
            assert_eq!(breaks.table().tone(100.0), 0);
            assert_eq!(usize::from(breaks.table().tone(0.0)), i + 1);
        }
        assert_eq!(fitted(&Histogram::of([50.0; 9])).unwrap_err(), BreaksError::OneLightness);
    }

    #[test]
    fn hand_moved_breaks_are_checked() {
        let wrong = Breaks::new(vec![Lightness(50.0), Lightness(60.0)]).unwrap_err();
        assert_eq!(wrong, BreaksError::Order { number: 2, value: 60.0 });
        assert!(Breaks::new(vec![Lightness(f64::NAN)]).is_err());
        assert!(Breaks::new(vec![]).is_err());
        assert!(Breaks::new((0..16).map(|i| Lightness(90.0 - f64::from(i))).collect()).is_err());
    }
}
