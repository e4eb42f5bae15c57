//! The painted plate, looked over in a photograph: what should be covered and is bare, what should be bare and is covered.
//!
//! The photograph is straightened by the plate's corners, in plate view. How varnish and metal look is learnt from the photograph itself, by
//! what a stop-out says lies deep inside the one and the other, for most of a painted plate is right. Every place is then covered, bare, or
//! can't be told: under glare, in shadow, between the two. Pieces of more than a square millimetre that are wrong beyond what a hand's edge
//! may wander are listed. What can't be told is said to be so and never guessed; and a plate without a mark is no promise: pinholes and thin
//! varnish are finer than this looks.

use crate::bands::HandError;
use crate::drawing::Drawing;
use crate::homography::{Homography, Point};
use crate::photo::source::Light;
use crate::photo::{Corners, CornersError, corners, proportion};
use crate::plane::Plane;
use crate::plate::Plate;
use crate::stopouts::StopOuts;
use crate::units::{Millimetres, PxPerMm};
use crate::warp::Source;

mod evidence;
mod field;
mod judged;
mod look;
mod pieces;
mod register;
mod shown;
mod wanted;
mod ways;
mod words;

pub use judged::Doubt;
pub use pieces::{LEAST_AREA_MM2, Piece, Untold, Wrong};

use evidence::{Evidence, Unlearnt};
use judged::Judged;
use look::Look;
use pieces::Allowed;
use register::{Registered, register};
use wanted::{Wanted, Way};
use ways::Fits;

/// A photograph of the plate.
#[derive(Clone, Copy, Debug)]
pub struct PaintedPhoto<'a> {
    /// The picture.
    pub drawing: &'a Drawing,
    /// The plate's corners, metal edge: upper left, upper right, lower right, lower left of the plate view. None: looked for, and the plate
    /// turned as it goes best with the stop-out.
    pub corners: Option<Corners>,
}

/// What it is held to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaintedSettings {
    /// The stop-out painted last, from 1.
    pub stop_out: usize,
    /// How far the hand's edge wanders, a standard deviation.
    pub hand: HandError,
    /// How far the varnish may creep outwards, 0 or more.
    pub creep: Millimetres,
}

/// Why nothing of a photograph can be told.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Blind {
    /// Too few pixels.
    Coarse {
        /// Pixels a millimetre where they are fewest.
        px_per_mm: f64,
    },
    /// Not sharp.
    Blurred {
        /// Width over which edges go over, mm.
        width_mm: f64,
    },
    /// Too little is to be covered in one piece.
    NoCovered,
    /// Too little is to be bare in one piece.
    NoBare,
    /// Varnish and metal look too much alike, or the photograph does not go with the stop-out.
    Alike,
    /// It goes better turned by half.
    Turned,
    /// It goes better mirrored.
    Mirrored,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct PaintedCheck {
    /// The stop-out it was held to.
    pub stop_out: usize,
    /// The plate's corners in each photograph, as they were used.
    pub corners: Vec<Corners>,
    /// Why nothing can be told; then there are no pieces.
    pub blind: Option<Blind>,
    /// Pieces that are wrong, the largest first.
    pub pieces: Vec<Piece>,
    /// Places that can't be told, the largest first.
    pub untold: Vec<Untold>,
    /// Share of the face that was judged, 0..=1.
    pub judged_share: f64,
    /// Share that lies too near an edge to be judged, or is left to the hand.
    pub edge_share: f64,
    /// Share that can't be told.
    pub untold_share: f64,
    /// How far from an edge nothing is judged, mm.
    pub allowed_mm: f64,
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
    /// The face in plate view, [`SEEN`] codes.
    pub seen: Plane<u8>,
    /// Pixels a millimetre of it.
    pub resolution: PxPerMm,
}

/// Codes of [`PaintedCheck::seen`]: nothing to say, a missed piece, an over-run, not to be told.
pub const SEEN: [u8; 4] = [0, 1, 2, 3];

/// What can't be looked over.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum PaintedError {
    /// The corners can't be found.
    Corners(CornersError),
    /// The corners given are none.
    Given(CornersError),
    /// There is no such stop-out.
    StopOut {
        /// Its number.
        number: usize,
        /// The last there is.
        last: usize,
    },
    /// Not one or two photographs.
    Photos(usize),
}

impl std::error::Error for PaintedError {}

/// Pixels a millimetre that are needed.
pub const LEAST_PX_PER_MM: f64 = 3.0;
/// Pixels a millimetre that are worked at.
const WORKED: f64 = 5.0;
/// Most pixels that are worked.
const MOST_PIXELS: f64 = 6e6;
/// Standard deviations of the hand's edge that are allowed, and what the place of the face may be off, mm.
const DEVIATIONS: f64 = 2.6;
const OFF: f64 = 0.1;
/// An edge that goes over more widely than this, mm, is not sharp.
const SHARP: f64 = 1.1;
/// The difference between the two, of both standard deviations together, that is needed.
const APART: f32 = 2.2;
/// Share of the examples that must be on their side.
const AGREE: f64 = 0.75;
/// By how much another way must go better, and how well.
const BETTER: (f64, f64) = (0.12, 0.45);

/// Looks a plate over.
///
/// # Errors
/// When there is no such stop-out, corners can't be, or can't be found.
pub fn check(
    photos: &[PaintedPhoto<'_>],
    plate: &Plate,
    stop_outs: &StopOuts,
    settings: &PaintedSettings,
) -> Result<PaintedCheck, PaintedError> {
    let last = stop_outs.list().len();
    if !(1..=last).contains(&settings.stop_out) {
        return Err(PaintedError::StopOut { number: settings.stop_out, last });
    }
    if !(1..=2).contains(&photos.len()) {
        return Err(PaintedError::Photos(photos.len()));
    }
    let lights: Vec<Light<'_>> = photos.iter().map(|photo| Light::of(photo.drawing)).collect();
    let mut corners = Vec::new();
    for (photo, light) in photos.iter().zip(&lights) {
        corners.push(placed(photo, light, plate, stop_outs, settings.stop_out)?);
    }
    let face = plate.face();
    let detail = corners.iter().map(|c| detail(c, plate)).fold(f64::MAX, f64::min);
    let worked = detail.min(WORKED).min(libm::sqrt(MOST_PIXELS / (face.width.0 * face.height.0)));
    let r = PxPerMm(worked.max(1.0));
    let wanted = Wanted::of(stop_outs, settings.stop_out, face, r);
    let allowance = DEVIATIONS * settings.hand.0.0 + OFF;
    let creep = settings.creep.0.clamp(0.0, 2.0);
    let allowed = Allowed { missed: allowance as f32, over: (allowance + creep) as f32 };
    let (w, h) = wanted.size();
    let mut check = PaintedCheck {
        stop_out: settings.stop_out,
        corners: Vec::new(),
        blind: None,
        pieces: Vec::new(),
        untold: Vec::new(),
        judged_share: 0.0,
        edge_share: 0.0,
        untold_share: 1.0,
        allowed_mm: allowance + creep,
        notes: Vec::new(),
        seen: Plane::filled(w, h, SEEN[0]),
        resolution: r,
    };
    if worked < LEAST_PX_PER_MM {
        check.blind = Some(Blind::Coarse { px_per_mm: worked });
        check.corners = corners;
        return Ok(check);
    }
    let mut judged: Option<Judged> = None;
    let (mut moved, mut crept, mut other) = (None, None, None);
    let mut blind = None;
    for (light, corners) in lights.iter().zip(corners) {
        match one(light, corners, plate, stop_outs, settings, &wanted, allowed) {
            Ok(one) => {
                check.corners.push(one.corners);
                moved = moved.max_by(one.moved);
                crept = Some(one.creep);
                other = other.or(one.other);
                judged = Some(match judged {
                    Some(before) => before.with(&one.judged),
                    None => one.judged,
                });
            }
            Err(why) => {
                check.corners.push(corners);
                blind = Some(why);
            }
        }
    }
    let Some(judged) = judged else {
        check.blind = blind;
        return Ok(check);
    };
    let (pieces, shown) = pieces::wrong(&judged, &wanted, allowed);
    check.untold = pieces::untold(&judged, &wanted, allowed);
    let (mut told, mut untold) = (0usize, 0usize);
    for y in 0..h {
        for x in 0..w {
            let at = y * w + x;
            let doubt = Doubt::of(judged.classes.data()[at]).is_some();
            if allowed.judges(&wanted, x, y) {
                *if doubt { &mut untold } else { &mut told } += 1;
                if doubt {
                    check.seen.data_mut()[at] = SEEN[3];
                }
            }
            if shown.at(x, y) {
                check.seen.data_mut()[at] = if wanted.map.data()[at] == wanted::COVERED { SEEN[1] } else { SEEN[2] };
            }
        }
    }
    let all = (w * h) as f64;
    check.judged_share = told as f64 / all;
    check.untold_share = untold as f64 / all;
    check.edge_share = (1.0 - check.judged_share - check.untold_share).max(0.0);
    check.pieces = pieces;
    check.notes = words::notes(&check, moved, crept, other);
    if let Some(why) = blind {
        check.notes.insert(0, format!("Of one of the two photos nothing was used. {why}"));
    }
    Ok(check)
}

/// The larger of what is known.
trait MaxBy {
    fn max_by(self, other: f64) -> Self;
}

impl MaxBy for Option<f64> {
    fn max_by(self, other: f64) -> Self {
        Some(self.map_or(other, |v| v.max(other)))
    }
}

/// One photograph, judged.
struct One {
    judged: Judged,
    corners: Corners,
    moved: f64,
    creep: f64,
    other: Option<usize>,
}

fn one(
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
    let fits = Fits::of(&look, r.0);
    let as_is = fits.fit(stop_outs, number, Way::default());
    let better = |way: Way| {
        let fit = fits.fit(stop_outs, number, way);
        (fit > as_is + BETTER.0 && fit > BETTER.1).then_some(fit)
    };
    let turned = better(Way { turned: true, mirrored: false });
    let mirrored = [false, true].map(|turned| better(Way { turned, mirrored: true })).into_iter().flatten().fold(None, Option::max_by_some);
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
    let [sc, sb] = evidence.scatter;
    if 2.0 / (sc + sb).max(1e-6) < APART || evidence.agree.iter().any(|&share| share < AGREE) {
        return Err(Blind::Alike);
    }
    let edges = register(&evidence.score, wanted).or(edges).ok_or(Blind::Alike)?;
    if edges.width > SHARP {
        return Err(Blind::Blurred { width_mm: edges.width });
    }
    let judged = Judged::of(&look, &evidence, wanted, &edges);
    Ok(One { judged, corners, moved, creep: edges.creep, other })
}

trait MaxBySome {
    fn max_by_some(self, other: f64) -> Self;
}

impl MaxBySome for Option<f64> {
    fn max_by_some(self, other: f64) -> Self {
        self.max_by(other)
    }
}

const SQUARE: [Point; 4] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];

/// From shares of the plate to the picture.
fn map(corners: &Corners) -> Option<Homography> {
    Homography::between(&SQUARE, &corners.0)
}

/// Pixels a millimetre of plate where they are fewest, by the plate's sides.
fn detail(corners: &Corners, plate: &Plate) -> f64 {
    let size = plate.size();
    let Some(map) = map(corners) else { return 0.0 };
    let fewest = |at: Point| {
        let [across, down] = map.derivative(at);
        (libm::hypot(across[0], across[1]) / size.width.0).min(libm::hypot(down[0], down[1]) / size.height.0)
    };
    SQUARE.map(fewest).into_iter().fold(f64::MAX, f64::min)
}

/// The face, straightened.
fn seen(light: &Light<'_>, corners: &Corners, plate: &Plate, wanted: &Wanted) -> Option<Look> {
    let (size, face, bevel) = (plate.size(), plate.face(), plate.bevel().0);
    let (w, h) = wanted.size();
    let (kx, ky) = (face.width.0 / w as f64 / size.width.0, face.height.0 / h as f64 / size.height.0);
    let shares = Homography::new([[kx, 0.0, bevel / size.width.0], [0.0, ky, bevel / size.height.0], [0.0, 0.0, 1.0]])?;
    Some(Look::of(light, map(corners)? * shares, (w, h), wanted.resolution))
}

/// The corners moved by what the edges say.
fn shifted(corners: &Corners, plate: &Plate, edges: &Registered) -> Option<Corners> {
    let (size, face, bevel) = (plate.size(), plate.face(), plate.bevel().0);
    let map = map(corners)?;
    // A corner of the plate by coordinates of the face from −1 to 1, moved in mm.
    let moved = SQUARE.map(|share| {
        let mm = [share[0] * size.width.0, share[1] * size.height.0];
        let at = [2.0 * (mm[0] - bevel) / face.width.0 - 1.0, 2.0 * (mm[1] - bevel) / face.height.0 - 1.0];
        let by = edges.shift(at);
        map.apply([(mm[0] + by[0]) / size.width.0, (mm[1] + by[1]) / size.height.0])
    });
    Some(Corners(moved))
}

/// The corners as given, or found and turned as they go best.
fn placed(
    photo: &PaintedPhoto<'_>,
    light: &Light<'_>,
    plate: &Plate,
    stop_outs: &StopOuts,
    number: usize,
) -> Result<Corners, PaintedError> {
    let picture = Source::<3>::size(light);
    if let Some(corners) = photo.corners {
        corners.check(picture).map_err(PaintedError::Given)?;
        return Ok(corners);
    }
    let found = find(photo.drawing).map_err(PaintedError::Corners)?;
    let size = plate.size();
    let wanted = libm::log(size.width.0 / size.height.0);
    let rough = Wanted::of(stop_outs, number, plate.face(), PxPerMm(1.0));
    let mut best: Option<(f64, Corners)> = None;
    for turn in 0..4 {
        let mut corners = found;
        corners.0.rotate_left(turn);
        let off = proportion(&corners, picture).map_or(0.0, |p| (libm::log(p) - wanted).abs());
        let Some(look) = seen(light, &corners, plate, &rough) else { continue };
        // A plate seen 15 % longer than it is lies the other way, unless it is nearly square.
        let fit = Fits::of(&look, 1.0).fit(stop_outs, number, Way::default()) - if off > 0.15 { 1.0 } else { 0.0 };
        if best.is_none_or(|(most, _)| fit > most) {
            best = Some((fit, corners));
        }
    }
    best.map(|(_, corners)| corners).ok_or(PaintedError::Corners(CornersError::NoSheet))
}

/// Looks for the plate's corners: a plate lighter than what lies beside it, or darker.
///
/// # Errors
/// Where neither is clear.
pub fn find(drawing: &Drawing) -> Result<Corners, CornersError> {
    let light = drawing.luminance();
    corners::find(light).map(|found| found.corners).or_else(|error| {
        // Turned over in its logarithm, so that a step keeps its size.
        let most = light.data().iter().fold(0.0f32, |most, &v| most.max(v)).max(1e-3);
        let over = light.map(|&v| 0.03 * most / (v.max(0.0) + 0.03 * most));
        corners::find(&over).map(|found| found.corners).map_err(|_| error)
    })
}
