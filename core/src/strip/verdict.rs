//! What a strip's readings say of the bath: how far it may be trusted, and which bands are worth another look.

use super::{Reading, TestStrip};
use crate::practice::ReadingError;
use crate::units::Seconds;

/// Share of the darkest band's time that is planned to at most where the strip is over-bitten: the darkest time lies somewhere about
/// that band, and short of it is the safe side. Choice of ours.
pub const SHORT_OF_OVER_BITE: f64 = 0.95;

/// Standard deviations of a reading by which a later band must be lighter to count as lighter. Two: one in 44 by chance alone.
const LIGHTER: f64 = 2.0;

/// What the bands after the darkest say.
#[derive(Clone, Debug, PartialEq)]
pub enum After {
    /// There are none: the strip darkens to its end.
    Nothing,
    /// None is lighter by more than two reading errors: more time makes it no darker.
    Flat {
        /// The bands after the darkest.
        later: Vec<Reading>,
    },
    /// A single one is lighter by more: one reading proves no over-bite.
    Reread {
        /// The band to read again.
        band: Reading,
    },
    /// Two or more are: the grain has bitten away and the tone turns back.
    OverBitten {
        /// The bands that are lighter.
        lighter: Vec<Reading>,
        /// Totals of the darkest band's neighbours: the darkest time lies between them.
        peak: (Seconds, Seconds),
    },
}

/// What a strip's readings say, at a reading error.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The darkest band; the shortest bitten where several read alike. Nothing is planned beyond it.
    pub darkest: Reading,
    /// What the bands after it say.
    pub after: After,
    /// Neighbouring bands up to the darkest of which the longer bitten is no darker: shorter total first.
    pub disagree: Vec<(Reading, Reading)>,
    /// How many bands, paper counted, lie up to the darkest.
    pub usable: usize,
}

impl Verdict {
    /// Judges a strip.
    #[must_use]
    pub fn of(strip: &TestStrip, error: ReadingError) -> Self {
        let readings = strip.readings();
        let last =
            readings.iter().enumerate().fold(0, |darkest, (i, r)| if r.lightness < readings[darkest].lightness { i } else { darkest });
        let (darkest, later) = (readings[last], &readings[last + 1..]);
        let bound = darkest.lightness.0 + LIGHTER * error.l();
        let lighter: Vec<Reading> = later.iter().filter(|r| r.lightness.0 > bound).copied().collect();
        let after = match (later, lighter.as_slice()) {
            ([], _) => After::Nothing,
            (_, []) => After::Flat { later: later.to_vec() },
            (_, &[band]) => After::Reread { band },
            ([next, ..], _) => After::OverBitten { peak: (readings[last.saturating_sub(1)].total, next.total), lighter },
        };
        let pairs = readings[..=last].windows(2).filter(|w| w[1].lightness >= w[0].lightness);
        Self { darkest, after, disagree: pairs.map(|w| (w[0], w[1])).collect(), usable: last + 1 }
    }

    /// Share of the darkest band's time that may be planned to.
    #[must_use]
    pub fn share_planned(&self) -> f64 {
        if matches!(self.after, After::OverBitten { .. }) { SHORT_OF_OVER_BITE } else { 1.0 }
    }

    /// Whether more time in this bath makes this grain no darker.
    #[must_use]
    pub fn goes_no_darker(&self) -> bool {
        matches!(self.after, After::Flat { .. } | After::OverBitten { .. })
    }

    /// The verdict in sentences; none where every band is darker than the one before.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        [self.pairs(), self.ending(), self.lone()].into_iter().flatten().collect()
    }

    fn pairs(&self) -> Option<String> {
        let pairs: Vec<String> = self.disagree.iter().map(|(a, b)| format!("{} and {} disagree", band(a), band(b))).collect();
        let [first @ .., last] = pairs.as_slice() else { return None };
        let named = if first.is_empty() { last.clone() } else { format!("{}, and {last}", first.join(", ")) };
        Some(format!("{named}: repeat {}.", if pairs.len() == 1 { "them" } else { "these bands" }))
    }

    fn ending(&self) -> Option<String> {
        let darkest = self.darkest.total.0;
        match &self.after {
            After::Nothing => None,
            After::Flat { later } => {
                let longest = later.last()?.total.0;
                Some(format!(
                    "From {darkest} s to {longest} s the strip gets no darker: more time buys nothing there, and nothing is planned past \
                     {darkest} s."
                ))
            }
            After::Reread { band: again } => Some(format!(
                "{} reads clearly lighter than {}, and it is the only band that does: read it again. Until then nothing is planned past {darkest} s.",
                band(again),
                band(&self.darkest)
            )),
            After::OverBitten { lighter, peak: (before, next) } => {
                let named: Vec<String> = lighter.iter().map(band).collect();
                let (most, least) = (named.join(" and "), band(&self.darkest));
                Some(format!(
                    "Over-bitten: after {least} the strip turns lighter again, at {most}; the grain has bitten away. Its darkest time lies \
                     somewhere between {} s and {} s; one more band, at {} s, would settle it. Until then nothing is planned past {} s, {:.0} % of \
                     the darkest band's time.",
                    before.0,
                    next.0,
                    tidy((darkest + next.0) / 2.0),
                    tidy(SHORT_OF_OVER_BITE * darkest),
                    100.0 * SHORT_OF_OVER_BITE,
                ))
            }
        }
    }

    /// A single bitten band says where the way ends, and nothing of the way.
    fn lone(&self) -> Option<String> {
        (self.usable == 2).then(|| {
            format!(
                "Only one bitten band, {}, lies up to the darkest: the way there is guessed. Bite shorter bands too.",
                band(&self.darkest)
            )
        })
    }
}

/// A time without more digits than a sentence can use.
fn tidy(seconds: f64) -> f64 {
    libm::round(seconds * 10.0) / 10.0
}

fn band(reading: &Reading) -> String {
    format!("{} s (L* {:.1})", reading.total.0, reading.lightness.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Lightness;
    use crate::strip::StripKind;
    use proptest::prelude::*;

    fn verdict(bands: &[(f64, f64)], error: f64) -> Verdict {
        let readings = bands.iter().map(|&(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).collect();
        Verdict::of(&TestStrip::new("test", StripKind::Measured, readings).unwrap(), ReadingError::new(error).unwrap())
    }

    /// Strips 14-B and 14-C of the demo; they differ at 40 s and 80 s.
    fn demo(at_40: f64, at_80: f64) -> [(f64, f64); 10] {
        let l = [89.0, 85.0, 81.0, 74.0, at_40, at_80, 47.0, 37.0, 40.5, 45.5];
        let s = [0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 320.0, 480.0, 640.0];
        std::array::from_fn(|i| (s[i], l[i]))
    }

    #[test]
    fn two_lighter_bands_are_over_bite() {
        let found = verdict(&demo(66.0, 56.5), 1.0);
        let After::OverBitten { lighter, peak } = &found.after else { panic!("{found:?}") };
        assert_eq!((lighter.len(), *peak, found.usable, found.share_planned()), (2, (Seconds(160.0), Seconds(480.0)), 8, 0.95));
        let said = found.sentences();
        assert_eq!(said.len(), 1, "{said:?}");
        for part in
            ["320 s (L* 37.0)", "480 s (L* 40.5) and 640 s (L* 45.5)", "between 160 s and 480 s", "one more band, at 400 s", "past 304 s"]
        {
            assert!(said[0].contains(part), "{part} in {said:?}");
        }
        // A reader who is off by 3 L* can't tell 3.5 L* from nothing: one band is left, which is to be read again.
        assert_eq!(
            verdict(&demo(66.0, 56.5), 3.0).after,
            After::Reread { band: Reading { total: Seconds(640.0), lightness: Lightness(45.5) } }
        );
    }

    #[test]
    fn bands_that_do_not_fall_are_named_as_pairs() {
        let said = verdict(&demo(63.0, 64.5), 1.0).sentences();
        assert_eq!(said[0], "40 s (L* 63.0) and 80 s (L* 64.5) disagree: repeat them.");
        let said = verdict(&[(0.0, 89.0), (5.0, 89.0), (10.0, 50.0), (20.0, 50.0), (40.0, 20.0)], 1.0).sentences();
        assert!(said[0].contains("0 s (L* 89.0) and 5 s (L* 89.0) disagree, and 10 s"), "{said:?}");
    }

    #[test]
    fn a_lone_lighter_band_is_read_again_and_a_flat_end_is_the_end() {
        let found = verdict(&[(0.0, 89.0), (10.0, 60.0), (100.0, 30.0), (200.0, 33.0), (300.0, 31.0)], 1.0);
        assert!(matches!(found.after, After::Reread { band } if band.total == Seconds(200.0)));
        assert!(found.sentences()[0].contains("read it again"), "{:?}", found.sentences());
        let found = verdict(&[(0.0, 89.0), (10.0, 60.0), (100.0, 30.0), (200.0, 32.0), (300.0, 30.0)], 1.0);
        assert!(matches!(&found.after, After::Flat { later } if later.len() == 2));
        assert_eq!((found.darkest.total, found.goes_no_darker(), found.share_planned()), (Seconds(100.0), true, 1.0));
        assert!(found.sentences()[0].contains("From 100 s to 300 s"), "{:?}", found.sentences());
    }

    #[test]
    fn a_falling_strip_needs_no_word_and_a_lone_band_does() {
        let found = Verdict::of(&TestStrip::example(), ReadingError::default());
        assert_eq!((found.sentences(), found.after, found.usable), (Vec::<String>::new(), After::Nothing, 9));
        let said = verdict(&[(0.0, 90.0), (10.0, 40.0), (20.0, 60.0), (40.0, 70.0)], 1.0).sentences();
        assert!(said.iter().any(|s| s.contains("Only one bitten band")), "{said:?}");
    }

    proptest! {
        /// A later band made lighter never lets more be planned.
        #[test]
        fn lighter_later_bands_only_tighten(ends in prop::collection::vec(30.0..60.0f64, 0..5), which in 0usize..5, by in 0.0..20.0f64) {
            let mut bands = vec![(0.0, 89.0), (10.0, 60.0), (100.0, 30.0)];
            bands.extend(ends.iter().enumerate().map(|(i, &l)| (200.0 + 100.0 * i as f64, l)));
            let before = verdict(&bands, 1.0).share_planned();
            if let Some(band) = bands.get_mut(3 + which) {
                band.1 += by;
            }
            prop_assert!(verdict(&bands, 1.0).share_planned() <= before);
        }
    }
}
