use super::*;
use crate::bites::tests::strip_14_b;
use crate::bites::{plan, targets};
use crate::log::{Chosen, Entry, What};
use crate::practice::{Handling, Practice};
use crate::strip::TestStrip;
use crate::tones::{Targets, ToneCount};
use approx::assert_abs_diff_eq;
use proptest::prelude::*;

fn ladder(tones: i64, practice: Practice, pace: f64) -> (BitePlan, BiteCurve) {
    let strip = strip_14_b();
    let curve = BiteCurve::with(&strip, practice).unwrap().scaled(pace);
    let targets = targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).unwrap();
    (plan(&targets, &curve, &strip).unwrap(), curve)
}

pub(super) fn entry(what: What) -> Entry {
    Entry { at_ms: 0.0, note: String::new(), what }
}

pub(super) fn painted(stop_out: usize) -> Entry {
    entry(What::Painted { stop_out, minutes: None })
}

pub(super) fn bitten(bite: usize, planned: f64, actual: f64) -> Entry {
    entry(What::Bitten { bite, planned_s: Seconds(planned), actual_s: Seconds(actual), celsius: None, factor: None, joined: false })
}

fn back(bite: usize, planned: f64, actual: f64) -> Entry {
    entry(What::PutBack { bite, planned_s: Seconds(planned), actual_s: Seconds(actual), celsius: None, factor: None })
}

/// Bites 1 to `upto` by the plan to the second's last digit, the last one off.
fn log(plan: &BitePlan, upto: usize, off: f64) -> Vec<Entry> {
    (1..=upto)
        .flat_map(|bite| {
            let exact = plan.tones[bite].bite.0;
            [painted(bite), bitten(bite, exact, if bite == upto { (exact + off).max(0.0) } else { exact })]
        })
        .collect()
}

fn standing(log: &[Entry], plan: &BitePlan) -> Standing {
    Standing::of(log, plan.tones.len() - 1).unwrap()
}

fn way(bite: usize, way: &WayOn) -> Entry {
    let chosen =
        |rung: &what_if::Rung| Chosen { tone: rung.tone, lightness: rung.prints.0, total_s: rung.total, shown_s: rung.shown_total };
    entry(What::Way { bite, rungs: way.rungs.iter().map(chosen).collect(), joined: way.joined.clone() })
}

// Golden figures of strip 14-B, worked out with SciPy beforehand and printed to a tenth (tests/reference has its digits).

/// Worked by hand: two seconds of lag, bites 7 and 8 in one dip, in as long as `BitePlan::dips` has it. Tone 8 and later ones come to their
/// targets though one lag fewer was paid.
#[test]
fn bites_in_one_dip_pay_one_restart() {
    let handling = Handling::new(Seconds(2.0), Seconds(2.0), Seconds(0.0)).unwrap();
    let (plan, curve) = ladder(10, Practice { handling, ..Practice::default() }, 1.0);
    let has: Vec<bool> = (0..10).map(|tone| tone != 7).collect();
    let dips = plan.dips(&curve, &has);
    let mut log = Vec::new();
    for bite in 1..=6 {
        log.push(painted(bite));
        log.push(bitten(bite, plan.tones[bite].bite.0, plan.tones[bite].bite.0));
    }
    let first = plan.tones[7].bite.0;
    log.push(painted(7));
    log.push(bitten(7, first, first));
    log.push(painted(8));
    let mut last = bitten(8, dips[6].length.0 - first, dips[6].length.0 - first);
    if let What::Bitten { joined, .. } = &mut last.what {
        *joined = true;
    }
    log.push(last);
    let now = replan(&plan, &curve, &standing(&log, &plan), None);
    assert_abs_diff_eq!(now.plan.tones[8].effective.0, plan.tones[8].effective.0, epsilon = 1e-9);
    assert_abs_diff_eq!(now.plan.tones[9].bite.0, plan.tones[9].bite.0, epsilon = 1e-9);
    assert!(now.due.is_none() && now.back.is_none(), "{:?}", now.said);
    // A first entry goes on from nothing.
    let mut alone = vec![painted(1), bitten(1, 7.0, 7.0)];
    if let What::Bitten { joined, .. } = &mut alone[1].what {
        *joined = true;
    }
    assert!(Standing::of(&alone, 9).unwrap_err().to_string().contains("there is none"));
}

#[test]
fn twenty_seconds_over_at_bite_four_ask_for_a_decision() {
    let (plan, curve) = ladder(10, Practice::default(), 1.0);
    let mut log = log(&plan, 4, 20.0);
    let now = replan(&plan, &curve, &standing(&log, &plan), None);
    assert_abs_diff_eq!(now.plan.tones[4].target.0, 60.8, epsilon = 0.06);
    assert_abs_diff_eq!(now.plan.tones[4].total.0, 59.0, epsilon = 0.06);
    assert_abs_diff_eq!(now.plan.tones[5].bite.0, 0.4, epsilon = 0.06);
    assert_eq!(
        now.said,
        [
            "Bite 4 was 20 s long: tone 4 prints at L* 60.8 instead of 66.3, 5.6 darker.",
            "Bite 5 has 0.4 s left, too little for a bite: drop a bite and keep the targets, or space what is left anew. Nothing goes on before \
             that is decided."
        ]
    );
    let due = now.due.unwrap();
    let bites = |way: &WayOn| way.rungs.iter().map(|rung| rung.bite.0).collect::<Vec<_>>();
    let (dropped, respaced) = (due.dropped.unwrap(), due.respaced.unwrap());
    for (bite, expected) in bites(&dropped).into_iter().zip([30.0, 46.0, 67.0, 97.0]) {
        assert_abs_diff_eq!(bite, expected, epsilon = 0.5);
    }
    assert_abs_diff_eq!(dropped.widest.2, 11.2, epsilon = 0.06);
    for (bite, expected) in bites(&respaced).into_iter().zip([22.7, 32.4, 44.7, 59.8, 80.4]) {
        assert_abs_diff_eq!(bite, expected, epsilon = 0.06);
    }
    // Chosen, the way rules what is left, exactly, and asks no more.
    for (chosen, expected) in [(&dropped, bites(&dropped)), (&respaced, bites(&respaced))] {
        log.push(way(4, chosen));
        let now = replan(&plan, &curve, &standing(&log, &plan), None);
        assert_eq!(now.due, None);
        let rest: Vec<f64> = now.plan.tones[5..].iter().map(|tone| tone.bite.0).filter(|&bite| bite > 0.0).collect();
        assert_eq!(rest.len(), expected.len());
        for (bite, expected) in rest.into_iter().zip(expected) {
            assert_abs_diff_eq!(bite, expected, epsilon = 1e-6);
        }
    }
}

#[test]
fn a_dropped_tone_prints_as_the_one_before_it() {
    let (plan, curve) = ladder(10, Practice::default(), 1.0);
    let mut log = log(&plan, 4, 20.0);
    let due = replan(&plan, &curve, &standing(&log, &plan), None).due.unwrap();
    log.push(way(4, &due.dropped.unwrap()));
    let now = replan(&plan, &curve, &standing(&log, &plan), None).plan;
    assert_eq!((now.dropped.clone(), now.tones[5].bite, now.tones[5].target), (vec![5], Seconds(0.0), now.tones[4].target));
    assert_abs_diff_eq!(now.tones[6].total.0, plan.tones[6].total.0, epsilon = 1e-9);
    let shown: Vec<f64> = now.tones[4..].iter().map(|tone| tone.set.0).collect();
    assert_eq!(shown[1..], [0.0, 31.0, 45.0, 65.0, 100.0], "59 s are on the clock; 90, 135, 200 and 300 s come");
    // What is said of the ladder speaks of what is to come: no bite of 0 s.
    assert!(!now.notes().join(" ").contains("comes to 0 s"), "{:?}", now.notes());
}

#[test]
fn a_small_slip_comes_back_with_the_next_bite_and_an_early_bite_may_be_put_back() {
    let (plan, curve) = ladder(10, Practice::default(), 1.0);
    let over = replan(&plan, &curve, &standing(&log(&plan, 6, 10.0), &plan), None);
    assert_eq!((over.due, over.back), (None, None));
    assert_abs_diff_eq!(over.plan.tones[7].bite.0, plan.tones[7].bite.0 - 10.0, epsilon = 1e-9);
    assert_eq!(over.said.len(), 1);
    assert!(over.said[0].contains("bite 7 is shorter for it, 0:36 by the clock, and tones 7 to 9 come out as planned."), "{:?}", over.said);

    let mut early = log(&plan, 4, -5.0);
    let now = replan(&plan, &curve, &standing(&early, &plan), None);
    assert_eq!(now.back, Some(Back { bite: 4, set: Seconds(5.0) }));
    assert!(now.said[0].starts_with("Bite 4 was 5 s short: tone 4 prints at L* 68"), "{:?}", now.said);
    assert!(now.said[0].contains("put it back for 5 s before anything more is painted, or bite 5 is longer for it"), "{:?}", now.said);
    assert_abs_diff_eq!(now.plan.tones[5].bite.0, plan.tones[5].bite.0 + 5.0, epsilon = 1e-9);
    early.push(back(4, 5.0, 5.0));
    let now = replan(&plan, &curve, &standing(&early, &plan), None);
    assert_eq!((now.said, now.back), (Vec::new(), None));
    assert_abs_diff_eq!(now.plan.tones[4].target.0, plan.tones[4].target.0, epsilon = 1e-9);
    // Once the next stop-out is painted there is no putting back.
    let mut painted_over = log(&plan, 4, -5.0);
    painted_over.push(painted(5));
    assert_eq!(replan(&plan, &curve, &standing(&painted_over, &plan), None).back, None);
}

fn lacking(plan: &BitePlan, lacks: &[usize]) -> BitePlan {
    let has: Vec<bool> = (0..plan.tones.len()).map(|tone| !lacks.contains(&tone)).collect();
    plan.clone().of_a_plate(&has)
}

#[test]
fn nothing_is_to_be_decided_about_a_tone_that_the_plate_lacks() {
    let (all, curve) = ladder(10, Practice::default(), 1.0);
    // 44 s too long at bite 6 leave bite 7 some 2 s of its 46: a plate that has tone 7 has to drop it or space anew.
    let log = log(&all, 6, 44.0);
    assert_eq!(replan(&all, &curve, &standing(&log, &all), None).due.unwrap().after, 6);
    let plan = lacking(&all, &[7]);
    let now = replan(&plan, &curve, &standing(&log, &plan), None);
    assert_eq!((now.due.clone(), now.plan.undecided), (None, false));
    let dips = now.plan.to_come(&curve);
    assert_eq!(dips[0].bites, 7..=8);
    assert_abs_diff_eq!(dips[0].length.0, 113.0 - 44.0, epsilon = 0.1);
    let set = format!("bites 7 and 8 are shorter for it, {} by the clock, and tones 8 to 9 come out as planned.", dips[0].set.clock());
    assert!(now.said[0].ends_with(&set), "{:?}", now.said);
    // So also where the plate has left by then.
    let left = lacking(&all, &[7, 8, 9]);
    let now = replan(&left, &curve, &standing(&log, &left), None);
    assert_eq!((now.due, now.back), (None, None));
    assert!(now.said[0].ends_with("that was the last bite, and nothing takes it back."), "{:?}", now.said);
}

#[test]
fn a_way_on_tells_of_tones_that_the_plate_lacks_without_a_dip_of_theirs() {
    let (all, curve) = ladder(10, Practice::default(), 1.0);
    let log = log(&all, 4, 20.0);
    for lacks in [&[6][..], &[5, 7], &[6, 9], &[8, 9]] {
        let plan = lacking(&all, lacks);
        let now = replan(&plan, &curve, &standing(&log, &plan), None);
        let Some(due) = now.due else {
            assert!(lacks.contains(&5));
            continue;
        };
        for chosen in [due.dropped.unwrap(), due.respaced.unwrap()] {
            let mut log = log.clone();
            log.push(way(4, &chosen));
            // It is taken, and what comes then is of the plate: dips whose times add up to the way's.
            let at = standing(&log, &plan);
            assert_eq!(at.way.as_ref().map(|way| way.last), Some(9), "{lacks:?} {chosen:?}");
            let after = replan(&plan, &curve, &at, None);
            assert_eq!(after.due, None);
            let dips = after.plan.to_come(&curve);
            let rungs: Vec<_> = chosen.rungs.iter().filter(|rung| !lacks.contains(&rung.tone)).collect();
            assert_eq!(dips.len(), rungs.len());
            for (dip, rung) in dips.iter().zip(rungs) {
                assert_eq!(*dip.bites.end(), rung.tone);
                assert_abs_diff_eq!(dip.length.0, rung.bite.0, epsilon = 1e-6);
            }
        }
    }
}

#[test]
fn bites_in_one_dip_pay_one_lag_whichever_of_them_was_in() {
    let practice = Practice { handling: Handling::new(Seconds(2.0), Seconds(3.0), Seconds(1.0)).unwrap(), ..Practice::default() };
    let (plan, curve) = ladder(10, practice, 1.0);
    let joined = |bite: usize, planned: f64, actual: f64| Entry {
        what: What::Bitten { bite, planned_s: Seconds(planned), actual_s: Seconds(actual), celsius: None, factor: None, joined: true },
        ..painted(1)
    };
    let effective = |parts: [(f64, f64); 2]| {
        let log = [painted(1), bitten(1, parts[0].0, parts[0].1), painted(2), joined(2, parts[1].0, parts[1].1)];
        replan(&plan, &curve, &standing(&log, &plan), None).plan.tones[2].effective.0
    };
    // 40 s in the bath in one dip are 38 s of bite, however they are told of.
    for parts in [[(20.0, 20.0), (20.0, 20.0)], [(0.0, 0.0), (40.0, 40.0)], [(39.0, 39.0), (1.0, 1.0)], [(1.0, 1.0), (39.0, 39.0)]] {
        assert_abs_diff_eq!(effective(parts), 38.0, epsilon = 1e-9);
    }
    // How far it was off is told of the whole dip, not of its last part.
    let plan = lacking(&plan, &[1]);
    let log = [painted(1), bitten(1, 20.0, 15.0), painted(2), joined(2, 20.0, 0.0)];
    let said = replan(&plan, &curve, &standing(&log, &plan), None).said;
    assert_eq!(said.len(), 1);
    assert!(said[0].starts_with("Bite 2 was 25 s short"), "{said:?}");
}

#[test]
fn the_last_bite_is_taken_back_by_nothing() {
    let (plan, curve) = ladder(10, Practice::default(), 1.0);
    let now = replan(&plan, &curve, &standing(&log(&plan, 9, 60.0), &plan), None);
    assert_eq!(
        now.said,
        [
            "Bite 9 was 60 s long: tone 9 is past the strip’s end, and how it prints is not known; that was the last bite, and nothing takes it back."
        ]
    );
    assert_eq!(now.due, None);
}

#[test]
fn putting_back_costs_a_lag_of_its_own() {
    let practice = Practice { handling: Handling::new(Seconds(2.0), Seconds(3.0), Seconds(1.0)).unwrap(), ..Practice::default() };
    let (plan, curve) = ladder(10, practice, 1.0);
    let mut log = log(&plan, 4, -6.0);
    // 6 s are short, and the dip's own lag less its drag-out is 2 s more.
    assert_eq!(replan(&plan, &curve, &standing(&log, &plan), None).back.unwrap().set, Seconds(8.0));
    log.push(back(4, 8.0, 8.0));
    let now = replan(&plan, &curve, &standing(&log, &plan), None).plan;
    assert_abs_diff_eq!(now.tones[4].effective.0, plan.tones[4].effective.0, epsilon = 1e-9);
    // The clock has run 2 s longer than planned, and from there on everything is as it was.
    assert_abs_diff_eq!(now.tones[4].total.0, plan.tones[4].total.0 + 2.0, epsilon = 1e-9);
    assert_abs_diff_eq!(now.tones[5].bite.0, plan.tones[5].bite.0, epsilon = 1e-9);
    // A dip within its lag bites nothing, and one that never was has no drag-out.
    for seconds in [0.0, 1.0, 2.0] {
        let log = [painted(1), bitten(1, 9.0, seconds)];
        assert_eq!(replan(&plan, &curve, &standing(&log, &plan), None).plan.tones[1].effective, Seconds(0.0), "{seconds}");
    }
}

#[test]
fn a_colder_day_counts_what_was_bitten_before_it_in_its_own_time() {
    let (plan, curve) = ladder(10, Practice::default(), 1.0);
    let (cold, slow) = ladder(10, Practice::default(), 1.25);
    let mut log = log(&plan, 3, 0.0);
    for entry in &mut log {
        if let What::Bitten { factor, .. } = &mut entry.what {
            *factor = Some(1.0);
        }
    }
    let before = Aimed::of(&plan, &curve, &replan(&plan, &curve, &standing(&log, &plan), None));
    let now = replan(&cold, &slow, &standing(&log, &plan), Some(&before));
    assert_eq!(now.said, Vec::<String>::new());
    assert_abs_diff_eq!(now.plan.tones[3].target.0, plan.tones[3].target.0, epsilon = 1e-9);
    for tone in 4..10 {
        assert_abs_diff_eq!(now.plan.tones[tone].bite.0, 1.25 * plan.tones[tone].bite.0, epsilon = 1e-6);
    }
}

#[test]
fn with_another_count_of_tones_the_rest_is_spaced_evenly_from_what_is_there() {
    let (plan, curve) = ladder(10, Practice::default(), 1.0);
    let log = log(&plan, 3, 2.0);
    let before = Aimed::of(&plan, &curve, &replan(&plan, &curve, &standing(&log, &plan), None));
    let (more, _) = ladder(13, Practice::default(), 1.0);
    let now = replan(&more, &curve, &standing(&log, &more), Some(&before));
    let l: Vec<f64> = now.plan.tones.iter().map(|tone| tone.target.0).collect();
    for (tone, prints) in l.iter().enumerate().take(3) {
        assert_abs_diff_eq!(*prints, plan.tones[tone].target.0, epsilon = 1e-9);
    }
    let gap = (l[3] - l[12]) / 9.0;
    (4..13).for_each(|tone| assert_abs_diff_eq!(l[tone - 1] - l[tone], gap, epsilon = 1e-6));
    assert_abs_diff_eq!(l[12], 38.0, epsilon = 1e-9);
    assert!(
        now.said.last().unwrap().starts_with("Strip, lag, reserve or count of tones changed since bite 3: tones 4 to 12 are spaced evenly")
    );
    // Kept at the next tick, the new spacing is what later bites return to.
    let kept = Aimed::of(&more, &curve, &now);
    let mut log = log.clone();
    log.extend([painted(4), bitten(4, now.plan.tones[4].bite.0, now.plan.tones[4].bite.0 + 3.0)]);
    let after = replan(&more, &curve, &standing(&log, &more), Some(&kept));
    assert_eq!(after.said.len(), 2, "{:?}", after.said);
    for (tone, prints) in after.plan.tones.iter().zip(&l).skip(5) {
        assert_abs_diff_eq!(tone.target.0, *prints, epsilon = 1e-6);
    }
}

#[test]
fn nothing_done_changes_nothing_and_without_a_strip_there_is_nothing_to_say() {
    let (plan, curve) = ladder(10, Practice::default(), 1.0);
    assert_eq!(replan(&plan, &curve, &Standing::default(), None).plan, plan);
    let strip = TestStrip::missing();
    let curve = BiteCurve::of(&strip);
    let targets = targets(ToneCount::new(10).unwrap(), &curve, Targets::RESERVE).unwrap();
    let missing = crate::bites::plan(&targets, &curve, &strip).unwrap();
    let now = replan(&missing, &curve, &standing(&log(&plan, 4, 20.0), &missing), None);
    assert_eq!((now.said, now.due, now.plan.tones), (Vec::new(), None, missing.tones));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 400 } else { 10_000 }))]

    /// Whatever was off, with any lag and drag-out: tones still to come are on their targets exactly as long as no decision is due, nothing
    /// is set past the strip's end, and what is shown adds up.
    #[test]
    fn later_tones_return_exactly(
        tones in 2..=16i64, offs in prop::collection::vec(prop_oneof![3 => -3.0..3.0f64, 1 => -40.0..60.0f64], 1..15),
        (lag, drag, pace) in (0.0..3.0f64, 0.0..1.5f64, 0.5..2.0f64), again in any::<bool>(), choose in any::<bool>(),
    ) {
        let practice = Practice { handling: Handling::new(Seconds(2.0), Seconds(lag), Seconds(drag)).unwrap(), ..Practice::default() };
        let strip = strip_14_b();
        let Ok(curve) = BiteCurve::with(&strip, practice).map(|curve| curve.scaled(pace)) else { return Ok(()) };
        let Ok(targets) = targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE) else { return Ok(()) };
        let Ok(plan) = plan(&targets, &curve, &strip) else { return Ok(()) };
        let bites = plan.tones.len() - 1;
        let restart = drag - lag;
        let mut log = Vec::new();
        for off in offs {
            let at = standing(&log, &plan);
            let now = replan(&plan, &curve, &at, None);
            let crate::log::Next::Paint(next) = at.next(bites) else { break };
            if let Some(due) = &now.due {
                // Nothing else goes on: one of the ways is chosen.
                let chosen = if choose { due.respaced.as_ref().or(due.dropped.as_ref()) } else { due.dropped.as_ref() };
                log.push(way(due.after, chosen.unwrap()));
                continue;
            }
            let set = now.plan.tones[next].set.0;
            log.push(painted(next));
            log.push(bitten(next, set, (set + off).max(0.0)));
            if again && off < -2.0 {
                log.push(back(next, -off, -off));
            }
            let at = standing(&log, &plan);
            let now = replan(&plan, &curve, &at, None);
            let (times, here) = (&now.plan.tones, now.plan.tones[next]);
            let dips = at.dips.len();
            prop_assert!((here.total.0 - at.total().0).abs() < 1e-9);
            prop_assert!(times.windows(2).all(|w| w[1].total.0 >= w[0].total.0 && w[1].target.0 <= w[0].target.0 + 1e-6), "{:?}", times);
            for pair in times.windows(2) {
                prop_assert!((pair[1].total.0 - pair[0].total.0 - pair[1].bite.0).abs() < 1e-9);
                prop_assert!((pair[1].shown_total.0 - pair[0].shown_total.0 - pair[1].set.0).abs() < 1e-9);
                prop_assert!(pair[1].set.0 >= 0.0, "{:?}", pair);
            }
            for (dip, tone) in (dips + 1..).zip((next + 1..=bites).filter(|tone| !at.dropped.contains(tone))) {
                if now.due.is_none() {
                    prop_assert!((times[tone].target.0 - now.aims[tone].0).abs() < 1e-9 && (curve.lightness_at(times[tone].effective).0 - now.aims[tone].0).abs() < 1e-6);
                }
                // A dip within its lag bites less than the clock says: with it the clock may run on longer.
                let wasted = here.total.0 - here.effective.0 + dips as f64 * restart;
                let longest = curve.limit().0 - dip as f64 * restart + wasted.max(0.0);
                prop_assert!(times[tone].shown_total.0 <= longest.max(here.shown_total.0) + 1e-6, "{:?}", times[tone]);
                prop_assert!(times[tone].effective.0 <= curve.limit().0.max(here.effective.0) + 1e-9);
            }
        }
    }
}
