//! Zones of ink: several inks on one plate, each where the printer wants it, running softly into one another.
//!
//! Zones are outlines on the face, later ones over earlier ones; around them lies the plate's own ink. What counts is the ground that
//! each ink has in the end: two inks share the border between their grounds by halves and part over a width that a dabber or a rag
//! leaves (5 to 10 mm is common practice, no source). So zones that touch run into each other, with none of the ink around them between, and two zones of
//! one ink have no border at all. Where three inks meet, the two that are strongest at a point are mixed, each less by what the third has there: so
//! nothing jumps where the third becomes the second.

use crate::distance::squared_to_other;
use crate::film::Film;
use crate::hand::area::{self, Raster};
use crate::piece::Piece;
use crate::plane::Plane;
use crate::pull::{Blend, InkMap};
use crate::units::{Millimetres, PxPerMm};
use std::fmt;

mod report;
pub use report::{LEAST_DISC, Report};

/// A zone of ink.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// What the printer calls it.
    pub name: String,
    /// Its ink, by its place among the plate's films; 0 = the ink around the zones.
    pub ink: u8,
    /// Its shape.
    pub piece: Piece,
}

/// Zones that can't be inked.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ZoneError {
    /// More than one plate holds.
    Many {
        /// How many came.
        zones: usize,
    },
    /// An ink that is not there.
    Ink {
        /// The zone.
        name: String,
        /// The ink's place that it names.
        ink: u8,
        /// How many inks there are.
        inks: usize,
    },
    /// A border that is no width.
    Border,
}

impl fmt::Display for ZoneError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Many { zones } => write!(f, "One plate takes up to {} zones of ink, {zones} came: join some.", Zone::MOST),
            Self::Ink { name, ink, inks } => {
                write!(f, "Zone “{name}” names ink {}, there are {inks}: choose one of these for it.", u32::from(*ink) + 1)
            }
            Self::Border => {
                write!(f, "Zones run into each other over 0 to {} mm, another width came: 5 to 10 mm is usual.", Zone::WIDEST_BORDER.0)
            }
        }
    }
}

impl std::error::Error for ZoneError {}

impl Zone {
    /// Most zones of one plate.
    pub const MOST: usize = 60;
    /// Widest border.
    pub const WIDEST_BORDER: Millimetres = Millimetres(50.0);
}

/// Most pixels of a map of zones: a border is soft, and a screen has no more.
const MOST_PIXELS: f64 = 2e6;
/// Pixels across a border: several to a sixteenth, so that these run smoothly also along slanting borders.
const ACROSS: f64 = 40.0;

/// A raster of a face, as fine as asked for where that is not too much.
fn raster(face: (Millimetres, Millimetres), wanted: f64) -> Raster {
    let resolution = PxPerMm(wanted.min((MOST_PIXELS / (face.0.0 * face.1.0).max(1e-6)).sqrt()));
    let side = |length: Millimetres| libm::ceil(resolution.px(length) - 1e-9).max(1.0) as usize;
    Raster { width: side(face.0), height: side(face.1), resolution }
}

/// Whose ground each pixel is: 0 = around the zones, else the zone's place and 1.
fn grounds(zones: &[Zone], raster: Raster) -> Plane<u8> {
    let mut map = Plane::filled(raster.width, raster.height, 0u8);
    for (zone, number) in zones.iter().zip(1u8..) {
        area::polygon(raster, zone.piece.outline(), |y, start, end| {
            map.data_mut()[y * raster.width + start..y * raster.width + end].fill(number);
        });
    }
    map
}

/// The same on a raster of its own: about as fine as asked for. For sheets.
pub(crate) fn ground_map(zones: &[Zone], face: (Millimetres, Millimetres), wanted: PxPerMm) -> (Plane<u8>, PxPerMm) {
    let raster = raster(face, wanted.0);
    (grounds(zones, raster), raster.resolution)
}

fn check(zones: &[Zone], inks: usize) -> Result<(), ZoneError> {
    if zones.len() > Zone::MOST {
        return Err(ZoneError::Many { zones: zones.len() });
    }
    match zones.iter().find(|zone| usize::from(zone.ink) >= inks) {
        Some(zone) => Err(ZoneError::Ink { name: zone.name.clone(), ink: zone.ink, inks }),
        None => Ok(()),
    }
}

/// Which inks lie where on a face of a size, for borders of a width; none where all of it is the ink around. `inks` is how many films the
/// plate has.
///
/// # Errors
/// When there are too many zones, one names an ink that is not there, or the border is no width.
pub fn map(zones: &[Zone], inks: usize, face: (Millimetres, Millimetres), border: Millimetres) -> Result<Option<InkMap>, ZoneError> {
    check(zones, inks)?;
    if !(0.0..=Zone::WIDEST_BORDER.0).contains(&border.0) {
        return Err(ZoneError::Border);
    }
    let raster = raster(face, if border.0 > 0.0 { (ACROSS / border.0).clamp(4.0, 10.0) } else { 10.0 });
    let ground = grounds(zones, raster);
    let of_zone: Vec<u8> = std::iter::once(0).chain(zones.iter().map(|zone| zone.ink)).collect();
    let ink = ground.map(|&zone| of_zone[usize::from(zone)]);
    let mut present = [false; 256];
    ink.data().iter().for_each(|&ink| present[usize::from(ink)] = true);
    let present: Vec<u8> = (0..=u8::MAX).filter(|&ink| present[usize::from(ink)]).collect();
    if present == [0] {
        return Ok(None);
    }
    let strongest = strongest(&ink, &present, raster.resolution.px(border));
    Ok(Some(mixed(&strongest, &present, raster.resolution)))
}

/// The two inks that are strongest at a point, by their place among those present, and how strong; and how strong the third is.
#[derive(Clone, Copy, Default)]
struct Two {
    first: (f32, u8),
    second: (f32, u8),
    third: f32,
}

/// Each pixel's two strongest inks. An ink is at half strength on its border and goes from none to all over `border` pixels.
fn strongest(ink: &Plane<u8>, present: &[u8], border: f64) -> Plane<Two> {
    let reach = (libm::ceil(border / 2.0) as usize + 1).min(crate::distance::LONGEST_REACH);
    let mut two = Plane::filled(ink.width(), ink.height(), Two::default());
    // Strength by squared distance, inside; outside it is what is left of one.
    let strength: Vec<f32> = (0..=reach * reach)
        .map(|square| {
            // From a pixel's middle to the crack between the two nearest.
            let inside = libm::sqrt(square as f64) - 0.5;
            let t = if border > 0.0 { (0.5 + inside / border).clamp(0.0, 1.0) } else { 1.0 };
            (t * t * (3.0 - 2.0 * t)) as f32
        })
        .collect();
    for (&of, place) in present.iter().zip(0u8..) {
        let own = ink.map(|&ink| u8::from(ink == of));
        let far = squared_to_other(&own, reach);
        for ((two, &own), &square) in two.data_mut().iter_mut().zip(own.data()).zip(far.data()) {
            let inside = strength.get(usize::from(square)).copied().unwrap_or(1.0);
            let weight = if own == 1 { inside } else { 1.0 - inside };
            if weight > two.first.0 {
                (two.first, two.second, two.third) = ((weight, place), two.first, two.second.0);
            } else if weight > two.second.0 {
                (two.second, two.third) = ((weight, place), two.second.0);
            } else {
                two.third = two.third.max(weight);
            }
        }
    }
    two
}

/// Blends in sixteenths, numbered as they come up; the ink around, pure, is the first.
fn mixed(two: &Plane<Two>, present: &[u8], resolution: PxPerMm) -> InkMap {
    let mut blends = vec![Blend::default()];
    let count = present.len();
    let mut numbers = vec![None; count * count * 17];
    let map = two.map(|&Two { first, second, third }| {
        let (first, second) = ((first.0 - third, first.1), (second.0 - third, second.1));
        let (low, high) = if first.1 <= second.1 { (first, second) } else { (second, first) };
        let sum = low.0 + high.0;
        let share = if sum > 0.0 { f64::from(high.0 / sum) } else { 0.0 };
        let (one, other, sixteenths) = match libm::round(share * 16.0) as u8 {
            0 => (low.1, low.1, 0),
            16 => (high.1, high.1, 0),
            some => (low.1, high.1, some),
        };
        let key = (usize::from(one) * count + usize::from(other)) * 17 + usize::from(sixteenths);
        *numbers[key].get_or_insert_with(|| {
            let blend = Blend { one: present[usize::from(one)], other: present[usize::from(other)], sixteenths };
            let known = blends.iter().position(|known| *known == blend);
            known.unwrap_or_else(|| {
                blends.push(blend);
                blends.len() - 1
            }) as u16
        })
    });
    InkMap { blends, map, resolution }
}

/// What the printer should know about the zones: see [`Report`]. `films` are the plate's inks, `sheet` what they are printed on, `minutes` what one zone takes.
///
/// # Errors
/// As [`map`].
pub fn report(
    zones: &[Zone],
    films: &[Film],
    sheet: crate::colour::Rgb,
    face: (Millimetres, Millimetres),
    minutes: f64,
) -> Result<Report, ZoneError> {
    check(zones, films.len())?;
    let lightness: Vec<f64> = films.iter().map(|film| film.layer(1.0).over(sheet).luminance().lightness().0).collect();
    let raster = raster(face, 10.0);
    Ok(report::of(zones, &lightness, &grounds(zones, raster), raster.resolution, minutes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::PointMm;
    use proptest::prelude::*;

    pub(super) fn zone(name: &str, ink: u8, left: f64, top: f64, right: f64, foot: f64) -> Zone {
        let points = [(left, top), (right, top), (right, foot), (left, foot)].map(|(x, y)| PointMm { x, y });
        Zone { name: name.into(), ink, piece: Piece::new(points.to_vec()).unwrap() }
    }

    const FACE: (Millimetres, Millimetres) = (Millimetres(100.0), Millimetres(80.0));

    /// Share of an ink at a place.
    fn share(map: &InkMap, ink: u8, x: f64, y: f64) -> f64 {
        let Blend { one, other, sixteenths } =
            map.blends[usize::from(map.map.at((x * map.resolution.0) as usize, (y * map.resolution.0) as usize))];
        let other_share = f64::from(sixteenths) / 16.0;
        f64::from(u8::from(one == ink)) * (1.0 - other_share) + f64::from(u8::from(other == ink)) * other_share
    }

    #[test]
    fn without_zones_of_other_inks_there_is_no_map() {
        assert_eq!(map(&[], 1, FACE, Millimetres(7.0)), Ok(None));
        assert_eq!(map(&[zone("same", 0, 10.0, 10.0, 50.0, 50.0)], 2, FACE, Millimetres(7.0)), Ok(None));
        assert_eq!(map(&[zone("off", 1, -50.0, 10.0, -20.0, 50.0)], 2, FACE, Millimetres(7.0)), Ok(None));
    }

    #[test]
    fn a_border_goes_from_none_to_all_over_its_width_and_is_half_on_its_line() {
        for width in [5.0, 8.0, 10.0] {
            let map = map(&[zone("right", 1, 50.0, -10.0, 120.0, 90.0)], 2, FACE, Millimetres(width)).unwrap().unwrap();
            assert_eq!(map.blends[0], Blend::default());
            let at = |x: f64| share(&map, 1, x, 40.0);
            assert_eq!((at(50.0 - width / 2.0 - 0.6), at(50.0 + width / 2.0 + 0.6)), (0.0, 1.0), "{width}");
            for i in 0..=20 {
                let off = (f64::from(i) / 20.0 - 0.5) * width;
                let t: f64 = 0.5 + off / width;
                // A sixteenth by rounding, and half a pixel of the steepest slope, 1.5 a width.
                let slack = 1.0 / 32.0 + 0.5 / map.resolution.0 * 1.5 / width + 1e-9;
                let smooth = t * t * (3.0 - 2.0 * t);
                assert!((at(50.0 + off) - smooth).abs() <= slack, "{width} mm, {off} off: {} for {smooth}", at(50.0 + off));
            }
        }
    }

    #[test]
    fn zones_that_touch_run_into_each_other_without_the_ink_around() {
        let zones = [zone("left", 1, 10.0, 10.0, 50.0, 70.0), zone("right", 2, 50.0, 10.0, 90.0, 70.0)];
        let map = map(&zones, 3, FACE, Millimetres(8.0)).unwrap().unwrap();
        for i in 0..40 {
            let x = 45.0 + f64::from(i) * 0.25;
            assert_eq!(share(&map, 0, x, 40.0), 0.0, "at {x}");
        }
        assert!((share(&map, 1, 50.0, 40.0) - 0.5).abs() < 0.1);
        // Two zones of one ink have no border.
        let zones = [zone("left", 1, 10.0, 10.0, 50.0, 70.0), zone("right", 1, 50.0, 10.0, 90.0, 70.0)];
        let one = super::map(&zones, 2, FACE, Millimetres(8.0)).unwrap().unwrap();
        assert!((0..40).all(|i| share(&one, 1, 45.0 + f64::from(i) * 0.25, 40.0) == 1.0));
    }

    #[test]
    fn later_zones_lie_over_earlier_ones() {
        let zones = [zone("wide", 1, 10.0, 10.0, 90.0, 70.0), zone("in it", 2, 30.0, 20.0, 70.0, 60.0)];
        let of = |zones: &[Zone]| map(zones, 3, FACE, Millimetres(6.0)).unwrap().unwrap();
        assert_eq!(share(&of(&zones), 2, 50.0, 40.0), 1.0);
        let turned = [zones[1].clone(), zones[0].clone()];
        assert_eq!(share(&of(&turned), 1, 50.0, 40.0), 1.0);
    }

    #[test]
    fn where_three_inks_meet_nothing_jumps_but_at_the_one_point() {
        let zones = [zone("left", 1, -10.0, 40.0, 50.0, 90.0), zone("right", 2, 50.0, 40.0, 110.0, 90.0)];
        let map = map(&zones, 3, FACE, Millimetres(8.0)).unwrap().unwrap();
        let shares = |x: f64, y: f64| [0u8, 1, 2].map(|ink| share(&map, ink, x, y));
        // Round the point at 2 mm, a degree at a time.
        let round: Vec<[f64; 3]> =
            (0..=360).map(|a| f64::from(a).to_radians()).map(|a| shares(50.0 + 2.0 * a.cos(), 40.0 + 2.0 * a.sin())).collect();
        for pair in round.windows(2) {
            for (one, other) in pair[0].iter().zip(pair[1]) {
                assert!((one - other).abs() < 0.2, "{pair:?}");
            }
        }
        assert!((0..3).all(|ink| round.iter().any(|shares| shares[ink] > 0.6)), "each ink has its third");
    }

    #[test]
    fn a_hard_border_is_a_line_and_a_huge_plate_is_worked_coarser() {
        let hard = map(&[zone("right", 1, 50.0, 0.0, 100.0, 80.0)], 2, FACE, Millimetres(0.0)).unwrap().unwrap();
        assert_eq!(hard.blends.len(), 2);
        assert_eq!((share(&hard, 1, 49.94, 40.0), share(&hard, 1, 50.06, 40.0)), (0.0, 1.0));
        let face = (Millimetres(2000.0), Millimetres(2000.0));
        let huge = map(&[zone("some", 1, 500.0, 500.0, 1500.0, 1500.0)], 2, face, Millimetres(5.0)).unwrap().unwrap();
        assert!(huge.map.data().len() < 2_100_000);
        assert_eq!(share(&huge, 1, 1000.0, 1000.0), 1.0);
    }

    #[test]
    fn what_can_not_be_inked_is_refused_in_sentences() {
        let one = zone("sky", 3, 10.0, 10.0, 50.0, 50.0);
        for (zones, inks, border, word) in [
            (vec![one.clone()], 2, 7.0, "“sky” names ink 4"),
            (vec![one.clone(); 61], 4, 7.0, "61"),
            (vec![one.clone()], 4, f64::NAN, "0 to 50 mm"),
        ] {
            let said = map(&zones, inks, FACE, Millimetres(border)).unwrap_err().to_string();
            assert!(said.contains(word) && said.ends_with('.'), "{said}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn shares_are_sixteenths_of_inks_that_are_there(shapes in prop::collection::vec((prop::collection::vec((-5.0f64..35.0, -5.0f64..35.0), 3..6), 0u8..4), 1..5), border in 0.0f64..12.0) {
            let zones: Vec<Zone> = shapes.into_iter().map(|(points, ink)| Zone {
                name: String::new(), ink, piece: Piece::new(points.into_iter().map(PointMm::from).collect()).unwrap(),
            }).collect();
            let face = (Millimetres(30.0), Millimetres(25.0));
            if let Some(map) = map(&zones, 4, face, Millimetres(border)).unwrap() {
                for (place, blend) in map.blends.iter().enumerate() {
                    prop_assert!(blend.one <= blend.other && blend.other < 4 && blend.sixteenths < 16);
                    prop_assert_eq!(blend.one == blend.other, blend.sixteenths == 0);
                    prop_assert!(!map.blends[..place].contains(blend));
                }
                prop_assert!(map.map.data().iter().all(|&number| usize::from(number) < map.blends.len()));
            }
        }
    }
}
