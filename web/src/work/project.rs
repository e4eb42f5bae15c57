//! The project file's calls. A drawing goes through in parts, and nothing of it is kept but its checksum.

use super::{Work, error, from_js, to_js, told};
use crate::error::Refusal;
use crate::project::checked;
use js_sys::{Array, Error, Function, Uint8Array};
use serde::Deserialize;
use stepbite_core::project::{Around, Bytes, Fingerprint, Opened, Project, around};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Work {
    /// Begins with a drawing that goes into a project file.
    pub fn project_begin(&mut self) {
        self.gone_through = Fingerprint::default();
    }

    /// Begins with a project file: other plates that were gone through for one that was not written are forgotten.
    pub fn project_anew(&mut self) {
        (self.gone_through, self.others) = Default::default();
    }

    /// The next part of that drawing; nothing of it is kept but its checksum.
    pub fn project_part(&mut self, bytes: &[u8]) {
        self.gone_through.take(bytes);
    }

    /// What was gone through was another plate's project file, the next of those that go into this one.
    pub fn project_plate(&mut self) {
        self.others.gone_through(std::mem::take(&mut self.gone_through));
    }

    /// The project file around what was gone through, the other plates' files first and then the drawing: what stands before the drawing, before each other
    /// plate's file, and after the last.
    #[expect(clippy::needless_pass_by_value, reason = "bytes that may be missing come by value")]
    pub fn project_write(&mut self, project: &str, kept: Option<Vec<u8>>) -> Result<Array, Error> {
        let (drawing, others) = (std::mem::take(&mut self.gone_through), self.others.taken());
        let project: Project = serde_json::from_str(project)
            .map_err(|wrong| error(Refusal::new("project", format!("The page sent work the core does not know: {wrong}."))))?;
        let (_, job) = checked(&project).map_err(error)?;
        let Around { parts, unpacked } = around(&project, &drawing, kept.as_deref(), &others).map_err(|failed| error(failed.into()))?;
        self.others.written(format!("plate {}", job.letter), unpacked);
        Ok(parts.iter().map(|bytes| Uint8Array::from(bytes.as_slice())).collect())
    }

    /// Reads the project file that came in parts: `[json, place of the drawing in it or nothing, the drawing unpacked or nothing, kept map or
    /// nothing]` of the plate, and then of each other plate of its family. The drawing at hand and its plan are not touched.
    pub fn project_read(&mut self) -> Result<Array, Error> {
        let file = std::mem::take(&mut self.file);
        let opened = stepbite_core::project::read(&file).map_err(|failed| error(failed.into()))?;
        std::iter::once(&opened).chain(&opened.family).map(read).collect()
    }

    /// What the drawing file that came in parts says of itself; the drawing at hand stays.
    pub fn kin_info(&mut self, name: &str) -> Result<JsValue, Error> {
        let file = std::mem::take(&mut self.file);
        let mut other = Self::new();
        other.file = file;
        other.open(name)
    }

    /// Plans the family's plate whose drawing came in parts.
    pub fn kin_plan(&mut self, of: JsValue, progress: &Function) -> Result<JsValue, Error> {
        let file = std::mem::take(&mut self.file);
        to_js(&self.inner.kin_plan(&file, from_js(of)?, &mut told(progress)).map_err(error)?)
    }

    /// Makes the plate of the project file that came in parts ready to print over the one at hand.
    pub fn plate_read(&mut self, progress: &Function) -> Result<JsValue, Error> {
        let file = std::mem::take(&mut self.file);
        to_js(&self.inner.plate_read(&file, &mut told(progress)).map_err(error)?)
    }

    /// The same of a plate that the page has kept.
    pub fn plate_bring(&mut self, plate: JsValue) -> Result<(), Error> {
        self.inner.plate_bring(&from_js(plate)?).map_err(error)
    }

    /// Puts a plate away.
    pub fn plate_drop(&mut self, plate: JsValue) -> Result<(), Error> {
        let plate: PlateId = from_js(plate)?;
        self.inner.plate_drop(&plate.id);
        Ok(())
    }
}

/// A plate of a project file, for the page.
fn read(opened: &Opened) -> Result<Array, Error> {
    checked(&opened.project).map_err(error)?;
    let json = serde_json::to_string(&opened.project).map_err(|failed| error(Refusal::new("project", format!("{failed}."))))?;
    let bytes = |bytes: &[u8]| JsValue::from(Uint8Array::from(bytes));
    let (at, unpacked) = match &opened.drawing {
        Bytes::At(range) => (Array::of2(&(range.start as f64).into(), &(range.end as f64).into()).into(), JsValue::NULL),
        Bytes::Own(own) => (JsValue::NULL, bytes(own)),
    };
    let kept = opened.kept.as_deref().map_or(JsValue::NULL, bytes);
    Ok(Array::of4(&json.into(), &at, &unpacked, &kept))
}

/// Which plate.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PlateId {
    id: String,
}
