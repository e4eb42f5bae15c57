//! The drawing: bytes of a picture file to linear-light luminance and, where it has one, colour; upright and over paper white.
//!
//! PNG, JPEG, TIFF, WebP and BMP, told apart by their first bytes and never by the file's name; grey, RGB, palette and CMYK, 1 to 16 bits
//! a value, TIFF also with floating-point values; with or without alpha. Colour profiles are applied, so is a PNG's own gamma; without
//! either, values are sRGB. Four inks without a profile are turned to RGB by plain arithmetic, and a note says so.
//!
//! What has more than [`KEPT_PIXELS`] is reduced while it is read, by a whole number, each kept pixel the mean light of its box: PNG rows
//! and TIFF strips, tiles or bands are never in memory all at once. JPEG, WebP, BMP and interlaced PNG are decoded whole and then reduced.
//!
//! What can't be seen: a JPEG whose middle is damaged but whose end is there decodes with a grey or smeared patch.

use crate::plane::Plane;
use crate::units::PxPerMm;

mod decode;
mod directory;
mod ends;
mod error;
mod format;
mod headers;
mod kept;
mod lut;
mod profile;
mod reading;
mod samples;
mod space;
pub use ends::Ends;
pub use error::DrawingError;
use format::Format;
pub use kept::KEPT_PIXELS;
use reading::{Found, Reading, checked};
use space::Curve;

/// Most pixels of a file, 400 million: 500 × 500 mm at 1000 dots to the inch, or a 16-bit RGB TIFF of 2.4 GB.
pub const MOST_PIXELS: u64 = 400_000_000;

/// Most bytes of samples that are decoded all at once, where a format leaves no other way: a JPEG of 213 million pixels in colour.
pub const MOST_AT_ONCE: u64 = 640_000_000;

/// Differences of linear light below this are none: a third of the smallest step of an 8-bit file (1/3294, from 0 to 1 of 255).
pub const EVEN: f64 = 1e-4;

/// A drawing, upright, in linear light.
///
/// # Guarantees
/// Every value of the luminance is within 0..=1. The colour, where there is one, has the luminance's size.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    luminance: Plane<f32>,
    colour: Option<Plane<[u16; 3]>>,
    info: Info,
}

/// What the file said about itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Info {
    /// Name of the format: `PNG`, `JPEG`, `TIFF`, `WebP`, `BMP`; empty for a drawing that came as values.
    pub format: &'static str,
    /// Bits a value, 8 or 16; fewer in the file count as 8. 32 for floating-point values and for a drawing that came as luminance.
    pub bits: u8,
    /// Exif orientation of the stored picture, 1 to 8; already applied.
    pub orientation: u8,
    /// Width and height as stored in the file, before the orientation and before it was reduced, pixels.
    pub stored: (u32, u32),
    /// By how much the picture was reduced each way while it was read, 1 for as it is: the drawing has `stored / reduced` pixels, rounded up.
    pub reduced: u32,
    /// Resolution of the drawing as it is here, where the file says one: the file's own, divided by `reduced`.
    pub density: Option<PxPerMm>,
    /// What the reader should know, a sentence each.
    pub notes: Vec<String>,
}

impl Info {
    fn of_values(width: usize, height: usize, bits: u8) -> Self {
        Self { format: "", bits, orientation: 1, stored: (width as u32, height as u32), reduced: 1, density: None, notes: Vec::new() }
    }
}

impl Drawing {
    /// Reads a picture file.
    ///
    /// The size is checked before anything is decoded. Peak memory beside the file, for each kept pixel ([`KEPT_PIXELS`] at most) 4 bytes
    /// and in colour 6 more; and a few rows, or a band of tiles, or for what can only be decoded whole its samples ([`MOST_AT_ONCE`] at
    /// most; a progressive JPEG's coefficients take as much again, with full colour twice that).
    ///
    /// # Errors
    /// When the file is empty, cut off, damaged, too large, or of a kind that is not read.
    pub fn read(bytes: &[u8]) -> Result<Self, DrawingError> {
        let reading = match Format::of(bytes)? {
            Format::Png => decode::png::read(bytes),
            Format::Jpeg => decode::jpeg::read(bytes),
            Format::Tiff => decode::tiff::read(bytes),
            Format::WebP => decode::whole::webp(bytes),
            Format::Bmp => decode::whole::bmp(bytes),
        };
        Ok(reading?.finish())
    }

    /// A drawing made of linear-light values; what lies outside 0..=1 is clipped, what is no number is paper.
    #[must_use]
    pub fn from_luminance(luminance: &Plane<f32>) -> Self {
        let luminance = luminance.map(|&y| if y.is_nan() { 1.0 } else { y.clamp(0.0, 1.0) });
        let info = Info::of_values(luminance.width(), luminance.height(), 32);
        Self { luminance, colour: None, info }
    }

    /// A drawing made of colours: sRGB-encoded values (IEC 61966-2-1, D65), 0 to 65535. Grey throughout, its colour is not kept.
    #[must_use]
    pub fn from_colour(plane: Plane<[u16; 3]>) -> Self {
        let table = Curve::Srgb.table(65_535);
        let luminance = plane.map(|colour| samples::luminance(colour.map(|v| table[usize::from(v)])));
        let grey = plane.data().iter().all(|[r, g, b]| r == g && g == b);
        let info = Info::of_values(plane.width(), plane.height(), 16);
        Self { luminance, colour: (!grey).then_some(plane), info }
    }

    /// Luminance Y in linear light, 0 black to 1 paper white, upright.
    #[must_use]
    pub fn luminance(&self) -> &Plane<f32> {
        &self.luminance
    }

    /// The colours, upright and over paper white, sRGB-encoded (IEC 61966-2-1, D65), 0 to 65535, those outside sRGB clipped; `None` where the
    /// drawing is grey, to a quarter of a step of 8 bits.
    #[must_use]
    pub fn colour(&self) -> Option<&Plane<[u16; 3]>> {
        self.colour.as_ref()
    }

    /// What the file said about itself.
    #[must_use]
    pub fn info(&self) -> &Info {
        &self.info
    }
}

/// An empty buffer with room for so many values, if the memory is there.
fn room<T>(values: u64) -> Option<Vec<T>> {
    let mut buffer = Vec::new();
    buffer.try_reserve_exact(usize::try_from(values).ok()?).ok()?;
    Some(buffer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Encoded;
    use approx::assert_abs_diff_eq;
    use image::metadata::Orientation;
    use image::{DynamicImage, ExtendedColorType, ImageEncoder, ImageFormat};
    use proptest::prelude::*;
    use std::io::Cursor;

    const FORMATS: [ImageFormat; 5] = [ImageFormat::Png, ImageFormat::Jpeg, ImageFormat::Tiff, ImageFormat::WebP, ImageFormat::Bmp];

    fn write(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
        let mut file = Cursor::new(Vec::new());
        picture.write_to(&mut file, format).unwrap();
        file.into_inner()
    }

    fn png(samples: &[u8], width: u32, kind: ExtendedColorType) -> Vec<u8> {
        let mut file = Vec::new();
        let height = samples.len() as u32 * 8 / u32::from(kind.bits_per_pixel()) / width;
        image::codecs::png::PngEncoder::new(&mut file).write_image(samples, width, height, kind).unwrap();
        file
    }

    fn read(bytes: &[u8]) -> Drawing {
        Drawing::read(bytes).unwrap()
    }

    fn refused(bytes: &[u8]) -> DrawingError {
        let error = Drawing::read(bytes).unwrap_err();
        let said = error.to_string();
        assert!(said.ends_with('.') && said.contains(':'), "{said}");
        error
    }

    /// A letter F of cells of 16 pixels, upright.
    fn letter() -> image::GrayImage {
        const F: [&[u8; 5]; 7] = [b".###.", b".#...", b".#...", b".##..", b".#...", b".#...", b"....."];
        image::GrayImage::from_fn(80, 112, |x, y| image::Luma([if F[y as usize / 16][x as usize / 16] == b'#' { 20 } else { 240 }]))
    }

    fn exif(orientation: u8) -> Vec<u8> {
        // TIFF 6.0: header, one entry: tag 0x0112, SHORT, one value; no further directory.
        let mut exif = b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0".to_vec();
        exif.extend([orientation, 0, 0, 0, 0, 0, 0, 0]);
        exif
    }

    /// An uncompressed 8-bit grey TIFF, entries in order of their tags, from TIFF 6.0 section 4.
    fn tiff(samples: &[u8], width: u32, height: u32, more: &[(u16, u16, u32)]) -> Vec<u8> {
        let mut entries: Vec<(u16, u16, u32)> = vec![
            (256, 4, width),
            (257, 4, height),
            (258, 3, 8),
            (259, 3, 1),
            (262, 3, 1),
            (277, 3, 1),
            (278, 4, height),
            (279, 4, width * height),
        ];
        entries.retain(|entry| more.iter().all(|other| other.0 != entry.0));
        entries.extend(more);
        entries.push((273, 4, 0));
        entries.sort_unstable();
        let data = 8 + 2 + 12 * entries.len() as u32 + 4;
        let mut file = b"II*\0\x08\0\0\0".to_vec();
        file.extend((entries.len() as u16).to_le_bytes());
        for (tag, kind, value) in entries {
            let (count, value) = match (tag, kind) {
                (273, _) => (1, data + 16),
                (_, 5) => (1, data + if tag == 282 { 0 } else { 8 }),
                _ => (1u32, value),
            };
            file.extend([tag.to_le_bytes(), kind.to_le_bytes()].concat());
            file.extend([count.to_le_bytes(), value.to_le_bytes()].concat());
        }
        file.extend([0; 4]);
        // Two resolutions for whoever points here: 300/1 and 300/1.
        file.extend([300u32, 1, 300, 1].map(u32::to_le_bytes).concat());
        file.extend(samples);
        file
    }

    #[test]
    fn luminance_is_linear_and_weighed() {
        // IEC 61966-2-1 with ITU-R BT.709 weights; 0.184475 for byte 119 computed with colour-science.
        let samples = [119, 119, 119, 255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255, 0, 0, 0];
        let drawing = read(&png(&samples, 6, ExtendedColorType::Rgb8));
        for (&y, wanted) in drawing.luminance().data().iter().zip([0.184_475, 0.2126, 0.7152, 0.0722, 1.0, 0.0]) {
            assert_abs_diff_eq!(f64::from(y), wanted, epsilon = 1e-6);
        }
        assert_eq!(drawing.info().format, "PNG");
        assert_eq!((drawing.info().stored, drawing.info().bits), ((6, 1), 8));
    }

    #[test]
    fn grey_and_rgb_are_equal_in_every_lossless_format() {
        let grey = DynamicImage::ImageLuma8(image::GrayImage::from_fn(256, 2, |x, _| image::Luma([x as u8])));
        let wanted = read(&write(&grey, ImageFormat::Png));
        for format in [ImageFormat::Png, ImageFormat::Tiff, ImageFormat::WebP, ImageFormat::Bmp] {
            for picture in [DynamicImage::from(grey.to_rgb8()), DynamicImage::from(grey.to_rgba8())] {
                assert_eq!(read(&write(&picture, format)).luminance(), wanted.luminance(), "{format:?}");
            }
        }
        // A JPEG loses a little: within two of 255 anywhere, so within 0.02 of Y.
        let jpeg = read(&write(&grey, ImageFormat::Jpeg));
        for (a, b) in jpeg.luminance().data().iter().zip(wanted.luminance().data()) {
            assert_abs_diff_eq!(a, b, epsilon = 0.02);
        }
    }

    #[test]
    fn alpha_lies_over_paper_white_in_linear_light() {
        // Half-covered black over white gives back half the light: Y 0.498 for alpha 128, whatever the colour space of the file.
        let samples = [0, 128, 0, 255, 0, 0, 255, 128];
        let drawing = read(&png(&samples, 4, ExtendedColorType::La8));
        let wanted = [1.0 - 128.0 / 255.0, 0.0, 1.0, 1.0];
        for (&y, wanted) in drawing.luminance().data().iter().zip(wanted) {
            assert_abs_diff_eq!(f64::from(y), wanted, epsilon = 1e-6);
        }
        let clear = read(&png(&[7, 8, 9, 0, 200, 1, 3, 0], 2, ExtendedColorType::Rgba8));
        assert_eq!(clear.luminance().data(), [1.0, 1.0]);
    }

    #[test]
    fn sixteen_bits_are_kept() {
        // 300 neighbouring 16-bit greys are 300 values, where 8 bits would leave two.
        let picture = image::ImageBuffer::<image::Luma<u16>, _>::from_fn(300, 1, |x, _| image::Luma([30_000 + x as u16]));
        for format in [ImageFormat::Png, ImageFormat::Tiff] {
            let drawing = read(&write(&DynamicImage::ImageLuma16(picture.clone()), format));
            assert_eq!(drawing.info().bits, 16);
            let values = drawing.luminance().data();
            assert!(values.windows(2).all(|pair| pair[0] < pair[1]), "{format:?}");
            let wanted = Encoded(30_000.0 / 65_535.0).linear().0;
            assert_abs_diff_eq!(f64::from(values[0]), wanted, epsilon = 1e-6);
            let colour = read(&write(&DynamicImage::ImageLuma16(picture.clone()).into_rgb16().into(), format));
            assert_eq!(colour.luminance(), drawing.luminance());
        }
    }

    /// The orientation that undoes one: turns undo each other, mirrorings undo themselves.
    fn inverse(orientation: Orientation) -> Orientation {
        match orientation {
            Orientation::Rotate90 => Orientation::Rotate270,
            Orientation::Rotate270 => Orientation::Rotate90,
            other => other,
        }
    }

    #[test]
    fn all_eight_orientations_stand_upright() {
        // The stored pictures are turned by the image crate, a second implementation beside ours.
        for tag in 1..=8u8 {
            let mut stored = DynamicImage::ImageLuma8(letter());
            stored.apply_orientation(inverse(Orientation::from_exif(tag).unwrap()));
            let (width, height) = (stored.width(), stored.height());
            let samples = stored.as_bytes().to_vec();
            let rgb = stored.to_rgb8();

            let (mut png, mut jpeg, mut webp) = (Vec::new(), Vec::new(), Vec::new());
            let mut encoder = image::codecs::png::PngEncoder::new(&mut png);
            encoder.set_exif_metadata(exif(tag)).unwrap();
            encoder.write_image(&samples, width, height, ExtendedColorType::L8).unwrap();
            let mut encoder = image::codecs::webp::WebPEncoder::new_lossless(&mut webp);
            encoder.set_exif_metadata(exif(tag)).unwrap();
            encoder.write_image(&rgb, width, height, ExtendedColorType::Rgb8).unwrap();
            image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 95)
                .write_image(&samples, width, height, ExtendedColorType::L8)
                .unwrap();
            // An APP1 segment right after the start marker, by hand (Exif 2.32, 4.7.2).
            let mut segment = vec![0xff, 0xe1];
            segment.extend((2 + 6 + exif(tag).len() as u16).to_be_bytes());
            segment.extend(b"Exif\0\0");
            segment.extend(exif(tag));
            jpeg.splice(2..2, segment);
            let tiff = tiff(&samples, width, height, &[(274, 3, u32::from(tag))]);

            for (name, file) in [("PNG", png), ("JPEG", jpeg), ("TIFF", tiff), ("WebP", webp)] {
                let drawing = read(&file);
                assert_eq!((drawing.info().format, drawing.info().orientation), (name, tag));
                assert_eq!(drawing.info().stored, (width, height));
                let plane = drawing.luminance();
                assert_eq!((plane.width(), plane.height()), (80, 112), "{name} {tag}");
                for (x, y, pixel) in letter().enumerate_pixels() {
                    let wanted = Encoded(f64::from(pixel.0[0]) / 255.0).linear().0;
                    assert_abs_diff_eq!(f64::from(plane.at(x as usize, y as usize)), wanted, epsilon = 0.02);
                }
            }
        }
    }

    #[test]
    fn resolution_is_read_where_the_file_says_one() {
        let at_300 = |drawing: &Drawing| {
            let density = drawing.info().density.unwrap();
            assert_abs_diff_eq!(density.0, 300.0 / 25.4, epsilon = 1e-4);
        };
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, 2, 1);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: 11_811, yppu: 11_811, unit: png::Unit::Meter }));
        encoder.write_header().unwrap().write_image_data(&[0, 255]).unwrap();
        assert_eq!(read(&file).info().density, Some(PxPerMm(11.811)));

        let mut jpeg = Vec::new();
        let mut encoder = image::codecs::jpeg::JpegEncoder::new(&mut jpeg);
        encoder.set_pixel_density(image::codecs::jpeg::PixelDensity::dpi(300));
        encoder.write_image(&[0, 255], 2, 1, ExtendedColorType::L8).unwrap();
        at_300(&read(&jpeg));
        // JFIF units stand at byte 13: 2 is a centimetre, 0 no unit.
        jpeg[13] = 2;
        assert_eq!(read(&jpeg).info().density, Some(PxPerMm(30.0)));
        jpeg[13] = 0;
        assert_eq!(read(&jpeg).info().density, None);

        at_300(&read(&tiff(&[0, 255], 2, 1, &[(282, 5, 0), (283, 5, 0)])));
        assert_eq!(read(&tiff(&[0, 255], 2, 1, &[(282, 5, 0), (283, 5, 0), (296, 3, 3)])).info().density, Some(PxPerMm(30.0)));
        assert_eq!(read(&tiff(&[0, 255], 2, 1, &[])).info().density, None);
    }

    #[test]
    fn a_file_cut_off_anywhere_is_refused() {
        let picture = DynamicImage::ImageLuma8(letter());
        for format in FORMATS {
            let file = write(&DynamicImage::from(picture.to_rgb8()), format);
            assert!(Drawing::read(&file).is_ok());
            for cut in [1, 2, 3, 7, 30, file.len() / 4, file.len() / 2, file.len() * 9 / 10, file.len() - 12, file.len() - 1] {
                assert!(Drawing::read(&file[..cut]).is_err(), "{format:?} cut to {cut} of {}", file.len());
            }
        }
        let jpeg = write(&picture, ImageFormat::Jpeg);
        assert_eq!(refused(&jpeg[..jpeg.len() / 2]), DrawingError::Truncated { format: "JPEG" });
        assert_eq!(refused(&jpeg[..jpeg.len() - 1]), DrawingError::Truncated { format: "JPEG" });
    }

    #[test]
    fn what_is_no_drawing_is_named() {
        assert_eq!(refused(b""), DrawingError::Empty);
        assert_eq!(refused(b"dear diary"), DrawingError::Unknown);
        let named = |bytes: &[u8], word: &str| assert!(refused(bytes).to_string().contains(word), "{word}");
        named(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3", "PDF");
        named(b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC");
        named(b"\0\0\0\x18ftypavif\0\0\0\0", "AVIF");
        named(b"GIF89a\x01\0\x01\0", "GIF");
        named(b"<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\"/>", "SVG");
        named(b"II*\0\x10\0\0\0CR\x02\0", "raw");
        named(&tiff(&[0, 255], 2, 1, &[(254, 4, 1), (330, 4, 8)]), "raw");
        named(&tiff(&[0, 255], 2, 1, &[(262, 3, 3)]), "palette");
        named(&tiff(&[0; 8], 2, 1, &[(262, 3, 8)]), "Lab");
        named(&tiff(&2f32.to_le_bytes(), 1, 1, &[(258, 3, 32), (339, 3, 3)]), "2 came");
        named(&tiff(&f32::NAN.to_le_bytes(), 1, 1, &[(258, 3, 32), (339, 3, 3)]), "NaN came");
    }

    /// 8 × 8 pixels of half black ink and no other, made with Pillow 13.0.0: `Image.new("CMYK", (8, 8), (0, 0, 0, 128))`, saved as JPEG,
    /// quality 100, optimised. Pillow reads it back as RGB 127.
    const INKS: &str = "ffd8ffee000e41646f626500640000000000ffdb00430001010101010101010101010101010101010101010101010101010101010101010101010101\
        010101010101010101010101010101010101010101010101010101ffc000140800080008044311004d11005911004b1100ffc4001500010100000000\
        000000000000000000000a04ffc40014100100000000000000000000000000000000ffda000e0443004d0059004b00003f007f07f07f09dfffd9";

    #[test]
    fn four_inks_are_right_or_refused() {
        let digit = |at: usize| u8::from_str_radix(&INKS[at..at + 2], 16).unwrap();
        let mut file: Vec<u8> = (0..INKS.len()).step_by(2).map(digit).collect();
        let drawing = read(&file);
        assert!(drawing.info().notes.iter().any(|note| note.contains("CMYK")));
        let wanted = Encoded(127.0 / 255.0).linear().0;
        for &y in drawing.luminance().data() {
            assert_abs_diff_eq!(f64::from(y), wanted, epsilon = 0.01);
        }
        // Without its marker (16 bytes after the start) the same data would decode as black.
        file.drain(2..18);
        assert_eq!(refused(&file), DrawingError::UnmarkedInks);
    }

    #[test]
    fn associated_alpha_is_not_darkened_twice() {
        // Half-covered mid grey 200, stored multiplied as 100 beside alpha 128; once the plain way, once TIFF's associated way.
        let plain = read(&png(&[200, 128], 1, ExtendedColorType::La8));
        let mut file = tiff(&[100, 100, 100, 128], 1, 1, &[(262, 3, 2), (277, 3, 4), (279, 4, 4), (338, 3, 1)]);
        // BitsPerSample has four values, which don't fit the entry: they go where the resolutions would stand, 20 bytes before the end.
        let bits = file.len() - 20;
        file[bits..bits + 8].copy_from_slice(&[8, 0, 8, 0, 8, 0, 8, 0]);
        let at = file.windows(4).position(|window| window == [2, 1, 3, 0]).unwrap();
        file[at + 4] = 4;
        file[at + 8..at + 12].copy_from_slice(&(bits as u32).to_le_bytes());
        let associated = read(&file);
        assert_abs_diff_eq!(plain.luminance().at(0, 0), associated.luminance().at(0, 0), epsilon = 0.005);
    }

    /// The check of ISO/IEC 15948, annex D.
    fn crc(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(u32::MAX, |crc, &byte| {
            (0..8).fold(crc ^ u32::from(byte), |crc, _| if crc & 1 == 1 { 0xedb8_8320 ^ crc >> 1 } else { crc >> 1 })
        })
    }

    #[test]
    fn too_large_is_refused_before_decoding() {
        let mut bmp = write(&DynamicImage::ImageLuma8(letter()), ImageFormat::Bmp);
        bmp[18..22].copy_from_slice(&30_000u32.to_le_bytes());
        bmp[22..26].copy_from_slice(&30_000u32.to_le_bytes());
        assert!(matches!(refused(&bmp), DrawingError::TooLarge { .. } | DrawingError::Damaged { .. }));
        let file = tiff(&[0; 4], 30_000, 20_000, &[]);
        assert_eq!(refused(&file), DrawingError::TooLarge { width: 30_000, height: 20_000 });
        // Interlaced, 20 000 × 20 000 pixels of RGB would have to be decoded at once: 1.2 GB.
        let mut header = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\x4e\x20\0\0\x4e\x20\x08\x02\0\0\x01".to_vec();
        header.extend(crc(&header[12..]).to_be_bytes());
        header.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e\0\0\0\0IEND\xae\x42\x60\x82");
        assert_eq!(refused(&header), DrawingError::TooLargeAtOnce { format: "PNG", width: 20_000, height: 20_000 });
    }

    #[test]
    fn a_foreign_profile_is_said() {
        let mut file = Vec::new();
        let mut encoder = image::codecs::png::PngEncoder::new(&mut file);
        encoder.set_icc_profile(b"some wide profile".to_vec()).unwrap();
        encoder.write_image(&[0, 255], 2, 1, ExtendedColorType::L8).unwrap();
        assert!(read(&file).info().notes.iter().any(|note| note.contains("is not applied")));
    }

    fn changed() -> impl Strategy<Value = Vec<u8>> {
        let files: Vec<Vec<u8>> =
            FORMATS.iter().map(|&format| write(&DynamicImage::from(DynamicImage::from(letter()).to_rgb8()), format)).collect();
        let edits = proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 1..8);
        (proptest::sample::select(files), edits).prop_map(|(mut file, edits)| {
            for (at, byte) in edits {
                // Headers matter most: half of the edits fall on the first 200 bytes.
                let reach = if byte & 1 == 0 { file.len() } else { file.len().min(200) };
                file[at.index(reach)] = byte;
            }
            file
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(256))]

        #[test]
        fn garbage_never_panics(bytes in proptest::collection::vec(any::<u8>(), 0..600), magic in 0usize..6) {
            let magics: [&[u8]; 6] = [b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\0", b"RIFF\0\0\0\0WEBP", b"BM"];
            let _ = Drawing::read(&[magics[magic], &bytes].concat());
        }

        #[test]
        fn changed_files_never_panic(file in changed()) {
            if let Ok(drawing) = Drawing::read(&file) {
                prop_assert!(drawing.luminance().data().iter().all(|y| (0.0..=1.0).contains(y)));
            }
        }
    }
}
