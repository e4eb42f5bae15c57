//! Smoothing that keeps edges: paper tooth, grain and the noise of a camera go, what is drawn stays where it is.

use crate::plane::Plane;
use crate::units::Millimetres;
use std::fmt;

/// How far around it a place is smoothed: half the side of the window.
///
/// # Guarantees
/// From 0 to 3 mm.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Smoothing(pub(crate) Millimetres);

/// A smoothing that is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SmoothingError {
    /// What came, mm.
    pub smoothing: f64,
}

impl fmt::Display for SmoothingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Smoothing reaches 0 to 3 mm; {} mm came: 0.8 mm takes away the tooth of a rag paper.", self.smoothing)
    }
}

impl std::error::Error for SmoothingError {}

impl Default for Smoothing {
    /// 0.8 mm: the tooth of a rag paper and the noise of a camera go. Estimate, no source.
    fn default() -> Self {
        Self(Millimetres(0.8))
    }
}

impl Smoothing {
    /// The drawing as it is.
    pub const NONE: Self = Self(Millimetres(0.0));

    /// A smoothing of a reach.
    ///
    /// # Errors
    /// When it is not from 0 to 3 mm.
    pub fn new(reach: Millimetres) -> Result<Self, SmoothingError> {
        if (0.0..=3.0).contains(&reach.0) { Ok(Self(reach)) } else { Err(SmoothingError { smoothing: reach.0 }) }
    }

    /// Its reach.
    #[must_use]
    pub fn reach(self) -> Millimetres {
        self.0
    }
}

/// Differences of lightness that count as drawn rather than as tooth, L*. Estimate, from scans of washes on rag paper.
const DRAWN: f32 = 5.0;

/// The self-guided filter: K. He, J. Sun, X. Tang, "Guided image filtering", IEEE Trans. PAMI 35 (2013), 1397–1409, equations 5, 6 and 8
/// with the picture as its own guide, windows of 2·`radius` + 1 pixels and ε = 25 (5 L* squared).
///
/// Where a window's lightness varies by much less than 5 L* it is flattened to its mean; where by much more, it stays. The border's pixels
/// repeat outwards.
#[must_use]
pub fn smoothed(lightness: &Plane<f32>, radius: usize) -> Plane<f32> {
    if radius == 0 {
        return lightness.clone();
    }
    let mean = box_mean(lightness, radius);
    let mut slope = box_mean(&lightness.map(|l| l * l), radius);
    let mut offset = mean;
    for (slope, offset) in slope.data_mut().iter_mut().zip(offset.data_mut()) {
        // What rounding leaves of an even window's variance may be below nothing.
        let variance = (*slope - *offset * *offset).max(0.0);
        *slope = variance / (variance + DRAWN * DRAWN);
        *offset *= 1.0 - *slope;
    }
    let (slope, mut out) = (box_mean(&slope, radius), box_mean(&offset, radius));
    for ((out, slope), l) in out.data_mut().iter_mut().zip(slope.data()).zip(lightness.data()) {
        *out += slope * l;
    }
    out
}

/// Means over squares of 2·`radius` + 1 pixels. Sums are taken anew for every row, so that no rounding adds up along the way.
fn box_mean(plane: &Plane<f32>, radius: usize) -> Plane<f32> {
    let (width, height) = (plane.width(), plane.height());
    let scale = 1.0 / (2 * radius + 1) as f32;
    let mut across = Plane::filled(width, height, 0.0);
    let mut padded = vec![0.0; width + 2 * radius];
    for (out, row) in across.data_mut().chunks_exact_mut(width).zip(plane.rows()) {
        padded[..radius].fill(row[0]);
        padded[radius..radius + width].copy_from_slice(row);
        padded[radius + width..].fill(row[width - 1]);
        add_up(out, (0..=2 * radius).map(|d| &padded[d..d + width]), scale);
    }
    let mut down = Plane::filled(width, height, 0.0);
    for (y, out) in down.data_mut().chunks_exact_mut(width).enumerate() {
        add_up(out, (0..=2 * radius).map(|d| across.row((y + d).saturating_sub(radius).min(height - 1))), scale);
    }
    down
}

/// The rows' sum, scaled.
fn add_up<'a>(out: &mut [f32], rows: impl Iterator<Item = &'a [f32]>, scale: f32) {
    for row in rows {
        for (out, v) in out.iter_mut().zip(row) {
            *out += v;
        }
    }
    for out in out {
        *out *= scale;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tooth_goes_and_an_edge_stays() {
        let tooth = |x: usize, y: usize| if (x + y).is_multiple_of(2) { 1.0 } else { -1.0 };
        let plane = Plane::from_fn(60, 30, |x, y| if x < 30 { 80.0 } else { 30.0 } + tooth(x, y));
        let out = smoothed(&plane, 4);
        assert!((out.at(10, 15) - 80.0).abs() < 0.1 && (out.at(50, 15) - 30.0).abs() < 0.1);
        // The two pixels at the edge keep nearly all of their difference.
        assert!(out.at(29, 15) - out.at(30, 15) > 45.0, "{} {}", out.at(29, 15), out.at(30, 15));
        assert_eq!(smoothed(&plane, 0), plane);
    }

    #[test]
    fn reaches_are_checked() {
        assert_eq!(Smoothing::new(Millimetres(0.0)), Ok(Smoothing::NONE));
        for wrong in [-0.1, 3.1, f64::NAN] {
            assert!(Smoothing::new(Millimetres(wrong)).unwrap_err().to_string().contains("0 to 3 mm"));
        }
    }

    #[test]
    fn an_even_plane_stays_as_it_is_also_where_the_window_is_larger() {
        let out = smoothed(&Plane::filled(3, 2, 71.5), 9);
        assert!(out.data().iter().all(|l| (l - 71.5).abs() < 1e-3), "{out:?}");
    }
}
