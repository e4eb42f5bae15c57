//! Everything at once, as the page asks for it, without a browser.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, update};
use serde_json::{Value, json};
use stepbite_core::archive::Named;
use stepbite_core::reread::{PlanFiles, Reread};
use stepbite_web::desk::Desk;
use stepbite_web::settings::SheetChoice;

fn choice() -> SheetChoice {
    let choice = json!({ "paper": "a4", "transfer": "trace", "title": "Ice house", "letter": "B", "date": "27 November" });
    serde_json::from_value(choice).unwrap()
}

fn everything(desk: &Desk) -> Vec<Named> {
    desk.everything(&choice(), &[], &mut |_, _| {}).unwrap()
}

fn bytes<'a>(files: &'a [Named], name: &str) -> &'a [u8] {
    &files.iter().find(|file| file.0 == name).unwrap().1
}

#[test]
fn the_set_is_the_plan_and_progress_is_told() {
    let desk = desk();
    let mut heard: Vec<(String, f32)> = Vec::new();
    let files = desk.everything(&choice(), &[], &mut |stage, share| heard.push((stage.to_owned(), share))).unwrap();
    assert_eq!(heard.last().unwrap(), &("files".to_owned(), 1.0));
    assert!(heard.iter().any(|(stage, share)| stage == "sheets" && *share > 0.3), "{heard:?}");
    assert!(heard.windows(2).all(|pair| pair[0].1 <= pair[1].1), "{heard:?}");
    for (name, alone) in desk.masks().unwrap() {
        let within = if name == "steps.png" { name } else { format!("masks/{name}") };
        assert_eq!(bytes(&files, &within), alone);
    }
    let said = String::from_utf8(bytes(&files, "read-me.txt").to_vec()).unwrap();
    assert!(said.contains("Ice house\r\n27 November") && said.contains("Plate B") && said.contains("EXAMPLE, NOT YOUR BATH"), "{said}");
    assert!(Desk::default().everything(&choice(), &[], &mut |_, _| {}).is_err());
}

#[test]
fn the_files_read_again_are_the_same_stop_outs_and_times() {
    let mut desk = desk();
    let resist = json!({ "resist": { "kind": "drawn", "shapes": ["5,5 40,5 40,30 5,30"], "open_inside": true } });
    for change in [json!({}), json!({ "tones": 9, "px_per_mm": 7.3 }), resist] {
        update(&mut desk, &change).unwrap();
        let files = everything(&desk);
        let plan = desk.plan().unwrap();
        let masks: Vec<(usize, &[u8])> = plan
            .stopouts()
            .list()
            .iter()
            .map(|stop| (stop.number, bytes(&files, &format!("masks/stopout-{:02}.png", stop.number))))
            .collect();
        let lift = files.iter().find(|file| file.0 == "masks/lift.png").map(|file| file.1.as_slice());
        assert_eq!(lift.is_some(), change.get("resist").is_some());
        let given = PlanFiles { steps: bytes(&files, "steps.png"), plan: bytes(&files, "plan.json"), lift, by_hand: None, masks: &masks };
        let again = Reread::of(given).unwrap();
        assert_eq!(again.stop_outs.map(), plan.stopouts().map());
        let clock = again.clock.unwrap();
        assert!(clock.iter().zip(&plan.bites().tones).all(|(again, tone)| (again.total, again.set) == (tone.total, tone.set)));
    }
}

/// A time as a clock shows it.
fn has_clock(words: &str) -> bool {
    let bytes = words.as_bytes();
    (1..bytes.len().saturating_sub(2))
        .any(|i| bytes[i] == b':' && bytes[i - 1].is_ascii_digit() && bytes[i + 1].is_ascii_digit() && bytes[i + 2].is_ascii_digit())
}

#[test]
fn after_a_stop_no_file_holds_a_time() {
    let mut desk = desk();
    let sheet_words = |desk: &Desk| -> Vec<String> {
        desk.sheets(&choice(), &mut |_, _| ())
            .unwrap()
            .sheets
            .iter()
            .flat_map(|sheet| sheet.words().map(str::to_owned).collect::<Vec<_>>())
            .collect()
    };
    assert!(sheet_words(&desk).iter().any(|words| has_clock(words)), "a run sheet has times");
    update(&mut desk, &json!({ "bath": { "metal": "zinc", "mordant": "ferric chloride" } })).unwrap();
    let files = everything(&desk);
    let plan: Value = serde_json::from_slice(bytes(&files, "plan.json")).unwrap();
    assert!(plan["tones"].as_array().unwrap().iter().all(|tone| tone["set_s"].is_null() && tone["total_s"].is_null()));
    let said = String::from_utf8(bytes(&files, "read-me.txt").to_vec()).unwrap();
    assert!(said.contains("STOP: no times are in these files") && said.contains("Zinc in ferric chloride bites fast"), "{said}");
    for words in sheet_words(&desk) {
        assert!(!has_clock(&words), "{words}");
    }
    // The plan alone is the plan of the set; and no row of the table holds a figure in seconds.
    let alone: Value = serde_json::from_str(&desk.plan_json(&[]).unwrap()).unwrap();
    assert_eq!(alone["tones"], plan["tones"]);
    let timed = |value: &Value| {
        value["tones"]
            .as_array()
            .unwrap()
            .iter()
            .any(|tone| ["total_s", "bite_s", "set_s", "range_s"].iter().any(|name| !tone[name].is_null()))
    };
    assert!(!timed(&alone));
    for note in alone["notes"].as_array().unwrap() {
        assert!(!note.as_str().unwrap().contains(" s ") && !has_clock(note.as_str().unwrap()), "{note}");
    }
    let table = String::from_utf8(bytes(&files, "plan.csv").to_vec()).unwrap();
    let mut rows = table.split_terminator("\r\n").map(|row| row.split(',').collect::<Vec<_>>());
    let head = rows.next().unwrap();
    let seconds: Vec<usize> = (0..head.len()).filter(|&column| head[column].ends_with("_s")).collect();
    assert_eq!(seconds.len(), 4 + 2);
    assert!(rows.all(|row| seconds.iter().all(|&column| row[column].is_empty())), "{table}");
    // Without the pair they are there.
    update(&mut desk, &json!({ "bath": {} })).unwrap();
    assert!(timed(&serde_json::from_str(&desk.plan_json(&[]).unwrap()).unwrap()));
    assert!(!has_clock(&said), "{said}");
}
