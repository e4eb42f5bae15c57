//! The pull: the proof in ink and paper, from the page's settings.

use super::brought::BroughtPlates;
use super::*;
use crate::settings::GrainChoice;
use std::cell::RefCell;
use stepbite_core::drawing::Ends;

/// Plates brought in, and what was last made of a pull.
#[derive(Default)]
pub(super) struct Pulls {
    pub(super) brought: BroughtPlates,
    made: RefCell<Made>,
}

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

impl Desk {
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
