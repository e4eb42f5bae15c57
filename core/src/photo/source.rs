//! Where a photograph's light comes from: its colours, or the luminance alone where it has none.

use crate::drawing::Drawing;
use crate::light::Encoded;
use crate::plane::Plane;
use crate::warp::Source;

/// Values of 16 bits: a table of as many needs no check of its bounds.
const VALUES: usize = 1 << 16;

/// Linear light of every encoded value.
type Decoded = Box<[f32; VALUES]>;

/// Linear red, green and blue of an upright picture.
pub(crate) struct Light<'a> {
    luminance: &'a Plane<f32>,
    colour: Option<(&'a Plane<[u16; 3]>, Decoded)>,
}

impl<'a> Light<'a> {
    pub(crate) fn of(drawing: &'a Drawing) -> Self {
        let table = || {
            let values: Vec<f32> = (0..VALUES).map(|v| Encoded(v as f64 / 65_535.0).linear().0 as f32).collect();
            values.into_boxed_slice().try_into().ok()
        };
        Self { luminance: drawing.luminance(), colour: drawing.colour().and_then(|plane| Some((plane, table()?))) }
    }

    /// Luminance, of which every picture has a value.
    pub(crate) fn luminance(&self) -> &'a Plane<f32> {
        self.luminance
    }

    fn rgb(&self, x: usize, y: usize) -> [f32; 3] {
        match &self.colour {
            Some((plane, table)) => plane.at(x, y).map(|v| table[usize::from(v)]),
            None => [self.luminance.at(x, y); 3],
        }
    }
}

impl Source<3> for Light<'_> {
    fn size(&self) -> (usize, usize) {
        (self.luminance.width(), self.luminance.height())
    }

    fn at(&self, x: usize, y: usize) -> [f32; 3] {
        self.rgb(x, y)
    }

    fn four(&self, x: usize, y: usize) -> [[f32; 3]; 4] {
        let of = |row: &[f32]| std::array::from_fn(|i| [row[i]; 3]);
        match &self.colour {
            Some((plane, table)) => {
                let row = &plane.row(y)[x..x + 4];
                std::array::from_fn(|i| row[i].map(|v| table[usize::from(v)]))
            }
            None => of(&self.luminance.row(y)[x..x + 4]),
        }
    }
}

/// From this encoded value on a channel is burnt out: 253 of 255. A JPEG wavers by a value or two about 255.
const BURNT: f64 = 253.0 / 255.0;
/// Up to this encoded value in all three a place is lost in black: 3 of 255.
const LOST: f64 = 3.0 / 255.0;

/// The same with two shares beside it: of what is burnt out in a channel, and of what is lost in black.
pub(crate) struct Clipped<'a> {
    light: &'a Light<'a>,
    burnt: f32,
    lost: f32,
}

impl<'a> Clipped<'a> {
    pub(crate) fn of(light: &'a Light<'a>) -> Self {
        let linear = |v: f64| Encoded(v).linear().0 as f32;
        Self { light, burnt: linear(BURNT), lost: linear(LOST) }
    }
}

impl Source<5> for Clipped<'_> {
    fn size(&self) -> (usize, usize) {
        self.light.size()
    }

    fn at(&self, x: usize, y: usize) -> [f32; 5] {
        let [r, g, b] = self.light.rgb(x, y);
        let flag = |on: bool| if on { 1.0 } else { 0.0 };
        let burnt = [r, g, b].iter().any(|&v| v >= self.burnt);
        let lost = [r, g, b].iter().all(|&v| v <= self.lost);
        [r, g, b, flag(burnt), flag(lost)]
    }
}
