//! Plates in rows of rows: every order and half turn of them, by what their joints across and down cost.
//!
//! A grid is filled row by row from the top left; its last row may be shorter. A whole grid turned is the same grid, where it is full and its
//! joints are the same from behind. The search is branch and bound (Land and Doig, Econometrica 28, 1960) begun from the best of exchanging
//! and turning plates: it is exact whenever it comes to its end, which it does for six plates always and mostly for eight, and says when it
//! was broken off after [`MOST_LOOKED_AT`] grids begun; then it tells what no grid can be better than.

use crate::rows::{MOST_PLATES, Pin, RowError, Standing, Wish, alike_from_behind, behind};

/// Grids begun before the search is broken off. Six plates, turned or not, have some 130,000.
pub const MOST_LOOKED_AT: usize = 1_000_000;
/// Costs that differ by less are even.
const EVEN: f64 = 1e-9;

/// A grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// The plates row by row from the top left, print view.
    pub order: Vec<Standing>,
    /// What its joints across cost, row by row.
    pub across: Vec<f64>,
    /// What its joints down cost, row by row.
    pub down: Vec<f64>,
}

impl Grid {
    /// The sum of its joints.
    #[must_use]
    pub fn sum(&self) -> f64 {
        self.across.iter().chain(&self.down).sum()
    }

    /// Its worst joint; 0 where there is none.
    #[must_use]
    pub fn worst(&self) -> f64 {
        self.across.iter().chain(&self.down).copied().fold(0.0, f64::max)
    }
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The best, the best first.
    pub grids: Vec<Grid>,
    /// Whether they are proven to be: the search came to its end.
    pub exact: bool,
    /// What no grid can be better than, by sum (for the mildest by its worst joint); the first one's own where it is exact.
    pub bound: f64,
}

/// What is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Aim {
    Sum(f64),
    Worst,
}

/// The best grids of `pins.len()` plates in rows of `columns`, at most `most` of them. `across` and `down` are what joints cost, as
/// [`rows::best`](crate::rows::best) wants them: the one on the left or above first. A pin's place counts row by row.
///
/// # Errors
/// As [`rows::best`](crate::rows::best).
pub fn best(tables: (&[f64], &[f64]), pins: &[Pin], columns: usize, turns: bool, wish: Wish, most: usize) -> Result<Found, RowError> {
    let sign = if wish == Wish::RunOn { 1.0 } else { -1.0 };
    Search::new(tables, pins, columns, turns, Aim::Sum(sign))?.found(most.max(1))
}

/// The grid whose worst joint is least, and among those of the least sum.
///
/// # Errors
/// As [`best`].
pub fn mildest(tables: (&[f64], &[f64]), pins: &[Pin], columns: usize, turns: bool) -> Result<Found, RowError> {
    Search::new(tables, pins, columns, turns, Aim::Worst)?.found(1)
}

/// What a grid comes to: less is better.
type Value = (f64, f64);

fn less(a: Value, b: Value) -> bool {
    a.0 < b.0 - EVEN || (a.0 <= b.0 + EVEN && a.1 < b.1 - EVEN)
}

struct Search<'a> {
    across: &'a [f64],
    down: &'a [f64],
    pins: &'a [Pin],
    columns: usize,
    turns: bool,
    aim: Aim,
    /// Whether a grid from behind is the same grid.
    alike: bool,
    /// The least that a joint can cost whose right or lower plate it is, by plate: across and down.
    least: [Vec<f64>; 2],
}

impl<'a> Search<'a> {
    fn new((across, down): (&'a [f64], &'a [f64]), pins: &'a [Pin], columns: usize, turns: bool, aim: Aim) -> Result<Self, RowError> {
        let count = pins.len();
        if !(1..=MOST_PLATES).contains(&count) {
            return Err(RowError::Count(count));
        }
        let expected = 4 * count * count;
        for table in [across, down] {
            if table.len() != expected {
                return Err(RowError::Costs { expected, came: table.len() });
            }
            if !table.iter().all(|cost| cost.is_finite()) {
                return Err(RowError::Cost);
            }
        }
        let columns = columns.clamp(1, count);
        let alike = count.is_multiple_of(columns) && alike_from_behind(across, count) && alike_from_behind(down, count);
        let mut search = Self { across, down, pins, columns, turns, aim, alike, least: [Vec::new(), Vec::new()] };
        search.least = [across, down].map(|table| (0..count).map(|plate| search.least_beside(table, plate)).collect());
        Ok(search)
    }

    fn least_beside(&self, table: &[f64], plate: usize) -> f64 {
        let states = 2 * self.pins.len();
        let costs =
            (0..states).filter(|one| one / 2 != plate).flat_map(|one| [2 * plate, 2 * plate + 1].map(|it| table[one * states + it]));
        costs.map(|cost| self.signed(cost)).fold(f64::INFINITY, f64::min)
    }

    fn signed(&self, cost: f64) -> f64 {
        match self.aim {
            Aim::Sum(sign) => sign * cost,
            Aim::Worst => cost,
        }
    }

    fn may(&self, state: usize, place: usize) -> bool {
        let Pin { place: pinned, turned: way } = self.pins[state / 2];
        let turned = state % 2 == 1;
        pinned.is_none_or(|pinned| pinned == place) && way.map_or(self.turns || !turned, |way| way == turned)
    }

    /// The joints that a plate makes with those before it: across and down.
    fn joints(&self, order: &[u8], place: usize, state: usize) -> [Option<f64>; 2] {
        let states = 2 * self.pins.len();
        let left = (!place.is_multiple_of(self.columns)).then(|| self.across[usize::from(order[place - 1]) * states + state]);
        let above = (place >= self.columns).then(|| self.down[usize::from(order[place - self.columns]) * states + state]);
        [left, above]
    }

    fn add(&self, so_far: Value, joints: [Option<f64>; 2]) -> Value {
        joints.into_iter().flatten().fold(so_far, |(first, second), cost| match self.aim {
            Aim::Sum(sign) => (first + sign * cost, 0.0),
            Aim::Worst => (first.max(cost), second + cost),
        })
    }

    fn value(&self, order: &[u8]) -> Value {
        let mut value = (0.0, 0.0);
        for (place, &state) in order.iter().enumerate() {
            value = self.add(value, self.joints(order, place, usize::from(state)));
        }
        value
    }

    /// What a grid begun can't be better than: each plate still to come makes its joints at the least cost that it has with any other.
    fn bound(&self, so_far: Value, placed: usize, used: u32) -> Value {
        let count = self.pins.len();
        let left_joints = (placed..count).filter(|place| !place.is_multiple_of(self.columns)).count();
        let down_joints = (placed..count).filter(|place| *place >= self.columns).count();
        let mut rest = 0.0;
        let mut worst = f64::NEG_INFINITY;
        for (least, joints) in self.least.iter().zip([left_joints, down_joints]) {
            let mut costs: [f64; MOST_PLATES] = [f64::INFINITY; MOST_PLATES];
            let mut free = 0;
            for plate in (0..count).filter(|plate| used >> plate & 1 == 0) {
                costs[free] = least[plate];
                free += 1;
            }
            costs[..free].sort_unstable_by(f64::total_cmp);
            rest += costs[..joints.min(free)].iter().sum::<f64>();
            if joints > 0 {
                worst = worst.max(costs[joints.min(free) - 1]);
            }
        }
        match self.aim {
            Aim::Sum(_) => (so_far.0 + rest, 0.0),
            Aim::Worst => (so_far.0.max(worst), so_far.1 + rest),
        }
    }

    fn found(&self, most: usize) -> Result<Found, RowError> {
        let start = self.begun().ok_or(RowError::Pins)?;
        let mut best = Best { most, list: Vec::new() };
        for order in self.bettered(&start) {
            self.offer(&mut best, &order);
        }
        let root = self.bound((0.0, 0.0), 0, 0);
        let mut looked = 0;
        let mut order = Vec::with_capacity(self.pins.len());
        let exact = self.branch(&mut order, (0.0, 0.0), 0, &mut best, &mut looked);
        let grids: Vec<Grid> = best.list.iter().map(|(_, order)| self.grid(order)).collect();
        let first = best.list.first().map_or(0.0, |(value, _)| value.0);
        let bound = if exact { first } else { root.0.min(first) };
        Ok(Found { grids, exact, bound: if self.aim == Aim::Sum(-1.0) { -bound } else { bound } })
    }

    /// Whether it came to its end.
    fn branch(&self, order: &mut Vec<u8>, so_far: Value, used: u32, best: &mut Best, looked: &mut usize) -> bool {
        let (count, place) = (self.pins.len(), order.len());
        if place == count {
            self.offer(best, order);
            return true;
        }
        *looked += 1;
        if *looked > MOST_LOOKED_AT {
            return false;
        }
        let mut next: Vec<(Value, usize)> = (0..2 * count)
            .filter(|state| used >> (state / 2) & 1 == 0 && self.may(*state, place))
            .map(|state| (self.add(so_far, self.joints(order, place, state)), state))
            .collect();
        next.sort_by(|a, b| a.0.0.total_cmp(&b.0.0).then(a.0.1.total_cmp(&b.0.1)).then(a.1.cmp(&b.1)));
        for (value, state) in next {
            let used = used | 1 << (state / 2);
            if best.full().is_some_and(|worst| !less(self.bound(value, place + 1, used), worst)) {
                continue;
            }
            order.push(state as u8);
            let done = self.branch(order, value, used, best, looked);
            order.pop();
            if !done {
                return false;
            }
        }
        true
    }

    fn offer(&self, best: &mut Best, order: &[u8]) {
        let value = self.value(order);
        if best.full().is_some_and(|worst| !less(value, worst)) {
            return;
        }
        let seen = order.iter().map(|&state| Standing::at(usize::from(state))).collect::<Vec<_>>();
        let from_behind = behind(&seen);
        let kept = self.alike && from_behind.iter().enumerate().all(|(place, standing)| self.may(standing.state(), place));
        let order: Vec<u8> =
            if kept && from_behind < seen { from_behind.iter().map(|one| one.state() as u8).collect() } else { order.to_vec() };
        if best.list.iter().any(|(_, other)| *other == order) {
            return;
        }
        let at = best.list.partition_point(|(other, _)| !less(value, *other));
        best.list.insert(at, (value, order));
        best.list.truncate(best.most);
    }

    /// A grid that keeps the pins: pinned plates where they are pinned, the rest in turn.
    fn begun(&self) -> Option<Vec<u8>> {
        let count = self.pins.len();
        let state = |plate: usize| (2 * plate + usize::from(self.pins[plate].turned.unwrap_or(false))) as u8;
        let mut order = vec![None; count];
        for (plate, pin) in self.pins.iter().enumerate() {
            if let Some(place) = pin.place {
                let there = order.get_mut(place)?;
                if there.is_some() {
                    return None;
                }
                *there = Some(state(plate));
            }
        }
        let mut free = (0..count).filter(|plate| self.pins[*plate].place.is_none());
        order.into_iter().map(|there| there.or_else(|| free.next().map(state))).collect()
    }

    /// From a grid on, exchanging and turning plates as long as that betters it; again from the same with its rows pushed along.
    fn bettered(&self, start: &[u8]) -> Vec<Vec<u8>> {
        let count = start.len();
        let may = |order: &[u8]| order.iter().enumerate().all(|(place, &state)| self.may(usize::from(state), place));
        let mut found = Vec::new();
        for push in 0..count {
            let mut order = start.to_vec();
            order.rotate_left(push);
            if !may(&order) {
                continue;
            }
            let mut value = self.value(&order);
            loop {
                let mut better: Option<(Value, Vec<u8>)> = None;
                for (a, b) in (0..count).flat_map(|a| (a..count).map(move |b| (a, b))) {
                    for (turn_a, turn_b) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                        let mut other = order.clone();
                        other.swap(a, b);
                        other[a] ^= turn_a;
                        if a != b {
                            other[b] ^= turn_b;
                        }
                        if may(&other) {
                            let found = self.value(&other);
                            if less(found, better.as_ref().map_or(value, |(value, _)| *value)) {
                                better = Some((found, other));
                            }
                        }
                    }
                }
                let Some((found, other)) = better else { break };
                (value, order) = (found, other);
            }
            found.push(order);
        }
        found
    }

    fn grid(&self, order: &[u8]) -> Grid {
        let joints: Vec<[Option<f64>; 2]> =
            order.iter().enumerate().map(|(place, &state)| self.joints(order, place, usize::from(state))).collect();
        Grid {
            order: order.iter().map(|&state| Standing::at(usize::from(state))).collect(),
            across: joints.iter().filter_map(|joint| joint[0]).collect(),
            down: joints.iter().filter_map(|joint| joint[1]).collect(),
        }
    }
}

/// The best so far, the best first.
struct Best {
    most: usize,
    list: Vec<(Value, Vec<u8>)>,
}

impl Best {
    /// What is to be bettered, once the list is full.
    fn full(&self) -> Option<Value> {
        if self.list.len() < self.most { None } else { self.list.last().map(|(value, _)| *value) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Costs out of a seed that are the same from behind, if wanted.
    fn table(seed: u64, count: usize, alike: bool) -> Vec<f64> {
        let states = 2 * count;
        let mut state = seed | 1;
        let mut costs: Vec<f64> = (0..states * states)
            .map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                ((state >> 40) % 1000) as f64 / 10.0
            })
            .collect();
        if alike {
            for i in 0..states * states {
                costs[((i % states) ^ 1) * states + ((i / states) ^ 1)] = costs[i];
            }
        }
        costs
    }

    /// What every grid comes to, by trying all: (sum, worst), as (order, sum, worst).
    fn tried(tables: (&[f64], &[f64]), pins: &[Pin], columns: usize, turns: bool) -> Vec<(Vec<Standing>, f64, f64)> {
        let search = Search::new(tables, pins, columns, turns, Aim::Worst).unwrap();
        let mut all: Vec<(Vec<Standing>, f64, f64)> = vec![];
        let count = pins.len();
        let mut order: Vec<u8> = vec![];
        fn on(search: &Search<'_>, order: &mut Vec<u8>, count: usize, hear: &mut dyn FnMut(&[u8])) {
            if order.len() == count {
                return hear(order);
            }
            for state in 0..2 * count as u8 {
                if order.iter().all(|other| other / 2 != state / 2) && search.may(usize::from(state), order.len()) {
                    order.push(state);
                    on(search, order, count, hear);
                    order.pop();
                }
            }
        }
        on(&search, &mut order, count, &mut |order| {
            let grid = search.grid(order);
            let from_behind = behind(&grid.order);
            let kept = search.alike && from_behind.iter().enumerate().all(|(place, one)| search.may(one.state(), place));
            if !(kept && from_behind < grid.order) {
                all.push((grid.order.clone(), grid.sum(), grid.worst()));
            }
        });
        all.sort_by(|a, b| a.1.total_cmp(&b.1));
        all
    }

    #[test]
    fn a_grid_of_one_row_is_a_row() {
        let (across, down) = (table(7, 5, true), table(8, 5, true));
        let free = [Pin::default(); 5];
        for (turns, wish) in [(true, Wish::RunOn), (false, Wish::RunOn), (true, Wish::Contrast)] {
            let row = crate::rows::best(&across, &free, turns, wish, 4).unwrap();
            let grid = best((&across, &down), &free, 5, turns, wish, 4).unwrap();
            assert!(grid.exact && grid.grids.iter().all(|grid| grid.down.is_empty()));
            for (row, grid) in row.iter().zip(&grid.grids) {
                assert!((row.sum() - grid.sum()).abs() < 1e-9);
            }
            assert!((grid.bound - row[0].sum()).abs() < 1e-9);
        }
    }

    #[test]
    fn twelve_plates_end_in_time_and_say_what_is_proven() {
        let (across, down) = (table(3, 12, true), table(4, 12, true));
        let free = [Pin::default(); 12];
        let found = best((&across, &down), &free, 4, true, Wish::RunOn, 3).unwrap();
        assert_eq!(found.grids.len(), 3);
        assert!(found.exact || found.bound <= found.grids[0].sum() + 1e-9);
        let mild = mildest((&across, &down), &free, 4, true).unwrap();
        assert!(mild.grids[0].worst() <= found.grids[0].worst() + 1e-9);
        let greatest = best((&across, &down), &free, 4, true, Wish::Contrast, 1).unwrap();
        assert!(greatest.bound >= greatest.grids[0].sum() - 1e-9 && greatest.grids[0].sum() > found.grids[0].sum());
    }

    #[test]
    fn what_no_grid_keeps_is_refused() {
        let costs = table(1, 4, true);
        let tables = (costs.as_slice(), costs.as_slice());
        let mut pins = [Pin::default(); 4];
        pins[0].place = Some(1);
        pins[1].place = Some(1);
        assert_eq!(best(tables, &pins, 2, true, Wish::RunOn, 1), Err(RowError::Pins));
        pins[1].place = Some(4);
        assert_eq!(mildest(tables, &pins, 2, true), Err(RowError::Pins));
        assert_eq!(best(tables, &[], 2, true, Wish::RunOn, 1), Err(RowError::Count(0)));
        assert_eq!(
            best((&costs, &costs[1..]), &[Pin::default(); 4], 2, true, Wish::RunOn, 1),
            Err(RowError::Costs { expected: 64, came: 63 })
        );
        assert_eq!(best((&costs, &[f64::NAN; 64]), &[Pin::default(); 4], 2, true, Wish::RunOn, 1), Err(RowError::Cost));
        let alone = best((&costs[..4], &costs[..4]), &[Pin::default()], 3, false, Wish::RunOn, 5).unwrap();
        assert!(alone.exact && alone.grids.len() == 1 && alone.grids[0].worst() == 0.0);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn the_best_grids_are_those_that_trying_all_finds(
            count in 1..6usize, columns in 1..6usize, seed in any::<u64>(), turns in any::<bool>(), alike in any::<bool>(),
            pinned in 0..8usize, place in 0..6usize, way in prop::option::of(any::<bool>()),
        ) {
            let (across, down) = (table(seed, count, alike), table(seed ^ 0x9e37_79b9_7f4a_7c15, count, alike));
            let tables = (across.as_slice(), down.as_slice());
            let mut pins = vec![Pin::default(); count];
            if let Some(pin) = pins.get_mut(pinned) {
                *pin = Pin { place: Some(place), turned: way };
            }
            let columns = columns.min(count);
            let all = tried(tables, &pins, columns, turns);
            match best(tables, &pins, columns, turns, Wish::RunOn, 7) {
                Err(error) => {
                    prop_assert_eq!(error, RowError::Pins);
                    prop_assert!(all.is_empty());
                }
                Ok(found) => {
                    prop_assert!(found.exact);
                    prop_assert_eq!(found.grids.len(), all.len().min(7));
                    for (grid, wanted) in found.grids.iter().zip(&all) {
                        prop_assert!((grid.sum() - wanted.1).abs() < 1e-9, "{} {}", grid.sum(), wanted.1);
                    }
                    let greatest = best(tables, &pins, columns, turns, Wish::Contrast, 1).unwrap();
                    prop_assert!((greatest.grids[0].sum() - all[all.len() - 1].1).abs() < 1e-9);
                    let mild = &mildest(tables, &pins, columns, turns).unwrap().grids[0];
                    let least = all.iter().map(|one| one.2).fold(f64::INFINITY, f64::min);
                    prop_assert!((mild.worst() - least).abs() < 1e-8);
                    let sum = all.iter().filter(|one| one.2 <= least + EVEN).map(|one| one.1).fold(f64::INFINITY, f64::min);
                    prop_assert!((mild.sum() - sum).abs() < 1e-8);
                }
            }
        }
    }
}
