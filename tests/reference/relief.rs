//! Relief and edges against tables of SciPy's. Sources stand in the head of each table.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use approx::{assert_abs_diff_eq, assert_relative_eq};
use std::collections::BTreeMap;
use stepbite_core::curve::BiteCurve;
use stepbite_core::edges::{Chance, Edges, chance};
use stepbite_core::grain::{GrainKind, GrainSize};
use stepbite_core::light::Lightness;
use stepbite_core::outline::Outlines;
use stepbite_core::practice::{Practice, ReadingError};
use stepbite_core::relief::{GrainChoice, Relief};
use stepbite_core::stopouts::{HandSpeed, StopOuts};
use stepbite_core::strip::{Reading, StripKind, TestStrip};
use stepbite_core::tones::{StepMap, ToneCount};
use stepbite_core::units::{Millimetres, PxPerMm, Seconds};
use stepbite_tests::{digits, rows};

#[test]
fn reliefs_are_those_of_scipy() {
    // scipy.optimize.least_squares on model and priors; what undercut leaves by quadrature over the log-normal law.
    for row in rows("reliefs.csv") {
        let band = |cell: &str| {
            let (total, lightness) = cell.split_once(':').unwrap();
            Reading { total: Seconds(total.parse().unwrap()), lightness: Lightness(lightness.parse().unwrap()) }
        };
        let strip = TestStrip::new("table", StripKind::Measured, row[0].split(' ').map(band).collect()).unwrap();
        let (kind, size) = match row[1].as_str() {
            "rosin medium" => (GrainKind::Rosin, GrainSize::Medium),
            "rosin coarse" => (GrainKind::Rosin, GrainSize::Coarse),
            _ => (GrainKind::Sprayed, GrainSize::Fine),
        };
        let typed = (!row[2].is_empty()).then(|| row[2].parse::<f64>().unwrap());
        let number: Vec<f64> = row[3..].iter().map(|cell| cell.parse().unwrap()).collect();
        let practice = Practice { error: ReadingError::new(number[0]).unwrap(), ..Practice::default() };
        let curve = BiteCurve::with(&strip, practice).unwrap();
        let relief = Relief::of(&strip, &curve, &GrainChoice { kind, size, cover: typed, median_um: None, seed: 1 }).unwrap();
        let pits = relief.pits();
        let found = [relief.grain().settings().cover, pits.n, pits.rate, pits.filling_depth.0, pits.full.0, pits.holding];
        for (found, &expected) in found.iter().zip(&number[1..7]) {
            assert_relative_eq!(*found, expected, max_relative = 2e-4);
        }
        let skipped = usize::from(typed.is_some());
        assert_eq!(relief.figures().len(), 6 - skipped);
        for (figure, &left) in relief.figures().iter().zip(&number[7 + skipped..13]) {
            assert_abs_diff_eq!(figure.spread / figure.before, left, epsilon = 1e-3);
            assert_eq!(figure.told, left < 0.5, "{row:?}: {figure:?}");
        }
        assert_abs_diff_eq!(relief.misfit(), number[13], epsilon = 1e-3);
    }
}

#[test]
fn chances_of_edges_are_those_of_scipy() {
    // scipy.ndimage.distance_transform_edt and scipy.stats.norm. A chance is told in 255ths.
    let mut made: BTreeMap<String, Chance> = BTreeMap::new();
    let mut uncertain = 0;
    for row in rows("edge_chances.csv") {
        let number: Vec<f64> = row[1..].iter().map(|cell| cell.parse().unwrap()).collect();
        let chance = made.entry(row[..5].join(" ")).or_insert_with(|| {
            let plane = digits(&format!("labels_{}.txt", row[0]));
            let tones = plane.data().iter().max().map_or(2, |most| i64::from(*most) + 2);
            let (map, resolution) = (StepMap::new(ToneCount::new(tones).unwrap(), plane), PxPerMm(number[0]));
            let outlines = Outlines::of(map.plane(), resolution);
            let stop_outs = StopOuts::of(map, &outlines, resolution, HandSpeed::default());
            chance(&stop_outs, &Edges::new(1, Millimetres(number[1]), Millimetres(number[2]), Millimetres(number[3])).unwrap())
        });
        let (x, y) = (number[4] as usize, number[5] as usize);
        for (found, expected) in [(chance.lighter.at(x, y), number[6]), (chance.darker.at(x, y), number[7])] {
            // Half a 255th, the table of the distribution, and what lies past four spreads.
            assert_abs_diff_eq!(f64::from(found) / 255.0, expected, epsilon = 0.5 / 255.0 + 1e-4);
            uncertain += usize::from((0.05..0.95).contains(&expected));
        }
    }
    assert!(uncertain > 500, "only {uncertain} pixels were uncertain");
}
