//! Overlays: what was found or changed, in ink and colour over a paled picture.

use super::{INK, Rgba, VARNISH_DOT, VERDIGRIS, encoded, reduced};
use crate::bits::BitPlane;
use crate::frozen::{DARKER, LIGHTER};
use crate::light::{Encoded, Lightness};
use crate::plane::Plane;
use crate::tones::StepMap;
use crate::view::View;

/// The lightest and the darkest of a paled ground, linear light: what lies over it stays in sight.
const PALE: [f32; 2] = [0.62, 0.96];

pub(super) fn linear(colour: [f32; 3]) -> [f32; 3] {
    colour.map(|c| Encoded(f64::from(c) / 255.0).linear().0 as f32)
}

pub(super) fn paled(light: f32) -> f32 {
    PALE[0] + (PALE[1] - PALE[0]) * light.clamp(0.0, 1.0)
}

/// The thin dark lines in ink over the drawing without them, paled.
///
/// # Panics
/// When the sizes differ.
#[must_use]
pub fn lines(without: &Plane<f32>, found: &BitPlane, size: (usize, usize), view: View) -> Plane<Rgba> {
    assert!(without.width() == found.width() && without.height() == found.height(), "lines and drawing are of one face");
    let table: Vec<f32> = (0..=100).map(|l| paled(Lightness(f64::from(l)).reflectance().0 as f32)).collect();
    let ground = reduced(without, size, view, |l| [table[(l.clamp(0.0, 100.0) + 0.5) as usize]; 3]);
    let marks = Plane::from_fn(found.width(), found.height(), |x, y| found.at(x, y));
    let share = reduced(&marks, size, view, |on| [f32::from(u8::from(on)); 3]);
    let ink = linear(INK);
    let mixed = Plane::from_fn(size.0, size.1, |x, y| {
        // Lines thinner than a shown pixel are drawn as if they filled a good part of it, or they would fade away.
        let share = (share.at(x, y)[0] * 2.0).min(1.0);
        let ground = ground.at(x, y);
        std::array::from_fn(|c| ground[c] * (1.0 - share) + ink[c] * share)
    });
    encoded(&mixed)
}

/// Pixels of a shown picture from one hatch line to the next.
const PITCH: usize = 6;

/// What clean-up changed, over the paled tones: a highlight that is gone under verdigris, hatched from foot left to top right; a dark that is
/// gone under varnish brown, hatched the other way.
///
/// # Panics
/// When the sizes differ.
#[must_use]
pub fn removed(plain: &StepMap, clean: &StepMap, colours: &[[f32; 3]], size: (usize, usize), view: View) -> Plane<Rgba> {
    let (before, now) = (plain.plane(), clean.plane());
    assert!(before.width() == now.width() && before.height() == now.height(), "both maps are of one face");
    let turned = Plane::from_fn(now.width(), now.height(), |x, y| before.at(x, y).cmp(&now.at(x, y)));
    two_ways(now, &turned, colours, size, view)
}

/// Where a plan wants what the metal can't give any more, over the paled tones as they are: lighter under verdigris, darker under brown, hatched as
/// [`removed`]. `wishes` is that of [`crate::frozen::Wishes::map`].
///
/// # Panics
/// When the sizes differ.
#[must_use]
pub fn wishes(map: &StepMap, wishes: &Plane<u8>, colours: &[[f32; 3]], size: (usize, usize), view: View) -> Plane<Rgba> {
    assert!(map.plane().width() == wishes.width() && map.plane().height() == wishes.height(), "both are of one face");
    let turned = wishes.map(|&wish| match wish {
        LIGHTER => std::cmp::Ordering::Less,
        DARKER => std::cmp::Ordering::Greater,
        _ => std::cmp::Ordering::Equal,
    });
    two_ways(map.plane(), &turned, colours, size, view)
}

/// Two kinds of places over the paled tones, hatched either way.
fn two_ways(now: &Plane<u8>, turned: &Plane<std::cmp::Ordering>, colours: &[[f32; 3]], size: (usize, usize), view: View) -> Plane<Rgba> {
    let ground = reduced(now, size, view, |tone| colours[usize::from(tone)].map(paled));
    let shares = reduced(turned, size, view, |order| match order {
        std::cmp::Ordering::Less => [1.0, 0.0, 0.0],
        std::cmp::Ordering::Greater => [0.0, 1.0, 0.0],
        std::cmp::Ordering::Equal => [0.0; 3],
    });
    let (light, dark) = (linear(VERDIGRIS), linear(VARNISH_DOT));
    let mixed = Plane::from_fn(size.0, size.1, |x, y| {
        let [lost_light, lost_dark, _] = shares.at(x, y);
        let ground = ground.at(x, y);
        // Between the hatch's lines a veil, so that a speck smaller than the pitch is seen too.
        let strength = |share: f32, at: usize| if at.is_multiple_of(PITCH) { (share * 1.6).min(1.0) } else { share * 0.5 };
        let (a, b) = (strength(lost_light, x + y), strength(lost_dark, x + PITCH * size.1 - y));
        std::array::from_fn(|c| {
            let lit = ground[c] * (1.0 - a) + light[c] * a;
            lit * (1.0 - b) + dark[c] * b
        })
    });
    encoded(&mixed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::ToneCount;

    #[test]
    fn lines_are_ink_on_a_pale_ground_in_either_view() {
        let mut found = BitPlane::empty(100, 40);
        for y in 0..40 {
            found.set_stretch(y, 20, 24);
        }
        let ground = Plane::filled(100, 40, 30.0);
        let print = lines(&ground, &found, (50, 20), View::Print);
        assert!(print.at(10, 5)[0] < 60 && print.at(30, 5)[0] > 190, "{:?} {:?}", print.at(10, 5), print.at(30, 5));
        assert_eq!(lines(&ground, &found, (50, 20), View::Plate), print.mirrored());
    }

    #[test]
    fn lost_lights_and_lost_darks_differ_by_colour_and_by_hatch() {
        let count = ToneCount::new(2).unwrap();
        let map = |tone: &dyn Fn(usize) -> u8| StepMap::new(count, Plane::from_fn(120, 60, |x, _| tone(x)));
        let (plain, clean) = (map(&|x| u8::from(x >= 60)), map(&|x| u8::from(x < 60)));
        let shown = removed(&plain, &clean, &[[0.8; 3], [0.05; 3]], (120, 60), View::Print);
        // The darker pixels of each half run along its own diagonal.
        let line = |x: usize, y: usize| shown.at(x, y).iter().take(3).map(|&c| u32::from(c)).sum::<u32>() < 300;
        assert!(
            (10..50).all(|y| (0..PITCH).filter(|i| line(20 + i, y)).count() == 1 && (0..PITCH).filter(|i| line(80 + i, y)).count() == 1)
        );
        let at = |from: usize, y: usize| (from..from + PITCH).find(|&x| line(x, y)).unwrap();
        assert_eq!((at(20, 30) + 30) % PITCH, (at(20, 31) + 31) % PITCH);
        assert_eq!((at(80, 30) + PITCH - 30 % PITCH) % PITCH, (at(80, 31) + PITCH - 31 % PITCH) % PITCH);
        let (a, b) = (shown.at(at(20, 30), 30), shown.at(at(80, 30), 30));
        assert!(a[1] > a[0] && b[0] > b[1], "{a:?} is verdigris, {b:?} is brown");
        let same = removed(&plain, &plain, &[[0.8; 3], [0.05; 3]], (120, 60), View::Print);
        assert!(same.data().iter().all(|p| p[0] == p[1]));
    }
}
