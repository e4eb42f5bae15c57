//! Light: the encoded byte of a picture file, linear light, lightness and density, each its own type.
//!
//! Averages are taken in linear light only. Encoded and linear values don't mix:
//!
//! ```compile_fail
//! use stepbite_core::light::{Encoded, Reflectance};
//! let mean = Reflectance(0.5).0 + Encoded(0.5); // does not build
//! ```

use serde::{Deserialize, Serialize};

/// CIE 15:2018, 8.2.1: below this Y/Yn the cube root gives way to a straight line, (6/29)³.
const JOIN: f64 = 216.0 / 24_389.0;
/// Slope of the straight part of L*, (29/3)³.
const SLOPE: f64 = 24_389.0 / 27.0;
/// Luminance weights of linear sRGB, IEC 61966-2-1:1999 (those of ITU-R BT.709).
pub const LUMINANCE_WEIGHTS: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// A gamma-encoded sRGB component, 0 to 1, as a picture file holds it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Encoded(pub f64);

/// A share of light given back, linear: 0 = none, 1 = the perfect white. CIE Y/Yn.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Reflectance(pub f64);

/// Absolute CIE 1976 lightness L*, 0 to 100 of the dry print or of the drawing, perfect white = 100.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Lightness(pub f64);

/// Reflection density, −log₁₀ of the reflectance (ISO 5-4:2009).
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Density(pub f64);

impl Encoded {
    /// Decodes by the piecewise curve of IEC 61966-2-1:1999 with amendment 1.
    #[must_use]
    pub fn linear(self) -> Reflectance {
        let v = self.0;
        Reflectance(if v <= 0.04045 { v / 12.92 } else { libm::pow((v + 0.055) / 1.055, 2.4) })
    }
}

impl Reflectance {
    /// CIE L*, CIE 15:2018, 8.2.1.
    #[must_use]
    pub fn lightness(self) -> Lightness {
        let y = self.0.max(0.0);
        Lightness(if y > JOIN { 116.0 * libm::cbrt(y) - 16.0 } else { SLOPE * y })
    }

    /// Encodes by the piecewise curve of IEC 61966-2-1, clipped to 0..1.
    #[must_use]
    pub fn encoded(self) -> Encoded {
        let y = self.0.clamp(0.0, 1.0);
        Encoded(if y <= 0.003_130_8 { 12.92 * y } else { 1.055 * libm::pow(y, 1.0 / 2.4) - 0.055 })
    }

    /// The byte of an 8-bit sRGB picture.
    #[must_use]
    pub fn byte(self) -> u8 {
        libm::round(self.encoded().0 * 255.0) as u8
    }

    /// Reflection density; infinite where no light comes back.
    #[must_use]
    pub fn density(self) -> Density {
        Density(-libm::log10(self.0))
    }
}

impl Lightness {
    /// The reflectance that has this lightness.
    #[must_use]
    pub fn reflectance(self) -> Reflectance {
        let l = self.0;
        Reflectance(if l > 8.0 { libm::pow((l + 16.0) / 116.0, 3.0) } else { l / SLOPE })
    }
}

impl Density {
    /// The reflectance that has this density.
    #[must_use]
    pub fn reflectance(self) -> Reflectance {
        Reflectance(libm::pow(10.0, -self.0))
    }
}

/// Murray-Davies: the reflectance of a share `a` (0..1) of solid among paper (Murray, J. Franklin Inst. 221, 1936).
#[must_use]
pub fn murray_davies(paper: Reflectance, solid: Reflectance, a: f64) -> Reflectance {
    yule_nielsen(paper, solid, a, 1.0)
}

/// Yule-Nielsen with factor `n` ≥ 1 (TAGA Proc. 3, 1951); `n` = 1 is Murray-Davies.
#[must_use]
pub fn yule_nielsen(paper: Reflectance, solid: Reflectance, a: f64, n: f64) -> Reflectance {
    let root = |r: Reflectance| libm::pow(r.0, 1.0 / n);
    Reflectance(libm::pow((1.0 - a) * root(paper) + a * root(solid), n))
}

/// Yule-Nielsen turned round: the share of solid that gives `mixed`.
#[must_use]
pub fn solid_share(paper: Reflectance, solid: Reflectance, mixed: Reflectance, n: f64) -> f64 {
    let root = |r: Reflectance| libm::pow(r.0, 1.0 / n);
    (root(paper) - root(mixed)) / (root(paper) - root(solid))
}

/// L* of each 8-bit grey value, and of linear light in fine steps: for planes, where a power a pixel costs too much.
///
/// Values between the table's steps are interpolated linearly in Y; the error is below 0.01 L* (tested against the formula).
pub struct LightnessTable {
    steps: Vec<f32>,
}

impl LightnessTable {
    /// Steps over Y in 0..1. The square root of Y is the table's axis, so that darks get as many steps as lights.
    const STEPS: usize = 4096;

    /// Builds the table.
    #[must_use]
    pub fn new() -> Self {
        let steps = (0..=Self::STEPS + 1)
            .map(|i| {
                let root = i as f64 / Self::STEPS as f64;
                Reflectance(root * root).lightness().0 as f32
            })
            .collect();
        Self { steps }
    }

    /// L* of a linear reflectance; values outside 0..1 are clipped.
    #[must_use]
    pub fn lightness(&self, y: f32) -> f32 {
        let at = y.clamp(0.0, 1.0).sqrt() * Self::STEPS as f32;
        let i = at as usize;
        let t = at - i as f32;
        self.steps[i] + (self.steps[i + 1] - self.steps[i]) * t
    }
}

impl Default for LightnessTable {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn mid_grey_is_fifty() {
        // IEC 61966-2-1 with CIE 15:2018; digits computed with colour-science, see tests/reference/data.
        let y = Encoded(119.0 / 255.0).linear();
        assert_abs_diff_eq!(y.0, 0.184_475, epsilon = 1e-6);
        assert_abs_diff_eq!(y.lightness().0, 50.034_439, epsilon = 1e-6);
        assert_abs_diff_eq!(y.density().0, 0.734_062, epsilon = 1e-6);
    }

    #[test]
    fn there_and_back() {
        for byte in 0..=255u8 {
            assert_eq!(Encoded(f64::from(byte) / 255.0).linear().byte(), byte);
        }
        for l in 0..=1000 {
            let l = f64::from(l) / 10.0;
            assert_abs_diff_eq!(Lightness(l).reflectance().lightness().0, l, epsilon = 1e-9);
        }
        assert_abs_diff_eq!(Density(1.3).reflectance().density().0, 1.3, epsilon = 1e-12);
    }

    #[test]
    fn the_table_follows_the_formula() {
        let table = LightnessTable::new();
        for i in 0..=65_535u32 {
            let y = f64::from(i) / 65_535.0;
            assert_abs_diff_eq!(f64::from(table.lightness(y as f32)), Reflectance(y).lightness().0, epsilon = 0.01);
        }
    }

    #[test]
    fn palette_agrees() {
        use palette::{IntoColor, Lab, Srgb};
        for byte in (0..=255u8).step_by(5) {
            let lab: Lab<palette::white_point::D65, f64> = Srgb::new(byte, byte, byte).into_format::<f64>().into_linear().into_color();
            let ours = Encoded(f64::from(byte) / 255.0).linear().lightness().0;
            // palette's white point and matrix are rounded differently: 0.01 L* is far below what anyone reads.
            assert_abs_diff_eq!(ours, lab.l, epsilon = 0.01);
        }
    }
}
