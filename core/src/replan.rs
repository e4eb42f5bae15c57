//! The ladder of times as it stands: what is bitten has its own time, and the rest follows from there.
//!
//! Before bite j the tones below j are covered, so a bite that is off by e moves tone j and every darker one by e exactly. Taken off the
//! next bite, or added to it, every later tone comes back to its target and tone j alone is wrong. Where that leaves the next bite too
//! little, something has to give, and what that is no program chooses: bites are dropped, or what is left is spaced anew ([`Due`]).
//!
//! What bites is not what the clock says: every dip costs its lag and has its drag-out ([`crate::practice`]), a plate put back has one dip more
//! than it has bites, and a dip within its lag bites nothing.

use crate::bites::{BitePlan, ToneTime, by_hand_within};
use crate::curve::BiteCurve;
use crate::light::Lightness;
use crate::log::{Dip, Standing};
use crate::strip::StripKind;
use crate::units::Seconds;
use crate::what_if::{self, Ended, Moved, WayOn};
use serde::{Deserialize, Serialize};

mod words;

/// Two totals of one tone closer than this are the same, s; two lightnesses, L*. Far below what a hand or an eye can do, far above rounding.
const SAME: f64 = 1e-6;

/// What was aimed at when the last stop-out was ticked, to be kept with its map: without it nobody could tell later whether strip or count of
/// tones changed since.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Aimed {
    /// L* and total that bites, in the strip's own seconds, of every tone as the settings of then had it.
    pub base: Vec<(f64, f64)>,
    /// L* that each tone was aimed at: of those done before, when they were painted.
    pub aims: Vec<f64>,
    /// Place in the log of the way on that these aims follow, or come after; none: they follow no way.
    #[serde(default)]
    pub way: Option<usize>,
    /// Whether there was no strip then: the aims are nobody's, and the first strip that comes is no other one.
    #[serde(default)]
    pub no_strip: bool,
}

/// A ladder as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Replanned {
    /// Times of every tone. Of those done, what was logged: `target` is what they print at. A dropped tone has the time of the one before.
    pub plan: BitePlan,
    /// L* each tone was aimed at, tone 0 first.
    pub aims: Vec<Lightness>,
    /// Place in the log of the way on that the aims follow, or come after.
    pub way: Option<usize>,
    /// What was off, and what follows from it: a sentence for each bite.
    pub said: Vec<String>,
    /// A decision to be made before anything more is painted or bitten.
    pub due: Option<Due>,
    /// The last bite came short, and nothing is painted since.
    pub back: Option<Back>,
}

/// The next bite has too little left: bites are dropped, or what is left is spaced anew.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    /// After which bite.
    pub after: usize,
    /// Targets kept, the bites that come too soon dropped: one at least, and all of them where none is left to do. There is always this way.
    pub dropped: Option<WayOn>,
    /// What is left spaced evenly from what is there to the last target.
    pub respaced: Option<WayOn>,
}

/// A bite that came short and can be put back before anything more is painted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Back {
    /// Which bite.
    pub bite: usize,
    /// What the clock is set to, its own lag and drag-out counted; whole seconds.
    pub set: Seconds,
}

/// A bite that is done.
#[derive(Clone, Copy, Debug)]
struct Done {
    bite: usize,
    /// Total on the clock.
    total: Seconds,
    /// Total that bites.
    effective: Seconds,
    /// The same, had the clock's setting been kept; none where nothing was planned.
    asked: Option<Seconds>,
    /// Whether it was done before the log, and so nothing is known of a plan.
    before_log: bool,
}

/// The ladder as it stands. `plan` and `curve` are those of the settings of now, `before` what was aimed at when the last stop-out was ticked,
/// where that is known.
///
/// Where strip, day or count of tones changed since, what is done stays, and what is left is spaced evenly from what is there to the darkest
/// target of now.
#[must_use]
pub fn replan(plan: &BitePlan, curve: &BiteCurve, standing: &Standing, before: Option<&Aimed>) -> Replanned {
    let done = done(plan, curve, standing);
    let way = standing.way.as_ref().map(|way| way.entry);
    // What was ticked since it was chosen has a way in its aims already, or another strip's in its place.
    let followed = before.is_some_and(|before| before.way == way);
    let before = before.filter(|before| !before.no_strip);
    let changed = before.is_some_and(|before| !before.is_of(plan, curve));
    let (bitten, painted) = (standing.bitten, standing.painted);
    let mut ladder = BitePlan { bitten, painted, dropped: standing.dropped.clone(), ..plan.clone() };
    let mut aims: Vec<Lightness> = plan.tones.iter().map(|tone| tone.target).collect();
    let Some(&last) = done.last().filter(|_| plan.strip_kind != StripKind::Missing) else {
        return Replanned { plan: ladder, aims, way, said: Vec::new(), due: None, back: None };
    };
    let here = curve.lightness_at(last.effective);
    if let Some(before) = before {
        let known = if changed { last.bite + 1 } else { aims.len() };
        aims.iter_mut().zip(&before.aims).take(known).for_each(|(aim, &kept)| *aim = Lightness(kept));
    }
    let rest: Vec<usize> = (last.bite + 1..aims.len()).filter(|tone| !standing.dropped.contains(tone)).collect();
    if changed {
        let darkest = plan.tones[plan.tones.len() - 1].target.0;
        for (i, &tone) in rest.iter().enumerate() {
            aims[tone] = Lightness(here.0 + (darkest - here.0) * (i + 1) as f64 / rest.len() as f64);
        }
    } else if let Some(way) = standing.way.as_ref().filter(|_| !followed) {
        for rung in way.rungs.iter().filter(|rung| rung.tone > last.bite) {
            if let Some(aim) = aims.get_mut(rung.tone) {
                // Chosen by another strip it may lie past this one's end.
                *aim = Lightness(rung.lightness.clamp(curve.reach().0.min(curve.paper().0), curve.paper().0));
            }
        }
    }
    // What was aimed at, by its times: what is left is told from this.
    for (tone, &aim) in aims.iter().enumerate().skip(1) {
        ladder.tones[tone].effective = time_of(aim, &plan.tones[tone], curve);
    }
    let moved: Vec<Moved> = (0..aims.len()).map(|tone| moved(tone, &aims, &done, curve)).collect();
    let shown = Seconds(libm::round(last.total.0));
    let (effective, total) = (last.effective, last.total);
    let aimed = ladder.clone();
    let ended = Ended { plan: &aimed, curve, moved: &moved, bite: last.bite, effective, total, shown };
    let chosen = changed || standing.way.as_ref().is_some_and(|way| way.bite == last.bite);
    let back = back(&ended, standing);
    set_done(&mut ladder.tones, &done, curve);
    set_rest(&mut ladder.tones, &ended, &rest, plan, &aims);
    set_dropped(&mut ladder.tones, &standing.dropped);
    let due = due(&ended, &ladder, chosen);
    ladder.undecided = due.is_some();
    let next = ended.next();
    let said =
        words::said(&words::At { next, aimed: &aimed, ladder: &ladder, moved: &moved, done: &done, changed, due: due.as_ref(), back });
    Replanned { plan: ladder, aims, way, said, due, back }
}

impl Aimed {
    /// What is aimed at now: `plan` and `curve` are those of the settings, `now` the ladder as it stands.
    #[must_use]
    pub fn of(plan: &BitePlan, curve: &BiteCurve, now: &Replanned) -> Self {
        Self {
            base: plan.tones.iter().map(|tone| (tone.target.0, tone.effective.0 / curve.pace())).collect(),
            aims: now.aims.iter().map(|aim| aim.0).collect(),
            way: now.way,
            no_strip: plan.strip_kind == StripKind::Missing,
        }
    }

    /// Whether the settings still give these times: another day of the same bath does, another strip does not.
    fn is_of(&self, plan: &BitePlan, curve: &BiteCurve) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= SAME * (1.0 + a.abs());
        self.base.len() == plan.tones.len()
            && self.aims.len() == self.base.len()
            && self.base.iter().zip(&plan.tones).all(|(&(l, s), tone)| near(l, tone.target.0) && near(s, tone.effective.0 / curve.pace()))
    }
}

/// What every bite that is done came to, in the curve's seconds of now.
fn done(plan: &BitePlan, curve: &BiteCurve, standing: &Standing) -> Vec<Done> {
    let mut done: Vec<Done> = Vec::new();
    let restart = plan.handling.restart().0;
    // A dip that never was has no drag-out; one within its lag bites nothing. Bites of one dip have one lag and one drag-out for all of them.
    let bites = |seconds: f64, dip: &Dip| {
        let bitten = if seconds > 0.0 { (seconds + restart).max(0.0) } else { 0.0 };
        bitten * dip.factor.map_or(1.0, |factor| curve.pace() / factor)
    };
    // Of the dip that a bite goes on from: what bit before it, how long it is so far, and how long it was to be.
    let mut whole: (f64, f64, Option<f64>) = (0.0, 0.0, None);
    for dip in standing.dips.iter().filter(|dip| dip.bite < plan.tones.len()) {
        let before = done.last().copied();
        let (total, effective) = before.map_or((0.0, 0.0), |before| (before.total.0, before.effective.0));
        if !dip.joined {
            whole = (effective, 0.0, None);
        }
        whole.1 += dip.actual.0;
        whole.2 = dip.planned.map_or(whole.2, |planned| Some(whole.2.unwrap_or(0.0) + planned.0));
        let total = Seconds(total + dip.actual.0);
        let now = Seconds(whole.0 + bites(whole.1, dip));
        match done.last_mut().filter(|before| before.bite == dip.bite) {
            Some(same) => (same.total, same.effective) = (total, now),
            None => {
                let asked = whole.2.map(|planned| Seconds(whole.0 + bites(planned, dip)));
                done.push(Done { bite: dip.bite, total, effective: now, asked, before_log: dip.before_log });
            }
        }
    }
    done
}

/// The total that bites for an aim: the plan's own where it is the plan's own target.
fn time_of(aim: Lightness, planned: &ToneTime, curve: &BiteCurve) -> Seconds {
    if (aim.0 - planned.target.0).abs() <= SAME {
        return planned.effective;
    }
    // Nothing is planned past the strip's end, nor before its paper.
    let within = Lightness(aim.0.clamp(curve.reach().0.min(curve.paper().0), curve.paper().0));
    let time = curve.time_of(within).unwrap_or(curve.limit());
    if time > curve.limit() { curve.limit() } else { time }
}

fn moved(tone: usize, aims: &[Lightness], done: &[Done], curve: &BiteCurve) -> Moved {
    let own = done.iter().rev().find(|done| done.bite <= tone);
    let last = done.last().map_or(0, |done| done.bite);
    // A tone left out before the last bite prints as the one before it: the last bite at or below it.
    let (prints, past_end) = match own {
        Some(own) if tone <= last => (curve.lightness_at(own.effective), own.effective > curve.end()),
        _ => (aims[tone], false),
    };
    let prints = if tone == 0 { aims[0] } else { prints };
    Moved { tone, covered: tone < last, planned: aims[tone], prints, past_end }
}

fn due(ended: &Ended<'_>, ladder: &BitePlan, chosen: bool) -> Option<Due> {
    let next = ended.next()?;
    // What was chosen, and what is spaced anew, may be as short as it comes; only nothing at all is no bite. Bites that join are one dip.
    let set = if ended.joins(next.bite) { next.set } else { ladder.tones[next.bite].set };
    let too_little = (if chosen { next.left.0 <= 0.0 } else { !next.fits }) || set.0 < 1.0;
    too_little.then(|| Due { after: ended.bite, dropped: ended.dropped(1), respaced: ended.respaced() })
}

fn back(ended: &Ended<'_>, standing: &Standing) -> Option<Back> {
    let short = ended.plan.tones[ended.bite].effective.0 - ended.effective.0 - ended.plan.handling.restart().0;
    let set = Seconds(libm::round(short));
    let asked = standing.dips.iter().find(|dip| dip.bite == ended.bite).and_then(|dip| dip.planned);
    let clock: f64 = standing.dips.iter().filter(|dip| dip.bite == ended.bite).map(|dip| dip.actual.0).sum();
    // Short of what the clock was set to, not only of what the clock's setting was rounded from.
    let early = asked.is_some_and(|asked| clock < asked.0 - 0.5);
    (set.0 >= 1.0 && early && standing.painted == ended.bite).then_some(Back { bite: ended.bite, set })
}

/// Tones that are done have what was logged.
fn set_done(tones: &mut [ToneTime], done: &[Done], curve: &BiteCurve) {
    let mut before = (0.0, 0.0);
    for one in done {
        let shown = libm::round(one.total.0);
        tones[one.bite] = ToneTime {
            target: curve.lightness_at(one.effective),
            total: one.total,
            bite: Seconds(one.total.0 - before.0),
            effective: one.effective,
            shown_total: Seconds(shown),
            set: Seconds(shown - before.1),
            rounding: 0.0,
            range: None,
            shown_range: None,
        };
        before = (one.total.0, shown);
    }
}

/// Tones to come, from where the last bite ended.
fn set_rest(tones: &mut [ToneTime], ended: &Ended<'_>, rest: &[usize], plan: &BitePlan, aims: &[Lightness]) {
    let about = |middle: f64| move |(low, high): (Seconds, Seconds)| (Seconds(low.0.min(middle)), Seconds(high.0.max(middle)));
    let mut before = (ended.total, ended.effective);
    let mut dips = Vec::with_capacity(rest.len());
    for &tone in rest {
        let aimed = &ended.plan.tones[tone];
        // Where the last bite went past it, it has that bite's time, and no dip, until it is decided how to go on.
        let past = aimed.effective <= before.1;
        let dip = dips.last().copied().unwrap_or(0) + usize::from(!past);
        dips.push(dip);
        let effective = if past { before.1 } else { aimed.effective };
        let total = if past { before.0 } else { Seconds(ended.by_clock(effective, dip).0.max(before.0.0)) };
        let own = plan.tones[tone];
        let same = !past && (aims[tone].0 - own.target.0).abs() <= SAME;
        let shown = if dip == 0 { ended.shown.0 } else { by_hand_within(total, ended.longest(dip)).0.max(ended.shown.0) };
        tones[tone] = ToneTime {
            target: if past { ended.curve.lightness_at(effective) } else { aims[tone] },
            total,
            bite: Seconds(total.0 - before.0.0),
            effective,
            shown_total: Seconds(shown),
            set: Seconds(0.0),
            rounding: 0.0,
            range: own.range.filter(|_| same).map(about(total.0)),
            shown_range: own.shown_range.filter(|_| same).map(about(shown)),
        };
        before = (total, effective);
    }
    // As in the plan: what is rounded down at the strip's end takes the one before it down too.
    for pair in rest.windows(2).rev() {
        if tones[pair[0]].shown_total > tones[pair[1]].shown_total {
            tones[pair[0]].shown_total = tones[pair[1]].shown_total;
        }
    }
    let (mut shown, restart) = (ended.shown.0, ended.plan.handling.restart().0);
    for (dip, &tone) in dips.into_iter().zip(rest) {
        let time = &mut tones[tone];
        // Where rounding leaves nothing of a bite, its whole seconds stand, as in the way that was offered.
        time.set = what_if::set(Seconds(shown), time.shown_total, time.bite, ended.longest(dip));
        time.shown_total = Seconds(shown + time.set.0);
        time.shown_range = time.shown_range.map(about(time.shown_total.0));
        if dip > 0 {
            let bitten = time.shown_total.0 - (ended.total.0 - ended.effective.0) + dip as f64 * restart;
            time.rounding = ended.curve.lightness_at(Seconds(bitten)).0 - time.target.0;
        }
        shown = time.shown_total.0;
    }
}

/// Dropped tones have the time of the tone before.
fn set_dropped(tones: &mut [ToneTime], dropped: &[usize]) {
    for tone in 1..tones.len() {
        if dropped.contains(&tone) {
            tones[tone] = ToneTime { bite: Seconds(0.0), set: Seconds(0.0), ..tones[tone - 1] };
        }
    }
}

#[cfg(test)]
mod sessions;
#[cfg(test)]
mod tests;
