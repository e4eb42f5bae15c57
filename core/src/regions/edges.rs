//! Edges moved to where the picture, as it is seen, comes out nearest to the drawing.
//!
//! The regions are laid out coarsely; their edges then creep, pixel by pixel, wherever that lessens the squared difference between the
//! map and the drawing, both softened as the eye softens them at arm's length. Of a pixel that passes from one tone to another with the
//! difference c between them, at a place where the map is e too light (twice softened: the derivative of a squared softened difference),
//! the sum of squares changes by 2·c·e + c²·w, where w is what the Gaussian leaves of one pixel of a straight edge: 1 / (2·√π·σ). The k-th
//! pixel of the same edge costs (2k − 1) times that, as it adds to the ones before.

use super::softened::{SEEN, Softened, cell_means};
use crate::bits::BitPlane;
use crate::blur::gaussian;
use crate::plane::Plane;

/// Pixels an edge may creep before the difference is looked at anew.
const CREEP: i64 = 4;

/// Lets the edges of a map creep. `means` are the stored lightnesses of the tones.
pub(super) fn creep(map: &mut Plane<u8>, softened: &Softened, means: &[u16]) {
    let field = Field::of(map, softened, means);
    let sigma = softened.resolution.px(SEEN);
    let cost = libm::round(SCALE as f64 / (2.0 * libm::sqrt(std::f64::consts::PI) * sigma)) as i64;
    let width = map.width();
    let mut moved = Vec::new();
    each_at_an_edge(map, |x, y| moved.extend(better(map, &field, means, cost, y * width + x)));
    let mut seen = BitPlane::empty(map.width(), map.height());
    for k in 1..CREEP {
        // An edge that has not moved will not do so at a higher price: only beside those that have is anything new.
        let mut near = Vec::with_capacity(2 * moved.len());
        for (at, tone) in moved.drain(..) {
            map.data_mut()[at] = tone;
            near.extend(beside(map, at).filter(|next| seen.set(next % width, next / width)));
        }
        for at in &near {
            seen.clear(at % width, at / width);
        }
        moved.extend(near.into_iter().filter_map(|at| better(map, &field, means, cost * (2 * k + 1), at)));
    }
    for (at, tone) in moved {
        map.data_mut()[at] = tone;
    }
}

/// The tone beside a pixel that suits it best, if one suits better than its own.
fn better(map: &Plane<u8>, field: &Field, means: &[u16], cost: i64, at: usize) -> Option<(usize, u8)> {
    let (width, data) = (map.width(), map.data());
    let (x, y) = (at % width, at / width);
    let here = data[at];
    // At the border a pixel stands in for the one that is not there.
    let near = if x > 0 && y > 0 && x + 1 < width && y + 1 < map.height() {
        [data[at - 1], data[at + 1], data[at - width], data[at + width]]
    } else {
        let mut near = [here; 4];
        near.iter_mut().zip(beside(map, at)).for_each(|(near, at)| *near = data[at]);
        near
    };
    let light = i64::from(means[usize::from(here)]);
    let error = 2 * SCALE * field.at(x, y);
    let mut best = (0, here);
    for there in near {
        if there != here && there != best.1 {
            let c = i64::from(means[usize::from(there)]) - light;
            best = best.min((c * (error + cost * c), there));
        }
    }
    (best.1 != here).then_some((at, best.1))
}

/// One in fixed point.
const SCALE: i64 = 1 << 16;

/// How much lighter the map is than the drawing, as it is seen, in stored lightness.
struct Field {
    /// Half the difference, about 32768.
    plane: Plane<u16>,
    columns: Vec<(u32, u32, i32)>,
    rows: Vec<(u32, u32, i32)>,
}

impl Field {
    fn of(map: &Plane<u8>, softened: &Softened, means: &[u16]) -> Self {
        let cell = softened.cell;
        let made = cell_means(map, cell, |tone: u8| u32::from(means[usize::from(tone)]));
        let mut drawn = softened.seen.data().iter();
        let half = |made: &u16| {
            let drawn = drawn.next().copied().unwrap_or(*made);
            ((i32::from(*made) - i32::from(drawn)) / 2 + 32_768) as u16
        };
        // Softened twice.
        let sigma = softened.resolution.px(SEEN) * std::f64::consts::SQRT_2 / cell as f64;
        let columns = places(map.width(), cell, made.width(), 1);
        let rows = places(map.height(), cell, made.height(), made.width());
        Self { plane: gaussian(&made.map(half), sigma), columns, rows }
    }

    /// At a pixel, between the middles of the cells about it.
    fn at(&self, x: usize, y: usize) -> i64 {
        let (left, right, across) = self.columns[x];
        let (upper, lower, down) = self.rows[y];
        let data = self.plane.data();
        let row = |start: u32| {
            let at = |x: u32| i32::from(data[(start + x) as usize]);
            (at(left) << BETWEEN) + (at(right) - at(left)) * across
        };
        let (upper, lower) = (row(upper), row(lower));
        i64::from(((upper << BETWEEN) + (lower - upper) * down) >> (2 * BETWEEN - 1)) - 65_536
    }
}

/// Bits of a place between two cells.
const BETWEEN: u32 = 7;

/// For each pixel of a side the cells on either hand, `stride` apart in memory, and how far it is from the first to the second.
fn places(pixels: usize, cell: usize, cells: usize, stride: usize) -> Vec<(u32, u32, i32)> {
    let wide = 2 * cell;
    let place = |at: usize| {
        let from = (2 * at + 1).saturating_sub(cell);
        let first = (from / wide).min(cells - 1);
        let second = (first + 1).min(cells - 1);
        ((first * stride) as u32, (second * stride) as u32, ((from % wide) << BETWEEN).div_euclid(wide) as i32)
    };
    (0..pixels).map(place).collect()
}

/// The four pixels beside one; at the border fewer.
fn beside(map: &Plane<u8>, at: usize) -> impl Iterator<Item = usize> {
    let (width, end) = (map.width(), map.data().len());
    let x = at % width;
    let near =
        [(x > 0).then(|| at - 1), (x + 1 < width).then_some(at + 1), at.checked_sub(width), (at + width < end).then_some(at + width)];
    near.into_iter().flatten()
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
    use crate::smoothing::Smoothing;
    use crate::units::PxPerMm;

    #[test]
    fn an_edge_creeps_to_where_the_drawing_has_it() {
        // Black to white at column 101; the map has it at 99.
        let drawing = Plane::from_fn(200, 40, |x, _| if x < 101 { 10.0 } else { 90.0 });
        let softened = Softened::of(&drawing, PxPerMm(10.0), Mark::default(), Smoothing::NONE);
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
            .filter(|&(x, y)| beside(&map, y * 130 + x).any(|at| map.data()[at] != map.at(x, y)))
            .collect();
        assert_eq!(found, wanted);
    }
}
