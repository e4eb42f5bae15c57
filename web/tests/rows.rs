//! Plates side by side as the page asks for them, without a browser: joints, the best orders, the seam, the bed, their sheets, what is refused.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::desk;
use serde_json::{Value, json};
use stepbite_web::desk::Desk;
use stepbite_web::error::Refusal;
use stepbite_web::settings::PictureSpec;
use stepbite_web::settings::row::{FindSpec, OnBedSpec, RaisedSpec, RowSpec};

/// A row of the plate at hand beside itself, which any number of plates may be.
fn row(count: usize) -> Value {
    let letters = ["A", "B", "C", "D", "E", "F"];
    let plate =
        |k: usize| json!({ "plate": null, "letter": (letters[k % 6]), "turned": k == 1, "plate_mm": [60.0, 40.0], "horizon_mm": null });
    json!({ "plates": (0..count).map(plate).collect::<Vec<_>>(), "columns": null, "align": "top", "weigh": "tone" })
}

fn of<T: serde::de::DeserializeOwned>(value: Value) -> T {
    serde_json::from_value(value).unwrap()
}

fn find(desk: &Desk, count: usize, columns: Option<usize>) -> Result<stepbite_web::desk::RowsFound, Refusal> {
    let mut spec = row(count);
    spec["columns"] = json!(columns);
    let pins: Vec<Value> = (0..count).map(|_| json!({ "place": null, "turned": null })).collect();
    desk.rows_find(&of::<FindSpec>(json!({ "row": spec, "turns": true, "pins": pins, "most": 5 })))
}

fn bed(change: impl Fn(&mut Value)) -> OnBedSpec {
    let mut spec = json!({
        "row": row(3), "gap_mm": 3, "gap_down_mm": 3, "registration": { "along": 0.2, "across": 1, "fibre_across": false },
        "bed": { "length_mm": 1000, "width_mm": 500, "along": true, "feed": "left", "sheet_mm": [600, 380], "margin_mm": 40, "bleed": false, "grip_mm": 0 }
    });
    change(&mut spec);
    of(spec)
}

#[test]
fn joints_are_told_between_neighbours_and_a_plate_alone_has_none() {
    let desk = desk();
    let facts = desk.rows_joints(&of::<RowSpec>(row(3))).unwrap();
    assert_eq!(facts.joints.iter().map(|joint| joint.between).collect::<Vec<_>>(), [[0, 1], [1, 2]]);
    assert!((facts.sum - facts.joints.iter().filter_map(|joint| joint.tone).sum::<f64>()).abs() < 1e-12);
    let mut grid = row(4);
    grid["columns"] = json!(2);
    let facts = desk.rows_joints(&of::<RowSpec>(grid)).unwrap();
    assert_eq!(
        facts.joints.iter().map(|joint| (joint.between, joint.down)).collect::<Vec<_>>(),
        [([0, 1], false), ([2, 3], false), ([0, 2], true), ([1, 3], true)]
    );
    let alone = desk.rows_joints(&of::<RowSpec>(row(1))).unwrap();
    assert!(alone.joints.is_empty() && alone.worst == 0.0);
    assert!(desk.rows_joints(&of::<RowSpec>(row(0))).unwrap_err().message.contains("1 to 60 plates"));
    let gone = json!({ "plates": [{ "plate": "gone", "letter": "G", "turned": false, "plate_mm": [60, 40], "horizon_mm": null }], "columns": null, "align": "top", "weigh": "tone" });
    assert!(desk.rows_joints(&of::<RowSpec>(gone)).unwrap_err().message.contains("not here any more"));
}

#[test]
fn orders_are_found_up_to_twelve_plates_and_more_are_refused_in_a_sentence() {
    let desk = desk();
    let found = find(&desk, 4, None).unwrap();
    assert!(found.exact && found.run_on.len() == 5);
    assert!(found.run_on.windows(2).all(|pair| pair[0].sum <= pair[1].sum + 1e-9));
    assert!((found.bound - found.run_on[0].sum).abs() < 1e-9);
    assert!(found.contrast[0].sum >= found.run_on[0].sum && found.mildest.worst <= found.run_on[0].worst + 1e-9);
    let grid = find(&desk, 4, Some(2)).unwrap();
    assert!(grid.exact && grid.run_on[0].joints.len() == 4);
    assert_eq!(find(&desk, 1, None).unwrap().run_on[0].joints.len(), 0);
    let many = find(&desk, 30, None).unwrap_err().message;
    assert!(many.contains("1 to 12 plates") && many.contains("30 came"), "{many}");
}

#[test]
fn a_higher_picture_is_told_in_a_sentence() {
    let desk = desk();
    let ask = |place: usize, by_mm: f64| desk.row_raised(&of::<RaisedSpec>(json!({ "row": row(3), "place": place, "by_mm": by_mm })));
    let found = ask(1, 4.0).unwrap();
    assert!(
        found.sentence.starts_with("With the picture of B 4 mm higher") && found.sentence.contains("A|B") && found.sentence.contains("B|C"),
        "{}",
        found.sentence
    );
    assert!(ask(9, 4.0).unwrap_err().message.ends_with('.'));
    assert!(ask(1, 40.0).unwrap_err().message.contains("up to 15 mm"));
}

#[test]
fn the_seam_and_the_members_are_pictures() {
    let desk = desk();
    let shown = |spec: Value| desk.picture(&of::<PictureSpec>(spec), &mut |_, _| {});
    let seam = |place: usize, width: usize| json!({ "kind": "seam", "width": width, "height": 200, "seam": { "row": row(2), "place": place, "down": false, "gap_mm": 3, "px_per_mm": 4 } });
    let picture = shown(seam(0, 300)).unwrap();
    assert_eq!((picture.width(), picture.height()), (300, 200));
    // Plates of 60 × 40 mm: past 160 px there is nothing but paper.
    assert_eq!(picture.at(20, 190), picture.at(150, 80), "the gap is paper");
    assert!(shown(seam(1, 300)).unwrap_err().message.contains("no plate at that joint"));
    assert!(shown(seam(0, 100_000)).unwrap_err().message.contains("8000000 pixels"));
    let member = shown(json!({ "kind": "member", "plate": null, "view": "print", "width": 120, "height": 120 })).unwrap();
    let tones = shown(json!({ "kind": "tones", "view": "print", "width": 120, "height": 120 })).unwrap();
    assert_eq!((member.width(), member.height()), (tones.width(), tones.height()));
}

#[test]
fn the_bed_is_laid_its_sheets_print_and_what_does_not_fit_is_said() {
    let desk = desk();
    let facts = desk.row_bed(&bed(|_| ())).unwrap();
    assert_eq!((facts.read.as_str(), facts.on_the_bed.as_str()), ("A · B turned · C", "C · B turned · A"));
    assert!(facts.growth.unwrap().contains("±0.93 mm"), "1 % of half of 186 mm");
    let refused = |change: &dyn Fn(&mut Value)| desk.row_bed(&bed(change)).unwrap_err().message;
    assert!(refused(&|spec| spec["bed"]["length_mm"] = json!(150)).contains("186 × 40 mm (7.3 × 1.6 in)"));
    assert!(refused(&|spec| spec["bed"]["sheet_mm"] = json!([200, 380])).contains("at least 266 × 120 mm"));
    assert!(refused(&|spec| spec["registration"]["across"] = json!(40)).contains("−10 to 10 %"));
    let mut choice = json!({ "paper": "a3", "transfer": "trace", "title": "Ice house", "letter": "B", "date": "27 November", "kinds": ["bed", "registration"] });
    let names =
        |choice: &Value| desk.sheet_facts(&of(choice.clone())).unwrap().entries.iter().map(|entry| entry.name.clone()).collect::<Vec<_>>();
    assert!(names(&choice).is_empty());
    let mut asked = json!({ "row": row(3), "gap_mm": 3, "gap_down_mm": 3, "registration": { "along": 0.2, "across": 1, "fibre_across": false },
        "bed": { "length_mm": 1000, "width_mm": 500, "along": true, "feed": "left", "sheet_mm": [600, 380], "margin_mm": 40, "bleed": false, "grip_mm": 0 } });
    choice["bed"] = asked.clone();
    let all = names(&choice);
    assert_eq!(all[0], "bed diagram");
    assert!(all[1].starts_with("registration template, 1 of"), "{all:?}");
    // What does not fit its bed has no diagram; the other sheets print all the same.
    asked["bed"]["length_mm"] = json!(150);
    choice["bed"] = asked;
    assert!(names(&choice).is_empty());
}
