//! What lies under and between inks, and how far a proof is from its drawing, against tables of others. Sources stand in the head of each table.

use approx::assert_abs_diff_eq;
use stepbite_core::colour::Rgb;
use stepbite_core::difference::Difference;
use stepbite_core::film::Film;
use stepbite_core::grain::{Grain, GrainSettings};
use stepbite_core::ink_zones::{self, Zone};
use stepbite_core::laid::{Edge, Laid, Patches, Thin, grounds};
use stepbite_core::overprint::Tint;
use stepbite_core::pairs::{self, Pair};
use stepbite_core::piece::Piece;
use stepbite_core::plane::Plane;
use stepbite_core::pull::{Grounds, Inks, Misfit, Plate, Printing, Pull};
use stepbite_core::units::{Millimetres, PointMm, PxPerMm};
use stepbite_tests::{numbers, rows};

fn grey(channel: f64) -> Rgb {
    Rgb([channel; 3])
}

fn list(cell: &str) -> Vec<f64> {
    cell.split(' ').map(|number| number.parse().expect("a number")).collect()
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
                tear: 1,
            })
            .collect();
        let made = grounds(grey(0.85), &pile, (2, 2), PxPerMm(1.0)).unwrap();
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

#[test]
fn inks_that_run_into_each_other() {
    // SciPy's distance transform at 20 px/mm. A sixteenth by rounding; half a pixel of the coarser map of zones on the steepest slope; half a pixel of its edge.
    let zone = |ink: u8, points: &[(f64, f64)]| Zone {
        name: String::new(),
        ink,
        piece: Piece::new(points.iter().map(|&point| point.into()).collect()).unwrap(),
    };
    let zones = [
        zone(1, &[(10.0, 12.0), (70.0, 8.0), (64.0, 50.0), (20.0, 60.0)]),
        zone(2, &[(60.0, 30.0), (112.0, 20.0), (105.0, 80.0), (50.0, 84.0)]),
        zone(1, &[(76.0, 40.0), (94.0, 40.0), (94.0, 62.0), (76.0, 62.0)]),
        zone(3, &[(-5.0, 60.0), (22.0, 58.0), (30.0, 95.0), (-5.0, 95.0)]),
    ];
    let mut worst = 0.0f64;
    let face = (Millimetres(120.0), Millimetres(90.0));
    let maps = [5.0, 7.0, 10.0].map(|border| (border, ink_zones::map(&zones, 4, face, Millimetres(border)).unwrap().unwrap()));
    for row in numbers("ink_zones.csv") {
        let (border, made) = maps.iter().find(|(border, _)| *border == row[0]).unwrap();
        let PxPerMm(fine) = made.resolution;
        let blend = made.blends[usize::from(made.map.at((row[1] * fine) as usize, (row[2] * fine) as usize))];
        let mut shares = [0.0; 4];
        shares[usize::from(blend.one)] += 1.0 - f64::from(blend.sixteenths) / 16.0;
        shares[usize::from(blend.other)] += f64::from(blend.sixteenths) / 16.0;
        let slack = 1.0 / 32.0 + 1.5 / border * 1.0 / fine;
        for (found, expected) in shares.iter().zip(&row[3..]) {
            assert!((found - expected).abs() < slack, "{row:?}: {shares:?}");
            worst = worst.max((found - expected).abs());
        }
    }
    assert!(worst < 0.1, "{worst}");
}

/// A plate's map, pixels a mm, and its tints.
fn plate(map: Plane<u8>, resolution: f64, tints: Vec<Tint>) -> Plate {
    let undercuts = vec![None; tints.len()];
    Plate { map, resolution: PxPerMm(resolution), tints, undercuts, grain: Grain::new(GrainSettings::default()).expect("the usual grain") }
}

fn paired(plates: [&Plate; 2], inks: [&Inks; 2], (trap, misfit): (f64, Misfit), (n, ground): (f64, f64)) -> Vec<Pair> {
    let grounds = Grounds::bare(grey(ground));
    let first = Printing { plate: plates[0], inks: inks[0], trap, misfit: Misfit::default(), veil: 0.0 };
    let printings = [first, Printing { plate: plates[1], inks: inks[1], misfit, ..first }];
    pairs::of(&Pull { face: (Millimetres(12.0), Millimetres(9.0)), grounds: &grounds, printings: &printings, n }, 0, 1).expect("two plates")
}

#[test]
fn colours_of_two_tones_in_both_orders() {
    // Kubelka 1948, Demichel 1924, Neugebauer 1937, Viggiano 1985, Preucil 1958.
    for row in numbers("tone_pairs.csv") {
        let plates = [0, 4].map(|i| plate(Plane::filled(2, 2, 0), 1.0, vec![Tint { lands: row[i], film: row[i + 1], veil: 0.0 }]));
        let inks = [2, 6].map(|i| Inks::one(Film { absorption: grey(row[i]), scatter: grey(row[i + 1]) }));
        let pair = paired([&plates[0], &plates[1]], [&inks[0], &inks[1]], (row[8], Misfit::default()), (row[9], row[10]))[0];
        assert_abs_diff_eq!(pair.colour.0[0], row[11], epsilon = 1e-9);
        assert_abs_diff_eq!(pair.other.0[0], row[12], epsilon = 1e-9);
    }
}

#[test]
fn areas_of_two_plates_that_came_down_somewhere() {
    // Sums of overlaps along the axes by NumPy; with a turn by points.
    let tints = vec![Tint { lands: 0.5, film: 1.0, veil: 0.0 }; 4];
    let inks = Inks::one(Film::default());
    for row in rows("tone_pair_areas.csv") {
        let at: Vec<f64> = row[3..10].iter().map(|cell| cell.parse().unwrap()).collect();
        let plates = [0, 1].map(|i| {
            let (wide, high) = ((12.0 * at[i]) as usize, (9.0 * at[i]) as usize);
            let map = Plane::from_fn(wide, high, |x, y| row[i + 1].as_bytes()[y * 6 / high * 8 + x * 8 / wide] - b'0');
            plate(map, at[i], tints.clone())
        });
        let misfit = Misfit { shift: PointMm { x: at[2], y: at[3] }, growth: (at[4], at[5]), turn: at[6] };
        let found = paired([&plates[0], &plates[1]], [&inks, &inks], (1.0, misfit), (1.8, 0.8));
        let slack = if misfit.turn == 0.0 { 1e-9 } else { 1e-3 };
        for (pair, expected) in found.iter().zip(list(&row[10])) {
            assert_abs_diff_eq!(pair.share, expected, epsilon = slack);
        }
    }
}
