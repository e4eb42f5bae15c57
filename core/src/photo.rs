//! A photograph of a drawn sheet, straightened: the sheet as if scanned, its light evened, its paper made white.
//!
//! The four [`corners`] give a homography; the sheet is drawn anew through it, in linear light. The light is evened by one smooth
//! field fitted to bare paper alone ([`Field`]), never by a local blur, so that a real wash stays a wash. What the photograph has lost is
//! said in sentences: burnt-out and black places, what looks like a hand's shadow, a sheet that bows.
//!
//! A flat scan needs no corners: then the whole picture is the sheet, and the rest works alike (yellow paper, blue pencil).
//!
//! What is not done: no lens distortion (a phone corrects its own), no sharpening, no mending of what is burnt out or in shadow.

use crate::drawing::Drawing;
use crate::homography::{Homography, Point};
use crate::light::LUMINANCE_WEIGHTS;
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::units::{Millimetres, PxPerMm};
use crate::warp::{Source, Warp};
use std::fmt;

pub mod corners;
pub(crate) mod edge;
mod field;
pub(crate) mod lines;
mod perspective;
mod sheet;
pub(crate) mod source;
mod table;
mod words;
mod zones;

pub use corners::{Corners, CornersError};
pub use field::{Field, FoundLight};
pub use zones::{Zone, ZoneKind};

use sheet::Proxy;
use source::Light;

/// Which light of the drawing becomes its tones.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Mix {
    /// Luminance, as the eye sees it.
    #[default]
    Lightness,
    /// Shares of linear red, green and blue, none negative, not all 0; only their ratios count. Blue pencil on yellow paper is told best in
    /// red, where the pencil is dark and the paper light.
    Channels([f64; 3]),
}

/// What is to be made of a photograph.
#[derive(Clone, Debug, PartialEq)]
pub struct PhotoSettings {
    /// The sheet's corners. Default none: the whole picture is the sheet.
    pub corners: Option<Corners>,
    /// The sheet's size. Default none: its proportions are told from the perspective, its longer side is taken as [`UNKNOWN_SIDE`].
    pub sheet: Option<SizeMm>,
    /// Places of bare paper, shares of the sheet's width and height, 0 to 1. Default none.
    pub spots: Vec<Point>,
    /// Whether the light is evened. Default true.
    pub even: bool,
    /// Whether the paper's colour is taken out. Default true.
    pub neutral: bool,
    /// Which light counts. Default luminance.
    pub mix: Mix,
}

impl Default for PhotoSettings {
    fn default() -> Self {
        Self { corners: None, sheet: None, spots: Vec::new(), even: true, neutral: true, mix: Mix::Lightness }
    }
}

/// The longer side of a sheet whose size nobody gave: A4's, ISO 216.
pub const UNKNOWN_SIDE: Millimetres = Millimetres(297.0);
/// Sides a sheet can have.
pub const SIDES: (Millimetres, Millimetres) = (Millimetres(5.0), Millimetres(5000.0));
/// Most pixels of a straightened sheet: some 24 million, finer than any phone's lens.
const MOST_PIXELS: f64 = 24e6;
/// Most spots that are looked at.
const MOST_SPOTS: usize = 200;

/// A sheet, straightened.
#[derive(Clone, Debug, PartialEq)]
pub struct Straightened {
    /// Linear light by the mix, paper 1 where it was evened; the sheet's edges are the picture's.
    pub luminance: Plane<f32>,
    /// The sheet's size.
    pub sheet: SizeMm,
    /// Whether that size was given, not told from the perspective.
    pub sized: bool,
    /// Pixels a millimetre of sheet.
    pub resolution: PxPerMm,
    /// The photograph's own pixels a millimetre of sheet where they are fewest: the true detail.
    pub detail: PxPerMm,
    /// From shares of the sheet to pixels of the picture.
    pub map: Homography,
    /// The light, where paper was marked or proved.
    pub light: Option<FoundLight>,
    /// What is lost or covered.
    pub zones: Vec<Zone>,
    /// How far each side bows, mm, positive inward; none where its edge is not clear: upper, right, lower, left.
    pub bows: [Option<f64>; 4],
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
}

/// Why a photograph can't be straightened.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum PhotoError {
    /// The corners are none.
    Corners(CornersError),
    /// The sheet's size is not within [`SIDES`].
    Sheet {
        /// Width that came, mm.
        width: f64,
        /// Height that came, mm.
        height: f64,
    },
    /// The shares of the mix are no mix.
    Mix([f64; 3]),
}

impl fmt::Display for PhotoError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Corners(error) => error.fmt(f),
            Self::Sheet { width, height } => write!(
                f,
                "A sheet has sides of {} to {} mm; {width} × {height} mm came: type the size of the paper in the photograph.",
                SIDES.0.0, SIDES.1.0
            ),
            Self::Mix([r, g, b]) => write!(
                f,
                "Shares of red, green and blue were expected, none negative and one at least above 0; {r}, {g}, {b} came: raise one of them."
            ),
        }
    }
}

impl std::error::Error for PhotoError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Corners(error) => Some(error),
            _ => None,
        }
    }
}

impl From<CornersError> for PhotoError {
    fn from(error: CornersError) -> Self {
        Self::Corners(error)
    }
}

impl Mix {
    /// The weights, which sum to 1.
    fn weights(self) -> Result<[f64; 3], PhotoError> {
        let Self::Channels(shares) = self else { return Ok(LUMINANCE_WEIGHTS) };
        let sum: f64 = shares.iter().sum();
        if !shares.iter().all(|&share| (0.0..=1e6).contains(&share)) || sum <= 1e-9 {
            return Err(PhotoError::Mix(shares));
        }
        Ok(shares.map(|share| share / sum))
    }
}

/// The size of the sheet: given, or told from the perspective; and whether it was given.
fn sheet_size(drawing: &Drawing, settings: &PhotoSettings, px: (usize, usize)) -> Result<(SizeMm, bool), PhotoError> {
    let known = |side: Millimetres| side >= SIDES.0 && side <= SIDES.1;
    if let Some(sheet) = settings.sheet {
        let fits = known(sheet.width) && known(sheet.height);
        return if fits { Ok((sheet, true)) } else { Err(PhotoError::Sheet { width: sheet.width.0, height: sheet.height.0 }) };
    }
    let by_density = drawing.info().density.filter(|_| settings.corners.is_none());
    if let Some(density) = by_density {
        let sheet = SizeMm { width: density.mm(px.0 as f64), height: density.mm(px.1 as f64) };
        if known(sheet.width) && known(sheet.height) {
            return Ok((sheet, true));
        }
    }
    let proportion = match &settings.corners {
        Some(corners) => perspective::proportion(corners, px).map_or(1.0, |(proportion, _)| proportion),
        None => (px.0 as f64 / px.1 as f64).clamp(0.02, 50.0),
    };
    let long = UNKNOWN_SIDE.0;
    let (width, height) = if proportion > 1.0 { (long, long / proportion) } else { (long * proportion, long) };
    Ok((SizeMm { width: Millimetres(width.max(SIDES.0.0)), height: Millimetres(height.max(SIDES.0.0)) }, false))
}

/// Width over height of the sheet with these corners in a picture of so many pixels, told from the perspective.
#[must_use]
pub fn proportion(corners: &Corners, picture: (usize, usize)) -> Option<f64> {
    perspective::proportion(corners, picture).map(|(proportion, _)| proportion)
}

/// Straightens a photograph.
///
/// # Errors
/// When the corners go round no sheet, the size can't be a sheet's, or the mix is none.
pub fn straighten(drawing: &Drawing, settings: &PhotoSettings) -> Result<Straightened, PhotoError> {
    let light = Light::of(drawing);
    let px = (drawing.luminance().width(), drawing.luminance().height());
    let mix = settings.mix.weights()?;
    let (w, h) = (px.0 as f64, px.1 as f64);
    let corners = settings.corners.unwrap_or(Corners([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]));
    if settings.corners.is_some() {
        corners.check(px)?;
    }
    let (sheet, sized) = sheet_size(drawing, settings, px)?;
    let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
    let map = Homography::between(&square, &corners.0).ok_or(CornersError::Shape)?;

    let (wide, high) = (sheet.width.0, sheet.height.0);
    let area = wide * high;
    let density = |at: Point| (map.magnification(at) / area).sqrt();
    let detail = square.map(density).into_iter().fold(f64::MAX, f64::min);
    let resolution =
        if settings.corners.is_some() { (quad_area(&corners) / area).sqrt().min((MOST_PIXELS / area).sqrt()) } else { w / wide };
    let size = if settings.corners.is_some() {
        let side = |mm: f64| libm::round(mm * resolution).clamp(1.0, 30_000.0) as usize;
        (side(wide), side(high))
    } else {
        px
    };

    let shares = [[1.0 / size.0 as f64, 0.0, 0.0], [0.0, 1.0 / size.1 as f64, 0.0], [0.0, 0.0, 1.0]];
    let back = map * Homography::new(shares).ok_or(CornersError::Shape)?;
    let proxy = Proxy::of(&light, map, sheet).ok_or(CornersError::Shape)?;
    let spots = &settings.spots[..settings.spots.len().min(MOST_SPOTS)];
    let table = if settings.corners.is_some() { table::beside(&light, &map) } else { Vec::new() };
    let (found, contradicted) = match field::fit(&proxy, spots, &table) {
        Ok(found) => (Some(found), false),
        Err(contradicted) => (None, contradicted),
    };
    let zones = zones::zones(&proxy, found.as_ref().map(|found| &found.field));
    let bows = match &settings.corners {
        Some(corners) => {
            let found = corners::bows(drawing.luminance(), corners);
            let sides = corners.sides();
            std::array::from_fn(|i| found[i].map(|px| px / sides[i] * if i % 2 == 0 { wide } else { high }))
        }
        None => [None; 4],
    };

    let gains = Gains { field: found.as_ref().map(|found| &found.field), even: settings.even, neutral: settings.neutral };
    let warp = Warp::new(&light, back, size);
    let mut luminance = Plane::filled(size.0, size.1, 0.0f32);
    let mut weights = vec![[0.0f32; 3]; size.0];
    for y in 0..size.1 {
        gains.row(mix, (y as f64 + 0.5) / size.1 as f64, &mut weights);
        for (x, (value, weight)) in luminance.data_mut()[y * size.0..(y + 1) * size.0].iter_mut().zip(&weights).enumerate() {
            // A whole picture is not warped: its pixels are as they are.
            let rgb = if settings.corners.is_some() { warp.pixel(x, y) } else { light.at(x, y) };
            let sum = weight[0] * rgb[0] + weight[1] * rgb[1] + weight[2] * rgb[2];
            *value = if sum.is_nan() { 1.0 } else { sum.clamp(0.0, 1.0) };
        }
    }
    let mut straightened = Straightened {
        luminance,
        sheet,
        sized,
        resolution: PxPerMm(resolution),
        detail: PxPerMm(detail),
        map,
        light: found,
        zones,
        bows,
        notes: Vec::new(),
    };
    straightened.notes = words::notes(&straightened, settings, contradicted);
    Ok(straightened)
}

fn quad_area(corners: &Corners) -> f64 {
    let q = &corners.0;
    (0..4).map(|i| q[i][0] * q[(i + 1) % 4][1] - q[(i + 1) % 4][0] * q[i][1]).sum::<f64>().abs() / 2.0
}

/// What each channel is multiplied by.
struct Gains<'a> {
    field: Option<&'a Field>,
    even: bool,
    neutral: bool,
}

impl Gains<'_> {
    /// Weights of the channels along a row, the mix and the light taken together.
    fn row(&self, mix: [f64; 3], v: f64, weights: &mut [[f32; 3]]) {
        /// Pixels between places where the field is worked out; it is smooth, and a straight line between is within 1e-4 of it.
        const EVERY: usize = 16;
        let width = weights.len();
        let at = |x: usize| self.at(mix, [(x as f64 + 0.5) / width as f64, v]);
        let mut from = at(0);
        for start in (0..width).step_by(EVERY) {
            let to = at(start + EVERY);
            for (i, weight) in weights[start..(start + EVERY).min(width)].iter_mut().enumerate() {
                let t = i as f64 / EVERY as f64;
                *weight = std::array::from_fn(|c| (from[c] + t * (to[c] - from[c])) as f32);
            }
            from = to;
        }
    }

    fn at(&self, mix: [f64; 3], place: Point) -> [f64; 3] {
        let Some(field) = self.field else { return mix };
        // Not evened, the paper is taken as the sheet's middle has it.
        let paper = field.at(if self.even { place } else { [0.5, 0.5] });
        let all = field::luminance(paper);
        match (self.even, self.neutral) {
            (false, false) => mix,
            (_, true) => std::array::from_fn(|c| mix[c] / paper[c]),
            (true, false) => mix.map(|share| share / all),
        }
    }
}
