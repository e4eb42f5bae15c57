//! The SVG files, drawn by resvg, which we did not write: the stop-outs against the step map, a sheet against poppler's drawing of its PDF page.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use image::GrayImage;
use resvg::{tiny_skia, usvg};
use std::path::Path;
use stepbite_core::aside::{Aside, BY_HAND, RESIST};
use stepbite_core::bits::BitPlane;
use stepbite_core::pdf::pdf;
use stepbite_core::plane::Plane;
use stepbite_core::sheet_svg::sheet_svg;
use stepbite_core::sheets::SheetSettings;
use stepbite_core::stopouts_svg::stopouts_svg;
use stepbite_core::units::{Millimetres, PxPerMm};
use stepbite_core::view::View;
use stepbite_tests::plate::{MadeUp, waves};
use stepbite_tests::{run, said};

const BEVEL: f64 = 1.5;
const TONES: i64 = 5;

/// The plate of slanting waves; a fixed resist along a corner and a part by hand where they are asked for.
fn made_up(aside: bool) -> MadeUp {
    let (plate, map) = waves(BEVEL);
    let (width, height) = (map.plane().width(), map.plane().height());
    let bits = |inside: &dyn Fn(usize, usize) -> bool| {
        let mut bits = BitPlane::empty(width, height);
        for y in 0..height {
            (0..width).filter(|&x| inside(x, y)).for_each(|x| bits.set_stretch(y, x, x + 1));
        }
        Some(bits)
    };
    let aside = if aside {
        Aside::new(bits(&|x, y| x + y < 400), bits(&|x, y| (600..800).contains(&x) && (700..850).contains(&y)))
    } else {
        Aside::default()
    };
    MadeUp::of((plate, map), PxPerMm(10.0), aside)
}

fn tree(svg: &str) -> usvg::Tree {
    usvg::Tree::from_str(svg, &usvg::Options::default()).unwrap()
}

/// Drawn on white, pixels a millimetre.
fn drawn(tree: &usvg::Tree, px_per_mm: f64) -> GrayImage {
    // A user unit of the file's outermost viewport is 1/96 inch (CSS Values 3, 5.2).
    let scale = px_per_mm * 25.4 / 96.0;
    let side = |length: f32| (f64::from(length) * scale).round() as u32;
    let mut pixels = tiny_skia::Pixmap::new(side(tree.size().width()), side(tree.size().height())).unwrap();
    pixels.fill(tiny_skia::Color::WHITE);
    resvg::render(tree, tiny_skia::Transform::from_scale(scale as f32, scale as f32), &mut pixels.as_mut());
    let grey = pixels.pixels().iter().map(|pixel| pixel.green()).collect();
    GrayImage::from_raw(pixels.width(), pixels.height(), grey).unwrap()
}

/// The file with one group of it left, black.
fn only(svg: &str, id: &str) -> String {
    let start = svg.find(&format!("<g id=\"{id}\"")).unwrap_or_else(|| panic!("{id} is missing"));
    let end = start + svg[start..].find("</g>").unwrap() + 4;
    let head = &svg[..svg.find('>').unwrap() + 1];
    let group = &svg[start..end];
    let look = group.find('>').unwrap();
    format!("{head}<g id=\"{id}\" fill=\"#000\">{}</svg>", &group[look + 1..])
}

/// Whether a pixel with another value lies within `reach` pixels.
fn near_edge(zones: &Plane<u8>, x: usize, y: usize, reach: f64, inside: &dyn Fn(u8) -> bool) -> bool {
    let whole = reach.ceil() as isize + 1;
    let here = inside(zones.at(x, y));
    (-whole..=whole).any(|down| {
        (-whole..=whole).any(|across| {
            let (u, v) = (x as isize + across, y as isize + down);
            let on = u >= 0 && v >= 0 && (u as usize) < zones.width() && (v as usize) < zones.height();
            // From this pixel's middle to the nearest point of the other pixel.
            let gap = |steps: isize| (steps.unsigned_abs() as f64 - 0.5).max(0.0);
            on && gap(across).hypot(gap(down)) <= reach && inside(zones.at(u as usize, v as usize)) != here
        })
    })
}

/// Farther than this from an edge of the step map a drawn group agrees with it everywhere.
const REACH_MM: f64 = 0.15;

/// Whether a zone belongs to a group.
type Holds = Box<dyn Fn(u8) -> bool>;

#[test]
fn stop_outs_drawn_by_another_program_are_the_step_map_within_0_15_mm() {
    for (aside, view) in [(false, View::Print), (true, View::Print), (true, View::Plate)] {
        let MadeUp { plate, stop_outs, outlines, .. } = made_up(aside);
        let svg = stopouts_svg(&stop_outs, &outlines, &plate, view, "Made up");
        let zones = if view == View::Plate { stop_outs.zones().mirrored() } else { stop_outs.zones().clone() };
        let mut groups: Vec<(String, Holds)> =
            (1..TONES as u8).map(|number| (format!("stopout-{number:02}"), Box::new(move |zone| zone == number - 1) as Box<_>)).collect();
        if aside {
            groups.push(("resist".into(), Box::new(|zone| zone == RESIST)));
            groups.push(("by-hand".into(), Box::new(|zone| zone == BY_HAND)));
            groups.push(("lift".into(), Box::new(|zone| zone != RESIST)));
        }
        for (id, inside) in &groups {
            let file = only(&svg, id);
            let tree = tree(&file);
            // 110 and 130 mm at 96 to the inch.
            assert!((tree.size().width() - 415.748).abs() < 0.01 && (tree.size().height() - 491.339).abs() < 0.01, "{:?}", tree.size());
            let pixels = drawn(&tree, 10.0);
            let (mut filled, mut off) = (0, 0);
            for y in 0..zones.height() {
                for x in 0..zones.width() {
                    let bevel = (BEVEL * 10.0) as u32;
                    let dark = pixels.get_pixel(x as u32 + bevel, y as u32 + bevel)[0] < 128;
                    filled += usize::from(dark);
                    if dark != inside(zones.at(x, y)) {
                        off += 1;
                        let near = near_edge(&zones, x, y, REACH_MM * 10.0, inside);
                        assert!(near, "{id} at ({x}, {y}) px, aside {aside}, {view:?}");
                    }
                }
            }
            assert!(filled > 5000, "{id} {filled}");
            println!("{id}, aside {aside}, {view:?}: {off} of {filled} filled pixels differ, all within {REACH_MM} mm of an edge");
            // Nothing is filled on the bevel.
            assert!((0..pixels.width()).all(|x| pixels.get_pixel(x, 7)[0] > 250), "{id}");
        }
        println!("stopouts.svg {} bytes", svg.len());
    }
}

#[test]
fn neighbours_end_at_the_very_same_points() {
    let MadeUp { plate, stop_outs, outlines, .. } = made_up(false);
    let svg = stopouts_svg(&stop_outs, &outlines, &plate, View::Print, "");
    let points = |id: &str| {
        let file = only(&svg, id);
        let mut points = std::collections::BTreeSet::new();
        fn walk(group: &usvg::Group, points: &mut std::collections::BTreeSet<(i64, i64)>) {
            for node in group.children() {
                match node {
                    usvg::Node::Group(group) => walk(group, points),
                    usvg::Node::Path(path) => {
                        points.extend(
                            path.data()
                                .points()
                                .iter()
                                .map(|p| ((f64::from(p.x) * 1000.0).round() as i64, (f64::from(p.y) * 1000.0).round() as i64)),
                        );
                    }
                    _ => {}
                }
            }
        }
        walk(tree(&file).root(), &mut points);
        points
    };
    // Every point of an edge between tones 1 and 2 is a point of both, and so are the control points of its curves.
    let (one, two) = (points("stopout-02"), points("stopout-03"));
    let mut seen = 0;
    let (mut bent, curves) = (0, outlines.curves(stop_outs.zones(), stop_outs.resolution()));
    for curve in curves.list.iter().filter(|curve| (curve.lighter, curve.darker) == (1, 2)) {
        for element in curve.path.elements() {
            let Some(point) = element.end_point() else { continue };
            let key = ((point.x * 1000.0).round() as i64, (point.y * 1000.0).round() as i64);
            assert!(one.contains(&key) && two.contains(&key), "{key:?}");
            seen += 1;
            // Control points too: the same curve, not another between the same ends.
            if let kurbo::PathEl::CurveTo(a, b, _) = element {
                let keys = [a, b].map(|p| ((p.x * 1000.0).round() as i64, (p.y * 1000.0).round() as i64));
                bent += usize::from(keys.iter().all(|key| one.contains(key) && two.contains(key)));
            }
        }
    }
    // A few are written as lines, being straight to a thousandth of a millimetre.
    assert!(bent > seen / 2, "{bent} of {seen}");
    assert!(seen > 100, "{seen}");
}

const DPI: f64 = 300.0;

/// Middles, px, of the dark stretches of a line across.
fn stretches(pixels: &GrayImage, y: u32) -> Vec<f64> {
    let (mut middles, mut start) = (Vec::new(), None);
    for x in 0..pixels.width() {
        match (pixels.get_pixel(x, y)[0] < 128, start) {
            (true, None) => start = Some(x),
            (false, Some(since)) => {
                middles.push(f64::from(since + x) / 2.0);
                start = None;
            }
            _ => {}
        }
    }
    middles
}

/// A page of the file, drawn by poppler.
fn rendered(page: &str, directory: &Path) -> GrayImage {
    let arguments = ["-r", "300", "-f", page, "-l", page, "-gray", "-png", "-singlefile", "sheets.pdf", "page"];
    let output = run("pdftoppm", &arguments, directory);
    assert!(output.status.success(), "{}", said(&output));
    image::open(directory.join("page.png")).unwrap().to_luma8()
}

#[test]
fn a_sheet_drawn_by_another_program_is_the_page_of_the_pdf() {
    let settings = SheetSettings { title: "Ice house, Лёд".into(), letter: "B".into(), ..SheetSettings::default() };
    let sheets = made_up(true).sheets(&settings);
    let directory = tempfile::tempdir().unwrap();
    // This build of resvg decodes no pictures: the grey one is left out of both drawings.
    let mut plain = sheets.clone();
    plain.sheets.iter_mut().for_each(|sheet| sheet.marks.retain(|mark| !matches!(mark, stepbite_core::sheets::Mark::Grey { .. })));
    std::fs::write(directory.path().join("sheets.pdf"), pdf(&plain)).unwrap();
    for (index, sheet) in sheets.sheets.iter().enumerate() {
        let page = (index + 1).to_string();
        let poppler = rendered(&page, directory.path());
        let svg = sheet_svg(sheet);
        assert!(!svg.contains("<text") && !svg.contains("<script") && !svg.contains("font"), "it stands alone");
        // Only the look sheet has pictures, and each is within the file.
        let (pictures, all, within) = (svg.matches("<image").count(), svg.matches("href=").count(), svg.matches("href=\"#").count());
        assert_eq!(pictures > 0, sheet.name.starts_with("look"), "{}", sheet.name);
        assert_eq!((pictures, all - within), (svg.matches("href=\"data:image/png;base64,").count(), pictures));
        let shown = &plain.sheets[index];
        let ours = drawn(&tree(&sheet_svg(shown)), DPI / 25.4);
        assert!(ours.width().abs_diff(poppler.width()) <= 1 && ours.height().abs_diff(poppler.height()) <= 1);
        // Two programs soften edges in their own ways: pixels differ at the rims, the light of squares of 1 mm does not.
        let (wide, high) = (ours.width().min(poppler.width()), ours.height().min(poppler.height()));
        let cell = 12;
        let light = |pixels: &GrayImage, column: u32, row: u32| -> f64 {
            let sum: u32 = (0..cell * cell).map(|i| u32::from(pixels.get_pixel(column * cell + i % cell, row * cell + i / cell)[0])).sum();
            f64::from(sum) / f64::from(cell * cell)
        };
        let (mut sum, mut worst, mut count) = (0.0, 0.0_f64, 0.0);
        for row in 0..high / cell {
            for column in 0..wide / cell {
                let off = (light(&ours, column, row) - light(&poppler, column, row)).abs();
                sum += off;
                worst = worst.max(off);
                count += 1.0;
            }
        }
        println!("{}: {} bytes, mean difference {:.2}, worst square {worst:.0} of 255", sheet.name, svg.len(), sum / count);
        assert!(sum / count < 2.0, "{}: {}", sheet.name, sum / count);
        assert!(worst < 60.0, "{}: {worst}", sheet.name);
    }
    // The bar across, 100 mm, on the first stop-out's sheet: the same ticks at the same places.
    let index = sheets.sheets.iter().position(|sheet| sheet.name == "stop-out 1").unwrap();
    let page = (index + 1).to_string();
    let poppler = rendered(&page, directory.path());
    let ours = drawn(&tree(&sheet_svg(&sheets.sheets[index])), DPI / 25.4);
    let mut bars = 0;
    for y in 0..ours.height().min(poppler.height()) {
        let (a, b) = (stretches(&ours, y), stretches(&poppler, y));
        // A row through both ticks, whatever words stand between them: first and last stretch are 100 mm apart.
        if let ([left, .., right], [other_left, .., other_right]) = (&a[..], &b[..])
            && ((right - left) * 25.4 / DPI - 100.0).abs() < 0.15
        {
            bars += 1;
            for (ours, theirs) in [(left, other_left), (right, other_right)] {
                assert!((ours - theirs).abs() * 25.4 / DPI <= 0.1, "row {y}: {ours} and {theirs} px");
            }
        }
    }
    assert!(bars > 3, "the ticks of the bar across were found on {bars} rows");
}

#[test]
fn a_dot_alone_is_drawn() {
    // SVG 2, 13.5.2: a subpath of no length with round caps is a dot.
    use stepbite_core::plate::SizeMm;
    use stepbite_core::sheets::{Mark, PagePoint, Sheet};
    let mut sheet = Sheet::new("dot", SizeMm { width: Millimetres(10.0), height: Millimetres(10.0) });
    sheet.marks.push(Mark::Dots { diameter: Millimetres(2.0), centres: vec![PagePoint::new(5.0, 4.0)] });
    let pixels = drawn(&tree(&sheet_svg(&sheet)), 20.0);
    let dark = pixels.pixels().filter(|pixel| pixel[0] < 128).count() as f64 / 400.0;
    assert!((dark - std::f64::consts::PI).abs() < 0.1, "{dark} mm²");
    assert!(pixels.get_pixel(100, 80)[0] < 10 && pixels.get_pixel(100, 105)[0] > 250);
}
