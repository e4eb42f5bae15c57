//! What lies under and between inks, and how far a proof is from its drawing, against tables of others. Sources stand in the head of each table.

use approx::assert_abs_diff_eq;
use stepbite_core::colour::Rgb;
use stepbite_core::difference::Difference;
use stepbite_core::laid::{Edge, Laid, Patches, Thin, grounds};
use stepbite_core::piece::Piece;
use stepbite_core::plane::Plane;
use stepbite_core::units::{Millimetres, PointMm, PxPerMm};
use stepbite_tests::{numbers, rows};

fn grey(channel: f64) -> Rgb {
    Rgb([channel; 3])
}

fn list(cell: &str) -> Vec<f64> {
    cell.split(' ').map(|number| number.parse().unwrap()).collect()
}

#[test]
fn proof_and_drawing_apart() {
    // CIE 142:2001 by scikit-image; the figures by NumPy.
    let pixels = numbers("difference_pixels.csv");
    let picture = |first: usize| {
        let light: Vec<[f32; 3]> = pixels.iter().map(|row| [0, 1, 2].map(|i| row[first + i] as f32)).collect();
        Plane::new(24, 16, light).unwrap()
    };
    let difference = Difference::between(&picture(3), &picture(6)).unwrap();
    for (row, &off) in pixels.iter().zip(difference.map().data()) {
        assert_abs_diff_eq!(f64::from(off), row[9], epsilon = 1e-4);
    }
    let tones = Plane::new(24, 16, pixels.iter().map(|row| row[2] as u8).collect()).unwrap();
    let figures = difference.figures(&tones);
    let expected = &numbers("difference_figures.csv")[0];
    for (found, expected) in
        [figures.mean, figures.most, figures.over, f64::from(figures.worst_tone), figures.worst_mean].iter().zip(expected)
    {
        assert_abs_diff_eq!(found, expected, epsilon = 1e-4);
    }
}

#[test]
fn thin_papers_from_their_patches() {
    // Kubelka 1954, solved for by SciPy.
    for row in numbers("thin_papers.csv") {
        let patches =
            Patches { on_white: grey(row[0]), on_black: grey(row[1]), back: Some(grey(row[2])), white: grey(0.85), black: grey(0.03) };
        let thin = Thin::of(&patches).unwrap();
        for (found, expected) in [thin.good, thin.back, thin.through].iter().zip(&row[3..]) {
            assert_abs_diff_eq!(found.0[1], expected, epsilon = 1e-6);
        }
    }
    // Both sides alike, worked out beforehand: R, T, and what is seen on a ground.
    for (good, through, ground, seen) in
        [(0.05, 0.8, 0.85, 0.618_146), (0.15, 0.7, 0.85, 0.627_364), (0.15, 0.7, 0.04, 0.169_718), (0.3, 0.5, 0.9, 0.608_219)]
    {
        assert_abs_diff_eq!(
            Thin { good: grey(good), back: grey(good), through: grey(through) }.over(grey(ground), false).0[0],
            seen,
            epsilon = 5e-7
        );
    }
}

#[test]
fn thin_papers_piled() {
    // Kubelka 1954: the pile as one layer, then on the sheet.
    for row in rows("thin_piles.csv") {
        let (good, back, through, turned) = (list(&row[0]), list(&row[1]), list(&row[2]), list(&row[3]));
        let pile: Vec<Laid> = (0..good.len())
            .map(|i| Laid {
                thin: Thin { good: grey(good[i]), back: grey(back[i]), through: grey(through[i]) },
                turned: turned[i] > 0.5,
                piece: None,
                edge: Edge::Cut,
            })
            .collect();
        let made = grounds(grey(0.85), &pile, (2, 2), PxPerMm(1.0), 1).unwrap();
        let place = made.map.unwrap().0.at(1, 1);
        assert_abs_diff_eq!(made.colours[usize::from(place)].0[0], row[4].parse::<f64>().unwrap(), epsilon = 1e-9);
    }
}

#[test]
fn thin_papers_by_weight() {
    // Kubelka 1948, in hyperbolic form.
    for row in numbers("thin_weights.csv") {
        let thin = Thin::of_weight(grey(row[0]), row[1]);
        assert_abs_diff_eq!(thin.good.0[0], row[2], epsilon = 1e-9);
        assert_abs_diff_eq!(thin.through.0[0], row[3], epsilon = 1e-9);
    }
}

#[test]
fn distances_to_outlines() {
    // OpenCV's pointPolygonTest; it works in floats of 24 bits.
    for row in rows("outline_distances.csv") {
        let points = list(&row[1]);
        let piece = Piece::new(points.chunks(2).map(|p| PointMm { x: p[0], y: p[1] }).collect()).unwrap();
        let [x, y, expected] = [2, 3, 4].map(|i| row[i].parse::<f64>().unwrap());
        let signed = piece.signed((120, 120), PxPerMm(4.0), Millimetres(40.0)).unwrap();
        let at = signed.distances.at((x * 4.0) as usize - signed.corner.0, (y * 4.0) as usize - signed.corner.1);
        assert_abs_diff_eq!(f64::from(at), expected, epsilon = 1e-4);
    }
}
