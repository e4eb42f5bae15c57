//! Arrows at islands so small that neither hatch nor a word makes them noticed.
//!
//! No edge ends in an arrowhead. Arrows lie on what is left bare alone, clear of words, letters and one another, so that none hides a
//! mark; where that leaves no place the island is counted in words instead.

use super::mark::{Mark, PageBox, PagePoint, Pen, Sheet};
use super::pieces::Piece;
use super::seen::Part;
use crate::aside::{BY_HAND, RESIST};

/// An island is small when its longer side or its area is under this, mm and mm²: at a metre 3 mm are a sixth of a degree. From memory, to
/// be tried at the bench.
const SHORT: f64 = 3.0;
const SMALL: f64 = 6.0;
/// Most arrows on one sheet: more would themselves be a pattern.
const MOST: usize = 60;
/// Lengths that are tried, mm: the longest is seen best.
const LENGTHS: [f64; 3] = [8.0, 6.0, 4.5];
/// From the island to the arrow's point, mm.
const GAP: f64 = 0.8;
/// Legs of the arrowhead, along and to the side, mm.
const HEAD: (f64, f64) = (1.8, 0.7);
/// What an arrow keeps bare to either side, mm.
const BESIDE: f64 = 1.1;
/// Distance of the places that are looked at, mm.
const LOOK: f64 = 0.15;
/// Where it is looked at beside an arrow, in places close enough for no dab to lie between: the least mark is 0.3 mm.
const ASIDE: [f64; 9] = [-1.1, -0.825, -0.55, -0.275, 0.0, 0.275, 0.55, 0.825, 1.1];
/// As thick as hatch, thinner than an edge.
const PEN: Pen = Pen::solid(0.25);
/// Sixteenths of a turn that are tried, level and upright first; those along the hatch are left out.
const TURNS: [usize; 14] = [0, 8, 4, 12, 1, 7, 9, 15, 3, 5, 11, 13, 2, 10];

/// How many small islands a sheet has, and how many of them an arrow points at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Pointed {
    pub(super) small: usize,
    pub(super) arrows: usize,
}

impl Pointed {
    /// In words, and in few words; none where nothing is small.
    pub(super) fn words(self) -> Option<(String, String)> {
        match (self.small, self.arrows) {
            (0, _) => None,
            (1, 1) => Some(("an arrow points at 1 small island".to_owned(), "an arrow at 1 small island".to_owned())),
            (1, _) => Some(("1 small island without an arrow: look for it".to_owned(), "1 small island, no arrow".to_owned())),
            (small, arrows) if small == arrows => {
                Some((format!("arrows point at {small} small islands"), format!("arrows at {small} small islands")))
            }
            (small, 0) => {
                Some((format!("{small} small islands without an arrow: look for them"), format!("{small} small islands, no arrow")))
            }
            (small, arrows) => Some((
                format!("arrows point at {arrows} of {small} small islands: look for the rest"),
                format!("arrows at {arrows} of {small} small islands"),
            )),
        }
    }
}

/// A small island: its piece's number, and a place inside it, mm from the part's corner.
struct Small<'a> {
    number: u32,
    piece: &'a Piece,
    at: (f64, f64),
    area: usize,
}

/// How many small islands a part has, where no arrow can be drawn.
pub(super) fn counted(part: &Part, new_tone: u8, pixel: (f64, f64)) -> Pointed {
    Pointed { small: small(part, new_tone, pixel).len(), arrows: 0 }
}

/// Draws the arrows of the sheet of a stop-out. `corner` is where the part's upper left corner lies, `pixel` the size of a pixel on paper, mm.
/// On a tile the islands counted are those between its joins.
pub(super) fn draw(sheet: &mut Sheet, part: &Part, new_tone: u8, (corner, pixel): (PagePoint, (f64, f64))) -> Pointed {
    let mut found = small(part, new_tone, pixel);
    // The smallest are overlooked first.
    found.sort_by_key(|island| (island.area, island.number));
    let mut clear = Clear { part, new_tone, corner, pixel, words: words(&sheet.marks), taken: Vec::new() };
    let mut pointed = Pointed { small: found.len(), arrows: 0 };
    for island in &found {
        if pointed.arrows == MOST {
            break;
        }
        if let Some((point, tail)) = clear.arrow(island) {
            let long = libm::hypot(tail.0 - point.0, tail.1 - point.1);
            let (x, y) = ((tail.0 - point.0) / long, (tail.1 - point.1) / long);
            let on = |along: f64, aside: f64| {
                PagePoint::new(corner.x + point.0 + x * along - y * aside, corner.y + point.1 + y * along + x * aside)
            };
            sheet.strokes(PEN, vec![[on(0.0, 0.0), on(long, 0.0)]]);
            let head = vec![on(HEAD.0, HEAD.1), on(0.0, 0.0), on(HEAD.0, -HEAD.1)];
            sheet.marks.push(Mark::Line { pen: PEN, points: head, closed: false });
            pointed.arrows += 1;
        }
    }
    pointed
}

/// The small islands of a part and, on a tile, of what is kept free along its joins: each on one tile alone.
fn small<'a>(part: &'a Part, new_tone: u8, pixel: (f64, f64)) -> Vec<Small<'a>> {
    let pieces = part.seen.pieces();
    let mut found = Vec::new();
    for (number, piece) in pieces.list().iter().enumerate().filter(|(_, piece)| piece.zone == new_tone) {
        // The middle of its box where that is its own, else of its longest row.
        let middle = ((piece.columns.start + piece.columns.end) / 2, (piece.rows.start + piece.rows.end) / 2);
        let (columns, row) = if pieces.at(middle.0, middle.1) == number as u32 {
            ((piece.columns.start + piece.columns.end) as f64 / 2.0, (piece.rows.start + piece.rows.end) as f64 / 2.0)
        } else {
            ((piece.longest.1.start + piece.longest.1.end) as f64 / 2.0, piece.longest.0 as f64 + 0.5)
        };
        if !part.counts(columns, row) {
            continue;
        }
        let (wide, high) = (piece.columns.len() as f64 * pixel.0, piece.rows.len() as f64 * pixel.1);
        // The box of an island of 6 mm² may be long, but none is longer than its area in pixels.
        if wide.max(high) >= SHORT && wide.max(high) * pixel.0.min(pixel.1) >= SMALL {
            continue;
        }
        let number = number as u32;
        let area = piece.rows.clone().map(|y| piece.columns.clone().filter(|&x| pieces.at(x, y) == number).count()).sum::<usize>();
        if wide.max(high) < SHORT || area as f64 * pixel.0 * pixel.1 < SMALL {
            let at = ((columns - part.columns.start as f64) * pixel.0, (row - part.rows.start as f64) * pixel.1);
            found.push(Small { number, piece, at, area });
        }
    }
    found
}

/// Boxes of bare paper and of words that stand on a sheet.
fn words(marks: &[Mark]) -> Vec<PageBox> {
    marks.iter().filter_map(|mark| if let Mark::Blank(of) = mark { Some(*of) } else { None }).collect()
}

/// Where an arrow can lie.
struct Clear<'a> {
    part: &'a Part<'a>,
    new_tone: u8,
    corner: PagePoint,
    pixel: (f64, f64),
    words: Vec<PageBox>,
    /// Places along the arrows so far, mm from the part's corner.
    taken: Vec<(f64, f64)>,
}

impl Clear<'_> {
    /// The point and the tail of an arrow at an island, mm from the part's corner.
    fn arrow(&mut self, island: &Small) -> Option<((f64, f64), (f64, f64))> {
        for long in LENGTHS {
            for turn in TURNS {
                let angle = turn as f64 * std::f64::consts::PI / 8.0;
                let way = (libm::cos(angle), libm::sin(angle));
                let Some(start) = self.leaves(island, way) else { continue };
                let on = |along: f64| (island.at.0 + way.0 * along, island.at.1 + way.1 * along);
                if self.is_clear(island, way, (start, start + GAP + long)) {
                    let steps = libm::ceil(long / LOOK) as usize;
                    self.taken.extend((0..=steps).map(|step| on(start + GAP + long * step as f64 / steps as f64)));
                    return Some((on(start + GAP), on(start + GAP + long)));
                }
            }
        }
        None
    }

    /// The pixel at a place; none beyond the part.
    fn pixel_at(&self, (x, y): (f64, f64)) -> Option<(usize, usize)> {
        let (column, row) = (x / self.pixel.0, y / self.pixel.1);
        (column >= 0.0 && row >= 0.0 && column < self.part.width() as f64 && row < self.part.height() as f64)
            .then_some((column as usize, row as usize))
    }

    /// How far from its inner place an island is left for good in a direction, mm.
    fn leaves(&self, island: &Small, way: (f64, f64)) -> Option<f64> {
        let most = libm::hypot(island.piece.columns.len() as f64 * self.pixel.0, island.piece.rows.len() as f64 * self.pixel.1);
        let step = self.pixel.0.min(self.pixel.1) / 2.0;
        let mut last = 0.0;
        for index in 0..=libm::ceil(most / step) as usize {
            let along = index as f64 * step;
            let at = self.pixel_at((island.at.0 + way.0 * along, island.at.1 + way.1 * along));
            let (left, top) = (self.part.columns.start, self.part.rows.start);
            if at.is_some_and(|(x, y)| self.part.seen.pieces().at(left + x, top + y) == island.number) {
                last = along + step;
            }
        }
        (last > 0.0).then_some(last)
    }

    /// Whether nothing lies from where the island ends to the tail, and beside the arrow.
    fn is_clear(&self, island: &Small, way: (f64, f64), (from, to): (f64, f64)) -> bool {
        let bare = |at: (f64, f64)| {
            self.pixel_at(at).is_some_and(|(x, y)| {
                let zone = self.part.at(x, y);
                zone > self.new_tone && zone != RESIST && zone != BY_HAND
            })
        };
        let steps = libm::ceil((to - from) / LOOK) as usize;
        (0..=steps).all(|step| {
            let along = from + (to + BESIDE - from) * step as f64 / steps as f64;
            let on = |aside: f64| (island.at.0 + way.0 * along - way.1 * aside, island.at.1 + way.1 * along + way.0 * aside);
            let beside = along >= from + GAP;
            // The first look is at the island's own rim.
            let wide: &[f64] = if beside { &ASIDE } else { &[0.0] };
            step == 0
                || wide.iter().all(|&aside| {
                    let at = on(aside);
                    let page = (self.corner.x + at.0, self.corner.y + at.1);
                    let on_words = |of: &PageBox| {
                        let of = of.inset(-0.5);
                        (of.x..=of.right()).contains(&page.0) && (of.y..=of.foot()).contains(&page.1)
                    };
                    let near = |other: &(f64, f64)| libm::hypot(other.0 - at.0, other.1 - at.1) < BESIDE;
                    bare(at) && !self.words.iter().any(on_words) && !self.taken.iter().any(near)
                })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::seen::Seen;
    use super::*;
    use crate::plane::Plane;
    use crate::plate::SizeMm;
    use crate::units::Millimetres;
    use proptest::prelude::*;

    const PIXEL: (f64, f64) = (0.2, 0.2);

    fn drawn(map: Plane<u8>, new_tone: u8, marks: Vec<Mark>) -> (Sheet, Pointed) {
        let mut sheet = Sheet::new("x", SizeMm { width: Millimetres(200.0), height: Millimetres(200.0) });
        sheet.marks = marks;
        let seen = Seen::of(map, 5.0);
        let pointed = draw(&mut sheet, &seen.whole(), new_tone, (PagePoint::new(10.0, 20.0), PIXEL));
        (sheet, pointed)
    }

    /// Arrows: each a shaft from its point to its tail.
    fn shafts(sheet: &Sheet) -> Vec<[PagePoint; 2]> {
        let shaft = |mark: &Mark| if let Mark::Strokes { pen: PEN, strokes } = mark { Some(strokes[0]) } else { None };
        sheet.marks.iter().filter_map(shaft).collect()
    }

    #[test]
    fn an_island_under_3_mm_or_6_mm2_has_an_arrow_and_a_larger_one_has_none() {
        // 5 px/mm: a speck of 1 mm, one of 2.8 mm, a line of 0.4 × 12 mm (4.8 mm²), a square of 4 mm, a line of 1 × 12 mm.
        let map = Plane::from_fn(300, 300, |x, y| match (x, y) {
            (50..55, 50..55) | (150..164, 50..64) | (50..52, 100..160) | (150..170, 150..170) | (220..225, 100..160) => 1,
            _ => 2,
        });
        let (sheet, pointed) = drawn(map, 1, Vec::new());
        assert_eq!(pointed, Pointed { small: 3, arrows: 3 });
        assert_eq!(pointed.words().unwrap().0, "arrows point at 3 small islands");
        // The smallest first: its speck reaches from 20 to 21 mm across and from 30 to 31 mm down, the arrow ends 0.8 mm beside it.
        let [point, tail] = shafts(&sheet)[0];
        assert!((point.x - 21.8).abs() < 0.15 && (point.y - 30.5).abs() < 0.15, "{point:?}");
        assert!((tail.x - point.x - 8.0).abs() < 1e-9 && (tail.y - point.y).abs() < 1e-9);
    }

    #[test]
    fn what_has_no_room_or_is_too_much_is_counted() {
        // A speck every 2 mm: no arrow of 4.5 mm lies between them but at the rim.
        let crowd = Plane::from_fn(200, 200, |x, y| if x % 10 < 4 && y % 10 < 4 { 0 } else { 1 });
        let (_, pointed) = drawn(crowd, 0, Vec::new());
        assert_eq!(pointed, Pointed { small: 400, arrows: 0 });
        assert_eq!(pointed.words().unwrap().0, "400 small islands without an arrow: look for them");
        let many = Plane::from_fn(1000, 1000, |x, y| if x % 100 < 4 && y % 100 < 4 && x > 9 && y > 9 { 0 } else { 1 });
        let (sheet, pointed) = drawn(many, 0, Vec::new());
        assert_eq!((pointed.small, pointed.arrows, shafts(&sheet).len()), (81, MOST, MOST));
        assert_eq!(pointed.words().unwrap().0, "arrows point at 60 of 81 small islands: look for the rest");
        assert_eq!(drawn(Plane::filled(50, 50, 0), 0, Vec::new()).1.words(), None);
    }

    #[test]
    fn words_are_not_crossed() {
        let map = Plane::from_fn(300, 300, |x, y| if (150..153).contains(&x) && (150..153).contains(&y) { 0 } else { 1 });
        // To the right of the speck stand words.
        let blank = PageBox::new(42.0, 45.0, 20.0, 10.0);
        let (sheet, pointed) = drawn(map, 0, vec![Mark::Blank(blank)]);
        assert_eq!(pointed.arrows, 1);
        let [point, tail] = shafts(&sheet)[0];
        assert!(point.x < 40.0 && tail.x < point.x, "{point:?} {tail:?}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]

        #[test]
        fn arrows_lie_on_bare_alone_and_clear_of_one_another(discs in prop::collection::vec((0.0..300.0_f64, 0.0..300.0_f64, 1.0..14.0_f64, 0_u8..4), 1..40)) {
            let zone = [0, 1, RESIST, BY_HAND];
            let map = Plane::from_fn(300, 300, |x, y| {
                let hit = |(u, v, r, _): &&(f64, f64, f64, u8)| libm::hypot(x as f64 + 0.5 - u, y as f64 + 0.5 - v) < *r;
                discs.iter().find(hit).map_or(2, |disc| zone[usize::from(disc.3)])
            });
            let (sheet, pointed) = drawn(map.clone(), 1, Vec::new());
            prop_assert!(pointed.arrows <= pointed.small);
            let lines = |sheet: &Sheet| -> Vec<[PagePoint; 2]> {
                sheet.marks.iter().flat_map(|mark| match mark {
                    Mark::Strokes { strokes, .. } => strokes.clone(),
                    Mark::Line { points, .. } => points.windows(2).map(|pair| [pair[0], pair[1]]).collect(),
                    _ => Vec::new(),
                }).collect()
            };
            for [a, b] in lines(&sheet) {
                for step in 0..=40 {
                    let t = f64::from(step) / 40.0;
                    let (x, y) = (a.x + (b.x - a.x) * t - 10.0, a.y + (b.y - a.y) * t - 20.0);
                    prop_assert_eq!(map.at((x * 5.0) as usize, (y * 5.0) as usize), 2, "({}, {})", x, y);
                }
            }
            let shafts = shafts(&sheet);
            for (i, a) in shafts.iter().enumerate() {
                for b in &shafts[i + 1..] {
                    for (s, t) in (0..=20).flat_map(|s| (0..=20).map(move |t| (f64::from(s) / 20.0, f64::from(t) / 20.0))) {
                        let on = |of: &[PagePoint; 2], t: f64| (of[0].x + (of[1].x - of[0].x) * t, of[0].y + (of[1].y - of[0].y) * t);
                        let (p, q) = (on(a, s), on(b, t));
                        prop_assert!(libm::hypot(p.0 - q.0, p.1 - q.1) > 1.0);
                    }
                }
            }
        }
    }
}
