//! What meets where under a window, without a colour: which pixels lie on one and the same tuple of ground, tones and inks, and what each of
//! the others falls into. Ink, trap, lamp and the colours of papers leave it as it is, so a changed colour makes the tuples' colours anew and
//! nothing else.

use super::beneath::{MIXED, run};
use super::layers::Layers;
use super::shares::{Part, Shares, bare};
use super::table::Met;
use super::{Plate, Printing, Pull};
use crate::overprint::PLATES;
use crate::proof::Window;
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};
use std::rc::Rc;

/// Where several plates' shares, the grounds and the zones of ink meet under one window. Made by [`Joint::of`], coloured by
/// [`super::shown()`].
#[derive(Clone, Debug)]
pub struct Joint {
    pub(super) window: Window,
    /// The shares of the plates that take part.
    pub(super) seen: Vec<Rc<Shares>>,
    /// Which printings of the pull they are.
    pub(super) plates: Vec<usize>,
    /// All that meets somewhere.
    pub(super) met: Vec<Met>,
    /// Runs of pixels along the rows, row after row; none goes on into the next row.
    pub(super) runs: Vec<Run>,
    /// Where each mixed pixel's pieces begin, and one more for the end of the last.
    pub(super) starts: Vec<u32>,
    /// Pieces of the mixed pixels.
    pub(super) pieces: Vec<Piece>,
}

/// Pixels side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Run {
    /// How many.
    pub(super) length: u32,
    /// Where what meets there stands in [`Joint::met`], or [`Run::PIECES`].
    pub(super) met: u32,
}

impl Run {
    /// For mixed pixels.
    pub(super) const PIECES: u32 = u32::MAX;
}

/// A part of a mixed pixel where one tuple meets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Piece {
    /// Its place in [`Joint::met`].
    pub(super) met: u32,
    /// Its share of the pixel, 0..=1.
    pub(super) weight: f32,
    /// Share of pits of each plate, of its [`Shares::full`].
    pub(super) pits: [u8; PLATES],
}

impl Joint {
    /// Looks where the shares of the pull's plates meet under a window. What has no share, or one for another window, is left out, as a
    /// plate that was not inked.
    #[must_use]
    pub fn of(pull: &Pull<'_>, seen: &[Rc<Shares>], window: &Window) -> Self {
        let window = window.print_view();
        let printings = pull.printings();
        let plates: Vec<usize> = (0..printings.len().min(seen.len())).filter(|&p| seen[p].window == window).collect();
        let here: Vec<Printing<'_>> = plates.iter().map(|&p| printings[p]).collect();
        let those = Pull { printings: &here, ..*pull };
        let mut layers = Layers::new(&those, &window);
        let mut joint = Self {
            window,
            seen: plates.iter().map(|&p| Rc::clone(&seen[p])).collect(),
            plates,
            met: vec![],
            runs: vec![],
            starts: vec![],
            pieces: vec![],
        };
        joint.look(&mut layers);
        joint
    }

    /// The same without grain, for mean colours.
    #[must_use]
    pub fn bare(pull: &Pull<'_>, window: &Window) -> Self {
        let seen: Vec<Rc<Shares>> = pull.printings().iter().map(|printing| Rc::new(bare(printing, window))).collect();
        Self::of(pull, &seen, window)
    }

    /// Bytes it holds besides the shares, for whoever keeps some.
    #[must_use]
    pub fn bytes(&self) -> usize {
        self.met.len() * size_of::<Met>()
            + self.runs.len() * size_of::<Run>()
            + self.starts.len() * 4
            + self.pieces.len() * size_of::<Piece>()
    }

    fn look(&mut self, layers: &mut Layers<'_>) {
        let (width, height) = (self.window.width(), self.window.height());
        let seen = self.seen.clone();
        let mut places = Places::default();
        let mut pieces = Pieces::default();
        // The tones of all plates at a pixel in one number.
        let mut keys = vec![0u32; width];
        for y in 0..height {
            layers.row(y);
            keys.fill(0);
            for (p, shares) in seen.iter().enumerate() {
                for (key, &tone) in keys.iter_mut().zip(&shares.tones[y * width..]) {
                    *key |= u32::from(tone) << (8 * p);
                }
            }
            let mut next: [usize; PLATES] = std::array::from_fn(|p| seen.get(p).map_or(0, |shares| shares.before[y] as usize));
            let mut x = 0;
            while x < width {
                let met =
                    Met { ground: layers.ground[x], tones: keys[x].to_le_bytes(), blends: std::array::from_fn(|p| layers.blends[p][x]) };
                if met.ground == MIXED || met.tones[..seen.len()].contains(&MIXED) {
                    match self.runs.last_mut().filter(|run| run.met == Run::PIECES && x > 0) {
                        Some(run) => run.length += 1,
                        None => self.runs.push(Run { length: 1, met: Run::PIECES }),
                    }
                    self.starts.push(self.pieces.len() as u32);
                    let pixel = Pixel { met, seen: &seen, at: y * width + x };
                    layers.grounds(x, y, &mut pieces.grounds);
                    pieces.of(&pixel, &mut next, |met, weight, pits| {
                        let met = places.place(&met, &mut self.met);
                        self.pieces.push(Piece { met, weight, pits });
                    });
                    x += 1;
                    continue;
                }
                let end = layers.run(x, run(&keys, x, width));
                self.runs.push(Run { length: (end - x) as u32, met: places.place(&met, &mut self.met) });
                x = end;
            }
        }
        self.starts.push(self.pieces.len() as u32);
    }
}

/// Where each tuple stands.
#[derive(Default)]
struct Places {
    places: HashMap<u128, u32, BuildHasherDefault<Spread>>,
    last: Option<(Met, u32)>,
}

impl Places {
    #[inline]
    fn place(&mut self, met: &Met, all: &mut Vec<Met>) -> u32 {
        match self.last {
            Some((last, place)) if last == *met => place,
            _ => {
                let place = *self.places.entry(met.key()).or_insert_with(|| {
                    all.push(*met);
                    all.len() as u32 - 1
                });
                self.last = Some((*met, place));
                place
            }
        }
    }
}

/// Spreads a key over the table: keys are our own and nobody's to choose, so speed is all.
#[derive(Default)]
struct Spread(u64);

impl Hasher for Spread {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|&byte| self.write_u128(u128::from(byte)));
    }

    #[inline]
    fn write_u128(&mut self, key: u128) {
        let mixed = (self.0 ^ key as u64 ^ ((key >> 64) as u64).rotate_left(40)).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        self.0 = mixed ^ mixed >> 32;
    }
}

/// A mixed pixel.
struct Pixel<'a> {
    met: Met,
    seen: &'a [Rc<Shares>],
    at: usize,
}

/// What a mixed pixel falls into: every pairing of parts that have points in common.
#[derive(Default)]
struct Pieces {
    grounds: Vec<Part>,
    found: Vec<(Met, u64, [u8; PLATES])>,
    more: Vec<(Met, u64, [u8; PLATES])>,
}

impl Pieces {
    /// Hears each piece. `next` counts the mixed pixels of each plate.
    fn of(&mut self, pixel: &Pixel<'_>, next: &mut [usize; PLATES], mut hear: impl FnMut(Met, f32, [u8; PLATES])) {
        let Pixel { met, seen, at } = *pixel;
        let mut pits: [u8; PLATES] = std::array::from_fn(|p| seen.get(p).and_then(|shares| shares.pits.get(at)).copied().unwrap_or(0));
        let mut parts: [&[Part]; PLATES] = [&[]; PLATES];
        let mut mixed = usize::from(met.ground == MIXED);
        for (p, shares) in seen.iter().enumerate() {
            if met.tones[p] == MIXED {
                parts[p] = shares.parts_of(next[p]);
                next[p] += 1;
                mixed += 1;
            }
        }
        let whole = |points: u64| points.count_ones() as f32 / 64.0;
        if mixed == 1 {
            // One thing alone is split: no parts need be paired, and areas are known exactly.
            if met.ground == MIXED {
                for ground in &self.grounds {
                    let mut here = met;
                    here.ground = ground.tone;
                    hear(here, ground.area, pits);
                }
                return;
            }
            let Some(p) = parts.iter().position(|parts| !parts.is_empty()) else { return };
            for part in parts[p] {
                let mut met = met;
                met.tones[p] = part.tone;
                pits[p] = part.pits;
                hear(met, part.area, pits);
            }
            return;
        }
        self.found.clear();
        for ground in &self.grounds {
            let mut here = met;
            here.ground = ground.tone;
            self.found.push((here, ground.points, pits));
        }
        for (p, parts) in parts.iter().enumerate().filter(|(_, parts)| !parts.is_empty()) {
            self.more.clear();
            for (met, points, pits) in &self.found {
                for part in parts.iter().filter(|part| part.points & points != 0) {
                    let (mut met, mut pits) = (*met, *pits);
                    met.tones[p] = part.tone;
                    pits[p] = part.pits;
                    self.more.push((met, points & part.points, pits));
                }
            }
            std::mem::swap(&mut self.found, &mut self.more);
        }
        for (met, points, pits) in &self.found {
            hear(*met, whole(*points), *pits);
        }
    }
}

/// Whether a plate's tone has no pits at all: it is land all over, or lies off the face.
pub(super) fn all_land(plate: &Plate, tone: u8) -> bool {
    plate.undercuts.get(usize::from(tone)).copied().flatten().is_none_or(|undercut| !undercut.0.is_finite())
}
