//! The pull: one print from up to four plates, in ink, on paper.
//!
//! A [`Pull`] is a sheet with what lies on it ([`Grounds`]), and the plates that print on it in their order ([`Printing`]), each with its
//! inks ([`Inks`]) and the place it really came down at ([`Misfit`]). Everything is in PRINT VIEW on the face of the first plate of the plan:
//! x right and y down from its top left corner, in millimetres.
//!
//! Within a plate a point is land or pit by its own grain; between plates the grains are independent, and [`crate::overprint`] says what colour
//! each pairing makes.

use crate::affine::Affine;
use crate::colour::{Lamp, Rgb};
use crate::grain::Grain;
use crate::overprint::{PLATES, Tint};
use crate::plane::Plane;
use crate::proof::{ProofTones, Window};
use crate::units::{Millimetres, PointMm, PxPerMm};
use std::rc::Rc;

mod beneath;
mod export;
mod flat;
mod grounds;
mod inks;
mod joint;
mod kept;
mod layers;
mod pits;
mod shares;
mod shown;
mod table;
pub use export::{Export, ExportError};
pub use flat::{flat, flat_shown};
pub use grounds::Grounds;
pub use inks::{Blend, InkMap, Inks};
pub use joint::Joint;
pub use kept::{KeptError, KeptGrain, KeptTone, PlateFacts};
pub use pits::Pits;
pub use shares::{Shares, bare, shares};
pub use shown::{coloured, shown};

#[cfg(test)]
mod tests;
#[cfg(test)]
mod texture;

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

/// How a plate really came down: turned and scaled about the middle of its face, then moved. None is exact where all faces are of one size; where they are
/// not, see [`Misfit::centred`].
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

impl Misfit {
    /// The same for a plate with a face of another size than the one that the print is laid out by, width and height: middle on middle, as plates are
    /// laid down; corner on corner without this. A bevel is as wide on every side, so that the middle of a face is its plate's.
    #[must_use]
    pub fn centred(self, plate: (Millimetres, Millimetres), face: (Millimetres, Millimetres)) -> Self {
        let (x, y) = (0.5 * (face.0.0 - plate.0.0), 0.5 * (face.1.0 - plate.1.0));
        Self { shift: PointMm { x: self.shift.x + x, y: self.shift.y + y }, ..self }
    }
}

impl Printing<'_> {
    /// Where its face lies on the print.
    pub(crate) fn place(&self) -> Affine {
        let mm = |px: usize| self.plate.resolution.mm(px as f64).0;
        self.misfit.place(mm(self.plate.map.width()), mm(self.plate.map.height()))
    }
}

impl Pull<'_> {
    /// The plates that print: no more than can.
    fn printings(&self) -> &[Printing<'_>] {
        &self.printings[..self.printings.len().min(PLATES)]
    }

    /// How many plates before plate `p` have a grain of the same seed: they fell independently all the same, so each gets places of its own.
    #[must_use]
    pub fn apart(&self, p: usize) -> u64 {
        let seed = |printing: &Printing<'_>| printing.plate.grain.settings().seed;
        let printings = self.printings();
        let Some(own) = printings.get(p) else { return 0 };
        printings[..p].iter().filter(|before| seed(before) == seed(own)).count() as u64
    }
}

impl Grounds {
    /// A ground's colour; the bare sheet's where there is none.
    fn colour(&self, ground: u8) -> Rgb {
        self.colours.get(usize::from(ground)).or(self.colours.first()).copied().unwrap_or(Rgb::WHITE)
    }
}

/// The window with its grain, as sRGB bytes. `progress` hears the share done, 0..=1, rising.
#[must_use]
pub fn picture(pull: &Pull<'_>, window: &Window, lamp: Lamp, progress: &mut dyn FnMut(f32)) -> Plane<[u8; 3]> {
    let grains = grains(pull, window, &mut |share| progress(0.5 * share));
    let shown = by_grains(pull, &grains, window, lamp, &mut |share| progress(0.5 + 0.5 * share));
    progress(1.0);
    shown
}

/// The grain of each plate on its own raster, where the window is looked up.
fn grains(pull: &Pull<'_>, window: &Window, progress: &mut dyn FnMut(f32)) -> Vec<Option<Pits>> {
    let count = pull.printings().len() as f32;
    let of = |(p, printing): (usize, &Printing<'_>)| {
        Pits::suit(printing.plate, window)
            .then(|| Pits::of(printing.plate, pull.apart(p), &mut |share| progress((p as f32 + share) / count)))
    };
    pull.printings().iter().enumerate().map(of).collect()
}

/// A window of a pull whose grains are there.
fn by_grains(pull: &Pull<'_>, grains: &[Option<Pits>], window: &Window, lamp: Lamp, progress: &mut dyn FnMut(f32)) -> Plane<[u8; 3]> {
    let count = pull.printings().len() as f32 + 1.0;
    let seen: Vec<Rc<Shares>> = (pull.printings().iter().zip(grains).enumerate())
        .map(|(p, (printing, pits))| {
            Rc::new(shares(printing, pull.apart(p), pits.as_ref(), window, &mut |share| progress((p as f32 + share) / count)))
        })
        .collect();
    shown(pull, &Joint::of(pull, &seen, window), window, lamp)
}

/// Undercut of each tone, mm, infinite where no grain is to be seen: all of it is land.
fn undercuts(plate: &Plate) -> Vec<f64> {
    let of = |tone: u8| plate.undercuts.get(usize::from(tone)).copied().flatten().map_or(f64::INFINITY, |undercut| undercut.0);
    (0..=u8::MAX).map(of).map(|undercut| if undercut.is_nan() { f64::INFINITY } else { undercut }).collect()
}

/// Rows of the print view as the picture that the window asks for.
///
/// # Panics
/// Never: there is a value for each of the window's pixels.
fn finish<T: Copy>(window: &Window, mut data: Vec<T>) -> Plane<T> {
    if window.is_mirrored() {
        data.chunks_exact_mut(window.width()).for_each(<[T]>::reverse);
    }
    Plane::new(window.width(), window.height(), data).unwrap_or_else(|error| unreachable!("{error}"))
}
