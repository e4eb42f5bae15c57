//! Cubic Béziers along a line of cracks: least squares between chosen ends and directions, cut where they stray.
//!
//! The fit is that of Schneider, "An algorithm for automatically fitting digitized curves", Graphics Gems, 1990, 612–626: two lengths
//! of handles by least squares, parameters by Newton's step, a cut at the worst point.

use super::ground::{Ground, length};
use kurbo::{Point, Vec2};

/// Points each way over which the direction at a cut is taken: as many as lie straight, between these.
const FARTHEST: usize = 24;
const NEAREST: usize = 3;
/// How far the middle of a straight stretch lies from its chord at most, pixels: half a stair and a little.
const BEND: f64 = 0.6;
/// Points each way over which the direction is taken where a ring closes.
const REACH: usize = 5;
/// Times the parameters are improved before a curve is cut.
const NEWTON: usize = 3;
/// With less room than this, pixels, a curve is looked at between the middles too, at these parts of a step.
const COARSE: f64 = 0.65;
const BETWEEN: [f64; 3] = [0.25, 0.5, 0.75];
/// Handles as a share of the corner's legs where the safe line rounds a pixel's corner: it passes 0.14 pixels from it.
const ROUNDING: f64 = 0.8;

/// One cubic, or a straight line, in pixels.
#[derive(Clone, Copy)]
pub(super) struct Piece {
    pub(super) points: [Point; 4],
    /// The middles it leads from and to.
    pub(super) from: usize,
    pub(super) to: usize,
    /// Whether it is one straight line.
    pub(super) line: bool,
    /// Whether it lies on its cracks, so that nothing else can be there.
    pub(super) safe: bool,
}

impl Piece {
    fn line(a: Point, b: Point, from: usize, to: usize) -> Self {
        Self { points: [a, a.lerp(b, 1.0 / 3.0), a.lerp(b, 2.0 / 3.0), b], from, to, line: true, safe: true }
    }

    pub(super) fn at(&self, t: f64) -> Point {
        value(&self.points, t)
    }
}

/// The curve of one line of cracks.
pub(super) fn pieces(ground: &Ground) -> Vec<Piece> {
    let (corners, middles) = (&ground.corners, &ground.middles);
    let (count, steps, ring) = (middles.len(), ground.steps(), ground.is_ring());
    let mut out = Vec::new();
    if !ring {
        out.push(Piece::line(corners[0], middles[0], 0, 0));
    }
    let mut i = 0;
    while i < steps {
        let (a, corner, b) = (middles[i], corners[i + 1], middles[(i + 1) % count]);
        // A ring's last step leads through its first corner, which isn't sharp.
        if ground.sharp[i + 1] {
            out.push(Piece::line(a, corner, i, i + 1));
            out.push(Piece::line(corner, b, i, i + 1));
            i += 1;
        } else if ground.is_safe(i) {
            if turns(a, b) {
                let points = [a, a.lerp(corner, ROUNDING), b.lerp(corner, ROUNDING), b];
                out.push(Piece { points, from: i, to: i + 1, line: false, safe: true });
            } else {
                out.push(Piece::line(a, b, i, i + 1));
            }
            i += 1;
        } else {
            let start = i;
            while i < steps && !ground.sharp[i + 1] && !ground.is_safe(i) {
                i += 1;
            }
            Run::of(ground, start, i).fit(&mut out);
        }
    }
    if !ring {
        out.push(Piece::line(middles[count - 1], corners[count], count - 1, count - 1));
    }
    out
}

/// Whether the cracks turn between two middles.
fn turns(a: Point, b: Point) -> bool {
    a.x != b.x && a.y != b.y
}

/// A stretch without corners.
struct Run<'a> {
    ground: &'a Ground,
    first: usize,
    aims: Vec<Point>,
    /// The direction at both ends, where it is given: a ring's, which closes smoothly.
    ends: Option<Vec2>,
}

/// A curve to be fitted: from, to, and the directions there, both forwards.
type Task = (usize, usize, Vec2, Vec2);

impl<'a> Run<'a> {
    fn of(ground: &'a Ground, first: usize, last: usize) -> Self {
        let mut aims: Vec<Point> = (first..=last).map(|i| ground.aim(i)).collect();
        let count = ground.middles.len();
        let whole = ground.is_ring() && first == 0 && last == count;
        let joined = ground.is_ring() && ground.room(0) > 0.0;
        let end = aims.len() - 1;
        if !(joined && first == 0) {
            aims[0] = ground.middles[first];
        }
        if !(joined && last == count) {
            aims[end] = ground.middles[last % count];
        }
        let reach = REACH.min(count / 4).max(1);
        let ends = (joined && (whole || first == 0 || last == count)).then(|| ground.aim(reach) - ground.aim(count - reach));
        Self { ground, first, aims, ends: ends.and_then(unit) }
    }

    /// How far round a point the run is straight, points: there the stairs average out.
    fn reach(&self, i: usize, both: bool) -> usize {
        let last = self.aims.len() - 1;
        let most = if both { i.min(last - i) } else { last };
        let mut reach = FARTHEST.min(most).max(1);
        while reach > NEAREST {
            let (a, middle, b) = match (both, i == 0) {
                (true, _) => (i - reach, i, i + reach),
                (false, true) => (0, reach / 2, reach),
                (false, false) => (last - reach, last - reach / 2, last),
            };
            let off = self.aims[middle] - self.aims[a].midpoint(self.aims[b]);
            if off.hypot2() <= BEND * BEND {
                break;
            }
            reach = reach * 3 / 4;
        }
        reach
    }

    /// The mean of the aims from one to another.
    fn mean(&self, from: usize, to: usize) -> Point {
        let sum = self.aims[from..=to].iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2());
        (sum / (to - from + 1) as f64).to_point()
    }

    /// The direction at a point of the run.
    fn direction(&self, i: usize) -> Vec2 {
        let last = self.aims.len() - 1;
        let ring_end = (i == 0 && self.first == 0) || (i == last && self.first + last == self.ground.middles.len());
        if let Some(end) = self.ends.filter(|_| ring_end) {
            return end;
        }
        let along = if i == 0 {
            self.mean(1, self.reach(0, false)) - self.aims[0]
        } else if i == last {
            self.aims[last] - self.mean(last - self.reach(last, false), last - 1)
        } else {
            let reach = self.reach(i, true);
            self.mean(i, i + reach) - self.mean(i - reach, i)
        };
        unit(along).unwrap_or(Vec2::new(1.0, 0.0))
    }

    /// Where a curve is cut: on the parabola nearest to what lies round it, as far as there is room. The weights are those of Savitzky and
    /// Golay (Analytical Chemistry 36, 1964, 1627–1639) for a parabola's middle, in closed form.
    fn cut(&self, i: usize) -> Point {
        let reach = self.reach(i, true);
        let r = reach as f64;
        let whole = (2.0 * r - 1.0) * (2.0 * r + 1.0) * (2.0 * r + 3.0) / 3.0;
        let weighed = self.aims[i - reach..=i + reach].iter().enumerate().fold(Vec2::ZERO, |sum, (k, p)| {
            let j = k as f64 - r;
            sum + p.to_vec2() * ((3.0 * r * r + 3.0 * r - 1.0 - 5.0 * j * j) / whole)
        });
        let at = (self.first + i) % self.ground.middles.len();
        let (middle, room) = (self.ground.middles[at], 0.9 * self.ground.room(at));
        let off = weighed - middle.to_vec2();
        let far = length(off.x, off.y);
        if far > room { middle + off * (room / far) } else { weighed.to_point() }
    }

    fn fit(mut self, out: &mut Vec<Piece>) {
        let last = self.aims.len() - 1;
        let mut tasks: Vec<Task> = vec![(0, last, self.direction(0), self.direction(last))];
        let mut parameters = Vec::new();
        let mut first = self.ends.is_some() && last > 3;
        while let Some(task) = tasks.pop() {
            // A ring's first and last points are one: it is cut before it is fitted.
            let fitted = if first { Err(last / 2) } else { self.one(task, &mut parameters) };
            first = false;
            match fitted {
                Ok(points) => out.push(Piece { points, from: self.first + task.0, to: self.first + task.1, line: false, safe: false }),
                Err(at) => {
                    let (there, place) = (self.direction(at), self.cut(at));
                    self.aims[at] = place;
                    tasks.push((at, task.1, there, task.3));
                    tasks.push((task.0, at, task.2, there));
                }
            }
        }
    }

    /// One cubic from point to point; where it can't keep near enough, the place to cut.
    fn one(&self, (a, b, start, end): Task, u: &mut Vec<f64>) -> Result<[Point; 4], usize> {
        let points = &self.aims[a..=b];
        let last = points.len() - 1;
        let chord = points[last] - points[0];
        let straight = [points[0], points[0] + chord / 3.0, points[last] - chord / 3.0, points[last]];
        if last <= 1 {
            let third = length(chord.x, chord.y) / 3.0;
            let curve = [points[0], points[0] + start * third, points[last] - end * third, points[last]];
            let curve = if advances(&curve) { curve } else { straight };
            if self.stray(a, &curve, &[0.0, 1.0]).0 <= 1.0 {
                return Ok(curve);
            }
            // Only a turn is checked within one step: rounded as the safe line rounds it.
            let corner = self.ground.corners[(self.first + a) % self.ground.middles.len() + 1];
            return Ok([points[0], points[0].lerp(corner, ROUNDING), points[1].lerp(corner, ROUNDING), points[1]]);
        }
        u.clear();
        let mut along = 0.0;
        u.push(0.0);
        for pair in points.windows(2) {
            along += length(pair[1].x - pair[0].x, pair[1].y - pair[0].y);
            u.push(along);
        }
        u.iter_mut().for_each(|u| *u /= along);
        let mut worst = (f64::MAX, last / 2);
        for round in 0..=NEWTON {
            let curve = handles(points, u, start, end);
            worst = self.stray(a, &curve, u);
            if worst.0 <= 1.0 {
                if advances(&curve) {
                    return Ok(curve);
                }
                break;
            }
            if worst.0 > 4.0 || round == NEWTON {
                break;
            }
            improve(points, &curve, u);
        }
        Err(a + worst.1.clamp(1, last - 1))
    }

    /// How far a curve is from its cracks, as a share of the room there, and where it is worst.
    fn stray(&self, a: usize, curve: &[Point; 4], u: &[f64]) -> (f64, usize) {
        let count = self.ground.middles.len();
        let mut worst = (0.0, 0);
        let last = u.len() - 1;
        // Where millimetres leave less room than pixels do, a curve may swing out between two cracks.
        let coarse = self.ground.room_at_turns() < COARSE;
        for i in 0..=last {
            let at = self.first + a + i;
            let middle = self.ground.middles[at % count];
            if i > 0 && i < last {
                let off = value(curve, u[i]) - middle;
                let room = self.ground.room(at);
                // Where there is no room a curve can't pass but by an end.
                let share = if room > 0.0 { off.hypot2() / (room * room) } else { f64::MAX };
                if share > worst.0 {
                    worst = (share, i);
                }
            }
            if i < last && turns(middle, self.ground.middles[(at + 1) % count]) {
                let off = value(curve, (u[i] + u[i + 1]) / 2.0) - self.ground.corners[at % count + 1];
                let room = self.ground.room_at_turns();
                let share = off.hypot2() / (room * room);
                if share > worst.0 {
                    worst = (share, i.max(1));
                }
            }
            if i < last && coarse {
                let (corner, next) = (self.ground.corners[at % count + 1], self.ground.middles[(at + 1) % count]);
                let room = self.ground.room_at_turns();
                for part in BETWEEN {
                    let here = value(curve, u[i] + part * (u[i + 1] - u[i]));
                    let off = beside(here, middle, corner).min(beside(here, corner, next));
                    let share = off / (room * room);
                    if share > worst.0 {
                        worst = (share, i.max(1));
                    }
                }
            }
        }
        (libm::sqrt(worst.0), worst.1)
    }
}

/// The square of the distance of a point from a stretch between two others.
fn beside(p: Point, a: Point, b: Point) -> f64 {
    let (along, off) = (b - a, p - a);
    let t = (off.dot(along) / along.hypot2()).clamp(0.0, 1.0);
    (off - along * t).hypot2()
}

fn unit(v: Vec2) -> Option<Vec2> {
    let long = length(v.x, v.y);
    (long > 1e-9).then(|| v / long)
}

fn value(p: &[Point; 4], t: f64) -> Point {
    let s = 1.0 - t;
    let (a, b, c, d) = (s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t);
    Point::new(a * p[0].x + b * p[1].x + c * p[2].x + d * p[3].x, a * p[0].y + b * p[1].y + c * p[2].y + d * p[3].y)
}

/// Whether a curve goes forward along its chord all the way, so that it can't cross itself.
fn advances(p: &[Point; 4]) -> bool {
    let chord = p[3] - p[0];
    (p[1] - p[0]).dot(chord) > 0.0 && (p[2] - p[1]).dot(chord) >= 0.0 && (p[3] - p[2]).dot(chord) > 0.0
}

/// The cubic with given ends and directions that passes nearest to points at given parameters.
fn handles(points: &[Point], u: &[f64], start: Vec2, end: Vec2) -> [Point; 4] {
    let (first, last) = (points[0], points[points.len() - 1]);
    let (mut c00, mut c01, mut c11, mut x0, mut x1) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let turn = start.dot(end);
    for (p, &t) in points.iter().zip(u) {
        let s = 1.0 - t;
        let (b1, b2) = (3.0 * s * s * t, 3.0 * s * t * t);
        let base = s * s * s + b1;
        let off = Vec2::new(p.x - first.x * base - last.x * (1.0 - base), p.y - first.y * base - last.y * (1.0 - base));
        c00 += b1 * b1;
        c01 -= b1 * b2 * turn;
        c11 += b2 * b2;
        x0 += b1 * off.dot(start);
        x1 -= b2 * off.dot(end);
    }
    let chord = last - first;
    let long = length(chord.x, chord.y);
    let determinant = c00 * c11 - c01 * c01;
    let (mut alpha, mut beta) =
        if determinant.abs() > 1e-12 { ((x0 * c11 - x1 * c01) / determinant, (c00 * x1 - c01 * x0) / determinant) } else { (0.0, 0.0) };
    if !(alpha > 1e-3 * long && beta > 1e-3 * long && alpha < 2.0 * long && beta < 2.0 * long) {
        (alpha, beta) = (long / 3.0, long / 3.0);
    }
    [first, first + start * alpha, last - end * beta, last]
}

/// One step of Newton for each parameter, kept in order.
fn improve(points: &[Point], p: &[Point; 4], u: &mut [f64]) {
    let d = [(p[1] - p[0]) * 3.0, (p[2] - p[1]) * 3.0, (p[3] - p[2]) * 3.0];
    let e = [(d[1] - d[0]) * 2.0, (d[2] - d[1]) * 2.0];
    let last = points.len() - 1;
    for i in 1..last {
        let (t, s) = (u[i], 1.0 - u[i]);
        let off = value(p, t) - points[i];
        let speed = d[0] * (s * s) + d[1] * (2.0 * s * t) + d[2] * (t * t);
        let bend = e[0] * s + e[1] * t;
        let under = speed.hypot2() + off.dot(bend);
        if under > 1e-12 {
            u[i] = (t - off.dot(speed) / under).clamp(u[i - 1], 1.0);
        }
    }
}
