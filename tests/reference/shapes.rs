//! Distances and openings against SciPy, contour lengths against closed forms, grain cover against the Boolean model.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use approx::{assert_abs_diff_eq, assert_relative_eq};
use stepbite_core::distance::squared_to_other;
use stepbite_core::drawing::Drawing;
use stepbite_core::face::{self, Fit};
use stepbite_core::lettering;
use stepbite_core::opening::{Disc, opened};
use stepbite_core::outline::{Outlines, SharedArc};
use stepbite_core::plane::Plane;
use stepbite_core::plate::Plate;
use stepbite_core::regions::{Mark, Softened, paintable, tidied};
use stepbite_core::smoothing::{Smoothing, smoothed};
use stepbite_core::tones;
use stepbite_core::type_face::{TypeFace, Weight};
use stepbite_core::units::{Millimetres, PxPerMm};
use stepbite_tests::{digits, numbers, rows, text};

const MAPS: [&str; 8] = ["blobs", "fine", "specks", "stripes", "frame", "noise", "single", "column"];

#[test]
fn distances_are_scipys() {
    // scipy.ndimage.distance_transform_edt on each label.
    for map in MAPS {
        let labels = digits(&format!("labels_{map}.txt"));
        let expected = text(&format!("distance_{map}.txt"));
        let expected: Vec<Vec<i64>> = expected
            .lines()
            .filter(|line| !line.starts_with('#') && !line.is_empty())
            .map(|line| line.split_whitespace().map(|d| d.parse().unwrap()).collect())
            .collect();
        for reach in [3usize, 15, 60] {
            let found = squared_to_other(&labels, reach);
            for (y, row) in expected.iter().enumerate() {
                for (x, &square) in row.iter().enumerate() {
                    let far = square < 0 || square > (reach * reach) as i64;
                    let wanted = if far { u16::MAX } else { square as u16 };
                    assert_eq!(found.at(x, y), wanted, "{map}, reach {reach}, ({x}, {y})");
                }
            }
        }
    }
}

#[test]
fn openings_are_scipys() {
    // scipy.ndimage.binary_erosion (border_value=1) and binary_dilation by the disc x² + y² ≤ r², disc centres within the picture.
    for map in MAPS {
        let labels = digits(&format!("labels_{map}.txt"));
        for radius in [2u32, 3, 5] {
            let expected = digits(&format!("opening_inside_{map}_r{radius}.txt"));
            let open = opened(&labels, &Disc::about_pixel(radius * radius));
            let open = Plane::from_fn(labels.width(), labels.height(), |x, y| u8::from(open.at(x, y)));
            assert_eq!(open, expected, "{map}, r {radius}");
        }
    }
}

#[test]
fn openings_by_discs_of_an_even_width_are_scipys() {
    for map in MAPS {
        let labels = digits(&format!("labels_{map}.txt"));
        for diameter in [4u32, 10] {
            let expected = digits(&format!("opening_corner_{map}_d{diameter}.txt"));
            let open = opened(&labels, &Disc::of_diameter(f64::from(diameter)));
            let open = Plane::from_fn(labels.width(), labels.height(), |x, y| u8::from(open.at(x, y)));
            let wrong = open.data().iter().zip(expected.data()).filter(|(a, b)| a != b).count();
            assert_eq!(wrong, 0, "{map}, {diameter} px");
        }
    }
}

#[test]
fn smoothing_is_the_guided_filter_by_scipy() {
    // He, Sun and Tang 2013; the table's head says how it was made.
    let table: Vec<Vec<f32>> = rows("smoothing.csv").iter().map(|row| row.iter().map(|cell| cell.parse().unwrap()).collect()).collect();
    let plane = |column: usize| Plane::new(22, 14, table.iter().map(|row| row[column]).collect()).unwrap();
    for (column, radius) in [(1, 1), (2, 3), (3, 8)] {
        let out = smoothed(&plane(0), radius);
        for (out, wanted) in out.data().iter().zip(plane(column).data()) {
            // Single precision: variances of some thousands less their like.
            assert_abs_diff_eq!(out, wanted, epsilon = 2e-3);
        }
    }
}

/// What the measure of `scripts/paintability.py` calls unpaintable: pixels at an edge are shut, a core is at least r − 1 from them, and what is
/// farther than r from every core is lost.
fn lost(map: &Plane<u8>, radius: f64) -> f64 {
    let (width, height) = (map.width(), map.height());
    let at_edge = |x: usize, y: usize| {
        let here = map.at(x, y);
        let near = [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)];
        near.into_iter().any(|(u, v)| u < width && v < height && map.at(u, v) != here)
    };
    let near = |plane: &Plane<u8>, reach: f64| squared_to_other(plane, reach as usize + 1).map(|&square| f64::from(square));
    let edges = Plane::from_fn(width, height, |x, y| u8::from(at_edge(x, y)));
    let far = near(&edges, radius);
    let cores = Plane::from_fn(width, height, |x, y| u8::from(edges.at(x, y) == 0 && far.at(x, y) >= (radius - 1.0).powi(2)));
    let far = near(&cores, radius);
    let lost = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
    let lost = lost.filter(|&(x, y)| cores.at(x, y) == 0 && far.at(x, y) > radius * radius).count();
    lost as f64 / (width * height) as f64
}

#[test]
fn the_demo_is_paintable_by_a_measure_of_its_own() {
    let file = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/demo/slipway.png")).unwrap();
    let plate = Plate::new(Millimetres(120.0), Millimetres(180.0), Millimetres(0.0)).unwrap();
    let face = face::place(&Drawing::read(&file).unwrap(), &plate, Fit::Cover, PxPerMm(10.0)).unwrap();
    let breaks = &tones::fitted(&face.histogram()).unwrap()[8];
    let raw = tones::quantise(&face.lightness, breaks);
    let map = paintable(&Softened::of(&face.lightness, face.resolution, Mark::default(), Smoothing::default()), breaks);
    let before = lost(raw.plane(), 5.0);
    let after = lost(map.plane(), 5.0);
    assert!(before > 0.1 && after < 0.005, "{before} before, {after} after");
    let again = tidied(&map, Mark::default(), face.resolution);
    let changed = map.plane().data().iter().zip(again.plane().data()).filter(|(a, b)| a != b).count();
    assert!(changed * 1000 < map.plane().data().len(), "{changed} pixels change");
}

#[test]
fn contours_have_the_length_of_the_shapes() {
    for row in rows("contour_length.csv") {
        let v: Vec<f64> = row[1..].iter().map(|cell| cell.parse().unwrap()).collect();
        let (a, b, angle, cx, cy) = (v[0], v[1], v[2].to_radians(), v[3], v[4]);
        let inside = |x: usize, y: usize| {
            let (dx, dy) = ((x as f64 + 0.5) / 10.0 - cx, (y as f64 + 0.5) / 10.0 - cy);
            let (u, w) = (dx * angle.cos() + dy * angle.sin(), dy * angle.cos() - dx * angle.sin());
            if row[0] == "square" { u.abs() <= a && w.abs() <= b } else { (u / a).powi(2) + (w / b).powi(2) <= 1.0 }
        };
        let map = Plane::from_fn(v[5] as usize, v[6] as usize, |x, y| u8::from(inside(x, y)));
        let drawn = map.data().iter().filter(|&&p| p == 1).count();
        assert!((drawn as f64 - v[8]).abs() <= 4.0, "{row:?}: {drawn} pixels were drawn, so it is another shape");
        let length: f64 = Outlines::of(&map, PxPerMm(10.0)).arcs.iter().map(SharedArc::length_mm).sum();
        // Smoothing rounds corners and straightens stairs: 1.5 % covers both on the smallest shape.
        assert_relative_eq!(length, v[7], max_relative = 0.015);
    }
}

#[test]
fn letters_are_freetypes() {
    // FreeType, by Pillow: rows of ink of a line at 240 px.
    let size = 240.0;
    let rows = lettering::lines(TypeFace::of(Weight::Regular), &["Hg 8%".to_owned()], size, 336.0, 900);
    let ours: Vec<f64> = rows.rows().map(|row| row.iter().map(|&ink| f64::from(ink) / 255.0).sum()).collect();
    let theirs: Vec<f64> = numbers("lettering.csv").iter().map(|row| row[1]).collect();
    assert_eq!(ours.len(), theirs.len());
    let (sum, all): (f64, f64) = (ours.iter().sum(), theirs.iter().sum());
    assert_relative_eq!(sum, all, max_relative = 0.01);
    // Its metrics are whole pixels, and each letter begins on one: a row may be one off, and an edge a fraction.
    let off: f64 =
        (1..335).map(|y| [0, 1, 2].map(|by| (ours[y] - theirs[y + by - 1]).abs()).into_iter().fold(f64::INFINITY, f64::min)).sum();
    assert!(off < 0.03 * all, "{off} of {all}");
}
