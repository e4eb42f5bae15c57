//! Lap: overlap added where pieces meet, to the one that lies beneath.
//!
//! What is seen of a piece is it without what lies above. From there it is to reach under its neighbours by the overlap, whatever they had
//! before: so what overlaps enough stays as it was drawn, to the point.

use super::Meeting;
use super::taken::taken;
use crate::distance::{LONGEST_REACH, squared_to_other};
use crate::hand::area::{self, Raster};
use crate::outline::Outlines;
use crate::plane::Plane;
use crate::plate::Plate;
use crate::units::{Millimetres, PointMm, PxPerMm};

/// Raster that overlaps are drawn on, px/mm, and the most pixels it has.
const FINE: f64 = 10.0;
const MOST_PIXELS: f64 = 6e6;
/// Neighbours no farther off than this have one edge, mm.
const GAP: f64 = 0.35;

/// Each outline with its overlap, and its area in mm²; none where nothing is added. `turn` says when each is laid.
pub(super) fn lapped(
    outlines: &[Option<Vec<PointMm>>],
    turn: &[usize],
    meet: &[Meeting],
    lap: Millimetres,
    plate: &Plate,
) -> Vec<Option<(Vec<PointMm>, f64)>> {
    let mut over: Vec<Vec<usize>> = vec![Vec::new(); outlines.len()];
    if lap.0 > 0.0 {
        for &Meeting { pieces: (one, other), .. } in meet {
            let (above, beneath) = if turn[one] < turn[other] { (one, other) } else { (other, one) };
            over[beneath].push(above);
        }
    }
    let each = |(at, outline): (usize, &Option<Vec<PointMm>>)| {
        let above: Vec<&Vec<PointMm>> = over[at].iter().filter_map(|&above| outlines[above].as_ref()).collect();
        if above.is_empty() { None } else { grown(outline.as_ref()?, &above, lap.0, plate) }
    };
    outlines.iter().enumerate().map(each).collect()
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

fn grown(outline: &[PointMm], above: &[&Vec<PointMm>], lap: f64, plate: &Plate) -> Option<(Vec<PointMm>, f64)> {
    let (bevel, face) = (plate.bevel().0, plate.face());
    let span = |of: fn(&PointMm) -> f64, most: f64| {
        let (least, last) = outline.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        // A pixel more than the overlap, and nothing past the metal.
        ((least - lap - 0.5).max(-bevel - 0.5), (last + lap + 0.5).min(most + bevel + 0.5))
    };
    let ((left, right), (top, foot)) = (span(|p| p.x, face.width.0), span(|p| p.y, face.height.0));
    let finest = FINE.min((LONGEST_REACH - 2) as f64 / (lap + GAP));
    let resolution = PxPerMm(finest.min(libm::sqrt(MOST_PIXELS / ((right - left) * (foot - top)))));
    let pixels = |length: f64| (libm::ceil(length * resolution.0) as usize).max(1);
    let raster = Raster { width: pixels(right - left), height: pixels(foot - top), resolution };
    let drawn = |points: &[PointMm], into: &mut Plane<u8>, value: u8| {
        let moved: Vec<PointMm> = points.iter().map(|point| PointMm { x: point.x - left, y: point.y - top }).collect();
        area::polygon(raster, &moved, |y, start, end| into.data_mut()[y * raster.width + start..y * raster.width + end].fill(value));
    };
    let mut own = Plane::filled(raster.width, raster.height, 0u8);
    drawn(outline, &mut own, 1);
    let mut covers: Vec<Plane<u8>> = Vec::with_capacity(above.len());
    let mut covered = Plane::filled(raster.width, raster.height, 0u8);
    for points in above {
        let mut one = Plane::filled(raster.width, raster.height, 0u8);
        drawn(points, &mut one, 1);
        drawn(points, &mut covered, 1);
        covers.push(one);
    }
    let seen = Plane::from_fn(raster.width, raster.height, |x, y| u8::from(own.at(x, y) == 1 && covered.at(x, y) == 0));
    let reach = |mm: f64| (libm::ceil(mm * resolution.0) as usize + 1).min(LONGEST_REACH);
    // From a pixel's middle to the crack before the nearest of the others.
    let near = |square: u16, mm: f64| square != u16::MAX && (libm::sqrt(f64::from(square)) - 0.5) <= mm * resolution.0;
    let to_seen = squared_to_other(&seen, reach(lap));
    // Only beneath those that it does not reach under far enough already.
    let mut short = Plane::filled(raster.width, raster.height, 0u8);
    let mut any = false;
    for one in covers {
        let needed = Plane::from_fn(raster.width, raster.height, |x, y| {
            u8::from(own.at(x, y) == 1 || (one.at(x, y) == 1 && near(to_seen.at(x, y), lap)))
        });
        let added = without_ears(&own, &needed, lap * resolution.0);
        let count = added.data().iter().zip(own.data()).filter(|(added, own)| added > own).count() as f64;
        if count / (resolution.0 * resolution.0) >= lap * lap {
            any = true;
            short.data_mut().iter_mut().zip(one.data()).for_each(|(short, one)| *short |= one);
        }
    }
    if !any {
        return None;
    }
    let to_short = squared_to_other(&short, reach(GAP));
    let grown = Plane::from_fn(raster.width, raster.height, |x, y| {
        // A gap between the two is closed on the way.
        let under = short.at(x, y) == 1 || near(to_short.at(x, y), GAP);
        u8::from(own.at(x, y) == 1 || (under && near(to_seen.at(x, y), lap)))
    });
    let pixel = 1.0 / (resolution.0 * resolution.0);
    let found = taken(&Outlines::of(&grown, resolution), &grown, resolution, |value| value == 1, 0.5);
    let area = grown.data().iter().filter(|&&value| value == 1).count() as f64 * pixel;
    let largest = found.outlines.into_iter().next()?;
    let hundredths = |mm: f64| libm::round(mm * 100.0) / 100.0;
    Some((largest.iter().map(|point| PointMm { x: hundredths(point.x + left), y: hundredths(point.y + top) }).collect(), area))
}
