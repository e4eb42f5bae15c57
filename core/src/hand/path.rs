//! Path: the line a hand drew, in millimetres of the face.

use crate::units::PointMm;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::fmt::Write as _;

/// Points of a line, or of the edge of an area, on the face in print view.
///
/// Written as text, `x,y x,y …` in mm: a long line stays one value, which is quick to pass on and to compare, and can be read.
///
/// # Guarantees
/// From one point to [`Path::MOST_POINTS`], each finite and within [`Path::FARTHEST`] mm of the face's corner.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Path(Vec<PointMm>);

/// A line that can't be.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum PathError {
    /// No point at all.
    Empty,
    /// More points than a hand makes.
    Long {
        /// How many came.
        points: usize,
    },
    /// Something that is no point.
    NoPoint {
        /// What came, shortened.
        text: String,
    },
}

impl fmt::Display for PathError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "A line drawn by hand has at least one point, none came: draw it again."),
            Self::Long { points } => {
                write!(f, "A line drawn by hand has up to {} points, {points} came: draw it in two parts.", Path::MOST_POINTS)
            }
            Self::NoPoint { text } => {
                write!(f, "The points of a line drawn by hand are pairs like “12.5,40 13,41.5” in mm, “{text}” came: draw it again.")
            }
        }
    }
}

impl std::error::Error for PathError {}

impl Path {
    /// Most points of one line.
    pub const MOST_POINTS: usize = 5000;
    /// Farthest coordinate, mm: five times the largest plate.
    pub const FARTHEST: f64 = 10_000.0;

    /// A line through points.
    ///
    /// # Errors
    /// Where there is none, there are too many, or one is not a place near the face.
    pub fn new(points: Vec<PointMm>) -> Result<Self, PathError> {
        if points.is_empty() {
            return Err(PathError::Empty);
        }
        if points.len() > Self::MOST_POINTS {
            return Err(PathError::Long { points: points.len() });
        }
        match points.iter().find(|point| !is_near(**point)) {
            Some(PointMm { x, y }) => Err(PathError::NoPoint { text: format!("{x},{y}") }),
            None => Ok(Self(points)),
        }
    }

    /// Its points in the order they were drawn.
    #[must_use]
    pub fn points(&self) -> &[PointMm] {
        &self.0
    }
}

/// Whether a point is finite and within [`Path::FARTHEST`].
pub(super) fn is_near(point: PointMm) -> bool {
    // Not a number is in no range.
    [point.x, point.y].iter().all(|value| (-Path::FARTHEST..=Path::FARTHEST).contains(value))
}

impl TryFrom<String> for Path {
    type Error = PathError;
    fn try_from(text: String) -> Result<Self, PathError> {
        let point = |pair: &str| {
            let (x, y) = pair.split_once(',')?;
            Some(PointMm { x: x.parse().ok()?, y: y.parse().ok()? })
        };
        let points: Result<Vec<PointMm>, PathError> = text
            .split_ascii_whitespace()
            .map(|pair| point(pair).ok_or_else(|| PathError::NoPoint { text: pair.chars().take(30).collect() }))
            .collect();
        Self::new(points?)
    }
}

impl From<Path> for String {
    fn from(path: Path) -> Self {
        let mut text = Self::new();
        for (i, point) in path.0.iter().enumerate() {
            let space = if i == 0 { "" } else { " " };
            // Writing to a string can't fail.
            let _ = write!(text, "{space}{},{}", point.x, point.y);
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_reads_what_it_writes() {
        let path = Path::new(vec![PointMm { x: 12.5, y: -3.0 }, PointMm { x: 0.1 + 0.2, y: 1e-7 }]).unwrap();
        let text = serde_json::to_string(&path).unwrap();
        assert!(text.starts_with("\"12.5,-3 0.3"), "{text}");
        assert_eq!(serde_json::from_str::<Path>(&text).unwrap(), path);
    }

    #[test]
    fn what_is_no_line_is_refused_in_a_sentence() {
        let long = "1,2 ".repeat(5001);
        for (text, said) in [
            ("", "none came"),
            ("1,2 3", "“3”"),
            ("1,2 x,4", "“x,4”"),
            ("1,NaN", "NaN"),
            ("inf,1", "inf"),
            ("1,20000", "20000"),
            (&long, "5001"),
        ] {
            let error = Path::try_from(text.to_owned()).unwrap_err().to_string();
            assert!(error.contains(said) && error.ends_with('.'), "{error}");
        }
        assert_eq!(Path::try_from("1,2 ".repeat(5000)).unwrap().points().len(), 5000);
    }
}
