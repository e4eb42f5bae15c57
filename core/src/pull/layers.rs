//! What lies in each pixel of a row besides the plates' tones: the ground, and the blend of inks at its middle.

use super::Pull;
use super::beneath::{Beneath, MIXED, OFF, run};
use super::shares::Part;
use crate::affine::Affine;
use crate::overprint::PLATES;
use crate::proof::Window;

/// Grounds and blends of a window, row by row.
pub(super) struct Layers<'a> {
    grounds: Option<Beneath<'a, u8>>,
    zones: Vec<Option<Beneath<'a, u16>>>,
    /// The ground of each pixel of the row, or [`MIXED`].
    pub(super) ground: Vec<u8>,
    /// The blend at the middle of each pixel of the row, by plate. A border of two inks is smooth: its middle stands for a pixel.
    pub(super) blends: [Vec<u16>; PLATES],
}

impl<'a> Layers<'a> {
    pub(super) fn new(pull: &'a Pull<'a>, window: &Window) -> Self {
        let grounds = pull.grounds.map.as_ref().map(|(map, resolution)| Beneath::new(map, *resolution, Affine::NONE, window));
        let zones = pull.printings().iter().map(|printing| {
            let zones = printing.inks.zones.as_ref()?;
            Some(Beneath::new(&zones.map, zones.resolution, printing.place(), window))
        });
        let width = window.width();
        Self { grounds, zones: zones.collect(), ground: vec![0; width], blends: std::array::from_fn(|_| vec![0; width]) }
    }

    /// Moves to a row.
    pub(super) fn row(&mut self, y: usize) {
        if let Some(grounds) = &mut self.grounds {
            grounds.row(y, &mut self.ground);
            // Off the face lies the bare sheet.
            self.ground.iter_mut().filter(|ground| **ground == OFF).for_each(|ground| *ground = 0);
        }
        for (zones, blends) in self.zones.iter_mut().zip(&mut self.blends) {
            if let Some(zones) = zones {
                zones.middles(y, blends);
            }
        }
    }

    /// Where the run of one ground and one blend on each plate that begins at `from` ends, at `end` at the latest.
    pub(super) fn run(&self, from: usize, mut end: usize) -> usize {
        if self.grounds.is_some() {
            end = run(&self.ground, from, end);
        }
        for (zones, blends) in self.zones.iter().zip(&self.blends) {
            if zones.is_some() {
                end = run(blends, from, end);
            }
        }
        end
    }

    /// The grounds in a mixed pixel with their points and areas.
    pub(super) fn grounds(&mut self, x: usize, y: usize, found: &mut Vec<Part>) {
        match &mut self.grounds {
            Some(grounds) if self.ground[x] == MIXED => {
                grounds.parts(x, y, None, found);
                // Off the face lies the bare sheet.
                found.iter_mut().filter(|part| part.tone == OFF).for_each(|part| part.tone = 0);
            }
            _ => {
                found.clear();
                found.push(Part { tone: self.ground[x], pits: 0, area: 1.0, points: u64::MAX });
            }
        }
    }
}
