//! A whole row as one print: its faces side by side as they are pulled, with what bevels and gaps leave bare between them. Small, to be seen whole.

use crate::plane::Plane;

/// How dark the plate mark's edge is against the sheet. Estimate, for the eye alone.
const MARK: f32 = 0.78;
/// A bevel's light against the sheet: it wipes clean (common practice, no source).
const BEVEL: f32 = 0.94;

/// A face in the print.
#[derive(Clone, Debug, PartialEq)]
pub struct Pulled {
    /// What it prints, linear light, print view, as it lies in the print.
    pub face: Plane<[f32; 3]>,
    /// Its upper left corner in the picture, pixels; it may lie off it.
    pub at: (i64, i64),
    /// How broad its bevel is, pixels.
    pub bevel: usize,
}

impl Pulled {
    /// The same of a plate that stands turned by half a turn.
    #[must_use]
    pub fn turned(mut self) -> Self {
        self.face.data_mut().reverse();
        self
    }
}

/// The print, linear light: `sheet` wherever no plate lies. A later face lies over an earlier one; in a row none does.
#[must_use]
pub fn picture(size: (usize, usize), sheet: [f32; 3], faces: &[Pulled]) -> Plane<[f32; 3]> {
    let mut print = Plane::filled(size.0, size.1, sheet);
    for Pulled { face, at, bevel } in faces {
        let bevel_px = *bevel as i64;
        let (wide, high) = (face.width() as i64, face.height() as i64);
        for y in -bevel_px..high + bevel_px {
            for x in -bevel_px..wide + bevel_px {
                let (Ok(to_x), Ok(to_y)) = (usize::try_from(at.0 + x), usize::try_from(at.1 + y)) else { continue };
                if to_x >= size.0 || to_y >= size.1 {
                    continue;
                }
                let inside = (0..wide).contains(&x) && (0..high).contains(&y);
                let rim = x == -bevel_px || y == -bevel_px || x == wide + bevel_px - 1 || y == high + bevel_px - 1;
                let light =
                    if inside { face.at(x as usize, y as usize) } else { sheet.map(|channel| channel * if rim { MARK } else { BEVEL }) };
                print.data_mut()[to_y * size.0 + to_x] = light;
            }
        }
    }
    print
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faces_lie_where_they_are_put_and_bevels_and_gap_stay_bare() {
        let face = Plane::from_fn(4, 3, |x, y| [(x + 10 * y) as f32; 3]);
        let one = Pulled { face: face.clone(), at: (3, 3), bevel: 2 };
        let other = Pulled { face, at: (12, 3), bevel: 2 }.turned();
        let print = picture((18, 9), [0.8, 0.7, 0.6], &[one, other]);
        // Print view: the left plate's own corner, and the right one's foot at its top.
        assert_eq!((print.at(3, 3), print.at(6, 5)), ([0.0; 3], [23.0; 3]));
        assert_eq!((print.at(12, 3), print.at(15, 5)), ([23.0; 3], [0.0; 3]));
        // 1 px of sheet between the metals that end at 9 and begin at 10, their rims darker than their bevels.
        assert_eq!(print.at(9, 4), [0.8, 0.7, 0.6]);
        assert_eq!((print.at(8, 4), print.at(7, 4)), ([0.8 * MARK, 0.7 * MARK, 0.6 * MARK], [0.8 * BEVEL, 0.7 * BEVEL, 0.6 * BEVEL]));
        assert_eq!(print.at(10, 4), [0.8 * MARK, 0.7 * MARK, 0.6 * MARK]);
    }

    #[test]
    fn what_lies_off_the_picture_is_cut() {
        let face = Plane::filled(5, 5, [0.1f32; 3]);
        let print = picture((3, 3), [1.0; 3], &[Pulled { face, at: (-2, 1), bevel: 0 }]);
        assert_eq!((print.at(0, 0), print.at(0, 1), print.at(2, 2)), ([1.0; 3], [0.1; 3], [0.1; 3]));
    }
}
