//! Ends: the lightness of a drawing's paper and of its black.

use super::EVEN;
use crate::light::Lightness;

/// The drawing's two ends: the lightness of its paper and of its black.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// Paper: 99.5th percentile of Y.
    pub paper: Lightness,
    /// Black: 0.5th percentile of Y.
    pub black: Lightness,
}

impl Ends {
    /// Share of the picture lighter than its paper, and darker than its black, that is taken for specks.
    pub const SPECKS: f64 = 0.005;

    /// The ends of L* values, exactly: the values whose rank is the 99.5th and the 0.5th hundredth, rounded up. A rank is the same in L*
    /// and in Y, so these are the percentiles of Y. Where both fall on one lightness though the picture has several, the lightest and
    /// the darkest are taken.
    ///
    /// `None` when no two values are further apart than [`EVEN`]: nothing to separate.
    #[must_use]
    pub fn of<'a>(lightness: &(impl Iterator<Item = &'a [f32]> + Clone)) -> Option<Self> {
        // Bits of positive floats rise as the floats do: count by the upper half, then by the lower half within one upper.
        let mut upper = vec![0u64; 1 << 16];
        let (mut count, mut lightest, mut darkest) = (0u64, 0u32, u32::MAX);
        for run in lightness.clone() {
            for l in run {
                let bits = l.max(0.0).to_bits() & 0x7fff_ffff;
                upper[(bits >> 16) as usize] += 1;
                lightest = lightest.max(bits);
                darkest = darkest.min(bits);
            }
            count += run.len() as u64;
        }
        let ranked = |share: f64| {
            // From 0 up: the rank rounded up, counted from 1, less 1.
            let mut left = (libm::ceil(share * count as f64) as u64).clamp(1, count) - 1;
            let half = upper.iter().position(|&n| {
                let here = left < n;
                left -= if here { 0 } else { n };
                here
            })?;
            let mut lower = vec![0u64; 1 << 16];
            for l in lightness.clone().flatten() {
                let bits = l.max(0.0).to_bits() & 0x7fff_ffff;
                if (bits >> 16) as usize == half {
                    lower[(bits & 0xffff) as usize] += 1;
                }
            }
            let low = lower.iter().position(|&n| {
                let here = left < n;
                left -= if here { 0 } else { n };
                here
            })?;
            Some((half as u32) << 16 | low as u32)
        };
        if count == 0 {
            return None;
        }
        let ends = |paper: u32, black: u32| Self { paper: value(paper), black: value(black) };
        let usual = ends(ranked(1.0 - Self::SPECKS)?, ranked(Self::SPECKS)?);
        [usual, ends(lightest, darkest)].into_iter().find(|ends| ends.range() > EVEN)
    }

    /// How far apart the ends are in linear light.
    fn range(&self) -> f64 {
        self.paper.reflectance().0 - self.black.reflectance().0
    }
}

/// The lightness of a float's bits.
fn value(bits: u32) -> Lightness {
    Lightness(f64::from(f32::from_bits(bits)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_percentiles_and_fall_back_on_extremes() {
        // Ranks as numpy.percentile(..., method="inverted_cdf") gives them: of 0.1..100.0, the 5th and the 995th value.
        let values: Vec<f32> = (1..=1000).rev().map(|i| i as f32 / 10.0).collect();
        let ends = Ends::of(&values.chunks(7)).unwrap();
        assert_eq!((ends.paper.0 as f32, ends.black.0 as f32), (99.5, 0.5));
        let mut line = vec![90.0f32; 10_000];
        line[77] = 12.0;
        let ends = Ends::of(&std::iter::once(&line[..])).unwrap();
        assert_eq!((ends.paper, ends.black), (Lightness(90.0), Lightness(12.0)));
        line[77] = 90.001;
        assert_eq!(Ends::of(&std::iter::once(&line[..])), None);
        assert_eq!(Ends::of(&std::iter::empty::<&[f32]>()), None);
    }
}
