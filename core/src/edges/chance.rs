//! How likely a hand's edges come out lighter or darker than planned.

use super::{Edges, tiles};
use crate::aside::{BY_HAND, RESIST};
use crate::plane::Plane;
use crate::stopouts::StopOuts;

/// Chances for each pixel of the face, 0..=255 for 0 to 1; print view.
#[derive(Clone, Debug, PartialEq)]
pub struct Chance {
    /// That it comes out lighter than planned.
    pub lighter: Plane<u8>,
    /// That it comes out darker.
    pub darker: Plane<u8>,
}

/// The chances when stop-outs are painted by such a hand, whatever its seed.
#[must_use]
pub fn chance(stop_outs: &StopOuts, edges: &Edges) -> Chance {
    let zones = stop_outs.zones();
    let (width, resolution) = (zones.width(), stop_outs.resolution());
    let darkest = (stop_outs.tones().get() - 1) as u8;
    let below = Normal::new(edges.wander as f32);
    let mut out = Chance { lighter: Plane::filled(width, zones.height(), 0), darker: Plane::filled(width, zones.height(), 0) };
    tiles(zones, edges.reach(resolution), resolution, |tile| {
        let mut spared = vec![1.0f32; tile.columns.len()];
        for y in 0..tile.rows.len() {
            spared.fill(1.0);
            let zones = tile.zones(y);
            for &tone in tile.values.iter().take_while(|&&tone| tone < darkest) {
                for ((spared, &far), &zone) in spared.iter_mut().zip(tile.far(tone, y)).zip(zones) {
                    if tone < zone {
                        *spared *= below.at(far - edges.creep as f32);
                    }
                }
            }
            let line = (tile.rows.start + y) * width + tile.columns.start;
            for (x, ((&spared, &zone), (&lighter, &darker))) in
                spared.iter().zip(zones).zip(tile.lighter(y).iter().zip(tile.darker(y))).enumerate()
            {
                if zone == RESIST || zone == BY_HAND {
                    continue;
                }
                let byte = |chance: f32| (chance * 255.0 + 0.5) as u8;
                out.lighter.data_mut()[line + x] = byte(1.0 - spared);
                if zone < darkest {
                    // Painted where the offset is at least so much: with none at all, at exactly the edge too.
                    let own = below.at_least(darker + edges.creep as f32) * below.at_least(lighter + edges.lap as f32);
                    out.darker.data_mut()[line + x] = byte(spared * (1.0 - own));
                }
            }
        }
    });
    out
}

/// Normal distribution function of a spread in mm, from a table: within 1e-5.
struct Normal {
    spread: f32,
    table: Vec<f32>,
}

impl Normal {
    /// Steps a standard deviation.
    const STEPS: f32 = 128.0;
    /// Beyond so many it is 0 or 1.
    const MOST: f32 = 6.0;

    fn new(spread: f32) -> Self {
        let phi = |z: f64| 0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2);
        let steps = (2.0 * Self::MOST * Self::STEPS) as usize;
        let table = (0..=steps + 1).map(|i| phi(i as f64 / f64::from(Self::STEPS) - f64::from(Self::MOST)) as f32).collect();
        Self { spread, table }
    }

    /// The chance that an offset is below `mm`.
    fn at(&self, mm: f32) -> f32 {
        if self.spread > 0.0 { self.of(mm / self.spread) } else { f32::from(u8::from(mm > 0.0)) }
    }

    /// The chance that `mm` and an offset together are 0 or more.
    fn at_least(&self, mm: f32) -> f32 {
        if self.spread > 0.0 { self.of(mm / self.spread) } else { f32::from(u8::from(mm >= 0.0)) }
    }

    fn of(&self, z: f32) -> f32 {
        let place = (z.clamp(-Self::MOST, Self::MOST) + Self::MOST) * Self::STEPS;
        let (at, part) = (place as usize, place.fract());
        self.table[at] + (self.table[at + 1] - self.table[at]) * part
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::stop_outs;
    use super::super::{Edges, got};
    use super::*;
    use crate::units::Millimetres;
    use approx::assert_abs_diff_eq;

    #[test]
    fn the_table_is_the_normal_distribution() {
        // Φ(1) = 0.841345, Φ(1.96) = 0.975002, Φ(−2.5) = 0.006210: any table of the normal distribution.
        let table = Normal::new(0.5);
        for (z, phi) in [(0.0, 0.5), (1.0, 0.841_345), (1.96, 0.975_002), (-2.5, 0.006_210), (9.0, 1.0)] {
            assert_abs_diff_eq!(table.at(0.5 * z), phi, epsilon = 1e-5);
        }
    }

    #[test]
    fn four_hundred_hands_come_out_as_the_formula_says() {
        // Four tones that meet along lines, in a corner and in a band; every pixel's frequency over 400 seeds within 4.5 standard deviations
        // of a frequency (of 2600 pixels none should lie beyond, by chance 0.02 of them).
        let plane = Plane::from_fn(64, 41, |x, y| if y > 20 && x < 30 { 0 } else { [1, 3, 2, 3][x / 16] });
        let all = stop_outs(4, 5.0, plane.clone());
        let hand = |seed: u64| Edges::new(seed, Millimetres(0.4), Millimetres(0.15), Millimetres(0.5)).unwrap();
        let Chance { lighter, darker } = chance(&all, &hand(0));
        let (mut paler, mut deeper) = (vec![0u32; 64 * 41], vec![0u32; 64 * 41]);
        for seed in 0..400 {
            for ((&got, &planned), (paler, deeper)) in
                got(&all, &hand(seed)).data().iter().zip(plane.data()).zip(paler.iter_mut().zip(&mut deeper))
            {
                *paler += u32::from(got < planned);
                *deeper += u32::from(got > planned);
            }
        }
        let mut seen = 0;
        for (counts, chances) in [(paler, lighter), (deeper, darker)] {
            for (&count, &chance) in counts.iter().zip(chances.data()) {
                let (frequency, p) = (f64::from(count) / 400.0, f64::from(chance) / 255.0);
                // The chance is told to half a 255th.
                let p = p.clamp(0.5 / 255.0, 1.0 - 0.5 / 255.0);
                assert!((frequency - p).abs() <= 4.5 * (p * (1.0 - p) / 400.0).sqrt() + 0.002, "{frequency} instead of {p}");
                seen += u32::from((0.2..0.8).contains(&p));
            }
        }
        assert!(seen > 100, "only {seen} pixels were uncertain: nothing was tested");
    }

    #[test]
    fn a_sure_hand_leaves_nothing_to_chance() {
        let all = stop_outs(3, 10.0, Plane::from_fn(40, 8, |x, _| (x / 14) as u8));
        let sure = |creep: f64| chance(&all, &Edges::new(1, Millimetres(0.0), Millimetres(creep), Millimetres(1.0)).unwrap());
        let Chance { lighter, darker } = sure(0.0);
        assert!(lighter.data().iter().chain(darker.data()).all(|&p| p == 0));
        let Chance { lighter, darker } = sure(0.3);
        assert!(lighter.rows().all(|row| row[14..17] == [255; 3] && row[17] == 0) && darker.data().iter().all(|&p| p == 0));
    }
}
