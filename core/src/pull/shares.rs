//! What of a plate lies in each pixel of a window: its tone, and the share of pits by its grain. No colour yet: a changed ink keeps it.

use super::beneath::{Beneath, MIXED, OFF, POINTS};
use super::{Pits, Printing, undercuts};
use crate::grain::raster::{self, Band, Mixed};
use crate::proof::Window;
use crate::units::PointMm;

/// Below these pixels a millimetre the 64 points of a pixel would add more noise than the grain has: it is drawn finer and averaged.
const FINE_ENOUGH: f64 = 3.0;
/// Most finer pixels along a pixel's side.
const MOST_PARTS: usize = 8;
/// Most finer pixels worked on at once, some 14 bytes each.
const BAND_PIXELS: usize = 1 << 19;

/// One plate under a window. Made by [`shares`], or by [`bare`] without its grain.
#[derive(Clone, Debug)]
pub struct Shares {
    pub(super) window: Window,
    /// Tone of each pixel, row after row, or [`OFF`] or [`MIXED`].
    pub(super) tones: Vec<u8>,
    /// Share of pits of each pixel, of [`Shares::full`]; 0 where mixed. None without grain.
    pub(super) pits: Vec<u8>,
    /// What stands for a whole pixel of pits; 0 without grain.
    pub(super) full: u8,
    /// The parts of all mixed pixels, row after row.
    pub(super) parts: Vec<Part>,
    /// Where each mixed pixel's parts begin, and one more for the end.
    pub(super) starts: Vec<u32>,
    /// How many mixed pixels come before each row.
    pub(super) before: Vec<u32>,
}

/// What of a mixed pixel is one tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Part {
    /// The tone or [`OFF`].
    pub(super) tone: u8,
    /// Share of pits in it, of [`Shares::full`].
    pub(super) pits: u8,
    /// Its area, of the pixel's.
    pub(super) area: f32,
    /// The pixel's points that it has, row after row from the lowest bit.
    pub(super) points: u64,
}

impl Shares {
    /// Nothing of a window yet.
    fn empty(window: &Window, full: u8) -> Self {
        let (size, rows) = (window.width() * window.height(), window.height());
        let before = Vec::with_capacity(rows + 1);
        let pits = vec![0; if full > 0 { size } else { 0 }];
        Self { window: window.print_view(), tones: vec![OFF; size], pits, full, parts: vec![], starts: vec![], before }
    }

    /// The window it is for, in print view.
    #[must_use]
    pub fn window(&self) -> &Window {
        &self.window
    }

    /// Bytes it holds, for whoever keeps some.
    #[must_use]
    pub fn bytes(&self) -> usize {
        self.tones.len() + self.pits.len() + self.parts.len() * size_of::<Part>() + (self.starts.len() + self.before.len()) * 4
    }

    /// The parts of a mixed pixel, by how many come before it.
    pub(super) fn parts_of(&self, mixed: usize) -> &[Part] {
        &self.parts[self.starts[mixed] as usize..self.starts[mixed + 1] as usize]
    }
}

/// Looks at one plate under a window without its grain: tones, and the areas of the parts of mixed pixels.
#[must_use]
pub fn bare(printing: &Printing<'_>, window: &Window) -> Shares {
    let plate = printing.plate;
    let mut beneath = Beneath::new(&plate.map, plate.resolution, printing.place(), window);
    let mut seen = Shares::empty(window, 0);
    let width = window.width();
    let mut found = vec![];
    for (y, line) in seen.tones.chunks_exact_mut(width).enumerate() {
        seen.before.push(seen.starts.len() as u32);
        beneath.row(y, line);
        for (x, _) in line.iter().enumerate().filter(|(_, tone)| **tone == MIXED) {
            beneath.parts(x, y, None, &mut found);
            seen.starts.push(seen.parts.len() as u32);
            seen.parts.append(&mut found);
        }
    }
    seen.before.push(seen.starts.len() as u32);
    seen.starts.push(seen.parts.len() as u32);
    seen
}

/// Looks at one plate under a window. `apart` tells its grain from others of the same seed, see [`super::Pull::apart`]; `pits` is that
/// grain on the plate's own raster where the window is looked up, see [`Pits::suit`]: elsewhere it is drawn here. `progress` hears the
/// share done, 0..=1, rising.
#[must_use]
pub fn shares(printing: &Printing<'_>, apart: u64, pits: Option<&Pits>, window: &Window, progress: &mut dyn FnMut(f32)) -> Shares {
    match pits.filter(|_| Pits::suit(printing.plate, window)) {
        Some(pits) => looked_up(printing, pits, window, progress),
        None => drawn(printing, apart, window, progress),
    }
}

/// From the grain on the plate's own raster.
fn looked_up(printing: &Printing<'_>, pits: &Pits, window: &Window, progress: &mut dyn FnMut(f32)) -> Shares {
    let plate = printing.plate;
    let mut beneath = Beneath::new(&plate.map, plate.resolution, printing.place(), window);
    let mut seen = Shares::empty(window, u8::MAX);
    let (width, height) = (window.width(), window.height());
    let upright = beneath.is_upright();
    let columns: Vec<(usize, usize)> = if upright { (0..width).map(|x| beneath.cells(x, true, pits.per)).collect() } else { vec![] };
    // A pixel of a turned plate is about so many cells wide.
    let side = libm::round(plate.resolution.0 / window.px_per_mm() * pits.per as f64).max(1.0) as usize;
    let (mut down, mut seen_rows) = (vec![0u16; pits.plane.width()], None);
    let mut found = vec![];
    for (y, (line, share)) in seen.tones.chunks_exact_mut(width).zip(seen.pits.chunks_exact_mut(width)).enumerate() {
        seen.before.push(seen.starts.len() as u32);
        beneath.row(y, line);
        if upright {
            let rows = beneath.cells(y, false, pits.per);
            if seen_rows != Some(rows) {
                seen_rows = Some(rows);
                down.fill(0);
                for row in rows.0..rows.1 {
                    for (sum, &cell) in down.iter_mut().zip(pits.plane.row(row)) {
                        *sum += u16::from(cell);
                    }
                }
            }
            // What a point counts, by how many columns of cells there are; most pixels have as many as the one before.
            let points = (rows.1 - rows.0) as u32 * pits.points;
            let (mut wide, mut whole) = (0, 0.0);
            for (share, &(from, to)) in share.iter_mut().zip(&columns) {
                if to - from != wide {
                    wide = to - from;
                    whole = 255.0 / (points * wide as u32) as f32;
                }
                let sum: u32 = down[from..to].iter().map(|&sum| u32::from(sum)).sum();
                *share = (sum as f32 * whole + 0.5) as u8;
            }
        }
        for (x, (&tone, share)) in line.iter().zip(share).enumerate() {
            if tone == MIXED {
                *share = 0;
                beneath.parts(x, y, Some(pits), &mut found);
                seen.starts.push(seen.parts.len() as u32);
                seen.parts.append(&mut found);
            } else if tone == OFF {
                *share = 0;
            } else if !upright {
                *share = beneath.pits(x, y, side, pits);
            }
        }
        progress((y + 1) as f32 / height as f32);
    }
    seen.before.push(seen.starts.len() as u32);
    seen.starts.push(seen.parts.len() as u32);
    seen
}

/// Disc by disc under the window itself.
fn drawn(printing: &Printing<'_>, apart: u64, window: &Window, progress: &mut dyn FnMut(f32)) -> Shares {
    let plate = printing.plate;
    let (across, down) = (plate.resolution.mm(plate.map.width() as f64).0, plate.resolution.mm(plate.map.height() as f64).0);
    let place = printing.place();
    let mut beneath = Beneath::new(&plate.map, plate.resolution, place, window);
    let grain = plate.grain.apart(apart);
    let undercuts = undercuts(plate);
    let (width, height, px_per_mm) = (window.width(), window.height(), window.px_per_mm());
    let parts = (libm::ceil(FINE_ENOUGH / px_per_mm) as usize).next_power_of_two().clamp(1, MOST_PARTS);
    let fine = width * parts;
    let full = if parts == 1 { (POINTS * POINTS) as u8 } else { u8::MAX };
    let share = |on_lands: u32, points: u32| {
        let pits = points - on_lands;
        ((pits * u32::from(full) + points / 2) / points.max(1)) as u8
    };
    let mut seen = Shares::empty(window, full);
    let band_rows = (BAND_PIXELS / (fine * parts)).clamp(1, height);
    let mut kinds = if parts > 1 { vec![OFF; fine * parts * band_rows] } else { vec![] };
    let mut bits = vec![0u64; fine * parts * band_rows];
    let mut which = vec![0u32; if parts == 1 { bits.len() } else { 0 }];
    // Tones of the band's mixed pixels with their areas, and where each pixel's begin.
    let mut pieces: Vec<(u8, u64)> = vec![];
    let mut areas: Vec<f32> = vec![];
    let mut begins: Vec<u32> = vec![];
    let mut found = vec![];
    for top in (0..height).step_by(band_rows) {
        let rows = band_rows.min(height - top);
        let bits = &mut bits[..rows * parts * fine];
        pieces.clear();
        areas.clear();
        begins.clear();
        let mut present = [false; 256];
        for y in 0..rows {
            seen.before.push((seen.starts.len() + begins.len()) as u32);
            let line = &mut seen.tones[(top + y) * width..(top + y + 1) * width];
            beneath.row(top + y, line);
            for (x, &tone) in line.iter().enumerate() {
                present[usize::from(tone)] = true;
                if tone != MIXED {
                    continue;
                }
                beneath.parts(x, top + y, None, &mut found);
                found.iter().for_each(|part| present[usize::from(part.tone)] = true);
                if parts == 1 {
                    which[y * width + x] = begins.len() as u32;
                }
                begins.push(pieces.len() as u32);
                pieces.extend(found.iter().map(|part| (part.tone, part.points)));
                areas.extend(found.iter().map(|part| part.area));
            }
            if parts > 1 {
                for (part, line_of) in kinds[y * parts * fine..].chunks_exact_mut(fine).take(parts).enumerate() {
                    for (x, (&tone, kinds)) in line.iter().zip(line_of.chunks_exact_mut(parts)).enumerate() {
                        kinds.fill(tone);
                        if tone == MIXED {
                            let at = |k: usize| (k as f64 + 0.5) / parts as f64;
                            for (k, kind) in kinds.iter_mut().enumerate() {
                                *kind = beneath.tone(x as f64 + at(k), (top + y) as f64 + at(part));
                            }
                        }
                    }
                }
            }
        }
        begins.push(pieces.len() as u32);
        let here: Vec<f64> = undercuts.iter().zip(present).map(|(&u, present)| if present { u } else { f64::INFINITY }).collect();
        let corner = PointMm { x: window.origin().x, y: window.origin().y + top as f64 / px_per_mm };
        let pixels = &mut seen.tones[top * width..(top + rows) * width];
        let mixed = Mixed { kind: MIXED, which: &which, starts: &begins, kinds: &pieces };
        let band = Band {
            place,
            corner,
            px_per_mm: px_per_mm * parts as f64,
            width: fine,
            kinds: if parts > 1 { &kinds[..bits.len()] } else { pixels },
            undercuts: &here,
            grained: [0.0, 0.0, across, down],
            mixed: (parts == 1).then_some(mixed),
        };
        raster::cover(&grain, &band, bits);
        let bare = |tone: u8| here[usize::from(tone)] == f64::INFINITY;
        let pits = &mut seen.pits[top * width..(top + rows) * width];
        let mut pixel = 0;
        for (y, (line, pits)) in pixels.chunks_exact(width).zip(pits.chunks_exact_mut(width)).enumerate() {
            for (x, (&tone, pits)) in line.iter().zip(pits).enumerate() {
                let fine_at = |k: usize| (y * parts + k / parts) * fine + x * parts + k % parts;
                if tone == MIXED {
                    seen.starts.push(seen.parts.len() as u32);
                    let these = begins[pixel] as usize..begins[pixel + 1] as usize;
                    for (&(tone, points), &area) in pieces[these.clone()].iter().zip(&areas[these]) {
                        let (on_lands, count) = if parts == 1 {
                            ((bits[y * width + x] & points).count_ones(), points.count_ones())
                        } else {
                            let own = (0..parts * parts).map(fine_at).filter(|&at| kinds[at] == tone);
                            own.fold((0, 0), |(on, count), at| (on + bits[at].count_ones(), count + 64))
                        };
                        // A sliver that no point, or no finer pixel's middle, lies in: as its tone is on the mean.
                        let lands = plate.tints.get(usize::from(tone)).map_or(1.0, |tint| tint.lands);
                        let pits = match count {
                            _ if bare(tone) => 0,
                            0 => libm::round((1.0 - lands) * f64::from(full)) as u8,
                            _ => share(on_lands, count),
                        };
                        seen.parts.push(Part { tone, pits, area, points });
                    }
                    pixel += 1;
                } else if !bare(tone) {
                    *pits = if parts == 1 {
                        full - bits[y * width + x].count_ones() as u8
                    } else {
                        share((0..parts * parts).map(|k| bits[fine_at(k)].count_ones()).sum(), (parts * parts * 64) as u32)
                    };
                }
            }
        }
        progress((top + rows) as f32 / height as f32);
    }
    seen.before.push(seen.starts.len() as u32);
    seen.starts.push(seen.parts.len() as u32);
    seen
}
