//! Fill: what no region claims goes to the nearest one.

use crate::plane::Plane;

/// Lengths of a king's and a knight's move in fifths of a pixel (Borgefors, Computer Vision, Graphics, and Image Processing 34, 1986,
/// 344–371): within 2 % of the true distance, in whole numbers, so equal on every target.
const MOVES: [(isize, isize, u8); 16] = [
    (1, 0, 5),
    (-1, 0, 5),
    (0, 1, 5),
    (0, -1, 5),
    (1, 1, 7),
    (1, -1, 7),
    (-1, 1, 7),
    (-1, -1, 7),
    (2, 1, 11),
    (2, -1, 11),
    (-2, 1, 11),
    (-2, -1, 11),
    (1, 2, 11),
    (1, -2, 11),
    (-1, 2, 11),
    (-1, -2, 11),
];

/// Longest move, and so the number of lists that can be waiting at once.
const LISTS: usize = 12;

/// The moves to the eight neighbours: a front begins beside a region, not a knight's move away.
const BESIDE: usize = 8;

/// What filling needs room for, kept from one filling to the next of maps of one size: the shortest way found to each hole; 0 where there
/// is nothing to fill, so that one look decides.
pub(super) struct Ways(Vec<u16>);

impl Ways {
    pub(super) fn of(map: &Plane<u8>) -> Self {
        Self(vec![0; map.data().len()])
    }

    /// Gives each of the pixels at `holes`, which hold `none`, the value of the nearest pixel that has another. Only holes are visited, so
    /// the cost is theirs. A plane that has nothing else becomes 0 throughout.
    pub(super) fn fill(&mut self, map: &mut Plane<u8>, none: u8, holes: impl Iterator<Item = u32> + Clone) {
        from_nearest(map, none, holes.clone(), &mut self.0);
        for at in holes {
            self.0[at as usize] = 0;
        }
    }
}

/// The front of waiting pixels has a list for each length of the way so far, modulo the longest move (Dial, Comm. ACM 12, 1969,
/// 632–633).
fn from_nearest(map: &mut Plane<u8>, none: u8, holes: impl Iterator<Item = u32> + Clone, ways: &mut [u16]) {
    let (width, height) = (map.width(), map.height());
    let offsets = MOVES.map(|(dx, dy, _)| dy * width as isize + dx);
    let mut waiting: [Vec<(u32, u8)>; LISTS] = Default::default();
    for at in holes.clone() {
        ways[at as usize] = u16::MAX;
    }
    for at in holes.clone() {
        let (x, y) = (at as usize % width, at as usize / width);
        for &(dx, dy, step) in &MOVES[..BESIDE] {
            if let Some(from) = moved(width, height, x, y, dx, dy)
                && u16::from(step) < ways[at as usize]
                && ways[from] == 0
            {
                ways[at as usize] = u16::from(step);
                waiting[usize::from(step)].push((at, map.data()[from]));
            }
        }
    }
    if waiting.iter().all(Vec::is_empty) {
        for at in holes {
            map.data_mut()[at as usize] = 0;
        }
        return;
    }
    let mut length = 0usize;
    while waiting.iter().any(|list| !list.is_empty()) {
        for (at, value) in std::mem::take(&mut waiting[length % LISTS]) {
            let at = at as usize;
            if map.data()[at] != none {
                continue;
            }
            map.data_mut()[at] = value;
            let (x, y) = (at % width, at / width);
            let inside = x >= 2 && y >= 2 && x + 2 < width && y + 2 < height;
            for (&(dx, dy, step), &offset) in MOVES.iter().zip(&offsets) {
                // Two pixels from the border every move stays on the plane: no need to ask.
                let Some(next) = (if inside { Some(at.wrapping_add_signed(offset)) } else { moved(width, height, x, y, dx, dy) }) else {
                    continue;
                };
                let way = (length + usize::from(step)).min(usize::from(u16::MAX) - 1) as u16;
                if way < ways[next] {
                    ways[next] = way;
                    waiting[usize::from(way) % LISTS].push((next as u32, value));
                }
            }
        }
        length += 1;
    }
}

fn moved(width: usize, height: usize, x: usize, y: usize, dx: isize, dy: isize) -> Option<usize> {
    let (x, y) = (x.checked_add_signed(dx)?, y.checked_add_signed(dy)?);
    (x < width && y < height).then(|| y * width + x)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(mut map: Plane<u8>) -> Plane<u8> {
        let holes: Vec<u32> = (0..map.data().len() as u32).filter(|&at| map.data()[at as usize] == 255).collect();
        Ways::of(&map).fill(&mut map, 255, holes.iter().copied());
        map
    }

    #[test]
    fn the_nearest_region_wins() {
        let map = filled(Plane::from_fn(21, 9, |x, _| {
            if x == 0 {
                1
            } else if x == 20 {
                2
            } else {
                255
            }
        }));
        assert_eq!(map.row(4)[..10], [1; 10]);
        assert_eq!(map.row(4)[11..], [2; 10]);
    }

    #[test]
    fn distances_are_within_two_percent_of_true() {
        let sites = [(3usize, 4usize, 1u8), (40, 9, 2), (22, 35, 3)];
        let map = filled(Plane::from_fn(50, 45, |x, y| sites.iter().find(|s| (s.0, s.1) == (x, y)).map_or(255, |s| s.2)));
        for y in 0..45 {
            for x in 0..50 {
                let far = |s: &(usize, usize, u8)| ((x as f64 - s.0 as f64).powi(2) + (y as f64 - s.1 as f64).powi(2)).sqrt();
                let nearest = sites.iter().map(far).fold(f64::INFINITY, f64::min);
                let own = sites.iter().find(|s| s.2 == map.at(x, y)).unwrap();
                assert!(far(own) <= nearest * 1.05 + 0.5, "({x}, {y})");
            }
        }
    }

    #[test]
    fn nothing_to_spread_becomes_paper() {
        let map = filled(Plane::filled(4, 4, 255u8));
        assert!(map.data().iter().all(|&v| v == 0));
    }
}
