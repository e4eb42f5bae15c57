//! Tones: how many, at which lightness they print, and where the drawing is cut between them.

use crate::light::Lightness;
use crate::plane::Plane;
use serde::{Deserialize, Serialize};
use std::fmt;

mod breaks;
mod targets;
pub use breaks::{Breaks, BreaksError, Histogram, even, fitted};
pub use targets::{Targets, TargetsError};

/// The number of tones of a plate, 2 to 16: one more than its bites.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct ToneCount(u8);

/// A count of tones outside 2..=16.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ToneCountError {
    /// What came.
    pub tones: i64,
}

impl fmt::Display for ToneCountError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "A plate has 2 to 16 tones; {} came: ten tones take nine bites.", self.tones)
    }
}

impl std::error::Error for ToneCountError {}

impl ToneCount {
    /// Most tones a plan holds.
    pub const MOST: u8 = 16;

    /// A count of tones.
    ///
    /// # Errors
    /// Outside 2..=16.
    pub fn new(tones: i64) -> Result<Self, ToneCountError> {
        if (2..=i64::from(Self::MOST)).contains(&tones) { Ok(Self(tones as u8)) } else { Err(ToneCountError { tones }) }
    }

    /// How many tones.
    #[must_use]
    pub fn get(self) -> usize {
        usize::from(self.0)
    }

    /// How many bites, and stop-outs: one fewer than tones.
    #[must_use]
    pub fn bites(self) -> usize {
        self.get() - 1
    }
}

impl TryFrom<u8> for ToneCount {
    type Error = ToneCountError;
    fn try_from(tones: u8) -> Result<Self, ToneCountError> {
        Self::new(i64::from(tones))
    }
}

impl From<ToneCount> for u8 {
    fn from(count: ToneCount) -> Self {
        count.0
    }
}

/// The whole separation: one tone index a pixel of the plate face, in print view.
///
/// Tone 0 is never bitten, also when it has no area; tone N−1 is the darkest.
///
/// # Guarantees
/// Every value is below the count of tones.
#[derive(Clone, Debug, PartialEq)]
pub struct StepMap {
    tones: ToneCount,
    plane: Plane<u8>,
}

impl StepMap {
    /// Takes a plane of tone indices.
    ///
    /// # Panics
    /// When a value is not below the count of tones: only this crate's stages make step maps.
    #[must_use]
    pub fn new(tones: ToneCount, plane: Plane<u8>) -> Self {
        assert!(plane.data().iter().all(|&tone| usize::from(tone) < tones.get()), "a step map holds tone indices below N");
        Self { tones, plane }
    }

    /// How many tones, those without area included.
    #[must_use]
    pub fn tones(&self) -> ToneCount {
        self.tones
    }

    /// The tone of each pixel.
    #[must_use]
    pub fn plane(&self) -> &Plane<u8> {
        &self.plane
    }

    /// The plane itself, to be made into another map.
    #[must_use]
    pub fn into_plane(self) -> Plane<u8> {
        self.plane
    }

    /// Pixels of each tone.
    #[must_use]
    pub fn counts(&self) -> Vec<u64> {
        let mut counts = [0u64; 256];
        for &tone in self.plane.data() {
            counts[usize::from(tone)] += 1;
        }
        counts[..self.tones.get()].to_vec()
    }
}

/// Cuts a plane of L* at the breaks: lighter than the first break is tone 0, darker than the last tone N−1.
#[must_use]
pub fn quantise(lightness: &Plane<f32>, breaks: &Breaks) -> StepMap {
    let table = breaks.table();
    StepMap { tones: breaks.tones(), plane: lightness.map(|&l| table.tone(l)) }
}

/// Breaks as a table over L*, for planes: one look-up a pixel, exact at the breaks.
pub struct BreakTable {
    falling: Vec<f32>,
    /// Tone at the light end of each cell, and whether a break lies within the cell.
    cells: Vec<(u8, bool)>,
}

impl BreakTable {
    const CELLS: f32 = 1024.0;

    pub(crate) fn new(falling: &[Lightness]) -> Self {
        let falling: Vec<f32> = falling.iter().map(|l| l.0 as f32).collect();
        let darker = |l: f32| falling.iter().filter(|&&b| l < b).count() as u8;
        let cells = (0..=Self::CELLS as usize)
            .map(|i| {
                let (low, high) = (i as f32 * 100.0 / Self::CELLS, (i + 1) as f32 * 100.0 / Self::CELLS);
                let tone = darker(high);
                // Rounding of the cell index may reach a neighbour's edge: widen the search a little.
                (tone, darker(low - 1e-3) != darker(high + 1e-3))
            })
            .collect();
        Self { falling, cells }
    }

    /// The tone of a lightness.
    #[must_use]
    pub fn tone(&self, l: f32) -> u8 {
        let cell = (l.clamp(0.0, 100.0) * (Self::CELLS / 100.0)) as usize;
        let (tone, cut) = self.cells[cell];
        if cut { self.falling.iter().filter(|&&b| l < b).count() as u8 } else { tone }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_of_tones_are_two_to_sixteen() {
        assert_eq!(ToneCount::new(10).unwrap().bites(), 9);
        for wrong in [-1, 0, 1, 17, 1000] {
            assert!(ToneCount::new(wrong).unwrap_err().to_string().contains(&wrong.to_string()));
        }
    }

    #[test]
    fn quantising_is_light_to_dark_and_exact_at_the_breaks() {
        let breaks = Breaks::new(vec![Lightness(80.0), Lightness(50.0), Lightness(49.95)]).unwrap();
        let plane = Plane::new(7, 1, vec![100.0, 80.0, 79.999, 50.0, 49.96, 49.94, 0.0]).unwrap();
        assert_eq!(quantise(&plane, &breaks).plane().data(), [0, 0, 1, 1, 2, 3, 3]);
    }

    #[test]
    fn the_table_is_the_plain_rule() {
        let breaks = Breaks::new((1..16).map(|i| Lightness(97.3 - 6.17 * f64::from(i))).collect()).unwrap();
        let table = breaks.table();
        for i in 0..=100_000u32 {
            let l = i as f32 / 1000.0;
            let plain = breaks.falling().iter().filter(|b| l < b.0 as f32).count();
            assert_eq!(usize::from(table.tone(l)), plain, "L* {l}");
        }
    }
}
