//! The pull: one print from up to four plates, in ink, on paper.
//!
//! A [`Pull`] is a sheet with what lies on it ([`Grounds`]), and the plates that print on it in their order ([`Printing`]), each with its
//! inks ([`Inks`]) and the place it really came down at ([`Misfit`]). Everything is in PRINT VIEW on the face of the first plate of the plan:
//! x right and y down from its top left corner, in millimetres.
//!
//! Within a plate a point is land or pit by its own grain; between plates the grains are independent, and [`crate::overprint`] says what colour
//! each pairing makes.

use crate::grain::Grain;
use crate::overprint::Tint;
use crate::plane::Plane;
use crate::proof::ProofTones;
use crate::units::{Millimetres, PointMm, PxPerMm};

mod grounds;
mod inks;
mod kept;
pub use grounds::Grounds;
pub use inks::{Blend, InkMap, Inks};
pub use kept::{KeptError, KeptGrain, KeptTone, PlateFacts};

/// A plate as it prints: the tone that each point of its face got in the bath, and how each tone takes ink.
#[derive(Clone, Debug)]
pub struct Plate {
    /// The tones it got, by index; print view, the whole face.
    pub map: Plane<u8>,
    /// Raster of the map.
    pub resolution: PxPerMm,
    /// How each tone takes ink, tone 0 first.
    pub tints: Vec<Tint>,
    /// By how much each tone's grains have shrunk; none where the metal was never bitten and no grain shows.
    pub undercuts: Vec<Option<Millimetres>>,
    /// Its grain.
    pub grain: Grain,
}

impl Plate {
    /// A plate that got the tones of `map`.
    #[must_use]
    pub fn new(map: Plane<u8>, resolution: PxPerMm, tones: &ProofTones) -> Self {
        let tints = tones.tones().iter().map(|tone| Tint { lands: tone.lands, film: tone.film, veil: 0.0 }).collect();
        let undercuts = tones.tones().iter().map(|tone| tone.undercut).collect();
        Self { map, resolution, tints, undercuts, grain: tones.grain().clone() }
    }
}

/// How a plate really came down: turned and scaled about the middle of its face, then moved. None is exact.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Misfit {
    /// To the right and down, mm.
    pub shift: PointMm,
    /// More than true size across and down: 0.01 = one per cent larger.
    pub growth: (f64, f64),
    /// Clockwise, degrees.
    pub turn: f64,
}

/// One plate's part in a pull.
#[derive(Clone, Copy, Debug)]
pub struct Printing<'a> {
    /// The plate.
    pub plate: &'a Plate,
    /// What it is inked with.
    pub inks: &'a Inks,
    /// How thick its film is on another wet one, times as on paper: 1 = dried in between.
    pub trap: f64,
    /// Where it came down.
    pub misfit: Misfit,
    /// Plate tone beyond the strip's: thickness of the film left everywhere, 1 = the strip's full pit.
    pub veil: f64,
}

/// A print to be shown.
#[derive(Clone, Copy, Debug)]
pub struct Pull<'a> {
    /// Width and height of the face that the picture is fitted to, mm.
    pub face: (Millimetres, Millimetres),
    /// What the ink falls on.
    pub grounds: &'a Grounds,
    /// The plates, the first printed first; at most [`crate::overprint::PLATES`].
    pub printings: &'a [Printing<'a>],
    /// Yule and Nielsen's n.
    pub n: f64,
}
