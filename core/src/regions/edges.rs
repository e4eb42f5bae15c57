//! Edges moved to where the picture, as it is seen, comes out nearest to the drawing.
//!
//! The regions are laid out coarsely; their edges then creep, pixel by pixel, wherever that lessens the squared difference between the
//! map and the drawing, both softened as the eye softens them at arm's length. Of a pixel that passes from one tone to another with the
//! difference c between them, at a place where the map is e too light (twice softened: the derivative of a squared softened difference),
//! the sum of squares changes by 2·c·e + c²·w, where w is what the Gaussian leaves of one pixel of a straight edge: 1 / (2·√π·σ). The k-th
//! pixel of the same edge costs (2k − 1) times that, as it adds to the ones before.

use super::softened::{SEEN, Softened, cell_means_of};
use crate::bits::BitPlane;
use crate::blur::gaussian;
use crate::plane::Plane;

/// Pixels an edge may creep before the difference is looked at anew.
const CREEP: i64 = 3;

/// Lets the edges of a map creep. `means` are the stored lightnesses of the tones.
pub(super) fn creep(map: &mut Plane<u8>, softened: &Softened, means: &[u16]) {
    let field = Field::of(map, softened, means);
    let sigma = softened.resolution.px(SEEN);
    let cost = libm::round(SCALE as f64 / (2.0 * libm::sqrt(std::f64::consts::PI) * sigma)) as i64;
    let mut moved: Vec<(u32, u8)> = Vec::new();
    for k in 0..CREEP {
        let cost = cost * (2 * k + 1);
        moved.clear();
        each_at_an_edge(map, |x, y| {
            let here = map.at(x, y);
            let light = i64::from(means[usize::from(here)]);
            let mut best = (0, here);
            for there in beside(map, x, y) {
                if there != here {
                    let c = i64::from(means[usize::from(there)]) - light;
                    let change = c * (2 * SCALE * field.at(x, y) + cost * c);
                    best = best.min((change, there));
                }
            }
            if best.1 != here {
                moved.push(((y * map.width() + x) as u32, best.1));
            }
        });
        for &(at, tone) in &moved {
            map.data_mut()[at as usize] = tone;
        }
    }
}

/// One in fixed point.
const SCALE: i64 = 1 << 16;

/// How much lighter the map is than the drawing, as it is seen, in stored lightness.
struct Field {
    /// Half the difference, about 32768.
    plane: Plane<u16>,
    cell: usize,
}

impl Field {
    fn of(map: &Plane<u8>, softened: &Softened, means: &[u16]) -> Self {
        let cell = softened.cell;
        let made = cell_means_of(map, cell, |tone| u32::from(means[usize::from(tone)]));
        let mut drawn = softened.seen.data().iter();
        let half = |made: &u16| {
            let drawn = drawn.next().copied().unwrap_or(*made);
            ((i32::from(*made) - i32::from(drawn)) / 2 + 32_768) as u16
        };
        // Softened twice.
        let sigma = softened.resolution.px(SEEN) * std::f64::consts::SQRT_2 / cell as f64;
        Self { plane: gaussian(&made.map(half), sigma), cell }
    }

    /// At a pixel, between the middles of the cells about it.
    fn at(&self, x: usize, y: usize) -> i64 {
        let wide = 2 * self.cell;
        let between = |at: usize, count: usize| {
            let from = (2 * at + 1).saturating_sub(self.cell);
            let first = (from / wide).min(count - 1);
            (first, (first + 1).min(count - 1), (from % wide) as i64)
        };
        let (left, right, across) = between(x, self.plane.width());
        let (upper, lower, down) = between(y, self.plane.height());
        let wide = wide as i64;
        let row = |y: usize| i64::from(self.plane.at(left, y)) * (wide - across) + i64::from(self.plane.at(right, y)) * across;
        2 * ((row(upper) * (wide - down) + row(lower) * down) / (wide * wide) - 32_768)
    }
}

/// The tones of the four pixels beside one; at the border fewer.
fn beside(map: &Plane<u8>, x: usize, y: usize) -> impl Iterator<Item = u8> {
    let at = y * map.width() + x;
    let near = [
        (x > 0).then(|| at - 1),
        (x + 1 < map.width()).then_some(at + 1),
        (y > 0).then(|| at - map.width()),
        (y + 1 < map.height()).then_some(at + map.width()),
    ];
    near.into_iter().flatten().map(|at| map.data()[at])
}

/// Calls `pixel(x, y)` for every pixel that has another tone beside it.
fn each_at_an_edge(map: &Plane<u8>, mut pixel: impl FnMut(usize, usize)) {
    let (across, down) = BitPlane::cracks(map);
    let mut above: &[u64] = &vec![0; across.row(0).len()];
    for y in 0..map.height() {
        let mut carry = 0;
        for (i, ((&right, &below), &above)) in across.row(y).iter().zip(down.row(y)).zip(above).enumerate() {
            let mut left = right | right << 1 | carry | below | above;
            carry = right >> 63;
            while left != 0 {
                pixel(i * 64 + left.trailing_zeros() as usize, y);
                left &= left - 1;
            }
        }
        above = down.row(y);
    }
}

#[cfg(test)]
mod tests {
    use super::super::mark::Mark;
    use super::*;
    use crate::units::PxPerMm;

    #[test]
    fn an_edge_creeps_to_where_the_drawing_has_it() {
        // Black to white at column 101; the map has it at 99.
        let drawing = Plane::from_fn(200, 40, |x, _| if x < 101 { 10.0 } else { 90.0 });
        let softened = Softened::of(&drawing, PxPerMm(10.0), Mark::default());
        let mut map = Plane::from_fn(200, 40, |x, _| u8::from(x < 99));
        creep(&mut map, &softened, &[(90.0 * 655.35) as u16, (10.0 * 655.35) as u16]);
        let edge = map.row(20).iter().position(|&tone| tone == 0).unwrap();
        assert!((100..=102).contains(&edge), "{edge}");
    }

    #[test]
    fn pixels_at_an_edge_are_those_beside_another_tone() {
        let map = Plane::from_fn(130, 9, |x, y| (x / 13 + y / 4) as u8 % 3);
        let mut found = Vec::new();
        each_at_an_edge(&map, |x, y| found.push((x, y)));
        let wanted: Vec<(usize, usize)> = (0..9)
            .flat_map(|y| (0..130).map(move |x| (x, y)))
            .filter(|&(x, y)| beside(&map, x, y).any(|tone| tone != map.at(x, y)))
            .collect();
        assert_eq!(found, wanted);
    }
}
