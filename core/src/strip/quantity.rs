//! What was read off a band: lightness, density or reflectance, and how it becomes lightness.

use crate::light::{Density, Lightness, Reflectance};
use serde::{Deserialize, Serialize};

/// What the reading of a band is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Quantity {
    /// Absolute CIE L* of the dry print, 0 to 100.
    Lightness,
    /// Absolute reflection density, 0 to 5.
    Density,
    /// Reflectance as a share, 0 to 1.
    Reflectance,
    /// Reflectance in per cent, 0 to 100.
    Percent,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Lightness, Self::Density, Self::Reflectance, Self::Percent];

    /// Its name in a strip file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Lightness => "lightness",
            Self::Density => "density",
            Self::Reflectance => "reflectance",
            Self::Percent => "reflectance in %",
        }
    }

    /// Least and greatest value. Densities above 5 are beyond any ink on paper (common practice, no source).
    #[must_use]
    pub fn range(self) -> (f64, f64) {
        match self {
            Self::Lightness | Self::Percent => (0.0, 100.0),
            Self::Density => (0.0, 5.0),
            Self::Reflectance => (0.0, 1.0),
        }
    }

    /// Whether a darker print has the greater value.
    #[must_use]
    pub fn rises(self) -> bool {
        self == Self::Density
    }

    /// The lightness a value stands for.
    #[must_use]
    pub fn lightness(self, value: f64) -> Lightness {
        match self {
            Self::Lightness => Lightness(value),
            Self::Density => Density(value).reflectance().lightness(),
            Self::Reflectance => Reflectance(value).lightness(),
            Self::Percent => Reflectance(value / 100.0).lightness(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn one_grey_in_four_quantities() {
        // CIE 15:2018 by colour-science: density 0.734062 and reflectance 0.184475 are L* 50.0344 (sRGB 119).
        for (quantity, value) in [
            (Quantity::Density, 0.734_062),
            (Quantity::Reflectance, 0.184_475),
            (Quantity::Percent, 18.4475),
            (Quantity::Lightness, 50.0344),
        ] {
            assert_abs_diff_eq!(quantity.lightness(value).0, 50.0344, epsilon = 1e-4);
            let (low, high) = quantity.range();
            assert!((low..=high).contains(&value), "{quantity:?}");
        }
    }

    #[test]
    fn darker_is_less_but_for_density() {
        for quantity in Quantity::ALL {
            let (low, high) = quantity.range();
            assert_eq!(quantity.lightness(high) < quantity.lightness(low), quantity.rises(), "{quantity:?}");
        }
    }
}
