//! The lines between pixels of different tones, walked from junction to junction.

use crate::bits::BitPlane;
use crate::plane::Plane;

/// One line of cracks, from junction to junction, or closed.
pub(super) struct Walk {
    pub(super) lighter: u8,
    pub(super) darker: u8,
    /// Corners of pixels, in pixels; a closed walk repeats its first at the end.
    pub(super) corners: Vec<(f64, f64)>,
    pub(super) closed: bool,
}

/// Walks every crack of a map once. A junction is a corner where one, three or four cracks meet; the face's own border is no crack.
pub(super) fn walks(map: &Plane<u8>, mut each: impl FnMut(Walk)) {
    let mut cracks = Cracks::of(map);
    let nodes = cracks.nodes.clone();
    nodes.each(|x, y| {
        while let Some(direction) = cracks.open_from(x, y) {
            each(cracks.follow(x, y, direction, false));
        }
    });
    // What is left are closed curves, and each has a level crack.
    let level = cracks.level.clone();
    level.each(|x, y| {
        if cracks.level.at(x, y) {
            each(cracks.follow(x, y + 1, 0, true));
        }
    });
}

/// Steps right, down, left, up along the lattice of pixel corners.
const STEPS: [(isize, isize); 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];

/// The cracks between pixels of different tones, each walked once.
struct Cracks<'a> {
    map: &'a Plane<u8>,
    /// Bit (x, y): an unwalked crack from corner (x + 1, y) down to (x + 1, y + 1).
    upright: BitPlane,
    /// Bit (x, y): an unwalked crack from corner (x, y + 1) to (x + 1, y + 1).
    level: BitPlane,
    /// Corners where more or fewer than two cracks meet.
    nodes: BitPlane,
}

impl<'a> Cracks<'a> {
    fn of(map: &'a Plane<u8>) -> Self {
        let (upright, level) = BitPlane::cracks(map);
        let mut nodes = BitPlane::empty(map.width() + 1, map.height() + 1);
        let none = vec![0; upright.row(0).len()];
        for y in 0..=map.height() {
            let (above, beside) = if y > 0 { (upright.row(y - 1), level.row(y - 1)) } else { (&none[..], &none[..]) };
            let below = if y < map.height() { upright.row(y) } else { &none[..] };
            let word = |row: &[u64], i: usize| row.get(i).copied().unwrap_or(0);
            // Corner x has the upright cracks of column x − 1: a whole row moved by one.
            let moved = |row: &[u64], i: usize| word(row, i) << 1 | if i > 0 { word(row, i - 1) >> 63 } else { 0 };
            for (i, node) in nodes.row_mut(y).iter_mut().enumerate() {
                let (up, down) = (moved(above, i), moved(below, i));
                let (left, right) = (moved(beside, i), word(beside, i));
                *node = (up ^ down ^ left ^ right) | (up & down & left & right);
            }
        }
        Self { map, upright, level, nodes }
    }

    /// The plane and the bit that hold the crack which leads from a corner in a direction.
    fn place(&mut self, x: usize, y: usize, direction: usize) -> Option<(&mut BitPlane, usize, usize)> {
        let (width, height) = (self.map.width(), self.map.height());
        match direction {
            0 => (x < width && y > 0).then(|| (&mut self.level, x, y - 1)),
            1 => (x > 0 && y < height).then(|| (&mut self.upright, x - 1, y)),
            2 => (x > 0 && y > 0).then(|| (&mut self.level, x - 1, y - 1)),
            _ => (x > 0 && y > 0).then(|| (&mut self.upright, x - 1, y - 1)),
        }
        .filter(|(plane, x, y)| *x < plane.width() && *y < plane.height())
    }

    fn open_from(&mut self, x: usize, y: usize) -> Option<usize> {
        (0..4).find(|&direction| self.place(x, y, direction).is_some_and(|(plane, x, y)| plane.at(x, y)))
    }

    /// Walks from a corner until a junction, the border or back to the start.
    fn follow(&mut self, x: usize, y: usize, direction: usize, closed: bool) -> Walk {
        let (a, b) = self.sides(x, y, direction);
        let mut corners = vec![(x as f64, y as f64)];
        let (mut at, mut next) = ((x, y), Some(direction));
        while let Some(direction) = next {
            if let Some((plane, x, y)) = self.place(at.0, at.1, direction) {
                plane.clear(x, y);
            }
            at = (at.0.wrapping_add_signed(STEPS[direction].0), at.1.wrapping_add_signed(STEPS[direction].1));
            corners.push((at.0 as f64, at.1 as f64));
            next = if self.nodes.at(at.0, at.1) { None } else { self.open_from(at.0, at.1) };
        }
        Walk { lighter: a.min(b), darker: a.max(b), corners, closed }
    }

    /// The tones on both sides of a crack.
    fn sides(&self, x: usize, y: usize, direction: usize) -> (u8, u8) {
        match direction {
            0 => (self.map.at(x, y - 1), self.map.at(x, y)),
            1 => (self.map.at(x - 1, y), self.map.at(x, y)),
            2 => (self.map.at(x - 1, y - 1), self.map.at(x - 1, y)),
            _ => (self.map.at(x - 1, y - 1), self.map.at(x, y - 1)),
        }
    }
}
