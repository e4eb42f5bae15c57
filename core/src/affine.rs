//! A flat thing laid down somewhere: turned, scaled along its two axes, moved.

use crate::units::PointMm;

/// A turn, two scales and a shift, and the way back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Affine {
    /// Rows of the matrix.
    there: [[f64; 2]; 2],
    back: [[f64; 2]; 2],
    /// What is turned about, and where that lands.
    middle: PointMm,
    landed: PointMm,
}

impl Affine {
    /// Exactly where it was.
    pub(crate) const NONE: Self = Self {
        there: [[1.0, 0.0], [0.0, 1.0]],
        back: [[1.0, 0.0], [0.0, 1.0]],
        middle: PointMm { x: 0.0, y: 0.0 },
        landed: PointMm { x: 0.0, y: 0.0 },
    };

    /// Scaled about `middle` by `across` and `down`, both above 0, then turned about it by `turn` degrees (clockwise where y is down),
    /// then moved by `shift`.
    pub(crate) fn new(middle: PointMm, (across, down): (f64, f64), turn: f64, shift: PointMm) -> Self {
        if across == 1.0 && down == 1.0 && turn == 0.0 {
            return Self { landed: shift, ..Self::NONE };
        }
        let landed = PointMm { x: middle.x + shift.x, y: middle.y + shift.y };
        let (sin, cos) = if turn == 0.0 { (0.0, 1.0) } else { (libm::sin(turn.to_radians()), libm::cos(turn.to_radians())) };
        let there = [[cos * across, -sin * down], [sin * across, cos * down]];
        Self { there, back: [[cos / across, sin / across], [-sin / down, cos / down]], middle, landed }
    }

    /// Whether rows stay rows.
    pub(crate) fn upright(&self) -> bool {
        self.there[0][1] == 0.0 && self.there[1][0] == 0.0
    }

    /// By how much lengths grow, on the mean of both axes.
    pub(crate) fn growth(&self) -> f64 {
        let [[a, b], [c, d]] = self.there;
        (a * d - b * c).abs().sqrt()
    }

    /// What a step to the right and one down on the thing are where it lands, x and y of each.
    pub(crate) fn axes(&self) -> [[f64; 2]; 2] {
        let [[a, b], [c, d]] = self.there;
        [[a, c], [b, d]]
    }

    /// Where a point of the thing lands.
    #[inline]
    pub(crate) fn there(&self, x: f64, y: f64) -> (f64, f64) {
        let (x, y) = (x - self.middle.x, y - self.middle.y);
        let [[a, b], [c, d]] = self.there;
        (a * x + b * y + self.landed.x, c * x + d * y + self.landed.y)
    }

    /// Which point of the thing landed here.
    #[inline]
    pub(crate) fn back(&self, x: f64, y: f64) -> (f64, f64) {
        let (x, y) = (x - self.landed.x, y - self.landed.y);
        let [[a, b], [c, d]] = self.back;
        (a * x + b * y + self.middle.x, c * x + d * y + self.middle.y)
    }

    /// The box about what lands in a box (left, top, right, bottom).
    pub(crate) fn box_back(&self, [left, top, right, bottom]: [f64; 4]) -> [f64; 4] {
        let corners = [self.back(left, top), self.back(right, top), self.back(left, bottom), self.back(right, bottom)];
        let none = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        corners.iter().fold(none, |[l, t, r, b], &(x, y)| [l.min(x), t.min(y), r.max(x), b.max(y)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    #[test]
    fn clockwise_is_from_right_to_down() {
        let quarter = Affine::new(PointMm { x: 10.0, y: 20.0 }, (1.0, 1.0), 90.0, PointMm::default());
        let (x, y) = quarter.there(13.0, 20.0);
        assert_abs_diff_eq!(x, 10.0, epsilon = 1e-12);
        assert_abs_diff_eq!(y, 23.0, epsilon = 1e-12);
    }

    proptest! {
        #[test]
        fn there_and_back(x in -50.0..50.0f64, y in -50.0..50.0f64, across in 0.8..1.2f64, down in 0.8..1.2f64, turn in -180.0..180.0f64, dx in -9.0..9.0f64) {
            let laid = Affine::new(PointMm { x: 30.0, y: 7.0 }, (across, down), turn, PointMm { x: dx, y: 1.0 });
            let (u, v) = laid.there(x, y);
            let (p, q) = laid.back(u, v);
            prop_assert!((p - x).abs() < 1e-9 && (q - y).abs() < 1e-9);
        }
    }
}
