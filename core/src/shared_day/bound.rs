//! What no day gets under, in whatever order.

use super::{Round, SAME, shareable};

/// How long a plate takes alone.
pub(super) fn chain(rounds: &[Round]) -> f64 {
    let all: f64 = rounds.iter().map(|round| round.paint.0 + round.dry.0 + round.bite.0 + round.rinse.0 + round.air.0).sum();
    all - rounds.last().map_or(0.0, |round| round.air.0)
}

/// The least that hands have to do. Dips of one length may be one dip, unless they are too short to be shared, but no plate is twice in it, nor
/// more plates than the tray's floor has room for: `shares` is what a plate takes of it, 0 to 1; none: no plate shares a dip.
pub(super) fn hands(plates: &[Vec<Round>], shares: Option<&[f64]>) -> f64 {
    let of = |round: &Round| round.paint.0 + round.rinse.0 + if shares.is_some() { 0.0 } else { round.bite.0 };
    let work: f64 = plates.iter().flatten().map(of).sum();
    let Some(shares) = shares else { return work };
    let (mut dips, mut lengths) = (0.0, Vec::new());
    for round in plates.iter().flatten() {
        if shareable(round.bite) { lengths.push(round.bite.0) } else { dips += round.bite.0 }
    }
    lengths.sort_by(f64::total_cmp);
    // Lengths that a dip may share are told apart as the order tells them.
    let mut from = 0;
    while from < lengths.len() {
        let mut to = from + 1;
        while to < lengths.len() && lengths[to] - lengths[to - 1] <= SAME {
            to += 1;
        }
        let (least, most) = (lengths[from], lengths[to - 1]);
        let count = |rounds: &Vec<Round>| rounds.iter().filter(|round| (least..=most).contains(&round.bite.0)).count() as f64;
        let alone = plates.iter().map(count).fold(0.0, f64::max);
        let floors: f64 = plates.iter().zip(shares).map(|(rounds, share)| count(rounds) * share).sum();
        dips += least * alone.max(libm::ceil(floors - 1e-9));
        from = to;
    }
    work + dips
}

/// What no order gets under: each plate alone, and all the hands' work with what they must wait at its beginning and at its end. Before the
/// first bite of all there is one painting of each plate at most, its first; what is left of drying then is waiting. After the last painting
/// of all there is one bite left of each other plate at most, its last; so too then.
pub(super) fn bound(plates: &[Vec<Round>], shares: Option<&[f64]>) -> f64 {
    let hands = hands(plates, shares);
    let last = |rounds: &Vec<Round>| rounds.last().copied().unwrap_or_default();
    let bites: f64 = plates.iter().map(last).map(|round| round.bite.0 + round.rinse.0).sum();
    let waits = plates
        .iter()
        .filter(|rounds| !rounds.is_empty())
        .map(last)
        .map(|round| (round.dry.0 - (bites - round.bite.0 - round.rinse.0)).max(0.0));
    let waits = waits.fold(f64::INFINITY, f64::min);
    let begun = plates.iter().filter_map(|rounds| rounds.first());
    let first = begun.clone().map(|round| round.paint.0 + round.dry.0).fold(f64::INFINITY, f64::min);
    let begins = (first - begun.map(|round| round.paint.0).sum::<f64>()).max(0.0);
    let (begins, ends) = (if begins.is_finite() { begins } else { 0.0 }, if waits.is_finite() { waits } else { 0.0 });
    // Where no plate is painted twice, both may be one waiting.
    let waits = if plates.iter().any(|rounds| rounds.len() > 1) { begins + ends } else { begins.max(ends) };
    let alone = plates.iter().map(|rounds| chain(rounds)).fold(0.0, f64::max);
    alone.max(hands + waits)
}
