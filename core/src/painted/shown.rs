//! The plate's face for the screen, straightened, with what was found over it: told apart by hatch, not by colour alone.

use super::view::map;
use super::{Corners, PaintedCheck, SEEN};
use crate::drawing::Drawing;
use crate::homography::Homography;
use crate::light::Reflectance;
use crate::photo::source::Light;
use crate::picture::{Rgba, fitted_size};
use crate::plane::Plane;
use crate::plate::Plate;
use crate::warp::Warp;

/// Distance of two hatch lines, pixels, and their width; a light line beside each keeps it in sight on dark and light.
const PITCH: usize = 7;
/// Of what can't be told.
const DOTS: usize = 6;

impl PaintedCheck {
    /// The face as photograph `of` has it, within `most`, plate view. Missed pieces are hatched one way, over-runs both ways, what can't be
    /// told is dotted. `None` where there is no such photograph.
    #[must_use]
    pub fn shown(&self, drawing: &Drawing, of: usize, plate: &Plate, most: (usize, usize)) -> Option<Plane<Rgba>> {
        let corners: &Corners = self.corners.get(of)?;
        let (size, face, bevel) = (plate.size(), plate.face(), plate.bevel().0);
        let (sw, sh) = (self.seen.width(), self.seen.height());
        let (w, h) = fitted_size(sw, sh, most);
        let (kx, ky) = (face.width.0 / w as f64 / size.width.0, face.height.0 / h as f64 / size.height.0);
        let shares = Homography::new([[kx, 0.0, bevel / size.width.0], [0.0, ky, bevel / size.height.0], [0.0, 0.0, 1.0]])?;
        let light = Light::of(drawing);
        let warp = Warp::new(&light, map(corners)? * shares, (w, h));
        let code = |x: usize, y: usize| self.seen.at((2 * x + 1) * sw / (2 * w), (2 * y + 1) * sh / (2 * h));
        Some(Plane::from_fn(w, h, |x, y| {
            let rgb = warp.pixel(x, y).map(|v| Reflectance(f64::from(v)).byte());
            let at = [rgb[0], rgb[1], rgb[2], 255];
            let is = code(x, y);
            if is == SEEN[0] {
                return at;
            }
            let [dark, pale]: [Rgba; 2] = [[16, 18, 18, 255], [255, 255, 250, 255]];
            let line = |v: usize| match v % PITCH {
                0 | 1 => Some(dark),
                2 => Some(pale),
                _ => None,
            };
            let near = |dx: usize, dy: usize| {
                code((x + dx).min(w - 1), (y + dy).min(h - 1)) != is || code(x.saturating_sub(dx), y.saturating_sub(dy)) != is
            };
            if is == SEEN[3] {
                return if x % DOTS < 2 && y % DOTS < 2 {
                    dark
                } else if x % DOTS < 3 && y % DOTS < 3 {
                    pale
                } else {
                    at
                };
            }
            if near(1, 0) || near(0, 1) {
                return dark;
            }
            if near(2, 0) || near(0, 2) {
                return pale;
            }
            let both = is == SEEN[2];
            line(x + y).or_else(|| if both { line(x + PITCH * h - y) } else { None }).unwrap_or(at)
        }))
    }
}
