//! A kept map as a file: an 8-bit grey PNG of the zones, with what goes with it in a text chunk (ISO/IEC 15948, 11.3.4.3).

use super::{FrozenError, KeptFacts, KeptMap};
use crate::aside::{BY_HAND, RESIST};
use crate::plane::Plane;
use crate::tones::ToneCount;
use crate::units::PxPerMm;
use std::io::Cursor;

/// The text chunk's keyword.
const KEYWORD: &str = "painted-by";
/// Most pixels that are read: those of the largest face, and far fewer than would fill a page's memory.
const MOST_PIXELS: u64 = 400_000_000;

impl KeptMap {
    /// As a PNG file, with its true size.
    ///
    /// # Panics
    /// Never in practice: a plane has its data's length, sides that fit 32 bits, and memory does not fail to be written to.
    #[must_use]
    #[expect(clippy::unwrap_used, reason = "the size and the length agree by the plane's own guarantee")]
    pub fn png(&self) -> Vec<u8> {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, self.zones.width() as u32, self.zones.height() as u32);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Eight);
        let per_metre = PxPerMm(self.facts.px_per_mm).per_metre();
        encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
        encoder.set_compression(png::Compression::Fast);
        encoder.add_text_chunk(KEYWORD.to_owned(), serde_json::to_string(&self.facts).unwrap_or_default()).unwrap();
        let mut writer = encoder.write_header().unwrap();
        writer.write_image_data(self.zones.data()).unwrap();
        writer.finish().unwrap();
        file
    }

    /// Reads such a file again.
    ///
    /// # Errors
    /// What is no such file.
    pub fn read(file: &[u8]) -> Result<Self, FrozenError> {
        let wrong = |cause: &str| FrozenError::Picture(cause.to_owned());
        let failed = |error: png::DecodingError| FrozenError::Picture(error.to_string());
        let mut reader = png::Decoder::new(Cursor::new(file)).read_info().map_err(failed)?;
        let info = reader.info();
        let (width, height) = (info.width, info.height);
        if (info.color_type, info.bit_depth) != (png::ColorType::Grayscale, png::BitDepth::Eight) || info.interlaced {
            return Err(wrong("it is not an 8-bit grey picture"));
        }
        if u64::from(width) * u64::from(height) > MOST_PIXELS {
            return Err(wrong("it is larger than any face"));
        }
        let text = info.uncompressed_latin1_text.iter().find(|chunk| chunk.keyword == KEYWORD).map(|chunk| chunk.text.clone());
        let text = text.ok_or_else(|| wrong("it does not say what it was painted by"))?;
        let facts: KeptFacts = serde_json::from_str(&text).map_err(|error| FrozenError::Picture(error.to_string()))?;
        let tones = ToneCount::new(facts.breaks.len() as i64 + 1).map_err(|error| FrozenError::Picture(error.to_string()))?;
        let mut data = vec![0; width as usize * height as usize];
        reader.next_frame(&mut data).map_err(failed)?;
        if data.iter().any(|&zone| zone != RESIST && zone != BY_HAND && usize::from(zone) >= tones.get()) {
            return Err(wrong("it holds a value that is no tone"));
        }
        let zones = Plane::new(width as usize, height as usize, data).map_err(|_| wrong("its size can't be"))?;
        Ok(Self { zones, facts })
    }

    /// What tells one kept map's file from another: FNV-1a of 64 bits (Fowler, Noll and Vo) as 16 hexadecimal digits.
    #[must_use]
    pub fn id(file: &[u8]) -> String {
        let hash = file.iter().fold(0xcbf2_9ce4_8422_2325u64, |hash, &byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3));
        format!("{hash:016x}")
    }
}
