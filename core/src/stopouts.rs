//! Stop-outs: the nested sets that are covered before each bite.
//!
//! Stop-out j covers `S_j = { p : tone(p) < j }`. All of them are thresholds of the one step map, so nesting can't break. Two things are
//! set aside ([`Aside`]): a fixed resist is in all of them and painted by none; what is worked by hand is in none.

use crate::aside::{Aside, Zones};
use crate::bits::BitPlane;
use crate::components::Components;
use crate::outline::Outlines;
pub use crate::pace::HandSpeed;
use crate::plane::Plane;
use crate::tones::{StepMap, ToneCount};
use crate::units::PxPerMm;
use serde::Serialize;

/// Stop-out j in figures.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StopOut {
    /// Its number, 1 to N−1; it comes before the bite of the same number.
    pub number: usize,
    /// Share of the face covered once it is painted, 0..=1, a fixed resist included.
    pub covered_share: f64,
    /// Share of the face newly painted, 0..=1.
    pub new_share: f64,
    /// Edge newly painted, cm: contour between the new varnish and what stays bare. The face's own border is no edge, nor is that of
    /// a fixed resist.
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
    aside: Aside,
    zones: Option<Zones>,
    resolution: PxPerMm,
    list: Vec<StopOut>,
    regions: usize,
}

impl StopOuts {
    /// Derives the stop-outs of a step map.
    #[must_use]
    pub fn of(map: StepMap, outlines: &Outlines, resolution: PxPerMm, speed: HandSpeed) -> Self {
        Self::around(map, (Aside::default(), None), outlines, resolution, speed)
    }

    /// Derives the stop-outs of a step map of which something is set aside. Map and zones are those that [`Aside::applied`] gave, and
    /// the outlines those of the zones.
    #[must_use]
    pub fn around(
        map: StepMap,
        (aside, zones): (Aside, Option<Zones>),
        outlines: &Outlines,
        resolution: PxPerMm,
        speed: HandSpeed,
    ) -> Self {
        let painted = zones.as_ref().map_or(map.plane(), Zones::plane);
        let counts = counts(painted);
        let pieces = Components::of(painted);
        let edges = outlines.edge_mm(map.tones());
        let face = map.plane().data().len() as f64;
        let cm2 = (resolution.mm(1.0).0 / 10.0).powi(2);
        let mut covered = aside.resist().map_or(0, BitPlane::count);
        let list = (1..map.tones().get())
            .map(|number| {
                let new = counts[number - 1];
                covered += new;
                let edge_cm = edges[number - 1] / 10.0;
                let islands = pieces.of_value((number - 1) as u8);
                let paint_min = speed.minutes(edge_cm, new as f64 * cm2, islands);
                StopOut { number, covered_share: covered as f64 / face, new_share: new as f64 / face, edge_cm, islands, paint_min }
            })
            .collect();
        let regions = pieces.values().iter().filter(|&&zone| usize::from(zone) < map.tones().get()).count();
        Self { map, aside, zones, resolution, list, regions }
    }

    /// What is set aside.
    #[must_use]
    pub fn aside(&self) -> &Aside {
        &self.aside
    }

    /// The face as it is painted: tones, and [`crate::aside::RESIST`] and [`crate::aside::BY_HAND`] where something is set aside. Print view.
    #[must_use]
    pub fn zones(&self) -> &Plane<u8> {
        self.zones.as_ref().map_or(self.map.plane(), Zones::plane)
    }

    /// How many regions there are: 4-connected pieces of one tone, what is set aside apart.
    #[must_use]
    pub fn regions(&self) -> usize {
        self.regions
    }

    /// The same stop-outs, painted by a hand of another speed.
    pub fn retime(&mut self, speed: HandSpeed) {
        let face_cm2 = self.map.plane().data().len() as f64 * (self.resolution.mm(1.0).0 / 10.0).powi(2);
        for stop in &mut self.list {
            stop.paint_min = speed.minutes(stop.edge_cm, stop.new_share * face_cm2, stop.islands);
        }
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

    /// Whether a pixel is covered before bite `number` (from 1). What is worked by hand never is.
    #[must_use]
    pub fn covered(&self, number: usize, x: usize, y: usize) -> bool {
        usize::from(self.map.plane().at(x, y)) < number && !self.by_hand(x, y)
    }

    /// Whether a pixel is left to the hand.
    #[must_use]
    pub fn by_hand(&self, x: usize, y: usize) -> bool {
        self.aside.by_hand().is_some_and(|bits| bits.at(x, y))
    }

    /// How many bites reach a pixel: those before which no stop-out covers it. What is worked by hand is taken as the step map has it.
    #[must_use]
    pub fn bites_at(&self, x: usize, y: usize) -> usize {
        if self.by_hand(x, y) {
            return usize::from(self.map.plane().at(x, y));
        }
        (1..self.tones().get()).take_while(|&number| !self.covered(number, x, y)).count()
    }

    /// The mask of one stop-out: 0 = covered before that bite, 255 = bare.
    #[must_use]
    pub fn mask(&self, number: usize) -> Plane<u8> {
        let mut mask = self.map.plane().map(|&tone| if usize::from(tone) < number { 0 } else { 255 });
        if let Some(by_hand) = self.aside.by_hand() {
            let width = mask.width();
            by_hand.each(|x, y| mask.data_mut()[y * width + x] = 255);
        }
        mask
    }

    /// What is set aside, in sentences.
    #[must_use]
    pub fn notes(&self) -> Vec<String> {
        let face = self.map.plane().data().len() as f64;
        let percent = |bits: &BitPlane| {
            let share = 100.0 * bits.count() as f64 / face;
            if share < 0.95 { "under 1 %".to_owned() } else { format!("{share:.0} %") }
        };
        let resist = self.aside.resist().map(|bits| {
            format!(
                "A fixed resist stays on {} of the face: it counts as covered at every stop-out and is painted at none, so lay it before the \
                 first, by lift or with ground.",
                percent(bits)
            )
        });
        let by_hand = self.aside.by_hand().map(|bits| {
            format!(
                "{} of the face is worked by hand: no stop-out covers it, so protect it yourself at every bite that it is not to take; \
                 pictures of the print show the lightest tone of each area there, which no stop-out makes.",
                first_large(&percent(bits))
            )
        });
        resist.into_iter().chain(by_hand).collect()
    }
}

fn first_large(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// Pixels of each value.
fn counts(plane: &Plane<u8>) -> [u64; 256] {
    let mut counts = [0u64; 256];
    for &value in plane.data() {
        counts[usize::from(value)] += 1;
    }
    counts
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
        // Two of tone 0, one of tone 1, and tone 2 at the right and along the third row in one.
        assert_eq!(all.regions(), 4);
        assert_eq!(all.mask(1).data(), [0, 0, 255, 255, 0, 255, 255, 255, 255, 255, 255, 255, 0, 255, 255, 255]);
        assert_eq!((all.bites_at(0, 0), all.bites_at(2, 0), all.bites_at(3, 3)), (0, 1, 2));
        let (mut again, before) = (all.clone(), all.list()[0].paint_min);
        again.retime(HandSpeed { edge_cm_per_min: 15.0, area_cm2_per_min: 35.0, island_s: 12.0 });
        assert_abs_diff_eq!(again.list()[0].paint_min, 2.0 * before, epsilon = 1e-9);
    }

    /// Resist where `#`, by hand where `o`.
    fn aside(map: &StepMap, rows: &[&str]) -> Aside {
        let bits = |sign: u8| {
            let mut bits = BitPlane::empty(map.plane().width(), map.plane().height());
            for (y, row) in rows.iter().enumerate() {
                for (x, _) in row.bytes().enumerate().filter(|(_, b)| *b == sign) {
                    bits.set_stretch(y, x, x + 1);
                }
            }
            Some(bits)
        };
        Aside::new(bits(b'#'), bits(b'o'))
    }

    fn around(map: StepMap, aside: Aside) -> StopOuts {
        let (map, zones) = aside.applied(map);
        let outlines = Outlines::of(zones.as_ref().map_or(map.plane(), Zones::plane), PxPerMm(1.0));
        StopOuts::around(map, (aside, zones), &outlines, PxPerMm(1.0), HandSpeed::default())
    }

    #[test]
    fn a_resist_is_covered_and_never_painted_and_by_hand_is_neither() {
        let rows: [&[u8]; 4] = [&[0, 0, 0, 0, 2, 2], &[0, 0, 0, 1, 2, 2], &[0, 0, 1, 1, 2, 1], &[2, 1, 1, 1, 2, 0]];
        let map = StepMap::new(ToneCount::new(3).unwrap(), Plane::from_fn(6, 4, |x, y| rows[y][x]));
        let all = around(map.clone(), aside(&map, &["##....", "##....", "##....", "##..oo"]));
        let (first, second) = (all.list()[0], all.list()[1]);
        // 8 of the resist; then the 3 white pixels beside it; then 5 of tone 1. By hand: the lower right, 2 and 0.
        assert_abs_diff_eq!(first.covered_share, 11.0 / 24.0);
        assert_abs_diff_eq!(first.new_share, 3.0 / 24.0);
        assert_abs_diff_eq!(second.covered_share, 17.0 / 24.0);
        assert_abs_diff_eq!(second.new_share, 6.0 / 24.0);
        assert_eq!((first.islands, second.islands), (1, 2));
        for number in 1..3 {
            let mask = all.mask(number);
            assert!((0..4).all(|y| mask.at(0, y) == 0 && mask.at(1, y) == 0));
            assert_eq!((mask.at(4, 3), mask.at(5, 3)), (255, 255));
        }
        assert_eq!(all.map().plane().row(3), [0, 0, 1, 1, 0, 0]);
        assert_eq!((all.bites_at(0, 3), all.bites_at(4, 3), all.bites_at(2, 3)), (0, 0, 1));
        assert_eq!(all.notes().len(), 2);
        assert!(all.notes()[0].starts_with("A fixed resist stays on 33 % of the face"));
        assert!(all.notes()[1].starts_with("8 % of the face is worked by hand"));
        assert!(all.notes().iter().all(|note| !note.contains("  ")), "a sentence has one space between words: {:?}", all.notes());
    }

    #[test]
    fn an_edge_along_a_resist_is_not_painted_and_one_along_a_hand_area_is() {
        // Left half resist, right half tone 1 of 3: nothing to follow. Left half by hand: the edge of the paint is followed there.
        let map = StepMap::new(ToneCount::new(3).unwrap(), Plane::filled(8, 8, 1));
        let with = |sign: &str| around(map.clone(), aside(&map, &[&(sign.repeat(4) + "....")[..]; 8])).list()[1];
        assert_abs_diff_eq!(with("#").edge_cm, 0.0);
        assert_abs_diff_eq!(with("o").edge_cm, 0.8, epsilon = 1e-9);
        assert_abs_diff_eq!(with("#").new_share, 0.5);
        assert_abs_diff_eq!(with("o").new_share, 0.5);
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
