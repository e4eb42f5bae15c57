//! One curve through a strip: lightness over total time, and back.

use crate::light::Lightness;
use crate::pchip::Pchip;
use crate::strip::{Reading, TestStrip};
use crate::units::Seconds;

/// Scale of the time axis: x = ln(1 + t/5 s) spreads the short totals and keeps 0 s on the axis. Estimate of ours.
const SCALE: f64 = 5.0;

/// Lightness of the dry print over total time: a monotone cubic of L* over ln(1 + t/5 s) through every band of a strip.
///
/// # Guarantees
/// L* falls from the paper at 0 s to the darkest band, passes through every reading exactly and never goes beyond the strip.
#[derive(Clone, Debug, PartialEq)]
pub struct BiteCurve {
    readings: Vec<Reading>,
    over_x: Pchip,
    /// What every time is multiplied by.
    pace: f64,
}

impl BiteCurve {
    /// The curve through all bands of a strip.
    ///
    /// # Panics
    /// Never: a checked strip's bands are apart and in order.
    #[must_use]
    pub fn through(strip: &TestStrip) -> Self {
        let readings = strip.readings().to_vec();
        let x = readings.iter().map(|r| to_x(r.total)).collect();
        let y = readings.iter().map(|r| r.lightness.0).collect();
        let over_x = Pchip::new(x, y).expect("the bands of a checked strip are finite, apart and in order");
        Self { readings, over_x, pace: 1.0 }
    }

    /// The same curve in a bath where everything takes `factor` times as long. A factor that is no number above 0 changes nothing.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let pace = if factor.is_finite() && factor > 0.0 { self.pace * factor } else { self.pace };
        Self { pace, ..self.clone() }
    }

    /// Lightness at a total time; the paper's before 0 s, the darkest band's after the strip's end: nothing is extrapolated.
    #[must_use]
    pub fn lightness_at(&self, total: Seconds) -> Lightness {
        // log1p has no value below −1.
        Lightness(self.over_x.at(to_x(Seconds(total.0.max(0.0) / self.pace))))
    }

    /// The total time at which the curve has this lightness, `None` where the strip never has it.
    ///
    /// Found by halving, to the last digit the lightness carries: within 1e-9 s where the curve falls by a thousandth of an L* a second.
    #[must_use]
    pub fn time_of(&self, lightness: Lightness) -> Option<Seconds> {
        // A reading's own total, exactly; the way over x and back costs a rounding.
        if let Some(reading) = self.readings.iter().find(|r| r.lightness == lightness) {
            return Some(Seconds(reading.total.0 * self.pace));
        }
        self.over_x.inverse(lightness.0).map(|x| Seconds(to_seconds(x).0 * self.pace))
    }

    /// Lightness of the paper (total 0 s).
    #[must_use]
    pub fn paper(&self) -> Lightness {
        self.readings[0].lightness
    }

    /// Darkest usable reading.
    #[must_use]
    pub fn darkest(&self) -> Lightness {
        self.readings[self.readings.len() - 1].lightness
    }

    /// Total time of the darkest usable reading, where the curve ends.
    #[must_use]
    pub fn end(&self) -> Seconds {
        Seconds(self.readings[self.readings.len() - 1].total.0 * self.pace)
    }

    /// `count` points of the curve for a chart, from the paper to the end, evenly spaced in ln(1 + t/5 s); at least the two ends.
    #[must_use]
    pub fn samples(&self, count: usize) -> Vec<(Seconds, Lightness)> {
        let last = count.max(2) - 1;
        let end = to_x(Seconds(self.end().0 / self.pace));
        let at = |i: usize| if i == last { self.end() } else { Seconds(to_seconds(end * i as f64 / last as f64).0 * self.pace) };
        (0..=last).map(|i| (at(i), self.lightness_at(at(i)))).collect()
    }
}

/// The time axis of the curve, ln(1 + t/5 s).
pub(crate) fn to_x(total: Seconds) -> f64 {
    libm::log1p(total.0 / SCALE)
}

fn to_seconds(x: f64) -> Seconds {
    Seconds(SCALE * libm::expm1(x))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::strip::StripKind;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Strips as a shop might bring them, and odder: 3 to 12 bands, 0.1 to 300 s apart, L* from 84..97 falling by 6 to 80 in uneven steps.
    pub(crate) fn any_strip() -> impl Strategy<Value = TestStrip> {
        let band = (prop_oneof![0.1..1.0f64, 1.0..30.0, 30.0..300.0], 0.01..1.0f64);
        (prop::collection::vec(band, 2..12), 84.0..97.0f64, 6.0..80.0f64).prop_map(|(bands, paper, range)| {
            let all: f64 = bands.iter().map(|b| b.1).sum();
            let mut readings = vec![Reading { total: Seconds(0.0), lightness: Lightness(paper) }];
            for (dt, share) in bands {
                let last = readings[readings.len() - 1];
                readings.push(Reading {
                    total: Seconds(last.total.0 + dt),
                    lightness: Lightness((last.lightness.0 - range * share / all).max(0.0)),
                });
            }
            TestStrip::new("any", StripKind::Measured, readings).unwrap()
        })
    }

    #[test]
    fn ends_and_outside() {
        let curve = BiteCurve::through(&TestStrip::example());
        assert_eq!((curve.paper(), curve.darkest(), curve.end()), (Lightness(91.0), Lightness(20.5), Seconds(640.0)));
        for (t, l) in [(-3.0, 91.0), (f64::NAN, 91.0), (0.0, 91.0), (640.0, 20.5), (1e300, 20.5)] {
            assert_eq!(curve.lightness_at(Seconds(t)), Lightness(l), "{t} s");
        }
        assert_eq!(curve.time_of(Lightness(91.0)), Some(Seconds(0.0)));
        assert_eq!(curve.time_of(Lightness(20.5)), Some(Seconds(640.0)));
        for l in [91.000_001, 20.499_999, f64::NAN, f64::INFINITY] {
            assert_eq!(curve.time_of(Lightness(l)), None, "L* {l}");
        }
    }

    #[test]
    fn a_slower_bath_has_the_same_tones_later() {
        let curve = BiteCurve::through(&TestStrip::example());
        let slow = curve.scaled(1.25);
        for l in [91.0, 80.5, 60.0, 33.3, 20.5] {
            let (then, now) = (curve.time_of(Lightness(l)).unwrap(), slow.time_of(Lightness(l)).unwrap());
            assert_abs_diff_eq!(now.0, then.0 * 1.25, epsilon = 1e-9);
            assert_abs_diff_eq!(slow.lightness_at(now).0, l, epsilon = 1e-9);
        }
        assert_abs_diff_eq!(slow.end().0, 800.0, epsilon = 1e-9);
        assert_eq!(curve.scaled(f64::NAN), curve);
    }

    #[test]
    fn samples_are_even_in_x() {
        let curve = BiteCurve::through(&TestStrip::example());
        let samples = curve.samples(50);
        assert_eq!((samples.len(), samples[0].0, samples[49]), (50, Seconds(0.0), (Seconds(640.0), Lightness(20.5))));
        let step = f64::ln(129.0) / 49.0;
        for pair in samples.windows(2) {
            assert_abs_diff_eq!((pair[1].0.0 / 5.0).ln_1p() - (pair[0].0.0 / 5.0).ln_1p(), step, epsilon = 1e-12);
        }
        assert_eq!(curve.samples(0).len(), 2);
    }

    #[test]
    fn there_and_back_to_a_nanosecond() {
        let curve = BiteCurve::through(&TestStrip::example());
        for i in 0..=6400 {
            let t = f64::from(i) / 10.0;
            let back = curve.time_of(curve.lightness_at(Seconds(t))).unwrap();
            assert_abs_diff_eq!(back.0, t, epsilon = 1e-9);
        }
    }

    proptest! {
        #[test]
        fn falls_and_passes_through_every_reading(strip in any_strip()) {
            let curve = BiteCurve::through(&strip);
            for reading in strip.readings() {
                prop_assert_eq!(curve.lightness_at(reading.total), reading.lightness);
                prop_assert_eq!(curve.time_of(reading.lightness), Some(reading.total));
            }
            for pair in strip.readings().windows(2) {
                let mut before = pair[0].lightness.0;
                for i in 1..=50 {
                    // Rounding may carry the last place a hair past the band.
                    let t = (pair[0].total.0 + (pair[1].total.0 - pair[0].total.0) * f64::from(i) / 50.0).min(pair[1].total.0);
                    let now = curve.lightness_at(Seconds(t)).0;
                    // 1e-12: rounding of values up to 100.
                    prop_assert!(now <= before + 1e-12, "at {} s: {} then {}", t, before, now);
                    prop_assert!(now >= pair[1].lightness.0 && now <= pair[0].lightness.0);
                    before = now;
                }
            }
        }

        #[test]
        fn there_and_back(strip in any_strip(), share in 0.0..=1.0f64) {
            let curve = BiteCurve::through(&strip);
            let t = share * curve.end().0;
            let l = curve.lightness_at(Seconds(t));
            let back = curve.time_of(l).unwrap();
            let there = curve.lightness_at(back);
            prop_assert!((there.0 - l.0).abs() <= 1e-12, "{} for {}", there.0, l.0);
            // Where a strip flattens an L* carries less of the time: what 1e-12 L* spans there comes on top of 1e-9 s, and where it
            // lies all but level no time can be read back.
            let (fore, aft) = (curve.lightness_at(Seconds(t - 1e-3)).0, curve.lightness_at(Seconds(t + 1e-3)).0);
            if fore - aft > 1e-9 {
                let slack = 1e-9 + 1e-12 * 2e-3 / (fore - aft);
                prop_assert!((back.0 - t).abs() <= slack, "{} s for {} s, {} allowed", back.0, t, slack);
            }
        }
    }
}
