//! PNG, row by row (ISO/IEC 15948, and its third edition by the W3C for `cICP`).

use super::super::headers;
use super::super::samples::{Alpha, Depth, Layout, Samples};
use super::super::space::{Curve, Space, primaries_of, to_srgb, xyz_of};
use super::super::{DrawingError, Found, MOST_AT_ONCE, Reading, checked, room};
use image::metadata::Orientation;
use png::{BitDepth, ColorType, DecodeOptions, Decoder, DecodingError, Info, Limits, Transformations};
use std::io::{Cursor, ErrorKind};

/// The decoder's allowance for its row buffers and unpacked side chunks, not for the picture.
const ALLOWANCE: usize = 64 << 20;

pub(in super::super) fn read(bytes: &[u8]) -> Result<Reading, DrawingError> {
    let (headers, exif) = headers::png(bytes)?;
    // Before the decoder, whose own arithmetic on a size ends at 32 bits in the browser.
    checked("PNG", headers::png_size(bytes).unwrap_or((0, 0)))?;
    let mut options = DecodeOptions::default();
    options.set_ignore_text_chunk(true);
    let mut decoder = Decoder::new_with_options(Cursor::new(bytes), options);
    decoder.set_limits(Limits { bytes: ALLOWANCE });
    decoder.set_transformations(Transformations::EXPAND);
    let mut reader = decoder.read_info().map_err(|error| refusal(&error))?;

    let info = reader.info();
    let size = (info.width, info.height);
    let interlaced = info.interlaced;
    let (kind, bits) = reader.output_color_type();
    let colours = if matches!(kind, ColorType::Grayscale | ColorType::GrayscaleAlpha) { 1 } else { 3 };
    let alpha = matches!(kind, ColorType::GrayscaleAlpha | ColorType::Rgba).then_some(Alpha::Apart);
    let depth = if bits == BitDepth::Sixteen { Depth::Words } else { Depth::Bytes };
    let samples = colours + usize::from(alpha.is_some());
    let layout = Layout { depth, samples, colours, alpha };
    let orientation = exif.and_then(Orientation::from_exif_chunk).unwrap_or(Orientation::NoTransforms);
    let mut found = Found { format: "PNG", size, layout, orientation, headers, space: Space::srgb(colours) };
    meaning(reader.info(), &mut found);

    let row_bytes = size.0 as usize * samples * if depth == Depth::Words { 2 } else { 1 };
    let mut words = Vec::new();
    let mut reading = if interlaced {
        let total = row_bytes as u64 * u64::from(size.1);
        if total > MOST_AT_ONCE {
            return Err(DrawingError::TooLargeAtOnce { format: "PNG", width: size.0, height: size.1 });
        }
        let mut picture: Vec<u8> = room(total).ok_or_else(|| found.too_large())?;
        picture.resize(total as usize, 0);
        reader.next_frame(&mut picture).map_err(|error| refusal(&error))?;
        let mut reading = Reading::new(found)?;
        for row in picture.chunks_exact(row_bytes) {
            reading.row(samples_of(row, depth, &mut words))?;
        }
        return Ok(reading);
    } else {
        Reading::new(found)?
    };
    for _ in 0..size.1 {
        let row = reader.next_row().map_err(|error| refusal(&error))?.ok_or(DrawingError::Truncated { format: "PNG" })?;
        let row = row.data().get(..row_bytes).ok_or(DrawingError::Truncated { format: "PNG" })?;
        reading.row(samples_of(row, depth, &mut words))?;
    }
    Ok(reading)
}

/// Sixteen bits stand high byte first.
fn samples_of<'a>(row: &'a [u8], depth: Depth, words: &'a mut Vec<u16>) -> Samples<'a> {
    if depth == Depth::Bytes {
        return Samples::Bytes(row);
    }
    words.clear();
    words.extend(row.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])));
    Samples::Words(words)
}

/// What the values mean: `cICP` before `iCCP`, that before `sRGB`, that before `gAMA` and `cHRM` (PNG, third edition, 4.3).
fn meaning(info: &Info<'_>, found: &mut Found) {
    let colours = found.layout.colours;
    if let Some(points) = info.coding_independent_code_points {
        match code_points(points.color_primaries, points.transfer_function, colours) {
            Some(space) => found.space = space.plain(),
            None => {
                found.headers.notes.push("The file says its colours in a way that is not read here; its values are read as sRGB.".into());
            }
        }
    } else if let Some(profile) = &info.icc_profile {
        found.apply(profile);
    } else if info.srgb.is_none()
        && let Some(gamma) = info.gama_chunk
    {
        let gamma = f64::from(gamma.into_value());
        // 45455 is the 1/2.2 that goes along with sRGB (ISO/IEC 15948, 11.3.3.5) and is written for it far more often than for a pure power.
        let curve = if (0.45..=0.46).contains(&gamma) {
            Curve::Srgb
        } else if (0.1..=10.0).contains(&gamma) {
            Curve::Power(1.0 / gamma)
        } else {
            found.headers.notes.push("The file's own gamma makes no sense and is not applied; its values are read as sRGB.".into());
            return;
        };
        let matrix = info.chrm_chunk.filter(|_| colours == 3).and_then(|c| {
            let point = |(x, y): (png::ScaledFloat, png::ScaledFloat)| (f64::from(x.into_value()), f64::from(y.into_value()));
            let (x, y) = point(c.white);
            let white = xyz_of(x, y)?;
            to_srgb(&primaries_of([point(c.red), point(c.green), point(c.blue)], white)?, white)
        });
        let space = Space::alike(colours, &curve);
        found.space = match space {
            Space::Rgb { curves, .. } => Space::Rgb { curves, matrix }.plain(),
            space => space.plain(),
        };
    }
}

/// Primaries and curve by ITU-T H.273, tables 2 and 3, as far as pictures of drawings have them.
fn code_points(primaries: u8, transfer: u8, colours: usize) -> Option<Space> {
    let curve = match transfer {
        4 => Curve::Power(2.2),
        5 => Curve::Power(2.8),
        8 => Curve::Linear,
        13 => Curve::Srgb,
        // 1, 6, 14, 15: one curve, of ITU-R BT.709.
        1 | 6 | 14 | 15 => Curve::Parts(Box::new([1.0 / 0.45, 1.0 / 1.099, 0.099 / 1.099, 1.0 / 4.5, 0.081, 0.0, 0.0])),
        _ => return None,
    };
    let white = (0.3127, 0.3290);
    let points = match primaries {
        1 => None,
        9 => Some([(0.708, 0.292), (0.170, 0.797), (0.131, 0.046)]),
        12 => Some([(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)]),
        _ => return None,
    };
    let space = Space::alike(colours, &curve);
    match (space, points) {
        (Space::Rgb { curves, .. }, Some(points)) => {
            let white = xyz_of(white.0, white.1)?;
            Some(Space::Rgb { curves, matrix: Some(to_srgb(&primaries_of(points, white)?, white)?) })
        }
        (space, _) => Some(space),
    }
}

fn refusal(error: &DecodingError) -> DrawingError {
    match error {
        DecodingError::IoError(io) if io.kind() == ErrorKind::UnexpectedEof => DrawingError::Truncated { format: "PNG" },
        DecodingError::LimitsExceeded => DrawingError::Damaged { format: "PNG", reason: "a side chunk or a row of absurd size".into() },
        error => DrawingError::Damaged { format: "PNG", reason: super::plain(&error.to_string()) },
    }
}
