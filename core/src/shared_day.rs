//! Several plates, one pair of hands, one bath: in which order to paint and to bite, so that the day is short.
//!
//! A plate's rounds follow one another: paint, let dry, bite, rinse. Painting, biting and rinsing take the hands (no bite is left alone, and
//! no two are under way at once); drying does not. So a day is an order of hands' work, each begun as soon as the hands and the plate are
//! free. The order is made by looking for what can begin first and has most before it, and bettered by moving one piece of work at a time
//! for as long as that shortens the day, shaken, and bettered again. How near that is to the best there can be is told by a bound that no
//! order gets under.
//!
//! Plates that lie in the tray together share a dip where it is equally long for each: in at once, out at once, rinsed one after another. A bite
//! under a minute ([`SHORT`]) is nobody's to share: two such are too much for one pair of eyes. Where
//! the day is no longer for it, plates change places from round to round, so that a tiring bath is as old for one as for another.

use crate::plate::SizeMm;
use crate::units::Seconds;

mod bound;
mod drift;
mod error;
mod nights;
mod order;
mod tray;
pub use error::DaysError;
pub use nights::{Days, MOST_PLATES, Night, PlateTurn, Plates, Task, days};
pub use tray::{BETWEEN, Tray, TrayError};

/// No two bites shorter than this are under way at once. Common practice, no source.
pub const SHORT: Seconds = Seconds(60.0);
/// Rounding of a time that is another, s.
const SAME: f64 = 1e-6;

/// Whether plates may share a dip so long.
fn shareable(bite: Seconds) -> bool {
    bite.0 >= SHORT.0 - SAME
}

/// One round of a plate.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Round {
    /// Painting the stop-out; hands.
    pub paint: Seconds,
    /// Until the varnish is dry; no hands.
    pub dry: Seconds,
    /// In the bath; hands stay by.
    pub bite: Seconds,
    /// Rinsing; hands.
    pub rinse: Seconds,
    /// Until it may be painted again; no hands.
    pub air: Seconds,
}

/// What the hands do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Paint the stop-out of a round.
    Paint,
    /// Bite and rinse.
    Bite,
}

/// One piece of work of the day. Plates of one dip have an entry each, with one beginning and one lifting; they are rinsed in turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// Which plate.
    pub plate: usize,
    /// Which of its rounds, from 0.
    pub round: usize,
    /// What.
    pub work: Work,
    /// When it begins, from the day's beginning.
    pub from: Seconds,
    /// Of a bite, when the plate comes out; of a painting, its end.
    pub lifted: Seconds,
    /// When the hands are done with this plate.
    pub to: Seconds,
}

/// A day.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    /// What the hands do, in order.
    pub entries: Vec<Entry>,
    /// When all is done: the last plate rinsed.
    pub length: Seconds,
    /// No order is done sooner than this.
    pub bound: Seconds,
    /// How old the bath is for each plate, in the mean, as a share of all that is bitten in it; none: it is not bitten.
    pub ages: Vec<Option<f64>>,
}

impl Day {
    /// How far the plates' baths lie apart in age, a share of all that is bitten.
    #[must_use]
    pub fn spread(&self) -> f64 {
        drift::spread(&self.ages)
    }
}

/// A short day for plates with these rounds, each bitten alone. Times below 0, or that are none, count as 0.
#[must_use]
pub fn day(plates: &[Vec<Round>]) -> Day {
    shared(plates, &vec![1.0; plates.len()], None, 1.0)
}

/// The same for plates of these sizes that may share this tray.
///
/// # Errors
/// The first plate that does not lie in it.
pub fn day_in(plates: &[Vec<Round>], sizes: &[SizeMm], tray: &Tray) -> Result<Day, TrayError> {
    tray.takes_each(sizes)?;
    Ok(tried(plates, sizes, Some(tray), 1.0))
}

/// What each plate takes of the tray's floor, 0 to 1: one larger than it lies alone, and is not two dips for that.
fn shares_of(sizes: &[SizeMm], tray: &Tray) -> Vec<f64> {
    sizes.iter().map(|size| (size.width.0 * size.height.0 / tray.area()).min(1.0)).collect()
}

fn tried(plates: &[Vec<Round>], sizes: &[SizeMm], tray: Option<&Tray>, tries: f64) -> Day {
    let areas: Vec<f64> = sizes.iter().map(|size| size.width.0 * size.height.0).collect();
    let Some(tray) = tray.filter(|_| plates.len() == sizes.len()) else { return shared(plates, &areas, None, tries) };
    let shares = shares_of(sizes, tray);
    let fits = |set: u64| {
        let within: Vec<SizeMm> = sizes.iter().enumerate().filter(|(plate, _)| set >> plate & 1 == 1).map(|(_, size)| *size).collect();
        tray.takes(&within)
    };
    shared(plates, &areas, Some((&shares, &fits)), tries)
}

/// What each plate takes of the tray's floor, and whether plates, a bit each, lie in it together.
type Floor<'a> = (&'a [f64], &'a dyn Fn(u64) -> bool);

fn shared(plates: &[Vec<Round>], areas: &[f64], tray: Option<Floor<'_>>, tries: f64) -> Day {
    let plates: Vec<Vec<Round>> = plates.iter().map(|rounds| rounds.iter().map(held).collect()).collect();
    let bound = bound::bound(&plates, tray.map(|(shares, _)| shares));
    let works = order::Plates::new(&plates, tray.map(|(_, fits)| fits));
    let (mut order, length) = works.shortest(bound, tries);
    works.evened(&mut order, areas);
    let mut entries = Vec::with_capacity(order.plates.len());
    works.run(&order, Some(&mut entries));
    let ages = drift::ages(&entries, &plates, areas);
    Day { entries, length: Seconds(length), bound: Seconds(bound), ages }
}

fn held(round: &Round) -> Round {
    let time = |time: Seconds| Seconds(if time.0.is_finite() { time.0.max(0.0) } else { 0.0 });
    Round { paint: time(round.paint), dry: time(round.dry), bite: time(round.bite), rinse: time(round.rinse), air: time(round.air) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Millimetres;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn minutes(paint: f64, dry: f64, bite: f64, rinse: f64) -> Round {
        let [paint, dry, bite, rinse] = [paint, dry, bite, rinse].map(|minutes| Seconds(60.0 * minutes));
        Round { paint, dry, bite, rinse, air: Seconds(0.0) }
    }

    /// Plates of nine bites: paint 12, dry 25, bite 2, rinse and dry 5 minutes (the worked demo, our own invention).
    fn demo(plates: usize) -> Day {
        day(&vec![vec![minutes(12.0, 25.0, 2.0, 5.0); 9]; plates])
    }

    #[test]
    fn the_demo_days_are_as_short_as_worked_out() {
        let hours = |time: Seconds| time.0 / 3600.0;
        assert_abs_diff_eq!(hours(demo(1).length), 6.6, epsilon = 1e-9);
        assert!(hours(demo(2).length) <= 6.95, "{}", hours(demo(2).length));
        let four = demo(4);
        assert!(hours(four.length) <= 11.6 + 1e-9, "{}", hours(four.length));
        assert!(four.length.0 <= 1.03 * four.bound.0, "{} of {}", hours(four.length), hours(four.bound));
        assert!(hours(four.bound) >= 11.4);
        assert_eq!(four.entries.len(), 4 * 9 * 2);
    }

    #[test]
    fn what_is_waited_at_the_beginning_and_at_the_end_is_in_the_bound() {
        // Three plates of four rounds: hands 12 × 18.25 = 219 minutes; the first varnish is dry at 37, and three paintings are done at 36; after
        // the last painting 25 minutes of drying have two bites of 7 in them.
        let rounds: Vec<Round> = (1..=4).map(|bite| minutes(12.0, 25.0, 0.5 * f64::from(bite), 5.0)).collect();
        let day = day(&vec![rounds; 3]);
        assert_abs_diff_eq!(day.bound.0 / 60.0, 219.0 + 1.0 + 11.0, epsilon = 1e-9);
        assert_abs_diff_eq!(day.length.0, day.bound.0, epsilon = 1e-6);
    }

    #[test]
    fn odd_plates_have_days_too() {
        assert_eq!(day(&[]), Day { entries: vec![], length: Seconds(0.0), bound: Seconds(0.0), ages: vec![] });
        assert_eq!(day(&[vec![], vec![]]).length, Seconds(0.0));
        let wild =
            Round { paint: Seconds(f64::NAN), dry: Seconds(-5.0), bite: Seconds(f64::INFINITY), rinse: Seconds(60.0), air: Seconds(1.0) };
        assert_eq!(day(&[vec![wild]]).length, Seconds(60.0));
        // Thirty plates are no more than a moment's work.
        let many = day(&vec![vec![minutes(12.0, 25.0, 2.0, 5.0); 9]; 30]);
        assert!(many.length.0 >= many.bound.0 && many.length.0 <= 1.03 * many.bound.0);
    }

    #[test]
    fn plates_of_one_dip_go_in_and_come_out_at_once_and_are_rinsed_in_turn() {
        let size = SizeMm { width: Millimetres(120.0), height: Millimetres(180.0) };
        let rounds = vec![vec![minutes(12.0, 25.0, 2.0, 5.0); 9]; 4];
        // Two of them lie in the tray.
        let two = Tray::new(Millimetres(250.0), Millimetres(180.0)).unwrap();
        let day = day_in(&rounds, &[size; 4], &two).unwrap();
        assert!(day.length < demo(4).length && day.length.0 <= 1.03 * day.bound.0, "{} of {}", day.length.0 / 60.0, day.bound.0 / 60.0);
        // 36 paintings, 36 rinses, and 18 dips at least.
        assert_abs_diff_eq!(day.bound.0 / 60.0, 36.0 * 17.0 + 18.0 * 2.0 + 4.0, epsilon = 1e-9);
        for entry in day.entries.iter().filter(|entry| entry.work == Work::Bite) {
            let with: Vec<&Entry> = day.entries.iter().filter(|other| other.work == Work::Bite && other.from == entry.from).collect();
            assert!(with.len() <= 2 && with.iter().all(|other| other.lifted == entry.lifted));
        }
        // As old for one as for another, or nearly.
        assert!(day.spread() < 0.05, "{:?}", day.ages);
        // The same plates alone: what is costless is evened out too.
        assert!(demo(4).spread() < 0.05, "{:?}", demo(4).ages);
    }

    #[test]
    fn short_bites_are_nobodys_to_share_and_a_plate_larger_than_the_tray_is_named() {
        let size = |width: f64| SizeMm { width: Millimetres(width), height: Millimetres(180.0) };
        let wide = Tray::new(Millimetres(500.0), Millimetres(180.0)).unwrap();
        let shared = |bite: f64| {
            let day = day_in(&vec![vec![minutes(12.0, 5.0, bite, 5.0); 3]; 3], &[size(120.0); 3], &wide).unwrap();
            assert!(day.bound.0 <= day.length.0 + 1e-6);
            let mut dips: Vec<f64> = day.entries.iter().filter(|entry| entry.work == Work::Bite).map(|entry| entry.from.0).collect();
            dips.dedup();
            (dips.len(), day.bound.0)
        };
        // Nine bites: of a minute they may share dips, of 59 s each is alone, and the bound knows it.
        let (alone, bound) = shared(59.0 / 60.0);
        assert_eq!(alone, 9);
        assert!(bound >= 9.0 * 59.0 + 9.0 * 17.0 * 60.0);
        assert!(shared(1.0).0 < 9);
        // Bites of no length are of plates without a strip: nobody knows whether they are alike.
        assert_eq!(shared(0.0).0, 9);
        let small = Tray::new(Millimetres(100.0), Millimetres(180.0)).unwrap();
        let rounds = vec![vec![minutes(12.0, 25.0, 2.0, 5.0); 2]; 2];
        let said = day_in(&rounds, &[size(90.0), size(160.0)], &small).unwrap_err().to_string();
        assert!(said.starts_with("Plate 2 of the list measures 160 × 180 mm and does not lie flat in a tray of 100 × 180 mm"), "{said}");
        // Nor is the bound wrong where it is bitten all the same.
        let day = tried(&rounds, &[size(90.0), size(900.0)], Some(&small), 1.0);
        assert!(day.bound.0 <= day.length.0 + 1e-6, "{} {}", day.bound.0, day.length.0);
    }

    /// The shortest day of all orders, by trying them.
    fn shortest(plates: &[Vec<Round>]) -> f64 {
        fn on(plates: &[Vec<Round>], left: &mut [usize], order: &mut Vec<usize>, best: &mut f64) {
            if left.iter().all(|left| *left == 0) {
                let order = order::Order { plates: order.clone(), together: order::Together::Never };
                *best = best.min(order::Plates::new(plates, None).run(&order, None));
                return;
            }
            for plate in 0..plates.len() {
                if left[plate] > 0 {
                    left[plate] -= 1;
                    order.push(plate);
                    on(plates, left, order, best);
                    order.pop();
                    left[plate] += 1;
                }
            }
        }
        let mut best = f64::INFINITY;
        let mut left: Vec<usize> = plates.iter().map(|rounds| 2 * rounds.len()).collect();
        on(plates, &mut left, &mut vec![], &mut best);
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        #[test]
        fn a_day_is_legal_no_shorter_than_its_bound_and_near_the_shortest(
            rounds in prop::collection::vec(prop::collection::vec((1.0..30.0f64, 0.0..60.0f64, 0.5..10.0f64, 0.0..6.0f64), 1..3), 1..4),
        ) {
            let plates: Vec<Vec<Round>> = rounds.iter().map(|rounds| rounds.iter().map(|&(p, d, b, r)| minutes(p, d, b, r)).collect()).collect();
            let day = day(&plates);
            let mut free = 0.0;
            let mut ready = vec![0.0f64; plates.len()];
            let mut done = vec![0; plates.len()];
            for entry in &day.entries {
                // No two pieces of hands' work overlap; a bite waits for dry varnish, rounds for one another.
                prop_assert!(entry.from.0 >= free - 1e-9 && entry.from.0 >= ready[entry.plate] - 1e-9);
                prop_assert_eq!((entry.round, entry.work == Work::Bite), (done[entry.plate] / 2, done[entry.plate] % 2 == 1));
                let round = plates[entry.plate][entry.round];
                let hands = if entry.work == Work::Bite { round.bite.0 + round.rinse.0 } else { round.paint.0 };
                prop_assert!((entry.to.0 - entry.from.0 - hands).abs() < 1e-9);
                free = entry.to.0;
                ready[entry.plate] = free + if entry.work == Work::Bite { round.air.0 } else { round.dry.0 };
                done[entry.plate] += 1;
            }
            prop_assert!(done.iter().zip(&plates).all(|(done, rounds)| *done == 2 * rounds.len()));
            prop_assert!((free - day.length.0).abs() < 1e-9);
            let best = shortest(&plates);
            prop_assert!(day.bound.0 <= best + 1e-6, "bound {} of {best}", day.bound.0);
            prop_assert!(day.length.0 >= best - 1e-6 && day.length.0 <= 1.03 * best, "{} of {best}", day.length.0);
        }
    }
}
