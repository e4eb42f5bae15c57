//! Tables of a colour profile: from device values to the profile connection space and on to linear sRGB.

use super::space::{Curve, D50, Matrix, between, srgb_of_xyz, times, within};
use crate::light::Lightness;

/// A profile's table of device values: curves, a grid, curves, and for `mAB ` a matrix and curves more (ICC.1:2022, 10.10 to 10.12).
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lut {
    /// One curve an input.
    pub(super) first: Vec<Curve>,
    /// Points of the grid along each input, the first input varying slowest; at least 2 each. No grid when empty.
    pub(super) points: Vec<usize>,
    /// The grid's values, three a point, 65535 = 1.
    pub(super) grid: Vec<u16>,
    /// After the grid.
    pub(super) second: Option<[Curve; 3]>,
    /// Then a matrix and an offset.
    pub(super) matrix: Option<(Matrix, [f64; 3])>,
    /// Last.
    pub(super) third: Option<[Curve; 3]>,
    /// How the three results stand for the connection space.
    pub(super) connection: Connection,
    /// From the connection space's XYZ to linear sRGB, [`srgb_of_connection`].
    pub(super) to_srgb: Matrix,
}

/// Linear sRGB of the profile connection space's XYZ.
pub(super) fn srgb_of_connection() -> Matrix {
    srgb_of_xyz(D50)
}

/// How three values within 0..=1 stand for a colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Connection {
    /// XYZ, 1 stands for 1 + 32767/32768.
    Xyz,
    /// L*, a*, b* by ICC.1:2022: 1 stands for 100, and for 127 of −128..127.
    Lab,
    /// L*, a*, b* of 16-bit tables in `mft2`: 0xFF00 stands for 100 (ICC.1:2022, 10.10).
    OldLab,
}

impl Lut {
    /// Values a pixel.
    pub(super) fn inputs(&self) -> usize {
        self.first.len()
    }

    /// Linear sRGB of device values within 0..=1, not clipped: colours outside sRGB lie outside 0..=1.
    pub(super) fn light(&self, values: &[f64; 4]) -> [f32; 3] {
        let mut inputs = [0.0; 4];
        for ((input, value), curve) in inputs.iter_mut().zip(values).zip(&self.first) {
            *input = curve.light(*value);
        }
        let mut v = if self.points.is_empty() { [inputs[0], inputs[1], inputs[2]] } else { self.look_up(&inputs) };
        let bend = |v: [f64; 3], curves: &Option<[Curve; 3]>| match curves {
            Some([a, b, c]) => [a.light(v[0]), b.light(v[1]), c.light(v[2])],
            None => v,
        };
        v = bend(v, &self.second);
        if let Some((matrix, offset)) = &self.matrix {
            let turned = times(matrix, v);
            v = [0, 1, 2].map(|i| turned[i] + offset[i]);
        }
        v = bend(v, &self.third);
        let xyz = match self.connection {
            Connection::Xyz => v.map(|v| v * (1.0 + 32_767.0 / 32_768.0)),
            Connection::Lab => xyz_of_lab(v[0] * 100.0, v[1] * 255.0 - 128.0, v[2] * 255.0 - 128.0),
            Connection::OldLab => {
                let wide = 65_535.0 / 65_280.0;
                xyz_of_lab(v[0] * wide * 100.0, v[1] * wide * 255.0 - 128.0, v[2] * wide * 255.0 - 128.0)
            }
        };
        times(&self.to_srgb, xyz).map(|v| v as f32)
    }

    /// Between the grid's points: along the simplex of the cell that holds the place, from its low corner over the inputs in order of
    /// their fractions. Neutral stays neutral, and n inputs take n + 1 points.
    fn look_up(&self, inputs: &[f64; 4]) -> [f64; 3] {
        let n = self.points.len().min(4);
        let mut strides = [0usize; 4];
        let (mut stride, mut corner) = (3, 0);
        let mut steps: [(f64, usize); 4] = [(0.0, 0); 4];
        for i in (0..n).rev() {
            strides[i] = stride;
            let last = self.points[i] - 1;
            let at = within(inputs[i]) * last as f64;
            let low = (at as usize).min(last - 1);
            corner += low * stride;
            steps[i] = (at - low as f64, stride);
            stride *= self.points[i];
        }
        let steps = &mut steps[..n];
        steps.sort_by(|a, b| b.0.total_cmp(&a.0));
        let point = |at: usize| [0, 1, 2].map(|i| self.grid.get(at + i).map_or(0.0, |&v| f64::from(v) / 65_535.0));
        let mut before = point(corner);
        let mut value = before;
        for (fraction, stride) in steps.iter() {
            corner += stride;
            let here = point(corner);
            for ((value, here), before) in value.iter_mut().zip(here).zip(before) {
                *value += fraction * (here - before);
            }
            before = here;
        }
        value
    }
}

/// XYZ of L*, a*, b* under D50 (CIE 15:2018, 8.2.1, turned round).
fn xyz_of_lab(l: f64, a: f64, b: f64) -> [f64; 3] {
    // Lightness by lightness: the same cube and straight line serve for X and Z.
    let y = |l: f64| {
        let root = (l + 16.0) / 116.0;
        if l > 8.0 { root * root * root } else { Lightness(l.max(0.0)).reflectance().0 }
    };
    [D50[0] * y(l + a * 116.0 / 500.0), D50[1] * y(l), D50[2] * y(l - b * 116.0 / 200.0)]
}

/// Bends a value by points, as a curve.
pub(super) fn points(points: Vec<u16>) -> Curve {
    // Two points at the ends are the straight line.
    if points == [0, 65_535] || (points.len() > 2 && straight(&points)) { Curve::Linear } else { Curve::Points(points) }
}

fn straight(points: &[u16]) -> bool {
    let last = points.len() as f64 - 1.0;
    points.iter().enumerate().all(|(i, &p)| (f64::from(p) / 65_535.0 - i as f64 / last).abs() < 1e-5) && between(points, 1.0) >= 1.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn lut(points: usize, value: impl Fn(f64, f64, f64) -> [f64; 3]) -> Lut {
        let mut grid = Vec::new();
        let share = |i: usize| i as f64 / (points - 1) as f64;
        for r in 0..points {
            for g in 0..points {
                for b in 0..points {
                    grid.extend(value(share(r), share(g), share(b)).map(|v| (v * 65_535.0 + 0.5) as u16));
                }
            }
        }
        Lut {
            first: vec![Curve::Linear; 3],
            points: vec![points; 3],
            grid,
            second: None,
            matrix: None,
            third: None,
            connection: Connection::Lab,
            to_srgb: srgb_of_connection(),
        }
    }

    #[test]
    fn a_straight_grid_is_straight_everywhere() {
        let lut = lut(4, |r, g, b| [(r + g + b) / 3.0, 128.0 / 255.0, 128.0 / 255.0]);
        for values in [[0.0, 0.0, 0.0, 0.0], [1.0, 1.0, 1.0, 0.0], [0.1, 0.9, 0.35, 0.0], [0.5, 0.5, 0.5, 0.0]] {
            let wanted = Lightness((values[0] + values[1] + values[2]) / 3.0 * 100.0).reflectance().0;
            // a* and b* of 0 are 128/255 in sixteen bits, to half a step.
            for light in lut.light(&values) {
                assert_abs_diff_eq!(f64::from(light), wanted, epsilon = 1e-3);
            }
        }
    }

    #[test]
    fn lab_is_turned_into_light() {
        // CIE 15:2018: L* 50 is Y 0.184187; D50 white is white.
        assert_abs_diff_eq!(xyz_of_lab(50.0, 0.0, 0.0)[1], 0.184_187, epsilon = 1e-6);
        for (value, wanted) in xyz_of_lab(100.0, 0.0, 0.0).into_iter().zip(D50) {
            assert_abs_diff_eq!(value, wanted, epsilon = 1e-9);
        }
    }
}
