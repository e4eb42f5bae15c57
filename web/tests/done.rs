//! What has been done to the metal, as the page uses it, without a browser: what is painted stays, times follow the log, and the day is laid out.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, settings, update};
use serde_json::{Value, json};
use stepbite_core::sheets::Kind;
use stepbite_web::clock::Laps;
use stepbite_web::desk::Desk;
use stepbite_web::error::Refusal;
use stepbite_web::settings::{DaySpec, Done, KeptMap, SheetChoice};

struct Bench {
    desk: Desk,
    log: Vec<Value>,
    kept: Option<KeptMap>,
    wants: Value,
}

impl Bench {
    fn new() -> Self {
        Self { desk: desk(), log: Vec::new(), kept: None, wants: json!({}) }
    }

    fn plan(&mut self) -> Result<(), Refusal> {
        let mut all = settings(&self.wants);
        all.done =
            Done { log: self.log.iter().map(|entry| serde_json::from_value(entry.clone()).unwrap()).collect(), kept: self.kept.clone() };
        self.desk.update(all, &mut Laps::start(|| 0.0), &mut |_, _| {})
    }

    fn add(&mut self, mut entry: Value) {
        entry["at_ms"] = json!(0);
        self.log.push(entry);
        self.plan().unwrap();
    }

    /// As the page does it: the map first, then the entry with it.
    fn tick(&mut self, stop_out: usize) {
        let kept = self.desk.freeze().unwrap();
        self.kept = Some(KeptMap { id: kept.id, png: kept.png });
        self.add(json!({ "kind": "painted", "stop_out": stop_out, "minutes": null }));
    }

    fn bite(&mut self, bite: usize, off: f64) {
        let set = self.desk.plan().unwrap().bites().tones[bite].set.0;
        self.add(json!({ "kind": "bitten", "bite": bite, "planned_s": set, "actual_s": set + off, "celsius": null, "factor": 1 }));
    }

    fn masks(&self, upto: usize) -> Vec<Vec<u8>> {
        (1..=upto).map(|number| self.desk.plan().unwrap().stopouts().mask(number).data().to_vec()).collect()
    }

    fn standing(&self) -> Value {
        serde_json::to_value(self.desk.plan().unwrap().standing()).unwrap()
    }

    fn kinds(&self) -> Vec<Kind> {
        let choice: SheetChoice =
            serde_json::from_value(json!({ "paper": "a4", "transfer": "trace", "title": "", "letter": "", "date": "" })).unwrap();
        self.desk.sheet_facts(&choice).unwrap().entries.iter().map(|entry| entry.kind).collect()
    }
}

#[test]
fn no_setting_moves_a_painted_stop_out_and_what_is_wanted_is_a_wish() {
    let mut bench = Bench::new();
    for j in 1..=2 {
        bench.tick(j);
        bench.bite(j, 0.0);
        let wishes = bench.standing()["wishes"].clone();
        assert_eq!((&wishes["lighter_share"], &wishes["darker_share"]), (&json!(0.0), &json!(0.0)), "no wish right after a tick");
    }
    assert!(!bench.kinds().contains(&Kind::Repair));
    let painted = bench.masks(2);
    for wants in [
        json!({ "breaks": "fitted" }),
        json!({ "breaks": [20.0, 15.0, 10.0, 5.0] }),
        json!({ "tones": 3 }),
        json!({ "tones": 9 }),
        json!({ "mark_mm": 3 }),
        json!({ "mark_mm": 0 }),
        json!({ "hand": [{ "kind": "stroke", "path": "0,0 60,40", "width_mm": 20, "tone": 0 }] }),
        json!({ "hand": [{ "kind": "by_hand", "path": "0,0 60,0 60,40 0,40" }] }),
        json!({ "resist": { "kind": "drawn", "shapes": ["10,10 50,10 50,30 10,30"], "open_inside": true } }),
        json!({ "fit": "contain", "placing": { "turn": 90, "crop": { "left": 0, "top": 0, "right": 1, "bottom": 1 }, "offset_mm": [5, 0], "scale": 1, "true_size": false } }),
        json!({ "lines": "etched" }),
    ] {
        bench.wants = wants.clone();
        bench.plan().unwrap_or_else(|refused| panic!("{wants}: {refused}"));
        assert!(bench.masks(2) == painted, "{wants} moved what is painted");
    }
    bench.wants = json!({ "hand": [{ "kind": "lasso", "path": "0,0 60,0 60,40 0,40", "tone": 4 }] });
    bench.plan().unwrap();
    let standing = bench.standing();
    assert!(standing["wishes"]["darker_count"].as_u64().unwrap() > 0 && standing["wishes"]["lighter_count"] == 0, "{standing}");
    assert_eq!(standing["locked"]["breaks"], 2);
    assert!(standing["locked"]["said"].as_str().unwrap().starts_with("Stop-outs 1 to 2 are painted"), "{standing}");
    assert!(bench.kinds().contains(&Kind::Repair));
}

#[test]
fn another_plate_and_too_few_tones_are_refused_in_a_sentence() {
    let mut bench = Bench::new();
    bench.tick(1);
    bench.bite(1, 0.0);
    bench.tick(2);
    for (wants, says) in [
        (json!({ "plate": { "width_mm": 61, "height_mm": 40, "bevel_mm": 1 } }), "Stop-out 2 is painted on a plate of 60 × 40 mm"),
        (json!({ "plate": { "width_mm": 60, "height_mm": 40, "bevel_mm": 2 } }), "bevel of 1 mm"),
        (json!({ "px_per_mm": 6 }), "at 5 pixels a millimetre"),
        (json!({ "tones": 2 }), "at least 3 tones; 2 were asked for"),
    ] {
        let before = bench.masks(2);
        bench.wants = wants;
        let said = bench.plan().unwrap_err().to_string();
        assert!(said.contains(says), "{said}");
        assert!(bench.masks(2) == before, "the plan before stays");
    }
    bench.wants = json!({});
    bench.kept = Some(KeptMap { id: "0".into(), png: vec![1, 2, 3] });
    assert!(bench.plan().unwrap_err().to_string().starts_with("The map that this plate was painted by can't be read"));
}

#[test]
fn times_follow_the_log_and_a_decision_is_the_printers() {
    let mut bench = Bench::new();
    let planned: Vec<f64> = bench.desk.plan().unwrap().bites().tones.iter().map(|tone| tone.total.0).collect();
    bench.tick(1);
    bench.bite(1, 3.0);
    let tones = bench.desk.plan().unwrap().bites().tones.clone();
    for (tone, planned) in tones.iter().zip(&planned).skip(2) {
        assert!((tone.total.0 - planned).abs() < 1e-9, "{tones:?}");
    }
    assert!(bench.standing()["said"][0].as_str().unwrap().starts_with("Bite 1 was 3 s long: tone 1 prints at L* "));
    bench.tick(2);
    let set = tones[3].total.0 - tones[2].total.0 - 1.0;
    bench.bite(2, set);
    let due = bench.standing()["due"].clone();
    assert_eq!((&due["after"], due["dropped"]["joined"].clone()), (&json!(2), json!([3])), "{due}");
    let rungs: Vec<Value> = due["dropped"]["rungs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| json!({ "tone": r["tone"], "lightness": r["prints_l"], "total_s": r["total_s"], "shown_s": r["shown_total_s"] }))
        .collect();
    bench.add(json!({ "kind": "way", "bite": 2, "rungs": rungs, "joined": [3] }));
    let standing = bench.standing();
    assert_eq!((&standing["due"], &standing["next"]["stop_out"]), (&Value::Null, &json!(4)));
    // Tones 2 and 3 are painted together, at stop-out 4; stop-out 3 paints nothing.
    let list = bench.desk.plan().unwrap().stopouts().list().to_vec();
    assert!(list[2].new_share == 0.0 && list[3].new_share > 0.0, "{list:?}");
    // The files of a plan that lost a bite are still those of a plan.
    assert!(bench.desk.plan_json(&[]).unwrap().contains("\"tones\""));
}

#[test]
fn a_plate_that_came_bitten_keeps_the_map_of_its_first_plan() {
    let mut bench = Bench::new();
    bench.add(json!({ "kind": "begun", "bites_s": [8, 9] }));
    let standing = bench.standing();
    assert_eq!((&standing["painted"], &standing["to_keep"]), (&json!(2), &json!(true)));
    assert!(
        standing["said"]
            .as_array()
            .unwrap()
            .last()
            .unwrap()
            .as_str()
            .unwrap()
            .starts_with("No map is kept of what is painted up to stop-out 2")
    );
    let painted = bench.masks(2);
    let kept = bench.desk.freeze().unwrap();
    bench.kept = Some(KeptMap { id: kept.id, png: kept.png });
    bench.wants = json!({ "breaks": "fitted", "mark_mm": 2 });
    bench.plan().unwrap();
    assert_eq!(bench.standing()["to_keep"], false);
    assert!(bench.masks(2) == painted);
}

#[test]
fn the_proof_is_of_the_strips_own_time_and_a_day_leaves_out_what_is_done() {
    let mut bench = Bench::new();
    bench.wants = json!({ "witness": { "seconds": 100, "lightness": 48.5 }, "bench": { "dry_min": 25, "rinse_min": 5 } });
    bench.plan().unwrap();
    let print = |bench: &Bench| {
        let spec = serde_json::from_value(json!({ "kind": "proof", "view": "print", "width": 58, "height": 38, "grain": false, "proof": { "paper": null, "plate_tone": 0 } })).unwrap();
        bench.desk.picture(&spec, &mut |_, _| {}).unwrap()
    };
    let before = print(&bench);
    let day = |bench: &Bench| {
        let spec = DaySpec { start_min: 540.0, from_min: 540.0, to_min: 1080.0, dry_overnight: false, dried_min: None };
        serde_json::to_value(bench.desk.day_plan(&spec).unwrap()).unwrap()
    };
    let numbers = |day: &Value| {
        day["stretches"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| (s["kind"].as_str().unwrap().to_owned(), s["number"].as_u64().unwrap()))
            .collect::<Vec<_>>()
    };
    assert_eq!(numbers(&day(&bench)).last().unwrap(), &("rinse".to_owned(), 4));
    bench.tick(1);
    assert_eq!(numbers(&day(&bench))[0], ("dry".to_owned(), 1));
    // Bitten to the exact second in a bath a quarter slower, the print is what it was to be.
    let exact = bench.desk.plan().unwrap().bites().tones[1].bite.0;
    let factor = bench.desk.plan().unwrap().day().factor();
    bench.add(json!({ "kind": "bitten", "bite": 1, "planned_s": exact, "actual_s": exact, "celsius": null, "factor": factor }));
    assert!((factor - 1.25).abs() < 1e-9);
    let far = print(&bench).data().iter().zip(before.data()).map(|(a, b)| a[0].abs_diff(b[0])).max().unwrap();
    assert!(far <= 1, "{far}");
    assert!(numbers(&day(&bench)).iter().all(|(_, number)| *number >= 2));
}

#[test]
fn minutes_of_the_log_teach_the_pace_once() {
    let mut bench = Bench::new();
    let before = bench.desk.plan().unwrap().stopouts().list().to_vec();
    let kept = bench.desk.freeze().unwrap();
    bench.kept = Some(KeptMap { id: kept.id, png: kept.png });
    let twice = 2.0 * before[0].paint_min;
    bench.add(json!({ "kind": "painted", "stop_out": 1, "minutes": twice }));
    let pace = |bench: &Bench| bench.desk.plan().unwrap().pace().map(|pace| (pace.factor, pace.from.clone()));
    let (factor, from) = pace(&bench).unwrap();
    assert!((factor - 2.0).abs() < 1e-9 && from == [1], "{factor} {from:?}");
    for (was, is) in before.iter().zip(bench.desk.plan().unwrap().stopouts().list()) {
        assert!((is.paint_min - 2.0 * was.paint_min).abs() < 1e-9, "{is:?}");
    }
    assert_eq!(bench.standing()["minutes"], json!([[1, twice]]));
    // What was typed for the same stop-out stands in its place, and is not counted beside it.
    bench.wants = json!({ "painted": [{ "number": 1, "minutes": 3.0 * before[0].paint_min }] });
    bench.plan().unwrap();
    let (factor, from) = pace(&bench).unwrap();
    assert!((factor - 3.0).abs() < 1e-9 && from == [1], "{factor} {from:?}");
    // A tick that came at once teaches nothing, and is no reason to refuse a plan; nor is one that did not happen.
    bench.wants = json!({});
    bench.log[0]["minutes"] = json!(0);
    bench.plan().unwrap();
    assert_eq!(pace(&bench), None);
    bench.log[0]["minutes"] = json!(twice);
    bench.add(json!({ "kind": "corrected", "entry": 0, "to": { "kind": "not_done" } }));
    assert_eq!((pace(&bench), &bench.standing()["minutes"]), (None, &json!([])));
}

#[test]
fn while_a_decision_is_due_the_day_says_that_its_hours_may_change() {
    let mut bench = Bench::new();
    bench.tick(1);
    bench.bite(1, 300.0);
    assert!(bench.standing()["due"].is_object());
    let spec = DaySpec { start_min: 540.0, from_min: 540.0, to_min: 1080.0, dry_overnight: false, dried_min: None };
    let notes = serde_json::to_value(bench.desk.day_plan(&spec).unwrap()).unwrap()["notes"].clone();
    assert!(
        notes.as_array().unwrap().iter().any(|note| note.as_str().unwrap().starts_with("How to go on after bite 1 is not decided")),
        "{notes}"
    );
}

#[test]
fn a_plate_bitten_before_a_strip_is_read_by_the_first_one() {
    let mut bench = Bench::new();
    bench.wants = json!({ "strip": "none" });
    bench.plan().unwrap();
    bench.tick(1);
    bench.add(json!({ "kind": "bitten", "bite": 1, "planned_s": 0, "actual_s": 20, "celsius": null, "factor": 1 }));
    assert_eq!((&bench.standing()["said"], &bench.standing()["due"]), (&json!([]), &Value::Null));
    bench.wants = json!({});
    bench.plan().unwrap();
    let said = bench.standing()["said"].clone();
    assert!(said[0].as_str().unwrap().starts_with("Bite 1 had no time planned; by strip 15-A it was "), "{said}");
    assert!(!said.to_string().contains("changed since"), "{said}");
}

#[test]
fn without_anything_done_nothing_is_held() {
    let mut desk = desk();
    let stages = update(&mut desk, &json!({ "breaks": [80.0, 60.0, 40.0, 20.0] })).unwrap();
    assert!(!stages.contains(&"drawing"));
    let standing = serde_json::to_value(desk.plan().unwrap().standing()).unwrap();
    assert_eq!((&standing["locked"]["said"], &standing["to_keep"], &standing["due"]), (&Value::Null, &json!(false), &Value::Null));
}
