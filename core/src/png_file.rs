//! PNG files of our own rasters, with their true size in pHYs (ISO/IEC 15948, 11.3.5.3).

use crate::plane::Plane;
use crate::units::PxPerMm;
use std::fmt;
use std::io::{Cursor, Write};

/// An 8-bit grey PNG, one value a pixel.
#[must_use]
pub fn grey(plane: &Plane<u8>, resolution: PxPerMm) -> Vec<u8> {
    written(plane.width(), plane.height(), resolution, png::ColorType::Grayscale, plane.data())
}

/// An 8-bit sRGB PNG.
#[must_use]
pub fn colour(plane: &Plane<[u8; 3]>, resolution: PxPerMm) -> Vec<u8> {
    written(plane.width(), plane.height(), resolution, png::ColorType::Rgb, plane.data().as_flattened())
}

/// What is not an 8-bit grey PNG of at most so many pixels, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GreyError(String);

impl fmt::Display for GreyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "An 8-bit grey PNG was expected, another file came ({}): choose the file again.", self.0)
    }
}

impl std::error::Error for GreyError {}

/// Reads an 8-bit grey PNG of at most `most` pixels.
///
/// # Errors
/// When it is something else, damaged or larger.
pub fn read_grey(file: &[u8], most: u64) -> Result<Plane<u8>, GreyError> {
    let failed = |error: png::DecodingError| GreyError(error.to_string().trim_end_matches('.').to_owned());
    let mut reader = png::Decoder::new(Cursor::new(file)).read_info().map_err(failed)?;
    let info = reader.info();
    let (width, height) = (info.width, info.height);
    if (info.color_type, info.bit_depth) != (png::ColorType::Grayscale, png::BitDepth::Eight) || info.interlaced {
        return Err(GreyError("it is of another kind".to_owned()));
    }
    if u64::from(width) * u64::from(height) > most {
        return Err(GreyError(format!("it has more than {most} pixels")));
    }
    let mut data = vec![0; width as usize * height as usize];
    reader.next_frame(&mut data).map_err(failed)?;
    Plane::new(width as usize, height as usize, data).map_err(|error| GreyError(error.to_string()))
}

/// Writes an 8-bit sRGB PNG row by row, so that neither picture nor file is ever whole in memory: `sink` takes the file's bytes as they
/// come. `words` are its text chunks, a keyword (1 to 79 letters of Latin-1) and what it says. `rows` is asked for the next rows, whole
/// ones, until it has none.
///
/// # Errors
/// Says so where a side is empty, a keyword is none, or the rows are not as many as `height`.
pub fn colour_rows(
    (width, height): (usize, usize),
    resolution: PxPerMm,
    words: &[(&str, &str)],
    sink: &mut dyn FnMut(&[u8]),
    rows: &mut dyn FnMut() -> Option<Vec<[u8; 3]>>,
) -> Result<(), RowsError> {
    let error = |error: png::EncodingError| RowsError { said: error.to_string() };
    let side = |side: usize| u32::try_from(side).map_err(|_| RowsError { said: format!("a side of {side} pixels") });
    let mut encoder = png::Encoder::new(Sink(sink), side(width)?, side(height)?);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    let per_metre = resolution.per_metre();
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
    // Half the size of the fast way: three channels of one grain are alike.
    encoder.set_compression(png::Compression::Balanced);
    for (keyword, text) in words {
        let (keyword, text) = ((*keyword).to_owned(), (*text).to_owned());
        if text.chars().all(|letter| u32::from(letter) < 256) {
            encoder.add_text_chunk(keyword, text).map_err(error)?;
        } else {
            encoder.add_itxt_chunk(keyword, text).map_err(error)?;
        }
    }
    let mut writer = encoder.write_header().map_err(error)?;
    let mut stream = writer.stream_writer_with_size(1 << 16).map_err(error)?;
    while let Some(rows) = rows() {
        stream.write_all(rows.as_flattened()).map_err(|error| RowsError { said: error.to_string() })?;
    }
    stream.finish().map_err(error)
}

/// A PNG that could not be written row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowsError {
    said: String,
}

impl fmt::Display for RowsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "A picture of whole rows was expected, the PNG came to nothing ({}): ask for another size.", self.said)
    }
}

impl std::error::Error for RowsError {}

/// What takes a file's bytes as they come.
struct Sink<'a>(&'a mut dyn FnMut(&[u8]));

impl Write for Sink<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        (self.0)(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// # Panics
/// Never in practice: a plane has its data's length, sides that fit 32 bits, and memory does not fail to be written to.
#[expect(clippy::unwrap_used, reason = "the size and the length agree by the plane's own guarantee")]
fn written(width: usize, height: usize, resolution: PxPerMm, kind: png::ColorType, data: &[u8]) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width as u32, height as u32);
    encoder.set_color(kind);
    encoder.set_depth(png::BitDepth::Eight);
    if kind == png::ColorType::Rgb {
        encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    }
    let per_metre = resolution.per_metre();
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
    encoder.set_compression(png::Compression::Balanced);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(data).unwrap();
    writer.finish().unwrap();
    file
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_reader_finds_the_values_and_the_size() {
        let plane = Plane::new(3, 2, vec![0, 1, 2, 3, 4, 255]).unwrap();
        let file = grey(&plane, PxPerMm(10.0));
        // The `image` crate reads what `png` wrote.
        let read = image::load_from_memory(&file).unwrap();
        assert_eq!((read.width(), read.height(), read.as_bytes()), (3, 2, plane.data()));
        let at = file.windows(4).position(|w| w == b"pHYs").unwrap();
        assert_eq!(file[at + 4..at + 13], [0, 0, 0x27, 0x10, 0, 0, 0x27, 0x10, 1]);
        assert_eq!(read_grey(&file, 6).unwrap(), plane);
        let rgb = Plane::new(2, 1, vec![[1, 2, 3], [4, 5, 6]]).unwrap();
        assert_eq!(image::load_from_memory(&colour(&rgb, PxPerMm(10.0))).unwrap().as_bytes(), [1, 2, 3, 4, 5, 6]);
        let wrong = [colour(&rgb, PxPerMm(10.0)), file[..40].to_vec(), b"no picture".to_vec(), Vec::new()];
        for said in wrong.iter().map(|file| read_grey(file, 6)).chain([read_grey(&file, 5)]) {
            assert!(said.unwrap_err().to_string().starts_with("An 8-bit grey PNG"));
        }
    }

    #[test]
    fn rows_one_by_one_are_the_same_picture_with_its_words() {
        let plane = Plane::from_fn(40, 30, |x, y| [x as u8, y as u8, (x * y) as u8]);
        let mut file = vec![];
        let mut rows = plane.rows().collect::<Vec<_>>().chunks(7).map(<[&[[u8; 3]]]>::concat).collect::<Vec<_>>().into_iter();
        let words = [("Title", "Proof, 9 tones"), ("Description", "ink on paper, « mm » and Ω")];
        colour_rows((40, 30), PxPerMm(10.0), &words, &mut |bytes| file.extend_from_slice(bytes), &mut || rows.next()).unwrap();
        assert_eq!(image::load_from_memory(&file).unwrap().as_bytes(), plane.data().as_flattened());
        for wanted in ["tEXtTitle\0Proof, 9 tones", "iTXtDescription", "pHYs"] {
            assert!(file.windows(wanted.len()).any(|w| w == wanted.as_bytes()), "{wanted}");
        }
        let mut few = Some(vec![[0; 3]; 40]);
        let error = colour_rows((40, 30), PxPerMm(10.0), &[], &mut |_| (), &mut || few.take()).unwrap_err();
        assert!(error.to_string().starts_with("A picture of whole rows"), "{error}");
        assert!(colour_rows((0, 3), PxPerMm(10.0), &[], &mut |_| (), &mut || None).is_err());
    }
}
