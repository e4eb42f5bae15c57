//! How much metal a plate gives up to the bath, and what share of the bath's ideal capacity that is. A note, never a correction.
//!
//! The depth is a model: it grows evenly with time up to a final depth that the printer types ([`ASSUMED_DEPTH`] is an assumption, no fact), and
//! the grain is not counted: about half of what is bare lies under it, so that the true figure is smaller. Capacity is what the chemistry's
//! equation would take up if all of it were used, which no bath does.

use super::{Metal, Mordant};
use crate::plate::SizeMm;
use crate::units::Seconds;
use std::fmt;

/// Final depth taken where none is typed, µm: an assumption, from memory that aquatints lie 10 to 50 µm deep. No measured source was found.
pub const ASSUMED_DEPTH: f64 = 30.0;

/// Least and greatest final depth that may be typed, µm. Choice of ours.
pub const DEPTHS: (f64, f64) = (1.0, 1000.0);

/// Molar masses in g/mol: IUPAC abridged standard atomic weights 2021 (Prohaska et al., Pure Appl. Chem. 94 (2022) 573–600).
mod molar {
    pub(super) const ZINC: f64 = 65.38;
    pub(super) const COPPER: f64 = 63.546;
    pub(super) const ALUMINIUM: f64 = 26.982;
    pub(super) const NITRIC: f64 = 63.012;
    pub(super) const FERRIC: f64 = 162.195;
    pub(super) const SULPHATE_CRYSTALS: f64 = 249.677;
}

/// Density at 20 °C, g/cm³ (CRC Handbook); none for alloys, whose density depends on their make.
#[must_use]
pub fn density(metal: Metal) -> Option<f64> {
    match metal {
        Metal::Zinc => Some(7.14),
        Metal::Copper => Some(8.96),
        Metal::Aluminium => Some(2.70),
        Metal::Steel | Metal::Brass => None,
    }
}

/// Grams of the mordant's own substance that one gram of metal uses up by the balanced equation; none where no single one describes the bath.
///
/// 2 FeCl₃ + Cu; 3 Cu or 3 Zn + 8 HNO₃ (to NO); Zn + CuSO₄·5H₂O; 2 Al + 3 CuSO₄·5H₂O.
#[must_use]
pub fn used_per_gram(metal: Metal, mordant: Mordant) -> Option<f64> {
    match (metal, mordant) {
        (Metal::Copper, Mordant::Ferric | Mordant::FerricCitric) => Some(2.0 * molar::FERRIC / molar::COPPER),
        (Metal::Copper, Mordant::Nitric) => Some(8.0 * molar::NITRIC / (3.0 * molar::COPPER)),
        (Metal::Zinc, Mordant::Nitric) => Some(8.0 * molar::NITRIC / (3.0 * molar::ZINC)),
        (Metal::Zinc, Mordant::Sulphate | Mordant::SulphateSalt) => Some(molar::SULPHATE_CRYSTALS / molar::ZINC),
        (Metal::Aluminium, Mordant::Sulphate | Mordant::SulphateSalt) => Some(3.0 * molar::SULPHATE_CRYSTALS / (2.0 * molar::ALUMINIUM)),
        _ => None,
    }
}

/// Ideal capacity, grams of metal a litre, of a bath whose own strength the printer knows as grams of its substance a litre.
#[must_use]
pub fn ideal_capacity(metal: Metal, mordant: Mordant, strength_g_per_l: f64) -> Option<f64> {
    used_per_gram(metal, mordant).map(|used| strength_g_per_l / used)
}

/// Why the metal taken can't be said.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum MetalError {
    /// The final depth is no number within [`DEPTHS`].
    Depth {
        /// What came, µm.
        came: f64,
    },
    /// Litres, strength or capacity is not above 0 and at most the given figure.
    Amount {
        /// Which.
        what: &'static str,
        /// What came.
        came: f64,
        /// The greatest taken.
        most: f64,
    },
}

impl fmt::Display for MetalError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Depth { came } => write!(
                f,
                "A final depth of {} to {} µm was expected, {came} came: it is your own assumption of how deep the blacks end.",
                DEPTHS.0, DEPTHS.1
            ),
            Self::Amount { what, came, most } => {
                write!(f, "{what} above 0 and up to {most} was expected, {came} came: type your bath’s own, or leave it empty.")
            }
        }
    }
}

impl std::error::Error for MetalError {}

/// Metal that one plate gives up.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// Grams of each bite, bite 1 first.
    pub bites: Vec<f64>,
    /// Grams in all.
    pub grams: f64,
}

impl Taken {
    /// The metal taken: at each bite what is bare, bitten by that bite's share of the final depth.
    ///
    /// `bites`: share of the face that is bare (0..=1) and length of each bite; `depth_um` is reached after all of them. Metals without a
    /// density here give none, and so does a plate that is never bitten.
    ///
    /// # Errors
    /// A depth outside [`DEPTHS`].
    pub fn of(metal: Metal, face: SizeMm, bites: &[(f64, Seconds)], depth_um: f64) -> Result<Option<Self>, MetalError> {
        if !(DEPTHS.0..=DEPTHS.1).contains(&depth_um) {
            return Err(MetalError::Depth { came: depth_um });
        }
        let whole: f64 = bites.iter().map(|(_, time)| time.0).sum();
        let Some(density) = density(metal).filter(|_| whole > 0.0) else { return Ok(None) };
        let grams = |&(bare, time): &(f64, Seconds)| {
            let depth_cm = depth_um * 1e-4 * time.0 / whole;
            face.area_cm2() * bare * depth_cm * density
        };
        let bites: Vec<f64> = bites.iter().map(grams).collect();
        Ok(Some(Self { grams: bites.iter().sum(), bites }))
    }
}

/// What the printer says of the bath's amount and strength; all of it the printer's own.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Amount {
    /// Litres in the tray.
    pub litres: Option<f64>,
    /// Grams of the mordant's substance a litre.
    pub strength: Option<f64>,
    /// Grams of metal a litre that the printer counts with instead.
    pub capacity: Option<f64>,
}

/// Greatest figures taken: litres of a tray, grams a litre. Far above what there is, to catch slips of the unit.
const MOST: (f64, f64) = (10_000.0, 2_000.0);

impl Amount {
    /// Grams of metal the whole tray ideally takes up; none where litres or both other figures are missing. The printer's own capacity wins.
    ///
    /// # Errors
    /// A figure that is not above 0, or beyond reason.
    pub fn grams(&self, metal: Metal, mordant: Option<Mordant>) -> Result<Option<f64>, MetalError> {
        let checked = |what, figure: Option<f64>, most: f64| match figure {
            Some(came) if !(came > 0.0 && came <= most) => Err(MetalError::Amount { what, came, most }),
            other => Ok(other),
        };
        let litres = checked("Litres in the tray", self.litres, MOST.0)?;
        let strength = checked("A strength in grams a litre", self.strength, MOST.1)?;
        let capacity = checked("A capacity in grams of metal a litre", self.capacity, MOST.1)?;
        let by_strength = || ideal_capacity(metal, mordant?, strength?);
        Ok(litres.zip(capacity.or_else(by_strength)).map(|(litres, per_litre)| litres * per_litre))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Millimetres;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

    fn face(width: f64, height: f64) -> SizeMm {
        SizeMm { width: Millimetres(width), height: Millimetres(height) }
    }

    fn grams(metal: Metal, size: SizeMm, bare: f64, depth: f64) -> f64 {
        Taken::of(metal, size, &[(bare, Seconds(60.0))], depth).unwrap().unwrap().grams
    }

    /// Areas times depth times the CRC Handbook's densities, worked out beforehand.
    #[test]
    fn grams_of_known_plates() {
        assert_abs_diff_eq!(grams(Metal::Zinc, face(10.0, 10.0), 1.0, 10.0) * 1000.0, 7.14, epsilon = 1e-9);
        assert_abs_diff_eq!(grams(Metal::Copper, face(10.0, 10.0), 1.0, 10.0) * 1000.0, 8.96, epsilon = 1e-9);
        assert_abs_diff_eq!(grams(Metal::Zinc, face(200.0, 150.0), 0.5, 10.0), 1.07, epsilon = 0.005);
        assert_abs_diff_eq!(grams(Metal::Copper, face(200.0, 150.0), 0.5, 10.0), 1.34, epsilon = 0.005);
        assert_abs_diff_eq!(grams(Metal::Zinc, face(300.0, 400.0), 0.5, 50.0), 21.0, epsilon = 0.5);
        // 10 µm off 1 cm² in moles: 109.2 µmol of zinc, 141.0 of copper.
        assert_abs_diff_eq!(grams(Metal::Zinc, face(10.0, 10.0), 1.0, 10.0) / molar::ZINC * 1e6, 109.2, epsilon = 0.05);
        assert_abs_diff_eq!(grams(Metal::Copper, face(10.0, 10.0), 1.0, 10.0) / molar::COPPER * 1e6, 141.0, epsilon = 0.05);
    }

    /// Grams a gram and grams a litre from the balanced equations and the IUPAC weights, worked out beforehand; the last against a published
    /// figure: a maker finds the rate falling fast at about 100 g of copper a litre in a bath where stoichiometry gives 103.8.
    #[test]
    fn what_the_equations_take_up() {
        for (metal, mordant, used) in [
            (Metal::Copper, Mordant::Ferric, 5.105),
            (Metal::Copper, Mordant::Nitric, 2.644),
            (Metal::Zinc, Mordant::Nitric, 2.570),
            (Metal::Zinc, Mordant::Sulphate, 3.819),
        ] {
            assert_abs_diff_eq!(used_per_gram(metal, mordant).unwrap(), used, epsilon = 0.001);
        }
        assert_abs_diff_eq!(ideal_capacity(Metal::Zinc, Mordant::SulphateSalt, 50.0).unwrap(), 13.1, epsilon = 0.05);
        assert_abs_diff_eq!(ideal_capacity(Metal::Copper, Mordant::Ferric, 566.0).unwrap(), 110.9, epsilon = 0.05);
        assert_abs_diff_eq!(ideal_capacity(Metal::Copper, Mordant::Ferric, 530.0).unwrap(), 103.8, epsilon = 0.05);
        assert_eq!(ideal_capacity(Metal::Copper, Mordant::Dutch, 100.0), None);
    }

    #[test]
    fn capacity_is_the_printers_own_or_from_the_printers_own_strength_and_never_without_litres() {
        let zinc = |amount: Amount| amount.grams(Metal::Zinc, Some(Mordant::Sulphate)).unwrap();
        assert_eq!(zinc(Amount::default()), None);
        assert_eq!(zinc(Amount { strength: Some(50.0), ..Amount::default() }), None);
        assert_relative_eq!(zinc(Amount { litres: Some(4.0), strength: Some(50.0), capacity: None }).unwrap(), 52.37, epsilon = 0.01);
        assert_eq!(zinc(Amount { litres: Some(4.0), strength: Some(50.0), capacity: Some(10.0) }), Some(40.0));
        assert_eq!(Amount { litres: Some(4.0), strength: Some(50.0), capacity: None }.grams(Metal::Zinc, None), Ok(None));
    }

    #[test]
    fn slips_are_refused_in_sentences() {
        for depth in [0.0, -1.0, 5000.0, f64::NAN] {
            let said = Taken::of(Metal::Zinc, face(10.0, 10.0), &[(1.0, Seconds(1.0))], depth).unwrap_err().to_string();
            assert!(said.starts_with("A final depth of 1 to 1000 µm was expected") && said.ends_with('.'), "{said}");
        }
        let litres = Amount { litres: Some(-2.0), ..Amount::default() }.grams(Metal::Zinc, None).unwrap_err();
        assert!(litres.to_string().starts_with("Litres in the tray above 0 and up to 10000 was expected, -2 came"));
        assert!(Amount { strength: Some(f64::NAN), ..Amount::default() }.grams(Metal::Zinc, None).is_err());
        assert_eq!(Taken::of(Metal::Brass, face(10.0, 10.0), &[(1.0, Seconds(1.0))], 10.0), Ok(None));
        assert_eq!(Taken::of(Metal::Zinc, face(10.0, 10.0), &[], 10.0), Ok(None));
    }

    #[test]
    fn what_is_covered_gives_up_nothing_any_more() {
        let taken = Taken::of(Metal::Zinc, face(100.0, 100.0), &[(0.8, Seconds(10.0)), (0.5, Seconds(30.0)), (0.0, Seconds(60.0))], 20.0);
        let taken = taken.unwrap().unwrap();
        // 100 cm² × 7.14 × 0.8 × 2 µm, then × 0.5 × 6 µm, then nothing.
        assert_abs_diff_eq!(taken.bites[0], 0.114_24, epsilon = 1e-12);
        assert_abs_diff_eq!(taken.bites[1], 0.214_2, epsilon = 1e-12);
        assert_eq!(taken.bites[2], 0.0);
    }

    proptest! {
        /// Cutting a bite in two changes nothing; the whole never exceeds the face bitten bare to the final depth.
        #[test]
        fn the_sum_does_not_depend_on_how_a_bite_is_cut(bare in 0.0..=1.0f64, time in 0.1..1000.0f64, cut in 0.0..=1.0f64, depth in 1.0..1000.0f64) {
            let size = face(160.0, 180.0);
            let whole = Taken::of(Metal::Copper, size, &[(bare, Seconds(time)), (0.1, Seconds(5.0))], depth).unwrap().unwrap();
            let parts = [(bare, Seconds(time * cut)), (bare, Seconds(time * (1.0 - cut))), (0.1, Seconds(5.0))];
            let parts = Taken::of(Metal::Copper, size, &parts, depth).unwrap().unwrap();
            prop_assert!((whole.grams - parts.grams).abs() <= 1e-9 * whole.grams.max(1e-9));
            prop_assert!(whole.grams <= size.area_cm2() * depth * 1e-4 * 8.96 * (1.0 + 1e-12));
        }
    }
}
