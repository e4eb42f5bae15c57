//! Why a file could not be read as a drawing.

use std::fmt;

/// Why a file could not be read as a drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum DrawingError {
    /// The file holds no bytes.
    Empty,
    /// The first bytes are those of no picture format known here.
    Unknown,
    /// A format that is recognised but not read.
    Foreign {
        /// Its name, as people say it.
        name: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    /// The file stops before its picture does.
    Truncated {
        /// The format.
        format: &'static str,
    },
    /// The file is broken in some other way.
    Damaged {
        /// The format.
        format: &'static str,
        /// What the decoder found.
        reason: String,
    },
    /// A kind of the format that is not read.
    Unsupported {
        /// The format.
        format: &'static str,
        /// What this one holds.
        kind: String,
    },
    /// A JPEG of four inks that doesn't say which way round its values run.
    UnmarkedInks,
    /// Floating-point values that are not shares of light.
    OutOfRange {
        /// A value that was found, as text.
        value: String,
    },
    /// The picture has more pixels than are read, or than fit the memory at hand.
    TooLarge {
        /// Width, pixels.
        width: u32,
        /// Height, pixels.
        height: u32,
    },
    /// The picture can only be decoded all at once, and is too large for that.
    TooLargeAtOnce {
        /// The format.
        format: &'static str,
        /// Width, pixels.
        width: u32,
        /// Height, pixels.
        height: u32,
    },
}

impl fmt::Display for DrawingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "A picture was expected, but the file is empty: save or copy it again."),
            Self::Unknown => {
                write!(
                    f,
                    "A PNG, JPEG, TIFF, WebP or BMP picture was expected, but the file is none of these: save the drawing as PNG or JPEG."
                )
            }
            Self::Foreign { name, remedy } => {
                write!(f, "A PNG, JPEG, TIFF, WebP or BMP picture was expected, but this is {name}: {remedy}.")
            }
            Self::Truncated { format } => {
                write!(f, "This {format} file stops before its picture is complete: copy or save it again from where it came.")
            }
            Self::Damaged { format, reason } => write!(
                f,
                "A whole {format} picture was expected, but the file is damaged ({reason}): open it where it was made and save it again."
            ),
            Self::Unsupported { format, kind } => {
                write!(f, "This {format} file holds {kind}, which is not read here: save it as PNG or JPEG in grey or RGB.")
            }
            Self::UnmarkedInks => write!(
                f,
                "This JPEG holds four inks (CMYK) and does not say which way their values run, so its lights and darks can't be told: \
                 save it as RGB or grey."
            ),
            Self::OutOfRange { value } => write!(
                f,
                "Floating-point values from 0 (black) to 1 (white) were expected, {value} came: bring them into that range, or save the picture \
                 with 16 bits."
            ),
            Self::TooLarge { width, height } => write!(
                f,
                "A drawing of at most {} million pixels that fits the memory was expected, {width} × {height} pixels came: save it smaller.",
                super::MOST_PIXELS / 1_000_000
            ),
            Self::TooLargeAtOnce { format, width, height } => {
                let remedy = match *format {
                    "PNG" => "save it without interlacing, or smaller",
                    "TIFF" => "save it in strips with LZW or no compression, or smaller",
                    _ => "save it as PNG or TIFF, or smaller",
                };
                write!(
                    f,
                    "A picture that takes at most {} MB to decode was expected; this {format} of {width} × {height} pixels has to be decoded all at \
                     once and takes more: {remedy}.",
                    super::MOST_AT_ONCE / 1_000_000
                )
            }
        }
    }
}

impl std::error::Error for DrawingError {}
