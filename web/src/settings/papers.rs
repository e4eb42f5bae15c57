//! Papers under the ink as the page has them: the papers, one list of pieces, what lies above what, and the figures of the paste.

use super::pull::{LaidPaper, PaperWeight, named};
use crate::error::Refusal;
use serde::Deserialize;
use stepbite_core::laid::Edge;
use stepbite_core::papers::{Cut, MOST_PIECES, Papers, Paste, Stock};
use stepbite_core::units::{Millimetres, Seconds};

/// The papers of one pull.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PapersChoice {
    /// The papers.
    pub stocks: Vec<StockChoice>,
    /// The pieces.
    pub pieces: Vec<PieceChoice>,
    /// Which piece lies above which in the print, by place.
    pub above: Vec<(usize, usize)>,
    /// Overlap added where pieces meet, mm; 0: none.
    pub lap_mm: f64,
    /// How long paste stays open, s.
    pub open_s: f64,
    /// How long a piece takes, s.
    pub each_s: f64,
    /// Whether the printer timed that open time; files from before it was asked don't say.
    #[serde(default)]
    pub open_own: bool,
    /// And that time a piece.
    #[serde(default)]
    pub each_own: bool,
    /// Scatter of the pace of a pull, of itself.
    pub pace: f64,
    /// Scatter of a piece's time, of itself.
    pub scatter: f64,
}

/// A paper.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StockChoice {
    /// Its name.
    pub name: String,
    /// Its colour on a white sheet.
    pub on_white: String,
    /// Its colour on black.
    pub on_black: String,
    /// That sheet; none: the strip's paper.
    #[serde(default)]
    pub sheet: Option<String>,
    /// Known by a pad of it and its weight, not by its patches.
    #[serde(default)]
    pub weight: Option<PaperWeight>,
    /// Its other side, where it differs.
    #[serde(default)]
    pub back: Option<String>,
    /// How much it grows along its fibres when pasted, %.
    pub along_pct: f64,
    /// And across them.
    pub across_pct: f64,
}

/// A piece.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PieceChoice {
    /// What it is called; may be empty.
    #[serde(default)]
    pub name: String,
    /// Its paper, by place.
    pub stock: usize,
    /// Closed outline, mm, print view; none: a ground as large as the plate.
    pub outline: Option<Vec<(f64, f64)>>,
    /// Which way its fibres run, degrees from the level, anticlockwise in print view.
    pub fibre_deg: f64,
    /// How it is parted from its paper.
    pub edge: Edge,
    /// Laid with the other side to the ink.
    pub turned: bool,
    /// Which of all tears, where it is torn.
    pub tear: u64,
}

/// Regions that pieces are to be taken off.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TakeSpec {
    /// The tones.
    pub tones: Vec<u8>,
    /// The least that is cut, mm².
    pub least_mm2: f64,
}

impl PapersChoice {
    /// For the core.
    #[must_use]
    pub fn papers(&self) -> Papers {
        let stock =
            |stock: &StockChoice| Stock { name: stock.name.clone(), along: stock.along_pct / 100.0, across: stock.across_pct / 100.0 };
        let piece = |piece: &PieceChoice| Cut {
            name: piece.name.clone(),
            stock: piece.stock,
            outline: piece.outline.as_ref().map(|points| points.iter().map(|&point| point.into()).collect()),
            fibre: piece.fibre_deg,
            turned: piece.turned,
            torn: piece.edge == Edge::Torn,
        };
        Papers {
            stocks: self.stocks.iter().map(stock).collect(),
            pieces: self.pieces.iter().map(piece).collect(),
            above: self.above.clone(),
            lap: Millimetres(self.lap_mm),
        }
    }

    /// The paste, for the core.
    #[must_use]
    pub fn paste(&self) -> Paste {
        Paste { open: Seconds(self.open_s), each: Seconds(self.each_s), pace: self.pace, scatter: self.scatter }
    }

    /// What is said where the open time or the time a piece is the example's; none where both are the printer's own.
    #[must_use]
    pub fn example(&self) -> Option<&'static str> {
        let (open, each) = (!self.open_own && self.open_s == EXAMPLE.0, !self.each_own && self.each_s == EXAMPLE.1);
        match (open, each) {
            (true, true) => Some("EXAMPLE, NOT YOUR PASTE: open time and seconds a piece are nobody's trial."),
            (true, false) => Some("EXAMPLE, NOT YOUR PASTE: the open time is nobody's trial."),
            (false, true) => Some("EXAMPLE, NOT YOUR PACE: the seconds a piece are nobody's trial."),
            (false, false) => None,
        }
    }

    /// A piece as the proof lays it, with another outline.
    #[must_use]
    pub fn laid(&self, piece: usize, outline: Option<Vec<(f64, f64)>>) -> Option<LaidPaper> {
        let piece = self.pieces.get(piece)?;
        let stock = self.stocks.get(piece.stock)?;
        Some(LaidPaper {
            name: stock.name.clone(),
            on_white: stock.on_white.clone(),
            sheet: stock.sheet.clone(),
            weight: stock.weight.clone(),
            tear: piece.tear,
            on_black: stock.on_black.clone(),
            outline,
            edge: piece.edge,
            back: stock.back.clone(),
            turned: piece.turned,
        })
    }

    /// Checks everything that needs no plan. Pieces that lie above one another in a ring are let through: the page names them.
    ///
    /// # Errors
    /// The first value that can't be, in a sentence.
    pub fn check(&self) -> Result<(), Refusal> {
        self.papers().check()?;
        self.paste().check()?;
        for stock in &self.stocks {
            let paper = LaidPaper {
                name: stock.name.clone(),
                on_white: stock.on_white.clone(),
                sheet: stock.sheet.clone(),
                weight: stock.weight.clone(),
                tear: 1,
                on_black: stock.on_black.clone(),
                outline: None,
                edge: Edge::Cut,
                back: stock.back.clone(),
                turned: false,
            };
            paper.check()?;
        }
        for piece in 0..self.pieces.len() {
            named(&self.pieces[piece].name)?;
            let outline = self.pieces[piece].outline.clone();
            self.laid(piece, outline).map_or(Ok(()), |laid| laid.check())?;
        }
        match self.above.len() {
            0..=MOST_RELATIONS => Ok(()),
            more => Err(Refusal::new(
                "papers",
                format!("Up to {MOST_RELATIONS} relations of pieces were expected, {more} came: keep those of pieces that overlap."),
            )),
        }
    }
}

/// The most relations that are kept: one for each two of the most pieces.
const MOST_RELATIONS: usize = MOST_PIECES * (MOST_PIECES - 1) / 2;
/// The open time and the time a piece that papers begin with, s; as the page has them.
const EXAMPLE: (f64, f64) = (480.0, 11.0);
