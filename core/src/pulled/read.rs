//! The L* of each tone, deep inside its regions.

use super::{NO_TONE, Seen};
use crate::light::{Lightness, Reflectance};
use crate::plane::Plane;
use crate::units::{Millimetres, PxPerMm};
use std::fmt;

/// How far regions are shrunk before they are read: beyond creep, undercut and a hand's wandering edge.
pub const SHRUNK: Millimetres = Millimetres(1.0);
/// Square millimetres of a tone that must be left.
const FEWEST: f64 = 8.0;
/// What the camera may be off by itself on one tone, L*, a standard deviation. Estimate.
const CAMERA: f64 = 0.6;
/// What one part of a plate may be off the others, L*, where only one part tells. Estimate.
const ONE_PART: f64 = 1.2;
/// Parts of the face each way that are compared.
const PARTS: usize = 4;
/// Most of a tone that may be burnt out or lost in black.
const LOST: f64 = 0.3;

/// Why a tone can't be told.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Doubt {
    /// It has no area.
    None,
    /// Too little of it lies deep enough inside: mm².
    Narrow(f64),
    /// Burnt out or off the photograph: share.
    Gone(f64),
    /// Lost in black.
    Lost,
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::None => write!(f, "it has no area on this plate."),
            Self::Narrow(mm2) => {
                write!(f, "only {mm2:.0} mm² of it lie {} mm and more inside its edges, and {FEWEST} are needed.", SHRUNK.0)
            }
            Self::Gone(share) => {
                write!(f, "{:.0} % of it is burnt out or off the photo: photograph it again without glare.", 100.0 * share)
            }
            Self::Lost => write!(f, "it is lost in black: photograph it in more light, or scan it."),
        }
    }
}

/// One tone, read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToneReading {
    /// Which.
    pub tone: usize,
    /// What its time should print at, by the strip.
    pub planned: Lightness,
    /// What it was to print at.
    pub target: Lightness,
    /// What the proof reads; none where it can't be told.
    pub read: Option<Lightness>,
    /// How far its square millimetres spread, a standard deviation, L*.
    pub spread: f64,
    /// Standard deviation of the reading itself, L*.
    pub sigma: f64,
    /// How much of it was read, mm².
    pub area_mm2: f64,
    /// Why it can't be told.
    pub doubt: Option<Doubt>,
}

/// A square millimetre of one tone, or about as much.
struct Cell {
    lightness: f64,
    part: usize,
}

/// Pixels of one tone: the sum of their light, and how many.
#[derive(Clone, Copy, Default)]
struct Heap {
    sum: f64,
    count: usize,
}

impl Heap {
    fn with(self, other: Self) -> Self {
        Self { sum: self.sum + other.sum, count: self.count + other.count }
    }

    fn cell(self, part: usize) -> Cell {
        Cell { lightness: Reflectance((self.sum / self.count as f64).clamp(0.0, 1.0)).lightness().0, part }
    }
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match n {
        0 => 0.0,
        _ if n % 2 == 1 => values[n / 2],
        _ => (values[n / 2 - 1] + values[n / 2]) / 2.0,
    }
}

/// A standard deviation by the median of what stands off the median.
fn spread(values: &[f64], middle: f64) -> f64 {
    1.4826 * median(&mut values.iter().map(|v| (v - middle).abs()).collect::<Vec<f64>>())
}

pub(super) fn tones(seen: &Seen, zones: &Plane<u8>, depth: &Plane<f32>, resolution: PxPerMm, count: usize) -> Vec<ToneReading> {
    let (w, h) = (zones.width(), zones.height());
    let side = libm::round(resolution.0).max(1.0) as usize;
    let pixel_mm2 = resolution.mm(1.0).0 * resolution.mm(1.0).0;
    let mut cells: Vec<Vec<Cell>> = (0..count).map(|_| Vec::new()).collect();
    // Pixels deep inside, of those the ones gone and the ones lost in black, and all there are.
    let mut deep = vec![[0usize; 4]; count];
    for &zone in zones.data() {
        if zone != NO_TONE {
            deep[usize::from(zone)][3] += 1;
        }
    }
    // What lies in squares that hold less than half a square millimetre of it is put together within its part of the face: a band two and a half
    // millimetres wide is deep over half a millimetre only.
    let full = side * side;
    let mut bits = vec![[Heap::default(); PARTS * PARTS]; count];
    for top in (0..h).step_by(side) {
        for left in (0..w).step_by(side) {
            let part = (left * PARTS / w).min(PARTS - 1) + PARTS * (top * PARTS / h).min(PARTS - 1);
            let mut inside: Option<(u8, Heap)> = None;
            for y in top..(top + side).min(h) {
                for x in left..(left + side).min(w) {
                    let zone = zones.at(x, y);
                    if zone == NO_TONE || f64::from(depth.at(x, y)) < SHRUNK.0 {
                        continue;
                    }
                    let of = &mut deep[usize::from(zone)];
                    of[0] += 1;
                    let light = seen.light.at(x, y);
                    if light.is_nan() {
                        of[1] += 1;
                        continue;
                    }
                    of[2] += usize::from(seen.lost.at(x, y));
                    let (tone, heap) = inside.unwrap_or((zone, Heap::default()));
                    if tone == zone {
                        inside = Some((tone, heap.with(Heap { sum: f64::from(light), count: 1 })));
                    }
                }
            }
            let Some((tone, heap)) = inside else { continue };
            let tone = usize::from(tone);
            if 2 * heap.count >= full {
                cells[tone].push(heap.cell(part));
                continue;
            }
            let bits = &mut bits[tone][part];
            *bits = bits.with(heap);
            if bits.count >= full {
                cells[tone].push(std::mem::take(bits).cell(part));
            }
        }
    }
    for (cells, bits) in cells.iter_mut().zip(bits) {
        let mut rest = Heap::default();
        for (part, bits) in bits.into_iter().enumerate() {
            rest = rest.with(bits);
            if 2 * rest.count >= full {
                cells.push(std::mem::take(&mut rest).cell(part));
            }
        }
    }
    cells.iter().zip(&deep).enumerate().map(|(tone, (cells, deep))| one(tone, cells, *deep, pixel_mm2)).collect()
}

fn one(tone: usize, cells: &[Cell], [deep, gone, lost, all]: [usize; 4], pixel_mm2: f64) -> ToneReading {
    let area_mm2 = (deep - gone) as f64 * pixel_mm2;
    let mut reading =
        ToneReading { tone, planned: Lightness(0.0), target: Lightness(0.0), read: None, spread: 0.0, sigma: 0.0, area_mm2, doubt: None };
    let share = |part: usize| part as f64 / deep.max(1) as f64;
    reading.doubt = if all == 0 {
        Some(Doubt::None)
    } else if deep > 0 && share(gone) > LOST {
        Some(Doubt::Gone(share(gone)))
    } else if deep > 0 && share(lost) > LOST {
        Some(Doubt::Lost)
    } else if area_mm2 < FEWEST || cells.is_empty() {
        Some(Doubt::Narrow(area_mm2))
    } else {
        None
    };
    if reading.doubt.is_some() {
        return reading;
    }
    let values: Vec<f64> = cells.iter().map(|c| c.lightness).collect();
    let middle = median(&mut values.clone());
    reading.spread = spread(&values, middle);
    let parts: Vec<f64> = (0..PARTS * PARTS)
        .filter_map(|part| {
            let mut own: Vec<f64> = cells.iter().filter(|c| c.part == part).map(|c| c.lightness).collect();
            (own.len() >= 4).then(|| median(&mut own))
        })
        .collect();
    let between = if parts.len() < 2 {
        ONE_PART * ONE_PART
    } else {
        let mean = parts.iter().sum::<f64>() / parts.len() as f64;
        let variance = parts.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / (parts.len() - 1) as f64;
        variance / parts.len() as f64
    };
    // The variance of a median is π/2 times that of a mean.
    let chance = std::f64::consts::FRAC_PI_2 * reading.spread * reading.spread / values.len() as f64;
    reading.sigma = libm::sqrt(CAMERA * CAMERA + chance + between);
    reading.read = Some(Lightness(middle));
    reading
}

#[cfg(test)]
mod tests {
    use super::super::place;
    use super::*;
    use proptest::prelude::*;

    /// The face all paper but for upright bands of tone 1, of so many pixels at five a millimetre, from some pixel on, three widths apart.
    fn bands(wide: usize, from: usize, (count, tall): (usize, usize), l: f64) -> Vec<ToneReading> {
        let side = from + 3 * wide * count + 20;
        let zones = Plane::from_fn(side, tall, |x, _| {
            u8::from(x >= from && ((x - from) / wide).is_multiple_of(3) && (x - from) / (3 * wide) < count)
        });
        let light = zones.map(|&zone| Lightness(if zone == 1 { l } else { 90.0 }).reflectance().0 as f32);
        let seen = Seen { lost: light.map(|_| false), light };
        tones(&seen, &zones, &place::depth(&zones, PxPerMm(5.0)), PxPerMm(5.0), 2)
    }

    #[test]
    fn narrow_bands_are_told_wherever_they_lie() {
        // Ten bands 2.4 mm wide and 60 mm long: some 230 mm² lie a millimetre and more inside, no square millimetre of them in one piece.
        for from in 20..30 {
            let got = bands(12, from, (10, 300), 55.0)[1];
            assert!(got.area_mm2 > 200.0, "{from}: {got:?}");
            assert!(got.doubt.is_none() && (got.read.unwrap().0 - 55.0).abs() < 0.05, "{from}: {got:?}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
        #[test]
        fn what_is_too_narrow_has_less_than_is_needed(wide in 8usize..30, from in 12usize..20, count in 1usize..6, tall in 14usize..120) {
            let got = bands(wide, from, (count, tall), 40.0)[1];
            match got.doubt {
                Some(Doubt::Narrow(mm2)) => prop_assert!(mm2 < FEWEST, "{got:?}"),
                Some(doubt) => prop_assert!(false, "{doubt:?}"),
                None => prop_assert!(got.area_mm2 >= FEWEST && (got.read.unwrap().0 - 40.0).abs() < 0.05, "{got:?}"),
            }
        }
    }
}
