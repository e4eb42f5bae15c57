//! The photograph of a pulled proof: kept beside the drawing, read against the plan, and the repair planned from it.

use super::sheets::settings as sheet_settings;
use super::{Desk, Plan};
use crate::error::Refusal;
use crate::settings::{GrainChoice, ProofSettings, SheetChoice};
use serde::{Deserialize, Serialize};
use stepbite_core::bites::BitePlan;
use stepbite_core::curve::BiteCurve;
use stepbite_core::drawing::Drawing;
use stepbite_core::frozen::{DARKER, LIGHTER};
use stepbite_core::islands::Island;
use stepbite_core::light::Lightness;
use stepbite_core::photo::Corners;
use stepbite_core::picture::{self, Rgba};
use stepbite_core::plane::Plane;
use stepbite_core::practice::Made;
use stepbite_core::pulled::{self, Cause, Held, Inking, PaperKnown, Pulled, PulledSettings, Split, Verdict};
use stepbite_core::regions::Mark;
use stepbite_core::second_plan::{self, OffTarget, RepairAsked, SecondPlan, off_target, second_plan};
use stepbite_core::sheets::{Job, SheetSet, Sheets};
use stepbite_core::strip::{StripKind, TestStrip};
use stepbite_core::units::Millimetres;
use stepbite_core::view::View;

/// The photograph at hand, what was read off it, and the repair.
#[derive(Default)]
pub struct PulledProof {
    photo: Option<Drawing>,
    read: Option<Read>,
    repair: Option<Repaired>,
}

/// A reading, with what it was held to.
struct Read {
    pulled: Pulled,
    bites: BitePlan,
    plate: stepbite_core::plate::Plate,
    /// Which plan that was.
    stamp: u64,
    /// What the pull on the page is, that such a reading can't hold for.
    apart: Option<String>,
}

/// A repair as planned.
struct Repaired {
    off: OffTarget,
    second: Option<SecondPlan>,
    /// Whether it is bitten by the proof's own reading.
    by_proof: bool,
}

/// How light the paper is, as `types.d.ts` has it.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum PaperChoice {
    /// As the strip reads at 0 s.
    AsStrip,
    /// Measured.
    Typed {
        /// L*.
        lightness: f64,
    },
    /// Judged by eye.
    ByEye {
        /// L*.
        lightness: f64,
    },
}

/// What is to be read, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PulledChoice {
    corners: Option<Corners>,
    paper: PaperChoice,
    /// What the reading is called as a strip.
    strip_name: String,
    /// How the page has the proof pulled.
    proof: ProofSettings,
}

/// Which picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PulledShow {
    /// The photograph.
    Photo,
    /// The face, straightened.
    Face,
    /// What is too dark.
    Burnish,
    /// What is too light.
    Regrain,
    /// The tones of the second plan.
    Second,
}

/// A picture of it.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PulledPictureSpec {
    show: PulledShow,
    view: View,
    part: Option<[f64; 4]>,
    width: usize,
    height: usize,
}

/// By which strip the second plan is bitten.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SecondStrip {
    /// The plan's.
    Plan,
    /// The proof's own reading.
    Proof,
}

/// What is to be repaired, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RepairChoice {
    tolerance_l: f64,
    mark_mm: f64,
    tones: usize,
    metal_alone: bool,
    strip: SecondStrip,
    strip_name: String,
}

/// A photograph as opened.
#[derive(Clone, Debug, Serialize)]
pub struct PulledPhotoFacts {
    width: usize,
    height: usize,
    notes: Vec<String>,
}

/// What was read, as `types.d.ts` has it.
#[derive(Clone, Debug, Serialize)]
pub struct PulledFacts {
    corners: Corners,
    moved_mm: f64,
    fit: f64,
    blind: Option<String>,
    tones: Vec<ToneFacts>,
    paper: f64,
    fall: f64,
    verdict: Option<&'static str>,
    effects: Vec<EffectFacts>,
    said: Vec<String>,
    notes: Vec<String>,
    strip: Option<Vec<(f64, f64)>>,
    strip_refused: Option<String>,
    /// What the strip holds of this proof's wiping and ink.
    strip_words: String,
    /// What the pull on the page is, that such a reading can't hold for.
    apart: Option<String>,
    face_mm: [f64; 2],
}

#[derive(Clone, Debug, Serialize)]
struct ToneFacts {
    tone: usize,
    planned: f64,
    target: f64,
    read: Option<f64>,
    fitted: Option<f64>,
    spread: f64,
    sigma: f64,
    area_mm2: f64,
    total_s: Option<f64>,
    doubt: Option<String>,
}

#[derive(Clone, Debug, Serialize)]
struct EffectFacts {
    cause: &'static str,
    words: &'static str,
    value: f64,
    doubt: f64,
    effect_l: f64,
    share: f64,
    probability: f64,
}

/// What is to be repaired, as `types.d.ts` has it.
#[derive(Clone, Debug, Serialize)]
pub struct RepairFacts {
    burnish: KindFacts,
    regrain: KindFacts,
    untold_share: f64,
    /// What to know before the metal is touched.
    notes: Vec<String>,
    second: Option<SecondFacts>,
}

#[derive(Clone, Debug, Serialize)]
struct KindFacts {
    count: usize,
    share: f64,
    mean_l: Option<f64>,
    most_l: Option<f64>,
    /// The largest.
    pieces: Vec<PieceFacts>,
}

#[derive(Clone, Debug, Serialize)]
struct PieceFacts {
    /// Plate view.
    at_mm: [f64; 2],
    area_mm2: f64,
}

#[derive(Clone, Debug, Serialize)]
struct SecondFacts {
    strip: String,
    /// Whether these are the example's times; and whether there are none.
    example: bool,
    tones: Vec<SecondTone>,
    paint_min: f64,
    notes: Vec<String>,
}

#[derive(Clone, Debug, Serialize)]
struct SecondTone {
    tone: usize,
    lightness: f64,
    share: f64,
    /// None without a strip.
    total_s: Option<f64>,
    set_s: Option<f64>,
}

/// Pieces listed at most.
const LISTED: usize = 40;

fn cause(cause: Cause) -> &'static str {
    match cause {
        Cause::Wiping => "wiping",
        Cause::Rate => "rate",
        Cause::Ink => "ink",
    }
}

fn verdict(split: &Split) -> &'static str {
    match split.verdict {
        Verdict::AsPlanned => "as_planned",
        Verdict::Causes(_) => "causes",
        Verdict::Either(..) => "either",
        Verdict::Unexplained => "unexplained",
    }
}

impl PulledFacts {
    fn of(read: &Read, strip_name: &str, stopped: bool) -> Self {
        let Read { pulled, bites, plate, apart, .. } = read;
        let timed = !stopped && bites.strip_kind != StripKind::Missing;
        let mut fitted = pulled.split.iter().flat_map(|split| split.fitted.iter().map(|l| l.0));
        let tones = pulled.tones.iter().map(|t| ToneFacts {
            tone: t.tone,
            planned: t.planned.0,
            target: t.target.0,
            read: t.read.map(|l| l.0),
            fitted: t.read.and_then(|_| fitted.next()),
            spread: t.spread,
            sigma: t.sigma,
            area_mm2: t.area_mm2,
            total_s: timed.then_some(bites.tones[t.tone].total.0),
            doubt: t.doubt.map(|doubt| doubt.to_string()),
        });
        let effects = pulled.split.iter().flat_map(|split| split.effects).map(|e| EffectFacts {
            cause: cause(e.cause),
            words: e.cause.word(),
            value: e.value,
            doubt: e.doubt,
            effect_l: e.effect_l,
            share: e.share,
            probability: e.probability,
        });
        let strip = if pulled.blind.is_some() { None } else { Some(read.strip(strip_name, false)) };
        let (strip, strip_refused) = match strip {
            Some(Ok(strip)) => (Some(strip.readings().iter().map(|r| (r.total.0, r.lightness.0)).collect()), None),
            Some(Err(refused)) => (None, Some(refused.message)),
            None => (None, None),
        };
        let face = plate.face();
        Self {
            corners: pulled.corners,
            moved_mm: pulled.moved_mm,
            fit: pulled.fit,
            blind: pulled.blind.map(|why| why.to_string()),
            tones: tones.collect(),
            paper: pulled.paper.0,
            fall: pulled.fall,
            verdict: pulled.split.as_ref().map(verdict),
            effects: effects.collect(),
            said: pulled.said.clone(),
            notes: pulled.notes.clone(),
            strip,
            strip_refused,
            strip_words: pulled.strip_words(),
            apart: apart.clone(),
            face_mm: [face.width.0, face.height.0],
        }
    }
}

fn kind_facts(off: &OffTarget, kind: u8, face_mm: f64) -> KindFacts {
    let (list, share): (&[Island], f64) =
        if kind == LIGHTER { (&off.wishes.lighter, off.wishes.lighter_share) } else { (&off.wishes.darker, off.wishes.darker_share) };
    let far = off.how_far(kind);
    let piece = |p: &Island| PieceFacts { at_mm: [face_mm - p.at.x, p.at.y], area_mm2: p.area_mm2 };
    KindFacts {
        count: list.len(),
        share,
        mean_l: far.map(|f| f.0),
        most_l: far.map(|f| f.1),
        pieces: list.iter().take(LISTED).map(piece).collect(),
    }
}

fn second_facts(second: &SecondPlan, stopped: bool) -> SecondFacts {
    let counts = second.stop_outs.map().counts();
    let face: u64 = counts.iter().sum();
    let known = !stopped && second.bites.strip_kind != StripKind::Missing;
    let tones = second.bites.tones.iter().enumerate().map(|(tone, time)| SecondTone {
        tone,
        lightness: time.target.0,
        share: counts[tone] as f64 / face.max(1) as f64,
        total_s: known.then_some(time.shown_total.0),
        set_s: known.then_some(time.set.0),
    });
    SecondFacts {
        strip: second.bites.strip_id.clone(),
        example: second.bites.strip_kind == StripKind::Example,
        tones: tones.collect(),
        paint_min: second.stop_outs.list().iter().map(|s| s.paint_min).sum(),
        notes: second.notes.clone(),
    }
}

impl Plan {
    fn targets(&self) -> Vec<Lightness> {
        self.base.tones.iter().map(|tone| tone.target).collect()
    }
}

impl Desk {
    /// Reads the photograph of a proof. Neither drawing nor plan is touched.
    ///
    /// # Errors
    /// A sentence where the file can't be read.
    pub fn pulled_open(&mut self, bytes: &[u8]) -> Result<PulledPhotoFacts, Refusal> {
        let drawing = Drawing::read(bytes)?;
        let light = drawing.luminance();
        let facts = PulledPhotoFacts { width: light.width(), height: light.height(), notes: drawing.info().notes.clone() };
        self.pulled = PulledProof { photo: Some(drawing), ..PulledProof::default() };
        Ok(facts)
    }

    /// Reads the proof against the plan.
    ///
    /// # Errors
    /// Before a plan and a photograph, and what the core refuses.
    pub fn pulled_read(&mut self, choice: &PulledChoice) -> Result<PulledFacts, Refusal> {
        let plan = self.plan()?;
        let drawing = self.pulled.photo.as_ref().ok_or_else(no_photo)?;
        let targets = plan.targets();
        let inking = Inking::of(&plan.proof);
        let relief = plan.relief(&GrainChoice::default())?;
        let held = Held {
            plate: &plan.plate,
            stop_outs: &plan.stopouts,
            bites: &plan.bites,
            curve: &plan.curve,
            inking: &inking,
            relief: &relief,
            targets: &targets,
        };
        let paper = match choice.paper {
            PaperChoice::AsStrip => PaperKnown::AsStrip,
            PaperChoice::Typed { lightness } => PaperKnown::Typed(Lightness(lightness)),
            PaperChoice::ByEye { lightness } => PaperKnown::ByEye(Lightness(lightness)),
        };
        let pulled = pulled::read(drawing, &held, &PulledSettings { corners: choice.corners, paper })?;
        let apart = apart(&choice.proof, paper);
        let read = Read { pulled, bites: plan.bites.clone(), plate: plan.plate, stamp: plan.stamp, apart };
        let facts = PulledFacts::of(&read, &choice.strip_name, plan.stopped());
        self.pulled.read = Some(read);
        self.pulled.repair = None;
        Ok(facts)
    }

    /// Plans the repair.
    ///
    /// # Errors
    /// Before a proof was read, and what the core refuses.
    pub fn pulled_repair(&mut self, choice: &RepairChoice) -> Result<RepairFacts, Refusal> {
        let plan = self.plan()?;
        let read = self.pulled.held_to(plan)?;
        let asked = RepairAsked {
            tolerance: choice.tolerance_l,
            mark: Mark::new(Millimetres(choice.mark_mm))?,
            tones: choice.tones,
            metal_alone: choice.metal_alone,
        };
        let off = off_target(&read.pulled, &asked)?;
        let own;
        let (strip, curve): (&TestStrip, &BiteCurve) = match choice.strip {
            SecondStrip::Plan => (&plan.strip, &plan.curve),
            SecondStrip::Proof => {
                let strip = read.strip(&choice.strip_name, asked.metal_alone)?;
                let practice = stepbite_core::practice::Practice { made: Made::Covered, ..plan.settings.practice()? };
                let curve = BiteCurve::with(&strip, practice)?;
                own = (strip, curve);
                (&own.0, &own.1)
            }
        };
        let second = second_plan(&off, &read.pulled, &asked, (strip, curve), plan.settings.hand_speed)?;
        let width = read.plate.face().width.0;
        // Under one name it would else pass for the strip of the next plate.
        let taken = read.pulled.split.as_ref().is_some_and(Split::takes_off);
        let alone = (choice.strip == SecondStrip::Proof && choice.metal_alone && taken && second.is_some())
            .then(|| "Bitten by this proof's reading with wiping and ink taken off; the strip of the next plate keeps them.".to_owned());
        let facts = RepairFacts {
            burnish: kind_facts(&off, LIGHTER, width),
            regrain: kind_facts(&off, DARKER, width),
            untold_share: off.untold_share,
            notes: read.apart.iter().chain(&off.notes).chain(&alone).cloned().collect(),
            second: second.as_ref().map(|second| second_facts(second, plan.stopped())),
        };
        self.pulled.repair = Some(Repaired { off, second, by_proof: choice.strip == SecondStrip::Proof });
        Ok(facts)
    }

    /// The sheets of the repair.
    ///
    /// # Errors
    /// Before a repair was planned, and for settings out of range.
    pub fn pulled_sheets(&self, choice: &SheetChoice) -> Result<Sheets, Refusal> {
        let plan = self.plan()?;
        let read = self.pulled.held_to(plan)?;
        let Repaired { off, second, by_proof } =
            self.pulled.repair.as_ref().ok_or_else(|| Refusal::new("no_repair", "No repair was planned yet: do that first."))?;
        let mut settings = second_plan::sheet_settings(sheet_settings(plan, choice)?, off, second.is_some());
        if *by_proof {
            // The proof's times are those of its own day and bath, not of the plan's strip.
            (settings.scaled, settings.bath) = (None, None);
        }
        let (stop_outs, outlines, bites) = match second {
            Some(second) => (&second.stop_outs, &second.outlines, &second.bites),
            None => (&plan.stopouts, &plan.outlines, &read.bites),
        };
        let set = SheetSet::of(Job { stop_outs, outlines, bites, plate: &read.plate, lines: None, settings: &settings });
        if set.pages() == 0 {
            return Err(Refusal::new("no_repair", "Nothing is off by more than the tolerance: there is no sheet of a repair."));
        }
        Ok(set.draw(&mut |_| ()))
    }

    /// The photograph for the screen, the face as it was read, or what is to be repaired.
    ///
    /// # Errors
    /// Before it is there.
    pub fn pulled_picture(&self, spec: &PulledPictureSpec) -> Result<Plane<Rgba>, Refusal> {
        let most = (spec.width, spec.height);
        let read = || self.pulled.read.as_ref().filter(|read| read.pulled.blind.is_none()).ok_or_else(unread);
        let repair = || self.pulled.repair.as_ref().ok_or_else(|| Refusal::new("no_repair", "No repair was planned yet: do that first."));
        Ok(match spec.show {
            PulledShow::Photo => {
                let drawing = self.pulled.photo.as_ref().ok_or_else(no_photo)?;
                let (columns, rows) = super::part_of(drawing, spec.part);
                let size = picture::fitted_size(columns.len(), rows.len(), most);
                picture::opened(drawing, columns, rows, size)
            }
            PulledShow::Face => read()?.pulled.shown(most, spec.view),
            PulledShow::Burnish => read().and_then(|read| Ok(repair()?.off.shown(&read.pulled, LIGHTER, most, spec.view)))?,
            PulledShow::Regrain => read().and_then(|read| Ok(repair()?.off.shown(&read.pulled, DARKER, most, spec.view)))?,
            PulledShow::Second => {
                read()?;
                let second = repair()?.second.as_ref();
                let second = second.ok_or_else(|| Refusal::new("no_repair", "Nothing is to be grained again: there is no second plan."))?;
                let map = second.stop_outs.map();
                let colours: Vec<[f32; 3]> = second.bites.tones.iter().map(|t| [t.target.reflectance().0 as f32; 3]).collect();
                picture::tones(map, &colours, picture::fitted_size(map.plane().width(), map.plane().height(), most), spec.view)
            }
        })
    }
}

impl PulledProof {
    /// The reading, as long as it is one of this plan.
    fn held_to(&self, plan: &Plan) -> Result<&Read, Refusal> {
        let read = self.read.as_ref().ok_or_else(unread)?;
        if read.stamp == plan.stamp {
            return Ok(read);
        }
        Err(Refusal::new("reading_old", "The proof was read against another plan than the one at hand: read it again."))
    }
}

/// Whatever of the pull on the page a reading leaves out of account: it knows one plate, its strip's ink, and a bare sheet.
fn apart(proof: &ProofSettings, paper: PaperKnown) -> Option<String> {
    let own = proof.printings.iter().find(|printing| printing.plate.is_none());
    let ink = own.and_then(|own| own.ink).and_then(|ink| proof.inks.get(ink));
    let mut has = Vec::new();
    match proof.printings.len() {
        0 | 1 => {}
        2 => has.push("another plate printed with it".to_owned()),
        count => has.push(format!("{} other plates printed with it", count - 1)),
    }
    has.extend(ink.map(|ink| format!("“{}” for its ink", ink.name)));
    if !proof.zones.is_empty() {
        has.push("zones of ink".to_owned());
    }
    if proof.lays_papers() {
        has.push("thin papers laid in".to_owned());
    }
    let mut said = Vec::new();
    if !has.is_empty() {
        said.push(format!(
            "Every proof is read as this plate alone, in its strip's own ink, on a bare sheet. The pull on this page has {}: of a proof that was printed so, \
             nothing here holds, neither the causes nor the strip nor the repair. Pull this plate alone in the strip's ink for that.",
            has.join(", ")
        ));
    }
    if proof.paper.is_some() && paper == PaperKnown::AsStrip {
        said.push("The pull on this page is on a sheet of another colour than the strip's: measure the bare paper beside the proof and type its L*.".to_owned());
    }
    (!said.is_empty()).then(|| said.join(" "))
}

impl Read {
    /// The reading as a strip, as read or as it is on the metal. Without a strip the plan's times are nobody's: then only a plate whose dips were all noted makes one.
    fn strip(&self, name: &str, on_the_metal: bool) -> Result<TestStrip, Refusal> {
        let Self { pulled, bites, .. } = self;
        let last = pulled.tones.iter().filter(|tone| tone.read.is_some()).map(|tone| tone.tone).max().unwrap_or(0);
        if bites.strip_kind == StripKind::Missing && bites.bitten < last {
            let words =
                "The times of these bites are not known, for the plan has no strip: note the dips at the bath, then the reading makes one.";
            return Err(Refusal::new("strip", words));
        }
        Ok(pulled.strip(name, bites, on_the_metal)?)
    }
}

fn no_photo() -> Refusal {
    Refusal::new("no_pulled_photo", "There is no photo of the proof any more: choose it or take it again.")
}

fn unread() -> Refusal {
    Refusal::new("no_reading", "The proof was not read yet: do that first.")
}
