//! Curves that several pages of a PDF share.

use super::{deflated, rounded};
use crate::sheets::{Mark, Sheet};
use crate::units::Millimetres;
use kurbo::{BezPath, PathEl, Point};
use pdf_writer::{Content, Filter, Pdf, Rect, Ref};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A unit of a form's coordinates, points: whole numbers are shorter to write, and a hundredth is as fine as all else.
pub(super) const FORM_UNIT: f64 = 0.01;

/// Curves that pages share, each written once as a form (ISO 32000-1:2008, 8.10), in the order in which pages show them. It takes its pen from the
/// page that shows it.
#[derive(Default)]
pub(super) struct Forms {
    pub(super) list: Vec<(Arc<BezPath>, Ref)>,
    /// By where the path is kept: the same path is the same piece of memory. Never written or sorted by.
    numbers: BTreeMap<usize, usize>,
}

impl Forms {
    pub(super) fn of(sheets: &[Sheet], next: &mut Ref) -> Self {
        let mut forms = Self::default();
        for sheet in sheets {
            forms.add(&sheet.marks, next);
        }
        forms
    }

    pub(super) fn add(&mut self, marks: &[Mark], next: &mut Ref) {
        for mark in marks {
            match mark {
                Mark::Curve { path, .. } if self.number(path).is_none() => {
                    self.numbers.insert(Self::key(path), self.list.len());
                    self.list.push((Arc::clone(path), next.bump()));
                }
                Mark::Within { marks, .. } => self.add(marks, next),
                _ => {}
            }
        }
    }

    pub(super) fn key(path: &Arc<BezPath>) -> usize {
        Arc::as_ptr(path) as usize
    }

    pub(super) fn number(&self, path: &Arc<BezPath>) -> Option<usize> {
        self.numbers.get(&Self::key(path)).copied()
    }

    pub(super) fn name(number: usize) -> String {
        format!("C{number}")
    }

    pub(super) fn write(&self, file: &mut Pdf) {
        for (path, form) in &self.list {
            let unit = |millimetres: f64| rounded(Millimetres(millimetres).points() / FORM_UNIT, 1.0);
            let at = |point: Point| (unit(point.x), unit(point.y));
            let mut content = Content::new();
            let mut last = Point::ZERO;
            for element in path.elements() {
                match *element {
                    PathEl::MoveTo(to) | PathEl::LineTo(to) => {
                        let (x, y) = at(to);
                        if matches!(element, PathEl::MoveTo(_)) {
                            content.move_to(x, y)
                        } else {
                            content.line_to(x, y)
                        };
                        last = to;
                    }
                    PathEl::QuadTo(by, to) => {
                        let cubic = kurbo::QuadBez::new(last, by, to).raise();
                        Self::cubic(&mut content, [at(cubic.p1), at(cubic.p2), at(to)]);
                        last = to;
                    }
                    PathEl::CurveTo(one, two, to) => {
                        Self::cubic(&mut content, [at(one), at(two), at(to)]);
                        last = to;
                    }
                    PathEl::ClosePath => {
                        content.close_path();
                    }
                }
            }
            content.stroke();
            let packed = deflated(&content.finish());
            // Half of the broadest pen, and its joins, lie outside the line.
            let bounds = path.control_box().inflate(1.0, 1.0);
            let mut object = file.form_xobject(*form, &packed);
            object.bbox(Rect::new(unit(bounds.x0), unit(bounds.y0), unit(bounds.x1), unit(bounds.y1))).filter(Filter::FlateDecode);
            object.resources();
        }
    }

    pub(super) fn cubic(content: &mut Content, [(a, b), (c, d), (x, y)]: [(f32, f32); 3]) {
        content.cubic_to(a, b, c, d, x, y);
    }
}
