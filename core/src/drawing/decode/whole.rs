//! WebP and BMP: decoded whole, then taken in row by row.

use super::super::headers::{self, Headers};
use super::super::samples::{Alpha, Depth, Layout, Samples};
use super::super::space::Space;
use super::super::{DrawingError, Found, MOST_AT_ONCE, Reading, room};
use image::codecs::{bmp::BmpDecoder, webp::WebPDecoder};
use image::metadata::Orientation;
use image::{ColorType, ImageDecoder, ImageError, Limits};
use std::error::Error;
use std::io::{Cursor, ErrorKind};

pub(in super::super) fn webp(bytes: &[u8]) -> Result<Reading, DrawingError> {
    let headers = headers::webp(bytes)?;
    read("WebP", headers, WebPDecoder::new(Cursor::new(bytes)).map_err(|error| refusal("WebP", &error))?)
}

pub(in super::super) fn bmp(bytes: &[u8]) -> Result<Reading, DrawingError> {
    read("BMP", headers::bmp(bytes), BmpDecoder::new(Cursor::new(bytes)).map_err(|error| refusal("BMP", &error))?)
}

fn read(format: &'static str, headers: Headers, mut decoder: impl ImageDecoder) -> Result<Reading, DrawingError> {
    let size @ (width, height) = decoder.dimensions();
    let (colours, alpha) = match decoder.color_type() {
        ColorType::L8 => (1, None),
        ColorType::La8 => (1, Some(Alpha::Apart)),
        ColorType::Rgb8 => (3, None),
        ColorType::Rgba8 => (3, Some(Alpha::Apart)),
        _ => return Err(DrawingError::Unsupported { format, kind: "more than 8 bits a value".into() }),
    };
    let samples = colours + usize::from(alpha.is_some());
    let layout = Layout { depth: Depth::Bytes, samples, colours, alpha };
    // A faulty or missing EXIF or profile is no reason to refuse the picture.
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut found = Found { format, size, layout, orientation, headers, space: Space::srgb(colours) };
    found.checked()?;
    if let Ok(Some(profile)) = decoder.icc_profile() {
        found.apply(&profile);
    }

    let total = decoder.total_bytes();
    if total > MOST_AT_ONCE {
        return Err(DrawingError::TooLargeAtOnce { format, width, height });
    }
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(4 * MOST_AT_ONCE);
    decoder.set_limits(limits).map_err(|error| refusal(format, &error))?;
    let mut picture: Vec<u8> = room(total).ok_or_else(|| found.too_large())?;
    picture.resize(total as usize, 0);
    decoder.read_image(&mut picture).map_err(|error| refusal(format, &error))?;

    let mut reading = Reading::new(found)?;
    for row in picture.chunks_exact(width as usize * samples) {
        reading.row(Samples::Bytes(row))?;
    }
    Ok(reading)
}

/// The decoder's refusal in our terms.
fn refusal(format: &'static str, error: &ImageError) -> DrawingError {
    match error {
        ImageError::IoError(io) if io.kind() == ErrorKind::UnexpectedEof => DrawingError::Truncated { format },
        ImageError::IoError(io) => DrawingError::Damaged { format, reason: super::plain(&io.to_string()) },
        ImageError::Unsupported(what) => {
            DrawingError::Unsupported { format, kind: format!("another kind of picture ({})", super::plain(&what.to_string())) }
        }
        error => {
            let cause = error.source().map_or_else(|| error.to_string(), ToString::to_string);
            DrawingError::Damaged { format, reason: super::plain(&cause) }
        }
    }
}
