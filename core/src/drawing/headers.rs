//! What a file says before its pixels: the format, its resolution, whether its end is there.
//!
//! The decoder gives the pixels; these are the facts it does not pass on. Every reader here takes any bytes at all: what lies outside
//! the file reads as absent.

use super::DrawingError;
use crate::units::{MM_PER_INCH, PxPerMm};

/// The formats read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Format {
    Png,
    Jpeg,
    Tiff,
    WebP,
    Bmp,
}

impl Format {
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
            Self::Tiff => "TIFF",
            Self::WebP => "WebP",
            Self::Bmp => "BMP",
        }
    }

    /// The format by the first bytes; the file's name plays no part.
    pub(super) fn of(bytes: &[u8]) -> Result<Self, DrawingError> {
        let starts = |magic: &[u8]| bytes.starts_with(magic);
        let holds = |at: usize, magic: &[u8]| bytes.get(at..at + magic.len()) == Some(magic);
        if bytes.is_empty() {
            return Err(DrawingError::Empty);
        }
        if let Some(name) = foreign(bytes) {
            return Err(DrawingError::Foreign { name });
        }
        if starts(b"\x89PNG\r\n\x1a\n") {
            Ok(Self::Png)
        } else if starts(b"\xff\xd8\xff") {
            Ok(Self::Jpeg)
        } else if [b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"].iter().any(|magic| starts(*magic)) {
            Ok(Self::Tiff)
        } else if starts(b"RIFF") && holds(8, b"WEBP") {
            Ok(Self::WebP)
        } else if starts(b"BM") && bytes.len() >= 26 {
            Ok(Self::Bmp)
        } else {
            Err(DrawingError::Unknown)
        }
    }
}

/// Formats people hand over that are no drawing we read, by their first bytes.
fn foreign(bytes: &[u8]) -> Option<&'static str> {
    let starts = |magic: &[u8]| bytes.starts_with(magic);
    let head = &bytes[..bytes.len().min(1024)];
    let within = |word: &[u8]| head.windows(word.len()).any(|window| window == word);
    // ISO/IEC 14496-12, 4.3: a file type box, its major brand at byte 8.
    if bytes.get(4..8) == Some(b"ftyp") {
        return Some(match bytes.get(8..12) {
            Some(b"avif" | b"avis") => "an AVIF picture",
            Some(b"crx ") => "a camera's raw file",
            Some(b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1") => "a HEIC or HEIF picture",
            _ => "a film or a HEIF picture",
        });
    }
    if starts(b"GIF8") {
        Some("a GIF picture")
    } else if starts(b"II*\0\x10\0\0\0CR")
        || starts(b"FUJIFILM")
        || starts(b"IIU\0")
        || starts(b"IIRO")
        || starts(b"IIRS")
        || starts(b"MMOR")
    {
        Some("a camera's raw file")
    } else if starts(b"\xff\x0a") || starts(b"\0\0\0\x0cJXL ") {
        Some("a JPEG XL picture")
    } else if starts(b"\0\0\0\x0cjP  ") || starts(b"\xff\x4f\xff\x51") {
        Some("a JPEG 2000 picture")
    } else if starts(b"%!PS") {
        Some("a PostScript file")
    } else if within(b"%PDF-") {
        Some("a PDF file")
    } else if head.trim_ascii_start().starts_with(b"<") && within(b"<svg") || head.starts_with(b"\xef\xbb\xbf<") && within(b"<svg") {
        Some("an SVG drawing")
    } else {
        None
    }
}

/// Facts from a file's headers.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Headers<'a> {
    /// Resolution across and down, pixels a millimetre.
    pub(super) density: Option<(f64, f64)>,
    /// EXIF of a PNG, wherever in the file it stands.
    pub(super) exif: Option<&'a [u8]>,
    /// Alpha is already multiplied into the colours (TIFF's associated alpha).
    pub(super) associated: bool,
    /// Four inks.
    pub(super) inks: bool,
    /// What the reader should know.
    pub(super) notes: Vec<String>,
}

impl Headers<'_> {
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

/// Reads the headers of a format.
pub(super) fn read(format: Format, bytes: &[u8]) -> Result<Headers<'_>, DrawingError> {
    match format {
        Format::Png => png(bytes),
        Format::Jpeg => jpeg(bytes),
        Format::Tiff => tiff(bytes),
        Format::WebP => webp(bytes),
        Format::Bmp => Ok(bmp(bytes)),
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
fn png(bytes: &[u8]) -> Result<Headers<'_>, DrawingError> {
    let mut headers = Headers::default();
    let (mut gamma, mut srgb) = (None, false);
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
            b"eXIf" => headers.exif = Some(data),
            b"gAMA" => gamma = be32(data, 0),
            b"sRGB" => srgb = true,
            b"acTL" => headers.notes.push("The file holds an animation; its first picture is used.".into()),
            b"IEND" => break,
            _ => {}
        }
        at = end + 4;
    }
    // 45455 is the 1/2.2 that stands for sRGB (ISO/IEC 15948, 11.3.3.5).
    if !srgb && gamma.is_some_and(|g| !(45_000..=46_000).contains(&g)) {
        headers.notes.push("The file's own gamma is not applied; its values are read as sRGB.".into());
    }
    Ok(headers)
}

/// Segments of ITU-T T.81, annex B, up to the end marker; the resolution from the JFIF segment (ITU-T T.871, 10.1).
fn jpeg(bytes: &[u8]) -> Result<Headers<'_>, DrawingError> {
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
        4 if adobe => headers.inks = true,
        4 => return Err(DrawingError::UnmarkedInks),
        0 => return Err(DrawingError::Damaged { format: "JPEG", reason: "no picture in it".into() }),
        n => return Err(DrawingError::Unsupported { format: "JPEG", kind: format!("{n} values a pixel") }),
    }
    if !scans {
        return Err(DrawingError::Truncated { format: "JPEG" });
    }
    Ok(headers)
}

/// The first directory of a TIFF, classic (TIFF 6.0, section 2) or with 64-bit offsets.
fn tiff(bytes: &[u8]) -> Result<Headers<'_>, DrawingError> {
    let mut headers = Headers::default();
    if let Some(directory) = Directory::first(bytes) {
        let value = |tag| directory.value(tag);
        // DNGVersion; colour filter array; a first directory marked as a preview: all three are camera files, not pictures.
        if value(50_706).is_some() || value(262) == Some(32_803) || value(254).is_some_and(|kind| kind & 1 == 1) && value(330).is_some() {
            return Err(DrawingError::Foreign { name: "a camera's raw file" });
        }
        let kind = |kind: &str| Err(DrawingError::Unsupported { format: "TIFF", kind: kind.into() });
        match value(262) {
            Some(3) => return kind("a palette of colours"),
            Some(6) => return kind("a photograph in YCbCr"),
            Some(8..=10) => return kind("Lab colours"),
            Some(5) => headers.inks = true,
            _ => {}
        }
        match value(339) {
            Some(2) => return kind("signed values"),
            Some(3) => return kind("floating-point values"),
            _ => {}
        }
        // ExtraSamples 1: TIFF 6.0, section 18.
        headers.associated = value(338) == Some(1);
        let mm = match value(296).unwrap_or(2) {
            2 => Some(MM_PER_INCH),
            3 => Some(10.0),
            _ => None,
        };
        headers.density = mm.and_then(|mm| Some((directory.ratio(282)? / mm, directory.ratio(283)? / mm)));
        if directory.next() {
            headers.notes.push("The file holds several pictures; the first is used.".into());
        }
    }
    Ok(headers)
}

/// A TIFF directory: where its entries stand and how they are written.
struct Directory<'a> {
    bytes: &'a [u8],
    little: bool,
    /// 64-bit offsets.
    big: bool,
    entries: usize,
    count: usize,
}

impl<'a> Directory<'a> {
    fn first(bytes: &'a [u8]) -> Option<Self> {
        let (little, big) = (bytes.starts_with(b"II"), matches!(bytes.get(2..4), Some(b"+\0" | b"\0+")));
        let mut directory = Self { bytes, little, big, entries: 0, count: 0 };
        let at = usize::try_from(if big { directory.number(8, 8)? } else { directory.number(4, 4)? }).ok()?;
        let counter = if big { 8 } else { 2 };
        directory.count = usize::try_from(directory.number(at, counter)?).ok()?.min(4096);
        directory.entries = at.checked_add(counter)?;
        Some(directory)
    }

    fn number(&self, at: usize, size: usize) -> Option<u64> {
        let field = self.bytes.get(at..at.checked_add(size)?)?;
        let push = |n: u64, b: &u8| n << 8 | u64::from(*b);
        Some(if self.little { field.iter().rev().fold(0, push) } else { field.iter().fold(0, push) })
    }

    /// Width of an entry, and of the value or offset at its end.
    fn widths(&self) -> (usize, usize) {
        if self.big { (20, 8) } else { (12, 4) }
    }

    /// Type and position of a tag's value field.
    fn find(&self, tag: u64) -> Option<(u64, usize)> {
        let (entry, field) = self.widths();
        (0..self.count).map_while(|i| self.entries.checked_add(i * entry)).find_map(|at| {
            if self.number(at, 2)? != tag {
                return None;
            }
            Some((self.number(at + 2, 2)?, at + entry - field))
        })
    }

    /// The first value of a tag of bytes, shorts or longs; several values that don't fit the field are read at its offset.
    fn value(&self, tag: u64) -> Option<u64> {
        let (entry, field) = self.widths();
        let (kind, at) = self.find(tag)?;
        let size = match kind {
            1 => 1,
            3 => 2,
            4 => 4,
            16 => 8,
            _ => return None,
        };
        let count = usize::try_from(self.number(at + field - entry + 4, entry - 4 - field)?).ok()?;
        let at = if count.checked_mul(size)? > field { usize::try_from(self.number(at, field)?).ok()? } else { at };
        self.number(at, size)
    }

    /// A rational.
    fn ratio(&self, tag: u64) -> Option<f64> {
        let (kind, at) = self.find(tag)?;
        let at = if self.big { at } else { usize::try_from(self.number(at, 4)?).ok()? };
        let (over, under) = (self.number(at, 4)?, self.number(at.checked_add(4)?, 4)?);
        (kind == 5 && under > 0).then(|| over as f64 / under as f64)
    }

    /// Whether another directory follows.
    fn next(&self) -> bool {
        let (entry, field) = self.widths();
        let end = self.count.checked_mul(entry).and_then(|span| self.entries.checked_add(span));
        end.and_then(|end| self.number(end, field)).is_some_and(|next| next != 0)
    }
}

/// A RIFF container says how long it is (RFC 9649, 2.4); bit 1 of VP8X's first byte marks an animation (2.7.1).
fn webp(bytes: &[u8]) -> Result<Headers<'_>, DrawingError> {
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
fn bmp(bytes: &[u8]) -> Headers<'_> {
    let mut headers = Headers::default();
    if le32(bytes, 14).is_some_and(|size| size >= 40) {
        let axis = |at| le32(bytes, at).filter(|&n| n <= i32::MAX as u32).map_or(0.0, |n| f64::from(n) / 1000.0);
        headers.density = Some((axis(38), axis(42)));
    }
    headers
}
