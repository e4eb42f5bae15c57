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

/// Gives every pixel of value `none` the value of the nearest pixel that has another. Only such pixels are visited, so the cost is
/// theirs. A plane that has nothing else becomes 0 throughout.
pub(super) fn from_nearest(map: &mut Plane<u8>, none: u8) {
    let (width, height) = (map.width(), map.height());
    // A front of waiting pixels for each length of the way so far, modulo the longest move (Dial, Comm. ACM 12, 1969, 632–633).
    let mut waiting: [Vec<(u32, u8)>; LISTS] = Default::default();
    let mut empty = 0u64;
    for y in 0..height {
        if !map.row(y).contains(&none) {
            continue;
        }
        for x in 0..width {
            if map.at(x, y) == none {
                empty += 1;
                for (at, value, length) in neighbours(map, x, y, none) {
                    let _ = at;
                    waiting[usize::from(length)].push(((y * width + x) as u32, value));
                }
            }
        }
    }
    if empty == map.data().len() as u64 {
        map.data_mut().fill(0);
        return;
    }
    let mut length = 0;
    while empty > 0 {
        let front = std::mem::take(&mut waiting[length % LISTS]);
        for (at, value) in front {
            let at = at as usize;
            if map.data()[at] != none {
                continue;
            }
            map.data_mut()[at] = value;
            empty -= 1;
            let (x, y) = (at % width, at / width);
            for (dx, dy, step) in MOVES {
                if let Some(next) = moved(width, height, x, y, dx, dy)
                    && map.data()[next] == none
                {
                    waiting[(length + usize::from(step)) % LISTS].push((next as u32, value));
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

/// Claimed pixels one move away from a pixel.
fn neighbours(map: &Plane<u8>, x: usize, y: usize, none: u8) -> impl Iterator<Item = (usize, u8, u8)> {
    MOVES.iter().filter_map(move |&(dx, dy, length)| {
        let at = moved(map.width(), map.height(), x, y, dx, dy)?;
        let value = map.data()[at];
        (value != none).then_some((at, value, length))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_region_wins() {
        let mut map = Plane::from_fn(21, 9, |x, _| {
            if x == 0 {
                1
            } else if x == 20 {
                2
            } else {
                255
            }
        });
        from_nearest(&mut map, 255);
        assert_eq!(map.row(4)[..10], [1; 10]);
        assert_eq!(map.row(4)[11..], [2; 10]);
    }

    #[test]
    fn distances_are_within_two_percent_of_true() {
        let sites = [(3usize, 4usize, 1u8), (40, 9, 2), (22, 35, 3)];
        let mut map = Plane::from_fn(50, 45, |x, y| sites.iter().find(|s| (s.0, s.1) == (x, y)).map_or(255, |s| s.2));
        from_nearest(&mut map, 255);
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
        let mut map = Plane::filled(4, 4, 255u8);
        from_nearest(&mut map, 255);
        assert!(map.data().iter().all(|&v| v == 0));
    }
}
