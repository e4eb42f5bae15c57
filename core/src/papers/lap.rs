//! Lap: overlap added where pieces meet, to the one that lies beneath.
//!
//! What is seen of a piece is it without what lies above. From there it is to reach under its neighbours by the overlap, whatever they had
//! before: so what overlaps enough stays as it was drawn, to the point.

use super::Meeting;
use super::overlaps::{LEAST_MM2, Masks, Window};
use super::taken::{bridged, taken};
use crate::components::Components;
use crate::distance::{LONGEST_REACH, squared_to_other};
use crate::hand::Path;
use crate::hand::area::{self, Raster};
use crate::outline::Outlines;
use crate::plane::Plane;
use crate::plate::Plate;
use crate::units::{Millimetres, PointMm, PxPerMm};

/// Raster that overlaps are drawn on, px/mm, and the most pixels it has.
const FINE: f64 = 10.0;
const MOST_PIXELS: f64 = 6e6;
/// The most pixels that all pieces of a pull are given, as long as that leaves so many to the millimetre.
const MOST_IN_ALL: f64 = 3e7;
const COARSEST: f64 = 4.0;
/// Neighbours no farther off than this have one edge, mm.
const GAP: f64 = 0.35;

/// A piece with the overlap that was added.
pub(super) struct Lapped {
    /// Its outline; parts are joined by lines walked there and back.
    pub(super) outline: Vec<PointMm>,
    pub(super) area_mm2: f64,
    pub(super) parts: usize,
}

/// Each outline with its overlap; none where nothing is added. `turn` says when each is laid.
///
/// Time and memory are bounded: only neighbours that `masks` finds a piece too short under are looked at closely, each where it is, and where many
/// large pieces are, all on a coarser raster.
pub(super) fn lapped(
    outlines: &[Option<Vec<PointMm>>],
    turn: &[usize],
    meet: &[Meeting],
    (lap, masks): (Millimetres, &Masks),
    plate: &Plate,
) -> Vec<Option<Lapped>> {
    let mut over: Vec<Vec<usize>> = vec![Vec::new(); outlines.len()];
    if lap.0 > 0.0 {
        for &Meeting { pieces: (one, other), .. } in meet {
            let (above, beneath) = if turn[one] < turn[other] { (one, other) } else { (other, one) };
            if outlines[above].is_some() {
                over[beneath].push(above);
            }
        }
    }
    let short: Vec<Vec<(usize, Window)>> = (0..outlines.len())
        .map(|at| if over[at].is_empty() || outlines[at].is_none() { Vec::new() } else { masks.short(at, &over[at], lap.0) })
        .collect();
    let area = |&[left, top, right, foot]: &Window| (right - left + 4.0 * lap.0) * (foot - top + 4.0 * lap.0);
    let closely: f64 = (0..outlines.len())
        .filter(|&at| !short[at].is_empty())
        .map(|at| {
            area(&extent(outlines[at].as_deref().unwrap_or_default())) + short[at].iter().map(|(_, window)| area(window)).sum::<f64>()
        })
        .sum();
    let finest = FINE.min(libm::sqrt(MOST_IN_ALL / closely.max(1.0)).max(COARSEST));
    let each = |(at, outline): (usize, &Option<Vec<PointMm>>)| {
        let above: Vec<&Vec<PointMm>> = over[at].iter().filter_map(|&above| outlines[above].as_ref()).collect();
        let near: Vec<(&Vec<PointMm>, Window)> =
            short[at].iter().filter_map(|&(one, window)| Some((outlines[one].as_ref()?, window))).collect();
        if near.is_empty() {
            return None;
        }
        // An outline longer than a line may be is drawn anew, coarser.
        let mut px = finest;
        loop {
            let lapped = grown(outline.as_ref()?, &above, &near, (lap.0, px), plate)?;
            if lapped.outline.len() <= Path::MOST_POINTS || px < COARSEST / 4.0 {
                return (lapped.outline.len() <= Path::MOST_POINTS).then_some(lapped);
            }
            px /= 2.0;
        }
    };
    outlines.iter().enumerate().map(each).collect()
}

/// Left, top, right and foot of an outline.
fn extent(outline: &[PointMm]) -> Window {
    let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    outline.iter().fold(start, |[l, t, r, f], p| [l.min(p.x), t.min(p.y), r.max(p.x), f.max(p.y)])
}

/// Where an edge goes in beneath a neighbour, what is wanted swells out at its side: what no disc of the overlap's size reaches is none.
/// `radius` is the overlap, px. So contacts shorter than about three times the overlap get none either.
fn without_ears(own: &Plane<u8>, grown: &Plane<u8>, radius: f64) -> Plane<u8> {
    let disc = radius;
    let reach = (libm::ceil(disc) as usize + 2).min(LONGEST_REACH);
    let past = |square: u16, far: f64| square == u16::MAX || libm::sqrt(f64::from(square)) - 0.5 >= far;
    let to_edge = squared_to_other(grown, reach);
    let core = Plane::from_fn(grown.width(), grown.height(), |x, y| u8::from(grown.at(x, y) == 1 && past(to_edge.at(x, y), disc)));
    let to_core = squared_to_other(&core, reach);
    Plane::from_fn(grown.width(), grown.height(), |x, y| {
        let reached = core.at(x, y) == 1 || !past(to_core.at(x, y), disc);
        u8::from(own.at(x, y) == 1 || (grown.at(x, y) == 1 && reached))
    })
}

fn grown(
    outline: &[PointMm],
    above: &[&Vec<PointMm>],
    near_to: &[(&Vec<PointMm>, Window)],
    (lap, finest): (f64, f64),
    plate: &Plate,
) -> Option<Lapped> {
    let (bevel, face) = (plate.bevel().0, plate.face());
    let [least_x, least_y, last_x, last_y] = extent(outline);
    // A pixel more than the overlap, and nothing past the metal.
    let span = |least: f64, last: f64, most: f64| ((least - lap - 0.5).max(-bevel - 0.5), (last + lap + 0.5).min(most + bevel + 0.5));
    let ((left, right), (top, foot)) = (span(least_x, last_x, face.width.0), span(least_y, last_y, face.height.0));
    let finest = finest.min((LONGEST_REACH - 2) as f64 / (lap + GAP));
    let resolution = PxPerMm(finest.min(libm::sqrt(MOST_PIXELS / ((right - left) * (foot - top)))));
    let px = resolution.0;
    let pixels = |length: f64| (libm::ceil(length * px) as usize).max(1);
    let (width, height) = (pixels(right - left), pixels(foot - top));
    let own = drawn(&[outline], (left, top), (width, height), resolution);
    let covered = drawn(&above.iter().map(|points| points.as_slice()).collect::<Vec<_>>(), (left, top), (width, height), resolution);
    let seen = Plane::from_fn(width, height, |x, y| u8::from(own.at(x, y) == 1 && covered.at(x, y) == 0));
    let reach = |mm: f64| (libm::ceil(mm * px) as usize + 1).min(LONGEST_REACH);
    // From a pixel's middle to the crack before the nearest of the others, px.
    let far = |square: u16| if square == u16::MAX { f64::INFINITY } else { libm::sqrt(f64::from(square)) - 0.5 };
    let to_seen = squared_to_other(&seen, reach(lap.max(GAP)));
    // Only beneath those that it does not reach under far enough already.
    let mut short = Plane::filled(width, height, 0u8);
    let mut any = false;
    // What is found within a window is what would be found on the whole: the disc reaches twice its size.
    let around = 2 * ((libm::ceil(lap * px) as usize + 2).min(LONGEST_REACH)) + 4;
    for &(points, [l, t, r, f]) in near_to {
        let low = |mm: f64| (libm::floor(mm * px).max(0.0) as usize).saturating_sub(around);
        let (x0, y0) = (low(l - left), low(t - top));
        let (x1, y1) = ((pixels((r - left).max(0.0)) + around).min(width), (pixels((f - top).max(0.0)) + around).min(height));
        if x0 >= x1 || y0 >= y1 {
            continue;
        }
        let corner = (left + x0 as f64 / px, top + y0 as f64 / px);
        let one = drawn(&[points], corner, (x1 - x0, y1 - y0), resolution);
        let mine = Plane::from_fn(x1 - x0, y1 - y0, |x, y| own.at(x0 + x, y0 + y));
        let needed = Plane::from_fn(x1 - x0, y1 - y0, |x, y| {
            u8::from(mine.at(x, y) == 1 || (one.at(x, y) == 1 && far(to_seen.at(x0 + x, y0 + y)) <= lap * px))
        });
        let added = without_ears(&mine, &needed, lap * px);
        let count = added.data().iter().zip(mine.data()).filter(|(added, own)| added > own).count() as f64;
        if count / (px * px) >= lap * lap {
            any = true;
            for y in 0..y1 - y0 {
                let row = (y0 + y) * width + x0;
                short.data_mut()[row..row + x1 - x0].iter_mut().zip(one.row(y)).for_each(|(short, one)| *short |= one);
            }
        }
    }
    if !any {
        return None;
    }
    let to_short = squared_to_other(&short, reach(GAP));
    let mut grown = Plane::from_fn(width, height, |x, y| {
        let from = far(to_seen.at(x, y));
        let under = short.at(x, y) == 1 && from <= lap * px;
        // A gap between the two is closed on the way; beside the neighbour, and on its far side, nothing is to show.
        let between = short.at(x, y) == 0 && from + far(to_short.at(x, y)) <= GAP * px;
        u8::from(own.at(x, y) == 1 || under || between)
    });
    only_with(&own, &mut grown);
    let found = taken(&Outlines::of(&grown, resolution), &grown, resolution, |value| value == 1, LEAST_MM2);
    let area_mm2 = grown.data().iter().filter(|&&value| value == 1).count() as f64 / (px * px);
    let hundredths = |mm: f64| libm::round(mm * 100.0) / 100.0;
    let place = |point: &PointMm| PointMm { x: hundredths(point.x + left), y: hundredths(point.y + top) };
    let parts: Vec<Vec<PointMm>> = found.outlines.iter().map(|part| part.iter().map(place).collect()).collect();
    let count = parts.len();
    let outline = bridged(parts);
    (count > 0).then_some(Lapped { outline, area_mm2, parts: count })
}

/// Outlines on a part of the face whose upper left corner is given, mm.
fn drawn(outlines: &[&[PointMm]], (left, top): (f64, f64), (width, height): (usize, usize), resolution: PxPerMm) -> Plane<u8> {
    let mut plane = Plane::filled(width, height, 0u8);
    let raster = Raster { width, height, resolution };
    for points in outlines {
        let moved: Vec<PointMm> = points.iter().map(|point| PointMm { x: point.x - left, y: point.y - top }).collect();
        area::polygon(raster, &moved, |y, start, end| plane.data_mut()[y * width + start..y * width + end].fill(1));
    }
    plane
}

/// Takes off what hangs on nothing of the piece's own: a sliver beneath another limb of its neighbour.
fn only_with(own: &Plane<u8>, grown: &mut Plane<u8>) {
    let parts = Components::of(grown);
    let mut has = vec![false; parts.count()];
    parts.each_stretch(|y, start, end, part| has[part] |= (start..end).any(|x| own.at(x, y) == 1));
    let width = grown.width();
    parts.each_stretch(|y, start, end, part| {
        if !has[part] {
            grown.data_mut()[y * width + start..y * width + end].fill(0);
        }
    });
}
