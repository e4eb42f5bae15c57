//! Where a profile changes: the exact best cut of it into level stretches, and which of the cuts are steps.

/// Least step between two bands, L*: half of what two tones need to be told apart by eye; and where one of the two is short, for a shadow's or
/// a finger's edge is; and where it is hardly longer than the shortest. Estimates of ours. Bands nearer than that are one until the printer splits them.
pub(super) const LEAST_STEP: f64 = 1.5;
const LEAST_SHORT: [f64; 2] = [2.3, 3.5];

/// Half-open stretches of a profile, from the first value to the last, in order.
pub(super) type Stretches = Vec<(usize, usize)>;

/// Cuts a profile (L* from place to place) into level stretches of `shortest` values or more, at most `most` of them.
///
/// First the exact optimum of the sum of distances from each stretch's median plus a price a stretch (optimal partitioning by dynamic
/// programming: B. Jackson et al., IEEE Signal Processing Letters 12 (2005) 105-108, doi 10.1109/LSP.2001.838216): medians do not follow
/// dust. A stretch's price goes by its own noise, since grain is coarser in some bands than in others. Then what is no step is joined again,
/// the smallest first: a slow drift of the light changes a level, but at no place.
pub(super) fn stretches(profile: &[f64], shortest: usize, most: usize) -> Stretches {
    let shortest = shortest.max(1);
    if profile.len() < 2 * shortest {
        return vec![(0, profile.len())];
    }
    let costs = Costs::of(profile);
    // The least price is what a step of 1 L* gains over a stretch of the least length.
    let mut cut = costs.cheapest(shortest, 0.5 * shortest as f64, NOISE_PRICE);
    without_lines(profile, shortest, &mut cut);
    loop {
        let weakest = (1..cut.len()).map(|i| (worth(profile, &cut, i, shortest), i)).min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((size, i)) = weakest else { break };
        if size >= 1.0 && cut.len() <= most {
            break;
        }
        cut[i - 1].1 = cut[i].1;
        cut.remove(i);
    }
    // What was joined has left the other edges where they were best with it: now that the count is known, the best cut of that count.
    let again = costs.of_count(shortest, cut.len());
    let steps = |cut: &Stretches| (1..cut.len()).all(|i| worth(profile, cut, i, shortest) >= 1.0);
    if again.len() == cut.len() && steps(&again) { again } else { cut }
}

/// Price of a stretch in spreads of its values: the logarithm of some hundred places for its level and half as much again for its end, as the
/// Bayesian criterion has it (G. Schwarz, Ann. Statist. 6, 1978), times the 0.8 spreads that a normal value is from its median.
const NOISE_PRICE: f64 = 8.0;

/// A short stretch darker or lighter than both beside it is a line across the strip, a scratch or varnish that crept at a joint, and no band:
/// it goes to the one it is nearer to.
fn without_lines(profile: &[f64], shortest: usize, cut: &mut Stretches) {
    let level = |(a, b): (usize, usize)| median(&mut profile[a..b].to_vec()).unwrap_or(0.0);
    let mut i = 1;
    while i + 1 < cut.len() {
        let [before, here, after] = [cut[i - 1], cut[i], cut[i + 1]].map(level);
        if cut[i].1 - cut[i].0 < 2 * shortest && (here - before) * (here - after) > 0.0 {
            let (a, b) = cut.remove(i);
            if (here - before).abs() < (here - after).abs() {
                cut[i - 1].1 = b;
            } else {
                cut[i].0 = a;
            }
            i = i.saturating_sub(1).max(1);
        } else {
            i += 1;
        }
    }
}

/// The spread of single values of a stretch: 1.4826 times the median distance from their median (F. Hampel, J. Amer. Statist. Assoc. 69,
/// 1974).
fn noise(stretch: &[f64]) -> f64 {
    let middle = median(&mut stretch.to_vec()).unwrap_or(0.0);
    1.4826 * median(&mut stretch.iter().map(|v| (v - middle).abs()).collect::<Vec<f64>>()).unwrap_or(0.0)
}

pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match n {
        0 => None,
        _ if n % 2 == 1 => Some(values[n / 2]),
        _ => Some((values[n / 2 - 1] + values[n / 2]) / 2.0),
    }
}

/// The mean of the middle half.
fn midmean(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let off = sorted.len() / 4;
    let middle = &sorted[off..sorted.len() - off];
    middle.iter().sum::<f64>() / middle.len().max(1) as f64
}

/// What every stretch costs.
struct Costs {
    n: usize,
    /// The sum of distances from the median, of each place the stretches that begin there, shortest first.
    rows: Vec<Vec<f64>>,
    /// Sums of neighbours' distances up to each place.
    apart: Vec<f64>,
}

impl Costs {
    fn of(profile: &[f64]) -> Self {
        let n = profile.len();
        let mut apart = vec![0.0; n + 1];
        for i in 1..n {
            apart[i + 1] = apart[i] + (profile[i] - profile[i - 1]).abs();
        }
        let row = |from: usize| {
            let mut level = Level::default();
            profile[from..]
                .iter()
                .map(|&value| {
                    level.push(value);
                    level.all
                })
                .collect()
        };
        Self { n, rows: (0..n).map(row).collect(), apart }
    }

    fn cost(&self, from: usize, to: usize) -> f64 {
        self.rows[from][to - from - 1]
    }

    /// The spread of a stretch by its neighbours' distances: of normal values they are 2/√π spreads on the average.
    fn spread(&self, from: usize, to: usize) -> f64 {
        let steps = (to - from).saturating_sub(1).max(1) as f64;
        (self.apart[to] - self.apart[(from + 1).min(to)]) / steps * 0.5 * libm::sqrt(std::f64::consts::PI)
    }

    /// The cheapest cut where a stretch has a price, so much of its spread and at least `least`: of every place, the cheapest way to it.
    fn cheapest(&self, shortest: usize, least: f64, noisy: f64) -> Stretches {
        let n = self.n;
        let mut best = vec![(f64::MAX, 0usize); n + 1];
        best[0].0 = 0.0;
        for to in shortest..=n {
            for from in 0..=to - shortest {
                let all = best[from].0 + self.cost(from, to) + least.max(noisy * self.spread(from, to));
                if all < best[to].0 {
                    best[to] = (all, from);
                }
            }
        }
        let mut cut = Vec::new();
        let mut to = n;
        while to > 0 {
            cut.push((best[to].1, to));
            to = best[to].1;
        }
        cut.reverse();
        cut
    }

    /// The cheapest cut into just so many stretches; nothing where there is none.
    fn of_count(&self, shortest: usize, count: usize) -> Stretches {
        let n = self.n;
        let mut before = vec![f64::MAX; n + 1];
        before[0] = 0.0;
        let mut ways: Vec<Vec<usize>> = Vec::with_capacity(count);
        for _ in 0..count {
            let mut now = vec![f64::MAX; n + 1];
            let mut way = vec![0; n + 1];
            for to in shortest..=n {
                for (from, &so_far) in before.iter().enumerate().take(to - shortest + 1) {
                    if so_far >= f64::MAX {
                        continue;
                    }
                    let all = so_far + self.cost(from, to);
                    if all < now[to] {
                        (now[to], way[to]) = (all, from);
                    }
                }
            }
            before = now;
            ways.push(way);
        }
        if before[n] >= f64::MAX {
            return Vec::new();
        }
        let mut cut = Vec::with_capacity(count);
        let mut to = n;
        for way in ways.iter().rev() {
            cut.push((way[to], to));
            to = way[to];
        }
        cut.reverse();
        cut
    }
}

/// Values that come one by one, in order of size; their sum of distances from their median.
#[derive(Default)]
struct Level {
    sorted: Vec<f64>,
    all: f64,
}

impl Level {
    fn push(&mut self, value: f64) {
        let n = self.sorted.len();
        if n > 0 {
            // Every level between the two middle values costs the same; the new value costs its distance from the nearest of them.
            let (low, high) = (self.sorted[(n - 1) / 2], self.sorted[n / 2]);
            self.all += (value - value.clamp(low, high)).abs();
        }
        self.sorted.insert(self.sorted.partition_point(|&v| v < value), value);
    }
}

/// The step into stretch `i` over the least it must be.
fn worth(profile: &[f64], cut: &Stretches, i: usize, shortest: usize) -> f64 {
    let length = |(a, b): (usize, usize)| b - a;
    let length = length(cut[i - 1]).min(length(cut[i]));
    let least = if 2 * length < 3 * shortest {
        LEAST_SHORT[1]
    } else if length < 3 * shortest {
        LEAST_SHORT[0]
    } else {
        LEAST_STEP
    };
    step(profile, cut, i) / least
}

/// The size of the step into stretch `i`, L*: between the levels close by on either side, where these are no smaller than a third of the
/// difference of the stretches' levels and no chance; else 0.
fn step(profile: &[f64], cut: &Stretches, i: usize) -> f64 {
    let ((a, b), (_, c)) = (cut[i - 1], cut[i]);
    let level = |from: usize, to: usize| midmean(&profile[from..to.max(from + 1)]);
    // The blur of the edge itself is passed over on both sides.
    let gap = ((profile.len() as f64 * 0.004) as usize).min((b - a) / 4).min((c - b) / 4);
    let reach = (profile.len() / 10).max(3);
    let left = level((b - gap).saturating_sub(reach).max(a), b - gap);
    let right = level(b + gap, (b + gap + reach).min(c));
    let (near, far) = (right - left, level(b, c) - level(a, b));
    // What chance makes of two such means (their standard error is 1.1 spreads over the root of the count), four times over: neighbouring places go together a little,
    // by blur and by the grain's own unevenness.
    let spread = noise(&profile[a..b]).max(noise(&profile[b..c]));
    let counts = 1.0 / reach.min(b - gap - a).max(1) as f64 + 1.0 / reach.min(c - b - gap).max(1) as f64;
    let chance = 4.0 * 1.1 * spread * libm::sqrt(counts);
    let size = near.abs().min(far.abs());
    if near * far > 0.0 && near.abs() > far.abs() / 3.0 && size > chance { size } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ends(cut: &Stretches) -> Vec<usize> {
        cut.iter().map(|c| c.1).collect()
    }

    /// A seeded value from -1 to 1.
    fn chance(state: &mut u32) -> f64 {
        *state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(*state >> 8) / f64::from(1u32 << 23) - 1.0
    }

    #[test]
    fn the_running_cost_is_the_sum_of_distances_from_the_median() {
        let mut state = 5;
        for _ in 0..50 {
            let mut level = Level::default();
            let mut seen = Vec::new();
            for _ in 0..40 {
                let value = (chance(&mut state) * 8.0).round();
                level.push(value);
                seen.push(value);
                let middle = median(&mut seen.clone()).unwrap();
                let wanted: f64 = seen.iter().map(|v| (v - middle).abs()).sum();
                assert!((level.all - wanted).abs() < 1e-9, "{seen:?}: {} for {wanted}", level.all);
            }
        }
    }

    #[test]
    fn the_cut_is_the_cheapest_of_all() {
        // Against every cut of a short profile, tried one by one.
        let mut state = 11;
        for _ in 0..30 {
            let profile: Vec<f64> = (0..12).map(|i| if i < 5 { 0.0 } else { 4.0 } + 2.0 * chance(&mut state)).collect();
            let (shortest, price) = (2, 3.0);
            let cost = |cut: &Stretches| -> f64 {
                cut.iter()
                    .map(|&(a, b)| {
                        let middle = median(&mut profile[a..b].to_vec()).unwrap();
                        profile[a..b].iter().map(|v| (v - middle).abs()).sum::<f64>() + price
                    })
                    .sum()
            };
            let (mut least, mut of_four) = (f64::MAX, f64::MAX);
            for bits in 0..1u32 << 11 {
                let mut cut = vec![];
                let mut from = 0;
                for i in 1..=12 {
                    if i == 12 || bits >> (i - 1) & 1 == 1 {
                        cut.push((from, i));
                        from = i;
                    }
                }
                if cut.iter().all(|c| c.1 - c.0 >= shortest) {
                    least = least.min(cost(&cut));
                    if cut.len() == 4 {
                        of_four = of_four.min(cost(&cut));
                    }
                }
            }
            let costs = Costs::of(&profile);
            assert!((cost(&costs.cheapest(shortest, price, 0.0)) - least).abs() < 1e-9);
            assert!((cost(&costs.of_count(shortest, 4)) - of_four).abs() < 1e-9);
            assert!(costs.of_count(shortest, 7).is_empty());
        }
    }

    #[test]
    fn a_drift_is_no_step_and_a_speck_no_band() {
        let drift: Vec<f64> = (0..400).map(|i| 50.0 + 6.0 * f64::from(i) / 400.0).collect();
        assert_eq!(stretches(&drift, 8, 24).len(), 1);
        let mut specked: Vec<f64> = (0..400).map(|i| if i < 170 { 80.0 } else { 60.0 }).collect();
        specked[50..55].fill(20.0);
        assert_eq!(ends(&stretches(&specked, 8, 24)), [170, 400]);
        assert_eq!(stretches(&[], 8, 24), [(0, 0)]);
        assert_eq!(stretches(&[1.0, 90.0], 8, 24), [(0, 2)]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        #[test]
        fn random_bands_are_found_where_they_are(
            // A step of 2.3 L* is the least that is believed of the shortest here: below 3 the noise may hide it.
            bands in prop::collection::vec((16usize..60, 3.0..9.0f64, any::<bool>()), 3..12),
            noise in 0.0..0.5f64, blur in 0usize..3, seed in any::<u32>(),
        ) {
            let mut state = seed;
            let mut level = 92.0;
            let (mut profile, mut wanted) = (Vec::new(), Vec::new());
            for &(length, fall, up) in &bands {
                profile.extend(std::iter::repeat_n(level, length));
                wanted.push(profile.len());
                // Now and then a band turns lighter again, as over-bitten ones do.
                level = if up && level < 80.0 { level + fall } else { (level - fall).max(fall - 1.0) };
            }
            let n = profile.len();
            let soft: Vec<f64> = (0..n).map(|i| {
                let (a, b) = (i.saturating_sub(blur), (i + blur + 1).min(n));
                profile[a..b].iter().sum::<f64>() / (b - a) as f64 + noise * chance(&mut state)
            }).collect();
            let found = ends(&stretches(&soft, 6, 24));
            prop_assert_eq!(found.len(), wanted.len(), "{:?} for {:?}", found, wanted);
            for (f, w) in found.iter().zip(&wanted) {
                prop_assert!(f.abs_diff(*w) <= 2, "{:?} for {:?}", found, wanted);
            }
        }
    }
}
