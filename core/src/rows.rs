//! Plates in a row: every order and half turn of them, by what their joints cost.
//!
//! A plate may be turned by half a turn, never mirrored. A row seen from behind, all plates turned and in reverse, is the same row: it is
//! found once. (Where it is another from behind, as with plates of different heights that stand with their tops in line, it is another
//! row.) So is a row with copies of one plate changed for one another; [`Rules`] says which those are. The search is exact: what the rest of a row
//! costs at least is known for every set of plates left (Held and Karp, J. SIAM 10, 1962), and rows are then built best first. Costs are whole
//! numbers, so what the rest costs is met to the last digit: of equals the longest goes on, and none is begun twice.

mod rules;

use rules::MOST_COST;
pub use rules::Rules;
pub(crate) use rules::{NEVER, light};
use std::cmp::Ordering;
use std::collections::{BTreeSet, BinaryHeap};
use std::fmt;

/// Most plates in a row: 2¹² sets of them times 24 ways that the last may lie.
pub const MOST_PLATES: usize = 12;

/// A plate as it stands in a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Standing {
    /// Which plate.
    pub plate: usize,
    /// Whether it is turned by half a turn.
    pub turned: bool,
}

impl Standing {
    pub(crate) fn at(state: usize) -> Self {
        Self { plate: state / 2, turned: state % 2 == 1 }
    }

    pub(crate) fn state(self) -> usize {
        2 * self.plate + usize::from(self.turned)
    }
}

/// What is settled of a plate before the search.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Pin {
    /// Its place from the left, the first is 0.
    pub place: Option<usize>,
    /// Whether it is turned.
    pub turned: Option<bool>,
}

/// What is wanted of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wish {
    /// The least sum of joints: the plates run on.
    RunOn,
    /// The greatest.
    Contrast,
}

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The plates from the left in print view. On the bed they lie the other way round.
    pub order: Vec<Standing>,
    /// What each joint costs.
    pub joints: Vec<f64>,
}

impl Row {
    /// The sum of its joints.
    #[must_use]
    pub fn sum(&self) -> f64 {
        self.joints.iter().sum()
    }

    /// Its worst joint; 0 for a plate alone.
    #[must_use]
    pub fn worst(&self) -> f64 {
        self.joints.iter().copied().fold(0.0, f64::max)
    }

    /// The order on the press bed, plate view, from the left: the mirror of what is read.
    #[must_use]
    pub fn on_the_bed(&self) -> Vec<Standing> {
        self.order.iter().rev().copied().collect()
    }
}

/// Rows that can't be looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RowError {
    /// Too few or too many plates.
    Count(usize),
    /// Costs that are not those of so many plates.
    Costs {
        /// How many were expected.
        expected: usize,
        /// How many came.
        came: usize,
    },
    /// A cost that is no number.
    Cost,
    /// Pins that no row can keep.
    Pins,
}

impl fmt::Display for RowError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Count(count) => {
                write!(f, "A row of 1 to {MOST_PLATES} plates was expected, {count} came: take some out, or lay them in two rows.")
            }
            Self::Costs { expected, came } => {
                write!(f, "Costs of {expected} joints were expected, {came} came: give one for each plate beside each, both ways round.")
            }
            Self::Cost => {
                write!(f, "Each joint costs up to {MOST_COST} L* either way, one is no such number: look at that pair of edges again.")
            }
            Self::Pins => {
                write!(f, "No row keeps all that is pinned: two plates are wanted in one place, or one beyond the end. Let one go.")
            }
        }
    }
}

impl std::error::Error for RowError {}

/// The best rows, the best first, at most `most` of them; of rows that are the same print one is found.
///
/// `between` is what a joint costs, a row of `2 · plates` values for each plate upright and turned on the left (`2 · plate + turned`), in it
/// one for each on the right. Costs are told to a millionth.
///
/// # Errors
/// When counts don't fit, a cost is no number, or no row keeps the pins.
pub fn best(between: &[f64], rules: &Rules, wish: Wish, most: usize) -> Result<Vec<Row>, RowError> {
    let search = Search::new(between, rules, wish)?;
    let rest = search.rest(NEVER);
    Ok(search.rows(&rest, NEVER, most).0)
}

/// The row whose worst joint is least, and among those of the least sum. Arguments and errors as of [`best`].
///
/// # Errors
/// As [`best`].
pub fn mildest(between: &[f64], rules: &Rules) -> Result<Row, RowError> {
    let search = Search::new(between, rules, Wish::RunOn)?;
    let mut costs = search.between.clone();
    costs.sort_unstable();
    costs.dedup();
    // The least limit under which there is a row at all: found by halving.
    let (mut low, mut high) = (0, costs.len() - 1);
    while low < high {
        let middle = (low + high) / 2;
        if search.least(&search.rest(costs[middle])).is_some() { high = middle } else { low = middle + 1 }
    }
    let limit = if rules.count() > 1 { costs[low] } else { NEVER };
    let rest = search.rest(limit);
    search.rows(&rest, limit, 1).0.pop().ok_or(RowError::Pins)
}

struct Search<'a> {
    /// In whole millionths.
    between: Vec<i64>,
    rules: &'a Rules,
    /// By plate, which must stand before it does.
    before: Vec<u32>,
    sign: i64,
}

/// A row under way; the heap has the least on top.
#[derive(PartialEq, Eq)]
struct Begun {
    at_least: i64,
    so_far: i64,
    order: Vec<u8>,
    set: usize,
}

impl PartialOrd for Begun {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Begun {
    fn cmp(&self, other: &Self) -> Ordering {
        // Of equals the longer one first, then by its plates, so that equal inputs have equal answers.
        other.at_least.cmp(&self.at_least).then(self.order.len().cmp(&other.order.len())).then_with(|| other.order.cmp(&self.order))
    }
}

impl<'a> Search<'a> {
    fn new(between: &[f64], rules: &'a Rules, wish: Wish) -> Result<Self, RowError> {
        let between = rules.weighed(between)?;
        let before = (0..rules.count()).map(|plate| rules.before(plate)).collect();
        let search = Self { between, rules, before, sign: if wish == Wish::RunOn { 1 } else { -1 } };
        search.least(&search.rest(NEVER)).map(|_| ()).ok_or(RowError::Pins)?;
        Ok(search)
    }

    fn cost(&self, left: usize, right: usize) -> i64 {
        self.between[left * 2 * self.rules.count() + right]
    }

    /// The plates, either way up, that may come next to those of a set.
    fn next(&self, set: usize) -> impl Iterator<Item = usize> + '_ {
        let place = set.count_ones() as usize;
        (0..2 * self.rules.count()).filter(move |state| {
            set >> (state / 2) & 1 == 0 && self.before[state / 2] as usize & !set == 0 && self.rules.may(*state, place)
        })
    }

    /// What the rest of a row costs at least, by the set of plates that stand and the last of them: [`NEVER`] where there is no rest. No
    /// joint of it costs more than `limit`.
    fn rest(&self, limit: i64) -> Vec<i64> {
        let (count, states) = (self.rules.count(), 2 * self.rules.count());
        let whole = (1usize << count) - 1;
        let mut rest = vec![NEVER; (whole + 1) * states];
        for set in (1..=whole).rev() {
            let next: Vec<usize> = self.next(set).collect();
            for last in (0..states).filter(|last| set >> (last / 2) & 1 == 1) {
                rest[set * states + last] = if set == whole {
                    0
                } else {
                    next.iter()
                        .filter(|&&next| self.cost(last, next) <= limit)
                        .map(|&next| (rest[(set | 1 << (next / 2)) * states + next], next))
                        .filter(|(rest, _)| *rest < NEVER)
                        .map(|(rest, next)| self.sign * self.cost(last, next) + rest)
                        .fold(NEVER, i64::min)
                };
            }
        }
        rest
    }

    /// The least of all rows, if there is one.
    fn least(&self, rest: &[i64]) -> Option<i64> {
        let states = 2 * self.rules.count();
        self.next(0).map(|first| rest[(1 << (first / 2)) * states + first]).filter(|cost| *cost < NEVER).min()
    }

    /// The rows, and how many were begun: what is known of the rest is exact, so that each row found takes no more than one way to it.
    fn rows(&self, rest: &[i64], limit: i64, most: usize) -> (Vec<Row>, usize) {
        let (count, states) = (self.rules.count(), 2 * self.rules.count());
        let mut begun = BinaryHeap::new();
        for first in self.next(0) {
            let set = 1 << (first / 2);
            let at_least = rest[set * states + first];
            if at_least < NEVER {
                begun.push(Begun { at_least, so_far: 0, order: vec![first as u8], set });
            }
        }
        let (mut found, mut seen, mut looked) = (Vec::<Row>::new(), BTreeSet::new(), 0);
        while found.len() < most
            && let Some(Begun { so_far, order, set, .. }) = begun.pop()
        {
            looked += 1;
            let last = usize::from(order[order.len() - 1]);
            if order.len() == count {
                let order: Vec<Standing> = order.iter().map(|&state| Standing::at(usize::from(state))).collect();
                let order = self.rules.chosen(&order);
                if seen.insert(order.clone()) {
                    let joints = order.windows(2).map(|pair| light(self.cost(pair[0].state(), pair[1].state()))).collect();
                    found.push(Row { order, joints });
                }
                continue;
            }
            for next in self.next(set).filter(|&next| self.cost(last, next) <= limit) {
                let (set, so_far) = (set | 1 << (next / 2), so_far + self.sign * self.cost(last, next));
                let rest = rest[set * states + next];
                if rest < NEVER {
                    let order = order.iter().copied().chain([next as u8]).collect();
                    begun.push(Begun { at_least: so_far + rest, so_far, order, set });
                }
            }
        }
        (found, looked)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joints::{EdgeProfile, joint};
    use crate::light::Lightness;
    use crate::units::Millimetres;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Costs of plates by their left and right edges, each with the other side's edge when it is turned.
    fn costs(edges: &[[EdgeProfile; 2]]) -> Vec<f64> {
        let states = 2 * edges.len();
        let of = |state: usize, right: bool| {
            let [left_edge, right_edge] = &edges[state / 2];
            match (state % 2 == 1, right) {
                (false, false) => left_edge.clone(),
                (false, true) => right_edge.clone(),
                (true, false) => right_edge.turned(),
                (true, true) => left_edge.turned(),
            }
        };
        (0..states * states)
            .map(|i| joint(&of(i / states, true), &of(i % states, false), Millimetres(0.0), Millimetres(0.0)).unwrap().tone)
            .collect()
    }

    /// The worked example of the demo family: tones down the edges, ten samples, by the ladder of strip 14-B (our own invention).
    fn demo() -> Vec<f64> {
        let ladder = [89.0, 83.3, 77.7, 72.0, 66.3, 60.7, 55.0, 49.3, 43.7, 38.0];
        let edge = |digits: &str| {
            let lights: Vec<Lightness> = digits.bytes().map(|digit| Lightness(ladder[usize::from(digit - b'0')])).collect();
            EdgeProfile::new(Millimetres(18.0), &lights)
        };
        costs(
            &[["1122356689", "0112457788"], ["0112456789", "0013355678"], ["2233344599", "1122346689"], ["0013345677", "3332266999"]]
                .map(|sides| sides.map(edge)),
        )
    }

    fn letters(row: &Row) -> String {
        row.order.iter().map(|standing| ["A", "B", "C", "D"][standing.plate].to_owned() + if standing.turned { "'" } else { "" }).collect()
    }

    #[test]
    fn the_demo_family_runs_on_as_c_a_b_d() {
        let free = Rules::new(&[Pin::default(); 4], false).alike(true);
        let rows = best(&demo(), &free, Wish::RunOn, 24).unwrap();
        assert_eq!((rows.len(), letters(&rows[0]).as_str()), (24, "CABD"));
        for (joint, printed) in rows[0].joints.iter().zip([0.6, 1.1, 1.1]) {
            assert_abs_diff_eq!(*joint, printed, epsilon = 0.05);
        }
        assert_abs_diff_eq!(rows[0].sum(), 2.8, epsilon = 0.05);
        let mut next = [letters(&rows[1]), letters(&rows[2])];
        next.sort();
        assert_eq!(next, ["BDCA", "DCAB"]);
        assert_abs_diff_eq!(rows[1].sum(), 8.5, epsilon = 0.05);
        assert_abs_diff_eq!(rows[1].worst(), 6.8, epsilon = 0.05);
        assert_eq!(letters(&rows[23]), "ACDB");
        assert_abs_diff_eq!(rows[23].sum(), 20.4, epsilon = 0.05);
        let bed: Vec<usize> = rows[0].on_the_bed().iter().map(|standing| standing.plate).collect();
        assert_eq!(bed, [3, 1, 0, 2]);
        assert_eq!(letters(&best(&demo(), &free, Wish::Contrast, 1).unwrap()[0]), "ACDB");
        assert_eq!(letters(&mildest(&demo(), &free).unwrap()), "CABD");
        // With turns the same row from behind is the same row.
        let turned = best(&demo(), &Rules::new(&[Pin::default(); 4], true).alike(true), Wish::RunOn, 400).unwrap();
        assert_eq!(turned.len(), 192);
        let seen: Vec<String> = turned.iter().map(letters).collect();
        assert!(seen.contains(&"CABD".to_owned()) && !seen.contains(&"D'B'A'C'".to_owned()));
    }

    #[test]
    fn pins_are_kept_and_what_no_row_keeps_is_refused() {
        let pin = |place, turned| Pin { place, turned };
        let mut pins = [Pin::default(); 4];
        pins[3] = pin(Some(0), Some(true));
        let row = &best(&demo(), &Rules::new(&pins, true), Wish::RunOn, 1).unwrap()[0];
        assert_eq!(row.order[0], Standing { plate: 3, turned: true });
        pins[2] = pin(Some(0), None);
        assert_eq!(best(&demo(), &Rules::new(&pins, true), Wish::RunOn, 1), Err(RowError::Pins));
        pins[2] = pin(Some(4), None);
        assert_eq!(mildest(&demo(), &Rules::new(&pins, true)), Err(RowError::Pins));
        assert_eq!(best(&[], &Rules::new(&[], true), Wish::RunOn, 1), Err(RowError::Count(0)));
        assert_eq!(best(&demo(), &Rules::new(&[Pin::default(); 13], true), Wish::RunOn, 1), Err(RowError::Count(13)));
        assert_eq!(best(&demo(), &Rules::new(&[Pin::default(); 3], true), Wish::RunOn, 1), Err(RowError::Costs { expected: 36, came: 64 }));
        assert_eq!(best(&[f64::NAN; 4], &Rules::new(&[Pin::default()], true), Wish::RunOn, 1), Err(RowError::Cost));
        for error in [RowError::Count(30), RowError::Costs { expected: 4, came: 5 }, RowError::Cost, RowError::Pins] {
            assert!(error.to_string().ends_with('.'), "{error}");
        }
        // A plate alone is a row without joints.
        let alone = mildest(&[0.0; 4], &Rules::new(&[Pin::default()], false)).unwrap();
        assert_eq!((alone.order.len(), alone.joints.len(), alone.worst()), (1, 0, 0.0));
    }

    #[test]
    fn a_row_that_is_another_from_behind_is_found_both_ways() {
        // Two plates: A beside B upright costs 1, and turned and exchanged, with their feet in line, 2.
        let mut between = vec![9.0; 16];
        between[2] = 1.0;
        between[3 * 4 + 1] = 2.0;
        let found = best(&between, &Rules::new(&[Pin::default(); 2], true), Wish::RunOn, 99).unwrap();
        assert_eq!(found.len(), 8);
        assert_eq!(found[..2].iter().map(Row::sum).collect::<Vec<_>>(), [1.0, 2.0]);
    }

    /// Costs of copies of one plate: every joint costs the same but for the turns.
    fn copies(count: usize, costs: [f64; 4]) -> Vec<f64> {
        let states = 2 * count;
        (0..states * states).map(|i| costs[2 * (i / states % 2) + i % states % 2]).collect()
    }

    #[test]
    fn ties_are_ties_and_take_no_more_than_one_way_to_each_row() {
        // A third and a tenth add up to other floats in other orders.
        for costs in [[1.0 / 3.0; 4], [0.1, 0.7, 0.7, 0.1], [0.1, 1.0 / 3.0, 1e-7, 0.1]] {
            let between = copies(12, costs);
            for (wish, most) in [(Wish::RunOn, 24), (Wish::Contrast, 3)] {
                for copies in [(0..12).collect::<Vec<usize>>(), vec![0; 12], vec![0, 0, 0, 0, 4, 4, 4, 4, 8, 8, 8, 8]] {
                    let rules = Rules::new(&[Pin::default(); 12], true).alike(true).copies(copies.clone());
                    let search = Search::new(&between, &rules, wish).unwrap();
                    let (rows, looked) = search.rows(&search.rest(NEVER), NEVER, most);
                    assert!(looked <= 2 * most * 12, "{looked} begun for {most} rows of {copies:?}");
                    assert_eq!(rows.len(), most);
                }
            }
            assert_eq!(mildest(&between, &Rules::new(&[Pin::default(); 12], true).alike(true)).unwrap().joints.len(), 11);
        }
        // Twelve copies that stay upright are one print.
        let rules = Rules::new(&[Pin::default(); 12], false).alike(true).copies(vec![0; 12]);
        assert_eq!(best(&copies(12, [0.1; 4]), &rules, Wish::RunOn, 24).unwrap().len(), 1);
    }

    #[test]
    fn copies_of_which_different_things_are_settled_are_told_apart() {
        let mut pins = [Pin::default(); 3];
        pins[1].place = Some(0);
        let rules = Rules::new(&pins, false).copies(vec![0; 3]);
        let found = best(&copies(3, [0.5; 4]), &rules, Wish::RunOn, 9).unwrap();
        assert_eq!(found.iter().map(|row| row.order.iter().map(|one| one.plate).collect()).collect::<Vec<Vec<usize>>>(), [[1, 0, 2]]);
    }

    /// All rows by trying, one of each print: what a row is from behind, and with copies changed for one another, is made anew here.
    fn tried(between: &[f64], rules: &Rules) -> Vec<Row> {
        fn on(order: &mut Vec<Standing>, count: usize, hear: &mut dyn FnMut(&[Standing])) {
            if order.len() == count {
                return hear(order);
            }
            for state in 0..2 * count {
                if order.iter().all(|standing| standing.plate != state / 2) {
                    order.push(Standing::at(state));
                    on(order, count, hear);
                    order.pop();
                }
            }
        }
        let (count, pins) = (rules.count(), &rules.pins);
        let keeps = |order: &[Standing]| {
            order.iter().enumerate().all(|(place, one)| {
                let pin = pins[one.plate];
                pin.place.is_none_or(|pinned| pinned == place) && pin.turned.map_or(rules.turns || !one.turned, |way| way == one.turned)
            })
        };
        // What a print shows, whichever copy shows it: kinds of plates, told apart where other things are settled of them.
        let shows = |order: &[Standing]| -> Vec<(usize, Option<usize>, Option<bool>, bool)> {
            order.iter().map(|one| (rules.copies[one.plate], pins[one.plate].place, pins[one.plate].turned, one.turned)).collect()
        };
        let (mut rows, mut seen) = (vec![], std::collections::HashSet::new());
        on(&mut vec![], count, &mut |order| {
            if !keeps(order) || seen.contains(&shows(order)) {
                return;
            }
            seen.insert(shows(order));
            let from_behind: Vec<Standing> = order.iter().rev().map(|one| Standing { plate: one.plate, turned: !one.turned }).collect();
            if rules.alike && keeps(&from_behind) {
                seen.insert(shows(&from_behind));
            }
            let joints = order.windows(2).map(|pair| between[pair[0].state() * 2 * count + pair[1].state()]).collect();
            rows.push(Row { order: order.to_vec(), joints });
        });
        rows.sort_by(|a, b| a.sum().total_cmp(&b.sum()));
        rows
    }

    /// What sums of a few costs in whole millionths may be off by.
    const WHOLE: f64 = 5e-6;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(96))]

        #[test]
        fn the_best_rows_are_those_that_trying_all_finds(
            edges in prop::collection::vec(prop::array::uniform2(prop::collection::vec(0.0..100.0f64, 4)), 1..6), turns in any::<bool>(),
            alike in any::<bool>(), pinned in 0..6usize, place in 0..6usize, way in prop::option::of(any::<bool>()), like in prop::collection::vec(0..5usize, 5),
        ) {
            let count = edges.len();
            // Some plates are copies of earlier ones.
            let of: Vec<usize> = (0..count).map(|plate| if like[plate] < plate && like[like[plate]] >= like[plate] { like[plate] } else { plate }).collect();
            let edges: Vec<[EdgeProfile; 2]> = of
                .iter()
                .map(|&plate| edges[plate].clone())
                .map(|sides| sides.map(|lights| EdgeProfile::new(Millimetres(10.0), &lights.into_iter().map(Lightness).collect::<Vec<_>>())))
                .collect();
            let between = costs(&edges);
            let mut pins = vec![Pin::default(); count];
            if let Some(pin) = pins.get_mut(pinned) {
                *pin = Pin { place: Some(place), turned: way };
            }
            let rules = Rules::new(&pins, turns).alike(alike).copies(of);
            let all = tried(&between, &rules);
            match best(&between, &rules, Wish::RunOn, usize::MAX) {
                Err(error) => {
                    prop_assert_eq!(error, RowError::Pins);
                    prop_assert!(all.is_empty());
                }
                Ok(rows) => {
                    prop_assert_eq!(rows.len(), all.len());
                    for (row, wanted) in rows.iter().zip(&all) {
                        prop_assert!((row.sum() - wanted.sum()).abs() < WHOLE);
                    }
                    let greatest = best(&between, &rules, Wish::Contrast, 1).unwrap();
                    prop_assert!((greatest[0].sum() - all[all.len() - 1].sum()).abs() < WHOLE);
                    let mild = mildest(&between, &rules).unwrap();
                    let least = all.iter().map(Row::worst).fold(f64::INFINITY, f64::min);
                    prop_assert!((mild.worst() - least).abs() < WHOLE);
                    let sum = all.iter().filter(|row| row.worst() <= least + 1e-9).map(Row::sum).fold(f64::INFINITY, f64::min);
                    prop_assert!((mild.sum() - sum).abs() < WHOLE);
                }
            }
        }
    }
}
