//! PNG files of our own rasters, with their true size in pHYs (ISO/IEC 15948, 11.3.5.3).

use crate::plane::Plane;
use crate::units::PxPerMm;
use std::io::Cursor;

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

impl std::fmt::Display for GreyError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
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
}
