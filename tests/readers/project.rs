//! The project file, read by programs we did not write: Info-ZIP's unzip takes it apart, and another plate's file within it once more, and so does
//! Python's zipfile; a JSON Schema validator reads project.json. The files of every version written so far open.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use stepbite_core::log::{Chosen, Entry, Instead, What};
use stepbite_core::project::{CURRENT, Done, DrawingName, KeptId, Project, other_plates, read, written};
use stepbite_core::units::Seconds;
use stepbite_tests::run;

fn here(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn schema() -> jsonschema::Validator {
    let schema: Value = serde_json::from_str(&fs::read_to_string(here("contract/project.schema.json")).unwrap()).unwrap();
    jsonschema::validator_for(&schema).unwrap()
}

fn drawing() -> Vec<u8> {
    fs::read(here("fixtures/drawings/grey8.png")).unwrap()
}

fn map() -> Vec<u8> {
    fs::read(here("fixtures/drawings/grey2.png")).unwrap()
}

/// Work in which everything is said that can be.
fn project() -> Project {
    let proof = json!({
        "paper": "#f4f1e8", "plate_tone": 0.02, "grain": { "kind": "sprayed", "size": "fine", "cover": 0.45, "seed": 12 },
        "edges": { "seed": 3, "wander_mm": 0.4, "creep_mm": 0.2, "lap_mm": 1 }, "lamp": "warm", "zone_border_mm": 6, "zone_minutes": 3.5,
        "inks": [
            { "name": "umber", "known": { "full": "#4a2f1b", "opacity": 0.3 }, "sheet": null, "thinned": 0.2, "strength": 1 },
            { "name": "blue", "known": { "full": "#1f3a5c", "pale": "#9fb0bd", "tone": 2 }, "sheet": "#f4f1e8", "thinned": 0, "strength": 1.2 }
        ],
        "zones": [{ "name": "sky", "ink": 1, "outline": [[0, 0], [157, 0], [157, 60], [0, 60]] }],
        "laid": [{ "name": "buff tissue", "on_white": "#e8dcc0", "on_black": "#2a2620", "outline": [[10, 70], [60, 70], [40, 120]], "edge": "torn", "back": null, "turned": false }],
        "printings": [
            { "plate": "9c01", "ink": 0, "trap": 1, "shift_mm": [0.5, -0.25], "growth": [0.002, 0.001], "turn": 0.1 },
            { "plate": null, "ink": null, "trap": 0.75, "shift_mm": [0, 0], "growth": [0, 0], "turn": 0 }
        ]
    });
    let entry = |at_ms: f64, note: &str, what| Entry { at_ms, note: note.to_owned(), what };
    let (planned_s, actual_s) = (Seconds(7.5), Seconds(9.0));
    let rung = Chosen { tone: 2, lightness: 72.25, total_s: Seconds(26.4), shown_s: Seconds(26.0) };
    Project {
        drawing: DrawingName { name: "The ice house, wash.png".to_owned() },
        settings: json!({
            "plate": { "width_mm": 160, "height_mm": 180, "bevel_mm": 1.5 }, "fit": "cover",
            "placing": { "turn": 0.3, "crop": { "left": 0, "top": 0.05, "right": 1, "bottom": 1 }, "offset_mm": [0, -1.5], "scale": 1, "true_size": false },
            "photo": { "corners": [[1, 2], [300, 2], [300, 400], [1, 400]], "sheet_mm": [210, 297], "spots": [[0.1, 0.2]], "even": true, "neutral": false, "mix": "lightness" },
            "px_per_mm": 10, "tones": 4, "breaks": [80.5, 60, 33.3], "mark_mm": 1, "reserve_l": 1,
            "strip": { "id": "14-B", "readings": [[0, 89], [10, 81], [40, 66], [320, 37]], "made": "covered", "about": { "bitten": "2026-02-03", "celsius": 19, "read": "meter" } },
            "hand": [
                { "kind": "stroke", "path": "1,2 3.5,4", "width_mm": 2, "tone": 1 }, { "kind": "lasso", "path": "1,2 3,4 5,1", "tone": 0 },
                { "kind": "fill", "at": [10, 20], "tone": 3 }, { "kind": "keep", "at": [1, 1] }, { "kind": "by_hand", "path": "0,0 9,0 9,9" }
            ],
            "resist": { "kind": "outline", "darker_than": 90 }, "smoothing_mm": 0.8, "lines": "etched",
            "hand_speed": { "edge_cm_per_min": 30, "area_cm2_per_min": 70, "island_s": 6 }, "hand_error_mm": 0.4,
            "painted": [{ "number": 1, "minutes": 12, "done": { "edge_cm": 100, "area_cm2": 20, "islands": 4 } }],
            "scatter_l": 1.5, "bench": { "dry_min": 25, "rinse_min": null },
            "bath": { "metal": "zinc", "mordant": "copper sulphate", "before": "none", "strip_c": 19, "today_c": 17, "warmth_kj": null, "litres": 4, "strength_g_l": null, "capacity_g_l": null, "depth_um": null },
            "witness": { "seconds": 40, "lightness": 66 },
            "strip_plan": { "first_s": 10, "last_s": 900, "bands": 8, "way": "covered", "width_mm": 40, "height_mm": 120 },
            "reading_error_l": 1, "handling": { "slack_s": 2, "lag_s": 0, "drag_s": 0 }
        }),
        done: Done {
            log: vec![
                entry(1.77e12, "", What::Painted { stop_out: 1, minutes: Some(12.0) }),
                entry(
                    1.770_001e12,
                    "a little over",
                    What::Bitten { bite: 1, planned_s, actual_s, celsius: Some(18.5), factor: Some(1.1), joined: false },
                ),
                entry(1.770_002e12, "", What::PutBack { bite: 1, planned_s, actual_s: Seconds(1.0), celsius: None, factor: None }),
                entry(1.770_003e12, "", What::Way { bite: 1, rungs: vec![rung], joined: vec![3] }),
                entry(1.770_004e12, "misread", What::Corrected { entry: 1, to: Instead::Dip { actual_s: Seconds(8.0), celsius: None } }),
            ],
            kept: Some(KeptId { id: "3f2a".to_owned() }),
        },
        job: json!({
            "title": "Ice house", "letter": "B", "units": "mm", "ticks": { "drawing": true, "bath": false }, "proof": proof,
            "id": null, "row": null, "day": null, "record": null, "papers": null,
            "plates": [{ "id": "9c01", "letter": "A", "title": "Slipway", "face_mm": { "width": 117, "height": 177 }, "tones": 4, "example": false, "facts": "{}", "map": "iVBORw0KGgo=" }],
            "sheets": { "paper": "a4", "transfer": "trace", "kinds": ["cover", "run"], "style": "full", "inward_mm": 0.2, "hinge": false, "bars_mm": [99.8, 100] }
        }),
        family: Vec::new(),
    }
}

/// Another plate of the family, of which nothing is painted.
fn other(id: &str) -> Project {
    let mut project = project();
    project.job["id"] = json!(id);
    project.job["letter"] = json!("C");
    project.done = Done::default();
    project
}

/// The family's plate at hand.
fn first() -> Project {
    let mut project = project();
    project.job["id"] = json!("5e9a01");
    project.family = other_plates(2);
    project
}

fn others() -> [Vec<u8>; 2] {
    // One as bare as a file can be, and one with everything.
    let file = |project: &Project, kept: Option<&[u8]>| written(project, &drawing(), kept, &[]).unwrap();
    [file(&other("07c3"), None), file(&Project { done: project().done, ..other("11d4") }, Some(&map()))]
}

/// And what this version's files may say since it was first kept.
fn project_now() -> Project {
    let mut project = first();
    project.job["sheets"]["notch"] = json!("foot_left");
    project.job["ticks"]["plates"] = json!(true);
    let said = json!({
        "day": "2026-03-14", "kind": "edition", "copy": 3, "plates": [{ "letter": "B", "turned": true, "ink": "umber" }], "papers": ["buff tissue"], "sheet": "rag",
        "damping": "soaked", "wiping": "tarlatan", "pressure": "two blankets", "words": "a little grey", "photo": { "id": "7a", "alt": "on the rack" }, "struck": false
    });
    project.job["record"] = json!({
        "planned": 20, "edition": 12, "lifetime": null, "photos": [{ "id": "7a", "jpeg": "/9j/" }],
        "pulls": [{ "number": 1, "now": said, "corrections": [{ "day": "2026-03-15", "note": "a slip", "was": said }] }],
        "touches": [{ "plate": "own", "at": [12.5, 30], "words": "a breath of blue" }]
    });
    let proof = &mut project.job["proof"];
    proof["grain"]["median_um"] = json!(22.5);
    proof["inks"][1]["printed"] = json!({ "n": 1.83, "density": 1.57, "sheet": [0.8, 0.79, 0.7], "full": { "lands": 0.03, "film": 0.97 }, "pale": { "lands": 0.4, "film": 0.35 } });
    proof["laid"][0]["sheet"] = json!("#ffffff");
    proof["laid"][0]["tear"] = json!(7);
    proof["laid"][0]["weight"] = json!({ "pad": "#f0e8d8", "grams": 15.5 });
    project
}

#[test]
fn another_program_unpacks_it_and_the_schema_holds() {
    let directory = tempfile::tempdir().unwrap();
    let folder = directory.path();
    fs::write(folder.join("p.zip"), written(&project_now(), &drawing(), Some(&map()), &others()).unwrap()).unwrap();
    let tested = run("unzip", &["-t", "p.zip"], folder);
    let said = String::from_utf8_lossy(&tested.stdout).into_owned();
    assert!(tested.status.success() && said.contains("No errors detected"), "{said}");
    assert!(tested.stderr.is_empty(), "{}", String::from_utf8_lossy(&tested.stderr));
    assert!(run("unzip", &["-q", "p.zip", "-d", "files"], folder).status.success());
    let files = folder.join("files");
    assert_eq!(fs::read(files.join("drawing.png")).unwrap(), drawing());
    assert_eq!(fs::read(files.join("kept-map.png")).unwrap(), map());
    assert_eq!(fs::read_dir(&files).unwrap().count(), 4);
    // Another plate is a file of its own, stored as it is; Python reads it without unpacking the outer one.
    for (number, other) in [1, 2].into_iter().zip(others()) {
        let name = format!("plates/{number:02}.stepbite.zip");
        assert_eq!(fs::read(files.join(&name)).unwrap(), other);
        let tested = run("unzip", &["-t", &format!("files/{name}")], folder);
        assert!(tested.status.success(), "{}", String::from_utf8_lossy(&tested.stdout));
        let script = "import json, sys, zipfile\nouter = zipfile.ZipFile('p.zip')\nassert outer.testzip() is None\ninfo = outer.getinfo(sys.argv[1])\n\
            assert info.compress_type == zipfile.ZIP_STORED\nwith outer.open(info) as member:\n    inner = zipfile.ZipFile(member)\n    assert inner.testzip() is None\n\
            \x20   project = json.loads(inner.read('project.json'))\nprint(project['version'], project['job']['id'], project['family'])";
        let read = run("python3", &["-c", script, &name], folder);
        let said = String::from_utf8_lossy(&read.stdout).into_owned();
        assert_eq!(said.trim(), format!("{CURRENT} {} []", ["07c3", "11d4"][number - 1]), "{}", String::from_utf8_lossy(&read.stderr));
    }
    let value: Value = serde_json::from_slice(&fs::read(files.join("project.json")).unwrap()).unwrap();
    let schema = schema();
    let faults: Vec<String> = schema.iter_errors(&value).map(|fault| format!("{} at {}", fault, fault.instance_path())).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    let mut nameless = value.clone();
    nameless["family"] = json!(["plates/../x.zip"]);
    assert!(!schema.is_valid(&nameless));
    for (path, name) in
        [("", "extra"), ("/settings", "extra"), ("/settings/bath", "extra"), ("/done/log/0", "extra"), ("/job/sheets", "extra")]
    {
        let mut wrong = value.clone();
        wrong.pointer_mut(path).unwrap()[name] = json!(1);
        assert!(!schema.is_valid(&wrong), "{path}/{name}");
    }
    // What the page refuses the schema does.
    for (path, out) in [
        ("/plate_tone", json!(0.5)),
        ("/plate_tone", json!(-0.1)),
        ("/grain/median_um", json!(3)),
        ("/inks/1/printed/full/lands", json!(1.5)),
        ("/laid/0/tear", json!(0)),
        ("/laid/0/weight/grams", json!(1000)),
        ("/printings/0/shift_mm/1", json!(30)),
        ("/printings/0/growth/0", json!(0.06)),
    ] {
        let mut wrong = value.clone();
        *wrong.pointer_mut(&format!("/job/proof{path}")).unwrap() = out;
        assert!(!schema.is_valid(&wrong), "{path}");
    }
}

/// Writes the kept file of today's version where there is none: `cargo test -p stepbite-tests --test readers_project -- --ignored`. One that is
/// there is never written over.
#[test]
#[ignore = "run once when the version is raised"]
fn keep_a_file_of_this_version() {
    let kept = here(&format!("fixtures/projects/version-{CURRENT}.zip"));
    assert!(!kept.exists(), "it is kept already");
    fs::write(kept, written(&first(), &drawing(), Some(&map()), &others()).unwrap()).unwrap();
}

#[test]
fn files_of_every_version_so_far_open() {
    for version in 1..=CURRENT {
        let file = fs::read(here(&format!("fixtures/projects/version-{version}.zip"))).unwrap();
        let opened = read(&file).unwrap();
        assert_eq!(opened.drawing.of(&file), drawing(), "version {version}");
        assert_eq!(opened.kept, Some(map()));
        let mut said = if version < 3 { project() } else { first() };
        let beside: Vec<Project> = opened.family.iter().map(|plate| plate.project.clone()).collect();
        assert_eq!(beside, if version < 3 { vec![] } else { vec![other("07c3"), Project { done: project().done, ..other("11d4") }] });
        for plate in &opened.family {
            assert_eq!(plate.drawing.of(&file), drawing());
        }
        if version == 1 {
            said.job["plates"] = json!([]);
            let proof = json!({
                "paper": "#f4f1e8", "plate_tone": 0.02, "grain": { "kind": "rosin", "size": "medium", "cover": null, "seed": 1 }, "edges": null,
                "lamp": "daylight", "inks": [], "zones": [], "zone_border_mm": 7, "zone_minutes": 4, "laid": [],
                "printings": [{ "plate": null, "ink": null, "trap": 0.75, "shift_mm": [0, 0], "growth": [0, 0], "turn": 0 }]
            });
            said.job["proof"] = proof;
        }
        assert_eq!(opened.project, said, "version {version} says what it said when it was written");
    }
}
