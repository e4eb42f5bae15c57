//! Sheets: what the printer takes to the bench, at true size, in black on white.
//!
//! A stop-out sheet says with hatch what to PAINT NOW, with dots what was COVERED BEFORE and with white what to LEAVE BARE. A run sheet
//! lists each stop-out and bite with boxes to tick. Sheets are lists of marks in millimetres ([`Sheet`], [`Mark`]); [`crate::pdf`] turns
//! them into a file.
//!
//! Not here yet: plates larger than the paper (tiles), key sheets, lift sheets.

use crate::bites::BitePlan;
use crate::outline::Outlines;
use crate::plate::{Plate, SizeMm};
use crate::stopouts::StopOuts;
use crate::strip::StripKind;
use crate::type_face::missing_letters;
use crate::units::Millimetres;
use layout::Layout;
use serde::{Deserialize, Serialize};

mod captions;
mod frame;
mod layout;
mod mark;
mod picture;
mod pieces;
mod run;
mod tints;
mod words;
pub use mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet, Text};

/// What a time from the example strip is always shown with.
pub const EXAMPLE: &str = "EXAMPLE, NOT YOUR BATH";

/// Which way a picture is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum View {
    /// The metal, face up: PLATE VIEW, the print mirrored.
    Plate,
    /// The pull: PRINT VIEW.
    Print,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// ISO 216 A4, 210 × 297 mm.
    #[default]
    A4,
    /// ANSI Letter, 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// The size, upright, exactly.
    #[must_use]
    pub fn size(self) -> SizeMm {
        match self {
            Self::A4 => SizeMm { width: Millimetres(210.0), height: Millimetres(297.0) },
            Self::Letter => SizeMm { width: Millimetres::from_inches(8.5), height: Millimetres::from_inches(11.0) },
        }
    }

    /// Its name, as in a sentence.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
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

    fn is_left(self) -> bool {
        matches!(self, Self::TopLeft | Self::FootLeft)
    }

    fn is_top(self) -> bool {
        matches!(self, Self::TopLeft | Self::TopRight)
    }
}

/// What the sheets say besides the plan. All texts may be empty; letters outside Latin and Cyrillic print as boxes, with a note.
#[derive(Clone, Debug, Default, PartialEq)]
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
}

/// All sheets of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheets {
    /// Title of the whole.
    pub title: String,
    /// The sheets in the order of the bench: stop-outs, then the run sheet.
    pub sheets: Vec<Sheet>,
    /// What the printer should know about them, a sentence each.
    pub notes: Vec<String>,
}

/// The plan that sheets are drawn from.
#[derive(Clone, Copy)]
struct Job<'a> {
    stop_outs: &'a StopOuts,
    outlines: &'a Outlines,
    bites: &'a BitePlan,
    plate: &'a Plate,
    settings: &'a SheetSettings,
}

/// What a stop-out's sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Use {
    /// To trace through.
    Trace,
    /// To press face down.
    Press,
    /// To look at while painting.
    Guide,
}

impl Use {
    fn view(self) -> View {
        match self {
            Self::Trace | Self::Guide => View::Plate,
            Self::Press => View::Print,
        }
    }
}

impl Sheets {
    /// Draws the sheets of a plan.
    ///
    /// A stop-out with nothing to paint gets no sheet of its own, only its line on the run sheet. A plate that does not fit the paper
    /// gets the run sheet only, and a note.
    #[must_use]
    pub fn of(stop_outs: &StopOuts, outlines: &Outlines, bites: &BitePlan, plate: &Plate, settings: &SheetSettings) -> Self {
        let job = Job { stop_outs, outlines, bites, plate, settings };
        let mut notes = Vec::new();
        let layout = Layout::of(settings.paper.size(), plate.size());
        let uses: &[Use] = match settings.transfer {
            Transfer::Trace => &[Use::Trace],
            Transfer::Press => &[Use::Press, Use::Guide],
        };
        let painted: Vec<usize> = stop_outs.list().iter().filter(|each| each.new_share > 0.0).map(|each| each.number).collect();
        let mut pages = run::pages(&job);
        if layout.is_some() {
            pages += painted.len() * uses.len();
        }
        let mut sheets = Vec::with_capacity(pages);
        if let Some(layout) = layout {
            for &number in &painted {
                for &for_use in uses {
                    let page = (sheets.len() + 1, pages);
                    let mut sheet = picture::sheet(&job, &layout, number, for_use);
                    captions::add(&mut sheet, &job, &layout, number, for_use, page);
                    sheets.push(sheet);
                }
            }
        } else {
            let SizeMm { width, height } = plate.size();
            notes.push(format!(
                "A plate of {} × {} mm does not fit {} at true size with its words and measuring bars, so the PDF holds the run sheet only: \
                 print the stop-outs from their PNG masks on larger paper.",
                plain(width.0),
                plain(height.0),
                settings.paper.name()
            ));
        }
        run::add(&mut sheets, &job, pages);
        notes.extend(boxes_note(settings, bites));
        let title = if settings.title.is_empty() { "Stop-out sheets".to_owned() } else { format!("{}: stop-out sheets", settings.title) };
        Self { title, sheets, notes }
    }
}

/// A note on letters that print as boxes.
fn boxes_note(settings: &SheetSettings, bites: &BitePlan) -> Option<String> {
    let texts = [Some(&settings.title), Some(&settings.letter), settings.date.as_ref(), settings.bath.as_ref(), Some(&bites.strip_id)];
    let all: String = texts.into_iter().flatten().map(String::as_str).collect();
    let missing = missing_letters(&all);
    let listed: Vec<String> = missing.iter().map(ToString::to_string).collect();
    (!missing.is_empty()).then(|| {
        format!("The sheets' type has no {}: a box stands in its place. Use Latin or Cyrillic letters.", listed.join(" "))
    })
}

/// A number of mm, cm² or minutes without decimals that say nothing.
fn plain(value: f64) -> String {
    let tenths = libm::round(value * 10.0) / 10.0;
    if tenths.fract() == 0.0 { format!("{tenths:.0}") } else { format!("{tenths:.1}") }
}

/// An area in cm²: one decimal under 10, none from there on.
fn area(cm2: f64) -> String {
    if cm2 < 9.95 { plain(cm2.max(0.1)) } else { format!("{cm2:.0}") }
}

/// Minutes of painting, never none.
fn minutes(minutes: f64) -> String {
    if minutes < 1.0 { "under 1 min".to_owned() } else { format!("about {minutes:.0} min") }
}

/// A share in percent.
fn percent(share: f64) -> String {
    if share > 0.0 && share < 0.005 { "under 1 %".to_owned() } else { format!("{:.0} %", share * 100.0) }
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// The strip that times rest on, and whose it is.
fn strip_line(bites: &BitePlan) -> String {
    match bites.strip_kind {
        StripKind::Measured => format!("strip {}", bites.strip_id),
        StripKind::Example => format!("strip {}: {EXAMPLE}", bites.strip_id),
    }
}
