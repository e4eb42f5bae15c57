//! What a file says before its pixels: its resolution, how its values are meant, whether its end is there.
//!
//! The decoder gives the pixels; these are the facts it does not pass on. Every reader here takes any bytes at all: what lies outside
//! the file reads as absent.

use super::DrawingError;
use crate::units::{MM_PER_INCH, PxPerMm};

/// Facts from a file's headers.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Headers {
    /// Resolution across and down, stored pixels a millimetre.
    pub(super) density: Option<(f64, f64)>,
    /// What the reader should know.
    pub(super) notes: Vec<String>,
}

impl Headers {
    /// The resolution where the file says one and its pixels are square; otherwise a note says what was found.
    pub(super) fn square_density(&mut self) -> Option<PxPerMm> {
        let (across, down) = self.density?;
        if !(across.is_finite() && down.is_finite() && across > 0.0 && down > 0.0) {
            return None;
        }
        // Dots an inch are often rounded to whole numbers in one axis only: a hundredth apart is still square.
        if (across / down - 1.0).abs() > 0.01 {
            self.notes.push(format!(
                "The file gives {across:.2} pixels a mm across and {down:.2} down; its pixels are taken as square: check the drawing's shape."
            ));
            return None;
        }
        Some(PxPerMm(across))
    }
}

fn be16(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
}

fn be32(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?))
}

fn le32(bytes: &[u8], at: usize) -> Option<u32> {
    be32(bytes, at).map(u32::swap_bytes)
}

/// Chunks of ISO/IEC 15948: length, type, data, check; the last is IEND. A file without it was cut off.
///
/// Resolution, and the EXIF data wherever in the file it stands: the decoder knows only what comes before the pixels.
pub(super) fn png(bytes: &[u8]) -> Result<(Headers, Option<&[u8]>), DrawingError> {
    let mut headers = Headers::default();
    let mut exif = None;
    let mut at = 8usize;
    loop {
        let cut = DrawingError::Truncated { format: "PNG" };
        let (Some(length), Some(kind)) = (be32(bytes, at), bytes.get(at + 4..at + 8)) else { return Err(cut) };
        let start = at + 8;
        let Some(end) = start.checked_add(length as usize).filter(|end| end.saturating_add(4) <= bytes.len()) else { return Err(cut) };
        let data = &bytes[start..end];
        match kind {
            b"pHYs" if data.get(8) == Some(&1) => {
                let axis = |i| be32(data, i).map_or(0.0, |n| f64::from(n) / 1000.0);
                headers.density = Some((axis(0), axis(4)));
            }
            b"eXIf" => exif = Some(data),
            b"acTL" => headers.notes.push("The file holds an animation; its first picture is used.".into()),
            b"IEND" => return Ok((headers, exif)),
            _ => {}
        }
        at = end + 4;
    }
}

/// Width and height of a PNG, which stand in its first chunk.
pub(super) fn png_size(bytes: &[u8]) -> Option<(u32, u32)> {
    Some((be32(bytes, 16)?, be32(bytes, 20)?))
}

/// Segments of ITU-T T.81, annex B, up to the end marker; the resolution from the JFIF segment (ITU-T T.871, 10.1).
///
/// The number of values a pixel: 1, 3 or 4, four of them only where the file says which way they run.
pub(super) fn jpeg(bytes: &[u8]) -> Result<(Headers, u8), DrawingError> {
    let mut headers = Headers::default();
    let (mut adobe, mut components, mut scans) = (false, 0, false);
    let mut at = 2usize;
    loop {
        // On to the next marker: 0xFF and a code. Within coded data 0xFF00 is a value, 0xFFD0 to D7 are restarts.
        let cut = DrawingError::Truncated { format: "JPEG" };
        let Some(found) = bytes.get(at..).and_then(|rest| rest.iter().position(|&b| b == 0xff)) else { return Err(cut) };
        at += found + 1;
        let code = match bytes.get(at) {
            None => return Err(cut),
            Some(0xff) => continue,
            Some(&code) => code,
        };
        at += 1;
        match code {
            0xd9 => break,
            0x00 | 0x01 | 0xd0..=0xd8 => continue,
            _ => {}
        }
        let Some(length) = be16(bytes, at).map(usize::from) else { return Err(cut) };
        let data = bytes.get(at + 2..at + length.max(2)).ok_or(cut)?;
        match code {
            0xe0 if data.starts_with(b"JFIF\0") && data.len() >= 12 => {
                let unit = match data[7] {
                    1 => Some(MM_PER_INCH),
                    2 => Some(10.0),
                    _ => None,
                };
                let axis = |i| f64::from(be16(data, i).unwrap_or(0));
                headers.density = unit.map(|mm| (axis(8) / mm, axis(10) / mm));
            }
            0xee if data.starts_with(b"Adobe") => adobe = true,
            // Every SOF but the plain, extended and progressive Huffman ones.
            0xc3 | 0xc5..=0xc7 | 0xc9..=0xcb | 0xcd..=0xcf => {
                let kind = "lossless, hierarchical or arithmetic coding".into();
                return Err(DrawingError::Unsupported { format: "JPEG", kind });
            }
            0xc0..=0xc2 if components == 0 => {
                if data.first() != Some(&8) {
                    return Err(DrawingError::Unsupported { format: "JPEG", kind: "more than 8 bits a value".into() });
                }
                components = data.get(5).copied().unwrap_or(0);
            }
            0xda => scans = true,
            _ => {}
        }
        at += length.max(2);
    }
    match components {
        1 | 3 => {}
        4 if adobe => {}
        4 => return Err(DrawingError::UnmarkedInks),
        0 => return Err(DrawingError::Damaged { format: "JPEG", reason: "no picture in it".into() }),
        n => return Err(DrawingError::Unsupported { format: "JPEG", kind: format!("{n} values a pixel") }),
    }
    if !scans {
        return Err(DrawingError::Truncated { format: "JPEG" });
    }
    Ok((headers, components))
}

/// A RIFF container says how long it is (RFC 9649, 2.4); bit 1 of VP8X's first byte marks an animation (2.7.1).
pub(super) fn webp(bytes: &[u8]) -> Result<Headers, DrawingError> {
    let mut headers = Headers::default();
    if le32(bytes, 4).is_none_or(|size| (bytes.len() as u64) < u64::from(size) + 8) {
        return Err(DrawingError::Truncated { format: "WebP" });
    }
    if bytes.get(12..16) == Some(b"VP8X") && bytes.get(20).is_some_and(|flags| flags & 2 != 0) {
        headers.notes.push("The file holds an animation; its first picture is used.".into());
    }
    Ok(headers)
}

/// Pixels a metre stand at byte 38 of a BMP whose information header has 40 bytes or more.
pub(super) fn bmp(bytes: &[u8]) -> Headers {
    let mut headers = Headers::default();
    if le32(bytes, 14).is_some_and(|size| size >= 40) {
        let axis = |at| le32(bytes, at).filter(|&n| n <= i32::MAX as u32).map_or(0.0, |n| f64::from(n) / 1000.0);
        headers.density = Some((axis(38), axis(42)));
    }
    headers
}
