//! The light on the sheet: one smooth field a channel, fitted to bare paper alone.
//!
//! `ln light = a quadratic of the place`, so it can follow a lamp and a lens but no wash. It is fitted where the printer has marked paper,
//! and on the sheet's margin where that proves to be paper: even, of one colour, the lightest there is, and most of the way round.
//! What is darker there (a shadow, a drawing that runs to the edge) is thrown out by a robust fit, never smoothed over.
//!
//! A sheet covered to its edges by one smooth wash looks like a blank one in uneven light. The table round it tells them apart where it
//! is even enough: light falls on both. Where it is not, what looks like paper is taken for paper, and marked spots are the remedy.

use super::sheet::Proxy;
use super::table::{Beside, contradicts};
use crate::homography::{Point, solve};
use crate::light::{LUMINANCE_WEIGHTS, Reflectance};

/// Terms of the quadratic: 1, p, q, p², pq, q², with p and q from -1 to 1 across the sheet and down it.
const TERMS: usize = 6;

/// Light of bare paper over the sheet, linear, one value a channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    terms: [[f64; TERMS]; 3],
    /// Natural logarithm of the least and most light that the field may tell, each channel: a quadratic far from its points runs away.
    bounds: [(f64, f64); 3],
}

/// Where the field comes from, and how well it holds.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundLight {
    /// The field.
    pub field: Field,
    /// Whether the margin was proved to be paper and used.
    pub margin: bool,
    /// Marked spots that were used.
    pub spots: usize,
    /// Marked spots that are not even enough to be bare paper, by their index.
    pub uneven: Vec<usize>,
    /// Whether the margin looked like paper but the table round the sheet spoke against it.
    pub contradicted: bool,
    /// Lightest over darkest light on the sheet, by the field's luminance.
    pub fall: f64,
    /// L* between the 5th and the 95th hundredth of the paper places, once evened.
    pub spread: f64,
}

/// A place that may be paper.
#[derive(Clone, Copy)]
struct Sample {
    at: Point,
    /// ln of linear light.
    log: [f64; 3],
    /// ln of luminance.
    lum: f64,
    weight: f64,
    /// Which side's margin: 0 to 3; none for a marked spot.
    side: Option<usize>,
}

fn basis([u, v]: Point) -> [f64; TERMS] {
    let (p, q) = (2.0 * u - 1.0, 2.0 * v - 1.0);
    [1.0, p, q, p * p, p * q, q * q]
}

fn value(terms: &[f64; TERMS], at: Point) -> f64 {
    terms.iter().zip(basis(at)).map(|(a, b)| a * b).sum()
}

impl Field {
    /// Light of paper at a place of the sheet, shares of its sides.
    #[must_use]
    pub fn at(&self, place: Point) -> [f64; 3] {
        std::array::from_fn(|c| {
            let (low, high) = self.bounds[c];
            libm::exp(value(&self.terms[c], place).clamp(low, high))
        })
    }

    /// Its luminance.
    #[must_use]
    pub fn luminance(&self, place: Point) -> f64 {
        luminance(self.at(place))
    }
}

pub(super) fn luminance(rgb: [f64; 3]) -> f64 {
    rgb.iter().zip(LUMINANCE_WEIGHTS).map(|(v, w)| v * w).sum()
}

/// Radius of a marked spot, share of the sheet's shorter side.
const SPOT: f64 = 0.012;
/// The margin looked at, from and to, shares of the shorter side: the first hundredth may be a torn or turned edge.
const MARGIN: (f64, f64) = (0.012, 0.05);
/// Places a side and deep.
const CELLS: (usize, usize) = (28, 2);
/// Paper lies within this of the field, in the logarithm of light: 3.5 %, a little over 1 L*.
const PAPER: f64 = 0.035;
/// A colour, ln R/G or ln B/G, within this of the paper's is paper's.
const COLOUR: f64 = 0.10;
/// Least share of the margin, of each of its sides, and most share of the sheet lighter than what is taken for paper.
const PROOF: (f64, f64, f64) = (0.5, 0.2, 0.004);
/// A spot whose light varies more than this is no bare paper.
const EVEN: f64 = 0.12;

/// Fits the light; without it, whether the table spoke against a margin that looked like paper.
pub(super) fn fit(proxy: &Proxy, spots: &[Point], table: &[Beside]) -> Result<FoundLight, bool> {
    let (marked, uneven) = marked(proxy, spots);
    let looks = proved(proxy, &margin(proxy), &marked);
    let contradicted = looks.as_ref().is_some_and(|(_, terms)| contradicts(table, |at| value(terms, at)));
    let proved = looks.filter(|_| !contradicted).map(|(paper, _)| paper);
    found(&marked, uneven, proved.as_deref(), contradicted).ok_or(contradicted)
}

fn found(marked: &[Sample], uneven: Vec<usize>, proved: Option<&[Sample]>, contradicted: bool) -> Option<FoundLight> {
    let mut used = marked.to_vec();
    used.extend(proved.into_iter().flatten());
    if used.is_empty() {
        return None;
    }
    let terms: [[f64; TERMS]; 3] =
        [least_squares(&used, |s| s.log[0])?, least_squares(&used, |s| s.log[1])?, least_squares(&used, |s| s.log[2])?];
    let bounds = std::array::from_fn(|c| {
        let (low, high) = used.iter().fold((f64::MAX, f64::MIN), |(low, high), s| (low.min(s.log[c]), high.max(s.log[c])));
        // As much again as the paper seen varies, and a quarter: a lamp beyond the sheet.
        let room = (high - low) * 0.5 + 0.25;
        (low - room, high + room)
    });
    let field = Field { terms, bounds };
    let mut evened: Vec<f64> =
        used.iter().map(|s| Reflectance(libm::exp(s.lum) / field.luminance(s.at)).lightness().0.min(110.0)).collect();
    evened.sort_by(f64::total_cmp);
    let rank = |share: f64| evened[((evened.len() - 1) as f64 * share + 0.5) as usize];
    let (mut least, mut most) = (f64::MAX, 0.0f64);
    for i in 0..=16 {
        for j in 0..=16 {
            let y = field.luminance([f64::from(i) / 16.0, f64::from(j) / 16.0]);
            (least, most) = (least.min(y), most.max(y));
        }
    }
    let spread = rank(0.95) - rank(0.05);
    Some(FoundLight { field, margin: proved.is_some(), spots: marked.len(), uneven, contradicted, fall: most / least, spread })
}

/// Samples of marked spots, and the indices of those that are not even.
fn marked(proxy: &Proxy, spots: &[Point]) -> (Vec<Sample>, Vec<usize>) {
    let (mut samples, mut uneven) = (Vec::new(), Vec::new());
    let radius = SPOT * proxy.short_mm();
    for (i, &at) in spots.iter().enumerate() {
        match proxy.disc(at, radius) {
            Some((log, lum, varied)) if varied < EVEN => samples.push(Sample { at, log, lum, weight: 12.0, side: None }),
            _ => uneven.push(i),
        }
    }
    (samples, uneven)
}

fn margin(proxy: &Proxy) -> Vec<Sample> {
    let short = proxy.short_mm();
    let (w, h) = proxy.size_mm();
    let mut samples = Vec::new();
    let deep = (MARGIN.1 - MARGIN.0) * short / CELLS.1 as f64;
    for side in 0..4 {
        let (along, _) = if side % 2 == 0 { (w, h) } else { (h, w) };
        for i in 0..CELLS.0 {
            for j in 0..CELLS.1 {
                let a = (i as f64 + 0.5) / CELLS.0 as f64 * (along - 2.0 * MARGIN.0 * short) + MARGIN.0 * short;
                let d = MARGIN.0 * short + (j as f64 + 0.5) * deep;
                let [x, y] = match side {
                    0 => [a, d],
                    1 => [w - d, a],
                    2 => [a, h - d],
                    _ => [d, a],
                };
                let at = [x / w, y / h];
                if let Some((log, lum, _)) = proxy.disc(at, deep / 2.0) {
                    samples.push(Sample { at, log, lum, weight: 1.0, side: Some(side) });
                }
            }
        }
    }
    samples
}

/// The margin's places that are paper, if enough of it proves to be.
fn proved(proxy: &Proxy, margin: &[Sample], marked: &[Sample]) -> Option<(Vec<Sample>, [f64; TERMS])> {
    if margin.len() < 4 * CELLS.0 {
        return None;
    }
    let mut samples: Vec<Sample> = margin.to_vec();
    samples.extend(marked);
    let own: Vec<f64> = samples.iter().map(|s| s.weight).collect();
    // Paper is the lighter part: first the field that two thirds of the places lie under, by ever new weights (R. Koenker, "Quantile
    // Regression", 2005, section 1.3, solved as weighted least squares), then those within Tukey's biweight of it.
    const RANK: f64 = 0.66;
    for s in &mut samples {
        s.weight = if s.side.is_some() { 1.0 } else { s.weight };
    }
    let mut terms = least_squares(&samples, |s| s.lum)?;
    for _ in 0..30 {
        for (s, own) in samples.iter_mut().zip(&own) {
            let off = s.lum - value(&terms, s.at);
            s.weight = own * if off > 0.0 { RANK } else { 1.0 - RANK } / off.abs().max(0.002);
        }
        terms = least_squares(&samples, |s| s.lum)?;
    }
    for round in 0..20 {
        // From wide to narrow, so that a first field a little off still finds its paper.
        let width = (0.20 - 0.02 * f64::from(round)).max(2.0 * PAPER);
        for (s, own) in samples.iter_mut().zip(&own) {
            let t = (s.lum - value(&terms, s.at)) / width;
            s.weight = own * if t.abs() < 1.0 { (1.0 - t * t) * (1.0 - t * t) } else { 0.0 };
        }
        if samples.iter().filter(|s| s.weight > 0.0).count() < 3 * TERMS {
            return None;
        }
        terms = least_squares(&samples, |s| s.lum)?;
    }
    // Marked paper is paper: a margin that disagrees with it is not.
    if marked.iter().any(|s| (s.lum - value(&terms, s.at)).abs() > 2.0 * PAPER) {
        return None;
    }
    let lying: Vec<&Sample> = margin.iter().filter(|s| (s.lum - value(&terms, s.at)).abs() < PAPER).collect();
    let colour = |s: &Sample| [s.log[0] - s.log[1], s.log[2] - s.log[1]];
    let usual = [0, 1].map(|k| median(lying.iter().map(|s| colour(s)[k]).collect()));
    let [Some(red), Some(blue)] = usual else { return None };
    let paper: Vec<Sample> =
        lying.into_iter().filter(|s| (colour(s)[0] - red).abs() < COLOUR && (colour(s)[1] - blue).abs() < COLOUR).copied().collect();
    let share = |n: usize, of: usize| n as f64 / of.max(1) as f64;
    let whole = share(paper.len(), margin.len()) >= PROOF.0;
    let round = (0..4).all(|side| {
        let of = |all: &[Sample]| all.iter().filter(|s| s.side == Some(side)).count();
        share(of(&paper), of(margin)) >= PROOF.1
    });
    let lightest = proxy.share_lighter(|at| value(&terms, at) + 2.0 * PAPER) <= PROOF.2;
    (whole && round && lightest).then_some((paper, terms))
}

pub(super) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// Weighted least squares, held a little towards flat, more so for what bends: one spot gives a level, three a slope, six and more a
/// quadratic, and too few never a wild one.
fn least_squares(samples: &[Sample], of: impl Fn(&Sample) -> f64) -> Option<[f64; TERMS]> {
    const FLAT: [f64; TERMS] = [0.0, 1e-5, 1e-5, 2e-3, 2e-3, 2e-3];
    let total: f64 = samples.iter().map(|s| s.weight).sum();
    let mut rows = [[0.0; TERMS + 1]; TERMS];
    for s in samples {
        let weight = s.weight / total;
        let b = basis(s.at);
        for (row, bi) in rows.iter_mut().zip(b) {
            for k in 0..TERMS {
                row[k] += weight * bi * b[k];
            }
            row[TERMS] += weight * bi * of(s);
        }
    }
    for (k, row) in rows.iter_mut().enumerate() {
        row[k] += FLAT[k];
    }
    solve(rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn samples(places: &[Point], light: impl Fn(Point) -> f64) -> Vec<Sample> {
        let sample = |&at: &Point| {
            let lum = light(at);
            Sample { at, log: [lum; 3], lum, weight: 1.0, side: None }
        };
        places.iter().map(sample).collect()
    }

    #[test]
    fn a_quadratic_is_followed_and_few_places_stay_tame() {
        let light = |[u, v]: Point| -0.3 * u - 0.4 * v + 0.2 * u * u + 0.1 * u * v;
        let ring: Vec<Point> = (0..40)
            .map(|i| {
                let t = f64::from(i % 10) / 10.0;
                [[t, 0.0], [1.0, t], [1.0 - t, 1.0], [0.0, 1.0 - t]][i as usize / 10]
            })
            .collect();
        let terms = least_squares(&samples(&ring, light), |s| s.lum).unwrap();
        for at in [[0.5, 0.5], [0.2, 0.7], [1.0, 0.0]] {
            // Held a little towards flat: within half a hundredth, a fifth of an L*.
            assert_abs_diff_eq!(value(&terms, at), light(at), epsilon = 0.005);
        }
        let one = least_squares(&samples(&[[0.2, 0.3]], light), |s| s.lum).unwrap();
        assert_abs_diff_eq!(value(&one, [0.9, 0.9]), light([0.2, 0.3]), epsilon = 0.001);
        let slope = |[u, v]: Point| 0.3 - 0.5 * u + 0.2 * v;
        let three = least_squares(&samples(&[[0.1, 0.1], [0.9, 0.1], [0.9, 0.9]], slope), |s| s.lum).unwrap();
        assert_abs_diff_eq!(value(&three, [0.1, 0.9]), slope([0.1, 0.9]), epsilon = 0.02);
    }
}
