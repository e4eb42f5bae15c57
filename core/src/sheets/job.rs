//! The plan that sheets are drawn from, and what a picture of the plate is printed for.

use super::settings::{Kind, SheetSettings, Transfer};
use crate::bath::pairs::Judgement;
use crate::bites::BitePlan;
use crate::lines::Lines;
use crate::outline::Outlines;
use crate::plate::Plate;
use crate::stopouts::StopOuts;
use crate::view::View;

/// The plan that sheets are drawn from.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The stop-outs, with the step map.
    pub stop_outs: &'a StopOuts,
    /// The edges of that map.
    pub outlines: &'a Outlines,
    /// The ladder of times.
    pub bites: &'a BitePlan,
    /// The plate.
    pub plate: &'a Plate,
    /// Thin dark lines that are etched before the grain; none where they stay among the tones.
    pub lines: Option<&'a Lines>,
    /// What the sheets are to be.
    pub settings: &'a SheetSettings,
}

impl Job<'_> {
    /// Whether sheets of a kind are chosen.
    pub(super) fn wants(&self, kind: Kind) -> bool {
        self.settings.kinds.contains(&kind)
    }

    /// What is said of a pair that must not be bitten.
    pub(super) fn stop(&self) -> Option<&Judgement> {
        self.settings.judged.as_ref().filter(|judged| judged.stops())
    }

    /// What each picture of the plate is printed for.
    pub(super) fn uses(&self) -> &'static [Use] {
        match self.settings.transfer {
            Transfer::Trace => &[Use::Trace],
            Transfer::Press => &[Use::Press, Use::Guide],
        }
    }
}

/// What the sheet of a picture is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Use {
    /// To trace through.
    Trace,
    /// To press face down.
    Press,
    /// To look at while painting.
    Guide,
}

impl Use {
    pub(super) fn view(self) -> View {
        match self {
            Self::Trace | Self::Guide => View::Plate,
            Self::Press => View::Print,
        }
    }

    /// The rule of transfer in few words.
    pub(super) fn brief_rule(self) -> &'static str {
        match self {
            Self::Trace => "Tracing through: mirrored.",
            Self::Press => "Pressing face down: not mirrored.",
            Self::Guide => "Guide, mirrored: do not transfer.",
        }
    }

    /// The name of a sheet of something for this use.
    pub(super) fn name(self, of: &str) -> String {
        match self {
            Self::Trace => of.to_owned(),
            Self::Press => format!("{of}, transfer"),
            Self::Guide => format!("{of}, guide"),
        }
    }
}
