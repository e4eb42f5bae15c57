//! What the sheets are to be.

use super::{FamilyDaySpec, PapersChoice, ProofSettings, row};
use serde::Deserialize;

/// What the sheets are to be.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetChoice {
    /// `a4`, `a3`, `letter` or `tabloid`.
    pub paper: stepbite_core::sheets::Paper,
    /// `trace` or `press`.
    pub transfer: stepbite_core::sheets::Transfer,
    /// Name of the work.
    pub title: String,
    /// Letter of the plate.
    pub letter: String,
    /// Date as the page gives it.
    pub date: String,
    /// The kinds that print; the usual ones unless given.
    #[serde(default = "stepbite_core::sheets::Kind::usual")]
    pub kinds: Vec<stepbite_core::sheets::Kind>,
    /// `full` or `outline`.
    #[serde(default)]
    pub style: stepbite_core::sheets::Style,
    /// How far the edges of new paint lie inside their true line, mm, 0 to 0.5.
    #[serde(default)]
    pub inward_mm: f64,
    /// A flap to hinge the sheets by.
    #[serde(default)]
    pub hinge: bool,
    /// The corner that is cut off, plate view.
    #[serde(default)]
    pub notch: stepbite_core::sheets::Corner,
    /// The family's row on the press bed; none: no bed diagram and no registration template.
    #[serde(default)]
    pub bed: Option<row::OnBedSpec>,
    /// What the bars of a sheet printed before measure along the paper's short and long side, mm.
    #[serde(default)]
    pub bars_mm: Option<[f64; 2]>,
    /// What was written down of the pulls, with the touches of this plate; none: nothing was.
    #[serde(default)]
    pub record: Option<stepbite_core::pulls::Record>,
    /// The proof whose zones of ink are drawn; none: none are.
    #[serde(default)]
    pub zones_of: Option<ProofSettings>,
    /// The papers to cut and lay, where there are some.
    #[serde(default)]
    pub papers: Option<PapersChoice>,
    /// All plates of a family and their hours at the bath; none: one plate.
    #[serde(default)]
    pub together: Option<FamilyDaySpec>,
}
