//! JPEG (ITU-T T.81): decoded whole, then taken in row by row.

use super::super::headers;
use super::super::samples::{Depth, Layout, Samples};
use super::super::space::Space;
use super::super::{DrawingError, Found, MOST_AT_ONCE, Reading, room};
use image::metadata::Orientation;
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;

pub(in super::super) fn read(bytes: &[u8]) -> Result<Reading, DrawingError> {
    let (headers, components) = headers::jpeg(bytes)?;
    let options = DecoderOptions::default().set_strict_mode(false).set_max_width(usize::MAX).set_max_height(usize::MAX);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(|error| refusal(&error))?;
    let (Some((width, height)), Some(kind)) = (decoder.dimensions(), decoder.input_colorspace()) else {
        return Err(DrawingError::Truncated { format: "JPEG" });
    };
    // Four inks come as they are stored: their profile, if there is one, speaks of inks.
    let (out, colours) = match (components, kind) {
        (1, _) => (ColorSpace::Luma, 1),
        (4, ColorSpace::CMYK | ColorSpace::YCCK) => (kind, 4),
        (4, _) => return Err(DrawingError::UnmarkedInks),
        _ => (ColorSpace::RGB, 3),
    };
    decoder.set_options(options.jpeg_set_out_colorspace(out));
    let orientation = decoder.exif().and_then(|exif| Orientation::from_exif_chunk(exif)).unwrap_or(Orientation::NoTransforms);
    let layout = Layout { depth: Depth::Bytes, samples: colours, colours, alpha: None };
    let size = (width as u32, height as u32);
    let mut found = Found { format: "JPEG", size, layout, orientation, headers, space: Space::srgb(colours) };
    found.checked()?;
    if let Some(profile) = decoder.icc_profile() {
        found.apply(&profile);
    } else if colours == 4 {
        found.say_inks();
    }

    let total = width as u64 * height as u64 * colours as u64;
    if total > MOST_AT_ONCE {
        return Err(DrawingError::TooLargeAtOnce { format: "JPEG", width: size.0, height: size.1 });
    }
    let mut picture: Vec<u8> = room(total).ok_or_else(|| found.too_large())?;
    picture.resize(total as usize, 0);
    if decoder.output_buffer_size() != Some(picture.len()) {
        return Err(DrawingError::Damaged { format: "JPEG", reason: "its parts are of different sizes".into() });
    }
    decoder.decode_into(&mut picture).map_err(|error| refusal(&error))?;
    // The decoder's coefficients and its copy of the headers go before the drawing comes.
    drop(decoder);

    let mut reading = Reading::new(found)?;
    for row in picture.chunks_exact_mut(width * colours) {
        if colours == 4 {
            row.chunks_exact_mut(4).for_each(|pixel| inks(pixel, kind == ColorSpace::YCCK));
        }
        reading.row(Samples::Bytes(row))?;
    }
    Ok(reading)
}

/// Ink shares of a pixel as an Adobe-marked file stores it: inverted, 255 no ink; and where it is YCCK, the three colours as Y, Cb, Cr of
/// the inverse once more (ITU-T T.872, 6.3).
fn inks(pixel: &mut [u8], ycck: bool) {
    if let [a, b, c, k] = pixel {
        if ycck {
            // What leaves the conversion is 255 less the stored, inverted value: the ink itself.
            [*a, *b, *c] = super::rgb_of_ycc([*a, *b, *c]);
        } else {
            [*a, *b, *c] = [255 - *a, 255 - *b, 255 - *c];
        }
        *k = 255 - *k;
    }
}

fn refusal(error: &DecodeErrors) -> DrawingError {
    match error {
        DecodeErrors::ExhaustedData | DecodeErrors::IoErrors(_) => DrawingError::Truncated { format: "JPEG" },
        DecodeErrors::Unsupported(what) => {
            DrawingError::Unsupported { format: "JPEG", kind: format!("another kind of picture ({})", super::plain(&format!("{what:?}"))) }
        }
        error => DrawingError::Damaged { format: "JPEG", reason: super::plain(&format!("{error:?}")) },
    }
}
