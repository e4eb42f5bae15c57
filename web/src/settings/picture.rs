//! Pictures that the page asks for, to show and to save.

use super::{EdgeChoice, ProofSettings, row};
use serde::Deserialize;
use stepbite_core::view::View;

/// A picture to show. The box is in device pixels.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase", deny_unknown_fields)]
pub enum PictureSpec {
    /// The file as opened, in colour; a part of it, left, top, right, bottom in its pixels, or all.
    Source {
        /// Box.
        width: usize,
        /// Box.
        height: usize,
        /// The part.
        part: Option<[f64; 4]>,
    },
    /// The photograph straightened; the file in grey where there is none.
    Straight {
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// The placed drawing.
    Drawing {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// The step map in the tones' print colours.
    Tones {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// Where one tone lies.
    Tone {
        /// Its index.
        tone: u8,
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// One stop-out.
    Stopout {
        /// 1 to N−1.
        number: usize,
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// The lift drawing, where a resist is fixed.
    Lift {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// The expected print.
    Proof {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
        /// With grain, or mean tones only.
        grain: bool,
        /// Paper and plate tone.
        proof: ProofSettings,
    },
    /// Where the metal can't give what the plan wants.
    Repair {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// What clean-up changed.
    Removed {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// The thin dark lines over the drawing without them.
    Lines {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// The drawing as it would print without loss.
    Wanted {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
        /// The sheet it would be on.
        proof: ProofSettings,
    },
    /// How far proof and drawing lie apart.
    Difference {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
        /// The proof.
        proof: ProofSettings,
    },
    /// Where a hand's edges may come out otherwise.
    Chance {
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
        /// The hand.
        edges: EdgeChoice,
    },
    /// The step map of a plate of the family in the tones' print colours.
    Member {
        /// Its map with the worker; none: the plate at hand.
        plate: Option<String>,
        /// Way round.
        view: View,
        /// Box.
        width: usize,
        /// Box.
        height: usize,
    },
    /// Where two plates meet in the print, at true size.
    Seam {
        /// Exact size.
        width: usize,
        /// Exact size.
        height: usize,
        /// Which two.
        seam: row::SeamSpec,
    },
    /// The whole row as one print, as it is pulled.
    #[serde(rename = "row_print")]
    RowPrint {
        /// Box.
        width: usize,
        /// Box.
        height: usize,
        /// Which plates, and in what ink.
        print: Box<row::RowPrintSpec>,
    },
    /// A window of the print.
    Glass {
        /// Way round.
        view: View,
        /// Exact size.
        width: usize,
        /// Exact size.
        height: usize,
        /// Device pixels a millimetre of plate.
        px_per_mm: f64,
        /// Its middle on the face, print view, mm.
        centre_mm: (f64, f64),
        /// Paper and plate tone.
        proof: ProofSettings,
    },
}

/// A small picture of the print at a count of tones. The box is in device pixels.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WorthPicture {
    /// How many tones.
    pub tones: i64,
    /// Box.
    pub width: usize,
    /// Box.
    pub height: usize,
}

/// A PNG to save.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase", deny_unknown_fields)]
pub enum PngSpec {
    /// The step map.
    Steps,
    /// One mask.
    Stopout {
        /// 1 to N−1.
        number: usize,
    },
}
