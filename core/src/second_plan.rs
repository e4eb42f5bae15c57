//! Repair after the proof: where to burnish, where to lay a new grain, and a whole second plan for that.
//!
//! What counts is what is on the metal: of the proof's reading the film of its wiping and the strength of its ink are taken off first
//! ([`Split::on_the_metal`](crate::pulled::Split::on_the_metal)), for nobody burnishes a badly wiped plate. The light is evened within each tone,
//! over a millimetre or two, so that grain is none of it; what then differs from the tone's target by more than a tolerance is too dark, to
//! be scraped and burnished, or too light: a new grain over it, everything else stopped out, and bitten again.
//!
//! # How dark the second grain must be
//! The second grain lies independently of the first: of the lands that the first left, a share stays that the second leaves too (Demichel's product,
//! as for two plates). With lands and pits mixed by Yule and Nielsen, `g(Y) = (Y^(1/n) − Y_ink^(1/n)) / (Y_paper^(1/n) − Y_ink^(1/n))` is the
//! share of lands that a tone acts as if it had, and the second bite must print, on bare metal, at `g = g_target / g_there`. That is a picture, not
//! a promise: bite short, proof again.

use crate::bites::{self, BiteError, BitePlan};
use crate::curve::BiteCurve;
use crate::frozen::{DARKER, LIGHTER, NO_WISH, Wishes};
use crate::light::{Lightness, Reflectance};
use crate::outline::Outlines;
use crate::pace::HandSpeed;
use crate::plane::Plane;
use crate::pulled::{NO_TONE, Pulled, Split};
use crate::regions::{Mark, tidied};
use crate::sheets::{Kind, Repair, SheetSettings};
use crate::stopouts::StopOuts;
use crate::strip::TestStrip;
use crate::tones::{Histogram, StepMap, Targets, TargetsError, ToneCount, ToneCountError, fitted};
use crate::units::PxPerMm;
use std::fmt;

mod shown;

/// What is to be repaired.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RepairAsked {
    /// How far a place may be off its target, L*, 1 to 30.
    pub tolerance: f64,
    /// The smallest piece worth it: a disc of this diameter.
    pub mark: Mark,
    /// Tones of the second plan, the one that is never bitten again counted: 2 to 6.
    pub tones: usize,
    /// Whether what wiping and ink explain is taken off first.
    pub metal_alone: bool,
}

impl Default for RepairAsked {
    /// 4 L*, a little more than one reading's doubt; the usual mark, two bites. Estimates.
    fn default() -> Self {
        Self { tolerance: 4.0, mark: Mark::default(), tones: 3, metal_alone: true }
    }
}

/// Tolerances and counts of tones that can be asked for.
pub const TOLERANCES: (f64, f64) = (1.0, 30.0);
/// See above.
pub const TONES: (usize, usize) = (2, 6);

/// What can't be repaired, or asked.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum RepairError {
    /// The proof was not read.
    Unread,
    /// No such tolerance.
    Tolerance(f64),
    /// No such count of tones.
    Tones(usize),
    /// The strip does not serve.
    Strip(BiteError),
    /// Its range does not.
    Range(TargetsError),
    /// A count that can't be.
    Count(ToneCountError),
}

impl fmt::Display for RepairError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unread => write!(f, "There is no reading of a proof to repair by: read one first."),
            Self::Tolerance(l) => {
                write!(
                    f,
                    "A tolerance of {} to {} L* was expected, {l} came: 4 is a little more than a reading's doubt.",
                    TOLERANCES.0, TOLERANCES.1
                )
            }
            Self::Tones(n) => write!(
                f,
                "The second plan has {} to {} tones, the one that is not bitten again counted; {n} came: 3 take two bites.",
                TONES.0, TONES.1
            ),
            Self::Strip(error) => error.fmt(f),
            Self::Range(error) => error.fmt(f),
            Self::Count(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for RepairError {}

impl From<BiteError> for RepairError {
    fn from(error: BiteError) -> Self {
        Self::Strip(error)
    }
}
impl From<TargetsError> for RepairError {
    fn from(error: TargetsError) -> Self {
        Self::Range(error)
    }
}
impl From<ToneCountError> for RepairError {
    fn from(error: ToneCountError) -> Self {
        Self::Count(error)
    }
}

/// What is off, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct OffTarget {
    /// L* on the metal less the target's, evened within each tone; NaN where nothing is told. Print view.
    pub off: Plane<f32>,
    /// [`LIGHTER`]: to be burnished; [`DARKER`]: to be grained and bitten again; [`NO_WISH`]. Print view.
    pub map: Plane<u8>,
    /// The pieces of it.
    pub wishes: Wishes,
    /// Share of the face that nothing is told of.
    pub untold_share: f64,
    /// What the printer should know before the metal is touched, a sentence each.
    pub notes: Vec<String>,
    /// Raster of all.
    pub resolution: PxPerMm,
}

/// The second plan: everything else is stopped out.
#[derive(Clone, Debug)]
pub struct SecondPlan {
    /// Its stop-outs; tone 0 is all that is not bitten again.
    pub stop_outs: StopOuts,
    /// Their outlines.
    pub outlines: Outlines,
    /// Its bites, by the strip chosen.
    pub bites: BitePlan,
    /// L* each of its tones would print at on bare metal, tone 0 the paper.
    pub targets: Targets,
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
}

/// How far the light is evened within a tone, mm: a Gaussian's standard deviation. Estimate.
const EVENED: f64 = 0.8;
/// Nearer to another tone than this, mm, the photograph shows the edge, not the tone.
const EDGE: f32 = 0.5;
/// A second bite lighter than this, L* below the paper, is none.
const LEAST_BITE: f64 = 1.0;
/// Second tones nearer than this, L*, are one.
const APART: f64 = 2.0;

/// Finds what is off target.
///
/// # Errors
/// Where the proof was not read, or the tolerance can't be.
pub fn off_target(pulled: &Pulled, asked: &RepairAsked) -> Result<OffTarget, RepairError> {
    if pulled.blind.is_some() || pulled.tones.is_empty() {
        return Err(RepairError::Unread);
    }
    if !(TOLERANCES.0..=TOLERANCES.1).contains(&asked.tolerance) {
        return Err(RepairError::Tolerance(asked.tolerance));
    }
    let evened = evened(pulled);
    let zones = &pulled.zones;
    let (w, h) = (zones.width(), zones.height());
    let metal = |l: Lightness| match &pulled.split {
        Some(split) if asked.metal_alone => split.on_the_metal(l),
        _ => l,
    };
    let off = Plane::from_fn(w, h, |x, y| {
        let (zone, light) = (zones.at(x, y), evened.at(x, y));
        if zone == NO_TONE || light.is_nan() {
            return f32::NAN;
        }
        let there = metal(Reflectance(f64::from(light).clamp(1e-4, 1.0)).lightness());
        (there.0 - pulled.tones[usize::from(zone)].target.0) as f32
    });
    let most = asked.tolerance as f32;
    // Left as it is, to be burnished, to be grained: cleaned like any map, so that every piece holds the mark.
    let rough = off.map(|&d| if d < -most { 1 } else { u8::from(d > most) * 2 });
    let map = tidied(&StepMap::new(ToneCount::new(3)?, rough), asked.mark, pulled.resolution);
    let map = map.plane().map(|&v| match v {
        1 => LIGHTER,
        2 => DARKER,
        _ => NO_WISH,
    });
    // Nothing is done where nothing is told.
    let mut i = 0;
    let map = map.map(|&v| {
        i += 1;
        if off.data()[i - 1].is_nan() { NO_WISH } else { v }
    });
    let untold = off.data().iter().filter(|v| v.is_nan()).count();
    let wishes = Wishes::of(&map, pulled.resolution);
    let notes = if asked.metal_alone { pulled.split.iter().flat_map(Split::metal_words).collect() } else { Vec::new() };
    Ok(OffTarget { untold_share: untold as f64 / (w * h) as f64, notes, off, map, wishes, resolution: pulled.resolution })
}

impl OffTarget {
    /// The same as the repair list takes it.
    #[must_use]
    pub fn repair(&self) -> Repair {
        Repair { map: self.map.clone(), wishes: self.wishes.clone() }
    }

    /// How far the pieces of a kind are off in the mean, and what nineteen in twenty of their pixels stay under, L*; none where there is no such
    /// piece. Beside a hand's edge a few are off by as much as the tones differ.
    #[must_use]
    pub fn how_far(&self, kind: u8) -> Option<(f64, f64)> {
        let both = self.map.data().iter().zip(self.off.data());
        let mut offs: Vec<f32> = both.filter(|(is, off)| **is == kind && !off.is_nan()).map(|(_, off)| off.abs()).collect();
        offs.sort_by(f32::total_cmp);
        let most = *offs.get(offs.len().saturating_sub(1) * 19 / 20)?;
        Some((offs.iter().map(|&v| f64::from(v)).sum::<f64>() / offs.len() as f64, f64::from(most)))
    }
}

/// The light evened within each tone, from what lies off its edges; a place with nothing near takes its tone's reading.
fn evened(pulled: &Pulled) -> Plane<f32> {
    let zones = &pulled.zones;
    let (w, h) = (zones.width(), zones.height());
    let radius = libm::round(EVENED * pulled.resolution.0).max(1.0) as usize;
    let mut out = Plane::filled(w, h, f32::NAN);
    for tone in &pulled.tones {
        let of = |i: usize| usize::from(zones.data()[i]) == tone.tone;
        // Rows and columns that the tone reaches, and all that three means of it reach.
        let Some([left, top, right, foot]) = within(zones, tone.tone, 3 * radius) else { continue };
        let (wide, tall) = (right - left, foot - top);
        let places = || (top..foot).flat_map(move |y| (left..right).map(move |x| y * w + x));
        let counts = |i: usize| of(i) && pulled.depth.data()[i] >= EDGE && !pulled.light.data()[i].is_nan();
        let mut weight: Vec<f32> = places().map(|i| if counts(i) { 1.0 } else { 0.0 }).collect();
        let mut sum: Vec<f32> = places().map(|i| if counts(i) { pulled.light.data()[i] } else { 0.0 }).collect();
        // Three means over boxes are a Gaussian nearly enough; both are blurred alike.
        for _ in 0..3 {
            boxed(&mut weight, (wide, tall), radius);
            boxed(&mut sum, (wide, tall), radius);
        }
        let fallback = tone.read.map_or(f32::NAN, |l| l.reflectance().0 as f32);
        for (i, (weight, sum)) in places().zip(weight.iter().zip(&sum)).filter(|(i, _)| of(*i)) {
            out.data_mut()[i] = if *weight > 0.02 { sum / weight } else { fallback };
        }
    }
    out
}

/// Left, top, and the first column and row past a tone's last, with a margin as far as the map goes; none where there is no such tone.
fn within(zones: &Plane<u8>, tone: usize, margin: usize) -> Option<[usize; 4]> {
    let (w, h) = (zones.width(), zones.height());
    let (mut across, mut down) = ((w, 0), (h, 0));
    for (y, row) in zones.rows().enumerate() {
        let is = |zone: &u8| usize::from(*zone) == tone;
        let (Some(first), Some(last)) = (row.iter().position(is), row.iter().rposition(is)) else { continue };
        across = (across.0.min(first), across.1.max(last + 1));
        down = (down.0.min(y), y + 1);
    }
    let grown = |(from, to): (usize, usize), side: usize| [from.saturating_sub(margin), (to + margin).min(side)];
    let ([left, right], [top, foot]) = (grown(across, w), grown(down, h));
    (across.1 > 0).then_some([left, top, right, foot])
}

/// The mean over a square of so many pixels to either side, nothing beyond the border.
fn boxed(data: &mut [f32], (w, h): (usize, usize), radius: usize) {
    let side = (2 * radius + 1) as f64;
    let mut out = vec![0.0f32; w];
    for row in data.chunks_exact_mut(w) {
        let mut sum: f64 = row[..radius.min(w)].iter().map(|&v| f64::from(v)).sum();
        for i in 0..w {
            if i + radius < w {
                sum += f64::from(row[i + radius]);
            }
            if i > radius {
                sum -= f64::from(row[i - radius - 1]);
            }
            out[i] = (sum.max(0.0) / side) as f32;
        }
        row.copy_from_slice(&out);
    }
    // Down all columns at once, row by row as they lie in memory.
    let from = data.to_vec();
    let row = |y: usize| &from[y * w..(y + 1) * w];
    let mut sums = vec![0.0f64; w];
    let add = |y: usize, sign: f64, sums: &mut [f64]| sums.iter_mut().zip(row(y)).for_each(|(sum, &v)| *sum += sign * f64::from(v));
    (0..radius.min(h)).for_each(|y| add(y, 1.0, &mut sums));
    for (y, line) in data.chunks_exact_mut(w).enumerate() {
        if y + radius < h {
            add(y + radius, 1.0, &mut sums);
        }
        if y > radius {
            add(y - radius - 1, -1.0, &mut sums);
        }
        line.iter_mut().zip(&sums).for_each(|(v, sum)| *v = (sum.max(0.0) / side) as f32);
    }
}

/// Yule and Nielsen's n (usual values are 1.6 to 2), and the lightness of a full pit, unless the strip is darker. Estimates.
const YULE_NIELSEN: f64 = 1.8;
const FULL: Lightness = Lightness(16.0);

/// The share of lands that a tone acts as if it had.
struct Lands {
    n: f64,
    paper: f64,
    ink: f64,
}

impl Lands {
    fn of(curve: &BiteCurve) -> Self {
        let n = YULE_NIELSEN;
        let darkest = curve.darkest().reflectance().0.min(FULL.reflectance().0) * 0.98;
        let root = |y: f64| libm::pow(y.max(0.0), 1.0 / n);
        Self { n, paper: root(curve.paper().reflectance().0), ink: root(darkest) }
    }

    fn share(&self, l: Lightness) -> f64 {
        ((libm::pow(l.reflectance().0.max(0.0), 1.0 / self.n) - self.ink) / (self.paper - self.ink)).clamp(0.0, 1.0)
    }

    fn lightness(&self, share: f64) -> Lightness {
        let root = self.ink + share.clamp(0.0, 1.0) * (self.paper - self.ink);
        Reflectance(libm::pow(root, self.n)).lightness()
    }
}

/// What a second grain must print at on bare metal, for a place that prints at `there` to come to `target`: both as they are on the metal.
#[must_use]
pub fn second_tone(there: Lightness, target: Lightness, curve: &BiteCurve) -> Lightness {
    let lands = Lands::of(curve);
    let had = lands.share(there);
    lands.lightness(if had > 1e-9 { (lands.share(target) / had).min(1.0) } else { 1.0 })
}

/// The second plan, for what is too light; `None` where nothing is.
///
/// # Errors
/// A count of tones that can't be, and what the strip refuses.
pub fn second_plan(
    off: &OffTarget,
    pulled: &Pulled,
    asked: &RepairAsked,
    (strip, curve): (&TestStrip, &BiteCurve),
    speed: HandSpeed,
) -> Result<Option<SecondPlan>, RepairError> {
    if !(TONES.0..=TONES.1).contains(&asked.tones) {
        return Err(RepairError::Tones(asked.tones));
    }
    let mut notes = Vec::new();
    let paper = curve.paper();
    let reach = curve.reach();
    let (mut short, mut all) = (0usize, 0usize);
    // What each place still wants, on bare metal; none where it is left alone.
    let wants: Vec<Option<f32>> = (0..off.map.data().len())
        .map(|i| {
            if off.map.data()[i] != DARKER {
                return None;
            }
            let target = pulled.tones.get(usize::from(pulled.zones.data()[i]))?.target;
            let there = Lightness((target.0 + f64::from(off.off.data()[i])).min(paper.0));
            let wanted = second_tone(there, target, curve);
            all += 1;
            short += usize::from(wanted < reach);
            Some(wanted.0.max(reach.0) as f32)
        })
        .collect();
    let some = || wants.iter().flatten().copied().filter(|&l| f64::from(l) <= paper.0 - LEAST_BITE);
    if some().next().is_none() {
        return Ok(None);
    }
    let histogram = Histogram::of(some());
    let wanted = asked.tones - 1;
    let breaks = if wanted >= 2 { fitted(&histogram).ok().and_then(|all| all.get(wanted - 2).cloned()) } else { None };
    // Means of the classes, in light, lightest first.
    let mut sums = vec![(0.0f64, 0usize); wanted];
    let table = breaks.as_ref().map(crate::tones::Breaks::table);
    let class_of = |l: f32| table.as_ref().map_or(0, |table| usize::from(table.tone(l)));
    for l in some() {
        let sum = &mut sums[class_of(l).min(wanted - 1)];
        *sum = (sum.0 + Lightness(f64::from(l)).reflectance().0, sum.1 + 1);
    }
    // Classes that would print alike are one.
    let mut levels: Vec<Lightness> = vec![paper];
    let mut of_class = vec![0u8; wanted];
    for (k, &(sum, count)) in sums.iter().enumerate() {
        if count > 0 {
            let mean = Reflectance(sum / count as f64).lightness();
            let mean = if mean.0 < reach.0 { reach } else { mean };
            let before = levels[levels.len() - 1];
            if levels.len() == 1 || before.0 - mean.0 >= APART {
                levels.push(mean);
            }
        }
        of_class[k] = (levels.len() - 1) as u8;
    }
    if levels.len() < asked.tones {
        notes.push(format!(
            "{} second tones are far enough apart to be worth a bite of their own; {} were asked for.",
            levels.len() - 1,
            wanted
        ));
    }
    if short > 0 {
        notes.push(format!(
            "{:.0} % of what is too light would need a darker bite than the strip reaches: it gets the darkest there is, and stays too light.",
            100.0 * short as f64 / all.max(1) as f64
        ));
    }
    let count = ToneCount::new(levels.len() as i64)?;
    let (w, h) = (off.map.width(), off.map.height());
    let rough = Plane::from_fn(w, h, |x, y| match wants[y * w + x] {
        Some(l) if f64::from(l) <= paper.0 - LEAST_BITE => of_class[class_of(l).min(wanted - 1)],
        _ => 0,
    });
    let mut tidy = tidied(&StepMap::new(count, rough), asked.mark, off.resolution).plane().clone();
    // Filled gaps must not bite what is worked by hand, under a resist, or was not told: a stray edge is better than metal that is gone.
    for (tone, want) in tidy.data_mut().iter_mut().zip(&wants) {
        if want.is_none() {
            *tone = 0;
        }
    }
    let map = StepMap::new(count, tidy);
    let outlines = Outlines::of(map.plane(), off.resolution);
    let stop_outs = StopOuts::of(map, &outlines, off.resolution, speed);
    let targets = Targets::falling_from(levels)?;
    let bites = bites::plan(&targets, curve, strip)?.ranged(curve, curve.replicates());
    notes.push(
        "The second grain is taken to lie independently of the first, and the old pits to stay open: a picture, not a promise. Bite it short, proof, bite on."
            .to_owned(),
    );
    notes.push(
        "Degrease, lay and fix the new grain over the places named, stop out everything else with stop-out 1, then follow the run sheet."
            .to_owned(),
    );
    Ok(Some(SecondPlan { stop_outs, outlines, bites, targets, notes }))
}

/// The sheets of a repair: title and kinds set, the rest as given.
#[must_use]
pub fn sheet_settings(given: SheetSettings, off: &OffTarget, second: bool) -> SheetSettings {
    let title = if given.title.is_empty() { "REPAIR".to_owned() } else { format!("REPAIR: {}", given.title) };
    let kinds = if second { vec![Kind::Key, Kind::StopOuts, Kind::Run, Kind::Repair] } else { vec![Kind::Repair] };
    SheetSettings { title, kinds, repair: Some(off.repair()), ..given }
}

#[cfg(test)]
mod tests;
