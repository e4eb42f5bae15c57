//! Edges moved into the painted region: liquid ground creeps outwards while it dries, and so ends on the true line.

use crate::aside::{BY_HAND, RESIST};
use crate::plane::Plane;
use crate::units::{Millimetres, PxPerMm};

/// The value of what lies between the true edge and the line moved inwards: painted by nobody, reached by what creeps.
pub const MOVED: u8 = 253;

/// Finest pixel that distances are told by, pixels a millimetre: a coarser map is divided first.
const FINE: f64 = 8.0;

/// A map with a margin left bare inside one tone's edge.
#[derive(Clone, Debug, PartialEq)]
pub struct Inward {
    /// The zones, the margin as [`MOVED`]; finer than those given where they were coarse.
    pub zones: Plane<u8>,
    /// Its resolution.
    pub resolution: PxPerMm,
    /// Islands that would be lost and so keep their true edge.
    pub kept: usize,
}

/// Moves the edge of tone `new_tone` inwards by `by` mm where it meets bare metal, which is all darker tones. Against what was covered
/// before, a resist, an area by hand and the face's border it stays: there it may lap.
///
/// A pixel is in the margin when its middle is nearer than `by` to the nearest crack of the edge, taken half a pixel before the middle of
/// the nearest bare pixel; pixels are 1/8 mm or finer, so the line is right within 0.1 mm before it is smoothed. An island that would
/// vanish keeps its true edge, and is counted.
#[must_use]
pub fn inward(zones: &Plane<u8>, new_tone: u8, by: Millimetres, resolution: PxPerMm) -> Inward {
    if by.0.is_nan() || by.0 <= 0.0 {
        return Inward { zones: zones.clone(), resolution, kept: 0 };
    }
    let times = (libm::ceil(FINE / resolution.0) as usize).clamp(1, 16);
    let mut fine = if times == 1 {
        zones.clone()
    } else {
        Plane::from_fn(zones.width() * times, zones.height() * times, |x, y| zones.at(x / times, y / times))
    };
    let resolution = PxPerMm(resolution.0 * times as f64);
    let margin = margin(&fine, new_tone, by.0 * resolution.0);
    let kept = shrink(&mut fine, new_tone, &margin);
    Inward { zones: fine, resolution, kept }
}

/// Whether a pixel of the tone lies within `far` pixels of a bare one. Exact Euclidean distances: down the columns first, then along rows.
fn margin(zones: &Plane<u8>, new_tone: u8, far: f64) -> Vec<bool> {
    let (width, height) = (zones.width(), zones.height());
    let bare = |zone: u8| zone > new_tone && zone != RESIST && zone != BY_HAND;
    // Farther than this nothing counts; the half pixel is from a bare pixel's middle to its edge.
    let reach = libm::ceil(far + 0.5) as usize + 1;
    let beyond = reach as u16 + 1;
    let most = (far + 0.5) * (far + 0.5);
    let mut down = vec![beyond; width * height];
    sweep(&mut down, zones, beyond, bare, 0..height);
    sweep(&mut down, zones, beyond, bare, (0..height).rev());
    let mut near = vec![false; width * height];
    for y in 0..height {
        let row = &down[y * width..(y + 1) * width];
        for x in (0..width).filter(|&x| zones.at(x, y) == new_tone) {
            let (from, to) = (x.saturating_sub(reach), (x + reach + 1).min(width));
            near[y * width + x] = (from..to).any(|i| {
                let (across, along) = (i.abs_diff(x) as f64, f64::from(row[i]));
                row[i] < beyond && across * across + along * along < most
            });
        }
    }
    near
}

/// Distances along columns to the last bare pixel, row after row.
fn sweep(down: &mut [u16], zones: &Plane<u8>, beyond: u16, bare: impl Fn(u8) -> bool, rows: impl Iterator<Item = usize>) {
    let width = zones.width();
    let mut since = vec![beyond; width];
    for y in rows {
        for (x, since) in since.iter_mut().enumerate() {
            *since = if bare(zones.at(x, y)) { 0 } else { (*since + 1).min(beyond) };
            let cell = &mut down[y * width + x];
            *cell = (*cell).min(*since);
        }
    }
}

/// Takes the margin off every island that keeps something, and counts those that don't.
fn shrink(zones: &mut Plane<u8>, new_tone: u8, margin: &[bool]) -> usize {
    let (width, height) = (zones.width(), zones.height());
    let mut seen = vec![false; width * height];
    let (mut kept, mut work, mut island) = (0, Vec::new(), Vec::new());
    for start in 0..width * height {
        if seen[start] || zones.data()[start] != new_tone {
            continue;
        }
        seen[start] = true;
        work.push(start);
        island.clear();
        let mut stays = false;
        while let Some(at) = work.pop() {
            if margin[at] {
                island.push(at);
            } else {
                stays = true;
            }
            let (x, y) = (at % width, at / width);
            let beside = [(x > 0).then(|| at - 1), (x + 1 < width).then(|| at + 1), (y > 0).then(|| at - width), (y + 1 < height).then(|| at + width)];
            for next in beside.into_iter().flatten() {
                if !seen[next] && zones.data()[next] == new_tone {
                    seen[next] = true;
                    work.push(next);
                }
            }
        }
        if stays {
            for &at in &island {
                zones.data_mut()[at] = MOVED;
            }
        } else {
            kept += 1;
        }
    }
    kept
}
