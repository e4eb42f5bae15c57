//! What is asked of a pulled proof: its photograph, the reading, the repair and its sheets.

use super::*;

#[wasm_bindgen]
impl Work {
    /// Reads the photograph of a proof that came in parts: `{width, height, notes}`.
    pub fn pulled_open(&mut self) -> Result<JsValue, Error> {
        let file = std::mem::take(&mut self.file);
        to_js(&self.inner.pulled_open(&file).map_err(error)?)
    }

    /// Reads the proof against the plan.
    pub fn pulled_read(&mut self, choice: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.pulled_read(&from_js(choice)?).map_err(error)?)
    }

    /// The photograph, the face as read, or what is to be repaired: `{width, height, rgba, ms}`.
    pub fn pulled_picture(&self, spec: JsValue) -> Result<JsValue, Error> {
        let spec = from_js(spec)?;
        let begun = now();
        let shown = self.inner.pulled_picture(&spec).map_err(error)?;
        picture_object(&shown, now() - begun)
    }

    /// Plans the repair.
    pub fn pulled_repair(&mut self, choice: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.pulled_repair(&from_js(choice)?).map_err(error)?)
    }

    /// The sheets of the repair, as PDF.
    pub fn pulled_sheets(&self, choice: JsValue) -> Result<Uint8Array, Error> {
        let sheets = self.inner.pulled_sheets(&from_js(choice)?).map_err(error)?;
        Ok(Uint8Array::from(stepbite_core::pdf::pdf(&sheets).as_slice()))
    }
}
