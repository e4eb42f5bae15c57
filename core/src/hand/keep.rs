//! Keep: what clean-up took away, found again in the plain thresholds of the drawing.

use super::flood::by_corners;
use crate::plane::Plane;
use crate::tones::{BreakTable, Breaks};
use crate::units::{Millimetres, PxPerMm};
use std::ops::Range;

/// How far from the place pressed a piece is looked for: no finger is nearer.
const REACH: Millimetres = Millimetres(1.0);

/// The pixels whose tone clean-up changed.
pub(super) struct Removed<'a> {
    clean: &'a Plane<u8>,
    lightness: &'a Plane<f32>,
    breaks: &'a Breaks,
    /// Made when first asked for: most maps have nothing to keep.
    table: Option<BreakTable>,
}

impl<'a> Removed<'a> {
    pub(super) fn new(clean: &'a Plane<u8>, lightness: &'a Plane<f32>, breaks: &'a Breaks) -> Self {
        Self { clean, lightness, breaks, table: None }
    }

    /// The piece that was taken away at a pixel; where none was, of those within reach the one that most of the reach belongs to. A piece
    /// is what has one tone in the drawing, lost it, and hangs together by sides or corners. Stretches with the tone to come back.
    pub(super) fn around(&mut self, at: (usize, usize), resolution: PxPerMm) -> Vec<(usize, Range<usize>, u8)> {
        let table = &*self.table.get_or_insert_with(|| self.breaks.table());
        let (width, height) = (self.clean.width(), self.clean.height());
        let plain = |i: usize| table.tone(self.lightness.data()[i]);
        let lost = |i: usize| {
            let tone = plain(i);
            (self.clean.data()[i] != tone).then_some(tone)
        };
        let Some(from) = seed((width, height), at, resolution.px(REACH), lost) else { return Vec::new() };
        let tone = plain(from.1 * width + from.0);
        let piece = by_corners(width, height, from, |i| lost(i) == Some(tone));
        piece.into_iter().map(|(y, columns)| (y, columns, tone)).collect()
    }
}

/// A pixel of the piece that is meant.
fn seed((width, height): (usize, usize), at: (usize, usize), reach: f64, lost: impl Fn(usize) -> Option<u8>) -> Option<(usize, usize)> {
    if lost(at.1 * width + at.0).is_some() {
        return Some(at);
    }
    let whole = reach as usize;
    let columns = at.0.saturating_sub(whole)..(at.0 + whole + 1).min(width);
    let rows = at.1.saturating_sub(whole)..(at.1 + whole + 1).min(height);
    let within = |x: usize, y: usize| {
        let (dx, dy) = (x.abs_diff(at.0) as f64, y.abs_diff(at.1) as f64);
        dx * dx + dy * dy <= reach * reach
    };
    // The pieces as far as they are within reach, each visited once; the first of equals.
    let across = columns.len();
    let here = Plane::from_fn(across, rows.len(), |x, y| {
        let (x, y) = (columns.start + x, rows.start + y);
        if within(x, y) { lost(y * width + x) } else { None }
    });
    let mut seen = vec![false; here.data().len()];
    let mut best: (usize, Option<usize>) = (0, None);
    for i in 0..seen.len() {
        if seen[i] || here.data()[i].is_none() {
            continue;
        }
        let mut pixels = 0;
        for (y, part) in by_corners(across, rows.len(), (i % across, i / across), |j| here.data()[j] == here.data()[i]) {
            pixels += part.len();
            seen[y * across + part.start..y * across + part.end].fill(true);
        }
        if pixels > best.0 {
            best = (pixels, Some(i));
        }
    }
    best.1.map(|i| (columns.start + i % across, rows.start + i / across))
}
