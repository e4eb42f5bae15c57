//! The headless example as scripts use it: what it writes, what it refuses, and with which exit code.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, GrayImage, ImageFormat, Luma, Rgba, RgbaImage};
use serde_json::Value;
use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use stepbite_core::light::{Encoded, Reflectance};
use stepbite_tests::{checker, data, example};
use tempfile::TempDir;

struct Bench {
    folder: TempDir,
}

impl Bench {
    fn new() -> Self {
        Self { folder: TempDir::new().unwrap() }
    }

    fn file(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        path
    }

    fn out(&self) -> PathBuf {
        self.folder.path().join("out")
    }

    fn run(&self, drawing: &Path, more: &[&str]) -> Output {
        Command::new(example()).arg(drawing).arg("--out").arg(self.out()).args(more).output().unwrap()
    }

    /// Refused: exit 1, one sentence, nothing written.
    fn refused(&self, drawing: &Path, more: &[&str]) -> String {
        let output = self.run(drawing, more);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(1), "{more:?}: {said}");
        assert_eq!(said.trim_end().lines().count(), 1, "one line: {said}");
        assert!(said.trim_end().ends_with('.'), "a sentence: {said}");
        assert!(!self.out().exists(), "nothing is written");
        said
    }

    /// Done: exit 0, and the contract holds.
    fn done(&self, drawing: &Path, more: &[&str]) -> Value {
        let output = self.run(drawing, more);
        assert!(output.status.success(), "{more:?}: {}", String::from_utf8_lossy(&output.stderr));
        assert_eq!(checker::faults(&self.out()), Vec::<String>::new());
        serde_json::from_str(&fs::read_to_string(self.out().join("plan.json")).unwrap()).unwrap()
    }
}

fn png(image: impl Into<DynamicImage>) -> Vec<u8> {
    let mut file = Cursor::new(Vec::new());
    image.into().write_to(&mut file, ImageFormat::Png).unwrap();
    file.into_inner()
}

/// A card of broad vertical bars, light to dark.
fn card(bars: u32) -> GrayImage {
    GrayImage::from_fn(40 * bars, 240, |x, _| Luma([(250 - 240 * (x / 40) / (bars - 1)) as u8]))
}

fn notes(plan: &Value) -> String {
    plan["notes"].to_string()
}

#[test]
fn the_demo_drawing_goes_all_the_way() {
    let bench = Bench::new();
    let drawing = Path::new(env!("CARGO_MANIFEST_DIR")).join("../www/demo/ice-house.jpg");
    let plan = bench.done(&drawing, &["--plate", "160x180", "--bevel", "1.5", "--tones", "10"]);
    assert_eq!(plan["strip"]["kind"], "example");
    assert!(notes(&plan).contains("EXAMPLE, NOT YOUR BATH"));
    assert_eq!(plan["face_mm"]["width"], 157.0);
    // Golden ladder of strip 15-A: PCHIP by SciPy, tests/reference/data/ladders.csv.
    let expected = [0.0, 7.5, 15.4, 26.4, 42.1, 64.5, 99.1, 155.5, 266.0, 561.5];
    for (tone, expected) in plan["tones"].as_array().unwrap().iter().zip(expected) {
        let total = tone["total_s"].as_f64().unwrap();
        assert!((total - expected).abs() <= 0.01 * expected + 0.05, "{total} against {expected}");
    }
}

#[test]
fn every_demo_drawing_goes_through() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    // Orientation 6: the phone's picture is taller than wide once it is upright.
    for (name, plate) in
        [("slipway.png", "120x180"), ("breakwater.png", "120x180"), ("gantry.png", "90x180"), ("ice-house-phone.jpg", "150x200")]
    {
        let bench = Bench::new();
        let plan = bench.done(&folder.join(name), &["--plate", plate, "--bevel", "1.5", "--tones", "10", "--px-per-mm", "6"]);
        let painted: f64 = plan["stopouts"].as_array().unwrap().iter().map(|stopout| stopout["new_share"].as_f64().unwrap()).sum();
        assert!(painted > 0.3, "{name}: the drawings have light in them, {painted} is painted");
        // Half-way down the ladder something is covered and something bare on each of them.
        let mask = image::open(bench.out().join("stopout-05.png")).unwrap().to_luma8();
        assert!(mask.pixels().any(|p| p.0[0] == 0) && mask.pixels().any(|p| p.0[0] == 255), "{name}");
    }
}

#[test]
fn equal_inputs_give_equal_bytes() {
    let bench = Bench::new();
    let drawing = bench.file("card.png", &png(card(5)));
    let args = ["--plate", "60x40", "--tones", "5", "--breaks", "fitted"];
    let files = ["steps.png", "proof.png", "sheets.pdf", "plan.json"];
    bench.done(&drawing, &args);
    let first = files.map(|name| fs::read(bench.out().join(name)).unwrap());
    fs::remove_dir_all(bench.out()).unwrap();
    bench.done(&drawing, &args);
    assert!(files.map(|name| fs::read(bench.out().join(name)).unwrap()) == first);
}

#[test]
fn flat_tones_print_at_the_curves_lightness() {
    // At least 1 cm² of one tone, mean in linear light, within 0.5 L* of the target.
    let bench = Bench::new();
    let drawing = bench.file("card.png", &png(card(6)));
    let plan = bench.done(&drawing, &["--plate", "120x40", "--tones", "6", "--strip", data("strips/strip-15-a.csv").to_str().unwrap()]);
    assert_eq!(plan["strip"]["kind"], "measured");
    let proof = image::open(bench.out().join("proof.png")).unwrap().to_rgb8();
    for (k, tone) in plan["tones"].as_array().unwrap().iter().enumerate() {
        let left = 200 * k as u32 + 30;
        let (mut sum, mut count) = (0.0, 0.0);
        for y in 50..350 {
            for x in left..left + 140 {
                sum += Encoded(f64::from(proof.get_pixel(x, y).0[1]) / 255.0).linear().0;
                count += 1.0;
            }
        }
        let mean = Reflectance(sum / count).lightness().0;
        let target = tone["lightness"].as_f64().unwrap();
        assert!((mean - target).abs() <= 0.5, "tone {k}: {mean} against {target}, over {} cm²", count / 10_000.0);
    }
}

#[test]
fn no_clean_up_is_the_plain_threshold() {
    let bench = Bench::new();
    let speckled = GrayImage::from_fn(100, 100, |x, y| Luma([if (x * 7 + y * 13) % 11 == 0 { 0 } else { 255 }]));
    let drawing = bench.file("specks.png", &png(speckled.clone()));
    bench.done(&drawing, &["--plate", "10x10", "--tones", "2", "--mark", "0"]);
    let steps = image::open(bench.out().join("steps.png")).unwrap().to_luma8();
    assert!(steps.pixels().zip(speckled.pixels()).all(|(s, p)| s.0[0] == u8::from(p.0[0] == 0)));
}

#[test]
fn contain_leaves_paper_and_cover_crops() {
    let bench = Bench::new();
    let drawing = bench.file("card.png", &png(GrayImage::from_fn(200, 100, |x, _| Luma([if x < 100 { 90 } else { 10 }]))));
    let args = ["--plate", "40x40", "--tones", "2", "--fit"];
    let contain = bench.done(&drawing, &[&args[..], &["contain"]].concat());
    assert!((contain["tones"][0]["share"].as_f64().unwrap() - 0.75).abs() < 0.01, "half the face is paper, a quarter the lighter bar");
    fs::remove_dir_all(bench.out()).unwrap();
    let cover = bench.done(&drawing, &[&args[..], &["cover"]].concat());
    assert!((cover["tones"][0]["share"].as_f64().unwrap() - 0.5).abs() < 0.01);
}

#[test]
fn more_tones_than_the_drawing_has_are_left_empty() {
    for rule in ["even", "fitted"] {
        let bench = Bench::new();
        let drawing = bench.file("three.png", &png(card(3)));
        let plan = bench.done(&drawing, &["--plate", "60x40", "--tones", "8", "--breaks", rule]);
        let empty = plan["tones"].as_array().unwrap().iter().filter(|tone| tone["share"] == 0.0).count();
        assert_eq!(empty, 5, "{rule}");
        assert!(notes(&plan).contains("no area"), "{rule}");
    }
}

#[test]
fn a_plate_larger_than_the_paper_is_cut_into_tiles_with_a_note() {
    let bench = Bench::new();
    let drawing = bench.file("card.png", &png(card(4)));
    let plan = bench.done(&drawing, &["--plate", "300x400", "--tones", "4", "--px-per-mm", "3"]);
    assert!(notes(&plan).contains("A4"), "{}", notes(&plan));
    // 300 × 400 mm is more than 210 × 297 mm both ways round: four tiles at least of the key and of each of three stop-outs; cover, run
    // sheet, look sheet and pull record are a page each.
    let said =
        Command::new("pdfinfo").arg(bench.out().join("sheets.pdf")).output().expect("pdfinfo is missing: tests/run installs poppler");
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    assert!(said.lines().any(|line| line.starts_with("Pages:") && line.ends_with(" 20")), "{said}");
}

#[test]
fn odd_sizes_are_answered() {
    let bench = Bench::new();
    let long = GrayImage::from_fn(30_000, 20, |x, _| Luma([(x / 118) as u8]));
    bench.done(&bench.file("long.png", &png(long)), &["--plate", "160x40", "--tones", "4"]);
}

#[test]
fn a_plan_over_an_older_one_leaves_no_mask_of_it() {
    let bench = Bench::new();
    let drawing = bench.file("card.png", &png(card(6)));
    bench.done(&drawing, &["--plate", "60x40", "--tones", "6"]);
    bench.done(&drawing, &["--plate", "60x40", "--tones", "4"]);
}

#[test]
fn a_wrong_extension_does_not_matter() {
    let bench = Bench::new();
    bench.done(&bench.file("card.jpg", &png(card(4))), &["--plate", "60x40", "--tones", "4"]);
}

#[test]
fn undecodable_drawings_are_refused() {
    let mut jpeg = Vec::new();
    JpegEncoder::new(&mut jpeg).encode_image(&card(6)).unwrap();
    let cases: [(&str, Vec<u8>); 4] = [
        ("empty.png", vec![]),
        ("words.png", b"not a picture".to_vec()),
        ("cut.jpg", jpeg[..jpeg.len() / 2].to_vec()),
        ("cut.png", png(card(6))[..200].to_vec()),
    ];
    for (name, bytes) in cases {
        let bench = Bench::new();
        let drawing = bench.file(name, &bytes);
        bench.refused(&drawing, &["--plate", "60x40", "--tones", "4"]);
    }
    let bench = Bench::new();
    bench.refused(Path::new("/nowhere/at/all.png"), &["--plate", "60x40", "--tones", "4"]);
}

#[test]
fn one_grey_has_nothing_to_separate() {
    let grey = |v: u8| png(GrayImage::from_pixel(50, 50, Luma([v])));
    let clear = png(RgbaImage::from_fn(50, 50, |x, _| Rgba([(x * 5) as u8, 0, 0, 0])));
    let dot = png(GrayImage::from_pixel(1, 1, Luma([77])));
    for (name, bytes) in [("white", grey(255)), ("black", grey(0)), ("grey", grey(128)), ("clear", clear), ("dot", dot)] {
        for rule in ["even", "fitted"] {
            let bench = Bench::new();
            let said = bench.refused(&bench.file("flat.png", &bytes), &["--plate", "60x40", "--tones", "4", "--breaks", rule]);
            assert!(said.contains("separate"), "{name}: {said}");
        }
    }
}

#[test]
fn impossible_plates_and_counts_are_refused() {
    let bench = Bench::new();
    let drawing = bench.file("card.png", &png(card(4)));
    for plate in ["0x100", "3000x100", "4.9x100", "100x2001", "-5x100", "NaNx100"] {
        bench.refused(&drawing, &["--plate", plate, "--tones", "4"]);
    }
    for tones in ["1", "17", "0", "-3"] {
        bench.refused(&drawing, &["--plate", "60x40", "--tones", tones]);
    }
    for more in [["--bevel", "20"], ["--px-per-mm", "0"], ["--mark", "9"], ["--px-per-mm", "1000"]] {
        bench.refused(&drawing, &[&["--plate", "60x40", "--tones", "4"][..], &more].concat());
    }
}

#[test]
fn bad_strips_are_refused_with_the_bands_named() {
    let head = "seconds,lightness\n";
    let cases = [
        ("0,89\n10,80\n".to_owned(), ""),
        ("0,paper\n10,80\n20,70\n".to_owned(), "paper"),
        // Dips typed for totals: strip 14-D of the demo. Both readings' longest band is named.
        ("0,89\n5,85\n5,81\n10,74\n20,66\n40,56.5\n80,47\n160,37\n160,40.5\n160,45.5\n".to_owned(), "640 s"),
        ("0,20\n10,50\n20,90\n".to_owned(), "darkest"),
        ("0,60\n10,60\n20,60\n".to_owned(), "60.0"),
        (String::new(), ""),
    ];
    for (rows, named) in cases {
        let bench = Bench::new();
        let drawing = bench.file("card.png", &png(card(4)));
        let strip = bench.file("strip.csv", format!("{head}{rows}").as_bytes());
        let said = bench.refused(&drawing, &["--plate", "60x40", "--tones", "4", "--strip", strip.to_str().unwrap()]);
        assert!(said.contains(named), "{said}");
    }
}

#[test]
fn strips_that_do_not_fall_are_taken_with_their_notes() {
    // What they say: tests/reference/bites.rs. Ladders by SciPy: reference/data/ladders.csv and robust_ladders.csv.
    let cases = [
        ("14-b", &["Over-bitten", "between 160 s and 480 s"][..], [0.0, 7.1, 14.3, 24.0, 39.0, 59.4, 89.3, 135.3, 202.3, 299.0]),
        (
            "14-c",
            &["40 s (L* 63.0) and 80 s (L* 64.5) disagree", "Over-bitten"],
            [0.0, 5.9, 14.6, 26.6, 42.8, 64.5, 94.5, 137.0, 200.1, 300.5],
        ),
    ];
    for (id, said, totals) in cases {
        let bench = Bench::new();
        let drawing = bench.file("card.png", &png(card(4)));
        let strip = data(&format!("strips/strip-{id}.csv"));
        let plan = bench.done(&drawing, &["--plate", "60x40", "--tones", "10", "--strip", strip.to_str().unwrap()]);
        for part in said {
            assert!(notes(&plan).contains(part), "{part} in {}", notes(&plan));
        }
        for (tone, total) in plan["tones"].as_array().unwrap().iter().zip(totals) {
            assert!((tone["total_s"].as_f64().unwrap() - total).abs() <= 0.06, "{tone}, {total} s was expected");
            let range: Vec<f64> = tone["range_s"].as_array().unwrap().iter().map(|s| s.as_f64().unwrap()).collect();
            assert!(range[1] <= 304.0 && (range[0] < range[1] || total == 0.0), "{tone}");
        }
    }
}

#[test]
fn wrong_usage_is_exit_two() {
    let bench = Bench::new();
    let drawing = bench.file("card.png", &png(card(4)));
    for args in
        [vec!["--plate", "60x40"], vec!["--plate", "sixty", "--tones", "4"], vec!["--plate", "60x40", "--tones", "4", "--colour", "blue"]]
    {
        assert_eq!(bench.run(&drawing, &args).status.code(), Some(2), "{args:?}");
        assert!(!bench.out().exists());
    }
}
