//! Placing: which part of a drawing lies where on the plate's face, how large and which way up.

use crate::homography::{Homography, Point};
use crate::plate::SizeMm;
use crate::units::{Millimetres, PxPerMm};
use serde::{Deserialize, Serialize};
use std::fmt;

/// How a drawing of one shape meets a face of another. Its own shape is kept either way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fit {
    /// Fills the face; what stands over is cropped, as much on both sides.
    #[default]
    Cover,
    /// All of the drawing is on the face, centred; what is left is paper white.
    Contain,
}

/// How large the drawing is, before [`Placing::scale`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// As the face asks.
    Fit(Fit),
    /// So many drawing pixels to a millimetre of plate: its true size, where the file's density is known.
    Detail(PxPerMm),
}

/// The part of the drawing that is used, upright, before it is turned: shares of its width and height, 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Crop {
    /// Left edge, share of the width.
    pub left: f64,
    /// Upper edge, share of the height.
    pub top: f64,
    /// Right edge, share of the width.
    pub right: f64,
    /// Lower edge, share of the height.
    pub bottom: f64,
}

impl Default for Crop {
    /// All of it.
    fn default() -> Self {
        Self { left: 0.0, top: 0.0, right: 1.0, bottom: 1.0 }
    }
}

/// Where a drawing lies on the face. As it is by default it is centred, upright, whole, and fills the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placing {
    /// How large. Default: fills the face.
    pub size: Size,
    /// Clockwise as the print reads, degrees. Default 0. Multiples of 90 are exact.
    pub turn: f64,
    /// The part that is used. Default: all.
    pub crop: Crop,
    /// From the face's middle to the middle of the used part, to the right and down as the print reads, mm. Default 0, 0.
    pub offset: (Millimetres, Millimetres),
    /// Times the size. Default 1; 0.01 to 100.
    pub scale: f64,
}

impl Default for Placing {
    fn default() -> Self {
        let none = Millimetres(0.0);
        Self { size: Size::Fit(Fit::Cover), turn: 0.0, crop: Crop::default(), offset: (none, none), scale: 1.0 }
    }
}

impl From<Fit> for Placing {
    fn from(fit: Fit) -> Self {
        Self { size: Size::Fit(fit), ..Self::default() }
    }
}

/// Why a drawing can't be placed so.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum PlacingError {
    /// The turn is no number.
    Turn(f64),
    /// The scale is not a number from 0.01 to 100.
    Scale(f64),
    /// The offset is no number or takes the drawing further than any plate.
    Offset(f64, f64),
    /// The crop is empty, turned round or reaches past the drawing.
    Crop(Crop),
    /// The true size was asked for, but the density is not a number from 0.1 to 1000 px/mm.
    Detail(f64),
}

impl fmt::Display for PlacingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Turn(turn) => {
                write!(f, "A turn in degrees, from -360 to 360, was expected, {turn} came: type a number such as 90 or -1.5.")
            }
            Self::Scale(scale) => {
                write!(f, "A size of 1 to 10000 % was expected, {} % came: 100 is the size that fits.", 100.0 * scale)
            }
            Self::Offset(x, y) => write!(
                f,
                "The drawing was to be moved by {x} × {y} mm, further than any plate reaches: give up to {} mm each way.",
                Placing::FARTHEST.0
            ),
            Self::Crop(crop) => write!(
                f,
                "A crop within the drawing was expected, from {:.3} to {:.3} across and {:.3} to {:.3} down came (0 to 1 is all of it): \
                 give edges in order that leave at least a pixel.",
                crop.left, crop.right, crop.top, crop.bottom
            ),
            Self::Detail(detail) => write!(
                f,
                "The file's own density, {detail} pixels a mm, gives no true size a plate could have: let the drawing fit the face instead."
            ),
        }
    }
}

impl std::error::Error for PlacingError {}

/// A drawing's place worked out: all in drawing pixels and millimetres of the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Millimetres of plate to a drawing pixel, both ways.
    pub scale: f64,
    /// Clockwise, degrees, 0 up to 360.
    pub turn: f64,
    /// The used part's upper left corner, drawing pixels.
    pub low: Point,
    /// The used part's lower right corner, drawing pixels.
    pub high: Point,
    /// From the face's middle to the used part's, mm.
    pub offset: Point,
    /// The face.
    pub face: SizeMm,
}

/// Turns closer than this to a quarter are one, degrees: over 2 m it moves nothing by a thousandth of a millimetre.
const QUARTER: f64 = 1e-5;

impl Placing {
    /// How far a drawing can be moved: as far as the largest plate reaches.
    pub const FARTHEST: Millimetres = Millimetres(2000.0);

    /// Works out where a drawing of so many pixels lies on a face.
    ///
    /// # Errors
    /// When a value is out of its range.
    pub fn place(&self, drawing: (usize, usize), face: SizeMm) -> Result<Place, PlacingError> {
        if !self.turn.is_finite() || self.turn.abs() > 360.0 {
            return Err(PlacingError::Turn(self.turn));
        }
        if !(0.01..=100.0).contains(&self.scale) {
            return Err(PlacingError::Scale(self.scale));
        }
        let (right, down) = (self.offset.0.0, self.offset.1.0);
        if ![right, down].iter().all(|mm| mm.abs() <= Self::FARTHEST.0) {
            return Err(PlacingError::Offset(right, down));
        }
        let (width, height) = (drawing.0 as f64, drawing.1 as f64);
        let Crop { left, top, right: to, bottom } = self.crop;
        let part = |low: f64, high: f64, side: f64| low >= 0.0 && high <= 1.0 && (high - low) * side >= 1.0 - 1e-9;
        if !part(left, to, width) || !part(top, bottom, height) {
            return Err(PlacingError::Crop(self.crop));
        }
        let (low, high) = ([left * width, top * height], [to * width, bottom * height]);
        let mut turn = libm::fmod(self.turn, 360.0);
        if turn < 0.0 {
            turn += 360.0;
        }
        let near = libm::round(turn / 90.0) * 90.0;
        if (turn - near).abs() < QUARTER {
            turn = if near >= 360.0 { 0.0 } else { near };
        }
        let place = Place { scale: 1.0, turn, low, high, offset: [right, down], face };
        let scale = match self.size {
            Size::Fit(fit) => place.fitting(fit),
            Size::Detail(detail) if (0.1..=1000.0).contains(&detail.0) => 1.0 / detail.0,
            Size::Detail(detail) => return Err(PlacingError::Detail(detail.0)),
        };
        Ok(Place { scale: scale * self.scale, ..place })
    }
}

impl Place {
    /// The quarter turns, 0 to 3, where the turn is a whole number of them.
    #[must_use]
    pub fn quarters(&self) -> Option<u8> {
        (0u8..4).find(|&k| (self.turn - 90.0 * f64::from(k)).abs() < QUARTER)
    }

    /// Absolute sine and cosine of the turn; exactly 0 and 1 at quarters.
    fn sides(&self) -> (f64, f64) {
        match self.quarters() {
            Some(k) if k % 2 == 1 => (1.0, 0.0),
            Some(_) => (0.0, 1.0),
            None => {
                let radians = self.turn.to_radians();
                (libm::sin(radians).abs(), libm::cos(radians).abs())
            }
        }
    }

    fn fitting(&self, fit: Fit) -> f64 {
        let (sin, cos) = self.sides();
        let (across, down) = (self.high[0] - self.low[0], self.high[1] - self.low[1]);
        let (wide, high) = (self.face.width.0, self.face.height.0);
        match fit {
            // The face, seen from the drawing, is turned the other way; its bounds must lie within the drawing.
            Fit::Cover => ((wide * cos + high * sin) / across).max((wide * sin + high * cos) / down),
            // The drawing's bounds must lie within the face.
            Fit::Contain => (wide / (across * cos + down * sin)).min(high / (across * sin + down * cos)),
        }
    }

    /// From drawing pixels to millimetres of the face, from its upper left corner.
    #[must_use]
    pub fn to_face(&self) -> Option<Homography> {
        let middle = [(self.low[0] + self.high[0]) / 2.0, (self.low[1] + self.high[1]) / 2.0];
        let there = [self.face.width.0 / 2.0 + self.offset[0], self.face.height.0 / 2.0 + self.offset[1]];
        Homography::similarity(self.turn.to_radians(), self.scale, middle, there)
    }

    /// Where the used part's corners lie on the face, mm: its own upper left one first, then clockwise.
    #[must_use]
    pub fn corners(&self) -> Option<[Point; 4]> {
        let ([left, top], [right, foot]) = (self.low, self.high);
        let map = self.to_face()?;
        Some([[left, top], [right, top], [right, foot], [left, foot]].map(|corner| map.apply(corner)))
    }

    /// Width and height of the used part on the plate, as it lies before it is turned.
    #[must_use]
    pub fn size(&self) -> SizeMm {
        let side = |k: usize| Millimetres((self.high[k] - self.low[k]) * self.scale);
        SizeMm { width: side(0), height: side(1) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    const FACE: SizeMm = SizeMm { width: Millimetres(60.0), height: Millimetres(40.0) };

    #[test]
    fn what_can_not_be_is_refused_in_sentences() {
        let with = |change: fn(&mut Placing)| {
            let mut placing = Placing::default();
            change(&mut placing);
            placing.place((300, 100), FACE).unwrap_err()
        };
        let refused = [
            with(|p| p.turn = f64::NAN),
            with(|p| p.turn = 720.0),
            with(|p| p.scale = 0.0),
            with(|p| p.scale = f64::INFINITY),
            with(|p| p.offset.0 = Millimetres(f64::NAN)),
            with(|p| p.offset.1 = Millimetres(-3000.0)),
            with(|p| p.crop.right = 0.0),
            with(|p| p.crop.left = -0.1),
            with(|p| p.crop.bottom = 0.001),
            with(|p| p.crop.top = f64::NAN),
            with(|p| p.size = Size::Detail(PxPerMm(0.0))),
        ];
        for error in refused {
            let said = error.to_string();
            assert!(said.ends_with('.') && said.contains(':'), "{said}");
        }
    }

    #[test]
    fn a_quarter_turn_stands_on_its_side() {
        // 300 × 100 pixels, turned a quarter clockwise, whole on 60 × 40 mm: 40 mm high, 13.33 mm wide.
        let placing = Placing { turn: 90.0, ..Placing::from(Fit::Contain) };
        let place = placing.place((300, 100), FACE).unwrap();
        assert_eq!(place.quarters(), Some(1));
        assert_abs_diff_eq!(place.scale, 40.0 / 300.0, epsilon = 1e-12);
        let corners = place.corners().unwrap();
        // Its upper left corner is now at the upper right.
        assert_abs_diff_eq!(corners[0][0], 30.0 + 100.0 * place.scale / 2.0, epsilon = 1e-9);
        assert_abs_diff_eq!(corners[0][1], 0.0, epsilon = 1e-9);
        for turn in [-270.0, 450.0 - 360.0, 90.000_000_1] {
            assert_eq!(Placing { turn, ..placing }.place((300, 100), FACE).unwrap().quarters(), Some(1));
        }
        assert_eq!(Placing { turn: -1e-7, ..placing }.place((300, 100), FACE).unwrap().quarters(), Some(0));
        assert_eq!(Placing { turn: 91.0, ..placing }.place((300, 100), FACE).unwrap().quarters(), None);
    }

    proptest! {
        #[test]
        fn whole_means_whole_and_full_means_full(turn in -360.0..360.0f64, w in 10usize..500, h in 10usize..500) {
            let inside = |p: Point, low: Point, high: Point| (0..2).all(|k| p[k] >= low[k] - 1e-6 && p[k] <= high[k] + 1e-6);
            let whole = Placing { turn, ..Placing::from(Fit::Contain) }.place((w, h), FACE).unwrap();
            let corners = whole.corners().unwrap();
            prop_assert!(corners.iter().all(|&p| inside(p, [0.0; 2], [60.0, 40.0])));
            // And no larger one would be: it touches.
            let touch = |k: usize, side: f64| corners.iter().any(|p| p[k] < 1e-6) && corners.iter().any(|p| p[k] > side - 1e-6);
            prop_assert!(touch(0, 60.0) || touch(1, 40.0));
            let full = Placing { turn, ..Placing::from(Fit::Cover) }.place((w, h), FACE).unwrap();
            let back = full.to_face().unwrap().inverse();
            let face = [[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]];
            prop_assert!(face.iter().all(|&p| inside(back.apply(p), full.low, full.high)));
        }
    }
}
