//! What is asked of plates side by side.

use super::*;

#[wasm_bindgen]
impl Work {
    /// The joints of a row as it stands.
    pub fn rows_joints(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.rows_joints(&from_js(spec)?).map_err(error)?)
    }

    /// The best orders of these plates.
    pub fn rows_find(&self, spec: JsValue, progress: &Function) -> Result<JsValue, Error> {
        to_js(&self.inner.rows_find(&from_js(spec)?, &mut told(progress)).map_err(error)?)
    }

    /// What a picture drawn higher on its plate would win.
    pub fn row_raised(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.row_raised(&from_js(spec)?).map_err(error)?)
    }

    /// How the plates lie on the press bed.
    pub fn row_bed(&self, spec: JsValue) -> Result<JsValue, Error> {
        to_js(&self.inner.row_bed(&from_js(spec)?).map_err(error)?)
    }
}
