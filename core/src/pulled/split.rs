//! A proof's difference from the plan, split into what makes it: wiping, the bite's rate, the ink.
//!
//! # The model
//! Each effect has its own signature over the tones. *Wiping* (plate tone) adds a density everywhere, and is seen most in the whites. A bath
//! *rate* that was off shifts every tone along the strip's curve, t → t·e^ρ: mid-tones move, the white stays. *Ink* (its strength, the pressure)
//! multiplies each tone's density above the paper by e^s: darks move most, the order stays. Together
//! `D = D_paper + e^s·(D_curve(t·e^ρ) − D_paper) + w`.
//!
//! Three figures w, ρ, s are fitted to the readings by their maximum a posteriori, non-linear, once for each of the eight sets of causes: what is
//! not in the set is held to what a reading can't tell anyway (the reference paper's L*, the camera's contrast, a second at the clock). Laplace's
//! approximation gives each set's evidence, and so its probability; readings that scatter more than they should widen everything (R. T. Birge,
//! Phys. Rev. 40, 1932, 207–227). Where two sets are nearly as probable, both are said, and how to tell them apart cheaply.

use super::inking::Inking;
use crate::curve::BiteCurve;
use crate::light::{Density, Lightness};
use crate::relief::Relief;
use crate::units::Seconds;

/// What can make a proof differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// Plate tone more or less than the strip's.
    Wiping,
    /// The bath bit faster or slower than the strip's.
    Rate,
    /// Ink stronger or weaker, or the pressure.
    Ink,
}

impl Cause {
    /// All three, in the order of the figures.
    pub const ALL: [Self; 3] = [Self::Wiping, Self::Rate, Self::Ink];
}

/// One tone as planned and as read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToneRead {
    /// Which tone.
    pub tone: usize,
    /// Total that bites, as [`crate::bites::ToneTime::effective`].
    pub total: Seconds,
    /// What the proof reads.
    pub read: Lightness,
    /// Standard deviation of that, L*.
    pub sigma: f64,
}

/// The strip that a proof is held to.
#[derive(Clone, Copy, Debug)]
pub struct OnStrip<'a> {
    /// Its curve, at the times of the proof's bath.
    pub curve: &'a BiteCurve,
    /// How its tones take ink.
    pub inking: &'a Inking,
    /// Its metal: what it reads past its darkest band.
    pub relief: &'a Relief,
}

/// What the reading rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reference {
    /// How far the reference paper's L* may be off, a standard deviation.
    pub paper: f64,
}

/// One cause and what it comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effect {
    /// Which.
    pub cause: Cause,
    /// Its figure: wiping a density, rate ρ and ink s natural logarithms; 0 = as on the strip.
    pub value: f64,
    /// Standard deviation of that.
    pub doubt: f64,
    /// What it alone changes, root of the mean square over the tones read, L*.
    pub effect_l: f64,
    /// Its part in what all three change, 0..=1.
    pub share: f64,
    /// Probability that it is at work at all, 0..=1.
    pub probability: f64,
}

/// What comes of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// The proof is as planned, as far as can be read.
    AsPlanned,
    /// These, the largest first.
    Causes(Vec<Cause>),
    /// Two explain it about equally: either may be no cause at all.
    Either(Vec<Cause>, Vec<Cause>),
    /// None of the three explains it.
    Unexplained,
}

/// A difference, split.
#[derive(Clone, Debug, PartialEq)]
pub struct Split {
    /// Wiping, rate and ink by the most probable set.
    pub effects: [Effect; 3],
    /// What comes of it.
    pub verdict: Verdict,
    /// Root of the mean square of the difference from the plan, L*.
    pub difference_l: f64,
    /// The same of what the three leave unexplained.
    pub left_l: f64,
    /// What the fit has for each tone that came, L*.
    pub fitted: Vec<Lightness>,
    /// L* on the metal for each quarter of an L* read.
    metal: Vec<f64>,
}

/// Tones that are needed.
pub const LEAST_TONES: usize = 5;
/// How large each effect usually is, a standard deviation: a density, and two natural logarithms. Estimates of ours.
const USUAL: [f64; 3] = [0.05, 0.3, 0.2];
/// What rate and contrast a reading can't tell from none: a second in fifty at the clock, and the camera's own curve. Estimates.
const UNTOLD: (f64, f64) = (0.015, 0.02);
/// How probable each cause is before anything is read. Estimate.
const AT_WORK: f64 = 0.35;
/// A cause that changes less than this, L*, is none worth naming.
pub(super) const WORTH: f64 = 0.8;
/// A second set this probable beside the first explains it about equally.
const EQUALLY: f64 = 0.4;
/// What is left over more than this, L*, and more than half of the difference, is explained by none.
const LEFT: f64 = 3.0;

/// Splits the difference between the readings and what the strip has at their totals. `None` for fewer than [`LEAST_TONES`] tones, or what is no
/// number.
#[must_use]
pub fn split(tones: &[ToneRead], strip: &OnStrip<'_>, reference: Reference) -> Option<Split> {
    let finite = |t: &ToneRead| t.total.0.is_finite() && t.read.0.is_finite() && t.sigma > 0.0 && t.sigma.is_finite();
    if tones.len() < LEAST_TONES || !tones.iter().all(finite) || !(reference.paper >= 0.0 && reference.paper.is_finite()) {
        return None;
    }
    let paper = strip.curve.paper();
    // The slope of density over L* at the paper, by a difference.
    let slope = (density(Lightness(paper.0 - 0.5)) - density(Lightness((paper.0 + 0.5).min(100.0)))).abs().max(1e-3);
    let held = [reference.paper.max(0.05) * slope, UNTOLD.0, UNTOLD.1];
    let priors =
        |set: usize| -> [f64; 3] { std::array::from_fn(|k| if set >> k & 1 == 1 { libm::hypot(USUAL[k], held[k]) } else { held[k] }) };
    let all = Fit::of(tones, strip, priors(7), 1.0)?;
    let freedom = (tones.len() - 3) as f64;
    let wider = (all.chi2 / freedom).clamp(1.0, 25.0);
    let fits: Vec<Fit> = (0..8).filter_map(|set| Fit::of(tones, strip, priors(set), wider)).collect();
    if fits.len() < 8 {
        return None;
    }
    let at_work = |set: usize| (0..3).map(|k| if set >> k & 1 == 1 { libm::log(AT_WORK) } else { libm::log(1.0 - AT_WORK) }).sum::<f64>();
    let scores: Vec<f64> = fits.iter().enumerate().map(|(set, fit)| fit.evidence + at_work(set)).collect();
    let most = scores.iter().fold(f64::MIN, |most, &v| most.max(v));
    let weights: Vec<f64> = scores.iter().map(|v| libm::exp(v - most)).collect();
    let sum: f64 = weights.iter().sum();
    let probable: Vec<f64> = weights.iter().map(|v| v / sum).collect();
    // What each set's causes come to; one that comes to next to nothing is no cause.
    let alone = |set: usize| -> [f64; 3] {
        std::array::from_fn(|k| if set >> k & 1 == 1 { alone(tones, strip, k, own(&fits[set], k, held[k]).0) } else { 0.0 })
    };
    let worth = |set: usize| (0..3).filter(|&k| alone(set)[k] >= WORTH).fold(0usize, |sum, k| sum | 1 << k);
    let mut of_worth = [0.0; 8];
    let mut best_of = [None::<usize>; 8];
    for set in 0..8 {
        let kept = worth(set);
        of_worth[kept] += probable[set];
        if best_of[kept].is_none_or(|before| probable[set] > probable[before]) {
            best_of[kept] = Some(set);
        }
    }
    let mut order: Vec<usize> = (0..8).collect();
    order.sort_by(|&a, &b| of_worth[b].total_cmp(&of_worth[a]));
    let best = best_of[order[0]].unwrap_or(7);
    let fit = &fits[best];
    let effects_l = alone(best);
    let total: f64 = effects_l.iter().sum();
    let effects: [Effect; 3] = std::array::from_fn(|k| {
        let inside = best >> k & 1 == 1;
        let (value, doubt) = if inside { own(fit, k, held[k]) } else { (0.0, libm::sqrt(all.covariance[k][k])) };
        Effect {
            cause: Cause::ALL[k],
            value,
            doubt,
            effect_l: effects_l[k],
            share: if total > 0.0 { effects_l[k] / total } else { 0.0 },
            probability: (0..8).filter(|set| set >> k & 1 == 1).map(|set| probable[set]).sum(),
        }
    });
    let named = |kept: usize| {
        let by = alone(best_of[kept].unwrap_or(7));
        let mut list: Vec<usize> = (0..3).filter(|&k| kept >> k & 1 == 1).collect();
        list.sort_by(|&a, &b| by[b].total_cmp(&by[a]));
        list.into_iter().map(|k| Cause::ALL[k]).collect::<Vec<_>>()
    };
    let planned: Vec<Lightness> = tones.iter().map(|t| predicted(strip, t.total, [0.0; 3])).collect();
    let fitted: Vec<Lightness> = tones.iter().map(|t| predicted(strip, t.total, fit.theta)).collect();
    let difference_l = rms(tones.iter().zip(&planned).map(|(t, l)| t.read.0 - l.0));
    let left_l = rms(tones.iter().zip(&fitted).map(|(t, l)| t.read.0 - l.0));
    let verdict = if left_l > LEFT && left_l > 0.5 * difference_l {
        Verdict::Unexplained
    } else if of_worth[order[1]] > EQUALLY * of_worth[order[0]] {
        Verdict::Either(named(order[0]), named(order[1]))
    } else if order[0] == 0 {
        Verdict::AsPlanned
    } else {
        Verdict::Causes(named(order[0]))
    };
    // What nothing explains is on the metal as far as anybody knows.
    // Nor is what is not worth naming taken off.
    let taken = |k: usize| if verdict == Verdict::Unexplained || effects[k].effect_l < WORTH { 0.0 } else { effects[k].value };
    let none = (taken(0), taken(2)) == (0.0, 0.0);
    let on_metal = |l: f64| if none { l } else { uninked(strip, Lightness(l), taken(0), taken(2)).0 };
    let metal = (0..=4 * 100).map(|i| on_metal(f64::from(i) / 4.0)).collect();
    Some(Split { effects, verdict, difference_l, left_l, fitted, metal })
}

impl Split {
    /// What a reading would be had the plate been wiped and inked as the strip was: what is on the metal alone.
    #[must_use]
    pub fn on_the_metal(&self, read: Lightness) -> Lightness {
        let at = 4.0 * read.0.clamp(0.0, 100.0);
        let low = (at as usize).min(self.metal.len() - 2);
        let share = at - low as f64;
        Lightness(self.metal[low] + share * (self.metal[low + 1] - self.metal[low]))
    }
}

/// The tone that prints as `read` with so much wiping and ink: found by halving, for both darken every tone alike.
fn uninked(strip: &OnStrip<'_>, read: Lightness, wiping: f64, ink: f64) -> Lightness {
    let wanted = density(read) - wiping;
    let (mut low, mut high) = (0.0, 100.0);
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if strip.inking.density(Lightness(middle), libm::exp(ink)) > wanted { low = middle } else { high = middle }
    }
    Lightness(0.5 * (low + high))
}

/// One set of causes, fitted.
struct Fit {
    theta: [f64; 3],
    covariance: [[f64; 3]; 3],
    chi2: f64,
    evidence: f64,
}

/// The part of a figure that is the cause's own, the rest being what can't be told from none, and its standard deviation.
fn own(fit: &Fit, k: usize, held: f64) -> (f64, f64) {
    let (usual, held) = (USUAL[k] * USUAL[k], held * held);
    let part = usual / (usual + held);
    (part * fit.theta[k], libm::sqrt(part * part * fit.covariance[k][k] + usual * held / (usual + held)))
}

fn alone(tones: &[ToneRead], strip: &OnStrip<'_>, k: usize, value: f64) -> f64 {
    let theta = std::array::from_fn(|i| if i == k { value } else { 0.0 });
    rms(tones.iter().map(|t| predicted(strip, t.total, theta).0 - predicted(strip, t.total, [0.0; 3]).0))
}

fn rms(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0usize);
    for v in values {
        sum += v * v;
        count += 1;
    }
    libm::sqrt(sum / count.max(1) as f64)
}

fn density(l: Lightness) -> f64 {
    // Darker than any ink is noise: a density of 3.
    l.reflectance().density().0.min(3.0)
}

/// The curve a little beyond its end: the strip's own later bands where it turns lighter there, else straight in the logarithm of time as its last
/// fifth goes. Only to weigh causes by, never for a time to bite.
fn beyond(OnStrip { curve, relief, .. }: &OnStrip<'_>, total: Seconds) -> f64 {
    const LAST: f64 = 0.8;
    let end = curve.end().0;
    if total.0 <= end {
        return curve.lightness_at(total).0;
    }
    if let Some(later) = relief.turned_back(Seconds(total.0 / curve.pace())) {
        return later.0;
    }
    let (at, before) = (curve.lightness_at(Seconds(end)).0, curve.lightness_at(Seconds(LAST * end)).0);
    let slope = (at - before) / libm::log(1.0 / LAST);
    (at + slope * libm::log(total.0 / end).min(0.5)).max(1.0)
}

fn predicted(strip: &OnStrip<'_>, total: Seconds, [wiping, rate, ink]: [f64; 3]) -> Lightness {
    let own = Lightness(beyond(strip, Seconds(total.0 * libm::exp(rate))));
    Density((strip.inking.density(own, libm::exp(ink)) + wiping).clamp(0.0, 3.5)).reflectance().lightness()
}

impl Fit {
    /// The maximum a posteriori by Levenberg's steps from none; `wider` multiplies the readings' variances.
    fn of(tones: &[ToneRead], strip: &OnStrip<'_>, prior: [f64; 3], wider: f64) -> Option<Self> {
        const STEP: [f64; 3] = [1e-4, 1e-3, 1e-3];
        let weight = |t: &ToneRead| 1.0 / (t.sigma * t.sigma * wider);
        let off = |theta: [f64; 3]| tones.iter().map(|t| t.read.0 - predicted(strip, t.total, theta).0).collect::<Vec<f64>>();
        let chi2 = |off: &[f64]| off.iter().zip(tones).map(|(v, t)| v * v * weight(t)).sum::<f64>();
        let pull = |theta: [f64; 3]| (0..3).map(|k| theta[k] * theta[k] / (prior[k] * prior[k])).sum::<f64>();
        let mut theta = [0.0; 3];
        let mut residuals = off(theta);
        let mut cost = chi2(&residuals) + pull(theta);
        let mut damping = 1e-3;
        let hessian = |theta: [f64; 3], residuals: &[f64]| {
            let columns: [Vec<f64>; 3] = std::array::from_fn(|k| {
                let moved = |by: f64| off(std::array::from_fn(|i| if i == k { theta[i] + by } else { theta[i] }));
                moved(-STEP[k]).iter().zip(moved(STEP[k])).map(|(low, high)| (low - high) / (2.0 * STEP[k])).collect()
            });
            let mut normal = [[0.0; 4]; 3];
            for i in 0..3 {
                for (n, t) in tones.iter().enumerate() {
                    for j in 0..3 {
                        normal[i][j] += weight(t) * columns[i][n] * columns[j][n];
                    }
                    normal[i][3] += weight(t) * columns[i][n] * residuals[n];
                }
                normal[i][i] += 1.0 / (prior[i] * prior[i]);
                normal[i][3] -= theta[i] / (prior[i] * prior[i]);
            }
            normal
        };
        for _ in 0..60 {
            let normal = hessian(theta, &residuals);
            let mut damped = normal;
            for (i, row) in damped.iter_mut().enumerate() {
                row[i] *= 1.0 + damping;
            }
            let step = crate::homography::solve::<3, 4>(damped)?;
            let next: [f64; 3] = std::array::from_fn(|k| (theta[k] + step[k]).clamp(-4.0 * prior[k].max(0.1), 4.0 * prior[k].max(0.1)));
            let there = off(next);
            let then = chi2(&there) + pull(next);
            if then < cost {
                let gained = cost - then;
                (theta, residuals, cost) = (next, there, then);
                damping = (damping * 0.3).max(1e-9);
                if gained < 1e-9 * (1.0 + cost) {
                    break;
                }
            } else {
                damping *= 8.0;
                if damping > 1e8 {
                    break;
                }
            }
        }
        let normal = hessian(theta, &residuals);
        let column = |k: usize| {
            let mut rows = normal;
            for (i, row) in rows.iter_mut().enumerate() {
                row[3] = if i == k { 1.0 } else { 0.0 };
            }
            crate::homography::solve::<3, 4>(rows)
        };
        let covariance = [column(0)?, column(1)?, column(2)?];
        let determinant = determinant(&covariance);
        let evidence = -0.5 * cost + 0.5 * libm::log(determinant.max(1e-300)) - prior.iter().map(|p| libm::log(*p)).sum::<f64>();
        Some(Self { theta, covariance, chi2: chi2(&residuals), evidence })
    }
}

fn determinant(m: &[[f64; 3]; 3]) -> f64 {
    m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
        + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::relief::GrainChoice;
    use crate::relief::tests::over_bitten;
    use crate::strip::TestStrip;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    const REFERENCE: Reference = Reference { paper: 0.7 };

    fn curve() -> BiteCurve {
        BiteCurve::of(&TestStrip::example())
    }

    fn inking() -> Inking {
        Inking::new(Lightness(91.0), &[(0.6, 0.75), (0.3, 0.5), (0.1, 0.2), (0.03, 0.05)], 1.8)
    }

    fn relief(strip: &TestStrip) -> Relief {
        Relief::of(strip, &BiteCurve::of(strip), &GrainChoice::default()).unwrap()
    }

    fn split_(tones: &[ToneRead], curve: &BiteCurve, reference: Reference) -> Option<Split> {
        split(tones, &OnStrip { curve, inking: &inking(), relief: &relief(&TestStrip::example()) }, reference)
    }

    /// Tones of the example strip as they print with w, ρ and s.
    fn tones(count: usize, theta: [f64; 3]) -> Vec<ToneRead> {
        let curve = curve();
        let (inking, relief) = (inking(), relief(&TestStrip::example()));
        let strip = OnStrip { curve: &curve, inking: &inking, relief: &relief };
        let one = |k: usize| {
            let l = 91.0 - (91.0 - 23.0) * k as f64 / (count - 1) as f64;
            let total = curve.time_of(Lightness(l)).unwrap();
            ToneRead { tone: k, total, read: predicted(&strip, total, theta), sigma: 0.7 }
        };
        (0..count).map(one).collect()
    }

    #[test]
    fn each_cause_is_named_and_its_figure_told() {
        for (theta, cause) in [
            ([0.06, 0.0, 0.0], Cause::Wiping),
            ([0.0, 0.3, 0.0], Cause::Rate),
            ([0.0, -0.3, 0.0], Cause::Rate),
            ([0.0, 0.0, -0.25], Cause::Ink),
        ] {
            let got = split_(&tones(9, theta), &curve(), REFERENCE).unwrap();
            assert_eq!(got.verdict, Verdict::Causes(vec![cause]), "{theta:?}: {got:?}");
            let k = Cause::ALL.iter().position(|&c| c == cause).unwrap();
            assert_abs_diff_eq!(got.effects[k].value, theta[k], epsilon = 0.15 * theta[k].abs());
            assert!(got.effects[k].share > 0.95 && got.effects[k].probability > 0.9 && got.effects[k].doubt < theta[k].abs() / 2.0);
            assert!(got.left_l < 0.5, "{got:?}");
        }
    }

    #[test]
    fn two_at_once_are_both_named_the_larger_first() {
        let got = split_(&tones(10, [0.05, -0.35, 0.0]), &curve(), REFERENCE).unwrap();
        assert_eq!(got.verdict, Verdict::Causes(vec![Cause::Rate, Cause::Wiping]), "{got:?}");
    }

    #[test]
    fn a_proof_as_planned_has_no_cause() {
        let got = split_(&tones(8, [0.0; 3]), &curve(), REFERENCE).unwrap();
        assert_eq!(got.verdict, Verdict::AsPlanned);
        assert!(got.effects.iter().all(|e| e.probability < 0.4), "{got:?}");
    }

    #[test]
    fn a_poor_reference_makes_it_ambiguous() {
        // A little more everywhere: a film, or the paper read two L* too light.
        let slight = tones(7, [0.018, 0.0, 0.0]);
        let got = split_(&slight, &curve(), Reference { paper: 2.0 }).unwrap();
        assert!(!matches!(got.verdict, Verdict::Causes(_)), "{got:?}");
        // Only light tones, noisily: rate and ink look alike.
        let mut few = tones(12, [0.0, 0.14, 0.0]);
        few.truncate(6);
        few.iter_mut().for_each(|t| t.sigma = 1.5);
        let got = split_(&few, &curve(), REFERENCE).unwrap();
        assert!(matches!(got.verdict, Verdict::Either(..) | Verdict::AsPlanned), "{got:?}");
    }

    #[test]
    fn what_no_cause_explains_is_said() {
        let mut odd = tones(8, [0.0; 3]);
        for (k, tone) in odd.iter_mut().enumerate() {
            tone.read.0 += if k % 2 == 0 { 9.0 } else { -9.0 };
        }
        let got = split_(&odd, &curve(), REFERENCE).unwrap();
        assert_eq!(got.verdict, Verdict::Unexplained);
        // And nothing of it is taken off the metal.
        for l in [12.3, 40.0, 77.7] {
            assert_abs_diff_eq!(got.on_the_metal(Lightness(l)).0, l, epsilon = 1e-9);
        }
    }

    #[test]
    fn a_fast_bath_on_a_strip_that_turns_lighter_is_no_weak_ink() {
        // The darkest tones of a plate bitten by it come out lighter, as the strip's own later bands do.
        let strip = over_bitten();
        let (curve, relief, inking) = (BiteCurve::of(&strip), relief(&strip), inking());
        let on = OnStrip { curve: &curve, inking: &inking, relief: &relief };
        let fast = libm::exp(0.3);
        let totals = [0.0, 6.0, 14.0, 30.0, 60.0, 120.0, 220.0, 310.0];
        let tones: Vec<ToneRead> = totals
            .iter()
            .enumerate()
            .map(|(tone, &t)| ToneRead { tone, total: Seconds(t), read: relief.lightness_at(Seconds(t * fast)), sigma: 0.7 })
            .collect();
        assert!(tones[7].read > curve.lightness_at(curve.end()), "{:?}", tones[7]);
        let got = split(&tones, &on, REFERENCE).unwrap();
        assert_eq!(got.verdict, Verdict::Causes(vec![Cause::Rate]), "{got:?}");
        assert_abs_diff_eq!(got.effects[1].value, 0.3, epsilon = 0.05);
        assert!(got.left_l < 0.5, "{got:?}");
    }

    #[test]
    fn four_tones_are_too_few() {
        assert_eq!(split_(&tones(4, [0.1, 0.0, 0.0]), &curve(), REFERENCE), None);
        let mut wrong = tones(8, [0.0; 3]);
        wrong[3].read = Lightness(f64::NAN);
        assert_eq!(split_(&wrong, &curve(), REFERENCE), None);
    }

    #[test]
    fn what_lies_over_the_metal_comes_off_again() {
        let got = split_(&tones(9, [0.06, 0.0, 0.0]), &curve(), REFERENCE).unwrap();
        for (read, clean) in tones(9, [0.06, 0.0, 0.0]).iter().zip(tones(9, [0.0; 3])) {
            assert_abs_diff_eq!(got.on_the_metal(read.read).0, clean.read.0, epsilon = 0.8);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
        #[test]
        fn shares_and_probabilities_are_shares(l in prop::collection::vec(0.0..100.0f64, 5..14), sigma in 0.1..4.0f64, paper in 0.0..4.0f64) {
            let curve = curve();
            let tones: Vec<ToneRead> = l.iter().enumerate().map(|(k, &l)| ToneRead {
                tone: k, total: Seconds(12.0 * k as f64 * k as f64), read: Lightness(l), sigma,
            }).collect();
            let got = split_(&tones, &curve, Reference { paper }).unwrap();
            let sum: f64 = got.effects.iter().map(|e| e.share).sum();
            prop_assert!(sum.abs() < 1e-9 || (sum - 1.0).abs() < 1e-9);
            prop_assert!(got.effects.iter().all(|e| (0.0..=1.0 + 1e-9).contains(&e.probability) && e.doubt.is_finite() && e.value.is_finite()));
            prop_assert!(got.fitted.iter().all(|l| (0.0..=100.0).contains(&l.0)));
        }
    }
}
