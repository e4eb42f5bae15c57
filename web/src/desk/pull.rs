//! The pull: the proof in ink and paper, from the page's settings.

use super::brought::BroughtPlates;
use super::*;
use crate::settings::GrainChoice;
use serde::Serialize;
use std::cell::RefCell;
use stepbite_core::colour::Rgb;
use stepbite_core::difference::{Difference, Figures};
use stepbite_core::drawing::Ends;

/// Plates brought in, and what was last made of a pull.
#[derive(Default)]
pub(super) struct Pulls {
    pub(super) brought: BroughtPlates,
    made: RefCell<Made>,
}

/// The page's paper and ink, sRGB: a map of figures is drawn in them, whatever the print is on.
const MAP_PAPER: [u8; 3] = [251, 250, 246];
const MAP_INK: [u8; 3] = [25, 27, 26];

/// What the last pictures were made with, as long as nothing it hangs on changes.
#[derive(Default)]
struct Made {
    /// The plan's tones on a grain.
    tones: Option<(u64, GrainChoice, Rc<ProofTones>)>,
}

impl Plan {
    /// The tones on a grain of the page's choice.
    pub(super) fn tones_of(&self, choice: &GrainChoice) -> Result<ProofTones, Refusal> {
        let usual = GrainSettings::default();
        let settings = GrainSettings { seed: choice.seed, cover: choice.cover.unwrap_or(usual.cover), ..usual };
        let (ladder, curve) = &self.printed;
        Ok(ProofTones::of(&self.stopouts, ladder, curve, &Grain::new(settings)?)?)
    }

    /// The drawing as it would print without loss, in linear light.
    pub(super) fn wanted(&self, size: (usize, usize), view: View, settings: &ProofSettings) -> Result<Plane<[f32; 3]>, Refusal> {
        let (_, curve) = &self.printed;
        let darkest = self.bites.tones.last().map_or(curve.darkest(), |tone| tone.target);
        let print = Ends { paper: curve.paper(), black: darkest };
        let sheet = films(settings)?.paper_factors(curve.paper().reflectance());
        Ok(picture::laid(&self.face.lightness, self.face.ends, print, sheet.map(|factor| factor as f32), size, view))
    }
}

/// The difference between proof and drawing in figures, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DifferenceFacts {
    mean: f64,
    most: f64,
    over_six: f64,
    worst_tone: u8,
    worst_mean: f64,
}

/// About how many pixels the figures of a difference are counted over: finer than an eye at arm's length sees on plates up to 400 mm.
const COUNTED: f64 = 1.5e6;

impl Desk {
    /// The difference between proof and drawing in figures.
    ///
    /// # Errors
    /// Before the first plan, and where the settings can't be.
    pub fn difference(&self, settings: &ProofSettings) -> Result<DifferenceFacts, Refusal> {
        let plan = self.plan()?;
        let map = plan.stopouts.map().plane();
        let scale = (COUNTED / (map.width() as f64 * map.height() as f64)).sqrt().min(1.0);
        let side = |length: usize| ((length as f64 * scale).round() as usize).max(1);
        let figures = self.difference_at(plan, (side(map.width()), side(map.height())), settings)?.figures(map);
        let Figures { mean, most, over, worst_tone, worst_mean } = figures;
        Ok(DifferenceFacts { mean, most, over_six: over, worst_tone, worst_mean })
    }

    /// The same as a map, from the sheet's colour to the ink's.
    pub(super) fn difference_picture(
        &self,
        plan: &Plan,
        size: (usize, usize),
        view: View,
        settings: &ProofSettings,
    ) -> Result<Plane<Rgba>, Refusal> {
        Ok(self.difference_at(plan, size, settings)?.picture(Rgb::from_bytes(MAP_PAPER), Rgb::from_bytes(MAP_INK), view))
    }

    fn difference_at(&self, plan: &Plan, size: (usize, usize), settings: &ProofSettings) -> Result<Difference, Refusal> {
        let wanted = plan.wanted(size, View::Print, settings)?;
        let window = Window::new(PointMm::default(), size.0 as f64 / plan.plate.face().width.0, size.0, size.1)?;
        let shown = self.pulled(plan, &window, false, settings, &mut |_, _| {})?;
        let light = shown.map(|&[r, g, b, _]| Rgb::from_bytes([r, g, b]).0.map(|channel| channel as f32));
        Ok(Difference::between(&light, &wanted)?)
    }

    /// A window of the print.
    pub(super) fn pulled(
        &self,
        plan: &Plan,
        window: &Window,
        grain: bool,
        settings: &ProofSettings,
        progress: Progress<'_>,
    ) -> Result<Plane<Rgba>, Refusal> {
        let tones = self.tones(plan, &settings.grain)?;
        let films = films(settings)?;
        let shown = if grain {
            proof::grained(&plan.stopouts, &tones, &films, window, &mut |share| progress("proof", share))
        } else {
            proof::flat(&plan.stopouts, &tones, &films, window)
        };
        Ok(shown.map(|&[r, g, b]| [r, g, b, 255]))
    }

    /// The tones on the grain chosen, made once.
    fn tones(&self, plan: &Plan, choice: &GrainChoice) -> Result<Rc<ProofTones>, Refusal> {
        let mut made = self.pulls.made.borrow_mut();
        if let Some((stamp, of, tones)) = &made.tones
            && *stamp == plan.stamp
            && of == choice
        {
            return Ok(Rc::clone(tones));
        }
        let tones = Rc::new(plan.tones_of(choice)?);
        made.tones = Some((plan.stamp, choice.clone(), Rc::clone(&tones)));
        Ok(tones)
    }
}
