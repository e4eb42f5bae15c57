//! Proofs with known faults, rendered by NumPy and SciPy: how often the split names the right cause, says that two explain it about equally, or
//! names a wrong one. See scripts/pulled_proofs.py.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]
#![allow(clippy::print_stdout, reason = "what was measured is told")]

use std::path::{Path, PathBuf};
use stepbite_core::bites;
use stepbite_core::curve::BiteCurve;
use stepbite_core::drawing::Drawing;
use stepbite_core::light::Lightness;
use stepbite_core::outline::Outlines;
use stepbite_core::photo::Corners;
use stepbite_core::plate::Plate;
use stepbite_core::proof::ProofTones;
use stepbite_core::pulled::split::{OnStrip, Reference, ToneRead, split};
use stepbite_core::pulled::{Cause, Held, Inking, PaperKnown, PulledSettings, Verdict, read};
use stepbite_core::relief::{GrainChoice, Relief};
use stepbite_core::stopouts::{HandSpeed, StopOuts};
use stepbite_core::strip::{Reading, StripKind, TestStrip};
use stepbite_core::tones::{StepMap, Targets, ToneCount};
use stepbite_core::units::{Millimetres, PxPerMm, Seconds};

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
        let got = split(&tones, &OnStrip { curve: &curve, inking: &inking, relief: &relief }, Reference { paper: 0.5 }).unwrap();
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
fn of_the_causes_it_names_nine_in_ten_are_right_and_doubt_is_declared() {
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

/// Photographs of proofs: how far corners and tones are off, and what is named. `STEPBITE_PULLED` is a folder of others.
#[test]
fn photographed_proofs_are_read_within_one_l_and_their_cause_is_named() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let others = std::env::var("STEPBITE_PULLED").ok().map(PathBuf::from);
    let folder = others.clone().unwrap_or_else(|| here.join("fixtures/pulled"));
    let list = others.as_ref().map_or_else(|| here.join("reference/data/pulled_photos.csv"), |folder| folder.join("photos.csv"));
    let text = std::fs::read_to_string(&list).unwrap_or_else(|error| panic!("{}: {error}", list.display()));
    let strip = TestStrip::example();
    let curve = BiteCurve::of(&strip);
    let relief = Relief::of(&strip, &curve, &GrainChoice::default()).unwrap();
    let count = ToneCount::new(10).unwrap();
    let targets = Targets::even(count, curve.paper(), curve.darkest(), 1.0).unwrap();
    let bites = bites::plan(&targets, &curve, &strip).unwrap();
    let plate = Plate::new(Millimetres(96.0), Millimetres(80.0), Millimetres(2.0)).unwrap();
    let (mut all, mut found, mut named, mut either, mut off) = (0usize, 0usize, 0usize, 0usize, Vec::new());
    for line in text.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let figures: Vec<f64> = cells[2..].iter().map(|cell| cell.parse().unwrap()).collect();
        let drawn = folder.join(if others.is_some() { format!("{}.png", cells[0]) } else { "drawing.png".to_owned() });
        let drawing = Drawing::read(&std::fs::read(&drawn).unwrap_or_else(|error| panic!("{}: {error}", drawn.display()))).unwrap();
        // Ten greys evenly spaced in L*, 98 to 6.
        let map = drawing.luminance().map(|&y| {
            let l = stepbite_core::light::Reflectance(f64::from(y)).lightness().0;
            ((98.0 - l) * 9.0 / 92.0).round().clamp(0.0, 9.0) as u8
        });
        let map = StepMap::new(count, map);
        let outlines = Outlines::of(map.plane(), PxPerMm(5.0));
        let stop_outs = StopOuts::of(map, &outlines, PxPerMm(5.0), HandSpeed::default());
        let proof = ProofTones::of(&stop_outs, &bites, &relief).unwrap();
        let inking = Inking::of(&proof);
        let held = Held {
            plate: &plate,
            stop_outs: &stop_outs,
            bites: &bites,
            curve: &curve,
            inking: &inking,
            relief: &relief,
            targets: targets.falling(),
        };
        let photo = Drawing::read(&std::fs::read(folder.join(format!("{}.jpg", cells[0]))).unwrap()).unwrap();
        let paper = PaperKnown::Typed(Lightness(figures[18]));
        let truth = Corners(std::array::from_fn(|i| [figures[2 * i], figures[2 * i + 1]]));
        // Looked for; and once given, which finding them takes far longer than.
        let ways = if all == 0 { vec![None, Some(truth)] } else { vec![None] };
        for corners in ways {
            let got = read(&photo, &held, &PulledSettings { corners, paper }).unwrap();
            all += 1;
            if let Some(why) = got.blind {
                println!("{}: {}: {why}", cells[0], if corners.is_none() { "looked for" } else { "given" });
                assert!(corners.is_none(), "{why}");
                continue;
            }
            found += 1;
            let px = truth.sides()[0] / 92.0;
            let apart = (0..4).map(|i| (got.corners.0[i][0] - truth.0[i][0]).hypot(got.corners.0[i][1] - truth.0[i][1]) / px);
            let corner = apart.fold(0.0, f64::max);
            let tones: Vec<f64> = got.tones.iter().filter_map(|t| Some(t.read?.0 - figures[8 + t.tone])).collect();
            let worst = tones.iter().fold(0.0f64, |most, v| most.max(v.abs()));
            let verdict = &got.split.as_ref().unwrap().verdict;
            let truth = causes(cells[1]);
            match verdict {
                Verdict::AsPlanned if truth.is_empty() => named += 1,
                Verdict::Causes(list) if same(list, &truth) => named += 1,
                // Declared: one of two, the true one among them.
                Verdict::Either(a, b) if same(a, &truth) || same(b, &truth) => either += 1,
                _ => {}
            }
            println!("{}: corners off {corner:.2} mm, {} tones off {worst:.2} L* at the most, {verdict:?}", cells[0], tones.len());
            off.extend(tones.iter().map(|v| v.abs()));
            assert!(corner < 1.0, "{corner}");
        }
    }
    off.sort_by(f64::total_cmp);
    let (median, most) = (off[off.len() / 2], off[off.len() - 1]);
    println!(
        "{all} readings: {found} told, {named} causes named right, {either} declared to be one of two; tones off {median:.2} L* in the median, {most:.2} at the most"
    );
    assert!(median < 0.5 && most < 2.0, "{median} {most}");
    assert!(10 * found >= 9 * all && 10 * (named + either) >= 9 * found && 2 * named >= found, "{named} and {either} of {found} of {all}");
}
