//! What the strip tells of the metal, and edges as painted, as the page asks for them, without a browser.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, settings, update};
use serde_json::{Value, json};
use stepbite_core::light::{Encoded, Lightness};
use stepbite_core::picture::Rgba;
use stepbite_core::plane::Plane;
use stepbite_web::clock::Laps;
use stepbite_web::desk::Desk;
use stepbite_web::settings::Done;

/// Turns back after 320 s.
fn over_bitten() -> Value {
    json!({ "strip": { "id": "14-B", "readings": [[0, 89], [5, 85], [10, 81], [20, 74], [40, 66], [80, 56.5], [160, 47], [320, 37], [480, 40.5], [640, 45.5]] } })
}

fn facts(desk: &Desk, grain: &Value) -> Value {
    serde_json::to_value(desk.relief(&serde_json::from_value(grain.clone()).unwrap()).unwrap()).unwrap()
}

fn shown(desk: &Desk, spec: &Value) -> Plane<Rgba> {
    desk.picture(&serde_json::from_value(spec.clone()).unwrap(), &mut |_, _| {}).unwrap()
}

fn rosin(cover: &Value) -> Value {
    json!({ "kind": "rosin", "size": "medium", "cover": cover, "seed": 1 })
}

#[test]
fn a_strip_that_turns_back_tells_what_another_leaves_an_estimate() {
    let mut desk = desk();
    let told = |desk: &Desk| {
        let facts = facts(desk, &rosin(&json!(null)));
        let rows = facts["rows"].as_array().unwrap();
        assert_eq!(rows.len(), 6);
        assert!(rows.iter().all(|row| row["spread"].as_f64().unwrap() > 0.0 && row["name"].is_string() && row["unit"].is_string()));
        (rows[5]["told"].as_bool().unwrap(), facts["remarks"].as_array().unwrap().len())
    };
    // The example, which is nobody's bath and does not turn back: both are said.
    assert_eq!(told(&desk), (false, 2));
    update(&mut desk, &over_bitten()).unwrap();
    assert_eq!(told(&desk), (true, 0));
    let typed = facts(&desk, &rosin(&json!(0.61)));
    assert_eq!((&typed["cover"], typed["rows"].as_array().unwrap().len()), (&json!(0.61), 5));
    let sprayed = facts(&desk, &json!({ "kind": "sprayed", "size": "fine", "cover": null, "seed": 1 }));
    assert!(sprayed["median_um"].as_f64().unwrap() < typed["median_um"].as_f64().unwrap());
}

#[test]
fn a_plate_left_in_past_the_darkest_band_prints_lighter_again() {
    let mut desk = desk();
    let darkest = |desk: &Desk| {
        let spec = json!({ "kind": "proof", "view": "print", "width": 290, "height": 190, "grain": false, "proof": { "paper": null, "plate_tone": 0 } });
        let byte = shown(desk, &spec).data().iter().map(|rgba| rgba[1]).min().unwrap();
        Encoded(f64::from(byte) / 255.0).linear().lightness().0
    };
    let mut bitten = |last: f64| {
        let mut all = settings(&over_bitten());
        let begun = json!({ "kind": "begun", "bites_s": [10.0, 30.0, 80.0, last], "at_ms": 0 });
        all.done = Done { log: vec![serde_json::from_value(begun).unwrap()], kept: None };
        desk.update(all, &mut Laps::start(|| 0.0), &mut |_, _| {}).unwrap();
        darkest(&desk)
    };
    // Bands of the strip at 320, 480 and 640 s, to the byte that a screen shows: 0.3 L* here.
    for (last, lightness) in [(200.0, 37.0), (360.0, 40.5), (520.0, 45.5)] {
        let Lightness(seen) = Lightness(bitten(last));
        assert!((seen - lightness).abs() < 0.5, "{seen} instead of {lightness}");
    }
}

#[test]
fn chances_of_edges_are_a_picture_and_an_impossible_hand_is_refused() {
    let desk = desk();
    let spec = |wander: f64| {
        json!({ "kind": "chance", "view": "print", "width": 290, "height": 190,
        "edges": { "seed": 1, "wander_mm": wander, "creep_mm": 0.2, "lap_mm": 1 } })
    };
    let (steady, shaky) = (shown(&desk, &spec(0.1)), shown(&desk, &spec(1.0)));
    assert_eq!((steady.width(), steady.height()), (290, 190));
    let plain = steady.data().iter().filter(|rgba| rgba[0] == rgba[2]).count();
    let marked = shaky.data().iter().filter(|rgba| rgba[0] != rgba[2]).count();
    assert!(plain > 0 && marked > steady.data().len() - plain, "a shakier hand marks more");
    let refused = desk.picture(&serde_json::from_value(spec(9.0)).unwrap(), &mut |_, _| {}).unwrap_err().message;
    assert!(refused.ends_with('.'), "{refused}");
}
