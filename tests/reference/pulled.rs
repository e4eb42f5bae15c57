//! Proofs with known faults, rendered by NumPy and SciPy: how often the split names the right cause, says that two explain it about equally, or
//! names a wrong one. See scripts/pulled_proofs.py.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]
#![allow(clippy::print_stdout, reason = "what was measured is told")]

use std::path::PathBuf;
use stepbite_core::curve::BiteCurve;
use stepbite_core::light::Lightness;
use stepbite_core::proof::ProofTones;
use stepbite_core::pulled::split::{Reference, ToneRead, split};
use stepbite_core::pulled::{Cause, Inking, Verdict};
use stepbite_core::relief::{GrainChoice, Relief};
use stepbite_core::strip::{Reading, StripKind, TestStrip};
use stepbite_core::units::Seconds;

/// How a case came out.
#[derive(Default)]
struct Tally {
    right: usize,
    /// Two sets were named, and the true one is one of them.
    either: usize,
    wrong: Vec<String>,
}

fn numbers(cell: &str) -> Vec<f64> {
    cell.split(' ').map(|v| v.parse().unwrap()).collect()
}

fn causes(cell: &str) -> Vec<Cause> {
    let one = |word: &str| match word {
        "wiping" => Cause::Wiping,
        "rate" => Cause::Rate,
        "ink" => Cause::Ink,
        _ => panic!("no cause {word}"),
    };
    if cell == "none" { Vec::new() } else { cell.split('+').map(one).collect() }
}

fn same(a: &[Cause], b: &[Cause]) -> bool {
    a.len() == b.len() && a.iter().all(|c| b.contains(c))
}

fn tallied(file: &PathBuf) -> (Tally, usize, Vec<f64>) {
    let text = std::fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    let mut tally = Tally::default();
    let (mut count, mut off) = (0, Vec::new());
    for line in text.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (seconds, l) = (numbers(cells[5]), numbers(cells[6]));
        let readings = seconds.iter().zip(&l).map(|(&s, &l)| Reading { total: Seconds(s), lightness: Lightness(l) }).collect();
        let strip = TestStrip::new("rendered", StripKind::Measured, readings).unwrap();
        let curve = BiteCurve::of(&strip);
        let relief = Relief::of(&strip, &curve, &GrainChoice::default()).unwrap();
        let sigma = cells[4].parse::<f64>().unwrap();
        let tones: Vec<ToneRead> = numbers(cells[7])
            .iter()
            .zip(numbers(cells[8]))
            .enumerate()
            .map(|(tone, (&s, read))| ToneRead { tone, total: Seconds(s), read: Lightness(read), sigma })
            .collect();
        let totals: Vec<Seconds> = tones.iter().map(|tone| tone.total).collect();
        let proof = ProofTones::new(&totals, relief.paper(), |total| relief.lightness_at(total), relief.grain(), relief.pits()).unwrap();
        let inking = Inking::of(&proof);
        let got = split(&tones, &curve, &inking, Reference { paper: 0.5 }).unwrap();
        let truth = causes(cells[0]);
        count += 1;
        // How many of its own standard deviations each figure is off, where its cause was at work and named.
        for (k, cause) in Cause::ALL.into_iter().enumerate() {
            let at_work: f64 = cells[1 + k].parse().unwrap();
            if truth.contains(&cause) && got.effects[k].value.abs() > 0.0 {
                off.push((got.effects[k].value - at_work).abs() / got.effects[k].doubt);
            }
        }
        match &got.verdict {
            Verdict::AsPlanned if truth.is_empty() => tally.right += 1,
            Verdict::Causes(named) if same(named, &truth) => tally.right += 1,
            Verdict::Either(a, b) if same(a, &truth) || same(b, &truth) => tally.either += 1,
            other => tally.wrong.push(format!("{}: {other:?} {:?}", cells[..5].join(" "), got.effects.map(|e| e.value))),
        }
    }
    (tally, count, off)
}

#[test]
fn nine_in_ten_causes_are_named_right_and_doubt_is_declared() {
    let file = std::env::var("STEPBITE_PROOFS")
        .map_or_else(|_| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("reference/data/pulled_proofs.csv"), PathBuf::from);
    let (tally, count, mut off) = tallied(&file);
    for wrong in &tally.wrong {
        println!("wrong: {wrong}");
    }
    off.sort_by(f64::total_cmp);
    println!(
        "{count} proofs: {} named right, {} declared to be one of two, {} wrong; figures off by {:.2} of their own deviation in the median, {:.2} at 95 %",
        tally.right,
        tally.either,
        tally.wrong.len(),
        off[off.len() / 2],
        off[off.len() * 95 / 100]
    );
    let share = |n: usize| n as f64 / count as f64;
    // Named right of those that it names at all; and right, or rightly declared, of all.
    let named = count - tally.either;
    assert!(tally.right as f64 >= 0.9 * named as f64, "{} of {named}", tally.right);
    assert!(share(tally.right + tally.either) >= 0.9, "{}", share(tally.right + tally.either));
    assert!(share(tally.either) <= 0.2, "{}", share(tally.either));
}
