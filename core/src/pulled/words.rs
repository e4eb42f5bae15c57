//! What a proof says, in sentences.

use super::field::Field;
use super::place::Way;
use super::split::{Cause, LEAST_TONES, Split, ToneRead, Verdict, WORTH};
use super::{Held, PaperKnown, Pulled, PulledSettings, SHRUNK};
use crate::photo::CornersError;
use crate::strip::StripKind;
use std::fmt;

/// Why nothing of a photograph can be told.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Blind {
    /// The corners were looked for, and are a guess.
    Guess {
        /// Whether the picture goes with what lies within them.
        fits: bool,
    },
    /// What lies within the corners is not this picture.
    Other {
        /// How well it goes, 0 to 1.
        fit: f64,
    },
    /// It stands on its head.
    Turned,
    /// It lies on one of its sides.
    Aside,
    /// Left and right are exchanged.
    Mirrored,
    /// Too few pixels.
    Coarse {
        /// Pixels a millimetre where they are fewest.
        px_per_mm: f64,
    },
    /// No bare paper round the plate mark.
    Paper,
    /// The paper is burnt out.
    Burnt {
        /// How much of it, 0 to 1.
        share: f64,
    },
    /// The paper is next to black.
    Dim,
}

impl fmt::Display for Blind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Guess { fits: true } => {
                write!(f, "Can't tell yet: the corners are a guess. Put each on its corner of the printed picture, then read it again.")
            }
            Self::Guess { fits: false } => write!(
                f,
                "Can't tell yet: nothing in this photo goes well with the plan, and the corners are a guess. See that this is this plate's proof; put each \
                 corner on its corner of the printed picture, then read it again."
            ),
            Self::Other { fit } => write!(
                f,
                "Can't tell: what lies within these corners goes with the plan's picture only to {:.0} %. Put each corner on its corner of the printed \
                 picture, and see that the plan is this plate's.",
                100.0 * fit
            ),
            Self::Turned => {
                write!(f, "Can't tell: the picture stands on its head within these corners. Turn the corners by half, then read it again.")
            }
            Self::Aside => write!(
                f,
                "Can't tell: the picture lies on its side within these corners. Put the upper left corner on the picture's own upper left, the others \
                 clockwise after it, then read it again."
            ),
            Self::Mirrored => write!(
                f,
                "Can't tell: left and right are exchanged within these corners. A proof is photographed as it is printed, not the plate and not in a mirror."
            ),
            Self::Coarse { px_per_mm } => write!(
                f,
                "Can't tell: this photo has {px_per_mm:.1} pixels to a millimetre of the picture, {} at least are needed. Go nearer, or scan it.",
                super::LEAST_PX_PER_MM
            ),
            Self::Paper => write!(
                f,
                "Can't tell: bare paper round the plate mark is what the tones are compared with, and it can't be told on two sides. Photograph the proof \
                 with a finger's breadth of its paper on every side."
            ),
            Self::Burnt { share } => write!(
                f,
                "Can't tell: {:.0} % of the paper round the plate mark is burnt out, so nothing can be compared with it. Photograph it darker, without flash.",
                100.0 * share
            ),
            Self::Dim => write!(f, "Can't tell: the photo is too dark, its paper is next to black. Photograph it in more light."),
        }
    }
}

/// What can't be read.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum PulledError {
    /// The corners can't be found, or those given are none.
    Corners(CornersError),
    /// The plan's tones are not the stop-outs'.
    Tones {
        /// Tones of the step map.
        stop_outs: usize,
        /// Tones with a time.
        plan: usize,
        /// Tones with an L* they were to print at.
        targets: usize,
    },
    /// No paper is so light or so dark.
    Paper {
        /// The L*.
        lightness: f64,
    },
}

impl fmt::Display for PulledError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Corners(CornersError::Shape) => write!(
                f,
                "These four corners go round no picture: put them on the printed picture clockwise, upper left first, in the photo or close by it."
            ),
            Self::Corners(_) => write!(
                f,
                "The printed picture can't be told in this photo: its four straight sides were looked for. Set its corners by hand, or photograph it from \
                 straight above with bare paper all round."
            ),
            Self::Tones { stop_outs, plan, targets } => write!(
                f,
                "Times and targets of {stop_outs} tones were expected; {plan} times and {targets} targets came: work out the plan anew for this plate."
            ),
            Self::Paper { lightness } => write!(
                f,
                "A bare paper has an L* of {} to {}; {lightness:.1} came: type the L* of the unprinted paper round the plate mark.",
                crate::strip_photo::PAPERS.0.0,
                crate::strip_photo::PAPERS.1.0
            ),
        }
    }
}

impl std::error::Error for PulledError {}

impl Cause {
    /// A word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Wiping => "wiping",
            Self::Rate => "the bite",
            Self::Ink => "ink or pressure",
        }
    }
}

fn listed(causes: &[Cause]) -> String {
    match causes {
        [] => "no cause at all, only chance".to_owned(),
        [one] => one.word().to_owned(),
        [first, last] => format!("{} and {}", first.word(), last.word()),
        _ => causes.iter().map(|c| c.word()).collect::<Vec<_>>().join(", "),
    }
}

/// What a figure means.
fn figure(split: &Split, cause: Cause) -> String {
    let effect = split.effects.iter().find(|e| e.cause == cause);
    let (value, doubt) = effect.map_or((0.0, 0.0), |e| (e.value, e.doubt));
    match cause {
        Cause::Wiping if value > 0.0 => format!("a film of {value:.2} ± {doubt:.2} D more than the strip had lies over everything"),
        Cause::Wiping => format!("it is wiped cleaner than the strip was, by {:.2} ± {doubt:.2} D everywhere", -value),
        Cause::Rate => {
            // A rate of e^−0.4 is 33 % slower, not the 49 % that the strip's is faster.
            let percent = |v: f64| 100.0 * libm::expm1(v).abs();
            let way = if value > 0.0 { "faster" } else { "slower" };
            format!(
                "the bath bit {:.0} % (± {:.0}) {way} than the strip's, or the times were {}",
                percent(value),
                100.0 * libm::exp(value) * doubt,
                if value > 0.0 { "longer" } else { "shorter" }
            )
        }
        Cause::Ink => {
            let percent = |v: f64| 100.0 * (libm::exp(v) - 1.0).abs();
            let way = if value > 0.0 { "more" } else { "less" };
            format!(
                "every tone holds {:.0} % (± {:.0}) {way} density of ink than on the strip: stronger or weaker ink, or the pressure",
                percent(value),
                100.0 * doubt
            )
        }
    }
}

/// How to tell two sets apart at little cost.
fn test(one: &[Cause], other: &[Cause]) -> &'static str {
    let differ = |cause: Cause| one.contains(&cause) != other.contains(&cause);
    if differ(Cause::Wiping) {
        "Wipe the plate clean and pull again: what goes is wiping, what stays is not."
    } else if differ(Cause::Ink) && differ(Cause::Rate) {
        "Pull the strip and the plate together, in one ink: if the strip differs from its reading too, it is the ink; if it reads as before, it is the bite."
    } else if differ(Cause::Ink) {
        "Wipe the plate clean and pull again with the strip beside it, in one ink: if the strip differs from its reading too, it is the ink."
    } else {
        "Wipe the plate clean, pull again and read that: two proofs that agree halve the doubt."
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// A sentence for each of some causes, the largest first.
fn named(split: &Split, causes: &[Cause]) -> Vec<String> {
    let sentence = |(i, &cause): (usize, &Cause)| {
        let effect = split.effects[cause as usize];
        let lead = match (i, causes.len()) {
            (0, 1) => "It is",
            (0, _) => "Most of it is",
            _ => "Besides it is",
        };
        format!(
            "{lead} {}: {}. That changes the tones by {:.1} L*, {} of what was found; probability that it is at work {}.",
            cause.word(),
            figure(split, cause),
            effect.effect_l,
            percent(effect.share),
            percent(effect.probability.min(0.99))
        )
    };
    causes.iter().enumerate().map(sentence).collect()
}

/// Sentences of a split.
pub(super) fn sentences(split: &Split) -> Vec<String> {
    let mut said = vec![format!("The tones read differ from the plan by {:.1} L*, as the root of the mean square.", split.difference_l)];
    match &split.verdict {
        Verdict::AsPlanned => said.push("The proof is as planned, as far as this photo can tell.".to_owned()),
        Verdict::Causes(causes) => said.extend(named(split, causes)),
        Verdict::Either(one, other) => {
            // What both have is sure.
            let both: Vec<Cause> = one.iter().copied().filter(|c| other.contains(c)).collect();
            let rest = |list: &[Cause]| list.iter().copied().filter(|c| !both.contains(c)).collect::<Vec<Cause>>();
            let (mine, yours) = (rest(one), rest(other));
            said.extend(named(split, &both));
            said.push(match (both.is_empty(), mine.is_empty(), yours.is_empty()) {
                (true, ..) => format!("Two explain it about equally: {}, or {}.", listed(one), listed(other)),
                (false, true, _) => format!("Whether {} has a part in it too can't be told.", listed(&yours)),
                (false, _, true) => format!("Whether {} has a part in it too can't be told.", listed(&mine)),
                _ => format!("Besides it is {}, or {}: which can't be told.", listed(&mine), listed(&yours)),
            });
            said.push(test(one, other).to_owned());
        }
        Verdict::Unexplained => said.push(format!(
            "Neither wiping nor bite nor ink explains it: {:.1} L* are left over. Look at the tones one by one; see that the light was even and the plan is this plate's.",
            split.left_l
        )),
    }
    if !matches!(split.verdict, Verdict::Unexplained) && split.left_l > 1.5 {
        said.push(format!("{:.1} L* of it these do not explain: look at the tones that stand off by themselves.", split.left_l));
    }
    said
}

impl Pulled {
    /// What its reading holds as a strip for the next plate, in a sentence.
    #[must_use]
    pub fn strip_words(&self) -> String {
        let named: Vec<String> =
            self.split.iter().flat_map(|split| over_the_metal(split).into_iter().map(|cause| figure(split, cause))).collect();
        let what = if named.is_empty() { String::new() } else { format!(" Of this one: {}.", named.join("; ")) };
        format!("It reads as this proof was wiped and inked, and serves a plate that is wiped and inked like it.{what}")
    }
}

/// What the split has lying over the metal: wiping and ink.
fn over_the_metal(split: &Split) -> Vec<Cause> {
    let at_work = |cause: &Cause| split.effects.iter().any(|e| e.cause == *cause && e.value != 0.0 && e.effect_l >= WORTH);
    if split.verdict == Verdict::Unexplained { Vec::new() } else { [Cause::Wiping, Cause::Ink].into_iter().filter(at_work).collect() }
}

impl Split {
    /// Whether anything that lies over the metal, wiping or ink, is taken off a reading.
    #[must_use]
    pub fn takes_off(&self) -> bool {
        self.verdict != Verdict::Unexplained && !over_the_metal(self).is_empty()
    }

    /// What should be known before the metal is worked by [`Split::on_the_metal`], in sentences.
    #[must_use]
    pub fn metal_words(&self) -> Vec<String> {
        let over = over_the_metal(self);
        let taken = if over.is_empty() { "nothing is taken off".to_owned() } else { format!("{} is taken off", listed(&over)) };
        match &self.verdict {
            Verdict::Unexplained => vec![
                "Nothing explains this proof's difference, so nothing is taken off: what is off here is as read, wiping and ink and the light of the photo \
                 with it. Find out why before you scrape."
                    .to_owned(),
            ],
            Verdict::Either(one, other) => {
                let over = |set: &[Cause], cause: Cause| set.contains(&cause);
                let differ = [Cause::Wiping, Cause::Ink].into_iter().any(|cause| over(one, cause) != over(other, cause));
                if !differ {
                    return Vec::new();
                }
                vec![format!(
                    "Whether it is {}, or {}, can't be told; here {taken}, by the first, and the list hangs on that. {}",
                    listed(one),
                    listed(other),
                    test(one, other)
                )]
            }
            _ => Vec::new(),
        }
    }
}

/// Everything that is to be said.
pub(super) fn say(
    pulled: &mut Pulled,
    told: &[ToneRead],
    held: &Held<'_>,
    settings: &PulledSettings,
    (field, as_well): (&Field, Option<Way>),
) {
    let mut notes = Vec::new();
    if let Some(way) = as_well {
        let how = match way {
            Way::Turned => "standing on its head",
            Way::Aside => "lying on its side",
            _ => "with left and right exchanged",
        };
        notes.push(format!(
            "The picture goes nearly as well {how}: see that the first corner is its own upper left, or tones are read in wrong places."
        ));
    }
    pulled.said = match &pulled.split {
        Some(split) => sentences(split),
        None => vec![format!(
            "{} of {} tones can be told, and {LEAST_TONES} are needed to tell wiping, bite and ink apart: the readings stand, their cause is not named.",
            told.len(),
            pulled.tones.len()
        )],
    };
    notes.push(match settings.paper {
        PaperKnown::AsStrip => format!(
            "Nobody said how light the bare paper is: the strip's reading at 0 s, L* {:.1}, is taken for it. All readings are off by as much as that is; a \
             film of plate tone on the strip itself counts as paper.",
            pulled.paper.0
        ),
        PaperKnown::Typed(_) => format!("Readings are absolute by the bare paper's L* {:.1}, as typed.", pulled.paper.0),
        PaperKnown::ByEye(_) => {
            format!("Readings are absolute by the bare paper's L* {:.1}, judged by eye: all of them are off by as much as that is.", pulled.paper.0)
        }
    });
    if pulled.moved_mm >= 0.15 && settings.corners.is_some() {
        notes.push(format!("The corners were moved by up to {:.1} mm, to where the picture goes best with the plan.", pulled.moved_mm));
    }
    if pulled.fall > 1.15 {
        notes.push(format!("The light falls by {:.1} to 1 over the picture; the paper round it evens that.", pulled.fall));
    }
    const SIDES: [&str; 4] = ["upper", "right", "lower", "left"];
    let missing: Vec<&str> = field.sides.iter().zip(SIDES).filter(|(there, _)| !**there).map(|(_, side)| side).collect();
    if !missing.is_empty() {
        notes.push(format!(
            "No bare paper is told along the {} side: a fall of light that bends is not known, and readings are the worse for it.",
            missing.join(" and ")
        ));
    }
    if field.scatter > 0.03 {
        notes.push(format!(
            "The bare paper is uneven by {:.0} % of its light: a shadow, or a sheet that lies in waves.",
            100.0 * field.scatter
        ));
    }
    for tone in &pulled.tones {
        if let Some(doubt) = tone.doubt {
            notes.push(format!("Tone {} can't be told: {doubt}", tone.tone));
        }
    }
    if held.bites.bitten + 1 < pulled.tones.len() {
        notes.push("Not all bites are in the log: for the others the planned times are taken for those it was bitten by.".to_owned());
    }
    if held.bites.strip_kind != StripKind::Measured {
        notes.push("The plan rests on the example strip, which is not your bath: what differs may be no more than that.".to_owned());
    }
    notes.push(format!(
        "Tones are read {} mm and more inside their edges, as the median of square millimetres. A phone bends its tones by itself and stray light lifts the darks: a flat scan without automatic correction does neither.",
        SHRUNK.0
    ));
    pulled.notes = notes;
}
