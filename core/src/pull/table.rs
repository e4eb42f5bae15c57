//! The colours of all that meets in a pull: made once each, looked up by ground, tones and inks.

use super::beneath::OFF;
use super::{Blend, Inks, Printing, Pull};
use crate::colour::{Lamp, Rgb};
use crate::film::Film;
use crate::overprint::{Inking, Meeting, PLATES, Tint};
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

/// What meets at a point: the ground, and of each plate the tone with the blend of inks on it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Met {
    pub(super) ground: u8,
    pub(super) tones: [u8; PLATES],
    pub(super) blends: [u16; PLATES],
}

impl Met {
    /// All of it in one number.
    #[inline]
    fn key(&self) -> u128 {
        let tones = u32::from_le_bytes(self.tones);
        let blends = self.blends.iter().fold(0, |key, &blend| key << 16 | u64::from(blend));
        u128::from(blends) << 64 | u128::from(self.ground) << 32 | u128::from(tones)
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

/// Colour by the share of pits of each plate: `Σ over subsets of plates of coefficient · product of their shares`, so that all primaries
/// take part, each by its area. Three channels and one that is nothing: four go at once.
pub(super) type Coefficients = [[f32; 4]; 1 << PLATES];

/// The colours of a pull, made as they are asked for.
pub(super) struct Table<'a> {
    pull: &'a Pull<'a>,
    lamp: Lamp,
    inkings: [HashMap<(u8, u16), Inking>; PLATES],
    places: HashMap<u128, usize, BuildHasherDefault<Spread>>,
    colours: Vec<Coefficients>,
    means: Vec<[f32; 3]>,
    last: Option<(Met, usize)>,
}

impl<'a> Table<'a> {
    pub(super) fn new(pull: &'a Pull<'a>, lamp: Lamp) -> Self {
        let inkings = std::array::from_fn(|_| HashMap::new());
        Self { pull, lamp, inkings, places: HashMap::default(), colours: vec![], means: vec![], last: None }
    }

    /// The place of what meets.
    #[inline]
    pub(super) fn place(&mut self, met: &Met) -> usize {
        match self.last {
            Some((last, place)) if last == *met => place,
            _ => {
                let place = self.looked_up(met);
                self.last = Some((*met, place));
                place
            }
        }
    }

    /// Its colours by the shares of pits.
    #[inline]
    pub(super) fn colours(&self, place: usize) -> &Coefficients {
        &self.colours[place]
    }

    /// Its mean colour.
    #[inline]
    pub(super) fn mean(&self, place: usize) -> [f32; 3] {
        self.means[place]
    }

    fn looked_up(&mut self, met: &Met) -> usize {
        if let Some(&place) = self.places.get(&met.key()) {
            return place;
        }
        let ground = self.pull.grounds.colour(met.ground);
        let printings = self.pull.printings();
        let plates: Vec<Inking> = printings
            .iter()
            .enumerate()
            .map(|(p, printing)| {
                let (tone, blend) = (met.tones[p], met.blends[p]);
                *self.inkings[p].entry((tone, blend)).or_insert_with(|| inking(printing, tone, blend))
            })
            .collect();
        let met_there = Meeting::of(ground, &plates, self.pull.n);
        let mut colours = [[0.0; 3]; 1 << PLATES];
        for (colour, primary) in colours.iter_mut().zip(&met_there.primaries) {
            *colour = self.lamp.plainly(*primary).0;
        }
        // From primaries to coefficients: what a plate's pit changes, what two together change beyond that, and so on.
        for p in 0..plates.len() {
            for subset in (0..1 << plates.len()).filter(|subset| subset >> p & 1 == 1) {
                let without = colours[subset ^ 1 << p];
                colours[subset].iter_mut().zip(without).for_each(|(colour, without)| *colour -= without);
            }
        }
        self.colours.push(colours.map(|[r, g, b]| [r as f32, g as f32, b as f32, 0.0]));
        self.means.push(self.lamp.plainly(met_there.mean).0.map(|channel| channel as f32));
        let place = self.means.len() - 1;
        self.places.insert(met.key(), place);
        place
    }
}

impl Printing<'_> {
    /// One of its tones in its first ink.
    pub(crate) fn inking(&self, tone: u8) -> Inking {
        let first = Inks::one(self.inks.films.first().copied().unwrap_or_default());
        inking(&Printing { inks: &first, ..*self }, tone, 0)
    }
}

/// A tone of a printing in a blend of its inks.
fn inking(printing: &Printing<'_>, tone: u8, blend: u16) -> Inking {
    let bare = Tint { lands: 1.0, film: 0.0, veil: 0.0 };
    let tint = printing.plate.tints.get(usize::from(tone)).filter(|_| tone != OFF);
    let veil = if printing.veil > 0.0 { printing.veil } else { 0.0 };
    // Plate tone lies over the pits' ink as well: a neutral one so takes the same share of the light everywhere.
    let tint = tint.map_or(bare, |tint| Tint { lands: tint.lands, film: tint.film + veil, veil: tint.veil + veil });
    Inking::new(tint, &printing.inks.film(blend), printing.trap)
}

impl Inks {
    /// The film of a blend of [`super::InkMap::blends`]; without zones the first film.
    fn film(&self, blend: u16) -> Film {
        let first = self.films.first().copied().unwrap_or_default();
        let Some(zones) = &self.zones else { return first };
        let Blend { one, other, sixteenths } = zones.blends.get(usize::from(blend)).copied().unwrap_or_default();
        let film = |which: u8| self.films.get(usize::from(which)).copied().unwrap_or(first);
        let (one, other, share) = (film(one), film(other), f64::from(sixteenths.min(16)) / 16.0);
        let mixed = |one: Rgb, other: Rgb| one.with(other, |one, other| one + (other - one) * share);
        Film { absorption: mixed(one.absorption, other.absorption), scatter: mixed(one.scatter, other.scatter) }
    }
}

/// The colour at these shares of pits, the first plate's first; `N` is two to the number of plates.
#[inline(always)]
pub(super) fn mixed<const N: usize>(colours: &Coefficients, pits: &[f32; PLATES]) -> [f32; 4] {
    // Plate by plate from the last, written out: nothing is looped over when it runs.
    let last = |i: usize| if N >= 16 { with(colours[i], colours[i + 8], pits[3]) } else { colours[i] };
    let third = |i: usize| if N >= 8 { with(last(i), last(i + 4), pits[2]) } else { last(i) };
    let second = |i: usize| if N >= 4 { with(third(i), third(i + 2), pits[1]) } else { third(i) };
    if N >= 2 { with(second(0), second(1), pits[0]) } else { second(0) }
}

/// Takes one plate in: what is without its pit, and what the pit changes.
#[inline(always)]
fn with(without: [f32; 4], change: [f32; 4], pits: f32) -> [f32; 4] {
    [without[0] + pits * change[0], without[1] + pits * change[1], without[2] + pits * change[2], without[3] + pits * change[3]]
}

#[cfg(test)]
mod tests {
    use super::super::tests::{alone, ink, plate, pulled};
    use super::*;
    use crate::plane::Plane;
    use crate::pull::Grounds;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_shares_mix_as_demichel_says(pits in prop::array::uniform4(0.0..1.0f64), tones in prop::array::uniform4(0..10u8), trap in 0.0..1.0f64) {
            let plates: Vec<_> = (0..4).map(|i| plate(i, Plane::filled(2, 2, 0))).collect();
            let inks = [ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1]), ink([0.1, 0.15, 1.1]), ink([0.8, 0.8, 0.8])];
            let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
            let printings: Vec<_> = (0..4).map(|p| Printing { trap, ..alone(&plates[p], &inks[p]) }).collect();
            for count in 0..=4 {
                let pull = pulled(&grounds, &printings[..count]);
                let mut table = Table::new(&pull, Lamp::Daylight);
                let place = table.place(&Met { tones, ..Met::default() });
                let share = pits.map(|pits| pits as f32);
                let colours = table.colours(place);
                let got = match count {
                    0 => mixed::<1>(colours, &share),
                    1 => mixed::<2>(colours, &share),
                    2 => mixed::<4>(colours, &share),
                    3 => mixed::<8>(colours, &share),
                    _ => mixed::<16>(colours, &share),
                };
                // Demichel 1924: each subset of plates by the product of their shares of pit and of the others' of land.
                let plates: Vec<Inking> = (0..count).map(|p| inking(&printings[p], tones[p], 0)).collect();
                let met = Meeting::of(grounds.colours[0], &plates, pull.n);
                for channel in 0..3 {
                    let wanted: f64 = met
                        .primaries
                        .iter()
                        .enumerate()
                        .map(|(subset, light)| {
                            let weight: f64 = (0..count).map(|p| if subset >> p & 1 == 1 { pits[p] } else { 1.0 - pits[p] }).product();
                            weight * light.0[channel]
                        })
                        .sum();
                    prop_assert!((f64::from(got[channel]) - wanted).abs() < 1e-5, "{count} {channel}: {got:?} {wanted}");
                }
            }
        }
    }
}
