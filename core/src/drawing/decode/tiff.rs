//! TIFF (6.0, and the larger kind with 64-bit offsets): strips row by row, what is cut into tiles or coded otherwise band by band.

use super::super::directory::Directory;
use super::super::headers::Headers;
use super::super::samples::{Alpha, Depth, Layout, Samples};
use super::super::space::Space;
use super::super::{DrawingError, Found, Reading, format};
use crate::units::MM_PER_INCH;
use image::metadata::Orientation;

mod bands;
mod strips;

/// What the first directory says.
struct Facts<'a> {
    bytes: &'a [u8],
    size: (u32, u32),
    bits: u32,
    samples: usize,
    compression: u64,
    photometric: Photometric,
    /// One plane of values after the other, rather than pixel by pixel.
    planar: bool,
    predictor: u64,
    float: bool,
    /// Bits of a byte run from the low one.
    reversed: bool,
    /// Numbers stand with their low byte first.
    little: bool,
    /// Where the photometric interpretation stands, and its width.
    photometric_place: (usize, usize),
    rows_per_strip: u64,
    tiled: bool,
    offsets: Vec<u64>,
    counts: Option<Vec<u64>>,
    palette: Vec<u16>,
}

/// What values mean, as far as they are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Photometric {
    WhiteIsZero,
    BlackIsZero,
    Rgb,
    Palette,
    Inks,
    YCbCr,
}

pub(in super::super) fn read(bytes: &[u8]) -> Result<Reading, DrawingError> {
    let directory = Directory::first(bytes).ok_or(DrawingError::Truncated { format: "TIFF" })?;
    // Sizes, strips, tiles, resolution, palette, extra channels, profile.
    if directory.cut(&[258, 273, 279, 282, 283, 320, 324, 325, 338, 339, 34_675]) {
        return Err(DrawingError::Truncated { format: "TIFF" });
    }
    let facts = Facts::of(bytes, &directory)?;
    let mut found = facts.found(&directory);
    found.checked()?;
    if let Some(profile) = directory.data(34_675) {
        found.apply(profile);
    } else if facts.float {
        found.space = Space::alike(found.layout.colours, &super::super::space::Curve::Linear);
        found.headers.notes.push("The file's floating-point values are read as light itself, without a gamma.".into());
    } else if found.layout.colours == 4 {
        found.say_inks();
    }
    let mut rows = Rows { reading: Reading::new(found)?, facts: &facts, words: Vec::new(), bytes: Vec::new(), floats: Vec::new() };
    if strips::can(&facts) {
        strips::read(&facts, &mut rows)?;
    } else {
        bands::read(&facts, &mut rows)?;
    }
    Ok(rows.reading)
}

fn unsupported(kind: &str) -> DrawingError {
    DrawingError::Unsupported { format: "TIFF", kind: kind.into() }
}

fn damaged(reason: &str) -> DrawingError {
    DrawingError::Damaged { format: "TIFF", reason: reason.into() }
}

impl<'a> Facts<'a> {
    fn of(bytes: &'a [u8], directory: &Directory<'_>) -> Result<Self, DrawingError> {
        let value = |tag| directory.value(tag);
        let compression = value(259).unwrap_or(1);
        // DNGVersion; colour filter array or its linear kind; a first directory marked as a preview that has others within; makers' codings.
        let raw = value(50_706).is_some()
            || matches!(value(262), Some(32_803 | 34_892))
            || value(254).is_some_and(|kind| kind & 1 == 1) && value(330).is_some()
            || matches!(compression, 32_767 | 32_769 | 32_770 | 34_713 | 34_892 | 65_000 | 65_535);
        if raw {
            let (name, remedy) = format::RAW;
            return Err(DrawingError::Foreign { name, remedy });
        }
        let side = |tag| value(tag).and_then(|n| u32::try_from(n).ok()).filter(|&n| n > 0);
        let (Some(width), Some(height)) = (side(256), side(257)) else { return Err(damaged("it has no size")) };
        let samples = usize::try_from(value(277).unwrap_or(1)).unwrap_or(usize::MAX);
        if !(1..=64).contains(&samples) {
            return Err(unsupported("more than 64 values a pixel"));
        }
        let bits = directory.values(258).unwrap_or_else(|| vec![1]);
        let alike = bits.iter().all(|b| bits.first() == Some(b));
        let bits = bits.first().copied().unwrap_or(1);
        let photometric = match value(262) {
            Some(0) => Photometric::WhiteIsZero,
            Some(1) => Photometric::BlackIsZero,
            Some(2) if samples >= 3 => Photometric::Rgb,
            Some(3) => Photometric::Palette,
            Some(5) if samples >= 4 && value(332).unwrap_or(1) == 1 => Photometric::Inks,
            Some(5) => return Err(unsupported("inks other than the usual four")),
            Some(6) if samples >= 3 && compression == 7 => Photometric::YCbCr,
            Some(6) => return Err(unsupported("a photograph in YCbCr without JPEG coding")),
            Some(8..=10) => return Err(unsupported("Lab colours")),
            Some(2) => return Err(damaged("too few colours")),
            _ => return Err(unsupported("values of a meaning of its own")),
        };
        let float = match value(339).unwrap_or(1) {
            1 | 4 => false,
            3 => true,
            2 => return Err(unsupported("signed values")),
            _ => return Err(unsupported("values of a kind of its own")),
        };
        let depths: &[u64] = if float { &[16, 32, 64] } else { &[1, 2, 4, 8, 16, 32] };
        if !alike || !depths.contains(&bits) {
            return Err(unsupported(&format!("{bits} bits a value")));
        }
        let bits = bits as u32;
        let palette = if photometric == Photometric::Palette {
            let palette: Vec<u16> = directory.values(320).unwrap_or_default().iter().map(|&v| v.min(65_535) as u16).collect();
            if float || bits > 16 || palette.len() < 3 << bits {
                return Err(damaged("its palette is not there"));
            }
            // Words are wanted, 65535 for white; many writers have only bytes, and put them high or even low.
            if palette.iter().all(|&v| v < 256) {
                palette.iter().map(|&v| v * 257).collect()
            } else if palette.iter().all(|&v| v & 0xff == 0) {
                palette.iter().map(|&v| v | v >> 8).collect()
            } else {
                palette
            }
        } else {
            Vec::new()
        };
        let tiled = value(322).is_some();
        let lost = || damaged("where its parts stand is lost");
        Ok(Self {
            bytes,
            size: (width, height),
            bits,
            samples,
            compression,
            photometric,
            planar: value(284) == Some(2) && samples > 1,
            predictor: value(317).unwrap_or(1),
            float,
            reversed: value(266) == Some(2),
            little: directory.little(),
            photometric_place: directory.place(262).ok_or_else(lost)?,
            rows_per_strip: value(278).unwrap_or(u64::from(height)).min(u64::from(height)).max(1),
            tiled,
            offsets: directory.values(if tiled { 324 } else { 273 }).ok_or_else(lost)?,
            counts: directory.values(if tiled { 325 } else { 279 }),
            palette,
        })
    }

    /// What the picture is, as far as the directory says.
    fn found(&self, directory: &Directory<'_>) -> Found {
        let value = |tag| directory.value(tag);
        let mut headers = Headers::default();
        let mm = match value(296).unwrap_or(2) {
            2 => Some(MM_PER_INCH),
            3 => Some(10.0),
            _ => None,
        };
        headers.density = mm.and_then(|mm| Some((directory.ratio(282)? / mm, directory.ratio(283)? / mm)));
        if directory.next() {
            headers.notes.push("The file holds several pictures; the first is used.".into());
        }
        let colours = match self.photometric {
            Photometric::WhiteIsZero | Photometric::BlackIsZero => 1,
            Photometric::Rgb | Photometric::Palette | Photometric::YCbCr => 3,
            Photometric::Inks => 4,
        };
        let palette = self.photometric == Photometric::Palette;
        let alpha = match value(338).filter(|_| self.samples > colours && !palette) {
            // TIFF 6.0, section 18.
            Some(1) => Some(Alpha::Associated),
            Some(2) => Some(Alpha::Apart),
            _ => None,
        };
        if self.samples > colours + usize::from(alpha.is_some()) && !palette {
            headers.notes.push("The file holds channels beside its picture; they are left out.".into());
        }
        let depth = match (self.float, self.bits) {
            (true, _) => Depth::Floats,
            (_, 16 | 32) => Depth::Words,
            _ if palette => Depth::Words,
            _ => Depth::Bytes,
        };
        let layout = Layout { depth, samples: if palette { 3 } else { self.samples }, colours, alpha };
        let orientation = value(274).and_then(|v| Orientation::from_exif(v.min(255) as u8)).unwrap_or(Orientation::NoTransforms);
        Found { format: "TIFF", size: self.size, layout, orientation, headers, space: Space::srgb(colours) }
    }
}

/// Values of one row as they stand in the file, or as the decoder gives them.
enum Raw<'a> {
    /// Packed bits of 1, 2 or 4, or bytes.
    Packed(&'a [u8]),
    /// The same, one value a byte.
    Values(&'a [u8]),
    Words(&'a [u16]),
    /// 32 bits, whole numbers.
    Longs(&'a [u32]),
    Floats(&'a [f32]),
}

/// Takes rows of values, makes samples of them and hands them on.
struct Rows<'a, 'f> {
    reading: Reading,
    facts: &'a Facts<'f>,
    bytes: Vec<u8>,
    words: Vec<u16>,
    floats: Vec<f32>,
}

impl Rows<'_, '_> {
    fn row(&mut self, raw: &Raw<'_>) -> Result<(), DrawingError> {
        let facts = self.facts;
        let count = facts.size.0 as usize * facts.samples;
        match raw {
            Raw::Packed(row) | Raw::Values(row) => {
                self.bytes.clear();
                if matches!(raw, Raw::Values(_)) {
                    self.bytes.extend(row.iter().take(count));
                } else {
                    unpack(row, facts.bits, count, &mut self.bytes);
                }
                if facts.photometric == Photometric::Palette {
                    self.words.clear();
                    let entries = facts.palette.len() / 3;
                    for &index in self.bytes.iter().step_by(facts.samples) {
                        let entry = |plane: usize| facts.palette.get(plane * entries + usize::from(index)).copied().unwrap_or(0);
                        self.words.extend([entry(0), entry(1), entry(2)]);
                    }
                    return self.reading.row(Samples::Words(&self.words));
                }
                // 1 of 1 bit, 3 of 2 and 15 of 4 are 255.
                let scale = match facts.bits {
                    1 => 255,
                    2 => 85,
                    4 => 17,
                    _ => 1,
                };
                match facts.photometric {
                    Photometric::WhiteIsZero => self.bytes.iter_mut().for_each(|v| *v = 255 - *v * scale),
                    Photometric::YCbCr => {
                        for pixel in self.bytes.chunks_exact_mut(facts.samples) {
                            let rgb = super::rgb_of_ycc([pixel[0], pixel[1], pixel[2]]);
                            pixel[..3].copy_from_slice(&rgb);
                        }
                    }
                    _ if scale > 1 => self.bytes.iter_mut().for_each(|v| *v *= scale),
                    _ => {}
                }
                self.reading.row(Samples::Bytes(&self.bytes))
            }
            Raw::Words(row) => {
                if facts.photometric == Photometric::Palette {
                    let entries = facts.palette.len() / 3;
                    let words = row.iter().step_by(facts.samples).flat_map(|&index| {
                        [0, 1, 2].map(|plane| facts.palette.get(plane * entries + usize::from(index)).copied().unwrap_or(0))
                    });
                    self.words.clear();
                    self.words.extend(words);
                    return self.reading.row(Samples::Words(&self.words));
                }
                if facts.photometric == Photometric::WhiteIsZero {
                    self.words.clear();
                    self.words.extend(row.iter().map(|v| 65_535 - v));
                    return self.reading.row(Samples::Words(&self.words));
                }
                self.reading.row(Samples::Words(row))
            }
            Raw::Longs(row) => {
                self.words.clear();
                let turn = if facts.photometric == Photometric::WhiteIsZero { u16::MAX } else { 0 };
                self.words.extend(row.iter().map(|v| (v >> 16) as u16 ^ turn));
                self.reading.row(Samples::Words(&self.words))
            }
            Raw::Floats(row) => {
                // A little beyond black and white is the arithmetic of whoever wrote it.
                if let Some(value) = row.iter().find(|v| !(-0.01..=1.01).contains(*v)) {
                    return Err(DrawingError::OutOfRange { value: format!("{value}") });
                }
                if facts.photometric == Photometric::WhiteIsZero {
                    self.floats.clear();
                    self.floats.extend(row.iter().map(|v| 1.0 - v));
                    return self.reading.row(Samples::Floats(&self.floats));
                }
                self.reading.row(Samples::Floats(row))
            }
        }
    }
}

/// Values of 1, 2, 4 or 8 bits, the high bits of a byte first.
fn unpack(row: &[u8], bits: u32, count: usize, out: &mut Vec<u8>) {
    if bits >= 8 {
        out.extend(row.iter().take(count));
        return;
    }
    let mask = (1u8 << bits) - 1;
    let values = row.iter().flat_map(|byte| (0..8 / bits).rev().map(move |i| byte >> (i * bits) & mask));
    out.extend(values.take(count));
}
