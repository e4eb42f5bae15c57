//! How plates lie on the press bed beneath one sheet, in plate view: the mirror of what the print will show, left and right.
//!
//! Where everything lies is told in mm from the bed's upper left corner, plate view, x to the right and y down. The bed runs through the press
//! along its length, which lies across the picture.

use crate::plate::SizeMm;
use crate::rows::Standing;
use crate::units::Millimetres;
use serde::{Deserialize, Serialize};
use std::fmt;

/// White that a sheet has round the plates on every side. Common practice, no source.
pub const LEAST_MARGIN: Millimetres = Millimetres(40.0);
/// Smallest and largest side of a bed or a sheet, mm.
pub const SIDES: (Millimetres, Millimetres) = (Millimetres(50.0), Millimetres(4000.0));
/// Widest gap between plates, mm.
pub const MOST_GAP: Millimetres = Millimetres(200.0);
/// Lengths that differ by less are equal, mm.
const EQUAL: f64 = 1e-6;

/// Where the bed goes in the picture: which end of it meets the roller first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Feed {
    /// The left end first.
    #[default]
    Left,
    /// The right end first.
    Right,
}

/// What the printer says of press and sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// The bed: its length, along which it runs, and its width.
    pub bed: SizeMm,
    /// Which end goes in first.
    pub feed: Feed,
    /// Whether rows lie along the bed; else across it.
    pub along: bool,
    /// The damp sheet as the print is read: across and down.
    pub sheet: SizeMm,
    /// Least white round the plates; [`LEAST_MARGIN`] by default.
    pub margin: Millimetres,
    /// Whether the picture is to run off the sheet on purpose: no white is asked for then, and a backing sheet lies beneath.
    pub bleed: bool,
    /// How much of the sheet stays caught under the roller at the end that goes in last, so that it comes down in the same place again; 0: not at all.
    pub grip: Millimetres,
    /// Between plates of a row.
    pub gap: Millimetres,
    /// Between rows.
    pub gap_down: Millimetres,
}

impl Default for Asked {
    fn default() -> Self {
        let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
        Self {
            bed: size(1000.0, 500.0),
            feed: Feed::Left,
            along: true,
            sheet: size(600.0, 380.0),
            margin: LEAST_MARGIN,
            bleed: false,
            grip: Millimetres(0.0),
            gap: Millimetres(3.0),
            gap_down: Millimetres(3.0),
        }
    }
}

/// A plate as the row has it, print view.
#[derive(Clone, Debug, PartialEq)]
pub struct InRow {
    /// Its letter.
    pub letter: String,
    /// Which it is, and whether it is turned.
    pub standing: Standing,
    /// The metal's size.
    pub size: SizeMm,
    /// How far its top lies below the line that the plates of its row share; negative: above.
    pub top: Millimetres,
}

/// A box on the bed or in the print, mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Lies {
    /// From the left.
    pub x: f64,
    /// From the top.
    pub y: f64,
    /// Across.
    pub width: f64,
    /// Down.
    pub height: f64,
}

impl Lies {
    /// Right edge.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x + self.width
    }

    /// Lower edge.
    #[must_use]
    pub fn foot(&self) -> f64 {
        self.y + self.height
    }
}

/// A plate where it lies.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Placed {
    /// Its letter.
    pub letter: String,
    /// Which it is.
    pub plate: usize,
    /// Whether it is turned by half a turn.
    pub turned: bool,
    /// In the print, mm from the sheet's upper left corner, print view.
    pub print: Lies,
    /// On the bed, plate view.
    pub bed: Lies,
}

/// How all of it lies.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Laid {
    /// The plates in the order of the print, row by row.
    pub plates: Vec<Placed>,
    /// The bed, at 0, 0.
    pub bed: Lies,
    /// The sheet on it.
    pub sheet: Lies,
    /// The sheet as it is read: at 0, 0.
    pub print: Lies,
    /// All plates with their gaps, as the print shows them.
    pub block: SizeMm,
    /// White at left, right, top and foot of the print.
    pub margins: [f64; 4],
    /// Whether the picture on the bed is the print's mirror turned by a quarter: rows lie across the bed.
    pub quarter: bool,
    /// Which end goes in first.
    pub feed: Feed,
    /// The strip of the sheet that stays under the roller, on the bed; none where none is wanted.
    pub grip: Option<Lies>,
    /// Whether the picture runs off the sheet on purpose.
    pub bleed: bool,
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
}

impl Laid {
    /// Letters as they are read in the print, row by row: "C A B D"; a turned one says so.
    #[must_use]
    pub fn read(&self) -> String {
        self.letters(|plate| (plate.print.y + plate.print.height / 2.0, plate.print.x))
    }

    /// Letters as they lie on the bed from the left, plate view.
    #[must_use]
    pub fn on_the_bed(&self) -> String {
        if self.quarter {
            self.letters(|plate| (plate.bed.x + plate.bed.width / 2.0, plate.bed.y))
        } else {
            self.letters(|plate| (plate.bed.y + plate.bed.height / 2.0, plate.bed.x))
        }
    }

    fn letters(&self, place: impl Fn(&Placed) -> (f64, f64)) -> String {
        // Rows overlap in no case, so a plate that begins beyond the middle of the one before is in another row.
        let mut all: Vec<(&Placed, (f64, f64))> = self.plates.iter().map(|plate| (plate, place(plate))).collect();
        let rows = self.rows();
        let row = |plate: &Placed| rows.iter().position(|row| row.contains(&plate.plate)).unwrap_or(0);
        let middle = |index: usize| {
            let of: Vec<f64> = all.iter().filter(|(plate, _)| row(plate) == index).map(|(_, (across, _))| *across).collect();
            of.iter().sum::<f64>() / of.len().max(1) as f64
        };
        let mut order: Vec<usize> = (0..rows.len()).collect();
        let middles: Vec<f64> = order.iter().map(|&index| middle(index)).collect();
        order.sort_by(|a, b| middles[*a].total_cmp(&middles[*b]));
        all.sort_by(|a, b| a.1.1.total_cmp(&b.1.1));
        let words = |index: usize| {
            let of = all.iter().filter(|(plate, _)| row(plate) == index);
            of.map(|(plate, _)| format!("{}{}", plate.letter, if plate.turned { " turned" } else { "" })).collect::<Vec<_>>().join(" · ")
        };
        order.into_iter().map(words).collect::<Vec<_>>().join(" / ")
    }

    fn rows(&self) -> Vec<Vec<usize>> {
        let mut rows: Vec<Vec<usize>> = Vec::new();
        let mut last = f64::INFINITY;
        for plate in &self.plates {
            if plate.print.x <= last {
                rows.push(Vec::new());
            }
            last = plate.print.x;
            if let Some(row) = rows.last_mut() {
                row.push(plate.plate);
            }
        }
        rows
    }
}

/// Why plates can't be laid so.
#[derive(Clone, Debug, PartialEq)]
pub enum BedError {
    /// There is none.
    Nothing,
    /// A measure of the bed, of the sheet, of a gap, margin or grip is out of its range.
    Measure {
        /// What it is.
        what: &'static str,
        /// From and to, mm.
        range: (f64, f64),
        /// What came, mm.
        came: f64,
    },
    /// The plates are larger than the bed.
    Bed {
        /// The plates with their gaps, along the bed and across it, mm.
        block: (f64, f64),
        /// The bed, along and across, mm.
        bed: (f64, f64),
        /// Whether they would fit the other way round.
        other_way: bool,
    },
    /// The sheet is larger than the bed.
    SheetOnBed {
        /// Along the bed and across it, mm.
        sheet: (f64, f64),
        /// The bed, mm.
        bed: (f64, f64),
    },
    /// The sheet is too small for the plates and their margins.
    Sheet {
        /// The plates, across and down, mm.
        block: (f64, f64),
        /// The sheet, mm.
        sheet: (f64, f64),
        /// What it would have to be, mm.
        needed: (f64, f64),
        /// The margin asked for, mm.
        margin: f64,
    },
}

fn mm(value: f64) -> String {
    let rounded = libm::round(value * 10.0) / 10.0;
    format!("{rounded}")
}

/// "499 × 180 mm (19.6 × 7.1 in)".
fn both((a, b): (f64, f64)) -> String {
    format!("{} × {} mm ({:.1} × {:.1} in)", mm(a), mm(b), Millimetres(a).inches(), Millimetres(b).inches())
}

impl fmt::Display for BedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => write!(f, "One plate or more was expected on the bed, none came: take one into the row."),
            Self::Measure { what, range, came } => {
                write!(f, "{what} is {} to {} mm; {came} mm came: check it and its unit.", range.0, range.1)
            }
            Self::Bed { block, bed, other_way } => write!(
                f,
                "The plates with their gaps take {} along the bed and across it; the bed has {}: {}.",
                both(*block),
                both(*bed),
                if *other_way { "lay the row the other way on it" } else { "take a plate out, lay them in more rows, or print in two passes" }
            ),
            Self::SheetOnBed { sheet, bed } => write!(
                f,
                "The sheet takes {} along the bed and across it; the bed has {}: use a smaller sheet or lay it the other way.",
                both(*sheet),
                both(*bed)
            ),
            Self::Sheet { block, sheet, needed, margin } if *margin > 0.0 => write!(
                f,
                "The plates with their gaps are {}; the sheet of {} leaves less than {} mm white on a side: take a sheet of at least {}, or say that the picture \
                 runs off it.",
                both(*block),
                both(*sheet),
                mm(*margin),
                both(*needed)
            ),
            Self::Sheet { block, sheet, .. } => write!(
                f,
                "The plates with their gaps are {}; the sheet is only {}: take plates out, or a larger sheet.",
                both(*block),
                both(*sheet)
            ),
        }
    }
}

impl std::error::Error for BedError {}

fn measured(asked: &Asked) -> Result<(), BedError> {
    let sides = (SIDES.0.0, SIDES.1.0);
    let least = if asked.bleed { 0.0 } else { LEAST_MARGIN.0 };
    for (what, range, came) in [
        ("The length of a bed", sides, asked.bed.width),
        ("The width of a bed", sides, asked.bed.height),
        ("The width of a sheet", sides, asked.sheet.width),
        ("The height of a sheet", sides, asked.sheet.height),
        ("A gap between plates", (0.0, MOST_GAP.0), asked.gap),
        ("A gap between rows", (0.0, MOST_GAP.0), asked.gap_down),
        ("A margin of the sheet", (least, 1000.0), asked.margin),
        ("What stays under the roller", (0.0, 500.0), asked.grip),
    ] {
        let margin = what.starts_with("A margin");
        if !(came.0.is_finite() && (range.0..=range.1).contains(&came.0)) && !(margin && asked.bleed) {
            return Err(BedError::Measure { what, range, came: came.0 });
        }
    }
    Ok(())
}

/// Lays rows of plates (print view, each from the left) on the bed. A row's plates stand to each other as their tops say; rows and columns of
/// several are middle over middle.
///
/// # Errors
/// What does not fit, with its sizes.
pub fn lay(rows: &[Vec<InRow>], asked: &Asked) -> Result<Laid, BedError> {
    measured(asked)?;
    let rows: Vec<&Vec<InRow>> = rows.iter().filter(|row| !row.is_empty()).collect();
    let columns = rows.iter().map(|row| row.len()).max().ok_or(BedError::Nothing)?;
    let widths: Vec<f64> = (0..columns)
        .map(|column| rows.iter().filter_map(|row| row.get(column)).map(|plate| plate.size.width.0).fold(0.0, f64::max))
        .collect();
    let wide = widths.iter().sum::<f64>() + asked.gap.0 * (columns - 1) as f64;
    // Each plate in the block, print view.
    let (mut in_block, mut y) = (Vec::new(), 0.0);
    for row in &rows {
        let top = row.iter().map(|plate| plate.top.0).fold(f64::INFINITY, f64::min);
        let mut x = 0.0;
        for (plate, width) in row.iter().zip(&widths) {
            let (across, down) = (x + (width - plate.size.width.0) / 2.0, y + plate.top.0 - top);
            in_block.push((*plate).clone());
            let at = in_block.len() - 1;
            in_block[at].top = Millimetres(down);
            in_block[at].size = plate.size;
            x += width + asked.gap.0;
            // What is kept beside: where it begins.
            across_of(&mut in_block[at], across);
        }
        y += row.iter().map(|plate| plate.top.0 - top + plate.size.height.0).fold(0.0, f64::max) + asked.gap_down.0;
    }
    let high = y - asked.gap_down.0;
    let _ = (wide, high);
    unreachable!()
}
