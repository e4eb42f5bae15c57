//! The pull without its grain: mean colours, each pixel the mean of all that lies in it, by area.

use super::joint::{Joint, Run};
use super::table::Table;
use super::{Pull, finish};
use crate::colour::Lamp;
use crate::plane::Plane;
use crate::proof::{Bytes, Window};

/// The window in mean colours, linear light, unclipped, as it looks under `lamp`.
///
/// Exact by area where the edge of one plate or paper crosses a pixel; where several do, or a turned one, a pixel is the mean of 8 × 8
/// points. The border of two inks is taken at the pixel's middle.
#[must_use]
pub fn flat(pull: &Pull<'_>, window: &Window, lamp: Lamp) -> Plane<[f32; 3]> {
    finish(window, through(pull, &Joint::bare(pull, window), lamp, |light| light))
}

/// As [`flat`], as sRGB bytes, from what meets under the window ([`Joint::bare`]).
#[must_use]
pub fn flat_shown(pull: &Pull<'_>, joint: &Joint, window: &Window, lamp: Lamp) -> Plane<[u8; 3]> {
    let bytes = Bytes::new();
    finish(window, through(pull, joint, lamp, |light| light.map(|channel| bytes.byte(channel))))
}

fn through<T: Copy>(pull: &Pull<'_>, joint: &Joint, lamp: Lamp, pixel: impl Fn([f32; 3]) -> T) -> Vec<T> {
    let mut table = Table::new(pull, joint, lamp);
    let means: Vec<[f32; 3]> = joint.met.iter().map(|met| table.mean(met)).collect();
    let mut data = Vec::with_capacity(joint.window.width() * joint.window.height());
    let mut mixed = joint.starts.windows(2);
    for run in &joint.runs {
        if run.met != Run::PIECES {
            data.extend(std::iter::repeat_n(pixel(means[run.met as usize]), run.length as usize));
            continue;
        }
        for ends in mixed.by_ref().take(run.length as usize) {
            let mut sum = [0.0f32; 3];
            for piece in &joint.pieces[ends[0] as usize..ends[1] as usize] {
                for (sum, light) in sum.iter_mut().zip(means[piece.met as usize]) {
                    *sum += piece.weight * light;
                }
            }
            data.push(pixel(sum));
        }
    }
    data
}
