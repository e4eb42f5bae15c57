//! Colour profiles (ICC.1:2022, also versions 2): the parts that say what a picture's values look like.
//!
//! Read are grey curves, curves and a matrix, and the tables `mft1`, `mft2` and `mAB `; relative to the paper, as one looks at a drawing.
//! Every reader takes any bytes at all: what lies outside the profile reads as absent, and a profile that makes no sense as none.

use super::lut::{Connection, Lut, points, srgb_of_connection};
use super::space::{Curve, D50, Space, to_srgb};

/// Largest grid of a table, values: a profile of 17 points for four inks has a quarter of a million.
const MOST_GRID: usize = 4_000_000;

/// What a profile says about values, and whether it is for grey, RGB or four inks; `None` where it can't be read.
pub(super) fn space(profile: &[u8]) -> Option<Space> {
    let profile = Profile { bytes: profile };
    let tables = || [b"A2B1", b"A2B0"].into_iter().find_map(|name| profile.table(name));
    let space = match profile.bytes.get(16..20)? {
        b"GRAY" => {
            let curve = profile.curve(profile.tag(b"kTRC")?)?.0;
            Space::Grey(if profile.bytes.get(20..24)? == b"Lab " { Curve::Lightness(Box::new(curve)) } else { curve })
        }
        b"RGB " => match tables() {
            Some(lut) if lut.inputs() == 3 => Space::Table(Box::new(lut)),
            _ => {
                let curve = |name| profile.tag(name).and_then(|tag| profile.curve(tag)).map(|(curve, _)| curve);
                let curves = [curve(b"rTRC")?, curve(b"gTRC")?, curve(b"bTRC")?];
                let [r, g, b] = [profile.xyz(b"rXYZ")?, profile.xyz(b"gXYZ")?, profile.xyz(b"bXYZ")?];
                let matrix = to_srgb(&[0, 1, 2].map(|i| [r[i], g[i], b[i]]), D50)?;
                Space::Rgb { curves, matrix: Some(matrix) }
            }
        },
        b"CMYK" => Space::Table(Box::new(tables().filter(|lut| lut.inputs() == 4)?)),
        _ => return None,
    };
    Some(space.plain())
}

struct Profile<'a> {
    bytes: &'a [u8],
}

/// A tag's first byte and its length.
type Place = (usize, usize);

impl Profile<'_> {
    fn be16(&self, at: usize) -> Option<u16> {
        Some(u16::from_be_bytes(self.bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
    }

    fn be32(&self, at: usize) -> Option<usize> {
        let bytes = self.bytes.get(at..at.checked_add(4)?)?;
        usize::try_from(u32::from_be_bytes(bytes.try_into().ok()?)).ok()
    }

    /// A signed number with sixteen bits behind the point.
    fn fixed(&self, at: usize) -> Option<f64> {
        let bytes = self.bytes.get(at..at.checked_add(4)?)?;
        Some(f64::from(i32::from_be_bytes(bytes.try_into().ok()?)) / 65_536.0)
    }

    fn fixeds<const N: usize>(&self, at: usize) -> Option<[f64; N]> {
        let mut values = [0.0; N];
        for (i, value) in values.iter_mut().enumerate() {
            *value = self.fixed(at.checked_add(4 * i)?)?;
        }
        Some(values)
    }

    /// Where a tag's data stands.
    fn tag(&self, name: &[u8; 4]) -> Option<Place> {
        let count = self.be32(128)?.min(200);
        (0..count).map(|i| 132 + 12 * i).find(|&at| self.bytes.get(at..at + 4) == Some(name)).and_then(|at| {
            let (start, length) = (self.be32(at + 4)?, self.be32(at + 8)?);
            (start.checked_add(length)? <= self.bytes.len() && length >= 8).then_some((start, length))
        })
    }

    fn kind(&self, at: usize) -> Option<&[u8]> {
        self.bytes.get(at..at.checked_add(4)?)
    }

    fn xyz(&self, name: &[u8; 4]) -> Option<[f64; 3]> {
        let (at, _) = self.tag(name)?;
        (self.kind(at)? == b"XYZ ").then(|| self.fixeds(at + 8))?
    }

    /// A curve, and how many bytes it takes.
    fn curve(&self, (at, _): Place) -> Option<(Curve, usize)> {
        match self.kind(at)? {
            b"curv" => {
                let count = self.be32(at + 8)?;
                let curve = match count {
                    0 => Curve::Linear,
                    1 => Curve::Power(f64::from(self.be16(at + 12)?) / 256.0),
                    2..=65_536 => points(self.words(at + 12, count)?),
                    _ => return None,
                };
                Some((curve, 12 + 2 * count))
            }
            b"para" => {
                let kind = self.be16(at + 8)?;
                let from = at + 12;
                // ICC.1:2022, table 68, each written as the last of them: g a b c d e f.
                let (curve, count) = match kind {
                    0 => (Curve::Power(self.fixed(from)?), 1),
                    1 => {
                        let [g, a, b] = self.fixeds(from)?;
                        (Curve::Parts(Box::new([g, a, b, 0.0, -b / a, 0.0, 0.0])), 3)
                    }
                    2 => {
                        let [g, a, b, c] = self.fixeds(from)?;
                        (Curve::Parts(Box::new([g, a, b, 0.0, -b / a, c, c])), 4)
                    }
                    3 => {
                        let [g, a, b, c, d] = self.fixeds(from)?;
                        (Curve::Parts(Box::new([g, a, b, c, d, 0.0, 0.0])), 5)
                    }
                    4 => (Curve::Parts(Box::new(self.fixeds(from)?)), 7),
                    _ => return None,
                };
                Some((curve, 12 + 4 * count))
            }
            _ => None,
        }
    }

    fn words(&self, at: usize, count: usize) -> Option<Vec<u16>> {
        let bytes = self.bytes.get(at..at.checked_add(count.checked_mul(2)?)?)?;
        Some(bytes.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect())
    }

    /// Bytes as words: 255 is 65535.
    fn widened(&self, at: usize, count: usize) -> Option<Vec<u16>> {
        Some(self.bytes.get(at..at.checked_add(count)?)?.iter().map(|&b| u16::from(b) * 257).collect())
    }

    fn table(&self, name: &[u8; 4]) -> Option<Lut> {
        let (at, _) = self.tag(name)?;
        let wide = match self.kind(at)? {
            b"mft1" => false,
            b"mft2" => true,
            b"mAB " => return self.multidimensional(at),
            _ => return None,
        };
        let connection = match (self.bytes.get(20..24)?, wide) {
            (b"Lab ", true) => Connection::OldLab,
            (b"Lab ", false) => Connection::Lab,
            (b"XYZ ", _) => Connection::Xyz,
            _ => return None,
        };
        let &[inputs, outputs, side] = self.bytes.get(at + 8..at + 11)? else { return None };
        let (inputs, side) = (usize::from(inputs), usize::from(side));
        if outputs != 3 || !(3..=4).contains(&inputs) || side < 2 {
            return None;
        }
        // The matrix before the tables is only for inputs that are XYZ themselves.
        let (before, after, mut from) =
            if wide { (usize::from(self.be16(at + 48)?), usize::from(self.be16(at + 50)?), at + 52) } else { (256, 256, at + 48) };
        if before < 2 || after < 2 {
            return None;
        }
        let mut next = |count: usize| {
            let values = if wide { self.words(from, count) } else { self.widened(from, count) };
            from += if wide { 2 * count } else { count };
            values
        };
        let first = (0..inputs).map(|_| next(before).map(points)).collect::<Option<Vec<_>>>()?;
        let size = grid_size(&vec![side; inputs])?;
        let grid = next(size)?;
        let second = Some([points(next(after)?), points(next(after)?), points(next(after)?)]);
        Some(Lut { first, points: vec![side; inputs], grid, second, matrix: None, third: None, connection, to_srgb: srgb_of_connection() })
    }

    /// `mAB `: A curves, grid, M curves, matrix, B curves, of which only the last must be there (ICC.1:2022, 10.12).
    fn multidimensional(&self, at: usize) -> Option<Lut> {
        let connection = match self.bytes.get(20..24)? {
            b"Lab " => Connection::Lab,
            b"XYZ " => Connection::Xyz,
            _ => return None,
        };
        let &[inputs, outputs] = self.bytes.get(at + 8..at + 10)? else { return None };
        let inputs = usize::from(inputs);
        if outputs != 3 || !(3..=4).contains(&inputs) {
            return None;
        }
        let offset = |i: usize| self.be32(at + 12 + 4 * i);
        let place = |i: usize| Some(offset(i)?).filter(|&o| o > 0).map(|o| at.saturating_add(o));
        let (b, matrix, m, grid, a) = (place(0)?, place(1), place(2), place(3), place(4));
        let matrix = match matrix {
            Some(at) => {
                let rows: [f64; 9] = self.fixeds(at)?;
                Some(([0, 1, 2].map(|i| [rows[3 * i], rows[3 * i + 1], rows[3 * i + 2]]), self.fixeds(at.checked_add(36)?)?))
            }
            None => None,
        };
        let three = |at| self.curves(at, 3).and_then(|curves| <[Curve; 3]>::try_from(curves).ok());
        let second = match m {
            Some(at) => Some(three(at)?),
            None => None,
        };
        let third = Some(three(b)?);
        let (first, points, grid) = match (a, grid) {
            (Some(a), Some(at)) => {
                let points: Vec<usize> = self.bytes.get(at..at.checked_add(inputs)?)?.iter().map(|&n| usize::from(n)).collect();
                let size = grid_size(&points)?;
                let data = at.checked_add(20)?;
                let grid = if self.bytes.get(at.checked_add(16)?) == Some(&1) { self.widened(data, size) } else { self.words(data, size) };
                (self.curves(a, inputs)?, points, grid?)
            }
            (None, None) if inputs == 3 => (vec![Curve::Linear; 3], Vec::new(), Vec::new()),
            _ => return None,
        };
        Some(Lut { first, points, grid, second, matrix, third, connection, to_srgb: srgb_of_connection() })
    }

    /// Curves one behind the other, each at a multiple of four.
    fn curves(&self, mut at: usize, count: usize) -> Option<Vec<Curve>> {
        let mut curves = Vec::with_capacity(count);
        for _ in 0..count {
            let (curve, length) = self.curve((at, 0))?;
            curves.push(curve);
            at = at.checked_add(length.next_multiple_of(4))?;
        }
        Some(curves)
    }
}

/// Values of a grid of three outputs; `None` where it is too fine, or has a side without a step.
fn grid_size(points: &[usize]) -> Option<usize> {
    let size = points.iter().try_fold(3usize, |size, &side| size.checked_mul(side).filter(|_| side >= 2))?;
    (size <= MOST_GRID).then_some(size)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_bytes_are_read_without_a_panic(
            body in proptest::collection::vec(any::<u8>(), 0..700),
            kind in 0usize..4, connection in 0usize..2, name in 0usize..5,
        ) {
            let mut file = vec![0u8; 128];
            file[16..20].copy_from_slice([b"GRAY", b"RGB ", b"CMYK", b"Lab "][kind]);
            file[20..24].copy_from_slice([b"XYZ ", b"Lab "][connection]);
            file.extend(1u32.to_be_bytes());
            file.extend([b"A2B0", b"A2B1", b"kTRC", b"rTRC", b"rXYZ"][name]);
            file.extend(144u32.to_be_bytes());
            file.extend((body.len() as u32).to_be_bytes());
            for start in [b"mft1", b"mft2", b"mAB ", b"curv", b"para"] {
                let mut file = file.clone();
                file.extend(start);
                file.extend(&body);
                let _ = space(&file);
            }
        }
    }
}
