//! Edges moved into the painted region: liquid ground creeps outwards while it dries, and so ends on the true line.

use super::Curves;
use crate::aside::{BY_HAND, RESIST};
use crate::plane::Plane;
use crate::units::{Millimetres, PxPerMm};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

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

/// A map with a margin left bare, and its edges as curves.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// The map.
    pub inward: Inward,
    /// Its edges; those of the margin are between the tone and [`MOVED`].
    pub curves: Arc<Curves>,
}

/// What has been moved so far. Zones of a large plate take tens of megabytes a tone, so only the last are kept; curves take a hundredth of
/// that and nearly all the time, and a file tells the same curve by its address: those of every tone are kept.
#[derive(Clone, Debug, Default)]
pub(super) struct Cache(Arc<Mutex<Known>>);

#[derive(Debug, Default)]
struct Known {
    by: f64,
    last: Option<(u8, Arc<Moved>)>,
    curves: BTreeMap<u8, Arc<Curves>>,
}

impl Cache {
    pub(super) fn get(&self, map: &Plane<u8>, new_tone: u8, by: Millimetres, resolution: PxPerMm) -> Arc<Moved> {
        // What a thread that failed left behind is whole: entries are put in at once.
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if known.by.to_bits() != by.0.to_bits() {
            *known = Known { by: by.0, ..Known::default() };
        }
        if let Some((_, moved)) = known.last.as_ref().filter(|last| last.0 == new_tone) {
            return Arc::clone(moved);
        }
        let inward = inward(map, new_tone, by, resolution);
        let curves = known.curves.entry(new_tone).or_insert_with(|| Arc::new(Curves::of(&inward.zones, inward.resolution)));
        let moved = Arc::new(Moved { curves: Arc::clone(curves), inward });
        known.last = Some((new_tone, Arc::clone(&moved)));
        moved
    }
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
            let beside = [
                (x > 0).then(|| at - 1),
                (x + 1 < width).then(|| at + 1),
                (y > 0).then(|| at - width),
                (y + 1 < height).then(|| at + width),
            ];
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

#[cfg(test)]
mod tests {
    use super::super::Curves;
    use super::*;
    use kurbo::{ParamCurve, Point};
    use proptest::prelude::*;

    /// Points of the moved edge of tone 1, mm.
    fn moved(of: &Inward) -> Vec<Point> {
        let curves = Curves::of(&of.zones, of.resolution);
        let edges = curves.list.iter().filter(|curve| (curve.lighter, curve.darker) == (1, MOVED));
        edges.flat_map(|curve| curve.path.segments().flat_map(|s| (0..=8).map(move |i| s.eval(f64::from(i) / 8.0)))).collect()
    }

    #[test]
    fn a_disc_becomes_the_smaller_disc() {
        // Closed form: a disc of 8 mm moved in by 0.3 mm is a disc of 7.7 mm.
        for px_per_mm in [2.0, 5.0, 10.0] {
            let side = (20.0 * px_per_mm) as usize;
            let far = |x: usize, y: usize| libm::hypot(x as f64 + 0.5 - 10.0 * px_per_mm, y as f64 + 0.5 - 10.0 * px_per_mm) / px_per_mm;
            let map = Plane::from_fn(side, side, |x, y| if far(x, y) <= 8.0 { 1 } else { 2 });
            let got = inward(&map, 1, Millimetres(0.3), PxPerMm(px_per_mm));
            assert_eq!(got.kept, 0);
            let points = moved(&got);
            assert!(!points.is_empty());
            // The raster's own stairs, up to 0.7 pixels, and 0.15 mm.
            let room = 0.15 + 0.7 * 0.5 / px_per_mm;
            for p in points {
                let off = p.distance(Point::new(10.0, 10.0)) - 7.7;
                assert!(off.abs() <= room, "{off} mm off at {px_per_mm}");
            }
        }
    }

    #[test]
    fn only_edges_against_bare_metal_move_and_small_islands_stay() {
        // Covered, new, bare, from left to right; a pixel and a hair of new in the bare.
        let map = Plane::from_fn(60, 20, |x, y| match x {
            0..20 => 0,
            20..40 => 1,
            50 if y == 10 => 1,
            55..58 if y > 2 && y < 9 => 1,
            _ => 2,
        });
        let got = inward(&map, 1, Millimetres(0.4), PxPerMm(10.0));
        assert_eq!(got.kept, 2);
        for y in 0..20 {
            assert_eq!((got.zones.at(20, y), got.zones.at(35, y), got.zones.at(36, y), got.zones.at(40, y)), (1, 1, MOVED, 2));
        }
        assert_eq!((got.zones.at(50, 10), got.zones.at(56, 5)), (1, 1));
        for by in [0.0, -1.0, f64::NAN] {
            assert_eq!(inward(&map, 1, Millimetres(by), PxPerMm(10.0)).zones, map);
        }
    }

    #[test]
    fn moved_edges_are_worked_out_once() {
        let map = Plane::from_fn(60, 20, |x, _| (x / 20) as u8);
        let outlines = super::super::Outlines::of(&map, PxPerMm(10.0));
        let moved = |tone: u8, by: f64| outlines.moved(&map, tone, Millimetres(by), PxPerMm(10.0));
        let (first, second) = (moved(0, 0.3), moved(0, 0.3));
        assert!(Arc::ptr_eq(&first, &second));
        // Another tone, and back: the zones are found anew, the curves are the same.
        let other = moved(1, 0.3);
        assert_ne!(other.inward.zones, first.inward.zones);
        let again = moved(0, 0.3);
        assert!(Arc::ptr_eq(&first.curves, &again.curves) && first == again);
        assert_eq!(first.inward, inward(&map, 0, Millimetres(0.3), PxPerMm(10.0)));
        assert_eq!(*first.curves, Curves::of(&first.inward.zones, first.inward.resolution));
        // Another distance is another edge.
        assert_ne!(moved(0, 0.5).curves, first.curves);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn the_margin_is_as_wide_as_asked(discs in prop::collection::vec((0.0..80.0_f64, 0.0..60.0_f64, 1.0..14.0_f64), 1..6), by in 0.05..0.5_f64) {
            let inside = |x: f64, y: f64| discs.iter().any(|(u, v, r)| libm::hypot(x - u, y - v) <= *r);
            let map = Plane::from_fn(80, 60, |x, y| if inside(x as f64 + 0.5, y as f64 + 0.5) { 1 } else { 2 });
            let got = inward(&map, 1, Millimetres(by), PxPerMm(10.0));
            let bare: Vec<(usize, usize)> = (0..60).flat_map(|y| (0..80).map(move |x| (x, y))).filter(|&(x, y)| map.at(x, y) == 2).collect();
            // By search: from a point to the nearest square of a bare pixel.
            let to_bare = |p: Point| {
                let square = |&(x, y): &(usize, usize)| {
                    let (dx, dy) = ((x as f64 - p.x).max(p.x - x as f64 - 1.0).max(0.0), (y as f64 - p.y).max(p.y - y as f64 - 1.0).max(0.0));
                    libm::hypot(dx, dy)
                };
                bare.iter().map(square).fold(f64::MAX, f64::min) / 10.0
            };
            for p in moved(&got) {
                let off = to_bare(Point::new(p.x * 10.0, p.y * 10.0)) - by;
                prop_assert!(off.abs() <= 0.15, "{off} mm off");
            }
            // Nothing is lost: the new and the margin are the old, and nothing else changed.
            for (old, new) in map.data().iter().zip(got.zones.data()) {
                prop_assert!(old == new || (*old, *new) == (1, MOVED));
            }
        }
    }
}
