//! Bed diagram and registration template, read back by poppler: plates where they lie, plate view the mirror of print view, gaps and margins, letters.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use stepbite_core::aside::Aside;
use stepbite_core::bed::{Asked, InRow, Laid, lay};
use stepbite_core::plate::SizeMm;
use stepbite_core::registration::{Growth, Registration};
use stepbite_core::rows::Standing;
use stepbite_core::sheets::{Kind, Mark, Paper, Pen, SheetSettings, Sheets};
use stepbite_core::units::{Millimetres, PxPerMm};
use stepbite_tests::ink::{self, PIXEL_MM};
use stepbite_tests::plate::{self, MadeUp};
use stepbite_tests::print_words;

fn size(width: f64, height: f64) -> SizeMm {
    SizeMm { width: Millimetres(width), height: Millimetres(height) }
}

/// Plates by letter and width, 150 mm high, on a sheet.
fn laid(plates: &[(&str, f64)], asked: &Asked) -> Laid {
    let one = |(plate, &(letter, width)): (usize, &(&str, f64))| InRow {
        letter: letter.to_owned(),
        standing: Standing { plate, turned: false },
        size: size(width, 150.0),
        top: Millimetres(0.0),
    };
    lay(&[plates.iter().enumerate().map(one).collect()], asked).unwrap()
}

fn sheets(settings: &SheetSettings) -> Sheets {
    MadeUp::of(plate::waves(0.0), PxPerMm(10.0), Aside::default()).sheets(settings)
}

/// Where these words stand on all pages: their middles, mm from the upper left.
fn words(sheets: &Sheets, wanted: &[&str]) -> Vec<(String, [f64; 2])> {
    let all = print_words::of_sheets(sheets).into_iter().flatten().filter(|word| wanted.contains(&word.text.as_str()));
    all.map(|word| (word.text.clone(), word.middle())).collect()
}

/// The middles of the upright lines that cross a height, from the left.
fn uprights(points: &[[f64; 2]], y: f64) -> Vec<f64> {
    let mut xs: Vec<f64> = points.iter().filter(|point| (point[1] - y).abs() < PIXEL_MM).map(|point| point[0]).collect();
    xs.sort_by(f64::total_cmp);
    let mut lines: Vec<Vec<f64>> = Vec::new();
    for x in xs {
        match lines.last_mut() {
            Some(line) if x - line[line.len() - 1] < 1.5 * PIXEL_MM => line.push(x),
            _ => lines.push(vec![x]),
        }
    }
    lines.into_iter().map(|line| (line[0] + line[line.len() - 1]) / 2.0).collect()
}

#[test]
fn the_bed_diagram_shows_the_plates_to_scale_and_the_print_as_their_mirror() {
    let plates = [("C", 120.0), ("A", 40.0), ("B", 160.0), ("D", 90.0)];
    let asked = Asked { gap: Millimetres(12.0), ..Asked::default() };
    let settings = SheetSettings { kinds: vec![Kind::Bed], bed: Some(laid(&plates, &asked)), ..SheetSettings::default() };
    let sheets = sheets(&settings);
    // Letters of the pictures: the lists beside them stand to the right of both.
    let right = sheets.sheets[0].page.width.0 - 7.0 - 76.0 - 4.0;
    let mut letters: Vec<(String, [f64; 2])> = words(&sheets, &["A", "B", "C", "D"]).into_iter().filter(|(_, at)| at[0] < right).collect();
    assert_eq!(letters.len(), 8, "{letters:?}");
    letters.sort_by(|a, b| a.1[1].total_cmp(&b.1[1]));
    let row = |part: &[(String, [f64; 2])]| {
        let mut part = part.to_vec();
        part.sort_by(|a, b| a.1[0].total_cmp(&b.1[0]));
        (part.iter().map(|(letter, _)| letter.as_str()).collect::<String>(), part.iter().map(|(_, at)| at[0]).collect::<Vec<f64>>())
    };
    let ((on_bed, bed_x), (in_print, print_x)) = (row(&letters[..4]), row(&letters[4..]));
    assert_eq!((on_bed.as_str(), in_print.as_str()), ("DBAC", "CABD"));
    // From middle to middle, by hand: half of either and the gap.
    let apart = [120.0 / 2.0 + 12.0 + 20.0, 20.0 + 12.0 + 80.0, 80.0 + 12.0 + 45.0];
    for (xs, wanted) in [(print_x, apart), (bed_x, [apart[2], apart[1], apart[0]])] {
        let scale = (xs[3] - xs[0]) / wanted.iter().sum::<f64>();
        for (pair, wanted) in xs.windows(2).zip(wanted) {
            assert!((pair[1] - pair[0] - wanted * scale).abs() < 0.35, "{pair:?} for {wanted} at {scale}");
        }
    }
    // The metal itself: four boxes on the bed, with the gaps between them, at the scale of the bed.
    let boxes = ink::of_marks(
        &sheets,
        0,
        |mark| matches!(mark, Mark::Line { pen, points, closed: true } if *pen == Pen::solid(0.35) && points.len() == 4),
    );
    let y = letters[..4].iter().map(|(_, at)| at[1]).sum::<f64>() / 4.0;
    let lines = uprights(&boxes, y + 1.5);
    assert_eq!(lines.len(), 8, "{lines:?}");
    let scale = (lines[7] - lines[0]) / (410.0 + 36.0);
    for (at, wanted) in [90.0, 12.0, 160.0, 12.0, 40.0, 12.0, 120.0].into_iter().enumerate() {
        assert!((lines[at + 1] - lines[at] - wanted * scale).abs() < 0.2, "{at}: {lines:?}");
    }
}

#[test]
fn the_template_is_at_true_size_with_its_gaps_and_margins_and_the_print_before_where_it_has_grown() {
    let asked =
        Asked { bed: size(500.0, 400.0), sheet: size(220.0, 250.0), gap: Millimetres(7.0), grip: Millimetres(0.0), ..Asked::default() };
    for grip in [0.0, 60.0] {
        let laid = laid(&[("C", 60.0), ("A", 25.0)], &Asked { grip: Millimetres(grip), ..asked });
        let of = Registration::of(laid, Growth { along: 0.0, across: 0.01, fibre_across: false }).unwrap();
        let settings =
            SheetSettings { paper: Paper::A3, kinds: vec![Kind::Registration], registration: vec![of], ..SheetSettings::default() };
        let sheets = sheets(&settings);
        assert_eq!(sheets.sheets.len(), 1);
        let metal = ink::of_marks(
            &sheets,
            0,
            // The box to measure the page by has that pen too, and is far smaller.
            |mark| matches!(mark, Mark::Line { pen, points, closed: true } if *pen == Pen::solid(0.35) && points.len() == 4 && points.iter().any(|point| point.y - points[0].y > 100.0)),
        );
        let top = metal.iter().map(|point| point[1]).fold(f64::MAX, f64::min);
        let foot = metal.iter().map(|point| point[1]).fold(f64::MIN, f64::max);
        assert!((foot - top - 150.35).abs() < 0.2, "150 mm of metal and a line, came {}", foot - top);
        // Plate view: A at the left, C at the right; 0.2 mm in 200 mm, and half a pixel.
        let lines = uprights(&metal, top + 75.0);
        let widths: Vec<f64> = lines.windows(2).map(|pair| pair[1] - pair[0]).collect();
        assert_eq!(widths.len(), 3, "{lines:?}");
        for (width, wanted) in widths.iter().zip([25.0, 7.0, 60.0]) {
            assert!((width - wanted).abs() < 0.1, "{widths:?}");
        }
        let letters = words(&sheets, &["A", "C"]);
        let at = |letter: &str| letters.iter().find(|(word, _)| word == letter).unwrap_or_else(|| panic!("no {letter}: {letters:?}")).1[0];
        assert!((lines[0]..lines[1]).contains(&at("A")) && (lines[2]..lines[3]).contains(&at("C")), "{letters:?} {lines:?}");
        // The sheet: 220 mm, 92 of them plates and gap, in its middle; that is clear of the roller too, which holds 60 mm at the print's left, so at
        // the right of the bed.
        let sheet = ink::of_marks(
            &sheets,
            0,
            |mark| matches!(mark, Mark::Line { pen, points, closed: true } if *pen == Pen::solid(0.18) && points.len() == 4),
        );
        let edges = uprights(&sheet, top + 75.0);
        assert_eq!(edges.len(), 2, "{edges:?}");
        assert!((edges[1] - edges[0] - 220.0).abs() < 0.2, "{edges:?}");
        assert!((edges[1] - lines[3] - 64.0).abs() < 0.15 && (lines[0] - edges[0] - 64.0).abs() < 0.15, "{edges:?} {lines:?}");
        // The print before, dashed: 1 % farther from the middle of the sheet, or from where the roller lets go.
        let dashed = ink::of_marks(
            &sheets,
            0,
            |mark| matches!(mark, Mark::Line { pen, points, closed: true } if pen.dash.is_some() && points.len() == 4),
        );
        let left = dashed.iter().map(|point| point[0]).fold(f64::MAX, f64::min);
        let still = if grip > 0.0 { edges[1] - 60.0 } else { (edges[0] + edges[1]) / 2.0 };
        let grown = still - (still - lines[0]) * 1.01;
        assert!((left - grown).abs() < 0.2, "{left} for {grown}, grip {grip}");
    }
}
