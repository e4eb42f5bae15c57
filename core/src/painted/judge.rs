//! One photograph judged: the way it lies, how sharp it is, what varnish and metal look like in it, and where the varnish says the plate lies.

use super::evidence::{Evidence, Unlearnt};
use super::judged::Judged;
use super::look::Look;
use super::pieces::Allowed;
use super::register::{self, Registered, register};
use super::view::{seen, shifted};
use super::wanted::{Wanted, Way};
use super::ways::Fits;
use super::{Blind, PaintedSettings, sharp};
use crate::photo::Corners;
use crate::photo::source::Light;
use crate::plate::Plate;
use crate::stopouts::StopOuts;

/// An edge that goes over more widely than this, mm, is not sharp: the typical one, and the sharpest there are.
const SHARP: (f64, f64) = (1.1, 2.2);
/// The difference between the two, of both standard deviations together, that is needed.
const APART: f32 = 2.2;
/// Share of the examples that must be on their side.
const AGREE: f64 = 0.75;
/// By how much another way must go better, and how well.
const BETTER: (f64, f64) = (0.12, 0.45);

/// One photograph, judged.
pub(super) struct One {
    pub(super) judged: Judged,
    /// The corners as they were used.
    pub(super) corners: Corners,
    /// How far they were moved, and how far the varnish creeps, mm.
    pub(super) moved: f64,
    pub(super) creep: f64,
    /// The stop-out that goes better.
    pub(super) other: Option<usize>,
}

pub(super) fn one(
    light: &Light<'_>,
    given: Corners,
    plate: &Plate,
    stop_outs: &StopOuts,
    settings: &PaintedSettings,
    wanted: &Wanted,
    allowed: Allowed,
) -> Result<One, Blind> {
    let r = wanted.resolution;
    let number = settings.stop_out;
    let mut corners = given;
    let mut look = seen(light, &corners, plate, wanted).ok_or(Blind::Alike)?;
    // Out of focus, varnish and metal run into each other and anything may be read from it: this comes before all other doubts.
    if let Some(width_mm) = sharp::width(&look, r.0).filter(|&mm| mm > SHARP.1) {
        return Err(Blind::Blurred { width_mm });
    }
    let fits = Fits::of(&look, r.0);
    let as_is = fits.fit(stop_outs, number, Way::default());
    let better = |way: Way| {
        let fit = fits.fit(stop_outs, number, way);
        (fit > as_is + BETTER.0 && fit > BETTER.1).then_some(fit)
    };
    let turned = better(Way { turned: true, mirrored: false });
    let mirrored = [false, true].map(|turned| better(Way { turned, mirrored: true })).into_iter().flatten().reduce(f64::max);
    match (turned, mirrored) {
        (Some(turned), mirrored) if mirrored.is_none_or(|m| turned >= m) => return Err(Blind::Turned),
        (_, Some(_)) => return Err(Blind::Mirrored),
        _ => {}
    }
    let other = (1..=stop_outs.list().len())
        .filter(|&k| k != number)
        .map(|k| (k, fits.fit(stop_outs, k, Way::default())))
        .filter(|&(_, fit)| fit > as_is + 0.03 && fit > BETTER.1)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(k, _)| k);

    let learn = |look: &Look, safe: f32| {
        Evidence::of(look, wanted, safe).map_err(|why| match why {
            Unlearnt::Few(0) => Blind::NoCovered,
            Unlearnt::Few(_) => Blind::NoBare,
            Unlearnt::Alike => Blind::Alike,
        })
    };
    let deep = allowed.over + 0.2;
    let mut evidence = learn(&look, deep)?;
    let mut moved = 0.0;
    let mut edges: Option<Registered> = None;
    // Twice: the second look is from nearer by.
    for _ in 0..2 {
        edges = register(&evidence.score, wanted);
        let Some(found) = edges.filter(|found| (0.12..=register::FARTHEST).contains(&found.most())) else { break };
        let Some(next) = shifted(&corners, plate, &found) else { break };
        let Some(again) = seen(light, &next, plate, wanted) else { break };
        let learnt = learn(&again, deep)?;
        if learnt.agree[0] + learnt.agree[1] + 0.02 < evidence.agree[0] + evidence.agree[1] {
            break;
        }
        (corners, look, evidence) = (next, again, learnt);
        moved += found.most();
    }
    let edges = register(&evidence.score, wanted).or(edges);
    if let Some(width_mm) = edges.map(|edges| edges.width).filter(|&mm| mm > SHARP.0) {
        return Err(Blind::Blurred { width_mm });
    }
    let [sc, sb] = evidence.scatter;
    if 2.0 / (sc + sb).max(1e-6) < APART || evidence.agree.iter().any(|&share| share < AGREE) {
        return Err(Blind::Alike);
    }
    let edges = edges.ok_or(Blind::Alike)?;
    let judged = Judged::of(&look, &evidence, wanted, &edges);
    Ok(One { judged, corners, moved, creep: edges.creep, other })
}
