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
use stepbite_core::plane::Plane;
use stepbite_core::project::{self, Opened};
use stepbite_core::pull::{Plate, PlateFacts};
use stepbite_core::strip::StripKind;
use stepbite_core::units::PxPerMm;
use stepbite_core::{png_file, proof};

/// The most plates that are kept: a family's others, and as many that a proof may have besides.
const MOST: usize = 48;

/// The most pixels that the maps of all of them have together: of three of the largest plates. A browser's memory holds them beside the plate at hand and
/// one that is being planned.
const MOST_TOGETHER: usize = 3 * super::MOST_PIXELS;

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
        let brought = written(plan, &tones, &job.title, &job.letter, None)?;
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
        // A plate that was planned again takes the place of the one it was, which the page puts away after this.
        let before = |id: &String, other: &Brought| *id != given.id && given.of.is_some() && other.given.of == given.of;
        let count = self.pulls.brought.iter().filter(|(id, other)| !before(id, other)).count();
        if there.is_none() && count >= MOST {
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
        let pixels = |map: &Plane<u8>| map.width() * map.height();
        let others: usize = self
            .pulls
            .brought
            .iter()
            .filter(|(id, other)| **id != given.id && !before(id, other))
            .map(|(_, other)| pixels(&other.plate().map))
            .sum();
        room(others, pixels(&map), &given.letter)?;
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

/// Whether a map of so many pixels finds room beside the others' maps.
fn room(others: usize, own: usize, letter: &str) -> Result<(), Refusal> {
    if others + own <= MOST_TOGETHER {
        return Ok(());
    }
    let megapixels = |count: usize| count as f64 / 1e6;
    Err(Refusal::new(
        "brought",
        format!(
            "The maps of the plates beside the one at hand may have {} megapixels together; the others have {:.1}, and that of plate {letter} has {:.1}. Give plates fewer px/mm, or take one out.",
            MOST_TOGETHER / 1_000_000,
            megapixels(others),
            megapixels(own)
        ),
    ))
}

/// How a plan's plate is kept; `of` is its own id in the family, which tells it from a copy, so that title and letter may change without another plan.
pub(super) fn written(
    plan: &Plan,
    tones: &proof::ProofTones,
    title: &str,
    letter: &str,
    of: Option<&str>,
) -> Result<BroughtPlate, Refusal> {
    let resolution = PxPerMm(plan.settings.px_per_mm);
    let map = png_file::grey(plan.stopouts.map().plane(), resolution);
    let facts = PlateFacts { strip: plan.strip.id().to_owned(), ..PlateFacts::of(tones, resolution) };
    let facts = serde_json::to_string(&facts).map_err(|error| Refusal::new("brought", format!("{error}.")))?;
    let face = plan.plate.face();
    let whose = of.map_or_else(|| format!("{title}{letter}"), str::to_owned);
    Ok(BroughtPlate {
        id: frozen::KeptMap::id(&[&map, facts.as_bytes(), whose.as_bytes()].concat()),
        letter: letter.to_owned(),
        title: title.to_owned(),
        face_mm: FaceSize { width: face.width.0, height: face.height.0 },
        tones: plan.stopouts.tones().get(),
        example: plan.strip.kind() != StripKind::Measured,
        facts,
        map: STANDARD.encode(&map),
        of: of.map(str::to_owned),
    })
}

/// What is added to a plate's seed: two plates never share their dust, even where both were planned with the same one.
fn dust(id: &str) -> u64 {
    u64::from_str_radix(id.get(..12).unwrap_or_default(), 16).unwrap_or(0x5eed) | 0x1_0000
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn maps_have_a_bound_together_and_sizes_are_named() {
        assert!(room(0, super::super::MOST_PIXELS, "C").is_ok(), "the largest plate alone finds room");
        // Thirty plates of 300 × 400 mm at 10 px/mm, 12 megapixels each.
        assert!(room(29 * 12_000_000, 12_000_000, "C").is_ok());
        let said = room(22 * 20_000_000, 20_000_000, "C").unwrap_err().message;
        assert!(said.contains("450 megapixels together; the others have 440.0, and that of plate C has 20.0."), "{said}");
        assert!(room(430_000_000, 20_000_000, "C").is_ok() && room(430_000_000, 20_000_001, "C").is_err(), "to the pixel");
    }
}
