//! What the page sends, as `types.d.ts` has it. Unknown fields are refused by name, and missing ones but for those with a default here.

use crate::placing::{PhotoChoice, PlacingSettings};
use serde::Deserialize;
use stepbite_core::bands::HandError;
use stepbite_core::face::Fit;
use stepbite_core::fusing::Scatter;
use stepbite_core::hand::Edit;
use stepbite_core::pace::HandSpeed;
use stepbite_core::practice::{Handling, Made, Practice, PracticeError, ReadingError};
use stepbite_core::resist::Resist;
use stepbite_core::smoothing::Smoothing;
use stepbite_core::strip_plan;
use stepbite_core::units::{Millimetres, Seconds};

mod bath;
mod day;
mod done;
mod papers;
mod picture;
mod pull;
pub mod row;
mod sheets;
pub use bath::{BathSettings, NoStrip, StripChoice, WitnessSettings};
pub use day::{DayDip, DayPlate, FamilyDay, FamilyDaySpec};
pub use done::{DaySpec, Done, KeptMap};
pub use papers::{PapersChoice, PieceChoice, StockChoice, TakeSpec};
pub use picture::{PictureSpec, PngSpec, WorthPicture};
pub use pull::*;
pub use sheets::SheetChoice;

/// The plate as typed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlateSettings {
    /// Outer width.
    pub width_mm: Millimetres,
    /// Outer height.
    pub height_mm: Millimetres,
    /// Width of one bevel.
    pub bevel_mm: Millimetres,
}

/// How breaks are found: by a named rule or by hand.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum BreakSettings {
    /// `even` or `fitted`.
    Rule(BreakRule),
    /// L* of the drawing, falling.
    ByHand(Vec<f64>),
}

/// A rule for breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BreakRule {
    /// Midway between evenly spaced tones.
    Even,
    /// Least variance within tones.
    Fitted,
}

/// A strip of the printer's own, typed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StripSettings {
    /// Its name.
    pub id: String,
    /// Total seconds and dry-print L* of each band, the paper first.
    pub readings: Vec<(f64, f64)>,
    /// How it was made.
    #[serde(default)]
    pub made: Made,
    /// What is known of it besides.
    #[serde(default)]
    pub about: StripAbout,
}

/// What is known of a strip besides its readings, in the printer's own words.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct StripAbout {
    /// The day it was bitten, as YYYY-MM-DD.
    pub bitten: String,
    /// The bath.
    pub bath: String,
    /// How it was moved.
    pub agitation: String,
    /// The grain.
    pub grain: String,
    /// The ink it was printed in.
    pub ink: String,
    /// The paper it was printed on.
    pub paper: String,
    /// Temperature of the bath, °C.
    pub celsius: Option<f64>,
    /// How it was read.
    pub read: Option<HowRead>,
}

/// How a strip was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HowRead {
    /// By a meter.
    Meter,
    /// Off a photograph.
    Photo,
    /// Off a scan.
    Scan,
    /// By eye against a printed grey scale.
    ByEye,
}

/// Everything that decides the plan.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// The plate.
    pub plate: PlateSettings,
    /// How the drawing fills the face.
    pub fit: Fit,
    /// Where it lies beside that.
    #[serde(default)]
    pub placing: PlacingSettings,
    /// What is to be made of a photograph; none: the file as it is.
    #[serde(default)]
    pub photo: Option<PhotoChoice>,
    /// Pixels a millimetre.
    pub px_per_mm: f64,
    /// How many tones.
    pub tones: i64,
    /// Where the drawing is cut.
    pub breaks: BreakSettings,
    /// Smallest mark, mm; 0 for no clean-up.
    pub mark_mm: f64,
    /// L* kept back from the strip's darkest reading.
    pub reserve_l: f64,
    /// The strip, or the word that there is none; nothing said: the example.
    pub strip: Option<StripChoice>,
    /// What is set by hand, in the order it was done.
    #[serde(default)]
    pub hand: Vec<Edit>,
    /// Ground that stays on through every bite; none: the whole face is open.
    #[serde(default)]
    pub resist: Option<Resist>,
    /// Reach of the smoothing before the clean-up, mm; 0 for none.
    #[serde(default = "usual_smoothing")]
    pub smoothing_mm: f64,
    /// What becomes of thin dark lines.
    #[serde(default)]
    pub lines: LineChoice,
    /// How fast the printer paints.
    #[serde(default)]
    pub hand_speed: HandSpeed,
    /// How far the printer's edges wander, mm.
    #[serde(default)]
    pub hand_error_mm: HandErrorMm,
    /// What stop-outs really took.
    #[serde(default)]
    pub painted: Vec<Painted>,
    /// Metal, mordant and tray.
    #[serde(default)]
    pub bath: BathSettings,
    /// A time bitten first thing on the day; none: the strip's own times.
    #[serde(default)]
    pub witness: Option<WitnessSettings>,
    /// The strip to bite next.
    #[serde(default)]
    pub strip_plan: strip_plan::Asked,
    /// Standard deviation of one printed tone, L*.
    #[serde(default = "usual_scatter")]
    pub scatter_l: f64,
    /// Minutes a bite beside painting and biting.
    #[serde(default)]
    pub bench: BenchMinutes,
    /// Standard deviation of one reading of the strip, L*.
    #[serde(default = "usual_reading_error")]
    pub reading_error_l: f64,
    /// What a hand costs at each dip.
    #[serde(default)]
    pub handling: HandlingSettings,
    /// What has been done to the metal.
    #[serde(default)]
    pub done: Done,
}

impl Settings {
    /// Where the times come from besides the strip's name, as the sheets print it: the day it was bitten, its bath, how it was read.
    #[must_use]
    pub fn strip_words(&self) -> Option<String> {
        let Some(StripChoice::Own(StripSettings { about, .. })) = &self.strip else { return None };
        let day = (!about.bitten.is_empty()).then(|| format!("bitten {}", about.bitten));
        let bath = (!about.bath.is_empty()).then(|| about.bath.clone());
        let warmth = about.celsius.map(|celsius| format!("{celsius} °C"));
        let eye = (about.read == Some(HowRead::ByEye)).then(|| "READ BY EYE".to_owned());
        let words: Vec<String> = [day, bath, warmth, eye].into_iter().flatten().collect();
        (!words.is_empty()).then(|| words.join(" · "))
    }

    /// The printer's practice at the bath.
    ///
    /// # Errors
    /// A figure out of its range.
    pub fn practice(&self) -> Result<Practice, PracticeError> {
        let HandlingSettings { slack_s, lag_s, drag_s } = self.handling;
        Ok(Practice {
            error: ReadingError::new(self.reading_error_l)?,
            handling: Handling::new(Seconds(slack_s), Seconds(lag_s), Seconds(drag_s))?,
            made: match &self.strip {
                Some(StripChoice::Own(strip)) => strip.made,
                Some(StripChoice::Missing(_)) | None => Made::OneDip,
            },
        })
    }
}

/// What a hand costs at each dip, s.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandlingSettings {
    /// How far a hand may be off.
    pub slack_s: f64,
    /// What passes before it bites.
    pub lag_s: f64,
    /// How long it bites on after lifting.
    pub drag_s: f64,
}

impl Default for HandlingSettings {
    fn default() -> Self {
        let usual = Handling::default();
        Self { slack_s: usual.slack().0, lag_s: usual.lag().0, drag_s: usual.drag().0 }
    }
}

fn usual_reading_error() -> f64 {
    ReadingError::default().l()
}

fn usual_smoothing() -> f64 {
    Smoothing::default().reach().0
}

fn usual_scatter() -> f64 {
    Scatter::default().l()
}

/// The printer's own minutes a bite; none: not given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BenchMinutes {
    /// For the varnish to dry.
    pub dry_min: Option<f64>,
    /// For rinsing and drying the plate.
    pub rinse_min: Option<f64>,
}

/// A count of tones to be weighed.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WorthSpec {
    /// How many tones.
    pub tones: i64,
}

/// A bite that was off.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WhatIfSpec {
    /// Which bite, from 1.
    pub bite: usize,
    /// By how much it was too long, s; negative: too short.
    pub seconds: f64,
}

/// What becomes of thin dark lines.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LineChoice {
    /// They stay in the tones.
    #[default]
    Stay,
    /// They are etched before the grain; the tones continue beneath.
    Etched,
}

/// A standard deviation, mm.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(transparent)]
pub struct HandErrorMm(pub Millimetres);

impl Default for HandErrorMm {
    fn default() -> Self {
        Self(HandError::default().0)
    }
}

/// A stop-out's logged time.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Painted {
    /// Which stop-out.
    pub number: usize,
    /// Minutes it took.
    pub minutes: f64,
    /// What was painted in them; none: what the plan paints at that stop-out now.
    #[serde(default)]
    pub done: Option<PaintedWork>,
}

/// What a stop-out painted when its time was logged: breaks, mark and tones may have moved since.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaintedWork {
    /// Edge followed.
    pub edge_cm: f64,
    /// Area filled.
    pub area_cm2: f64,
    /// Pieces.
    pub islands: usize,
}

/// Which stop-out's islands.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct IslandsSpec {
    /// 1 to N−1.
    pub number: usize,
}

/// Another plate of the family, to be planned from its drawing's file.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KinSpec {
    /// Its own settings, on the family's ladder.
    pub settings: Settings,
    /// Tells it from the others of its family.
    pub id: String,
    /// Its letter.
    pub letter: String,
    /// What it is called.
    pub title: String,
    /// What grain it is bitten on.
    pub grain: GrainChoice,
}

/// A question about the record of the pulls.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordSpec {
    /// The record; its photographs may be left out.
    pub record: stepbite_core::pulls::Record,
    /// The letter of the plate whose wear is asked for.
    pub letter: String,
}
