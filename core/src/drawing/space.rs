//! Space: what a file's values mean, from a value to linear light in the primaries of sRGB.

use super::lut::Lut;
use crate::light::{Encoded, Lightness};

/// A matrix from one space's linear values to another's, rows first.
pub(super) type Matrix = [[f64; 3]; 3];

/// From a value within 0..=1 to linear light within 0..=1.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Curve {
    /// IEC 61966-2-1.
    Srgb,
    /// The value is the light.
    Linear,
    /// A power.
    Power(f64),
    /// Points at even distances, 65535 = 1, straight lines between (ICC.1:2022, 10.6).
    Points(Vec<u16>),
    /// (ax+b)^g + e from d on, cx + f below (ICC.1:2022, 10.18, function 4, of which the others are cases): g a b c d e f.
    Parts(Box<[f64; 7]>),
    /// The value is L*: a grey profile whose connection space is Lab (ICC.1:2022, 8.3.4).
    Lightness(Box<Curve>),
}

impl Curve {
    /// Linear light of a value, clipped to 0..=1.
    pub(super) fn light(&self, v: f64) -> f64 {
        let y = match self {
            Self::Srgb => Encoded(v).linear().0,
            Self::Linear => v,
            Self::Power(g) => libm::pow(v.max(0.0), *g),
            Self::Points(points) => between(points, v),
            Self::Parts(parts) => {
                let [g, a, b, c, d, e, f] = parts.as_ref();
                if v >= *d { libm::pow((a * v + b).max(0.0), *g) + e } else { c * v + f }
            }
            Self::Lightness(curve) => Lightness(curve.light(v) * 100.0).reflectance().0,
        };
        within(y)
    }

    /// The light of each value from 0 to `most`.
    pub(super) fn table(&self, most: u32) -> Vec<f32> {
        (0..=most).map(|v| self.light(f64::from(v) / f64::from(most)) as f32).collect()
    }

    /// Whether this is sRGB's curve for all that can be seen: within a tenth of L* and more, at 64 places.
    fn is_srgb(&self) -> bool {
        (0..=64).all(|i| {
            let v = f64::from(i) / 64.0;
            (self.light(v) - Encoded(v).linear().0).abs() < 5e-4
        })
    }
}

/// Clipped to 0..=1; what is no number is black.
pub(super) fn within(v: f64) -> f64 {
    if v > 0.0 { v.min(1.0) } else { 0.0 }
}

/// A value between points, straight lines between them.
pub(super) fn between(points: &[u16], v: f64) -> f64 {
    let last = points.len().saturating_sub(1);
    let at = within(v) * last as f64;
    let i = (at as usize).min(last);
    let point = |i: usize| points.get(i).map_or(0.0, |&p| f64::from(p) / 65_535.0);
    let low = point(i);
    low + (point((i + 1).min(last)) - low) * (at - i as f64)
}

/// What the values of a pixel mean.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Space {
    /// One curve for grey.
    Grey(Curve),
    /// A curve each for red, green and blue, and a matrix to the linear primaries of sRGB; none when they are sRGB's own.
    Rgb { curves: [Curve; 3], matrix: Option<Matrix> },
    /// A profile's table, for three or four colours.
    Table(Box<Lut>),
    /// Four inks without a profile: what paper the inks leave, as an sRGB-encoded value, (1−ink)·(1−black) for each of red, green and blue.
    Inks,
}

impl Space {
    /// sRGB, or its grey.
    pub(super) fn srgb(colours: usize) -> Self {
        Self::alike(colours, &Curve::Srgb)
    }

    /// One curve for all of one or three colours, in sRGB's primaries.
    pub(super) fn alike(colours: usize, curve: &Curve) -> Self {
        match colours {
            1 => Self::Grey(curve.clone()),
            3 => Self::Rgb { curves: [curve.clone(), curve.clone(), curve.clone()], matrix: None },
            _ => Self::Inks,
        }
    }

    /// How many values a pixel has in this space.
    pub(super) fn colours(&self) -> usize {
        match self {
            Self::Grey(_) => 1,
            Self::Rgb { .. } => 3,
            Self::Table(lut) => lut.inputs(),
            Self::Inks => 4,
        }
    }

    /// The same space, as plain sRGB where nobody could tell the two apart.
    pub(super) fn plain(self) -> Self {
        let near = |matrix: &Matrix| {
            matrix.iter().enumerate().all(|(i, row)| row.iter().enumerate().all(|(j, m)| (m - f64::from(u8::from(i == j))).abs() < 2e-3))
        };
        match &self {
            Self::Grey(curve) if curve.is_srgb() => Self::srgb(1),
            Self::Rgb { curves, matrix } if curves.iter().all(Curve::is_srgb) && matrix.as_ref().is_none_or(near) => Self::srgb(3),
            _ => self,
        }
    }
}

/// Linear sRGB (IEC 61966-2-1) from XYZ under D65.
const SRGB_OF_XYZ: Matrix =
    [[3.240_625_5, -1.537_208_0, -0.498_628_6], [-0.968_930_7, 1.875_756_1, 0.041_517_5], [0.055_710_1, -0.204_021_1, 1.056_995_9]];
/// The Bradford matrix, cone-like responses of XYZ (ICC.1:2022, annex E).
const BRADFORD: Matrix = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];
/// The white of the profile connection space (ICC.1:2022, 6.3.4.3).
pub(super) const D50: [f64; 3] = [0.9642, 1.0, 0.8249];
/// White of sRGB: x 0.3127, y 0.3290.
const D65: [f64; 3] = [0.3127 / 0.3290, 1.0, (1.0 - 0.3127 - 0.3290) / 0.3290];

/// Linear sRGB of XYZ seen under a white.
pub(super) fn srgb_of_xyz(white: [f64; 3]) -> Matrix {
    let (from, to) = (times(&BRADFORD, white), times(&BRADFORD, D65));
    let mut adapted = BRADFORD;
    for (row, i) in adapted.iter_mut().zip(0..) {
        for value in row {
            *value *= to[i] / from[i];
        }
    }
    let adapted = inverse(&BRADFORD).map_or(BRADFORD, |back| product(&back, &adapted));
    product(&SRGB_OF_XYZ, &adapted)
}

/// Linear sRGB of the linear values of primaries given by their XYZ under a white, as columns. White is kept white exactly.
///
/// `None` where the primaries can't be told apart.
pub(super) fn to_srgb(primaries: &Matrix, white: [f64; 3]) -> Option<Matrix> {
    let mut matrix = product(&srgb_of_xyz(white), primaries);
    for row in &mut matrix {
        let sum: f64 = row.iter().sum();
        if !(sum.is_finite() && sum > 0.1) {
            return None;
        }
        for value in row {
            *value /= sum;
        }
    }
    Some(matrix)
}

/// XYZ of primaries by their chromaticities, scaled so that their sum is the white: the usual way, as in SMPTE RP 177.
pub(super) fn primaries_of(chromaticities: [(f64, f64); 3], white: [f64; 3]) -> Option<Matrix> {
    let mut columns = [[0.0; 3]; 3];
    for (i, (x, y)) in chromaticities.into_iter().enumerate() {
        let xyz = xyz_of(x, y)?;
        for (row, value) in columns.iter_mut().zip(xyz) {
            row[i] = value;
        }
    }
    let scale = times(&inverse(&columns)?, white);
    for row in &mut columns {
        for (value, scale) in row.iter_mut().zip(scale) {
            *value *= scale;
        }
    }
    Some(columns)
}

/// XYZ, Y = 1, of a chromaticity.
pub(super) fn xyz_of(x: f64, y: f64) -> Option<[f64; 3]> {
    (y > 1e-3 && x >= 0.0).then(|| [x / y, 1.0, (1.0 - x - y) / y])
}

pub(super) fn times(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|i| m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2])
}

fn product(a: &Matrix, b: &Matrix) -> Matrix {
    let column = |j: usize| times(a, [b[0][j], b[1][j], b[2][j]]);
    let columns = [column(0), column(1), column(2)];
    [0, 1, 2].map(|i| [columns[0][i], columns[1][i], columns[2][i]])
}

/// The inverse by cofactors; `None` where there is none.
fn inverse(m: &Matrix) -> Option<Matrix> {
    let minor = |i: usize, j: usize| {
        let (a, b, c, d) = ((i + 1) % 3, (i + 2) % 3, (j + 1) % 3, (j + 2) % 3);
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let det: f64 = (0..3).map(|j| m[0][j] * minor(0, j)).sum();
    (det.abs() > 1e-9).then(|| [0, 1, 2].map(|i| [0, 1, 2].map(|j| minor(j, i) / det)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn the_connection_space_leads_back_to_srgb() {
        // The colorants an sRGB profile holds, adapted to D50, from ICC's "sRGB_D65_MAT" characterisation, to four places.
        let colorants = [[0.4361, 0.3851, 0.1431], [0.2225, 0.7169, 0.0606], [0.0139, 0.0971, 0.7139]];
        let matrix = to_srgb(&colorants, D50).unwrap();
        for (i, row) in matrix.iter().enumerate() {
            for (j, m) in row.iter().enumerate() {
                assert_abs_diff_eq!(*m, f64::from(u8::from(i == j)), epsilon = 1e-3);
            }
        }
        let space = Space::Rgb { curves: [Curve::Srgb, Curve::Srgb, Curve::Srgb], matrix: Some(matrix) };
        assert_eq!(space.plain(), Space::srgb(3));
        assert_eq!(to_srgb(&[[0.0; 3]; 3], D50), None);
    }

    #[test]
    fn primaries_by_chromaticity_are_those_of_the_standard() {
        // IEC 61966-2-1: x, y of the primaries and the matrix they give, there to four places.
        let matrix = primaries_of([(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)], D65).unwrap();
        let wanted = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
        for (row, wanted) in matrix.iter().flatten().zip(wanted.iter().flatten()) {
            assert_abs_diff_eq!(row, wanted, epsilon = 1e-4);
        }
        assert_eq!(primaries_of([(0.3, 0.0), (0.30, 0.60), (0.15, 0.06)], D65), None);
        assert_eq!(primaries_of([(0.3, 0.3), (0.3, 0.3), (0.15, 0.06)], D65), None);
    }

    #[test]
    fn curves_are_what_they_say() {
        assert_abs_diff_eq!(Curve::Points(vec![0, 16_384, 65_535]).light(0.75), (16_384.0 / 65_535.0 + 1.0) / 2.0, epsilon = 1e-9);
        assert_abs_diff_eq!(Curve::Power(2.0).light(0.5), 0.25, epsilon = 1e-12);
        let srgb = Curve::Parts(Box::new([2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.040_45, 0.0, 0.0]));
        assert!(srgb.is_srgb() && Curve::Srgb.is_srgb() && !Curve::Power(2.2).is_srgb() && !Curve::Linear.is_srgb());
        assert_eq!(Curve::Parts(Box::new([f64::NAN; 7])).light(0.5), 0.0);
        assert_abs_diff_eq!(Curve::Lightness(Box::new(Curve::Linear)).light(0.5), 0.184_187, epsilon = 1e-6);
    }
}
