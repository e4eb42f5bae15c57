//! What a bath colder or warmer than the strip's may do to the times.
//!
//! A rate of `A·exp(−Ea/RT)` makes every time longer by `exp(Ea/R · (1/T_today − 1/T_strip))`. The activation energy Ea is the doubt: what was
//! published lies from 16 to 50 kJ/mol, so the answer is a band and a hint. It becomes a factor only where the printer says so, and with
//! which energy. A witness bitten on the day ([`crate::witness`]) says more.

use super::{Metal, Mordant};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Molar gas constant, J/(mol·K): exact in the SI since 2019 (CODATA 2018).
pub const GAS_CONSTANT: f64 = 8.314_462_618;

/// The ice point in kelvin, exact.
pub const ICE_POINT: f64 = 273.15;

/// The span of published activation energies, kJ/mol: from copper ions on zinc to the usual upper end for acids on metals.
pub const WHOLE_SPAN: (f64, f64) = (16.0, 50.0);

/// A temperature in degrees Celsius.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Celsius(pub f64);

impl Celsius {
    /// A temperature given in degrees Fahrenheit.
    #[must_use]
    pub fn from_fahrenheit(degrees: f64) -> Self {
        Self((degrees - 32.0) / 1.8)
    }

    /// In degrees Fahrenheit.
    #[must_use]
    pub fn fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }

    /// In kelvin.
    #[must_use]
    pub fn kelvin(self) -> f64 {
        self.0 + ICE_POINT
    }

    /// The same, where a bath on water is liquid: above 0 and below 100 °C.
    ///
    /// # Errors
    /// Outside of that.
    pub fn of_bath(degrees: f64) -> Result<Self, TemperatureError> {
        if degrees > 0.0 && degrees < 100.0 { Ok(Self(degrees)) } else { Err(TemperatureError::NotLiquid { degrees }) }
    }
}

/// Why a temperature can't be used.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum TemperatureError {
    /// A bath of that temperature is no liquid.
    NotLiquid {
        /// What came, °C.
        degrees: f64,
    },
    /// The energy to apply lies outside what was published for the bath.
    Energy {
        /// What came, kJ/mol.
        came: f64,
        /// Least and greatest, kJ/mol.
        band: (f64, f64),
    },
    /// A correction was asked for without both temperatures.
    Missing,
}

impl fmt::Display for TemperatureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::NotLiquid { degrees } => write!(
                f,
                "A bath is liquid above 0 and below 100 °C (32 to 212 °F); {degrees:.1} °C ({:.1} °F) came: check the figure and its unit.",
                Celsius(degrees).fahrenheit()
            ),
            Self::Energy { came, band: (low, high) } if (high - low).abs() < 1e-9 => {
                write!(f, "The one activation energy published for this bath is {low:.1} kJ/mol; {came:.1} came: apply that one, or none.")
            }
            Self::Energy { came, band: (low, high) } => {
                write!(
                    f,
                    "Activation energies published for this bath run from {low:.1} to {high:.1} kJ/mol; {came:.1} came: choose one within."
                )
            }
            Self::Missing => {
                write!(f, "The strip’s temperature and today’s are both needed before the times can be changed by them: type both.")
            }
        }
    }
}

impl std::error::Error for TemperatureError {}

/// Activation energies published for a bath.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Energies {
    /// The least, kJ/mol.
    pub low: f64,
    /// The greatest, kJ/mol.
    pub high: f64,
    /// Who published them.
    pub source: &'static str,
}

impl Energies {
    /// What was published for a metal in a mordant; the whole span where nothing was, or where either is not known.
    #[must_use]
    pub fn of(metal: Option<Metal>, mordant: Option<Mordant>) -> Self {
        match (metal, mordant) {
            (Some(Metal::Zinc), Some(Mordant::Sulphate | Mordant::SulphateSalt)) => Self {
                low: 16.3,
                high: 16.3,
                source: "one figure: copper ions on zinc, de Oliveira et al., Tecnol. Metal. Mater. Min. 16 (2019) 255–262",
            },
            (Some(Metal::Copper), Some(Mordant::Ferric)) => Self {
                low: 20.4,
                high: 32.6,
                source: "worked out from the rates of Bryce and Berk, Ind. Eng. Chem. Res. 34 (1995) 1412–1418, at 30 to 50 °C and 30 to 40 °C, stirred; \
                         not one straight line, and weaker still above 40 °C",
            },
            (Some(Metal::Copper), Some(Mordant::Nitric)) => Self {
                low: 41.43,
                high: 41.43,
                source: "one figure: a turning copper disc in nitric acid; abstract seen, authors not shown",
            },
            _ => Self { low: WHOLE_SPAN.0, high: WHOLE_SPAN.1, source: "nothing published was found for this bath: the span of all baths" },
        }
    }

    /// Checks an energy the printer wants applied.
    ///
    /// # Errors
    /// Outside what was published.
    pub fn checked(&self, kj_per_mol: f64) -> Result<f64, TemperatureError> {
        // A figure typed to one decimal may stand for one published to two.
        let slack = 0.05;
        if kj_per_mol >= self.low - slack && kj_per_mol <= self.high + slack {
            Ok(kj_per_mol.clamp(self.low, self.high))
        } else {
            Err(TemperatureError::Energy { came: kj_per_mol, band: (self.low, self.high) })
        }
    }

    /// The least and the greatest factor on the times of a strip, bitten today.
    #[must_use]
    pub fn band(&self, strip: Celsius, today: Celsius) -> (f64, f64) {
        let (a, b) = (time_factor(self.low, strip, today), time_factor(self.high, strip, today));
        (a.min(b), a.max(b))
    }
}

/// How much longer a bite takes today than on the strip's day, for an activation energy in kJ/mol: above 1 where today is colder.
#[must_use]
pub fn time_factor(kj_per_mol: f64, strip: Celsius, today: Celsius) -> f64 {
    libm::exp(kj_per_mol * 1000.0 / GAS_CONSTANT * (1.0 / today.kelvin() - 1.0 / strip.kelvin()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Rates relative to 20 °C, worked out beforehand in Python as exp(−Ea/R·(1/T − 1/293.15)), printed to three decimals.
    #[test]
    fn the_rates_relative_to_20_degrees() {
        let temperatures = [10.0, 15.0, 18.0, 22.0, 25.0, 30.0];
        for (kj, rates) in [
            (16.3, [0.790, 0.890, 0.955, 1.046, 1.119, 1.247]),
            (20.3, [0.745, 0.865, 0.944, 1.058, 1.150, 1.316]),
            (32.6, [0.624, 0.793, 0.912, 1.095, 1.251, 1.555]),
            (41.43, [0.549, 0.745, 0.890, 1.122, 1.330, 1.752]),
            (50.0, [0.485, 0.701, 0.869, 1.149, 1.411, 1.967]),
        ] {
            for (degrees, rate) in temperatures.into_iter().zip(rates) {
                assert_abs_diff_eq!(1.0 / time_factor(kj, Celsius(20.0), Celsius(degrees)), rate, epsilon = 0.0005 + 1e-9);
            }
        }
    }

    #[test]
    fn four_degrees_colder_cost_a_tenth_to_a_third() {
        // 21 → 17 °C: 1.10 for copper sulphate on zinc, up to 1.33 at 50 kJ/mol.
        let sulphate = Energies::of(Some(Metal::Zinc), Some(Mordant::SulphateSalt)).band(Celsius(21.0), Celsius(17.0));
        assert_abs_diff_eq!(sulphate.0, 1.10, epsilon = 0.005);
        assert_abs_diff_eq!(sulphate.1, 1.10, epsilon = 0.005);
        let unknown = Energies::of(None, None).band(Celsius(21.0), Celsius(17.0));
        assert_abs_diff_eq!(unknown.0, 1.09, epsilon = 0.005);
        assert_abs_diff_eq!(unknown.1, 1.33, epsilon = 0.005);
        // A warmer bath makes the times shorter.
        let warmer = Energies::of(None, None).band(Celsius(17.0), Celsius(21.0));
        assert_abs_diff_eq!(warmer.0 * unknown.1, 1.0, epsilon = 1e-12);
    }

    #[test]
    fn the_energy_of_copper_in_ferric_follows_from_the_published_rates() {
        // Bryce and Berk 1995, abstract: 0.2039, 0.3083 and 0.3362 at 30, 40 and 50 °C.
        let energy = |(t, k): (f64, f64), (u, l): (f64, f64)| {
            GAS_CONSTANT / 1000.0 * f64::ln(l / k) / (1.0 / Celsius(t).kelvin() - 1.0 / Celsius(u).kelvin())
        };
        let ferric = Energies::of(Some(Metal::Copper), Some(Mordant::Ferric));
        assert_abs_diff_eq!(energy((30.0, 0.2039), (40.0, 0.3083)), ferric.high, epsilon = 0.05);
        assert_abs_diff_eq!(energy((30.0, 0.2039), (50.0, 0.3362)), ferric.low, epsilon = 0.05);
    }

    #[test]
    fn fahrenheit_and_celsius() {
        // NIST SP 811: t/°C = (t/°F − 32)/1.8. Blaney's 65 to 70 °F is 18 to 21 °C.
        assert_abs_diff_eq!(Celsius::from_fahrenheit(68.0).0, 20.0, epsilon = 1e-12);
        assert_abs_diff_eq!(Celsius::from_fahrenheit(65.0).0, 18.33, epsilon = 0.005);
        assert_abs_diff_eq!(Celsius(21.1).fahrenheit(), 69.98, epsilon = 0.005);
    }

    #[test]
    fn what_is_no_bath_and_no_published_energy_is_refused_in_sentences() {
        for degrees in [0.0, -5.0, 100.0, 293.15, f64::NAN, f64::INFINITY] {
            let said = Celsius::of_bath(degrees).unwrap_err().to_string();
            assert!(said.starts_with("A bath is liquid above 0 and below 100 °C") && said.ends_with("its unit."), "{said}");
        }
        assert_eq!(Celsius::of_bath(19.5), Ok(Celsius(19.5)));
        let whole = Energies::of(None, None);
        assert!(whole.checked(15.0).is_err() && whole.checked(f64::NAN).is_err() && whole.checked(51.0).is_err());
        assert_eq!(whole.checked(30.0), Ok(30.0));
        let nitric = Energies::of(Some(Metal::Copper), Some(Mordant::Nitric));
        assert_eq!(nitric.checked(41.4), Ok(41.43));
        assert!(nitric.checked(30.0).unwrap_err().to_string().contains("The one activation energy"));
    }

    proptest! {
        #[test]
        fn colder_is_longer_and_there_and_back_is_nothing(strip in 1.0..99.0f64, today in 1.0..99.0f64, kj in 16.0..50.0f64) {
            let factor = time_factor(kj, Celsius(strip), Celsius(today));
            prop_assert!(factor.is_finite() && factor > 0.0);
            prop_assert_eq!(factor > 1.0, today < strip);
            prop_assert!((factor * time_factor(kj, Celsius(today), Celsius(strip)) - 1.0).abs() < 1e-12);
        }
    }
}
