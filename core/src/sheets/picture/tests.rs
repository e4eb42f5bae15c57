use super::super::tests::{bites, letter, says, sheets, sheets_around, some_aside};
use super::super::{Kind, SheetSet, SheetSettings, Sheets, Transfer};
use super::*;
use crate::bath::pairs::{Judgement, Named, judged};
use crate::lines::{self, LineSettings, Lines};
use crate::outline::Outlines;
use crate::plate::Plate;
use crate::regions;
use crate::stopouts::{HandSpeed, StopOuts};
use crate::tones::{StepMap, ToneCount};
use kurbo::{BezPath, Shape};

fn curves(sheet: &Sheet, pen: Pen) -> Vec<BezPath> {
    let of = |mark: &'_ Mark| matches!(mark, Mark::Curve { pen: drawn, .. } if *drawn == pen);
    sheet
        .marks
        .iter()
        .filter(|mark| of(mark))
        .filter_map(|mark| if let Mark::Curve { path, place, .. } = mark { Some(*place * &**path) } else { None })
        .collect()
}

#[test]
fn an_outline_has_the_edges_of_new_paint_and_nothing_else() {
    let (plate, _) = letter(160.0, 180.0);
    let (wide, high) = plate.raster(PxPerMm(2.0)).unwrap();
    let map = || Plane::from_fn(wide, high, |x, y| if y < 12 { 1 } else { (x * 3 / wide) as u8 });
    let outline = SheetSettings { style: Style::Outline, ..SheetSettings::default() };
    for aside in [false, true] {
        let made = |settings: &SheetSettings| {
            if aside { sheets_around(&plate, map(), some_aside(&map()), 3, settings) } else { sheets(&plate, map(), 3, settings) }
        };
        let (full, made) = (made(&SheetSettings::default()), made(&outline));
        assert_eq!(full.sheets.len(), made.sheets.len());
        for (full, sheet) in full.sheets.iter().zip(&made.sheets).filter(|(full, _)| full.name.starts_with("stop-out")) {
            let number: usize = sheet.name["stop-out ".len()..].parse().unwrap();
            for same in [LINE, HAIR, DOTTED] {
                assert_eq!(curves(full, same), curves(sheet, same), "{}, {same:?}", sheet.name);
            }
            assert!(!curves(sheet, LINE).is_empty());
            // What was covered before ends beside the second stop-out's paint.
            assert_eq!((curves(full, DASHED).is_empty(), curves(sheet, DASHED).len()), (number == 1, 0));
            let hatched = |mark: &Mark| matches!(mark, Mark::Dots { .. }) || matches!(mark, Mark::Strokes { pen, .. } if *pen == HATCH);
            assert!(full.marks.iter().any(hatched) && !sheet.marks.iter().any(hatched));
            assert!(says(sheet, "OUTLINES ONLY: white does not mean bare here; the hatch is on the full sheet"));
            assert!(!says(sheet, "LEAVE BARE") && !says(sheet, "COVERED BEFORE") && !says(full, "OUTLINES ONLY"));
        }
    }
}

#[test]
fn the_letter_p_stands_on_what_is_painted_now_alone() {
    let (plate, map) = letter(160.0, 180.0);
    let settings = SheetSettings { style: Style::Outline, ..SheetSettings::default() };
    let made = sheets(&plate, map.clone(), 3, &settings);
    let face = Layout::of(settings.paper.size(), plate.size()).unwrap().metal.inset(1.5);
    let mut count = 0;
    for text in made.sheets[0].marks.iter().filter_map(|mark| if let Mark::Text(text) = mark { Some(text) } else { None }) {
        if text.words == "P" && text.size >= REGION_WORDS {
            // Plate view: the map is seen from its other side.
            let (x, y) = ((face.right() - text.at.x) / face.width, (text.at.y - face.y) / face.height);
            assert_eq!(map.at((x * map.width() as f64) as usize, (y * map.height() as f64) as usize), 0);
            count += 1;
        }
    }
    assert_eq!(count, 1, "the F is one piece");
}

#[test]
fn a_key_sheet_says_what_bears_no_number_whole_on_a_page_and_on_tiles() {
    for (width, height) in [(160.0, 180.0), (240.0, 150.0), (190.0, 265.0), (300.0, 400.0)] {
        let plate = Plate::new(Millimetres(width), Millimetres(height), Millimetres(1.5)).unwrap();
        let (wide, high) = plate.raster(PxPerMm(2.0)).unwrap();
        // Two parts whose edge no join runs along; a square of one millimetre every 1.5 mm in the corner of one of them: 9 by 9 or 20 by 20 edges too short for a
        // number, few enough to count or a crowd.
        let speck = |most: usize, x: usize, y: usize| x < most && y < most && x % 3 < 2 && y % 3 < 2 && x > 0 && y > 0;
        let map = |specks: usize| Plane::from_fn(wide, high, |x, y| if speck(specks, x, y) { 2 } else { u8::from(x > wide / 3) });
        let all = |sheet: &Sheet| sheet.words().collect::<Vec<_>>().join(" ");
        for (kinds, find_few, find_many) in [
            (vec![Kind::Key], "print the stop-outs to find them.", "print the stop-outs for them."),
            (vec![Kind::Key, Kind::StopOuts], "find them on the stop-out sheets.", "see the stop-out sheets."),
        ] {
            let settings = SheetSettings { kinds, ..SheetSettings::default() };
            let keys = |specks: usize| {
                let made = sheets(&plate, map(specks), 3, &settings);
                made.sheets.into_iter().filter(|sheet| sheet.name.starts_with("key")).collect::<Vec<_>>()
            };
            let [plain, few, crowd] = [0, 27, 60].map(keys);
            assert!(!plain.is_empty() && plain.len() == few.len() && plain.len() == crowd.len());
            for ((plain, few), crowd) in plain.iter().zip(&few).zip(&crowd) {
                assert!(all(plain).contains("Every edge and every region bears its number."), "{}", all(plain));
                let words = all(crowd);
                let many = format!("Short or crowded edges and small regions bear no number: {find_many}");
                assert!(words.contains(&many), "{words}");
                let words = all(few);
                assert!(words.contains("81 edges and ") && words.contains(&format!("bear no number: {find_few}")), "{words}");
            }
        }
    }
}

/// A plate of 60 × 50 mm, and its sheets with lines: one of 0.3 × 25 mm near the upper left corner of the print where there is `one`.
fn lined(one: bool, transfer: Transfer, judged: Option<Judgement>) -> (Plate, Lines, Sheets) {
    let resolution = PxPerMm(10.0);
    let plate = Plate::new(Millimetres(60.0), Millimetres(50.0), Millimetres(0.0)).unwrap();
    let dark = |x: usize, y: usize| one && (100..103).contains(&x) && (50..300).contains(&y);
    let drawn = Plane::from_fn(600, 500, |x, y| if dark(x, y) { 15.0 } else { 85.0 });
    let lines = lines::found(&drawn, resolution, regions::Mark::default(), LineSettings::default());
    let map = StepMap::new(ToneCount::new(2).unwrap(), Plane::from_fn(600, 500, |x, _| u8::from(x > 300)));
    let outlines = Outlines::of(map.plane(), resolution);
    let stop_outs = StopOuts::of(map, &outlines, resolution, HandSpeed::default());
    let settings = SheetSettings { kinds: vec![Kind::Lines, Kind::Run], transfer, judged, ..SheetSettings::default() };
    let bites = bites(2);
    let job = Job { stop_outs: &stop_outs, outlines: &outlines, bites: &bites, plate: &plate, lines: Some(&lines), settings: &settings };
    let made = SheetSet::of(job).draw(&mut |_| ());
    (plate, lines, made)
}

#[test]
fn etched_lines_are_closed_round_what_is_dark_and_turn_with_the_view() {
    for transfer in [Transfer::Trace, Transfer::Press] {
        let (plate, _, made) = lined(true, transfer, None);
        let names: Vec<&str> = made.sheets.iter().map(|sheet| sheet.name.as_str()).collect();
        let expected: &[&str] = match transfer {
            Transfer::Trace => &["etched lines", "run sheet"],
            Transfer::Press => &["etched lines, transfer", "etched lines, guide", "run sheet"],
        };
        assert_eq!(names, expected);
        let face = Layout::of(super::super::Paper::A4.size(), plate.size()).unwrap().metal;
        for sheet in &made.sheets[..expected.len() - 1] {
            let edges = curves(sheet, LINE);
            assert_eq!(edges.len(), 1);
            // 10.0 to 10.3 mm from the print's left, so from the plate's right; 5 to 30 mm from the top in both.
            let across = if sheet.name.ends_with("transfer") { face.x + 10.15 } else { face.right() - 10.15 };
            assert_ne!(edges[0].winding(kurbo::Point::new(across, face.y + 17.0)), 0, "{}", sheet.name);
            assert_eq!(edges[0].winding(kurbo::Point::new(across + 2.0, face.y + 17.0)), 0);
            let bounds = edges[0].bounding_box();
            approx::assert_abs_diff_eq!(bounds.width(), 0.3, epsilon = 0.25);
            approx::assert_abs_diff_eq!(bounds.height(), 25.0, epsilon = 0.5);
            let frames = |dashed: bool| {
                let heavy = |mark: &&Mark| matches!(mark, Mark::Line { pen, closed: true, .. } if pen.width.0 >= 0.7 && pen.dash.is_some() == dashed);
                sheet.marks.iter().filter(heavy).count()
            };
            assert_eq!((frames(true), frames(false)), (1, 0));
            assert!(says(sheet, "ETCHED LINE: needle these through the ground, bite them before the grain"));
            assert!(!sheet.words().any(|words| words.to_uppercase().contains("PAINT")), "{:?}", sheet.words().collect::<Vec<_>>());
            assert_eq!(sheet.words().filter(|words| *words == "E").count(), 2);
        }
    }
}

#[test]
fn after_a_stop_the_lines_are_shown_and_not_told_to_be_bitten() {
    let stop = judged(Named { metal: Some("zinc"), mordant: Some("ferric chloride"), before: None });
    assert!(stop.stops());
    let (_, _, made) = lined(true, Transfer::Trace, Some(stop));
    let sheet = &made.sheets[0];
    assert!(sheet.name == "etched lines" && says(sheet, "STOP: not to be bitten"), "{:?}", sheet.words().collect::<Vec<_>>());
    assert!(!sheet.words().any(|words| words.contains("bite them")));
}

#[test]
fn without_a_line_there_is_no_sheet_of_lines() {
    let (_, lines, made) = lined(false, Transfer::Trace, None);
    assert_eq!(lines.plane.count(), 0);
    assert_eq!(made.sheets.iter().map(|sheet| sheet.name.as_str()).collect::<Vec<_>>(), ["run sheet"]);
}
