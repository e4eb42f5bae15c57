//! What the grains of plates over one another look like together, held to what stochastic geometry says of them.

use super::tests::{alone, grained, ink, plate, pulled, window};
use super::*;
use crate::grain::GrainSettings;
use crate::grain::raster::tests::greatest_peak;
use approx::assert_abs_diff_eq;

/// A plate of one tone, of equal grains of radius `radius` that cover `cover`, unbitten but inked: a point is pit or land at full contrast.
fn discs(seed: u64, radius: f64, cover: f64) -> Plate {
    let settings = GrainSettings { cover, median_radius: Millimetres(radius), sigma: 0.0, seed };
    Plate {
        map: Plane::filled(600, 600, 1),
        resolution: PxPerMm(10.0),
        tints: vec![Tint { lands: cover, film: 1.0, veil: 0.0 }; 2],
        undercuts: vec![Some(Millimetres(0.0)); 2],
        grain: Grain::new(settings).unwrap(),
    }
}

fn channel(light: &Plane<[f32; 3]>) -> Vec<f64> {
    light.data().iter().map(|light| f64::from(light[1])).collect()
}

fn average(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    values.sum::<f64>() / count
}

#[test]
fn flat_tones_over_one_another_have_no_period() {
    // Limit: peak/median below 6 (our own requirement; the statistic is `greatest_peak`'s). Plates a little larger or turned would show
    // moiré if anything in them were periodic.
    let plates: Vec<Plate> = [5u8, 3, 7, 4].map(|tone| plate(u64::from(tone), Plane::filled(1700, 1700, tone))).to_vec();
    let inks = [ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1]), ink([0.1, 0.35, 1.1]), ink([0.8, 0.8, 0.8])];
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let misfits = [
        Misfit::default(),
        Misfit { shift: PointMm { x: 0.2, y: 0.1 }, ..Misfit::default() },
        Misfit { growth: (0.01, 0.004), ..Misfit::default() },
        Misfit { turn: 0.6, ..Misfit::default() },
    ];
    let printings: Vec<Printing<'_>> = (0..4).map(|p| Printing { misfit: misfits[p], trap: 0.8, ..alone(&plates[p], &inks[p]) }).collect();
    for count in [2, 4] {
        for px_per_mm in [2.5, 4.0, 10.0, 40.0] {
            let light = grained(&pulled(&grounds, &printings[..count]), &window(4.0, 4.0, px_per_mm, 384));
            let peak = greatest_peak(&channel(&light), 384);
            assert!(peak < 6.0, "{peak} with {count} plates at {px_per_mm} px/mm");
        }
    }
}

#[test]
fn grain_that_is_looked_up_is_as_strong_as_grain_that_is_drawn() {
    // Light of one tone at scales between the map's pixels and several of them, upright, a little larger, and turned: its spread from
    // pixel to pixel by the grain on the plate's own raster, and disc by disc under the window, which other tests hold to the model.
    let plate = plate(5, Plane::filled(600, 600, 5));
    let (inks, grounds) = (ink([0.8; 3]), Grounds::bare(Rgb::WHITE));
    let pits = Pits::of(&plate, 0, &mut |_| {});
    for (growth, turn) in [((0.0, 0.0), 0.0), ((0.004, -0.003), 0.0), ((0.0, 0.0), 2.0)] {
        let misfit = Misfit { growth, turn, shift: PointMm { x: 0.03, y: 0.07 } };
        let printings = [Printing { misfit, ..alone(&plate, &inks) }];
        let pull = pulled(&grounds, &printings);
        for px_per_mm in [3.1, 4.0, 5.3, 7.7, 9.99, 10.0] {
            let at = window(6.0, 6.0, px_per_mm, (46.0 * px_per_mm) as usize);
            let [(drawn, by), (looked, up)] = [None, Some(&pits)].map(|pits| {
                let seen = [Rc::new(shares(&printings[0], 0, pits, &at, &mut |_| {}))];
                let light = channel(&coloured(&pull, &Joint::of(&pull, &seen, &at), &at, Lamp::Daylight));
                let mean = average(light.iter().copied());
                (mean, average(light.iter().map(|light| (light - mean).powi(2))).sqrt())
            });
            assert_abs_diff_eq!(drawn, looked, epsilon = 0.003);
            assert!((0.88..1.12).contains(&(up / by)), "{px_per_mm} px/mm, {growth:?}, {turn}°: {up} and {by}");
        }
    }
}

#[test]
fn two_grains_have_the_covariance_of_two_boolean_models_at_every_zoom() {
    // One Boolean model of discs of radius r, cover p: covariance at distance h of being covered is (1−p)² (exp(λ γ(h)) − 1), γ the common
    // area of two discs (Chiu, Stoyan, Kendall, Mecke 2013, ch. 3). Light is a product of two independent ones, sheet · t₁ or 1 · t₂ or 1
    // with n = 1, so its covariance is (C₁ + m₁²)(C₂ + m₂²) − m₁² m₂².
    let (radii, covers, densities) = ([0.06, 0.045], [0.5, 0.4], [0.7, 0.5]);
    let plates = [discs(1, radii[0], covers[0]), discs(1, radii[1], covers[1])];
    let inks = densities.map(|d| ink([d; 3]));
    let grounds = Grounds::bare(Rgb([1.0; 3]));
    let printings =
        [alone(&plates[0], &inks[0]), Printing { misfit: Misfit { turn: 20.0, ..Misfit::default() }, ..alone(&plates[1], &inks[1]) }];
    let pull = Pull { n: 1.0, ..pulled(&grounds, &printings) };
    let own = |i: usize, h: f64| {
        let (r, p, t) = (radii[i], covers[i], f64::powf(10.0, -densities[i]));
        let common = if h < 2.0 * r { 2.0 * r * r * f64::acos(h / (2.0 * r)) - h / 2.0 * (4.0 * r * r - h * h).sqrt() } else { 0.0 };
        let covariance = (1.0 - t).powi(2) * (1.0 - p).powi(2) * f64::exp_m1(plates[i].grain.intensity() * common);
        (covariance, p + (1.0 - p) * t)
    };
    let exact = |h: f64| {
        let ((c1, m1), (c2, m2)) = (own(0, h), own(1, h));
        (c1 + m1 * m1) * (c2 + m2 * m2) - m1 * m1 * m2 * m2
    };
    let middle = own(0, 0.0).1 * own(1, 0.0).1;
    let mut lengths = vec![];
    for px_per_mm in [20.0, 40.0, 80.0] {
        let side = 800;
        let seen = channel(&grained(&pull, &window(5.0, 7.0, px_per_mm, side)));
        let own_mean = average(seen.iter().copied());
        // Over 100 mm² at the closest; grains of these sizes go together within about 0.02 mm².
        assert_abs_diff_eq!(own_mean, middle, epsilon = 4.0 * (exact(0.0) * 0.02 / (side as f64 / px_per_mm).powi(2)).sqrt());
        let covariance = |lag: usize| {
            let pairs: Vec<f64> =
                (0..side * side).filter(|i| i % side + lag < side).map(|i| (seen[i] - own_mean) * (seen[i + lag] - own_mean)).collect();
            average(pairs.into_iter())
        };
        for h in [0.05, 0.1, 0.15] {
            // A pixel's own averaging, 50 µm at the coarsest, takes some of the contrast.
            assert_abs_diff_eq!(covariance((h * px_per_mm).round() as usize), exact(h), epsilon = 0.06 * exact(0.0));
        }
        // Where half of the covariance at 0.05 mm would be left if it fell as it does from there to 0.1 mm, in mm.
        let length = |near: f64, far: f64| 0.05 + 0.05 * std::f64::consts::LN_2 / (near / far).ln();
        let at = |h: f64| covariance((h * px_per_mm).round() as usize);
        lengths.push((length(at(0.05), at(0.1)), length(exact(0.05), exact(0.1))));
    }
    for (length, wanted) in &lengths {
        assert_abs_diff_eq!(*length, *wanted, epsilon = 0.1 * wanted);
        assert_abs_diff_eq!(*length, lengths[0].0, epsilon = 0.1 * wanted);
    }
}

#[test]
fn discs_thrown_by_another_hand_print_the_same_mean() {
    // Monte-Carlo without the grain's own code: discs thrown on each plate by a plain generator, the primaries looked up point by point.
    let (radii, covers) = ([0.06, 0.045, 0.05], [0.5, 0.3, 0.6]);
    let plates: Vec<Plate> = (0..3).map(|i| discs(1, radii[i], covers[i])).collect();
    let inks = [ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1]), ink([0.1, 0.35, 1.1])];
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let printings: Vec<Printing<'_>> = (0..3).map(|p| Printing { trap: 0.7, ..alone(&plates[p], &inks[p]) }).collect();
    let pull = pulled(&grounds, &printings);
    let inkings: Vec<crate::overprint::Inking> =
        (0..3).map(|p| crate::overprint::Inking::new(plates[p].tints[1], &inks[p].films[0], 0.7)).collect();
    let met = crate::overprint::Meeting::of(grounds.colours[0], &inkings, pull.n);
    let mut state = 12_345u64;
    let mut chance = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    let (side, points) = (12.0, 60_000);
    let thrown: Vec<Vec<(f64, f64)>> = (0..3)
        .map(|i| {
            let count = (plates[i].grain.intensity() * (side + 0.2) * (side + 0.2)) as usize;
            (0..count).map(|_| (chance() * (side + 0.2) - 0.1, chance() * (side + 0.2) - 0.1)).collect()
        })
        .collect();
    // Discs by squares of 0.1 mm, so that a point asks its neighbours only.
    let square = |x: f64, y: f64| ((y / 0.1 + 2.0) as usize) * 130 + (x / 0.1 + 2.0) as usize;
    let near: Vec<Vec<Vec<(f64, f64)>>> = thrown
        .iter()
        .map(|discs| {
            let mut squares = vec![vec![]; 130 * 130];
            discs.iter().for_each(|&(x, y)| squares[square(x, y)].push((x, y)));
            squares
        })
        .collect();
    let mut sum = [0.0; 3];
    for _ in 0..points {
        let (x, y) = (chance() * side, chance() * side);
        let subset = (0..3).fold(0, |subset, i| {
            let here = square(x, y);
            let covered = [-131i64, -130, -129, -1, 0, 1, 129, 130, 131]
                .iter()
                .any(|step| near[i][(here as i64 + step) as usize].iter().any(|(u, v)| (u - x).hypot(v - y) < radii[i]));
            subset | usize::from(!covered) << i
        });
        for (sum, light) in sum.iter_mut().zip(met.primaries[subset].0) {
            *sum += light / f64::from(points);
        }
    }
    let light = grained(&pull, &window(5.0, 5.0, 12.0, 360));
    for i in 0..3 {
        // Spread of the thrown mean: contrast of about 0.2 over √(60 000) points and over √(144 mm² / 0.02 mm²) grains: 0.0025.
        let rendered = average(light.data().iter().map(|light| f64::from(light[i])));
        assert_abs_diff_eq!(rendered, sum[i], epsilon = 0.01);
        assert_abs_diff_eq!(rendered, met.mean.0[i], epsilon = 0.006);
    }
}
