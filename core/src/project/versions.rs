//! Versions of `project.json`, and how an older one is brought up to date.
//!
//! Whoever changes what `project.json` holds raises [`CURRENT`] by one, writes the step from the version before into `STEPS`, and keeps a file of
//! that version among the fixtures. A step only moves and renames; whether the values are good is judged later, as for today's files.

use super::error::ProjectError;
use super::{DESCRIPTION, DrawingName, Project};
use serde_json::{Map, Value, json};

/// The word that says whose file it is.
pub const FORMAT: &str = "stepbite project";
/// The version that is written.
pub const CURRENT: u64 = 3;

/// From version k + 1 to version k + 2.
type Step = fn(Map<String, Value>) -> Result<Map<String, Value>, ProjectError>;
/// One fewer than there are versions.
const STEPS: [Step; CURRENT as usize - 1] = [in_ink_and_paper, in_a_family];

/// Version 2: the proof holds grain, edges, inks, papers and the plates of the pull, and the job the plates that were brought in. Version 1
/// knew one plate in the strip's own ink.
fn in_ink_and_paper(mut fields: Map<String, Value>) -> Result<Map<String, Value>, ProjectError> {
    let usual = json!({
        "grain": { "kind": "rosin", "size": "medium", "cover": null, "seed": 1 }, "edges": null, "lamp": "daylight", "inks": [], "zones": [],
        "zone_border_mm": 7, "zone_minutes": 4, "laid": [],
        "printings": [{ "plate": null, "ink": null, "trap": 0.75, "shift_mm": [0, 0], "growth": [0, 0], "turn": 0 }],
    });
    // What is not where it should be is left to whoever reads the job.
    if let Some(Value::Object(job)) = fields.get_mut("job") {
        job.insert("plates".to_owned(), json!([]));
        if let (Some(Value::Object(proof)), Value::Object(usual)) = (job.get_mut("proof"), usual) {
            proof.extend(usual);
        }
    }
    Ok(fields)
}

/// Version 3: other plates beside this one, each with an id, and what is said of all of them. Before, a file was one plate.
fn in_a_family(mut fields: Map<String, Value>) -> Result<Map<String, Value>, ProjectError> {
    fields.insert("family".to_owned(), json!([]));
    if let Some(Value::Object(job)) = fields.get_mut("job") {
        for name in ["id", "row", "day", "record", "papers"] {
            job.insert(name.to_owned(), Value::Null);
        }
    }
    Ok(fields)
}

/// So many values are read at most: a thousand marks by hand and a log of a thousand entries are far fewer, and what packs small may unpack to a
/// text whose values fill all memory there is.
pub(super) const MOST_VALUES: usize = 1_000_000;

/// How many values a JSON text (RFC 8259) holds at most: one more after each comma and within each bracket, outside its strings.
fn values(text: &[u8]) -> usize {
    let (mut count, mut within, mut escaped) = (1, false, false);
    for byte in text {
        match byte {
            _ if escaped => escaped = false,
            b'\\' if within => escaped = true,
            b'"' => within = !within,
            b',' | b'[' | b'{' if !within => count += 1,
            _ => {}
        }
    }
    count
}

/// `project.json` of today's version, with line ends so that people can read it.
pub(super) fn described(project: &Project) -> Result<String, ProjectError> {
    let failed = |error: serde_json::Error| ProjectError::Description { cause: error.to_string() };
    let whole = json!({
        "format": FORMAT,
        "version": CURRENT,
        "drawing": project.drawing,
        "settings": project.settings,
        "done": serde_json::to_value(&project.done).map_err(failed)?,
        "job": project.job,
        "family": project.family,
    });
    serde_json::to_string_pretty(&whole).map(|text| text + "\n").map_err(failed)
}

/// The project that a `project.json` of any version describes.
///
/// # Errors
/// When it is not ours, newer, or holds what a project does not.
pub fn project_of(text: &[u8]) -> Result<Project, ProjectError> {
    project_within(text, &mut MOST_VALUES.clone())
}

/// The same where so many values are left to be read, of which it takes its own.
pub(super) fn project_within(text: &[u8], left: &mut usize) -> Result<Project, ProjectError> {
    if let Some(less) = left.checked_sub(values(text)) {
        *left = less;
    } else {
        return Err(ProjectError::Description { cause: format!("it holds more than {MOST_VALUES} values, and no plan has so many") });
    }
    let value: Value = serde_json::from_slice(text)
        .map_err(|error| ProjectError::Damaged { member: DESCRIPTION.to_owned(), cause: format!("not JSON, {error}") })?;
    let Value::Object(mut fields) = value else {
        return Err(ProjectError::NotOurs { found: format!("its {DESCRIPTION} is no JSON object") });
    };
    match fields.remove("format") {
        Some(Value::String(format)) if format == FORMAT => {}
        Some(_) => return Err(ProjectError::NotOurs { found: format!("its {DESCRIPTION} says another format") }),
        None => return Err(ProjectError::NotOurs { found: format!("its {DESCRIPTION} says no format") }),
    }
    let version = fields.remove("version").as_ref().and_then(Value::as_u64);
    let version = version.filter(|version| *version > 0);
    let version = version.ok_or_else(|| ProjectError::Description { cause: "its version is not a whole number from 1".to_owned() })?;
    if version > CURRENT {
        return Err(ProjectError::Newer { version });
    }
    for step in STEPS.iter().skip(version as usize - 1) {
        fields = step(fields)?;
    }
    let project: Project =
        serde_json::from_value(Value::Object(fields.clone())).map_err(|error| ProjectError::Description { cause: error.to_string() })?;
    let DrawingName { name } = &project.drawing;
    if name.is_empty() || name.chars().count() > 1000 {
        return Err(ProjectError::Description { cause: "the drawing's name has 1 to 1000 letters".to_owned() });
    }
    // An entry's fields lie side by side with its kind, where unknown ones pass unseen: what is not said again was not understood.
    let again = serde_json::to_value(&project.done).map_err(|error| ProjectError::Description { cause: error.to_string() })?;
    if let Some(path) = fields.get("done").and_then(|given| lost(given, &again, "done")) {
        return Err(ProjectError::Description { cause: format!("unknown field {path}") });
    }
    Ok(project)
}

/// The first field of `given` that `again` lacks.
fn lost(given: &Value, again: &Value, path: &str) -> Option<String> {
    match (given, again) {
        (Value::Object(given), Value::Object(again)) => given.iter().find_map(|(name, value)| {
            let path = format!("{path}.{name}");
            again.get(name).map_or_else(|| Some(path.clone()), |there| lost(value, there, &path))
        }),
        (Value::Array(given), Value::Array(again)) => {
            given.iter().zip(again).enumerate().find_map(|(k, (given, again))| lost(given, again, &format!("{path}[{k}]")))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(value: &Value) -> String {
        project_of(value.to_string().as_bytes()).unwrap_err().to_string()
    }

    #[test]
    fn the_first_versions_proof_is_one_plate_in_the_strips_own_ink() {
        let mut old = good();
        old["job"] = json!({ "proof": { "paper": "#f4f1e8", "plate_tone": 0.02 } });
        let job = project_of(old.to_string().as_bytes()).unwrap().job;
        assert_eq!(job["plates"], json!([]));
        assert_eq!((&job["proof"]["paper"], &job["proof"]["plate_tone"]), (&json!("#f4f1e8"), &json!(0.02)));
        assert_eq!(job["proof"]["printings"][0]["plate"], Value::Null);
    }

    #[test]
    fn the_second_versions_file_is_one_plate_that_no_row_and_no_day_knows() {
        let mut old = good();
        old["version"] = json!(2);
        old["job"] = json!({ "title": "Ice house" });
        let project = project_of(old.to_string().as_bytes()).unwrap();
        assert_eq!(project.family, Vec::<String>::new());
        assert_eq!(project.job, json!({ "title": "Ice house", "id": null, "row": null, "day": null, "record": null, "papers": null }));
        old["version"] = json!(CURRENT);
        assert!(said(&old).contains("family"), "today's files name their plates");
    }

    fn good() -> Value {
        json!({ "format": FORMAT, "version": 1, "drawing": { "name": "a.png" }, "settings": { "tones": 3 }, "done": { "log": [
            { "at_ms": 1.5, "note": "", "kind": "painted", "stop_out": 1, "minutes": null } ], "kept": null }, "job": {} })
    }

    #[test]
    fn what_was_described_is_read() {
        let project = project_of(good().to_string().as_bytes()).unwrap();
        assert_eq!(project_of(described(&project).unwrap().as_bytes()).unwrap(), project);
        assert_eq!(project.done.log.len(), 1);
    }

    #[test]
    fn what_is_not_ours_or_newer_is_refused_by_name() {
        let with = |name: &str, value: Value| {
            let mut whole = good();
            whole[name] = value;
            said(&whole)
        };
        assert!(with("format", json!("other")).contains("says another format"));
        assert!(with("version", json!(4)).contains("version 4") && with("version", json!(4)).contains("up to 3"));
        for version in [json!(0), json!(-1), json!(1.5), json!("1"), Value::Null] {
            assert!(with("version", version).contains("whole number"));
        }
        assert!(with("notes", json!(1)).contains("unknown field `notes`"));
        assert!(with("done", json!({ "log": [], "kept": null, "extra": 1 })).contains("extra"));
        let entry = json!({ "at_ms": 1, "note": "", "kind": "painted", "stop_out": 1, "minutes": null, "colour": 1 });
        assert!(with("done", json!({ "log": [entry], "kept": null })).contains("done.log[0].colour"));
        assert!(with("drawing", json!({ "name": "" })).contains("1 to 1000 letters"));
        assert!(said(&json!([1])).contains("no JSON object") && said(&json!({})).contains("no format"));
        for text in [&b"{"[..], b"", b"\xff\xfe", b"{\"format\":\"stepbite project\"}"] {
            let said = project_of(text).unwrap_err().to_string();
            assert!(said.ends_with('.'), "{said}");
        }
        // Numbers no double holds (RFC 8259, 6), and words that are no JSON.
        let text = good().to_string();
        for (from, to) in [
            ("1.5", "1e400"),
            ("1.5", "NaN"),
            ("1.5", "Infinity"),
            ("1.5", "-1e999"),
            ("\"version\":1", "\"version\":1e30"),
            ("\"version\":1", "\"version\":18446744073709551616"),
        ] {
            assert!(text.contains(from), "{from}");
            let said = project_of(text.replacen(from, to, 1).as_bytes()).unwrap_err().to_string();
            assert!(said.ends_with('.'), "{to}: {said}");
        }
        let deep = "[".repeat(100_000);
        assert!(project_of(deep.as_bytes()).is_err());
    }

    #[test]
    fn values_are_counted_before_any_is_made() {
        assert_eq!(values(br#"{"a":[1,2],"b":"x,[\",{","c":{}}"#), 1 + 3 + 3);
        let whole = |hand: &str| {
            json!({ "format": FORMAT, "version": 1, "drawing": { "name": "a.png" }, "settings": {}, "done": { "log": [], "kept": null }, "job": {} })
            .to_string().replace("\"settings\":{}", &format!("\"settings\":{hand}"))
        };
        // Five million points of marks by hand are texts, each one value.
        project_of(whole(&format!("{{\"hand\":[\"{}\"]}}", "1,2 ".repeat(5_000_000))).as_bytes()).unwrap();
        let bomb = whole(&format!("[0{}]", ",0".repeat(MOST_VALUES)));
        assert!(project_of(bomb.as_bytes()).unwrap_err().to_string().contains("more than 1000000 values"));
    }
}
