//! Where a hand's edges may come out otherwise: dots lighter, hatch darker.

use super::overlay::{linear, paled};
use super::{INK, Rgba, VARNISH, VARNISH_DOT, encoded, reduced};
use crate::edges::Chance;
use crate::plane::Plane;
use crate::tones::StepMap;
use crate::view::View;

/// Pixels of a shown picture from one dot to the next.
const DOTS: usize = 4;
/// Pixels from one hatch line to the next.
const HATCH: usize = 3;
/// A chance under which nothing is shown: everything may happen a little.
const LEAST: f32 = 0.08;
/// The chance that is marked in full colour.
const FULL: f32 = 0.3;

/// The chances of a hand over the paled tones as planned: varnish brown with dots where paint may run over and a place come out lighter, ink hatch
/// where it may stop short and a place come out darker; where both may be, the likelier. The stronger the likelier; under 1 in 12 nothing.
///
/// # Panics
/// When the sizes differ.
#[must_use]
pub fn chance(map: &StepMap, chance: &Chance, colours: &[[f32; 3]], size: (usize, usize), view: View) -> Plane<Rgba> {
    let plane = map.plane();
    assert!(plane.width() == chance.lighter.width() && plane.height() == chance.lighter.height(), "map and chances are of one face");
    let ground = reduced(plane, size, view, |tone| colours[usize::from(tone)].map(paled));
    let share = |of: &Plane<u8>| reduced(of, size, view, |byte| [f32::from(byte) / 255.0; 3]);
    let (lighter, darker) = (share(&chance.lighter), share(&chance.darker));
    let strength = |chance: f32| if chance < LEAST { 0.0 } else { (0.4 + 0.6 * chance / FULL).min(1.0) };
    let (varnish, dot, ink) = (linear(VARNISH), linear(VARNISH_DOT), linear(INK));
    let mixed = Plane::from_fn(size.0, size.1, |x, y| {
        let (lighter, darker) = (lighter.at(x, y)[0], darker.at(x, y)[0]);
        let (lighter, darker) = if lighter >= darker { (strength(lighter), 0.0) } else { (0.0, strength(darker)) };
        // Rows of dots, every other one shifted by half.
        let dotted = (x + y % DOTS).is_multiple_of(DOTS) && y.is_multiple_of(DOTS / 2);
        let hatched = (x + y).is_multiple_of(HATCH);
        let mut colour = ground.at(x, y);
        let mut lay = |over: [f32; 3], by: f32| colour = std::array::from_fn(|c| colour[c] * (1.0 - by) + over[c] * by);
        lay(varnish, 0.95 * lighter);
        if dotted {
            lay(dot, lighter);
        }
        lay(ink, darker * if hatched { 1.0 } else { 0.35 });
        colour
    });
    encoded(&mixed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::ToneCount;

    #[test]
    fn lighter_is_dotted_brown_darker_is_hatched_ink_and_the_rest_is_the_plan() {
        let map = StepMap::new(ToneCount::new(3).unwrap(), Plane::filled(90, 30, 1));
        let third = |from: usize| Plane::from_fn(90, 30, |x, _| if (from..from + 30).contains(&x) { 200u8 } else { 4 });
        let chances = Chance { lighter: third(0), darker: third(60) };
        let picture = chance(&map, &chances, &[[0.8; 3], [0.5; 3], [0.1; 3]], (90, 30), View::Print);
        let colours =
            |from: usize| -> std::collections::BTreeSet<Rgba> { picture.rows().flat_map(|row| row[from..from + 30].to_vec()).collect() };
        let (left, middle, right) = (colours(0), colours(30), colours(60));
        assert_eq!(middle.len(), 1, "under one in twelve is not shown");
        assert_eq!((left.len(), right.len()), (2, 2));
        assert!(left.iter().all(|&[r, _, b, _]| r > b + 10), "brown: {left:?}");
        assert!(right.iter().all(|&[r, _, b, _]| r.abs_diff(b) < 8) && right.iter().any(|c| c[0] < 60), "ink: {right:?}");
        let mirrored = chance(&map, &chances, &[[0.8; 3], [0.5; 3], [0.1; 3]], (90, 30), View::Plate);
        assert!(mirrored.row(0)[0][0].abs_diff(mirrored.row(0)[0][2]) < 8 && mirrored.row(0)[89][0] > mirrored.row(0)[89][2] + 10);
    }
}
