//! Files of a plan: masks alone, and everything at once.

use super::*;
use crate::settings::SheetChoice;
use stepbite_core::archive::Named;
use stepbite_core::folder::Folder;
use stepbite_core::pdf::pdf;

/// The share of the whole set that the sheets take, as told on the way: of a 300 × 400 mm plate about two thirds of the time (measured).
const OF_SHEETS: f32 = 0.65;

impl Desk {
    /// `plan.json`: after a STOP without a time, as in the whole set.
    ///
    /// # Errors
    /// Before the first plan.
    pub fn plan_json(&self, drawing_notes: &[String]) -> Result<String, Refusal> {
        let plan = self.plan()?;
        let report = plan.report(drawing_notes);
        let stops = plan.day.named() && plan.day.judged().stops();
        Ok(if stops { report.without_times(&plan.bites) } else { report }.json())
    }

    /// Step map and masks as named PNG files.
    ///
    /// # Errors
    /// Before the first plan.
    pub fn masks(&self) -> Result<Vec<Named>, Refusal> {
        let plan = self.plan()?;
        let resolution = plan.stopouts.resolution();
        let masks =
            plan.stopouts.list().iter().map(|stopout| {
                (format!("stopout-{:02}.png", stopout.number), png_file::grey(&plan.stopouts.mask(stopout.number), resolution))
            });
        let steps = ("steps.png".to_owned(), png_file::grey(plan.stopouts.map().plane(), resolution));
        Ok(std::iter::once(steps).chain(masks).collect())
    }

    /// The whole set: sheets, outlines, masks, tables, description. `drawing_notes` are what reading the drawing said. `progress` is told the
    /// share of all of it, which never falls.
    ///
    /// # Errors
    /// Before the first plan.
    pub fn everything(&self, choice: &SheetChoice, drawing_notes: &[String], progress: Progress<'_>) -> Result<Vec<Named>, Refusal> {
        let plan = self.plan()?;
        let sheets = self.sheets(choice, &mut |stage, share| progress(stage, share * OF_SHEETS))?;
        let file = pdf(&sheets);
        let mut report = plan.report(drawing_notes);
        report.notes.extend(sheets.notes);
        let dips = plan.joined_dips();
        let folder = Folder {
            dips: &dips,
            plate: &plan.plate,
            stop_outs: &plan.stopouts,
            outlines: &plan.outlines,
            bites: &plan.bites,
            report,
            sheets: &file,
            title: &choice.title,
            letter: &choice.letter,
            date: (!choice.date.is_empty()).then_some(&choice.date),
            judged: plan.day.named().then(|| plan.day.judged()),
            pulls: choice.record.as_ref(),
            view: View::Print,
        };
        Ok(folder.files(&mut |share| progress("files", OF_SHEETS + share * (1.0 - OF_SHEETS))))
    }
}
