//! The day of several plates at the desk, without a browser.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, update};
use serde_json::{Value, json};
use stepbite_web::settings::FamilyDaySpec;

/// Plates of four bites on the demo's own minutes.
fn spec(plates: &[&str], change: &Value) -> FamilyDaySpec {
    let dips: Vec<Value> =
        (1..=4).map(|bite| json!({ "from": bite, "to": bite, "set_s": 30.0 * f64::from(bite), "paint_min": 12.0 })).collect();
    let plates: Vec<Value> = plates.iter().map(|letter| json!({ "letter": letter, "size_mm": [60, 40], "dips": dips })).collect();
    let mut day = json!({ "from_min": 540, "to_min": 1080, "dry_overnight": false, "tray_mm": null, "break_after": null });
    for (name, value) in change.as_object().unwrap() {
        day[name] = value.clone();
    }
    serde_json::from_value(json!({ "start_min": 540, "day": day, "plates": plates })).unwrap()
}

#[test]
fn several_plates_have_one_day_with_its_bound_and_its_nights() {
    let mut desk = desk();
    update(&mut desk, &json!({ "bench": { "dry_min": 25, "rinse_min": 5 } })).unwrap();
    let asked = |change: Value| serde_json::to_value(desk.family_day(&spec(&["A", "B", "C", "D"], &change)).unwrap()).unwrap();
    let day = asked(json!({}));
    let kinds = |kind: &str| day["stretches"].as_array().unwrap().iter().filter(|each| each["kind"] == kind).count();
    assert_eq!([kinds("paint"), kinds("dry"), kinds("bite"), kinds("rinse")], [16, 16, 16, 16]);
    assert!(day["gap"].as_f64().unwrap() <= 0.03 && day["bound_min"].as_f64().unwrap() > 200.0, "{day}");
    assert_eq!((day["nights"].as_array().unwrap().len(), day["shared"].as_u64(), day["breaks"].as_array().unwrap().len()), (0, Some(0), 3));
    // Two lie in the tray together.
    let shared = asked(json!({ "tray_mm": [130, 40] }));
    assert!(shared["shared"].as_u64().unwrap() > 0 && shared["minutes"].as_f64() < day["minutes"].as_f64(), "{shared}");
    let night = asked(json!({ "break_after": 2 }));
    assert_eq!(night["nights"][0]["after"], 2);
    let said = |change: Value| desk.family_day(&spec(&["A", "B"], &change)).unwrap_err().to_string();
    assert!(said(json!({ "tray_mm": [50, 50] })).contains("does not lie flat in a tray of 50 × 50 mm"));
    assert!(said(json!({ "to_min": 100 })).contains("ends later than it begins"));
    assert!(said(json!({ "tray_mm": [0, 50] })).contains("a tray of 10 to 5000 mm"));
    let many = vec!["X"; 41];
    assert!(desk.family_day(&spec(&many, &json!({}))).unwrap_err().to_string().contains("at most 40 plates"));
}

#[test]
fn a_card_with_every_tone_has_a_dip_a_bite_and_one_that_lacks_a_tone_says_so() {
    let mut desk = desk();
    let joins = serde_json::to_value(desk.plan().unwrap().joins()).unwrap();
    assert_eq!((joins["to_come"].as_array().unwrap().len(), &joins["said"]), (4, &Value::Null));
    // Breaks so near one another that nothing lies between.
    update(&mut desk, &json!({ "breaks": [90, 60, 59.9, 30], "tones": 5 })).unwrap();
    let joins = serde_json::to_value(desk.plan().unwrap().joins()).unwrap();
    assert_eq!(joins["to_come"].as_array().unwrap().len(), 3, "{joins}");
    assert!(joins["said"].as_str().unwrap().contains("are one dip: one restart fewer"), "{joins}");
}

#[test]
fn what_has_dried_by_the_log_dries_no_longer_and_an_undecided_plate_is_named() {
    let mut desk = desk();
    update(&mut desk, &json!({ "bench": { "dry_min": 25, "rinse_min": 5 } })).unwrap();
    let asked = |dried: Value, undecided: bool| {
        let mut spec = spec(&["A"], &json!({}));
        spec.plates[0].dips[0].paint_min = None;
        spec.plates[0].dips[0].dried_min = serde_json::from_value(dried).unwrap();
        spec.plates[0].undecided = undecided;
        let day = serde_json::to_value(desk.family_day(&spec).unwrap()).unwrap();
        let first = day["stretches"].as_array().unwrap().iter().find(|each| each["kind"] == "bite").unwrap()["from_min"].as_f64().unwrap();
        (first, day["notes"].to_string())
    };
    let (first, notes) = asked(Value::Null, false);
    assert!((first - 565.0).abs() < 1e-6 && notes.contains("counted with its whole drying"), "{first} {notes}");
    let (first, notes) = asked(json!(20), true);
    assert!((first - 545.0).abs() < 1e-6 && !notes.contains("whole drying"), "{first} {notes}");
    assert!(notes.contains("How to go on with plate A is not decided"), "{notes}");
    assert!((asked(json!(600), false).0 - 540.0).abs() < 1e-6);
}
