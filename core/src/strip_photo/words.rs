//! What was found, and what can't be, in sentences.

use super::{BANDS, PAPERS, SMALLEST, Settled, StripBand};
use crate::light::{Lightness, Reflectance};
use std::fmt;

/// Why a band can't be told.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Doubt {
    /// Too much of it is glare, dust or covered: the share.
    Covered(f64),
    /// Its quarters are apart by so many L*: a shadow, or two bands.
    Uneven(f64),
    /// Too dark in the picture to be told from black.
    Lost,
    /// Too few pixels: how many.
    Small(f64),
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Covered(share) => {
                write!(f, "{:.0} % of it is covered or in glare: photograph it again, or read it by hand.", 100.0 * share)
            }
            Self::Uneven(apart) => {
                write!(f, "it is uneven by {apart:.0} L*, as two bands or a shadow are: split it, move its edges, or read it by hand.")
            }
            Self::Lost => write!(f, "it is lost in black: photograph it in more light, or scan it."),
            Self::Small(pixels) => write!(f, "it has only {pixels:.0} pixels: go nearer, or scan it."),
        }
    }
}

/// Why a strip can't be read.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum StripPhotoError {
    /// Nothing looks like a strip.
    NoStrip,
    /// Two points can't be the ends of a strip.
    Ends,
    /// No sides between two points.
    Sides,
    /// Four corners go round no strip.
    Shape,
    /// Too few pixels along and across.
    Small {
        /// Pixels along.
        along: f64,
        /// Pixels across.
        across: f64,
    },
    /// Nothing beside it is bare paper.
    NoPaper,
    /// So much of the paper beside it is burnt out, share.
    Burnt(f64),
    /// The paper is this dark in the picture.
    Dim(Reflectance),
    /// Fewer than three bands.
    Few {
        /// How many.
        bands: usize,
    },
    /// More bands than anyone reads.
    Many {
        /// How many.
        bands: usize,
    },
    /// An edited band lies beside the strip, is none, or lies over the one before.
    Edges {
        /// Its number, from 1.
        band: usize,
        /// Where it begins.
        from: f64,
        /// Where it ends.
        to: f64,
    },
    /// No paper is so light or so dark.
    Paper {
        /// The L*.
        lightness: f64,
        /// Whether a card told it.
        by_card: bool,
    },
    /// The point on the card is on no even grey, or burnt out.
    Card,
    /// No card is so light or so dark.
    CardLightness(f64),
}

impl fmt::Display for StripPhotoError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoStrip => write!(
                f,
                "No strip can be told in this picture: a dark strip of bands, longer than wide, with bare paper all round it was looked for. Press \
                 the middles of its two short ends, or photograph it again with a finger's breadth of paper on every side."
            ),
            Self::Ends => write!(
                f,
                "Two points at the ends of a strip were expected, in the picture and 24 pixels apart or more: press the middles of its two short ends."
            ),
            Self::Sides => write!(
                f,
                "The strip's long sides can't be told between these two points: they must lie on the strip, with bare paper along both sides. \
                 Set its four corners by hand, or photograph it again with paper beside it."
            ),
            Self::Shape => write!(
                f,
                "These four corners go round no strip: put them on it clockwise, the first and the last at its paper end, in the picture or close by it."
            ),
            Self::Small { along, across } => write!(
                f,
                "The strip is too small in this picture: {along:.0} × {across:.0} pixels, and {} × {} are the least. Go nearer, or scan it.",
                SMALLEST.0, SMALLEST.1
            ),
            Self::NoPaper => write!(
                f,
                "The paper beside the strip can't be told: bare paper along both long sides is what its bands are compared with. Set the corners on the \
                 strip alone, or photograph it with half its width of paper on either side."
            ),
            Self::Burnt(share) => write!(
                f,
                "{:.0} % of the paper beside the strip is burnt out, so nothing can be compared with it: photograph it darker, without flash, or scan \
                 it without automatic brightening.",
                100.0 * share
            ),
            Self::Dim(light) => write!(
                f,
                "The picture is too dark: the paper itself is only {} of 255, and the dark bands are lost. Photograph it in more light.",
                light.byte()
            ),
            Self::Few { bands } => write!(
                f,
                "{} can be told along the strip, and a strip has {} or more: set its ends on the strip's own, set the bands by hand, or read it by eye.",
                ["No bands", "Only 1 band", "Only 2 bands"].get(*bands).unwrap_or(&"Too few bands"),
                BANDS.0
            ),
            Self::Many { bands } => write!(f, "{bands} bands came, and {} are the most: merge some.", BANDS.1),
            Self::Edges { band, from, to } => write!(
                f,
                "Band {band} goes from {:.1} % to {:.1} % of the strip: bands follow one another within it, none over another. Move its edges apart.",
                100.0 * from,
                100.0 * to
            ),
            Self::Paper { lightness, by_card: false } => write!(
                f,
                "A bare paper has an L* of {} to {}; {lightness:.1} came: type the L* of the unprinted paper beside the strip.",
                PAPERS.0.0, PAPERS.1.0
            ),
            Self::Paper { lightness, by_card: true } => write!(
                f,
                "By the card the paper would be L* {lightness:.1}, and papers have {} to {}: see that the point is on the card, that its L* is right and \
                 that no shadow lies on it.",
                PAPERS.0.0, PAPERS.1.0
            ),
            Self::Card => {
                write!(f, "The point of the grey card is not on an even grey: put it on the card's middle, away from glare and its edges.")
            }
            Self::CardLightness(l) => write!(f, "A grey card has an L* of 5 to 100; {l} came: type what is printed on it."),
        }
    }
}

impl std::error::Error for StripPhotoError {}

/// What the printer should know beside the paper's source.
pub(super) fn notes(notes: &mut Vec<String>, found: &Settled, bands: &[StripBand], unbitten: bool, paper: Lightness) {
    let fall = found.fall();
    if fall > 1.15 {
        notes.push(format!("The light falls by {fall:.1} to 1 along the strip; the paper beside it evens that."));
    }
    for (side, words) in [(0, "one"), (1, "the other")] {
        if found.paper.sides[side] < 0.35 {
            notes.push(format!(
                "Along {words} long side there is hardly any bare paper ({:.0} %): a fall of light across the strip is not known there.",
                100.0 * found.paper.sides[side]
            ));
        }
    }
    if !found.directed {
        notes.push("Its two ends are about as light: see which of them is the paper's, and turn the strip round if need be.".to_owned());
    }
    if !unbitten {
        notes.push(format!(
            "No unbitten band is told from the paper beside the strip: the paper, L* {:.1}, stands for 0 s, and the first band is the first bite's.",
            paper.0
        ));
    }
    for (i, band) in bands.iter().enumerate() {
        if let Some(doubt) = band.doubt {
            notes.push(format!("Band {} can't be told: {doubt}", i + 1));
        }
    }
    if found.others > 0 {
        notes.push(
            "Something else in the picture looks like a strip too: the larger one is read; press the ends of the one you mean.".to_owned(),
        );
    }
}
