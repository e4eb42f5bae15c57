//! A family of plates on one ladder of times: what each of them is dipped for.
//!
//! All plates are bitten by the same totals, so that equal tones are equal. A plate that lacks a tone has nothing to paint before the next
//! bite, so it SKIPS THE PAINTING, NOT THE BATH: its bites join in one dip. A plate leaves the bath after its darkest tone.

use crate::units::Seconds;
use std::ops::RangeInclusive;

/// One dip of a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Dip {
    /// The bites of the ladder that it is, from 1.
    pub bites: RangeInclusive<usize>,
    /// How long it lasts.
    pub length: Seconds,
    /// The plate's total when it comes out.
    pub total: Seconds,
}

impl Dip {
    /// Whether bites are joined in it.
    #[must_use]
    pub fn is_joined(&self) -> bool {
        self.bites.end() > self.bites.start()
    }
}

/// The dips of a plate on the family's ladder: `totals` by tone, tone 0 first (0 s), rising; `has` which tones have area on the plate. What is
/// beyond either is not looked at. A plate without a tone that is bitten is not dipped.
#[must_use]
pub fn dips(totals: &[Seconds], has: &[bool]) -> Vec<Dip> {
    let mut dips: Vec<Dip> = vec![];
    let mut begun = 1;
    for (tone, (&total, _)) in totals.iter().zip(has).enumerate().skip(1).filter(|(_, (_, has))| **has) {
        let before = dips.last().map_or(totals[0], |dip| dip.total);
        dips.push(Dip { bites: begun..=tone, length: Seconds(total.0 - before.0), total });
        begun = tone + 1;
    }
    dips
}

/// The stop-outs that a plate is painted with before its dips: stop-out j covers tone j − 1, so those of tones that it has and that are not
/// its last. Stop-out 1 of a plate without paper white is back and bevel alone, and still a tick.
#[must_use]
pub fn painted(has: &[bool]) -> Vec<usize> {
    let darkest = has.iter().rposition(|has| *has).unwrap_or(0);
    (1..=darkest).filter(|stop_out| *stop_out == 1 || has[stop_out - 1]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// The ladder of strip 14-B, ten tones (the worked demo, our own invention).
    const LADDER: [f64; 10] = [0.0, 7.1, 14.3, 24.0, 39.0, 59.4, 89.3, 135.3, 202.3, 299.0];

    fn of(lacks: &[usize]) -> (Vec<Dip>, Vec<usize>) {
        let has: Vec<bool> = (0..10).map(|tone| !lacks.contains(&tone)).collect();
        (dips(&LADDER.map(Seconds), &has), painted(&has))
    }

    #[test]
    fn the_demo_family_skips_paintings_and_no_bath() {
        let (all, stop_outs) = of(&[]);
        assert_eq!((all.len(), all.iter().any(Dip::is_joined), stop_outs), (9, false, (1..=9).collect()));
        // C has no paper white and no tone 7: stop-out 1 is a tick, 8 is skipped, bites 7 and 8 are one dip of 113.0 s.
        let (c, stop_outs) = of(&[0, 7]);
        assert_eq!(stop_outs, [1, 2, 3, 4, 5, 6, 7, 9]);
        assert_eq!((c.len(), c[6].bites.clone()), (8, 7..=8));
        assert_abs_diff_eq!(c[6].length.0, 113.0, epsilon = 1e-9);
        // D has no tone 8: stop-out 9 is skipped, bites 8 and 9 are one dip of 163.7 s.
        let (d, stop_outs) = of(&[8]);
        assert_eq!((stop_outs.contains(&9), d[7].bites.clone()), (false, 8..=9));
        assert_abs_diff_eq!(d[7].length.0, 163.7, epsilon = 1e-9);
        for plate in [all, c, d] {
            assert_abs_diff_eq!(plate.iter().map(|dip| dip.length.0).sum::<f64>(), 299.0, epsilon = 1e-9);
        }
        // A plate whose darkest tone is 6 leaves after bite 6; one that is paper all over is never dipped.
        let (early, stop_outs) = of(&[7, 8, 9]);
        assert_eq!((early.len(), early[5].total.0, stop_outs), (6, 89.3, (1..=6).collect()));
        assert_eq!(of(&[1, 2, 3, 4, 5, 6, 7, 8, 9]), (vec![], vec![]));
        assert_eq!((dips(&[], &[true]), painted(&[])), (vec![], vec![]));
    }

    proptest! {
        #[test]
        fn totals_are_the_ladders_whatever_is_lacking(steps in prop::collection::vec(0.1..200.0f64, 1..16), has in prop::collection::vec(any::<bool>(), 1..17)) {
            let mut totals = vec![Seconds(0.0)];
            steps.iter().for_each(|step| totals.push(Seconds(totals[totals.len() - 1].0 + step)));
            let dips = dips(&totals, &has);
            let mut total = 0.0;
            let mut next = 1;
            for dip in &dips {
                prop_assert_eq!(*dip.bites.start(), next);
                next = dip.bites.end() + 1;
                total += dip.length.0;
                prop_assert!((total - dip.total.0).abs() < 1e-9 && (total - totals[*dip.bites.end()].0).abs() < 1e-9);
                prop_assert!(has[*dip.bites.end()]);
            }
            // As many dips as tones that are bitten.
            prop_assert_eq!(dips.len(), has.iter().take(totals.len()).skip(1).filter(|has| **has).count());
        }
    }
}
