//! What each place of one photograph is: covered, bare, or not to be told, and why.

use super::evidence::Evidence;
use super::look::Look;
use super::register::Registered;
use super::wanted::{BARE, COVERED, Wanted};
use crate::bits::BitPlane;
use crate::blots::{Blots, grown};
use crate::plane::Plane;
use serde::Serialize;

/// Why a place can't be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Doubt {
    /// Burnt out, or as good as: a lamp mirrored in varnish or metal.
    Glare,
    /// Lighter than both.
    Light,
    /// Darker than both: a shadow.
    Dark,
    /// Of a colour that neither has.
    Colour,
    /// Between the two, over more than an edge.
    Between,
    /// Light goes over so gently there that it is no edge of varnish: a reflection or a shadow.
    Gentle,
    /// Covered and bare look alike about there.
    Faint,
    /// Two photographs say otherwise.
    Disagree,
    /// Beside the picture.
    Outside,
}

const DOUBTS: [Doubt; 9] =
    [Doubt::Glare, Doubt::Light, Doubt::Dark, Doubt::Colour, Doubt::Between, Doubt::Gentle, Doubt::Faint, Doubt::Disagree, Doubt::Outside];

/// First code of the doubts in a plane of judgements; [`COVERED`] and [`BARE`] come before.
const FIRST: u8 = 10;

impl Doubt {
    pub(super) fn code(self) -> u8 {
        FIRST + self as u8
    }

    pub(super) fn of(code: u8) -> Option<Self> {
        DOUBTS.get(usize::from(code.checked_sub(FIRST)?)).copied()
    }
}

/// Burnt out by this share, and so light in every channel, it is glare: grains of metal burn out one by one, and copper in red alone.
const GLARE: (f32, f32) = (0.7, 0.5);
/// A doubt reaches this far about what shows it, mm.
const ABOUT: f64 = 0.6;
/// A bright piece this near to glare is its halo, mm.
const HALO: f64 = 1.5;
/// Off the line between the two by more than this many standard deviations is neither.
const ASIDE: f32 = 10.0;
/// Less of the contrast than this is too faint.
const FAINT: f32 = 0.45;
/// This near to the middle, in halves of the difference, is neither one nor the other; and it must be so wide, mm.
const BETWEEN: (f32, f64) = (0.35, 1.4);
/// Of the steepness of the varnish's edges, what the edge of a piece must have.
const STEEP: f32 = 0.42;

pub(super) struct Judged {
    /// [`COVERED`], [`BARE`] or a doubt's code.
    pub(super) classes: Plane<u8>,
}

fn square(mm: f64, r: f64) -> u32 {
    ((mm * r) * (mm * r)) as u32
}

fn bits(plane: &Plane<u8>, on: impl Fn(usize, u8) -> bool) -> BitPlane {
    let mut out = BitPlane::empty(plane.width(), plane.height());
    for (i, &value) in plane.data().iter().enumerate() {
        if on(i, value) {
            let x = i % plane.width();
            out.set_stretch(i / plane.width(), x, x + 1);
        }
    }
    out
}

/// What of `set` holds a disc of a diameter, by discs: shrunk, then grown.
fn opened(set: &BitPlane, mm: f64, r: f64) -> BitPlane {
    let by = square(mm / 2.0, r);
    grown(&grown(&set.clone().complement(), by).complement(), by)
}

impl Judged {
    pub(super) fn of(look: &Look, evidence: &Evidence, wanted: &Wanted, edges: &Registered) -> Self {
        let r = wanted.resolution.0;
        let [sc, sb] = evidence.scatter;
        // Where either is as many of its own standard deviations away.
        let cut = ((sc - sb) / (sb + sc).max(1e-6)).clamp(-0.3, 0.3);
        let (dark, light) = (-1.0 - (5.0 * sc).max(1.0), 1.0 + (5.0 * sb).max(1.0));
        let (w, h) = wanted.size();
        let mut classes = Plane::from_fn(w, h, |x, y| {
            let s = evidence.score.at(x, y);
            if !look.within.at(x, y) {
                Doubt::Outside.code()
            } else if look.burnt.at(x, y) > GLARE.0 && look.least.at(x, y) > GLARE.1 {
                Doubt::Glare.code()
            } else if s > light {
                Doubt::Light.code()
            } else if s < dark {
                Doubt::Dark.code()
            } else if evidence.contrast.at(x, y) < FAINT {
                Doubt::Faint.code()
            } else if evidence.aside.at(x, y) > ASIDE {
                Doubt::Colour.code()
            } else if s > cut {
                BARE
            } else {
                COVERED
            }
        });
        // What shows a doubt only here and there is grain; what shows it over half a millimetre is one, and reaches a little about.
        let doubtful = bits(&classes, |_, v| v >= FIRST);
        let doubtful = grown(&opened(&doubtful, 0.5, r), square(ABOUT, r));
        let between = bits(&evidence.score.map(|&s| u8::from((s - cut).abs() < BETWEEN.0)), |_, v| v == 1);
        let between = opened(&between, BETWEEN.1, r);
        let own = classes.clone();
        for y in 0..h {
            for x in 0..w {
                let code = own.at(x, y);
                let near = |code: u8| if code >= FIRST { Some(code) } else { nearest(&own, x, y, square(ABOUT, r)) };
                classes.data_mut()[y * w + x] = if doubtful.at(x, y) {
                    near(code).unwrap_or(Doubt::Glare.code())
                } else if between.at(x, y) {
                    Doubt::Between.code()
                } else if code < FIRST {
                    code
                } else if evidence.score.at(x, y) > cut {
                    BARE
                } else {
                    COVERED
                };
            }
        }
        let mut judged = Self { classes };
        judged.vet(evidence, wanted, edges);
        judged
    }

    /// Takes back what looks wrong but has no edge of varnish round it, or lies at glare.
    fn vet(&mut self, evidence: &Evidence, wanted: &Wanted, edges: &Registered) {
        let r = wanted.resolution.0;
        let (w, h) = wanted.size();
        let glare = bits(&self.classes, |_, v| v == Doubt::Glare.code() || v == Doubt::Light.code());
        let halo = grown(&glare, square(HALO, r));
        for class in [COVERED, BARE] {
            let wrong = bits(&self.classes, |i, v| v == class && wanted.map.data()[i] == 1 - class);
            let blots = Blots::of(&wrong);
            let mut steep = vec![(0.0f64, 0usize); blots.list().len()];
            let mut haloed = vec![0usize; blots.list().len()];
            let slope = |x: usize, y: usize| {
                // Over two pixels either way, about half a millimetre.
                let s = |x: usize, y: usize| evidence.score.at(x.min(w - 1), y.min(h - 1)).clamp(-1.2, 1.2);
                let gx = s(x + 2, y) - s(x.saturating_sub(2), y);
                let gy = s(x, y + 2) - s(x, y.saturating_sub(2));
                libm::sqrtf(gx * gx + gy * gy) * r as f32 / 4.0
            };
            blots.each_stretch(|y, start, end, blot| {
                for x in start..end {
                    if halo.at(x, y) {
                        haloed[blot] += 1;
                    }
                    let beside = [(x + 1, y), (x.wrapping_sub(1), y), (x, y + 1), (x, y.wrapping_sub(1))];
                    // Only where it borders what is right, inside the same wanted part: the edge along the wanted line is the hand's.
                    let real = beside
                        .iter()
                        .any(|&(a, b)| a < w && b < h && self.classes.at(a, b) == 1 - class && wanted.map.at(a, b) == 1 - class);
                    if real && wanted.depth.at(x, y) > 0.3 {
                        steep[blot].0 += f64::from(slope(x, y));
                        steep[blot].1 += 1;
                    }
                }
            });
            let typical = edges.steep as f32;
            let limit = STEEP * typical;
            blots.each_stretch(|y, start, end, blot| {
                let (sum, count) = steep[blot];
                let gentle = count > 0 && (sum / count as f64) < f64::from(limit);
                let area = blots.list()[blot].area as usize;
                let lit = class == BARE && haloed[blot] * 20 > area;
                if gentle || lit {
                    for x in start..end {
                        self.classes.data_mut()[y * w + x] = if lit { Doubt::Glare.code() } else { Doubt::Gentle.code() };
                    }
                }
            });
        }
    }

    /// The same and another photograph's together: a place is told where either can tell.
    pub(super) fn with(mut self, other: &Self) -> Self {
        for (a, &b) in self.classes.data_mut().iter_mut().zip(other.classes.data()) {
            *a = match (*a < FIRST, b < FIRST) {
                (true, true) if *a != b => Doubt::Disagree.code(),
                (false, true) => b,
                _ => *a,
            };
        }
        self
    }
}

/// The doubt nearest to a place.
fn nearest(classes: &Plane<u8>, x: usize, y: usize, square: u32) -> Option<u8> {
    let most = libm::sqrt(f64::from(square)) as i64 + 1;
    let mut best: Option<(i64, u8)> = None;
    for dy in -most..=most {
        for dx in -most..=most {
            let (a, b) = (x as i64 + dx, y as i64 + dy);
            if a < 0 || b < 0 || a >= classes.width() as i64 || b >= classes.height() as i64 {
                continue;
            }
            let code = classes.at(a as usize, b as usize);
            let far = dx * dx + dy * dy;
            if code >= FIRST && best.is_none_or(|(least, _)| far < least) {
                best = Some((far, code));
            }
        }
    }
    best.map(|(_, code)| code)
}
