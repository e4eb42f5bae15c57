//! Remedies: what makes a pull with papers less likely to be late, and by how much.
//!
//! Each leaves a chance of its own by the same law ([`Pasting::late`]). How much a second pair of hands or paste put on beforehand saves is an
//! estimate, and said to be one.

use super::{LaidOut, Papers};
use crate::laying::{self, Handling, Pasting};
use crate::units::Seconds;
use std::fmt;

/// Time that a piece takes when another person picks and pastes: estimate.
pub(super) const SECOND_PAIR: f64 = 0.55;
/// Time that a piece takes when its paste was put on beforehand, dried, and is misted: estimate.
pub(super) const MISTED: f64 = 0.6;

/// The printer's own figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paste {
    /// How long paste stays open, by a trial piece, s.
    pub open: Seconds,
    /// How long a piece takes, from being picked to being placed, s.
    pub each: Seconds,
    /// Scatter of the pace of a whole pull, of itself.
    pub pace: f64,
    /// Scatter of one piece's time, of itself.
    pub scatter: f64,
}

/// Figures that no paste has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PasteError {
    /// No open time, or one out of range, s.
    Open(f64),
    /// A time a piece out of range, s.
    Each(f64),
    /// A scatter out of range, of itself.
    Scatter(f64),
}

impl fmt::Display for PasteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Open(seconds) if *seconds == 0.0 => {
                write!(f, "Paste that is open for no time at all lays no paper: paste a trial piece, and time how long it still holds.")
            }
            Self::Open(seconds) => write!(f, "Paste stays open for 10 s to 2 h, {seconds} s came: time a trial piece."),
            Self::Each(seconds) => write!(f, "A piece takes 1 to 600 s to pick, paste and place, {seconds} s came: time a few pieces."),
            Self::Scatter(share) => {
                write!(f, "Times scatter by 0 to 100 % of themselves, {} % came: 12 % and 35 % are usual.", share * 100.0)
            }
        }
    }
}

impl std::error::Error for PasteError {}

impl Paste {
    /// Checks the figures.
    ///
    /// # Errors
    /// The first that is none.
    pub fn check(&self) -> Result<(), PasteError> {
        if !(10.0..=7200.0).contains(&self.open.0) {
            return Err(PasteError::Open(self.open.0));
        }
        if !(1.0..=600.0).contains(&self.each.0) {
            return Err(PasteError::Each(self.each.0));
        }
        match [self.pace, self.scatter].into_iter().find(|share| !(0.0..=1.0).contains(share)) {
            Some(share) => Err(PasteError::Scatter(share)),
            None => Ok(()),
        }
    }

    /// A pull of so many pieces.
    #[must_use]
    pub fn pasting(&self, pieces: usize) -> Pasting {
        Pasting { pieces, each: self.each, open: self.open, pace: self.pace, scatter: self.scatter }
    }
}

/// What can be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// Neighbours of one paper cut as one piece.
    Merge,
    /// One person pastes while another lays.
    SecondPair,
    /// Paste put on beforehand and dried, then misted.
    Misted,
    /// Half the papers in one pull, half in a second over it.
    TwoPulls,
}

/// A remedy and what it leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Remedy {
    /// What.
    pub way: Way,
    /// Pieces of a pull then.
    pub pieces: usize,
    /// The chance of being late then, 0..=1; of two pulls, that either is.
    pub late: f64,
}

/// What can be done about being late, the surest first.
#[must_use]
pub fn remedies(papers: &Papers, laid: &LaidOut, paste: &Paste) -> Vec<Remedy> {
    let count = laid.pastings();
    if count == 0 {
        return Vec::new();
    }
    let late = |pieces: usize, share: f64| Pasting { each: Seconds(paste.each.0 * share), ..paste.pasting(pieces) }.late();
    let mut all = Vec::new();
    let merged = merged(papers, laid);
    if merged < count {
        all.push(Remedy { way: Way::Merge, pieces: merged, late: late(merged, 1.0) });
    }
    all.push(Remedy { way: Way::SecondPair, pieces: count, late: late(count, SECOND_PAIR) });
    all.push(Remedy { way: Way::Misted, pieces: count, late: late(count, MISTED) });
    if count > 1 {
        let (first, second) = (count.div_ceil(2), count / 2);
        let either = 1.0 - (1.0 - late(first, 1.0)) * (1.0 - late(second, 1.0));
        all.push(Remedy { way: Way::TwoPulls, pieces: first, late: either });
    }
    all.sort_by(|a, b| a.late.total_cmp(&b.late).then(a.way.cmp(&b.way)));
    all
}

/// How many times paste goes on when neighbours of one paper are cut as one: pieces that meet, of the same paper, fibres, side and edge, as long as
/// an order still lays them all.
fn merged(papers: &Papers, laid: &LaidOut) -> usize {
    let mut group: Vec<usize> = (0..papers.pieces.len()).collect();
    let alike = |one: usize, other: usize| {
        let (a, b) = (&papers.pieces[one], &papers.pieces[other]);
        let apart = (a.fibre - b.fibre).rem_euclid(180.0);
        a.outline.is_some()
            && b.outline.is_some()
            && a.stock == b.stock
            && a.turned == b.turned
            && a.torn == b.torn
            && apart.min(180.0 - apart) <= 1.0
    };
    for meeting in &laid.meet {
        let (one, other) = meeting.pieces;
        let (keep, gone) = (group[one].min(group[other]), group[one].max(group[other]));
        if keep == gone || !alike(one, other) {
            continue;
        }
        let tried: Vec<usize> = group.iter().map(|&of| if of == gone { keep } else { of }).collect();
        let joined: Vec<(usize, usize)> = laid
            .relation
            .iter()
            .map(|&(above, beneath)| (tried[above], tried[beneath]))
            .filter(|(above, beneath)| above != beneath)
            .collect();
        if laying::order(&vec![Handling::default(); tried.len()], &joined).is_ok() {
            group = tried;
        }
    }
    group.sort_unstable();
    group.dedup();
    laid.pastings() + group.len() - papers.pieces.len()
}

#[cfg(test)]
mod tests {
    use super::super::tests::{cut, papers, plate, square};
    use super::super::{Cut, LAP};
    use super::*;
    use approx::assert_abs_diff_eq;

    const PASTE: Paste = Paste { open: Seconds(480.0), each: Seconds(14.0), pace: laying::PACE, scatter: laying::PIECE };

    #[test]
    fn neighbours_of_one_paper_merge_and_the_pull_is_safe() {
        // 34 pieces, twelve of which have a neighbour of their paper before them: 22 are left, which is safe at 14 s each (golden figure).
        let pieces: Vec<Cut> = (0..34)
            .map(|i| {
                let (pair, second) = if i < 24 { (i / 2, i % 2) } else { (i - 12, 0) };
                let place = square(f64::from(pair % 6) * 20.0 + 8.0 * f64::from(second), f64::from(pair / 6) * 40.0, 8.0, 30.0);
                cut(place)
            })
            .collect();
        let all = papers(pieces, &[]);
        let laid = all.laid_out(&plate()).unwrap();
        assert_abs_diff_eq!(PASTE.pasting(34).late(), 0.48, epsilon = 0.005);
        let ways = remedies(&all, &laid, &PASTE);
        let merge = ways.iter().find(|remedy| remedy.way == Way::Merge).unwrap();
        assert_eq!(merge.pieces, 22);
        assert!(merge.late < 1e-4, "{}", merge.late);
        assert!(ways.is_sorted_by(|a, b| a.late <= b.late) && ways.len() == 4);
        assert!(ways.iter().all(|remedy| remedy.late < 0.48));
    }

    #[test]
    fn what_differs_or_would_go_in_a_ring_stays_apart() {
        let row = |i: usize| cut(square(i as f64 * 10.0, 10.0, 10.0, 20.0));
        let all = papers(vec![row(0), Cut { stock: 1, ..row(1) }, Cut { fibre: 90.0, ..row(2) }], &[]);
        assert_eq!(merged(&all, &all.laid_out(&plate()).unwrap()), 3);
        // 0 over 1 over 2, and 0 beside 2 of one paper: as one piece they would lie above and beneath 1.
        let pieces = vec![
            cut(square(0.0, 0.0, 20.0, 20.0)),
            Cut { stock: 1, ..cut(square(10.0, 10.0, 30.0, 30.0)) },
            cut(square(20.0, 0.0, 20.0, 20.0)),
        ];
        let woven = papers(pieces.clone(), &[(0, 1), (1, 2)]);
        assert_eq!(woven.lap, LAP);
        assert_eq!(merged(&woven, &woven.laid_out(&plate()).unwrap()), 3);
        let free = papers(pieces, &[(0, 1), (2, 1)]);
        assert_eq!(merged(&free, &free.laid_out(&plate()).unwrap()), 2);
        let none = papers(vec![], &[]);
        assert!(remedies(&none, &none.laid_out(&plate()).unwrap(), &PASTE).is_empty());
    }

    #[test]
    fn figures_are_held_to_what_paste_does() {
        PASTE.check().unwrap();
        for (paste, words) in [
            (Paste { open: Seconds(0.0), ..PASTE }, "no time at all"),
            (Paste { open: Seconds(9000.0), ..PASTE }, "2 h"),
            (Paste { each: Seconds(f64::NAN), ..PASTE }, "1 to 600 s"),
            (Paste { pace: -0.1, ..PASTE }, "-10 %"),
        ] {
            let said = paste.check().unwrap_err().to_string();
            assert!(said.contains(words) && said.ends_with('.'), "{said}");
        }
    }
}
