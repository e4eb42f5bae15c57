//! What stop-out can't do: lines, islands, slopes and narrow bands against scikit-image, SciPy and a drawing made by Pillow.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use approx::{assert_abs_diff_eq, assert_relative_eq};
use stepbite_core::bands::HandError;
use stepbite_core::islands;
use stepbite_core::light::{Encoded, Lightness};
use stepbite_core::lines::{self, LineSettings, Lines, closing};
use stepbite_core::plane::Plane;
use stepbite_core::regions::Mark;
use stepbite_core::soft::Slope;
use stepbite_core::tones::{Breaks, quantise};
use stepbite_core::units::{Millimetres, PointMm, PxPerMm};
use stepbite_tests::{data, numbers, rows, text};

const TEN: PxPerMm = PxPerMm(10.0);

fn grid(name: &str) -> Plane<u16> {
    let text = text(name);
    let lines: Vec<Vec<u16>> = text
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
        .map(|line| line.split(' ').map(|v| v.parse().unwrap()).collect())
        .collect();
    Plane::new(lines[0].len(), lines.len(), lines.concat()).unwrap()
}

#[test]
fn top_hats_are_scikit_images_pixel_for_pixel() {
    let picture = grid("tophat_picture.txt");
    for radius in [2u32, 3, 5] {
        let expected = grid(&format!("tophat_r{radius}.txt"));
        let closed = closing(&picture, radius * radius);
        let hat: Vec<u16> = closed.data().iter().zip(picture.data()).map(|(high, low)| high - low).collect();
        assert_eq!(hat, expected.data(), "r {radius}");
    }
}

#[test]
fn islands_are_scipys() {
    let table = rows("islands.csv");
    let mut checked = 0;
    for map in ["blobs", "fine", "specks", "stripes", "frame", "noise"] {
        let text = text(&format!("labels_{map}.txt"));
        let lines: Vec<&str> = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).collect();
        let plane =
            Plane::new(lines[0].len(), lines.len(), lines.iter().flat_map(|line| line.bytes().map(|b| b - b'0')).collect()).unwrap();
        for tone in 0..10usize {
            let mut expected: Vec<Vec<i64>> = table
                .iter()
                .filter(|row| row[0] == map && row[1] == tone.to_string())
                .map(|row| row[2..].iter().map(|cell| cell.parse().unwrap()).collect())
                .collect();
            // At one pixel a mm, areas are pixels; the disc is 2 √depth² − 1.
            let mut found: Vec<Vec<i64>> = islands::of(&plane, tone + 1, None, PxPerMm(1.0))
                .iter()
                .map(|island| {
                    let depth = ((island.disc.0 + 1.0) / 2.0).powi(2);
                    assert!(plane.at(island.at.x as usize, island.at.y as usize) as usize == tone, "it is pointed at inside");
                    let [from, to] = island.bounds;
                    [island.area_mm2, depth, from.x, from.y, to.x, to.y].iter().map(|v| v.round() as i64).collect()
                })
                .collect();
            expected.sort();
            found.sort();
            assert_eq!(found, expected, "{map}, label {tone}");
            checked += expected.len();
        }
    }
    assert_eq!(checked, table.len());
}

#[test]
fn chances_to_close_are_scipys() {
    for row in numbers("closing_up.csv") {
        assert_abs_diff_eq!(HandError(Millimetres(row[1])).closes(Millimetres(row[0])), row[2], epsilon = 1e-12);
    }
}

#[test]
fn slopes_are_scipys() {
    let plane = Plane::from_fn(500, 400, |x, y| {
        let (x, y) = (x as f64 / 10.0 + 0.05, y as f64 / 10.0 + 0.05);
        (55.0 + 18.0 * (x / 6.0).sin() + 14.0 * (y / 4.0 + x / 9.0).cos() + 6.0 * (y / 2.0).sin()) as f32
    });
    let slope = Slope::of(&plane, TEN);
    for row in numbers("slopes.csv") {
        // The grid of half a millimetre: differences over 1 mm of a wave of 2π · 2 mm are 4 % flat, of the others under 1 %.
        assert_abs_diff_eq!(slope.at(PointMm { x: row[0], y: row[1] }), row[2], epsilon = 0.15);
    }
}

/// A grey picture as L*, with paper tooth of a given strength.
fn card(name: &str, tooth: f32) -> Plane<f32> {
    let picture = image::open(data(name)).unwrap().into_luma8();
    let mut state = 11u64;
    Plane::from_fn(picture.width() as usize, picture.height() as usize, |x, y| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let noise = (state >> 40) as f32 / (1u32 << 24) as f32 - 0.5;
        let byte = picture.get_pixel(x as u32, y as u32).0[0];
        Encoded(f64::from(byte) / 255.0).linear().lightness().0 as f32 + tooth * noise
    })
}

fn marks(name: &str) -> Vec<(usize, usize)> {
    let picture = image::open(data(name)).unwrap().into_luma8();
    picture.enumerate_pixels().filter(|(_, _, value)| value.0[0] > 127).map(|(x, y, _)| (x as usize, y as usize)).collect()
}

fn held(lines: &Lines, places: &[(usize, usize)]) -> f64 {
    places.iter().filter(|&&(x, y)| lines.plane.at(x, y)).count() as f64 / places.len() as f64
}

#[test]
fn lines_of_a_drawing_go_to_the_line_layer_and_leave_the_tones_alone() {
    for tooth in [0.0, 8.0] {
        let drawn = card("line_card.png", tooth);
        let lines = lines::found(&drawn, TEN, Mark::default(), LineSettings::default());
        let (along, writing) = (held(&lines, &marks("line_card_centres.png")), held(&lines, &marks("line_card_writing.png")));
        assert!(along >= 0.9, "{along} of the lines' length, tooth {tooth}");
        assert!(writing >= 0.8, "{writing} of the writing's ink, tooth {tooth}");
        // 269 mm of lines by the script's own points, crossings counted twice, and some 40 to 60 mm of writing.
        assert!((290.0..330.0).contains(&lines.length.0), "{:?}", lines.length);
        assert_abs_diff_eq!(lines.width.0, 0.4, epsilon = 0.12);

        // Cut into six tones at breaks that lie between the areas' own: what is beneath is as if no line had been drawn.
        let breaks = Breaks::new([85.0, 72.0, 56.0, 40.0, 18.0].map(Lightness).to_vec()).unwrap();
        let (ground, without) = (quantise(&card("line_card_ground.png", tooth), &breaks), quantise(&lines.without(&drawn), &breaks));
        let wrong = ground.plane().data().iter().zip(without.plane().data()).filter(|(a, b)| a != b).count();
        let share = wrong as f64 / ground.plane().data().len() as f64;
        assert!(share < 0.01, "{share} of the tones changed, tooth {tooth}");
        println!(
            "tooth {tooth}: {along:.3} of the lines, {writing:.3} of the writing, {share:.4} of the tones, {:?} {:?} {}",
            lines.length, lines.width, lines.count
        );
    }
}

#[test]
fn the_ground_itself_has_no_lines() {
    for tooth in [0.0, 8.0] {
        let lines = lines::found(&card("line_card_ground.png", tooth), TEN, Mark::default(), LineSettings::default());
        assert_eq!(lines.count, 0, "tooth {tooth}");
        assert_relative_eq!(lines.share(), 0.0);
    }
}
