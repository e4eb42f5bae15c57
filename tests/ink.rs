//! Where ink lies on a page, as poppler draws it.

#![allow(clippy::unwrap_used, reason = "a page that can't be drawn fails the check, and says so")]

use crate::made;
use stepbite_core::pdf::pdf;
use stepbite_core::sheets::{Mark, Sheet, Sheets};

/// Pages are drawn at 300 pixels an inch: a pixel's side, mm.
pub const PIXEL_MM: f64 = 25.4 / 300.0;

/// Middles of dark pixels of a sheet drawn alone, mm from its upper left; `sheets` are those it belongs to.
///
/// # Panics
/// When poppler is not on this machine, or can't draw it.
#[must_use]
pub fn of_sheet(sheet: Sheet, sheets: &Sheets) -> Vec<[f64; 2]> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.pdf"), pdf(&Sheets { sheets: vec![sheet], ..sheets.clone() })).unwrap();
    let _ = made("pdftoppm", &["-r", "300", "-gray", "-png", "-singlefile", "a.pdf", "a"], folder.path());
    let pixels = image::open(folder.path().join("a.png")).unwrap().to_luma8();
    let middle = |at: u32| (f64::from(at) + 0.5) * PIXEL_MM;
    pixels.enumerate_pixels().filter(|(.., pixel)| pixel[0] < 128).map(|(x, y, _)| [middle(x), middle(y)]).collect()
}

/// The same of those marks of a page alone that are wanted, within clips too: what is cut off at a tile's edge lies within one.
///
/// # Panics
/// When there is none, or as [`of_sheet`].
pub fn of_marks(sheets: &Sheets, page: usize, wanted: impl Fn(&Mark) -> bool) -> Vec<[f64; 2]> {
    let mut alone = Sheet::new("alone", sheets.sheets[page].page);
    alone.marks = sheets.sheets[page].marks.iter().flat_map(|mark| found(mark, &wanted)).collect();
    assert!(!alone.marks.is_empty(), "no such mark");
    of_sheet(alone, sheets)
}

/// A mark that is wanted, or those within it that are.
fn found(mark: &Mark, wanted: &impl Fn(&Mark) -> bool) -> Vec<Mark> {
    match mark {
        mark if wanted(mark) => vec![mark.clone()],
        Mark::Within { marks, .. } => marks.iter().filter(|inner| wanted(inner)).cloned().collect(),
        _ => Vec::new(),
    }
}
