//! The desk as the page uses it, without a browser: what is recomputed, what stays after a refusal, whose strip it is.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{desk, settings, update, weighed};
use serde_json::{Value, json};
use stepbite_core::plane::Plane;
use stepbite_core::png_file;
use stepbite_core::strip::StripKind;
use stepbite_core::units::PxPerMm;
use stepbite_web::clock::Laps;
use stepbite_web::desk::Desk;
use stepbite_web::error::Refusal;
use stepbite_web::settings::{PictureSpec, PngSpec, Settings};

fn picture(desk: &Desk, spec: &Value) -> Result<(usize, usize), Refusal> {
    let spec: PictureSpec = serde_json::from_value(spec.clone()).unwrap();
    desk.picture(&spec, &mut |_, _| {}).map(|shown| (shown.width(), shown.height()))
}

#[test]
fn a_change_recomputes_only_what_it_made_stale() {
    let mut desk = desk();
    let steps = desk.plan().unwrap().stopouts().map().clone();
    assert_eq!(update(&mut desk, &json!({})).unwrap(), ["tones", "bites"]);
    assert_eq!(update(&mut desk, &json!({ "reserve_l": 5 })).unwrap(), ["tones", "bites"]);
    assert_eq!(desk.plan().unwrap().stopouts().map(), &steps);
    let moved = json!({ "breaks": [80, 60, 40, 20] });
    assert_eq!(update(&mut desk, &moved).unwrap(), ["tones", "regions", "outlines", "stopouts", "bites"]);
    let marked = json!({ "breaks": [80, 60, 40, 20], "mark_mm": 2 });
    assert_eq!(update(&mut desk, &marked).unwrap(), ["tones", "softening", "regions", "outlines", "stopouts", "bites"]);
    assert_eq!(update(&mut desk, &json!({ "fit": "contain" })).unwrap()[0], "drawing");
}

#[test]
fn whatever_way_it_came_about_equal_settings_are_an_equal_plan() {
    let mut desk = desk();
    let first = desk.plan().unwrap().report(&[]).json();
    for detour in
        [json!({ "tones": 9, "breaks": "fitted" }), json!({ "px_per_mm": 8 }), json!({ "mark_mm": 0 }), json!({ "fit": "contain" })]
    {
        update(&mut desk, &detour).unwrap();
        update(&mut desk, &json!({})).unwrap();
        assert_eq!(desk.plan().unwrap().report(&[]).json(), first, "after {detour}");
    }
}

#[test]
fn a_refusal_is_a_sentence_and_the_plan_before_stays() {
    let mut desk = desk();
    let before = desk.plan().unwrap().report(&[]).json();
    let refused = [
        json!({ "tones": 1 }),
        json!({ "tones": 17 }),
        json!({ "mark_mm": 9 }),
        json!({ "plate": { "width_mm": 0, "height_mm": 40, "bevel_mm": 1 } }),
        json!({ "plate": { "width_mm": 3000, "height_mm": 40, "bevel_mm": 1 } }),
        json!({ "plate": { "width_mm": 60, "height_mm": 40, "bevel_mm": 20 } }),
        json!({ "px_per_mm": 400 }),
        // 240 million pixels: more than the memory a tab can have.
        json!({ "plate": { "width_mm": 2000, "height_mm": 1200, "bevel_mm": 0 }, "px_per_mm": 10 }),
        json!({ "breaks": [50, 60, 40, 20] }),
        json!({ "breaks": [50] }),
        json!({ "reserve_l": 60 }),
        json!({ "reading_error_l": 0 }),
        json!({ "handling": { "slack_s": 2, "lag_s": 31, "drag_s": 0 } }),
        json!({ "handling": { "slack_s": 2, "lag_s": 5, "drag_s": 0 } }),
        json!({ "strip": { "id": "x", "readings": [[0, 90], [10, 80]] } }),
        json!({ "strip": { "id": "x", "readings": [[0, 90], [20, 80], [10, 85], [40, 60]] } }),
    ];
    for change in refused {
        let refusal = update(&mut desk, &change).unwrap_err();
        assert!(refusal.message.ends_with('.') && !refusal.code.is_empty(), "{change}: {refusal}");
        assert_eq!(desk.plan().unwrap().report(&[]).json(), before, "{change}");
    }
    assert!(desk.open(b"not a picture").is_err());
    assert_eq!(desk.plan().unwrap().report(&[]).json(), before);
    // And what was kept is not that of a face that was refused half-way.
    update(&mut desk, &json!({ "breaks": [80, 60, 40, 20] })).unwrap();
}

/// Ranges are worked out anew where times are, and taken over, to the digit, where they are not.
#[test]
fn ranges_go_with_the_times() {
    let mut desk = desk();
    let ranges = |desk: &Desk| desk.plan().unwrap().bites().tones.iter().map(|tone| tone.range.unwrap()).collect::<Vec<_>>();
    let first = ranges(&desk);
    update(&mut desk, &json!({ "breaks": [80, 60, 40, 20] })).unwrap();
    assert_eq!(ranges(&desk), first);
    update(&mut desk, &json!({ "reading_error_l": 2 })).unwrap();
    let wide = ranges(&desk);
    assert!(wide.iter().zip(&first).skip(1).all(|(wide, first)| wide.1.0 - wide.0.0 > first.1.0 - first.0.0), "{wide:?} {first:?}");
    update(&mut desk, &json!({ "handling": { "slack_s": 2, "lag_s": 2, "drag_s": 0 } })).unwrap();
    let late = desk.plan().unwrap().bites();
    for (k, tone) in late.tones.iter().enumerate() {
        assert!((tone.total.0 - tone.effective.0 - 2.0 * k as f64).abs() < 1e-9, "{tone:?}");
    }
    update(&mut desk, &json!({})).unwrap();
    assert_eq!(ranges(&desk), first);
}

#[test]
fn the_example_typed_in_is_still_the_example() {
    let mut desk = desk();
    let readings = [(0, 91.0), (5, 86.0), (10, 80.5), (20, 72.0), (40, 61.0), (80, 48.5), (160, 36.5), (320, 27.0), (640, 20.5)];
    update(&mut desk, &json!({ "strip": { "id": "mine", "readings": readings } })).unwrap();
    assert_eq!(desk.plan().unwrap().strip().kind(), StripKind::Example);
    update(&mut desk, &json!({ "strip": { "id": "mine", "readings": &readings[..6] } })).unwrap();
    let plan = desk.plan().unwrap();
    assert_eq!((plan.strip().kind(), plan.strip().id()), (StripKind::Measured, "mine"));
}

#[test]
fn pictures_fit_their_box_and_ask_for_what_there_is() {
    let desk = desk();
    for kind in ["drawing", "tones"] {
        assert_eq!(picture(&desk, &json!({ "kind": kind, "view": "print", "width": 100, "height": 100 })), Ok((100, 66)));
    }
    let stopout =
        |number: usize| picture(&desk, &json!({ "kind": "stopout", "number": number, "view": "plate", "width": 58, "height": 58 }));
    assert_eq!(stopout(4), Ok((58, 38)));
    assert!(stopout(0).is_err() && stopout(5).is_err());
    let proof = json!({ "paper": "#f4f1e8", "plate_tone": 0.05 });
    let shown = json!({ "kind": "proof", "view": "print", "width": 58, "height": 58, "grain": true, "proof": proof });
    assert_eq!(picture(&desk, &shown), Ok((58, 38)));
    let wrong = json!({ "kind": "proof", "view": "print", "width": 58, "height": 58, "grain": true, "proof": { "paper": "white", "plate_tone": 0 } });
    assert!(picture(&desk, &wrong).unwrap_err().message.contains("#f4f1e8"));
    assert!(Desk::default().png(&PngSpec::Steps).is_err());
    assert_eq!(desk.masks().unwrap().len(), 5);
}

#[test]
fn what_is_set_by_hand_is_set_on_the_kept_map_at_every_resolution() {
    let mut desk = desk();
    let plain = desk.plan().unwrap().report(&[]).json();
    let share = |desk: &Desk, tone: u8| {
        let map = desk.plan().unwrap().stopouts().map().clone();
        map.counts()[usize::from(tone)] as f64 / map.plane().data().len() as f64
    };
    // A brush of 4 mm along 40 mm and an area by hand of 10 × 10 mm, on a face of 58 × 38 mm.
    let edits = json!([
        { "kind": "stroke", "path": "10,8 50,8", "width_mm": 4, "tone": 0 },
        { "kind": "by_hand", "path": "20,20 30,20 30,30 20,30" },
    ]);
    let set = json!({ "hand": edits });
    assert_eq!(update(&mut desk, &set).unwrap(), ["tones", "regions", "outlines", "stopouts", "bites"]);
    let coarse = share(&desk, 0);
    let figures = desk.plan().unwrap().by_hand().clone();
    assert!((figures.by_hand_share - 100.0 / (58.0 * 38.0)).abs() < 2e-3, "{figures:?}");
    assert!(desk.plan().unwrap().report(&[]).notes.iter().any(|note| note.contains("worked by hand")));
    update(&mut desk, &json!({ "hand": edits, "px_per_mm": 20 })).unwrap();
    let fine = share(&desk, 0);
    assert!((coarse - fine).abs() < 0.01, "{coarse} and {fine}");
    update(&mut desk, &json!({ "hand": edits, "plate": { "width_mm": 30, "height_mm": 20, "bevel_mm": 1 } })).unwrap();
    assert_eq!(desk.plan().unwrap().by_hand().notes.len(), 1, "the area lies beside the smaller face");
    update(&mut desk, &json!({})).unwrap();
    assert_eq!(desk.plan().unwrap().report(&[]).json(), plain);
}

#[test]
fn a_resist_is_shown_and_one_that_leaves_nothing_open_is_refused() {
    let mut desk = desk();
    let lift = json!({ "kind": "lift", "view": "plate", "width": 58, "height": 58 });
    assert!(picture(&desk, &lift).unwrap_err().message.contains("no lift"));
    let drawn = |shape: &str, open: bool| json!({ "resist": { "kind": "drawn", "shapes": [shape], "open_inside": open } });
    update(&mut desk, &drawn("10,10 40,10 40,30 10,30", true)).unwrap();
    assert_eq!(picture(&desk, &lift), Ok((58, 38)));
    let plan = desk.plan().unwrap();
    assert!((plan.by_hand().resist_share - (1.0 - 600.0 / (58.0 * 38.0))).abs() < 2e-3);
    let first = plan.stopouts().list()[0];
    assert!(first.covered_share > 0.7 && first.new_share < 0.3);
    let before = plan.report(&[]).json();
    let refused = [
        drawn("100,100 140,100 140,130", true),
        drawn("0,0 100,0 100,100 0,100", false),
        drawn("1,1 2,2", true),
        json!({ "resist": { "kind": "outline", "darker_than": 200 } }),
        json!({ "hand": [{ "kind": "lasso", "path": "1,1 2,2", "tone": 1 }] }),
        json!({ "hand": [{ "kind": "stroke", "path": "1,1 2,2", "width_mm": 90, "tone": 1 }] }),
        json!({ "smoothing_mm": 9 }),
    ];
    for change in refused {
        let refusal = update(&mut desk, &change).unwrap_err();
        assert!(refusal.message.ends_with('.'), "{change}: {refusal}");
        assert_eq!(desk.plan().unwrap().report(&[]).json(), before, "{change}");
    }
    let outline = json!({ "resist": { "kind": "outline", "darker_than": 60 } });
    update(&mut desk, &outline).unwrap();
    let once = desk.plan().unwrap().report(&[]).json();
    update(&mut desk, &json!({ "smoothing_mm": 2 })).unwrap();
    update(&mut desk, &outline).unwrap();
    assert_eq!(desk.plan().unwrap().report(&[]).json(), once);
}

#[test]
fn a_moved_drawing_is_placed_anew_and_back_again() {
    let mut desk = desk();
    let first = desk.plan().unwrap().report(&[]).json();
    let plain =
        json!({ "turn": 0, "crop": { "left": 0, "top": 0, "right": 1, "bottom": 1 }, "offset_mm": [0, 0], "scale": 1, "true_size": false });
    let with = |change: Value| {
        let mut placing = plain.clone();
        for (name, value) in change.as_object().unwrap() {
            placing[name] = value.clone();
        }
        json!({ "placing": placing })
    };
    // What is not given is as it was before it could be given.
    assert_eq!(update(&mut desk, &with(json!({}))).unwrap(), ["tones", "bites"]);
    for change in [
        json!({ "turn": 90 }),
        json!({ "turn": 2.5 }),
        json!({ "scale": 0.5 }),
        json!({ "offset_mm": [3, -2] }),
        json!({ "true_size": true }),
    ] {
        assert_eq!(update(&mut desk, &with(change.clone())).unwrap()[0], "drawing", "{change}");
    }
    let refused = update(&mut desk, &with(json!({ "offset_mm": [500, 0] }))).unwrap_err();
    assert!(refused.message.contains("move it back"), "{refused}");
    assert_eq!(update(&mut desk, &json!({})).unwrap()[0], "drawing");
    assert_eq!(desk.plan().unwrap().report(&[]).json(), first);
}

#[test]
fn a_photograph_is_straightened_once() {
    let mut desk = desk();
    let photo = |corners: Value| json!({ "photo": { "corners": corners, "sheet_mm": [60, 40], "spots": [], "even": true, "neutral": true, "mix": "lightness" } });
    let given = photo(json!([[10, 5], [290, 8], [285, 190], [12, 195]]));
    assert_eq!(update(&mut desk, &given).unwrap()[..2], ["straightening", "drawing"]);
    assert_eq!(update(&mut desk, &given).unwrap(), ["tones", "bites"]);
    let mut moved = given.clone();
    moved["breaks"] = json!([80, 60, 40, 20]);
    assert_eq!(update(&mut desk, &moved).unwrap()[0], "tones");
    assert!(desk.plan().unwrap().photo().is_some());
    assert_eq!(picture(&desk, &json!({ "kind": "straight", "width": 60, "height": 60 })).unwrap().0, 60);
    assert_eq!(picture(&desk, &json!({ "kind": "source", "part": [280, 190, 900, 900], "width": 40, "height": 40 })).unwrap(), (40, 20));
    let turned = update(&mut desk, &photo(json!([[290, 8], [10, 5], [285, 190], [12, 195]]))).unwrap_err();
    assert_eq!(turned.code, "photo");
    assert!(desk.find_corners().unwrap_err().message.contains("by hand"));
    assert_eq!(update(&mut desk, &json!({})).unwrap()[0], "drawing");
    assert!(desk.plan().unwrap().photo().is_none());
}

/// A card of two greys, a soft fall of light at the right, a thin dark line across, and specks that clean-up takes away.
fn drawing_with_limits() -> Vec<u8> {
    let grey = Plane::from_fn(600, 400, |x, y| match (x, y) {
        (50..350, 200..203) => 10,
        (100..104, 100..104) => 250,
        (0..200, _) => 90,
        (200..300, _) => 160,
        _ => (240 - (x - 300) * 200 / 300) as u8,
    });
    png_file::grey(&grey, PxPerMm(10.0))
}

fn with_limits(change: &Value) -> (Desk, Vec<&'static str>) {
    let mut desk = Desk::default();
    desk.open(&drawing_with_limits()).unwrap();
    let mut all = json!({ "plate": { "width_mm": 60, "height_mm": 40, "bevel_mm": 0 }, "px_per_mm": 10 });
    for (name, value) in change.as_object().unwrap() {
        all[name] = value.clone();
    }
    let laps = update(&mut desk, &all).unwrap();
    (desk, laps)
}

#[test]
fn what_a_brush_cannot_do_is_told_and_lines_can_be_etched() {
    let (mut desk, laps) = with_limits(&json!({}));
    assert!(!laps.contains(&"lines"), "lines are looked for when they are asked for");
    let limits = serde_json::to_value(desk.limits().unwrap()).unwrap();
    assert_eq!(limits["lines"]["count"], 1);
    assert!((limits["lines"]["length_mm"].as_f64().unwrap() - 30.0).abs() < 2.0, "{limits}");
    // The fall of 200 grey values over 30 mm is steeper than a fade; the mark of the plan is the one measured by.
    assert_eq!(limits["under"]["mark_mm"], 1.0);
    for kind in ["removed", "lines"] {
        assert_eq!(picture(&desk, &json!({ "kind": kind, "view": "plate", "width": 90, "height": 90 })).unwrap(), (90, 60));
    }
    let notes = |desk: &Desk| desk.plan().unwrap().report(&[]).notes.iter().filter(|note| note.contains("etched-line")).count();
    assert_eq!(notes(&desk), 0);

    let (etched, laps) = with_limits(&json!({ "lines": "etched" }));
    assert!(laps.contains(&"lines"));
    let tone = |desk: &Desk, x: usize, y: usize| desk.plan().unwrap().stopouts().map().plane().at(x, y);
    assert_eq!(tone(&etched, 80, 201), tone(&etched, 80, 300), "beneath the line the tone goes on");
    assert_eq!(notes(&etched), 1);
    // The run sheet has their rows, also where their own sheet is not chosen.
    let choice = json!({ "paper": "a4", "transfer": "trace", "title": "", "letter": "", "date": "", "kinds": ["run"] });
    let rows = |desk: &Desk| {
        let sheets = desk.sheets(&serde_json::from_value(choice.clone()).unwrap(), &mut |_, _| ()).unwrap();
        sheets
            .sheets
            .iter()
            .flat_map(|sheet| sheet.words().map(str::to_owned).collect::<Vec<_>>())
            .filter(|words| words == "NEEDLE")
            .count()
    };
    assert_eq!((rows(&desk), rows(&etched)), (0, 1));
}

#[test]
fn what_was_removed_and_the_islands_are_pointed_at() {
    let (desk, _) = with_limits(&json!({}));
    let removed = serde_json::to_value(desk.removed().unwrap()).unwrap();
    // The strips left and right of the edges, which are too narrow for the mark, held a larger disc; the speck comes next.
    let pieces = removed["highlights"]["pieces"].as_array().unwrap();
    let speck = pieces.iter().find(|piece| piece["bounds"][1][0].as_f64().unwrap() < 12.0).unwrap();
    assert!((speck["at"][0].as_f64().unwrap() - 10.2).abs() < 0.3 && (speck["at"][1].as_f64().unwrap() - 10.2).abs() < 0.3, "{removed}");
    assert!(speck["was"].as_u64() < speck["now"].as_u64());
    let plan = desk.plan().unwrap();
    for stop in plan.stopouts().list() {
        let spec = serde_json::from_value(json!({ "number": stop.number })).unwrap();
        let islands = serde_json::to_value(desk.islands(&spec).unwrap()).unwrap();
        assert_eq!(islands["count"], stop.islands);
        let area: f64 = islands["islands"].as_array().unwrap().iter().map(|i| i["area_mm2"].as_f64().unwrap()).sum();
        assert!((area / 2400.0 - stop.new_share).abs() < 1e-9);
    }
    // Under a resist nothing is missed: the speck goes from the list, what lies elsewhere stays.
    let (desk, _) = with_limits(&json!({ "resist": { "kind": "drawn", "shapes": ["0,0 15,0 15,15 0,15"], "open_inside": false } }));
    let apart = serde_json::to_value(desk.removed().unwrap()).unwrap();
    let left = apart["highlights"]["pieces"].as_array().unwrap();
    assert!(left.iter().all(|piece| piece["bounds"][1][0].as_f64().unwrap() >= 12.0) && !left.is_empty(), "{apart}");
    assert!(apart["highlights"]["share"].as_f64().unwrap() < removed["highlights"]["share"].as_f64().unwrap());
    let refused = desk.islands(&serde_json::from_value(json!({ "number": 9 })).unwrap()).unwrap_err();
    assert_eq!(refused.code, "no_stopout");
}

#[test]
fn a_logged_stop_out_sets_the_pace_of_all_and_recomputes_nothing_else() {
    let mut desk = desk();
    let minutes = |desk: &Desk| -> Vec<f64> { desk.plan().unwrap().stopouts().list().iter().map(|stop| stop.paint_min).collect() };
    let before = minutes(&desk);
    let first = desk.plan().unwrap().stopouts().list().iter().find(|stop| stop.paint_min > 0.0).unwrap().number;
    let took = before[first - 1] * 1.5;
    let logged = json!({ "painted": [{ "number": first, "minutes": took }] });
    assert_eq!(update(&mut desk, &logged).unwrap(), ["tones", "bites"]);
    let after = minutes(&desk);
    assert!(before.iter().zip(&after).all(|(a, b)| (b - 1.5 * a).abs() < 1e-9), "{before:?} {after:?}");
    assert_eq!(desk.plan().unwrap().pace().unwrap().from, [first]);
    assert_eq!(update(&mut desk, &json!({})).unwrap(), ["tones", "bites"]);
    assert_eq!(minutes(&desk), before, "taken back, all is as it was");
    let wrong = json!({ "painted": [{ "number": first, "minutes": 0 }] });
    let refused = update(&mut desk, &wrong).unwrap_err();
    assert!(refused.message.contains("type the minutes"), "{}", refused.message);
    assert!(minutes(&desk) == before, "the plan before stays");
    for wrong in [json!({ "hand_error_mm": 9 }), json!({ "hand_speed": { "edge_cm_per_min": 0, "area_cm2_per_min": 70, "island_s": 6 } })] {
        assert_eq!(update(&mut desk, &wrong).unwrap_err().code, "pace");
    }
}

#[test]
fn a_pace_once_learned_does_not_change_with_the_tones() {
    let mut desk = desk();
    let stop = desk.plan().unwrap().stopouts().list().iter().copied().find(|stop| stop.paint_min > 0.0).unwrap();
    let done = json!({ "edge_cm": stop.edge_cm, "area_cm2": stop.new_share * 58.0 * 38.0 / 100.0, "islands": stop.islands });
    let painted = json!([{ "number": stop.number, "minutes": 2.0 * stop.paint_min, "done": done }]);
    for change in [json!({}), json!({ "tones": 8 }), json!({ "breaks": [90, 40, 30, 20] }), json!({ "tones": 2 }), json!({ "mark_mm": 5 })]
    {
        let mut all = change.clone();
        all["painted"] = painted.clone();
        update(&mut desk, &all).unwrap();
        let factor = desk.plan().unwrap().pace().unwrap().factor;
        assert!((factor - 2.0).abs() < 1e-9, "{factor} with {change}");
    }
}

#[test]
fn what_is_no_number_is_refused_wherever_it_stands() {
    use stepbite_core::hand::Edit;
    use stepbite_core::resist::Resist;
    use stepbite_core::units::{Millimetres, PointMm};
    use stepbite_web::settings::{BreakSettings, HandErrorMm, Painted, PaintedWork, StripChoice, StripSettings};
    let mut desk = desk();
    let first = looks(&mut desk);
    let photo = json!({ "corners": [[10, 5], [290, 8], [285, 190], [12, 195]], "sheet_mm": [60, 40], "spots": [], "even": true, "neutral": true, "mix": [1, 1, 1] });
    let base = |change: &Value| settings(change);
    type Set = fn(&mut Settings, f64);
    let set: [(&str, Set); 34] = [
        ("width", |s, v| s.plate.width_mm = Millimetres(v)),
        ("height", |s, v| s.plate.height_mm = Millimetres(v)),
        ("bevel", |s, v| s.plate.bevel_mm = Millimetres(v)),
        ("resolution", |s, v| s.px_per_mm = v),
        ("mark", |s, v| s.mark_mm = v),
        ("smoothing", |s, v| s.smoothing_mm = v),
        ("reserve", |s, v| s.reserve_l = v),
        ("reading error", |s, v| s.reading_error_l = v),
        ("slack", |s, v| s.handling.slack_s = v),
        ("lag", |s, v| s.handling.lag_s = v),
        ("drag-out", |s, v| s.handling.drag_s = v),
        ("turn", |s, v| s.placing.turn = v),
        ("scale", |s, v| s.placing.scale = v),
        ("offset across", |s, v| s.placing.offset_mm.0 = v),
        ("offset down", |s, v| s.placing.offset_mm.1 = v),
        ("crop left", |s, v| s.placing.crop.left = v),
        ("crop foot", |s, v| s.placing.crop.bottom = v),
        ("corner", |s, v| s.photo.as_mut().unwrap().corners.as_mut().unwrap().0[2][1] = v),
        ("sheet", |s, v| s.photo.as_mut().unwrap().sheet_mm = Some((60.0, v))),
        ("edge", |s, v| s.hand_speed.edge_cm_per_min = v),
        ("area", |s, v| s.hand_speed.area_cm2_per_min = v),
        ("island", |s, v| s.hand_speed.island_s = v),
        ("hand error", |s, v| s.hand_error_mm = HandErrorMm(Millimetres(v))),
        ("scatter", |s, v| s.scatter_l = v),
        ("drying", |s, v| s.bench.dry_min = Some(v)),
        ("rinsing", |s, v| s.bench.rinse_min = Some(v)),
        ("minutes", |s, v| s.painted = vec![Painted { number: 1, minutes: v, done: None }]),
        ("painted", |s, v| {
            let done = Some(PaintedWork { edge_cm: v, area_cm2: 2.0, islands: 1 });
            s.painted = vec![Painted { number: 1, minutes: 3.0, done }];
        }),
        ("break", |s, v| s.breaks = BreakSettings::ByHand(vec![80.0, v, 40.0, 20.0])),
        ("outline", |s, v| s.resist = Some(Resist::Outline { darker_than: Some(v) })),
        ("fill", |s, v| s.hand = vec![Edit::Fill { at: PointMm { x: v, y: 3.0 }, tone: 0 }]),
        ("keep", |s, v| s.hand = vec![Edit::Keep { at: PointMm { x: 3.0, y: v } }]),
        ("strip seconds", |s, v| {
            s.strip = Some(StripChoice::Own(StripSettings {
                id: "x".to_owned(),
                readings: vec![(0.0, 90.0), (10.0, 80.0), (v, 50.0), (90.0, 30.0)],
                about: Default::default(),
                made: Default::default(),
            }));
        }),
        ("strip lightness", |s, v| {
            s.strip = Some(StripChoice::Own(StripSettings {
                id: "x".to_owned(),
                readings: vec![(0.0, 90.0), (10.0, v), (20.0, 50.0), (90.0, 30.0)],
                about: Default::default(),
                made: Default::default(),
            }));
        }),
    ];
    for (name, set) in set {
        let change = if ["corner", "sheet"].contains(&name) { json!({ "photo": photo }) } else { json!({}) };
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300] {
            let mut asked = base(&change);
            set(&mut asked, value);
            let mut laps = Laps::start(|| 0.0);
            let refused = desk.update(asked, &mut laps, &mut |_, _| {});
            let refusal = refused.err().unwrap_or_else(|| panic!("{name} {value} was taken"));
            assert!(refusal.message.ends_with('.') && refusal.message.len() < 1000, "{name} {value}: {refusal}");
        }
    }
    assert!(looks(&mut desk) == first, "the plan before stays");
}

#[test]
fn a_plate_all_set_aside_but_for_a_little_still_has_its_sheets() {
    let choice = json!({ "paper": "a4", "transfer": "trace", "title": "t", "letter": "A", "date": "" });
    let whole = json!([{ "kind": "by_hand", "path": "-1,-1 99,-1 99,99 -1,99" }]);
    let opening = json!({ "kind": "drawn", "shapes": ["10,10 11.5,10 11.5,11.5 10,11.5"], "open_inside": true });
    for change in [json!({ "resist": opening }), json!({ "hand": whole }), json!({ "hand": whole, "resist": opening })] {
        let mut desk = desk();
        update(&mut desk, &change).unwrap();
        let sheets = desk.sheets(&serde_json::from_value(choice.clone()).unwrap(), &mut |_, _| ()).unwrap();
        let plan = desk.plan().unwrap();
        let painted = plan.stopouts().list().iter().filter(|stop| stop.new_share > 0.0).count();
        let lift = usize::from(plan.stopouts().aside().resist().is_some());
        assert!(sheets.sheets.len() > painted + lift, "{change}: the run sheet and one for each");
        assert!(plan.stopouts().list().iter().all(|stop| (0.0..=1.0).contains(&stop.covered_share) && stop.paint_min.is_finite()));
        desk.limits().unwrap();
        desk.removed().unwrap();
    }
}

/// All that can be looked at of a plan, as text.
fn looks(desk: &mut Desk) -> String {
    let pixels = |desk: &Desk, kind: &str| {
        let spec = match kind {
            "straight" => json!({ "kind": kind, "width": 90, "height": 90 }),
            _ => json!({ "kind": kind, "view": "print", "width": 90, "height": 90 }),
        };
        desk.picture(&serde_json::from_value::<PictureSpec>(spec).unwrap(), &mut |_, _| {}).unwrap()
    };
    let pictures: Vec<_> = ["tones", "removed", "lines", "straight"].map(|kind| pixels(desk, kind)).into();
    let removed = serde_json::to_string(&desk.removed().unwrap()).unwrap();
    let limits = serde_json::to_string(&desk.limits().unwrap()).unwrap();
    let worth = [5, 6].map(|tones| weighed(desk, tones));
    format!("{} {removed} {limits} {worth:?} {pictures:?}", desk.plan().unwrap().report(&[]).json())
}

/// Refused once the face is placed and cleaned: a resist that leaves nothing open.
fn refused_late(desk: &mut Desk, change: &Value) {
    let mut all = change.clone();
    all["resist"] = json!({ "kind": "drawn", "shapes": ["-1,-1 999,-1 999,999 -1,999"], "open_inside": false });
    assert_eq!(update(desk, &all).unwrap_err().code, "resist");
}

#[test]
fn a_late_refusal_leaves_nothing_of_its_own_behind() {
    let photo = |inset: i32| {
        let corners = json!([[inset, inset], [300 - inset, inset], [300 - inset, 200 - inset], [inset, 200 - inset]]);
        json!({ "corners": corners, "sheet_mm": [60, 40], "spots": [], "even": false, "neutral": false, "mix": "lightness" })
    };
    // What the plan is made by, and what is then refused.
    let cases = [
        (json!({}), json!({ "lines": "etched" })),
        (json!({ "lines": "etched" }), json!({})),
        (json!({ "lines": "etched" }), json!({ "lines": "etched", "plate": { "width_mm": 30, "height_mm": 40, "bevel_mm": 1 } })),
        (json!({}), json!({ "breaks": [90, 80, 70, 60] })),
        (json!({ "photo": photo(10) }), json!({ "photo": photo(60) })),
        (json!({ "photo": photo(10) }), json!({})),
        (json!({}), json!({ "photo": photo(60) })),
    ];
    for (made, refused) in cases {
        let mut fresh = Desk::default();
        fresh.open(&drawing_with_limits()).unwrap();
        update(&mut fresh, &made).unwrap();
        let before = looks(&mut fresh);

        let mut desk = Desk::default();
        desk.open(&drawing_with_limits()).unwrap();
        update(&mut desk, &made).unwrap();
        refused_late(&mut desk, &refused);
        assert!(looks(&mut desk) == before, "{made} after {refused}: what is shown is not the plan's");

        // And the next plan is made from its own drawing.
        let mut moved = made.clone();
        moved["breaks"] = json!([85, 65, 45, 25]);
        update(&mut fresh, &moved).unwrap();
        refused_late(&mut desk, &refused);
        update(&mut desk, &moved).unwrap();
        assert!(looks(&mut desk) == looks(&mut fresh), "{made} after {refused}: the next plan is made of what was refused");
    }
}

#[test]
fn without_a_photograph_the_straight_picture_is_the_file() {
    let mut desk = desk();
    let corners = json!([[10, 5], [290, 8], [285, 190], [12, 195]]);
    let photo = json!({ "corners": corners, "sheet_mm": [40, 40], "spots": [], "even": true, "neutral": true, "mix": "lightness" });
    let straight = json!({ "kind": "straight", "width": 60, "height": 60 });
    assert_eq!(picture(&desk, &straight), Ok((60, 40)));
    update(&mut desk, &json!({ "photo": photo })).unwrap();
    assert_eq!(picture(&desk, &straight), Ok((60, 60)));
    update(&mut desk, &json!({})).unwrap();
    assert_eq!(picture(&desk, &straight), Ok((60, 40)));
}

#[test]
fn where_something_is_set_aside_the_limits_are_those_of_the_brush() {
    // A hair of ground left standing across a grey of one tone: no brush paints it, and its edge is not the drawing's.
    let hair = json!({ "resist": { "kind": "drawn", "shapes": ["2,8 18,8 18,8.4 2,8.4"], "open_inside": false } });
    let limits = |change: &Value| {
        let (mut desk, _) = with_limits(change);
        let limits = serde_json::to_value(desk.limits().unwrap()).unwrap();
        assert_eq!(limits["under"]["share"], desk.plan().unwrap().by_hand().unpaintable_share);
        limits
    };
    let (plain, with_hair) = (limits(&json!({})), limits(&hair));
    assert_eq!(with_hair["under"], plain["under"]);
    assert_eq!(with_hair["soft"], plain["soft"]);
}
