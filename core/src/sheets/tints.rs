//! Hatch and dots: how a sheet says PAINT NOW and COVERED BEFORE without grey.
//!
//! Both are worked out on the step map, pixel by pixel, instead of being clipped to outlines: so they can be counted again, and
//! white means bare, always. A regular hatch leaves small or narrow pieces empty; those get strokes and dots of their own. A fixed resist
//! gets rules across.

use super::pieces::{Pieces, Squares};
use super::seen::Seen;
use crate::aside::RESIST;
use std::ops::Range;

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
/// Least part of a square that is looked after, mm²; below it the edge lines nearly touch.
const LEAST_IN_SQUARE: f64 = 0.2;
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
    /// Strokes where the zones hold `new_tone`, dots where they hold a lighter one.
    pub(super) fn of(seen: &Seen, new_tone: u8) -> Self {
        Self { strokes: hatch(seen, new_tone), dots: dots(seen, new_tone), rules: rules(seen) }
    }

    /// Strokes both ways over everything that a fixed resist does not cover.
    pub(super) fn of_lift(seen: &Seen) -> Self {
        let open = seen.zones().map(|&zone| if zone == RESIST { 1 } else { 0 });
        let width = open.width() as f64;
        let mirrored = hatch(&Seen::of(open.mirrored(), seen.px_per_mm()), 0);
        let mut strokes = hatch(&Seen::of(open, seen.px_per_mm()), 0);
        strokes.extend(mirrored.into_iter().map(|stroke| stroke.map(|(x, y)| (width - x, y))));
        Self { strokes, dots: Vec::new(), rules: rules(seen) }
    }
}

/// Pixels `(sum - y, y)` for y in `from..=to`: a part of a diagonal, all in one piece.
#[derive(Clone, Copy)]
struct Run {
    piece: u32,
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

/// All runs of one diagonal through pieces of `zone` within some columns and rows.
fn runs(seen: &Seen, zone: u8, sum: usize, (columns, rows): (&Range<usize>, &Range<usize>), mut each: impl FnMut(Run)) {
    let first = rows.start.max((sum + 1).saturating_sub(columns.end));
    let last = rows.end.min((sum + 1).saturating_sub(columns.start));
    let (zones, pieces) = (seen.zones(), seen.pieces());
    let mut run: Option<Run> = None;
    for y in first..last {
        let piece = (zones.at(sum - y, y) == zone).then(|| pieces.at(sum - y, y));
        match &mut run {
            Some(open) if Some(open.piece) == piece => open.to = y,
            _ => {
                if let Some(done) = run.take() {
                    each(done);
                }
                run = piece.map(|piece| Run { piece, sum, from: y, to: y });
            }
        }
    }
    if let Some(done) = run {
        each(done);
    }
}

fn hatch(seen: &Seen, new_tone: u8) -> Vec<[RasterPoint; 2]> {
    let (pieces, px_per_mm) = (seen.pieces(), seen.px_per_mm());
    if !pieces.any(new_tone) {
        return Vec::new();
    }
    let (width, height) = (seen.zones().width(), seen.zones().height());
    let root2 = std::f64::consts::SQRT_2;
    let shortest = libm::ceil(SHORTEST / root2 * px_per_mm).max(1.0) as usize;
    let mut kept: Vec<Run> = Vec::new();
    for line in 0.. {
        let sum = libm::round(f64::from(line) * HATCH_PITCH * root2 * px_per_mm) as usize;
        if sum > width + height - 2 {
            break;
        }
        runs(seen, new_tone, sum, (&(0..width), &(0..height)), |run| {
            if run.pixels() >= shortest {
                kept.push(run);
            }
        });
    }
    let mut marked = Marked::none(pieces.squares());
    for run in &kept {
        for y in run.from..=run.to {
            marked.mark(run.sum - y, y);
        }
    }
    for (columns, rows) in marked.white(pieces, px_per_mm, |zone| zone == new_tone) {
        let mut longest: Option<Run> = None;
        for sum in columns.start + rows.start..columns.end + rows.end - 1 {
            runs(seen, new_tone, sum, (&columns, &rows), |run| {
                if longest.is_none_or(|best| run.pixels() > best.pixels()) {
                    longest = Some(run);
                }
            });
        }
        kept.extend(longest.filter(|run| run.pixels() >= shortest));
    }
    let mut strokes: Vec<[RasterPoint; 2]> = kept.iter().map(Run::stroke).collect();
    strokes.extend(second_strokes(seen, new_tone, &kept));
    strokes
}

/// Strokes for the islands that hold fewer than two.
fn second_strokes(seen: &Seen, new_tone: u8, kept: &[Run]) -> Vec<[RasterPoint; 2]> {
    let (list, px_per_mm) = (seen.pieces().list(), seen.px_per_mm());
    let mut had: Vec<Vec<usize>> = vec![Vec::new(); list.len()];
    for run in kept {
        had[run.piece as usize].push(run.sum);
    }
    let mut candidates: Vec<Vec<Run>> = vec![Vec::new(); list.len()];
    // Only within the island's own bounds: along all diagonals of a large plate the cache is left at every step.
    for (at, piece) in list.iter().enumerate().filter(|(at, piece)| piece.zone == new_tone && had[*at].len() < 2) {
        for sum in piece.columns.start + piece.rows.start..piece.columns.end + piece.rows.end - 1 {
            runs(seen, new_tone, sum, (&piece.columns, &piece.rows), |run| {
                if run.piece as usize == at {
                    candidates[at].push(run);
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
fn rules(seen: &Seen) -> Vec<[RasterPoint; 2]> {
    let (map, px_per_mm) = (seen.zones(), seen.px_per_mm());
    if !seen.pieces().any(RESIST) {
        return Vec::new();
    }
    let is = |x: usize, y: usize| map.at(x, y) == RESIST;
    let mut marked = Marked::none(seen.pieces().squares());
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
                run.clone().for_each(|x| marked.mark(x, y));
                rules.push([(run.start as f64, y as f64 + 0.5), (run.end as f64, y as f64 + 0.5)]);
            },
        );
    }
    for (columns, rows) in marked.white(seen.pieces(), px_per_mm, |zone| zone == RESIST) {
        let mut longest: Option<(usize, Range<usize>)> = None;
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
    }
    rules
}

/// Calls `run` for every stretch for which `is` is true.
fn each_run(columns: Range<usize>, is: impl Fn(usize) -> bool, mut run: impl FnMut(Range<usize>)) {
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

fn dots(seen: &Seen, new_tone: u8) -> Vec<RasterPoint> {
    let (map, pieces, px_per_mm) = (seen.zones(), seen.pieces(), seen.px_per_mm());
    if !pieces.list().iter().any(|piece| piece.zone < new_tone) {
        return Vec::new();
    }
    let (width, height) = (map.width(), map.height());
    let reach = libm::round((DOT / 2.0 + 0.05) * px_per_mm) as i64;
    let covered = |x: i64, y: i64| x >= 0 && y >= 0 && x < width as i64 && y < height as i64 && map.at(x as usize, y as usize) < new_tone;
    let clear = |x: usize, y: usize| {
        let (x, y) = (x as i64, y as i64);
        covered(x, y) && [(reach, 0), (-reach, 0), (0, reach), (0, -reach)].iter().all(|(dx, dy)| covered(x + dx, y + dy))
    };
    let mut kept: Vec<(usize, usize)> = Vec::new();
    let mut marked = Marked::none(pieces.squares());
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
                marked.mark(x, y);
            }
        }
    }
    let grid = kept.len();
    for (columns, rows) in marked.white(pieces, px_per_mm, |zone| zone < new_tone) {
        let best = rows
            .flat_map(|y| columns.clone().map(move |x| (x, y)))
            .filter(|&(x, y)| map.at(x, y) < new_tone)
            .max_by_key(|&(x, y)| (room(&covered, x, y, 2 * reach), usize::MAX - y, usize::MAX - x));
        kept.extend(best);
    }
    let squares = pieces.squares();
    // A dot of the grid just across a square's side serves as well as a new one.
    let near = DOT_PITCH / 2.0 * px_per_mm;
    // Compared by squares, which every target has alike.
    let far = |a: usize, b: usize| (a.abs_diff(b) as f64) * (a.abs_diff(b) as f64);
    let mut grid_dots = vec![Vec::new(); squares.count()];
    for &(x, y) in &kept[..grid] {
        grid_dots[squares.index(x, y)].push((x, y));
    }
    let extra = kept.split_off(grid);
    kept.extend(
        extra.into_iter().filter(|&(x, y)| {
            squares.around(x, y).all(|square| grid_dots[square].iter().all(|&(a, b)| far(a, x) + far(b, y) >= near * near))
        }),
    );
    kept.extend(dots_for_the_rest(pieces, new_tone, &kept));
    kept.into_iter().map(|(x, y)| (x as f64 + 0.5, y as f64 + 0.5)).collect()
}

/// How far one can go up, down, left and right and stay covered, the least of the four, up to `most` pixels.
fn room(covered: &impl Fn(i64, i64) -> bool, x: usize, y: usize, most: i64) -> i64 {
    let (x, y) = (x as i64, y as i64);
    (1..=most).take_while(|&by| covered(x + by, y) && covered(x - by, y) && covered(x, y + by) && covered(x, y - by)).count() as i64
}

/// A dot in the middle of the longest row of each part covered before that has none. A part may be of many tones: the row is of one.
fn dots_for_the_rest(pieces: &Pieces, new_tone: u8, kept: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let part_of = pieces.joined(|zone| zone < new_tone);
    let mut dotted = vec![false; part_of.len()];
    for &(x, y) in kept {
        dotted[part_of[pieces.at(x, y) as usize] as usize] = true;
    }
    let mut longest: Vec<Option<&(usize, Range<usize>)>> = vec![None; part_of.len()];
    for (piece, &part) in pieces.list().iter().zip(&part_of) {
        let best = &mut longest[part as usize];
        if piece.zone < new_tone && !dotted[part as usize] && best.is_none_or(|(_, best)| piece.longest.1.len() > best.len()) {
            *best = Some(&piece.longest);
        }
    }
    longest.into_iter().flatten().map(|(y, row)| (row.start + row.len() / 2, *y)).collect()
}

/// Which squares of a raster hold a mark.
struct Marked<'a> {
    squares: &'a Squares,
    marked: Vec<bool>,
}

impl<'a> Marked<'a> {
    fn none(squares: &'a Squares) -> Self {
        Self { squares, marked: vec![false; squares.count()] }
    }

    fn mark(&mut self, x: usize, y: usize) {
        self.marked[self.squares.index(x, y)] = true;
    }

    /// The columns and rows of every square that holds no mark although it holds enough of the zones that are `wanted`.
    fn white(&self, pieces: &Pieces, px_per_mm: f64, wanted: impl Fn(u8) -> bool) -> Vec<(Range<usize>, Range<usize>)> {
        let least = libm::ceil(LEAST_IN_SQUARE * px_per_mm * px_per_mm) as usize;
        let empty = self.marked.iter().enumerate().filter(|(_, marked)| !**marked).map(|(square, _)| square);
        empty.filter(|&square| pieces.held(square, &wanted) >= least).map(|square| self.squares.pixels(square)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::components::Components;
    use crate::plane::Plane;
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

    fn tinted(map: &Plane<u8>, new_tone: u8, px_per_mm: f64) -> Tints {
        Tints::of(&Seen::of(map.clone(), px_per_mm), new_tone)
    }

    /// The pieces of what is kept, numbered from 1, and how many there are.
    fn numbered(map: &Plane<u8>, keep: impl Fn(u8) -> bool) -> (Plane<u32>, usize) {
        let components = Components::of(&map.map(|&tone| u8::from(keep(tone))));
        let mut numbers = Plane::filled(map.width(), map.height(), 0);
        let mut last = 0;
        let of: Vec<u32> = components
            .values()
            .iter()
            .map(|&kept| {
                last += u32::from(kept);
                last * u32::from(kept)
            })
            .collect();
        components.each_stretch(|y, start, end, piece| numbers.data_mut()[y * map.width() + start..y * map.width() + end].fill(of[piece]));
        (numbers, last as usize)
    }

    fn recount(map: &Plane<u8>, new_tone: u8, px_per_mm: f64) -> Recount {
        let tints = tinted(map, new_tone, px_per_mm);
        let (new, new_count) = numbered(map, |tone| tone == new_tone);
        let (before, before_count) = numbered(map, |tone| tone < new_tone);
        let (mut crossing, mut near) = (vec![0; new_count], vec![0; new_count]);
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
        let mut dots = vec![0; before_count];
        for &(x, y) in &tints.dots {
            let piece = before.at(x as usize, y as usize);
            assert!(piece > 0, "a dot lies on what is covered before");
            dots[piece as usize - 1] += 1;
        }
        // Largest all-island square that ends at each pixel, by the usual recurrence.
        let mut square = vec![0; new_count];
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
        let tints = tinted(&map, 1, 10.0);
        assert!(tints.rules.iter().all(|[a, b]| a.1 == b.1 && (a.0 as usize..b.0 as usize).all(|x| map.at(x, a.1 as usize) == RESIST)));
        let in_band =
            tints.rules.iter().filter(|[a, b]| b.0 > 80.0 && (50.0..56.0).contains(&a.1)).map(|[a, b]| b.0 - a.0.max(80.0)).sum::<f64>();
        assert!(in_band >= 115.0, "{in_band} of 120 pixels");
        let lift = Tints::of_lift(&Seen::of(map.clone(), 10.0));
        assert_eq!(lift.rules, tints.rules);
        let rising = lift.strokes.iter().filter(|[from, to]| (from.0 - to.0) * (from.1 - to.1) < 0.0).count();
        assert!(rising > 5 && lift.strokes.len() - rising > 5);
        assert!(lift.strokes.iter().flatten().all(|&(x, _)| x >= 80.0));
    }

    #[test]
    fn bare_stays_white() {
        let map = Plane::from_fn(100, 100, |x, _| if x < 50 { 1 } else { 2 });
        let tints = tinted(&map, 1, 10.0);
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
        let tints = tinted(&map, 0, 10.0);
        for tenth in 1..9 {
            let y = f64::from(tenth) * 40.0;
            assert!(tints.strokes.iter().any(|[from, to]| to.1 - 30.0 <= y && y <= from.1 + 30.0), "white at row {y}");
        }
        let map = map.map(|&tone| tone * 2);
        let tints = tinted(&map, 1, 10.0);
        for tenth in 1..9 {
            let y = f64::from(tenth) * 40.0;
            assert!(tints.dots.iter().any(|dot| (dot.1 - y).abs() <= 30.0), "white at row {y}");
        }
    }
}
