//! Colour: the light of a print in three linear channels, how far apart two colours look, and what a lamp does to them.
//!
//! The channels are those of sRGB's primaries under D65 (IEC 61966-2-1:1999), linear, 1 = the perfect white. Films and grains multiply
//! and mix such light; bytes and L*a*b* are for the eye only. Three channels know nothing of a spectrum: two inks that look alike by day
//! may part under a lamp, and no figure here can tell.

use crate::light::{Encoded, LUMINANCE_WEIGHTS, Reflectance};
use palette::color_difference::Ciede2000;
use palette::white_point::D65;
use serde::{Deserialize, Serialize};

/// Light given back in the linear channels of sRGB: red, green, blue; each 0 to 1 for a surface in sRGB's gamut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Rgb(pub [f64; 3]);

/// CIE 1976 L*a*b* (CIE 15:2018, 8.2.1), white D65, 2° observer.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lab {
    /// Lightness, 0 to 100.
    pub l: f64,
    /// Green to red.
    pub a: f64,
    /// Blue to yellow.
    pub b: f64,
}

/// What a print is looked at by; the eye is adapted to it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lamp {
    /// Daylight, CIE D65: as the colours were given.
    #[default]
    Daylight,
    /// Warmer daylight, CIE D50, that of viewing booths (ISO 3664:2009).
    Booth,
    /// A filament lamp, CIE illuminant A, 2856 K.
    Warm,
}

/// Linear sRGB to XYZ of D65, to the digits of the primaries' chromaticities (ITU-R BT.709) and D65's (0.3127, 0.3290).
const TO_XYZ: [[f64; 3]; 3] = [
    [0.412_390_799_265_959_5, 0.357_584_339_383_878, 0.180_480_788_401_834_3],
    [0.212_639_005_871_510_36, 0.715_168_678_767_756, 0.072_192_315_360_733_71],
    [0.019_330_818_715_591_85, 0.119_194_779_794_625_99, 0.950_532_152_249_660_6],
];

fn apply(matrix: &[[f64; 3]; 3], Rgb(v): Rgb) -> [f64; 3] {
    matrix.map(|[r, g, b]| r * v[0] + g * v[1] + b * v[2])
}

impl Rgb {
    /// The perfect white.
    pub const WHITE: Self = Self([1.0; 3]);

    /// A neutral of this reflectance.
    #[must_use]
    pub fn grey(light: Reflectance) -> Self {
        Self([light.0; 3])
    }

    /// From the bytes of an sRGB picture.
    #[must_use]
    pub fn from_bytes(bytes: [u8; 3]) -> Self {
        Self(bytes.map(|byte| Encoded(f64::from(byte) / 255.0).linear().0))
    }

    /// The bytes of an sRGB picture; what lies out of its gamut is clipped channel by channel.
    #[must_use]
    pub fn bytes(self) -> [u8; 3] {
        self.0.map(|channel| Reflectance(channel).byte())
    }

    /// Luminance Y of it.
    #[must_use]
    pub fn luminance(self) -> Reflectance {
        Reflectance(self.0.iter().zip(LUMINANCE_WEIGHTS).map(|(channel, weight)| channel * weight).sum())
    }

    /// Each channel through a function of two.
    #[must_use]
    pub fn with(self, other: Self, mut of: impl FnMut(f64, f64) -> f64) -> Self {
        let mut channels = self.0;
        for (channel, other) in channels.iter_mut().zip(other.0) {
            *channel = of(*channel, other);
        }
        Self(channels)
    }

    /// Each channel through a function.
    #[must_use]
    pub fn map(self, of: impl FnMut(f64) -> f64) -> Self {
        Self(self.0.map(of))
    }

    /// Whether every channel is a number.
    #[must_use]
    pub fn is_finite(self) -> bool {
        self.0.iter().all(|channel| channel.is_finite())
    }

    /// CIE L*a*b*.
    #[must_use]
    pub fn lab(self) -> Lab {
        let white = apply(&TO_XYZ, Self::WHITE);
        let xyz = apply(&TO_XYZ, self);
        // L* of a share of white holds CIE's f: f = (L* + 16) / 116.
        let [x, y, z] = std::array::from_fn(|i| (Reflectance(xyz[i] / white[i]).lightness().0 + 16.0) / 116.0);
        Lab { l: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
    }
}

impl Lab {
    /// How far apart two colours look: CIEDE2000, unit weights (CIE 142:2001; Sharma, Wu, Dalal, Color Res. Appl. 30, 2005).
    ///
    /// About 1 is the least seen side by side, 2 to 3 what is seen at all on paper (an estimate).
    #[must_use]
    pub fn difference(self, other: Self) -> f64 {
        let of = |lab: Self| palette::Lab::<D65, f64>::new(lab.l, lab.a, lab.b);
        of(self).difference(of(other))
    }
}

impl Lamp {
    /// The colour as it looks under this lamp to an eye adapted to it, shown by day.
    ///
    /// One matrix a lamp, from the smoothest reflectances that have sRGB's primaries under D65, the lamp's spectrum and Bradford's
    /// adaptation; the test holds it to its table, whose script says how it was made. White and greys stay as they are.
    #[must_use]
    pub fn shows(self, colour: Rgb) -> Rgb {
        if self == Self::Daylight {
            return colour;
        }
        self.plainly(colour).map(|channel| channel.max(0.0))
    }

    /// As [`Lamp::shows`], with what falls out of the gamut left below 0, so that it averages as light does.
    pub(crate) fn plainly(self, colour: Rgb) -> Rgb {
        let matrix = match self {
            Self::Daylight => return colour,
            Self::Booth => [[1.064_49, -0.044_93, -0.019_56], [0.000_9, 0.990_5, 0.008_6], [-0.002_83, 0.009_81, 0.993_02]],
            Self::Warm => [[1.246_68, -0.205_64, -0.041_04], [0.010_53, 0.974_34, 0.015_13], [-0.001_6, 0.025_22, 0.976_38]],
        };
        Rgb(apply(&matrix, colour))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn white_and_greys_are_neutral_under_every_lamp() {
        for lamp in [Lamp::Daylight, Lamp::Booth, Lamp::Warm] {
            for y in [0.0, 0.03, 0.18, 0.5, 1.0] {
                let Lab { l, a, b } = lamp.shows(Rgb::grey(Reflectance(y))).lab();
                assert_abs_diff_eq!(l, Reflectance(y).lightness().0, epsilon = 1e-3);
                assert_abs_diff_eq!(a, 0.0, epsilon = 5e-3);
                assert_abs_diff_eq!(b, 0.0, epsilon = 5e-3);
            }
        }
    }

    #[test]
    fn bytes_go_round() {
        for byte in 0..=255u8 {
            assert_eq!(Rgb::from_bytes([byte, 255 - byte, byte / 2]).bytes(), [byte, 255 - byte, byte / 2]);
        }
    }

    #[test]
    fn by_a_warm_lamp_ochre_is_lighter_and_blue_darker() {
        let change = |bytes| {
            let colour = Rgb::from_bytes(bytes);
            Lamp::Warm.shows(colour).lab().l - colour.lab().l
        };
        assert!(change([190, 140, 60]) > 1.0);
        assert!(change([50, 80, 140]) < -0.5);
    }

    #[test]
    fn a_difference_is_the_same_both_ways_and_none_to_itself() {
        let (one, other) = (Rgb::from_bytes([30, 60, 200]).lab(), Rgb::from_bytes([60, 30, 180]).lab());
        assert_abs_diff_eq!(one.difference(other), other.difference(one), epsilon = 1e-12);
        assert_eq!(one.difference(one), 0.0);
    }
}
