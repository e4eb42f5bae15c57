//! The pull as a file: whole, at any scale, made band by band so that it is never whole in memory.

use super::{Joint, Pits, Pull, by_grains, flat_shown, grains};
use crate::colour::Lamp;
use crate::lettering;
use crate::png_file::{self, RowsError};
use crate::proof::{Window, WindowError};
use crate::type_face::{TypeFace, Weight, points};
use crate::units::{Millimetres, PointMm, PxPerMm};
use std::fmt;

/// Type size of the words below the face, points, and the least in pixels.
const FOOT_POINTS: f64 = 7.0;
const FOOT_PIXELS: f64 = 11.0;
/// Line to line, times the type size.
const LEADING: f64 = 1.35;

/// Pixels of a band, or one row.
const BAND_PIXELS: usize = 1 << 20;
/// Longest side and most pixels of a file: what programs that open pictures take as a rule (common practice, no source). `www/stations/proof/fineness.js`
/// offers no more.
const LONGEST: usize = 60_000;
const MOST_PIXELS: usize = 400_000_000;

/// How a pull is written to a file.
#[derive(Clone, Copy, Debug)]
pub struct Export<'a> {
    /// Pixels a millimetre: the file says so, and prints at true size.
    pub resolution: PxPerMm,
    /// What it is seen by.
    pub lamp: Lamp,
    /// With its grain, or in mean colours.
    pub grain: bool,
    /// What the picture rests on: keyword and text of each of the file's text chunks, as "Description".
    pub words: &'a [(&'a str, &'a str)],
    /// The same for who looks at the picture: a line each, set in black on white below the face.
    pub foot: &'a str,
}

/// A pull that is no picture at this scale.
#[derive(Clone, Debug, PartialEq)]
pub enum ExportError {
    /// The scale is none, or a side would be empty.
    Window(WindowError),
    /// It would be too large.
    Size {
        /// Width that came, pixels.
        width: usize,
        /// Height that came, pixels.
        height: usize,
    },
    /// The file came to nothing.
    Rows(RowsError),
}

impl fmt::Display for ExportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Window(error) => error.fmt(f),
            Self::Size { width, height } => write!(
                f,
                "A picture of at most {LONGEST} pixels a side and {} million in all was expected, {width} × {height} came: save it less fine.",
                MOST_PIXELS / 1_000_000
            ),
            Self::Rows(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for ExportError {}

impl Pull<'_> {
    /// Pixels of the whole face at this scale.
    ///
    /// # Errors
    /// When it has none, or more than 60 000 a side or 400 million.
    pub fn size(&self, resolution: PxPerMm) -> Result<(usize, usize), ExportError> {
        let side = |mm: f64| libm::round(mm * resolution.0).clamp(0.0, 1e6) as usize;
        let (width, height) = (side(self.face.0.0), side(self.face.1.0));
        if width > LONGEST || height > LONGEST || width * height > MOST_PIXELS {
            return Err(ExportError::Size { width, height });
        }
        // A scale that is none, and a side of no pixels.
        Window::new(PointMm::default(), resolution.0, width, height.min(1)).map_err(ExportError::Window)?;
        Ok((width, height))
    }

    /// The whole face as rows of sRGB bytes, in print view, some at a time from the top: pixel for pixel what one window would show.
    fn bands(&self, export: &Export<'_>, windows: Vec<Window>, grains: Vec<Option<Pits>>) -> impl Iterator<Item = Vec<[u8; 3]>> {
        let Export { lamp, grain, .. } = *export;
        windows.into_iter().map(move |window| {
            let band = if grain {
                by_grains(self, &grains, &window, lamp, &mut |_| {})
            } else {
                flat_shown(self, &Joint::bare(self, &window), &window, lamp)
            };
            band.data().to_vec()
        })
    }

    /// Windows that are the whole face together, from the top.
    fn windows(&self, resolution: PxPerMm) -> Result<Vec<Window>, ExportError> {
        let (width, height) = self.size(resolution)?;
        let (rows, px_per_mm) = ((BAND_PIXELS / width).max(1), resolution.0);
        (0..height)
            .step_by(rows)
            .map(|top| Window::new(PointMm { x: 0.0, y: top as f64 / px_per_mm }, px_per_mm, width, rows.min(height - top)))
            .collect::<Result<_, _>>()
            .map_err(ExportError::Window)
    }

    /// The whole face as a PNG file, handed to `sink` piece by piece. `progress` hears the share done, 0..=1, rising.
    ///
    /// # Errors
    /// When the scale asks for no picture or too large a one, or a keyword is none.
    pub fn png(&self, export: &Export<'_>, sink: &mut dyn FnMut(&[u8]), progress: &mut dyn FnMut(f32)) -> Result<(), ExportError> {
        let size = self.size(export.resolution)?;
        let windows = self.windows(export.resolution)?;
        // What each plate's grain is on its own raster serves all bands, and to draw it is the larger part.
        let mut before = 0.0;
        let grains = match windows.first().filter(|_| export.grain) {
            Some(window) => grains(self, window, &mut |share| {
                before = 0.6;
                progress(before * share);
            }),
            None => vec![],
        };
        let mut bands = self.bands(export, windows, grains);
        let mut foot = foot(export, size.0);
        let height = size.1 + foot.as_ref().map_or(0, |rows| rows.len() / size.0);
        let mut done = 0;
        let mut next = || {
            let rows = bands.next().or_else(|| foot.take());
            progress((before + (1.0 - before) * done as f32 / height as f32).min(1.0));
            done += rows.as_ref().map_or(0, |rows| rows.len() / size.0);
            rows
        };
        png_file::colour_rows((size.0, height), export.resolution, export.words, sink, &mut next).map_err(ExportError::Rows)
    }
}

/// The words below the face as rows of pixels; none where there are none.
fn foot(export: &Export<'_>, width: usize) -> Option<Vec<[u8; 3]>> {
    let face = TypeFace::of(Weight::Regular);
    let px_per_mm = export.resolution.0;
    // Small print on paper, and no smaller than a screen can show.
    let size = export.resolution.px(points(FOOT_POINTS)).max(FOOT_PIXELS);
    let margin = (libm::round(2.0 * px_per_mm) as usize).min(width / 8).max(1);
    let inner = width.saturating_sub(2 * margin).max(1);
    let at_points = size / px_per_mm / points(1.0).0;
    let room = Millimetres(inner as f64 / px_per_mm);
    let lines: Vec<String> = export.foot.lines().flat_map(|line| face.wrap(line, at_points, room)).collect();
    if lines.is_empty() {
        return None;
    }
    let set = lettering::lines(face, &lines, size, size * LEADING, inner);
    let blank = |rows: usize| vec![[255u8; 3]; rows * width];
    let mut rows = blank(margin);
    for line in set.rows() {
        rows.extend(std::iter::repeat_n([255; 3], margin));
        rows.extend(line.iter().map(|&ink| [255 - ink; 3]));
        rows.extend(std::iter::repeat_n([255; 3], width - margin - inner));
    }
    rows.extend(blank(margin));
    Some(rows)
}

#[cfg(test)]
mod tests {
    use super::super::picture;
    use super::super::tests::{alone, flat_bytes, ink, patches, plate, pulled};
    use super::*;
    use crate::colour::Rgb;
    use crate::plane::Plane;
    use crate::pull::{Grounds, Misfit, Printing};

    #[test]
    fn the_file_is_the_window_whole() {
        let plates = [plate(1, patches(320, 0.0)), plate(2, patches(320, 1.0))];
        let inks = [ink([0.1, 0.9, 1.0]), ink([1.2, 0.6, 0.1])];
        let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
        let misfit = Misfit { shift: PointMm { x: 0.4, y: -0.3 }, turn: 0.5, ..Misfit::default() };
        let printings = [alone(&plates[0], &inks[0]), Printing { misfit, ..alone(&plates[1], &inks[1]) }];
        let pull = pulled(&grounds, &printings);
        for grain in [false, true] {
            for px_per_mm in [4.0, 40.0] {
                let words = [("Description", "Proof of a plan, not of a pull.")];
                let export = Export { resolution: PxPerMm(px_per_mm), lamp: Lamp::Daylight, grain, words: &words, foot: "" };
                let (mut file, mut heard) = (vec![], vec![]);
                pull.png(&export, &mut |bytes| file.extend_from_slice(bytes), &mut |share| heard.push(share)).unwrap();
                let read = image::load_from_memory(&file).unwrap();
                let side = (32.0 * px_per_mm) as usize;
                let at = Window::new(PointMm::default(), px_per_mm, side, side).unwrap();
                let whole: Plane<[u8; 3]> =
                    if grain { picture(&pull, &at, Lamp::Daylight, &mut |_| {}) } else { flat_bytes(&pull, &at, Lamp::Daylight) };
                assert_eq!((read.width() as usize, read.height() as usize), (side, side));
                // A band measures from its own corner: a point within rounding of a rim may fall on the other side.
                let other = whole.data().as_flattened().iter().zip(read.as_bytes()).filter(|(a, b)| a.abs_diff(**b) > 3).count();
                assert!(other * 500 <= side * side, "{other} at {px_per_mm}");
                assert!(heard.windows(2).all(|pair| pair[0] <= pair[1]) && heard.last() == Some(&1.0), "{heard:?}");
            }
        }
        let export = Export { resolution: PxPerMm(1000.0), lamp: Lamp::Daylight, grain: true, words: &[], foot: "" };
        let said = pull.png(&export, &mut |_| (), &mut |_| ()).unwrap_err().to_string();
        assert!(said.starts_with("A picture of at most 60000") && said.ends_with("32000 × 32000 came: save it less fine."), "{said}");
        let none = pull.size(PxPerMm(0.0)).unwrap_err();
        assert!(matches!(none, ExportError::Window(_)), "{none}");
        // It streams: a file may have more pixels than a window, and a wider row than a screen ever shows.
        assert_eq!(pull.size(PxPerMm(600.0)), Ok((19_200, 19_200)));
        let export = Export { resolution: PxPerMm(600.0), lamp: Lamp::Daylight, grain: false, words: &[], foot: "" };
        let first = pull.bands(&export, pull.windows(export.resolution).unwrap(), vec![]).next().unwrap();
        let at = Window::new(PointMm::default(), 600.0, 19_200, first.len() / 19_200).unwrap();
        assert_eq!(first, flat_bytes(&pull, &at, Lamp::Daylight).data());
    }

    #[test]
    fn the_words_stand_below_the_face_in_black_on_white() {
        let plates = [plate(1, patches(320, 0.0))];
        let inks = [ink([0.1, 0.9, 1.0])];
        let grounds = Grounds::bare(Rgb([0.83, 0.8, 0.74]));
        let printings = [alone(&plates[0], &inks[0])];
        let pull = pulled(&grounds, &printings);
        let made = |foot: &str| {
            let export = Export { resolution: PxPerMm(4.0), lamp: Lamp::Daylight, grain: false, words: &[], foot };
            let mut file = vec![];
            pull.png(&export, &mut |bytes| file.extend_from_slice(bytes), &mut |_| ()).unwrap();
            image::load_from_memory(&file).unwrap().to_rgb8()
        };
        let (plain, worded) = (made(""), made("By strip 15-A.\nEdges exactly as planned, which is a line too long for so narrow a face."));
        assert_eq!((plain.width(), plain.height()), (128, 128));
        assert!(worded.width() == 128 && worded.height() > 128 + 60, "{}", worded.height());
        assert!(worded.rows().zip(plain.rows()).take(128).all(|(a, b)| a.eq(b)));
        let below: Vec<u8> = worded.rows().skip(128).flat_map(|row| row.map(|px| px.0[0]).collect::<Vec<_>>()).collect();
        let dark = below.iter().filter(|&&byte| byte < 128).count();
        assert!(dark > 100 && dark * 3 < below.len(), "{dark} of {}", below.len());
    }
}
