//! Bites: from targets and curve to totals, and from totals to what the clock is set to.

use crate::curve::BiteCurve;
use crate::fusing::Scatter;
use crate::light::Lightness;
use crate::practice::Handling;
use crate::strip::{StripKind, TestStrip};
use crate::tones::{Targets, TargetsError, ToneCount};
use crate::units::Seconds;
use std::fmt;

mod dips;
mod notes;
pub use dips::TimedDip;
pub use notes::TOLD_APART;

/// How far a target may lie beyond the strip's ends and still be taken for the end: far below what anyone reads, far above rounding.
const AT_THE_END: f64 = 1e-6;

/// Times of one tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToneTime {
    /// Lightness the tone is to print at.
    pub target: Lightness,
    /// Exact total time on the clock, 0 for tone 0.
    pub total: Seconds,
    /// Exact length on the clock of the bite that leads to this tone, 0 for tone 0.
    pub bite: Seconds,
    /// Total that bites, lag and drag-out of every dip so far counted: the curve's time. The clock's total where there are none.
    pub effective: Seconds,
    /// Total rounded to what a hand can do, never past the planned end.
    pub shown_total: Seconds,
    /// What the clock is set to: the difference of rounded totals, 0 for tone 0.
    pub set: Seconds,
    /// What the rounding does to the tone, L*: above zero it prints lighter than its target.
    pub rounding: f64,
    /// Range of the total on the clock, 10 % to 90 %, where it was worked out.
    pub range: Option<(Seconds, Seconds)>,
    /// The same rounded to what a hand can do: about the shown total, and never past the planned end either.
    pub shown_range: Option<(Seconds, Seconds)>,
}

/// The ladder of times, tone 0 first.
///
/// As [`plan`] makes it: totals rise strictly from 0, the bites add up to the last total, and what is shown adds up too. As
/// [`crate::replan`] makes it of a plate at the bath, a bite may be nothing: dropped, or not done though logged.
#[derive(Clone, Debug, PartialEq)]
pub struct BitePlan {
    /// One entry a tone.
    pub tones: Vec<ToneTime>,
    /// Name of the strip it rests on.
    pub strip_id: String,
    /// Whose strip that is.
    pub strip_kind: StripKind,
    /// What a hand costs at each dip.
    pub handling: Handling,
    /// How much one printed tone scatters; the usual unless [`BitePlan::scattering`].
    pub scatter: Scatter,
    /// What the strip's readings and their curve say, in sentences.
    pub remarks: Vec<String>,
    /// The last bite that is done; 0: none. Its time and those before are what was logged.
    pub bitten: usize,
    /// The last stop-out that is painted; 0: none.
    pub painted: usize,
    /// Bites that are dropped: their tones have the time of the tone before, and a bite of 0 s.
    pub dropped: Vec<usize>,
    /// Tones that the plate has no area of, tone 0 apart: their bites join the next one's dip, and no decision is about them.
    pub lacks: Vec<usize>,
    /// Whether the last bite left the next too little, and nobody has decided yet how to go on: times of bites to come are none to bite by.
    pub undecided: bool,
}

/// What becomes of a bite, where its time alone would mislead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It is done, and its time is what was logged.
    Done,
    /// It is dropped: nothing is painted or bitten for it.
    Dropped,
    /// How to go on is not decided.
    Undecided,
    /// It is to come, by its time.
    ToCome,
}

impl Fate {
    /// What stands in place of a time on the clock; none where the time stands.
    #[must_use]
    pub fn instead(self) -> Option<&'static str> {
        match self {
            Self::Dropped => Some("left out"),
            Self::Undecided => Some("to be decided"),
            Self::Done | Self::ToCome => None,
        }
    }
}

/// Why a strip can't give the times of these tones.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum BiteError {
    /// Tone 0 is never bitten, but its target is not the paper.
    Paper {
        /// L* asked for tone 0.
        target: f64,
        /// L* of the strip's paper.
        paper: f64,
    },
    /// A target lies outside the strip; nothing is extrapolated.
    Outside {
        /// Which tone.
        tone: usize,
        /// L* asked for.
        target: f64,
        /// L* of the strip's paper.
        paper: f64,
        /// The darkest L* that may be planned for.
        darkest: f64,
    },
    /// The curve reaches a tone no later than the tone before it.
    Together {
        /// Which tone.
        tone: usize,
        /// L* asked for.
        target: f64,
        /// When the curve reaches it, s.
        seconds: f64,
    },
    /// The drag-out of the dips alone bites a tone past its target.
    Drag {
        /// Which tone.
        tone: usize,
        /// L* asked for.
        target: f64,
        /// Drag-out of a dip, s.
        drag: f64,
    },
}

impl fmt::Display for BiteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Paper { target, paper } => write!(
                f,
                "Tone 0 is never bitten and prints as the paper, L* {paper:.1} on this strip; L* {target:.1} was asked: take the targets \
                 from this strip."
            ),
            Self::Outside { tone, target, paper, darkest } => write!(
                f,
                "Tone {tone} is to print at L* {target:.1}; the strip serves from L* {paper:.1} (paper) to L* {darkest:.1} and nothing is \
                 guessed beyond: choose a target within, or bite a longer strip."
            ),
            Self::Together { tone, target, seconds } => write!(
                f,
                "Tone {tone} at L* {target:.1} and the tone before are both reached at {seconds:.1} s, which leaves no bite between: ask \
                 for fewer tones."
            ),
            Self::Drag { tone, target, drag } => write!(
                f,
                "Tone {tone} at L* {target:.1} follows the tone before so closely that the {drag} s of drag-out a dip bite past it: ask for \
                 fewer tones, or drain and rinse quicker."
            ),
        }
    }
}

impl std::error::Error for BiteError {}

/// The lightnesses N tones are to print at: evenly from the strip's paper to its darkest reading less the reserve, or to the darkest
/// lightness that may be planned for ([`BiteCurve::reach`]) where that is lighter.
///
/// # Errors
/// When that leaves less than a tenth of an L* a tone, or the reserve can't be.
pub fn targets(tones: ToneCount, curve: &BiteCurve, reserve: f64) -> Result<Targets, TargetsError> {
    let (darkest, reach) = (curve.darkest(), curve.reach());
    let short = (0.0..=Targets::LARGEST_RESERVE).contains(&reserve) && reach.0 > darkest.0 + reserve;
    if short { Targets::even(tones, curve.paper(), reach, 0.0) } else { Targets::even(tones, curve.paper(), darkest, reserve) }
}

/// The times at which the tones come to their targets: `curve` is that of `strip`, which gives name and kind.
///
/// The curve gives times that bite; lag and drag-out of the dips so far turn them into the clock's. Totals are exact, bites are their
/// differences. What is shown is rounded first and subtracted after, so that it adds up. Ranges are worked out by [`BitePlan::ranged`].
///
/// # Errors
/// A target that the strip does not reach, or tone 0 not on the strip's paper.
pub fn plan(targets: &Targets, curve: &BiteCurve, strip: &TestStrip) -> Result<BitePlan, BiteError> {
    let handling = curve.practice().handling;
    let restart = handling.restart().0;
    let mut tones: Vec<ToneTime> = Vec::with_capacity(targets.tones().get());
    for (tone, &target) in targets.falling().iter().enumerate() {
        let effective = if tone == 0 { paper_time(target, curve)? } else { time_of(tone, target, curve)? };
        let dips = tone as f64 * restart;
        let total = Seconds(effective.0 - dips);
        let before = tones.last().copied();
        if before.is_some_and(|before| effective <= before.effective) {
            return Err(BiteError::Together { tone, target: target.0, seconds: effective.0 });
        }
        if before.is_some_and(|before| total <= before.total) {
            return Err(BiteError::Drag { tone, target: target.0, drag: handling.drag().0 });
        }
        tones.push(ToneTime {
            target,
            total,
            bite: Seconds(total.0 - before.map_or(0.0, |before| before.total.0)),
            effective,
            shown_total: by_hand_within(total, Seconds(curve.limit().0 - dips)),
            set: Seconds(0.0),
            rounding: 0.0,
            range: None,
            shown_range: None,
        });
    }
    // Rounded down at the strip's end, a tone may come before the one that leads to it: then that one comes down too. Were it the other
    // way about, the later tone would stay in past the end.
    for tone in (1..tones.len()).rev() {
        if tones[tone - 1].shown_total > tones[tone].shown_total {
            tones[tone - 1].shown_total = tones[tone].shown_total;
        }
    }
    let mut shown_before = 0.0;
    for (tone, time) in tones.iter_mut().enumerate().skip(1) {
        time.set = Seconds(time.shown_total.0 - shown_before);
        time.rounding = curve.lightness_at(Seconds(time.shown_total.0 + tone as f64 * restart)).0 - time.target.0;
        shown_before = time.shown_total.0;
    }
    let remarks = notes::of_strip(curve);
    Ok(BitePlan {
        tones,
        strip_id: strip.id().to_owned(),
        strip_kind: strip.kind(),
        handling,
        scatter: Scatter::default(),
        remarks,
        bitten: 0,
        painted: 0,
        dropped: Vec::new(),
        lacks: Vec::new(),
        undecided: false,
    })
}

impl BitePlan {
    /// What becomes of a bite, 1 to N−1.
    #[must_use]
    pub fn fate(&self, bite: usize) -> Fate {
        match bite {
            _ if self.dropped.contains(&bite) => Fate::Dropped,
            _ if bite <= self.bitten => Fate::Done,
            _ if self.undecided => Fate::Undecided,
            _ => Fate::ToCome,
        }
    }

    /// The same ladder for a plate that `has` these tones, tone 0 first.
    #[must_use]
    pub fn of_a_plate(self, has: &[bool]) -> Self {
        let lacks = (1..self.tones.len()).filter(|&tone| !has.get(tone).copied().unwrap_or(false)).collect();
        Self { lacks, ..self }
    }

    /// The last bite that does anything to the plate, its darkest tone's; after it the plate leaves the bath. 0: it is never dipped.
    #[must_use]
    pub fn leaves(&self) -> usize {
        (1..self.tones.len()).rev().find(|tone| !self.lacks.contains(tone)).unwrap_or(0)
    }

    /// The same ladder for prints that scatter by the printer's own figure.
    #[must_use]
    pub fn scattering(self, scatter: Scatter) -> Self {
        Self { scatter, ..self }
    }

    /// The same ladder with the range of each total: `curve` is the one it was planned by. See [`BiteCurve::ranges`].
    #[must_use]
    pub fn ranged(mut self, curve: &BiteCurve, replicates: usize) -> Self {
        let targets: Vec<Lightness> = self.tones.iter().skip(1).map(|t| t.target).collect();
        let restart = self.handling.restart().0;
        if let Some(first) = self.tones.first_mut() {
            first.range = Some((Seconds(0.0), Seconds(0.0)));
            first.shown_range = first.range;
        }
        for ((k, tone), (low, high)) in self.tones.iter_mut().enumerate().skip(1).zip(curve.ranges(&targets, replicates)) {
            let clock = |effective: Seconds| effective.0 - k as f64 * restart;
            // A clock never runs backwards, and subtraction may cost the last digit.
            let (low, high) = (clock(low).max(0.0).min(tone.total.0), clock(high).max(tone.total.0));
            tone.range = Some((Seconds(low), Seconds(high)));
            let (from, to) = (Seconds(low).by_hand(), by_hand_within(Seconds(high), Seconds(clock(curve.limit()))));
            tone.shown_range = Some((Seconds(from.0.min(tone.shown_total.0)), Seconds(to.0.max(tone.shown_total.0))));
        }
        self
    }
}

impl BitePlan {
    /// The ladder of a scaled curve in the strip's own times: only [`ToneTime::effective`] is, which is all that a proof asks for.
    ///
    /// # Panics
    /// When the factor is not above zero and finite.
    #[must_use]
    pub fn on_the_strip(&self, factor: f64) -> Self {
        assert!(factor > 0.0 && factor.is_finite(), "a factor above zero is asked for, {factor} came");
        let mut of = self.clone();
        for tone in &mut of.tones {
            tone.effective = Seconds(tone.effective.0 / factor);
        }
        of
    }
}

/// Rounded to what a hand can do; downwards where that would pass the longest total.
pub(crate) fn by_hand_within(total: Seconds, longest: Seconds) -> Seconds {
    let near = total.by_hand();
    if near <= longest { near } else { total.by_hand_short() }
}

fn paper_time(target: Lightness, curve: &BiteCurve) -> Result<Seconds, BiteError> {
    let paper = curve.paper().0;
    if (target.0 - paper).abs() <= AT_THE_END { Ok(Seconds(0.0)) } else { Err(BiteError::Paper { target: target.0, paper }) }
}

fn time_of(tone: usize, target: Lightness, curve: &BiteCurve) -> Result<Seconds, BiteError> {
    let (paper, reach) = (curve.paper().0, curve.reach());
    // Targets laid out by arithmetic may miss the end by a rounding.
    let near = if (target.0 - reach.0).abs() <= AT_THE_END { reach } else { target };
    let time = curve.time_of(near).filter(|_| near >= reach);
    // The way over the curve and back may pass the planned end by a rounding.
    let within = time.map(|t| if t > curve.limit() { curve.limit() } else { t });
    within.ok_or(BiteError::Outside { tone, target: target.0, paper, darkest: reach.0 })
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::curve::tests::{any_readings, any_strip, demo};
    use crate::practice::{Made, Practice, ReadingError};
    use crate::strip::{After, Reading};
    use crate::tones::ToneCount;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

    /// Strip 14-B of the demo, its rising part; the two bands after 320 s are over-bitten.
    pub(crate) fn strip_14_b() -> TestStrip {
        let bands = [(0.0, 89.0), (5.0, 85.0), (10.0, 81.0), (20.0, 74.0), (40.0, 66.0), (80.0, 56.5), (160.0, 47.0), (320.0, 37.0)];
        let readings = bands.map(|(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).to_vec();
        TestStrip::new("14-B", StripKind::Measured, readings).unwrap()
    }

    fn ladder(strip: &TestStrip, tones: i64) -> BitePlan {
        let curve = BiteCurve::of(strip);
        let targets = targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).unwrap();
        plan(&targets, &curve, strip).unwrap()
    }

    fn totals(plan: &BitePlan) -> Vec<f64> {
        plan.tones.iter().map(|t| t.total.0).collect()
    }

    /// Golden totals were worked out with SciPy beforehand and printed to 0.1 s: held within 1 %.
    fn assert_ladder(strip: &TestStrip, expected: &[f64]) {
        let plan = ladder(strip, expected.len() as i64);
        for (&total, &expected) in totals(&plan).iter().zip(expected) {
            assert_relative_eq!(total, expected, max_relative = 0.01);
        }
    }

    #[test]
    fn golden_ladders_of_strip_14_b() {
        let strip = strip_14_b();
        assert_ladder(&strip, &[0.0, 7.1, 14.3, 24.0, 39.0, 59.4, 89.3, 135.3, 202.3, 299.0]);
        assert_ladder(&strip, &[0.0, 10.7, 24.0, 48.4, 89.3, 165.8, 299.0]);
        assert_ladder(&strip, &[0.0, 299.0]);
        let bites = [7.1, 7.2, 9.7, 15.0, 20.4, 29.9, 46.0, 67.0, 96.7];
        for (tone, expected) in ladder(&strip, 10).tones[1..].iter().zip(bites) {
            // Differences of figures printed to 0.1 s.
            assert_abs_diff_eq!(tone.bite.0, expected, epsilon = 0.1);
        }
        let sixteen = ladder(&strip, 16);
        assert_relative_eq!(sixteen.tones[1].bite.0, 4.2, max_relative = 0.01);
        assert_abs_diff_eq!(sixteen.tones[0].target.0 - sixteen.tones[1].target.0, 3.4, epsilon = 1e-9);
    }

    #[test]
    fn golden_ladders_of_strip_15_a() {
        let strip = TestStrip::example();
        assert_ladder(&strip, &[0.0, 7.5, 15.4, 26.4, 42.1, 64.5, 99.1, 155.5, 266.0, 561.5]);
        assert_ladder(&strip, &[0.0, 13.6, 35.1, 76.5, 172.0, 561.5]);
        assert_ladder(&strip, &[0.0, 561.5]);
    }

    #[test]
    fn the_clock_is_set_to_bites_and_what_is_shown_adds_up() {
        let plan = ladder(&TestStrip::example(), 10);
        let shown: Vec<f64> = plan.tones.iter().map(|t| t.shown_total.0).collect();
        let set: Vec<f64> = plan.tones.iter().map(|t| t.set.0).collect();
        assert_eq!(shown, [0.0, 7.0, 15.0, 25.0, 40.0, 65.0, 100.0, 155.0, 265.0, 560.0]);
        assert_eq!(set, [0.0, 7.0, 8.0, 10.0, 15.0, 25.0, 35.0, 55.0, 110.0, 295.0]);
        assert_eq!(set.iter().sum::<f64>(), 560.0);
        // The trap: totals set on the clock one after another would leave the black in the bath for much longer than its total.
        assert!(shown.iter().sum::<f64>() > 2.0 * 560.0);
    }

    #[test]
    fn tones_are_even_in_lightness_not_in_time() {
        let strip = strip_14_b();
        let (plan, curve) = (ladder(&strip, 10), BiteCurve::of(&strip));
        for pair in plan.tones.windows(2) {
            assert_abs_diff_eq!(curve.lightness_at(pair[0].total).0 - curve.lightness_at(pair[1].total).0, 51.0 / 9.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn no_reserve_ends_at_the_last_band() {
        let strip = TestStrip::example();
        let curve = BiteCurve::of(&strip);
        for tones in 2..=16 {
            let targets = Targets::even(ToneCount::new(tones).unwrap(), curve.paper(), curve.darkest(), 0.0).unwrap();
            assert_eq!(plan(&targets, &curve, &strip).unwrap().tones.last().unwrap().total, Seconds(640.0));
        }
    }

    #[test]
    fn an_over_bitten_strip_is_planned_short_of_its_darkest_band() {
        let strip = demo(66.0, 56.5);
        let curve = BiteCurve::of(&strip);
        let last = |reserve: f64, tones: i64| {
            let targets = targets(ToneCount::new(tones).unwrap(), &curve, reserve).unwrap();
            plan(&targets, &curve, &strip).unwrap().tones[tones as usize - 1]
        };
        for tones in 2..=16 {
            assert_abs_diff_eq!(last(1.0, tones).target.0, 38.0, epsilon = 1e-9);
            // Without a reserve the planned end is the reserve; 304 s would round to 305 s, past it.
            let black = last(0.0, tones);
            assert_abs_diff_eq!(black.target.0, curve.reach().0, epsilon = 1e-9);
            assert_abs_diff_eq!(black.total.0, 304.0, epsilon = 1e-6);
            assert_eq!(black.shown_total, Seconds(300.0));
        }
        // The range ends at 304 s too: 5:05 on a run sheet would lie past it.
        let all = targets(ToneCount::new(10).unwrap(), &curve, 0.0).unwrap();
        let black = plan(&all, &curve, &strip).unwrap().ranged(&curve, 100).tones[9];
        assert_abs_diff_eq!(black.range.unwrap().1.0, 304.0, epsilon = 1e-6);
        assert_eq!(black.shown_range.unwrap().1, Seconds(300.0));
        for wrong in [-1.0, 20.5, f64::NAN] {
            assert!(matches!(targets(ToneCount::new(5).unwrap(), &curve, wrong), Err(TargetsError::Reserve(_))));
        }
    }

    #[test]
    fn rounding_says_what_it_does() {
        let strip = TestStrip::example();
        let curve = BiteCurve::of(&strip);
        let plan = ladder(&strip, 10);
        assert_eq!(plan.tones[0].rounding, 0.0);
        for tone in &plan.tones {
            assert_abs_diff_eq!(curve.lightness_at(tone.shown_total).0, tone.target.0 + tone.rounding, epsilon = 1e-9);
            // Shorter than exact prints lighter.
            assert!((tone.shown_total < tone.total) == (tone.rounding > 0.0), "{tone:?}");
        }
    }

    #[test]
    fn lag_lengthens_every_bite_and_drag_out_shortens_it() {
        let strip = demo(66.0, 56.5);
        let with = |lag: f64, drag: f64, made: Made, tones: i64| {
            let handling = Handling::new(Seconds(2.0), Seconds(lag), Seconds(drag)).unwrap();
            let curve = BiteCurve::with(&strip, Practice { handling, made, ..Practice::default() }).unwrap();
            let targets = targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).unwrap();
            plan(&targets, &curve, &strip).map(|plan| plan.ranged(&curve, 100))
        };
        for (lag, drag) in [(2.0, 0.0), (0.0, 1.5), (2.0, 0.5)] {
            let plan = with(lag, drag, Made::OneDip, 10).unwrap();
            for (k, pair) in plan.tones.windows(2).enumerate() {
                let bitten = pair[1].effective.0 - pair[0].effective.0;
                assert_abs_diff_eq!(pair[1].bite.0, bitten + lag - drag, epsilon = 1e-9);
                assert_abs_diff_eq!(pair[1].total.0, pair[1].effective.0 + (k + 1) as f64 * (lag - drag), epsilon = 1e-9);
                let (low, high) = pair[1].range.unwrap();
                assert!(low <= pair[1].total && pair[1].total <= high, "{pair:?}");
            }
        }
        // A strip covered between dips, a band a tone: its lag is in the readings, and the plate's is the same.
        let (same, none) = (with(1.0, 0.0, Made::Covered, 8).unwrap(), with(0.0, 0.0, Made::Covered, 8).unwrap());
        assert!((same.tones[7].total.0 - none.tones[7].total.0).abs() < 1.5);
        let refused = with(0.0, 25.0, Made::OneDip, 16).unwrap_err();
        assert!(matches!(refused, BiteError::Drag { .. }), "{refused:?}");
        assert!(refused.to_string().contains("25 s of drag-out"), "{refused}");
    }

    #[test]
    fn targets_off_the_strip_are_refused() {
        let strip = TestStrip::example();
        let curve = BiteCurve::of(&strip);
        let asked = |paper: f64, darkest: f64| {
            let targets = Targets::even(ToneCount::new(3).unwrap(), Lightness(paper), Lightness(darkest), 0.0).unwrap();
            plan(&targets, &curve, &strip).unwrap_err()
        };
        assert!(matches!(asked(91.0, 15.0), BiteError::Outside { tone: 2, .. }));
        assert!(matches!(asked(89.0, 30.0), BiteError::Paper { .. }));
        assert!(asked(91.0, 15.0).to_string().contains("Tone 2 is to print at L* 15.0"));
        assert!(asked(89.0, 30.0).to_string().contains("L* 89.0 was asked"));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 256 } else { 20_000 }))]

        /// Whatever a checked strip reads, by whatever practice and on whatever day, nothing is planned or set past its last usable band.
        #[test]
        fn nothing_is_planned_past_the_strip(
            strip in any_readings(), tones in 2..=16i64, reserve in prop_oneof![Just(0.0), 0.0..4.0f64], error in 0.1..10.0f64,
            (lag, drag) in prop_oneof![Just((0.0, 0.0)), (0.0..6.0f64, 0.0..6.0f64)], covered in any::<bool>(), pace in prop_oneof![Just(1.0), 0.1..10.0f64],
        ) {
            let made = if covered { Made::Covered } else { Made::OneDip };
            let handling = Handling::new(Seconds(2.0), Seconds(lag), Seconds(drag)).unwrap();
            let practice = Practice { handling, made, error: ReadingError::new(error).unwrap() };
            let Ok(curve) = BiteCurve::with(&strip, practice).map(|curve| curve.scaled(pace)) else { return Ok(()) };
            let over_bitten = matches!(curve.verdict().after, After::OverBitten { .. });
            let dark = curve.readings().last().unwrap().total.0;
            let share = if over_bitten { 0.95 } else { 1.0 };
            prop_assert!(curve.limit().0 <= share * dark + 1e-9);
            let Ok(targets) = targets(ToneCount::new(tones).unwrap(), &curve, reserve) else { return Ok(()) };
            let Ok(plan) = plan(&targets, &curve, &strip) else {
                // Without lag and drag-out every target within reach has its time.
                prop_assert!(lag > 0.0 || drag > 0.0);
                return Ok(());
            };
            let plan = plan.ranged(&curve, 20);
            prop_assert_eq!(plan.tones.len() as i64, tones);
            let mut set = 0.0;
            for (k, pair) in plan.tones.windows(2).enumerate() {
                let (tone, longest) = (pair[1], curve.limit().0 - (k + 1) as f64 * (drag - lag) + 1e-6);
                prop_assert!(tone.total > pair[0].total && tone.effective > pair[0].effective && tone.effective <= curve.limit());
                prop_assert!(tone.set.0 >= 0.0 && tone.bite.0 > 0.0);
                set += tone.set.0;
                prop_assert!((set - tone.shown_total.0).abs() < 1e-9);
                prop_assert!(tone.total.0 <= longest && tone.shown_total.0 <= longest, "{:?} by {}", tone, longest);
                let (low, high) = tone.range.unwrap();
                prop_assert!(low.0 >= 0.0 && low <= tone.total && tone.total <= high && high.0 <= longest, "{:?} by {}", tone, longest);
                let (low, high) = tone.shown_range.unwrap();
                prop_assert!(low.0 >= 0.0 && low <= tone.shown_total && tone.shown_total <= high && high.0 <= longest, "{:?} by {}", tone, longest);
            }
            for note in plan.notes() {
                prop_assert!(note.ends_with('.') && !note.contains("NaN") && !note.contains("inf ") && !note.contains("  "), "{}", note);
            }
        }

        #[test]
        fn totals_rise_and_bites_add_up(strip in any_strip(), tones in 2..=16i64) {
            let curve = BiteCurve::of(&strip);
            let count = ToneCount::new(tones).unwrap();
            let Ok(targets) = Targets::even(count, curve.paper(), curve.darkest(), Targets::RESERVE) else { return Ok(()) };
            let plan = plan(&targets, &curve, &strip).unwrap();
            prop_assert_eq!(plan.tones.len(), count.get());
            prop_assert_eq!((plan.tones[0].total, plan.tones[0].bite, plan.tones[0].set), (Seconds(0.0), Seconds(0.0), Seconds(0.0)));
            for pair in plan.tones.windows(2) {
                prop_assert!(pair[1].total > pair[0].total && pair[1].bite.0 > 0.0 && pair[1].set.0 >= 0.0);
            }
            let last = plan.tones[plan.tones.len() - 1];
            prop_assert!(last.total <= curve.end());
            let (bites, set) = plan.tones.iter().fold((0.0, 0.0), |(bites, set), t| (bites + t.bite.0, set + t.set.0));
            prop_assert!((bites - last.total.0).abs() <= 1e-9, "{} and {}", bites, last.total.0);
            prop_assert_eq!(set, last.shown_total.0);
            prop_assert!(plan.notes().iter().all(|note| note.ends_with('.') && !note.contains("NaN") && !note.contains("inf")));
        }
    }
}
