//! Which plates lie in the tray together.

use crate::plate::SizeMm;
use crate::units::Millimetres;
use std::fmt;

/// Between plates in a tray, so that none lies on another. Choice of ours.
pub const BETWEEN: Millimetres = Millimetres(10.0);

/// A tray by its floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tray {
    size: SizeMm,
}

/// A tray that can't be.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum TrayError {
    /// No size for a tray.
    Size {
        /// What came, mm.
        width: f64,
        /// What came, mm.
        height: f64,
    },
    /// A plate that does not lie flat in it, either way.
    Small {
        /// The tray.
        tray: SizeMm,
        /// The plate's place among the plates.
        plate: usize,
        /// Its size.
        size: SizeMm,
    },
}

impl fmt::Display for TrayError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Size { width, height } => {
                write!(f, "The tray’s floor was expected to measure 10 to 5000 mm each way; {width} × {height} mm came: measure it inside.")
            }
            Self::Small { tray, plate, size } => write!(
                f,
                "Plate {} of the list measures {} × {} mm and does not lie flat in a tray of {} × {} mm: take a larger tray, or plan this plate’s \
                 bath by itself.",
                plate + 1,
                size.width.0,
                size.height.0,
                tray.width.0,
                tray.height.0
            ),
        }
    }
}

impl std::error::Error for TrayError {}

impl Tray {
    /// A tray of this floor.
    ///
    /// # Errors
    /// A side outside 10 to 5000 mm.
    pub fn new(width: Millimetres, height: Millimetres) -> Result<Self, TrayError> {
        let can_be = |side: Millimetres| (10.0..=5000.0).contains(&side.0);
        if can_be(width) && can_be(height) {
            Ok(Self { size: SizeMm { width, height } })
        } else {
            Err(TrayError::Size { width: width.0, height: height.0 })
        }
    }

    /// Its floor, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.size.width.0 * self.size.height.0
    }

    /// Every plate alone lies in it.
    ///
    /// # Errors
    /// The first that does not.
    pub fn takes_each(&self, plates: &[SizeMm]) -> Result<(), TrayError> {
        match plates.iter().position(|size| !self.takes(std::slice::from_ref(size))) {
            Some(plate) => Err(TrayError::Small { tray: self.size, plate, size: plates[plate] }),
            None => Ok(()),
        }
    }

    /// Whether these plates lie in it beside one another, flat, with [`BETWEEN`] between. They are laid in rows, the deepest first, the tray
    /// and the plates either way: what is not found so is said not to fit, though a puzzler may find a place.
    #[must_use]
    pub fn takes(&self, plates: &[SizeMm]) -> bool {
        let (wide, high) = (self.size.width.0, self.size.height.0);
        [(wide, high), (high, wide)].into_iter().any(|floor| {
            // Plates upright, plates lying, and each as it stands.
            [true, false]
                .into_iter()
                .any(|upright| in_rows(plates, floor, |a, b| if upright { (a.min(b), a.max(b)) } else { (a.max(b), a.min(b)) }))
                || in_rows(plates, floor, |a, b| (a, b))
        })
    }
}

fn in_rows(plates: &[SizeMm], (wide, high): (f64, f64), turn: impl Fn(f64, f64) -> (f64, f64)) -> bool {
    let mut sides: Vec<(f64, f64)> = plates.iter().map(|size| turn(size.width.0, size.height.0)).collect();
    sides.sort_by(|one, other| other.1.total_cmp(&one.1));
    let (mut x, mut y, mut row) = (0.0, 0.0, 0.0);
    for (width, depth) in sides {
        if x > 0.0 && x + width > wide + 1e-9 {
            (x, y, row) = (0.0, y + row + BETWEEN.0, 0.0);
        }
        if x + width > wide + 1e-9 || y + depth > high + 1e-9 {
            return false;
        }
        x += width + BETWEEN.0;
        row = f64::max(row, depth);
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(width: f64, height: f64) -> SizeMm {
        SizeMm { width: Millimetres(width), height: Millimetres(height) }
    }

    #[test]
    fn plates_of_the_demo_lie_together_where_the_floor_has_room_for_their_row() {
        let [a, b, c, d] = [120.0, 160.0, 120.0, 90.0].map(|width| size(width, 180.0));
        let tray = |width: f64, height: f64| Tray::new(Millimetres(width), Millimetres(height)).unwrap();
        // 490 mm of plates and three gaps of 10 mm.
        assert!(tray(520.0, 180.0).takes(&[a, b, c, d]) && !tray(519.0, 180.0).takes(&[a, b, c, d]));
        assert!(tray(180.0, 520.0).takes(&[a, b, c, d]));
        // Two and two: 290 wide, twice 180 and a gap high.
        assert!(tray(290.0, 370.0).takes(&[a, b, c, d]) && !tray(289.0, 369.0).takes(&[a, b, c, d]));
        // A plate lies turned where that is the way it lies at all.
        assert!(tray(180.0, 90.0).takes(&[d]) && !tray(170.0, 95.0).takes(&[d]));
        assert!(tray(50.0, 50.0).takes(&[]));
    }

    #[test]
    fn trays_too_small_are_refused_in_a_sentence() {
        let tray = Tray::new(Millimetres(100.0), Millimetres(150.0)).unwrap();
        let said = tray.takes_each(&[size(90.0, 120.0), size(160.0, 180.0)]).unwrap_err().to_string();
        assert!(said.starts_with("Plate 2 of the list measures 160 × 180 mm") && said.contains("100 × 150 mm"), "{said}");
        assert!(tray.takes_each(&[size(150.0, 100.0)]).is_ok());
        for wrong in [0.0, -5.0, f64::NAN, 9999.0] {
            assert!(Tray::new(Millimetres(wrong), Millimetres(100.0)).unwrap_err().to_string().contains("measure it inside"));
        }
    }
}
