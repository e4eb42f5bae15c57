//! Bands: places where a region is so narrow, between two edges painted by hand, that it may close up.
//!
//! A hand's edge wanders. Where two of them run close together, the metal between may vanish, or leave less than can be seen. Narrow
//! places are found on the medial axis of the regions: between two neighbouring pixels whose nearest foreign pixels lie on opposite sides
//! (W. H. Hesselink and J. B. T. M. Roerdink, IEEE Trans. PAMI 30, 2008, 2204–2217). The face's border is no edge: nobody paints it.

use crate::bits::BitPlane;
use crate::blots::{Blots, grown};
use crate::opening::{Disc, opened};
use crate::plane::Plane;
use crate::tones::ToneCount;
use crate::units::{Millimetres, PointMm, PxPerMm};

/// Bands narrower than this are told, mm. Estimate, no source.
pub const NARROW: Millimetres = Millimetres(1.5);

/// What is left of a band when it counts as closed, mm. Estimate, no source.
pub const CLOSED: Millimetres = Millimetres(0.3);

/// How far a hand's edge wanders from where it should be: a standard deviation, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandError(pub Millimetres);

impl Default for HandError {
    /// 0.4 mm, a practised painter. Estimate, no source.
    fn default() -> Self {
        Self(Millimetres(0.4))
    }
}

/// An error no hand has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandErrorError {
    /// What came, mm.
    pub error: f64,
}

impl std::fmt::Display for HandErrorError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "A hand's edge wanders by 0.05 to 3 mm; {} mm came: 0.4 is a start.", self.error)
    }
}

impl std::error::Error for HandErrorError {}

impl HandError {
    /// A standard deviation from 0.05 to 3 mm.
    ///
    /// # Errors
    /// Outside that.
    pub fn new(error: Millimetres) -> Result<Self, HandErrorError> {
        if (0.05..=3.0).contains(&error.0) { Ok(Self(error)) } else { Err(HandErrorError { error: error.0 }) }
    }

    /// The chance, 0..=1, that a band of a width between two edges of this hand closes to less than [`CLOSED`]: both edges wander
    /// independently and normally, so the width left has the standard deviation σ√2.
    #[must_use]
    pub fn closes(self, width: Millimetres) -> f64 {
        // Φ(x/√2) = erfc(−x/2)/2 with x = (closed − width)/σ.
        libm::erfc((width.0 - CLOSED.0) / (2.0 * self.0.0)) / 2.0
    }
}

/// What a narrow place is to the painter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BandKind {
    /// Lighter than both sides: one stroke of the brush, whose two edges wander together.
    Stroke,
    /// Darker than both sides: left bare between two edges painted later than it is bitten.
    Gap,
    /// Lighter than one side, darker than the other.
    Rung,
}

/// A narrow place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// The tone that is narrow there.
    pub tone: u8,
    /// What it is to the painter.
    pub kind: BandKind,
    /// Its least width, to within a pixel.
    pub width: Millimetres,
    /// Length of the narrow stretch.
    pub length: Millimetres,
    /// Where it is narrowest, mm on the face, print view.
    pub at: PointMm,
    /// The box around it: top left and bottom right.
    pub bounds: [PointMm; 2],
    /// The chance that it closes up, 0..=1; 0 for a [`BandKind::Stroke`].
    pub chance: f64,
}

/// Finds the narrow places of a map of tones, the likeliest to close first. Values from [`ToneCount::MOST`] on are set aside: they are no
/// tones, and their edge is not painted.
#[must_use]
pub fn narrow(map: &Plane<u8>, resolution: PxPerMm, hand: HandError) -> Vec<Band> {
    let mut crossings = axis(map, resolution);
    let mut bits = BitPlane::empty(map.width(), map.height());
    for crossing in &crossings {
        bits.set_stretch(crossing.y, crossing.x, crossing.x + 1);
    }
    // A pixel of growth joins what the raster parts; it is taken off the length again.
    let pieces = Blots::of(&grown(&bits, 2));
    crossings.sort_by(|a, b| a.width.total_cmp(&b.width).then((a.y, a.x).cmp(&(b.y, b.x))));
    let mut by_piece: Vec<Vec<Crossing>> = vec![Vec::new(); pieces.list().len()];
    for crossing in crossings {
        if let Some(piece) = pieces.at(crossing.x, crossing.y) {
            by_piece[piece].push(crossing);
        }
    }
    let mm = |px: f64| resolution.mm(px).0;
    let point = |x: usize, y: usize| PointMm { x: mm(x as f64), y: mm(y as f64) };
    let mut bands = Vec::new();
    for (blot, crossings) in pieces.list().iter().zip(by_piece) {
        // The lower tenth, not the least: a width is read to a pixel, and the least of many would be too small.
        let Some((best, widest)) = crossings.get(crossings.len() / 10).zip(crossings.get(crossings.len() * 9 / 10)) else { continue };
        let (width, length) = (resolution.mm(best.width), resolution.mm(blot.length() - 2.0));
        if length.0 < LEAST_LENGTH || resolution.mm(widest.width - best.width).0 > POINTED * length.0 {
            continue;
        }
        let kind = best.kind();
        bands.push(Band {
            tone: best.tone,
            kind,
            width,
            length,
            at: PointMm { x: mm(best.x as f64 + 0.5), y: mm(best.y as f64 + 0.5) },
            bounds: [point(blot.left + 1, blot.top + 1), point(blot.right.saturating_sub(1), blot.foot.saturating_sub(1))],
            chance: if kind == BandKind::Stroke { 0.0 } else { hand.closes(width) },
        });
    }
    bands.sort_by(|a, b| b.chance.total_cmp(&a.chance).then(a.width.0.total_cmp(&b.width.0)).then(b.length.0.total_cmp(&a.length.0)));
    bands
}

/// Shorter narrow places are corners, mm.
const LEAST_LENGTH: f64 = 1.0;

/// What widens by more than this share of its length is a point, which gets shorter but does not close: an angle of some 15°.
const POINTED: f64 = 0.25;

/// How many bands will close up, to be expected: the sum of their chances.
#[must_use]
pub fn expected(bands: &[Band]) -> f64 {
    bands.iter().map(|band| band.chance).sum()
}

/// A place where the medial axis passes between two edges that face one another.
#[derive(Clone, Copy)]
struct Crossing {
    x: usize,
    y: usize,
    tone: u8,
    /// The tones on the two sides.
    sides: [u8; 2],
    /// Pixels from edge to edge.
    width: f64,
}

impl Crossing {
    fn kind(&self) -> BandKind {
        match self.sides.iter().filter(|&&side| side > self.tone).count() {
            2 => BandKind::Stroke,
            0 => BandKind::Gap,
            _ => BandKind::Rung,
        }
    }
}

/// A place on the raster, or the way from one to another.
type Pixel = (i32, i32);

/// The crossings of the medial axis where a region is narrow.
fn axis(plane: &Plane<u8>, resolution: PxPerMm) -> Vec<Crossing> {
    let most = resolution.px(NARROW);
    // Only what does not hold a disc of the width asked for can be narrow; a pixel more makes up for the raster.
    let reach = most / 2.0 + 1.0;
    let square = (reach * reach) as u32;
    let closed = opened(plane, &Disc::about_pixel(square)).complement();
    let tone = |(x, y): Pixel| -> Option<u8> {
        let inside = x >= 0 && y >= 0 && (x as usize) < plane.width() && (y as usize) < plane.height();
        inside.then(|| plane.at(x as usize, y as usize))
    };
    let ways = ways(reach);
    let nearest = |at: Pixel, own: u8| -> Option<Pixel> {
        let foreign = |&(dx, dy): &Pixel| tone((at.0 + dx, at.1 + dy)).is_some_and(|other| other != own && other < ToneCount::MOST);
        ways.iter().copied().find(foreign).map(|(dx, dy)| (at.0 + dx, at.1 + dy))
    };
    let mut crossings = Vec::new();
    let mut above: Vec<Option<Pixel>> = vec![None; plane.width()];
    let mut row = above.clone();
    for y in 0..plane.height() {
        row.fill(None);
        for (i, &word) in closed.row(y).iter().enumerate() {
            let mut left = word;
            while left != 0 {
                let x = i * 64 + left.trailing_zeros() as usize;
                left &= left - 1;
                let (here, own) = ((x as i32, y as i32), plane.at(x, y));
                let Some(near) = nearest(here, own).filter(|_| own < ToneCount::MOST) else { continue };
                row[x] = Some(near);
                let beside = (x > 0).then(|| row[x - 1].map(|far| (far, (here.0 - 1, here.1)))).flatten();
                let over = above[x].map(|far| (far, (here.0, here.1 - 1)));
                // A region one pixel wide has both edges beside the same pixel.
                let opposite = (2 * here.0 - near.0, 2 * here.1 - near.1);
                let both = tone(opposite).is_some_and(|other| other != own && other < ToneCount::MOST).then_some((opposite, here));
                for (far, there) in [beside, over, both].into_iter().flatten() {
                    let (Some(side), Some(other)) = (tone(near), tone(far)) else { continue };
                    let middle = (f64::from(here.0 + there.0) / 2.0, f64::from(here.1 + there.1) / 2.0);
                    if tone(there) == Some(own)
                        && let Some(width) = between(near, far, middle).filter(|&width| width < most)
                    {
                        crossings.push(Crossing { x, y, tone: own, sides: [side, other], width });
                    }
                }
            }
        }
        std::mem::swap(&mut above, &mut row);
    }
    crossings
}

/// The cosine of the angle from which on two edges face one another: 140°. Right corners have 90°, points more.
const OPPOSITE: f64 = -0.766;

/// Pixels between two foreign pixels that face one another across a middle.
fn between(a: Pixel, b: Pixel, middle: (f64, f64)) -> Option<f64> {
    let to = |p: Pixel| (f64::from(p.0) - middle.0, f64::from(p.1) - middle.1);
    let ((ax, ay), (bx, by)) = (to(a), to(b));
    let cosine = (ax * bx + ay * by) / (libm::hypot(ax, ay) * libm::hypot(bx, by));
    (cosine <= OPPOSITE).then(|| libm::hypot(ax - bx, ay - by) - 1.0)
}

/// All ways from a pixel to others within a reach, the shortest first.
fn ways(reach: f64) -> Vec<Pixel> {
    let most = reach as i32 + 1;
    let mut ways: Vec<Pixel> = (-most..=most).flat_map(|dy| (-most..=most).map(move |dx| (dx, dy))).filter(|&way| way != (0, 0)).collect();
    ways.sort_by_key(|&(dx, dy)| (dx * dx + dy * dy, dy, dx));
    ways.retain(|&(dx, dy)| f64::from(dx * dx + dy * dy) <= (reach + 1.0) * (reach + 1.0));
    ways
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    const TEN: PxPerMm = PxPerMm(10.0);

    fn bands(width: usize, height: usize, tone: impl Fn(f64, f64) -> u8) -> Vec<Band> {
        let plane = Plane::from_fn(width, height, |x, y| tone((x as f64 + 0.5) / 10.0, (y as f64 + 0.5) / 10.0));
        narrow(&plane, TEN, HandError::default())
    }

    #[test]
    fn the_chance_to_close_is_the_handbooks() {
        // Two independent normal edges: Φ((0.3 − w)/(0.4 √2)); figures computed with SciPy's norm.cdf.
        for (width, chance) in [(0.5, 0.361_836_8), (1.0, 0.107_962_5), (1.5, 0.016_947_4), (2.0, 0.001_327_0), (0.3, 0.5)] {
            assert_abs_diff_eq!(HandError::default().closes(Millimetres(width)), chance, epsilon = 1e-7);
        }
    }

    #[test]
    fn bands_have_their_width_length_and_kind_at_any_angle() {
        for degrees in [0.0, 20.0, 45.0, 63.0, 90.0f64] {
            for (wide, tones, kind) in
                [(1.2, [0, 1, 2], BandKind::Rung), (0.8, [0, 2, 0], BandKind::Gap), (1.0, [2, 1, 2], BandKind::Stroke)]
            {
                let (sin, cos) = (libm::sin(degrees.to_radians()), libm::cos(degrees.to_radians()));
                let found = bands(400, 400, |x, y| {
                    let off = (y - 20.0) * cos - (x - 20.0) * sin;
                    if off < -wide / 2.0 {
                        tones[0]
                    } else if off <= wide / 2.0 {
                        tones[1]
                    } else {
                        tones[2]
                    }
                });
                assert_eq!(found.len(), 1, "{wide} mm at {degrees}°: {found:?}");
                let band = &found[0];
                assert_eq!((band.kind, band.tone), (kind, tones[1]));
                assert_abs_diff_eq!(band.width.0, wide, epsilon = 0.12);
                let across = 40.0 / cos.abs().max(sin.abs());
                assert_relative_eq!(band.length.0, across, max_relative = 0.1);
                assert_eq!(band.chance > 0.0, kind != BandKind::Stroke);
            }
        }
    }

    #[test]
    fn corners_borders_and_broad_bands_are_not_narrow() {
        // Squares with right corners, a triangle, a strip of 1 mm along the face's border, and a band of 1.7 mm.
        assert_eq!(bands(300, 300, |x, y| u8::from(x > 5.0 && x < 15.0 && y > 5.0 && y < 15.0)), []);
        assert_eq!(bands(300, 300, |x, y| u8::from(y > 10.0 && y - 10.0 < x)), []);
        assert_eq!(bands(300, 300, |x, _| u8::from(x > 1.0)), []);
        // Points of 40°, 30° and 20°.
        for degrees in [40.0, 30.0, 20.0f64] {
            let slope = libm::tan(degrees.to_radians() / 2.0);
            assert_eq!(bands(300, 300, |x, y| u8::from((y - 15.0).abs() < (x - 5.0) * slope)), [], "{degrees}°");
        }
        // A band of 1 mm beside what is set aside has one painted edge only.
        assert_eq!(bands(300, 300, |x, _| if x > 11.0 { 100 } else { u8::from(x > 10.0) }), []);
        assert_eq!(bands(300, 300, |x, _| u8::from(x > 10.0) + u8::from(x > 11.7)), []);
    }

    #[test]
    fn a_band_one_pixel_wide_is_found_and_a_waist_is_where_it_is() {
        let found = bands(300, 300, |_, y| 1 - u8::from((10.0..10.1).contains(&y)));
        assert_eq!((found.len(), found[0].kind), (1, BandKind::Stroke));
        assert_abs_diff_eq!(found[0].width.0, 0.1, epsilon = 1e-9);
        // Two discs of 10 mm, 1 mm apart: the ground between them is a gap of 1 mm at (20, 15),
        // and narrower than 1.5 mm for 4.4 mm.
        let found = bands(400, 300, |x, y| 2 * u8::from(libm::hypot(x - 9.5, y - 15.0) > 10.0 && libm::hypot(x - 30.5, y - 15.0) > 10.0));
        assert_eq!((found.len(), found[0].kind), (1, BandKind::Gap));
        assert_abs_diff_eq!(found[0].width.0, 1.0, epsilon = 0.15);
        assert!((found[0].at.x - 20.0).abs() < 0.3 && (found[0].at.y - 15.0).abs() < 1.5, "{:?}", found[0]);
        assert_relative_eq!(expected(&found), found[0].chance);
    }
}
