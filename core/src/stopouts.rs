//! Stop-outs: the nested sets that are covered before each bite.
//!
//! Stop-out j covers `S_j = { p : tone(p) < j }`. All of them are thresholds of the one step map, so nesting can't break.

use crate::components::Components;
use crate::outline::Outlines;
use crate::plane::Plane;
use crate::tones::{StepMap, ToneCount};
use crate::units::PxPerMm;
use serde::{Deserialize, Serialize};

/// What a hand paints in a minute, and each island's extra.
///
/// The defaults are estimates, no source: the printer's own first stop-out is to replace them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct HandSpeed {
    /// Edge followed with the brush's tip, cm a minute; default 30.
    pub edge_cm_per_min: f64,
    /// Area filled, cm² a minute; default 70.
    pub area_cm2_per_min: f64,
    /// Added for each island: find it, load the brush; seconds, default 6.
    pub island_s: f64,
}

impl Default for HandSpeed {
    fn default() -> Self {
        Self { edge_cm_per_min: 30.0, area_cm2_per_min: 70.0, island_s: 6.0 }
    }
}

/// Stop-out j in figures.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StopOut {
    /// Its number, 1 to N−1; it comes before the bite of the same number.
    pub number: usize,
    /// Share of the face covered once it is painted, 0..=1.
    pub covered_share: f64,
    /// Share of the face newly painted, 0..=1.
    pub new_share: f64,
    /// Edge newly painted, cm: contour between the new varnish and what stays bare. The face's own border is no edge.
    pub edge_cm: f64,
    /// Pieces newly painted, 4-connected.
    pub islands: usize,
    /// Estimate of the painting, minutes.
    pub paint_min: f64,
}

/// All stop-outs of a plate and the step map they are thresholds of.
#[derive(Clone, Debug)]
pub struct StopOuts {
    map: StepMap,
    resolution: PxPerMm,
    list: Vec<StopOut>,
}

impl StopOuts {
    /// Derives the stop-outs of a step map.
    #[must_use]
    pub fn of(map: StepMap, outlines: &Outlines, resolution: PxPerMm, speed: HandSpeed) -> Self {
        let counts = map.counts();
        let pieces = Components::of(map.plane());
        let edges = outlines.edge_mm(map.tones());
        let face = map.plane().data().len() as f64;
        let cm2 = (resolution.mm(1.0).0 / 10.0).powi(2);
        let mut covered = 0;
        let list = (1..map.tones().get())
            .map(|number| {
                let new = counts[number - 1];
                covered += new;
                let edge_cm = edges[number - 1] / 10.0;
                let islands = pieces.of_value((number - 1) as u8);
                let paint_min =
                    edge_cm / speed.edge_cm_per_min + new as f64 * cm2 / speed.area_cm2_per_min + islands as f64 * speed.island_s / 60.0;
                StopOut { number, covered_share: covered as f64 / face, new_share: new as f64 / face, edge_cm, islands, paint_min }
            })
            .collect();
        Self { map, resolution, list }
    }

    /// The step map, print view.
    #[must_use]
    pub fn map(&self) -> &StepMap {
        &self.map
    }

    /// Pixels a millimetre of the step map.
    #[must_use]
    pub fn resolution(&self) -> PxPerMm {
        self.resolution
    }

    /// How many tones.
    #[must_use]
    pub fn tones(&self) -> ToneCount {
        self.map.tones()
    }

    /// Stop-out 1 to N−1 in figures.
    #[must_use]
    pub fn list(&self) -> &[StopOut] {
        &self.list
    }

    /// Whether a pixel is covered before bite `number` (from 1).
    #[must_use]
    pub fn covered(&self, number: usize, x: usize, y: usize) -> bool {
        usize::from(self.map.plane().at(x, y)) < number
    }

    /// How many bites reach a pixel: those before which no stop-out covers it.
    #[must_use]
    pub fn bites_at(&self, x: usize, y: usize) -> usize {
        (1..self.tones().get()).take_while(|&number| !self.covered(number, x, y)).count()
    }

    /// The mask of one stop-out: 0 = covered before that bite, 255 = bare.
    #[must_use]
    pub fn mask(&self, number: usize) -> Plane<u8> {
        self.map.plane().map(|&tone| if usize::from(tone) < number { 0 } else { 255 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn stop_outs(tones: i64, rows: &[&[u8]]) -> StopOuts {
        let plane = Plane::from_fn(rows[0].len(), rows.len(), |x, y| rows[y][x]);
        let map = StepMap::new(ToneCount::new(tones).unwrap(), plane);
        let outlines = Outlines::of(map.plane(), PxPerMm(1.0));
        StopOuts::of(map, &outlines, PxPerMm(1.0), HandSpeed::default())
    }

    #[test]
    fn three_tones_are_two_stop_outs_and_never_the_darkest() {
        let all = stop_outs(3, &[&[0, 0, 1, 2], &[0, 1, 1, 2], &[2, 2, 2, 2], &[0, 2, 2, 2]]);
        assert_eq!(all.list().len(), 2);
        assert_abs_diff_eq!(all.list()[0].covered_share, 4.0 / 16.0);
        assert_abs_diff_eq!(all.list()[1].new_share, 3.0 / 16.0);
        assert_eq!((all.list()[0].islands, all.list()[1].islands), (2, 1));
        assert_eq!(all.mask(1).data(), [0, 0, 255, 255, 0, 255, 255, 255, 255, 255, 255, 255, 0, 255, 255, 255]);
        assert_eq!((all.bites_at(0, 0), all.bites_at(2, 0), all.bites_at(3, 3)), (0, 1, 2));
    }

    #[test]
    fn a_tone_without_area_keeps_its_stop_out_with_nothing_to_paint() {
        let all = stop_outs(4, &[&[0, 0, 3, 3], &[0, 0, 3, 3]]);
        assert_eq!(all.list().len(), 3);
        assert_eq!((all.list()[1].islands, all.list()[1].new_share, all.list()[1].edge_cm), (0, 0.0, 0.0));
        assert_abs_diff_eq!(all.list()[2].covered_share, 0.5);
        // The edge between 0 and 3 is painted once, at stop-out 1: 2 px of 1 mm.
        assert_abs_diff_eq!(all.list()[0].edge_cm, 0.2, epsilon = 1e-9);
    }
}
