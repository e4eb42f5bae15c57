//! What is asked at the bath: the day, the log's map, a bite of another length, and the look over the painted plate.

use super::{Work, error, from_js, now, picture_object, to_js};
use crate::desk::{Day, Taken, Temperature};
use js_sys::{Array, Error, Object, Uint8Array};
use serde::Serialize;
use stepbite_core::bath::pairs::Judgement;
use stepbite_core::bath::temperature::Energies;
use stepbite_core::strip_plan::Band;
use wasm_bindgen::prelude::*;

/// The day at the bath.
#[derive(Serialize)]
pub(super) struct PageBath {
    /// Whether metal or mordant is named.
    named: bool,
    pair: Judgement,
    said: String,
    energies: Energies,
    temperature: Option<Temperature>,
    witness: Option<PageWitness>,
    /// What all times of the strip are multiplied by.
    factor: f64,
    depth_um: f64,
    taken: Option<Taken>,
    strip_plan: PageStripPlan,
    /// Without a strip: totals of the bites as multiples of the first.
    ratios: Option<Vec<f64>>,
}

#[derive(Serialize)]
struct PageWitness {
    ratio: f64,
    range: (f64, f64),
    strip_total_s: f64,
    unlikely: bool,
    said: String,
}

#[derive(Serialize)]
struct PageStripPlan {
    ratio: f64,
    paper_mm: f64,
    bands: Vec<PageBand>,
}

#[derive(Serialize)]
struct PageBand {
    #[serde(flatten)]
    band: Band,
    act: String,
}

#[wasm_bindgen]
impl Work {
    /// What a bite of another length does.
    pub fn what_if(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.what_if(from_js(spec)?).map_err(error)?)
    }

    /// The day plan of what is still to come.
    pub fn day_plan(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.day_plan(&from_js(spec)?).map_err(error)?)
    }

    /// The day of several plates.
    pub fn family_day(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.family_day(&from_js(spec)?).map_err(error)?)
    }

    /// The map as it is now, to be kept: `{id, png}`.
    pub fn freeze(&self) -> Result<JsValue, Error> {
        let kept = self.inner.freeze().map_err(error)?;
        let png = Uint8Array::from(kept.png.as_slice());
        let pairs: Array =
            [("id", kept.id.into()), ("png", png.into())].into_iter().map(|(k, v): (&str, JsValue)| Array::of2(&k.into(), &v)).collect();
        Object::from_entries(&pairs).map(JsValue::from).map_err(Error::from)
    }

    /// Reads a photograph of the painted plate that came in parts: `{width, height, notes}`.
    pub fn painted_open(&mut self, second: bool) -> Result<JsValue, Error> {
        let file = std::mem::take(&mut self.file);
        to_js(&self.inner.painted_open(&file, second).map_err(error)?)
    }

    /// Looks the painted plate over.
    pub fn painted_check(&mut self, choice: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.painted_check(&from_js(choice)?).map_err(error)?)
    }

    /// A photograph of the plate, or its face as it was looked over: `{width, height, rgba, ms}`.
    pub fn painted_picture(&self, spec: JsValue) -> Result<JsValue, Error> {
        let spec = from_js(spec)?;
        let begun = now();
        let shown = self.inner.painted_picture(&spec).map_err(error)?;
        picture_object(&shown, now() - begun)
    }
}

/// What the plan says of the day.
pub(super) fn page_bath(day: &Day, taken: Option<Taken>) -> PageBath {
    let strip = day.strip_plan();
    let witness = day.witness().map(|witness| PageWitness {
        ratio: witness.ratio,
        range: witness.range,
        strip_total_s: witness.strip_total.0,
        unlikely: witness.is_unlikely(),
        said: witness.sentence(),
    });
    PageBath {
        named: day.named(),
        pair: day.judged().clone(),
        said: day.judged().sentence(),
        energies: day.energies(),
        temperature: day.temperature().copied(),
        witness,
        factor: day.factor(),
        depth_um: day.depth_um(),
        taken,
        strip_plan: PageStripPlan {
            ratio: strip.ratio,
            paper_mm: strip.paper_mm.0,
            bands: strip.bands.iter().map(|band| PageBand { band: *band, act: strip.act(band) }).collect(),
        },
        ratios: day.ratios().map(<[f64]>::to_vec),
    }
}
