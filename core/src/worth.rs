//! What another bite is worth: what it gives the picture, and what it costs the printer.
//!
//! A face reduced to a [`Preview`] is cut, cleaned and printed at any count of tones in some hundredths of a second, so that all counts can stand
//! side by side. What is counted for each:
//!
//! - the *error as seen*: the drawing laid linearly on the print's range against the print, both melted in linear light
//!   ([`crate::seen::MELTS`]), root mean square of the L* between them over the whole face;
//! - *refined*: the share of the face where the print, as seen, is nearer to the drawing by more than an L* that a viewer notices
//!   ([`crate::seen::NOTICED`]) than with one tone fewer; *coarsened* where it is farther by as much. With another count of tones nearly every
//!   tone moves a little, so what moves says little; what comes nearer is what a printer bites for;
//! - edge and minutes of painting, at the printer's own pace; time in the bath; drying and rinsing where the printer has given them;
//! - pairs of neighbouring tones likely to fuse ([`crate::fusing`]).
//!
//! It says what is gained and what is paid, and never which to choose.

use crate::bites::BitePlan;
use crate::fusing::Scatter;
use crate::light::Lightness;
use crate::outline::Outlines;
use crate::pace::HandSpeed;
use crate::seen::{Seen, Shares};
use crate::stopouts::StopOuts;
use crate::tones::{Breaks, StepMap, ToneCount};
use crate::units::Seconds;

mod bench;
mod preview;
mod words;
pub use bench::{Bench, BenchError};
pub use preview::Preview;

/// A preview cut at breaks, and what there is to paint.
#[derive(Clone, Debug)]
pub struct Cut {
    map: StepMap,
    edge_cm: f64,
    area_cm2: f64,
    islands: usize,
}

impl Cut {
    /// Cuts and cleans a preview, and counts what its stop-outs paint.
    #[must_use]
    pub fn of(preview: &Preview, breaks: &Breaks) -> Self {
        let map = preview.cut(breaks);
        let outlines = Outlines::of(map.plane(), preview.resolution());
        let face_cm2 = map.plane().data().len() as f64 * (preview.resolution().mm(1.0).0 / 10.0).powi(2);
        let stopouts = StopOuts::of(map, &outlines, preview.resolution(), HandSpeed::default());
        let list = stopouts.list();
        Self {
            edge_cm: list.iter().map(|stop| stop.edge_cm).sum(),
            area_cm2: list.iter().map(|stop| stop.new_share * face_cm2).sum(),
            islands: list.iter().map(|stop| stop.islands).sum(),
            map: stopouts.map().clone(),
        }
    }

    /// Edge to paint at all stop-outs, cm.
    #[must_use]
    pub fn edge_cm(&self) -> f64 {
        self.edge_cm
    }

    /// The step map of the preview.
    #[must_use]
    pub fn map(&self) -> &StepMap {
        &self.map
    }
}

/// The printer's own figures.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Own {
    /// How fast the hand paints.
    pub speed: HandSpeed,
    /// How much a printed tone scatters.
    pub scatter: Scatter,
    /// Minutes a bite beside painting and biting.
    pub bench: Bench,
}

/// A plate of so many tones in figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// How many tones.
    pub tones: ToneCount,
    /// Error as seen, L*.
    pub error: f64,
    /// Edge to paint at all stop-outs, cm.
    pub edge_cm: f64,
    /// Pieces to paint at all stop-outs.
    pub islands: usize,
    /// Painting, minutes.
    pub paint_min: f64,
    /// L* between the two nearest neighbours.
    pub closest: f64,
    /// Pairs of neighbouring tones to be expected to fuse.
    pub fusing: f64,
    /// Time in the bath, all bites, as the clock is set.
    pub bath: Seconds,
    /// The shortest bite: its number and length.
    pub shortest: (usize, Seconds),
    /// Whether that is shorter than a hand can do ([`BitePlan::too_short`]).
    pub gamble: bool,
    /// Drying and rinsing of all bites, minutes, of what is given.
    pub bench_min: f64,
    /// What of those is not given.
    pub missing: Option<&'static str>,
}

impl Worth {
    /// Of a cut seen as `print` beside the `drawing`, with the times of its bites.
    #[must_use]
    pub fn of(cut: &Cut, print: &Seen, drawing: &Seen, bites: &BitePlan, own: &Own) -> Self {
        let targets: Vec<Lightness> = bites.tones.iter().map(|tone| tone.target).collect();
        let gaps = targets.windows(2).map(|pair| pair[0].0 - pair[1].0);
        let first = (1, bites.tones.get(1).map_or(Seconds(0.0), |tone| tone.bite));
        let all = bites.tones.iter().enumerate().skip(1).map(|(j, tone)| (j, tone.bite));
        let shortest = all.fold(first, |best, next| if next.1 < best.1 { next } else { best });
        Self {
            tones: cut.map.tones(),
            error: print.apart(drawing),
            edge_cm: cut.edge_cm,
            islands: cut.islands,
            paint_min: own.speed.minutes(cut.edge_cm, cut.area_cm2, cut.islands),
            closest: gaps.fold(f64::INFINITY, f64::min),
            fusing: own.scatter.pairs(targets.iter().copied()),
            bath: bites.tones.last().map_or(Seconds(0.0), |tone| tone.shown_total),
            gamble: bites.tones.get(shortest.0).is_some_and(|tone| bites.too_short(tone)),
            shortest,
            bench_min: own.bench.minutes() * cut.map.tones().bites() as f64,
            missing: own.bench.missing(),
        }
    }

    /// Everything that is counted in minutes.
    #[must_use]
    pub fn minutes(&self) -> f64 {
        self.paint_min + self.bath.0 / 60.0 + self.bench_min
    }
}

/// From a count of tones to one more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// With a tone fewer.
    pub fewer: Worth,
    /// With it.
    pub more: Worth,
    /// What changes, and whether for the better, from fewer to more.
    pub shares: Shares,
}

impl Step {
    /// Between two counts of tones of one drawing, each as it is seen.
    #[must_use]
    pub fn between(fewer: (Worth, &Seen), more: (Worth, &Seen), drawing: &Seen) -> Self {
        Self { fewer: fewer.0, more: more.0, shares: fewer.1.shares(more.1, drawing) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::curve::BiteCurve;
    use crate::drawing::Ends;
    use crate::plane::Plane;
    use crate::regions::Mark;
    use crate::smoothing::Smoothing;
    use crate::strip::TestStrip;
    use crate::tones::{self, Histogram, Targets};
    use crate::units::PxPerMm;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

    const ENDS: Ends = Ends { paper: Lightness(95.0), black: Lightness(15.0) };

    pub(super) fn bites(tones: i64) -> BitePlan {
        let strip = TestStrip::example();
        let curve = BiteCurve::of(&strip);
        let targets = crate::bites::targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).unwrap();
        crate::bites::plan(&targets, &curve, &strip).unwrap()
    }

    /// A face, its drawing as seen, and one count of tones of it.
    struct Table {
        preview: Preview,
        drawing: Seen,
    }

    impl Table {
        fn of(face: &Plane<f32>, resolution: f64, mark: Option<Mark>) -> Self {
            let preview = Preview::of(face, PxPerMm(resolution), mark.map(|mark| (mark, Smoothing::default())));
            let strip = BiteCurve::of(&TestStrip::example());
            let drawing = preview.laid(ENDS, strip.paper(), Lightness(strip.darkest().0 + Targets::RESERVE));
            Self { preview, drawing }
        }

        fn at(&self, tones: i64, breaks: &Breaks, own: &Own) -> (Worth, Seen, Cut) {
            let (cut, bites) = (Cut::of(&self.preview, breaks), bites(tones));
            let prints: Vec<Lightness> = bites.tones.iter().map(|tone| tone.target).collect();
            let seen = self.preview.eye().sees_print(cut.map(), &prints);
            (Worth::of(&cut, &seen, &self.drawing, &bites, own), seen, cut)
        }

        fn even(&self, tones: i64) -> (Worth, Seen, Cut) {
            self.at(tones, &tones::even(ToneCount::new(tones).unwrap(), ENDS).unwrap(), &Own::default())
        }
    }

    /// From paper to black over 200 mm, evenly in L*.
    fn ramp() -> Plane<f32> {
        Plane::from_fn(800, 240, |x, _| 95.0 - 80.0 * (x as f32 + 0.5) / 800.0)
    }

    #[test]
    fn on_a_ramp_the_error_is_that_of_even_steps() {
        // A value rounded to steps of s is off by s/√12 in the root mean square. Melted by a Gaussian of σ, an edge between two bands of width w
        // loses (s/2)²·∫(1 − erf²(x/σ√2))dx of the square, and ∫(1 − erf²(u))du = 2√2/√π: in all s²/12·(1 − 12σ/(√π·w)).
        let table = Table::of(&ramp(), 4.0, None);
        let mut before = f64::INFINITY;
        for tones in 2..=16 {
            let (worth, ..) = table.even(tones);
            let step = (91.0 - 21.5) / (tones - 1) as f64;
            let melted = 12.0 * crate::seen::MELTS.0 / (std::f64::consts::PI.sqrt() * 200.0 / (tones - 1) as f64);
            // Three hundredths: light is melted, not L*, and the paper's and the black's bands are half as wide.
            assert_relative_eq!(worth.error, step / 12f64.sqrt() * (1.0 - melted).sqrt(), max_relative = 0.03);
            assert!(worth.error < before, "{tones} tones: {} after {before}", worth.error);
            before = worth.error;
        }
    }

    #[test]
    fn cleaned_too_the_error_falls_or_stays() {
        let table = Table::of(&ramp(), 4.0, Some(Mark::default()));
        let errors: Vec<f64> = (2..=16).map(|tones| table.even(tones).0.error).collect();
        assert!(errors.windows(2).all(|pair| pair[1] <= pair[0] + 1e-9), "{errors:?}");
    }

    #[test]
    fn what_is_painted_is_counted_in_millimetres() {
        // Upright bands on a face of 200 × 60 mm: N − 1 edges of 60 mm, each painted once; N − 1 pieces; all but the last band's area.
        let table = Table::of(&ramp(), 4.0, None);
        for tones in [2, 5, 10] {
            let (worth, _, cut) = table.even(tones);
            assert_relative_eq!(worth.edge_cm, 6.0 * (tones - 1) as f64, max_relative = 1e-6);
            assert_eq!(worth.islands, tones as usize - 1);
            let black = 0.5 / (tones - 1) as f64;
            assert_relative_eq!(cut.area_cm2, 120.0 * (1.0 - black), max_relative = 0.01);
            let minutes = 6.0 * (tones - 1) as f64 / 30.0 + cut.area_cm2 / 70.0 + (tones - 1) as f64 * 0.1;
            assert_relative_eq!(worth.paint_min, minutes, max_relative = 1e-6);
            assert_abs_diff_eq!(worth.minutes(), worth.paint_min + 560.0 / 60.0, epsilon = 1e-9);
            assert_eq!(worth.shortest.0, if tones == 10 { 1 } else { worth.shortest.0 });
        }
        // 30 minutes a bite of the printer's own, nine bites.
        let own = Own { bench: Bench::new(Some(25.0), Some(5.0)).unwrap(), ..Own::default() };
        let breaks = tones::even(ToneCount::new(10).unwrap(), ENDS).unwrap();
        let (worth, ..) = table.at(10, &breaks, &own);
        assert_eq!((worth.bench_min, worth.missing), (270.0, None));
    }

    #[test]
    fn a_step_that_gives_nothing_is_seen_to_give_nothing() {
        // Two lightnesses only, at the ends: a third tone has no area.
        let card = Plane::from_fn(200, 100, |x, _| if x < 100 { 95.0 } else { 15.0 });
        let table = Table::of(&card, 2.0, None);
        let ((two, seen_two, _), (three, seen_three, _)) = (table.even(2), table.even(3));
        let step = Step::between((two, &seen_two), (three, &seen_three), &table.drawing);
        assert_eq!((step.shares, three.error), (Shares::default(), two.error));
        assert!(step.added().starts_with("Bite 2 changes nothing a viewer would see, "), "{}", step.added());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn shares_are_shares_and_figures_add_up(seed in any::<u64>(), tones in 3..=16i64, marked in any::<bool>(), fitted in any::<bool>()) {
            let mut state = seed;
            let cells: Vec<f32> = (0..64).map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                15.0 + 80.0 * ((state >> 40) as f32 / (1u32 << 24) as f32)
            }).collect();
            let face = Plane::from_fn(160, 160, |x, y| cells[y / 20 * 8 + x / 20]);
            let table = Table::of(&face, 4.0, marked.then(Mark::default));
            let all = tones::fitted(&Histogram::of(face.data().iter().copied())).unwrap();
            let at = |tones: i64| if fitted { table.at(tones, &all[tones as usize - 2], &Own::default()) } else { table.even(tones) };
            let ((few, seen_few, _), (many, seen_many, cut)) = (at(tones - 1), at(tones));
            let step = Step::between((few, &seen_few), (many, &seen_many), &table.drawing);
            let Shares { changed, nearer, farther } = step.shares;
            prop_assert!((0.0..=1.0).contains(&changed) && nearer + farther <= 1.0 && nearer >= 0.0 && farther >= 0.0);
            // Nearer or farther by more than is noticed, it has changed by more than is noticed.
            prop_assert!(nearer + farther <= changed + 1e-12, "{:?}", step.shares);
            prop_assert!(many.error >= 0.0 && many.fusing >= 0.0 && many.fusing <= (tones - 1) as f64);
            prop_assert!((many.minutes() - many.paint_min - many.bath.0 / 60.0 - many.bench_min).abs() < 1e-9);
            // What the stop-outs paint and what they leave is the face.
            let left = *cut.map().counts().last().unwrap() as f64 / (160.0 * 160.0);
            prop_assert!((cut.area_cm2 / 16.0 + left - 1.0).abs() < 1e-9);
            for said in [step.added(), step.dropped()] {
                prop_assert!(said.ends_with('.') && !said.contains("NaN") && !said.contains("  ") && !said.contains("recommend"), "{}", said);
            }
        }

        #[test]
        fn fitted_breaks_never_spread_more_with_a_tone_more(counts in prop::collection::vec(0..50u64, 20..200)) {
            let histogram = Histogram::from_counts(counts.clone());
            let Ok(all) = tones::fitted(&histogram) else { return Ok(()) };
            let mut before = f64::INFINITY;
            for breaks in &all {
                let mut sums = vec![(0.0, 0.0, 0.0); breaks.tones().get()];
                for (bin, &count) in counts.iter().enumerate() {
                    let (l, n) = (histogram.middle(bin).0, count as f64);
                    let class = &mut sums[breaks.falling().iter().filter(|b| l < b.0).count()];
                    *class = (class.0 + n, class.1 + n * l, class.2 + n * l * l);
                }
                let spread: f64 = sums.iter().filter(|s| s.0 > 0.0).map(|s| s.2 - s.1 * s.1 / s.0).sum();
                // 1e-6 of 200 bins of 50 at L* squared: rounding.
                prop_assert!(spread <= before + 1e-6, "{} after {}", spread, before);
                before = spread;
            }
        }
    }
}
