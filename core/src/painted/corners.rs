//! The plate's corners, found in the photograph of a plate whose stop-out is known.
//!
//! A painted plate is no light sheet on a dark table: along its rim it is lighter here and darker there, its bevel shines in a line of its own,
//! and varnish on a dark bench shows no edge at all. So straight lines of either kind are put together to quadrilaterals, and what is
//! painted decides between them: each is held to the stop-out, the best are moved until stop-out and edges agree best, and the edges, where
//! they show, set them to a part of a pixel. Where the stop-out doesn't go well with what is found, or goes nearly as well otherwise, what is
//! returned is no more than a guess, and said to be one.

mod pattern;
mod quads;
mod reduced;

use super::view::SQUARE;
use super::wanted::Way;
use crate::homography::{Homography, Point};
use crate::photo::source::Light;
use crate::photo::{Corners, CornersError, proportion};
use crate::plate::{Plate, SizeMm};
use crate::stopouts::StopOuts;
use crate::warp::Source;
use pattern::Pattern;
use quads::quadrilaterals;
use reduced::Small;

/// Corners, and whether they may be relied on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundPlate {
    /// The plate's corners as the plate view has them.
    pub corners: Corners,
    /// Whether everything spoke for them: else they are a guess, to be looked at.
    pub sure: bool,
    /// How well the stop-out goes with what lies within them, 0 to 1: a correlation.
    pub fit: f64,
    /// How far they lead whatever goes next best and lies elsewhere, of stop-out and edges together.
    pub lead: f64,
    /// How much is lost when one of the corners or sides is moved by a millimetre and a half: little, where nothing holds it.
    pub firm: f64,
    /// How much of an edge the rim shows, 0 to 1.
    pub rim: f64,
}

/// Quadrilaterals that are moved to their best in the rough picture, and of those the ones set by the finer one.
const MOVED: usize = 6;
const SET: usize = 3;
/// How far the proportion seen may lie from the plate's, in its logarithm: a camera's focal length is not known.
const PROPORTION: f64 = 0.16;
/// Corners farther off than this, mm, lie elsewhere.
const ELSEWHERE: f64 = 1.5;
/// What must speak for corners to be relied on, as [`FoundPlate`] has it.
const SURE: Sure = Sure { fit: 0.66, lead: 0.015, firm: 0.012, rim: 0.17 };

struct Sure {
    fit: f64,
    lead: f64,
    firm: f64,
    rim: f64,
}

/// Steps by which corners are moved, mm: in the rough picture and in the fine one.
const STEPS: ([f64; 4], [f64; 4]) = ([3.0, 1.6, 0.8, 0.4], [0.4, 0.2, 0.1, 0.05]);

impl FoundPlate {
    /// Whether what lies within the corners goes with the stop-out, wherever else it might go as well.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.fit >= SURE.fit
    }
}

/// Twice-signed area halved; positive clockwise as seen.
fn area(quad: &[Point; 4]) -> f64 {
    (0..4).map(|i| quad[i][0] * quad[(i + 1) % 4][1] - quad[(i + 1) % 4][0] * quad[i][1]).sum::<f64>() / 2.0
}

fn apart(a: &[Point; 4], b: &[Point; 4]) -> f64 {
    (0..4).map(|i| libm::hypot(a[i][0] - b[i][0], a[i][1] - b[i][1])).fold(0.0, f64::max)
}

/// The same corners with a side or a corner moved by so much, each way.
fn beside(quad: &[Point; 4], by: f64) -> impl Iterator<Item = [Point; 4]> {
    const WAYS: [Point; 4] = [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]];
    let moved = |corners: &[usize], way: Point| {
        let mut next = *quad;
        for &i in corners {
            next[i] = [next[i][0] + by * way[0], next[i][1] + by * way[1]];
        }
        next
    };
    let middle: Point = [0, 1].map(|k| quad.iter().map(|p| p[k]).sum::<f64>() / 4.0);
    // A corner along its diagonal and across it, a side outward and inward.
    let unit = |v: Point| {
        let length = libm::hypot(v[0], v[1]).max(1e-9);
        [v[0] / length, v[1] / length]
    };
    let mut all = Vec::with_capacity(24);
    for i in 0..4 {
        let j = (i + 1) % 4;
        let out = unit([quad[i][0] - middle[0], quad[i][1] - middle[1]]);
        let normal = unit([quad[j][1] - quad[i][1], quad[i][0] - quad[j][0]]);
        for [along, across] in WAYS {
            all.push(moved(&[i], [along * out[0] - across * out[1], along * out[1] + across * out[0]]));
            if across == 0.0 {
                all.push(moved(&[i, j], normal.map(|v| along * v)));
            }
        }
    }
    all.into_iter()
}

/// What speaks for corners: the stop-out and the edges.
fn worth(small: &Small, pattern: &Pattern, quad: &[Point; 4]) -> f64 {
    pattern.fit(small, quad) + small.scale.edges * small.rim(quad).iter().sum::<f64>() / 4.0
}

/// Corners moved until stop-out and edges agree best.
fn settled(small: &Small, pattern: &Pattern, start: [Point; 4], px_per_mm: f64, steps: &[f64]) -> ([Point; 4], f64) {
    let worth = |quad: &[Point; 4]| worth(small, pattern, quad);
    let mut quad = start;
    let mut best = worth(&quad);
    for &step in steps {
        let by = step * px_per_mm;
        for _ in 0..6 {
            let before = best;
            // Sides, then corners, then the whole.
            let groups: [&[usize]; 9] = [&[0, 1], &[1, 2], &[2, 3], &[3, 0], &[0], &[1], &[2], &[3], &[0, 1, 2, 3]];
            for group in groups {
                for dir in [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]] {
                    let mut next = quad;
                    for &i in group {
                        next[i] = [next[i][0] + by * dir[0], next[i][1] + by * dir[1]];
                    }
                    let got = worth(&next);
                    if got > best + 1e-6 {
                        (quad, best) = (next, got);
                    }
                }
            }
            if best - before < 1e-4 {
                break;
            }
        }
    }
    (quad, best)
}

/// Looks for the plate.
///
/// Where it is nowhere as it should be, it is looked for mirrored: whoever is given these corners sees that it is.
///
/// # Errors
/// Where there are no four straight sides of a plate of its proportion.
pub(super) fn find(light: &Light<'_>, plate: &Plate, stop_outs: &StopOuts, number: usize) -> Result<FoundPlate, CornersError> {
    let (fine, rough) = Small::both(light);
    let quads = quadrilaterals(&rough);
    let look = |way: Way| best(&fine, &rough, &quads, &Pattern::of(plate, stop_outs, number, way), plate.size(), Source::<3>::size(light));
    let found = look(Way::default());
    if found.is_some_and(|found| found.sure) {
        return found.ok_or(CornersError::NoSheet);
    }
    let mirrored = look(Way { turned: false, mirrored: true }).filter(|mirrored| mirrored.sure);
    mirrored.or(found).ok_or(CornersError::NoSheet)
}

/// A photograph made small twice, once for whatever is asked of it.
pub(crate) struct Reduced {
    fine: Small,
    rough: Small,
    picture: (usize, usize),
}

impl Reduced {
    pub(crate) fn of(light: &Light<'_>) -> Self {
        let (fine, rough) = Small::both(light);
        Self { fine, rough, picture: Source::<3>::size(light) }
    }
}

/// A rectangle of a size, and what is wanted at places of it, in the logarithm of light.
pub(crate) struct Known {
    size: SizeMm,
    pattern: Pattern,
}

impl Known {
    /// Places are shares of the rectangle.
    pub(crate) fn new(size: SizeMm, places: Vec<(Point, f64)>) -> Self {
        Self { size, pattern: Pattern::at(places) }
    }

    /// Looks for it.
    ///
    /// # Errors
    /// Where there are no four straight sides of its proportion.
    pub(crate) fn find(&self, photo: &Reduced) -> Result<FoundPlate, CornersError> {
        let Reduced { fine, rough, picture } = photo;
        let mut quads = quadrilaterals(rough);
        quads.extend(self.within(rough, &quads, *picture));
        best(fine, rough, &quads, &self.pattern, self.size, *picture).ok_or(CornersError::NoSheet)
    }

    /// Where the rectangle may lie within what does show its sides: a print's own sides may be white, but the sheet lies in the same plane. The
    /// picture counts as such a frame too, for scans.
    fn within(&self, rough: &Small, quads: &[[Point; 4]], picture: (usize, usize)) -> Vec<[Point; 4]> {
        /// Frames looked in, what is kept of them, and places tried each way.
        const FRAMES: usize = 6;
        const KEPT: usize = 24;
        const PLACES: usize = 11;
        let few = self.pattern.thinned(9);
        let (w, h) = (rough.size().0 as f64, rough.size().1 as f64);
        let mut frames = vec![[[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]];
        for quad in quads {
            if frames.len() <= FRAMES && frames.iter().all(|frame| apart(frame, quad) > 0.03 * w.max(h)) {
                frames.push(*quad);
            }
        }
        let wanted = self.size.width.0 / self.size.height.0;
        let mut tried: Vec<(f64, [Point; 4])> = Vec::new();
        for frame in &frames {
            for turn in 0..4 {
                let mut frame = *frame;
                frame.rotate_left(turn);
                let in_picture = Corners(frame.map(|p| p.map(|v| v * rough.factor)));
                let (Some(seen), Some(map)) = (proportion(&in_picture, picture), Homography::between(&SQUARE, &frame)) else { continue };
                // Up to the whole frame, each size a twelfth smaller.
                let mut wide = (wanted / seen).min(1.0);
                while wide > 0.25 * (wanted / seen).min(1.0) {
                    let high = wide * seen / wanted;
                    for i in 0..PLACES * PLACES {
                        let place = |k: usize, side: f64| (1.0 - side) * k as f64 / (PLACES - 1) as f64;
                        let (x, y) = (place(i % PLACES, wide), place(i / PLACES, high));
                        let quad = [[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]].map(|p| map.apply(p));
                        tried.push((few.fit(rough, &quad), quad));
                    }
                    wide /= 1.08;
                }
            }
        }
        tried.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut kept: Vec<[Point; 4]> = Vec::new();
        for (_, quad) in tried {
            if kept.len() < KEPT && kept.iter().all(|other| apart(other, &quad) > 0.02 * w.max(h)) {
                kept.push(quad);
            }
        }
        kept
    }

    /// How well what lies within corners goes with it, 0 to 1.
    pub(crate) fn fit(&self, Reduced { fine, .. }: &Reduced, corners: &Corners) -> f64 {
        self.pattern.fit(fine, &corners.0.map(|p| p.map(|v| v / fine.factor)))
    }

    /// Corners moved until it goes best with what lies within them, by these steps in mm; and how well it goes before and after.
    pub(crate) fn settled(&self, Reduced { fine, .. }: &Reduced, corners: &Corners, steps: &[f64]) -> (Corners, [f64; 2]) {
        let start = corners.0.map(|p| p.map(|v| v / fine.factor));
        let px_per_mm = Corners(start).sides()[0] / self.size.width.0;
        let (quad, _) = settled(fine, &self.pattern, start, px_per_mm, steps);
        let fits = [start, quad].map(|quad| self.pattern.fit(fine, &quad));
        (Corners(quad.map(|p| p.map(|v| v * fine.factor))), fits)
    }
}

/// The quadrilateral that goes best with a pattern.
fn best(fine: &Small, rough: &Small, quads: &[[Point; 4]], pattern: &Pattern, size: SizeMm, picture: (usize, usize)) -> Option<FoundPlate> {
    let wanted = libm::log(size.width.0 / size.height.0);
    let in_picture = |quad: &[Point; 4], small: &Small| Corners(quad.map(|p| p.map(|v| v * small.factor)));
    let in_proportion = |corners: &Corners| proportion(corners, picture).is_some_and(|seen| (libm::log(seen) - wanted).abs() <= PROPORTION);
    let mut tried: Vec<(f64, [Point; 4])> = Vec::new();
    for quad in quads {
        for turn in 0..4 {
            let mut quad = *quad;
            quad.rotate_left(turn);
            if in_proportion(&in_picture(&quad, rough)) {
                tried.push((worth(rough, pattern, &quad), quad));
            }
        }
    }
    let best_first = |all: &mut Vec<(f64, [Point; 4])>| all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let scale = |quad: &[Point; 4]| Corners(*quad).sides()[0] / size.width.0;
    let moved = |small: &Small, all: &[(f64, [Point; 4])], most: usize, larger: f64, steps: &[f64]| {
        let one = |(_, quad): &(f64, [Point; 4])| {
            let quad = quad.map(|p| p.map(|v| v * larger));
            let (quad, worth) = settled(small, pattern, quad, scale(&quad), steps);
            (worth, quad)
        };
        let mut all: Vec<_> = all.iter().take(most).map(one).collect();
        best_first(&mut all);
        all
    };
    best_first(&mut tried);
    let near_by = moved(rough, &tried, MOVED, 1.0, &STEPS.0);
    let larger = rough.factor / fine.factor;
    let set = moved(fine, &near_by, SET, larger, &STEPS.1);
    let &(most, quad) = set.first()?;
    // What goes next best and lies elsewhere, looked at the same way.
    let near = ELSEWHERE * scale(&quad);
    let others = near_by.iter().chain(&tried).map(|(_, quad)| quad.map(|p| p.map(|v| v * larger)));
    let others = others.filter(|other| apart(other, &quad) > near).map(|other| worth(fine, pattern, &other));
    let next = set.iter().filter(|(_, other)| apart(other, &quad) > near).map(|s| s.0).chain(others).fold(0.0, f64::max);
    let firm = most - beside(&quad, near).map(|other| worth(fine, pattern, &other)).fold(0.0, f64::max);
    let corners = in_picture(&quad, fine);
    corners.check(picture).ok()?;
    let (fit, lead) = (pattern.fit(fine, &quad), most - next);
    let rim = fine.rim(&quad).iter().sum::<f64>() / 4.0;
    // A plate cut off by the picture's edge is squeezed into it by the stop-out alone: then the rim shows no edge, or the proportion is off.
    let (width, height) = (picture.0 as f64, picture.1 as f64);
    let whole = corners.0.iter().all(|p| (1.0..=width - 1.0).contains(&p[0]) && (1.0..=height - 1.0).contains(&p[1]));
    let sure = fit >= SURE.fit && lead >= SURE.lead && firm >= SURE.firm && rim >= SURE.rim && whole && in_proportion(&corners);
    Some(FoundPlate { corners, sure, fit, lead, firm, rim })
}

#[cfg(test)]
mod tests {
    use super::super::example::{of, photo, photo_at, plate};
    use super::*;
    use crate::drawing::Drawing;
    use crate::plane::Plane;
    use proptest::prelude::*;

    /// How far the worst corner lies off, mm at 5 px/mm and a scale.
    fn off(found: &Corners, truth: &Corners, scale: f64) -> f64 {
        apart(&found.0, &truth.0) / (5.0 * scale)
    }

    fn found(drawing: &Drawing) -> Result<FoundPlate, CornersError> {
        let (plate, stop_outs) = plate();
        find(&Light::of(drawing), &plate, &stop_outs, 1)
    }

    /// Turned by a quarter clockwise.
    fn turned(plane: &Plane<f32>) -> Plane<f32> {
        Plane::from_fn(plane.height(), plane.width(), |x, y| plane.at(y, plane.height() - 1 - x))
    }

    #[test]
    fn a_plate_is_found_whichever_way_it_lies() {
        let (_, stop_outs) = plate();
        let (drawing, mut corners) = photo(&stop_outs, (0.05, 0.5), &[]);
        let mut picture = drawing.luminance().clone();
        for turn in 0..4 {
            let got = found(&Drawing::from_luminance(&picture)).unwrap();
            assert!(got.sure && off(&got.corners, &corners, 1.0) < 0.3, "{turn}: {got:?}");
            let high = picture.height() as f64;
            corners = Corners(corners.0.map(|[x, y]| [high - y, x]));
            picture = turned(&picture);
        }
    }

    #[test]
    fn what_is_no_such_plate_is_never_sure() {
        let (_, stop_outs) = plate();
        // Another plate of the same size, one with no varnish, one that is all varnish, half of one, nothing.
        let (_, other) = of(|x, y| (x / 60 + y / 50) % 2 == 0);
        let half = photo(&stop_outs, (0.05, 0.5), &[]).0.luminance().clone();
        let half = Plane::from_fn(170, 290, |x, y| half.at(x, y));
        for (what, drawing) in [
            ("another", photo(&other, (0.05, 0.5), &[]).0),
            ("bare", photo(&stop_outs, (0.5, 0.5), &[]).0),
            ("all varnish", photo(&stop_outs, (0.05, 0.05), &[]).0),
            ("half", Drawing::from_luminance(&half)),
            ("nothing", Drawing::from_luminance(&Plane::filled(300, 200, 0.5))),
            ("black", Drawing::from_luminance(&Plane::filled(300, 200, 0.0))),
            ("white", Drawing::from_luminance(&Plane::filled(300, 200, 1.0))),
            ("one pixel", Drawing::from_luminance(&Plane::filled(1, 1, 0.5))),
            ("a line", Drawing::from_luminance(&Plane::from_fn(2000, 1, |x, _| (x % 7) as f32 / 7.0))),
        ] {
            assert!(found(&drawing).is_err() || !found(&drawing).unwrap().sure, "{what}: {:?}", found(&drawing));
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 10, ..ProptestConfig::default() })]
        #[test]
        fn sure_corners_are_right(radians in 0.0..std::f64::consts::TAU, scale in 0.8..1.3f64, tilt in -2e-4..2e-4f64, table in 0.02..0.9f32) {
            let (_, stop_outs) = plate();
            let turn = Homography::similarity(radians, scale, [150.0, 125.0], [300.0, 300.0]).unwrap();
            let place = Homography::new([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [tilt, 0.0, 1.0 - 300.0 * tilt]]).unwrap() * turn;
            let (drawing, corners) = photo_at(&stop_outs, (0.05, 0.5), &[], place, (600, 600));
            let drawing = Drawing::from_luminance(&drawing.luminance().map(|&v| if v > 0.8 { table } else { v }));
            match found(&drawing) {
                Ok(got) => prop_assert!(!got.sure || off(&got.corners, &corners, scale) < 0.6, "{:?} {:?}", got, corners),
                Err(error) => prop_assert_eq!(error, CornersError::NoSheet),
            }
        }
    }
}
