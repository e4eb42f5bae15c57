//! The pulled proof as the page asks for it, without a browser: a reading belongs to its plan, and says what it leaves out of account.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, update};
use serde_json::{Value, json};
use stepbite_core::plane::Plane;
use stepbite_core::png_file;
use stepbite_core::units::PxPerMm;
use stepbite_web::desk::Desk;
use stepbite_web::error::Refusal;
use stepbite_web::settings::PictureSpec;

/// Bare paper round the picture, pixels.
const ROUND: usize = 60;

/// The proof as it is planned, photographed: the page's own picture on a sheet.
fn photo(desk: &Desk) -> Vec<u8> {
    photo_with(desk, 0.0, |_, _| 0)
}

/// The same with a film of this density all over the plate, and some places lighter by so many steps of 255.
fn photo_with(desk: &Desk, film: f64, lighter: impl Fn(usize, usize) -> u8) -> Vec<u8> {
    let print = |film: f64| {
        let spec = json!({ "kind": "proof", "view": "print", "width": 290, "height": 190, "grain": false, "proof": { "paper": null, "plate_tone": film } });
        let spec: PictureSpec = serde_json::from_value(spec).unwrap();
        desk.picture(&spec, &mut |_, _| {}).unwrap()
    };
    let paper = print(0.0).data().iter().map(|px| px[0]).max().unwrap();
    let print = print(film);
    let within = |x: usize, y: usize| x >= ROUND && y >= ROUND && x < ROUND + print.width() && y < ROUND + print.height();
    let sheet = Plane::from_fn(print.width() + 2 * ROUND, print.height() + 2 * ROUND, |x, y| {
        if within(x, y) { (print.at(x - ROUND, y - ROUND)[0]).saturating_add(lighter(x, y)).min(paper) } else { paper }
    });
    png_file::grey(&sheet, PxPerMm(5.0))
}

/// Read against the plan at hand, with some settings of the page's proof.
fn read(desk: &mut Desk, change: &Value) -> Value {
    let [left, top, right, foot] = [60.0, 60.0, 350.0, 250.0];
    let mut proof = json!({ "paper": null, "plate_tone": 0 });
    for (name, value) in change.as_object().unwrap() {
        proof[name] = value.clone();
    }
    let choice = json!({ "corners": [[left, top], [right, top], [right, foot], [left, foot]], "paper": { "kind": "as_strip" }, "strip_name": "from A", "proof": proof });
    serde_json::to_value(desk.pulled_read(&serde_json::from_value(choice).unwrap()).unwrap()).unwrap()
}

fn repair(desk: &mut Desk) -> Result<Value, Refusal> {
    repair_by(desk, "plan", true)
}

fn repair_by(desk: &mut Desk, strip: &str, metal_alone: bool) -> Result<Value, Refusal> {
    let choice = json!({ "tolerance_l": 4, "mark_mm": 2, "tones": 3, "metal_alone": metal_alone, "strip": strip, "strip_name": "from A" });
    Ok(serde_json::to_value(desk.pulled_repair(&serde_json::from_value(choice).unwrap())?).unwrap())
}

fn sheets(desk: &Desk) -> Result<usize, Refusal> {
    let choice = json!({ "paper": "a4", "transfer": "trace", "kinds": ["run"], "style": "full", "inward_mm": 0, "hinge": false, "bars_mm": null, "title": "Card", "letter": "A", "date": "2024-05-02" });
    Ok(desk.pulled_sheets(&serde_json::from_value(choice).unwrap())?.sheets.len())
}

#[test]
fn a_reading_serves_its_own_plan_alone() {
    let mut desk = desk();
    desk.pulled_open(&photo(&desk)).unwrap();
    let got = read(&mut desk, &json!({}));
    assert!(got["blind"].is_null() && got["verdict"] == "as_planned", "{got}");
    assert!(got["strip_words"].as_str().unwrap().contains("wiped and inked like it"), "{got}");
    repair(&mut desk).unwrap();
    // The same plate in more tones, another plan: neither list nor sheets come of what was read before.
    update(&mut desk, &json!({ "tones": 6 })).unwrap();
    for refused in [repair(&mut desk).unwrap_err(), sheets(&desk).unwrap_err()] {
        assert_eq!((refused.code, refused.message.ends_with("read it again.")), ("reading_old", true), "{}", refused.message);
    }
    read(&mut desk, &json!({}));
    repair(&mut desk).unwrap();
}

#[test]
fn a_pull_that_is_not_this_plate_alone_in_its_strips_ink_is_said_to_be_none() {
    let mut desk = desk();
    desk.pulled_open(&photo(&desk)).unwrap();
    assert!(read(&mut desk, &json!({}))["apart"].is_null());
    let ink = json!([{ "name": "sea", "known": { "full": "#10305c", "opacity": 0.1 }, "sheet": null, "thinned": 0, "strength": 1 }]);
    let printing =
        |plate: Value, ink: Value| json!({ "plate": plate, "ink": ink, "trap": 1, "shift_mm": [0, 0], "growth": [0, 0], "turn": 0 });
    let zone = json!([{ "name": "sky", "ink": 0, "outline": [[0, 0], [20, 0], [20, 20]] }]);
    let tissue = json!([{ "name": "tissue", "on_white": "#f0ead8", "on_black": "#807868", "outline": null, "edge": "cut", "back": null, "turned": false }]);
    for (change, word) in [
        (json!({ "inks": ink, "printings": [printing(Value::Null, json!(0))] }), "“sea”"),
        (json!({ "printings": [printing(Value::Null, Value::Null), printing(json!("0123"), Value::Null)] }), "another plate"),
        (json!({ "inks": ink, "zones": zone }), "zones of ink"),
        (json!({ "laid": tissue }), "thin papers"),
        (json!({ "paper": "#d8c8a0" }), "type its L*"),
    ] {
        let got = read(&mut desk, &change);
        let said = got["apart"].as_str().unwrap();
        assert!(said.contains(word) && said.ends_with('.'), "{said}");
        // Whoever plans the repair hears it as well.
        assert_eq!(repair(&mut desk).unwrap()["notes"][0], said);
    }
}

#[test]
fn a_second_plan_by_the_proof_says_which_of_its_two_strips_that_is() {
    let mut desk = desk();
    // A disc of 7 mm that came out too light.
    let spot = |x: usize, y: usize| if (x as f64 - 250.0).hypot(y as f64 - 150.0) < 18.0 { 45 } else { 0 };
    for film in [0.12, 0.0] {
        desk.pulled_open(&photo_with(&desk, film, spot)).unwrap();
        read(&mut desk, &json!({}));
        for (strip, metal_alone, says) in [("proof", true, film > 0.0), ("proof", false, false), ("plan", true, false)] {
            let got = repair_by(&mut desk, strip, metal_alone).unwrap();
            assert!(!got["second"].is_null(), "{got}");
            assert_eq!(got["notes"].to_string().contains("with wiping and ink taken off"), says, "{film} {strip} {metal_alone}: {got}");
        }
    }
}
