//! Frozen: what is painted stays as it is painted, whatever is planned afterwards.
//!
//! When a stop-out is ticked, the map it was painted by is kept ([`KeptMap`]). What is covered by then keeps its tone in every later map, and
//! what is bare may still become any tone from there on: `S_i` of every stop-out painted stays the same to the pixel, whatever happens to
//! breaks, marks, hand, resist or the count of tones. What a later plan would have otherwise there is no plan any more but a wish ([`Wishes`]),
//! for burnisher and regraining after the proof.

use crate::aside::{Aside, BY_HAND, RESIST, Zones};
use crate::bits::BitPlane;
use crate::components::Components;
use crate::distance::squared_to_other;
use crate::islands::{Island, pieces};
use crate::plane::Plane;
use crate::plate::Plate;
use crate::replan::Aimed;
use crate::stopouts::StopOuts;
use crate::tones::{StepMap, ToneCount};
use crate::units::{Millimetres, PxPerMm};
use serde::{Deserialize, Serialize};
use std::fmt;

mod kept;
mod locked;
pub use locked::locked;

/// What is kept beside a map, so that it stands for itself.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KeptFacts {
    /// The stop-out that was ticked with it: it holds for all up to this one.
    pub painted: usize,
    /// Outer width, outer height and bevel of the plate, mm.
    pub plate_mm: (f64, f64, f64),
    /// Pixels a millimetre.
    pub px_per_mm: f64,
    /// L* of the drawing at which tones changed.
    pub breaks: Vec<f64>,
    /// What the bites were aimed at.
    pub aimed: Aimed,
}

/// A map that was painted by: the zones of the face, print view, and what goes with them.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptMap {
    zones: Plane<u8>,
    facts: KeptFacts,
}

/// A kept map that can't be used.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum FrozenError {
    /// It can't be read.
    Picture(
        /// What the reader said.
        String,
    ),
    /// Plate, bevel or resolution are others than it was painted by.
    Plate {
        /// The last stop-out painted.
        painted: usize,
        /// What it was painted by, in words.
        was: String,
    },
}

impl fmt::Display for FrozenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Picture(cause) => {
                write!(f, "The map that this plate was painted by can't be read ({cause}): open the work from an earlier copy.")
            }
            Self::Plate { painted, was } => write!(
                f,
                "Stop-out {painted} is painted on {was}: what is on the metal keeps its size and its grid. Set plate, bevel and pixels a \
                 millimetre back to these, or begin a new plate."
            ),
        }
    }
}

impl std::error::Error for FrozenError {}

/// A map with what is painted in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Frozen {
    /// The step map.
    pub map: StepMap,
    /// What is set aside in it, and its zones.
    pub aside: (Aside, Option<Zones>),
}

/// What a plan wants and the metal can't give any more.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wishes {
    /// Wanted lighter than it is bitten: to be burnished after the proof.
    pub lighter: Vec<Island>,
    /// Wanted darker, but covered: to be grained and bitten once more.
    pub darker: Vec<Island>,
    /// Share of the face of all of the first kind, 0..=1.
    pub lighter_share: f64,
    /// The same of the second.
    pub darker_share: f64,
}

/// Values of [`Wishes::map`].
pub const LIGHTER: u8 = 0;
/// See [`LIGHTER`].
pub const DARKER: u8 = 1;
/// See [`LIGHTER`].
pub const NO_WISH: u8 = u8::MAX;

/// How wide a place must be somewhere to be a wish: nothing finer is burnished, or grained anew. Estimate of ours.
pub const LEAST_WISH: Millimetres = Millimetres(0.5);

/// The zones of a map: the tones, and what is set aside.
fn zones_of<'a>(map: &'a StepMap, zones: Option<&'a Zones>) -> &'a Plane<u8> {
    zones.map_or(map.plane(), Zones::plane)
}

/// Whether a zone is covered once stop-out `painted` is.
fn covered(zone: u8, painted: usize) -> bool {
    zone == RESIST || (zone != BY_HAND && usize::from(zone) < painted)
}

impl KeptMap {
    /// A map as it stands.
    #[must_use]
    pub fn of(map: &StepMap, zones: Option<&Zones>, facts: KeptFacts) -> Self {
        Self { zones: zones_of(map, zones).clone(), facts }
    }

    /// The map of stop-outs, as they stand.
    #[must_use]
    pub fn painted_by(stop_outs: &StopOuts, facts: KeptFacts) -> Self {
        Self { zones: stop_outs.zones().clone(), facts }
    }

    /// What goes with it.
    #[must_use]
    pub fn facts(&self) -> &KeptFacts {
        &self.facts
    }

    /// The zones as they were painted.
    #[must_use]
    pub fn zones(&self) -> &Plane<u8> {
        &self.zones
    }

    /// Whether it was made for this plate.
    ///
    /// # Errors
    /// When plate, bevel, resolution or the map's size are others.
    pub fn check(&self, plate: &Plate, resolution: PxPerMm, painted: usize) -> Result<(), FrozenError> {
        let (size, bevel) = (plate.size(), plate.bevel());
        let now = [size.width.0, size.height.0, bevel.0, resolution.0];
        let (width, height, was_bevel) = self.facts.plate_mm;
        let was = [width, height, was_bevel, self.facts.px_per_mm];
        if now.iter().zip(&was).all(|(now, was)| (now - was).abs() < 1e-9) {
            // Made by this program, plate and resolution give the size; a file that was tampered with is told apart here.
            let fits = plate.raster(resolution).is_ok_and(|size| size == (self.zones.width(), self.zones.height()));
            return if fits { Ok(()) } else { Err(FrozenError::Picture("it has not the size of this face".to_owned())) };
        }
        let was =
            format!("a plate of {width} × {height} mm with a bevel of {was_bevel} mm, at {} pixels a millimetre", self.facts.px_per_mm);
        Err(FrozenError::Plate { painted, was })
    }
}

/// A later map with what is painted in it: what stop-outs 1 to `painted` cover keeps its zone, and the rest has the later tone, but none
/// lighter than `painted` can still be made. A resist that a later plan lays over bare metal is painted at the next stop-out.
///
/// Tones whose bites are `dropped` print as the tone before: what of those is still bare is painted together, at the stop-out of the last.
///
/// # Panics
/// When map, zones and kept map differ in size, or `painted` is not below the count of tones.
#[must_use]
pub fn frozen(map: &StepMap, zones: Option<&Zones>, kept: &KeptMap, painted: usize, dropped: &[usize]) -> Frozen {
    let tones = map.tones();
    assert!(painted < tones.get(), "a painted stop-out is one of the plate's");
    let later = zones_of(map, zones);
    let (width, height) = (later.width(), later.height());
    assert!((width, height) == (kept.zones.width(), kept.zones.height()), "both maps are of one face");
    let (mut resist, mut by_hand) = (BitPlane::empty(width, height), BitPlane::empty(width, height));
    let mut plane = Plane::filled(width, height, 0u8);
    let join = joins(tones, painted, dropped);
    for y in 0..height {
        let (now, was, planned) = (later.row(y), kept.zones.row(y), map.plane().row(y));
        let row = &mut plane.data_mut()[y * width..(y + 1) * width];
        for x in 0..width {
            let (zone, tone) = one(now[x], was[x], painted, planned[x]);
            match zone {
                Zone::Tone if covered(was[x], painted) => row[x] = tone,
                Zone::Tone => row[x] = join[usize::from(tone)],
                Zone::Resist => resist.set_stretch(y, x, x + 1),
                Zone::ByHand => {
                    by_hand.set_stretch(y, x, x + 1);
                    row[x] = join[usize::from(tone)];
                }
            }
        }
    }
    let aside = Aside::new(Some(resist), Some(by_hand));
    let (map, zones) = aside.applied(StepMap::new(tones, plane));
    Frozen { map, aside: (aside, zones) }
}

#[derive(Clone, Copy, PartialEq)]
enum Zone {
    Tone,
    Resist,
    ByHand,
}

/// What a pixel is: its later zone, its kept one, and the tone that the later map has there.
fn one(now: u8, was: u8, painted: usize, planned: u8) -> (Zone, u8) {
    if covered(was, painted) {
        return if was == RESIST { (Zone::Resist, 0) } else { (Zone::Tone, was) };
    }
    match now {
        // Ground that was not on from the start is no ground for the bites so far.
        RESIST if painted == 0 => (Zone::Resist, 0),
        RESIST => (Zone::Tone, painted as u8),
        BY_HAND => (Zone::ByHand, (planned as usize).max(painted) as u8),
        tone => (Zone::Tone, usize::from(tone).max(painted) as u8),
    }
}

/// Of bare metal, the tone that a tone is painted as: where the bite that would part it from the next is dropped, as the next.
fn joins(tones: ToneCount, painted: usize, dropped: &[usize]) -> Vec<u8> {
    (0..tones.get())
        .map(|tone| {
            let mut tone = tone;
            while tone + 1 < tones.get() && tone >= painted && dropped.contains(&(tone + 1)) {
                tone += 1;
            }
            tone as u8
        })
        .collect()
}

impl Wishes {
    /// Where a later map has another print than the metal can give: [`LIGHTER`], [`DARKER`] or [`NO_WISH`] a pixel. `map` and `zones` are the
    /// later plan's own, before [`frozen()`].
    ///
    /// # Panics
    /// When the sizes differ.
    #[must_use]
    pub fn map(map: &StepMap, zones: Option<&Zones>, kept: &KeptMap, painted: usize, dropped: &[usize]) -> Plane<u8> {
        let later = zones_of(map, zones);
        assert!((later.width(), later.height()) == (kept.zones.width(), kept.zones.height()), "both maps are of one face");
        // Tones whose bites are dropped print as the one before.
        let prints: Vec<u8> = (0..=u8::MAX)
            .map(|tone| {
                let mut tone = tone;
                while dropped.contains(&usize::from(tone)) {
                    tone -= 1;
                }
                tone
            })
            .collect();
        let (bare, width) = (prints[painted], later.width());
        Plane::from_fn(width, later.height(), |x, y| {
            let at = y * width + x;
            let (now, was) = (later.data()[at], kept.zones.data()[at]);
            if !covered(was, painted) {
                let wanted = if now == RESIST { 0 } else { prints[usize::from(now)] };
                return if now != BY_HAND && painted > 0 && wanted < bare { LIGHTER } else { NO_WISH };
            }
            let is = if was == RESIST { 0 } else { prints[usize::from(was)] };
            let wanted = match now {
                RESIST => 0,
                // To be worked by hand it would have to be bare.
                BY_HAND => return DARKER,
                tone => prints[usize::from(tone)],
            };
            match wanted.cmp(&is) {
                std::cmp::Ordering::Less => LIGHTER,
                std::cmp::Ordering::Equal => NO_WISH,
                std::cmp::Ordering::Greater => DARKER,
            }
        })
    }

    /// Such a map without the pieces that are nowhere [`LEAST_WISH`] wide: an edge that clean-up lays a hair elsewhere is no wish.
    #[must_use]
    pub fn worth(map: &Plane<u8>, resolution: PxPerMm) -> Plane<u8> {
        let wide = resolution.px(LEAST_WISH);
        let depths = squared_to_other(map, libm::ceil(wide / 2.0) as usize + 1);
        let pieces = Components::of(map);
        let width = map.width();
        let mut worth = vec![false; pieces.count()];
        // A stretch of w pixels is (w + 1) / 2 deep in its middle.
        pieces.each_stretch(|y, start, end, piece| {
            worth[piece] |= depths.data()[y * width + start..y * width + end].iter().any(|&d| 2.0 * libm::sqrt(f64::from(d)) - 1.0 >= wide);
        });
        let mut kept = map.clone();
        pieces.each_stretch(|y, start, end, piece| {
            if !worth[piece] {
                kept.data_mut()[y * width + start..y * width + end].fill(NO_WISH);
            }
        });
        kept
    }

    /// The pieces of such a map, the largest first.
    #[must_use]
    pub fn of(map: &Plane<u8>, resolution: PxPerMm) -> Self {
        let count = |kind: u8| map.data().iter().filter(|&&value| value == kind).count();
        let face = map.data().len() as f64;
        let (lighter, darker) = (count(LIGHTER), count(DARKER));
        if lighter + darker == 0 {
            return Self::default();
        }
        let of = |kind: u8, count: usize| {
            if count == 0 {
                return Vec::new();
            }
            let mut list = pieces(&map.map(|&value| if value == kind { kind } else { NO_WISH }), NO_WISH, resolution);
            list.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2).then(a.at.y.total_cmp(&b.at.y)).then(a.at.x.total_cmp(&b.at.x)));
            list
        };
        Self {
            lighter: of(LIGHTER, lighter),
            darker: of(DARKER, darker),
            lighter_share: lighter as f64 / face,
            darker_share: darker as f64 / face,
        }
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_none(&self) -> bool {
        self.lighter.is_empty() && self.darker.is_empty()
    }
}

#[cfg(test)]
mod tests;
