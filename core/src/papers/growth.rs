//! Growth: what is cut smaller, so that it has its size when it is pasted.
//!
//! A paper grows by one share along its fibres and by another across them; what was a square becomes an oblong, and slanting edges turn. So
//! the outline is taken back by the same affine map: 1/(1 + a) along the fibres, 1/(1 + b) across them.

use super::Stock;
use crate::units::PointMm;

/// An outline as it is cut dry: `growth` taken off along and across fibres that run at `fibre` degrees (from the level, anticlockwise in print
/// view), about the middle of its box, which stays where it is.
#[must_use]
pub fn cut_smaller(outline: &[PointMm], stock: &Stock, fibre: f64) -> Vec<PointMm> {
    let range = |of: fn(&PointMm) -> f64| outline.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
    let ((left, right), (top, foot)) = (range(|p| p.x), range(|p| p.y));
    let (mx, my) = ((left + right) / 2.0, (top + foot) / 2.0);
    let angle = fibre.to_radians();
    // Down is more, so what turns anticlockwise to the eye has its y the other way.
    let (along_x, along_y) = (libm::cos(angle), -libm::sin(angle));
    let (by_along, by_across) = (1.0 / (1.0 + stock.along), 1.0 / (1.0 + stock.across));
    let each = |point: &PointMm| {
        let (x, y) = (point.x - mx, point.y - my);
        let along = (x * along_x + y * along_y) * by_along;
        let across = (y * along_x - x * along_y) * by_across;
        PointMm { x: mx + along * along_x - across * along_y, y: my + along * along_y + across * along_x }
    };
    outline.iter().map(each).collect()
}

#[cfg(test)]
mod tests {
    use super::super::tests::square;
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn stock(along: f64, across: f64) -> Stock {
        Stock { name: String::new(), along, across }
    }

    fn size(points: &[PointMm]) -> (f64, f64) {
        let span = |of: fn(&PointMm) -> f64| {
            let (least, most) = points.iter().map(of).fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
            most - least
        };
        (span(|p| p.x), span(|p| p.y))
    }

    #[test]
    fn growth_is_taken_off_along_and_across() {
        let piece = square(10.0, 20.0, 100.0, 50.0);
        let (wide, high) = size(&cut_smaller(&piece, &stock(0.002, 0.021), 0.0));
        assert_abs_diff_eq!(wide, 100.0 / 1.002, epsilon = 1e-9);
        assert_abs_diff_eq!(high, 50.0 / 1.021, epsilon = 1e-9);
        let (wide, high) = size(&cut_smaller(&piece, &stock(0.002, 0.021), 90.0));
        assert_abs_diff_eq!(wide, 100.0 / 1.021, epsilon = 1e-9);
        assert_abs_diff_eq!(high, 50.0 / 1.002, epsilon = 1e-9);
    }

    #[test]
    fn fibres_that_rise_to_the_right_keep_that_diagonal_longest() {
        // Grows across only: points on the line that rises to the right (y up) stay.
        let line = [(0.0, 10.0), (10.0, 0.0), (0.0, 0.0), (10.0, 10.0)].map(PointMm::from);
        let cut = cut_smaller(&line, &stock(0.0, 0.05), 45.0);
        assert_abs_diff_eq!(cut[0].x, 0.0, epsilon = 1e-12);
        assert_abs_diff_eq!(cut[1].x, 10.0, epsilon = 1e-12);
        assert_abs_diff_eq!(libm::hypot(cut[3].x - cut[2].x, cut[3].y - cut[2].y), 200f64.sqrt() / 1.05, epsilon = 1e-9);
    }

    proptest! {
        #[test]
        fn what_is_cut_grows_back(points in prop::collection::vec((-50.0f64..50.0, -50.0f64..50.0), 3..20), along in 0.0..0.05f64, across in 0.0..0.05f64, fibre in -180.0..180.0f64) {
            // Grown again by a plain matrix: R diag(1 + a, 1 + b) Rᵀ.
            let outline: Vec<PointMm> = points.into_iter().map(PointMm::from).collect();
            let cut = cut_smaller(&outline, &stock(along, across), fibre);
            let (cos, sin) = (fibre.to_radians().cos(), -fibre.to_radians().sin());
            let matrix = [
                [(1.0 + along) * cos * cos + (1.0 + across) * sin * sin, (along - across) * sin * cos],
                [(along - across) * sin * cos, (1.0 + along) * sin * sin + (1.0 + across) * cos * cos],
            ];
            for i in 1..outline.len() {
                let (dx, dy) = (cut[i].x - cut[0].x, cut[i].y - cut[0].y);
                prop_assert!((matrix[0][0] * dx + matrix[0][1] * dy - (outline[i].x - outline[0].x)).abs() < 1e-9);
                prop_assert!((matrix[1][0] * dx + matrix[1][1] * dy - (outline[i].y - outline[0].y)).abs() < 1e-9);
            }
        }
    }
}
