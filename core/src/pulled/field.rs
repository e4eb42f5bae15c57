//! The light on the sheet, from the bare paper round the plate mark.
//!
//! Square millimetres of paper, beside the bevel and up to a few centimetres out, carry it; a smooth quadratic of the logarithm of each channel
//! goes through them, over all four sides, or a plane where paper shows on fewer. What is not paper (the table, a hand, writing) stands off
//! it and is left out. Nothing of the picture is used: what is printed must not become the light.

use super::words::Blind;
use crate::homography::{Homography, solve};
use crate::light::LUMINANCE_WEIGHTS;
use crate::photo::source::{Clipped, Light};
use crate::plate::Plate;
use crate::warp::{Source, Warp};

/// Off the plate mark that nothing is taken, mm: ink on the bevel, the mark's shadow.
const CLEAR: f64 = 2.0;
/// How far out paper is looked for, mm: least, share of the longer side, most.
const OUT: (f64, f64, f64) = (10.0, 0.12, 30.0);
/// Cells this near the plate are taken for paper to begin with, mm.
const NEAR: f64 = 8.0;
/// A first cell stands off its side's middle by no more than this, in the logarithm of light; a last one off the field.
const FIRST: f64 = 0.25;
const LAST: f64 = 0.03;
/// Share of a side's cells that must be paper for the side to count, and cells in all.
const SIDE: f64 = 0.25;
const CELLS: usize = 60;
/// Most of the paper that may be burnt out; paper darker than this, linear, leaves nothing for the darks.
const BURNT: f64 = 0.3;
const DIM: f64 = 0.05;

struct Cell {
    at: [f64; 2],
    logs: [f64; 3],
    side: usize,
    near: bool,
}

/// The light of the paper over the face.
pub(super) struct Field {
    /// Coefficients of 1, u, v, u², uv, v² of each channel's logarithm; u and v are shares of the face less a half.
    channels: [[f64; 6]; 3],
    /// Sides that carry it: upper, right, lower, left.
    pub(super) sides: [bool; 4],
    /// How far the cells scatter about it, in the logarithm.
    pub(super) scatter: f64,
}

pub(super) fn luminance([r, g, b]: [f64; 3]) -> f64 {
    LUMINANCE_WEIGHTS[0] * r + LUMINANCE_WEIGHTS[1] * g + LUMINANCE_WEIGHTS[2] * b
}

fn basis([u, v]: [f64; 2]) -> [f64; 6] {
    [1.0, u, v, u * u, u * v, v * v]
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

impl Field {
    /// `map` takes shares of the face to the picture.
    pub(super) fn of(light: &Light<'_>, map: &Homography, plate: &Plate) -> Result<Self, Blind> {
        let (cells, burnt) = cells(light, map, plate);
        if burnt > BURNT {
            return Err(Blind::Burnt { share: burnt });
        }
        let log = |cell: &Cell| luminance(cell.logs);
        let mut sides = [false; 4];
        let mut middles = [f64::NAN; 4];
        for (side, middle) in middles.iter_mut().enumerate() {
            let mut near: Vec<f64> = cells.iter().filter(|c| c.near && c.side == side).map(log).collect();
            if !near.is_empty() {
                *middle = median(&mut near);
            }
        }
        // The table beside a cut-off sheet is no paper: a side that stands far off the others' middle is none.
        let mut known: Vec<f64> = middles.iter().copied().filter(|v| v.is_finite()).collect();
        let middle = median(&mut known);
        let mut taken: Vec<&Cell> =
            cells.iter().filter(|c| (middles[c.side] - middle).abs() < 1.2 && (log(c) - middles[c.side]).abs() < FIRST).collect();
        for (side, counts) in sides.iter_mut().enumerate() {
            let near = cells.iter().filter(|c| c.near && c.side == side).count();
            let kept = taken.iter().filter(|c| c.near && c.side == side).count();
            *counts = near >= 6 && kept as f64 >= SIDE * near as f64;
        }
        let count = sides.iter().filter(|&&side| side).count();
        taken.retain(|c| sides[c.side]);
        if count < 2 || taken.len() < CELLS {
            return Err(Blind::Paper);
        }
        let terms = if count == 4 { 6 } else { 3 };
        let mut channels = fitted(&taken, terms).ok_or(Blind::Paper)?;
        let mut scatter = 0.0;
        for _ in 0..6 {
            let off = |c: &Cell| luminance(c.logs) - luminance(std::array::from_fn(|k| value(&channels[k], c.at)));
            let mut sizes: Vec<f64> = taken.iter().map(|c| off(c).abs()).collect();
            scatter = 1.4826 * median(&mut sizes);
            let reach = (3.0 * scatter).max(LAST);
            let kept: Vec<&Cell> = taken.iter().copied().filter(|c| off(c).abs() <= reach).collect();
            if kept.len() < CELLS {
                break;
            }
            let done = kept.len() == taken.len();
            taken = kept;
            channels = fitted(&taken, terms).ok_or(Blind::Paper)?;
            if done {
                break;
            }
        }
        let field = Self { channels, sides, scatter };
        let paper = luminance(field.at([0.5, 0.5]));
        if paper < DIM {
            return Err(Blind::Dim);
        }
        Ok(field)
    }

    /// Linear light of the paper at shares of the face.
    pub(super) fn at(&self, [u, v]: [f64; 2]) -> [f64; 3] {
        std::array::from_fn(|k| libm::exp(value(&self.channels[k], [u - 0.5, v - 0.5])))
    }

    /// The same along a row of so many pixels.
    pub(super) fn row(&self, v: f64, width: usize) -> Vec<[f64; 3]> {
        /// Pixels between places where it is worked out: it is smooth.
        const EVERY: usize = 16;
        let at = |x: usize| self.at([(x as f64 + 0.5) / width as f64, v]);
        let mut row = Vec::with_capacity(width);
        let mut from = at(0);
        for start in (0..width).step_by(EVERY) {
            let to = at(start + EVERY);
            for i in 0..EVERY.min(width - start) {
                let t = i as f64 / EVERY as f64;
                row.push(std::array::from_fn(|c| from[c] + t * (to[c] - from[c])));
            }
            from = to;
        }
        row
    }

    /// Lightest over darkest over the face.
    pub(super) fn fall(&self) -> f64 {
        let places = (0..25).map(|i| luminance(self.at([f64::from(i % 5) / 4.0, f64::from(i / 5) / 4.0])));
        let (low, high) = places.fold((f64::MAX, 0.0f64), |(low, high), v| (low.min(v), high.max(v)));
        high / low.max(1e-9)
    }
}

fn value(channel: &[f64; 6], at: [f64; 2]) -> f64 {
    basis(at).iter().zip(channel).map(|(a, b)| a * b).sum()
}

/// Least squares, each side of equal weight.
fn fitted(cells: &[&Cell], terms: usize) -> Option<[[f64; 6]; 3]> {
    let mut counts = [0usize; 4];
    for cell in cells {
        counts[cell.side] += 1;
    }
    let mut all = [[0.0; 6]; 3];
    for (channel, all) in all.iter_mut().enumerate() {
        let mut normal = [[0.0f64; 7]; 6];
        for cell in cells {
            let weight = 1.0 / counts[cell.side] as f64;
            let row = basis(cell.at);
            for i in 0..terms {
                for j in 0..terms {
                    normal[i][j] += weight * row[i] * row[j];
                }
                normal[i][6] += weight * row[i] * cell.logs[channel];
            }
        }
        for (i, row) in normal.iter_mut().enumerate() {
            if i >= terms {
                row[i] = 1.0;
            } else if i > 0 {
                // Paper on two sides that meet says little of a slope along them: held to none, ever so lightly.
                row[i] += 1e-4;
            }
        }
        *all = solve::<6, 7>(normal)?;
    }
    Some(all)
}

/// Square millimetres round the plate mark, and the share of the near ones that is burnt out.
fn cells(light: &Light<'_>, map: &Homography, plate: &Plate) -> (Vec<Cell>, f64) {
    let (face, bevel) = (plate.face(), plate.bevel().0);
    let (fw, fh) = (face.width.0, face.height.0);
    let out = bevel + CLEAR + (OUT.1 * fw.max(fh)).clamp(OUT.0, OUT.2);
    // About a square millimetre, but never more than some four hundred a side.
    let cell = ((fw.max(fh) + 2.0 * out) / 400.0).max(1.0);
    let side = |mm: f64| libm::ceil((mm + 2.0 * out) / cell).max(4.0) as usize;
    let (w, h) = (side(fw), side(fh));
    let Some(shares) = Homography::new([[cell / fw, 0.0, -out / fw], [0.0, cell / fh, -out / fh], [0.0, 0.0, 1.0]]) else {
        return (Vec::new(), 0.0);
    };
    let clipped = Clipped::of(light);
    let warp = Warp::new(&clipped, *map * shares, (w, h));
    let (width, height) = Source::<5>::size(&clipped);
    let mut cells = Vec::new();
    let (mut burnt_cells, mut near_cells) = (0usize, 0usize);
    for y in 0..h {
        for x in 0..w {
            let at = [(x as f64 + 0.5) * cell - out, (y as f64 + 0.5) * cell - out];
            // How far off the face, mm, and beyond which side.
            let offs = [-at[1], at[0] - fw, at[1] - fh, -at[0]];
            let (side, off) = offs.iter().enumerate().fold((0, f64::MIN), |best, (i, &v)| if v > best.1 { (i, v) } else { best });
            if off < bevel + CLEAR {
                continue;
            }
            let [u, v] = warp.middle(x, y);
            if !(1.0..=width as f64 - 1.0).contains(&u) || !(1.0..=height as f64 - 1.0).contains(&v) {
                continue;
            }
            let [r, g, b, burnt, lost] = warp.pixel(x, y).map(f64::from);
            let near = off < bevel + CLEAR + NEAR;
            near_cells += usize::from(near);
            if burnt > 0.1 {
                burnt_cells += usize::from(near);
                continue;
            }
            if lost > 0.1 {
                continue;
            }
            let logs = [r, g, b].map(|v| libm::log(v.max(1e-5)));
            cells.push(Cell { at: [at[0] / fw - 0.5, at[1] / fh - 0.5], logs, side, near });
        }
    }
    (cells, burnt_cells as f64 / near_cells.max(1) as f64)
}
