//! Dips of a plate that lacks tones: bites that join are one dip, with one restart and one drag-out.

use super::{BitePlan, Fate, by_hand_within};
use crate::curve::BiteCurve;
use crate::family;
use crate::units::Seconds;
use std::ops::RangeInclusive;

/// One dip that is still to come, by the clock.
#[derive(Clone, Debug, PartialEq)]
pub struct TimedDip {
    /// The bites of the ladder that it is.
    pub bites: RangeInclusive<usize>,
    /// Its exact length on the clock.
    pub length: Seconds,
    /// What the clock is set to: the difference of rounded totals.
    pub set: Seconds,
    /// Exact total on this plate's clock as it comes out.
    pub total: Seconds,
    /// The same rounded to what a hand can do.
    pub shown_total: Seconds,
    /// Restarts fewer so far than on a plate that has every tone.
    pub fewer: usize,
}

impl TimedDip {
    /// Whether bites are joined in it.
    #[must_use]
    pub fn is_joined(&self) -> bool {
        self.bites.end() > self.bites.start()
    }

    /// "bite 7", "bites 7 and 8", "bites 7 to 9".
    #[must_use]
    pub fn words(&self) -> String {
        let (first, last) = (*self.bites.start(), *self.bites.end());
        match last - first {
            0 => format!("bite {last}"),
            1 => format!("bites {first} and {last}"),
            _ => format!("bites {first} to {last}"),
        }
    }
}

impl BitePlan {
    /// The dips that are still to come of a plate that `has` these tones, tone 0 first: `curve` is the one it was planned by.
    ///
    /// Each dip pays lag and drag-out once, whatever bites are joined in it: `T_eff = Σ (dip + drag − lag)` over dips, so that what bites is the
    /// ladder's, to the second that a hand can do. A plate with every tone has a dip a bite, by its own times.
    #[must_use]
    pub fn dips(&self, curve: &BiteCurve, has: &[bool]) -> Vec<TimedDip> {
        let last = self.tones.len().saturating_sub(1);
        // A dropped bite is no dip of its own either, but its restart is counted by nobody.
        let has: Vec<bool> = (0..=last).map(|tone| has.get(tone).copied().unwrap_or(false) && !self.dropped.contains(&tone)).collect();
        let totals: Vec<Seconds> = self.tones.iter().map(|tone| tone.total).collect();
        let restart = self.handling.restart().0;
        let here = self.tones.get(self.bitten).map_or((0.0, 0.0), |tone| (tone.total.0, tone.shown_total.0));
        let (mut before, mut shown, mut fewer) = (here.0, here.1, 0);
        let mut dips: Vec<TimedDip> = Vec::new();
        for dip in family::dips(&totals, &has).into_iter().filter(|dip| *dip.bites.end() > self.bitten) {
            let end = *dip.bites.end();
            // A dip begins with its first bite that is not dropped: what was dropped before it is neither painted nor bitten.
            let first = ((*dip.bites.start()).max(self.bitten + 1)..=end).find(|bite| !self.dropped.contains(bite)).unwrap_or(end);
            // Bites left out, and those the last one went past, are no dips as the ladder has them.
            fewer += (first..end).filter(|&bite| self.fate(bite) != Fate::Dropped && self.tones[bite].bite.0 > 0.0).count();
            let tone = &self.tones[end];
            let saved = fewer as f64 * restart;
            let longest = Seconds(curve.limit().0 + tone.total.0 - tone.effective.0 + saved);
            let total = (tone.total.0 + saved).max(before);
            let shown_total =
                if fewer == 0 || restart == 0.0 { tone.shown_total.0 } else { by_hand_within(Seconds(total), longest).0.max(shown) };
            dips.push(TimedDip {
                bites: first..=end,
                length: Seconds(total - before),
                set: Seconds(shown_total - shown),
                total: Seconds(total),
                shown_total: Seconds(shown_total),
                fewer,
            });
            (before, shown) = (total, shown_total);
        }
        dips
    }

    /// The dips that are still to come of the plate that the ladder is of; see [`BitePlan::of_a_plate`].
    #[must_use]
    pub fn to_come(&self, curve: &BiteCurve) -> Vec<TimedDip> {
        let has: Vec<bool> = (0..self.tones.len()).map(|tone| !self.lacks.contains(&tone)).collect();
        self.dips(curve, &has)
    }

    /// What is to be said of dips that join bites; none where there are none.
    #[must_use]
    pub fn joined_note(&self, dips: &[TimedDip]) -> Option<String> {
        let joined: Vec<String> = dips.iter().filter(|dip| dip.is_joined()).map(TimedDip::words).collect();
        let fewer = dips.last()?.fewer;
        let (last, others) = joined.split_last()?;
        let which = if others.is_empty() { last.clone() } else { format!("{} and {last}", others.join(", ")) };
        let restart = if fewer == 0 {
            String::new()
        } else {
            format!(": {} fewer, which is counted", if fewer == 1 { "one restart".to_owned() } else { format!("{fewer} restarts") })
        };
        Some(format!("This plate lacks tones, so it skips their painting and not the bath: {which} are one dip{restart}."))
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::strip_14_b;
    use super::super::{plan, targets};
    use super::*;
    use crate::practice::{Handling, Made, Practice};
    use crate::strip::TestStrip;
    use crate::tones::{Targets, ToneCount};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn ladder(strip: &TestStrip, tones: i64, (lag, drag): (f64, f64)) -> (BitePlan, BiteCurve) {
        let handling = Handling::new(Seconds(2.0), Seconds(lag), Seconds(drag)).unwrap();
        let curve = BiteCurve::with(strip, Practice { handling, made: Made::OneDip, ..Practice::default() }).unwrap();
        let targets = targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).unwrap();
        (plan(&targets, &curve, strip).unwrap(), curve)
    }

    fn lacking(lacks: &[usize]) -> Vec<bool> {
        (0..10).map(|tone| !lacks.contains(&tone)).collect()
    }

    #[test]
    fn the_demo_family_has_dips_of_113_0_and_163_7_s() {
        // Worked figures of strip 14-B, printed to 0.1 s.
        let (plan, curve) = ladder(&strip_14_b(), 10, (0.0, 0.0));
        let c = plan.dips(&curve, &lacking(&[0, 7]));
        assert_eq!((c.len(), c[6].bites.clone()), (8, 7..=8));
        assert_abs_diff_eq!(c[6].length.0, 113.0, epsilon = 0.1);
        let d = plan.dips(&curve, &lacking(&[8]));
        assert_eq!((d.len(), d[7].bites.clone()), (8, 8..=9));
        assert_abs_diff_eq!(d[7].length.0, 163.7, epsilon = 0.1);
        for dips in [&c, &d, &plan.dips(&curve, &lacking(&[]))] {
            assert_abs_diff_eq!(dips.last().unwrap().total.0, 299.0, epsilon = 0.1);
            assert_eq!(dips.iter().map(|dip| dip.set.0).sum::<f64>(), plan.tones[9].shown_total.0);
        }
        assert_eq!(
            plan.joined_note(&c).unwrap(),
            "This plate lacks tones, so it skips their painting and not the bath: bites 7 and 8 are one dip: one restart fewer, which is counted."
        );
        assert_eq!(plan.joined_note(&plan.dips(&curve, &lacking(&[]))), None);
        // A plate whose darkest tone is 6 leaves after bite 6.
        assert_eq!(plan.dips(&curve, &lacking(&[7, 8, 9])).last().unwrap().bites, 6..=6);
    }

    #[test]
    fn a_restart_fewer_is_two_seconds_fewer_where_each_costs_two() {
        let (plan, curve) = ladder(&strip_14_b(), 10, (2.0, 0.0));
        let (all, c) = (plan.dips(&curve, &lacking(&[])), plan.dips(&curve, &lacking(&[7])));
        assert_abs_diff_eq!(all[8].total.0, plan.tones[9].total.0, epsilon = 1e-9);
        assert_abs_diff_eq!(c[7].total.0, plan.tones[9].total.0 - 2.0, epsilon = 1e-9);
        // One lag in the joined dip, where two bites have two.
        assert_abs_diff_eq!(c[6].length.0, plan.tones[7].bite.0 + plan.tones[8].bite.0 - 2.0, epsilon = 1e-9);
    }

    #[test]
    fn a_dropped_bite_joins_no_dip() {
        let (mut plan, curve) = ladder(&strip_14_b(), 10, (0.0, 0.0));
        plan.dropped = vec![5];
        let dips = plan.dips(&curve, &lacking(&[]));
        assert!(dips.iter().all(|dip| !dip.is_joined() && *dip.bites.start() != 5), "{dips:?}");
        assert_eq!((dips.len(), dips[4].bites.clone()), (8, 6..=6));
        assert_eq!(plan.joined_note(&dips), None);
        assert_abs_diff_eq!(dips[4].length.0, plan.tones[6].total.0 - plan.tones[4].total.0, epsilon = 1e-9);
        // Of a plate that lacks the tone before, too, the dip has the painting of the bite that is not dropped.
        plan.dropped = vec![6];
        assert_eq!(plan.dips(&curve, &lacking(&[7])).iter().map(|dip| dip.bites.clone()).nth(5).unwrap(), 7..=8);
    }

    proptest! {
        /// Whatever is lacking: dips of their own restarts each come to the ladder's own times of what bites.
        #[test]
        fn what_bites_is_the_ladders(has in prop::collection::vec(any::<bool>(), 12), (lag, drag) in (0.0..4.0f64, 0.0..2.0f64), tones in 3..12i64, bitten in 0..6usize) {
            let Ok((mut plan, curve)) = std::panic::catch_unwind(|| ladder(&strip_14_b(), tones, (lag, drag))) else { return Ok(()) };
            plan.bitten = bitten.min(tones as usize - 1);
            let from = plan.tones[plan.bitten];
            let mut bites = from.effective.0;
            let mut next = plan.bitten + 1;
            let mut clock = from.shown_total.0;
            for dip in plan.dips(&curve, &has) {
                prop_assert_eq!(*dip.bites.start(), next);
                next = dip.bites.end() + 1;
                bites += dip.length.0 + drag - lag;
                prop_assert!((bites - plan.tones[*dip.bites.end()].effective.0).abs() < 1e-6);
                clock += dip.set.0;
                prop_assert!(dip.set.0 >= 0.0 && (clock - dip.shown_total.0).abs() < 1e-9 && (dip.shown_total.0 - dip.total.0).abs() <= 5.0 + 1e-6);
                prop_assert!(bites <= curve.limit().0 + 1e-6);
            }
        }
    }
}
