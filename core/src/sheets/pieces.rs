//! The 4-connected pieces of a part of the step map.

use crate::plane::Plane;

/// A raster of piece numbers: 0 outside, 1 to `count` within.
pub(super) struct Pieces {
    labels: Plane<u32>,
    count: usize,
}

impl Pieces {
    /// Numbers the pieces that hold the pixels for which `keep` is true, in the order of their first pixel.
    pub(super) fn of(map: &Plane<u8>, keep: impl Fn(u8) -> bool) -> Self {
        let (width, height) = (map.width(), map.height());
        let mut labels = Plane::filled(width, height, 0_u32);
        // Runs of a row take the number of a run above that they touch; numbers that meet are joined in `parent`.
        let mut parent = vec![0_u32];
        for y in 0..height {
            for x in 0..width {
                let here = y * width + x;
                if !keep(map.data()[here]) {
                    continue;
                }
                let left = if x > 0 { labels.data()[here - 1] } else { 0 };
                let above = if y > 0 { labels.data()[here - width] } else { 0 };
                labels.data_mut()[here] = match (left, above) {
                    (0, 0) => {
                        parent.push(parent.len() as u32);
                        parent.len() as u32 - 1
                    }
                    (one, 0) | (0, one) => one,
                    (one, other) => {
                        join(&mut parent, one, other);
                        one
                    }
                };
            }
        }
        let mut number = vec![0_u32; parent.len()];
        let mut count = 0;
        for label in 1..parent.len() as u32 {
            let root = find(&mut parent, label);
            if number[root as usize] == 0 {
                count += 1;
                number[root as usize] = count;
            }
            number[label as usize] = number[root as usize];
        }
        for label in labels.data_mut() {
            *label = number[*label as usize];
        }
        Self { labels, count: count as usize }
    }

    /// The piece at a pixel, 0 where there is none.
    pub(super) fn at(&self, x: usize, y: usize) -> u32 {
        self.labels.at(x, y)
    }

    /// How many pieces there are.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    /// The raster of piece numbers.
    pub(super) fn labels(&self) -> &Plane<u32> {
        &self.labels
    }
}

fn find(parent: &mut [u32], mut label: u32) -> u32 {
    while parent[label as usize] != label {
        parent[label as usize] = parent[parent[label as usize] as usize];
        label = parent[label as usize];
    }
    label
}

fn join(parent: &mut [u32], one: u32, other: u32) {
    let (one, other) = (find(parent, one), find(parent, other));
    // The lower number stays, so that numbers keep the order of first pixels.
    parent[one.max(other) as usize] = one.min(other);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_touch_by_sides_never_by_corners() {
        let rows = [b"#.##.", b"#.#.#", b"###.#", b"...#."];
        let map = Plane::from_fn(5, 4, |x, y| u8::from(rows[y][x] == b'#'));
        let pieces = Pieces::of(&map, |tone| tone == 1);
        assert_eq!(pieces.count(), 3);
        assert_eq!(pieces.at(0, 0), pieces.at(3, 0));
        assert_eq!((pieces.at(1, 0), pieces.at(4, 1), pieces.at(3, 3)), (0, 2, 3));
    }
}
