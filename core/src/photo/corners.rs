//! The sheet's four corners, found in a photograph: a light sheet on something darker, all of it in the picture.
//!
//! Straight edges of a reduced picture are put together to quadrilaterals; the one whose sides are best borne out by a step from dark
//! outside to light inside is taken to full resolution, where each side is a curve through hundreds of places. Light is compared by
//! its logarithm, so that an edge in a shadow counts as much as one in the light.
//!
//! Where it can fail: a sheet no lighter than what it lies on, one whose drawing runs dark to its edges, a corner outside the picture
//! or under a hand's full cover. It says so rather than guess.

use super::edge::{Edge, SUPPORT};
use super::lines::{Line, lines, slopes};
use crate::homography::Point;
use crate::plane::Plane;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Four corners of a sheet in pixels of the upright picture, x right, y down, (0, 0) the outer corner of the first pixel: upper left,
/// upper right, lower right, lower left as the drawing is read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Corners(pub [Point; 4]);

/// Sides in order, in words.
pub(super) const SIDES: [&str; 4] = ["upper", "right", "lower", "left"];

/// Why corners can't be, or can't be told.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum CornersError {
    /// No quadrilateral of four clear sides was found.
    NoSheet,
    /// One side is not clear enough at full resolution.
    Side(usize),
    /// The corners do not go round a sheet, clockwise, or lie far outside the picture.
    Shape,
}

impl fmt::Display for CornersError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSheet => write!(
                f,
                "The sheet's corners can't be told: four straight edges of a light sheet on something darker were looked for. \
                 Set the corners by hand, or photograph the whole sheet on a dark table."
            ),
            Self::Side(side) => write!(
                f,
                "The sheet's {} edge can't be told from what lies beside it: set the corners by hand, or photograph the sheet on a \
                 darker table.",
                SIDES[side % 4]
            ),
            Self::Shape => write!(
                f,
                "These four corners go round no sheet: put them on its upper left, upper right, lower right and lower left corner, in the \
                 picture or close by it."
            ),
        }
    }
}

impl std::error::Error for CornersError {}

/// How far outside the picture a corner may be set, share of its longer side.
const BESIDE: f64 = 0.5;

impl Corners {
    /// Checks that the corners go clockwise round a convex sheet near a picture of so many pixels.
    ///
    /// # Errors
    /// When they do not.
    pub fn check(&self, (width, height): (usize, usize)) -> Result<(), CornersError> {
        let margin = BESIDE * width.max(height) as f64;
        let near = |p: &Point| (-margin..=width as f64 + margin).contains(&p[0]) && (-margin..=height as f64 + margin).contains(&p[1]);
        let turn = |i: usize| {
            let [a, b, c] = [0, 1, 2].map(|k| self.0[(i + k) % 4]);
            (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        };
        // At least 64 square pixels at each corner: less is a line.
        let round = (0..4).all(|i| turn(i) > 64.0);
        if self.0.iter().all(near) && round { Ok(()) } else { Err(CornersError::Shape) }
    }

    /// Lengths of the four sides, pixels: upper, right, lower, left.
    #[must_use]
    pub fn sides(&self) -> [f64; 4] {
        std::array::from_fn(|i| {
            let (a, b) = (self.0[i], self.0[(i + 1) % 4]);
            libm::hypot(b[0] - a[0], b[1] - a[1])
        })
    }
}

/// The corners found, and what the edges told besides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundCorners {
    /// The corners.
    pub corners: Corners,
    /// How far the middle of each side stands off the line through its ends, pixels, positive inward; 0 where it is no more than chance.
    pub sagitta_px: [f64; 4],
}

/// Longest side of the reduced picture.
const SMALL: usize = 640;
/// Straight edges looked at.
const LINES: usize = 110;
/// Places looked at along each side of a quadrilateral.
const PROBES: usize = 40;
/// Pixels of the reduced picture to either side that a step is measured between.
const BESIDE_EDGE: f64 = 3.0;
/// A step of this much, in the logarithm of light, is a full vote: a third lighter.
const FULL_STEP: f32 = 0.28;
/// Least mean vote of a side, and least share of the picture that a sheet takes.
const LEAST: (f64, f64) = (0.55, 0.08);

/// A sheet's edge scatters less than this, pixels and share of its length: a deckle of a third of a millimetre on 250 mm passes, shapes
/// within a drawing that happen to lie in a square do not.
const RAGGED: (f64, f64) = (1.0, 0.0013);

/// Finds the sheet.
///
/// # Errors
/// When no sheet is clear enough: never a guess.
pub fn find(light: &Plane<f32>) -> Result<FoundCorners, CornersError> {
    let factor = light.width().max(light.height()).div_ceil(SMALL).max(1);
    let small = reduced(light, factor);
    let rough = quadrilateral(&small).ok_or(CornersError::NoSheet)?;
    let factor = factor as f64;
    let mut corners = Corners(rough.map(|p| p.map(|v| v * factor)));
    let mut found = [0.0; 4];
    let mut ragged = None;
    // The second look is closer, so that what lies beside the sheet no longer draws the edge away; a bowed side needs room for its bow.
    let long = corners.sides().iter().fold(0.0, |most: f64, &side| most.max(side));
    for reach in [(4.0 * factor).max(0.015 * long), (1.2 * factor).max(3.0)] {
        let edges = edges(light, &corners, found.map(|bow: f64| reach + bow.abs()))?;
        for i in 0..4 {
            // Corner i is where the side before it, ending there, meets the side that begins there.
            corners.0[i] = edges[(i + 3) % 4].corner(&edges[i]).ok_or(CornersError::Shape)?;
            found[i] = if edges[i].bowed() { edges[i].sagitta } else { 0.0 };
        }
        ragged = (0..4).find(|&i| edges[i].spread > RAGGED.0.max(RAGGED.1 * corners.sides()[i]));
    }
    if let Some(side) = ragged {
        return Err(CornersError::Side(side));
    }
    corners.check((light.width(), light.height()))?;
    Ok(FoundCorners { corners, sagitta_px: found })
}

/// How far each side of a sheet bows, pixels, positive inward; `None` where its edge is not clear. The corners stay as they are given.
#[must_use]
pub fn bows(light: &Plane<f32>, corners: &Corners) -> [Option<f64>; 4] {
    let reach = (0.02 * corners.sides().iter().fold(0.0, |most: f64, &side| most.max(side))).max(6.0);
    std::array::from_fn(|i| {
        let edge = Edge::find(light, corners.0[i], corners.0[(i + 1) % 4], reach)?;
        Some(if edge.bowed() { edge.sagitta } else { 0.0 })
    })
}

fn edges(light: &Plane<f32>, corners: &Corners, reach: [f64; 4]) -> Result<[Edge; 4], CornersError> {
    let mut all = Vec::with_capacity(4);
    for (i, reach) in reach.into_iter().enumerate() {
        let edge = Edge::find(light, corners.0[i], corners.0[(i + 1) % 4], reach).filter(|edge| edge.support >= SUPPORT);
        all.push(edge.ok_or(CornersError::Side(i))?);
    }
    <[Edge; 4]>::try_from(all).map_err(|_| CornersError::NoSheet)
}

/// The logarithm of the light, reduced by a whole factor and a little smoothed.
fn reduced(light: &Plane<f32>, factor: usize) -> Plane<f32> {
    let (w, h) = ((light.width() / factor).max(1), (light.height() / factor).max(1));
    let mut sums = Plane::filled(w, h, 0.0f32);
    for y in 0..h * factor.min(light.height()) {
        let row = &mut sums.data_mut()[y / factor * w..(y / factor + 1) * w];
        for (sum, run) in row.iter_mut().zip(light.row(y.min(light.height() - 1)).chunks(factor)) {
            *sum += run.iter().sum::<f32>();
        }
    }
    let most = sums.data().iter().fold(0.0f32, |most, &v| most.max(v)).max(1e-6);
    // Three hundredths of the lightest keep noise in the dark from looking like edges.
    let logs = sums.map(|&v| libm::logf(v / most + 0.03));
    smoothed(&logs)
}

/// The binomial 1 2 1 both ways.
fn smoothed(plane: &Plane<f32>) -> Plane<f32> {
    let (w, h) = (plane.width(), plane.height());
    let near = |v: usize, by: i64, most: usize| (v as i64 + by).clamp(0, most as i64 - 1) as usize;
    let across = Plane::from_fn(w, h, |x, y| 0.25 * plane.at(near(x, -1, w), y) + 0.5 * plane.at(x, y) + 0.25 * plane.at(near(x, 1, w), y));
    Plane::from_fn(w, h, |x, y| 0.25 * across.at(x, near(y, -1, h)) + 0.5 * across.at(x, y) + 0.25 * across.at(x, near(y, 1, h)))
}

/// The best borne out quadrilateral of the reduced picture.
fn quadrilateral(small: &Plane<f32>) -> Option<[Point; 4]> {
    let lines = lines(&slopes(small), LINES);
    let size = (small.width() as f64, small.height() as f64);
    let mut best: Option<(f64, [Point; 4])> = None;
    // Normals point inward: upper side down, right side left, lower side up, left side right. So they follow one another by a quarter
    // turn clockwise as seen, 90° more each.
    let next = |a: &Line, b: &Line| {
        let turn = (b.angle - a.angle).rem_euclid(360.0);
        (50.0..=130.0).contains(&turn)
    };
    for upper in lines.iter().filter(|line| (45.0 - 1.0..=135.0).contains(&line.angle)) {
        for right in lines.iter().filter(|line| next(upper, line)) {
            let Some(upper_right) = upper.meets(right).filter(|p| inside(*p, size)) else { continue };
            for lower in lines.iter().filter(|line| next(right, line)) {
                let Some(lower_right) = right.meets(lower).filter(|p| inside(*p, size)) else { continue };
                for left in lines.iter().filter(|line| next(lower, line) && next(line, upper)) {
                    let (Some(lower_left), Some(upper_left)) = (lower.meets(left), left.meets(upper)) else { continue };
                    let quad = [upper_left, upper_right, lower_right, lower_left];
                    if !quad.iter().all(|&p| inside(p, size)) || area(&quad) < LEAST.1 * size.0 * size.1 {
                        continue;
                    }
                    let floor = best.map_or(0.0, |(score, _)| score);
                    if let Some(score) = score(small, &quad, floor) {
                        best = Some((score, quad));
                    }
                }
            }
        }
    }
    best.map(|(_, quad)| quad)
}

fn inside([x, y]: Point, (w, h): (f64, f64)) -> bool {
    // A corner closer to the picture's edge than the step is measured over may as well be cut off by it.
    (BESIDE_EDGE..=w - BESIDE_EDGE).contains(&x) && (BESIDE_EDGE..=h - BESIDE_EDGE).contains(&y)
}

/// Twice-signed area halved; positive clockwise as seen.
fn area(quad: &[Point; 4]) -> f64 {
    (0..4).map(|i| quad[i][0] * quad[(i + 1) % 4][1] - quad[(i + 1) % 4][0] * quad[i][1]).sum::<f64>() / 2.0
}

/// Length of all sides, each times the square of its mean vote: so a side drawn too long loses more than it gains. `None` where a side is
/// not borne out or the whole does not beat `floor`.
fn score(small: &Plane<f32>, quad: &[Point; 4], floor: f64) -> Option<f64> {
    let lengths = Corners(*quad).sides();
    let mut left: f64 = lengths.iter().sum();
    let mut score = 0.0;
    for (i, length) in lengths.into_iter().enumerate() {
        if length < 8.0 {
            return None;
        }
        let (a, b) = (quad[i], quad[(i + 1) % 4]);
        let along = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
        let inward = [-along[1], along[0]];
        let mut sum = 0.0f32;
        for k in 0..PROBES {
            let s = (k as f64 + 0.5) / PROBES as f64 * length;
            let at = |off: f64| {
                let v = |c: usize| a[c] + s * along[c] + off * inward[c];
                let pixel = |v: f64, most: usize| (v.max(0.0) as usize).min(most - 1);
                small.at(pixel(v(0), small.width()), pixel(v(1), small.height()))
            };
            sum += ((at(BESIDE_EDGE) - at(-BESIDE_EDGE)) / FULL_STEP).clamp(0.0, 1.0);
        }
        let vote = f64::from(sum) / PROBES as f64;
        left -= length;
        score += length * vote * vote;
        if vote < LEAST.0 || score + left <= floor {
            return None;
        }
    }
    Some(score)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_found_where_nothing_is() {
        assert_eq!(find(&Plane::filled(300, 200, 0.5)).unwrap_err(), CornersError::NoSheet);
        assert_eq!(find(&Plane::filled(1, 1, 0.5)).unwrap_err(), CornersError::NoSheet);
        let mut state = 7u32;
        let noise = Plane::from_fn(300, 400, |_, _| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 8) as f32 / 16_777_215.0
        });
        assert!(find(&noise).is_err());
        let said = CornersError::Side(3).to_string();
        assert!(said.contains("left edge") && said.ends_with('.'));
    }

    #[test]
    fn corners_out_of_order_are_refused() {
        let right = Corners([[10.0, 10.0], [90.0, 12.0], [88.0, 95.0], [8.0, 90.0]]);
        assert!(right.check((100, 100)).is_ok());
        let mut turned = right;
        turned.0.swap(0, 1);
        assert_eq!(turned.check((100, 100)), Err(CornersError::Shape));
        let mut far = right;
        far.0[2] = [900.0, 90.0];
        assert_eq!(far.check((100, 100)), Err(CornersError::Shape));
        assert_eq!(Corners([[f64::NAN; 2]; 4]).check((100, 100)), Err(CornersError::Shape));
    }
}
