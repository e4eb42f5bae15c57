//! The project file between page and core: what comes out of a file is held to the same types as what comes from the page.

use crate::desk::job_refused;
use crate::error::Refusal;
use crate::settings::row::RowChoice;
use crate::settings::{BroughtPlate, FamilyDay, PapersChoice, ProofSettings, Settings, SheetChoice, StripSettings};
use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeMap;
use stepbite_core::project::{Project, ProjectError};
use stepbite_core::pulls::Record;
use stepbite_core::sheets::{Corner, Kind, Paper, Style, Transfer};

/// The choices beside the plan.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Tells the plate from the others of its family; a page that opens it gives it one where there is none.
    #[serde(default)]
    pub id: Option<String>,
    /// Name of the work.
    pub title: String,
    /// Letter of the plate.
    pub letter: String,
    /// What lengths are shown in.
    pub units: Units,
    /// How the proof is made.
    pub proof: ProofSettings,
    /// Plates that print over the one at hand; states that a browser kept before there were any say nothing of them.
    #[serde(default)]
    pub plates: Vec<BroughtPlate>,
    /// What the sheets are to be.
    pub sheets: Sheets,
    /// Lines of the ticket that are settled.
    pub ticks: BTreeMap<Line, bool>,
    /// How the family's plates lie beside one another.
    #[serde(default)]
    pub row: Option<RowChoice>,
    /// The family's day at the bath.
    #[serde(default)]
    pub day: Option<FamilyDay>,
    /// What was pulled.
    #[serde(default)]
    pub record: Option<Record>,
    /// Papers under the ink.
    #[serde(default)]
    pub papers: Option<PapersChoice>,
}

/// What lengths are shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Millimetres.
    Mm,
    /// Inches.
    In,
}

/// A line of the ticket.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Line {
    /// Drawing.
    Drawing,
    /// Tones.
    Tones,
    /// Painting.
    Painting,
    /// Times.
    Times,
    /// Plates, side by side.
    Plates,
    /// Sheets.
    Sheets,
    /// At the bath.
    Bath,
    /// Proof.
    Proof,
    /// Papers under the ink.
    Papers,
    /// Pulls.
    Pulls,
}

/// What the sheets are to be, without title, letter and date.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sheets {
    /// What they are printed on.
    pub paper: Paper,
    /// How they are brought to the plate.
    pub transfer: Transfer,
    /// The kinds that print.
    pub kinds: Vec<Kind>,
    /// How they are drawn.
    pub style: Style,
    /// How far edges lie inside their line, mm.
    pub inward_mm: f64,
    /// A flap to hinge them by.
    pub hinge: bool,
    /// The corner that is cut off.
    #[serde(default)]
    pub notch: Corner,
    /// What the bars measured.
    pub bars_mm: Option<[f64; 2]>,
}

/// The longest title or letter, letters.
const LONGEST: usize = 200;

/// The longest id of a plate, letters and digits.
const LONGEST_ID: usize = 40;

/// Holds settings and job to the page's types; their figures are judged when the plan is made of them.
///
/// # Errors
/// An unknown field by its name, a missing one, a value of another kind, or a choice beside the plan that is out of range.
pub fn checked(project: &Project) -> Result<(Settings, Job), Refusal> {
    let wrong = |of: &str, cause: String| Refusal::from(ProjectError::Description { cause: format!("{of}: {cause}") });
    if project.settings.get("done").is_some() {
        return Err(wrong("settings", "unknown field `done`".to_owned()));
    }
    // Of a strip that is one thing or another only that would be said.
    if let Some(strip @ Value::Object(_)) = project.settings.get("strip") {
        StripSettings::deserialize(strip).map_err(|error| wrong("settings.strip", error.to_string()))?;
    }
    let settings = Settings::deserialize(&project.settings).map_err(|error| wrong("settings", error.to_string()))?;
    let job = Job::deserialize(&project.job).map_err(|error| wrong("job", error.to_string()))?;
    if let Some(cause) = job.day.as_ref().and_then(FamilyDay::wrong) {
        return Err(wrong("job.day", cause));
    }
    if [&job.title, &job.letter].iter().any(|text| text.chars().count() > LONGEST) {
        return Err(wrong("job", format!("title and letter have up to {LONGEST} letters")));
    }
    if job.id.as_ref().is_some_and(|id| !(1..=LONGEST_ID).contains(&id.len()) || !id.bytes().all(|byte| byte.is_ascii_alphanumeric())) {
        return Err(wrong("job.id", format!("1 to {LONGEST_ID} letters and digits were expected")));
    }
    if let Some(record) = &job.record {
        record.check().map_err(|error| Refusal::new("record", error.to_string()))?;
    }
    if let Some(said) = job.row.as_ref().and_then(RowChoice::wrong) {
        return Err(wrong("job.row", said));
    }
    job_refused(&job.proof, &job.choice()).map_or(Ok(()), Err)?;
    job.papers.as_ref().map_or(Ok(()), PapersChoice::check)?;
    if job.proof.papers.is_some() {
        return Err(wrong("job.proof", "unknown field `papers`".to_owned()));
    }
    Ok((settings, job))
}

impl Job {
    fn choice(&self) -> SheetChoice {
        let Sheets { paper, transfer, kinds, style, inward_mm, hinge, notch, bars_mm } = self.sheets.clone();
        let (title, letter) = (self.title.clone(), self.letter.clone());
        SheetChoice {
            paper,
            transfer,
            title,
            letter,
            date: String::new(),
            kinds,
            style,
            inward_mm,
            hinge,
            notch,
            bars_mm,
            record: None,
            zones_of: None,
            papers: None,
            together: None,
            bed: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use stepbite_core::project::{Done, DrawingName};

    fn project() -> Project {
        Project {
            drawing: DrawingName { name: "a.png".to_owned() },
            settings: json!({
                "plate": { "width_mm": 160, "height_mm": 180, "bevel_mm": 1.5 }, "fit": "cover", "px_per_mm": 10, "tones": 10, "breaks": "even",
                "mark_mm": 1, "reserve_l": 1, "strip": { "id": "14-B", "readings": [[0, 89], [10, 80]] }
            }),
            done: Done::default(),
            job: json!({
                "title": "Ice house", "letter": "B", "units": "mm", "proof": { "paper": null, "plate_tone": 0 }, "plates": [], "ticks": { "drawing": true },
                "sheets": { "paper": "a4", "transfer": "trace", "kinds": ["run"], "style": "full", "inward_mm": 0, "hinge": false, "bars_mm": null }
            }),
            family: Vec::new(),
        }
    }

    #[test]
    fn papers_are_held_to_what_paste_and_paper_do_and_a_ring_opens() {
        let papers = || {
            let piece = json!({ "name": "roof", "stock": 0, "outline": [[1, 1], [30, 1], [30, 30]], "fibre_deg": 0, "edge": "cut", "turned": false, "tear": 1 });
            json!({
                "stocks": [{ "name": "kozo", "on_white": "#eeddcc", "on_black": "#998877", "back": null, "along_pct": 0.4, "across_pct": 1.6 }],
                "pieces": [piece.clone(), piece], "above": [[0, 1], [1, 0]], "lap_mm": 1.5, "open_s": 480, "each_s": 11, "pace": 0.12, "scatter": 0.35
            })
        };
        let opened = |change: &dyn Fn(&mut Value)| {
            let mut changed = project();
            changed.job["papers"] = papers();
            change(&mut changed.job["papers"]);
            checked(&changed).map(|(_, job)| job.papers.map(|papers| papers.pieces.len())).map_err(|refused| refused.message)
        };
        assert_eq!(opened(&|_| {}), Ok(Some(2)));
        for (change, words) in [
            (("/open_s", json!(0)), "no time at all"),
            (("/stocks/0/across_pct", json!(9)), "9 % came"),
            (("/pieces/1/stock", json!(4)), "paper 5"),
            (("/above/0", json!([0, 9])), "piece 10 is not"),
            (("/pieces/0/tear", json!(0)), "tear"),
            (("/stocks/0/on_white", json!("white")), "white"),
            (("/lap_mm", json!(-1)), "0 to 10 mm"),
        ] {
            let said = opened(&|papers| *papers.pointer_mut(change.0).unwrap() = change.1.clone()).unwrap_err();
            assert!(said.contains(words) && said.ends_with('.'), "{said}");
        }
        // The proof is sent with the papers, and never kept with them.
        let mut twice = project();
        twice.job["proof"]["papers"] = papers();
        assert!(checked(&twice).unwrap_err().message.contains("papers"));
    }

    #[test]
    fn unknown_fields_are_named_and_values_are_held_to_their_kinds() {
        checked(&project()).unwrap();
        let said = |change: &dyn Fn(&mut Project)| {
            let mut changed = project();
            change(&mut changed);
            let said = checked(&changed).unwrap_err().message;
            assert!(said.ends_with('.'), "{said}");
            said
        };
        for (path, name) in [("/plate", "depth"), ("/strip", "colour"), ("", "colour"), ("", "done")] {
            let words = said(&|project| {
                project.settings.pointer_mut(path).unwrap()[name] = json!(1);
            });
            assert!(words.contains(name), "{words}");
        }
        for (path, name) in [("", "colour"), ("/sheets", "colour"), ("/proof", "ink"), ("/ticks", "rows")] {
            let words = said(&|project| {
                project.job.pointer_mut(path).unwrap()[name] = json!(true);
            });
            assert!(words.contains(name), "{words}");
        }
        assert!(said(&|project| project.settings["tones"] = json!("ten")).contains("settings"));
        assert!(said(&|project| project.job["units"] = json!("ell")).contains("ell"));
        for id in ["", "a/b", "é", &"x".repeat(41)] {
            assert!(said(&|project| project.job["id"] = json!(id)).contains("job.id"));
        }
        assert!(said(&|project| project.job["sheets"]["notch"] = json!("left")).contains("left"));
        assert!(said(&|project| project.job["row"] = json!(7)).contains("job"));
        let row = || {
            let bed = json!({ "length_mm": 1000, "width_mm": 500, "along": true, "feed": "left", "sheet_mm": [600, 380], "margin_mm": 40, "bleed": false, "grip_mm": 0 });
            json!({ "plates": [{ "id": "a1", "turned": true, "place_pinned": false, "turn_pinned": false, "horizon_mm": 62 }], "columns": null, "align": "horizon",
                "turns": true, "weigh": "tone", "gap_mm": 3, "gap_down_mm": 3, "bed": bed, "registration": { "along": 0.2, "across": 1, "fibre_across": false } })
        };
        let mut kept = project();
        kept.job["row"] = row();
        assert!(checked(&kept).is_ok());
        for (part, value) in
            [("columns", json!(0)), ("align", json!("left")), ("gap_mm", json!(1e9)), ("plates", json!([7])), ("more", json!(1))]
        {
            let said = said(&|project| {
                project.job["row"] = row();
                project.job["row"][part] = value.clone();
            });
            assert!(said.contains("job"), "{said}");
        }
        let pulls = json!({ "planned": null, "edition": 12, "lifetime": null, "photos": [], "touches": [], "pulls": [{ "number": 1, "corrections": [],
            "now": { "day": "2026-03-14", "kind": "edition", "copy": 1, "plates": [], "papers": [], "sheet": "", "damping": "", "wiping": "",
                     "pressure": "", "words": "", "photo": null, "struck": false } }] });
        let with = |change: &dyn Fn(&mut Value)| {
            let mut record = pulls.clone();
            change(&mut record);
            record
        };
        let mut kept = project();
        kept.job["record"] = pulls.clone();
        checked(&kept).unwrap();
        assert!(said(&|project| project.job["record"] = with(&|it| it["colour"] = json!(1))).contains("colour"));
        assert!(said(&|project| project.job["record"] = with(&|it| it["pulls"][0]["now"]["day"] = json!("May"))).contains("May"));
        assert!(
            said(&|project| project.job["record"] = with(&|it| it["pulls"] = json!(vec![it["pulls"][0].clone(); 501]))).contains("501")
        );
        assert!(said(&|project| project.job["title"] = json!("x".repeat(201))).contains("200 letters"));
        assert!(said(&|project| project.job["sheets"]["inward_mm"] = json!(3)).contains("0.5"));
        assert!(said(&|project| project.job["sheets"]["bars_mm"] = json!([1, 100])).contains("mm"));
        assert!(said(&|project| project.job["proof"]["paper"] = json!("white")).contains("white"));
        assert!(said(&|project| project.settings = json!(1)).contains("settings"));
    }
}
