//! The zones of a plate as one view shows them, with what all its pictures ask of them worked out once.

use super::pieces::Pieces;
use super::words::Presence;
use crate::plane::Plane;
use std::ops::Range;
use std::sync::OnceLock;

/// Zones, already mirrored where the view is plate view.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    zones: Plane<u8>,
    px_per_mm: f64,
    pieces: OnceLock<Pieces>,
    presence: OnceLock<Presence>,
}

impl Seen {
    pub(super) fn of(zones: Plane<u8>, px_per_mm: f64) -> Self {
        Self { zones, px_per_mm, pieces: OnceLock::new(), presence: OnceLock::new() }
    }

    pub(super) fn zones(&self) -> &Plane<u8> {
        &self.zones
    }

    pub(super) fn px_per_mm(&self) -> f64 {
        self.px_per_mm
    }

    /// Its pieces, found when first asked for.
    pub(super) fn pieces(&self) -> &Pieces {
        self.pieces.get_or_init(|| Pieces::of(&self.zones, self.px_per_mm))
    }

    /// What its squares of a millimetre hold, found when first asked for.
    pub(super) fn presence(&self) -> &Presence {
        self.presence.get_or_init(|| Presence::of(&self.zones, self.px_per_mm))
    }

    /// All of it.
    pub(super) fn whole(&self) -> Part<'_> {
        let everywhere = || f64::NEG_INFINITY..f64::INFINITY;
        self.part((0..self.zones.width(), everywhere()), (0..self.zones.height(), everywhere()))
    }

    /// Some columns and rows of it, and those from join to join.
    pub(super) fn part(&self, (columns, across): (Range<usize>, Range<f64>), (rows, down): (Range<usize>, Range<f64>)) -> Part<'_> {
        Part { seen: self, columns, rows, cell: (across, down) }
    }
}

/// What lies between the joins of a tile.
#[derive(Clone, Debug)]
pub(super) struct Part<'a> {
    pub(super) seen: &'a Seen,
    pub(super) columns: Range<usize>,
    pub(super) rows: Range<usize>,
    /// From join to join, pixels: that much more than columns and rows as is kept free along the joins.
    cell: (Range<f64>, Range<f64>),
}

impl Part<'_> {
    pub(super) fn width(&self) -> usize {
        self.columns.len()
    }

    pub(super) fn height(&self) -> usize {
        self.rows.len()
    }

    /// Whether what lies at a place, in pixels of the whole, is counted as this part's.
    pub(super) fn counts(&self, x: f64, y: f64) -> bool {
        self.cell.0.contains(&x) && self.cell.1.contains(&y)
    }

    /// The zone at a column and a row of the part.
    pub(super) fn at(&self, x: usize, y: usize) -> u8 {
        self.seen.zones.at(self.columns.start + x, self.rows.start + y)
    }

    /// A raster of its own.
    pub(super) fn cut(&self) -> Plane<u8> {
        Plane::from_fn(self.width(), self.height(), |x, y| self.at(x, y))
    }
}
