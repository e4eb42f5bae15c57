//! A ZIP around files whose bytes stay where they are (PKWARE APPNOTE 6.3.3: 4.3.7 local header, 4.3.12 central directory, 4.3.16 its end).

use super::error::ProjectError;
use super::{Around, LARGEST_FILE, MOST_UNPACKED};
use flate2::write::DeflateEncoder;
use flate2::{Compression, Crc};
use std::io::Write;

/// Version needed to extract: 2.0, deflate (4.4.3).
const NEEDED: u16 = 20;
/// 1980-01-01 00:00 in MS-DOS form (4.4.6): no clock, so that equal work gives equal bytes.
const DAY: u16 = 0x0021;
/// So many parts of a file that is too large are named.
const NAMED: usize = 4;
/// Names are UTF-8 (4.4.4, bit 11); ours are ASCII, but say so.
const FLAGS: u16 = 0x0800;

/// What a ZIP says of a file's bytes: got by going through them once, part by part.
#[derive(Default)]
pub struct Fingerprint {
    crc: Crc,
    length: u64,
    first: Vec<u8>,
    /// What it is in the printer's words; empty: the drawing of the plate at hand.
    called: String,
    unpacked: u64,
}

impl Fingerprint {
    /// Of bytes that are all there.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        let mut whole = Self::default();
        whole.take(bytes);
        whole
    }

    /// The next part.
    pub fn take(&mut self, part: &[u8]) {
        self.crc.update(part);
        self.length += part.len() as u64;
        let more = 12_usize.saturating_sub(self.first.len()).min(part.len());
        self.first.extend_from_slice(&part[..more]);
    }

    /// Another plate's file, what the printer calls that plate, and how much of it a reader unpacks ([`Around::unpacked`]), bytes.
    #[must_use]
    pub fn of_plate(self, called: String, unpacked: u64) -> Self {
        Self { called, unpacked, ..self }
    }

    /// Bytes so far.
    #[must_use]
    pub fn length(&self) -> u64 {
        self.length
    }

    /// What it is in a sentence, where it is the member of that name.
    fn called(&self, name: &str) -> String {
        match (self.called.is_empty(), DRAWINGS.contains(&name)) {
            (false, _) => self.called.clone(),
            (true, true) => "this plate's drawing".to_owned(),
            (true, false) => name.to_owned(),
        }
    }

    /// The member's name after the file's first bytes; any other file is `drawing.bin`.
    #[must_use]
    pub fn name(&self) -> &'static str {
        let starts = |magic: &[u8]| self.first.starts_with(magic);
        if starts(b"\x89PNG") {
            "drawing.png"
        } else if starts(b"\xff\xd8\xff") {
            "drawing.jpg"
        } else if starts(b"II") || starts(b"MM") {
            "drawing.tif"
        } else if starts(b"RIFF") {
            "drawing.webp"
        } else if starts(b"BM") {
            "drawing.bmp"
        } else {
            "drawing.bin"
        }
    }
}

/// The names a drawing may have.
pub(super) const DRAWINGS: [&str; 6] = ["drawing.png", "drawing.jpg", "drawing.tif", "drawing.webp", "drawing.bmp", "drawing.bin"];

/// A member beside the drawing.
pub(super) struct Member {
    name: &'static str,
    crc: u32,
    length: u64,
    bytes: Vec<u8>,
    deflated: bool,
}

impl Member {
    pub(super) fn stored(name: &'static str, bytes: &[u8]) -> Self {
        Self { name, crc: crc(bytes), length: bytes.len() as u64, bytes: bytes.to_vec(), deflated: false }
    }

    pub(super) fn packed(name: &'static str, bytes: &[u8]) -> Self {
        let mut encoder = DeflateEncoder::new(Vec::new(), Compression::default());
        // Memory does not fail to be written to; were it ever to, the text is stored as it is.
        match encoder.write_all(bytes).and_then(|()| encoder.finish()) {
            Ok(packed) => Self { name, crc: crc(bytes), length: bytes.len() as u64, bytes: packed, deflated: true },
            Err(_) => Self::stored(name, bytes),
        }
    }
}

fn crc(bytes: &[u8]) -> u32 {
    let mut crc = Crc::new();
    crc.update(bytes);
    crc.sum()
}

/// What both headers of a member share.
struct Header<'a> {
    name: &'a str,
    method: u16,
    crc: u32,
    packed: u32,
    length: u32,
    at: u32,
}

impl Header<'_> {
    /// Fields from the version needed to the length of the extra field.
    fn common(&self, out: &mut Vec<u8>) {
        for half in [NEEDED, FLAGS, self.method, 0, DAY] {
            out.extend_from_slice(&half.to_le_bytes());
        }
        for word in [self.crc, self.packed, self.length] {
            out.extend_from_slice(&word.to_le_bytes());
        }
        for half in [self.name.len() as u16, 0] {
            out.extend_from_slice(&half.to_le_bytes());
        }
    }

    fn local(&self, out: &mut Vec<u8>) {
        out.extend_from_slice(b"PK\x03\x04");
        self.common(out);
        out.extend_from_slice(self.name.as_bytes());
    }

    fn central(&self, out: &mut Vec<u8>) {
        out.extend_from_slice(b"PK\x01\x02");
        out.extend_from_slice(&NEEDED.to_le_bytes());
        self.common(out);
        // Comment's length, disk, inner attributes, outer attributes (two halves).
        for half in [0_u16; 5] {
            out.extend_from_slice(&half.to_le_bytes());
        }
        out.extend_from_slice(&self.at.to_le_bytes());
        out.extend_from_slice(self.name.as_bytes());
    }
}

/// The ZIP of the members and, after them, of the files that were gone through: the drawing first.
pub(super) fn around(members: &[Member], streamed: &[(&str, &Fingerprint)]) -> Result<Around, ProjectError> {
    // Without the 64-bit extension every length and place fits 32 bits.
    let small =
        |length: u64| u32::try_from(length).map_err(|_| ProjectError::Large { member: "the whole".to_owned(), most: u64::from(u32::MAX) });
    let own: u64 = members.iter().map(|member| member.length).sum();
    let unpacked = own + streamed.iter().map(|(_, file)| file.unpacked).sum::<u64>();
    if unpacked > MOST_UNPACKED {
        let parts = streamed.iter().filter(|(_, file)| file.unpacked > 0).map(|(name, file)| (file.called(name), file.unpacked));
        let own = ("this plate".to_owned(), own);
        return Err(whole("unpacked, beside its drawings, ", unpacked, MOST_UNPACKED, std::iter::once(own).chain(parts).collect()));
    }
    let mut part = Vec::new();
    let mut headers = Vec::new();
    for member in members {
        let header = Header {
            name: member.name,
            method: if member.deflated { 8 } else { 0 },
            crc: member.crc,
            packed: small(member.bytes.len() as u64)?,
            length: small(member.length)?,
            at: small(part.len() as u64)?,
        };
        header.local(&mut part);
        part.extend_from_slice(&member.bytes);
        headers.push(header);
    }
    let mut parts = Vec::new();
    // Where the part under way begins in the file.
    let mut begins = 0;
    for &(name, file) in streamed {
        let length = small(file.length)?;
        let header = Header { name, method: 0, crc: file.crc.sum(), packed: length, length, at: small(begins + part.len() as u64)? };
        header.local(&mut part);
        headers.push(header);
        begins += part.len() as u64 + file.length;
        parts.push(std::mem::take(&mut part));
    }
    let central = small(begins)?;
    let mut after = part;
    for header in &headers {
        header.central(&mut after);
    }
    let directory = small(after.len() as u64)?;
    // What the reader holds is less than what a ZIP can: nothing is written that could not be opened.
    let all = u64::from(central) + u64::from(directory) + 22;
    if all > LARGEST_FILE {
        return Err(whole("", all, LARGEST_FILE, streamed.iter().map(|(name, file)| (file.called(name), file.length)).collect()));
    }
    after.extend_from_slice(b"PK\x05\x06");
    let count = headers.len() as u16;
    for half in [0, 0, count, count] {
        after.extend_from_slice(&half.to_le_bytes());
    }
    for word in [directory, central] {
        after.extend_from_slice(&word.to_le_bytes());
    }
    after.extend_from_slice(&0_u16.to_le_bytes());
    parts.push(after);
    Ok(Around { parts, unpacked })
}

/// Why the whole is too large, with the largest of what is in it.
fn whole(of: &'static str, bytes: u64, most: u64, mut parts: Vec<(String, u64)>) -> ProjectError {
    parts.sort_by_key(|part| std::cmp::Reverse(part.1));
    parts.truncate(NAMED);
    ProjectError::Whole { of, bytes, most, largest: parts }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file of so many bytes, without them.
    fn file(called: &str, length: u64, unpacked: u64) -> Fingerprint {
        Fingerprint { length, ..Fingerprint::default() }.of_plate(called.to_owned(), unpacked)
    }

    #[test]
    fn a_family_that_would_not_open_again_is_not_written_and_what_is_large_is_named() {
        let mb = 1 << 20;
        let (hand, c, d) = (file("", 900 * mb, 0), file("plate C", 700 * mb, 0), file("plate D", 500 * mb, 0));
        let said = |files: &[(&str, &Fingerprint)]| around(&[], files).map(|_| ()).map_err(|wrong| wrong.to_string());
        // 2047 MB and 1023 KB is the most that a reader with 32-bit lengths holds: isize::MAX bytes.
        assert_eq!(LARGEST_FILE, i32::MAX as u64);
        assert_eq!(said(&[("drawing.png", &hand), ("plates/01.stepbite.zip", &c)]), Ok(()));
        let words = said(&[("drawing.png", &hand), ("plates/01.stepbite.zip", &c), ("plates/02.stepbite.zip", &d)]).unwrap_err();
        assert_eq!(
            words,
            "The file would have 2100 MB, and no more than 2047 MB can be opened again: this plate's drawing has 900 MB, plate C 700 MB, \
             plate D 500 MB. Take a plate out of the family and save it by itself, or use a smaller drawing."
        );
        // To the byte: headers are counted too.
        let room = LARGEST_FILE - (around(&[], &[("drawing.png", &hand)]).unwrap().parts.iter().map(Vec::len).sum::<usize>() as u64);
        assert_eq!(said(&[("drawing.png", &file("", room, 0))]), Ok(()));
        assert!(said(&[("drawing.png", &file("", room + 1, 0))]).is_err());
        // Maps that were painted by and marks by hand are unpacked, and all plates of a file together have one bound.
        let (c, d) = (file("plate C", mb, 600 * mb), file("plate D", mb, 500 * mb));
        assert_eq!(said(&[("drawing.png", &hand), ("plates/01.stepbite.zip", &c)]), Ok(()));
        let words = said(&[("drawing.png", &hand), ("plates/01.stepbite.zip", &c), ("plates/02.stepbite.zip", &d)]).unwrap_err();
        assert!(
            words.contains("unpacked, beside its drawings, 1100 MB") && words.contains("plate C has 600 MB, plate D 500 MB"),
            "{words}"
        );
    }
}
