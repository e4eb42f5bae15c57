//! Plates that print over the one at hand: made from their own project files, kept by the page, and given back to the worker.

use super::{Desk, Plan};
use crate::error::Refusal;
use crate::project::checked;
use crate::settings::{BroughtPlate, Done, FaceSize, KeptMap};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use stepbite_core::film::Film;
use stepbite_core::frozen;
use stepbite_core::light::Lightness;
use stepbite_core::project::{self, Opened};
use stepbite_core::pull::{Plate, PlateFacts};
use stepbite_core::strip::StripKind;
use stepbite_core::units::PxPerMm;
use stepbite_core::{png_file, proof};

/// The most plates that are kept: a family's others, and as many that a proof may have besides.
const MOST: usize = 48;

/// Plates by their ids.
pub(super) type BroughtPlates = BTreeMap<String, Rc<Brought>>;

/// A plate brought in.
pub(super) struct Brought {
    /// As it prints where lands and pits mix by this n.
    plate: RefCell<(f64, Rc<Plate>)>,
    facts: PlateFacts,
    /// What its strip was printed in.
    pub(super) ink: Film,
    /// What the page calls it.
    pub(super) name: String,
    /// The page's own words, to tell whether it is the same.
    pub(super) given: BroughtPlate,
}

impl Desk {
    /// Works out how the plate of a project file prints, and keeps it. The drawing and the plan at hand stay.
    ///
    /// # Errors
    /// What is no project file, or makes no plan; or where too many are kept.
    pub fn plate_read(&mut self, file: &[u8], progress: super::Progress<'_>) -> Result<BroughtPlate, Refusal> {
        let Opened { project, drawing, kept, .. } = project::read(file)?;
        let (mut settings, job) = checked(&project)?;
        settings.done = Done {
            log: project.done.log.clone(),
            kept: project.done.kept.as_ref().zip(kept).map(|(kept, png)| KeptMap { id: kept.id.clone(), png }),
        };
        let mut other = Self::default();
        other.open(drawing.of(file))?;
        other.update(settings, &mut crate::clock::Laps::start(|| 0.0), progress)?;
        let plan = other.plan()?;
        let tones = plan.tones_of(&job.proof.grain)?;
        let brought = written(plan, &tones, &job.title, &job.letter)?;
        self.plate_bring(&brought)?;
        Ok(brought)
    }

    /// Keeps a plate that the page has kept.
    ///
    /// # Errors
    /// What is no plate of ours, or one too many.
    pub fn plate_bring(&mut self, given: &BroughtPlate) -> Result<(), Refusal> {
        let there = self.pulls.brought.get(&given.id);
        if there.is_some_and(|brought| brought.given == *given) {
            return Ok(());
        }
        if there.is_none() && self.pulls.brought.len() >= MOST {
            return Err(Refusal::new(
                "brought",
                format!("At most {MOST} plates can lie ready to print over this one: put one away first."),
            ));
        }
        let wrong = |cause: String| {
            Refusal::new(
                "brought",
                format!("Plate {} can't be used as it was kept ({cause}): bring it in from its project file again.", given.letter),
            )
        };
        let facts: PlateFacts = serde_json::from_str(&given.facts).map_err(|error| wrong(error.to_string()))?;
        let png = STANDARD.decode(&given.map).map_err(|error| wrong(error.to_string()))?;
        let map = png_file::read_grey(&png, super::MOST_PIXELS as u64)?;
        let plate = facts.plate(map, dust(&given.id))?;
        let name = if given.letter.is_empty() { given.title.clone() } else { format!("plate {}", given.letter) };
        self.pulls.forget(&given.id);
        self.pulls.brought.insert(
            given.id.clone(),
            Rc::new(Brought { plate: RefCell::new((facts.n, Rc::new(plate))), ink: facts.ink(), facts, name, given: given.clone() }),
        );
        Ok(())
    }

    /// Puts a plate away.
    pub fn plate_drop(&mut self, id: &str) {
        self.pulls.brought.remove(id);
        self.pulls.forget(id);
    }
}

impl Brought {
    /// Its strip and its tones in words; its times are its own plan's business.
    pub(super) fn basis(&self, name: &str) -> String {
        let lights: Vec<String> = self.facts.means().iter().map(|mean| format!("L* {:.1}", mean.lightness().0)).collect();
        let strip =
            if self.facts.strip.is_empty() || self.given.example { String::new() } else { format!(", by test strip {}", self.facts.strip) };
        let FaceSize { width, height } = self.given.face_mm;
        format!("{name}: face {width:.1} × {height:.1} mm, {} tones{strip}: {}.", lights.len(), lights.join(", "))
    }

    /// What a film of 1 is on it, as density in its strip's ink.
    pub(super) fn full_density(&self) -> f64 {
        self.facts.full_density()
    }

    /// What each of its tones prints at by its own strip, tone 0 first.
    pub(super) fn prints(&self) -> Vec<Lightness> {
        self.facts.means().iter().map(|mean| mean.lightness()).collect()
    }

    /// The plate as it is kept.
    pub(super) fn plate(&self) -> Rc<Plate> {
        Rc::clone(&self.plate.borrow().1)
    }

    /// The plate among others whose lands and pits mix by `n`: its tones keep their means.
    pub(super) fn at(&self, n: f64) -> Rc<Plate> {
        let mut kept = self.plate.borrow_mut();
        if (kept.0 - n).abs() > 1e-12 {
            let plate = Plate { tints: self.facts.tints(n), ..(*kept.1).clone() };
            *kept = (n, Rc::new(plate));
        }
        Rc::clone(&kept.1)
    }
}

/// How a plan's plate is kept.
pub(super) fn written(plan: &Plan, tones: &proof::ProofTones, title: &str, letter: &str) -> Result<BroughtPlate, Refusal> {
    let resolution = PxPerMm(plan.settings.px_per_mm);
    let map = png_file::grey(plan.stopouts.map().plane(), resolution);
    let facts = PlateFacts { strip: plan.strip.id().to_owned(), ..PlateFacts::of(tones, resolution) };
    let facts = serde_json::to_string(&facts).map_err(|error| Refusal::new("brought", format!("{error}.")))?;
    let face = plan.plate.face();
    Ok(BroughtPlate {
        id: frozen::KeptMap::id(&[&map, facts.as_bytes(), title.as_bytes(), letter.as_bytes()].concat()),
        letter: letter.to_owned(),
        title: title.to_owned(),
        face_mm: FaceSize { width: face.width.0, height: face.height.0 },
        tones: plan.stopouts.tones().get(),
        example: plan.strip.kind() != StripKind::Measured,
        facts,
        map: STANDARD.encode(&map),
    })
}

/// What is added to a plate's seed: two plates never share their dust, even where both were planned with the same one.
fn dust(id: &str) -> u64 {
    u64::from_str_radix(id.get(..12).unwrap_or_default(), 16).unwrap_or(0x5eed) | 0x1_0000
}
