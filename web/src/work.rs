//! `Work`, the one exported class. One worker owns one `Work`; see `types.d.ts` for what goes in and comes out.

use crate::clock::Laps;
use crate::desk::{Desk, Joins, Plan, StandingFacts, typed};
use crate::error::Refusal;
use crate::others::Others;
use js_sys::{Array, Error, Function, Object, Reflect, Uint8Array, Uint8ClampedArray};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use stepbite_core::archive::zipped;
use stepbite_core::bites::{BitePlan, ToneTime};
use stepbite_core::curve::CurveKind;
use stepbite_core::light::Lightness;
use stepbite_core::pace::HandSpeed;
use stepbite_core::picture::Rgba;
use stepbite_core::plane::Plane;
use stepbite_core::project::Fingerprint;
use stepbite_core::report::{PlanReport, ToneReport};
use stepbite_core::strip::StripKind;
use stepbite_core::strip::{After, Reading};
use stepbite_core::units::Seconds;
use wasm_bindgen::prelude::*;

mod bath;
mod project;
mod pulled;
mod rows;

use bath::{PageBath, page_bath};

/// The drawing at hand and the last result of each stage.
#[wasm_bindgen]
pub struct Work {
    inner: Desk,
    name: String,
    /// A file that is coming in parts.
    file: Vec<u8>,
    /// A drawing that is gone through for its project file.
    gone_through: Fingerprint,
    /// Other plates' files for the same project file.
    others: Others,
}

#[derive(Serialize)]
struct DrawingInfo<'a> {
    name: &'a str,
    format: &'a str,
    width: usize,
    height: usize,
    bits: u8,
    orientation: u8,
    px_per_mm: Option<f64>,
    notes: &'a [String],
}

#[derive(Serialize)]
struct PageTone {
    #[serde(flatten)]
    tone: ToneReport,
    shown_total_s: f64,
    colour: String,
    effective_s: f64,
    rounding_l: f64,
    short: bool,
}

#[derive(Serialize)]
struct SheetFacts<'a> {
    pages: usize,
    fits: bool,
    notes: &'a [String],
    contents: &'a str,
    bars: Option<&'a str>,
    entries: Vec<SheetEntry<'a>>,
}

/// A question about the proof.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OfProof {
    proof: crate::settings::ProofSettings,
}

/// Bytes that a file is handed over by.
const PIECE: usize = 1 << 20;

/// Two plates of the proof.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OfPair {
    proof: crate::settings::ProofSettings,
    first: usize,
    second: usize,
}

/// A page to be looked at.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SheetPreviewSpec {
    sheets: crate::settings::SheetChoice,
    index: usize,
}

#[derive(Serialize)]
struct SheetPreview {
    from: usize,
    pages: Vec<String>,
}

#[derive(Serialize)]
struct SheetEntry<'a> {
    kind: stepbite_core::sheets::Kind,
    name: &'a str,
    group: usize,
    view: Option<&'a str>,
}

#[derive(Serialize)]
struct Raster {
    width: usize,
    height: usize,
}

#[derive(Serialize)]
struct EndsL {
    paper: f64,
    black: f64,
}

/// `plan.json` and a little more; the report's own tones are replaced by richer ones of the same name.
#[derive(Serialize)]
struct PagePlan {
    #[serde(flatten)]
    report: PlanReport,
    raster: Raster,
    ends: EndsL,
    strip_readings: Vec<(f64, f64)>,
    strip_bands: Vec<PageStripBand>,
    curve: Vec<(f64, f64)>,
    curve_kind: CurveKind,
    curve_limit_s: f64,
    verdict: Vec<String>,
    changed_share: f64,
    unpaintable_share: f64,
    narrow_share: f64,
    resist_share: f64,
    by_hand_share: f64,
    regions: usize,
    paint_min: f64,
    detail_px_per_mm: f64,
    placed: crate::placing::Placed,
    photo: Option<crate::placing::PhotoFacts>,
    pace: Option<Pace>,
    bath: PageBath,
    standing: StandingFacts,
    joins: Joins,
    stage_ms: BTreeMap<&'static str, f64>,
}

const TOO_LARGE_A_FILE: &str = "The file does not fit the memory a page is given: save the drawing smaller, or with compression.";

/// The printer's own pace.
#[derive(Serialize)]
struct Pace {
    factor: f64,
    from: Vec<usize>,
    speed: HandSpeed,
}

/// Points of the curve for the page's chart.
const CURVE_POINTS: usize = 97;

#[wasm_bindgen]
impl Work {
    /// An empty desk.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        console_error_panic_hook::set_once();
        Self {
            inner: Desk::default(),
            name: String::new(),
            file: Vec::new(),
            gone_through: Fingerprint::default(),
            others: Others::default(),
        }
    }

    /// Makes room for a picture file of so many bytes, which then comes in parts; one that came before and was not opened is dropped.
    pub fn expect(&mut self, length: f64) -> Result<(), Error> {
        self.file = Vec::new();
        self.file.try_reserve_exact(length as usize).map_err(|_| error(Refusal::new("drawing", TOO_LARGE_A_FILE)))
    }

    /// The next part of the file.
    pub fn part(&mut self, bytes: &[u8]) {
        self.file.extend_from_slice(bytes);
    }

    /// Reads the picture file that came in parts.
    pub fn open(&mut self, name: &str) -> Result<JsValue, Error> {
        let file = std::mem::take(&mut self.file);
        let drawing = self.inner.open(&file).map_err(error)?;
        let info = drawing.info();
        let found = DrawingInfo {
            name,
            format: info.format,
            width: drawing.luminance().width(),
            height: drawing.luminance().height(),
            bits: info.bits,
            orientation: info.orientation,
            px_per_mm: info.density.map(|d| d.0),
            notes: &info.notes,
        };
        self.name = name.to_owned();
        to_js(&found)
    }

    /// Brings the plan up to date.
    pub fn plan(&mut self, settings: JsValue, progress: &Function) -> Result<JsValue, Error> {
        let settings = from_js(settings)?;
        let mut laps = Laps::start(now);
        self.inner.update(settings, &mut laps, &mut told(progress)).map_err(error)?;
        let plan = self.inner.plan().map_err(error)?;
        let page = page_plan(plan, self.report(plan), &laps);
        let value = to_js(&page)?;
        let tones: Vec<PageTone> =
            page.report.tones.iter().zip(&plan.bites().tones).map(|(tone, time)| page_tone(tone, time, plan.bites())).collect();
        Reflect::set(&value, &"tones".into(), &to_js(&tones)?).map_err(Error::from)?;
        Ok(value)
    }

    /// A picture: `{width, height, rgba, ms}`.
    pub fn picture(&self, spec: JsValue, progress: &Function) -> Result<JsValue, Error> {
        let spec = from_js(spec)?;
        let begun = now();
        let shown = self.inner.picture(&spec, &mut told(progress)).map_err(error)?;
        picture_object(&shown, now() - begun)
    }

    /// How far proof and drawing lie apart, in figures.
    pub fn difference(&self, spec: JsValue) -> Result<JsValue, Error> {
        let OfProof { proof } = from_js(spec)?;
        to_js(&self.inner.difference(&proof).map_err(error)?)
    }

    /// What the strip tells of the metal.
    pub fn relief(&self, choice: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.relief(&from_js(choice)?).map_err(error)?)
    }

    /// What there is to say of inks, zones and register.
    pub fn ink_facts(&self, spec: JsValue) -> Result<JsValue, Error> {
        let OfProof { proof } = from_js(spec)?;
        to_js(&self.inner.ink_facts(&proof).map_err(error)?)
    }

    /// How the patches of each ink are printed by the plan at hand.
    pub fn ink_prints(&self, spec: JsValue) -> Result<JsValue, Error> {
        let OfProof { proof } = from_js(spec)?;
        to_js(&self.inner.ink_prints(&proof).map_err(error)?)
    }

    /// What is said of a record of pulls.
    pub fn record_facts(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.record_facts(&from_js(spec)?).map_err(error)?)
    }

    /// What there is to say of papers under the ink.
    pub fn papers(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.papers(&from_js(spec)?).map_err(error)?)
    }

    /// Pieces of paper off the regions of some tones.
    pub fn papers_taken(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.papers_taken(&from_js(spec)?).map_err(error)?)
    }

    /// Colours of two plates' tones over one another.
    pub fn pairs(&self, spec: JsValue) -> Result<JsValue, Error> {
        let OfPair { proof, first, second } = from_js(spec)?;
        to_js(&self.inner.pairs(&proof, first, second).map_err(error)?)
    }

    /// The corners of a photographed sheet: `{corners, proportion}`.
    pub fn find_corners(&self) -> Result<JsValue, Error> {
        to_js(&self.inner.find_corners().map_err(error)?)
    }

    /// Reads the picture of a strip that came in parts: `{width, height, notes}`.
    pub fn strip_photo_open(&mut self) -> Result<JsValue, Error> {
        let file = std::mem::take(&mut self.file);
        to_js(&self.inner.strip_photo_open(&file).map_err(error)?)
    }

    /// The strip's picture, or a part of it: `{width, height, rgba, ms}`.
    pub fn strip_photo_picture(&self, spec: JsValue) -> Result<JsValue, Error> {
        let spec = from_js(spec)?;
        let begun = now();
        let shown = self.inner.strip_photo_picture(&spec).map_err(error)?;
        picture_object(&shown, now() - begun)
    }

    /// The bands of the strip.
    pub fn strip_photo_read(&self, choice: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.strip_photo_read(&from_js(choice)?).map_err(error)?)
    }

    /// The islands of one stop-out, the smallest first.
    pub fn islands(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.islands(&from_js(spec)?).map_err(error)?)
    }

    /// What a typed strip may mean.
    pub fn strip_typed(&self, choice: JsValue) -> Result<JsValue, Error> {
        to_js(&typed::facts(&from_js(choice)?).map_err(error)?)
    }

    /// A pasted strip cut into rows.
    pub fn strip_pasted(&self, choice: JsValue) -> Result<JsValue, Error> {
        to_js(&typed::cut(&from_js(choice)?).map_err(error)?)
    }

    /// What a brush can't do here.
    pub fn limits(&mut self) -> Result<JsValue, Error> {
        to_js(&self.inner.limits().map_err(error)?)
    }

    /// What clean-up changed, piece by piece.
    pub fn removed(&self) -> Result<JsValue, Error> {
        to_js(&self.inner.removed().map_err(error)?)
    }

    /// What a count of tones is worth, beside one tone fewer.
    pub fn worth(&mut self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.worth(from_js(spec)?).map_err(error)?)
    }

    /// A small picture of the print at a count of tones.
    pub fn worth_picture(&mut self, spec: JsValue) -> Result<JsValue, Error> {
        let spec = from_js(spec)?;
        let begun = now();
        let shown = self.inner.worth_picture(spec).map_err(error)?;
        picture_object(&shown, now() - begun)
    }

    /// The sheets as PDF.
    pub fn sheets(&self, choice: JsValue, progress: &Function) -> Result<Uint8Array, Error> {
        let sheets = self.inner.sheets(&from_js(choice)?, &mut told(progress)).map_err(error)?;
        Ok(Uint8Array::from(stepbite_core::pdf::pdf(&sheets).as_slice()))
    }

    /// The sheet of the strip to bite, as PDF.
    pub fn strip_sheet(&self, choice: JsValue) -> Result<Uint8Array, Error> {
        let sheets = self.inner.strip_sheet(&from_js(choice)?).map_err(error)?;
        Ok(Uint8Array::from(stepbite_core::pdf::pdf(&sheets).as_slice()))
    }

    /// A page and those that are drawn with it, as SVG.
    pub fn sheet_preview(&self, spec: JsValue) -> Result<JsValue, Error> {
        let SheetPreviewSpec { sheets, index } = from_js(spec)?;
        let (from, pages) = self.inner.sheets_around(&sheets, index).map_err(error)?;
        to_js(&SheetPreview { from, pages: pages.iter().map(stepbite_core::sheet_svg::sheet_svg).collect() })
    }

    /// Which sheets there are, and what the printer should know about them.
    pub fn sheet_facts(&self, choice: JsValue) -> Result<JsValue, Error> {
        let facts = self.inner.sheet_facts(&from_js(choice)?).map_err(error)?;
        let entries = facts.entries.iter().map(|entry| SheetEntry {
            kind: entry.kind,
            name: &entry.name,
            group: entry.group,
            view: entry.view.as_deref(),
        });
        to_js(&SheetFacts {
            pages: facts.entries.len(),
            fits: facts.fits,
            notes: &facts.notes,
            contents: &facts.contents,
            bars: facts.bars.as_deref(),
            entries: entries.collect(),
        })
    }

    /// A PNG at the face's own resolution.
    pub fn png(&self, spec: JsValue) -> Result<Uint8Array, Error> {
        let file = self.inner.png(&from_js(spec)?).map_err(error)?;
        Ok(Uint8Array::from(file.as_slice()))
    }

    /// The print as a PNG, in pieces to be joined.
    pub fn proof_png(&self, spec: JsValue, progress: &Function) -> Result<Array, Error> {
        let spec: crate::settings::PrintSpec = from_js(spec)?;
        let (pieces, mut held) = (Array::new(), Vec::with_capacity(PIECE));
        let mut sink = |bytes: &[u8]| {
            held.extend_from_slice(bytes);
            if held.len() >= PIECE {
                pieces.push(&Uint8Array::from(held.as_slice()));
                held.clear();
            }
        };
        self.inner.proof_png(&spec, &mut sink, &mut told(progress)).map_err(error)?;
        pieces.push(&Uint8Array::from(held.as_slice()));
        Ok(pieces)
    }

    /// Step map and masks in one ZIP.
    pub fn masks(&self) -> Result<Uint8Array, Error> {
        let files = self.inner.masks().map_err(error)?;
        let archive = zipped(&files).map_err(|failed| error(failed.into()))?;
        Ok(Uint8Array::from(archive.as_slice()))
    }

    /// Sheets, outlines, masks, tables and a description in one ZIP.
    pub fn everything(&self, choice: JsValue, progress: &Function) -> Result<Uint8Array, Error> {
        let files = self.inner.everything(&from_js(choice)?, self.drawing_notes(), &mut told(progress)).map_err(error)?;
        let archive = zipped(&files).map_err(|failed| error(failed.into()))?;
        Ok(Uint8Array::from(archive.as_slice()))
    }

    /// Bytes of memory taken so far: WebAssembly never gives any back, so this is the peak.
    #[must_use]
    pub fn memory(&self) -> f64 {
        #[cfg(target_arch = "wasm32")]
        let pages = core::arch::wasm32::memory_size(0);
        #[cfg(not(target_arch = "wasm32"))]
        let pages = 0usize;
        (pages * 65_536) as f64
    }

    /// `plan.json`.
    pub fn plan_json(&self) -> Result<String, Error> {
        self.inner.plan_json(self.drawing_notes()).map_err(error)
    }

    fn report(&self, plan: &Plan) -> PlanReport {
        plan.report(self.drawing_notes())
    }

    fn drawing_notes(&self) -> &[String] {
        self.inner.drawing().map_or(&[], |drawing| &drawing.info().notes)
    }
}

fn page_plan(plan: &Plan, report: PlanReport, laps: &Laps) -> PagePlan {
    let map = plan.stopouts().map().plane();
    let found = plan.found();
    // Without a strip nobody's times and readings go over.
    let known = plan.strip().kind() != StripKind::Missing;
    let pair = |(time, lightness): (Seconds, Lightness)| (time.0, lightness.0);
    let mut stage_ms = BTreeMap::new();
    for &(stage, ms) in laps.laps() {
        *stage_ms.entry(stage).or_insert(0.0) += ms;
    }
    PagePlan {
        raster: Raster { width: map.width(), height: map.height() },
        ends: EndsL { paper: plan.ends().paper.0, black: plan.ends().black.0 },
        strip_readings: plan.strip().readings().iter().filter(|_| known).map(|r| (r.total.0, r.lightness.0)).collect(),
        curve: plan.curve().samples(CURVE_POINTS).into_iter().filter(|_| known).map(pair).collect(),
        strip_bands: if known { bands(plan) } else { Vec::new() },
        curve_kind: plan.curve().kind(),
        curve_limit_s: if known { plan.curve().limit().0 } else { f64::NAN },
        verdict: if known { plan.bites().remarks.clone() } else { Vec::new() },
        changed_share: found.changed_share,
        unpaintable_share: found.unpaintable_share,
        narrow_share: plan.by_hand().narrow_share,
        resist_share: plan.by_hand().resist_share,
        by_hand_share: plan.by_hand().by_hand_share,
        regions: plan.stopouts().regions(),
        paint_min: report.stopouts.iter().map(|s| s.paint_min).sum(),
        detail_px_per_mm: plan.face().detail.0,
        placed: *plan.placed(),
        photo: plan.photo().cloned(),
        pace: plan.pace().map(|learned| Pace { factor: learned.factor, from: learned.from.clone(), speed: learned.speed }),
        bath: page_bath(plan.day(), plan.taken()),
        standing: plan.standing(),
        joins: plan.joins(),
        stage_ms,
        report,
    }
}

fn page_tone(tone: &ToneReport, time: &ToneTime, bites: &BitePlan) -> PageTone {
    // Without a strip the report's times are not a number, and neither are these.
    let known = !tone.total_s.is_nan();
    let seconds = |time: Seconds| if known { time.0 } else { f64::NAN };
    PageTone {
        tone: tone.clone(),
        shown_total_s: seconds(time.shown_total),
        colour: grey(time.target),
        effective_s: seconds(time.effective),
        rounding_l: time.rounding,
        short: known && bites.too_short(time),
    }
}

/// What prints at this lightness, as the page colours it.
fn grey(lightness: Lightness) -> String {
    let byte = lightness.reflectance().byte();
    format!("#{byte:02x}{byte:02x}{byte:02x}")
}

/// One band of the strip, for the chart and its table.
#[derive(Serialize)]
struct PageStripBand {
    /// Time that bites.
    effective_s: f64,
    colour: String,
    /// What the curve has there; none past its end.
    curve_l: Option<f64>,
    said: Option<&'static str>,
}

fn bands(plan: &Plan) -> Vec<PageStripBand> {
    let (curve, readings) = (plan.curve(), plan.strip().readings());
    let (verdict, practice) = (curve.verdict(), curve.practice());
    let same = |a: &Reading, b: &Reading| a.total == b.total;
    let said = |band: usize, reading: &Reading| match &verdict.after {
        _ if verdict.disagree.iter().any(|(a, b)| same(a, reading) || same(b, reading)) => Some("disagrees"),
        After::OverBitten { .. } if band >= verdict.usable => Some("over_bitten"),
        After::Reread { band } if same(band, reading) => Some("reread"),
        After::Flat { .. } | After::Reread { .. } if band >= verdict.usable => Some("flat"),
        _ => None,
    };
    let one = |(band, reading): (usize, &Reading)| {
        let bitten = reading.total.0 + practice.made.dips(band) as f64 * practice.handling.restart().0;
        let effective_s = bitten * curve.pace();
        PageStripBand {
            effective_s,
            colour: grey(reading.lightness),
            curve_l: (band < verdict.usable).then(|| curve.lightness_at(Seconds(effective_s)).0),
            said: said(band, reading),
        }
    };
    readings.iter().enumerate().map(one).collect()
}

fn picture_object(shown: &Plane<Rgba>, ms: f64) -> Result<JsValue, Error> {
    let rgba = Uint8ClampedArray::from(shown.data().as_flattened());
    let entries: [(&str, JsValue); 4] =
        [("width", (shown.width() as u32).into()), ("height", (shown.height() as u32).into()), ("rgba", rgba.into()), ("ms", ms.into())];
    let pairs: Array = entries.into_iter().map(|(name, value)| Array::of2(&name.into(), &value)).collect();
    Object::from_entries(&pairs).map(JsValue::from).map_err(Error::from)
}

fn told(progress: &Function) -> impl FnMut(&str, f32) {
    move |stage, share| {
        // A page that no longer listens is no reason to stop the work.
        let _ = progress.call2(&JsValue::NULL, &stage.into(), &share.into());
    }
}

fn now() -> f64 {
    let clock = Reflect::get(&js_sys::global(), &"performance".into()).ok().and_then(|p| p.dyn_into::<web_sys::Performance>().ok());
    clock.map_or(0.0, |clock| clock.now())
}

#[expect(clippy::needless_pass_by_value, reason = "`map_err` hands it over by value")]
fn error(refusal: Refusal) -> Error {
    let error = Error::new(&refusal.message);
    // Setting a property of a fresh error can't fail; without it the message still says everything.
    let _ = Reflect::set(&error, &"code".into(), &refusal.code.into());
    error
}

fn from_js<T: DeserializeOwned>(value: JsValue) -> Result<T, Error> {
    serde_wasm_bindgen::from_value(value)
        .map_err(|wrong| error(Refusal::new("settings", format!("The page sent settings the core does not know: {wrong}."))))
}

fn to_js(value: &impl Serialize) -> Result<JsValue, Error> {
    let plain = serde_wasm_bindgen::Serializer::json_compatible();
    value.serialize(&plain).map_err(|wrong| error(Refusal::new("settings", format!("The core's answer could not be passed on: {wrong}."))))
}
