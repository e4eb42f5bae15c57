//! The drawing: bytes of a picture file to linear-light luminance, upright and over paper white.
//!
//! PNG, JPEG, TIFF, WebP and BMP, told apart by their first bytes and never by the file's name; 8 and 16 bits a value, grey or RGB,
//! with or without alpha. Values are read as sRGB: a colour profile or a gamma of the file's own is not applied, and a note says so.
//!
//! What can't be seen: a JPEG whose middle is damaged but whose end is there decodes with a grey or smeared patch.

use crate::plane::Plane;
use crate::units::PxPerMm;
use image::codecs::{bmp::BmpDecoder, jpeg::JpegDecoder, png::PngDecoder, tiff::TiffDecoder, webp::WebPDecoder};
use image::metadata::Orientation;
use image::{ImageDecoder, ImageError, Limits};
use std::io::Cursor;

mod ends;
mod error;
mod headers;
mod luminance;
pub use ends::Ends;
pub use error::DrawingError;
use headers::{Format, Headers};
use luminance::Layout;

/// Most pixels of a drawing, 200 million: 14 000 × 14 000. Decoding takes up to 12 bytes a pixel at its worst moment with 16-bit RGBA,
/// 2.4 GB, which a browser's 4 GB of memory still holds.
pub const MOST_PIXELS: u64 = 200_000_000;

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
    /// Bits a value, 8 or 16; fewer in the file count as 8. 32 for a drawing that came as values.
    pub bits: u8,
    /// Exif orientation of the stored picture, 1 to 8; already applied.
    pub orientation: u8,
    /// Width and height as stored, before the orientation, pixels.
    pub stored: (u32, u32),
    /// Resolution, where the file says one.
    pub density: Option<PxPerMm>,
    /// What the reader should know, a sentence each.
    pub notes: Vec<String>,
}

impl Drawing {
    /// Reads a picture file.
    ///
    /// The size is checked against [`MOST_PIXELS`] before anything is decoded. Peak memory beside the file: the decoded samples and 4
    /// bytes a pixel; for TIFF twice the samples, if that is more.
    ///
    /// # Errors
    /// When the file is empty, cut off, damaged, too large, or of a kind that is not read.
    pub fn read(bytes: &[u8]) -> Result<Self, DrawingError> {
        let format = Format::of(bytes)?;
        let headers = headers::read(format, bytes)?;
        let file = Cursor::new(bytes);
        let failed = |error| refusal(format, (0, 0), &error);
        match format {
            Format::Png => {
                // The decoder's own allowance covers its row buffers and unpacked side chunks, not the picture.
                let mut limits = Limits::no_limits();
                limits.max_alloc = Some(256 << 20);
                decode(format, headers, PngDecoder::with_limits(file, limits).map_err(failed)?, bytes.len())
            }
            Format::Jpeg => decode(format, headers, JpegDecoder::new(file).map_err(failed)?, bytes.len()),
            Format::Tiff => decode(format, headers, TiffDecoder::new(file).map_err(failed)?, bytes.len()),
            Format::WebP => decode(format, headers, WebPDecoder::new(file).map_err(failed)?, bytes.len()),
            Format::Bmp => decode(format, headers, BmpDecoder::new(file).map_err(failed)?, bytes.len()),
        }
    }

    /// A drawing made of linear-light values; what lies outside 0..=1 is clipped, what is no number is paper.
    #[must_use]
    pub fn from_luminance(luminance: &Plane<f32>) -> Self {
        let luminance = luminance.map(|&y| if y.is_nan() { 1.0 } else { y.clamp(0.0, 1.0) });
        let stored = (luminance.width() as u32, luminance.height() as u32);
        Self { luminance, colour: None, info: Info { format: "", bits: 32, orientation: 1, stored, density: None, notes: Vec::new() } }
    }

    /// A drawing made of colours: sRGB-encoded values (IEC 61966-2-1, D65), 0 to 65535. Grey throughout, its colour is not kept.
    #[must_use]
    pub fn from_colour(plane: Plane<[u16; 3]>) -> Self {
        let table = luminance::table(65_535);
        let y = |&[r, g, b]: &[u16; 3]| luminance::weigh(table[usize::from(r)], table[usize::from(g)], table[usize::from(b)]);
        let luminance = plane.map(y);
        let stored = (plane.width() as u32, plane.height() as u32);
        let grey = plane.data().iter().all(|[r, g, b]| r == g && g == b);
        let info = Info { format: "", bits: 16, orientation: 1, stored, density: None, notes: Vec::new() };
        Self { luminance, colour: (!grey).then_some(plane), info }
    }

    /// The colours, upright and over paper white, sRGB-encoded (IEC 61966-2-1, D65), 0 to 65535; `None` where the drawing is grey.
    #[must_use]
    pub fn colour(&self) -> Option<&Plane<[u16; 3]>> {
        self.colour.as_ref()
    }

    /// Luminance Y in linear light, 0 black to 1 paper white, upright.
    #[must_use]
    pub fn luminance(&self) -> &Plane<f32> {
        &self.luminance
    }

    /// What the file said about itself.
    #[must_use]
    pub fn info(&self) -> &Info {
        &self.info
    }
}

/// Decodes the picture and turns it to luminance.
fn decode(format: Format, mut headers: Headers<'_>, mut decoder: impl ImageDecoder, file: usize) -> Result<Drawing, DrawingError> {
    let (width, height) = decoder.dimensions();
    let too_large = DrawingError::TooLarge { width, height };
    let pixels = u64::from(width) * u64::from(height);
    if pixels > MOST_PIXELS {
        return Err(too_large);
    }
    if pixels == 0 {
        return Err(DrawingError::Damaged { format: format.name(), reason: "a side of no pixels".into() });
    }
    let failed = |error| refusal(format, (width, height), &error);
    let kind = decoder.color_type();
    let Some(layout) = Layout::of(kind) else {
        return Err(DrawingError::Unsupported { format: format.name(), kind: "floating-point values".into() });
    };

    // A faulty or missing Exif or profile is no reason to refuse the picture.
    let orientation = match format {
        Format::Png => headers.exif.and_then(Orientation::from_exif_chunk),
        _ => decoder.orientation().ok(),
    };
    let orientation = orientation.unwrap_or(Orientation::NoTransforms);
    if decoder.icc_profile().ok().flatten().is_some_and(|profile| !is_srgb(&profile)) {
        headers.notes.push("The file's colour profile is not applied; its values are read as sRGB.".into());
    }
    if headers.inks {
        headers.notes.push(
            "The file holds four inks (CMYK), turned to RGB by plain arithmetic: look whether its tones are as you know them.".into(),
        );
    }

    // Room for what is known to be needed: the picture, once more inside the TIFF decoder, and its packed strips.
    let total = decoder.total_bytes();
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(pixels * 8 + total + file as u64 + (64 << 20));
    decoder.set_limits(limits).map_err(failed)?;

    let mut samples: Vec<u8> = room(total).ok_or_else(|| too_large.clone())?;
    samples.resize(total as usize, 0);
    decoder.read_image(&mut samples).map_err(failed)?;
    let size = (width as usize, height as usize);
    let upright = room(pixels).ok_or_else(|| too_large.clone())?;
    let luminance = luminance::luminance(&samples, size, layout, headers.associated, orientation, upright);
    let colour = if layout.colours == 3 {
        let upright = room(pixels).ok_or(too_large)?;
        let plane = luminance::colour(&samples, size, layout, headers.associated, orientation, upright);
        (!plane.data().iter().all(|[r, g, b]| r == g && g == b)).then_some(plane)
    } else {
        None
    };

    let density = headers.square_density();
    let info = Info {
        format: format.name(),
        bits: 8 * layout.depth as u8,
        orientation: orientation.to_exif(),
        stored: (width, height),
        density,
        notes: headers.notes,
    };
    Ok(Drawing { luminance, colour, info })
}

/// An empty buffer with room for so many values, if the memory is there.
fn room<T>(values: u64) -> Option<Vec<T>> {
    let mut buffer = Vec::new();
    buffer.try_reserve_exact(usize::try_from(values).ok()?).ok()?;
    Some(buffer)
}

/// The decoder's refusal in our terms.
fn refusal(format: Format, (width, height): (u32, u32), error: &ImageError) -> DrawingError {
    let format = format.name();
    let cause = |error: &dyn std::error::Error| error.source().map_or_else(|| error.to_string(), ToString::to_string);
    let plain = |text: String| text.trim().trim_end_matches('.').replace('\n', " ");
    match error {
        ImageError::IoError(io) if io.kind() == std::io::ErrorKind::UnexpectedEof => DrawingError::Truncated { format },
        ImageError::IoError(io) => DrawingError::Damaged { format, reason: plain(io.to_string()) },
        ImageError::Unsupported(what) => {
            DrawingError::Unsupported { format, kind: format!("another kind of picture ({})", plain(what.to_string())) }
        }
        ImageError::Limits(_) if width > 0 => DrawingError::TooLarge { width, height },
        error => DrawingError::Damaged { format, reason: plain(cause(error)) },
    }
}

/// Whether a profile calls itself sRGB, in ASCII or in the two-byte letters of newer profiles (ICC.1:2022, 10.15).
fn is_srgb(profile: &[u8]) -> bool {
    let says = |word: &[u8]| profile.windows(word.len()).any(|window| window == word);
    says(b"sRGB") || says(b"s\0R\0G\0B") || says(b"\0s\0R\0G\0B")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Encoded;
    use approx::assert_abs_diff_eq;
    use image::{DynamicImage, ExtendedColorType, ImageEncoder, ImageFormat};
    use proptest::prelude::*;

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
        named(&tiff(&[0; 8], 2, 1, &[(258, 3, 32), (339, 3, 3)]), "floating");
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

    #[test]
    fn too_large_is_refused_before_decoding() {
        let mut bmp = write(&DynamicImage::ImageLuma8(letter()), ImageFormat::Bmp);
        bmp[18..22].copy_from_slice(&30_000u32.to_le_bytes());
        bmp[22..26].copy_from_slice(&30_000u32.to_le_bytes());
        assert!(matches!(refused(&bmp), DrawingError::TooLarge { .. } | DrawingError::Damaged { .. }));
        let file = tiff(&[0; 4], 20_000, 20_000, &[]);
        assert_eq!(refused(&file), DrawingError::TooLarge { width: 20_000, height: 20_000 });
    }

    #[test]
    fn a_foreign_profile_is_said() {
        let mut file = Vec::new();
        let mut encoder = image::codecs::png::PngEncoder::new(&mut file);
        encoder.set_icc_profile(b"some wide profile".to_vec()).unwrap();
        encoder.write_image(&[0, 255], 2, 1, ExtendedColorType::L8).unwrap();
        assert!(read(&file).info().notes.iter().any(|note| note.contains("profile is not applied")));
        assert!(is_srgb(b"..desc..sRGB IEC61966-2.1") && is_srgb(b"\0s\0R\0G\0B\0 ") && !is_srgb(b"Display P3"));
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
