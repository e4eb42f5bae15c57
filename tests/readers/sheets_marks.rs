//! What stands on the pages of the sheets, read back by programs we did not write: edges by poppler at 300 dpi against the step map, widths
//! and sizes from the operators that qpdf unpacks, and the size of a large set.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use std::collections::BTreeMap;
use std::time::Instant;
use stepbite_core::aside::Aside;
use stepbite_core::pdf::pdf;
use stepbite_core::plane::Plane;
use stepbite_core::sheets::{Kind, Mark, Pen, Sheet, SheetSettings, Sheets, Transfer};
use stepbite_core::stopouts::StopOuts;
use stepbite_core::units::PxPerMm;
use stepbite_tests::ink::{self, PIXEL_MM};
use stepbite_tests::made;
use stepbite_tests::plate::{self, MadeUp};

/// The pen of the edges of what is painted now, and how far its middle may lie from the step map's edge, mm.
const EDGE: f64 = 0.35;
const MOST_OFF: f64 = 0.15;

const PLATE: (f64, f64) = (110.0, 130.0);

/// The plate of slanting waves.
fn waves(transfer: Transfer) -> (Sheets, StopOuts) {
    let settings = SheetSettings { transfer, title: "Ice house".into(), letter: "B".into(), ..SheetSettings::default() };
    let made_up = MadeUp::of(plate::waves(0.0), PxPerMm(10.0), Aside::default());
    (made_up.sheets(&settings), made_up.stop_outs)
}

/// Points in squares of 1 mm, for finding the nearest.
struct Near(BTreeMap<(i64, i64), Vec<[f64; 2]>>);

impl Near {
    fn of(points: &[[f64; 2]]) -> Self {
        let mut squares: BTreeMap<_, Vec<_>> = BTreeMap::new();
        points.iter().for_each(|&p| squares.entry((p[0].floor() as i64, p[1].floor() as i64)).or_default().push(p));
        Self(squares)
    }

    /// Distance to the nearest point, mm; 1 where it is farther.
    fn distance(&self, [x, y]: [f64; 2]) -> f64 {
        let (column, row) = (x.floor() as i64, y.floor() as i64);
        let around = (-1..=1).flat_map(|down| (-1..=1).map(move |across| (column + across, row + down)));
        let points = around.filter_map(|square| self.0.get(&square)).flatten();
        points.map(|p| (p[0] - x).hypot(p[1] - y)).fold(1.0, f64::min)
    }

    fn farthest(&self, points: &[[f64; 2]]) -> f64 {
        points.iter().map(|&p| self.distance(p)).fold(0.0, f64::max)
    }
}

/// Where new paint meets bare metal in the step map, four points a pixel side, mm on the face as a view shows it.
fn boundary(map: &Plane<u8>, new_tone: u8, mirrored: bool) -> Vec<[f64; 2]> {
    let mut points = Vec::new();
    let edge = |a: u8, b: u8| a.min(b) == new_tone && a.max(b) > new_tone;
    for y in 0..map.height() {
        for x in 0..map.width() {
            for part in [0.125, 0.375, 0.625, 0.875] {
                if x + 1 < map.width() && edge(map.at(x, y), map.at(x + 1, y)) {
                    points.push([x as f64 + 1.0, y as f64 + part]);
                }
                if y + 1 < map.height() && edge(map.at(x, y), map.at(x, y + 1)) {
                    points.push([x as f64 + part, y as f64 + 1.0]);
                }
            }
        }
    }
    let (wide, high) = (map.width() as f64, map.height() as f64);
    points.iter().map(|[x, y]| [(if mirrored { wide - x } else { *x }) / wide * PLATE.0, y / high * PLATE.1]).collect()
}

/// Whether a line ends near a point of the face: at its border, or where a third tone comes in.
fn ends_near(map: &Plane<u8>, [across, down]: [f64; 2], mirrored: bool) -> bool {
    let (wide, high) = (map.width() as f64, map.height() as f64);
    let (x, y) = (if mirrored { PLATE.0 - across } else { across } / PLATE.0 * wide, down / PLATE.1 * high);
    if x < 3.0 || y < 3.0 || x > wide - 3.0 || y > high - 3.0 {
        return true;
    }
    let (x, y) = (x as usize, y as usize);
    let mut tones: Vec<u8> = (y - 3..=(y + 3).min(map.height() - 1))
        .flat_map(|row| (x - 3..=(x + 3).min(map.width() - 1)).map(move |column| map.at(column, row)))
        .collect();
    tones.sort_unstable();
    tones.dedup();
    tones.len() > 2
}

/// The upper left corner of the metal on a page, by its corner marks of 0.5 mm.
fn corner(sheet: &Sheet) -> [f64; 2] {
    let marks = sheet.marks.iter().filter_map(|mark| match mark {
        Mark::Line { pen, points, .. } if *pen == Pen::solid(0.5) => Some(points),
        _ => None,
    });
    marks.flatten().fold([f64::MAX; 2], |least, p| [least[0].min(p.x), least[1].min(p.y)])
}

#[test]
fn edges_of_new_paint_at_300_dpi_are_the_step_map_s_within_0_15_mm() {
    for (transfer, mirrored) in [(Transfer::Trace, true), (Transfer::Press, false)] {
        let (sheets, stop_outs) = waves(transfer);
        for number in [1, 3] {
            let name = format!("stop-out {number}{}", if mirrored { "" } else { ", transfer" });
            let sheet = sheets.sheets.iter().find(|sheet| sheet.name == name).unwrap();
            let mut alone = Sheet::new("edges", sheet.page);
            let is_edge = |mark: &&Mark| matches!(mark, Mark::Curve { pen, .. } if *pen == Pen::solid(EDGE));
            alone.marks = sheet.marks.iter().filter(is_edge).cloned().collect();
            let [left, top] = corner(sheet);
            let ink: Vec<[f64; 2]> = ink::of_sheet(alone, &sheets).iter().map(|[x, y]| [x - left, y - top]).collect();

            // A line drawn along an edge is all within half its width of its middle, and the middle is that far inside it: so ink ends half
            // a width beyond the farthest middle, and an edge that lies less than half a width from a middle lies within ink.
            let map = stop_outs.map().plane();
            let edge = boundary(map, number as u8 - 1, mirrored);
            // Ink ends where a line does, so that nothing of its width lies beyond an end.
            let near_ink = Near::of(&ink);
            let (at_ends, along): (Vec<_>, Vec<_>) = edge.iter().partition(|&&point| ends_near(map, point, mirrored));
            let to_edge = Near::of(&edge).farthest(&ink) - EDGE / 2.0;
            let (to_ink, ends_to_ink) = (near_ink.farthest(&along), near_ink.farthest(&at_ends));
            println!(
                "{name}: {} points, middles {to_edge:.3} mm off at most, edges {to_ink:.3} mm from ink, at ends {ends_to_ink:.3} mm",
                edge.len()
            );
            assert!(along.len() > 4000 && ink.len() > 4000, "{} {}", along.len(), ink.len());
            assert!(to_edge <= MOST_OFF + PIXEL_MM / 2.0, "{name}: {to_edge} mm");
            // The middle of the pixel that holds a point is at most half its diagonal away; half a pixel for reading.
            let reading = PIXEL_MM / 2.0 + PIXEL_MM * 0.5_f64.sqrt();
            assert!(to_ink <= MOST_OFF - EDGE / 2.0 + reading && ends_to_ink <= reading, "{name}: {to_ink} and {ends_to_ink} mm");

            let wrong = boundary(map, number as u8 - 1, !mirrored);
            let (to_edge, to_ink) = (Near::of(&wrong).farthest(&ink), near_ink.farthest(&wrong));
            assert!(to_edge > 0.9 && to_ink > 0.9, "the other way round it does not fit: {to_edge} and {to_ink} mm");
        }
    }
}

/// What the operators of one page draw with: widths of strokes in mm and whether they are solid, each with the count of straight lines and
/// of curves; sizes of type in points. Keys in thousandths.
#[derive(Debug, Default)]
struct Drawn {
    widths: BTreeMap<(i64, bool), (usize, usize)>,
    types: BTreeMap<i64, usize>,
}

type Matrix = [f64; 4];

fn times(a: Matrix, b: Matrix) -> Matrix {
    [a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3], a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3]]
}

/// The least that a length of 1 becomes: the smaller singular value.
fn least(m: Matrix) -> f64 {
    let (squares, area) = (m.iter().map(|v| v * v).sum::<f64>(), m[0] * m[3] - m[1] * m[2]);
    ((squares - (squares * squares - 4.0 * area * area).max(0.0).sqrt()) / 2.0).max(0.0).sqrt()
}

/// The content of forms by their names, which are a file's own: the core gives no two alike.
type Forms = BTreeMap<String, Vec<u8>>;

/// Reads a content stream: ISO 32000-1:2008, 8.4 (state), 8.5 (paths), 8.10 (forms), 9.3 and 9.4 (text).
fn drawn(content: &[u8], forms: &Forms) -> Drawn {
    let mut all = Drawn::default();
    read(content, forms, ([1.0, 0.0, 0.0, 1.0], 1.0, true), &mut all);
    all
}

fn read(content: &[u8], forms: &Forms, state: (Matrix, f64, bool), all: &mut Drawn) {
    let ((mut matrix, mut width, mut solid), mut stack) = (state, Vec::new());
    let mut named = String::new();
    let (mut size, mut placed, mut segments) = (0.0, [1.0, 0.0, 0.0, 1.0], (0, 0));
    let (mut numbers, mut at): (Vec<f64>, usize) = (Vec::new(), 0);
    while at < content.len() {
        match content[at] {
            b'(' => {
                let mut deep = 0;
                loop {
                    match content[at] {
                        b'\\' => at += 1,
                        b'(' => deep += 1,
                        b')' => deep -= 1,
                        _ => {}
                    }
                    at += 1;
                    if deep == 0 {
                        break;
                    }
                }
            }
            b'<' => at += content[at..].iter().position(|&byte| byte == b'>').unwrap() + 1,
            b'[' => {
                let end = at + content[at..].iter().position(|&byte| byte == b']').unwrap();
                solid = content[at + 1..end].iter().all(u8::is_ascii_whitespace);
                at = end + 1;
            }
            byte if byte.is_ascii_whitespace() => at += 1,
            _ => {
                let end = |byte: &u8| byte.is_ascii_whitespace() || b"([<".contains(byte);
                let length = content[at..].iter().position(end).unwrap_or(content.len() - at);
                let word = std::str::from_utf8(&content[at..at + length]).unwrap();
                at += length;
                if let Ok(number) = word.parse() {
                    numbers.push(number);
                    continue;
                }
                if let Some(name) = word.strip_prefix('/') {
                    named = name.to_owned();
                    continue;
                }
                let four = || [numbers[0], numbers[1], numbers[2], numbers[3]];
                match word {
                    "q" => stack.push((matrix, width, solid, size)),
                    "Q" => (matrix, width, solid, size) = stack.pop().unwrap(),
                    "cm" => matrix = times(four(), matrix),
                    "Do" => {
                        // A picture in grey is none.
                        if let Some(form) = forms.get(&named) {
                            read(form, forms, (matrix, width, solid), all);
                        }
                    }
                    "w" => width = numbers[0],
                    "l" => segments.0 += 1,
                    "c" => segments.1 += 1,
                    "S" | "s" => {
                        let key = ((width * least(matrix) * 25.4 / 72.0 * 1000.0).round() as i64, solid);
                        let counts = all.widths.entry(key).or_default();
                        *counts = (counts.0 + segments.0, counts.1 + segments.1);
                        segments = (0, 0);
                    }
                    "f" | "n" | "f*" => segments = (0, 0),
                    "BT" => placed = [1.0, 0.0, 0.0, 1.0],
                    "Tf" => size = numbers[0],
                    "Tm" => placed = four(),
                    "Tj" | "TJ" => *all.types.entry((size * least(times(placed, matrix)) * 1000.0).round() as i64).or_default() += 1,
                    _ => {}
                }
                numbers.clear();
            }
        }
    }
}

/// The forms that pages show as curves, C0, C1 and so on, in a file that qpdf unpacked.
fn forms(plain: &[u8]) -> Forms {
    let find = |what: &str, from: usize| plain[from..].windows(what.len()).position(|part| part == what.as_bytes()).map(|at| at + from);
    let mut forms = Forms::new();
    while let Some(at) = find(&format!("/C{} ", forms.len()), 0) {
        let name = format!("C{}", forms.len());
        let object: String =
            plain[at + name.len() + 2..].iter().take_while(|byte| byte.is_ascii_digit()).map(|&byte| char::from(byte)).collect();
        let start = find("\nstream\n", find(&format!("\n{object} 0 obj"), 0).unwrap()).unwrap() + 8;
        forms.insert(name, plain[start..find("endstream", start).unwrap()].to_vec());
    }
    forms
}

/// The content streams of all pages as qpdf unpacks them.
fn pages(file: &[u8]) -> Vec<Drawn> {
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("sheets.pdf"), file).unwrap();
    let plain = made("qpdf", &["--qdf", "--object-streams=disable", "sheets.pdf", "-"], directory.path());
    let find = |what: &[u8], from: usize| plain[from..].windows(what.len()).position(|part| part == what).map(|at| at + from);
    let forms = forms(&plain);
    let (mut all, mut from) = (Vec::new(), 0);
    while let Some(at) = find(b"%% Contents for page", from) {
        let start = find(b"\nstream\n", at).unwrap() + 8;
        let end = find(b"endstream", start).unwrap();
        all.push(drawn(&plain[start..end], &forms));
        from = end;
    }
    all
}

#[test]
fn lines_and_type_read_back_from_the_operators_are_what_a_bench_needs() {
    let (sheets, _) = waves(Transfer::Trace);
    let pages = pages(&pdf(&sheets));
    assert_eq!(pages.len(), sheets.sheets.len());
    let mut pictures = 0;
    for (sheet, page) in sheets.sheets.iter().zip(&pages) {
        // Lengths are written to a thousandth of a point: 0.0004 mm.
        assert!(page.widths.keys().all(|&(width, _)| width >= 179), "{}: {:?}", sheet.name, page.widths);
        assert!(page.types.keys().all(|&size| size >= 9000) && !page.types.is_empty(), "{}: {:?}", sheet.name, page.types);
        if sheet.name.starts_with("stop-out") {
            pictures += 1;
            // Hatch is the only 0.25 mm line, straight strokes; edges of new paint are curves of 0.35 mm, no other curve is solid.
            let solid = |width: i64| page.widths.get(&(width, true)).copied().unwrap_or_default();
            assert!(solid(250).0 > 100 && solid(250).1 == 0, "{}: {:?}", sheet.name, page.widths);
            assert!(solid(350).1 > 50, "{}: {:?}", sheet.name, page.widths);
            assert!(page.widths.iter().all(|(&(width, solid), counts)| !solid || width == 350 || counts.1 == 0), "{:?}", page.widths);
            assert!(page.types.contains_key(&60_000), "{}: {:?}", sheet.name, page.types);
        }
    }
    assert_eq!(pictures, 4);
}

#[test]
fn the_reading_of_operators_minds_every_matrix() {
    let page = drawn(b"q 0.5 0 0 0.5 3 4 cm 2 w [] 0 d 0 0 m 1 1 l S q [1 2] 0 d 4 w 0 0 m 1 1 2 2 3 3 c S Q BT /R 20 Tf 0 1 -1 0 5 6 Tm (a\\)w) Tj ET /C0 Do Q", &Forms::from([("C0".to_owned(), b"0 0 m 9 9 l 1 1 2 2 3 3 c S".to_vec())]));
    assert_eq!(page.widths.keys().copied().collect::<Vec<_>>(), [(353, true), (706, false)]);
    assert_eq!((page.widths[&(353, true)], page.widths[&(706, false)]), ((2, 1), (0, 1)));
    assert_eq!(page.types.keys().copied().collect::<Vec<_>>(), [10_000]);
}

#[test]
fn a_whole_set_of_ten_tones_on_a_large_plate_is_a_small_file() {
    let (plate, map, resolution) = plate::drawn("ice-house.png", (300.0, 400.0));
    let started = Instant::now();
    let made_up = MadeUp::of((plate, map), resolution, Aside::default());
    let sheets = made_up.sheets(&SheetSettings { kinds: Kind::ALL.to_vec(), ..SheetSettings::default() });
    let drawn = started.elapsed();
    let file = pdf(&sheets);
    println!("{} pages, {} bytes; drawn in {drawn:?}, with the file {:?}", sheets.sheets.len(), file.len(), started.elapsed());
    assert!(sheets.sheets.len() >= 4 * 9, "{} pages", sheets.sheets.len());
    assert!(file.len() < 3_000_000, "{} bytes", file.len());
}
