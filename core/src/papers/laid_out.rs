//! Papers laid out on a plate: what meets, in which order the pieces are laid, and each outline with its overlap.

use super::clip;
use super::reach::Reach;
use super::{Papers, PapersError, Stock, cut_smaller, lap, overlaps, taken};
use crate::laying::{self, LayingError};
use crate::plate::Plate;
use crate::units::PointMm;

/// A piece as it is laid.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// Its turn, from 1; where no order lays the pieces, its place in the list. Pieces that are left out come after all others.
    pub number: usize,
    /// Its outline with the overlap that was added, clipped to the plate; none: as large as the plate, or left out. Parts are joined by lines
    /// walked there and back.
    pub outline: Option<Vec<PointMm>>,
    /// Its area when laid, mm².
    pub area_mm2: f64,
    /// Whether overlap was added.
    pub lapped: bool,
    /// In how many parts it comes, 1 or more: each is pasted by itself.
    pub parts: usize,
    /// Why it is not laid at all; none: it is.
    pub left_out: Option<PapersError>,
}

/// Pieces as they are laid.
#[derive(Clone, Debug, PartialEq)]
pub struct LaidOut {
    /// Each piece, in the order of the list.
    pub pieces: Vec<Placed>,
    /// Which piece is laid when, by place, without those that are left out; or why no order lays them.
    pub order: Result<Vec<usize>, LayingError>,
    /// Pieces that lie over one another or meet at an edge, by place, the smaller first.
    pub meet: Vec<Meeting>,
    /// What there is to say, a sentence each.
    pub notes: Vec<String>,
    /// What lies above what of the pieces that are laid, by place.
    pub(super) relation: Vec<(usize, usize)>,
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

impl Papers {
    /// Lays them out on a plate: what meets, in which order they are laid, and each outline with its overlap.
    ///
    /// A piece that runs past the plate is clipped at the metal edge and said; one that lies beside it, or goes round nothing, is left out and said.
    /// Overlap is added to what lies beneath, so that what is seen keeps its edge.
    ///
    /// # Errors
    /// What [`Papers::check`] finds.
    pub fn laid_out(&self, plate: &Plate) -> Result<LaidOut, PapersError> {
        self.check()?;
        let count = self.pieces.len();
        let mut outlines = Vec::with_capacity(count);
        let mut clipped = vec![false; count];
        let mut left_out: Vec<Option<Why>> = vec![None; count];
        for (at, piece) in self.pieces.iter().enumerate() {
            let held = piece.outline.as_ref().map(|points| clip::to_metal(points, plate)).transpose();
            let (inside, cut) = held
                .unwrap_or_else(|why| {
                    left_out[at] = Some(why);
                    None
                })
                .map_or((None, false), |(inside, cut)| (Some(inside), cut));
            outlines.push(inside);
            clipped[at] = cut;
        }
        let masks = overlaps::Masks::of(&outlines, plate);
        for at in 0..count {
            if outlines[at].is_some() && masks.area_mm2(at) <= 0.0 {
                // What was clipped to nothing lies beside the plate, if it went round something before.
                left_out[at] = Some(if clipped[at] && taken::area(self.pieces[at].outline.as_deref().unwrap_or_default()).abs() > 0.0 {
                    Why::Off
                } else {
                    Why::Nothing("its outline goes round nothing: draw it once round what you mean.".to_owned())
                });
                outlines[at] = None;
            }
        }
        let laid = |at: usize| left_out[at].is_none();
        let relation: Vec<(usize, usize)> = self.relation().into_iter().filter(|&(above, beneath)| laid(above) && laid(beneath)).collect();
        let reach = Reach::of(count, &relation);
        let order = laying::order(&self.handling(plate), &relation)
            .map(|order| order.into_iter().filter(|&piece| laid(piece)).collect::<Vec<usize>>());
        let mut turn: Vec<usize> = (0..count).collect();
        if let Ok(order) = &order {
            let last = (0..count).filter(|&piece| !laid(piece));
            for (when, piece) in order.iter().copied().chain(last).enumerate() {
                turn[piece] = when;
            }
        }
        let size = plate.size();
        let whole = size.width.0 * size.height.0;
        let is_ground = |at: usize| self.pieces[at].outline.is_none();
        // What is left out meets nothing, though it may have touched something.
        let mut met = masks.meetings(self.lap.0 > 0.0);
        met.retain(|&(one, other, _)| laid(one) && laid(other));
        // A whole ground lies over or under every other piece.
        for one in 0..count {
            for other in one + 1..count {
                if laid(one) && laid(other) && (is_ground(one) || is_ground(other)) {
                    let area = |at: usize| if is_ground(at) { whole } else { masks.area_mm2(at) };
                    met.push((one, other, area(one).min(area(other))));
                }
            }
        }
        met.sort_by_key(|&(one, other, _)| (one, other));
        let meet: Vec<Meeting> = met
            .into_iter()
            .map(|(one, other, over_mm2)| Meeting {
                pieces: (one, other),
                over_mm2,
                decided: reach.leads(one, other) || reach.leads(other, one),
            })
            .collect();
        let lapped: Vec<Option<lap::Lapped>> = if order.is_ok() {
            lap::lapped(&outlines, &turn, &meet, (self.lap, &masks), plate)
        } else {
            outlines.iter().map(|_| None).collect()
        };
        let pieces: Vec<Placed> = outlines
            .into_iter()
            .zip(lapped)
            .enumerate()
            .map(|(at, (outline, lapped))| {
                let number = turn[at] + 1;
                let is_lapped = lapped.is_some();
                let parts = lapped.as_ref().map_or_else(|| masks.parts(at), |lapped| lapped.parts);
                let area_mm2 = match &lapped {
                    Some(lapped) => lapped.area_mm2,
                    None if !laid(at) => 0.0,
                    None if is_ground(at) => whole,
                    None => masks.area_mm2(at),
                };
                Placed {
                    number,
                    outline: lapped.map(|lapped| lapped.outline).or(outline),
                    area_mm2,
                    lapped: is_lapped,
                    parts,
                    left_out: left_out[at].clone().map(|why| match why {
                        Why::Off => PapersError::Off { piece: number },
                        Why::Nothing(why) => PapersError::Outline { piece: number, why },
                    }),
                }
            })
            .collect();
        let notes = words(&pieces, &clipped, &order, &meet);
        Ok(LaidOut { pieces, order, meet, notes, relation })
    }
}

/// Why a piece is not laid.
#[derive(Clone)]
pub(super) enum Why {
    /// It lies beside the plate.
    Off,
    /// Its outline goes round nothing; what is wrong with it.
    Nothing(String),
}

/// What there is to say of pieces as they are laid, a sentence each.
fn words(pieces: &[Placed], clipped: &[bool], order: &Result<Vec<usize>, LayingError>, meet: &[Meeting]) -> Vec<String> {
    let mut notes = left_out_words(pieces);
    let mut cut: Vec<usize> = pieces
        .iter()
        .zip(clipped)
        .filter(|(piece, clipped)| **clipped && piece.left_out.is_none())
        .map(|(piece, _)| piece.number)
        .collect();
    cut.sort_unstable();
    match &cut[..] {
        [] => {}
        [piece] => notes.push(format!("Piece {piece} runs past the plate: it is cut off at the metal edge.")),
        all => notes.push(format!("Pieces {} run past the plate: they are cut off at the metal edge.", listed(all))),
    }
    let mut in_parts: Vec<&Placed> = pieces.iter().filter(|piece| piece.parts > 1).collect();
    in_parts.sort_by_key(|piece| piece.number);
    for piece in in_parts {
        notes.push(format!(
            "Piece {} comes in {} parts: each is cut and pasted by itself under that number, and counts as a piece of the time.",
            piece.number, piece.parts
        ));
    }
    if let Err(error) = order {
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
        notes.push(format!("Say which lies above, of pieces {}{more}: until then the one with the lower number does.", shown.join(", ")));
    }
    notes
}

/// What is said of pieces that are left out: of those beside the plate together, and of those that go round nothing.
fn left_out_words(pieces: &[Placed]) -> Vec<String> {
    let mut off: Vec<usize> =
        pieces.iter().filter(|piece| matches!(piece.left_out, Some(PapersError::Off { .. }))).map(|piece| piece.number).collect();
    off.sort_unstable();
    let mut words = match &off[..] {
        [] => Vec::new(),
        [piece] => vec![PapersError::Off { piece: *piece }.to_string()],
        all => vec![format!(
            "Pieces {} lie beside the plate: they are left out of print, sheets and clock until you move them onto the plate, or take them away.",
            listed(all)
        )],
    };
    let mut nothing: Vec<&Placed> = pieces.iter().filter(|piece| matches!(piece.left_out, Some(PapersError::Outline { .. }))).collect();
    nothing.sort_by_key(|piece| piece.number);
    match &nothing[..] {
        [] => {}
        [piece] => words.extend(piece.left_out.as_ref().map(|why| format!("{why} Until then it is left out."))),
        all => words.push(format!(
            "Pieces {} can't be cut as they are drawn: draw each once round what you mean. Until then they are left out.",
            listed(&all.iter().map(|piece| piece.number).collect::<Vec<_>>())
        )),
    }
    words
}

/// So many numbers stand in a sentence; the rest is counted.
const LISTED: usize = 8;

/// Numbers as a sentence has them.
fn listed(numbers: &[usize]) -> String {
    let shown = numbers.iter().take(LISTED).map(ToString::to_string).collect::<Vec<_>>().join(", ");
    if numbers.len() > LISTED { format!("{shown} and {} more", numbers.len() - LISTED) } else { shown }
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
    /// In how many parts it comes, 1 or more: each is pasted by itself.
    pub parts: usize,
    /// Its paper; one of several of a name has its place in the list behind its name.
    pub stock: Stock,
    /// That paper, by place: it tells papers apart.
    pub paper: usize,
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
    /// What is said of pieces that are left out, a sentence each.
    #[must_use]
    pub fn left_out(&self) -> Vec<String> {
        left_out_words(&self.pieces)
    }

    /// How many times paste goes on: pieces that are laid, each part of one by itself.
    #[must_use]
    pub fn pastings(&self) -> usize {
        self.pieces.iter().filter(|piece| piece.left_out.is_none()).map(|piece| piece.parts).sum()
    }

    /// The pieces in the order they are laid; none where no order lays them.
    #[must_use]
    pub fn to_lay(&self, papers: &Papers, plate: &Plate) -> Vec<ToLay> {
        let Ok(order) = &self.order else { return Vec::new() };
        let (size, bevel) = (plate.size(), plate.bevel().0);
        let metal = [(0.0, 0.0), (size.width.0, 0.0), (size.width.0, size.height.0), (0.0, size.height.0)];
        let named = papers.told_apart();
        let each = |&at: &usize| {
            let (cut, placed) = (&papers.pieces[at], &self.pieces[at]);
            ToLay {
                name: cut.name.clone(),
                number: placed.number,
                outline: placed.outline.clone().unwrap_or_else(|| metal.map(|(x, y)| PointMm { x: x - bevel, y: y - bevel }).to_vec()),
                whole: cut.outline.is_none(),
                parts: placed.parts,
                stock: Stock { name: named[cut.stock].clone(), ..papers.stocks[cut.stock].clone() },
                paper: cut.stock,
                fibre: cut.fibre,
                turned: cut.turned,
                torn: cut.torn,
            }
        };
        order.iter().map(each).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{cut, papers, plate, square};
    use super::super::{Cut, Papers, Paste, Way, cut_lines, remedies};
    use super::*;
    use crate::laying::{PACE, PIECE};
    use crate::units::{Millimetres, Seconds};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

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
        assert_eq!(met, [((0, 1), true), ((0, 4), true), ((1, 2), false), ((1, 4), true), ((2, 4), true), ((3, 4), true)]);
        // 20 by 20 mm and 20 by 10 mm over one another.
        assert_abs_diff_eq!(laid.meet[0].over_mm2, 400.0, epsilon = 8.0);
        assert_abs_diff_eq!(laid.meet[2].over_mm2, 200.0, epsilon = 6.0);
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
    fn whole_grounds_are_ordered_like_other_pieces() {
        let ground = || Cut { outline: None, ..cut(square(0.0, 0.0, 1.0, 1.0)) };
        let pieces = || vec![ground(), cut(square(10.0, 10.0, 40.0, 30.0)), ground()];
        let open = papers(pieces(), &[]).laid_out(&plate()).unwrap();
        assert!(open.notes[0].starts_with("Say which lies above, of pieces 2 and 3"), "{:?}", open.notes);
        let undecided: Vec<&Meeting> = open.meet.iter().filter(|meeting| !meeting.decided).collect();
        assert_eq!((undecided.len(), undecided[0].pieces), (1, (0, 2)));
        assert_abs_diff_eq!(undecided[0].over_mm2, 123.0 * 183.0, epsilon = 1e-9);
        for (above, beneath) in [(0, 2), (2, 0)] {
            let laid = papers(pieces(), &[(above, beneath)]).laid_out(&plate()).unwrap();
            assert_eq!(laid.order, Ok(vec![1, above, beneath]));
            assert!(laid.notes.is_empty(), "{:?}", laid.notes);
        }
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
    fn what_runs_past_the_plate_is_clipped() {
        let laid = papers(vec![cut(square(-20.0, 10.0, 40.0, 20.0))], &[]).laid_out(&plate()).unwrap();
        assert!(laid.notes[0].contains("Piece 1 runs past the plate"));
        let left = laid.pieces[0].outline.as_ref().unwrap().iter().map(|point| point.x).fold(f64::INFINITY, f64::min);
        assert_abs_diff_eq!(left, -1.5, epsilon = 1e-9);
        assert_abs_diff_eq!(laid.pieces[0].area_mm2, 21.5 * 20.0, epsilon = 8.0);
    }

    #[test]
    fn what_lies_beside_the_plate_is_left_out_and_the_rest_goes_on() {
        let place = |x: f64| cut(square(x, 10.0, 30.0, 20.0));
        let pieces = vec![place(200.0), place(10.0), place(-90.0), place(30.0), cut(vec![PointMm { x: 1.0, y: 1.0 }; 5])];
        // What is said of one that is not there waits.
        let all = papers(pieces, &[(3, 0), (0, 3), (1, 3), (2, 1)]);
        let laid = all.laid_out(&plate()).unwrap();
        assert_eq!(laid.order, Ok(vec![1, 3]));
        assert_eq!(laid.pieces.iter().map(|piece| piece.number).collect::<Vec<_>>(), [3, 1, 4, 2, 5]);
        assert_eq!(laid.pieces[0].left_out, Some(PapersError::Off { piece: 3 }));
        assert_eq!(
            laid.notes[0],
            "Pieces 3, 4 lie beside the plate: they are left out of print, sheets and clock until you move them onto the plate, or take them away."
        );
        assert!(laid.notes[1].starts_with("Piece 5: its outline goes round nothing"), "{:?}", laid.notes);
        assert_eq!((laid.pastings(), laid.to_lay(&all, &plate()).len(), laid.meet.len()), (2, 2, 1));
        assert_eq!(laid.left_out(), laid.notes[..2]);
        let one = papers(vec![place(10.0), place(300.0)], &[]).laid_out(&plate()).unwrap();
        assert!(one.notes[0].starts_with("Piece 2 lies beside the plate: it is left out"), "{:?}", one.notes);
        // All of them beside it: nothing to lay, and no panic.
        let none = papers(vec![place(300.0), place(500.0)], &[]).laid_out(&plate()).unwrap();
        assert_eq!((none.order, none.pieces[1].number), (Ok(vec![]), 2));
    }

    #[test]
    fn what_is_left_out_meets_nothing_and_merges_with_nothing() {
        // Two lines lie within a piece; a square touches the metal edge from outside; all of one paper.
        let line = |y: f64| cut([(15.0, y), (25.0, y), (35.0, y)].map(PointMm::from).to_vec());
        let pieces = vec![cut(square(10.0, 10.0, 40.0, 40.0)), line(20.0), line(30.0), cut(square(121.5, 10.0, 30.0, 20.0))];
        let all = papers(pieces, &[(0, 3), (3, 0)]);
        let laid = all.laid_out(&plate()).unwrap();
        assert_eq!((laid.order.clone(), laid.meet.len(), laid.pastings()), (Ok(vec![0]), 0, 1));
        assert_eq!(
            laid.notes,
            [
                "Piece 4 lies beside the plate: it is left out of print, sheets and clock until you move it onto the plate, or take it away.",
                "Pieces 2, 3 can't be cut as they are drawn: draw each once round what you mean. Until then they are left out.",
            ]
        );
        let paste = Paste { open: Seconds(480.0), each: Seconds(14.0), pace: PACE, scatter: PIECE };
        assert!(remedies(&all, &laid, &paste).iter().all(|remedy| remedy.pieces == 1 && remedy.way != Way::Merge));
        // However many there are, what is said of them stays short.
        let far = papers((0..80).map(|i| cut(square(200.0 + f64::from(i), 10.0, 30.0, 20.0))).collect(), &[]).laid_out(&plate()).unwrap();
        assert!(far.notes[0].starts_with("Pieces 1, 2, 3, 4, 5, 6, 7, 8 and 72 more lie beside"), "{:?}", far.notes);
    }

    #[test]
    fn what_meets_at_an_edge_does_at_any_place_and_size_and_what_stands_apart_does_not() {
        let large = Plate::new(Millimetres(500.0), Millimetres(700.0), Millimetres(1.5)).unwrap();
        for plate in [plate(), large] {
            for x in (0..10).map(|step| 40.0 + 0.07 * f64::from(step)) {
                let met =
                    papers(vec![cut(square(10.0, 10.0, x - 10.0, 40.0)), cut(square(x, 10.0, 30.0, 40.0))], &[]).laid_out(&plate).unwrap();
                assert_eq!(met.meet.iter().map(|meeting| (meeting.pieces, meeting.over_mm2)).collect::<Vec<_>>(), [((0, 1), 0.0)], "{x}");
            }
            // Within the box of an angle, 5 mm from either limb.
            let angle = [(10.0, 10.0), (60.0, 10.0), (60.0, 20.0), (20.0, 20.0), (20.0, 60.0), (10.0, 60.0)].map(PointMm::from).to_vec();
            let apart = papers(vec![cut(angle), cut(square(25.0, 25.0, 30.0, 30.0))], &[]).laid_out(&plate).unwrap();
            assert!(apart.meet.is_empty(), "{:?}", apart.meet);
        }
    }

    #[test]
    fn a_narrow_neck_holds_a_piece_together_on_a_large_plate() {
        // Two fields 30 mm wide, joined by a neck of 0.4 mm, on a plate whose raster is coarser than that.
        let large = Plate::new(Millimetres(500.0), Millimetres(700.0), Millimetres(1.5)).unwrap();
        let ends = [(40.0, 40.0), (70.0, 40.0), (70.0, 54.8), (100.0, 54.8), (100.0, 40.0), (130.0, 40.0)];
        let back = [(130.0, 70.0), (100.0, 70.0), (100.0, 55.2), (70.0, 55.2), (70.0, 70.0), (40.0, 70.0)];
        let piece = cut(ends.into_iter().chain(back).map(PointMm::from).collect());
        let laid = papers(vec![piece], &[]).laid_out(&large).unwrap();
        assert_eq!((laid.pieces[0].parts, laid.pastings()), (1, 1));
    }

    #[test]
    fn a_piece_in_parts_keeps_them_all_and_says_so() {
        // A bow that leaves the plate at the right and comes back: two parts, which overlap would have been added to one of.
        let bow = [(60.0, 20.0), (140.0, 20.0), (140.0, 90.0), (60.0, 90.0), (60.0, 70.0), (130.0, 70.0), (130.0, 40.0), (60.0, 40.0)];
        let bow = || cut(bow.map(PointMm::from).to_vec());
        let bare = papers(vec![bow()], &[]).laid_out(&plate()).unwrap();
        assert_eq!(bare.pieces[0].parts, 2);
        // Its knife goes round each part, and not along the metal edge from one to the other.
        let length = |cuts: &[[PointMm; 2]]| cuts.iter().map(|[a, b]| libm::hypot(a.x - b.x, a.y - b.y)).sum::<f64>();
        assert_abs_diff_eq!(length(&cut_lines(bare.pieces[0].outline.as_ref().unwrap())), 4.0 * (61.5 + 20.0), epsilon = 1e-6);
        assert!(bare.notes.iter().any(|note| note.starts_with("Piece 1 comes in 2 parts")), "{:?}", bare.notes);
        let whole = 61.5 * 40.0;
        assert_abs_diff_eq!(bare.pieces[0].area_mm2, whole, epsilon = 40.0);
        let all = papers(vec![bow(), cut(square(30.0, 10.0, 30.0, 90.0))], &[(1, 0)]);
        let laid = all.laid_out(&plate()).unwrap();
        let piece = &laid.pieces[0];
        assert!(piece.lapped && piece.parts == 2, "{piece:?}");
        // Each part reaches under by its overlap, 1.5 mm along 20 mm.
        let outline = piece.outline.as_ref().unwrap();
        assert_abs_diff_eq!(taken::area(outline).abs(), whole + 2.0 * 20.0 * 1.5, epsilon = 12.0);
        // What the knife follows are two closed lines of their own, and not the way from one to the other, 30 mm there and back.
        let cuts = cut_lines(outline);
        assert_abs_diff_eq!(length(&cuts), 4.0 * (63.0 + 20.0), epsilon = 14.0);
        assert_eq!((laid.pastings(), laid.to_lay(&all, &plate())[1].parts), (3, 2));
    }

    #[test]
    fn overlap_shows_nowhere_beside_what_lies_above() {
        // A strip narrower than the overlap, and beyond it bare plate; and a fork whose second limb is a bare gap away.
        let strip = square(40.0, 0.0, 1.0, 120.0);
        let fork = [(70.0, 30.0), (90.0, 30.0), (90.0, 70.0), (70.0, 70.0), (70.0, 69.0), (88.0, 69.0), (88.0, 31.0), (70.0, 31.0)];
        let fork = fork.map(PointMm::from).to_vec();
        let lower = square(10.0, 10.0, 30.0, 100.0);
        let pegs = square(70.0, 31.0, 17.4, 38.0);
        let all = papers(vec![cut(strip.clone()), cut(lower.clone()), cut(fork.clone()), cut(pegs.clone())], &[(0, 1), (2, 3)]);
        let laid = all.laid_out(&plate()).unwrap();
        let right = laid.pieces[1].outline.as_ref().unwrap().iter().map(|point| point.x).fold(0.0, f64::max);
        assert!(laid.pieces[1].lapped && right <= 41.0 + 0.06, "{right}");
        assert!(laid.pieces.iter().all(|piece| piece.parts == 1), "{:?}", laid.pieces);
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
    fn as_many_small_pieces_over_a_large_one_are_laid_out() {
        // All over one another's large neighbour, on the largest plate that is usual: it takes under a second and some tens of megabytes.
        let large = Plate::new(Millimetres(500.0), Millimetres(700.0), Millimetres(1.5)).unwrap();
        let mut pieces: Vec<Cut> = (0..199).map(|i| cut(square(f64::from(i % 14) * 34.0, f64::from(i / 14) * 45.0, 20.0, 25.0))).collect();
        pieces.push(cut(square(9.0, 9.0, 470.0, 660.0)));
        let above: Vec<(usize, usize)> = (0..199).map(|i| (i, 199)).collect();
        let laid = papers(pieces, &above).laid_out(&large).unwrap();
        assert_eq!(laid.order.as_ref().unwrap().last(), Some(&199));
        assert!(laid.pieces[199].parts == 1 && laid.meet.iter().all(|meeting| meeting.decided));
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
                Err(error) => prop_assert!(false, "{error}"),
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
