//! Edges as a hand paints them: where tones meet, paint runs over its line or stops short of it.
//!
//! At stop-out j only its own region R_j = { tone = j−1 } is painted; what was painted before (lighter tones) lies under the brush's lap, what
//! is to be bitten on (darker tones) is spared. Where the paint really ends wanders about the line by a smooth random offset w, and the
//! varnish creeps into the grain by c; over the old edge the brush goes by the lap l, which wanders by v. With d the distance from a point to
//! the edge named:
//!
//! - in R_j it is painted where d(darker) + c + w ≥ 0 and d(lighter) + l + v ≥ 0;
//! - on what should stay bare, where d(R_j) ≤ c + w: a pale lip;
//! - on what was to be covered before and was missed, where d(R_j) ≤ l + v.
//!
//! The painted sets are united, A_j = A_{j−1} ∪ painted_j: varnish is never taken away, so they nest. A point got the tone before the first
//! stop-out that reached it ([`got`]). So a stroke that stops short mostly moves the edge; only where the next one's lap fails to reach it is
//! there a dark hairline. The fields w and v are Gaussian, of the hand's own spread, independent from stop-out to stop-out, and seeded
//! (`wander`).
//!
//! How likely a point comes out lighter or darker than planned follows in closed form ([`chance()`]): the offsets are independent, so
//! P(lighter) = 1 − Π Φ((d(R_j) − c)/σ) over the stop-outs before its own, and P(darker) = Π Φ(…) · (1 − Φ((d(darker) + c)/σ) Φ((d(lighter) + l)/σ)).
//!
//! Distances run to the edge between two pixels, half a pixel before the next centre, and are followed as far as four spreads beyond creep or
//! lap. The face's own border is no edge. A fixed resist is there before the first stop-out; along it the brush laps as over old paint. What is
//! worked by hand keeps what the step map says.
//!
//! Left out: the dark rim that a hard ridge of varnish leaves at its foot in deep bites, and brittle edges that lift in the bath. Spread, creep and
//! lap are estimates; the printer sets their own.

use crate::aside::{BY_HAND, RESIST};
use crate::distance::LONGEST_REACH;
use crate::plane::Plane;
use crate::stopouts::StopOuts;
use crate::units::{Millimetres, PxPerMm};
use std::fmt;

mod chance;
mod near;
mod wander;

pub use chance::{Chance, chance};
use near::tiles;
use wander::{Across, Down, Wander};

/// How a hand paints edges.
///
/// # Guarantees
/// Spread 0..=1.5 mm, creep 0..=1 mm, lap 0..=3 mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edges {
    seed: u64,
    wander: f64,
    creep: f64,
    lap: f64,
}

/// A hand that nobody has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgesError {
    /// What, in words.
    pub what: &'static str,
    /// Most it may be, mm; the least is 0.
    pub most: f64,
    /// What came.
    pub value: f64,
}

impl fmt::Display for EdgesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { what, most, value } = self;
        write!(f, "{what} from 0 to {most} mm was expected, {value} came: choose a value in that range.")
    }
}

impl std::error::Error for EdgesError {}

impl Default for Edges {
    fn default() -> Self {
        Self { seed: 1, wander: Self::WANDER.0, creep: Self::CREEP.0, lap: Self::LAP.0 }
    }
}

impl Edges {
    /// Standard deviation of a painted edge about its line: 0.3 to 0.5 mm for a practised hand (an estimate, no source).
    pub const WANDER: Millimetres = Millimetres(0.4);
    /// How far varnish runs into the grain: 0.1 to 0.5 mm, thin varnish farther (an estimate, no source).
    pub const CREEP: Millimetres = Millimetres(0.2);
    /// How far new paint goes over the old edge: 1 to 2 mm (common practice, no source).
    pub const LAP: Millimetres = Millimetres(1.0);
    /// Standard deviations beyond which no edge wanders.
    const FARTHEST: f64 = 4.0;

    /// A hand of its own chance (`seed`), whose edges lie about their line with the standard deviation `wander`.
    ///
    /// # Errors
    /// When a length is out of the range guaranteed.
    pub fn new(seed: u64, wander: Millimetres, creep: Millimetres, lap: Millimetres) -> Result<Self, EdgesError> {
        for (what, value, most) in [("A wander of edges", wander.0, 1.5), ("A creep of varnish", creep.0, 1.0), ("A lap", lap.0, 3.0)] {
            if !(0.0..=most).contains(&value) {
                return Err(EdgesError { what, most, value });
            }
        }
        Ok(Self { seed, wander: wander.0, creep: creep.0, lap: lap.0 })
    }

    /// How far from an edge it still matters, pixels.
    fn reach(&self, resolution: PxPerMm) -> usize {
        let most = Self::FARTHEST * self.wander + self.creep.max(self.lap);
        (libm::ceil(resolution.px(Millimetres(most))) as usize + 1).min(LONGEST_REACH)
    }
}

/// The tone that each pixel gets when the stop-outs are painted by this hand; print view, the whole face.
#[must_use]
pub fn got(stop_outs: &StopOuts, edges: &Edges) -> Plane<u8> {
    let map = stop_outs.map().plane();
    let resolution = stop_outs.resolution();
    let darkest = (stop_outs.tones().get() - 1) as u8;
    let fields = Fields::new(edges, map, resolution, darkest);
    let mut out = map.clone();
    let width = map.width();
    let down: Vec<Down> = (0..map.height()).map(|y| Down::of(y, resolution)).collect();
    let (creep, lap, most) = (edges.creep as f32, edges.lap as f32, (Edges::FARTHEST * edges.wander) as f32);
    tiles(stop_outs.zones(), edges.reach(resolution), resolution, |tile| {
        let across = Across::of(tile.columns.clone(), resolution);
        let mut row = Row::of(tile.columns.len());
        for y in 0..tile.rows.len() {
            row.tone.fill(UNPAINTED);
            let down = &down[tile.rows.start + y];
            let zones = tile.zones(y);
            let (lighter, darker) = (tile.lighter(y), tile.darker(y));
            for &tone in tile.values.iter().take_while(|&&tone| tone < darkest) {
                let far = tile.far(tone, y);
                let Row { tone: painted, offset, over } = &mut row;
                // How far edges wander is asked only where it may decide.
                let (mut near, mut missed) = (false, false);
                for x in 0..zones.len() {
                    let (own, before) = (tone == zones[x], tone > zones[x]);
                    near |= (own & (darker[x] + creep < most)) | (!own & !before & (far[x] <= creep + most));
                    missed |= (own & (lighter[x] + lap < most)) | (before & (painted[x] == UNPAINTED) & (far[x] <= lap + most));
                }
                for (decides, field, out) in [(near, &fields.of(tone).edge, &mut *offset), (missed, &fields.of(tone).lap, &mut *over)] {
                    if decides {
                        field.row(&across, down, out);
                    } else {
                        out.fill(0.0);
                    }
                }
                for x in 0..zones.len() {
                    let zone = zones[x];
                    let run = (tone < zone) & (far[x] <= creep + offset[x]);
                    let own = (tone == zone) & (darker[x] + creep + offset[x] >= 0.0) & (lighter[x] + lap + over[x] >= 0.0);
                    let late = (tone > zone) & (far[x] <= lap + over[x]);
                    painted[x] = painted[x].min(if run | own | late { tone } else { UNPAINTED });
                }
            }
            let line = (tile.rows.start + y) * width;
            for ((out, &got), &zone) in
                out.data_mut()[line + tile.columns.start..line + tile.columns.end].iter_mut().zip(&row.tone).zip(zones)
            {
                if zone != RESIST && zone != BY_HAND {
                    *out = got.min(darkest);
                }
            }
        }
    });
    out
}

/// Nothing painted a pixel yet; more than any tone.
const UNPAINTED: u8 = u8::MAX;

/// What is worked out along one row of a tile.
struct Row {
    tone: Vec<u8>,
    offset: Vec<f32>,
    over: Vec<f32>,
}

impl Row {
    fn of(width: usize) -> Self {
        Self { tone: vec![UNPAINTED; width], offset: vec![0.0; width], over: vec![0.0; width] }
    }
}

/// The offsets w and v of every stop-out.
struct Fields {
    of_tone: Vec<Pair>,
}

/// The offsets of one stop-out.
struct Pair {
    /// About the line.
    edge: Wander,
    /// About the lap.
    lap: Wander,
}

impl Fields {
    fn new(edges: &Edges, map: &Plane<u8>, resolution: PxPerMm, darkest: u8) -> Self {
        let face = (resolution.mm(map.width() as f64), resolution.mm(map.height() as f64));
        let field = |tone: u8, which: i64| Wander::new(wander::seed(edges.seed, i64::from(tone) + 1, which), edges.wander, face);
        Self { of_tone: (0..darkest).map(|tone| Pair { edge: field(tone, 0), lap: field(tone, 1) }).collect() }
    }

    /// Those of the stop-out that paints a tone.
    fn of(&self, tone: u8) -> &Pair {
        &self.of_tone[usize::from(tone)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aside::Aside;
    use crate::bits::BitPlane;
    use crate::outline::Outlines;
    use crate::stopouts::HandSpeed;
    use crate::tones::{StepMap, ToneCount};
    use proptest::prelude::*;

    pub(super) fn stop_outs(tones: i64, px_per_mm: f64, plane: Plane<u8>) -> StopOuts {
        let map = StepMap::new(ToneCount::new(tones).unwrap(), plane);
        let outlines = Outlines::of(map.plane(), PxPerMm(px_per_mm));
        StopOuts::of(map, &outlines, PxPerMm(px_per_mm), HandSpeed::default())
    }

    fn hand(seed: u64, wander: f64, creep: f64, lap: f64) -> Edges {
        Edges::new(seed, Millimetres(wander), Millimetres(creep), Millimetres(lap)).unwrap()
    }

    /// The rule of the module's head, stop-out by stop-out over the whole face, distances by search: the united sets A_1, A_2, …
    fn painted_sets(all: &StopOuts, edges: &Edges) -> Vec<Plane<bool>> {
        let zones = all.zones();
        let (width, height, resolution) = (zones.width(), zones.height(), all.resolution());
        let darkest = (all.tones().get() - 1) as u8;
        let fields = Fields::new(edges, zones, resolution, darkest);
        let reach = edges.reach(resolution);
        let far = |x: usize, y: usize, is: &dyn Fn(u8) -> bool| {
            let mut best = f32::INFINITY;
            for v in 0..height {
                for u in 0..width {
                    let squared = u.abs_diff(x).pow(2) + v.abs_diff(y).pow(2);
                    if is(zones.at(u, v)) && squared <= reach * reach {
                        best = best.min(((squared as f32).sqrt() - 0.5) * resolution.mm(1.0).0 as f32);
                    }
                }
            }
            best
        };
        let mut covered = zones.map(|&zone| zone == RESIST);
        let mut sets = Vec::new();
        for stop_out in 1..=darkest {
            let tone = stop_out - 1;
            let before = covered.clone();
            let (mut offset, mut over) = (vec![0.0; width], vec![0.0; width]);
            for y in 0..height {
                let (across, down) = (Across::of(0..width, resolution), Down::of(y, resolution));
                fields.of(tone).edge.row(&across, &down, &mut offset);
                fields.of(tone).lap.row(&across, &down, &mut over);
                for x in 0..width {
                    let zone = zones.at(x, y);
                    let (w, v) = (offset[x], over[x]);
                    let painted = if zone == tone {
                        far(x, y, &|z| z > tone && z != RESIST) + edges.creep as f32 + w >= 0.0
                            && far(x, y, &|z| z < tone || z == RESIST) + edges.lap as f32 + v >= 0.0
                    } else if zone < tone {
                        far(x, y, &|z| z == tone) <= edges.lap as f32 + v
                    } else {
                        far(x, y, &|z| z == tone) <= edges.creep as f32 + w
                    };
                    covered.data_mut()[y * width + x] |= painted && zone != BY_HAND;
                }
            }
            assert!(before.data().iter().zip(covered.data()).all(|(before, now)| !before || *now), "varnish is never taken away");
            sets.push(covered.clone());
        }
        sets
    }

    #[test]
    fn a_hand_without_fault_paints_as_planned() {
        let plane = Plane::from_fn(90, 70, |x, y| ((x / 11 + y / 9) % 6) as u8);
        let all = stop_outs(6, 8.0, plane.clone());
        assert_eq!(got(&all, &hand(3, 0.0, 0.0, 0.0)), plane);
        assert_eq!(got(&all, &hand(3, 0.0, 0.0, 2.0)), plane);
    }

    #[test]
    fn creep_alone_moves_every_edge_onto_its_darker_side() {
        // 0.5 mm at 10 px/mm: five pixels, whichever tones meet.
        let all = stop_outs(4, 10.0, Plane::from_fn(80, 12, |x, _| if x < 40 { 3 } else { 1 }));
        let seen = got(&all, &hand(1, 0.0, 0.5, 1.0));
        assert!(seen.rows().all(|row| row[..35].iter().all(|&t| t == 3) && row[35..].iter().all(|&t| t == 1)));
    }

    #[test]
    fn where_the_lap_fails_a_hairline_as_dark_as_the_darkest_is_left() {
        // Light beside middle, and no lap at all: some of the wandering edges leave a line between them that no stop-out reaches.
        let all = stop_outs(5, 10.0, Plane::from_fn(60, 2000, |x, _| if x < 30 { 0 } else { 2 }));
        let dark = |lap: f64| got(&all, &hand(1, 0.4, 0.0, lap)).data().iter().filter(|&&tone| tone == 4).count();
        assert!(dark(0.0) > 500, "{}", dark(0.0));
        assert!(dark(2.0) < dark(0.0) / 20, "{}", dark(2.0));
        // And paint that runs over is the lighter tone on the darker side.
        let seen = got(&all, &hand(1, 0.4, 0.0, 2.0));
        assert!(seen.rows().any(|row| row[31] == 0) && seen.rows().any(|row| row[28] == 2));
    }

    #[test]
    fn what_is_set_aside_stays_as_it_is() {
        let plane = Plane::from_fn(60, 40, |x, y| ((x / 13 + y / 17) % 4) as u8);
        let bits = |left: usize| {
            let mut bits = BitPlane::empty(60, 40);
            (0..40).for_each(|y| bits.set_stretch(y, left, left + 15));
            Some(bits)
        };
        let map = StepMap::new(ToneCount::new(4).unwrap(), plane);
        let (map, zones) = Aside::new(bits(0), bits(40)).applied(map);
        let outlines = Outlines::of(zones.as_ref().unwrap().plane(), PxPerMm(5.0));
        let all = StopOuts::around(map.clone(), (Aside::new(bits(0), bits(40)), zones), &outlines, PxPerMm(5.0), HandSpeed::default());
        let seen = got(&all, &hand(1, 1.0, 0.5, 1.0));
        for (y, row) in seen.rows().enumerate() {
            assert!(row[..15].iter().all(|&tone| tone == 0));
            assert_eq!(row[40..55], map.plane().row(y)[40..55]);
        }
        let Chance { lighter, darker } = chance(&all, &hand(1, 1.0, 0.5, 1.0));
        assert!((0..40).all(|y| [5, 45].iter().all(|&x| lighter.at(x, y) == 0 && darker.at(x, y) == 0)));
    }

    #[test]
    fn impossible_hands_are_refused_in_sentences() {
        let of = |wander: f64, creep: f64, lap: f64| Edges::new(1, Millimetres(wander), Millimetres(creep), Millimetres(lap));
        for wrong in [of(-0.1, 0.0, 0.0), of(f64::NAN, 0.0, 0.0), of(0.4, 2.0, 1.0), of(0.4, 0.2, f64::INFINITY)] {
            let said = wrong.unwrap_err().to_string();
            assert!(said.starts_with("A ") && said.ends_with("in that range."), "{said}");
        }
        assert_eq!(of(0.4, 0.2, 1.0), Ok(Edges::default()));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn the_painted_sets_nest_and_are_what_each_point_got(seed in any::<u64>(), width in 1usize..40, height in 1usize..30, tones in 2i64..7,
            wander in 0.0..1.5f64, creep in 0.0..1.0f64, lap in 0.0..3.0f64, size in 2usize..9) {
            let mut state = seed;
            let blocks: Vec<u8> = (0..400).map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                ((state >> 33) % tones as u64) as u8
            }).collect();
            let all = stop_outs(tones, 4.0, Plane::from_fn(width, height, |x, y| blocks[y / size * 20 + x / size]));
            let edges = hand(seed, wander, creep, lap);
            let seen = got(&all, &edges);
            prop_assert_eq!(&seen, &got(&all, &edges));
            for (j, set) in painted_sets(&all, &edges).iter().enumerate() {
                for (covered, tone) in set.data().iter().zip(seen.data()) {
                    prop_assert_eq!(*covered, usize::from(*tone) <= j);
                }
            }
        }
    }
}
