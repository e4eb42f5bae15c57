//! The face of the plate as the photograph has it: straightened, in linear light, and what of it is burnt out.

use crate::homography::Homography;
use crate::photo::source::{Clipped, Light};
use crate::plane::Plane;
use crate::units::PxPerMm;
use crate::warp::{Source, Warp};

/// Wide of the Gaussian that takes out the metal's sparkle, mm: a gap of one millimetre still shows nearly all of its light.
const SMOOTHED: f64 = 0.25;
/// The same for what is burnt out, mm.
const BURNT_OVER: f64 = 0.4;
/// This share of the light of the lightest tenth is added to every light before its logarithm is taken: noise in the dark is no edge.
const FLOOR: f32 = 0.02;

/// Light as three logarithms: of its luminance, of red to green and of blue to green.
pub(super) type Features = [f32; 3];

pub(super) struct Look {
    pub(super) features: Plane<Features>,
    /// Share burnt out about each pixel.
    pub(super) burnt: Plane<f32>,
    /// The least of the three channels.
    pub(super) least: Plane<f32>,
    /// Whether the photograph shows it: beside the picture its last pixels are only repeated.
    pub(super) within: Plane<bool>,
}

impl Look {
    /// `back` takes pixels of the face to those of the picture.
    pub(super) fn of(light: &Light<'_>, back: Homography, size: (usize, usize), resolution: PxPerMm) -> Self {
        let clipped = Clipped::of(light);
        let warp = Warp::new(&clipped, back, size);
        let (width, height) = Source::<5>::size(&clipped);
        let within = Plane::from_fn(size.0, size.1, |x, y| {
            let [u, v] = warp.middle(x, y);
            (0.0..=width as f64).contains(&u) && (0.0..=height as f64).contains(&v)
        });
        let mut planes: [Vec<f32>; 4] = std::array::from_fn(|_| Vec::with_capacity(size.0 * size.1));
        for y in 0..size.1 {
            for x in 0..size.0 {
                let seen = warp.pixel(x, y);
                for (plane, value) in planes.iter_mut().zip(seen) {
                    plane.push(value);
                }
            }
        }
        let [r, g, b, burnt] = planes;
        let fine = |data: Vec<f32>| blurred(data, size, SMOOTHED * resolution.0);
        let (r, g, b) = (fine(r), fine(g), fine(b));
        let burnt = blurred(burnt, size, BURNT_OVER * resolution.0);
        let luminance = |i: usize| 0.2126 * r[i] + 0.7152 * g[i] + 0.0722 * b[i];
        let mut sample: Vec<f32> = (0..r.len()).step_by((r.len() / 20_000).max(1)).map(luminance).collect();
        sample.sort_unstable_by(f32::total_cmp);
        let floor = (FLOOR * sample.get(sample.len() * 9 / 10).copied().unwrap_or(1.0)).max(1e-5);
        let log = |v: f32| libm::logf(v.max(0.0) + floor);
        let mut i = 0;
        let features = Plane::from_fn(size.0, size.1, |_, _| {
            let green = log(g[i]);
            let all = [log(luminance(i)), log(r[i]) - green, log(b[i]) - green];
            i += 1;
            all
        });
        let mut i = 0;
        let least = Plane::from_fn(size.0, size.1, |_, _| {
            i += 1;
            r[i - 1].min(g[i - 1]).min(b[i - 1])
        });
        let mut i = 0;
        let burnt = Plane::from_fn(size.0, size.1, |_, _| {
            i += 1;
            burnt[i - 1]
        });
        Self { features, burnt, least, within }
    }
}

/// A Gaussian both ways, the border's values repeated.
pub(super) fn blurred(data: Vec<f32>, (w, h): (usize, usize), sigma: f64) -> Vec<f32> {
    let reach = libm::ceil(3.0 * sigma) as usize;
    if reach == 0 || sigma < 0.2 {
        return data;
    }
    let weights: Vec<f32> = (0..=reach).map(|i| libm::exp(-0.5 * (i as f64 / sigma) * (i as f64 / sigma)) as f32).collect();
    let sum = weights[0] + 2.0 * weights[1..].iter().sum::<f32>();
    let weights: Vec<f32> = weights.iter().map(|v| v / sum).collect();
    let mut across = vec![0.0f32; data.len()];
    let mut wide = vec![0.0f32; w + 2 * reach];
    for (row, out) in data.chunks_exact(w).zip(across.chunks_exact_mut(w)) {
        wide[..reach].fill(row[0]);
        wide[reach..reach + w].copy_from_slice(row);
        wide[reach + w..].fill(row[w - 1]);
        for (x, out) in out.iter_mut().enumerate() {
            let at = x + reach;
            let sides = weights[1..].iter().enumerate().map(|(i, weight)| weight * (wide[at - i - 1] + wide[at + i + 1]));
            *out = weights[0] * wide[at] + sides.sum::<f32>();
        }
    }
    let mut out = data;
    for y in 0..h {
        let into = &mut out[y * w..(y + 1) * w];
        into.fill(0.0);
        for (i, weight) in weights.iter().enumerate() {
            let (up, down) = (y.saturating_sub(i), (y + i).min(h - 1));
            let share = if i == 0 { weight / 2.0 } else { *weight };
            for ((into, a), b) in into.iter_mut().zip(&across[up * w..(up + 1) * w]).zip(&across[down * w..(down + 1) * w]) {
                *into += share * (a + b);
            }
        }
    }
    out
}
