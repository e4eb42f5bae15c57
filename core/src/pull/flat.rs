//! The pull without its grain: mean colours, each pixel the mean of all that lies in it, by area.

use super::Pull;
use super::beneath::{Beneath, MIXED, run};
use super::layers::Layers;
use super::table::{Met, Table};
use crate::colour::Lamp;
use crate::overprint::PLATES;
use crate::plane::Plane;
use crate::proof::{Bytes, Window};

/// Parts along a side of a pixel over the edge of a turned plate, where no straight cut parts it.
const TURNED_PARTS: usize = 8;

/// The window in mean colours, linear light, unclipped, as it looks under `lamp`.
///
/// Exact by area but for two things: over the edges of a turned plate a pixel is the mean of 8 × 8 points, and the border of two inks is
/// taken at the pixel's middle.
#[must_use]
pub fn flat(pull: &Pull<'_>, window: &Window, lamp: Lamp) -> Plane<[f32; 3]> {
    through(pull, window, lamp, |light| light)
}

/// As [`flat`], as sRGB bytes.
#[must_use]
pub fn flat_shown(pull: &Pull<'_>, window: &Window, lamp: Lamp) -> Plane<[u8; 3]> {
    let bytes = Bytes::new();
    through(pull, window, lamp, |light| light.map(|channel| bytes.byte(channel)))
}

fn through<T: Copy>(pull: &Pull<'_>, window: &Window, lamp: Lamp, pixel: impl Fn([f32; 3]) -> T) -> Plane<T> {
    let (width, height) = (window.width(), window.height());
    let printings = pull.printings();
    let mut table = Table::new(pull, lamp);
    let mut layers = Layers::new(pull, window);
    let mut plates: Vec<Beneath<'_, u8>> =
        printings.iter().map(|p| Beneath::new(&p.plate.map, p.plate.resolution, p.place(), window)).collect();
    let mut tones: [Vec<u8>; PLATES] = std::array::from_fn(|_| vec![0; width]);
    let mut data: Vec<T> = Vec::with_capacity(width * height);
    let (mut across, mut down) = (vec![], vec![]);
    let mut lines: [Vec<i32>; PLATES] = std::array::from_fn(|_| vec![]);
    for y in 0..height {
        layers.row(y);
        for (plate, tones) in plates.iter_mut().zip(&mut tones) {
            plate.row(y, tones);
        }
        let mut next = 0;
        while next < width {
            let x = next;
            let met = Met {
                ground: layers.ground[x],
                tones: std::array::from_fn(|p| tones[p][x]),
                blends: std::array::from_fn(|p| layers.blends[p][x]),
            };
            if met.ground != MIXED && !met.tones.contains(&MIXED) {
                next = tones.iter().take(plates.len()).fold(layers.run(x, width), |end, tones| run(tones, x, end));
                let place = table.place(&met);
                data.extend(std::iter::repeat_n(pixel(table.mean(place)), next - x));
                continue;
            }
            next += 1;
            let turned = plates.iter().enumerate().any(|(p, plate)| met.tones[p] == MIXED && plate.turned_and_coarse());
            across.clear();
            down.clear();
            if turned {
                let cuts = (1..TURNED_PARTS).map(|k| k as f64 / TURNED_PARTS as f64);
                across.extend(cuts.clone());
                down.extend(cuts);
            } else {
                for (plate, _) in plates.iter().zip(met.tones).filter(|(_, tone)| *tone == MIXED) {
                    plate.cuts(x, true, &mut across);
                    plate.cuts(y, false, &mut down);
                }
                if let Some(map) = layers.map().filter(|_| met.ground == MIXED) {
                    map.cuts(x, true, &mut across);
                    map.cuts(y, false, &mut down);
                }
            }
            for cuts in [&mut across, &mut down] {
                cuts.extend([0.0, 1.0]);
                cuts.sort_by(f64::total_cmp);
                cuts.dedup();
            }
            // Where each plate's map lies under each cut, once; a turned one is asked point by point.
            for (p, plate) in plates.iter().enumerate() {
                lines[p].clear();
                if met.tones[p] == MIXED && !turned {
                    lines[p].extend(down.windows(2).map(|rows| plate.line(y as f64 + 0.5 * (rows[0] + rows[1]), false)));
                    lines[p].extend(across.windows(2).map(|columns| plate.line(x as f64 + 0.5 * (columns[0] + columns[1]), true)));
                }
            }
            let mut sum = [0.0f32; 3];
            let mut here = met;
            for (j, rows) in down.windows(2).enumerate() {
                for (i, columns) in across.windows(2).enumerate() {
                    let (u, v) = (x as f64 + 0.5 * (columns[0] + columns[1]), y as f64 + 0.5 * (rows[0] + rows[1]));
                    if met.ground == MIXED {
                        here.ground = layers.map().and_then(|map| map.value(u, v)).unwrap_or(0);
                    }
                    for (p, plate) in plates.iter().enumerate() {
                        if met.tones[p] == MIXED {
                            here.tones[p] =
                                if turned { plate.tone(u, v) } else { plate.crossing(lines[p][down.len() - 1 + i], lines[p][j]) };
                        }
                    }
                    let weight = ((columns[1] - columns[0]) * (rows[1] - rows[0])) as f32;
                    let place = table.place(&here);
                    for (sum, light) in sum.iter_mut().zip(table.mean(place)) {
                        *sum += weight * light;
                    }
                }
            }
            data.push(pixel(sum));
        }
    }
    super::finish(window, data)
}
