//! A witness: one known time bitten first thing on the day, on metal grained with the plate. How long the strip took to the same lightness
//! tells by how much today's bath differs, whatever the cause: warmth, fatigue, strength. One ratio then scales the whole ladder.

use crate::curve::BiteCurve;
use crate::light::Lightness;
use crate::strip::{After, LONGEST};
use crate::units::Seconds;
use std::fmt;

/// Standard deviations from the middle to either end of a 10–90 % range: the 0.9 quantile of the standard normal distribution.
const TO_THE_TENTH: f64 = 1.281_551_565_544_6;

/// A witness whose range ends farther apart than this, one over the other, tells nothing that is worth scaling by. Choice of ours.
const WIDEST: f64 = 2.0;

/// Outside of these a ratio is more likely a slip than a bath. Choice of ours.
const LIKELY: (f64, f64) = (0.5, 2.0);

/// What today's bath does to the strip's times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Witness {
    /// Today's time over the strip's, for the same lightness: above 1 where today's bath is slower.
    pub ratio: f64,
    /// Where the ratio lies at 10 and at 90 %, from the error of reading the witness alone.
    pub range: (f64, f64),
    /// When the strip came to that lightness.
    pub strip_total: Seconds,
}

/// Why a witness says nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum WitnessError {
    /// Its time is no time.
    Time {
        /// What came, s.
        seconds: f64,
    },
    /// Its lightness is none.
    Lightness {
        /// What came, L*.
        came: f64,
    },
    /// The strip never has that lightness.
    Off {
        /// What came, L*.
        came: f64,
        /// L* of the strip's paper.
        paper: f64,
        /// L* its curve ends at.
        darkest: f64,
    },
    /// Bitten longer than the darkest band of a strip that turns lighter again: its lightness may lie on either side of the black.
    Past {
        /// Its time, s.
        seconds: f64,
        /// The darkest band's time on the clock, s.
        darkest_at: f64,
    },
    /// So near an end of the strip, or where it is so flat, that the error of reading swallows it.
    Vague {
        /// What came, L*.
        came: f64,
        /// Error of reading taken, L*.
        error: f64,
        /// Lightness where the strip says more, L*.
        better: f64,
        /// Its total on the strip, s.
        at: f64,
    },
}

impl fmt::Display for WitnessError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Time { seconds } => write!(
                f,
                "A witness is bitten for a time above 0 s and up to {} s; {seconds} s came: type the seconds it was in the bath.",
                LONGEST.0
            ),
            Self::Lightness { came } => {
                write!(f, "A witness has an L* from 0 to 100; {came} came: read its dry print as you read the strip.")
            }
            Self::Off { came, paper, darkest } => write!(
                f,
                "The witness reads L* {came:.1}; the strip runs from L* {paper:.1} (paper) to L* {darkest:.1}, so it can’t say how long that took: bite \
                 another witness, for a time within the strip."
            ),
            Self::Past { seconds, darkest_at } => write!(
                f,
                "The witness was bitten {seconds} s, and after {darkest_at} s this strip turns lighter again: the same L* comes twice, so it can’t say how long \
                 that took. Bite another witness, for a time well short of {darkest_at} s."
            ),
            Self::Vague { came, error, better, at } => write!(
                f,
                "The witness reads L* {came:.1}, where the strip says too little: an error of {error} L* in the reading would change all times by more than \
                 the bath does. Bite one of about {at:.0} s, which the strip has at L* {better:.0}."
            ),
        }
    }
}

impl std::error::Error for WitnessError {}

impl Witness {
    /// The witness of `seconds` on the clock, in one dip, that printed at `lightness`, beside the curve of the strip: read as exactly as the
    /// strip, with the same lag and drag-out ([`crate::practice::Practice`]).
    ///
    /// Range: the curve's own times for the reading plus and minus 1.28 standard deviations, which for a falling curve are its tenths exactly.
    /// The strip's own error is not in it.
    ///
    /// # Errors
    /// Off the strip; past its black, where the strip turns lighter again; or so near its ends, or where it is so flat, that the range would be wider than a factor of two.
    pub fn read(seconds: Seconds, lightness: Lightness, curve: &BiteCurve) -> Result<Self, WitnessError> {
        let error = curve.practice().error.l();
        let bitten = seconds.0 + curve.practice().handling.restart().0;
        if !(seconds.0 > 0.0 && bitten > 0.0 && seconds <= LONGEST) {
            return Err(WitnessError::Time { seconds: seconds.0 });
        }
        if !(0.0..=100.0).contains(&lightness.0) {
            return Err(WitnessError::Lightness { came: lightness.0 });
        }
        if let After::OverBitten { .. } | After::Reread { .. } = curve.verdict().after
            && bitten > curve.end().0
        {
            return Err(WitnessError::Past { seconds: seconds.0, darkest_at: curve.verdict().darkest.total.0 });
        }
        // A fitted curve may end lighter than the darkest band reads.
        let (paper, darkest) = (curve.paper().0, curve.lightness_at(curve.end()).0);
        let Some(strip_total) = curve.time_of(lightness) else {
            return Err(WitnessError::Off { came: lightness.0, paper, darkest });
        };
        let reach = TO_THE_TENTH * error;
        let at = |l: f64| curve.time_of(Lightness(l)).filter(|time| time.0 > 0.0);
        let range = at(lightness.0 - reach).zip(at(lightness.0 + reach)).map(|(late, early)| (bitten / late.0, bitten / early.0));
        match range {
            Some((low, high)) if high <= WIDEST * low => Ok(Self { ratio: bitten / strip_total.0, range: (low, high), strip_total }),
            _ => {
                let better = f64::midpoint(paper, darkest);
                let at = curve.time_of(Lightness(better)).map_or(0.0, |time| time.0);
                Err(WitnessError::Vague { came: lightness.0, error, better, at })
            }
        }
    }

    /// What it says, and a warning where it is beyond what a bath is likely to do.
    #[must_use]
    pub fn sentence(&self) -> String {
        let (low, high) = self.range;
        let scaled = format!(
            "All times are {:.2} times the strip’s, by the witness ({low:.2} to {high:.2} at 10 and 90 %, from reading the witness alone).",
            self.ratio
        );
        if (LIKELY.0..=LIKELY.1).contains(&self.ratio) {
            scaled
        } else {
            format!(
                "{scaled} That is more than a bath changes in a day or two: look for a slip, another grain or another mordant, and bite a new strip."
            )
        }
    }

    /// Whether the ratio is beyond what a bath is likely to do.
    #[must_use]
    pub fn is_unlikely(&self) -> bool {
        !(LIKELY.0..=LIKELY.1).contains(&self.ratio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::{Handling, Practice};
    use crate::strip::{Reading, StripKind, TestStrip};
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn curve() -> BiteCurve {
        BiteCurve::of(&TestStrip::example())
    }

    fn read(seconds: f64, lightness: f64) -> Result<Witness, WitnessError> {
        Witness::read(Seconds(seconds), Lightness(lightness), &curve())
    }

    #[test]
    fn the_strips_own_reading_is_a_ratio_of_one_and_a_slow_bath_is_above() {
        // 80 s printed at L* 48.5 on the example strip.
        let same = read(80.0, 48.5).unwrap();
        assert_relative_eq!(same.ratio, 1.0);
        assert!(same.range.0 < 1.0 && same.range.1 > 1.0);
        let slow = read(100.0, 48.5).unwrap();
        assert_relative_eq!(slow.ratio, 1.25);
        assert_relative_eq!(slow.range.0, same.range.0 * 1.25);
        assert!(slow.sentence().starts_with("All times are 1.25 times the strip’s, by the witness (") && !slow.is_unlikely());
    }

    #[test]
    fn off_the_strip_near_its_ends_and_where_it_is_no_reading_it_is_refused() {
        for lightness in [95.0, 20.0, 91.1] {
            assert!(matches!(read(60.0, lightness), Err(WitnessError::Off { .. })), "L* {lightness}");
        }
        for lightness in [91.0, 90.5, 89.0, 20.5, 21.0] {
            let said = read(60.0, lightness).unwrap_err();
            assert!(matches!(said, WitnessError::Vague { .. }), "L* {lightness}: {said:?}");
            assert!(said.to_string().ends_with('.') && said.to_string().contains("Bite one of about "), "{said}");
        }
        for seconds in [0.0, -1.0, 1e9, f64::NAN] {
            assert!(matches!(read(seconds, 50.0), Err(WitnessError::Time { .. })));
        }
        assert!(matches!(read(60.0, f64::NAN), Err(WitnessError::Lightness { .. })));
        assert!(matches!(read(60.0, 101.0), Err(WitnessError::Lightness { .. })));
    }

    #[test]
    fn a_ratio_no_bath_is_likely_to_have_is_warned_of() {
        assert!(read(500.0, 48.5).unwrap().sentence().contains("look for a slip"));
        assert!(read(20.0, 48.5).unwrap().is_unlikely());
    }

    #[test]
    fn lag_and_drag_out_count_for_the_witness_as_for_the_strip() {
        // With 2 s of lag a dip of 82 s bites for 80 s; the strip's band of 80 s, made in one dip, for 78 s.
        let handling = Handling::new(Seconds(2.0), Seconds(2.0), Seconds(0.0)).unwrap();
        let curve = BiteCurve::with(&TestStrip::example(), Practice { handling, ..Practice::default() }).unwrap();
        let witness = Witness::read(Seconds(82.0), Lightness(48.5), &curve).unwrap();
        assert_relative_eq!(witness.ratio, 80.0 / 78.0, max_relative = 1e-9);
        assert!(matches!(Witness::read(Seconds(2.0), Lightness(48.5), &curve), Err(WitnessError::Time { .. })));
    }

    #[test]
    fn a_witness_past_the_black_of_an_over_bitten_strip_says_nothing() {
        // The strip's own band of 480 s reads L* 40.5 after the black at 320 s. Read as on the way down it would double every time.
        let curve = BiteCurve::of(&crate::curve::tests::demo(66.0, 56.5));
        let said = Witness::read(Seconds(480.0), Lightness(40.5), &curve).unwrap_err();
        assert_eq!(said, WitnessError::Past { seconds: 480.0, darkest_at: 320.0 });
        assert!(said.to_string().contains("comes twice") && said.to_string().ends_with('.'), "{said}");
        assert!(Witness::read(Seconds(80.0), Lightness(60.0), &curve).is_ok());
    }

    #[test]
    fn a_fitted_curve_that_ends_short_says_where_it_ends() {
        let bands = [(0.0, 90.0), (5.0, 86.0), (10.0, 82.0), (20.0, 82.5), (40.0, 76.0), (80.0, 71.0), (160.0, 67.0), (200.0, 45.0)];
        let readings = bands.map(|(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).to_vec();
        let curve = BiteCurve::of(&TestStrip::new("own", StripKind::Measured, readings).unwrap());
        // SciPy's least_squares with soft_l1 ends at L* 56.03 (tests/reference/scripts/robust_fits.py, fit); L* 50 was read, and is not on it.
        let said = Witness::read(Seconds(100.0), Lightness(50.0), &curve).unwrap_err().to_string();
        assert!(said.contains("reads L* 50.0; the strip runs from L* 90.0 (paper) to L* 56.0"), "{said}");
    }

    proptest! {
        /// A witness cut from the strip's own curve, in a bath slower by a factor, gives back that factor, within its own range.
        #[test]
        fn it_finds_the_factor_it_was_made_with(lightness in 25.0..85.0f64, factor in 0.3..3.0f64) {
            let curve = curve();
            let strip = curve.time_of(Lightness(lightness)).unwrap();
            let witness = Witness::read(Seconds(strip.0 * factor), Lightness(lightness), &curve).unwrap();
            prop_assert!((witness.ratio / factor - 1.0).abs() < 1e-9);
            prop_assert!(witness.range.0 < witness.ratio && witness.ratio < witness.range.1);
        }
    }
}
