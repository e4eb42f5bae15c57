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
/// An edge shorter than this, mm, keeps its line whole instead of a number, first on a map of few edges, then on one of more than [`MANY`]; a
/// longer one has a number every [`EVERY`] mm. By eye: where edges crowd, numbers on the short ones hide more than they tell.
const SHORT: (f64, f64) = (9.0, 16.0);
const EVERY: f64 = 90.0;
/// A map of more edges than this is a crowd.
const MANY: usize = 200;
/// What stays free of other edges round a number on an edge, mm: in a tangle nobody reads it, nor tells whose it is.
const CLEAR: f64 = 0.7;
/// Least distance of two numbers, mm.
const APART: f64 = 1.2;
/// So many islands at most are pointed at, the largest first: more lines hide the edges. And none that holds no disc of so many mm: a dot covers it.
const MOST_LEADERS: usize = 150;
const LEAST_LED: f64 = 0.8;
/// In a crowd only those are pointed at that hold a disc of so many mm, and from no further than so many: a line across a dozen edges misleads.
const LED_IN_CROWD: (f64, f64) = (3.0, 10.0);
/// As far as a number stands from its island elsewhere, mm.
const FARTHEST: f64 = 22.0;

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

/// All numbers, and how many edges and regions go without. An edge that no stop-out is painted to, between the darkest tone and a resist, needs none.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Labels {
    pub(super) list: Vec<Label>,
    pub(super) edges_without: usize,
    pub(super) regions_without: usize,
}

impl Labels {
    /// More without a number than anybody looks up one by one.
    pub(super) fn many_without(&self) -> bool {
        self.edges_without + self.regions_without > MANY
    }
}

/// A box of the face, mm: from left and top to right and foot.
pub(super) type Bare = ((f64, f64), (f64, f64));

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
    /// No number stands here, but a line may cross: strips that are cut off where tiles join.
    bare: Vec<bool>,
}

impl Grid {
    fn of((width, height): (f64, f64), edges: &[Edge], bare: &[Bare]) -> Self {
        let (wide, high) = ((libm::ceil(width / CELL) as usize).max(1), (libm::ceil(height / CELL) as usize).max(1));
        let mut grid = Self { wide, high, edges: vec![0; wide * high], taken: vec![false; wide * high], bare: vec![false; wide * high] };
        for &((left, top), (right, foot)) in bare {
            for cell in grid.within((left, top), (right, foot)) {
                grid.bare[cell] = true;
            }
        }
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
        self.cells(at, half).is_some_and(|mut cells| {
            cells.all(|cell| !self.taken[cell] && !self.bare[cell] && (self.edges[cell] == 0 || self.edges[cell] == own))
        })
    }

    /// The squares of what of a box is on the face.
    fn within(&self, (left, top): (f64, f64), (right, foot): (f64, f64)) -> Vec<usize> {
        let at = |mm: f64, most: usize| (libm::floor(mm / CELL).max(0.0) as usize).min(most - 1);
        let (wide, across, down) = (self.wide, at(left, self.wide)..=at(right, self.wide), at(top, self.high)..=at(foot, self.high));
        down.flat_map(|y| across.clone().map(move |x| y * wide + x)).collect()
    }

    /// Takes what of a box is on the face.
    fn take(&mut self, at: PointMm, (across, down): (f64, f64)) {
        for cell in self.within((at.x - across, at.y - down), (at.x + across, at.y + down)) {
            self.taken[cell] = true;
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

/// Places the numbers of zones and edges, both as one view shows them. `face` is its size in mm and the boxes on it that bear no number,
/// `darkest` the tone that is never covered.
pub(super) fn labels(zones: &Plane<u8>, resolution: PxPerMm, (face, bare): ((f64, f64), &[Bare]), edges: &[Edge], darkest: u8) -> Labels {
    let mut grid = Grid::of(face, edges, bare);
    let crowd = edges.len() > MANY;
    let shortest = if crowd { SHORT.1 } else { SHORT.0 };
    let mut out = Labels::default();
    let regions = regions(zones, resolution);
    let number = |tone: u8| (tone < darkest).then_some(usize::from(tone) + 1);
    let ring = (RING + 0.3, RING + 0.3);
    let taken = wider(ring, APART);
    let mut small = Vec::new();
    for (tone, at, disc) in regions {
        if let Some(at) = inside(&grid, at, disc, ring) {
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
        if edge.lighter >= darkest {
            continue;
        }
        let number = usize::from(edge.lighter) + 1;
        let own = index as u32 + 2;
        let wanted = if long < shortest { 0 } else { 1 + (long / EVERY) as usize };
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
    let (least, farthest) = if crowd { LED_IN_CROWD } else { (LEAST_LED, FARTHEST) };
    for (tone, island, disc) in small {
        let found = (leaders < MOST_LEADERS && disc >= least).then(|| beside(&grid, island, ring, farthest)).flatten();
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

/// The place within a region's largest disc, nearest to its middle, where a ring stands free.
fn inside(grid: &Grid, middle: PointMm, disc: f64, ring: (f64, f64)) -> Option<PointMm> {
    let room = (disc - 0.8) / 2.0 - RING;
    let turns = (0..).map(|step| f64::from(step) * 2.0).take_while(|&far| far <= room).flat_map(|far| {
        (0..if far > 0.0 { 12 } else { 1 }).map(move |turn| {
            let angle = f64::from(turn) * std::f64::consts::TAU / 12.0;
            PointMm { x: middle.x + far * libm::cos(angle), y: middle.y + far * libm::sin(angle) }
        })
    });
    turns.into_iter().find(|&at| grid.free(at, ring, 0))
}

/// The nearest place beside an island where a ring stands free and a straight line leads to it.
fn beside(grid: &Grid, island: PointMm, ring: (f64, f64), farthest: f64) -> Option<PointMm> {
    (0..9).map(|far| 5.5 + f64::from(far) * 2.0).take_while(|&far| far <= farthest).find_map(|far| {
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

    fn made(map: &Plane<u8>, bare: &[Bare]) -> Labels {
        let resolution = PxPerMm(10.0);
        let edges: Vec<Edge> =
            Outlines::of(map, resolution).arcs.into_iter().map(|arc| Edge { lighter: arc.lighter, points: arc.points }).collect();
        labels(map, resolution, ((80.0, 60.0), bare), &edges, 4)
    }

    #[test]
    fn an_edge_bears_the_number_of_the_stop_out_that_the_map_says_and_a_region_its_own() {
        let map = map();
        let labels = made(&map, &[]);
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
        let labels = made(&map(), &[]);
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
        let labels = labels(&map, resolution, ((20.0, 20.0), &[]), &edges, 1);
        assert_eq!((labels.list.len(), labels.edges_without, labels.regions_without), (0, count, 400));
    }

    fn boxes(labels: &Labels) -> Vec<(PointMm, (f64, f64))> {
        let of = |label: &Label| match *label {
            Label::Edge { number, at } => (at, half(number)),
            Label::Region { at, .. } => (at, (RING, RING)),
        };
        labels.list.iter().map(of).collect()
    }

    #[test]
    fn no_number_stands_in_a_strip_that_is_cut_off_and_its_regions_are_still_told() {
        // A strip through the middle of the round region, where its number would stand.
        let strip = ((25.0, 0.0), (35.0, 60.0));
        let [free, kept] = [&[][..], &[strip][..]].map(|bare| made(&map(), bare));
        let inside = |labels: &Labels| boxes(labels).iter().filter(|(at, half)| at.x + half.0 > 25.0 && at.x - half.0 < 35.0).count();
        assert!(inside(&free) > 0);
        assert_eq!(inside(&kept), 0);
        assert!(kept.list.iter().any(|label| matches!(label, Label::Region { number: Some(1), .. })), "the round region in the strip");
    }

    #[test]
    fn an_edge_that_no_stop_out_is_painted_to_bears_no_number() {
        // The darkest tone beside a resist.
        let map = Plane::from_fn(400, 200, |x, _| {
            if x < 150 {
                0
            } else if x < 300 {
                2
            } else {
                RESIST
            }
        });
        let resolution = PxPerMm(10.0);
        let edges: Vec<Edge> =
            Outlines::of(&map, resolution).arcs.into_iter().map(|arc| Edge { lighter: arc.lighter, points: arc.points }).collect();
        assert!(edges.iter().any(|edge| edge.lighter == 2));
        let made = labels(&map, resolution, ((40.0, 20.0), &[]), &edges, 2);
        let numbers: Vec<usize> =
            made.list.iter().filter_map(|label| if let Label::Edge { number, .. } = label { Some(*number) } else { None }).collect();
        assert_eq!((numbers, made.edges_without), (vec![1], 0));
    }

    #[test]
    fn in_a_crowd_short_edges_keep_their_line_whole_and_few_stay_as_they_are() {
        // Discs of 4 mm: 12.6 mm of edge each, long enough for a number on a map of few.
        let discs = |count: usize| {
            let map = Plane::from_fn(count * 160, 160, |x, y| u8::from(((x % 160) as f64 - 80.0).hypot(y as f64 - 80.0) > 20.0));
            let resolution = PxPerMm(10.0);
            let edges: Vec<Edge> = Outlines::of(&map, resolution)
                .arcs
                .into_iter()
                .map(|arc| {
                    let mut points = arc.points;
                    points.extend(points.first().copied());
                    Edge { lighter: arc.lighter, points }
                })
                .collect();
            assert_eq!(edges.len(), count);
            labels(&map, resolution, ((count as f64 * 16.0, 16.0), &[]), &edges, 1)
        };
        let numbered = |labels: &Labels| labels.list.iter().filter(|label| matches!(label, Label::Edge { .. })).count();
        let (few, crowd) = (discs(20), discs(MANY + 1));
        assert_eq!((numbered(&few), few.edges_without), (20, 0));
        assert_eq!((numbered(&crowd), crowd.edges_without), (0, MANY + 1));
        assert!(crowd.many_without() && !few.many_without());
    }
}
