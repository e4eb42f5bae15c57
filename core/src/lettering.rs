//! Lettering in pixels: lines of the page's own type family as ink coverage, for words that belong into a picture.

use crate::plane::Plane;
use crate::type_face::TypeFace;
use kurbo::{BezPath, PathEl, Point};
use ttf_parser::{GlyphId, OutlineBuilder};

/// Scan lines a pixel; along a line coverage is exact.
const SCANS: usize = 5;

/// Coverage by ink, 0..=255, of lines set at `size` pixels, each `leading` pixels below the one before, in a picture as wide as asked for.
/// The first line's top is at the picture's top; letters beyond the right end are cut off. Without lines it is one row of nothing.
#[must_use]
pub fn lines(face: &TypeFace, lines: &[String], size: f64, leading: f64, width: usize) -> Plane<u8> {
    let height = (libm::ceil(leading * lines.len() as f64) as usize).max(1);
    let mut sums = Plane::filled(width.max(1), height, 0.0f32);
    let units = f64::from(face.tables().units_per_em());
    let rise = f64::from(face.tables().ascender()) / units * size;
    for (row, line) in lines.iter().enumerate() {
        let mut x = 0.0;
        for letter in line.chars() {
            let glyph = face.glyph_or_box(letter);
            let mut outline = Outline { path: BezPath::new(), x, y: row as f64 * leading + rise, scale: size / units };
            if face.tables().outline_glyph(GlyphId(glyph), &mut outline).is_some() {
                fill(&mut sums, &outline.path);
            }
            x += face.advance(glyph) / 1000.0 * size;
        }
    }
    sums.map(|sum| (sum.min(1.0) * 255.0 + 0.5) as u8)
}

/// A glyph's outline in pixels, y down.
struct Outline {
    path: BezPath,
    x: f64,
    y: f64,
    scale: f64,
}

impl Outline {
    fn at(&self, x: f32, y: f32) -> Point {
        Point::new(self.x + f64::from(x) * self.scale, self.y - f64::from(y) * self.scale)
    }
}

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.at(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.at(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.path.quad_to(self.at(x1, y1), self.at(x, y));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.path.curve_to(self.at(x1, y1), self.at(x2, y2), self.at(x, y));
    }

    fn close(&mut self) {
        self.path.close_path();
    }
}

/// Adds what a closed outline covers, by the winding rule that is not zero.
fn fill(sums: &mut Plane<f32>, path: &BezPath) {
    let mut sides: Vec<(Point, Point)> = Vec::new();
    let (mut begun, mut last) = (Point::ZERO, Point::ZERO);
    kurbo::flatten(path, 0.05, |element| match element {
        PathEl::MoveTo(to) => (begun, last) = (to, to),
        PathEl::LineTo(to) => {
            sides.push((last, to));
            last = to;
        }
        _ => {
            sides.push((last, begun));
            last = begun;
        }
    });
    let (width, height) = (sums.width(), sums.height());
    let edge = |of: fn(f64, f64) -> f64, start: f64| sides.iter().fold(start, |found, (a, b)| of(found, of(a.y, b.y)));
    let first = libm::floor(edge(f64::min, height as f64)).max(0.0) as usize * SCANS;
    let end = (libm::ceil(edge(f64::max, 0.0)).clamp(0.0, height as f64)) as usize * SCANS;
    let mut crossings: Vec<(f64, i32)> = Vec::new();
    for scan in first..end {
        let y = (scan as f64 + 0.5) / SCANS as f64;
        crossings.clear();
        for (a, b) in &sides {
            if (a.y <= y) != (b.y <= y) {
                crossings.push((a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x), if b.y > a.y { 1 } else { -1 }));
            }
        }
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let row = &mut sums.data_mut()[scan / SCANS * width..][..width];
        let mut winding = 0;
        for pair in crossings.windows(2) {
            winding += pair[0].1;
            if winding != 0 {
                stretch(row, pair[0].0.clamp(0.0, width as f64), pair[1].0.clamp(0.0, width as f64));
            }
        }
    }
}

/// Adds a stretch of one scan line.
fn stretch(row: &mut [f32], from: f64, to: f64) {
    for (x, sum) in row.iter_mut().enumerate().take(libm::ceil(to) as usize).skip(from as usize) {
        let covered = to.min(x as f64 + 1.0) - from.max(x as f64);
        *sum += (covered.max(0.0) / SCANS as f64) as f32;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::type_face::Weight;

    #[test]
    fn twice_the_size_is_four_times_the_ink() {
        let face = TypeFace::of(Weight::Regular);
        let ink = |size: f64| -> f64 {
            let text = ["Hamburg 10 % é".to_owned()];
            lines(face, &text, size, size * 1.4, (size * 12.0) as usize).data().iter().map(|&byte| f64::from(byte)).sum()
        };
        approx::assert_relative_eq!(ink(40.0), 4.0 * ink(20.0), max_relative = 0.02);
        assert!(ink(20.0) > 0.0);
    }

    #[test]
    fn nothing_to_say_is_nothing() {
        let face = TypeFace::of(Weight::Regular);
        assert!(lines(face, &[], 10.0, 12.0, 20).data().iter().all(|&byte| byte == 0));
        let cut = lines(face, &["much longer than the picture is wide".to_owned()], 20.0, 24.0, 15);
        assert_eq!((cut.width(), cut.height()), (15, 24));
    }
}
