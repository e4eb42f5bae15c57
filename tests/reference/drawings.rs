//! Drawings written by other programs: each patch has the lightness that others say it has, and what can't be read is refused in a sentence.
//!
//! The files are in tests/fixtures/drawings, the tables in reference/data; reference/scripts/make_drawings.py made both and names the sources.

use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use stepbite_core::drawing::{Drawing, DrawingError};
use stepbite_core::light::{Lightness, Reflectance};
use stepbite_core::plane::Plane;
use stepbite_tests::rows;

fn file(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/drawings").join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{} can't be read: {error}", path.display()))
}

/// Names of all fixtures, in order.
fn files() -> BTreeSet<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/drawings");
    let entries = std::fs::read_dir(folder).expect("the fixtures are part of the project");
    entries.map(|entry| entry.expect("a folder can be listed").file_name().into_string().expect("names are plain")).collect()
}

fn number(cell: &str) -> f64 {
    cell.parse().unwrap_or_else(|_| panic!("“{cell}” is no number"))
}

/// L* of the mean light of the 5 × 5 pixels round a place.
fn lightness(luminance: &Plane<f32>, x: usize, y: usize) -> f64 {
    let pixels = (y - 2..=y + 2).flat_map(|y| (x - 2..=x + 2).map(move |x| f64::from(luminance.at(x, y))));
    Reflectance(pixels.sum::<f64>() / 25.0).lightness().0
}

#[test]
fn every_patch_has_its_lightness() {
    let mut wrong = Vec::new();
    let mut read: BTreeMap<String, Result<Drawing, DrawingError>> = BTreeMap::new();
    for row in rows("drawings.csv") {
        let [name, patch, x, y, wanted, tolerance, note] = &row[..] else { panic!("{row:?}") };
        let drawing = read.entry(name.clone()).or_insert_with(|| Drawing::read(&file(name)));
        let drawing = match drawing {
            Ok(drawing) => drawing,
            Err(error) => {
                wrong.push(format!("{name}: {error}"));
                continue;
            }
        };
        let (x, y) = (number(x) as usize, number(y) as usize);
        let found = lightness(drawing.luminance(), x, y);
        if (found - number(wanted)).abs() > number(tolerance) {
            wrong.push(format!("{name}, {patch}: L* {found:.4}, should be {wanted} to {tolerance}"));
        }
        let notes = drawing.info().notes.join(" ");
        if !(note == "-" && notes.is_empty() || note != "-" && notes.contains(note.as_str())) {
            wrong.push(format!("{name}: its notes are “{notes}”, they should say “{note}”"));
        }
        // Where there is colour, its luminance is the drawing's.
        if let Some(colour) = drawing.colour() {
            let again = Drawing::from_colour(colour.clone());
            let here = lightness(again.luminance(), x, y);
            if (here - found).abs() > 0.6 && !name.starts_with("profile") && !name.starts_with("gamma") && !name.starts_with("code") {
                wrong.push(format!("{name}, {patch}: its colour has L* {here:.3}, its luminance {found:.3}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(read.len() > 80, "only {} files", read.len());
}

#[test]
fn what_cannot_be_read_is_refused_in_a_sentence() {
    let mut wrong = Vec::new();
    for row in rows("drawings_refused.csv") {
        let [name, words] = &row[..] else { panic!("{row:?}") };
        match Drawing::read(&file(name)) {
            Ok(_) => wrong.push(format!("{name} was read")),
            Err(error) => {
                let said = error.to_string();
                if !(said.contains(words.as_str()) && said.contains(':') && said.ends_with('.')) {
                    wrong.push(format!("{name}: “{said}” should say “{words}”, and what to do"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_fixture_is_forgotten() {
    let named: BTreeSet<String> =
        ["drawings.csv", "drawings_refused.csv"].iter().flat_map(|table| rows(table)).map(|row| row[0].clone()).collect();
    let letters: BTreeSet<String> =
        files().into_iter().filter(|name| name.starts_with('f') && name.split('.').next().is_some_and(|n| n.len() <= 2)).collect();
    let all: BTreeSet<String> = named.union(&letters).cloned().collect();
    assert_eq!(files(), all);
}

#[test]
fn the_letter_stands_upright_whichever_way_it_was_stored() {
    let upright = Drawing::read(&file("f.png")).unwrap();
    for kind in ["png", "jpg", "webp", "tif"] {
        for tag in 1..=8u8 {
            let drawing = Drawing::read(&file(&format!("f{tag}.{kind}"))).unwrap();
            assert_eq!(drawing.info().orientation, tag, "{kind}");
            let plane = drawing.luminance();
            assert_eq!((plane.width(), plane.height()), (40, 56), "f{tag}.{kind}");
            let (mut far, mut sum) = (0, 0.0);
            for (y, wanted) in plane.data().iter().zip(upright.luminance().data()) {
                let off = (Reflectance(f64::from(*y)).lightness().0 - Reflectance(f64::from(*wanted)).lightness().0).abs();
                far += usize::from(off > 25.0);
                sum += off;
            }
            // A JPEG's edges ring; the letter on its side or mirrored differs in hundreds of pixels.
            let mean = sum / plane.data().len() as f64;
            assert!(far == 0 && mean < if kind == "jpg" { 1.5 } else { 1e-6 }, "f{tag}.{kind}: {far} pixels far off, mean {mean:.3}");
        }
    }
}

#[test]
fn colours_are_those_of_the_file() {
    // The red patch of the plain files, 170 60 50: sixteen bits of the same, 257 times each.
    for name in ["rgb8.png", "rgb.webp", "rgb.bmp", "palette.png", "tiles.tif", "planes.tif"] {
        let drawing = Drawing::read(&file(name)).unwrap();
        assert_eq!(drawing.colour().unwrap().at(5 * 16 + 8, 8), [170 * 257, 60 * 257, 50 * 257], "{name}");
    }
    for name in ["grey8.png", "grey.jpg", "la8.tif", "bit1.png", "profile-grey.png"] {
        assert_eq!(Drawing::read(&file(name)).unwrap().colour(), None, "{name}");
    }
    // A profile whose primaries are wider than sRGB's makes the red redder.
    let red = |name: &str| Drawing::read(&file(name)).unwrap().colour().unwrap().at(5 * 16 + 8, 8)[0];
    assert!(red("profile-wide.png") > red("rgb8.png"));
    assert_eq!(Lightness(100.0).reflectance(), Reflectance(1.0));
}

#[test]
fn a_file_cut_off_at_every_fiftieth_is_refused_or_read_but_never_panics() {
    for name in files() {
        let whole = file(&name);
        for part in 0..50 {
            let _ = Drawing::read(&whole[..whole.len() * part / 50]);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn changed_bytes_never_panic(edits in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>(), any::<bool>()), 1..6)) {
        for name in files() {
            let mut bytes = file(&name);
            if bytes.is_empty() || name.starts_with("bomb") {
                continue;
            }
            for (at, byte, early) in &edits {
                // Headers matter most.
                let reach = if *early { bytes.len().min(300) } else { bytes.len() };
                let at = at.index(reach);
                bytes[at] = *byte;
            }
            if let Ok(drawing) = Drawing::read(&bytes) {
                prop_assert!(drawing.luminance().data().iter().all(|y| (0.0..=1.0).contains(y)), "{}", name);
            }
        }
    }
}
