//! Distances and openings against SciPy, contour lengths against closed forms, grain cover against the Boolean model.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use approx::assert_relative_eq;
use stepbite_core::distance::squared_to_other;
use stepbite_core::opening::{Disc, opened};
use stepbite_core::outline::{Outlines, SharedArc};
use stepbite_core::plane::Plane;
use stepbite_core::units::PxPerMm;
use stepbite_tests::{rows, text};

const MAPS: [&str; 8] = ["blobs", "fine", "specks", "stripes", "frame", "noise", "single", "column"];

fn digits(name: &str) -> Plane<u8> {
    let text = text(name);
    let lines: Vec<&str> = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).collect();
    let data = lines.iter().flat_map(|line| line.bytes().map(|b| b - b'0')).collect();
    Plane::new(lines[0].len(), lines.len(), data).unwrap()
}

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
