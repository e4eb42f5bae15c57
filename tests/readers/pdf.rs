//! The sheets, opened by programs we did not write: poppler, qpdf and Ghostscript; and measured on a 300 dpi rendering.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use std::path::Path;
use stepbite_core::aside::Aside;
use stepbite_core::hand::Path as HandPath;
use stepbite_core::pdf::pdf;
use stepbite_core::resist::Resist;
use stepbite_core::sheets::{Paper, SheetSettings, Sheets, Transfer};
use stepbite_core::units::PxPerMm;
use stepbite_tests::plate::{MadeUp, mapped};
use stepbite_tests::{run, said};

const RESOLUTION: PxPerMm = PxPerMm(5.0);
const DPI: f64 = 300.0;
/// 0.2 mm in 200 mm, and half a pixel for reading the middle of a line.
const MOST_OFF_200: f64 = 0.2;
const HALF_PIXEL: f64 = 25.4 / DPI / 2.0;

/// A made-up plate of 160 × 180 mm: four bands of tone with round islands.
fn made_up(paper: Paper, transfer: Transfer) -> Sheets {
    let map = mapped((160.0, 180.0), 1.5, RESOLUTION, 4, |x, y, _, high| {
        let round = ((x % 100) as f64 - 50.0).hypot((y % 100) as f64 - 50.0) < 20.0;
        ((y * 4 / high + usize::from(round)) % 4) as u8
    });
    MadeUp::of(map, RESOLUTION, Aside::default()).sheets(&settings(paper, transfer))
}

fn settings(paper: Paper, transfer: Transfer) -> SheetSettings {
    SheetSettings { paper, transfer, title: "Ice house, Лёд".into(), letter: "B".into(), ..SheetSettings::default() }
}

/// The number, as other programs count, of the page of that name: by press, of the transfer.
fn page_of(sheets: &Sheets, name: &str) -> String {
    let transfer = format!("{name}, transfer");
    let place = sheets.sheets.iter().position(|sheet| sheet.name == name || sheet.name == transfer);
    (place.unwrap_or_else(|| panic!("there is no sheet {name}")) + 1).to_string()
}

fn save(sheets: &Sheets, directory: &Path) {
    std::fs::write(directory.join("sheets.pdf"), pdf(sheets)).unwrap();
}

#[test]
fn other_programs_open_it_without_a_complaint() {
    // Pages: cover, key, look sheet, pull record and run sheet; three stop-outs; by press a guide to each of these and to the key.
    for (paper, transfer, size, pages) in
        [(Paper::A4, Transfer::Trace, "595.276 x 841.89", 8), (Paper::Letter, Transfer::Press, "612 x 792", 12)]
    {
        let directory = tempfile::tempdir().unwrap();
        let sheets = made_up(paper, transfer);
        save(&sheets, directory.path());
        let run = |program: &str, arguments: &[&str]| said(&run(program, arguments, directory.path()));

        let info = run("pdfinfo", &["sheets.pdf"]);
        assert!(info.contains(size) && info.contains(&format!("Pages:           {pages}")), "{info}");
        let fonts = run("pdffonts", &["sheets.pdf"]);
        let listed: Vec<&str> = fonts.lines().skip(2).collect();
        assert!(listed.len() == 2 && listed.iter().all(|line| line.contains("StepbiteText") && line.contains("yes no  yes")), "{fonts}");
        let check = run("qpdf", &["--check", "sheets.pdf"]);
        assert!(check.contains("No syntax or stream encoding errors") && !check.to_lowercase().contains("warning"), "{check}");
        let ghost = run("gs", &["-q", "-dNOPAUSE", "-dBATCH", "-dPDFSTOPONWARNING", "-sDEVICE=nullpage", "sheets.pdf"]);
        assert!(ghost.trim().is_empty(), "{ghost}");

        let words = run("pdftotext", &["-layout", "sheets.pdf", "-"]);
        assert!(!words.contains("Syntax"), "{words}");
        let wanted = [
            "PAINT NOW",
            "COVERED BEFORE",
            "LEAVE BARE, WILL BITE",
            "100 mm along the short side: measure me",
            "Лёд",
            "EXAMPLE, NOT YOUR BATH",
            "BITE 3",
            "PLATE VIEW",
        ];
        for wanted in wanted {
            assert!(words.contains(wanted), "{wanted} in {words}");
        }
        let page = page_of(&sheets, "stop-out 1");
        let words = run("pdftotext", &["-layout", "-f", &page, "-l", &page, "sheets.pdf", "-"]);
        assert_eq!(words.contains("PRINT VIEW"), transfer == Transfer::Press, "{words}");
        assert_eq!(words.contains("PLATE VIEW"), transfer == Transfer::Trace, "{words}");
    }
}

/// A grey rendering of a page.
struct Page {
    pixels: image::GrayImage,
}

impl Page {
    fn dark(&self, x: f64, y: f64) -> bool {
        let px = |mm: f64| (mm / 25.4 * DPI) as u32;
        self.pixels.get_pixel(px(x).min(self.pixels.width() - 1), px(y).min(self.pixels.height() - 1))[0] < 128
    }

    /// Middles, mm, of the dark stretches on a line across (`along == false`, at height `at`) or along (at distance `at` from the left).
    fn stretches(&self, along: bool, at: f64, from: f64, to: f64) -> Vec<f64> {
        let step = 25.4 / DPI;
        let mut middles = Vec::new();
        let mut start = None;
        let mut here = from;
        while here <= to {
            let dark = if along { self.dark(at, here) } else { self.dark(here, at) };
            match (dark, start) {
                (true, None) => start = Some(here),
                (false, Some(since)) => {
                    middles.push((since + here) / 2.0);
                    start = None;
                }
                _ => {}
            }
            here += step;
        }
        middles
    }
}

fn rendered(name: &str, arguments: &[&str], program: &str, directory: &Path) -> Page {
    let output = run(program, arguments, directory);
    assert!(output.status.success(), "{}", said(&output));
    Page { pixels: image::open(directory.join(name)).unwrap().to_luma8() }
}

#[test]
fn bars_and_corner_marks_measure_true() {
    for paper in [Paper::A4, Paper::Letter] {
        let directory = tempfile::tempdir().unwrap();
        let sheets = made_up(paper, Transfer::Trace);
        save(&sheets, directory.path());
        let page = page_of(&sheets, "stop-out 2");
        let (first, last) = (format!("-dFirstPage={page}"), format!("-dLastPage={page}"));
        let poppler = rendered(
            "page.png",
            &["-r", "300", "-f", &page, "-l", &page, "-gray", "-png", "-singlefile", "sheets.pdf", "page"],
            "pdftoppm",
            directory.path(),
        );
        let ghost = rendered(
            "ghost.png",
            &["-q", "-dNOPAUSE", "-dBATCH", "-r300", &first, &last, "-sDEVICE=pnggray", "-sOutputFile=ghost.png", "sheets.pdf"],
            "gs",
            directory.path(),
        );
        for page in [poppler, ghost] {
            let (wide, high) = (paper.size().width.0, paper.size().height.0);
            let close = |found: f64, wanted: f64, what: &str| {
                let most = MOST_OFF_200 * wanted / 200.0 + 2.0 * HALF_PIXEL;
                assert!((found - wanted).abs() <= most, "{what}: {found} mm, {wanted} expected on {paper:?}");
            };
            // The plate is centred across. Its upper left corner mark is found by looking in along two lines that cross its arms.
            let left = (wide - 160.0) / 2.0;
            let above = page.stretches(true, left + 4.0, 40.0, high - 45.0);
            close(above[above.len() - 1] - above[0], 180.0, "metal edge along");
            let top = above[0];
            let across = page.stretches(false, top + 4.0, left - 2.0, wide);
            close(across[across.len() - 1] - across[0], 160.0, "metal edge across");
            close(across[0], left, "left metal edge");
            // The bar along stands 6 mm left of the metal: its ends are the ends of what is dark just beside its line, ticks only.
            let ticks = page.stretches(true, left - 6.0 + 1.2, top, top + 180.0);
            close(ticks[ticks.len() - 1] - ticks[0], 100.0, "bar along");
            // The bar across is the first ticks under the plate.
            let y = top + 180.0 + 6.0 - 1.2;
            let ticks = page.stretches(false, y, left, left + 160.0);
            close(ticks[ticks.len() - 1] - ticks[0], 100.0, "bar across");
        }
    }
}

/// Paper white at the left and a dark band on it; an open shape that is not its own mirror image, the rest under resist; a small area by hand.
fn with_resist(transfer: Transfer) -> Sheets {
    let (plate, map) = mapped((160.0, 180.0), 1.5, RESOLUTION, 4, |x, y, _, _| if x < 300 { 0 } else { ((y / 150) % 3 + 1) as u8 });
    let path = |text: &str| HandPath::try_from(text.to_owned()).unwrap();
    let resist = Resist::Drawn { shapes: vec![path("20,20 140,20 140,90 60,90 60,160 20,160")], open_inside: true };
    let by_hand = Resist::Drawn { shapes: vec![path("80,40 110,40 110,70 80,70")], open_inside: false };
    let covered = |shape: &Resist| Some(shape.covered(&map, RESOLUTION).unwrap());
    let aside = Aside::new(covered(&resist), covered(&by_hand));
    MadeUp::of((plate, map), RESOLUTION, aside).sheets(&settings(Paper::A4, transfer))
}

/// What a square of 5 mm shows: by its darkest row and column of pixels, and its share of ink.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Shown {
    White,
    /// Rules across: some rows are dark all along, no column is.
    Ruled,
    /// Strokes or dots: no row is dark all along. With the share of ink.
    Marked(f64),
}

fn shown(page: &Page, left: f64, top: f64) -> Shown {
    let px = |mm: f64| (mm / 25.4 * DPI) as u32;
    let (from_x, to_x, from_y, to_y) = (px(left), px(left + 5.0), px(top), px(top + 5.0));
    let dark = |x: u32, y: u32| page.pixels.get_pixel(x, y)[0] < 200;
    let ink = (from_y..to_y).map(|y| (from_x..to_x).filter(|&x| dark(x, y)).count()).sum::<usize>() as f64;
    let share = ink / f64::from((to_x - from_x) * (to_y - from_y));
    if share < 0.002 {
        return Shown::White;
    }
    let whole = |y: u32| (from_x..to_x).all(|x| dark(x, y));
    if (from_y..to_y).any(whole) { Shown::Ruled } else { Shown::Marked(share) }
}

#[test]
fn lift_and_stop_out_are_opposites_within_the_face_and_say_so() {
    for (transfer, mirrored) in [(Transfer::Trace, true), (Transfer::Press, false)] {
        let directory = tempfile::tempdir().unwrap();
        let sheets = with_resist(transfer);
        save(&sheets, directory.path());
        let check = said(&run("qpdf", &["--check", "sheets.pdf"], directory.path()));
        assert!(check.contains("No syntax or stream encoding errors") && !check.to_lowercase().contains("warning"), "{check}");
        let words = |page: &str| said(&run("pdftotext", &["-layout", "-f", page, "-l", page, "sheets.pdf", "-"], directory.path()));
        let (lift, stop_out) = (&page_of(&sheets, "lift"), &page_of(&sheets, "stop-out 1"));
        let (of_lift, of_stop_out) = (words(lift), words(stop_out));
        assert!(of_lift.contains("OPENS: painted here = bites here") && of_lift.contains("BITES HERE"), "{of_lift}");
        assert!(!of_lift.contains("PAINT NOW") && !of_lift.contains("LEAVE BARE"), "{of_lift}");
        assert!(of_stop_out.contains("PAINT NOW") && of_stop_out.contains("RESIST STAYS") && of_stop_out.contains("HAND"), "{of_stop_out}");
        assert!(!of_stop_out.contains("OPENS"), "{of_stop_out}");
        assert_eq!(of_lift.contains("PRINT VIEW"), !mirrored);

        let page = |number: &str, name: &str| {
            let arguments = ["-r", "300", "-f", number, "-l", number, "-gray", "-png", "-singlefile", "sheets.pdf", name];
            rendered(&format!("{name}.png"), &arguments, "pdftoppm", directory.path())
        };
        let (lift, stop) = (page(lift, "lift"), page(stop_out, "stop"));
        // The plate is centred across; its top is found as in the test of the bars.
        let left = (210.0 - 160.0) / 2.0;
        let top = lift.stretches(true, left + 4.0, 40.0, 250.0)[0];
        let (mut open, mut closed, mut painted, mut worded) = (0, 0, 0, 0);
        for row in 0..17 {
            for column in 0..15 {
                // A square of the face, in print view, clear of every edge of the shapes, which lie at tens.
                let (x, y) = (2.5 + f64::from(column) * 10.0, 2.5 + f64::from(row) * 10.0);
                let on_paper = left + 1.5 + if mirrored { 157.0 - x - 5.0 } else { x };
                let is_open = (20.0..140.0).contains(&x) && (20.0..160.0).contains(&y) && !(x > 60.0 && y > 90.0);
                let by_hand = (80.0..110.0).contains(&x) && (40.0..70.0).contains(&y);
                let (on_lift, on_stop) = (shown(&lift, on_paper, top + 1.5 + y), shown(&stop, on_paper, top + 1.5 + y));
                // The test letter stands in a corner of the face.
                if row == 0 && (column == 0 || column == 14) {
                    continue;
                }
                if is_open {
                    open += 1;
                    assert!(matches!(on_lift, Shown::Marked(share) if share > 0.15), "({x}, {y}) {on_lift:?}");
                    match on_stop {
                        Shown::White => assert!(x > 60.0 || by_hand, "({x}, {y})"),
                        Shown::Marked(share) if x < 60.0 => {
                            painted += 1;
                            assert!((0.08..0.25).contains(&share), "({x}, {y}) {share}");
                        }
                        // The words LEAVE BARE and HAND.
                        Shown::Marked(_) => worded += 1,
                        Shown::Ruled => panic!("open but ruled at ({x}, {y})"),
                    }
                } else {
                    closed += 1;
                    assert_eq!((on_lift, on_stop), (Shown::Ruled, Shown::Ruled), "({x}, {y})");
                }
            }
        }
        assert!(open > 80 && closed > 80 && painted > 30 && worded < 12, "{open} {closed} {painted} {worded}");
    }
}
