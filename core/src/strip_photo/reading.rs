//! One band's lightness: means of small cells of its inner part, of which the odd ones are left out.

use super::flat::Flat;
use super::paper::{Paper, luminance};
use super::profile::{INNER, relative};
use super::segments::median;
use super::{BandSpan, Doubt};
use crate::light::Reflectance;

/// Cells across the strip; along it as many as keep them square.
const ACROSS: usize = 12;
/// Cells along a band, least and most.
const ALONG: (f64, f64) = (4.0, 60.0);
/// Cells round a burnt out one that are left out with it.
const HALO: i64 = 2;
/// What is left off at each end of a band, share of it, and pixels of the picture at least: blur, and varnish that crept.
const ENDS: (f64, f64) = (0.12, 2.5);
/// A cell further from the median than so many spreads is odd, and never one that is nearer than so many L*.
const ODD: (f64, f64) = (3.5, 1.5);
/// Most of a band that may be glare or covered, and of the rest that may be odd.
const LEFT_OUT: (f64, f64) = (0.55, 0.3);
/// Most that quarters of the band may differ, L*, or else what chance makes of
/// their grain: beyond, the band can't be told.
const APART: f64 = 4.0;
/// Least pixels of the picture in a band's inner part.
const FEWEST: f64 = 60.0;
/// How far a cell's colour may be from the ink's, in logarithms of its ratios: beyond, something else lies there. The second for one
/// over the light: in the dark a JPEG's colours waver.
const COLOUR: (f64, f64) = (0.25, 0.008);

/// What a band is, relative to its paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    /// Linear light, paper 1.
    pub(super) light: f64,
    /// Spread of the cells kept, L* of the paper's 100.
    pub(super) spread: f64,
    pub(super) excluded: f64,
    pub(super) doubt: Option<Doubt>,
}

/// A small part of the strip.
#[derive(Clone, Copy)]
pub(super) struct Cell {
    /// Linear light, paper 1.
    pub(super) light: f64,
    /// The same as L*.
    pub(super) lightness: f64,
    /// ln of red over green and of blue over green, paper 0.
    colour: [f64; 2],
    /// Linear light of the picture.
    seen: f64,
    /// Burnt out, of another colour than the ink, or close by.
    pub(super) burnt: bool,
    lost: f64,
    /// Which quarter of the band it lies in.
    quarter: usize,
}

impl Cell {
    /// Between two shares of the length and two of the width.
    pub(super) fn of(flat: &Flat, paper: &Paper, along: (f64, f64), across: (f64, f64)) -> Self {
        let mean = flat.mean(flat.span(along.0, along.1), flat.rows(across.0, across.1));
        let white = paper.at((along.0 + along.1) / 2.0, (across.0 + across.1) / 2.0);
        let light = relative(mean.rgb, white);
        let ratio = |c: usize| libm::log((mean.rgb[c] / white[c]).max(1e-5)) - libm::log((mean.rgb[1] / white[1]).max(1e-5));
        Self {
            light,
            lightness: Reflectance(light).lightness().0,
            colour: [ratio(0), ratio(2)],
            seen: luminance(mean.rgb),
            burnt: mean.burnt > 0.2,
            lost: mean.lost,
            quarter: 0,
        }
    }
}

/// Every band's level.
pub(super) fn levels(flat: &Flat, paper: &Paper, bands: &[BandSpan]) -> Vec<Level> {
    let mut cells: Vec<(Vec<Cell>, usize)> = bands.iter().map(|&band| cells(flat, paper, band)).collect();
    let ink = Ink::of(&cells.iter().flat_map(|(cells, _)| cells));
    for (cells, along) in &mut cells {
        ink.spoil(cells, *along);
    }
    bands.iter().zip(&cells).map(|(band, (cells, _))| level(flat, *band, cells)).collect()
}

/// How an ink's colour goes with its darkness.
pub(super) struct Ink([f64; 2]);

impl Ink {
    /// The median of one over the other, over all the strip.
    pub(super) fn of<'a>(cells: &(impl Iterator<Item = &'a Cell> + Clone)) -> Self {
        Self([0, 1].map(|k| {
            let dark = cells.clone().filter(|cell| !cell.burnt && cell.light < 0.7 && cell.seen > 0.01);
            median(&mut dark.map(|cell| cell.colour[k] / libm::log(cell.light.max(1e-4))).collect::<Vec<f64>>()).unwrap_or(0.0)
        }))
    }

    /// Marks as lost what is of another colour, and what lies round that or round what is burnt out: glare and a finger's edge go on. `cells`
    /// come in rows of so many. A single cell of another colour is a JPEG's doing and spoils nothing round it.
    pub(super) fn spoil(&self, cells: &mut [Cell], along: usize) {
        let at = |k: usize| ((k % along) as i64, (k / along) as i64);
        let odd: Vec<(i64, i64)> = (0..cells.len()).filter(|&k| !self.holds(&cells[k])).map(at).collect();
        let near = |(x, y): (i64, i64), (i, j): (i64, i64)| (x - i).abs() <= 1 && (y - j).abs() <= 1;
        let mut core: Vec<(i64, i64)> = odd.iter().copied().filter(|&o| odd.iter().filter(|&&p| near(o, p)).count() >= 4).collect();
        core.extend((0..cells.len()).filter(|&k| cells[k].burnt).map(at));
        for (k, cell) in cells.iter_mut().enumerate() {
            let (x, y) = at(k);
            let around = core.iter().any(|&(i, j)| (x - i) * (x - i) + (y - j) * (y - j) <= HALO * HALO);
            cell.burnt |= around || !self.holds(cell);
        }
    }

    /// Whether a cell is of the ink's colour, or the paper's.
    fn holds(&self, cell: &Cell) -> bool {
        let dark = libm::log(cell.light.clamp(1e-4, 1.0));
        let allowed = COLOUR.0 + COLOUR.1 / cell.seen.max(1e-4);
        (0..2).all(|k| (cell.colour[k] - self.0[k] * dark).abs() <= allowed)
    }
}

/// The part of a band that is read.
pub(super) fn inner(flat: &Flat, band: BandSpan) -> BandSpan {
    let length = band.to - band.from;
    let off = (ENDS.0 * length).max(ENDS.1 / flat.px.0).min(0.3 * length);
    BandSpan { from: band.from + off, to: band.to - off }
}

/// A band's cells, row by row, and how many a row has.
fn cells(flat: &Flat, paper: &Paper, band: BandSpan) -> (Vec<Cell>, usize) {
    let part = inner(flat, band);
    let side = (INNER.1 - INNER.0) / ACROSS as f64 * flat.px.1;
    let along = libm::round((part.to - part.from) * flat.px.0 / side.max(1.0)).clamp(ALONG.0, ALONG.1) as usize;
    let at = |i: usize| part.from + (part.to - part.from) * i as f64 / along as f64;
    let row = |j: usize| INNER.0 + (INNER.1 - INNER.0) * j as f64 / ACROSS as f64;
    let mut all: Vec<Cell> = Vec::with_capacity(along * ACROSS);
    for j in 0..ACROSS {
        for i in 0..along {
            let quarter = usize::from(2 * i >= along) + 2 * usize::from(2 * j >= ACROSS);
            all.push(Cell { quarter, ..Cell::of(flat, paper, (at(i), at(i + 1)), (row(j), row(j + 1))) });
        }
    }
    (all, along)
}

fn level(flat: &Flat, band: BandSpan, cells: &[Cell]) -> Level {
    let all = cells.len() as f64;
    let clear: Vec<&Cell> = cells.iter().filter(|cell| !cell.burnt).collect();
    let nothing = |doubt| Level { light: 0.0, spread: 0.0, excluded: 1.0, doubt: Some(doubt) };
    let mut values: Vec<f64> = clear.iter().map(|cell| cell.lightness).collect();
    let Some(middle) = median(&mut values) else { return nothing(Doubt::Covered(1.0)) };
    let spread = 1.4826 * median(&mut values.iter().map(|v| (v - middle).abs()).collect::<Vec<f64>>()).unwrap_or(0.0);
    let reach = (ODD.0 * spread).max(ODD.1);
    let kept: Vec<&&Cell> = clear.iter().filter(|cell| (cell.lightness - middle).abs() <= reach).collect();
    let excluded = 1.0 - kept.len() as f64 / all;
    let odd = 1.0 - kept.len() as f64 / clear.len() as f64;
    let light = kept.iter().map(|cell| cell.light).sum::<f64>() / kept.len().max(1) as f64;
    let lost = kept.iter().map(|cell| cell.lost).sum::<f64>() / kept.len().max(1) as f64;
    let apart = quarters(&kept);
    let part = inner(flat, band);
    let pixels = (part.to - part.from) * flat.px.0 * (INNER.1 - INNER.0) * flat.px.1;
    let doubt = if pixels < FEWEST {
        Some(Doubt::Small(pixels))
    } else if excluded > LEFT_OUT.0 || odd > LEFT_OUT.1 {
        Some(Doubt::Covered(excluded))
    } else if lost > 0.3 {
        Some(Doubt::Lost)
    } else if apart > APART.max(5.0 * chance(&kept, light)) {
        Some(Doubt::Uneven(apart))
    } else {
        None
    };
    Level { light, spread, excluded, doubt }
}

/// The standard error of a quarter's mean, L*, by the scatter of the cells' light: the derivative of L*, 116/3 · Y^(-2/3), turns it into one.
fn chance(kept: &[&&Cell], mean: f64) -> f64 {
    let square = kept.iter().map(|cell| (cell.light - mean) * (cell.light - mean)).sum::<f64>() / kept.len().max(1) as f64;
    let error = libm::sqrt(square / (kept.len().max(4) as f64 / 4.0));
    116.0 / 3.0 * error / libm::pow(mean.max(1e-3), 2.0 / 3.0)
}

/// How far the band's quarters are apart, L*; grain evens out over a quarter, a shadow does not.
fn quarters(kept: &[&&Cell]) -> f64 {
    let mut ends = (f64::MAX, f64::MIN);
    for quarter in 0..4 {
        let light: Vec<f64> = kept.iter().filter(|cell| cell.quarter == quarter).map(|cell| cell.light).collect();
        // A quarter that was nearly all left out tells nothing.
        if light.len() * 8 >= kept.len() {
            let l = Reflectance(light.iter().sum::<f64>() / light.len() as f64).lightness().0;
            ends = (ends.0.min(l), ends.1.max(l));
        }
    }
    (ends.1 - ends.0).max(0.0)
}
