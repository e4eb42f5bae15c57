//! What a printer should know about a ladder of times before trusting it, in plain sentences.

use super::{BitePlan, ToneTime};
use crate::curve::{BiteCurve, CurveKind, to_x};
use crate::fusing::Scatter;
pub use crate::fusing::TOLD_APART;
use crate::strip::{After, StripKind};
use crate::units::Seconds;

/// The strip flattens where L* falls over ln(1 + t/5 s) at less than this share of its steepest bite. On a strip that darkens evenly
/// per doubling the share is near 1; at two thirds a bite takes half as many doublings again for the same L*. Choice of ours.
const FLAT: f64 = 2.0 / 3.0;

/// A paper as light as this is hardly one: the reading was taken against the paper. Common practice, no source.
const TOO_LIGHT_FOR_PAPER: f64 = 98.0;

/// A darkest reading lighter than this is no black. Estimate of ours: blacks of deep aquatint on dry paper read L* 20 to 30.
const NO_BLACK: f64 = 32.0;

/// L* by which rounding a total may move its tone before a word is due: what a reading is off by.
const ROUNDED: f64 = 1.0;

/// How much lighter than the darkest reading a fitted curve may end before a word is due, L*.
const SHORT_OF: f64 = 0.5;

/// What a strip's readings and their curve say, most important first.
pub(super) fn of_strip(curve: &BiteCurve) -> Vec<String> {
    let mut said = curve.verdict().sentences();
    said.extend(times_of_the_strip(curve).filter(|_| !matches!(curve.verdict().after, After::Nothing)));
    said.extend(fitted(curve));
    said.extend(no_black(curve));
    said
}

/// What is said of the strip is said in its own times. Where the ladder counts others, the two would seem to contradict each other.
fn times_of_the_strip(curve: &BiteCurve) -> Option<String> {
    let today = (curve.pace() != 1.0).then(|| format!("today each takes {:.2} times as long", curve.pace()));
    let dips = (curve.practice().handling.restart().0 != 0.0).then(|| "each dip of a plate adds its lag less its drag-out".to_owned());
    let but: Vec<String> = today.into_iter().chain(dips).collect();
    (!but.is_empty()).then(|| format!("Those are the strip's own times by the clock: {}.", listed(&but)))
}

fn fitted(curve: &BiteCurve) -> Option<String> {
    if curve.kind() == CurveKind::Through {
        return None;
    }
    let mut said = "Since not every band is darker than the one before, the times follow a smooth curve laid between the readings, not \
                    through them; a band that lies far off counts little."
        .to_owned();
    let (end, read) = (curve.lightness_at(curve.end()), curve.darkest());
    if end.0 > read.0 + SHORT_OF {
        said += &format!(
            " It ends at L* {:.1}, not at the L* {:.1} that was read there: no tone is planned darker than it comes.",
            end.0, read.0
        );
    }
    Some(said)
}

/// A strip that stops darkening before it is black: time is not what it wants.
fn no_black(curve: &BiteCurve) -> Option<String> {
    let darkest = curve.darkest().0;
    (darkest > NO_BLACK && curve.verdict().goes_no_darker()).then(|| {
        format!(
            "This strip reads no darker than L* {darkest:.1}, and its longer bands only lighten or stay: a blacker black wants a lighter grain \
             cover or a second grain, not more time."
        )
    })
}

impl BitePlan {
    /// What to know before trusting these times, most important first; empty when there is nothing to say.
    #[must_use]
    pub fn notes(&self) -> Vec<String> {
        if self.strip_kind == StripKind::Missing {
            return vec![
                "There is no strip yet, so no times are given: bite the strip plan beside a trial of your own grain, read it, and type its readings. Until then \
                 the tones are shown as the example strip prints."
                    .to_owned(),
            ];
        }
        let ladder = if self.undecided {
            // What is said of times that may all be others in a moment is noise.
            [self.not_decided(), None, None, None, None, None, None, self.paper()]
        } else {
            [self.left_out(), self.alike(), self.short(), self.rounded(), self.unsure(), self.close(), self.flat(), self.paper()]
        };
        self.example().into_iter().chain(self.remarks.iter().cloned()).chain(ladder.into_iter().flatten()).collect()
    }

    fn not_decided(&self) -> Option<String> {
        self.undecided.then(|| format!("How to go on after bite {} is not decided: until then no later bite has a time.", self.bitten))
    }

    /// Bites that are dropped, and what their tones print as.
    fn left_out(&self) -> Option<String> {
        let mut all = self.dropped.clone();
        all.sort_unstable();
        let tone = |bite: usize| (0..bite).rev().find(|before| !all.contains(before)).unwrap_or(0);
        let each: Vec<String> = all.iter().map(|&bite| format!("tone {bite} prints as tone {}", tone(bite))).collect();
        (!all.is_empty()).then(|| format!("{} left out: {}.", named("Bite", &all, "is", "are"), listed(&each)))
    }

    fn example(&self) -> Option<String> {
        (self.strip_kind == StripKind::Example).then(|| {
            format!(
                "Times are from the example strip {}: EXAMPLE, NOT YOUR BATH. Bite and read a strip of your own, on your grain and in \
                 your bath, before you bite a plate.",
                self.strip_id
            )
        })
    }

    /// Bites that rounding to what a hand can do leaves nothing of.
    fn alike(&self) -> Option<String> {
        let gone: Vec<usize> = self.bites().filter(|(_, t)| t.set.0 <= 0.0).map(|(j, _)| j).collect();
        (!gone.is_empty()).then(|| {
            format!(
                "{} to 0 s once the totals are rounded to what a hand can do, so {} alike: ask for fewer tones.",
                named("Bite", &gone, "comes", "come"),
                if gone.len() == 1 {
                    format!("tones {} and {} print", gone[0] - 1, gone[0])
                } else {
                    "each prints its two tones".to_owned()
                }
            )
        })
    }

    fn short(&self) -> Option<String> {
        let (shortest_bite, slack) = (self.handling.shortest_bite().0, self.handling.slack().0);
        let short: Vec<usize> = self.bites().filter(|(_, t)| self.too_short(t)).map(|(j, _)| j).collect();
        let (shortest, time) = self.bites().min_by(|a, b| a.1.bite.0.total_cmp(&b.1.bite.0))?;
        (!short.is_empty()).then(|| {
            format!(
                "{} shorter than {} s, three times the {} s a hand may be off{}: use a weaker bath with a strip of its own, begin with a \
                 deeper first tone, or ask for fewer tones.",
                named("Bite", &short, "is", "are"),
                shortest_bite,
                slack,
                if short.len() == 1 {
                    format!(" ({:.1} s)", time.bite.0)
                } else {
                    format!(" (the shortest is bite {shortest} with {:.1} s)", time.bite.0)
                }
            )
        })
    }

    /// Whether the bite that leads to a tone is shorter than three times the handling slack: the hand would decide, not the clock.
    #[must_use]
    pub fn too_short(&self, tone: &ToneTime) -> bool {
        tone.bite.0 > 0.0 && tenths(tone.bite) < self.handling.shortest_bite().0
    }

    /// Tones that rounding moves further than a reading is off.
    fn rounded(&self) -> Option<String> {
        let moved: Vec<String> = self
            .bites()
            .filter(|(_, t)| t.rounding.abs() > ROUNDED)
            .map(|(k, t)| format!("tone {k} by {:.1} L* {}", t.rounding.abs(), if t.rounding < 0.0 { "darker" } else { "lighter" }))
            .collect();
        (!moved.is_empty()).then(|| {
            format!(
                "Rounding the totals to what a hand can do moves {}: set the clock to the exact bite there, or ask for fewer tones.",
                listed(&moved)
            )
        })
    }

    /// Neighbours whose ranges overlap: the strip does not say how far apart they lie.
    fn unsure(&self) -> Option<String> {
        let apart = |w: &[ToneTime]| w[0].range.zip(w[1].range).is_none_or(|(a, b)| a.1 <= b.0);
        let pairs: Vec<String> = (1..self.tones.len().saturating_sub(1))
            .filter(|&k| !apart(&self.tones[k..k + 2]))
            .map(|k| format!("{k} and {}", k + 1))
            .collect();
        (!pairs.is_empty()).then(|| {
            format!(
                "The ranges of the totals of tones {} overlap: this strip does not tell them apart well. Read it again, add bands there, or ask \
                 for fewer tones.",
                listed(&pairs)
            )
        })
    }

    /// Tones closer than what tells them apart and one scatter more: there one pair in four (24 %) prints too close.
    fn close(&self) -> Option<String> {
        let scatter = self.scatter.l();
        let bound = TOLD_APART + scatter;
        let gaps = self.tones.windows(2).map(|w| w[0].target.0 - w[1].target.0);
        let close: Vec<f64> = gaps.filter(|&gap| gap < bound).collect();
        let nearest = close.iter().copied().min_by(f64::total_cmp)?;
        let expected = self.scatter.pairs(self.tones.iter().map(|tone| tone.target));
        Some(format!(
            "{} of {} of neighbouring tones {} less than {} L* apart (the closest {nearest:.1}); prints scatter by about {scatter} L* \
             ({}), so {} likely to come within {TOLD_APART} L* and look like one tone: ask for fewer tones, or use a strip with a darker end.",
            close.len(),
            plural(self.tones.len() - 1, "pair"),
            if close.len() == 1 { "stands" } else { "stand" },
            libm::round(bound * 10.0) / 10.0,
            if self.scatter == Scatter::default() { "estimate" } else { "your own figure" },
            match libm::round(expected) as usize {
                0 | 1 => "one pair is".to_owned(),
                pairs => format!("about {pairs} pairs are"),
            }
        ))
    }

    fn flat(&self) -> Option<String> {
        let fall = |w: &[ToneTime]| (w[0].target.0 - w[1].target.0) / (to_x(w[1].total) - to_x(w[0].total));
        let [.., before, last] = self.tones.as_slice() else { return None };
        // Of a plate at the bath the times are no longer the strip's alone.
        if self.bitten > 0 {
            return None;
        }
        let steepest = self.tones.windows(2).map(fall).max_by(f64::total_cmp)?;
        (fall(&[*before, *last]) < FLAT * steepest).then(|| {
            let fallen = before.target.0 - last.target.0;
            format!(
                "The last bite takes {} of {} because the strip flattens there: its {fallen:.1} L* cost about {:.0} s each. A larger \
                 reserve, a black that little lighter, makes it shorter.",
                last.set.clock(),
                last.shown_total.clock(),
                last.set.0 / fallen
            )
        })
    }

    fn paper(&self) -> Option<String> {
        let paper = self.tones.first()?.target.0;
        (paper > TOO_LIGHT_FOR_PAPER).then(|| {
            format!(
                "The paper of strip {} reads L* {paper:.1}, lighter than papers are: if its bands were read against the paper, read them \
                 again against the perfect white.",
                self.strip_id
            )
        })
    }

    /// Each bite to come with its number, from 1.
    fn bites(&self) -> impl Iterator<Item = (usize, &ToneTime)> {
        self.tones.iter().enumerate().skip(self.bitten + 1).filter(|(bite, _)| !self.dropped.contains(bite))
    }
}

/// Seconds as the notes show them: "5.97 s is shorter than 6 s" would read "6.0 s is shorter than 6 s".
fn tenths(time: Seconds) -> f64 {
    libm::round(time.0 * 10.0) / 10.0
}

/// "Bite 3 is", "Bites 1, 2 and 5 are".
fn named(what: &str, numbers: &[usize], one: &str, many: &str) -> String {
    match numbers {
        [] => String::new(),
        [number] => format!("{what} {number} {one}"),
        [first @ .., last] => {
            let first: Vec<String> = first.iter().map(ToString::to_string).collect();
            format!("{what}s {} and {last} {many}", first.join(", "))
        }
    }
}

/// "a", "a and b", "a, b and c"; within, pairs keep their own "and".
fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn plural(count: usize, what: &str) -> String {
    if count == 1 { format!("{count} {what}") } else { format!("{count} {what}s") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::curve::BiteCurve;
    use crate::light::Lightness;
    use crate::practice::{Handling, Practice, ReadingError};
    use crate::strip::{Reading, TestStrip};
    use crate::tones::{Targets, ToneCount};

    fn notes(strip: &TestStrip, tones: i64) -> Vec<String> {
        let curve = BiteCurve::of(strip);
        let targets = crate::bites::targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).unwrap();
        crate::bites::plan(&targets, &curve, strip).unwrap().notes()
    }

    fn strip(bands: &[(f64, f64)]) -> TestStrip {
        let readings = bands.iter().map(|&(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).collect();
        TestStrip::new("own", StripKind::Measured, readings).unwrap()
    }

    /// Strip 14-B of the demo, its rising part: it darkens evenly per doubling to the end.
    fn even() -> TestStrip {
        strip(&[(0.0, 89.0), (5.0, 85.0), (10.0, 81.0), (20.0, 74.0), (40.0, 66.0), (80.0, 56.5), (160.0, 47.0), (320.0, 37.0)])
    }

    #[test]
    fn ten_tones_of_an_even_strip_need_no_word() {
        assert_eq!(notes(&even(), 10), Vec::<String>::new());
        assert_eq!(notes(&even(), 2), Vec::<String>::new());
    }

    #[test]
    fn the_example_says_so_first_and_that_its_last_bite_is_long() {
        for tones in [6, 7, 10, 16] {
            let said = notes(&TestStrip::example(), tones);
            assert!(said[0].starts_with("Times are from the example strip 15-A: EXAMPLE, NOT YOUR BATH. "), "{said:?}");
            assert!(said.iter().any(|note| note.contains("flattens") && note.contains("larger reserve")), "{tones} tones: {said:?}");
        }
        assert!(
            notes(&TestStrip::example(), 10)[1].starts_with("The last bite takes 4:55 of 9:20 "),
            "{:?}",
            notes(&TestStrip::example(), 10)
        );
    }

    #[test]
    fn sixteen_tones_raise_two_flags() {
        let said = notes(&even(), 16);
        assert_eq!(said.len(), 2, "{said:?}");
        assert!(said[0].starts_with("Bites 1, 2, 3 and 4 are shorter than 6 s"), "{said:?}");
        assert!(said[0].contains("bite 1 with 4.2 s") && said[0].contains("weaker bath") && said[0].contains("fewer tones"), "{said:?}");
        assert!(said[1].starts_with("15 of 15 pairs of neighbouring tones stand less than 4.5 L* apart (the closest 3.4)"), "{said:?}");
        assert!(said[1].contains("about 6 pairs"), "15 times 0.425: {said:?}");
    }

    #[test]
    fn a_bite_that_rounds_to_nothing_is_said() {
        // Five L* in each fifth of a second: most of the ladder lies within a second.
        let said = notes(&strip(&[(0.0, 90.0), (0.2, 85.0), (0.4, 80.0), (2.0, 30.0)]), 10);
        assert!(said.iter().any(|note| note.contains("to 0 s") && note.contains("fewer tones")), "{said:?}");
        let said = notes(&strip(&[(0.0, 90.0), (0.4, 60.0), (60.0, 29.0)]), 3);
        assert!(said.iter().any(|note| note.contains("Bite 1 comes to 0 s") && note.contains("tones 0 and 1 print alike")), "{said:?}");
    }

    /// What is said of a strip with figures of the printer's own.
    fn by(strip: &TestStrip, slack: f64, error: f64, tones: i64) -> Vec<String> {
        let handling = Handling::new(Seconds(slack), Seconds(0.0), Seconds(0.0)).unwrap();
        let practice = Practice { handling, error: ReadingError::new(error).unwrap(), ..Practice::default() };
        let curve = BiteCurve::with(strip, practice).unwrap();
        let targets = crate::bites::targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).unwrap();
        crate::bites::plan(&targets, &curve, strip).unwrap().ranged(&curve, 400).notes()
    }

    #[test]
    fn short_bites_are_short_by_the_printers_own_slack() {
        assert!(!by(&even(), 2.0, 1.0, 10).iter().any(|note| note.contains("shorter than")));
        let said = by(&even(), 3.0, 1.0, 10);
        assert!(said.iter().any(|note| note.starts_with("Bites 1 and 2 are shorter than 9 s, three times the 3 s")), "{said:?}");
    }

    #[test]
    fn the_printers_own_scatter_decides_what_is_close() {
        let strip = even();
        let curve = BiteCurve::of(&strip);
        let targets = crate::bites::targets(ToneCount::new(10).unwrap(), &curve, Targets::RESERVE).unwrap();
        let plan = crate::bites::plan(&targets, &curve, &strip).unwrap().scattering(Scatter::new(4.0).unwrap());
        // Nine gaps of 5.67 L*: Φ((3 − 5.667)/(4·√2)) is 0.3187 by SciPy, and nine of them 2.87.
        let said = plan.notes();
        assert!(
            said.iter().any(|note| note.starts_with("9 of 9 pairs of neighbouring tones stand less than 7 L* apart")
                && note.contains("scatter by about 4 L* (your own figure), so about 3 pairs are likely")),
            "{said:?}"
        );
    }

    #[test]
    fn where_the_day_or_the_dips_count_other_times_the_strips_are_said_to_be_its_own() {
        let strip = crate::curve::tests::demo(66.0, 56.5);
        let own = |lag: f64, pace: f64| {
            let handling = Handling::new(Seconds(2.0), Seconds(lag), Seconds(0.0)).unwrap();
            let curve = BiteCurve::with(&strip, Practice { handling, ..Practice::default() }).unwrap().scaled(pace);
            let targets = crate::bites::targets(ToneCount::new(5).unwrap(), &curve, 0.0).unwrap();
            let plan = crate::bites::plan(&targets, &curve, &strip).unwrap();
            // 304 s is what the strip's verdict names; the ladder goes past that, rightly, and says why.
            assert_eq!(plan.tones[4].total.0 > 304.01, lag > 0.0 || pace > 1.0);
            plan.notes().into_iter().filter(|note| note.starts_with("Those are the strip's own times")).collect::<Vec<_>>()
        };
        assert_eq!(own(0.0, 1.0), Vec::<String>::new());
        assert_eq!(own(0.0, 1.25), ["Those are the strip's own times by the clock: today each takes 1.25 times as long."]);
        assert!(own(2.0, 1.25)[0].ends_with("today each takes 1.25 times as long and each dip of a plate adds its lag less its drag-out."));
    }

    #[test]
    fn ranges_that_overlap_are_said() {
        assert!(!by(&even(), 2.0, 1.0, 10).iter().any(|note| note.contains("overlap")));
        let said = by(&even(), 2.0, 4.0, 10);
        assert!(
            said.iter().any(|note| note.starts_with("The ranges of the totals of tones 1 and 2, ") && note.contains("overlap")),
            "{said:?}"
        );
    }

    #[test]
    fn rounding_that_moves_a_tone_is_said() {
        // 30 L* in 6 s: half a second is 2 L*.
        let said = notes(&strip(&[(0.0, 90.0), (6.0, 60.0), (60.0, 29.0)]), 10);
        assert!(said.iter().any(|note| note.starts_with("Rounding the totals to what a hand can do moves tone 1 by")), "{said:?}");
    }

    #[test]
    fn a_strip_that_stops_short_of_black_wants_another_grain_and_a_short_one_more_time() {
        let bands = [(0.0, 89.0), (20.0, 70.0), (80.0, 50.0), (320.0, 40.0)];
        let says = |bands: &[(f64, f64)]| {
            notes(&strip(bands), 4).iter().any(|note| note.contains("no darker than L* 40.0") && note.contains("second grain"))
        };
        assert!(!says(&bands), "it may go on darkening");
        assert!(says(&[&bands[..], &[(640.0, 40.5)]].concat()));
        assert!(says(&[&bands[..], &[(480.0, 43.0), (640.0, 47.0)]].concat()));
    }

    #[test]
    fn a_fitted_curve_says_so_and_where_it_ends() {
        // SciPy's least_squares with soft_l1 comes to L* 56.030 at 200 s (tests/reference/scripts/robust_fits.py, fit).
        let bands = [(0.0, 90.0), (5.0, 86.0), (10.0, 82.0), (20.0, 82.5), (40.0, 76.0), (80.0, 71.0), (160.0, 67.0), (200.0, 45.0)];
        let said = notes(&strip(&bands), 4);
        let fitted = said.iter().find(|note| note.contains("laid between the readings")).unwrap();
        assert!(fitted.contains("It ends at L* 56.0, not at the L* 45.0"), "{fitted}");
        assert!(said.iter().any(|note| note.starts_with("10 s (L* 82.0) and 20 s (L* 82.5) disagree")), "{said:?}");
    }

    #[test]
    fn readings_against_the_paper_are_suspected() {
        let said = notes(&strip(&[(0.0, 100.0), (30.0, 60.0), (120.0, 30.0)]), 4);
        assert!(said.iter().any(|note| note.contains("L* 100.0") && note.contains("perfect white")), "{said:?}");
    }
}
