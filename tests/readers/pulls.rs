//! The record of the pulls by programs we did not write: its table against Python's csv module, its pages by poppler.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use base64::Engine as _;
use stepbite_core::aside::Aside;
use stepbite_core::ink_zones::{self, Zone};
use stepbite_core::pdf::pdf;
use stepbite_core::piece::Piece;
use stepbite_core::pulls::{Photo, Record, Shown, Touch, csv};
use stepbite_core::sheets::{Kind, Pulls, SheetSettings, Zones};
use stepbite_core::units::{PointMm, PxPerMm};
use stepbite_tests::plate::{self, MadeUp};
use stepbite_tests::{run, said};

fn record() -> Record {
    serde_json::from_str(include_str!("../reference/data/pulls.json")).unwrap()
}

#[test]
fn the_table_is_that_of_pythons_csv_module() {
    // tests/reference/scripts/pull_tables.py: csv.writer, the dialect "excel".
    let record = record();
    record.check().unwrap();
    let expected = include_str!("../reference/data/pulls.csv");
    let made = csv(&record);
    for (ours, theirs) in made.split("\r\n").zip(expected.split("\r\n")) {
        assert_eq!(ours, theirs);
    }
    assert!(made == expected);
    // And by one more reader.
    let mut read = ::csv::Reader::from_reader(made.as_bytes());
    let rows: Vec<::csv::StringRecord> = read.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), record.pulls.len());
    // One apostrophe off, and the words are back; none begins as a formula does.
    let back = |cell: &str| cell.strip_prefix('\'').unwrap_or(cell).to_owned();
    for (row, pull) in rows.iter().zip(&record.pulls) {
        assert_eq!((back(&row[10]), back(&row[14])), (pull.now.sheet.clone(), pull.now.words.clone()));
        assert!(row.iter().all(|cell| !cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n'])), "{row:?}");
    }
}

/// A picture of a size as a JPEG.
fn jpeg(width: u32, height: u32, grey: bool) -> Vec<u8> {
    let picture = image::RgbImage::from_fn(width, height, |x, y| image::Rgb([(x % 256) as u8, (y % 256) as u8, 90]));
    let picture = image::DynamicImage::ImageRgb8(picture);
    let picture = if grey { image::DynamicImage::ImageLuma8(picture.to_luma8()) } else { picture };
    let mut bytes = Vec::new();
    picture.write_with_encoder(image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 80)).unwrap();
    bytes
}

#[test]
fn poppler_finds_each_photograph_once_and_reads_the_words() {
    let mut record = record();
    record.pulls.truncate(6);
    for (index, pull) in record.pulls.iter_mut().enumerate() {
        pull.now.words = format!("word{index} of the printer, “quoted”");
    }
    (record.pulls[1].now.kind, record.pulls[1].now.copy, record.pulls[1].now.sheet) =
        (stepbite_core::pulls::Kind::Edition, Some(2), "rag 300 g".into());
    let files = [jpeg(120, 80, false), jpeg(50, 90, true)];
    let text = |bytes: &Vec<u8>| base64::engine::general_purpose::STANDARD.encode(bytes);
    record.photos = files.iter().zip(["a", "b"]).map(|(bytes, id)| Photo { id: id.into(), jpeg: text(bytes) }).collect();
    for (index, id) in [(0, "a"), (2, "b"), (3, "a")] {
        record.pulls[index].now.photo = Some(Shown { id: id.into(), alt: "the pull".into() });
    }
    let face = |share: f64| PointMm { x: 110.0 * share, y: 130.0 * share };
    let corners = [face(0.1), PointMm { x: 60.0, y: 13.0 }, face(0.5)];
    let zones = vec![Zone { name: "the slipway".into(), ink: 1, piece: Piece::new(corners.to_vec()).unwrap() }];
    let report = ink_zones::Report { remarks: Vec::new(), order: vec![vec![None], vec![Some(0)]], minutes: 8.0 };
    let settings = SheetSettings {
        title: "Ice house".into(),
        letter: "B".into(),
        kinds: vec![Kind::Zones, Kind::Touches, Kind::Pulls],
        zones: Some(Zones { zones, inks: vec!["warm grey".into(), "bone black".into()], report }),
        touches: vec![Touch { plate: String::new(), at: (20.0, 30.0), words: "one pale breath of blue".into() }],
        pulls: Some(Pulls::of(&record)),
        ..SheetSettings::default()
    };
    let made_up = MadeUp::of(plate::waves(0.0), PxPerMm(10.0), Aside::default());
    let sheets = made_up.sheets(&settings);
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("pulls.pdf"), pdf(&sheets)).unwrap();
    if let Ok(kept) = std::env::var("STEPBITE_KEEP") {
        std::fs::copy(directory.path().join("pulls.pdf"), kept).unwrap();
    }

    let listed = run("pdfimages", &["-list", "pulls.pdf"], directory.path());
    assert!(listed.status.success(), "{}", said(&listed));
    let listed = String::from_utf8(listed.stdout).unwrap();
    let pictures: Vec<Vec<&str>> = listed.lines().skip(2).map(|line| line.split_whitespace().collect()).collect();
    // page num type width height color comp bpc enc interp object …: three shown, two objects.
    let shown: Vec<(&str, &str, &str, &str)> = pictures.iter().map(|cells| (cells[3], cells[4], cells[5], cells[8])).collect();
    assert_eq!(shown.len(), 3, "{listed}");
    assert_eq!(shown.iter().filter(|each| **each == ("120", "80", "rgb", "jpeg")).count(), 2, "{listed}");
    assert_eq!(shown.iter().filter(|each| **each == ("50", "90", "gray", "jpeg")).count(), 1, "{listed}");
    let objects: std::collections::BTreeSet<&str> = pictures.iter().map(|cells| cells[10]).collect();
    assert_eq!(objects.len(), 2, "{listed}");

    // Their bytes come out as they went in.
    assert!(run("pdfimages", &["-all", "pulls.pdf", "photo"], directory.path()).status.success());
    let out: Vec<Vec<u8>> = std::fs::read_dir(directory.path())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "jpg"))
        .map(|path| std::fs::read(path).unwrap())
        .collect();
    assert!(out.len() == 3 && files.iter().all(|file| out.contains(file)), "{} photographs", out.len());

    let text = run("pdftotext", &["-layout", "pulls.pdf", "-"], directory.path());
    let text = String::from_utf8(text.stdout).unwrap();
    for index in 0..6 {
        assert!(text.contains(&format!("word{index} of the printer, “quoted”")), "{index}: {text}");
        assert!(text.contains(&format!("Pull {}", index + 1)));
    }
    for words in [
        "The edition of 12 at a glance",
        "not written down",
        "pull 2, 2026-03-23, rag 300 g",
        "PLATE VIEW",
        "PRINT VIEW",
        "one pale breath of blue",
        "the slipway",
        "warm grey",
    ] {
        assert!(text.contains(words), "{words}");
    }
}
