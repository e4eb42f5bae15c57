//! How a tone takes stronger or weaker ink: the film in its pits holds more or less, its lands stay bare.
//!
//! Lands and pits are the proof's own ([`ProofTones`]), mixed by Yule and Nielsen as there. Between its tones the share of lands goes straight over
//! `Y^(1/n)`, from 1 at the paper.

use crate::light::{Lightness, Reflectance};
use crate::proof::ProofTones;

/// How the tones of a strip take ink.
#[derive(Clone, Debug, PartialEq)]
pub struct Inking {
    n: f64,
    /// `Y^(1/n)` and the share of lands, the paper first, falling.
    lands: Vec<(f64, f64)>,
}

impl Inking {
    /// By the lands of a proof's tones.
    #[must_use]
    pub fn of(tones: &ProofTones) -> Self {
        let known: Vec<(f64, f64)> = tones.tones().iter().filter(|t| t.undercut.is_some()).map(|t| (t.mean.0, t.lands)).collect();
        Self::new(tones.paper().lightness(), &known, tones.n())
    }

    /// By means (linear light) and shares of lands, in any order.
    #[must_use]
    pub fn new(paper: Lightness, known: &[(f64, f64)], n: f64) -> Self {
        let n = if n.is_finite() { n.clamp(1.0, 10.0) } else { 1.8 };
        let root = |y: f64| libm::pow(y.clamp(1e-6, 1.0), 1.0 / n);
        let mut sorted: Vec<(f64, f64)> =
            known.iter().filter(|(y, c)| y.is_finite() && c.is_finite()).map(|&(y, c)| (root(y), c)).collect();
        sorted.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut lands = vec![(root(paper.reflectance().0), 1.0)];
        for (at, share) in sorted {
            let (before, least) = lands[lands.len() - 1];
            if at < before - 1e-6 {
                lands.push((at, share.clamp(0.0, least)));
            }
        }
        Self { n, lands }
    }

    /// The share of lands of a tone by its `Y^(1/n)`.
    fn lands_at(&self, root: f64) -> f64 {
        let after = self.lands.partition_point(|&(at, _)| at > root);
        match (after, self.lands.get(after)) {
            (0, _) => 1.0,
            (_, Some(&(at, share))) => {
                let (before, more) = self.lands[after - 1];
                share + (more - share) * (root - at) / (before - at)
            }
            // Darker than any tone known: on to no lands at no light.
            (_, None) => {
                let (at, share) = self.lands[after - 1];
                share * (root / at).max(0.0)
            }
        }
    }

    /// The density of a tone of so much L* when the film in its pits holds `times` as much.
    #[must_use]
    pub fn density(&self, own: Lightness, times: f64) -> f64 {
        let y = own.reflectance();
        let paper = libm::pow(self.lands[0].0, self.n);
        let root = libm::pow(y.0.max(1e-6), 1.0 / self.n);
        let lands = self.lands_at(root);
        if lands > 0.999 || root >= self.lands[0].0 {
            // Next to nothing is bitten: what there is darkens in proportion.
            let paper = Reflectance(paper).density().0;
            return (paper + times * (y.density().0 - paper)).min(3.5);
        }
        let pit = ((root - lands * self.lands[0].0) / (1.0 - lands)).max(1e-3);
        let inked = libm::pow(paper, 1.0 / self.n) * libm::pow(pit / self.lands[0].0, times);
        Reflectance(libm::pow(lands * self.lands[0].0 + (1.0 - lands) * inked, self.n)).density().0.min(3.5)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inking() -> Inking {
        Inking::new(Lightness(91.0), &[(0.1, 0.2), (0.6, 0.75), (0.3, 0.5), (0.03, 0.05)], 1.8)
    }

    #[test]
    fn as_much_ink_is_as_dark_and_paper_stays_paper() {
        for l in 8..=91 {
            let l = Lightness(f64::from(l));
            assert!((inking().density(l, 1.0) - l.reflectance().density().0).abs() < 1e-9, "{l:?}");
        }
        let paper = Lightness(91.0);
        assert!((inking().density(paper, 2.0) - paper.reflectance().density().0).abs() < 1e-9);
        // What is no number is taken for black, so that no figure that comes of it is none.
        assert_eq!(inking().density(Lightness(f64::NAN), 1.2), inking().density(Lightness(0.0), 1.2));
    }

    #[test]
    fn lands_hold_back_what_more_ink_can_do() {
        // Of light tones with many lands, ink changes less than the plain scaling of their density would.
        let own = Lightness(70.0);
        let paper = Lightness(91.0).reflectance().density().0;
        let plain = paper + 1.5 * (own.reflectance().density().0 - paper);
        let got = inking().density(own, 1.5);
        assert!(got < plain && got > own.reflectance().density().0, "{got} {plain}");
    }

    proptest! {
        #[test]
        fn more_ink_is_darker_and_the_order_stays(a in 5.0..90.0f64, b in 5.0..90.0f64, times in 0.5..1.8f64) {
            let of = |l: f64, times: f64| inking().density(Lightness(l), times);
            prop_assert!(of(a, times * 1.1) > of(a, times) - 1e-12);
            if a < b - 0.5 {
                prop_assert!(of(a, times) > of(b, times) - 0.02, "{} {}", of(a, times), of(b, times));
            }
        }
    }
}
