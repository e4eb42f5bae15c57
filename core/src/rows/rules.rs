//! What may be done with plates whose orders are looked through, and which orders are one and the same print.

use super::{MOST_PLATES, Pin, RowError, Standing};

/// Costs are counted in whole millionths of an L*: sums of the same joints are then the same whatever order they are added in, and a tie is a tie.
const MILLIONTHS: f64 = 1e6;
/// The greatest cost that a joint may have, either way.
pub(super) const MOST_COST: f64 = 1e6;
/// More than any row comes to.
pub(crate) const NEVER: i64 = i64::MAX / 4;

/// What may be done with plates, and what of it makes no difference.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rules {
    /// What is settled of each plate.
    pub pins: Vec<Pin>,
    /// Whether plates may be turned; else only those whose pin says so are.
    pub turns: bool,
    /// Whether all of it seen from behind, turned by half a turn, is the same print. That is geometry: so it is where horizons are in line, or where
    /// all plates are of one height.
    pub alike: bool,
    /// Of each plate which one it is a copy of; itself where it is the first of its like. Copies changed for one another make the same print.
    pub copies: Vec<usize>,
}

impl Rules {
    /// Plates of which no two are copies, and whose order from behind is another one.
    #[must_use]
    pub fn new(pins: &[Pin], turns: bool) -> Self {
        Self { pins: pins.to_vec(), turns, alike: false, copies: (0..pins.len()).collect() }
    }

    /// The same with an order from behind being the same one, or not.
    #[must_use]
    pub fn alike(self, alike: bool) -> Self {
        let Self { pins, turns, copies, .. } = self;
        Self { pins, turns, alike, copies }
    }

    /// The same with some of the plates copies of others.
    #[must_use]
    pub fn copies(self, copies: Vec<usize>) -> Self {
        let Self { pins, turns, alike, .. } = self;
        Self { pins, turns, alike, copies }
    }

    /// How many plates there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.pins.len()
    }

    /// Whether two plates may stand for one another: copies of which the same is settled.
    fn exchange(&self, one: usize, other: usize) -> bool {
        self.copies.get(one) == self.copies.get(other) && self.pins[one] == self.pins[other]
    }

    /// The plates that must stand before this one does, as a set: of copies that may stand for one another the first comes first.
    pub(crate) fn before(&self, plate: usize) -> u32 {
        (0..plate).filter(|&other| self.exchange(other, plate)).fold(0, |set, other| set | 1 << other)
    }

    /// Whether a plate may stand so in this place.
    pub(crate) fn may(&self, state: usize, place: usize) -> bool {
        let Standing { plate, turned } = Standing::at(state);
        let Pin { place: pinned, turned: way } = self.pins[plate];
        pinned.is_none_or(|pinned| pinned == place) && way.map_or(self.turns || !turned, |way| way == turned)
    }

    /// The order that stands for this one and for all that are the same print.
    pub(crate) fn chosen(&self, order: &[Standing]) -> Vec<Standing> {
        let order = self.named(order);
        if !self.alike {
            return order;
        }
        let behind = self.named(&behind(&order));
        let kept = behind.iter().enumerate().all(|(place, standing)| self.may(standing.state(), place));
        if kept && behind < order { behind } else { order }
    }

    /// Of copies the first one first.
    fn named(&self, order: &[Standing]) -> Vec<Standing> {
        let mut free = vec![true; self.count()];
        let name = |&Standing { plate, turned }: &Standing| {
            let first = (0..self.count()).find(|&other| free[other] && self.exchange(other, plate)).unwrap_or(plate);
            free[first] = false;
            Standing { plate: first, turned }
        };
        order.iter().map(name).collect()
    }

    /// Checked costs of joints in whole millionths; where an order from behind is the same, so is each of its joints.
    pub(crate) fn weighed(&self, between: &[f64]) -> Result<Vec<i64>, RowError> {
        let count = self.count();
        if !(1..=MOST_PLATES).contains(&count) || self.copies.len() != count {
            return Err(RowError::Count(count));
        }
        let (expected, states) = (4 * count * count, 2 * count);
        if between.len() != expected {
            return Err(RowError::Costs { expected, came: between.len() });
        }
        if !between.iter().all(|cost| cost.abs() <= MOST_COST) {
            return Err(RowError::Cost);
        }
        let whole = |cost: f64| libm::round(cost * MILLIONTHS) as i64;
        let one = |i: usize| {
            let twin = ((i % states) ^ 1) * states + ((i / states) ^ 1);
            if self.alike { whole(between[i]).min(whole(between[twin])) } else { whole(between[i]) }
        };
        Ok((0..expected).map(one).collect())
    }

    /// How many different prints there are, pins aside, where rows are full; as a float, for 12 plates have 10¹² and more.
    #[must_use]
    pub fn orders(&self) -> f64 {
        let factorial = |n: usize| (1..=n).fold(1.0, |product, k| product * k as f64);
        let count = self.count();
        let likes: Vec<usize> = (0..count).map(|plate| self.copies.iter().filter(|&&of| of == plate).count()).collect();
        let ways = |n: usize| if self.turns { (1u64 << n) as f64 } else { 1.0 };
        let all = factorial(count) * ways(count) / likes.iter().map(|&n| factorial(n)).product::<f64>();
        if !(self.turns && self.alike) {
            return all;
        }
        // Those that are the same from behind as they are: each copy has its like, turned, at the same distance from the other end.
        let own = if likes.iter().all(|n| n % 2 == 0) {
            factorial(count / 2) * ways(count / 2) / likes.iter().map(|&n| factorial(n / 2)).product::<f64>()
        } else {
            0.0
        };
        (all + own) / 2.0
    }
}

/// Millionths as L*.
pub(crate) fn light(cost: i64) -> f64 {
    cost as f64 / MILLIONTHS
}

/// The same order seen from behind.
pub(crate) fn behind(order: &[Standing]) -> Vec<Standing> {
    order.iter().rev().map(|&Standing { plate, turned }| Standing { plate, turned: !turned }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    #[test]
    fn copies_and_what_is_the_same_from_behind_count_once() {
        let orders = |copies: &[usize], turns, alike| {
            Rules::new(&vec![Pin::default(); copies.len()], turns).alike(alike).copies(copies.to_vec()).orders()
        };
        assert_eq!(orders(&[0, 1, 2, 3], true, true), 192.0);
        assert_eq!(orders(&[0, 1, 2, 3], false, true), 24.0);
        assert_eq!(orders(&[0, 1, 2, 3], true, false), 384.0);
        // Two copies of one plate: both upright or both turned, and head to head, and foot to foot.
        assert_eq!(orders(&[0, 0], true, true), 3.0);
        assert_eq!(orders(&[0; 12], false, false), 1.0);
    }

    proptest! {
        /// Against trying: every order, each made the one that stands for it.
        #[test]
        fn orders_are_counted_as_they_are_told_apart(copies in prop::collection::vec(0..3usize, 1..6), turns in any::<bool>(), alike in any::<bool>()) {
            let first = |of: usize| copies.iter().position(|other| *other == of).unwrap();
            let rules = Rules::new(&vec![Pin::default(); copies.len()], turns).alike(alike).copies(copies.iter().map(|of| first(*of)).collect());
            let mut seen = BTreeSet::new();
            let mut under_way = vec![vec![]];
            while let Some(order) = under_way.pop() {
                if order.len() == copies.len() {
                    seen.insert(rules.chosen(&order));
                    continue;
                }
                for state in (0..2 * copies.len()).filter(|state| turns || state % 2 == 0) {
                    if order.iter().all(|one: &Standing| one.plate != state / 2) {
                        under_way.push(order.iter().copied().chain([Standing::at(state)]).collect());
                    }
                }
            }
            prop_assert_eq!(rules.orders(), seen.len() as f64);
        }
    }
}
