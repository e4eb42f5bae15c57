//! Hatch and dots: how a sheet says PAINT NOW and COVERED BEFORE without grey.
//!
//! Both are worked out on the step map, pixel by pixel, instead of being clipped to outlines: so they can be counted again, and
//! white means bare, always. A regular hatch leaves small or narrow pieces empty; those get strokes and dots of their own. A fixed resist
//! gets rules across.

use super::pieces::Pieces;
use crate::aside::RESIST;
use crate::plane::Plane;

/// Distance between two hatch strokes, mm.
pub(super) const HATCH_PITCH: f64 = 2.0;
/// Distance between two dots of a row and between two rows of dots, mm; every other row is shifted by half of it.
const DOT_PITCH: f64 = 2.0;
/// Diameter of a dot, mm.
pub(super) const DOT: f64 = 0.5;
/// Distance between two rules over a fixed resist, mm.
pub(super) const RULE_PITCH: f64 = 2.2;
/// Shortest stroke worth drawing, mm: shorter ones read as dots.
const SHORTEST: f64 = 0.5;
/// Side of the squares in which no painted or covered part may stay white, mm. A square that is filled holds a stroke and a dot anyway.
const CELL: f64 = 2.5;
/// Least part of a square that is looked after, mm²; below it the edge lines nearly touch.
const LEAST_IN_CELL: f64 = 0.2;
/// Two strokes side by side are at least so far apart, mm.
const APART: f64 = 0.4;

/// How many of an island's longest diagonals are tried for its two strokes.
const MOST_CANDIDATES: usize = 400;

/// A point of the raster, pixels from its top left corner: 0.5, 0.5 is the middle of the first pixel.
pub(super) type RasterPoint = (f64, f64);

/// The strokes and dots of one stop-out.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Tints {
    /// Strokes over what is newly painted, rising to the right.
    pub(super) strokes: Vec<[RasterPoint; 2]>,
    /// Middles of the dots over what is covered before.
    pub(super) dots: Vec<RasterPoint>,
    /// Rules across a fixed resist.
    pub(super) rules: Vec<[RasterPoint; 2]>,
}

impl Tints {
    /// Strokes where the map holds `new_tone`, dots where it holds a lighter one. The map is as the sheet shows it, already mirrored.
    pub(super) fn of(map: &Plane<u8>, new_tone: u8, px_per_mm: f64) -> Self {
        Self { strokes: hatch(map, new_tone, px_per_mm), dots: dots(map, new_tone, px_per_mm), rules: rules(map, px_per_mm) }
    }

    /// Strokes both ways over everything that a fixed resist does not cover.
    pub(super) fn of_lift(zones: &Plane<u8>, px_per_mm: f64) -> Self {
        let open = zones.map(|&zone| if zone == RESIST { 1 } else { 0 });
        let width = open.width() as f64;
        let mut strokes = hatch(&open, 0, px_per_mm);
        let mirrored = hatch(&open.mirrored(), 0, px_per_mm);
        strokes.extend(mirrored.into_iter().map(|stroke| stroke.map(|(x, y)| (width - x, y))));
        Self { strokes, dots: Vec::new(), rules: rules(zones, px_per_mm) }
    }
}

/// Pixels `(sum - y, y)` for y in `from..=to`: a piece of a diagonal, all in one island.
#[derive(Clone, Copy)]
struct Run {
    island: u32,
    sum: usize,
    from: usize,
    to: usize,
}

impl Run {
    fn pixels(&self) -> usize {
        self.to - self.from + 1
    }

    /// From lower left to upper right, corner to corner of its pixels.
    fn stroke(&self) -> [RasterPoint; 2] {
        let x = |y: usize| (self.sum - y) as f64;
        [(x(self.to), self.to as f64 + 1.0), (x(self.from) + 1.0, self.from as f64)]
    }
}

/// All runs of one diagonal within rows `rows`.
fn runs(pieces: &Pieces, sum: usize, columns: std::ops::Range<usize>, rows: std::ops::Range<usize>, mut each: impl FnMut(Run)) {
    let first = rows.start.max((sum + 1).saturating_sub(columns.end));
    let last = rows.end.min((sum + 1).saturating_sub(columns.start));
    let mut run: Option<Run> = None;
    for y in first..last {
        let island = pieces.at(sum - y, y);
        match &mut run {
            Some(open) if open.island == island => open.to = y,
            _ => {
                if let Some(done) = run.take() {
                    each(done);
                }
                run = (island > 0).then_some(Run { island, sum, from: y, to: y });
            }
        }
    }
    if let Some(done) = run {
        each(done);
    }
}

fn hatch(map: &Plane<u8>, new_tone: u8, px_per_mm: f64) -> Vec<[RasterPoint; 2]> {
    let pieces = Pieces::of(map, |tone| tone == new_tone);
    if pieces.count() == 0 {
        return Vec::new();
    }
    let (width, height) = (map.width(), map.height());
    let root2 = std::f64::consts::SQRT_2;
    let shortest = libm::ceil(SHORTEST / root2 * px_per_mm).max(1.0) as usize;
    let mut kept: Vec<Run> = Vec::new();
    for line in 0.. {
        let sum = libm::round(f64::from(line) * HATCH_PITCH * root2 * px_per_mm) as usize;
        if sum > width + height - 2 {
            break;
        }
        runs(&pieces, sum, 0..width, 0..height, |run| {
            if run.pixels() >= shortest {
                kept.push(run);
            }
        });
    }
    let mut cells = Cells::new(width, height, px_per_mm);
    for run in &kept {
        for y in run.from..=run.to {
            cells.mark(run.sum - y, y);
        }
    }
    cells.empty_ones(
        |x, y| pieces.at(x, y) > 0,
        |columns, rows| {
            let mut longest: Option<Run> = None;
            for sum in columns.start + rows.start..columns.end + rows.end - 1 {
                runs(&pieces, sum, columns.clone(), rows.clone(), |run| {
                    if longest.is_none_or(|best| run.pixels() > best.pixels()) {
                        longest = Some(run);
                    }
                });
            }
            kept.extend(longest.filter(|run| run.pixels() >= shortest));
        },
    );
    let mut strokes: Vec<[RasterPoint; 2]> = kept.iter().map(Run::stroke).collect();
    strokes.extend(second_strokes(&pieces, &kept, px_per_mm));
    strokes
}

/// Strokes for the islands that hold fewer than two.
fn second_strokes(pieces: &Pieces, kept: &[Run], px_per_mm: f64) -> Vec<[RasterPoint; 2]> {
    let mut had: Vec<Vec<usize>> = vec![Vec::new(); pieces.count() + 1];
    for run in kept {
        had[run.island as usize].push(run.sum);
    }
    let mut candidates: Vec<Vec<Run>> = vec![Vec::new(); pieces.count() + 1];
    // Only within the island's own bounds: along all diagonals of a large plate the cache is left at every step.
    for (island, bounds) in pieces.bounds(|island| had[island as usize].len() < 2) {
        let (columns, rows) = bounds;
        for sum in columns.start + rows.start..columns.end + rows.end - 1 {
            runs(pieces, sum, columns.clone(), rows.clone(), |run| {
                if run.island == island {
                    candidates[island as usize].push(run);
                }
            });
        }
    }
    let apart = APART * std::f64::consts::SQRT_2 * px_per_mm;
    let least = libm::ceil(SHORTEST / 2.0 / std::f64::consts::SQRT_2 * px_per_mm).max(2.0) as usize;
    let mut strokes = Vec::new();
    for (runs, had) in candidates.iter_mut().zip(&had) {
        // Longest first; of equal ones the first diagonal, so that equal maps give equal sheets.
        runs.sort_by_key(|run| (usize::MAX - run.pixels(), run.sum, run.from));
        let Some(&first) = runs.first() else { continue };
        runs.truncate(MOST_CANDIDATES);
        let far = |one: usize, other: usize| one.abs_diff(other) as f64 >= apart;
        let long: Vec<&Run> = runs.iter().filter(|run| run.pixels() >= least).collect();
        if let [sum] = had[..] {
            match long.iter().find(|run| far(run.sum, sum)) {
                Some(run) => strokes.push(run.stroke()),
                None => strokes.extend(beside(first, px_per_mm)),
            }
            continue;
        }
        // The pair whose shorter stroke is longest; the runs stand longest first, so the second of a pair decides.
        let pair =
            long.iter().enumerate().find_map(|(at, run)| long[..at].iter().find(|other| far(run.sum, other.sum)).map(|other| [other, run]));
        match pair {
            Some(pair) => strokes.extend(pair.map(|run| run.stroke())),
            // Too small for two strokes inside: two short ones side by side over its middle, however far they reach beyond it.
            None => strokes.extend(beside(first, px_per_mm)),
        }
    }
    strokes
}

/// Two short strokes side by side over the middle of a run.
fn beside(run: Run, px_per_mm: f64) -> [[RasterPoint; 2]; 2] {
    let [from, to] = run.stroke();
    let (x, y) = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
    let half = SHORTEST / 2.0 / std::f64::consts::SQRT_2 * px_per_mm;
    let aside = APART / 2.0 / std::f64::consts::SQRT_2 * px_per_mm;
    [-aside, aside].map(|by| [(x + by - half, y + by + half), (x + by + half, y + by - half)])
}

/// Rules over a fixed resist: at their pitch, and through the middle of what the pitch would leave white.
fn rules(map: &Plane<u8>, px_per_mm: f64) -> Vec<[RasterPoint; 2]> {
    if !map.data().contains(&RESIST) {
        return Vec::new();
    }
    let is = |x: usize, y: usize| map.at(x, y) == RESIST;
    let mut cells = Cells::new(map.width(), map.height(), px_per_mm);
    let mut rules = Vec::new();
    let mut next = 0.5;
    for y in 0..map.height() {
        if y as f64 + 1.0 <= next * RULE_PITCH * px_per_mm {
            continue;
        }
        next += 1.0;
        each_run(
            0..map.width(),
            |x| is(x, y),
            |run| {
                run.clone().for_each(|x| cells.mark(x, y));
                rules.push([(run.start as f64, y as f64 + 0.5), (run.end as f64, y as f64 + 0.5)]);
            },
        );
    }
    cells.empty_ones(is, |columns, rows| {
        let mut longest: Option<(usize, std::ops::Range<usize>)> = None;
        for y in rows {
            each_run(
                columns.clone(),
                |x| is(x, y),
                |run| {
                    if longest.as_ref().is_none_or(|(_, best)| run.len() > best.len()) {
                        longest = Some((y, run));
                    }
                },
            );
        }
        rules.extend(longest.map(|(y, run)| [(run.start as f64, y as f64 + 0.5), (run.end as f64, y as f64 + 0.5)]));
    });
    rules
}

/// Calls `run` for every stretch for which `is` is true.
fn each_run(columns: std::ops::Range<usize>, is: impl Fn(usize) -> bool, mut run: impl FnMut(std::ops::Range<usize>)) {
    let mut start = columns.start;
    for x in columns.clone() {
        if !is(x) {
            if start < x {
                run(start..x);
            }
            start = x + 1;
        }
    }
    if start < columns.end {
        run(start..columns.end);
    }
}

fn dots(map: &Plane<u8>, new_tone: u8, px_per_mm: f64) -> Vec<RasterPoint> {
    let pieces = Pieces::of(map, |tone| tone < new_tone);
    if pieces.count() == 0 {
        return Vec::new();
    }
    let (width, height) = (map.width(), map.height());
    let reach = libm::round((DOT / 2.0 + 0.05) * px_per_mm) as i64;
    let covered = |x: i64, y: i64| x >= 0 && y >= 0 && x < width as i64 && y < height as i64 && pieces.at(x as usize, y as usize) > 0;
    let clear = |x: usize, y: usize| {
        let (x, y) = (x as i64, y as i64);
        covered(x, y) && [(reach, 0), (-reach, 0), (0, reach), (0, -reach)].iter().all(|(dx, dy)| covered(x + dx, y + dy))
    };
    let mut kept: Vec<(usize, usize)> = Vec::new();
    let mut cells = Cells::new(width, height, px_per_mm);
    for row in 0.. {
        let y = libm::floor((f64::from(row) + 0.5) * DOT_PITCH * px_per_mm) as usize;
        if y >= height {
            break;
        }
        for column in 0.. {
            let x = libm::floor((f64::from(column) + if row % 2 == 0 { 0.25 } else { 0.75 }) * DOT_PITCH * px_per_mm) as usize;
            if x >= width {
                break;
            }
            if clear(x, y) {
                kept.push((x, y));
                cells.mark(x, y);
            }
        }
    }
    let grid = kept.len();
    cells.empty_ones(
        |x, y| pieces.at(x, y) > 0,
        |columns, rows| {
            let best = rows
                .flat_map(|y| columns.clone().map(move |x| (x, y)))
                .filter(|&(x, y)| pieces.at(x, y) > 0)
                .max_by_key(|&(x, y)| (room(&covered, x, y, 2 * reach), usize::MAX - y, usize::MAX - x));
            kept.extend(best);
        },
    );
    // A dot of the grid just across a square's side serves as well as a new one.
    let near = DOT_PITCH / 2.0 * px_per_mm;
    // Compared by squares, which every target has alike.
    let far = |a: usize, b: usize| (a.abs_diff(b) as f64) * (a.abs_diff(b) as f64);
    let mut grid_dots = vec![Vec::new(); cells.count()];
    for &(x, y) in &kept[..grid] {
        grid_dots[cells.index(x, y)].push((x, y));
    }
    let extra = kept.split_off(grid);
    kept.extend(
        extra
            .into_iter()
            .filter(|&(x, y)| cells.around(x, y).all(|cell| grid_dots[cell].iter().all(|&(a, b)| far(a, x) + far(b, y) >= near * near))),
    );
    kept.extend(dots_for_the_rest(&pieces, &kept));
    kept.into_iter().map(|(x, y)| (x as f64 + 0.5, y as f64 + 0.5)).collect()
}

/// How far one can go up, down, left and right and stay covered, the least of the four, up to `most` pixels.
fn room(covered: &impl Fn(i64, i64) -> bool, x: usize, y: usize, most: i64) -> i64 {
    let (x, y) = (x as i64, y as i64);
    (1..=most).take_while(|&by| covered(x + by, y) && covered(x - by, y) && covered(x, y + by) && covered(x, y - by)).count() as i64
}

/// A dot in the middle of the longest row of each piece that has none.
fn dots_for_the_rest(pieces: &Pieces, kept: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let mut longest: Vec<Option<(usize, usize, usize)>> = vec![Some((0, 0, 0)); pieces.count() + 1];
    longest[0] = None;
    for &(x, y) in kept {
        longest[pieces.at(x, y) as usize] = None;
    }
    for (y, row) in pieces.labels().rows().enumerate() {
        let mut from = 0;
        for run in row.chunk_by(|a, b| a == b) {
            if let Some((pixels, x_mid, y_mid)) = &mut longest[run[0] as usize]
                && run.len() > *pixels
            {
                (*pixels, *x_mid, *y_mid) = (run.len(), from + run.len() / 2, y);
            }
            from += run.len();
        }
    }
    longest.into_iter().flatten().map(|(_, x, y)| (x, y)).collect()
}

/// The raster cut into squares, each of which knows whether it holds a mark.
struct Cells {
    side: usize,
    across: usize,
    width: usize,
    height: usize,
    least: usize,
    marked: Vec<bool>,
}

impl Cells {
    fn new(width: usize, height: usize, px_per_mm: f64) -> Self {
        let side = libm::round(CELL * px_per_mm).max(1.0) as usize;
        let (across, down) = (width.div_ceil(side), height.div_ceil(side));
        let least = libm::ceil(LEAST_IN_CELL * px_per_mm * px_per_mm) as usize;
        Self { side, across, width, height, least, marked: vec![false; across * down] }
    }

    fn count(&self) -> usize {
        self.marked.len()
    }

    fn index(&self, x: usize, y: usize) -> usize {
        y / self.side * self.across + x / self.side
    }

    fn mark(&mut self, x: usize, y: usize) {
        let index = self.index(x, y);
        self.marked[index] = true;
    }

    /// The square of a pixel and those that touch it.
    fn around(&self, x: usize, y: usize) -> impl Iterator<Item = usize> {
        let (column, row) = (x / self.side, y / self.side);
        let (across, down) = (self.across, self.marked.len() / self.across);
        (row.saturating_sub(1)..(row + 2).min(down))
            .flat_map(move |row| (column.saturating_sub(1)..(column + 2).min(across)).map(move |column| row * across + column))
    }

    /// Calls `each` with the columns and rows of every square that holds no mark although enough of it is `within`.
    fn empty_ones(&self, within: impl Fn(usize, usize) -> bool, mut each: impl FnMut(std::ops::Range<usize>, std::ops::Range<usize>)) {
        for (index, _) in self.marked.iter().enumerate().filter(|(_, marked)| !**marked) {
            let (left, top) = (index % self.across * self.side, index / self.across * self.side);
            let (columns, rows) = (left..(left + self.side).min(self.width), top..(top + self.side).min(self.height));
            let held = rows.clone().map(|y| columns.clone().filter(|&x| within(x, y)).count()).sum::<usize>();
            if held >= self.least {
                each(columns, rows);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    /// Counted again, pixel by pixel: the strokes that cross each island, those that pass within reach of it, its largest square in
    /// pixels, and the dots on each piece covered before.
    struct Recount {
        crossing: Vec<usize>,
        near: Vec<usize>,
        square: Vec<usize>,
        dots: Vec<usize>,
    }

    fn recount(map: &Plane<u8>, new_tone: u8, px_per_mm: f64) -> Recount {
        let tints = Tints::of(map, new_tone, px_per_mm);
        let new = Pieces::of(map, |tone| tone == new_tone);
        let before = Pieces::of(map, |tone| tone < new_tone);
        let (mut crossing, mut near) = (vec![0; new.count()], vec![0; new.count()]);
        // The two strokes over a speck lie half of APART beside its middle.
        let reach = (APART * px_per_mm / 2.0).ceil() + 1.0;
        for [from, to] in &tints.strokes {
            let (mut crossed, mut neared) = (BTreeSet::new(), BTreeSet::new());
            let samples = ((to.0 - from.0) * 4.0).ceil() as usize;
            for sample in 1..samples {
                let along = sample as f64 / samples as f64;
                let (x, y) = (from.0 + (to.0 - from.0) * along, from.1 + (to.1 - from.1) * along);
                for y_by in [-reach, 0.0, reach] {
                    for x_by in [-reach, 0.0, reach] {
                        let (x, y) = (x + x_by, y + y_by);
                        if x < 0.0 || y < 0.0 || x >= map.width() as f64 || y >= map.height() as f64 {
                            continue;
                        }
                        let island = new.at(x as usize, y as usize);
                        neared.insert(island);
                        if x_by == 0.0 && y_by == 0.0 {
                            crossed.insert(island);
                        }
                    }
                }
            }
            crossed.into_iter().filter(|&island| island > 0).for_each(|island| crossing[island as usize - 1] += 1);
            neared.into_iter().filter(|&island| island > 0).for_each(|island| near[island as usize - 1] += 1);
        }
        let mut dots = vec![0; before.count()];
        for &(x, y) in &tints.dots {
            let piece = before.at(x as usize, y as usize);
            assert!(piece > 0, "a dot lies on what is covered before");
            dots[piece as usize - 1] += 1;
        }
        // Largest all-island square that ends at each pixel, by the usual recurrence.
        let mut square = vec![0; new.count()];
        let mut sides = Plane::filled(map.width(), map.height(), 0_usize);
        for y in 0..map.height() {
            for x in 0..map.width() {
                let island = new.at(x, y);
                if island == 0 {
                    continue;
                }
                let side = if x > 0 && y > 0 { sides.at(x - 1, y).min(sides.at(x, y - 1)).min(sides.at(x - 1, y - 1)) + 1 } else { 1 };
                sides.data_mut()[y * map.width() + x] = side;
                square[island as usize - 1] = square[island as usize - 1].max(side);
            }
        }
        Recount { crossing, near, square, dots }
    }

    fn blobs(width: usize, height: usize, seeds: &[(u8, u8, u8)]) -> Plane<u8> {
        Plane::from_fn(width, height, |x, y| {
            let far =
                |&(a, b, _): &(u8, u8, u8)| (usize::from(a) % width).abs_diff(x).pow(2) + (usize::from(b) % height).abs_diff(y).pow(2);
            seeds.iter().min_by_key(|seed| far(seed)).map_or(0, |seed| seed.2 % 4)
        })
    }

    proptest! {
        #[test]
        fn every_island_carries_its_marks(seeds in prop::collection::vec(any::<(u8, u8, u8)>(), 1..150), tone in 0_u8..4) {
            let recount = recount(&blobs(120, 90, &seeds), tone, 10.0);
            for (island, &count) in recount.crossing.iter().enumerate() {
                // An island that holds a square of 0.8 mm has room for two strokes inside.
                prop_assert!(count >= 2 || recount.square[island] < 8, "{count} strokes in a square of {}", recount.square[island]);
            }
            prop_assert!(recount.near.iter().all(|&count| count >= 2), "{:?}", recount.near);
            prop_assert!(recount.dots.iter().all(|&count| count >= 1), "{:?}", recount.dots);
        }

        #[test]
        fn specks_too(specks in prop::collection::vec((0_usize..60, 0_usize..60), 1..8)) {
            let map = Plane::from_fn(60, 60, |x, y| u8::from(!specks.contains(&(x, y))));
            let painted = recount(&map, 0, 10.0);
            prop_assert!(painted.near.iter().all(|&count| count >= 2));
            let covered = recount(&map, 1, 10.0);
            prop_assert!(covered.dots.iter().all(|&count| count >= 1));
        }
    }

    #[test]
    fn a_resist_is_ruled_and_a_lift_is_crossed_everywhere_else() {
        // Resist at the left and as a band 0.6 mm high between two rules; the rest is open.
        let map = Plane::from_fn(200, 150, |x, y| if x < 80 || (50..56).contains(&y) { RESIST } else { 1 });
        let tints = Tints::of(&map, 1, 10.0);
        assert!(tints.rules.iter().all(|[a, b]| a.1 == b.1 && (a.0 as usize..b.0 as usize).all(|x| map.at(x, a.1 as usize) == RESIST)));
        let in_band =
            tints.rules.iter().filter(|[a, b]| b.0 > 80.0 && (50.0..56.0).contains(&a.1)).map(|[a, b]| b.0 - a.0.max(80.0)).sum::<f64>();
        assert!(in_band >= 115.0, "{in_band} of 120 pixels");
        let lift = Tints::of_lift(&map, 10.0);
        assert_eq!(lift.rules, tints.rules);
        let rising = lift.strokes.iter().filter(|[from, to]| (from.0 - to.0) * (from.1 - to.1) < 0.0).count();
        assert!(rising > 5 && lift.strokes.len() - rising > 5);
        assert!(lift.strokes.iter().flatten().all(|&(x, _)| x >= 80.0));
    }

    #[test]
    fn bare_stays_white() {
        let map = Plane::from_fn(100, 100, |x, _| if x < 50 { 1 } else { 2 });
        let tints = Tints::of(&map, 1, 10.0);
        assert!(tints.dots.is_empty());
        assert!(tints.strokes.iter().flatten().all(|&(x, _)| x <= 50.0));
        // 5 × 10 mm at a pitch of 2 mm: the area of the hatch's strips is pitch times length.
        let length: f64 = tints.strokes.iter().map(|[a, b]| (a.0 - b.0).hypot(a.1 - b.1) / 10.0).sum();
        approx::assert_abs_diff_eq!(length * HATCH_PITCH, 50.0, epsilon = 3.0);
    }

    #[test]
    fn a_narrow_strip_along_the_hatch_is_not_left_white() {
        // 0.8 mm wide, rising at 45° between two hatch lines.
        let map = Plane::from_fn(400, 400, |x, y| if (405..=415).contains(&(x + y)) { 0 } else { 1 });
        let tints = Tints::of(&map, 0, 10.0);
        for tenth in 1..9 {
            let y = f64::from(tenth) * 40.0;
            assert!(tints.strokes.iter().any(|[from, to]| to.1 - 30.0 <= y && y <= from.1 + 30.0), "white at row {y}");
        }
        let map = map.map(|&tone| tone * 2);
        let tints = Tints::of(&map, 1, 10.0);
        for tenth in 1..9 {
            let y = f64::from(tenth) * 40.0;
            assert!(tints.dots.iter().any(|dot| (dot.1 - y).abs() <= 30.0), "white at row {y}");
        }
    }
}
