//! What the page says of plates side by side: the row as it is kept, and what is asked about one.

use serde::{Deserialize, Serialize};
use stepbite_core::bed::{Asked, Feed};
use stepbite_core::facing::{Align, Weigh};
use stepbite_core::plate::SizeMm;
use stepbite_core::units::Millimetres;

/// The most plates of a row that is kept.
const MOST: usize = 60;
/// The widest any measure of it may be, mm.
const WIDEST: f64 = 10_000.0;

/// The row as it is kept with the work: a part of the job.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RowChoice {
    /// The plates as the print is read, row by row.
    pub plates: Vec<KeptPlace>,
    /// Plates in each row; none: all in one.
    pub columns: Option<usize>,
    /// At what plates of different heights stand in line.
    pub align: Align,
    /// Whether the search may turn plates.
    pub turns: bool,
    /// What joints are judged by.
    pub weigh: Weigh,
    /// Between plates, mm.
    pub gap_mm: f64,
    /// Between rows, mm.
    pub gap_down_mm: f64,
    /// The press and the sheet.
    pub bed: BedChoice,
    /// The paper's growth, for a registration template; none: no template.
    pub registration: Option<GrowthChoice>,
}

/// A plate in the row.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptPlace {
    /// Which plate of the family.
    pub id: String,
    /// Turned by half a turn.
    pub turned: bool,
    /// It keeps its place in every search.
    pub place_pinned: bool,
    /// It stays as it is turned in every search.
    pub turn_pinned: bool,
    /// Its horizon from the metal's top edge, mm; none: half way down.
    pub horizon_mm: Option<f64>,
    /// It stands in no row: it prints over others, or by itself.
    #[serde(default)]
    pub out: bool,
}

/// Press and sheet.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BedChoice {
    /// The bed along its run, mm.
    pub length_mm: f64,
    /// And across it.
    pub width_mm: f64,
    /// Rows lie along the bed.
    pub along: bool,
    /// Which end of the picture goes in first.
    pub feed: Feed,
    /// The damp sheet as the print is read, mm: across, down.
    pub sheet_mm: [f64; 2],
    /// Least white round the plates, mm.
    pub margin_mm: f64,
    /// The picture runs off the sheet on purpose.
    pub bleed: bool,
    /// What stays under the roller, mm.
    pub grip_mm: f64,
}

/// The paper's growth from the first run to the next.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrowthChoice {
    /// Along the fibre, percent; negative: it shrinks.
    pub along: f64,
    /// Across the fibre, percent.
    pub across: f64,
    /// Whether the fibre runs across the print, from left to right.
    pub fibre_across: bool,
}

impl RowChoice {
    /// What is wrong with it, in a few words; what it can't be laid by is said when it is.
    pub fn wrong(&self) -> Option<String> {
        let measures = [self.gap_mm, self.gap_down_mm, self.bed.length_mm, self.bed.width_mm, self.bed.sheet_mm[0], self.bed.sheet_mm[1]];
        let more = [self.bed.margin_mm, self.bed.grip_mm].into_iter().chain(self.plates.iter().filter_map(|plate| plate.horizon_mm));
        if self.plates.len() > MOST {
            return Some(format!("up to {MOST} plates stand in a row"));
        }
        if self.columns == Some(0) {
            return Some("a row has one plate or more".to_owned());
        }
        if measures.into_iter().chain(more).any(|mm| !(mm.is_finite() && mm.abs() <= WIDEST)) {
            return Some(format!("its measures are up to {WIDEST} mm"));
        }
        let growth = self.registration.map(|growth| [growth.along, growth.across]).unwrap_or_default();
        growth.iter().any(|percent| !(percent.is_finite() && percent.abs() <= 100.0)).then(|| "a growth is up to 100 %".to_owned())
    }
}

/// A plate that is asked about.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RowPlate {
    /// Its map with the worker; none: the plate at hand.
    pub plate: Option<String>,
    /// Its letter.
    pub letter: String,
    /// Turned by half a turn.
    pub turned: bool,
    /// Its metal, mm; of the plate at hand the plan's own counts.
    pub plate_mm: (f64, f64),
    /// Its horizon from the metal's top edge, mm; none: half way down.
    pub horizon_mm: Option<f64>,
}

/// A row that is asked about, as the print is read.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RowSpec {
    /// Row by row.
    pub plates: Vec<RowPlate>,
    /// Plates in each row.
    pub columns: Option<usize>,
    /// At what they stand in line.
    pub align: Align,
    /// What joints are judged by.
    pub weigh: Weigh,
}

impl RowSpec {
    /// Plates in each row.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.columns.unwrap_or(self.plates.len()).clamp(1, self.plates.len().max(1))
    }
}

/// What is settled of a plate before the search.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PinChoice {
    /// Its place, the first is 0.
    pub place: Option<usize>,
    /// How it is turned.
    pub turned: Option<bool>,
}

/// The best orders of these plates.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FindSpec {
    /// The plates.
    pub row: RowSpec,
    /// Whether they may be turned.
    pub turns: bool,
    /// One for each plate.
    pub pins: Vec<PinChoice>,
    /// How many of the best.
    pub most: usize,
}

/// A picture moved on its plate.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RaisedSpec {
    /// The plates.
    pub row: RowSpec,
    /// Which one, by its place.
    pub place: usize,
    /// How much higher, mm.
    pub by_mm: f64,
}

/// How the plates lie on the bed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OnBedSpec {
    /// The plates.
    pub row: RowSpec,
    /// Press and sheet.
    pub bed: BedChoice,
    /// Between plates, mm.
    pub gap_mm: f64,
    /// Between rows, mm.
    pub gap_down_mm: f64,
    /// The paper's growth; none: nothing is said of it.
    #[serde(default)]
    pub registration: Option<GrowthChoice>,
    /// Plates of the family that stand in no row: each lies alone on the sheet, and has a template of its own.
    #[serde(default)]
    pub over: Vec<RowPlate>,
}

impl OnBedSpec {
    /// As the core has it.
    #[must_use]
    pub fn asked(&self) -> Asked {
        let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
        Asked {
            bed: size(self.bed.length_mm, self.bed.width_mm),
            feed: self.bed.feed,
            along: self.bed.along,
            sheet: size(self.bed.sheet_mm[0], self.bed.sheet_mm[1]),
            margin: Millimetres(self.bed.margin_mm),
            bleed: self.bed.bleed,
            grip: Millimetres(self.bed.grip_mm),
            gap: Millimetres(self.gap_mm),
            gap_down: Millimetres(self.gap_down_mm),
        }
    }
}

/// Two plates as they meet.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeamSpec {
    /// The plates.
    pub row: RowSpec,
    /// The one on the left, or the upper one, by its place.
    pub place: usize,
    /// The other lies below; else to the right.
    pub down: bool,
    /// Between the two, mm.
    pub gap_mm: f64,
    /// Pixels a millimetre.
    pub px_per_mm: f64,
}

/// How a row is turned about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct PlaceFacts {
    /// Which plate of the row that was asked about.
    pub plate: usize,
    /// Turned by half a turn.
    pub turned: bool,
}

/// A whole row as one print.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RowPrintSpec {
    /// The plates.
    pub row: RowSpec,
    /// Between plates, mm.
    pub gap_mm: f64,
    /// Between rows, mm.
    pub gap_down_mm: f64,
    /// Ink, sheet and lamp: the first ink that prints, on every plate.
    pub proof: super::ProofSettings,
}
