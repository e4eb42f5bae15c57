//! Removed: what clean-up changed, as pieces that the printer can look at and ask to keep.

use crate::islands::{Island, pieces};
use crate::plane::Plane;
use crate::tones::StepMap;
use crate::units::PxPerMm;

/// A piece of the plain thresholds that clean-up gave another tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Removed {
    /// Its area, extent, and a point deep inside it.
    pub piece: Island,
    /// The tone that the plain thresholds have at that point.
    pub was: u8,
    /// The tone it has now.
    pub now: u8,
}

impl Removed {
    /// Whether it was lighter than it is now: a highlight that is gone.
    #[must_use]
    pub fn is_highlight(&self) -> bool {
        self.was < self.now
    }

    /// How much it is missed: the disc it held times the tones it lost. An edge moved by a hair has a large area and little weight.
    fn weight(&self) -> f64 {
        self.piece.disc.0 * self.piece.disc.0 * f64::from(self.was.abs_diff(self.now))
    }
}

/// Pieces that lost their light, and pieces that lost their dark, those that are missed most first: by the disc they held and the tones they
/// lost.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Removals {
    /// Lighter before than now.
    pub highlights: Vec<Removed>,
    /// Darker before than now.
    pub darks: Vec<Removed>,
    /// Share of the face of all highlights, 0..=1.
    pub highlight_share: f64,
    /// Share of the face of all darks, 0..=1.
    pub dark_share: f64,
}

const SAME: u8 = u8::MAX;

/// Compares the plain thresholds with the cleaned map. A piece hangs together by edges, whatever tones are within it: a highlight and its
/// soft rim are one.
///
/// # Panics
/// When the sizes differ.
#[must_use]
pub fn of(plain: &StepMap, clean: &StepMap, resolution: PxPerMm) -> Removals {
    let (plain, clean) = (plain.plane(), clean.plane());
    assert!(plain.width() == clean.width() && plain.height() == clean.height(), "both maps are of one face");
    let width = plain.width();
    let sides = Plane::from_fn(width, plain.height(), |x, y| match plain.at(x, y).cmp(&clean.at(x, y)) {
        std::cmp::Ordering::Less => 0,
        std::cmp::Ordering::Greater => 1,
        std::cmp::Ordering::Equal => SAME,
    });
    let share = |side: u8| sides.data().iter().filter(|&&s| s == side).count() as f64 / sides.data().len() as f64;
    let mut out = Removals { highlight_share: share(0), dark_share: share(1), ..Removals::default() };
    for piece in pieces(&sides, SAME, resolution) {
        let (x, y) = (resolution.0 * piece.at.x, resolution.0 * piece.at.y);
        let (x, y) = ((x as usize).min(width - 1), (y as usize).min(plain.height() - 1));
        let removed = Removed { piece, was: plain.at(x, y), now: clean.at(x, y) };
        if removed.is_highlight() { out.highlights.push(removed) } else { out.darks.push(removed) }
    }
    for list in [&mut out.highlights, &mut out.darks] {
        list.sort_by(|a, b| b.weight().total_cmp(&a.weight()).then(b.piece.area_mm2.total_cmp(&a.piece.area_mm2)));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::ToneCount;
    use approx::assert_relative_eq;

    #[test]
    fn a_lost_highlight_with_its_rim_is_one_piece_and_is_pointed_at_in_its_middle() {
        // Tone 3 with a spot of tone 0 rimmed by tones 1 and 2, and a dark speck; clean-up made all of it tone 3 and tone 1.
        let count = ToneCount::new(4).unwrap();
        let plain = Plane::from_fn(60, 40, |x, y| {
            let far = libm::hypot(x as f64 - 20.0, y as f64 - 20.0);
            if x >= 40 {
                if x == 50 && y == 10 { 3 } else { 1 }
            } else if far < 3.0 {
                0
            } else if far < 4.0 {
                1
            } else if far < 5.0 {
                2
            } else {
                3
            }
        });
        let clean = Plane::from_fn(60, 40, |x, _| if x >= 40 { 1 } else { 3 });
        let gone = plain.data().iter().zip(clean.data()).filter(|(a, b)| a < b).count();
        let found = of(&StepMap::new(count, plain), &StepMap::new(count, clean), PxPerMm(10.0));
        assert_eq!((found.highlights.len(), found.darks.len()), (1, 1));
        let lost = found.highlights[0];
        assert_eq!((lost.was, lost.now, lost.is_highlight()), (0, 3, true));
        assert_relative_eq!(lost.piece.area_mm2, gone as f64 / 100.0, max_relative = 1e-9);
        assert!((lost.piece.at.x - 2.05).abs() < 0.11 && (lost.piece.at.y - 2.05).abs() < 0.11);
        assert_eq!((found.darks[0].was, found.darks[0].now), (3, 1));
        assert_relative_eq!(found.dark_share, 1.0 / 2400.0);
    }
}
