//! Blur: a plane softened by a Gaussian, in integers, so that every target gives the same bytes.

use crate::plane::Plane;

/// Below this standard deviation, in pixels, the kernel is summed directly; above it three running boxes do.
const DIRECT_BELOW: f64 = 2.0;

/// Softens a plane by a Gaussian of standard deviation `sigma` pixels. The border's pixels repeat outwards.
///
/// From σ = 2 px on, three box filters stand in for the Gaussian (W. M. Wells, IEEE Trans. PAMI 8, 1986, 234–239): two box widths
/// are mixed so that the variances add up to σ² as nearly as odd widths allow.
#[must_use]
pub fn gaussian(plane: &Plane<u16>, sigma: f64) -> Plane<u16> {
    if sigma <= 0.0 {
        return plane.clone();
    }
    if sigma < DIRECT_BELOW {
        return direct(plane, sigma);
    }
    let mut soft = plane.clone();
    for radius in box_radii(sigma) {
        if radius > 0 {
            soft = boxed_down(&boxed_across(&soft, radius), radius);
        }
    }
    soft
}

/// Radii of three boxes whose variances add up to σ² most nearly.
fn box_radii(sigma: f64) -> [usize; 3] {
    let variance = |radius: usize| (libm::pow((2 * radius + 1) as f64, 2.0) - 1.0) / 12.0;
    let ideal = (libm::sqrt(4.0 * sigma * sigma + 1.0) - 1.0) / 2.0;
    let low = ideal as usize;
    let wide = (0..=3)
        .min_by(|&a, &b| {
            let miss = |wide: usize| ((3 - wide) as f64 * variance(low) + wide as f64 * variance(low + 1) - sigma * sigma).abs();
            miss(a).total_cmp(&miss(b))
        })
        .unwrap_or(0);
    std::array::from_fn(|i| low + usize::from(i < wide))
}

/// `sum * scale`, rounded, for results within 16 bits: adding 2²³ puts the whole number into the low bits of the float. It vectorises
/// where a checked conversion does not, and is the same on every target.
fn mean(sum: i32, scale: f32) -> u16 {
    (sum as f32 * scale + 8_388_608.0).to_bits() as u16
}

fn boxed_across(plane: &Plane<u16>, radius: usize) -> Plane<u16> {
    let width = plane.width();
    let mut out = Vec::with_capacity(plane.data().len());
    let scale = 1.0 / (2 * radius + 1) as f32;
    let mut padded = vec![0u16; width + 2 * radius + 1];
    let mut sums = vec![0i32; width];
    for row in plane.rows() {
        padded[..radius].fill(row[0]);
        padded[radius..radius + width].copy_from_slice(row);
        padded[radius + width..].fill(row[width - 1]);
        let mut sum: i32 = padded[..2 * radius + 1].iter().map(|&v| i32::from(v)).sum();
        // The running sums first, which wait for each other; then the means, which don't.
        for (to, (gone, come)) in sums.iter_mut().zip(padded[..width].iter().zip(&padded[2 * radius + 1..])) {
            *to = sum;
            sum += i32::from(*come) - i32::from(*gone);
        }
        out.extend(sums.iter().map(|&sum| mean(sum, scale)));
    }
    rebuilt(plane, out)
}

fn boxed_down(plane: &Plane<u16>, radius: usize) -> Plane<u16> {
    let (width, height) = (plane.width(), plane.height());
    let mut out = Vec::with_capacity(plane.data().len());
    let scale = 1.0 / (2 * radius + 1) as f32;
    let clamped = |y: isize| plane.row(y.clamp(0, height as isize - 1) as usize);
    let mut sums = vec![0i32; width];
    for dy in -(radius as isize)..=radius as isize {
        for (sum, &v) in sums.iter_mut().zip(clamped(dy)) {
            *sum += i32::from(v);
        }
    }
    for y in 0..height as isize {
        out.extend(sums.iter().map(|&sum| mean(sum, scale)));
        let (come, gone) = (clamped(y + radius as isize + 1), clamped(y - radius as isize));
        for ((sum, &come), &gone) in sums.iter_mut().zip(come).zip(gone) {
            *sum += i32::from(come) - i32::from(gone);
        }
    }
    rebuilt(plane, out)
}

/// Weights of a Gaussian as integers that add up to 65536, from the middle outwards.
fn weights(sigma: f64) -> Vec<u32> {
    let reach = libm::ceil(3.0 * sigma) as usize;
    let raw: Vec<f64> = (0..=reach).map(|d| libm::exp(-((d * d) as f64) / (2.0 * sigma * sigma))).collect();
    let total = raw[0] + 2.0 * raw[1..].iter().sum::<f64>();
    let mut whole: Vec<u32> = raw.iter().map(|w| libm::round(w / total * 65_536.0) as u32).collect();
    let sides: u32 = whole[1..].iter().sum();
    whole[0] = 65_536 - 2 * sides;
    whole
}

fn direct(plane: &Plane<u16>, sigma: f64) -> Plane<u16> {
    let (width, height) = (plane.width(), plane.height());
    let weights = weights(sigma);
    let reach = weights.len() - 1;
    let mut across = Vec::with_capacity(plane.data().len());
    let mut padded = vec![0u16; width + 2 * reach];
    let mut sums = vec![0u32; width];
    for row in plane.rows() {
        padded[..reach].fill(row[0]);
        padded[reach..reach + width].copy_from_slice(row);
        padded[reach + width..].fill(row[width - 1]);
        sums.fill(32_768);
        for d in 0..=2 * reach {
            let weight = weights[d.abs_diff(reach)];
            for (sum, &v) in sums.iter_mut().zip(&padded[d..d + width]) {
                *sum += u32::from(v) * weight;
            }
        }
        across.extend(sums.iter().map(|&sum| (sum >> 16) as u16));
    }
    let across = rebuilt(plane, across);
    let mut out = Vec::with_capacity(plane.data().len());
    for y in 0..height {
        sums.fill(32_768);
        for d in 0..=2 * reach {
            let row = across.row((y + d).saturating_sub(reach).min(height - 1));
            let weight = weights[d.abs_diff(reach)];
            for (sum, &v) in sums.iter_mut().zip(row) {
                *sum += u32::from(v) * weight;
            }
        }
        out.extend(sums.iter().map(|&sum| (sum >> 16) as u16));
    }
    rebuilt(plane, out)
}

/// A plane of the same size. One value a pixel comes in by every road above, so the size always fits.
fn rebuilt(like: &Plane<u16>, data: Vec<u16>) -> Plane<u16> {
    debug_assert_eq!(data.len(), like.data().len());
    Plane::new(like.width(), like.height(), data).unwrap_or_else(|_| like.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn a_flat_plane_stays_flat() {
        for sigma in [0.5, 1.9, 2.0, 7.3, 40.0] {
            for value in [0u16, 1, 40_000, 65_535] {
                assert!(gaussian(&Plane::filled(37, 21, value), sigma).data().iter().all(|&v| v == value), "σ {sigma}, {value}");
            }
        }
    }

    #[test]
    fn a_spot_spreads_by_sigma() {
        // The variance of a Gaussian's own blot is σ², closed form; boxes of odd widths miss it by a little.
        for sigma in [1.0, 1.7, 2.5, 5.0, 10.0] {
            let side = 121;
            let spot = Plane::from_fn(side, side, |x, y| if (58..63).contains(&x) && (58..63).contains(&y) { 65_535 } else { 0 });
            let blot = gaussian(&spot, sigma);
            let total: f64 = blot.data().iter().map(|&v| f64::from(v)).sum();
            let spread: f64 = (0..side)
                .map(|y| blot.row(y).iter().enumerate().map(|(x, &v)| f64::from(v) * (x as f64 - 60.0).powi(2)).sum::<f64>())
                .sum::<f64>()
                / total;
            // The spot itself is five pixels wide: variance 2.
            assert_abs_diff_eq!((spread - 2.0).sqrt(), sigma, epsilon = 0.06 * sigma + 0.05);
        }
    }
}
