//! What of a plate lies in each pixel of a window: its tone, and the share of pits by its grain. No colour yet: a changed ink keeps it.

use super::Printing;
use super::beneath::{Beneath, MIXED, OFF, POINTS};
use crate::grain::raster::{self, Band, Mixed};
use crate::proof::Window;
use crate::units::PointMm;

/// Below these pixels a millimetre the 64 points of a pixel would add more noise than the grain has: it is drawn finer and averaged.
const FINE_ENOUGH: f64 = 3.0;
/// Most finer pixels along a pixel's side.
const MOST_PARTS: usize = 8;
/// Most finer pixels worked on at once, some 14 bytes each.
const BAND_PIXELS: usize = 1 << 19;

/// One plate under a window. Made by [`shares`].
#[derive(Clone, Debug)]
pub struct Shares {
    pub(super) window: Window,
    /// Tone of each pixel, row after row, or [`OFF`] or [`MIXED`].
    pub(super) tones: Vec<u8>,
    /// Share of pits of each pixel, of [`Shares::full`]; 0 where mixed.
    pub(super) pits: Vec<u8>,
    /// What stands for a whole pixel of pits.
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
    /// The pixel's points that it has, row after row from the lowest bit.
    pub(super) points: u64,
}

impl Shares {
    /// The window it is for.
    #[must_use]
    pub fn window(&self) -> &Window {
        &self.window
    }

    /// Bytes it holds, for whoever keeps some.
    #[must_use]
    pub fn bytes(&self) -> usize {
        self.tones.len() + self.pits.len() + self.parts.len() * size_of::<Part>() + (self.starts.len() + self.before.len()) * 4
    }
}

/// Looks at one plate under a window. `apart` tells its grain from others of the same seed, see [`super::Pull::apart`]. `progress`
/// hears the share done, 0..=1, rising.
#[must_use]
pub fn shares(printing: &Printing<'_>, apart: u64, window: &Window, progress: &mut dyn FnMut(f32)) -> Shares {
    let plate = printing.plate;
    let (across, down) = (plate.resolution.mm(plate.map.width() as f64).0, plate.resolution.mm(plate.map.height() as f64).0);
    let place = printing.misfit.place(across, down);
    let mut beneath = Beneath::new(&plate.map, plate.resolution, place, window);
    let grain = plate.grain.apart(apart);
    // Undercut of each tone; what has none, or no grain that shows, is land all over.
    let undercuts: Vec<f64> = (0..=u8::MAX)
        .map(|tone| plate.undercuts.get(usize::from(tone)).copied().flatten().map_or(f64::INFINITY, |undercut| undercut.0))
        .map(|undercut| if undercut.is_nan() { f64::INFINITY } else { undercut })
        .collect();
    let (width, height, px_per_mm) = (window.width(), window.height(), window.px_per_mm());
    let parts = (libm::ceil(FINE_ENOUGH / px_per_mm) as usize).next_power_of_two().clamp(1, MOST_PARTS);
    let fine = width * parts;
    let full = if parts == 1 { (POINTS * POINTS) as u8 } else { u8::MAX };
    let share = |on_lands: u32, points: u32| {
        let pits = points - on_lands;
        ((pits * u32::from(full) + points / 2) / points.max(1)) as u8
    };
    let mut seen = Shares {
        window: *window,
        tones: vec![OFF; width * height],
        pits: vec![0; width * height],
        full,
        parts: vec![],
        starts: vec![],
        before: Vec::with_capacity(height + 1),
    };
    let band_rows = (BAND_PIXELS / (fine * parts)).clamp(1, height);
    let mut kinds = if parts > 1 { vec![OFF; fine * parts * band_rows] } else { vec![] };
    let mut bits = vec![0u64; fine * parts * band_rows];
    let mut which = vec![0u32; if parts == 1 { bits.len() } else { 0 }];
    // Tones of the band's mixed pixels, and where each pixel's begin.
    let mut pieces: Vec<(u8, u64)> = vec![];
    let mut begins: Vec<u32> = vec![];
    let mut found = vec![];
    for top in (0..height).step_by(band_rows) {
        let rows = band_rows.min(height - top);
        let bits = &mut bits[..rows * parts * fine];
        pieces.clear();
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
                beneath.points(x, top + y, &mut found);
                found.iter().for_each(|(tone, _)| present[usize::from(*tone)] = true);
                if parts == 1 {
                    which[y * width + x] = begins.len() as u32;
                }
                begins.push(pieces.len() as u32);
                pieces.append(&mut found);
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
                    for &(tone, points) in &pieces[begins[pixel] as usize..begins[pixel + 1] as usize] {
                        let pits = if bare(tone) {
                            0
                        } else if parts == 1 {
                            share((bits[y * width + x] & points).count_ones(), points.count_ones())
                        } else {
                            let own = (0..parts * parts).map(fine_at).filter(|&at| kinds[at] == tone);
                            let (on_lands, count) = own.fold((0, 0), |(on, count), at| (on + bits[at].count_ones(), count + 64));
                            // A sliver that no finer pixel has its middle in: as its tone is on the mean.
                            let lands = plate.tints.get(usize::from(tone)).map_or(1.0, |tint| tint.lands);
                            if count == 0 { libm::round((1.0 - lands) * f64::from(full)) as u8 } else { share(on_lands, count) }
                        };
                        seen.parts.push(Part { tone, pits, points });
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
