//! The light on the strip, told by the bare paper along its two long sides.
//!
//! One smooth field a channel, `ln light` a cubic along the strip and a straight line across, fitted robustly to places of the paper; and
//! on either side what the paper near a place differs from it, a soft shadow say. Nothing of the strip itself enters.

use super::flat::{Flat, Mean};
use super::segments::median;
use crate::light::LUMINANCE_WEIGHTS;

/// Places looked at along each side, and where across, in widths of the strip from its edge: not its first part, where the plate's edge
/// has pressed the paper.
const ALONG: usize = 48;
const ACROSS: [(f64, f64); 4] = [(0.07, 0.15), (0.16, 0.26), (0.27, 0.37), (0.38, 0.48)];
/// Paper keeps within this of the field, in the logarithm of light: 5 %, 1.7 L*.
const PAPER: f64 = 0.05;
/// What a soft shadow may take off beside it, in the same measure.
const SHADOW: f64 = 0.25;
/// Terms of the field: 1, u, u², u³, v, uv.
const TERMS: usize = 6;

/// Light of bare paper over the strip.
pub(super) struct Paper {
    terms: [[f64; TERMS]; 3],
    /// What paper near a place differs from the field, in its logarithm: above and beneath.
    near: [Vec<f64>; 2],
    /// How much of the places along each side is paper.
    pub(super) sides: [f64; 2],
    /// Share of the places beside the strip that are burnt out.
    pub(super) burnt: f64,
    /// Median luminance of the paper.
    pub(super) light: f64,
}

#[derive(Clone, Copy)]
struct Place {
    u: f64,
    v: f64,
    side: usize,
    log: [f64; 3],
    lum: f64,
}

pub(super) fn luminance(rgb: [f64; 3]) -> f64 {
    rgb.iter().zip(LUMINANCE_WEIGHTS).map(|(v, w)| v * w).sum()
}

fn basis(u: f64, v: f64) -> [f64; TERMS] {
    let (p, q) = (2.0 * u - 1.0, 2.0 * v - 1.0);
    [1.0, p, p * p, p * p * p, q, p * q]
}

fn value(terms: &[f64; TERMS], u: f64, v: f64) -> f64 {
    terms.iter().zip(basis(u, v)).map(|(a, b)| a * b).sum()
}

impl Paper {
    /// `None` where nothing beside the strip is even enough to be paper; then the share of it that is burnt out.
    pub(super) fn of(flat: &Flat) -> Result<Self, f64> {
        let mut places = Vec::new();
        let mut burnt = 0.0;
        for side in 0..2 {
            for i in 0..ALONG {
                let (from, to) = (i as f64 / ALONG as f64, (i + 1) as f64 / ALONG as f64);
                for (near, far) in ACROSS {
                    let (low, high) = if side == 0 { (-far, -near) } else { (1.0 + near, 1.0 + far) };
                    let mean: Mean = flat.mean(flat.span(from, to), flat.rows(low, high));
                    burnt += mean.burnt;
                    let lum = luminance(mean.rgb);
                    if mean.burnt > 0.3 || lum < 1e-3 {
                        continue;
                    }
                    let log = mean.rgb.map(|v| libm::log(v.max(1e-5)));
                    places.push(Place { u: (from + to) / 2.0, v: (low + high) / 2.0, side, log, lum: libm::log(lum) });
                }
            }
        }
        let burnt = burnt / (2 * ALONG * ACROSS.len()) as f64;
        Self::fitted(&places, burnt).ok_or(burnt)
    }

    fn fitted(places: &[Place], burnt: f64) -> Option<Self> {
        // To begin with the lightest of each place's four: the table and a shadow at the plate's edge are darker than paper.
        let mut lightest: Vec<Place> = Vec::new();
        for place in places {
            match lightest.last_mut() {
                Some(last) if last.side == place.side && (last.u - place.u).abs() < 1e-9 => {
                    if place.lum > last.lum {
                        *last = *place;
                    }
                }
                _ => lightest.push(*place),
            }
        }
        if lightest.len() < ALONG / 2 {
            return None;
        }
        // Least distances, by weights of one over them, leaning to the lighter: a thumb on a third of a side does not draw it down.
        let mut logs: Vec<f64> = lightest.iter().map(|p| p.lum).collect();
        let start = median(&mut logs)?;
        let mut terms = [start, 0.0, 0.0, 0.0, 0.0, 0.0];
        for round in 0..24 {
            let off = |p: &Place| p.lum - value(&terms, p.u, p.v);
            let floor = if round < 12 { 0.05 } else { 0.01 };
            terms = least_squares(
                &lightest,
                |p| p.lum,
                |p| {
                    let r = off(p);
                    (if r > 0.0 { 1.0 } else { 0.4 }) / r.abs().max(floor)
                },
            )?;
        }
        for scale in [3.0, 2.0, 1.5, 1.0, 1.0, 1.0] {
            let now = terms;
            terms = least_squares(places, |p| p.lum, |p| biweight((p.lum - value(&now, p.u, p.v)) / (scale * PAPER)))?;
        }
        let paper: Vec<Place> = places.iter().copied().filter(|p| (p.lum - value(&terms, p.u, p.v)).abs() < PAPER).collect();
        let sides = [0, 1].map(|side| {
            let mut along = [false; ALONG];
            for p in paper.iter().filter(|p| p.side == side) {
                along[((p.u * ALONG as f64) as usize).min(ALONG - 1)] = true;
            }
            along.iter().filter(|&&on| on).count() as f64 / ALONG as f64
        });
        if sides[0] + sides[1] < 0.5 {
            return None;
        }
        let mut channels = [[0.0; TERMS]; 3];
        for (c, channel) in channels.iter_mut().enumerate() {
            *channel = least_squares(&paper, |p| p.log[c], |_| 1.0)?;
        }
        let mut all: Vec<f64> = paper.iter().map(|p| libm::exp(p.lum)).collect();
        let light = median(&mut all)?;
        let mut found = Self { terms: channels, near: [Vec::new(), Vec::new()], sides, burnt, light };
        found.near = [0, 1].map(|side| found.differences(places, side));
        Some(found)
    }

    /// What paper near each place along a side differs from the field: medians, nearer to none where there is little paper.
    fn differences(&self, places: &[Place], side: usize) -> Vec<f64> {
        /// Reach to either side, share of the length; and how many places count for certain.
        const REACH: f64 = 0.06;
        const CERTAIN: f64 = 4.0;
        let off: Vec<(f64, f64)> = places
            .iter()
            .filter(|p| p.side == side)
            .map(|p| (p.u, p.lum - libm::log(luminance(self.smooth(p.u, p.v)))))
            .filter(|&(_, off)| off < PAPER && off > -SHADOW)
            .collect();
        let medians: Vec<f64> = (0..=ALONG)
            .map(|i| {
                let u = i as f64 / ALONG as f64;
                let mut close: Vec<f64> = off.iter().filter(|o| (o.0 - u).abs() < REACH).map(|o| o.1).collect();
                let count = close.len() as f64;
                median(&mut close).unwrap_or(0.0) * count / (count + CERTAIN)
            })
            .collect();
        (0..=ALONG)
            .map(|i| {
                let near = &medians[i.saturating_sub(2)..(i + 3).min(ALONG + 1)];
                near.iter().sum::<f64>() / near.len() as f64
            })
            .collect()
    }

    fn smooth(&self, u: f64, v: f64) -> [f64; 3] {
        self.terms.map(|terms| libm::exp(value(&terms, u, v)))
    }

    /// Linear light of bare paper at a place, shares of the strip's length and width.
    pub(super) fn at(&self, u: f64, v: f64) -> [f64; 3] {
        let along = u.clamp(0.0, 1.0) * ALONG as f64;
        let i = (along as usize).min(ALONG - 1);
        let t = along - i as f64;
        let near = |side: usize| self.near[side][i] * (1.0 - t) + self.near[side][i + 1] * t;
        let across = v.clamp(0.0, 1.0);
        let gain = libm::exp(near(0) * (1.0 - across) + near(1) * across);
        self.smooth(u, v).map(|light| light * gain)
    }

    /// The same with the place held within three lengths about the strip: for a card that lies beside it.
    pub(super) fn beyond(&self, u: f64, v: f64) -> [f64; 3] {
        self.smooth(u.clamp(-0.1, 1.1), v.clamp(-1.5, 2.5))
    }
}

/// Tukey's biweight, A. Beaton and J. Tukey, Technometrics 16, 1974; `t` is 1 where a value no longer counts.
fn biweight(t: f64) -> f64 {
    if t.abs() < 1.0 { (1.0 - t * t) * (1.0 - t * t) } else { 0.0 }
}

fn least_squares(places: &[Place], of: impl Fn(&Place) -> f64, weight: impl Fn(&Place) -> f64) -> Option<[f64; TERMS]> {
    let mut rows = [[0.0; TERMS + 1]; TERMS];
    for place in places {
        let basis = basis(place.u, place.v);
        let w = weight(place);
        for (row, b) in rows.iter_mut().zip(basis) {
            for k in 0..TERMS {
                row[k] += w * b * basis[k];
            }
            row[TERMS] += w * b * of(place);
        }
    }
    // A hair of ridge but on the mean: paper along one side alone tells nothing of the fall across.
    let scale = rows[0][0];
    for (k, row) in rows.iter_mut().enumerate().skip(1) {
        row[k] += 1e-3 * scale;
    }
    crate::homography::solve(rows)
}
