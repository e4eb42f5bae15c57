//! The curve and the ladders of times against SciPy's: `PchipInterpolator` and `brentq`, tables and scripts in this folder.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use stepbite_core::bites::plan;
use stepbite_core::curve::BiteCurve;
use stepbite_core::light::Lightness;
use stepbite_core::pchip::Pchip;
use stepbite_core::strip::{Reading, StripError, StripKind, TestStrip};
use stepbite_core::tones::{Targets, ToneCount};
use stepbite_core::units::Seconds;

fn read(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("reference/data").join(name);
    fs::read_to_string(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()))
}

/// The rows of a table: notes and column names left out, first column and numbers of the others.
fn rows(name: &str) -> Vec<(String, Vec<f64>)> {
    let text = read(name);
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines
        .map(|line| {
            let mut cells = line.split(',');
            let key = cells.next().unwrap_or_default().to_owned();
            (key, cells.map(|cell| cell.parse().expect("cells are numbers")).collect())
        })
        .collect()
}

/// A demo strip up to its darkest reading, from its strip file.
fn rising_strip(id: &str) -> TestStrip {
    let text = read(&format!("strips/strip-{id}.csv"));
    match TestStrip::from_csv(id, &text) {
        Err(StripError::Disagree { over_bitten_after: Some(darkest), .. }) => {
            let within = |line: &&str| line.split(',').next().and_then(|s| s.parse::<f64>().ok()).is_none_or(|s| s <= darkest.total.0);
            let rising: Vec<&str> = text.lines().filter(within).collect();
            TestStrip::from_csv(id, &rising.join("\n")).expect("the bands up to the darkest darken")
        }
        strip => strip.expect("a demo strip reads"),
    }
}

#[test]
fn the_cubic_is_scipys() {
    let mut knots: BTreeMap<String, (Vec<f64>, Vec<f64>)> = BTreeMap::new();
    for (set, row) in rows("pchip_knots.csv") {
        let (x, y) = knots.entry(set).or_default();
        x.push(row[0]);
        y.push(row[1]);
    }
    assert_eq!(knots.len(), 13, "two strips and eleven awkward sets");
    let curves: BTreeMap<String, Pchip> = knots.into_iter().map(|(set, (x, y))| (set, Pchip::new(x, y).unwrap())).collect();
    let values = rows("pchip.csv");
    assert!(values.len() > 600, "{} values", values.len());
    let mut worst: f64 = 0.0;
    for (set, row) in values {
        let value = curves[&set].at(row[0]);
        // The set falls by 1e-9 between knots: held to a ten-thousandth of that, some ten roundings of its values.
        let allowed = if set == "tiny_drop" { 1e-13 } else { 1e-9 * row[1].abs() };
        assert!((value - row[1]).abs() <= allowed, "{set} at {}: {value}, SciPy {}", row[0], row[1]);
        worst = worst.max((value - row[1]).abs() / row[1].abs());
    }
    println!("largest relative difference from SciPy: {worst:e}");
}

#[test]
fn the_curve_of_a_strip_is_scipys() {
    for (id, set) in [("14-b", "strip_14_b"), ("15-a", "strip_15_a")] {
        let curve = BiteCurve::through(&rising_strip(id));
        for (_, row) in rows("pchip.csv").into_iter().filter(|(name, _)| name == set) {
            let total = Seconds(5.0 * row[0].exp_m1());
            let value = curve.lightness_at(total).0;
            assert!((value - row[1]).abs() <= 1e-9 * row[1], "{id} at {} s: {value}, SciPy {}", total.0, row[1]);
        }
    }
}

#[test]
fn the_ladders_are_scipys() {
    let mut ladders: BTreeMap<(String, i64), Vec<(f64, f64)>> = BTreeMap::new();
    for (strip, row) in rows("ladders.csv") {
        ladders.entry((strip, row[0] as i64)).or_default().push((row[2], row[3]));
    }
    assert_eq!(ladders.len(), 10, "two strips, five counts of tones");
    let mut worst: f64 = 0.0;
    for ((id, tones), expected) in ladders {
        let strip = rising_strip(&id);
        let curve = BiteCurve::through(&strip);
        let targets = Targets::even(ToneCount::new(tones).unwrap(), curve.paper(), curve.darkest(), Targets::RESERVE).unwrap();
        let plan = plan(&targets, &curve, &strip).unwrap();
        assert_eq!(plan.tones.len(), expected.len());
        for (k, (tone, (lightness, total))) in plan.tones.iter().zip(expected).enumerate() {
            assert!((tone.target.0 - lightness).abs() <= 1e-9, "{id}, {tones} tones, tone {k}");
            assert!((tone.total.0 - total).abs() <= 1e-6 * total, "{id}, {tones} tones, tone {k}: {} s, SciPy {total} s", tone.total.0);
            worst = worst.max((tone.total.0 - total).abs() / total.max(1.0));
        }
    }
    println!("largest relative difference from SciPy: {worst:e}");
}

#[test]
fn strips_that_do_not_darken_are_refused_by_name() {
    let refused = |id: &str| TestStrip::from_csv(id, &read(&format!("strips/strip-{id}.csv"))).unwrap_err();
    let said = refused("14-b").to_string();
    assert!(said.contains("480 s (L* 40.5) is no darker than 320 s (L* 37.0)"), "{said}");
    assert!(said.contains("640 s (L* 45.5) is no darker than 480 s (L* 40.5)"), "{said}");
    let said = refused("14-c").to_string();
    assert!(said.contains("80 s (L* 64.5) is no darker than 40 s (L* 63.0)"), "{said}");
}

#[test]
fn the_example_is_strip_15_a() {
    let (file, example) = (rising_strip("15-a"), TestStrip::example());
    assert_eq!(file.readings(), example.readings());
    assert_eq!((file.kind(), example.kind()), (StripKind::Measured, StripKind::Example));
    assert_eq!(file.readings()[8], Reading { total: Seconds(640.0), lightness: Lightness(20.5) });
}
