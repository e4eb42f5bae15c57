//! Where the numbers of a key sheet stand: on edges that are long enough, in regions that are roomy enough, and beside small islands with a
//! line that points at them. Nothing stands on anything else; what finds no room is counted.

use crate::aside::{BY_HAND, RESIST};
use crate::islands;
use crate::plane::Plane;
use crate::units::{PointMm, PxPerMm};

/// Side of the squares on which room is looked for, mm.
const CELL: f64 = 0.5;
/// The pieces of the map are found on a raster no finer than this, mm: a third of the smallest mark.
const FINE: f64 = 0.3;
/// Radius of the ring round a region's number, mm.
pub(super) const RING: f64 = 2.7;
/// Half the height of a number on an edge with its blank, mm, and half the width of one digit's.
const HALF_HIGH: f64 = 1.6;
const HALF_DIGIT: f64 = 1.35;
/// An edge shorter than this, mm, keeps its line whole instead of a number; a longer one has a number every [`EVERY`] mm.
const SHORT: f64 = 9.0;
const EVERY: f64 = 90.0;
/// What stays free of other edges round a number on an edge, mm: in a tangle nobody reads it, nor tells whose it is.
const CLEAR: f64 = 0.7;
/// Least distance of two numbers, mm.
const APART: f64 = 1.2;
/// So many islands at most are pointed at, the largest first: more lines hide the edges. And none that holds no disc of so many mm: a dot covers it.
const MOST_LEADERS: usize = 150;
const LEAST_LED: f64 = 0.8;

/// An edge as this view shows it, mm on the face.
pub(super) struct Edge {
    /// Its lighter tone.
    pub(super) lighter: u8,
    /// Its points.
    pub(super) points: Vec<PointMm>,
}

/// A number and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Label {
    /// On an edge: it is painted at stop-out `number`.
    Edge { number: usize, at: PointMm },
    /// In a region, or beside it: covered at stop-out `number`, none where it never is. `island` is what a line points at.
    Region { number: Option<usize>, at: PointMm, island: Option<PointMm> },
}

/// All numbers, and how many edges and regions go without.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Labels {
    pub(super) list: Vec<Label>,
    pub(super) edges_without: usize,
    pub(super) regions_without: usize,
}

/// The half sides of a number on an edge with the blank behind it.
pub(super) fn half(number: usize) -> (f64, f64) {
    (HALF_DIGIT * if number > 9 { 1.7 } else { 1.0 }, HALF_HIGH)
}

fn wider((across, down): (f64, f64), by: f64) -> (f64, f64) {
    (across + by, down + by)
}

/// What each square of the face holds.
struct Grid {
    wide: usize,
    high: usize,
    /// 0 nothing, 1 several edges, otherwise 2 more than the number of the edge.
    edges: Vec<u32>,
    taken: Vec<bool>,
}

impl Grid {
    fn of((width, height): (f64, f64), edges: &[Edge]) -> Self {
        let (wide, high) = ((libm::ceil(width / CELL) as usize).max(1), (libm::ceil(height / CELL) as usize).max(1));
        let mut grid = Self { wide, high, edges: vec![0; wide * high], taken: vec![false; wide * high] };
        for (index, edge) in edges.iter().enumerate() {
            let mark = index as u32 + 2;
            for pair in edge.points.windows(2) {
                for at in between(pair[0], pair[1]) {
                    if let Some(cell) = grid.cell(at) {
                        let held = &mut grid.edges[cell];
                        *held = if *held == 0 || *held == mark { mark } else { 1 };
                    }
                }
            }
        }
        grid
    }

    fn cell(&self, at: PointMm) -> Option<usize> {
        let (x, y) = (libm::floor(at.x / CELL), libm::floor(at.y / CELL));
        (x >= 0.0 && y >= 0.0 && x < self.wide as f64 && y < self.high as f64).then(|| y as usize * self.wide + x as usize)
    }

    /// The squares that a box touches; none where it leaves the face.
    fn cells(&self, at: PointMm, (across, down): (f64, f64)) -> Option<impl Iterator<Item = usize> + '_> {
        let from = self.cell(PointMm { x: at.x - across, y: at.y - down })?;
        let to = self.cell(PointMm { x: at.x + across, y: at.y + down })?;
        let (left, top, right, foot) = (from % self.wide, from / self.wide, to % self.wide, to / self.wide);
        Some((top..=foot).flat_map(move |y| (left..=right).map(move |x| y * self.wide + x)))
    }

    /// Whether a box is on the face, holds nothing set so far, and no edge but `own`.
    fn free(&self, at: PointMm, half: (f64, f64), own: u32) -> bool {
        self.cells(at, half)
            .is_some_and(|mut cells| cells.all(|cell| !self.taken[cell] && (self.edges[cell] == 0 || self.edges[cell] == own)))
    }

    /// Takes what of a box is on the face.
    fn take(&mut self, at: PointMm, (across, down): (f64, f64)) {
        let within = |mm: f64, most: usize| (libm::floor(mm / CELL).max(0.0) as usize).min(most - 1);
        for y in within(at.y - down, self.high)..=within(at.y + down, self.high) {
            for x in within(at.x - across, self.wide)..=within(at.x + across, self.wide) {
                self.taken[y * self.wide + x] = true;
            }
        }
    }

    fn take_line(&mut self, from: PointMm, to: PointMm) {
        for at in between(from, to) {
            if let Some(cell) = self.cell(at) {
                self.taken[cell] = true;
            }
        }
    }

    fn line_free(&self, from: PointMm, to: PointMm) -> bool {
        between(from, to).all(|at| self.cell(at).is_some_and(|cell| !self.taken[cell]))
    }
}

/// Points from one to another, a third of a square apart.
fn between(from: PointMm, to: PointMm) -> impl Iterator<Item = PointMm> {
    let steps = libm::ceil(libm::hypot(to.x - from.x, to.y - from.y) / (CELL / 3.0)).max(1.0);
    (0..=steps as usize).map(move |step| {
        let share = step as f64 / steps;
        PointMm { x: from.x + (to.x - from.x) * share, y: from.y + (to.y - from.y) * share }
    })
}

/// Places the numbers of zones and edges, both as one view shows them. `face` is its size in mm, `darkest` the tone that is never covered.
pub(super) fn labels(zones: &Plane<u8>, resolution: PxPerMm, face: (f64, f64), edges: &[Edge], darkest: u8) -> Labels {
    let mut grid = Grid::of(face, edges);
    let mut out = Labels::default();
    let regions = regions(zones, resolution);
    let number = |tone: u8| (tone < darkest).then_some(usize::from(tone) + 1);
    let ring = (RING + 0.3, RING + 0.3);
    let taken = wider(ring, APART);
    let mut small = Vec::new();
    for (tone, at, disc) in regions {
        if disc >= 2.0 * RING + 0.8 && grid.free(at, ring, 0) {
            grid.take(at, taken);
            out.list.push(Label::Region { number: number(tone), at, island: None });
        } else {
            small.push((tone, at, disc));
        }
    }
    // The longest edges choose first.
    let mut order: Vec<(usize, f64)> = edges.iter().enumerate().map(|(index, edge)| (index, length(&edge.points))).collect();
    order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    for (index, long) in order {
        let edge = &edges[index];
        let number = usize::from(edge.lighter) + 1;
        let own = index as u32 + 2;
        let wanted = if long < SHORT { 0 } else { 1 + (long / EVERY) as usize };
        let mut placed = 0;
        for part in 0..wanted {
            let (from, to) = (long * part as f64 / wanted as f64, long * (part + 1) as f64 / wanted as f64);
            // From the middle of its part outwards.
            let steps = ((to - from) / 2.0 / 2.5) as i32;
            let tries = (0..=steps).flat_map(|step| [f64::from(step), -f64::from(step)]);
            let found = tries
                .map(|step| point_at(&edge.points, ((from + to) / 2.0 + step * 2.5).clamp(3.0, long - 3.0)))
                .find(|&at| grid.free(at, wider(half(number), CLEAR), own));
            if let Some(at) = found {
                grid.take(at, wider(half(number), APART));
                out.list.push(Label::Edge { number, at });
                placed += 1;
            }
        }
        out.edges_without += usize::from(placed == 0);
    }
    let mut leaders = 0;
    for (tone, island, disc) in small {
        let found = (leaders < MOST_LEADERS && disc >= LEAST_LED).then(|| beside(&grid, island, ring)).flatten();
        if let Some(at) = found {
            grid.take(at, taken);
            grid.take_line(island, at);
            leaders += 1;
            out.list.push(Label::Region { number: number(tone), at, island: Some(island) });
        } else {
            out.regions_without += 1;
        }
    }
    out
}

/// The nearest place beside an island where a ring stands free and a straight line leads to it.
fn beside(grid: &Grid, island: PointMm, ring: (f64, f64)) -> Option<PointMm> {
    (0..9).map(|far| 5.5 + f64::from(far) * 2.0).find_map(|far| {
        (0..16).find_map(|turn| {
            let angle = f64::from(turn) * std::f64::consts::TAU / 16.0 + 0.3;
            let at = PointMm { x: island.x + far * libm::cos(angle), y: island.y + far * libm::sin(angle) };
            (grid.free(at, ring, 0) && grid.line_free(island, at)).then_some(at)
        })
    })
}

/// The pieces of the map: tone, the middle of their largest disc (mm) and its diameter, the largest first.
fn regions(zones: &Plane<u8>, resolution: PxPerMm) -> Vec<(u8, PointMm, f64)> {
    let by = (libm::floor(FINE * resolution.0) as usize).max(1);
    let (wide, high) = (zones.width().div_ceil(by), zones.height().div_ceil(by));
    let coarse = if by == 1 {
        zones.clone()
    } else {
        {
            // The pixel in the middle of each square speaks for it.
            let middle = |at: usize, most: usize| (at * by + by / 2).min(most - 1);
            Plane::from_fn(wide, high, |x, y| zones.at(middle(x, zones.width()), middle(y, zones.height())))
        }
    };
    let aside = coarse.map(|&zone| if zone == RESIST || zone == BY_HAND { u8::MAX } else { zone });
    let scale = PxPerMm(resolution.0 / by as f64);
    let mut found: Vec<(u8, PointMm, f64)> = islands::pieces(&aside, u8::MAX, scale)
        .into_iter()
        .map(|piece| {
            let px = |mm: f64, most: usize| (mm * scale.0).max(0.0).min(most as f64 - 1.0) as usize;
            (aside.at(px(piece.at.x, wide), px(piece.at.y, high)), piece.at, piece.disc.0)
        })
        .collect();
    found.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.1.y.total_cmp(&b.1.y)).then(a.1.x.total_cmp(&b.1.x)));
    found
}

fn length(points: &[PointMm]) -> f64 {
    points.windows(2).map(|pair| libm::hypot(pair[0].x - pair[1].x, pair[0].y - pair[1].y)).sum()
}

/// The point so many mm along.
fn point_at(points: &[PointMm], along: f64) -> PointMm {
    let mut left = along;
    for pair in points.windows(2) {
        let long = libm::hypot(pair[0].x - pair[1].x, pair[0].y - pair[1].y);
        if left <= long && long > 0.0 {
            let share = left / long;
            return PointMm { x: pair[0].x + (pair[1].x - pair[0].x) * share, y: pair[0].y + (pair[1].y - pair[0].y) * share };
        }
        left -= long;
    }
    points.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::Outlines;

    /// Rings and stripes with a scatter of small islands.
    fn map() -> Plane<u8> {
        Plane::from_fn(800, 600, |x, y| {
            let far = (x as f64 - 300.0).hypot(y as f64 - 300.0);
            let speck = x > 300 && x % 90 < 14 && y % 130 < 14;
            if speck {
                4
            } else if far < 90.0 {
                0
            } else if far < 200.0 {
                2
            } else if x > 640 {
                1
            } else {
                3
            }
        })
    }

    fn made(map: &Plane<u8>) -> Labels {
        let resolution = PxPerMm(10.0);
        let edges: Vec<Edge> =
            Outlines::of(map, resolution).arcs.into_iter().map(|arc| Edge { lighter: arc.lighter, points: arc.points }).collect();
        labels(map, resolution, (80.0, 60.0), &edges, 4)
    }

    #[test]
    fn an_edge_bears_the_number_of_the_stop_out_that_the_map_says_and_a_region_its_own() {
        let map = map();
        let labels = made(&map);
        let near = |at: PointMm| {
            let (x, y) = ((at.x * 10.0) as usize, (at.y * 10.0) as usize);
            let tones: Vec<u8> =
                (y.saturating_sub(3)..(y + 4).min(600)).flat_map(|y| map.row(y)[x.saturating_sub(3)..(x + 4).min(800)].to_vec()).collect();
            tones
        };
        let mut seen = [0; 3];
        for label in &labels.list {
            match *label {
                Label::Edge { number, at } => {
                    let tones = near(at);
                    assert_eq!(usize::from(*tones.iter().min().unwrap()) + 1, number);
                    assert!(tones.iter().max() > tones.iter().min(), "a number stands on an edge");
                    seen[0] += 1;
                }
                Label::Region { number, at, island } => {
                    let place = island.unwrap_or(at);
                    let column = ((place.x * 10.0) as usize).min(799);
                    let tone = map.at(column, ((place.y * 10.0) as usize).min(599));
                    assert_eq!(number, (tone < 4).then_some(usize::from(tone) + 1));
                    seen[if island.is_some() { 2 } else { 1 }] += 1;
                }
            }
        }
        assert!(seen.iter().all(|&count| count > 1), "{seen:?}");
    }

    #[test]
    fn no_number_stands_on_another_and_none_hides_an_edge_that_is_not_its_own() {
        let labels = made(&map());
        let boxes: Vec<(PointMm, (f64, f64))> = labels
            .list
            .iter()
            .map(|label| match *label {
                Label::Edge { number, at } => (at, half(number)),
                Label::Region { at, .. } => (at, (RING, RING)),
            })
            .collect();
        for (index, (a, half_a)) in boxes.iter().enumerate() {
            assert!(a.x - half_a.0 > 0.0 && a.x + half_a.0 < 80.0 && a.y - half_a.1 > 0.0 && a.y + half_a.1 < 60.0);
            for (b, half_b) in &boxes[index + 1..] {
                assert!((a.x - b.x).abs() >= half_a.0 + half_b.0 || (a.y - b.y).abs() >= half_a.1 + half_b.1, "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn what_finds_no_room_is_counted() {
        // A board of one-millimetre squares: no room for anything.
        let map = Plane::from_fn(200, 200, |x, y| ((x / 10 + y / 10) % 2) as u8);
        let resolution = PxPerMm(10.0);
        let arcs = Outlines::of(&map, resolution).arcs;
        let count = arcs.len();
        let edges: Vec<Edge> = arcs.into_iter().map(|arc| Edge { lighter: arc.lighter, points: arc.points }).collect();
        let labels = labels(&map, resolution, (20.0, 20.0), &edges, 1);
        assert_eq!((labels.list.len(), labels.edges_without, labels.regions_without), (0, count, 400));
    }
}
