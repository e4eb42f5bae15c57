//! Photographs of the painted plate: kept beside the drawing, shown, and looked over.

use super::Desk;
use crate::error::Refusal;
use serde::{Deserialize, Serialize};
use stepbite_core::bands::HandError;
use stepbite_core::drawing::Drawing;
use stepbite_core::painted::{self, PaintedCheck, PaintedPhoto, PaintedSettings, Wrong};
use stepbite_core::photo::Corners;
use stepbite_core::picture::{self, Rgba};
use stepbite_core::plane::Plane;
use stepbite_core::plate::{Plate, SizeMm};
use stepbite_core::units::Millimetres;

/// The photographs at hand, and what was found last.
#[derive(Default)]
pub struct Painted {
    photos: Vec<Drawing>,
    checked: Option<(PaintedCheck, Plate)>,
}

/// What is to be looked over, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaintedChoice {
    stop_out: usize,
    /// Of each photograph; null: looked for.
    corners: Vec<Option<Corners>>,
    creep_mm: f64,
}

/// A picture of a photograph, or of the face as it was looked over.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaintedPictureSpec {
    photo: usize,
    /// The straightened face with what was found over it; else the photograph as it is.
    face: bool,
    part: Option<[f64; 4]>,
    width: usize,
    height: usize,
}

/// A photograph as opened.
#[derive(Clone, Debug, Serialize)]
pub struct PaintedPictureFacts {
    width: usize,
    height: usize,
    notes: Vec<String>,
}

/// What was found, as `types.d.ts` has it.
#[derive(Clone, Debug, Serialize)]
pub struct PaintedFacts {
    stop_out: usize,
    corners: Vec<Corners>,
    blind: Option<String>,
    pieces: Vec<PieceFacts>,
    untold: Vec<UntoldFacts>,
    judged_share: f64,
    edge_share: f64,
    untold_share: f64,
    allowed_mm: f64,
    face_mm: [f64; 2],
    notes: Vec<String>,
}

#[derive(Clone, Debug, Serialize)]
struct PieceFacts {
    wrong: &'static str,
    words: &'static str,
    place: &'static str,
    at_mm: [f64; 2],
    extent_mm: [f64; 4],
    area_mm2: f64,
}

#[derive(Clone, Debug, Serialize)]
struct UntoldFacts {
    words: &'static str,
    place: &'static str,
    at_mm: [f64; 2],
    extent_mm: [f64; 4],
    area_mm2: f64,
}

impl PaintedFacts {
    fn of(check: &PaintedCheck, face: SizeMm) -> Self {
        let pieces = check.pieces.iter().map(|p| PieceFacts {
            wrong: if p.wrong == Wrong::Missed { "missed" } else { "over_run" },
            words: p.words(),
            place: p.place(face),
            at_mm: [p.at.x, p.at.y],
            extent_mm: p.extent,
            area_mm2: p.area_mm2,
        });
        let untold = check.untold.iter().map(|u| UntoldFacts {
            words: u.doubt.words(),
            place: u.place(face),
            at_mm: [u.at.x, u.at.y],
            extent_mm: u.extent,
            area_mm2: u.area_mm2,
        });
        Self {
            stop_out: check.stop_out,
            corners: check.corners.clone(),
            blind: check.blind.map(|why| why.to_string()),
            pieces: pieces.collect(),
            untold: untold.collect(),
            judged_share: check.judged_share,
            edge_share: check.edge_share,
            untold_share: check.untold_share,
            allowed_mm: check.allowed_mm,
            face_mm: [face.width.0, face.height.0],
            notes: check.notes.clone(),
        }
    }
}

impl Desk {
    /// Reads a photograph of the plate: the first, or one more beside it. Neither drawing nor plan is touched.
    ///
    /// # Errors
    /// A sentence where the file can't be read.
    pub fn painted_open(&mut self, bytes: &[u8], second: bool) -> Result<PaintedPictureFacts, Refusal> {
        let drawing = Drawing::read(bytes)?;
        let light = drawing.luminance();
        let facts = PaintedPictureFacts { width: light.width(), height: light.height(), notes: drawing.info().notes.clone() };
        self.painted.photos.truncate(usize::from(second));
        self.painted.photos.push(drawing);
        self.painted.checked = None;
        Ok(facts)
    }

    /// Looks the plate over.
    ///
    /// # Errors
    /// Before a plan and a photograph, and what the core refuses.
    pub fn painted_check(&mut self, choice: &PaintedChoice) -> Result<PaintedFacts, Refusal> {
        let plan = self.plan()?;
        if self.painted.photos.is_empty() {
            return Err(no_photo());
        }
        let photos: Vec<PaintedPhoto<'_>> = self
            .painted
            .photos
            .iter()
            .enumerate()
            .map(|(i, drawing)| PaintedPhoto { drawing, corners: choice.corners.get(i).copied().flatten() })
            .collect();
        let settings = PaintedSettings {
            stop_out: choice.stop_out,
            hand: HandError::new(plan.settings.hand_error_mm.0)?,
            creep: Millimetres(choice.creep_mm),
        };
        let plate = plan.plate;
        let check = painted::check(&photos, &plate, &plan.stopouts, &settings)?;
        let facts = PaintedFacts::of(&check, plate.face());
        self.painted.checked = Some((check, plate));
        Ok(facts)
    }

    /// A photograph for the screen, or the face as it was looked over.
    ///
    /// # Errors
    /// Before it is there.
    pub fn painted_picture(&self, spec: &PaintedPictureSpec) -> Result<Plane<Rgba>, Refusal> {
        let drawing = self.painted.photos.get(spec.photo).ok_or_else(no_photo)?;
        if spec.face {
            let shown =
                self.painted.checked.as_ref().and_then(|(check, plate)| check.shown(drawing, spec.photo, plate, (spec.width, spec.height)));
            return shown.ok_or_else(|| Refusal::new("not_looked", "The plate was not looked over yet: do that first."));
        }
        let (columns, rows) = super::part_of(drawing, spec.part);
        let size = picture::fitted_size(columns.len(), rows.len(), (spec.width, spec.height));
        Ok(picture::opened(drawing, columns, rows, size))
    }
}

fn no_photo() -> Refusal {
    Refusal::new("no_painted_photo", "There is no photo of the plate any more: choose it or take it again.")
}
