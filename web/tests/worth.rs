//! What another bite is worth, and what if one was off, as the page asks for them.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, update, weighed};
use serde_json::{Value, json};
use stepbite_web::desk::Desk;
use stepbite_web::settings::{WhatIfSpec, WorthPicture, WorthSpec};

#[test]
fn every_count_of_tones_is_weighed_and_keeps_its_figures() {
    let mut desk = desk();
    let all: Vec<Value> = (2..=16).map(|tones| weighed(&mut desk, tones)).collect();
    for (worth, tones) in all.iter().zip(2..) {
        assert_eq!((worth["tones"].as_i64(), worth["breaks"].as_str()), (Some(tones), Some("even")));
        assert_eq!(worth["step"].is_null(), tones == 2);
        assert_eq!(worth["missing"], "drying and rinsing");
    }
    // The plan's own count, worked out on the whole face, which is smaller than a preview would be: the same figures.
    let plan = desk.plan().unwrap().report(&[]);
    let minutes: f64 = plan.stopouts.iter().map(|stop| stop.paint_min).sum();
    assert!((all[3]["paint_min"].as_f64().unwrap() - minutes).abs() < 1e-9);
    let bath: f64 = plan.tones.iter().map(|tone| tone.set_s).sum();
    assert!((all[3]["bath_s"].as_f64().unwrap() - bath).abs() < 1e-9);
    // In whatever order, and after the plan has moved: the same again.
    assert_eq!(weighed(&mut desk, 9), all[7]);
    update(&mut desk, &json!({ "tones": 8 })).unwrap();
    assert_eq!([5, 16, 2].map(|tones| weighed(&mut desk, tones)), [3, 14, 0].map(|i| all[i].clone()));
    // The printer's own figures change the cost and nothing else.
    update(&mut desk, &json!({ "bench": { "dry_min": 20, "rinse_min": 5 }, "scatter_l": 3 })).unwrap();
    let own = weighed(&mut desk, 5);
    assert_eq!((&own["error_l"], &own["edge_cm"], &own["bench_min"]), (&all[3]["error_l"], &all[3]["edge_cm"], &json!(100.0)));
    assert!(own["fusing"].as_f64() > all[3]["fusing"].as_f64() && own["missing"].is_null());
    for tones in [1, 17, -5] {
        assert!(desk.worth(WorthSpec { tones }).unwrap_err().message.contains("2 to 16"));
    }
    let shown = desk.worth_picture(WorthPicture { tones: 12, width: 90, height: 90 }).unwrap();
    assert_eq!((shown.width(), shown.height()), (90, 59));
}

#[test]
fn breaks_by_hand_belong_to_their_own_count_and_others_are_fitted() {
    let mut desk = desk();
    update(&mut desk, &json!({ "breaks": "fitted" })).unwrap();
    let fitted = [4, 5, 6].map(|tones| weighed(&mut desk, tones));
    update(&mut desk, &json!({ "breaks": [85, 65, 45, 25] })).unwrap();
    let hand = [4, 5, 6].map(|tones| weighed(&mut desk, tones));
    assert_eq!(hand.each_ref().map(|worth| worth["breaks"].as_str().unwrap()), ["fitted", "hand", "fitted"]);
    assert_eq!((&hand[0]["error_l"], &hand[2]["error_l"]), (&fitted[0]["error_l"], &fitted[2]["error_l"]));
}

#[test]
fn a_bite_that_was_off_is_told_from_the_plan() {
    let desk = desk();
    let what = serde_json::to_value(desk.what_if(WhatIfSpec { bite: 2, seconds: 10.0 }).unwrap()).unwrap();
    assert_eq!(
        (what["tones"].as_array().unwrap().len(), &what["tones"][1]["covered"], &what["tones"][2]["covered"]),
        (5, &json!(true), &json!(false))
    );
    for (bite, seconds) in [(0, 1.0), (5, 1.0), (1, 121.0), (1, f64::NAN)] {
        let refusal = desk.what_if(WhatIfSpec { bite, seconds }).unwrap_err();
        assert!(refusal.code == "what_if" && refusal.message.ends_with('.'), "{refusal}");
    }
    assert_eq!(Desk::default().what_if(WhatIfSpec { bite: 1, seconds: 0.0 }).unwrap_err().code, "no_plan");
    assert_eq!(Desk::default().worth(WorthSpec { tones: 5 }).unwrap_err().code, "no_plan");
}
