//! Where the plate, the words and the measuring bars stand on the paper.

use super::mark::PageBox;
use crate::plate::SizeMm;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// Least distance of the metal edge from the edge of the paper, mm: most printers leave 4 to 5 mm white (common practice, no source).
const MARGIN: f64 = 7.5;
/// Distance of words from the edge of the paper, mm.
const PAD: f64 = 9.0;
/// Length of a measuring bar, mm.
pub(super) const BAR: f64 = 100.0;

/// Height of the band of words above the plate and of the one below it, mm.
const HEAD: f64 = 29.0;
const FOOT: f64 = 33.0;
/// Least gaps above the plate (the TOP arrow) and below it (the bar across), mm.
const ABOVE: f64 = 6.0;
const BELOW: f64 = 8.5;
/// Least width of a column of words, mm.
const COLUMN: f64 = 30.0;
/// Least height of a strip of words, mm, its gap to the plate, and its distance from the edge of the paper.
const STRIP: f64 = 13.5;
const STRIP_GAP: f64 = 3.0;
const STRIP_PAD: f64 = 5.5;

/// Where the words of a sheet stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Words {
    /// In a band above the plate and one below it.
    Bands { head: PageBox, foot: PageBox },
    /// In one column beside the plate.
    Column(PageBox),
    /// In a narrow strip under a plate that nearly fills the paper.
    Strip(PageBox),
}

/// A page laid out for one plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Layout {
    /// Size of the page as it is read.
    pub(super) page: SizeMm,
    /// The plate's metal edge.
    pub(super) metal: PageBox,
    /// Room for words.
    pub(super) words: Words,
    /// Left end of the bar across.
    pub(super) across: (f64, f64),
    /// Upper end of the bar along.
    pub(super) along: (f64, f64),
}

impl Layout {
    /// The roomiest way to put a plate at true size on a paper, upright or turned; none where it does not fit with its words.
    pub(super) fn of(paper: SizeMm, plate: SizeMm) -> Option<Self> {
        let turned = SizeMm { width: paper.height, height: paper.width };
        let ways: [fn(SizeMm, SizeMm) -> Option<Self>; 3] = [bands, column, strip];
        ways.iter().find_map(|way| way(paper, plate).or_else(|| way(turned, plate)))
    }
}

fn sides(page: SizeMm, plate: SizeMm) -> ((f64, f64), (f64, f64)) {
    ((page.width.0, page.height.0), (plate.width.0, plate.height.0))
}

fn bands(page: SizeMm, plate: SizeMm) -> Option<Layout> {
    let ((wide, high), (width, height)) = sides(page, plate);
    let middle = high - 2.0 * PAD - HEAD - FOOT - ABOVE - BELOW;
    if width > wide - 2.0 * MARGIN || height > middle || middle < BAR {
        return None;
    }
    // A good half of what is left over goes above the plate: the foot's legend is looked at together with the picture.
    let y = PAD + HEAD + ABOVE + (middle - height) * if height < BAR { 0.5 } else { 0.45 };
    let metal = PageBox::new((wide - width) / 2.0, y, width, height);
    let below = metal.foot().max(y + height / 2.0 + BAR / 2.0);
    Some(Layout {
        page,
        metal,
        words: Words::Bands {
            head: PageBox::new(PAD, PAD, wide - 2.0 * PAD, HEAD),
            foot: PageBox::new(PAD, high - PAD - FOOT, wide - 2.0 * PAD, FOOT),
        },
        across: ((wide - BAR) / 2.0, below.min(high - PAD - FOOT - BELOW) + 6.0),
        along: (left_bar(&metal), y + (height - BAR) / 2.0),
    })
}

fn column(page: SizeMm, plate: SizeMm) -> Option<Layout> {
    let ((wide, high), (width, height)) = sides(page, plate);
    let gap = 6.0;
    let lane = 10.0;
    let room = wide - PAD - COLUMN - gap - lane;
    // The bar across stands under the plate where there is room for it, else above.
    if width > room || height > high - 2.0 * MARGIN || width.max(height) < BAR {
        return None;
    }
    let column = (wide - PAD - gap - lane - width).min(62.0);
    let free = wide - PAD - column - gap - width - lane;
    let metal = PageBox::new(lane + free / 2.0, ((high - height) / 2.0).max(MARGIN), width, height);
    let middle = metal.x + width / 2.0 - BAR / 2.0;
    Some(Layout {
        page,
        metal,
        words: Words::Column(PageBox::new(wide - PAD - column, PAD, column, high - 2.0 * PAD)),
        across: (middle.max(5.0), (metal.foot() + 6.0).min(high - 5.0)),
        along: (left_bar(&metal), ((high - BAR) / 2.0).max(5.0)),
    })
}

fn strip(page: SizeMm, plate: SizeMm) -> Option<Layout> {
    let ((wide, high), (width, height)) = sides(page, plate);
    let room = high - MARGIN - height - STRIP_GAP - STRIP_PAD;
    if width > wide - 2.0 * MARGIN || room < STRIP || wide < BAR + 2.0 * MARGIN {
        return None;
    }
    let metal = PageBox::new((wide - width) / 2.0, MARGIN, width, height);
    let high_strip = room.min(24.0);
    let top = metal.foot() + STRIP_GAP + (room - high_strip) / 2.0;
    Some(Layout {
        page,
        metal,
        words: Words::Strip(PageBox::new(MARGIN, top, wide - 2.0 * MARGIN, high_strip)),
        across: ((wide - BAR) / 2.0, MARGIN - 2.4),
        along: (left_bar(&metal), metal.y + (height - BAR) / 2.0),
    })
}

/// Where the bar along stands left of the metal: clear of it, and on the part of the paper that prints.
fn left_bar(metal: &PageBox) -> f64 {
    (metal.x - 6.0).max(5.0_f64.min(metal.x - 2.4))
}

/// Height of one line at a type size, mm, with 1.28 of leading.
pub(super) fn line_height(size: f64) -> f64 {
    Millimetres::from_inches(size * 1.28 / 72.0).0
}

/// The largest of `sizes` at which the words fit `width` mm on one line; the last of them, shortened, where none does.
pub(super) fn fitted(weight: Weight, words: &str, sizes: &[f64], width: f64) -> (f64, String) {
    let face = TypeFace::of(weight);
    let fits = sizes.iter().copied().find(|&size| face.width(words, size).0 <= width);
    let size = fits.or(sizes.last().copied()).unwrap_or(9.0);
    (size, face.fitted(words, size, Millimetres(width)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn size(width: f64, height: f64) -> SizeMm {
        SizeMm { width: Millimetres(width), height: Millimetres(height) }
    }

    const A4: (f64, f64) = (210.0, 297.0);
    const LETTER: (f64, f64) = (215.9, 279.4);

    #[test]
    fn the_plate_of_the_demo_has_bands_on_both_papers() {
        for paper in [A4, LETTER] {
            let layout = Layout::of(size(paper.0, paper.1), size(160.0, 180.0)).unwrap();
            assert!(matches!(layout.words, Words::Bands { .. }));
            assert_eq!(layout.page, size(paper.0, paper.1));
        }
    }

    #[test]
    fn the_page_turns_where_that_is_what_fits() {
        let layout = Layout::of(size(A4.0, A4.1), size(240.0, 150.0)).unwrap();
        assert_eq!(layout.page, size(297.0, 210.0));
        assert!(Layout::of(size(A4.0, A4.1), size(200.0, 280.0)).is_none());
        assert!(Layout::of(size(A4.0, A4.1), size(300.0, 400.0)).is_none());
        for plate in [(194.0, 264.0), (264.0, 180.0), (5.0, 5.0), (5.0, 260.0), (190.0, 250.0), (240.0, 190.0)] {
            assert!(Layout::of(size(A4.0, A4.1), size(plate.0, plate.1)).is_some(), "{plate:?}");
        }
        assert!(Layout::of(size(LETTER.0, LETTER.1), size(200.0, 249.0)).is_some());
    }

    proptest! {
        #[test]
        fn nothing_lies_over_anything(width in 5.0_f64..300.0, height in 5.0_f64..300.0, letter in any::<bool>()) {
            let paper = if letter { LETTER } else { A4 };
            let Some(layout) = Layout::of(size(paper.0, paper.1), size(width, height)) else {
                // Refused plates are large ones.
                prop_assert!(width.max(height) > 240.0 || width.min(height) > 170.0, "{width} × {height}");
                return Ok(());
            };
            let (wide, high) = (layout.page.width.0, layout.page.height.0);
            let metal = layout.metal;
            prop_assert!(metal.x >= MARGIN - 1e-9 && metal.y >= MARGIN - 1e-9);
            prop_assert!(metal.right() <= wide - MARGIN + 1e-9 && metal.foot() <= high - MARGIN + 1e-9);
            let boxes = match layout.words {
                Words::Bands { head, foot } => vec![head, foot],
                Words::Column(only) | Words::Strip(only) => vec![only],
            };
            // A bar with its end ticks and its words takes 1.6 mm to either side.
            let across = PageBox::new(layout.across.0, layout.across.1 - 1.6, BAR, 3.2);
            let along = PageBox::new(layout.along.0 - 1.6, layout.along.1, 3.2, BAR);
            let mut all = boxes;
            all.extend([metal, across, along]);
            for (index, one) in all.iter().enumerate() {
                prop_assert!(one.x >= 3.2 && one.y >= 3.2 && one.right() <= wide - 3.2 && one.foot() <= high - 3.2, "{one:?}");
                for other in &all[index + 1..] {
                    let apart = one.right() <= other.x || other.right() <= one.x || one.foot() <= other.y || other.foot() <= one.y;
                    prop_assert!(apart, "{one:?} over {other:?} for {width} × {height}");
                }
            }
        }
    }
}
