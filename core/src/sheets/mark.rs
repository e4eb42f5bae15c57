//! Marks on paper, in millimetres: what a sheet is made of, whatever file it ends in.
//!
//! There are strokes, dots and text in black, and blanks in paper white. There is no black fill: a solid black hides the trace, cockles the
//! paper, and means opposite things to different people. Grey is in one place alone, the small picture of the expected print; photographs
//! stand in the record of the pulls.

use crate::jpeg_file::JpegFile;
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::type_face::Weight;
use crate::units::Millimetres;
use kurbo::{Affine, BezPath};
use std::sync::Arc;

/// A point on the page in mm: x to the right, y down, from the top left corner of the paper.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PagePoint {
    /// To the right, mm.
    pub x: f64,
    /// Down, mm.
    pub y: f64,
}

impl PagePoint {
    /// The point at `x`, `y` mm.
    #[must_use]
    pub fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
}

/// A rectangle on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PageBox {
    /// Left edge, mm from the paper's left.
    pub x: f64,
    /// Top edge, mm from the paper's top.
    pub y: f64,
    /// Across, mm.
    pub width: f64,
    /// Down, mm.
    pub height: f64,
}

impl PageBox {
    /// A box by its top left corner and its sides, mm.
    #[must_use]
    pub fn new(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self { x, y, width, height }
    }

    /// Right edge.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x + self.width
    }

    /// Lower edge.
    #[must_use]
    pub fn foot(&self) -> f64 {
        self.y + self.height
    }

    /// The four corners, clockwise on the page from the top left.
    #[must_use]
    pub fn corners(&self) -> [PagePoint; 4] {
        [(self.x, self.y), (self.right(), self.y), (self.right(), self.foot()), (self.x, self.foot())].map(|(x, y)| PagePoint::new(x, y))
    }

    /// The box less `by` mm on each side.
    #[must_use]
    pub fn inset(&self, by: f64) -> Self {
        Self::new(self.x + by, self.y + by, self.width - 2.0 * by, self.height - 2.0 * by)
    }
}

/// How a stroke is drawn: its width, and whether it is broken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Width of the line.
    pub width: Millimetres,
    /// Length of a dash and of the gap after it; solid where there is none.
    pub dash: Option<(Millimetres, Millimetres)>,
}

impl Pen {
    /// A solid line of `width` mm.
    #[must_use]
    pub const fn solid(width: f64) -> Self {
        Self { width: Millimetres(width), dash: None }
    }

    /// A line of `width` mm broken into dots of 0.4 mm with gaps of 0.9 mm.
    #[must_use]
    pub const fn dotted(width: f64) -> Self {
        Self { width: Millimetres(width), dash: Some((Millimetres(0.4), Millimetres(0.9))) }
    }

    /// A line of `width` mm broken into dashes of 1.2 mm with gaps of 0.8 mm.
    #[must_use]
    pub const fn dashed(width: f64) -> Self {
        Self { width: Millimetres(width), dash: Some((Millimetres(1.2), Millimetres(0.8))) }
    }
}

/// Where a text stands to its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// The text begins at the point.
    Start,
    /// The point is its middle.
    Middle,
    /// The text ends at the point.
    End,
}

/// A line of text. It reads normally even where the picture beside it is mirrored.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// A point of the baseline; `align` says which.
    pub at: PagePoint,
    /// The words.
    pub words: String,
    /// Type size in points.
    pub size: f64,
    /// Weight of the type.
    pub weight: Weight,
    /// Which point of the baseline `at` is.
    pub align: Align,
    /// Whether it runs upwards instead of to the right.
    pub upwards: bool,
}

/// One mark, or many of one kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Straight strokes with one pen, each from point to point.
    Strokes {
        /// How they are drawn.
        pen: Pen,
        /// From and to.
        strokes: Vec<[PagePoint; 2]>,
    },
    /// One line through many points.
    Line {
        /// How it is drawn.
        pen: Pen,
        /// The points.
        points: Vec<PagePoint>,
        /// Whether the last point joins the first.
        closed: bool,
    },
    /// Round black dots of one size.
    Dots {
        /// Across.
        diameter: Millimetres,
        /// Their middles.
        centres: Vec<PagePoint>,
    },
    /// Curves of lines and cubic Béziers, open or closed. Many pages may share one path: a file holds it once.
    Curve {
        /// How they are drawn.
        pen: Pen,
        /// The curves, mm.
        path: Arc<BezPath>,
        /// From the path's millimetres to those of the page.
        place: Affine,
    },
    /// A rectangle of bare paper over what was drawn before it.
    Blank(PageBox),
    /// A grey picture (0 black, 255 paper), stretched over a box. The only grey on any sheet, and none of those that touch the plate.
    Grey {
        /// Where it stands.
        of: PageBox,
        /// Its pixels, row by row from the top left.
        pixels: Plane<u8>,
    },
    /// A photograph, stretched over a box: on the record of the pulls alone, which nobody works from at the bench.
    Photo {
        /// Where it stands.
        of: PageBox,
        /// Its file, which the sheet's own file holds as it is.
        file: Arc<JpegFile>,
    },
    /// Marks of which only what lies in a box is drawn.
    Within {
        /// The box.
        clip: PageBox,
        /// The marks.
        marks: Vec<Mark>,
    },
    /// A line of text.
    Text(Text),
}

impl Mark {
    /// The same mark elsewhere on the page: `by` mm to the right and down.
    #[must_use]
    pub fn moved(&self, (right, down): (f64, f64)) -> Self {
        let point = |at: &PagePoint| PagePoint::new(at.x + right, at.y + down);
        let of = |of: &PageBox| PageBox::new(of.x + right, of.y + down, of.width, of.height);
        match self {
            Self::Strokes { pen, strokes } => {
                Self::Strokes { pen: *pen, strokes: strokes.iter().map(|[a, b]| [point(a), point(b)]).collect() }
            }
            Self::Line { pen, points, closed } => Self::Line { pen: *pen, points: points.iter().map(point).collect(), closed: *closed },
            Self::Dots { diameter, centres } => Self::Dots { diameter: *diameter, centres: centres.iter().map(point).collect() },
            Self::Curve { pen, path, place } => {
                Self::Curve { pen: *pen, path: Arc::clone(path), place: Affine::translate((right, down)) * *place }
            }
            Self::Blank(blank) => Self::Blank(of(blank)),
            Self::Grey { of: grey, pixels } => Self::Grey { of: of(grey), pixels: pixels.clone() },
            Self::Photo { of: photo, file } => Self::Photo { of: of(photo), file: Arc::clone(file) },
            Self::Within { clip, marks } => {
                Self::Within { clip: of(clip), marks: marks.iter().map(|mark| mark.moved((right, down))).collect() }
            }
            Self::Text(text) => Self::Text(Text { at: point(&text.at), ..text.clone() }),
        }
    }

    /// The parts of the mark that may show in a box: whole strokes, lines, dots; none where all of it lies outside.
    #[must_use]
    pub fn near(&self, of: &PageBox) -> Option<Self> {
        // Half the width of the broadest pen lies outside its line.
        let of = of.inset(-1.0);
        let meets = |points: &mut dyn Iterator<Item = PagePoint>| {
            let mut bounds = None;
            for p in points {
                let (a, b, c, d) = bounds.unwrap_or((p.x, p.y, p.x, p.y));
                bounds = Some((p.x.min(a), p.y.min(b), p.x.max(c), p.y.max(d)));
            }
            bounds.is_some_and(|(left, top, right, foot)| left <= of.right() && right >= of.x && top <= of.foot() && foot >= of.y)
        };
        match self {
            Self::Strokes { pen, strokes } => {
                let strokes: Vec<_> = strokes.iter().copied().filter(|stroke| meets(&mut stroke.iter().copied())).collect();
                (!strokes.is_empty()).then_some(Self::Strokes { pen: *pen, strokes })
            }
            Self::Dots { diameter, centres } => {
                let centres: Vec<_> = centres.iter().copied().filter(|&centre| meets(&mut [centre].into_iter())).collect();
                (!centres.is_empty()).then_some(Self::Dots { diameter: *diameter, centres })
            }
            Self::Line { points, .. } => meets(&mut points.iter().copied()).then(|| self.clone()),
            Self::Curve { path, place, .. } => {
                let bounds = place.transform_rect_bbox(path.control_box());
                let corners = [PagePoint::new(bounds.x0, bounds.y0), PagePoint::new(bounds.x1, bounds.y1)];
                meets(&mut corners.into_iter()).then(|| self.clone())
            }
            Self::Blank(blank) => meets(&mut blank.corners().into_iter()).then(|| self.clone()),
            Self::Grey { of, .. } | Self::Photo { of, .. } => meets(&mut of.corners().into_iter()).then(|| self.clone()),
            Self::Within { clip, marks } => {
                let marks: Vec<_> = marks.iter().filter_map(|mark| mark.near(&of)).collect();
                (!marks.is_empty()).then_some(Self::Within { clip: *clip, marks })
            }
            Self::Text(_) => Some(self.clone()),
        }
    }
}

/// A page and what is on it, drawn in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What it is, in words: "stop-out 5".
    pub name: String,
    /// Size of the paper, exactly, as it lies for reading.
    pub page: SizeMm,
    /// The marks.
    pub marks: Vec<Mark>,
    /// What all of it is stretched by, across and down, about the middle of the page: against what a printer shrinks. The page's own size
    /// stays. 1 and 1 by default.
    pub stretch: (f64, f64),
}

impl Sheet {
    /// A bare sheet.
    #[must_use]
    pub fn new(name: impl Into<String>, page: SizeMm) -> Self {
        Self { name: name.into(), page, marks: Vec::new(), stretch: (1.0, 1.0) }
    }

    /// Draws a line from point to point.
    pub fn stroke(&mut self, pen: Pen, from: (f64, f64), to: (f64, f64)) {
        self.strokes(pen, vec![[PagePoint::new(from.0, from.1), PagePoint::new(to.0, to.1)]]);
    }

    /// Draws strokes with one pen.
    pub fn strokes(&mut self, pen: Pen, strokes: Vec<[PagePoint; 2]>) {
        if !strokes.is_empty() {
            self.marks.push(Mark::Strokes { pen, strokes });
        }
    }

    /// Draws the outline of a box.
    pub fn frame(&mut self, pen: Pen, of: PageBox) {
        self.marks.push(Mark::Line { pen, points: of.corners().to_vec(), closed: true });
    }

    /// Sets a line of text.
    pub fn text(&mut self, weight: Weight, size: f64, align: Align, at: (f64, f64), words: impl Into<String>) {
        let at = PagePoint::new(at.0, at.1);
        self.marks.push(Mark::Text(Text { at, words: words.into(), size, weight, align, upwards: false }));
    }

    /// All the words on it, in the order they were set.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        fn of(marks: &[Mark]) -> Box<dyn Iterator<Item = &str> + '_> {
            Box::new(marks.iter().flat_map(|mark| match mark {
                Mark::Text(text) => Box::new(std::iter::once(text.words.as_str())),
                Mark::Within { marks, .. } => of(marks),
                _ => Box::new(std::iter::empty()),
            }))
        }
        of(&self.marks)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_knows_its_corners() {
        let of = PageBox::new(10.0, 20.0, 30.0, 40.0).inset(1.0);
        let corners: Vec<(f64, f64)> = of.corners().iter().map(|corner| (corner.x, corner.y)).collect();
        assert_eq!(corners, [(11.0, 21.0), (39.0, 21.0), (39.0, 59.0), (11.0, 59.0)]);
    }

    #[test]
    fn a_moved_mark_keeps_its_shape_and_a_far_one_is_left_out() {
        let mut path = BezPath::new();
        path.move_to((0.0, 0.0));
        path.curve_to((1.0, 0.0), (2.0, 1.0), (2.0, 2.0));
        let curve = Mark::Curve { pen: Pen::solid(0.35), path: Arc::new(path), place: Affine::IDENTITY };
        let Mark::Curve { path, place, .. } = curve.moved((10.0, 20.0)) else { panic!("a curve") };
        assert_eq!((place * &*path).control_box(), kurbo::Rect::new(10.0, 20.0, 12.0, 22.0));
        assert!(curve.near(&PageBox::new(0.0, 0.0, 5.0, 5.0)).is_some() && curve.near(&PageBox::new(4.0, 4.0, 5.0, 5.0)).is_none());
        let strokes = [[(0.0, 0.0), (1.0, 1.0)], [(50.0, 0.0), (51.0, 1.0)]];
        let strokes = strokes.map(|stroke| stroke.map(|(x, y)| PagePoint::new(x, y)));
        let mark = Mark::Strokes { pen: Pen::solid(0.35), strokes: strokes.to_vec() };
        let Some(Mark::Strokes { strokes: near, .. }) = mark.near(&PageBox::new(0.0, 0.0, 10.0, 10.0)) else { panic!("one is near") };
        assert_eq!(near, strokes[..1]);
    }

    #[test]
    fn words_come_back_in_order() {
        let mut sheet = Sheet::new("x", SizeMm { width: Millimetres(210.0), height: Millimetres(297.0) });
        sheet.strokes(Pen::solid(0.5), Vec::new());
        sheet.text(Weight::Regular, 9.0, Align::Start, (1.0, 1.0), "one");
        sheet.frame(Pen::dashed(0.18), PageBox::new(0.0, 0.0, 1.0, 1.0));
        sheet.text(Weight::Semibold, 9.0, Align::End, (1.0, 1.0), "two");
        assert_eq!(sheet.words().collect::<Vec<_>>(), ["one", "two"]);
        assert_eq!(sheet.marks.len(), 3);
    }
}
