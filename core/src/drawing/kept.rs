//! Kept: the drawing that is built up row by row, reduced while it is read, turned upright, its colour kept once there is one.

use super::room;
use super::samples::{Converter, Encoder, Samples, luminance};
use crate::plane::Plane;
use image::metadata::Orientation;

/// Most pixels kept, 40 million: A3 at 450 to the inch. What has more is reduced by the smallest whole number that brings it under.
pub const KEPT_PIXELS: u64 = 40_000_000;

/// Encoded values that differ by no more than this, of 65535, are one grey: a quarter of a step of 8 bits.
const GREY: u16 = 64;

/// Rows gathered before they are written as columns: each written line of memory is then filled while it is at hand.
const BLOCK: usize = 16;

/// By how much a picture is reduced each way: 1 as it is.
pub(super) fn factor(width: u32, height: u32) -> u32 {
    let kept = |n: u32| u64::from(width.div_ceil(n)) * u64::from(height.div_ceil(n));
    (1..).find(|&n| kept(n) <= KEPT_PIXELS).unwrap_or(1)
}

/// Takes the rows of a stored picture from the top and keeps them as a drawing.
pub(super) struct Kept {
    converter: Converter,
    factor: usize,
    /// Kept pixels, before the turn.
    width: usize,
    height: usize,
    /// Stored ones.
    stored: (usize, usize),
    turn: Turn,
    encoder: Encoder,
    /// Rows taken in so far.
    rows: usize,
    grey: Vec<f32>,
    colours: Vec<[f32; 3]>,
    /// Sums of the rows that make the next kept one, where the picture is reduced; else that row itself.
    grey_sums: Vec<f32>,
    colour_sums: Vec<[f32; 3]>,
    /// Finished rows that wait to be written: luminance, and colours where the file has them.
    waiting: Vec<f32>,
    waiting_colours: Vec<[u16; 3]>,
    /// The kept row that waits first.
    first: usize,
    luminance: Vec<f32>,
    colour: Option<Vec<[u16; 3]>>,
}

/// The memory for the drawing is not there.
#[derive(Debug)]
pub(super) struct NoRoom;

impl Kept {
    pub(super) fn new(converter: Converter, (width, height): (u32, u32), orientation: Orientation) -> Result<Self, NoRoom> {
        let factor = factor(width, height);
        let (across, down) = (width.div_ceil(factor) as usize, height.div_ceil(factor) as usize);
        let mut luminance: Vec<f32> = room((across * down) as u64).ok_or(NoRoom)?;
        luminance.resize(across * down, 1.0);
        Ok(Self {
            converter,
            factor: factor as usize,
            width: across,
            height: down,
            stored: (width as usize, height as usize),
            turn: Turn::of(orientation, across, down),
            encoder: Encoder::new(),
            rows: 0,
            grey: Vec::new(),
            colours: Vec::new(),
            grey_sums: Vec::new(),
            colour_sums: Vec::new(),
            waiting: Vec::new(),
            waiting_colours: Vec::new(),
            first: 0,
            luminance,
            colour: None,
        })
    }

    /// Takes the next row.
    pub(super) fn row(&mut self, row: Samples<'_>) -> Result<(), NoRoom> {
        let (width, height) = self.stored;
        if self.rows == height {
            return Ok(());
        }
        let band = self.rows % self.factor;
        self.rows += 1;
        let last = band + 1 == self.factor || self.rows == height;
        if self.converter.is_grey() {
            self.converter.grey(row, &mut self.grey);
            debug_assert_eq!(self.grey.len(), width);
            if self.factor == 1 {
                self.waiting.extend(self.grey.iter().map(|y| y.clamp(0.0, 1.0)));
            } else {
                gather(&self.grey, &mut self.grey_sums, self.factor, band, |sum, y| *sum += y);
                if last {
                    let shares = shares(width, self.factor, band + 1);
                    self.waiting.extend(self.grey_sums.iter().zip(shares).map(|(sum, share)| (sum * share).clamp(0.0, 1.0)));
                }
            }
        } else {
            self.converter.colours(row, &mut self.colours);
            debug_assert_eq!(self.colours.len(), width);
            if self.factor == 1 {
                std::mem::swap(&mut self.colours, &mut self.colour_sums);
            } else {
                let add = |sum: &mut [f32; 3], c: &[f32; 3]| sum.iter_mut().zip(c).for_each(|(sum, c)| *sum += c);
                gather(&self.colours, &mut self.colour_sums, self.factor, band, add);
                if last {
                    for (sum, share) in self.colour_sums.iter_mut().zip(shares(width, self.factor, band + 1)) {
                        *sum = sum.map(|sum| sum * share);
                    }
                }
            }
            if last {
                self.finish_colours()?;
            }
        }
        if last && (!self.turn.swaps || self.waiting.len() == BLOCK * self.width) {
            self.write();
        }
        Ok(())
    }

    /// The finished row of `colour_sums` joins what waits.
    fn finish_colours(&mut self) -> Result<(), NoRoom> {
        self.waiting.extend(self.colour_sums.iter().map(|&c| luminance(c)));
        let encoder = &self.encoder;
        let encoded = self.colour_sums.iter().map(|&[r, g, b]| {
            if r.to_bits() == g.to_bits() && g.to_bits() == b.to_bits() {
                [encoder.encoded(g); 3]
            } else {
                [r, g, b].map(|v| encoder.encoded(v))
            }
        });
        self.waiting_colours.extend(encoded);
        if self.colour.is_none() {
            let row = &self.waiting_colours[self.waiting_colours.len() - self.width..];
            let coloured = row.iter().any(|[r, g, b]| r.abs_diff(*g) > GREY || g.abs_diff(*b) > GREY || r.abs_diff(*b) > GREY);
            if coloured {
                // What came before was grey, and what comes is white until it is written.
                let mut colour: Vec<[u16; 3]> = room(self.luminance.len() as u64).ok_or(NoRoom)?;
                colour.extend(self.luminance.iter().map(|&y| [encoder.encoded(y); 3]));
                self.colour = Some(colour);
            }
        }
        Ok(())
    }

    /// Writes what waits where it stands upright.
    fn write(&mut self) {
        let turn = &self.turn;
        put(&self.waiting, &mut self.luminance, self.width, self.first, turn);
        if let Some(colour) = &mut self.colour {
            put(&self.waiting_colours, colour, self.width, self.first, turn);
        }
        self.first += self.waiting.len() / self.width;
        self.waiting.clear();
        self.waiting_colours.clear();
    }

    /// The drawing, upright: luminance, and the colours if there are any.
    pub(super) fn finish(mut self) -> (Plane<f32>, Option<Plane<[u16; 3]>>) {
        self.write();
        let (width, height) = if self.turn.swaps { (self.height, self.width) } else { (self.width, self.height) };
        let luminance = Plane::new(width, height, self.luminance).expect("it was made of this size");
        (luminance, self.colour.map(|colour| Plane::new(width, height, colour).expect("it was made of this size")))
    }
}

/// Adds a stored row to the sums of the kept one; the first row of a band starts them anew.
fn gather<T: Copy + Default>(row: &[T], sums: &mut Vec<T>, factor: usize, band: usize, mut add: impl FnMut(&mut T, &T)) {
    if band == 0 {
        sums.clear();
        sums.resize(row.len().div_ceil(factor), T::default());
    }
    for (sum, box_of) in sums.iter_mut().zip(row.chunks(factor)) {
        for value in box_of {
            add(sum, value);
        }
    }
}

/// What a sum is multiplied by to be the mean of its box: at the right and the foot a box may hold fewer pixels.
fn shares(width: usize, factor: usize, rows: usize) -> impl Iterator<Item = f32> {
    (0..width).step_by(factor).map(move |left| 1.0 / (factor.min(width - left) * rows) as f32)
}

/// Writes rows from `first` on to where the turn puts them.
fn put<T: Copy>(rows: &[T], upright: &mut [T], width: usize, first: usize, turn: &Turn) {
    let start = turn.start + first as isize * turn.down;
    if !turn.swaps {
        for (row, y) in rows.chunks_exact(width).zip(0..) {
            let mut to = start + y * turn.down;
            for &value in row {
                upright[to as usize] = value;
                to += turn.across;
            }
        }
        return;
    }
    let count = rows.len() / width;
    for x in 0..width {
        let mut to = start + x as isize * turn.across;
        for y in 0..count {
            upright[to as usize] = rows[y * width + x];
            to += turn.down;
        }
    }
}

/// Where the first pixel goes, and the stride to its right and lower neighbours.
struct Turn {
    start: isize,
    across: isize,
    down: isize,
    swaps: bool,
}

impl Turn {
    /// The eight orientations of Exif 2.32, 4.6.4 A, tag 274.
    fn of(orientation: Orientation, width: usize, height: usize) -> Self {
        let (w, h) = (width as isize, height as isize);
        let last = w * h - 1;
        let (start, across, down, swaps) = match orientation {
            Orientation::NoTransforms => (0, 1, w, false),
            Orientation::FlipHorizontal => (w - 1, -1, w, false),
            Orientation::Rotate180 => (last, -1, -w, false),
            Orientation::FlipVertical => (w * (h - 1), 1, -w, false),
            Orientation::Rotate90FlipH => (0, h, 1, true),
            Orientation::Rotate90 => (h - 1, h, -1, true),
            Orientation::Rotate270FlipH => (last, -h, -1, true),
            Orientation::Rotate270 => (h * (w - 1), -h, 1, true),
        };
        Self { start, across, down, swaps }
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{Depth, Layout};
    use super::super::space::{Curve, Space};
    use super::*;

    #[test]
    fn the_factor_is_the_smallest_that_serves() {
        // A2 at 600 to the inch, and the sizes round the limit.
        assert_eq!(factor(9921, 14_031), 2);
        assert_eq!(factor(8000, 5000), 1);
        assert_eq!(factor(8001, 5000), 2);
        assert_eq!(factor(20_000, 20_000), 4);
        assert_eq!(factor(1, 1), 1);
    }

    fn kept(width: usize, height: usize, factor: usize, colours: usize, row: impl Fn(usize) -> Vec<f32>) -> Kept {
        let layout = Layout { depth: Depth::Floats, samples: colours, colours, alpha: None };
        let converter = Converter::new(layout, Space::alike(colours, &Curve::Linear));
        let mut kept = Kept::new(converter, (width as u32, height as u32), Orientation::NoTransforms).unwrap();
        kept.factor = factor;
        (kept.width, kept.height) = (width.div_ceil(factor), height.div_ceil(factor));
        kept.turn = Turn::of(Orientation::Rotate90, kept.width, kept.height);
        kept.luminance = vec![1.0; kept.width * kept.height];
        for y in 0..height {
            kept.row(Samples::Floats(&row(y))).unwrap();
        }
        kept
    }

    #[test]
    fn a_box_is_the_mean_of_its_light_also_where_it_is_cut() {
        // 5 × 4 by 3: boxes of 9, 6, 3 and 2 pixels; a value a pixel, means by hand. Turned a quarter right, the first row is the right column.
        let row = |y: usize| (0..5).map(|x| (x + 5 * y) as f32 / 20.0).collect::<Vec<f32>>();
        let (plane, colour) = kept(5, 4, 3, 1, row).finish();
        let wanted = [16.0, 6.0, 18.5, 8.5].map(|v| v / 20.0);
        assert_eq!((plane.width(), plane.height(), colour), (2, 2, None));
        for (y, wanted) in plane.data().iter().zip(wanted) {
            assert!((y - wanted as f32).abs() < 1e-6, "{:?}", plane.data());
        }
    }

    #[test]
    fn colour_is_kept_from_the_first_coloured_row_on() {
        let row = |y: usize| if y < 20 { vec![0.25, 0.25, 0.25, 0.5, 0.5, 0.5] } else { vec![0.5, 0.25, 0.25, 1.0, 1.0, 1.0] };
        assert_eq!(kept(2, 20, 1, 3, row).finish().1, None);
        let (luminance, colour) = kept(2, 40, 1, 3, row).finish();
        let colour = colour.unwrap();
        assert_eq!((colour.width(), colour.height()), (luminance.width(), luminance.height()));
        let encoder = Encoder::new();
        let [quarter, half] = [0.25, 0.5].map(|v| encoder.encoded(v));
        // Turned right: stored row 0 is the last column, stored column 0 the first row.
        assert_eq!((colour.at(39, 0), colour.at(39, 1)), ([quarter; 3], [half; 3]));
        assert_eq!((colour.at(0, 0), colour.at(0, 1)), ([half, quarter, quarter], [u16::MAX; 3]));
    }
}
