//! Ways on after a bite that was off: the next one longer or shorter, later ones dropped, what is left spaced anew.

use super::Moved;
use crate::bites::{BitePlan, ToneTime, by_hand_within};
use crate::curve::BiteCurve;
use crate::light::Lightness;
use crate::units::Seconds;

/// The next bite, longer or shorter by what the last one was off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextBite {
    /// The first bite of its dip: bites of tones that the plate lacks join in it.
    pub from: usize,
    /// Its number, the last of its dip.
    pub bite: usize,
    /// As it was planned, all of the dip.
    pub planned: Seconds,
    /// What is left for it; nothing or less where the last bite went past this tone too.
    pub left: Seconds,
    /// What the clock is to be set to, by the rounded totals; never below zero.
    pub set: Seconds,
    /// L* between the tone that is off and the next one, which comes out as planned. Below zero where that is lighter already.
    pub gap: f64,
    /// Whether that is a bite: its time to bite long enough for a hand, or at least half of what was planned.
    pub fits: bool,
}

/// A way on with other bites than planned.
#[derive(Clone, Debug, PartialEq)]
pub struct WayOn {
    /// The tones still to be bitten, by their numbers in the plan.
    pub rungs: Vec<Rung>,
    /// Tones of the plan that print as the tone that is off, because their bites are dropped.
    pub joined: Vec<usize>,
    /// The widest gap between neighbouring tones that is left, and which two: the double step where a bite was dropped.
    pub widest: (usize, usize, f64),
    /// The narrowest gap between neighbouring tones from the one that is off onwards; none where that is the last.
    pub narrowest: Option<f64>,
}

/// One tone of a way on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rung {
    /// Its number in the plan.
    pub tone: usize,
    /// L* it prints at.
    pub prints: Lightness,
    /// Its total in the bath, exact.
    pub total: Seconds,
    /// Its total by the clock, rounded to what a hand can do; never past the strip's planned end but by what the bite before went past it.
    pub shown_total: Seconds,
    /// Its bite, exact: from the total before it, the first from where the bite that was off really ended.
    pub bite: Seconds,
    /// What the clock is to be set to, by the rounded totals; never below zero. Nothing for a tone that the plate lacks: it is in the dip of the
    /// rung after it, and so is its bite.
    pub set: Seconds,
}

/// The least that is a bite where so much was planned: what a hand can do, or half of it where that is less, and a second.
fn least(shortest: Seconds, planned: Seconds) -> Seconds {
    Seconds(shortest.0.min(planned.0 / 2.0).max(1.0))
}

/// What the clock is set to from one total by the clock to another, both rounded; where rounding leaves nothing of a bite, the bite itself
/// in whole seconds, as long as that ends within the strip.
pub(crate) fn set(from: Seconds, to: Seconds, bite: Seconds, longest: Seconds) -> Seconds {
    let by_totals = to.0 - from.0;
    Seconds(if by_totals >= 1.0 { by_totals } else { libm::floor(bite.0.min(longest.0 - from.0)).max(0.0) })
}

/// Where a bite ended.
pub(crate) struct Ended<'a> {
    /// The ladder that is aimed at.
    pub(crate) plan: &'a BitePlan,
    pub(crate) curve: &'a BiteCurve,
    /// Every tone of it.
    pub(crate) moved: &'a [Moved],
    pub(crate) bite: usize,
    /// Total of its tone that bites, as the curve counts.
    pub(crate) effective: Seconds,
    /// Total on the clock, exact.
    pub(crate) total: Seconds,
    /// The same by the rounded totals.
    pub(crate) shown: Seconds,
}

/// A tone to come: its number, its L*, and the total that bites.
type ToCome = (usize, Lightness, Seconds);

impl<'a> Ended<'a> {
    /// `totals` on the plate's own clock as planned, exact and shown; `off` by the clock, and by what bites.
    pub(super) fn of(
        plan: &'a BitePlan,
        curve: &'a BiteCurve,
        moved: &'a [Moved],
        (bite, totals): (usize, (Seconds, Seconds)),
        (off, bitten): (Seconds, Seconds),
    ) -> Self {
        let [total, shown] = [totals.0, totals.1].map(|total| Seconds(total.0 + off.0));
        Self { plan, curve, moved, bite, effective: Seconds(plan.tones[bite].effective.0 + bitten.0), total, shown }
    }

    /// Every later tone of the plan whose bite is not dropped.
    pub(crate) fn later(&self) -> impl DoubleEndedIterator<Item = (usize, &'a ToneTime)> + use<'a> {
        let (plan, from) = (self.plan, self.bite + 1);
        plan.tones.iter().enumerate().skip(from).filter(|(tone, _)| !plan.dropped.contains(tone))
    }

    /// Those of them that the plate has: what it lacks is bitten in the next one's dip, and nobody decides about it.
    fn had(&self) -> impl DoubleEndedIterator<Item = (usize, &'a ToneTime)> + use<'a> {
        let plan = self.plan;
        self.later().filter(|(tone, _)| !plan.lacks.contains(tone))
    }

    /// Whether bites before this one are in its dip.
    pub(crate) fn joins(&self, bite: usize) -> bool {
        self.later().next().is_some_and(|(first, _)| first < bite)
    }

    /// What the clock would be set to if this tone's bite were the next dip.
    fn left(&self, time: &ToneTime) -> Seconds {
        Seconds(time.effective.0 - self.effective.0 - self.plan.handling.restart().0)
    }

    /// The clock's total for a total that bites, after so many dips more: what the clock ran before and did not bite stays as it is.
    pub(crate) fn by_clock(&self, effective: Seconds, dips: usize) -> Seconds {
        Seconds(effective.0 + (self.total.0 - self.effective.0) - dips as f64 * self.plan.handling.restart().0)
    }

    /// The longest total by the clock after so many dips more.
    pub(crate) fn longest(&self, dips: usize) -> Seconds {
        self.by_clock(self.curve.limit(), dips)
    }

    /// What the clock is set to if this tone's bite is the next dip.
    fn set(&self, tone: usize, time: &ToneTime) -> Seconds {
        let longest = self.longest(1);
        // With restarts spared before it the ladder's own total is not this plate's.
        let here = &self.plan.tones[self.bite];
        let spared = (self.total.0 - self.effective.0) - (here.total.0 - here.effective.0);
        let ladders = tone == self.bite + 1 && spared.abs() < 1e-9;
        let to = if ladders { time.shown_total } else { by_hand_within(self.by_clock(time.effective, 1), longest) };
        set(self.shown, to, self.left(time), longest)
    }

    /// How long this tone's bite has still to bite, lag and drag-out apart; nothing or less where the bite that was off went past it.
    pub(crate) fn to_bite(&self, time: &ToneTime) -> Seconds {
        Seconds(time.effective.0 - self.effective.0)
    }

    /// Whether this tone's bite may be the next dip: `planned` is how long the first of them was to bite.
    fn fits(&self, (tone, time): (usize, &ToneTime), planned: Seconds) -> bool {
        self.to_bite(time) >= least(self.plan.handling.shortest_bite(), planned) && self.set(tone, time).0 > 0.0
    }

    /// How long the next bite was to bite.
    fn planned(&self) -> Option<Seconds> {
        let (_, time) = self.had().next()?;
        Some(Seconds(time.effective.0 - self.plan.tones[self.bite].effective.0))
    }

    pub(crate) fn next(&self) -> Option<NextBite> {
        let (bite, time) = self.had().next()?;
        let gap = self.moved[self.bite].prints.0 - self.moved[bite].planned.0;
        let set = self.set(bite, time);
        let fits = self.fits((bite, time), self.planned()?);
        let joins = self.joins(bite);
        let before = self.plan.tones[self.bite].effective.0 + self.plan.handling.restart().0;
        let planned = if joins { Seconds(time.effective.0 - before) } else { time.bite };
        let from = self.later().next().map_or(bite, |(first, _)| first);
        Some(NextBite { from, bite, planned, left: self.left(time), set, gap, fits })
    }

    /// The targets kept, without the bites that come too soon after: the first ones, `least` of them or more, and in the worst case all.
    /// None only where there is no later bite.
    pub(crate) fn dropped(&self, least: usize) -> Option<WayOn> {
        let planned = self.planned()?;
        let later: Vec<(usize, &ToneTime)> = self.later().collect();
        let had: Vec<(usize, &ToneTime)> = self.had().collect();
        let fit = had.iter().position(|&had| self.fits(had, planned)).unwrap_or(had.len());
        (fit.max(least).min(had.len())..=had.len()).find_map(|from| {
            // What is dropped goes up to the last tone dropped, and over such as the plate lacks and that were gone past.
            let dropped = had[..from].last().map_or(0, |&(last, _)| later.partition_point(|&(tone, _)| tone <= last));
            let past = |&(tone, time): &(usize, &ToneTime)| self.plan.lacks.contains(&tone) && self.to_bite(time).0 <= 0.0;
            let gone = later[dropped..].iter().take_while(|later| past(later)).count();
            let split = if from == had.len() { later.len() } else { dropped + gone };
            let (soon, rest) = later.split_at(split);
            let to_come = rest.iter().map(|&(tone, time)| (tone, self.moved[tone].planned, time.effective)).collect();
            self.way(to_come, soon.iter().map(|&(tone, _)| tone).collect())
        })
    }

    /// The tones left, evenly from what is there to the last target; none where that leaves a bite of less than a second by the clock.
    pub(crate) fn respaced(&self) -> Option<WayOn> {
        let (last, time) = self.had().next_back()?;
        if self.to_bite(time).0 <= 0.0 || self.left(time).0 <= 0.0 {
            return None;
        }
        let (from, to) = (self.moved[self.bite].prints.0, self.moved[last].planned.0);
        let bites = self.had().count() as f64;
        let mut dip = 0.0;
        let mut before = self.bite;
        let to_come = self.later().map(|(tone, time)| {
            // Darker than all that the plate has: nothing is asked of it.
            if tone > last {
                return Some((tone, self.moved[tone].planned, time.effective));
            }
            if !self.plan.lacks.contains(&tone) {
                (dip, before) = (dip + 1.0, tone);
            }
            if tone == last {
                return Some((tone, Lightness(to), time.effective));
            }
            // What it lacks lies between its neighbours.
            let next = self.had().map(|(tone, _)| tone).find(|&had| had >= tone).unwrap_or(last);
            let part = if next == tone { 0.0 } else { (tone - before) as f64 / (next - before) as f64 };
            let prints = Lightness(from + (to - from) * (dip + part) / bites);
            Some((tone, prints, self.curve.time_of(prints)?))
        });
        self.way(to_come.collect::<Option<_>>()?, Vec::new())
            .filter(|way| way.rungs.iter().all(|rung| rung.set.0 >= 1.0 || self.plan.lacks.contains(&rung.tone)))
    }

    /// Bites from totals, exact and shown, and the gaps they leave. None where drag-out leaves a bite no time.
    fn way(&self, to_come: Vec<ToCome>, joined: Vec<usize>) -> Option<WayOn> {
        let mut before = (self.total, self.shown);
        let mut rungs: Vec<Rung> = Vec::with_capacity(to_come.len());
        let mut dip = 0;
        // Tones that the plate lacks have their place between, and no dip: they wait for the one whose dip they are in.
        let mut lacked: Vec<ToCome> = Vec::new();
        let mut from = self.effective;
        for (tone, prints, effective) in to_come {
            if self.plan.lacks.contains(&tone) {
                lacked.push((tone, prints, effective));
                continue;
            }
            dip += 1;
            let longest = self.longest(dip);
            let total = self.by_clock(effective, dip);
            let bite = Seconds(total.0 - before.0.0);
            if bite.0 <= 0.0 {
                return None;
            }
            for (tone, prints, within) in lacked.drain(..) {
                let part = (within.0 - from.0) / (effective.0 - from.0);
                let total = Seconds(before.0.0 + part * bite.0);
                rungs.push(Rung { tone, prints, total, shown_total: before.1, bite: Seconds(0.0), set: Seconds(0.0) });
            }
            let set = set(before.1, by_hand_within(total, longest), bite, longest);
            let shown_total = Seconds(before.1.0 + set.0);
            rungs.push(Rung { tone, prints, total, shown_total, bite, set });
            (before, from) = ((total, shown_total), effective);
        }
        // Darker than all that the plate has.
        rungs.extend(lacked.into_iter().map(|(tone, prints, within)| {
            let total = Seconds(before.0.0 + within.0 - from.0);
            Rung { tone, prints, total, shown_total: before.1, bite: Seconds(0.0), set: Seconds(0.0) }
        }));
        let here = (self.bite, self.moved[self.bite].prints);
        let stand = self.moved[..self.bite].iter().map(|moved| (moved.tone, moved.prints));
        let all = stand.chain([here]).chain(rungs.iter().map(|rung| (rung.tone, rung.prints)));
        // Gaps are between tones that print.
        let all: Vec<(usize, Lightness)> = all.filter(|(tone, _)| *tone == self.bite || !self.plan.lacks.contains(tone)).collect();
        let gaps: Vec<(usize, usize, f64)> = all.windows(2).map(|w| (w[0].0, w[1].0, w[0].1.0 - w[1].1.0)).collect();
        let widest = gaps.iter().copied().max_by(|a, b| a.2.total_cmp(&b.2))?;
        let narrowest = gaps.iter().filter(|gap| gap.0 >= self.bite).map(|gap| gap.2).min_by(f64::total_cmp);
        Some(WayOn { rungs, joined, widest, narrowest })
    }
}
