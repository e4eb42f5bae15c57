//! The pull as the page asks for it, without a browser: plates over one another, inks, edges, what is refused.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

mod common;

use common::{card, desk, update};
use serde_json::{Value, json};
use stepbite_core::picture::Rgba;
use stepbite_core::plane::Plane;
use stepbite_core::project::{Done, DrawingName, Project, written};
use stepbite_web::desk::Desk;
use stepbite_web::error::Refusal;
use stepbite_web::settings::{PictureSpec, PrintHead, PrintSpec, ProofSettings};

fn proof(change: &Value) -> Value {
    let mut all = json!({ "paper": null, "plate_tone": 0 });
    for (name, value) in change.as_object().unwrap() {
        all[name] = value.clone();
    }
    all
}

fn printing(change: &Value) -> Value {
    let mut all = json!({ "plate": null, "ink": null, "trap": 1, "shift_mm": [0, 0], "growth": [0, 0], "turn": 0 });
    for (name, value) in change.as_object().unwrap() {
        all[name] = value.clone();
    }
    all
}

fn shown(desk: &Desk, kind: &str, proof: &Value) -> Result<Plane<Rgba>, Refusal> {
    let mut spec = json!({ "kind": kind, "view": "print", "width": 290, "height": 190, "proof": proof });
    if kind == "proof" {
        spec["grain"] = json!(false);
    }
    let spec: PictureSpec = serde_json::from_value(spec).unwrap();
    desk.picture(&spec, &mut |_, _| {})
}

fn grained(desk: &Desk, proof: &Value) -> Plane<Rgba> {
    let spec = json!({ "kind": "proof", "view": "print", "width": 290, "height": 190, "grain": true, "proof": proof });
    desk.picture(&serde_json::from_value(spec).unwrap(), &mut |_, _| {}).unwrap()
}

fn refused(desk: &Desk, proof: &Value) -> String {
    let said = shown(desk, "proof", proof).unwrap_err().message;
    assert!(said.ends_with('.'), "{said}");
    said
}

/// The project of the card, as another plate.
fn project(letter: &str, tones: usize) -> Vec<u8> {
    sized(letter, tones, (60, 40))
}

fn sized(letter: &str, tones: usize, (width, height): (u32, u32)) -> Vec<u8> {
    let project = Project {
        drawing: DrawingName { name: "card.png".to_owned() },
        settings: json!({ "plate": { "width_mm": width, "height_mm": height, "bevel_mm": 1 }, "fit": "cover", "px_per_mm": 5, "tones": tones, "breaks": "even",
            "mark_mm": 1, "reserve_l": 1, "strip": null }),
        done: Done::default(),
        job: json!({ "title": "Card", "letter": letter, "units": "mm", "proof": proof(&json!({})), "plates": [], "ticks": {},
            "sheets": { "paper": "a4", "transfer": "trace", "kinds": ["run"], "style": "full", "inward_mm": 0, "hinge": false, "bars_mm": null } }),
        family: Vec::new(),
    };
    written(&project, &card(), None, &[]).unwrap()
}

fn spec(proof: &ProofSettings, px_per_mm: Option<f64>) -> PrintSpec {
    PrintSpec { proof: proof.clone(), px_per_mm, head: PrintHead::default() }
}

fn furthest(one: &Plane<Rgba>, other: &Plane<Rgba>) -> u8 {
    let bytes = |picture: &Plane<Rgba>| picture.data().as_flattened().to_vec();
    bytes(one).iter().zip(bytes(other)).map(|(a, b)| a.abs_diff(b)).max().unwrap()
}

#[test]
fn one_plate_in_the_strips_own_ink_is_the_plain_proof_whatever_way_it_is_drawn() {
    let desk = desk();
    let plain = shown(&desk, "proof", &proof(&json!({}))).unwrap();
    // A tenth of a micrometre off register is no plain proof any more, and shows nothing.
    let near = proof(&json!({ "printings": [printing(&json!({ "turn": 1e-7 }))] }));
    assert!(furthest(&plain, &shown(&desk, "proof", &near).unwrap()) <= 1);
    let far = proof(&json!({ "printings": [printing(&json!({ "shift_mm": [6, 0] }))] }));
    assert!(furthest(&plain, &shown(&desk, "proof", &far).unwrap()) > 20);
    // Grain of the same seed lies where it lay.
    assert!(furthest(&grained(&desk, &proof(&json!({}))), &grained(&desk, &near)) <= 2);
    let tinted = proof(&json!({ "paper": "#ece6d8", "plate_tone": 0.1 }));
    let mut near = tinted.clone();
    near["printings"] = json!([printing(&json!({ "turn": 1e-7 }))]);
    assert!(furthest(&shown(&desk, "proof", &tinted).unwrap(), &shown(&desk, "proof", &near).unwrap()) <= 1);
}

#[test]
fn a_plate_is_brought_in_from_its_project_and_prints_over() {
    let mut desk = desk();
    let alone = shown(&desk, "proof", &proof(&json!({}))).unwrap();
    let brought = desk.plate_read(&project("C", 4), &mut |_, _| {}).unwrap();
    assert_eq!((brought.letter.as_str(), brought.tones, brought.example), ("C", 4, true));
    let over = proof(&json!({ "printings": [printing(&json!({})), printing(&json!({ "plate": brought.id }))] }));
    let both = shown(&desk, "proof", &over).unwrap();
    // White over white stays white, everywhere else two plates are darker than one.
    let sum = |picture: &Plane<Rgba>| picture.data().iter().map(|px| u64::from(px[1])).sum::<u64>();
    assert!(sum(&both) < sum(&alone));
    assert!(both.data().iter().zip(alone.data()).all(|(both, alone)| both[1] <= alone[1] + 1));
    // What the page kept brings the same picture to another desk, which before that says what is missing.
    let other = common::desk();
    assert!(refused(&other, &over).contains("bring it in"));
    let mut other = other;
    other.plate_bring(&brought).unwrap();
    assert_eq!(shown(&other, "proof", &over).unwrap(), both);
    other.plate_drop(&brought.id);
    assert!(refused(&other, &over).contains("bring it in"));
    // The plan at hand is the plan at hand.
    assert_eq!(shown(&desk, "proof", &proof(&json!({}))).unwrap(), alone);
    for wrong in [b"no project".to_vec(), project("C", 4)[..600].to_vec()] {
        assert!(desk.plate_read(&wrong, &mut |_, _| {}).unwrap_err().message.ends_with('.'));
    }
    let mut spoiled = brought.clone();
    spoiled.map = "####".to_owned();
    assert!(other.plate_bring(&spoiled).unwrap_err().message.contains("bring it in"));
}

#[test]
fn a_plate_of_another_size_lies_middle_on_middle() {
    let mut desk = desk();
    let alone = shown(&desk, "proof", &proof(&json!({ "lamp": "warm" }))).unwrap();
    let brought = desk.plate_read(&sized("C", 4, (30, 20)), &mut |_, _| {}).unwrap();
    let with = |shift: Value| {
        proof(&json!({ "lamp": "warm", "printings": [printing(&json!({})), printing(&json!({ "plate": brought.id, "shift_mm": shift }))] }))
    };
    // Faces of 58 by 38 and 28 by 18 mm, at 5 pixels a millimetre.
    let over = shown(&desk, "proof", &with(json!([0, 0]))).unwrap();
    let inked: Vec<(usize, usize)> =
        (0..190).flat_map(|y| (0..290).map(move |x| (x, y))).filter(|&(x, y)| over.at(x, y) != alone.at(x, y)).collect();
    let bounds = |of: &dyn Fn(&(usize, usize)) -> usize| (inked.iter().map(of).min().unwrap(), inked.iter().map(of).max().unwrap());
    let ((left, right), (top, foot)) = (bounds(&|at| at.0), bounds(&|at| at.1));
    // A light edge of the card prints nothing, so that only what lies outside is certain.
    assert!(left >= 75 && right < 215 && top >= 50 && foot < 140, "{left} {right} {top} {foot}");
    assert!(left <= 76 && foot >= 138, "{left} {foot}");
    let settings: ProofSettings = serde_json::from_value(with(json!([0, 0]))).unwrap();
    assert_eq!(serde_json::to_value(desk.ink_facts(&settings).unwrap()).unwrap()["remarks"], json!([]));
}

#[test]
fn what_is_said_of_the_register_follows_places_plates_and_edges() {
    let mut desk = desk();
    let brought = desk.plate_read(&project("C", 4), &mut |_, _| {}).unwrap();
    let said = |desk: &Desk, shift: f64, edges: Value| {
        let all = json!({ "edges": edges, "printings": [printing(&json!({})), printing(&json!({ "plate": brought.id, "shift_mm": [shift, 0] }))] });
        let settings: ProofSettings = serde_json::from_value(proof(&all)).unwrap();
        serde_json::to_value(desk.ink_facts(&settings).unwrap()).unwrap()["remarks"].clone()
    };
    let fresh = |shift: f64, edges: Value| {
        let mut other = common::desk();
        other.plate_bring(&brought).unwrap();
        said(&other, shift, edges)
    };
    let hand = json!({ "seed": 3, "wander_mm": 1.2, "creep_mm": 0.5, "lap_mm": 1 });
    for (shift, edges) in [(1.0, Value::Null), (1.0, Value::Null), (15.0, Value::Null), (1.0, hand), (0.0, Value::Null)] {
        assert_eq!(said(&desk, shift, edges.clone()), fresh(shift, edges));
    }
    // Other tones on the face, other words.
    let before = said(&desk, 15.0, Value::Null);
    update(&mut desk, &json!({ "tones": 3, "breaks": "even" })).unwrap();
    assert_ne!(said(&desk, 15.0, Value::Null), before);
}

#[test]
fn an_ink_of_two_patches_prints_them_and_one_that_can_not_be_is_named() {
    let desk = desk();
    let ink = |known: Value| json!({ "name": "sea", "known": known, "sheet": null, "thinned": 0, "strength": 1 });
    let with = |known: Value| proof(&json!({ "paper": "#f4f1e8", "inks": [ink(known)], "printings": [printing(&json!({ "ink": 0 }))] }));
    let full = "#1f3a5c";
    let picture = shown(&desk, "proof", &with(json!({ "full": full, "opacity": 0.2 }))).unwrap();
    // The card's darkest field prints the full patch, its lightest the sheet.
    let darkest = picture.data().iter().min_by_key(|px| u32::from(px[0]) + u32::from(px[1])).unwrap();
    assert!(darkest.iter().zip([0x1f, 0x3a, 0x5c]).all(|(&came, wanted)| came.abs_diff(wanted) <= 2), "{darkest:?}");
    let lightest = picture.data().iter().max_by_key(|px| u32::from(px[0]) + u32::from(px[1])).unwrap();
    assert_eq!(lightest, &[0xf4, 0xf1, 0xe8, 255]);
    for (known, word) in [
        (json!({ "full": full, "pale": "#9fb0bd", "tone": 9 }), "has not"),
        (json!({ "full": "#9fb0bd", "pale": full, "tone": 2 }), "other way round"),
        (json!({ "full": "blue", "opacity": 0 }), "blue"),
    ] {
        assert!(refused(&desk, &with(known)).contains(word));
    }
}

#[test]
fn an_ink_keeps_what_printed_its_patches_and_no_later_plan_moves_it() {
    let mut desk = desk();
    let brought = desk.plate_read(&project("C", 4), &mut |_, _| {}).unwrap();
    let ink = |printed: &Value| json!({ "name": "sea", "known": { "full": "#1f3a5c", "pale": "#9fb0bd", "tone": 2 }, "printed": printed, "sheet": null, "thinned": 0, "strength": 1 });
    let with = |printed: &Value, paper: Value| {
        let printings = [printing(&json!({})), printing(&json!({ "plate": brought.id, "ink": 0 }))];
        serde_json::from_value::<ProofSettings>(proof(&json!({ "paper": paper, "inks": [ink(printed)], "printings": printings }))).unwrap()
    };
    // The other plate in that ink where this one is paper.
    let colours = |desk: &Desk, settings: &ProofSettings| -> Vec<Value> {
        let pairs = serde_json::to_value(desk.pairs(settings, 0, 1).unwrap()).unwrap();
        pairs["rows"].as_array().unwrap().iter().filter(|row| row["first"] == 0).map(|row| row["colour"].clone()).collect()
    };
    let said = |desk: &Desk, settings: &ProofSettings| serde_json::to_value(desk.ink_facts(settings).unwrap()).unwrap()["inks"][0].clone();
    let earlier = |desk: &Desk, settings: &ProofSettings| said(desk, settings)["earlier"] == true;
    let facts =
        |desk: &Desk, settings: &ProofSettings| [&said(desk, settings)["opacity"], &said(desk, settings)["misfit"]].map(Value::clone);
    let unkept = with(&Value::Null, json!("#f4f1e8"));
    let printed = serde_json::to_value(desk.ink_prints(&unkept).unwrap()).unwrap()[0].clone();
    let kept = with(&printed, json!("#f4f1e8"));
    let (before, told) = (colours(&desk, &kept), facts(&desk, &kept));
    assert_eq!((&before, &told), (&colours(&desk, &unkept), &facts(&desk, &unkept)));
    assert!(!earlier(&desk, &kept));
    // Another plan: fewer tones, another darkest one.
    update(&mut desk, &json!({ "tones": 4, "breaks": "even", "reserve_l": 6 })).unwrap();
    assert_eq!((&colours(&desk, &kept), &facts(&desk, &kept)), (&before, &told));
    assert_ne!(facts(&desk, &unkept), told);
    assert!(earlier(&desk, &kept) && !earlier(&desk, &unkept));
    update(&mut desk, &json!({ "tones": 2, "breaks": "even" })).unwrap();
    assert_eq!((&colours(&desk, &kept), &facts(&desk, &kept)), (&before, &told));
    assert!(desk.ink_prints(&unkept).unwrap()[0].is_none());
    // Nor does another paper to print on.
    assert_eq!(facts(&desk, &with(&printed, json!("#c0a070"))), told);
    let mut spoiled = printed;
    spoiled["full"]["lands"] = json!(1.5);
    assert!(desk.ink_facts(&with(&spoiled, Value::Null)).unwrap_err().message.contains("lands"));
}

#[test]
fn two_fits_of_one_plate_print_alike_in_an_ink_of_the_printers() {
    let mut desk = desk();
    let brought = desk.plate_read(&project("C", 4), &mut |_, _| {}).unwrap();
    let settings = proof(
        &json!({ "inks": [{ "name": "sea", "known": { "full": "#1f3a5c", "opacity": 0.1 }, "sheet": null, "thinned": 0, "strength": 1 }],
        "printings": [printing(&json!({})), printing(&json!({ "plate": brought.id, "ink": 0 }))] }),
    );
    let before = shown(&desk, "proof", &settings).unwrap();
    // The same plate, by a fit whose full pit is a fifth denser: every film is that much less of it.
    let mut other = brought.clone();
    let mut facts: Value = serde_json::from_str(&brought.facts).unwrap();
    let (paper, full) = (facts["paper"].as_f64().unwrap(), facts["full"].as_f64().unwrap());
    facts["full"] = json!(paper * (full / paper).powf(1.2));
    for tone in facts["tones"].as_array_mut().unwrap() {
        tone["film"] = json!(tone["film"].as_f64().unwrap() / 1.2);
    }
    other.facts = facts.to_string();
    desk.plate_bring(&other).unwrap();
    assert!(furthest(&before, &shown(&desk, "proof", &settings).unwrap()) <= 1);
}

#[test]
fn a_thin_paper_lies_under_the_ink_and_the_first_laid_is_seen() {
    let desk = desk();
    let laid = |name: &str, on_white: &str, on_black: &str, outline: Value| json!({ "name": name, "on_white": on_white, "on_black": on_black, "outline": outline, "edge": "cut", "back": null, "turned": false });
    let left = json!([[0, 0], [29, 0], [29, 38], [0, 38]]);
    let proof = |papers: Value| proof(&json!({ "paper": "#f4f1e8", "laid": papers }));
    let (buff, blue) = (laid("buff", "#e0d0a8", "#b0a078", left), laid("blue", "#b8c8dc", "#98a8bc", Value::Null));
    let lightest = |picture: &Plane<Rgba>, columns: std::ops::Range<usize>| {
        let all = (0..picture.height()).flat_map(|y| columns.clone().map(move |x| (x, y)));
        all.map(|(x, y)| picture.at(x, y)).max_by_key(|px| u32::from(px[0]) + u32::from(px[1]) + u32::from(px[2])).unwrap()
    };
    let near = |came: Rgba, wanted: [u8; 3]| came.iter().zip(wanted).all(|(&came, wanted)| came.abs_diff(wanted) <= 2);
    let one = shown(&desk, "proof", &proof(json!([buff]))).unwrap();
    let (first, last) = (lightest(&one, 0..140), lightest(&one, 150..290));
    // The card is lightest at the right, so that the left one is inked a little; what the sheet shows bare is its own.
    assert!(near(last, [0xf4, 0xf1, 0xe8]) && first[2] < 0xb0, "{first:?} {last:?}");
    let [buff_first, blue_first] = [json!([buff, blue]), json!([blue, buff])].map(|papers| shown(&desk, "proof", &proof(papers)).unwrap());
    let (above, below) = (lightest(&buff_first, 0..140), lightest(&blue_first, 0..140));
    assert!(above[0] > above[2] && below[2] > below[0], "{above:?} {below:?}");
    let wrong = proof(json!([laid("glass", "#404040", "#f0f0f0", Value::Null)]));
    assert!(refused(&desk, &wrong).contains("glass"));
}

#[test]
fn the_sheet_shows_through_a_tissue_and_its_patches_know_their_own_sheet() {
    let desk = desk();
    let laid = |change: &Value| {
        let mut all = json!({ "name": "tissue", "on_white": "#dcd0b4", "on_black": "#8d8672", "outline": null, "edge": "cut", "back": null, "turned": false });
        for (name, value) in change.as_object().unwrap() {
            all[name] = value.clone();
        }
        all
    };
    let on = |paper: Value, laid: Value| shown(&desk, "proof", &proof(&json!({ "paper": paper, "laid": [laid] }))).unwrap();
    let lightest =
        |picture: &Plane<Rgba>| picture.data().iter().copied().max_by_key(|px| px[..3].iter().map(|&b| u32::from(b)).sum::<u32>()).unwrap();
    let near = |came: Rgba, wanted: [u8; 3]| came.iter().zip(wanted).all(|(&came, wanted)| came.abs_diff(wanted) <= 2);
    // On the sheet its patch was looked at on it is that colour; on a darker one it is darker, and yet lighter than that.
    let white = lightest(&on(Value::Null, laid(&json!({}))));
    assert!(near(white, [0xdc, 0xd0, 0xb4]), "{white:?}");
    let buff = lightest(&on(json!("#dfd3bb"), laid(&json!({}))));
    assert!(buff[2] < white[2] - 4, "{buff:?} {white:?}");
    let beside = lightest(&on(json!("#dfd3bb"), laid(&json!({ "sheet": "#dfd3bb" }))));
    assert!(near(beside, [0xdc, 0xd0, 0xb4]), "{beside:?}");
    // By its weight: heavier hides more of a dark sheet.
    let weight = |grams: f64| lightest(&on(json!("#8a8070"), laid(&json!({ "weight": { "pad": "#f0e8d8", "grams": grams } }))))[1];
    assert!(weight(10.0) < weight(30.0) && weight(30.0) < weight(90.0));
    // Patches of no one paper are said to be so.
    let said = |paper: Value| {
        let settings: ProofSettings = serde_json::from_value(proof(&json!({ "laid": [paper] }))).unwrap();
        serde_json::to_value(desk.ink_facts(&settings).unwrap()).unwrap()["laid"][0].clone()
    };
    assert!(said(laid(&json!({}))).is_null());
    let odd = said(laid(&json!({ "on_white": "#ffffff", "on_black": "#080808" })));
    assert!(odd.as_str().unwrap().contains("No one paper"), "{odd}");
    assert!(said(laid(&json!({ "on_white": "#ffffff", "on_black": "#080808", "weight": { "pad": "#f0e8d8", "grams": 20 } }))).is_null());
    let wrong = json!({ "weight": { "pad": "#f0e8d8", "grams": 1000 } });
    assert!(refused(&desk, &proof(&json!({ "laid": [laid(&wrong)] }))).contains("weight"));
}

#[test]
fn zones_of_ink_lie_where_they_are_drawn_and_facts_come_with_them() {
    let mut desk = desk();
    let ink = |name: &str, full: &str| json!({ "name": name, "known": { "full": full, "opacity": 0.1 }, "sheet": null, "thinned": 0, "strength": 1 });
    let inks = json!([ink("sea", "#10305c"), ink("ochre", "#b08018")]);
    let zone = |ink: Value, right: f64| json!({ "name": "left", "ink": ink, "outline": [[-1, -1], [right, -1], [right, 39], [-1, 39]] });
    let with =
        |zones: Value| proof(&json!({ "inks": inks, "printings": [printing(&json!({ "ink": 0 }))], "zones": zones, "zone_minutes": 5 }));
    let (plain, zoned) =
        (shown(&desk, "proof", &with(json!([]))).unwrap(), shown(&desk, "proof", &with(json!([zone(json!(1), 25.0)]))).unwrap());
    let (inside, outside) = (zoned.at(20, 90), zoned.at(250, 90));
    assert!(inside[0] > inside[2] && outside == plain.at(250, 90), "{inside:?} {outside:?}");
    // The same ink as around it is no zone.
    assert_eq!(shown(&desk, "proof", &with(json!([zone(json!(0), 25.0)]))).unwrap(), plain);
    let facts = |desk: &Desk, proof: &Value| {
        let settings: ProofSettings = serde_json::from_value(proof.clone()).unwrap();
        serde_json::to_value(desk.ink_facts(&settings).unwrap()).unwrap()
    };
    let said = facts(&desk, &with(json!([zone(json!(1), 25.0)])));
    assert_eq!((&said["zones"]["order"], &said["zones"]["minutes"]), (&json!([[0], [-1]]), &json!(10.0)), "{said}");
    assert!(said["zones"]["remarks"].as_array().unwrap().is_empty());
    let narrow = facts(&desk, &with(json!([zone(Value::Null, 8.0)])));
    assert!(narrow["zones"]["remarks"][0].as_str().unwrap().contains("left"), "{narrow}");
    // A full film, not that of the darkest tone's pits: near what was said of these, and no more.
    let opacity = said["inks"][0]["opacity"].as_f64().unwrap();
    assert!((0.02..0.3).contains(&opacity) && said["inks"][0]["misfit"].is_null(), "{said}");
    // Pairs of this plate with another: every tone with every tone, the whole face shared out.
    let brought = desk.plate_read(&project("C", 4), &mut |_, _| {}).unwrap();
    let both = proof(
        &json!({ "inks": inks, "printings": [printing(&json!({ "ink": 0 })), printing(&json!({ "plate": brought.id, "ink": 1, "trap": 0.7 }))] }),
    );
    let settings: ProofSettings = serde_json::from_value(both).unwrap();
    let pairs = serde_json::to_value(desk.pairs(&settings, 0, 1).unwrap()).unwrap();
    let rows = pairs["rows"].as_array().unwrap();
    assert_eq!((rows.len(), &pairs["first"], &pairs["second"]), (20, &json!("this plate"), &json!("plate C")));
    assert!((rows.iter().map(|row| row["share"].as_f64().unwrap()).sum::<f64>() - 1.0).abs() < 1e-9);
    let last = rows.last().unwrap();
    assert!(last["colour"] != last["other"], "{last}");
    assert!(desk.pairs(&settings, 0, 2).unwrap_err().message.contains("plates 1 and 3"));
}

#[test]
fn the_print_is_saved_whole_with_what_it_rests_on() {
    let desk = desk();
    let edges = json!({ "seed": 3, "wander_mm": 0.4, "creep_mm": 0.2, "lap_mm": 1 });
    let settings: ProofSettings = serde_json::from_value(proof(&json!({ "paper": "#ece6d8", "edges": edges, "lamp": "warm" }))).unwrap();
    for (px_per_mm, width) in [(None, 290), (Some(2.0), 116)] {
        let (mut file, mut heard) = (Vec::new(), Vec::new());
        desk.proof_png(&spec(&settings, px_per_mm), &mut |bytes| file.extend_from_slice(bytes), &mut |_, share| heard.push(share)).unwrap();
        // Width in IHDR (ISO/IEC 15948, 11.2.2).
        assert_eq!(u32::from_be_bytes(file[16..20].try_into().unwrap()), width);
        let words = String::from_utf8_lossy(&file[..8000]).into_owned();
        for word in ["Description", "EXAMPLE", "NOT YOUR BATH", "number 3", "#ece6d8", "filament lamp", "no photograph"] {
            assert!(words.contains(word), "{word}");
        }
        assert!(heard.windows(2).all(|pair| pair[0] <= pair[1]) && heard.last() == Some(&1.0));
    }
    assert!(desk.proof_png(&spec(&settings, Some(1e9)), &mut |_| {}, &mut |_, _| {}).unwrap_err().message.ends_with('.'));
}

#[test]
fn a_saved_print_says_all_it_was_made_of_and_nothing_else() {
    let mut desk = desk();
    let brought = desk.plate_read(&project("C", 4), &mut |_, _| {}).unwrap();
    let said = |desk: &Desk, proof: &Value, head: Value| {
        let spec: PrintSpec = serde_json::from_value(json!({ "proof": proof, "px_per_mm": 2.0, "head": head })).unwrap();
        let mut file = Vec::new();
        desk.proof_png(&spec, &mut |bytes| file.extend_from_slice(bytes), &mut |_, _| {}).unwrap();
        // Before the picture (IDAT) stand the words, UTF-8 in an iTXt (ISO/IEC 15948, 11.3.4.5).
        let end = file.windows(4).position(|word| word == b"IDAT").unwrap();
        String::from_utf8_lossy(&file[..end]).into_owned()
    };
    let head = json!({ "title": "Harbour", "letter": "A", "date": "27 November 2026" });
    let plain = said(&desk, &proof(&json!({})), head.clone());
    for word in [
        "“Harbour”, plate A, 27 November 2026.",
        "Plate 60 × 40 mm, its face 58 × 38 mm.",
        "Printed: this plate in what the strip was printed in.",
    ] {
        assert!(plain.contains(word), "{word}: {plain}");
    }
    for noise in ["black", "wet one", "shifted", "grown", "turned", "Zones", "Thin paper", "Ink “"] {
        assert!(!plain.contains(noise), "{noise}: {plain}");
    }
    let laid = |name: &str, change: Value| {
        let mut all = json!({ "name": name, "on_white": "#dcd0b4", "on_black": "#8d8672", "outline": null, "edge": "cut", "back": null, "turned": false });
        for (name, value) in change.as_object().unwrap() {
            all[name] = value.clone();
        }
        all
    };
    let rich = proof(&json!({
        "inks": [{ "name": "sea", "known": { "full": "#10305c", "pale": "#9fb0bd", "tone": 2 }, "sheet": "#f4f1e8", "thinned": 0.3, "strength": 1.2 },
            { "name": "unused", "known": { "full": "#445566", "opacity": 0 }, "sheet": null, "thinned": 0, "strength": 1 }],
        "zones": [{ "name": "sky", "ink": 0, "outline": [[-1, -1], [25, -1], [25, 39], [-1, 39]] }],
        "laid": [laid("tissue", json!({ "edge": "torn", "outline": [[1, 1], [20, 1], [20, 20]], "back": "#ccbbaa", "turned": true })),
            laid("pad", json!({ "weight": { "pad": "#f0e8d8", "grams": 12.5 } }))],
        "printings": [printing(&json!({ "shift_mm": [-0.5, 0] })), printing(&json!({ "plate": brought.id, "ink": 0, "trap": 0.7, "growth": [0, 0.002], "turn": 0.25 }))] }));
    let rich = said(&desk, &rich, head);
    for word in [
        "Printed 1: this plate in what the strip was printed in, shifted 0.5 mm left.",
        "Printed 2: plate C in “sea”, 0.70 of its film on a wet one (an estimate), 0.2 % larger down, turned 0.25° clockwise.",
        "plate C: face 58.0 × 38.0 mm, 4 tones: L* ",
        "Ink “sea”: known by a full patch #10305c and a pale one #9fb0bd, on a sheet #f4f1e8, 30 % transparent medium, 1.2 times as strong.",
        "“sky” in “sea”",
        "Thin paper “tissue”, laid first and nearest the eye: #dcd0b4 on the strip's paper, #8d8672 on black, its other side #ccbbaa, to the ink, a piece, torn.",
        "Thin paper “pad”: a pad of it #f0e8d8, 12.5 g/m²",
    ] {
        assert!(rich.contains(word), "{word}: {rich}");
    }
    assert!(!rich.contains("unused"), "{rich}");
    // The file's own words have every letter, and nothing about boxes.
    let far = said(&desk, &proof(&json!({})), json!({ "title": "製氷", "letter": "", "date": "" }));
    assert!(far.contains("“製氷”.") && !far.contains("boxes"), "{far}");
    // Two plates of one name are told apart.
    let twin = desk.plate_read(&project("C", 5), &mut |_, _| {}).unwrap();
    let both = proof(
        &json!({ "printings": [printing(&json!({})), printing(&json!({ "plate": brought.id })), printing(&json!({ "plate": twin.id }))] }),
    );
    let settings: ProofSettings = serde_json::from_value(both).unwrap();
    let pairs = serde_json::to_value(desk.pairs(&settings, 1, 2).unwrap()).unwrap();
    assert_eq!((&pairs["first"], &pairs["second"]), (&json!("plate C of Card, printed 2"), &json!("plate C of Card, printed 3")));
}

#[test]
fn neither_after_a_stop_nor_without_a_strip_does_a_saved_print_tell_times() {
    let words = |change: &Value| {
        let mut desk = desk();
        update(&mut desk, change).unwrap();
        let settings: ProofSettings = serde_json::from_value(proof(&json!({}))).unwrap();
        let mut file = Vec::new();
        desk.proof_png(&spec(&settings, Some(2.0)), &mut |bytes| file.extend_from_slice(bytes), &mut |_, _| {}).unwrap();
        String::from_utf8_lossy(&file[..6000]).into_owned()
    };
    let timed = |words: &str| words.contains(" s L* ");
    let stop = json!({ "bath": { "metal": "zinc", "mordant": "ferric chloride" } });
    let (plain, stopped, missing) = (words(&json!({})), words(&stop), words(&json!({ "strip": "none" })));
    assert!(timed(&plain) && !timed(&stopped) && !timed(&missing), "{stopped}");
    assert!(stopped.contains("STOP: ") && stopped.contains("L* "), "{stopped}");
    assert!(missing.contains("there is no strip of yours yet"), "{missing}");
}

#[test]
fn an_ink_that_can_not_be_stops_only_what_it_prints() {
    let desk = desk();
    let bad =
        json!({ "name": "lost", "known": { "full": "#1f3a5c", "pale": "#9fb0bd", "tone": 9 }, "sheet": null, "thinned": 0, "strength": 1 });
    let with = |ink: Value| proof(&json!({ "inks": [bad], "lamp": "warm", "printings": [printing(&json!({ "ink": ink }))] }));
    shown(&desk, "proof", &with(Value::Null)).unwrap();
    assert!(refused(&desk, &with(json!(0))).contains("lost"));
    let settings: ProofSettings = serde_json::from_value(with(Value::Null)).unwrap();
    let facts = serde_json::to_value(desk.ink_facts(&settings).unwrap()).unwrap();
    assert!(facts["inks"][0]["opacity"].is_null() && facts["inks"][0]["remark"].as_str().unwrap().contains("lost"));
}

#[test]
fn painted_edges_move_the_print_and_the_difference_tells() {
    let desk = desk();
    let figures = |proof: &Value| {
        let settings: ProofSettings = serde_json::from_value(proof.clone()).unwrap();
        serde_json::to_value(desk.difference(&settings).unwrap()).unwrap()
    };
    let edges = proof(&json!({ "edges": { "seed": 3, "wander_mm": 0.6, "creep_mm": 0.3, "lap_mm": 1 } }));
    let (plain, painted) = (proof(&json!({})), edges);
    assert!(furthest(&shown(&desk, "proof", &plain).unwrap(), &shown(&desk, "proof", &painted).unwrap()) > 10);
    assert_eq!(shown(&desk, "proof", &painted).unwrap(), shown(&desk, "proof", &painted).unwrap());
    let [exact, by_hand] = [&plain, &painted].map(|settings| figures(settings)["mean"].as_f64().unwrap());
    assert!(exact > 0.2 && exact < 8.0, "{exact}");
    assert!((exact - by_hand).abs() > 1e-3);
    assert_eq!(shown(&desk, "difference", &plain).unwrap().width(), shown(&desk, "wanted", &plain).unwrap().width());
}

#[test]
fn the_drawing_lies_under_the_same_lamp_as_the_pull() {
    let desk = desk();
    let lightest = |kind: &str, proof: &Value| *shown(&desk, kind, proof).unwrap().data().iter().max_by_key(|px| u32::from(px[1])).unwrap();
    let mut seen = Vec::new();
    for lamp in ["daylight", "booth", "warm"] {
        let proof = proof(&json!({ "paper": "#ece6d8", "lamp": lamp }));
        let (pull, wanted) = (lightest("proof", &proof), lightest("wanted", &proof));
        assert!(pull.iter().zip(wanted).all(|(&pull, wanted)| pull.abs_diff(wanted) <= 1), "{lamp}: {pull:?} {wanted:?}");
        seen.push(wanted);
    }
    assert!(seen[0] != seen[2], "a warm lamp changes a cream sheet: {seen:?}");
}

#[test]
fn the_difference_says_what_counts_in_and_leaves_out_what_is_worked_by_hand() {
    let mut desk = desk();
    let difference = |desk: &Desk, change: &Value| {
        let settings: ProofSettings = serde_json::from_value(proof(change)).unwrap();
        serde_json::to_value(desk.difference(&settings).unwrap()).unwrap()
    };
    let said = |desk: &Desk, change: &Value| difference(desk, change)["said"].to_string();
    assert_eq!(said(&desk, &json!({})), "[]");
    let ink = json!([{ "name": "sea", "known": { "full": "#10305c", "opacity": 0.1 }, "sheet": null, "thinned": 0, "strength": 1 }]);
    let all = said(
        &desk,
        &json!({ "inks": ink, "printings": [printing(&json!({ "ink": 0, "shift_mm": [1, 0] }))], "plate_tone": 0.1, "lamp": "warm" }),
    );
    for word in ["your ink", "plate tone", "the misfit", "by daylight"] {
        assert!(all.contains(word), "{word}: {all}");
    }
    assert!(!all.contains("papers") && !all.contains("other plates"), "{all}");
    // Half the face by hand: the plan promises nothing there, and nothing of it counts.
    let before = difference(&desk, &json!({}));
    update(&mut desk, &json!({ "hand": [{ "kind": "by_hand", "path": "0,0 29,0 29,38 0,38" }] })).unwrap();
    let half = difference(&desk, &json!({}));
    let [one, other] = [&before, &half].map(|found| found["most"].as_f64().unwrap());
    assert!(half["said"][0].as_str().unwrap().contains("50.0 % of the face, worked by hand"), "{half}");
    assert!(other <= one + 1e-6, "the lightest tone over all of it would be far off: {other} after {one}");
}
