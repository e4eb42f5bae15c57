//! The family's other plates, planned beside the one at hand: their facts, what stays, and what is refused.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, settings, update};
use serde_json::{Value, json};
use stepbite_core::plane::Plane;
use stepbite_core::png_file;
use stepbite_core::units::PxPerMm;
use stepbite_web::desk::{Desk, KinFacts};
use stepbite_web::error::Refusal;
use stepbite_web::settings::{Done, KinSpec};

/// A drawing of bands side by side, each of one grey.
fn bands(greys: &[u8]) -> Vec<u8> {
    png_file::grey(&Plane::from_fn(40 * greys.len(), 160, |x, _| greys[x / 40]), PxPerMm(4.0))
}

fn spec(change: &Value, done: Value) -> KinSpec {
    let mut settings = settings(change);
    settings.done = serde_json::from_value::<Done>(done).unwrap();
    let grain = serde_json::from_value(json!({ "kind": "rosin", "size": "medium", "cover": null, "seed": 1 })).unwrap();
    KinSpec { settings, id: "c3".to_owned(), letter: "C".to_owned(), title: "Mole".to_owned(), grain }
}

fn kin(desk: &mut Desk, drawing: &[u8], change: &Value) -> Result<KinFacts, Refusal> {
    desk.kin_plan(drawing, spec(change, json!({ "log": [], "kept": null })), &mut |_, _| {})
}

/// The same of one of many.
fn one_of_many(desk: &mut Desk, k: usize, drawing: &[u8], change: &Value) -> Result<KinFacts, Refusal> {
    let spec = KinSpec { id: format!("c{k}"), ..spec(change, json!({ "log": [], "kept": null })) };
    desk.kin_plan(drawing, spec, &mut |_, _| {})
}

#[test]
fn a_plate_that_lacks_tones_is_told_which_bites_join_and_the_one_at_hand_stays() {
    let mut desk = desk();
    let before = desk.plan().unwrap().report(&[]).json();
    // L* 100, 53.6 and 0 (IEC 61966-2-1, CIE 15): of five even tones the first, the third and the last.
    let three = kin(&mut desk, &bands(&[255, 128, 0]), &json!({ "plate": { "width_mm": 30, "height_mm": 40, "bevel_mm": 1 } })).unwrap();
    assert_eq!((three.joins.dips.as_slice(), three.joins.painted.as_slice()), (&[(1, 2), (3, 4)][..], &[1, 3][..]));
    let has: Vec<bool> = three.tones.iter().map(|tone| tone.share > 0.0).collect();
    assert_eq!(has, [true, false, true, false, true]);
    let facts = serde_json::to_value(&three).unwrap();
    assert_eq!((&facts["plate"]["letter"], &facts["plate_mm"]), (&json!("C"), &json!({ "width": 30.0, "height": 40.0 })));
    assert_eq!((facts["stopouts"].as_array().unwrap().len(), &facts["standing"]["next"]), (4, &json!({ "kind": "paint", "stop_out": 1 })));
    // Its ladder is the one of the plate at hand: equal settings, equal totals.
    let own: Value = serde_json::from_str(&before).unwrap();
    for (tone, there) in own["tones"].as_array().unwrap().iter().zip(facts["tones"].as_array().unwrap()) {
        assert_eq!((&tone["total_s"], &tone["set_s"]), (&there["total_s"], &there["set_s"]));
    }
    assert_eq!(desk.plan().unwrap().report(&[]).json(), before, "the plate at hand is as it was");
    assert_eq!(update(&mut desk, &json!({})).unwrap(), ["tones", "bites"], "and nothing of it is stale");
    let light = kin(&mut desk, &bands(&[255, 250, 255]), &json!({})).unwrap();
    assert_eq!(light.joins.dips.last().map(|dip| dip.1), light.tones.iter().rposition(|tone| tone.share > 0.0).filter(|tone| *tone > 0));
}

#[test]
fn another_letter_is_the_same_plate_and_a_copy_is_another() {
    let mut desk = desk();
    let drawing = bands(&[255, 128, 0]);
    let mut planned = |id: &str, letter: &str| {
        let mut of = spec(&json!({}), json!({ "log": [], "kept": null }));
        (of.id, of.letter) = (id.to_owned(), letter.to_owned());
        let facts = desk.kin_plan(&drawing, of, &mut |_, _| {}).unwrap();
        (facts.plate.id, facts.plate.of, facts.plate.letter)
    };
    let (c, d, copy) = (planned("c3", "C"), planned("c3", "D"), planned("e5", "C"));
    assert_eq!((&c.0, &c.1), (&d.0, &Some("c3".to_owned())), "the metal is the same by any name");
    assert_eq!((c.2.as_str(), d.2.as_str()), ("C", "D"));
    assert_ne!(c.0, copy.0, "its grain falls otherwise");
}

#[test]
fn without_a_strip_no_plate_has_a_time() {
    let facts = serde_json::to_value(kin(&mut desk(), &bands(&[255, 128, 0]), &json!({ "strip": "none" })).unwrap()).unwrap();
    for tone in facts["tones"].as_array().unwrap() {
        for name in ["total_s", "shown_total_s", "bite_s", "set_s"] {
            assert!(tone[name].is_null(), "{name}");
        }
    }
    assert_eq!(facts["joins"]["dips"], json!([[1, 2], [3, 4]]));
}

#[test]
fn what_another_plate_refuses_is_a_sentence_and_touches_nothing() {
    let mut desk = desk();
    let before = desk.plan().unwrap().report(&[]).json();
    let refused = |desk: &mut Desk, drawing: &[u8], spec: KinSpec| {
        let said = desk.kin_plan(drawing, spec, &mut |_, _| {}).unwrap_err().message;
        assert!(said.ends_with('.'), "{said}");
        said
    };
    let nothing = json!({ "log": [], "kept": null });
    refused(&mut desk, b"no drawing", spec(&json!({}), nothing.clone()));
    refused(&mut desk, &[], spec(&json!({}), nothing.clone()));
    refused(&mut desk, &bands(&[0]), spec(&json!({ "plate": { "width_mm": 3000, "height_mm": 40, "bevel_mm": 1 } }), nothing));
    // It came bitten by four bites: the family's ladder of three tones has only two.
    let bitten = json!({ "log": [{ "at_ms": 1.0, "note": "", "kind": "begun", "bites_s": [7.5, 7.9, 11.0, 15.7] }], "kept": null });
    let said = refused(&mut desk, &bands(&[255, 128, 0]), spec(&json!({ "tones": 3 }), bitten.clone()));
    assert!(said.contains("tones") || said.contains("bite"), "{said}");
    desk.kin_plan(&bands(&[255, 128, 0]), spec(&json!({ "tones": 6 }), bitten), &mut |_, _| {}).unwrap();
    assert_eq!(desk.plan().unwrap().report(&[]).json(), before);
}

#[test]
fn thirty_plates_are_planned_and_the_maps_of_those_that_go_are_put_away() {
    let mut desk = desk();
    let mut ids = vec![];
    for k in 0..29_u8 {
        let facts = one_of_many(
            &mut desk,
            k.into(),
            &bands(&[255, 128, 8 * k]),
            &json!({ "plate": { "width_mm": 20 + k, "height_mm": 30, "bevel_mm": 1 } }),
        )
        .unwrap();
        ids.push(facts.plate.id);
    }
    ids.dedup();
    assert_eq!(ids.len(), 29);
    // Planned anew time and again, as the ladder is moved: whoever drops what was before never comes to the end of the room there is.
    for tones in [3, 6] {
        for (k, id) in ids.iter_mut().enumerate() {
            let change = json!({ "tones": tones, "plate": { "width_mm": 20 + k, "height_mm": 30, "bevel_mm": 1 } });
            let facts = one_of_many(&mut desk, k, &bands(&[255, 128, 8 * k as u8]), &change).unwrap();
            desk.plate_drop(id);
            *id = facts.plate.id;
        }
    }
    // With no room left, one of them is still planned again beside what it was before, whose place it takes.
    for k in 29..48 {
        one_of_many(&mut desk, k, &bands(&[255, 0]), &json!({ "plate": { "width_mm": 20 + k, "height_mm": 30, "bevel_mm": 1 } })).unwrap();
    }
    one_of_many(&mut desk, 0, &bands(&[255, 128, 0]), &json!({ "plate": { "width_mm": 20, "height_mm": 31, "bevel_mm": 1 } })).unwrap();
    // Whoever keeps all of them is told.
    let said = (0..30_u8)
        .find_map(|k| {
            one_of_many(
                &mut desk,
                100 + usize::from(k),
                &bands(&[200, 0]),
                &json!({ "plate": { "width_mm": 20, "height_mm": 20 + k, "bevel_mm": 1 } }),
            )
            .err()
        })
        .unwrap();
    assert!(said.message.contains("At most 48"), "{}", said.message);
}

#[test]
fn a_plate_without_its_darkest_tones_leaves_after_its_last() {
    let light = json!({ "breaks": [90, 60, 30, 10] });
    let mut desk = Desk::default();
    // L* 100, 76.2 and 49.8 (IEC 61966-2-1, CIE 15): nothing as dark as tones 3 and 4.
    desk.open(&bands(&[255, 188, 119])).unwrap();
    let mut log = Vec::new();
    let mut nexts = Vec::new();
    loop {
        let mut settings = settings(&light);
        settings.done = serde_json::from_value::<Done>(json!({ "log": log, "kept": null })).unwrap();
        desk.update(settings, &mut stepbite_web::clock::Laps::start(|| 0.0), &mut |_, _| {}).unwrap();
        let plan = desk.plan().unwrap();
        let next = serde_json::to_value(plan.standing()).unwrap()["next"].clone();
        let to_come: Vec<usize> = plan.joins().to_come.iter().map(|dip| dip.to).collect();
        nexts.push((next["kind"].as_str().unwrap().to_owned(), to_come));
        let mut entry = match next["kind"].as_str() {
            Some("paint") => json!({ "kind": "painted", "stop_out": next["stop_out"], "minutes": null }),
            Some("bite") => {
                json!({ "kind": "bitten", "bite": next["bite"], "planned_s": 10, "actual_s": 90, "celsius": null, "factor": 1 })
            }
            _ => break,
        };
        entry["at_ms"] = json!(0);
        log.push(entry);
    }
    let kinds: Vec<&str> = nexts.iter().map(|(kind, _)| kind.as_str()).collect();
    assert_eq!(kinds, ["paint", "bite", "paint", "bite", "finished"], "{nexts:?}");
    assert_eq!((nexts[0].1.as_slice(), nexts[4].1.as_slice()), (&[1, 2][..], &[][..]));
    // However long its last bite was: of tones that it lacks nothing is to be decided, and its day is over.
    let standing = serde_json::to_value(desk.plan().unwrap().standing()).unwrap();
    assert!(standing["due"].is_null(), "{standing}");
    let hours = json!({ "start_min": 540, "from_min": 540, "to_min": 1080 });
    let day = serde_json::to_value(desk.day_plan(&serde_json::from_value(hours).unwrap()).unwrap()).unwrap();
    assert_eq!(day["stretches"], json!([]));
}
