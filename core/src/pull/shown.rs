//! Colour on what meets: the last pass, all that a changed ink, trap, colour of paper or lamp asks for.

use super::joint::{Joint, Run};
use super::shares::Shares;
use super::table::{Coefficients, Colours, Table};
use super::{Pull, finish};
use crate::colour::Lamp;
use crate::overprint::PLATES;
use crate::plane::Plane;
use crate::proof::{Bytes, Window};
use std::sync::OnceLock;

/// The window in linear light, unclipped, as it looks under `lamp`, in the view that the window asks for.
///
/// What meets must be of this pull's plates under this window: inks, traps, colours and lamp alone may be others. Without grain
/// ([`Joint::bare`]) all is land: for mean colours see [`super::flat_shown`].
#[must_use]
pub fn coloured(pull: &Pull<'_>, joint: &Joint, window: &Window, lamp: Lamp) -> Plane<[f32; 3]> {
    let mut data = Vec::with_capacity(joint.window.width() * joint.window.height());
    through(pull, joint, lamp, &mut |line| data.extend((0..line[0].len()).map(|x| [line[0][x], line[1][x], line[2][x]])));
    finish(window, data)
}

/// As [`coloured`], as sRGB bytes.
#[must_use]
pub fn shown(pull: &Pull<'_>, joint: &Joint, window: &Window, lamp: Lamp) -> Plane<[u8; 3]> {
    let bytes = Near::table();
    let mut data = Vec::with_capacity(joint.window.width() * joint.window.height());
    through(pull, joint, lamp, &mut |[r, g, b]| {
        data.extend(r.iter().zip(g).zip(b).map(|((&r, &g), &b)| [bytes.byte(r), bytes.byte(g), bytes.byte(b)]));
    });
    finish(window, data)
}

/// Linear light to sRGB bytes by one look each: off by one where the light lies within 1/32768 of the point between two bytes.
struct Near(Vec<u8>);

impl Near {
    const STEPS: usize = 1 << 14;

    fn table() -> &'static Self {
        static TABLE: OnceLock<Near> = OnceLock::new();
        TABLE.get_or_init(|| {
            let bytes = Bytes::new();
            // Twice as many as are used and more: an index of 15 bits can't miss.
            Self((0..2 * Self::STEPS).map(|i| bytes.byte(i as f32 / Self::STEPS as f32)).collect())
        })
    }

    #[inline(always)]
    fn byte(&self, light: f32) -> u8 {
        let step = (light.clamp(0.0, 1.0) * Self::STEPS as f32 + 0.5) as u32 as usize;
        self.0[step & (2 * Self::STEPS - 1)]
    }
}

/// Hears each row, channel by channel.
fn through(pull: &Pull<'_>, joint: &Joint, lamp: Lamp, hear: &mut dyn FnMut([&[f32]; 3])) {
    let mut table = Table::new(pull, joint, lamp);
    let colours: Vec<Colours> = joint.met.iter().map(|met| table.colours(met)).collect();
    let width = joint.window.width();
    let mut row = Row { joint, colours: &colours, lines: std::array::from_fn(|_| vec![0.0; width]) };
    let mut starts = joint.starts.windows(2);
    let (mut x, mut y) = (0, 0);
    for run in &joint.runs {
        let to = x + run.length as usize;
        if run.met == Run::PIECES {
            for (x, ends) in (x..to).zip(&mut starts) {
                row.pieces(x, ends[0] as usize..ends[1] as usize);
            }
        } else {
            row.run(run.met as usize, x..to, y);
        }
        x = to;
        if x == width {
            hear(row.lines.each_ref().map(Vec::as_slice));
            (x, y) = (0, y + 1);
        }
    }
}

/// A row while it is coloured.
struct Row<'a> {
    joint: &'a Joint,
    colours: &'a [Colours],
    lines: [Vec<f32>; 3],
}

impl Row<'_> {
    /// Pixels where one and the same meets.
    fn run(&mut self, met: usize, columns: std::ops::Range<usize>, y: usize) {
        let width = self.joint.window.width();
        let Colours { by, plates, count } = &self.colours[met];
        let pits = |k: usize| -> &[u8] {
            let shares: Option<&Shares> = self.joint.seen.get(usize::from(plates[k])).map(|shares| &**shares);
            shares.map_or(&[], |shares| shares.pits.get(y * width + columns.start..y * width + columns.end).unwrap_or(&[]))
        };
        let [r, g, b] = &mut self.lines;
        let lines = [&mut r[columns.clone()], &mut g[columns.clone()], &mut b[columns.clone()]];
        match count {
            0 => lines.into_iter().zip(by[0]).for_each(|(line, light)| line.fill(light)),
            1 => mix([pits(0)], by, lines),
            2 => mix([pits(0), pits(1)], by, lines),
            3 => mix([pits(0), pits(1), pits(2)], by, lines),
            _ => mix([pits(0), pits(1), pits(2), pits(3)], by, lines),
        }
    }

    /// A mixed pixel.
    fn pieces(&mut self, x: usize, pieces: std::ops::Range<usize>) {
        let mut sum = [0.0; 4];
        for piece in &self.joint.pieces[pieces] {
            let Colours { by, plates, count } = &self.colours[piece.met as usize];
            let share: [f32; PLATES] = plates.map(|p| f32::from(piece.pits[usize::from(p) % PLATES]));
            let light = match count {
                0 => by[0],
                1 => at::<1>(by, &share),
                2 => at::<2>(by, &share),
                3 => at::<3>(by, &share),
                _ => at::<4>(by, &share),
            };
            sum.iter_mut().zip(light).for_each(|(sum, light)| *sum += piece.weight * light);
        }
        self.lines.iter_mut().zip(sum).for_each(|(line, light)| line[x] = light);
    }
}

/// Four numbers that go together: pixels side by side, or the channels of one.
type Four = [f32; 4];

#[inline(always)]
fn with(without: Four, change: Four, share: Four) -> Four {
    std::array::from_fn(|i| without[i] + share[i] * change[i])
}

/// Takes one plate in after another, from the last: what is without its pit, and what the pit changes by its share.
#[inline(always)]
fn tree<const K: usize>(coefficient: impl Fn(usize) -> Four, share: &[Four; K]) -> Four {
    let mut lights = [[0.0; 4]; 1 << (PLATES - 1)];
    let mut half = (1 << K) / 2;
    for (i, light) in lights.iter_mut().enumerate().take(half) {
        *light = with(coefficient(i), coefficient(i + half), share[K - 1]);
    }
    for share in share.iter().take(K - 1).rev() {
        half /= 2;
        for i in 0..half {
            lights[i] = with(lights[i], lights[i + half], *share);
        }
    }
    lights[0]
}

/// The colour at these shares of pits.
#[inline(always)]
fn at<const K: usize>(by: &Coefficients, share: &[f32; PLATES]) -> Four {
    tree::<K>(|i| by[i], &std::array::from_fn(|k| [share[k]; 4]))
}

/// The colours of pixels side by side, four at a time.
fn mix<const K: usize>(pits: [&[u8]; K], by: &Coefficients, [r, g, b]: [&mut [f32]; 3]) {
    let four = |share: &[Four; K], channel: usize| tree::<K>(|i| [by[i][channel]; 4], share);
    let length = r.len();
    let whole = length - length % 4;
    for x in (0..whole).step_by(4) {
        let share: [Four; K] = std::array::from_fn(|k| match pits[k].get(x..x + 4) {
            Some(&[a, b, c, d]) => [f32::from(a), f32::from(b), f32::from(c), f32::from(d)],
            _ => [0.0; 4],
        });
        r[x..x + 4].copy_from_slice(&four(&share, 0));
        g[x..x + 4].copy_from_slice(&four(&share, 1));
        b[x..x + 4].copy_from_slice(&four(&share, 2));
    }
    if whole < length {
        let share: [Four; K] = std::array::from_fn(|k| std::array::from_fn(|i| f32::from(pits[k].get(whole + i).copied().unwrap_or(0))));
        for (line, channel) in [r, g, b].into_iter().zip(0..) {
            line[whole..].copy_from_slice(&four(&share, channel)[..length - whole]);
        }
    }
}
