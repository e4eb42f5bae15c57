//! What several plates ask for, against other people's solvers: being late, orders of papers, short days, rows. Sources stand in the head of
//! each table.

use approx::assert_abs_diff_eq;
use stepbite_core::day::Hours;
use stepbite_core::facing::{self, Align, Faced, Weigh};
use stepbite_core::joints::{EdgeProfile, joint};
use stepbite_core::laying::{self, Handling, LayingError, Pasting};
use stepbite_core::light::Lightness;
use stepbite_core::plate::SizeMm;
use stepbite_core::rows::{self, Pin, Rules, Wish};
use stepbite_core::shared_day::{self, PlateTurn, Plates, Round, Tray};
use stepbite_core::units::{Millimetres, Seconds};
use stepbite_tests::{numbers, rows as table};

#[test]
fn pasted_papers_are_late_as_often() {
    for row in numbers("lateness.csv") {
        let pasting =
            Pasting { pieces: row[0] as usize, each: Seconds(row[1]), open: Seconds(row[2]), pace: laying::PACE, scatter: laying::PIECE };
        let (mean, spread) = pasting.takes();
        assert_abs_diff_eq!(mean.0, row[3], epsilon = 1e-9);
        assert_abs_diff_eq!(spread.0, row[4], epsilon = 1e-9);
        // The normal sum from two dozen pieces on, to rounding; the law itself within a hundredth for a dozen and fewer, and everywhere within two.
        if pasting.pieces >= 24 {
            assert_abs_diff_eq!(pasting.late(), row[5], epsilon = 1e-12);
        }
        let within = if pasting.pieces <= 12 { 0.01 } else { 0.02 };
        assert_abs_diff_eq!(pasting.late(), row[6], epsilon = within);
    }
}

#[test]
fn papers_have_an_order_where_a_graph_has_one() {
    for row in table("laying_orders.csv") {
        let pieces = vec![Handling::default(); row[0].parse().unwrap()];
        let above: Vec<(usize, usize)> = row[1]
            .split_whitespace()
            .map(|pair| pair.split_once('>').unwrap())
            .map(|(a, b)| (a.parse().unwrap(), b.parse().unwrap()))
            .collect();
        let ring: usize = row[2].parse().unwrap();
        match laying::order(&pieces, &above) {
            Ok(order) => {
                let place = |piece: usize| order.iter().position(|one| *one == piece).unwrap();
                assert!(ring == 0 && above.iter().all(|&(first, then)| place(first) < place(then)), "{row:?}");
            }
            Err(LayingError::Cycle(found)) => assert_eq!(found.len(), ring, "{row:?}"),
            Err(error) => panic!("{error}"),
        }
    }
}

#[test]
fn days_are_as_short_as_is_proven_or_nearly() {
    let (mut all, mut exact) = (0, 0);
    for row in table("shared_days.csv") {
        let time = |minutes: &str| Seconds(60.0 * minutes.parse::<f64>().unwrap());
        let round = |text: &str| {
            let times: Vec<Seconds> = text.split(':').map(time).collect();
            Round { paint: times[0], dry: times[1], bite: times[2], rinse: times[3], air: Seconds(0.0) }
        };
        let plates: Vec<Vec<Round>> = row[0].split('|').map(|rounds| rounds.split(';').map(round).collect()).collect();
        let shortest = time(&row[1]).0;
        let day = shared_day::day(&plates);
        assert!(
            day.bound.0 <= shortest + 1e-6 && day.length.0 >= shortest - 1e-6,
            "{} {} {}: {row:?}",
            day.bound.0,
            day.length.0,
            shortest
        );
        assert!(day.length.0 <= 1.03 * shortest, "{} of {shortest}: {row:?}", day.length.0);
        all += 1;
        exact += usize::from(day.length.0 <= shortest + 1e-6);
    }
    assert!(10 * exact >= 8 * all, "{exact} of {all} are the shortest");
}

#[test]
fn shared_trays_and_nights_are_as_short_as_is_proven_or_nearly() {
    let (mut all, mut exact) = (0, 0);
    for row in table("shared_trays.csv") {
        let minutes = |text: &str| text.parse::<f64>().unwrap();
        let round = |text: &str| {
            let times: Vec<Seconds> = text.split(':').map(|time| Seconds(60.0 * minutes(time))).collect();
            Round { paint: times[0], dry: times[1], bite: times[2], rinse: times[3], air: Seconds(0.0) }
        };
        let rounds: Vec<Vec<Round>> = row[0].split('|').map(|rounds| rounds.split(';').map(round).collect()).collect();
        let (most, day_min, shortest) = (minutes(&row[1]), minutes(&row[2]), minutes(&row[3]));
        // So many plates of 100 mm lie in a row in it, ten between, and no more.
        let tray = Tray::new(Millimetres(110.0 * most - 10.0), Millimetres(100.0)).unwrap();
        let sizes = vec![SizeMm { width: Millimetres(100.0), height: Millimetres(100.0) }; rounds.len()];
        let turn = |(at, round): (usize, &Round)| PlateTurn { stop_out: Some(at + 1), bites: at + 1..=at + 1, round: *round, slope: -0.1 };
        let turns = rounds.iter().map(|rounds| rounds.iter().enumerate().map(turn).collect()).collect();
        let plates = Plates { letters: vec![String::new(); rounds.len()], sizes: sizes.clone(), turns, undecided: vec![] };
        let to = if day_min > 0.0 { day_min } else { 1440.0 };
        let hours = Hours { start: 0.0, from: 0.0, to, dry: 0.0, rinse: 0.0, dry_overnight: false, slack: Seconds(2.0) };
        let days = shared_day::days(&plates, hours, Some(&tray), None).unwrap();
        assert!(
            days.bound <= shortest + 1e-6 && days.minutes >= shortest - 1e-6 && days.minutes <= 1.03 * shortest + 1e-6,
            "{} {} {shortest}: {row:?}",
            days.bound,
            days.minutes
        );
        if day_min == 0.0 {
            let day = shared_day::day_in(&rounds, &sizes, &tray).unwrap();
            assert!((day.length.0 / 60.0 - days.minutes).abs() < 1e-6, "{row:?}");
        }
        all += 1;
        exact += usize::from(days.minutes <= shortest + 1e-6);
    }
    assert!(all >= 25 && 10 * exact >= 8 * all, "{exact} of {all} are the shortest");
}

/// Plates that lack tones, plates that leave, and nights that varnish dries over. Nights are chosen by a rule of thumb (as many bites as a day has
/// room for), so of those days it is told how often they are the shortest.
#[test]
fn joined_dips_plates_that_leave_and_nights_of_drying_are_as_short_as_is_proven_or_nearly() {
    let (mut all, mut exact, mut joined, mut leaving) = (0, 0, 0, 0);
    for row in table("joined_days.csv") {
        let minutes = |text: &str| text.parse::<f64>().unwrap();
        let turn = |text: &str| {
            let (bites, times) = text.split_once(':').unwrap();
            let (first, last) = bites.split_once('-').unwrap();
            let times: Vec<Seconds> = times.split(':').map(|time| Seconds(60.0 * minutes(time))).collect();
            let bites: std::ops::RangeInclusive<usize> = first.parse().unwrap()..=last.parse().unwrap();
            let round = Round { paint: times[0], dry: times[1], bite: times[2], rinse: times[3], air: Seconds(0.0) };
            PlateTurn { stop_out: Some(*bites.start()), bites, round, slope: -0.1 }
        };
        let turns: Vec<Vec<PlateTurn>> = row[0].split('|').map(|rounds| rounds.split(';').map(turn).collect()).collect();
        joined += usize::from(turns.iter().flatten().any(|turn| turn.bites.end() > turn.bites.start()));
        let ends: Vec<usize> = turns.iter().map(|turns| *turns.last().unwrap().bites.end()).collect();
        leaving += usize::from(ends.iter().min() < ends.iter().max());
        let (most, day_min, overnight, shortest) = (minutes(&row[1]), minutes(&row[2]), &row[3] == "1", minutes(&row[4]));
        let tray = Tray::new(Millimetres(110.0 * most - 10.0), Millimetres(100.0)).unwrap();
        let sizes = vec![SizeMm { width: Millimetres(100.0), height: Millimetres(100.0) }; turns.len()];
        let plates = Plates { letters: vec![String::new(); turns.len()], sizes, turns, undecided: vec![] };
        let to = if day_min > 0.0 { day_min } else { 1440.0 };
        let hours = Hours { start: 0.0, from: 0.0, to, dry: 0.0, rinse: 0.0, dry_overnight: overnight, slack: Seconds(2.0) };
        let days = shared_day::days(&plates, hours, Some(&tray), None).unwrap();
        assert!(days.bound <= shortest + 1e-6 && days.minutes >= shortest - 1e-6, "{} {} {shortest}: {row:?}", days.bound, days.minutes);
        let most = if days.nights.is_empty() { 1.03 } else { 1.25 };
        assert!(days.minutes <= most * shortest + 1e-6, "{} of {shortest}: {row:?}", days.minutes);
        all += 1;
        exact += usize::from(days.minutes <= shortest + 1e-6);
    }
    assert!(all >= 25 && joined >= 8 && leaving >= 8 && 10 * exact >= 7 * all, "{exact} of {all} are the shortest, {joined} {leaving}");
}

#[test]
fn rows_are_those_that_trying_every_order_finds() {
    for row in table("plate_rows.csv") {
        let lights: Vec<Lightness> = row[0].split_whitespace().map(|light| Lightness(light.parse().unwrap())).collect();
        let edges: Vec<EdgeProfile> = lights.chunks(5).map(|lights| EdgeProfile::new(Millimetres(20.0), lights)).collect();
        let edge = |state: usize, right: bool| {
            let turned = state % 2 == 1;
            let edge = &edges[2 * (state / 2) + usize::from(right != turned)];
            if turned { edge.turned() } else { edge.clone() }
        };
        let none = Millimetres(0.0);
        let between: Vec<f64> = (0..144).map(|i| joint(&edge(i / 12, true), &edge(i % 12, false), none, none).unwrap().tone).collect();
        let wanted: Vec<f64> = row[1..].iter().map(|value| value.parse().unwrap()).collect();
        let rules = |turns| Rules::new(&[Pin::default(); 6], turns).alike(true);
        let found = |turns, wish| rows::best(&between, &rules(turns), wish, 1).unwrap()[0].sum();
        // Joints are told to a millionth: five of them.
        let told = 5e-6;
        assert_abs_diff_eq!(found(true, Wish::RunOn), wanted[0], epsilon = told);
        assert_abs_diff_eq!(found(true, Wish::Contrast), wanted[1], epsilon = told);
        assert_abs_diff_eq!(rows::mildest(&between, &rules(true)).unwrap().worst(), wanted[2], epsilon = told);
        assert_abs_diff_eq!(found(false, Wish::RunOn), wanted[3], epsilon = told);
    }
}

/// The demo drawings on plates of their own size: the maps that stop-outs would be made of, against the drawings measured by NumPy.
#[test]
fn the_demo_drawings_run_on_in_the_order_they_were_drawn_for() {
    let prints: Vec<Lightness> = (0..10).map(|tone| Lightness(91.0 - 69.5 / 9.0 * f64::from(tone))).collect();
    let plates = [("slipway", 120.0), ("ice-house", 160.0), ("breakwater", 120.0), ("gantry", 90.0)].map(|(name, width)| {
        let (plate, map, resolution) = stepbite_tests::plate::drawn(&format!("{name}.png"), (width, 180.0));
        Faced::of(map.plane(), resolution, &prints, plate.size(), Some(Millimetres(62.0)))
    });
    let joints = facing::table_across(&plates, Align::Horizon);
    let letter = |plate: usize| ["A", "B", "C", "D"][plate];
    let mut measured = std::collections::BTreeMap::new();
    for row in table("plate_edges.csv") {
        measured.insert(row[0].clone(), row[1].parse::<f64>().unwrap());
    }
    for (left, right) in (0..4).flat_map(|left| (0..4).map(move |right| (left, right))).filter(|(left, right)| left != right) {
        let wanted = measured[&format!("{}|{}", letter(left), letter(right))];
        let found = joints[2 * left * 8 + 2 * right].unwrap().tone;
        // What clean-up takes away and smooths is a hand's, and no figure's: under a third of a tone of the ladder.
        assert!((found - wanted).abs() < 2.5, "{}|{}: {found:.2} for {wanted:.2}", letter(left), letter(right));
    }
    let costs = facing::costs(&joints, Weigh::Tone);
    let rules = |turns| Rules::new(&[Pin::default(); 4], turns).alike(true);
    let words = |row: &rows::Row| row.order.iter().map(|one| letter(one.plate)).collect::<String>();
    let upright = rows::best(&costs, &rules(false), Wish::RunOn, 24).unwrap();
    assert_eq!(words(&upright[0]), "CABD");
    assert!(upright[1].sum() > 1.5 * upright[0].sum(), "{} after {}", upright[1].sum(), upright[0].sum());
    assert_eq!(words(&rows::mildest(&costs, &rules(false)).unwrap()), "CABD");
    // Turned plates win nothing here, by tones or by tones and shapes.
    for weigh in [Weigh::Tone, Weigh::Both] {
        let best = &rows::best(&facing::costs(&joints, weigh), &rules(true), Wish::RunOn, 1).unwrap()[0];
        assert_eq!(words(best), "CABD", "{best:?}");
        assert!(best.order.iter().all(|one| !one.turned), "{best:?}");
    }
    // The worst joint of that row is the one that is worst as measured.
    let pairs = ["C|A", "A|B", "B|D"];
    let worst = |of: &dyn Fn(usize) -> f64| (0..3).max_by(|a, b| of(*a).total_cmp(&of(*b))).unwrap();
    assert_eq!(worst(&|at| upright[0].joints[at]), worst(&|at| measured[pairs[at]]));
}
