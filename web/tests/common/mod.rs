//! What the tests of the desk begin with: a small card of fifteen greys, planned.

#![allow(dead_code, reason = "each test program uses a part of it")]

use serde_json::{Value, json};
use stepbite_core::plane::Plane;
use stepbite_core::png_file;
use stepbite_core::units::PxPerMm;
use stepbite_web::clock::Laps;
use stepbite_web::desk::Desk;
use stepbite_web::error::Refusal;
use stepbite_web::settings::{Settings, WorthSpec};

pub(crate) fn settings(change: &Value) -> Settings {
    let mut all = json!({
        "plate": { "width_mm": 60, "height_mm": 40, "bevel_mm": 1 }, "fit": "cover", "px_per_mm": 5, "tones": 5, "breaks": "even",
        "mark_mm": 1, "reserve_l": 1, "strip": null
    });
    for (name, value) in change.as_object().unwrap() {
        all[name] = value.clone();
    }
    serde_json::from_value(all).unwrap()
}

/// Which stages ran.
pub(crate) fn update(desk: &mut Desk, change: &Value) -> Result<Vec<&'static str>, Refusal> {
    let mut laps = Laps::start(|| 0.0);
    desk.update(settings(change), &mut laps, &mut |_, _| {})?;
    Ok(laps.laps().iter().map(|lap| lap.0).collect())
}

pub(crate) fn card() -> Vec<u8> {
    png_file::grey(&Plane::from_fn(300, 200, |x, y| ((x / 60) * 50 + y / 100 * 20) as u8), PxPerMm(5.0))
}

pub(crate) fn desk() -> Desk {
    let mut desk = Desk::default();
    desk.open(&card()).unwrap();
    update(&mut desk, &json!({})).unwrap();
    desk
}

/// What a count of tones is worth, as the page gets it.
pub(crate) fn weighed(desk: &mut Desk, tones: i64) -> Value {
    serde_json::to_value(desk.worth(WorthSpec { tones }).unwrap()).unwrap()
}
