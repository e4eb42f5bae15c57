//! The pull: the proof in ink and paper, from the page's settings.

use super::basis::boxes_line;
use super::brought::BroughtPlates;
use super::looked::Looked;
use super::pull_facts::RegisterKey;
use super::*;
use crate::settings::{
    EdgeChoice, FaceSize, GrainChoice, InkKnown, InkPrinted, LaidPaper, PaperWeight, PapersChoice, PrintSpec, PrintedTone, PrintingChoice,
    ProofInk, named,
};
use std::cell::RefCell;
use stepbite_core::colour::{Lamp, Rgb};
use stepbite_core::drawing::Ends;
use stepbite_core::edges;
use stepbite_core::film::{Film, Layer};
use stepbite_core::ink::{Ink, Known, Mixed, Patch};
use stepbite_core::ink_zones::{self, Zone};
use stepbite_core::laid::{self, Laid, Patches, Thin};
use stepbite_core::overprint::Tint;
use stepbite_core::piece::Piece;
use stepbite_core::proof::ProofTone;
use stepbite_core::pull::{self, Export, Grounds, InkMap, Inks, Misfit, Printing, Pull};

/// Plates brought in, and what was last made of a pull.
#[derive(Default)]
pub(super) struct Pulls {
    pub(super) brought: BroughtPlates,
    pub(super) made: RefCell<Made>,
    /// What was last said of the register, and of what.
    pub(super) register: RefCell<Option<(RegisterKey, Vec<String>)>>,
}

/// What the plate at hand hangs on: which plan, its grain, its edges.
type OwnKey = (u64, GrainChoice, Option<EdgeChoice>);

/// What the last pictures were made with, as long as nothing it hangs on changes.
#[derive(Default)]
pub(super) struct Made {
    /// The plan's tones on a grain.
    tones: Option<(u64, GrainChoice, Rc<ProofTones>)>,
    /// The plate at hand as it prints.
    own: Option<(OwnKey, Rc<pull::Plate>)>,
    /// Which ink lies where.
    zones: Option<(ZonesKey, Option<InkMap>)>,
    /// The sheet with its papers.
    grounds: Option<(GroundsKey, Rc<Grounds>)>,
    /// Grains, and what meets under windows.
    pub(super) looked: Looked,
}

impl Pulls {
    /// Forgets what was made of a plate brought in: it may come again as another.
    pub(super) fn forget(&mut self, id: &str) {
        self.made.get_mut().looked.forget_plate(id);
        *self.register.get_mut() = None;
    }
}

impl Plan {
    /// The tones on a grain of the page's choice.
    pub(super) fn tones_of(&self, choice: &GrainChoice) -> Result<ProofTones, Refusal> {
        Ok(ProofTones::of(&self.stopouts, &self.printed.0, &self.relief(choice)?)?)
    }

    /// The drawing as it would print without loss, in linear light.
    pub(super) fn wanted(&self, size: (usize, usize), view: View, settings: &ProofSettings) -> Result<Plane<[f32; 3]>, Refusal> {
        let (_, curve) = &self.printed;
        let darkest = self.bites.tones.last().map_or(curve.darkest(), |tone| tone.target);
        let print = Ends { paper: curve.paper(), black: darkest };
        let sheet = films(settings)?.paper_factors(curve.paper().reflectance());
        Ok(picture::laid(&self.face.lightness, self.face.ends, print, sheet.map(|factor| factor as f32), size, view))
    }

    /// The same on the screen, under the lamp that the pull is looked at by.
    pub(super) fn wanted_shown(&self, size: (usize, usize), view: View, settings: &ProofSettings) -> Result<Plane<Rgba>, Refusal> {
        let wanted = self.wanted(size, view, settings)?;
        let seen = |light: &[f32; 3]| settings.lamp.shows(Rgb(light.map(f64::from))).0.map(|channel| channel as f32);
        Ok(picture::shown(&if settings.lamp == Lamp::Daylight { wanted } else { wanted.map(seen) }))
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
        settings.check()?;
        let opaque = |shown: Plane<[u8; 3]>| shown.map(|&[r, g, b]| [r, g, b, 255]);
        if settings.is_plain() {
            self.pulls.made.borrow_mut().looked.forget();
            let (tones, films) = (self.tones(plan, &settings.grain)?, films(settings)?);
            return Ok(opaque(if grain {
                proof::grained(&plan.stopouts, &tones, &films, window, &mut |share| progress("proof", share))
            } else {
                proof::flat(&plan.stopouts, &tones, &films, window)
            }));
        }
        let set = self.set(plan, settings)?;
        let printings = set.printings();
        let pull = set.pull(&printings);
        let joint = self.pulls.made.borrow_mut().looked.joint(&set, &pull, window, grain, progress);
        Ok(opaque(if grain {
            pull::shown(&pull, &joint, window, settings.lamp)
        } else {
            pull::flat_shown(&pull, &joint, window, settings.lamp)
        }))
    }

    /// The whole print as a PNG with what it rests on written in, handed to `sink` piece by piece; at the step map's raster unless another is
    /// asked for. It is never whole in memory.
    ///
    /// # Errors
    /// Before the first plan, where the settings can't be, or the picture would be too large.
    pub fn proof_png(&self, spec: &PrintSpec, sink: &mut dyn FnMut(&[u8]), progress: Progress<'_>) -> Result<(), Refusal> {
        let settings = &spec.proof;
        settings.check()?;
        for text in [&spec.head.title, &spec.head.letter, &spec.head.date] {
            named(text)?;
        }
        let plan = self.plan()?;
        let basis = self.basis(plan, settings, &spec.head)?;
        let foot = basis.lines().map(str::to_owned).chain(boxes_line(&basis)).collect::<Vec<_>>().join("\n");
        let resolution = spec.px_per_mm.map_or(plan.stopouts.resolution(), PxPerMm);
        let export = Export {
            resolution,
            lamp: settings.lamp,
            grain: true,
            words: &[("Software", "Stepbite"), ("Description", &basis)],
            foot: &foot,
        };
        let set = self.set(plan, settings)?;
        let printings = set.printings();
        // A file draws grains of its own: those of the screen make room.
        self.pulls.made.borrow_mut().looked.forget();
        Ok(set.pull(&printings).png(&export, sink, &mut |share| progress("proof", share))?)
    }

    /// Mean colours of the whole face in linear light, by daylight.
    pub(super) fn flat(&self, plan: &Plan, size: (usize, usize), settings: &ProofSettings) -> Result<Plane<[f32; 3]>, Refusal> {
        settings.check()?;
        let set = self.set(plan, settings)?;
        let printings = set.printings();
        let window = Window::new(PointMm::default(), size.0 as f64 / plan.plate.face().width.0, size.0, size.1)?;
        Ok(pull::flat(&set.pull(&printings), &window, Lamp::Daylight))
    }

    /// The bare sheet as it looks under the lamp, linear light.
    pub(super) fn bare(&self, plan: &Plan, settings: &ProofSettings) -> Result<[f32; 3], Refusal> {
        let sheet = sheet_of(settings, &*self.tones(plan, &settings.grain)?)?;
        Ok(settings.lamp.shows(sheet).0.map(|channel| channel as f32))
    }

    /// Everything that a pull is made of.
    pub(super) fn set(&self, plan: &Plan, settings: &ProofSettings) -> Result<Set, Refusal> {
        let tones = self.tones(plan, &settings.grain)?;
        let sheet = sheet_of(settings, &tones)?;
        let n = tones.n();
        let own = self.own(plan, settings, &tones)?;
        // One that prints nowhere may be as it likes.
        let made =
            |(place, ink): (usize, &ProofInk)| if settings.uses(place) { mixed(ink, &tones, sheet) } else { Ok((Film::default(), 1.0)) };
        let inks = settings.inks.iter().enumerate().map(made).collect::<Result<Vec<(Film, f64)>, Refusal>>()?;
        // What a film of 1 is differs from strip to strip, so an ink's film is taken to the plate's own.
        let of = |density: f64| inks.iter().map(|(film, at)| film.times(density / at)).collect::<Vec<Film>>();
        let mut plates = Vec::new();
        let face = plan.plate.face();
        let face = (face.width, face.height);
        for printing in &settings.printings {
            let (plate, strips, key, size, density) = match &printing.plate {
                None => (Rc::clone(&own), tones.ink(), String::new(), face, tones.full_density()),
                Some(id) => {
                    let brought = self.pulls.brought.get(id).ok_or_else(|| {
                        let words =
                            "A plate of this pull is not at hand: bring it in from its project file again, or take it out of the pull.";
                        Refusal::new("brought", words)
                    })?;
                    let FaceSize { width, height } = brought.given.face_mm;
                    (brought.at(n), brought.ink, id.clone(), (Millimetres(width), Millimetres(height)), brought.full_density())
                }
            };
            let inks = of(density);
            let first = printing.ink.and_then(|ink| inks.get(ink)).copied().unwrap_or(strips);
            let inks = if printing.plate.is_none() && !settings.zones.is_empty() {
                self.zoned(plan, settings, first, &inks, strips)?
            } else {
                Inks::one(first)
            };
            let misfit = Misfit { shift: printing.shift_mm.into(), growth: printing.growth, turn: printing.turn }.centred(size, face);
            plates.push(Printed { plate, inks, veil: veil(settings.plate_tone, &strips), trap: printing.trap, misfit, key });
        }
        Ok(Set {
            stamp: plan.stamp,
            seed: settings.grain,
            edges: settings.edges.clone(),
            face,
            grounds: self.grounds(plan, settings, sheet, Rgb::grey(tones.paper()))?,
            plates,
            grounds_key: if !settings.lays_papers() { None } else { self.pulls.made.borrow().grounds.as_ref().map(|(key, _)| key.clone()) },
            zones: if settings.zones.is_empty() { None } else { Some(zones_key(settings, face)?) },
            n,
        })
    }

    /// The plate's own ink, then all others, then the strip's, with the zones they lie in; which of them lies where is made once.
    fn zoned(&self, plan: &Plan, settings: &ProofSettings, first: Film, inks: &[Film], strips: Film) -> Result<Inks, Refusal> {
        let films: Vec<Film> = [first].into_iter().chain(inks.iter().copied()).chain([strips]).collect();
        let face = plan.plate.face();
        let key = zones_key(settings, (face.width, face.height))?;
        if let Some((of, map)) = &self.pulls.made.borrow().zones
            && *of == key
        {
            return Ok(Inks { films, zones: map.clone() });
        }
        let map = ink_zones::map(&key.zones, films.len(), key.face, Millimetres(settings.zone_border_mm))?;
        self.pulls.made.borrow_mut().zones = Some((key, map.clone()));
        Ok(Inks { films, zones: map })
    }

    /// What the plates of a pull are called.
    pub(super) fn names(&self, settings: &ProofSettings) -> Vec<String> {
        let name = |printing: &PrintingChoice| match &printing.plate {
            None => "this plate".to_owned(),
            Some(id) => self.pulls.brought.get(id).map_or_else(|| "a plate brought in".to_owned(), |brought| brought.name.clone()),
        };
        let names: Vec<String> = settings.printings.iter().map(name).collect();
        // Two of one letter are told apart by their titles, and two of one title too by their places.
        let titled = |(place, name): (usize, &String)| {
            let brought = settings.printings[place].plate.as_ref().and_then(|id| self.pulls.brought.get(id));
            match brought.map(|brought| brought.given.title.as_str()) {
                Some(title) if !title.is_empty() && title != name && again(&names, name) => format!("{name} of {title}"),
                _ => name.clone(),
            }
        };
        let titles: Vec<String> = names.iter().enumerate().map(titled).collect();
        let placed =
            |(place, name): (usize, &String)| if again(&titles, name) { format!("{name}, printed {}", place + 1) } else { name.clone() };
        titles.iter().enumerate().map(placed).collect()
    }

    /// The sheet with the papers laid on it, made once; `strips` is the strip's paper.
    fn grounds(&self, plan: &Plan, settings: &ProofSettings, sheet: Rgb, strips: Rgb) -> Result<Rc<Grounds>, Refusal> {
        if !settings.lays_papers() {
            return Ok(Rc::new(Grounds::bare(sheet)));
        }
        let face = plan.stopouts.map().plane();
        let (size, resolution) = ((face.width(), face.height()), plan.stopouts.resolution());
        if let Some((of, grounds)) = &self.pulls.made.borrow().grounds
            && (&of.laid, &of.papers, of.bevel) == (&settings.laid, &settings.papers, plan.plate.bevel())
            && (of.sheet, of.strips, of.size, of.resolution) == (sheet, strips, size, resolution)
        {
            return Ok(Rc::clone(grounds));
        }
        let pieces = papers::laid_pieces(settings.papers.as_ref(), &plan.plate)?;
        let laid = pieces.iter().chain(&settings.laid).map(|paper| laid_of(paper, strips)).collect::<Result<Vec<Laid>, Refusal>>()?;
        let grounds = Rc::new(laid::grounds(sheet, &laid, size, resolution)?);
        let of = GroundsKey {
            laid: settings.laid.clone(),
            papers: settings.papers.clone(),
            bevel: plan.plate.bevel(),
            sheet,
            strips,
            size,
            resolution,
        };
        self.pulls.made.borrow_mut().grounds = Some((of, Rc::clone(&grounds)));
        Ok(grounds)
    }

    /// The plate at hand as it prints, made once.
    fn own(&self, plan: &Plan, settings: &ProofSettings, tones: &ProofTones) -> Result<Rc<pull::Plate>, Refusal> {
        let key = (plan.stamp, settings.grain, settings.edges.clone());
        if let Some((of, plate)) = &self.pulls.made.borrow().own
            && *of == key
        {
            return Ok(Rc::clone(plate));
        }
        let map = match &settings.edges {
            None => plan.stopouts.map().plane().clone(),
            Some(choice) => edges::got(&plan.stopouts, &choice.edges()?),
        };
        let plate = Rc::new(pull::Plate::new(map, plan.stopouts.resolution(), tones));
        self.pulls.made.borrow_mut().own = Some((key, Rc::clone(&plate)));
        Ok(plate)
    }

    /// The tones on the grain chosen, made once.
    pub(super) fn tones(&self, plan: &Plan, choice: &GrainChoice) -> Result<Rc<ProofTones>, Refusal> {
        if *choice == GrainChoice::default() {
            return Ok(Rc::clone(&plan.proof));
        }
        let mut made = self.pulls.made.borrow_mut();
        if let Some((stamp, of, tones)) = &made.tones
            && *stamp == plan.stamp
            && of == choice
        {
            return Ok(Rc::clone(tones));
        }
        let tones = Rc::new(plan.tones_of(choice)?);
        made.tones = Some((plan.stamp, *choice, Rc::clone(&tones)));
        Ok(tones)
    }
}

/// Whether a list has a name more than once.
fn again(names: &[String], name: &str) -> bool {
    names.iter().filter(|other| *other == name).count() > 1
}

/// What a pull is made of.
pub(super) struct Set {
    pub(super) stamp: u64,
    pub(super) seed: GrainChoice,
    pub(super) edges: Option<EdgeChoice>,
    pub(super) face: (Millimetres, Millimetres),
    grounds: Rc<Grounds>,
    pub(super) plates: Vec<Printed>,
    pub(super) grounds_key: Option<GroundsKey>,
    pub(super) zones: Option<ZonesKey>,
    n: f64,
}

/// A plate in it.
pub(super) struct Printed {
    plate: Rc<pull::Plate>,
    pub(super) inks: Inks,
    veil: f64,
    trap: f64,
    misfit: Misfit,
    /// Which plate brought in; empty: the one at hand.
    pub(super) key: String,
}

impl Set {
    pub(super) fn printings(&self) -> Vec<Printing<'_>> {
        let one = |printed| {
            let Printed { plate, inks, veil, trap, misfit, .. }: &Printed = printed;
            Printing { plate, inks, trap: *trap, misfit: *misfit, veil: *veil }
        };
        self.plates.iter().map(one).collect()
    }

    pub(super) fn pull<'a>(&'a self, printings: &'a [Printing<'a>]) -> Pull<'a> {
        Pull { face: self.face, grounds: &self.grounds, printings, n: self.n }
    }
}

/// What zones hang on.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ZonesKey {
    zones: Vec<Zone>,
    face: (Millimetres, Millimetres),
    border: f64,
}

fn zones_key(settings: &ProofSettings, face: (Millimetres, Millimetres)) -> Result<ZonesKey, Refusal> {
    Ok(ZonesKey { zones: zones_of(settings)?, face, border: settings.zone_border_mm })
}

/// The zones as the core knows them; of the plate's films the first is what lies around them, the last the strip's own.
pub(super) fn zones_of(settings: &ProofSettings) -> Result<Vec<Zone>, Refusal> {
    let around = settings.printings.iter().find(|printing| printing.plate.is_none()).and_then(|printing| printing.ink);
    let strips = settings.inks.len() + 1;
    settings
        .zones
        .iter()
        .map(|zone| {
            let ink = if zone.ink == around { 0 } else { zone.ink.map_or(strips, |ink| ink + 1) };
            let piece = Piece::new(zone.outline.iter().map(|&point| point.into()).collect());
            let piece = piece.map_err(|refused| Refusal::new("zones", format!("Zone “{}”: {refused}", zone.name)))?;
            Ok(Zone { name: zone.name.clone(), ink: ink as u8, piece })
        })
        .collect()
}

/// What grounds hang on.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct GroundsKey {
    laid: Vec<LaidPaper>,
    papers: Option<PapersChoice>,
    bevel: Millimetres,
    sheet: Rgb,
    strips: Rgb,
    size: (usize, usize),
    resolution: PxPerMm,
}

/// A thin paper's patches; their light ground is the sheet they were looked at on, and never the one that is printed on.
fn patches_of(paper: &LaidPaper, strips: Rgb) -> Result<Patches, Refusal> {
    let colour = |text: &str| hex_colour(text).map(Rgb::from_bytes);
    Ok(Patches {
        on_white: colour(&paper.on_white)?,
        on_black: colour(&paper.on_black)?,
        back: paper.back.as_deref().map(colour).transpose()?,
        white: paper.sheet.as_deref().map(colour).transpose()?.unwrap_or(strips),
        black: Patches::BLACK,
    })
}

/// What there is to say of a thin paper.
pub(super) fn said_of(paper: &LaidPaper, strips: Rgb) -> Option<String> {
    match laid_of(paper, strips) {
        Err(refused) => Some(refused.message),
        Ok(_) if paper.weight.is_some() => None,
        Ok(_) => patches_of(paper, strips).ok()?.remark(),
    }
}

/// A thin paper as the core knows it.
fn laid_of(paper: &LaidPaper, strips: Rgb) -> Result<Laid, Refusal> {
    let named = |refused: &dyn std::fmt::Display| Refusal::new("paper", format!("Paper “{}”: {refused}", paper.name));
    let piece = paper.outline.as_ref().map(|points| Piece::new(points.iter().map(|&point| point.into()).collect())).transpose();
    Ok(Laid {
        thin: match &paper.weight {
            Some(PaperWeight { pad, grams }) => Thin::of_weight(Rgb::from_bytes(hex_colour(pad)?), *grams),
            None => Thin::of(&patches_of(paper, strips)?).map_err(|refused| named(&refused))?,
        },
        turned: paper.turned,
        piece: piece.map_err(|refused| named(&refused))?,
        edge: paper.edge,
        tear: paper.tear,
    })
}

/// An ink of the printer's as it is mixed for use, and the density that a film of 1 has in the ink of the strip its unit is taken from.
fn mixed(ink: &ProofInk, tones: &ProofTones, sheet: Rgb) -> Result<(Film, f64), Refusal> {
    let printed = printed_of(ink, tones, sheet)?;
    let film = ink_of(ink, &printed)?.mixed(Mixed { thinned: ink.thinned, strength: ink.strength });
    Ok((film, printed.density))
}

/// How an ink's patches were printed: as it is kept with the ink, or else by this plate's darkest tone and a pale one on this sheet.
fn printed_of(ink: &ProofInk, tones: &ProofTones, sheet: Rgb) -> Result<InkPrinted, Refusal> {
    ink.printed.clone().map_or_else(|| printed_now(ink, tones, sheet), Ok)
}

/// How an ink's patches are printed by the plan at hand.
fn printed_now(ink: &ProofInk, tones: &ProofTones, sheet: Rgb) -> Result<InkPrinted, Refusal> {
    // What is kept is the same again as text.
    let kept = |value: f64| (value * 1e6).round() / 1e6;
    let of = |tone: &ProofTone| PrintedTone { lands: kept(tone.lands), film: kept(tone.film) };
    let list = tones.tones();
    let full = list.last().map(of).ok_or_else(no_plan)?;
    let pale = match &ink.known {
        InkKnown::Full { .. } => None,
        InkKnown::Pair { tone, .. } => {
            Some(list.get(*tone).filter(|_| (1..list.len().saturating_sub(1)).contains(tone)).map(of).ok_or_else(|| {
                let words = format!("The pale patch of “{}” is said to be of tone {tone}, which this plate has not between paper and its darkest: choose another.", ink.name);
                Refusal::new("ink", words)
            })?)
        }
    };
    Ok(InkPrinted { n: kept(tones.n()), density: kept(tones.full_density()), sheet: sheet.0.map(kept), full, pale })
}

/// The ink that its patches tell.
fn ink_of(ink: &ProofInk, printed: &InkPrinted) -> Result<Ink, Refusal> {
    let colour = |text: &str| hex_colour(text).map(Rgb::from_bytes);
    let patch = |text: &str, tone: PrintedTone| -> Result<Patch, Refusal> {
        Ok(Patch { colour: colour(text)?, tint: Tint { lands: tone.lands, film: tone.film, veil: 0.0 } })
    };
    let known = match &ink.known {
        InkKnown::Full { full, opacity } => Known::Full { full: patch(full, printed.full)?, opacity: *opacity },
        InkKnown::Pair { full, pale, .. } => {
            let by = printed.pale.ok_or_else(|| {
                let words = format!(
                    "Two patches of “{}” were expected with what printed them, the pale one has none: say its tone again.",
                    ink.name
                );
                Refusal::new("ink", words)
            })?;
            Known::Pair { full: patch(full, printed.full)?, pale: patch(pale, by)? }
        }
    };
    let beside = ink.sheet.as_deref().map(colour).transpose()?.unwrap_or(Rgb(printed.sheet));
    let named = |refused: stepbite_core::ink::InkError| Refusal::new("ink", format!("Ink “{}”: {refused}", ink.name));
    Ink::new(known, beside, printed.n).map_err(named)
}

/// Whether an ink's patches are kept as another plan printed them, or this one on another sheet.
pub(super) fn printed_earlier(ink: &ProofInk, tones: &ProofTones, sheet: Rgb) -> bool {
    ink.printed.as_ref().is_some_and(|kept| printed_now(ink, tones, sheet).ok().as_ref() != Some(kept))
}

/// An ink and the sheet its patches were printed on.
pub(super) fn ink_on_its_sheet(ink: &ProofInk, tones: &ProofTones, sheet: Rgb) -> Result<(Ink, Rgb), Refusal> {
    let printed = printed_of(ink, tones, sheet)?;
    let beside = ink.sheet.as_deref().map(hex_colour).transpose()?.map_or(Rgb(printed.sheet), Rgb::from_bytes);
    Ok((ink_of(ink, &printed)?, beside))
}

impl Desk {
    /// How the patches of each ink are printed by the plan at hand, for the page to keep with an ink that does not know yet; none where it has not such
    /// a tone.
    ///
    /// # Errors
    /// Before the first plan, and where the settings can't be.
    pub fn ink_prints(&self, settings: &ProofSettings) -> Result<Vec<Option<InkPrinted>>, Refusal> {
        settings.check()?;
        let tones = self.tones(self.plan()?, &settings.grain)?;
        let sheet = sheet_of(settings, &tones)?;
        Ok(settings.inks.iter().map(|ink| printed_now(ink, &tones, sheet).ok()).collect())
    }
}

/// What is printed on, bare.
pub(super) fn sheet_of(settings: &ProofSettings, tones: &ProofTones) -> Result<Rgb, Refusal> {
    Ok(films(settings)?.paper.map_or_else(|| Rgb::grey(tones.paper()), Rgb::from_bytes))
}

/// How thick a film of plate tone is, in times of a full pit: as thick as has some density in the ink of the plate's own strip. A rag leaves a
/// thickness, whatever the ink.
fn veil(density: f64, strips: &Film) -> f64 {
    let full = -Layer::over(&strips.layer(1.0), Rgb::WHITE).luminance().0.max(1e-9).log10();
    if density > 0.0 && full > 1e-6 { density / full } else { 0.0 }
}
