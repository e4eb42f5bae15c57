//! Relief: what the strip tells of the bitten metal, and what has to be guessed.
//!
//! # The picture
//! At a total time t the acid has sunk to the depth `d = r·t`, and as far sideways under each grain: `u = κ·d`, with κ = 1 for a still bath
//! (isotropic; a sprayed bath has less, and nobody measured one). What is left of the grain's tops are lands, `c = cover_after(u)`
//! ([`Grain::cover_after`]), and they print as paper. The pits hold ink, the more the deeper, until the lands are too few to hold it in (open
//! bite): `D = D∞ · (1 − e^(−d/d₀)) · (1 − e^(−c/c₁))`, a density over the paper's. Lands and pits mix by Yule and Nielsen (TAGA Proc. 3, 1951),
//! `Y^(1/n) = c·Yland^(1/n) + (1−c)·Ypit^(1/n)`.
//!
//! That has the shape a strip has: quick at first, flattening, one darkest time, and lighter again after it.
//!
//! # The fit
//! Six figures are sought: the cover c₀, n, the rate r, d₀, D∞, c₁. Before any strip each is an estimate with a spread (`PRIORS`); the strip's
//! readings, with their reading error, move them to where prior and readings together are likeliest (Gauss and Newton's steps, Levenberg and
//! Marquardt's damping: `fit`). From the curvature there comes what spread is left to each. Where that is less than half of what it was before, the
//! strip TOLD the figure; else it stays an ESTIMATE and is called so. Most strips tell the rate and d₀, one that turns back tells c₁, and hardly
//! any tells n or D∞ from the cover.
//!
//! # What it is for
//! It gives lands, undercut and the film in the pits, so texture, and what open bite looks like. It never rules a tone: the strip's curve does, and the
//! film in the pits is set so that the mean is the curve's ([`crate::proof::ProofTones`]). Past the darkest band of a strip that turns back, where
//! nothing may be planned, [`Relief::lightness_at`] goes on through the strip's own later bands, so that a plate left in too long shows what it got.

use crate::curve::{BiteCurve, effective, to_x};
use crate::grain::{Grain, GrainError, GrainKind, GrainSettings, GrainSize};
use crate::light::{Density, Lightness, Reflectance};
use crate::pchip::Pchip;
use crate::strip::{After, Reading, StripKind, TestStrip};
use crate::units::{Millimetres, Seconds};
use serde::Deserialize;

mod fit;
use fit::{FIGURES, Fitted, Law};

/// What is known of a grain before the strip is asked.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrainChoice {
    /// What it is made with.
    pub kind: GrainKind,
    /// How coarse.
    pub size: GrainSize,
    /// Share of the metal it covers, 0.05..=0.95; none: as the strip tells.
    pub cover: Option<f64>,
    /// Median radius that somebody measured, µm, 10..=200; none: the usual of that size.
    #[serde(default)]
    pub median_um: Option<f64>,
    /// Which of all such grains.
    pub seed: u64,
}

impl Default for GrainChoice {
    fn default() -> Self {
        Self { kind: GrainKind::default(), size: GrainSize::default(), cover: None, median_um: None, seed: GrainSettings::default().seed }
    }
}

/// How metal and ink turn time into lands and pits. Of a fit, each figure is within eight spreads of its prior: n 1 to 7, a full pit 0.4 to 5.5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PitModel {
    /// Yule and Nielsen's n, above 1 (usual values are 1.6 to 2).
    pub n: f64,
    /// Depth bitten a second, r, in mm.
    pub rate: f64,
    /// Depth d₀ at which a pit holds 63 % of the ink.
    pub filling_depth: Millimetres,
    /// Density of a full pit over the paper's, D∞.
    pub full: Density,
    /// Share of lands c₁ at which the pits hold 63 % of their ink.
    pub holding: f64,
}

impl Default for PitModel {
    /// What is guessed before any strip, for a medium rosin grain.
    fn default() -> Self {
        Law::new(&GrainSettings::default(), None).guess().1
    }
}

/// One of the figures sought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// Its name for a printer.
    pub name: &'static str,
    /// Its unit; empty for a pure number.
    pub unit: &'static str,
    /// Its value.
    pub value: f64,
    /// Standard deviation that is left, in the same unit.
    pub spread: f64,
    /// That before the strip, in the same unit at this value.
    pub before: f64,
    /// Whether the strip told it: less than half of the spread is left.
    pub told: bool,
}

/// The relief of a strip's metal on one grain.
#[derive(Clone, Debug)]
pub struct Relief {
    grain: Grain,
    pits: PitModel,
    figures: Vec<Figure>,
    misfit: f64,
    curve: BiteCurve,
    /// What an over-bitten strip reads from its darkest band on.
    later: Option<Pchip>,
    remarks: Vec<String>,
}

/// The share of a spread below which the strip has told a figure.
const TOLD: f64 = 0.5;

/// L* between model and readings, root mean square, from which on it is said that the model explains the strip badly. Estimate of ours.
const BAD_MISFIT: f64 = 2.0;

impl Relief {
    /// The relief that explains a strip best, on a grain of the given kind. `curve` is the strip's.
    ///
    /// # Errors
    /// When the cover or the median radius is out of range.
    pub fn of(strip: &TestStrip, curve: &BiteCurve, choice: &GrainChoice) -> Result<Self, GrainError> {
        let mut settings = choice.kind.grain(choice.size, choice.seed);
        if let Some(cover) = choice.cover {
            settings.cover = cover;
        }
        if let Some(median) = choice.median_um {
            settings.median_radius = Millimetres(median / 1000.0);
        }
        if choice.cover.is_some() || choice.median_um.is_some() {
            // Refused before it can mislead the fit.
            Grain::new(settings)?;
        }
        // All bands, those past the darkest too. Where a lag leaves these no time that bites, those of the curve.
        let readings: Vec<Reading> = effective(strip.readings(), curve.practice()).map_or_else(
            |_| curve.readings(),
            |all| all.iter().map(|r| Reading { total: Seconds(r.total.0 * curve.pace()), ..*r }).collect(),
        );
        let law = Law::new(&settings, choice.cover);
        let Fitted { cover, pits, figures, misfit } = law.fit(&readings, curve.practice().error.l());
        settings.cover = cover.clamp(0.05, 0.95);
        let verdict = curve.verdict();
        let turns = matches!(verdict.after, After::OverBitten { .. });
        let later = if turns { turned_back(&readings, verdict.usable, curve) } else { None };
        let remarks = remarks(strip, choice, misfit, (turns, later.is_some()));
        Ok(Self { grain: Grain::new(settings)?, pits, figures, misfit, curve: curve.clone(), later, remarks })
    }

    /// The grain, covering what was typed or the strip tells.
    #[must_use]
    pub fn grain(&self) -> &Grain {
        &self.grain
    }

    /// The figures at work.
    #[must_use]
    pub fn pits(&self) -> PitModel {
        self.pits
    }

    /// The figures with their spreads; the cover is left out where it was typed.
    #[must_use]
    pub fn figures(&self) -> &[Figure] {
        &self.figures
    }

    /// How far the model by itself lies from the bitten bands, L*, root mean square.
    #[must_use]
    pub fn misfit(&self) -> f64 {
        self.misfit
    }

    /// What should be known before it is believed, in sentences.
    #[must_use]
    pub fn remarks(&self) -> &[String] {
        &self.remarks
    }

    /// Lightness of the strip's paper.
    #[must_use]
    pub fn paper(&self) -> Lightness {
        self.curve.paper()
    }

    /// Lightness at a total: the curve's, and past the end of a strip that turns back its own later bands; after the last one that band's.
    #[must_use]
    pub fn lightness_at(&self, total: Seconds) -> Lightness {
        let after = if total > self.curve.end() { self.turned_back(Seconds(total.0 / self.curve.pace())) } else { None };
        after.unwrap_or_else(|| self.curve.lightness_at(total))
    }

    /// What a strip that turns back reads past its darkest band, at a total of its own bath; none for one that does not.
    pub(crate) fn turned_back(&self, total: Seconds) -> Option<Lightness> {
        self.later.as_ref().map(|later| Lightness(later.at(to_x(total))))
    }
}

/// The bands past the darkest, from where the curve ends.
fn turned_back(readings: &[Reading], usable: usize, curve: &BiteCurve) -> Option<Pchip> {
    let x = |total: Seconds| to_x(Seconds(total.0 / curve.pace()));
    let end = [(x(curve.end()), curve.lightness_at(curve.end()).0)];
    let (x, y) = end.into_iter().chain(readings.get(usable..)?.iter().map(|r| (x(r.total), r.lightness.0))).unzip();
    Pchip::new(x, y).ok()
}

fn remarks(strip: &TestStrip, choice: &GrainChoice, misfit: f64, (turns, told): (bool, bool)) -> Vec<String> {
    let mut said = Vec::new();
    if strip.kind() != StripKind::Measured {
        said.push("These figures come from the worked example's strip, not from your bath.".to_owned());
    }
    if choice.cover.is_some() {
        said.push("The share covered is the one you gave; the other figures are sought around it.".to_owned());
    }
    if misfit > BAD_MISFIT {
        said.push(format!(
            "This picture of the metal lies L* {misfit:.1} from the strip's bands, root mean square: take the grain as a sketch. The tones follow \
             the strip all the same."
        ));
    }
    if !turns {
        said.push("The strip does not turn lighter at its end, so it can't tell when open bite begins.".to_owned());
    } else if !told {
        said.push(
            "The strip turns lighter at its end, but the lag of its dips leaves the bands past the darkest no times of their own: they are not shown, and \
             when open bite begins is a guess."
                .to_owned(),
        );
    }
    said
}

/// A reflectance that can be rooted and divided by: at least that of a density of 5.
pub(crate) fn clean(y: Reflectance) -> Reflectance {
    Reflectance(y.0.clamp(1e-5, 1.0))
}

/// A figure before the strip: what is guessed, and how far off that may be, on the axis it is sought on.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Prior {
    /// The guess.
    mean: f64,
    /// Its standard deviation.
    spread: f64,
}

/// The priors, estimates all, no source: ln(c₀/(1−c₀)) about a half; ln(n − 1) about n = 1.8; ln r about 3 µm a minute, five times more or less;
/// ln d₀ about a sixth of the grain's median radius (in millimetres, added by the fit); ln D∞ about 1.6; ln c₁ about 0.04, since ink is lost
/// where under a tenth of the tops is left.
const PRIORS: [Prior; FIGURES] = [
    Prior { mean: 0.0, spread: 0.3 },
    Prior { mean: -0.223_143_551_314_209_76, spread: 0.25 },
    Prior { mean: -9.903_487_552_536_127, spread: 1.5 },
    Prior { mean: -1.791_759_469_228_055, spread: 0.5 },
    Prior { mean: 0.470_003_629_245_735_5, spread: 0.15 },
    Prior { mean: -3.218_875_824_868_201, spread: 0.7 },
];

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::curve::tests::any_strip;
    use crate::practice::{Handling, Made, Practice};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Invented for the tests: turns back after 320 s.
    pub(crate) fn over_bitten() -> TestStrip {
        const BANDS: [(f64, f64); 10] = [
            (0.0, 89.0),
            (5.0, 85.0),
            (10.0, 81.0),
            (20.0, 74.0),
            (40.0, 66.0),
            (80.0, 56.5),
            (160.0, 47.0),
            (320.0, 37.0),
            (480.0, 40.5),
            (640.0, 45.5),
        ];
        let readings = BANDS.map(|(s, l)| Reading { total: Seconds(s), lightness: Lightness(l) }).to_vec();
        TestStrip::new("14-B", StripKind::Measured, readings).unwrap()
    }

    fn relief(strip: &TestStrip, choice: GrainChoice) -> Relief {
        Relief::of(strip, &BiteCurve::of(strip), &choice).unwrap()
    }

    fn figure<'a>(relief: &'a Relief, name: &str) -> &'a Figure {
        relief.figures().iter().find(|figure| figure.name.contains(name)).unwrap()
    }

    #[test]
    fn a_strip_that_turns_back_tells_when_ink_is_let_go() {
        let (back, dark) = (relief(&over_bitten(), GrainChoice::default()), relief(&TestStrip::example(), GrainChoice::default()));
        assert!(figure(&back, "hold").told && !figure(&dark, "hold").told);
        for seen in [&back, &dark] {
            assert!(figure(seen, "Rate").told, "{:?}", seen.figures());
            assert!(seen.misfit() < 1.5, "{}", seen.misfit());
            assert!(
                seen.figures()
                    .iter()
                    .all(|f| f.spread > 0.0 && f.spread <= f.before * (1.0 + 1e-9) && f.told == (f.spread < 0.5 * f.before))
            );
        }
        assert!(back.remarks().is_empty(), "{:?}", back.remarks());
        assert_eq!(dark.remarks().len(), 2);
    }

    #[test]
    fn past_the_darkest_band_the_strips_own_later_bands_show() {
        let back = relief(&over_bitten(), GrainChoice::default());
        for (total, lightness) in [(320.0, 37.0), (480.0, 40.5), (640.0, 45.5), (2000.0, 45.5)] {
            assert_abs_diff_eq!(back.lightness_at(Seconds(total)).0, lightness, epsilon = 1e-9);
        }
        let dark = relief(&TestStrip::example(), GrainChoice::default());
        assert_abs_diff_eq!(dark.lightness_at(Seconds(2000.0)).0, 20.5, epsilon = 1e-9);
    }

    #[test]
    fn later_bands_that_a_lag_leaves_no_time_are_said_to_be_left_out() {
        // Bands of 480 and 484 s, each dip of them losing 4 s: the tenth bit no longer than the ninth.
        let mut readings = over_bitten().readings().to_vec();
        readings[9].total = Seconds(484.0);
        let strip = TestStrip::new("14-C", StripKind::Measured, readings).unwrap();
        let handling = Handling::new(Seconds(1.0), Seconds(4.0), Seconds(0.0)).unwrap();
        let practice = Practice { made: Made::Covered, handling, ..Practice::default() };
        let late = Relief::of(&strip, &BiteCurve::with(&strip, practice).unwrap(), &GrainChoice::default()).unwrap();
        assert!(late.remarks().iter().any(|said| said.contains("turns lighter at its end, but the lag")), "{:?}", late.remarks());
        assert!(late.remarks().iter().all(|said| !said.contains("does not turn lighter")), "{:?}", late.remarks());
    }

    #[test]
    fn a_cover_that_is_typed_stays() {
        let typed = relief(&over_bitten(), GrainChoice { cover: Some(0.62), ..GrainChoice::default() });
        assert_abs_diff_eq!(typed.grain().settings().cover, 0.62);
        assert_eq!(typed.figures().len(), FIGURES - 1);
        assert!(typed.figures().iter().all(|figure| !figure.name.contains("Cover")));
        let strip = over_bitten();
        assert!(Relief::of(&strip, &BiteCurve::of(&strip), &GrainChoice { cover: Some(1.5), ..GrainChoice::default() }).is_err());
    }

    #[test]
    fn a_median_radius_that_is_typed_stays() {
        let typed = |median_um: f64| {
            let strip = over_bitten();
            Relief::of(&strip, &BiteCurve::of(&strip), &GrainChoice { median_um: Some(median_um), ..GrainChoice::default() })
        };
        let (fine, coarse) = (typed(15.0).unwrap(), typed(60.0).unwrap());
        assert_abs_diff_eq!(fine.grain().settings().median_radius.0, 0.015, epsilon = 1e-12);
        // The same strip, grains four times as wide: as much deeper must it have bitten to undercut them as far.
        let times = coarse.pits().rate / fine.pits().rate;
        assert!((1.3..5.0).contains(&times), "{times}");
        for wrong in [f64::NAN, 0.0, 1000.0] {
            assert!(typed(wrong).unwrap_err().to_string().contains("median radius"));
        }
    }

    #[test]
    fn a_bath_half_as_quick_bites_half_as_deep() {
        let strip = over_bitten();
        let curve = BiteCurve::with(&strip, Practice::default()).unwrap();
        let (once, twice) =
            (relief(&strip, GrainChoice::default()), Relief::of(&strip, &curve.scaled(2.0), &GrainChoice::default()).unwrap());
        // The prior of the rate is wide, not endless: it pulls by a little.
        assert_abs_diff_eq!(once.pits().rate / twice.pits().rate, 2.0, epsilon = 0.02);
        assert_abs_diff_eq!(twice.lightness_at(Seconds(960.0)).0, 40.5, epsilon = 1e-9);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn any_strip_has_a_relief(strip in any_strip(), coarse in 0usize..3, sprayed in any::<bool>()) {
            let choice = GrainChoice {
                kind: if sprayed { GrainKind::Sprayed } else { GrainKind::Rosin },
                size: [GrainSize::Fine, GrainSize::Medium, GrainSize::Coarse][coarse],
                cover: None,
                median_um: None,
                seed: 1,
            };
            let seen = relief(&strip, choice);
            let PitModel { n, rate, filling_depth, full, holding } = seen.pits();
            // Eight spreads of a prior are the farthest a figure goes, whatever the strip.
            prop_assert!((1.0..=7.0).contains(&n) && (0.4..=5.5).contains(&full.0), "{:?}", seen.pits());
            prop_assert!(rate > 0.0 && filling_depth.0 > 0.0 && holding > 0.0, "{:?}", seen.pits());
            prop_assert!(seen.misfit().is_finite());
            prop_assert_eq!(seen.pits(), relief(&strip, choice).pits());
        }
    }
}
