//! One axis of the resampling: which pixels of the drawing make a pixel of the face, and how much each counts.

use crate::plane::Plane;
use std::ops::Range;

/// Overlaps smaller than this share of a drawing pixel are rounding, not picture.
const NOTHING: f64 = 1e-9;

/// One axis, for the pixels of the face that are drawing.
///
/// # Guarantees
/// At least one pixel; every weight belongs to a pixel of the drawing; a pixel's weights sum to 1 within rounding.
pub(super) struct Axis {
    first: usize,
    reach: Range<usize>,
    kind: Kind,
}

/// One side of the drawing and where it lies.
#[derive(Clone, Copy)]
pub(super) struct Side {
    /// All its pixels.
    pub(super) length: usize,
    /// First edge of the used part, pixels.
    pub(super) low: f64,
    /// Last edge of the used part, pixels.
    pub(super) high: f64,
    /// Of the used part's middle from the face's, mm.
    pub(super) offset: f64,
    /// Whether the last pixel comes first.
    pub(super) reversed: bool,
}

enum Kind {
    /// Shares of drawing pixels covered: `weights[from..to]` for the pixels from `start` on.
    Mean { spans: Vec<Span>, weights: Vec<f32> },
    /// Four pixels about the middle.
    Between(Vec<([usize; 4], [f32; 4])>),
}

#[derive(Clone, Copy)]
struct Span {
    start: usize,
    from: usize,
    to: usize,
}

impl Axis {
    /// A side whose pixels are `scale` mm each, on `face` mm that are `raster` pixels of `1/px_per_mm` mm.
    ///
    /// `None` when no pixel's middle lies on the drawing.
    pub(super) fn new(side: &Side, raster: usize, scale: f64, face: f64, px_per_mm: f64) -> Option<Self> {
        let &Side { length, low: begin, high: end, offset, reversed } = side;
        // Face pixel x, an edge or a middle, lies at drawing pixel x · pitch + origin; counted from the other end where reversed.
        let pitch = 1.0 / (px_per_mm * scale);
        let (begin, end) = if reversed { (length as f64 - end, length as f64 - begin) } else { (begin, end) };
        let origin = (begin + end) / 2.0 - face / (2.0 * scale) - offset / scale;
        let at = |x: f64| x * pitch + origin;
        let on = |x: &usize| (begin - NOTHING..end + NOTHING).contains(&at(*x as f64 + 0.5));
        let first = (0..raster).find(on)?;
        let count = (first..raster).take_while(on).count();

        let pixels = first..first + count;
        let kind = if pitch >= 1.0 {
            let (mut spans, mut weights) = (Vec::with_capacity(count), Vec::new());
            for x in pixels {
                let span = |edge: f64| edge.clamp(begin, end);
                let (mut low, mut high) = (span(at(x as f64)), span(at(x as f64 + 1.0)));
                if reversed {
                    (low, high) = (length as f64 - high, length as f64 - low);
                }
                let from = weights.len();
                let mut start = low as usize;
                // The first pixel may be touched by rounding alone.
                if start as f64 + 1.0 - low < NOTHING {
                    start += 1;
                }
                for pixel in start..length {
                    let share = (high.min(pixel as f64 + 1.0) - low.max(pixel as f64)) / (high - low);
                    if share * (high - low) < NOTHING {
                        break;
                    }
                    weights.push(share as f32);
                }
                spans.push(Span { start, from, to: weights.len() });
            }
            Kind::Mean { spans, weights }
        } else {
            // A pixel in part within the crop is used.
            let (least, most) = if reversed { (length as f64 - end, length as f64 - begin) } else { (begin, end) };
            let least = (libm::floor(least + NOTHING) as i64).min(length as i64 - 1);
            let most = (libm::ceil(most - NOTHING) as i64 - 1).max(least);
            let inside = |pixel: i64| pixel.clamp(least, most) as usize;
            let four = |x: usize| {
                let there = at(x as f64 + 0.5);
                let middle = if reversed { length as f64 - there } else { there } - 0.5;
                let left = libm::floor(middle);
                let t = middle - left;
                let left = left as i64;
                ([inside(left - 1), inside(left), inside(left + 1), inside(left + 2)], catmull_rom(t).map(|weight| weight as f32))
            };
            Kind::Between(pixels.map(four).collect())
        };
        let reach = match &kind {
            Kind::Mean { spans, .. } => {
                let (first, last) = if reversed { (spans[count - 1], spans[0]) } else { (spans[0], spans[count - 1]) };
                first.start..last.start + last.to - last.from
            }
            Kind::Between(fours) => {
                let (first, last) = if reversed { (count - 1, 0) } else { (0, count - 1) };
                fours[first].0[0]..fours[last].0[3] + 1
            }
        };
        Some(Self { first, reach, kind })
    }

    /// The first face pixel that is drawing.
    pub(super) fn first(&self) -> usize {
        self.first
    }

    /// How many face pixels are drawing.
    pub(super) fn len(&self) -> usize {
        match &self.kind {
            Kind::Mean { spans, .. } => spans.len(),
            Kind::Between(fours) => fours.len(),
        }
    }

    /// The drawing pixels used at all.
    pub(super) fn reach(&self) -> Range<usize> {
        self.reach.clone()
    }

    /// Row `y` of the result, still at the drawing's width: rows of the drawing weighed together, in the columns asked for.
    pub(super) fn across_rows(&self, y: usize, drawing: &Plane<f32>, columns: Range<usize>, line: &mut [f32]) {
        let line = &mut line[columns.clone()];
        let row = |y: usize| &drawing.row(y)[columns.clone()];
        match &self.kind {
            Kind::Mean { spans, weights } => {
                let span = spans[y];
                let weights = &weights[span.from..span.to];
                for (i, &weight) in weights.iter().enumerate() {
                    if i == 0 {
                        line.iter_mut().zip(row(span.start)).for_each(|(sum, &value)| *sum = weight * value);
                    } else {
                        line.iter_mut().zip(row(span.start + i)).for_each(|(sum, &value)| *sum += weight * value);
                    }
                }
            }
            Kind::Between(fours) => {
                let (at, weights) = &fours[y];
                let [a, b, c, d] = at.map(row);
                for (i, value) in line.iter_mut().enumerate() {
                    *value = between([a[i], b[i], c[i], d[i]], *weights);
                }
            }
        }
    }

    /// A finished row from one at the drawing's width.
    pub(super) fn along_row(&self, line: &[f32], out: &mut [f32]) {
        match &self.kind {
            Kind::Mean { spans, weights } => {
                for (value, span) in out.iter_mut().zip(spans) {
                    let weights = &weights[span.from..span.to];
                    let values = &line[span.start..span.start + weights.len()];
                    *value = weights.iter().zip(values).fold(0.0, |sum, (weight, value)| sum + weight * value);
                }
            }
            Kind::Between(fours) => {
                for (value, (at, weights)) in out.iter_mut().zip(fours) {
                    *value = between(at.map(|pixel| line[pixel]), *weights);
                }
            }
        }
    }
}

/// Weights of the four pixels about a point `t` (0..1) past the second: the cubic of E. Catmull and R. Rom, "A class of local
/// interpolating splines", in Computer Aided Geometric Design, 1974, 317-326, with tension one half.
fn catmull_rom(t: f64) -> [f64; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [(-t3 + 2.0 * t2 - t) / 2.0, (3.0 * t3 - 5.0 * t2 + 2.0) / 2.0, (-3.0 * t3 + 4.0 * t2 + t) / 2.0, (t3 - t2) / 2.0]
}

/// The cubic through four values, held between the two nearest: no light edge rings round a dark one.
fn between(values: [f32; 4], weights: [f32; 4]) -> f32 {
    let [a, b, c, d] = values;
    let cubic = weights[0] * a + weights[1] * b + weights[2] * c + weights[3] * d;
    cubic.clamp(b.min(c), b.max(c))
}
