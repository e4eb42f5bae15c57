//! Resist: ground that stays on the plate outside a shape, or over one, through every bite.
//!
//! It lies there before the first stop-out, as after a lift, or where ground was left standing. So it is part of every stop-out and is
//! painted at none. Where it does not lie the plate is open: that is what a lift drawing shows.

use crate::bits::BitPlane;
use crate::components::Components;
use crate::hand::Path;
use crate::hand::area::{Raster, polygon};
use crate::plane::Plane;
use crate::tones::StepMap;
use crate::units::PxPerMm;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Where a fixed resist lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Resist {
    /// By shapes drawn on the face, each by the even-odd rule, together as one.
    Drawn {
        /// Closed lines of three points or more.
        shapes: Vec<Path>,
        /// Whether the shapes are what is open; otherwise they are what is covered.
        open_inside: bool,
    },
    /// Outside the drawing's own outline: what tones other than paper go round is open, paper within it too.
    Outline {
        /// L* that the figure is darker than; none: everything that is not tone 0.
        darker_than: Option<f64>,
    },
}

/// A resist that can't be.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum ResistError {
    /// No shape at all, or too many.
    Shapes {
        /// How many came.
        shapes: usize,
    },
    /// A shape that goes round nothing.
    Open {
        /// How many points it has.
        points: usize,
    },
    /// A lightness no drawing has.
    Lightness {
        /// What came.
        lightness: f64,
    },
    /// It covers the whole face.
    NothingOpen,
}

impl fmt::Display for ResistError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Shapes { shapes } => {
                write!(f, "A resist is drawn with 1 to {} shapes, {shapes} came: draw what is to be open.", Resist::MOST_SHAPES)
            }
            Self::Open { points } => {
                write!(f, "A shape has at least three points, {points} came: draw it once round what you mean.")
            }
            Self::Lightness { lightness } => {
                write!(f, "The outline goes round what is darker than an L* over 0 and under 100; {lightness} came: 90 is just off paper.")
            }
            Self::NothingOpen => write!(
                f,
                "This resist would cover the whole face, so nothing would bite: draw a shape on the face, or let the outline take lighter tones."
            ),
        }
    }
}

impl std::error::Error for ResistError {}

impl Resist {
    /// Most shapes of one resist.
    pub const MOST_SHAPES: usize = 200;

    /// Checks everything that needs no picture.
    ///
    /// # Errors
    /// Where shapes or lightness are beyond their limits.
    pub fn check(&self) -> Result<(), ResistError> {
        match self {
            Self::Drawn { shapes, .. } if !(1..=Self::MOST_SHAPES).contains(&shapes.len()) => {
                Err(ResistError::Shapes { shapes: shapes.len() })
            }
            Self::Drawn { shapes, .. } => match shapes.iter().map(|shape| shape.points().len()).find(|&points| points < 3) {
                Some(points) => Err(ResistError::Open { points }),
                None => Ok(()),
            },
            // Not a number is in no range.
            Self::Outline { darker_than: Some(lightness) } if !(*lightness > 0.0 && *lightness < 100.0) => {
                Err(ResistError::Lightness { lightness: *lightness })
            }
            Self::Outline { .. } => Ok(()),
        }
    }

    /// What it covers. `figure` tells the drawing's own outline: what is not tone 0 belongs to the figure. It also tells the size.
    ///
    /// # Errors
    /// As [`Resist::check`], and where nothing would be left open.
    pub fn covered(&self, figure: &StepMap, resolution: PxPerMm) -> Result<BitPlane, ResistError> {
        self.check()?;
        let map = figure.plane();
        let covered = match self {
            Self::Drawn { shapes, open_inside } => {
                let raster = Raster { width: map.width(), height: map.height(), resolution };
                let mut within = BitPlane::empty(map.width(), map.height());
                for shape in shapes {
                    polygon(raster, shape.points(), |y, start, end| within.set_stretch(y, start, end));
                }
                if *open_inside { within.complement() } else { within }
            }
            Self::Outline { .. } => outside(map),
        };
        if covered.count() == map.data().len() as u64 { Err(ResistError::NothingOpen) } else { Ok(covered) }
    }
}

/// The tone 0 that hangs together, by sides, with the border of the face.
fn outside(map: &Plane<u8>) -> BitPlane {
    let pieces = Components::of(&map.map(|&tone| u8::from(tone > 0)));
    let (width, last) = (map.width(), map.height() - 1);
    let mut at_border = vec![false; pieces.count()];
    pieces.each_stretch(|y, start, end, piece| {
        at_border[piece] |= pieces.values()[piece] == 0 && (start == 0 || end == width || y == 0 || y == last);
    });
    let mut out = BitPlane::empty(width, map.height());
    pieces.each_stretch(|y, start, end, piece| {
        if at_border[piece] {
            out.set_stretch(y, start, end);
        }
    });
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::ToneCount;

    fn figure(rows: &[&str]) -> StepMap {
        let plane = Plane::from_fn(rows[0].len(), rows.len(), |x, y| rows[y].as_bytes()[x] - b'0');
        StepMap::new(ToneCount::new(3).unwrap(), plane)
    }

    fn drawn(shapes: &[&str], open_inside: bool) -> Resist {
        Resist::Drawn { shapes: shapes.iter().map(|text| Path::try_from((*text).to_owned()).unwrap()).collect(), open_inside }
    }

    fn shown(bits: &BitPlane) -> Vec<String> {
        (0..bits.height()).map(|y| (0..bits.width()).map(|x| if bits.at(x, y) { '#' } else { '.' }).collect()).collect()
    }

    const ONE: PxPerMm = PxPerMm(1.0);

    #[test]
    fn the_outline_leaves_paper_within_the_figure_open() {
        let map = figure(&["000000", "011100", "010120", "011100", "000000"]);
        let covered = Resist::Outline { darker_than: None }.covered(&map, ONE).unwrap();
        assert_eq!(shown(&covered), ["######", "#...##", "#....#", "#...##", "######"]);
    }

    #[test]
    fn shapes_are_open_or_covered() {
        let map = figure(&["0000", "0000", "0000"]);
        let open = drawn(&["1,1 3,1 3,2 1,2", "0,0 1,0 1,1 0,1"], true);
        assert_eq!(shown(&open.covered(&map, ONE).unwrap()), [".###", "#..#", "####"]);
        let covered = drawn(&["1,1 3,1 3,2 1,2", "0,0 1,0 1,1 0,1"], false);
        assert_eq!(covered.covered(&map, ONE).unwrap(), open.covered(&map, ONE).unwrap().complement());
        // The same shapes at three times the resolution cover nine times the pixels.
        let fine = StepMap::new(map.tones(), Plane::filled(12, 9, 0));
        assert_eq!(covered.covered(&fine, PxPerMm(3.0)).unwrap().count(), 27);
    }

    #[test]
    fn what_would_leave_nothing_open_is_refused() {
        let map = figure(&["00", "00"]);
        for (resist, said) in [
            (Resist::Outline { darker_than: None }, "whole face"),
            (Resist::Outline { darker_than: Some(f64::NAN) }, "L*"),
            (Resist::Outline { darker_than: Some(100.0) }, "100 came"),
            (drawn(&[], true), "0 came"),
            (drawn(&["1,1 2,2"], true), "2 came"),
            (drawn(&["10,10 20,10 20,20"], true), "whole face"),
        ] {
            let error = resist.covered(&map, ONE).unwrap_err().to_string();
            assert!(error.contains(said) && error.ends_with('.'), "{error}");
        }
    }
}
