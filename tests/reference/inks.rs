//! Colours, films and plates over one another against tables of others. Sources stand in the head of each table.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use stepbite_core::colour::{Lab, Lamp, Rgb};
use stepbite_core::film::{Film, Layer};
use stepbite_core::overprint::{Inking, Meeting, Tint};
use stepbite_tests::{numbers, rows};

fn grey(channel: f64) -> Rgb {
    Rgb([channel; 3])
}

#[test]
fn differences_of_colours() {
    // CIE 142:2001; Sharma, Wu, Dalal 2005, table 1, with pairs on either side of each of the formula's jumps. The crate takes some mean
    // hues a full turn too high: all terms but one are the same, and that one is below 1e-5 in either case.
    for row in numbers("colour_differences.csv") {
        let (one, other) = (Lab { l: row[0], a: row[1], b: row[2] }, Lab { l: row[3], a: row[4], b: row[5] });
        assert_abs_diff_eq!(one.difference(other), row[6], epsilon = 1e-5);
        assert_abs_diff_eq!(other.difference(one), row[6], epsilon = 1e-5);
    }
}

#[test]
fn lab_of_linear_light() {
    // CIE 15:2018. The library's matrix of sRGB is IEC's with four digits, ours that of the primaries themselves.
    for row in numbers("lab_of_linear.csv") {
        let Lab { l, a, b } = Rgb([row[0], row[1], row[2]]).lab();
        assert_abs_diff_eq!(l, row[3], epsilon = 0.01);
        assert_abs_diff_eq!(a, row[4], epsilon = 0.06);
        assert_abs_diff_eq!(b, row[5], epsilon = 0.06);
    }
}

#[test]
fn films_on_a_ground() {
    // Kubelka 1948, in hyperbolic form; layers over one another: Kubelka 1954.
    for row in numbers("films.csv") {
        let film = Film { absorption: grey(row[0]), scatter: grey(row[1]) };
        let layer = film.layer(row[2]);
        assert_relative_eq!(layer.over(grey(row[3])).0[0], row[4], max_relative = 1e-9);
        assert_abs_diff_eq!(layer.back.0[0], row[5], epsilon = 1e-9);
        assert_relative_eq!(layer.through.0[0], row[6], max_relative = 1e-9);
    }
    // Two layers, worked out beforehand: R₁₂ and T₁₂.
    let (one, other) = (Layer { back: grey(0.05), through: grey(0.8) }, Layer { back: grey(0.15), through: grey(0.7) });
    assert_abs_diff_eq!(one.on(&other).back.0[0], 0.146_725, epsilon = 5e-7);
    assert_abs_diff_eq!(one.on(&other).through.0[0], 0.564_232, epsilon = 5e-7);
    for (back, through, ground, seen) in [
        (0.05, 0.8, 0.85, 0.618_146),
        (0.15, 0.7, 0.85, 0.627_364),
        (0.15, 0.7, 0.04, 0.169_718),
        (0.3, 0.5, 0.9, 0.608_219),
        (0.0, 0.9, 0.85, 0.688_5),
    ] {
        assert_abs_diff_eq!(Layer { back: grey(back), through: grey(through) }.over(grey(ground)).0[0], seen, epsilon = 5e-7);
    }
}

#[test]
fn plates_over_one_another() {
    // Demichel 1924, Neugebauer 1937, Viggiano 1985.
    for row in rows("overprints.csv") {
        let list = |cell: &str| cell.split(' ').map(|number| number.parse().unwrap()).collect::<Vec<f64>>();
        let [n, ground, expected] = [2, 3, 4].map(|i| row[i].parse::<f64>().unwrap());
        let plates: Vec<Inking> = list(&row[0])
            .iter()
            .zip(list(&row[1]))
            .map(|(&lands, density)| {
                let film = Film { absorption: grey(density * std::f64::consts::LN_10 / 2.0), scatter: grey(0.0) };
                Inking::new(Tint { lands, film: 1.0, veil: 0.0 }, &film, 1.0)
            })
            .collect();
        assert_relative_eq!(Meeting::of(grey(ground), &plates, n).mean.0[0], expected, max_relative = 1e-9);
    }
}

#[test]
fn lamps() {
    for row in rows("lamps.csv") {
        let lamp = match row[0].as_str() {
            "D65" => Lamp::Daylight,
            "D50" => Lamp::Booth,
            _ => Lamp::Warm,
        };
        let channel = "RGB".find(row[1].as_str()).unwrap();
        for by_day in 0..3 {
            // A half of each channel and a little of one, so that nothing is cut off at 0.
            let mut colour = grey(0.5);
            colour.0[by_day] += 0.1;
            let weight: f64 = row[2 + by_day].parse().unwrap();
            assert_abs_diff_eq!(lamp.shows(colour).0[channel], 0.5 + 0.1 * weight, epsilon = 1e-5);
        }
    }
}
