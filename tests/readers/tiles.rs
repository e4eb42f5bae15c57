//! Tiles, measuring bars and the way of a letter through both transfers, on renderings by poppler; the files opened by qpdf and Ghostscript.
//!
//! Paper sizes are those of ISO 216 (A3, A4) and ANSI Y14.1 (Letter, Tabloid), in points at 72 to the inch.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use image::GrayImage;
use std::path::Path;
use stepbite_core::aside::Aside;
use stepbite_core::pdf::pdf;
use stepbite_core::sheets::{Align, Bars, Kind, Mark, PageBox, PagePoint, Paper, Sheet, SheetSettings, Sheets, Text, Transfer};
use stepbite_core::type_face::{TypeFace, Weight};
use stepbite_core::units::{Millimetres, PxPerMm};
use stepbite_tests::plate::{MadeUp, mapped};
use stepbite_tests::run;

const DPI: f64 = 300.0;
/// Pixels a millimetre of the renderings.
const PX: f64 = DPI / 25.4;

fn said(program: &str, arguments: &[&str], directory: &Path) -> String {
    stepbite_tests::said(&run(program, arguments, directory))
}

/// A letter F at the left in the lightest tone, darker to the right; not its own mirror image.
fn tone(x: f64, y: f64) -> u8 {
    let stem = (0.1..0.3).contains(&x) && (0.1..0.9).contains(&y);
    let arms = ((0.1..0.25).contains(&y) && (0.1..0.6).contains(&x)) || ((0.45..0.6).contains(&y) && (0.1..0.5).contains(&x));
    let round = (x - 0.75).hypot(y - 0.7) < 0.12;
    if stem || arms {
        0
    } else if round {
        1
    } else {
        2
    }
}

fn sheets(width: f64, height: f64, settings: &SheetSettings) -> Sheets {
    sheets_of((width, height), PxPerMm(4.0), settings, tone)
}

/// The sheets of a plate whose tones follow from a place on its face, 0 to 1 across and down.
fn sheets_of((width, height): (f64, f64), resolution: PxPerMm, settings: &SheetSettings, tone: impl Fn(f64, f64) -> u8) -> Sheets {
    let at = |at: usize, of: usize| (at as f64 + 0.5) / of as f64;
    let map = mapped((width, height), 1.5, resolution, 3, |x, y, wide, high| tone(at(x, wide), at(y, high)));
    MadeUp::of(map, resolution, Aside::default()).sheets(settings)
}

/// All pages of a file, drawn in grey.
fn drawn(sheets: &Sheets, directory: &Path) -> Vec<GrayImage> {
    std::fs::write(directory.join("sheets.pdf"), pdf(sheets)).unwrap();
    let _ = said("pdftoppm", &["-r", "300", "-gray", "-png", "sheets.pdf", "page"], directory);
    let mut names: Vec<_> = std::fs::read_dir(directory)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "png"))
        .collect();
    names.sort();
    let pages = names.iter().map(|name| image::open(name).unwrap().to_luma8()).collect();
    names.iter().for_each(|name| std::fs::remove_file(name).unwrap());
    pages
}

/// Where the ink within 1.5 mm of a place on a line has its middle, mm. The line runs along `along` at the distance `at`.
fn middle(page: &GrayImage, along: bool, at: f64, near: f64) -> f64 {
    let row = (at * PX) as u32;
    let (mut sum, mut ink) = (0.0, 0.0);
    for px in ((near - 1.5).max(0.0) * PX) as u32..((near + 1.5) * PX) as u32 {
        let value = if along { page.get_pixel(row, px)[0] } else { page.get_pixel(px, row)[0] };
        let dark = f64::from(255 - value);
        sum += dark * (f64::from(px) + 0.5) / PX;
        ink += dark;
    }
    assert!(ink > 0.0, "a tick near {near} mm at {at} mm");
    sum / ink
}

/// The bars of a sheet by their words: the upper or left end, and whether it runs along.
fn bars(sheet: &Sheet) -> Vec<(f64, f64, bool, &str)> {
    let half = TypeFace::of(Weight::Regular).cap_height(9.0).0 / 2.0;
    let texts = sheet.marks.iter().filter_map(|mark| match mark {
        Mark::Text(text @ Text { align: Align::Start, .. }) if text.words.starts_with("100 mm along") => Some(text),
        _ => None,
    });
    texts
        .map(|text| match text.upwards {
            true => (text.at.x - half, text.at.y - 90.5, true, text.words.as_str()),
            false => (text.at.x - 9.5, text.at.y - half, false, text.words.as_str()),
        })
        .collect()
}

#[test]
fn bars_are_100_mm_on_every_paper_and_as_typed_readings_ask() {
    for (paper, points, width, height, readings) in [
        (Paper::A4, ["595.276 x 841.89", "841.89 x 595.276"], 160.0, 180.0, None),
        (Paper::A4, ["595.276 x 841.89", "841.89 x 595.276"], 400.0, 600.0, Some((98.6, 99.4))),
        (Paper::A3, ["841.89 x 1190.55", "1190.55 x 841.89"], 300.0, 400.0, None),
        (Paper::Letter, ["612 x 792", "792 x 612"], 240.0, 150.0, Some((98.6, 99.4))),
        (Paper::Letter, ["612 x 792", "792 x 612"], 300.0, 400.0, None),
        (Paper::Tabloid, ["792 x 1224", "1224 x 792"], 300.0, 400.0, None),
        (Paper::A4, ["595.276 x 841.89", "841.89 x 595.276"], 365.0, 540.0, None),
    ] {
        let directory = tempfile::tempdir().unwrap();
        let bars_read = readings.map(|readings| Bars::try_from(readings).unwrap());
        let settings = SheetSettings {
            paper,
            letter: "B".into(),
            title: "Ice house".into(),
            kinds: vec![Kind::StopOuts],
            bars: bars_read,
            ..SheetSettings::default()
        };
        let made = sheets(width, height, &settings);
        let pages = drawn(&made, directory.path());
        assert_eq!(pages.len(), made.sheets.len());
        let info = said("pdfinfo", &["-f", "1", "-l", "99", "sheets.pdf"], directory.path());
        let sizes: Vec<&str> = info.lines().filter(|line| line.contains("size:") && line.contains("Page ")).collect();
        assert!(sizes.len() == pages.len() && sizes.iter().all(|line| points.iter().any(|size| line.contains(size))), "{info}");
        let check = said("qpdf", &["--check", "sheets.pdf"], directory.path());
        assert!(check.contains("No syntax or stream encoding errors") && !check.to_lowercase().contains("warning"), "{check}");
        let ghost = said("gs", &["-q", "-dNOPAUSE", "-dBATCH", "-dPDFSTOPONWARNING", "-sDEVICE=nullpage", "sheets.pdf"], directory.path());
        assert!(ghost.trim().is_empty(), "{ghost}");
        let mut measured = 0;
        for (sheet, page) in made.sheets.iter().zip(&pages).filter(|pair| pair.0.name.starts_with("stop-out")) {
            let (wide, high) = (sheet.page.width.0, sheet.page.height.0);
            let found = bars(sheet);
            assert_eq!(found.len(), 2, "{}", sheet.name);
            for (x, y, along, words) in found {
                let long = along == (high > wide);
                assert_eq!(words.contains("long side"), long);
                let wanted = readings.map_or(100.0, |(of_short, of_long)| 100.0 / (if long { of_long } else { of_short } / 100.0));
                // Where the stretched page puts a place of the sheet: about its middle.
                let (stretch_x, stretch_y) = sheet.stretch;
                let put = |x: f64, y: f64| (wide / 2.0 + (x - wide / 2.0) * stretch_x, high / 2.0 + (y - high / 2.0) * stretch_y);
                // Beside the bar's own line, on its ticks.
                let ends = if along { [put(x + 0.9, y), put(x + 0.9, y + 100.0)] } else { [put(x, y - 0.9), put(x + 100.0, y - 0.9)] };
                let [from, to] = ends.map(|(x, y)| if along { middle(page, true, x, y) } else { middle(page, false, y, x) });
                assert!((to - from - wanted).abs() <= 0.1, "{words}: {} mm, {wanted} expected on {} of {paper:?}", to - from, sheet.name);
                measured += 1;
            }
        }
        assert!(measured >= 4);
    }
}

/// The upper left corner of the metal: the four marks that bend there by 8 mm to either side are the corners of a box of the plate's size. The
/// test letter is drawn with the same pen and bends otherwise.
fn metal_corner(sheet: &Sheet, width: f64, height: f64) -> PagePoint {
    let arm = |a: PagePoint, b: PagePoint| (a.x - b.x).hypot(a.y - b.y);
    let bends: Vec<PagePoint> = sheet
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Line { pen, points, closed: false } if pen.width.0 == 0.5 && points.len() == 3 => Some(points),
            _ => None,
        })
        .filter(|points| (arm(points[0], points[1]) - 8.0).abs() < 1e-6 && (arm(points[1], points[2]) - 8.0).abs() < 1e-6)
        .map(|points| points[1])
        .collect();
    assert_eq!(bends.len(), 4, "{bends:?}");
    let least = |along: fn(&PagePoint) -> f64| bends.iter().map(along).fold(f64::INFINITY, f64::min);
    let corner = PagePoint::new(least(|p| p.x), least(|p| p.y));
    for (x, y) in [(0.0, 0.0), (width, 0.0), (0.0, height), (width, height)] {
        assert!(bends.iter().any(|at| arm(*at, PagePoint::new(corner.x + x, corner.y + y)) < 1e-6), "{bends:?}");
    }
    corner
}

/// The picture alone: the marks within a box, or without words and blanks.
fn picture_alone(made: &Sheets) -> Sheets {
    let mut made = made.clone();
    made.sheets.retain(|sheet| sheet.name.starts_with("stop-out 1"));
    for sheet in &mut made.sheets {
        if sheet.marks.iter().any(|mark| matches!(mark, Mark::Within { .. })) {
            sheet.marks.retain(|mark| matches!(mark, Mark::Within { .. }));
        } else {
            sheet.marks.retain(|mark| !matches!(mark, Mark::Text(_) | Mark::Blank(_)));
        }
    }
    made
}

/// What a tile's name says of its place: "A2" is row 0, column 1.
fn row_and_column(sheet: &Sheet) -> (usize, usize) {
    let code = sheet.name.rsplit(' ').next().unwrap();
    let (row, column) = code.split_at(1);
    (usize::from(row.as_bytes()[0] - b'A'), column.parse::<usize>().unwrap() - 1)
}

#[test]
fn tiles_put_together_by_their_own_places_are_the_large_drawing() {
    let (width, height) = (240.0, 360.0);
    let directory = tempfile::tempdir().unwrap();
    let of = |paper: Paper| {
        picture_alone(&sheets(width, height, &SheetSettings { paper, kinds: vec![Kind::StopOuts], ..SheetSettings::default() }))
    };
    let (large, tiles) = (of(Paper::A3), of(Paper::A4));
    // Each tile says its row and its column.
    let places: Vec<(usize, usize)> = tiles.sheets.iter().map(row_and_column).collect();
    let (rows, columns) = places.iter().fold((0, 0), |most, place| (most.0.max(place.0 + 1), most.1.max(place.1 + 1)));
    assert!(large.sheets.len() == 1 && tiles.sheets.len() == rows * columns && rows * columns > 1, "{places:?}");
    let large_page = drawn(&large, directory.path()).remove(0);
    let corner = metal_corner(&large.sheets[0], width, height);
    let pages = drawn(&tiles, directory.path());
    let clips: Vec<PageBox> = tiles
        .sheets
        .iter()
        .map(|sheet| match &sheet.marks[0] {
            Mark::Within { clip, .. } => *clip,
            other => panic!("the picture within its window: {other:?}"),
        })
        .collect();
    // The box shows 3 mm past the metal edge, and neighbours share 10 mm: from that alone follows where on the plate each begins.
    let clip_at = |row: usize, column: usize| clips[places.iter().position(|&place| place == (row, column)).unwrap()];
    let starts = |count: usize, length: f64, side: &dyn Fn(usize) -> f64| {
        let mut starts = vec![-3.0];
        for index in 1..count {
            let before = starts[index - 1];
            starts.push(before + side(index - 1) - 10.0);
        }
        assert!((starts[count - 1] + side(count - 1) - 3.0 - length).abs() < 1e-6, "{starts:?} of {length}");
        starts
    };
    let across = starts(columns, width, &|column| clip_at(0, column).width);
    let down = starts(rows, height, &|row| clip_at(row, 0).height);
    let begins: Vec<(f64, f64)> = places.iter().map(|&(row, column)| (across[column], down[row])).collect();
    // A place of the plate on the tile that shows it deepest inside, read at the middle of a pixel.
    let dark = |page: &GrayImage, x: f64, y: f64| page.get_pixel((x * PX) as u32, (y * PX) as u32)[0] < 128;
    let within = |page: &GrayImage, x: f64, y: f64| {
        let reach = 0.15;
        (-2..=2).any(|down| {
            (-2..=2).any(|across| {
                let (dx, dy) = (f64::from(across) * reach / 2.0, f64::from(down) * reach / 2.0);
                dark(page, x + dx, y + dy)
            })
        })
    };
    let (mut inked, mut lost, mut added, mut apart) = (0, 0, 0, 0);
    let step = 0.2;
    for row in 0..(height / step) as usize {
        for column in 0..(width / step) as usize {
            let (x, y) = (column as f64 * step + 0.03, row as f64 * step + 0.03);
            // The test letter stands in a corner of the large drawing.
            let (edge_x, edge_y) = (x.min(width - x), y.min(height - y));
            if edge_x < 16.0 && edge_y < 16.0 {
                continue;
            }
            let shown: Vec<(usize, f64, f64)> = (0..tiles.sheets.len())
                .map(|tile| (tile, clips[tile].x + x - begins[tile].0, clips[tile].y + y - begins[tile].1))
                .filter(|&(tile, x, y)| {
                    let of = clips[tile].inset(0.3);
                    x >= of.x && x <= of.right() && y >= of.y && y <= of.foot()
                })
                .collect();
            assert!(!shown.is_empty(), "no tile shows ({x}, {y})");
            let on_large = (corner.x + x, corner.y + y);
            for &(tile, tile_x, tile_y) in &shown {
                let here = dark(&pages[tile], tile_x, tile_y);
                inked += usize::from(here);
                added += usize::from(here && !within(&large_page, on_large.0, on_large.1));
                lost += usize::from(dark(&large_page, on_large.0, on_large.1) && !within(&pages[tile], tile_x, tile_y));
                // And one tile against another where they overlap.
                apart += usize::from(here && shown.iter().any(|&(other, x, y)| !within(&pages[other], x, y)));
            }
        }
    }
    assert!(inked > 20_000, "{inked}");
    assert_eq!((lost, added, apart), (0, 0, 0), "of {inked}");
}

/// Blocks of 5 mm of the face that show one tone alone, in print view, and how many of them a picture shows otherwise: hatched where stop-out 1
/// paints, else bare.
fn wrong(print: &GrayImage, (left, top): (f64, f64), (width, height): (f64, f64)) -> (usize, usize) {
    let (mut looked, mut wrong) = (0, 0);
    let (columns, rows) = ((width / 5.0) as usize, (height / 5.0) as usize);
    for row in 1..rows - 1 {
        for column in 3..columns - 3 {
            let (x, y) = (column as f64 * 5.0, row as f64 * 5.0);
            let ends = [(x - 1.0, y - 1.0), (x + 6.0, y - 1.0), (x - 1.0, y + 6.0), (x + 6.0, y + 6.0)];
            let tones = ends.map(|(x, y)| tone(x / width, y / height) == 0);
            if tones.iter().any(|&each| each != tones[0]) {
                continue;
            }
            let px = |mm: f64| (mm * PX) as u32;
            let mut ink = 0;
            for down in px(top + y)..px(top + y + 5.0) {
                for across in px(left + x)..px(left + x + 5.0) {
                    ink += usize::from(print.get_pixel(across, down)[0] < 128);
                }
            }
            looked += 1;
            wrong += usize::from((ink as f64 / (5.0 * PX * 5.0 * PX) > 0.06) != tones[0]);
        }
    }
    (looked, wrong)
}

#[test]
fn the_letter_comes_through_both_transfers_the_right_way_round() {
    let (width, height) = (160.0, 180.0);
    for transfer in [Transfer::Trace, Transfer::Press] {
        let directory = tempfile::tempdir().unwrap();
        let settings = SheetSettings { transfer, kinds: vec![Kind::StopOuts], ..SheetSettings::default() };
        let made = picture_alone(&sheets(width, height, &settings));
        let sheet = drawn(&made, directory.path()).remove(0);
        let left_right = |image: &GrayImage| image::imageops::flip_horizontal(image);
        let plate = match transfer {
            // Traced through, printed side up: the plate carries what the sheet shows.
            Transfer::Trace => sheet,
            // Pressed face down: it carries the mirror image.
            Transfer::Press => left_right(&sheet),
        };
        // The plate prints its mirror image.
        let print = left_right(&plate);
        // The plate is centred across, so its place on the page is the same from either side.
        let corner = metal_corner(&made.sheets[0], width, height);
        assert!((corner.x - 25.0).abs() < 1e-6);
        let face = (corner.x + 1.5, corner.y + 1.5);
        let (looked, off) = wrong(&print, face, (width - 3.0, height - 3.0));
        assert!(looked > 500 && off == 0, "{off} of {looked} through {transfer:?}");
        // The wrong way round it would be seen.
        let (_, mirrored) = wrong(&left_right(&print), face, (width - 3.0, height - 3.0));
        assert!(mirrored > looked / 10, "{mirrored} of {looked}");
    }
}

#[test]
fn an_edge_drawn_inside_lies_there_and_no_hatch_goes_past_it() {
    // Closed form: what is painted is a disc of 30 mm, so the line is a circle of 30 mm less what was asked for. Of two specks of
    // 0.5 mm across nothing is left at 0.5 mm, and less than a pixel of 0.1 mm at 0.2 mm: they keep their edge.
    let (side, radius, half_pen) = (103.0, 30.0, 0.35 / 2.0);
    let middle = side / 2.0;
    let in_disc = |x: f64, y: f64, r: f64, at: (f64, f64)| ((x - 0.5) * 100.0 - at.0).hypot((y - 0.5) * 100.0 - at.1) <= r;
    let speck = |x: f64, y: f64| in_disc(x, y, 0.25, (40.0, 40.0)) || in_disc(x, y, 0.25, (-40.0, 40.0));
    let tone = |x: f64, y: f64| if in_disc(x, y, radius, (0.0, 0.0)) || speck(x, y) { 0 } else { 2 };
    for by in [0.0, 0.2, 0.5] {
        let settings = SheetSettings { kinds: vec![Kind::StopOuts], inward: Millimetres(by), ..SheetSettings::default() };
        let made = sheets_of((side, side), PxPerMm(10.0), &settings, tone);
        let words: Vec<&str> = made.sheets[0].words().collect();
        let kept = words.iter().any(|words| words.contains("2 islands too small to be drawn inside keep their true edge"));
        assert_eq!(kept, by > 0.0, "{by}: {words:?}");
        let directory = tempfile::tempdir().unwrap();
        let page = drawn(&picture_alone(&made), directory.path()).remove(0);
        let corner = metal_corner(&made.sheets[0], side, side);
        let dark = |turn: f64, r: f64| {
            let (x, y) = (corner.x + middle + r * turn.cos(), corner.y + middle + r * turn.sin());
            page.get_pixel((x * PX) as u32, (y * PX) as u32)[0] < 128
        };
        let mut worst = 0.0_f64;
        for step in 0..720 {
            let turn = f64::from(step) / 720.0 * std::f64::consts::TAU;
            // From well outside inwards to the first ink: the outer rim of the line. The hatch, too, would be that ink.
            let outside = (0..400).map(|i| radius + 2.0 - f64::from(i) * 0.01).find(|&r| dark(turn, r)).unwrap();
            worst = worst.max((outside - half_pen - (radius - by)).abs());
            // And the line is whole: ink across its width.
            assert!((0..10).all(|i| dark(turn, outside - 0.02 * f64::from(i))), "a gap at {turn} with {by} mm");
        }
        println!("{by} mm inside: the line is off by {worst:.3} mm at most");
        assert!(worst <= 0.1 + 0.5 / PX, "{worst} mm off, {by} mm inside");
    }
}
