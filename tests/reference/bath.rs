//! The bath against SciPy and NumPy: rates at other temperatures, totals of a strip to bite, what a witness says. Tables and script in this
//! folder.

use std::fs;
use std::path::PathBuf;

use stepbite_core::bath::temperature::{Celsius, time_factor};
use stepbite_core::curve::BiteCurve;
use stepbite_core::light::Lightness;
use stepbite_core::strip::TestStrip;
use stepbite_core::strip_plan::{Asked, StripPlan, multiples};
use stepbite_core::units::{Millimetres, Seconds};
use stepbite_core::witness::Witness;

fn rows<const N: usize>(name: &str) -> Vec<[f64; N]> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("reference/data").join(name);
    let text = fs::read_to_string(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines
        .map(|line| {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("cells are numbers")).collect();
            cells.try_into().expect("as many cells as columns")
        })
        .collect()
}

#[test]
fn temperatures_change_times_as_arrhenius_has_it() {
    let rows = rows::<4>("bath_rates.csv");
    assert_eq!(rows.len(), 45);
    for [kj, strip, today, factor] in rows {
        let ours = time_factor(kj, Celsius(strip), Celsius(today));
        assert!((ours / factor - 1.0).abs() < 1e-9, "{kj} kJ/mol, {strip} to {today} °C: {ours} for {factor}");
    }
}

#[test]
fn totals_are_numpys_geometric_ones() {
    let rows = rows::<5>("strip_totals.csv");
    assert_eq!(rows.len(), 64);
    for [first, last, count, index, total] in rows {
        let (count, index) = (count as usize, index as usize);
        let ours = first * multiples(Seconds(first), Seconds(last), count)[index];
        assert!((ours / total - 1.0).abs() < 1e-12, "{ours} for {total}");
        let asked =
            Asked { first_s: Seconds(first), last_s: Seconds(last), bands: count, height_mm: Millimetres(200.0), ..Asked::default() };
        let band = StripPlan::of(asked).unwrap_or_else(|why| panic!("{why}")).bands[index];
        assert!((band.exact_s.0 / total - 1.0).abs() < 1e-12);
    }
}

#[test]
fn a_witness_says_what_scipy_says() {
    let curve = BiteCurve::of(&TestStrip::example());
    let rows = rows::<5>("witness.csv");
    assert_eq!(rows.len(), 8);
    for [seconds, lightness, ratio, low, high] in rows {
        let ours = Witness::read(Seconds(seconds), Lightness(lightness), &curve).unwrap_or_else(|why| panic!("{why}"));
        for (ours, theirs) in [(ours.ratio, ratio), (ours.range.0, low), (ours.range.1, high)] {
            assert!((ours / theirs - 1.0).abs() < 1e-9, "{seconds} s at L* {lightness}: {ours} for {theirs}");
        }
    }
}
