//! What the page sends about where the drawing lies and what is to be made of a photograph, and what it is told back.

use crate::error::Refusal;
use serde::{Deserialize, Serialize};
use stepbite_core::drawing::Drawing;
use stepbite_core::face::Face;
use stepbite_core::photo::corners::FoundCorners;
use stepbite_core::photo::{self, Corners, Mix, PhotoSettings, Straightened, ZoneKind};
use stepbite_core::placing::{Crop, Fit, Placing, Size};
use stepbite_core::plane::Plane;
use stepbite_core::plate::SizeMm;
use stepbite_core::units::{Millimetres, PxPerMm};

/// Where the drawing lies, beside how it fits.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlacingSettings {
    /// Clockwise, degrees.
    pub turn: f64,
    /// The part used, shares of the upright drawing.
    pub crop: Crop,
    /// From the face's middle, to the right and down in print view, mm.
    pub offset_mm: (f64, f64),
    /// Times the size that fits, or the true size.
    pub scale: f64,
    /// At the size the file or the sheet says, instead of the size that fits.
    pub true_size: bool,
}

impl Default for PlacingSettings {
    fn default() -> Self {
        let plain = Placing::default();
        Self { turn: plain.turn, crop: plain.crop, offset_mm: (0.0, 0.0), scale: plain.scale, true_size: false }
    }
}

impl PlacingSettings {
    /// The core's placing of a drawing whose density may be known.
    ///
    /// # Errors
    /// When the true size is asked for and not known.
    pub fn placing(&self, fit: Fit, density: Option<PxPerMm>) -> Result<Placing, Refusal> {
        let size = match (self.true_size, density) {
            (false, _) => Size::Fit(fit),
            (true, Some(density)) => Size::Detail(density),
            (true, None) => {
                return Err(Refusal::new(
                    "placing",
                    "The file says no true size: let the drawing fit the face, or type the size of its sheet as for a photograph.",
                ));
            }
        };
        let (right, down) = self.offset_mm;
        Ok(Placing { size, turn: self.turn, crop: self.crop, offset: (Millimetres(right), Millimetres(down)), scale: self.scale })
    }
}

/// `"lightness"`, or shares of red, green and blue.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum MixChoice {
    /// By name.
    Named(MixName),
    /// Linear red, green, blue.
    Channels([f64; 3]),
}

/// A mix by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum MixName {
    /// As the eye sees it.
    Lightness,
}

/// What is to be made of a photograph, or of coloured paper.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoChoice {
    /// Corners of the sheet in pixels of the upright picture; none: the whole picture is the sheet.
    pub corners: Option<Corners>,
    /// Width and height of the sheet.
    pub sheet_mm: Option<(f64, f64)>,
    /// Places of bare paper, shares of the sheet.
    pub spots: Vec<[f64; 2]>,
    /// Whether the light is evened.
    pub even: bool,
    /// Whether the paper's colour is taken out.
    pub neutral: bool,
    /// Which light counts.
    pub mix: MixChoice,
}

impl PhotoChoice {
    fn settings(&self) -> PhotoSettings {
        let mm = |(width, height)| SizeMm { width: Millimetres(width), height: Millimetres(height) };
        PhotoSettings {
            corners: self.corners,
            sheet: self.sheet_mm.map(mm),
            spots: self.spots.clone(),
            even: self.even,
            neutral: self.neutral,
            mix: match self.mix {
                MixChoice::Named(MixName::Lightness) => Mix::Lightness,
                MixChoice::Channels(shares) => Mix::Channels(shares),
            },
        }
    }
}

/// A photograph straightened, and the choice it was made by.
pub struct Straight {
    choice: PhotoChoice,
    drawing: Drawing,
    facts: PhotoFacts,
}

impl Straight {
    /// Straightens the opened picture.
    ///
    /// # Errors
    /// A sentence of the core's.
    pub fn of(opened: &Drawing, choice: &PhotoChoice) -> Result<Self, Refusal> {
        let sheet = photo::straighten(opened, &choice.settings())?;
        let facts = PhotoFacts::of(&sheet);
        Ok(Self { choice: choice.clone(), drawing: Drawing::from_luminance(&sheet.luminance), facts })
    }

    /// Whether this is what a choice asks for.
    #[must_use]
    pub fn is(&self, choice: &PhotoChoice) -> bool {
        self.choice == *choice
    }

    /// The sheet as a drawing.
    #[must_use]
    pub fn drawing(&self) -> &Drawing {
        &self.drawing
    }

    /// Its light, for a picture.
    #[must_use]
    pub fn luminance(&self) -> &Plane<f32> {
        self.drawing.luminance()
    }

    /// What was found.
    #[must_use]
    pub fn facts(&self) -> &PhotoFacts {
        &self.facts
    }

    /// Pixels a millimetre of sheet, where its size is known.
    #[must_use]
    pub fn density(&self) -> Option<PxPerMm> {
        self.facts.sized.then_some(PxPerMm(self.facts.px_per_mm))
    }
}

/// What straightening found, as `types.d.ts` has it.
#[derive(Clone, Debug, Serialize)]
pub struct PhotoFacts {
    sheet_mm: [f64; 2],
    sized: bool,
    px_per_mm: f64,
    detail_px_per_mm: f64,
    light: Option<LightFacts>,
    zones: Vec<ZoneFacts>,
    /// Sentences.
    pub notes: Vec<String>,
}

#[derive(Clone, Debug, Serialize)]
struct LightFacts {
    margin: bool,
    spots: usize,
    fall: f64,
    spread_l: f64,
}

#[derive(Clone, Debug, Serialize)]
struct ZoneFacts {
    kind: &'static str,
    box_mm: [f64; 4],
}

impl PhotoFacts {
    fn of(sheet: &Straightened) -> Self {
        let kind = |kind: ZoneKind| match kind {
            ZoneKind::Burnt => "burnt",
            ZoneKind::Lost => "lost",
            ZoneKind::Shadow => "shadow",
        };
        Self {
            sheet_mm: [sheet.sheet.width.0, sheet.sheet.height.0],
            sized: sheet.sized,
            px_per_mm: sheet.resolution.0,
            detail_px_per_mm: sheet.detail.0,
            light: sheet.light.as_ref().map(|light| LightFacts {
                margin: light.margin,
                spots: light.spots,
                fall: light.fall,
                spread_l: light.spread,
            }),
            zones: sheet
                .zones
                .iter()
                .map(|zone| ZoneFacts { kind: kind(zone.kind), box_mm: [zone.left, zone.top, zone.right, zone.bottom] })
                .collect(),
            notes: sheet.notes.clone(),
        }
    }
}

/// Where the used part of the drawing lies, as `types.d.ts` has it.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Placed {
    corners_mm: [[f64; 2]; 4],
    size_mm: [f64; 2],
    /// Drawing pixels, before the crop.
    drawing_px: [usize; 2],
    /// Pixels a millimetre at true size, where it is known.
    true_px_per_mm: Option<f64>,
}

impl Placed {
    /// Of a face and the drawing placed on it.
    #[must_use]
    pub fn of(face: &Face, drawing: &Drawing, density: Option<PxPerMm>) -> Self {
        let size = face.place.size();
        Self {
            corners_mm: face.place.corners().unwrap_or_default(),
            size_mm: [size.width.0, size.height.0],
            drawing_px: [drawing.luminance().width(), drawing.luminance().height()],
            true_px_per_mm: density.map(|density| density.0),
        }
    }
}

/// Corners found, as `types.d.ts` has it.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct CornersFound {
    corners: Corners,
    /// Width over height of the sheet by the perspective; 0 where it can't be told.
    proportion: f64,
}

impl CornersFound {
    /// Of what the core found in a drawing.
    #[must_use]
    pub fn of(found: &FoundCorners, drawing: &Drawing) -> Self {
        let px = (drawing.luminance().width(), drawing.luminance().height());
        Self { corners: found.corners, proportion: photo::proportion(&found.corners, px).unwrap_or(0.0) }
    }
}
