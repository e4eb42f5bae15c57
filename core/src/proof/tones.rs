//! How each tone comes out of the bath: its total from the bites that reach it, its mean from the curve, its lands and pits from the relief.
//!
//! # The picture behind lands and pits
//! [`crate::relief`] has the picture: how deep a total bites, what of the grain's tops is left as lands, how lands and pits mix. Depth goes with
//! time, so the undercut of a longer total is never less: acid gives no grain back, and where the strip turns lighter at its end (open bite) the lands
//! are few and the pits hold less ink. The relief does not rule the mean: each pit holds as much ink as makes the mean the curve's, to rounding. Where
//! the lands are too many for so dark a mean, however full the pits, they are taken to be undercut farther.
//!
//! Seen apart under the glass, a land or pit i shows `Y^(1−1/n)·Yi^(1/n)`: the light that spread out of the lands is missing there and
//! brightens the pits. Those two average, in linear light and with weights c and 1−c, to Y exactly, at every zoom.
//!
//! It is a picture, not a promise: depths are what would explain the strip, nobody measured them.

use crate::bites::BitePlan;
use crate::colour::Rgb;
use crate::film::Film;
use crate::grain::Grain;
use crate::light::{Lightness, Reflectance};
use crate::relief::{PitModel, Relief, clean};
use crate::stopouts::StopOuts;
use crate::units::{Millimetres, Seconds};
use std::fmt;

/// The thickest film a pit holds, times a full pit's, before lands are taken to be fewer. Estimate of ours.
const THICKEST: f64 = 1.25;

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
    /// Works out each tone from the stop-outs that leave it bare, the exact bites, and what the strip told of the metal.
    ///
    /// # Errors
    /// When the plan is for another number of tones, or a time or lightness is not a number.
    pub fn of(stop_outs: &StopOuts, plan: &BitePlan, relief: &Relief) -> Result<Self, ProofError> {
        let totals = totals(stop_outs, plan)?;
        Self::new(&totals, relief.paper(), |total| relief.lightness_at(total), relief.grain(), relief.pits())
    }

    /// Works out tones of the given totals (tone 0 first). `paper` is the strip's lightness at 0 s, `lightness_at` what rules the mean.
    ///
    /// # Errors
    /// When a time or lightness is not a number.
    pub fn new(
        totals: &[Seconds],
        paper: Lightness,
        lightness_at: impl Fn(Seconds) -> Lightness,
        grain: &Grain,
        model: PitModel,
    ) -> Result<Self, ProofError> {
        if !paper.0.is_finite() {
            return Err(ProofError::Number { tone: 0 });
        }
        let paper = clean(paper.reflectance());
        let pits = Pits::new(model, paper);
        let mut tones = Vec::with_capacity(totals.len());
        for (tone, &total) in totals.iter().enumerate() {
            let lightness = lightness_at(total);
            if !total.0.is_finite() || !lightness.0.is_finite() {
                return Err(ProofError::Number { tone });
            }
            // Nothing prints lighter than the paper.
            let mean = Reflectance(clean(lightness.reflectance()).0.min(paper.0));
            tones.push(if total.0 > 0.0 {
                let depth = pits.depth(total, mean, grain);
                ProofTone { total, mean, undercut: Some(depth), lands: 0.0, land: mean, pit: mean, film: 0.0 }
            } else {
                ProofTone { total, mean: paper, undercut: None, lands: 1.0, land: paper, pit: paper, film: 0.0 }
            });
        }
        // Acid never gives grain back: where a dark tone asked for more undercut than its time gives, longer ones have no less.
        let mut order: Vec<usize> = (0..tones.len()).collect();
        order.sort_by(|&a, &b| tones[a].total.0.total_cmp(&tones[b].total.0));
        let mut deepest = Millimetres(0.0);
        for tone in order {
            let tone = &mut tones[tone];
            if let Some(depth) = tone.undercut {
                deepest = if depth > deepest { depth } else { deepest };
                tone.undercut = Some(deepest);
                tone.lands = grain.cover_after(deepest);
                (tone.land, tone.pit, tone.film) = pits.apart(tone.mean, tone.lands);
            }
        }
        Ok(Self { tones, paper, full: pits.full, n: pits.n, grain: grain.clone() })
    }

    /// Each tone, tone 0 first.
    #[must_use]
    pub fn tones(&self) -> &[ProofTone] {
        &self.tones
    }

    /// The strip's own ink: a neutral film, transparent, that makes the paper a full pit at thickness 1.
    #[must_use]
    pub fn ink(&self) -> Film {
        ink(self.full, self.paper)
    }

    /// A full pit, by itself.
    #[must_use]
    pub fn full(&self) -> Reflectance {
        self.full
    }

    /// Density of a full pit over the paper's, what a film of 1 is in the strip's own ink.
    #[must_use]
    pub fn full_density(&self) -> f64 {
        // As the film has it, which holds what it is made from to its own range.
        2.0 * self.ink().absorption.0[0] / std::f64::consts::LN_10
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

/// The neutral, transparent film that makes `paper` a full pit.
fn ink(full: Reflectance, paper: Reflectance) -> Film {
    Film::of(Rgb::grey(full), Rgb::grey(paper), Rgb::default())
}

/// The pit model made ready for one strip.
struct Pits {
    n: f64,
    paper: Reflectance,
    full: Reflectance,
    /// mm/s.
    rate: f64,
    /// Natural logarithm of what the full film takes from the light that passes it both ways.
    depth_of_film: f64,
}

impl Pits {
    fn new(model: PitModel, paper: Reflectance) -> Self {
        let within = |value: f64, usual: f64, (least, most): (f64, f64)| if value.is_nan() { usual } else { value.clamp(least, most) };
        let n = within(model.n, 1.8, (1.0, 10.0));
        let full = Reflectance(paper.0 * libm::pow(10.0, -within(model.full.0, 1.6, (0.3, 3.0))));
        // As the film has it, which holds what it is made from to its own range.
        let depth_of_film = 2.0 * ink(full, paper).absorption.0[0];
        Self { n, paper, full, rate: within(model.rate, 0.0, (0.0, 1.0)), depth_of_film }
    }

    fn root(&self, y: f64) -> f64 {
        libm::pow(y, 1.0 / self.n)
    }

    /// How deep a total bites; deeper where the lands would else be too many for so dark a mean.
    fn depth(&self, total: Seconds, mean: Reflectance, grain: &Grain) -> Millimetres {
        // A grain bitten off can't be bitten farther.
        let bitten = (self.rate * total.0).min(grain.largest_radius().0);
        let thickest = self.paper.0 * libm::exp(-THICKEST * self.depth_of_film);
        let darkest = self.root(thickest.min(0.9 * mean.0));
        let most = (self.root(mean.0) - darkest) / (self.root(self.paper.0) - darkest);
        if grain.cover_after(Millimetres(bitten)) <= most {
            return Millimetres(bitten);
        }
        let (mut low, mut high) = (bitten, grain.largest_radius().0);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if grain.cover_after(Millimetres(middle)) > most {
                low = middle;
            } else {
                high = middle;
            }
        }
        Millimetres(high)
    }

    /// What a land and a pit of a tone show under the glass, for a share of lands, and how thick the pit's film is: the linear average of
    /// the two is the mean exactly.
    fn apart(&self, mean: Reflectance, lands: f64) -> (Reflectance, Reflectance, f64) {
        let alone = ((self.root(mean.0) - lands * self.root(self.paper.0)) / (1.0 - lands)).max(0.0);
        let spread = libm::pow(mean.0, 1.0 - 1.0 / self.n);
        // What passes a film of that thickness is the pit alone, over the paper.
        let film = -self.n * libm::log((alone / self.root(self.paper.0)).max(1e-9)) / self.depth_of_film;
        (Reflectance(spread * self.root(self.paper.0)), Reflectance(spread * alone), film.max(0.0))
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::bites::ToneTime;
    use crate::curve::BiteCurve;
    use crate::curve::tests::any_strip;
    use crate::grain::GrainSettings;
    use crate::light::yule_nielsen;
    use crate::outline::Outlines;
    use crate::overprint::{Inking, Meeting, Tint};
    use crate::plane::Plane;
    use crate::practice::{Handling, Made, Practice};
    use crate::relief::GrainChoice;
    use crate::stopouts::HandSpeed;
    use crate::strip::{Reading, StripKind, TestStrip};
    use crate::tones::{StepMap, Targets, ToneCount};
    use crate::units::PxPerMm;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

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
        ProofTones::new(&totals, Lightness(91.0), straight, grain, PitModel::default()).unwrap()
    }

    fn relief(strip: &TestStrip, curve: &BiteCurve) -> Relief {
        Relief::of(strip, curve, &GrainChoice { seed: 1, ..GrainChoice::default() }).unwrap()
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
            lacks: Vec::new(),
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
        let proof = ProofTones::of(&stop_outs, &plan, &relief(&strip, &curve)).unwrap();
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
        let proof = ProofTones::of(&stop_outs, &plan, &relief(&strip, &curve)).unwrap();
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
            assert!(tone.film <= THICKEST + 1e-9, "no pit fuller than pits get: {}", tone.film);
        }
    }

    #[test]
    fn undercut_only_grows_also_where_the_curve_turns_back() {
        let over = |total: Seconds| if total.0 > 300.0 { Lightness(40.0) } else { straight(total) };
        let totals: Vec<Seconds> = TOTALS.map(Seconds).to_vec();
        let proof = ProofTones::new(&totals, Lightness(91.0), over, &grain(1), PitModel::default()).unwrap();
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
    fn depth_goes_with_time() {
        let relief = relief(&TestStrip::example(), &BiteCurve::of(&TestStrip::example()));
        let proof =
            ProofTones::new(&TOTALS.map(Seconds), relief.paper(), |t| relief.lightness_at(t), relief.grain(), relief.pits()).unwrap();
        for tone in &proof.tones()[1..] {
            assert_relative_eq!(tone.undercut.unwrap().0, relief.pits().rate * tone.total.0, max_relative = 1e-12);
        }
    }

    #[test]
    fn open_bite_has_fewer_tops_and_less_ink() {
        // A strip that turns lighter after 320 s; a plate left in to 480 and 640 s.
        const BANDS: [(f64, f64); 9] = [
            (0.0, 89.0),
            (5.0, 85.0),
            (20.0, 74.0),
            (40.0, 66.0),
            (80.0, 56.5),
            (160.0, 47.0),
            (320.0, 37.0),
            (480.0, 40.5),
            (640.0, 45.5),
        ];
        let readings = BANDS.map(|(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).to_vec();
        let strip = TestStrip::new("over-bitten", StripKind::Measured, readings).unwrap();
        let relief = relief(&strip, &BiteCurve::of(&strip));
        let totals = [0.0, 40.0, 160.0, 320.0, 480.0, 640.0].map(Seconds);
        let proof = ProofTones::new(&totals, relief.paper(), |t| relief.lightness_at(t), relief.grain(), relief.pits()).unwrap();
        let [.., black, over, farther] = proof.tones() else { panic!() };
        assert_abs_diff_eq!(over.mean.lightness().0, 40.5, epsilon = 1e-9);
        assert_abs_diff_eq!(farther.mean.lightness().0, 45.5, epsilon = 1e-9);
        assert!(black.lands > over.lands && over.lands > farther.lands, "{black:?} {over:?} {farther:?}");
        assert!(black.film > over.film && over.film > farther.film, "{black:?} {over:?} {farther:?}");
    }

    proptest! {
        #[test]
        fn printed_alone_in_the_strips_ink_each_tone_is_its_own_mean(strip in any_strip(), seed in 1u64..9, darker in 0.0..1.0f64) {
            // Through the meeting of plates (Demichel, Neugebauer): one plate, the strip's ink, the strip's paper. The curve is darkened
            // at will, so that means come which no pit of the relief's is full enough for.
            let curve = BiteCurve::of(&strip);
            let choice = GrainChoice { seed, ..GrainChoice::default() };
            let relief = Relief::of(&strip, &curve, &choice).unwrap();
            let totals: Vec<Seconds> = (0..8).map(|i| Seconds(curve.end().0 * f64::from(i * i) / 36.0)).collect();
            let mean = |total: Seconds| if total.0 > 0.0 { Lightness(relief.lightness_at(total).0 * (1.0 - darker)) } else { relief.paper() };
            for rule in [0.0, 1.0] {
                let rule = |total: Seconds| if rule > 0.5 { mean(total) } else { relief.lightness_at(total) };
                let proof = ProofTones::new(&totals, relief.paper(), rule, relief.grain(), relief.pits()).unwrap();
                let mut deepest = 0.0;
                for tone in proof.tones() {
                    let tint = Tint { lands: tone.lands, film: tone.film, veil: 0.0 };
                    let met = Meeting::of(Rgb::grey(proof.paper()), &[Inking::new(tint, &proof.ink(), 1.0)], proof.n());
                    prop_assert!((met.mean.0[1] - tone.mean.0).abs() < 1e-6, "{} instead of {tone:?}", met.mean.0[1]);
                    prop_assert!((met.primaries[0].0[1] - tone.land.0).abs() < 1e-6);
                    prop_assert!((met.primaries[1].0[1] - tone.pit.0).abs() < 1e-6 || tone.lands == 1.0);
                    prop_assert!((0.0..=1.0).contains(&tone.lands) && tone.film >= 0.0);
                    let undercut = tone.undercut.map_or(0.0, |u| u.0);
                    prop_assert!(undercut >= deepest, "acid gives no grain back");
                    deepest = undercut;
                }
            }
        }
    }

    #[test]
    fn strips_blacker_than_the_ink_and_broken_numbers_are_met() {
        let totals = [Seconds(0.0), Seconds(100.0)];
        for black in [0.0, 3.0, 10.0, 90.0, 95.0] {
            let proof = ProofTones::new(
                &totals,
                Lightness(91.0),
                |t| Lightness(if t.0 > 0.0 { black } else { 91.0 }),
                &grain(1),
                PitModel::default(),
            )
            .unwrap();
            let tone = proof.tones()[1];
            let mean = tone.lands * tone.land.0 + (1.0 - tone.lands) * tone.pit.0;
            assert_abs_diff_eq!(mean, Lightness(black.min(91.0)).reflectance().0, epsilon = 2e-5);
        }
        let broken = ProofTones::new(&totals, Lightness(91.0), |_| Lightness(f64::NAN), &grain(1), PitModel::default());
        assert!(broken.unwrap_err().to_string().contains("tone 0"));
    }
}
