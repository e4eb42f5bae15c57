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
    desk.rows_find(&of::<FindSpec>(json!({ "row": spec, "turns": true, "pins": pins, "most": 5 })), &mut |_, _| {})
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
fn copies_of_one_plate_are_one_print_in_a_row_of_twelve_and_in_rows() {
    let desk = desk();
    // The plate at hand beside itself: upright all of it is one print, whichever copy stands where.
    let mut spec = row(12);
    for plate in spec["plates"].as_array_mut().unwrap() {
        plate["turned"] = json!(false);
    }
    let ask = |spec: &Value, turns: bool| {
        let pins: Vec<Value> = (0..spec["plates"].as_array().unwrap().len()).map(|_| json!({ "place": null, "turned": null })).collect();
        let find = of::<FindSpec>(json!({ "row": spec, "turns": turns, "pins": pins, "most": 24 }));
        let mut heard = 0;
        let found = desk.rows_find(&find, &mut |_, _| heard += 1).unwrap();
        (found, heard)
    };
    let (found, _) = ask(&spec, false);
    assert_eq!((found.run_on.len(), found.orders, found.exact), (1, 1.0, true));
    let (found, _) = ask(&spec, true);
    // 2¹² ways up, all but 2⁶ of them twice.
    assert_eq!((found.run_on.len(), found.orders), (24, 2080.0));
    spec["columns"] = json!(4);
    let (found, _) = ask(&spec, false);
    assert_eq!((found.run_on.len(), found.exact), (1, true));
    // Another horizon, and it is another plate where horizons are in line.
    spec["columns"] = json!(null);
    spec["align"] = json!("horizon");
    spec["plates"][3]["horizon_mm"] = json!(7.3);
    assert_eq!(ask(&spec, false).0.orders, 12.0);
}

#[test]
fn plates_that_do_not_meet_count_the_same_in_the_sum_and_in_the_search() {
    let desk = desk();
    let mut spec = row(2);
    spec["plates"][1]["turned"] = json!(false);
    spec["align"] = json!("horizon");
    // One horizon far above its plate: the two have no height in common.
    spec["plates"][0]["horizon_mm"] = json!(-500.0);
    let facts = desk.rows_joints(&of::<RowSpec>(spec.clone())).unwrap();
    assert_eq!((facts.joints[0].tone, facts.joints[0].cost, facts.sum, facts.worst), (None, 100.0, 100.0, 100.0));
    let pins = json!([{ "place": 0, "turned": null }, { "place": 1, "turned": null }]);
    let found = desk.rows_find(&of::<FindSpec>(json!({ "row": spec, "turns": false, "pins": pins, "most": 1 })), &mut |_, _| {}).unwrap();
    assert_eq!(found.run_on[0].sum, facts.sum);
    // Tones and shapes: the sum of a row as it stands is what the search says of the same order.
    let mut both = row(3);
    both["weigh"] = json!("both");
    let facts = desk.rows_joints(&of::<RowSpec>(both.clone())).unwrap();
    let pins = json!([{ "place": 0, "turned": false }, { "place": 1, "turned": true }, { "place": 2, "turned": false }]);
    let found = desk.rows_find(&of::<FindSpec>(json!({ "row": both, "turns": true, "pins": pins, "most": 1 })), &mut |_, _| {}).unwrap();
    assert!((found.run_on[0].sum - facts.sum).abs() < 1e-5, "{} {}", found.run_on[0].sum, facts.sum);
}

#[test]
fn a_long_search_says_how_far_it_is() {
    let desk = desk();
    let mut spec = row(12);
    spec["columns"] = json!(4);
    // Twelve plates of which no two are the same: each its own horizon, and so its own joints.
    spec["align"] = json!("horizon");
    for (k, plate) in spec["plates"].as_array_mut().unwrap().iter_mut().enumerate() {
        plate["horizon_mm"] = json!(14.0 + 1.1 * k as f64);
    }
    let pins: Vec<Value> = (0..12).map(|_| json!({ "place": null, "turned": null })).collect();
    let mut heard = vec![];
    let find = of::<FindSpec>(json!({ "row": spec, "turns": true, "pins": pins, "most": 3 }));
    let found = desk.rows_find(&find, &mut |stage, share| heard.push((stage.to_owned(), share))).unwrap();
    assert!(found.bound <= found.run_on[0].sum);
    assert!(!heard.is_empty() && heard.iter().all(|(stage, share)| stage == "orders" && (0.0..=1.0).contains(share)));
    assert!(heard.windows(2).all(|pair| pair[0].1 <= pair[1].1));
}

#[test]
fn the_row_is_one_print_of_the_proofs_colours() {
    let desk = desk();
    let print = |proof: Value, turned: bool| {
        let mut spec = row(2);
        spec["plates"][1]["turned"] = json!(turned);
        let asked = json!({ "kind": "row_print", "width": 600, "height": 300, "print": { "row": spec, "gap_mm": 3, "gap_down_mm": 3, "proof": proof } });
        desk.picture(&of::<PictureSpec>(asked), &mut |_, _| {})
    };
    let plain = json!({ "paper": null, "plate_tone": 0 });
    let picture = print(plain.clone(), false).unwrap();
    // 60 + 3 + 60 mm, and 8 mm of sheet round them.
    let px: f64 = 600.0 / (123.0 + 16.0);
    assert_eq!((picture.width(), picture.height()), (600, ((40.0 + 16.0) * px).round() as usize));
    let at = |mm: f64| (mm * px) as usize;
    let sheet = picture.at(2, 2);
    assert_eq!(picture.at(at(8.0 + 60.0 + 1.5), at(28.0)), sheet, "the gap is bare");
    // The same place of the same plate twice, 63 mm apart; turned it lies the other way up. Means of 5 mm each way, past what pixels shift.
    let mean = |picture: &stepbite_core::plane::Plane<[u8; 4]>, x: f64, y: f64| -> f64 {
        let all: Vec<f64> = (at(5.5 + y)..at(10.5 + y))
            .flat_map(|row| (at(5.5 + x)..at(10.5 + x)).map(move |column| (column, row)))
            .map(|(column, row)| f64::from(picture.at(column, row)[1]))
            .collect();
        all.iter().sum::<f64>() / all.len() as f64
    };
    let turned = print(plain, true).unwrap();
    let mut seen = vec![];
    for (x, y) in [(10.0, 8.0), (25.0, 30.0), (40.0, 12.0), (50.0, 33.0)] {
        let here = mean(&picture, x, y);
        assert!((here - mean(&picture, 63.0 + x, y)).abs() < 12.0, "{x} {y}");
        assert!((here - mean(&turned, 63.0 + 60.0 - x, 40.0 - y)).abs() < 12.0, "{x} {y} turned");
        seen.push(here);
    }
    let (least, most) = (seen.iter().copied().fold(f64::MAX, f64::min), seen.iter().copied().fold(f64::MIN, f64::max));
    assert!(most - least > 24.0, "places that could be told from one another: {seen:?}");
    // Another sheet is another print.
    let blue = print(json!({ "paper": "#a0b0ff", "plate_tone": 0 }), false).unwrap();
    assert!(blue.at(2, 2).iter().zip([0xa0_u8, 0xb0, 0xff, 255]).all(|(came, wanted)| came.abs_diff(wanted) <= 1), "{:?}", blue.at(2, 2));
    assert!(print(json!({ "paper": "blue", "plate_tone": 0 }), false).is_err());
    // Longer than any bed there is: 30 of 60 mm and 29 gaps of 100.
    let long = json!({ "row": row(30), "gap_mm": 100, "gap_down_mm": 3, "proof": { "paper": null, "plate_tone": 0 } });
    let asked = of::<PictureSpec>(json!({ "kind": "row_print", "width": 600, "height": 300, "print": long }));
    let said = desk.picture(&asked, &mut |_, _| {}).unwrap_err().message;
    assert!(said.starts_with("The row measures 4700 × 40 mm with its gaps") && !said.contains("bed"), "{said}");
}

#[test]
fn a_plate_that_stands_in_no_row_has_a_template_of_its_own() {
    let desk = desk();
    let over = json!([{ "plate": null, "letter": "X", "turned": false, "plate_mm": [60.0, 40.0], "horizon_mm": null }]);
    let facts = desk.row_bed(&bed(|spec| spec["over"] = over.clone())).unwrap();
    assert_eq!(facts.fringes.len(), 3);
    let [alone] = facts.over.as_slice() else { panic!("{:?}", facts.over) };
    assert_eq!((alone.letter.as_str(), &alone.trouble), ("X", &None));
    // 1 % of half of 60 mm to either side.
    assert!((alone.fringes[0].edges[1] - 0.3).abs() < 1e-9 && (alone.fringes[0].edges[0] + 0.3).abs() < 1e-9, "{:?}", alone.fringes);
    let mut choice = json!({ "paper": "a3", "transfer": "trace", "title": "Ice house", "letter": "B", "date": "27 November", "kinds": ["registration"] });
    let asked = |growth: Value| {
        json!({ "row": row(3), "gap_mm": 3, "gap_down_mm": 3, "registration": growth, "over": over,
        "bed": { "length_mm": 1000, "width_mm": 500, "along": true, "feed": "left", "sheet_mm": [600, 380], "margin_mm": 40, "bleed": false, "grip_mm": 0 } })
    };
    let mut pages = |growth: Value| {
        choice["bed"] = asked(growth);
        desk.sheet_facts(&of(choice.clone())).unwrap().entries.len()
    };
    let (without, with) = (pages(json!(null)), pages(json!({ "along": 0.2, "across": 1, "fibre_across": false })));
    assert!(without > 0 && with > without, "{without} {with}");
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
