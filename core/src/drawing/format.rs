//! Which format a file is of, by its first bytes; the file's name plays no part.

use super::DrawingError;

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
    pub(super) fn of(bytes: &[u8]) -> Result<Self, DrawingError> {
        let starts = |magic: &[u8]| bytes.starts_with(magic);
        let holds = |at: usize, magic: &[u8]| bytes.get(at..at + magic.len()) == Some(magic);
        if bytes.is_empty() {
            return Err(DrawingError::Empty);
        }
        if starts(b"\x89PNG\r\n\x1a\n") {
            return Ok(Self::Png);
        }
        if starts(b"\xff\xd8\xff") {
            return Ok(Self::Jpeg);
        }
        if let Some((name, remedy)) = foreign(bytes) {
            return Err(DrawingError::Foreign { name, remedy });
        }
        if [b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"].iter().any(|magic| starts(*magic)) {
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

/// A camera's raw file: its name and what to do with it.
pub(super) const RAW: (&str, &str) = ("a camera's raw file", "develop it, and save it as a 16-bit TIFF or as JPEG");
const SAVE: &str = "save it as PNG or TIFF where it was made";
const PAGE: &str = "save the page as PNG, at 300 dots to the inch or more for its size on the plate";
const OUTLINES: &str = "save it as PNG from the program it was drawn in, at 10 pixels to a millimetre of plate";
const PHONE: &str = "set the phone to take JPEG pictures, or send it on as JPEG";

/// Formats people hand over that are no drawing we read, by their first bytes, and what to do.
fn foreign(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    // ISO/IEC 14496-12, 4.3: a file type box, its major brand at byte 8.
    if bytes.get(4..8) == Some(b"ftyp") {
        return Some(match bytes.get(8..12) {
            Some(b"avif" | b"avis") => ("an AVIF picture", SAVE),
            Some(b"crx ") => RAW,
            Some(b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1") => ("a HEIC or HEIF picture", PHONE),
            _ => ("a film or a HEIF picture", PHONE),
        });
    }
    const STARTS: [(&[u8], (&str, &str)); 29] = [
        (b"GIF8", ("a GIF picture", SAVE)),
        (b"II*\0\x10\0\0\0CR", RAW),
        (b"FUJIFILM", RAW),
        (b"IIU\0", RAW),
        (b"IIRO", RAW),
        (b"IIRS", RAW),
        (b"MMOR", RAW),
        (b"FOVb", RAW),
        (b"\0MRM", RAW),
        (b"\xff\x0a", ("a JPEG XL picture", SAVE)),
        (b"\0\0\0\x0cJXL ", ("a JPEG XL picture", SAVE)),
        (b"\0\0\0\x0cjP  ", ("a JPEG 2000 picture", SAVE)),
        (b"\xff\x4f\xff\x51", ("a JPEG 2000 picture", SAVE)),
        (b"II\xbc", ("a JPEG XR picture", SAVE)),
        (b"8BPS", ("a layered picture (PSD)", "flatten it, and save a copy as PNG or TIFF")),
        (b"gimp xcf", ("a layered picture (XCF)", "flatten it, and save a copy as PNG or TIFF")),
        (b"v/1\x01", ("an OpenEXR picture", SAVE)),
        (b"#?RADIANCE", ("a picture of wide range (HDR)", SAVE)),
        (b"\x8aMNG", ("an animation (MNG)", SAVE)),
        (b"AT&TFORM", ("a DjVu document", PAGE)),
        (b"%!PS", ("a PostScript file", PAGE)),
        (b"\xc5\xd0\xd3\xc6", ("a PostScript file", PAGE)),
        (b"\xd7\xcd\xc6\x9a", ("a metafile (WMF)", OUTLINES)),
        (b"\0\0\x01\0", ("an icon file", SAVE)),
        (b"PK\x03\x04", ("a ZIP archive or an office document", "take the picture out of it, as PNG or JPEG")),
        (b"Rar!", ("an archive", "take the picture out of it")),
        (b"\x1f\x8b", ("a compressed file", "unpack it first")),
        (b"\x1aE\xdf\xa3", ("a film", "save one picture of it as PNG")),
        (b"{\\rtf", ("a text document", "take the picture out of it, as PNG or JPEG")),
    ];
    if let Some((_, found)) = STARTS.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Some(*found);
    }
    let head = &bytes[..bytes.len().min(1024)];
    let within = |word: &[u8]| head.windows(word.len()).any(|window| window.eq_ignore_ascii_case(word));
    let text = head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(head).trim_ascii_start();
    // Netpbm: P1 to P7 and white space.
    if let [b'P', b'1'..=b'7', b' ' | b'\n' | b'\r' | b'\t' | b'#', ..] = bytes {
        Some(("a picture of numbers (PNM)", SAVE))
    } else if text.starts_with(b"<") && within(b"<svg") {
        Some(("an SVG drawing", OUTLINES))
    } else if text.starts_with(b"<") && (within(b"<html") || within(b"<!doctype html")) {
        Some(("a web page", "save the picture itself from it"))
    } else if within(b"%PDF-") {
        // A reader of PDF allows anything before its first line, within the first 1024 bytes.
        Some(("a PDF file", PAGE))
    } else {
        None
    }
}
