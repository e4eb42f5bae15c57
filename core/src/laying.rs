//! Thin papers laid under the ink: in which order, and the chance that the paste dries before the press.
//!
//! The first piece laid on the inked plate ends nearest the viewer, so whatever lies above another in the print is laid before it. Each
//! piece's clock runs from its own pasting to the press; the first one's is the longest, and decides.

use crate::units::{Millimetres, Seconds};
use std::fmt;

/// Scatter of the pace of a whole pull, of itself: the hand is slow or quick today. Estimate.
pub const PACE: f64 = 0.12;
/// Scatter of one piece's time, of itself. Estimate.
pub const PIECE: f64 = 0.35;
/// Up to so many pieces the skew of their times counts in full.
const FEW: usize = 12;
/// From so many on their sum is taken for normal.
const MANY: usize = 24;

/// What the order of a piece hangs on besides what lies above what.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Handling {
    /// How fast it curls when pasted: larger is faster, equal papers alike.
    pub curl: f64,
    /// How far it is to be reached for, from where one stands.
    pub reach: Millimetres,
}

/// Pieces that no order lays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LayingError {
    /// A piece that is not there.
    Missing(usize),
    /// Each of these lies above the next, and the last above the first.
    Cycle(Vec<usize>),
}

impl fmt::Display for LayingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(piece) => {
                write!(f, "Pieces that are there were expected to lie over one another, piece {} is not: draw it, or let it go.", piece + 1)
            }
            Self::Cycle(pieces) => {
                let named: Vec<String> = pieces.iter().chain(pieces.first()).map(|piece| (piece + 1).to_string()).collect();
                write!(
                    f,
                    "Each of the pieces {} lies above the next: no order lays them so. Turn one of these overlaps round, or cut one piece in two.",
                    named.join(" > ")
                )
            }
        }
    }
}

impl std::error::Error for LayingError {}

/// The order in which the pieces are laid on the plate, the first first, so that each of `above` (which, above which) comes right. Where that
/// leaves a choice, what curls fastest is laid last, then what is nearest to hand first, then by number.
///
/// # Errors
/// When a piece is not there, or pieces lie above one another in a ring: a shortest such ring is named.
pub fn order(pieces: &[Handling], above: &[(usize, usize)]) -> Result<Vec<usize>, LayingError> {
    let count = pieces.len();
    if let Some(missing) = above.iter().flat_map(|&(one, other)| [one, other]).find(|piece| *piece >= count) {
        return Err(LayingError::Missing(missing));
    }
    let mut waits = vec![0usize; count];
    let mut after: Vec<Vec<usize>> = vec![vec![]; count];
    for &(first, then) in above {
        after[first].push(then);
        waits[then] += 1;
    }
    let mut order = Vec::with_capacity(count);
    let mut ready: Vec<usize> = (0..count).filter(|piece| waits[*piece] == 0).collect();
    while !ready.is_empty() {
        let sooner = |a: &usize, b: &usize| {
            let (one, other) = (&pieces[*a], &pieces[*b]);
            one.curl.total_cmp(&other.curl).then(one.reach.0.total_cmp(&other.reach.0)).then(a.cmp(b))
        };
        let (at, _) = ready.iter().enumerate().min_by(|(_, a), (_, b)| sooner(a, b)).unwrap_or((0, &0));
        let piece = ready.swap_remove(at);
        order.push(piece);
        for &then in &after[piece] {
            waits[then] -= 1;
            if waits[then] == 0 {
                ready.push(then);
            }
        }
    }
    if order.len() == count { Ok(order) } else { Err(LayingError::Cycle(ring(&after, &waits))) }
}

/// A shortest ring among what still waits.
fn ring(after: &[Vec<usize>], waits: &[usize]) -> Vec<usize> {
    let mut shortest: Vec<usize> = vec![];
    for start in (0..after.len()).filter(|piece| waits[*piece] > 0) {
        let mut from: Vec<Option<usize>> = vec![None; after.len()];
        let mut line = std::collections::VecDeque::from([start]);
        'found: while let Some(piece) = line.pop_front() {
            for &next in after[piece].iter().filter(|next| waits[**next] > 0) {
                if next == start {
                    let mut ring = vec![piece];
                    while let Some(before) = from[ring[ring.len() - 1]] {
                        ring.push(before);
                    }
                    ring.reverse();
                    if shortest.is_empty() || ring.len() < shortest.len() {
                        shortest = ring;
                    }
                    break 'found;
                }
                if from[next].is_none() {
                    from[next] = Some(piece);
                    line.push_back(next);
                }
            }
        }
    }
    shortest
}

/// A pull with papers, as far as the paste is concerned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pasting {
    /// How many pieces.
    pub pieces: usize,
    /// Mean time of one: picked, pasted, placed.
    pub each: Seconds,
    /// How long paste stays open, by the printer's own trial.
    pub open: Seconds,
    /// Scatter of the pace of the pull, of itself; [`PACE`] where nobody measured it.
    pub pace: f64,
    /// Scatter of one piece's time, of itself; [`PIECE`] where nobody measured it.
    pub scatter: f64,
}

impl Pasting {
    /// How long all of it takes: its mean and its standard deviation. Times of pieces scatter one by one, the pace of the pull as a whole.
    #[must_use]
    pub fn takes(&self) -> (Seconds, Seconds) {
        let (count, each) = (self.pieces as f64, self.each.0.max(0.0));
        let mean = count * each;
        (Seconds(mean), Seconds(libm::hypot(self.pace * mean, self.scatter * each * count.sqrt())))
    }

    /// The chance that the first piece's paste is dry before the press, 0..=1.
    ///
    /// The pace of the pull is 1 and normal about it, each piece's time log-normal, for no hand is quicker than none. Up to a dozen pieces the
    /// skew of their sum counts; from two dozen on the sum is taken for normal, which is within two in a hundred of that for the usual scatter ([`PACE`], [`PIECE`]); between the two one
    /// passes into the other.
    #[must_use]
    pub fn late(&self) -> f64 {
        let (mean, spread) = self.takes();
        if spread.0 <= 0.0 {
            return if self.pieces > 0 && mean.0 > self.open.0 { 1.0 } else { 0.0 };
        }
        let many = ((self.pieces as f64 - FEW as f64) / (MANY - FEW) as f64).clamp(0.0, 1.0);
        let normal = if many > 0.0 { above((self.open.0 - mean.0) / spread.0) } else { 0.0 };
        let skewed = if many < 1.0 { self.late_of_few(mean.0) } else { 0.0 };
        many * normal + (1.0 - many) * skewed
    }

    /// The chance of being late with the skew of the sum: a log-normal from a place of its own has the sum's first three moments, and is the sum
    /// itself for one piece. Its product with the pace is added up over whichever of the two scatters less, so that the other's law is smooth there.
    fn late_of_few(&self, mean: f64) -> f64 {
        let own = self.scatter * mean / (self.pieces as f64).sqrt();
        if own <= 0.0 {
            return above((self.open.0 / mean - 1.0) / self.pace);
        }
        // A log-normal of coefficient of variation c has the skew c³ + 3c; independent times divide it by the root of their number.
        let skew = (self.scatter * self.scatter * self.scatter + 3.0 * self.scatter) / (self.pieces as f64).sqrt();
        let ratio = 2.0 * libm::sinh(libm::asinh(skew / 2.0) / 3.0);
        let (sigma, scale) = (libm::sqrt(libm::log1p(ratio * ratio)), own / ratio);
        let place = mean - scale;
        let sum_at = |normal: f64| place + scale * libm::exp(sigma * normal - sigma * sigma / 2.0);
        let sum_over = |time: f64| {
            let share = (time - place) / scale;
            if share > 0.0 { above((libm::log(share) + sigma * sigma / 2.0) / sigma) } else { 1.0 }
        };
        let at = |normal: f64| {
            if self.pace * mean >= own {
                return above((self.open.0 / sum_at(normal).max(f64::MIN_POSITIVE) - 1.0) / self.pace);
            }
            let pace = 1.0 + self.pace * normal;
            if pace > 0.0 { sum_over(self.open.0 / pace) } else { 0.0 }
        };
        // Trapezoids over eight standard deviations either way.
        let steps = 400;
        let (mut sum, mut weights) = (0.0, 0.0);
        for step in 0..=steps {
            let normal = -8.0 + 16.0 * f64::from(step) / f64::from(steps);
            let weight = libm::exp(-normal * normal / 2.0);
            sum += weight * at(normal);
            weights += weight;
        }
        (sum / weights).clamp(0.0, 1.0)
    }

    /// The most pieces that are late no oftener than `chance`.
    #[must_use]
    pub fn most(&self, chance: f64) -> usize {
        let late = |pieces: usize| Self { pieces, ..*self }.late() > chance;
        (1..=self.pieces).take_while(|&pieces| !late(pieces)).last().unwrap_or(0)
    }
}

/// The chance that a normal of mean 0 and spread 1 is above this.
fn above(deviations: f64) -> f64 {
    0.5 * libm::erfc(deviations / std::f64::consts::SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn demo(pieces: usize, each: f64) -> Pasting {
        Pasting { pieces, each: Seconds(each), open: Seconds(480.0), pace: PACE, scatter: PIECE }
    }

    #[test]
    fn the_demo_pull_is_late_as_worked_out() {
        // 34 pieces, 8 minutes: chances worked out beforehand for the demo (normal sum, both scatters).
        for (each, chance) in [(11.0, 0.02), (14.0, 0.48), (16.0, 0.81)] {
            assert_abs_diff_eq!(demo(34, each).late(), chance, epsilon = 0.005);
        }
        assert!(demo(22, 14.0).late() < 1e-4, "merged to 22 pieces it is safe");
        assert_eq!(
            (demo(0, 11.0).late(), demo(34, 0.0).late(), Pasting { open: Seconds(0.0), ..demo(3, 9.0) }.late() > 0.99),
            (0.0, 0.0, true)
        );
        assert_eq!(demo(34, 11.0).most(0.05), 34);
        let most = demo(34, 14.0).most(0.05);
        assert!(demo(most, 14.0).late() <= 0.05 && demo(most + 1, 14.0).late() > 0.05, "{most}");
    }

    #[test]
    fn thrown_times_are_late_as_often() {
        // Monte-Carlo: the pace of a pull and each piece's time, thrown; pieces log-normal of the same mean and spread, for hands are never
        // quicker than none. Within two in a hundred, as is wanted of it.
        let mut state = 7u64;
        let mut chance = move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((state >> 11) as f64 + 0.5) / (1u64 << 53) as f64
        };
        let mut normal = move || (-2.0 * chance().ln()).sqrt() * (std::f64::consts::TAU * chance()).cos();
        let sigma = (1.0 + PIECE * PIECE).ln().sqrt();
        let few = (1..=26).flat_map(|pieces| [0.9, 1.0, 1.15].map(|share| (pieces, share * 480.0 / pieces as f64)));
        for (pieces, each) in [(34, 11.0), (34, 14.0), (34, 16.0)].into_iter().chain(few) {
            let pulls = 20_000;
            let late = (0..pulls)
                .filter(|_| {
                    let pace = 1.0 + PACE * normal();
                    let sum: f64 = (0..pieces).map(|_| each * (sigma * normal() - sigma * sigma / 2.0).exp()).sum();
                    pace * sum > 480.0
                })
                .count();
            assert_abs_diff_eq!(late as f64 / f64::from(pulls), demo(pieces, each).late(), epsilon = 0.02);
        }
    }

    proptest! {
        #[test]
        fn the_chance_is_one_and_never_falls_with_another_piece(pieces in 1..60usize, each in 1.0..600.0f64, open in 10.0..7200.0f64, pace in 0.0..1.0f64, scatter in 0.0..1.0f64) {
            let late = |pieces: usize| Pasting { pieces, each: Seconds(each), open: Seconds(open), pace, scatter }.late();
            let (one, more) = (late(pieces), late(pieces + 1));
            prop_assert!((0.0..=1.0).contains(&one) && (0.0..=1.0).contains(&more), "{one} {more}");
            // Between few and many two laws meet, which differ by what wide scatters make of them.
            if !(FEW - 1..MANY).contains(&pieces) {
                prop_assert!(more >= one - 2e-3, "{one} {more}");
            }
        }
    }

    #[test]
    fn what_is_seen_above_is_laid_first() {
        // Roof above window above snow edge.
        let pieces = [Handling::default(); 4];
        assert_eq!(order(&pieces, &[(2, 0), (0, 3)]).unwrap(), [1, 2, 0, 3]);
        // The fast curler last, the near one first.
        let pieces = [(2.0, 10.0), (1.0, 300.0), (1.0, 20.0)].map(|(curl, reach)| Handling { curl, reach: Millimetres(reach) });
        assert_eq!(order(&pieces, &[]).unwrap(), [2, 1, 0]);
        assert_eq!(order(&pieces, &[(0, 2)]).unwrap(), [1, 0, 2]);
        let wrong = order(&[Handling::default(); 5], &[(0, 1), (1, 2), (2, 3), (3, 0), (3, 2), (2, 4)]).unwrap_err();
        assert_eq!(wrong, LayingError::Cycle(vec![2, 3]));
        assert!(wrong.to_string().contains("pieces 3 > 4 > 3 lies") && wrong.to_string().ends_with('.'), "{wrong}");
        assert_eq!(order(&pieces, &[(0, 3)]), Err(LayingError::Missing(3)));
        assert_eq!(order(&[Handling::default()], &[(0, 0)]), Err(LayingError::Cycle(vec![0])));
        assert_eq!(order(&[], &[]).unwrap(), [0; 0]);
    }

    proptest! {
        #[test]
        fn every_order_keeps_what_lies_above(count in 1..30usize, above in prop::collection::vec((0..30usize, 0..30usize), 0..60), curls in prop::collection::vec(0.0..3.0f64, 30)) {
            let above: Vec<(usize, usize)> = above.into_iter().map(|(a, b)| (a % count, b % count)).collect();
            let pieces: Vec<Handling> = curls[..count].iter().map(|&curl| Handling { curl, ..Handling::default() }).collect();
            match order(&pieces, &above) {
                Ok(order) => {
                    let place = |piece: usize| order.iter().position(|one| *one == piece).unwrap();
                    prop_assert!(above.iter().all(|&(first, then)| place(first) < place(then)));
                    let mut all = order.clone();
                    all.sort_unstable();
                    prop_assert_eq!(all, (0..count).collect::<Vec<_>>());
                }
                Err(LayingError::Cycle(ring)) => {
                    prop_assert!(!ring.is_empty());
                    for (i, &piece) in ring.iter().enumerate() {
                        prop_assert!(above.contains(&(piece, ring[(i + 1) % ring.len()])));
                    }
                }
                Err(error) => prop_assert!(false, "{error}"),
            }
        }
    }
}
