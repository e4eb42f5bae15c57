//! The maps of plates and papers under the pixels of a window.

use super::shares::Part;
use super::{Misfit, Pits};
use crate::affine::Affine;
use crate::plane::Plane;
use crate::proof::Window;
use crate::units::{PointMm, PxPerMm};

/// The tone of what lies off a plate's face.
pub(super) const OFF: u8 = u8::MAX;
/// A pixel on several tones.
pub(super) const MIXED: u8 = u8::MAX - 1;
/// Points along a side of a pixel that is looked into.
pub(super) const POINTS: usize = 8;
/// What floor and ceil forgive of rounding, map pixels.
const SLACK: f64 = 1e-7;

impl Misfit {
    /// Where a face of this width and height, mm, comes down. What is no number counts as none; growth is held to a half either way.
    pub(super) fn place(&self, width: f64, height: f64) -> Affine {
        let number = |value: f64| if value.is_finite() { value } else { 0.0 };
        let growth = |value: f64| 1.0 + number(value).clamp(-0.5, 0.5);
        let middle = PointMm { x: width / 2.0, y: height / 2.0 };
        let shift = PointMm { x: number(self.shift.x), y: number(self.shift.y) };
        Affine::new(middle, (growth(self.growth.0), growth(self.growth.1)), number(self.turn), shift)
    }
}

/// A map of a plate's face under the pixels of a window, row by row.
///
/// Where a window's pixel is no larger than the map's it is what lies under its middle, as in [`crate::proof::flat`]; a larger one is one
/// value where the whole of it is, else mixed, and is looked into by its points or its pieces.
pub(super) struct Beneath<'a, T> {
    map: &'a Plane<T>,
    place: Affine,
    resolution: f64,
    window: Window,
    /// The place on the map by the place in the window, in pixels: rows of what a column, a row and the corner give.
    through: [[f64; 3]; 2],
    /// Whether the window's pixels are larger than the map's.
    coarse: bool,
    /// The map's columns under each of the window's, first and one past the last; −1 and size for what lies off. Upright places only.
    columns: Vec<(i32, i32)>,
    /// The points of the window's columns by what lies under them, see [`Beneath::split`].
    across: Split,
    /// The same for the row at hand.
    upright: Split,
    split_row: Option<usize>,
    /// Where a turned and coarse window need look no further.
    calm: Option<Calm>,
    /// Each column of the map down the rows of `rows`.
    down: Vec<u8>,
    rows: Option<(i32, i32)>,
}

impl<'a, T: Copy> Beneath<'a, T> {
    pub(super) fn new(map: &'a Plane<T>, resolution: PxPerMm, place: Affine, window: &Window) -> Self {
        let resolution = resolution.0;
        let coarse = window.px_per_mm() * (1.0 + 1e-9) < resolution / place.growth();
        let mut beneath = Self {
            map,
            place,
            resolution,
            window: *window,
            through: [[0.0; 3]; 2],
            coarse,
            columns: vec![],
            across: Split::default(),
            upright: Split::default(),
            split_row: None,
            calm: None,
            down: vec![],
            rows: None,
        };
        let (width, height) = (window.width() as f64, window.height() as f64);
        let (corner, right, bottom) = (beneath.at(0.0, 0.0), beneath.at(width, 0.0), beneath.at(0.0, height));
        let row = |corner: f64, right: f64, bottom: f64| [(right - corner) / width, (bottom - corner) / height, corner];
        beneath.through = [row(corner.0, right.0, bottom.0), row(corner.1, right.1, bottom.1)];
        if place.upright() {
            beneath.columns = (0..window.width()).map(|x| beneath.span(x, true)).collect();
        }
        beneath
    }

    /// The place on the map of a point of the window, in its pixels from its corner.
    #[inline]
    fn at(&self, x: f64, y: f64) -> (f64, f64) {
        let origin = self.window.origin();
        let (x, y) = self.place.back(origin.x + x / self.window.px_per_mm(), origin.y + y / self.window.px_per_mm());
        (x * self.resolution, y * self.resolution)
    }

    /// Where columns (rows) of the window begin on the map, in its columns (rows). Upright places only.
    fn edge(&self, at: f64, across: bool) -> f64 {
        if across { self.at(at, 0.0).0 } else { self.at(0.0, at).1 }
    }

    /// The map's columns (or rows) under a column (row) of the window, for upright places; −1 and the size stand for off.
    fn span(&self, at: usize, across: bool) -> (i32, i32) {
        let size = if across { self.map.width() } else { self.map.height() } as i32;
        if self.coarse {
            let first = libm::floor(self.edge(at as f64, across) + SLACK) as i32;
            let end = (libm::ceil(self.edge((at + 1) as f64, across) - SLACK) as i32).max(first.saturating_add(1));
            (first.clamp(-1, size), end.clamp(0, size + 1))
        } else {
            let first = (libm::floor(self.edge(at as f64 + 0.5, across)) as i32).clamp(-1, size);
            (first, first + 1)
        }
    }

    /// What lies under a point of the window, in its pixels from its corner; none off the face.
    #[inline]
    pub(super) fn value(&self, x: f64, y: f64) -> Option<T> {
        let [u, v] = self.passed(x, y);
        let inside = u >= 0.0 && v >= 0.0 && u < self.map.width() as f64 && v < self.map.height() as f64;
        // A cast cuts, which is the floor of what is not negative.
        inside.then(|| self.map.at(u as usize, v as usize))
    }

    /// As [`Beneath::at`], to rounding, without a division.
    #[inline]
    fn passed(&self, x: f64, y: f64) -> [f64; 2] {
        self.through.map(|[column, row, corner]| column * x + row * y + corner)
    }

    /// What lies under the middles of a row of pixels; off the face what is nearest on it, for a pixel across its rim has a part on it.
    pub(super) fn middles(&self, y: usize, out: &mut [T]) {
        let (right, bottom) = (self.map.width() - 1, self.map.height() - 1);
        for (x, value) in out.iter_mut().enumerate() {
            let [u, v] = self.passed(x as f64 + 0.5, y as f64 + 0.5);
            *value = self.map.at((u.max(0.0) as usize).min(right), (v.max(0.0) as usize).min(bottom));
        }
    }
}

impl Beneath<'_, u8> {
    /// Where the map is one tone about its pixels for as far as a turned pixel of the window reaches; none where that is far.
    fn calmed(&self) -> Option<Calm> {
        let reach = self.through.map(|[column, row, _]| 0.5 * (column.abs() + row.abs()));
        let reach = libm::ceil(reach[0].max(reach[1]) + SLACK);
        (self.coarse && !self.place.upright() && reach <= MOST_REACH).then(|| Calm::of(self.map, reach as usize))
    }

    /// One row of the window: values, [`OFF`] or [`MIXED`].
    pub(super) fn row(&mut self, y: usize, out: &mut [u8]) {
        if !self.place.upright() {
            if self.calm.is_none() {
                self.calm = self.calmed();
            }
            for (x, seen) in out.iter_mut().enumerate() {
                *seen = self.turned(x, y);
            }
            return;
        }
        let rows = self.span(y, false);
        let (width, height) = (self.map.width() as i32, self.map.height() as i32);
        let (first, end) = (rows.0.max(0), rows.1.min(height));
        if first >= end {
            out.fill(OFF);
            return;
        }
        if self.rows != Some(rows) {
            self.rows = Some(rows);
            self.down.clear();
            let top = self.map.row(first as usize);
            if rows.0 < 0 || rows.1 > height {
                self.down.resize(top.len(), MIXED);
            } else {
                self.down.extend(top.iter().map(|value| tone(*value)));
            }
            for y in first + 1..end {
                for ((seen, top), value) in self.down.iter_mut().zip(top).zip(self.map.row(y as usize)) {
                    *seen = if top == value { *seen } else { MIXED };
                }
            }
        }
        for (seen, &(from, to)) in out.iter_mut().zip(&self.columns) {
            let (first, end) = (from.max(0), to.min(width));
            *seen = if first >= end {
                OFF
            } else if from < 0 || to > width {
                MIXED
            } else {
                let one = self.down[first as usize];
                if self.down[first as usize + 1..end as usize].iter().all(|other| *other == one) { one } else { MIXED }
            };
        }
    }

    /// A pixel of a turned map: mixed where the box about it is.
    fn turned(&self, x: usize, y: usize) -> u8 {
        let (x, y) = (x as f64, y as f64);
        if !self.coarse {
            return self.tone(x + 0.5, y + 0.5);
        }
        if let Some(calm) = &self.calm {
            let [u, v] = self.passed(x + 0.5, y + 0.5);
            if u >= 0.0 && v >= 0.0 && calm.at(u as usize, v as usize) {
                return tone(self.map.at(u as usize, v as usize));
            }
        }
        let corners = [self.passed(x, y), self.passed(x + 1.0, y), self.passed(x, y + 1.0), self.passed(x + 1.0, y + 1.0)];
        let least = |axis: usize| libm::floor(corners.iter().map(|corner| corner[axis]).fold(f64::INFINITY, f64::min) + SLACK) as i32;
        let most = |axis: usize| libm::ceil(corners.iter().map(|corner| corner[axis]).fold(f64::NEG_INFINITY, f64::max) - SLACK) as i32;
        let (width, height) = (self.map.width() as i32, self.map.height() as i32);
        let (left, top, right, bottom) = (least(0), least(1), most(0), most(1));
        if right <= 0 || bottom <= 0 || left >= width || top >= height {
            return OFF;
        }
        if left < 0 || top < 0 || right > width || bottom > height {
            return MIXED;
        }
        let one = self.map.at(left as usize, top as usize);
        let all = (top..bottom).all(|y| self.map.row(y as usize)[left as usize..right as usize].iter().all(|value| *value == one));
        if all { tone(one) } else { MIXED }
    }

    /// The tone under a point of the window, in its pixels from its corner.
    #[inline]
    pub(super) fn tone(&self, x: f64, y: f64) -> u8 {
        self.value(x, y).map_or(OFF, tone)
    }

    /// Whether rows stay rows, so that a pixel holds whole columns and rows of the map.
    pub(super) fn is_upright(&self) -> bool {
        self.place.upright()
    }

    /// The cells, `per` to a map pixel's side, under a column (row) of the window that lies on the face: the nearest whole ones.
    pub(super) fn cells(&self, at: usize, across: bool, per: usize) -> (usize, usize) {
        let size = per * if across { self.map.width() } else { self.map.height() };
        let (from, to) = if self.coarse {
            let cell = |edge: usize| libm::round(self.edge(edge as f64, across) * per as f64).clamp(0.0, size as f64) as usize;
            (cell(at), cell(at + 1))
        } else {
            let first = self.span(at, across).0.max(0) as usize;
            (first * per, (first + 1) * per)
        };
        let from = from.min(size.saturating_sub(1));
        (from, to.clamp(from + 1, size.max(1)))
    }

    /// The columns (rows) of the map on the face under one of the window's: which of its points and what share of it each has.
    fn split(&self, at: usize, across: bool, split: &mut Split) {
        let size = if across { self.map.width() } else { self.map.height() } as i32;
        let (first, end) = self.span(at, across);
        let (from, to) = (self.edge(at as f64, across), self.edge((at + 1) as f64, across));
        let points: [i32; POINTS] = std::array::from_fn(|k| libm::floor(from + (to - from) * (k as f64 + 0.5) / POINTS as f64) as i32);
        for line in first.max(0)..end.min(size) {
            let share = (to.min(f64::from(line) + 1.0) - from.max(f64::from(line))).max(0.0) / (to - from);
            let mask = points.iter().enumerate().fold(0, |mask, (k, &point)| mask | u8::from(point == line) << k);
            split.cells.push((line as u32, mask, share as f32));
        }
        split.ends.push(split.cells.len() as u32);
    }

    /// Fills `found` with what lies in a mixed pixel: each tone once, with its points, its area, and the share of pits there, of
    /// 255. Areas are exact, slivers that have no point as well; those of a turned map are by its points.
    pub(super) fn parts(&mut self, x: usize, y: usize, pits: Option<&Pits>, found: &mut Vec<Part>) {
        found.clear();
        let mut sums: [f32; POINTS * POINTS] = [0.0; POINTS * POINTS];
        let mut add = |tone: u8, points: u64, area: f32, pits: u32| {
            let at = found.iter().position(|part: &Part| part.tone == tone).unwrap_or_else(|| {
                found.push(Part { tone, pits: 0, area: 0.0, points: 0 });
                found.len() - 1
            });
            found[at].points |= points;
            found[at].area += area;
            sums[at % (POINTS * POINTS)] += pits as f32 * area;
        };
        if self.place.upright() {
            if self.across.ends.is_empty() {
                let mut split = Split::default();
                (0..self.window.width()).for_each(|x| self.split(x, true, &mut split));
                self.across = split;
            }
            if self.split_row != Some(y) {
                let mut split = std::mem::take(&mut self.upright);
                split.cells.clear();
                split.ends.clear();
                self.split(y, false, &mut split);
                self.upright = split;
                self.split_row = Some(y);
            }
            let (mut points_off, mut area_off) = (u64::MAX, 1.0);
            for &(row, rows, tall) in &self.upright.cells {
                // Row k of points is byte k of the mask.
                let spread = |nibble: u8| (u64::from(nibble) * 0x0020_4081) & 0x0101_0101;
                let rows = spread(rows & 15) | spread(rows >> 4) << 32;
                let tones = self.map.row(row as usize);
                for &(column, columns, wide) in self.across.of(x) {
                    let (points, area) = (rows * u64::from(columns), tall * wide);
                    add(tone(tones[column as usize]), points, area, pits.map_or(0, |pits| pits.under(column as usize, row as usize)));
                    points_off &= !points;
                    area_off -= area;
                }
            }
            if points_off != 0 || area_off > 1e-5 {
                add(OFF, points_off, area_off, 0);
            }
        } else {
            let at = |k: usize| (k as f64 + 0.5) / POINTS as f64;
            let (width, height) = (self.map.width() as f64, self.map.height() as f64);
            let area = 1.0 / (POINTS * POINTS) as f32;
            for point in 0..POINTS * POINTS {
                let [u, v] = self.passed(x as f64 + at(point % POINTS), y as f64 + at(point / POINTS));
                if u >= 0.0 && v >= 0.0 && u < width && v < height {
                    let (u, v) = (u as usize, v as usize);
                    add(tone(self.map.at(u, v)), 1 << point, area, pits.map_or(0, |pits| pits.under(u, v)));
                } else {
                    add(OFF, 1 << point, area, 0);
                }
            }
        }
        if pits.is_some() {
            for (part, sum) in found.iter_mut().zip(sums) {
                part.pits = (sum / part.area.max(f32::MIN_POSITIVE) * (255.0 / 64.0) + 0.5) as u8;
            }
        }
    }

    /// A turned pixel of one tone: the mean of the `side` × `side` cells about what is under its middle, of 255; where it is no larger than
    /// the map's, of the map's pixel that its tone is taken from.
    pub(super) fn pits(&self, x: usize, y: usize, side: usize, pits: &Pits) -> u8 {
        if !self.coarse {
            let [u, v] = self.passed(x as f64 + 0.5, y as f64 + 0.5);
            let (u, v) = ((u.max(0.0) as usize).min(self.map.width() - 1), (v.max(0.0) as usize).min(self.map.height() - 1));
            return ((pits.under(u, v) * 255 + 32) / 64) as u8;
        }
        let [u, v] = self.passed(x as f64 + 0.5, y as f64 + 0.5).map(|place| place * pits.per as f64 - side as f64 / 2.0 + 0.5);
        let (width, height) = (pits.plane.width(), pits.plane.height());
        let from = |place: f64, size: usize| (place.max(0.0) as usize).min(size.saturating_sub(side));
        let (u, v) = (from(u, width), from(v, height));
        let row = |y: usize| pits.plane.row(y)[u..(u + side).min(width)].iter().map(|&cell| u32::from(cell)).sum::<u32>();
        let sum: u32 = (v..(v + side).min(height)).map(row).sum();
        let all = ((side * side) as u32 * pits.points).max(1);
        ((sum * 255 + all / 2) / all).min(255) as u8
    }
}

/// The furthest that a map is looked round for one tone, pixels.
const MOST_REACH: f64 = 8.0;

/// Which pixels of a map have but one tone about them.
struct Calm {
    reach: usize,
    /// 1 where the square of 2 · reach + 1 pixels to the right of and below a pixel, itself among them, is one tone.
    squares: Vec<u8>,
    width: usize,
}

impl Calm {
    fn of(map: &Plane<u8>, reach: usize) -> Self {
        let (width, height, side) = (map.width(), map.height(), 2 * reach);
        let mut squares = vec![0; width * height];
        if width <= side || height <= side {
            return Self { reach, width, squares };
        }
        let length = width - side;
        let mut alike = vec![0u8; width];
        // Of the last rows, the newest last: whether the tone goes on to the right, and down to the next row as well.
        let mut right: Vec<Vec<u8>> = vec![vec![0; length]; side + 1];
        let mut on: Vec<Vec<u8>> = vec![vec![0; length]; side + 1];
        for y in 0..height {
            let row = map.row(y);
            alike.iter_mut().zip(row.windows(2)).for_each(|(alike, pair)| *alike = u8::from(pair[0] == pair[1]));
            let (now, before) = (y % (side + 1), (y + side) % (side + 1));
            right[now].fill(1);
            for k in 0..side {
                right[now].iter_mut().zip(&alike[k..]).for_each(|(right, alike)| *right &= alike);
            }
            if y > 0 {
                let above = map.row(y - 1);
                for (((on, right), above), here) in on[before].iter_mut().zip(&right[before]).zip(above).zip(row) {
                    *on = right & u8::from(above == here);
                }
            }
            if y >= side {
                let out = &mut squares[(y - side) * width..][..length];
                out.copy_from_slice(&right[now]);
                for k in 1..=side {
                    let of = (y - k) % (side + 1);
                    out.iter_mut().zip(&on[of]).for_each(|(out, on)| *out &= on);
                }
            }
        }
        Self { reach, width, squares }
    }

    #[inline]
    fn at(&self, x: usize, y: usize) -> bool {
        let (Some(x), Some(y)) = (x.checked_sub(self.reach), y.checked_sub(self.reach)) else { return false };
        x < self.width && self.squares.get(y * self.width + x) == Some(&1)
    }
}

/// What columns or rows of a map lie under each of a window's, with the points and the share of it that they have, and where each ends.
#[derive(Default)]
struct Split {
    cells: Vec<(u32, u8, f32)>,
    ends: Vec<u32>,
}

impl Split {
    fn of(&self, at: usize) -> &[(u32, u8, f32)] {
        let from = at.checked_sub(1).map_or(0, |before| self.ends[before] as usize);
        &self.cells[from..self.ends[at] as usize]
    }
}

/// A map's value as a tone: never one of the two that mean something else.
#[inline]
pub(super) fn tone(value: u8) -> u8 {
    value.min(MIXED - 1)
}

/// Where the run of equal values that begins at `from` ends, at `end` at the latest.
#[inline]
pub(super) fn run<T: Copy + PartialEq>(values: &[T], from: usize, end: usize) -> usize {
    let Some((first, rest)) = values[from..end].split_first() else { return end };
    rest.iter().position(|value| value != first).map_or(end, |at| from + 1 + at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn what_is_not_mixed_is_one_tone_all_over(
            x in -4.0..3.0f64, y in -4.0..3.0f64, px_per_mm in 0.7..25.0f64, turn in prop_oneof![Just(0.0), -9.0..9.0f64], growth in -0.03..0.03f64, shift in -1.0..1.0f64, seed in any::<u32>(),
        ) {
            // Blots of some map pixels, 8 × 7 mm at 10 px/mm.
            let map = Plane::from_fn(80, 70, |x, y| ((x as u32 / 9).wrapping_mul(2_654_435_761) ^ (y as u32 / 7).wrapping_mul(seed | 1)).to_le_bytes()[3] % 5);
            let misfit = Misfit { shift: PointMm { x: shift, y: -shift }, growth: (growth, -growth), turn };
            let window = Window::new(PointMm { x, y }, px_per_mm, 30, 30).unwrap();
            let mut beneath = Beneath::new(&map, PxPerMm(10.0), misfit.place(8.0, 7.0), &window);
            let mut row = vec![0; 30];
            let mut found = vec![];
            for j in 0..30 {
                beneath.row(j, &mut row);
                for (i, &seen) in row.iter().enumerate() {
                    if !beneath.coarse {
                        prop_assert_eq!(seen, beneath.tone(i as f64 + 0.5, j as f64 + 0.5));
                    } else if seen != MIXED {
                        for k in 0..121 {
                            let at = |k: usize| 0.001 + 0.998 * k as f64 / 10.0;
                            prop_assert_eq!(seen, beneath.tone(i as f64 + at(k % 11), j as f64 + at(k / 11)));
                        }
                    } else {
                        beneath.parts(i, j, None, &mut found);
                        prop_assert_eq!(found.iter().fold(0, |all, part| all ^ part.points), u64::MAX);
                        // Each point is the tone under it.
                        for part in &found {
                            for point in (0..64).filter(|point| part.points >> point & 1 == 1) {
                                let at = |k: usize| (k as f64 + 0.5) / 8.0;
                                prop_assert_eq!(part.tone, beneath.tone(i as f64 + at(point % 8), j as f64 + at(point / 8)));
                            }
                        }
                        prop_assert!((found.iter().map(|part| part.area).sum::<f32>() - 1.0).abs() < 1e-4);
                    }
                }
            }
        }

        #[test]
        fn a_calm_pixel_has_one_tone_about_it(reach in 1..4usize, seed in any::<u32>(), width in 1..30usize, height in 1..30usize) {
            let map = Plane::from_fn(width, height, |x, y| ((x as u32 / 5).wrapping_mul(2_654_435_761) ^ (y as u32 / 6).wrapping_mul(seed | 1)).to_le_bytes()[3] % 3);
            let calm = Calm::of(&map, reach);
            for y in 0..height {
                for x in 0..width {
                    let inside = x >= reach && y >= reach && x + reach < width && y + reach < height;
                    let one = inside && (y - reach..=y + reach).all(|v| map.row(v)[x - reach..=x + reach].iter().all(|tone| *tone == map.at(x, y)));
                    prop_assert_eq!(calm.at(x, y), one, "{} {}", x, y);
                }
            }
        }

        #[test]
        fn runs_end_where_values_change(values in prop::collection::vec(0..3u8, 1..40), from in 0..40usize) {
            prop_assume!(from < values.len());
            let end = run(&values, from, values.len());
            prop_assert!(values[from..end].iter().all(|v| *v == values[from]));
            prop_assert!(end == values.len() || values[end] != values[from]);
        }
    }
}
