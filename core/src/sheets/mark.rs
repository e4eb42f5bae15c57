//! Marks on paper, in millimetres: what a sheet is made of, whatever file it ends in.
//!
//! There are strokes, dots and text in black, and blanks in paper white. There is no grey and no black fill: a solid black hides the
//! trace, cockles the paper, and means opposite things to different people.

use crate::plate::SizeMm;
use crate::type_face::Weight;
use crate::units::Millimetres;

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
    /// A rectangle of bare paper over what was drawn before it.
    Blank(PageBox),
    /// A line of text.
    Text(Text),
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
}

impl Sheet {
    /// A bare sheet.
    #[must_use]
    pub fn new(name: impl Into<String>, page: SizeMm) -> Self {
        Self { name: name.into(), page, marks: Vec::new() }
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
        self.marks.iter().filter_map(|mark| match mark {
            Mark::Text(text) => Some(text.words.as_str()),
            _ => None,
        })
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
