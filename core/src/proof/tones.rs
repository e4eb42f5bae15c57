//! How each tone comes out of the bath: its total from the bites that reach it, its mean from the curve, its lands and pits.
//!
//! # The picture behind lands and pits
//! The acid sinks to a depth d, and as far sideways under each grain (an isotropic still bath: undercut = depth). What is left of the
//! grain's tops are lands, they print as paper; the pits hold ink, the more the deeper, `D = D_paper + (D_ink − D_paper)(1 − e^(−d/d₀))`.
//! Light spreads in the paper, so that lands and pits mix by Yule and Nielsen (TAGA Proc. 3, 1951):
//! `Y^(1/n) = c·Yland^(1/n) + (1−c)·Ypit^(1/n)`, c the cover that is left ([`Grain::cover_after`]).
//! Pits darken and cover goes with depth, so Y falls with d and each mean that the curve gives has ONE depth, found by halving. The pit
//! is then set anew from Y and c, so that the mean is the curve's to rounding. Both effects grow together from the first second;
//! to fill the pits first and undercut only afterwards would fit the same means with a kink in the middle tones.
//!
//! Seen apart under the glass, a land or pit i shows `Y^(1−1/n)·Yi^(1/n)`: the light that spread out of the lands is missing there and
//! brightens the pits. Those two average, in linear light and with weights c and 1−c, to Y exactly, at every zoom.
//!
//! It is a picture, not a promise: depths are what would explain the curve, nobody measured them.

use crate::bites::BitePlan;
use crate::colour::Rgb;
use crate::curve::BiteCurve;
use crate::film::Film;
use crate::grain::Grain;
use crate::light::{Lightness, Reflectance};
use crate::stopouts::StopOuts;
use crate::units::{Millimetres, Seconds};
use std::fmt;

/// What turns a tone's mean into lands and pits. Estimates all, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PitModel {
    /// Yule-Nielsen's n, 1..=10; default 1.8 (usual values are 1.6 to 2).
    pub n: f64,
    /// Lightness of a full pit; default L* 16, a density of 1.69. A darker strip takes darker ink: some lands are always left in black.
    pub ink: Lightness,
    /// Depth d₀ at which a pit holds 63 % of the ink's density, mm; default 0.005: on the worked example strips this makes depth grow
    /// as time to the power 0.97 and 0.95, so nearly in proportion, which is what a steady bath does.
    pub filling_depth: Millimetres,
}

impl PitModel {
    /// Share of lands left at the strip's darkest reading at the least: a black without flecks would be no aquatint.
    const FLECKS: f64 = 0.03;
}

impl Default for PitModel {
    fn default() -> Self {
        Self { n: 1.8, ink: Lightness(16.0), filling_depth: Millimetres(0.005) }
    }
}

/// One tone as the plan will print it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProofTone {
    /// Time in the bath, the sum of the bites that reach it.
    pub total: Seconds,
    /// Mean over lands and pits, by the curve.
    pub mean: Reflectance,
    /// How far each grain's top has shrunk; None where the metal was never bitten and no grain shows.
    pub undercut: Option<Millimetres>,
    /// Share of lands, 0..=1; 1 where it was never bitten.
    pub lands: f64,
    /// What a land shows under the glass.
    pub land: Reflectance,
    /// What a pit shows under the glass.
    pub pit: Reflectance,
    /// Thickness of the ink in a pit, times that of the model's full pit: what its density beyond the paper's is to the full one's.
    pub film: f64,
}

/// All tones of a plan as they will print, on the grain they were worked out for.
#[derive(Clone, Debug)]
pub struct ProofTones {
    tones: Vec<ProofTone>,
    paper: Reflectance,
    /// A full pit, by itself.
    full: Reflectance,
    /// Yule and Nielsen's n.
    n: f64,
    grain: Grain,
}

/// Stop-outs and bites that don't belong together, or light and times that are none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ProofError {
    /// The plan's tones are not the stop-outs'.
    Tones {
        /// Tones of the step map.
        stop_outs: usize,
        /// Tones of the plan.
        plan: usize,
    },
    /// A total or a lightness is not a number.
    Number {
        /// The tone it belongs to.
        tone: usize,
    },
}

impl fmt::Display for ProofError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Tones { stop_outs, plan } => {
                write!(f, "Times for {stop_outs} tones were expected, for {plan} they came: work out the bites anew for these stop-outs.")
            }
            Self::Number { tone } => {
                write!(f, "A time and a lightness were expected for tone {tone}, one of them is not a number: check the strip's readings.")
            }
        }
    }
}

impl std::error::Error for ProofError {}

impl ProofTones {
    /// Works out each tone from the stop-outs that leave it bare, the exact bites, and the strip's curve.
    ///
    /// # Errors
    /// When the plan is for another number of tones, or a time or lightness is not a number.
    pub fn of(stop_outs: &StopOuts, plan: &BitePlan, curve: &BiteCurve, grain: &Grain) -> Result<Self, ProofError> {
        let totals = totals(stop_outs, plan)?;
        Self::new(&totals, curve.paper(), curve.darkest(), |total| curve.lightness_at(total), grain, PitModel::default())
    }

    /// Works out tones of the given totals (tone 0 first). `paper` is the strip's lightness at 0 s, `darkest` its darkest usable
    /// reading, `lightness_at` its curve.
    ///
    /// # Errors
    /// When a time or lightness is not a number.
    pub fn new(
        totals: &[Seconds],
        paper: Lightness,
        darkest: Lightness,
        lightness_at: impl Fn(Seconds) -> Lightness,
        grain: &Grain,
        model: PitModel,
    ) -> Result<Self, ProofError> {
        if !paper.0.is_finite() || !darkest.0.is_finite() {
            return Err(ProofError::Number { tone: 0 });
        }
        let paper = clean(paper.reflectance());
        let pits = Pits::new(model, paper, clean(darkest.reflectance()));
        let mut tones = Vec::with_capacity(totals.len());
        for (tone, &total) in totals.iter().enumerate() {
            let lightness = lightness_at(total);
            if !total.0.is_finite() || !lightness.0.is_finite() {
                return Err(ProofError::Number { tone });
            }
            // Nothing prints lighter than the paper.
            let mean = Reflectance(clean(lightness.reflectance()).0.min(paper.0));
            tones.push(if total.0 > 0.0 {
                let depth = pits.depth(mean, grain);
                ProofTone { total, mean, undercut: Some(depth), lands: 0.0, land: mean, pit: mean, film: 0.0 }
            } else {
                ProofTone { total, mean: paper, undercut: None, lands: 1.0, land: paper, pit: paper, film: 0.0 }
            });
        }
        // Acid never gives grain back: where the curve turns lighter again the undercut stays, and the pits hold less ink.
        let mut order: Vec<usize> = (0..tones.len()).collect();
        order.sort_by(|&a, &b| tones[a].total.0.total_cmp(&tones[b].total.0));
        let mut deepest = Millimetres(0.0);
        for tone in order {
            let tone = &mut tones[tone];
            if let Some(depth) = tone.undercut {
                deepest = if depth > deepest { depth } else { deepest };
                tone.undercut = Some(deepest);
                tone.lands = grain.cover_after(deepest);
                (tone.land, tone.pit) = pits.apart(tone.mean, tone.lands);
                tone.film = pits.film(tone.mean, tone.pit);
            }
        }
        Ok(Self { tones, paper, full: pits.ink, n: pits.n, grain: grain.clone() })
    }

    /// Each tone, tone 0 first.
    #[must_use]
    pub fn tones(&self) -> &[ProofTone] {
        &self.tones
    }

    /// The strip's own ink: a neutral film, transparent, that makes the paper a full pit at thickness 1.
    #[must_use]
    pub fn ink(&self) -> Film {
        Film::of(Rgb::grey(self.full), Rgb::grey(self.paper), Rgb::default())
    }

    /// A full pit, by itself.
    #[must_use]
    pub fn full(&self) -> Reflectance {
        self.full
    }

    /// Yule and Nielsen's n that lands and pits mix by.
    #[must_use]
    pub fn n(&self) -> f64 {
        self.n
    }

    /// The strip's paper.
    #[must_use]
    pub fn paper(&self) -> Reflectance {
        self.paper
    }

    /// The grain that was bitten.
    #[must_use]
    pub fn grain(&self) -> &Grain {
        &self.grain
    }
}

/// Total that bites of each tone index: the bites before which no stop-out covers its pixels, with the lag and drag-out of each, added up. A tone without area is asked of the rule
/// itself, since there is no pixel to ask.
fn totals(stop_outs: &StopOuts, plan: &BitePlan) -> Result<Vec<Seconds>, ProofError> {
    let map = stop_outs.map().plane();
    let count = stop_outs.tones().get();
    if plan.tones.len() != count {
        return Err(ProofError::Tones { stop_outs: count, plan: plan.tones.len() });
    }
    let mut seen = vec![None; count];
    let mut missing = count;
    'rows: for (y, row) in map.rows().enumerate() {
        for (x, &tone) in row.iter().enumerate() {
            let place = &mut seen[usize::from(tone)];
            // No stop-out covers what is left to the hand, so such a pixel tells nothing of its tone.
            if place.is_none() && !stop_outs.by_hand(x, y) {
                *place = Some((x, y));
                missing -= 1;
                if missing == 0 {
                    break 'rows;
                }
            }
        }
    }
    let bitten = |bite: usize| plan.tones[bite].effective.0 - plan.tones[bite - 1].effective.0;
    let total = |tone: usize| {
        let bare = |bite: usize| seen[tone].map_or(tone >= bite, |(x, y)| !stop_outs.covered(bite, x, y));
        Seconds((1..count).filter(|&bite| bare(bite)).map(bitten).sum())
    };
    Ok((0..count).map(total).collect())
}

/// A reflectance that can be rooted and divided by: at least that of a density of 5.
fn clean(y: Reflectance) -> Reflectance {
    Reflectance(y.0.clamp(1e-5, 1.0))
}

/// The pit model made ready for one strip.
struct Pits {
    n: f64,
    paper: Reflectance,
    ink: Reflectance,
    filling_depth: f64,
}

impl Pits {
    fn new(model: PitModel, paper: Reflectance, darkest: Reflectance) -> Self {
        let n = if model.n.is_nan() { PitModel::default().n } else { model.n.clamp(1.0, 10.0) };
        let root = |y: Reflectance| libm::pow(y.0, 1.0 / n);
        let flecks = (root(darkest) - PitModel::FLECKS * root(paper)) / (1.0 - PitModel::FLECKS);
        let most = libm::pow(flecks.max(0.0), n);
        let ink = clean(Reflectance(model.ink.reflectance().0.min(most)));
        Self { n, paper, ink, filling_depth: model.filling_depth.0.max(1e-6) }
    }

    /// The mean at a depth; falls with depth.
    fn mean_at(&self, depth: f64, grain: &Grain) -> f64 {
        let paper = self.paper.density().0;
        let filled = -libm::expm1(-depth / self.filling_depth);
        let pit = libm::pow(10.0, -(paper + (self.ink.density().0 - paper) * filled));
        let lands = grain.cover_after(Millimetres(depth));
        let root = |y: f64| libm::pow(y, 1.0 / self.n);
        libm::pow(lands * root(self.paper.0) + (1.0 - lands) * root(pit), self.n)
    }

    /// The depth that gives a mean; the largest grain's radius where none gives one so dark.
    fn depth(&self, mean: Reflectance, grain: &Grain) -> Millimetres {
        let (mut low, mut high) = (0.0, grain.largest_radius().0);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if self.mean_at(middle, grain) > mean.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        Millimetres(high)
    }

    /// What a land and a pit of a tone show under the glass, for a share of lands: their linear average is the mean exactly.
    fn apart(&self, mean: Reflectance, lands: f64) -> (Reflectance, Reflectance) {
        let root = |y: Reflectance| libm::pow(y.0, 1.0 / self.n);
        let spread = libm::pow(mean.0, 1.0 - 1.0 / self.n);
        let land = spread * root(self.paper);
        let pit = (mean.0 - lands * land) / (1.0 - lands);
        // Too many lands for so dark a mean can only be where the curve is darker than the model's deepest pit: then all is one tone.
        if pit > 0.0 { (Reflectance(land), Reflectance(pit)) } else { (mean, mean) }
    }

    /// Thickness of the ink in a pit that shows `pit` among a tone's mean.
    fn film(&self, mean: Reflectance, pit: Reflectance) -> f64 {
        let alone = libm::pow(pit.0 / libm::pow(mean.0, 1.0 - 1.0 / self.n), self.n);
        let full = libm::log(self.paper.0 / self.ink.0);
        if full > 1e-9 { (libm::log(self.paper.0 / alone.max(1e-9)) / full).max(0.0) } else { 0.0 }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::bites::ToneTime;
    use crate::grain::GrainSettings;
    use crate::light::yule_nielsen;
    use crate::outline::Outlines;
    use crate::plane::Plane;
    use crate::practice::{Handling, Made, Practice};
    use crate::stopouts::HandSpeed;
    use crate::strip::{StripKind, TestStrip};
    use crate::tones::{StepMap, Targets, ToneCount};
    use crate::units::PxPerMm;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    /// Invented for the tests: a strip's readings joined by straight lines over ln(1 + t/5 s).
    pub(in crate::proof) const BANDS: [(f64, f64); 9] =
        [(0.0, 91.0), (5.0, 86.0), (10.0, 80.5), (20.0, 72.0), (40.0, 61.0), (80.0, 48.5), (160.0, 36.5), (320.0, 27.0), (640.0, 20.5)];

    pub(in crate::proof) fn straight(total: Seconds) -> Lightness {
        let axis = |t: f64| f64::ln_1p(t / 5.0);
        let at = BANDS.windows(2).find(|pair| total.0 <= pair[1].0).unwrap_or(&BANDS[7..9]);
        let share = (axis(total.0) - axis(at[0].0)) / (axis(at[1].0) - axis(at[0].0));
        Lightness(at[0].1 + (at[1].1 - at[0].1) * share.min(1.0))
    }

    /// Totals of ten tones, evenly spaced along that strip, more or less.
    pub(in crate::proof) const TOTALS: [f64; 10] = [0.0, 7.5, 15.4, 26.4, 42.1, 64.5, 99.1, 155.5, 266.0, 561.5];

    pub(in crate::proof) fn tones(grain: &Grain) -> ProofTones {
        let totals: Vec<Seconds> = TOTALS.map(Seconds).to_vec();
        ProofTones::new(&totals, Lightness(91.0), Lightness(20.5), straight, grain, PitModel::default()).unwrap()
    }

    pub(in crate::proof) fn grain(seed: u64) -> Grain {
        Grain::new(GrainSettings { seed, ..GrainSettings::default() }).unwrap()
    }

    pub(in crate::proof) fn stop_outs(px_per_mm: f64, plane: Plane<u8>) -> StopOuts {
        let map = StepMap::new(ToneCount::new(10).unwrap(), plane);
        let outlines = Outlines::of(map.plane(), PxPerMm(px_per_mm));
        StopOuts::of(map, &outlines, PxPerMm(px_per_mm), HandSpeed::default())
    }

    fn plan(bites: &[f64]) -> BitePlan {
        let mut total = 0.0;
        let tones = bites
            .iter()
            .map(|&bite| {
                total += bite;
                let (total, bite) = (Seconds(total), Seconds(bite));
                ToneTime {
                    target: Lightness(50.0),
                    total,
                    bite,
                    effective: total,
                    shown_total: total,
                    set: bite,
                    rounding: 0.0,
                    range: None,
                    shown_range: None,
                }
            })
            .collect();
        BitePlan {
            bitten: 0,
            painted: 0,
            dropped: Vec::new(),
            undecided: false,
            tones,
            strip_id: "hand-made".to_owned(),
            strip_kind: StripKind::Example,
            handling: Handling::default(),
            scatter: crate::fusing::Scatter::default(),
            remarks: Vec::new(),
        }
    }

    #[test]
    fn totals_are_the_bites_that_reach_a_tone() {
        let all = stop_outs(1.0, Plane::from_fn(4, 1, |x, _| [0, 1, 9, 4][x]));
        let bites: Vec<f64> = TOTALS.iter().scan(0.0, |last, &t| Some(t - std::mem::replace(last, t))).collect();
        for (total, expected) in totals(&all, &plan(&bites)).unwrap().iter().zip(TOTALS) {
            assert_abs_diff_eq!(total.0, expected, epsilon = 1e-9);
        }
        // A bite changed after the tones were chosen shows in every tone still bare then, and in no other.
        let mut longer = bites.clone();
        longer[4] += 20.0;
        let shifted = totals(&all, &plan(&longer)).unwrap();
        for tone in 0..10 {
            let expected = TOTALS[tone] + if tone >= 4 { 20.0 } else { 0.0 };
            assert_abs_diff_eq!(shifted[tone].0, expected, epsilon = 1e-9);
        }
        assert!(totals(&all, &plan(&bites[..5])).unwrap_err().to_string().contains("10 tones"));
    }

    #[test]
    fn a_plan_from_its_strip_prints_at_its_targets() {
        let strip = TestStrip::example();
        let curve = BiteCurve::of(&strip);
        let targets = Targets::even(ToneCount::new(10).unwrap(), curve.paper(), curve.darkest(), Targets::RESERVE).unwrap();
        let plan = crate::bites::plan(&targets, &curve, &strip).unwrap();
        let stop_outs = stop_outs(1.0, Plane::from_fn(10, 1, |x, _| x as u8));
        let proof = ProofTones::of(&stop_outs, &plan, &curve, &grain(1)).unwrap();
        for (tone, target) in proof.tones().iter().zip(targets.falling()) {
            assert_abs_diff_eq!(tone.mean.lightness().0, target.0, epsilon = 0.01);
        }
    }

    #[test]
    fn lag_and_drag_out_of_every_dip_count() {
        let strip = TestStrip::example();
        let handling = Handling::new(Seconds(2.0), Seconds(2.0), Seconds(0.5)).unwrap();
        let curve = BiteCurve::with(&strip, Practice { handling, made: Made::OneDip, ..Practice::default() }).unwrap();
        let targets = crate::bites::targets(ToneCount::new(10).unwrap(), &curve, Targets::RESERVE).unwrap();
        let plan = crate::bites::plan(&targets, &curve, &strip).unwrap();
        let stop_outs = stop_outs(1.0, Plane::from_fn(10, 1, |x, _| x as u8));
        let proof = ProofTones::of(&stop_outs, &plan, &curve, &grain(1)).unwrap();
        for ((tone, time), target) in proof.tones().iter().zip(&plan.tones).zip(targets.falling()) {
            assert_abs_diff_eq!(tone.total.0, time.effective.0, epsilon = 1e-9);
            assert_abs_diff_eq!(tone.mean.lightness().0, target.0, epsilon = 0.01);
        }
    }

    #[test]
    fn lands_and_pits_average_to_the_curve() {
        let proof = tones(&grain(1));
        for tone in proof.tones() {
            let mean = tone.lands * tone.land.0 + (1.0 - tone.lands) * tone.pit.0;
            assert_relative_eq!(mean, straight(tone.total).reflectance().0, max_relative = 1e-9);
            assert!(tone.land.0 <= proof.paper().0 && tone.pit.0 <= tone.mean.0 && tone.pit.0 > 0.0);
        }
        assert_eq!(proof.tones()[0].undercut, None);
    }

    #[test]
    fn lands_and_pits_mix_by_yule_nielsen() {
        // Against `light::yule_nielsen`, which is tested on the worked table (Yule, Nielsen 1951): land and pit seen apart are
        // Y^(1−1/n) Yi^(1/n), so Yi = (shown / Y^(1−1/n))^n.
        let (n, proof) = (1.8, tones(&grain(1)));
        for tone in &proof.tones()[1..] {
            let alone = |shown: Reflectance| Reflectance((shown.0 / tone.mean.0.powf(1.0 - 1.0 / n)).powf(n));
            assert_relative_eq!(alone(tone.land).0, proof.paper().0, max_relative = 1e-9);
            assert_relative_eq!(yule_nielsen(proof.paper(), alone(tone.pit), 1.0 - tone.lands, n).0, tone.mean.0, max_relative = 1e-9);
            assert!(alone(tone.pit).lightness().0 > 15.9, "no pit darker than the ink: {:?}", alone(tone.pit).lightness());
        }
    }

    #[test]
    fn undercut_only_grows_also_where_the_curve_turns_back() {
        let over = |total: Seconds| if total.0 > 300.0 { Lightness(40.0) } else { straight(total) };
        let totals: Vec<Seconds> = TOTALS.map(Seconds).to_vec();
        let proof = ProofTones::new(&totals, Lightness(91.0), Lightness(20.5), over, &grain(1), PitModel::default()).unwrap();
        let depths: Vec<f64> = proof.tones()[1..].iter().map(|t| t.undercut.unwrap().0).collect();
        assert!(depths.windows(2).all(|pair| pair[0] <= pair[1]), "{depths:?}");
        let last = proof.tones()[9];
        assert_relative_eq!(
            last.lands * last.land.0 + (1.0 - last.lands) * last.pit.0,
            Lightness(40.0).reflectance().0,
            max_relative = 1e-9
        );
    }

    #[test]
    fn depth_grows_nearly_as_time() {
        // A steady bath bites in proportion to time; the slope of ln d over ln T on the example strip is the default's reason.
        let points: Vec<(f64, f64)> = tones(&grain(1)).tones()[1..].iter().map(|t| (t.total.0.ln(), t.undercut.unwrap().0.ln())).collect();
        let n = points.len() as f64;
        let (mx, my) = (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
        let slope = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum::<f64>() / points.iter().map(|p| (p.0 - mx).powi(2)).sum::<f64>();
        assert_abs_diff_eq!(slope, 1.0, epsilon = 0.1);
    }

    #[test]
    fn strips_blacker_than_the_ink_and_broken_numbers_are_met() {
        let totals = [Seconds(0.0), Seconds(100.0)];
        for black in [0.0, 3.0, 10.0, 90.0, 95.0] {
            let proof = ProofTones::new(
                &totals,
                Lightness(91.0),
                Lightness(black),
                |t| Lightness(if t.0 > 0.0 { black } else { 91.0 }),
                &grain(1),
                PitModel::default(),
            )
            .unwrap();
            let tone = proof.tones()[1];
            let mean = tone.lands * tone.land.0 + (1.0 - tone.lands) * tone.pit.0;
            assert_abs_diff_eq!(mean, Lightness(black.min(91.0)).reflectance().0, epsilon = 2e-5);
        }
        let broken = ProofTones::new(&totals, Lightness(91.0), Lightness(20.0), |_| Lightness(f64::NAN), &grain(1), PitModel::default());
        assert!(broken.unwrap_err().to_string().contains("tone 0"));
    }
}
