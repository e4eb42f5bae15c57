//! Areas in millimetres as stretches of pixels: a pixel belongs to an area when its middle does.

use crate::units::{PointMm, PxPerMm};

/// A raster of the face: how many pixels, and how fine.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Raster {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) resolution: PxPerMm,
}

impl Raster {
    /// A point in pixels, the middle of the first pixel at 0, 0.
    fn px(&self, point: PointMm) -> (f64, f64) {
        (point.x * self.resolution.0 - 0.5, point.y * self.resolution.0 - 0.5)
    }

    /// The pixel that holds a point; none beyond the face.
    pub(crate) fn pixel(&self, point: PointMm) -> Option<(usize, usize)> {
        let (x, y) = (libm::floor(point.x * self.resolution.0), libm::floor(point.y * self.resolution.0));
        let inside = x >= 0.0 && y >= 0.0 && x < self.width as f64 && y < self.height as f64;
        inside.then_some((x as usize, y as usize))
    }

    /// Rows whose middle lies from `top` to `foot`.
    fn rows(&self, top: f64, foot: f64) -> std::ops::Range<usize> {
        whole(top, foot, self.height)
    }

    /// Columns whose middle lies from `left` to `right`.
    fn columns(&self, left: f64, right: f64) -> std::ops::Range<usize> {
        whole(left, right, self.width)
    }
}

/// The whole numbers from `from` to `to` below `count`; empty where there is none.
fn whole(from: f64, to: f64, count: usize) -> std::ops::Range<usize> {
    let start = libm::ceil(from).max(0.0).min(count as f64) as usize;
    let end = (libm::floor(to) + 1.0).max(0.0).min(count as f64) as usize;
    start..end.max(start)
}

/// Calls `stretch(row, start, end)` for the pixels within a closed line, by the even-odd rule: where it crosses itself, what it
/// goes round twice is outside. A middle exactly on the line belongs to the area at its right or below.
pub(crate) fn polygon(raster: Raster, points: &[PointMm], mut stretch: impl FnMut(usize, usize, usize)) {
    let points: Vec<(f64, f64)> = points.iter().map(|&point| raster.px(point)).collect();
    let top = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let foot = points.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let mut crossings = Vec::new();
    // Sides from top to foot, in the order they begin; the ones at work are those the present row crosses.
    let mut sides: Vec<((f64, f64), (f64, f64))> = points
        .iter()
        .zip(points.iter().cycle().skip(1))
        .map(|(&a, &b)| if a.1 <= b.1 { (a, b) } else { (b, a) })
        .filter(|(a, b)| a.1 < b.1)
        .collect();
    sides.sort_by(|a, b| a.0.1.total_cmp(&b.0.1));
    let (mut next, mut at_work) = (0, Vec::new());
    for row in raster.rows(top, foot) {
        let y = row as f64;
        while next < sides.len() && sides[next].0.1 <= y {
            at_work.push(sides[next]);
            next += 1;
        }
        at_work.retain(|(_, b)| b.1 > y);
        crossings.clear();
        crossings.extend(at_work.iter().map(|(a, b)| a.0 + (b.0 - a.0) * ((y - a.1) / (b.1 - a.1))));
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            // From the left crossing on, up to but not with the right one.
            let columns = raster.columns(pair[0], pair[1]);
            let end = if columns.end > columns.start && (columns.end - 1) as f64 >= pair[1] { columns.end - 1 } else { columns.end };
            if columns.start < end {
                stretch(row, columns.start, end);
            }
        }
    }
}

/// Calls `stretch(row, start, end)` for the pixels within half of `width_mm` of a line; rows may come more than once.
pub(crate) fn stroke(raster: Raster, points: &[PointMm], width_mm: f64, mut stretch: impl FnMut(usize, usize, usize)) {
    let radius = raster.resolution.0 * width_mm / 2.0;
    let mut row = |y: usize, from: f64, to: f64| {
        let columns = raster.columns(from, to);
        if columns.start < columns.end {
            stretch(y, columns.start, columns.end);
        }
    };
    if let Some(&first) = points.first() {
        let first = raster.px(first);
        for y in raster.rows(first.1 - radius, first.1 + radius) {
            if let Some((from, to)) = disc(first, radius, y as f64) {
                row(y, from, to);
            }
        }
    }
    for pair in points.windows(2) {
        let (a, b) = (raster.px(pair[0]), raster.px(pair[1]));
        let Some(straight) = Straight::between(a, b, radius) else { continue };
        for y in raster.rows(a.1.min(b.1) - radius, a.1.max(b.1) + radius) {
            // The straight part and the round end at `b` are convex together, so one stretch; that at `a` is there already.
            let both = [straight.across(y as f64), disc(b, radius, y as f64)];
            if let Some((from, to)) = both.into_iter().flatten().reduce(|one, other| (one.0.min(other.0), one.1.max(other.1))) {
                row(y, from, to);
            }
        }
    }
}

/// Where the row at height `y` crosses a disc.
fn disc((x, centre): (f64, f64), radius: f64, y: f64) -> Option<(f64, f64)> {
    let square = radius * radius - (y - centre) * (y - centre);
    (square >= 0.0).then(|| {
        let half = square.sqrt();
        (x - half, x + half)
    })
}

/// Everything within a radius of the piece between two points, but for its round ends: a rectangle.
struct Straight {
    from: (f64, f64),
    along: (f64, f64),
    square: f64,
    reach: f64,
    /// One over the two sides of `along`; infinite where a side is nothing.
    per: (f64, f64),
}

impl Straight {
    /// None where the two are one.
    fn between(a: (f64, f64), b: (f64, f64), radius: f64) -> Option<Self> {
        let along = (b.0 - a.0, b.1 - a.1);
        let square = along.0 * along.0 + along.1 * along.1;
        (square > 0.0).then(|| Self { from: a, along, square, reach: radius * square.sqrt(), per: (1.0 / along.0, 1.0 / along.1) })
    }

    /// Where the row at height `y` crosses it.
    fn across(&self, y: f64) -> Option<(f64, f64)> {
        let ((dx, dy), down) = (self.along, y - self.from.1);
        // Along: 0 ≤ x·dx + down·dy ≤ length². Aside: |x·dy − down·dx| ≤ radius·length, x from the first point.
        let one = range(dx, self.per.0, -down * dy, self.square - down * dy)?;
        let other = range(dy, self.per.1, down * dx - self.reach, down * dx + self.reach)?;
        let (from, to) = (one.0.max(other.0), one.1.min(other.1));
        (from <= to).then_some((self.from.0 + from, self.from.0 + to))
    }
}

/// The x for which `low ≤ slope·x ≤ high`, `per` being one over the slope.
fn range(slope: f64, per: f64, low: f64, high: f64) -> Option<(f64, f64)> {
    if slope.abs() < 1e-12 {
        return (low..=high).contains(&0.0).then_some((f64::NEG_INFINITY, f64::INFINITY));
    }
    let (one, other) = (low * per, high * per);
    Some((one.min(other), one.max(other)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bits::BitPlane;
    use proptest::prelude::*;

    fn raster(width: usize, height: usize, px_per_mm: f64) -> Raster {
        Raster { width, height, resolution: PxPerMm(px_per_mm) }
    }

    fn bits(raster: Raster, draw: impl FnOnce(&mut dyn FnMut(usize, usize, usize))) -> BitPlane {
        let mut bits = BitPlane::empty(raster.width, raster.height);
        draw(&mut |y, start, end| bits.set_stretch(y, start, end));
        bits
    }

    /// How far a point is from a line.
    fn far(points: &[PointMm], x: f64, y: f64) -> f64 {
        let to_piece = |a: PointMm, b: PointMm| {
            let (dx, dy) = (b.x - a.x, b.y - a.y);
            let square = dx * dx + dy * dy;
            let t = if square > 0.0 { (((x - a.x) * dx + (y - a.y) * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
            libm::hypot(x - a.x - t * dx, y - a.y - t * dy)
        };
        let first = to_piece(points[0], points[0]);
        points.windows(2).map(|pair| to_piece(pair[0], pair[1])).fold(first, f64::min)
    }

    fn points(values: &[(f64, f64)]) -> Vec<PointMm> {
        values.iter().map(|&point| point.into()).collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn a_stroke_is_what_lies_near_its_line(line in prop::collection::vec((-2.0f64..14.0, -2.0f64..12.0), 1..7), width in 0.1f64..5.0) {
            let line = points(&line);
            let raster = raster(60, 50, 5.0);
            let drawn = bits(raster, |out| stroke(raster, &line, width, out));
            for y in 0..50 {
                for x in 0..60 {
                    let off = far(&line, (x as f64 + 0.5) / 5.0, (y as f64 + 0.5) / 5.0) - width / 2.0;
                    prop_assert!(off.abs() < 1e-6 || drawn.at(x, y) == (off < 0.0), "({x}, {y}): {off}");
                }
            }
        }

        #[test]
        fn a_polygon_is_what_a_ray_crosses_an_odd_number_of_times(line in prop::collection::vec((-2.0f64..14.0, -2.0f64..12.0), 1..9)) {
            let line = points(&line);
            let raster = raster(60, 50, 5.0);
            let drawn = bits(raster, |out| polygon(raster, &line, out));
            for y in 0..50 {
                for x in 0..60 {
                    // A ray downwards instead of across: another direction, the same parity.
                    let (px, py) = ((x as f64 + 0.5) / 5.0, (y as f64 + 0.5) / 5.0);
                    let closed: Vec<PointMm> = line.iter().copied().chain([line[0]]).collect();
                    let crossed = closed.windows(2).filter(|pair| {
                        let (a, b) = (pair[0], pair[1]);
                        (a.x <= px) != (b.x <= px) && a.y + (b.y - a.y) * ((px - a.x) / (b.x - a.x)) > py
                    });
                    prop_assert!(drawn.at(x, y) == (crossed.count() % 2 == 1) || far(&closed, px, py) < 1e-6, "({x}, {y})");
                }
            }
        }
    }

    #[test]
    fn neighbours_share_no_pixel_and_leave_none() {
        // A square cut in four along pixel middles.
        let raster = raster(20, 20, 2.0);
        let mut count = BitPlane::empty(20, 20);
        let mut sum = 0;
        for (x, y) in [(0.25, 0.25), (5.25, 0.25), (0.25, 5.25), (5.25, 5.25)] {
            let square = points(&[(x, y), (x + 5.0, y), (x + 5.0, y + 5.0), (x, y + 5.0)]);
            polygon(raster, &square, |row, start, end| {
                sum += end - start;
                count.set_stretch(row, start, end);
            });
        }
        assert_eq!(sum as u64, count.count());
        assert_eq!(sum, 20 * 20);
    }

    #[test]
    fn areas_are_those_of_the_closed_forms_at_every_resolution() {
        let triangle = points(&[(3.0, 2.0), (17.0, 5.0), (8.0, 18.0)]);
        let line = points(&[(4.0, 4.0), (16.0, 9.0)]);
        for px_per_mm in [5.0, 10.0, 20.0] {
            let side = (20.0 * px_per_mm) as usize;
            let raster = raster(side, side, px_per_mm);
            let mm2 = |bits: &BitPlane| bits.count() as f64 / (px_per_mm * px_per_mm);
            // Half the cross product: |14·16 − 5·3| / 2 = 104.5 mm²; its edge is 49.0 mm long, and a pixel of it may fall either way.
            let found = mm2(&bits(raster, |out| polygon(raster, &triangle, out)));
            assert!((found - 104.5).abs() < 49.0 / px_per_mm / 4.0, "{found} at {px_per_mm}");
            // A stroke 3 mm wide and 13 mm long with round ends: 39 + π·1.5² mm².
            let found = mm2(&bits(raster, |out| stroke(raster, &line, 3.0, out)));
            assert!((found - 46.07).abs() < 35.4 / px_per_mm / 4.0, "{found} at {px_per_mm}");
        }
    }
}
