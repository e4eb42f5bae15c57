//! The face: the drawing placed on the plate face in millimetres, as lightness at the working resolution, in print view.

use crate::drawing::{Drawing, Ends};
use crate::light::LightnessTable;
use crate::plane::Plane;
use crate::plate::{Plate, PlateError};
use crate::tones::Histogram;
use crate::units::{Millimetres, PxPerMm};
use serde::{Deserialize, Serialize};
use std::fmt;

mod resample;
use resample::Axis;

/// Below this many drawing pixels to a millimetre of plate, edges look soft or stepped: a note says so. Common practice, no source:
/// about 100 to the inch.
pub const FINE_ENOUGH: PxPerMm = PxPerMm(4.0);

/// How a drawing of one shape meets a face of another. Its own shape is kept either way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fit {
    /// Fills the face; what stands over is cropped, as much on both sides.
    #[default]
    Cover,
    /// All of the drawing is on the face, centred; what is left is paper white.
    Contain,
}

/// Pixels of a raster: from `left`, `top`, so many across and down. Never empty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PixelRect {
    /// First column.
    pub left: usize,
    /// First row.
    pub top: usize,
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

/// The drawing on the plate face, in print view.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// L* of the drawing, 0..=100; 100 beside it. One value a pixel of [`Plate::raster`]; pixel (0, 0) begins at the face's top left corner.
    pub lightness: Plane<f32>,
    /// Pixels a millimetre of plate.
    pub resolution: PxPerMm,
    /// Which pixels are drawing rather than paper: those whose middle lies on it.
    pub picture: PixelRect,
    /// Drawing pixels to a millimetre of plate.
    pub detail: PxPerMm,
    /// Paper and black of the picture part.
    pub ends: Ends,
    /// What the reader should know, a sentence each.
    pub notes: Vec<String>,
}

/// Why a drawing can't be placed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum FaceError {
    /// The raster can't be.
    Plate(PlateError),
    /// What is on the face is one even grey.
    OneLightness,
    /// The drawing is so long and thin that less than a pixel of it is left.
    Thin {
        /// Its width on the plate.
        width: Millimetres,
        /// Its height on the plate.
        height: Millimetres,
    },
}

impl fmt::Display for FaceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Plate(error) => error.fmt(f),
            Self::OneLightness => {
                write!(
                    f,
                    "The drawing is one even grey on this plate, so there is nothing to separate: open a drawing with lights and darks."
                )
            }
            Self::Thin { width, height } => write!(
                f,
                "The whole drawing would be {:.2} × {:.2} mm on this face, less than one pixel: let it fill the face, or crop it first.",
                width.0, height.0
            ),
        }
    }
}

impl std::error::Error for FaceError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Plate(error) => Some(error),
            _ => None,
        }
    }
}

impl From<PlateError> for FaceError {
    fn from(error: PlateError) -> Self {
        Self::Plate(error)
    }
}

impl Face {
    /// The picture part, row after row.
    pub fn picture_rows(&self) -> impl Iterator<Item = &[f32]> + Clone {
        rows(&self.lightness, self.picture)
    }

    /// How often each lightness occurs in the picture part.
    #[must_use]
    pub fn histogram(&self) -> Histogram {
        Histogram::of(self.picture_rows().flatten().copied())
    }
}

fn rows(plane: &Plane<f32>, part: PixelRect) -> impl Iterator<Item = &[f32]> + Clone {
    let columns = part.left..part.left + part.width;
    plane.data().chunks_exact(plane.width()).skip(part.top).take(part.height).map(move |row| &row[columns.clone()])
}

/// Places a drawing on a plate's face.
///
/// One scale in both directions, centred, to a fraction of a pixel. Reduced, a pixel is the mean of the drawing over exactly its area;
/// enlarged, it is interpolated and stays within its neighbours: both in linear light. At the drawing's own edge a pixel is drawing
/// or paper as its middle is, never a mixture, so that no false tone runs round a dark drawing.
///
/// # Errors
/// When the raster can't be, or what falls on it has one lightness only or is thinner than a pixel.
pub fn place(drawing: &Drawing, plate: &Plate, fit: Fit, resolution: PxPerMm) -> Result<Face, FaceError> {
    let (width, height) = plate.raster(resolution)?;
    let face = plate.face();
    let luminance = drawing.luminance();
    let (across, down) = (luminance.width() as f64, luminance.height() as f64);

    // Millimetres of plate to a pixel of the drawing, the same both ways.
    let (fill_across, fill_down) = (face.width.0 / across, face.height.0 / down);
    let scale = match fit {
        Fit::Cover => fill_across.max(fill_down),
        Fit::Contain => fill_across.min(fill_down),
    };
    let thin = || FaceError::Thin { width: Millimetres(across * scale), height: Millimetres(down * scale) };
    let axis = |length: f64, face: f64, raster: usize| Axis::new(length as usize, raster, scale, face, resolution.0);
    let columns = axis(across, face.width.0, width).ok_or_else(thin)?;
    let lines = axis(down, face.height.0, height).ok_or_else(thin)?;
    let picture = PixelRect { left: columns.first(), top: lines.first(), width: columns.len(), height: lines.len() };

    let table = LightnessTable::new();
    let mut lightness = Plane::filled(width, height, 100.0f32);
    let mut line = vec![0.0f32; luminance.width()];
    for y in 0..picture.height {
        let start = (picture.top + y) * width + picture.left;
        let out = &mut lightness.data_mut()[start..start + picture.width];
        lines.across_rows(y, luminance, columns.reach(), &mut line);
        columns.along_row(&line, out);
        for value in out {
            *value = table.lightness(*value);
        }
    }

    let ends = Ends::of(&rows(&lightness, picture)).ok_or(FaceError::OneLightness)?;
    let detail = PxPerMm(1.0 / scale);
    let mut notes = Vec::new();
    if detail < FINE_ENOUGH {
        notes.push(format!(
            "The drawing has {} to a millimetre of this plate; under {} edges come out soft: scan it finer, or choose a smaller plate.",
            if detail.0 < 0.1 { "less than a tenth of a pixel".to_owned() } else { format!("{:.1} pixels", detail.0) },
            FINE_ENOUGH.0
        ));
    }
    Ok(Face { lightness, resolution, picture, detail, ends, notes })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Lightness, Reflectance};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn plate(width: f64, height: f64) -> Plate {
        Plate::new(Millimetres(width), Millimetres(height), Millimetres(0.0)).unwrap()
    }

    fn drawing(width: usize, height: usize, y: impl FnMut(usize, usize) -> f32) -> Drawing {
        Drawing::from_luminance(&Plane::from_fn(width, height, y))
    }

    fn mean_y(face: &Face) -> f64 {
        let (sum, count) =
            face.picture_rows().flatten().fold((0.0, 0), |(sum, count), &l| (sum + Lightness(f64::from(l)).reflectance().0, count + 1));
        sum / f64::from(count)
    }

    /// Pixels of a line of the face that hold less than half of Y 0.9 (L* 72.9), first and one past the last: where an edge from black to
    /// Y 0.9 lies, also when it is interpolated.
    fn dark(values: impl Iterator<Item = f32>) -> (usize, usize) {
        let dark: Vec<usize> = values.enumerate().filter(|(_, l)| *l < 72.9).map(|(x, _)| x).collect();
        (dark[0], dark[dark.len() - 1] + 1)
    }

    #[test]
    fn a_fine_checkerboard_is_the_mean_of_its_light() {
        // Half the light is L* 76.07 (CIE 15:2018), not the 53 that a mean of sRGB bytes gives.
        let board = drawing(400, 400, |x, y| ((x + y) % 2) as f32);
        let face = place(&board, &plate(20.0, 20.0), Fit::Cover, PxPerMm(10.0));
        assert_eq!(face.unwrap_err(), FaceError::OneLightness);
        let marked = drawing(400, 400, |x, y| if x < 40 { 0.0 } else { ((x + y) % 2) as f32 });
        let face = place(&marked, &plate(20.0, 20.0), Fit::Cover, PxPerMm(10.0)).unwrap();
        for y in 0..200 {
            assert_abs_diff_eq!(face.lightness.at(0, y), 0.0, epsilon = 1e-3);
            assert_abs_diff_eq!(f64::from(face.lightness.at(100, y)), Reflectance(0.5).lightness().0, epsilon = 0.02);
            assert_abs_diff_eq!(f64::from(face.lightness.at(199, y)), 76.07, epsilon = 0.02);
        }
    }

    #[test]
    fn marks_land_where_the_millimetres_say() {
        // 300 × 100 pixels on 60 × 40 mm. Cover: 0.4 mm a pixel, 120 × 40 mm, 30 mm cropped on each side; the mark from pixel 150 to 160,
        // rows 25 to 50, lies at 30..34 mm, 10..20 mm. Contain: 0.2 mm a pixel, 60 × 20 mm, from 10 mm down; the mark at 30..32, 15..20 mm.
        let marked = drawing(300, 100, |x, y| if (150..160).contains(&x) && (25..50).contains(&y) { 0.0 } else { 0.9 });
        for (fit, across, down, picture) in [
            (Fit::Cover, (300, 340), (100, 200), PixelRect { left: 0, top: 0, width: 600, height: 400 }),
            (Fit::Contain, (300, 320), (150, 200), PixelRect { left: 0, top: 100, width: 600, height: 200 }),
        ] {
            let face = place(&marked, &plate(60.0, 40.0), fit, PxPerMm(10.0)).unwrap();
            assert_eq!(face.picture, picture);
            assert_eq!((face.lightness.width(), face.lightness.height()), (600, 400));
            assert_eq!(dark(face.lightness.row(down.0 + 10).iter().copied()), across, "{fit:?}");
            let column: Vec<f32> = face.lightness.rows().map(|row| row[across.0 + 5]).collect();
            assert_eq!(dark(column.into_iter()), down, "{fit:?}");
            for (i, row) in face.lightness.rows().enumerate() {
                if !(picture.top..picture.top + picture.height).contains(&i) {
                    assert!(row.iter().all(|&l| l == 100.0), "paper beside the drawing is white");
                }
            }
        }
    }

    #[test]
    fn a_pixel_for_a_pixel_changes_nothing() {
        let drawing = drawing(50, 30, |x, y| ((x * 7 + y * 13) % 29) as f32 / 28.0);
        let face = place(&drawing, &plate(5.0, 3.0 + 2.0), Fit::Contain, PxPerMm(10.0)).unwrap();
        assert_eq!(face.picture, PixelRect { left: 0, top: 10, width: 50, height: 30 });
        let table = LightnessTable::new();
        for (row, values) in face.picture_rows().zip(drawing.luminance().rows()) {
            let wanted: Vec<f32> = values.iter().map(|&y| table.lightness(y)).collect();
            assert_eq!(row, wanted);
        }
        assert_abs_diff_eq!(face.detail.0, 10.0, epsilon = 1e-12);
        assert!(face.notes.is_empty());
    }

    #[test]
    fn a_dark_drawing_has_no_rim_of_false_tones() {
        // 10 mm of 33 pixels on 14 mm: its edges fall within face pixels.
        let dark = drawing(33, 33, |x, y| if x == 16 && y == 16 { 0.5 } else { 0.02 });
        let face = place(&dark, &plate(14.0, 13.37), Fit::Contain, PxPerMm(7.0)).unwrap();
        let grey = face.lightness.data().iter().filter(|&&l| l > 30.0 && l < 99.0).count();
        let inside = face.picture_rows().flatten().filter(|&&l| l > 30.0).count();
        assert_eq!(grey, inside);
    }

    #[test]
    fn extreme_shapes_are_answered_or_refused() {
        let long = drawing(30_000, 20, |x, _| (x % 1000) as f32 / 999.0);
        let face = place(&long, &plate(100.0, 80.0), Fit::Cover, PxPerMm(10.0)).unwrap();
        assert!(face.notes[0].contains("0.2 pixels"), "{:?}", face.notes);
        let said = place(&long, &plate(100.0, 80.0), Fit::Contain, PxPerMm(10.0));
        match said {
            Ok(face) => assert_eq!(face.picture.height, 1),
            Err(error) => assert!(matches!(error, FaceError::Thin { .. })),
        }
        let thin = place(&long, &plate(20.0, 20.0), Fit::Contain, PxPerMm(1.0)).unwrap_err();
        assert!(matches!(thin, FaceError::Thin { .. }));
        assert!(thin.to_string().contains("less than one pixel:"));
        for one in [0.0, 1.0, 0.3] {
            for (width, height) in [(1, 1), (40, 30)] {
                let even = drawing(width, height, |_, _| one);
                for fit in [Fit::Cover, Fit::Contain] {
                    assert_eq!(place(&even, &plate(20.0, 30.0), fit, PxPerMm(10.0)).unwrap_err(), FaceError::OneLightness);
                }
            }
        }
        assert!(matches!(place(&long, &plate(100.0, 80.0), Fit::Cover, PxPerMm(0.0)), Err(FaceError::Plate(_))));
    }

    #[test]
    fn ends_and_histogram_are_of_the_picture_alone() {
        let grey = drawing(100, 10, |x, _| if x < 50 { 0.2 } else { 0.4 });
        let face = place(&grey, &plate(10.0, 20.0), Fit::Contain, PxPerMm(10.0)).unwrap();
        assert_abs_diff_eq!(face.ends.paper.0, Reflectance(0.4).lightness().0, epsilon = 0.02);
        assert_abs_diff_eq!(face.ends.black.0, Reflectance(0.2).lightness().0, epsilon = 0.02);
        let counts = face.histogram();
        assert_eq!(counts.counts().iter().sum::<u64>(), 1000);
        assert_eq!(counts.counts().iter().filter(|&&count| count > 0).count(), 2);
    }

    /// The plain definition: each face pixel samples its area of the drawing on a fine grid.
    fn naive(drawing: &Drawing, scale: f64, face: (f64, f64), resolution: f64, x: usize, y: usize) -> f64 {
        const FINE: usize = 60;
        let plane = drawing.luminance();
        let at = |i: usize, k: usize, face: f64, length: usize| {
            let mm = (i as f64 + (k as f64 + 0.5) / FINE as f64) / resolution;
            ((mm - face / 2.0) / scale + length as f64 / 2.0).clamp(0.0, length as f64 - 1e-9) as usize
        };
        let mut sum = 0.0;
        for v in 0..FINE {
            for u in 0..FINE {
                sum += f64::from(plane.at(at(x, u, face.0, plane.width()), at(y, v, face.1, plane.height())));
            }
        }
        sum / (FINE * FINE) as f64
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn reduced_pixels_are_means_of_their_area(width in 30usize..90, height in 30usize..90, face_w in 5.0f64..14.0, face_h in 5.0f64..14.0, seed in any::<u32>()) {
            let mut state = seed;
            let noise = drawing(width, height, |_, _| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 8) as f32 / 16_777_215.0
            });
            let face = place(&noise, &plate(face_w, face_h), Fit::Cover, PxPerMm(2.0)).unwrap();
            let scale = 1.0 / face.detail.0;
            prop_assume!(face.detail.0 > 2.0);
            let (w, h) = (face.lightness.width(), face.lightness.height());
            // The last column may reach past the drawing by the raster's rounding; leave it to the other tests.
            for (x, y) in [(0, 0), (w / 2, h / 3), (w - 2, h - 2)] {
                let wanted = naive(&noise, scale, (face_w, face_h), 2.0, x, y);
                let got = Lightness(f64::from(face.lightness.at(x, y))).reflectance().0;
                // A grid of 60 places an edge to a 120th of a face pixel each way.
                prop_assert!((got - wanted).abs() < 0.03, "{got} at {x}, {y}, wanted {wanted}");
            }
        }

        #[test]
        fn means_are_kept(times in 1usize..9, larger in any::<bool>(), seed in any::<u32>()) {
            let mut state = seed;
            let mut chance = move || {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 8) as f32 / 16_777_215.0
            };
            // Reduced by a whole number each face pixel is a mean of whole pixels, so the mean is kept to the table's 0.01 L*.
            let side = if larger { 16 } else { 16 * times };
            let noise = drawing(side, side, |_, _| chance());
            let wanted = noise.luminance().data().iter().map(|&y| f64::from(y)).sum::<f64>() / (side * side) as f64;
            let mm = if larger { 16 * times } else { 16 } as f64;
            let face = place(&noise, &plate(mm.max(5.0), mm.max(5.0)), Fit::Cover, PxPerMm(1.0)).unwrap();
            // Enlarged, what the neighbours' range clips is small but not nothing, and edges count more.
            let allowed = if larger && times > 1 { 0.02 } else { 2e-4 };
            prop_assert!((mean_y(&face) - wanted).abs() < allowed, "{} and {wanted}", mean_y(&face));
        }

        #[test]
        fn enlarging_never_rings(times in 2usize..12, low in 0.0f32..0.4, high in 0.6f32..1.0) {
            let edge = drawing(12, 12, |x, _| if x < 6 { low } else { high });
            let mm = 12.0 * times as f64;
            let face = place(&edge, &plate(mm, mm), Fit::Cover, PxPerMm(1.0)).unwrap();
            let table = LightnessTable::new();
            let (least, most) = (table.lightness(low), table.lightness(high));
            let rising = face.lightness.row(0).windows(2).all(|pair| pair[0] <= pair[1] + 1e-4);
            prop_assert!(rising && face.lightness.data().iter().all(|&l| l >= least - 1e-3 && l <= most + 1e-3));
        }
    }
}
