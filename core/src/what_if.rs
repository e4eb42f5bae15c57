//! What if a bite was longer or shorter than planned: which tones move and by how much, which are safe under their varnish, and how to go on.
//!
//! Before bite j the tones below j are covered; a bite that is e seconds too long adds e to the totals of tone j and of every darker one:
//! `T_k += e` for k ≥ j. What that does to a tone is the difference of the curve at the two totals, never a slope times e: an early bite
//! lies where the curve bends most. Taken off the next bite again, e leaves tone j alone wrong, and brings every later tone exactly back.
//!
//! Restart lag and drag-out stay what they are, one of each a dip: a bite dropped is a dip fewer, which the clock's times allow for. A bite
//! cut shorter than its lag bites nothing, and takes nothing back.
//!
//! Nothing is guessed past the strip's end: a tone that would stay in longer than its last usable band is said to be past it.

use crate::bites::{BitePlan, ToneTime};
use crate::curve::BiteCurve;
use crate::light::Lightness;
use crate::strip::StripKind;
use crate::units::Seconds;
use std::fmt;

mod ways;
pub(crate) use ways::{Ended, set};
pub use ways::{NextBite, Rung, WayOn};

/// The most a bite may be off, either way: two minutes. More is another plan. Choice of ours.
pub const FARTHEST: Seconds = Seconds(120.0);

/// What a bite of another length does.
#[derive(Clone, Debug, PartialEq)]
pub struct WhatIf {
    /// The first bite of its dip: bites of tones that the plate lacks join in it.
    pub from: usize,
    /// Which bite, 1 to N−1: the last of its dip.
    pub bite: usize,
    /// How long its dip is planned, exact.
    pub planned: Seconds,
    /// What the clock was to be set to.
    pub planned_set: Seconds,
    /// By how much it is off as asked, s; longer is positive.
    pub asked: Seconds,
    /// By how much it is off as reckoned: no bite is shorter than nothing.
    pub off: Seconds,
    /// How the curve falls where the bite was to end, L* a second, negative. Good for a second or two only.
    pub slope: f64,
    /// Every tone, tone 0 first.
    pub tones: Vec<Moved>,
    /// The next bite as it must be so that every later tone comes exactly back; none after the last bite.
    pub next: Option<NextBite>,
    /// Later bites dropped, targets kept; only after too long a bite that leaves no next one to do.
    pub dropped: Option<WayOn>,
    /// The tones that are left spaced evenly in L* between what tone j is now and the last target; only after too long a bite.
    pub respaced: Option<WayOn>,
}

/// One tone after the bite that was off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// Which tone.
    pub tone: usize,
    /// Whether it was covered before the bite, and so is safe.
    pub covered: bool,
    /// L* it was to print at.
    pub planned: Lightness,
    /// L* it prints at if nothing is done; the strip's darkest where it is past the strip's end.
    pub prints: Lightness,
    /// Whether it would stay in longer than the strip's last usable band: how it prints then is not known.
    pub past_end: bool,
}

impl Moved {
    /// By how much it moves, L*: darker is negative.
    #[must_use]
    pub fn by(&self) -> f64 {
        self.prints.0 - self.planned.0
    }
}

/// What can't be answered.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum WhatIfError {
    /// There is no strip yet, and so no times.
    NoStrip,
    /// There is no such bite.
    Bite {
        /// Which was asked for.
        bite: usize,
        /// How many there are.
        bites: usize,
    },
    /// It is dropped.
    Dropped(
        /// Which.
        usize,
    ),
    /// The plate has no such tone.
    Lacks {
        /// Which bite was asked for.
        bite: usize,
        /// The bite whose dip it is in; none: the plate has left the bath by then.
        dip: Option<usize>,
    },
    /// Off by more than [`FARTHEST`], or no number.
    Seconds(
        /// What came, s.
        f64,
    ),
}

impl fmt::Display for WhatIfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoStrip => {
                write!(f, "There is no strip yet, so no bite has a time to be off by: bite the strip plan, read it, and ask again.")
            }
            Self::Bite { bite, bites } => write!(f, "Bite {bite} does not exist: this plate has {bites}, from 1. Choose one of those."),
            Self::Dropped(bite) => write!(f, "Bite {bite} is dropped: ask after one that is still to come."),
            Self::Lacks { bite, dip: Some(dip) } => {
                write!(f, "This plate has no tone {bite}, so bite {bite} is in one dip with bite {dip}: ask after bite {dip}.")
            }
            Self::Lacks { bite, dip: None } => {
                write!(f, "This plate has no tone as dark as {bite} and leaves the bath before bite {bite}: ask after one that it has.")
            }
            Self::Seconds(came) => write!(
                f,
                "A bite may be asked after that is up to {} s too long or too short; {came} came: for more, make another plan.",
                FARTHEST.0
            ),
        }
    }
}

impl std::error::Error for WhatIfError {}

/// What it does when bite `bite` is longer by `off` seconds than planned, or shorter where that is negative. `curve` is the one it was planned
/// by.
///
/// # Errors
/// When there is no strip, no such bite, or it is off by more than [`FARTHEST`].
pub fn what_if(plan: &BitePlan, curve: &BiteCurve, bite: usize, off: Seconds) -> Result<WhatIf, WhatIfError> {
    if plan.strip_kind == StripKind::Missing {
        return Err(WhatIfError::NoStrip);
    }
    let bites = plan.tones.len() - 1;
    if !(1..=bites).contains(&bite) {
        return Err(WhatIfError::Bite { bite, bites });
    }
    if plan.dropped.contains(&bite) {
        return Err(WhatIfError::Dropped(bite));
    }
    if plan.lacks.contains(&bite) {
        let dip = (bite..=bites).find(|bite| !plan.lacks.contains(bite) && !plan.dropped.contains(bite));
        return Err(WhatIfError::Lacks { bite, dip });
    }
    if !(-FARTHEST.0..=FARTHEST.0).contains(&off.0) {
        return Err(WhatIfError::Seconds(off.0));
    }
    let asked = off;
    let dip = plan.to_come(curve).into_iter().find(|dip| *dip.bites.end() == bite);
    let time = plan.tones[bite];
    let (from, planned, planned_set) = dip.as_ref().map_or((bite, time.bite, time.set), |dip| (*dip.bites.start(), dip.length, dip.set));
    let off = Seconds(off.0.max(-planned.0));
    // Within its lag a dip does not bite, and no dip makes a tone lighter than the one before it.
    let bitten = Seconds(off.0.max(plan.tones[from - 1].effective.0 - plan.tones[bite].effective.0));
    let tones: Vec<Moved> = plan.tones.iter().enumerate().map(|(tone, time)| moved(tone, time, curve, bite, bitten)).collect();
    let totals = dip.as_ref().map_or((time.total, time.shown_total), |dip| (dip.total, dip.shown_total));
    let ended = Ended::of(plan, curve, &tones, (bite, totals), (off, bitten));
    let next = ended.next();
    let over = off.0 > 0.0;
    Ok(WhatIf {
        from,
        bite,
        planned,
        planned_set,
        asked,
        off,
        slope: slope(curve, plan.tones[bite].effective),
        dropped: next.filter(|next| over && !next.fits).and_then(|_| ended.dropped(1)),
        respaced: if over { ended.respaced() } else { None },
        tones,
        next,
    })
}

fn moved(tone: usize, time: &ToneTime, curve: &BiteCurve, bite: usize, off: Seconds) -> Moved {
    let planned = curve.lightness_at(time.effective);
    if tone < bite {
        return Moved { tone, covered: true, planned, prints: planned, past_end: false };
    }
    let total = Seconds(time.effective.0 + off.0);
    Moved { tone, covered: false, planned, prints: curve.lightness_at(total), past_end: total > curve.end() }
}

/// L* a second at a total: over a hundredth of a second about it, within the strip.
fn slope(curve: &BiteCurve, total: Seconds) -> f64 {
    let (from, to) = (Seconds((total.0 - 0.005).max(0.0)), Seconds((total.0 + 0.005).min(curve.end().0)));
    (curve.lightness_at(to).0 - curve.lightness_at(from).0) / (to.0 - from.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bites::tests::strip_14_b;
    use crate::bites::{plan, targets};
    use crate::curve::tests::any_strip;
    use crate::practice::{Handling, Made, Practice};
    use crate::strip::TestStrip;
    use crate::tones::{Targets, ToneCount};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn ladder(strip: &TestStrip, tones: i64) -> Option<(BitePlan, BiteCurve)> {
        let curve = BiteCurve::of(strip);
        let targets = targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).ok()?;
        Some((plan(&targets, &curve, strip).ok()?, curve))
    }

    fn asked(bite: usize, off: f64) -> WhatIf {
        let (plan, curve) = ladder(&strip_14_b(), 10).unwrap();
        what_if(&plan, &curve, bite, Seconds(off)).unwrap()
    }

    // The golden figures of 14-B were worked out beforehand and printed to a tenth: held to a tenth. tests/reference has SciPy's digits.

    #[test]
    fn twenty_seconds_over_at_bite_four() {
        let what = asked(4, 20.0);
        assert!(what.tones[..4].iter().all(|t| t.covered && t.by() == 0.0) && what.tones[4..].iter().all(|t| !t.covered));
        assert_abs_diff_eq!(what.tones[4].prints.0, 60.8, epsilon = 0.06);
        assert_abs_diff_eq!(what.tones[4].by(), -5.6, epsilon = 0.06);
        let next = what.next.unwrap();
        assert_eq!((next.bite, next.fits), (5, false));
        assert_abs_diff_eq!(next.left.0, 0.4, epsilon = 0.06);
        let dropped = what.dropped.unwrap();
        assert_eq!(dropped.joined, [5]);
        for (rung, expected) in dropped.rungs.iter().zip([30.0, 46.0, 67.0, 97.0]) {
            assert_abs_diff_eq!(rung.bite.0, expected, epsilon = 0.5);
        }
        assert_eq!((dropped.rungs.len(), dropped.widest.0, dropped.widest.1), (4, 3, 4));
        assert_abs_diff_eq!(dropped.widest.2, 11.2, epsilon = 0.06);
        let respaced = what.respaced.unwrap();
        for (rung, expected) in respaced.rungs.iter().zip([22.7, 32.4, 44.7, 59.8, 80.4]) {
            assert_abs_diff_eq!(rung.bite.0, expected, epsilon = 0.06);
        }
        assert_abs_diff_eq!(respaced.narrowest.unwrap(), (what.tones[4].prints.0 - 38.0) / 5.0, epsilon = 1e-9);
        // By the clock: 40 s planned and 20 over is 60; the next tones' rounded totals are 90, 135, 200 and 300.
        let set: Vec<f64> = dropped.rungs.iter().map(|rung| rung.set.0).collect();
        assert_eq!(set, [30.0, 45.0, 65.0, 100.0]);
    }

    #[test]
    fn the_same_twenty_seconds_early_in_the_middle_and_late() {
        for (bite, expected) in [(1, -12.7), (4, -5.6), (9, -1.0)] {
            assert_abs_diff_eq!(asked(bite, 20.0).tones[bite].by(), expected, epsilon = 0.06);
        }
        let slopes = [-0.82, -0.74, -0.46, -0.32, -0.24, -0.15, -0.10, -0.07, -0.05];
        for (i, expected) in slopes.into_iter().enumerate() {
            assert_abs_diff_eq!(asked(i + 1, 0.0).slope, expected, epsilon = 0.006);
        }
        // A slope times twenty would say −16.4 at bite 1.
        assert!(asked(1, 0.0).slope * 20.0 < -16.0);
    }

    #[test]
    fn nothing_off_moves_nothing_and_a_small_slip_comes_back_with_the_next_bite() {
        let still = asked(5, 0.0);
        assert!(still.tones.iter().all(|tone| tone.by() == 0.0 && !tone.past_end) && still.dropped.is_none() && still.respaced.is_none());
        assert_abs_diff_eq!(still.next.unwrap().left.0, still.next.unwrap().planned.0, epsilon = 1e-9);
        let slip = asked(6, 10.0);
        assert!(slip.next.unwrap().fits && slip.dropped.is_none() && slip.respaced.is_some());
        assert_abs_diff_eq!(slip.next.unwrap().left.0, slip.next.unwrap().planned.0 - 10.0, epsilon = 1e-9);
    }

    #[test]
    fn an_early_bite_is_light_and_the_next_one_longer() {
        let early = asked(4, -5.0);
        assert!(early.tones[4].by() > 1.0 && early.tones[3].by() == 0.0);
        assert!(early.dropped.is_none() && early.respaced.is_none());
        assert_abs_diff_eq!(early.next.unwrap().left.0, early.next.unwrap().planned.0 + 5.0, epsilon = 1e-9);
        // No bite is shorter than nothing: bite 4 is 15 s long.
        let none = asked(4, -60.0);
        assert_eq!(none.asked, Seconds(-60.0));
        assert_abs_diff_eq!(none.off.0, -15.0, epsilon = 0.1);
        assert_abs_diff_eq!(none.tones[4].prints.0, none.tones[3].prints.0, epsilon = 1e-9);
    }

    #[test]
    fn past_the_strip_nothing_is_guessed() {
        let long = asked(9, 60.0);
        assert!(long.tones[9].past_end && long.tones[9].prints == Lightness(37.0) && long.next.is_none());
        assert!(!asked(9, 20.0).tones[9].past_end);
        // Two minutes over at bite 7 end near the last tone's total: 255 of 299 s; at bite 8 past it.
        let late = asked(8, 120.0);
        assert!(late.next.unwrap().left.0 < 0.0 && late.next.unwrap().gap < 0.0);
        assert!(late.respaced.is_none());
        let dropped = late.dropped.unwrap();
        assert!(dropped.rungs.is_empty() && dropped.joined == [9]);
    }

    #[test]
    fn where_dips_spare_restarts_the_clock_is_the_plate_s_own() {
        let handling = Handling::new(Seconds(2.0), Seconds(2.0), Seconds(0.0)).unwrap();
        let strip = strip_14_b();
        let curve = BiteCurve::with(&strip, Practice { handling, made: Made::OneDip, ..Practice::default() }).unwrap();
        let targets = targets(ToneCount::new(10).unwrap(), &curve, Targets::RESERVE).unwrap();
        let has: Vec<bool> = (0..10).map(|tone| tone != 7).collect();
        let plan = plan(&targets, &curve, &strip).unwrap().of_a_plate(&has);
        let dips = plan.to_come(&curve);
        assert_eq!(dips.last().map(|dip| dip.fewer), Some(1));
        for dip in &dips {
            let asked = what_if(&plan, &curve, *dip.bites.end(), Seconds(0.0)).unwrap();
            assert_eq!((asked.planned_set, asked.from), (dip.set, *dip.bites.start()));
            assert_abs_diff_eq!(asked.planned.0, dip.length.0, epsilon = 1e-9);
            if let Some(next) = asked.next {
                let come = dips.iter().find(|dip| *dip.bites.end() == next.bite).unwrap();
                assert_eq!(next.set, come.set, "before bite {}", next.bite);
            }
        }
    }

    #[test]
    fn bites_of_tones_that_a_plate_lacks_are_asked_as_one_dip() {
        let (plan, curve) = ladder(&strip_14_b(), 10).unwrap();
        let has: Vec<bool> = (0..10).map(|tone| tone != 7).collect();
        let plan = plan.of_a_plate(&has);
        let what = |bite: usize, off: f64| what_if(&plan, &curve, bite, Seconds(off));
        // The demo's joined dip: 113.0 s (worked figure of strip 14-B, printed to 0.1 s).
        let eight = what(8, 5.0).unwrap();
        assert_eq!((eight.from, eight.bite), (7, 8));
        assert_abs_diff_eq!(eight.planned.0, 113.0, epsilon = 0.1);
        let next = what(6, 10.0).unwrap().next.unwrap();
        assert_eq!((next.from, next.bite, next.fits), (7, 8, true));
        assert_abs_diff_eq!(next.planned.0, 113.0, epsilon = 0.1);
        assert_abs_diff_eq!(next.left.0, 103.0, epsilon = 0.1);
        // Fifty seconds too long at bite 6 go past tone 7, which is not there: nothing is to be dropped.
        let long = what(6, 50.0).unwrap();
        assert!(long.next.unwrap().fits && long.dropped.is_none());
        let said = |bite: usize| what(bite, 5.0).unwrap_err().to_string();
        assert_eq!(said(7), "This plate has no tone 7, so bite 7 is in one dip with bite 8: ask after bite 8.");
        let left = plan.clone().of_a_plate(&[true; 7]);
        assert!(what_if(&left, &curve, 9, Seconds(5.0)).unwrap_err().to_string().contains("leaves the bath before bite 9"));
        assert_eq!((left.leaves(), plan.leaves()), (6, 9));
        assert!(what_if(&left, &curve, 6, Seconds(5.0)).unwrap().next.is_none());
    }

    #[test]
    fn what_can_not_be_asked() {
        let (plan, curve) = ladder(&strip_14_b(), 10).unwrap();
        let refused = |bite, off| what_if(&plan, &curve, bite, Seconds(off)).unwrap_err().to_string();
        assert!(refused(0, 1.0).contains("has 9") && refused(10, 1.0).starts_with("Bite 10 does not exist"));
        let (plan, curve) = ladder(&TestStrip::missing(), 10).unwrap();
        assert_eq!(what_if(&plan, &curve, 4, Seconds(20.0)), Err(WhatIfError::NoStrip));
        for off in [121.0, -121.0, f64::NAN, f64::INFINITY] {
            assert!(refused(1, off).contains("120 s"), "{off}");
        }
    }

    #[test]
    fn restart_lag_is_paid_at_each_dip_and_saved_where_one_is_dropped() {
        let strip = strip_14_b();
        let practice = Practice { handling: Handling::new(Seconds(2.0), Seconds(3.0), Seconds(0.0)).unwrap(), ..Practice::default() };
        let curve = BiteCurve::with(&strip, practice).unwrap();
        let targets = targets(ToneCount::new(10).unwrap(), &curve, Targets::RESERVE).unwrap();
        let plan = plan(&targets, &curve, &strip).unwrap();
        let what = what_if(&plan, &curve, 4, Seconds(20.0)).unwrap();
        let bites = |k: usize| plan.tones[k].effective.0;
        // Seconds added to a bite that has started bite in full.
        assert_eq!(what.tones[4].prints, curve.lightness_at(Seconds(bites(4) + 20.0)));
        assert_abs_diff_eq!(what.next.unwrap().left.0, plan.tones[5].bite.0 - 20.0, epsilon = 1e-9);
        let dropped = what.dropped.unwrap();
        assert_eq!(dropped.joined, [5]);
        let mut before = bites(4) + 20.0;
        for (i, rung) in dropped.rungs.iter().enumerate() {
            // 3 s of lag before each bite bites; of the totals, for the four dips so far and each one on. The bite dropped costs none.
            assert_abs_diff_eq!(rung.bite.0, bites(6 + i) - before + 3.0, epsilon = 1e-9);
            assert_abs_diff_eq!(rung.total.0, bites(6 + i) + 3.0 * (5 + i) as f64, epsilon = 1e-9);
            assert_eq!(rung.prints, what.tones[6 + i].planned);
            before = bites(6 + i);
        }
    }

    #[test]
    fn a_bite_cut_within_its_lag_takes_nothing_back() {
        let strip = strip_14_b();
        let practice = Practice { handling: Handling::new(Seconds(2.0), Seconds(3.0), Seconds(0.0)).unwrap(), ..Practice::default() };
        let curve = BiteCurve::with(&strip, practice).unwrap();
        let targets = targets(ToneCount::new(10).unwrap(), &curve, Targets::RESERVE).unwrap();
        let plan = plan(&targets, &curve, &strip).unwrap();
        for off in [-120.0, 1.0 - plan.tones[4].bite.0] {
            let what = what_if(&plan, &curve, 4, Seconds(off)).unwrap();
            assert_eq!(what.tones[4].prints, what.tones[3].prints, "no lighter than the tone before");
            // The next dip has to bite for both: 3 s of its own lag, and what tone 5 lies beyond tone 3.
            assert_abs_diff_eq!(what.next.unwrap().left.0, plan.tones[5].effective.0 - plan.tones[3].effective.0 + 3.0, epsilon = 1e-9);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 512 } else { 20_000 }))]

        /// With lag or drag-out, on strips of any readings and any day: no way on is set past the strip's end, or to less than nothing.
        #[test]
        fn no_way_on_leaves_the_strip(
            strip in crate::curve::tests::any_readings(), tones in 2..=16i64, reserve in prop_oneof![Just(0.0), 0.0..4.0f64],
            pick in 0.0..1.0f64, off in -120.0..=120.0f64, (slack, lag, drag) in (0.5..8.0f64, 0.0..6.0f64, 0.0..6.0f64), pace in 0.2..5.0f64,
        ) {
            let practice = Practice { handling: Handling::new(Seconds(slack), Seconds(lag), Seconds(drag)).unwrap(), ..Practice::default() };
            let Ok(curve) = BiteCurve::with(&strip, practice).map(|curve| curve.scaled(pace)) else { return Ok(()) };
            let Ok(targets) = targets(ToneCount::new(tones).unwrap(), &curve, reserve) else { return Ok(()) };
            let Ok(plan) = plan(&targets, &curve, &strip) else { return Ok(()) };
            let bite = 1 + (pick * (tones - 1) as f64) as usize;
            let what = what_if(&plan, &curve, bite, Seconds(off)).unwrap();
            let ended = plan.tones[bite].shown_total.0 + what.off.0;
            let longest = |dips: usize| curve.limit().0 - dips as f64 * (drag - lag) + 1e-6;
            prop_assert!(what.tones.windows(2).all(|w| w[1].prints.0 <= w[0].prints.0 + 1e-9), "{:?}", what.tones);
            if let Some(next) = what.next {
                prop_assert!(next.set.0 >= 0.0 && (!next.fits || next.set.0 > 0.0), "{:?}", next);
                prop_assert!(next.set.0 == 0.0 || ended + next.set.0 <= longest(next.bite), "{:?}", next);
            }
            if let Some(way) = &what.dropped {
                prop_assert!(!way.joined.is_empty(), "{:?}", way);
            }
            for way in what.dropped.iter().chain(&what.respaced) {
                let mut total = ended;
                for (i, rung) in way.rungs.iter().enumerate() {
                    prop_assert!(rung.set.0 >= 0.0 && rung.bite.0 > 0.0, "{:?}", rung);
                    total += rung.set.0;
                    prop_assert!((rung.shown_total.0 - total).abs() < 1e-6 && rung.total.0 <= longest(bite + 1 + i), "{:?}", rung);
                    prop_assert!(rung.set.0 == 0.0 || total <= longest(bite + 1 + i), "{:?} of {}", rung, curve.limit().0);
                }
            }
        }

        #[test]
        fn every_answer_is_the_curve_read_again(strip in any_strip(), tones in 2..=16i64, pick in 0.0..1.0f64, off in -120.0..=120.0f64) {
            let Some((plan, curve)) = ladder(&strip, tones) else { return Ok(()) };
            let bites = plan.tones.len() - 1;
            let bite = 1 + (pick * bites as f64) as usize;
            let what = what_if(&plan, &curve, bite, Seconds(off)).unwrap();
            prop_assert!(what.off.0 >= -plan.tones[bite].bite.0 && (what.off.0 <= off.max(what.off.0)));
            for (tone, (moved, time)) in what.tones.iter().zip(&plan.tones).enumerate() {
                let e = if tone < bite { 0.0 } else { what.off.0 };
                prop_assert_eq!(moved.prints, curve.lightness_at(Seconds(time.effective.0 + e)));
                prop_assert_eq!(moved.covered, tone < bite);
                prop_assert_eq!(moved.past_end, time.effective.0 + e > curve.end().0);
                // 1e-12: rounding of values up to 100.
                prop_assert!(moved.by() * what.off.0 <= 1e-12 * what.off.0.abs());
            }
            let ended = plan.tones[bite].total.0 + what.off.0;
            if let Some(next) = what.next {
                // The bites from here on, the next one as it must be: they add up to the plan's own totals.
                let mut total = ended + next.left.0;
                for time in &plan.tones[bite + 1..] {
                    prop_assert!((total - time.total.0).abs() < 1e-9 * (1.0 + total));
                    total += plan.tones.iter().find(|t| t.total > time.total).map_or(0.0, |t| t.bite.0);
                }
            }
            for way in what.dropped.iter().chain(&what.respaced) {
                let mut total = ended;
                for rung in &way.rungs {
                    total += rung.bite.0;
                    prop_assert!(rung.bite.0 > 0.0, "{:?}", way);
                    prop_assert!((total - rung.total.0).abs() < 1e-9 * (1.0 + total));
                    prop_assert!((curve.lightness_at(rung.total).0 - rung.prints.0).abs() < 1e-6, "{:?}", rung);
                }
                prop_assert_eq!(way.rungs.len() + way.joined.len(), bites - bite);
            }
        }
    }
}
