//! Everything else: tiles, planes, JPEG, fax and other codings, one band of strips or tiles at a time by the `tiff` crate.
//!
//! The crate is shown the values as grey bands whatever they mean, by an interpretation of "black is zero" laid over the file's own: so it
//! hands out every value as it stands, palettes and extra channels too, and what they mean is decided in one place.

use super::{Facts, Photometric, Raw, Rows, damaged, strips, unsupported};
use crate::drawing::decode::plain;
use crate::drawing::{DrawingError, MOST_AT_ONCE, room};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom};
use std::num::NonZero;
use tiff::TiffError;
use tiff::decoder::{ChunkType, Decoder, DecodingSampleType, Limits, TiffCodingUnit};

pub(super) fn read(facts: &Facts<'_>, rows: &mut Rows<'_, '_>) -> Result<(), DrawingError> {
    let (width, height) = facts.size;
    match (facts.compression, facts.photometric) {
        _ if facts.reversed => return Err(unsupported("coded bits that run from the low one")),
        (6, _) => return Err(unsupported("the old kind of JPEG coding")),
        (7, Photometric::Inks) => return Err(unsupported("four inks in JPEG coding")),
        _ => {}
    }
    let refused = |error: TiffError| refusal(&error, facts.size);
    let mut limits = Limits::default();
    (limits.decoding_buffer_size, limits.intermediate_buffer_size) = (MOST_AT_ONCE as usize, MOST_AT_ONCE as usize);
    let mut decoder = Decoder::new(Overlaid::new(facts)).map_err(refused)?.with_limits(limits);

    let (across, down) = decoder.chunk_dimensions();
    let columns = if decoder.get_chunk_type() == ChunkType::Tile { width.div_ceil(across) } else { 1 };
    let row_values = width as usize * facts.samples;
    let value = if facts.bits <= 8 { 1 } else { facts.bits as usize / 8 };
    let band_rows = down.min(height);
    let band_bytes = row_values as u64 * value as u64 * u64::from(band_rows);
    let too_large = || DrawingError::TooLargeAtOnce { format: "TIFF", width, height };
    if band_bytes > MOST_AT_ONCE {
        return Err(too_large());
    }
    let mut band: Vec<u8> = room(band_bytes).ok_or_else(too_large)?;
    band.resize(band_bytes as usize, 0);
    let mut chunk = Vec::new();
    let mut values = Values::default();

    for line in 0..height.div_ceil(down) {
        for column in 0..columns {
            let unit = TiffCodingUnit(line * columns + column);
            let layout = decoder.image_coding_unit_layout(unit).map_err(refused)?;
            if layout.complete_len as u64 > MOST_AT_ONCE {
                return Err(too_large());
            }
            let kind = match (facts.float, facts.bits) {
                (false, ..=8) => DecodingSampleType::U8,
                (false, 16) => DecodingSampleType::U16,
                (false, _) => DecodingSampleType::U32,
                (true, 16) => DecodingSampleType::F16,
                (true, 32) => DecodingSampleType::F32,
                (true, _) => DecodingSampleType::F64,
            };
            let planes = if facts.planar { facts.samples } else { 1 };
            let (Some(stride), true) = (layout.row_stride, layout.sample_type == Some(kind) && layout.planes == planes) else {
                return Err(unfit());
            };
            let plane = layout.plane_stride.map_or(layout.complete_len, NonZero::get);
            chunk.clear();
            chunk.resize(layout.complete_len, 0);
            decoder.read_coding_unit_bytes(unit, &mut chunk).map_err(refused)?;

            let (chunk_width, chunk_height) = decoder.chunk_data_dimensions(unit.0);
            let part = Part { stride: stride.get(), plane, planes, width: chunk_width as usize, value };
            let left = column as usize * across as usize * facts.samples;
            for (y, row) in band.chunks_exact_mut(row_values * value).take(chunk_height as usize).enumerate() {
                let out = row.get_mut(left * value..).ok_or_else(unfit)?;
                part.copy(facts, &chunk, y, out).ok_or_else(unfit)?;
            }
        }
        let count = band_rows.min(height - line * down);
        for row in band.chunks_exact(row_values * value).take(count as usize) {
            rows.row(&values.of(row, facts))?;
        }
    }
    Ok(())
}

fn unfit() -> DrawingError {
    damaged("its parts don't fit each other")
}

/// How a decoded strip or tile lies in memory, in bytes; its width in pixels.
struct Part {
    stride: usize,
    plane: usize,
    planes: usize,
    width: usize,
    /// Bytes a value in the band.
    value: usize,
}

impl Part {
    /// Copies one row to its place in the band, pixel by pixel; `None` where it doesn't fit.
    fn copy(&self, facts: &Facts<'_>, chunk: &[u8], y: usize, out: &mut [u8]) -> Option<()> {
        let count = self.width * facts.samples / self.planes;
        let mut unpacked = Vec::new();
        for plane in 0..self.planes {
            let at = plane * self.plane + y * self.stride;
            let mut row = chunk.get(at..at + self.stride)?;
            if facts.bits < 8 {
                unpacked.clear();
                super::unpack(row, facts.bits, count, &mut unpacked);
                row = &unpacked;
            }
            let row = row.get(..count * self.value)?;
            if self.planes == 1 {
                out.get_mut(..row.len())?.copy_from_slice(row);
            } else {
                for (to, from) in out.chunks_exact_mut(facts.samples * self.value).zip(row.chunks_exact(self.value)) {
                    to[plane * self.value..][..self.value].copy_from_slice(from);
                }
            }
        }
        Some(())
    }
}

/// Buffers for a row's values.
#[derive(Default)]
struct Values {
    words: Vec<u16>,
    longs: Vec<u32>,
    floats: Vec<f32>,
}

impl Values {
    /// A row of values in the machine's order; those of fewer than eight bits already one a byte.
    fn of<'a>(&'a mut self, row: &'a [u8], facts: &Facts<'_>) -> Raw<'a> {
        let word = |b: &[u8]| u16::from_ne_bytes([b[0], b[1]]);
        let long = |b: &[u8]| u32::from_ne_bytes([b[0], b[1], b[2], b[3]]);
        if facts.float {
            self.floats.clear();
            match facts.bits {
                16 => self.floats.extend(row.chunks_exact(2).map(|b| strips::half(word(b)))),
                32 => self.floats.extend(row.chunks_exact(4).map(|b| f32::from_bits(long(b)))),
                _ => self.floats.extend(row.chunks_exact(8).map(|b| f64::from_ne_bytes([0, 1, 2, 3, 4, 5, 6, 7].map(|i| b[i])) as f32)),
            }
            return Raw::Floats(&self.floats);
        }
        match facts.bits {
            16 => {
                self.words.clear();
                self.words.extend(row.chunks_exact(2).map(word));
                Raw::Words(&self.words)
            }
            32 => {
                self.longs.clear();
                self.longs.extend(row.chunks_exact(4).map(long));
                Raw::Longs(&self.longs)
            }
            _ => Raw::Values(row),
        }
    }
}

/// The file with another interpretation of its values in the first directory's entry.
struct Overlaid<'a> {
    bytes: &'a [u8],
    at: usize,
    patch: ([u8; 8], usize),
    position: u64,
}

impl<'a> Overlaid<'a> {
    fn new(facts: &Facts<'a>) -> Self {
        let (at, size) = facts.photometric_place;
        let size = size.clamp(1, 8);
        let mut patch = [0; 8];
        patch[if facts.little { 0 } else { size - 1 }] = 1;
        Self { bytes: facts.bytes, at, patch: (patch, size), position: 0 }
    }
}

impl Read for Overlaid<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let start = usize::try_from(self.position).unwrap_or(usize::MAX).min(self.bytes.len());
        let rest = &self.bytes[start..];
        let count = rest.len().min(buffer.len());
        buffer[..count].copy_from_slice(&rest[..count]);
        let (patch, size) = self.patch;
        for (at, &byte) in (self.at..).zip(&patch[..size]) {
            if (start..start + count).contains(&at) {
                buffer[at - start] = byte;
            }
        }
        self.position = (start + count) as u64;
        Ok(count)
    }
}

impl Seek for Overlaid<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let position = match to {
            SeekFrom::Start(n) => Some(n),
            SeekFrom::Current(n) => self.position.checked_add_signed(n),
            SeekFrom::End(n) => (self.bytes.len() as u64).checked_add_signed(n),
        };
        self.position = position.ok_or_else(|| io::Error::from(ErrorKind::InvalidInput))?;
        Ok(self.position)
    }
}

fn refusal(error: &TiffError, (width, height): (u32, u32)) -> DrawingError {
    match error {
        TiffError::IoError(io) if io.kind() == ErrorKind::UnexpectedEof => DrawingError::Truncated { format: "TIFF" },
        TiffError::IoError(io) => damaged(&plain(&io.to_string())),
        TiffError::UnsupportedError(what) => unsupported(&format!("another kind of picture ({})", plain(&what.to_string()))),
        TiffError::LimitsExceeded | TiffError::IntSizeError => DrawingError::TooLargeAtOnce { format: "TIFF", width, height },
        error => damaged(&plain(&error.to_string())),
    }
}
