//! Cutting sheets and laying map of thin papers, read back by poppler: true size less the growth, mirrored once, pieces where the plate has them.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use stepbite_core::aside::Aside;
use stepbite_core::laying::{PACE, PIECE};
use stepbite_core::papers::{Cut, Papers, Paste, Stock};
use stepbite_core::pdf::pdf;
use stepbite_core::sheets::{Kind, Mark, PapersToLay, Pen, SheetSettings, Sheets};
use stepbite_core::units::{Millimetres, PointMm, PxPerMm, Seconds};
use stepbite_tests::ink::{self, PIXEL_MM};
use stepbite_tests::made;
use stepbite_tests::plate::{self, MadeUp};

const ALONG: f64 = 0.004;
const ACROSS: f64 = 0.021;

/// An L with its stem at the left of the print, its foot to the right, and a small square over it at the upper left.
fn papers() -> Papers {
    let points = |all: &[(f64, f64)]| Some(all.iter().map(|&(x, y)| PointMm { x, y }).collect());
    let cut = |name: &str, outline| Cut { name: name.to_owned(), stock: 0, outline, fibre: 90.0, turned: false, torn: false };
    Papers {
        stocks: vec![Stock { name: "grey-blue mulberry".to_owned(), along: ALONG, across: ACROSS }],
        pieces: vec![
            cut("wall", points(&[(4.0, 4.0), (24.0, 4.0), (24.0, 94.0), (94.0, 94.0), (94.0, 114.0), (4.0, 114.0)])),
            cut("window", points(&[(8.0, 10.0), (20.0, 10.0), (20.0, 22.0), (8.0, 22.0)])),
        ],
        above: vec![(1, 0)],
        lap: Millimetres(1.5),
    }
}

fn drawn() -> Sheets {
    let made_up = MadeUp::of(plate::waves(0.0), PxPerMm(10.0), Aside::default());
    let papers = papers();
    let laid = papers.laid_out(&made_up.plate).unwrap();
    let paste = Paste { open: Seconds(480.0), each: Seconds(11.0), pace: PACE, scatter: PIECE };
    let pieces = laid.to_lay(&papers, &made_up.plate);
    assert_eq!(pieces.iter().map(|piece| piece.name.as_str()).collect::<Vec<_>>(), ["window", "wall"]);
    let settings = SheetSettings {
        kinds: vec![Kind::Cutting, Kind::Laying],
        title: "Ice house".into(),
        letter: "B".into(),
        papers: Some(PapersToLay { pieces, paste, said: String::new() }),
        ..SheetSettings::default()
    };
    made_up.sheets(&settings)
}

fn span(points: &[[f64; 2]], axis: usize) -> (f64, f64) {
    points.iter().map(|point| point[axis]).fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)))
}

#[test]
fn a_piece_is_cut_at_true_size_less_its_growth_and_mirrored_once() {
    let sheets = drawn();
    assert_eq!(sheets.sheets.iter().map(|sheet| sheet.name.as_str()).collect::<Vec<_>>(), ["cutting sheet", "laying map"]);
    let of_wall = |mark: &Mark| matches!(mark, Mark::Line { pen, points, closed: true } if *pen == Pen::solid(0.35) && points.len() == 6);
    let wall = ink::of_marks(&sheets, 0, of_wall);
    let ((left, right), (top, foot)) = (span(&wall, 0), span(&wall, 1));
    // Fibres run up and down: height by the growth along them, width across. From the outer edges of the line to its middle on either side.
    let pen = 0.35;
    let (wide, high) = (right - left + PIXEL_MM - pen, foot - top + PIXEL_MM - pen);
    println!("{wide:.3} mm for {:.3}, {high:.3} mm for {:.3}", 90.0 / (1.0 + ACROSS), 110.0 / (1.0 + ALONG));
    // A thousandth, 0.2 mm in 200 mm, and a pixel for reading.
    assert!((wide - 90.0 / (1.0 + ACROSS)).abs() <= 0.09 + PIXEL_MM, "{wide}");
    assert!((high - 110.0 / (1.0 + ALONG)).abs() <= 0.11 + PIXEL_MM, "{high}");
    // Its stem stands at the right: the upper third of the outline lies there.
    let upper: Vec<[f64; 2]> = wall.iter().copied().filter(|point| point[1] < top + (foot - top) / 3.0).collect();
    let (stem, _) = span(&upper, 0);
    assert!((right - stem + PIXEL_MM - pen - 20.0 / (1.0 + ACROSS)).abs() <= 0.1 + PIXEL_MM, "{}", right - stem);
    let text = |page: &str| {
        let directory = tempfile::tempdir().unwrap();
        std::fs::write(directory.path().join("a.pdf"), pdf(&sheets)).unwrap();
        String::from_utf8(made("pdftotext", &["-f", page, "-l", page, "-layout", "a.pdf", "-"], directory.path())).unwrap()
    };
    let said = text("1");
    for words in ["PASTE SIDE UP", "mirror of the print", "grey-blue mulberry", "0.4 % along its fibres and 2.1 % across", "97.94 mm"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("PRINT VIEW"));
    let map = text("2");
    for words in ["PLATE VIEW", "nearest the viewer", "window, grey-blue", "0:00", "0:11", "8:00"] {
        assert!(map.contains(words), "{words}: {map}");
    }
}

#[test]
fn the_map_shows_pieces_where_they_lie_on_the_metal() {
    let sheets = drawn();
    let within = |mark: &Mark| matches!(mark, Mark::Within { .. });
    let edge = |mark: &Mark| matches!(mark, Mark::Line { pen, .. } if *pen == Pen::solid(0.5));
    let (pieces, metal) = (ink::of_marks(&sheets, 1, within), ink::of_marks(&sheets, 1, edge));
    let ((left, right), (top, foot)) = (span(&metal, 0), span(&metal, 1));
    let scale = (right - left) / 110.0;
    assert!(((foot - top) / 130.0 - scale).abs() < 0.01);
    // The wall's left edge, 4 mm from the left of the print's face, is 4 mm from the right of the plate's; its top 4 mm from the top.
    let ((from, to), (first, _)) = (span(&pieces, 0), span(&pieces, 1));
    assert!((right - to - 4.0 * scale).abs() < 0.6 && (from - left - (110.0 - 94.0) * scale).abs() < 0.6, "{left} {from} {to} {right}");
    assert!((first - top - 4.0 * scale).abs() < 0.6, "{top} {first}");
}
