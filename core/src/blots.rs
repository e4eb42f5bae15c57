//! Blots: the 8-connected pieces of a bit plane, with their area, extent, length and width.
//!
//! Thin lines hang together over corners, so here a pixel has eight neighbours; regions and islands, which a brush must reach without
//! crossing an edge, are 4-connected and found by [`crate::components`].

use crate::bits::BitPlane;

/// A stretch of set pixels within one row.
#[derive(Clone, Copy, Debug)]
struct Run {
    start: u32,
    end: u32,
    /// Before flattening: a run of the same blot; after: the blot's number.
    blot: u32,
}

/// One piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blot {
    /// Pixels.
    pub area: u64,
    /// First column.
    pub left: usize,
    /// First row.
    pub top: usize,
    /// Column after the last.
    pub right: usize,
    /// Row after the last.
    pub foot: usize,
    /// Contour, pixels, holes included: Crofton's formula by the crossings of lines in four directions (Serra, Image Analysis and
    /// Mathematical Morphology, 1982, ch. IV). 5 % short along the axes, at most as much long between them.
    pub contour: f64,
}

impl Blot {
    /// Length of a stroke with this area and contour, pixels: of all rectangles the one with both. A disc of diameter d gives 0.8 d.
    #[must_use]
    pub fn length(&self) -> f64 {
        stroke_length(self.area as f64, self.contour, 1.0)
    }

    /// Width of that stroke, pixels.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.area as f64 / self.length()
    }
}

/// Length in all of `count` strokes that have an area and a contour together and are equally wide: `contour = 2 length + 2 count width`,
/// `area = length · width`.
#[must_use]
pub fn stroke_length(area: f64, contour: f64, count: f64) -> f64 {
    let half = contour / 2.0;
    ((half + libm::sqrt((half * half - 4.0 * count * area).max(0.0))) / 2.0).max(libm::sqrt(area.max(0.0)).min(half))
}

/// All pieces of a bit plane, as runs of pixels.
pub struct Blots {
    runs: Vec<Run>,
    /// First run of each row, and the count of runs at the end.
    rows: Vec<usize>,
    list: Vec<Blot>,
}

impl Blots {
    /// Finds the pieces; they are numbered in reading order of their first pixels.
    #[must_use]
    pub fn of(bits: &BitPlane) -> Self {
        let mut runs: Vec<Run> = Vec::new();
        let mut rows = Vec::with_capacity(bits.height() + 1);
        for y in 0..bits.height() {
            let first = runs.len();
            let above = rows.last().copied().unwrap_or(first);
            rows.push(first);
            stretches(bits.row(y), |start, end| {
                let blot = runs.len() as u32;
                runs.push(Run { start, end, blot });
            });
            join(&mut runs, above, first);
        }
        rows.push(runs.len());
        let mut list: Vec<Blot> = Vec::new();
        for y in 0..bits.height() {
            for i in rows[y]..rows[y + 1] {
                let run = runs[i];
                let (left, right) = (run.start as usize, run.end as usize);
                let blot = if run.blot as usize == i {
                    list.push(Blot { area: 0, left, top: y, right, foot: y + 1, contour: 0.0 });
                    list.len() as u32 - 1
                } else {
                    runs[run.blot as usize].blot
                };
                runs[i].blot = blot;
                let found = &mut list[blot as usize];
                found.area += (right - left) as u64;
                (found.left, found.right, found.foot) = (found.left.min(left), found.right.max(right), y + 1);
                found.contour += crossings(bits, y, left, right);
            }
        }
        Self { runs, rows, list }
    }

    /// The pieces.
    #[must_use]
    pub fn list(&self) -> &[Blot] {
        &self.list
    }

    /// The piece that a pixel belongs to, if any.
    #[must_use]
    pub fn at(&self, x: usize, y: usize) -> Option<usize> {
        let runs = &self.runs[*self.rows.get(y)?..*self.rows.get(y + 1)?];
        let after = runs.partition_point(|run| run.start as usize <= x);
        let run = runs.get(after.checked_sub(1)?)?;
        (x < run.end as usize).then_some(run.blot as usize)
    }

    /// Calls `stretch(row, start, end, blot)` for every stretch of every piece, rows from the top.
    pub fn each_stretch(&self, mut stretch: impl FnMut(usize, usize, usize, usize)) {
        for (y, pair) in self.rows.windows(2).enumerate() {
            for run in &self.runs[pair[0]..pair[1]] {
                stretch(y, run.start as usize, run.end as usize, run.blot as usize);
            }
        }
    }

    /// The pieces that pass, as bits again.
    #[must_use]
    pub fn kept(&self, width: usize, height: usize, pass: impl Fn(usize, &Blot) -> bool) -> BitPlane {
        let pass: Vec<bool> = self.list.iter().enumerate().map(|(i, blot)| pass(i, blot)).collect();
        let mut out = BitPlane::empty(width, height);
        self.each_stretch(|y, start, end, blot| {
            if pass[blot] {
                out.set_stretch(y, start, end);
            }
        });
        out
    }
}

/// Every set pixel grown to the disc x² + y² ≤ `square`.
#[must_use]
pub fn grown(bits: &BitPlane, square: u32) -> BitPlane {
    let most = libm::sqrt(f64::from(square)) as usize;
    let mut out = BitPlane::empty(bits.width(), bits.height());
    for y in 0..bits.height() {
        stretches(bits.row(y), |start, end| {
            for far in 0..=most {
                let half = libm::sqrt(f64::from(square) - (far * far) as f64) as usize;
                let (from, to) = ((start as usize).saturating_sub(half), (end as usize + half).min(bits.width()));
                for at in [y.checked_sub(far), Some(y + far)].into_iter().flatten().filter(|&at| at < bits.height()) {
                    out.set_stretch(at, from, to);
                }
            }
        });
    }
    out
}

/// Calls `stretch(start, end)` for every stretch of ones of a row.
fn stretches(row: &[u64], mut stretch: impl FnMut(u32, u32)) {
    let mut open: Option<u32> = None;
    for (i, &word) in row.iter().enumerate() {
        let base = i as u32 * 64;
        let mut at = 0;
        while at < 64 {
            let rest = word >> at;
            match open {
                None if rest == 0 => break,
                None => {
                    at += rest.trailing_zeros();
                    open = Some(base + at);
                }
                Some(start) => {
                    let ones = (!rest).trailing_zeros();
                    if at + ones >= 64 {
                        break;
                    }
                    at += ones;
                    stretch(start, base + at);
                    open = None;
                }
            }
        }
    }
    if let Some(start) = open {
        stretch(start, row.len() as u32 * 64);
    }
}

/// The bits of word `i` that lie from `start` up to `end`.
fn within(i: usize, start: usize, end: usize) -> u64 {
    let (from, to) = (start.saturating_sub(i * 64).min(64), end.saturating_sub(i * 64).min(64));
    let below = |n: usize| if n >= 64 { u64::MAX } else { (1u64 << n) - 1 };
    below(to) & !below(from)
}

/// Weighted crossings of one run's border by lines in four directions.
fn crossings(bits: &BitPlane, y: usize, left: usize, right: usize) -> f64 {
    // How many pixels of a stretch, given in columns that may reach one beyond, are not set.
    let clear = |y: Option<usize>, from: isize, to: isize| -> f64 {
        let length = (to - from) as f64;
        let Some(y) = y.filter(|&y| y < bits.height()) else { return length };
        let (from, to) = (from.max(0) as usize, to.clamp(0, bits.width() as isize) as usize);
        if from >= to {
            return length;
        }
        let row = bits.row(y);
        let words = row.iter().enumerate().take(to.div_ceil(64)).skip(from / 64);
        length - words.map(|(i, word)| f64::from((word & within(i, from, to)).count_ones())).sum::<f64>()
    };
    let (from, to) = (left as isize, right as isize);
    let (mut upright, mut slanted) = (0.0, 0.0);
    for beside in [y.checked_sub(1), Some(y + 1)] {
        upright += clear(beside, from, to);
        slanted += clear(beside, from - 1, to - 1) + clear(beside, from + 1, to + 1);
    }
    std::f64::consts::PI / 8.0 * (2.0 + upright + slanted * std::f64::consts::FRAC_1_SQRT_2)
}

/// Joins the runs of one row (from `first` on) with those of the row above (`above..first`) that they touch, corners included.
fn join(runs: &mut [Run], above: usize, first: usize) {
    let (mut up, mut here) = (above, first);
    while up < first && here < runs.len() {
        let (a, b) = (runs[up], runs[here]);
        if a.start <= b.end && b.start <= a.end {
            let (x, y) = (root(runs, up), root(runs, here));
            let (low, high) = (x.min(y), x.max(y));
            runs[high].blot = low as u32;
        }
        // A run that ends a pixel before the other's end may still touch the next one by a corner: keep the one that reaches farther.
        if a.end <= b.end {
            up += 1;
        } else {
            here += 1;
        }
    }
}

fn root(runs: &mut [Run], mut i: usize) -> usize {
    while runs[i].blot as usize != i {
        let over = runs[runs[i].blot as usize].blot;
        runs[i].blot = over;
        i = over as usize;
    }
    i
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn bits(width: usize, height: usize, mut on: impl FnMut(usize, usize) -> bool) -> BitPlane {
        let mut out = BitPlane::empty(width, height);
        for y in 0..height {
            for x in 0..width {
                if on(x, y) {
                    out.set_stretch(y, x, x + 1);
                }
            }
        }
        out
    }

    fn flood(bits: &BitPlane) -> Vec<u64> {
        let (width, height) = (bits.width(), bits.height());
        let mut seen = vec![false; width * height];
        let mut areas = Vec::new();
        for y in 0..height {
            for x in 0..width {
                if !bits.at(x, y) || seen[y * width + x] {
                    continue;
                }
                seen[y * width + x] = true;
                let (mut work, mut area) = (vec![(x, y)], 0);
                while let Some((x, y)) = work.pop() {
                    area += 1;
                    for v in y.saturating_sub(1)..=(y + 1).min(height - 1) {
                        for u in x.saturating_sub(1)..=(x + 1).min(width - 1) {
                            if bits.at(u, v) && !seen[v * width + u] {
                                seen[v * width + u] = true;
                                work.push((u, v));
                            }
                        }
                    }
                }
                areas.push(area);
            }
        }
        areas
    }

    proptest! {
        #[test]
        fn pieces_are_those_of_a_flood(width in 1usize..150, height in 1usize..20, seed in any::<u64>(), shift in 61u32..64) {
            let mut state = seed;
            let plane = bits(width, height, |_, _| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                state >> shift == 0
            });
            let blots = Blots::of(&plane);
            let ours: Vec<u64> = blots.list().iter().map(|blot| blot.area).collect();
            prop_assert_eq!(ours, flood(&plane));
            for y in 0..height {
                for x in 0..width {
                    prop_assert_eq!(blots.at(x, y).is_some(), plane.at(x, y));
                }
            }
            prop_assert_eq!(blots.kept(width, height, |_, _| true), plane);
        }
    }

    #[test]
    fn a_pixel_grows_to_a_disc_within_the_plane() {
        let plane = bits(100, 40, |x, y| (x, y) == (63, 20) || (x, y) == (99, 0));
        for square in [0, 1, 2, 4, 10, 30] {
            let disc = |x: usize, y: usize, u: usize, v: usize| (x.abs_diff(u).pow(2) + y.abs_diff(v).pow(2)) as u32 <= square;
            assert_eq!(grown(&plane, square), bits(100, 40, |x, y| disc(x, y, 63, 20) || disc(x, y, 99, 0)), "{square}");
        }
    }

    #[test]
    fn strokes_have_their_length_and_width() {
        // A stroke of 100 by 4 pixels at any angle; Crofton with four directions is within 6 %, and a jagged end adds a pixel.
        for degrees in [0.0, 10.0, 22.5, 30.0, 45.0, 70.0, 90.0f64] {
            let (sin, cos) = (libm::sin(degrees.to_radians()), libm::cos(degrees.to_radians()));
            let plane = bits(130, 130, |x, y| {
                let (dx, dy) = (x as f64 - 64.7, y as f64 - 64.6);
                (dx * cos + dy * sin).abs() <= 50.0 && (dy * cos - dx * sin).abs() <= 2.0
            });
            let blots = Blots::of(&plane);
            assert_eq!(blots.list().len(), 1);
            assert_relative_eq!(blots.list()[0].length(), 100.0, max_relative = 0.075);
            assert_relative_eq!(blots.list()[0].width(), 4.0, max_relative = 0.1);
        }
    }
}
