//! What has been done to the metal, as the page keeps it.

use serde::Deserialize;
use stepbite_core::log::Entry;

/// The log, and the map that was painted by.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Done {
    /// Append-only.
    pub log: Vec<Entry>,
    /// The map as it was when the last stop-out was ticked.
    pub kept: Option<KeptMap>,
}

/// The printer's own hours, minutes from midnight.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DaySpec {
    /// When the work begins on the first day.
    pub start_min: f64,
    /// When a later day begins.
    pub from_min: f64,
    /// When a day ends.
    pub to_min: f64,
    /// Whether a painted stop-out may dry over the night.
    #[serde(default)]
    pub dry_overnight: bool,
    /// Minutes that the stop-out painted last has dried by then; none: not known.
    #[serde(default)]
    pub dried_min: Option<f64>,
}

/// A map that was painted by.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptMap {
    /// Tells one map from another.
    pub id: String,
    /// PNG, 8-bit grey.
    #[serde(with = "serde_bytes")]
    pub png: Vec<u8>,
}
