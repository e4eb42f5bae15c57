//! How old the bath is when a plate goes in: it tires with what it has bitten.

use super::{Entry, Round, Work};

/// The mean age of the bath for each plate, 0 to 1: the share of all the bath's work that was done before its dips, each dip counted by its
/// length. Work of a bath is time by area, for what is bare of it nobody knows beforehand to a fraction. A plate without a dip has none.
pub(super) fn ages(entries: &[Entry], plates: &[Vec<Round>], areas: &[f64]) -> Vec<Option<f64>> {
    let length = |entry: &Entry| plates[entry.plate][entry.round].bite.0;
    let work = |entry: &Entry| length(entry) * areas.get(entry.plate).copied().unwrap_or(1.0);
    let mut dips: Vec<&Entry> = entries.iter().filter(|entry| entry.work == Work::Bite && length(entry) > 0.0).collect();
    dips.sort_by(|one, other| one.from.0.total_cmp(&other.from.0));
    let all: f64 = dips.iter().map(|entry| work(entry)).sum();
    let mut ages = vec![(0.0, 0.0); plates.len()];
    let (mut before, mut with) = (0.0, 0.0);
    let mut at = f64::NEG_INFINITY;
    for entry in dips {
        // Those of one dip find one bath.
        if entry.from.0 > at {
            (before, at) = (with, entry.from.0);
        }
        with += work(entry);
        let (sum, time) = &mut ages[entry.plate];
        *sum += length(entry) * before / all;
        *time += length(entry);
    }
    ages.into_iter().map(|(sum, time)| (time > 0.0 && all > 0.0).then(|| sum / time)).collect()
}

/// How far the plates' ages lie apart.
pub(super) fn spread(ages: &[Option<f64>]) -> f64 {
    let of = |least: fn(f64, f64) -> f64, from: f64| ages.iter().flatten().copied().fold(from, least);
    let (least, most) = (of(f64::min, f64::INFINITY), of(f64::max, f64::NEG_INFINITY));
    if least.is_finite() { most - least } else { 0.0 }
}
