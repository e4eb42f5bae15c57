//! The plate's corners, found in the photograph of a plate whose stop-out is known.
//!
//! A painted plate is no light sheet on a dark table: along its rim it is lighter here and darker there, its bevel shines in a line of its own,
//! and varnish on a dark bench shows no edge at all. So straight lines of either kind are put together to quadrilaterals, and what is
//! painted decides between them: each is held to the stop-out, the best are moved until stop-out and edges agree best, and the edges, where
//! they show, set them to a part of a pixel. Where the stop-out doesn't go well with what is found, or goes nearly as well otherwise, what is
//! returned is no more than a guess, and said to be one.

use super::wanted::{BARE, COVERED, Way, value};
use crate::homography::{Homography, Point, solve};
use crate::photo::lines::{Line, lines, slopes};
use crate::photo::source::Light;
use crate::photo::{Corners, CornersError, proportion};
use crate::plane::Plane;
use crate::plate::Plate;
use crate::stopouts::StopOuts;
use crate::warp::Source;

/// Corners, and whether they may be relied on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundPlate {
    /// The plate's corners as the plate view has them.
    pub corners: Corners,
    /// Whether everything spoke for them: else they are a guess, to be looked at.
    pub sure: bool,
    /// How well the stop-out goes with what lies within them, 0 to 1: a correlation.
    pub fit: f64,
    /// How far they lead whatever goes next best and lies elsewhere, of stop-out and edges together.
    pub lead: f64,
    /// How much of an edge the rim shows, 0 to 1.
    pub rim: f64,
}

/// The reduced picture that the plate is looked for in, and the finer one that its edges are set by.
const ROUGH: Scale = Scale { longest: 640, full_step: 0.25, probes: 48, edges: 0.15 };
const FINE: Scale = Scale { longest: 1600, full_step: 1.0, probes: 160, edges: 0.3 };
/// Straight lines looked at, and quadrilaterals of them held to the stop-out, and of those the ones moved to their best.
const LINES: usize = 90;
const QUADS: usize = 90;
const MOVED: usize = 6;
/// And of those the ones set by the finer picture.
const SET: usize = 3;
/// Pixels of the reduced picture to either side that a step is measured between.
const BESIDE: f64 = 2.5;
/// Lighter than this in every colour, a place is a lamp or its mirror image.
const BURNT: f32 = 0.9;
/// Least share of the picture that a plate takes.
const LEAST_AREA: f64 = 0.06;
/// How far the proportion seen may lie from the plate's, in its logarithm: a camera's focal length is not known.
const PROPORTION: f64 = 0.16;
/// Places of the face that are held to the stop-out, each way.
const CELLS: usize = 44;
/// Corners farther off than this, mm, lie elsewhere.
const ELSEWHERE: f64 = 1.5;
/// How well the stop-out must go with corners, and how far they must lead whatever lies elsewhere, to be relied on.
const SURE: (f64, f64) = (0.7, 0.015);
/// Steps by which corners are moved, mm: in the rough picture and in the fine one.
const STEPS: ([f64; 4], [f64; 4]) = ([3.0, 1.6, 0.8, 0.4], [0.4, 0.2, 0.1, 0.05]);

impl FoundPlate {
    /// Whether what lies within the corners goes with the stop-out, wherever else it might go as well.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.fit >= SURE.0
    }
}

/// How a picture is reduced and looked at.
#[derive(Clone, Copy)]
struct Scale {
    /// Its longest side, pixels.
    longest: usize,
    /// The step in the logarithm of light that is a full vote for an edge.
    full_step: f32,
    /// Places looked at along a side.
    probes: usize,
    /// What the edges count beside the stop-out.
    edges: f64,
}

/// A reduced picture: logarithms of its light, of red, green and blue.
struct Small {
    logs: Plane<[f32; 3]>,
    /// The same of its luminance; NaN where it is burnt out.
    light: Plane<f32>,
    /// Pixels of the picture to one of these, each way.
    factor: f64,
    scale: Scale,
}

/// Linear red, green and blue, and the share that is burnt out.
type Rgbs = Plane<[f32; 4]>;

/// Means of squares of `factor` pixels; what is left over at the right and at the foot is left out.
fn reduced((width, height): (usize, usize), factor: usize, at: impl Fn(usize, usize) -> [f32; 4]) -> Rgbs {
    let (w, h) = ((width / factor).max(1), (height / factor).max(1));
    let area = (factor * factor) as f32;
    Plane::from_fn(w, h, |x, y| {
        let mut sum = [0.0f32; 4];
        for dy in 0..factor {
            for dx in 0..factor {
                let (px, py) = ((x * factor + dx).min(width - 1), (y * factor + dy).min(height - 1));
                for (sum, v) in sum.iter_mut().zip(at(px, py)) {
                    *sum += v / area;
                }
            }
        }
        sum
    })
}

impl Small {
    /// The fine picture and the rough one.
    fn both(light: &Light<'_>) -> (Self, Self) {
        let (width, height) = Source::<3>::size(light);
        let factor = width.max(height).div_ceil(FINE.longest).max(1);
        let fine = reduced((width, height), factor, |x, y| {
            let [r, g, b] = Source::<3>::at(light, x, y);
            [r, g, b, if r.min(g).min(b) > BURNT { 1.0 } else { 0.0 }]
        });
        let more = fine.width().max(fine.height()).div_ceil(ROUGH.longest).max(1);
        let rough = reduced((fine.width(), fine.height()), more, |x, y| fine.at(x, y));
        (Self::of(&fine, factor, FINE), Self::of(&rough, factor * more, ROUGH))
    }

    fn of(rgb: &Rgbs, factor: usize, scale: Scale) -> Self {
        let most = rgb.data().iter().flat_map(|v| &v[..3]).fold(1e-4f32, |most, &v| most.max(v));
        // Two hundredths of the lightest keep noise in the dark from looking like edges.
        let log = |v: f32| libm::logf(v.max(0.0) + 0.02 * most);
        let logs = rgb.map(|&[r, g, b, _]| [log(r), log(g), log(b)]);
        let light = rgb.map(|&[r, g, b, burnt]| if burnt > 0.3 { f32::NAN } else { log(0.2126 * r + 0.7152 * g + 0.0722 * b) });
        Self { logs, light, factor: factor as f64, scale }
    }

    fn size(&self) -> (usize, usize) {
        (self.light.width(), self.light.height())
    }

    fn pixel(&self, [x, y]: Point) -> Option<(usize, usize)> {
        let (w, h) = self.size();
        (x >= 0.0 && y >= 0.0 && x < w as f64 && y < h as f64).then_some((x as usize, y as usize))
    }

    /// Whether there is a step between the two sides of a place, 0 to 1: of either kind, in any colour.
    fn step(&self, at: Point, across: Point) -> f32 {
        let side = |by: f64| self.pixel([at[0] + by * across[0], at[1] + by * across[1]]);
        let (Some(a), Some(b)) = (side(BESIDE), side(-BESIDE)) else { return 0.0 };
        let (a, b) = (self.logs.at(a.0, a.1), self.logs.at(b.0, b.1));
        let most = (0..3).map(|c| (a[c] - b[c]).abs()).fold(0.0, f32::max);
        (most / self.scale.full_step).min(1.0)
    }

    /// Share of a side that shows an edge.
    fn side(&self, a: Point, b: Point) -> f64 {
        let probes = self.scale.probes;
        let length = libm::hypot(b[0] - a[0], b[1] - a[1]).max(1e-6);
        let across = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
        let sum: f32 = (0..probes)
            .map(|k| {
                let s = (k as f64 + 0.5) / probes as f64;
                self.step([a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])], across)
            })
            .sum();
        f64::from(sum) / probes as f64
    }

    fn rim(&self, quad: &[Point; 4]) -> [f64; 4] {
        std::array::from_fn(|i| self.side(quad[i], quad[(i + 1) % 4]))
    }
}

/// A line with how much of an edge it has up to each place along it.
struct Rule {
    line: Line,
    reach: f64,
    sums: Vec<f32>,
}

impl Rule {
    fn of(small: &Small, line: Line) -> Self {
        let (w, h) = small.size();
        let reach = libm::hypot(w as f64, h as f64);
        let mut sum = 0.0f32;
        let sums = (0..=2 * libm::ceil(reach) as usize).map(|k| {
            let t = k as f64 - reach;
            let at: Point = [line.normal[0] * line.distance - line.normal[1] * t, line.normal[1] * line.distance + line.normal[0] * t];
            sum += small.step(at, line.normal);
            sum
        });
        Self { line, reach, sums: sums.collect() }
    }

    /// Mean of the votes between two places of it.
    fn between(&self, a: Point, b: Point) -> f64 {
        let place = |p: Point| {
            let t = -p[0] * self.line.normal[1] + p[1] * self.line.normal[0];
            ((t + self.reach).max(0.0) as usize).min(self.sums.len() - 1)
        };
        let (a, b) = (place(a), place(b));
        let (low, high) = (a.min(b), a.max(b));
        f64::from(self.sums[high] - self.sums[low]) / (high - low).max(1) as f64
    }
}

/// Twice-signed area halved; positive clockwise as seen.
fn area(quad: &[Point; 4]) -> f64 {
    (0..4).map(|i| quad[i][0] * quad[(i + 1) % 4][1] - quad[(i + 1) % 4][0] * quad[i][1]).sum::<f64>() / 2.0
}

fn apart(a: &[Point; 4], b: &[Point; 4]) -> f64 {
    (0..4).map(|i| libm::hypot(a[i][0] - b[i][0], a[i][1] - b[i][1])).fold(0.0, f64::max)
}

/// The quadrilaterals whose sides show most of an edge, best first: none like another, each from its upper left corner.
fn quadrilaterals(small: &Small) -> Vec<[Point; 4]> {
    let luminance = small.light.map(|&v| if v.is_nan() { 0.0 } else { v });
    let (w, h) = small.size();
    let mut rules: Vec<Rule> = Vec::new();
    for line in lines(&slopes(&luminance), LINES) {
        // Light to one side or to the other, it is the same line.
        let same = |rule: &Rule| {
            let along = rule.line.normal[0] * line.normal[0] + rule.line.normal[1] * line.normal[1];
            along.abs() > 0.9993 && (rule.line.distance - along.signum() * line.distance).abs() < 2.5
        };
        if !rules.iter().any(same) {
            rules.push(Rule::of(small, line));
        }
    }
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    let long = w.max(h) as f64;
    for i in 0..rules.len() {
        for j in i + 1..rules.len() {
            let (a, b) = (&rules[i].line, &rules[j].line);
            let along = a.normal[0] * b.normal[0] + a.normal[1] * b.normal[1];
            if along.abs() > 0.9 && (a.distance - along.signum() * b.distance).abs() > 0.15 * long {
                pairs.push((i, j));
            }
        }
    }
    let mut all: Vec<(f64, [Point; 4])> = Vec::new();
    let inside = |p: &Point| (1.0..=w as f64 - 1.0).contains(&p[0]) && (1.0..=h as f64 - 1.0).contains(&p[1]);
    for (n, &(a, b)) in pairs.iter().enumerate() {
        for &(c, d) in &pairs[n + 1..] {
            let (a, b, c, d) = (&rules[a], &rules[b], &rules[c], &rules[d]);
            let across = a.line.normal[0] * c.line.normal[0] + a.line.normal[1] * c.line.normal[1];
            if across.abs() > 0.6 {
                continue;
            }
            let (Some(p), Some(q), Some(r), Some(s)) =
                (a.line.meets(&c.line), a.line.meets(&d.line), b.line.meets(&d.line), b.line.meets(&c.line))
            else {
                continue;
            };
            let mut quad = [p, q, r, s];
            if !quad.iter().all(inside) || area(&quad).abs() < LEAST_AREA * (w * h) as f64 {
                continue;
            }
            let votes = [a.between(p, q), d.between(q, r), b.between(r, s), c.between(s, p)];
            let least = votes.iter().fold(1.0f64, |least, &v| least.min(v));
            let mean = votes.iter().sum::<f64>() / 4.0;
            if mean < 0.4 || least < 0.12 {
                continue;
            }
            let lengths = Corners(quad).sides();
            let score = (0..4).map(|i| lengths[i] * votes[i] * votes[i]).sum::<f64>();
            if area(&quad) < 0.0 {
                quad.reverse();
            }
            let first = (0..4).min_by(|&i, &j| (quad[i][0] + quad[i][1]).total_cmp(&(quad[j][0] + quad[j][1]))).unwrap_or(0);
            quad.rotate_left(first);
            all.push((score, quad));
        }
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut kept: Vec<[Point; 4]> = Vec::new();
    for (_, quad) in all {
        if kept.iter().all(|other| apart(other, &quad) > 4.0) {
            kept.push(quad);
            if kept.len() == QUADS {
                break;
            }
        }
    }
    kept
}

/// What is wanted, at places of the plate.
struct Pattern {
    /// Shares of the plate and what is wanted there: −1 covered, 1 bare.
    places: Vec<(Point, f64)>,
}

impl Pattern {
    fn of(plate: &Plate, stop_outs: &StopOuts, number: usize, way: Way) -> Self {
        let (size, face, bevel) = (plate.size(), plate.face(), plate.bevel().0);
        let mut places = Vec::new();
        for j in 0..CELLS {
            for i in 0..CELLS {
                let share = [(i as f64 + 0.5) / CELLS as f64, (j as f64 + 0.5) / CELLS as f64];
                let wanted = match value(stop_outs, number, way, share) {
                    COVERED => -1.0,
                    BARE => 1.0,
                    _ => continue,
                };
                let at = [(bevel + share[0] * face.width.0) / size.width.0, (bevel + share[1] * face.height.0) / size.height.0];
                places.push((at, wanted));
            }
        }
        Self { places }
    }

    /// How well light and dark within the corners go with it: the correlation, a lamp's even fall taken out of both. 0 to 1.
    fn fit(&self, small: &Small, quad: &[Point; 4]) -> f64 {
        let Some(map) = Homography::between(&super::view::SQUARE, quad) else { return 0.0 };
        // Sums of products of 1, x, y, wanted and seen.
        let mut sums = [[0.0f64; 5]; 5];
        let mut count = 0usize;
        for &(share, wanted) in &self.places {
            let Some((x, y)) = small.pixel(map.apply(share)) else { continue };
            let seen = f64::from(small.light.at(x, y));
            if seen.is_nan() {
                continue;
            }
            count += 1;
            let row = [1.0, share[0] - 0.5, share[1] - 0.5, wanted, seen];
            for i in 0..5 {
                for j in i..5 {
                    sums[i][j] += row[i] * row[j];
                }
            }
        }
        if 2 * count < self.places.len().max(1) {
            return 0.0;
        }
        let at = |i: usize, j: usize| if i <= j { sums[i][j] } else { sums[j][i] };
        // What is left of a product when what 1, x and y explain is taken out.
        let explained = |k: usize| solve::<3, 4>(std::array::from_fn(|i| [at(i, 0), at(i, 1), at(i, 2), at(i, k)]));
        let (Some(wanted), Some(seen)) = (explained(3), explained(4)) else { return 0.0 };
        let left = |k: usize, of: &[f64; 3], l: usize| at(k, l) - (0..3).map(|i| of[i] * at(i, l)).sum::<f64>();
        let (ww, ss, ws) = (left(3, &wanted, 3), left(4, &seen, 4), left(3, &wanted, 4));
        if ww > 1e-9 * count as f64 && ss > 1e-9 * count as f64 { (ws / libm::sqrt(ww * ss)).clamp(-1.0, 1.0).abs() } else { 0.0 }
    }
}

/// What speaks for corners: the stop-out and the edges.
fn worth(small: &Small, pattern: &Pattern, quad: &[Point; 4]) -> f64 {
    pattern.fit(small, quad) + small.scale.edges * small.rim(quad).iter().sum::<f64>() / 4.0
}

/// Corners moved until stop-out and edges agree best.
fn settled(small: &Small, pattern: &Pattern, start: [Point; 4], px_per_mm: f64, steps: &[f64]) -> ([Point; 4], f64) {
    let worth = |quad: &[Point; 4]| worth(small, pattern, quad);
    let mut quad = start;
    let mut best = worth(&quad);
    for &step in steps {
        let by = step * px_per_mm;
        for _ in 0..6 {
            let before = best;
            // Sides, then corners, then the whole.
            let groups: [&[usize]; 9] = [&[0, 1], &[1, 2], &[2, 3], &[3, 0], &[0], &[1], &[2], &[3], &[0, 1, 2, 3]];
            for group in groups {
                for dir in [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]] {
                    let mut next = quad;
                    for &i in group {
                        next[i] = [next[i][0] + by * dir[0], next[i][1] + by * dir[1]];
                    }
                    let got = worth(&next);
                    if got > best + 1e-6 {
                        (quad, best) = (next, got);
                    }
                }
            }
            if best - before < 1e-4 {
                break;
            }
        }
    }
    (quad, best)
}

/// Looks for the plate.
///
/// Where it is nowhere as it should be, it is looked for mirrored: whoever is given these corners sees that it is.
///
/// # Errors
/// Where there are no four straight sides of a plate of its proportion.
pub(super) fn find(light: &Light<'_>, plate: &Plate, stop_outs: &StopOuts, number: usize) -> Result<FoundPlate, CornersError> {
    let (fine, rough) = Small::both(light);
    let quads = quadrilaterals(&rough);
    let look = |way: Way| best(&fine, &rough, &quads, &Pattern::of(plate, stop_outs, number, way), plate, Source::<3>::size(light));
    let found = look(Way::default());
    if found.is_some_and(|found| found.sure) {
        return found.ok_or(CornersError::NoSheet);
    }
    let mirrored = look(Way { turned: false, mirrored: true }).filter(|mirrored| mirrored.sure);
    mirrored.or(found).ok_or(CornersError::NoSheet)
}

/// The quadrilateral that goes best with a pattern.
fn best(
    fine: &Small,
    rough: &Small,
    quads: &[[Point; 4]],
    pattern: &Pattern,
    plate: &Plate,
    picture: (usize, usize),
) -> Option<FoundPlate> {
    let size = plate.size();
    let wanted = libm::log(size.width.0 / size.height.0);
    let in_picture = |quad: &[Point; 4], small: &Small| Corners(quad.map(|p| p.map(|v| v * small.factor)));
    let mut tried: Vec<(f64, [Point; 4])> = Vec::new();
    for quad in quads {
        for turn in 0..4 {
            let mut quad = *quad;
            quad.rotate_left(turn);
            let seen = proportion(&in_picture(&quad, rough), picture);
            if seen.is_some_and(|seen| (libm::log(seen) - wanted).abs() <= PROPORTION) {
                tried.push((worth(rough, pattern, &quad), quad));
            }
        }
    }
    let best_first = |all: &mut Vec<(f64, [Point; 4])>| all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let scale = |quad: &[Point; 4]| Corners(*quad).sides()[0] / size.width.0;
    let moved = |small: &Small, all: &[(f64, [Point; 4])], most: usize, larger: f64, steps: &[f64]| {
        let one = |(_, quad): &(f64, [Point; 4])| {
            let quad = quad.map(|p| p.map(|v| v * larger));
            let (quad, worth) = settled(small, pattern, quad, scale(&quad), steps);
            (worth, quad)
        };
        let mut all: Vec<_> = all.iter().take(most).map(one).collect();
        best_first(&mut all);
        all
    };
    best_first(&mut tried);
    let near_by = moved(rough, &tried, MOVED, 1.0, &STEPS.0);
    let larger = rough.factor / fine.factor;
    let set = moved(fine, &near_by, SET, larger, &STEPS.1);
    let &(most, quad) = set.first()?;
    // What goes next best and lies elsewhere, looked at the same way.
    let near = ELSEWHERE * scale(&quad);
    let others = near_by.iter().chain(&tried).map(|(_, quad)| quad.map(|p| p.map(|v| v * larger)));
    let others = others.filter(|other| apart(other, &quad) > near).map(|other| worth(fine, pattern, &other));
    let next = set.iter().filter(|(_, other)| apart(other, &quad) > near).map(|s| s.0).chain(others).fold(0.0, f64::max);
    let corners = in_picture(&quad, fine);
    corners.check(picture).ok()?;
    let (fit, lead) = (pattern.fit(fine, &quad), most - next);
    let rim = fine.rim(&quad).iter().sum::<f64>() / 4.0;
    Some(FoundPlate { corners, sure: fit >= SURE.0 && lead >= SURE.1, fit, lead, rim })
}
