use super::*;
use crate::pdf::pdf;
use crate::pulled::tests::Bench;
use crate::sheets::{Job, SheetSet};
use crate::units::Millimetres;
use approx::assert_abs_diff_eq;
use proptest::prelude::*;

fn asked() -> RepairAsked {
    RepairAsked { tolerance: 4.0, mark: Mark::new(Millimetres(2.0)).unwrap(), tones: 3, metal_alone: true }
}

/// A proof whose tones print as planned, but for a disc of tone 3 in the middle that is `by` L* off.
fn proof(bench: &Bench, by: f64, film: f64) -> Pulled {
    let (place, size) = Bench::straight();
    let (drawing, corners) = bench.photo(place, size, 93.0, |tone, [x, y]| {
        let spot = (x - 35.0).hypot(y - 25.0) < 6.0 && tone == 3;
        let l = Lightness(bench.targets[tone].0 + if spot { by } else { 0.0 });
        crate::light::Density(l.reflectance().density().0 + film).reflectance().lightness().0
    });
    bench.read(&drawing, Some(corners))
}

#[test]
fn a_light_place_is_grained_again_and_a_dark_one_burnished() {
    let bench = Bench::new();
    for (by, kind) in [(12.0, DARKER), (-12.0, LIGHTER)] {
        let off = off_target(&proof(&bench, by, 0.0), &asked()).unwrap();
        let pieces = if kind == DARKER { &off.wishes.darker } else { &off.wishes.lighter };
        let others = if kind == DARKER { &off.wishes.lighter } else { &off.wishes.darker };
        assert_eq!((pieces.len(), others.len()), (1, 0), "{by}: {:?}", off.wishes);
        let p = pieces[0].at;
        assert!((p.x - 35.0).hypot(p.y - 25.0) < 4.0, "{p:?}");
        // The disc's part in tone 3: a band 10 mm wide, with the disc's middle in the middle of it, has 102 of its 113 mm².
        assert_abs_diff_eq!(pieces[0].area_mm2, 104.0, epsilon = 22.0);
        let (mean, most) = off.how_far(kind).unwrap();
        assert!((7.0..13.5).contains(&mean) && most < 14.0, "{mean} {most}");
    }
}

#[test]
fn a_film_of_wiping_is_no_reason_to_burnish() {
    let bench = Bench::new();
    let dirty = proof(&bench, 0.0, 0.12);
    let off = off_target(&dirty, &asked()).unwrap();
    assert!(off.wishes.is_none(), "{:?}", off.wishes);
    let all = off_target(&dirty, &RepairAsked { metal_alone: false, ..asked() }).unwrap();
    assert!(all.wishes.lighter_share > 0.2, "{:?}", all.wishes.lighter_share);
}

#[test]
fn the_second_plan_bites_what_is_light_and_stops_out_the_rest() {
    let bench = Bench::new();
    let pulled = proof(&bench, 14.0, 0.0);
    let off = off_target(&pulled, &asked()).unwrap();
    let strip = TestStrip::example();
    let second = second_plan(&off, &pulled, &asked(), (&strip, &bench.curve), HandSpeed::default()).unwrap().unwrap();
    let map = second.stop_outs.map().plane();
    // Bitten only where it is too light; everything else lies under stop-out 1.
    for (tone, wish) in map.data().iter().zip(off.map.data()) {
        assert!(*tone == 0 || *wish == DARKER);
    }
    let bitten = map.data().iter().filter(|&&t| t > 0).count() as f64;
    let light = off.map.data().iter().filter(|&&t| t == DARKER).count() as f64;
    assert!(bitten > 0.8 * light, "{bitten} of {light}");
    assert!(second.bites.tones[1].total.0 > 1.0);
    let settings = sheet_settings(SheetSettings { title: "Plate B".to_owned(), ..SheetSettings::default() }, &off, true);
    assert_eq!(settings.title, "REPAIR: Plate B");
    let sheets = SheetSet::of(Job {
        stop_outs: &second.stop_outs,
        outlines: &second.outlines,
        bites: &second.bites,
        plate: &bench.plate,
        lines: None,
        settings: &settings,
    })
    .draw(&mut |_| ());
    assert!(sheets.sheets.len() >= 4, "{}", sheets.sheets.len());
    assert!(pdf(&sheets).starts_with(b"%PDF"));
    // What would not be darker than paper has no plan.
    let none = off_target(&proof(&bench, -12.0, 0.0), &asked()).unwrap();
    assert!(second_plan(&none, &pulled, &asked(), (&strip, &bench.curve), HandSpeed::default()).unwrap().is_none());
}

#[test]
fn what_can_not_be_asked_is_refused_in_a_sentence() {
    let bench = Bench::new();
    let pulled = proof(&bench, 12.0, 0.0);
    let off = off_target(&pulled, &asked()).unwrap();
    let strip = TestStrip::example();
    let mut said = Vec::new();
    for tolerance in [0.5, f64::NAN, 31.0] {
        said.push(off_target(&pulled, &RepairAsked { tolerance, ..asked() }).unwrap_err().to_string());
    }
    for tones in [0, 1, 7] {
        let wrong = RepairAsked { tones, ..asked() };
        said.push(second_plan(&off, &pulled, &wrong, (&strip, &bench.curve), HandSpeed::default()).unwrap_err().to_string());
    }
    let mut blind = pulled;
    blind.blind = Some(crate::pulled::Blind::Dim);
    said.push(off_target(&blind, &asked()).unwrap_err().to_string());
    assert!(said.iter().all(|s| s.ends_with('.') && s.len() > 30), "{said:?}");
}

proptest! {
    #[test]
    fn two_independent_grains_come_to_the_target(there in 22.0..90.0f64, share in 0.0..1.0f64) {
        // The second tone alone has so many lands, the first so many, and both together their product: put together again here.
        let curve = BiteCurve::of(&TestStrip::example());
        let target = 21.0 + share * (there - 21.0);
        let second = second_tone(Lightness(there), Lightness(target), &curve);
        let root = |l: f64| libm::pow(Lightness(l).reflectance().0, 1.0 / 1.8);
        let (paper, ink) = (root(91.0), root(16.0f64.min(20.5)).min(root(16.0)) );
        let ink = libm::pow(libm::pow(ink, 1.8) * 0.98, 1.0 / 1.8);
        let g = |l: f64| (root(l) - ink) / (paper - ink);
        prop_assert!(second.0 >= target - 1e-6 && second.0 <= 91.0 + 1e-6);
        prop_assert!((g(second.0) * g(there) - g(target)).abs() < 1e-6);
    }
}
