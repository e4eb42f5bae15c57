//! One curve of a strip: lightness over total time, and back.

use crate::light::Lightness;
use crate::pchip::Pchip;
use crate::practice::Practice;
use crate::strip::{Reading, TestStrip, Verdict};
use crate::units::Seconds;
use serde::Serialize;
use std::fmt;

mod fit;
mod ranges;
use fit::Saturating;
pub use ranges::{QUANTILES, REPLICATES};

/// Scale of the time axis: x = ln(1 + t/5 s) spreads the short totals and keeps 0 s on the axis. Estimate of ours.
const SCALE: f64 = 5.0;

/// Least time that bites between two bands, s, after lag and drag-out: what [`crate::strip::SHORTEST_STEP`] is on the clock.
const APART: f64 = 0.1;

/// How the curve lies to the readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum CurveKind {
    /// Through every one: they darken from band to band.
    Through,
    /// Between them, a saturating curve that a misread band draws little: some do not darken.
    Fitted,
}

#[derive(Clone, Debug, PartialEq)]
enum Shape {
    /// A monotone cubic of L* over ln(1 + t/5 s).
    Through(Pchip),
    /// Four figures.
    Fitted(Saturating),
}

/// Lightness of the dry print over total time that bites, up to the strip's darkest band.
///
/// Where the bands up to the darkest fall, a monotone cubic of L* over ln(1 + t/5 s) through every one. Where they do not, a
/// saturating curve fitted between them. Times are those that bite: the clock's, with lag and drag-out of the strip's dips taken off
/// and added ([`Practice`]); without those the two are the same.
///
/// # Guarantees
/// At 0 s it has the paper's reading: tone 0 is not bitten and prints as the paper reads. It never rises, falls strictly from where it
/// leaves the paper to its end, and says nothing beyond the darkest band. A cubic passes through every reading exactly. A fitted curve leaves the paper
/// at 0 s or a moment later and may end lighter or darker than the darkest reading: [`BiteCurve::reach`] is what may be planned for.
#[derive(Clone, Debug, PartialEq)]
pub struct BiteCurve {
    /// The bands up to the darkest, at the time that bites.
    readings: Vec<Reading>,
    shape: Shape,
    /// The longest time that may be planned, before `pace`.
    limit: Seconds,
    /// What every time is multiplied by.
    pace: f64,
    practice: Practice,
    verdict: Verdict,
}

/// Why a strip gives no curve.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum CurveError {
    /// With this lag a band would not have bitten longer than the one before.
    Lag {
        /// Total of the band on the clock, s.
        seconds: f64,
        /// L* it reads.
        lightness: f64,
        /// Restart lag of a dip, s.
        lag: f64,
        /// Drag-out of a dip, s.
        drag: f64,
    },
}

impl fmt::Display for CurveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Lag { seconds, lightness, lag, drag } => write!(
                f,
                "With a restart lag of {lag} s and a drag-out of {drag} s a dip, the band at {seconds} s would have bitten no longer than \
                 the one before, yet it reads L* {lightness:.1}: give a shorter lag, or say how the strip was made."
            ),
        }
    }
}

impl std::error::Error for CurveError {}

impl BiteCurve {
    /// The curve of a strip, with the usual reading error and without lag or drag-out.
    ///
    /// # Panics
    /// Never: a checked strip's bands are apart and in order.
    #[must_use]
    pub fn of(strip: &TestStrip) -> Self {
        Self::with(strip, Practice::default()).expect("the bands of a checked strip are apart and in order")
    }

    /// The curve of a strip, by the printer's own practice.
    ///
    /// # Errors
    /// When the lag leaves a band no time that bites.
    pub fn with(strip: &TestStrip, practice: Practice) -> Result<Self, CurveError> {
        let verdict = Verdict::of(strip, practice.error);
        let readings = effective(&strip.readings()[..verdict.usable], practice)?;
        let falls = readings.windows(2).all(|w| w[1].lightness < w[0].lightness);
        let x = readings.iter().map(|r| to_x(r.total)).collect();
        let through = if falls { Pchip::new(x, readings.iter().map(|r| r.lightness.0).collect()).ok() } else { None };
        let shape = through.map_or_else(|| Shape::Fitted(Saturating::fit(&readings)), Shape::Through);
        let limit = Seconds(verdict.share_planned() * readings[readings.len() - 1].total.0);
        Ok(Self { readings, shape, limit, pace: 1.0, practice, verdict })
    }

    /// The same curve with every time multiplied: a bath that needs twice as long has a factor of 2.
    ///
    /// # Panics
    /// When the factor is not above zero and finite.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        assert!(factor > 0.0 && factor.is_finite(), "a factor above zero is asked for, {factor} came");
        Self { pace: self.pace * factor, ..self.clone() }
    }

    /// Whether it goes through the readings or between them.
    #[must_use]
    pub fn kind(&self) -> CurveKind {
        match self.shape {
            Shape::Through(_) => CurveKind::Through,
            Shape::Fitted(_) => CurveKind::Fitted,
        }
    }

    /// Lightness at a total time; the paper's up to 0 s, the end's after the strip's end: nothing is extrapolated.
    #[must_use]
    pub fn lightness_at(&self, total: Seconds) -> Lightness {
        self.shape_at(Seconds(total.0 / self.pace))
    }

    /// The first total time at which the curve has this lightness, `None` where it never has it.
    ///
    /// On a cubic found by halving, to the last digit the lightness carries: within 1e-9 s where it falls by a thousandth of an L* a
    /// second.
    #[must_use]
    pub fn time_of(&self, lightness: Lightness) -> Option<Seconds> {
        self.shape_time_of(lightness).map(|t| Seconds(t.0 * self.pace))
    }

    /// Lightness of the paper (total 0 s).
    #[must_use]
    pub fn paper(&self) -> Lightness {
        self.readings[0].lightness
    }

    /// Darkest usable reading.
    #[must_use]
    pub fn darkest(&self) -> Lightness {
        self.last().lightness
    }

    /// The darkest lightness that may be planned for: the darkest reading, or what the curve has at [`BiteCurve::limit`] where that is
    /// lighter, because the strip is over-bitten or the fitted curve does not come so far.
    #[must_use]
    pub fn reach(&self) -> Lightness {
        let at_limit = self.shape_at(self.limit);
        if at_limit > self.darkest() { at_limit } else { self.darkest() }
    }

    /// Total time of the darkest usable reading, where the curve ends.
    #[must_use]
    pub fn end(&self) -> Seconds {
        Seconds(self.last().total.0 * self.pace)
    }

    /// The longest total that may be planned: the end, or a little short of it where the strip is over-bitten.
    #[must_use]
    pub fn limit(&self) -> Seconds {
        Seconds(self.limit.0 * self.pace)
    }

    /// What every time is multiplied by; 1 unless [`BiteCurve::scaled`].
    #[must_use]
    pub fn pace(&self) -> f64 {
        self.pace
    }

    /// The practice it was made by.
    #[must_use]
    pub fn practice(&self) -> Practice {
        self.practice
    }

    /// What the strip's readings say.
    #[must_use]
    pub fn verdict(&self) -> &Verdict {
        &self.verdict
    }

    /// The bands it rests on, at the time that bites, multiplied as the curve is.
    #[must_use]
    pub fn readings(&self) -> Vec<Reading> {
        self.readings.iter().map(|r| Reading { total: Seconds(r.total.0 * self.pace), ..*r }).collect()
    }

    /// `count` points of the curve for a chart, from the paper to the end, evenly spaced in ln(1 + t/5 s) of the strip's own times; at
    /// least the two ends.
    #[must_use]
    pub fn samples(&self, count: usize) -> Vec<(Seconds, Lightness)> {
        let last = count.max(2) - 1;
        let end = self.last().total;
        let x = to_x(end);
        let at = |i: usize| if i == last { end } else { to_seconds(x * i as f64 / last as f64) };
        (0..=last).map(|i| (Seconds(at(i).0 * self.pace), self.shape_at(at(i)))).collect()
    }

    fn last(&self) -> Reading {
        self.readings[self.readings.len() - 1]
    }

    /// Lightness at a time before it is multiplied.
    fn shape_at(&self, total: Seconds) -> Lightness {
        // Not-a-number counts as 0 s, and log1p has no value below −1.
        let total = Seconds(total.0.max(0.0).min(self.last().total.0));
        match &self.shape {
            Shape::Through(cubic) => Lightness(cubic.at(to_x(total))),
            Shape::Fitted(curve) => Lightness(curve.at(total).min(self.paper().0)),
        }
    }

    /// Time of a lightness before it is multiplied.
    fn shape_time_of(&self, lightness: Lightness) -> Option<Seconds> {
        if lightness == self.paper() {
            return Some(Seconds(0.0));
        }
        match &self.shape {
            Shape::Through(cubic) => {
                // A reading's own total, exactly; the way over x and back costs a rounding.
                let read = self.readings.iter().find(|r| r.lightness == lightness).map(|r| r.total);
                read.or_else(|| cubic.inverse(lightness.0).map(to_seconds))
            }
            Shape::Fitted(curve) => {
                let within = lightness < self.paper() && lightness >= self.shape_at(self.last().total);
                within.then(|| Seconds(curve.time_of(lightness).0.min(self.last().total.0)))
            }
        }
    }
}

/// The readings at the time that bites: on the clock, with drag-out added and lag taken off for every dip the band had.
pub(crate) fn effective(readings: &[Reading], practice: Practice) -> Result<Vec<Reading>, CurveError> {
    let mut bitten: Vec<Reading> = Vec::with_capacity(readings.len());
    let restart = practice.handling.restart().0;
    for (band, reading) in readings.iter().enumerate() {
        let total = reading.total.0 + practice.made.dips(band) as f64 * restart;
        // A hair of slack, as the strip's own check has.
        if bitten.last().is_some_and(|before| total - before.total.0 < APART - 1e-9) {
            let (lag, drag) = (practice.handling.lag().0, practice.handling.drag().0);
            return Err(CurveError::Lag { seconds: reading.total.0, lightness: reading.lightness.0, lag, drag });
        }
        bitten.push(Reading { total: Seconds(total), lightness: reading.lightness });
    }
    Ok(bitten)
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
    use crate::practice::{Handling, Made};
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

    /// Whatever a strip may read: 3 to 16 bands, 0.1 s to hours apart, flat, falling, over-bitten or scattered.
    pub(crate) fn any_readings() -> impl Strategy<Value = TestStrip> {
        let gap = prop_oneof![0.1..1.0f64, 1.0..60.0, 60.0..600.0, 600.0..5000.0];
        let l = prop_oneof![4 => 0.0..100.0f64, 1 => Just(50.0), 1 => 49.9..50.1f64];
        let turned = (prop::collection::vec((gap, l), 2..16), 20.0..100.0f64, 0.0..=1.0f64, any::<bool>());
        turned.prop_filter_map("a strip", |(mut bands, paper, turn, sorted)| {
            if sorted {
                // Down to a turn, and up again from there.
                let turn = ((bands.len() as f64 * turn) as usize).min(bands.len());
                let mut l: Vec<f64> = bands.iter().map(|b| b.1 * paper / 100.0).collect();
                l[..turn].sort_by(|a, b| b.total_cmp(a));
                l[turn..].sort_by(f64::total_cmp);
                bands.iter_mut().zip(l).for_each(|(band, l)| band.1 = l);
            }
            let mut readings = vec![Reading { total: Seconds(0.0), lightness: Lightness(paper) }];
            for (gap, l) in bands {
                readings.push(Reading { total: Seconds(readings[readings.len() - 1].total.0 + gap), lightness: Lightness(l) });
            }
            TestStrip::new("any", StripKind::Measured, readings).ok()
        })
    }

    #[test]
    fn ends_and_outside() {
        let curve = BiteCurve::of(&TestStrip::example());
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
    fn samples_are_even_in_x() {
        let curve = BiteCurve::of(&TestStrip::example());
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
        let curve = BiteCurve::of(&TestStrip::example());
        for i in 0..=6400 {
            let t = f64::from(i) / 10.0;
            let back = curve.time_of(curve.lightness_at(Seconds(t))).unwrap();
            assert_abs_diff_eq!(back.0, t, epsilon = 1e-9);
        }
    }

    fn strip(bands: &[(f64, f64)]) -> TestStrip {
        let readings = bands.iter().map(|&(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).collect();
        TestStrip::new("test", StripKind::Measured, readings).unwrap()
    }

    /// Strips 14-B and 14-C of the demo; they differ at 40 s and 80 s.
    pub(crate) fn demo(at_40: f64, at_80: f64) -> TestStrip {
        let l = [89.0, 85.0, 81.0, 74.0, at_40, at_80, 47.0, 37.0, 40.5, 45.5];
        let s = [0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 320.0, 480.0, 640.0];
        strip(&std::array::from_fn::<_, 10, _>(|i| (s[i], l[i])))
    }

    #[test]
    fn an_over_bitten_strip_ends_at_its_darkest_band_and_is_planned_short_of_it() {
        let curve = BiteCurve::of(&demo(66.0, 56.5));
        assert_eq!((curve.kind(), curve.end(), curve.limit()), (CurveKind::Through, Seconds(320.0), Seconds(304.0)));
        assert_eq!((curve.darkest(), curve.reach()), (Lightness(37.0), curve.lightness_at(Seconds(304.0))));
        assert!(curve.reach() > curve.darkest());
        assert_eq!(curve.lightness_at(Seconds(640.0)), Lightness(37.0));
    }

    #[test]
    fn readings_that_do_not_fall_get_a_fitted_curve_that_does() {
        let curve = BiteCurve::of(&demo(63.0, 64.5));
        assert_eq!(
            (curve.kind(), curve.paper(), curve.end(), curve.limit()),
            (CurveKind::Fitted, Lightness(89.0), Seconds(320.0), Seconds(304.0))
        );
        assert_eq!((curve.lightness_at(Seconds(0.0)), curve.time_of(Lightness(89.0))), (Lightness(89.0), Some(Seconds(0.0))));
        let samples = curve.samples(200);
        let left = samples.iter().position(|s| s.1 < curve.paper()).unwrap();
        assert!(samples[left].0.0 < 2.0, "it leaves the paper at {:?}", samples[left]);
        assert!(samples[left..].windows(2).all(|w| w[1].1 < w[0].1), "falls strictly from there");
        assert_eq!((curve.time_of(Lightness(89.1)), curve.time_of(Lightness(30.0))), (None, None));
    }

    #[test]
    fn a_scaled_curve_is_the_curve_at_other_times() {
        for strip in [TestStrip::example(), demo(63.0, 64.5)] {
            let (curve, slow) = (BiteCurve::of(&strip), BiteCurve::of(&strip).scaled(1.25));
            assert_eq!((slow.end().0, slow.limit().0, slow.pace()), (1.25 * curve.end().0, 1.25 * curve.limit().0, 1.25));
            assert_eq!((slow.paper(), slow.darkest(), slow.reach()), (curve.paper(), curve.darkest(), curve.reach()));
            for t in [0.0, 3.0, 47.0, 130.0, 300.0, 900.0] {
                assert_abs_diff_eq!(slow.lightness_at(Seconds(1.25 * t)).0, curve.lightness_at(Seconds(t)).0, epsilon = 1e-9);
            }
            assert_abs_diff_eq!(slow.time_of(Lightness(60.0)).unwrap().0, 1.25 * curve.time_of(Lightness(60.0)).unwrap().0, epsilon = 1e-9);
            let (range, scaled) = (curve.ranges(&[Lightness(60.0)], 100)[0], slow.ranges(&[Lightness(60.0)], 100)[0]);
            assert_abs_diff_eq!(scaled.0.0, 1.25 * range.0.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn lag_and_drag_shift_the_bands_to_the_time_that_bites() {
        let with = |made: Made, lag: f64, drag: f64| {
            let handling = Handling::new(Seconds(2.0), Seconds(lag), Seconds(drag)).unwrap();
            BiteCurve::with(&TestStrip::example(), Practice { handling, made, ..Practice::default() })
        };
        let totals = |curve: &BiteCurve| curve.readings().iter().map(|r| r.total.0).collect::<Vec<f64>>();
        assert_eq!(totals(&with(Made::OneDip, 2.0, 0.0).unwrap()), [0.0, 3.0, 8.0, 18.0, 38.0, 78.0, 158.0, 318.0, 638.0]);
        assert_eq!(totals(&with(Made::Covered, 2.0, 0.5).unwrap()), [0.0, 3.5, 7.0, 15.5, 34.0, 72.5, 151.0, 309.5, 628.0]);
        assert_eq!(with(Made::Covered, 2.0, 2.0).unwrap().end(), Seconds(640.0));
        let said = with(Made::OneDip, 5.0, 0.0).unwrap_err().to_string();
        assert!(said.contains("band at 5 s") && said.contains("L* 86.0"), "{said}");
        assert!(with(Made::Covered, 5.0, 0.0).is_err());
    }

    proptest! {
        /// Any readings a checked strip may hold: one way down, from the paper, never past the end.
        #[test]
        fn whatever_is_read_the_curve_runs_one_way(bands in prop::collection::vec((0.1..200.0f64, 0.0..100.0f64), 2..12), paper in 20.0..100.0f64) {
            let mut t = 0.0;
            let mut readings = vec![Reading { total: Seconds(0.0), lightness: Lightness(paper) }];
            for (gap, l) in bands {
                t += gap;
                readings.push(Reading { total: Seconds(t), lightness: Lightness(l) });
            }
            let Ok(strip) = TestStrip::new("any", StripKind::Measured, readings) else { return Ok(()) };
            let curve = BiteCurve::of(&strip);
            prop_assert!(curve.limit() <= curve.end() && curve.end().0 <= t && curve.reach() >= curve.darkest());
            let samples = curve.samples(60);
            prop_assert_eq!(samples[0], (Seconds(0.0), curve.paper()));
            for pair in samples.windows(2) {
                prop_assert!(pair[1].1.0 <= pair[0].1.0 + 1e-12, "{:?}", pair);
            }
            for &(_, l) in &samples {
                let time = curve.time_of(l);
                prop_assert!(time.is_some_and(|time| time <= curve.end() && (curve.lightness_at(time).0 - l.0).abs() < 1e-6), "{:?} at {:?}", l, time);
            }
        }

        #[test]
        fn falls_and_passes_through_every_reading(strip in any_strip()) {
            let curve = BiteCurve::of(&strip);
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
            let curve = BiteCurve::of(&strip);
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
