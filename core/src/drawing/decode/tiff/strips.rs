//! Strips of whole rows, pixel by pixel, plain or coded with LZW or Deflate: read one row at a time, however large the strip.

use super::{Facts, Raw, Rows, damaged};
use crate::drawing::DrawingError;
use flate2::read::ZlibDecoder;
use std::io::{ErrorKind, Read};
use weezl::{BitOrder, LzwStatus, decode::Decoder};

/// Whether this is the way to read the file.
pub(super) fn can(facts: &Facts<'_>) -> bool {
    let coding = matches!(facts.compression, 1 | 5 | 8 | 32_946);
    let predictor = facts.predictor == 1 || facts.predictor == 2 && !facts.float && facts.bits >= 8;
    coding && predictor && !facts.tiled && !facts.planar && facts.photometric != super::Photometric::YCbCr
}

pub(super) fn read(facts: &Facts<'_>, rows: &mut Rows<'_, '_>) -> Result<(), DrawingError> {
    let (width, height) = (facts.size.0 as usize, u64::from(facts.size.1));
    let row_bits = width as u64 * facts.samples as u64 * u64::from(facts.bits);
    let row_bytes = usize::try_from(row_bits.div_ceil(8)).map_err(|_| damaged("a row of absurd length"))?;
    if facts.reversed && facts.compression != 1 {
        return Err(super::unsupported("coded bits that run from the low one"));
    }
    let mut row: Vec<u8> = crate::drawing::room(row_bytes as u64).ok_or_else(|| damaged("a row of absurd length"))?;
    row.resize(row_bytes, 0);
    let mut values = Values::default();
    let strips = height.div_ceil(facts.rows_per_strip);
    if (facts.offsets.len() as u64) < strips {
        return Err(damaged("it has too few strips"));
    }
    for (strip, &offset) in (0..strips).zip(&facts.offsets) {
        let count = facts.rows_per_strip.min(height - strip * facts.rows_per_strip);
        let cut = || DrawingError::Truncated { format: "TIFF" };
        let start = usize::try_from(offset).map_err(|_| cut())?;
        let data = facts.bytes.get(start..).filter(|data| !data.is_empty()).ok_or_else(cut)?;
        // How long a strip is some files say wrongly, or not at all; plain rows say it themselves.
        let length = facts.counts.as_ref().and_then(|counts| counts.get(strip as usize)).and_then(|&n| usize::try_from(n).ok());
        let coded = match length {
            Some(length) if length > 0 && facts.compression != 1 => data.get(..length).ok_or_else(cut)?,
            _ => data,
        };
        let mut source = match facts.compression {
            1 => Source::Plain(coded),
            5 => Source::Lzw(Box::new(Decoder::with_tiff_size_switch(BitOrder::Msb, 8)), coded),
            _ => Source::Deflate(Box::new(ZlibDecoder::new(coded))),
        };
        for _ in 0..count {
            source.fill(&mut row)?;
            if facts.reversed {
                row.iter_mut().for_each(|byte| *byte = byte.reverse_bits());
            }
            rows.row(&values.of(&mut row, facts))?;
        }
    }
    Ok(())
}

/// A strip's bytes, unpacked.
enum Source<'a> {
    Plain(&'a [u8]),
    Lzw(Box<Decoder>, &'a [u8]),
    Deflate(Box<ZlibDecoder<&'a [u8]>>),
}

impl Source<'_> {
    /// The next bytes, as many as the buffer holds.
    fn fill(&mut self, row: &mut [u8]) -> Result<(), DrawingError> {
        let cut = DrawingError::Truncated { format: "TIFF" };
        match self {
            Self::Plain(data) => {
                let (now, later) = data.split_at_checked(row.len()).ok_or(cut)?;
                row.copy_from_slice(now);
                *data = later;
            }
            Self::Lzw(decoder, data) => {
                let mut done = 0;
                while done < row.len() {
                    let result = decoder.decode_bytes(data, &mut row[done..]);
                    *data = &data[result.consumed_in..];
                    done += result.consumed_out;
                    match result.status {
                        Err(_) => return Err(damaged("its LZW coding is broken")),
                        Ok(LzwStatus::NoProgress | LzwStatus::Done) if done < row.len() => return Err(cut),
                        Ok(_) => {}
                    }
                }
            }
            Self::Deflate(decoder) => decoder.read_exact(row).map_err(|error| match error.kind() {
                ErrorKind::UnexpectedEof => cut,
                _ => damaged("its Deflate coding is broken"),
            })?,
        }
        Ok(())
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
    /// The row's bytes as values, in the machine's order, differences added up (TIFF 6.0, section 14).
    fn of<'a>(&'a mut self, row: &'a mut [u8], facts: &Facts<'_>) -> Raw<'a> {
        let (samples, little) = (facts.samples, facts.little);
        if facts.float {
            self.floats.clear();
            match facts.bits {
                16 => self.floats.extend(row.chunks_exact(2).map(|b| half(word(b, little)))),
                32 => self.floats.extend(row.chunks_exact(4).map(|b| f32::from_bits(long(b, little)))),
                _ => self.floats.extend(row.chunks_exact(8).map(|b| {
                    let bytes = [0, 1, 2, 3, 4, 5, 6, 7].map(|i| b[i]);
                    (if little { f64::from_le_bytes(bytes) } else { f64::from_be_bytes(bytes) }) as f32
                })),
            }
            return Raw::Floats(&self.floats);
        }
        let differences = facts.predictor == 2;
        match facts.bits {
            16 => {
                self.words.clear();
                self.words.extend(row.chunks_exact(2).map(|b| word(b, little)));
                if differences {
                    for i in samples..self.words.len() {
                        self.words[i] = self.words[i].wrapping_add(self.words[i - samples]);
                    }
                }
                Raw::Words(&self.words)
            }
            32 => {
                self.longs.clear();
                self.longs.extend(row.chunks_exact(4).map(|b| long(b, little)));
                if differences {
                    for i in samples..self.longs.len() {
                        self.longs[i] = self.longs[i].wrapping_add(self.longs[i - samples]);
                    }
                }
                Raw::Longs(&self.longs)
            }
            _ => {
                if differences {
                    for i in samples..row.len() {
                        row[i] = row[i].wrapping_add(row[i - samples]);
                    }
                }
                Raw::Packed(row)
            }
        }
    }
}

fn word(b: &[u8], little: bool) -> u16 {
    if little { u16::from_le_bytes([b[0], b[1]]) } else { u16::from_be_bytes([b[0], b[1]]) }
}

fn long(b: &[u8], little: bool) -> u32 {
    let bytes = [b[0], b[1], b[2], b[3]];
    if little { u32::from_le_bytes(bytes) } else { u32::from_be_bytes(bytes) }
}

/// A float of 16 bits: sign, five bits of exponent, ten of fraction (IEEE 754-2008, binary16).
pub(super) fn half(bits: u16) -> f32 {
    let sign = if bits >> 15 == 1 { -1.0 } else { 1.0 };
    let (exponent, fraction) = (i32::from(bits >> 10 & 31), f32::from(bits & 1023));
    // Powers of two, exact.
    let two = |power: i32| f32::from_bits(((power + 127) as u32) << 23);
    sign * match exponent {
        0 => fraction * two(-24),
        31 if fraction > 0.0 => f32::NAN,
        31 => f32::INFINITY,
        _ => (1.0 + fraction / 1024.0) * two(exponent - 15),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_are_read() {
        // IEEE 754-2008, binary16: 1, -2, the smallest, the largest, infinity; 0.333251953125 for a third.
        let values = [0x3c00, 0xc000, 0x0001, 0x7bff, 0x7c00, 0x3555].map(half);
        assert_eq!(values, [1.0, -2.0, 5.960_464_5e-8, 65_504.0, f32::INFINITY, 0.333_251_95]);
        assert!(half(0x7e00).is_nan());
    }
}
