//! Several plates, one pair of hands, one bath: in which order to paint and to bite, so that the day is short.
//!
//! A plate's rounds follow one another: paint, let dry, bite, rinse. Painting, biting and rinsing take the hands (no bite is left alone, and
//! no two are under way at once); drying does not. So a day is an order of hands' work, each begun as soon as the hands and the plate are
//! free. The order is made by looking for what can begin first and has most before it, and bettered by moving one piece of work at a time
//! for as long as that shortens the day, shaken, and bettered again. How near that is to the best there can be is told by a bound that no order gets under.

use crate::units::Seconds;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// Orders that are tried before an order is left as it is.
const MOST_TRIED: usize = 60_000;

/// One round of a plate.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Round {
    /// Painting the stop-out; hands.
    pub paint: Seconds,
    /// Until the varnish is dry; no hands.
    pub dry: Seconds,
    /// In the bath; hands stay by.
    pub bite: Seconds,
    /// Rinsing; hands.
    pub rinse: Seconds,
    /// Until it may be painted again; no hands.
    pub air: Seconds,
}

/// What the hands do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Paint the stop-out of a round.
    Paint,
    /// Bite and rinse.
    Bite,
}

/// One piece of work of the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// Which plate.
    pub plate: usize,
    /// Which of its rounds, from 0.
    pub round: usize,
    /// What.
    pub work: Work,
    /// When it begins, from the day's beginning.
    pub from: Seconds,
    /// When the hands are free again.
    pub to: Seconds,
}

/// A day.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    /// What the hands do, in order.
    pub entries: Vec<Entry>,
    /// When all is done: the last plate rinsed.
    pub length: Seconds,
    /// No order is done sooner than this.
    pub bound: Seconds,
}

/// A short day for plates with these rounds. Times below 0, or that are none, count as 0.
#[must_use]
pub fn day(plates: &[Vec<Round>]) -> Day {
    let plates: Vec<Vec<Round>> = plates.iter().map(|rounds| rounds.iter().map(held).collect()).collect();
    let mut order = greedy(&plates);
    let bound = bound(&plates);
    let mut tried = 0;
    let mut length = bettered(&plates, &mut order, &mut tried);
    // An order that no single move betters may still be far from the best: it is shaken, always alike, and bettered again.
    let mut chance = Pcg64::seed_from_u64(1);
    while tried < MOST_TRIED && length > bound + 1e-9 && order.len() > 2 {
        let mut other = order.clone();
        for _ in 0..3 {
            let mut place = || chance.next_u32() as usize % other.len();
            let (one, two) = (place(), place());
            other.swap(one, two);
        }
        let now = bettered(&plates, &mut other, &mut tried);
        if now < length - 1e-9 {
            (order, length) = (other, now);
        }
    }
    let mut entries = Vec::with_capacity(order.len());
    run(&plates, &order, Some(&mut entries));
    Day { entries, length: Seconds(length), bound: Seconds(bound) }
}

/// Moves one piece of work at a time for as long as that shortens the day; its length then.
fn bettered(plates: &[Vec<Round>], order: &mut Vec<usize>, tried: &mut usize) -> f64 {
    let mut length = run(plates, order, None);
    let mut better = true;
    while better {
        better = false;
        for from in 0..order.len() {
            for to in 0..order.len() {
                if order[from] == order[to] || *tried >= MOST_TRIED {
                    continue;
                }
                *tried += 1;
                let moved = order.remove(from);
                order.insert(to, moved);
                let now = run(plates, order, None);
                if now < length - 1e-9 {
                    (length, better) = (now, true);
                } else {
                    let moved = order.remove(to);
                    order.insert(from, moved);
                }
            }
        }
    }
    length
}

fn held(round: &Round) -> Round {
    let time = |time: Seconds| Seconds(if time.0.is_finite() { time.0.max(0.0) } else { 0.0 });
    Round { paint: time(round.paint), dry: time(round.dry), bite: time(round.bite), rinse: time(round.rinse), air: time(round.air) }
}

/// Where a plate stands: pieces of work done, and from when the next may begin.
#[derive(Clone, Copy, Default)]
struct Standing {
    done: usize,
    ready: f64,
}

impl Standing {
    /// The next piece of work: whether it is a bite, how long the hands are at it, and what is waited after it.
    fn next(&self, rounds: &[Round]) -> Option<(bool, f64, f64)> {
        let round = rounds.get(self.done / 2)?;
        let bites = self.done % 2 == 1;
        Some(if bites { (true, round.bite.0 + round.rinse.0, round.air.0) } else { (false, round.paint.0, round.dry.0) })
    }
}

/// When all is done, in this order of plates (each as often as it has work).
fn run(plates: &[Vec<Round>], order: &[usize], mut entries: Option<&mut Vec<Entry>>) -> f64 {
    let mut standing = vec![Standing::default(); plates.len()];
    let mut free = 0.0f64;
    for &plate in order {
        let at = standing[plate];
        let Some((bites, hands, wait)) = at.next(&plates[plate]) else { continue };
        let from = free.max(at.ready);
        free = from + hands;
        standing[plate] = Standing { done: at.done + 1, ready: free + wait };
        if let Some(entries) = entries.as_deref_mut() {
            let work = if bites { Work::Bite } else { Work::Paint };
            entries.push(Entry { plate, round: at.done / 2, work, from: Seconds(from), to: Seconds(free) });
        }
    }
    free
}

/// What can begin first is done first; of those the plate with most before it.
fn greedy(plates: &[Vec<Round>]) -> Vec<usize> {
    let mut standing = vec![Standing::default(); plates.len()];
    let mut left: Vec<f64> = plates.iter().map(|rounds| chain(rounds)).collect();
    let mut free = 0.0f64;
    let mut order = vec![];
    loop {
        let begins = |plate: usize| free.max(standing[plate].ready);
        let next = (0..plates.len())
            .filter(|&plate| standing[plate].next(&plates[plate]).is_some())
            .min_by(|&one, &other| begins(one).total_cmp(&begins(other)).then(left[other].total_cmp(&left[one])).then(one.cmp(&other)));
        let Some(plate) = next else { return order };
        let at = standing[plate];
        let Some((_, hands, wait)) = at.next(&plates[plate]) else { return order };
        free = begins(plate) + hands;
        standing[plate] = Standing { done: at.done + 1, ready: free + wait };
        left[plate] -= hands + wait;
        order.push(plate);
    }
}

/// How long a plate takes alone.
fn chain(rounds: &[Round]) -> f64 {
    let all: f64 = rounds.iter().map(|round| round.paint.0 + round.dry.0 + round.bite.0 + round.rinse.0 + round.air.0).sum();
    all - rounds.last().map_or(0.0, |round| round.air.0)
}

/// What no order gets under: each plate alone, and all the hands' work with what they must wait at its end. After the last painting of all
/// there is one bite left of each other plate at most, its last; what is left of drying then is waiting.
fn bound(plates: &[Vec<Round>]) -> f64 {
    let hands: f64 = plates.iter().flatten().map(|round| round.paint.0 + round.bite.0 + round.rinse.0).sum();
    let last = |rounds: &Vec<Round>| rounds.last().copied().unwrap_or_default();
    let bites: f64 = plates.iter().map(last).map(|round| round.bite.0 + round.rinse.0).sum();
    let waits = plates
        .iter()
        .filter(|rounds| !rounds.is_empty())
        .map(last)
        .map(|round| (round.dry.0 - (bites - round.bite.0 - round.rinse.0)).max(0.0));
    let waits = waits.fold(f64::INFINITY, f64::min);
    let alone = plates.iter().map(|rounds| chain(rounds)).fold(0.0, f64::max);
    alone.max(hands + if waits.is_finite() { waits } else { 0.0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn minutes(paint: f64, dry: f64, bite: f64, rinse: f64) -> Round {
        let [paint, dry, bite, rinse] = [paint, dry, bite, rinse].map(|minutes| Seconds(60.0 * minutes));
        Round { paint, dry, bite, rinse, air: Seconds(0.0) }
    }

    /// Plates of nine bites: paint 12, dry 25, bite 2, rinse and dry 5 minutes (the worked demo, our own invention).
    fn demo(plates: usize) -> Day {
        day(&vec![vec![minutes(12.0, 25.0, 2.0, 5.0); 9]; plates])
    }

    #[test]
    fn the_demo_days_are_as_short_as_worked_out() {
        let hours = |time: Seconds| time.0 / 3600.0;
        assert_abs_diff_eq!(hours(demo(1).length), 6.6, epsilon = 1e-9);
        assert!(hours(demo(2).length) <= 6.95, "{}", hours(demo(2).length));
        let four = demo(4);
        assert!(hours(four.length) <= 11.6 + 1e-9, "{}", hours(four.length));
        assert!(four.length.0 <= 1.03 * four.bound.0, "{} of {}", hours(four.length), hours(four.bound));
        assert!(hours(four.bound) >= 11.4);
        assert_eq!(four.entries.len(), 4 * 9 * 2);
    }

    #[test]
    fn odd_plates_have_days_too() {
        assert_eq!(day(&[]), Day { entries: vec![], length: Seconds(0.0), bound: Seconds(0.0) });
        assert_eq!(day(&[vec![], vec![]]).length, Seconds(0.0));
        let wild =
            Round { paint: Seconds(f64::NAN), dry: Seconds(-5.0), bite: Seconds(f64::INFINITY), rinse: Seconds(60.0), air: Seconds(1.0) };
        assert_eq!(day(&[vec![wild]]).length, Seconds(60.0));
        // Thirty plates are no more than a moment's work.
        let many = day(&vec![vec![minutes(12.0, 25.0, 2.0, 5.0); 9]; 30]);
        assert!(many.length.0 >= many.bound.0 && many.length.0 <= 1.03 * many.bound.0);
    }

    /// The shortest day of all orders, by trying them.
    fn shortest(plates: &[Vec<Round>]) -> f64 {
        fn on(plates: &[Vec<Round>], left: &mut [usize], order: &mut Vec<usize>, best: &mut f64) {
            if left.iter().all(|left| *left == 0) {
                *best = best.min(run(plates, order, None));
                return;
            }
            for plate in 0..plates.len() {
                if left[plate] > 0 {
                    left[plate] -= 1;
                    order.push(plate);
                    on(plates, left, order, best);
                    order.pop();
                    left[plate] += 1;
                }
            }
        }
        let mut best = f64::INFINITY;
        let mut left: Vec<usize> = plates.iter().map(|rounds| 2 * rounds.len()).collect();
        on(plates, &mut left, &mut vec![], &mut best);
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        #[test]
        fn a_day_is_legal_no_shorter_than_its_bound_and_near_the_shortest(
            rounds in prop::collection::vec(prop::collection::vec((1.0..30.0f64, 0.0..60.0f64, 0.5..10.0f64, 0.0..6.0f64), 1..3), 1..4),
        ) {
            let plates: Vec<Vec<Round>> = rounds.iter().map(|rounds| rounds.iter().map(|&(p, d, b, r)| minutes(p, d, b, r)).collect()).collect();
            let day = day(&plates);
            let mut free = 0.0;
            let mut ready = vec![0.0f64; plates.len()];
            let mut done = vec![0; plates.len()];
            for entry in &day.entries {
                // No two pieces of hands' work overlap; a bite waits for dry varnish, rounds for one another.
                prop_assert!(entry.from.0 >= free - 1e-9 && entry.from.0 >= ready[entry.plate] - 1e-9);
                prop_assert_eq!((entry.round, entry.work == Work::Bite), (done[entry.plate] / 2, done[entry.plate] % 2 == 1));
                let round = plates[entry.plate][entry.round];
                let hands = if entry.work == Work::Bite { round.bite.0 + round.rinse.0 } else { round.paint.0 };
                prop_assert!((entry.to.0 - entry.from.0 - hands).abs() < 1e-9);
                free = entry.to.0;
                ready[entry.plate] = free + if entry.work == Work::Bite { round.air.0 } else { round.dry.0 };
                done[entry.plate] += 1;
            }
            prop_assert!(done.iter().zip(&plates).all(|(done, rounds)| *done == 2 * rounds.len()));
            prop_assert!((free - day.length.0).abs() < 1e-9);
            let best = shortest(&plates);
            prop_assert!(day.bound.0 <= best + 1e-6, "bound {} of {best}", day.bound.0);
            prop_assert!(day.length.0 >= best - 1e-6 && day.length.0 <= 1.03 * best, "{} of {best}", day.length.0);
        }
    }
}
