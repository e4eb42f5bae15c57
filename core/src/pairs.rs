//! Pairs: every tone of one plate over every tone of another, in both orders, and how much of the face each pairing takes.
//!
//! Two plates of ten tones make a hundred colours, of which a picture shows some. Colours are those of [`Meeting`] on the bare sheet in each plate's
//! first ink; zones of ink and papers under the ink are left out, or there would be thousands. Areas are those of the maps as they came
//! down: exact for plates that came down straight, by a grid of points twice as fine as the finer map for turned ones.

use crate::affine::Affine;
use crate::colour::Rgb;
use crate::overprint::{Inking, Meeting};
use crate::plane::Plane;
use crate::pull::{Printing, Pull};
use std::fmt;

/// Two tones over one another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// The tone of the plate printed first.
    pub first: u8,
    /// The tone of the plate printed over it.
    pub second: u8,
    /// Their mean colour.
    pub colour: Rgb,
    /// Their colour if the second were printed first.
    pub other: Rgb,
    /// Share of the face where they meet, 0..=1.
    pub share: f64,
}

/// Plates that can't be paired.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PairsError {
    /// The places asked for.
    pub asked: (usize, usize),
    /// How many plates there are.
    pub plates: usize,
}

impl fmt::Display for PairsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { asked: (first, second), plates } = self;
        write!(
            f,
            "Two different plates of a pull of {plates} were expected, plates {} and {} came: choose two that print.",
            first + 1,
            second + 1
        )
    }
}

impl std::error::Error for PairsError {}

/// The pairs of two of a pull's plates, by place; all tones of the first, and for each all of the second.
///
/// # Errors
/// When one is not there, or both are one.
pub fn of(pull: &Pull<'_>, first: usize, second: usize) -> Result<Vec<Pair>, PairsError> {
    let (Some(one), Some(other)) = (pull.printings.get(first), pull.printings.get(second)) else {
        return Err(PairsError { asked: (first, second), plates: pull.printings.len() });
    };
    if first == second {
        return Err(PairsError { asked: (first, second), plates: pull.printings.len() });
    }
    let sheet = pull.grounds.colours.first().copied().unwrap_or(Rgb::WHITE);
    let inkings = |printing: &Printing<'_>| -> Vec<Inking> {
        (0..printing.plate.tints.len()).map(|tone| printing.inking(u8::try_from(tone).unwrap_or(u8::MAX))).collect()
    };
    let (ones, others) = (inkings(one), inkings(other));
    let areas = joint(one, other, (pull.face.0.0, pull.face.1.0), (ones.len(), others.len()));
    let whole = (pull.face.0.0 * pull.face.1.0).max(f64::MIN_POSITIVE);
    let mut pairs = Vec::with_capacity(areas.len());
    for (i, &a) in ones.iter().enumerate() {
        for (j, &b) in others.iter().enumerate() {
            let met = |plates: [Inking; 2]| Meeting::of(sheet, &plates, pull.n).mean;
            pairs.push(Pair {
                first: i as u8,
                second: j as u8,
                colour: met([a, b]),
                other: met([b, a]),
                share: areas[i * others.len() + j] / whole,
            });
        }
    }
    Ok(pairs)
}

/// Most points that a turned pair is looked at by.
const MOST_POINTS: f64 = 1.6e7;

/// A plate's map as it came down.
struct Down<'a> {
    map: &'a Plane<u8>,
    resolution: f64,
    place: Affine,
}

impl<'a> Down<'a> {
    fn new(printing: &Printing<'a>) -> Self {
        Self { map: &printing.plate.map, resolution: printing.plate.resolution.0, place: printing.place() }
    }

    /// Where the map's columns (or rows) part the face.
    fn lines(&self, across: bool) -> impl Iterator<Item = f64> + '_ {
        let count = if across { self.map.width() } else { self.map.height() };
        (0..=count).map(move |line| {
            let at = line as f64 / self.resolution;
            if across { self.place.there(at, 0.0).0 } else { self.place.there(0.0, at).1 }
        })
    }

    /// The column (or row) under a place of the face; none off the map.
    fn under(&self, at: f64, across: bool) -> Option<usize> {
        let (count, at) =
            if across { (self.map.width(), self.place.back(at, 0.0).0) } else { (self.map.height(), self.place.back(0.0, at).1) };
        let place = libm::floor(at * self.resolution);
        (place >= 0.0 && place < count as f64).then_some(place as usize)
    }
}

/// A stretch of the face along one axis: its length, and the column (or row) of either map that lies under it.
type Stretch = (f64, usize, usize);

/// The stretches of an axis where both maps lie, cut wherever either changes its column (or row).
fn stretches(one: &Down<'_>, other: &Down<'_>, length: f64, across: bool) -> Vec<Stretch> {
    let mut cuts: Vec<f64> =
        one.lines(across).chain(other.lines(across)).chain([0.0, length]).filter(|cut| (0.0..=length).contains(cut)).collect();
    cuts.sort_by(f64::total_cmp);
    let between = |pair: &[f64]| {
        let middle = 0.5 * (pair[0] + pair[1]);
        // Lines of both maps that should be one may part by rounding.
        let wide = pair[1] - pair[0];
        (wide > 1e-9).then(|| Some((wide, one.under(middle, across)?, other.under(middle, across)?))).flatten()
    };
    cuts.windows(2).filter_map(between).collect()
}

/// Area, mm², of each pair of tones, row after row of the first's.
fn joint(one: &Printing<'_>, other: &Printing<'_>, face: (f64, f64), tones: (usize, usize)) -> Vec<f64> {
    let mut areas = vec![0.0; tones.0 * tones.1];
    let mut add = |a: u8, b: u8, area: f64| {
        let (a, b) = (usize::from(a), usize::from(b));
        if a < tones.0 && b < tones.1 {
            areas[a * tones.1 + b] += area;
        }
    };
    let (one, other) = (Down::new(one), Down::new(other));
    if one.place.upright() && other.place.upright() {
        let across = stretches(&one, &other, face.0, true);
        for (tall, a, b) in stretches(&one, &other, face.1, false) {
            let (a, b) = (one.map.row(a), other.map.row(b));
            for &(wide, x, u) in &across {
                add(a[x], b[u], wide * tall);
            }
        }
        return areas;
    }
    let fine = (2.0 * one.resolution.max(other.resolution)).min((MOST_POINTS / (face.0 * face.1).max(1e-6)).sqrt());
    let count = |length: f64| libm::ceil(length * fine).max(1.0);
    let (columns, rows) = (count(face.0), count(face.1));
    let (wide, tall) = (face.0 / columns, face.1 / rows);
    let tone = |down: &Down<'_>, x: f64, y: f64| {
        let (x, y) = down.place.back(x, y);
        let (x, y) = (libm::floor(x * down.resolution), libm::floor(y * down.resolution));
        let on = x >= 0.0 && y >= 0.0 && x < down.map.width() as f64 && y < down.map.height() as f64;
        on.then(|| down.map.at(x as usize, y as usize))
    };
    for row in 0..rows as usize {
        let y = (row as f64 + 0.5) * tall;
        for column in 0..columns as usize {
            let x = (column as f64 + 0.5) * wide;
            if let (Some(a), Some(b)) = (tone(&one, x, y), tone(&other, x, y)) {
                add(a, b, wide * tall);
            }
        }
    }
    areas
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;
    use crate::grain::{Grain, GrainSettings};
    use crate::overprint::Tint;
    use crate::pull::{Grounds, Inks, Misfit, Plate};
    use crate::units::{Millimetres, PointMm, PxPerMm};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn plate(map: Plane<u8>, resolution: f64, tones: usize) -> Plate {
        let tints = (0..tones)
            .map(|k| {
                let share = k as f64 / (tones - 1) as f64;
                Tint { lands: 1.0 - 0.95 * share, film: share, veil: 0.0 }
            })
            .collect();
        Plate {
            map,
            resolution: PxPerMm(resolution),
            tints,
            undercuts: vec![None; tones],
            grain: Grain::new(GrainSettings::default()).unwrap(),
        }
    }

    fn ink(absorption: [f64; 3], scatter: f64) -> Inks {
        Inks::one(Film { absorption: Rgb(absorption), scatter: Rgb([scatter; 3]) })
    }

    fn printing<'a>(plate: &'a Plate, inks: &'a Inks) -> Printing<'a> {
        Printing { plate, inks, trap: 0.75, misfit: Misfit::default(), veil: 0.0 }
    }

    fn sheet() -> Grounds {
        Grounds::bare(Rgb([0.85, 0.83, 0.77]))
    }

    fn noise(width: usize, height: usize, seed: u64, tones: u8) -> Plane<u8> {
        let mut state = seed;
        Plane::from_fn(width, height, |_, _| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as u8 % tones
        })
    }

    #[test]
    fn exact_places_count_pixels() {
        let (a, b) = (plate(noise(40, 30, 1, 4), 10.0, 4), plate(noise(40, 30, 2, 3), 10.0, 3));
        let (one, other) = (ink([1.0, 0.4, 0.1], 0.0), ink([0.1, 0.5, 1.2], 0.3));
        let grounds = sheet();
        let printings = [printing(&a, &one), printing(&b, &other)];
        let pull = Pull { face: (Millimetres(4.0), Millimetres(3.0)), grounds: &grounds, printings: &printings, n: 1.8 };
        let pairs = of(&pull, 0, 1).unwrap();
        assert_eq!(pairs.len(), 12);
        for pair in &pairs {
            let count = a.map.data().iter().zip(b.map.data()).filter(|(x, y)| (**x, **y) == (pair.first, pair.second)).count();
            assert_abs_diff_eq!(pair.share, count as f64 / 1200.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn a_tone_never_bitten_leaves_the_other_alone_and_two_orders_part_by_opacity_only() {
        let (a, b) = (plate(noise(8, 8, 1, 3), 2.0, 3), plate(noise(8, 8, 2, 3), 2.0, 3));
        let (one, other) = (ink([1.0, 0.4, 0.1], 0.0), ink([0.1, 0.5, 1.2], 0.0));
        let opaque = ink([0.1, 0.5, 1.2], 2.0);
        let grounds = sheet();
        let made = |one: &Inks, other: &Inks, trap: f64| {
            let printings = [Printing { trap, ..printing(&a, one) }, Printing { trap, ..printing(&b, other) }];
            of(&Pull { face: (Millimetres(4.0), Millimetres(4.0)), grounds: &grounds, printings: &printings, n: 1.8 }, 0, 1).unwrap()
        };
        let dry = made(&one, &other, 1.0);
        assert_eq!(dry[0].colour.bytes(), grounds.colours[0].bytes());
        for pair in &dry {
            for i in 0..3 {
                assert_abs_diff_eq!(pair.colour.0[i], pair.other.0[i], epsilon = 1e-12);
            }
        }
        let last = made(&one, &opaque, 1.0)[8];
        assert!(last.colour.lab().difference(last.other.lab()) > 5.0, "{last:?}");
        let wet = made(&one, &other, 0.5)[8];
        assert!(wet.colour.lab().difference(wet.other.lab()) > 1.0, "{wet:?}");
    }

    #[test]
    fn a_shift_takes_what_falls_off_with_it() {
        let whole = plate(Plane::filled(100, 50, 1u8), 10.0, 2);
        let inks = ink([1.0; 3], 0.0);
        let grounds = sheet();
        let moved = Misfit { shift: PointMm { x: 1.55, y: -0.5 }, ..Misfit::default() };
        let printings = [printing(&whole, &inks), Printing { misfit: moved, ..printing(&whole, &inks) }];
        let pull = Pull { face: (Millimetres(10.0), Millimetres(5.0)), grounds: &grounds, printings: &printings, n: 1.8 };
        assert_abs_diff_eq!(of(&pull, 0, 1).unwrap()[3].share, 0.845 * 0.9, epsilon = 1e-9);
        let turned = Misfit { turn: 2.0, ..Misfit::default() };
        let printings = [printing(&whole, &inks), Printing { misfit: turned, ..printing(&whole, &inks) }];
        let pull = Pull { face: (Millimetres(10.0), Millimetres(5.0)), grounds: &grounds, printings: &printings, n: 1.8 };
        let share = of(&pull, 0, 1).unwrap()[3].share;
        // What a rectangle turned by θ about its middle leaves of itself, each corner losing a triangle of w/2 (or h/2) legs, nearly.
        assert!((0.97..0.99).contains(&share), "{share}");
    }

    #[test]
    fn plates_that_are_not_there_are_refused() {
        let a = plate(noise(8, 8, 1, 3), 2.0, 3);
        let inks = ink([1.0; 3], 0.0);
        let grounds = sheet();
        let printings = [printing(&a, &inks), printing(&a, &inks)];
        let pull = Pull { face: (Millimetres(4.0), Millimetres(4.0)), grounds: &grounds, printings: &printings, n: 1.8 };
        for (first, second) in [(0, 2), (1, 1)] {
            let said = of(&pull, first, second).unwrap_err().to_string();
            assert!(said.contains("pull of 2") && said.ends_with('.'), "{said}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn shares_add_up_to_where_both_lie(seed in any::<u64>(), dx in -2.0f64..2.0, dy in -2.0f64..2.0, growth in -0.02f64..0.02, fine in 3.0f64..12.0) {
            let a = plate(noise(50, 40, seed, 5), 10.0, 5);
            let b = plate(noise((5.0 * fine) as usize, (4.0 * fine) as usize, !seed, 4), fine, 4);
            let inks = ink([1.0; 3], 0.0);
            let grounds = sheet();
            let misfit = Misfit { shift: PointMm { x: dx, y: dy }, growth: (growth, -growth), turn: 0.0 };
            let printings = [printing(&a, &inks), Printing { misfit, ..printing(&b, &inks) }];
            let pull = Pull { face: (Millimetres(5.0), Millimetres(4.0)), grounds: &grounds, printings: &printings, n: 1.8 };
            let sum: f64 = of(&pull, 0, 1).unwrap().iter().map(|pair| pair.share).sum();
            let (wide, high) = (b.map.width() as f64 / fine, b.map.height() as f64 / fine);
            let overlap = |size: f64, face: f64, shift: f64, growth: f64| {
                let middle = size / 2.0 + shift;
                let half = size / 2.0 * growth;
                ((middle + half).min(face) - (middle - half).max(0.0)).max(0.0) / face
            };
            let expected = overlap(wide, 5.0, dx, 1.0 + growth) * overlap(high, 4.0, dy, 1.0 - growth);
            prop_assert!((sum - expected).abs() < 1e-6, "{sum} for {expected}");
        }
    }
}
