//! Samples: a row as a decoder gives it, to linear light over paper white.

use super::space::{Matrix, Space};
use crate::light::{LUMINANCE_WEIGHTS, Reflectance};

/// The samples of one row, pixel by pixel.
#[derive(Clone, Copy, Debug)]
pub(super) enum Samples<'a> {
    /// 0 to 255.
    Bytes(&'a [u8]),
    /// 0 to 65535.
    Words(&'a [u16]),
    /// 0 to 1; what lies outside is clipped.
    Floats(&'a [f32]),
}

/// What kind of samples a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Depth {
    Bytes,
    Words,
    Floats,
}

/// How the samples of one pixel are laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Layout {
    pub(super) depth: Depth,
    /// Samples a pixel, of which the first are the colours.
    pub(super) samples: usize,
    /// 1 grey, 3 colours or 4 inks.
    pub(super) colours: usize,
    /// Whether an alpha follows the colours, and whether the colours are already multiplied by it.
    pub(super) alpha: Option<Alpha>,
}

/// How colours stand to their alpha.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Alpha {
    Apart,
    /// TIFF 6.0, section 18.
    Associated,
}

/// One sample: a byte, a word or a float.
trait Sample: Copy + PartialEq {
    /// Its linear light by a curve's table.
    fn light(self, table: &[f32]) -> f32;
    /// Itself within 0..=1.
    fn share(self) -> f32;
    /// Freed from the alpha it was multiplied by.
    fn freed(self, alpha: Self) -> Self;
}

macro_rules! whole_sample {
    ($kind:ty) => {
        impl Sample for $kind {
            fn light(self, table: &[f32]) -> f32 {
                table[usize::from(self)]
            }

            fn share(self) -> f32 {
                f32::from(self) / f32::from(<$kind>::MAX)
            }

            fn freed(self, alpha: Self) -> Self {
                let most = u64::from(<$kind>::MAX);
                if alpha == 0 { self } else { (u64::from(self) * most / u64::from(alpha)).min(most) as Self }
            }
        }
    };
}
whole_sample!(u8);
whole_sample!(u16);

impl Sample for f32 {
    fn light(self, table: &[f32]) -> f32 {
        let last = table.len() - 1;
        let at = self.share() * last as f32;
        let i = (at as usize).min(last - 1);
        table[i] + (table[i + 1] - table[i]) * (at - i as f32)
    }

    fn share(self) -> f32 {
        self.clamp(0.0, 1.0)
    }

    fn freed(self, alpha: Self) -> Self {
        if alpha > 0.0 { self / alpha } else { self }
    }
}

/// Turns rows of samples into light.
pub(super) struct Converter {
    layout: Layout,
    space: Space,
    /// Light of each value, for grey one, for colours three (one serves all when they are alike), for inks that of encoded values.
    tables: Vec<Vec<f32>>,
    matrix: Option<[[f32; 3]; 3]>,
}

impl Converter {
    /// `space` must have the layout's number of colours, or be of grey or RGB where the layout is of the other: grey is then red, green and
    /// blue alike, and a grey curve serves all three.
    pub(super) fn new(layout: Layout, space: Space) -> Self {
        let most = if layout.depth == Depth::Bytes { 255 } else { 65_535 };
        let (tables, matrix) = match &space {
            Space::Grey(curve) => (vec![curve.table(most)], None),
            Space::Rgb { curves: [r, g, b], matrix } => {
                let alike = layout.colours == 1 || (r == g && g == b);
                let tables = if alike { vec![g.table(most)] } else { [r, g, b].map(|curve| curve.table(most)).into() };
                (tables, matrix.filter(|_| layout.colours == 3).map(|matrix: Matrix| matrix.map(|row| row.map(|v| v as f32))))
            }
            Space::Table(_) => (Vec::new(), None),
            Space::Inks => (vec![super::space::Curve::Srgb.table(65_535)], None),
        };
        Self { layout, space, tables, matrix }
    }

    /// Whether rows become one value a pixel; else they become three.
    pub(super) fn is_grey(&self) -> bool {
        self.layout.colours == 1
    }

    /// A row of grey.
    pub(super) fn grey(&self, row: Samples<'_>, out: &mut Vec<f32>) {
        out.clear();
        match row {
            Samples::Bytes(row) => self.greys(row, out),
            Samples::Words(row) => self.greys(row, out),
            Samples::Floats(row) => self.greys(row, out),
        }
    }

    /// A row of colours, linear sRGB; what no sRGB colour can be lies outside 0..=1.
    pub(super) fn colours(&self, row: Samples<'_>, out: &mut Vec<[f32; 3]>) {
        out.clear();
        match row {
            Samples::Bytes(row) => self.rgb(row, out),
            Samples::Words(row) => self.rgb(row, out),
            Samples::Floats(row) => self.rgb(row, out),
        }
    }

    fn greys<T: Sample>(&self, row: &[T], out: &mut Vec<f32>) {
        let Some(table) = self.tables.first() else { return };
        match self.layout.alpha {
            None => out.extend(row.chunks_exact(self.layout.samples).map(|pixel| pixel[0].light(table))),
            Some(kind) => out.extend(row.chunks_exact(self.layout.samples).map(|pixel| {
                let (v, alpha) = (pixel[0], pixel[1]);
                let y = if kind == Alpha::Associated { v.freed(alpha) } else { v }.light(table);
                over_white(y, alpha.share())
            })),
        }
    }

    fn rgb<T: Sample>(&self, row: &[T], out: &mut Vec<[f32; 3]>) {
        let pixels = row.chunks_exact(self.layout.samples);
        let laid = |pixel: &[T], light: &dyn Fn([T; 3]) -> [f32; 3]| {
            let colours = [pixel[0], pixel[1], pixel[2]];
            match self.layout.alpha {
                None => light(colours),
                Some(kind) => {
                    let alpha = pixel[3];
                    let colours = if kind == Alpha::Associated { colours.map(|v| v.freed(alpha)) } else { colours };
                    light(colours).map(|y| over_white(y, alpha.share()))
                }
            }
        };
        match (&self.space, &self.tables[..]) {
            (Space::Table(lut), _) => {
                let inputs = lut.inputs();
                let mut last: Option<(Vec<T>, [f32; 3])> = None;
                out.extend(pixels.map(|pixel| {
                    // Neighbours are often alike, and a table is slow.
                    if let Some((_, light)) = last.as_ref().filter(|(before, _)| before[..] == *pixel) {
                        return *light;
                    }
                    let mut values = [0.0; 4];
                    let alpha = self.layout.alpha.map(|kind| (kind, pixel[inputs]));
                    for (value, &sample) in values.iter_mut().zip(&pixel[..inputs]) {
                        *value = match alpha {
                            Some((Alpha::Associated, alpha)) => f64::from(sample.freed(alpha).share()),
                            _ => f64::from(sample.share()),
                        };
                    }
                    let light = lut.light(&values);
                    let light = if let Some((_, alpha)) = alpha { light.map(|y| over_white(y, alpha.share())) } else { light };
                    last = Some((pixel.to_vec(), light));
                    light
                }));
            }
            (Space::Inks, [table]) => out.extend(pixels.map(|pixel| {
                let black = 1.0 - pixel[3].share();
                let light = [0, 1, 2].map(|i| ((1.0 - pixel[i].share()) * black).light(table));
                let alpha = self.layout.alpha.and_then(|_| pixel.get(4));
                alpha.map_or(light, |alpha| light.map(|y| over_white(y, alpha.share())))
            })),
            (_, [table]) => match (self.layout.alpha, self.matrix) {
                (None, None) => out.extend(pixels.map(|pixel| [0, 1, 2].map(|i| pixel[i].light(table)))),
                (_, matrix) => out.extend(pixels.map(|pixel| laid(pixel, &|c| turned(c.map(|v| v.light(table)), matrix.as_ref())))),
            },
            (_, [r, g, b]) => {
                let matrix = self.matrix.as_ref();
                out.extend(pixels.map(|pixel| laid(pixel, &|c| turned([c[0].light(r), c[1].light(g), c[2].light(b)], matrix))));
            }
            _ => {}
        }
    }
}

/// A colour of so much opacity over paper white, in linear light.
fn over_white(y: f32, opacity: f32) -> f32 {
    if opacity >= 1.0 { y } else { 1.0 + opacity * (y - 1.0) }
}

/// Through a matrix whose rows add up to 1. Written round green: grey stays exactly the grey it was.
fn turned([r, g, b]: [f32; 3], matrix: Option<&[[f32; 3]; 3]>) -> [f32; 3] {
    match matrix {
        Some(m) => m.map(|[to_r, _, to_b]| g + to_r * (r - g) + to_b * (b - g)),
        None => [r, g, b],
    }
}

/// Luminance of linear sRGB, clipped. Written round green, whose weight is what the other two leave of 1: grey gives exactly the grey's value.
pub(super) fn luminance([r, g, b]: [f32; 3]) -> f32 {
    let [red, _, blue] = LUMINANCE_WEIGHTS.map(|weight| weight as f32);
    (g + red * (r - g) + blue * (b - g)).clamp(0.0, 1.0)
}

/// Encodes linear light as 16-bit sRGB by a table: the exact value for each of the 65 536 it decodes to.
pub(super) struct Encoder {
    steps: Vec<f32>,
}

impl Encoder {
    /// Steps over the fourth root of the light, along which the encoded value is nearly straight.
    const STEPS: usize = 8192;

    pub(super) fn new() -> Self {
        let value = |i: usize| {
            let root = i as f64 / Self::STEPS as f64;
            (Reflectance(root * root * root * root).encoded().0 * 65_535.0) as f32
        };
        Self { steps: (0..=Self::STEPS + 1).map(value).collect() }
    }

    /// The encoded value of linear light; what lies outside 0..=1 is clipped.
    pub(super) fn encoded(&self, light: f32) -> u16 {
        let at = light.clamp(0.0, 1.0).sqrt().sqrt() * Self::STEPS as f32;
        let i = at as usize;
        let low = self.steps[i];
        (low + (self.steps[i + 1] - low) * (at - i as f32) + 0.5) as u16
    }
}

#[cfg(test)]
mod tests {
    use super::super::space::Curve;
    use super::*;

    #[test]
    fn every_word_is_decoded_and_encoded_to_itself() {
        let (table, encoder) = (Curve::Srgb.table(65_535), Encoder::new());
        for v in 0..=u16::MAX {
            assert_eq!(encoder.encoded(table[usize::from(v)]), v);
        }
        assert_eq!((encoder.encoded(f32::NAN), encoder.encoded(-1.0), encoder.encoded(7.0)), (0, 0, 65_535));
    }

    #[test]
    fn grey_stays_grey_through_a_matrix() {
        let m = [[0.7, 0.2, 0.1], [0.1, 0.8, 0.1], [-0.1, 0.2, 0.9]];
        let grey = 0.123_456_7;
        assert_eq!(turned([grey; 3], Some(&m)), [grey; 3]);
        assert_eq!(luminance([grey; 3]), grey);
    }
}
