//! Whole sessions at the bath, attacked: decisions made anew, corrections of corrections, plates put back late, another strip, day or count of
//! tones in the middle, hands whose drag-out is longer than a bite.

use super::tests::{bitten, entry, painted};
use super::*;
use crate::bites::tests::strip_14_b;
use crate::bites::{plan, targets};
use crate::log::{Chosen, Entry, Instead, Next, What};
use crate::practice::{Handling, Practice};
use crate::strip::TestStrip;
use crate::tones::{Targets, ToneCount};
use approx::assert_abs_diff_eq;
use proptest::prelude::*;

fn ladder(strip: &TestStrip, tones: i64, practice: Practice, pace: f64) -> Option<(BitePlan, BiteCurve)> {
    let curve = BiteCurve::with(strip, practice).ok()?.scaled(pace);
    let targets = targets(ToneCount::new(tones).ok()?, &curve, Targets::RESERVE).ok()?;
    let made = plan(&targets, &curve, strip).ok()?;
    Some((made, curve))
}

fn of_14_b(tones: i64) -> (BitePlan, BiteCurve) {
    ladder(&strip_14_b(), tones, Practice::default(), 1.0).unwrap()
}

fn right(of: usize, actual: f64) -> Entry {
    entry(What::Corrected { entry: of, to: Instead::Dip { actual_s: Seconds(actual), celsius: None } })
}

fn way(bite: usize, way: &WayOn) -> Entry {
    let chosen =
        |rung: &what_if::Rung| Chosen { tone: rung.tone, lightness: rung.prints.0, total_s: rung.total, shown_s: rung.shown_total };
    entry(What::Way { bite, rungs: way.rungs.iter().map(chosen).collect(), joined: way.joined.clone() })
}

fn now(log: &[Entry], (plan, curve): &(BitePlan, BiteCurve), before: Option<&Aimed>) -> Replanned {
    replan(plan, curve, &Standing::of(log, plan.tones.len() - 1).unwrap(), before)
}

fn kept(of: &(BitePlan, BiteCurve), now: &Replanned) -> Aimed {
    Aimed::of(&of.0, &of.1, now)
}

fn exact(plan: &BitePlan, upto: usize) -> Vec<Entry> {
    (1..=upto).flat_map(|bite| [painted(bite), bitten(bite, plan.tones[bite].bite.0, plan.tones[bite].bite.0)]).collect()
}

#[test]
fn bitten_without_a_strip_it_is_read_by_the_first_that_comes() {
    let missing = TestStrip::missing();
    let none = ladder(&missing, 10, Practice::default(), 1.0).unwrap();
    let mut log = vec![painted(1), bitten(1, 0.0, 9.5), painted(2), bitten(2, 0.0, 4.8)];
    let kept = kept(&none, &now(&log, &none, None));
    assert!(kept.no_strip);
    // By 14-B tone 1 was due at 7.1 s and tone 2 at 14.3 s; SciPy's PchipInterpolator through its readings over ln(1 + t/5) is at L* 81.38 at
    // 9.5 s.
    let with = of_14_b(10);
    let read = now(&log, &with, Some(&kept));
    assert_eq!(read.said.len(), 2, "{:?}", read.said);
    assert!(
        read.said[0].starts_with("Bite 1 had no time planned; by strip 14-B it was 2.4 s long: tone 1 prints at L* 81.4 instead of 83.3"),
        "{:?}",
        read.said
    );
    assert!(
        read.said[1].starts_with("Bite 2 had no time planned; by strip 14-B it was right: tone 2 prints at L* 77.7"),
        "{:?}",
        read.said
    );
    for (tone, planned) in read.plan.tones.iter().zip(&with.0.tones).skip(3) {
        assert_abs_diff_eq!(tone.total.0, planned.total.0, epsilon = 1e-6);
    }
    // A plate that came bitten was planned by nobody either, and by no clock of ours: of that nothing is said but what is off.
    log = vec![entry(What::Begun { bites_s: vec![with.0.tones[1].bite, with.0.tones[2].bite], factor: Some(1.0) })];
    assert_eq!(now(&log, &with, None).said, Vec::<String>::new());
}

#[test]
fn a_way_chosen_long_ago_does_not_come_back_over_another_strip() {
    let first = of_14_b(10);
    let mut log = exact(&first.0, 4);
    log.pop();
    log.push(bitten(4, 15.0, 35.0));
    let due = now(&log, &first, None).due.unwrap();
    log.push(way(4, &due.respaced.unwrap()));
    let at_5 = now(&log, &first, None);
    let by_5 = kept(&first, &at_5);
    let set = at_5.plan.tones[5].bite.0;
    log.extend([painted(5), bitten(5, set, set)]);
    // What was chosen is in what was kept at the tick, and holds on.
    let held = now(&log, &first, Some(&by_5));
    for (tone, aim) in held.plan.tones.iter().zip(&at_5.aims).skip(6) {
        assert_abs_diff_eq!(tone.target.0, aim.0, epsilon = 1e-6);
    }
    // Another strip: spaced anew from there, and at the next tick that is what is kept.
    let other = ladder(&TestStrip::example(), 10, Practice::default(), 1.0).unwrap();
    let anew = now(&log, &other, Some(&by_5));
    let by_6 = kept(&other, &anew);
    let set = anew.plan.tones[6].bite.0;
    log.push(painted(6));
    assert_eq!(now(&log, &other, Some(&by_6)).plan.tones[6..], anew.plan.tones[6..]);
    log.push(bitten(6, set, set));
    let after = now(&log, &other, Some(&by_6));
    for (tone, aim) in after.plan.tones.iter().zip(&anew.aims).skip(7) {
        assert_abs_diff_eq!(tone.target.0, aim.0, epsilon = 1e-6);
    }
}

#[test]
fn what_turns_out_too_long_after_a_bite_was_dropped_and_painted_over_asks_again() {
    let of = of_14_b(10);
    let mut log = exact(&of.0, 3);
    log.extend([painted(4), bitten(4, 15.0, 35.0)]);
    let due = now(&log, &of, None).due.unwrap();
    log.extend([way(4, &due.dropped.unwrap()), painted(6)]);
    assert_eq!(now(&log, &of, None).due, None);
    // The clock had been misread: it was in for 100 s, 124 in all, and tone 6, due at 89.3, is past too; tone 7 is due at 135.3.
    log.push(right(7, 100.0));
    let again = now(&log, &of, None);
    let due = again.due.unwrap();
    assert_eq!((due.after, due.dropped.as_ref().unwrap().joined.first()), (4, Some(&6)));
    assert!(again.plan.undecided && again.said.last().unwrap().starts_with("Bite 6 has 0.0 s left"), "{:?}", again.said);
    assert!(!again.said.iter().any(|said| said.contains("come out as planned")), "{:?}", again.said);
    log.push(way(4, &due.dropped.unwrap()));
    let standing = Standing::of(&log, 9).unwrap();
    assert_eq!((standing.dropped.clone(), standing.next(9)), (vec![5, 6], Next::Paint(7)));
    assert_eq!(now(&log, &of, None).due, None);
}

#[test]
fn a_bite_by_a_chosen_way_keeps_it_though_the_bite_before_is_put_right() {
    let of = of_14_b(10);
    let mut log = exact(&of.0, 3);
    // Stop-out 5 is painted before it is seen that bite 4 was too long, and the rest is spaced anew.
    log.extend([painted(4), bitten(4, 15.0, 35.0), painted(5)]);
    let due = now(&log, &of, None).due.unwrap();
    log.push(way(4, &due.respaced.unwrap()));
    let set = now(&log, &of, None).plan.tones[5].bite.0;
    log.push(bitten(5, set, set));
    let before = now(&log, &of, None);
    log.push(right(7, 34.0));
    let after = now(&log, &of, None);
    assert_eq!(after.aims, before.aims);
    assert_eq!(Standing::of(&log, 9).unwrap().way.unwrap().bite, 4);
}

#[test]
fn seconds_that_rounding_would_swallow_stay_on_the_clock() {
    let of = of_14_b(10);
    let mut log = exact(&of.0, 5);
    // To 88 s of 89.3: what is left is 1.3 s, and totals are rounded to five.
    log.pop();
    log.push(bitten(5, 20.0, 20.4 + 28.6));
    let due = now(&log, &of, None).due.unwrap();
    log.push(way(5, due.respaced.as_ref().unwrap()));
    let chosen = now(&log, &of, None);
    assert_eq!(chosen.due, None);
    for (rung, tone) in due.respaced.unwrap().rungs.iter().zip(&chosen.plan.tones[6..]) {
        assert_eq!((rung.set, rung.shown_total), (tone.set, tone.shown_total));
    }
}

/// One move of a session.
#[derive(Clone, Copy, Debug)]
enum Move {
    On(f64, bool),
    Back(f64),
    Right(usize, f64),
    NotDone,
    Tones(i64),
    Day(f64),
    Strip(u8),
}

fn any_move() -> impl Strategy<Value = Move> {
    let off = || prop_oneof![3 => -3.0..3.0f64, 1 => -60.0..200.0f64];
    prop_oneof![
        12 => (off(), any::<bool>()).prop_map(|(off, respace)| Move::On(off, respace)),
        2 => (0.0..20.0f64).prop_map(Move::Back),
        3 => (0..40usize, prop_oneof![0.0..60.0f64, 0.0..5000.0f64]).prop_map(|(of, to)| Move::Right(of, to)),
        2 => Just(Move::NotDone),
        1 => (2..=16i64).prop_map(Move::Tones),
        1 => (0.02..50.0f64).prop_map(Move::Day),
        1 => (0..3u8).prop_map(Move::Strip),
    ]
}

/// What must be so at every moment, whatever was done.
fn stands(log: &[Entry], of: &(BitePlan, BiteCurve), before: Option<&Aimed>) -> Result<Replanned, TestCaseError> {
    let bites = of.0.tones.len() - 1;
    let standing = Standing::of(log, bites).map_err(|error| TestCaseError::fail(error.to_string()))?;
    let at = replan(&of.0, &of.1, &standing, before);
    let times = &at.plan.tones;
    prop_assert_eq!(times.len(), bites + 1);
    prop_assert_eq!((at.plan.bitten, at.plan.painted), (standing.bitten, standing.painted));
    if standing.bitten == 0 || of.0.strip_kind == StripKind::Missing {
        return Ok(at);
    }
    prop_assert!((times[standing.bitten].total.0 - standing.total().0).abs() < 1e-6);
    for pair in times.windows(2) {
        prop_assert!(pair[1].total.0 >= pair[0].total.0 - 1e-9 && pair[1].effective.0 >= pair[0].effective.0 - 1e-9, "{:?}", pair);
        prop_assert!((pair[1].shown_total.0 - pair[0].shown_total.0 - pair[1].set.0).abs() < 1e-6 && pair[1].set.0 >= 0.0, "{:?}", pair);
        prop_assert!(pair[1].target.0 <= pair[0].target.0 + 1e-6, "{:?}", pair);
    }
    prop_assert!(at.said.iter().all(|said| said.len() < 400 && !said.contains("NaN") && !said.contains("inf ")), "{:?}", at.said);
    let next = (standing.bitten + 1..=bites).find(|bite| !standing.dropped.contains(bite));
    match &at.due {
        None => prop_assert!(next.is_none_or(|next| times[next].set.0 >= 1.0), "{:?} of {:?}", next, times),
        Some(due) => {
            prop_assert!(at.plan.undecided && due.after == standing.bitten);
            let dropped = due.dropped.as_ref().ok_or_else(|| TestCaseError::fail("there is always a way on"))?;
            prop_assert_eq!(dropped.joined.first().copied(), next);
            for chosen in due.dropped.iter().chain(&due.respaced) {
                let mut log = log.to_vec();
                log.push(way(due.after, chosen));
                prop_assert!(Standing::of(&log, bites).is_ok(), "{:?} is refused: {:?}", chosen, Standing::of(&log, bites));
            }
        }
    }
    Ok(at)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 400 } else { 20_000 }))]

    #[test]
    fn no_session_comes_to_a_stand(
        moves in prop::collection::vec(any_move(), 1..60), tones in 2..=16i64,
        (slack, lag, drag) in (0.5..8.0f64, prop_oneof![Just(0.0), 0.0..30.0f64], prop_oneof![Just(0.0), 0.0..30.0f64]), came in prop::option::of(1..8usize),
    ) {
        let practice = Practice { handling: Handling::new(Seconds(slack), Seconds(lag), Seconds(drag)).unwrap(), ..Practice::default() };
        let strips = [strip_14_b(), TestStrip::example(), TestStrip::missing()];
        let (mut strip, mut tones, mut pace) = (0, tones, 1.0);
        let Some(mut of) = ladder(&strips[0], tones, practice, pace) else { return Ok(()) };
        let mut log: Vec<Entry> = Vec::new();
        if let Some(came) = came.filter(|&came| came < tones as usize) {
            log.push(entry(What::Begun { bites_s: (0..came).map(|i| Seconds(5.0 + 7.0 * i as f64)).collect(), factor: None }));
        }
        let mut before: Option<Aimed> = None;
        for one in moves {
            let at = stands(&log, &of, before.as_ref())?;
            let bites = of.0.tones.len() - 1;
            let standing = Standing::of(&log, bites).unwrap();
            let factor = Some(pace);
            let mut tried = log.clone();
            match one {
                Move::On(off, respace) => match (&at.due, standing.next(bites)) {
                    (Some(due), _) => {
                        let chosen = if respace { due.respaced.as_ref().or(due.dropped.as_ref()) } else { due.dropped.as_ref() };
                        tried.push(way(due.after, chosen.unwrap()));
                    }
                    (None, Next::Paint(stop_out)) => {
                        before = Some(kept(&of, &at));
                        tried.push(painted(stop_out));
                    }
                    (None, Next::Bite(bite)) => {
                        let set = if of.0.strip_kind == StripKind::Missing { 0.0 } else { at.plan.tones[bite].set.0 };
                        let actual = Seconds((set + off).max(0.0));
                        tried.push(entry(What::Bitten { bite, planned_s: Seconds(set), actual_s: actual, celsius: None, factor, joined: false }));
                    }
                    (None, Next::Finished) => {}
                },
                Move::Back(actual) => {
                    let planned_s = at.back.map_or(Seconds(1.0), |back| back.set);
                    tried.push(entry(What::PutBack { bite: standing.bitten, planned_s, actual_s: Seconds(actual), celsius: None, factor }));
                    prop_assert!(at.back.is_none() || Standing::of(&tried, bites).is_ok());
                }
                Move::Right(entry, to) => tried.push(right(entry, to)),
                Move::NotDone => {
                    let last = tried.iter().rposition(|each| !matches!(each.what, What::Corrected { .. })).unwrap_or(0);
                    tried.push(entry(What::Corrected { entry: last, to: Instead::NotDone }));
                }
                Move::Tones(count) => {
                    if let Some(other) = ladder(&strips[strip], count, practice, pace).filter(|_| Standing::of(&log, count as usize - 1).is_ok()) {
                        (of, tones) = (other, count);
                    }
                }
                Move::Day(factor) => {
                    if let Some(other) = ladder(&strips[strip], tones, practice, factor) {
                        (of, pace) = (other, factor);
                    }
                }
                Move::Strip(which) => {
                    if let Some(other) = ladder(&strips[usize::from(which)], tones, practice, pace) {
                        (of, strip) = (other, usize::from(which));
                    }
                }
            }
            if Standing::of(&tried, of.0.tones.len() - 1).is_ok() {
                log = tried;
            }
        }
        // Whatever stands, dropping what comes too soon ends the asking, once for each bite at most.
        for _ in 0..16 {
            match stands(&log, &of, before.as_ref())?.due {
                Some(due) => log.push(way(due.after, &due.dropped.unwrap())),
                None => return Ok(()),
            }
        }
        prop_assert!(false, "it asks for ever");
    }
}
