//! Papers: the thin papers of one pull, cut in pieces: what each is cut to, what lies over what, and in which order they are laid.
//!
//! There is one list of pieces. Their outlines are mm of the face, print view, at the size they have when pasted; what is cut is smaller by
//! the paper's growth ([`cut_smaller()`]). The first piece laid on the inked plate ends nearest the viewer, so what lies above another in the
//! print is laid before it ([`crate::laying::order`]). A whole ground lies beneath all pieces unless it is said to lie above one.

use crate::laying::{self, Handling, LayingError};
use crate::plate::Plate;
use crate::units::{Millimetres, PointMm};
use std::fmt;

mod clip;
mod growth;
mod lap;
mod overlaps;
mod remedies;
mod taken;
pub use growth::{cut_lines, cut_smaller};
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

/// A piece as it is laid.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// Its turn, from 1; where no order lays the pieces, its place in the list.
    pub number: usize,
    /// Its outline with the overlap that was added, clipped to the plate; none: as large as the plate.
    pub outline: Option<Vec<PointMm>>,
    /// Its area when laid, mm².
    pub area_mm2: f64,
    /// Whether overlap was added.
    pub lapped: bool,
}

/// Pieces as they are laid.
#[derive(Clone, Debug, PartialEq)]
pub struct LaidOut {
    /// Each piece, in the order of the list.
    pub pieces: Vec<Placed>,
    /// Which piece is laid when, by place; or why no order lays them.
    pub order: Result<Vec<usize>, LayingError>,
    /// Pieces that lie over one another or meet at an edge, by place, the smaller first.
    pub meet: Vec<Meeting>,
    /// What there is to say, a sentence each.
    pub notes: Vec<String>,
}

/// Two pieces that meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meeting {
    /// The two, the smaller place first.
    pub pieces: (usize, usize),
    /// How much of them lies over one another, mm²; 0 where they only meet at an edge.
    pub over_mm2: f64,
    /// Whether it follows from what is said which of the two lies above.
    pub decided: bool,
}

/// Papers that can't be.
#[derive(Clone, Debug, PartialEq)]
pub enum PapersError {
    /// More pieces or papers than one pull has.
    Many {
        /// What.
        what: &'static str,
        /// The most.
        most: usize,
        /// What came.
        came: usize,
    },
    /// A growth no paper has.
    Growth {
        /// The paper.
        name: String,
        /// What came, of itself.
        growth: f64,
    },
    /// An overlap that is none.
    Lap(f64),
    /// A piece of a paper that is not there.
    NoStock {
        /// The piece, from 1.
        piece: usize,
        /// The paper, from 1.
        stock: usize,
    },
    /// An outline that goes round nothing.
    Outline {
        /// The piece, from 1.
        piece: usize,
        /// What is wrong with it.
        why: String,
    },
    /// A piece beside the plate.
    Off {
        /// The piece, from 1.
        piece: usize,
    },
    /// A fibre that runs nowhere.
    Fibre {
        /// The piece, from 1.
        piece: usize,
        /// What came, degrees.
        degrees: f64,
    },
    /// A relation of a piece that is not there.
    Above(LayingError),
}

impl fmt::Display for PapersError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Many { what, most, came } => write!(f, "Up to {most} {what} go into one pull, {came} came: join some, or pull twice."),
            Self::Growth { name, growth } => write!(
                f,
                "Paper “{name}”: a pasted paper grows by 0 to {} %, {} % came: measure a strip dry, paste it, and measure it again.",
                MOST_GROWTH * 100.0,
                growth * 100.0
            ),
            Self::Lap(lap) => write!(f, "Pieces overlap by 0 to {} mm, {lap} mm came: {} mm is a usual overlap.", MOST_LAP.0, LAP.0),
            Self::NoStock { piece, stock } => write!(f, "Piece {piece} is of paper {stock}, which is not there: choose its paper again."),
            Self::Outline { piece, why } => write!(f, "Piece {piece}: {why}"),
            Self::Off { piece } => write!(f, "Piece {piece} lies beside the plate: move it onto the plate, or take it away."),
            Self::Fibre { piece, degrees } => {
                write!(f, "Piece {piece}: fibres run at an angle of −180° to 180°, {degrees} came: turn its arrow again.")
            }
            Self::Above(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for PapersError {}

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

    /// Lays them out on a plate: what meets, in which order they are laid, and each outline with its overlap.
    ///
    /// A piece that runs past the plate is clipped at the metal edge and said. Overlap is added to what lies beneath, so that what is seen keeps its edge.
    ///
    /// # Errors
    /// What [`Papers::check`] finds, an outline that goes round nothing, or a piece beside the plate.
    pub fn laid_out(&self, plate: &Plate) -> Result<LaidOut, PapersError> {
        self.check()?;
        let mut notes = Vec::new();
        let mut outlines = Vec::with_capacity(self.pieces.len());
        let mut clipped = Vec::new();
        for (at, piece) in self.pieces.iter().enumerate() {
            outlines.push(match &piece.outline {
                None => None,
                Some(points) => {
                    let (inside, cut) = clip::to_metal(points, plate, at + 1)?;
                    if cut {
                        clipped.push(at);
                    }
                    Some(inside)
                }
            });
        }
        let masks = overlaps::Masks::of(&outlines, plate);
        if let Some(nothing) = (0..outlines.len()).find(|&at| outlines[at].is_some() && masks.area_mm2(at) <= 0.0) {
            return Err(PapersError::Outline {
                piece: nothing + 1,
                why: "its outline goes round nothing: draw it once round what you mean.".to_owned(),
            });
        }
        let relation = self.relation();
        let reach = Reach::of(self.pieces.len(), &relation);
        let order = laying::order(&self.handling(plate), &relation);
        let mut turn: Vec<usize> = (0..self.pieces.len()).collect();
        if let Ok(order) = &order {
            for (when, &piece) in order.iter().enumerate() {
                turn[piece] = when;
            }
        }
        let meet: Vec<Meeting> = masks
            .meetings(self.lap.0 > 0.0)
            .into_iter()
            .map(|(one, other, over_mm2)| Meeting {
                pieces: (one, other),
                over_mm2,
                decided: reach.leads(one, other) || reach.leads(other, one),
            })
            .collect();
        let lapped = if order.is_ok() { lap::lapped(&outlines, &turn, &meet, self.lap, plate) } else { vec![None; outlines.len()] };
        let pieces: Vec<Placed> = outlines
            .into_iter()
            .zip(lapped)
            .enumerate()
            .map(|(at, (outline, lapped))| {
                let size = plate.size();
                let (area_mm2, is_lapped) = match (&outline, &lapped) {
                    (None, _) => (size.width.0 * size.height.0, false),
                    (_, Some((_, area))) => (*area, true),
                    _ => (masks.area_mm2(at), false),
                };
                Placed { number: turn[at] + 1, outline: lapped.map(|(outline, _)| outline).or(outline), area_mm2, lapped: is_lapped }
            })
            .collect();
        let mut numbers: Vec<usize> = clipped.iter().map(|&at| pieces[at].number).collect();
        numbers.sort_unstable();
        if let [first, rest @ ..] = &numbers[..] {
            let all: Vec<String> = std::iter::once(first).chain(rest).map(ToString::to_string).collect();
            notes.push(if rest.is_empty() {
                format!("Piece {first} runs past the plate: it is cut off at the metal edge.")
            } else {
                format!("Pieces {} run past the plate: they are cut off at the metal edge.", all.join(", "))
            });
        }
        if let Err(error) = &order {
            notes.push(error.to_string());
        }
        let open: Vec<&Meeting> = meet.iter().filter(|meeting| !meeting.decided).collect();
        if !open.is_empty() {
            let mut pairs: Vec<(usize, usize)> =
                open.iter().map(|meeting| (pieces[meeting.pieces.0].number, pieces[meeting.pieces.1].number)).collect();
            pairs.iter_mut().for_each(|pair| *pair = (pair.0.min(pair.1), pair.0.max(pair.1)));
            pairs.sort_unstable();
            let shown: Vec<String> = pairs.iter().take(8).map(|(one, other)| format!("{one} and {other}")).collect();
            let more = if pairs.len() > shown.len() { format!(" and {} pairs more", pairs.len() - shown.len()) } else { String::new() };
            notes.push(format!(
                "Say which lies above, of pieces {}{more}: until then the one with the lower number does.",
                shown.join(", ")
            ));
        }
        Ok(LaidOut { pieces, order, meet, notes })
    }
}

/// A piece as the bench has it: what to cut, and when to lay it.
#[derive(Clone, Debug, PartialEq)]
pub struct ToLay {
    /// What it is called; may be empty.
    pub name: String,
    /// Its turn, from 1: the lowest lies nearest the viewer.
    pub number: usize,
    /// Its outline when laid, mm of the face, print view, with overlap and clipped; a whole ground has the plate's.
    pub outline: Vec<PointMm>,
    /// Whether it is a whole ground.
    pub whole: bool,
    /// Its paper.
    pub stock: Stock,
    /// Which way its fibres run, degrees from the level, anticlockwise in print view.
    pub fibre: f64,
    /// The other side to the ink.
    pub turned: bool,
    /// Torn, not cut.
    pub torn: bool,
}

impl ToLay {
    /// Its outline as it is cut dry.
    #[must_use]
    pub fn cut(&self) -> Vec<PointMm> {
        cut_smaller(&self.outline, &self.stock, self.fibre)
    }
}

impl LaidOut {
    /// The pieces in the order they are laid; none where no order lays them.
    #[must_use]
    pub fn to_lay(&self, papers: &Papers, plate: &Plate) -> Vec<ToLay> {
        let Ok(order) = &self.order else { return Vec::new() };
        let (size, bevel) = (plate.size(), plate.bevel().0);
        let metal = [(0.0, 0.0), (size.width.0, 0.0), (size.width.0, size.height.0), (0.0, size.height.0)];
        let each = |&at: &usize| {
            let (cut, placed) = (&papers.pieces[at], &self.pieces[at]);
            ToLay {
                name: cut.name.clone(),
                number: placed.number,
                outline: placed.outline.clone().unwrap_or_else(|| metal.map(|(x, y)| PointMm { x: x - bevel, y: y - bevel }).to_vec()),
                whole: cut.outline.is_none(),
                stock: papers.stocks[cut.stock].clone(),
                fibre: cut.fibre,
                turned: cut.turned,
                torn: cut.torn,
            }
        };
        order.iter().map(each).collect()
    }
}

/// What can be reached from where along a relation.
struct Reach {
    words: usize,
    rows: Vec<u64>,
}

impl Reach {
    fn of(count: usize, above: &[(usize, usize)]) -> Self {
        let words = count.div_ceil(64).max(1);
        let mut rows = vec![0u64; count * words];
        for &(one, other) in above {
            if one < count && other < count {
                rows[one * words + other / 64] |= 1 << (other % 64);
            }
        }
        // Warshall 1962: by way of each piece in turn.
        for by in 0..count {
            let through: Vec<u64> = rows[by * words..(by + 1) * words].to_vec();
            for from in 0..count {
                if rows[from * words + by / 64] >> (by % 64) & 1 == 1 {
                    for (word, more) in rows[from * words..(from + 1) * words].iter_mut().zip(&through) {
                        *word |= more;
                    }
                }
            }
        }
        Self { words, rows }
    }

    fn leads(&self, from: usize, to: usize) -> bool {
        self.rows[from * self.words + to / 64] >> (to % 64) & 1 == 1
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

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
    fn what_overlaps_is_found_and_what_is_undecided_named() {
        // Roof over window over snow edge: three in a chain; a fourth apart; a whole ground beneath all.
        let chain = [
            square(10.0, 10.0, 40.0, 30.0),
            square(30.0, 20.0, 40.0, 30.0),
            square(50.0, 40.0, 40.0, 30.0),
            square(100.0, 150.0, 10.0, 10.0),
        ];
        let mut pieces: Vec<Cut> = chain.into_iter().map(cut).collect();
        pieces.push(Cut { outline: None, ..pieces[0].clone() });
        let laid = papers(pieces.clone(), &[(0, 1)]).laid_out(&plate()).unwrap();
        let met: Vec<((usize, usize), bool)> = laid.meet.iter().map(|meeting| (meeting.pieces, meeting.decided)).collect();
        assert_eq!(met, [((0, 1), true), ((1, 2), false)]);
        // 20 by 20 mm and 20 by 10 mm over one another.
        assert_abs_diff_eq!(laid.meet[0].over_mm2, 400.0, epsilon = 8.0);
        assert_abs_diff_eq!(laid.meet[1].over_mm2, 200.0, epsilon = 6.0);
        let said = laid.notes.join(" ");
        assert!(said.contains("Say which lies above") && !said.contains("metal edge"), "{said}");
        // The ground is last of all, for all lie above it.
        assert_eq!(laid.order.as_ref().unwrap().last(), Some(&4));
        let whole = papers(pieces.clone(), &[(0, 1), (1, 2)]).laid_out(&plate()).unwrap();
        assert!(whole.notes.is_empty(), "{:?}", whole.notes);
        let place = |piece: usize| whole.order.as_ref().unwrap().iter().position(|&one| one == piece).unwrap();
        assert!(place(0) < place(1) && place(1) < place(2));
        assert_eq!(whole.pieces[0].number, place(0) + 1);
        // A ground that is said to lie above a piece does.
        let over = papers(pieces, &[(0, 1), (1, 2), (4, 3)]).laid_out(&plate()).unwrap();
        let place = |piece: usize| over.order.as_ref().unwrap().iter().position(|&one| one == piece).unwrap();
        assert!(place(4) < place(3) && place(2) < place(4));
    }

    #[test]
    fn a_ring_is_named_and_numbers_are_then_those_of_the_list() {
        let pieces: Vec<Cut> = (0..3).map(|i| cut(square(10.0 + 20.0 * f64::from(i), 10.0, 30.0, 30.0))).collect();
        let laid = papers(pieces.clone(), &[(0, 1), (1, 2), (2, 0)]).laid_out(&plate()).unwrap();
        assert_eq!(laid.order, Err(LayingError::Cycle(vec![0, 1, 2])));
        assert!(laid.notes[0].contains("pieces 1 > 2 > 3 > 1 lies"), "{:?}", laid.notes);
        assert_eq!(laid.pieces.iter().map(|piece| piece.number).collect::<Vec<_>>(), [1, 2, 3]);
        let two = papers(pieces, &[(0, 1), (1, 0)]).laid_out(&plate()).unwrap();
        assert_eq!(two.order, Err(LayingError::Cycle(vec![0, 1])));
    }

    #[test]
    fn what_runs_past_the_plate_is_clipped_and_what_lies_beside_it_refused() {
        let laid = papers(vec![cut(square(-20.0, 10.0, 40.0, 20.0))], &[]).laid_out(&plate()).unwrap();
        assert!(laid.notes[0].contains("Piece 1 runs past the plate"));
        let left = laid.pieces[0].outline.as_ref().unwrap().iter().map(|point| point.x).fold(f64::INFINITY, f64::min);
        assert_abs_diff_eq!(left, -1.5, epsilon = 1e-9);
        assert_abs_diff_eq!(laid.pieces[0].area_mm2, 21.5 * 20.0, epsilon = 8.0);
        let off = papers(vec![cut(square(10.0, 10.0, 9.0, 9.0)), cut(square(200.0, 10.0, 9.0, 9.0))], &[]).laid_out(&plate());
        assert_eq!(off, Err(PapersError::Off { piece: 2 }));
    }

    #[test]
    fn what_meets_at_an_edge_gets_its_overlap_beneath_and_keeps_its_edge_above() {
        let pieces = vec![cut(square(10.0, 10.0, 30.0, 40.0)), cut(square(40.0, 10.0, 30.0, 40.0))];
        let laid = papers(pieces.clone(), &[(0, 1)]).laid_out(&plate()).unwrap();
        assert_eq!(laid.meet.len(), 1);
        assert_eq!(laid.meet[0].over_mm2, 0.0);
        assert_eq!((laid.pieces[0].lapped, laid.pieces[1].lapped), (false, true));
        assert_eq!(laid.pieces[0].outline.as_deref(), pieces[0].outline.as_deref());
        let grown = laid.pieces[1].outline.as_ref().unwrap();
        let left = grown.iter().map(|point| point.x).fold(f64::INFINITY, f64::min);
        let right = grown.iter().map(|point| point.x).fold(0.0, f64::max);
        assert!((38.3..=38.55).contains(&left), "{left}");
        assert_abs_diff_eq!(right, 70.0, epsilon = 0.1);
        assert_abs_diff_eq!(laid.pieces[1].area_mm2, 31.5 * 40.0, epsilon = 12.0);
        let none = Papers { lap: Millimetres(0.0), ..papers(pieces.clone(), &[(0, 1)]) }.laid_out(&plate()).unwrap();
        assert!(none.meet.is_empty() && !none.pieces[1].lapped);
        // What goes in deep beneath another has no ears where it does.
        let deep = papers(vec![pieces[0].clone(), cut(square(30.0, 20.0, 40.0, 12.0))], &[(0, 1)]).laid_out(&plate()).unwrap();
        let high = deep.pieces[1].outline.as_ref().unwrap().iter().map(|point| point.y).fold(f64::INFINITY, f64::min);
        assert!(high > 19.6, "{high}");
        // What overlaps widely already stays as it is.
        let wide = papers(vec![pieces[0].clone(), cut(square(35.0, 10.0, 30.0, 40.0))], &[(0, 1)]).laid_out(&plate()).unwrap();
        assert!(!wide.pieces[1].lapped);
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
        assert!(refused(papers(vec![cut(vec![PointMm { x: 1.0, y: 1.0 }; 5])], &[])).contains("goes round nothing"));
        assert!(refused(papers(vec![cut(vec![PointMm { x: f64::NAN, y: 1.0 }; 5])], &[])).starts_with("Piece 1"));
        let mut wild = papers(vec![one()], &[]);
        wild.stocks[1].across = 0.2;
        assert!(refused(wild).contains("20 % came"));
        assert_eq!(papers(vec![], &[]).laid_out(&plate()).unwrap().order, Ok(vec![]));
    }

    #[test]
    fn two_hundred_pieces_are_laid_out() {
        let pieces: Vec<Cut> = (0..200).map(|i| cut(square(f64::from(i % 14) * 8.0, f64::from(i / 14) * 11.0, 9.0, 12.0))).collect();
        let above: Vec<(usize, usize)> = (1..200).map(|i| (i - 1, i)).collect();
        let laid = papers(pieces, &above).laid_out(&plate()).unwrap();
        assert_eq!(laid.order.as_ref().unwrap(), &(0..200).collect::<Vec<_>>());
        assert!(laid.meet.len() > 300 && laid.meet.iter().all(|meeting| meeting.decided));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn whatever_is_drawn_has_an_order_or_a_ring_and_laps_only_grow(
            corners in prop::collection::vec((-20.0f64..120.0, -20.0f64..180.0, 2.0f64..60.0, 2.0f64..60.0), 1..9),
            above in prop::collection::vec((0..9usize, 0..9usize), 0..9),
        ) {
            let count = corners.len();
            let above: Vec<(usize, usize)> = above.into_iter().map(|(a, b)| (a % count, b % count)).collect();
            let pieces = corners.iter().map(|&(x, y, w, h)| cut(square(x, y, w, h))).collect();
            let all = papers(pieces, &above);
            match all.laid_out(&plate()) {
                Err(error) => prop_assert!(matches!(error, PapersError::Off { .. } | PapersError::Outline { .. }), "{error}"),
                Ok(laid) => {
                    let mut numbers: Vec<usize> = laid.pieces.iter().map(|piece| piece.number).collect();
                    numbers.sort_unstable();
                    prop_assert_eq!(numbers, (1..=count).collect::<Vec<_>>());
                    let none = Papers { lap: Millimetres(0.0), ..all }.laid_out(&plate()).unwrap();
                    for (lapped, bare) in laid.pieces.iter().zip(&none.pieces) {
                        prop_assert!(lapped.area_mm2 >= bare.area_mm2 * 0.98 - 2.0, "{} {}", lapped.area_mm2, bare.area_mm2);
                    }
                }
            }
        }
    }
}
