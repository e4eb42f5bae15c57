//! What another bite gives and what a slip does, against SciPy, OpenCV, scikit-image and the judge of clean-up: tables and script in this folder.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use approx::{assert_abs_diff_eq, assert_relative_eq};
use std::path::Path;
use stepbite_core::bites::{BitePlan, plan, targets};
use stepbite_core::blur::gaussian;
use stepbite_core::curve::BiteCurve;
use stepbite_core::drawing::Ends;
use stepbite_core::fusing::Scatter;
use stepbite_core::light::{Encoded, LUMINANCE_WEIGHTS, Lightness, Reflectance};
use stepbite_core::plane::Plane;
use stepbite_core::regions::Mark;
use stepbite_core::seen::{Eye, Seen, stored};
use stepbite_core::smoothing::Smoothing;
use stepbite_core::strip::{Reading, StripKind, TestStrip};
use stepbite_core::tones::{self, StepMap, Targets, ToneCount};
use stepbite_core::units::{PxPerMm, Seconds};
use stepbite_core::what_if::what_if;
use stepbite_core::worth::{Cut, Preview};
use stepbite_tests::{numbers, rows};

const ENDS: Ends = Ends { paper: Lightness(90.0), black: Lightness(12.0) };
const PAPER: f64 = 91.0;
const DARKEST: f64 = 21.5;

#[test]
fn the_chance_of_fusing_is_scipys_normal_law() {
    for row in numbers("fusing.csv") {
        // Both give about 1e-16 of rounding; the least chance in the table is 1e-12, and many are 0.
        assert_abs_diff_eq!(Scatter::new(row[0]).unwrap().fusing(row[1]), row[2], epsilon = 1e-12);
    }
}

/// A demo drawing, L* a pixel, without placing.
fn demo(name: &str) -> Plane<f32> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo").join(format!("{name}.png"));
    let picture = image::open(path).unwrap().to_rgb8();
    let linear: Vec<f64> = (0..256).map(|v| Encoded(f64::from(v) / 255.0).linear().0).collect();
    let lightness = |p: &image::Rgb<u8>| {
        let y = p.0.iter().zip(LUMINANCE_WEIGHTS).map(|(&v, weight)| linear[usize::from(v)] * weight).sum();
        Reflectance(y).lightness().0 as f32
    };
    Plane::new(picture.width() as usize, picture.height() as usize, picture.pixels().map(lightness).collect()).unwrap()
}

fn prints(tones: usize) -> Vec<Lightness> {
    (0..tones).map(|k| Lightness(PAPER + (DARKEST - PAPER) * k as f64 / (tones - 1) as f64)).collect()
}

/// The drawing on the print's range, and its print with even tones, as seen.
fn views(drawing: &Plane<f32>, eye: &Eye, tones: usize) -> (Seen, Seen, StepMap) {
    let share = |l: f32| ((ENDS.paper.0 - f64::from(l)) / (ENDS.paper.0 - ENDS.black.0)).clamp(0.0, 1.0);
    let drawn = eye.sees(&drawing.map(|&l| stored(Lightness(PAPER + (DARKEST - PAPER) * share(l)).reflectance())));
    let count = ToneCount::new(tones as i64).unwrap();
    let map = tones::quantise(drawing, &tones::even(count, ENDS).unwrap());
    (drawn, eye.sees_print(&map, &prints(tones)), map)
}

/// The judge's figure: each tone at its mean, both blurred in L* at 0.35 mm.
fn judged(drawing: &Plane<f32>, map: &StepMap, px_per_mm: f64) -> f64 {
    let mut sums = vec![(0.0, 0.0); map.tones().get()];
    for (&l, &tone) in drawing.data().iter().zip(map.plane().data()) {
        let (sum, count) = &mut sums[usize::from(tone)];
        *sum += f64::from(l);
        *count += 1.0;
    }
    let stored = |l: f64| (l * 655.35 + 0.5) as u16;
    let made = map.plane().map(|&tone| stored(sums[usize::from(tone)].0 / sums[usize::from(tone)].1));
    let sigma = 0.35 * px_per_mm;
    let (made, drawn) = (gaussian(&made, sigma), gaussian(&drawing.map(|&l| stored(f64::from(l))), sigma));
    let squares: f64 = made.data().iter().zip(drawn.data()).map(|(&a, &b)| f64::from(a.abs_diff(b)).powi(2)).sum();
    (squares / made.data().len() as f64).sqrt() / 655.35
}

#[test]
fn prints_are_seen_as_opencv_and_the_judge_see_them() {
    for name in ["gantry", "slipway"] {
        let drawing = demo(name);
        for row in rows("seen.csv").iter().filter(|row| row[0] == name) {
            let cell = |i: usize| row[i].parse::<f64>().unwrap();
            let (px_per_mm, tones) = (cell(1), cell(2) as usize);
            let eye = Eye::new(PxPerMm(px_per_mm));
            let (drawn, print, map) = views(&drawing, &eye, tones);
            // Two hundredths: three boxes stand in for the Gaussian, and a picture's border repeats here where OpenCV mirrors it.
            assert_relative_eq!(print.apart(&drawn), cell(3), max_relative = 0.02);
            assert_relative_eq!(judged(&drawing, &map, px_per_mm), cell(7), max_relative = 0.02);
            if tones > 2 {
                let shares = views(&drawing, &eye, tones - 1).1.shares(&print, &drawn);
                for (share, expected) in [(shares.changed, cell(4)), (shares.nearer, cell(5)), (shares.farther, cell(6))] {
                    // A hundredth of the face: where a smooth passage lies on the very limit of what is noticed.
                    assert_abs_diff_eq!(share, expected, epsilon = 0.01);
                }
            }
        }
    }
}

#[test]
fn a_small_face_stands_for_the_large_one() {
    // The whole cleaned map at 12 and 9 px/mm beside the one that is reduced to 0.4 megapixels: what the printer is told must not hang on it.
    for (name, px_per_mm) in [("gantry", 12.0), ("slipway", 9.0)] {
        let drawing = demo(name);
        let by = Some((Mark::default(), Smoothing::default()));
        let small = Preview::of(&drawing, PxPerMm(px_per_mm), by);
        let softened = stepbite_core::regions::Softened::of(&drawing, PxPerMm(px_per_mm), Mark::default(), Smoothing::default());
        let laid = small.laid(ENDS, Lightness(PAPER), Lightness(DARKEST));
        let eye = Eye::new(PxPerMm(px_per_mm));
        let mut before: Option<(Seen, Seen)> = None;
        for tones in [4, 5, 9, 10, 15, 16] {
            let breaks = tones::even(ToneCount::new(tones as i64).unwrap(), ENDS).unwrap();
            let cut = Cut::of(&small, &breaks);
            let print = small.eye().sees_print(cut.map(), &prints(tones));
            let map = stepbite_core::regions::paintable(&softened, &breaks);
            let outlines = stepbite_core::outline::Outlines::of(map.plane(), PxPerMm(px_per_mm));
            let edge: f64 = outlines.edge_mm(map.tones()).iter().sum::<f64>() / 10.0;
            let (drawn, ..) = views(&drawing, &eye, tones);
            let whole = eye.sees_print(&map, &prints(tones));
            let (small_error, whole_error) = (print.apart(&laid), whole.apart(&drawn));
            println!("{name} {tones} tones: error {small_error:.2} ({whole_error:.2}), edge {:.0} ({edge:.0}) cm", cut.edge_cm());
            if let Some((small_before, whole_before)) = before.take().filter(|_| tones % 5 == 0 || tones == 16) {
                let (small, whole) = (small_before.shares(&print, &laid), whole_before.shares(&whole, &drawn));
                println!("  nearer {:.3} ({:.3}), farther {:.3} ({:.3})", small.nearer, whole.nearer, small.farther, whole.farther);
                assert_abs_diff_eq!(small.nearer, whole.nearer, epsilon = 0.01);
                assert_abs_diff_eq!(small.farther, whole.farther, epsilon = 0.01);
            }
            assert_abs_diff_eq!(small_error, whole_error, epsilon = 0.25);
            assert_relative_eq!(cut.edge_cm(), edge, max_relative = 0.06);
            before = Some((print, whole));
        }
    }
}

/// The ladder of a demo strip's rising part.
fn ladder(id: &str, tones: i64) -> (BitePlan, BiteCurve) {
    let strip = if id == "15-a" {
        TestStrip::example()
    } else {
        // The bands after 320 s are over-bitten.
        let bands = numbers(&format!("strips/strip-{id}.csv"));
        let rising =
            bands.iter().filter(|band| band[0] <= 320.0).map(|band| Reading { total: Seconds(band[0]), lightness: Lightness(band[1]) });
        TestStrip::new(id, StripKind::Measured, rising.collect()).unwrap()
    };
    let curve = BiteCurve::of(&strip);
    let targets = targets(ToneCount::new(tones).unwrap(), &curve, Targets::RESERVE).unwrap();
    (plan(&targets, &curve, &strip).unwrap(), curve)
}

#[test]
fn a_slip_moves_the_tones_as_scipy_says() {
    for row in rows("what_if.csv") {
        let (tones, bite, off) = (row[1].parse().unwrap(), row[2].parse::<usize>().unwrap(), row[3].parse::<f64>().unwrap());
        let list = |text: &str| text.split_whitespace().map(|cell| cell.parse().unwrap()).collect::<Vec<f64>>();
        let (bites, curve) = ladder(&row[0], tones);
        let what = what_if(&bites, &curve, bite, Seconds(off)).unwrap();
        for (moved, expected) in what.tones[bite..].iter().zip(list(&row[4])) {
            assert_abs_diff_eq!(moved.prints.0, expected, epsilon = 1e-9);
        }
        let respaced: Vec<f64> = what.respaced.iter().flat_map(|way| &way.rungs).map(|rung| rung.bite.0).collect();
        assert_eq!(respaced.len(), list(&row[5]).len(), "{row:?}");
        for (bite, expected) in respaced.iter().zip(list(&row[5])) {
            assert_abs_diff_eq!(*bite, expected, epsilon = 1e-6);
        }
    }
}
