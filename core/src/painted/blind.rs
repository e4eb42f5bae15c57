//! Why nothing of a photograph can be told.

/// Why nothing of a photograph can be told.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Blind {
    /// Too few pixels.
    Coarse {
        /// Pixels a millimetre where they are fewest.
        px_per_mm: f64,
    },
    /// The corners were looked for, and what was found is a guess.
    Guess {
        /// Whether what lies within them goes with the stop-out.
        fits: bool,
        /// Of which photograph, from 1, where there are two.
        photo: Option<usize>,
    },
    /// So large a plate that not enough pixels of it can be worked.
    Large,
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
