//! The real proof speaks back: a photograph of a pull, read tone by tone against the plan.
//!
//! The corners of the printed picture are given, or found by the picture itself, which is known; either way they are moved until the picture
//! goes best with what lies within them. The light is taken from the bare paper round the plate mark (`field`), so that a fall of light and its
//! colour drop out. Each tone is read deep inside its regions, a millimetre and more from any other tone, where no painted edge reaches: the
//! median over square millimetres of their mean linear light, so that grain is averaged in light and a spot of dust counts for nothing. The
//! paper's own L* makes that absolute.
//!
//! [`split`] then tells wiping, rate and ink apart, or says that it can't; [`Pulled::strip`] makes the reading a strip for the next plate; and
//! [`crate::second_plan`] plans the repair.
//!
//! It is only as true as the camera: a phone bends its tones, and stray light lifts the darks. Nothing here is guessed: what is too small, burnt
//! out or lost in black is said to be so.

use crate::bites::BitePlan;
use crate::curve::BiteCurve;
use crate::drawing::Drawing;
use crate::homography::Homography;
use crate::light::Lightness;
use crate::photo::source::{Clipped, Light};
use crate::photo::{Corners, CornersError};
use crate::plane::Plane;
use crate::plate::{Plate, SizeMm};
use crate::relief::Relief;
use crate::stopouts::StopOuts;
use crate::strip::{Reading, StripError, StripKind, TestStrip};
use crate::units::{PxPerMm, Seconds};
use crate::warp::{Source, Warp};

mod field;
mod inking;
mod place;
mod read;
pub mod split;
mod words;

pub use inking::Inking;
pub use read::{Doubt, SHRUNK, ToneReading};
pub use split::{Cause, Effect, Split, Verdict};
pub use words::{Blind, PulledError};

use field::Field;
use split::{OnStrip, Reference, ToneRead};

/// How light the bare paper is that the proof is read against.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum PaperKnown {
    /// Nobody says: the strip's own reading at 0 s is taken.
    #[default]
    AsStrip,
    /// Measured and typed.
    Typed(Lightness),
    /// Judged by eye beside a printed grey scale.
    ByEye(Lightness),
}

/// Standard deviations of the paper's L* by where it comes from: measured, and by eye or taken from the strip. Estimates.
const PAPER_SIGMA: (f64, f64) = (0.5, 1.5);

/// What is to be read.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PulledSettings {
    /// Corners of the printed picture (the face, within its bevel), as it is read: upper left, upper right, lower right, lower left. None: looked for.
    pub corners: Option<Corners>,
    /// The paper.
    pub paper: PaperKnown,
}

/// What the proof is held to.
#[derive(Clone, Copy, Debug)]
pub struct Held<'a> {
    /// The plate.
    pub plate: &'a Plate,
    /// Its stop-outs, and with them its step map.
    pub stop_outs: &'a StopOuts,
    /// Its times, as logged where they are.
    pub bites: &'a BitePlan,
    /// The curve of the strip, at the times of these bites.
    pub curve: &'a BiteCurve,
    /// How its tones take ink.
    pub inking: &'a Inking,
    /// The metal of the strip: what it reads past its darkest band.
    pub relief: &'a Relief,
    /// What each tone was to print at, tone 0 first.
    pub targets: &'a [Lightness],
}

/// A proof, read.
#[derive(Clone, Debug, PartialEq)]
pub struct Pulled {
    /// The corners as they were used.
    pub corners: Corners,
    /// How far they were moved, mm, and how well the picture goes with what lies within them, 0 to 1.
    pub moved_mm: f64,
    /// See above.
    pub fit: f64,
    /// Why nothing can be told; then nothing is read.
    pub blind: Option<Blind>,
    /// Every tone, tone 0 first.
    pub tones: Vec<ToneReading>,
    /// L* of the bare paper, as given.
    pub paper: Lightness,
    /// Lightest over darkest light of the paper over the face.
    pub fall: f64,
    /// The difference from the plan, split; none where too few tones are told.
    pub split: Option<Split>,
    /// What it comes to, a sentence each.
    pub said: Vec<String>,
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
    /// Pixels a millimetre of what follows.
    pub resolution: PxPerMm,
    /// Absolute linear light of the face, print view; NaN where it is burnt out or off the photograph.
    pub light: Plane<f32>,
    /// The tone of each pixel of that; [`NO_TONE`] where the hand works.
    pub zones: Plane<u8>,
    /// How far each pixel lies from another tone, mm, up to a few.
    pub depth: Plane<f32>,
}

/// What is left to the hand has no tone.
pub const NO_TONE: u8 = u8::MAX;
/// Pixels a millimetre that are needed, and that are worked at.
pub const LEAST_PX_PER_MM: f64 = 2.0;
const WORKED: f64 = 5.0;
/// Most pixels that are worked, except on a face so large that it would be coarser than [`LEAST_PX_PER_MM`].
const MOST_PIXELS: f64 = 6e6;

/// Reads a proof.
///
/// # Errors
/// When plan and stop-outs are not of the same tones, the paper can't be, or corners given are none.
pub fn read(drawing: &Drawing, held: &Held<'_>, settings: &PulledSettings) -> Result<Pulled, PulledError> {
    let count = held.stop_outs.tones().get();
    if held.bites.tones.len() != count || held.targets.len() != count {
        return Err(PulledError::Tones { stop_outs: count, plan: held.bites.tones.len(), targets: held.targets.len() });
    }
    let (paper, paper_sigma) = match settings.paper {
        PaperKnown::AsStrip => (held.curve.paper(), PAPER_SIGMA.1),
        PaperKnown::Typed(l) => (l, PAPER_SIGMA.0),
        PaperKnown::ByEye(l) => (l, PAPER_SIGMA.1),
    };
    let (least, most) = crate::strip_photo::PAPERS;
    if !(least.0..=most.0).contains(&paper.0) {
        return Err(PulledError::Paper { lightness: paper.0 });
    }
    let light = Light::of(drawing);
    let planned: Vec<Lightness> = held.bites.tones.iter().map(|t| held.curve.lightness_at(t.effective)).collect();
    let face = held.plate.face();
    let placed = place::place(&light, held, &planned, settings.corners)?;
    let resolution = worked(placed.px_per_mm, face);
    let zones = place::zones(held.stop_outs, face, resolution);
    let depth = place::depth(&zones, resolution);
    let mut pulled = Pulled {
        corners: placed.corners,
        moved_mm: placed.moved_mm,
        fit: placed.fit,
        blind: placed.blind,
        tones: Vec::new(),
        paper,
        fall: 1.0,
        split: None,
        said: Vec::new(),
        notes: Vec::new(),
        resolution,
        light: Plane::filled(zones.width(), zones.height(), f32::NAN),
        zones,
        depth,
    };
    if pulled.blind.is_some() {
        return Ok(pulled);
    }
    if placed.px_per_mm < LEAST_PX_PER_MM {
        pulled.blind = Some(Blind::Coarse { px_per_mm: placed.px_per_mm });
        return Ok(pulled);
    }
    let Some(map) = Homography::between(&place::SQUARE, &placed.corners.0) else {
        pulled.blind = Some(Blind::Paper);
        return Ok(pulled);
    };
    let field = match Field::of(&light, &map, held.plate) {
        Ok(field) => field,
        Err(blind) => {
            pulled.blind = Some(blind);
            return Ok(pulled);
        }
    };
    let seen = seen(&light, &map, &field, &pulled.zones, paper);
    let mut tones = read::tones(&seen, &pulled.zones, &pulled.depth, resolution, count);
    for (tone, (planned, target)) in tones.iter_mut().zip(planned.iter().zip(held.targets)) {
        (tone.planned, tone.target) = (*planned, *target);
    }
    let told: Vec<ToneRead> = tones
        .iter()
        .filter_map(|t| Some(ToneRead { tone: t.tone, total: held.bites.tones[t.tone].effective, read: t.read?, sigma: t.sigma }))
        .collect();
    pulled.split =
        split::split(&told, &OnStrip { curve: held.curve, inking: held.inking, relief: held.relief }, Reference { paper: paper_sigma });
    pulled.fall = field.fall();
    pulled.tones = tones;
    pulled.light = seen.light;
    words::say(&mut pulled, &told, held, settings, (&field, placed.as_well));
    Ok(pulled)
}

/// The raster that a photograph of so many pixels a millimetre is worked at.
fn worked(px_per_mm: f64, face: SizeMm) -> PxPerMm {
    let most = libm::sqrt(MOST_PIXELS / (face.width.0 * face.height.0)).clamp(LEAST_PX_PER_MM, WORKED);
    PxPerMm(px_per_mm.min(most).max(1.0))
}

/// The face as it is seen, made absolute.
pub(crate) struct Seen {
    /// Linear light, NaN where it is burnt out or off the photograph.
    light: Plane<f32>,
    /// Whether it is lost in black.
    lost: Plane<bool>,
}

fn seen(light: &Light<'_>, map: &Homography, field: &Field, zones: &Plane<u8>, paper: Lightness) -> Seen {
    let (w, h) = (zones.width(), zones.height());
    let clipped = Clipped::of(light);
    let shares = Homography::new([[1.0 / w as f64, 0.0, 0.0], [0.0, 1.0 / h as f64, 0.0], [0.0, 0.0, 1.0]]);
    let white = paper.reflectance().0;
    let mut lost = Plane::filled(w, h, false);
    let Some(shares) = shares else { return Seen { light: Plane::filled(w, h, f32::NAN), lost } };
    let warp = Warp::new(&clipped, *map * shares, (w, h));
    let (width, height) = Source::<5>::size(&clipped);
    let mut seen = Plane::filled(w, h, f32::NAN);
    for y in 0..h {
        let row = field.row((y as f64 + 0.5) / h as f64, w);
        for (x, white_here) in row.iter().enumerate() {
            let [u, v] = warp.middle(x, y);
            if !(0.0..=width as f64).contains(&u) || !(0.0..=height as f64).contains(&v) {
                continue;
            }
            let [r, g, b, burnt, black] = warp.pixel(x, y).map(f64::from);
            if burnt < 0.1 {
                let relative = field::luminance([r / white_here[0], g / white_here[1], b / white_here[2]]);
                seen.data_mut()[y * w + x] = (relative * white) as f32;
            }
            lost.data_mut()[y * w + x] = black > 0.5;
        }
    }
    Seen { light: seen, lost }
}

impl Pulled {
    /// The reading as a test strip: what each tone's time in the bath printed at. Made by covering between dips, as a plate is. As read, this
    /// proof's wiping and ink are in it ([`Pulled::strip_words`]); on the metal they are taken off, as far as the split names them.
    ///
    /// # Errors
    /// When the tones that were told make no strip.
    pub fn strip(&self, id: &str, bites: &BitePlan, on_the_metal: bool) -> Result<TestStrip, StripError> {
        let restart = bites.handling.restart().0;
        let as_is = |l: Lightness| match &self.split {
            Some(split) if on_the_metal => split.on_the_metal(l),
            _ => l,
        };
        let mut readings: Vec<Reading> = Vec::with_capacity(self.tones.len());
        for (tone, time) in self.tones.iter().zip(&bites.tones) {
            let Some(lightness) = tone.read.map(as_is) else {
                if tone.tone == 0 {
                    readings.push(Reading { total: Seconds(0.0), lightness: self.paper });
                }
                continue;
            };
            // The n-th band of a strip made by covering has had n dips: dropped and untold tones shift them.
            let total = Seconds(time.effective.0 - readings.len() as f64 * restart);
            if readings.last().is_none_or(|before| total.0 > before.total.0 + 1e-6) {
                readings.push(Reading { total, lightness });
            }
        }
        TestStrip::new(id, StripKind::Measured, readings)
    }

    /// How many tones are told.
    #[must_use]
    pub fn told(&self) -> usize {
        self.tones.iter().filter(|t| t.read.is_some()).count()
    }
}

impl From<CornersError> for PulledError {
    fn from(error: CornersError) -> Self {
        Self::Corners(error)
    }
}

#[cfg(test)]
pub(crate) mod tests;
