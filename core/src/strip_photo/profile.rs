//! From the strip laid flat to its lightness from place to place, and from that to bands.

use super::BandSpan;
use super::flat::Flat;
use super::paper::Paper;
use super::reading::{Cell, Ink};
use super::segments::{self, median};
use crate::light::{LUMINANCE_WEIGHTS, Reflectance};

/// Places along the strip: one to so many columns, so that blur and grain do not go over from one to the next, but so many at least and most.
const PLACES: (f64, f64, f64) = (2.5, 80.0, 500.0);
/// The part of the width looked at: near its long edges a strip's varnish and wiping are uneven.
pub(super) const INNER: (f64, f64) = (0.14, 0.86);
/// Groups of rows at a place; the place's value is the mean of those that are not odd.
const GROUPS: usize = 16;
/// The rank that tells a place's level, a third of the way up, and how far it lies under the middle of a normal spread.
const RANK: (f64, f64) = (0.34, 0.41);
/// Shortest band that is found by itself, share of the strip.
const SHORTEST: f64 = 0.022;
/// Most bands that are found.
pub(super) const MOST_BANDS: usize = 24;

/// L* relative to the paper beside it, from place to place along the strip.
pub(super) struct Profile {
    pub(super) lightness: Vec<f64>,
}

/// Linear light relative to the paper's, each channel by its own, so that the light's colour is taken out.
pub(super) fn relative(rgb: [f64; 3], paper: [f64; 3]) -> f64 {
    (0..3).map(|c| LUMINANCE_WEIGHTS[c] * rgb[c] / paper[c].max(1e-6)).sum()
}

impl Profile {
    pub(super) fn of(flat: &Flat, paper: &Paper) -> Self {
        let places = ((flat.columns() as f64 / PLACES.0).clamp(PLACES.1, PLACES.2) as usize).min(flat.columns());
        let row = move |k: usize| INNER.0 + (INNER.1 - INNER.0) * k as f64 / GROUPS as f64;
        let share = move |i: usize| i as f64 / places as f64;
        let mut cells: Vec<Cell> = (0..places)
            .flat_map(|i| (0..GROUPS).map(move |k| ((share(i), share(i + 1)), (row(k), row(k + 1)))))
            .map(|(along, across)| Cell::of(flat, paper, along, across))
            .collect();
        Ink::of(&cells.iter()).spoil(&mut cells, GROUPS);
        let mut clear: Vec<Vec<Cell>> =
            cells.chunks(GROUPS).map(|cells| cells.iter().filter(|cell| !cell.burnt).copied().collect()).collect();
        for cells in &mut clear {
            cells.sort_by(|a, b| a.lightness.total_cmp(&b.lightness));
        }
        // How far a place's groups spread by themselves: what is usual about it, for glare spreads them too.
        let spreads: Vec<f64> = clear
            .iter()
            .map(|cells| {
                let mut all: Vec<f64> = cells.iter().map(|cell| cell.lightness).collect();
                let middle = median(&mut all).unwrap_or(0.0);
                1.4826 * median(&mut all.iter().map(|v| (v - middle).abs()).collect::<Vec<f64>>()).unwrap_or(0.0)
            })
            .collect();
        let reach = places / 16 + 1;
        let usual = |i: usize| median(&mut spreads[i.saturating_sub(reach)..(i + reach + 1).min(places)].to_vec()).unwrap_or(0.0);
        let mut before = 100.0;
        let lightness = clear.iter().enumerate().map(|(i, cells)| {
            if cells.len() >= GROUPS / 4 {
                // The level by a low rank, which glare on half of the width leaves alone; of a normal spread it lies so much under the middle.
                let spread = usual(i);
                let level = cells[(RANK.0 * cells.len() as f64) as usize].lightness + RANK.1 * spread;
                let kept: Vec<f64> = cells.iter().filter(|c| (c.lightness - level).abs() <= 3.0 * spread + 0.3).map(|c| c.light).collect();
                if !kept.is_empty() {
                    before = Reflectance(kept.iter().sum::<f64>() / kept.len() as f64).lightness().0.min(110.0);
                }
            }
            before
        });
        Self { lightness: lightness.collect() }
    }

    /// The bands, by where the profile steps; their ends to a part of a place.
    pub(super) fn bands(&self) -> Vec<BandSpan> {
        let n = self.lightness.len();
        let shortest = ((n as f64 * SHORTEST) as usize).max(3);
        let cut = segments::stretches(&self.lightness, shortest, MOST_BANDS);
        let mut edges = vec![0.0];
        for pair in cut.windows(2) {
            edges.push(self.crossing(pair[0], pair[1]) / n as f64);
        }
        edges.push(1.0);
        edges.windows(2).map(|e| BandSpan { from: e[0], to: e[1] }).collect()
    }

    /// Where the light passes the middle between two stretches: blur is even in light, not in L*.
    fn crossing(&self, (a, b): (usize, usize), (_, c): (usize, usize)) -> f64 {
        let light = |i: usize| crate::light::Lightness(self.lightness[i]).reflectance().0;
        let level = |from: usize, to: usize| median(&mut (from..to).map(light).collect::<Vec<f64>>()).unwrap_or(0.0);
        let middle = (level(a, b) + level(b, c)) / 2.0;
        let low = b.saturating_sub(3).max(a + 1);
        let mut best = b as f64;
        let mut nearest = f64::MAX;
        for i in low..(b + 4).min(c) {
            let (before, after) = (light(i - 1) - middle, light(i) - middle);
            if before * after <= 0.0 && (before - after).abs() > 1e-12 {
                let at = i as f64 - 0.5 + before / (before - after);
                if (at - b as f64).abs() < nearest {
                    (best, nearest) = (at, (at - b as f64).abs());
                }
            }
        }
        best
    }

    /// Median L*, relative to the paper, of a part of the strip.
    pub(super) fn level(&self, span: BandSpan) -> f64 {
        let n = self.lightness.len();
        let from = ((span.from * n as f64) as usize).min(n - 1);
        let to = (libm::ceil(span.to * n as f64) as usize).clamp(from + 1, n);
        median(&mut self.lightness[from..to].to_vec()).unwrap_or(0.0)
    }
}
