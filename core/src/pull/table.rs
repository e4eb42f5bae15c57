//! The colours of what meets in a pull, by ground, tones and inks.

use super::beneath::OFF;
use super::joint::{Joint, all_land};
use super::{Blend, Inks, Printing, Pull, Shares};
use crate::colour::{Lamp, Rgb};
use crate::film::Film;
use crate::overprint::{Clear, Inking, Meeting, PLATES, Tint, root_of};
use std::collections::HashMap;

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
    pub(super) fn key(&self) -> u128 {
        let tones = u32::from_le_bytes(self.tones);
        let blends = self.blends.iter().fold(0, |key, &blend| key << 16 | u64::from(blend));
        u128::from(blends) << 64 | u128::from(self.ground) << 32 | u128::from(tones)
    }
}

/// Colour by the share of pits of each plate, of what stands for a whole pixel of them: `Σ over subsets of plates of coefficient · product
/// of their shares`, so that all primaries take part, each by its area. Three channels and one that is nothing: four go at once.
pub(super) type Coefficients = [[f32; 4]; 1 << PLATES];

/// The colours where one tuple meets.
#[derive(Clone, Debug)]
pub(super) struct Colours {
    pub(super) by: Coefficients,
    /// Which plates have pits there: the coefficients are of their subsets alone.
    pub(super) plates: [u8; PLATES],
    pub(super) count: u8,
}

/// A tone of a plate with a blend of its inks, and the same by roots where no film scatters.
type Inked = (Inking, Option<Clear>);

/// Makes the colours of a pull.
pub(super) struct Table<'a> {
    lamp: Lamp,
    n: f64,
    grounds: Vec<(Rgb, Rgb)>,
    /// The plates that take part, and a share of one of their pixels that is all pits, upside down.
    printings: Vec<(Printing<'a>, f64)>,
    inkings: [HashMap<(u8, u16), Inked>; PLATES],
}

impl<'a> Table<'a> {
    pub(super) fn new(pull: &Pull<'a>, joint: &Joint, lamp: Lamp) -> Self {
        let whole = |shares: &Shares| 1.0 / f64::from(shares.full.max(1));
        let printings = joint.plates.iter().zip(&joint.seen).filter_map(|(&p, shares)| Some((*pull.printings.get(p)?, whole(shares))));
        let grounds = (0..=u8::MAX).map(|ground| pull.grounds.colour(ground)).map(|colour| (colour, root_of(colour, pull.n)));
        let inkings = std::array::from_fn(|_| HashMap::new());
        Self { lamp, n: pull.n, grounds: grounds.collect(), printings: printings.collect(), inkings }
    }

    /// The mean colour where a tuple meets.
    pub(super) fn mean(&mut self, met: &Met) -> [f32; 3] {
        self.lamp.plainly(self.met(met).0).0.map(|channel| channel as f32)
    }

    /// The colours by the shares of pits where a tuple meets.
    pub(super) fn colours(&mut self, met: &Met) -> Colours {
        let primaries = self.met(met).1;
        let (mut plates, mut count) = ([0; PLATES], 0);
        for (p, (printing, _)) in self.printings.iter().enumerate() {
            if !all_land(printing.plate, met.tones[p]) {
                plates[count] = p as u8;
                count += 1;
            }
        }
        // Primaries of the subsets of those that have pits.
        let mut colours = [[0.0; 3]; 1 << PLATES];
        for (subset, colour) in colours.iter_mut().enumerate().take(1 << count) {
            let of_all = (0..count).filter(|k| subset >> k & 1 == 1).fold(0, |all, k| all | 1 << plates[k]);
            *colour = self.lamp.plainly(primaries[of_all]).0;
        }
        // From primaries to coefficients: what a plate's pit changes, what two together change beyond that, and so on.
        for k in 0..count {
            let whole = self.printings[usize::from(plates[k])].1;
            for subset in (0..1 << count).filter(|subset| subset >> k & 1 == 1) {
                let without = colours[subset ^ 1 << k];
                colours[subset].iter_mut().zip(without).for_each(|(colour, without)| *colour -= without);
            }
            for subset in (0..1 << count).filter(|subset| subset >> k & 1 == 1) {
                colours[subset].iter_mut().for_each(|colour| *colour *= whole);
            }
        }
        Colours { by: colours.map(|[r, g, b]| [r as f32, g as f32, b as f32, 0.0]), plates, count: count as u8 }
    }

    /// The mean, and the primaries of all subsets of the plates that take part.
    fn met(&mut self, met: &Met) -> (Rgb, [Rgb; 1 << PLATES]) {
        let n = self.n;
        let mut plates: Vec<Inked> = Vec::with_capacity(PLATES);
        for (p, ((printing, _), inkings)) in self.printings.iter().zip(&mut self.inkings).enumerate() {
            let (tone, blend) = (met.tones[p], met.blends[p]);
            plates.push(*inkings.entry((tone, blend)).or_insert_with(|| {
                let inking = inking(printing, tone, blend);
                (inking, inking.clear(n))
            }));
        }
        let (ground, root) = self.grounds[usize::from(met.ground)];
        let mut clear = [Clear::NONE; PLATES];
        if plates.iter().zip(&mut clear).all(|((_, from), to)| {
            from.is_some_and(|from| {
                *to = from;
                true
            })
        }) {
            return Clear::met(root, &clear[..plates.len()], n);
        }
        let inkings: Vec<Inking> = plates.iter().map(|(inking, _)| *inking).collect();
        let Meeting { mean, primaries } = Meeting::of(ground, &inkings, n);
        let mut all = [Rgb::default(); 1 << PLATES];
        all.iter_mut().zip(primaries).for_each(|(all, primary)| *all = primary);
        (mean, all)
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

#[cfg(test)]
mod tests {
    use super::super::tests::{alone, ink, plate, pulled, window};
    use super::*;
    use crate::plane::Plane;
    use crate::pull::{Grounds, bare};
    use proptest::prelude::*;
    use std::rc::Rc;

    proptest! {
        #[test]
        fn any_shares_mix_as_demichel_says(pits in prop::array::uniform4(0.0..1.0f64), tones in prop::array::uniform4(0..10u8), trap in 0.0..1.0f64) {
            let plates: Vec<_> = (0..4).map(|i| plate(i, Plane::filled(2, 2, 0))).collect();
            let inks = [ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1]), ink([0.1, 0.15, 1.1]), ink([0.8, 0.8, 0.8])];
            let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
            let printings: Vec<_> = (0..4).map(|p| Printing { trap, ..alone(&plates[p], &inks[p]) }).collect();
            for count in 0..=4 {
                let pull = pulled(&grounds, &printings[..count]);
                let at = window(0.0, 0.0, 1.0, 1);
                let seen: Vec<Rc<Shares>> = pull.printings.iter().map(|printing| Rc::new(bare(printing, &at))).collect();
                let joint = Joint::of(&pull, &seen, &at);
                let Colours { by, plates: with_pits, count: kinds } = Table::new(&pull, &joint, Lamp::Daylight).colours(&Met { tones, ..Met::default() });
                // The polynomial written out; a plate that is land all over takes no part, whatever its share.
                let got: [f64; 3] = std::array::from_fn(|channel| {
                    (0..1usize << kinds)
                        .map(|subset| {
                            let share: f64 = (0..usize::from(kinds)).filter(|k| subset >> k & 1 == 1).map(|k| pits[usize::from(with_pits[k])]).product();
                            f64::from(by[subset][channel]) * share
                        })
                        .sum()
                });
                let pits: Vec<f64> = (0..count).map(|p| if all_land(printings[p].plate, tones[p]) { 0.0 } else { pits[p] }).collect();
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
                    prop_assert!((got[channel] - wanted).abs() < 1e-5, "{count} {channel}: {got:?} {wanted}");
                }
            }
        }
    }
}
