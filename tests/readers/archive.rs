//! The ZIP of everything, made by the headless example and opened by programs we did not write: Info-ZIP's unzip, the csv and image crates.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use image::GrayImage;
use serde_json::Value;
use std::fs;
use std::process::Command;
use stepbite_core::reread::{PlanFiles, Reread};
use stepbite_tests::{example, run};

#[test]
fn another_program_unpacks_it_and_all_files_say_the_same() {
    let directory = tempfile::tempdir().unwrap();
    let folder = directory.path();
    GrayImage::from_fn(240, 240, |x, _| image::Luma([(250 - 240 * (x / 40) / 5) as u8])).save(folder.join("card.png")).unwrap();
    let made = Command::new(example())
        .arg(folder.join("card.png"))
        .args(["--plate", "62x42", "--bevel", "1", "--tones", "6", "--zip", "--out"])
        .arg(folder.join("out"))
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let out = folder.join("out");
    let tested = run("unzip", &["-t", "plan.zip"], &out);
    let said = String::from_utf8_lossy(&tested.stdout).into_owned();
    assert!(tested.status.success() && said.contains("No errors detected"), "{said}");
    assert!(run("unzip", &["-q", "plan.zip", "-d", "files"], &out).status.success());
    let files = out.join("files");

    // What is in it is what the example wrote besides.
    for (packed, beside) in
        [("sheets.pdf", "sheets.pdf"), ("steps.png", "steps.png"), ("plan.json", "plan.json"), ("masks/stopout-03.png", "stopout-03.png")]
    {
        assert!(fs::read(files.join(packed)).unwrap() == fs::read(out.join(beside)).unwrap(), "{packed}");
    }
    let read_me = fs::read_to_string(files.join("read-me.txt")).unwrap();
    assert!(read_me.contains("EXAMPLE, NOT YOUR BATH") && read_me.contains("STEPBITE: card"), "{read_me}");
    assert!(fs::read_to_string(files.join("stopouts.svg")).unwrap().contains("id=\"stopout-05\""));

    // The table by another reader, against plan.json.
    let plan: Value = serde_json::from_slice(&fs::read(files.join("plan.json")).unwrap()).unwrap();
    let mut table = csv::Reader::from_path(files.join("plan.csv")).unwrap();
    let head = table.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 6);
    let cell = |row: usize, name: &str| rows[row][head.iter().position(|each| each == name).unwrap()].to_owned();
    let mut shown = 0.0;
    for (k, tone) in plan["tones"].as_array().unwrap().iter().enumerate() {
        shown += tone["set_s"].as_f64().unwrap();
        for (name, wanted) in [
            ("tone", &tone["index"]),
            ("target_lightness", &tone["lightness"]),
            ("share_of_face", &tone["share"]),
            ("total_s", &tone["total_s"]),
            ("bite_s", &tone["bite_s"]),
            ("clock_to_set_s", &tone["set_s"]),
            ("total_from_s", &tone["range_s"][0]),
            ("total_to_s", &tone["range_s"][1]),
        ] {
            assert_eq!(cell(k, name).parse::<f64>().unwrap().to_bits(), wanted.as_f64().unwrap().abs().to_bits(), "{name} of tone {k}");
        }
        assert!((cell(k, "shown_total_s").parse::<f64>().unwrap() - shown).abs() < 1e-9);
    }
    for (j, stop) in plan["stopouts"].as_array().unwrap().iter().enumerate() {
        for (name, field) in [
            ("painted_at_stopout", "number"),
            ("covered_share_after", "covered_share"),
            ("new_share", "new_share"),
            ("edge_cm", "edge_cm"),
            ("islands", "islands"),
            ("paint_min", "paint_min"),
        ] {
            assert_eq!(cell(j, name).parse::<f64>().unwrap().to_bits(), stop[field].as_f64().unwrap().to_bits(), "{name} of stop-out {j}");
        }
        // Face of 60 × 40 mm: 24 cm².
        assert!((cell(j, "new_cm2").parse::<f64>().unwrap() - 24.0 * stop["new_share"].as_f64().unwrap()).abs() < 1e-9);
    }
    assert_eq!(cell(5, "painted_at_stopout"), "");

    // Read again: the same masks as another reader sees them, the same times.
    let masks: Vec<Vec<u8>> = (1..6).map(|number| fs::read(files.join(format!("masks/stopout-{number:02}.png"))).unwrap()).collect();
    let masks: Vec<(usize, &[u8])> = masks.iter().enumerate().map(|(i, mask)| (i + 1, mask.as_slice())).collect();
    let (steps, plan_bytes) = (fs::read(files.join("steps.png")).unwrap(), fs::read(files.join("plan.json")).unwrap());
    let again = Reread::of(PlanFiles { steps: &steps, plan: &plan_bytes, masks: &masks, ..PlanFiles::default() }).unwrap();
    for (number, bytes) in masks {
        assert_eq!(again.stop_outs.mask(number).data(), image::load_from_memory(bytes).unwrap().to_luma8().as_raw().as_slice());
    }
    for (clock, tone) in again.clock.unwrap().iter().zip(plan["tones"].as_array().unwrap()) {
        assert_eq!((clock.set.0, clock.total.0), (tone["set_s"].as_f64().unwrap(), tone["total_s"].as_f64().unwrap()));
    }
}
