//! The maps of plates and papers under the pixels of a window.

use super::Misfit;
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
    /// Each column of the map down the rows of `rows`.
    down: Vec<u8>,
    rows: Option<(i32, i32)>,
}

impl<'a, T: Copy> Beneath<'a, T> {
    pub(super) fn new(map: &'a Plane<T>, resolution: PxPerMm, place: Affine, window: &Window) -> Self {
        let resolution = resolution.0;
        let coarse = window.px_per_mm() * (1.0 + 1e-9) < resolution / place.growth();
        let mut beneath =
            Self { map, place, resolution, window: *window, through: [[0.0; 3]; 2], coarse, columns: vec![], down: vec![], rows: None };
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

    /// Where the map's columns (or rows) part a column (row) of the window: within 0..1 of it. Upright places only; else none.
    pub(super) fn cuts(&self, at: usize, across: bool, cuts: &mut Vec<f64>) {
        if !self.coarse || !self.place.upright() {
            return;
        }
        let (first, end) = self.span(at, across);
        let (from, to) = (self.edge(at as f64, across), self.edge((at + 1) as f64, across));
        cuts.extend((first + 1..end).map(|line| (f64::from(line) - from) / (to - from)).filter(|cut| *cut > SLACK && *cut < 1.0 - SLACK));
    }

    /// What lies under the middles of a row of pixels; the first of all off the face.
    pub(super) fn middles(&self, y: usize, out: &mut [T])
    where
        T: Default,
    {
        for (x, value) in out.iter_mut().enumerate() {
            *value = self.value(x as f64 + 0.5, y as f64 + 0.5).unwrap_or_default();
        }
    }

    /// Whether pixels may be mixed and no straight cuts part them.
    pub(super) fn turned_and_coarse(&self) -> bool {
        self.coarse && !self.place.upright()
    }
}

impl Beneath<'_, u8> {
    /// One row of the window: values, [`OFF`] or [`MIXED`].
    pub(super) fn row(&mut self, y: usize, out: &mut [u8]) {
        if !self.place.upright() {
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

    /// The map's column (or row) under this place across (down) the window, in its pixels. Upright places only.
    pub(super) fn line(&self, at: f64, across: bool) -> i32 {
        libm::floor(self.edge(at, across)) as i32
    }

    /// The tone where a column and a row of the map cross; they may lie off it.
    #[inline]
    pub(super) fn crossing(&self, column: i32, row: i32) -> u8 {
        let inside = column >= 0 && row >= 0 && (column as usize) < self.map.width() && (row as usize) < self.map.height();
        if inside { tone(self.map.at(column as usize, row as usize)) } else { OFF }
    }

    /// The points of a pixel, row after row: which tone lies under each, as a mask a tone. Each tone once.
    pub(super) fn points(&self, x: usize, y: usize, found: &mut Vec<(u8, u64)>) {
        found.clear();
        let at = |k: usize| (k as f64 + 0.5) / POINTS as f64;
        for point in 0..POINTS * POINTS {
            let tone = self.tone(x as f64 + at(point % POINTS), y as f64 + at(point / POINTS));
            let bit = 1u64 << point;
            match found.iter_mut().find(|(other, _)| *other == tone) {
                Some((_, mask)) => *mask |= bit,
                None => found.push((tone, bit)),
            }
        }
    }
}

/// A map's value as a tone: never one of the two that mean something else.
#[inline]
fn tone(value: u8) -> u8 {
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
                        beneath.points(i, j, &mut found);
                        prop_assert_eq!(found.iter().fold(0, |all, (_, points)| all ^ points), u64::MAX);
                    }
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
