//! The check box of a cut-out frame's sheet: a square of 50 mm, both sides of which are measured before a blade touches the sheet.

use super::frame::LINE;
use super::layout::{BAR, Layout, Words};
use super::mark::{Align, PageBox, Sheet};
use crate::type_face::{TypeFace, Weight};

/// Its side, mm.
const SIDE: f64 = 50.0;
/// Its distance from the metal's edge, from words and bars, and from the edge of the paper, mm.
const GAP: f64 = 8.0;

/// Draws it beside the frame where the page has room for that, else within the window, which is cut away; nowhere where that is too small.
pub(super) fn on_page(sheet: &mut Sheet, layout: &Layout) {
    match beside(layout) {
        Some(of) => draw(sheet, of, "measure both sides"),
        None => within(sheet, layout.metal),
    }
}

/// Draws it in a window, under the words in its middle.
pub(super) fn within(sheet: &mut Sheet, window: PageBox) {
    let of = PageBox::new(window.x + (window.width - SIDE) / 2.0, window.y + window.height / 2.0 + GAP, SIDE, SIDE);
    if window.width >= SIDE + 2.0 * GAP && of.foot() + GAP <= window.foot() {
        draw(sheet, of, "measure before cutting");
    }
}

/// Where it stands clear of the metal, of the words and of the bars.
fn beside(layout: &Layout) -> Option<PageBox> {
    let (metal, page) = (layout.metal, layout.page);
    let (middle_x, middle_y) = (metal.x + (metal.width - SIDE) / 2.0, metal.y + (metal.height - SIDE) / 2.0);
    let mut others = match layout.words {
        Words::Bands { head, foot } => vec![head, foot],
        Words::Column(only) | Words::Strip(only) => vec![only],
    };
    others.push(PageBox::new(layout.across.0, layout.across.1 - 1.6, BAR, 3.2));
    others.push(PageBox::new(layout.along.0 - 1.6, layout.along.1, 3.2, BAR));
    let clear = |of: &PageBox, other: &PageBox, gap: f64| {
        of.right() + gap <= other.x || other.right() + gap <= of.x || of.foot() + gap <= other.y || other.foot() + gap <= of.y
    };
    let on_paper = |of: &PageBox| of.x >= GAP && of.y >= GAP && of.right() + GAP <= page.width.0 && of.foot() + GAP <= page.height.0;
    [
        (metal.right() + GAP, middle_y),
        (layout.along.0 - GAP - SIDE, middle_y),
        (middle_x, layout.across.1 + GAP),
        (middle_x, metal.y - 2.0 * GAP - SIDE),
    ]
    .into_iter()
    .map(|(x, y)| PageBox::new(x, y, SIDE, SIDE))
    .find(|of| on_paper(of) && clear(of, &metal, GAP - 1e-6) && others.iter().all(|other| clear(of, other, 3.0)))
}

fn draw(sheet: &mut Sheet, of: PageBox, words: &str) {
    sheet.frame(LINE, of);
    let middle = (of.x + of.width / 2.0, of.y + of.height / 2.0);
    let cap = TypeFace::of(Weight::Semibold).cap_height(11.0).0;
    sheet.text(Weight::Semibold, 11.0, Align::Middle, (middle.0, middle.1 - 1.4), "50 mm × 50 mm");
    sheet.text(Weight::Regular, 10.0, Align::Middle, (middle.0, middle.1 + cap + 1.8), words);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::SizeMm;
    use crate::units::Millimetres;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_stands_clear_of_everything_or_not_at_all(width in 5.0_f64..260.0, height in 5.0_f64..260.0, turned in any::<bool>()) {
            let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
            let paper = if turned { size(215.9, 279.4) } else { size(210.0, 297.0) };
            let Some(layout) = Layout::of(paper, size(width, height)) else { return Ok(()) };
            let mut sheet = Sheet::new("x", layout.page);
            on_page(&mut sheet, &layout);
            let squares: Vec<PageBox> = sheet.marks.iter().filter_map(|mark| match mark {
                super::super::Mark::Line { points, closed: true, .. } =>
                    Some(PageBox::new(points[0].x, points[0].y, points[2].x - points[0].x, points[2].y - points[0].y)),
                _ => None,
            }).collect();
            prop_assert!(squares.len() <= 1);
            for of in squares {
                prop_assert!((of.width - 50.0).abs() < 1e-9 && (of.height - 50.0).abs() < 1e-9);
                prop_assert!(of.x > 5.0 && of.y > 5.0 && of.right() < layout.page.width.0 - 5.0 && of.foot() < layout.page.height.0 - 5.0);
                let metal = layout.metal;
                let inside = of.x > metal.x && of.y > metal.y && of.right() < metal.right() && of.foot() < metal.foot();
                let outside = of.x > metal.right() || of.right() < metal.x || of.y > metal.foot() || of.foot() < metal.y;
                prop_assert!(inside || outside);
                // Within the window only where it has no room beside it.
                prop_assert!(!inside || beside(&layout).is_none());
            }
        }
    }
}
