//! What the sheets are to be: paper, transfer, kinds, and the words on them.

use super::bars::Bars;
use super::cutting::PapersToLay;
use super::pulls::Pulls;
use super::repair::Repair;
use super::together::Together;
use super::zones::Zones;
use crate::bath::pairs::Judgement;
use crate::bed::Laid;
use crate::bites::TimedDip;
use crate::plate::SizeMm;
use crate::pulls::Touch;
use crate::registration::Registration;
use crate::strip_plan::StripPlan;
use crate::units::Millimetres;
use crate::view::View;
use serde::{Deserialize, Serialize};

/// A size of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// ISO 216 A4, 210 × 297 mm.
    #[default]
    A4,
    /// ISO 216 A3, 297 × 420 mm.
    A3,
    /// ANSI Y14.1 Letter (A), 8.5 × 11 in.
    Letter,
    /// ANSI Y14.1 Tabloid (B), 11 × 17 in.
    Tabloid,
}

impl Paper {
    /// The size, upright, exactly.
    #[must_use]
    pub fn size(self) -> SizeMm {
        match self {
            Self::A4 => SizeMm { width: Millimetres(210.0), height: Millimetres(297.0) },
            Self::A3 => SizeMm { width: Millimetres(297.0), height: Millimetres(420.0) },
            Self::Letter => SizeMm { width: Millimetres::from_inches(8.5), height: Millimetres::from_inches(11.0) },
            Self::Tabloid => SizeMm { width: Millimetres::from_inches(11.0), height: Millimetres::from_inches(17.0) },
        }
    }

    /// Its name, as in a sentence.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::A3 => "A3",
            Self::Letter => "Letter",
            Self::Tabloid => "Tabloid",
        }
    }
}

/// How the picture gets from the sheet onto the plate.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Transfer {
    /// Traced through with the printed side up: the sheet is mirrored, PLATE VIEW.
    #[default]
    Trace,
    /// Pressed or rubbed face down: the sheet is not mirrored, PRINT VIEW, and a guide in plate view follows.
    Press,
}

/// A corner of the plate, as it lies face up with its top away from you (plate view).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Corner {
    /// Top left.
    TopLeft,
    /// Top right.
    #[default]
    TopRight,
    /// Lower right.
    FootRight,
    /// Lower left.
    FootLeft,
}

impl Corner {
    /// The corner of the picture that shows it, in a view.
    #[must_use]
    pub fn seen(self, view: View) -> Self {
        match (view, self) {
            (View::Plate, corner) => corner,
            (View::Print, Self::TopLeft) => Self::TopRight,
            (View::Print, Self::TopRight) => Self::TopLeft,
            (View::Print, Self::FootRight) => Self::FootLeft,
            (View::Print, Self::FootLeft) => Self::FootRight,
        }
    }

    pub(super) fn is_left(self) -> bool {
        matches!(self, Self::TopLeft | Self::FootLeft)
    }

    pub(super) fn is_top(self) -> bool {
        matches!(self, Self::TopLeft | Self::TopRight)
    }
}

/// A kind of sheet, in the order of the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// The plan in short, and a list to check.
    Cover,
    /// The strip to bite first; only where there is one to bite.
    StripPlan,
    /// A window of the plate's size to cut out, for laying sheets into place.
    Frame,
    /// The etched lines; only where thin dark lines are worked so.
    Lines,
    /// The lift drawing; only where a fixed resist lies.
    Lift,
    /// Every edge once, with the stop-out it is painted at.
    Key,
    /// A stop-out each, those with nothing to paint left out.
    StopOuts,
    /// The run sheet; after a STOP the page that says so, whether it is chosen or not.
    Run,
    /// The run sheet of all plates of a family: rows in time order, a column a plate; only where there are several.
    Together,
    /// The expected print in small.
    Look,
    /// Where the metal can't give what the plan wants; only where there is such a place.
    Repair,
    /// Zones of ink on this plate, plate view; only where there are some.
    Zones,
    /// How the plates lie on the press bed; only where rows or a sheet are given.
    Bed,
    /// Where sheets and plates meet when printed over one another.
    Registration,
    /// Pieces of thin paper to cut, from the paste side; only where there are some.
    Cutting,
    /// Where those pieces are laid on the inked plate, in which order.
    Laying,
    /// What is touched by hand on the dry print, print view; only where something is noted.
    Touches,
    /// Room to write down each pull.
    Record,
    /// What was written down of each pull; only where there is one.
    Pulls,
}

impl Kind {
    /// All kinds in their order.
    pub const ALL: [Self; 19] = [
        Self::Cover,
        Self::StripPlan,
        Self::Frame,
        Self::Lines,
        Self::Lift,
        Self::Key,
        Self::StopOuts,
        Self::Run,
        Self::Together,
        Self::Look,
        Self::Repair,
        Self::Zones,
        Self::Bed,
        Self::Registration,
        Self::Cutting,
        Self::Laying,
        Self::Touches,
        Self::Record,
        Self::Pulls,
    ];

    /// Its name, in words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Cover => "cover",
            Self::StripPlan => "strip plan",
            Self::Frame => "cut-out frame",
            Self::Lines => "etched lines",
            Self::Lift => "lift",
            Self::Key => "key",
            Self::StopOuts => "stop-outs",
            Self::Run => "run sheet",
            Self::Together => "run sheet of all plates",
            Self::Look => "look sheet",
            Self::Repair => "repair list",
            Self::Zones => "zones of ink",
            Self::Bed => "bed diagram",
            Self::Registration => "registration template",
            Self::Cutting => "cutting sheets",
            Self::Laying => "laying map",
            Self::Touches => "touches by hand",
            Self::Record => "pull record",
            Self::Pulls => "record of the pulls",
        }
    }

    /// What prints unless something else is chosen: all but the frame.
    #[must_use]
    pub fn usual() -> Vec<Self> {
        Self::ALL.into_iter().filter(|&kind| kind != Self::Frame).collect()
    }
}

/// How a stop-out's picture is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Style {
    /// With hatch and dots.
    #[default]
    Full,
    /// Edges alone, for tracing.
    Outline,
}

/// The most that edges are moved inwards for creeping varnish, mm.
pub const MOST_INWARD: Millimetres = Millimetres(0.5);

/// What the sheets say besides the plan. All texts may be empty; letters outside Latin and Cyrillic print as boxes, with a note.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetSettings {
    /// The paper; default A4.
    pub paper: Paper,
    /// How the picture is transferred; default traced through.
    pub transfer: Transfer,
    /// The job's title.
    pub title: String,
    /// The letter scratched on the plate's back.
    pub letter: String,
    /// The day, as it is to be printed; none by default, for the core has no calendar.
    pub date: Option<String>,
    /// The bath in the printer's words (metal, mordant, temperature); none by default.
    pub bath: Option<String>,
    /// Where the plate's notch is, in plate view; default top right.
    pub notch: Corner,
    /// What is said of metal and mordant; none: they are not named. A STOP prints in place of the run sheet.
    pub judged: Option<Judgement>,
    /// How today's times differ from the strip's, in a few words; none: they don't.
    pub scaled: Option<String>,
    /// A strip to bite, whose sheet comes before the plate's; none by default.
    pub strip_plan: Option<StripPlan>,
    /// The kinds that print, in any order; default [`Kind::usual`].
    pub kinds: Vec<Kind>,
    /// How stop-outs are drawn; default in full.
    pub style: Style,
    /// How far the edges of new paint are drawn inside their true line, for varnish that creeps: 0 to [`MOST_INWARD`]; default 0.
    pub inward: Millimetres,
    /// Whether sheets of the plate carry a flap to hinge them by; default none.
    pub hinge: bool,
    /// Minutes that varnish takes to dry, as the printer gives them; none: a line to write on.
    pub drying_min: Option<f64>,
    /// Where the metal can't give what the plan wants; none where there is no such place.
    pub repair: Option<Repair>,
    /// How plates and sheet lie on the press bed; none: no diagram.
    pub bed: Option<Laid>,
    /// Where plates, sheet and a print before meet, a template each; none: no template.
    pub registration: Vec<Registration>,
    /// Thin papers to cut and lay; none where there are none, or no order lays them.
    pub papers: Option<PapersToLay>,
    /// The plate's dips that are still to come, where bites join in them or where it leaves before the last; none: a dip a bite.
    pub dips: Vec<TimedDip>,
    /// The family's day at the bath; none: one plate.
    pub together: Option<Together>,
    /// What the bars of a sheet printed before measure; none: nothing is corrected.
    pub bars: Option<Bars>,
    /// Zones of ink on the plate; none where there are none.
    pub zones: Option<Zones>,
    /// What is touched by hand on the dry print; none by default.
    pub touches: Vec<Touch>,
    /// What was written down of the pulls; none by default.
    pub pulls: Option<Pulls>,
}

impl Default for SheetSettings {
    fn default() -> Self {
        Self {
            paper: Paper::default(),
            transfer: Transfer::default(),
            title: String::new(),
            letter: String::new(),
            date: None,
            bath: None,
            notch: Corner::default(),
            judged: None,
            scaled: None,
            strip_plan: None,
            kinds: Kind::usual(),
            style: Style::default(),
            inward: Millimetres(0.0),
            hinge: false,
            drying_min: None,
            repair: None,
            bed: None,
            registration: Vec::new(),
            papers: None,
            dips: Vec::new(),
            together: None,
            bars: None,
            zones: None,
            touches: Vec::new(),
            pulls: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_stand_in_the_order_of_the_bench_and_the_frame_is_asked_for() {
        assert!(Kind::ALL.is_sorted());
        assert_eq!(Kind::usual().len(), Kind::ALL.len() - 1);
        assert_eq!(serde_json::to_string(&Kind::StopOuts).unwrap(), "\"stop_outs\"");
    }

    #[test]
    fn papers_have_the_sizes_of_their_standards() {
        // ISO 216:2007, table 1; ANSI/ASME Y14.1, sizes A and B, of 25.4 mm an inch.
        for (paper, wide, high) in
            [(Paper::A4, 210.0, 297.0), (Paper::A3, 297.0, 420.0), (Paper::Letter, 215.9, 279.4), (Paper::Tabloid, 279.4, 431.8)]
        {
            approx::assert_abs_diff_eq!(paper.size().width.0, wide, epsilon = 1e-9);
            approx::assert_abs_diff_eq!(paper.size().height.0, high, epsilon = 1e-9);
        }
    }
}
