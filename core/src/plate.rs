//! The plate: its metal edge, its bevel and the face that carries the picture.

use crate::units::{Millimetres, PxPerMm};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Smallest and largest side of a plate.
pub const SIDES: (Millimetres, Millimetres) = (Millimetres(5.0), Millimetres(2000.0));

/// A width and a height in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SizeMm {
    /// Across.
    pub width: Millimetres,
    /// Down.
    pub height: Millimetres,
}

impl SizeMm {
    /// Area in cm².
    #[must_use]
    pub fn area_cm2(self) -> f64 {
        self.width.0 * self.height.0 / 100.0
    }
}

/// A plate of known size.
///
/// # Guarantees
/// Both sides are within [`SIDES`], the bevel is not negative and leaves a face of at least 1 mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    size: SizeMm,
    bevel: Millimetres,
}

/// Why a plate can't be.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum PlateError {
    /// A side is not a number within [`SIDES`].
    Side {
        /// Width that came, mm.
        width: f64,
        /// Height that came, mm.
        height: f64,
    },
    /// The bevel leaves no face.
    Bevel {
        /// The bevel that came, mm.
        bevel: f64,
        /// The shorter side, mm.
        side: f64,
    },
    /// The resolution is not a number from 1 to 40, or the raster is too large to hold.
    Resolution {
        /// Pixels a millimetre that came.
        px_per_mm: f64,
        /// The face's raster at that, pixels; 0 where it can't be said.
        pixels: u64,
    },
}

impl fmt::Display for PlateError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Side { width, height } => write!(
                f,
                "A plate has sides of {} to {} mm ({:.1} to {:.0} in); {width} × {height} mm came: check the size and its unit.",
                SIDES.0.0,
                SIDES.1.0,
                SIDES.0.inches(),
                SIDES.1.inches()
            ),
            Self::Bevel { bevel, side } => write!(
                f,
                "A bevel of {bevel} mm leaves no face on a side of {side} mm: give the width of one bevel, from 0 to less than half the plate."
            ),
            Self::Resolution { px_per_mm, pixels: 0 } => {
                write!(f, "A resolution of 1 to 40 pixels a millimetre was expected, {px_per_mm} came: 10 suits a brush.")
            }
            Self::Resolution { px_per_mm, pixels } => write!(
                f,
                "At {px_per_mm} pixels a millimetre this face has {} million pixels, over the {} million that can be worked: choose a lower resolution.",
                pixels / 1_000_000,
                Plate::MOST_PIXELS / 1_000_000
            ),
        }
    }
}

impl std::error::Error for PlateError {}

impl Plate {
    /// Pixels of the largest face that can be worked: 300 million, some 12 GB at the worst moment of clean-up, is what a desk machine holds.
    pub const MOST_PIXELS: u64 = 300_000_000;

    /// A plate of the given outer size with a bevel of the given width on all four sides.
    ///
    /// # Errors
    /// When a side is outside [`SIDES`] or the bevel leaves no face.
    pub fn new(width: Millimetres, height: Millimetres, bevel: Millimetres) -> Result<Self, PlateError> {
        let fits = |side: Millimetres| side.0.is_finite() && side >= SIDES.0 && side <= SIDES.1;
        if !fits(width) || !fits(height) {
            return Err(PlateError::Side { width: width.0, height: height.0 });
        }
        let side = width.0.min(height.0);
        if !bevel.0.is_finite() || bevel.0 < 0.0 || side - 2.0 * bevel.0 < 1.0 {
            return Err(PlateError::Bevel { bevel: bevel.0, side });
        }
        Ok(Self { size: SizeMm { width, height }, bevel })
    }

    /// Outer size, metal edge to metal edge.
    #[must_use]
    pub fn size(&self) -> SizeMm {
        self.size
    }

    /// Width of the bevel, each side.
    #[must_use]
    pub fn bevel(&self) -> Millimetres {
        self.bevel
    }

    /// The face: the plate less the bevel on each side.
    #[must_use]
    pub fn face(&self) -> SizeMm {
        let less = |side: Millimetres| Millimetres(side.0 - 2.0 * self.bevel.0);
        SizeMm { width: less(self.size.width), height: less(self.size.height) }
    }

    /// Width and height of the face's raster: each side rounded to whole pixels, at least one.
    ///
    /// # Errors
    /// When the resolution is not within 1..=40 or the raster would pass [`Plate::MOST_PIXELS`].
    pub fn raster(&self, resolution: PxPerMm) -> Result<(usize, usize), PlateError> {
        let px_per_mm = resolution.0;
        if !px_per_mm.is_finite() || !(1.0..=40.0).contains(&px_per_mm) {
            return Err(PlateError::Resolution { px_per_mm, pixels: 0 });
        }
        let side = |length: Millimetres| libm::round(resolution.px(length)).max(1.0) as u64;
        let face = self.face();
        let (width, height) = (side(face.width), side(face.height));
        if width * height > Self::MOST_PIXELS {
            return Err(PlateError::Resolution { px_per_mm, pixels: width * height });
        }
        Ok((width as usize, height as usize))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plate(width: f64, height: f64, bevel: f64) -> Result<Plate, PlateError> {
        Plate::new(Millimetres(width), Millimetres(height), Millimetres(bevel))
    }

    #[test]
    fn face_is_plate_less_bevels() {
        let face = plate(160.0, 180.0, 1.5).unwrap().face();
        assert_eq!((face.width.0, face.height.0), (157.0, 177.0));
        assert_eq!(plate(160.0, 180.0, 1.5).unwrap().raster(PxPerMm(10.0)), Ok((1570, 1770)));
    }

    #[test]
    fn impossible_plates_are_refused_in_sentences() {
        for (width, height, bevel) in
            [(0.0, 100.0, 0.0), (3000.0, 100.0, 0.0), (f64::NAN, 100.0, 0.0), (100.0, 50.0, 25.0), (100.0, 50.0, -1.0)]
        {
            let said = plate(width, height, bevel).unwrap_err().to_string();
            assert!(said.ends_with('.') && said.contains(':'), "{said}");
        }
        assert!(plate(2000.0, 2000.0, 0.0).unwrap().raster(PxPerMm(40.0)).is_err());
        assert!(plate(100.0, 100.0, 0.0).unwrap().raster(PxPerMm(0.0)).is_err());
    }
}
