//! A picture being read: what a decoder knows of it beforehand, and its rows as they come.

use super::headers::Headers;
use super::kept::{self, Kept, NoRoom};
use super::samples::{Converter, Depth, Layout, Samples};
use super::space::Space;
use super::{Drawing, DrawingError, Info, MOST_PIXELS, profile};
use crate::units::PxPerMm;
use image::metadata::Orientation;

/// What a decoder knows of the picture before it reads it.
pub(super) struct Found {
    pub(super) format: &'static str,
    /// As stored, pixels.
    pub(super) size: (u32, u32),
    pub(super) layout: Layout,
    pub(super) orientation: Orientation,
    pub(super) headers: Headers,
    /// What the values mean: of the layout's colours.
    pub(super) space: Space,
}

impl Found {
    pub(super) fn too_large(&self) -> DrawingError {
        DrawingError::TooLarge { width: self.size.0, height: self.size.1 }
    }

    pub(super) fn checked(&self) -> Result<(), DrawingError> {
        checked(self.format, self.size)
    }

    /// Lets a colour profile say what the values mean; says so where it makes a difference, or can't.
    pub(super) fn apply(&mut self, profile: &[u8]) {
        let plain = Space::srgb(self.layout.colours);
        let space = profile::space(profile).and_then(|space| match (self.layout.colours, space) {
            (1, Space::Rgb { curves: [_, green, _], .. }) => Some(Space::Grey(green).plain()),
            (3, Space::Grey(curve)) => Some(Space::alike(3, &curve)),
            (colours, space) => (space.colours() == colours).then_some(space),
        });
        match space {
            Some(space) if space == plain => {}
            Some(space) => {
                self.space = space;
                self.headers.notes.push("The file's own colour profile is applied.".into());
            }
            None => {
                let how = if self.layout.colours == 4 { "plain CMYK" } else { "sRGB" };
                self.headers.notes.push(format!(
                    "The file's colour profile can't be read or is for another kind of picture; it is not applied, and the values are read as {how}."
                ));
                if self.layout.colours == 4 {
                    self.say_inks();
                }
            }
        }
    }

    pub(super) fn say_inks(&mut self) {
        let note = "The file holds four inks (CMYK), turned to RGB by plain arithmetic: look whether its tones are as you know them.";
        self.headers.notes.push(note.into());
    }
}

/// Refuses a picture without pixels or with too many.
pub(super) fn checked(format: &'static str, (width, height): (u32, u32)) -> Result<(), DrawingError> {
    match u64::from(width) * u64::from(height) {
        0 => Err(DrawingError::Damaged { format, reason: "a side of no pixels".into() }),
        pixels if pixels > MOST_PIXELS => Err(DrawingError::TooLarge { width, height }),
        _ => Ok(()),
    }
}

/// A picture being taken in, row by row from the top of what is stored.
pub(super) struct Reading {
    kept: Kept,
    info: Info,
    too_large: DrawingError,
}

impl Reading {
    pub(super) fn new(mut found: Found) -> Result<Self, DrawingError> {
        let too_large = found.too_large();
        let reduced = kept::factor(found.size.0, found.size.1);
        let density = found.headers.square_density().map(|density| PxPerMm(density.0 / f64::from(reduced)));
        if reduced > 1 {
            let (width, height) = found.size;
            found.headers.notes.push(format!(
                "The file has {width} × {height} pixels; it was reduced to {} × {} while it was read, each the mean of {reduced} × {reduced}.",
                width.div_ceil(reduced),
                height.div_ceil(reduced)
            ));
        }
        let bits = match found.layout.depth {
            Depth::Bytes => 8,
            Depth::Words => 16,
            Depth::Floats => 32,
        };
        let info = Info {
            format: found.format,
            bits,
            orientation: found.orientation.to_exif(),
            stored: found.size,
            reduced,
            density,
            notes: found.headers.notes,
        };
        let converter = Converter::new(found.layout, found.space);
        let kept = Kept::new(converter, found.size, found.orientation).map_err(|NoRoom| too_large.clone())?;
        Ok(Self { kept, info, too_large })
    }

    pub(super) fn row(&mut self, row: Samples<'_>) -> Result<(), DrawingError> {
        self.kept.row(row).map_err(|NoRoom| self.too_large.clone())
    }

    pub(super) fn finish(self) -> Drawing {
        let (luminance, colour) = self.kept.finish();
        Drawing { luminance, colour, info: self.info }
    }
}
