//! The day at the bath as the page uses it, without a browser: what scales the times, what is refused, what is never shown without a strip.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, update};
use serde_json::{Value, json};
use stepbite_web::desk::Desk;
use stepbite_web::settings::SheetChoice;

fn totals(desk: &Desk) -> Vec<f64> {
    desk.plan().unwrap().bites().tones.iter().map(|tone| tone.total.0).collect()
}

fn sheet_names(desk: &Desk) -> Vec<String> {
    let choice: SheetChoice =
        serde_json::from_value(json!({ "paper": "a4", "transfer": "trace", "title": "", "letter": "", "date": "" })).unwrap();
    desk.sheets(&choice, &mut |_, _| ()).unwrap().sheets.iter().map(|sheet| sheet.name.clone()).collect()
}

#[test]
fn a_witness_scales_every_time_and_no_tone() {
    let mut desk = desk();
    let before = totals(&desk);
    let tones = |desk: &Desk| desk.plan().unwrap().bites().tones.iter().map(|tone| tone.target).collect::<Vec<_>>();
    let targets = tones(&desk);
    // 80 s printed at L* 48.5 on the example strip; today it takes 100 s.
    let stages = update(&mut desk, &json!({ "witness": { "seconds": 100, "lightness": 48.5 } })).unwrap();
    assert_eq!(stages, ["tones", "bites"]);
    for (then, now) in before.iter().zip(totals(&desk)) {
        assert!((now - then * 1.25).abs() < 1e-9 * then.max(1.0), "{now} for {then}");
    }
    assert_eq!(tones(&desk), targets);
    let notes = desk.plan().unwrap().report(&[]).notes;
    assert!(notes.iter().any(|note| note.starts_with("All times are 1.25 times the strip’s, by the witness")), "{notes:?}");
    assert!(notes.iter().any(|note| note.contains("EXAMPLE, NOT YOUR BATH")), "the example stays one");
}

#[test]
fn temperature_counts_only_where_it_is_applied_and_never_beside_a_witness() {
    let mut desk = desk();
    let before = totals(&desk);
    let cold = |kj: Value| json!({ "strip_c": 21, "today_c": 17, "warmth_kj": kj });
    update(&mut desk, &json!({ "bath": cold(Value::Null) })).unwrap();
    assert_eq!(totals(&desk), before);
    let hint = *desk.plan().unwrap().day().temperature().unwrap();
    assert!((hint.factor.0 - 1.09).abs() < 0.01 && (hint.factor.1 - 1.33).abs() < 0.01, "{hint:?}");
    update(&mut desk, &json!({ "bath": cold(json!(50)) })).unwrap();
    assert!((totals(&desk)[4] / before[4] - 1.3256).abs() < 1e-3);
    update(&mut desk, &json!({ "bath": cold(json!(50)), "witness": { "seconds": 100, "lightness": 48.5 } })).unwrap();
    assert!((totals(&desk)[4] / before[4] - 1.25).abs() < 1e-9);
    let notes = desk.plan().unwrap().report(&[]).notes;
    assert!(notes.iter().any(|note| note.starts_with("The temperature is not applied besides")), "{notes:?}");
}

#[test]
fn what_can_not_be_is_refused_in_a_sentence_and_the_plan_before_stays() {
    let mut desk = desk();
    let before = desk.plan().unwrap().report(&[]).json();
    for (code, change) in [
        ("temperature", json!({ "bath": { "strip_c": 120 } })),
        ("temperature", json!({ "bath": { "strip_c": 21, "warmth_kj": 30 } })),
        ("temperature", json!({ "bath": { "strip_c": 21, "today_c": 17, "warmth_kj": 90 } })),
        (
            "temperature",
            json!({ "bath": { "metal": "zinc", "mordant": "copper sulphate", "strip_c": 21, "today_c": 17, "warmth_kj": 40 } }),
        ),
        ("metal", json!({ "bath": { "litres": -1 } })),
        ("metal", json!({ "bath": { "depth_um": 0 } })),
        ("witness", json!({ "witness": { "seconds": 100, "lightness": 95 } })),
        ("witness", json!({ "witness": { "seconds": 100, "lightness": 90 } })),
        ("witness", json!({ "strip": "none", "witness": { "seconds": 100, "lightness": 48.5 } })),
        (
            "strip_plan",
            json!({ "strip_plan": { "first_s": 10, "last_s": 5, "bands": 8, "way": "covered", "width_mm": 40, "height_mm": 120 } }),
        ),
    ] {
        let refusal = update(&mut desk, &change).unwrap_err();
        assert_eq!(refusal.code, code, "{change}");
        assert!(refusal.message.ends_with('.'), "{refusal}");
        assert_eq!(desk.plan().unwrap().report(&[]).json(), before, "{change}");
    }
}

#[test]
fn without_a_strip_there_are_ratios_and_no_times() {
    let mut desk = desk();
    update(&mut desk, &json!({ "strip": "none" })).unwrap();
    let plan = desk.plan().unwrap();
    let report: Value = serde_json::from_str(&plan.report(&[]).json()).unwrap();
    assert_eq!(report["strip"], json!({ "id": "none yet", "kind": "missing" }));
    for tone in report["tones"].as_array().unwrap() {
        for time in ["total_s", "bite_s", "set_s", "range_s"] {
            assert!(tone[time].is_null(), "{tone}");
        }
        assert!(tone["lightness"].is_f64());
    }
    // 10 s to 15 min over four bites: each total ∛90 times the one before.
    let ratios = plan.day().ratios().unwrap();
    let expected = [1.0, 4.481_405, 20.082_989, 90.0];
    assert!(ratios.len() == 4 && ratios.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-5), "{ratios:?}");
    assert!(plan.taken().is_none());
    assert_eq!(sheet_names(&desk)[..2], ["cover", "strip plan"]);
    // Back to the example: its times are there again.
    update(&mut desk, &json!({})).unwrap();
    assert!(desk.plan().unwrap().day().ratios().is_none() && !sheet_names(&desk).contains(&"strip plan".to_owned()));
}

#[test]
fn after_a_stop_no_strip_is_planned_either() {
    let mut desk = desk();
    let choice: SheetChoice =
        serde_json::from_value(json!({ "paper": "a4", "transfer": "trace", "title": "", "letter": "", "date": "" })).unwrap();
    update(&mut desk, &json!({ "strip": "none" })).unwrap();
    assert_eq!(desk.strip_sheet(&choice).unwrap().sheets.len(), 1);
    let with_plan = sheet_names(&desk);
    let stop = json!({ "strip": "none", "bath": { "metal": "zinc", "mordant": "ferric chloride" } });
    update(&mut desk, &stop).unwrap();
    let refused = desk.strip_sheet(&choice).unwrap_err();
    assert!(refused.code == "stop" && refused.message.starts_with("STOP") && refused.message.ends_with('.'), "{refused}");
    let names = sheet_names(&desk);
    assert!(
        with_plan.iter().any(|name| name.contains("strip")) && !names.iter().any(|name| name.contains("strip")),
        "{with_plan:?}, then {names:?}"
    );
}

#[test]
fn a_stop_prints_no_run_sheet_and_metal_is_counted_bite_by_bite() {
    let mut desk = desk();
    let bath = |mordant: &str, before: &str| json!({ "bath": { "metal": "zinc", "mordant": mordant, "before": before, "litres": 4, "strength_g_l": 50 } });
    update(&mut desk, &bath("ferric chloride", "none")).unwrap();
    let names = sheet_names(&desk);
    assert!(names.contains(&"stop".to_owned()) && !names.iter().any(|name| name.contains("run sheet")), "{names:?}");
    assert!(desk.plan().unwrap().report(&[]).notes.iter().any(|note| note.starts_with("STOP: zinc in ferric chloride.")));
    update(&mut desk, &bath("copper sulphate and salt", "none")).unwrap();
    assert!(sheet_names(&desk).contains(&"run sheet".to_owned()));
    let plan = desk.plan().unwrap();
    let taken = plan.taken().unwrap();
    // The same sum, by hand: 58 × 38 mm, zinc of 7.14 g/cm³, 30 µm in all.
    let bites = &plan.bites().tones;
    let last = bites[4].total.0;
    let by_hand: f64 = plan
        .stopouts()
        .list()
        .iter()
        .map(|stop| {
            (1.0 - stop.covered_share) * 22.04 * 7.14 * 0.003 * (bites[stop.number].total.0 - bites[stop.number - 1].total.0) / last
        })
        .sum();
    assert!((taken.grams - by_hand).abs() < 1e-9 && taken.bites.len() == 4, "{taken:?}, {by_hand} by hand");
    assert!((taken.share.unwrap() - by_hand / 52.37).abs() < 1e-4);
}
