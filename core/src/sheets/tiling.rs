//! Tiling: a plate larger than the paper, cut into windows that overlap, with as few sheets as can be.
//!
//! Everything here is in millimetres on the metal, x to the right and y down from its upper left corner. Joins are chosen in print view
//! and turned over for plate view, so that both show the same cuts.

use super::View;
use super::mark::PageBox;
use crate::components::Components;
use crate::plane::Plane;

/// How much two neighbours both show, mm. The join is the middle of it.
pub(super) const OVERLAP: f64 = 10.0;
/// A patch whose longer side is under this is small: a join through it is avoided, mm.
pub(super) const SMALL: f64 = 10.0;
/// A join keeps this far from a small patch, mm: the knife is no finer.
const CLEAR: f64 = 0.5;
/// Joins are looked for this far apart, mm.
pub(super) const STEP: f64 = 0.5;
/// Half of a paired mark, from the join to its far end, mm.
pub(super) const HALF_MARK: f64 = 4.5;
/// Lengths that differ by less are equal, mm.
const EQUAL: f64 = 1e-9;

/// How many windows of at most `usable` mm cover a length, neighbours sharing [`OVERLAP`].
pub(super) fn count(length: f64, usable: f64) -> usize {
    libm::ceil((length - OVERLAP) / (usable - OVERLAP) - EQUAL).max(1.0) as usize
}

/// From and to along one axis, mm.
pub(super) type Stretch = (f64, f64);

/// What the paper holds past the metal at the smaller and at the larger end of an axis, mm: a hinge flap, or nothing.
pub(super) type Past = (f64, f64);

/// The joins across one axis.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    /// The length that is cut.
    pub(super) length: f64,
    /// What the first window and the last one hold past it.
    pub(super) past: Past,
    /// Where it is cut, from the smallest on.
    pub(super) joins: Vec<f64>,
    /// Small patches that the joins cut.
    pub(super) cuts: usize,
}

impl Axis {
    /// Cuts a length into the fewest windows of at most `usable` mm: through as few of the small `patches` as can be, and of such ways the
    /// one with the most even windows. Exact on places [`STEP`] apart.
    pub(super) fn of(length: f64, past: Past, usable: f64, patches: &[Stretch]) -> Self {
        Self::by_steps((length, past), usable, patches, STEP)
    }

    /// As [`Axis::of`], on places `step` apart. Dynamic programming over the joins: the best way to each place of a join is found from the
    /// best ways to the places that the join before it can have.
    fn by_steps((length, past): (f64, Past), usable: f64, patches: &[Stretch], step: f64) -> Self {
        let windows = count(length + past.0 + past.1, usable);
        if windows < 2 {
            return Self { length, past, joins: Vec::new(), cuts: 0 };
        }
        let places = places((length, past), usable, windows, step);
        let first_past = |first: bool| (first.then_some(past.0), None);
        let cuts = cuts_at(&places, patches);
        // The best way to each place of the join in hand: cuts, the sum of the squares of the windows, and the place before.
        let mut ways: Vec<Vec<Option<Way>>> = Vec::with_capacity(windows - 1);
        for join in 0..windows - 1 {
            let before = ways.last();
            let mut here = vec![None; places.len()];
            let mut first = 0;
            for (place, &at) in places.iter().enumerate() {
                here[place] = match before {
                    None => window(0.0, at, first_past(true), usable).map(|window| Way {
                        cuts: cuts[place],
                        squares: window * window,
                        before: place,
                    }),
                    Some(before) => {
                        while first < place
                            && window(places[first], at, first_past(false), f64::INFINITY).is_some_and(|w| w > usable + EQUAL)
                        {
                            first += 1;
                        }
                        (first..place)
                            .filter_map(|from| {
                                let (way, window) = (before[from]?, window(places[from], at, first_past(false), usable)?);
                                Some(Way { cuts: way.cuts + cuts[place], squares: way.squares + window * window, before: from })
                            })
                            .reduce(Way::better)
                    }
                };
            }
            if join + 2 == windows {
                for (place, &at) in places.iter().enumerate() {
                    here[place] = here[place].and_then(|way| {
                        let last = window(at, length, (None, Some(past.1)), usable)?;
                        Some(Way { squares: way.squares + last * last, ..way })
                    });
                }
            }
            ways.push(here);
        }
        Self::traced((length, past), &places, &ways)
    }

    /// Reads the best way back from its last join.
    fn traced((length, past): (f64, Past), places: &[f64], ways: &[Vec<Option<Way>>]) -> Self {
        let last = ways.last().map_or(&[][..], Vec::as_slice);
        let best = last.iter().enumerate().filter_map(|(place, way)| way.map(|way| (way, place)));
        let Some((way, mut place)) = best.reduce(|a, b| if Way::better(a.0, b.0) == a.0 { a } else { b }) else {
            return Self { length, past, joins: Vec::new(), cuts: 0 };
        };
        let mut joins = Vec::with_capacity(ways.len());
        for layer in ways.iter().rev() {
            joins.push(places[place]);
            if let Some(way) = layer[place] {
                place = way.before;
            }
        }
        joins.reverse();
        Self { length, past, joins, cuts: way.cuts }
    }

    /// The same cuts seen from the other side.
    fn mirrored(&self) -> Self {
        Self { past: (self.past.1, self.past.0), joins: self.joins.iter().rev().map(|join| self.length - join).collect(), ..self.clone() }
    }

    /// What lies between the joins.
    pub(super) fn cells(&self) -> Vec<Stretch> {
        let mut from = 0.0;
        let ends = self.joins.iter().copied().chain([self.length]);
        ends.map(|to| (std::mem::replace(&mut from, to), to)).collect()
    }

    /// The cells with half the overlap past each join.
    pub(super) fn windows(&self) -> Vec<Stretch> {
        let half = OVERLAP / 2.0;
        self.cells().iter().map(|&(from, to)| ((from - half).max(0.0), (to + half).min(self.length))).collect()
    }
}

/// A way to a place of a join.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Way {
    cuts: usize,
    squares: f64,
    before: usize,
}

impl Way {
    /// The one that cuts fewer patches, then the more even one; the first of equal ones.
    fn better(a: Self, b: Self) -> Self {
        if b.cuts.cmp(&a.cuts).then(b.squares.total_cmp(&a.squares)).is_lt() { b } else { a }
    }
}

/// The window between two joins, or between a join and an end of the metal, with what it holds past that; none where it is over `usable` or
/// its overlaps would meet.
fn window(from: f64, to: f64, (first, last): (Option<f64>, Option<f64>), usable: f64) -> Option<f64> {
    let half = OVERLAP / 2.0;
    let window = to - from + first.unwrap_or(half) + last.unwrap_or(half);
    (window <= usable + EQUAL && to - from >= OVERLAP - EQUAL).then_some(window)
}

/// Where joins may lie: at steps, at the places that make the windows even, and at those that fill each window from the left, so that there
/// always is a way.
fn places((length, past): (f64, Past), usable: f64, windows: usize, step: f64) -> Vec<f64> {
    let steps = libm::ceil(length / step) as usize;
    let even = (length + past.0 + past.1 + OVERLAP * (windows - 1) as f64) / windows as f64;
    let spaced = |window: f64| (1..windows).map(move |join| join as f64 * (window - OVERLAP) + OVERLAP / 2.0 - past.0);
    let mut places: Vec<f64> = (1..steps).map(|at| at as f64 * step).chain(spaced(even)).chain(spaced(usable)).collect();
    places.retain(|&at| at > 0.0 && at < length);
    places.sort_by(f64::total_cmp);
    places.dedup();
    places
}

/// How many patches a join at each place cuts or nearly touches.
fn cuts_at(places: &[f64], patches: &[Stretch]) -> Vec<usize> {
    let sorted = |mut ends: Vec<f64>| {
        ends.sort_by(f64::total_cmp);
        ends
    };
    let starts = sorted(patches.iter().map(|patch| patch.0 - CLEAR).collect());
    let ends = sorted(patches.iter().map(|patch| patch.1 + CLEAR).collect());
    places.iter().map(|&at| starts.partition_point(|&start| start < at) - ends.partition_point(|&end| end <= at)).collect()
}

/// The boxes around all small patches of any zone, on the metal in print view, mm.
///
/// `bevel` is what the face stands in from the metal edge, `pixel` the size of a pixel.
pub(super) fn small_patches(zones: &Plane<u8>, bevel: f64, pixel: (f64, f64)) -> Vec<PageBox> {
    let pieces = Components::of(zones);
    let mut bounds = vec![(usize::MAX, usize::MAX, 0, 0); pieces.count()];
    pieces.each_stretch(|y, start, end, piece| {
        let of = &mut bounds[piece];
        *of = (of.0.min(start), of.1.min(y), of.2.max(end), of.3.max(y + 1));
    });
    bounds
        .into_iter()
        .map(|(left, top, right, foot)| {
            let (x, y) = (bevel + left as f64 * pixel.0, bevel + top as f64 * pixel.1);
            PageBox::new(x, y, (right - left) as f64 * pixel.0, (foot - top) as f64 * pixel.1)
        })
        .filter(|of| of.width.max(of.height) < SMALL)
        .collect()
}

/// A plate cut into rows and columns, in print view.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Grid {
    pub(super) across: Axis,
    pub(super) down: Axis,
}

/// One window of a grid, in the view it is drawn in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tile {
    /// From 0, counted from the top.
    pub(super) row: usize,
    /// From 0, counted from the left as the sheet lies.
    pub(super) column: usize,
    /// How many rows and columns there are.
    pub(super) of: (usize, usize),
    /// What the sheet shows.
    pub(super) window: PageBox,
    /// What lies between the joins.
    pub(super) cell: PageBox,
}

impl Tile {
    /// Its code: a letter for the row, a number for the column.
    pub(super) fn code(&self) -> String {
        let letter = char::from_u32('A' as u32 + self.row as u32 % 26).unwrap_or('A');
        format!("{letter}{}", self.column + 1)
    }

    /// Its place in words.
    pub(super) fn place(&self) -> String {
        format!("row {} of {}, column {} of {}", self.row + 1, self.of.0, self.column + 1, self.of.1)
    }
}

impl Grid {
    /// Cuts a plate into windows of at most `usable` mm, which hold what is `past` the metal across and down.
    pub(super) fn of((width, height): (f64, f64), past: (Past, Past), usable: (f64, f64), patches: &[PageBox]) -> Self {
        let across: Vec<Stretch> = patches.iter().map(|of| (of.x, of.right())).collect();
        let down: Vec<Stretch> = patches.iter().map(|of| (of.y, of.foot())).collect();
        Self { across: Axis::of(width, past.0, usable.0, &across), down: Axis::of(height, past.1, usable.1, &down) }
    }

    /// How many sheets.
    pub(super) fn count(&self) -> usize {
        (self.across.joins.len() + 1) * (self.down.joins.len() + 1)
    }

    /// How often a join cuts a small patch.
    pub(super) fn cuts(&self) -> usize {
        self.across.cuts + self.down.cuts
    }

    /// The grid as a view shows it.
    pub(super) fn seen(&self, view: View) -> Self {
        match view {
            View::Print => self.clone(),
            View::Plate => Self { across: self.across.mirrored(), down: self.down.clone() },
        }
    }

    /// The windows row by row, of a grid that is already in its view.
    pub(super) fn tiles(&self) -> Vec<Tile> {
        let of = (self.down.joins.len() + 1, self.across.joins.len() + 1);
        let (columns, rows) = (self.across.windows(), self.down.windows());
        let (cells_across, cells_down) = (self.across.cells(), self.down.cells());
        let boxed = |x: Stretch, y: Stretch| PageBox::new(x.0, y.0, x.1 - x.0, y.1 - y.0);
        (0..of.0)
            .flat_map(|row| (0..of.1).map(move |column| (row, column)))
            .map(|(row, column)| Tile {
                row,
                column,
                of,
                window: boxed(columns[column], rows[row]),
                cell: boxed(cells_across[column], cells_down[row]),
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every choice of joins among the same places: cuts and sum of squares of the best. Written without regard to the search above.
    fn brute((length, past): (f64, Past), usable: f64, patches: &[Stretch], step: f64) -> Option<(usize, f64)> {
        let windows = count(length + past.0 + past.1, usable);
        let places = places((length, past), usable, windows, step);
        let mut best: Option<(usize, f64)> = None;
        let mut chosen = vec![0_usize; windows - 1];
        fn each(chosen: &mut Vec<usize>, depth: usize, from: usize, most: usize, visit: &mut impl FnMut(&[usize])) {
            if depth == chosen.len() {
                visit(chosen);
                return;
            }
            for place in from..most {
                chosen[depth] = place;
                each(chosen, depth + 1, place + 1, most, visit);
            }
        }
        each(&mut chosen, 0, 0, places.len(), &mut |chosen| {
            let joins: Vec<f64> = chosen.iter().map(|&place| places[place]).collect();
            let mut squares = 0.0;
            for window in 0..windows {
                let from = if window == 0 { -past.0 } else { joins[window - 1] - 5.0 };
                let to = if window + 1 == windows { length + past.1 } else { joins[window] + 5.0 };
                let inner = (if window == 0 { past.0 } else { 5.0 }) + if window + 1 == windows { past.1 } else { 5.0 };
                if to - from > usable + 1e-9 || to - from - inner < 10.0 - 1e-9 {
                    return;
                }
                squares += (to - from) * (to - from);
            }
            let cuts = joins.iter().map(|join| patches.iter().filter(|p| p.0 - 0.5 < *join && *join < p.1 + 0.5).count()).sum();
            if best.is_none_or(|(least, most_even)| cuts < least || (cuts == least && squares < most_even)) {
                best = Some((cuts, squares));
            }
        });
        best
    }

    #[test]
    fn counts_are_those_of_the_handbook() {
        // 10 mm of margin all round: A4 190 × 277, Letter 195.9 × 259.4.
        let sheets = |plate: (f64, f64), usable: (f64, f64)| count(plate.0, usable.0) * count(plate.1, usable.1);
        for (wide, high) in [(190.0, 277.0), (195.9, 259.4)] {
            assert_eq!(sheets((300.0, 400.0), (wide, high)), 4);
            assert_eq!((sheets((400.0, 600.0), (wide, high)), sheets((400.0, 600.0), (high, wide))), (9, 8));
        }
        // 12 mm give the same counts.
        assert_eq!((sheets((300.0, 400.0), (186.0, 273.0)), sheets((400.0, 600.0), (273.0, 186.0))), (4, 8));
        assert_eq!([count(190.0, 190.0), count(190.1, 190.0), count(370.0, 190.0), count(5.0, 190.0)], [1, 2, 2, 1]);
    }

    #[test]
    fn a_join_moves_off_a_small_patch_where_it_can() {
        let even = Axis::of(300.0, (0.0, 0.0), 190.0, &[]);
        assert_eq!((even.joins.as_slice(), even.cuts), (&[150.0][..], 0));
        let moved = Axis::of(300.0, (0.0, 0.0), 190.0, &[(146.0, 153.0)]);
        assert_eq!((moved.joins.as_slice(), moved.cuts), (&[153.5][..], 0));
        // Nothing is left but 150 ± 35 mm: patches all over it are cut, as few as can be.
        let all: Vec<Stretch> = (0..40).map(|at| (110.0 + f64::from(at) * 2.0, 114.0 + f64::from(at) * 2.0)).collect();
        let cut = Axis::of(300.0, (0.0, 0.0), 190.0, &all);
        assert!(cut.cuts > 0 && (115.0..=185.0).contains(&cut.joins[0]), "{cut:?}");
    }

    #[test]
    fn windows_share_the_overlap_and_joins_lie_in_its_middle() {
        let grid = Grid::of((400.0, 600.0), ((0.0, 0.0), (0.0, 0.0)), (277.0, 190.0), &[PageBox::new(10.0, 10.0, 4.0, 4.0)]);
        assert_eq!((grid.count(), grid.cuts()), (8, 0));
        let tiles = grid.seen(View::Plate).tiles();
        assert_eq!(tiles.iter().map(Tile::code).collect::<Vec<_>>(), ["A1", "A2", "B1", "B2", "C1", "C2", "D1", "D2"]);
        assert_eq!(tiles[3].place(), "row 2 of 4, column 2 of 2");
        assert!((tiles[0].window.right() - tiles[1].window.x - OVERLAP).abs() < 1e-9);
        assert!((tiles[0].cell.right() - tiles[1].cell.x).abs() < 1e-9);
        let lone = Axis::of(300.0, (15.0, 0.0), 190.0, &[(100.0, 153.0)]);
        assert_eq!((lone.mirrored().joins, lone.mirrored().past), (vec![300.0 - lone.joins[0]], (0.0, 15.0)));
        assert_eq!(lone.mirrored().mirrored(), lone);
    }

    #[test]
    fn small_patches_are_known_by_their_longer_side() {
        // 2 px/mm: a square of 4 mm, a strip of 2 × 20 mm, the ground.
        let zones = Plane::from_fn(100, 80, |x, y| match (x, y) {
            (10..18, 20..28) => 1,
            (30..34, 20..60) => 2,
            _ => 0,
        });
        assert_eq!(small_patches(&zones, 1.5, (0.5, 0.5)), [PageBox::new(6.5, 11.5, 4.0, 4.0)]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn no_choice_of_joins_cuts_less_or_is_more_even(
            length in 150.0_f64..420.0,
            usable in 110.0_f64..200.0,
            patches in proptest::collection::vec((0.0_f64..420.0, 1.0_f64..10.0), 0..60),
            past in prop::sample::select(vec![(0.0, 0.0), (15.0, 0.0), (0.0, 15.0)]),
        ) {
            let step = if count(length + 15.0, usable) > 3 { 20.0 } else { 8.0 };
            let patches: Vec<Stretch> = patches.iter().map(|&(at, long)| (at, at + long)).collect();
            let found = Axis::by_steps((length, past), usable, &patches, step);
            let Some((cuts, squares)) = brute((length, past), usable, &patches, step) else {
                return Err(TestCaseError::fail("there is always a way"));
            };
            prop_assert_eq!(found.joins.len() + 1, count(length + past.0 + past.1, usable));
            prop_assert_eq!(found.cuts, cuts);
            let windows = found.windows();
            let held = |index: usize| if index == 0 { past.0 } else { 0.0 } + if index + 1 == windows.len() { past.1 } else { 0.0 };
            let even: f64 = windows.iter().enumerate().map(|(index, (from, to))| (to - from + held(index)) * (to - from + held(index))).sum();
            prop_assert!((even - squares).abs() < 1e-6, "{even} {squares}");
        }

        #[test]
        fn windows_are_the_fewest_that_cover(length in 5.0_f64..2000.0, usable in 60.0_f64..420.0) {
            let axis = Axis::of(length, (0.0, 0.0), usable, &[]);
            let windows = axis.windows();
            prop_assert!(windows.iter().all(|(from, to)| to - from <= usable + 1e-9));
            prop_assert!(windows[0].0 == 0.0 && windows[windows.len() - 1].1 == length);
            prop_assert!(windows.windows(2).all(|pair| (pair[0].1 - pair[1].0 - OVERLAP).abs() < 1e-9));
            // One window fewer, each as long as can be, would not reach the end: laid one by one from the left.
            let mut reached = usable.min(length);
            let mut fewest = 1;
            while reached < length - 1e-9 {
                reached += usable - OVERLAP;
                fewest += 1;
            }
            prop_assert_eq!(windows.len(), fewest);
        }
    }
}
