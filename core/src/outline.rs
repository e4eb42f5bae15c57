//! Outlines: the edges between regions as curves in millimetres, each shared arc once.

use crate::plane::Plane;
use crate::tones::ToneCount;
use crate::units::{PointMm, PxPerMm};

/// One edge between two tones, from junction to junction or closed.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedArc {
    /// The lighter of the two tones: the edge is painted at the stop-out of number `lighter + 1`.
    pub lighter: u8,
    /// The darker tone.
    pub darker: u8,
    /// Points in mm on the face, print view, x right, y down. A closed arc does not repeat its first point.
    pub points: Vec<PointMm>,
    /// Whether the last point joins the first.
    pub closed: bool,
}

/// All edges of a step map.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outlines {
    /// The arcs, in the order of their first pixel.
    pub arcs: Vec<SharedArc>,
}

impl Outlines {
    /// Traces the edges of a step map.
    #[must_use]
    pub fn of(_map: &Plane<u8>, _resolution: PxPerMm) -> Self {
        todo!()
    }

    /// Length of edge each stop-out paints, mm, stop-out 1 first.
    #[must_use]
    pub fn edge_mm(&self, _tones: ToneCount) -> Vec<f64> {
        todo!()
    }
}
