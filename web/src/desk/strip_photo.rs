//! The picture of a printed test strip: kept beside the drawing, shown, and read.

use super::Desk;
use crate::error::Refusal;
use serde::{Deserialize, Serialize};
use stepbite_core::drawing::Drawing;
use stepbite_core::light::Lightness;
use stepbite_core::photo::Corners;
use stepbite_core::picture::{self, Rgba};
use stepbite_core::plane::Plane;
use stepbite_core::strip_photo::{self, BandSpan, PaperLightness, StripPhoto, StripPhotoSettings, StripPlace};

/// Where the strip is, as `types.d.ts` has it.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum PlaceChoice {
    /// Looked for.
    Found,
    /// Between two points.
    Ends {
        /// Middles of the short ends, pixels.
        ends: [[f64; 2]; 2],
    },
    /// At four corners.
    Corners {
        /// Pixels, clockwise.
        corners: Corners,
        /// Whether the first corner is at the paper's end, whatever the bands say.
        directed: bool,
    },
}

/// How light the paper is, as `types.d.ts` has it.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum PaperChoice {
    /// Measured.
    Typed {
        /// L*.
        lightness: f64,
    },
    /// By eye beside a printed grey scale.
    ByEye {
        /// L*.
        lightness: f64,
    },
    /// By a card in the picture.
    Card {
        /// A point on it, pixels.
        at: [f64; 2],
        /// Its L*.
        lightness: f64,
    },
}

/// What is to be read.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StripPhotoChoice {
    place: PlaceChoice,
    /// Shares of the strip's length.
    bands: Option<Vec<(f64, f64)>>,
    paper: PaperChoice,
}

/// A picture of the picture.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StripPictureSpec {
    part: Option<[f64; 4]>,
    width: usize,
    height: usize,
}

/// The picture as opened.
#[derive(Clone, Debug, Serialize)]
pub struct StripPictureFacts {
    width: usize,
    height: usize,
    notes: Vec<String>,
}

/// A strip read, as `types.d.ts` has it.
#[derive(Clone, Debug, Serialize)]
pub struct StripPhotoFacts {
    corners: Corners,
    bands: Vec<BandFacts>,
    paper: f64,
    unbitten: bool,
    fall: f64,
    notes: Vec<String>,
}

#[derive(Clone, Debug, Serialize)]
struct BandFacts {
    from: f64,
    to: f64,
    outline: [[f64; 2]; 4],
    lightness: Option<f64>,
    spread: f64,
    excluded: f64,
    doubt: Option<String>,
}

impl StripPhotoChoice {
    fn settings(&self) -> StripPhotoSettings {
        StripPhotoSettings {
            place: match self.place {
                PlaceChoice::Found => StripPlace::Found,
                PlaceChoice::Ends { ends } => StripPlace::Ends(ends),
                PlaceChoice::Corners { corners, directed: false } => StripPlace::Corners(corners),
                PlaceChoice::Corners { corners, directed: true } => StripPlace::Directed(corners),
            },
            bands: self.bands.as_ref().map(|bands| bands.iter().map(|&(from, to)| BandSpan { from, to }).collect()),
            paper: match self.paper {
                PaperChoice::Typed { lightness } => PaperLightness::Typed(Lightness(lightness)),
                PaperChoice::ByEye { lightness } => PaperLightness::ByEye(Lightness(lightness)),
                PaperChoice::Card { at, lightness } => PaperLightness::Card { at, lightness: Lightness(lightness) },
            },
        }
    }
}

impl StripPhotoFacts {
    fn of(strip: &StripPhoto) -> Self {
        let band = |band: &strip_photo::StripBand| BandFacts {
            from: band.span.from,
            to: band.span.to,
            outline: band.outline,
            lightness: band.lightness.map(|l| l.0),
            spread: band.spread,
            excluded: band.excluded,
            doubt: band.doubt.map(|doubt| doubt.to_string()),
        };
        Self {
            corners: strip.corners,
            bands: strip.bands.iter().map(band).collect(),
            paper: strip.paper.0,
            unbitten: strip.unbitten,
            fall: strip.fall,
            notes: strip.notes.clone(),
        }
    }
}

impl Desk {
    /// Reads the picture of a strip. Neither the drawing nor its plan is touched; the strip's picture before stays where this one can't be read.
    ///
    /// # Errors
    /// A sentence where the file can't be read.
    pub fn strip_photo_open(&mut self, bytes: &[u8]) -> Result<StripPictureFacts, Refusal> {
        let picture = self.strip_photo.insert(Drawing::read(bytes)?);
        let light = picture.luminance();
        Ok(StripPictureFacts { width: light.width(), height: light.height(), notes: picture.info().notes.clone() })
    }

    fn strip_picture(&self) -> Result<&Drawing, Refusal> {
        self.strip_photo
            .as_ref()
            .ok_or_else(|| Refusal::new("no_strip_photo", "There is no picture of a strip any more: choose or photograph it again."))
    }

    /// The strip's picture for the screen, or a part of it.
    ///
    /// # Errors
    /// Before one is opened.
    pub fn strip_photo_picture(&self, spec: &StripPictureSpec) -> Result<Plane<Rgba>, Refusal> {
        let drawing = self.strip_picture()?;
        let (columns, rows) = super::part_of(drawing, spec.part);
        let size = picture::fitted_size(columns.len(), rows.len(), (spec.width, spec.height));
        Ok(picture::opened(drawing, columns, rows, size))
    }

    /// Reads the strip.
    ///
    /// # Errors
    /// Before one is opened, and where it can't be read: a sentence of the core's.
    pub fn strip_photo_read(&self, choice: &StripPhotoChoice) -> Result<StripPhotoFacts, Refusal> {
        Ok(StripPhotoFacts::of(&strip_photo::read(self.strip_picture()?, &choice.settings())?))
    }
}
