//! What other counts of tones are worth: worked out one by one when they are looked at, and kept until the face, the mark, the strip or the rule
//! for breaks change.

use super::limits::Etched;
use super::{Desk, Kept, Plan, no_plan};
use crate::error::Refusal;
use crate::settings::{BreakRule, BreakSettings, LineChoice, Settings, WorthPicture, WorthSpec};
use serde::Serialize;
use stepbite_core::bites::{self, BitePlan};
use stepbite_core::fusing::Scatter;
use stepbite_core::light::Lightness;
use stepbite_core::pace::HandSpeed;
use stepbite_core::picture::{self, Rgba};
use stepbite_core::plane::Plane;
use stepbite_core::regions::Mark;
use stepbite_core::seen::Seen;
use stepbite_core::smoothing::Smoothing;
use stepbite_core::strip::StripKind;
use stepbite_core::tones::{self, Breaks, ToneCount};
use stepbite_core::units::Millimetres;
use stepbite_core::view::View;
use stepbite_core::worth::{Bench, Cut, Own, Preview, Step, Worth};

/// Counts of tones there are, 2 to 16.
const MOST: usize = ToneCount::MOST as usize - 1;

/// Targets laid out by arithmetic may differ by a rounding, which is no other range.
const ROUNDING: f64 = 1e-9;

/// What is kept of a face: its preview, the drawing as seen, and each count of tones that was asked for.
pub(super) struct Weighed {
    by: Cleaning,
    preview: Preview,
    drawing: Option<(Lightness, Lightness, Seen)>,
    /// By count of tones, from 2.
    counts: [Option<Counted>; MOST],
}

/// How the preview was made.
#[derive(Clone, Copy, PartialEq)]
struct Cleaning {
    lines: LineChoice,
    by: Option<(Mark, Smoothing)>,
}

/// One count of tones.
struct Counted {
    breaks: Breaks,
    prints: Vec<Lightness>,
    cut: Cut,
    seen: Seen,
}

/// What so many tones are worth; see `Worth` in `types.d.ts`.
#[derive(Debug, Serialize)]
pub struct WorthFacts {
    tones: usize,
    breaks: &'static str,
    error_l: f64,
    edge_cm: f64,
    islands: usize,
    paint_min: f64,
    closest_l: f64,
    fusing: f64,
    bath_s: f64,
    shortest: ShortestFacts,
    bench_min: f64,
    missing: Option<&'static str>,
    minutes: f64,
    step: Option<StepFacts>,
    left_out: bool,
    rough: bool,
}

#[derive(Debug, Serialize)]
struct ShortestFacts {
    bite: usize,
    seconds: f64,
    gamble: bool,
}

#[derive(Debug, Serialize)]
struct StepFacts {
    changed: f64,
    nearer: f64,
    farther: f64,
    added: String,
    dropped: String,
}

/// The printer's own figures, checked.
///
/// # Errors
/// Where one is out of its range.
pub(super) fn own(settings: &Settings, speed: HandSpeed) -> Result<Own, Refusal> {
    let bench = Bench::new(settings.bench.dry_min, settings.bench.rinse_min)?;
    Ok(Own { speed, scatter: Scatter::new(settings.scatter_l)?, bench })
}

impl Plan {
    /// The ladder of times of a count of tones, by the strip and the reserve of this plan.
    fn ladder(&self, count: ToneCount) -> Result<BitePlan, Refusal> {
        if count == self.stopouts.tones() {
            return Ok(self.bites.clone());
        }
        let targets = bites::targets(count, &self.curve, self.settings.reserve_l)?;
        Ok(bites::plan(&targets, &self.curve, &self.strip)?)
    }

    /// The breaks of a count of tones by this plan's rule, and the rule. Breaks set by hand belong to their own count; beside them others
    /// are fitted.
    fn cut_at(&self, count: ToneCount, kept: &mut Option<Vec<Breaks>>) -> Result<(Breaks, &'static str), Refusal> {
        match &self.settings.breaks {
            BreakSettings::ByHand(_) if count == self.stopouts.tones() => Ok((self.breaks.clone(), "hand")),
            BreakSettings::Rule(BreakRule::Even) => Ok((tones::even(count, self.face.ends)?, "even")),
            _ => {
                let all = match kept.take() {
                    Some(all) => all,
                    None => tones::fitted(&self.face.histogram())?,
                };
                let breaks = all.get(count.get() - 2).cloned();
                *kept = Some(all);
                let none = || Refusal::new("no_breaks", "No breaks were found: choose even ones.");
                Ok((breaks.ok_or_else(none)?, "fitted"))
            }
        }
    }
}

/// The rule and the times of a count of tones.
struct Asked {
    count: ToneCount,
    rule: &'static str,
    bites: BitePlan,
}

impl Weighed {
    /// What is kept for this plan, or begun anew.
    fn of<'a>(kept: &'a mut Kept, plan: &Plan) -> Result<&'a mut Self, Refusal> {
        let settings = &plan.settings;
        let mark = Mark::optional(Millimetres(settings.mark_mm))?;
        let smoothing = Smoothing::new(Millimetres(settings.smoothing_mm))?;
        let by = Cleaning { lines: settings.lines, by: mark.map(|mark| (mark, smoothing)) };
        let weighed = match kept.weighed.take() {
            Some(weighed) if weighed.by == by => weighed,
            _ => {
                let lightness = match settings.lines {
                    LineChoice::Stay => &plan.face.lightness,
                    LineChoice::Etched => Etched::kept(&mut kept.etched, &plan.face, mark).without(),
                };
                Self { by, preview: Preview::of(lightness, plan.face.resolution, by.by), drawing: None, counts: Default::default() }
            }
        };
        Ok(kept.weighed.insert(weighed))
    }

    /// The drawing as it would be seen, laid from the paper to the darkest target.
    fn draw(&mut self, plan: &Plan, prints: &[Lightness]) {
        let (paper, darkest) = (plan.curve.paper(), prints.last().copied().unwrap_or(plan.curve.darkest()));
        let same = |a: Lightness, b: Lightness| (a.0 - b.0).abs() <= ROUNDING;
        if !self.drawing.as_ref().is_some_and(|drawing| same(drawing.0, paper) && same(drawing.1, darkest)) {
            self.drawing = Some((paper, darkest, self.preview.laid(plan.face.ends, paper, darkest)));
        }
    }

    /// The count with these breaks and lightnesses; cut and cleaned only when its breaks are new.
    fn count(&mut self, breaks: Breaks, prints: Vec<Lightness>) {
        let at = breaks.tones().get() - 2;
        let before = self.counts[at].take().filter(|kept| kept.breaks == breaks);
        let counted = match before {
            Some(kept) if kept.prints == prints => kept,
            before => {
                let cut = before.map_or_else(|| Cut::of(&self.preview, &breaks), |kept| kept.cut);
                let seen = self.preview.eye().sees_print(cut.map(), &prints);
                Counted { breaks, prints, cut, seen }
            }
        };
        self.counts[at] = Some(counted);
    }

    fn at(&self, count: ToneCount) -> Result<&Counted, Refusal> {
        self.counts[count.get() - 2].as_ref().ok_or_else(no_plan)
    }
}

impl Desk {
    /// What so many tones are worth, beside one tone fewer.
    ///
    /// # Errors
    /// Before the first plan, without a strip, outside 2 to 16 tones, and where the strip has no times for so many.
    pub fn worth(&mut self, spec: WorthSpec) -> Result<WorthFacts, Refusal> {
        let count = ToneCount::new(spec.tones)?;
        let (plan, kept) = self.weighing()?;
        if plan.strip.kind() == StripKind::Missing {
            return Err(Refusal::new(
                "strip",
                "There is no strip yet, so nobody knows what a bite takes: bite the strip plan, read it, and ask again.",
            ));
        }
        let asked = counted(plan, kept, count)?;
        // One tone fewer may be refused where this count is not; then there is nothing to compare with.
        let fewer = ToneCount::new(spec.tones - 1).ok().and_then(|fewer| counted(plan, kept, fewer).ok());
        let speed = plan.pace.as_ref().map_or(plan.settings.hand_speed, |pace| pace.speed);
        let own = own(&plan.settings, speed)?;
        let weighed = kept.weighed.as_ref().ok_or_else(no_plan)?;
        let drawing = &weighed.drawing.as_ref().ok_or_else(no_plan)?.2;
        let figures = |asked: &Asked| {
            let counted = weighed.at(asked.count)?;
            Ok::<_, Refusal>((Worth::of(&counted.cut, &counted.seen, drawing, &asked.bites, &own), &counted.seen))
        };
        let (worth, seen) = figures(&asked)?;
        let step = match &fewer {
            Some(fewer) => Some(Step::between(figures(fewer)?, (worth, seen), drawing)),
            None => None,
        };
        let left_out = !plan.settings.hand.is_empty() || plan.settings.resist.is_some();
        Ok(facts(&worth, step.as_ref(), asked.rule, (left_out, weighed.preview.is_rough())))
    }

    /// A small picture of the print at a count of tones, its mean tones, print view.
    ///
    /// # Errors
    /// As [`Desk::worth`].
    pub fn worth_picture(&mut self, spec: WorthPicture) -> Result<Plane<Rgba>, Refusal> {
        let count = ToneCount::new(spec.tones)?;
        let (plan, kept) = self.weighing()?;
        counted(plan, kept, count)?;
        let counted = kept.weighed.as_ref().ok_or_else(no_plan)?.at(count)?;
        let colours: Vec<[f32; 3]> = counted.prints.iter().map(|l| [l.reflectance().0 as f32; 3]).collect();
        let map = counted.cut.map();
        let size = picture::fitted_size(map.plane().width(), map.plane().height(), (spec.width, spec.height));
        Ok(picture::tones(map, &colours, size, View::Print))
    }

    /// The plan, and what is kept of its face: what a later face that was refused left behind is given up.
    fn weighing(&mut self) -> Result<(&Plan, &mut Kept), Refusal> {
        let plan = self.plan.as_ref().ok_or_else(no_plan)?;
        let photo = plan.settings.photo.as_ref();
        if !self.kept.is_of(plan.place(), photo) {
            self.kept = Kept { lines: plan.settings.lines, ..Kept::of(plan.place(), photo) };
        }
        Ok((plan, &mut self.kept))
    }
}

/// Works a count of tones out, or finds it kept.
fn counted(plan: &Plan, kept: &mut Kept, count: ToneCount) -> Result<Asked, Refusal> {
    let bites = plan.ladder(count)?;
    let prints: Vec<Lightness> = bites.tones.iter().map(|tone| tone.target).collect();
    let (breaks, rule) = plan.cut_at(count, &mut kept.fitted)?;
    let weighed = Weighed::of(kept, plan)?;
    weighed.draw(plan, &prints);
    weighed.count(breaks, prints);
    Ok(Asked { count, rule, bites })
}

fn facts(worth: &Worth, step: Option<&Step>, rule: &'static str, (left_out, rough): (bool, bool)) -> WorthFacts {
    let (bite, seconds) = worth.shortest;
    WorthFacts {
        tones: worth.tones.get(),
        breaks: rule,
        error_l: worth.error,
        edge_cm: worth.edge_cm,
        islands: worth.islands,
        paint_min: worth.paint_min,
        closest_l: worth.closest,
        fusing: worth.fusing,
        bath_s: worth.bath.0,
        shortest: ShortestFacts { bite, seconds: seconds.0, gamble: worth.gamble },
        bench_min: worth.bench_min,
        missing: worth.missing,
        minutes: worth.minutes(),
        step: step.map(|step| StepFacts {
            changed: step.shares.changed,
            nearer: step.shares.nearer,
            farther: step.shares.farther,
            added: step.added(),
            dropped: step.dropped(),
        }),
        left_out,
        rough,
    }
}
