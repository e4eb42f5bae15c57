//! A JPEG (ITU-T T.81) as a sheet shows it: its bytes as they came, for a PDF and an SVG hold them so.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use std::fmt;
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

/// The longest side that is taken, pixels: a photograph in a record is small.
const LONGEST: usize = 4096;

/// A JPEG picture, not decoded.
#[derive(Clone, PartialEq, Eq)]
pub struct JpegFile {
    bytes: Vec<u8>,
    width: usize,
    height: usize,
    grey: bool,
}

impl fmt::Debug for JpegFile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "JpegFile({} × {}, {} bytes)", self.width, self.height, self.bytes.len())
    }
}

/// Bytes that are no such picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum JpegFileError {
    /// Not base64.
    Text,
    /// Not a JPEG in grey or in three colours.
    Picture,
    /// It has no pixels, or too many.
    Size,
}

impl fmt::Display for JpegFileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text => write!(f, "A photograph’s bytes are written in letters that are none of base64: take the photograph again."),
            Self::Picture => {
                write!(f, "A photograph as a JPEG in grey or colour was expected, something else came: take the photograph again.")
            }
            Self::Size => write!(f, "A photograph of up to {LONGEST} pixels a side was expected, another came: take the photograph again."),
        }
    }
}

impl std::error::Error for JpegFileError {}

impl JpegFile {
    /// Reads the head of a JPEG; the picture itself stays as it is.
    ///
    /// # Errors
    /// Bytes that are no JPEG in one or three colours (CMYK is refused), or one that is too large.
    pub fn new(bytes: Vec<u8>) -> Result<Self, JpegFileError> {
        let options = DecoderOptions::default().set_strict_mode(false).set_max_width(usize::MAX).set_max_height(usize::MAX);
        let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes.as_slice()), options);
        decoder.decode_headers().map_err(|_| JpegFileError::Picture)?;
        let (Some((width, height)), Some(kind)) = (decoder.dimensions(), decoder.input_colorspace()) else {
            return Err(JpegFileError::Picture);
        };
        let grey = match kind {
            ColorSpace::Luma => true,
            ColorSpace::YCbCr | ColorSpace::RGB => false,
            _ => return Err(JpegFileError::Picture),
        };
        if width == 0 || height == 0 || width.max(height) > LONGEST {
            return Err(JpegFileError::Size);
        }
        Ok(Self { bytes, width, height, grey })
    }

    /// The same from base64 (RFC 4648, section 4).
    ///
    /// # Errors
    /// As [`Self::new`], and for what is no base64.
    pub fn from_base64(text: &str) -> Result<Self, JpegFileError> {
        Self::new(BASE64.decode(text).map_err(|_| JpegFileError::Text)?)
    }

    /// Its bytes.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Across, pixels.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// Down, pixels.
    #[must_use]
    pub fn height(&self) -> usize {
        self.height
    }

    /// Whether it has one colour alone.
    #[must_use]
    pub fn is_grey(&self) -> bool {
        self.grey
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A picture of a size, light at its left, red at its right.
    pub(crate) fn jpeg(width: u32, height: u32) -> Vec<u8> {
        let picture =
            image::RgbImage::from_fn(
                width,
                height,
                |x, _| if x < width / 2 { image::Rgb([240, 236, 220]) } else { image::Rgb([160, 40, 30]) },
            );
        let mut bytes = Vec::new();
        image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 80).encode_image(&picture).unwrap();
        bytes
    }

    #[test]
    fn a_head_is_read_and_what_is_none_is_refused() {
        let file = JpegFile::new(jpeg(60, 40)).unwrap();
        assert_eq!((file.width(), file.height(), file.is_grey()), (60, 40, false));
        assert_eq!(JpegFile::from_base64(&BASE64.encode(jpeg(60, 40))).unwrap(), file);
        let mut grey = Vec::new();
        image::codecs::jpeg::JpegEncoder::new(&mut grey).encode_image(&image::GrayImage::new(8, 8)).unwrap();
        assert!(JpegFile::new(grey).unwrap().is_grey());
        assert_eq!(JpegFile::from_base64("no base64!"), Err(JpegFileError::Text));
        let cut = jpeg(60, 40)[..60].to_vec();
        for bytes in [Vec::new(), b"%PDF-1.7".to_vec(), vec![0xff; 300], cut] {
            assert_eq!(JpegFile::new(bytes), Err(JpegFileError::Picture));
        }
    }
}
