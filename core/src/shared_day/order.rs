//! Orders of work: how long a day is by one, and how one is found that is short.

use super::drift;
use super::{Entry, Round, SAME, Work, shareable};
use crate::units::Seconds;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Orders that are tried before an order is left as it is; fewer of a longer day, whose orders take longer to try.
const MOST_TRIED: usize = 60_000;
/// Pieces of work that are laid out in all, however many there are in a day.
const MOST_LAID: usize = 6_000_000;

/// When plates that could lie in the tray together do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Together {
    /// Never.
    Never,
    /// Whoever is dry when one goes in.
    Ready,
    /// Who stands next in the order, and is waited for.
    Next,
}

/// Plates and what they may share.
pub(super) struct Plates<'a> {
    pub(super) rounds: &'a [Vec<Round>],
    /// Whether plates, a bit each, lie in the tray together; none: never.
    fits: Option<&'a dyn Fn(u64) -> bool>,
    known: RefCell<BTreeMap<u64, bool>>,
}

/// An order and how the tray is shared in it.
#[derive(Clone, Debug)]
pub(super) struct Order {
    pub(super) plates: Vec<usize>,
    pub(super) together: Together,
}

impl<'a> Plates<'a> {
    pub(super) fn new(rounds: &'a [Vec<Round>], fits: Option<&'a dyn Fn(u64) -> bool>) -> Self {
        // More plates than bits lie alone.
        Self { rounds, fits: fits.filter(|_| rounds.len() <= 64), known: RefCell::default() }
    }

    fn fit(&self, set: u64) -> bool {
        let Some(fits) = self.fits else { return false };
        *self.known.borrow_mut().entry(set).or_insert_with(|| fits(set))
    }

    /// A short day; `tries` of 1 is the usual care.
    pub(super) fn shortest(&self, bound: f64, tries: f64) -> (Order, f64) {
        let first = self.greedy();
        let work = first.len().max(1);
        let sharing: &[Together] =
            if self.fits.is_some() { &[Together::Ready, Together::Next, Together::Never] } else { &[Together::Never] };
        let most = (tries * MOST_TRIED.min(MOST_LAID / work) as f64) as usize / sharing.len();
        let mut best: Option<(Order, f64)> = None;
        for &together in sharing {
            let order = Order { plates: first.clone(), together };
            let found = self.bettered_and_shaken(order, bound, most);
            if best.as_ref().is_none_or(|(_, length)| found.1 < length - 1e-9) {
                best = Some(found);
            }
        }
        best.unwrap_or((Order { plates: first, together: Together::Never }, 0.0))
    }

    fn bettered_and_shaken(&self, mut order: Order, bound: f64, most: usize) -> (Order, f64) {
        let mut tried = 0;
        let mut length = self.bettered(&mut order, &mut tried, most);
        // An order that no single move betters may still be far from the best: it is shaken, always alike, and bettered again.
        let mut chance = Pcg64::seed_from_u64(1);
        while tried < most && length > bound + 1e-9 && order.plates.len() > 2 {
            let mut other = order.clone();
            for _ in 0..3 {
                let mut place = || chance.next_u32() as usize % other.plates.len();
                let (one, two) = (place(), place());
                other.plates.swap(one, two);
            }
            // Where every plate has one and the same work to do, nothing can be moved.
            tried += 1;
            let now = self.bettered(&mut other, &mut tried, most);
            if now < length - 1e-9 {
                (order, length) = (other, now);
            }
        }
        (order, length)
    }

    /// Moves one piece of work at a time for as long as that shortens the day; its length then.
    fn bettered(&self, order: &mut Order, tried: &mut usize, most: usize) -> f64 {
        let mut length = self.length(order);
        let mut better = true;
        while better {
            better = false;
            for from in 0..order.plates.len() {
                for to in 0..order.plates.len() {
                    if order.plates[from] == order.plates[to] || *tried >= most {
                        continue;
                    }
                    *tried += 1;
                    let moved = order.plates.remove(from);
                    order.plates.insert(to, moved);
                    let now = self.length(order);
                    if now < length - 1e-9 {
                        (length, better) = (now, true);
                    } else {
                        let moved = order.plates.remove(to);
                        order.plates.insert(from, moved);
                    }
                }
            }
        }
        length
    }

    /// The same day, or one no longer, whose baths are as old for one plate as for another: two plates exchange their places from some piece of
    /// work on, for as long as that brings their ages nearer.
    pub(super) fn evened(&self, order: &mut Order, areas: &[f64]) {
        let most = (MOST_LAID / 4 / order.plates.len().max(1)).max(50);
        let length = self.length(order);
        let spread = |order: &Order| {
            let mut entries = Vec::with_capacity(order.plates.len());
            self.run(order, Some(&mut entries));
            drift::spread(&drift::ages(&entries, self.rounds, areas))
        };
        let mut least = spread(order);
        let (mut tried, mut better) = (0, true);
        let rounds = self.rounds.iter().map(Vec::len).max().unwrap_or(0);
        while better && least > 1e-9 {
            better = false;
            // One piece of work earlier or later, where that costs nothing.
            for at in 1..order.plates.len() {
                if tried >= most {
                    return;
                }
                tried += 1;
                let mut changed = order.clone();
                changed.plates.swap(at - 1, at);
                if changed.plates == order.plates || self.length(&changed) > length + 1e-6 {
                    continue;
                }
                let now = spread(&changed);
                if now < least - 1e-9 {
                    (*order, least, better) = (changed, now, true);
                }
            }
            for work in 0..2 * rounds {
                for one in 0..self.rounds.len() {
                    for other in one + 1..self.rounds.len() {
                        if tried >= most {
                            return;
                        }
                        tried += 1;
                        let changed = Order { plates: exchanged(&order.plates, (one, other), work), together: order.together };
                        if self.length(&changed) > length + 1e-6 {
                            continue;
                        }
                        let now = spread(&changed);
                        if now < least - 1e-9 {
                            (*order, least, better) = (changed, now, true);
                        }
                    }
                }
            }
        }
    }

    fn length(&self, order: &Order) -> f64 {
        self.run(order, None)
    }

    /// When all is done, in this order of plates, each as often as it has work; what it has done already in a shared dip is passed over.
    pub(super) fn run(&self, order: &Order, mut entries: Option<&mut Vec<Entry>>) -> f64 {
        let plates = self.rounds;
        let mut standing = vec![Standing::default(); plates.len()];
        let mut seen = vec![0usize; plates.len()];
        let mut free = 0.0f64;
        for (place, &plate) in order.plates.iter().enumerate() {
            let at = standing[plate];
            let mine = seen[plate];
            seen[plate] += 1;
            if at.done > mine {
                continue;
            }
            let Some((bites, hands, wait)) = at.next(&plates[plate]) else { continue };
            let mut from = free.max(at.ready);
            if !bites {
                free = from + hands;
                standing[plate] = Standing { done: at.done + 1, ready: free + wait };
                if let Some(entries) = entries.as_deref_mut() {
                    let to = Seconds(free);
                    entries.push(Entry { plate, round: at.done / 2, work: Work::Paint, from: Seconds(from), lifted: to, to });
                }
                continue;
            }
            let bite = plates[plate][at.done / 2].bite;
            let length = bite.0;
            let mut set = 1u64 << (plate % 64);
            let mut dipped = vec![plate];
            let mut joins = |other: usize, from: f64| {
                let at = standing[other];
                let ready = matches!(at.next(&plates[other]), Some((true, ..))) && at.ready <= from + SAME;
                let fits = ready && (plates[other][at.done / 2].bite.0 - length).abs() <= SAME && self.fit(set | 1 << other);
                if fits {
                    set |= 1 << other;
                }
                fits
            };
            match order.together {
                Together::Never => {}
                _ if !shareable(bite) => {}
                Together::Ready => dipped.extend((0..plates.len()).filter(|&other| other != plate && joins(other, from))),
                Together::Next => {
                    for &other in &order.plates[place + 1..] {
                        // One whose place here is done already stands in nobody's way.
                        if standing[other].done > seen[other] {
                            break;
                        }
                        if dipped.contains(&other) || standing[other].done != seen[other] || !joins(other, f64::INFINITY) {
                            break;
                        }
                        dipped.push(other);
                        from = from.max(standing[other].ready);
                    }
                }
            }
            let lifted = from + length;
            free = lifted;
            for plate in dipped {
                let at = standing[plate];
                let round = plates[plate][at.done / 2];
                free += round.rinse.0;
                standing[plate] = Standing { done: at.done + 1, ready: free + round.air.0 };
                if let Some(entries) = entries.as_deref_mut() {
                    let (from, lifted, to) = (Seconds(from), Seconds(lifted), Seconds(free));
                    entries.push(Entry { plate, round: at.done / 2, work: Work::Bite, from, lifted, to });
                }
            }
        }
        free
    }

    /// What can begin first is done first; of those the plate with most before it.
    fn greedy(&self) -> Vec<usize> {
        let plates = self.rounds;
        let mut standing = vec![Standing::default(); plates.len()];
        let mut left: Vec<f64> = plates.iter().map(|rounds| super::bound::chain(rounds)).collect();
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

/// The order in which two plates have exchanged their places from their piece of work `from` on.
fn exchanged(order: &[usize], (one, other): (usize, usize), from: usize) -> Vec<usize> {
    let mut seen = [0usize; 2];
    let mut changed = Vec::with_capacity(order.len());
    for &plate in order {
        let (which, to) = if plate == one {
            (0, other)
        } else if plate == other {
            (1, one)
        } else {
            (2, plate)
        };
        changed.push(if which < 2 && seen[which] >= from { to } else { plate });
        if which < 2 {
            seen[which] += 1;
        }
    }
    // Plates with unlike counts of work: what one has too much of, the other takes.
    let count = |order: &[usize], plate: usize| order.iter().filter(|each| **each == plate).count();
    while count(&changed, one) > count(order, one) {
        if let Some(last) = changed.iter().rposition(|plate| *plate == one) {
            changed[last] = other;
        }
    }
    while count(&changed, other) > count(order, other) {
        if let Some(last) = changed.iter().rposition(|plate| *plate == other) {
            changed[last] = one;
        }
    }
    changed
}
