//! What the page says of strip and bath: a strip or none, the pair, temperatures, the tray, a witness.

use super::StripSettings;
use serde::Deserialize;

/// Whose strip the times rest on; the example where it is not said.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
#[cfg_attr(not(target_arch = "wasm32"), expect(clippy::large_enum_variant, reason = "there is one at a time; wasm32's sizes are smaller"))]
pub enum StripChoice {
    /// None yet: no times.
    Missing(NoStrip),
    /// The printer's own.
    Own(StripSettings),
}

/// The word for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum NoStrip {
    /// `"none"`.
    None,
}

/// Metal, mordant and tray; everything may be left unsaid.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct BathSettings {
    /// The plate's metal in the printer's words.
    pub metal: Option<String>,
    /// The mordant in the printer's words.
    pub mordant: Option<String>,
    /// What this tray has bitten before, in the printer's words; "none": no other metal; none: not answered.
    pub before: Option<String>,
    /// The bath when the strip was bitten, °C.
    pub strip_c: Option<f64>,
    /// The bath today, °C.
    pub today_c: Option<f64>,
    /// Activation energy applied to the times, kJ/mol; none: the band is a hint only.
    pub warmth_kj: Option<f64>,
    /// Litres in the tray.
    pub litres: Option<f64>,
    /// The printer's own strength, grams of the mordant's substance a litre.
    pub strength_g_l: Option<f64>,
    /// The printer's own capacity, grams of metal a litre; it wins over the strength.
    pub capacity_g_l: Option<f64>,
    /// Depth the darkest tone ends at, µm, an assumption of the printer's; none: the core's.
    pub depth_um: Option<f64>,
}

/// One known time bitten on the day.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WitnessSettings {
    /// How long it was in the bath.
    pub seconds: f64,
    /// L* of its dry print.
    pub lightness: f64,
}
