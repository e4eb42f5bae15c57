//! Words of printed pages and where they stand, as poppler finds them.

#![allow(clippy::unwrap_used, reason = "pages that can't be read fail the check, and say so")]

use crate::made;
use stepbite_core::pdf::pdf;
use stepbite_core::sheets::Sheets;

const POINT_MM: f64 = 25.4 / 72.0;

/// A word on a page.
#[derive(Clone, Debug)]
pub struct PrintWord {
    /// What it says.
    pub text: String,
    /// Its left and right edge, mm from the page's left.
    pub x: [f64; 2],
    /// Its upper and lower edge, mm from the page's top.
    pub y: [f64; 2],
}

impl PrintWord {
    /// Its middle, mm from the page's upper left.
    #[must_use]
    pub fn middle(&self) -> [f64; 2] {
        [self.x, self.y].map(|[from, to]| (from + to) / 2.0)
    }
}

/// The words of every page.
///
/// # Panics
/// When poppler is not on this machine, or can't read the pages.
#[must_use]
pub fn of_sheets(sheets: &Sheets) -> Vec<Vec<PrintWord>> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.pdf"), pdf(sheets)).unwrap();
    let found = String::from_utf8(made("pdftotext", &["-bbox", "a.pdf", "-"], folder.path())).unwrap();
    let word = |line: &str| {
        let mm = |name: &str| -> f64 {
            let from = line.find(&format!("{name}=\"")).unwrap() + name.len() + 2;
            line[from..].split('"').next().unwrap().parse::<f64>().unwrap() * POINT_MM
        };
        let from = line.find("\">").unwrap() + 2;
        PrintWord { text: line[from..line.find("</word>").unwrap()].to_owned(), x: [mm("xMin"), mm("xMax")], y: [mm("yMin"), mm("yMax")] }
    };
    let page = |page: &str| page.lines().filter(|line| line.contains("<word ")).map(word).collect();
    found.split("<page ").skip(1).map(page).collect()
}
