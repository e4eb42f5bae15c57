//! Plates in a row: every order and half turn of them, by what their joints cost.
//!
//! A plate may be turned by half a turn, never mirrored. A row seen from behind, all plates turned and in reverse, is the same row: it is
//! found once. (Where its joints are others from behind, as with plates of different heights that stand with their tops in line, it is another
//! row.) The search is exact: what the rest of a row costs at least is known for every set of plates left (Held and Karp, J. SIAM 10,
//! 1962), and rows are then built best first.

use std::cmp::Ordering;
use std::collections::{BTreeSet, BinaryHeap};
use std::fmt;

/// Most plates in a row: 2¹² sets of them times 24 ways that the last may lie.
pub const MOST_PLATES: usize = 12;

/// Costs that differ by less are even: the same joint from behind is the same figures summed in another order.
const EVEN: f64 = 1e-9;
/// The same, for whole tables of costs: many figures summed in another order.
const ALIKE: f64 = 1e-7;

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
            Self::Cost => write!(f, "A cost of every joint was expected, one is no number: look at that pair of edges again."),
            Self::Pins => {
                write!(f, "No row keeps all that is pinned: two plates are wanted in one place, or one beyond the end. Let one go.")
            }
        }
    }
}

impl std::error::Error for RowError {}

/// The best rows of `pins.len()` plates, the best first, at most `most` of them; of a row and the same from behind one is found.
///
/// `between` is what a joint costs, a row of `2 · plates` values for each plate upright and turned on the left (`2 · plate + turned`), in it
/// one for each on the right. Only where two plates turned and exchanged always cost the same is a row from behind the same row. Without
/// `turns` only plates whose pin says so are turned.
///
/// # Errors
/// When counts don't fit, a cost is no number, or no row keeps the pins.
pub fn best(between: &[f64], pins: &[Pin], turns: bool, wish: Wish, most: usize) -> Result<Vec<Row>, RowError> {
    let search = Search::new(between, pins, turns, wish)?;
    let rest = search.rest(f64::INFINITY);
    Ok(search.rows(&rest, f64::INFINITY, most))
}

/// The row whose worst joint is least, and among those of the least sum. Arguments and errors as of [`best`].
///
/// # Errors
/// As [`best`].
pub fn mildest(between: &[f64], pins: &[Pin], turns: bool) -> Result<Row, RowError> {
    let search = Search::new(between, pins, turns, Wish::RunOn)?;
    let mut costs: Vec<f64> = between.to_vec();
    costs.sort_by(f64::total_cmp);
    costs.dedup();
    // The least limit under which there is a row at all: found by halving.
    let (mut low, mut high) = (0, costs.len() - 1);
    while low < high {
        let middle = (low + high) / 2;
        if search.least(&search.rest(costs[middle])).is_some() { high = middle } else { low = middle + 1 }
    }
    let limit = if pins.len() > 1 { costs[low] + EVEN } else { f64::INFINITY };
    let rest = search.rest(limit);
    search.rows(&rest, limit, 1).pop().ok_or(RowError::Pins)
}

struct Search<'a> {
    between: &'a [f64],
    pins: &'a [Pin],
    turns: bool,
    sign: f64,
    /// Whether a row from behind is the same row.
    alike: bool,
}

/// Whether two plates turned and exchanged cost the same as they do, whichever they are.
pub(crate) fn alike_from_behind(between: &[f64], plates: usize) -> bool {
    let states = 2 * plates;
    let own = |i: usize| i / states / 2 == i % states / 2;
    between.iter().enumerate().all(|(i, cost)| own(i) || (cost - between[((i % states) ^ 1) * states + ((i / states) ^ 1)]).abs() <= ALIKE)
}

/// A row under way; the heap has the least on top.
struct Begun {
    at_least: f64,
    so_far: f64,
    order: Vec<u8>,
    set: usize,
}

impl PartialEq for Begun {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Begun {}

impl PartialOrd for Begun {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Begun {
    fn cmp(&self, other: &Self) -> Ordering {
        // Of equals the longer one first, then by its plates, so that equal inputs have equal answers.
        other.at_least.total_cmp(&self.at_least).then(self.order.len().cmp(&other.order.len())).then_with(|| other.order.cmp(&self.order))
    }
}

impl<'a> Search<'a> {
    fn new(between: &'a [f64], pins: &'a [Pin], turns: bool, wish: Wish) -> Result<Self, RowError> {
        let count = pins.len();
        if !(1..=MOST_PLATES).contains(&count) {
            return Err(RowError::Count(count));
        }
        let expected = 4 * count * count;
        if between.len() != expected {
            return Err(RowError::Costs { expected, came: between.len() });
        }
        if !between.iter().all(|cost| cost.is_finite()) {
            return Err(RowError::Cost);
        }
        let sign = if wish == Wish::RunOn { 1.0 } else { -1.0 };
        let search = Self { between, pins, turns, sign, alike: alike_from_behind(between, count) };
        search.least(&search.rest(f64::INFINITY)).map(|_| ()).ok_or(RowError::Pins)?;
        Ok(search)
    }

    fn cost(&self, left: usize, right: usize) -> f64 {
        self.between[left * 2 * self.pins.len() + right]
    }

    /// Whether a plate may stand so in this place.
    fn may(&self, state: usize, place: usize) -> bool {
        let Standing { plate, turned } = Standing::at(state);
        let Pin { place: pinned, turned: way } = self.pins[plate];
        pinned.is_none_or(|pinned| pinned == place) && way.map_or(self.turns || !turned, |way| way == turned)
    }

    /// What the rest of a row costs at least, by the set of plates that stand and the last of them: infinite where there is no rest. No
    /// joint of it costs more than `limit`.
    fn rest(&self, limit: f64) -> Vec<f64> {
        let (count, states) = (self.pins.len(), 2 * self.pins.len());
        let whole = (1usize << count) - 1;
        let mut rest = vec![f64::INFINITY; (whole + 1) * states];
        for set in (1..=whole).rev() {
            let place = set.count_ones() as usize;
            for last in (0..states).filter(|last| set >> (last / 2) & 1 == 1) {
                rest[set * states + last] = if set == whole {
                    0.0
                } else {
                    (0..states)
                        .filter(|next| set >> (next / 2) & 1 == 0 && self.may(*next, place) && self.cost(last, *next) <= limit)
                        .map(|next| self.sign * self.cost(last, next) + rest[(set | 1 << (next / 2)) * states + next])
                        .fold(f64::INFINITY, f64::min)
                };
            }
        }
        rest
    }

    /// The least of all rows, if there is one.
    fn least(&self, rest: &[f64]) -> Option<f64> {
        let states = 2 * self.pins.len();
        (0..states)
            .filter(|first| self.may(*first, 0))
            .map(|first| rest[(1 << (first / 2)) * states + first])
            .filter(|cost| cost.is_finite())
            .min_by(f64::total_cmp)
    }

    fn rows(&self, rest: &[f64], limit: f64, most: usize) -> Vec<Row> {
        let (count, states) = (self.pins.len(), 2 * self.pins.len());
        let mut begun = BinaryHeap::new();
        for first in (0..states).filter(|first| self.may(*first, 0)) {
            let set = 1 << (first / 2);
            let at_least = rest[set * states + first];
            if at_least.is_finite() {
                begun.push(Begun { at_least, so_far: 0.0, order: vec![first as u8], set });
            }
        }
        let (mut found, mut seen) = (Vec::<Row>::new(), BTreeSet::new());
        while let Some(Begun { so_far, order, set, .. }) = begun.pop() {
            if found.len() == most {
                break;
            }
            let last = usize::from(order[order.len() - 1]);
            if order.len() == count {
                let order: Vec<Standing> = order.iter().map(|&state| Standing::at(usize::from(state))).collect();
                let behind = behind(&order);
                // The one that reads first stands for both, if it keeps the pins.
                let kept = self.alike && behind.iter().enumerate().all(|(place, standing)| self.may(standing.state(), place));
                let order = if kept && behind < order { behind } else { order };
                if seen.insert(order.clone()) {
                    let joints = order.windows(2).map(|pair| self.cost(pair[0].state(), pair[1].state())).collect();
                    found.push(Row { order, joints });
                }
                continue;
            }
            for next in
                (0..states).filter(|next| set >> (next / 2) & 1 == 0 && self.may(*next, order.len()) && self.cost(last, *next) <= limit)
            {
                let (set, so_far) = (set | 1 << (next / 2), so_far + self.sign * self.cost(last, next));
                let at_least = so_far + rest[set * states + next];
                if at_least.is_finite() {
                    let order = order.iter().copied().chain([next as u8]).collect();
                    begun.push(Begun { at_least, so_far, order, set });
                }
            }
        }
        found
    }
}

/// The same row seen from behind.
pub(crate) fn behind(order: &[Standing]) -> Vec<Standing> {
    order.iter().rev().map(|&Standing { plate, turned }| Standing { plate, turned: !turned }).collect()
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
        let free = [Pin::default(); 4];
        let rows = best(&demo(), &free, false, Wish::RunOn, 24).unwrap();
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
        assert_eq!(letters(&best(&demo(), &free, false, Wish::Contrast, 1).unwrap()[0]), "ACDB");
        assert_eq!(letters(&mildest(&demo(), &free, false).unwrap()), "CABD");
        // With turns the same row from behind is the same row.
        let turned = best(&demo(), &free, true, Wish::RunOn, 400).unwrap();
        assert_eq!(turned.len(), 192);
        let seen: Vec<String> = turned.iter().map(letters).collect();
        assert!(seen.contains(&"CABD".to_owned()) && !seen.contains(&"D'B'A'C'".to_owned()));
    }

    #[test]
    fn pins_are_kept_and_what_no_row_keeps_is_refused() {
        let pin = |place, turned| Pin { place, turned };
        let mut pins = [Pin::default(); 4];
        pins[3] = pin(Some(0), Some(true));
        let row = &best(&demo(), &pins, true, Wish::RunOn, 1).unwrap()[0];
        assert_eq!(row.order[0], Standing { plate: 3, turned: true });
        pins[2] = pin(Some(0), None);
        assert_eq!(best(&demo(), &pins, true, Wish::RunOn, 1), Err(RowError::Pins));
        pins[2] = pin(Some(4), None);
        assert_eq!(mildest(&demo(), &pins, true), Err(RowError::Pins));
        assert_eq!(best(&[], &[], true, Wish::RunOn, 1), Err(RowError::Count(0)));
        assert_eq!(best(&demo(), &[Pin::default(); 13], true, Wish::RunOn, 1), Err(RowError::Count(13)));
        assert_eq!(best(&demo(), &[Pin::default(); 3], true, Wish::RunOn, 1), Err(RowError::Costs { expected: 36, came: 64 }));
        assert_eq!(best(&[f64::NAN; 4], &[Pin::default()], true, Wish::RunOn, 1), Err(RowError::Cost));
        for error in [RowError::Count(30), RowError::Costs { expected: 4, came: 5 }, RowError::Cost, RowError::Pins] {
            assert!(error.to_string().ends_with('.'), "{error}");
        }
        // A plate alone is a row without joints.
        let alone = mildest(&[0.0; 4], &[Pin::default()], false).unwrap();
        assert_eq!((alone.order.len(), alone.joints.len(), alone.worst()), (1, 0, 0.0));
    }

    #[test]
    fn a_row_that_is_another_from_behind_is_found_both_ways() {
        // Two plates: A beside B upright costs 1, and turned and exchanged, with their feet in line, 2.
        let mut between = vec![9.0; 16];
        between[2] = 1.0;
        between[3 * 4 + 1] = 2.0;
        let found = best(&between, &[Pin::default(); 2], true, Wish::RunOn, 99).unwrap();
        assert_eq!(found.len(), 8);
        assert_eq!(found[..2].iter().map(Row::sum).collect::<Vec<_>>(), [1.0, 2.0]);
    }

    /// All rows, one of each pair that is the same from behind, by trying.
    fn tried(between: &[f64], pins: &[Pin], turns: bool) -> Vec<Row> {
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
        let search = Search { between, pins, turns, sign: 1.0, alike: alike_from_behind(between, pins.len()) };
        let may = |order: &[Standing]| order.iter().enumerate().all(|(place, standing)| search.may(standing.state(), place));
        let mut rows = vec![];
        on(&mut vec![], pins.len(), &mut |order| {
            let from_behind = behind(order);
            if may(order) && !(search.alike && may(&from_behind) && from_behind < order.to_vec()) {
                let joints = order.windows(2).map(|pair| search.cost(pair[0].state(), pair[1].state())).collect();
                rows.push(Row { order: order.to_vec(), joints });
            }
        });
        rows.sort_by(|a, b| a.sum().total_cmp(&b.sum()));
        rows
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(96))]

        #[test]
        fn the_best_rows_are_those_that_trying_all_finds(
            edges in prop::collection::vec(prop::array::uniform2(prop::collection::vec(0.0..100.0f64, 4)), 1..6), turns in any::<bool>(),
            pinned in 0..6usize, place in 0..6usize, way in prop::option::of(any::<bool>()),
        ) {
            let edges: Vec<[EdgeProfile; 2]> = edges
                .into_iter()
                .map(|sides| sides.map(|lights| EdgeProfile::new(Millimetres(10.0), &lights.into_iter().map(Lightness).collect::<Vec<_>>())))
                .collect();
            let between = costs(&edges);
            let mut pins = vec![Pin::default(); edges.len()];
            if let Some(pin) = pins.get_mut(pinned) {
                *pin = Pin { place: Some(place), turned: way };
            }
            let all = tried(&between, &pins, turns);
            match best(&between, &pins, turns, Wish::RunOn, usize::MAX) {
                Err(error) => {
                    prop_assert_eq!(error, RowError::Pins);
                    prop_assert!(all.is_empty());
                }
                Ok(rows) => {
                    prop_assert_eq!(rows.len(), all.len());
                    for (row, wanted) in rows.iter().zip(&all) {
                        prop_assert!((row.sum() - wanted.sum()).abs() < 1e-9);
                    }
                    let greatest = best(&between, &pins, turns, Wish::Contrast, 1).unwrap();
                    prop_assert!((greatest[0].sum() - all[all.len() - 1].sum()).abs() < 1e-9);
                    let mild = mildest(&between, &pins, turns).unwrap();
                    let least = all.iter().map(Row::worst).fold(f64::INFINITY, f64::min);
                    prop_assert!((mild.worst() - least).abs() <= EVEN);
                    let sum = all.iter().filter(|row| row.worst() <= least + EVEN).map(Row::sum).fold(f64::INFINITY, f64::min);
                    prop_assert!((mild.sum() - sum).abs() < 1e-9);
                }
            }
        }
    }
}
