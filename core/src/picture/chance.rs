//! Where a hand's edges may come out otherwise: dots lighter, ink darker.

use super::overlay::{linear, paled};
use super::{INK, Rgba, VARNISH, VARNISH_DOT, encoded, reduced};
use crate::edges::Chance;
use crate::light::Reflectance;
use crate::plane::Plane;
use crate::tones::StepMap;
use crate::view::View;

/// Pixels of a shown picture from one dot to the next.
const DOTS: usize = 4;
/// A chance under which nothing is shown: everything may happen a little.
const LEAST: f32 = 0.08;
/// The chance that is marked in full colour.
const FULL: f32 = 0.3;
/// The difference of lightness that is marked in full colour, and the least that is marked at all, L*: where tones hardly differ it matters
/// little which of them a place gets.
const FAR: f32 = 24.0;
const NEAR: f32 = 3.0;

/// Marks under this are a wash alone.
const DOTTED: f32 = 0.4;

/// The chances of a hand over the paled tones as planned: varnish brown with dots where paint may run over and a place come out lighter, ink
/// where it may stop short and a place come out darker; where both may be, the likelier. The stronger the likelier, and the farther the tones
/// lie apart that meet within `reach` pixels of the map; under 1 in 12 nothing.
///
/// # Panics
/// When the sizes differ.
#[must_use]
pub fn chance(map: &StepMap, chance: &Chance, reach: f64, colours: &[[f32; 3]], size: (usize, usize), view: View) -> Plane<Rgba> {
    let plane = map.plane();
    assert!(plane.width() == chance.lighter.width() && plane.height() == chance.lighter.height(), "map and chances are of one face");
    let ground = reduced(plane, size, view, |tone| colours[usize::from(tone)].map(paled));
    let share = |of: &Plane<u8>| reduced(of, size, view, |byte| [f32::from(byte) / 255.0; 3]);
    let (lighter, darker) = (share(&chance.lighter), share(&chance.darker));
    let tones: Vec<f32> = colours.iter().map(|light| Reflectance(f64::from(light[1])).lightness().0 as f32).collect();
    let tone = reduced(plane, size, view, |tone| [tones[usize::from(tone)]; 3]).map(|l| l[0]);
    let radius = libm::ceil(reach * size.0 as f64 / plane.width() as f64) as usize;
    let (lightest, darkest) = (most(&tone, radius, f32::max), most(&tone, radius, f32::min));
    let strength = |chance: f32, apart: f32| {
        if chance < LEAST || apart < NEAR { 0.0 } else { (chance / FULL).min(1.0) * (apart / FAR).min(1.0) }
    };
    let (varnish, dot, ink) = (linear(VARNISH), linear(VARNISH_DOT), linear(INK));
    let mixed = Plane::from_fn(size.0, size.1, |x, y| {
        let (lighter, darker) = (lighter.at(x, y)[0], darker.at(x, y)[0]);
        let own = tone.at(x, y);
        let (lighter, darker) = if lighter >= darker {
            (strength(lighter, lightest.at(x, y) - own), 0.0)
        } else {
            (0.0, strength(darker, own - darkest.at(x, y)))
        };
        // Rows of dots, every other one shifted by half.
        let dotted = (x + y % DOTS).is_multiple_of(DOTS) && y.is_multiple_of(DOTS / 2);
        let mut colour = ground.at(x, y);
        let mut lay = |over: [f32; 3], by: f32| colour = std::array::from_fn(|c| colour[c] * (1.0 - by) + over[c] * by);
        lay(varnish, 0.95 * lighter);
        if dotted && lighter > DOTTED {
            lay(dot, lighter);
        }
        lay(ink, darker);
        colour
    });
    encoded(&mixed)
}

/// The most of each pixel's neighbours within a radius, across and down; by `f32::min` the least.
fn most(plane: &Plane<f32>, radius: usize, of: impl Fn(f32, f32) -> f32) -> Plane<f32> {
    let (width, height) = (plane.width(), plane.height());
    let across = Plane::from_fn(width, height, |x, y| {
        plane.row(y)[x.saturating_sub(radius)..(x + radius + 1).min(width)].iter().fold(plane.at(x, y), |most, &each| of(most, each))
    });
    Plane::from_fn(width, height, |x, y| {
        (y.saturating_sub(radius)..(y + radius + 1).min(height)).fold(across.at(x, y), |most, from| of(most, across.at(x, from)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::ToneCount;

    #[test]
    fn lighter_is_dotted_brown_darker_is_ink_and_the_rest_is_the_plan() {
        // The middle tone, with the lightest above it and the darkest beneath.
        let tone = |y: usize| if y == 0 { 0 } else { 1 + u8::from(y == 29) };
        let map = StepMap::new(ToneCount::new(3).unwrap(), Plane::from_fn(90, 30, |_, y| tone(y)));
        let third = |from: usize| Plane::from_fn(90, 30, |x, _| if (from..from + 30).contains(&x) { 200u8 } else { 4 });
        let chances = Chance { lighter: third(0), darker: third(60) };
        let lights = [[0.8; 3], [0.35; 3], [0.1; 3]];
        let picture = chance(&map, &chances, 30.0, &lights, (90, 30), View::Print);
        let colours = |from: usize| -> std::collections::BTreeSet<Rgba> {
            picture.rows().skip(1).take(28).flat_map(|row| row[from..from + 30].to_vec()).collect()
        };
        let (left, middle, right) = (colours(0), colours(30), colours(60));
        assert_eq!(middle.len(), 1, "under one in twelve is not shown");
        assert_eq!((left.len(), right.len()), (2, 1));
        assert!(left.iter().all(|&[r, _, b, _]| r > b + 10), "brown: {left:?}");
        assert!(right.iter().all(|&[r, _, b, _]| r.abs_diff(b) < 8) && right.iter().any(|c| c[0] < 60), "ink: {right:?}");
        let mirrored = chance(&map, &chances, 30.0, &lights, (90, 30), View::Plate);
        let (left, right) = (mirrored.row(9)[0], mirrored.row(9)[89]);
        assert!(left[0].abs_diff(left[2]) < 8 && right[0] > right[2] + 10);
        // What is as likely matters less where tones hardly differ, and nothing where the others are out of reach.
        let brown = |reach: f64, lights: &[[f32; 3]]| {
            let [r, _, b, _] = chance(&map, &chances, reach, lights, (90, 30), View::Print).row(14)[3];
            r.saturating_sub(b)
        };
        let near = [[0.42; 3], [0.35; 3], [0.1; 3]];
        assert!(brown(30.0, &near) > 2 && brown(30.0, &near) * 2 < brown(30.0, &lights), "{} {}", brown(30.0, &near), brown(30.0, &lights));
        assert_eq!((brown(4.0, &lights), brown(30.0, &[[0.36; 3], [0.35; 3], [0.34; 3]])), (0, 0));
    }
}
