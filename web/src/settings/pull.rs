//! How the proof is made and looked at: the page's half of it.

use serde::{Deserialize, Serialize};

/// How the proof is made and looked at. What an older page or file does not say is as usual.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProofSettings {
    /// `#rrggbb` of the sheet.
    pub paper: Option<String>,
    /// Density of a film of plate tone.
    pub plate_tone: f64,
    /// The grain.
    #[serde(default)]
    pub grain: GrainChoice,
    /// Edges as painted; none as planned.
    #[serde(default)]
    pub edges: Option<EdgeChoice>,
    /// What it is looked at by.
    #[serde(default)]
    pub lamp: stepbite_core::colour::Lamp,
    /// The printer's inks.
    #[serde(default)]
    pub inks: Vec<ProofInk>,
    /// Zones of ink on this plate.
    #[serde(default)]
    pub zones: Vec<InkZone>,
    /// How softly they meet, mm.
    #[serde(default = "soft")]
    pub zone_border_mm: f64,
    /// Minutes to ink one.
    #[serde(default = "pace")]
    pub zone_minutes: f64,
    /// Thin papers under the ink, the first laid first.
    #[serde(default)]
    pub laid: Vec<LaidPaper>,
    /// The plates, the first printed first.
    #[serde(default = "alone")]
    pub printings: Vec<PrintingChoice>,
}

fn soft() -> f64 {
    7.0
}

fn pace() -> f64 {
    4.0
}

fn alone() -> Vec<PrintingChoice> {
    vec![PrintingChoice::default()]
}

/// Which grain is shown.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrainChoice {
    /// What was dusted.
    pub kind: GrainKind,
    /// How coarse.
    pub size: GrainSize,
    /// Share covered; none: as told by the strip.
    pub cover: Option<f64>,
    /// Which of all such grains.
    pub seed: u64,
}

impl Default for GrainChoice {
    fn default() -> Self {
        Self { kind: GrainKind::Rosin, size: GrainSize::Medium, cover: None, seed: 1 }
    }
}

/// What the grain is made with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum GrainKind {
    /// Melted dust.
    Rosin,
    /// Sprayed resist.
    Sprayed,
}

/// How coarse a grain is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum GrainSize {
    /// Small grains.
    Fine,
    /// Usual ones.
    Medium,
    /// Large ones.
    Coarse,
}

/// Edges as a hand paints them.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EdgeChoice {
    /// Which hand.
    pub seed: u64,
    /// Standard deviation about the line, mm.
    pub wander_mm: f64,
    /// How far varnish runs, mm.
    pub creep_mm: f64,
    /// How far new paint goes over the old edge, mm.
    pub lap_mm: f64,
}

/// An ink of the printer's.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProofInk {
    /// Its name.
    pub name: String,
    /// What is known of it.
    pub known: InkKnown,
    /// The sheet beside its patches; none: the proof's.
    pub sheet: Option<String>,
    /// Share of transparent medium.
    pub thinned: f64,
    /// Times as strong as the patch.
    pub strength: f64,
}

/// What is known of an ink.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum InkKnown {
    /// A full and a pale patch.
    Pair {
        /// The full tone.
        full: String,
        /// The pale one.
        pale: String,
        /// The tone that printed the pale one.
        tone: usize,
    },
    /// A full patch and how opaque.
    Full {
        /// The full tone.
        full: String,
        /// 0 = transparent to 1 = covers everything.
        opacity: f64,
    },
}

/// A zone of ink.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InkZone {
    /// Its name.
    pub name: String,
    /// Which ink; none: the strip's own.
    pub ink: Option<usize>,
    /// Closed outline, mm, print view.
    pub outline: Vec<(f64, f64)>,
}

/// A thin paper under the ink.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LaidPaper {
    /// Its name.
    pub name: String,
    /// Its colour on the white sheet.
    pub on_white: String,
    /// Its colour on black.
    pub on_black: String,
    /// Closed outline, mm, print view; none: the whole face.
    pub outline: Option<Vec<(f64, f64)>>,
    /// How it was parted.
    pub edge: LaidEdge,
    /// Its other side, where it differs.
    pub back: Option<String>,
    /// Laid with the other side to the ink.
    pub turned: bool,
}

/// How a thin paper's edge was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LaidEdge {
    /// With a blade.
    Cut,
    /// By hand.
    Torn,
}

/// One plate's part in the pull.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintingChoice {
    /// A plate brought in; none: the plate at hand.
    pub plate: Option<String>,
    /// Which ink; none: the strip's own.
    pub ink: Option<usize>,
    /// Thickness of its film on a wet one, 0..=1.
    pub trap: f64,
    /// To the right and down, mm.
    pub shift_mm: (f64, f64),
    /// More than true size across and down.
    pub growth: (f64, f64),
    /// Clockwise, degrees.
    pub turn: f64,
}

impl Default for PrintingChoice {
    fn default() -> Self {
        Self { plate: None, ink: None, trap: 0.75, shift_mm: (0.0, 0.0), growth: (0.0, 0.0), turn: 0.0 }
    }
}

/// A plate that prints over the one at hand, as the page keeps it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BroughtPlate {
    /// Same plate, same id.
    pub id: String,
    /// Its letter.
    pub letter: String,
    /// The work's title.
    pub title: String,
    /// Width and height of its face.
    pub face_mm: FaceSize,
    /// Tones.
    pub tones: usize,
    /// Totals, lights and grain, in the core's own words.
    pub facts: String,
    /// Its step map, PNG in base64.
    pub map: String,
}

/// A face's size.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaceSize {
    /// mm.
    pub width: f64,
    /// mm.
    pub height: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_an_older_page_says_is_one_plate_in_the_strips_own_ink() {
        let old: ProofSettings = serde_json::from_str(r##"{ "paper": "#ece6d8", "plate_tone": 0.1 }"##).unwrap();
        assert_eq!(old.printings, [PrintingChoice::default()]);
        assert!(old.inks.is_empty() && old.laid.is_empty() && old.zones.is_empty() && old.edges.is_none());
    }

    #[test]
    fn an_ink_is_of_one_patch_or_two() {
        let ink = |known: &str| serde_json::from_str::<InkKnown>(known);
        assert!(matches!(ink(r##"{ "full": "#101010", "opacity": 0.2 }"##), Ok(InkKnown::Full { .. })));
        assert!(matches!(ink(r##"{ "full": "#101010", "pale": "#808080", "tone": 3 }"##), Ok(InkKnown::Pair { .. })));
        assert!(ink(r##"{ "full": "#101010" }"##).is_err());
    }
}
