//! Refusals: what a stage would not do, as a stable code and a sentence.

use std::fmt;

/// Why a call was refused. The sentence says what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Stable, for programs.
    pub code: &'static str,
    /// For people.
    pub message: String,
}

impl Refusal {
    /// A refusal of this layer's own.
    #[must_use]
    pub fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self { code, message: message.into() }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Refusal {}

/// Each stage's error under its stage's name.
macro_rules! refusals {
    ($($error:ty => $code:literal),+ $(,)?) => {
        $(impl From<$error> for Refusal {
            fn from(error: $error) -> Self {
                Self::new($code, error.to_string())
            }
        })+
    };
}

refusals! {
    stepbite_core::drawing::DrawingError => "drawing",
    stepbite_core::plate::PlateError => "plate",
    stepbite_core::face::FaceError => "drawing",
    stepbite_core::photo::PhotoError => "photo",
    stepbite_core::photo::CornersError => "corners",
    stepbite_core::tones::ToneCountError => "tones",
    stepbite_core::tones::BreaksError => "breaks",
    stepbite_core::tones::TargetsError => "strip",
    stepbite_core::regions::MarkError => "mark",
    stepbite_core::hand::HandError => "hand",
    stepbite_core::day::DayError => "day",
    stepbite_core::frozen::FrozenError => "frozen",
    stepbite_core::log::LogError => "log",
    stepbite_core::resist::ResistError => "resist",
    stepbite_core::pace::PaceError => "pace",
    stepbite_core::smoothing::SmoothingError => "smoothing",
    stepbite_core::bands::HandErrorError => "pace",
    stepbite_core::strip::StripError => "strip",
    stepbite_core::strip_photo::StripPhotoError => "strip_photo",
    stepbite_core::painted::PaintedError => "painted",
    stepbite_core::pulled::PulledError => "pulled",
    stepbite_core::pulls::RecordError => "record",
    stepbite_core::second_plan::RepairError => "repair",
    stepbite_core::strip::typed::TypedError => "strip",
    stepbite_core::strip::pasted::PastedError => "strip",
    stepbite_core::curve::CurveError => "strip",
    stepbite_core::practice::PracticeError => "strip",
    stepbite_core::bites::BiteError => "bites",
    stepbite_core::bath::temperature::TemperatureError => "temperature",
    stepbite_core::bath::metal::MetalError => "metal",
    stepbite_core::witness::WitnessError => "witness",
    stepbite_core::strip_plan::StripPlanError => "strip_plan",
    stepbite_core::fusing::ScatterError => "scatter",
    stepbite_core::worth::BenchError => "bench",
    stepbite_core::what_if::WhatIfError => "what_if",
    stepbite_core::grain::GrainError => "proof",
    stepbite_core::proof::ProofError => "proof",
    stepbite_core::proof::WindowError => "proof",
    stepbite_core::pull::KeptError => "brought",
    stepbite_core::pull::ExportError => "proof",
    stepbite_core::png_file::GreyError => "brought",
    stepbite_core::ink::InkError => "ink",
    stepbite_core::edges::EdgesError => "proof",
    stepbite_core::laid::LaidError => "paper",
    stepbite_core::papers::PapersError => "papers",
    stepbite_core::papers::PasteError => "paste",
    stepbite_core::ink_zones::ZoneError => "zones",
    stepbite_core::pairs::PairsError => "pairs",
    stepbite_core::difference::DifferenceError => "proof",
    stepbite_core::sheets::BarsError => "bars",
    stepbite_core::archive::ArchiveError => "archive",
    stepbite_core::project::ProjectError => "project",
}
