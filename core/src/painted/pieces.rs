//! Pieces of what was judged: bare that should be covered, covered that should be bare, and what can't be told.

use super::judged::{Doubt, Judged};
use super::wanted::{BARE, BY_HAND, COVERED, Wanted};
use crate::bits::BitPlane;
use crate::blots::{Blots, grown};
use crate::units::{Millimetres, PointMm};

/// What is wrong with a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// It should be covered and is bare.
    Missed,
    /// It should be bare and is covered.
    OverRun,
}

/// A piece of the face, plate view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// What is wrong.
    pub wrong: Wrong,
    /// Its middle, mm from the face's upper left corner in plate view.
    pub at: PointMm,
    /// Its box: left, top, right, foot, mm.
    pub extent: [f64; 4],
    /// Its area, mm².
    pub area_mm2: f64,
}

/// A place that can't be told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Untold {
    /// Why, for most of it.
    pub doubt: Doubt,
    /// Its middle, mm, plate view.
    pub at: PointMm,
    /// Its box, mm.
    pub extent: [f64; 4],
    /// Its area, mm².
    pub area_mm2: f64,
}

/// Pieces from this area on are told.
pub const LEAST_AREA_MM2: f64 = 1.0;
/// Least area beyond what the hand is allowed, mm².
const BEYOND: f64 = 0.35;
/// So near the face's border nothing is judged, mm: the bevel may lie there by what the corners are off.
const BORDER: f64 = 0.8;
/// Places that can't be told are listed from this area on, mm².
const LEAST_UNTOLD: f64 = 3.0;

/// How far within the wanted edge nothing is judged, mm: of what is to be covered, and of what is to be bare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Allowed {
    pub(super) missed: f32,
    pub(super) over: f32,
}

impl Allowed {
    fn of(self, class: u8) -> f32 {
        if class == COVERED { self.missed } else { self.over }
    }

    /// Whether a place is judged at all.
    pub(super) fn judges(self, wanted: &Wanted, x: usize, y: usize) -> bool {
        let want = wanted.map.at(x, y);
        want != BY_HAND && wanted.depth.at(x, y) >= self.of(want) && wanted.border(x, y) >= BORDER
    }
}

/// Middle, box and area of every blot.
struct Measured {
    sums: [f64; 2],
    extent: [f64; 4],
    pixels: usize,
}

fn measured(blots: &Blots, r: f64) -> Vec<Measured> {
    let mut all: Vec<Measured> = blots
        .list()
        .iter()
        .map(|b| Measured { sums: [0.0; 2], extent: [b.left, b.top, b.right, b.foot].map(|v| v as f64 / r), pixels: 0 })
        .collect();
    blots.each_stretch(|y, start, end, blot| {
        let piece = &mut all[blot];
        let count = end - start;
        piece.pixels += count;
        piece.sums[0] += count as f64 * (start + end) as f64 / 2.0;
        piece.sums[1] += count as f64 * (y as f64 + 0.5);
    });
    all
}

impl Measured {
    fn at(&self, r: f64) -> PointMm {
        let of = |sum: f64| sum / self.pixels.max(1) as f64 / r;
        PointMm { x: of(self.sums[0]), y: of(self.sums[1]) }
    }

    fn area(&self, r: f64) -> f64 {
        self.pixels as f64 / (r * r)
    }
}

fn bits(wanted: &Wanted, on: impl Fn(usize, usize) -> bool) -> BitPlane {
    let (w, h) = wanted.size();
    let mut out = BitPlane::empty(w, h);
    for y in 0..h {
        for x in 0..w {
            if on(x, y) {
                out.set_stretch(y, x, x + 1);
            }
        }
    }
    out
}

/// The pieces, the largest first, and where they are.
pub(super) fn wrong(judged: &Judged, wanted: &Wanted, allowed: Allowed) -> (Vec<Piece>, BitPlane) {
    let r = wanted.resolution.0;
    let (w, h) = wanted.size();
    let mut pieces = Vec::new();
    let mut shown = BitPlane::empty(w, h);
    for (want, is, kind) in [(COVERED, BARE, Wrong::Missed), (BARE, COVERED, Wrong::OverRun)] {
        let off = |x: usize, y: usize| wanted.map.at(x, y) == want && judged.classes.at(x, y) == is;
        let beyond = bits(wanted, |x, y| off(x, y) && allowed.judges(wanted, x, y));
        let cores = Blots::of(&beyond);
        let least = BEYOND * r * r;
        let cores = cores.kept(w, h, |_, blot| blot.area as f64 >= least);
        // With what of it lies within the hand's allowance, but not along a whole edge that the hand drew a little off.
        let reach = f64::from(allowed.of(want)) * r + 1.0;
        let mut whole = grown(&cores, (reach * reach) as u32);
        whole.remove(&bits(wanted, |x, y| !off(x, y)));
        let blots = Blots::of(&whole);
        let mut cored = vec![false; blots.list().len()];
        blots.each_stretch(|y, start, end, blot| cored[blot] |= (start..end).any(|x| cores.at(x, y)));
        for (i, piece) in measured(&blots, r).iter().enumerate() {
            if cored[i] && piece.area(r) > LEAST_AREA_MM2 {
                pieces.push(Piece { wrong: kind, at: piece.at(r), extent: piece.extent, area_mm2: piece.area(r) });
            }
        }
        let areas: Vec<bool> = measured(&blots, r).iter().map(|p| p.area(r) > LEAST_AREA_MM2).collect();
        blots.each_stretch(|y, start, end, blot| {
            if cored[blot] && areas[blot] {
                shown.set_stretch(y, start, end);
            }
        });
    }
    pieces.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    (pieces, shown)
}

/// Places that can't be told and would be judged, the largest first.
pub(super) fn untold(judged: &Judged, wanted: &Wanted, allowed: Allowed) -> Vec<Untold> {
    let r = wanted.resolution.0;
    let set = bits(wanted, |x, y| Doubt::of(judged.classes.at(x, y)).is_some() && allowed.judges(wanted, x, y));
    let blots = Blots::of(&set);
    let mut counts = vec![[0usize; 16]; blots.list().len()];
    blots.each_stretch(|y, start, end, blot| {
        for x in start..end {
            if let Some(doubt) = Doubt::of(judged.classes.at(x, y)) {
                counts[blot][doubt as usize] += 1;
            }
        }
    });
    let mut all = Vec::new();
    for (piece, counts) in measured(&blots, r).iter().zip(&counts) {
        let most = (0..16).rev().max_by_key(|&k| counts[k]).unwrap_or(0);
        let doubt = Doubt::of(10 + most as u8);
        if let Some(doubt) = doubt.filter(|_| piece.area(r) >= LEAST_UNTOLD) {
            all.push(Untold { doubt, at: piece.at(r), extent: piece.extent, area_mm2: piece.area(r) });
        }
    }
    all.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    all
}

/// Narrowest side, for words.
pub(super) fn across(extent: [f64; 4]) -> Millimetres {
    Millimetres((extent[2] - extent[0]).min(extent[3] - extent[1]))
}
