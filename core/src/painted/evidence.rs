//! How much each place looks like varnish or like bare metal: learnt from the photograph itself, for most of a painted plate is right.
//!
//! The logarithm of a light is that of the lamp plus that of what it falls on. The lamp's is smooth: first a quadratic over the face, fitted
//! robustly together with the one step between covered and bare; then what varies locally, from those places alone that look as they
//! should. The direction between the two is Fisher's (R. A. Fisher, "The use of multiple measurements in taxonomic problems", Annals of
//! Eugenics 7, 1936): the one in which they lie farthest apart for how they scatter. Places deep inside what should be covered and bare
//! are the examples.

use super::field::{Cells, Field};
use super::look::{Features, Look};
use super::wanted::{BARE, COVERED, Wanted};
use crate::homography::solve;
use crate::plane::Plane;

/// Burnt out by more than this about it, a place is no example.
const BURNT: f32 = 0.05;
/// Least of examples of each, mm².
const LEAST: f64 = 25.0;
/// How far the light is carried, mm: of both together, and of each apart.
const CARRIED: (f64, f64) = (12.0, 7.0);
/// What the carried light is held back by, pixels' worth.
const HELD: f32 = 2.0;
/// Farther than this from what it should look like, in halves of the difference, a place is no example of it.
const LIKE: f32 = 0.9;

pub(super) struct Evidence {
    /// −1 as the varnish near by, +1 as the bare metal near by.
    pub(super) score: Plane<f32>,
    /// Distance from the line between the two, standard deviations: neither of them.
    pub(super) aside: Plane<f32>,
    /// Difference between the two near by, of what it is on the whole.
    pub(super) contrast: Plane<f32>,
    /// Robust standard deviations of the score among examples: covered, bare.
    pub(super) scatter: [f32; 2],
    /// Share of the examples that are on their side: covered, bare.
    pub(super) agree: [f64; 2],
}

/// Why nothing can be learnt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Unlearnt {
    /// Too little of what should be covered (0) or bare (1).
    Few(usize),
    /// The two look alike.
    Alike,
}

/// The median and 1.4826 times the median deviation from it: a normal distribution's mean and standard deviation.
pub(super) fn robust(mut values: Vec<f32>) -> Option<(f32, f32)> {
    if values.is_empty() {
        return None;
    }
    let half = values.len() / 2;
    let middle = *values.select_nth_unstable_by(half, f32::total_cmp).1;
    let mut off: Vec<f32> = values.iter().map(|v| (v - middle).abs()).collect();
    let spread = *off.select_nth_unstable_by(half, f32::total_cmp).1;
    Some((middle, 1.4826 * spread))
}

/// Terms of the lamp over the face: both coordinates from −1 to 1.
fn terms([x, y]: [f64; 2]) -> [f64; 6] {
    [1.0, x, y, x * x, x * y, y * y]
}

fn place(x: usize, y: usize, (w, h): (usize, usize)) -> [f64; 2] {
    [2.0 * (x as f64 + 0.5) / w as f64 - 1.0, 2.0 * (y as f64 + 0.5) / h as f64 - 1.0]
}

/// The lamp's quadratic and the step to bare, by least squares weighed anew by Cauchy's function until they stand.
fn lamp(examples: &[(usize, usize, u8)], look: &Look) -> Option<[f64; 7]> {
    let size = (look.features.width(), look.features.height());
    let every = (examples.len() / 30_000).max(1);
    let rows: Vec<([f64; 7], f64)> = examples
        .iter()
        .step_by(every)
        .map(|&(x, y, class)| {
            let t = terms(place(x, y, size));
            let row = std::array::from_fn(|k| if k < 6 { t[k] } else { f64::from(class) });
            (row, f64::from(look.features.at(x, y)[0]))
        })
        .collect();
    let mut found = [0.0; 7];
    let mut scale = f64::INFINITY;
    for _ in 0..12 {
        let mut normal = [[0.0f64; 8]; 7];
        for (row, value) in &rows {
            let off: f64 = value - row.iter().zip(found).map(|(a, b)| a * b).sum::<f64>();
            let weight = if scale.is_finite() { 1.0 / (1.0 + (off / scale) * (off / scale)) } else { 1.0 };
            for i in 0..7 {
                for j in 0..7 {
                    normal[i][j] += weight * row[i] * row[j];
                }
                normal[i][7] += weight * row[i] * value;
            }
        }
        // A little held towards an even lamp, for a face whose examples lie in one place.
        let hold = 1e-4 * rows.len() as f64;
        for (i, row) in normal.iter_mut().enumerate().skip(1) {
            row[i] += hold;
        }
        found = solve::<7, 8>(normal)?;
        let off = rows.iter().map(|(row, value)| (value - row.iter().zip(found).map(|(a, b)| a * b).sum::<f64>()) as f32);
        scale = f64::from(robust(off.collect())?.1.max(0.02)) * 1.5;
    }
    Some(found)
}

/// Means, inverse of the common covariance.
struct Classes {
    means: [Features; 2],
    inverse: [[f64; 3]; 3],
}

impl Classes {
    fn of(values: &[Vec<Features>; 2]) -> Option<Self> {
        let mut means = [[0.0f32; 3]; 2];
        let mut spreads = [[0.0f32; 3]; 2];
        for class in 0..2 {
            for c in 0..3 {
                (means[class][c], spreads[class][c]) = robust(values[class].iter().map(|f| f[c]).collect())?;
            }
        }
        let mut covariance = [[0.0f64; 3]; 3];
        let mut count = [0.0f64; 2];
        let mut own = [[[0.0f64; 3]; 3]; 2];
        for class in 0..2 {
            for value in &values[class] {
                let off: [f64; 3] = std::array::from_fn(|c| f64::from(value[c] - means[class][c]));
                // What lies far out is a gap, a mirrored lamp, a scratch.
                if (0..3).any(|c| off[c].abs() > 3.0 * f64::from(spreads[class][c].max(0.01))) {
                    continue;
                }
                count[class] += 1.0;
                for i in 0..3 {
                    for j in 0..3 {
                        own[class][i][j] += off[i] * off[j];
                    }
                }
            }
        }
        if count.iter().any(|&n| n < 16.0) {
            return None;
        }
        // Either class counts as much as the other, however large.
        for i in 0..3 {
            for j in 0..3 {
                covariance[i][j] = (0..2).map(|k| own[k][i][j] / count[k]).sum::<f64>() / 2.0;
            }
            // A hundredth is less than a camera can tell; a picture without colour has none to tell.
            covariance[i][i] += 1e-4;
        }
        let mut inverse = [[0.0; 3]; 3];
        for (k, one) in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].into_iter().enumerate() {
            let rows: [[f64; 4]; 3] = std::array::from_fn(|i| [covariance[i][0], covariance[i][1], covariance[i][2], one[i]]);
            let column = solve::<3, 4>(rows)?;
            for (row, value) in inverse.iter_mut().zip(column) {
                row[k] = value;
            }
        }
        Some(Self { means, inverse })
    }

    fn times(&self, v: [f64; 3]) -> [f64; 3] {
        std::array::from_fn(|i| (0..3).map(|j| self.inverse[i][j] * v[j]).sum())
    }

    /// Fisher's direction, and the difference along it.
    fn direction(&self) -> ([f64; 3], f64) {
        let apart: [f64; 3] = std::array::from_fn(|c| f64::from(self.means[1][c] - self.means[0][c]));
        let w = self.times(apart);
        (w, dot(w, apart))
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

impl Evidence {
    /// Learns from what lies at least `safe` mm inside.
    pub(super) fn of(look: &Look, wanted: &Wanted, safe: f32) -> Result<Self, Unlearnt> {
        let size = wanted.size();
        let r = wanted.resolution.0;
        let mut examples: Vec<(usize, usize, u8)> = Vec::new();
        let mut counts = [0usize; 2];
        for y in 0..size.1 {
            for x in 0..size.0 {
                let class = wanted.map.at(x, y);
                if class <= BARE && wanted.depth.at(x, y) >= safe && look.burnt.at(x, y) <= BURNT && look.within.at(x, y) {
                    examples.push((x, y, class));
                    counts[usize::from(class)] += 1;
                }
            }
        }
        if let Some(few) = (0..2).find(|&k| (counts[k] as f64) < LEAST * r * r) {
            return Err(Unlearnt::Few(few));
        }
        let lamp = lamp(&examples, look).ok_or(Unlearnt::Alike)?;
        let flat = |x: usize, y: usize| -> Features {
            let t = terms(place(x, y, size));
            let f = look.features.at(x, y);
            [f[0] - (0..6).map(|k| t[k] * lamp[k]).sum::<f64>() as f32, f[1], f[2]]
        };
        let every = (examples.len() / 60_000).max(1);
        let sampled = |like: &dyn Fn(usize, usize, u8) -> Option<Features>| {
            let mut values: [Vec<Features>; 2] = [Vec::new(), Vec::new()];
            for &(x, y, class) in examples.iter().step_by(every) {
                if let Some(value) = like(x, y, class) {
                    values[usize::from(class)].push(value);
                }
            }
            values
        };
        let mut classes = Classes::of(&sampled(&|x, y, _| Some(flat(x, y)))).ok_or(Unlearnt::Alike)?;
        let mut fields: Option<[Field; 2]> = None;
        for _ in 0..3 {
            let scored = Scored { classes: &classes, fields: fields.as_ref() };
            let mut cells = [Cells::new(size, r), Cells::new(size, r)];
            for &(x, y, class) in &examples {
                let value = flat(x, y);
                let (score, _, _) = scored.at(x, y, value);
                let own = if class == COVERED { -1.0 } else { 1.0 };
                if (score - own).abs() < LIKE {
                    let mean = classes.means[usize::from(class)];
                    cells[usize::from(class)].add(x, y, std::array::from_fn(|c| value[c] - mean[c]));
                }
            }
            let mut both = cells[0].clone();
            for i in 0..both.weight.len() {
                both.weight[i] += cells[1].weight[i];
                for c in 0..3 {
                    both.sums[c][i] += cells[1].sums[c][i];
                }
            }
            let common = both.smooth(CARRIED.0, &|_| [0.0; 3], HELD);
            let own = |k: usize| cells[k].smooth(CARRIED.1, &|i| common.values[i], HELD);
            let next = [own(0), own(1)];
            let taken_out = sampled(&|x, y, class| {
                let (value, field) = (flat(x, y), next[usize::from(class)].at(x, y));
                Some(std::array::from_fn(|c| value[c] - field[c]))
            });
            classes = Classes::of(&taken_out).ok_or(Unlearnt::Alike)?;
            fields = Some(next);
        }
        let scored = Scored { classes: &classes, fields: fields.as_ref() };
        let (w, h) = size;
        let (mut score, mut aside, mut contrast) = (Plane::filled(w, h, 0.0), Plane::filled(w, h, 0.0), Plane::filled(w, h, 0.0));
        for y in 0..h {
            for x in 0..w {
                let at = y * w + x;
                // Nothing speaks for either.
                if !look.within.at(x, y) {
                    continue;
                }
                let (s, off, near) = scored.at(x, y, flat(x, y));
                score.data_mut()[at] = s;
                aside.data_mut()[at] = off;
                contrast.data_mut()[at] = near;
            }
        }
        let of =
            |class: u8| examples.iter().filter(move |e| e.2 == class).step_by(every).map(|&(x, y, _)| score.at(x, y)).collect::<Vec<_>>();
        let (covered, bare) = (of(COVERED), of(BARE));
        let share = |right: usize, all: usize| right as f64 / all.max(1) as f64;
        let agree = [
            share(covered.iter().filter(|&&s| s < 0.0).count(), covered.len()),
            share(bare.iter().filter(|&&s| s > 0.0).count(), bare.len()),
        ];
        let scatter = [robust(covered).map_or(9.0, |r| r.1), robust(bare).map_or(9.0, |r| r.1)];
        Ok(Self { score, aside, contrast, scatter, agree })
    }
}

/// Scores by classes, and by what of the light is carried about each.
struct Scored<'a> {
    classes: &'a Classes,
    fields: Option<&'a [Field; 2]>,
}

impl Scored<'_> {
    /// Score, distance aside, contrast near by.
    fn at(&self, x: usize, y: usize, value: Features) -> (f32, f32, f32) {
        let mean = |k: usize| -> [f64; 3] {
            let (mean, field) = (self.classes.means[k], self.fields.map_or([0.0; 3], |fields| fields[k].at(x, y)));
            std::array::from_fn(|c| f64::from(mean[c] + field[c]))
        };
        let (covered, bare) = (mean(0), mean(1));
        let (w, whole) = self.classes.direction();
        let apart: [f64; 3] = std::array::from_fn(|c| bare[c] - covered[c]);
        let near = dot(w, apart) / whole.max(1e-9);
        let off: [f64; 3] = std::array::from_fn(|c| f64::from(value[c]) - (covered[c] + bare[c]) / 2.0);
        let score = 2.0 * dot(w, off) / (whole * near.max(0.25)).max(1e-9);
        // What is left of it across Fisher's direction, in standard deviations.
        let square = dot(off, self.classes.times(off));
        let along = dot(w, off) * dot(w, off) / whole.max(1e-9);
        let aside = libm::sqrt((square - along).max(0.0));
        (score.clamp(-9.0, 9.0) as f32, aside.min(99.0) as f32, near as f32)
    }
}
