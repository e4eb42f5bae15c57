//! Islands: the pieces that a stop-out newly paints, one by one, for the painter to find and count.

use crate::bits::BitPlane;
use crate::components::Components;
use crate::plane::Plane;
use crate::units::{Millimetres, PointMm, PxPerMm};

mod depth;
pub use depth::each_row;

/// One 4-connected piece newly painted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Island {
    /// Its area, mm².
    pub area_mm2: f64,
    /// Diameter of the largest disc within it, at most two and a half pixels short and never too large. The face's border is an edge here: the brush stops there.
    pub disc: Millimetres,
    /// The middle of that disc, which lies inside: where to point. mm on the face, print view.
    pub at: PointMm,
    /// The box around it: top left and bottom right.
    pub bounds: [PointMm; 2],
}

/// What is no part of any island: not of the tone painted, or set aside.
const NONE: u8 = u8::MAX;

/// The islands of stop-out `number` of a map of tones, the smallest first. What `aside` holds (a fixed resist, an area done by hand) is
/// painted by no brush at this stop-out. Worked out when it is asked for; linear in pixels.
///
/// # Panics
/// When `number` is 0, or `aside` has another size.
#[must_use]
pub fn of(map: &Plane<u8>, number: usize, aside: Option<&BitPlane>, resolution: PxPerMm) -> Vec<Island> {
    assert!(number > 0, "stop-outs are counted from 1");
    let tone = number - 1;
    let mut painted = map.map(|&t| if usize::from(t) == tone { 0 } else { NONE });
    if let Some(aside) = aside {
        assert!(aside.width() == map.width() && aside.height() == map.height(), "what is set aside has the face's size");
        let width = map.width();
        aside.each(|x, y| painted.data_mut()[y * width + x] = NONE);
    }
    let mut islands = pieces(&painted, NONE, resolution);
    islands.sort_by(|a, b| {
        a.area_mm2
            .total_cmp(&b.area_mm2)
            .then(a.disc.0.total_cmp(&b.disc.0))
            .then(a.at.y.total_cmp(&b.at.y))
            .then(a.at.x.total_cmp(&b.at.x))
    });
    islands
}

/// The 4-connected pieces of equal value of a map, but for those of the value `none`, in reading order.
pub(crate) fn pieces(map: &Plane<u8>, none: u8, resolution: PxPerMm) -> Vec<Island> {
    let pieces = Components::of(map);
    // A piece's number among all, to its number among those that count.
    let mut counted = 0;
    let index: Vec<Option<usize>> = pieces
        .values()
        .iter()
        .map(|&value| {
            (value != none).then(|| {
                counted += 1;
                counted - 1
            })
        })
        .collect();
    let mut found = vec![Found::default(); counted];
    let mut stretches: Vec<Vec<(usize, usize, usize)>> = vec![Vec::new(); map.height()];
    pieces.each_stretch(|y, start, end, piece| {
        if let Some(island) = index[piece] {
            stretches[y].push((start, end, island));
        }
    });
    let row = map.width();
    each_row(
        map.width(),
        map.height(),
        |x, y| Some(map.data()[y * row + x]).filter(|&value| value != none),
        |y, depths| {
            for &(start, end, island) in &stretches[y] {
                let found = &mut found[island];
                found.take(y, start, end);
                for (x, &depth) in (start..end).zip(&depths[start..end]) {
                    if depth > found.depth {
                        (found.depth, found.at) = (depth, (x, y));
                    }
                }
            }
        },
    );
    let mm = |px: f64| resolution.mm(px).0;
    let corner = |x: usize, y: usize| PointMm { x: mm(x as f64), y: mm(y as f64) };
    found
        .into_iter()
        .map(|found| Island {
            area_mm2: found.pixels as f64 * mm(1.0) * mm(1.0),
            // From pixel centre to pixel centre; the edge lies half a pixel before the other one.
            disc: resolution.mm(2.0 * libm::sqrt(f64::from(found.depth)) - 1.0),
            at: PointMm { x: mm(found.at.0 as f64 + 0.5), y: mm(found.at.1 as f64 + 0.5) },
            bounds: [corner(found.left, found.top), corner(found.right, found.foot)],
        })
        .collect()
}

/// A piece as it is gathered.
#[derive(Clone, Copy, Default)]
struct Found {
    pixels: u64,
    left: usize,
    top: usize,
    right: usize,
    foot: usize,
    depth: u32,
    at: (usize, usize),
}

impl Found {
    fn take(&mut self, y: usize, start: usize, end: usize) {
        if self.pixels == 0 {
            (self.left, self.top) = (start, y);
        }
        self.pixels += (end - start) as u64;
        (self.left, self.right, self.foot) = (self.left.min(start), self.right.max(end), y + 1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn a_disc_and_a_bar_have_their_sizes_and_are_pointed_at_inside() {
        // Tone 1 is painted at stop-out 2: a disc of 8 mm and a bar of 2 by 12 mm.
        let map = Plane::from_fn(400, 300, |x, y| {
            let disc = libm::hypot(x as f64 + 0.5 - 100.0, y as f64 + 0.5 - 120.0) <= 40.0;
            let bar = (250..270).contains(&x) && (50..170).contains(&y);
            u8::from(disc || bar)
        });
        let found = of(&map, 2, None, PxPerMm(10.0));
        assert_eq!(found.len(), 2);
        assert_abs_diff_eq!(found[0].area_mm2, 24.0, epsilon = 1e-9);
        assert_abs_diff_eq!(found[0].disc.0, 2.0, epsilon = 0.1 + 1e-9);
        assert_eq!(found[0].bounds, [PointMm { x: 25.0, y: 5.0 }, PointMm { x: 27.0, y: 17.0 }]);
        assert_abs_diff_eq!(found[1].area_mm2, std::f64::consts::PI * 16.0, epsilon = 0.5);
        assert_abs_diff_eq!(found[1].disc.0, 8.0, epsilon = 0.25);
        assert_abs_diff_eq!(found[1].at.x, 10.0, epsilon = 0.15);
        assert_eq!(of(&map, 3, None, PxPerMm(10.0)), []);
    }

    #[test]
    fn a_piece_ends_where_another_tone_begins() {
        // Stripes of 40, 80 and 30 pixels, nothing set aside between them.
        let map = Plane::from_fn(150, 200, |x, _| u8::from(x >= 40) + u8::from(x >= 120));
        let found: Vec<(f64, f64)> = pieces(&map, NONE, PxPerMm(10.0)).iter().map(|piece| (piece.disc.0, piece.at.x)).collect();
        for ((disc, at), (wide, middle)) in found.iter().zip([(4.0, 2.0), (8.0, 8.0), (3.0, 13.5)]) {
            assert_abs_diff_eq!(*disc, wide, epsilon = 0.15 + 1e-9);
            assert_abs_diff_eq!(*at, middle, epsilon = 0.1 + 1e-9);
        }
        assert_eq!(found.len(), 3);
    }

    #[test]
    fn what_is_set_aside_is_no_island() {
        let map = Plane::filled(30, 10, 0u8);
        let mut aside = BitPlane::empty(30, 10);
        for y in 0..10 {
            aside.set_stretch(y, 10, 12);
        }
        let areas: Vec<f64> = of(&map, 1, Some(&aside), PxPerMm(1.0)).iter().map(|island| island.area_mm2).collect();
        assert_eq!(areas, [100.0, 180.0]);
        assert_eq!(of(&map, 1, None, PxPerMm(1.0)).len(), 1);
    }
}
