//! Misfit in words: how far plates come down beside one another, and what on them is too fine for that.

use crate::affine::Affine;
use crate::opening::{Disc, opened};
use crate::plane::Plane;
use crate::pull::{Printing, Pull};
use crate::units::{Millimetres, PxPerMm};

/// Less than this, mm, is not spoken of: no printer lays plates down nearer. An estimate.
const SPOKEN: f64 = 0.1;
/// Less of a face than this is not spoken of: corners and the stairs of a raster are as much.
const SHARE: f64 = 0.005;
/// Pixels that a disc as wide as the misfit has across, at the most: finer changes nothing.
const ACROSS: f64 = 12.0;
/// Beyond this, mm, all is fine detail.
const MOST: f64 = 40.0;

/// What is narrower than a misfit on one plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Fine {
    /// The plate, by its place in the pull.
    pub plate: usize,
    /// The farthest that any point of its face comes down from where the same point of another plate does, points being told from the middle.
    pub off: Millimetres,
    /// Share of its face that no disc of that width within its tone covers, 0..=1.
    pub share: f64,
    /// The tone that most of it is.
    pub tone: u8,
}

/// Of each plate that comes down beside another: by how much, and what on it is narrower. None where all fit within a tenth of a millimetre.
#[must_use]
pub fn fine(pull: &Pull<'_>) -> Vec<Fine> {
    let of = |(plate, printing): (usize, &Printing<'_>)| {
        let others = pull.printings.iter().enumerate().filter(|(other, _)| *other != plate);
        let off = others.map(|(_, other)| apart(printing, other)).fold(0.0, f64::max);
        (off >= SPOKEN).then(|| {
            let (share, tone) = narrower(&printing.plate.map, printing.plate.resolution, off);
            Fine { plate, off: Millimetres(off), share, tone }
        })
    };
    pull.printings.iter().enumerate().filter_map(of).collect()
}

/// The same in sentences; `names` are what the plates are called, by their places, as a sentence may begin with them.
#[must_use]
pub fn remarks(pull: &Pull<'_>, names: &[String]) -> Vec<String> {
    let found = fine(pull);
    let Some(most) = found.iter().map(|fine| fine.off.0).reduce(f64::max) else { return Vec::new() };
    let name = |place: usize| match names.get(place).map(|name| name.trim()).filter(|name| !name.is_empty()) {
        Some(name) => name.chars().take(1).flat_map(char::to_uppercase).chain(name.chars().skip(1)).collect(),
        None => format!("Plate {}", place + 1),
    };
    let fine: Vec<String> = found
        .iter()
        .filter(|fine| fine.share >= SHARE)
        .map(|fine| {
            format!(
                "{} has detail narrower than the misfit of {:.1} mm, {} of its face, most of it in tone {}: it will stand beside what it belongs to.",
                name(fine.plate),
                fine.off.0,
                percent(fine.share),
                fine.tone
            )
        })
        .collect();
    if fine.is_empty() {
        vec![format!("The plates come down up to {most:.1} mm apart; hardly any detail on them is narrower than that.")]
    } else {
        fine
    }
}

fn percent(share: f64) -> String {
    if share < 0.0995 { format!("{:.1} %", share * 100.0) } else { format!("{:.0} %", share * 100.0) }
}

/// The farthest that a point of the first plate's face comes down from where another plate puts the same point, mm: as far from its middle.
fn apart(one: &Printing<'_>, other: &Printing<'_>) -> f64 {
    let (here, there): (Affine, Affine) = (one.place(), other.place());
    let half = |Printing { plate, .. }: &Printing<'_>| {
        [plate.map.width(), plate.map.height()].map(|side| 0.5 * plate.resolution.mm(side as f64).0)
    };
    let ([wide, high], [x0, y0]) = (half(one), half(other));
    // How far the two are apart grows evenly along any line, so a corner is the farthest.
    [(-wide, -high), (wide, -high), (-wide, high), (wide, high)]
        .iter()
        .map(|&(x, y)| {
            let ((x1, y1), (x2, y2)) = (here.there(wide + x, high + y), there.there(x0 + x, y0 + y));
            libm::hypot(x1 - x2, y1 - y2)
        })
        .fold(0.0, f64::max)
}

/// Share of a map that no disc `off` mm wide within its tone covers, and the tone that most of it is.
fn narrower(map: &Plane<u8>, PxPerMm(resolution): PxPerMm, off: f64) -> (f64, u8) {
    let off = off.min(MOST);
    // No finer than the disc needs, and every pixel the tone at its middle.
    let wanted = (ACROSS / off).min(resolution);
    let side = |px: usize| (libm::round(px as f64 * wanted / resolution) as usize).clamp(1, px);
    let (width, height) = (side(map.width()), side(map.height()));
    let middle = |at: usize, of: usize, to: usize| (2 * at + 1) * to / (2 * of);
    let coarse = Plane::from_fn(width, height, |x, y| map.at(middle(x, width, map.width()), middle(y, height, map.height())));
    let wide = opened(&coarse, &Disc::of_diameter(off * wanted));
    let mut lost = [0usize; 256];
    for y in 0..height {
        for (x, &tone) in coarse.row(y).iter().enumerate() {
            lost[usize::from(tone)] += usize::from(!wide.at(x, y));
        }
    }
    let most = (0..=u8::MAX).rev().max_by_key(|&tone| lost[usize::from(tone)]).unwrap_or(0);
    (lost.iter().sum::<usize>() as f64 / (width * height) as f64, most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Rgb;
    use crate::film::Film;
    use crate::grain::{Grain, GrainSettings};
    use crate::overprint::Tint;
    use crate::pull::{Grounds, Inks, Misfit, Plate};
    use crate::units::PointMm;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn plate(map: Plane<u8>) -> Plate {
        Plate {
            map,
            resolution: PxPerMm(10.0),
            tints: vec![Tint { lands: 0.5, film: 1.0, veil: 0.0 }; 4],
            undercuts: vec![None; 4],
            grain: Grain::new(GrainSettings::default()).unwrap(),
        }
    }

    /// Lines of tone 2 that are `wide` mm wide, 10 mm apart, on tone 1: 60 by 40 mm.
    fn lines(wide: f64) -> Plate {
        plate(Plane::from_fn(600, 400, |x, _| if ((x % 100) as f64 - 49.5).abs() < wide * 5.0 { 2 } else { 1 }))
    }

    fn with<T>(plates: [&Plate; 2], misfit: Misfit, of: impl Fn(&Pull<'_>) -> T) -> T {
        let (inks, grounds) = (Inks::one(Film::default()), Grounds::bare(Rgb::WHITE));
        let first = Printing { plate: plates[0], inks: &inks, trap: 1.0, misfit: Misfit::default(), veil: 0.0 };
        let printings = [first, Printing { plate: plates[1], misfit, ..first }];
        of(&Pull { face: (Millimetres(60.0), Millimetres(40.0)), grounds: &grounds, printings: &printings, n: 1.8 })
    }

    #[test]
    fn plates_that_fit_are_not_spoken_of() {
        let plate = lines(0.5);
        assert!(with([&plate, &plate], Misfit::default(), |pull| remarks(pull, &[])).is_empty());
        let hair = Misfit { shift: PointMm { x: 0.05, y: 0.0 }, ..Misfit::default() };
        assert!(with([&plate, &plate], hair, fine).is_empty());
    }

    #[test]
    fn lines_narrower_than_the_misfit_are_named_and_wider_ones_are_not() {
        let shift = Misfit { shift: PointMm { x: 0.6, y: 0.8 }, ..Misfit::default() };
        let (thin, thick) = (lines(0.6), lines(3.0));
        let found = with([&thin, &thick], shift, fine);
        assert_abs_diff_eq!(found[0].off.0, 1.0, epsilon = 1e-9);
        assert_abs_diff_eq!(found[0].share, 0.06, epsilon = 0.006);
        assert_eq!((found[0].plate, found[0].tone), (0, 2));
        assert!(found[1].share < 0.002, "{found:?}");
        let said = with([&thin, &thick], shift, |pull| remarks(pull, &["this plate".into(), "B".into()]));
        assert_eq!(said.len(), 1);
        assert!(
            said[0].starts_with("This plate has detail")
                && said[0].contains("1.0 mm")
                && said[0].contains("tone 2")
                && said[0].ends_with('.')
        );
        let said = with([&thick, &thick], shift, |pull| remarks(pull, &[]));
        assert!(said.len() == 1 && said[0].contains("hardly any"), "{said:?}");
    }

    #[test]
    fn growth_and_turn_are_farthest_at_a_corner() {
        let plate = lines(0.6);
        // 0.4 % across of 60 mm about its middle: 0.12 mm at either end.
        let grown = Misfit { growth: (0.004, 0.0), ..Misfit::default() };
        assert_abs_diff_eq!(with([&plate, &plate], grown, fine)[1].off.0, 0.12, epsilon = 1e-9);
        // A chord: 2 · half the diagonal · sin(half the angle).
        let turned = Misfit { turn: 1.0, ..Misfit::default() };
        let chord = libm::hypot(60.0, 40.0) * libm::sin(0.5f64.to_radians());
        assert_abs_diff_eq!(with([&plate, &plate], turned, fine)[0].off.0, chord, epsilon = 1e-9);
    }

    #[test]
    fn a_smaller_plate_lies_middle_on_middle_and_that_is_no_misfit() {
        let (large, small) = (plate(Plane::filled(1000, 800, 1)), plate(Plane::filled(500, 500, 1)));
        let size = |wide: f64, high: f64| (Millimetres(wide), Millimetres(high));
        let centred = |misfit: Misfit| misfit.centred(size(50.0, 50.0), size(100.0, 80.0));
        for turn in [0.0, 3.0] {
            with([&large, &small], centred(Misfit { turn, ..Misfit::default() }), |pull| {
                let (x, y) = pull.printings[1].place().there(25.0, 25.0);
                assert_abs_diff_eq!(x, 50.0, epsilon = 1e-9);
                assert_abs_diff_eq!(y, 40.0, epsilon = 1e-9);
            });
        }
        assert!(with([&large, &small], centred(Misfit::default()), fine).is_empty());
        let moved = with([&large, &small], centred(Misfit { shift: PointMm { x: 0.3, y: 0.4 }, ..Misfit::default() }), fine);
        assert_abs_diff_eq!(moved[0].off.0, 0.5, epsilon = 1e-9);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]

        #[test]
        fn a_larger_misfit_leaves_no_less_beside(seed in any::<u64>(), off in 0.2f64..6.0) {
            let mut state = seed;
            let coarse: Vec<u8> = (0..96).map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 33) as u8 % 3
            }).collect();
            let map = Plane::from_fn(240, 160, |x, y| coarse[y / 20 * 12 + x / 20]);
            let (less, _) = narrower(&map, PxPerMm(10.0), off);
            let (more, _) = narrower(&map, PxPerMm(10.0), off * 2.0);
            prop_assert!((0.0..=1.0).contains(&less) && less <= more + 0.02, "{less} {more}");
        }

        #[test]
        fn no_misfit_is_too_odd(x in prop::num::f64::ANY, y in prop::num::f64::ANY, growth in prop::num::f64::ANY, turn in prop::num::f64::ANY) {
            let plate = plate(Plane::filled(30, 20, 1));
            let misfit = Misfit { shift: PointMm { x, y }, growth: (growth, 0.0), turn };
            let found = with([&plate, &plate], misfit, fine);
            prop_assert!(found.iter().all(|fine| (0.0..=1.0).contains(&fine.share)));
        }
    }
}
