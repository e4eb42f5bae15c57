//! Numbers beside the places they belong to, none over another.

use super::frame::{HAIR, LINE};
use super::mark::{Align, Mark, PageBox, PagePoint, Sheet};
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// Distances from a place that are tried for its number, mm.
const RINGS: [f64; 5] = [4.2, 6.5, 9.5, 13.0, 17.0];
/// Directions that are tried, a full turn.
const TURNS: usize = 16;
/// White around a number, mm.
const WHITE: f64 = 0.7;
/// Across the dot that marks a place, mm.
const DOT: f64 = 1.1;

fn apart(a: &PageBox, b: &PageBox) -> bool {
    a.right() <= b.x || b.right() <= a.x || a.foot() <= b.y || b.foot() <= a.y
}

/// Sets numbers for places, within a box; a `dot` marks each place and its number stands beside it, without one it stands right there where it can.
/// Returns how many found no room.
pub(super) fn numbers(sheet: &mut Sheet, places: &[((f64, f64), String)], room: PageBox, size: f64, dot: bool) -> usize {
    let face = TypeFace::of(Weight::Semibold);
    let cap = face.cap_height(size).0;
    let half = DOT / 2.0 + 0.3;
    let around = |(x, y): (f64, f64)| PageBox::new(x - half, y - half, 2.0 * half, 2.0 * half);
    let mut taken: Vec<PageBox> = if dot { places.iter().map(|(at, _)| around(*at)).collect() } else { Vec::new() };
    let mut found = Vec::with_capacity(places.len());
    for ((x, y), words) in places {
        let (wide, high) = (face.width(words, size).0 + 2.0 * WHITE, cap + 2.0 * WHITE);
        let own = if dot { None } else { Some((*x, *y)) };
        let rings = RINGS.iter().flat_map(|&ring| {
            (0..TURNS).map(move |turn| {
                // Up and to the right first, where a leader crosses least of what is written below.
                let angle = std::f64::consts::TAU * (turn as f64 + 14.0) / TURNS as f64;
                (x + ring * libm::cos(angle), y + ring * libm::sin(angle))
            })
        });
        let box_at = |(x, y): (f64, f64)| PageBox::new(x - wide / 2.0, y - high / 2.0, wide, high);
        let inside = |of: &PageBox| of.x >= room.x && of.y >= room.y && of.right() <= room.right() && of.foot() <= room.foot();
        let place = own.into_iter().chain(rings).map(box_at).find(|of| inside(of) && taken.iter().all(|other| apart(of, other)));
        taken.extend(place);
        found.push(place);
    }
    // All leaders and dots before the first number, so that none crosses one.
    for (((x, y), _), place) in places.iter().zip(&found) {
        if let Some(of) = place.filter(|of| dot || !(of.x..of.right()).contains(x) || !(of.y..of.foot()).contains(y)) {
            sheet.stroke(HAIR, (*x, *y), (of.x + of.width / 2.0, of.y + of.height / 2.0));
        }
    }
    if dot {
        let centres = places.iter().map(|((x, y), _)| PagePoint::new(*x, *y)).collect();
        sheet.marks.push(Mark::Dots { diameter: Millimetres(DOT), centres });
    }
    for ((_, words), place) in places.iter().zip(&found) {
        let Some(of) = *place else { continue };
        sheet.marks.push(Mark::Blank(of));
        sheet.frame(if dot { HAIR } else { LINE }, of);
        sheet.text(Weight::Semibold, size, Align::Middle, (of.x + of.width / 2.0, of.y + of.height / 2.0 + cap / 2.0), words.clone());
    }
    found.iter().filter(|place| place.is_none()).count()
}

/// Which of a list of heights stand on each page: as many as fit the room of the first, then of each that follows; a page has one at least, but the
/// first, which may have none where there is a picture on it.
pub(super) fn paged(heights: &[f64], first: f64, rest: f64) -> Vec<std::ops::Range<usize>> {
    let mut pages = Vec::new();
    let (mut from, mut left) = (0, first);
    for (index, &height) in heights.iter().enumerate() {
        if height > left + 1e-9 && (index > from || pages.is_empty()) {
            pages.push(from..index);
            (from, left) = (index, rest);
        }
        left -= height;
    }
    pages.push(from..heights.len());
    pages
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::SizeMm;
    use proptest::prelude::*;
    use std::ops::Range;

    #[test]
    fn pages_are_filled_in_order() {
        let none = paged(&[], 10.0, 20.0);
        assert!(none.len() == 1 && none[0] == Range { start: 0, end: 0 });
        assert_eq!(paged(&[4.0, 4.0, 4.0], 10.0, 20.0), [0..2, 2..3]);
        assert_eq!(paged(&[14.0, 4.0], 10.0, 20.0), [0..0, 0..2]);
        assert_eq!(paged(&[14.0, 50.0, 4.0], 20.0, 20.0), [0..1, 1..2, 2..3]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn no_number_lies_over_another_or_over_a_place(points in prop::collection::vec((20.0f64..180.0, 40.0f64..200.0), 0..60), dot in any::<bool>()) {
            let mut sheet = Sheet::new("", SizeMm { width: Millimetres(210.0), height: Millimetres(297.0) });
            let places: Vec<_> = points.iter().zip(1..).map(|(&at, number): (_, u32)| (at, number.to_string())).collect();
            let missing = numbers(&mut sheet, &places, PageBox::new(12.0, 30.0, 186.0, 200.0), 11.0, dot);
            let boxes: Vec<PageBox> = sheet.marks.iter().filter_map(|mark| if let Mark::Blank(of) = mark { Some(*of) } else { None }).collect();
            prop_assert_eq!(boxes.len() + missing, places.len());
            for (index, one) in boxes.iter().enumerate() {
                prop_assert!(boxes[index + 1..].iter().all(|other| apart(one, other)));
                prop_assert!(!dot || points.iter().all(|&(x, y)| x < one.x || x > one.right() || y < one.y || y > one.foot()));
            }
        }

        #[test]
        fn every_block_stands_once(heights in prop::collection::vec(1.0f64..60.0, 0..40), first in 0.0f64..100.0) {
            let pages = paged(&heights, first, 100.0);
            let mut next = 0;
            for (index, page) in pages.iter().enumerate() {
                prop_assert_eq!(page.start, next);
                next = page.end;
                let sum: f64 = heights[page.clone()].iter().sum();
                let room = if index == 0 { first } else { 100.0 };
                prop_assert!(sum <= room + 1e-6);
            }
            prop_assert_eq!(next, heights.len());
        }
    }
}
