//! Colour on the shares: the second pass, all that a changed ink, order of colours, paper or lamp asks for.

use super::beneath::{MIXED, run};
use super::layers::Layers;
use super::shares::{Part, Shares};
use super::table::{Coefficients, Met, Table, mixed};
use super::{Printing, Pull};
use crate::colour::Lamp;
use crate::overprint::PLATES;
use crate::plane::Plane;
use crate::proof::{Bytes, Window};

/// The window in linear light, unclipped, as it looks under `lamp`. `seen` are the plates' shares in the pull's order, for this window.
///
/// What has no share, or one for another window, is left out, as a plate that was not inked.
#[must_use]
pub fn coloured(pull: &Pull<'_>, seen: &[&Shares], window: &Window, lamp: Lamp) -> Plane<[f32; 3]> {
    through(pull, seen, window, lamp, |[r, g, b, _]| [r, g, b])
}

/// As [`coloured`], as sRGB bytes.
#[must_use]
pub fn shown(pull: &Pull<'_>, seen: &[&Shares], window: &Window, lamp: Lamp) -> Plane<[u8; 3]> {
    let bytes = Near::new();
    through(pull, seen, window, lamp, |[r, g, b, _]| [bytes.byte(r), bytes.byte(g), bytes.byte(b)])
}

/// Linear light to sRGB bytes by one look each: off by one where the light lies within 1/32768 of the point between two bytes.
struct Near(Vec<u8>);

impl Near {
    const STEPS: usize = 1 << 14;

    fn new() -> Self {
        let bytes = Bytes::new();
        // Twice as many as are used and more: an index of 15 bits can't miss.
        Self((0..2 * Self::STEPS).map(|i| bytes.byte(i as f32 / Self::STEPS as f32)).collect())
    }

    #[inline(always)]
    fn byte(&self, light: f32) -> u8 {
        let step = (light.clamp(0.0, 1.0) * Self::STEPS as f32 + 0.5) as u32 as usize;
        self.0[step & (2 * Self::STEPS - 1)]
    }
}

fn through<T: Copy>(pull: &Pull<'_>, seen: &[&Shares], window: &Window, lamp: Lamp, pixel: impl Fn([f32; 4]) -> T) -> Plane<T> {
    let (printings, seen): (Vec<Printing<'_>>, Vec<&Shares>) = pull
        .printings()
        .iter()
        .zip(seen)
        .filter(|(_, shares)| shares.window == *window)
        .map(|(printing, shares)| (*printing, *shares))
        .unzip();
    let pull = &Pull { printings: &printings, ..*pull };
    match seen.len() {
        0 => by::<1, T>(pull, &seen, window, lamp, pixel),
        1 => by::<2, T>(pull, &seen, window, lamp, pixel),
        2 => by::<4, T>(pull, &seen, window, lamp, pixel),
        3 => by::<8, T>(pull, &seen, window, lamp, pixel),
        _ => by::<16, T>(pull, &seen, window, lamp, pixel),
    }
}

fn by<const N: usize, T: Copy>(pull: &Pull<'_>, seen: &[&Shares], window: &Window, lamp: Lamp, pixel: impl Fn([f32; 4]) -> T) -> Plane<T> {
    let (width, height) = (window.width(), window.height());
    let mut table = Table::new(pull, lamp);
    let mut layers = Layers::new(pull, window);
    let mut data = Vec::with_capacity(width * height);
    let mut pieces = Pieces::default();
    let scale: [f32; PLATES] = std::array::from_fn(|p| seen.get(p).map_or(0.0, |shares| 1.0 / f32::from(shares.full)));
    let none = vec![0; width];
    for y in 0..height {
        layers.row(y);
        let at = y * width;
        let row = |of: fn(&Shares) -> &Vec<u8>| -> [&[u8]; PLATES] {
            std::array::from_fn(|p| seen.get(p).map_or(&[][..], |shares| &of(shares)[at..at + width]))
        };
        let (tones, mut pits) = (row(|shares| &shares.tones), row(|shares| &shares.pits));
        if seen.is_empty() {
            pits[0] = &none;
        }
        let mut next: [usize; PLATES] = std::array::from_fn(|p| seen.get(p).map_or(0, |shares| shares.before[y] as usize));
        let mut x = 0;
        while x < width {
            let met = Met {
                ground: layers.ground[x],
                tones: std::array::from_fn(|p| tones[p].get(x).copied().unwrap_or_default()),
                blends: std::array::from_fn(|p| layers.blends[p][x]),
            };
            if met.ground == MIXED || met.tones[..seen.len()].contains(&MIXED) {
                layers.grounds(x, y, &mut pieces.grounds);
                let light =
                    pieces.mean::<N>(&mut table, met, seen, &mut next, &std::array::from_fn(|p| pits[p].get(x).copied().unwrap_or(0)));
                data.push(pixel(light));
                x += 1;
                continue;
            }
            let from = x;
            x = tones.iter().take(seen.len()).fold(layers.run(x, width), |end, tones| run(tones, from, end));
            let place = table.place(&met);
            let colours: &Coefficients = table.colours(place);
            // One length for all, so that no pixel is asked whether it is there.
            let run: [&[u8]; PLATES] = std::array::from_fn(|p| pits[p].get(from..x).unwrap_or(&pits[0][from..x]));
            let [a, b, c, d] = run;
            data.extend(a.iter().zip(b).zip(c.iter().zip(d)).map(|((&a, &b), (&c, &d))| {
                let share = [f32::from(a) * scale[0], f32::from(b) * scale[1], f32::from(c) * scale[2], f32::from(d) * scale[3]];
                pixel(mixed::<N>(colours, &share))
            }));
        }
    }
    super::finish(window, data)
}

/// What a mixed pixel falls into: every pairing of parts that have points in common.
#[derive(Default)]
struct Pieces {
    grounds: Vec<(u8, u64)>,
    found: Vec<(Met, u64, [f32; PLATES])>,
    more: Vec<(Met, u64, [f32; PLATES])>,
}

impl Pieces {
    fn mean<const N: usize>(
        &mut self,
        table: &mut Table<'_>,
        met: Met,
        seen: &[&Shares],
        next: &mut [usize; PLATES],
        pits: &[u8; PLATES],
    ) -> [f32; 4] {
        self.found.clear();
        for &(ground, points) in &self.grounds {
            let mut met = met;
            met.ground = ground;
            self.found.push((met, points, [0.0; PLATES]));
        }
        for (p, shares) in seen.iter().enumerate() {
            let one = [Part { tone: met.tones[p], pits: pits[p], points: u64::MAX }];
            let parts = if met.tones[p] == MIXED {
                let (from, to) = (shares.starts[next[p]] as usize, shares.starts[next[p] + 1] as usize);
                next[p] += 1;
                &shares.parts[from..to]
            } else {
                &one[..]
            };
            self.more.clear();
            for (met, points, share) in &self.found {
                for part in parts.iter().filter(|part| part.points & points != 0) {
                    let (mut met, mut share) = (*met, *share);
                    met.tones[p] = part.tone;
                    share[p] = f32::from(part.pits) / f32::from(shares.full);
                    self.more.push((met, points & part.points, share));
                }
            }
            std::mem::swap(&mut self.found, &mut self.more);
        }
        let mut sum = [0.0; 4];
        for (met, points, share) in &self.found {
            let weight = points.count_ones() as f32 / 64.0;
            let place = table.place(met);
            let light = mixed::<N>(table.colours(place), share);
            for channel in 0..4 {
                sum[channel] += weight * light[channel];
            }
        }
        sum
    }
}
