use super::*;
use crate::film::Film;
use crate::grain::GrainSettings;
use crate::light::{Density, Encoded, Lightness, Reflectance};
use crate::outline::Outlines;
use crate::overprint::{Inking, Meeting};
use crate::proof::{self, Films, PitModel};
use crate::stopouts::{HandSpeed, StopOuts};
use crate::tones::{StepMap, ToneCount};
use crate::units::Seconds;
use approx::assert_abs_diff_eq;

/// Totals of ten tones, and a made-up strip's lightness at a total.
const TOTALS: [f64; 10] = [0.0, 7.5, 15.4, 26.4, 42.1, 64.5, 99.1, 155.5, 266.0, 561.5];

fn lightness(total: Seconds) -> Lightness {
    Lightness(20.0 + 71.0 / (1.0 + total.0 / 60.0))
}

pub(super) fn tones(seed: u64) -> ProofTones {
    let grain = Grain::new(GrainSettings { seed, ..GrainSettings::default() }).unwrap();
    let totals = TOTALS.map(Seconds);
    ProofTones::new(&totals, Lightness(91.0), lightness, &grain, PitModel::default()).unwrap()
}

pub(super) fn plate(seed: u64, map: Plane<u8>) -> Plate {
    Plate::new(map, PxPerMm(10.0), &tones(seed))
}

pub(super) fn alone<'a>(plate: &'a Plate, inks: &'a Inks) -> Printing<'a> {
    Printing { plate, inks, trap: 1.0, misfit: Misfit::default(), veil: 0.0 }
}

pub(super) fn window(x: f64, y: f64, px_per_mm: f64, side: usize) -> Window {
    Window::new(PointMm { x, y }, px_per_mm, side, side).unwrap()
}

pub(super) fn pulled<'a>(grounds: &'a Grounds, printings: &'a [Printing<'a>]) -> Pull<'a> {
    Pull { face: (Millimetres(32.0), Millimetres(32.0)), grounds, printings, n: 1.8 }
}

/// What meets under a window, with grain.
fn joint(pull: &Pull<'_>, at: &Window) -> Joint {
    let grains = grains(pull, at, &mut |_| {});
    let seen = |(p, one)| Rc::new(shares(one, pull.apart(p), grains[p].as_ref(), at, &mut |_| {}));
    Joint::of(pull, &pull.printings().iter().enumerate().map(seen).collect::<Vec<_>>(), at)
}

/// As sRGB bytes, in mean colours.
pub(super) fn flat_bytes(pull: &Pull<'_>, at: &Window, lamp: Lamp) -> Plane<[u8; 3]> {
    flat_shown(pull, &Joint::bare(pull, at), at, lamp)
}

/// In linear light, with grain.
pub(super) fn grained(pull: &Pull<'_>, at: &Window) -> Plane<[f32; 3]> {
    coloured(pull, &joint(pull, at), at, Lamp::Daylight)
}

pub(super) fn mean(light: &Plane<[f32; 3]>) -> [f64; 3] {
    let sum = light.data().iter().fold([0.0; 3], |sum: [f64; 3], light| std::array::from_fn(|i| sum[i] + f64::from(light[i])));
    sum.map(|sum| sum / light.data().len() as f64)
}

fn stop_outs(map: Plane<u8>) -> StopOuts {
    let map = StepMap::new(ToneCount::new(10).unwrap(), map);
    let outlines = Outlines::of(map.plane(), PxPerMm(10.0));
    StopOuts::of(map, &outlines, PxPerMm(10.0), HandSpeed::default())
}

/// Ten tones in patches of some millimetres with slanted and curved edges.
pub(super) fn patches(side: usize, phase: f64) -> Plane<u8> {
    Plane::from_fn(side, side, |x, y| {
        let (x, y) = (x as f64 / 30.0 + phase, y as f64 / 30.0);
        ((libm::sin(x) + libm::cos(0.7 * y + 0.4 * x)) * 2.4 + 4.9).clamp(0.0, 9.0) as u8
    })
}

/// Inks of this density in each channel.
pub(super) fn ink(density: [f64; 3]) -> Inks {
    Inks::one(Film { absorption: Rgb(density.map(|d| d * std::f64::consts::LN_10 / 2.0)), scatter: Rgb::default() })
}

fn bytes(light: &Plane<[f32; 3]>) -> Vec<[u8; 3]> {
    light.data().iter().map(|rgb| rgb.map(|channel| Reflectance(f64::from(channel)).byte())).collect()
}

fn furthest(one: &[[u8; 3]], other: &[[u8; 3]]) -> u8 {
    one.iter().flatten().zip(other.iter().flatten()).map(|(a, b)| a.abs_diff(*b)).max().unwrap()
}

#[test]
fn a_plate_whose_share_is_of_another_window_is_left_out() {
    let plates = [plate(1, patches(160, 0.0)), plate(2, patches(160, 1.0))];
    let inks = [ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1])];
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let printings = [alone(&plates[0], &inks[0]), alone(&plates[1], &inks[1])];
    let at = |x: f64| Window::new(PointMm { x, y: 2.0 }, 12.0, 60, 60).unwrap();
    let seen = |printing: &Printing<'_>, x: f64| Rc::new(shares(printing, 0, None, &at(x), &mut |_| ()));
    let shown = |pull: &Pull<'_>, seen: &[Rc<Shares>]| shown(pull, &Joint::of(pull, seen, &at(2.0)), &at(2.0), Lamp::Daylight);
    for (missing, there) in [(0, 1), (1, 0)] {
        let mut all = [seen(&printings[0], 2.0), seen(&printings[1], 2.0)];
        all[missing] = seen(&printings[missing], 3.0);
        let one = [printings[there]];
        let alone = shown(&pulled(&grounds, &one), &all[there..=there]);
        assert_eq!(shown(&pulled(&grounds, &printings), &all), alone);
    }
}

#[test]
fn one_plate_in_the_strips_ink_is_the_proof() {
    let (map, tones) = (patches(320, 0.0), tones(1));
    let stop_outs = stop_outs(map.clone());
    let plate = Plate::new(map, PxPerMm(10.0), &tones);
    let inks = Inks::one(tones.ink());
    for (paper, plate_tone, sheet, veil) in [
        (None, 0.0, Rgb::grey(tones.paper()), 0.0),
        // A veil of the strip's ink of density 0.05 is that share of what the full film has more than none.
        (
            Some([236, 230, 216]),
            0.05,
            Rgb::from_bytes([236, 230, 216]),
            0.05 / tones.ink().layer(1.0).through.luminance().density().0 / 2.0,
        ),
    ] {
        let grounds = Grounds::bare(sheet);
        let printings = [Printing { veil, ..alone(&plate, &inks) }];
        let pull = pulled(&grounds, &printings);
        let films = Films { paper, plate_tone: Density(plate_tone) };
        for (x, px_per_mm, side) in [(-1.3, 1.7, 60), (0.0, 4.0, 140), (0.25, 9.99, 200), (3.0, 10.0, 200), (5.0, 31.0, 200)] {
            for at in [window(x, x, px_per_mm, side), window(x, x, px_per_mm, side).mirrored()] {
                let old = proof::flat(&stop_outs, &tones, &films, &at);
                assert!(furthest(old.data(), flat_bytes(&pull, &at, Lamp::Daylight).data()) <= 1, "{px_per_mm}");
                assert!(furthest(old.data(), &bytes(&flat(&pull, &at, Lamp::Daylight))) <= 1, "{px_per_mm}");
                if px_per_mm >= 10.0 {
                    // With the grain too, pixel by pixel.
                    let old = proof::grained(&stop_outs, &tones, &films, &at, &mut |_| {});
                    let new = picture(&pull, &at, Lamp::Daylight, &mut |_| {});
                    assert!(furthest(old.data(), new.data()) <= 1, "{px_per_mm} {}", furthest(old.data(), new.data()));
                }
            }
        }
    }
}

#[test]
fn each_tone_prints_at_the_curves_mean_at_every_zoom() {
    let tones = tones(3);
    let (inks, grounds) = (Inks::one(tones.ink()), Grounds::bare(Rgb::grey(tones.paper())));
    let never = plate(8, Plane::filled(320, 320, 0));
    for (tone, ruled) in tones.tones().iter().enumerate() {
        let plate = Plate::new(Plane::filled(320, 320, tone as u8), PxPerMm(10.0), &tones);
        let one = [alone(&plate, &inks)];
        let two = [alone(&plate, &inks), alone(&never, &inks)];
        for (px_per_mm, side_mm) in [(1.0, 26.0), (2.3, 26.0), (4.0, 26.0), (10.0, 26.0), (40.0, 16.0)] {
            let at = window(3.0, 3.0, px_per_mm, (side_mm * px_per_mm) as usize);
            for printings in [&one[..], &two[..]] {
                let pull = pulled(&grounds, printings);
                let wanted = lightness(ruled.total).0;
                let seen = Reflectance(mean(&grained(&pull, &at))[1]).lightness().0;
                assert_abs_diff_eq!(seen, wanted, epsilon = 0.5);
                assert_abs_diff_eq!(Reflectance(mean(&flat(&pull, &at, Lamp::Daylight))[1]).lightness().0, wanted, epsilon = 0.01);
            }
        }
    }
}

#[test]
fn full_over_full_is_the_product_by_the_trap() {
    // Transparent films: densities add, the later one's by the trap (Preucil 1958, see `overprint`).
    let mut full = plate(1, Plane::filled(50, 50, 1));
    full.tints = vec![Tint { lands: 0.0, film: 1.0, veil: 0.0 }; 2];
    full.undercuts = vec![None; 2];
    // No grain is left, so none shows and all is pit.
    full.undercuts = vec![Some(Millimetres(1.0)); 2];
    let (one, other) = (ink([0.1, 0.4, 0.9]), ink([0.8, 0.3, 0.05]));
    let grounds = Grounds::bare(Rgb([0.8, 0.82, 0.75]));
    for trap in [0.0, 0.6, 1.0] {
        let printings = [Printing { trap, ..alone(&full, &one) }, Printing { trap, ..alone(&full, &other) }];
        let pull = pulled(&grounds, &printings);
        let at = window(1.0, 1.0, 7.0, 20);
        for light in [flat(&pull, &at, Lamp::Daylight), grained(&pull, &at)] {
            for i in 0..3 {
                let density = [0.1, 0.4, 0.9][i] + trap * [0.8, 0.3, 0.05][i];
                assert_abs_diff_eq!(mean(&light)[i], grounds.colours[0].0[i] * f64::powf(10.0, -density), epsilon = 1e-5);
            }
        }
    }
}

#[test]
fn no_misfit_is_exact_and_a_shift_is_a_shift() {
    let (one, other) = (plate(1, patches(320, 0.0)), plate(2, patches(320, 1.0)));
    let (red, blue) = (ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1]));
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let with = |misfit: Misfit, at: &Window, grain: bool| {
        let printings = [Printing { misfit, ..alone(&one, &red) }, Printing { misfit, ..alone(&other, &blue) }];
        let pull = pulled(&grounds, &printings);
        if grain { grained(&pull, at) } else { flat(&pull, at, Lamp::Daylight) }
    };
    for grain in [false, true] {
        for px_per_mm in [3.1, 10.0, 25.0] {
            // Off the map's own lines: on them rounding decides to which side a pixel's middle falls.
            let at = window(2.003, 5.004, px_per_mm, 90);
            let exact = with(Misfit::default(), &at, grain);
            // Both plates moved alike, and the window with them.
            let moved = Misfit { shift: PointMm { x: -1.0, y: 2.0 }, ..Misfit::default() };
            let there = with(moved, &window(1.003, 7.004, px_per_mm, 90), grain);
            let off = exact.data().iter().zip(there.data()).filter(|(a, b)| (a[1] - b[1]).abs() > 0.02).count();
            assert!(off * 200 <= exact.data().len(), "{off} at {px_per_mm}");
            // A whole turn is none.
            let turned = with(Misfit { turn: 360.0, ..Misfit::default() }, &at, grain);
            let off = exact.data().iter().zip(turned.data()).filter(|(a, b)| (a[1] - b[1]).abs() > 0.02).count();
            assert!(off * 100 <= exact.data().len(), "{off} at {px_per_mm} turned");
        }
    }
}

#[test]
fn a_pixel_on_several_tones_of_two_plates_is_their_mean_by_area() {
    // Columns of 0.1 mm and rows of 0.1 mm, black on white, each plate a check on its own axis, the second moved by 0.03 mm: pixels of
    // 0.4 mm hold each pairing by a known area.
    let stripes = |across: bool| Plane::from_fn(400, 400, move |x, y| u8::from((if across { x } else { y }) % 2 == 1));
    let (mut one, mut other) = (plate(1, stripes(true)), plate(2, stripes(false)));
    for plate in [&mut one, &mut other] {
        plate.tints = vec![Tint { lands: 1.0, film: 0.0, veil: 0.0 }, Tint { lands: 0.3, film: 0.8, veil: 0.0 }];
        plate.undercuts = vec![None, Some(Millimetres(0.01))];
    }
    let (red, blue) = (ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1]));
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let met = |a: usize, b: usize| {
        let plates = [Inking::new(one.tints[a], &red.films[0], 1.0), Inking::new(other.tints[b], &blue.films[0], 1.0)];
        Meeting::of(grounds.colours[0], &plates, 1.8).mean
    };
    let wanted: [f64; 3] = std::array::from_fn(|i| (met(0, 0).0[i] + met(0, 1).0[i] + met(1, 0).0[i] + met(1, 1).0[i]) / 4.0);
    for misfit in [Misfit::default(), Misfit { shift: PointMm { x: 3.0, y: 0.03 }, ..Misfit::default() }] {
        let printings = [alone(&one, &red), Printing { misfit, ..alone(&other, &blue) }];
        let pull = pulled(&grounds, &printings);
        for light in flat(&pull, &window(8.0, 8.0, 2.5, 30), Lamp::Daylight).data() {
            for i in 0..3 {
                assert_abs_diff_eq!(f64::from(light[i]), wanted[i], epsilon = 1e-5);
            }
        }
    }
}

#[test]
fn grain_averages_to_the_flat_means() {
    let maps = [patches(320, 0.0), patches(320, 1.0), patches(320, 2.0), patches(320, 3.0)];
    let plates: Vec<Plate> = maps.into_iter().map(|map| plate(1, map)).collect();
    let inks = [ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1]), ink([0.1, 0.15, 1.1]), ink([0.8, 0.8, 0.8])];
    let mut grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    grounds.colours.push(Rgb([0.7, 0.6, 0.3]));
    grounds.map = Some((Plane::from_fn(64, 64, |x, y| u8::from(x * x + y * y < 1000)), PxPerMm(2.0)));
    let misfits = [
        Misfit::default(),
        Misfit { shift: PointMm { x: 0.37, y: -0.52 }, ..Misfit::default() },
        Misfit { growth: (0.01, -0.005), ..Misfit::default() },
        Misfit { turn: 1.5, ..Misfit::default() },
    ];
    let printings: Vec<Printing<'_>> =
        (0..4).map(|p| Printing { trap: 0.8, misfit: misfits[p], veil: 0.02, ..alone(&plates[p], &inks[p]) }).collect();
    let pull = pulled(&grounds, &printings);
    for (px_per_mm, side) in [(1.1, 40), (2.9, 104), (4.0, 144), (10.0, 360), (20.0, 720)] {
        let at = window(-2.0, -2.0, px_per_mm, side);
        let (flat, grained) = (mean(&flat(&pull, &at, Lamp::Daylight)), mean(&grained(&pull, &at)));
        for i in 0..3 {
            // Four plates' grain on 1000 mm²: √(0.06 · 0.006 mm² / 1000 mm²) · contrast of about 0.5, four times: 0.001; edges sampled.
            assert_abs_diff_eq!(flat[i], grained[i], epsilon = 0.002);
        }
    }
}

#[test]
fn a_turned_plate_at_its_maps_own_scale_keeps_its_ink() {
    // Dark lines of two map pixels between bare ones, where no neighbour's grain makes up for what a line loses.
    let lines = Plane::from_fn(320, 320, |x, _| if x / 2 % 2 == 0 { 9 } else { 0 });
    let plate = plate(4, lines);
    let (inks, grounds) = (ink([0.8; 3]), Grounds::bare(Rgb([0.83; 3])));
    for (turn, px_per_mm) in [(1.0, 10.0), (3.0, 10.0), (1.0, 6.1), (0.0, 10.0)] {
        let printings = [Printing { misfit: Misfit { turn, ..Misfit::default() }, ..alone(&plate, &inks) }];
        let pull = pulled(&grounds, &printings);
        let at = window(4.0, 4.0, px_per_mm, (22.0 * px_per_mm) as usize);
        let (flat, grained) = (mean(&flat(&pull, &at, Lamp::Daylight))[0], mean(&grained(&pull, &at))[0]);
        assert_abs_diff_eq!(flat, grained, epsilon = 0.004);
    }
}

#[test]
fn a_plate_of_pits_alone_is_looked_up_as_one_at_every_scale() {
    let mut full = plate(1, Plane::filled(900, 900, 1));
    full.resolution = PxPerMm(40.0);
    full.tints = vec![Tint { lands: 0.0, film: 1.0, veil: 0.0 }; 2];
    full.undercuts = vec![Some(Millimetres(1.0)); 2];
    let pits = Pits::of(&full, 0, &mut |_| {});
    let inks = ink([0.5; 3]);
    for px_per_mm in [40.0, 17.0, 3.0, 1.3, 0.8, 0.64] {
        let at = window(1.0, 1.0, px_per_mm, (20.0 * px_per_mm) as usize);
        assert!(Pits::suit(&full, &at));
        let seen = shares(&alone(&full, &inks), 0, Some(&pits), &at, &mut |_| {});
        assert!(seen.pits.iter().all(|share| *share == seen.full), "{px_per_mm}");
    }
}

#[test]
fn a_pixel_across_the_rim_of_a_face_prints_in_the_ink_that_reaches_it() {
    let plate = plate(1, Plane::filled(320, 320, 9));
    let films = vec![ink([1.2, 0.6, 0.1]).films[0], ink([0.1, 0.9, 1.0]).films[0]];
    let blends = vec![Blend::default(), Blend { one: 1, other: 1, sixteenths: 0 }];
    let zoned = Inks { films: films.clone(), zones: Some(InkMap { blends, map: Plane::filled(32, 32, 1), resolution: PxPerMm(1.0) }) };
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let of = |inks: &Inks| {
        let misfit = Misfit { shift: PointMm { x: 0.37, y: 0.23 }, ..Misfit::default() };
        flat(&pulled(&grounds, &[Printing { misfit, ..alone(&plate, inks) }]), &window(-1.0, -1.0, 2.5, 90), Lamp::Daylight)
    };
    for (zoned, plain) in of(&zoned).data().iter().zip(of(&Inks::one(films[1])).data()) {
        zoned.iter().zip(plain).for_each(|(zoned, plain)| assert_abs_diff_eq!(zoned, plain, epsilon = 1e-5));
    }
}

#[test]
fn without_grain_a_look_with_it_is_the_same_as_one_without() {
    // Also where the plate is drawn under the window and its edges are slivers: a map too coarse to be looked up.
    let mut coarse = plate(2, patches(200, 0.3));
    coarse.resolution = PxPerMm(2.9);
    let inks = ink([0.1, 0.9, 1.0]);
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let printings = [alone(&coarse, &inks)];
    let pull = pulled(&grounds, &printings);
    for px_per_mm in [1.1, 1.9, 2.7] {
        let at = window(2.0, 2.0, px_per_mm, 40);
        assert!(!Pits::suit(&coarse, &at));
        assert_eq!(flat_shown(&pull, &joint(&pull, &at), &at, Lamp::Daylight), flat_bytes(&pull, &at, Lamp::Daylight));
    }
    // And a colour that asks for grain where there is none has all for land.
    let at = window(2.0, 2.0, 2.0, 40);
    assert!(coloured(&pull, &Joint::bare(&pull, &at), &at, Lamp::Daylight).data().iter().all(|light| light[0].is_finite()));
}

#[test]
fn the_face_ends_and_bare_sheet_begins() {
    let plate = plate(1, Plane::filled(320, 320, 9));
    let inks = ink([0.9; 3]);
    let grounds = Grounds { colours: vec![Rgb([0.8; 3]), Rgb([0.5; 3])], map: Some((Plane::filled(32, 32, 1), PxPerMm(1.0))) };
    let printings = [Printing { veil: 0.1, ..alone(&plate, &inks) }];
    let pull = pulled(&grounds, &printings);
    for px_per_mm in [1.0, 4.0, 20.0] {
        let at = window(-3.0, -3.0, px_per_mm, (2.5 * px_per_mm) as usize);
        for light in [flat(&pull, &at, Lamp::Daylight), grained(&pull, &at)] {
            assert!(light.data().iter().all(|light| (light[0] - 0.8).abs() < 1e-6), "{px_per_mm}");
        }
    }
    let empty = pulled(&grounds, &[]);
    assert_eq!(flat(&empty, &window(5.0, 5.0, 3.0, 4), Lamp::Daylight).at(1, 1), [0.5; 3]);
    assert_eq!(picture(&empty, &window(5.0, 5.0, 3.0, 4), Lamp::Daylight, &mut |_| {}).at(1, 1), [Reflectance(0.5).byte(); 3]);
}

#[test]
fn zones_of_ink_and_lamps_colour_what_they_should() {
    let plate = plate(1, Plane::filled(320, 320, 9));
    let films = vec![ink([0.1, 0.9, 1.0]).films[0], ink([1.2, 0.6, 0.1]).films[0]];
    let zones = InkMap {
        blends: vec![Blend::default(), Blend { one: 0, other: 1, sixteenths: 8 }, Blend { one: 0, other: 1, sixteenths: 16 }],
        map: Plane::from_fn(32, 32, |x, _| (x / 11) as u16),
        resolution: PxPerMm(1.0),
    };
    let (zoned, plain) = (Inks { films: films.clone(), zones: Some(zones) }, films.map_to_inks());
    let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
    let shown = |inks: &Inks, x: f64, lamp: Lamp| {
        let printings = [alone(&plate, inks)];
        flat(&pulled(&grounds, &printings), &window(x, 5.0, 4.0, 4), lamp).at(2, 2)
    };
    for lamp in [Lamp::Daylight, Lamp::Warm] {
        assert_eq!(shown(&zoned, 2.0, lamp), shown(&plain[0], 2.0, lamp));
        assert_eq!(shown(&zoned, 28.0, lamp), shown(&plain[1], 28.0, lamp));
        // Half of each: densities are the mean of both, in a transparent ink.
        let half = ink([0.65, 0.75, 0.55]);
        for (a, b) in shown(&zoned, 15.0, lamp).into_iter().zip(shown(&half, 15.0, lamp)) {
            assert_abs_diff_eq!(a, b, epsilon = 1e-5);
        }
    }
    let day = shown(&plain[0], 2.0, Lamp::Daylight);
    let warm = Lamp::Warm.shows(Rgb(day.map(f64::from)));
    for (a, b) in shown(&plain[0], 2.0, Lamp::Warm).into_iter().zip(warm.0) {
        assert_abs_diff_eq!(f64::from(a), b, epsilon = 1e-6);
    }
}

trait MapToInks {
    fn map_to_inks(self) -> Vec<Inks>;
}

impl MapToInks for Vec<Film> {
    fn map_to_inks(self) -> Vec<Inks> {
        self.into_iter().map(Inks::one).collect()
    }
}

#[test]
fn the_same_seed_twice_is_two_grains() {
    let (one, other) = (plate(1, Plane::filled(320, 320, 5)), plate(1, Plane::filled(320, 320, 5)));
    let (red, blue) = (ink([0.0, 1.0, 1.0]), ink([1.0, 0.0, 0.0]));
    let grounds = Grounds::bare(Rgb::WHITE);
    let printings = [alone(&one, &red), alone(&other, &blue)];
    let light = grained(&pulled(&grounds, &printings), &window(2.0, 2.0, 30.0, 300));
    let of = |i: usize| light.data().iter().map(move |l| f64::from(l[i]));
    let (a, b) = (mean(&light)[0], mean(&light)[1]);
    let product: f64 = of(0).zip(of(1)).map(|(x, y)| (x - a) * (y - b)).sum();
    let spread = |i: usize, m: f64| of(i).map(|x| (x - m).powi(2)).sum::<f64>();
    // Yule and Nielsen's light that spreads couples the channels nowhere here: each ink has its own.
    assert!((product / (spread(0, a) * spread(1, b)).sqrt()).abs() < 0.05);
}

#[test]
fn what_is_no_number_harms_nothing() {
    let plate = plate(1, patches(100, 0.0));
    let inks = ink([0.5; 3]);
    let grounds = Grounds::bare(Rgb([0.8; 3]));
    let wild = Misfit { shift: PointMm { x: f64::NAN, y: f64::INFINITY }, growth: (f64::NAN, -5.0), turn: f64::NEG_INFINITY };
    let printings = [Printing { veil: f64::NAN, trap: f64::NAN, misfit: wild, ..alone(&plate, &inks) }; 6];
    let pull = Pull { n: f64::NAN, ..pulled(&grounds, &printings) };
    for px_per_mm in [0.05, 2.0, 30.0] {
        let at = window(-1.0, -1.0, px_per_mm, 20);
        assert!(flat(&pull, &at, Lamp::Booth).data().iter().flatten().all(|l| l.is_finite()));
        assert!(grained(&pull, &at).data().iter().flatten().all(|l| l.is_finite()));
    }
    let nothing = Inks { films: vec![], zones: None };
    let printings = [alone(&plate, &nothing)];
    assert_abs_diff_eq!(flat(&pulled(&grounds, &printings), &window(0.0, 0.0, 4.0, 9), Lamp::Daylight).at(4, 4)[0], 0.8, epsilon = 1e-6);
}

#[test]
fn encoded_bytes_are_those_of_the_formula() {
    // IEC 61966-2-1: a sheet of byte b is shown as b.
    for byte in [0u8, 7, 119, 200, 255] {
        let grounds = Grounds::bare(Rgb([Encoded(f64::from(byte) / 255.0).linear().0; 3]));
        assert_eq!(flat_bytes(&pulled(&grounds, &[]), &window(0.0, 0.0, 4.0, 2), Lamp::Daylight).at(0, 0), [byte; 3]);
    }
}
