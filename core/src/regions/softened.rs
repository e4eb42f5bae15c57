//! The drawing made ready for the clean-up: coarse, ever softer pictures for what to paint, and how it is seen for where its edges go.

use super::mark::Mark;
use crate::blur::gaussian;
use crate::plane::Plane;
use crate::smoothing::{Smoothing, smoothed};
use crate::tones::Breaks;
use crate::units::{Millimetres, PxPerMm};

/// Standard deviations of the softer pictures, in radii of the mark: what the first can't place, the next may.
const SOFTNESS: [f64; 7] = [0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0];

/// Regions are laid out on a raster on which the mark is at least this many pixels across: a disc of four is still round.
const COARSE_MARK: f64 = 4.0;

/// Standard deviation of what the eye melts together when the print is held at arm's length. Estimate: about a minute of arc at 0.6 m is
/// 0.17 mm, and a looker does not search for single edges.
pub(super) const SEEN: Millimetres = Millimetres(0.35);

/// Cells of the picture as it is seen, at most this wide: fine enough for its softness, coarse enough to cost next to nothing.
const SEEN_CELL: Millimetres = Millimetres(0.4);

/// The drawing at the resolution of the face, softened step by step for one size of mark. Independent of breaks and tones, so that a
/// moved break does not soften anew.
pub struct Softened {
    /// Ever softer, on cells of `coarse` × `coarse` pixels.
    pub(super) planes: Vec<Plane<u16>>,
    pub(super) coarse: usize,
    /// Mean lightness of cells of `cell` × `cell` pixels.
    pub(super) seen: Plane<u16>,
    pub(super) cell: usize,
    pub(super) size: (usize, usize),
    pub(super) mark: Mark,
    smoothing: Smoothing,
    pub(super) resolution: PxPerMm,
    /// Pixels of each stored lightness, in steps of [`StoredTones`].
    counts: Vec<u32>,
}

impl Softened {
    /// Smooths and softens a plane of L*.
    #[must_use]
    pub fn of(lightness: &Plane<f32>, resolution: PxPerMm, mark: Mark, smoothing: Smoothing) -> Self {
        let diameter = resolution.px(mark.diameter());
        let coarse = ((diameter / COARSE_MARK) as usize).max(1);
        let smooth = smoothed(&coarse_means(lightness, coarse), libm::round(resolution.px(smoothing.0) / coarse as f64) as usize);
        let small = smooth.map(|&l| stored(l));
        let mut counts = vec![0; StoredTones::STEPS];
        for &l in small.data() {
            counts[StoredTones::step(l)] += 1;
        }
        let size = (lightness.width(), lightness.height());
        let cells = (resolution.px(SEEN_CELL) as usize / coarse).max(1);
        let (seen, cell) = (cell_means(&small, cells, u32::from), cells * coarse);
        let radius = diameter / 2.0 / coarse as f64;
        let mut planes: Vec<Plane<u16>> = Vec::with_capacity(SOFTNESS.len());
        let mut reached: f64 = 0.0;
        for softness in SOFTNESS {
            let sigma = softness * radius;
            // Gaussians add in variance: each picture is softened from the one before.
            let more = libm::sqrt(sigma * sigma - reached * reached);
            planes.push(gaussian(planes.last().unwrap_or(&small), more));
            reached = sigma;
        }
        Self { planes, coarse, seen, cell, size, mark, smoothing, resolution, counts }
    }

    /// How the drawing was smoothed.
    #[must_use]
    pub fn smoothing(&self) -> Smoothing {
        self.smoothing
    }

    /// The size of mark it was softened for.
    #[must_use]
    pub fn mark(&self) -> Mark {
        self.mark
    }

    /// Mean stored lightness of each tone by plain thresholds; of an empty one its limits' middle.
    pub(super) fn means(&self, breaks: &Breaks, tones: &StoredTones) -> Vec<u16> {
        let mut sums = vec![(0u64, 0u64); breaks.tones().get()];
        for (step, &count) in self.counts.iter().enumerate() {
            let (sum, of) = &mut sums[usize::from(tones.0[step])];
            *sum += StoredTones::middle(step) * u64::from(count);
            *of += u64::from(count);
        }
        let limits: Vec<u64> = breaks.falling().iter().map(|l| u64::from(stored(l.0 as f32))).collect();
        let limit = |i: Option<usize>, end: u64| i.and_then(|i| limits.get(i)).copied().unwrap_or(end);
        let middle = |tone: usize| (limit(tone.checked_sub(1), u64::from(u16::MAX)) + limit(Some(tone), 0)) / 2;
        sums.iter().enumerate().map(|(tone, &(sum, of))| sum.checked_div(of).unwrap_or_else(|| middle(tone)) as u16).collect()
    }
}

/// Means of L* over square cells; those at the right and lower border may hold fewer pixels.
fn coarse_means(plane: &Plane<f32>, cell: usize) -> Plane<f32> {
    if cell == 1 {
        return plane.clone();
    }
    cells(plane, cell, 0.0, |sum, &l| sum + l, |sum, pixels| sum / pixels as f32)
}

/// Means over square cells of what `value` makes of each pixel, at most 16 bits.
pub(super) fn cell_means<T: Copy>(plane: &Plane<T>, cell: usize, value: impl Fn(T) -> u32) -> Plane<u16> {
    cells(plane, cell, 0u32, |sum, &v| sum + value(v), |sum, pixels| ((sum + pixels / 2) / pixels) as u16)
}

/// One value a cell: what `add` makes of its pixels, row after row, and `end` of that and their number.
fn cells<T, S: Copy, U: Copy>(plane: &Plane<T>, cell: usize, none: S, add: impl Fn(S, &T) -> S, end: impl Fn(S, u32) -> U) -> Plane<U> {
    let (width, height) = (plane.width().div_ceil(cell), plane.height().div_ceil(cell));
    let mut out = Plane::filled(width, height, end(none, 1));
    let mut sums = vec![none; width];
    for (top, line) in out.data_mut().chunks_exact_mut(width).enumerate() {
        sums.fill(none);
        let rows = top * cell..((top + 1) * cell).min(plane.height());
        for y in rows.clone() {
            for (sum, part) in sums.iter_mut().zip(plane.row(y).chunks(cell)) {
                *sum = part.iter().fold(*sum, &add);
            }
        }
        for (x, (to, &sum)) in line.iter_mut().zip(&sums).enumerate() {
            *to = end(sum, (cell.min(plane.width() - x * cell) * rows.len()) as u32);
        }
    }
    out
}

/// L* as it is stored: 0..=100 over the range of 16 bits.
pub(super) fn stored(l: f32) -> u16 {
    (l.clamp(0.0, 100.0) * 655.35 + 0.5) as u16
}

/// Cuts a stored lightness at the breaks: one look-up a pixel, in a table of 1/40 L* a step that stays in the nearest cache.
pub(super) struct StoredTones(Vec<u8>);

impl StoredTones {
    /// Bits of a stored lightness that no brush can tell.
    const DROPPED: u32 = 4;
    /// Steps of the table.
    const STEPS: usize = 1 << (16 - Self::DROPPED);

    pub(super) fn of(breaks: &Breaks) -> Self {
        // Falling breaks: everything below the first is at least tone 1, below the second at least tone 2, and so on.
        let lighter = |step: u32| breaks.falling().iter().filter(|limit| step << Self::DROPPED < u32::from(stored(limit.0 as f32))).count();
        Self((0..Self::STEPS as u32).map(|step| lighter(step) as u8).collect())
    }

    pub(super) fn tone(&self, l: u16) -> u8 {
        self.0[Self::step(l)]
    }

    fn step(l: u16) -> usize {
        usize::from(l >> Self::DROPPED)
    }

    fn middle(step: usize) -> u64 {
        (step << Self::DROPPED | 1 << (Self::DROPPED - 1)) as u64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Lightness;

    #[test]
    fn cells_are_means_also_at_the_border() {
        let plane = Plane::from_fn(5, 3, |x, y| (10 * y + x) as u16);
        let means = cell_means(&plane, 2, u32::from);
        // (0+1+10+11)/4, (2+3+12+13)/4, (4+14)/2; then the last row alone, halves rounded up.
        assert_eq!(means.data(), [6, 8, 9, 21, 23, 24]);
        assert_eq!((means.width(), means.height()), (3, 2));
    }

    #[test]
    fn tones_have_the_mean_of_what_they_hold() {
        let plane = Plane::from_fn(40, 40, |x, _| {
            if x < 10 {
                90.0
            } else if x < 20 {
                80.0
            } else {
                20.0
            }
        });
        let softened = Softened::of(&plane, PxPerMm(10.0), Mark::default(), Smoothing::NONE);
        let breaks = Breaks::new([70.0, 50.0, 40.0].map(Lightness).to_vec()).unwrap();
        let means = softened.means(&breaks, &StoredTones::of(&breaks));
        for (mean, wanted) in means.iter().zip([85.0, 60.0, 45.0, 20.0]) {
            assert!((f64::from(*mean) / 655.35 - wanted).abs() < 0.03, "{means:?}");
        }
    }
}
