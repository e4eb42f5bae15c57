//! What is found, in words.

use super::judged::Doubt;
use super::pieces::{Piece, Untold, Wrong, across};
use super::{Blind, PaintedCheck, PaintedError};
use crate::plate::SizeMm;
use crate::units::PointMm;
use std::fmt;

impl Doubt {
    /// Why, in a few words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Glare => "glare",
            Self::Light => "lighter than varnish and metal: a reflection",
            Self::Dark => "darker than varnish and metal: a shadow",
            Self::Colour => "neither varnish nor metal by its colour",
            Self::Between => "between varnish and metal: a thin coat, a reflection or a half shadow",
            Self::Gentle => "light or dark with no edge of varnish round it: a reflection or a shadow",
            Self::Faint => "varnish and metal look alike there",
            Self::Disagree => "the two photos say different things",
            Self::Outside => "outside the photo",
        }
    }
}

impl fmt::Display for Blind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Coarse { px_per_mm } => write!(
                f,
                "Can't tell: this photo has {px_per_mm:.1} pixels to a millimetre of plate, {} at least are needed. Go nearer, so that the plate fills the photo.",
                super::LEAST_PX_PER_MM
            ),
            Self::Blurred { width_mm } => write!(
                f,
                "Can't tell: the photo is not sharp enough, its edges go over in {width_mm:.1} mm. Hold still, press where the camera should be sharp, take it again."
            ),
            Self::Guess { fits, photo } => {
                let which = match photo {
                    Some(1) => "the first photo",
                    Some(_) => "the second photo",
                    None => "this photo",
                };
                if *fits {
                    write!(
                        f,
                        "Can't tell yet: the corners in {which} are a guess. Put each on its corner of the plate, then look it over again."
                    )
                } else {
                    write!(
                        f,
                        "Can't tell: nothing in {which} goes well with this stop-out, and its corners are a guess. See that this is the plate, the whole of \
                         it in the photo, and the stop-out painted last; put each corner on its corner of the plate, then look it over again."
                    )
                }
            }
            Self::Large => write!(
                f,
                "Can't tell: this plate is too large to be looked over in one photo at {} pixels to a millimetre. Look with your own eyes.",
                super::LEAST_PX_PER_MM
            ),
            Self::NoCovered => write!(
                f,
                "Can't tell: this stop-out covers too little in one piece to learn from how its varnish looks. Look with your own eyes."
            ),
            Self::NoBare => write!(
                f,
                "Can't tell: this stop-out leaves too little bare in one piece to learn from how the metal looks. Look with your own eyes."
            ),
            Self::Alike => write!(
                f,
                "Can't tell: what should be varnish and what should be metal look too much alike in this photo. See that this is the plate, that the stop-out \
                 it is held to is the one painted last, and that its corners lie right; then turn it to the window so that the metal is light and the varnish dark."
            ),
            Self::Turned => {
                write!(f, "Can't tell as it lies: the photo goes much better with this stop-out turned by half. Turn the photo round.")
            }
            Self::Mirrored => write!(
                f,
                "The photo goes much better with the mirror image of this stop-out: either the photo is mirrored, as some front cameras do, or the plate was \
                 painted from the print view. Look before anything else is done."
            ),
        }
    }
}

impl fmt::Display for PaintedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Corners(_) => write!(
                f,
                "No plate of this size and shape is seen in the photo: set its four corners by hand, or photograph the whole plate again, on something of \
                 another lightness."
            ),
            Self::Given(_) => write!(
                f,
                "These four corners go round no plate: put them on its upper left, upper right, lower right and lower left corner as the plate lies face up, \
                 one after the other clockwise."
            ),
            Self::StopOut { number, last } => write!(f, "This plate has stop-outs 1 to {last}; {number} came: choose one of them."),
            Self::Photos(count) => {
                write!(f, "One photo or two were expected, {count} came: choose one, or two with the lamp moved between them.")
            }
        }
    }
}

/// Where on the face, plate view.
pub(super) fn place(at: PointMm, face: SizeMm) -> &'static str {
    let third = |v: f64, side: f64| ((3.0 * v / side) as usize).min(2);
    const NAMES: [[&str; 3]; 3] = [
        ["upper left", "upper middle", "upper right"],
        ["left, half way down", "in the middle", "right, half way down"],
        ["lower left", "lower middle", "lower right"],
    ];
    NAMES[third(at.y.max(0.0), face.height.0)][third(at.x.max(0.0), face.width.0)]
}

impl Piece {
    /// What it is, in words.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match (self.wrong, across(self.extent).0 < 2.5) {
            (Wrong::Missed, true) => "a gap: bare, to be covered",
            (Wrong::Missed, false) => "missed: bare, to be covered",
            (Wrong::OverRun, true) => "a spot too much: covered, to be bare",
            (Wrong::OverRun, false) => "run over: covered, to be bare",
        }
    }

    /// Where it is, in words.
    #[must_use]
    pub fn place(&self, face: SizeMm) -> &'static str {
        place(self.at, face)
    }
}

impl Untold {
    /// Where it is, in words.
    #[must_use]
    pub fn place(&self, face: SizeMm) -> &'static str {
        place(self.at, face)
    }
}

/// Sentences about the whole.
pub(super) fn notes(check: &PaintedCheck, moved: Option<f64>, creep: Option<f64>, other: Option<usize>) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(other) = other {
        notes.push(format!(
            "The photo goes better with stop-out {other} than with stop-out {}: see that it is the one just painted.",
            check.stop_out
        ));
    }
    if let Some(mm) = moved.filter(|&mm| mm > 0.3) {
        notes.push(format!("By the edges of the varnish the plate lies up to {mm:.1} mm off the corners; that was set right."));
    }
    if let Some(mm) = creep.filter(|&mm| mm.abs() > 0.15) {
        notes.push(if mm > 0.0 {
            format!("On the whole the varnish reaches {mm:.1} mm over its edges.")
        } else {
            format!("On the whole the varnish stays {:.1} mm short of its edges.", -mm)
        });
    }
    if check.blind.is_none() {
        let percent = |share: f64| if share > 0.0 && share < 0.01 { "under 1 %".to_owned() } else { format!("{:.0} %", 100.0 * share) };
        notes.push(format!(
            "Judged: {} of the face. Within {:.1} mm of an edge nothing is judged, for a hand’s edge may stand there ({}); in {} nothing can be told.",
            percent(check.judged_share),
            check.allowed_mm,
            percent(check.edge_share),
            percent(check.untold_share)
        ));
    }
    notes
}
