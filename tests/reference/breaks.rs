//! Fitted breaks against other people's optima: Lloyd and Max's quantisers, multi-Otsu, an exact programme in numpy, and `ckmeans`.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use approx::{assert_abs_diff_eq, assert_relative_eq};
use std::collections::BTreeMap;
use stepbite_core::tones::{Breaks, Histogram, fitted};
use stepbite_tests::rows;

/// Grey values of a byte are bins of the histogram: what one bin is in L*.
const BIN: f64 = 100.0 / 256.0;

fn pictures() -> BTreeMap<String, Vec<u64>> {
    let mut pictures: BTreeMap<String, Vec<u64>> = BTreeMap::new();
    for row in rows("histograms.csv") {
        let counts = pictures.entry(row[0].clone()).or_insert_with(|| vec![0; 256]);
        counts[row[1].parse::<usize>().unwrap()] = row[2].parse().unwrap();
    }
    pictures
}

/// Class of each grey value, darkest class 0.
fn classes(breaks: &Breaks) -> Vec<usize> {
    (0..256).map(|v| breaks.falling().iter().filter(|b| (f64::from(v) + 0.5) * BIN >= b.0).count()).collect()
}

/// Sum of squares within classes.
fn spread(counts: &[u64], classes: &[usize]) -> f64 {
    let mut sums: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
    for (v, &count) in counts.iter().enumerate() {
        let sum = sums.entry(classes[v]).or_default();
        sum.0 += count as f64;
        sum.1 += count as f64 * v as f64;
    }
    let off = |v: usize| {
        let (weight, total) = sums[&classes[v]];
        (v as f64 - total / weight.max(1.0)).powi(2)
    };
    counts.iter().enumerate().map(|(v, &count)| count as f64 * off(v)).sum()
}

#[test]
fn every_count_of_tones_reaches_the_exact_optimum() {
    // Fisher 1958 in numpy on pictures that scikit-image ships.
    let pictures = pictures();
    for row in rows("optimal_classes.csv") {
        let counts = &pictures[&row[0]];
        let tones: usize = row[1].parse().unwrap();
        let breaks = &fitted(&Histogram::from_counts(counts.clone())).unwrap()[tones - 2];
        assert_eq!(breaks.tones().get(), tones);
        assert_relative_eq!(spread(counts, &classes(breaks)), row[2].parse::<f64>().unwrap(), max_relative = 1e-9);
    }
}

#[test]
fn multi_otsu_cuts_at_the_same_values() {
    // Otsu 1979, Liao 2001, scikit-image. In two of twenty cases the library misses the optimum (see the table's head): there ours must be better.
    let pictures = pictures();
    for row in rows("multi_otsu.csv") {
        let counts = &pictures[&row[0]];
        let tones: usize = row[1].parse().unwrap();
        let theirs: Vec<usize> = row[2].split(' ').map(|t| t.parse().unwrap()).collect();
        let (within, least): (f64, f64) = (row[3].parse().unwrap(), row[4].parse().unwrap());
        let breaks = &fitted(&Histogram::from_counts(counts.clone())).unwrap()[tones - 2];
        let ours = classes(breaks);
        let total: u64 = counts.iter().sum();
        assert_relative_eq!(spread(counts, &ours) / total as f64, least, max_relative = 1e-9);
        if within - least < 1e-9 * within {
            // A pixel equal to the threshold is in their lower class; values without pixels may fall on either side.
            for (v, &count) in counts.iter().enumerate().filter(|(_, count)| **count > 0) {
                assert_eq!(ours[v], theirs.iter().filter(|&&t| v > t).count(), "{} {tones}: value {v}, {count} pixels", row[0]);
            }
        }
    }
}

#[test]
fn ckmeans_finds_nothing_better() {
    // The `ckmeans` crate (Wang and Song's algorithm, unweighted): one value for every thousandth pixel.
    for (name, counts) in pictures() {
        let few: Vec<u64> = counts.iter().map(|count| count / 200).collect();
        let values: Vec<f64> = few.iter().enumerate().flat_map(|(v, &count)| std::iter::repeat_n(v as f64, count as usize)).collect();
        let all = fitted(&Histogram::from_counts(few.clone())).unwrap();
        for tones in 2..=16u8 {
            let clusters = ckmeans::ckmeans(&values, tones).unwrap();
            let theirs: f64 = clusters
                .iter()
                .map(|cluster| {
                    let mean = cluster.iter().sum::<f64>() / cluster.len() as f64;
                    cluster.iter().map(|v| (v - mean).powi(2)).sum::<f64>()
                })
                .sum();
            let ours = spread(&few, &classes(&all[usize::from(tones) - 2]));
            assert!(ours <= theirs * (1.0 + 1e-9), "{name}, {tones} tones: {ours} against {theirs}");
        }
    }
}

#[test]
fn a_normal_density_is_cut_as_lloyd_and_max_cut_it() {
    // The unit normal over ±5 on the histogram's bins: the optimum is unique (log-concave density).
    let bins = 4096;
    let scale = 10.0 / bins as f64;
    let density = |i: usize| {
        let z = (i as f64 + 0.5) * scale - 5.0;
        (1e12 * (-z * z / 2.0).exp()) as u64
    };
    let counts: Vec<u64> = (0..bins).map(density).collect();
    let all = fitted(&Histogram::from_counts(counts)).unwrap();
    for row in rows("lloyd_max.csv") {
        let tones: usize = row[0].parse().unwrap();
        let thresholds: Vec<f64> = row[3].split(' ').map(|t| t.parse().unwrap()).collect();
        let mut ours: Vec<f64> = all[tones - 2].falling().iter().map(|l| l.0 / 10.0 - 5.0).filter(|z| *z > -scale).collect();
        ours.reverse();
        assert_eq!(ours.len(), thresholds.len());
        for (ours, theirs) in ours.iter().zip(thresholds) {
            // A break can't be finer than the bins it stands between.
            assert_abs_diff_eq!(*ours, theirs, epsilon = 2.0 * scale);
        }
    }
}
