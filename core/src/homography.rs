//! Homographies: how a flat sheet appears in a photograph, and similarities, which are the simplest of them.

use std::ops::Mul;

/// A point or a direction in a plane, x right, y down; in what unit, the place of use says.
pub type Point = [f64; 2];

/// A projective map of the plane: `(x, y)` goes to `(X / W, Y / W)` with `(X, Y, W) = M · (x, y, 1)`.
///
/// # Guarantees
/// All entries are finite and the matrix has an inverse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homography([[f64; 3]; 3]);

/// Determinants below this, of matrices scaled to entries of about 1, are none.
const FLAT: f64 = 1e-12;

impl Homography {
    /// A map by its matrix, row after row.
    ///
    /// `None` where an entry is not finite or the matrix has no inverse.
    #[must_use]
    pub fn new(matrix: [[f64; 3]; 3]) -> Option<Self> {
        let most = matrix.as_flattened().iter().fold(0.0f64, |most, entry| most.max(entry.abs()));
        if !most.is_finite() || most <= 0.0 {
            return None;
        }
        let map = Self(matrix);
        let det = determinant(&matrix);
        (det.is_finite() && det.abs() > f64::MIN_POSITIVE).then_some(map)
    }

    /// The similarity that turns by `radians` clockwise as seen (y points down), multiplies by `scale` and takes `from` to `to`.
    #[must_use]
    pub fn similarity(radians: f64, scale: f64, from: Point, to: Point) -> Option<Self> {
        let (sin, cos) = (scale * libm::sin(radians), scale * libm::cos(radians));
        let left = to[0] - cos * from[0] + sin * from[1];
        let down = to[1] - sin * from[0] - cos * from[1];
        Self::new([[cos, -sin, left], [sin, cos, down], [0.0, 0.0, 1.0]])
    }

    /// The one map that takes four points to four points, in order.
    ///
    /// The eight equations of R. Hartley and A. Zisserman, "Multiple View Geometry in Computer Vision", 2nd edition 2004, eq. 4.3 with
    /// h33 = 1, in coordinates of mean 0 and mean distance √2 (section 4.4.4); with four points they hold exactly, so no least squares.
    ///
    /// `None` where three of the points of one side lie on a line, or nearly.
    #[must_use]
    pub fn between(from: &[Point; 4], to: &[Point; 4]) -> Option<Self> {
        let (plain, normal) = (normalising(from)?, normalising(to)?);
        let mut rows = [[0.0; 9]; 8];
        for (i, (&p, &q)) in from.iter().zip(to).enumerate() {
            let ([x, y], [u, v]) = (plain.apply(p), normal.apply(q));
            rows[2 * i] = [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, u];
            rows[2 * i + 1] = [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, v];
        }
        let h = solve(rows)?;
        let middle = Self([[h[0], h[1], h[2]], [h[3], h[4], h[5]], [h[6], h[7], 1.0]]);
        if determinant(&middle.0).abs() < FLAT {
            return None;
        }
        let map = normal.inverse() * middle * plain;
        let whole = map.0[2][2];
        // Scaled so that the last entry is 1, as tables have it; where it vanishes any scale will do.
        Self::new(if whole.abs() > FLAT { map.0.map(|row| row.map(|entry| entry / whole)) } else { map.0 })
    }

    /// The matrix, row after row.
    #[must_use]
    pub fn matrix(&self) -> [[f64; 3]; 3] {
        self.0
    }

    /// Where a point goes.
    #[must_use]
    pub fn apply(&self, [x, y]: Point) -> Point {
        let [a, b, c] = self.0.map(|row| row[0] * x + row[1] * y + row[2]);
        [a / c, b / c]
    }

    /// What a step of 1 across and a step of 1 down at a point become: the columns of the derivative.
    #[must_use]
    pub fn derivative(&self, [x, y]: Point) -> [Point; 2] {
        let m = &self.0;
        let [a, b, c] = m.map(|row| row[0] * x + row[1] * y + row[2]);
        let column = |k: usize| [(m[0][k] - a / c * m[2][k]) / c, (m[1][k] - b / c * m[2][k]) / c];
        [column(0), column(1)]
    }

    /// How many times larger a small area at a point becomes.
    #[must_use]
    pub fn magnification(&self, at: Point) -> f64 {
        let [across, down] = self.derivative(at);
        (across[0] * down[1] - across[1] * down[0]).abs()
    }

    /// The map back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let m = &self.0;
        let minor = |r: usize, c: usize| {
            let (r1, r2, c1, c2) = ((r + 1) % 3, (r + 2) % 3, (c + 1) % 3, (c + 2) % 3);
            m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
        };
        // The adjugate: cyclic indices carry the signs. Its scale is free in a projective map.
        let det = determinant(m);
        Self(std::array::from_fn(|r| std::array::from_fn(|c| minor(c, r) / det)))
    }
}

impl Mul for Homography {
    type Output = Self;

    /// First the right one, then the left one.
    fn mul(self, first: Self) -> Self {
        Self(std::array::from_fn(|r| std::array::from_fn(|c| (0..3).map(|k| self.0[r][k] * first.0[k][c]).sum())))
    }
}

fn determinant(m: &[[f64; 3]; 3]) -> f64 {
    (0..3).map(|c| m[0][c] * (m[1][(c + 1) % 3] * m[2][(c + 2) % 3] - m[1][(c + 2) % 3] * m[2][(c + 1) % 3])).sum()
}

/// To mean 0 and mean distance √2.
fn normalising(points: &[Point; 4]) -> Option<Homography> {
    let mean = |k: usize| points.iter().map(|p| p[k]).sum::<f64>() / 4.0;
    let [x, y] = [mean(0), mean(1)];
    let distance = points.iter().map(|p| libm::hypot(p[0] - x, p[1] - y)).sum::<f64>() / 4.0;
    if !distance.is_finite() || distance <= 0.0 {
        return None;
    }
    let scale = std::f64::consts::SQRT_2 / distance;
    Homography::new([[scale, 0.0, -scale * x], [0.0, scale, -scale * y], [0.0, 0.0, 1.0]])
}

/// Solves linear equations, the right side in the last column, by elimination with the largest pivot of the column.
pub(crate) fn solve<const N: usize, const M: usize>(mut rows: [[f64; M]; N]) -> Option<[f64; N]> {
    const { assert!(M == N + 1) };
    for k in 0..N {
        let pivot = (k..N).max_by(|&a, &b| rows[a][k].abs().total_cmp(&rows[b][k].abs()))?;
        rows.swap(k, pivot);
        if rows[k][k].abs() < FLAT || !rows[k][k].is_finite() {
            return None;
        }
        let top = rows[k];
        for row in rows.iter_mut().skip(k + 1) {
            let factor = row[k] / top[k];
            for (entry, above) in row.iter_mut().zip(top).skip(k) {
                *entry -= factor * above;
            }
        }
    }
    let mut found = [0.0; N];
    for k in (0..N).rev() {
        let rest: f64 = (k + 1..N).map(|c| rows[k][c] * found[c]).sum();
        found[k] = (rows[k][N] - rest) / rows[k][k];
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    const SQUARE: [Point; 4] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];

    #[test]
    fn the_unit_square_has_its_known_map() {
        // P. Heckbert, "Fundamentals of Texture Mapping and Image Warping", 1989, section 2.2.3: for the square's corners to (0,0), (2,0),
        // (3,2), (0,1): dx1 = -1, dx2 = -3, dy1 = -2, dy2 = -1, sx = 1, sy = 1; g = (sx·dy2 - dx2·sy) / (dx1·dy2 - dx2·dy1) = -2/5,
        // h = (dx1·sy - sx·dy1) / -5 = -1/5; a = 2 + g·2 = 6/5, b = 0, d = 0, e = 1 + h = 4/5.
        let map = Homography::between(&SQUARE, &[[0.0, 0.0], [2.0, 0.0], [3.0, 2.0], [0.0, 1.0]]).unwrap();
        let wanted = [1.2, 0.0, 0.0, 0.0, 0.8, 0.0, -0.4, -0.2, 1.0];
        for (&got, wanted) in map.matrix().as_flattened().iter().zip(wanted) {
            assert_abs_diff_eq!(got, wanted, epsilon = 1e-12);
        }
    }

    #[test]
    fn points_on_a_line_have_no_map() {
        let line = [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [0.0, 1.0]];
        assert_eq!(Homography::between(&SQUARE, &line), None);
        assert_eq!(Homography::between(&line, &SQUARE), None);
        assert_eq!(Homography::between(&SQUARE, &[[3.0, 3.0]; 4]), None);
        assert_eq!(Homography::between(&SQUARE, &[[f64::NAN; 2]; 4]), None);
    }

    #[test]
    fn a_similarity_turns_clockwise_as_seen() {
        let map = Homography::similarity(std::f64::consts::FRAC_PI_2, 2.0, [1.0, 1.0], [5.0, 5.0]).unwrap();
        // From the middle one to the right, turned: two down.
        let [x, y] = map.apply([2.0, 1.0]);
        assert_abs_diff_eq!(x, 5.0, epsilon = 1e-12);
        assert_abs_diff_eq!(y, 7.0, epsilon = 1e-12);
        assert_abs_diff_eq!(map.magnification([9.0, 4.0]), 4.0, epsilon = 1e-12);
    }

    fn quad() -> impl Strategy<Value = [Point; 4]> {
        let near = |[x, y]: Point| (-0.3..0.3f64, -0.3..0.3f64).prop_map(move |(dx, dy)| [3000.0 * (x + dx), 4000.0 * (y + dy)]);
        (near(SQUARE[0]), near(SQUARE[1]), near(SQUARE[2]), near(SQUARE[3])).prop_map(|(a, b, c, d)| [a, b, c, d])
    }

    proptest! {
        #[test]
        fn corners_go_to_corners_and_back(from in quad(), to in quad(), x in 0.2..0.8f64, y in 0.2..0.8f64) {
            let map = Homography::between(&from, &to).unwrap();
            for (&p, q) in from.iter().zip(to) {
                let got = map.apply(p);
                prop_assert!((got[0] - q[0]).abs() < 1e-6 && (got[1] - q[1]).abs() < 1e-6, "{got:?} for {q:?}");
            }
            let at = Homography::between(&SQUARE, &from).unwrap().apply([x, y]);
            let there = map.apply(at);
            let back = map.inverse().apply(there);
            prop_assert!((back[0] - at[0]).abs() < 1e-5 && (back[1] - at[1]).abs() < 1e-5);
            // The derivative is what a small step says.
            let [across, _] = map.derivative(at);
            let step = map.apply([at[0] + 1e-3, at[1]]);
            prop_assert!((step[0] - there[0] - across[0] * 1e-3).abs() < 1e-5 * (1.0 + across[0].abs()));
        }
    }
}
