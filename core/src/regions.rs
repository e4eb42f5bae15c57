//! Regions: from pixels to areas a brush can paint.
use crate::plane::Plane;

/// 4-connected pieces of one tone.
pub struct Islands {
    counts: Vec<usize>,
}

impl Islands {
    /// Counts the pieces of each tone.
    #[must_use]
    pub fn of(_map: &Plane<u8>) -> Self {
        todo!()
    }
    /// Pieces of one tone.
    #[must_use]
    pub fn of_tone(&self, tone: usize) -> usize {
        self.counts.get(tone).copied().unwrap_or(0)
    }
}
