//! The sheet's proportions, from the way its parallel sides run together.

use super::corners::Corners;
use crate::homography::Homography;

/// Focal length taken where the photograph does not tell: this share of the picture's longer side, about that of a phone's main camera
/// (26 mm on a frame of 36 mm, common practice, no source).
const USUAL_FOCUS: f64 = 0.72;

/// Width over height of the sheet whose corners these are, and whether the perspective was strong enough to tell the focal length.
///
/// A camera with square pixels whose axis goes through the picture's middle shows the sheet's two directions at right angles and equally
/// long: Z. Zhang and L.-W. He, "Whiteboard scanning and image enhancement", Digital Signal Processing 17 (2007), 414-432,
/// doi 10.1016/j.dsp.2006.05.006, section 3. A cropped photograph has its axis elsewhere, and the figure is then off.
pub(super) fn proportion(corners: &Corners, (width, height): (usize, usize)) -> Option<(f64, bool)> {
    let (cx, cy) = (width as f64 / 2.0, height as f64 / 2.0);
    let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
    let m = Homography::between(&square, &corners.0.map(|[x, y]| [x - cx, y - cy]))?.matrix();
    let column = |k: usize| [m[0][k], m[1][k], m[2][k]];
    let (a, b) = (column(0), column(1));
    let long = width.max(height) as f64;
    let usual = USUAL_FOCUS * long;
    // a · ω · b = 0 with ω = diag(1/f², 1/f², 1).
    let square = -(a[0] * b[0] + a[1] * b[1]) / (a[2] * b[2]);
    // Perspective along both sides, or the quotient is noise.
    let strong = (a[2] * long).abs().min((b[2] * long).abs()) > 0.05 * (a[0].abs() + a[1].abs() + b[0].abs() + b[1].abs()) / 2.0;
    let told = strong && square.is_finite() && square > (0.4 * long) * (0.4 * long) && square < 16.0 * long * long;
    let focus2 = if told { square } else { usual * usual };
    let length = |v: [f64; 3]| libm::sqrt((v[0] * v[0] + v[1] * v[1]) / focus2 + v[2] * v[2]);
    let proportion = length(a) / length(b);
    (proportion.is_finite() && (0.05..=20.0).contains(&proportion)).then_some((proportion, told))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn seen_straight_on_the_proportion_is_that_of_the_pixels() {
        let corners = Corners([[100.0, 150.0], [400.0, 150.0], [400.0, 350.0], [100.0, 350.0]]);
        let (told, strong) = proportion(&corners, (500, 500)).unwrap();
        assert_abs_diff_eq!(told, 1.5, epsilon = 1e-9);
        assert!(!strong);
    }

    #[test]
    fn no_corners_no_proportion() {
        assert_eq!(proportion(&Corners([[1.0, 1.0]; 4]), (500, 500)), None);
    }
}
