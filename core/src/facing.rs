//! Plates side by side: which joint any two of them make, either way up, aligned at top, foot or horizon; and what another horizon would win.
//!
//! Print view throughout. Figures are those of [`joint`]; a row's order is [`rows`](crate::rows)' business.

use crate::joints::{EdgeProfile, Joint, SLIP, Side, joint};
use crate::light::Lightness;
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::rows::Standing;
use crate::units::{Millimetres, PxPerMm};
use serde::{Deserialize, Serialize};

/// What a joint counts as where plates have no height in common: the greatest difference there can be, L*. In every sum and every search.
pub const APART: f64 = 100.0;
/// The tones of a joint run on up to here, L*, and break from there. Estimates; [`Looks`] says what they were measured on.
const SEEN: (f64, f64) = (5.0, 12.0);
/// L* that a millimetre of main edges apart counts as, where shapes count: what plates slip unseen, [`SLIP`], counts as much as the difference of tones
/// that is not seen either. Estimate: no source weighs the two.
pub const SHAPE_WEIGHT: f64 = SEEN.0 / SLIP.0;
/// How far a picture is moved up or down in the search for a better horizon, mm.
pub const MOST_RAISED: Millimetres = Millimetres(15.0);

/// At what plates of different heights stand in line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Align {
    /// Their top edges.
    Top,
    /// Their lower edges.
    Foot,
    /// A line of the picture, given for each plate.
    #[default]
    Horizon,
}

/// What a joint is judged by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Weigh {
    /// Tones alone.
    #[default]
    Tone,
    /// Tones, and [`SHAPE_WEIGHT`] L* for each millimetre that main edges lie apart.
    Both,
}

impl Weigh {
    /// What a joint costs, L*: [`APART`] where two plates do not meet.
    #[must_use]
    pub fn cost(self, joint: Option<&Joint>) -> f64 {
        let Some(joint) = joint else { return APART };
        match self {
            Self::Tone => joint.tone,
            Self::Both => joint.tone + SHAPE_WEIGHT * joint.shape.map_or(0.0, |shape| shape.0),
        }
    }
}

/// How a joint looks, in a word, by what it costs. Estimates: edges drawn to run on come to some 4 to 9 L* by hand, edges of unlike pictures to 15
/// and more (measured on the demo drawings).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Looks {
    /// The picture runs on.
    RunsOn,
    /// A step is seen where one looks for it.
    Shows,
    /// The picture breaks.
    Breaks,
}

impl Looks {
    /// That of a joint, as it is weighed.
    #[must_use]
    pub fn of(joint: Option<&Joint>, weigh: Weigh) -> Self {
        match weigh.cost(joint) {
            cost if cost < SEEN.0 => Self::RunsOn,
            cost if cost < SEEN.1 => Self::Shows,
            _ => Self::Breaks,
        }
    }
}

/// A plate as it meets others: its edges and its measures.
#[derive(Clone, Debug, PartialEq)]
pub struct Faced {
    /// The face's edges: left, right, top, foot.
    edges: [EdgeProfile; 4],
    size: SizeMm,
    bevel: Millimetres,
    /// From the metal's top edge, as it stands upright.
    horizon: Millimetres,
}

impl Faced {
    /// The plate of a map (print view), its metal's size, and its horizon from the metal's top edge; none: half way down. The bevel is what the
    /// face leaves of the metal. `prints` has the tones' lightness, tone 0 first.
    #[must_use]
    pub fn of(map: &Plane<u8>, resolution: PxPerMm, prints: &[Lightness], size: SizeMm, horizon: Option<Millimetres>) -> Self {
        let edges = Side::ALL.map(|side| EdgeProfile::of(map, resolution, prints, side));
        let bevel = ((size.height.0 - resolution.mm(map.height() as f64).0) / 2.0).max(0.0);
        Self::new(edges, size, Millimetres(bevel), horizon)
    }

    /// The same by its edges: left, right, top, foot.
    #[must_use]
    pub fn new(edges: [EdgeProfile; 4], size: SizeMm, bevel: Millimetres, horizon: Option<Millimetres>) -> Self {
        Self { edges, size, bevel, horizon: horizon.unwrap_or(Millimetres(size.height.0 / 2.0)) }
    }

    /// Width of the bevel.
    #[must_use]
    pub fn bevel(&self) -> Millimetres {
        self.bevel
    }

    /// The metal's size.
    #[must_use]
    pub fn size(&self) -> SizeMm {
        self.size
    }

    /// An edge as it lies.
    #[must_use]
    pub fn edge(&self, side: Side, turned: bool) -> EdgeProfile {
        let index = |side: Side| Side::ALL.iter().position(|one| *one == side).unwrap_or(0);
        if turned { self.edges[index(side.opposite())].turned() } else { self.edges[index(side)].clone() }
    }

    /// The horizon from the metal's top as it lies.
    #[must_use]
    pub fn horizon(&self, turned: bool) -> Millimetres {
        if turned { Millimetres(self.size.height.0 - self.horizon.0) } else { self.horizon }
    }

    /// The plate with its picture higher by so much (lower where negative): its two sides change and its horizon. Top and foot are left as they
    /// are, for nobody knows what will come in there.
    #[must_use]
    pub fn raised(&self, by: Millimetres) -> Self {
        let mut raised = self.clone();
        for edge in &mut raised.edges[..2] {
            *edge = edge.raised(by);
        }
        raised.horizon = Millimetres(self.horizon.0 - by.0);
        raised
    }

    /// How far the metal's top edge lies below the line that all plates of the row share.
    #[must_use]
    pub fn top(&self, turned: bool, align: Align) -> Millimetres {
        Millimetres(match align {
            Align::Top => 0.0,
            Align::Foot => -self.size.height.0,
            Align::Horizon => -self.horizon(turned).0,
        })
    }
}

/// The joint of two plates side by side; none where they have no height in common.
#[must_use]
pub fn across(left: (&Faced, bool), right: (&Faced, bool), align: Align) -> Option<Joint> {
    let face_top = |(plate, turned): (&Faced, bool)| plate.top(turned, align).0 + plate.bevel.0;
    let below = Millimetres(face_top(right) - face_top(left));
    joint(&left.0.edge(Side::Right, left.1), &right.0.edge(Side::Left, right.1), below, SLIP)
}

/// The joint of two plates one above the other, middle over middle.
#[must_use]
pub fn down(upper: (&Faced, bool), lower: (&Faced, bool)) -> Option<Joint> {
    let (above, below) = (upper.0.edge(Side::Foot, upper.1), lower.0.edge(Side::Top, lower.1));
    let right = Millimetres((above.height().0 - below.height().0) / 2.0);
    joint(&above, &below, right, SLIP)
}

/// Every plate beside every other, both ways up: `2 · plates` rows for the one on the left (or above), `2 · plate + turned`, in each as many
/// for the one on the right (or below). A plate beside itself is none.
fn table(plates: &[Faced], joint: impl Fn((&Faced, bool), (&Faced, bool)) -> Option<Joint>) -> Vec<Option<Joint>> {
    let states = 2 * plates.len();
    let each = |i: usize| {
        let (one, other) = (Standing::at(i / states), Standing::at(i % states));
        if one.plate == other.plate { None } else { joint((&plates[one.plate], one.turned), (&plates[other.plate], other.turned)) }
    };
    (0..states * states).map(each).collect()
}

/// All joints side by side, as [`rows::best`](crate::rows::best) wants them, but for their cost.
#[must_use]
pub fn table_across(plates: &[Faced], align: Align) -> Vec<Option<Joint>> {
    table(plates, |left, right| across(left, right, align))
}

/// All joints one above the other.
#[must_use]
pub fn table_down(plates: &[Faced]) -> Vec<Option<Joint>> {
    table(plates, down)
}

/// Whether a row of these plates is the same print from behind, turned by half a turn as a whole: where horizons are in line they are so either
/// way up, tops and feet only where all plates are of one height.
#[must_use]
pub fn alike_from_behind(plates: &[Faced], align: Align) -> bool {
    let heights = || plates.iter().map(|plate| plate.size.height.0);
    align == Align::Horizon || heights().fold(0.0, f64::max) - heights().fold(f64::INFINITY, f64::min) < 1e-6
}

/// What all joints cost.
#[must_use]
pub fn costs(joints: &[Option<Joint>], weigh: Weigh) -> Vec<f64> {
    joints.iter().map(|joint| weigh.cost(joint.as_ref())).collect()
}

/// What a row would be with the picture of one of its plates higher.
#[derive(Clone, Debug, PartialEq)]
pub struct Raised {
    /// Place of that plate in the row.
    pub place: usize,
    /// How much higher; lower where negative.
    pub by: Millimetres,
    /// The joint at its left and the one at its right, as they are and as they would be; none at an end of the row.
    pub joints: [Option<(Joint, Joint)>; 2],
    /// Where the two together would be best, within [`MOST_RAISED`] either way.
    pub best: Millimetres,
    /// What they would come to there, L*.
    pub best_sum: f64,
}

impl Raised {
    /// What the joints come to as they are, and as they would be, L*.
    #[must_use]
    pub fn sums(&self) -> (f64, f64) {
        let of = |pick: fn(&(Joint, Joint)) -> f64| self.joints.iter().flatten().map(pick).sum();
        (of(|pair| pair.0.tone), of(|pair| pair.1.tone))
    }

    /// The same in a sentence; `names` are the plates' letters along the row.
    #[must_use]
    pub fn sentence(&self, names: &[String]) -> String {
        let name = |place: usize| names.get(place).map_or("?", String::as_str);
        let way = if self.by.0 < 0.0 { "lower" } else { "higher" };
        let parts: Vec<String> = [(0, self.place.wrapping_sub(1), self.place), (1, self.place, self.place + 1)]
            .into_iter()
            .filter_map(|(side, left, right)| {
                let (now, then) = self.joints[side]?;
                let verb = match (10.0 * (then.tone - now.tone)).round() {
                    x if x < 0.0 => "falls from",
                    x if x > 0.0 => "rises from",
                    _ => return Some(format!("joint {}|{} stays at {:.1} L*", name(left), name(right), now.tone)),
                };
                Some(format!("joint {}|{} {verb} {:.1} to {:.1} L*", name(left), name(right), now.tone, then.tone))
            })
            .collect();
        if parts.is_empty() {
            return format!("{} stands alone: a joint needs a plate beside it.", name(self.place));
        }
        let (now, then) = self.sums();
        let best = if self.best_sum < then.min(now) - 0.05 && (self.best.0 - self.by.0).abs() > 1e-9 {
            let amount = if self.best.0 == 0.0 {
                "as it is".to_owned()
            } else {
                format!("{} mm {}", self.best.0.abs(), if self.best.0 < 0.0 { "lower" } else { "higher" })
            };
            format!(" Best would be {amount}: {:.1} L* in all.", self.best_sum)
        } else if then > now + 0.05 {
            " As it is, it runs on better.".to_owned()
        } else {
            String::new()
        };
        format!("With the picture of {} {} mm {way}, {}.{best}", name(self.place), self.by.0.abs(), parts.join(" and "))
    }
}

/// A row with the picture of the plate at `place` higher on its plate by `by`, all else as it lies: plates stand where they stood. Higher is
/// towards the plate's own top, also where it is turned.
#[must_use]
pub fn raised(row: &[(&Faced, bool)], place: usize, by: Millimetres, align: Align) -> Option<Raised> {
    let &(plate, turned) = row.get(place)?;
    let with = |by: f64| -> [Option<Joint>; 2] {
        let mut moved = plate.raised(Millimetres(by));
        moved.horizon = plate.horizon;
        let moved = (&moved, turned);
        [
            place.checked_sub(1).and_then(|left| across(row[left], moved, align)),
            row.get(place + 1).and_then(|&right| across(moved, right, align)),
        ]
    };
    let (now, then) = (with(0.0), with(by.0));
    let sum = |joints: &[Option<Joint>; 2]| joints.iter().flatten().map(|joint| joint.tone).sum::<f64>();
    let steps = (2.0 * MOST_RAISED.0) as i32;
    // From nothing outwards: as good with less is better.
    let (best_sum, best) = (0..=steps).flat_map(|k| [f64::from(k) / 2.0, -f64::from(k) / 2.0]).fold((f64::INFINITY, 0.0), |best, by| {
        let found = sum(&with(by));
        if found < best.0 - 1e-9 { (found, by) } else { best }
    });
    let joints = [0, 1].map(|side| now[side].zip(then[side]));
    Some(Raised { place, by, joints, best: Millimetres(best), best_sum })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn size(width: f64, height: f64) -> SizeMm {
        SizeMm { width: Millimetres(width), height: Millimetres(height) }
    }

    /// 120 mm wide, light down to a horizon, mm from the metal's top, dark from there; a bevel of 1.5 mm.
    fn plate(height: f64, horizon: f64) -> Faced {
        let size = size(120.0, height);
        let px = |mm: f64| (mm * 4.0) as usize;
        let map = Plane::from_fn(px(117.0), px(height - 3.0), |_, y| u8::from(y >= px(horizon - 1.5)));
        Faced::of(&map, PxPerMm(4.0), &[Lightness(90.0), Lightness(30.0)], size, Some(Millimetres(horizon)))
    }

    #[test]
    fn plates_of_other_heights_meet_where_they_are_aligned() {
        let (tall, low) = (plate(180.0, 62.0), plate(150.0, 50.0));
        let tone = |align| across((&tall, false), (&low, false), align).unwrap().tone;
        assert_abs_diff_eq!(tone(Align::Horizon), 0.0, epsilon = 1e-9);
        // 12 mm apart less what slip makes good, on the 147 mm that both have: 10.5 mm at a difference of 60.
        assert_abs_diff_eq!(tone(Align::Top), 60.0 * 10.5 / 147.0, epsilon = 0.5);
        // Feet in line: the low one's horizon lies at 80.
        assert_abs_diff_eq!(tone(Align::Foot), 60.0 * 16.5 / 145.5, epsilon = 0.5);
        assert_eq!(Weigh::Both.cost(None), 100.0);
        let off = across((&tall, false), (&low, false), Align::Top).unwrap();
        assert_abs_diff_eq!(Weigh::Both.cost(Some(&off)), off.tone + off.shape.unwrap().0 * 5.0 / 1.5, epsilon = 1e-12);
        // What slips unseen counts as what is not seen, and more of it as a step.
        let edges = |mm: f64| Joint { tone: 0.0, slip: Millimetres(0.0), shape: Some(Millimetres(mm)) };
        assert_eq!(Looks::of(Some(&edges(1.4)), Weigh::Both), Looks::RunsOn);
        assert_eq!(Looks::of(Some(&edges(1.6)), Weigh::Both), Looks::Shows);
        assert_eq!(Looks::of(Some(&edges(1.6)), Weigh::Tone), Looks::RunsOn);
        assert_eq!([Weigh::Tone, Weigh::Both].map(|weigh| Looks::of(None, weigh)), [Looks::Breaks; 2]);
    }

    #[test]
    fn a_whole_print_turned_has_the_same_joints_but_where_tops_are_in_line() {
        // Heights, horizons and bevels that lie on no half millimetre.
        let odd = |height: f64, horizon: f64, resolution: f64| {
            let px = |mm: f64| (mm * resolution) as usize;
            let map = Plane::from_fn(px(97.0), px(height - 3.1), |x, y| {
                (u8::from(y >= px(horizon)) + (x / 40 % 2) as u8 + (y / 70 % 2) as u8) % 3
            });
            let size = size(100.1, height);
            Faced::of(&map, PxPerMm(resolution), &[90.0, 60.0, 30.0].map(Lightness), size, Some(Millimetres(horizon)))
        };
        let plates = [odd(180.3, 62.17, 4.0), odd(150.7, 50.0, 3.3), odd(177.9, 70.123, 5.0)];
        let same = |joints: &[Option<Joint>], weigh: Weigh| {
            let costs = costs(joints, weigh);
            let own = |i: usize| i / 6 / 2 == i % 6 / 2;
            (0..36).filter(|&i| !own(i)).all(|i| (costs[i] - costs[((i % 6) ^ 1) * 6 + ((i / 6) ^ 1)]).abs() < 1e-7)
        };
        for weigh in [Weigh::Tone, Weigh::Both] {
            assert!(same(&table_across(&plates, Align::Horizon), weigh) && same(&table_down(&plates), weigh));
            assert!(!same(&table_across(&plates, Align::Top), weigh) && !same(&table_across(&plates, Align::Foot), weigh));
        }
        assert!(alike_from_behind(&plates, Align::Horizon) && !alike_from_behind(&plates, Align::Top));
        assert!(alike_from_behind(&plates[..1], Align::Foot) && alike_from_behind(&[], Align::Foot));
        // So that each print is listed once: three plates have 24 of them.
        let rules = crate::rows::Rules::new(&[crate::rows::Pin::default(); 3], true).alike(true);
        let found = crate::rows::best(&costs(&table_across(&plates, Align::Horizon), Weigh::Tone), &rules, crate::rows::Wish::RunOn, 99);
        assert_eq!(found.unwrap().len(), 24);
        assert_eq!(table_across(&plates, Align::Top)[1], None);
    }

    #[test]
    fn a_horizon_four_millimetres_too_low_is_worth_raising_by_four() {
        let plates = [plate(180.0, 62.0), plate(180.0, 66.0), plate(180.0, 62.0)];
        let row: Vec<(&Faced, bool)> = plates.iter().map(|plate| (plate, false)).collect();
        let found = raised(&row, 1, Millimetres(4.0), Align::Top).unwrap();
        let (now, then) = found.sums();
        assert_abs_diff_eq!(now, 2.0 * 60.0 * 2.5 / 175.5, epsilon = 0.02);
        assert_abs_diff_eq!(then, 0.0, epsilon = 1e-9);
        let names = ["C", "B", "D"].map(str::to_owned);
        assert_eq!(
            found.sentence(&names),
            "With the picture of B 4 mm higher, joint C|B falls from 0.9 to 0.0 L* and joint B|D falls from 0.9 to 0.0 L*."
        );
        let wrong = raised(&row, 1, Millimetres(-4.0), Align::Top).unwrap();
        assert!(wrong.sums().1 > now);
        // What slip makes good need not be drawn: 2.5 mm are enough.
        assert_eq!(wrong.best, Millimetres(2.5));
        let said = wrong.sentence(&names);
        assert!(
            said.contains("4 mm lower") && said.contains("rises from 0.9") && said.ends_with("Best would be 2.5 mm higher: 0.0 L* in all."),
            "{said}"
        );
        // On a turned plate higher is towards its own top all the same.
        let turned = [(&plates[0], true), (&plates[1], true), (&plates[2], true)];
        assert_abs_diff_eq!(raised(&turned, 1, Millimetres(4.0), Align::Top).unwrap().sums().1, 0.0, epsilon = 1e-9);
        let alone = raised(&row[..1], 0, Millimetres(4.0), Align::Top).unwrap();
        assert_eq!(alone.sentence(&names), "C stands alone: a joint needs a plate beside it.");
        assert_eq!(raised(&row, 3, Millimetres(4.0), Align::Top), None);
    }

    #[test]
    fn one_above_the_other_middles_meet() {
        let ends = |left: f64, right: f64, wide: f64| {
            let map = Plane::from_fn((wide * 4.0) as usize, 400, |x, _| {
                u8::from((x as f64) < left * 4.0) + 2 * u8::from(x as f64 >= right * 4.0)
            });
            Faced::of(&map, PxPerMm(4.0), &[90.0, 50.0, 20.0].map(Lightness), size(wide, 100.0), None)
        };
        let (wide, narrow) = (ends(30.0, 70.0, 100.0), ends(20.0, 60.0, 80.0));
        let met = down((&wide, false), (&narrow, false)).unwrap();
        assert_eq!((met.tone, met.slip), (0.0, Millimetres(0.0)));
        assert!(down((&wide, false), (&narrow, true)).unwrap().tone > 10.0);
    }
}
