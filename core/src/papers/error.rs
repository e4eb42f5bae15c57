//! Papers that can't be, in sentences.

use super::{LAP, MOST_GROWTH, MOST_LAP};
use crate::laying::LayingError;
use std::fmt;

/// Papers that can't be.
#[derive(Clone, Debug, PartialEq)]
pub enum PapersError {
    /// More pieces or papers than one pull has.
    Many {
        /// What.
        what: &'static str,
        /// The most.
        most: usize,
        /// What came.
        came: usize,
    },
    /// A growth no paper has.
    Growth {
        /// The paper.
        name: String,
        /// What came, of itself.
        growth: f64,
    },
    /// An overlap that is none.
    Lap(f64),
    /// A piece of a paper that is not there.
    NoStock {
        /// The piece, from 1.
        piece: usize,
        /// The paper, from 1.
        stock: usize,
    },
    /// An outline that goes round nothing: its piece is left out.
    Outline {
        /// Its number.
        piece: usize,
        /// What is wrong with it.
        why: String,
    },
    /// A piece beside the plate: it is left out.
    Off {
        /// Its number.
        piece: usize,
    },
    /// A fibre that runs nowhere.
    Fibre {
        /// The piece, from 1.
        piece: usize,
        /// What came, degrees.
        degrees: f64,
    },
    /// A relation of a piece that is not there.
    Above(LayingError),
}

impl fmt::Display for PapersError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Many { what, most, came } => write!(f, "Up to {most} {what} go into one pull, {came} came: join some, or pull twice."),
            Self::Growth { name, growth } => write!(
                f,
                "Paper “{name}”: a pasted paper grows by 0 to {} %, {} % came: measure a strip dry, paste it, and measure it again.",
                MOST_GROWTH * 100.0,
                growth * 100.0
            ),
            Self::Lap(lap) => write!(f, "Pieces overlap by 0 to {} mm, {lap} mm came: {} mm is a usual overlap.", MOST_LAP.0, LAP.0),
            Self::NoStock { piece, stock } => write!(f, "Piece {piece} is of paper {stock}, which is not there: choose its paper again."),
            Self::Outline { piece, why } => write!(f, "Piece {piece}: {why}"),
            Self::Off { piece } => write!(
                f,
                "Piece {piece} lies beside the plate: it is left out of print, sheets and clock until you move it onto the plate, or take it away."
            ),
            Self::Fibre { piece, degrees } => {
                write!(f, "Piece {piece}: fibres run at an angle of −180° to 180°, {degrees} came: turn its arrow again.")
            }
            Self::Above(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for PapersError {}
