//! What lies round the sheet: the same light falls on it, but no wash of the drawing's. So it bears out a fall of light, or speaks
//! against it.

use super::field::luminance;
use super::source::Light;
use crate::homography::{Homography, Point};
use crate::warp::Source;

/// A place beside the sheet, shares of the sheet, and ln of its luminance.
pub(super) type Beside = (Point, f64);

/// Places a side, and how far from the edge, shares of the sheet's side: beyond the shadow the sheet itself throws.
const PLACES: usize = 30;
const AWAY: [f64; 2] = [0.05, 0.08];

/// Looks at the table round the sheet; what lies outside the picture is left out.
pub(super) fn beside(light: &Light<'_>, map: &Homography) -> Vec<Beside> {
    let mut found = Vec::new();
    let (w, h) = light.size();
    let radius = ((w.min(h) / 250) as i64).max(1);
    for away in AWAY {
        for i in 0..PLACES {
            let t = (i as f64 + 0.5) / PLACES as f64;
            for at in [[t, -away], [1.0 + away, t], [t, 1.0 + away], [-away, t]] {
                let [x, y] = map.apply(at);
                let (x, y) = (x as i64, y as i64);
                if x < radius || y < radius || x + radius >= w as i64 || y + radius >= h as i64 {
                    continue;
                }
                let mut logs = Vec::new();
                for v in y - radius..=y + radius {
                    for u in x - radius..=x + radius {
                        logs.push(libm::log(luminance(light.at(u as usize, v as usize).map(f64::from)).max(1e-4)));
                    }
                }
                logs.sort_by(f64::total_cmp);
                found.push((at, logs[logs.len() / 2]));
            }
        }
    }
    found
}

/// Least range of the field that can be checked, in its logarithm, and least places.
const CHECKED: (f64, usize) = (0.22, 60);
/// The table must follow the field by at least this slope; one follows it wholly, none not at all.
const FOLLOWS: f64 = 0.45;

/// Whether the table speaks against `field` (ln luminance of paper at a place) being light: it hardly follows it, and is even enough to tell.
///
/// The slope of the table's light over the field's is the median of slopes between pairs of places, H. Theil 1950 and P. Sen 1968.
pub(super) fn contradicts(table: &[Beside], field: impl Fn(Point) -> f64) -> bool {
    if table.len() < CHECKED.1 {
        return false;
    }
    let points: Vec<(f64, f64)> = table.iter().map(|&(at, log)| (field(at), log)).collect();
    let ends = points.iter().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p.0), high.max(p.0)));
    let range = ends.1 - ends.0;
    if range < CHECKED.0 {
        return false;
    }
    let mut slopes = Vec::new();
    for (i, a) in points.iter().enumerate() {
        for b in &points[..i] {
            if (a.0 - b.0).abs() > range / 4.0 {
                slopes.push((a.1 - b.1) / (a.0 - b.0));
            }
        }
    }
    slopes.sort_by(f64::total_cmp);
    let Some(&slope) = slopes.get(slopes.len() / 2) else { return false };
    let ranked = |mut values: Vec<f64>, share: usize| {
        values.sort_by(f64::total_cmp);
        values[values.len() * share / 4]
    };
    let offset = ranked(points.iter().map(|p| p.1 - slope * p.0).collect(), 2);
    // Three quarters of the table must be even: of a chequered one half may well be.
    let spread = ranked(points.iter().map(|p| (p.1 - slope * p.0 - offset).abs()).collect(), 3);
    slope < FOLLOWS && spread < 0.3 * range
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_follows_light_and_not_a_wash() {
        let field = |[_, v]: Point| -0.7 * v;
        let places =
            |log: fn(f64) -> f64| -> Vec<Beside> { (0..100).map(|i| ([-0.05, f64::from(i) / 100.0], log(f64::from(i) / 100.0))).collect() };
        assert!(contradicts(&places(|_| -2.0), field));
        assert!(!contradicts(&places(|v| -2.0 - 0.7 * v), field));
        // A chequered cloth tells nothing; nor does a fall of less than a fifth.
        assert!(!contradicts(&places(|v| if (v * 7.0) as i32 % 2 == 0 { -2.0 } else { -1.0 }), field));
        assert!(!contradicts(&places(|_| -2.0), |[_, v]| -0.1 * v));
    }
}
