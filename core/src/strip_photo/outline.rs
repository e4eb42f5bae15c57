//! The strip in the picture: found by itself, or its sides found from two points the printer has set.
//!
//! In a small picture the paper's light is told by one smooth field that most of the lighter places follow. What is darker than it, in one
//! piece, longer than wide, full as a rectangle and off the picture's edge, may be a strip; the largest is taken. Its long sides are then
//! found at full size, where strip passes to paper.
//!
//! Where it can fail, and says so or leaves it to the printer: a strip cut off by the picture's edge, or without bare paper round it.

use super::StripPhotoError;
use crate::components::Components;
use crate::homography::{Point, solve};
use crate::photo::Corners;
use crate::photo::edge::{Edge, SUPPORT};
use crate::photo::source::Light;
use crate::plane::Plane;
use crate::warp::Source;

/// Longest side of the small picture.
const SMALL: usize = 560;
/// Darker than paper by this, in the logarithm of light, is no paper: 2 L*.
const DARKER: f64 = 0.06;
/// A colour this far from the paper's, in logarithms of its ratios, is neither paper nor ink: a finger's. What is very dark has no colour.
const COLOUR: f64 = 0.22;
/// Least share of the picture a strip takes, least length over width, least share of its rectangle it fills.
const LEAST: (f64, f64, f64) = (0.002, 1.6, 0.7);

/// Mean linear red, green and blue over squares of the picture.
struct Small {
    rgb: Plane<[f32; 3]>,
    factor: usize,
}

fn small(light: &Light<'_>) -> Small {
    let (width, height) = light.size();
    let factor = width.max(height).div_ceil(SMALL).max(1);
    let (w, h) = ((width / factor).max(1), (height / factor).max(1));
    // In a large square every other pixel or so is plenty.
    let step = (factor / 4).max(1);
    let rgb = Plane::from_fn(w, h, |x, y| {
        let (mut sum, mut count) = ([0.0f32; 3], 0.0f32);
        for j in (0..factor).step_by(step) {
            for i in (0..factor).step_by(step) {
                let at = light.at((x * factor + i).min(width - 1), (y * factor + j).min(height - 1));
                for (sum, value) in sum.iter_mut().zip(at) {
                    *sum += value;
                }
                count += 1.0;
            }
        }
        sum.map(|v| v / count)
    });
    Small { rgb, factor }
}

fn ln(v: f32) -> f64 {
    f64::from(libm::logf(v.max(1e-4)))
}

fn luminance(rgb: [f32; 3]) -> f32 {
    0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]
}

/// ln of the paper's light over the small picture: what most of the lighter places follow. `None` where they follow nothing.
fn paper(small: &Small) -> Option<Plane<f64>> {
    let (w, h) = (small.rgb.width(), small.rgb.height());
    let logs = small.rgb.map(|&rgb| ln(luminance(rgb)));
    let basis = |x: usize, y: usize| {
        let (p, q) = (2.0 * x as f64 / w as f64 - 1.0, 2.0 * y as f64 / h as f64 - 1.0);
        [1.0, p, q, p * p, p * q, q * q]
    };
    let mut sorted: Vec<f64> = logs.data().iter().step_by(7).copied().collect();
    sorted.sort_by(f64::total_cmp);
    // The lightest twenty-fifth may be glare; a sheet takes more than that.
    let start = *sorted.get(sorted.len() * 24 / 25)?;
    let mut terms = [start, 0.0, 0.0, 0.0, 0.0, 0.0];
    let fine = (w.max(h) / 140).max(1);
    const ROUNDS: usize = 26;
    for round in 0..ROUNDS {
        let t = round as f64 / (ROUNDS - 1) as f64;
        // From what is within a factor of four to what is within a tenth; darker places give way sooner than lighter ones.
        let reach = libm::exp(libm::log(0.9) * (1.0 - t) + libm::log(0.1) * t);
        let used = if round < 8 { 3 } else { 6 };
        let mut rows = [[0.0; 7]; 6];
        for y in (0..h).step_by(fine) {
            for x in (0..w).step_by(fine) {
                let b = basis(x, y);
                let off = logs.at(x, y) - terms.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
                let t = off / if off > 0.0 { 1.6 * reach } else { reach };
                let weight = if t.abs() < 1.0 { (1.0 - t * t) * (1.0 - t * t) } else { 0.0 };
                for i in 0..used {
                    for k in 0..used {
                        rows[i][k] += weight * b[i] * b[k];
                    }
                    rows[i][6] += weight * b[i] * logs.at(x, y);
                }
            }
        }
        let weight = rows[0][0];
        for (k, row) in rows.iter_mut().enumerate() {
            // Unused terms are held at none, the others hardly at all.
            row[k] += if k >= used { 1.0 } else { 1e-4 * weight + 1e-9 };
        }
        rows[0][6] += 1e-4 * weight * terms[0];
        terms = solve(rows)?;
    }
    let field = Plane::from_fn(w, h, |x, y| terms.iter().zip(basis(x, y)).map(|(a, b)| a * b).sum::<f64>());
    let near = field.data().iter().zip(logs.data()).filter(|(a, b)| (*a - *b).abs() < DARKER).count();
    (near as f64 > 0.08 * (w * h) as f64).then_some(field)
}

/// A piece that may be a strip.
struct Piece {
    /// Along its length: middles of its short ends.
    ends: [Point; 2],
    width: f64,
    area: f64,
}

/// The pieces that may be strips, in the picture's pixels, the largest first.
fn pieces(small: &Small, field: &Plane<f64>, coloured: bool) -> Vec<Piece> {
    let (w, h) = (small.rgb.width(), small.rgb.height());
    let mut of_paper: [Vec<f64>; 2] = Default::default();
    let ratios = |rgb: [f32; 3]| [ln(rgb[0]) - ln(rgb[1]), ln(rgb[2]) - ln(rgb[1])];
    for (rgb, field) in small.rgb.data().iter().zip(field.data()) {
        if (ln(luminance(*rgb)) - field).abs() < DARKER {
            for (all, ratio) in of_paper.iter_mut().zip(ratios(*rgb)) {
                all.push(ratio);
            }
        }
    }
    let colour = of_paper.map(|mut all| super::segments::median(&mut all).unwrap_or(0.0));
    let mask = Plane::from_fn(w, h, |x, y| {
        let rgb = small.rgb.at(x, y);
        let light = luminance(rgb);
        let dark = field.at(x, y) - ln(light) > DARKER;
        let far = ratios(rgb).iter().zip(colour).any(|(a, b)| (a - b).abs() > COLOUR + 0.003 / f64::from(light.max(1e-3)));
        u8::from(dark && !(coloured && far))
    });
    let pieces = Components::of(&mask);
    let mut members: Vec<Vec<(f64, f64, f64)>> = vec![Vec::new(); pieces.count()];
    let mut cut = vec![0.0f64; pieces.count()];
    pieces.each_stretch(|y, start, end, piece| {
        if pieces.values()[piece] != 1 {
            return;
        }
        members[piece].push((y as f64 + 0.5, start as f64, end as f64));
        let ends = f64::from(u8::from(start == 0)) + f64::from(u8::from(end == w));
        cut[piece] += if y == 0 || y + 1 == h { (end - start) as f64 } else { ends };
    });
    let least = LEAST.0 * (w * h) as f64;
    let mut found: Vec<Piece> = members.iter().zip(cut).filter(|(_, cut)| *cut < 1.0).filter_map(|(runs, _)| piece(runs, least)).collect();
    found.sort_by(|a, b| b.area.total_cmp(&a.area));
    let factor = small.factor as f64;
    for piece in &mut found {
        piece.ends = piece.ends.map(|p| p.map(|v| v * factor));
        piece.width *= factor;
    }
    found
}

/// The rectangle of a piece, from its second moments and the reach of its runs: `None` where it is no strip.
fn piece(runs: &[(f64, f64, f64)], least: f64) -> Option<Piece> {
    let area: f64 = runs.iter().map(|r| r.2 - r.1).sum();
    if area < least {
        return None;
    }
    let (mut sx, mut sy, mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for &(y, a, b) in runs {
        let (n, m) = (b - a, (a + b) / 2.0);
        sx += n * m;
        sy += n * y;
        xx += (b * b * b - a * a * a) / 3.0;
        xy += n * m * y;
        yy += n * y * y;
    }
    let (cx, cy) = (sx / area, sy / area);
    let angle = 0.5 * libm::atan2(2.0 * (xy / area - cx * cy), xx / area - cx * cx - (yy / area - cy * cy));
    let along = [libm::cos(angle), libm::sin(angle)];
    // Lengths of the piece seen along and across, so much of its area beyond either end left out: a hair of a run is no end.
    let reach = |way: Point| {
        let mut all: Vec<(f64, f64)> = Vec::with_capacity(runs.len() * 8);
        for &(y, a, b) in runs {
            let count = libm::ceil((b - a) / 2.0).max(1.0);
            for i in 0..count as usize {
                let x = a + (i as f64 + 0.5) * (b - a) / count;
                all.push(((x - cx) * way[0] + (y - cy) * way[1], (b - a) / count));
            }
        }
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        let at = |share: f64| {
            let mut sum = 0.0;
            all.iter().find(|(_, n)| {
                sum += n;
                sum >= share * area
            })
        };
        let low = at(0.01).map_or(0.0, |p| p.0);
        let high = at(0.99).map_or(0.0, |p| p.0);
        // What was left out, put back as for a rectangle.
        let room = 0.01 / 0.98 * (high - low);
        (low - room, high + room)
    };
    let ((low, high), (left, right)) = (reach(along), reach([-along[1], along[0]]));
    let (length, width) = (high - low, right - left);
    let full = area / (length * width).max(1e-9);
    if width < 3.0 || length < LEAST.1 * width || full < LEAST.2 {
        return None;
    }
    let middle = (left + right) / 2.0;
    let at = |s: f64| [cx + s * along[0] - middle * along[1], cy + s * along[1] + middle * along[0]];
    Some(Piece { ends: [at(low), at(high)], width, area })
}

/// Finds the strip: its corners, and how many other pieces looked like one.
pub(super) fn find(light: &Light<'_>) -> Result<(Corners, usize), StripPhotoError> {
    let small = small(light);
    let field = paper(&small).ok_or(StripPhotoError::NoStrip)?;
    // Without what is of another colour first, which cuts fingers off; then all that is dark, for an ink of much colour.
    let mut found = pieces(&small, &field, true);
    let all = pieces(&small, &field, false);
    let area = |pieces: &[Piece]| pieces.first().map_or(0.0, |piece| piece.area);
    if area(&all) > 1.3 * area(&found) {
        found = all;
    }
    let piece = found.first().ok_or(StripPhotoError::NoStrip)?;
    let others = found.iter().filter(|other| other.area > 0.3 * piece.area).count() - 1;
    let quad = sides(light, around(piece.ends, piece.width), true);
    Ok((quad, others))
}

/// The strip between two points set on the middles of its short ends.
pub(super) fn between(light: &Light<'_>, ends: [Point; 2]) -> Result<Corners, StripPhotoError> {
    let length = libm::hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]);
    let (w, h) = light.size();
    let within = |p: &Point| (0.0..=w as f64).contains(&p[0]) && (0.0..=h as f64).contains(&p[1]);
    if !ends.iter().all(within) || !length.is_finite() || length < 24.0 {
        return Err(StripPhotoError::Ends);
    }
    let along = [(ends[1][0] - ends[0][0]) / length, (ends[1][1] - ends[0][1]) / length];
    let plane = light.luminance();
    // How light it is so far to the side: the mean over places along the strip, steady where grain is seen.
    const PLACES: usize = 400;
    let at = |off: f64| {
        let (mut sum, mut count) = (0.0, 0usize);
        for i in 0..PLACES {
            let s = (i as f64 + 0.5) / PLACES as f64 * length;
            let [x, y] = [ends[0][0] + s * along[0] - off * along[1], ends[0][1] + s * along[1] + off * along[0]];
            if (0.0..w as f64).contains(&x) && (0.0..h as f64).contains(&y) {
                sum += f64::from(plane.at(x as usize, y as usize));
                count += 1;
            }
        }
        (2 * count > PLACES).then(|| sum / count as f64)
    };
    let step = (length / 160.0).max(0.5);
    let side = |way: f64| {
        let profile: Vec<f64> = (0..130).map_while(|k| at(way * f64::from(k) * step)).collect();
        // The first place that rises steeply, over three samples: strip to paper.
        let rise = |k: usize| profile[k + 3] - profile[k];
        let places = profile.len().saturating_sub(3);
        let most = (0..places).map(rise).fold(0.0, f64::max);
        let k = (0..places).find(|&k| rise(k) > 0.6 * most)?;
        (most > 0.1 * profile[k + 3]).then_some((k as f64 + 2.0) * step)
    };
    let (Some(right), Some(left)) = (side(1.0), side(-1.0)) else { return Err(StripPhotoError::Sides) };
    let shift = (right - left) / 2.0;
    // Points set off the middle are taken onto it.
    let ends = ends.map(|p| [p[0] - shift * along[1], p[1] + shift * along[0]]);
    Ok(sides(light, around(ends, left + right), false))
}

/// The rectangle along two middles of short ends.
fn around(ends: [Point; 2], width: f64) -> Corners {
    let length = libm::hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]).max(1e-9);
    let across = [-(ends[1][1] - ends[0][1]) / length * width / 2.0, (ends[1][0] - ends[0][0]) / length * width / 2.0];
    let at = |p: Point, way: f64| [p[0] + way * across[0], p[1] + way * across[1]];
    Corners([at(ends[0], -1.0), at(ends[1], -1.0), at(ends[1], 1.0), at(ends[0], 1.0)])
}

/// The same with its sides where strip passes to paper: the long ones always, the short ones where they were found by themselves too. A
/// side that is not clear stays as it is.
fn sides(light: &Light<'_>, rough: Corners, short: bool) -> Corners {
    let mut quad = rough;
    let plane = light.luminance();
    for (round, reach) in [0.3, 0.12].into_iter().enumerate() {
        let lengths = quad.sides();
        let lines: [[Point; 2]; 4] = std::array::from_fn(|i| {
            let (a, b) = (quad.0[i], quad.0[(i + 1) % 4]);
            let reach = (reach * lengths[1].min(lengths[3])).max(4.0);
            if i % 2 == 1 && !(short && round == 1) {
                return [a, b];
            }
            // Looked for from the other end, so that the light side is outside.
            // Six pixels or so of the side at each place: grain beside it is steep in single pixels.
            let places = ((lengths[i] / 6.0) as usize).clamp(30, 240);
            match Edge::find_at(plane, b, a, reach, places).filter(|edge| edge.support >= SUPPORT) {
                Some(edge) => {
                    let [p, q] = edge.line();
                    [q, p]
                }
                None => [a, b],
            }
        });
        let meets = |i: usize| {
            let ([p, p1], [q, q1]) = (lines[(i + 3) % 4], lines[i]);
            let (u, v) = ([p1[0] - p[0], p1[1] - p[1]], [q1[0] - q[0], q1[1] - q[1]]);
            let det = u[0] * v[1] - u[1] * v[0];
            let k = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / det;
            let at: Point = [p[0] + k * u[0], p[1] + k * u[1]];
            (det.abs() > 1.0 && at.iter().all(|v| v.is_finite())).then_some(at)
        };
        let next: Vec<Point> = (0..4).filter_map(meets).collect();
        if let Ok(corners) = <[Point; 4]>::try_from(next) {
            let far = corners.iter().zip(quad.0).any(|(a, b)| libm::hypot(a[0] - b[0], a[1] - b[1]) > 0.8 * lengths[1].max(lengths[3]));
            if !far && Corners(corners).check(light.size()).is_ok() {
                quad = Corners(corners);
            }
        }
    }
    quad
}
