//! The grain in pixels: which of 8 × 8 points of each pixel lie under a disc, as the 64 bits of one word.
//!
//! Every point is under the grain with exactly the model's probability, whatever the pixel's size, so the mean has no bias even where a
//! pixel is larger than a grain; what the 64 points add to a pixel's own noise is small beside the grain's down to about 3 px/mm.

use super::Grain;
use super::stamps::{self, Spot, Stamps};
use crate::affine::Affine;
use crate::units::PointMm;

/// Points along a pixel's side.
pub(crate) const POINTS: usize = 8;

/// A band of pixels on the plate and the undercut of each.
pub(crate) struct Band<'a> {
    /// Where the plate lies; corner and pixels are of the print.
    pub(crate) place: Affine,
    /// Top left corner of the top left pixel.
    pub(crate) corner: PointMm,
    /// Pixels a millimetre.
    pub(crate) px_per_mm: f64,
    /// Columns.
    pub(crate) width: usize,
    /// Which undercut holds at each pixel, row after row.
    pub(crate) kinds: &'a [u8],
    /// The undercuts, mm; infinite where no grain is to be seen.
    pub(crate) undercuts: &'a [f64],
    /// No disc with its centre outside this box (left, top, right, bottom; mm) can matter: the pixels that have grain.
    pub(crate) grained: [f64; 4],
    /// Pixels on several kinds, if any.
    pub(crate) mixed: Option<Mixed<'a>>,
}

/// Pixels that lie on several kinds, point by point.
#[derive(Clone, Copy)]
pub(crate) struct Mixed<'a> {
    /// The kind that stands for them in [`Band::kinds`].
    pub(crate) kind: u8,
    /// Which of them each pixel of the band is.
    pub(crate) which: &'a [u32],
    /// Where the kinds of each begin in `kinds`, and one more for the end of the last.
    pub(crate) starts: &'a [u32],
    /// A kind and the points it has.
    pub(crate) kinds: &'a [(u8, u64)],
}

impl Mixed<'_> {
    fn of(&self, pixel: usize) -> &[(u8, u64)] {
        let which = self.which[pixel] as usize;
        &self.kinds[self.starts[which] as usize..self.starts[which + 1] as usize]
    }
}

/// Points of a pixel row, or a pixel, that may be set: first and last column and row of points.
#[derive(Clone, Copy)]
struct Clip {
    left: f32,
    right: f32,
    top: f32,
    bottom: f32,
}

/// Sets the bit of every point under a disc, eroded by the undercut of the pixel the point lies in. `bits` has a word a pixel: byte y,
/// bit x (both from 0) is the point in row y and column x.
///
/// # Panics
/// When `bits` and `kinds` differ in length or are not whole rows.
pub(crate) fn cover(grain: &Grain, band: &Band<'_>, bits: &mut [u64]) {
    let width = band.width;
    assert!(bits.len() == band.kinds.len() && bits.len().is_multiple_of(width), "one word and one kind a pixel, whole rows");
    let rows = bits.len() / width;
    bits.fill(0);
    let least_mm = band.undercuts.iter().copied().fold(f64::INFINITY, f64::min);
    let reach = grain.largest_radius().0 - least_mm;
    if reach.is_nan() || reach <= 0.0 || rows == 0 {
        return;
    }
    // From here on lengths are in points, the first point at 0.
    let scale = band.px_per_mm * POINTS as f64;
    let grown = scale * band.place.growth();
    let radii: Vec<(f32, i32)> = grain.radii.iter().map(|r| ((r * grown) as f32, stamps::radius(r * grown))).collect();
    let undercuts: Vec<f32> = band.undercuts.iter().map(|u| (u * grown) as f32).collect();
    let steps: Vec<i32> = band.undercuts.iter().map(|u| stamps::radius(u * grown)).collect();
    let (least, least_steps) = ((least_mm * grown) as f32, stamps::radius(least_mm * grown));
    let whole = Clip { left: 0.0, right: (width * POINTS - 1) as f32, top: 0.0, bottom: (rows * POINTS - 1) as f32 };
    let PointMm { x: left, y: top } = band.corner;
    let (right, bottom) = (left + width as f64 / band.px_per_mm, top + rows as f64 / band.px_per_mm);
    let [g_left, g_top, g_right, g_bottom] = band.grained;
    let on_plate = band.place.box_back([left, top, right, bottom]);
    let area = [
        on_plate[0].max(g_left) - reach,
        on_plate[1].max(g_top) - reach,
        on_plate[2].min(g_right) + reach,
        on_plate[3].min(g_bottom) + reach,
    ];
    if area[0] > area[2] || area[1] > area[3] {
        return;
    }
    let mut fixed = [0; 256];
    fixed.iter_mut().zip(&steps).for_each(|(to, from)| *to = *from);
    // Where all discs are large none of this is asked for.
    let squares = if radii.first().is_some_and(|(_, radius)| stamps::small(radius - least_steps)) { squares(band, rows) } else { vec![] };
    let around = Around { band, stamps: Stamps::table(), undercuts: &fixed, squares, width, rows };
    let corner = |x: f64, y: f64| {
        let (x, y) = band.place.there(x, y);
        [stamps::place((x - left) * scale - 0.5), stamps::place((y - top) * scale - 0.5)]
    };
    let unit = grain.unit(scale * stamps::PLACE_STEPS);
    let [across, down] = band.place.axes().map(|axis| axis.map(|share| libm::round(share * unit) as i64));
    grain.visit(area, corner, [across, down], |place_x, place_y, class| {
        let (radius, radius_steps) = radii[class];
        if radius <= least {
            return;
        }
        if stamps::small(radius_steps - least_steps) {
            around.stamp(Spot::at(place_x, place_y), radius_steps, bits);
            return;
        }
        let most = radius - least;
        let (x, y) = (stamps::points(place_x), stamps::points(place_y));
        if x + most < 0.0 || y + most < 0.0 || x - most > whole.right || y - most > whole.bottom {
            return;
        }
        let pixel = |point: f32, last: f32| point.clamp(0.0, last) as usize / POINTS;
        let (px0, px1) = (pixel(x - most, whole.right), pixel(x + most, whole.right));
        let (py0, py1) = (pixel(y - most, whole.bottom), pixel(y + most, whole.bottom));
        let kind = band.kinds[py0 * width + px0];
        let mixed = band.mixed.filter(|mixed| mixed.kind == kind).is_some();
        if !mixed && (py0..=py1).all(|py| band.kinds[py * width + px0..=py * width + px1].iter().all(|&k| k == kind)) {
            stamp(bits, width, (x, y), radius - undercuts[usize::from(kind)], whole);
        } else {
            // The disc lies across tones: each pixel sees it eroded by its own undercut.
            for py in py0..=py1 {
                for px in px0..=px1 {
                    let left = (px * POINTS) as f32;
                    let top = (py * POINTS) as f32;
                    let side = (POINTS - 1) as f32;
                    let pixel = py * width + px;
                    let kind = band.kinds[pixel];
                    if let Some(mixed) = band.mixed.filter(|mixed| mixed.kind == kind) {
                        let clip = Clip { left: 0.0, right: side, top: 0.0, bottom: side };
                        for &(kind, points) in mixed.of(pixel) {
                            let mut word = [0];
                            stamp(&mut word, 1, (x - left, y - top), radius - undercuts[usize::from(kind)], clip);
                            bits[pixel] |= word[0] & points;
                        }
                        continue;
                    }
                    let radius = radius - undercuts[usize::from(kind)];
                    stamp(bits, width, (x, y), radius, Clip { left, right: left + side, top, bottom: top + side });
                }
            }
        }
    });
}

/// A square of pixels of several kinds.
const SEVERAL: u16 = 256;

/// The kind of the square of four pixels to the right of and below each pixel of a band.
fn squares(band: &Band<'_>, rows: usize) -> Vec<u16> {
    let width = band.width;
    let mut squares = vec![SEVERAL; width * rows];
    let mixed = band.mixed.map_or(SEVERAL, |mixed| u16::from(mixed.kind));
    for (row, kinds) in squares.chunks_exact_mut(width).zip(band.kinds.chunks_exact(width).zip(band.kinds.chunks_exact(width).skip(1))) {
        let (above, below) = kinds;
        let pairs = above.iter().zip(&above[1..]).zip(below.iter().zip(&below[1..]));
        for (square, ((&a, &b), (&c, &d))) in row.iter_mut().zip(pairs) {
            let one = a == b && a == c && a == d && u16::from(a) != mixed;
            *square = if one { u16::from(a) } else { SEVERAL };
        }
    }
    squares
}

/// A band while small discs fall on it.
struct Around<'a> {
    band: &'a Band<'a>,
    stamps: &'static Stamps,
    /// Of each kind, as [`stamps::radius`].
    undercuts: &'a [i32; 256],
    /// The kind of the square of four pixels to the right of and below each, or [`SEVERAL`].
    squares: Vec<u16>,
    width: usize,
    rows: usize,
}

impl Around<'_> {
    /// Sets the points of one small disc.
    #[inline]
    fn stamp(&self, spot: Spot, radius: i32, bits: &mut [u64]) {
        const SHIFT: u32 = POINTS.trailing_zeros();
        let (column, row) = (spot.x >> SHIFT, spot.y >> SHIFT);
        let (dx, dy) = (spot.x as u32 % POINTS as u32, spot.y as u32 % POINTS as u32);
        if column >= 0 && row >= 0 && column as usize + 1 < self.width && row as usize + 1 < self.rows {
            let at = row as usize * self.width + column as usize;
            let kind = self.squares[at];
            if kind != SEVERAL {
                let word = self.stamps.disc(spot, radius - self.undercuts[usize::from(kind as u8)]);
                if word == 0 {
                    return;
                }
                let [a, b, c, d] = stamps::spread(word, dx, dy);
                let row = &mut bits[at..at + 2];
                row[0] |= a;
                row[1] |= b;
                let row = &mut bits[at + self.width..at + self.width + 2];
                row[0] |= c;
                row[1] |= d;
                return;
            }
        }
        let kinds = self.band.kinds;
        let words = |kind: u8| stamps::spread(self.stamps.disc(spot, radius - self.undercuts[usize::from(kind)]), dx, dy);
        // Over the band's edge, or across tones: each pixel sees the disc eroded by its own undercut.
        for part in 0..4 {
            let (x, y) = (column + part % 2, row + part / 2);
            if x < 0 || y < 0 || x as usize >= self.width || y as usize >= self.rows {
                continue;
            }
            let pixel = y as usize * self.width + x as usize;
            let points = |kind: u8| words(kind)[part as usize];
            match self.band.mixed.filter(|mixed| mixed.kind == kinds[pixel]) {
                Some(mixed) => mixed.of(pixel).iter().for_each(|&(kind, own)| bits[pixel] |= points(kind) & own),
                None => bits[pixel] |= points(kinds[pixel]),
            }
        }
    }
}

/// Sets the points of one disc within a clip.
#[inline]
fn stamp(bits: &mut [u64], width: usize, (x, y): (f32, f32), radius: f32, clip: Clip) {
    if radius <= 0.0 {
        return;
    }
    let Some((top, bottom)) = whole_between((y - radius).max(clip.top), (y + radius).min(clip.bottom)) else { return };
    let square = radius * radius;
    for row in top..=bottom {
        let dy = row as f32 - y;
        let chord = square - dy * dy;
        if chord < 0.0 {
            continue;
        }
        let half = chord.sqrt();
        let Some((from, to)) = whole_between((x - half).max(clip.left), (x + half).min(clip.right)) else { continue };
        let (first, last) = (from / POINTS, to / POINTS);
        let shift = (row % POINTS) * POINTS;
        let at = (row / POINTS) * width;
        let start = 0xFF << (from % POINTS) & 0xFF;
        let end = 0xFF >> (POINTS - 1 - to % POINTS);
        if first == last {
            bits[at + first] |= (start & end) << shift;
        } else {
            bits[at + first] |= start << shift;
            for word in &mut bits[at + first + 1..at + last] {
                *word |= 0xFF << shift;
            }
            bits[at + last] |= end << shift;
        }
    }
}

/// The whole numbers from `low` ≥ 0 to `high`, ends included; none when there are none.
#[inline]
fn whole_between(low: f32, high: f32) -> Option<(usize, usize)> {
    if high < low {
        return None;
    }
    // A cast cuts, which is the floor of what is not negative; ceil and floor are calls on targets without SSE 4.1.
    let cut = low as u32;
    let from = cut + u32::from((cut as f32) < low);
    let to = high as u32;
    (from <= to).then_some((from as usize, to as usize))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::grain::GrainSettings;
    use crate::units::Millimetres;
    use approx::assert_abs_diff_eq;

    fn grain(cover: f64, median: f64, sigma: f64) -> Grain {
        Grain::new(GrainSettings { cover, median_radius: Millimetres(median), sigma, seed: 1 }).unwrap()
    }

    /// Share covered of each pixel of a square of the plate, one undercut everywhere.
    fn shares(grain: &Grain, side_px: usize, px_per_mm: f64, undercut: f64) -> Vec<f64> {
        let kinds = vec![0; side_px * side_px];
        let mut bits = vec![0; kinds.len()];
        let corner = PointMm { x: 30.0, y: -7.0 };
        let everywhere = [f64::NEG_INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::INFINITY];
        let band = Band {
            place: Affine::NONE,
            corner,
            px_per_mm,
            width: side_px,
            kinds: &kinds,
            undercuts: &[undercut],
            grained: everywhere,
            mixed: None,
        };
        cover(grain, &band, &mut bits);
        bits.iter().map(|b| f64::from(b.count_ones()) / 64.0).collect()
    }

    fn mean(values: &[f64]) -> f64 {
        values.iter().sum::<f64>() / values.len() as f64
    }

    /// Four times the spread of a mean over the 1600 mm² looked at: √(p(1−p) · 0.006 mm² / 1600 mm²) is about 0.001, 0.006 mm² being
    /// about the area within which grains of these sizes go together.
    const SPREAD: f64 = 0.004;

    #[test]
    fn discs_cover_what_the_formula_says() {
        // p = 1 − exp(−λ π r²): Chiu, Stoyan, Kendall, Mecke 2013, ch. 3; digits computed from the formula.
        for (intensity, radius, p) in
            [(100.0, 0.030, 0.246_287), (100.0, 0.047, 0.500_415), (200.0, 0.0332, 0.499_705), (50.0, 0.080, 0.634_069)]
        {
            let grain = grain(p, radius, 0.0);
            assert_abs_diff_eq!(grain.intensity(), intensity, epsilon = 2e-3);
            for px_per_mm in [4.0, 10.0] {
                assert_abs_diff_eq!(mean(&shares(&grain, (40.0 * px_per_mm) as usize, px_per_mm, 0.0)), p, epsilon = SPREAD);
            }
        }
        for p in [0.4, 0.5, 0.6] {
            assert_abs_diff_eq!(mean(&shares(&grain(p, 0.03, 0.45), 320, 8.0, 0.0)), p, epsilon = SPREAD);
        }
    }

    #[test]
    fn eroded_discs_cover_what_the_formula_says() {
        // p(u) = 1 − exp(−λ π (r−u)₊²) for λ = 100 a mm², r = 0.047 mm; from the formula of Chiu et al. 2013, ch. 3. It is a lower bound
        // for an eroded union and exact for eroded discs, which is what is drawn.
        let grain = grain(0.500_415, 0.047, 0.0);
        for (u, p) in [(0.0, 0.500_415), (0.005, 0.425_455), (0.010, 0.349_546), (0.020, 0.204_689), (0.030, 0.086_792), (0.05, 0.0)] {
            assert_abs_diff_eq!(mean(&shares(&grain, 400, 10.0, u)), p, epsilon = SPREAD);
        }
    }

    #[test]
    fn grain_has_one_size_in_millimetres_at_every_zoom() {
        // Covariance of a Boolean model at distance h: (1−p)² (exp(λ γ(h)) − 1), γ(h) the common area of a disc and itself moved by h,
        // 2 r² acos(h/2r) − h/2 √(4r² − h²) (Chiu, Stoyan, Kendall, Mecke 2013, ch. 3). Equal radii, so that γ is this one.
        let (p, r) = (0.5, 0.06);
        let grain = grain(p, r, 0.0);
        for h in [0.05, 0.1, 0.15] {
            let common = if h < 2.0 * r { 2.0 * r * r * f64::acos(h / (2.0 * r)) - h / 2.0 * (4.0 * r * r - h * h).sqrt() } else { 0.0 };
            let exact = (1.0 - p).powi(2) * f64::exp_m1(grain.intensity() * common);
            for px_per_mm in [20.0, 40.0, 80.0] {
                let side = 800;
                let seen = shares(&grain, side, px_per_mm, 0.0);
                let (lag, middle) = ((h * px_per_mm).round() as usize, mean(&seen));
                let products: Vec<f64> =
                    (0..side * side).filter(|i| i % side + lag < side).map(|i| (seen[i] - middle) * (seen[i + lag] - middle)).collect();
                // Of 0.25 at distance 0. The pixels' own averaging (50 µm at the coarsest) moves it by up to 0.008.
                assert_abs_diff_eq!(mean(&products), exact, epsilon = 0.012);
            }
        }
    }

    /// Mean power at each frequency over 36 squares of 64 px, over the median of its ring of like frequencies: the greatest.
    ///
    /// The plain spectrum of noise without any period has peaks of ln(n)/ln 2 medians, 12 for these squares, and more where coarse
    /// frequencies outweigh fine ones; the mean of 36 has 2, and the ring takes the grain's own slope away.
    pub(crate) fn greatest_peak(picture: &[f64], side: usize) -> f64 {
        const N: usize = 64;
        assert_eq!(side, 6 * N);
        let turn: Vec<(f64, f64)> = (0..N).map(|i| (2.0 * std::f64::consts::PI * i as f64 / N as f64).sin_cos()).collect();
        let line = |values: &[(f64, f64)]| -> Vec<(f64, f64)> {
            let at = |k: usize| {
                values.iter().enumerate().fold((0.0, 0.0), |sum: (f64, f64), (i, v)| {
                    let (sin, cos) = turn[i * k % N];
                    (sum.0 + v.0 * cos + v.1 * sin, sum.1 + v.1 * cos - v.0 * sin)
                })
            };
            (0..N).map(at).collect()
        };
        let mut power = vec![0.0; N * N];
        for (sx, sy) in (0..36).map(|i| (i % 6 * N, i / 6 * N)) {
            let rows: Vec<Vec<(f64, f64)>> =
                (0..N).map(|y| line(&(0..N).map(|x| (picture[(sy + y) * side + sx + x], 0.0)).collect::<Vec<_>>())).collect();
            for x in 0..N {
                for (y, (re, im)) in line(&rows.iter().map(|row| row[x]).collect::<Vec<_>>()).into_iter().enumerate() {
                    power[y * N + x] += re * re + im * im;
                }
            }
        }
        let ring = |i: usize| {
            let near = |k: usize| k.min(N - k) as f64;
            f64::hypot(near(i % N), near(i / N)).round() as usize
        };
        (2..=N / 2)
            .map(|radius| {
                let mut ring: Vec<f64> = (0..N * N).filter(|&i| ring(i) == radius).map(|i| power[i]).collect();
                ring.sort_by(f64::total_cmp);
                ring[ring.len() - 1] / ring[ring.len() / 2].max(1e-12)
            })
            .fold(0.0, f64::max)
    }

    #[test]
    fn nothing_in_the_grain_is_periodic() {
        // Limit: peak/median below 6 (our own requirement; for the statistic see above).
        let usual = Grain::new(GrainSettings::default()).unwrap();
        for px_per_mm in [4.0, 10.0, 40.0] {
            let peak = greatest_peak(&shares(&usual, 384, px_per_mm, 0.0), 384);
            assert!(peak < 6.0, "{peak} at {px_per_mm} px/mm");
        }
        // The test does find what it looks for: a tile of 64/5 px repeated beneath noise of a like strength.
        let noise = shares(&usual, 384, 4.0, 0.0);
        let tiled: Vec<f64> =
            noise.iter().enumerate().map(|(i, v)| v + 0.2 * f64::sin((i % 384) as f64 * 5.0 * std::f64::consts::TAU / 64.0)).collect();
        assert!(greatest_peak(&tiled, 384) > 6.0);
    }

    #[test]
    fn bands_join_without_a_seam_and_tones_erode_alike() {
        // One raster at once against the same in two bands and with the undercut given by kinds that change from pixel to pixel.
        let usual = Grain::new(GrainSettings::default()).unwrap();
        let undercuts = [0.004, 0.004, f64::INFINITY];
        let everywhere = [-1e3, -1e3, 1e3, 1e3];
        let run = |kinds: &[u8], y: f64| {
            let mut bits = vec![0; kinds.len()];
            let corner = PointMm { x: 1.0, y };
            let band = Band {
                place: Affine::NONE,
                corner,
                px_per_mm: 16.0,
                width: 48,
                kinds,
                undercuts: &undercuts,
                grained: everywhere,
                mixed: None,
            };
            cover(&usual, &band, &mut bits);
            bits
        };
        let whole = run(&[0; 48 * 48], 2.0);
        let mixed: Vec<u8> = (0..48 * 48).map(|i| (i / 48 + i % 48) as u8 % 2).collect();
        assert!(run(&mixed, 2.0) == whole);
        // A band measures from its own corner: a point within f32's rounding of a rim may fall on the other side, one in 10 000 at most.
        let bands = [run(&mixed[..48 * 16], 2.0), run(&mixed[48 * 16..], 3.0)].concat();
        let other: u32 = bands.iter().zip(&whole).map(|(a, b)| (a ^ b).count_ones()).sum();
        assert!(other <= 48 * 48 * 64 / 10_000, "{other} points differ");
        assert!(run(&[2; 48 * 48], 2.0).iter().all(|&b| b == 0));
    }
}
