//! Plates in rows of rows: every order and half turn of them, by what their joints across and down cost.
//!
//! A grid is filled row by row from the top left; its last row may be shorter. A whole grid turned is the same grid, where it is full and
//! [`Rules`] say that what is seen from behind is the same. The search is branch and bound (Land and Doig, Econometrica 28, 1960) begun from the
//! best of exchanging and turning plates: it is exact whenever it comes to its end, which it does for six plates always and mostly for eight, and
//! says when it was broken off because its share of the [`Effort`] was spent; then it tells what no grid can be better than.

use crate::rows::{MOST_PLATES, NEVER, RowError, Rules, Standing, Wish, light};

/// Grids begun in all before the searches are broken off. Six plates, turned or not, begin some 30,000.
pub const MOST_LOOKED_AT: usize = 1_000_000;
/// So many grids are begun between two words of how far it is.
const EVERY: usize = 4096;

/// How many grids may be begun, shared by several searches: what one leaves the next ones have.
pub struct Effort<'a> {
    left: usize,
    /// How many searches share it, and how many of them have begun.
    searches: usize,
    begun: usize,
    /// Of the search under way: what it may begin, and has begun.
    part: (usize, usize),
    told: &'a mut dyn FnMut(f32),
}

impl<'a> Effort<'a> {
    /// For so many searches together; `told` hears what share of the work is done, 0 to 1.
    pub fn new(grids: usize, searches: usize, told: &'a mut dyn FnMut(f32)) -> Self {
        Self { left: grids, searches: searches.max(1), begun: 0, part: (0, 0), told }
    }

    /// Another search begins: it has an even part of what is left.
    fn begin(&mut self) {
        self.part = (self.left / self.searches.saturating_sub(self.begun).max(1), 0);
        self.begun += 1;
    }

    /// Whether one more may be begun.
    fn one(&mut self) -> bool {
        let (may, has) = &mut self.part;
        if *has >= *may {
            return false;
        }
        *has += 1;
        self.left -= 1;
        if has.is_multiple_of(EVERY) {
            let done = (self.begun - 1) as f32 + *has as f32 / *may as f32;
            (self.told)((done / self.searches as f32).clamp(0.0, 1.0));
        }
        true
    }
}

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
    Sum(i64),
    Worst,
}

/// The best grids in rows of `columns`, at most `most` of them. `across` and `down` are what joints cost, as
/// [`rows::best`](crate::rows::best) wants them: the one on the left or above first. A pin's place counts row by row.
///
/// # Errors
/// As [`rows::best`](crate::rows::best).
pub fn best(
    tables: (&[f64], &[f64]),
    rules: &Rules,
    columns: usize,
    wish: Wish,
    most: usize,
    effort: &mut Effort<'_>,
) -> Result<Found, RowError> {
    let sign = if wish == Wish::RunOn { 1 } else { -1 };
    Search::new(tables, rules, columns, Aim::Sum(sign))?.found(most.max(1), effort)
}

/// The grid whose worst joint is least, and among those of the least sum.
///
/// # Errors
/// As [`best`].
pub fn mildest(tables: (&[f64], &[f64]), rules: &Rules, columns: usize, effort: &mut Effort<'_>) -> Result<Found, RowError> {
    Search::new(tables, rules, columns, Aim::Worst)?.found(1, effort)
}

/// Whether a grid of so many columns seen from behind is the same one: where it is full, and its rows are.
#[must_use]
pub fn alike(rules: &Rules, columns: usize) -> bool {
    rules.alike && rules.count().is_multiple_of(columns.max(1))
}

/// What a grid comes to, in whole millionths: less is better.
type Value = (i64, i64);

struct Search {
    across: Vec<i64>,
    down: Vec<i64>,
    rules: Rules,
    before: Vec<u32>,
    columns: usize,
    aim: Aim,
    /// The least that a joint can cost whose right or lower plate it is, by plate: across and down.
    least: [Vec<i64>; 2],
}

impl Search {
    fn new((across, down): (&[f64], &[f64]), rules: &Rules, columns: usize, aim: Aim) -> Result<Self, RowError> {
        let count = rules.count();
        let columns = columns.clamp(1, count.max(1));
        let rules = rules.clone().alike(alike(rules, columns));
        let (across, down) = (rules.weighed(across)?, rules.weighed(down)?);
        let before = (0..count).map(|plate| rules.before(plate)).collect();
        let mut search = Self { across, down, before, rules, columns, aim, least: [Vec::new(), Vec::new()] };
        search.least = [&search.across, &search.down].map(|table| (0..count).map(|plate| search.least_beside(table, plate)).collect());
        Ok(search)
    }

    fn count(&self) -> usize {
        self.rules.count()
    }

    fn least_beside(&self, table: &[i64], plate: usize) -> i64 {
        let states = 2 * self.count();
        let costs =
            (0..states).filter(|one| one / 2 != plate).flat_map(|one| [2 * plate, 2 * plate + 1].map(|it| table[one * states + it]));
        costs.map(|cost| self.signed(cost)).fold(NEVER, i64::min)
    }

    fn signed(&self, cost: i64) -> i64 {
        match self.aim {
            Aim::Sum(sign) => sign * cost,
            Aim::Worst => cost,
        }
    }

    fn may(&self, state: usize, place: usize) -> bool {
        self.rules.may(state, place)
    }

    /// The joints that a plate makes with those before it: across and down.
    fn joints(&self, order: &[u8], place: usize, state: usize) -> [Option<i64>; 2] {
        let states = 2 * self.count();
        let left = (!place.is_multiple_of(self.columns)).then(|| self.across[usize::from(order[place - 1]) * states + state]);
        let above = (place >= self.columns).then(|| self.down[usize::from(order[place - self.columns]) * states + state]);
        [left, above]
    }

    fn add(&self, so_far: Value, joints: [Option<i64>; 2]) -> Value {
        joints.into_iter().flatten().fold(so_far, |(first, second), cost| match self.aim {
            Aim::Sum(sign) => (first + sign * cost, 0),
            Aim::Worst => (first.max(cost), second + cost),
        })
    }

    fn value(&self, order: &[u8]) -> Value {
        let mut value = (0, 0);
        for (place, &state) in order.iter().enumerate() {
            value = self.add(value, self.joints(order, place, usize::from(state)));
        }
        value
    }

    /// What a grid begun can't be better than: each plate still to come makes its joints at the least cost that it has with any other.
    fn bound(&self, so_far: Value, placed: usize, used: u32) -> Value {
        let count = self.count();
        let left_joints = (placed..count).filter(|place| !place.is_multiple_of(self.columns)).count();
        let down_joints = (placed..count).filter(|place| *place >= self.columns).count();
        let (mut rest, mut worst) = (0, i64::MIN);
        for (least, joints) in self.least.iter().zip([left_joints, down_joints]) {
            let mut costs: [i64; MOST_PLATES] = [NEVER; MOST_PLATES];
            let mut free = 0;
            for plate in (0..count).filter(|plate| used >> plate & 1 == 0) {
                costs[free] = least[plate];
                free += 1;
            }
            costs[..free].sort_unstable();
            rest += costs[..joints.min(free)].iter().sum::<i64>();
            if joints > 0 {
                worst = worst.max(costs[joints.min(free) - 1]);
            }
        }
        match self.aim {
            Aim::Sum(_) => (so_far.0 + rest, 0),
            Aim::Worst => (so_far.0.max(worst), so_far.1 + rest),
        }
    }

    fn found(&self, most: usize, effort: &mut Effort<'_>) -> Result<Found, RowError> {
        effort.begin();
        let start = self.begun().ok_or(RowError::Pins)?;
        let mut best = Best { most, list: Vec::new() };
        for order in self.bettered(&start) {
            self.offer(&mut best, &order);
        }
        let root = self.bound((0, 0), 0, 0);
        let mut order = Vec::with_capacity(self.count());
        let exact = self.branch(&mut order, (0, 0), 0, &mut best, effort);
        let grids: Vec<Grid> = best.list.iter().map(|(_, order)| self.grid(order)).collect();
        let first = best.list.first().map_or(0, |(value, _)| value.0);
        let bound = light(if exact { first } else { root.0.min(first) });
        Ok(Found { grids, exact, bound: if self.aim == Aim::Sum(-1) { -bound } else { bound } })
    }

    /// Whether it came to its end.
    fn branch(&self, order: &mut Vec<u8>, so_far: Value, used: u32, best: &mut Best, effort: &mut Effort<'_>) -> bool {
        let (count, place) = (self.count(), order.len());
        if place == count {
            self.offer(best, order);
            return true;
        }
        if !effort.one() {
            return false;
        }
        let mut next: Vec<(Value, usize)> = (0..2 * count)
            .filter(|state| used >> (state / 2) & 1 == 0 && self.before[state / 2] & !used == 0 && self.may(*state, place))
            .map(|state| (self.add(so_far, self.joints(order, place, state)), state))
            .collect();
        next.sort_unstable();
        for (value, state) in next {
            let used = used | 1 << (state / 2);
            if best.full().is_some_and(|worst| self.bound(value, place + 1, used) >= worst) {
                continue;
            }
            order.push(state as u8);
            let done = self.branch(order, value, used, best, effort);
            order.pop();
            if !done {
                return false;
            }
        }
        true
    }

    fn offer(&self, best: &mut Best, order: &[u8]) {
        let value = self.value(order);
        if best.full().is_some_and(|worst| value >= worst) {
            return;
        }
        let order: Vec<Standing> = order.iter().map(|&state| Standing::at(usize::from(state))).collect();
        let order: Vec<u8> = self.rules.chosen(&order).iter().map(|one| one.state() as u8).collect();
        if best.list.iter().any(|(_, other)| *other == order) {
            return;
        }
        let at = best.list.partition_point(|(other, _)| *other <= value);
        best.list.insert(at, (value, order));
        best.list.truncate(best.most);
    }

    /// A grid that keeps the pins: pinned plates where they are pinned, the rest in turn.
    fn begun(&self) -> Option<Vec<u8>> {
        let count = self.count();
        let state = |plate: usize| (2 * plate + usize::from(self.rules.pins[plate].turned.unwrap_or(false))) as u8;
        let mut order = vec![None; count];
        for (plate, pin) in self.rules.pins.iter().enumerate() {
            if let Some(place) = pin.place {
                let there = order.get_mut(place)?;
                if there.is_some() {
                    return None;
                }
                *there = Some(state(plate));
            }
        }
        let mut free = (0..count).filter(|plate| self.rules.pins[*plate].place.is_none());
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
                            if found < better.as_ref().map_or(value, |(value, _)| *value) {
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
        let joints: Vec<[Option<i64>; 2]> =
            order.iter().enumerate().map(|(place, &state)| self.joints(order, place, usize::from(state))).collect();
        Grid {
            order: order.iter().map(|&state| Standing::at(usize::from(state))).collect(),
            across: joints.iter().filter_map(|joint| joint[0]).map(light).collect(),
            down: joints.iter().filter_map(|joint| joint[1]).map(light).collect(),
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
    use crate::rows::Pin;
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

    /// What every grid comes to, by trying all: (sum, worst). A grid from behind is made anew here.
    fn tried(tables: (&[f64], &[f64]), rules: &Rules, columns: usize) -> Vec<(f64, f64)> {
        fn on(rules: &Rules, order: &mut Vec<usize>, hear: &mut dyn FnMut(&[usize])) {
            let (count, place) = (rules.count(), order.len());
            if place == count {
                return hear(order);
            }
            for state in 0..2 * count {
                let pin = rules.pins[state / 2];
                let way = pin.turned.map_or(rules.turns || state % 2 == 0, |way| way == (state % 2 == 1));
                if order.iter().all(|other| other / 2 != state / 2) && way && pin.place.is_none_or(|pinned| pinned == place) {
                    order.push(state);
                    on(rules, order, hear);
                    order.pop();
                }
            }
        }
        let states = 2 * rules.count();
        let keeps = |order: &[usize]| {
            order.iter().enumerate().all(|(place, state)| {
                let pin = rules.pins[state / 2];
                pin.place.is_none_or(|pinned| pinned == place)
                    && pin.turned.map_or(rules.turns || state % 2 == 0, |way| way == (state % 2 == 1))
            })
        };
        let (mut all, mut seen) = (vec![], std::collections::HashSet::new());
        on(rules, &mut vec![], &mut |order| {
            if seen.contains(order) {
                return;
            }
            let behind: Vec<usize> = order.iter().rev().map(|state| state ^ 1).collect();
            if rules.alike && order.len().is_multiple_of(columns) && keeps(&behind) {
                seen.insert(behind);
            }
            let beside =
                (1..order.len()).filter(|right| right % columns != 0).map(|right| tables.0[order[right - 1] * states + order[right]]);
            let below = (columns..order.len()).map(|lower| tables.1[order[lower - columns] * states + order[lower]]);
            let joints: Vec<f64> = beside.chain(below).collect();
            all.push((joints.iter().sum::<f64>(), joints.iter().copied().fold(0.0, f64::max)));
        });
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    }

    /// One search with all the effort there is.
    fn best_of(tables: (&[f64], &[f64]), rules: &Rules, columns: usize, wish: Wish, most: usize) -> Result<Found, RowError> {
        best(tables, rules, columns, wish, most, &mut Effort::new(MOST_LOOKED_AT, 1, &mut |_| ()))
    }

    fn mildest_of(tables: (&[f64], &[f64]), rules: &Rules, columns: usize) -> Result<Found, RowError> {
        mildest(tables, rules, columns, &mut Effort::new(MOST_LOOKED_AT, 1, &mut |_| ()))
    }

    #[test]
    fn a_grid_of_one_row_is_a_row() {
        let (across, down) = (table(7, 5, true), table(8, 5, true));
        for (turns, wish) in [(true, Wish::RunOn), (false, Wish::RunOn), (true, Wish::Contrast)] {
            let rules = Rules::new(&[Pin::default(); 5], turns).alike(true);
            let row = crate::rows::best(&across, &rules, wish, 4).unwrap();
            let grid = best_of((&across, &down), &rules, 5, wish, 4).unwrap();
            assert!(grid.exact && grid.grids.iter().all(|grid| grid.down.is_empty()));
            for (row, grid) in row.iter().zip(&grid.grids) {
                assert!((row.sum() - grid.sum()).abs() < 1e-9);
            }
            assert!((grid.bound - row[0].sum()).abs() < 1e-9);
        }
    }

    #[test]
    fn twelve_plates_share_one_effort_and_say_what_is_proven_and_how_far_they_are() {
        let (across, down) = (table(3, 12, true), table(4, 12, true));
        let rules = Rules::new(&[Pin::default(); 12], true).alike(true);
        let mut heard = vec![];
        let mut told = |share: f32| heard.push(share);
        let mut effort = Effort::new(60_000, 3, &mut told);
        let tables = (across.as_slice(), down.as_slice());
        let found = best(tables, &rules, 4, Wish::RunOn, 3, &mut effort).unwrap();
        let greatest = best(tables, &rules, 4, Wish::Contrast, 1, &mut effort).unwrap();
        let mild = mildest(tables, &rules, 4, &mut effort).unwrap();
        // The two sums are broken off, each after its third; what is left is of the third that the mildest has.
        assert!(effort.left < 20_000, "{}", effort.left);
        assert_eq!(found.grids.len(), 3);
        assert!(!found.exact && found.bound < found.grids[0].sum());
        assert!(mild.grids[0].worst() < found.grids[0].worst());
        assert!(!greatest.exact && greatest.bound > greatest.grids[0].sum() && greatest.grids[0].sum() > found.grids[0].sum());
        assert!(heard.len() >= 10 && heard.windows(2).all(|pair| pair[0] < pair[1]) && *heard.last().unwrap() > 0.7, "{heard:?}");
    }

    #[test]
    fn a_search_that_ends_leaves_its_effort_to_the_next() {
        let costs = table(5, 4, true);
        let rules = Rules::new(&[Pin::default(); 4], true).alike(true);
        let mut told = |_: f32| ();
        let mut effort = Effort::new(100_000, 2, &mut told);
        assert!(best((&costs, &costs), &rules, 2, Wish::RunOn, 1, &mut effort).unwrap().exact);
        let spent = 100_000 - effort.left;
        assert!(spent < 1000, "{spent}");
        effort.begin();
        assert_eq!(effort.part.0, 100_000 - spent);
    }

    #[test]
    fn six_plates_are_always_proven_and_copies_are_one_grid() {
        for (seed, columns) in [(11, 3), (12, 2), (13, 3), (14, 2)] {
            let (across, down) = (table(seed, 6, true), table(seed + 50, 6, true));
            let mut told = |_: f32| ();
            // A third of what three searches share.
            let mut effort = Effort::new(MOST_LOOKED_AT, 3, &mut told);
            let rules = Rules::new(&[Pin::default(); 6], true).alike(true);
            assert!(best((&across, &down), &rules, columns, Wish::RunOn, 8, &mut effort).unwrap().exact);
        }
        let even = vec![1.0 / 3.0; 4 * 144];
        let rules = Rules::new(&[Pin::default(); 12], false).alike(true).copies(vec![0; 12]);
        let found = best_of((&even, &even), &rules, 4, Wish::RunOn, 8).unwrap();
        assert!(found.exact && found.grids.len() == 1);
    }

    #[test]
    fn what_no_grid_keeps_is_refused() {
        let costs = table(1, 4, true);
        let tables = (costs.as_slice(), costs.as_slice());
        let mut pins = [Pin::default(); 4];
        pins[0].place = Some(1);
        pins[1].place = Some(1);
        assert_eq!(best_of(tables, &Rules::new(&pins, true), 2, Wish::RunOn, 1), Err(RowError::Pins));
        pins[1].place = Some(4);
        assert_eq!(mildest_of(tables, &Rules::new(&pins, true), 2), Err(RowError::Pins));
        assert_eq!(best_of(tables, &Rules::new(&[], true), 2, Wish::RunOn, 1), Err(RowError::Count(0)));
        let free = Rules::new(&[Pin::default(); 4], true);
        assert_eq!(best_of((&costs, &costs[1..]), &free, 2, Wish::RunOn, 1), Err(RowError::Costs { expected: 64, came: 63 }));
        assert_eq!(best_of((&costs, &[f64::NAN; 64]), &free, 2, Wish::RunOn, 1), Err(RowError::Cost));
        let one = Rules::new(&[Pin::default()], false);
        let alone = best_of((&costs[..4], &costs[..4]), &one, 3, Wish::RunOn, 5).unwrap();
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
            let rules = Rules::new(&pins, turns).alike(alike);
            let all = tried(tables, &rules, columns);
            match best_of(tables, &rules, columns, Wish::RunOn, 7) {
                Err(error) => {
                    prop_assert_eq!(error, RowError::Pins);
                    prop_assert!(all.is_empty());
                }
                Ok(found) => {
                    prop_assert!(found.exact);
                    prop_assert_eq!(found.grids.len(), all.len().min(7));
                    for (grid, wanted) in found.grids.iter().zip(&all) {
                        prop_assert!((grid.sum() - wanted.0).abs() < 1e-9, "{} {}", grid.sum(), wanted.0);
                    }
                    let greatest = best_of(tables, &rules, columns, Wish::Contrast, 1).unwrap();
                    prop_assert!((greatest.grids[0].sum() - all[all.len() - 1].0).abs() < 1e-9);
                    let mild = &mildest_of(tables, &rules, columns).unwrap().grids[0];
                    let least = all.iter().map(|one| one.1).fold(f64::INFINITY, f64::min);
                    prop_assert!((mild.worst() - least).abs() < 1e-9);
                    let sum = all.iter().filter(|one| one.1 <= least + 1e-9).map(|one| one.0).fold(f64::INFINITY, f64::min);
                    prop_assert!((mild.sum() - sum).abs() < 1e-9);
                }
            }
        }
    }
}
