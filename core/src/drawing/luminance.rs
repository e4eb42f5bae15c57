//! From a decoder's samples to linear-light luminance, turned upright on the way.

use crate::light::{Encoded, LUMINANCE_WEIGHTS, Reflectance};
use crate::plane::Plane;
use image::ColorType;
use image::metadata::Orientation;

/// How the samples of one pixel are laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Layout {
    /// Bytes a sample, 1 or 2.
    pub(super) depth: usize,
    /// 1 grey or 3 colours.
    pub(super) colours: usize,
    /// Whether an alpha follows the colours.
    pub(super) alpha: bool,
}

impl Layout {
    /// The layout of a decoded picture; `None` for floating point and what else is not read.
    pub(super) fn of(kind: ColorType) -> Option<Self> {
        let (depth, colours, alpha) = match kind {
            ColorType::L8 => (1, 1, false),
            ColorType::La8 => (1, 1, true),
            ColorType::Rgb8 => (1, 3, false),
            ColorType::Rgba8 => (1, 3, true),
            ColorType::L16 => (2, 1, false),
            ColorType::La16 => (2, 1, true),
            ColorType::Rgb16 => (2, 3, false),
            ColorType::Rgba16 => (2, 3, true),
            _ => return None,
        };
        Some(Self { depth, colours, alpha })
    }

    fn bytes(self) -> usize {
        self.depth * (self.colours + usize::from(self.alpha))
    }
}

/// Decodes samples by IEC 61966-2-1, weighs them, lays them over paper white in linear light and puts each where its orientation says.
///
/// `samples` holds `width * height` pixels of the layout, 16-bit ones in the machine's byte order; `upright` is cleared and takes the
/// plane's values. `associated`: colours already multiplied by their alpha.
pub(super) fn luminance(
    samples: &[u8],
    (width, height): (usize, usize),
    layout: Layout,
    associated: bool,
    orientation: Orientation,
    mut upright: Vec<f32>,
) -> Plane<f32> {
    let most: u32 = if layout.depth == 1 { 255 } else { 65_535 };
    let table = table(most);
    upright.clear();
    upright.resize(width * height, 1.0);

    let turn = Turn::of(orientation, width, height);
    // Where a row becomes a column, a few columns at a time: each written line of memory is then filled while it is at hand.
    let block = if turn.swaps { 16 } else { width };
    let step = layout.bytes();
    for left in (0..width).step_by(block) {
        let right = (left + block).min(width);
        for y in 0..height {
            let row = &samples[(y * width + left) * step..(y * width + right) * step];
            let mut to = turn.start + y as isize * turn.down + left as isize * turn.across;
            let mut put = |value: f32| {
                upright[to as usize] = value;
                to += turn.across;
            };
            if layout.depth == 1 {
                pixels(row.iter().map(|&v| usize::from(v)), layout, &table, associated, &mut put);
            } else {
                let pairs = row.chunks_exact(2).map(|pair| usize::from(u16::from_ne_bytes([pair[0], pair[1]])));
                pixels(pairs, layout, &table, associated, &mut put);
            }
        }
    }
    let (width, height) = if turn.swaps { (height, width) } else { (width, height) };
    Plane::new(width, height, upright).expect("the samples fill the size")
}

/// Linear light of each value from 0 to `most`, by IEC 61966-2-1.
pub(super) fn table(most: u32) -> Vec<f32> {
    (0..=most).map(|v| Encoded(f64::from(v) / f64::from(most)).linear().0 as f32).collect()
}

/// Luminance of linear RGB. Written round green, whose weight is what the other two leave of 1: a grey pixel gives exactly the grey's value.
pub(super) fn weigh(r: f32, g: f32, b: f32) -> f32 {
    let [red, _, blue] = LUMINANCE_WEIGHTS.map(|weight| weight as f32);
    g + red * (r - g) + blue * (b - g)
}

/// The colours as 16-bit sRGB-encoded values over paper white, each put where its orientation says.
pub(super) fn colour(
    samples: &[u8],
    (width, height): (usize, usize),
    layout: Layout,
    associated: bool,
    orientation: Orientation,
    mut upright: Vec<[u16; 3]>,
) -> Plane<[u16; 3]> {
    upright.clear();
    upright.resize(width * height, [u16::MAX; 3]);
    let turn = Turn::of(orientation, width, height);
    let table = table(65_535);
    let sample = |at: usize| match layout.depth {
        1 => u32::from(samples[at]) * 257,
        _ => u32::from(u16::from_ne_bytes([samples[at], samples[at + 1]])),
    };
    for y in 0..height {
        for x in 0..width {
            let at = (y * width + x) * layout.bytes();
            let alpha = if layout.alpha { sample(at + 3 * layout.depth) } else { 65_535 };
            let value = [0, 1, 2].map(|i| {
                let v = sample(at + i * layout.depth);
                if alpha == 65_535 {
                    return v as u16;
                }
                let plain = if associated && alpha > 0 { (u64::from(v) * 65_535 / u64::from(alpha)).min(65_535) as u32 } else { v };
                let linear = 1.0 + f64::from(alpha) / 65_535.0 * (f64::from(table[plain as usize]) - 1.0);
                (Reflectance(linear).encoded().0 * 65_535.0 + 0.5) as u16
            });
            upright[(turn.start + y as isize * turn.down + x as isize * turn.across) as usize] = value;
        }
    }
    let (width, height) = if turn.swaps { (height, width) } else { (width, height) };
    Plane::new(width, height, upright).expect("the samples fill the size")
}

/// Luminance of each pixel in a run of samples.
fn pixels(mut samples: impl Iterator<Item = usize>, layout: Layout, table: &[f32], associated: bool, mut put: impl FnMut(f32)) {
    let weigh = |r: usize, g: usize, b: usize| weigh(table[r], table[g], table[b]);
    match (layout.colours, layout.alpha) {
        (1, false) => samples.for_each(|v| put(table[v])),
        (_, false) => {
            while let (Some(r), Some(g), Some(b)) = (samples.next(), samples.next(), samples.next()) {
                put(weigh(r, g, b));
            }
        }
        (colours, true) => {
            let most = table.len() - 1;
            while let Some(r) = samples.next() {
                let (g, b) = if colours == 1 { (r, r) } else { (samples.next().unwrap_or(r), samples.next().unwrap_or(r)) };
                let alpha = samples.next().unwrap_or(most);
                let plain = |v: usize| if associated && alpha > 0 { (v * most / alpha).min(most) } else { v };
                let share = alpha as f32 / most as f32;
                let y = weigh(plain(r), plain(g), plain(b));
                put(if alpha == most { y } else { 1.0 + share * (y - 1.0) });
            }
        }
    }
}

/// Where the first stored pixel goes, and the stride to its right and lower neighbours.
struct Turn {
    start: isize,
    across: isize,
    down: isize,
    swaps: bool,
}

impl Turn {
    /// The eight orientations of Exif 2.32, 4.6.4 A, tag 274.
    fn of(orientation: Orientation, width: usize, height: usize) -> Self {
        let (w, h) = (width as isize, height as isize);
        let last = w * h - 1;
        let (start, across, down, swaps) = match orientation {
            Orientation::NoTransforms => (0, 1, w, false),
            Orientation::FlipHorizontal => (w - 1, -1, w, false),
            Orientation::Rotate180 => (last, -1, -w, false),
            Orientation::FlipVertical => (w * (h - 1), 1, -w, false),
            Orientation::Rotate90FlipH => (0, h, 1, true),
            Orientation::Rotate90 => (h - 1, h, -1, true),
            Orientation::Rotate270FlipH => (last, -h, -1, true),
            Orientation::Rotate270 => (h * (w - 1), -h, 1, true),
        };
        Self { start, across, down, swaps }
    }
}
