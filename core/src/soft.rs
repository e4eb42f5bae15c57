//! Soft passages: where a contour between two tones crosses a gentle slope of the drawing.
//!
//! Stop-out gives hard edges only. Where the drawing fades, the edge lies where the break happens to cut the slope, and it will show as a
//! ring nobody drew. Such places are found along the shared arcs of [`crate::outline`]: soft is where the drawing's lightness changes by
//! less than the distance of the two tones over 8 mm (estimate, no source).

use crate::light::Lightness;
use crate::outline::{Outlines, SharedArc};
use crate::plane::Plane;
use crate::tones::Breaks;
use crate::units::{Millimetres, PointMm, PxPerMm};

mod slope;
pub use slope::Slope;

/// A fade from one tone to the next that takes longer than this is soft, mm. Estimate, no source.
pub const FADE: Millimetres = Millimetres(8.0);

/// An edge is followed in strides of this length, mm.
const STRIDE: f64 = 0.5;

/// Clean-up may move an edge by about a mark from where it was drawn: the slope is looked for so far to both sides, mm.
const ASIDE: f64 = 1.0;

/// Hard stretches shorter than this within a passage do not part it, and passages shorter are not told, mm.
const LEAST: f64 = 3.0;

/// A stretch of contour across a gentle slope.
#[derive(Clone, Debug, PartialEq)]
pub struct SoftPassage {
    /// The lighter of the two tones: the edge is painted at the stop-out of number `lighter + 1`.
    pub lighter: u8,
    /// The darker tone.
    pub darker: u8,
    /// Its length.
    pub length: Millimetres,
    /// Where it runs, mm on the face, print view.
    pub points: Vec<PointMm>,
}

/// The lightness of the drawing that each tone stands for: midway between its breaks, and for the first and last between break and end.
#[must_use]
pub fn levels(breaks: &Breaks, paper: Lightness, black: Lightness) -> Vec<Lightness> {
    let falling = breaks.falling();
    let mut ends = Vec::with_capacity(falling.len() + 2);
    ends.push(Lightness(paper.0.max(falling.first().map_or(paper.0, |l| l.0))));
    ends.extend_from_slice(falling);
    ends.push(Lightness(black.0.min(falling.last().map_or(black.0, |l| l.0))));
    ends.windows(2).map(|pair| Lightness((pair[0].0 + pair[1].0) / 2.0)).collect()
}

/// Finds the soft passages, the longest first. `levels` has the drawing's lightness of each tone; edges to values without one, which are
/// set aside, are none of the drawing's.
#[must_use]
pub fn passages(outlines: &Outlines, lightness: &Plane<f32>, resolution: PxPerMm, levels: &[Lightness]) -> Vec<SoftPassage> {
    let slope = Slope::of(lightness, resolution);
    let level = |tone: u8| levels.get(usize::from(tone)).map(|l| l.0);
    let mut found = Vec::new();
    for arc in &outlines.arcs {
        // What ends at a resist or at an area by hand ends where the printer drew it, however the drawing fades there.
        let Some((lighter, darker)) = level(arc.lighter).zip(level(arc.darker)) else { continue };
        let limit = (lighter - darker).abs() / FADE.0;
        along(arc, &slope, limit, &mut found);
    }
    found.sort_by(|a: &SoftPassage, b: &SoftPassage| b.length.0.total_cmp(&a.length.0));
    found
}

/// One stride of an arc: its middle, its length, and whether it is soft.
struct Stride {
    from: PointMm,
    to: PointMm,
    length: f64,
    soft: bool,
}

fn along(arc: &SharedArc, slope: &Slope, limit: f64, found: &mut Vec<SoftPassage>) {
    let mut strides = strides(arc, slope, limit);
    if strides.is_empty() {
        return;
    }
    if arc.closed
        && let Some(first_hard) = strides.iter().position(|stride| !stride.soft)
    {
        // A closed arc is begun at a hard place, so that no passage is cut by where it happens to start.
        strides.rotate_left(first_hard);
    }
    bridge(&mut strides);
    let mut passage: Vec<&Stride> = Vec::new();
    let mut close = |passage: &mut Vec<&Stride>| {
        let length: f64 = passage.iter().map(|stride| stride.length).sum();
        if length >= LEAST {
            let points = passage.first().map(|stride| stride.from).into_iter().chain(passage.iter().map(|stride| stride.to)).collect();
            found.push(SoftPassage { lighter: arc.lighter, darker: arc.darker, length: Millimetres(length), points });
        }
        passage.clear();
    };
    for stride in &strides {
        if stride.soft {
            passage.push(stride);
        } else {
            close(&mut passage);
        }
    }
    close(&mut passage);
}

/// Cuts an arc into strides and looks at the slope in the middle of each, and beside it.
fn strides(arc: &SharedArc, slope: &Slope, limit: f64) -> Vec<Stride> {
    let mut out = Vec::new();
    let ring = arc.closed.then(|| arc.points.first().copied()).flatten();
    let mut points = arc.points.iter().copied().chain(ring);
    let Some(mut before) = points.next() else { return out };
    for next in points {
        let (dx, dy) = (next.x - before.x, next.y - before.y);
        let length = libm::hypot(dx, dy);
        if length > 0.0 {
            let parts = libm::ceil(length / STRIDE).max(1.0);
            let on = |t: f64| PointMm { x: before.x + t * dx, y: before.y + t * dy };
            for part in 0..parts as usize {
                let (from, to) = (on(part as f64 / parts), on((part + 1) as f64 / parts));
                let middle = on((part as f64 + 0.5) / parts);
                let beside = |far: f64| PointMm { x: middle.x - far * dy / length, y: middle.y + far * dx / length };
                let soft = [0.0, ASIDE, -ASIDE].iter().all(|&far| slope.at(beside(far)) < limit);
                out.push(Stride { from, to, length: length / parts, soft });
            }
        }
        before = next;
    }
    out
}

/// Turns short hard stretches between soft ones soft.
fn bridge(strides: &mut [Stride]) {
    let mut gap: Option<(usize, f64)> = None;
    let mut begun = false;
    for i in 0..strides.len() {
        if !strides[i].soft {
            let (start, length) = gap.unwrap_or((i, 0.0));
            gap = Some((start, length + strides[i].length));
            continue;
        }
        if let Some((start, length)) = gap.take()
            && begun
            && length < LEAST
        {
            for stride in &mut strides[start..i] {
                stride.soft = true;
            }
        }
        begun = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aside::{BY_HAND, RESIST};
    use crate::tones::quantise;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

    const TEN: PxPerMm = PxPerMm(10.0);

    fn all(plane: &Plane<f32>, falling: &[f64]) -> Vec<SoftPassage> {
        let breaks = Breaks::new(falling.iter().map(|&l| Lightness(l)).collect()).unwrap();
        let map = quantise(plane, &breaks);
        passages(&Outlines::of(map.plane(), TEN), plane, TEN, &levels(&breaks, Lightness(95.0), Lightness(5.0)))
    }

    /// Ten tones between L* 95 and 5: breaks 9 L* apart, so an edge is soft under 9/8 = 1.125 L* a mm.
    const NINE: [f64; 9] = [86.0, 77.0, 68.0, 59.0, 50.0, 41.0, 32.0, 23.0, 14.0];

    #[test]
    fn tones_stand_for_the_middle_between_their_breaks() {
        let breaks = Breaks::new(vec![Lightness(80.0), Lightness(40.0)]).unwrap();
        let levels: Vec<f64> = levels(&breaks, Lightness(96.0), Lightness(10.0)).iter().map(|l| l.0).collect();
        assert_eq!(levels, [88.0, 60.0, 25.0]);
    }

    #[test]
    fn a_linear_ramp_is_soft_and_each_break_has_its_length() {
        // 90 L* over 100 mm, 0.9 L* a mm: 9 contours of 40 mm each.
        let ramp = Plane::from_fn(1000, 400, |x, _| 95.0 - 0.09 * x as f32);
        let found = all(&ramp, &NINE);
        assert_eq!(found.len(), 9);
        for passage in &found {
            assert_relative_eq!(passage.length.0, 40.0, max_relative = 0.02);
            assert_eq!(passage.lighter + 1, passage.darker);
            let wanted = (95.0 - NINE[usize::from(passage.lighter)]) / 0.9;
            assert!(passage.points.iter().all(|p| (p.x - wanted).abs() < 0.2), "{passage:?}");
        }
    }

    #[test]
    fn a_steep_ramp_and_a_hard_edged_card_are_not_soft() {
        // The same fall over 70 mm: 1.29 L* a mm.
        let steep = Plane::from_fn(700, 400, |x, _| 95.0 - 90.0 * x as f32 / 700.0);
        assert_eq!(all(&steep, &NINE), []);
        let card = Plane::from_fn(700, 400, |x, y| 90.0 - 9.0 * ((x / 100 + y / 80) % 9) as f32);
        assert_eq!(all(&card, &NINE), []);
        assert_eq!(all(&Plane::filled(30, 20, 50.0), &NINE), []);
    }

    #[test]
    fn the_edge_of_what_is_set_aside_is_no_passage() {
        // Even light; a tone, a resist and an area by hand side by side.
        let zones = Plane::from_fn(300, 200, |x, _| [1, RESIST, 1, BY_HAND, 1][x / 60]);
        let found = passages(&Outlines::of(&zones, TEN), &Plane::filled(300, 200, 80.0), TEN, &[Lightness(90.0), Lightness(70.0)]);
        assert_eq!(found, []);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Whatever comes: passages are parts of the edges, in falling order, and narrow places lie on the face.
        #[test]
        fn passages_are_parts_of_the_edges(width in 1usize..80, height in 1usize..60, seed in any::<u64>(), cell in 1usize..20) {
            let mut state = seed;
            let cells: Vec<f32> = (0..900).map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 40) as f32 / (1u32 << 24) as f32 * 100.0
            }).collect();
            let plane = Plane::from_fn(width, height, |x, y| cells[y / cell % 30 * 30 + x / cell % 30]);
            let breaks = Breaks::new(vec![Lightness(80.0), Lightness(55.0), Lightness(50.0)]).unwrap();
            let map = quantise(&plane, &breaks);
            let outlines = Outlines::of(map.plane(), PxPerMm(2.0));
            let found = passages(&outlines, &plane, PxPerMm(2.0), &levels(&breaks, Lightness(95.0), Lightness(5.0)));
            let edges: f64 = outlines.arcs.iter().map(SharedArc::length_mm).sum();
            prop_assert!(found.iter().map(|p| p.length.0).sum::<f64>() <= edges + 1e-6);
            prop_assert!(found.windows(2).all(|pair| pair[0].length.0 >= pair[1].length.0));
            for band in crate::bands::narrow(map.plane(), PxPerMm(2.0), crate::bands::HandError::default()) {
                prop_assert!((0.0..=1.0).contains(&band.chance) && band.width.0 > 0.0 && band.width.0 < 1.5);
                prop_assert!(band.at.x < width as f64 / 2.0 && band.at.y < height as f64 / 2.0);
            }
        }
    }

    #[test]
    fn a_round_glow_is_one_closed_passage_and_half_a_hard_ring_is_half() {
        // A cone of 1 L* a mm: the contour at L* 77 is a circle of radius 18 mm.
        let radius = |x: usize, y: usize| libm::hypot(x as f64 - 300.0, y as f64 - 300.0) / 10.0;
        let cone = Plane::from_fn(600, 600, |x, y| (95.0 - radius(x, y)).max(74.0) as f32);
        let found = all(&cone, &[77.0]);
        assert_eq!(found.len(), 1);
        assert_relative_eq!(found[0].length.0, 2.0 * std::f64::consts::PI * 18.0, max_relative = 0.01);
        // Below the middle the circle is a hard edge instead.
        let half = Plane::from_fn(600, 600, |x, y| if y > 300 { if radius(x, y) < 18.0 { 95.0 } else { 60.0 } } else { cone.at(x, y) });
        let found = all(&half, &[77.0]);
        assert_eq!(found.len(), 1);
        assert_abs_diff_eq!(found[0].length.0, std::f64::consts::PI * 18.0, epsilon = 5.0);
        assert!(found[0].points.iter().all(|p| p.y < 32.0));
    }
}
