//! Facing edges of plates that stand side by side in one print: how far their tones agree by height, and their shapes.
//!
//! Everything is in print view. An edge is looked at in a strip some millimetres inside the face, where no bevel and no foul edge speaks, and
//! two edges are compared height by height, the one slid up or down a little: nobody lays plates down to the hair.

use crate::light::Lightness;
use crate::plane::Plane;
use crate::units::{Millimetres, PxPerMm};

/// The strip looked at, from so far inside the face to so far. (Common practice, no source: past the foul bite, before the picture changes.)
const STRIP_MM: (f64, f64) = (3.0, 5.0);
/// Height of a place looked at, but for what makes an edge a whole number of them; and of one step of slip.
const STEP: Millimetres = Millimetres(0.5);
/// How far plates may slip in the press bed before an eye calls it a break. Estimate.
pub const SLIP: Millimetres = Millimetres(1.5);
/// A change of so many L* over [`OVER`] is an edge of a shape. Estimate: the eye finds half of it in a flat passage.
const SHAPE: f64 = 8.0;
/// Over what height a shape's edge may be spread.
const OVER: Millimetres = Millimetres(2.0);
/// A crossing with no partner counts as one this far off.
const LOST: Millimetres = Millimetres(10.0);

/// An edge of a face, in print view.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The left one, looked at from its top downwards.
    Left,
    /// The right one, from its top downwards.
    Right,
    /// The top, from the left to the right.
    Top,
    /// The foot, from the left to the right.
    Foot,
}

impl Side {
    /// All four.
    pub const ALL: [Self; 4] = [Self::Left, Self::Right, Self::Top, Self::Foot];

    /// The side that lies there once the plate is turned by half a turn.
    #[must_use]
    pub fn opposite(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
            Self::Top => Self::Foot,
            Self::Foot => Self::Top,
        }
    }
}

/// The lightness along one edge of a face: down a side from its top, along top or foot from the left. What is said of heights below holds for
/// places along top and foot too.
#[derive(Clone, Debug, PartialEq)]
pub struct EdgeProfile {
    step: Millimetres,
    lights: Vec<f64>,
}

impl EdgeProfile {
    /// Lightness at heights `step` apart, the first half a step below the top; L*, 0..=100.
    #[must_use]
    pub fn new(step: Millimetres, lights: &[Lightness]) -> Self {
        Self { step, lights: lights.iter().map(|light| light.0).collect() }
    }

    /// What a face prints down one of its edges: `map` has the tones (print view), `prints` their lightness, tone 0 first. A face narrower
    /// than two strips is looked at in its middle.
    #[must_use]
    pub fn of(map: &Plane<u8>, resolution: PxPerMm, prints: &[Lightness], side: Side) -> Self {
        let (width, height) = (map.width(), map.height());
        let upright = matches!(side, Side::Left | Side::Right);
        // How far it is across the strip, and along it.
        let (deep, long) = if upright { (width, height) } else { (height, width) };
        let pixels = |mm: f64| libm::round(mm * resolution.0) as usize;
        let (near, far) = (pixels(STRIP_MM.0).min(deep / 2).min(deep.saturating_sub(1) / 2), pixels(STRIP_MM.1).min(deep / 2));
        let far = far.max(near + 1).min(deep);
        let depths = match side {
            Side::Left | Side::Top => near..far,
            Side::Right | Side::Foot => deep - far..deep - near,
        };
        let light: Vec<f64> = prints.iter().map(|print| print.reflectance().0).collect();
        let light = |tone: u8| light.get(usize::from(tone)).copied().unwrap_or(1.0);
        // The edge is parted evenly, so that it is as long as the face and looks the same from its other end.
        let length = long as f64 / resolution.0;
        let places = (libm::round(length / STEP.0) as usize).max(1);
        let step = length / places as f64;
        let lights = (0..places)
            .map(|place| {
                let from = pixels(place as f64 * step).min(long - 1);
                let stretch = from..pixels((place + 1) as f64 * step).clamp(from + 1, long);
                let (columns, rows) = if upright { (depths.clone(), stretch) } else { (stretch, depths.clone()) };
                let count = (rows.len() * columns.len()) as f64;
                let sum: f64 = rows.flat_map(|y| &map.row(y)[columns.clone()]).map(|&tone| light(tone)).sum();
                crate::light::Reflectance(sum / count).lightness().0
            })
            .collect();
        Self { step: Millimetres(step), lights }
    }

    /// What an edge would be with the picture moved up by so much (down where negative): what comes in at an end goes on as that end does.
    #[must_use]
    pub fn raised(&self, by: Millimetres) -> Self {
        let last = self.lights.len() - 1;
        let at = |place: usize| {
            let at = (place as f64 + by.0 / self.step.0).clamp(0.0, last as f64);
            let (above, share) = (libm::floor(at), at - libm::floor(at));
            let (above, below) = (above as usize, (above as usize + 1).min(last));
            self.lights[above] + share * (self.lights[below] - self.lights[above])
        };
        Self { step: self.step, lights: (0..self.lights.len()).map(at).collect() }
    }

    /// The same edge with the plate turned by half a turn: foot up. It is the other side's then.
    #[must_use]
    pub fn turned(&self) -> Self {
        Self { step: self.step, lights: self.lights.iter().rev().copied().collect() }
    }

    /// Lightness by height, L*, from the top.
    #[must_use]
    pub fn lights(&self) -> &[f64] {
        &self.lights
    }

    /// Its height.
    #[must_use]
    pub fn height(&self) -> Millimetres {
        Millimetres(self.step.0 * self.lights.len() as f64)
    }

    /// Where main edges of shapes cross it: height from the top, mm, and whether it grows darker downwards there.
    #[must_use]
    pub fn crossings(&self) -> Vec<(Millimetres, bool)> {
        let reach = (libm::round(OVER.0 / self.step.0 / 2.0) as usize).max(1);
        let change = |at: usize| self.lights[(at + reach - 1).min(self.lights.len() - 1)] - self.lights[at.saturating_sub(reach)];
        let changes: Vec<f64> =
            (0..=self.lights.len()).map(|at| if at < reach || at + reach > self.lights.len() { 0.0 } else { change(at) }).collect();
        let mut found = vec![];
        let mut at = 0;
        while at < changes.len() {
            if changes[at].abs() < SHAPE {
                at += 1;
                continue;
            }
            // One edge as long as it goes on in one direction; it lies where it is steepest, in the middle of what is equally steep.
            let end = (at..changes.len())
                .find(|&k| changes[k].abs() < SHAPE || changes[k].signum() != changes[at].signum())
                .unwrap_or(changes.len());
            let steepest = changes[at..end].iter().fold(0.0, |most: f64, change| most.max(change.abs()));
            let places: Vec<usize> = (at..end).filter(|&k| changes[k].abs() > steepest - 1e-9).collect();
            let middle = places.iter().sum::<usize>() as f64 / places.len() as f64;
            found.push((Millimetres(middle * self.step.0), changes[at] < 0.0));
            at = end;
        }
        found
    }
}

/// How two edges go together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Mean difference of lightness by height, L*, at the best slip.
    pub tone: f64,
    /// How far the right plate is then to be moved down, mm; 0 where that is as good.
    pub slip: Millimetres,
    /// Mean distance between main edges that should meet, mm, at that slip; none where neither edge has any.
    pub shape: Option<Millimetres>,
}

/// How the right edge of one plate goes with the left edge of the next, whose top lies `below` the first one's (negative: above).
/// `slip` is how far it may be moved besides. None where they have no height in common. Seen from behind, both turned and exchanged, it is the
/// same but for rounding and the way of its slip, whatever the heights.
#[must_use]
pub fn joint(left: &EdgeProfile, right: &EdgeProfile, below: Millimetres, slip: Millimetres) -> Option<Joint> {
    let most = if slip.0 > 0.0 { libm::floor(slip.0 / STEP.0 + 1e-9) as i32 } else { 0 };
    let mut best: Option<Joint> = None;
    // From no slip outwards: as good with less is better; of two ways as good, the one whose shapes meet better.
    for k in (0..=most).flat_map(|k| if k == 0 { vec![0] } else { vec![k, -k] }) {
        let slip = Millimetres(f64::from(k) * STEP.0);
        let moved = below.0 + slip.0;
        let Some(tone) = differs(left, right, moved) else { continue };
        if best.is_some_and(|best| tone > best.tone + EVEN) {
            continue;
        }
        let found = Joint { tone, slip, shape: apart(left, right, moved) };
        let better = |best: Joint| {
            let other_way = k != 0 && best.slip.0 == -slip.0;
            tone < best.tone - EVEN || (other_way && shape(found) < shape(best) - EVEN)
        };
        if best.is_none_or(better) {
            best = Some(found);
        }
    }
    best
}

/// Lightness or millimetres that differ by less are even.
const EVEN: f64 = 1e-9;

fn shape(joint: Joint) -> f64 {
    joint.shape.map_or(0.0, |shape| shape.0)
}

/// Mean difference of lightness over the height that both edges have, the right one lying `moved` lower.
fn differs(left: &EdgeProfile, right: &EdgeProfile, moved: f64) -> Option<f64> {
    let (from, to) = (moved.max(0.0), left.height().0.min(right.height().0 + moved));
    if to - from < STEP.0 - 1e-6 {
        return None;
    }
    let begin = |edge: &EdgeProfile, mm: f64| ((mm / edge.step.0).max(0.0) as usize).min(edge.lights.len() - 1);
    let (mut one, mut other) = (begin(left, from), begin(right, from - moved));
    let (mut at, mut sum) = (from, 0.0);
    // From one place's end to the next: both are even in between.
    loop {
        let ends = [(one + 1) as f64 * left.step.0, (other + 1) as f64 * right.step.0 + moved];
        let end = ends[0].min(ends[1]).min(to);
        sum += (left.lights[one] - right.lights[other]).abs() * (end - at).max(0.0);
        at = at.max(end);
        let more = [ends[0] <= end && one + 1 < left.lights.len(), ends[1] <= end && other + 1 < right.lights.len()];
        if at >= to || more == [false, false] {
            return Some(sum / (to - from));
        }
        one += usize::from(more[0]);
        other += usize::from(more[1]);
    }
}

/// Mean distance of each main edge to its like on the other side, among those at heights that both have.
fn apart(left: &EdgeProfile, right: &EdgeProfile, moved: f64) -> Option<Millimetres> {
    let common = (moved.max(0.0), left.height().0.min(right.height().0 + moved));
    let within = |(mm, darker): (f64, bool)| (mm >= common.0 - EVEN && mm <= common.1 + EVEN).then_some((mm, darker));
    let one: Vec<(f64, bool)> = left.crossings().into_iter().filter_map(|(at, darker)| within((at.0, darker))).collect();
    let other: Vec<(f64, bool)> = right.crossings().into_iter().filter_map(|(at, darker)| within((at.0 + moved, darker))).collect();
    if one.is_empty() && other.is_empty() {
        return None;
    }
    let nearest = |(at, darker): (f64, bool), among: &[(f64, bool)]| {
        among.iter().filter(|(_, other)| *other == darker).map(|(other, _)| (other - at).abs()).fold(LOST.0, f64::min)
    };
    let sum: f64 = one.iter().map(|&edge| nearest(edge, &other)).chain(other.iter().map(|&edge| nearest(edge, &one))).sum();
    Some(Millimetres(sum / (one.len() + other.len()) as f64))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn edge(lights: &[f64]) -> EdgeProfile {
        EdgeProfile::new(STEP, &lights.iter().map(|&light| Lightness(light)).collect::<Vec<_>>())
    }

    /// 90 L* down to `at` mm, 30 from there.
    fn horizon(at: f64) -> EdgeProfile {
        edge(&(0..360).map(|place| if (f64::from(place) + 0.5) * 0.5 < at { 90.0 } else { 30.0 }).collect::<Vec<_>>())
    }

    #[test]
    fn a_horizon_that_lies_lower_is_found_by_slip_or_said() {
        let met = joint(&horizon(62.0), &horizon(62.0), Millimetres(0.0), SLIP).unwrap();
        assert_eq!(met, Joint { tone: 0.0, slip: Millimetres(0.0), shape: Some(Millimetres(0.0)) });
        // A millimetre is within what slip makes good: the right plate goes up.
        let met = joint(&horizon(62.0), &horizon(63.0), Millimetres(0.0), SLIP).unwrap();
        assert_eq!((met.tone, met.slip, met.shape), (0.0, Millimetres(-1.0), Some(Millimetres(0.0))));
        // Four are not: 2.5 mm are left of 180, at a difference of 60.
        let met = joint(&horizon(62.0), &horizon(66.0), Millimetres(0.0), SLIP).unwrap();
        assert_abs_diff_eq!(met.tone, 60.0 * 2.5 / 178.5, epsilon = 1e-9);
        assert_eq!(met.shape, Some(Millimetres(2.5)));
        // Laid 4 mm higher, its horizon runs on.
        assert_eq!(joint(&horizon(62.0), &horizon(66.0), Millimetres(-4.0), SLIP).unwrap().tone, 0.0);
        assert_eq!(joint(&horizon(62.0), &horizon(62.0), Millimetres(500.0), SLIP), None);
    }

    #[test]
    fn a_face_is_looked_at_inside_its_edges_and_both_sides_are_their_own() {
        // 40 mm wide, its rim of 2 mm dark: left half lighter than the right half, a horizon at 30 mm on the right alone.
        let prints: Vec<Lightness> = [91.0, 70.0, 40.0, 10.0].map(Lightness).to_vec();
        let map = Plane::from_fn(400, 600, |x, y| match (x, y) {
            (..20 | 380.., _) => 3,
            (..200, _) => 0,
            (_, ..300) => 1,
            _ => 2,
        });
        let of = |side| EdgeProfile::of(&map, PxPerMm(10.0), &prints, side);
        assert!(of(Side::Left).lights.iter().all(|light| (light - 91.0).abs() < 1e-6));
        assert_eq!(of(Side::Left).crossings(), []);
        assert_eq!(of(Side::Right).crossings(), [(Millimetres(30.0), true)]);
        assert_eq!(of(Side::Right).turned().crossings(), [(Millimetres(30.0), false)]);
        assert_eq!(of(Side::Right).height(), Millimetres(60.0));
        // Top and foot from the left: the right half is darker, at the foot more so.
        assert_eq!(of(Side::Top).crossings(), [(Millimetres(2.0), false), (Millimetres(20.0), true), (Millimetres(38.0), true)]);
        assert_eq!(of(Side::Top).height(), Millimetres(40.0));
        assert_abs_diff_eq!(of(Side::Top).lights()[60], 70.0, epsilon = 1e-6);
        assert_abs_diff_eq!(of(Side::Foot).lights()[60], 40.0, epsilon = 1e-6);
        // A height between two halves of a millimetre is kept: 60.3 mm are no 60.5.
        let odd = Plane::from_fn(400, 603, |_, y| u8::from(y >= 300));
        let odd = EdgeProfile::of(&odd, PxPerMm(10.0), &prints, Side::Left);
        assert_abs_diff_eq!(odd.height().0, 60.3, epsilon = 1e-9);
        assert_abs_diff_eq!(odd.crossings()[0].0.0, 30.0, epsilon = 0.3);
        // A sliver of a face still has edges.
        let sliver = Plane::filled(3, 2, 1);
        assert_abs_diff_eq!(EdgeProfile::of(&sliver, PxPerMm(10.0), &prints, Side::Right).lights[0], 70.0, epsilon = 1e-6);
    }

    #[test]
    fn a_raised_picture_goes_on_at_its_ends() {
        assert_eq!(horizon(66.0).raised(Millimetres(4.0)), horizon(62.0));
        assert_eq!(horizon(62.0).raised(Millimetres(-4.0)), horizon(66.0));
        assert_eq!(edge(&[10.0, 20.0, 40.0]).raised(Millimetres(0.25)), edge(&[15.0, 30.0, 40.0]));
        assert_eq!(edge(&[10.0, 20.0]).raised(Millimetres(500.0)), edge(&[20.0, 20.0]));
    }

    proptest! {
        #[test]
        fn a_turned_map_has_the_turned_edges(width in 3..90usize, height in 3..90usize, seed in any::<u64>()) {
            let mut state = seed;
            let map = Plane::from_fn(width, height, |_, _| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 33) as u8 % 4
            });
            let turned = Plane::from_fn(width, height, |x, y| map.at(width - 1 - x, height - 1 - y));
            let prints: Vec<Lightness> = [91.0, 70.0, 40.0, 10.0].map(Lightness).to_vec();
            // At two pixels a step no place straddles a pixel, so both ways see the same.
            if width % 5 == 0 && height % 5 == 0 {
                for side in Side::ALL {
                    let one = EdgeProfile::of(&map, PxPerMm(10.0), &prints, side).turned();
                    let other = EdgeProfile::of(&turned, PxPerMm(10.0), &prints, side.opposite());
                    for (one, other) in one.lights.iter().zip(&other.lights) {
                        prop_assert!((one - other).abs() < 1e-9);
                    }
                }
            }
        }

        #[test]
        fn joints_look_alike_from_behind(
            one in prop::collection::vec(0.0..100.0f64, 1..60), other in prop::collection::vec(0.0..100.0f64, 1..60), steps in (0.35..0.7f64, 0.35..0.7f64),
            below in -8.0..8.0f64, slip in 0.0..3.0f64,
        ) {
            // Heights and places of every kind, none of them on a raster of half millimetres.
            let edge = |lights: &[f64], step: f64| EdgeProfile::new(Millimetres(step), &lights.iter().map(|&light| Lightness(light)).collect::<Vec<_>>());
            let (one, other) = (edge(&one, steps.0), edge(&other, steps.1));
            let seen = joint(&one, &other, Millimetres(below), Millimetres(slip));
            // Both plates turned by half a turn and exchanged: the first one's foot is its top now, which lies below the other's by as much as
            // the other's foot lay below the first one's.
            let turned_below = below + other.height().0 - one.height().0;
            let turned = joint(&other.turned(), &one.turned(), Millimetres(turned_below), Millimetres(slip));
            match (seen, turned) {
                (Some(seen), Some(turned)) => {
                    prop_assert!((seen.tone - turned.tone).abs() < 1e-7, "{seen:?} {turned:?}");
                    prop_assert!((shape(seen) - shape(turned)).abs() < 1e-7, "{seen:?} {turned:?}");
                }
                (seen, turned) => prop_assert_eq!(seen.is_none(), turned.is_none()),
            }
            prop_assert!(seen.is_none_or(|seen| seen.slip.0.abs() <= slip + 1e-9));
        }

        /// Against a sum over ever so many places.
        #[test]
        fn the_mean_is_that_of_all_heights(
            one in prop::collection::vec(0.0..100.0f64, 1..30), other in prop::collection::vec(0.0..100.0f64, 1..30), steps in (0.2..2.0f64, 0.2..2.0f64), moved in -5.0..5.0f64,
        ) {
            let edge = |lights: &[f64], step: f64| EdgeProfile { step: Millimetres(step), lights: lights.to_vec() };
            let (one, other) = (edge(&one, steps.0), edge(&other, steps.1));
            let (from, to) = (moved.max(0.0), one.height().0.min(other.height().0 + moved));
            if let Some(found) = differs(&one, &other, moved) {
                let at = |edge: &EdgeProfile, mm: f64| edge.lights[((mm / edge.step.0) as usize).min(edge.lights.len() - 1)];
                let count = 20_000;
                let places = (0..count).map(|k| from + (f64::from(k) + 0.5) / f64::from(count) * (to - from));
                let sum: f64 = places.map(|mm| (at(&one, mm) - at(&other, mm - moved)).abs()).sum();
                prop_assert!((found - sum / f64::from(count)).abs() < 0.3, "{found} for {}", sum / f64::from(count));
            } else {
                prop_assert!(to - from < 0.5);
            }
        }
    }
}
