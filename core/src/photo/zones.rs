//! What the photograph has lost or a hand has covered: burnt-out and black places, and what looks like a shadow; each with its box.

use super::field::{Field, luminance};
use super::sheet::Proxy;
use crate::components::Components;
use crate::plane::Plane;

/// What is wrong with a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZoneKind {
    /// A channel has reached its end: lights can't be told apart.
    Burnt,
    /// All channels are at their foot: darks can't be told apart.
    Lost,
    /// Of the paper's colour, darker, soft at its borders, and it reaches the sheet's edge.
    Shadow,
}

/// A place of the sheet, mm from its upper left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zone {
    /// What is wrong.
    pub kind: ZoneKind,
    /// Left end, mm.
    pub left: f64,
    /// Upper end, mm.
    pub top: f64,
    /// Right end, mm.
    pub right: f64,
    /// Lower end, mm.
    pub bottom: f64,
    /// What it covers, cm².
    pub area_cm2: f64,
    /// Its middle, shares of the sheet.
    pub middle: (f64, f64),
}

/// Cells of the look over the sheet, mm, and at most so many a side.
const CELL: (f64, usize) = (1.0, 500);
/// Smallest place worth a word, mm².
const SMALLEST: (f64, f64) = (4.0, 25.0);
/// A shadow takes at least this off the paper's light, in its logarithm: 7 %, 2.5 L*; and at most this.
const SHADE: (f64, f64) = (0.07, 2.5);
/// Its colour stays within this of the paper's.
const COLOUR: f64 = 0.15;
/// Steepest change of a soft border, ln light a mm, and least share of the place and its border that must be as soft.
const SOFT: (f64, f64) = (0.12, 0.85);
/// The margin where it is looked for: share of the shorter side.
const BAND: f64 = 0.08;

struct Grid {
    cells: Plane<[f64; 5]>,
    mm: (f64, f64),
}

fn grid(proxy: &Proxy) -> Grid {
    let pixels = proxy.pixels();
    let (w, h) = proxy.size_mm();
    let side = |mm: f64, px: usize| ((mm / CELL.0) as usize).clamp(4, CELL.1.min(px).max(4)).min(px);
    let (columns, rows) = (side(w, pixels.width()), side(h, pixels.height()));
    let cells = Plane::from_fn(columns, rows, |i, j| {
        let (x0, x1) = (i * pixels.width() / columns, ((i + 1) * pixels.width() / columns));
        let (y0, y1) = (j * pixels.height() / rows, ((j + 1) * pixels.height() / rows));
        let mut sum = [0.0; 5];
        for y in y0..y1.max(y0 + 1) {
            for x in x0..x1.max(x0 + 1) {
                for (sum, value) in sum.iter_mut().zip(pixels.at(x, y)) {
                    *sum += f64::from(value);
                }
            }
        }
        let count = ((x1.max(x0 + 1) - x0) * (y1.max(y0 + 1) - y0)) as f64;
        sum.map(|v| v / count)
    });
    Grid { mm: (w / columns as f64, h / rows as f64), cells }
}

/// The places, largest first within their kind: burnt out, lost, shadows.
pub(super) fn zones(proxy: &Proxy, field: Option<&Field>) -> Vec<Zone> {
    let grid = grid(proxy);
    let mut found = pieces(&grid, &grid.cells.map(|cell| u8::from(cell[3] > 0.5)), ZoneKind::Burnt, SMALLEST.0, |_| true);
    found.extend(pieces(&grid, &grid.cells.map(|cell| u8::from(cell[4] > 0.5)), ZoneKind::Lost, SMALLEST.0, |_| true));
    if let Some(field) = field {
        found.extend(shadows(&grid, field));
    }
    found
}

/// 4-connected pieces of the cells that are 1.
fn pieces(grid: &Grid, mask: &Plane<u8>, kind: ZoneKind, smallest: f64, keep: impl Fn(&[(usize, usize)]) -> bool) -> Vec<Zone> {
    let pieces = Components::of(mask);
    let mut members: Vec<Vec<(usize, usize)>> = vec![Vec::new(); pieces.count()];
    pieces.each_stretch(|y, start, end, piece| {
        if pieces.values()[piece] == 1 {
            members[piece].extend((start..end).map(|x| (x, y)));
        }
    });
    let cell = grid.mm.0 * grid.mm.1;
    let mut zones: Vec<Zone> = members
        .iter()
        .filter(|cells| !cells.is_empty() && cells.len() as f64 * cell >= smallest && keep(cells))
        .map(|cells| {
            let ends =
                |k: fn(&(usize, usize)) -> usize| cells.iter().map(k).fold((usize::MAX, 0), |(low, high), v| (low.min(v), high.max(v)));
            let ((left, right), (top, bottom)) = (ends(|c| c.0), ends(|c| c.1));
            let mean = |k: fn(&(usize, usize)) -> usize, of: usize| {
                (cells.iter().map(|c| k(c) as f64).sum::<f64>() / cells.len() as f64 + 0.5) / of as f64
            };
            Zone {
                kind,
                left: left as f64 * grid.mm.0,
                top: top as f64 * grid.mm.1,
                right: (right + 1) as f64 * grid.mm.0,
                bottom: (bottom + 1) as f64 * grid.mm.1,
                area_cm2: cells.len() as f64 * cell / 100.0,
                middle: (mean(|c| c.0, mask.width()), mean(|c| c.1, mask.height())),
            }
        })
        .collect();
    zones.sort_by(|a, b| b.area_cm2.total_cmp(&a.area_cm2));
    zones
}

fn shadows(grid: &Grid, field: &Field) -> Vec<Zone> {
    let (columns, rows) = (grid.cells.width(), grid.cells.height());
    let (w, h) = (columns as f64 * grid.mm.0, rows as f64 * grid.mm.1);
    // How much darker than paper, and how far from its colour.
    let looks = Plane::from_fn(columns, rows, |x, y| {
        let at = [(x as f64 + 0.5) / columns as f64, (y as f64 + 0.5) / rows as f64];
        let (cell, paper) = (grid.cells.at(x, y), field.at(at));
        let ln = |v: f64| libm::log(v.max(1e-5));
        let shade = ln(luminance([cell[0], cell[1], cell[2]])) - ln(luminance(paper));
        let colour = |c: usize| (ln(cell[c]) - ln(cell[1]) - ln(paper[c]) + ln(paper[1])).abs();
        [shade, colour(0).max(colour(2))]
    });
    let from_edge = |x: usize, y: usize| {
        let (a, b) = ((x as f64 + 0.5) * grid.mm.0, (y as f64 + 0.5) * grid.mm.1);
        a.min(w - a).min(b).min(h - b)
    };
    let band = (BAND * w.min(h)).max(6.0);
    // The outermost millimetre and a half may be the table showing through the blur.
    let within = |x: usize, y: usize| (1.5..=band).contains(&from_edge(x, y));
    let mask = Plane::from_fn(columns, rows, |x, y| {
        let [shade, colour] = looks.at(x, y);
        u8::from(within(x, y) && (-SHADE.1..=-SHADE.0).contains(&shade) && colour < COLOUR)
    });
    let steep = |x: usize, y: usize| {
        let (l, r) = (x.saturating_sub(1), (x + 1).min(columns - 1));
        let (t, f) = (y.saturating_sub(1), (y + 1).min(rows - 1));
        let across = (looks.at(r, y)[0] - looks.at(l, y)[0]) / ((r - l) as f64 * grid.mm.0);
        let down = (looks.at(x, f)[0] - looks.at(x, t)[0]) / ((f - t) as f64 * grid.mm.1);
        across.abs().max(down.abs())
    };
    pieces(grid, &mask, ZoneKind::Shadow, SMALLEST.1, |cells| {
        let touches = cells.iter().any(|&(x, y)| from_edge(x, y) < 3.5);
        // Cells right at the edge see its blur, which is no border of the shadow's.
        let looked: Vec<&(usize, usize)> = cells.iter().filter(|c| from_edge(c.0, c.1) > 3.0).collect();
        let soft = looked.iter().filter(|c| steep(c.0, c.1) < SOFT.0).count();
        touches && !looked.is_empty() && soft as f64 >= SOFT.1 * looked.len() as f64
    })
}
