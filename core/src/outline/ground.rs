//! What a curve is drawn on: one line of cracks, its corners, and where its points would be without stairs.

use super::trace::Walk;
use crate::units::PxPerMm;
use kurbo::Point;

/// Length of the arms of a corner, mm, along the cracks.
const ARM_MM: f64 = 1.0;
/// Fewest pixels of an arm: on fewer, the stairs of a slope look like corners.
const ARM_LEAST: usize = 4;
/// A corner turns by more than 50° (this is the cosine) from arm to arm.
const CORNER: f64 = 0.643;
/// An arm of a corner is straight: no crack lies further from the line through its ends, pixels. A raster of a straight line keeps within it.
const ARM_STRAIGHT: f64 = 0.8;
/// Rounds of averaging with both neighbours: a blur of 1.7 pixels (standard deviation).
const ROUNDS: usize = 6;

/// How near a curve keeps to the middle of a crack, pixels, at levels 0 and 1. A straight line of any slope passes within half a pixel of
/// the middles of its cracks, so level 0 takes out all stairs; at level 1 two curves over cracks a pixel apart can't meet.
const NEAR: [f64; 2] = [0.65, 0.3];
/// How near a curve keeps to the cracks at most, mm.
const NEAR_MM: f64 = 0.14;

/// The level at which the curve is the line of cracks itself, its corners rounded.
pub(super) const SAFE: u8 = 2;

/// A line of cracks made ready. All in pixels.
pub(super) struct Ground {
    pub(super) lighter: u8,
    pub(super) darker: u8,
    pub(super) closed: bool,
    /// Corners of pixels: one more than cracks.
    pub(super) corners: Vec<Point>,
    /// Middles of the cracks.
    pub(super) middles: Vec<Point>,
    /// The middles, averaged.
    smooth: Vec<Point>,
    /// Whether the curve has a corner at a corner of a pixel.
    pub(super) sharp: Vec<bool>,
    /// How freely the curve passes each middle: 0, 1 or [`SAFE`].
    pub(super) level: Vec<u8>,
    /// Pixels of [`NEAR_MM`].
    near: f64,
}

impl Ground {
    pub(super) fn of(walk: Walk, resolution: PxPerMm) -> Self {
        let Walk { lighter, darker, corners, closed } = walk;
        let mut corners: Vec<Point> = corners.into_iter().map(Point::from).collect();
        let mut sharp = sharp(&corners, closed, resolution);
        // A closed curve with corners begins at one.
        if let Some(first) = sharp.iter().position(|&sharp| sharp).filter(|_| closed) {
            corners.pop();
            sharp.pop();
            corners.rotate_left(first);
            sharp.rotate_left(first);
            corners.push(corners[0]);
            sharp.push(true);
        }
        let middles: Vec<Point> = corners.windows(2).map(|pair| pair[0].midpoint(pair[1])).collect();
        let level = if closed && middles.len() <= 8 { SAFE } else { 0 };
        let level = vec![level; middles.len()];
        let mut ground =
            Self { lighter, darker, closed, corners, smooth: middles.clone(), middles, sharp, level, near: NEAR_MM * resolution.0 };
        ground.average();
        ground
    }

    /// Whether it is a ring without a corner to begin at.
    pub(super) fn is_ring(&self) -> bool {
        self.closed && !self.sharp[0]
    }

    /// Steps from middle to middle.
    pub(super) fn steps(&self) -> usize {
        if self.is_ring() { self.middles.len() } else { self.middles.len() - 1 }
    }

    /// Whether the curve keeps to the cracks between a middle and the next.
    pub(super) fn is_safe(&self, step: usize) -> bool {
        self.level[step] == SAFE && self.level[(step + 1) % self.level.len()] == SAFE
    }

    /// How far the curve may pass from a middle, pixels.
    pub(super) fn room(&self, i: usize) -> f64 {
        NEAR.get(usize::from(self.level[i % self.level.len()])).map_or(0.0, |near| near.min(self.near))
    }

    /// How far the curve may pass from the corner of a pixel where the cracks turn, pixels.
    pub(super) fn room_at_turns(&self) -> f64 {
        self.near
    }

    /// Where the curve should pass: the averaged middle, as far as there is room.
    pub(super) fn aim(&self, i: usize) -> Point {
        let i = i % self.middles.len();
        let off = self.smooth[i] - self.middles[i];
        let (far, room) = (length(off.x, off.y), self.room(i));
        if far > room { self.middles[i] + off * (room / far) } else { self.smooth[i] }
    }

    fn average(&mut self) {
        let (count, ring) = (self.middles.len(), self.is_ring());
        if count < 3 {
            return;
        }
        let pinned = |i: usize| self.sharp[i] || self.sharp[i + 1] || !ring && (i == 0 || i + 1 == count);
        let pinned: Vec<bool> = (0..count).map(pinned).collect();
        averaged(&mut self.smooth, &pinned);
        // Averaging draws a bend inwards. What it took away is averaged too and given back, which leaves the stairs out.
        let mut lost: Vec<Point> = self.middles.iter().zip(&self.smooth).map(|(middle, smooth)| (*middle - *smooth).to_point()).collect();
        averaged(&mut lost, &pinned);
        for (smooth, lost) in self.smooth.iter_mut().zip(&lost) {
            *smooth += lost.to_vec2();
        }
    }
}

/// Rounds of averaging round a ring; what is pinned stays.
fn averaged(points: &mut Vec<Point>, pinned: &[bool]) {
    let count = points.len();
    let mut next = points.clone();
    for _ in 0..ROUNDS {
        for i in (0..count).filter(|&i| !pinned[i]) {
            let (before, here, after) = (points[(i + count - 1) % count], points[i], points[(i + 1) % count]);
            next[i] = Point::new((before.x + 2.0 * here.x + after.x) / 4.0, (before.y + 2.0 * here.y + after.y) / 4.0);
        }
        std::mem::swap(points, &mut next);
    }
}

/// The length of a vector, by operations that give the same bits on every machine.
pub(super) fn length(x: f64, y: f64) -> f64 {
    libm::sqrt(x * x + y * y)
}

/// Where a line of cracks has a corner: it turns by more than 50° between two straight arms of a millimetre. Of several such places
/// within half an arm it is the one that turns most.
fn sharp(corners: &[Point], closed: bool, resolution: PxPerMm) -> Vec<bool> {
    let count = corners.len() - 1;
    let mut sharp = vec![false; corners.len()];
    let arm = (libm::round(ARM_MM * resolution.0) as usize).max(ARM_LEAST);
    if count < 2 * arm {
        return sharp;
    }
    let at = |i: usize| corners[i % count.max(1)];
    let (from, to) = if closed { (count, 2 * count) } else { (arm, count - arm + 1) };
    let point = |i: usize| if closed { at(i) } else { corners[i] };
    let straight = |a: usize, b: usize| {
        let (start, along) = (point(a), point(b) - point(a));
        let far = length(along.x, along.y) * ARM_STRAIGHT;
        (a + 1..b).all(|i| along.cross(point(i) - start).abs() <= far)
    };
    // The best of a cluster: its place and its cosine.
    let mut best: Option<(usize, f64)> = None;
    for i in from..to {
        let (here, before, after) = (point(i), point(i - 1), point(i + 1));
        if (here - before).dot(after - here) != 0.0 {
            continue;
        }
        let (arrive, leave) = (here - point(i - arm), point(i + arm) - here);
        let lengths = length(arrive.x, arrive.y) * length(leave.x, leave.y);
        let cosine = if lengths > 0.0 { arrive.dot(leave) / lengths } else { 1.0 };
        if cosine > CORNER || !straight(i - arm, i) || !straight(i, i + arm) {
            continue;
        }
        match best {
            Some((place, least)) if i - place <= arm / 2 => {
                if cosine < least {
                    best = Some((i, cosine));
                }
            }
            _ => {
                if let Some((place, _)) = best {
                    sharp[place % count] = true;
                }
                best = Some((i, cosine));
            }
        }
    }
    if let Some((place, _)) = best {
        sharp[if closed { place % count } else { place }] = true;
    }
    if closed {
        sharp[count] = sharp[0];
    }
    sharp
}
