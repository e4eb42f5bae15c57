//! Papers: the thin papers of one pull, cut in pieces: what each is cut to, what lies over what, and in which order they are laid.
//!
//! There is one list of pieces. Their outlines are mm of the face, print view, at the size they have when pasted; what is cut is smaller by
//! the paper's growth ([`cut_smaller()`]). The first piece laid on the inked plate ends nearest the viewer, so what lies above another in the
//! print is laid before it ([`crate::laying::order`]). A whole ground lies beneath all pieces unless it is said to lie above one.

use crate::laying::{Handling, LayingError};
use crate::plate::Plate;
use crate::units::{Millimetres, PointMm};

mod clip;
mod error;
mod growth;
mod laid_out;
mod lap;
mod overlaps;
mod reach;
mod remedies;
mod taken;
pub use crate::piece::cut_lines;
pub use error::PapersError;
pub use growth::cut_smaller;
pub use laid_out::{LaidOut, Meeting, Placed, ToLay};
use reach::Reach;
pub use remedies::{Paste, PasteError, Remedy, Way, remedies};
pub use taken::{Taken, taken};

/// A paper that pieces are cut from.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// Its name.
    pub name: String,
    /// How much it grows along its fibres when pasted, of itself: 0 to [`MOST_GROWTH`].
    pub along: f64,
    /// How much across them.
    pub across: f64,
}

/// Most that a paper grows, of itself.
pub const MOST_GROWTH: f64 = 0.05;
/// Most pieces of one pull.
pub const MOST_PIECES: usize = 200;
/// Most papers of one pull.
pub const MOST_STOCKS: usize = 24;
/// Widest overlap that is added, mm.
pub const MOST_LAP: Millimetres = Millimetres(10.0);
/// Overlap at shared edges, mm: under that a shrinking paper shows a gap (common practice, no source).
pub const LAP: Millimetres = Millimetres(1.5);

/// A piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// What it is called; may be empty.
    pub name: String,
    /// Its paper, by place.
    pub stock: usize,
    /// Its outline, mm of the face, print view; none: a ground as large as the plate.
    pub outline: Option<Vec<PointMm>>,
    /// Which way its fibres run, degrees from the level, anticlockwise in print view.
    pub fibre: f64,
    /// The other side to the ink.
    pub turned: bool,
    /// Torn, not cut.
    pub torn: bool,
}

/// All papers of one pull.
#[derive(Clone, Debug, PartialEq)]
pub struct Papers {
    /// The papers.
    pub stocks: Vec<Stock>,
    /// The pieces.
    pub pieces: Vec<Cut>,
    /// Which lies above which in the print, by place.
    pub above: Vec<(usize, usize)>,
    /// The least overlap that is added where pieces meet; 0: none is.
    pub lap: Millimetres,
}

impl Papers {
    /// Checks everything that needs no plate.
    ///
    /// # Errors
    /// The first thing that can't be.
    pub fn check(&self) -> Result<(), PapersError> {
        let many = |what, most, came| if came > most { Err(PapersError::Many { what, most, came }) } else { Ok(()) };
        many("pieces of thin paper", MOST_PIECES, self.pieces.len())?;
        many("papers", MOST_STOCKS, self.stocks.len())?;
        for Stock { name, along, across } in &self.stocks {
            if let Some(&growth) = [along, across].into_iter().find(|growth| !(0.0..=MOST_GROWTH + 1e-12).contains(*growth)) {
                return Err(PapersError::Growth { name: name.clone(), growth });
            }
        }
        if !(0.0..=MOST_LAP.0).contains(&self.lap.0) {
            return Err(PapersError::Lap(self.lap.0));
        }
        for (piece, Cut { stock, fibre, .. }) in (1..).zip(&self.pieces) {
            if *stock >= self.stocks.len() {
                return Err(PapersError::NoStock { piece, stock: stock + 1 });
            }
            if !(-180.0..=180.0).contains(fibre) {
                return Err(PapersError::Fibre { piece, degrees: *fibre });
            }
        }
        let count = self.pieces.len();
        match self.above.iter().flat_map(|&(one, other)| [one, other]).find(|&piece| piece >= count) {
            Some(missing) => Err(PapersError::Above(LayingError::Missing(missing))),
            None => Ok(()),
        }
    }

    /// The papers' names; where several have one name, each with its place in the list, from 1.
    #[must_use]
    pub fn told_apart(&self) -> Vec<String> {
        let alike = |name: &str| self.stocks.iter().filter(|stock| stock.name == name).count() > 1;
        let named =
            |(at, stock): (usize, &Stock)| if alike(&stock.name) { format!("{} ({})", stock.name, at + 1) } else { stock.name.clone() };
        self.stocks.iter().enumerate().map(named).collect()
    }

    /// What is said to lie above what, with every piece above every whole ground that is not said to lie above it.
    fn relation(&self) -> Vec<(usize, usize)> {
        let mut above = self.above.clone();
        let grounds = (0..self.pieces.len()).filter(|&piece| self.pieces[piece].outline.is_none());
        let reach = Reach::of(self.pieces.len(), &self.above);
        for ground in grounds {
            let pieces = (0..self.pieces.len()).filter(|&piece| self.pieces[piece].outline.is_some());
            above.extend(pieces.filter(|&piece| !reach.leads(ground, piece)).map(|piece| (piece, ground)));
        }
        above
    }

    /// How each piece is handled, as far as its turn hangs on it: papers that grow much curl fast (estimate), and the printer stands at the
    /// foot of the plate.
    fn handling(&self, plate: &Plate) -> Vec<Handling> {
        let foot = plate.face().height.0;
        let middle = |piece: &Cut| {
            let points = piece.outline.as_deref().unwrap_or_default();
            if points.is_empty() { foot / 2.0 } else { points.iter().map(|point| point.y).sum::<f64>() / points.len() as f64 }
        };
        let each = |piece: &Cut| Handling {
            curl: self.stocks.get(piece.stock).map_or(0.0, |stock| stock.along.max(stock.across)),
            reach: Millimetres(foot - middle(piece)),
        };
        self.pieces.iter().map(each).collect()
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(crate) fn plate() -> Plate {
        Plate::new(Millimetres(123.0), Millimetres(183.0), Millimetres(1.5)).unwrap()
    }

    pub(crate) fn square(left: f64, top: f64, width: f64, height: f64) -> Vec<PointMm> {
        [(left, top), (left + width, top), (left + width, top + height), (left, top + height)].map(PointMm::from).to_vec()
    }

    pub(crate) fn cut(outline: Vec<PointMm>) -> Cut {
        Cut { name: String::new(), stock: 0, outline: Some(outline), fibre: 0.0, turned: false, torn: false }
    }

    pub(crate) fn papers(pieces: Vec<Cut>, above: &[(usize, usize)]) -> Papers {
        let stock = |name: &str, across: f64| Stock { name: name.to_owned(), along: 0.004, across };
        Papers { stocks: vec![stock("kozo", 0.016), stock("mulberry", 0.021)], pieces, above: above.to_vec(), lap: LAP }
    }

    #[test]
    fn papers_of_one_name_are_told_apart() {
        let mut all = papers(vec![cut(square(10.0, 10.0, 30.0, 20.0)), Cut { stock: 1, ..cut(square(60.0, 10.0, 30.0, 20.0)) }], &[]);
        all.stocks[1].name = "kozo".to_owned();
        let laid = all.laid_out(&plate()).unwrap().to_lay(&all, &plate());
        let mut names: Vec<(usize, &str)> = laid.iter().map(|piece| (piece.paper, piece.stock.name.as_str())).collect();
        names.sort_unstable();
        assert_eq!(names, [(0, "kozo (1)"), (1, "kozo (2)")]);
    }

    #[test]
    fn bad_papers_are_refused_in_sentences() {
        let one = || cut(square(10.0, 10.0, 30.0, 40.0));
        let refused = |papers: Papers| {
            let said = papers.laid_out(&plate()).unwrap_err().to_string();
            assert!(said.ends_with('.'), "{said}");
            said
        };
        assert!(refused(papers(vec![one(); 201], &[])).contains("201 came"));
        assert!(refused(Papers { lap: Millimetres(f64::NAN), ..papers(vec![one()], &[]) }).contains("mm came"));
        assert!(refused(papers(vec![Cut { stock: 2, ..one() }], &[])).contains("paper 3"));
        assert!(refused(papers(vec![Cut { fibre: 400.0, ..one() }], &[])).contains("400"));
        assert!(refused(papers(vec![one()], &[(0, 7)])).contains("piece 8 is not"));
        let nowhere = papers(vec![cut(vec![PointMm { x: f64::NAN, y: 1.0 }; 5])], &[]).laid_out(&plate()).unwrap();
        assert!(nowhere.notes[0].starts_with("Piece 1: ") && nowhere.pieces[0].left_out.is_some(), "{:?}", nowhere.notes);
        let mut wild = papers(vec![one()], &[]);
        wild.stocks[1].across = 0.2;
        assert!(refused(wild).contains("20 % came"));
        assert_eq!(papers(vec![], &[]).laid_out(&plate()).unwrap().order, Ok(vec![]));
    }
}
