//! The painted plate, looked over in a photograph: what should be covered and is bare, what should be bare and is covered.
//!
//! The photograph is straightened by the plate's corners, in plate view. How varnish and metal look is learnt from the photograph itself, by
//! what a stop-out says lies deep inside the one and the other, for most of a painted plate is right. Every place is then covered, bare, or
//! can't be told: under glare, in shadow, between the two. Pieces of more than a square millimetre that are wrong beyond what a hand's edge
//! may wander are listed. What can't be told is said to be so and never guessed; and a plate without a mark is no promise: pinholes and thin
//! varnish are finer than this looks.

use crate::bands::HandError;
use crate::drawing::Drawing;
use crate::photo::source::Light;
use crate::photo::{Corners, CornersError};
use crate::plane::Plane;
use crate::plate::Plate;
use crate::stopouts::StopOuts;
use crate::units::{Millimetres, PxPerMm};
use crate::warp::Source;

mod blind;
mod corners;
mod evidence;
#[cfg(test)]
mod example;
mod field;
mod judge;
mod judged;
mod look;
mod pieces;
mod register;
mod sharp;
mod shown;
mod view;
mod wanted;
mod ways;
mod words;

pub use blind::Blind;
pub use corners::FoundPlate;
pub(crate) use corners::{Known, Reduced};
pub use judged::Doubt;
pub use pieces::{LEAST_AREA_MM2, Piece, Untold, Wrong};

use judge::one;
use judged::Judged;
use pieces::Allowed;
use view::detail;
use wanted::Wanted;

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
    let mut guess = None;
    for (photo, light) in photos.iter().zip(&lights) {
        if let Some(given) = photo.corners {
            given.check(Source::<3>::size(light)).map_err(PaintedError::Given)?;
            corners.push(given);
            continue;
        }
        let found = corners::find(light, plate, stop_outs, settings.stop_out).map_err(PaintedError::Corners)?;
        corners.push(found.corners);
        if !found.sure && guess.is_none() {
            guess = Some(Blind::Guess { fits: found.fits(), photo: (photos.len() > 1).then_some(corners.len()) });
        }
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
        check.blind = Some(if detail < LEAST_PX_PER_MM { Blind::Coarse { px_per_mm: detail } } else { Blind::Large });
        check.corners = corners;
        return Ok(check);
    }
    if guess.is_some() {
        check.blind = guess;
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

/// Looks for the corners of a plate on which stop-out `number` was painted, from 1.
///
/// # Errors
/// Where there is no such stop-out, or nothing that goes with it.
pub fn find(drawing: &Drawing, plate: &Plate, stop_outs: &StopOuts, number: usize) -> Result<FoundPlate, PaintedError> {
    let last = stop_outs.list().len();
    if !(1..=last).contains(&number) {
        return Err(PaintedError::StopOut { number, last });
    }
    corners::find(&Light::of(drawing), plate, stop_outs, number).map_err(PaintedError::Corners)
}

#[cfg(test)]
mod tests {
    use super::example::{photo, plate};
    use super::*;
    use crate::plane::Plane;

    use proptest::prelude::*;

    fn settings() -> PaintedSettings {
        PaintedSettings { stop_out: 1, hand: HandError::default(), creep: Millimetres(0.2) }
    }

    fn looked(discs: &[(f64, f64, f64, bool)]) -> PaintedCheck {
        let (plate, stop_outs) = plate();
        let (drawing, corners) = photo(&stop_outs, (0.05, 0.5), discs);
        check(&[PaintedPhoto { drawing: &drawing, corners: Some(corners) }], &plate, &stop_outs, &settings()).unwrap()
    }

    #[test]
    fn a_gap_and_a_spot_are_found_where_they_are_and_as_large() {
        let clean = looked(&[]);
        assert_eq!((clean.blind, clean.pieces.len(), clean.untold.len()), (None, 0, 0), "{:?}", clean.pieces);
        // Plate view: the L's upright is at the right.
        let got = looked(&[(51.0, 20.0, 1.5, false), (15.0, 12.0, 2.0, true)]);
        assert_eq!(got.pieces.len(), 2, "{:?}", got.pieces);
        let (spot, gap) = (got.pieces[0], got.pieces[1]);
        assert_eq!((spot.wrong, gap.wrong), (Wrong::OverRun, Wrong::Missed));
        assert!((spot.at.x - 15.0).abs() < 0.3 && (spot.at.y - 12.0).abs() < 0.3 && (spot.area_mm2 - 12.6).abs() < 2.5, "{spot:?}");
        assert!((gap.at.x - 51.0).abs() < 0.3 && (gap.at.y - 20.0).abs() < 0.3 && (gap.area_mm2 - 7.1).abs() < 2.0, "{gap:?}");
        assert_eq!(gap.place(Plate::new(Millimetres(60.0), Millimetres(50.0), Millimetres(0.0)).unwrap().face()), "right, half way down");
        let (plate, stop_outs) = plate();
        let (drawing, _) = photo(&stop_outs, (0.05, 0.5), &[]);
        let shown = got.shown(&drawing, 0, &plate, (120, 100)).unwrap();
        assert_eq!((shown.width(), shown.height()), (120, 100));
        assert!(got.shown(&drawing, 1, &plate, (120, 100)).is_none());
    }

    #[test]
    fn alike_turned_and_mirrored_are_said_to_be_so() {
        let (plate, stop_outs) = plate();
        let look = |drawing: &Drawing, corners: Corners| {
            check(&[PaintedPhoto { drawing, corners: Some(corners) }], &plate, &stop_outs, &settings()).unwrap()
        };
        let (grey, corners) = photo(&stop_outs, (0.3, 0.3), &[]);
        assert!(matches!(look(&grey, corners).blind, Some(Blind::Alike)));
        let (right, corners) = photo(&stop_outs, (0.05, 0.5), &[]);
        let [a, b, c, d] = corners.0;
        assert_eq!(look(&right, Corners([c, d, a, b])).blind, Some(Blind::Turned));
        let mirrored = Drawing::from_luminance(&right.luminance().mirrored());
        let got = look(&mirrored, corners);
        assert_eq!(got.blind, Some(Blind::Mirrored));
        assert!(got.pieces.is_empty());
    }

    #[test]
    fn what_can_not_be_is_refused_in_a_sentence() {
        let (plate, stop_outs) = plate();
        let (drawing, corners) = photo(&stop_outs, (0.05, 0.5), &[]);
        let photo = PaintedPhoto { drawing: &drawing, corners: Some(corners) };
        let said = |photos: &[PaintedPhoto<'_>], stop_out: usize| {
            check(photos, &plate, &stop_outs, &PaintedSettings { stop_out, ..settings() }).unwrap_err().to_string()
        };
        for text in [
            said(&[photo], 0),
            said(&[photo], 2),
            said(&[], 1),
            said(&[photo; 3], 1),
            said(&[PaintedPhoto { corners: Some(Corners([[f64::NAN; 2]; 4])), ..photo }], 1),
        ] {
            assert!(text.ends_with('.') && text.len() > 30, "{text}");
        }
        let dot = Drawing::from_luminance(&Plane::filled(1, 1, 0.5));
        assert!(check(&[PaintedPhoto { drawing: &dot, corners: None }], &plate, &stop_outs, &settings()).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]
        #[test]
        fn nothing_is_marked_that_is_not_wrong(x in 4.0..56.0f64, y in 4.0..46.0f64, r in 0.0..2.5f64, on in any::<bool>()) {
            let got = looked(&[(x, y, r, on)]);
            // Every piece is at the disc, of its kind, and shares add up.
            for piece in &got.pieces {
                prop_assert!(piece.area_mm2 > LEAST_AREA_MM2);
                prop_assert_eq!(piece.wrong == Wrong::OverRun, on);
                prop_assert!((piece.at.x - x).hypot(piece.at.y - y) < r + 0.5, "{:?}", piece);
            }
            prop_assert!((got.judged_share + got.edge_share + got.untold_share - 1.0).abs() < 1e-9);
        }
    }
}
